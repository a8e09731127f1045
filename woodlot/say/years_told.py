"""The years told in words: one line a stand, what it is and what it will be, uncut and cut.

stand_words   the line of a stand
how_told      how the table of all stands is to be read
in_year, with_ends   cells of the tables
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from woodlot.say import words
from woodlot.say.growth import beyond
from woodlot.trade import THIN

__all__ = ["HEADS", "WORDS", "how_told", "in_year", "stand_words", "with_ends"]

#: Fewer cords an acre are not spoken of.
LEAST_CORDS = 0.5
#: From so much of the basal area a stand is mostly of one kind [%].
MOSTLY_PCT = 50.0
#: How the two ways begin.
HEADS = ("Uncut:", "Cut by its guide:")
BASAL, SQFT, CORDS = "basal_sqft_per_ac", "sq ft an acre", "cords"
Row = Mapping[str, Any]


def stand_words(
    stand: Row, rows: Sequence[Row], ageing: str, why_not: str, plots: int, how: str, horizon_yr: float
) -> str:
    """What a stand is and what it will be: ``Northern hardwoods, 98 sq ft an acre, mostly sugar maple ...``.

    Parameters
    ----------
    stand
        cover, young, age_yr.
    rows
        Its years (``plan.years_told``), today first; none where nothing is told.
    ageing
        How it ages (``say.ageing``), where there is something to say.
    why_not
        Why nothing is told.
    plots, how
        Number of its plots, and whether they are enough for a range (``trade.CASES``).
    horizon_yr
        Years beyond which it is a picture.
    """
    cover = words.capital(stand["cover"])
    if not rows:
        return f"{cover}. {why_not}"
    uncut, cut = ([row for row in rows if row["way"] == way and row["year"] > 0] for way in ("uncut", "cut"))
    far = beyond(horizon_yr) if uncut[-1]["year"] > horizon_yr else ""
    told = (_today(cover, stand, rows[0], plots, how), ageing, _left_alone(uncut), _by_guide(cut), far)
    return " ".join(filter(None, told))


def _today(cover: str, stand: Row, row: Row, plots: int, how: str) -> str:
    if stand["young"]:
        return f"{cover} {stand['age_yr']:.0f} years old, too small to measure: told from its age."
    few = f" on {words.plural(plots, 'plot')}" if how in THIN else ""
    thick = "" if row["qmd_in"] is None else f", mean diameter {row['qmd_in']:.0f} in"
    return f"{cover}, {words.amount(row[BASAL], SQFT)}{few}, {_kinds(row)}{thick}."


def _kinds(row: Row) -> str:
    if row["main_pct"] >= MOSTLY_PCT or not row["second"]:
        return f"mostly {row['main']}"
    return f"most of it {row['main']} and {row['second']}"


def _left_alone(rows: Sequence[Row]) -> str:
    """A stand that nobody cuts, and what of it breaks up."""
    last = rows[-1]
    lost = f"; {_cords(last, 'lost')} break up by then" if last["lost_cords_per_ac"] >= LEAST_CORDS else ""
    return f"{HEADS[0]} {_path(rows)}{lost}."


def _by_guide(rows: Sequence[Row]) -> str:
    """The same stand cut by its own guide, and what that brings."""
    if not rows:
        return "Nothing is cut here."
    last = rows[-1]
    if last["taken_cords_per_ac_high"] < LEAST_CORDS:
        return f"{HEADS[1]} nothing is over it in {last['year']} years."
    return f"{HEADS[1]} {_path(rows)}; {_cords(last, 'taken')} cut by then."


def _path(rows: Sequence[Row]) -> str:
    """``112 sq ft an acre in 10 years (104 to 121, assumptions), 128 in 25 (115 to 140)``, and if that is too full."""
    first, *later = rows
    ends = _range(first, BASAL, SQFT).replace(")", ", assumptions)")
    parts = [f"{words.amount(first[BASAL], SQFT)} in {first['year']} years{ends}"]
    parts += [f"{words.rounded(row[BASAL], SQFT)} in {row['year']}{_range(row, BASAL, SQFT)}" for row in later]
    full = [row["year"] for row in rows if row["fuller"]]
    return ", ".join(parts) + (f"; from {full[0]} years on fuller than uncut stands are found to stay" if full else "")


def _cords(row: Row, what: str) -> str:
    """``12 cords an acre (9.1 to 16)``."""
    key = f"{what}_cords_per_ac"
    return words.amount(row[key], "cords an acre") + _range(row, key, CORDS)


def _range(row: Row, key: str, unit: str) -> str:
    low, high = (words.rounded(row[f"{key}_{end}"], unit) for end in ("low", "high"))
    return f" ({low} to {high})" if low != high else ""


def with_ends(row: Row, key: str, unit: str) -> str:
    """A number of a year told with its two ends, where they differ: ``112 (104 to 121)``."""
    return words.rounded(row[key], unit) + _range(row, key, unit)


def how_told(horizon_yr: float) -> str:
    """How the table of all stands is to be read."""
    return (
        "Each stand left alone, and cut by its own guide each cycle, at middle growth; ranges are of slow to fast "
        f"growth (assumptions), without the error of the plots. {beyond(horizon_yr)}"
    )


def in_year(rows: Sequence[Row], way: str, year: int) -> float | None:
    """Basal area of a stand in a year and way [sq ft an acre]; None where none is told."""
    return next((r[BASAL] for r in rows if (r["way"], r["year"]) == (way, year)), None)


def _nothing_told(bare: bool) -> str:
    return (
        "No living tree of 5 inches stood on its plots, so no year of it is told."
        if bare
        else "No plot here yet, so no year of it is told; three would give a first picture."
    )


#: Key of a Reason -> its words, whole sentences.
WORDS: Mapping[str, Callable[..., str]] = {"nothing told": _nothing_told}

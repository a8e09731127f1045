"""Growth in words: what stands today, what lies outside published growth, what a cut keeps, lines of the guides.

headline     what grows a year
cored        what cored trees grew where there are no plots
today        on which day the cords stand
balance      growth against cut
beyond       that the years asked are more than can be foretold
guide_line   the name of a line of a stocking guide
GUIDE_AXES   what its axes are
"""

from collections.abc import Callable, Mapping
from datetime import date
from typing import TYPE_CHECKING

from woodlot.estimate import Number
from woodlot.say import words
from woodlot.say.unmeasured import nobody

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "COLUMNS",
    "GUIDE_AXES",
    "NO_NUMBER",
    "WORDS",
    "balance",
    "beyond",
    "cored",
    "guide_line",
    "headline",
    "today",
]

NO_NUMBER = f"No number yet. {nobody(' in a stand')}"
COLUMNS = "Seasons since the plots. Growth: full cords a year over the next ten, uncut."

GUIDE_AXES = ("mean diameter, inches", "basal area, square feet an acre")
LINES = {
    "A": "A line: as full as unthinned stands",
    "B": "B line: crowns just closing",
    "white pine": "upper line of white pine",
}
SHARES = {
    0.8: "crowded above",
    0.6: "full above",
    0.4: "well filled above",
    0.3: "low under",
    1.0: "as dense as can be",
}


def headline(grows: Number, stand: str | None = None) -> str:
    """What grows a year, in one stand or in all that were asked for."""
    stands = "the stands that have a range of their own" if grows.low is not None else "the stands that have plots"
    where = stands if stand is None else f"stand {stand}"
    much = words.amount(grows.value, grows.unit) if grows.low is None else words.answer(grows)
    if grows.value is not None and grows.value < 0:
        return f"More dies than grows in {where}: {much}."
    return f"{much} grow in {where}."


def cored(grew: Number) -> str:
    """What cored trees grew a year, where no plots say what stands."""
    much = words.amount(grew.value, grew.unit) if grew.low is None else words.answer(grew)
    return f"By cores alone: {much} of today's basal area, {grew.why}."


def beyond(horizon_yr: float) -> str:
    """That the years asked are more than can be foretold."""
    return f"Beyond {horizon_yr:g} years this is a picture, not a forecast."


def today(now: float, then: float, cut_since: float, grown: bool, measured_on: "pd.Series", as_of: date) -> str:
    """On which day the cords stand, and why they are not those of ``woodlot scale``.

    now, then, cut_since: cords on the day, by the plots and cut between; grown: whether a season has passed since.
    """
    from woodlot.say import days

    plots = f"The plots found {words.amount(then, 'cords')} {days.measured_words(measured_on)}".rstrip()
    if not grown and cut_since == 0:
        early = bool(days.later(measured_on, as_of).any())
        return f"{plots}." if early else f"{plots}; no season has passed since, so these are today's cords too."
    less = f", less {words.amount(cut_since, 'cords')} cut since" if cut_since > 0 else ""
    return (
        f"Cords are those of {words.month_day_year(as_of)}: {words.amount(now, 'cords')}. {plots}, which is what "
        f"woodlot scale shows; growth since then is added{less}."
    )


def balance(grown: Number, cut_cords: float, left: Number, since: date) -> str:
    """Growth against cut: ``grown 42 cords, cut 18 since 2024: 24 to the good (12 to 37, assumptions)``."""
    if not grown.value:
        return f"cut {words.amount(cut_cords, 'cords')} since {since.year}; no growing season has passed"
    grew = f"grown {words.amount(grown.value, 'cords')}"
    if not cut_cords:
        spread = f" ({words.range_words(grown)})" if grown.low is not None else ""
        return f"{grew}{spread}, nothing cut since {since.year}"
    value = left.value or 0.0
    good = (
        f"{words.rounded(value, 'cords')} to the good"
        if value >= 0
        else f"{words.rounded(-value, 'cords')} more cut than grown"
    )
    low, high = left.low, left.high
    spread = ""
    if low is not None and high is not None:
        near, far = sorted((abs(low), abs(high))) if value < 0 and high <= 0 else (low, high)
        spread = f" ({words.rounded(near, 'cords')} to {words.rounded(far, 'cords')}, assumptions)"
    return f"{grew}, cut {words.rounded(cut_cords, 'cords')} since {since.year}: {good}{spread}"


def guide_line(line: str, share: float | None) -> str:
    """The name of a line of a stocking guide (``stand.guides.guide_lines``)."""
    return LINES[line] if share is None else f"{SHARES.get(share, 'density')} ({share:.0%})"


BAND = {
    "fast without cores": "Growth over {:g} sq ft an acre a year needs cores behind it",
    "dense": "Denser than any published stand, so look at the plots again",
    "thick": "Over {:g} sq ft an acre, beyond what the growth equations were made for",
}
KEPT = {
    "keep_over_12in": "{} trees an acre over 12 inches as den trees",
    "keep_over_18in": "{} of them over 18 inches",
    "keep_mast": "{} trees an acre that bear acorns, nuts or cherries, where there are so many",
    "snags_per_ac": "{} dead trees an acre over 10 inches, away from where people work",
}


def _kept(which: str, trees_per_ac: float, seen: str) -> str:
    count = words.two_figures(trees_per_ac).removesuffix(".0")
    return KEPT[which].format(count) + (" †" if seen == "memory" else "")


def _range(low: float, high: float, bare: tuple[str, ...]) -> str:
    known = f" Write the soil of stand {', '.join(bare)} to narrow it." if bare else ""
    return (
        f"Low and high: sites differ, so a stand without cores of its own grows {low:.2f} to {high:.1f} times its "
        f"middle, nine times in ten.{known} Cores narrow it most."
    )


def _percent(pct: str, of_basal: bool) -> str:
    return f"{pct}% of its square feet" if of_basal else f"{pct}%"


def _held(
    stands: tuple[str, ...], pct: tuple[float, ...], default_pct: tuple[float, ...], of_basal: tuple[bool, ...]
) -> str:
    each = zip(stands, pct, default_pct, of_basal, strict=True)
    told = [f"{one} ({_percent(f'{new:.1f}', area)} for {old:.1f}%)" for one, new, old, area in each]
    return (
        "Growth a year is held down to what was published of woods of that cover and size, until there are cores: "
        f"stand {', '.join(told)}."
    )


def _moved(
    stands: tuple[str, ...], factor: tuple[float, ...], weight: tuple[float, ...], plots: tuple[int, ...]
) -> str:
    each = zip(stands, factor, weight, plots, strict=True)
    told = [f"{one} (times {f:.2f}, by {n} plots that weigh {w:.0%})" for one, f, w, n in each]
    return f"Plots visited again, with what was cut between, move the growth of stand {', '.join(told)}."


def _beside(
    stands: tuple[str, ...],
    pct: tuple[float, ...],
    low: tuple[float, ...],
    high: tuple[float, ...],
    of_basal: tuple[bool, ...],
) -> str:
    each = zip(stands, pct, low, high, of_basal, strict=True)
    bands = [f"{one} ({_percent(f'{p:.1f}', area)}, published {a:g} to {b:g}%)" for one, p, a, b, area in each]
    return f"Growth a year outside published woods of that cover and size: stand {', '.join(bands)}."


#: Key of a Reason -> its words; those of the band are whole sentences.
WORDS: Mapping[str, Callable[..., str]] = {
    "cored trees": lambda trees: (
        f"by {words.plural(trees, 'cored tree')}; trees that died are not in it, so the woods grow less"
    ),
    "growth beside bands": _beside,
    "growth range": _range,
    "growth held": _held,
    "deaths by visits": lambda died, trees, expected, factor: (
        f"{died:.0f} of {words.plural(trees, 'numbered tree')} died between two visits, {expected:.1f} were foreseen: "
        f"deaths are taken times {factor:.2f} everywhere."
    ),
    "growth by visits": _moved,
    "growth over states": lambda pct, most: (
        f"All stands together grow {pct:.1f}% a year; over {most:g}%, more than any state's, needs cores behind it."
    ),
    "outside the band": lambda what, bound, stands: f"{BAND[what].format(bound)}: stand {', '.join(stands)}.",
    "trees kept": _kept,
    "no taps": lambda: "no sound maple here is thick enough to tap",
    "sap of taps": lambda sap, sugar_pct, low, high: (
        f"{sap:g} gallons of sap a tap with {sugar_pct:.1f} percent sugar ({low:.1f} to {high:.1f}) boiled down by the "
        "rule of 86, without vacuum"
    ),
}

"""What the ledger says was done: pieces made, cords cut in each stand, hours a cord, growth kept, jobs that shrink.

Measures    Rates, rates, cords_of, is_dead
Made        made, built, pace_hours_per_cord
Stands      felled, cut_by_stand
Jobs        Ticked, ticked

A sawyer wants to read off one page what is still to do: so much was wanted, so much lies there, so much to go; and of
the woods whether they grow faster than he cuts. Every felled stem counts once, whatever it became: firewood by its
cords, logs by their board feet, posts and poles by number. Wood that is hauled, split or stacked was felled before.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from woodlot import ledger as book_lines
from woodlot.region import Region
from woodlot.trade import FELLED_KINDS, LEDGER_KINDS, PRODUCTS, ROUND_KINDS
from woodlot.units import basal_sqft

__all__ = [
    "Rates",
    "Ticked",
    "built",
    "cords_of",
    "cut_by_stand",
    "felled",
    "is_dead",
    "made",
    "pace_hours_per_cord",
    "rates",
    "ticked",
]

_DEAD = r"\bdead\b|\bsnag"
#: Cords of stem in one of a kind's unit: (kind, unit) -> cords; "" for any felled kind.
Rates = Mapping[tuple[str, str], float]
_NOT_FIREWOOD = r" (?:posts?|poles?|sap|syrup|plant[a-z]*|deer|fenc[a-z]*|trails?|roads?|garden) "
IN_CORDS: Rates = {("", "cord"): 1.0}


def rates(
    trees: pd.DataFrame | None, log_rule: str, solid_cuft_per_cord: float, *, region: Region
) -> dict[tuple[str, str], float]:
    """Cords of stem behind one of each unit in which felled wood is noted.

    trees: tallied trees with cords and bdft, by which board feet of the rule log_rule are turned into cords (None:
    they are not). A post or pole is as long as the middle length of its product; its top is the least, its butt midway
    between that and the thickest it may have.
    """
    out = dict(IN_CORDS) | {("", "cuft"): 1.0 / solid_cuft_per_cord}
    logs = None if trees is None else trees[(trees["bdft"] > 0) & trees["alive"]]
    if logs is not None and len(logs):
        out["", f"bdft_{log_rule}"] = float(logs["cords"].sum() / logs["bdft"].sum())
    products = region.table("products", rows=())
    for kind in ROUND_KINDS:
        rows = products[(products["kind"] == kind) & (products["by_default"].astype(str) == "yes")]
        if len(rows):
            out[kind, "piece"] = _round_cuft(rows.iloc[-1]) / solid_cuft_per_cord
    return out


def _round_cuft(row: pd.Series) -> float:
    """Cubic feet of a round piece of a product's row."""
    top = float(row["least_top_in"])
    butt = top if pd.isna(row["most_butt_in"]) else (top + float(row["most_butt_in"])) / 2.0
    lengths = sorted(map(float, str(row["lengths_ft"]).split(";")))
    ends = (top**2 + top * butt + butt**2) / 3.0
    return float(basal_sqft(np.sqrt(ends))) * lengths[len(lengths) // 2]


def _since(book: pd.DataFrame, since: date | None) -> pd.DataFrame:
    """Standing lines on or after a day (None: all)."""
    lines = book_lines.standing(book) if len(book) else book
    return lines if since is None else lines[pd.to_datetime(lines["date"]) >= pd.Timestamp(since)]


def cords_of(lines: pd.DataFrame, by: Rates) -> pd.Series:
    """Cords of stem of standing lines of felled kinds; missing for other kinds, units without a rate, no amount."""
    unit, kind = lines["unit"].fillna("").astype(str), lines["kind"].astype(str)
    rate = [by.get((k, u), by.get(("", u), np.nan)) for k, u in zip(kind, unit, strict=True)]
    cords = pd.to_numeric(lines["amount"], errors="coerce") * np.array(rate, dtype=float)
    return cords.where(kind.isin(FELLED_KINDS))


def is_dead(lines: pd.DataFrame) -> pd.Series:
    """Whether the words of lines say that the trees were dead."""
    return lines["text"].fillna("").astype(str).str.lower().str.contains(_DEAD, regex=True)


def made(ledger: pd.DataFrame, product: str, since: date | None, log_rule: str | None = None) -> float:
    """How much of a product was made on or after a day, in its own unit, less pieces of it that were given away.

    product: of trade.PRODUCTS: pieces of posts, poles and sawlogs, board feet, cords of firewood cut, cubic yards of
    chips. Board feet of several rules are not added up: log_rule names the one, else that of the latest line counts.
    Cords given away are wood that was cut: what is left for the house is told by ``wood.on_hand``.

    Example: 9 posts in February and 6 in August, 4 posts given away: 11.
    """
    lines = _since(ledger, since)
    if not len(lines):
        return 0.0
    kind, unit, amount = lines["kind"], lines["unit"].fillna("").astype(str), lines["amount"].fillna(0.0)
    if product == "board feet":
        feet = (kind == "sawlog") & unit.str.startswith("bdft")
        if not feet.any():
            return 0.0
        rule = unit[feet].iloc[-1] if log_rule is None else f"bdft_{log_rule}"
        return float(amount[feet & (unit == rule)].sum())
    usual = LEDGER_KINDS[product].unit
    own = "piece" if usual == "bdft" else usual
    total = float(amount[(kind == product) & (unit == own)].sum())
    given = (kind == "given") & (unit == own) & (own == "piece")
    if not given.any():
        return total
    word = PRODUCTS[product]
    named = _plain(lines["text"]).str.contains(rf" (?:{word.one}|{word.many}) ", regex=True)
    return max(total - float(amount[given & named].sum()), 0.0)


def _plain(texts: pd.Series) -> pd.Series:
    """Words of lines in lower case, each between blanks."""
    words = texts.fillna("").astype(str).str.lower().str.replace(r"[^a-z0-9]+", " ", regex=True)
    return " " + words + " "


def built(ledger: pd.DataFrame, name: str, since: date | None) -> float:
    """How many of a build are done since a day: lines of kind "built" whose words hold its name; one without amount."""
    lines = _since(ledger, since)
    if not len(lines):
        return 0.0
    plain = " ".join("".join(c if c.isalnum() else " " for c in name.lower()).split())
    here = (lines["kind"] == "built") & _plain(lines["text"]).str.contains(rf" {re.escape(plain)}(?:e?s)? ", regex=True)
    return float(lines.loc[here & lines["unit"].fillna("build").eq("build"), "amount"].fillna(1.0).sum())


def pace_hours_per_cord(ledger: pd.DataFrame) -> tuple[float, int] | None:
    """Hours of work a cord of firewood by the family's own notes, and how many winters have both; None without.

    Winters begin in May. Hours of work noted beside posts, deer or planting are those of the line's words: a line that
    speaks of no wood but of such things does not count.
    """
    lines = _since(ledger, None)
    if not len(lines):
        return None
    amount, unit = lines["amount"], lines["unit"].fillna("").astype(str)
    day = pd.to_datetime(lines["date"])
    winter = day.dt.year - (day.dt.month < 5)
    work = (lines["kind"] == "work").to_numpy(dtype=bool) & (unit == "h").to_numpy(dtype=bool)
    work[work] = ~_plain(lines["text"][work]).str.contains(_NOT_FIREWOOD, regex=True).to_numpy(dtype=bool)
    hours = amount.where(work).groupby(winter).sum(min_count=1)
    cords = amount.where((lines["kind"] == "firewood") & (unit == "cord")).groupby(winter).sum(min_count=1)
    both = (hours > 0) & (cords > 0)
    return (float(hours[both].sum() / cords[both].sum()), int(both.sum())) if both.any() else None


def felled(
    ledger: pd.DataFrame, since: date | None, by: Rates = IN_CORDS, *, until: date | None = None, dead: bool = True
) -> pd.DataFrame:
    """Felled wood on or after a day: a row a line with date, stand_id (None where none is written) and cords.

    by: cords of each unit (``rates``; else only lines in cords count); dead: whether trees that were dead count too.
    """
    lines = _since(ledger, since)
    if not len(lines):
        return pd.DataFrame({"date": pd.to_datetime([]), "stand_id": pd.Series(dtype=object), "cords": 0.0})
    cords = cords_of(lines, by)
    here = cords.notna()
    if until is not None:
        here &= pd.to_datetime(lines["date"]) <= pd.Timestamp(until)
    if not dead:
        here &= ~is_dead(lines)
    return lines.loc[here, ["date", "stand_id"]].assign(cords=cords[here].astype(float))


def cut_by_stand(
    ledger: pd.DataFrame, since: date | None, by: Rates = IN_CORDS, *, until: date | None = None, dead: bool = True
) -> pd.Series:
    """Cords felled in each stand on or after a day, by stand_id; the arguments as for ``felled``."""
    rows = felled(ledger, since, by, until=until, dead=dead).dropna(subset="stand_id")
    return rows.groupby(rows["stand_id"].astype(str))["cords"].sum()


@dataclass(frozen=True)
class Ticked:
    """A job as it was planned, what was cut of it since the winter began, and what is to go; days likewise."""

    planned_cords: float
    cut_cords: float
    to_go_cords: float
    planned_days: float
    days_to_go: float


def ticked(to_go_cords: float, days_to_go: float, cut_cords: float) -> Ticked:
    """A job by what is to go of it: a schedule has taken off what was cut already, so that the plan was both together.

    Days go with the cords. Example: 4.5 cords and 6 days to go, 3.5 cut: 8.0 cords and 10.7 days were planned.
    """
    planned = to_go_cords + cut_cords
    days = days_to_go * planned / to_go_cords if to_go_cords > 0 else days_to_go
    return Ticked(planned, cut_cords, to_go_cords, days, days_to_go)

"""The bag: what past kills say of the herd there must have been.

reconstruct         kills by age over years -> herd by age over years (least herd when no natural death is allowed for)
sex_age_kill        kill of bucks and ratios -> bucks, does, fawns before the hunt (whole counties, not one parcel)
catch_effort        kill against effort within a season -> deer at the start; refuses under 25 kills
weights_trend       mean dressed pounds of a class by season
fall_of             the fall whose season a day belongs to
taken_by_year       deer the family took by season, from bag and ledger

None of these has limits from sampling: their range is one of assumptions. They speak of the deer of a wide ground.
"""

from typing import NamedTuple

import numpy as np
import pandas as pd

from woodlot.deer.answer import Taken
from woodlot.deer.defaults import default
from woodlot.errors import InputError, NoAnswer

ANTLERLESS = ("doe", "yearling doe", "doe fawn", "buck fawn")
BUCKS = ("buck", "yearling buck")
#: Month from which a day belongs to the coming fall; before it, January's hunt too, to the season that began last fall.
TURNS = 7

__all__ = [
    "CatchEffort",
    "SexAgeKill",
    "catch_effort",
    "fall_of",
    "reconstruct",
    "sex_age_kill",
    "taken_by_year",
    "weights_trend",
]


def fall_of(day):
    """Year of the fall whose season a day belongs to, for a day or a column of days: 3 January 2027 -> 2026."""
    told = day.dt if isinstance(day, pd.Series) else day
    return told.year - (told.month < TURNS)


def reconstruct(kill_by_age, last_rate, natural_survival=1.0) -> np.ndarray:
    """Deer alive before each hunt by age, rebuilt backward from kills by age.

    Parameters: kill_by_age, a row a year (oldest year first) and a column an age, the last column all older ages
    together; last_rate: share of each age taken in the last year, number or one an age; natural_survival: share alive
    from one hunt to the next apart from the hunt (1 gives the least herd there can have been).
    Returns an array of the same shape. Raises InputError for fewer than two ages, negative kills or rates outside 0-1.

    Notes: last year N = H / rate; the two oldest ages are split as their kills; younger ones N[a,t] = H[a,t] +
    N[a+1,t+1] / s. A wrong last rate matters less with every year back.
    Source: method after Downing (from memory), key downing_1980; example derived.
    """
    kill = np.asarray(kill_by_age, dtype=float)
    rate, s = np.asarray(last_rate, dtype=float), float(natural_survival)
    if kill.ndim != 2 or kill.shape[1] < 2 or kill.shape[0] < 1 or not np.all(kill >= 0):
        raise InputError("kill_by_age needs a row a year and two ages or more, none negative")
    if np.any(rate <= 0) or np.any(rate > 1) or not 0 < s <= 1:
        raise InputError(f"rates lie above 0 and up to 1, were {last_rate!r} and {natural_survival!r}")
    herd = np.empty_like(kill)
    herd[-1] = kill[-1] / rate
    for t in range(len(kill) - 2, -1, -1):
        oldest = kill[t, -2] + kill[t, -1] + herd[t + 1, -1] / s
        both = kill[t, -2] + kill[t, -1]
        if both == 0:
            raise InputError(f"year {t + 1}: the two oldest ages have no kill; pool them with the age below")
        herd[t, -1] = oldest * kill[t, -1] / both
        herd[t, -2] = oldest - herd[t, -1]
        herd[t, :-2] = kill[t, :-2] + herd[t + 1, 1:-1] / s
    return herd


class SexAgeKill(NamedTuple):
    """The herd before the hunt and the share of grown bucks that the registered kill is."""

    buck_rate: float
    bucks: float
    does: float
    fawns: float
    all: float


def sex_age_kill(kill_bucks, registered_share, yearling_share_bucks, does_per_buck, fawns_per_doe) -> SexAgeKill:
    """Bucks, does, fawns before the hunt from the kill of grown bucks, numbers or arrays.

    Parameters: kill_bucks [grown bucks registered], registered_share [share of buck deaths that are registered kill],
    yearling_share_bucks [share of yearlings among grown bucks killed, in a steady herd the share of bucks that die a
    year], does_per_buck, fawns_per_doe [ratios in fall]. Raises InputError for shares outside 0-1.

    Notes: rate = registered_share x yearling_share; bucks = kill / rate; does and fawns by the ratios. It breaks when
    antler rules change the yearling share.

    >>> round(sex_age_kill(464, 0.60, 0.49, 1.59, 0.471).all)
    5270

    Source: Wisconsin Department of Natural Resources, key wisconsin_sak_2008.
    """
    shares = np.asarray(registered_share, dtype=float), np.asarray(yearling_share_bucks, dtype=float)
    if any(np.any(x <= 0) or np.any(x > 1) for x in shares):
        raise InputError("registered_share and yearling_share_bucks must lie above 0 and up to 1")
    rate = registered_share * yearling_share_bucks
    bucks = kill_bucks / rate
    does = bucks * does_per_buck
    fawns = does * fawns_per_doe
    return SexAgeKill(rate, bucks, does, fawns, bucks + does + fawns)


class CatchEffort(NamedTuple):
    """Deer at the start of the season and the share of them one unit of effort takes."""

    herd: float
    catchability: float


def catch_effort(kill, effort, ricker: bool = False, region: str = "base") -> CatchEffort:
    """Deer at the start of a season from kill and effort by day or week, in order.

    Parameters: kill [deer], effort [hours, days], arrays of one length; ricker: count half of each period's own kill as
    gone. Raises NoAnswer under 25 kills, where the kill an effort does not fall, or with fewer than 3 periods: one
    family's season will usually end there. Raises InputError for uneven or negative input.

    Notes: kill/effort regressed on the kill before: slope -q, intercept q N.
    Source: Leslie's regression and Ricker's variant (from memory), limits from Conder, Bishir and Lancia 1986 (abstract
    read), key conder_1986.
    """
    c, e = np.asarray(kill, dtype=float), np.asarray(effort, dtype=float)
    if c.ndim != 1 or c.shape != e.shape or np.any(c < 0) or np.any(e <= 0):
        raise InputError("kill and effort need one entry a period each, effort above zero")
    least = int(default("least_kill_catch_effort", region))
    if c.sum() < least or len(c) < 3:
        raise NoAnswer(
            f"{c.sum():.0f} kills in {len(c)} periods; this needs {least} kills or more in three periods or more"
        )
    gone = np.concatenate([[0.0], np.cumsum(c)[:-1]]) + (c / 2 if ricker else 0.0)
    slope, start = np.polyfit(gone, c / e, 1)
    if slope >= 0:
        raise NoAnswer("the kill an hour did not fall over the season, so it cannot say how many there were")
    return CatchEffort(float(-start / slope), float(-slope))


def weights_trend(bag: pd.DataFrame, sex_age: str) -> pd.DataFrame:
    """Deer weighed and mean dressed pounds of one class by season: year, deer, dressed_lb. An index of condition."""
    rows = bag[bag["sex_age"].eq(sex_age) & bag["dressed_lb"].notna()]
    return rows.groupby("year", as_index=False).agg(deer=("number", "sum"), dressed_lb=("dressed_lb", "mean"))


def taken_by_year(bag: pd.DataFrame | None, ledger: pd.DataFrame | None) -> dict[int, Taken]:
    """Deer the family took, by season; does are all deer without antlers, buck fawns too.

    Bag and the standing lines of the ledger (kind "deer", by `fall_of`) may hold the same deer or each some of its own:
    of each season and kind the larger of the two numbers counts.
    """
    books = []
    if bag is not None and len(bag):
        books.append(pd.DataFrame({"year": bag["year"], "who": bag["sex_age"], "n": bag["number"].fillna(1)}))
    if ledger is not None and len(ledger):
        rows = ledger[ledger["kind"].eq("deer")]
        year = fall_of(pd.to_datetime(rows["date"]))
        books.append(pd.DataFrame({"year": year, "who": rows["sex_age"], "n": rows["amount"].fillna(1)}))
    if not books:
        return {}
    rows = pd.concat(books, keys=range(len(books)), names=["book", None]).dropna(subset=["year"]).reset_index("book")
    n = rows["n"].astype(float)
    bucks, does = (n.where(rows["who"].isin(kinds), 0.0) for kinds in (BUCKS, ANTLERLESS))
    each = pd.DataFrame({"bucks": bucks, "does": does}).groupby([rows["year"].astype(int), rows["book"]]).sum()
    most = each.groupby("year").max()
    pairs = zip(most.index, most["bucks"], most["does"], strict=True)
    return {int(year): Taken(float(b), float(d)) for year, b, d in pairs}

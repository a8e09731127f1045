"""Meat: pounds and meals from deer taken, by sex and age, as a range of assumptions.

A household wants to know what is in the freezer and what a season may add, in boneless pounds and in meals: by the
scale where a deer was weighed, by its class where it was not, and never less than a number for a deer it has eaten.

boneless_lb         boneless pounds from dressed pounds
dressed_lb          dressed weight of a class: (middle, low, high)
pounds_of           boneless pounds of one deer of a class
servings            meals from boneless pounds
meat                a take (class -> number) -> Estimate in pounds
meat_of_take        bucks and does of unknown age -> Estimate in pounds
meat_of_kills       the family's kills of one season, weighed and not -> Estimate in pounds
"""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pandas as pd

from woodlot.deer.bag import fall_of
from woodlot.deer.bag import noted as bag_rows
from woodlot.deer.defaults import default, default_range
from woodlot.errors import InputError
from woodlot.estimate import Estimate, Reason, reason
from woodlot.region import Region
from woodlot.trade import ANTLERED, SEX_AGE, unknown

__all__ = ["assumed", "boneless_lb", "dressed_lb", "meat", "meat_of_kills", "meat_of_take", "pounds_of", "servings"]


def boneless_lb(dressed_lb, boneless_per_dressed: float | None = None, *, region: Region):
    """Boneless pounds from field-dressed pounds, number or array; the share is .40 (.33 to .53) unless given.

    >>> round(boneless_lb(120, 0.48), 1)
    57.6
    """
    share = default("boneless_per_dressed", region) if boneless_per_dressed is None else boneless_per_dressed
    if np.any(np.asarray(dressed_lb, dtype=float) < 0) or not 0 < share <= 1:
        raise InputError(f"dressed pounds cannot be negative and the share lies above 0: {dressed_lb!r}, {share!r}")
    return dressed_lb * share


def pounds_of(sex_age: str, region: Region) -> float:
    """Boneless pounds of one deer of a class, middle: doe 44.8, yearling buck 46, buck 62."""
    return float(boneless_lb(dressed_lb(sex_age, region)[0], region=region))


def servings(boneless, region: Region):
    """Meals of 3 oz cooked from boneless pounds: 16 oz x cooked share / 3, about 4 from a pound."""
    return boneless * 16.0 * default("cooked_per_raw", region) / default("serving_cooked_oz", region)


def dressed_lb(sex_age: str, region: Region) -> tuple[float, float, float]:
    """Dressed weight of one deer of a class, pounds: (middle, low, high). Raises InputError for an unknown class.

    Of a deer nobody could tell and one without antlers: the mean of the middles of the classes it may be, their ends.
    """
    rows = region.table("deer_weights")
    told = ~rows["sex_age"].isin(ANTLERED) if sex_age == "antlerless" else rows["sex_age"].eq(sex_age)
    rows = rows if sex_age == "deer" else rows[told]
    if not len(rows):
        raise InputError(f"class of deer {sex_age!r}: {unknown(sex_age, SEX_AGE)}")
    return float(rows["dressed_lb"].mean()), float(rows["low"].min()), float(rows["high"].max())


def meat(take: Mapping[str, float], *, region: Region) -> Estimate:
    """Boneless pounds of a take (class -> number of deer), lowest to highest of weight and yield: no odds."""
    weights = {k: dressed_lb(k, region) for k, n in take.items() if n}
    middle, low, high = (
        float(boneless_lb(sum(take[k] * w[i] for k, w in weights.items()), share, region=region))
        for i, share in enumerate((None, *default_range("boneless_per_dressed", region)))
    )
    deer = sum(take[k] for k in weights)
    if not deer:
        return Estimate(0.0, "pounds", kind="none", why=reason("no deer"))
    return Estimate(middle, "pounds", low, high, kind="assumptions", n=int(deer), why=assumed(region))


def meat_of_take(bucks: float, does: float, *, region: Region) -> Estimate:
    """Boneless pounds of so many bucks and does of unknown age: lowest if all are yearlings, highest if grown."""
    young = meat({"yearling buck": bucks, "yearling doe": does}, region=region)
    grown = meat({"buck": bucks, "doe": does}, region=region)
    if not bucks + does:
        return young
    return replace(grown, value=((young.value or 0.0) + (grown.value or 0.0)) / 2, low=young.low, high=grown.high)


def meat_of_kills(bag: pd.DataFrame | None, ledger: pd.DataFrame | None, fall: int, *, region: Region) -> Estimate:
    """Boneless pounds of the deer that the family killed in the season of a fall: weighed ones by the scale, others by
    their class.

    bag: rows of bag.csv; ledger: its standing lines. Both may hold the same deer: of bucks, and of all others, those of
    the bag count, and of the ledger as many as it has more, each as the mean of the ledger's.
    """
    total, deer = np.zeros(3), 0.0
    books = _kills(bag, ledger, fall, region)
    for horned in (True, False):
        ours, theirs = (rows[rows["sex_age"].isin(ANTLERED) == horned] for rows in books)
        more = max(0.0, float(theirs["n"].sum() - ours["n"].sum()))
        each = (theirs[list(ENDS)].mul(theirs["n"], axis=0).sum() / max(float(theirs["n"].sum()), 1e-9)).to_numpy(float)
        total += ours[list(ENDS)].mul(ours["n"], axis=0).sum().to_numpy(float) + more * each
        deer += float(ours["n"].sum()) + more
    if not deer:
        return Estimate(0.0, "pounds", kind="none", why=reason("no deer"))
    shares = (None, *default_range("boneless_per_dressed", region))
    middle, low, high = (
        float(boneless_lb(pounds, share, region=region)) for pounds, share in zip(total, shares, strict=True)
    )
    return Estimate(middle, "pounds", low, high, kind="assumptions", n=round(deer), why=assumed(region))


#: Dressed pounds of one deer: middle, low, high.
ENDS = ("lb", "low_lb", "high_lb")


def _kills(bag, ledger, fall: int, region: Region) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Rows of bag and ledger of one fall: sex_age, n, and the dressed pounds of one deer."""
    none = pd.DataFrame(columns=["sex_age", "n", "scale_lb"])
    weighed, noted = none, none
    if bag is not None and len(bag):
        rows = bag[bag["year"] == fall].rename(columns={"number": "n", "dressed_lb": "scale_lb"})
        weighed = rows.reindex(columns=none.columns)
    if ledger is not None and len(ledger):
        rows = ledger[ledger["kind"].eq("deer") & (fall_of(pd.to_datetime(ledger["date"])) == fall)]
        told = bag_rows(rows).rename(columns={"number": "n", "dressed_lb": "scale_lb"})
        noted = told.reindex(columns=none.columns)
    return _with_pounds(weighed, region), _with_pounds(noted, region)


def _with_pounds(rows: pd.DataFrame, region: Region) -> pd.DataFrame:
    who = rows["sex_age"].astype(object).where(rows["sex_age"].notna(), "deer")
    ends = {one: dressed_lb(one, region) for one in who.unique()}
    pounds = {
        name: rows["scale_lb"].astype(float).fillna(who.map({one: each[k] for one, each in ends.items()}).astype(float))
        for k, name in enumerate(ENDS)
    }
    return pd.DataFrame({"sex_age": who, "n": rows["n"].astype(float).fillna(1.0), **pounds})


def assumed(region: Region) -> Reason:
    """What the range of pounds rests on: weights by class, and boneless pounds of a hundred dressed."""
    low, high = default_range("boneless_per_dressed", region)
    share = default("boneless_per_dressed", region)
    of_carcass = share / default("carcass_per_dressed", region)
    return reason("weights assumed", pct=100 * share, ends=(100 * low, 100 * high), of_carcass_pct=100 * of_carcass)

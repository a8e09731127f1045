"""Meat: pounds and meals from deer taken, by sex and age, as a range of assumptions.

boneless_lb         boneless pounds from dressed pounds
dressed_lb          dressed weight of a class: (middle, low, high)
pounds_of           boneless pounds of one deer of a class
servings            meals from boneless pounds
meat                a take (class -> number) -> Estimate in pounds
meat_of_take        bucks and does of unknown age -> Estimate in pounds
"""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from woodlot.deer.defaults import default, default_range
from woodlot.errors import InputError
from woodlot.estimate import Estimate, reason
from woodlot.region import Region
from woodlot.trade import SEX_AGE, unknown

__all__ = ["boneless_lb", "dressed_lb", "meat", "meat_of_take", "pounds_of", "servings"]


def boneless_lb(dressed_lb, boneless_per_dressed: float | None = None, *, region: Region):
    """Boneless pounds from field-dressed pounds, number or array; the share is .40 (.35 to .48) unless given.

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
    """Dressed weight of one deer of a class, pounds: (middle, low, high). Raises InputError for an unknown class."""
    rows = region.table("deer_weights")
    rows = rows[rows["sex_age"] == sex_age]
    if len(rows) != 1:
        raise InputError(f"class of deer {sex_age!r}: {unknown(sex_age, SEX_AGE)}")
    r = rows.iloc[0]
    return float(r["dressed_lb"]), float(r["low"]), float(r["high"])


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
    return Estimate(middle, "pounds", low, high, kind="assumptions", n=int(deer), why=reason("weights assumed"))


def meat_of_take(bucks: float, does: float, *, region: Region) -> Estimate:
    """Boneless pounds of so many bucks and does of unknown age: lowest if all are yearlings, highest if grown."""
    young = meat({"yearling buck": bucks, "yearling doe": does}, region=region)
    grown = meat({"buck": bucks, "doe": does}, region=region)
    if not bucks + does:
        return young
    return replace(grown, value=((young.value or 0.0) + (grown.value or 0.0)) / 2, low=young.low, high=grown.high)

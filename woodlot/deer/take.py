"""How many deer a year the herd can bear, what of that is the family's, and how fractions become whole deer.

Allowance, allowance    a year's take on the ground the deer use: if the neighbors take none, if they take the local
                        rate, and the part that is the family's own
carry                   fractions carried from season to season, and the whole deer of the last season
every                   "one doe every second year"
doe_words, buck_words   what the season's number means, and why
neighbor_words          both ends: neighbors take none, neighbors take the local rate
thinning_rate           doe rate to bring a herd down, only on request

A kill on 80 acres comes out of a herd that uses 1,100 or more: (family + neighbors) / herd on that ground is the rate.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor

import numpy as np

from woodlot.errors import InputError
from woodlot.units import AC_PER_SQMI

__all__ = [
    "Allowance",
    "allowance",
    "buck_words",
    "carry",
    "doe_words",
    "every",
    "neighbor_words",
    "thinning_rate",
]

_ORDINAL = {2: "second", 3: "third", 4: "fourth", 5: "fifth"}


@dataclass(frozen=True)
class Allowance:
    """Deer a year, fractions kept.

    if_none: what all the ground the deer use can give if no neighbor takes any; if_local: what is left of it when the
    neighbors take the local rate; share: the part of its acres; own: the family's by the rule, the lesser of if_local
    and share. Does are set by own. Bucks are set by share: their number hardly moves the herd.
    """

    if_none: float
    if_local: float
    share: float
    own: float


def allowance(
    per_sqmi: float,
    rate: float,
    *,
    deaths_per_deer: float,
    acres: float,
    effective_ac: float,
    neighbors_per_sqmi: float,
) -> Allowance:
    """A year's allowance of one kind of deer.

    Parameters: per_sqmi [deer of that kind per square mile in fall], rate [share that may be taken by everybody],
    deaths_per_deer [unrecovered deaths for each one recovered], acres [ac] of the family, effective_ac [ac] used by
    the deer, neighbors_per_sqmi [deer taken per square mile a year around].

    Notes: bear = rate x per_sqmi / (1 + deaths_per_deer); if_none = bear x effective / 640; if_local takes off
    neighbors x (effective - acres) / 640; own = min(if_local, bear x acres / 640).
    Source: deer page G3, G4 and honest-numbers page 1.22, 1.23 of the reference pages, key woodlot_deer.
    """
    if min(per_sqmi, rate, deaths_per_deer, acres, neighbors_per_sqmi) < 0 or effective_ac < acres:
        raise InputError("an allowance needs numbers of zero or more, and ground used of no less than the acres")
    bear = rate * per_sqmi / (1.0 + deaths_per_deer) / AC_PER_SQMI
    if_none = bear * effective_ac
    if_local = max(0.0, if_none - neighbors_per_sqmi * (effective_ac - acres) / AC_PER_SQMI)
    share = bear * acres
    return Allowance(if_none, if_local, share, min(if_local, share))


def carry(budgets: Sequence[float], taken: Sequence[float], fell: Sequence[bool], years: int) -> tuple[int, float]:
    """Whole deer for the last season, and the fraction that is left with it.

    budgets: the yearly allowance of each season, oldest first; taken: deer taken in each; fell: whether the index fell
    in it (what was saved up is then void, what was overdrawn is not). Only the last ``years`` seasons count. Rounded
    down; never below zero.
    """
    if not len(budgets) == len(taken) == len(fell):
        raise InputError("budgets, taken and fell need one entry a season")
    balance = 0.0
    for budget, killed, drop in list(zip(budgets, taken, fell, strict=True))[-years:]:
        balance = (min(balance, 0.0) if drop else balance) + budget - killed
    whole = max(0, floor(balance + 1e-9))
    return whole, balance - whole


def every(per_yr: float, one: str) -> str:
    """Words for a yearly rate: "one doe every second year", "2 bucks in 3 years"; ``one`` is "doe" or "buck".

    Notes: the fewest years, up to 5, whose whole deer come within 15 percent of the rate; below one in 5 the years.
    """
    if per_yr <= 0:
        return f"no {one}"
    for years in range(1, 6):
        n = round(per_yr * years)
        if n and abs(per_yr - n / years) <= 0.15 * per_yr:
            break
    else:
        n, years = 1, max(round(1.0 / per_yr), 1)
    deer = f"one {one}" if n == 1 else f"{n} {one}s"
    if years == 1:
        return f"{deer} a year"
    return f"{deer} every {_ORDINAL[years]} year" if n == 1 and years in _ORDINAL else f"{deer} in {years} years"


def thinning_rate(hold, deer, target, most: float = 0.40):
    """Share of does to take a year to bring a herd of ``deer`` to ``target``: hold rate plus half the gap, 0 to .40.

    Only on request, where browsing is high two years running and the neighbors take part: in simulated herds this rule
    falls below half its target at some time in most runs (tests/plan/test_hunt_trials.py). Numbers or arrays.
    """
    out = np.clip(hold + (deer - target) / (2.0 * np.maximum(deer, 1e-9)), 0.0, most)
    return float(out) if np.ndim(out) == 0 else out


def doe_words(whole: int, left: float, own: float, *, reason: str = "", years: int = 5) -> str:
    """Words for the does of a season: the ``reason`` there is none, or the number and what it is a share of."""
    return reason or _carried(whole, left, own, "doe", years)


def buck_words(whole: int, left: float, share: float, *, reason: str = "", years: int = 5) -> str:
    """Words for the bucks of a season, as `doe_words`."""
    return reason or _carried(whole, left, share, "buck", years)


def _carried(whole: int, left: float, per_yr: float, one: str, years: int) -> str:
    share = f"This ground's share is about {every(per_yr, one)}"
    if whole:
        deer = one if whole == 1 else one + "s"
        return f"{whole} {deer} at most this fall. {share}; fractions are carried {years} years."
    if left < 0:
        return f"No {one} this year: more than the share was taken lately. {share}."
    if per_yr * years < 1:
        return f"No {one} this year. {share}, and fractions are not kept longer than {years} years."
    return f"No {one} this year. {share}."


def neighbor_words(
    does: Allowance, bucks: Allowance, acres: float, effective_ac: float, around: tuple[float, float], known: bool
) -> str:
    """Both ends in one paragraph; around: (bucks, does) the neighbors take per square mile a year."""
    return (
        f"The deer that come here use about {effective_ac:,.0f} acres; yours are {100 * acres / effective_ac:.0f}% of "
        f"them. If no neighbor took any, that ground could give {does.if_none:.1f} does and {bucks.if_none:.1f} bucks "
        f"a year; at {around[1]:.1f} does and {around[0]:.1f} bucks a square mile ({'given' if known else 'assumed'}) "
        f"{does.if_local:.1f} and {bucks.if_local:.1f} are left. Neighbors and state rules decide too."
    )

"""How many deer a year the herd can bear, what of that is the family's, and how fractions become whole deer.

Allowance, allowance    a year's take on the ground the deer use: if the neighbors take none, if they take the local
                        rate, and the part that is the family's own
carry                   fractions carried from season to season, and the whole deer of the last season
never_whole, scant      a share too small to make a whole deer while its fractions are kept, and why
thinning_rate           doe rate to bring a herd down, only on request

A kill on 80 acres comes out of a herd that uses 1,100 or more: (family + neighbors) / herd on that ground is the rate.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor

import numpy as np

from woodlot.errors import InputError
from woodlot.estimate import Reason, reason
from woodlot.units import AC_PER_SQMI

__all__ = ["Allowance", "allowance", "carry", "never_whole", "scant", "thinning_rate"]

_TINY = 1e-9


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
    """Whole deer for the last season, and what is left beside them (below zero: more was taken than the shares gave).

    A family wants its share over the years, and no more deer in one fall for having stayed at home in another: a deer
    that was not taken may have been a neighbor's or the winter's. So only fractions are carried.

    budgets: the yearly allowance of each season, oldest first; taken: deer taken in each; fell: whether the index fell
    in it (what was saved up is then void, what was overdrawn is not).

    Notes: less than one deer is carried into a season, so none offers more than its share rounded up. Whole deer that
    were left in the woods lapse; only where the share is under one a year, the one that its fractions made is offered
    until it is taken. Kills use the oldest fractions first; a fraction lapses after ``years`` seasons, a debt does not.
    Rounded down; never below zero.
    """
    if not len(budgets) == len(taken) == len(fell):
        raise InputError("budgets, taken and fell need one entry a season")
    kept: list[float] = []  # what is left of the budget of each of the last seasons, oldest first
    owed = 0.0
    for budget, killed, drop in zip(budgets, taken, fell, strict=True):
        kept = [] if drop or years < 2 else kept[1 - years :]
        whole = floor(sum(kept) + _TINY)
        if whole:
            still = 1.0 - budget if budget > 0 else 0.0
            kept, _ = _spend(kept, min(whole, sum(kept) - still))
        kept, owed = _spend([*kept, budget], owed + killed)
    balance = sum(kept) - owed
    whole = max(0, floor(balance + _TINY))
    return whole, balance - whole


def _spend(kept: list[float], deer: float) -> tuple[list[float], float]:
    """Take so many deer off what is kept, the oldest first: what is left, and what it did not cover."""
    left = []
    for have in kept:
        gone = min(have, deer)
        left.append(have - gone)
        deer -= gone
    return left, deer


def thinning_rate(hold, deer, target, most: float = 0.40):
    """Share of does to take a year to bring a herd of ``deer`` to ``target``: hold rate plus half the gap, 0 to .40.

    Only on request, where browsing is high two years running and the neighbors take part: in simulated herds this rule
    falls below half its target at some time in most runs (tests/plan/test_hunt_trials.py). Numbers or arrays.
    """
    out = np.clip(hold + (deer - target) / (2.0 * np.maximum(deer, 1e-9)), 0.0, most)
    return float(out) if np.ndim(out) == 0 else out


def never_whole(per_yr: float, years: int) -> bool:
    """Whether a yearly share is too small to make a whole deer within the seasons that its fractions are kept."""
    return per_yr * years < 1.0 - _TINY


def scant(a: Allowance, per_yr: float, one: str, acres: float, years: int) -> Reason | None:
    """Why a share never makes a whole deer; None where it does make one. one: "doe" or "buck".

    What the family wants to know is whether to wait, to join others, or to let it be: so a herd that could not give one
    on all the ground it uses, neighbors who leave none, and too few acres are three answers.
    """
    if not never_whole(per_yr, years):
        return None
    if never_whole(a.if_none, years):
        return reason("thin herd", one=one, years=years)
    if per_yr < a.share:
        return reason("neighbors leave none", one=one, years=years)
    return reason("too little ground", one=one, years=years, acres=acres / (a.share * years))

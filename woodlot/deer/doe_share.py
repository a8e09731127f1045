"""The family's share of what the herd can give.

firsts       the herd of the first falls on record, by draw
can_give     does a square mile that the herd can give this fall and hold, by draw
spared       how much of that is taken, by how the herd stands beside its first falls, by draw
gives, give  does a square mile that are taken of what the herd can give, by draw and as one number
share        does a year of the family's acres
bank         years owed, from what was offered and taken
closed       whether no doe is to be taken this fall, and why; LOW: how low the herd then is

A family wants the meat its ground grows, this year and for those who come after, without being the ones who halve the
herd: so it takes its share of what the herd puts on, little or nothing of it while the herd stands well under what it
was, and more than that while it stands over. Each draw is judged against its own first falls: what nobody knows of
pellets and numbers is the same then and now, so a trend shows where a number does not. What is kept are years, valued
at today's herd, never whole deer: a deer that nobody took may have been a neighbor's or the winter's.
"""

from collections.abc import Sequence
from math import floor

import numpy as np

from woodlot.deer.herd_fit import Fit, mean
from woodlot.deer.herd_year import Winter, does, next_fall, number
from woodlot.region import Region
from woodlot.units import AC_PER_SQMI

__all__ = [
    "LOW",
    "bank",
    "can_give",
    "closed",
    "firsts",
    "give",
    "gives",
    "growing",
    "growth",
    "offered",
    "share",
    "spared",
]

_TINY = 1e-9
#: Why no doe is taken -> the row of how low the herd then probably is, beside its first falls or last fall.
LOW = {"under reference": "stop_reference", "under last fall": "stop_last", "little to spare": "target_of_reference"}


def firsts(fit: Fit, falls: int = 3) -> np.ndarray:
    """Mean number of the first three falls behind this one (of those there are; this one where none is), by draw."""
    return fit.cloud.numbers[:falls].mean(axis=0) if len(fit.cloud.numbers) else number(fit.now)


def growth(
    now: np.ndarray, rates, first_per_sqmi: float | np.ndarray, region: Region, usual: Winter | None = None
) -> np.ndarray:
    """Yearly growth of does, by draw, of the herd brought to .75 of the one of the first falls, over three usual
    winters, no doe taken.
    """

    def figure(name: str) -> float:
        return region.figure("defaults_herd", name)

    if usual is None:
        usual = Winter(figure("usual_fawns_live"), figure("usual_grown_live"), figure("usual_births"), (0.0, 0.0))
    herd = now * (figure("target_of_reference") * first_per_sqmi / np.maximum(number(now), _TINY))
    start, years = does(herd), int(figure("growth_years"))
    for _ in range(years):
        herd = next_fall(herd, herd, rates, usual)
    return (does(herd) / np.maximum(start, _TINY)) ** (1.0 / years)


def can_give(now: np.ndarray, growing: np.ndarray, lost: float) -> np.ndarray:
    """Does a square mile that may be taken this fall, by draw: max(0, 1 - 1/growth) x does / (1 + lost)."""
    return np.maximum(0.0, 1.0 - 1.0 / np.maximum(growing, _TINY)) * does(now) / (1.0 + lost)


def spared(now: np.ndarray, first_per_sqmi: float | np.ndarray, region: Region) -> np.ndarray:
    """The part of what a herd can give that is taken, by draw: none while it stands under ``spare_from`` of its first
    falls, all at ``spare_all`` of them, straight on up to ``spare_most`` times all.
    """
    low, whole, most = (region.figure("defaults_herd", f"spare_{name}") for name in ("from", "all", "most"))
    return np.clip((number(now) / np.maximum(first_per_sqmi, _TINY) - low) / (whole - low), 0.0, most)


def growing(fit: Fit, region: Region, *, thin: bool = False) -> np.ndarray:
    """`growth` of each draw at its own target; thin: at the one of a wish for fewer deer."""
    return growth(fit.now, fit.cloud.herds.rates, firsts(fit) * _aim(thin, region), region)


def gives(fit: Fit, lost: float, region: Region, *, thin: bool = False) -> np.ndarray:
    """Does a square mile that would be taken this fall of what each herd can give, by draw: all of it in a first fall,
    for there is nothing that the herd could have fallen from.
    """
    each = can_give(fit.now, growing(fit, region, thin=thin), lost)
    begins = not len(fit.cloud.numbers)
    part = np.ones(fit.cloud.n) if begins else spared(fit.now, firsts(fit) * _aim(thin, region), region)
    if thin:
        each = each + region.figure("defaults_herd", "fewer_of_does") * does(fit.now) / (1.0 + lost)
        part = np.minimum(part, 1.0)
    return each * part


def give(fit: Fit, lost: float, region: Region, *, thin: bool = False) -> float:
    """Does a square mile that are taken this fall of what the herd can give; thin: where the wish is fewer deer.

    Notes: the mean over draws of what each can give times what is spared of it. Fewer deer: all by
    ``target_fewer``, with ``fewer_of_does`` of the does, and never more than all of it.
    """
    return mean(gives(fit, lost, region, thin=thin), fit.weights)


def _aim(thin: bool, region: Region) -> float:
    """The herd aimed at over the one aimed at where the wish is to hold it."""
    low = region.figure("defaults_herd", "target_fewer")
    return low / region.figure("defaults_herd", "target_of_reference") if thin else 1.0


def share(give: float, own_ac: float, neighbors_does_per_sqmi: float, region: Region) -> float:
    """Does a year of the family's acres: give x acres / 640, halved where neighbors take over 1.25 times that."""
    half = neighbors_does_per_sqmi > region.figure("defaults_herd", "overhunted") * give
    return give * own_ac / AC_PER_SQMI * (0.5 if half else 1.0)


def bank(shares: Sequence[float], taken: Sequence[float], region: Region) -> tuple[int, float]:
    """Whole does offered in the last fall, and the years then in the bank (below zero: more was taken than was owed).

    shares: does a year, fall by fall, oldest first (0: closed); taken: does taken in each, the last so far this fall.

    Notes: y0 = min(.5 / share, 60); each fall y = min(y, 1 / share) + 1, at most 80; offered floor(y share); then
    y -= taken / share. So never more than one deer beyond this year's is owed, and a crash shrinks what is. A doe
    killed in a fall without a share goes off in the next one that has it.
    """

    def figure(name: str) -> float:
        return region.figure("defaults_herd", name)

    first = next((s for s in shares if s > 0), 0.0)
    years = min(figure("bank_start_deer") / first, figure("bank_start_most_yr")) if first else 0.0
    most, whole, owed = figure("bank_most_yr"), 0, 0.0
    for at, (one, killed) in enumerate(zip(shares, taken, strict=True)):
        years = min(years if one <= 0 else min(years, 1.0 / one), most - 1.0) + 1.0
        if one > 0:
            years, owed = years - owed / one, 0.0
        whole = offered(years, one)
        if at < len(shares) - 1:
            owed += killed
            if one > 0:
                years, owed = years - owed / one, 0.0
    return whole, years


def offered(years: float, one: float) -> int:
    """Whole deer of so many years of a share."""
    return max(0, floor(years * one + _TINY))


def closed(fit: Fit, region: Region) -> str | None:
    """Why no doe is to be taken this fall, of `LOW`; None where one may."""

    def figure(name: str) -> float:
        return region.figure("defaults_herd", name)

    now, first = number(fit.now), firsts(fit)
    if mean(now < figure("stop_reference") * first, fit.weights) > figure("stop_under_reference"):
        return "under reference"
    if len(fit.cloud.numbers):
        fell = now < figure("stop_last") * fit.cloud.numbers[-1]
        if mean(fell, fit.weights) > figure("stop_under_last"):
            return "under last fall"
    whole = mean(can_give(fit.now, growing(fit, region), 0.0), fit.weights)
    return "little to spare" if give(fit, 0.0, region) < figure("spare_least") * whole else None

"""What each count says of a herd: the logarithm of how likely it is, by draw.

PelletCount      a spring's groups on plots
pellets, fawns, buck_share, ages, kill, seen_an_hour, state, milk, complete     log-likelihoods, arrays by draw
so_many, at_least    share of herds under which a count would show so many
winter_half      deer a square mile of the winter half, after the hunt

Constants that are the same in every draw may be left out. Browse, weights and beams are in none of them: they tell how
hard deer press, never how many there are.
"""

from dataclasses import dataclass
from math import log, sqrt

import numpy as np

from woodlot.deer.herd_year import Winter, bucks, does
from woodlot.region import Region
from woodlot.units import AC_PER_SQMI

__all__ = [
    "PelletCount",
    "ages",
    "at_least",
    "buck_share",
    "complete",
    "fawns",
    "kill",
    "milk",
    "pellets",
    "seen_an_hour",
    "so_many",
    "state",
    "winter_half",
]

#: The least share of a herd that a kind of deer is taken to be where some were counted.
_LEAST = 1e-3


@dataclass(frozen=True)
class PelletCount:
    """One spring: groups found, plots, mean groups a plot (parcels by their acres), acre-days of a plot, error of the
    mean (share).
    """

    groups: float
    plots: int
    per_plot: float
    acre_days: float
    cv: float


def winter_half(left: np.ndarray, cold: Winter) -> np.ndarray:
    """Deer a square mile of the winter half, from the herd after the hunt (5, n): half of the winter's deaths are over.

    Notes: W = 2F (1 - fawn loss / 2) + (Y + A + B) (1 - grown loss / 2).
    """
    fawn, grown = cold.losses
    return 2.0 * left[0] * (1.0 - fawn / 2.0) + (left[1] + left[2] + left[3] + left[4]) * (1.0 - grown / 2.0)


def pellets(count: PelletCount, winter_deer: np.ndarray, log_groups_a_day: np.ndarray, region: Region) -> np.ndarray:
    """Of a spring's pellet count: ln(groups a plot) about ln mu, mu = W / 640 x acre-days x groups a day.

    Notes: SD sqrt(ln(1 + cv^2) + .20^2); under 5 groups cv at least sqrt(1/groups + 2/plots); without a group
    -(plots/2) ln(1 + 2 mu).
    """
    mu = _groups_a_plot(count, winter_deer, log_groups_a_day)
    if count.groups <= 0 or count.per_plot <= 0:
        return -count.plots / 2.0 * np.log1p(2.0 * mu)
    var = _pellet_var(count, region)
    return -((log(count.per_plot) - np.log(np.maximum(mu, 1e-300))) ** 2) / (2.0 * var)


def so_many(count: PelletCount, winter_deer: np.ndarray, log_groups_a_day: np.ndarray, region: Region) -> float:
    """Share of these herds under which plots would show so many groups or more."""
    from scipy.special import ndtr

    if count.groups <= 0 or count.per_plot <= 0:
        return 1.0
    mu = np.maximum(_groups_a_plot(count, winter_deer, log_groups_a_day), 1e-300)
    return float(np.mean(ndtr((np.log(mu) - log(count.per_plot)) / sqrt(_pellet_var(count, region)))))


def at_least(per_sqmi: float, log_sd: float, numbers: np.ndarray) -> float:
    """Share of these herds of which a count with such an error would say so many or more."""
    from scipy.special import ndtr

    return float(np.mean(ndtr((np.log(np.maximum(numbers, 1e-300)) - log(per_sqmi)) / log_sd)))


def _groups_a_plot(count: PelletCount, winter_deer: np.ndarray, log_groups_a_day: np.ndarray) -> np.ndarray:
    return winter_deer / AC_PER_SQMI * count.acre_days * np.exp(log_groups_a_day)


def _pellet_var(count: PelletCount, region: Region) -> float:
    cv = count.cv
    if count.groups < region.figure("defaults_herd", "least_groups_a_spring"):
        cv = max(cv, sqrt(1.0 / count.groups + 2.0 / count.plots))
    return log(1.0 + cv**2) + region.figure("defaults_herd", "range_wobble") ** 2


def _part(some: np.ndarray, of: np.ndarray) -> np.ndarray:
    """A part of all, none where there are none: a crowded herd may have raised no fawn, a hunted one have no buck."""
    return np.divide(some, of, out=np.zeros_like(of), where=of > 0)


def _share(seen: float, n: float, q: np.ndarray, doubt: float, chance: float) -> np.ndarray:
    """A share seen against q with chance and doubt; ``chance`` times the binomial variance."""
    q = np.clip(q, _LEAST, 1.0 - _LEAST)
    var = chance * q * (1.0 - q) / n + (doubt * q * (1.0 - q)) ** 2
    return -((seen / n - q) ** 2) / (2.0 * var) - np.log(var) / 2.0


def fawns(seen_fawns: float, seen_does: float, herd: np.ndarray, region: Region) -> np.ndarray:
    """Of fawns among fawns and does seen in late summer and fall: q = 2F / (2F + D)."""
    q = _part(2.0 * herd[0], 2.0 * herd[0] + does(herd))
    return _share(seen_fawns, seen_fawns + seen_does, q, region.figure("defaults_herd", "fawn_ratio_doubt"), 2.0)


def buck_share(seen_bucks: float, seen_does: float, herd: np.ndarray, region: Region) -> np.ndarray:
    """Of bucks among bucks and does at cameras: p = 1.4 B / (1.4 B + D), bucks showing more."""
    shown = region.figure("defaults_herd", "buck_shows") * bucks(herd)
    p = _part(shown, shown + does(herd))
    return _share(seen_bucks, seen_bucks + seen_does, p, region.figure("defaults_herd", "buck_ratio_doubt"), 2.0)


def ages(yearlings: float, older: float, herd: np.ndarray) -> np.ndarray:
    """Of the ages of all bucks killed: binomial B1 / (B1 + B2)."""
    q = np.clip(_part(herd[3], bucks(herd)), 1e-9, 1.0 - 1e-9)
    return yearlings * np.log(q) + older * np.log1p(-q)


def kill(
    bucks_per_sqmi: float | None, does_per_sqmi: float | None, herd: np.ndarray, doe_rate, buck_rate, region: Region
) -> np.ndarray:
    """Of the neighbors' or the unit's kill a square mile: ln bucks about ln vB, ln does about ln uD; none says nothing
    here (its rate is then 0 in every draw).
    """
    out = np.zeros(herd.shape[1])
    for told, rate, deer, name in (
        (bucks_per_sqmi, buck_rate, bucks(herd), "kill_bucks_log_sd"),
        (does_per_sqmi, doe_rate, does(herd), "kill_does_log_sd"),
    ):
        if told:
            sd = region.figure("defaults_herd", name)
            out -= (log(told) - np.log(np.maximum(rate * deer, 1e-300))) ** 2 / (2.0 * sd**2)
    return out


def seen_an_hour(deer: np.ndarray, hours: np.ndarray, numbers: np.ndarray, region: Region) -> np.ndarray:
    """Of deer seen an hour in several falls (k,), against numbers (k, n): a trend only, so its level is left free.

    Notes: ln rate = ln N + one constant + N(0, .25 and chance); the constant by its best value in each draw.
    """
    var = region.figure("defaults_herd", "seen_an_hour_log_sd") ** 2 + 1.0 / (deer + 0.5)
    gap = np.log((deer + 0.5) / hours)[:, None] - np.log(numbers)
    weight = (1.0 / var)[:, None]
    gap = gap - (weight * gap).sum(axis=0) / weight.sum()
    return -(weight * gap**2).sum(axis=0) / 2.0


def state(per_sqmi: float, log_sd: float, numbers: np.ndarray, region: Region) -> np.ndarray:
    """Of the state's figure for the unit: ln figure about ln N, log SD at least .40."""
    sd = max(log_sd, region.figure("defaults_herd", "state_log_sd"))
    return -((log(per_sqmi) - np.log(numbers)) ** 2) / (2.0 * sd**2)


def complete(per_sqmi: float, log_sd: float, winter_deer: np.ndarray, region: Region) -> np.ndarray:
    """Of a complete count in winter, of all deer on its ground: ln count about ln W, with the parcels' own use."""
    var = log_sd**2 + region.figure("defaults_herd", "range_wobble") ** 2
    return -((log(per_sqmi) - np.log(winter_deer)) ** 2) / (2.0 * var)


def milk(with_milk: float, without: float, herd: np.ndarray, region: Region) -> np.ndarray:
    """Of does killed in fall with milk and without: binomial 1 - exp(-1.3 x 2F/D); weak."""
    q = -np.expm1(-region.figure("defaults_herd", "milk_per_fawn") * _part(2.0 * herd[0], does(herd)))
    q = np.clip(q, 1e-9, 1.0 - 1e-9)
    return with_milk * np.log(q) + without * np.log1p(-q)

"""Measurements that are imagined: what one outcome of each would tell of every herd that may stand here.

Herds, herds_of    herds of a fit in the order of what they can give, those that are taken as true, and luck
pellets, cameras, ages, kill, state, complete, last_winter, stand    log-likelihoods of outcome ``one``, by herd
size, hours        how much of a thing is looked at, and the work it is

A biologist who plans a count wants to know what it would likely show and what that would teach: a herd is taken as the
true one, what would be seen there is drawn with the count's own error, and every herd is asked how likely that is, by
the very functions with which the fit reads real counts.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log1p, sqrt

import numpy as np

from woodlot.deer import herd_evidence as says
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_fit import Fall, Fit, Ground
from woodlot.deer.herd_prior import drawn_winters, luck
from woodlot.deer.herd_year import bucks, does, hunted, number, winter
from woodlot.region import Region
from woodlot.units import AC_PER_SQMI

__all__ = [
    "OUTCOMES",
    "Herds",
    "ages",
    "cameras",
    "complete",
    "herds_of",
    "hours",
    "kill",
    "last_winter",
    "losses_drawn",
    "pellets",
    "size",
    "stand",
    "state",
]

#: Outcomes that are imagined of each measurement.
OUTCOMES = 96


@dataclass(frozen=True)
class Herds:
    """Herds by what they can give, ascending: this fall, the first on record, the winter to come; luck of each outcome.

    true: places of the herds that are taken as true in turn; z: (k, outcomes) normal luck.
    """

    now: np.ndarray
    first: np.ndarray
    winter_half: np.ndarray
    log_groups_a_day: np.ndarray
    doe_rate: np.ndarray
    buck_rate: np.ndarray
    last_loss: np.ndarray
    numbers: np.ndarray
    true: np.ndarray
    z: np.ndarray


def herds_of(fit: Fit, some: np.ndarray, falls: Sequence[Fall], ground: Ground, seed: int, region: Region) -> Herds:
    """Herds ``some`` of a fit, in their order, with what the winter to come may leave of them."""
    herds, cloud = fit.cloud.herds, fit.cloud
    rng = np.random.default_rng([seed, falls[-1].year, len(some)])
    now, u, v = fit.now[:, some], herds.doe_rate[some], herds.buck_rate[some]
    left = hunted(now, u, v, (0.0, 0.0), ground.lost, region, ground.neighbors_share)
    odds = (rng.permuted(np.tile(np.arange(OUTCOMES), (2, 1)), axis=1) + 0.5) / OUTCOMES
    return Herds(
        now=now,
        first=(cloud.past[0] if cloud.past else fit.now)[:, some],
        winter_half=says.winter_half(left, winter(drawn_winters(rng, len(some), region), region)),
        log_groups_a_day=herds.log_groups_a_day[some],
        doe_rate=u,
        buck_rate=v,
        last_loss=losses_drawn(cloud.n, falls, seed, region)[some],
        numbers=np.vstack([cloud.numbers, number(fit.now)])[:, some] if cloud.years else number(now)[None],
        true=((np.arange(OUTCOMES) + 0.5) / OUTCOMES * len(some)).astype(int),
        z=_normal(odds),
    )


def _normal(odds: np.ndarray) -> np.ndarray:
    from scipy.special import ndtri

    return np.asarray(ndtri(odds))


def losses_drawn(n: int, falls: Sequence[Fall], seed: int, region: Region) -> np.ndarray:
    """Shares of the herd that the last winter took in each herd, drawn as the fit drew them."""
    if len(falls) < 2:
        return np.zeros(n)
    rng = np.random.default_rng([seed, falls[-2].year])
    luck(rng, n, region)
    return drawn_winters(rng, n, region)


def pellets(h: Herds, new: PelletCount, one: int, region: Region) -> np.ndarray:
    """Groups on the plots ``new`` next spring."""
    true = h.true[one]
    mu = h.winter_half[true] / AC_PER_SQMI * new.acre_days * exp(h.log_groups_a_day[true])
    sd = sqrt(log1p(new.cv**2) + region.figure("defaults_herd", "range_wobble") ** 2)
    per_plot = mu * exp(sd * h.z[0, one])
    found = PelletCount(per_plot * new.plots, new.plots, per_plot, new.acre_days, new.cv)
    return says.pellets(found, h.winter_half, h.log_groups_a_day, region)


def _seen(share: float, n: float, doubt: float, z: float) -> float:
    """A share seen of n, with chance and doubt as the fit has them."""
    sd = sqrt(2.0 * share * (1.0 - share) / n + (doubt * share * (1.0 - share)) ** 2)
    return min(max(share + sd * z, 0.01), 0.99)


def cameras(h: Herds, one: int, region: Region) -> np.ndarray:
    """Fawns, does and bucks in the pictures of some weeks."""

    def figure(name: str) -> float:
        return region.figure("defaults_herd", name)

    herd = h.now[:, h.true[one]]
    doe_photos = figure("photos_a_week") * size("camera weeks", region)
    fawn, shown = 2.0 * herd[0] / (2.0 * herd[0] + does(herd)), figure("buck_shows") * bucks(herd)
    buck = shown / (shown + does(herd))
    out = np.zeros(h.now.shape[1])
    for share, doubt, z, told in (
        (fawn, "fawn_ratio_doubt", h.z[0, one], says.fawns),
        (buck, "buck_ratio_doubt", h.z[1, one], says.buck_share),
    ):
        n = doe_photos / max(1.0 - share, 0.05)
        seen = n * _seen(float(share), n, figure(doubt), z)
        out = out + told(seen, n - seen, h.now, region)
    return out


def ages(h: Herds, one: int, region: Region) -> np.ndarray:
    """Yearlings among some bucks killed."""
    herd, n = h.now[:, h.true[one]], size("ages", region)
    share = float(herd[3] / max(bucks(herd), 1e-9))
    young = min(max(round(n * share + sqrt(n * share * (1.0 - share)) * h.z[0, one]), 0), n)
    return says.ages(young, n - young, h.now)


def kill(h: Herds, known: tuple[float | None, float | None], one: int, region: Region) -> np.ndarray:
    """Does and bucks that neighbors or the unit took a square mile in the years behind the first fall on record, of
    which only what nobody told yet is news.
    """
    true = h.true[one]
    told_does, told_bucks = (
        None if told is not None else float(rate[true] * deer[true]) * exp(region.figure("defaults_herd", name) * z)
        for told, rate, deer, name, z in (
            (known[0], h.doe_rate, does(h.first), "kill_does_log_sd", h.z[0, one]),
            (known[1], h.buck_rate, bucks(h.first), "kill_bucks_log_sd", h.z[1, one]),
        )
    )
    return says.kill(told_bucks, told_does, h.first, h.doe_rate, h.buck_rate, region)


def state(h: Herds, one: int, region: Region) -> np.ndarray:
    """The state's figure for the unit."""
    sd, numbers = region.figure("defaults_herd", "state_log_sd"), number(h.now)
    return says.state(float(numbers[h.true[one]]) * exp(sd * h.z[0, one]), sd, numbers, region)


def complete(h: Herds, one: int, region: Region) -> np.ndarray:
    """A drive or snow walk of the winter to come in which no deer is missed."""
    log_sd = sqrt(log1p(region.figure("defaults_sampling", "drive_cv") ** 2))
    sd = sqrt(log_sd**2 + region.figure("defaults_herd", "range_wobble") ** 2)
    return says.complete(float(h.winter_half[h.true[one]]) * exp(sd * h.z[0, one]), log_sd, h.winter_half, region)


def last_winter(h: Herds, one: int, region: Region) -> np.ndarray:
    """What the last winter took, once its points are written."""
    gap = (h.last_loss - h.last_loss[h.true[one]]) / region.figure("defaults_herd", "winter_known")
    return -(gap**2) / 2.0


def stand(h: Herds, watched: Sequence[tuple[int, float, float]], one: int, region: Region) -> np.ndarray:
    """Deer an hour of this fall beside those of the falls before."""
    at, deer, hours = (np.array(x, dtype=float) for x in zip(*watched, strict=True))
    before, true = h.numbers[at.astype(int)], h.true[one]
    constant = float(np.mean(np.log((deer + 0.5) / hours) - np.log(before[:, true])))
    sd, more = region.figure("defaults_herd", "seen_an_hour_log_sd"), size("stand", region)
    expected = more * exp(constant) * float(h.numbers[-1, true])
    seen = expected * exp(sqrt(sd**2 + 1.0 / (expected + 0.5)) * h.z[0, one])
    numbers = np.vstack([before, h.numbers[-1]])
    all_told = says.seen_an_hour(np.append(deer, seen), np.append(hours, more), numbers, region)
    return all_told - (says.seen_an_hour(deer, hours, before, region) if len(deer) > 1 else 0.0)


def _row(name: str, region: Region):
    rows = region.table("deer_measures")
    return rows[rows["measure"] == name].iloc[0]


def size(name: str, region: Region) -> float:
    """How much of a thing is looked at: plots, weeks, bucks, hours."""
    return float(_row(name, region)["size"])


def hours(name: str, region: Region) -> float:
    """Hours of work that a way of measuring takes."""
    return float(_row(name, region)["hours"])

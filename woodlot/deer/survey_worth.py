"""What to measure next: how much narrower the answer gets, computed by measuring on paper many times over.

more_lines      one more line of plots, or more: the range and the does it would allow
camera_weeks    weeks of cameras: they tell does from fawns, not how many deer there are
another_count   a count of another kind, that does not lean on the daily rate
measure_next    all of them, the most useful first

Each draws what may be true from what is known now, draws what the new plots or photos would show, and works the range
out again as the season does. Nothing narrows the doubt in the daily pellet rate but a count of another kind.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, log, sqrt
from typing import Any

import numpy as np
import pandas as pd

from woodlot.deer import sign
from woodlot.deer.defaults import default, default_range
from woodlot.deer.herd import fall_from_winter
from woodlot.errors import InputError, NoAnswer
from woodlot.estimate import LEVEL, Reason, reason, t_quantile
from woodlot.region import Region

__all__ = ["Worth", "another_count", "camera_weeks", "measure_next", "more_lines"]


@dataclass(frozen=True)
class Worth:
    """What a piece of measuring is worth.

    half_now_pct, half_then_pct: half-width of the range of the fall herd (how far the high end lies above the middle),
    now and on average after; best_pct: what is left when it is done without end; low_end_pct: by how much the low end,
    on which the does are set, rises on average.
    """

    what: Reason
    half_now_pct: float
    half_then_pct: float
    best_pct: float
    low_end_pct: float


def _half(sampling_sd, df: float, shared_sd: float, level: float):
    return np.hypot(t_quantile(level, df) * sampling_sd, t_quantile(level, float("inf")) * shared_sd)


def _low(sampling_sd, df: float, shared_sd: float, region: Region):
    return _half(sampling_sd, df, shared_sd, 1.0 - 2.0 * default("low_limit_odds", region))


def more_lines(
    frame: pd.DataFrame,
    extra: int = 1,
    *,
    other_cv: float = 0.0,
    rate_cv: float | None = None,
    leaf_off=None,
    acres: Mapping[str, float] | None = None,
    region: Region,
    level: float = LEVEL,
    draws: int = 4000,
    seed: int = 1,
) -> Worth:
    """Worth of ``extra`` more lines (or plots, where no lines are used) like those that were walked.

    frame: the springs the season rests on, as for `woodlot.deer.sign.pellets`. other_cv: relative error of the run
    to fall; acres as for `sign.pellets` (new lines are taken to lie like the old ones). Raises NoAnswer with fewer
    than 10 groups or 3 samples, InputError for extra below 1.
    """
    if extra < 1:
        raise InputError(f"extra must be 1 or more, was {extra!r}")
    now = sign.pellets(frame, leaf_off=leaf_off, rate_cv=rate_cv, acres=acres, region=region, level=level)
    if now.kind != "interval":
        raise NoAnswer("the count has no range of its own yet")
    groups, exposure, n, _, _, _, on_lines = sign.samples(frame, leaf_off, region)
    cv = default("pellet_rate_cv", region) if rate_cv is None else rate_cv
    shared = sqrt(log(1 + cv**2) + log(1 + other_cv**2))
    per, own = groups.sum() / exposure.sum(), sqrt(log(1 + (float(now.se or 0.0) / float(now.value or 1.0)) ** 2))
    like = exposure.sum() / n
    scatter = ((groups - per * exposure) ** 2).sum() / (n - 1) / like**2
    between = max(scatter - per / like, 0.0)
    rng = np.random.default_rng(seed)
    true = per * np.exp(own * rng.standard_normal(draws))
    rates = np.repeat(true[:, None], extra, axis=1)
    if between > 0:
        shape = per**2 / between
        rates = rates * rng.gamma(shape, 1.0 / shape, rates.shape)
    new = rng.poisson(rates * like)
    g = np.concatenate([np.tile(groups, (draws, 1)), new], axis=1)
    e = np.concatenate([exposure, np.full(extra, like)])
    m = n + extra
    mean = g.sum(axis=1) / e.sum()
    variance = ((g - mean[:, None] * e) ** 2).sum(axis=1) * m / (m - 1) / e.sum() ** 2
    variance = np.maximum(variance, g.sum(axis=1) / e.sum() ** 2)
    later = np.sqrt(np.log1p(variance / mean**2))
    low_now = exp(-_low(own, n - 1, shared, region)) * per
    low_then = float(np.mean(mean * np.exp(-_low(later, m - 1, shared, region))))
    return _worth(
        reason("more lines", extra=extra, of="line" if on_lines else "plot"),
        float(_half(own, n - 1, shared, level)), float(np.mean(_half(later, m - 1, shared, level))),
        float(_half(0.0, float("inf"), shared, level)), 100 * (low_then / low_now - 1),
    )  # fmt: skip


def camera_weeks(
    weeks: float,
    sampling_cv: float,
    n: int,
    *,
    photos_a_week: float = 14.0,
    rate_cv: float | None = None,
    region: Region,
    level: float = LEVEL,
    draws: int = 400,
    seed: int = 1,
    known: Mapping | None = None,
) -> Worth:
    """Worth of so many camera weeks: they narrow fawns per doe, and with it the run from winter to fall.

    sampling_cv, n: relative standard error and number of samples of the pellet count; photos_a_week: photos of does one
    camera takes in a week; known: options that go to `woodlot.deer.herd.fall_from_winter`.
    """
    if weeks <= 0 or n < 2:
        raise InputError("weeks must be above zero and the count must have two samples or more")
    cv = default("pellet_rate_cv", region) if rate_cv is None else rate_cv
    known = dict(known or {})
    low, high = default_range("fawns_per_doe", region)
    middle = default("fawns_per_doe", region)
    rng = np.random.default_rng(seed)
    true = rng.triangular(low, middle, high, draws)
    before = float(np.std(np.log(true)))
    does = rng.poisson(photos_a_week * weeks, draws) + 0.5
    fawns = rng.poisson(photos_a_week * weeks * true) + 0.5
    after = float(np.mean((1 / before**2 + 1 / (1 / does + 1 / fawns)) ** -0.5))
    now_cv = fall_from_winter(**known, region=region).cv
    then_cv = fall_from_winter(**known, fawn_doubt=after, region=region).cv
    own, rate = sqrt(log(1 + sampling_cv**2)), log(1 + cv**2)
    now_sd, then_sd = (sqrt(rate + log(1 + x**2)) for x in (now_cv, then_cv))
    low_now, low_then = (exp(-_low(own, n - 1, x, region)) for x in (now_sd, then_sd))
    best = fall_from_winter(**known, fawn_doubt=0.0, region=region).cv
    return _worth(
        reason("camera weeks", weeks=weeks),
        float(_half(own, n - 1, now_sd, level)), float(_half(own, n - 1, then_sd, level)),
        float(_half(own, n - 1, sqrt(rate + log(1 + best**2)), level)), 100 * (low_then / low_now - 1),
    )  # fmt: skip


def another_count(
    cv: float,
    sampling_cv: float,
    n: int,
    *,
    other_cv: float = 0.0,
    rate_cv: float | None = None,
    region: Region,
    level: float = LEVEL,
) -> Worth:
    """Worth of a count of another kind (a drive, an infrared flight) with this relative error, pooled on the log scale.

    sampling_cv, n as in `camera_weeks`; other_cv: relative error of the run to fall, which both counts share.
    """
    if not cv > 0 or n < 2:
        raise InputError("cv must be above zero and the pellet count must have two samples or more")
    rate = log(1 + (default("pellet_rate_cv", region) if rate_cv is None else rate_cv) ** 2)
    own, other, run = (log(1 + x**2) for x in (sampling_cv, cv, other_cv))
    now = float(_half(sqrt(own), n - 1, sqrt(rate + run), level))
    both = sqrt(1 / (1 / (own + rate) + 1 / other) + run)
    then = float(_half(0.0, float("inf"), both, level))
    low_now, low_then = (
        exp(-_low(sqrt(own), n - 1, sqrt(rate + run), region)),
        exp(-_low(0.0, float("inf"), both, region)),
    )
    best = float(_half(0.0, float("inf"), sqrt(run), level))
    return _worth(reason("another count", cv=cv), now, then, best, 100 * (low_then / low_now - 1))


def _worth(what: Reason, now: float, then: float, best: float, gain: float) -> Worth:
    now_pct, then_pct, best_pct = (100 * (exp(x) - 1) for x in (now, then, best))
    return Worth(what, now_pct, then_pct, best_pct, gain)


def measure_next(
    frame: pd.DataFrame,
    *,
    leaf_off=None,
    rate_cv: float | None = None,
    known: Mapping | None = None,
    acres: Mapping[str, float] | None = None,
    region: Region,
    level: float = LEVEL,
) -> list[Worth]:
    """One more line, three more, four camera weeks, another kind of count; most useful first, empty without a range."""
    now = sign.pellets(frame, leaf_off=leaf_off, rate_cv=rate_cv, acres=acres, region=region)
    if now.kind != "interval" or now.se is None or not now.value:
        return []
    other = fall_from_winter(**dict(known or {}), region=region).cv
    how: dict[str, Any] = {"rate_cv": rate_cv, "region": region, "level": level}
    worth = [more_lines(frame, k, other_cv=other, leaf_off=leaf_off, acres=acres, **how) for k in (1, 3)]
    worth.append(camera_weeks(4, now.se / now.value, now.n, known=known, **how))
    worth.append(another_count(0.25, now.se / now.value, now.n, other_cv=other, **how))
    return sorted(worth, key=lambda w: w.half_then_pct)

"""Meat in the long run: pounds of doe meat a year against the share of does that everybody takes each fall.

long_run    does taken a year by share: at first, and once the herd has settled
told        the same as pounds from the family's part of the ground, in words

A family wants to know what hunting harder would bring its children: the first years tell nothing, since a herd that is
shot down feeds well on its way. Herds of the fit go on under random winters, crowding on; with the does as large a
share of fawns falls as in the model of the year.
"""

from collections.abc import Sequence

import numpy as np

from woodlot.deer import meat
from woodlot.deer.answer import LongRun, Words
from woodlot.deer.defaults import default
from woodlot.deer.herd_fit import Fit, Ground, mean, picked
from woodlot.deer.herd_prior import drawn_winters, luck
from woodlot.deer.herd_year import Rates, does, hunted, next_fall, winter
from woodlot.estimate import reason
from woodlot.region import Region

__all__ = ["long_run", "told"]

#: Herds drawn, and shares of does looked at: 0 to 16 of a hundred by halves.
DRAWS = 300
PERCENT = np.arange(33) / 2.0
SHARES = PERCENT / 100.0


def long_run(
    herd: np.ndarray,
    rates: Rates,
    shares: Sequence[float] | np.ndarray,
    *,
    lost: float,
    years: int,
    seed: int,
    region: Region,
    last: int = 10,
) -> dict[str, np.ndarray]:
    """Does taken a year when the same share of them is taken each fall by everybody: at first, and in the long run.

    Parameters: herd (5, n) before a hunt, its rates; shares [of the does of 1.5 years and up, recovered ones]; lost
    [unrecovered for each recovered one]; last [yr], the years averaged at either end. All shares meet the same winters.
    Returns arrays by share: first, settled (does a year, the middle draw), left (does after the last year over those at
    the start, the middle draw), and top (the share that gives most in the long run, by draw).
    """
    share = np.asarray(shares, dtype=float)
    n, many = herd.shape[1], len(share)
    each = np.minimum(np.repeat(share, n), 1.0 / (1.0 + lost))
    all_rates = rates.of(np.tile(np.arange(n), many))
    now, taken = np.tile(herd, many), np.empty((years, many, n))
    rng = np.random.default_rng([seed, n])
    for year in range(years):
        taken[year] = (each * does(now)).reshape(many, n)
        left = hunted(now, each, 0.0, (0.0, 0.0), lost, region)
        cold = winter(np.tile(drawn_winters(rng, n, region), many), region)
        lucky = tuple(np.tile(one, many) for one in luck(rng, n, region))
        now = next_fall(now, left, all_rates, cold, lucky)
    settled = taken[-last:].mean(axis=0)
    left_over = does(now).reshape(many, n) / np.maximum(does(herd), 1e-9)
    return {
        "first": np.median(taken[:last].mean(axis=0), axis=1),
        "settled": np.median(settled, axis=1),
        "left": np.median(left_over, axis=1),
        "top": share[settled.argmax(axis=0)],
    }


def told(fit: Fit, ground: Ground, does_per_yr: float, seed: int, region: Region) -> LongRun[Words]:
    """Pounds of doe meat a year from the family's part of the ground, at first and in the long run, by share taken.

    does_per_yr: the family's share of today, beside what the neighbors take.
    """
    some = picked(fit.weights, DRAWS, seed)
    herds = fit.cloud.herds
    years = int(default("long_run_years", region))
    now, rates = fit.now[:, some], herds.rates.of(some)
    run = long_run(now, rates, SHARES, lost=ground.lost, years=years, seed=seed, region=region)
    pounds = meat.pounds_of("doe", region) * (1.0 - ground.neighbors_share) * ground.range_sqmi
    first, settled = pounds * run["first"], pounds * run["settled"]
    best = int(settled.argmax())
    nearly = PERCENT[settled >= 0.9 * settled[best]]
    flat = (float(nearly[0]), float(nearly[-1]))
    ends = tuple(100.0 * float(x) for x in np.quantile(run["top"], [0.05, 0.95]))
    there = mean(does(fit.now), fit.weights)
    around = mean(does(fit.now) * herds.doe_rate, fit.weights) * ground.neighbors_share
    under = np.flatnonzero(settled[best:] < 0.5 * settled[best])
    gone = best + int(under[0]) if len(under) else len(SHARES) - 1
    percent = PERCENT.tolist()
    return LongRun(
        share_pct=tuple(percent),
        first_lb=tuple(first.tolist()),
        settled_lb=tuple(settled.tolist()),
        left=tuple(run["left"].tolist()),
        top_pct=percent[best],
        flat_pct=flat,
        top_range_pct=(ends[0], ends[1]),
        now_pct=100.0 * (around + does_per_yr / ground.range_sqmi) / max(there, 1e-9),
        words=reason(
            "long run",
            top=percent[best],
            ends=ends,
            flat=flat,
            slide=percent[gone],
            times=float(first[gone] / max(first[best], 1e-9)),
            years=years,
            left_pct=100 * float(run["left"][gone]),
        ),
    )

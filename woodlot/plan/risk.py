"""Take against risk: what each number of does and bucks may do to the herd, beside no hunting at all.

take_grid       every pair of does and bucks -> chance that the herd falls, halves, comes under a goal; deer left
season_risk     the same for one season's choices, as the chart of take against risk shows it

Crowding is on: births are those of the table where deer are few and fall in a straight line to the full herd, which is
a stated figure with a range (never a figure from food). It sets no take; the hold rule does.

Not knowing how many deer there are leaves the chance of a fall nearly alone but feeds the tail: look at the halving.
"""

from collections.abc import Mapping, Sequence
from math import log
from typing import Any

import numpy as np
import pandas as pd

from woodlot.deer import forward, long_run, meat
from woodlot.deer.answer import Chances, Ends, Risk, Take, TakeRisk, Words
from woodlot.deer.defaults import default, default_range
from woodlot.deer.herd_fit import Fit, Ground
from woodlot.estimate import LEVEL, Estimate, at_level, reason, z_quantile
from woodlot.region import Region
from woodlot.units import AC_PER_SQMI

__all__ = ["season_risk", "take_grid"]


def take_grid(
    draws: forward.Draws,
    does: Sequence[float],
    bucks: Sequence[float],
    *,
    deaths_per_deer: float = 0.0,
    goal_deer: float | None = None,
    tails: tuple[float, float] = (0.05, 0.95),
) -> pd.DataFrame:
    """Every pair of a number of does and a number of bucks, taken each fall from the herd of ``draws``.

    Parameters: draws of woodlot.deer.forward.draw; does, bucks [deer a year]; deaths_per_deer [unrecovered for each one
    recovered]; goal_deer [deer before the hunt, on the same ground] under which browsing comes under its goal.
    Returns a row a pair: does, bucks, falls_next (chance that next fall's herd is smaller), halved_5, halved_10 (chance
    that it is under half of today's after 5 and 10 years), under_goal_10, left_low, left_middle, left_high (deer after
    the last year), old_bucks_pct (bucks of 2.5 and up among all bucks). Horizons past the last year drawn end
    there. All pairs meet the same winters and rates.
    """
    years = draws.survive.shape[0]
    at = sorted({0, 1, min(5, years), min(10, years), years})
    five, ten, last = at.index(min(5, years)), at.index(min(10, years)), at.index(years)
    extra = 1.0 + deaths_per_deer
    rows = []
    for d in does:
        without, recruits = forward.antlerless(draws, float(d) * extra, at)
        for b in bucks:
            horned, young = forward.antlered(draws, recruits, float(b) * extra, at)
            old = 1.0 - float(young.sum() / max(horned[last].sum(), 1e-12))
            horned += without
            start, end = horned[0], horned[last]
            n = len(end) - 1
            spots = [round(tails[0] * n), n // 2, round(tails[1] * n)]
            low, middle, high = np.partition(end, spots)[spots]
            falls, half = np.mean(horned[1] < start), [np.mean(horned[k] < start / 2) for k in (five, ten)]
            under = np.nan if goal_deer is None else np.mean(horned[ten] < goal_deer)
            rows.append((d, b, falls, *half, under, low, middle, high, 100 * old))
    chances = ["falls_next", "halved_5", "halved_10", "under_goal_10"]
    names = ["does", "bucks", *chances, "left_low", "left_middle", "left_high", "old_bucks_pct"]
    return pd.DataFrame(rows, columns=names).astype(float)


def season_risk(
    history,
    ground,
    taken: Take,
    choices,
    winters: Sequence[float],
    region: Region,
    fitted: tuple[Fit, Ground, int] | None = None,
) -> Risk[Estimate, Words]:
    """Chance that the herd falls or halves with 0 to 4 does a fall and the bucks named, beside no hunting at all.

    Bars: low, neighbors take none; high, three fawns in ten fewer live to fall; for no hunting too. under_goal_10 is
    the chance that after ten years there are no more winter deer than the next forest bears (18 a square mile unless
    the region says other). fitted: the fit, its ground and seed, from which comes the meat by share of does.
    """
    if history.herd is None or history.fall.value is None or not taken.measured:
        return Risk(words=reason("no chance", why=history.why_not))
    herd, per_winter = history.herd, history.winter.value
    fall = at_level(history.fall, LEVEL)  # a chance hangs on what is known, not on the range that is asked for
    doubt = log(float(fall.high or 1.0) / float(fall.low or 1.0)) / 2 / z_quantile(LEVEL)
    classes = {"bucks": herd.bucks * per_winter, "does": herd.does * per_winter, "fawns": herd.fawns * per_winter}
    start = forward.start_herd(classes, doubt, ground.effective_ac)
    around = tuple(x * (ground.effective_ac - ground.acres) / AC_PER_SQMI for x in choices.around)
    common: dict[str, Any] = {
        "farmland_pct": choices.farmland_pct,
        "winters": winters,
        "deaths_per_deer": choices.lost,
        "full_herd": _full_herd(choices, start, ground.effective_ac, region),
        "region": region,
    }
    ten = common | {"n": 2000, "years": 10}
    goal = default("regen_limit", region) * herd.total * ground.effective_ac / AC_PER_SQMI
    numbers = sorted({0, 1, 2, 3, 4, taken.does})
    ends: dict[str, dict[str, Any]] = {
        "middle": {"neighbors": around},
        "low": {"neighbors": (0.0, 0.0)},
        "high": {"neighbors": around, "fawn_factor": 0.7},
    }

    def grid(more: Mapping, does: Sequence[float], bucks: float) -> list[dict]:
        made = forward.draw(start, **ten, **more)
        return take_grid(made, does, [bucks], deaths_per_deer=choices.lost, goal_deer=goal).to_dict("records")

    grids = {name: grid(more, numbers, taken.bucks) for name, more in ends.items()}
    nobody, fewer = (grid(more, [0], 0)[0] for more in ({}, {"fawn_factor": 0.7}))
    kept = ("falls_next", "halved_5", "halved_10", "under_goal_10")
    rows = [
        TakeRisk(
            int(m["does"]),
            int(m["bucks"]),
            int(m["does"]) == taken.does,
            meat.meat_of_take(m["bucks"], m["does"], region=region),
            **{k: Ends(m[k], min(lo[k], m[k]), max(hi[k], m[k])) for k in kept},
        )
        for m, lo, hi in zip(grids["middle"], grids["low"], grids["high"], strict=True)
    ]
    chosen = next(r for r in rows if r.plan)
    return Risk(
        takes=tuple(rows),
        no_hunting=Chances(**{k: nobody[k] for k in kept}),
        no_hunting_high=Chances(**{k: max(fewer[k], nobody[k]) for k in kept}),
        meat=None if fitted is None else long_run.told(*fitted[:2], taken.does_per_yr or 0.0, fitted[2], region),
        full_herd_per_sqmi=_full_per_sqmi(choices, region),
        words=reason(
            "chances",
            halved=chosen.halved_10.value,
            falls=chosen.falls_next.value,
            halved_alone=nobody["halved_10"],
            falls_alone=nobody["falls_next"],
        ),
    )


def _full_per_sqmi(choices, region: Region) -> tuple[float, float, float]:
    """Deer a square mile of a full herd in fall: low, middle, high; the family's own figure stands alone."""
    given = choices.given.full_herd_per_sqmi
    if given is not None:
        return (float(given),) * 3
    low, high = default_range("full_herd", region)
    return low, default("full_herd", region), high


def _full_herd(choices, start: forward.Start, ground_ac: float, region: Region) -> tuple[float, float, float]:
    """The same as does and fawns on the ground the deer use."""
    part = (start.does + start.fawns) / (start.bucks + start.does + start.fawns) * ground_ac / AC_PER_SQMI
    low, middle, high = (x * part for x in _full_per_sqmi(choices, region))
    return low, middle, high

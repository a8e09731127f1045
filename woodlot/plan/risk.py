"""Take against risk: what each number of does and bucks may do to the herd, beside no hunting at all.

take_grid       every pair of does and bucks -> chance that the herd falls, halves, comes under a goal; deer left
risk_of_share   chance that a herd falls, or loses a fifth, in the year after a planned share of it is taken
season_risk     the same for one season's choices, as the chart of take against risk shows it

Not knowing how many deer there are leaves the chance of a fall nearly alone but feeds the tail: look at the halving.
"""

from collections.abc import Mapping, Sequence
from math import log
from typing import Any

import numpy as np
import pandas as pd

from woodlot.deer import forward
from woodlot.deer.defaults import default
from woodlot.estimate import t_quantile
from woodlot.units import AC_PER_SQMI

__all__ = ["risk_of_share", "season_risk", "take_grid"]


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
    names = "does bucks falls_next halved_5 halved_10 under_goal_10 left_low left_middle left_high old_bucks_pct"
    return pd.DataFrame(rows, columns=names.split()).astype(float)


def risk_of_share(
    share: float, growth: float, growth_sd: float, estimate_cv: float = 0.0, *, n: int = 400_000, seed: int = 1
) -> tuple[float, float]:
    """Chance that a herd is smaller a year later, and that it has lost more than a fifth: (falls, loses_fifth).

    share [of the herd as estimated, taken as a fixed number]; growth, growth_sd [a year's growth without a hunt, mean
    and SD, lognormal]; estimate_cv [relative error of the estimate, lognormal about the truth, median 1].
    """
    rng = np.random.default_rng(seed)
    sd = np.sqrt(np.log(1.0 + (growth_sd / growth) ** 2))
    grown = np.exp(rng.normal(np.log(growth) - sd**2 / 2, sd, n))
    seen = np.exp(np.sqrt(np.log(1.0 + estimate_cv**2)) * rng.standard_normal(n))
    left = grown * np.maximum(0.0, 1.0 - share * seen)
    return float(np.mean(left < 1.0)), float(np.mean(left < 0.8))


def season_risk(told, ground, taken: Mapping, choices, winters: Sequence[float], level: float, region: str) -> dict:
    """Chance that the herd falls or halves with 0 to 4 does a fall and the bucks named, beside no hunting at all.

    Bars: low, neighbors take none; high, three fawns in ten fewer live to fall. under_goal_10 is the chance that after
    ten years there are no more winter deer than the next forest bears (18 a square mile unless the region says other).
    """
    if told.herd is None or told.fall.value is None or not taken["measured"]:
        return {"takes": [], "no_hunting": None, "words": f"No chance is given. {told.why_not}"}
    herd, per_winter = told.herd, told.winter.value
    doubt = log(told.fall.high / told.fall.low) / 2 / t_quantile(level, float("inf"))
    classes = {"bucks": herd.bucks * per_winter, "does": herd.does * per_winter, "fawns": herd.fawns * per_winter}
    start = forward.start_herd(classes, doubt, ground.effective_ac)
    around = tuple(x * (ground.effective_ac - ground.acres) / AC_PER_SQMI for x in choices.around)
    common: dict[str, Any] = {
        "n": 2000,
        "years": 10,
        "farmland_pct": choices.farmland_pct,
        "winters": winters,
        "deaths_per_deer": choices.lost,
        "region": region,
    }
    goal = default("regen_limit", region) * told.herd.total * ground.effective_ac / AC_PER_SQMI
    numbers = sorted({0, 1, 2, 3, 4, taken["does"]})
    ends: dict[str, dict[str, Any]] = {
        "middle": {"neighbors": around},
        "low": {"neighbors": (0.0, 0.0)},
        "high": {"neighbors": around, "fawn_factor": 0.7},
    }
    grids = {
        name: take_grid(
            forward.draw(start, **common, **more),
            numbers,
            [taken["bucks"]],
            deaths_per_deer=choices.lost,
            goal_deer=goal,
        ).to_dict("records")
        for name, more in ends.items()
    }
    nobody = take_grid(forward.draw(start, **common), [0], [0], goal_deer=goal).to_dict("records")[0]
    kept = ("falls_next", "halved_5", "halved_10", "under_goal_10")
    rows = [
        {"does": int(m["does"]), "bucks": int(m["bucks"]), "plan": int(m["does"]) == taken["does"]}
        | {k: {"value": m[k], "low": min(lo[k], m[k]), "high": max(hi[k], m[k])} for k in kept}
        for m, lo, hi in zip(grids["middle"], grids["low"], grids["high"], strict=True)
    ]
    chosen = next(r for r in rows if r["plan"])
    return {
        "takes": rows,
        "no_hunting": {k: nobody[k] for k in kept},
        "words": _words(chosen, nobody),
    }


def _words(chosen: Mapping, nobody: Mapping) -> str:
    halves, falls = (100 * chosen[k]["value"] for k in ("halved_10", "falls_next"))
    return (
        f"With this take the herd is under half of today's in ten years in {halves:.0f} of 100 cases (assumptions), "
        f"with no hunting by anybody in {100 * nobody['halved_10']:.0f}; it is smaller next fall in {falls:.0f}, with "
        f"no hunting in {100 * nobody['falls_next']:.0f}."
    )

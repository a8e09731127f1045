"""Take against risk: what each number of does and bucks may do to the herd, beside neighbors who hunt and a family that
does not.

take_grid       every pair of does and bucks -> chance that the herd falls, halves, comes under a goal; deer left
herds_of, ahead the herds that the take rests on; their coming ten years
added, capped   what a share adds to the chance of halving; how much of a share keeps that within the cap
season_risk     the same for one season's choices, as the chart of take against risk shows it

What a family can decide is its own hunt: the neighbors hunt on in both lines of a pair, under the same winters. A herd
that its neighbors bring down is not saved by one family, and is told so.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from woodlot.deer import forward, long_run, meat
from woodlot.deer.answer import Chances, Ends, Risk, Take, TakeRisk, Words
from woodlot.deer.defaults import default
from woodlot.deer.herd_answer import HerdAnswer
from woodlot.deer.herd_evidence import winter_half
from woodlot.deer.herd_prior import Herds
from woodlot.deer.herd_year import hunted, number, replacement, winter
from woodlot.deer.winter import herd_loss
from woodlot.estimate import Estimate, reason
from woodlot.region import Region

__all__ = ["added", "ahead", "capped", "herds_of", "season_risk", "take_grid"]

#: Draws of a fit, and the falls they are followed.
DRAWS, YEARS = 2000, 10
KEPT = ("falls_next", "halved_5", "halved_10", "under_goal_10")


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


def herds_of(herd: HerdAnswer) -> Herds:
    """Herds that the take rests on, each as often as it weighs."""
    assert herd.used is not None
    return forward.sampled(herd.used, DRAWS, herd.seed, herd.record.falls[-1].neighbors)


def ahead(herd: HerdAnswer, herds: Herds, region: Region, fawn_factor: float = 1.0) -> forward.Draws:
    """The coming ten years of these herds: winters of the record where it has five, else as nobody wrote them down."""
    losses = [fall.winter_loss for fall in herd.record.falls if fall.winter_loss is not None]
    return forward.draw(
        herds, herd.record.ground, years=YEARS, seed=herd.seed, losses=losses, fawn_factor=fawn_factor, region=region
    )


def capped(draws: forward.Draws, does: float, bucks: float, lost: float, region: Region) -> tuple[float, float]:
    """The parts of a share of does and of one of bucks (0 to 1, by twentieths) with which the family adds no more to
    the chance that the herd halves in ten years than ``defaults_herd.cap_points``: does give way before bucks.
    """
    cap = _halved(draws) + region.figure("defaults_herd", "cap_points") + 1e-9
    parts = [float(part) for part in np.linspace(1.0, 0.0, 21)]
    of_bucks = next(part for part in parts if _halved(_shared(draws, 0.0, part * bucks, lost)) <= cap)
    of_does = next(part for part in parts if _halved(_shared(draws, part * does, of_bucks * bucks, lost)) <= cap)
    return of_does, of_bucks


def added(draws: forward.Draws, does: float, bucks: float, lost: float) -> float:
    """What a share of does adds to the chance that the herd halves in ten years, the share of bucks taken anyway."""
    return _halved(_shared(draws, does, bucks, lost)) - _halved(_shared(draws, 0.0, bucks, lost))


def _shared(draws: forward.Draws, does: float, bucks: float, lost: float) -> forward.Draws:
    return forward.with_share(draws, does * (1.0 + lost), bucks * (1.0 + lost))


def _halved(draws: forward.Draws) -> float:
    return float(take_grid(draws, [0], [0])["halved_10"].iloc[0])


def season_risk(herd: HerdAnswer, taken: Take, region: Region) -> Risk[Estimate, Words]:
    """Chance that the herd falls or halves with 0 to 4 does every fall and the bucks named, with the family's share
    taken each fall, and with no deer taken by the family.

    Bars: low, neighbors take none; high, fewer fawns live to fall (``defaults_herd.fewer_fawns``). under_goal_10 is the
    chance that after ten years there are no more winter deer than the next forest bears.
    """
    if herd.used is None or not taken.measured:
        return Risk(words=reason("no chance", why=herd.why_not))
    ground, herds = herd.record.ground, herds_of(herd)
    alone = replace(herds, doe_rate=0.0 * herds.doe_rate, buck_rate=0.0 * herds.buck_rate)
    fewer = region.figure("defaults_herd", "fewer_fawns")
    draws = {
        "middle": ahead(herd, herds, region),
        "low": ahead(herd, alone, region),
        "high": ahead(herd, herds, region, fewer),
    }
    bears = default("regen_limit", region)
    goal = bears * _fall_of_winter(herds, herd, region) * ground.range_sqmi
    numbers = sorted({0, 1, 2, 3, 4, taken.does})

    def grid(of: forward.Draws, does: Sequence[float], bucks: float) -> list[dict]:
        return take_grid(of, does, [bucks], deaths_per_deer=ground.lost, goal_deer=goal).to_dict("records")

    grids = {name: grid(of, numbers, taken.bucks) for name, of in draws.items()}
    family_none, family_none_high = (grid(draws[name], [0], 0)[0] for name in ("middle", "high"))
    share = (taken.does_per_yr or 0.0, taken.bucks_per_yr or 0.0)
    you_too, you_too_high = (grid(_shared(draws[name], *share, ground.lost), [0], 0)[0] for name in ("middle", "high"))
    rows = [
        TakeRisk(
            int(m["does"]),
            int(m["bucks"]),
            int(m["does"]) == taken.does,
            meat.meat_of_take(m["bucks"], m["does"], region=region),
            **{k: Ends(m[k], min(lo[k], m[k]), max(hi[k], m[k])) for k in KEPT},
        )
        for m, lo, hi in zip(grids["middle"], grids["low"], grids["high"], strict=True)
    ]
    return Risk(
        takes=tuple(rows),
        no_hunting=Chances(**{k: family_none[k] for k in KEPT}),
        no_hunting_high=Chances(**{k: max(family_none_high[k], family_none[k]) for k in KEPT}),
        you_too=Chances(**{k: you_too[k] for k in KEPT}),
        you_too_high=Chances(**{k: max(you_too_high[k], you_too[k]) for k in KEPT}),
        meat=long_run.told(herd.used, ground, taken.does_per_yr or 0.0, herd.seed, region),
        full_herd_per_sqmi=_full_per_sqmi(herds),
        bears_per_sqmi=bears,
        words=reason(
            "chances",
            halved=you_too["halved_10"],
            falls=you_too["falls_next"],
            halved_alone=family_none["halved_10"],
            falls_alone=family_none["falls_next"],
        ),
    )


def _fall_of_winter(herds: Herds, herd: HerdAnswer, region: Region) -> float:
    """Fall deer for each deer of the winter half after a usual winter."""
    ground = herd.record.ground
    left = hunted(herds.now, herds.doe_rate, herds.buck_rate, (0.0, 0.0), ground.lost, region, ground.neighbors_share)
    usual = winter(herd_loss(default("winter_points_mean", region), "wisconsin", region), region)
    return float(number(herds.now).sum() / winter_half(left, usual).sum())


def _full_per_sqmi(herds: Herds) -> tuple[float, float, float]:
    """Deer a square mile of a full herd in fall: 5, 50 and 95 of a hundred draws."""
    grows = herds.rates.crowding > 0
    full = (1.0 - 1.0 / replacement(herds.rates)[grows]) / herds.rates.crowding[grows]
    low, middle, high = (float(x) for x in np.quantile(full, [0.05, 0.5, 0.95]))
    return low, middle, high

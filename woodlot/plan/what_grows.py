"""What each stand brings to the yearly cut: its stock, what of it dies anyway, what the rest grows, what stands over.

grown           of each stand
Grown           what it holds
goals           the rest of some stands at what they should keep: that day, half a cycle on
common_errors   what all stands are off by together

Trees that die or break up are in no stock that a lasting cut rests on: they are gone in a few years whatever is cut.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from woodlot.estimate import Estimate, is_wide, shared_cv
from woodlot.plan.growth_draws import Draws, draws, site_error
from woodlot.plan.woods import CASES, Run, Woods, chosen, run
from woodlot.region import Region
from woodlot.stand import grow, marking
from woodlot.units import basal_sqft
from woodlot.wood.tally import KINDS, VOLUME_TABLE, pile_errors

__all__ = ["Grown", "acres_to_cut", "common_errors", "goals", "grown", "operable"]


@dataclass(frozen=True)
class Grown:
    """Of each stand: acres, cut_ac (that may be worked), stock [cords]; standing (Estimate of its cords, or None);
    wide (yes/no: its range is wider than twice the number, as of one plot); known (yes/no: grows by measured trees);
    basal [sq ft/ac] of all of it and of the rest; rest: share of the stock that does not die now nor breaks up; rates
    and rest_rates: net growth over the stock (low, middle, high), of all of it and of the rest; ahead: cords of the
    rest over its cords now after the years until the next cruise. healthy: the woods without what dies; drawn: the
    draws; path: middle growth of all of it.
    """

    acres: np.ndarray
    cut_ac: np.ndarray
    stock: np.ndarray
    standing: list[Estimate | None]
    wide: np.ndarray
    known: np.ndarray
    basal: np.ndarray
    rest_basal: np.ndarray
    rest: np.ndarray
    rates: np.ndarray
    rest_rates: np.ndarray
    ahead: np.ndarray
    healthy: Woods
    drawn: Draws
    path: Run

    @property
    def part(self) -> np.ndarray:
        """Share of each stand that may be worked."""
        return self.cut_ac / np.where(self.acres > 0, self.acres, 1.0)

    @property
    def worked(self) -> np.ndarray:
        """Cords of the rest on ground that may be worked."""
        return self.stock * self.part * self.rest


def operable(stands: pd.DataFrame) -> np.ndarray:
    """Which stands are to be worked at all."""
    return stands["operable"].fillna(True).to_numpy(dtype=bool) if "operable" in stands else np.ones(len(stands), bool)


def acres_to_cut(stands: pd.DataFrame) -> np.ndarray:
    """Acres of each stand from which wood may be taken.

    Parameters
    ----------
    stands
        acres; workable_ac where strips along water, steep ground and what is not to be worked are known (they are off
        it already); operable.

    Returns
    -------
    Array [ac].
    """
    acres = stands["acres"].to_numpy(dtype=float)
    out = acres
    if "workable_ac" in stands:
        known = stands["workable_ac"].to_numpy(dtype=float)
        out = np.where(np.isfinite(known), np.clip(known, 0.0, acres), acres)
    return np.where(operable(stands), out, 0.0)


def grown(
    woods: Woods,
    stands: pd.DataFrame,
    cords: Mapping[str, Estimate],
    *,
    number: int | None = None,
    seed: int = 1,
    region: Region,
) -> Grown:
    """What stands grow, with and without what dies or breaks up; parameters as of ``ceilings.yearly_cut``."""
    today = woods.stands.reset_index(drop=True)
    acres, young = today["acres"].to_numpy(), today["young"].to_numpy(dtype=bool)
    stock = np.nan_to_num(today["cords"].to_numpy()) * acres
    standing = [cords.get(s) for s in today["stand_id"]]
    wide = np.array([e is not None and is_wide(e.value, e.low, e.high) for e in standing], dtype=bool)
    drawn = _drawn(today, stock, standing, number, seed, region=region)
    years = int(chosen("growth_years", region))
    paths = [run(woods, years, case, region=region).cords for case in CASES[::2]]
    path = run(woods, years, region=region)
    lows = (paths[0], path.cords, paths[1])
    seen = (stock > 0) & ~young & np.array([e is not None for e in standing], dtype=bool)
    gone = marking.salvage(woods.trees, woods.judged, region=region)
    healthy = replace(woods, trees=woods.trees - gone)
    k = np.flatnonzero(gone.any(axis=(0, 1)) & seen)
    rest = [one.copy() for one in lows]
    for at, case in enumerate(CASES if len(k) else ()):
        rest[at][:, k] = run(healthy, years, case, columns=k, region=region).cords
    share = np.divide(rest[1][0], lows[1][0], out=np.ones(len(stock)), where=np.nan_to_num(lows[1][0]) > 0)
    b = basal_sqft(grow.classes(region=region))
    basal = today["basal"].to_numpy(dtype=float)
    left = np.divide(
        b @ healthy.trees.sum(axis=0), b @ woods.trees.sum(axis=0), out=np.ones(len(stock)), where=_some(b, woods)
    )
    ahead = np.divide(rest[1][-1], rest[1][0], out=np.ones(len(stock)), where=np.nan_to_num(rest[1][0]) > 0)
    cut_ac = acres_to_cut(stands)
    return Grown(
        acres, cut_ac, stock, standing, wide, seen, basal, basal * left, share,
        _rates(lows, seen, years), _rates(rest, seen, years), ahead, healthy, drawn, path,
    )  # fmt: skip


def _some(b: np.ndarray, woods: Woods) -> np.ndarray:
    return np.asarray(b @ woods.trees.sum(axis=0) > 0)


def _rates(cords: list[np.ndarray] | tuple[np.ndarray, ...], seen: np.ndarray, years: int) -> np.ndarray:
    """Net growth a year over the stock, low to high; 0 where no tree was measured."""
    start = np.nan_to_num(cords[1][0])
    each = [np.nan_to_num(c[-1] - c[0]) / years / np.where(start > 0, start, 1.0) for c in cords]
    return np.sort(np.where(seen & (start > 0), each, 0.0), axis=0)


def _drawn(
    today: pd.DataFrame,
    stock: np.ndarray,
    standing: list[Estimate | None],
    number: int | None,
    seed: int,
    *,
    region: Region,
) -> Draws:
    """Draws of stock and growth, each stand as far off as its plots and what they share let it be."""
    cv = np.array([(e.se or 0.0) / e.value if e is not None and e.value else 0.0 for e in standing])
    df = np.array([e.df if e is not None else np.inf for e in standing])
    table, count, stacking = common_errors(standing, region=region)
    return draws(
        stock,
        cv,
        df,
        table,
        stacking,
        int(chosen("draws", region)) if number is None else number,
        seed,
        site_error(today, region=region),
        region.figure("defaults_cut", "ten_cores_log_sd"),
        count,
    )


def common_errors(standing: list[Estimate | None], *, region: Region) -> tuple[np.ndarray, np.ndarray, float]:
    """Relative errors that are the same in all stands: of the wood in a tree and of the count of trees (edges, eye), by
    stand, and of the wood in a cord.
    """
    shared = [{} if e is None else dict(e.shared) for e in standing]
    table, kinds = (np.array([one.get(name, 0.0) for one in shared]) for name in (VOLUME_TABLE, KINDS))
    every = np.array([0.0 if e is None else shared_cv(e) for e in standing])
    count = np.sqrt(np.maximum(every**2 - table**2 - kinds**2, 0.0))
    table, stacking = pile_errors(table, region=region)
    return np.hypot(table, kinds), count, stacking


def goals(of: Grown, at: np.ndarray, leave: np.ndarray, *, region: Region) -> tuple[np.ndarray, np.ndarray]:
    """The rest of stands ``at`` when cut to (or grown up to) a basal area: that day, and half a cutting cycle on.

    leave: basal area (ways, stands of ``at``) [sq ft/ac]. Returns two arrays of its shape, cords over the cords of the
    rest now. All its trees are thinned alike, whatever one entry may take; a stand under it is taken in proportion.
    """
    half = 0.5 * region.figure("defaults_cut", "cutting_cycle_yr")
    years = int(np.ceil(half))
    now = (of.stock * of.rest / np.where(of.acres > 0, of.acres, 1.0))[at]
    over = np.where(now > 0, now, np.inf)
    left, then = np.ones((2, *leave.shape))
    for way, sqft in enumerate(leave if len(at) else ()):
        share = np.divide(sqft, of.rest_basal[at], out=np.ones(len(at)), where=of.rest_basal[at] > 0)
        thinned = np.ones(len(of.stock))
        thinned[at] = np.minimum(share, 1.0)
        told = run(replace(of.healthy, trees=of.healthy.trees * thinned), years, columns=at, region=region).cords
        up = np.maximum(share, 1.0) / over
        left[way], then[way] = told[0] * up, (told[-1] + (half - years) * (told[-1] - told[-2])) * up
    return left, then

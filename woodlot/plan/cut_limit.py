"""The rule of a level cut on the stands of a place: which are one wood, which are cut by area, what binds.

kinds_of, Kinds   which stands are what, and what they hold at what they should keep
limit_of          the rule
reach_of          what stands and grows over what an entry leaves
parts_of, least   what each stand brings to it, draw by draw; the least of some stands together
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from woodlot.plan.cut import cut_per_yr_meyer
from woodlot.plan.level_cut import LevelCut, error_share, level_cut, pull
from woodlot.plan.residuals import Residuals
from woodlot.plan.what_grows import Grown, goals
from woodlot.plan.woods import chosen
from woodlot.region import Region

__all__ = ["Kinds", "kinds_of", "least", "limit_of", "parts_of", "reach_of"]


@dataclass(frozen=True)
class Kinds:
    """Of each stand: inside (grows evenly on, one wood with the others), by_area (its cut is the area check), past_age
    (falls apart), by_area_cords [cords/yr]; sqft: what it may be left at (low, keep, high), and of its rest that day
    (left) and half a cycle on (goal), over its cords now.
    """

    inside: np.ndarray
    by_area: np.ndarray
    past_age: np.ndarray
    by_area_cords: np.ndarray
    sqft: np.ndarray
    left: np.ndarray
    goal: np.ndarray

    def at(self, name: str, leave_sqft: np.ndarray) -> np.ndarray:
        """``left`` or ``goal`` at a basal area between low and high."""
        (low, keep, high), values = self.sqft, getattr(self, name)
        under = leave_sqft <= keep
        start, end = np.where(under, low, keep), np.where(under, keep, high)
        first, last = np.where(under, values[0], values[1]), np.where(under, values[1], values[2])
        way = np.divide(leave_sqft - start, end - start, out=np.ones_like(end), where=end > start)
        return first + way * (last - first)


def kinds_of(today: pd.DataFrame, of: Grown, keeps: Residuals, *, region: Region) -> Kinds:
    """Which stands are what; today: ``Woods.stands``."""
    none = pd.Series(np.nan, index=today.index)
    age, main_share = today["age_yr"].to_numpy(dtype=float), chosen("main_share", region)
    rotation, years = (region.figure("defaults_cut", name) for name in ("patch_rotation_yr", "until_cruise_yr"))
    short = today.get("short_share", today["breakup_share"]).to_numpy(dtype=float) >= main_share
    past = today.get("past_age", today["breakup_share"] > 0).to_numpy(dtype=bool) & short
    cleared = (today["way"] != "pine").to_numpy()  # pine is never cut whole
    breaks = today.get("onset_yr", none).notna().to_numpy() & short & np.isfinite(age) & cleared
    there = of.known & (of.cut_ac > 0) & (of.worked > 0)
    thin, patches = keeps.way == "thin", keeps.way == "patches"
    by_area = there & ~past & (patches | (thin & breaks))
    inside = there & ~past & thin & ~by_area
    ripe = ~(age + years < chosen("patch_least_yr", region))
    sqft = np.array([keeps.low, keeps.keep, keeps.high])
    left, goal = np.ones(sqft.shape), np.ones(sqft.shape)
    at = np.flatnonzero(inside)
    left[:, at], goal[:, at] = goals(of, at, sqft[:, at], region=region)
    return Kinds(inside, by_area, there & past, np.where(by_area & ripe, of.worked / rotation, 0.0), sqft, left, goal)


def reach_of(of: Grown, kinds: Kinds, leave: np.ndarray, *, region: Region) -> tuple[np.ndarray, np.ndarray]:
    """Cords of each stand over what an entry leaves: a year until the next cruise, and in all today; no more than an
    entry may take. leave: basal area by stand [sq ft/ac].
    """
    share, years = (region.figure("defaults_cut", name) for name in ("share_per_entry", "until_cruise_yr"))
    stock, left = np.where(kinds.inside, of.worked, 0.0), np.where(kinds.inside, kinds.at("left", leave), 1.0)
    then, now = (stock * np.clip(one - left, 0.0, share * one) for one in (of.ahead, np.ones_like(left)))
    return then / years, now


def limit_of(
    of: Grown, kinds: Kinds, leave: np.ndarray, keep: np.ndarray, first: np.ndarray, *, region: Region
) -> LevelCut:
    """The rule on all stands that are inside, and the cut by area beside it.

    Parameters
    ----------
    of, kinds
        ``grown``, ``kinds_of``.
    leave, keep
        Basal area that an entry leaves today, and that the stand is led to, by stand [sq ft/ac].
    first
        Cords on ground that may be worked as the first cruise saw them, by stand.
    region
        Whose figures are used.
    """
    share, cycle = (region.figure("defaults_cut", name) for name in ("share_per_entry", "cutting_cycle_yr"))
    at = np.flatnonzero(kinds.inside)
    stock, rate, goal = of.worked[at], of.rest_rates[1][at], kinds.at("goal", keep)[at]
    worked = of.drawn.of_some(at) * (of.part * of.rest)[at]
    drawn = of.drawn.stock[:, at] * worked
    whole, mid, aim = (
        float(stock.sum()),
        float((stock * rate).sum()),
        float((stock * goal).sum()) if len(at) else np.nan,
    )
    low, cored = (
        _tenth((drawn * rate * np.where(rate >= 0, site[:, at], 1.0 / site[:, at])).sum(axis=1), mid)
        for site in (of.drawn.site, of.drawn.cored)
    )
    # stock and goal are told by the same table and the same cord: plots and counting alone set them apart
    told = (of.drawn.by_plots[:, at] * worked).sum(axis=1)
    sure = _tenth(told, whole) / whole if whole > 0 else 1.0
    then = whole, float(first[at].sum()), aim, sure
    reach, over = (float(one.sum()) for one in reach_of(of, kinds, leave, region=region))
    # a wood under its goal need only not fall
    led = cut_per_yr_meyer(stock, stock * np.minimum(goal, 1.0), cycle, rate) if len(at) else 0.0
    bounds = {
        "area": whole * share / cycle,
        "meyer": max(float(np.sum(led)), 0.0),
        "reach": reach,
    }
    levels = [float(level_cut(growth, *then, region=region)) for growth in (low, cored)]
    level, with_cores = (min(one, *bounds.values()) for one in levels)
    binds = min({"growth": levels[0]} | bounds, key=lambda name: ({"growth": levels[0]} | bounds)[name])
    beside = float(kinds.by_area_cords.sum())
    return LevelCut(
        low_growth=low,
        mid_growth=mid,
        growth_share=low / mid if mid > 0 else float(error_share(region.figure("defaults_cut", "no_cores_log_sd"))),
        stock_cords=whole,
        first_cords=then[1],
        goal_cords=aim,
        stock_share=sure,
        pull_cords=float(pull(*then, region=region)),
        area_cords=bounds["area"],
        meyer_cords=bounds["meyer"],
        reach_cords=bounds["reach"],
        surplus_cords=over,
        level_cords=level,
        by_area_cords=beside,
        cords_with_ten_cores=with_cores + beside,
        binds=binds if len(at) else "none",
    )


def _tenth(draws: np.ndarray, middle: float) -> float:
    """Lower tenth of a sum, its draws brought to its middle: sums of wide draws lie over the sum of their middles, and
    a family that measured less would be told that it may cut more.
    """
    tenth, half = np.quantile(draws, (0.1, 0.5)).tolist()
    return float(tenth * middle / half if middle > 0 and half > 0 else tenth)


def parts_of(
    of: Grown, kinds: Kinds, rule: LevelCut, leave: np.ndarray, keep: np.ndarray, *, region: Region
) -> dict[str, np.ndarray]:
    """What each stand brings (draws, stands) [cords/yr]: growth, area, meyer (under 0 where it must fill up), reach,
    pull (its part of the whole) and beside (the cut by area).
    """
    share, cycle = (region.figure("defaults_cut", name) for name in ("share_per_entry", "cutting_cycle_yr"))
    rotation = region.figure("defaults_cut", "patch_rotation_yr")
    drawn, rate = of.drawn.stock * of.part * of.rest, of.drawn.rate(of.rest_rates)
    on = kinds.inside | kinds.by_area
    goal = np.where(kinds.inside, kinds.at("goal", keep), 1.0)
    led = np.asarray(cut_per_yr_meyer(drawn, drawn * np.clip(goal, 0.0, 1.0), cycle, np.clip(rate, -0.9, 0.9)))
    reach, _ = reach_of(of, kinds, leave, region=region)
    off = np.divide(drawn, of.worked, out=np.ones_like(drawn), where=of.worked > 0)
    to_all = drawn / rule.stock_cords * rule.pull_cords if rule.stock_cords > 0 else 0.0 * drawn
    by_kind = np.where(kinds.inside, share / cycle, np.where(kinds.by_area, 1.0 / rotation, 0.0))
    return {
        "growth": drawn * rate * on,
        "area": drawn * by_kind,
        "meyer": np.where(kinds.inside, led, 0.0),
        "reach": reach * off,
        "pull": np.where(kinds.inside, to_all, 0.0),
        "beside": np.where(kinds.by_area_cords > 0, drawn / rotation, 0.0),
    }


def least(parts: Mapping[str, np.ndarray]) -> np.ndarray:
    """What may be cut of some stands, by draw: growth and pull, never over area, Meyer's and what stands over; and
    beside it the cut by area.
    """
    most = np.minimum.reduce([parts["growth"] + parts["pull"], parts["area"], parts["meyer"], parts["reach"]])
    return np.maximum(most, 0.0) + parts["beside"]

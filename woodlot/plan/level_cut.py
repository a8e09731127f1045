"""How much may be cut each year until the next cruise, so that it lasts: one rule for today and for trials.

level_cut     the rule; pull: the part of it that leads the stock to its goal
error_share   what an error leaves of a figure at its lower tenth
LevelCut      the rule on one place, with all that went into it

A family wants the most wood a year that its grandchildren can still cut: not so much that slow growth eats the stock,
nor so little that a full wood chokes.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from woodlot.region import Region

__all__ = ["LevelCut", "error_share", "level_cut", "pull"]

#: Standard deviations of the lower tenth.
TENTH = 1.2816


def error_share(*log_sds: Any) -> np.ndarray:
    """What errors (standard deviations of logarithms, independent) leave of a figure at its lower tenth.

    >>> round(float(error_share(0.45, 0.12, 0.08)), 3)
    0.546
    """
    return np.exp(-TENTH * np.sqrt(np.sum([np.square(np.asarray(one, dtype=float)) for one in log_sds], axis=0)))


@dataclass(frozen=True)
class LevelCut:
    """The rule on one place, all stands together that grow evenly on [cords, cords/yr].

    low_growth, mid_growth: lower tenth and middle of net growth; growth_share: one over the other (as without cores
    where nothing grows); stock_cords, first_cords: standing now and when the first cruise saw it; goal_cords: at what
    is to be kept and half a cycle's growth, NaN where nothing is to be kept; stock_share: lower tenth of the stock by
    its plots over the stock; pull_cords: what the way to the goal adds or takes; area_cords: the area check;
    meyer_cords: what leads the stock to its goal in a cycle; reach_cords: what grows over what is to be kept until the
    next cruise, a third of a stand at most, a year of it; surplus_cords: of it what stands over today, in all;
    level_cords: the least of all that; by_area_cords: the cut of stands that are cut by area, beside it;
    cords_with_ten_cores: level and area with ten cores behind the growth, if they find what was assumed; binds: which
    of "growth", "area", "meyer", "reach" the level is, "none" where nothing grows so.
    """

    low_growth: float
    mid_growth: float
    growth_share: float
    stock_cords: float
    first_cords: float
    goal_cords: float
    stock_share: float
    pull_cords: float
    area_cords: float
    meyer_cords: float
    reach_cords: float
    surplus_cords: float
    level_cords: float
    by_area_cords: float
    cords_with_ten_cores: float
    binds: str

    @property
    def cords_per_yr(self) -> float:
        """What may be cut each year until the next cruise."""
        return self.level_cords + self.by_area_cords


def pull(stock: Any, first: Any, goal: Any, stock_share: Any, *, region: Region) -> np.ndarray:
    """What the way to the goal adds to the growth that may be cut, or takes from it; parameters as of ``level_cut``."""
    years = region.figure("defaults_cut", "pull_yr")
    now, then, aim = (np.asarray(one, dtype=float) for one in (stock, first, goal))
    down = np.minimum(0.0, now - np.fmin(then, aim)) / years
    return down + np.fmax(0.0, np.asarray(stock_share, dtype=float) * now - aim) / years


def level_cut(low_growth: Any, stock: Any, first: Any, goal: Any, stock_share: Any, *, region: Region) -> np.ndarray:
    """Cords a year that may be cut until the next cruise; arrays broadcast, any amount of wood for cords.

    Parameters
    ----------
    low_growth
        Lower tenth of net growth a year of the stock below [cords/yr].
    stock
        Stock as this cruise saw it, without stands past their age or cut by area [cords].
    first
        The same as the first cruise saw it [cords].
    goal
        Stock at the stocking that is written or aimed at [cords]; NaN where none is: a full wood is not drawn down.
    stock_share
        ``error_share`` of the plots' error: so sure must a stock be over the goal before it counts as surplus. The
        volume table's error is in both.
    region
        Whose figures are used (pull_yr, chosen).

    Returns
    -------
    Never under 0: max(0, low growth) + min(0, (V - min(V first, goal))/20) + max(0, (share V - goal)/20). What dies of
    crowding in a full wood is no reason to cut less of it.

    Source: 10,000 runs of nine made-up woods (forest ageing, section 9), derived.
    """
    led = pull(stock, first, goal, stock_share, region=region)
    return np.maximum(0.0, np.maximum(0.0, np.asarray(low_growth, dtype=float)) + led)

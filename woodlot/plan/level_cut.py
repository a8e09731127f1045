"""How much may be cut each year until the next cruise, so that it lasts: one rule for today and for trials.

level_cut     the rule
error_share   what an error leaves of a figure at its lower tenth

A family wants the most wood a year that its grandchildren can still cut: not so much that slow growth eats the stock,
nor so little that a full wood chokes.
"""

from typing import Any

import numpy as np

from woodlot.region import Region

__all__ = ["error_share", "level_cut"]

#: Standard deviations of the lower tenth.
TENTH = 1.2816


def error_share(*log_sds: Any) -> np.ndarray:
    """What errors (standard deviations of logarithms, independent) leave of a figure at its lower tenth.

    >>> round(float(error_share(0.45, 0.12, 0.08)), 3)
    0.546
    """
    return np.exp(-TENTH * np.sqrt(np.sum([np.square(np.asarray(one, dtype=float)) for one in log_sds], axis=0)))


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
        ``error_share`` of the stock's own errors: by it a stock must stand over the goal before it counts as surplus.
    region
        Whose figures are used (pull_yr, chosen).

    Returns
    -------
    Never under 0: low growth + min(0, (V - min(V first, goal))/20) + max(0, (share V - goal)/20).

    Source: 10,000 runs of nine made-up woods (forest ageing, section 9), derived.
    """
    years = region.figure("defaults_cut", "pull_yr")
    now, then, aim = (np.asarray(one, dtype=float) for one in (stock, first, goal))
    down = np.minimum(0.0, now - np.fmin(then, aim)) / years
    up = np.fmax(0.0, np.asarray(stock_share, dtype=float) * now - aim) / years
    return np.maximum(0.0, np.asarray(low_growth, dtype=float) + down + up)

"""The yearly cut by formula: cut_per_yr_meyer. Which ceilings it is one of: woodlot/plan/ceilings.py."""

from typing import Any

import numpy as np

from woodlot.errors import InputError
from woodlot.tree.inputs import numbers, positive

__all__ = ["cut_per_yr_meyer"]


def cut_per_yr_meyer(stock: Any, goal_stock: Any, years: Any, growth_rate: Any) -> Any:
    """Level yearly cut that leads a stock to its goal.

    Parameters
    ----------
    stock, goal_stock
        Stock now and wished for, in the same unit.
    years
        Years to get there [yr].
    growth_rate
        Yearly growth of the stock, as a share (.03).

    Returns
    -------
    Cut per year in the unit of the stock; negative where growth alone does not reach the goal.

    Notes
    -----
    [V0 (1+g)^n - Vn] x g / ((1+g)^n - 1): growth then cut at each year's end leads V0 exactly to Vn. Without growth it
    is (V0 - Vn) / n.

    Examples
    --------
    400 to 500 in 20 years at 3 %: (400 x 1.80611 - 500) x .03 / .80611 = 222.444 x .0372157 = 8.278.

    >>> round(cut_per_yr_meyer(400, 500, 20, 0.03), 3)
    8.278

    Source: Meyer's amortization, textbook form from memory.
    """
    (v0, vn, n, g), back = numbers(stock=stock, goal_stock=goal_stock, years=years, growth_rate=growth_rate)
    positive(years=n)
    if np.any(np.abs(g) >= 1.0):
        raise InputError(f"growth_rate is a share a year, .03 for 3 %, not {float(g.flat[0]):g}")
    if np.any(v0 < 0) or np.any(vn < 0):
        raise InputError("stock and goal_stock must be 0 or more")
    grown = np.where(g == 0.0, n, np.expm1(n * np.log1p(g)) / np.where(g == 0.0, 1.0, g))
    return back((v0 * (1.0 + g) ** n - vn) / grown)

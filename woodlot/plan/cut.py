"""The yearly cut by formula: cut_per_yr_meyer. Which ceilings it is one of: woodlot/plan/ceilings.py."""

from typing import Any

import numpy as np

from woodlot.errors import InputError
from woodlot.tree.inputs import numbers, positive

__all__ = ["cut_per_yr_meyer"]


def cut_per_yr_meyer(stock: Any, goal_stock: Any, years: Any, growth_rate: Any, cut_growth_rate: Any = None) -> Any:
    """Level yearly cut that leads a stock to its goal.

    Parameters
    ----------
    stock, goal_stock
        Stock now and wished for, in the same unit.
    years
        Years to get there [yr].
    growth_rate
        Yearly growth of the whole stock, as a share (.03).
    cut_growth_rate
        Yearly growth of the part that is cut; None for the same.

    Returns
    -------
    Cut per year in the unit of the stock; negative where growth alone does not reach the goal.

    Notes
    -----
    [V0 (1+gm)^n - Vn] x gc / ((1+gc)^n - 1); with both rates alike, growth then cut at each year's end leads V0 exactly
    to Vn. Without growth it is (V0 - Vn) / n.

    Examples
    --------
    400 to 500 in 20 years at 3 %: (400 x 1.80611 - 500) x .03 / .80611 = 222.444 x .0372157 = 8.278.

    >>> round(cut_per_yr_meyer(400, 500, 20, 0.03), 3)
    8.278

    Source: Meyer's amortization, textbook form from memory.
    """
    (v0, vn, n, gm, gc), back = numbers(
        stock=stock,
        goal_stock=goal_stock,
        years=years,
        growth_rate=growth_rate,
        cut_growth_rate=growth_rate if cut_growth_rate is None else cut_growth_rate,
    )
    positive(years=n)
    _shares(growth_rate=gm, cut_growth_rate=gc)
    _amounts(stock=v0, goal_stock=vn)
    grown = np.where(gc == 0.0, n, np.expm1(n * np.log1p(gc)) / np.where(gc == 0.0, 1.0, gc))
    return back((v0 * (1.0 + gm) ** n - vn) / grown)


def _shares(**given: np.ndarray) -> None:
    for name, values in given.items():
        if np.any(np.abs(values) >= 1.0):
            raise InputError(f"{name} is a share a year, .03 for 3 %, not {float(values.flat[0]):g}")


def _amounts(**given: np.ndarray) -> None:
    for name, values in given.items():
        if np.any(values < 0):
            raise InputError(f"{name} must be 0 or more, found {float(np.nanmin(values)):g}")

"""Crowding: the more deer, the fewer fawns; what a herd yields, and how it slides when a little more is taken.

theta_from_peak, peak_yield, yield_theta    the theta-logistic form
Spring, spring_step, steady, yield_curve    a two-class doe herd whose births fall with its number (Hunter and Runge)

The top of a yield curve is flat and its far side is not: a few points more and the herd slides year by year, which
looks like bad luck. So a take is a rate of the present herd, never a fixed number at the top.
"""

from typing import Any, NamedTuple

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.tables import table

__all__ = [
    "Spring",
    "low_density_matrix",
    "peak_yield",
    "spring_step",
    "steady",
    "theta_from_peak",
    "yield_curve",
    "yield_theta",
]


def yield_theta(n, growth, full_herd, theta):
    """Deer a year that a herd of n gains: growth x n x (1 - (n/full)^theta); number or array."""
    return growth * n * (1.0 - (np.asarray(n, dtype=float) / full_herd) ** theta)


def theta_from_peak(peak_share: float) -> float:
    """Theta for which the yield peaks at this share of the full herd (.56 -> 1.736); the share lies in .37 to .95."""
    if not 0.37 < peak_share < 0.95:
        raise InputError(f"the peak lies between .37 and .95 of a full herd, was {peak_share!r}")
    low, high = 1e-6, 100.0
    for _ in range(200):
        middle = (low + high) / 2
        if (1 + middle) ** (-1 / middle) < peak_share:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def peak_yield(growth, full_herd, theta):
    """Highest yearly yield: growth x full x theta x (1 + theta)^(-(1 + theta)/theta)."""
    return growth * full_herd * theta * (1 + theta) ** (-(1 + theta) / theta)


class Spring(NamedTuple):
    """Does in spring, grown and yearling, numbers or arrays; ``taken``: does taken in the fall before."""

    adults: Any
    yearlings: Any
    taken: Any = 0.0


def _given() -> dict[str, float]:
    rows = table("deer_hunter_2004")
    return dict(zip(rows["name"], rows["value"].astype(float), strict=True))


def _bears(females, full_to, none_from):
    return np.clip((none_from - females) / (none_from - full_to), 0.0, 1.0)


def low_density_matrix() -> np.ndarray:
    """Matrix of yearling and grown does from spring to spring where deer are few and nobody hunts."""
    g = _given()
    live = g["summer_fawn"] * g["winter_fawn"]
    grow = [g["summer_yearling"] * g["winter_yearling"], g["summer_adult"] * g["winter_adult"]]
    return np.array([[g["fawns_yearling"] * live, g["fawns_adult"] * live], grow])


def spring_step(now: Spring, share_taken) -> Spring:
    """A year of a doe herd from spring to spring; share_taken: share of fall yearlings and grown does that are shot.

    Notes: births fall with the number of females, straight from full to none; yearlings are shot at .903 of the rate of
    grown does.
    Source: Hunter and Runge 2004, J. Wildl. Manage. 68(3):585-594, values as transcribed, key hunter_2004.
    """
    g = _given()
    females = now.adults + now.yearlings
    born = g["fawns_yearling"] * _bears(females, g["yearling_full_to"], g["yearling_none_from"]) * now.yearlings
    born = born + g["fawns_adult"] * _bears(females, g["adult_full_to"], g["adult_none_from"]) * now.adults
    adults, yearlings = now.adults * g["summer_adult"], now.yearlings * g["summer_yearling"]
    taken = share_taken * (adults + yearlings)
    rate = taken / np.maximum(adults + g["yearling_vulnerability"] * yearlings, 1e-300)
    left = g["winter_adult"] * (1 - rate) * adults
    left = left + g["winter_yearling"] * (1 - g["yearling_vulnerability"] * rate) * yearlings
    return Spring(left, born * g["summer_fawn"] * g["winter_fawn"], taken)


def steady(share_taken, years: int = 5000, start: Spring | None = None) -> Spring:
    """The herd after so many years of the same share taken, from a full herd unless another start is given."""
    now = start or Spring(np.full(np.shape(share_taken), 30.0), np.full(np.shape(share_taken), 8.0))
    for _ in range(years):
        now = spring_step(now, share_taken)
    return now


def yield_curve(shares, years: int = 5000) -> pd.DataFrame:
    """Herd and yearly yield at each share of does taken, once settled: share, adults, yearlings, herd, taken."""
    shares = np.asarray(shares, dtype=float)
    end = steady(shares, years)
    herd = {"adults": end.adults, "yearlings": end.yearlings, "herd": end.adults + end.yearlings}
    return pd.DataFrame({"share": shares} | herd | {"taken": end.taken})

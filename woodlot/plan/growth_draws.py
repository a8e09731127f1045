"""Stock and growth of some stands drawn many times, as far off as plots, tables and site let them be.

draws, Draws   the draws
site_error     what stays unknown of growth: of the place, and of each stand

Who lives from a wood wants to know how little it may grow, not only how much it should.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import satterthwaite_df
from woodlot.region import Region

__all__ = ["Draws", "draws", "site_error"]

#: Two plots give draws without an end; none is taken further off than this many powers of e.
MOST_OFF = 50.0
#: Standard deviations at which low and high growth stand (``Woods.factor``).
ENDS_SD = 1.645


@dataclass(frozen=True)
class Draws:
    """Random draws (draws, stands): stock [cords], by_plots (the same by the error of plots and counting alone, which
    the volume table and stacking do not touch), site (what the truth of the site makes of middle growth), cored (the
    same with ten cores behind it), out (how far out the site lies, 1 at the low or high end); off, variance, df,
    chance and over: from what few degrees of freedom are told.
    """

    stock: np.ndarray
    by_plots: np.ndarray
    site: np.ndarray
    cored: np.ndarray
    out: np.ndarray
    off: np.ndarray
    variance: np.ndarray
    df: np.ndarray
    chance: np.ndarray
    over: np.ndarray

    def rate(self, rates: np.ndarray) -> np.ndarray:
        """Net growth over the stock, drawn between low, middle and high (3, stands) as far out as the site lies."""
        low, mid, high = rates
        return mid + np.where(self.out < 0, -self.out * (low - mid), self.out * (high - mid))

    def of_some(self, at: np.ndarray) -> np.ndarray:
        """What the stock of stands ``at`` is times where they are told together without the others: by the degrees of
        freedom of their own sum (draws, stands of ``at``).
        """
        return self._times(at, np.array([_together(self.variance[at], self.df[at])]))

    def alone(self) -> np.ndarray:
        """The same of each stand told by itself (draws, stands)."""
        return self._times(np.arange(len(self.df)), self.df)

    def _times(self, at: np.ndarray, df: np.ndarray) -> np.ndarray:
        every, which = np.unique(df, return_inverse=True)
        own = _wider(self.chance, every)[:, which] - self.over
        return np.exp(np.clip(self.off[:, at] * own, -MOST_OFF, MOST_OFF))


def _together(variance: np.ndarray, df: np.ndarray) -> float:
    """Degrees of freedom of a sum."""
    return satterthwaite_df(zip(variance.tolist(), df.tolist(), strict=True))


def _wider(chance: np.ndarray, df: np.ndarray) -> np.ndarray:
    """How much wider than a normal draw one of t is, by a chance (draws, 1) that all share and degrees of freedom."""
    from scipy.special import chdtri

    known = np.isfinite(df)
    some = np.where(known, df, 1.0)
    return np.where(known, np.sqrt(some / chdtri(some, chance)), 1.0)


def site_error(stands: pd.DataFrame, *, region: Region) -> tuple[np.ndarray, np.ndarray]:
    """Standard deviations of the logarithm of growth: of the place, shared by all stands, and a stand's own.

    stands: place_log_sd and stand_log_sd where they are known (``Woods.stands``).
    """
    none = pd.Series(np.nan, index=stands.index)
    place = stands.get("place_log_sd", none).fillna(region.figure("defaults_cut", "no_cores_log_sd"))
    return place.to_numpy(dtype=float), stands.get("stand_log_sd", none).fillna(0.0).to_numpy(dtype=float)


def draws(
    stock: np.ndarray,
    stock_cv: np.ndarray,
    df: np.ndarray,
    table_cv: np.ndarray,
    stacking_cv: float,
    number: int,
    seed: int,
    site_sd: tuple[np.ndarray, np.ndarray],
    cores_sd: float,
    count_cv: Any = 0.0,
) -> Draws:
    """Stock and growth of some stands drawn many times.

    Parameters
    ----------
    stock
        Standing cords by stand.
    stock_cv, df
        Sampling error over the stock, and its degrees of freedom, by stand (infinite where it is known).
    table_cv, stacking_cv
        Error of the volume table by stand and of the solid wood in a cord: shared by all stands.
    number, seed
        Draws and where they start.
    site_sd
        ``site_error``.
    cores_sd
        What stays unknown of a place with ten cores; no more than is unknown now.
    count_cv
        Error of edges and eye by stand: shared by all stands.

    Returns
    -------
    ``Draws``. Stock = value x exp(t s_m + z s_count + z s_table + z s_cord); t is a normal draw of each stand, over one
    root of chi-square over its df for all stands together, so that their sum spreads as the range of the total says
    (fewer stands: ``of_some``). site = exp(z s_place + z s_stand), z of the place the same in all stands.
    """
    many = len(stock)
    draw = np.random.default_rng(seed)
    z, chance = draw.standard_normal((number, many)), draw.uniform(size=(number, 1))
    variance, df = (stock_cv * stock) ** 2, np.asarray(df, dtype=float)
    z_table, z_cord, z_place = (draw.standard_normal((number, 1)) for _ in range(3))
    z_stand = draw.standard_normal((number, many))
    z_count = draw.standard_normal((number, 1))

    def log_sd(cv: Any) -> Any:
        return np.sqrt(np.log1p(np.square(cv)))

    plots = z * log_sd(stock_cv)
    over = _wider(chance, np.array([_together(variance, df)]))
    counted = plots * over + z_count * log_sd(count_cv)
    off = counted + z_table * log_sd(table_cv) + z_cord * log_sd(stacking_cv)
    value, by_plots = (stock * np.exp(np.clip(one, -MOST_OFF, MOST_OFF)) for one in (off, counted))
    place, own = site_sd
    site, cored = (z_place * sd + z_stand * own for sd in (place, np.minimum(place, cores_sd)))
    width = np.hypot(place, own)
    out = np.divide(site, width, out=np.zeros_like(site), where=width > 0) / ENDS_SD
    return Draws(value, by_plots, np.exp(site), np.exp(cored), out, plots, variance, df, chance, over)

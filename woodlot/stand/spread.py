"""How far plots of a stand stand from each other: by its own plots, with some help from the other stands of its cover.

spread      the squared spread of each stand, its degrees of freedom, who helped, and which stands are patchier
Spread      what it holds
alike       which stands may help each other
log_sd      the error of a mean on logarithms

A forester who has put three plots in a stand wants to know how far off their mean may be. Three plots hardly say how
far apart plots stand; nine more in woods like it say it better, and a usual spread keeps plots that agree by luck from
promising much. The mean stays that of the stand's own plots.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from woodlot.region import Region
from woodlot.trade import NO_COVER, PLOT_KINDS
from woodlot.tree.inputs import column
from woodlot.units import SQFT_PER_AC

__all__ = ["Spread", "alike", "log_sd", "spread"]


def _chosen(name: str, *, region: Region) -> float:
    return region.figure("defaults_sampling", name)


@dataclass(frozen=True)
class Spread:
    """Of each row of a table of means (missing where its mean is not above 0).

    c2: squared spread between plots over the squared mean; df: its degrees of freedom; log_sd: standard error of the
    mean on logarithms; group: number of the stands it is among, -1 where none may help it; helps: its own plots tell of
    their spread; helped: another of its group does; patchier: its plots stand farther apart than theirs.
    """

    c2: np.ndarray
    df: np.ndarray
    log_sd: np.ndarray
    group: np.ndarray
    helps: np.ndarray
    helped: np.ndarray
    patchier: np.ndarray


def alike(stands: pd.DataFrame, plots: pd.DataFrame) -> pd.Series:
    """A name by stand_id for each stand with plots: stands of one name may help each other, none that is missing.

    Parameters
    ----------
    stands
        stand_id, cover.
    plots
        Every plot visited: stand_id, kind, baf_sqft_per_ac, radius_ft.

    Returns
    -------
    Series of one cover, one kind of plot and one size: no stand's factor, or area of a plot, is over twice that of
    another of its name. Missing where the cover is not known.
    """
    at = plots["stand_id"].astype(str)
    prism = plots["kind"].to_numpy() == "prism"
    acres = np.pi * column(plots, "radius_ft") ** 2 / SQFT_PER_AC
    size = pd.Series(np.where(prism, column(plots, "baf_sqft_per_ac"), acres), index=at.index).groupby(at).mean()
    kinds = pd.Series(np.where(prism, 1.0, 0.0), index=at.index).groupby(at).mean()
    out = pd.DataFrame({"size": size, "kind": np.select([kinds == 1.0, kinds == 0.0], list(PLOT_KINDS), "both")})
    cover = stands.set_index(stands["stand_id"].astype(str))["cover"].reindex(out.index)
    out["cover"] = cover.where(cover != NO_COVER)
    known = out.dropna(subset="cover").sort_values("size", kind="stable")
    names = pd.Series(None, index=out.index, dtype=object)
    for (one, kind), some in known.groupby(["cover", "kind"], sort=True):
        names[some.index] = [f"{one}, {kind}, {first:g}" for first in _firsts(some["size"].tolist())]
    return names


def _firsts(sizes: list[float]) -> list[float]:
    """For each of rising sizes the smallest of those it is put with: none over twice that."""
    out: list[float] = []
    for size in sizes:
        out.append(size if not out or size > 2.0 * out[-1] * (1.0 + 1e-9) else out[-1])
    return out


def log_sd(c2: np.ndarray, n: np.ndarray) -> np.ndarray:
    """Standard error on logarithms of a mean of ``n`` plots whose squared relative spread is ``c2``."""
    return np.sqrt(np.log1p(c2 / n))


def spread(table: pd.DataFrame, like: pd.Series | None, *, region: Region) -> Spread:
    """The spread of each stand, moderated by the others that are alike and by the usual one.

    Parameters
    ----------
    table
        stand_id, n (samples), mean, se, df (degrees of freedom of se: n - 1, or others), one row a stand; pool (may be
        missing: name of the one variance that se rests on with that of others). A stand of a pool lends no more degrees
        than its own plots have, and is never called patchier: its spread is that of all.
    like
        Name of its like by stand_id (``alike``, or the cover); None, or missing: no other stand helps.
    region
        Whose figures are used.

    Returns
    -------
    ``Spread``.

    Notes
    -----
    Of the others r = sum SS / sum df mean^2, nb = sum n df / sum df, c2_others = min(r/max(1 - r/nb, .4), .81), D = sum
    df; then c2 = (w c2_others + 2 x .60^2 + df c2_own)/(w + 2 + df), w = min(D, 2). Figures: defaults_sampling.csv.

    Source: sampling_trials (trials with stands that were made up; repeated in tests/stand/test_coverage.py).
    """
    usual, usual_df = _chosen("usual_cv", region=region) ** 2, _chosen("usual_df", region=region)
    n, mean, se = (table[name].to_numpy(dtype=float) for name in ("n", "mean", "se"))
    some = mean > 0
    own = np.where(some & np.isfinite(se), table["df"].to_numpy(dtype=float), 0.0)
    pooled = table["pool"].notna().to_numpy() if "pool" in table else np.zeros(len(table), dtype=bool)
    lent = np.where(pooled, np.minimum(own, n - 1.0), own)
    squares = np.where(own > 0, n * np.nan_to_num(se) ** 2, 0.0)
    square = np.where(some, np.nan_to_num(mean), 1.0) ** 2
    group = np.full(len(table), -1)
    if like is not None:
        group, _ = pd.factorize(like.reindex(table["stand_id"].astype(str)).to_numpy(dtype=object))
    group = np.where(some, group, -1)

    def others(amount: np.ndarray) -> np.ndarray:
        sums = np.bincount(group[group >= 0], amount[group >= 0], minlength=group.max(initial=-1) + 1)
        return np.where(group >= 0, np.append(sums, 0.0)[group] - amount, 0.0)

    many = others((lent > 0).astype(float))
    df_of, helped = np.where(many > 0, others(lent), 0.0), many > 0
    over = np.where(helped, df_of, 1.0)
    r = np.maximum(others(lent * squares), 0.0) / np.where(helped, others(lent * square), 1.0)
    plots = np.where(helped, others(n * lent) / over, 1.0)
    left = np.maximum(1.0 - r / plots, _chosen("least_left", region=region))
    of_others = np.where(helped, np.minimum(r / left, _chosen("most_c2", region=region)), 0.0)
    w = np.minimum(df_of, _chosen("help_df", region=region))
    df = w + usual_df + own
    c2 = np.where(some, (w * of_others + usual_df * usual + own * squares / square) / df, np.nan)
    df = np.where(some, df, np.nan)
    level = _chosen("patchier_level", region=region)
    tells = np.where(pooled, 0.0, own)
    patchier = _patchier(squares / square, of_others, tells, np.where(helped, df_of, 0.0), level)
    return Spread(c2, df, log_sd(c2, np.maximum(n, 1.0)), group, lent > 0, helped, patchier)


def _patchier(own: np.ndarray, others: np.ndarray, df: np.ndarray, df_of: np.ndarray, level: float) -> np.ndarray:
    """Which stands are patchier than the others by the F test."""
    from scipy.special import fdtri

    out = np.zeros(len(own), dtype=bool)
    at = np.flatnonzero((df > 0) & (df_of > 0) & (others > 0))
    out[at] = own[at] > others[at] * fdtri(df[at], df_of[at], level)
    return out

"""Kinds of tree on thin plots: totals with ranges that hold, and how much of a kind nobody saw may still stand.

Each stand     cells
Sums           ranges
As estimates   estimates, unseen_trees

A forester who sells or builds wants of each kind how much there is and how little there may be; a kind that no plot
met is not none at all. So a kind that is not seen in a stand counts as 0, give or take one tree; and where stands have
few plots, all plots of a cover are one sample, weighed by the acres behind each.
"""

from collections.abc import Mapping
from dataclasses import replace
from math import log, sqrt
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import LEVEL, Estimate, interval, reason, without_range
from woodlot.region import Region

__all__ = ["cells", "estimates", "ranges", "unseen_trees"]


def _chosen(name: str, *, region: Region) -> float:
    return region.figure("defaults_sampling", name)


def cells(sums: pd.DataFrame, by: str = "species") -> pd.DataFrame:
    """What the plots of each stand come to for each kind of tree seen there.

    Parameters
    ----------
    sums
        Rows of ``plots.plot_sums`` for one thing, split by kind: stand_id, the kind, amount, spread; seen and r2
        where trees were counted only; held where not all of the amount is known to be of its kind.
    by
        Column of the kind.

    Returns
    -------
    Frame with stand_id, species, amount (sum over plots), squares (sum of squares of what the spread is judged by),
    holding (plots that hold any that is known), ratio (square of what the ratio of trees counted only may be off by, on
    that sum).
    """
    amount = sums["amount"].to_numpy()
    each = pd.DataFrame({"stand_id": sums["stand_id"].astype(str), "species": sums[by].astype(str), "amount": amount})
    each["squares"] = sums["spread"].to_numpy() ** 2
    held = (sums["held"].to_numpy() if "held" in sums else amount) > 0
    each["holding"] = (held & (sums["seen"].to_numpy() if "seen" in sums else True)).astype(int)
    each["r2"] = sums["r2"].to_numpy() if "r2" in sums else 0.0
    by_kind = each.groupby(["stand_id", "species"], sort=True)
    out = by_kind[["amount", "squares", "holding"]].sum()
    return out.assign(ratio=by_kind["r2"].first() * out["amount"] ** 2).reset_index()


def ranges(of: pd.DataFrame, stands: pd.DataFrame, *, region: Region) -> pd.DataFrame:
    """Totals of each kind of tree on some grounds, and the variance of each.

    Parameters
    ----------
    of
        Result of ``cells``.
    stands
        By stand_id, of every stand with a plot: acres (working acres), plots, tree (what one tree on one plot makes of
        the stand's mean; with a prism its factor times the amount on a square foot of basal area, over the plots), like
        (name of its like, ``spread.alike``; missing: it stands alone), ground (what a total is told for: itself, its
        parcel, "all"; missing: left out).
    region
        Whose figures are used.

    Returns
    -------
    Frame by ground and species, for every species on every ground: value, variance, df; plots, holding (plots that hold
    any); tree (where there is none: the most that one tree more would make of the value).

    Notes
    -----
    With A_k and n_k the acres and plots of a stand and A the acres of all of its like, g = (A_k/A)/n_k for each
    plot, T = sum g z. Where a stand has under ``own_spread_plots`` plots, the variance is n/(n-1) sum g^2 (z -
    T)^2, with 1/sum((A_k/A)^2/n_k) - 1 degrees of freedom; else that of the stands, each by its own spread. Each
    stand without the kind adds the square of one tree, each with trees counted only what their ratio may be off by,
    and the whole is at least that of trees that stand alone. Where that leaves under two degrees of freedom, plots
    are also taken to differ as they usually do, ``usual_cv`` beside single trees.
    """
    usual_cv, usual_df, thin = (_chosen(name, region=region) for name in ("usual_cv", "usual_df", "own_spread_plots"))
    row = stands[stands["ground"].notna()].astype({"acres": float}).fillna({"tree": 0.0})
    pool = _pools(row)
    here = of.merge(row, left_on="stand_id", right_index=True, how="inner")
    n = here["plots"].astype(float)
    mean = here["amount"] / n
    own = here["share"] ** 2 * ((here["squares"] - n * mean**2) / (n * (n - 1.0)).where(n > 1)).clip(lower=0.0)
    parts = here[["pool", "species", "holding"]].assign(
        mean=here["share"] * mean,
        g2z=here["g2"] * here["amount"],
        g2zz=here["g2"] * here["squares"],
        alone=here["g2"] * here["amount"] * here["tree"] * n,
        ratio=here["g2"] * here["ratio"],
        seen=here["unseen"].where(here["holding"] > 0, 0.0),
        own=own,
        own_squared=own**2 / (n - 1.0).where(n > 1),
    )
    every = pd.MultiIndex.from_product([pool.index, sorted(of["species"].unique())], names=["pool", "species"])
    one = parts.groupby(["pool", "species"]).sum().reindex(every, fill_value=0.0).join(pool, on="pool")
    t, n, df = one["mean"], one["plots"].astype(float), one["df"]
    pooled = n / (n - 1.0).where(n > 1) * (one["g2zz"] - 2.0 * t * one["g2z"] + t**2 * one["g2n"])
    pooled = pooled.fillna(0.0).clip(lower=0.0)
    usual = usual_cv**2 * t**2 * one["g2n"] + one["alone"]
    few, apart = (df < 2.0).to_numpy(), (one["least"] >= thin).to_numpy()
    own_df = (one["own"] ** 2 / one["own_squared"].where(one["own_squared"] > 0)).fillna(df)
    moderated = (usual_df * usual + df * pooled) / (usual_df + df)
    one["df"] = np.select([few, apart], [usual_df + df, own_df], df)
    spread = np.select([few, apart], [moderated, one["own"]], pooled)
    one["variance"] = np.maximum(spread + one["unseen"] - one["seen"] + one["ratio"], one["alone"])
    return _over_pools(one, row)


def _pools(row: pd.DataFrame) -> pd.DataFrame:
    """Stands of one ground that are like each other; each stand gets its pool, its share of it and what follows."""
    like = row["like"].where(row["like"].notna(), "\0" + row.index.to_series().astype(str))
    row["pool"] = row.groupby(["ground", like], sort=False).ngroup()
    out = row.groupby("pool").agg(
        ground=("ground", "first"), acres=("acres", "sum"), plots=("plots", "sum"), least=("plots", "min")
    )
    acres = out["acres"].reindex(row["pool"]).to_numpy()
    row["share"] = np.divide(row["acres"], acres, out=np.zeros(len(row)), where=acres > 0)
    row["g2"], row["unseen"] = (row["share"] / row["plots"]) ** 2, (row["share"] * row["tree"]) ** 2
    row["g2n"] = row["g2"] * row["plots"]
    out = out.join(row.groupby("pool")[["g2n", "unseen"]].sum())
    out["df"] = (1.0 / out["g2n"].where(out["g2n"] > 0) - 1.0).fillna(0.0)
    return out


def _over_pools(one: pd.DataFrame, row: pd.DataFrame) -> pd.DataFrame:
    """Pools added up to grounds, with the degrees of freedom of the sum."""
    one["value"] = one["mean"] * one["acres"]
    one["variance"] *= one["acres"] ** 2
    one["squared"] = one["variance"] ** 2 / one["df"]
    out = one.groupby(["ground", "species"])[["value", "variance", "squared", "holding"]].sum()
    out["df"] = out["variance"] ** 2 / out.pop("squared").where(lambda s: s > 0)
    most = (
        row.assign(tree=row["acres"] * row["tree"]).groupby("ground").agg(plots=("plots", "sum"), tree=("tree", "max"))
    )
    out = out.join(most, on="ground").astype({"holding": int, "plots": int})
    out["tree"] = out["tree"].where(out["value"] == 0)
    return out[["value", "variance", "df", "plots", "holding", "tree"]]


def unseen_trees(level: float, *, region: Region) -> float:
    """Trees that may be expected at most on plots that met none: 3.0 at the usual level."""
    return _chosen("unseen_trees", region=region) * log((1.0 - level) / 2.0) / log((1.0 - LEVEL) / 2.0)


def estimates(
    table: pd.DataFrame,
    unit: str,
    acres: Mapping[Any, float],
    shared: Mapping[Any, Mapping[str, float]] | None = None,
    level: float = LEVEL,
    *,
    region: Region,
) -> dict[Any, Estimate]:
    """The rows of ``ranges`` as estimates, by ground and species.

    acres: working acres behind each ground; shared: by ground and species, errors common to all plots.

    No range: fewer than three plots on the ground, or a kind that one plot alone holds. A kind that none holds is 0,
    ``high`` the most that may stand there. From two plots that hold it there is a range, and the word about.
    """
    least, enough = (int(region.figure("defaults_stand", name)) for name in ("least_plots", "least_plots_with"))
    trees = unseen_trees(level, region=region)
    out = {}
    for key, value, variance, df, plots, holding, tree in table.itertuples():
        words: dict[str, Any] = {"unit": unit, "level": level, "n": plots, "ground_ac": acres[key[0]]}
        if not value:
            most = trees * tree if tree > 0 else None
            out[key] = Estimate(
                0.0, high=most, se=sqrt(variance), df=df, why=reason("nothing on plots", plots=plots), **words
            )
            continue
        errors = (shared or {}).get(key)
        e = interval(value, se=sqrt(variance), df=df, shared=errors, least_n=least, **words)
        if holding < min(2, plots):
            e = without_range(e, reason("seen on few", holding=holding, plots=plots, value=value, unit=unit))
        elif e.low is not None and holding < min(enough, plots):
            e = replace(e, why=reason("held by few", holding=holding, plots=plots))
        out[key] = e
    return out

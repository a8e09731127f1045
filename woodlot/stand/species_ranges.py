"""Kinds of tree on thin plots: totals with ranges that hold, and how much of a kind nobody saw may still stand.

One tree       one_tree
Each stand     cells
Sums           ranges
As estimates   estimates

A forester who sells or builds wants of each kind how much there is and how little there may be; a kind that no plot
met is not none at all. So a kind that is not seen in a stand counts as 0 and may be as much as one tree more or less
would make; and where stands have few plots, all plots of a cover are one sample, weighed by the acres behind each.
"""

from collections.abc import Mapping
from math import log, sqrt
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import LEVEL, Estimate, interval, reason, without_range
from woodlot.region import Region
from woodlot.trade import NO_COVER
from woodlot.units import SQFT_PER_AC

__all__ = ["cells", "estimates", "one_tree", "ranges"]


def _chosen(name: str, *, region: Region) -> float:
    return region.figure("defaults_sampling", name)


def one_tree(plots: pd.DataFrame, trees: pd.DataFrame, cover: pd.Series, what: str) -> pd.Series:
    """What one tree on a plot is worth on an acre, by the trees of its cover that hold any.

    Parameters
    ----------
    plots
        Every plot: plot_id, stand_id, kind, baf_sqft_per_ac, radius_ft.
    trees
        Expanded trees with the column ``what``, an amount per tree, or "basal_sqft_per_ac".
    cover
        Cover by stand_id.
    what
        The thing.

    Returns
    -------
    By plot_id: with a prism its factor times the amount on a square foot of basal area, on a fixed plot one over its
    acres times the amount of a tree. Where no tree of the cover holds any, by those of all covers; 0 where none does.
    """
    stand = plots["stand_id"].astype(str)
    prism = (plots["kind"] == "prism").to_numpy()
    per_tree = trees["basal_sqft_per_ac"] / trees["trees_per_ac"] if what == "basal_sqft_per_ac" else trees[what]
    holds = trees["alive"].to_numpy() & ~trees["counted_only"].to_numpy() & (per_tree.to_numpy(dtype=float) > 0)
    those = trees[holds]
    of = pd.DataFrame(
        {
            "cover": those["stand_id"].astype(str).map(cover),
            "amount": per_tree[holds].astype(float) * those["trees_per_ac"],
            "basal": those["basal_sqft_per_ac"],
            "stems": those["trees_per_ac"],
        }
    )
    sums = of.groupby("cover")[["amount", "basal", "stems"]].sum()
    whole = of[["amount", "basal", "stems"]].sum()
    on = sums.reindex(stand.map(cover).to_numpy())
    worth = {}
    for by in ("basal", "stems"):
        usual = float(whole["amount"] / whole[by]) if whole[by] > 0 else 0.0
        worth[by] = (on["amount"] / on[by]).fillna(usual).to_numpy()
    radius = pd.to_numeric(plots["radius_ft"]).to_numpy(float) if "radius_ft" in plots else np.full(len(plots), np.nan)
    baf = pd.to_numeric(plots["baf_sqft_per_ac"]).to_numpy(float) if "baf_sqft_per_ac" in plots else radius
    out = np.where(prism, baf * worth["basal"], SQFT_PER_AC / (np.pi * radius**2) * worth["stems"])
    return pd.Series(out, index=plots["plot_id"].astype(str).to_numpy())


def cells(sums: pd.DataFrame, worth: pd.Series, by: str = "species") -> pd.DataFrame:
    """What the plots of each stand come to for each kind of tree seen there.

    Parameters
    ----------
    sums
        Rows of ``plots.plot_sums`` for one thing, split by kind: plot_id, stand_id, the kind, amount, spread.
    worth
        What one tree on a plot is worth, by plot_id (``one_tree``).
    by
        Column of the kind.

    Returns
    -------
    Frame with stand_id, the kind, amount (sum over plots), squares (sum of squares of what the spread is judged by),
    one (sum of amount times worth of a tree), holding (plots that hold any).
    """
    amount, spread = sums["amount"].to_numpy(), sums["spread"].to_numpy()
    each = pd.DataFrame({"stand_id": sums["stand_id"].astype(str), by: sums[by].astype(str), "amount": amount})
    each["squares"] = spread**2
    each["one"] = amount * worth.reindex(sums["plot_id"].astype(str)).to_numpy()
    each["holding"] = (amount > 0).astype(int)
    return each.groupby(["stand_id", by], sort=True).sum().reset_index()


def ranges(
    of: pd.DataFrame,
    stands: pd.DataFrame,
    plots: pd.DataFrame,
    worth: pd.Series,
    ground: pd.Series,
    by: str = "species",
    *,
    region: Region,
) -> pd.DataFrame:
    """Totals of each kind of tree on some grounds, and the variance of each.

    Parameters
    ----------
    of
        Result of ``cells``.
    stands
        By stand_id: acres (working acres), cover.
    plots
        Every plot visited: plot_id, stand_id.
    worth
        What one tree on a plot is worth, by plot_id.
    ground
        By stand_id: what its total is told for (itself, its parcel, "all").
    by
        Column of the kind.
    region
        Whose figures are used.

    Returns
    -------
    Frame by ground and kind, for every kind on every ground with a plot: value, variance, df; plots, holding (plots
    that hold any); most (where none does: the value below which a count of none still leaves it 95 times in 100,
    over the factor ``unseen_trees``).

    Notes
    -----
    With A_k and n_k the acres and plots of a stand and A the acres of all in its cover, g = (A_k/A)/n_k for each plot,
    T = sum g z. Where a stand has under ``own_spread_plots`` plots, the variance is n/(n-1) sum g^2 (z - T)^2, with
    1/sum((A_k/A)^2/n_k) - 1 degrees of freedom; else that of the stands, each by its own spread. Each stand without
    the kind adds the square of one tree, and the whole is at least that of trees that stand alone. One plot or two of
    a cover are taken to differ as plots usually do, ``usual_cv``, beside that.
    """
    thin = int(_chosen("own_spread_plots", region=region))
    usual_cv, usual_df = (_chosen(name, region=region) for name in ("usual_cv", "usual_df"))
    row = _plots_of(stands, plots, worth, ground)
    pool = row.groupby("pool").agg(
        ground=("ground", "first"), acres=("acres", "sum"), n=("n", "sum"), least=("n", "min")
    )
    acres = pool["acres"].reindex(row["pool"]).to_numpy()
    row["share"] = np.divide(row["acres"], acres, out=np.zeros(len(row)), where=acres > 0)
    row["g2"] = (row["share"] / row["n"]) ** 2
    row["unseen"] = (row["share"] * row["tree"]) ** 2
    by_pool = row.assign(g2n=row["g2"] * row["n"]).groupby("pool")[["g2n", "unseen"]].sum()
    pool[["g2n", "unseen"]] = by_pool
    pool["df"] = 1.0 / pool["g2n"].where(pool["g2n"] > 0) - 1.0
    here = of.merge(row.reset_index(names="stand_id"), on="stand_id", how="inner")
    mean = here["amount"] / here["n"]
    own = ((here["squares"] - here["n"] * mean**2) / (here["n"] * (here["n"] - 1.0)).where(here["n"] > 1)).clip(lower=0)
    parts = pd.DataFrame(
        {
            "pool": here["pool"],
            by: here[by],
            "mean": here["share"] * mean,
            "g2z": here["g2"] * here["amount"],
            "g2zz": here["g2"] * here["squares"],
            "floor": here["g2"] * here["one"],
            "seen": here["unseen"].where(here["holding"] > 0, 0.0),
            "own": here["share"] ** 2 * own,
            "own_df": (here["share"] ** 2 * own) ** 2 / (here["n"] - 1.0).where(here["n"] > 1),
            "holding": here["holding"],
        }
    )
    every = pd.MultiIndex.from_product([pool.index, sorted(of[by].unique())], names=["pool", by])
    one = parts.groupby(["pool", by]).sum().reindex(every, fill_value=0.0).join(pool, on="pool")
    t, n, df = one["mean"], one["n"], one["df"].fillna(0.0)
    pooled = n / (n - 1.0).where(n > 1) * (one["g2zz"] - 2.0 * t * one["g2z"] + t**2 * one["g2n"])
    few = ((df < 2.0) & (t > 0)).to_numpy()
    usual = usual_cv**2 * t**2 * one["g2n"] + one["floor"]
    moderated = (usual_df * usual + df * pooled.fillna(0.0)) / (usual_df + df)
    apart = (one["least"] >= thin).to_numpy()
    spread = np.where(few, moderated, np.where(apart, one["own"], pooled.fillna(0.0)))
    own_df = (one["own"] ** 2 / one["own_df"].where(one["own_df"] > 0)).fillna(df)
    one["df"] = np.where(few, usual_df + df, np.where(apart & (t > 0), own_df, np.maximum(df, usual_df * (t == 0))))
    one["variance"] = np.maximum(spread.clip(min=0.0) + one["unseen"] - one["seen"], one["floor"])
    return _over_pools(one.reset_index(), row, by)


def _plots_of(stands: pd.DataFrame, plots: pd.DataFrame, worth: pd.Series, ground: pd.Series) -> pd.DataFrame:
    """By stand with plots: acres, plots, what one tree is worth over all of them, its ground and pool."""
    at = pd.DataFrame({"stand_id": plots["stand_id"].astype(str), "n": 1})
    with np.errstate(divide="ignore"):
        at["chance"] = 1.0 / worth.reindex(plots["plot_id"].astype(str)).to_numpy()
    row = at.groupby("stand_id").sum()
    row = row.join(stands[["acres", "cover"]], how="inner").astype({"acres": float})
    row["ground"] = ground.reindex(row.index)
    row = row[row["ground"].notna()]
    row["tree"] = 1.0 / row["chance"]
    cover = row["cover"].astype(object)
    alone = (cover.isna() | (cover == NO_COVER)).to_numpy()
    like = pd.Series(np.where(alone, row.index.to_numpy(dtype=object), cover), index=row.index)
    row["pool"] = pd.MultiIndex.from_arrays([row["ground"], alone, like]).to_flat_index()
    row["pool"] = pd.factorize(row["pool"])[0]
    return row


def _over_pools(one: pd.DataFrame, row: pd.DataFrame, by: str) -> pd.DataFrame:
    """Pools added up to grounds, with the degrees of freedom of the sum."""
    one["value"] = one["mean"] * one["acres"]
    one["variance"] *= one["acres"] ** 2
    one["squared"] = one["variance"] ** 2 / one["df"].where(one["df"] > 0)
    some = one.groupby(["ground", by])
    out = some[["value", "variance", "holding"]].sum()
    out["df"] = out["variance"] ** 2 / some["squared"].sum().where(lambda s: s > 0)
    grounds = row.assign(most=row["acres"] * row["tree"]).groupby("ground").agg(plots=("n", "sum"), most=("most", "max"))
    out = out.join(grounds, on="ground").astype({"holding": int, "plots": int})
    out["most"] = out["most"].where(out["holding"] == 0)
    return out[["value", "variance", "df", "plots", "holding", "most"]]


def estimates(
    table: pd.DataFrame,
    unit: str,
    acres: Mapping[str, float],
    shared: Mapping[Any, Mapping[str, float]] | None = None,
    level: float = LEVEL,
    *,
    region: Region,
) -> dict[Any, Estimate]:
    """The rows of ``ranges`` as estimates, by ground and kind.

    No range: fewer than three plots on the ground, or a kind that one plot alone holds. A kind that none holds is 0,
    and its reason has the most that may stand there. From two plots that hold it there is a range, and the word about.
    """
    least, enough = (
        int(region.figure("defaults_stand", name)) for name in ("least_plots", "least_plots_with")
    )
    trees = _chosen("unseen_trees", region=region) * log((1.0 - level) / 2.0) / log(0.05)
    out = {}
    for key, value, variance, df, plots, holding, most in table.itertuples():
        why = None
        if not holding:
            why = reason("not seen", plots=plots, most=trees * most, unit=unit)
        elif holding < min(enough, plots):
            why = reason("held by few", holding=holding, plots=plots)
        e = interval(
            value,
            unit,
            se=sqrt(variance),
            df=df,
            n=plots,
            shared=(shared or {}).get(key),
            level=level,
            least_n=least,
            ground_ac=acres[key[0]],
            why=why if plots >= least or not holding else None,
        )
        if holding == 1 < plots:
            e = without_range(e, reason("seen on few", holding=holding, plots=plots, value=value, unit=unit))
        out[key] = e
    return out

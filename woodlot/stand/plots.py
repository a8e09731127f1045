"""Plots: what each tallied tree stands for on an acre, and what the plots of a stand come to.

One tree    trees_per_ac_prism, trees_per_ac_round, limiting_distance_ft_prism
All trees   expand
Plots       plot_sums, means
Stands      stand_table
How many    plots_needed

Averages are taken over plots, also the empty ones, and never over trees. How ranges are made of them: stand.cruise.
"""

from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.stand import counted, ratios
from woodlot.trade import NO_COVER, PLOT_KINDS
from woodlot.tree.inputs import column, numbers, positive
from woodlot.units import IN_PER_FT, SQFT_PER_AC, basal_sqft

__all__ = [
    "expand",
    "limiting_distance_ft_prism",
    "means",
    "plot_sums",
    "plots_needed",
    "stand_table",
    "trees_per_ac_prism",
    "trees_per_ac_round",
]

#: Columns of ``expand`` that are per acre already; any other column is per tree.
PER_AC = ("trees_per_ac", "basal_sqft_per_ac")
#: Columns of ``plot_sums`` that are no key.
_OF_SUMS = ("what", "amount", "seen", "spread", "r2", "r_df")


def trees_per_ac_prism(dbh_in: Any, baf_sqft_per_ac: Any) -> Any:
    """Trees per acre that one tree counted with a prism stands for.

    Parameters
    ----------
    dbh_in
        Diameter at breast height [in].
    baf_sqft_per_ac
        Basal area factor of the prism [sq ft/ac].

    Returns
    -------
    Trees per acre, in the form of the arguments.

    Raises
    ------
    InputError
        For a diameter or factor that is not above 0.

    Notes
    -----
    Factor over the cross-section of the tree, pi/576 x dbh^2.

    Examples
    --------
    A 10-inch tree has .5454 sq ft; at factor 10 it stands for 10 / .5454 = 18.33 trees.

    >>> round(trees_per_ac_prism(10, 10), 2)
    18.33
    """
    (dbh, baf), back = numbers(dbh_in=dbh_in, baf_sqft_per_ac=baf_sqft_per_ac)
    positive(dbh_in=dbh, baf_sqft_per_ac=baf)
    return back(baf / basal_sqft(dbh))


def trees_per_ac_round(radius_ft: Any) -> Any:
    """Trees per acre that one tree on a round plot stands for: 43,560 over the square feet of the plot.

    >>> round(trees_per_ac_round(37.24), 2)
    10.0
    """
    (radius,), back = numbers(radius_ft=radius_ft)
    positive(radius_ft=radius)
    return back(SQFT_PER_AC / (np.pi * radius**2))


def limiting_distance_ft_prism(dbh_in: Any, baf_sqft_per_ac: Any) -> Any:
    """Farthest level distance from the plot's center to the center of a tree at which a prism still counts it.

    Parameters
    ----------
    dbh_in
        Diameter at breast height [in].
    baf_sqft_per_ac
        Basal area factor of the prism [sq ft/ac].

    Returns
    -------
    Feet, in the form of the arguments. To the face of the tree it is dbh/24 ft less.

    Notes
    -----
    dbh x sqrt(43,560 / factor) / 24: at factor 10 2.750 ft for each inch, at factor 20 1.944.

    >>> round(limiting_distance_ft_prism(12.4, 10), 1)
    34.1
    """
    (dbh, baf), back = numbers(dbh_in=dbh_in, baf_sqft_per_ac=baf_sqft_per_ac)
    positive(dbh_in=dbh, baf_sqft_per_ac=baf)
    return back(dbh * np.sqrt(SQFT_PER_AC / baf) / (2.0 * IN_PER_FT))


def plots_needed(cv_pct: Any, error_pct: Any, level: float = 0.95, population: Any = None) -> Any:
    """Plots that bring the mean within a wished error: the least number whose own t still meets it.

    Parameters
    ----------
    cv_pct
        Spread between single plots, standard deviation over mean [%].
    error_pct
        Half-width wished for, over the mean [%].
    level
        Share of times it should hold.
    population
        Plots that would cover all the ground, where plots have an area; None for prism points.

    Returns
    -------
    Whole number of plots, at least 2 (an array for arrays).

    Notes
    -----
    n >= (t cv/error)^2, or n >= 1 / (1/N + (error / (t cv))^2) when N plots cover all, with t at n - 1 degrees of
    freedom: t itself depends on n, so the least n that satisfies it is searched.

    Examples
    --------
    cv 31.6 %, error 20 %: with 12 plots t is 2.201 and (2.201 x 31.6 / 20)^2 = 12.09, too many; with 13 plots t is
    2.179 and it is 11.85, so 13.

    >>> plots_needed(31.6, 20)
    13

    Source: Freese 1962, Agr. Handb. 232, for the theory; the finite form as in the Forest Service handbook 2409.12.
    """
    from scipy.special import ndtri, stdtrit

    all_plots = np.inf if population is None else population
    (cv, error, whole), back = numbers(cv_pct=cv_pct, error_pct=error_pct, population=all_plots)
    positive(cv_pct=cv, error_pct=error, population=whole)
    if not 0.0 < level < 1.0:
        raise InputError(f"level is a share between 0 and 1, such as 0.95, not {level!r}")
    p = 0.5 + level / 2.0

    def wanted(t: Any) -> np.ndarray:
        return 1.0 / (1.0 / whole + (error / (t * cv)) ** 2)

    few = np.maximum(np.floor(wanted(ndtri(p))), 1.0)
    enough = np.maximum(np.ceil(wanted(stdtrit(1.0, p))), 2.0)
    while np.any(enough - few > 1.0):
        middle = np.floor((few + enough) / 2.0)
        holds = middle >= wanted(stdtrit(np.maximum(middle - 1.0, 1.0), p)) - 1e-9
        enough = np.where(holds & (middle > few), middle, enough)
        few = np.where(holds, few, middle)
    count = np.maximum(enough, 2.0).astype(np.int64)
    return int(count) if back is float else back(count)


def expand(plots: pd.DataFrame, trees: pd.DataFrame, times: pd.Series | None = None) -> pd.DataFrame:
    """Tallied trees with what each stands for on an acre of its plot.

    Parameters
    ----------
    plots
        Every plot visited, also the empty ones: plot_id, stand_id, kind ("prism" or "fixed"), baf_sqft_per_ac [sq
        ft/ac] or radius_ft [ft], slope_pct [%]. A slope says that distances were measured along the ground: the tally
        is then divided by the cosine of the slope. Leave it empty where distances were leveled. Where they are there:
        live_in, dead_in (trees in with the prism, in all: those that have no row were counted only), cover.
    trees
        plot_id, species, dbh_in [in] (missing: counted with the prism, not measured), and where they are there count
        (1), count_twice (no; walked through at an edge), alive (yes).
    times
        By plot_id, what the trees of a plot stand for more (``plot_times.PlotTimes``); a plot that is not named: 1.

    Returns
    -------
    A copy of trees, and rows for those that have none, with stand_id, cover, trees_per_ac, basal_sqft_per_ac [sq
    ft/ac], counted_only (yes/no), kind_shared (a kind that nobody wrote, taken from measured trees) and ratio_from (""
    for a measured tree, else whose ratio a counted one takes: see stand.ratios). count, count_twice and alive are
    filled.

    Raises
    ------
    InputError
        For a tree on no plot, a plot twice, a kind, factor or radius that is missing, a tree without diameter on a
        fixed plot.
    """
    _refuse(plots, trees)
    trees = counted.with_counted(plots, trees)
    at = pd.Index(plots["plot_id"].astype(str)).get_indexer(pd.Index(trees["plot_id"].astype(str)))
    out = trees.copy()
    out["stand_id"] = plots["stand_id"].astype(str).to_numpy()[at]
    cover = plots["cover"].to_numpy(dtype=object)[at] if "cover" in plots else np.full(len(out), None, dtype=object)
    out["cover"] = np.where(pd.isna(cover) | (cover == NO_COVER), "stand " + out["stand_id"], cover)
    out["count"] = column(trees, "count", 1.0)
    out["count_twice"] = column(trees, "count_twice", 0.0) > 0
    out["alive"] = column(trees, "alive", 1.0) > 0
    dbh = pd.to_numeric(trees["dbh_in"]).to_numpy(dtype=float, na_value=np.nan)
    positive(dbh_in=dbh)
    prism = (plots["kind"] == "prism").to_numpy()[at]
    out["counted_only"] = np.isnan(dbh)
    if (out["counted_only"].to_numpy() & ~prism).any():
        odd = sorted(set(trees.loc[out["counted_only"].to_numpy() & ~prism, "plot_id"].astype(str)))
        raise InputError(f"a tree on a fixed plot needs its diameter; without one: plots {', '.join(odd)}")
    radius, baf = column(plots, "radius_ft")[at], column(plots, "baf_sqft_per_ac")[at]
    radius = np.where(prism, np.nan, radius)
    level = np.sqrt(1.0 + (column(plots, "slope_pct", 0.0)[at] / 100.0) ** 2)
    many = out["count"].to_numpy() * np.where(out["count_twice"], 2.0, 1.0) * level
    if times is not None:
        many = many * times.reindex(plots["plot_id"].astype(str)).fillna(1.0).to_numpy()[at]
    each = np.where(prism, trees_per_ac_prism(dbh, np.where(prism, baf, np.nan)), trees_per_ac_round(radius))
    out["trees_per_ac"] = many * each
    out["basal_sqft_per_ac"] = np.where(prism, many * baf, out["trees_per_ac"] * basal_sqft(dbh))
    out = ratios.kinds_shared(out)
    out["ratio_from"] = ratios.lenders(out)
    if out["counted_only"].any():
        out["trees_per_ac"] = ratios.filled(out, out["trees_per_ac"].to_numpy())
    return out


def _refuse(plots: pd.DataFrame, trees: pd.DataFrame) -> None:
    """Raise InputError for tables that cannot be expanded."""
    ids = plots["plot_id"].astype(str)
    if plots["stand_id"].isna().any():
        raise InputError(f"plots without a stand: {_named(ids[plots['stand_id'].isna()])}")
    if (twice := ids.duplicated()).any():
        raise InputError(f"plots that stand in the table twice: {_named(ids[twice])}")
    if (strange := ~plots["kind"].isin(list(PLOT_KINDS))).any():
        raise InputError(f"plots that are neither prism nor fixed: {_named(ids[strange])}")
    for kind, size, name in (("prism", "baf_sqft_per_ac", "factor"), ("fixed", "radius_ft", "radius")):
        if (bare := (plots["kind"] == kind) & ~(column(plots, size, 0.0) > 0)).any():
            raise InputError(f"{kind} plots without a {name}: {_named(ids[bare])}")
    for name in ("live_in", "dead_in"):
        if (over := counted.without_row(plots, trees, name) < 0).any():
            raise InputError(f"plots with more trees in the tally than were in: {_named(ids[over])}")
    lost = ~trees["plot_id"].astype(str).isin(ids)
    if lost.any():
        raise InputError(
            f"trees on plots that are not in the plots table: {_named(trees.loc[lost, 'plot_id'].astype(str))}; "
            "every plot visited belongs there, also the empty ones"
        )


def _named(ids: pd.Series) -> str:
    names = list(dict.fromkeys(ids))
    return ", ".join(names[:10]) + (f" and {len(names) - 10} more" if len(names) > 10 else "")


def plot_sums(
    plots: pd.DataFrame,
    trees: pd.DataFrame,
    columns: list[str] | tuple[str, ...] = PER_AC,
    alive: bool = True,
    split: str | None = None,
) -> pd.DataFrame:
    """What each plot comes to per acre, empty plots as 0.

    Parameters
    ----------
    plots
        As for ``expand``.
    trees
        Tallied trees, expanded or not, with the columns to sum.
    columns
        trees_per_ac, basal_sqft_per_ac, or any column of trees that is an amount per tree (wood_cuft, say).
    alive
        Live trees, or (False) dead ones: they are never in one sum.
    split
        A column of trees (species, say): sums for each of its values; a value found anywhere in a stand has a row, if
        only a 0, on every plot of that stand.

    Returns
    -------
    Frame with plot_id, stand_id, line, (the split,) what, amount [per acre], seen (whether a tree of the plot is behind
    it, and not only a share of counted ones), spread (by which plots are held against each other: where trees were
    counted only, the basal area of the plot at the ratio of its stand, else the amount), r2 and r_df (of that ratio:
    ``ratios.errors``; 0 where all were measured).
    """
    tally = trees if "ratio_from" in trees else expand(plots, trees)
    tally = tally[tally["alive"] == alive]
    base = pd.DataFrame({"plot_id": plots["plot_id"].astype(str).to_numpy(), "row": np.arange(len(plots))})
    base["stand_id"] = plots["stand_id"].astype(str).to_numpy()
    base["line"] = plots["line"].to_numpy() if "line" in plots else None
    keys = ["plot_id"] + ([split] if split else [])
    if split:
        base = base.merge(tally[["stand_id", split]].drop_duplicates(), on="stand_id", how="inner")
        base = base.sort_values(["row", split], kind="stable")
    base = base.drop(columns="row")
    cells = pd.MultiIndex.from_frame(base[keys])
    at = cells.get_indexer(pd.MultiIndex.from_frame(tally[keys].astype({"plot_id": str})))
    basal = np.bincount(at, tally["basal_sqft_per_ac"], minlength=len(base))
    seen = np.bincount(at, ~tally["kind_shared"].to_numpy() if split else None, minlength=len(base)) > 0
    frames = []
    for what in columns:
        each = _per_ac(tally, what)
        one = base.assign(what=what, amount=np.bincount(at, each, minlength=len(base)), seen=seen)
        frames.append(ratios.judged(one, tally, each, basal, split))
    return pd.concat(frames, ignore_index=True)


def _per_ac(trees: pd.DataFrame, what: str) -> np.ndarray:
    """Amount per acre of each expanded tree."""
    if what == "basal_sqft_per_ac":
        return trees[what].to_numpy()
    amount = trees[what].to_numpy(dtype=float, na_value=np.nan)
    if what not in PER_AC:
        lost = np.isnan(amount) & ~trees["counted_only"].to_numpy()
        if lost.any():
            raise InputError(f"{what} is missing for {lost.sum()} measured trees")
        amount = amount * trees["trees_per_ac"].to_numpy()
    return ratios.filled(trees, amount)


def means(sums: pd.DataFrame, by: str = "stand_id", sample: str = "plot_id") -> pd.DataFrame:
    """Means per acre over the plots of each stand, with their standard errors.

    Parameters
    ----------
    sums
        Result of ``plot_sums``.
    by
        Column whose values are sampled apart (the stand).
    sample
        "plot_id", or "line" where plots lie on lines and lines are the sample; a plot on no line is one by itself.

    Returns
    -------
    Frame with the stand, (the split,) what, n (samples), plots, plots_with (plots that hold any), mean, se (missing for
    one sample), df (degrees of freedom of se: n - 1, fewer or more where trees were counted only), cv_pct (spread
    between samples).

    Notes
    -----
    With e the sum of a sample less the mean times its plots, se^2 = n/(n - 1) x sum e^2 / plots^2; for samples of one
    plot this is the textbook s^2/n. Where trees were counted only, the squares of the relative errors of basal area and
    of the ratio of measured trees add up (Bruce's rule, the delta method), df after Satterthwaite.
    """
    split = [c for c in sums.columns if c not in ("plot_id", "stand_id", "line", *_OF_SUMS)]
    keys = [by, *split, "what"]
    name = sums[sample].where(sums[sample].notna(), sums["plot_id"]).astype(str)
    group = sums.groupby(keys, sort=False, dropna=False).ngroup().to_numpy()
    cell = sums.assign(sample=name).groupby([*keys, "sample"], sort=False, dropna=False).ngroup().to_numpy()
    amount, spread = sums["amount"].to_numpy(), sums["spread"].to_numpy()
    of = np.zeros(cell.max(initial=-1) + 1, dtype=int)
    of[cell] = group
    out = sums[keys].drop_duplicates(ignore_index=True)
    n, plots = np.bincount(of, minlength=len(out)), np.bincount(group, minlength=len(out))
    mean = np.bincount(group, amount, minlength=len(out)) / plots
    off = np.bincount(cell, spread) - mean[of] * np.bincount(cell)
    squares = np.bincount(of, off**2, minlength=len(out))
    se = np.sqrt(np.where(n > 1, squares * n / np.maximum(n - 1, 1), np.nan)) / plots
    out["n"], out["plots"] = n, plots
    held = (amount > 0) & sums["seen"].to_numpy()
    out["plots_with"] = np.bincount(group, held, minlength=len(out)).astype(int)
    out["mean"] = mean
    points = np.where(se < 1e-9 * mean, 0.0, se) ** 2
    first = sums.groupby(group)[["r2", "r_df"]].first()  # one stand has one ratio
    ratio, free = mean**2 * first["r2"].to_numpy(), first["r_df"].to_numpy()
    out["se"] = np.sqrt(points + ratio)
    parts = points**2 / np.maximum(n - 1.0, 1.0) + ratio**2 / free
    with np.errstate(invalid="ignore", divide="ignore"):
        out["df"] = np.where(ratio > 0, (points + ratio) ** 2 / parts, n - 1.0)
    out["cv_pct"] = 100.0 * out["se"] * np.sqrt(n) / out["mean"].where(out["mean"] > 0)
    return out


def stand_table(
    plots: pd.DataFrame, trees: pd.DataFrame, by: tuple[str, ...] = ("stand_id", "species"), alive: bool = True
) -> pd.DataFrame:
    """Trees and basal area per acre by 2-inch class, over all plots of a stand, empty ones included.

    Parameters
    ----------
    plots, trees
        As for ``plot_sums``.
    by
        Columns that make a row together with the class.
    alive
        Live or dead trees.

    Returns
    -------
    Frame with the columns of ``by``, class_in (class 6 holds 5.0 to 6.9 in), trees_per_ac, basal_sqft_per_ac. Trees
    that were counted only are spread over the classes of the measured ones that they borrow from; class_in is missing
    where none was measured anywhere.
    """
    tally = trees if "ratio_from" in trees else expand(plots, trees)
    tally = ratios.spread_out(tally[tally["alive"] == alive], list(dict.fromkeys(["stand_id", *by])), list(PER_AC))
    visited = plots["stand_id"].astype(str).value_counts()
    tally = tally.assign(class_in=2.0 * np.floor((tally["dbh_in"].astype(float) + 1.0) / 2.0))
    tally[list(PER_AC)] = tally[list(PER_AC)].div(tally["stand_id"].map(visited), axis=0)
    keys = [*by, "class_in"]
    return tally.groupby(keys, dropna=False)[list(PER_AC)].sum(min_count=1).reset_index()

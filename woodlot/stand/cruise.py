"""A cruise: what the plots of each stand say, with ranges; what to watch.

Ranges        estimates
Each stand    summary
Edges         edge_strips
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.estimate import LEVEL, Estimate, interval, reason, without_range
from woodlot.land.parcels import acres_geodesic, local_ft
from woodlot.region import Region
from woodlot.species import WOOD
from woodlot.stand.plots import (
    expand,
    limiting_distance_ft_prism,
    means,
    plot_sums,
)
from woodlot.stand.stocking import quadratic_mean_diameter_in, relative_density_ducey_2010
from woodlot.trade import FEW_TO_ENOUGH

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["edge_strips", "estimates", "summary"]

Shared = Mapping[str, float | pd.Series]


def _chosen(name: str, *, region: Region) -> float:
    return region.figure("defaults_stand", name)


def estimates(
    table: pd.DataFrame,
    unit: str,
    acres: pd.Series | None = None,
    shared: Shared | None = None,
    level: float = LEVEL,
    *,
    region: Region,
) -> dict[str, Estimate]:
    """An Estimate for each stand of a table of means: per acre, or times its acres.

    Parameters
    ----------
    table
        Rows of ``plots.means`` for one thing, one row a stand.
    unit
        Unit of what comes out ("cords an acre", "cords").
    acres
        Working acres by stand_id; None leaves it per acre [ac].
    shared
        Name -> relative error that all plots share (a volume table), one number or a Series by stand_id.
    level
        Share of times the range should hold the truth.
    region
        Whose figures are used.

    Returns
    -------
    stand_id -> Estimate. No range: one sample or two; nothing found; something found on fewer than five plots (unless
    it is on all of them); nothing measured to take a ratio from (then no value either). ``why`` says which.

    Raises
    ------
    InputError
        For two rows of one stand, or a stand without acres.
    """
    ids = table["stand_id"].astype(str)
    if ids.duplicated().any():
        raise InputError(f"one row a stand is wanted; more for {sorted(set(ids[ids.duplicated()]))}")
    ground = pd.Series(1.0, index=ids) if acres is None else acres.reindex(ids)
    if ground.isna().any():
        raise InputError(f"no acres for stands {', '.join(ground.index[ground.isna()])}")
    cvs = {
        name: (cv.reindex(ids) if isinstance(cv, pd.Series) else pd.Series(cv, index=ids)).to_numpy(dtype=float)
        for name, cv in (shared or {}).items()
    }
    means_of = table["mean"].to_numpy(dtype=float)
    lost = np.any([np.isnan(cv) for cv in cvs.values()], axis=0) & (means_of > 0) if cvs else np.zeros(len(ids), bool)
    if lost.any():
        raise InputError(f"stand {ids[lost].iloc[0]} has a mean but no shared error among {', '.join(cvs)}")
    columns = (table[name].tolist() for name in ("n", "plots", "plots_with", "mean", "se"))
    least = int(_chosen("least_plots", region=region)), int(_chosen("least_plots_with", region=region))
    out = {}
    for at, (stand, ac, *row) in enumerate(zip(ids, ground.tolist(), *columns, strict=True)):
        own = {name: float(cv[at]) for name, cv in cvs.items() if not np.isnan(cv[at])}
        out[stand] = _estimate(row, unit, ac, None if acres is None else ac, own, level, least)
    return out


def _estimate(
    row: Sequence[Any],
    unit: str,
    factor: float,
    ground_ac: float | None,
    shared: dict[str, float],
    level: float,
    least_plots: tuple[int, int],
) -> Estimate:
    """The estimate of one stand from its n, plots, plots_with, mean and se; ``least_plots``: samples for a range, and
    samples that hold any.
    """
    n, plots, holding, mean, se = row
    if np.isnan(mean):
        return Estimate(None, unit, level=level, n=n, ground_ac=ground_ac, why=reason("counted only"))
    least, least_with = least_plots
    why = None
    if mean == 0:
        why = reason("nothing on plots", plots=plots)
    elif n == 1:
        why = reason("one plot only", least=least)
    elif n < least:
        why = reason("too few", of="plot", n=n, least=least)
    estimate = interval(
        mean * factor,
        unit,
        se=None if n < 2 else se * factor,
        df=n - 1,
        n=n,
        shared=shared,
        level=level,
        least_n=least,
        ground_ac=ground_ac,
        why=why,
    )
    if 0 < holding < min(least_with, plots):
        about = reason("seen on few", holding=holding, plots=plots, value=mean * factor, unit=unit)
        return without_range(estimate, about)
    return estimate


def summary(
    plots: pd.DataFrame, trees: pd.DataFrame, stand_ids: Iterable[str] | None = None, *, region: Region
) -> pd.DataFrame:
    """One row a stand: how it was measured, basal area, trees, diameters, fullness, dead trees.

    Parameters
    ----------
    plots, trees
        As for ``plots.plot_sums``.
    stand_ids
        Stands to have a row, also those without a plot; None for those with plots.
    region
        Whose figures are used.

    Returns
    -------
    Frame with stand_id; plots; empty_plots (no live tree); measured_on (last date); how ("measured", "few plots",
    "one plot", "empty plots", "none"); basal_sqft_per_ac, basal_se, trees_per_ac, trees_se; qmd_in; mean_dbh_in;
    relative_density (share of full, live trees), relative_density_se; dead_trees_per_ac, dead_basal_sqft_per_ac. What
    was not measured is missing.
    """
    expanded = trees if "ratio_from" in trees else expand(plots, trees)
    inches = expanded["dbh_in"].astype(float)
    fullness = relative_density_ducey_2010(inches, 1.0, _wood_sg(expanded["species"], region=region), region=region)
    one = expanded.assign(inches=inches, fullness=fullness)
    live = means(plot_sums(plots, one, ["trees_per_ac", "basal_sqft_per_ac", "inches", "fullness"]))
    dead = means(plot_sums(plots, expanded, alive=False))
    visited = plots.assign(stand_id=plots["stand_id"].astype(str), plot_id=plots["plot_id"].astype(str))
    visited["empty"] = ~visited["plot_id"].isin(expanded.loc[expanded["alive"], "plot_id"].astype(str))
    by_stand = visited.groupby("stand_id", sort=False)
    out = pd.DataFrame({"plots": by_stand.size(), "empty_plots": by_stand["empty"].sum()})
    out["measured_on"] = by_stand["date"].max() if "date" in visited else pd.NaT
    basal, stems = _of(live, "basal_sqft_per_ac"), _of(live, "trees_per_ac")
    out["basal_sqft_per_ac"], out["basal_se"] = basal["mean"], basal["se"]
    out["trees_per_ac"], out["trees_se"] = stems["mean"], stems["se"]
    out["qmd_in"] = quadratic_mean_diameter_in(out["basal_sqft_per_ac"], out["trees_per_ac"])
    out["mean_dbh_in"] = _of(live, "inches")["mean"] / stems["mean"].where(stems["mean"] > 0)
    full = _of(live, "fullness")
    out["relative_density"], out["relative_density_se"] = full["mean"], full["se"]
    out["dead_trees_per_ac"] = _of(dead, "trees_per_ac")["mean"]
    out["dead_basal_sqft_per_ac"] = _of(dead, "basal_sqft_per_ac")["mean"]
    if stand_ids is not None:
        out = out.reindex(pd.Index([str(s) for s in stand_ids], name="stand_id"))
    out[["plots", "empty_plots"]] = out[["plots", "empty_plots"]].fillna(0).astype(int)
    few = out["plots"] < _chosen("least_plots", region=region)
    out["how"] = np.select(
        [out["plots"] == 0, out["plots"] == out["empty_plots"], out["plots"] == 1, few],
        list(FEW_TO_ENOUGH),
        "measured",
    )
    return out.reset_index()


def _wood_sg(species: pd.Series, *, region: Region) -> pd.Series:
    """Specific gravity of each tree's wood; the usual one for a species without a row."""
    region.species.read_rows(WOOD, species.dropna().astype(str).unique().tolist())
    return species.map(region.species.rows(WOOD)["wood_sg"]).fillna(_chosen("wood_sg", region=region))


def _of(table: pd.DataFrame, what: str) -> pd.DataFrame:
    return table[table["what"] == what].set_index("stand_id")


def edge_strips(
    stands: "gpd.GeoDataFrame", plots: pd.DataFrame, trees: pd.DataFrame, *, region: Region
) -> pd.DataFrame:
    """How much of each prism-cruised stand lies within the prism's reach of its edge, and whether edges were minded.

    Parameters
    ----------
    stands
        Frame with stand_id and polygons in longitude and latitude.
    plots, trees
        As for ``plots.expand``.
    region
        Whose figures are used.

    Returns
    -------
    Frame of the stands with prism plots and a measured tree: stand_id; reach_ft (limiting distance of the mean tallied
    tree at the largest reach among its plots); strip_ac; share (of the stand); counted_twice (a tree was); warn: the
    strip is more than a fifth of the stand (a choice) and no tree was counted twice.
    """
    factor = plots.set_index(plots["plot_id"].astype(str))["baf_sqft_per_ac"].astype(float)
    tally = expand(plots, trees)
    tally = tally.assign(baf=tally["plot_id"].astype(str).map(factor), dbh_in=tally["dbh_in"].astype(float))
    by = tally[tally["baf"].notna() & ~tally["counted_only"]].groupby("stand_id")
    rows = pd.DataFrame({"dbh": by["dbh_in"].mean(), "baf": by["baf"].min(), "counted_twice": by["count_twice"].any()})
    ground = stands.set_index(stands["stand_id"].astype(str)).geometry
    rows = rows[rows.index.isin(ground.index)]
    out = pd.DataFrame({"stand_id": rows.index})
    out["reach_ft"] = limiting_distance_ft_prism(rows["dbh"].to_numpy(), rows["baf"].to_numpy())
    if not len(out):
        return out.assign(strip_ac=0.0, share=0.0, counted_twice=False, warn=False)
    shapes = local_ft(ground).loc[rows.index]
    inner = shapes.buffer(-out["reach_ft"].to_numpy()).area.to_numpy()
    out["share"] = 1.0 - inner / shapes.area.to_numpy()
    out["strip_ac"] = out["share"] * acres_geodesic(ground.loc[rows.index])
    out["counted_twice"] = rows["counted_twice"].to_numpy()
    out["warn"] = (out["share"] > _chosen("edge_strip_share", region=region)) & ~out["counted_twice"]
    return out

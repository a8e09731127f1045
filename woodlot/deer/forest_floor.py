"""What lies over and around each seedling plot: its line and place, the light on it, the seed trees near it.

Overhead     the cruise beside the seedlings: plots, trees, basal area by stand
floor        seedling rows -> one row a plot with all of it
least_sure   where the light on some plots comes from

A plot says itself what it can; what it leaves out is looked up: line and place from the pellet or browse plot of the
same name, light from the basal area of the stand it lies in, seed trees from the cruise plots near it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from woodlot.deer.defaults import default
from woodlot.region import Region

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["Overhead", "floor", "least_sure"]

#: Where the light on a plot comes from.
MEASURED, OF_STAND, OF_PLACE = "measured", "stand", "place"
#: What a plot says of itself, once in any of its rows.
_OF_PLOT = ["plot_id", "line", "stand_id", "fenced", "pair", "lon", "lat", "open_sky_pct", "seed_trees", "day"]


@dataclass(frozen=True)
class Overhead:
    """The stands, the cruise's plots and trees, and square feet of basal area an acre by stand_id."""

    stands: "gpd.GeoDataFrame | None" = None
    plots: pd.DataFrame | None = None
    trees: pd.DataFrame | None = None
    basal: Mapping[str, float] = field(default_factory=dict)


def floor(rows: pd.DataFrame, beside: tuple[pd.DataFrame | None, ...], over: Overhead, region: Region) -> pd.DataFrame:
    """One row a plot, by plot: what it says of itself, fenced, light (share; NaN: not known), light_from, and seeds.

    rows: of `seedlings.visits`; beside: pellet and browse tables; seeds: kinds with a seed tree near, None: not known.
    """
    plots = rows.groupby("plot", sort=True)[_OF_PLOT].first()
    for table in beside:
        plots = _looked_up(plots, table)
    placed = plots[plots["lon"].notna() & plots["lat"].notna()]
    own, mean = _basal(plots, placed, over)
    light = np.exp(-default("light_per_sqft", region) * own.fillna(mean))
    measured = plots["open_sky_pct"].notna()
    plots["light"] = (plots["open_sky_pct"] / 100.0).where(measured, light)
    told = np.select([measured, own.notna(), plots["light"].notna()], [MEASURED, OF_STAND, OF_PLACE], "")
    written = plots["seed_trees"].map(_kinds)
    near = _tallied_near(plots, placed, over, region)
    return plots.assign(light_from=told, seeds=written.astype(object).where(written.notna(), near))


def least_sure(plots: pd.DataFrame) -> str:
    """The weakest of what the light on some plots comes from: measured, stand, place; "" where none is known."""
    told = set(plots["light_from"])
    return next((source for source in (OF_PLACE, OF_STAND, MEASURED) if source in told), "")


def _looked_up(plots: pd.DataFrame, table: pd.DataFrame | None) -> pd.DataFrame:
    """Plots with line, lon and lat of the plot of their name in another table, where they have none themselves."""
    if table is None or len(table) == 0:
        return plots
    there = table.reindex(columns=["plot_id", "line", "lon", "lat"])
    there = there.assign(plot_id=there["plot_id"].astype(str)).groupby("plot_id").agg(["first", "nunique"])
    there = there.reindex(plots["plot_id"].astype(str))
    found = {}
    for name in ("line", "lon", "lat"):  # a name that stands on two lines is no plot's
        once = there[(name, "first")].where(there[(name, "nunique")] == 1)
        found[name] = pd.Series(once.to_numpy(dtype=object), index=plots.index)
    whole = plots["lon"].notna() | found["lon"].isna() | found["lat"].isna()  # a place is taken as one
    out = plots.assign(line=plots["line"].where(plots["line"].notna(), found["line"]))
    return out.assign(**{name: plots[name].where(whole, found[name]).astype(float) for name in ("lon", "lat")})


def _points(frame: pd.DataFrame, middle: tuple[float, float]) -> np.ndarray:
    """Places as points in feet on the map of one middle."""
    import geopandas as gpd

    from woodlot.land.parcels import local_crs

    degrees = gpd.points_from_xy(frame["lon"], frame["lat"], crs=4326)
    return np.asarray(degrees.to_crs(local_crs(middle)), dtype=object)


def _middle(placed: pd.DataFrame) -> tuple[float, float]:
    return float(placed["lon"].mean()), float(placed["lat"].mean())


def _basal(plots: pd.DataFrame, placed: pd.DataFrame, over: Overhead) -> tuple[pd.Series, float]:
    """Basal area of the stand of each plot (NaN: not known), and of the place by its acres."""
    known = pd.Series(dict(over.basal), dtype=float)
    stand = plots["stand_id"].astype(object).where(plots["stand_id"].notna(), None)
    mean = float(known.mean()) if len(known) else np.nan
    if over.stands is not None and len(over.stands) and len(known):
        from shapely import STRtree

        from woodlot.land.parcels import local_ft

        shapes = local_ft(over.stands, _middle(placed) if len(placed) else None).drop_duplicates("stand_id")
        ids = shapes["stand_id"].astype(str).to_numpy()
        acres = pd.Series(shapes.geometry.area.to_numpy(), index=ids).reindex(known.index).fillna(0.0)
        mean = float(np.average(known, weights=acres)) if acres.sum() > 0 else mean
        row, inside = STRtree(shapes.geometry.to_numpy()).query(
            _points(placed, _middle(placed)) if len(placed) else np.empty(0, dtype=object), predicate="intersects"
        )
        found = pd.Series(ids[inside], index=placed.index[row]).groupby(level=0).min().reindex(plots.index)
        stand = stand.where(stand.notna(), found)
    return stand.map(known).astype(float), mean


def _kinds(cell: object) -> frozenset[str] | None:
    """Kinds of a cell with ; between them; None where nothing is written, no kind for "none"."""
    if not isinstance(cell, str) or not cell.strip():
        return None
    return frozenset(kind.strip() for kind in cell.split(";")) - {"none", ""}


def _tallied_near(plots: pd.DataFrame, placed: pd.DataFrame, over: Overhead, region: Region) -> pd.Series:
    """Kinds thick enough to bear seed on cruise plots near each plot; None where no cruise plot is near."""
    from shapely import STRtree

    out = pd.Series([None] * len(plots), index=plots.index, dtype=object)
    if over.plots is None or over.trees is None or not len(placed):
        return out
    cruise = over.plots.dropna(subset=["lon", "lat"])
    if not len(cruise):
        return out
    here, there = _points(placed, _middle(placed)), _points(cruise, _middle(placed))
    row, at = STRtree(there).query(here, predicate="dwithin", distance=default("seed_tree_ft", region))
    near = pd.DataFrame({"plot": placed.index[row], "plot_id": cruise["plot_id"].astype(str).to_numpy()[at]})
    trees = over.trees[(over.trees["dbh_in"] >= default("seed_tree_dbh", region)) & over.trees["alive"].astype(bool)]
    trees = pd.DataFrame({"plot_id": trees["plot_id"].astype(str), "species": trees["species"]})
    kinds = near.merge(trees.drop_duplicates(), how="left").groupby("plot")["species"]
    told = kinds.agg(lambda those: ";".join(those.dropna()) or "none").map(_kinds)
    return told.astype(object).reindex(plots.index)

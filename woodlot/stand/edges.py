"""Trees lost at edges: near the edge of a stand part of a tree's reach lies where no plot can fall, so it is counted
less often than trees inside.

A forester wants the woods neither read low at their edges nor filled up twice where edges were minded.

What is an edge: where a stand ends at ground without woods of the family's: a field, water, the house, a line of the
land. At a line between two of its stands nothing is painted on the trees: those beyond are taken to be counted, and
what a plot near the line loses of its own stand it is given of the next.

One tree   circle_beyond, share_lost
Stands     reach_ft, open_edges
Plots      lost_by_plot
"""

from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.land.parcels import local_crs, on_map
from woodlot.region import Region
from woodlot.stand.first_plots import LEFT_SHARE
from woodlot.stand.plots import limiting_distance_ft_prism
from woodlot.tree.inputs import column

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["circle_beyond", "lost_by_plot", "open_edges", "reach_ft", "share_lost"]

DEGREES = "EPSG:4326"
#: A straight edge takes at most this share of a circle whose center lies inside.
MOST = 0.5


def circle_beyond(edge_ft: Any, reach_ft: Any) -> np.ndarray:
    """Share of a circle that lies beyond a straight edge, ``edge_ft`` from its center; half where it is on the edge.

    >>> circle_beyond([0.0, 18.15, 36.3], 36.3).round(4).tolist()
    [0.5, 0.1955, 0.0]
    """
    near = np.clip(np.divide(edge_ft, reach_ft), 0.0, 1.0)
    return np.asarray((np.arccos(near) - near * np.sqrt(1.0 - near**2)) / np.pi)


def share_lost(reach_ft: Any, edge_ft: Any, area_sqft: Any) -> np.ndarray:
    """Share of the trees that plots lose which fall anywhere in a stand and count none beyond its edge.

    Parameters
    ----------
    reach_ft
        Mean distance to which a tree is counted [ft].
    edge_ft
        Length of the edge [ft].
    area_sqft
        Ground of the stand [sq ft].

    Notes
    -----
    ``circle_beyond`` from 0 to the reach is 2/(3 pi) of the reach; that strip lies along the whole edge.

    Examples
    --------
    A stand of 1320 by 330 ft, reach 36.3: 2/(3 pi) x 36.3 x 3300/435,600.

    >>> round(float(share_lost(36.3, 3300, 435600)), 6)
    0.058357
    """
    lost = 2.0 / (3.0 * np.pi) * np.asarray(reach_ft, dtype=float) * np.divide(edge_ft, area_sqft)
    return np.minimum(lost, MOST)


def reach_ft(visited: pd.DataFrame, tallied: pd.DataFrame) -> pd.Series:
    """How far off a tallied tree is counted on the mean of each stand, by stand_id [ft].

    On a fixed plot it is the radius. Trees that were only counted go by the others; a stand with none by all stands.
    """
    at = pd.Index(visited["plot_id"].astype(str)).get_indexer(pd.Index(tallied["plot_id"].astype(str)))
    prism, stand = (visited["kind"] == "prism").to_numpy()[at], visited["stand_id"].astype(str).to_numpy()
    factor, radius = (column(visited, name)[at] for name in ("baf_sqft_per_ac", "radius_ft"))
    dbh = column(tallied, "dbh_in")
    each = np.where(prism, limiting_distance_ft_prism(dbh, np.where(prism, factor, np.nan)), radius)
    many = np.where(np.isnan(each), 0.0, column(tallied, "count", 1.0))
    sums = pd.DataFrame({"many": many, "feet": many * np.nan_to_num(each)}).groupby(stand[at]).sum()
    whole = sums.sum()
    mean = (sums["feet"] / sums["many"].where(sums["many"] > 0)).reindex(pd.unique(stand))
    return mean.fillna(whole["feet"] / whole["many"] if whole["many"] else 0.0)


def open_edges(ground: np.ndarray, of: np.ndarray, gap_ft: float) -> np.ndarray:
    """The lines along which the grounds at positions ``of`` end and no other begins within ``gap_ft``.

    All on one map in feet.
    """
    import shapely

    lines = np.array(shapely.boundary(ground[of]), dtype=object)
    a, b = shapely.STRtree(ground).query(ground[of], predicate="dwithin", distance=gap_ft)
    a, b = a[of[a] != b], b[of[a] != b]
    others, b = np.unique(b, return_inverse=True)
    near = shapely.buffer(ground[others], gap_ft)
    turn = pd.Series(a).groupby(a).cumcount().to_numpy()
    for one in range(turn.max(initial=-1) + 1):  # the first neighbor of every stand, the second of every stand ...
        here, other = a[turn == one], b[turn == one]
        lines[here] = shapely.difference(lines[here], near[other])
    return lines


def lost_by_plot(
    stands: "gpd.GeoDataFrame", ground: np.ndarray, visited: pd.DataFrame, tallied: pd.DataFrame, *, region: Region
) -> pd.Series:
    """Share of its trees that each plot loses at edges where nobody minds them, by plot_id.

    Parameters
    ----------
    stands
        With stand_id, and every stand that ``visited`` names.
    ground
        What each stand has of ground that plots could fall in, in longitude and latitude (``layout.ground_of``).
    visited, tallied
        As for ``plots.expand``.
    region
        Whose figures are used.

    Returns
    -------
    By its way to the edge where the plot's place is known; nothing where it bears the name of one laid out off the
    edge (the stand, a hyphen, a number) in a stand that has room for that; else what plots anywhere in its stand lose.
    """
    import geopandas as gpd
    import shapely

    gap, kept = region.figure("defaults_sampling", "edge_gap_ft"), region.figure("defaults_stand", "plot_edge_ft")
    ids, stand = (visited[name].astype(str) for name in ("plot_id", "stand_id"))
    index = pd.Index(ids, name="plot_id")
    if not len(visited):
        return pd.Series(dtype=float, index=index)
    of, at = np.unique(pd.Index(stands["stand_id"].astype(str)).get_indexer(pd.Index(stand)), return_inverse=True)
    plane = local_crs(stands)
    whole = on_map(gpd.GeoSeries(ground, crs=DEGREES), plane).to_numpy()
    lines, own = open_edges(whole, of, gap)[at], whole[of]
    area, inner = shapely.area(own), shapely.area(shapely.buffer(own, -kept))
    reach = reach_ft(visited, tallied).reindex(stand).to_numpy()
    lost = share_lost(reach, shapely.length(lines), np.where(area > 0, area, np.inf)[at])
    named = (stand + "-" == ids.str.replace(r"\d+$", "", regex=True)).to_numpy()
    lost = np.where(named & (inner >= LEFT_SHARE * area)[at], 0.0, lost)
    lon, lat = (column(visited, name) for name in ("lon", "lat"))
    there = np.flatnonzero(np.isfinite(lon + lat) & (reach > 0))
    spots = gpd.GeoSeries(gpd.points_from_xy(lon[there], lat[there]), crs=DEGREES).to_crs(plane).to_numpy()
    inside = shapely.dwithin(spots, own[at][there], gap) & ~shapely.is_empty(lines[there])
    there, spots = there[inside], spots[inside]
    lost[there] = circle_beyond(shapely.distance(spots, lines[there]), reach[there])
    return pd.Series(lost, index=index)

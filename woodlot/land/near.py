"""How far from a stand to road, landing, water and home; straight or over the ground.

From stands       distances

Roads bend, so no distance by road is worked out here: nobody has told where they lead.
"""

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.land import terrain
from woodlot.land.parcels import local_crs, on_map
from woodlot.region import Region
from woodlot.trade import OPEN_WATER, ROADS

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["distances"]

TO = {**{way: (way,) for way in ROADS}, "water": OPEN_WATER}

#: Of the way over the ground, which only heights can tell.
PROFILE = ["surface_ft", "climb_ft", "drop_ft", "steepest_pct"]
COLUMNS = ["stand_id", "to", "name", "edge_ft", "straight_ft", *PROFILE, "how"]


def distances(
    stands: "gpd.GeoDataFrame",
    features: "gpd.GeoDataFrame",
    home: tuple[float, float] | None = None,
    elevation: str | Path | None = None,
    *,
    region: Region,
) -> pd.DataFrame:
    """From each stand to the nearest road, landing, water and home.

    Parameters
    ----------
    stands
        Frame with stand_id and polygons in longitude and latitude.
    features
        Frame with kind, name, geometry.
    home
        (lon, lat) of the house.
    elevation
        Raster of heights, for the way over the ground.
    region
        Region whose defaults are taken.

    Returns
    -------
    One row a stand and aim that exists: stand_id, to ("road", "landing", "water", "home"), name, edge_ft (straight,
    from the nearest edge of the stand), straight_ft (straight, from a point inside the stand), surface_ft, climb_ft
    (uphill from the aim to the stand), drop_ft (downhill that way), steepest_pct (over the ground along that straight
    line; NaN without heights), how ("over the ground" or "straight").
    """
    import geopandas as gpd
    import shapely

    if not len(stands):
        return pd.DataFrame(columns=COLUMNS)
    plane = local_crs(stands)
    ground = on_map(stands.geometry, plane)
    inside = ground.representative_point()
    centre = ground.centroid
    start = np.where(ground.contains(centre), centre.to_numpy(), inside.to_numpy())
    rows, lines = [], []
    for to, shapes, names in _aims(features, home, plane):
        tree = shapely.STRtree(shapes)
        nearest = tree.nearest(start)
        line = shapely.shortest_line(shapes[nearest], start)
        edge = shapely.distance(ground.to_numpy(), shapes[tree.nearest(ground.to_numpy())])
        rows.append(
            pd.DataFrame(
                {
                    "stand_id": stands["stand_id"].astype(str).to_numpy(),
                    "to": to,
                    "name": names[nearest],
                    "edge_ft": edge,
                    "straight_ft": shapely.length(line),
                }
            )
        )
        lines.append(line)
    if not rows:
        return pd.DataFrame(columns=COLUMNS)
    out = pd.concat(rows, ignore_index=True)
    out[PROFILE] = np.nan
    if elevation is not None:
        way = gpd.GeoSeries(np.concatenate(lines), crs=plane).to_crs(4326)
        out[PROFILE] = terrain.profiles(way, elevation, region=region)[PROFILE].to_numpy()
    return out.assign(how=np.where(out["surface_ft"].notna(), "over the ground", "straight"))


def _aims(
    features: "gpd.GeoDataFrame", home: tuple[float, float] | None, plane: object
) -> list[tuple[str, np.ndarray, np.ndarray]]:
    import geopandas as gpd
    import shapely

    out = []
    for to, kinds in TO.items():
        some = features[features["kind"].isin(kinds)] if len(features) else features
        some = some[some.geometry.notna() & ~some.geometry.is_empty] if len(some) else some
        if len(some):
            names = (
                some["name"].astype("string").fillna("").to_numpy(dtype=object)
                if "name" in some
                else np.full(len(some), "")
            )
            out.append((to, on_map(some.geometry, plane).to_numpy(), names))
    if home is not None:
        if not (-180 <= home[0] <= 180 and -90 <= home[1] <= 90):
            raise InputError(f"home is (longitude, latitude), not {home!r}")
        point = gpd.GeoSeries([shapely.Point(*home)], crs=4326).to_crs(plane).to_numpy()
        out.append(("home", point, np.array(["home"], dtype=object)))
    return out

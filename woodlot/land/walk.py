"""A walk by compass and pacing: points that can be found on the ground, the order of a round, bearings and feet.

Found on the ground   landmarks
Order                 round_trip
Legs                  legs, crossings
"""

from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.land.parcels import on_map
from woodlot.trade import OPEN_WATER, ROADS
from woodlot.units import M_PER_FT

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["crossings", "landmarks", "legs", "round_trip"]

#: Kinds of landmark, those that are found most easily first.
LANDMARKS = ("home", "landing", "road", "corner")
#: Home and landings this near to the ground serve as where its walk begins [ft].
NEAR_FT = 330.0
#: Feet of a way beyond the line that are no crossing of other people's land: lines are not that exact.
OFF_FT = 33.0
#: A foot over water or over other people's land counts as so many, so that a round avoids them where it can.
AROUND = 4.0
CORNERS = {"northeast": (1, 1), "southeast": (1, -1), "southwest": (-1, -1), "northwest": (-1, 1)}


def landmarks(
    parcels: "gpd.GeoDataFrame", features: "gpd.GeoDataFrame", home: tuple[float, float] | None, plane: Any
) -> pd.DataFrame:
    """Points by which a walk on these parcels can begin or be checked.

    Parameters
    ----------
    parcels, features
        Frames in longitude and latitude with parcel_id; kind and name.
    home
        (lon, lat) of the house.
    plane
        Map in feet on which they are laid.

    Returns
    -------
    Frame with kind (of LANDMARKS, the most easily found first), name (of the feature; of a corner "northwest" ... and
    parcel_id of its parcel), x and y [ft]: home and landings on or near the parcels, where roads cross their lines or
    end on them, and the outermost corners of each.
    """
    import geopandas as gpd
    import shapely

    outlines = on_map(parcels.geometry, plane).to_numpy()
    ground = shapely.union_all(outlines)
    rows: list[tuple[str, str, str, Any]] = []
    if home is not None:
        rows.append(("home", "", "", gpd.GeoSeries([shapely.Point(*home)], crs=4326).to_crs(plane).iloc[0]))
    for kind in ROADS:
        some = features[features["kind"] == kind] if len(features) else features
        names = some["name"].astype("string").fillna("") if len(some) else []
        for name, shape in zip(names, on_map(some.geometry, plane) if len(some) else [], strict=True):
            met = shapely.union(shape.intersection(ground.boundary), shape.boundary) if kind == "road" else shape
            rows += [(kind, str(name), "", point) for point in shapely.points(shapely.get_coordinates(met))]
    for parcel, outline in zip(parcels["parcel_id"].astype(str), outlines, strict=True):
        x, y = shapely.get_coordinates(outline).T
        for name, (east, north) in CORNERS.items():
            at = int(np.argmax(east * x + north * y))
            rows.append(("corner", name, parcel, shapely.Point(x[at], y[at])))
    out = pd.DataFrame(rows, columns=["kind", "name", "parcel_id", "point"])
    points = out.pop("point").to_numpy(dtype=object)
    out["x"], out["y"] = shapely.get_x(points), shapely.get_y(points)
    near = shapely.distance(points, ground) <= np.where(out["kind"] == "road", 1.0, NEAR_FT)
    order = out["kind"].map(LANDMARKS.index).to_numpy()
    return (
        out.assign(order=order)[near].sort_values("order", kind="stable").drop(columns="order").reset_index(drop=True)
    )


def crossings(a: np.ndarray, b: np.ndarray, ground: Any, features: "gpd.GeoDataFrame") -> tuple[np.ndarray, np.ndarray]:
    """Whether the straight ways from points ``a`` to points ``b`` (x and y last) cross water, and leave the ground.

    ground: the family's land around; it, the features and the points are on one map in feet.
    """
    import shapely

    ways = shapely.linestrings(np.stack([a, b], axis=-2))
    wet = features[features["kind"].isin(OPEN_WATER)] if len(features) else features
    water = shapely.union_all(wet.geometry.to_numpy()) if len(wet) else shapely.Point()
    shapely.prepare(water)
    off = shapely.length(shapely.difference(ways, shapely.buffer(ground, 3.0)))
    return shapely.intersects(water, ways), off > OFF_FT


def round_trip(feet: np.ndarray) -> list[int]:
    """Order in which to walk from place 0 through all others and back: the nearest next, then crossings undone.

    feet: what each way costs, both ways alike; the same numbers give the same order.
    """
    n = len(feet)
    order, left = [0], set(range(1, n))
    while left:
        order.append(min(left, key=lambda k: (feet[order[-1], k], k)))
        left.discard(order[-1])
    better = True
    while better:
        better = False
        for i in range(1, n - 1):
            for j in range(i + 1, n):
                a, b, c, d = order[i - 1], order[i], order[j], order[(j + 1) % n]
                if feet[a, c] + feet[b, d] < feet[a, b] + feet[c, d] - 1e-6:
                    order[i : j + 1] = order[i : j + 1][::-1]
                    better = True
    return order


def legs(lon: Any, lat: Any, to_lon: Any, to_lat: Any) -> tuple[np.ndarray, np.ndarray]:
    """Feet and bearing (degrees from true north) of the straight ways from points to points, on the ellipsoid."""
    from pyproj import Geod

    a, b, c, d = (np.asarray(v, dtype=float) for v in (lon, lat, to_lon, to_lat))
    bearing, _, meters = Geod(ellps="WGS84").inv(a, b, c, d)
    return np.asarray(meters) / M_PER_FT, np.asarray(bearing) % 360.0

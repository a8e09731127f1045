"""Parcels: how big, how far, and how they meet.

Acres       acres_geodesic, acres_once, doubled_ac
Features    outlined
Feet        local_crs, local_ft
Other maps  on_map, made_whole
Parcels     measure, contacts, blocks, distances

Everything comes in and goes out as longitude and latitude (EPSG:4326). Acres are measured on the ellipsoid, never on a
map; feet are measured on a map made for the place (a transverse Mercator centred on it), good to a few parts in a
million within twenty miles.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.units import FT_PER_MI, M2_PER_AC

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = [
    "acres_geodesic",
    "acres_once",
    "blocks",
    "contacts",
    "distances",
    "doubled_ac",
    "local_crs",
    "local_ft",
    "made_whole",
    "measure",
    "on_map",
    "outlined",
]

#: Two outlines closer than this are taken to meet: lines drawn from different maps rarely agree to the inch.
TOLERANCE_FT = 3.0
#: Overlaps up to this are the rounding of corners [ac].
HAIR_AC = 1e-4
#: No woods grow nearer the south pole; a latitude beyond it is an American longitude in the wrong place.
SOUTH_END = -60.0


def acres_geodesic(geometry: Any, names: Sequence[str] | None = None) -> Any:
    """Acres of a polygon on the ellipsoid, holes left out.

    Parameters
    ----------
    geometry
        A shapely geometry, or an array, list or GeoSeries of them, in longitude and latitude (degrees, WGS 84).
    names
        What each is called in messages ("stand 7"); None: by its place among them.

    Returns
    -------
    float, or an array with one number for each geometry [international acres]. Lines and points have 0 acres; a
    missing geometry gives NaN.

    Raises
    ------
    InputError
        If coordinates are not degrees of longitude and latitude, or an outline crosses itself.

    Notes
    -----
    Edges are geodesics. No map projection is involved: on a Web Mercator map a forty at 46 degrees north reads 82.9 ac.

    Source: Karney's geodesic polygon area as carried by PROJ; 1 ac = 4,046.8564224 square meters exactly.
    """
    import shapely
    from pyproj import Geod

    crs = getattr(geometry, "crs", None)
    if crs is not None and not crs.is_geographic:
        raise InputError(f"acres need longitude and latitude, not {crs.name}; use to_crs(4326) first")
    shapes = np.asarray(geometry, dtype=object)
    if not all(s is None or isinstance(s, shapely.Geometry) for s in shapes.ravel()):
        raise InputError("acres need shapely geometries (polygons in longitude and latitude)")
    flat = shapes.ravel()
    _refuse_other_than_degrees(flat)
    crossed = ~shapely.is_valid(flat) & ~shapely.is_missing(flat)
    if crossed.any():
        at = int(np.flatnonzero(crossed)[0])
        who = f"outline {at + 1} of {len(flat)}" if names is None else f"the outline of {names[at]}"
        raise InputError(f"{who} crosses itself: {shapely.is_valid_reason(flat[at])}")
    parts, owner = shapely.get_parts(flat, return_index=True)
    pieces, of_part = shapely.get_parts(parts, return_index=True)
    owner = owner[of_part]
    rings_outward = shapely.normalize(pieces)
    polygons = shapely.get_type_id(pieces) == shapely.GeometryType.POLYGON
    globe = Geod(ellps="WGS84")
    square_m = np.array([abs(globe.geometry_area_perimeter(p)[0]) for p in rings_outward[polygons]], dtype=float)
    acres = np.bincount(owner[polygons], square_m, minlength=len(flat)) / M2_PER_AC
    acres = np.where(shapely.is_missing(flat), np.nan, acres)
    return float(acres[0]) if shapes.ndim == 0 else acres.reshape(shapes.shape)


def acres_once(shapes: Any, names: Sequence[str] | None = None) -> np.ndarray:
    """Acres of each outline, ground that lies in several of them shared evenly: their sum counts no ground twice."""
    return np.asarray(acres_geodesic(shapes, names) - doubled_ac(shapes), dtype=float)


def doubled_ac(shapes: Any) -> np.ndarray:
    """Acres of each outline that other outlines count: of ground in two of them a half, in three of them two thirds.

    Overlaps of a few square feet are the rounding of corners and are left.
    """
    import shapely

    flat = np.asarray(shapes, dtype=object)
    out = np.zeros(len(flat))
    first, second = shapely.STRtree(flat).query(flat, predicate="intersects")
    first, second = first[first < second], second[first < second]
    over = acres_geodesic(shapely.intersection(flat[first], flat[second])) > HAIR_AC
    some = np.unique(np.concatenate([first[over], second[over]]))
    if not len(some):
        return out
    lines = shapely.union_all(shapely.boundary(flat[some]))
    faces = shapely.get_parts(shapely.polygonize([lines]))
    face, owner = shapely.STRtree(flat[some]).query(shapely.point_on_surface(faces), predicate="within")
    times = np.bincount(face, minlength=len(faces))
    twice = times[face] > 1
    acres = acres_geodesic(faces)
    np.add.at(out, some[owner[twice]], (acres * (1.0 - 1.0 / np.maximum(times, 1)))[face[twice]])
    return out


def outlined(features: "gpd.GeoDataFrame", kinds: Sequence[str]) -> Any:
    """The polygons of the named kinds as one geometry (empty when there are none)."""
    import shapely

    shapes = features.geometry.to_numpy()[features["kind"].isin(kinds).to_numpy()] if len(features) else np.array([])
    polygons = shapes[np.isin(shapely.get_type_id(shapes), (3, 6))] if len(shapes) else shapes
    return shapely.union_all(polygons) if len(polygons) else shapely.Polygon()


def _refuse_other_than_degrees(shapes: np.ndarray) -> None:
    west, south, east, north = _bounds(shapes)
    if np.isnan(west):
        return
    if max(-west, east) <= 180.0 and south >= SOUTH_END and north <= 90.0:
        return
    swapped = max(-south, north) <= 180.0 and west >= SOUTH_END and east <= 90.0
    raise InputError(
        f"not longitude and latitude in degrees: x runs from {west:.6g} to {east:.6g} and y from {south:.6g} to "
        f"{north:.6g}; {'are latitude and longitude swapped?' if swapped else 'use to_crs(4326) first'}"
    )


def _bounds(shapes: np.ndarray) -> tuple[float, float, float, float]:
    """West, south, east and north end of all shapes together; missing where there is no coordinate."""
    import shapely

    if not len(shapes):
        return (np.nan,) * 4
    west, south, east, north = shapely.total_bounds(shapes)
    return float(west), float(south), float(east), float(north)


def local_crs(where: Any) -> Any:
    """The map in feet made for one place: a transverse Mercator centred on it, scale 1 there, international feet.

    ``where`` is a frame, a GeoSeries, a geometry or a (lon, lat) pair. Use one such map for things that are compared.
    """
    from pyproj import CRS

    if isinstance(where, tuple):
        lon, lat = where
    else:
        shapes = np.asarray(getattr(where, "geometry", where), dtype=object).ravel()
        _refuse_other_than_degrees(shapes)
        west, south, east, north = _bounds(shapes)
        lon, lat = (west + east) / 2.0, (south + north) / 2.0
    if not (np.isfinite(lon) and np.isfinite(lat)):
        raise InputError("there is nothing to centre a map in feet on: no geometry with coordinates")
    centre = {"lat_0": round(float(lat), 6), "lon_0": round(float(lon), 6)}
    return CRS.from_dict({"proj": "tmerc", **centre, "k": 1, "datum": "WGS84", "units": "ft", "no_defs": True})


def local_ft(where: Any, centre: Any = None) -> Any:
    """A frame, GeoSeries or geometry carried from longitude and latitude to feet on a map centred on it.

    ``centre`` (a frame, geometry or (lon, lat)) names another centre, so that two frames share one map. The frame that
    comes back has that map as its ``crs``; ``to_crs(4326)`` leads back.
    """
    import geopandas as gpd

    crs = local_crs(where if centre is None else centre)
    if hasattr(where, "to_crs"):
        return on_map(where if where.crs is not None else where.set_crs(4326), crs)
    return on_map(gpd.GeoSeries([where], crs=4326), crs).iloc[0]


def on_map(shapes: Any, crs: Any) -> Any:
    """A frame or GeoSeries on another map, its outlines still whole.

    Corners are rounded on the way, so that lines which ran along each other may cross by less than a hair. An outline
    that was whole before is made whole again, and only its ground is kept; one that was not stays as it is.
    """
    import shapely

    out = shapes.to_crs(crs)
    flat = out.geometry.to_numpy()
    mended = made_whole(flat, shapely.is_valid(shapes.geometry.to_numpy()))
    if mended is flat:
        return out
    if not hasattr(out, "columns"):
        return out.__class__(mended, index=out.index, crs=out.crs)
    return out.set_geometry(out.geometry.__class__(mended, index=out.index, crs=out.crs))


def made_whole(shapes: np.ndarray, were_whole: np.ndarray) -> np.ndarray:
    """Outlines whose corners were moved, those whole that were so before: only their ground is kept.

    The same array comes back where nothing was to be mended. Lines and points stay as they are.
    """
    import shapely

    crossed = np.isin(shapely.get_type_id(shapes), (3, 6)) & ~shapely.is_valid(shapes) & were_whole
    if not crossed.any():
        return shapes
    parts, owner = shapely.get_parts(shapely.make_valid(shapes[crossed]), return_index=True)
    pieces, of_part = shapely.get_parts(parts, return_index=True)
    ground = shapely.get_type_id(pieces) == shapely.GeometryType.POLYGON
    of = owner[of_part]
    out = shapes.copy()
    out[crossed] = [shapely.union_all(pieces[ground & (of == k)]) for k in range(int(crossed.sum()))]
    return out


def measure(parcels: "gpd.GeoDataFrame", home: tuple[float, float] | None = None) -> "gpd.GeoDataFrame":
    """Parcels with acres beside deed acres, miles from home, and the block of joined ground each belongs to.

    Parameters
    ----------
    parcels
        Frame with parcel_id, deed_acres (may be missing) and polygons in longitude and latitude.
    home
        (lon, lat) of the house, or None.

    Returns
    -------
    A copy with acres [ac] (ground in two parcels is half in each); difference_pct [% of the deed]; parts (separate
    pieces in the outline); block (1, 2, ... : parcels that can be walked between over a shared edge; a corner does not
    join); is_home (holds the house); miles_from_home [miles, straight, to the nearest point of the parcel; missing
    without a home].
    """
    import shapely

    out = parcels.copy()
    out["acres"] = acres_once(parcels.geometry, [f"parcel {one}" for one in parcels["parcel_id"]])
    deed = pd.to_numeric(parcels["deed_acres"]) if "deed_acres" in parcels else pd.Series(np.nan, parcels.index)
    out["difference_pct"] = 100.0 * (out["acres"] - deed) / deed.where(deed > 0)
    out["parts"] = shapely.get_num_geometries(parcels.geometry.to_numpy())
    out["block"] = blocks(parcels)
    out["miles_from_home"], out["is_home"] = np.nan, False
    if home is not None:
        point = shapely.Point(*home)
        _refuse_other_than_degrees(np.array([point], dtype=object))
        ground = local_ft(parcels.geometry)
        out["miles_from_home"] = ground.distance(local_ft(point, centre=parcels)).to_numpy() / FT_PER_MI
        out["is_home"] = parcels.geometry.covers(point).to_numpy()
    return out


def contacts(parcels: "gpd.GeoDataFrame", tolerance_ft: float = TOLERANCE_FT) -> pd.DataFrame:
    """Which parcels meet, along an edge or at a corner only.

    Parameters
    ----------
    parcels
        Frame with parcel_id and polygons in longitude and latitude.
    tolerance_ft
        Outlines within this many feet of each other are taken to meet [ft].

    Returns
    -------
    Frame with parcel_a, parcel_b, kind ("edge" or "corner"), shared_ft [ft] (0 at a corner), places (in how many
    they meet).

    Notes
    -----
    Shared length is the part of one outline that lies within the tolerance of the other, less the tolerance at both
    ends of each piece, the mean of both ways round. A contact not longer than the tolerance is a corner. Lines that
    leave a corner at less than about 10 degrees to each other can read as a short edge.
    """
    first, second, length, places = _meetings(local_ft(parcels.geometry).to_numpy(), tolerance_ft)
    ids = parcels["parcel_id"].astype(str).to_numpy()
    edge = length > tolerance_ft
    return pd.DataFrame(
        {
            "parcel_a": ids[first],
            "parcel_b": ids[second],
            "kind": np.where(edge, "edge", "corner"),
            "shared_ft": np.where(edge, length, 0.0),
            "places": places,
        }
    )


def _meetings(shapes: np.ndarray, tolerance_ft: float) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Pairs of polygons in feet that come within the tolerance, their shared feet and the number of places."""
    import shapely

    if not tolerance_ft > 0:
        raise InputError(f"the tolerance between lines must be above 0 ft, not {tolerance_ft!r}")
    first, second = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=tolerance_ft)
    first, second = first[first < second], second[first < second]
    near = shapely.buffer(shapes, tolerance_ft)
    lines = shapely.boundary(shapes)
    there = shapely.line_merge(shapely.intersection(lines[first], near[second]))
    back = shapely.line_merge(shapely.intersection(lines[second], near[first]))
    pieces = np.maximum(shapely.get_num_geometries(there), 1), np.maximum(shapely.get_num_geometries(back), 1)
    ends = 2.0 * tolerance_ft
    length = (shapely.length(there) - ends * pieces[0] + shapely.length(back) - ends * pieces[1]) / 2.0
    order = np.lexsort((second, first))
    return first[order], second[order], np.maximum(length, 0.0)[order], np.minimum(*pieces)[order]


def blocks(parcels: "gpd.GeoDataFrame", tolerance_ft: float = TOLERANCE_FT) -> np.ndarray:
    """Number of the block of joined ground each parcel belongs to, counted from 1 in the order of the parcels.

    Ground is joined where outlines share an edge; a corner joins nothing. A parcel in several pieces is given the block
    of its largest piece.
    """
    import shapely
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    pieces, owner = shapely.get_parts(local_ft(parcels.geometry).to_numpy(), return_index=True)
    first, second, length, _ = _meetings(pieces, tolerance_ft)
    joined = length > tolerance_ft
    links = coo_array((np.ones(joined.sum()), (first[joined], second[joined])), shape=(len(pieces), len(pieces)))
    _, label = connected_components(links, directed=False)
    by_size = pd.Series(shapely.area(pieces)).groupby(owner).idxmax()
    codes, _ = pd.factorize(label[by_size.reindex(range(len(parcels))).to_numpy()])
    return codes + 1


def distances(parcels: "gpd.GeoDataFrame") -> pd.DataFrame:
    """Miles between the nearest points of every two parcels, in a straight line: parcel_a, parcel_b, miles."""
    import shapely

    shapes = local_ft(parcels.geometry).to_numpy()
    ids = parcels["parcel_id"].astype(str).to_numpy()
    first, second = np.triu_indices(len(shapes), 1)
    miles = shapely.distance(shapes[first], shapes[second]) / FT_PER_MI
    return pd.DataFrame({"parcel_a": ids[first], "parcel_b": ids[second], "miles": miles})

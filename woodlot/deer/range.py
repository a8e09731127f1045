"""The ground the deer use round the parcels, and the family's share of it.

effective_acres         parcels with a home range round them, dissolved once
range_outline           the same ground as an outline
share_of_time_pct       the share of their time such deer spend on the parcels
deer_equivalents        deer the parcels carry the use of: what a take is budgeted on
deer_that_walk_there    deer that come by at some time: what a camera sees

Two hundred acres at 20 deer a square mile carry the use of 6 deer, while nearly 50 walk there sometime.
"""

from dataclasses import replace

import numpy as np

from woodlot.deer.defaults import default, default_range
from woodlot.errors import InputError
from woodlot.estimate import Estimate, reason, scale
from woodlot.region import Region
from woodlot.trade import GROWN, unknown
from woodlot.units import AC_PER_SQMI, SQFT_PER_AC

__all__ = [
    "deer_equivalents",
    "deer_that_walk_there",
    "effective_acres",
    "home_range_radius_ft",
    "range_outline",
    "share_of_time_pct",
]

#: Corners in a quarter circle of a buffer: keeps its area within 1 part in 100,000 of the true circle.
_QUARTER = 256


def home_range_radius_ft(home_range_ac):
    """Radius in feet of a round home range of these acres."""
    return np.sqrt(np.asarray(home_range_ac, dtype=float) * SQFT_PER_AC / np.pi)


def effective_acres(geometry, home_range_ac):
    """Acres of ground used by the deer that come onto the parcels sometime.

    Parameters: geometry, one polygon, a list of them or a geo frame or series in degrees (lon, lat); home_range_ac
    [ac], a number or an array. Returns acres, like home_range_ac. Raises InputError for a home range below zero or
    ground that is empty or not in degrees.

    Notes: a true buffer of each parcel by the radius of a round home range, in local feet; where buffers of several
    parcels overlap the ground counts once. For one convex parcel it is A + P r + pi r^2.
    Source: deer page R1 of the reference pages (derived), key woodlot_deer.
    """
    from shapely import buffer

    ranges = _checked(home_range_ac)
    ground, _ = _together(geometry)
    acres = [buffer(ground, r, quad_segs=_QUARTER).area / SQFT_PER_AC for r in home_range_radius_ft(ranges).ravel()]
    return float(acres[0]) if ranges.ndim == 0 else np.reshape(acres, ranges.shape)


def range_outline(geometry, home_range_ac: float, without=None):
    """The ground whose acres `effective_acres` counts, as one outline in degrees (a geo series of one row).

    without: ground to leave out of it (a geo frame or series in degrees), such as the stands that were measured.
    """
    import geopandas as gpd
    from shapely import buffer, union_all

    from woodlot.land.parcels import on_map

    ground, plane = _together(geometry)
    around = buffer(ground, float(home_range_radius_ft(_checked(home_range_ac))), quad_segs=16)
    if without is not None and len(without):
        around = around.difference(union_all(np.asarray(on_map(without.geometry, plane))))
    return on_map(gpd.GeoSeries([around], crs=plane), "EPSG:4326")


def _checked(home_range_ac) -> np.ndarray:
    ranges = np.asarray(home_range_ac, dtype=float)
    if np.any(ranges < 0) or not np.all(np.isfinite(ranges)):
        raise InputError(f"home_range_ac cannot be negative or missing, was {home_range_ac!r}")
    return ranges


def _together(geometry):
    """All the ground as one shape in local feet, and that plane."""
    import geopandas as gpd
    from shapely import union_all

    from woodlot.land.parcels import local_ft, on_map

    shapes = geometry.geometry if isinstance(geometry, gpd.GeoDataFrame) else geometry
    if hasattr(shapes, "geom_type") and not isinstance(shapes, gpd.GeoSeries):
        shapes = [shapes]
    crs = getattr(shapes, "crs", None) or "EPSG:4326"
    frame = on_map(gpd.GeoDataFrame(geometry=list(shapes), crs=crs), "EPSG:4326")
    frame = frame[~(frame.geometry.isna() | frame.geometry.is_empty)]
    if len(frame) == 0:
        raise InputError("no ground: the geometry is empty")
    if not np.all(np.isfinite(frame.total_bounds)) or np.abs(frame.total_bounds[[1, 3]]).max() > 90:
        raise InputError("the geometry must be in degrees, longitude then latitude")
    flat = local_ft(frame)
    return union_all(np.asarray(flat.geometry)), flat.crs


def share_of_time_pct(acres, effective_ac):
    """Mean share of their time that the deer of the ground around spend on the parcels, percent: 100 A / A_eff."""
    return 100.0 * acres / effective_ac


def deer_equivalents(density: Estimate, acres: float) -> Estimate:
    """Deer the parcels carry the use of: density times acres. This is what a take is budgeted on."""
    out = scale(density, acres / AC_PER_SQMI, "deer", ground_ac=acres)
    return out if out.why else replace(out, why=reason("use of these acres"))


def deer_that_walk_there(
    density: Estimate, geometry, home_range_ac: float | None = None, sex: str = "doe", *, region: Region
) -> Estimate:
    """Deer that come onto the parcels at some time: density times the ground they use, as a range of assumptions.

    sex: "doe" or "buck", whose home range is used where none is given (a buck's is about twice a doe's). The range runs
    from the low density on the smallest home range to the high density on the largest; it has no odds.
    """
    if sex not in GROWN:
        raise InputError(f"sex {sex!r}: {unknown(sex, GROWN)}")
    low_ac, high_ac = default_range(f"home_range_{sex}", region)
    middle = default(f"home_range_{sex}", region) if home_range_ac is None else float(home_range_ac)
    grounds = effective_acres(geometry, np.array([min(low_ac, middle), middle, max(high_ac, middle)]))
    if density.value is None:
        return replace(density, unit="deer", kind="none", ground_ac=float(grounds[1]))
    low = None if density.low is None else density.low * grounds[0] / AC_PER_SQMI
    high = None if density.high is None else density.high * grounds[2] / AC_PER_SQMI
    return Estimate(
        value=density.value * grounds[1] / AC_PER_SQMI,
        unit="deer",
        low=low,
        high=high,
        level=density.level,
        kind="none" if low is None else "assumptions",
        n=density.n,
        ground_ac=float(grounds[1]),
        why=density.why if low is None else reason("home range assumed", sex=sex),
    )

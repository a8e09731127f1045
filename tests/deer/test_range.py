"""The ground the deer use: the printed table of square parcels, overlaps, shares."""

import geopandas as gpd
import numpy as np
import pytest
import shapely

from woodlot.deer import range as ground
from woodlot.errors import InputError
from woodlot.estimate import interval
from woodlot.region import shipped
from woodlot.units import AC_PER_HA, SQFT_PER_AC

LON, LAT = -90.0, 46.0


def square(acres, east_ft=0.0, north_ft=0.0, lat=LAT):
    """A square of these acres in degrees, some feet from the home point; made by pyproj from feet."""
    from pyproj import Transformer

    to = Transformer.from_crs(f"+proj=tmerc +lat_0={lat} +lon_0={LON} +units=ft", "EPSG:4326", always_xy=True)
    half = np.sqrt(acres * SQFT_PER_AC) / 2
    corners = np.array([(-half, -half), (half, -half), (half, half), (-half, half)]) + np.array([east_ft, north_ft])
    return shapely.Polygon(np.column_stack(to.transform(*corners.T)))


@pytest.mark.parametrize("acres", [40, 80, 160, 200])
def test_square_parcels_as_printed(as_printed, acres):
    """All rows of the table of square parcels, both home ranges (reference page 1.7, derived)."""
    large, small = 230 * AC_PER_HA, 30 * AC_PER_HA
    used = ground.effective_acres(square(acres), np.array([large, small]))
    as_printed(f"range_{acres}_230ha", used[0])
    as_printed(f"range_{acres}_30ha", used[1])
    as_printed(f"range_{acres}_times", used[0] / acres)
    as_printed(f"range_{acres}_share_of_range", acres / large)


@pytest.mark.parametrize("acres", [40, 80, 120, 200])
def test_equivalents_as_printed(as_printed, acres):
    """Deer-equivalents at 20 deer a square mile (reference page 1.7, derived)."""
    twenty = interval(20.0, "deer a square mile", se=2.0, df=20, n=21)
    e = ground.deer_equivalents(twenty, acres)
    as_printed(f"equivalents_{acres}", e.value)
    assert e.kind == "interval" and e.ground_ac == acres and e.unit == "deer"


def test_about_thirty_deer_walk_over_forty_acres():
    """20 a square mile on the 949 acres round a forty: 29.7 deer, "about 30" in the reference page 1.7."""
    twenty = interval(20.0, "deer a square mile", se=2.0, df=20, n=21)
    e = ground.deer_that_walk_there(twenty, square(40), 230 * AC_PER_HA, region=shipped("base"))
    assert e.value == pytest.approx(29.7, abs=0.1)
    assert e.kind == "assumptions" and e.low < e.value < e.high


def test_overlapping_buffers_count_once():
    """Two forties that touch use what an eighty uses; two far apart use twice what one does."""
    side = np.sqrt(40 * SQFT_PER_AC)
    both = gpd.GeoSeries([square(40), square(40, east_ft=side)], crs=4326)
    one = ground.effective_acres(square(40), 568.0)
    joined = ground.effective_acres(both, 568.0)
    by_formula = 80 + 6 * side * ground.home_range_radius_ft(568.0) / SQFT_PER_AC + 568.0
    assert joined == pytest.approx(by_formula, rel=2e-4)
    far = gpd.GeoSeries([square(40), square(40, east_ft=8 * 5280)], crs=4326)
    assert ground.effective_acres(far, 568.0) == pytest.approx(2 * one, rel=2e-4)


def test_no_home_range_gives_the_parcel_itself():
    """Home range 0: the acres of the parcel, within 1 in 10,000."""
    assert ground.effective_acres(square(40), 0.0) == pytest.approx(40.0, rel=1e-4)


def test_frames_polygons_and_lists_agree():
    """A geo frame, a series, a list and one polygon give one answer; a number gives a float, an array an array."""
    shape = square(40)
    frame = gpd.GeoDataFrame({"parcel_id": ["a"]}, geometry=[shape], crs=4326)
    answers = [ground.effective_acres(x, 568.0) for x in (shape, [shape], frame.geometry, frame)]
    assert np.ptp(answers) == 0 and isinstance(answers[0], float)
    assert ground.effective_acres(shape, np.array([100.0, 568.0])).shape == (2,)
    assert ground.share_of_time_pct(40.0, answers[0]) == pytest.approx(4000 / answers[0])


@pytest.mark.parametrize("bad", [-1.0, np.nan])
def test_a_bad_home_range_is_refused(bad):
    """Below zero or missing: a clear stop."""
    with pytest.raises(InputError):
        ground.effective_acres(square(40), bad)


def test_ground_in_feet_is_refused():
    """Coordinates that cannot be degrees, and no ground at all, are refused."""
    with pytest.raises(InputError):
        ground.effective_acres(shapely.box(500_000, 5_000_000, 500_400, 5_000_400), 568.0)
    with pytest.raises(InputError):
        ground.effective_acres([], 568.0)


def test_the_range_crosses_itself_nowhere_after_it_was_carried_to_degrees():
    """Two outlines run along one line with corners of their own: rounding to degrees made the range cross itself there.

    The acres are those measured in feet, to a part in a hundred thousand.
    """
    from woodlot.land.parcels import acres_geodesic

    parcel = gpd.GeoSeries([shapely.box(-89.4, 46.1, -89.39, 46.108)], crs=4326)
    west = [(-89.3967134223457, 46.106993954530424), (-89.39421004148849, 46.10483665206396)]
    west.append((-89.39327483780455, 46.10403073505449))
    east = [(-89.39276736017247, 46.1035934133644), (-89.3978808594618, 46.108), (-89.3922316435837, 46.10511661816249)]
    drawn = gpd.GeoSeries([shapely.Polygon(west), shapely.Polygon(east)], crs=4326)
    feet, plane = ground._together(parcel)
    around = shapely.buffer(feet, float(ground.home_range_radius_ft(400.0)), quad_segs=16)
    left = gpd.GeoSeries([around.difference(drawn.to_crs(plane).union_all())], crs=plane)
    assert left.is_valid.all() and not left.to_crs(4326).is_valid.all()
    told = ground.range_outline(parcel, 400.0, drawn)
    assert told.is_valid.all() and told.geom_type.isin(["Polygon", "MultiPolygon"]).all()
    assert acres_geodesic(told)[0] == pytest.approx(left.area.iloc[0] / SQFT_PER_AC, rel=1e-5)

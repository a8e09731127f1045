"""Parcels: acres that are right everywhere, contacts said in words, blocks, miles."""

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.land import parcels as land
from woodlot.say import ground

FORTY_FT = 1320.0
MILES_APART_FT = 5280.0 * 3


def box(lon=-88.0, lat=46.0, east=0.0, north=0.0, wide=FORTY_FT, high=FORTY_FT):
    """A rectangle laid out in feet from a point, as longitude and latitude."""
    shape = shapely.box(east, north, east + wide, north + high)
    return gpd.GeoSeries([shape], crs=land.local_crs((lon, lat))).to_crs(4326).iloc[0]


def owned(*shapes, names=None, deeds=None):
    """A frame of parcels a, b, c ..."""
    ids = [chr(97 + i) for i in range(len(shapes))]
    told = {"parcel_id": ids, "name": names or [f"{i.upper()} forty" for i in ids], "deed_acres": deeds}
    return gpd.GeoDataFrame(told, geometry=list(shapes), crs=4326)


@settings(max_examples=60, deadline=None)
@given(st.floats(24.0, 60.0), st.floats(-125.0, -60.0))
def test_a_quarter_mile_square_is_forty_acres_anywhere(lat, lon):
    """1,320 x 1,320 / 43,560 = 40.0, within .01, from 24 to 60 degrees north."""
    assert land.acres_geodesic(box(lon, lat)) == pytest.approx(40.0, abs=0.01)


def test_another_way_to_lay_out_forty_acres():
    """1,320 ft stepped out on the ellipsoid itself, east along the south side, then north: 40.0 within .01."""
    from pyproj import Geod

    globe = Geod(ellps="WGS84")
    feet = FORTY_FT * 0.3048
    for lat in (24.0, 35.0, 46.0, 60.0):
        east = globe.fwd(-90.0, lat, 90.0, feet)
        north_east = globe.fwd(east[0], east[1], 0.0, feet)
        north_west = globe.fwd(-90.0, lat, 0.0, feet)
        outline = [(-90.0, lat), east[:2], north_east[:2], north_west[:2]]
        assert land.acres_geodesic(shapely.Polygon(outline)) == pytest.approx(40.0, abs=0.01)


def test_web_mercator_would_double_it_by_hand():
    """1/cos^2 of 46 degrees is 2.07: the reason why acres are not measured on a map."""
    mercator = gpd.GeoSeries([box()], crs=4326).to_crs(3857).area.iloc[0] / 4046.8564224
    assert mercator == pytest.approx(82.9, abs=0.1)


def test_holes_and_pieces_by_hand():
    """40 acres less a hole of 10 are 30; with a second piece of 10 acres 40; the way round does not matter."""
    hole = box(east=300, north=300, wide=660, high=660)
    ring = box().difference(hole)
    both = shapely.MultiPolygon([ring, box(east=5000, wide=660, high=660)])
    wrong_way = shapely.Polygon(ring.exterior.coords[::-1], [ring.interiors[0].coords])
    told = land.acres_geodesic([ring, both, wrong_way, shapely.GeometryCollection([both, shapely.Point(-88, 46)])])
    assert told == pytest.approx([30.0, 40.0, 30.0, 40.0], abs=1e-3)


def test_one_shape_gives_a_number_many_give_an_array():
    """A geometry gives a float; a list, an array and a GeoSeries an array; None is missing; a line has no acres."""
    shapes = np.array([box(), None, shapely.LineString([(-88, 46), (-88, 46.1)]), shapely.Polygon()], dtype=object)
    assert isinstance(land.acres_geodesic(box()), float)
    told = land.acres_geodesic(shapes)
    assert told == pytest.approx([40.0, np.nan, 0.0, 0.0], abs=1e-3, nan_ok=True)
    assert land.acres_geodesic(gpd.GeoSeries(shapes, crs=4326)) == pytest.approx(told, nan_ok=True)
    assert land.acres_geodesic(shapes.reshape(2, 2)).shape == (2, 2)


@pytest.mark.parametrize(
    ("shape", "words"),
    [
        (shapely.box(46.0, -88.01, 46.01, -88.0), "swapped"),
        (shapely.box(46.0, -98.01, 46.01, -98.0), "swapped"),
        (shapely.box(5e5, 5.1e6, 5.01e5, 5.101e6), "to_crs"),
        (shapely.Polygon([(-88, 46), (-87.9, 46.1), (-87.9, 46), (-88, 46.1)]), "crosses itself"),
        (40, "shapely"),
        ("POLYGON ((0 0, 1 1, 1 0, 0 0))", "shapely"),
    ],
)
def test_what_is_not_an_outline_in_degrees_is_refused(shape, words):
    """Swapped coordinates, meters, bowties, numbers and text each get their own words."""
    with pytest.raises(InputError, match=words):
        land.acres_geodesic(shape)


def test_a_frame_in_meters_is_refused():
    """A GeoSeries that says it is in UTM is not taken for degrees."""
    with pytest.raises(InputError, match="to_crs"):
        land.acres_geodesic(gpd.GeoSeries([shapely.box(0, 0, 1, 1)], crs=32616))


def test_feet_of_the_local_map_by_hand():
    """A side of a quarter mile is 1,320 ft long; twelve miles off the center it is still within a tenth of an inch."""
    frame = owned(box(), box(east=12 * 5280))
    feet = land.local_ft(frame)
    assert feet.geometry.area.to_numpy() == pytest.approx(FORTY_FT**2, rel=2e-5)
    assert shapely.length(shapely.boundary(feet.geometry.iloc[1])) / 4 == pytest.approx(FORTY_FT, abs=0.01)
    assert feet.to_crs(4326).geometry.iloc[0].equals_exact(frame.geometry.iloc[0], 1e-9)


def test_two_frames_share_one_map():
    """With the same center, a point of one frame lies where it does in the other."""
    frame = owned(box(), box(east=9000))
    alone = land.local_ft(frame.geometry.iloc[1], centre=frame)
    assert alone.equals_exact(land.local_ft(frame).geometry.iloc[1], 1e-6)


def test_no_map_without_a_place():
    """An empty frame has no center."""
    with pytest.raises(InputError, match="nothing to centre"):
        land.local_crs(owned().geometry)


def test_two_forties_that_meet_at_a_corner():
    """They are said to meet at a corner only, share no feet, and are separate blocks."""
    frame = owned(box(), box(east=FORTY_FT, north=FORTY_FT), names=["Home forty", "Corner forty"])
    told = land.contacts(frame)
    assert told[["parcel_a", "parcel_b", "kind", "shared_ft"]].values.tolist() == [["a", "b", "corner", 0.0]]
    assert ground.contacts(told, frame) == [
        "Home forty touches Corner forty at one corner only; owning both gives no right to cross between."
    ]
    assert land.blocks(frame).tolist() == [1, 2]


def test_two_forties_side_by_side():
    """They share 1,320 feet and are one block."""
    frame = owned(box(), box(east=FORTY_FT))
    told = land.contacts(frame)
    assert told["kind"].tolist() == ["edge"] and told["shared_ft"][0] == pytest.approx(FORTY_FT, abs=0.1)
    assert ground.contacts(told, frame) == ["A forty and B forty share 1,320 feet of line."]
    assert ground.contacts(told, frame.assign(name=[None, "B"])) == ["a and B share 1,320 feet of line."]
    assert land.blocks(frame).tolist() == [1, 1]


@pytest.mark.parametrize("gap", [-2.0, 0.0, 2.0])
def test_lines_that_almost_agree_still_meet(gap):
    """A gap or an overlap of two feet is drawing, not land; the shared line is still told to a few feet."""
    side = owned(box(), box(east=FORTY_FT + gap))
    assert land.contacts(side)["shared_ft"][0] == pytest.approx(FORTY_FT, abs=5.0)
    corner = owned(box(), box(east=FORTY_FT + gap, north=FORTY_FT))
    assert land.contacts(corner)["kind"].tolist() == ["corner"]


def test_a_road_between_is_no_contact():
    """66 feet apart is apart."""
    frame = owned(box(), box(east=FORTY_FT + 66.0))
    assert len(land.contacts(frame)) == 0
    assert land.blocks(frame).tolist() == [1, 2]


def test_a_short_edge_is_an_edge():
    """Twenty shared feet are twenty feet one may walk through."""
    frame = owned(box(), box(east=FORTY_FT, north=FORTY_FT - 20.0))
    told = land.contacts(frame)
    assert told["kind"].tolist() == ["edge"] and told["shared_ft"][0] == pytest.approx(20.0, abs=0.5)


def test_two_corners_are_counted():
    """A parcel in the gap of a U touches it at two corners."""
    arms = shapely.union_all([box(wide=300), box(wide=900, high=300), box(east=600, wide=300)])
    diamond = shapely.Polygon([(300, 1320), (450, 1200), (600, 1320), (450, 1500)])
    diamond = gpd.GeoSeries([diamond], crs=land.local_crs((-88.0, 46.0))).to_crs(4326).iloc[0]
    frame = owned(arms, diamond)
    told = land.contacts(frame)
    assert told["kind"].tolist() == ["corner"] and "2 corners only" in ground.contacts(told, frame)[0]


def test_blocks_join_over_edges_and_not_over_corners():
    """a-b share an edge, b-c a corner, c-d an edge, e lies alone: blocks 1 1 2 2 3."""
    frame = owned(
        box(),
        box(east=FORTY_FT),
        box(east=2 * FORTY_FT, north=FORTY_FT),
        box(east=3 * FORTY_FT, north=FORTY_FT),
        box(east=MILES_APART_FT),
    )
    assert land.blocks(frame).tolist() == [1, 1, 2, 2, 3]


def test_a_parcel_in_two_pieces_goes_with_its_larger_one():
    """The small piece touches a; the large one does not, so b is a block of its own."""
    pieces = shapely.MultiPolygon([box(east=FORTY_FT, wide=200), box(east=9000, wide=2000)])
    frame = owned(box(), pieces)
    assert land.blocks(frame).tolist() == [1, 2]
    assert land.measure(frame)["parts"].tolist() == [1, 2]


def test_measure_by_hand():
    """40 acres on a deed of 38 are 5.26 % over; the second parcel begins 2 miles east of the house in the first."""
    frame = owned(box(), box(east=2 * 5280 + 660), deeds=[38.0, np.nan])
    house = gpd.GeoSeries([shapely.Point(660, 660)], crs=land.local_crs((-88.0, 46.0))).to_crs(4326).iloc[0]
    told = land.measure(frame, home=(house.x, house.y))
    assert told["acres"].to_numpy() == pytest.approx([40.0, 40.0], abs=1e-3)
    assert told["difference_pct"].to_numpy() == pytest.approx([5.263, np.nan], abs=1e-3, nan_ok=True)
    assert told["miles_from_home"].to_numpy() == pytest.approx([0.0, 2.0], abs=1e-3)
    assert told["is_home"].tolist() == [True, False]
    assert told["block"].tolist() == [1, 2]


def test_measure_without_home_or_deed():
    """What is not known is missing, not 0."""
    told = land.measure(owned(box()).drop(columns="deed_acres"))
    assert told[["difference_pct", "miles_from_home"]].isna().all(axis=None)
    assert not told["is_home"].any()


def test_miles_between_by_hand():
    """Forties whose near sides are 1,320 and 3,960 ft apart: .25 and .75 mile."""
    frame = owned(box(), box(east=2 * FORTY_FT), box(east=4 * FORTY_FT + FORTY_FT))
    told = land.distances(frame)
    assert told[["parcel_a", "parcel_b"]].values.tolist() == [["a", "b"], ["a", "c"], ["b", "c"]]
    assert told["miles"].to_numpy() == pytest.approx([0.25, 1.0, 0.5], abs=1e-4)


def test_order_of_parcels_does_not_change_contacts():
    """The same pairs and feet come out whichever parcel is named first."""
    shapes = [box(), box(east=FORTY_FT), box(east=FORTY_FT, north=FORTY_FT)]
    one = land.contacts(owned(*shapes))
    other = land.contacts(owned(*shapes[::-1]))
    assert sorted(one["kind"]) == sorted(other["kind"]) == ["corner", "edge", "edge"]
    assert sorted(one["shared_ft"]) == pytest.approx(sorted(other["shared_ft"]), abs=1e-3)


def test_a_tolerance_must_be_some():
    """0 feet would find no two lines that meet."""
    with pytest.raises(InputError, match="tolerance"):
        land.contacts(owned(box()), tolerance_ft=0.0)


def test_one_parcel_meets_nobody():
    """A frame of one gives empty tables with their columns."""
    assert list(land.contacts(owned(box())).columns) == ["parcel_a", "parcel_b", "kind", "shared_ft", "places"]
    assert isinstance(land.distances(owned(box())), pd.DataFrame)


def test_only_what_was_whole_before_is_made_whole_again_on_another_map():
    """A bow tie of the family's own hand stays one, in a series and in a frame; points stay where they are."""
    tie = shapely.Polygon([(-90, 46), (-89.99, 46.01), (-89.99, 46), (-90, 46.01)])
    told = land.on_map(gpd.GeoSeries([tie, shapely.Point(-90, 46)], crs=4326), land.local_crs((-90.0, 46.0)))
    assert not told.is_valid.iloc[0] and told.geom_type.tolist() == ["Polygon", "Point"]


def test_an_outline_that_crosses_by_a_hair_on_another_map_keeps_its_ground_and_its_row():
    """A needle of a corner a billionth of a foot wide turns over in degrees: the square of 10 acres stays, valid."""
    plane = land.local_crs((-90.0, 46.2))
    needles = [(660 * k / 40, 330 + side * 1e-9) for k, side in zip(range(1, 40), [1, -1] * 20, strict=False)]
    rings = [(0, 0), (660, 0), (660, 330), *[(660 - x, y) for x, y in needles], (0, 330)]
    back = [(0, 330 + 2e-9), *[(x, y + 2e-9) for x, y in needles], (660, 330 + 2e-9), (660, 660), (0, 660)]
    flat = gpd.GeoSeries([shapely.MultiPolygon([shapely.Polygon(rings), shapely.Polygon(back)])], crs=plane)
    assert flat.is_valid.all() and not flat.to_crs(4326).is_valid.all()
    frame = gpd.GeoDataFrame({"parcel_id": ["a"]}, geometry=flat, index=[7])
    told = land.on_map(frame.set_geometry(gpd.GeoSeries(flat.to_numpy(), index=[7], crs=plane)), 4326)
    assert told.is_valid.all() and told.index.tolist() == [7] and told["parcel_id"].tolist() == ["a"]
    assert land.acres_geodesic(told.geometry)[0] == pytest.approx(10.0, abs=1e-3)

"""Lines that nearly agree: likely one traced twice, or ground between; and drawn as one."""

import runpy
from pathlib import Path

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely

from woodlot.land.mended import redrawn
from woodlot.land.near_lines import near_lines
from woodlot.land.parcels import contacts, local_crs
from woodlot.region import shipped
from woodlot.say import ground

REGION = shipped("lake_states")
CRS = local_crs((-89.4, 46.1))
TRIAL = runpy.run_path(str(Path(__file__).parents[1] / "trials" / "outlines_trial.py"))


def forty(east=0.0, north=0.0, wide=1320.0, high=1320.0):
    """A rectangle in feet."""
    return shapely.box(east, north, east + wide, north + high)


def drawn(key, *shapes):
    """Outlines a, b, c ... in degrees."""
    ground_ = gpd.GeoSeries(list(shapes), crs=CRS).to_crs(4326)
    return gpd.GeoDataFrame({key: [chr(97 + k) for k in range(len(shapes))]}, geometry=ground_, crs=4326)


def features(*shapes, kind="road"):
    """Features of one kind."""
    ground_ = gpd.GeoSeries(list(shapes), crs=CRS).to_crs(4326)
    return gpd.GeoDataFrame({"kind": [kind] * len(shapes)}, geometry=ground_, crs=4326)


def found(*parcels, stands=(), ways=None):
    """What is near: (what, a, b, kind) -> row."""
    ways = features() if ways is None else ways
    rows = near_lines(drawn("parcel_id", *parcels), drawn("stand_id", *stands), ways, region=REGION)
    return {(r.what, r.a, r.b, r.kind): r for r in rows.itertuples()}


#: A forty traced 4 ft from the first one's east line in the south, 13 ft in the north.
TWICE = shapely.Polygon([(1324, 0), (1333, 1320), (2640, 1320), (2640, 0)])
OVER = shapely.Polygon([(1316, 0), (1333, 1320), (2640, 1320), (2640, 0)])


def test_a_line_traced_twice_is_told_with_its_feet_by_hand():
    """4 to 13 ft over 1,320 ft: in the middle 8.5, between them 8.5 x 1,320 / 43,560 = .258 ac."""
    row = found(forty(), TWICE)["parcels", "a", "b", "line"]
    assert [row.low_ft, row.median_ft, row.high_ft] == pytest.approx([4.0, 8.5, 13.0], abs=0.15)
    assert [row.length_ft, row.gap_ac, row.doubled_ac, row.within_ft] == pytest.approx([1320, 0.2576, 0, 15], abs=1e-3)


def test_lines_that_cross_are_apart_and_over_each_other_by_hand():
    """4 ft over in the south, 13 apart in the north: they cross at 4/17 of 1,320 ft; a triangle of 4 x 310.6 ft.

    The piece of 20 ft at a corner that lies in the other outline is left out: 17 x 20 / 1,320 = .26 ft.
    """
    row = found(forty(), OVER)["parcels", "a", "b", "line"]
    assert [row.low_ft, row.high_ft] == pytest.approx([-4.0, 13.0], abs=0.27)
    assert row.doubled_ac == pytest.approx(4 * 310.6 / 2 / 43560, abs=1.5e-3)
    assert row.gap_ac == pytest.approx(13 * 1009.4 / 2 / 43560, abs=5e-4)


@pytest.mark.parametrize(
    ("other", "kinds"),
    [
        (forty(1320.0), []),
        (forty(1322.0), []),  # lines within 3 ft meet
        (forty(1386.0), []),  # a road of 66 ft
        (forty(1353.0), ["lane"]),
        (forty(1337.0), ["lane"]),
        (forty(1336.0), ["line"]),  # no lane is so narrow
        (forty(1320.0, 1320.0), []),  # a corner that touches
        (forty(1330.0, 1330.0), ["corner"]),
        (forty(1345.0, 1345.0), []),  # 35 ft from corner to corner
        (shapely.Polygon([(1320, 0), (1600, 1320), (2640, 1320), (2640, 0)]), []),  # lines that part at a point
        (forty(1330.0, 1260.0, high=90.0), ["corner"]),  # along each other for 60 ft only
    ],
)
def test_what_is_between_is_ground_or_is_not(other, kinds):
    """A road, a lane, a corner, a wedge: none is called one line."""
    assert [key[3] for key in found(forty(), other)] == kinds


def test_a_brook_that_is_drawn_keeps_lines_apart_and_one_elsewhere_does_not():
    """The same 4 to 13 ft with a brook between; and with one that crosses the line."""
    brook = features(shapely.LineString([(1322, -100), (1325, 1400)]), kind="stream")
    across = features(shapely.LineString([(0, 600), (2600, 700)]), kind="stream")
    assert list(found(forty(), TWICE, ways=brook)) == [("parcels", "a", "b", "lane")]
    assert list(found(forty(), TWICE, ways=across)) == [("parcels", "a", "b", "line")]


def test_stands_among_each_other_and_along_their_parcel():
    """A stand 8 ft from its neighbor and 6 ft within the parcel's line; over the line it counts below 0."""
    told = found(forty(), stands=[forty(0, 0, 650), forty(658, 0, 656), forty(0, 0, 1320)])
    assert told["stands", "a", "b", "line"].median_ft == pytest.approx(8.0, abs=0.1)
    assert told["stand in parcel", "b", "a", "line"].high_ft == pytest.approx(6.0, abs=0.1)
    assert ("stand in parcel", "c", "a", "line") not in told
    over = found(forty(), stands=[forty(10, 10, 1316, 1300)])["stand in parcel", "a", "a", "line"]
    assert [over.low_ft, over.high_ft] == pytest.approx([-6.0, 10.0], abs=0.1)


def test_the_sentences():
    """Each kind said whole, with what would draw it as one."""

    def said(*parcels, stands=()):
        frame = drawn("parcel_id", *parcels).assign(name=[None, "Ridge", "Far"][: len(parcels)])
        return ground.near_lines(
            near_lines(frame, drawn("stand_id", *stands), features(), region=REGION), frame, "my_woods"
        )

    once, mend = "likely one line traced twice", "`woodlot mend my_woods --within"
    assert said(forty(), TWICE) == [
        f"a and Ridge: 4 to 13 feet apart along 1,320 feet (0.3 acres between them), {once}; "
        f"{mend} 15` draws it as one."
    ]
    assert said(forty(), OVER) == [
        "a and Ridge: up to 13 feet apart and up to 4 feet over each other along 1,320 feet (0.2 acres between them), "
        f"{once}; {mend} 15` draws it as one."
    ]
    assert said(forty(), forty(1310.0)) == [
        f"a and Ridge: 10 feet over each other along 1,280 feet (0.3 acres in both), {once}; "
        f"{mend} 10` draws it as one."
    ]
    assert said(forty(), forty(1353.0)) == [
        "a and Ridge: 33 feet apart along 1,320 feet, perhaps a road or a brook between. It is left so; if it is one "
        f"line, {mend} 35 --pair a b` draws it as one."
    ]
    assert said(forty(), forty(1330.0, 1330.0)) == [
        f"a and Ridge: corners 14 feet apart, likely one corner; {mend} 15` draws it as one."
    ]
    assert said(forty(), stands=[forty(0, 0, 650), forty(658, 0, 656)]) == [
        f"Stands a and b: 8 feet apart along 1,320 feet (0.2 acres between them), {once}; {mend} 10` draws it as one.",
        f"Stand b and the line of a: 0 to 6 feet apart along 2,632 feet (0.2 acres between them), {once}; "
        f"{mend} 10` draws it as one.",
    ]


def test_lines_of_stands_take_one_line_together_and_one_foot_is_a_foot():
    """Two rows of stands are one sentence with the largest distance and one command; parcels stay pair by pair."""
    frame = drawn("parcel_id", forty(), TWICE).assign(name=["Home", "Ridge"])
    rows = near_lines(frame, drawn("stand_id", forty(0, 0, 650), forty(658, 0, 656)), features(), region=REGION)
    told = ground.near_said(rows.assign(words=ground.near_lines(rows, frame, "woods")))
    stands = int((rows["what"] != "parcels").sum())
    assert stands > 1 and len(told) == len(rows) - stands + 1 and told[0].startswith("Home and Ridge: ")
    assert told[-1].startswith("Lines of stands run up to ") and f" at {stands} places" in told[-1]
    assert told[-1].count("`woodlot mend woods --within") == 1
    row = {"what": "stands", "a": "1", "b": "2", "kind": "twice", "low_ft": 0.7, "high_ft": 1.2, "length_ft": 50.0}
    row |= {"within_ft": 5.0, "gap_ac": 0.0, "doubled_ac": 0.0}
    assert "Stands 1 and 2: 1 foot apart along" in ground.near_lines(pd.DataFrame([row]), frame, "woods")[0]


def mend(*parcels, stands=(), within=15.0, pairs=(), ways=None):
    """Parcels and stands in feet after, and the changes."""
    ways = features() if ways is None else ways
    out = redrawn(drawn("parcel_id", *parcels), drawn("stand_id", *stands), ways, within, list(pairs), region=REGION)
    shapes = [one.geometry.to_crs(CRS).to_numpy() for one in (out.parcels, out.stands)]
    return (*shapes, out)


def corners(shape):
    """Corners of an outline in whole feet, in any turn."""
    return {tuple(round(x) for x in xy) for xy in shapely.get_coordinates(shape)}


def test_two_lines_become_one_midway_by_hand():
    """Corners 4 and 13 ft apart meet 2 and 6.5 ft on; each acre lost there is gained here; done again nothing moves."""
    parcels, _, out = mend(forty(), TWICE)
    assert {(1322, 0), (1326, 1320)} <= corners(parcels[0]) | {(1326, 1320)} and len(corners(parcels[0])) == 4
    assert shapely.get_coordinates(parcels[0])[:, 0].max() == pytest.approx(1326.5, abs=0.01)
    assert shapely.coverage_is_valid(parcels)
    gained = 8.5 / 2 * 1320 / 43560
    assert (out.changes["acres"] - out.changes["acres_before"]).to_numpy() == pytest.approx([gained, gained], abs=1e-3)
    assert out.changes["moved_ft"].to_numpy() == pytest.approx([6.5, 6.5], abs=0.01)
    again = redrawn(out.parcels, out.stands, features(), 15.0, [], region=REGION)
    assert not again.changes["moved_ft"].any() and again.parcels.geometry.geom_equals(out.parcels.geometry).all()


def test_neither_parcel_comes_first():
    """The same outlines in the other order give the same line."""
    one, two = mend(forty(), OVER)[0], mend(OVER, forty())[0]
    assert one[0].equals_exact(two[1], 1e-6, normalize=True) and one[1].equals_exact(two[0], 1e-6, normalize=True)


def test_three_parcels_at_a_corner_meet_in_one_point():
    """Two side by side and a third along the north of both: no ground between, none in two."""
    parcels, _, out = mend(forty(), forty(1328, 6), forty(600, 1331))
    assert shapely.coverage_is_valid(parcels)
    assert set(contacts(out.parcels)["kind"]) == {"edge"} and len(contacts(out.parcels)) == 3


@pytest.mark.parametrize("other", [forty(1386.0), forty(1353.0)])
def test_a_road_stays_however_far_lines_are_drawn_together(other):
    """66 and 33 ft within 100: nothing moves, unless the family says that the pair shares a line."""
    parcels, _, out = mend(forty(), other, within=100.0)
    assert not out.changes["moved_ft"].any()
    parcels, _, out = mend(forty(), other, within=100.0, pairs=[("b", "a")])
    assert shapely.coverage_is_valid(parcels) and contacts(out.parcels)["kind"].tolist() == ["edge"]


def test_a_drawn_brook_stays_and_so_does_a_line_that_is_farther_off_somewhere():
    """4 to 13 ft with a brook between within 15; without it within 10."""
    brook = features(shapely.LineString([(1322, -100), (1325, 1400)]), kind="stream")
    assert not mend(forty(), TWICE, ways=brook)[2].changes["moved_ft"].any()
    assert not mend(forty(), TWICE, within=10.0)[2].changes["moved_ft"].any()


def test_a_corner_that_touches_stays_a_corner():
    """Corners 14 ft apart meet midway, in a point."""
    parcels, _, out = mend(forty(), forty(1330.0, 1330.0))
    assert contacts(out.parcels)["kind"].tolist() == ["corner"]
    assert (1325, 1325) in corners(parcels[0]) & corners(parcels[1])


def test_a_parcel_in_the_hole_of_another_and_lines_of_a_creek():
    """The hole and what lies in it share a ring; two tracings of a winding creek share its line."""
    hole, _, _ = mend(forty(0, 0, 4000, 4000).difference(forty(1000, 1000)), forty(1010, 992))
    assert shapely.coverage_is_valid(hole) and hole[0].interiors[0].equals(hole[1].exterior)
    rng = np.random.default_rng(3)
    y = np.arange(0.0, 1321.0, 40.0)
    banks = [np.c_[1320 + 60 * np.sin(y / 150), y] + rng.normal(0.0, 4.0, (len(y), 2)) for _ in "ab"]
    west = shapely.Polygon([(0, 0), *banks[0], (0, 1320)])
    creek, _, _ = mend(west, shapely.Polygon([(2640, 0), *banks[1], (2640, 1320)]), within=25.0)
    assert shapely.coverage_is_valid(creek) and shapely.is_valid(creek).all()
    assert shapely.length(shapely.intersection(*shapely.boundary(creek))) > 1320


def test_lines_of_stands_go_with_the_lines_of_their_parcels():
    """Two stands that fill the first parcel fill it after too, one drawn short of its line reaches it."""
    stands = [forty(0, 0, 700, 1320), forty(700, 0, 612, 1320), TWICE]
    parcels, grown, out = mend(forty(), TWICE, stands=stands)
    assert shapely.symmetric_difference(shapely.union_all(grown[:2]), parcels[0]).area < 1.0
    assert shapely.symmetric_difference(grown[2], parcels[1]).area < 1.0
    assert shapely.intersection(grown[0], grown[1]).area < 1.0
    assert out.changes["what"].tolist() == ["parcel"] * 2 + ["stand"] * 3


def test_a_draw_of_traced_places_meets_as_the_deeds_say():
    """Nine places traced 5 ft off: all meet as by deed (a few have to be told), none overlaps, acres are nearer."""
    rows = TRIAL["run"](9, 7, (5.0,))
    assert rows["right_traced"].sum() < 9 <= rows["right_told"].sum()
    assert rows["pairs_right_mended"].sum() >= 0.95 * rows["meetings"].sum() and rows["not_whole"].sum() == 0
    assert rows["overlap_ac"].max() < 0.01 < rows["overlap_ac_traced"].max()
    assert rows["off_rms_pct"].mean() < rows["off_rms_pct_traced"].mean() and rows["off_worst_pct"].max() < 2.0
    assert rows["moved_again_ft"].max() < 0.1


def test_a_corner_on_a_long_line_goes_half_of_the_way_and_so_does_the_line():
    """Two forties beside an eighty drawn 10 ft off: its line and their common corner meet 5 ft on."""
    parcels, _, _ = mend(forty(), shapely.box(1330, 0, 2650, 2640), forty(0, 1320))
    assert (1325, 1320) in corners(parcels[0]) & corners(parcels[1]) & corners(parcels[2])
    assert shapely.coverage_is_valid(parcels)


def test_a_corner_of_four_does_not_pull_a_lane_shut():
    """Three forties meet in a corner, the fourth lies over a lane of 33 ft: it meets its neighbor, the lane stays."""
    north_east = shapely.Polygon([(1328, 1335), (2650, 1326), (2640, 2640), (1330, 2640)])
    over_the_lane = shapely.box(0, 1353, 1320, 2633)
    parcels, _, out = mend(forty(), TWICE, north_east, over_the_lane, within=20.0)
    assert {(r.parcel_a, r.parcel_b, r.kind) for r in contacts(out.parcels).itertuples()} == {
        ("a", "b", "edge"),
        ("a", "c", "corner"),
        ("b", "c", "edge"),
        ("c", "d", "edge"),
    }
    assert shapely.distance(parcels[0], parcels[3]) > 20.0 and shapely.bounds(parcels[3])[1] == pytest.approx(
        1353, abs=0.1
    )

"""Stands laid out on parcels: working acres, letters, and lines that do not fit."""

import geopandas as gpd
import numpy as np
import pytest
import shapely

from woodlot.errors import InputError
from woodlot.land.parcels import local_crs
from woodlot.region import shipped
from woodlot.say import ground
from woodlot.stand.layout import lay_out, problems


def box(east=0.0, north=0.0, wide=660.0, high=660.0):
    """A rectangle in feet from the corner of the place, as longitude and latitude (660 x 660 ft is 10 acres)."""
    shape = shapely.box(east, north, east + wide, north + high)
    return gpd.GeoSeries([shape], crs=local_crs((-90.0, 46.2))).to_crs(4326).iloc[0]


def frame(shapes, **columns):
    """A GeoDataFrame in degrees."""
    return gpd.GeoDataFrame(columns, geometry=list(shapes), crs=4326)


PARCELS = frame([box(wide=1320, high=1320), box(east=1320, wide=1320, high=1320)], parcel_id=["west", "east"])
NOTHING = frame([], kind=[])


def stands(shapes, **columns):
    """Stands 1, 2 ... without a parcel, oak."""
    told = {"stand_id": [str(i + 1) for i in range(len(shapes))], "cover": ["oak"] * len(shapes)}
    return frame(shapes, **(told | columns))


def test_home_ground_and_water_come_off_the_working_acres_by_hand():
    """10 acres less a yard of 132 x 330 ft (1 acre) and a pond of 132 x 330 ft (1 acre): 8."""
    features = frame(
        [box(wide=132, high=330), box(east=132, wide=132, high=330)],
        kind=["home_ground", "lake"],
    )
    told = lay_out(stands([box()]), PARCELS, features, region=shipped("base")).iloc[0]
    assert [told.gross_ac, told.home_ground_ac, told.water_ac, told.acres] == pytest.approx([10, 1, 1, 8], abs=1e-3)


def test_ground_that_is_yard_and_water_is_taken_off_once_by_hand():
    """A pond that lies half in the yard: yard 1 acre, water the other half acre, 8.5 acres left."""
    features = frame(
        [box(wide=132, high=330), box(east=66, wide=132, high=330)],
        kind=["home_ground", "lake"],
    )
    told = lay_out(stands([box()]), PARCELS, features, region=shipped("base")).iloc[0]
    assert [told.home_ground_ac, told.water_ac, told.acres] == pytest.approx([1, 0.5, 8.5], abs=1e-3)


def test_lines_and_points_take_nothing_off():
    """A stream drawn as a line, a landing and a house drawn as points have no acres."""
    line = shapely.LineString([box().bounds[:2], box().bounds[2:]])
    features = frame(
        [line, shapely.centroid(box()), shapely.centroid(box())], kind=["stream", "landing", "home_ground"]
    )
    told = lay_out(stands([box()]), PARCELS, features, region=shipped("base")).iloc[0]
    assert told.acres == told.gross_ac == pytest.approx(10.0, abs=1e-3)


def test_a_stream_with_banks_is_water_by_hand():
    """66 x 660 ft of river is 1 acre."""
    told = lay_out(stands([box()]), PARCELS, frame([box(wide=66)], kind=["stream"]), region=shipped("base")).iloc[0]
    assert told.water_ac == pytest.approx(1.0, abs=1e-3)


def test_a_stand_that_is_all_yard_has_no_working_acres():
    """Never less than none."""
    told = lay_out(
        stands([box()]), PARCELS, frame([box(-10, -10, 700, 700)], kind=["home_ground"]), region=shipped("base")
    ).iloc[0]
    assert told.acres == pytest.approx(0.0, abs=1e-9) and told.acres >= 0


def test_the_parcel_is_found_by_where_most_of_the_stand_lies():
    """Given ones stay where they hold part of it; empty ones go where most of it lies; outside all they stay empty."""
    shapes = [box(), box(east=900), box(east=1200), box(east=9000), box()]
    told = lay_out(
        stands(shapes, parcel_id=["west", None, "west", " ", np.nan]), PARCELS, NOTHING, region=shipped("base")
    )
    assert told["parcel_id"].fillna("-").tolist() == ["west", "west", "west", "-", "west"]
    assert lay_out(stands([box()]), PARCELS, NOTHING, region=shipped("base"))["parcel_id"].tolist() == ["west"]


def test_a_parcel_that_is_not_there_is_refused():
    """The stand's parcel must be one of the parcels."""
    with pytest.raises(InputError, match="north"):
        lay_out(stands([box()], parcel_id=["north"]), PARCELS, NOTHING, region=shipped("base"))


def test_letters_of_the_covers():
    """Covers have letters, capitals and blanks do not matter; one that goes as another has its letter, others ?."""
    covers = [
        "northern hardwoods",
        "Oak ",
        "aspen and birch",
        "pine",
        "spruce and fir",
        "cedar swamp",
        "low, wet hardwoods",
        "brush and openings",
        "field and grass",
        "marsh and bog",
        "not woods",
        "hemlock",
        "spruce and tamarack swamp",
        "oak, uneven-aged",
        "bog",
        None,
    ]
    told = lay_out(stands([box()] * len(covers), cover=covers), PARCELS, NOTHING, region=shipped("base"))
    assert "".join(told["letter"]) == "HOAPSCLBFMNETO??"


def test_ground_not_to_be_worked_is_counted_but_not_operable():
    """Acres stay, operable acres are 0; an empty cell means it may be worked."""
    shapes = [box(), box(east=660), box(north=660)]
    told = lay_out(stands(shapes, operable=[True, False, None]), PARCELS, NOTHING, region=shipped("base"))
    assert told["acres"].to_numpy() == pytest.approx([10, 10, 10], abs=1e-3)
    assert told["operable_ac"].to_numpy() == pytest.approx([10, 0, 10], abs=1e-3)


def test_two_halves_make_the_whole():
    """Cutting a stand in two changes no acre."""
    features = frame([box(200, 100, 300, 300)], kind=["lake"])
    whole = lay_out(stands([box()]), PARCELS, features, region=shipped("base"))["acres"].sum()
    halves = lay_out(stands([box(wide=330), box(east=330, wide=330)]), PARCELS, features, region=shipped("base"))[
        "acres"
    ].sum()
    assert halves == pytest.approx(whole, abs=1e-6)


def test_problems_by_hand():
    """Every kind of misfit with its acres.

    Stands 1 and 2 overlap by 66 x 660 ft (1.0 ac); stand 3 hangs 660 ft out of the east parcel (10 ac of 20); stand 4
    says it is in the west parcel but 5 of its 10 acres lie in the east one; the west parcel has 40 - 19 - 5 = 16 acres
    in no stand, the east one 40 - 5 - 10 = 25.
    """
    shapes = [
        box(),
        box(north=594),
        box(east=1980, wide=1320),
        box(east=990, north=660),
    ]
    told = problems(stands(shapes, parcel_id=[None, None, None, "west"]), PARCELS, NOTHING)
    found = {(r.kind, r.a, r.b): round(r.acres, 2) for r in told.itertuples()}
    assert found == {
        ("stands overlap", "1", "2"): 1.0,
        ("outside parcels", "3", ""): 10.0,
        ("in another parcel", "4", "east"): 5.0,
        ("in no stand", "west", ""): 16.0,
        ("in no stand", "east", ""): 25.0,
    }
    assert ground.problems(told) == [
        "Stands 1 and 2 overlap by 1.0 acres; that ground counts once, half for each.",
        "10.0 acres of stand 3 lie outside every parcel.",
        "5.0 acres of stand 4 lie in parcel east, which is not its own; split the stand at the line.",
        "25.0 acres of parcel east are in no stand, and nothing is counted there.",
        "16.0 acres of parcel west are in no stand, and nothing is counted there.",
    ]


def test_parcels_that_overlap_are_told():
    """Two deeds for one acre: 66 x 660 ft."""
    parcels = frame([box(), box(east=594)], parcel_id=["a", "b"])
    told = problems(stands([box(), box(east=660, wide=594)]), parcels, NOTHING)
    assert told[["kind", "a", "b"]].values.tolist() == [["parcels overlap", "a", "b"]]
    assert ground.problems(told) == [
        "Parcels a and b overlap by 1.0 acres; that ground counts once, half for each. Find out whose it is."
    ]
    assert told["acres"][0] == pytest.approx(1.0, abs=1e-3)


def test_yard_and_water_are_no_gap():
    """What no stand covers because it is a yard or a lake is not missed."""
    parcels = frame([box()], parcel_id=["a"])
    half, rest = box(wide=330), box(east=330, wide=330)
    assert len(problems(stands([half]), parcels, frame([rest], kind=["lake"]))) == 0
    assert len(problems(stands([half]), parcels, NOTHING)) == 1


def test_small_slivers_are_left_unsaid():
    """A sliver of .07 acre is under a tenth and over a hundredth."""
    parcels = frame([box()], parcel_id=["a"])
    sliver = stands([box(wide=655)])
    assert len(problems(sliver, parcels, NOTHING)) == 0
    assert problems(sliver, parcels, NOTHING, tolerance_ac=0.01)["acres"].tolist() == pytest.approx([0.0758], abs=1e-3)
    with pytest.raises(InputError):
        problems(sliver, parcels, NOTHING, tolerance_ac=-1)


def test_a_stand_drawn_twice_is_told_whole():
    """The same outline under two names overlaps with all its acres, one inside another with the inner ones."""
    told = problems(stands([box(), box(), box(100, 100, 132, 330)]), PARCELS, NOTHING)
    overlaps = told[told["kind"] == "stands overlap"]
    assert overlaps["acres"].to_numpy() == pytest.approx([10.0, 1.0, 1.0], abs=1e-3)


def test_a_stand_that_only_runs_along_a_line_is_in_no_parcel():
    """10 acres that share the east line, drawn 1 ft over it (0.15 % of it), are held by no parcel; 66 ft (10 %) are."""
    told = lay_out(stands([box(east=2639), box(east=2640), box(east=2574)]), PARCELS, NOTHING, region=shipped("base"))
    assert told["parcel_id"].tolist() == [None, None, "east"]


def test_a_stand_wholly_outside_is_said_with_acres_and_what_to_do():
    """One that names no parcel stands in no parcel's number, one that names one is said to; part is part."""
    shapes = [box(east=9000), box(north=9000), box(east=2310)]
    told = problems(stands(shapes, parcel_id=[None, "west", None]), PARCELS, NOTHING)
    told = told[told["kind"] == "outside parcels"]
    said = dict(zip(told["a"], ground.problems(told), strict=True))
    mend = "Mend its outline, or draw its parcel."
    lie = "All 10.0 acres of stand {} lie outside every parcel"
    assert said["1"] == f"{lie.format(1)}, so no parcel's number holds them. {mend}"
    assert said["2"] == f"{lie.format(2)}, also the one it names, so no parcel's number holds them. {mend}"
    assert said["3"] == "5.0 acres of stand 3 lie outside every parcel."


def test_ground_in_two_stands_is_worked_once_by_hand():
    """Two stands over each other by 66 x 660 ft (1 acre), of which 66 x 330 ft is pond: 10 - .5 pond - .25 each."""
    pond = frame([box(east=594, wide=66, high=330)], kind=["lake"])
    told = lay_out(stands([box(), box(east=594)]), PARCELS, pond, region=shipped("base"))
    assert told["acres"].to_numpy() == pytest.approx([9.25, 9.25], abs=1e-3)
    assert told["gross_ac"].to_numpy() == pytest.approx([10.0, 10.0], abs=1e-3)


def test_a_stand_that_does_not_lie_in_the_parcel_it_names_is_counted_where_it_lies():
    """In the other parcel, or in none: its place goes before its cell, and it is said once with what to write."""
    some = stands([box(), box(east=9000)], parcel_id=["east", "west"])
    laid = lay_out(some, PARCELS, NOTHING, region=shipped("base"))
    assert laid["parcel_id"].tolist() == ["west", None]
    told = problems(some, PARCELS, NOTHING)
    told = told[told["a"].isin(["1", "2"])]
    assert ground.problems(told) == [
        "All 10.0 acres of stand 2 lie outside every parcel, also the one it names, so no parcel's number holds them. "
        "Mend its outline, or draw its parcel.",
        "Stand 1 does not lie in the parcel it names; 10.0 acres of it lie in parcel west, and it is counted there. "
        "Write west in its parcel_id, or mend its outline.",
    ]

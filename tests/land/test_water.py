"""Strips along water: printed widths, geometry by hand, acres taken off once."""

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import rasterio
import shapely
from rasterio.transform import from_origin

from woodlot.errors import InputError
from woodlot.land import terrain, water
from woodlot.region import shipped
from woodlot.say import ground


def placed(shapes, **columns):
    """Shapes in feet on a map around one place -> a frame in longitude and latitude."""
    plane = "+proj=tmerc +lat_0=46.2 +lon_0=-90.4 +datum=WGS84 +units=ft"
    return gpd.GeoDataFrame(columns, geometry=list(shapes), crs=plane).to_crs(4326)


@pytest.fixture
def forty():
    """A forty of 1,320 feet with a stream from west to east through its middle and stands north and south of it."""
    parcels = placed([shapely.box(-660, -660, 660, 660)], parcel_id=["a"])
    stands = placed(
        [shapely.box(-660, 0, 660, 660), shapely.box(-660, -660, 660, 0)],
        stand_id=["n", "s"],
        cover=["oak", "cedar swamp"],
        acres=[20.0, 20.0],
        operable=[True, True],
        frozen_ground_only=[False, False],
    )
    features = placed([shapely.LineString([(-900, 0), (900, 0)])], kind=["stream"], name=["Mill creek"])
    return parcels, stands, features


def test_filter_strip_as_printed():
    """50 ft for 0 to 10 %, plus 2 ft per 1 % above: 15 % -> 60 ft. Source: Minnesota guidelines."""
    assert water.filter_strip_ft(15.0, region=shipped("base")) == 60.0
    assert water.filter_strip_ft(np.array([0.0, 10.0, 35.0]), region=shipped("base")).tolist() == [50.0, 50.0, 100.0]
    told = water.filter_strip_ft(pd.Series([20.0], index=["x"]), region=shipped("base"))
    assert told["x"] == 70.0
    with pytest.raises(InputError):
        water.filter_strip_ft(-1.0, region=shipped("base"))


@pytest.mark.parametrize(
    ("state", "system", "kind", "feet"),
    [
        ("minnesota", "even", "stream over 10 ft", 100),
        ("minnesota", "uneven", "stream over 10 ft", 200),
        ("minnesota", "uneven", "stream 3 to 10 ft", 100),
        ("minnesota", "even", "stream under 3 ft", 50),
        ("minnesota", "even", "trout water", 150),
        ("minnesota", "uneven", "trout water", 200),
        ("minnesota", "even", "lake under 10 ac", 50),
        ("wisconsin", "uneven", "lake 10 ac and larger", 100),
        ("wisconsin", "even", "stream under 3 ft", 35),
        ("eastern states", "even", "stream 3 to 10 ft", 50),
    ],
)
def test_strip_rules_as_printed(state, system, kind, feet):
    """Widths. Sources: Minnesota guidelines, Wisconsin practices, review of 37 eastern states."""
    assert water.strip_rules(state, system, region=shipped("base")).loc[kind, "strip_ft"] == feet


def test_marks_are_carried_and_an_unnamed_state_is_said():
    """Michigan's width is from memory, Wisconsin's read; without a state the region's is used and said."""
    assert (water.strip_rules("michigan", region=shipped("base"))["seen"] == "memory").all()
    assert (water.strip_rules("wisconsin", region=shipped("base"))["seen"] == "read").all()
    usual = water.strip_rules(region=shipped("lake_states"))
    assert usual["why_state"].str.contains("no state is named").all() and (usual["state"] == "wisconsin").all()
    assert (water.strip_rules(region=shipped("base"))["state"] == "eastern states").all()
    with pytest.raises(InputError, match="strips of 'atlantis': Must be"):
        water.strip_rules("atlantis", region=shipped("base"))


def test_a_strip_on_level_ground_by_hand(forty):
    """100 ft each side of 1,320 ft of stream: 264,000 sq ft = 6.06 ac, half in each stand."""
    parcels, stands, features = forty
    found = water.strips(parcels, features, state="wisconsin", region=shipped("base"))
    assert found["acres"].tolist() == pytest.approx([264_000 / 43_560], rel=1e-4)
    row = found.iloc[0]
    assert (row["class_from"], row["slope_from"], row["water"]) == ("assumed", "taken as level", "stream 3 to 10 ft")
    told = water.workable(stands, features, found, region=shipped("base"))
    assert told["strip_ac"].tolist() == pytest.approx([132_000 / 43_560] * 2, rel=1e-4)
    assert told["workable_ac"].tolist() == pytest.approx([20 - 132_000 / 43_560] * 2, rel=1e-4)
    assert told["wet"].tolist() == [False, True]
    first, second = told.to_dict("records")
    unknown = "steep ground is not known without a raster of heights"
    assert ground.workable(first, True) == "3.0 acres along water are left out."
    assert ground.workable(second, False) == (
        f"3.0 acres along water are left out; the ground carries only when frozen; {unknown}."
    )
    assert ground.workable(first | {"strip_ac": 0.04, "steep_ac": 2.0}, True) == "2.0 acres are too steep for skidding."
    assert ground.workable(first | {"strip_ac": 0.0}, True) == ""


def test_limits_are_taken_off_once(forty):
    """Ground that is a strip and steep is off the acres once."""
    parcels, stands, features = forty
    found = water.strips(parcels, features, state="wisconsin", region=shipped("base"))
    steep = found[["parcel_id", "geometry"]].assign(acres=found["acres"])
    both = water.workable(stands, features, found, steep, region=shipped("base"))
    assert both["both_ac"].tolist() == pytest.approx(both["strip_ac"].tolist())
    assert both["workable_ac"].tolist() == pytest.approx((20 - both["strip_ac"]).tolist())


def test_classes_follow_what_the_features_tell(forty):
    """Width, trout, intermittent and a named class each change the class; a wrong name is refused."""
    _, _, features = forty
    for columns, kind in (
        ({"width_ft": 2}, "stream under 3 ft"),
        ({"width_ft": 2, "intermittent": "yes"}, "intermittent under 3 ft"),
        ({"width_ft": 10}, "stream 3 to 10 ft"),
        ({"width_ft": 11}, "stream over 10 ft"),
        ({"trout": True}, "trout water"),
        ({"water": "stream over 10 ft"}, "stream over 10 ft"),
    ):
        told = water.classes(features.assign(**columns), region=shipped("base")).iloc[0]
        assert told.tolist() == [kind, "written"]
    pond = placed([shapely.box(0, 0, 600, 600)], kind=["lake"], name=["pond"])
    lake = placed([shapely.box(0, 0, 900, 600)], kind=["lake"], name=["lake"])
    assert water.classes(pond, region=shipped("base"))["water"].tolist() == ["lake under 10 ac"]
    assert water.classes(lake, region=shipped("base"))["water"].tolist() == ["lake 10 ac and larger"]
    with pytest.raises(InputError, match="no class of water"):
        water.classes(features.assign(water="brook"), region=shipped("base"))


def test_a_lake_has_its_strip_outside_and_no_water_in_it():
    """By hand: a round lake of 300 ft in a large parcel, 100 ft around: pi x (400^2 - 300^2) = 219,911 sq ft."""
    parcels = placed([shapely.box(-900, -900, 900, 900)], parcel_id=["a"])
    lake = placed([shapely.Point(0, 0).buffer(300, quad_segs=90)], kind=["lake"], name=["Round"])
    found = water.strips(parcels, lake, state="wisconsin", region=shipped("base"))
    assert found["acres"].tolist() == pytest.approx([np.pi * (400**2 - 300**2) / 43_560], rel=1e-3)


def test_on_a_slope_the_strip_is_wider_by_rule_and_narrower_on_the_map(tmp_path, forty):
    """By hand: at 60 % the filter strip is 50 + 2 x 50 = 150 ft on the slope, 150 / sqrt(1.36) = 128.6 on the map."""
    parcels, _, features = forty
    x0, y0 = gpd.GeoSeries([shapely.Point(-90.4, 46.2)], crs=4326).to_crs(26915).iloc[0].coords[0]
    rows = np.arange(120)[:, None] * np.ones((1, 120))
    file = tmp_path / "slope.tif"
    with rasterio.open(
        file,
        "w",
        driver="GTiff",
        count=1,
        height=120,
        width=120,
        dtype="float64",
        crs="EPSG:26915",
        transform=from_origin(x0 - 600, y0 + 600, 10, 10),
    ) as out:
        out.write(rows * 6.0, 1)
    row = water.strips(parcels, features, file, state="wisconsin", region=shipped("base")).iloc[0]
    assert row["slope_pct"] == pytest.approx(60, abs=0.2) and row["slope_from"] == "raster"
    assert row["strip_ft"] == pytest.approx(150, abs=0.5) and row["wide_ft"] == pytest.approx(128.6, abs=0.5)
    steep = terrain.steep(parcels, file, region=shipped("base"))
    assert steep["acres"].sum() == pytest.approx(40.0, rel=0.01) and steep["over_pct"].tolist() == [35.0]


def test_no_water_no_strips(forty):
    """Nothing to draw gives an empty frame with all its columns, and acres untouched."""
    parcels, stands, features = forty
    none = water.strips(parcels, features.assign(kind="road"), region=shipped("base"))
    assert len(none) == 0 and {"strip_ft", "acres", "class_from"} <= set(none.columns)
    assert water.workable(stands, features, none, region=shipped("base"))["workable_ac"].tolist() == [20.0, 20.0]

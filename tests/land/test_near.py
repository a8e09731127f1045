"""Distances from stands, straight and over the ground, each said which; no distance by road is made up."""

import geopandas as gpd
import numpy as np
import pytest
import rasterio
import shapely
from rasterio.transform import from_origin

from woodlot.errors import InputError
from woodlot.land import near, terrain
from woodlot.region import shipped
from woodlot.say.ground import distance

PLANE = "+proj=tmerc +lat_0=46.2 +lon_0=-90.4 +datum=WGS84 +units=ft"


def placed(shapes, **columns):
    """Shapes in feet around one place."""
    return gpd.GeoDataFrame(columns, geometry=list(shapes), crs=PLANE).to_crs(4326)


@pytest.fixture
def ground():
    """A square stand of 200 ft, a road 300 ft north of its middle, a landing 400 ft east and 300 north, a creek."""
    stands = placed([shapely.box(-100, -100, 100, 100)], stand_id=["1"])
    features = placed(
        [
            shapely.LineString([(-900, 300), (900, 300)]),
            shapely.Point(400, 300),
            shapely.LineString([(-900, -1000), (900, -1000)]),
        ],
        kind=["road", "landing", "stream"],
        name=["Town road", None, "creek"],
    )
    return stands, features


def test_straight_distances_by_hand(ground):
    """Road 300 ft from the middle, 200 from the edge; landing sqrt(400^2 + 300^2) = 500; creek 1,000; home 2 mi."""
    stands, features = ground
    home = gpd.GeoSeries([shapely.Point(0, -10_560)], crs=PLANE).to_crs(4326).iloc[0]
    found = near.distances(stands, features, (home.x, home.y), region=shipped("base")).set_index("to")
    assert found["straight_ft"].to_dict() == pytest.approx(
        {"road": 300, "landing": 500, "water": 1_000, "home": 10_560}, rel=1e-5
    )
    assert found.loc["road", "edge_ft"] == pytest.approx(200, rel=1e-5)
    assert (found["how"] == "straight").all() and found["surface_ft"].isna().all()
    assert distance(found.loc["road"].to_dict() | {"to": "road"}) == "300 feet to Town road, in a straight line."
    assert distance(found.loc["home"].to_dict() | {"to": "home"}) == "2.0 miles to home, in a straight line."


def test_over_the_ground_by_hand(tmp_path, ground):
    """Ground that rises 30 ft in 100 to the north: from the road 300 ft are 300 x sqrt(1.09) = 313.2, 90 ft down."""
    stands, features = ground
    x0, y0 = gpd.GeoSeries([shapely.Point(-90.4, 46.2)], crs=4326).to_crs(26915).iloc[0].coords[0]
    rows = np.arange(200)[:, None] * np.ones((1, 200))
    file = tmp_path / "rise.tif"
    with rasterio.open(
        file,
        "w",
        driver="GTiff",
        count=1,
        height=200,
        width=200,
        dtype="float64",
        crs="EPSG:26915",
        transform=from_origin(x0 - 500, y0 + 500, 5, 5),
    ) as out:
        out.write(500 - rows * 1.5, 1)
    road = near.distances(stands, features, elevation=file, region=shipped("base")).set_index("to").loc["road"]
    assert road["how"] == "over the ground"
    assert road["surface_ft"] == pytest.approx(300 * np.sqrt(1.09), rel=2e-3)
    assert road["drop_ft"] == pytest.approx(90, abs=0.5) and road["climb_ft"] == pytest.approx(0, abs=0.2)
    assert road["steepest_pct"] == pytest.approx(30, abs=0.3)
    told = distance(road.to_dict() | {"to": "road"})
    assert told == "310 feet to Town road, straight over the ground, 90 feet down and 0 up coming from there."
    off = gpd.GeoSeries(placed([shapely.LineString([(0, 0), (0, 9_000)])]).geometry)
    assert terrain.profiles(off, file, region=shipped("base"))["surface_ft"].isna().all()


def test_nothing_to_go_to_and_a_wrong_home(ground):
    """Without features an empty frame with its columns; a home with latitude first is refused."""
    stands, features = ground
    assert list(near.distances(stands, features[:0], region=shipped("base")).columns)[-1:] == ["how"]
    with pytest.raises(InputError, match="longitude, latitude"):
        near.distances(stands, features, (46.2, -190.4), region=shipped("base"))

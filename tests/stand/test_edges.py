"""Trees lost at edges: the formula by hand and by simulation, what an edge is, which plots lose nothing."""

import runpy
from pathlib import Path

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely

from woodlot.land.parcels import local_crs
from woodlot.region import shipped
from woodlot.stand.edges import circle_beyond, lost_by_plot, open_edges, reach_ft, share_lost
from woodlot.stand.layout import ground_of
from woodlot.stand.plot_times import plot_times
from woodlot.stand.plots import expand, means, plot_sums

REGION = shipped("base")
TRIAL = runpy.run_path(str(Path(__file__).parents[1] / "trials" / "edges_of_stands.py"))
PLANE = local_crs((-90.0, 46.0))
#: Sides of a stand of 10 acres [ft].
LONG, WIDE = 1320.0, 330.0


def ground(*boxes, covers=None, features=()):
    """Stands "1", "2" ... of boxes in feet, as degrees, and features (kind, box)."""
    shapes = gpd.GeoSeries([shapely.box(*one) for one in boxes], crs=PLANE).to_crs(4326)
    names = [str(k + 1) for k in range(len(boxes))]
    cover = covers or ["northern hardwoods"] * len(boxes)
    stands = gpd.GeoDataFrame({"stand_id": names, "cover": cover}, geometry=shapes.tolist(), crs=4326)
    marks = gpd.GeoSeries([shapely.box(*one) for _, one in features], crs=PLANE).to_crs(4326)
    kinds = [kind for kind, _ in features]
    return stands, gpd.GeoDataFrame({"kind": kinds}, geometry=marks.tolist(), crs=4326)


def cruise(*plots, inches=13.2, kind="prism", spots=None):
    """Plots (name, stand) of factor 10 or 24 ft, one tree on each; spots: their places in feet."""
    visited = pd.DataFrame(list(plots), columns=["plot_id", "stand_id"]).assign(kind=kind)
    visited["baf_sqft_per_ac"] = 10.0 if kind == "prism" else np.nan
    visited["radius_ft"] = np.nan if kind == "prism" else 24.0
    if spots is not None:
        at = gpd.GeoSeries(gpd.points_from_xy(*zip(*spots, strict=True)), crs=PLANE).to_crs(4326)
        visited["lon"], visited["lat"] = at.x.to_numpy(), at.y.to_numpy()
    return visited, pd.DataFrame({"plot_id": visited["plot_id"], "species": "sugar maple", "dbh_in": inches})


def lost(stands, features, visited, tallied):
    """Share that each plot loses, in their order."""
    return lost_by_plot(stands, ground_of(stands, features, REGION), visited, tallied, region=REGION).to_numpy()


def test_share_lost_by_hand():
    """1320 x 330 ft, reach 36.3: 2/(3 pi) x 36.3 x 3300/435,600 = .058357; .2122 in place of 2/(3 pi): .058355."""
    assert float(share_lost(36.3, 3300, LONG * WIDE)) == pytest.approx(0.058355, abs=2.5e-6)
    assert float(share_lost(36.3, 400, 100.0)) == 0.5  # a straight edge takes no more


def test_a_circle_over_an_edge_by_hand():
    """Half on the edge; at half the reach arccos(.5)/pi - .5 sqrt(.75)/pi = .19550; none from the reach on."""
    told = circle_beyond([0.0, 20.0, 40.0, 90.0], 40.0)
    assert told == pytest.approx([0.5, 1 / 3 - np.sqrt(0.1875) / np.pi, 0.0, 0.0])
    middle = circle_beyond((np.arange(10_000) + 0.5) / 10_000, 1.0).mean()
    assert middle == pytest.approx(2 / (3 * np.pi), rel=1e-6)


@pytest.mark.parametrize(
    ("acres", "long", "reach", "simulated"),
    [
        (2.5, 1, 44.7, 10.9),
        (5, 1, 42.5, 8.0),
        (10, 1, 42.2, 5.6),
        (20, 1, 42.9, 4.0),
        (40, 1, 42.7, 2.8),
        (10, 4, 43.0, 7.0),
        (20, 4, 42.8, 5.0),
    ],
)
def test_the_formula_beside_cruises_simulated_apart(acres, long, reach, simulated):
    """Per cent that made-up cruises by other code lost: within 6 % of it."""
    wide = np.sqrt(acres * 43560 / long)
    told = 100 * float(share_lost(reach, 2 * (1 + long) * wide, acres * 43560))
    assert told == pytest.approx(simulated, rel=0.06)


@pytest.mark.parametrize(("acres", "long"), [(5.0, 1.0), (20.0, 4.0)])
def test_a_small_draw_of_the_trial(acres, long):
    """Points anywhere lose what the formula says within 15 %; told so, the cruise is near; not told, half is left."""
    one = TRIAL["lost"](acres, long, woods=8, points=150)
    assert one.counted == pytest.approx(one.formula, rel=0.15)
    assert abs(one.told) < 0.15 * one.formula
    assert one.not_told == pytest.approx(one.counted - one.formula / 2, abs=0.3)


def test_reach_is_the_mean_of_tallied_trees():
    """Factor 10, 2.75 ft an inch: 10 in twice and 16 in: 33; counted trees go by all stands, fixed plots by radius."""
    visited, tallied = cruise(("a", "1"), ("b", "1"), ("c", "2"), ("d", "3"))
    visited.loc[3, ["kind", "baf_sqft_per_ac", "radius_ft"]] = ["fixed", np.nan, 37.0]
    tallied = tallied.assign(dbh_in=[10.0, 16.0, np.nan, 4.0], count=[2, 1, 5, 1])
    told = reach_ft(visited, tallied)
    assert told["1"] == pytest.approx(33.0, abs=0.01) and told["3"] == 37.0
    assert told["2"] == pytest.approx((3 * 33.0 + 37.0) / 4, abs=0.01)
    assert (reach_ft(visited, tallied.assign(dbh_in=np.nan).iloc[:3]) == 0.0).all()


def test_a_line_between_two_stands_of_woods_is_no_edge():
    """Two squares of 660 ft side by side: each has three sides; a field beside it is ground without woods."""
    side = 660.0
    stands, none = ground((0, 0, side, side), (side + 8, 0, 2 * side, side))
    shapes = stands.to_crs(PLANE).geometry.to_numpy()
    three = shapely.length(open_edges(shapes, np.array([0]), 15.0))
    assert three[0] == pytest.approx(3 * side, abs=16)
    visited, tallied = cruise(("a", "1"))
    woods = lost(stands, none, visited, tallied)[0]
    apart, _ = ground((0, 0, side, side), (side + 40, 0, 2 * side, side))
    field, _ = ground((0, 0, side, side), (side + 8, 0, 2 * side, side), covers=["northern hardwoods", "not woods"])
    alone = float(share_lost(36.3, 4 * side, side**2))
    assert woods == pytest.approx(0.75 * alone, rel=0.01)
    assert lost(apart, none, visited, tallied)[0] == pytest.approx(alone, rel=1e-3)
    assert lost(field, none, visited, tallied)[0] == pytest.approx(alone, rel=1e-3)


def test_a_lake_in_a_stand_is_an_edge_and_off_its_ground():
    """660 ft square with a pond of 200 ft: edge 2640 + 800, ground 435,600 - 40,000."""
    stands, pond = ground((0, 0, 660, 660), features=[("lake", (200, 200, 400, 400))])
    told = lost(stands, pond, *cruise(("a", "1")))[0]
    assert told == pytest.approx(float(share_lost(36.3, 3440, 395_600)), rel=1e-3)


def test_a_plot_whose_place_is_known_loses_by_its_way_to_the_edge():
    """On the edge half, 20 ft in a little, in the middle nothing; one off its stand counts as anywhere."""
    stands, none = ground((0, 0, LONG, WIDE))
    four = cruise(
        *((name, "1") for name in "abcd"), spots=[(600.0, 0.5), (600.0, 20.0), (600.0, 165.0), (600.0, -60.0)]
    )
    edge, near, middle, off = lost(stands, none, *four)
    assert edge == pytest.approx(0.5, abs=0.01)
    assert near == pytest.approx(float(circle_beyond(20.0, 36.3)), abs=0.002)
    assert middle == 0.0
    assert off == pytest.approx(0.058357, rel=1e-3)


def test_plots_by_the_name_of_those_laid_out_lose_nothing_where_there_is_room():
    """1-1 is laid out 66 ft off the edge where there is room for that; none in a strip of 200 ft; 2-1 is another."""
    roomy, none = ground((0, 0, 990, 990))
    narrow, _ = ground((0, 0, 2000, 200))
    named, other = cruise(("1-1", "1"), ("1-12", "1")), cruise(("2-1", "1"), ("1-a", "1"))
    assert lost(roomy, none, *named).tolist() == [0.0, 0.0]
    assert (lost(roomy, none, *other) > 0.02).all()
    assert (lost(narrow, none, *named) > 0.05).all()


def test_fixed_plots_lose_by_their_radius():
    """A circle of 24 ft beyond the edge counts nothing there either."""
    stands, none = ground((0, 0, LONG, WIDE))
    told = lost(stands, none, *cruise(("a", "1"), kind="fixed"))[0]
    assert told == pytest.approx(float(share_lost(24.0, 3300, LONG * WIDE)), rel=1e-3)


def test_edges_of_a_real_stem_map_are_made_good(longleaf):
    """10,000 points amid 584 mapped pines, no second counts: over 3 % low; told so within 2 %, half of it not told.

    9.884 acres, a square of 656 ft.
    """
    side = 200.0 / 0.3048
    rng = np.random.default_rng(3)
    x, y = rng.uniform(0.0, side, (2, 10_000))
    far = np.hypot(longleaf["x_ft"].to_numpy() - x[:, None], longleaf["y_ft"].to_numpy() - y[:, None])
    point, stem = np.nonzero(far <= 2.75 * longleaf["dbh_in"].to_numpy())
    names = np.arange(len(x)).astype(str)
    visited = pd.DataFrame({"plot_id": names, "stand_id": "1", "kind": "prism", "baf_sqft_per_ac": 10.0})
    tallied = pd.DataFrame({"plot_id": names[point], "species": "longleaf pine"})
    tallied["dbh_in"] = longleaf["dbh_in"].to_numpy()[stem]
    stands, none = ground((0, 0, side, side), covers=["pine"])
    read = {}
    for edges in ("kept off", "nothing done", None):
        times = plot_times(stands, none, visited, tallied, edges=edges, prisms=[], region=REGION).times
        sums = plot_sums(visited, expand(visited, tallied, times), ["basal_sqft_per_ac"])
        read[edges] = float(means(sums)["mean"].iloc[0]) / 52.75
    assert read["kept off"] < 0.97
    assert read["nothing done"] == pytest.approx(1.0, abs=0.02)
    assert read[None] == pytest.approx((read["kept off"] + read["nothing done"]) / 2, abs=0.003)

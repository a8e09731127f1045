"""Where plots go: every spot the same chance, all of the stand, off edge and water, apart; checked over many starts."""

from functools import cache
from itertools import pairwise, permutations

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely
from scipy.spatial import cKDTree

from woodlot.land import walk
from woodlot.land.parcels import local_crs
from woodlot.region import shipped
from woodlot.stand import cruise
from woodlot.stand.first_plots import ground_for_plots, plots_in_stand, points_in
from woodlot.stand.weekend import _Block

REGION = shipped("lake_states")
NONE = gpd.GeoDataFrame({"kind": [], "name": []}, geometry=[], crs="EPSG:3857")
BARE = {"features": NONE, "strips": NONE, "home": None}
SPACING_FT = REGION.figure("defaults_stand", "plot_spacing_ft")
SQUARE = shapely.box(0, 0, 1320, 1320)
LOBES = shapely.union_all(
    [shapely.box(0, 0, 600, 900), shapely.box(1500, 200, 2300, 700), shapely.box(600, 400, 1500, 460)]
)
POND = shapely.Point(660, 660).buffer(400)
STANDS = {
    "square": SQUARE,
    "long and thin": shapely.box(0, 0, 2600, 220),
    "two lobes": LOBES,
    "a ring round a pond": shapely.difference(SQUARE, POND),
    "a bend": shapely.LineString([(0, 0), (900, 0), (900, 1200)]).buffer(170),
    "turned": shapely.affinity.rotate(shapely.box(0, 0, 1800, 500), 33),
}


def features(**shapes):
    """Features by kind, on a map in feet."""
    return gpd.GeoDataFrame({"kind": list(shapes), "name": ""}, geometry=list(shapes.values()), crs="EPSG:3857")


def starts(ground, count, n=3):
    """Points of so many random starts, one row a start."""
    return np.array([start(ground, n, seed) for seed in range(count)])


@cache
def start(ground, n, seed):
    """Points of one random start."""
    return points_in(ground, n, seed, spacing_ft=SPACING_FT)


def middle(ground, field):
    """The true mean of a field over some ground, from a fine grid."""
    west, south, east, north = ground.bounds
    x, y = np.meshgrid(np.arange(west + 2, east, 4.0), np.arange(south + 2, north, 4.0))
    inside = shapely.contains_xy(ground, x, y)
    return float(field(x[inside], y[inside]).mean())


FIELDS = {
    "more to the east": lambda x, y: 60 + 0.05 * x,
    "a ridge": lambda x, y: 60 + 60 * np.exp(-(((x - 500) / 250) ** 2)),
    "clumps": lambda x, y: 80 + 50 * np.sin(x / 70.0) * np.cos(y / 50.0),
}


@pytest.mark.parametrize("stand", STANDS)
def test_three_plots_are_right_on_the_mean(stand):
    """Over 400 starts the mean of three plots misses the mean of the ground by no more than chance (3.3 errors)."""
    ground = STANDS[stand]
    at = starts(ground, 400)
    for field, rises in FIELDS.items():
        means = rises(at[..., 0], at[..., 1]).mean(axis=1)
        error = means.std(ddof=1) / np.sqrt(len(means))
        assert abs(means.mean() - middle(ground, rises)) < 3.3 * error + 0.15, field


def test_every_part_of_a_stand_has_the_same_chance():
    """Plots of many starts fall on ninths of a square alike: chi-square of 8 under its 99.9 % point."""
    at = starts(SQUARE, 900).reshape(-1, 2)
    ninth = (at // 440.0).clip(0, 2) @ [3, 1]
    counts = np.bincount(ninth.astype(int), minlength=9)
    assert ((counts - 300.0) ** 2 / 300.0).sum() < 26.1  # 26.12: chi-square table, 8 degrees, 0.001


def test_three_plots_lie_in_three_thirds_and_tell_more_than_plots_by_chance():
    """Each third of a long stand has one; of wood rising that way the mean strays L/√108, by chance alone L/√36."""
    ground = STANDS["long and thin"]
    at = starts(ground, 300)
    assert (np.sort(at[..., 0] // (2600 / 3), axis=1).clip(0, 2) == [0, 1, 2]).mean() > 0.99
    free = np.random.default_rng(1).uniform(0, 2600, (300, 3)).mean(axis=1)
    assert at[..., 0].mean(axis=1).std() < 0.62 * free.std()


def test_a_wrong_objective_is_seen():
    """Plots as far apart as can be lie on the edge and miss the mean; the middle of a ring is its pond."""
    ring = STANDS["a ring round a pond"]
    assert not ring.contains(ring.centroid)
    rim = ground_for_plots(SQUARE, **BARE, edge_ft=0.0, clear_ft=33.0)
    edge = lambda x, y: np.where(np.minimum.reduce([x, y, 1320 - x, 1320 - y]) < 100, 30.0, 110.0)  # noqa: E731
    far = np.array([(0.0, 0.0), (1319.0, 0.0), (660.0, 1319.0)])  # the widest triangle there is
    true = middle(rim, edge)
    at = starts(rim, 400)
    ours = edge(at[..., 0], at[..., 1]).mean()
    assert edge(*far.T).mean() < 0.5 * true and abs(ours - true) < 3.0


@pytest.mark.parametrize("stand", STANDS)
def test_plots_keep_off_the_edge_and_apart(stand):
    """Inside by what is said, and no two within reach of one tree."""
    for seed in range(40):
        at, edge_ft = plots_in_stand("1", STANDS[stand], BARE, 3, seed, REGION)
        points = shapely.points(at)
        assert len(at) == 3 and shapely.contains(STANDS[stand], points).all()
        assert shapely.distance(points, STANDS[stand].boundary).min() >= edge_ft - 1e-6
        apart = [points[i].distance(points[j]) for i, j in ((0, 1), (0, 2), (1, 2))]
        assert min(apart) >= SPACING_FT
        assert edge_ft == {"long and thin": 33.0}.get(stand, 66.0)


def test_plots_keep_off_water_strips_roads_and_the_house():
    """A stream and a road by the clear width, the lake by its strip, the house by twice the width."""
    stream, road = shapely.LineString([(0, 300), (1320, 500)]), shapely.LineString([(700, 0), (700, 1320)])
    lake, yard = shapely.box(0, 1000, 500, 1320), shapely.box(1000, 1000, 1200, 1200)
    around = {
        "features": features(stream=stream, road=road, lake=lake, home_ground=yard),
        "strips": features(strip=lake.buffer(100)),
        "home": shapely.Point(300, 800),
    }
    for seed in range(60):
        points = shapely.points(plots_in_stand("1", SQUARE, around, 3, seed, REGION)[0])
        for shape, feet in ((stream, 33), (road, 33), (lake, 100), (yard, 0.001), (around["home"], 66)):
            assert shapely.distance(points, shape).min() >= feet - 0.2


@pytest.mark.parametrize(
    ("stand", "found", "edge_ft"),
    [
        (shapely.box(0, 0, 90, 90), 1, 0.0),
        (shapely.box(0, 0, 10, 260), 2, 0.0),
        (shapely.box(0, 0, 2, 2), 0, 0.0),
        (shapely.box(0, 0, 330, 330), 3, 33.0),
    ],
)
def test_a_stand_too_small_for_three_gets_what_has_room(stand, found, edge_ft):
    """Fewer plots, nearer to the edge; never two that count the same tree. A speck of ground has none."""
    at, kept = plots_in_stand("1", stand, BARE, 3, 1, REGION)
    assert len(at) == found and kept == edge_ft


def test_all_under_water_has_no_plot():
    """A stand that is water has no ground for a plot."""
    at, _ = plots_in_stand("1", SQUARE, BARE | {"features": features(lake=SQUARE.buffer(10))}, 3, 1, REGION)
    assert len(at) == 0


def test_more_plots_go_on_where_the_first_began():
    """The first three are the same however many are wanted, and all keep apart."""
    first, many = (plots_in_stand("7", LOBES, BARE, n, 1, REGION)[0] for n in (3, 14))
    assert np.array_equal(first, many[:3]) and len(many) == 14
    apart = shapely.distance(shapely.points(many)[:, None], shapely.points(many)[None])
    assert apart[~np.eye(14, dtype=bool)].min() >= SPACING_FT


def test_each_stand_has_a_start_of_its_own():
    """Two stands alike are not given the same spots; the same stand is, every time."""
    one, other, again = (plots_in_stand(name, SQUARE, BARE, 3, 1, REGION)[0] for name in ("a", "b", "a"))
    assert np.array_equal(one, again) and not np.array_equal(one, other)


def forest(seed, clumped):
    """Trees on the square with ground around it: x, y [ft], inches; in clumps or even."""
    draw = np.random.default_rng(seed)
    n = 6500
    if clumped:
        heads = draw.uniform(-100, 1420, (260, 2))
        at = heads[draw.integers(0, 260, n)] + draw.normal(0, 75, (n, 2))
    else:
        at = draw.uniform(-100, 1420, (n, 2))
    return at, draw.gamma(9.0, 1.1, n)


def basal_sqft(at, trees, inches):
    """Basal area an acre at some points by a factor 10 prism: trees nearer than 2.75 ft an inch count."""
    near = cKDTree(at).query_ball_point(trees, 2.75 * inches)
    return 10.0 * np.bincount(np.concatenate(near).astype(int), minlength=len(at))


def test_a_prism_counts_by_hand():
    """Trees of 10 in count to 27.5 ft, of 4 in to 11 ft."""
    trees, inches = np.array([[27.0, 0.0], [28.0, 0.0], [0.0, 10.0], [0.0, 12.0]]), np.array([10.0, 10.0, 4.0, 4.0])
    assert basal_sqft(np.array([[0.0, 0.0], [0.0, 500.0]]), trees, inches).tolist() == [20.0, 0.0]


@pytest.mark.parametrize("clumped", [False, True])
def test_ranges_from_three_plots_hold_nine_times_in_ten(clumped):
    """Basal area by a factor 10 prism on an invented wood: 500 starts, no bias, and the range holds as it says."""
    trees, inches = forest(5, clumped)
    ground = ground_for_plots(SQUARE, **BARE, edge_ft=66.0, clear_ft=33.0)
    basal = basal_sqft(starts(ground, 500).reshape(-1, 2), trees, inches).reshape(500, 3)
    grid = np.stack(np.meshgrid(np.arange(70, 1254, 16.0), np.arange(70, 1254, 16.0)), axis=-1).reshape(-1, 2)
    true = basal_sqft(grid, trees, inches).mean()
    means, se = basal.mean(axis=1), basal.std(axis=1, ddof=1) / np.sqrt(3.0)
    assert abs(means.mean() - true) < 3.3 * means.std(ddof=1) / np.sqrt(500.0)
    table = pd.DataFrame(
        {"stand_id": range(500), "n": 3, "plots": 3, "plots_with": 3, "mean": means, "se": se, "df": 2.0}
    )
    told = [e for e in cruise.estimates(table[se > 0], "sq ft an acre", region=REGION).values() if e.low is not None]
    held = np.mean([e.low <= true <= e.high for e in told])
    assert len(told) > 450 and 0.86 <= held < 1.0  # a stand alone is helped by a usual spread only, wider than these


# --- the walk ---------------------------------------------------------------------------------------------------------


def test_a_round_is_as_short_as_the_best_there_is():
    """Against every order of seven stops: never over 12 % longer, mostly the best, and always the same."""
    draw, best = np.random.default_rng(3), 0
    for _ in range(60):
        at = draw.uniform(0, 1000, (8, 2))
        feet = np.hypot(*(at[:, None] - at[None]).transpose(2, 0, 1))
        order = walk.round_trip(feet)
        assert sorted(order) == list(range(8)) and order[0] == 0 and order == walk.round_trip(feet.copy())
        long = sum(feet[a, b] for a, b in pairwise([*order, 0]))
        least = min(sum(feet[a, b] for a, b in pairwise([0, *rest, 0])) for rest in permutations(range(1, 8)))
        assert long <= 1.12 * least
        best += long <= least + 1e-6
    assert best >= 40


def test_ways_over_water_and_other_peoples_land_are_told():
    """A way over the lake, one over the neighbor's corner, one along the line and one inside."""
    ground = shapely.difference(SQUARE, shapely.box(660, 660, 1320, 1320))
    lake = features(lake=shapely.box(100, 300, 500, 400), road=shapely.LineString([(0, 0), (1, 1)]))
    a = np.array([(300.0, 200.0), (600.0, 1000.0), (1320.0, 0.0), (50.0, 50.0)])
    b = np.array([(300.0, 500.0), (1000.0, 600.0), (1320.0, 600.0), (600.0, 100.0)])
    water, off = walk.crossings(a, b, ground, lake)
    assert water.tolist() == [True, False, False, False] and off.tolist() == [False, True, False, False]
    assert not walk.crossings(a, b, ground, NONE)[0].any()


def test_feet_and_bearings_by_hand():
    """A thousandth of a degree: 365 ft north at 46 degrees (1 minute is 6,077 ft), 254 ft east (cosine .695)."""
    feet, degrees = walk.legs([-90.0] * 3, [46.0] * 3, [-90.0, -89.999, -90.001], [46.001, 46.0, 46.0])
    assert feet == pytest.approx([364.7, 254.0, 254.0], abs=0.5)
    assert degrees == pytest.approx([0.0, 90.0, 270.0], abs=0.01)


def test_a_round_goes_around_water_where_it_can(monkeypatch):
    """Nine plots about a pond: fewer ways cross it than on the round that minds feet alone."""
    parcels = gpd.GeoDataFrame({"parcel_id": ["a"]}, geometry=[shapely.box(-89.4, 46.1, -89.3948, 46.1036)], crs=4326)
    pond = shapely.box(-89.3990, 46.1015, -89.3958, 46.1021)
    water = gpd.GeoDataFrame({"kind": ["lake"], "name": ["pond"]}, geometry=[pond], crs=4326)
    draw = np.random.default_rng(2)
    lon, lat = draw.uniform(-89.3998, -89.3950, 9), draw.uniform(46.1002, 46.1034, 9)
    dry = ~shapely.contains_xy(pond, lon, lat)
    plots = pd.DataFrame({"plot_id": np.flatnonzero(dry).astype(str), "lon": lon[dry], "lat": lat[dry]})
    over = []
    for feet in (walk.AROUND, 1.0):
        monkeypatch.setattr(walk, "AROUND", feet)
        rows, whole = _Block(parcels, water, water.iloc[:0], None, plots).walked
        over.append(int(rows["over_water"].sum()) + whole["back_over_water"])
    assert over == [1, 2]


def test_landmarks_are_those_that_can_be_found():
    """A house and landing near by, a road where it meets the line and ends, the outermost corners; none far away."""
    parcels = gpd.GeoDataFrame({"parcel_id": ["a"]}, geometry=[shapely.box(-89.4, 46.1, -89.3948, 46.1036)], crs=4326)
    road = shapely.LineString([(-89.39, 46.102), (-89.398, 46.102)])
    shapes = gpd.GeoDataFrame(
        {"kind": ["road", "landing", "landing"], "name": ["Old road", "near", "far"]},
        geometry=[road, shapely.Point(-89.397, 46.101), shapely.Point(-89.38, 46.101)],
        crs=4326,
    )
    plane = local_crs(parcels)
    told = walk.landmarks(parcels, shapes, (-89.4005, 46.101), plane)
    assert told["kind"].tolist() == ["home", "landing", "road", "road", *["corner"] * 4]
    assert told["name"].tolist()[1:4] == ["near", "Old road", "Old road"]
    assert set(told["name"][4:]) == {"northeast", "southeast", "southwest", "northwest"}
    assert "home" not in walk.landmarks(parcels, shapes, (-89.41, 46.101), plane)["kind"].tolist()

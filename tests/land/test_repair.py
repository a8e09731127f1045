"""Outlines stay whole on every map: random, spiky, touching, holed and of several pieces."""

import geopandas as gpd
import numpy as np
import pytest
import shapely
from shapely import affinity

from woodlot.errors import InputError
from woodlot.land.ground import to_cells
from woodlot.land.parcels import acres_geodesic, acres_once, local_crs, local_ft, made_whole, measure, on_map
from woodlot.units import SQFT_PER_AC

MAPS = (26915, 3857, 32616, 5070, 2289)
SIDE = 0.003  # degrees: some 15 acres


def star(rng, at):
    """A ring round a point, its corners near and far; every other one of some stars is a spike."""
    n = int(rng.integers(3, 40))
    turn, reach = np.sort(rng.uniform(0.0, 2.0 * np.pi, n)), rng.uniform(0.05, 1.0, n) * SIDE
    if rng.random() < 0.4:
        reach[::2] *= 1e-3
    return shapely.make_valid(shapely.Polygon(at + np.c_[np.cos(turn) * reach * 1.4, np.sin(turn) * reach]))


def holed(rng, at):
    """A star less one drawn in it, whose lines run along its own."""
    whole = star(rng, at)
    moved = affinity.translate(affinity.scale(whole, 0.5, 0.5, origin=tuple(at)), *rng.normal(0.0, 1e-9, 2))
    return whole.difference(shapely.make_valid(moved))


def touching(rng, at):
    """Squares that touch at corners, turned anyhow."""
    squares = [shapely.box(*(at + k * 1e-3), *(at + (k + 1) * 1e-3)) for k in range(int(rng.integers(2, 6)))]
    return affinity.rotate(shapely.MultiPolygon(squares), rng.uniform(0.0, 360.0))


def island(rng, at):
    """A hole that touches the shell at a corner, with an island in it."""
    whole, inner = shapely.box(*(at - SIDE), *(at + SIDE)), shapely.box(*(at - 0.001), *(at + 0.001))
    hole = shapely.Polygon(at + np.array([[-SIDE, 0.0], [0.0, 0.0029], [0.0029, 0.0], [0.0, -0.0029]]))
    return affinity.rotate(whole.difference(hole).union(inner), rng.uniform(0.0, 360.0))


def hairline(rng, at):
    """A cut into the outline whose sides, and whose end and the far line, are a hair apart; a corner stands twice."""
    turn, hair = rng.uniform(0.0, 2.0 * np.pi), 10.0 ** -rng.uniform(6.0, 14.0)
    way, off = np.array([np.cos(turn), np.sin(turn)]) * SIDE, np.array([-np.sin(turn), np.cos(turn)]) * SIDE / 3.0
    cut = [at + way / 2.0 + off * hair * 2.0, at + way / 2.0 + off * hair]
    return shapely.Polygon([at, at + way, at + way, at + way + off, *cut, at + off])


def drawn(seed, many):
    """Whole outlines of all kinds, in degrees."""
    rng, out = np.random.default_rng(seed), []
    while len(out) < many:
        kind = (star, holed, touching, island, hairline)[len(out) % 5]
        one = kind(rng, np.array([rng.uniform(-98.0, -67.0), rng.uniform(40.0, 49.0)]))
        if one.geom_type in ("Polygon", "MultiPolygon") and one.is_valid and one.area > 1e-9:
            out.append(one)
    return np.array(out, dtype=object)


def eighth_inch_ac(shapes):
    """Acres of a strip an eighth of an inch wide along all lines of each outline (a degree is at most 365,000 ft)."""
    return shapely.length(shapes) * 365_000.0 / 96.0 / SQFT_PER_AC


@pytest.mark.parametrize("crs", MAPS)
def test_every_map_there_and_back_keeps_outlines_whole_and_their_acres(crs):
    """1,000 outlines: whole there, whole back; acres within a millionth and 1/8 inch along the lines that are repaired.

    A straight line of a quarter mile bows by an eighth of an inch from map to map: where a corner of the outline lies
    on it to a hair, that sliver is what a repair cuts off. Plain reprojection leaves dozens of them crossed.
    """
    shapes = drawn(11, 1000)
    there = on_map(gpd.GeoSeries(shapes, crs=4326), crs)
    back = on_map(there, 4326)
    assert there.is_valid.all() and back.is_valid.all()
    assert set(there.geom_type) <= {"Polygon", "MultiPolygon"}
    raw = gpd.GeoSeries(shapes, crs=4326).to_crs(crs).is_valid.to_numpy()
    assert 20 < (~raw).sum() < 500
    acres = acres_geodesic(shapes)
    off = np.abs(acres_geodesic(back) - acres)
    assert np.median(off[raw] / acres[raw]) < 1e-7
    assert (off <= 1e-6 * acres + eighth_inch_ac(shapes)).all()


def test_the_map_of_a_place_keeps_outlines_whole():
    """The same in feet round each outline's own centre."""
    shapes = drawn(12, 500)
    back = [on_map(gpd.GeoSeries([local_ft(one)], crs=local_crs(one)), 4326).iloc[0] for one in shapes]
    assert shapely.is_valid(back).all()
    acres = acres_geodesic(shapes)
    assert (np.abs(acres_geodesic(back) - acres) <= 1e-6 * acres + eighth_inch_ac(shapes)).all()


class Sheet:
    """A raster of one cell a yard, turned by 30 degrees."""

    name, rows, columns = "turned.tif", 10**7, 10**7

    def __init__(self):
        """In UTM."""
        from affine import Affine
        from rasterio.crs import CRS

        self.crs = CRS.from_epsg(26915)
        self.transform = Affine(0.78, 0.45, -4e6, 0.45, -0.78, 8e6)


def test_outlines_in_cells_of_a_turned_raster_are_whole():
    """Carried to columns and rows they are whole too, so that their figures can be read."""
    shapes = drawn(13, 1000)
    cells = to_cells(gpd.GeoSeries(shapes, crs=4326), Sheet())
    assert shapely.is_valid(cells).all()


def test_what_crosses_itself_in_the_hand_in_is_not_mended_in_silence():
    """Only rounding is repaired: a bow tie stays one, and lines stay lines."""
    bow = shapely.Polygon([(-88, 46), (-87.9, 46.1), (-87.9, 46), (-88, 46.1)])
    line = shapely.LineString([(-88, 46), (-87.9, 46.1)])
    there = on_map(gpd.GeoSeries([bow, line], crs=4326), 26916)
    assert not there.iloc[0].is_valid and there.iloc[1].geom_type == "LineString"
    both = np.array([bow, line], dtype=object)
    assert made_whole(both, np.array([False, True])) is both
    assert made_whole(both, np.array([True, True]))[0].is_valid


def test_an_outline_that_crosses_itself_is_named():
    """By its place among the outlines, or by what it is called."""
    bow = shapely.Polygon([(-88, 46), (-87.9, 46.1), (-87.9, 46), (-88, 46.1)])
    good = shapely.box(-88, 46, -87.9, 46.1)
    with pytest.raises(InputError, match=r"^outline 2 of 2 crosses itself: Self-intersection"):
        acres_geodesic([good, bow])
    with pytest.raises(InputError, match=r"^the outline of stand 7 crosses itself"):
        acres_geodesic([bow], ["stand 7"])
    frame = gpd.GeoDataFrame({"parcel_id": ["home", "ridge"]}, geometry=[good, bow], crs=4326)
    with pytest.raises(InputError, match="the outline of parcel ridge crosses itself"):
        measure(frame)


def squares(*corners):
    """Squares of 10 acres (660 ft) from corners in feet, in degrees."""
    made = [shapely.box(x, y, x + 660.0, y + 660.0) for x, y in corners]
    return gpd.GeoSeries(made, crs=local_crs((-89.4, 46.1))).to_crs(4326)


def test_ground_in_two_outlines_counts_half_for_each_by_hand():
    """Two squares over each other by 330 x 660 ft (5 acres): 10 less 2.5 each, 15 in all."""
    told = acres_once(squares((0, 0), (330, 0)))
    assert told == pytest.approx([7.5, 7.5], abs=1e-4)


def test_ground_in_three_outlines_counts_a_third_for_each_by_hand():
    """Three times the same square: 10 acres in all. With a fourth beside it that one keeps its own."""
    told = acres_once(squares((0, 0), (0, 0), (0, 0), (660, 0)))
    assert told == pytest.approx([10 / 3, 10 / 3, 10 / 3, 10.0], abs=1e-4)


def test_the_sum_is_the_ground_for_any_outlines():
    """Sums of shares are the acres of all of them together; the order makes no difference."""
    rng = np.random.default_rng(4)
    for _ in range(40):
        some = squares(*rng.uniform(0.0, 1500.0, (int(rng.integers(2, 9)), 2)))
        told = acres_once(some)
        assert told.sum() == pytest.approx(acres_geodesic(some.union_all()), rel=1e-6)
        assert acres_once(some[::-1]) == pytest.approx(told[::-1], abs=1e-9)
        assert (told <= 10.0 + 1e-4).all() and (told > 0).all()


def test_outlines_that_only_touch_share_nothing():
    """A parcel in the hole of another, and neighbors: all their acres."""
    ring = shapely.box(0, 0, 1980, 1980).difference(shapely.box(660, 660, 1320, 1320))
    hole = gpd.GeoSeries([ring, shapely.box(660, 660, 1320, 1320)], crs=local_crs((-89.4, 46.1))).to_crs(4326)
    assert acres_once(hole) == pytest.approx([80.0, 10.0], abs=1e-3)

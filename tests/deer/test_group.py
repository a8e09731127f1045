"""Neighbors who pool: who shares deer, ground that counts once, whose the next doe is. Squares, worked by hand."""

from itertools import permutations

import geopandas as gpd
import pytest
import shapely

from woodlot.deer.group import Family, acres_for_a_doe, family_of, kills, overlaps, pooled
from woodlot.land.parcels import acres_geodesic, local_crs
from woodlot.region import shipped

REGION = shipped("lake_states")
CRS = local_crs((-89.4, 46.1))
SIDE = (200 * 43_560) ** 0.5
#: Feet within which ground shares deer, by the table.
REACH = REGION.figure("defaults_herd", "group_home_range_ft")


def outline(*boxes):
    """Boxes in feet (west, south, acres of a square) as one outline in degrees."""
    drawn = [shapely.box(x, y, x + (ac * 43_560) ** 0.5, y + (ac * 43_560) ** 0.5) for x, y, ac in boxes]
    return gpd.GeoSeries([shapely.union_all(drawn)], crs=CRS).to_crs(4326).iloc[0]


def family(name, *boxes, **taken):
    """A family of boxes; taken: y2024=(does, bucks)."""
    ground = outline(*boxes)
    return Family(name, float(acres_geodesic(ground)), ground, kills({int(fall[1:]): of for fall, of in taken.items()}))


def names(group):
    """Names of those who pool."""
    return [one.name for one in group.families]


def test_the_reach_is_the_radius_of_a_does_home_range():
    """2,806 feet: a circle of 568 acres, as the table of home ranges has it for a year."""
    assert pytest.approx((568 * 43_560 / 3.141592653589793) ** 0.5, abs=0.5) == REACH


def test_ground_within_reach_pools_and_ground_beyond_is_left_out():
    """A square 10 feet within the reach, and one 10 feet beyond it on the other side."""
    own = family("Ash", (0, 0, 200))
    near, far = family("Birch", (SIDE + REACH - 10, 0, 200)), family("Cedar", (-SIDE - REACH - 10, 0, 200))
    group = pooled(own, [near, far], region=REGION)
    assert names(group) == ["Ash", "Birch"] and group.left_out_ac == pytest.approx({"Cedar": 200}, rel=1e-4)
    assert group.acres == pytest.approx(400, rel=1e-4) and [one.name for one in group.others] == ["Birch"]


def test_reach_goes_from_neighbor_to_neighbor():
    """The third lies beyond one's own reach, but within that of the second; without the second it is out."""
    own, second = family("Ash", (0, 0, 200)), family("Birch", (SIDE + 2_000, 0, 200))
    third = family("Cedar", (2 * SIDE + 4_000, 0, 200))
    assert names(pooled(own, [third, second], region=REGION)) == ["Ash", "Birch", "Cedar"]
    assert names(pooled(own, [third], region=REGION)) == ["Ash"]


def test_of_a_neighbor_with_ground_elsewhere_only_what_is_near_counts():
    """80 acres next door and 400 twenty miles off: 80 count, 400 are told; all of one's own always counts."""
    own = family("Ash", (0, 0, 200), (-60_000, 0, 40))
    wide = family("Birch", (SIDE + 500, 0, 80), (100_000, 0, 400), y2024=(1, 2))
    group = pooled(own, [wide], region=REGION)
    assert [one.acres for one in group.families] == pytest.approx([240, 80], rel=1e-3)
    assert group.left_out_ac == pytest.approx({"Birch": 400}, rel=1e-3)
    assert group.killed_by_fall().loc[2024].tolist() == [1, 2]


def test_ground_that_two_drew_counts_once_half_for_each():
    """Two squares of 200 acres that overlap by a tenth: 380 in all, 190 each, and the overlap is told."""
    own, other = family("Ash", (0, 0, 200)), family("Birch", (0.9 * SIDE, 0, 200))
    group = pooled(own, [other], region=REGION)
    assert group.acres == pytest.approx(380, rel=1e-4)
    assert [one.acres for one in group.families] == pytest.approx([190, 190], rel=1e-4)
    (told,) = group.overlaps
    assert told.names == ("Ash", "Birch") and (told.acres, told.share) == pytest.approx((20, 0.1), rel=1e-3)


def test_a_hair_along_a_line_is_no_overlap():
    """A foot of overlap along one side of a square of 200 acres is .07 acres; half a foot is not told."""
    own = family("Ash", (0, 0, 200))
    assert len(overlaps([own, family("Birch", (SIDE - 1.0, 0, 200))])) == 1
    assert overlaps([own, family("Birch", (SIDE - 0.5, 0, 200))]) == ()


def test_the_order_of_families_does_not_matter():
    """Whoever is read first: the same ground, the same kills, the same turn."""
    own = family("Ash", (0, 0, 80), y2022=(1, 0))
    others = [
        family(n, (k * 3_000, 4_000, 200), **{f"y{2021 + k}": (1, k)}) for k, n in enumerate(("Elm", "Fir", "Oak"))
    ]
    groups = [pooled(own, some, region=REGION) for some in permutations(others)]
    assert len({(one.acres, tuple(names(one)), one.next_doe_to(2026)) for one in groups}) == 1
    assert all(one.killed_by_fall().equals(groups[0].killed_by_fall()) for one in groups)
    assert len({one.outline.union_all().wkt for one in groups}) == 1


def test_all_kills_of_a_fall_add_up():
    """Does and bucks of every family, each fall once, oldest first."""
    own = family("Ash", (0, 0, 80), y2025=(1, 0), y2023=(0, 2))
    group = pooled(own, [family("Birch", (2_500, 0, 80), y2025=(2, 1))], region=REGION)
    taken = group.killed_by_fall()
    assert taken.index.tolist() == [2023, 2025] and taken.to_numpy().tolist() == [[0, 2], [3, 1]]


@pytest.fixture
def three():
    """Families of 80, 200 and 200 acres; the second took a doe in 2024, the third in 2020, the first none."""
    return pooled(
        family("Ash", (0, 0, 80), y2021=(0, 1)),
        [family("Birch", (3_000, 0, 200), y2024=(1, 0)), family("Cedar", (7_000, 0, 200), y2020=(1, 0))],
        region=REGION,
    )


def test_the_next_doe_goes_by_acres_and_falls_waited(three):
    """In 2026: 80 acres x 7 falls since the record began in 2020 is 560; 200 x 2 is 400; 200 x 6 is 1,200."""
    assert three.waited(2026) == {"Ash": 7, "Birch": 2, "Cedar": 6}
    assert three.next_doe_to(2026) == "Cedar"


def test_a_doe_taken_passes_the_turn_on(three):
    """Cedar takes one in 2026 and has waited 0; then 560 acre-falls of Ash are more than 400 of Birch."""
    cedar = family("Cedar", (7_000, 0, 200), y2020=(1, 0), y2026=(1, 0))
    after = pooled(three.families[0], [three.families[1], cedar], region=REGION)
    assert after.waited(2026)["Cedar"] == 0 and after.next_doe_to(2026) == "Ash"
    assert after.next_doe_to(2025) == "Cedar"  # what is taken later does not count yet


def test_equals_go_by_name_and_all_served_by_acres():
    """Two of 200 acres without a doe: the first by name; where all took one this fall, the most acres."""
    own, other = family("Birch", (0, 0, 200)), family("Ash", (SIDE + 100, 0, 200))
    assert pooled(own, [other], region=REGION).next_doe_to(2026) == "Ash"
    own, other = family("Ash", (0, 0, 80), y2026=(1, 0)), family("Birch", (2_500, 0, 200), y2026=(1, 0))
    assert pooled(own, [other], region=REGION).next_doe_to(2026) == "Birch"


def test_a_family_that_leaves_takes_its_ground_and_kills_along(three):
    """Without Cedar: 280 acres, and the record begins in 2021."""
    left = pooled(three.families[0], [three.families[1]], region=REGION)
    assert left.acres == pytest.approx(280, rel=1e-3) and left.killed_by_fall().index.tolist() == [2021, 2024]
    assert left.waited(2026)["Ash"] == 6 and left.next_doe_to(2026) == "Ash"


def test_a_family_alone_is_a_group_of_one():
    """Its own acres, outline and kills; the next doe is its own."""
    own = family("Ash", (0, 0, 80), y2021=(0, 1))
    alone = pooled(own, [], region=REGION)
    assert alone.acres == pytest.approx(own.acres) and alone.next_doe_to(2026) == "Ash" and not alone.others
    assert alone.killed_by_fall().equals(own.killed_by_fall)


def test_parcels_make_one_outline_and_count_once():
    """Two parcels of 40 acres that share a quarter of their ground: 70 acres in one piece."""
    side = (40 * 43_560) ** 0.5
    parcels = gpd.GeoDataFrame(geometry=[outline((0, 0, 40)), outline((0.75 * side, 0, 40))], crs=4326)
    one = family_of("Ash", parcels, kills({}))
    assert one.acres == pytest.approx(70, rel=1e-3) and one.outline.geom_type == "Polygon"


def test_acres_that_make_a_doe_by_hand():
    """.02 a year of 80 acres: one in five years needs .2, ten times the ground: 720 acres more."""
    assert acres_for_a_doe(0.02, 80, 5) == pytest.approx(720)
    assert acres_for_a_doe(0.5, 80, 5) == 0 and acres_for_a_doe(0.0, 80, 5) is None

"""One year of a herd: the worked values of herd model page 1, which were worked out by another program."""

import numpy as np
import pytest

from woodlot.deer import herd_year as year
from woodlot.deer.herd_prior import lasting
from woodlot.deer.winter import herd_loss
from woodlot.region import shipped

REGION = shipped("base")
FOREST = (0.41, 0.07, 1.6, 1.83, 0.7, 0.85, 0.87, 0.85)
HERD = np.array([[3.0], [2], [5], [2], [2.5]])


def rates(crowding=0.01):
    """The middle rates of the woods in one draw."""
    return year.Rates(*(np.array([x]) for x in (*FOREST, crowding)))


def cold(points):
    """A winter of Wisconsin's points."""
    return year.winter(herd_loss(points, "wisconsin", REGION), REGION)


@pytest.mark.parametrize(
    ("points", "after"),
    [(67, (1.7406, 2.1000, 5.4450, 2.1000, 2.2950)), (120, (1.4097, 1.5439, 5.1549, 1.5439, 2.1727))],
)
def test_the_next_fall_as_printed(points, after):
    """Deaths of 0, .2, .5, .8 and 1.0 before a usual and before a hard winter."""
    left = HERD - np.array([[0.0], [0.2], [0.5], [0.8], [1.0]])
    assert year.next_fall(HERD, left, rates(), cold(points))[:, 0] == pytest.approx(after, abs=5e-5)


def test_a_winter_beside_the_usual_as_printed():
    """120 points: fawns live .735178 as often as in a usual winter, grown .946713, births .858369; 67 points: 1."""
    hard = cold(120)
    assert (hard.fawns, hard.grown, hard.births) == pytest.approx((0.735178, 0.946713, 0.858369), abs=1e-6)
    assert (cold(67).fawns, cold(67).grown, cold(67).births) == pytest.approx((1, 1, 1))


def test_crowding_as_printed():
    """Replacement 1.69902; with a full herd of 45 each deer without antlers costs .0091428 of the births."""
    assert year.replacement(rates())[0] == pytest.approx(1.69902, abs=5e-6)
    assert year.crowding(rates(), 45)[0] == pytest.approx(0.0091428, abs=5e-8)


@pytest.mark.parametrize(
    ("points", "forest", "farm"),
    [(20, 1.127, 1.269), (67, 1.075, 1.202), (100, 0.993, 1.096), (150, 0.912, 0.996)],
)
def test_growth_without_crowding_as_printed(points, forest, farm):
    """The herd's yearly growth after many winters alike, in the woods and with 30 percent of farmland."""
    table = REGION.table("deer_herd_rates")
    for pct, wanted in ((0, forest), (30, farm)):
        rows = table[table["farmland_pct"] == pct].set_index("rate")["value"].astype(float)
        names = [field for field in year.Rates.__dataclass_fields__ if field != "crowding"]
        mine = year.Rates(*(np.array([rows[name]]) for name in names), crowding=np.zeros(1))
        herd = HERD
        for _ in range(60):
            before, herd = herd, year.next_fall(herd, herd, mine, cold(points))
        assert year.does(herd)[0] / year.does(before)[0] == pytest.approx(wanted, abs=6e-4)


def test_hunters_take_what_lives_and_no_more():
    """Neighbors take a share of their part, half of it of fawns; a family's deer come from both ages as they stand."""
    left = year.hunted(HERD, 0.1, 0.4, (0.7, 0.0), 0.15, REGION, neighbors_share=0.5)
    u, v = 0.1 * 1.15 * 0.5, 0.4 * 1.15 * 0.5
    own = 0.7 * 1.15 / 7
    wanted = [3 * (1 - u / 2), 2 * (1 - u - own), 5 * (1 - u - own), 2 * (1 - v), 2.5 * (1 - v)]
    assert left[:, 0] == pytest.approx(wanted)
    gone = year.hunted(HERD, 0.0, 0.0, (99.0, 99.0), 0.15, REGION)
    assert gone[:, 0].tolist() == [3.0, 0.0, 0.0, 0.0, 0.0]


def test_herds_that_lasted_are_some_of_those_begun():
    """About the shares that the page prints: 54 of 100 where neighbors took no doe, far fewer where they may."""
    none = lasting(8000, 1, lost=0.15, neighbors_take_none=(True, False), region=REGION)
    some = lasting(8000, 1, lost=0.15, region=REGION)
    assert none.started == some.started == 8000
    assert 0.45 < none.now.shape[1] / 8000 < 0.60
    assert 0.14 < some.now.shape[1] / 8000 < 0.22
    assert year.number(some.now).min() >= 8 and year.number(some.now).max() <= 45
    assert (none.doe_rate == 0).all() and none.buck_rate.min() > 0


def test_blocks_of_herds_are_the_same_however_many_follow():
    """The herds of 4,000 starts stand unchanged at the head of those of 8,000; another seed gives others."""
    few, many, other = (lasting(n, seed, lost=0.15, region=REGION) for n, seed in ((4000, 1), (8000, 1), (4000, 2)))
    k = few.now.shape[1]
    assert np.array_equal(few.now, many.now[:, :k]) and not np.array_equal(few.now[:, :50], other.now[:, :50])

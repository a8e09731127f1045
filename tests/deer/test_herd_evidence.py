"""What each count says of a herd: the values of herd model page 2, which were worked out by another program."""

import math

import numpy as np
import pytest

from woodlot.deer import herd_evidence as says
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_year import winter
from woodlot.deer.winter import herd_loss
from woodlot.region import shipped

REGION = shipped("base")
HERD = np.array([[3.0], [2], [5], [2], [2.5]])
ACRE_DAYS = 0.00115394 * 180
RATE = np.log(np.array([25.0]))


def of_pellets(groups, deer=14.36785, plots=100, cv=0.34):
    """A spring's pellets on plots of 4 feet in one draw."""
    count = PelletCount(groups, plots, groups / plots, ACRE_DAYS, cv)
    return float(says.pellets(count, np.array([deer]), RATE, REGION)[0])


def test_pellets_as_printed():
    """12 groups on 100 plots where .116575 a plot are looked for: -.002806; 5 groups: -2.398334."""
    assert of_pellets(12) == pytest.approx(-0.002806, abs=2e-6)
    assert of_pellets(5) == pytest.approx(-2.398334, abs=2e-5)


def test_few_groups_and_none_by_hand():
    """4 groups: cv at least sqrt(1/4 + 2/100); none: -(plots/2) ln(1 + 2 mu)."""
    mu = 14.36785 / 640 * ACRE_DAYS * 25
    var = math.log(1 + 1 / 4 + 2 / 100) + 0.2**2
    assert of_pellets(4) == pytest.approx(-(math.log(0.04 / mu) ** 2) / 2 / var)
    assert of_pellets(0) == pytest.approx(-50 * math.log(1 + 2 * mu))


def test_deer_of_the_winter_half_as_printed():
    """The herd of page 1 after the hunt: half of the winter's deaths are over; 12 groups go with 14.36785."""
    left = HERD - np.array([[0.0], [0.2], [0.5], [0.8], [1.0]])
    cold = winter(herd_loss(67, "wisconsin", REGION), REGION)
    fawn, grown = cold.losses
    wanted = 6 * (1 - fawn / 2) + (1.8 + 4.5 + 1.2 + 1.5) * (1 - grown / 2)
    assert says.winter_half(left, cold)[0] == pytest.approx(wanted)


def test_ratios_and_ages_as_printed():
    """18 fawns to 31 does: 1.846631; 6 yearlings of 15 bucks: -10.155662."""
    assert says.fawns(18, 31, HERD, REGION)[0] == pytest.approx(1.846631, abs=5e-7)
    assert says.ages(6, 9, HERD)[0] == pytest.approx(-10.155662, abs=2e-6)


def test_bucks_show_more_by_hand():
    """P = 1.4 x 4.5 / (1.4 x 4.5 + 7); 20 bucks of 50."""
    p = 6.3 / 13.3
    var = 2 * p * (1 - p) / 50 + (0.25 * p * (1 - p)) ** 2
    assert says.buck_share(20, 30, HERD, REGION)[0] == pytest.approx(
        -((0.4 - p) ** 2) / 2 / var - math.log(math.sqrt(var))
    )


def test_the_kill_of_neighbors_by_hand():
    """Ln bucks about ln vB with SD .35, ln does about ln uD with .45; a kill of none has no term."""
    u, v = np.array([0.06]), np.array([0.4])
    both = -(math.log(2.1 / 1.8) ** 2) / 2 / 0.35**2 - math.log(0.45 / 0.42) ** 2 / 2 / 0.45**2
    assert says.kill(2.1, 0.45, HERD, u, v, REGION)[0] == pytest.approx(both)
    assert says.kill(2.1, 0.0, HERD, np.zeros(1), v, REGION)[0] == pytest.approx(
        -(math.log(2.1 / 1.8) ** 2) / 2 / 0.35**2
    )
    assert says.kill(None, None, HERD, u, v, REGION)[0] == 0.0


def test_deer_an_hour_tell_a_trend_alone():
    """The same watches say the same of a herd of 10, 12, 15 and one of 20, 24, 30, and less of one that falls."""
    deer, hours = np.array([20.0, 24.0, 30.0]), np.array([50.0, 50.0, 50.0])
    herds = np.array([[10.0, 20.0, 15.0], [12.0, 24.0, 12.0], [15.0, 30.0, 10.0]])
    told = says.seen_an_hour(deer, hours, herds, REGION)
    assert told[0] == pytest.approx(told[1]) and told[2] < told[0] - 1


def test_the_states_figure_is_never_surer_than_its_least_doubt():
    """A figure of 20 with limits of its own that are narrow counts with SD .40 all the same."""
    numbers = np.array([20.0, 30.0])
    narrow, wide = says.state(20, 0.1, numbers, REGION), says.state(20, 0.8, numbers, REGION)
    assert narrow == pytest.approx([0, -(math.log(1.5) ** 2) / 2 / 0.4**2])
    assert wide[1] == pytest.approx(-(math.log(1.5) ** 2) / 2 / 0.8**2)


def test_milk_and_complete_counts_by_hand():
    """7 does with milk of 10 at 6 fawns on 7 does; a drive of 18 where 15 winter, SD .2 and the parcels' own use .2."""
    q = 1 - math.exp(-1.3 * 6 / 7)
    assert says.milk(7, 3, HERD, REGION)[0] == pytest.approx(7 * math.log(q) + 3 * math.log(1 - q))
    told = says.complete(18, 0.2, np.array([15.0]), REGION)[0]
    assert told == pytest.approx(-(math.log(18 / 15) ** 2) / 2 / (0.2**2 + 0.2**2))


def test_so_many_groups_are_told_by_the_share_of_herds():
    """Half of the herds would show the groups that are looked for; next to none those of a feeder."""
    deer, rate = np.full(1000, 14.36785), np.full(1000, math.log(25.0))
    shown = [says.so_many(PelletCount(g, 100, g / 100, ACRE_DAYS, 0.3), deer, rate, REGION) for g in (0, 11.6575, 150)]
    assert shown[0] == 1.0 and shown[1] == pytest.approx(0.5, abs=1e-4) and shown[2] < 1e-6
    assert says.at_least(217, 0.4, deer) < 1e-6 < says.at_least(20, 0.4, deer)


def test_a_herd_without_fawns_or_bucks_is_unlikely_and_no_hole():
    """So crowded that no fawn was raised, or with no buck left: far less likely than the usual herd, never NaN."""
    bare = np.array([[0.0], [2], [5], [0], [0]])
    both = np.hstack([HERD, bare])
    for told in (
        says.fawns(18, 31, both, REGION),
        says.buck_share(20, 30, both, REGION),
        says.ages(6, 9, both),
        says.milk(6, 3, both, REGION),
    ):
        assert np.isfinite(told).all() and told[1] < told[0] - 20
    assert says.fawns(0, 31, both, REGION)[1] > says.fawns(0, 31, both, REGION)[0]

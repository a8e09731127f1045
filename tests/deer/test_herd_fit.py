"""The fit: the worked record of herd model page 3, closed forms of agreement, and what a count may move.

The record and its answer were worked out by another program with 120,000 starts; tolerance 4 percent of middles, 8 of
ends, as the page says.
"""

import math

import numpy as np
import pytest

from woodlot.deer import herd_fit as fits
from woodlot.deer.doe_share import can_give, firsts, growth
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_year import does, number
from woodlot.deer.winter import herd_loss
from woodlot.region import shipped

REGION = shipped("base")
#: fall, winter points, groups next spring on 100 plots, cv, fawns and does of next fall, does and bucks taken.
RECORD = [
    (2021, 55, 17, 0.31, (24, 38), 0, 1),
    (2022, 40, 19, 0.28, (25, 35), 1, 1),
    (2023, 98, 11, 0.36, None, 0, 1),
    (2024, 62, 12, 0.34, (11, 33), 0, 0),
    (2025, 48, 14, 0.31, (18, 31), 0, 1),
]
GROUND = fits.Ground(230, 1614, 0.15, kill=(0.45, 2.1))


def record(times=1, winter=None, last_fawns=(18, 31)):
    """The falls of the record; groups times so many, another last winter, other fawns last fall."""
    out, fawns = [], None
    for year, points, groups, cv, seen, doe, buck in RECORD:
        took = herd_loss(winter if winter and year == 2025 else points, "wisconsin", REGION)
        count = PelletCount(groups * times, 100, groups * times / 100, 0.00115394 * 180, cv)
        out.append(fits.Fall(year, (doe, buck), took, count, fawns=fawns))
        fawns = seen
    return [*out, fits.Fall(2026, fawns=last_fawns)]


@pytest.fixture(scope="module")
def worked():
    """The fit of the record."""
    return fits.fit(record(), GROUND, 1, REGION)


def test_the_worked_record(worked):
    """21.8 deer a square mile (12.2 to 36.3), 11.6 does, 23.9 groups a day (15.2 to 39.8), growth 1.054 (1.014 on)."""
    by, n = worked.weights, number(worked.now)
    growing = growth(worked.now, worked.cloud.herds.rates, fits.middle(firsts(worked), worked.weights), REGION)
    groups = np.exp(worked.cloud.herds.log_groups_a_day)
    for draws, middle, low, high in (
        (n, 21.8, 12.2, 36.3),
        (groups, 23.9, 15.2, 39.8),
        (growing, 1.054, 1.014, 1.097),
    ):
        assert fits.middle(draws, by) == pytest.approx(middle, rel=0.04)
        assert fits.ends(draws, by, 0.9) == pytest.approx((low, high), rel=0.08)
    assert fits.middle(does(worked.now), by) == pytest.approx(11.6, rel=0.04)
    assert worked.effective > 400


@pytest.mark.parametrize(
    ("kinds", "middle", "ends"),
    [(("pellets",), 18.5, (9.4, 34.4)), (("kill",), 24.5, (11.7, 43.0)), ((), 16.0, (6.7, 37.7))],
)
def test_what_each_count_says_alone(worked, kinds, middle, ends):
    """Pellets 18.5 (9.4 to 34.4), the unit's kill 24.5 (11.7 to 43.0), nothing 16.0 (6.7 to 37.7)."""
    one = fits.weighed(worked.cloud, [key for key in worked.cloud.says if key[0] in kinds])
    n = number(one.now)
    assert fits.middle(n, one.weights) == pytest.approx(middle, rel=0.06)
    assert fits.ends(n, one.weights, 0.9) == pytest.approx(ends, rel=0.08)


def test_every_source_moves_the_number(worked):
    """Does a year of 230 acres .198; after a last winter of 140 points .154, with 5 fawns to 38 does last fall .181."""

    def share(by):
        growing = growth(by.now, by.cloud.herds.rates, fits.middle(firsts(by), by.weights), REGION)
        return fits.mean(can_give(by.now, growing, 0.15), by.weights) * 230 / 640

    told = share(worked)
    hard, few = (share(fits.fit(r, GROUND, 1, REGION)) for r in (record(winter=140), record(last_fawns=(5, 38))))
    assert (told, hard, few) == pytest.approx((0.198, 0.154, 0.181), rel=0.04)


def test_the_same_seed_is_the_same_fit(worked):
    """To the last bit; another seed moves the middle by no more than the draws do."""
    again, other = (fits.fit(record(), GROUND, seed, REGION) for seed in (1, 2))
    assert np.array_equal(again.weights, worked.weights) and np.array_equal(again.now, worked.now)
    assert not np.array_equal(other.now[:, :50], worked.now[:, :50])


def test_an_empty_record_of_one_fall_is_the_prior():
    """Nothing counted: every herd weighs alike."""
    bare = fits.fit([fits.Fall(2026)], fits.Ground(230, 1614, 0.15), 1, REGION)
    assert bare.counts == () and np.allclose(bare.weights, 1.0 / bare.cloud.n)


def test_a_new_take_of_the_neighbors_enters_from_its_own_year():
    """From the second fall on they take a tenth of nothing, then half of the does: fewer does the fall after."""
    ground = fits.Ground(230, 1614, 0.15, kill=(0.2, 1.5))
    falls = [fits.Fall(2024), fits.Fall(2025), fits.Fall(2026)]
    heavy = [falls[0], fits.Fall(2025, neighbors=(4.0, 1.5)), falls[2]]
    herds = fits.started(ground, 4000, 1, REGION)
    before, after = (
        fits.through(fits.begun(herds, ground, 2024, REGION), some, ground, 1, REGION) for some in (falls, heavy)
    )
    assert np.array_equal(before.past[1], after.past[1])
    assert (does(after.herds.now) < does(before.herds.now)).all()


@pytest.mark.parametrize(("second", "agree"), [(20, 0.436), (30, 0.025), (45, -0.927), (60, -1.931)])
def test_agreement_by_its_closed_form(second, agree):
    """Ln N about ln 18 with SD .6, counts of SD .35 and .30: 18 beside 20, 30, 45 and 60."""
    rng = np.random.default_rng(4)
    logs = math.log(18) + 0.6 * rng.standard_normal(400_000)
    one, two = (-((math.log(x) - logs) ** 2) / 2 / sd**2 for x, sd in ((18, 0.35), (second, 0.30)))
    assert fits.agreement(one, two) == pytest.approx(agree, abs=0.02)


def test_weighted_middles_and_ends_by_hand():
    """Weights .1, .2, .3, .4 on 4, 3, 2, 1: the middle is 2, half of the weight lies between 1 and 3."""
    x, by = np.array([4.0, 3, 2, 1]), np.array([0.1, 0.2, 0.3, 0.4])
    assert fits.middle(x, by) == 2 and fits.ends(x, by, 0.5) == (1.0, 3.0)
    assert fits.mean(x, by) == pytest.approx(2.0)

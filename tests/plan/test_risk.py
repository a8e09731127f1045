"""Take against risk on the herds of the fit: the grid pair by pair, the pair of chances, neighbors and fawns."""

from dataclasses import replace

import numpy as np
import pytest

from tests.deer.herd_example import GROUND, record
from woodlot.deer import forward
from woodlot.deer.herd_answer import herd_answer
from woodlot.deer.herd_year import number
from woodlot.deer.options import DeerSettings
from woodlot.deer.record import Record
from woodlot.plan import doe_take, risk
from woodlot.plan.hunt_choices import choices
from woodlot.region import shipped
from woodlot.say.reasons import said

BASE = shipped("base")
LOST = 0.15


@pytest.fixture(scope="module")
def herd():
    """The page's example on 600 acres of a range of 2,490."""
    ground = replace(GROUND, own_ac=600.0, range_ac=2490.0)
    return herd_answer(Record(2026, record(BASE), ground, (), (), None, None), seed=1, region=BASE)


@pytest.fixture(scope="module")
def draws(herd):
    """Its coming ten years."""
    return risk.ahead(herd, risk.herds_of(herd), BASE)


@pytest.fixture(scope="module")
def taken(herd):
    """Its take, nothing taken so far."""
    return doe_take.take(herd, {}, choices(DeerSettings(), {}, None), doe_take.Goal("hold"), BASE)


def run(draws, does, bucks):
    """Deer before the hunt, by year and draw, with so many taken every fall."""
    years = range(draws.survive.shape[0] + 1)
    without, recruits = forward.antlerless(draws, does * (1 + LOST), years)
    return without + forward.antlered(draws, recruits, bucks * (1 + LOST), years)[0]


def test_the_grid_is_the_run_pair_by_pair(draws):
    """Each row of the grid equals the herd run alone with that take; more does, more risk; all chances in 0 to 1."""
    grid = risk.take_grid(draws, [0, 2], [0, 3], deaths_per_deer=LOST, goal_deer=80.0)
    for row in grid.to_dict("records"):
        left = run(draws, row["does"], row["bucks"])
        assert row["halved_5"] == np.mean(left[5] < left[0] / 2)
        assert row["halved_10"] == np.mean(left[10] < left[0] / 2)
        assert row["falls_next"] == np.mean(left[1] < left[0])
        assert row["under_goal_10"] == np.mean(left[10] < 80.0)
        assert row["left_middle"] == np.sort(left[10])[999]
    by_does = grid.set_index(["bucks", "does"])["halved_10"]
    assert by_does[0, 2] >= by_does[0, 0] and by_does[3, 2] >= by_does[3, 0]
    assert grid[["falls_next", "halved_5", "halved_10", "under_goal_10"]].stack().between(0, 1).all()


def test_bucks_taken_lower_the_share_of_old_bucks_and_hardly_the_herd(draws):
    """Three bucks a year from about 16: fewer old ones; the chance of halving rises less than with three does."""
    grid = risk.take_grid(draws, [0, 3], [0, 3], deaths_per_deer=LOST).set_index(["does", "bucks"])
    assert grid.loc[(0, 3), "old_bucks_pct"] < grid.loc[(0, 0), "old_bucks_pct"] - 5
    rise = grid["halved_10"] - grid.loc[(0, 0), "halved_10"]
    assert 0 <= rise[0, 3] < rise[3, 0] / 2


def test_both_lines_of_the_pair_meet_the_neighbors(herd, draws, taken):
    """You do not: neighbors hunt on (more risk than without any); you too: the share, following the herd."""
    told = risk.season_risk(herd, taken, BASE)
    alone = risk.take_grid(draws, [0], [0])["halved_10"].iloc[0]
    assert told.no_hunting.halved_10 == alone
    shared = forward.with_share(draws, taken.does_per_yr * 1.15, taken.bucks_per_yr * 1.15)
    assert told.you_too.halved_10 == risk.take_grid(shared, [0], [0])["halved_10"].iloc[0] >= alone
    herds = risk.herds_of(herd)
    nobody = replace(herds, doe_rate=0 * herds.doe_rate, buck_rate=0 * herds.buck_rate)
    none = risk.take_grid(risk.ahead(herd, nobody, BASE), [0], [0])
    assert none["left_middle"].iloc[0] > risk.take_grid(draws, [0], [0])["left_middle"].iloc[0]
    facts = dict(told.words.facts)
    assert (facts["halved"], facts["halved_alone"]) == (told.you_too.halved_10, alone)
    assert (facts["falls"], facts["falls_alone"]) == (told.you_too.falls_next, told.no_hunting.falls_next)
    assert said(told.words).startswith("Herd halves in ten years: neighbors hunt, you do not, ")


def test_each_take_has_its_ends(herd, taken):
    """Zero to four does, the one of this fall named, more does more risk; fewer fawns worse, no neighbors better."""
    told = risk.season_risk(herd, taken, BASE)
    assert [r.does for r in told.takes] == [0, 1, 2, 3, 4] and {r.bucks for r in told.takes} == {taken.bucks}
    assert [r.does for r in told.takes if r.plan] == [taken.does]
    halved = [r.halved_10.value for r in told.takes]
    assert halved == sorted(halved) and halved[0] < halved[-1]
    assert all(r.halved_10.low <= r.halved_10.value < r.halved_10.high for r in told.takes)
    assert told.no_hunting_high.halved_10 > told.no_hunting.halved_10
    assert told.you_too_high.halved_10 > told.you_too.halved_10
    assert any(r.halved_10.low < r.halved_10.value for r in told.takes)
    pounds = [r.meat_lb.value for r in told.takes]
    assert pounds == sorted(pounds)


def test_under_the_goal_is_told_in_winter_deer(herd, draws, taken):
    """18 a square mile of the winter half, as fall deer of herds after the neighbors' hunt and half a usual winter."""
    told = risk.season_risk(herd, taken, BASE)
    fall = herd.fall.value / herd.winter.value
    sqmi = 2490 / 640
    left = run(draws, 0, 0)[10]
    rough = np.mean(left < 18 * fall * sqmi)
    assert told.no_hunting.under_goal_10 == pytest.approx(rough, abs=0.05)


def test_where_the_herd_grows_no_more_is_told(herd, taken):
    """Middle near 45 deer a square mile, between the ends of the region; the family's own figure stands alone."""
    low, middle, high = risk.season_risk(herd, taken, BASE).full_herd_per_sqmi
    assert 23 < low < middle < high < 65 and middle == pytest.approx(45, abs=6)
    own = replace(herd.record, ground=replace(herd.record.ground, full_herd_per_sqmi=40.0))
    other = herd_answer(own, seed=1, region=BASE)
    assert risk.season_risk(other, taken, BASE).full_herd_per_sqmi == pytest.approx((40.0, 40.0, 40.0))


def test_what_neighbors_take_from_this_fall_on_is_in_the_years_to_come(herd, taken):
    """Three does a square mile from now on: the pair is far worse, the herd of today the same."""
    falls = (*herd.record.falls[:-1], replace(herd.record.falls[-1], neighbors=(3.0, 2.0)))
    other = replace(herd, record=replace(herd.record, falls=falls))
    before, after = (risk.season_risk(h, taken, BASE) for h in (herd, other))
    assert after.no_hunting.halved_10 > before.no_hunting.halved_10 + 0.1
    start = risk.ahead(other, risk.herds_of(other), BASE).start
    assert number(start) == pytest.approx(number(risk.ahead(herd, risk.herds_of(herd), BASE).start))


def test_the_same_place_and_year_give_the_same_chances(herd, taken):
    """Twice the same; another seed other draws."""
    one, two = (risk.season_risk(herd, taken, BASE) for _ in range(2))
    assert one == two
    assert risk.season_risk(replace(herd, seed=2), taken, BASE).takes != one.takes


def test_a_take_loses_deer_and_its_low_end_has_no_neighbors(herd, draws, taken):
    """Three does each fall, 1.15 dead for each; low: neighbors take neither does nor bucks. Five winters known."""
    row = risk.season_risk(herd, taken, BASE).takes[3]
    herds = risk.herds_of(herd)
    nobody = risk.ahead(herd, replace(herds, doe_rate=0 * herds.doe_rate, buck_rate=0 * herds.buck_rate), BASE)
    middle, low = (risk.take_grid(of, [3], [taken.bucks], deaths_per_deer=LOST).iloc[0] for of in (draws, nobody))
    assert (row.falls_next.value, row.falls_next.low) == (middle["falls_next"], low["falls_next"])
    assert row.halved_10.value == middle["halved_10"]
    losses = [fall.winter_loss for fall in herd.record.falls[:-1]]
    drawn = forward.draw(herds, herd.record.ground, years=10, seed=herd.seed, losses=losses, region=BASE)
    assert len(losses) == 5 and np.array_equal(drawn.survive, draws.survive)

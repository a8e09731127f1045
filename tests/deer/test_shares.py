"""The share of each fall on record: from what was known by then, as page 4 of the herd model works it."""

from dataclasses import replace

import numpy as np
import pytest

from tests.deer.herd_example import GROUND, record
from woodlot.deer import doe_share, herd_fit, shares
from woodlot.deer.herd_year import bucks, does, number
from woodlot.region import shipped

BASE = shipped("base")


def first_number(fit):
    """One number of deer of the first falls: the middle of the herds."""
    return herd_fit.middle(doe_share.firsts(fit), fit.weights)


@pytest.fixture(scope="module")
def fit():
    """The page's example."""
    return herd_fit.fit(record(BASE), GROUND, 1, BASE)


def test_the_share_of_the_page(fit):
    """One reference for all draws: the herd can give .198 does a year on 230 acres (seeds .197 to .201, two digits
    here). Each draw at its own: .189; it stands about at its first falls, so .147 are taken. .40 of the bucks
    over 1.15.
    """
    last = shares.by_fall(fit, 2026, GROUND, BASE)[-1]
    growing = doe_share.growth(fit.now, fit.cloud.herds.rates, first_number(fit), BASE)
    give = herd_fit.mean(doe_share.can_give(fit.now, growing, 0.15), fit.weights)
    assert give * 230 / 640 == pytest.approx(0.198, abs=0.006)
    assert last.give * 230 / 640 == pytest.approx(0.189, abs=0.006)
    assert last.doe == pytest.approx(0.147, abs=0.006) and last.doe == pytest.approx(last.taken * 230 / 640)
    there = herd_fit.mean(bucks(fit.now), fit.weights)
    assert last.buck == pytest.approx(0.40 * there * 230 / 640 / 1.15)
    assert last.bucks_there == pytest.approx(there) and not last.closed and last.measured


def test_a_fall_knows_nothing_of_later_counts(fit):
    """Each fall's share is that of a fit of the record as it stood then, with the same herds."""
    falls = record(BASE)
    told = shares.by_fall(fit, 2026, GROUND, BASE)
    assert [s.year for s in told] == [2021, 2022, 2023, 2024, 2025, 2026]
    started = herd_fit.started(GROUND, fit.cloud.herds.started, 1, BASE)
    for at in (1, 3):
        cut = (*falls[:at], replace(falls[at], pellets=None, winter_loss=None))
        cloud = herd_fit.through(herd_fit.begun(started, GROUND, 2021, BASE), cut, GROUND, 1, BASE)
        then = herd_fit.weighed(cloud)
        growing = doe_share.growth(then.now, then.cloud.herds.rates, doe_share.firsts(then), BASE)
        give = herd_fit.mean(doe_share.can_give(then.now, growing, 0.15), then.weights)
        assert told[at].give == pytest.approx(give)
        assert told[at].does_there == pytest.approx(herd_fit.mean(does(then.now), then.weights))
    now, then = first_number(fit), first_number(shares.at_fall(fit, 3))
    assert then != pytest.approx(now), "what is learned later moves the first falls too"


def test_a_hard_winter_and_few_fawns_lower_the_share(fit):
    """Last winter 140 points: the herd can give .145; 5 fawns to 38 does: .173 (page 3, one reference: .154, .181)."""
    for more, told in (({"last_winter": 140}, 0.145), ({"last_fawns": (5, 38)}, 0.173)):
        other = herd_fit.fit(record(BASE, **more), GROUND, 1, BASE)
        last = shares.by_fall(other, 2026, GROUND, BASE)[-1]
        assert last.give * 230 / 640 == pytest.approx(told, abs=0.008)
        assert last.doe < 0.8 * last.give * 230 / 640


def test_without_a_count_that_sets_a_number_there_is_no_share():
    """Fawns and does at cameras alone: nothing is offered, in no fall."""
    ground = replace(GROUND, kill=(None, None))
    falls = [herd_fit.Fall(y, (0, 0), None, fawns=(20, 40)) for y in (2024, 2025, 2026)]
    only = herd_fit.fit(falls, ground, 1, BASE)
    told = shares.by_fall(only, 2026, ground, BASE)
    assert [(s.doe, s.buck, s.measured) for s in told] == [(0.0, 0.0, False)] * 3


def test_neighbors_who_take_too_much_halve_it(fit):
    """Does they take from this fall on, over 1.25 times what is taken of what the herd gives: half; just under: all."""
    full = shares.by_fall(fit, 2026, GROUND, BASE, neighbors_does=0.1)[-1]
    for rate, part in ((1.24, 1.0), (1.26, 0.5)):
        told = shares.by_fall(fit, 2026, GROUND, BASE, neighbors_does=rate * full.taken)
        assert told[-1].doe == pytest.approx(part * full.doe)
        assert told[-2].doe == pytest.approx(shares.by_fall(fit, 2026, GROUND, BASE)[-2].doe), "falls before stay"


def test_fewer_deer_take_a_tenth_of_the_does_more_in_the_last_fall_alone(fit):
    """Growth read at half the reference, plus .10 of the does over 1.15."""
    hold, thin = (shares.by_fall(fit, 2026, GROUND, BASE, thin=wish) for wish in (False, True))
    assert [s.doe for s in hold[:-1]] == [s.doe for s in thin[:-1]]
    growing = doe_share.growth(fit.now, fit.cloud.herds.rates, doe_share.firsts(fit) * 0.5 / 0.75, BASE)
    give = herd_fit.mean(doe_share.can_give(fit.now, growing, 0.15), fit.weights)
    assert thin[-1].give == pytest.approx(give)
    each = doe_share.can_give(fit.now, growing, 0.15) + 0.10 * does(fit.now) / 1.15
    whole = herd_fit.mean(each, fit.weights)
    assert hold[-1].taken < 0.8 * whole < thin[-1].taken <= whole
    assert thin[-1].growing > hold[-1].growing


def test_a_crash_closes_and_says_how_likely_it_is():
    """A winter of 225 points and a quarter of the groups after it: little to spare; the chance is that of a herd under
    .75 of its own first falls.
    """
    falls = list(record(BASE, last_winter=225))
    falls[4] = replace(falls[4], pellets=replace(falls[4].pellets, groups=2, per_plot=0.02))
    low = herd_fit.fit(falls, GROUND, 1, BASE)
    last = shares.by_fall(low, 2026, GROUND, BASE)[-1]
    assert last.closed == "little to spare" and 0 < last.doe < 0.1 * last.give * 230 / 640
    assert last.odds == pytest.approx(np.dot(number(low.now) < 0.75 * doe_share.firsts(low), low.weights))
    assert last.odds > 0.8


def test_falls_before_have_the_neighbors_of_their_time(fit):
    """Neighbors who take three does a square mile from 2025 on: until then the rates that the herds began with."""
    falls = [replace(fall, neighbors=(3.0, 2.0)) if fall.year == 2025 else fall for fall in record(BASE)]
    anew = herd_fit.fit(falls, GROUND, 1, BASE)
    started = herd_fit.started(GROUND, anew.cloud.herds.started, 1, BASE)
    for at in range(4):
        then = shares.at_fall(anew, at).cloud
        assert np.array_equal(then.herds.doe_rate, started.doe_rate) and len(then.rates) == at
        assert np.array_equal(then.herds.buck_rate, started.buck_rate)
    last = shares.at_fall(anew, 4).cloud.herds
    assert last.doe_rate * does(last.now) == pytest.approx(np.minimum(3.0, 0.9 * does(last.now)))
    told = shares.by_fall(anew, 2026, GROUND, BASE)
    assert [share.around < 1.5 for share in told] == [True] * 4 + [False] * 2


def test_the_family_s_own_share_of_bucks_is_taken(fit):
    """.2 of the bucks instead of .4: half as many."""
    one, other = (shares.by_fall(fit, 2026, GROUND, BASE, buck_share=part)[-1].buck for part in (0.4, 0.2))
    assert other == pytest.approx(one / 2)


def test_what_is_spared_by_hand():
    """At .95 of the first falls and under none, at 1.025 half, at 1.1 all, at 1.25 twice, 3.5 times at most."""
    herd = np.array([[0.9, 0.95, 1.025, 1.1, 1.25, 1.8]]) * np.array([[3.0], [2], [5], [2], [2.5]])
    told = doe_share.spared(herd, 17.5, BASE)
    assert told == pytest.approx([0.0, 0.0, 0.5, 1.0, 2.0, 3.5], abs=1e-9)


def test_a_first_fall_takes_what_the_herd_can_give(fit):
    """No fall behind it: all of it. One: by draw beside that fall alone. Two: beside their mean."""
    first, second, third, *_ = shares.by_fall(fit, 2026, GROUND, BASE)
    assert first.taken == pytest.approx(first.give) and second.taken != pytest.approx(second.give, rel=0.05)
    then = shares.at_fall(fit, 1)
    assert doe_share.firsts(then) == pytest.approx(fit.cloud.numbers[0])
    part = doe_share.spared(then.now, fit.cloud.numbers[0], BASE)
    each = doe_share.can_give(then.now, doe_share.growing(then, BASE), 0.15)
    assert second.taken == pytest.approx(herd_fit.mean(each * part, then.weights))
    assert doe_share.firsts(shares.at_fall(fit, 2)) == pytest.approx(fit.cloud.numbers[:2].mean(axis=0))
    assert third.taken > 0


def test_why_it_is_closed(fit):
    """Under .6 of its first falls; under .75 of last fall; at .95 + .04 x .15 = .956 of them a twenty-fifth is spared;
    none of these.
    """
    n = number(fit.now)

    def why(first, last):
        then = replace(fit.cloud, numbers=np.vstack([first * n, first * n, first * n, last * n]))
        return doe_share.closed(replace(fit, cloud=then), BASE)

    assert why(1 / 0.59, 1.0) == "under reference"
    assert why(1.0, 1 / 0.74) == "under last fall"
    assert why(1 / 0.955, 1.0) == "little to spare"
    assert why(1 / 0.957, 1.0) is None and why(1.0, 1 / 0.76) is None

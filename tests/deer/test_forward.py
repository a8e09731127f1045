"""The herd forward: equal to the model of the year, sampled by weight, with the same winters for every take."""

from dataclasses import replace

import numpy as np
import pytest

from tests.deer.herd_example import GROUND, record
from woodlot.deer import forward, herd_fit
from woodlot.deer.herd_prior import drawn_winters, lasting, luck
from woodlot.deer.herd_year import bucks, does, hunted, next_fall, number, winter
from woodlot.errors import InputError
from woodlot.region import shipped

BASE = shipped("base")
MILES = GROUND.range_sqmi


@pytest.fixture(scope="module")
def herds():
    """Herds that lasted, of 2,000 begun."""
    return lasting(2000, 3, lost=0.15, region=BASE)


def run(draws, does, bucks, deaths_per_deer=0.0):
    """Deer before the hunt, by year and draw: (years + 1, n), with so many taken every fall."""
    years = range(draws.survive.shape[0] + 1)
    without, recruits = forward.antlerless(draws, does * (1 + deaths_per_deer), years)
    return without + forward.antlered(draws, recruits, bucks * (1 + deaths_per_deer), years)[0]


def by_the_year(herds, ground, years, seed, does, bucks, losses=(), fawn_factor=1.0):
    """The same by `herd_year` alone, deer a square mile, from the draws in the order in which they are made."""
    rng, now, out = np.random.default_rng([seed, years]), herds.now, [number(herds.now)]
    rates = replace(herds.rates, fawn_to_fall=herds.rates.fawn_to_fall * fawn_factor)
    for _ in range(years):
        n = now.shape[1]
        loss = rng.choice(np.asarray(losses), n) if len(losses) > 4 else drawn_winters(rng, n, BASE)
        lucky = luck(rng, n, BASE)
        left = hunted(
            now, herds.doe_rate, herds.buck_rate, (does / ground.range_sqmi, bucks / ground.range_sqmi),
            ground.lost, BASE, ground.neighbors_share,
        )  # fmt: skip
        now = next_fall(now, left, rates, winter(loss, BASE), lucky)
        out.append(number(now))
    return np.array(out)


@pytest.mark.parametrize("losses", [(), (0.03, 0.05, 0.2, 0.08, 0.07)])
@pytest.mark.parametrize(("does", "bucks"), [(0, 0), (1.7, 0), (0, 2.4), (3, 5), (80, 60)])
def test_the_run_is_the_model_of_the_year(herds, does, bucks, losses):
    """Twelve falls in place equal `next_fall` to 1e-12, neighbors and family in one hunt, crowding before it."""
    draws = forward.draw(herds, GROUND, years=12, seed=5, losses=losses, region=BASE)
    told = run(draws, does, bucks, GROUND.lost) / MILES
    by_hand = by_the_year(herds, GROUND, 12, 5, does, bucks, losses)
    assert told == pytest.approx(by_hand, rel=1e-12, abs=1e-12)


def test_neighbors_who_take_all_leave_none_to_the_family(herds):
    """Rates of .9 of the does with 1.15 deaths each on nearly all the ground: over all of them, none divided by."""
    ground = replace(GROUND, own_ac=1.0)
    taken = replace(herds, doe_rate=np.full_like(herds.doe_rate, 0.9), buck_rate=np.full_like(herds.doe_rate, 0.9))
    draws = forward.draw(taken, ground, years=3, seed=1, region=BASE)
    told = run(draws, 1, 1, 0.15)
    by_hand = by_the_year(taken, ground, 3, 1, 1, 1) * ground.range_sqmi
    assert np.all(np.isfinite(told)) and told == pytest.approx(by_hand)


def test_fewer_fawns_are_fewer_fawns(herds):
    """A factor of .7 is one on fawns that live to fall."""
    draws = forward.draw(herds, GROUND, years=3, seed=2, fawn_factor=0.7, region=BASE)
    assert run(draws, 0, 0) / MILES == pytest.approx(by_the_year(herds, GROUND, 3, 2, 0, 0, fawn_factor=0.7), rel=1e-12)


def test_a_share_follows_the_herd(herds):
    """Each draw's part of its own does and bucks, the same part every fall: the model of the year with that rate."""
    draws = forward.draw(herds, GROUND, years=6, seed=4, region=BASE)
    told = run(forward.with_share(draws, 2 * 1.15, 3 * 1.15), 0, 0) / MILES
    part_does, part_bucks = 2 / MILES / does(herds.now), 3 / MILES / bucks(herds.now)
    rng, now = np.random.default_rng([4, 6]), herds.now
    for year in range(6):
        cold, lucky = winter(drawn_winters(rng, now.shape[1], BASE), BASE), luck(rng, now.shape[1], BASE)
        own = (part_does * does(now), part_bucks * bucks(now))
        left = hunted(now, herds.doe_rate, herds.buck_rate, own, 0.15, BASE, GROUND.neighbors_share)
        now = next_fall(now, left, herds.rates, cold, lucky)
        assert told[year + 1] == pytest.approx(number(now), rel=1e-12)
    once = run(draws, 2, 3, 0.15)[1] / MILES
    assert told[1] == pytest.approx(once, rel=1e-12), "the first fall is the number itself"


@pytest.fixture(scope="module")
def fit():
    """The page's example."""
    return herd_fit.fit(record(BASE), GROUND, 1, BASE)


def test_herds_are_sampled_by_their_weight(fit):
    """2,000 of them: mean number and doe rate as the weights have them; seeded; rates stay with their herd."""
    some = forward.sampled(fit, 2000, 1)
    assert number(some.now).mean() == pytest.approx(herd_fit.mean(number(fit.now), fit.weights), rel=0.01)
    assert some.doe_rate.mean() == pytest.approx(herd_fit.mean(fit.cloud.herds.doe_rate, fit.weights), rel=0.02)
    assert np.array_equal(some.now, forward.sampled(fit, 2000, 1).now)
    assert not np.array_equal(some.now, forward.sampled(fit, 2000, 2).now)
    herds = fit.cloud.herds
    at = np.searchsorted(np.sort(herds.now[2]), some.now[2])
    which = np.argsort(herds.now[2])[at]
    for name in ("doe_rate", "buck_rate", "log_groups_a_day"):
        assert np.array_equal(getattr(some, name), getattr(herds, name)[which])
    assert np.array_equal(some.rates.survive_doe, herds.rates.survive_doe[which])


def test_what_neighbors_take_from_this_fall_on_is_theirs_in_every_draw(fit):
    """.3 does and .5 bucks a square mile: the same deer in each herd, as its rate; at most .9 of them."""
    some = forward.sampled(fit, 500, 1, neighbors=(0.3, 0.5))
    assert some.doe_rate * does(some.now) == pytest.approx(0.3)
    assert some.buck_rate * bucks(some.now) == pytest.approx(0.5)
    assert forward.sampled(fit, 50, 1, neighbors=(500.0, 0.0)).doe_rate == pytest.approx(0.9)


def test_five_winters_on_record_are_drawn_from_and_four_are_not(herds):
    """Five mild winters: every draw lives through one of them; four: any winter may come."""
    mild = [forward.draw(herds, GROUND, years=8, seed=1, losses=[0.02] * n, region=BASE) for n in (4, 5)]
    any_, five = (np.mean(run(d, 0, 0)[8]) for d in mild)
    assert five > 1.1 * any_
    again = forward.draw(herds, GROUND, years=8, seed=1, losses=[0.02] * 5, region=BASE)
    assert np.array_equal(again.survive, mild[1].survive)
    assert not np.array_equal(forward.draw(herds, GROUND, years=8, seed=2, region=BASE).survive, mild[0].survive)


def test_no_year_is_refused(herds):
    """Draws of no year."""
    with pytest.raises(InputError, match="1 or more"):
        forward.draw(herds, GROUND, years=0, seed=1, region=BASE)

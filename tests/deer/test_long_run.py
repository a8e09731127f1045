"""Meat in the long run: each share alone by hand, the flat top and the slide, today's share, words."""

import numpy as np
import pytest

from woodlot.deer import long_run as runs
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_fit import Fall, Ground, begun, mean, picked, through, weighed
from woodlot.deer.herd_prior import drawn_winters, lasting, luck
from woodlot.deer.herd_year import does, hunted, next_fall, winter
from woodlot.region import shipped
from woodlot.say.reasons import said

BASE = shipped("base")
GROUND = Ground(230.0, 1614.0, 0.15, kill=(0.45, 2.1))
COUNT = PelletCount(14, 100, 0.14, 0.2077, 0.3)


@pytest.fixture(scope="module")
def fit():
    """One spring of pellets and the unit's kill, from 4,000 starts."""
    cloud = begun(lasting(4000, 1, lost=0.15, region=BASE), GROUND, 2025, BASE)
    falls = [Fall(2025, (0, 1), 0.08, COUNT), Fall(2026)]
    return weighed(through(cloud, falls, GROUND, 1, BASE))


def test_every_share_is_run_by_itself(fit):
    """Shares 0, .05 and .2 at once equal each alone, year by year: does x share taken, 1.15 of it and half that share
    of fawns gone.
    """
    some = picked(fit.weights, 40, 3)
    herd, rates = fit.now[:, some], fit.cloud.herds.rates.of(some)
    shares = (0.0, 0.05, 0.2)
    together = runs.long_run(herd, rates, shares, lost=0.15, years=12, seed=3, region=BASE, last=4)
    for k, share in enumerate(shares):
        rng, now, taken = np.random.default_rng([3, 40]), herd, []
        for _ in range(12):
            taken.append(share * (now[1] + now[2]))
            left = hunted(now, share, 0.0, (0.0, 0.0), 0.15, BASE)
            assert left[1] == pytest.approx(now[1] * (1 - 1.15 * share))
            cold = winter(drawn_winters(rng, 40, BASE), BASE)
            now = next_fall(now, left, rates, cold, luck(rng, 40, BASE))
        assert together["first"][k] == pytest.approx(np.median(np.mean(taken[:4], axis=0)))
        assert together["settled"][k] == pytest.approx(np.median(np.mean(taken[-4:], axis=0)))
        assert together["left"][k] == pytest.approx(np.median(does(now) / does(herd)))


def test_the_top_is_flat_and_beyond_it_the_herd_slides(fit):
    """Most meat comes from a few does in 100, nearly as much over a stretch; three times that share gives more in the
    first ten years and less than half in the end, with few does left.
    """
    told = runs.told(fit, GROUND, 0.2, 1, BASE)
    best = int(np.argmax(told.settled_lb))
    assert told.share_pct[best] == told.top_pct and 1.0 <= told.top_pct <= 6.0
    assert told.flat_pct[0] < told.top_pct <= told.flat_pct[1]
    assert told.top_range_pct[0] <= told.top_pct <= told.top_range_pct[1]
    assert all(told.settled_lb[told.share_pct.index(x)] >= 0.9 * told.settled_lb[best] for x in told.flat_pct)
    far = told.share_pct.index(3 * told.top_pct)
    assert told.settled_lb[far] < 0.5 * told.settled_lb[best] < 0.5 * told.first_lb[far]
    assert told.left[far] < 0.25 < told.left[best]
    assert np.all(np.diff(told.first_lb) > 0)


def test_pounds_are_those_of_the_familys_part(fit):
    """A share of 1 in 100 in its first ten years: 44.8 lb x does a square mile x 230 acres; twice the acres, twice."""
    some = picked(fit.weights, runs.DRAWS, 1)
    how = {"lost": 0.15, "years": 50, "seed": 1, "region": BASE}
    run = runs.long_run(fit.now[:, some], fit.cloud.herds.rates.of(some), [0.01], **how)
    one = runs.told(fit, GROUND, 0.2, 1, BASE).first_lb[2]
    assert one == pytest.approx(44.8 * run["first"][0] * 230 / 640)
    more = runs.told(fit, Ground(460.0, 1614.0, 0.15), 0.2, 1, BASE).first_lb[2]
    assert more == pytest.approx(2 * one)


def test_the_share_of_today_is_the_neighbors_and_the_familys(fit):
    """Neighbors' rate on their part of the ground and the family's does over all does there."""
    there = mean(does(fit.now), fit.weights)
    around = mean(does(fit.now) * fit.cloud.herds.doe_rate, fit.weights) * (1 - 230 / 1614)
    family = 0.2 / (1614 / 640)
    assert runs.told(fit, GROUND, 0.2, 1, BASE).now_pct == pytest.approx(100 * (around + family) / there)


def test_words_name_the_slide(fit):
    """The share past the top at which the long run gives less than half of the most, how much more its first ten years
    give, and the ends of the top by draw.
    """
    told = runs.told(fit, GROUND, 0.2, 1, BASE)
    facts = dict(told.words.facts)
    best = told.share_pct.index(told.top_pct)
    gone = next(k for k in range(best, 33) if told.settled_lb[k] < 0.5 * told.settled_lb[best])
    assert facts["slide"] == told.share_pct[gone] and facts["left_pct"] == pytest.approx(100 * told.left[gone])
    assert facts["times"] == pytest.approx(told.first_lb[gone] / told.first_lb[best])
    some = picked(fit.weights, runs.DRAWS, 1)
    how = {"lost": 0.15, "years": 50, "seed": 1, "region": BASE}
    top = runs.long_run(fit.now[:, some], fit.cloud.herds.rates.of(some), runs.SHARES, **how)["top"]
    assert told.top_range_pct == pytest.approx(tuple(100 * np.quantile(top, [0.05, 0.95])))
    words = said(told.words)
    assert f"most meat comes from {told.top_pct:.0f} of 100 does a fall" in words
    assert "assumptions" in words and "the herd slides: after 50 years" in words


def test_draws_are_picked_as_often_as_they_weigh():
    """Weights .5, 0, .3, .2 in ten picks: 5, 0, 3 and 2; the same seed picks the same."""
    weights = np.array([0.5, 0.0, 0.3, 0.2])
    some = picked(weights, 10, 1)
    assert np.bincount(some, minlength=4).tolist() == [5, 0, 3, 2]
    assert (picked(weights, 10, 1) == some).all()

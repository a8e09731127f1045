"""Measurements that are imagined: without luck each points at the herd taken as true, an SD of luck moves it an SD."""

from dataclasses import replace
from math import log, log1p, sqrt

import numpy as np
import pytest

from woodlot.deer import herd_evidence as says
from woodlot.deer import imagined
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_fit import Fall, Ground, begun, picked, started, through, weighed
from woodlot.deer.herd_year import bucks, does, number
from woodlot.region import shipped

BASE = shipped("base")
GROUND = Ground(230.0, 1614.0, 0.15)
COUNT = PelletCount(14, 100, 0.14, 0.2077, 0.3)
NEW = PelletCount(0, 120, 0.0, 0.2077, 0.25)
FALLS = (Fall(2024, (0, 1), None, COUNT), Fall(2025, (1, 1), None, COUNT), Fall(2026))
DRIVE = log1p(0.2**2)


@pytest.fixture(scope="module")
def herds():
    """Three thousand herds of two springs, with the fit they come from."""
    fit = weighed(through(begun(started(GROUND, 8000, 1, BASE), GROUND, 2024, BASE), FALLS, GROUND, 1, BASE))
    return imagined.herds_of(fit, picked(fit.weights, 3000, 1), FALLS, GROUND, 1, BASE)


def fawn_share(h):
    """Fawns among fawns and does."""
    return 2 * h.now[0] / (2 * h.now[0] + does(h.now))


WAYS = {
    "pellets": (
        lambda h, one: imagined.pellets(h, NEW, one, BASE),
        lambda h: np.log(h.winter_half) + h.log_groups_a_day,
        sqrt(log1p(0.25**2) + 0.04),
    ),
    "state": (lambda h, one: imagined.state(h, one, BASE), lambda h: np.log(number(h.now)), 0.4),
    "complete": (lambda h, one: imagined.complete(h, one, BASE), lambda h: np.log(h.winter_half), sqrt(DRIVE + 0.04)),
    "does": (
        lambda h, one: imagined.kill(h, (None, 1.0), one, BASE),
        lambda h: np.log(h.doe_rate * does(h.first)),
        0.45,
    ),
    "bucks": (
        lambda h, one: imagined.kill(h, (1.0, None), one, BASE),
        lambda h: np.log(h.buck_rate * bucks(h.first)),
        0.35,
    ),
}


@pytest.mark.parametrize("way", WAYS)
def test_what_is_imagined_points_at_the_true_herd(herds, way):
    """Without luck the likeliest herd is as the true one; with a luck of half an SD it is half an SD above; and the
    log-likelihood falls off with the square of the distance in SDs, as the fit has it.
    """
    tells, of, sd = WAYS[way]
    x = of(herds)
    for z in (0.0, 0.5, -0.5):
        lucky = replace(herds, z=np.full_like(herds.z, z))
        for one in (9, 48, 85):
            told = tells(lucky, one)
            true = x[herds.true[one]]
            assert x[told.argmax()] == pytest.approx(true + z * sd, abs=0.06), (one, z)
            far = -((true + z * sd - x) ** 2) / (2 * sd**2)
            assert told - told.max() == pytest.approx(far - far.max(), abs=0.02)


def test_cameras_point_at_fawns_and_bucks(herds):
    """14 doe pictures a week for 4 weeks: both ratios together are likeliest near those of the true herd."""
    lucky = replace(herds, z=np.zeros_like(herds.z))
    buck = 1.4 * bucks(herds.now) / (1.4 * bucks(herds.now) + does(herds.now))
    fawn = fawn_share(herds)
    for one in (9, 48, 85):
        true = herds.true[one]
        told = imagined.cameras(lucky, one, BASE)
        n = 56 / (1 - fawn[true])
        m = 56 / (1 - buck[true])
        by_hand = says.fawns(n * fawn[true], 56, herds.now, BASE) + says.buck_share(m * buck[true], 56, herds.now, BASE)
        assert told == pytest.approx(by_hand)
    more = imagined.cameras(replace(herds, z=np.full_like(herds.z, 1.0)), 48, BASE)
    assert fawn[more.argmax()] > fawn[herds.true[48]] and buck[more.argmax()] > buck[herds.true[48]]


def test_ages_are_those_of_the_true_herds_bucks(herds):
    """Five bucks at the true herd's share of yearlings: binomial of the rounded number."""
    lucky = replace(herds, z=np.zeros_like(herds.z))
    for one in (9, 85):
        share = herds.now[3] / bucks(herds.now)
        young = round(5 * share[herds.true[one]])
        assert imagined.ages(lucky, one, BASE) == pytest.approx(says.ages(young, 5 - young, herds.now))


def test_a_winter_that_is_known_is_known_to_a_hundredth(herds):
    """Herds whose winter took .01 more or less weigh exp(-1/2)."""
    for one in (9, 85):
        gap = (herds.last_loss - herds.last_loss[herds.true[one]]) / 0.01
        assert imagined.last_winter(herds, one, BASE) == pytest.approx(-(gap**2) / 2)


def test_another_falls_watch_stands_beside_those_before(herds):
    """Two watches on record: what the third adds to their likelihood, at the true herd's trend."""
    watched = [(0, 12.0, 40.0), (1, 9.0, 30.0)]
    lucky = replace(herds, z=np.zeros_like(herds.z))
    deer, hours, before = np.array([12.0, 9.0]), np.array([40.0, 30.0]), herds.numbers[:2]
    for one in (9, 85):
        true = herds.true[one]
        level = np.mean(np.log((deer + 0.5) / hours) - np.log(before[:, true]))
        seen = 40 * np.exp(level) * herds.numbers[2, true]
        both = says.seen_an_hour(np.append(deer, seen), np.append(hours, 40.0), herds.numbers, BASE)
        assert imagined.stand(lucky, watched, one, BASE) == pytest.approx(
            both - says.seen_an_hour(deer, hours, before, BASE)
        )


def test_true_herds_run_through_all_of_them_and_luck_is_even(herds):
    """The middle of each ninety-sixth part; luck of both kinds has mean 0 and SD near 1, and is not the same."""
    assert herds.true.tolist() == [int((k + 0.5) * 3000 / 96) for k in range(96)]
    assert herds.z.mean(axis=1) == pytest.approx([0, 0], abs=1e-9)
    assert herds.z.std(axis=1) == pytest.approx([1, 1], abs=0.05)
    assert not np.allclose(herds.z[0], herds.z[1])
    assert log(herds.winter_half.mean()) < log(number(herds.now).mean())

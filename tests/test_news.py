"""What news is worth: gains, what stays unknown, and news that is too far off."""

from math import log, sqrt

import numpy as np
import pytest

from woodlot.news import Known, cv_of, gain, learn, log_var


def test_growth_that_cores_tell_by_hand():
    """.41 measured for .55 foretold, errors .20 and .15: .638 of it is taken, growth x .8291, .1196 stays."""
    known = learn(Known(log_var(0.20)), log(0.41 / 0.55), log_var(0.15))
    assert gain(log_var(0.20), log_var(0.15)) == pytest.approx(0.6380, abs=5e-5)
    assert (known.times, known.cv) == pytest.approx((0.8291, 0.1196), abs=5e-5)


def test_a_drive_beside_pellets_by_hand():
    """14 deer a square mile driven for 18 by pellets: .75 is taken, 14.908 deer, a rate of 25 becomes 30.185."""
    news = log_var(0.20) + log_var(0.15)
    known = learn(Known(log_var(0.45)), log(14 / 18), news)
    assert gain(log_var(0.45), news) == pytest.approx(0.75, abs=5e-5)
    assert (18 * known.times, 25 / known.times, known.cv) == pytest.approx((14.908, 30.185, 0.2172), abs=5e-4)


def test_order_does_not_matter():
    """Three pieces of news teach the same in any order, and the same as all at once."""
    news = [(-0.2, 0.01), (0.1, 0.03), (0.05, 0.002)]
    first = Known(0.02)
    ways = []
    for order in ((0, 1, 2), (2, 0, 1)):
        known = first
        for at in order:
            known = learn(known, *news[at])
        ways.append((known.log, known.var))
    weight = 1 / first.var + sum(1 / v for _, v in news)
    assert ways[0] == pytest.approx(ways[1])
    assert ways[0] == pytest.approx((sum(r / v for r, v in news) / weight, 1 / weight))


def test_news_too_far_off_is_not_believed():
    """Twice both errors together is the limit, from what is known by then."""
    known = Known(0.02, -0.1)
    limit = 2 * sqrt(0.02 + 0.01)
    assert known.believes(-0.1 + limit - 1e-9, 0.01) and not known.believes(-0.1 + limit + 1e-9, 0.01)
    assert known.believes(-0.1 - limit + 1e-9, 0.01) and not known.believes(-0.1 - limit - 1e-9, 0.01)


def test_variances_and_errors_go_both_ways():
    """A relative error comes back from its variance; gains take arrays."""
    assert cv_of(log_var(0.37)) == pytest.approx(0.37)
    assert gain(np.array([1.0, 3.0]), 1.0).tolist() == [0.5, 0.75]

"""Several counts together: pooled when they agree, an envelope when they do not."""

import numpy as np
import pytest

from woodlot.deer import pool
from woodlot.errors import InputError, NoAnswer
from woodlot.estimate import Estimate, interval
from woodlot.region import shipped

UNIT = "deer a square mile"


def count(value, cv, shared=None, method="a count"):
    """A count with so much error of its own (normal) and shared errors."""
    return interval(value, UNIT, se=value * cv, df=np.inf, n=50, shared=shared, method=method)


def test_counts_that_agree_are_pooled_by_hand():
    """10 and 14.4 with equal own error: the geometric mean 12; half-width of logs 1/sqrt(2) of one's."""
    told = pool.pool([count(10, 0.3), count(14.4, 0.3)], region=shipped("base"))
    assert told.agree and told.estimate.kind == "interval"
    assert told.estimate.value == pytest.approx(12.0)
    half = 1.644854 * np.sqrt(np.log(1.09)) / np.sqrt(2)
    assert told.estimate.low == pytest.approx(12 * np.exp(-half), rel=1e-5)
    assert told.spread == pytest.approx(1.44)


def test_counts_that_disagree_are_an_envelope():
    """10 and 30 with CV .2 each: lowest to highest, assumptions, the spread in words, no mean."""
    told = pool.pool([count(10, 0.2, method="pellets"), count(30, 0.2, method="a drive")], region=shipped("base"))
    assert told.agree is False and told.estimate.kind == "assumptions"
    assert told.estimate.low == count(10, 0.2).low and told.estimate.high == count(30, 0.2).high
    assert told.words.startswith("The counts disagree 3.0 times: pellets 10 (")
    assert "no mean of them is given" in told.words


def test_a_shared_rate_is_not_averaged_away():
    """Four pellet counts with one daily rate (CV .45): the pool is no narrower than the rate alone."""
    shared = {"pellet rate": 0.45}
    told = pool.pool([count(v, 0.15, shared) for v in (19, 20, 21, 20)], region=shipped("base"))
    half = np.log(told.estimate.high / told.estimate.low) / 2
    assert half > 1.644854 * np.sqrt(np.log(1 + 0.45**2))
    assert half < np.log(count(20, 0.15, shared).high / count(20, 0.15, shared).low) / 2


def test_the_same_wide_rate_does_not_hide_a_disagreement():
    """10 and 20 counted with one rate, CV .1 each of their own: they disagree, since the rate is the same for both."""
    shared = {"pellet rate": 0.45}
    assert pool.pool([count(10, 0.1, shared), count(20, 0.1, shared)], region=shipped("base")).agree is False
    assert pool.pool([count(10, 0.1, {"a": 0.45}), count(20, 0.1, {"b": 0.45})], region=shipped("base")).agree is True


def test_pools_of_the_truth_hold_it():
    """Three unbiased counts of 20 with CV .3: the pooled range holds 20 in 85 to 95 of 100 pools that agree."""
    rng = np.random.default_rng(3)
    sd = np.sqrt(np.log(1.09))
    held = []
    for _ in range(600):
        told = pool.pool([count(20 * np.exp(rng.normal(0, sd)), 0.3) for _ in range(3)], region=shipped("base"))
        if told.agree:
            held.append(told.estimate.low <= 20 <= told.estimate.high)
    assert 0.85 <= np.mean(held) <= 0.95
    assert len(held) > 540


def test_assumptions_are_shown_beside_and_never_weighed():
    """A camera range and the state's figure leave the pellet count as it is."""
    cameras = Estimate(60.0, UNIT, 40.0, 80.0, kind="assumptions", method="cameras")
    told = pool.pool([count(20, 0.3), cameras, pool.state_figure(25, 20, 30)], region=shipped("base"))
    assert told.estimate == count(20, 0.3)
    assert told.agree is None and len(told.beside) == 2


def test_nothing_to_pool_and_mixed_units_are_refused():
    """No count with a range, two units, a state figure outside its own limits: clear stops."""
    with pytest.raises(NoAnswer):
        pool.pool([Estimate(3.0, UNIT, why="6 groups on 40 plots")], region=shipped("base"))
    with pytest.raises(InputError):
        pool.pool([count(20, 0.3), interval(5, "deer", se=1, df=9, n=10)], region=shipped("base"))
    with pytest.raises(InputError):
        pool.state_figure(40, 20, 30)


@pytest.mark.parametrize("times", [1.2, 1.5, 1.8, 2.0, 2.2, 2.6])
def test_counts_disagree_by_the_odds_of_a_library_of_statistics(times):
    """Two counts of equal own error: squared distances of their logs from the mean, on one degree of freedom."""
    from scipy import stats

    chance = (np.log(times) / 2) ** 2 * 2 / np.log(1 + 0.3**2)
    told = pool.pool([count(10, 0.3), count(10 * times, 0.3)], region=shipped("base"))
    assert told.agree == (stats.chi2.sf(chance, 1) >= pool.default("disagree_odds", region=shipped("base")))

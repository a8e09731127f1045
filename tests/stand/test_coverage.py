"""Ranges hold the truth as often as they say, in made-up woods cruised through the same code a family uses."""

import numpy as np
import pandas as pd
import pytest

from woodlot.estimate import Estimate, add, sampling_only, scale
from woodlot.region import shipped
from woodlot.stand.cruise import estimates
from woodlot.stand.plots import means, plot_sums

LEVEL = 0.90


def counts(rng, shape, mean, cv):
    """Trees counted at prism points: Poisson round a gamma, so that the points spread by ``cv`` round ``mean``."""
    between = max(cv**2 - 1.0 / mean, 0.01)
    return rng.poisson(rng.gamma(1.0 / between, mean * between, shape))


def cruised(trees_in: np.ndarray, unit: str = "sq ft an acre", **words) -> list[Estimate]:
    """Estimates of basal area of many cruises: rows are cruises, columns points of factor 10."""
    cruises, n = trees_in.shape
    ids = np.arange(cruises * n).astype(str)
    plots = pd.DataFrame({"plot_id": ids, "stand_id": np.repeat(np.arange(cruises).astype(str), n), "kind": "prism"})
    trees = pd.DataFrame({"plot_id": ids, "species": "white oak", "dbh_in": 10.0, "count": trees_in.ravel()})
    table = means(plot_sums(plots.assign(baf_sqft_per_ac=10.0), trees, ["basal_sqft_per_ac"]))
    return list(estimates(table, unit, **words, region=shipped("base")).values())


def share_held(told: list[Estimate], truth: float) -> float:
    """Share of the ranges that hold the truth; every cruise must have one."""
    assert all(e.low is not None for e in told)
    return float(np.mean([e.low <= truth <= e.high for e in told]))


@pytest.mark.parametrize(("mean", "cv"), [(9.0, 0.43), (9.0, 0.6)])
@pytest.mark.parametrize("n", [5, 10, 20])
def test_ranges_of_one_stand_hold_the_truth(n, mean, cv):
    """5, 10 and 20 points, clumped and patchy: 85 to 95 times in 100 where 90 is said; few cruises get no range."""
    rng = np.random.default_rng(20261125 + n)
    told = [e for e in cruised(counts(rng, (1500, n), mean, cv)) if e.low is not None]
    assert len(told) > 1400
    assert 0.85 <= share_held(told, 10.0 * mean) <= 0.95


def test_a_normal_range_would_hold_too_seldom():
    """With z for t, five points hold the truth clearly less often than said: why t is used."""
    rng = np.random.default_rng(7)
    told = [e for e in cruised(counts(rng, (1500, 5), 9.0, 0.43)) if e.low is not None]
    z = [(e.value - 1.645 * e.se <= 90.0 <= e.value + 1.645 * e.se) for e in told]
    assert np.mean(z) < 0.85 < share_held(told, 90.0)


def test_a_table_that_is_off_is_covered_only_when_it_is_added():
    """Volume table off by a CV of .15, the same on every plot: 20 points hold 85 to 95 with it and under 75 without."""
    rng = np.random.default_rng(11)
    told = cruised(counts(rng, (1500, 20), 9.0, 0.43), shared={"volume table": 0.15})
    off = np.exp(rng.normal(0.0, np.sqrt(np.log(1.0225)), len(told)))
    with_it = share_held([scale(e, f, e.unit) for e, f in zip(told, off, strict=True)], 90.0)
    without = share_held([sampling_only(scale(e, f, e.unit)) for e, f in zip(told, off, strict=True)], 90.0)
    assert 0.85 <= with_it <= 0.95
    assert without < 0.75


def test_a_sum_over_stands_of_two_plots_holds_the_truth():
    """Three stands with two points each: no stand has a range, their sum has one that holds at least 85 in 100."""
    rng = np.random.default_rng(5)
    parts = [cruised(counts(rng, (1200, 2), 9.0, 0.43)) for _ in range(3)]
    assert all(e.low is None for e in parts[0])
    told = [add(three) for three in zip(*parts, strict=True)]
    told = [e for e in told if e.low is not None]
    assert len(told) > 1150
    assert 0.85 <= share_held(told, 270.0) <= 0.99


def test_a_sum_is_narrower_than_half_widths_added():
    """Six stands of six points: the sum's range is well under the lows and highs added up."""
    rng = np.random.default_rng(6)
    parts = [cruised(counts(rng, (200, 6), 9.0, 0.43)) for _ in range(6)]
    rows = [row for row in zip(*parts, strict=True) if all(e.low is not None for e in row)]
    assert len(rows) > 150
    sums = [add(row) for row in rows]
    widths = np.array([(s.high - s.low) / sum(e.high - e.low for e in row) for s, row in zip(sums, rows, strict=True)])
    assert np.median(widths) < 0.5
    assert 0.85 <= share_held(sums, 540.0) <= 0.97

"""Ranges hold the truth as often as they say, in made-up woods cruised through the same code a family uses."""

import numpy as np
import pandas as pd
import pytest

from woodlot.estimate import Estimate, add, sampling_only, scale, t_quantile
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
    """5, 10 and 20 points of a stand alone, clumped and patchy: 85 to 97 times in 100 where 90 is said (the usual
    spread of .60 makes few points of a clumped stand wide).
    """
    rng = np.random.default_rng(20261125 + n)
    told = [e for e in cruised(counts(rng, (1500, n), mean, cv)) if e.value]
    assert len(told) > 1400
    assert 0.85 <= share_held(told, 10.0 * mean) <= 0.97


def test_own_plots_alone_with_z_would_hold_too_seldom():
    """With their own spread and z for t, three points hold the truth clearly less often than said."""
    rng = np.random.default_rng(7)
    points = counts(rng, (1500, 3), 9.0, 0.43) * 10.0
    mean, se = points.mean(axis=1), points.std(axis=1, ddof=1) / np.sqrt(3)
    z = (mean - 1.645 * se <= 90.0) & (mean + 1.645 * se >= 90.0)
    told = [e for e in cruised((points / 10).astype(int)) if e.value]
    assert z.mean() < 0.85 < share_held(told, 90.0)


def test_a_table_that_is_off_is_covered_only_when_it_is_added():
    """Volume table off by a CV of .15, the same on every plot: 20 points hold 85 to 95 with it and under 75 without."""
    rng = np.random.default_rng(11)
    told = cruised(counts(rng, (1500, 20), 9.0, 0.43), shared={"volume table": 0.15})
    off = np.exp(rng.normal(0.0, np.sqrt(np.log(1.0225)), len(told)))
    with_it = share_held([scale(e, f, e.unit) for e, f in zip(told, off, strict=True)], 90.0)
    without = share_held([sampling_only(scale(e, f, e.unit)) for e, f in zip(told, off, strict=True)], 90.0)
    assert 0.85 <= with_it <= 0.95
    assert without < 0.75


#: Points a stand, their spread, what the first stand holds of the others' mean; least share of ranges that hold the
#: truth of a stand, of the first stand, and of a total (a place is five stands of one cover, means apart by .25).
PLACES = {
    "one point": (1, 0.43, 1.0, 0.93, 0.93, 0.92),
    "two points": (2, 0.43, 1.0, 0.88, 0.87, 0.90),
    "three points": (3, 0.43, 1.0, 0.88, 0.87, 0.88),
    "ten points": (10, 0.43, 1.0, 0.87, 0.86, 0.87),
    "patchy": (3, 0.68, 1.0, 0.85, 0.84, 0.85),
    "a stand of .4": (3, 0.43, 0.4, 0.87, 0.90, 0.86),
    "a stand of 2.2": (3, 0.43, 2.2, 0.87, 0.85, 0.85),
}


def counted(ids: np.ndarray, amounts: np.ndarray) -> pd.DataFrame:
    """Means by stand of points where every tree was measured."""
    sums = pd.DataFrame({"stand_id": ids, "what": "x", "amount": amounts, "spread": amounts, "line": None})
    return means(sums.assign(plot_id=np.arange(len(ids)).astype(str), seen=amounts > 0, r2=0.0, r_df=np.inf))


@pytest.mark.parametrize("case", list(PLACES))
def test_ranges_of_stands_that_help_each_other_hold_the_truth(case):
    """600 places of five stands each: every stand, the first one (odd where it says so), and the total."""
    n, cv, first, least, least_first, least_total = PLACES[case]
    rng = np.random.default_rng(20261130)
    truth = 90.0 * rng.gamma(16.0, 1 / 16.0, (600, 5))
    truth[:, 0] = 90.0 * first
    points = rng.poisson(truth[:, :, None] / 10.0 * rng.gamma(1 / (cv**2 - 0.11), cv**2 - 0.11, (600, 5, n)))
    held, firsts, totals, widths = [], [], [], []
    for place in range(600):
        ids = np.repeat(list("abcde"), n)
        table = counted(ids, 10.0 * points[place].ravel())
        told = estimates(table, "x", region=shipped("base"), cover=pd.Series("oak", index=list("abcde")))
        some = [(e, t) for e, t in zip(told.values(), truth[place], strict=True) if e.value]
        inside = [e.low <= t <= e.high for e, t in some]
        held += inside
        widths += [(e.high - e.low) / t for e, t in some]
        firsts += inside[:1] if told["a"].value else []
        total = add(told.values())
        totals.append(total.low <= truth[place].sum() <= total.high)
    print(f"{case}: stands {np.mean(held):.3f}, first {np.mean(firsts):.3f}, total {np.mean(totals):.3f}")
    print(f"median width {np.median(widths):.2f}")
    assert least <= np.mean(held) <= 0.995
    assert np.mean(firsts) >= least_first
    assert np.mean(totals) >= least_total


def test_three_points_beside_others_tell_more_than_alone():
    """Median width of a stand of three points among five is well under that by own plots alone (.74 to .51)."""
    rng = np.random.default_rng(9)
    points = 10.0 * counts(rng, (500, 3), 9.0, 0.43)
    ids = np.repeat(np.arange(500).astype(str), 3)
    table = counted(ids, points.ravel())
    group = pd.Series((np.arange(500) // 5).astype(str), index=np.arange(500).astype(str))
    told = [e for e in estimates(table, "x", region=shipped("base"), cover=group).values() if e.value]
    own = table[table["mean"] > 0]
    half = t_quantile(0.9, 2) * np.sqrt(np.log1p((own["se"] / own["mean"]) ** 2))
    alone = np.median(own["mean"] * (np.exp(half) - np.exp(-half)))
    assert np.median([e.high - e.low for e in told]) < 0.75 * alone


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

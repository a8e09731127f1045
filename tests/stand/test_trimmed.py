"""Ranges trimmed by the others of a cover: the example to the digit, the mean inside, how far an end may come in."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.stand.test_spread import EXAMPLE, means_of, told
from woodlot.estimate import interval, t_quantile
from woodlot.region import shipped
from woodlot.stand.cruise import estimates
from woodlot.stand.trimmed import _others, sides

#: A range of .80 with both ends has an end of .90 at each.
ONE_END = 0.80
REGION = shipped("base")


def reach(y, s, df, n, level=0.90):
    """``sides`` of plain lists."""
    return sides(*(np.array(x, dtype=float) for x in (y, s, df, n)), level, region=REGION)


def test_the_example_of_four_stands_to_the_digit():
    """A 16.987-33.909, B 12.177-32.849, C 20.724-40.128; with a table off by .12 16.125-35.720, 11.728-34.106 and
    19.732-42.620; D has one plot and is not trimmed: 6.122-41.817, 6.001-42.658.
    """
    like = pd.Series("oak", index=list(EXAMPLE))
    bare = estimates(means_of(EXAMPLE).assign(plots_with=1), "cords an acre", region=REGION, cover=like)
    ends = {"A": (16.987, 33.909), "B": (12.177, 32.849), "C": (20.724, 40.128), "D": (6.122, 41.817)}
    assert {s: (e.low, e.high) for s, e in bare.items()} == {s: pytest.approx(x, abs=5e-4) for s, x in ends.items()}
    off = estimates(means_of(EXAMPLE), "cords an acre", shared={"volume table": 0.12}, region=REGION, cover=like)
    ends = {"A": (16.125, 35.720), "B": (11.728, 34.106), "C": (19.732, 42.620), "D": (6.001, 42.658)}
    assert {s: (e.low, e.high) for s, e in off.items()} == {s: pytest.approx(x, abs=6e-4) for s, x in ends.items()}
    assert [e.value for e in off.values()] == [24.0, 20.0, 30.0, 16.0], "the mean of its own plots, never shrunk"


def test_what_the_others_hold_by_the_example():
    """Means of the others 24.284, 25.274 and 21.102; untrimmed ranges of A 15.125-38.083, B 10.231-39.096, C
    20.401-44.114.
    """
    of, y = told(EXAMPLE), np.log(means_of(EXAMPLE)["mean"].to_numpy())
    _, _, mu = sides(y, of.log_sd, of.df, means_of(EXAMPLE)["n"].to_numpy(), 0.9, region=REGION)
    assert np.exp(mu[:3]) == pytest.approx([24.284, 25.274, 21.102], abs=5e-4)
    ends = [(15.125, 38.083), (10.231, 39.096), (20.401, 44.114)]
    for value, s, df, n, wanted in zip((24, 20, 30), of.c2, of.df, (3, 2, 4), ends, strict=False):
        e = interval(value, "cords", se=value * (s / n) ** 0.5, df=df, n=n, least_n=1)
        assert (e.low, e.high) == pytest.approx(wanted, abs=6e-4)


def test_under_two_plots_or_two_others_nothing_is_trimmed():
    """Two stands; three of which one has one plot: that one is not, the two others are."""
    assert np.isnan(reach([3.0, 3.1], [0.2, 0.2], [6, 6], [4, 4])).all()
    down, up, _ = reach([3.0, 3.1, 2.9], [0.2, 0.3, 0.4], [6, 5, 4], [3, 2, 1])
    assert np.isfinite(down).tolist() == np.isfinite(up).tolist() == [True, True, False]


def test_a_stand_unlike_its_like_gets_a_wider_range_that_leans_to_them():
    """A stand of .4 beside six that agree: its high end goes out towards them; no end passes the mean."""
    y, s, df, n = [np.log(10.0)] + [np.log(25.0)] * 6, [0.24] * 7, [6.0] * 7, [3] * 7
    down, up, _ = reach(y, s, df, n)
    plain = 0.24 * t_quantile(0.9, 6)
    assert up[0] > 1.2 * plain and 0.0 < down[0] < plain and up[0] + down[0] > 2 * plain
    assert up[1] + down[1] < 2 * plain


def test_where_the_others_agree_each_end_comes_in_but_not_beyond_one_end_of_ninety():
    """All at one mean: each side shorter than t .95 s and longer than t .90 s, the one-sided end."""
    for s in (0.05, 0.25, 0.6, 1.5):
        down, up, _ = reach([3.0] * 6, [s] * 6, [6.0] * 6, [3] * 6)
        one, two = s * t_quantile(ONE_END, 6), s * t_quantile(0.9, 6)
        assert one < down[0] < two and one < up[0] < two


stand = st.tuples(st.floats(1.0, 5.0), st.floats(0.05, 1.2), st.integers(2, 12), st.integers(1, 10))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(stand, min_size=3, max_size=9), st.sampled_from([0.5, 0.8, 0.9, 0.99]), st.randoms(use_true_random=False)
)
def test_the_mean_lies_inside_whatever_the_others_hold(stands, level, random):
    """Both sides above 0 and none under the one-sided end; the order of stands is nothing; same in, same bits out."""
    y, s, df, n = zip(*stands, strict=True)
    out = reach(y, s, df, n, level)
    at = np.flatnonzero(np.array(n) >= 2)
    one_end = max(1.0 - 2.0 * (1.0 - level), 1e-9)
    least = np.array(s)[at] * np.array([t_quantile(one_end, d) for d in np.array(df)[at]])
    assert (out[:2, at] > 0.0).all() and (out[:2, at] >= least - 1e-9).all()
    order = list(range(len(stands)))
    random.shuffle(order)
    mixed = reach(*(np.array(x)[order] for x in (y, s, df, n)), level)
    assert mixed[:, np.argsort(order)] == pytest.approx(out, rel=1e-6, nan_ok=True)
    assert np.array_equal(out, reach(y, s, df, n, level), equal_nan=True)


def test_the_ends_solve_their_equations():
    """Put back: high = y - s q(a(1 - w)), w at that end solves z(a w) - z(a(1 - w)) = -2 s (th - mu)/t2; low alike."""
    from scipy.special import ndtri, stdtrit

    of, table = told(EXAMPLE), means_of(EXAMPLE)
    y = np.log(table["mean"].to_numpy())
    down, up, mu = sides(y, of.log_sd, of.df, table["n"].to_numpy(), 0.9, region=REGION)
    t2 = np.array([0.05875, 0.05304, 0.06314])
    for at in range(3):
        s, df = of.log_sd[at], of.df[at]
        for reached, share in ((up[at], lambda w: 0.1 * (1 - w)), (-down[at], lambda w: 1 - 0.1 * w)):
            w = np.linspace(0.02, 0.98, 200_001)
            end = y[at] - s * stdtrit(df, share(w))
            off = ndtri(0.1 * w) - ndtri(0.1 * (1 - w)) + 2 * s * (end - mu[at]) / t2[at]
            assert end[np.argmin(np.abs(off))] == pytest.approx(y[at] + reached, abs=2e-4)


def test_the_variance_between_stands_that_lie_apart():
    """Paule and Mandel: the others' squares about their weighted mean, each over its s^2 + T, come to their number less
    one; t2 is T and one over the sum of weights; alike, T is held at .0225.
    """
    y, v = np.array([2.0, 3.1, 2.4, 3.9, 3.0]), np.array([0.04, 0.02, 0.09, 0.05, 0.03])
    mu, t2 = _others(y, v, 0.0225)
    for at in range(5):
        yo, vo = np.delete(y, at), np.delete(v, at)

        def off(between, yo=yo, vo=vo):
            w = 1.0 / (vo + between)
            middle = (w * yo).sum() / w.sum()
            return (w * (yo - middle) ** 2).sum() - 3.0, middle, between + 1.0 / w.sum()

        low, high = 0.0, 10.0
        for _ in range(80):
            half = (low + high) / 2
            low, high = (half, high) if off(half)[0] > 0 else (low, half)
        assert low > 0.0225 and off(low)[1:] == pytest.approx((mu[at], t2[at]), rel=1e-7)
    _, near = _others(np.array([2.0, 2.01, 2.02]), np.full(3, 0.04), 0.0225)
    assert near == pytest.approx([0.0225 + 0.0625 / 2] * 3)


def test_two_thousand_stands_of_one_cover():
    """As quick as it is large, and each as if asked for with its others in small blocks."""
    rng = np.random.default_rng(5)
    y, s = rng.normal(3.0, 0.4, 2000), rng.uniform(0.15, 0.5, 2000)
    out = reach(y, s, np.full(2000, 6.0), np.full(2000, 3))
    assert np.isfinite(out).all() and (out[:2] > 0).all()
    w = 1.0 / (np.delete(s, 7) ** 2 + 0.16)
    assert out[2, 7] == pytest.approx((w * np.delete(y, 7)).sum() / w.sum(), abs=0.01)

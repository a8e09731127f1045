"""Estimates: ranges worked by hand, what adds in squares and what adds straight, and when there is no range."""

import pickle
from dataclasses import replace
from math import exp, hypot, inf, log, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.estimate import (
    Estimate,
    add,
    interval,
    reason,
    sampling_only,
    satterthwaite_df,
    scale,
    shared_only,
    t_quantile,
    without_range,
    z_quantile,
)
from woodlot.say.reasons import said

amounts = st.floats(1.0, 1e5)
spreads = st.floats(0.01, 1.5)
tables = st.floats(0.0, 0.5)


def cords(value=100.0, se=10.0, n=10, **words):
    """An estimate in cords."""
    return interval(value, "cords", se=se, df=n - 1, n=n, **words)


def test_quantiles_as_printed():
    """Student's t at 95 %, 4 df is 2.776 and at 90 %, 9 df 1.833; the normal one at 90 % is 1.645 (any t table)."""
    assert t_quantile(0.95, 4) == pytest.approx(2.776, abs=5e-4)
    assert t_quantile(0.90, 9) == pytest.approx(1.833, abs=5e-4)
    assert z_quantile(0.90) == pytest.approx(1.645, abs=5e-4)
    assert t_quantile(0.90, inf) == z_quantile(0.90)


def test_a_range_without_shared_errors_by_hand():
    """100 +- 10, 9 df: s = sqrt(ln 1.01) = .09975; times t 1.8331 = .18286; 100 e^-+.18286 = 83.29 and 120.06."""
    e = cords()
    assert (e.low, e.high, e.kind) == (pytest.approx(83.29, abs=0.005), pytest.approx(120.06, abs=0.005), "interval")


def test_a_range_with_a_shared_error_by_hand():
    """Table off by .15: sqrt(ln 1.0225) x 1.64485 = .24536; hypot(.18286, .24536) = .30601: 73.64 to 135.80."""
    e = cords(shared={"volume table": 0.15})
    assert (e.low, e.high) == (pytest.approx(73.64, abs=0.005), pytest.approx(135.80, abs=0.005))


def test_two_shared_errors_come_together_in_squares_by_hand():
    """.12 and .09 are .15 together: the same range as one error of .15."""
    both, one = cords(shared={"volume table": 0.12, "stacking": 0.09}), cords(shared={"volume table": 0.15})
    assert both.low == pytest.approx(one.low, rel=1e-12)


def test_strata_by_hand():
    """.6 of the ground 110, 130, 90, 150 and .4 of it 60, 80, 70: mean 72 + 28 = 100.

    s^2/n: 666.67/4 = 166.67 and 100/3 = 33.33; times .36 and .16: 60 and 5.333; SE = sqrt 65.333 = 8.083; df =
    65.333^2 / (60^2/3 + 5.333^2/2) = 4268.4 / 1214.2 = 3.515.
    """
    first = interval(120.0, "cords", se=sqrt(666.6667 / 4), df=3, n=4)
    second = interval(70.0, "cords", se=sqrt(100 / 3), df=2, n=3)
    e = add([scale(first, 0.6, "cords"), scale(second, 0.4, "cords")])
    assert (e.value, e.se, e.df) == (
        pytest.approx(100.0),
        pytest.approx(8.083, abs=5e-4),
        pytest.approx(3.515, abs=5e-4),
    )
    half = t_quantile(0.9, e.df) * sqrt(log(1 + (e.se / 100) ** 2))
    assert (e.low, e.high) == (pytest.approx(100 * exp(-half)), pytest.approx(100 * exp(half)))


def test_sampling_errors_add_in_squares_and_shared_ones_straight_by_hand():
    """100 +- 10 twice: 200 +- 14.14; a table off by .12 is off by .12 on the sum too, not by .085."""
    e = add([cords(shared={"volume table": 0.12}), cords(shared={"volume table": 0.12})])
    assert e.se == pytest.approx(14.142, abs=5e-4)
    assert dict(e.shared)["volume table"] == pytest.approx(0.12)
    assert (e.n, e.df) == (20, pytest.approx(18.0))


def test_a_shared_error_of_one_part_is_diluted_by_hand():
    """100 off by .12 beside 300 not off at all: 12 of 400 is .03."""
    e = add([cords(shared={"volume table": 0.12}), cords(300.0)])
    assert dict(e.shared)["volume table"] == pytest.approx(0.03)


def test_a_part_without_standard_error_leaves_the_sum_without_range():
    """One plot in one stand: the sum is told, its range is not, and why."""
    e = add([cords(), interval(40.0, "cords", se=None, df=0, n=1)])
    assert (e.value, e.low, e.kind) == (140.0, None, "none")
    assert "1 of 2 parts" in said(e.why)


def test_a_part_of_nothing_adds_nothing():
    """A stand with empty plots changes neither sum nor range."""
    e = add([cords(), interval(0.0, "cords", se=0.0, df=4, n=5)])
    assert (e.value, e.low, e.high) == (100.0, cords().low, cords().high)


def test_a_sum_of_one_part_is_that_part():
    """The same ground has one range: helped sides, samples and reason stay; words replace fields; no value is no part.

    With a second part, if only one of nothing, the sum goes by standard errors, not by helped sides.
    """
    helped = cords(shared={"volume table": 0.12}, sides=(0.2, 0.1), why=reason("usual spread"))
    assert add([helped]) == helped and add([Estimate(None, "cords"), helped]) == helped
    assert add([helped], method="m") == replace(helped, method="m")
    both = add([helped, interval(0.0, "cords", se=0.0, df=4, n=5)])
    assert both.sides is None and both.low == cords(shared={"volume table": 0.12}).low != helped.low


def test_satterthwaite_of_one_part_is_its_own():
    """One part keeps its degrees of freedom; parts without error do not count; a part without df leaves none."""
    assert satterthwaite_df([(4.0, 7.0), (0.0, 2.0)]) == pytest.approx(7.0)
    assert satterthwaite_df([]) == inf
    assert satterthwaite_df([(4.0, inf), (9.0, inf)]) == inf
    assert satterthwaite_df([(4.0, 0.0), (4.0, 9.0)]) == 0.0


@pytest.mark.parametrize(
    ("told", "why"),
    [
        ({"n": 1, "se": None, "df": 0}, "one sample has no range"),
        ({"n": 2, "se": 10.0, "df": 1}, "2 samples have no range"),
        ({"n": 5, "se": None, "df": 4}, "spread between samples is not known"),
        ({"n": 5, "se": 0.0, "df": 4}, "all 5 samples gave the same"),
        ({"n": 5, "se": 10.0, "df": 0}, "too few samples"),
    ],
)
def test_no_range_says_why(told, why):
    """Too few, unknown, all alike: a value, no range, and words."""
    e = interval(100.0, "cords", **told)
    assert (e.value, e.low, e.high, e.kind) == (100.0, None, None, "none")
    assert why in said(e.why)


def test_parts_of_one_pool_bring_the_degrees_of_one_by_hand():
    """Variances 4, 4 of 9 degrees: apart 64/(32/9) = 18, in one pool 9; 4 of 9 and 1 of 4: (5/(4/3 + 1/2))^2 = 7.44."""
    one = interval(10.0, "cords", se=2.0, df=9.0, n=3)
    pooled = replace(one, pool="oak")
    assert add([one, one]).df == pytest.approx(18.0)
    both = add([pooled, pooled])
    assert (both.df, both.pool) == (pytest.approx(9.0), "oak")
    assert both.se == pytest.approx(add([one, one]).se)
    assert add([both, pooled]).df == pytest.approx(9.0)
    assert add([pooled, replace(pooled, se=1.0, df=4.0)]).df == pytest.approx((5 / (4 / 3 + 1 / 2)) ** 2)
    mixed = add([pooled, one, pooled])
    assert (mixed.df, mixed.pool) == (pytest.approx(12.0**2 / (64 / 9 + 16 / 9)), None)
    assert add([pooled, replace(pooled, pool="pine")]).df == pytest.approx(18.0)
    assert add([replace(pooled, df=0.0), pooled]).df == 0.0
    assert scale(pooled, 3.0, "cords").pool == "oak"


def test_a_total_on_one_variance_holds_the_truth_as_often_as_it_says():
    """Five stands whose errors rest on one variance of 3 degrees: 90 in 100; taken apart (15 degrees) 82, by t of 3."""
    draw = np.random.default_rng(31)
    means = 100.0 + draw.normal(0.0, 5.0, (4_000, 5))
    errors = 5.0 * np.sqrt(draw.chisquare(3, 4_000) / 3)

    def holds(pool):
        told = [
            add([interval(m, "cords", se=se, df=3, n=3, pool=pool) for m in row])
            for row, se in zip(means.tolist(), errors.tolist(), strict=True)
        ]
        return np.mean([e.low <= 500.0 <= e.high for e in told])

    assert holds("oak") == pytest.approx(0.90, abs=0.012)
    assert holds(None) == pytest.approx(0.82, abs=0.012)


def test_nothing_found_has_no_range():
    """A value of 0 is told with words and no range."""
    e = interval(0.0, "cords", se=0.0, df=9, n=10)
    assert (e.low, e.kind) == (None, "none") and "on any plot" in said(e.why)


def test_a_full_count_has_only_shared_errors_by_hand():
    """Every tree counted, table off by .15: 100 e^-+.24536 = 78.24 to 127.81; without a table the count is exact."""
    e = interval(100.0, "cords", se=0.0, df=inf, n=40, shared={"volume table": 0.15})
    assert (e.low, e.high) == (pytest.approx(78.24, abs=0.005), pytest.approx(127.81, abs=0.005))
    exact = interval(100.0, "cords", se=0.0, df=inf, n=40)
    assert (exact.low, exact.high) == (100.0, 100.0)


@pytest.mark.parametrize(
    "told",
    [
        {"value": -1.0},
        {"value": float("nan")},
        {"se": -1.0},
        {"se": float("nan")},
        {"level": 90},
        {"level": 0.0},
        {"shared": {"volume table": -0.1}},
    ],
)
def test_numbers_that_cannot_be_are_refused(told):
    """Negative or missing numbers, and a level of 90 for .90."""
    with pytest.raises(InputError):
        interval(**({"value": 100.0, "unit": "cords", "se": 10.0, "df": 9, "n": 10} | told))


def test_unlike_things_are_not_added():
    """Cords and board feet, or ranges of two levels, or nothing at all."""
    with pytest.raises(InputError):
        add([cords(), interval(1.0, "board feet", se=0.1, df=9, n=10)])
    with pytest.raises(InputError):
        add([cords(), cords(level=0.95)])
    with pytest.raises(InputError):
        add([])


def test_a_range_of_assumptions_stays_one():
    """Adding to it or scaling it makes no interval of it."""
    assumed = Estimate(10.0, "deer", 5.0, 20.0, kind="assumptions", se=2.0, df=9.0, n=10)
    counted = interval(10.0, "deer", se=2.0, df=9, n=10)
    assert add([assumed, counted]).kind == "assumptions"
    assert scale(assumed, 2.0, "deer").kind == "assumptions"


def test_a_range_of_assumptions_without_error_is_carried_over_by_hand():
    """5 to 20 round 10, doubled: 10 to 40. A new error of .15: hypot(ln 2, .24536) = .73529 each way, 9.59 to 41.72."""
    assumed = Estimate(10.0, "deer", 5.0, 20.0, kind="assumptions")
    doubled = scale(assumed, 2.0, "deer")
    assert (doubled.low, doubled.high) == (10.0, 40.0)
    wider = scale(assumed, 2.0, "deer", {"rate": 0.15})
    assert (wider.low, wider.high) == (pytest.approx(9.59, abs=0.01), pytest.approx(41.72, abs=0.01))


def test_the_same_shared_error_met_twice_adds_straight():
    """Two steps that rest on the same stacked cord are off by twice its error."""
    e = scale(scale(cords(), 2.0, "cords", {"stacking": 0.08}), 1.0, "cords", {"stacking": 0.08})
    assert dict(e.shared)["stacking"] == pytest.approx(0.16)


def test_scaling_by_nothing_or_backwards():
    """0 acres give 0 without a range; a negative or missing factor is refused."""
    e = scale(cords(), 0.0, "cords")
    assert (e.value, e.low, e.kind) == (0.0, None, "none")
    for factor in (-1.0, float("nan"), inf):
        with pytest.raises(InputError):
            scale(cords(), factor, "cords")


def test_the_two_parts_of_a_range_make_the_whole():
    """In logarithms the part that plots mend and the part that no plot can mend are the legs of the whole."""
    e = cords(shared={"volume table": 0.12})
    plots, table = sampling_only(e), shared_only(e)
    legs = hypot(log(plots.high / 100), log(table.high / 100))
    assert legs == pytest.approx(log(e.high / 100), rel=1e-12)
    assert (plots.kind, table.kind) == ("interval", "assumptions")
    assert plots.low == cords().low


def test_parts_of_a_range_that_is_not_there():
    """No range, no parts of one; nothing shared, nothing that no plot can mend."""
    alone = interval(40.0, "cords", se=None, df=0, n=1, shared={"volume table": 0.1})
    assert sampling_only(alone).low is None and shared_only(alone).low is None
    assert shared_only(cords()).kind == "none"
    assert without_range(cords(), reason("no spread")).why == reason("no spread")


@given(amounts, spreads, st.integers(3, 60), tables)
def test_a_range_holds_its_value_and_widens(value, cv, n, table):
    """Low < value < high, equally far in logarithms; a shared error widens; more plots with the same error narrow."""
    bare = cords(value, cv * value, n)
    wide = cords(value, cv * value, n, shared={"volume table": table})
    assert wide.low <= bare.low < value < bare.high <= wide.high
    assert log(value / wide.low) == pytest.approx(log(wide.high / value), rel=1e-9)
    assert cords(value, cv * value, n + 5).high < bare.high


@given(amounts, spreads, st.integers(3, 60), tables, st.floats(0.01, 1000.0))
def test_acres_change_the_unit_and_nothing_else(value, cv, n, table, acres):
    """The range over the value is the same per acre and for the stand."""
    e = cords(value, cv * value, n, shared={"volume table": table})
    whole = scale(e, acres, "cords")
    assert whole.low / whole.value == pytest.approx(e.low / e.value, rel=1e-9)
    assert whole.high / whole.value == pytest.approx(e.high / e.value, rel=1e-9)


@given(st.lists(st.tuples(amounts, spreads, st.integers(3, 30), tables), min_size=2, max_size=6))
def test_sums_do_not_depend_on_order_and_are_narrower_than_half_widths_added(rows):
    """A sum is the same either way round; without shared errors its log range is within that of its widest part."""
    parts = [cords(v, cv * v, n, shared={"volume table": t}) for v, cv, n, t in rows]
    one, other = add(parts), add(parts[::-1])
    assert one.high == pytest.approx(other.high, rel=1e-9)
    assert one.value == pytest.approx(sum(p.value for p in parts))
    assert one.se <= sum(p.se for p in parts)
    assert dict(one.shared)["volume table"] <= max(t for *_, t in rows) + 1e-12


def test_an_estimate_is_a_plain_value():
    """It can be pickled, compared and be a key, with all that all plots share."""
    e = cords(shared={"volume table": 0.12, "stacking": 0.09})
    again = pickle.loads(pickle.dumps(e))
    assert again == e and {e: "once"}[again] == "once"
    assert again.shared == (("volume table", 0.12), ("stacking", 0.09))
    assert e != cords(shared={"volume table": 0.12})


@pytest.mark.parametrize("level", [0.5, 0.8, 0.9, 0.95, 0.99])
def test_quantiles_are_those_of_a_library_of_statistics(level):
    """Student's t at 1 to 400 degrees of freedom and broken ones, and the normal quantile without end."""
    from scipy import stats

    for df in (1, 1.5, 2, 3.7, 5, 12, 29, 120, 400):
        assert t_quantile(level, df) == pytest.approx(stats.t.ppf(0.5 + level / 2, df), rel=1e-9)
    assert z_quantile(level) == pytest.approx(stats.norm.ppf(0.5 + level / 2), rel=1e-12)

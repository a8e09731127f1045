"""Formulas of the yearly cut: printed examples, and Meyer's cut run forward to its goal."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.plan import cut


def test_textbook_formulas_as_printed():
    """forest.md section 7: Hundeshagen 8, von Mantel 10, Austrian 14, Meyer 8.278."""
    assert cut.cut_per_yr_hundeshagen(400, 300, 6) == 8.0
    assert cut.cut_per_yr_von_mantel(400, 80) == 10.0
    assert cut.cut_per_yr_austrian(400, 300, 20, 9) == 14.0
    assert cut.cut_per_yr_meyer(400, 500, 20, 0.03) == pytest.approx(8.278, abs=5e-4)


@settings(max_examples=200, deadline=None)
@given(st.floats(10, 1000), st.floats(0, 1500), st.integers(1, 60), st.floats(-0.02, 0.08))
def test_meyers_cut_leads_the_stock_to_its_goal_when_run_forward(stock, goal, years, rate):
    """Growth accrues, then the cut falls at the year's end: after n years the stock is the goal."""
    level = cut.cut_per_yr_meyer(stock, goal, years, rate)
    now = stock
    for _ in range(years):
        now = now * (1.0 + rate) - level
    assert now == pytest.approx(goal, rel=1e-7, abs=1e-5 * stock)


def test_formulas_take_arrays_and_refuse_percents_and_negatives():
    """3 instead of .03 is a percent, a stock is 0 or more."""
    told = cut.cut_per_yr_meyer(np.array([400.0, 200.0]), np.array([500.0, 100.0]), 20, 0.03)
    assert told.shape == (2,) and told[0] < told[1]
    for args in ((400, 500, 20, 3.0), (-1, 500, 20, 0.03), (400, 500, 0, 0.03)):
        with pytest.raises(InputError):
            cut.cut_per_yr_meyer(*args)

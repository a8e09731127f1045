"""Meyer's yearly cut: the printed example, and run forward to its goal; the rules of the covers."""

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.plan import cut
from woodlot.region import shipped


def test_meyers_cut_as_printed():
    """forest.md section 7: 400 to 500 in 20 years at 3 % is 8.278; without growth the difference over the years; what
    only is to stay gives its growth.
    """
    assert cut.cut_per_yr_meyer(400, 500, 20, 0.03) == pytest.approx(8.278, abs=5e-4)
    assert cut.cut_per_yr_meyer(400, 300, 20, 0.0) == 5.0
    assert cut.cut_per_yr_meyer(400, 400, 20, 0.03) == pytest.approx(12.0)


@settings(max_examples=200, deadline=None)
@given(st.floats(10, 1000), st.floats(0, 1500), st.integers(1, 60), st.floats(-0.02, 0.08))
def test_meyers_cut_leads_the_stock_to_its_goal_when_run_forward(stock, goal, years, rate):
    """Growth accrues, then the cut falls at the year's end: after n years the stock is the goal."""
    level = cut.cut_per_yr_meyer(stock, goal, years, rate)
    now = stock
    for _ in range(years):
        now = now * (1.0 + rate) - level
    assert now == pytest.approx(goal, rel=1e-7, abs=1e-5 * stock)


def test_every_cover_has_its_rules():
    """Covers that go as no other all stand in the rules; those that are thinned have a basal area to leave."""
    rules, covers = (shipped("base").table(name).set_index("cover") for name in ("cut_rules", "cover_types"))
    assert set(covers.index[covers["as"].isna()]) <= set(rules.index)
    assert rules.loc[rules["way"] == "thin", "leave_sqft_per_ac"].notna().all()


def test_columns_are_taken_and_percents_and_negatives_refused():
    """A goal out of reach is a negative cut; 3 instead of .03 is a percent, a stock is 0 or more."""
    told = cut.cut_per_yr_meyer(pd.Series([400.0, 100.0], index=["x", "y"]), 500, 20, 0.03)
    assert told["x"] == pytest.approx(8.278, abs=5e-4) and told["y"] < 0
    for args in ((400, 500, 20, 3.0), (-1, 500, 20, 0.03), (400, 500, 0, 0.03)):
        with pytest.raises(InputError):
            cut.cut_per_yr_meyer(*args)

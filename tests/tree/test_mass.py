"""Dry weights of trees by hand, and in the sums that must hold."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.region import shipped
from woodlot.tree import mass

NORTHERN = [s for s in shipped("base").species.listed if s != "douglas-fir"]


def test_stem_wood_by_hand():
    """Sugar maple 12 in, 65 ft: 22.903 ft3 x .56 x 62.4 = 800.3 lb, x 0.97063 = 776.8 once scaled."""
    told = mass.dry_lb_westfall_2024(12, 65, "sugar maple", region=shipped("base")).iloc[0]
    assert told["wood_lb"] / told["parts_ratio"] == pytest.approx(22.903 * 0.56 * 62.4, abs=0.05)


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(NORTHERN), st.floats(1, 30), st.floats(15, 100), st.sampled_from(["210", "M210", "220", "M220"]))
def test_parts_add_to_the_tree(species, dbh, height, division):
    """Wood, bark and branches are the tree; the guard keeps every factor between 0.75 and 1.30."""
    told = mass.dry_lb_westfall_2024(dbh, height, species, division, region=shipped("base")).iloc[0]
    assert told["wood_lb"] + told["bark_lb"] + told["branch_lb"] == pytest.approx(told["total_lb"])
    assert (told[["wood_lb", "bark_lb", "branch_lb", "foliage_lb"]] > 0).all()
    assert told["guarded"] or 0.75 <= told["parts_ratio"] <= 1.30


def test_the_guard_by_hand():
    """White spruce 12 in, 65 ft in 210: its own total is about 1.6 times the parts, so the parts stand."""
    told = mass.dry_lb_westfall_2024([5, 12, 24], [35, 65, 85], "white spruce", region=shipped("base"))
    assert told["guarded"].all()
    assert told["parts_ratio"].iloc[1] == pytest.approx(1.6, abs=0.1)
    assert told["parts_ratio"].iloc[2] == pytest.approx(2.1, abs=0.15)
    assert told["total_lb"].is_monotonic_increasing


def test_columns_keep_their_index_and_missing_values_pass():
    """Series in, frame with its index out; NaN stays NaN; scalar equals column."""
    dbh = pd.Series([12.0, np.nan], index=[7, 9])
    told = mass.dry_lb_westfall_2024(dbh, 65, pd.Series(["sugar maple", "aspen"], index=[7, 9]), region=shipped("base"))
    assert list(told.index) == [7, 9] and told["total_lb"].isna().tolist() == [False, True]
    assert told.loc[7, "total_lb"] == pytest.approx(
        mass.dry_lb_westfall_2024(12, 65, "hard maple", region=shipped("base"))["total_lb"].iloc[0]
    )

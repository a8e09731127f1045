"""Dry weights of trees against printed ones, by hand, and in the sums that must hold."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.tree import mass
from woodlot.tree.species import all_species, jenkins_group
from woodlot.units import CM_PER_IN, LB_PER_KG

PRINTED = Path(__file__).parent.parent / "printed"
NORTHERN = [s for s in all_species() if s != "douglas-fir"]


def printed(name):
    """Rows of printed values."""
    return pd.read_csv(PRINTED / f"{name}.csv").to_dict("records")


@pytest.mark.parametrize("row", printed("jenkins_2003"), ids=lambda r: f"group {r['group']} {r['dbh_cm']} cm")
def test_tree_weights_as_printed(row):
    """Nine groups at 10, 20 and 40 cm, kilograms to a tenth."""
    told = mass.dry_lb_jenkins_2003(row["dbh_cm"] / CM_PER_IN, row["group"]) / LB_PER_KG
    assert told == pytest.approx(row["printed"], abs=0.0501)


@pytest.mark.parametrize("row", printed("jenkins_2003_shares"), ids=lambda r: f"{r['group']} {r['dbh_in']} {r['part']}")
def test_shares_of_parts_as_printed(row):
    """Wood, bark, foliage and the rest, hardwood and softwood, 4 to 24 in, to a thousandth."""
    told = mass.parts_lb_jenkins_2003(row["dbh_in"], row["group"]).iloc[0]
    assert told[f"{row['part']}_lb"] / told["total_lb"] == pytest.approx(row["printed"], abs=0.0005001)


def test_sugar_maple_by_hand():
    """12 in = 30.48 cm: exp(-2.0127 + 2.4342 x 3.41707) = exp(6.3051) = 547.4 kg = 1,207 lb; parts as printed."""
    assert mass.dry_lb_jenkins_2003(12, jenkins_group("sugar maple")) == pytest.approx(1207, abs=0.5)
    share = mass.parts_lb_jenkins_2003(12, 9).iloc[0] / mass.dry_lb_jenkins_2003(12, 9)
    assert share["foliage_lb"] == pytest.approx(0.0205, abs=5e-5)
    assert share["stem_wood_lb"] == pytest.approx(0.616, abs=5e-4)
    assert share["stem_bark_lb"] == pytest.approx(0.126, abs=5e-4)
    assert share["branches_and_top_lb"] == pytest.approx(0.237, abs=5e-4)
    assert share["coarse_roots_lb"] == pytest.approx(0.189, abs=5e-4)


def test_stem_wood_by_hand():
    """Sugar maple 12 in, 65 ft: 22.903 ft3 x .56 x 62.4 = 800.3 lb, x 0.97063 = 776.8 once scaled."""
    told = mass.dry_lb_westfall_2024(12, 65, "sugar maple").iloc[0]
    assert told["wood_lb"] / told["parts_ratio"] == pytest.approx(22.903 * 0.56 * 62.4, abs=0.05)


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(NORTHERN), st.floats(1, 30), st.floats(15, 100), st.sampled_from(["210", "M210", "220", "M220"]))
def test_parts_add_to_the_tree(species, dbh, height, division):
    """Wood, bark and branches are the tree; the guard keeps every factor between 0.75 and 1.30."""
    told = mass.dry_lb_westfall_2024(dbh, height, species, division).iloc[0]
    assert told["wood_lb"] + told["bark_lb"] + told["branch_lb"] == pytest.approx(told["total_lb"])
    assert (told[["wood_lb", "bark_lb", "branch_lb", "foliage_lb"]] > 0).all()
    assert told["guarded"] or 0.75 <= told["parts_ratio"] <= 1.30


def test_the_guard_by_hand():
    """White spruce 12 in, 65 ft in 210: its own total is about 1.6 times the parts, so the parts stand."""
    told = mass.dry_lb_westfall_2024([5, 12, 24], [35, 65, 85], "white spruce")
    assert told["guarded"].all()
    assert told["parts_ratio"].iloc[1] == pytest.approx(1.6, abs=0.1)
    assert told["parts_ratio"].iloc[2] == pytest.approx(2.1, abs=0.15)
    assert told["total_lb"].is_monotonic_increasing


@settings(deadline=None)
@given(st.integers(1, 9), st.floats(1, 40), st.floats(0, 5))
def test_a_thicker_tree_never_weighs_less(group, dbh, more):
    """Weight rises with diameter in every group, and parts are parts."""
    assert mass.dry_lb_jenkins_2003(dbh + more, group) >= mass.dry_lb_jenkins_2003(dbh, group)
    parts = mass.parts_lb_jenkins_2003(dbh, group).iloc[0]
    inside = parts[["stem_wood_lb", "stem_bark_lb", "branches_and_top_lb", "foliage_lb"]]
    assert inside.sum() == pytest.approx(parts["total_lb"])


def test_columns_keep_their_index_and_missing_values_pass():
    """Series in, frame with its index out; NaN stays NaN; scalar equals column."""
    dbh = pd.Series([12.0, np.nan], index=[7, 9])
    told = mass.dry_lb_westfall_2024(dbh, 65, pd.Series(["sugar maple", "aspen"], index=[7, 9]))
    assert list(told.index) == [7, 9] and told["total_lb"].isna().tolist() == [False, True]
    assert told.loc[7, "total_lb"] == pytest.approx(mass.dry_lb_westfall_2024(12, 65, "hard maple")["total_lb"].iloc[0])
    many = mass.dry_lb_jenkins_2003(dbh, pd.Series([9, 6], index=[7, 9]))
    assert many[7] == pytest.approx(mass.dry_lb_jenkins_2003(12, 9)) and np.isnan(many[9])
    assert mass.dry_lb_jenkins_2003(12, "hard maple/oak/hickory/beech") == many[7]


@pytest.mark.parametrize("group", [0, 10, "maples", 2.5])
def test_an_unknown_group_is_a_clear_error(group):
    """Groups are 1 to 9."""
    with pytest.raises(InputError, match="1 to 9"):
        mass.dry_lb_jenkins_2003(12, group)

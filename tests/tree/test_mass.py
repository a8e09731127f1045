"""Dry weights of trees by hand, and in the sums that must hold."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.region import shipped
from woodlot.tree import mass, volume
from woodlot.tree.rows import row
from woodlot.tree.westfall import ln_quantity, stem_cuft_westfall_2024

NORTHERN = [s for s in shipped("base").species.listed if s != "douglas-fir"]


def test_stem_wood_by_hand():
    """Sugar maple 12 in, 65 ft: 22.903 ft3 x .56 x 62.4 = 800.3 lb, x 0.97063 = 776.8 once scaled."""
    told = mass.dry_lb_westfall_2024(12, 65, "sugar maple", region=shipped("base")).iloc[0]
    assert told["wood_lb"] / told["parts_ratio"] == pytest.approx(22.903 * 0.56 * 62.4, abs=0.05)


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(NORTHERN), st.floats(1, 30), st.floats(15, 100), st.sampled_from(["210", "M210", "220", "M220"]))
def test_parts_add_to_the_tree(species, dbh, height, division):
    """Wood, bark and branches are the tree, each more than nothing; told where the ratio is beyond 0.75 and 1.30."""
    told = mass.dry_lb_westfall_2024(dbh, height, species, division, region=shipped("base")).iloc[0]
    assert told["wood_lb"] + told["bark_lb"] + told["branch_lb"] == pytest.approx(told["total_lb"])
    assert (told[["wood_lb", "bark_lb", "branch_lb", "foliage_lb"]] > 0).all()
    assert told["guarded"] or 0.75 <= told["parts_ratio"] <= 1.30
    one = len(shipped("base").species.scaled_as(species)) == 1
    assert not one or told["guarded"] == (not 0.75 <= told["parts_ratio"] <= 1.30)


def by_row(species, division, dbh, height):
    """Stem wood (its volume times specific gravity times 62.4), bark, limbs and total by their rows."""
    wood = stem_cuft_westfall_2024(dbh, height, species, division, region=shipped("base"))
    sg = shipped("base").species.wood_property(species, "wood_sg")
    rows = (row(q, species, division, region=shipped("base")) for q in ("bark_lb", "branch_lb", "total_lb"))
    d = np.asarray(float(dbh))
    return wood * sg * 62.4, *(np.exp(ln_quantity(r, d, np.log(d), np.log(height))) for r in rows)


def test_over_the_band_the_limbs_take_the_rest_by_hand():
    """Quaking aspen M210, 5.5 in, 45 ft: .0775689 x 5.5^2.0070788 x 45^1.0182903 = 114.58 lb, 1.305 times its parts.

    Wood .000437115 x 5.5^1.8848912 x 45^1.4230087 = 2.447 ft3 x .35 x 62.4 = 53.44 lb, x 1.3 = 69.48; bark x 1.3 =
    23.95; limbs the rest, 21.15.
    """
    told = mass.dry_lb_westfall_2024(5.5, 45, "quaking aspen", "M210", region=shipped("base")).iloc[0]
    assert told["total_lb"] == pytest.approx(0.077568867 * 5.5**2.00707876 * 45**1.018290332, rel=1e-9)
    wood = 0.000437115 * 5.5**1.884891243 * 45**1.42300866 * 0.35 * 62.4
    assert told["wood_lb"] == pytest.approx(1.3 * wood, rel=1e-9) == pytest.approx(69.48, abs=0.005)
    assert told["bark_lb"] == pytest.approx(1.3 * by_row("quaking aspen", "M210", 5.5, 45)[1], rel=1e-9)
    assert told["branch_lb"] == pytest.approx(21.15, abs=0.005)
    assert told["parts_ratio"] == pytest.approx(1.305, abs=0.0005) and told["guarded"]


def test_under_the_band_the_stem_keeps_three_quarters_by_hand():
    """Boxelder 20 in, 40 ft: its limbs would weigh six stems; total 1,997.7 lb as its own row has it, wood x 0.75."""
    wood, bark, branch, total = by_row("boxelder", "210", 20, 40)
    told = mass.dry_lb_westfall_2024(20, 40, "boxelder", region=shipped("base")).iloc[0]
    assert branch > 5 * (wood + bark)
    assert told["total_lb"] == pytest.approx(total) == pytest.approx(1997.7, abs=0.05)
    assert told["wood_lb"] == pytest.approx(0.75 * wood) and told["bark_lb"] == pytest.approx(0.75 * bark)


def test_no_tree_weighs_less_than_three_quarters_of_stem_and_limbs_by_hand():
    """Yellow birch 210, 10 in, 20 ft: 0.75 of stem and limbs (under half the stem) is over its total by its row."""
    wood, bark, branch, total = by_row("yellow birch", "210", 10, 20)
    least = 0.75 * (wood + bark + min(branch, 0.5 * (wood + bark)))
    told = mass.dry_lb_westfall_2024(10, 20, "yellow birch", region=shipped("base")).iloc[0]
    assert total < least and told["total_lb"] == pytest.approx(least, rel=1e-9)


def test_a_doubtful_total_yields_to_the_group_by_hand():
    """White spruce 12 in, 65 ft: .9472564 x 12^1.9042576 x 65^.7230098 x .37 = 813.7 lb; its own row, 1.6 times 707."""
    told = mass.dry_lb_westfall_2024(12, 65, "white spruce", region=shipped("base")).iloc[0]
    assert told["total_lb"] == pytest.approx(0.947256394 * 12**1.904257586 * 65**0.723009833 * 0.37, rel=1e-9)
    assert told["total_lb"] / told["parts_ratio"] == pytest.approx(707.4, abs=0.05) and not told["guarded"]


def test_elm_weighs_as_published_where_it_was_tried():
    """0.9 percent on 105 trees of 1.0 to 21.7 in: its own row; beyond that in proportion to the row of its group."""
    region = shipped("base")
    levels = volume.levels_westfall_2024("american elm", "210", region=region).set_index("quantity")
    assert levels.loc["total_lb", "level"] == "species and division" and not levels.loc["total_lb", "passed_over"]
    served = row("total_lb", "american elm", "210", region=region)
    assert (served.low_in, served.high_in, served.beyond.level) == (1.0, 21.7, "group")
    at = {d: by_row("american elm", "210", d, 80.0)[3] for d in (21.7, 30.0)}
    group = {d: by_row("slippery elm", "210", d, 80.0)[3] for d in (21.7, 30.0)}
    assert at[30.0] / at[21.7] == pytest.approx(group[30.0] / group[21.7], rel=1e-9)


def test_columns_keep_their_index_and_missing_values_pass():
    """Series in, frame with its index out; NaN stays NaN; scalar equals column."""
    dbh = pd.Series([12.0, np.nan], index=[7, 9])
    told = mass.dry_lb_westfall_2024(dbh, 65, pd.Series(["sugar maple", "aspen"], index=[7, 9]), region=shipped("base"))
    assert list(told.index) == [7, 9] and told["total_lb"].isna().tolist() == [False, True]
    assert told.loc[7, "total_lb"] == pytest.approx(
        mass.dry_lb_westfall_2024(12, 65, "hard maple", region=shipped("base"))["total_lb"].iloc[0]
    )

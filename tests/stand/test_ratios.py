"""Trees counted but not measured: whose ratio they take, and what that does to sums and spreads."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.stand import ratios
from woodlot.stand.plots import expand, means, plot_sums, stand_table


def plots(count=3, stands="a"):
    """Prism points of factor 10."""
    ids = [str(i + 1) for i in range(count)]
    return pd.DataFrame(
        {"plot_id": ids, "stand_id": list(stands) * (1 if len(stands) > 1 else count), "kind": "prism"}
    ).assign(baf_sqft_per_ac=10.0)


def trees(*rows):
    """Rows of plot, species, dbh and count."""
    return pd.DataFrame(rows, columns=["plot_id", "species", "dbh_in", "count"])


TWO_STANDS = plots(3, "aab")


def test_a_counted_tree_borrows_from_the_nearest_that_has_any():
    """Own species in the stand, then the stand, then the species elsewhere, then anybody; live and dead apart."""
    told = trees(
        ("1", "red maple", 10.0, 1),
        ("2", "red maple", np.nan, 1),
        ("2", "white ash", np.nan, 1),
        ("3", "red maple", np.nan, 1),
        ("3", "white ash", np.nan, 1),
        ("3", "white ash", np.nan, 1),
    ).assign(alive=[True] * 5 + [False])
    assert expand(TWO_STANDS, told)["ratio_from"].tolist() == [
        "",
        "own species here",
        "here",
        "own species elsewhere",
        "elsewhere",
        "nobody",
    ]


def test_wood_of_counted_trees_by_hand():
    """Plot 1: a 10-in tree (18.335 per acre) of 12 cu ft and a 14-in one (9.354) of 30: 220.0 + 280.6 = 500.6.

    On 20 sq ft that is 25.03 cu ft per sq ft. Plot 2: three trees counted, 30 sq ft: 751.0 cu ft. Plot 3 is empty: the
    mean is 1251.6 / 3 = 417.2.
    """
    told = trees(("1", "oak", 10.0, 1), ("1", "oak", 14.0, 1), ("2", "oak", np.nan, 3)).assign(
        cuft=[12.0, 30.0, np.nan]
    )
    sums = plot_sums(plots(), told, ["cuft"])
    assert sums["amount"].to_numpy() == pytest.approx([500.65, 750.97, 0.0], abs=0.01)
    assert means(sums)["mean"][0] == pytest.approx(417.20, abs=0.01)


def test_the_ratio_of_sums_is_no_mean_of_ratios_by_hand():
    """A plot with one tree of 10 per sq ft and one with nine of 20: (10 x 10 + 90 x 20) / 100 = 19, not 15."""
    told = trees(("1", "oak", 10.0, 1), ("2", "oak", 10.0, 9), ("3", "oak", np.nan, 1))
    stem = np.pi / 576 * 100
    told["cuft"] = [10 * stem, 20 * stem, np.nan]
    assert plot_sums(plots(), told, ["cuft"])["amount"].to_numpy()[2] == pytest.approx(190.0)


def test_trees_that_disagree_about_the_ratio_widen_the_range_by_hand():
    """Half the basal area counted only, ratios 10 and 20 on the two measured trees, one tree on each of four points.

    Basal area has no spread; the ratio 15 has s^2/n = 50/2 = 25, a third of it, on 150 cu ft: 50, with one degree of
    freedom.
    """
    stem = np.pi / 576 * 100
    told = trees(("1", "oak", 10.0, 1), ("2", "oak", 10.0, 1), ("3", "oak", np.nan, 1), ("4", "oak", np.nan, 1))
    told["cuft"] = [10 * stem, 20 * stem, np.nan, np.nan]
    sums = plot_sums(plots(4), told, ["cuft"])
    assert sums["amount"].tolist() == pytest.approx([100, 200, 150, 150])
    assert sums["spread"].tolist() == pytest.approx([150] * 4)
    row = means(sums).iloc[0]
    assert (row["mean"], row["se"], row["df"]) == (pytest.approx(150.0), pytest.approx(50.0), pytest.approx(1.0))


def test_nothing_measured_gives_basal_area_and_no_trees():
    """Counted trees alone: basal area is told, trees per acre are missing, not 0."""
    told = means(plot_sums(plots(), trees(("1", "oak", np.nan, 4)))).set_index("what")["mean"]
    assert told["basal_sqft_per_ac"] == pytest.approx(40 / 3)
    assert np.isnan(told["trees_per_ac"])


def test_basal_area_of_counted_trees_is_not_moved_by_ratios():
    """The amount of a counted tree's basal area is its factor, whatever the others measure."""
    told = expand(plots(), trees(("1", "oak", 10.0, 1), ("2", "oak", np.nan, 2)))
    assert told["basal_sqft_per_ac"].tolist() == [10.0, 20.0]


def test_a_stand_table_spreads_counted_trees_over_the_classes_by_hand():
    """10 and 14 in measured (18.335 and 9.354 per acre), as much again counted: both classes doubled, over 3 plots."""
    told = trees(("1", "oak", 10.0, 1), ("1", "oak", 14.0, 1), ("2", "oak", np.nan, 2))
    table = stand_table(plots(), told)
    assert table["class_in"].tolist() == [10.0, 14.0]
    assert table["trees_per_ac"].tolist() == pytest.approx([2 * 18.3346 / 3, 2 * 9.3544 / 3], abs=1e-3)


def test_counted_trees_with_no_lender_in_the_stand_take_the_classes_of_others():
    """The only oak measured is one of 10 in elsewhere; where nobody measured any tree there is no class."""
    told = trees(("1", "oak", 10.0, 1), ("3", "oak", np.nan, 2))
    table = stand_table(TWO_STANDS, told)
    assert table["class_in"].tolist() == [10.0, 10.0]
    assert table["basal_sqft_per_ac"].tolist() == pytest.approx([10 / 2, 20 / 1])
    assert stand_table(TWO_STANDS, told[1:])["class_in"].isna().all()


kinds = st.sampled_from(["oak", "ash", "pine"])
rows = st.lists(
    st.tuples(
        st.integers(1, 6), kinds, st.one_of(st.just(np.nan), st.floats(5.0, 30.0)), st.integers(1, 4), st.booleans()
    ),
    min_size=1,
    max_size=40,
)


@settings(max_examples=20, deadline=None)
@given(rows)
def test_sums_hold_whatever_was_counted(drawn):
    """Amount and spread have one sum in each stand; tables and means agree; basal area is count times factor."""
    told = pd.DataFrame(drawn, columns=["plot_id", "species", "dbh_in", "count", "alive"])
    told["plot_id"] = told["plot_id"].astype(str)
    points = plots(6, "aaabbb")
    told["cuft"] = told["dbh_in"] ** 2.5
    out = expand(points, told)
    live = out[out["alive"]]
    assert live["basal_sqft_per_ac"].sum() == pytest.approx(10.0 * live["count"].sum())
    sums = plot_sums(points, out, ["trees_per_ac", "basal_sqft_per_ac", "cuft"])
    inside = out["ratio_from"].isin(["", "own species here", "here"])
    by_stand = sums.groupby(["stand_id", "what"])[["amount", "spread"]].sum(min_count=1)
    if live["counted_only"].sum() == 0 or inside.all():
        assert by_stand["amount"].to_numpy() == pytest.approx(by_stand["spread"].to_numpy(), nan_ok=True)
        table = stand_table(points, out).groupby("stand_id")[["trees_per_ac", "basal_sqft_per_ac"]].sum()
        mean = means(sums).pivot_table(index="stand_id", columns="what", values="mean").loc[table.index]
        assert table["trees_per_ac"].to_numpy() == pytest.approx(mean["trees_per_ac"].to_numpy())
        assert table["basal_sqft_per_ac"].to_numpy() == pytest.approx(mean["basal_sqft_per_ac"].to_numpy())


def test_whom_they_borrow_from_is_listed_nearest_first():
    """The order of the names is the order of the search."""
    assert list(ratios.LENDERS)[:2] == ["own species here", "here"]
    assert list(ratios.LENDERS)[2:4] == ["own species in cover", "in cover"]
    assert all("alive" in columns for columns in ratios.LENDERS.values())

"""Plots: printed factors and distances, expansion, means over all plots, plots needed."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.estimate import t_quantile
from woodlot.stand import plots as pl

PRINTED = Path(__file__).parents[1] / "printed"


def printed(name):
    """Rows of printed values."""
    return pd.read_csv(PRINTED / f"{name}.csv").to_dict("records")


def points(count, stand="a", kind="prism", **columns):
    """Plots 1, 2 ... of one stand: factor 10, or radius 26.33 ft."""
    told = pd.DataFrame({"plot_id": [str(i + 1) for i in range(count)], "stand_id": stand, "kind": kind})
    told = told.assign(baf_sqft_per_ac=10.0 if kind == "prism" else np.nan)
    return told.assign(radius_ft=np.nan if kind == "prism" else 26.33, **columns)


def tally(*rows, columns=("plot_id", "species", "dbh_in")):
    """Tree rows."""
    return pd.DataFrame(rows, columns=list(columns))


@pytest.mark.parametrize("row", printed("southern_extension_prism"), ids=lambda r: f"{r['dbh_in']} in")
def test_trees_per_acre_of_a_prism_as_printed(row):
    """Southern extension table, factor 10: the source rounds basal area to .001 first, then divides (10 in: 18.35).

    Rounded the same way our figures print the same; unrounded they lie within what that rounding can do.
    """
    unrounded = pl.trees_per_ac_prism(row["dbh_in"], row["baf_sqft_per_ac"])
    basal = row["baf_sqft_per_ac"] / unrounded
    assert round(basal, 3) == pytest.approx(row["basal_sqft"], abs=1e-9)
    assert row["baf_sqft_per_ac"] / round(basal, 3) == pytest.approx(row["printed"], abs=0.005 + 1e-9)
    assert unrounded == pytest.approx(row["printed"], rel=0.0005 / row["basal_sqft"] + 0.005 / row["printed"])


@pytest.mark.parametrize("row", printed("prism_reach"), ids=lambda r: f"factor {r['baf_sqft_per_ac']}, {r['printed']}")
def test_reach_of_a_prism_as_printed(row):
    """Farthest feet for each inch of diameter at factors 5, 10 and 20, half the last digit.

    Where the source divides 8.696 by the root of the factor, the figure for factor 1 is rounded so first: unrounded,
    factor 20 is 1.9445 and would print 1.945.
    """
    reach = pl.limiting_distance_ft_prism(1.0, row["baf_sqft_per_ac"])
    if str(row["rounded_first"]) == "reach_at_factor_1:3":
        reach = round(pl.limiting_distance_ft_prism(1.0, 1.0), 3) / np.sqrt(row["baf_sqft_per_ac"])
        assert reach == pytest.approx(pl.limiting_distance_ft_prism(1.0, row["baf_sqft_per_ac"]), rel=0.0005 / 8.696)
    assert reach == pytest.approx(row["printed"], abs=0.5 * 10.0 ** -row["decimals"])


@pytest.mark.parametrize("row", printed("plot_radii"), ids=lambda r: f"1/{r['plots_per_ac']} ac")
def test_radii_of_fixed_plots_as_worked_apart(row):
    """1/300, 1/20, 1/10, 1/5 acre: the radius that ``expand`` turns back into that many trees per acre."""
    told = pl.expand(points(1, kind="fixed").assign(radius_ft=row["printed"]), tally(("1", "oak", 10.0)))
    assert told["trees_per_ac"][0] == pytest.approx(row["plots_per_ac"], rel=2 * 0.005 / row["printed"])
    radius = np.sqrt(43560 / row["plots_per_ac"] / np.pi)
    assert radius == pytest.approx(row["printed"], abs=0.5 * 10.0 ** -row["decimals"])


def test_a_doubtful_tree_by_hand():
    """12.4 in at factor 10: 12.4 x sqrt(4356)/24 = 12.4 x 66/24 = 34.1 ft."""
    assert pl.limiting_distance_ft_prism(12.4, 10) == pytest.approx(34.1)


def test_reach_and_factor_belong_together():
    """A circle of the limiting distance, over an acre, is one over the trees per acre a tree stands for."""
    dbh = np.array([5.0, 11.3, 24.0])
    reach = pl.limiting_distance_ft_prism(dbh, 20.0)
    assert pl.trees_per_ac_round(reach) == pytest.approx(pl.trees_per_ac_prism(dbh, 20.0))


def test_numbers_come_back_as_they_went_in():
    """A number gives a float, a list or array an array, a Series a Series with its index."""
    column = pd.Series([10.0, 12.0], index=["x", "y"])
    assert isinstance(pl.trees_per_ac_prism(10, 10), float)
    assert isinstance(pl.trees_per_ac_prism([10, 12], 10), np.ndarray)
    told = pl.trees_per_ac_prism(column, 10)
    assert list(told.index) == ["x", "y"] and told["x"] == pl.trees_per_ac_prism(10, 10)
    assert pl.limiting_distance_ft_prism(column, pd.Series([10, 20], index=column.index))["y"] == pytest.approx(
        23.3345, abs=1e-4
    )
    assert isinstance(pl.trees_per_ac_round(37.24), float)


@pytest.mark.parametrize("bad", [0, -1.0, "ten", [10, 0]])
def test_sizes_that_cannot_be_are_refused(bad):
    """Diameters, factors and plots are above 0 and are numbers."""
    for call in (
        lambda: pl.trees_per_ac_prism(bad, 10),
        lambda: pl.trees_per_ac_prism(10, bad),
        lambda: pl.limiting_distance_ft_prism(bad, 10),
        lambda: pl.trees_per_ac_round(bad),
    ):
        with pytest.raises(InputError):
            call()


def test_arrays_of_two_lengths_are_refused():
    """Three diameters and two factors."""
    with pytest.raises(InputError, match="length"):
        pl.trees_per_ac_prism([8, 9, 10], [10, 20])


def test_expansion_by_hand():
    """Prism: 10 in is 18.335, counted twice 36.67, three in a row 55.00. Fixed, 26.33 ft: 43560/(pi 693.27) = 20.00."""
    plots = pd.concat([points(1), points(1, kind="fixed").assign(plot_id="f")], ignore_index=True)
    trees = tally(
        ("1", "oak", 10.0, 1, False),
        ("1", "oak", 10.0, 1, True),
        ("1", "oak", 10.0, 3, False),
        ("f", "oak", 10.0, 1, False),
        columns=("plot_id", "species", "dbh_in", "count", "count_twice"),
    )
    told = pl.expand(plots, trees)
    assert told["trees_per_ac"].tolist() == pytest.approx([18.3346, 36.6693, 55.0039, 20.0004], abs=1e-3)
    assert told["basal_sqft_per_ac"].tolist() == pytest.approx([10.0, 20.0, 30.0, 10.9085], abs=1e-3)
    assert not told["counted_only"].any() and (told["ratio_from"] == "").all()


@pytest.mark.parametrize(("slope", "low_pct"), [(20, 1.9), (30, 4.2), (40, 7.2)])
@pytest.mark.parametrize("kind", ["prism", "fixed"])
def test_slope_by_hand(slope, low_pct, kind):
    """Distances along the ground read 1.9, 4.2 and 7.2 % low at 20, 30 and 40 %; a slope in the table mends that."""
    trees = tally(("1", "oak", 10.0))
    flat = pl.expand(points(1, kind=kind), trees)["basal_sqft_per_ac"][0]
    sloped = pl.expand(points(1, kind=kind, slope_pct=slope), trees)["basal_sqft_per_ac"][0]
    assert 100 * (1 - flat / sloped) == pytest.approx(low_pct, abs=0.05)


def test_what_is_left_out_is_filled():
    """No count is one, no yes is no, nothing said of life is alive; other columns and the index stay."""
    trees = tally(
        ("1", "oak", 10.0, None, None, None, "x"),
        columns=("plot_id", "species", "dbh_in", "count", "count_twice", "alive", "note"),
    )
    trees.index = [7]
    told = pl.expand(points(1), trees)
    assert told.loc[7, ["count", "count_twice", "alive", "note"]].tolist() == [1.0, False, True, "x"]
    assert "alive" not in pl.expand(points(1), trees).columns.difference(told.columns)


def test_plot_ids_may_be_numbers():
    """Plot 1 of a table of whole numbers is plot "1"."""
    told = pl.expand(points(1).assign(plot_id=[1]), tally((1, "oak", 10.0)))
    assert told["stand_id"].tolist() == ["a"]


@pytest.mark.parametrize(
    ("plots", "trees", "words"),
    [
        (points(1), tally(("9", "oak", 10.0)), "not in the plots table: 9"),
        (points(0), tally(("1", "oak", 10.0)), "not in the plots table"),
        (pd.concat([points(1), points(1)]), tally(("1", "oak", 10.0)), "twice: 1"),
        (points(1).assign(kind="point"), tally(("1", "oak", 10.0)), "neither prism nor fixed: 1"),
        (points(1).assign(baf_sqft_per_ac=np.nan), tally(("1", "oak", 10.0)), "without a factor: 1"),
        (points(1, kind="fixed").assign(radius_ft=0.0), tally(("1", "oak", 10.0)), "without a radius: 1"),
        (points(1, kind="fixed"), tally(("1", "oak", np.nan)), "needs its diameter"),
        (points(1), tally(("1", "oak", -3.0)), "dbh_in"),
        (points(1).assign(stand_id=None), tally(("1", "oak", 10.0)), "without a stand: 1"),
    ],
)
def test_tables_that_cannot_be_expanded_are_refused(plots, trees, words):
    """Each fault by name, with the plots it is on."""
    with pytest.raises(InputError, match=words):
        pl.expand(plots, trees)


def test_empty_plots_count_by_hand():
    """80, 0 and 40 sq ft: mean 40, not 60. s^2 = (1600 + 1600 + 0)/2 = 1600, SE = 40/sqrt 3 = 23.09; two hold any."""
    trees = tally(("1", "oak", 10.0, 8), ("3", "oak", 12.0, 4), columns=("plot_id", "species", "dbh_in", "count"))
    row = pl.means(pl.plot_sums(points(3), trees, ["basal_sqft_per_ac"])).iloc[0]
    assert [row["mean"], row["se"]] == pytest.approx([40.0, 23.094], abs=1e-3)
    assert (row["n"], row["plots"], row["plots_with"]) == (3, 3, 2)


def test_a_simple_sample_by_hand():
    """80, 120, 100, 60, 140: mean 100, s 31.62, cv 31.6 %, SE 14.14; at 95 % t is 2.776 and the error 39.3 %."""
    counts = [8, 12, 10, 6, 14]
    trees = pd.DataFrame({"plot_id": list("12345"), "species": "oak", "dbh_in": 10.0, "count": counts})
    row = pl.means(pl.plot_sums(points(5), trees, ["basal_sqft_per_ac"])).iloc[0]
    assert row["mean"] == pytest.approx(100.0)
    assert row["se"] == pytest.approx(14.14, abs=0.005)
    assert row["cv_pct"] == pytest.approx(31.6, abs=0.05)
    assert 100 * t_quantile(0.95, 4) * row["se"] / row["mean"] == pytest.approx(39.3, abs=0.05)


def test_one_plot_has_a_mean_and_no_standard_error():
    """Missing, not 0."""
    row = pl.means(pl.plot_sums(points(1), tally(("1", "oak", 10.0)))).iloc[0]
    assert row["n"] == 1 and np.isnan(row["se"]) and np.isnan(row["cv_pct"])


def test_a_stand_with_only_empty_plots_has_a_mean_of_nothing():
    """0 with 0 plots that hold any; its neighbor is not touched."""
    plots = pd.concat([points(2), points(2, stand="b").assign(plot_id=["3", "4"])], ignore_index=True)
    told = pl.means(pl.plot_sums(plots, tally(("1", "oak", 10.0)), ["basal_sqft_per_ac"])).set_index("stand_id")
    assert told.loc["b", ["mean", "se", "plots_with"]].tolist() == [0.0, 0.0, 0]
    assert told.loc["a", "mean"] == 5.0


def test_no_tree_at_all():
    """A walk through nothing but empty plots gives rows of 0."""
    empty = tally().astype({"plot_id": object, "species": object, "dbh_in": float})
    told = pl.means(pl.plot_sums(points(3), empty))
    assert told["mean"].tolist() == [0.0, 0.0] and told["n"].tolist() == [3, 3]
    assert len(pl.stand_table(points(3), empty)) == 0


def test_dead_trees_are_never_in_live_sums():
    """One live and one dead tree of 10 sq ft: 10 each, apart."""
    trees = tally(
        ("1", "oak", 10.0, True), ("1", "oak", 10.0, False), columns=("plot_id", "species", "dbh_in", "alive")
    )
    for alive in (True, False):
        told = pl.plot_sums(points(1), trees, ["basal_sqft_per_ac"], alive=alive)
        assert told["amount"].tolist() == [10.0]


def test_species_apart_have_a_row_on_every_plot_of_their_stand():
    """Oak on plot 1 of 3, ash on plots 1 and 2: means 10/3 and 20/3, and they add up to the stand's."""
    trees = tally(("1", "oak", 10.0), ("1", "ash", 9.0), ("2", "ash", 14.0))
    sums = pl.plot_sums(points(3), trees, ["basal_sqft_per_ac"], split="species")
    assert len(sums) == 6
    told = pl.means(sums).set_index("species")
    assert told["mean"].to_dict() == pytest.approx({"ash": 20 / 3, "oak": 10 / 3})
    assert told["plots_with"].to_dict() == {"ash": 2, "oak": 1}
    whole = pl.means(pl.plot_sums(points(3), trees, ["basal_sqft_per_ac"]))
    assert told["mean"].sum() == pytest.approx(whole["mean"][0])


def test_trees_that_nobody_named_are_a_kind_of_their_own():
    """An oak and a tree without a name on one of two plots: 5 sq ft each, on one plot of two."""
    trees = tally(("1", "oak", 10.0), ("1", None, 10.0))
    told = pl.means(pl.plot_sums(points(2), trees, ["basal_sqft_per_ac"], split="species"))
    assert told["species"].isna().tolist() == [False, True]
    assert told[["mean", "plots", "plots_with"]].to_numpy().tolist() == [[5.0, 2, 1]] * 2


def test_counted_trees_beside_measured_ones_stand_for_as_many_by_hand():
    """One oak of 10 inches measured, two counted through the prism: 10 / .545415 = 18.3346 trees an acre for each."""
    trees = tally(("1", "oak", 10.0, 1), ("1", "oak", np.nan, 2), columns=("plot_id", "species", "dbh_in", "count"))
    told = pl.expand(points(1), trees)
    assert told["counted_only"].tolist() == [False, True]
    assert told["trees_per_ac"].tolist() == pytest.approx([18.3346, 36.6693], abs=1e-3)


def test_lines_as_the_sample_by_hand():
    """Lines of 2, 2 and 1 plots with 20+40, 60+80 and 100: mean 300/5 = 60, line means off by -30, 10 and 40.

    e = 60 - 120, 140 - 120, 100 - 60 = -60, 20, 40; se^2 = 3/2 x (3600 + 400 + 1600) / 25 = 336; se 18.33.
    """
    plots = points(5).assign(line=["A", "A", "B", "B", None])
    trees = pd.DataFrame({"plot_id": list("12345"), "species": "oak", "dbh_in": 10.0, "count": [2, 4, 6, 8, 10]})
    row = pl.means(pl.plot_sums(plots, trees, ["basal_sqft_per_ac"]), sample="line").iloc[0]
    assert (row["n"], row["plots"], row["mean"]) == (3, 5, 60.0)
    assert row["se"] == pytest.approx(18.330, abs=1e-3)


def test_plots_that_are_all_alike_have_no_spread():
    """Rounding noise is not taken for one."""
    trees = pd.DataFrame({"plot_id": list("123"), "species": "oak", "dbh_in": 11.7})
    told = pl.means(pl.plot_sums(points(3), trees))
    assert (told["se"] == 0.0).all()


def test_any_amount_per_tree_can_be_summed_and_none_may_be_missing():
    """12 cu ft in a 10-in tree are 220.0 per acre; a measured tree without the figure is an error, not a 0."""
    trees = tally(("1", "oak", 10.0)).assign(cuft=12.0)
    assert pl.plot_sums(points(1), trees, ["cuft"])["amount"][0] == pytest.approx(220.02, abs=0.01)
    with pytest.raises(InputError, match="cuft is missing for 1"):
        pl.plot_sums(points(1), trees.assign(cuft=np.nan), ["cuft"])


def test_a_stand_table_by_hand():
    """Class 6 holds 5.0 to 6.9, class 8 begins at 7.0: 5.0, 6.9 and 7.0 in on one of two fixed plots of 1/20 acre."""
    trees = tally(("1", "oak", 5.0), ("1", "oak", 6.9), ("1", "oak", 7.0))
    table = pl.stand_table(points(2, kind="fixed"), trees)
    assert table["class_in"].tolist() == [6.0, 8.0]
    assert table["trees_per_ac"].tolist() == pytest.approx([20.0, 10.0], abs=1e-3)
    assert table["basal_sqft_per_ac"].tolist() == pytest.approx(
        [10 * (25 + 47.61) * np.pi / 576, 10 * 49 * np.pi / 576], abs=1e-3
    )


def test_a_stand_table_adds_up_to_the_means():
    """Over classes and species the table is the stand."""
    trees = tally(("1", "oak", 5.3), ("2", "ash", 17.9), ("2", "ash", 9.0), ("3", "oak", 30.1))
    table, mean = pl.stand_table(points(4), trees), pl.means(pl.plot_sums(points(4), trees)).set_index("what")["mean"]
    assert table["trees_per_ac"].sum() == pytest.approx(mean["trees_per_ac"])
    assert table["basal_sqft_per_ac"].sum() == pytest.approx(mean["basal_sqft_per_ac"])


def test_plots_needed_by_hand():
    """A cv of 31.6 %, error 20 %, 95 %: 13 (12 would need 12.09, 13 need 11.85). Among 100 plots that cover all: 12.

    1 / (1/100 + 1/11.85) = 10.6; with 12 plots 1 / (1/100 + 1/12.09) = 10.8, with 11 (t 2.228, 12.39) 11.02: too many.
    """
    assert pl.plots_needed(31.6, 20) == 13
    assert pl.plots_needed(31.6, 20, population=100) == 12
    assert isinstance(pl.plots_needed(31.6, 20), int)


def test_plots_needed_for_a_loose_error_are_two():
    """A spread has to be seen: never fewer than two."""
    assert pl.plots_needed(5, 100) == 2


def test_plots_needed_takes_columns():
    """Arrays give arrays of whole numbers, Series keep their index."""
    told = pl.plots_needed(pd.Series([30.0, 60.0], index=["a", "b"]), 15, level=0.9)
    assert told.to_dict() == {"a": pl.plots_needed(30, 15, 0.9), "b": pl.plots_needed(60, 15, 0.9)}
    assert pl.plots_needed([30.0], 15).dtype.kind == "i"


@settings(max_examples=150, deadline=None)
@given(
    st.floats(1, 300),
    st.floats(1, 100),
    st.sampled_from([0.8, 0.9, 0.95, 0.99]),
    st.one_of(st.none(), st.integers(2, 5000)),
)
def test_plots_needed_is_the_least_number_that_meets_its_own_t(cv, error, level, population):
    """The number meets the error with t at n - 1, and n - 1 does not; it is never more than there are."""
    n = pl.plots_needed(cv, error, level, population)

    def wanted(plots):
        free = (t_quantile(level, plots - 1) * cv / error) ** 2
        return free if population is None else 1 / (1 / population + 1 / free)

    assert n >= wanted(n) * (1 - 1e-9)
    assert n == 2 or n - 1 < wanted(n - 1) * (1 + 1e-9)
    assert population is None or n <= max(population, 2)


@pytest.mark.parametrize(
    "told", [{"cv_pct": 0}, {"error_pct": 0}, {"level": 95}, {"population": 0}, {"cv_pct": "much"}]
)
def test_plots_needed_refuses_what_cannot_be(told):
    """No spread, no error, a level of 95 for .95, no plots, words."""
    with pytest.raises(InputError):
        pl.plots_needed(**({"cv_pct": 30, "error_pct": 20} | told))


@settings(max_examples=12, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 8), st.floats(1.0, 40.0), st.integers(1, 5)), max_size=30), st.floats(1.05, 2.0)
)
def test_means_behave(drawn, factor):
    """One more empty plot lowers the mean by n/(n+1); a larger factor raises it in proportion; order is nothing."""
    trees = pd.DataFrame(drawn, columns=["plot_id", "dbh_in", "count"]).assign(species="oak")
    trees["plot_id"] = trees["plot_id"].astype(str)
    trees["dbh_in"] = trees["dbh_in"].astype(float)

    def mean(plots, rows):
        return pl.means(pl.plot_sums(plots, rows))["mean"].to_numpy()

    base = mean(points(8), trees)
    assert mean(points(9), trees) == pytest.approx(base * 8 / 9)
    assert mean(points(8).assign(baf_sqft_per_ac=10 * factor), trees) == pytest.approx(base * factor)
    assert mean(points(8)[::-1], trees[::-1]) == pytest.approx(base)

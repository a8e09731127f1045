"""Points where trees were counted only: Bruce's rule, kinds that nobody wrote, stands without a measured tree."""

import runpy
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from woodlot.errors import InputError
from woodlot.estimate import interval
from woodlot.stand import counted, ratios
from woodlot.stand.eye import checked
from woodlot.stand.plots import expand, means, plot_sums, stand_table
from woodlot.trade import NO_COVER
from woodlot.units import basal_sqft

TRIAL = runpy.run_path(str(Path(__file__).parents[1] / "trials" / "counted_points.py"))
VBAR = (0.26, 0.31, 0.24, 0.29, 0.33, 0.27, 0.30, 0.22, 0.28, 0.25, 0.31)
COUNTS = (9, 6, 12, 8, 10)


def points(counts, stands=None, **more):
    """Prism points of factor 10 with all trees that were in."""
    ids = [str(i + 1) for i in range(len(counts))]
    base = {"plot_id": ids, "stand_id": stands or ["a"] * len(ids), "kind": "prism", "baf_sqft_per_ac": 10.0}
    return pd.DataFrame(base | {"live_in": pd.array(list(counts), dtype="Int64")} | more)


def measured(*rows):
    """Trees of a plot with their kind and cords per square foot; all 12 inches across."""
    out = pd.DataFrame(rows, columns=["plot_id", "species", "ratio"])
    return out.assign(dbh_in=12.0, cords=out["ratio"] * basal_sqft(12.0))


def example():
    """The example of five counts and eleven trees, a quarter of all."""
    at = ["1", "1", "1", "2", "3", "3", "3", "4", "4", "5", "5"]
    return points(COUNTS), measured(*[(p, "oak", v) for p, v in zip(at, VBAR, strict=True)])


def test_counts_and_eleven_trees_as_printed():
    """Counts 9 6 12 8 10 are 90 sq ft with 11.1111 %; ratios have mean .278182 with 3.6537 %.

    Together 25.036 cords, sqrt(11.1111^2 + 3.6537^2) = 11.6964 %, and 11.6964^4 / (11.1111^4/4 + 3.6537^4/10) = 4.889.
    """
    plots, trees = example()
    row = means(plot_sums(plots, trees, ["cords"])).iloc[0]
    assert row["mean"] == pytest.approx(25.036, abs=5e-4)
    assert 100 * row["se"] / row["mean"] == pytest.approx(11.6964, abs=5e-5)
    assert row["df"] == pytest.approx(4.889, abs=5e-4)
    told = interval(row["mean"], "cords an acre", se=row["se"], df=row["df"], n=5)
    assert (told.low, told.high) == (pytest.approx(19.772, abs=5e-4), pytest.approx(31.703, abs=5e-4))


def test_basal_area_is_the_count_alone():
    """45 trees on five points of factor 10: 90 sq ft, s/sqrt(n) = 10, four degrees of freedom."""
    row = means(plot_sums(*example())).set_index("what").loc["basal_sqft_per_ac"]
    assert (row["mean"], row["se"], row["df"]) == (pytest.approx(90.0), pytest.approx(10.0), 4)


def test_where_each_tree_was_measured_a_count_changes_nothing():
    """A count that says what the rows say is no news: the textbook s^2/n of plots."""
    plots, trees = example()
    rows = trees.groupby("plot_id").size().tolist()
    told, bare = (means(plot_sums(one, trees, ["cords"])) for one in (points(rows), plots.drop(columns="live_in")))
    pd.testing.assert_frame_equal(told, bare)


def test_a_point_of_none_is_empty_and_an_uncounted_one_has_its_rows():
    """0 in is 0 sq ft; where nothing was written the plot holds what its rows hold."""
    plots = points([0, None, 3])
    sums = plot_sums(plots, measured(("2", "oak", 0.3)), ["basal_sqft_per_ac", "cords"])
    assert sums["amount"].tolist() == pytest.approx([0, 10, 30, 0, 3, 9])


def test_more_rows_than_trees_in_are_refused():
    """Two rows where one tree was in; a tree counted twice at an edge is two."""
    with pytest.raises(InputError, match="more trees in the tally than were in: 1"):
        expand(points([1]), measured(("1", "oak", 0.3)).assign(count_twice=True))
    assert len(expand(points([2]), measured(("1", "oak", 0.3)).assign(count_twice=True))) == 1


def test_dead_trees_are_counted_apart():
    """Five live in and two dead, one of each measured: neither takes the ratio of the other."""
    trees = measured(("1", "oak", 0.3), ("1", "oak", 0.1)).assign(alive=[True, False])
    plots = points([5, 4], dead_in=pd.array([2, None], dtype="Int64"))
    live, dead = (means(plot_sums(plots, trees, ["cords"], alive=alive))["mean"][0] for alive in (True, False))
    assert (live, dead) == (pytest.approx(0.3 * 45), pytest.approx(0.1 * 10))


def test_kinds_that_nobody_wrote_are_those_of_measured_trees_by_hand():
    """Three oaks and an ash measured of 12 in: three quarters of the 60 sq ft are oak, 45 and 15."""
    trees = measured(("1", "oak", 0.3), ("1", "oak", 0.2), ("2", "oak", 0.4), ("2", "ash", 0.1))
    table = means(plot_sums(points([6, 6]), trees, ["cords", "basal_sqft_per_ac"], split="species"))
    mean = table.set_index(["what", "species"])["mean"]
    assert mean["basal_sqft_per_ac"].to_dict() == pytest.approx({"oak": 45.0, "ash": 15.0})
    assert mean["cords"].to_dict() == pytest.approx({"oak": 45 * 0.3, "ash": 1.5})
    assert table.set_index(["what", "species"]).loc[("cords", "ash"), "plots_with"] == 1


def test_a_kind_seen_on_some_points_is_told_less_surely_by_hand():
    """Shares .5 and 1 of oak on two points of two trees each, counts alike: r2 = 2 x 2 x 5^2 / 40^2 / .75^2.

    Oak is 30 of 40 sq ft measured; points are off by 10 - .75 x 20 = -5 and +5; n/(n - 1) = 2. Basal area has no
    spread, so this is all, with one degree of freedom.
    """
    trees = measured(("1", "oak", 0.3), ("1", "ash", 0.3), ("2", "oak", 0.3), ("2", "oak", 0.3))
    row = (
        means(plot_sums(points([6, 6]), trees, ["basal_sqft_per_ac"], split="species")).set_index("species").loc["oak"]
    )
    assert row["mean"] == pytest.approx(45.0)
    assert (row["se"] / row["mean"]) ** 2 == pytest.approx(2 * 50 / 40**2 / 0.75**2)
    assert row["df"] == pytest.approx(1.0)


COVERS = {"cover": ["oak", "oak", "oak", "pine", "oak"]}


def test_a_stand_that_was_only_counted_takes_kinds_and_wood_of_its_cover():
    """Stand c has no measured tree: oaks of a and b, not the pine of d."""
    plots = points([5, 5, 4, 5, 5], ["a", "b", "c", "d", "c"], **COVERS)
    trees = measured(("1", "oak", 0.2), ("2", "oak", 0.4), ("4", "pine", 0.9))
    out = expand(plots, trees)
    mine = out[out["stand_id"] == "c"]
    assert set(mine["species"]) == {"oak"} and set(mine["ratio_from"]) == {"own species in cover"}
    row = means(plot_sums(plots, trees, ["cords"])).set_index("stand_id").loc["c"]
    assert row["mean"] == pytest.approx(45 * 0.3)
    basal, ratio = (5 / 45) ** 2, 0.02 * 1.5 / 0.3**2
    assert (row["se"] / row["mean"]) ** 2 == pytest.approx(basal + ratio)
    assert row["df"] == pytest.approx((basal + ratio) ** 2 / (basal**2 + ratio**2))


def test_stands_of_no_cover_lend_to_none_by_cover():
    """A cover that nobody gave is none to share: the whole place lends."""
    out = expand(points([5, 5], ["a", "b"], cover=NO_COVER), measured(("1", "oak", 0.2)))
    assert set(out.loc[out["stand_id"] == "b", "ratio_from"]) == {"own species elsewhere"}


def test_nothing_measured_anywhere_gives_basal_area_and_no_wood():
    """Counts alone: 50 sq ft, no cords, and a kind that says that nobody knows."""
    out = expand(points([5]), measured())
    assert out["species"].tolist() == [ratios.NO_KIND]
    table = means(plot_sums(points([5]), out.assign(cords=np.nan), ["cords", "basal_sqft_per_ac"])).set_index("what")
    assert np.isnan(table.loc["cords", "mean"]) and table.loc["basal_sqft_per_ac", "mean"] == 50.0


def test_one_measured_tree_takes_the_spread_of_others_by_hand():
    """Stand b has one tree: its ratio is as unsure as one tree is, pooled over a, (1/7)^2 x 2 over one."""
    plots = points([6, 6, 5, 5], ["a", "a", "b", "b"])
    trees = measured(("1", "oak", 0.3), ("2", "oak", 0.4), ("3", "oak", 0.5))
    row = means(plot_sums(plots, trees, ["cords"])).set_index("stand_id").loc["b"]
    assert (row["se"] / row["mean"]) ** 2 == pytest.approx(2 * (1 / 7) ** 2)


def test_a_kind_written_for_counted_trees_has_the_counts_of_its_kind():
    """Ash counted on both points by its kind, oak measured: ash has its own basal area, at the oaks' ratio."""
    trees = measured(("1", "oak", 0.3), ("2", "oak", 0.3), ("1", "ash", np.nan), ("2", "ash", np.nan))
    trees.loc[2:, ["dbh_in", "cords"]] = np.nan
    plots = points([None, None])
    table = means(plot_sums(plots, trees.assign(count=[1, 1, 1, 3]), ["cords"], split="species")).set_index("species")
    assert table.loc["ash", ["mean", "se"]].tolist() == pytest.approx([6.0, 3.0])


def test_a_stand_table_of_counts_has_the_classes_of_its_cover():
    """Two stands, one counted only: its basal area stands in the classes of the other, 10 and 14 in."""
    plots = points([None, 4], ["a", "b"], cover=["oak"] * 2)
    trees = pd.DataFrame({"plot_id": ["1", "1"], "species": "oak", "dbh_in": [10.0, 14.0]})
    table = stand_table(plots, trees).set_index(["stand_id", "class_in"])
    assert table.loc["b", "basal_sqft_per_ac"].to_dict() == pytest.approx({10.0: 20.0, 14.0: 20.0})
    assert table.loc["b", "trees_per_ac"].to_numpy() == pytest.approx(2 * table.loc["a", "trees_per_ac"].to_numpy())


@pytest.mark.parametrize(
    ("minutes", "a_point", "n", "error_pct", "all_n", "all_pct"),
    [(6, 0.66, 60, 6.7, 14.5, 11.9), (15, 1.04, 26.5, 9.6, 11.4, 13.5)],
)
def test_trees_a_point_as_printed(minutes, a_point, n, error_pct, all_n, all_pct):
    """8 hours, CV .45 and .21, 3 minutes a tree; beside them 9 trees measured on each point."""
    trees = counted.trees_a_point(0.21, 0.45, minutes / 60, 3 / 60)
    assert round(trees, 2) == a_point
    points_of, error = counted.day_of(trees, 0.21, 0.45, minutes / 60, 3 / 60, 8)
    assert points_of == pytest.approx(n, abs=0.5 if n == 60 else 0.05) and round(error, 1) == error_pct
    points_of, error = counted.day_of(9, 0.21, 0.45, minutes / 60, 3 / 60, 8)
    assert (round(points_of, 1), round(error, 1)) == (all_n, all_pct)


def test_trees_a_point_are_told_in_whole_trees():
    """.66 is two on every third point, 1.04 one on each, .24 one on every fourth, 3.2 three on each."""
    assert [counted.in_steps(x) for x in (0.66, 1.04, 0.24, 3.2, 0.5)] == [(2, 3), (1, 1), (1, 4), (3, 1), (1, 2)]


def test_a_checked_point_that_was_counted_has_its_count():
    """Nine in by eye, one of them measured; the tape found ten: nine is what the eye saw."""
    told = checked(points([9]).assign(checked_count=10), measured(("1", "oak", 0.3)))
    assert told.loc["1"].tolist() == [9.0, 10.0]


def test_full_points_that_hold_more_wood_per_basal_area_widen_the_range_by_hand():
    """Ten points of 4 trees of ratio .2 and of 8 of ratio .4, one of each measured: R .3, mean 60 x .3 = 18.

    Linear form: a point counts for 40 x .3 + (2 - 3) x 60/10 = 6 or 80 x .3 + (4 - 3) x 60/10 = 30, 12 off the mean:
    variance of the mean 144/9, SE 4; Bruce's rule, for which counts and ratios have nothing to do with each other,
    says 18 x sqrt(1/81 + 1/81) = 2.83.
    """
    ratio = [0.2, 0.4] * 5
    trees = measured(*[(str(k + 1), "oak", v) for k, v in enumerate(ratio)])
    row = means(plot_sums(points([4, 8] * 5), trees, ["cords"])).iloc[0]
    assert (row["mean"], row["se"]) == (pytest.approx(18.0), pytest.approx(4.0))
    few = means(plot_sums(points([4, 8] * 4), trees[:8], ["cords"])).iloc[0]
    assert few["se"] / 18 == pytest.approx(np.sqrt(2 / 63))


@pytest.mark.parametrize("wood", ["clumped", "patchy", "sized"])
def test_ranges_hold_where_a_quarter_is_measured(wood):
    """120 cruises of ten points of tests/trials/counted_points.py; with 2,000 it is 90, 90 and 87 in 100.

    Nothing is lost by counting three trees of four: the range is hardly wider than where each is measured.
    """
    told = TRIAL["trial"](wood, 10, 120)
    (held, width), (_, whole) = told["quarter"], told["all"]
    assert held >= 82.0 and width < 1.15 * whole

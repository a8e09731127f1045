"""Cruises: when there is a range and what is said when not, summaries, next plots."""

from math import exp, log, sqrt

import numpy as np
import pandas as pd
import pytest

from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.say.reasons import said
from woodlot.stand.cruise import estimates, summary
from woodlot.stand.plots import means, plot_sums


def cruise(**stands):
    """Prism points of factor 10; stand -> number of 10-in oaks on each plot."""
    plots, trees = [], []
    for stand, counts in stands.items():
        for i, count in enumerate(counts):
            plots.append((f"{stand}{i}", stand, "prism", 10.0))
            if count:
                trees.append((f"{stand}{i}", "white oak", 10.0, count))
    return (
        pd.DataFrame(plots, columns=["plot_id", "stand_id", "kind", "baf_sqft_per_ac"]),
        pd.DataFrame(trees, columns=["plot_id", "species", "dbh_in", "count"]).astype({"dbh_in": float}),
    )


def basal(**stands):
    """Means of basal area of a made-up cruise."""
    return means(plot_sums(*cruise(**stands), ["basal_sqft_per_ac"]))


UNIT = "sq ft an acre"


def test_a_range_by_hand():
    """80, 120, 100, 60, 140: mean 100, SE 14.142; s = sqrt(ln 1.02) = .14072, t 2.1318: half .30000: 74.1 to 135.0."""
    e = estimates(basal(a=[8, 12, 10, 6, 14]), UNIT, region=shipped("base"))["a"]
    half = 2.13185 * sqrt(log(1.02))
    assert half == pytest.approx(0.3, abs=1e-4)
    assert (e.low, e.high) == (pytest.approx(100 * exp(-half), rel=1e-4), pytest.approx(100 * exp(half), rel=1e-4))
    assert (e.n, e.df, e.unit, e.ground_ac) == (5, 4, UNIT, None)


def test_acres_multiply_the_mean_and_its_error():
    """Per acre times 12.5 acres; the ground it speaks of rides along."""
    table = basal(a=[8, 12, 10, 6, 14])
    one, whole = (
        estimates(table, UNIT, region=shipped("base"))["a"],
        estimates(table, "sq ft", pd.Series({"a": 12.5}), region=shipped("base"))["a"],
    )
    assert [whole.value, whole.low, whole.high] == pytest.approx([12.5 * x for x in (one.value, one.low, one.high)])
    assert whole.ground_ac == 12.5


@pytest.mark.parametrize(
    ("counts", "value", "why"),
    [
        ([9], 90.0, "one plot has no range of its own; 3 would give a first one"),
        ([9, 7], 80.0, "2 plots have no range of their own; 3 would give a first one"),
        ([0], 0.0, "nothing on the one plot"),
        ([0, 0, 0, 0], 0.0, "nothing on any of the 4 plots"),
        ([9, 0, 0, 0, 0, 9], 30.0, "seen on 2 of 6 plots, about 30"),
        ([9, 9, 9, 9, 0, 0, 0], 51.43, "seen on 4 of 7 plots, about 51"),
        ([9, 7, 0], 53.33, "seen on 2 of 3 plots, about 53"),
        ([8, 8, 8], 80.0, "all 3 samples gave the same, so their spread cannot be told"),
    ],
)
def test_no_range_says_why(counts, value, why):
    """One plot, two plots, none found, found on too few, all alike: a value, no range, words."""
    e = estimates(basal(a=counts), UNIT, region=shipped("base"))["a"]
    assert e.value == pytest.approx(value, abs=0.01)
    assert (e.low, e.kind, said(e.why)) == (None, "none", why)


@pytest.mark.parametrize("counts", [[9, 7, 8], [9, 7, 8, 3], [9, 7, 8, 3, 1, 0, 0, 0, 0]])
def test_a_thing_on_every_plot_or_on_five_has_a_range(counts):
    """Three plots that all hold it are enough; where some are empty five have to hold it."""
    e = estimates(basal(a=counts), UNIT, region=shipped("base"))["a"]
    assert e.kind == "interval" and e.low < e.value < e.high and e.why is None


def test_nothing_measured_has_no_value():
    """Counted trees without one measured: no trees per acre, and what would help."""
    plots, trees = cruise(a=[3, 2, 4])
    table = means(plot_sums(plots, trees.assign(dbh_in=np.nan), ["trees_per_ac"]))
    e = estimates(table, "trees an acre", region=shipped("base"))["a"]
    assert e.value is None and "one measured tree" in said(e.why)


def test_shared_errors_by_stand_and_for_all():
    """A Series gives each stand its own; a number goes to all; a stand with wood and no figure is refused."""
    table = basal(a=[8, 12, 10], b=[8, 12, 10], c=[0, 0, 0])
    told = estimates(table, UNIT, shared={"volume table": pd.Series({"a": 0.1, "b": 0.15})}, region=shipped("base"))
    assert told["b"].high > told["a"].high
    assert told["c"].shared == ()
    assert estimates(table, UNIT, shared={"volume table": 0.1}, region=shipped("base"))["b"].high == pytest.approx(
        told["a"].high
    )
    with pytest.raises(InputError, match="stand b"):
        estimates(table, UNIT, shared={"volume table": pd.Series({"a": 0.1})}, region=shipped("base"))


def test_rows_that_do_not_fit_are_refused():
    """Two rows of one stand, or a stand without acres."""
    table = means(plot_sums(*cruise(a=[8, 9, 10])))
    with pytest.raises(InputError, match="one row a stand"):
        estimates(table, UNIT, region=shipped("base"))
    with pytest.raises(InputError, match="no acres"):
        estimates(basal(a=[8, 9]), UNIT, pd.Series({"b": 3.0}), region=shipped("base"))


def test_a_summary_by_hand():
    """Stand a: one 10-in and one 14-in oak at factor 10 on plot 1 of 2, the second empty; a dead one beside.

    10 sq ft of each over 2 plots: 10 sq ft; trees (18.335 + 9.354)/2 = 13.844; quadratic mean
    sqrt(10/13.844/.0054542) = 11.508; mean (18.335 x 10 + 9.354 x 14)/27.689 = 11.351; dead 12 in: 12.732/2 = 6.366 per
    acre.
    """
    plots = pd.DataFrame({"plot_id": ["1", "2"], "stand_id": "a", "kind": "prism", "baf_sqft_per_ac": 10.0})
    plots["date"] = pd.to_datetime(["2026-10-09", "2026-10-11"])
    trees = pd.DataFrame(
        {"plot_id": "1", "species": "white oak", "dbh_in": [10.0, 14.0, 12.0], "alive": [True, True, False]}
    )
    row = summary(plots, trees, region=shipped("base")).iloc[0]
    told = row[
        ["basal_sqft_per_ac", "trees_per_ac", "qmd_in", "mean_dbh_in", "dead_trees_per_ac", "dead_basal_sqft_per_ac"]
    ]
    assert told.tolist() == pytest.approx([10.0, 13.844, 11.508, 11.351, 6.366, 5.0], abs=1e-3)
    assert row[["plots", "empty_plots", "how"]].tolist() == [2, 1, "few plots"]
    assert row["measured_on"] == pd.Timestamp("2026-10-11")
    share = (18.3346 * 0.003695 + 9.3544 * 0.003695 * 1.4**1.6) / 2
    assert row["relative_density"] == pytest.approx(share, rel=1e-3)


def test_how_a_stand_was_measured():
    """Measured, few plots, one plot, empty plots (also when it is one), none; in the order asked for."""
    plots, trees = cruise(a=[3, 0, 2], b=[3, 4], c=[5], d=[0, 0, 0], e=[0])
    told = summary(plots, trees, ["f", "e", "d", "c", "b", "a"], region=shipped("base")).set_index("stand_id")
    assert told["how"].to_dict() == {
        "f": "none",
        "e": "empty plots",
        "d": "empty plots",
        "c": "one plot",
        "b": "few plots",
        "a": "measured",
    }
    assert list(told.index) == list("fedcba")
    assert np.isnan(told.loc["f", "basal_sqft_per_ac"]) and told.loc["d", "basal_sqft_per_ac"] == 0


def test_a_plot_of_dead_trees_is_empty():
    """Nothing alive on it."""
    plots, trees = cruise(a=[3, 2, 4])
    told = summary(plots, trees.assign(alive=[True, True, False]), region=shipped("base"))
    assert told["empty_plots"].tolist() == [1]


def test_a_species_without_a_row_takes_the_usual_wood():
    """A summary does not stop for it."""
    plots, trees = cruise(a=[3, 2, 4])
    told = summary(plots, trees.assign(species="longleaf pine"), region=shipped("base"))
    assert 0.1 < told["relative_density"][0] < 0.3

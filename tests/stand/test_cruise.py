"""Cruises: when there is a range and what is said when not, summaries, next plots."""

from math import exp, log, sqrt

import numpy as np
import pandas as pd
import pytest

from woodlot.errors import InputError
from woodlot.estimate import scale, t_quantile
from woodlot.region import shipped
from woodlot.say.reasons import plain, said
from woodlot.stand import unseen
from woodlot.stand.cruise import estimates, on_acres, summary
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
    """80, 120, 100, 60, 140: mean 100, c2_own .1 with 4 df; with the usual .36 of 2: 1.12/6 = .186667 with 6 df.

    s = sqrt(ln(1 + .186667/5)) = .18981, t 1.94318: half .36883: 69.2 to 144.6.
    """
    e = estimates(basal(a=[8, 12, 10, 6, 14]), UNIT, region=shipped("base"))["a"]
    half = 1.94318 * sqrt(log(1 + 0.186667 / 5))
    assert half == pytest.approx(0.37203, abs=1e-4)
    assert (e.low, e.high) == (pytest.approx(100 * exp(-half), rel=1e-4), pytest.approx(100 * exp(half), rel=1e-4))
    assert e.se == pytest.approx(100 * sqrt(0.186667 / 5), rel=1e-5)
    assert (e.n, e.df, e.unit, e.ground_ac) == (5, 6, UNIT, None)


def test_acres_multiply_the_mean_and_its_error():
    """Per acre times 12.5 acres; the ground it speaks of rides along."""
    table = basal(a=[8, 12, 10, 6, 14])
    each = estimates(table, UNIT, region=shipped("base"))
    one, whole = each["a"], on_acres(each, pd.Series({"a": 12.5}), "sq ft")["a"]
    assert [whole.value, whole.low, whole.high] == pytest.approx([12.5 * x for x in (one.value, one.low, one.high)])
    assert (whole.ground_ac, whole.unit) == (12.5, "sq ft")


@pytest.mark.parametrize(
    ("counts", "c2", "df"),
    [
        ([9], 0.36, 2),
        ([9, 7], (0.72 + 2 / 64) / 3, 3),
        ([9, 0, 0, 0, 0, 9], (0.72 + 108 / 9) / 7, 7),
        ([9, 7, 0], (0.72 + 44.667 / 28.444) / 4, 4),
        ([8, 8, 8], 0.18, 4),
    ],
)
def test_a_range_from_one_plot_up_by_hand(counts, c2, df):
    """One plot has the usual spread alone; empty plots beside full ones and plots all alike have a range too."""
    e = estimates(basal(a=counts), UNIT, region=shipped("base"))["a"]
    half = t_quantile(0.9, df) * sqrt(log(1 + c2 / len(counts)))
    assert e.kind == "interval" and e.df == df
    assert (e.low, e.high) == pytest.approx((e.value * exp(-half), e.value * exp(half)), rel=1e-4)
    assert said(e.why) == ("range from a usual spread, not from these plots" if len(counts) == 1 else "")


def test_none_seen_has_its_limit_and_no_range():
    """Three points of factor 10: 30/3 = 10 sq ft at most; the limit goes with acres; without one it is words alone."""
    table = with_limits(*none_seen())
    sqft = table[table["what"] == "basal_sqft_per_ac"]
    each = estimates(sqft, UNIT, region=shipped("base"))
    e = each["b"]
    assert (e.value, e.low, e.high, e.kind) == (0.0, None, pytest.approx(2.995732 * 10 / 3, rel=2e-3), "none")
    assert plain(e).why == "at most about 10 sq ft an acre; nothing on any of the 3 plots"
    whole = on_acres(each, pd.Series({"a": 2.0, "b": 12.0}), "sq ft")["b"]
    assert whole.high == pytest.approx(12 * e.high) and scale(e, 12.0, "sq ft").high == pytest.approx(whole.high)
    bare = estimates(sqft.drop(columns="unseen"), UNIT, region=shipped("base"))["b"]
    assert (bare.high, said(bare.why)) == (None, "nothing on any of the 3 plots")


def with_limits(table, plots, cover):
    """Means with the most there may be where nothing was seen."""
    return unseen.with_limits(table, unseen.limits(table, plots, cover, region=shipped("base")))


def none_seen():
    """Means of stand a with 9 oaks of 10 in on each of two points and b with three empty ones, plots, covers."""
    plots, trees = cruise(a=[9, 9], b=[0, 0, 0])
    return means(plot_sums(plots, trees)), plots, pd.Series("oak", index=["a", "b"])


def test_limits_of_what_was_not_seen_by_hand():
    """Points: 3.0 F/n sq ft, and trees by the 18.335 stems a point's 10 sq ft of the cover stand for. Rounds: 3.0/(n
    a).

    A cover where nothing stands takes what a tree holds from the place; where no tree was met the plots' own unit alone
    is known.
    """
    table = with_limits(*none_seen()).set_index(["stand_id", "what"])["unseen"]
    assert table["b", "basal_sqft_per_ac"] == pytest.approx(10.0) and np.isnan(table["a", "trees_per_ac"])
    assert table["b", "trees_per_ac"] == pytest.approx(18.335, abs=1e-3)
    rows, plots, cover = none_seen()
    apart = cover.where(cover.index == "a", "pine")
    other = with_limits(rows, plots, apart).set_index(["stand_id", "what"])["unseen"]
    assert other["b", "trees_per_ac"] == pytest.approx(18.335, abs=1e-3)
    rounds = plots.assign(kind="fixed", radius_ft=37.24, baf_sqft_per_ac=np.nan)
    told = with_limits(rows, rounds, cover).set_index(["stand_id", "what"])["unseen"]
    assert told["b", "trees_per_ac"] == pytest.approx(3.0 / (3 * 0.1), rel=1e-3)
    none = with_limits(rows.assign(mean=0.0), plots, cover)
    none = none.set_index(["stand_id", "what"])["unseen"]
    assert none["a", "basal_sqft_per_ac"] == pytest.approx(15.0) and np.isnan(none["a", "trees_per_ac"])


def test_others_help_and_it_is_said():
    """Six oak stands of which one holds .3 of the rest: its range is wider than alone and says so; pine is apart."""
    table = basal(a=[3, 3, 3], b=[9, 11, 10], c=[10, 12, 11], d=[9, 10, 9], e=[11, 10, 9], p=[9, 7, 8])
    like = pd.Series(["oak"] * 5 + ["pine"], index=list("abcdep"))
    told = estimates(table, UNIT, region=shipped("base"), cover=like)
    alone = estimates(table, UNIT, region=shipped("base"))
    assert said(told["a"].why) == (
        "range helped by stands b, c, d and e, of its cover; holds much less than its like, so its range is wider; "
        "three plots there tell most"
    )
    assert said(told["b"].why) == "range helped by stands a, c, d and e, of its cover"
    assert told["p"] == alone["p"] and told["p"].why is None
    assert [e.value for e in told.values()] == [e.value for e in alone.values()]
    width = {s: log(e.high / e.low) for s, e in told.items()}
    assert width["b"] < log(alone["b"].high / alone["b"].low)
    assert told["a"].sides[1] > told["a"].sides[0], "it leans to its like"
    ends = {s: dict(e.why.facts)["end"] for s, e in told.items() if e.why}
    assert ends["a"] == "low"
    over = basal(a=[30, 31, 29], b=[9, 11, 10], c=[10, 12, 11], d=[9, 10, 9], e=[11, 10, 9])
    top = estimates(over, UNIT, region=shipped("base"), cover=like)["a"]
    assert dict(top.why.facts)["end"] == "high" and top.sides[0] > top.sides[1], "the others hold less"


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
        on_acres(estimates(basal(a=[8, 9]), UNIT, region=shipped("base")), pd.Series({"b": 3.0}), "sq ft")


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

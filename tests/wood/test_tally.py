"""Tally: tree rows to cords, worked digit by digit; sums over stands, parcels and species; the two parts of a range."""

from math import hypot, log, sqrt

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.estimate import interval
from woodlot.region import shipped
from woodlot.say.reasons import said
from woodlot.stand.plots import expand
from woodlot.wood import tally

COLUMNS = ["plot_id", "species", "dbh_in", "merch", "sawlog", "cull"]


def points(**stands):
    """Prism points of factor 10: stand -> number of plots; plot ids are the stand and a number from 1."""
    rows = [(f"{s}{i + 1}", s, "prism", 10.0) for s, n in stands.items() for i in range(n)]
    return pd.DataFrame(rows, columns=["plot_id", "stand_id", "kind", "baf_sqft_per_ac"])


def wood(plots, *rows, solid=79.0, **columns):
    """Expanded trees with volumes given by hand [cu ft], then products."""
    told = pd.DataFrame(rows, columns=COLUMNS)
    told = told.assign(dbh_in=told["dbh_in"].astype(float), height_from="measured", **columns)
    sound = 1 - told["cull"] / 100
    told = told.assign(merch_cuft=told["merch"].astype(float), sound_merch_cuft=told["merch"] * sound)
    told["sound_sawlog_cuft"] = told["sawlog"] * sound
    return tally.products(expand(plots, told), solid)


def ground(**acres):
    """Stands of one parcel and cover with working acres."""
    told = pd.DataFrame({"stand_id": list(acres), "acres": list(acres.values())})
    return told.assign(parcel_id="home", cover="oak")


def cords(plots, trees, **words):
    """Means per acre of cords."""
    return tally.per_ac(plots, trees, ("cords",), **words)


def test_one_stand_from_raw_tally_to_cords_by_hand():
    """Three points of factor 10 in 20 acres, 79 solid feet a cord, digit by digit.

    Plot 1: sugar maple 10 in, 12 cu ft sound; sugar maple 14 in, 30 cu ft with 10 % rot, 27 sound.
    Plot 2: red maple 12 in, 20 cu ft. Plot 3: sugar maple 10 in, 12 cu ft.

    Trees per acre: 10 / (pi/576 x 100) = 18.33465; 14 in 10 / 1.0690141 = 9.35441; 12 in 10 / .7853982 = 12.73240.
    Plot 1: 18.33465 x 12 + 9.35441 x 27 = 220.0158 + 252.5691 = 472.5849 cu ft an acre.
    Plot 2: 12.73240 x 20 = 254.6479. Plot 3: 220.0158.
    Mean (472.5849 + 254.6479 + 220.0158) / 3 = 315.7495 cu ft; / 79 = 3.996830 cords an acre; x 20 = 79.9366 cords.
    Off the mean: 156.8354, -61.1016, -95.7338; squares 24597.3, 3733.4, 9165.0; sum 37495.7 / 2 = 18747.9;
    s = 136.9228; SE = s / sqrt 3 = 79.0524 cu ft an acre, .250364 of the mean, 20.0133 cords on 20 acres.
    Spread: c2_own = 3 x .250364^2 = .188046 with 2 df, the usual .36 with 2: (.72 + .376092)/4 = .274023 with 4 df; SE
    79.9366 x sqrt(.274023/3) = 24.1592. Range: t 2.131847 x sqrt(ln(1 + .091341)) = 2.131847 x .295648 = .630276;
    measured heights, table off by .10: 1.644854 x sqrt(ln 1.01) = .164076; hypot .651283; 79.9366 e^-+.651283 = 41.68
    to 153.32 cords.
    """
    plots = points(a=3)
    trees = wood(
        plots,
        ("a1", "sugar maple", 10, 12.0, 0.0, 0),
        ("a1", "sugar maple", 14, 30.0, 20.0, 10),
        ("a2", "red maple", 12, 20.0, 0.0, 0),
        ("a3", "sugar maple", 10, 12.0, 0.0, 0),
    )
    table = cords(plots, trees)
    assert table["mean"][0] == pytest.approx(3.996830, abs=5e-7)
    assert table["se"][0] == pytest.approx(79.0524 / 79, abs=5e-6) and table["df"][0] == 2.0
    shared = {"volume table": 0.10}
    e = tally.totals(table, ground(a=20.0), "cords", "stand_id", shared, region=shipped("base"))["a"]
    assert (e.value, e.se) == (pytest.approx(79.9366, abs=5e-5), pytest.approx(24.1592, abs=5e-4))
    assert (e.low, e.high) == (pytest.approx(41.68, abs=0.005), pytest.approx(153.32, abs=0.02))
    assert (e.n, e.df, e.ground_ac, e.kind) == (3, 4, 20.0, "interval")
    assert tally.totals(table, ground(a=20.0), "cords", shared=shared, region=shipped("base"))[
        "all"
    ].high == pytest.approx(e.high)


def test_sawlogs_and_firewood_make_up_the_stem_by_hand():
    """27 cu ft sound of which 18 in the sawlog: 27/79 = .3418 = .2278 + .1139 cord; 30 gross are .3797."""
    row = wood(points(a=1), ("a1", "sugar maple", 14, 30.0, 20.0, 10)).iloc[0]
    told = row[["cords", "sawlog_cords", "firewood_cords", "gross_cords"]].tolist()
    assert told == pytest.approx([0.34177, 0.22785, 0.11392, 0.37975], abs=1e-5)


def test_the_parts_sum_to_the_whole_on_every_level():
    """Per acre, by stand and in all, sawlog cords and firewood cords are the cords: nothing is counted twice."""
    plots = points(a=3, b=4)
    trees = wood(
        plots,
        ("a1", "red oak", 15, 40.0, 31.0, 5),
        ("a2", "red oak", 9, 9.0, 0.0, 0),
        ("b1", "white pine", 18, 60.0, 55.0, 0),
        ("b4", "white pine", 7, 4.0, 0.0, 20),
    )
    table = tally.per_ac(plots, trees).pivot_table(index="stand_id", columns="what", values="mean")
    assert table["cords"].to_numpy() == pytest.approx((table["sawlog_cords"] + table["firewood_cords"]).to_numpy())
    rows = tally.per_ac(plots, trees)
    told = {
        w: tally.totals(rows[rows["what"] == w], ground(a=10, b=5), "cords", region=shipped("base"))["all"].value
        for w in rows["what"]
    }
    assert told["cords"] == pytest.approx(told["sawlog_cords"] + told["firewood_cords"])


@pytest.mark.parametrize("solid", [0, -79, 129, float("nan")])
def test_a_cord_holds_some_wood_and_not_more_than_its_size(solid):
    """No solid feet, or more than the 128 of the stack, are refused."""
    with pytest.raises(InputError, match="128"):
        wood(points(a=1), ("a1", "oak", 14, 30.0, 0.0, 0), solid=solid)


def test_a_sawlog_larger_than_its_stem_is_refused():
    """Such volumes would count wood twice."""
    with pytest.raises(InputError, match="more than the whole stem"):
        wood(points(a=1), ("a1", "oak", 14, 30.0, 31.0, 0))


def test_dead_trees_are_apart():
    """A dead oak is in the dead cords and in no live one."""
    plots = points(a=1)
    trees = wood(plots, ("a1", "oak", 10, 12.0, 0.0, 0), ("a1", "oak", 10, 10.0, 0.0, 0), alive=[True, False])
    assert cords(plots, trees)["mean"][0] == pytest.approx(18.33465 * 12 / 79, abs=1e-5)
    assert cords(plots, trees, alive=False)["mean"][0] == pytest.approx(18.33465 * 10 / 79, abs=1e-5)


def test_counted_trees_take_the_wood_of_measured_ones_by_hand():
    """One 10-in oak of 12 cu ft measured, two more counted: three times 220.0 / 79 = 8.355 cords an acre."""
    plots = points(a=1)
    trees = wood(plots, ("a1", "oak", 10, 12.0, 0.0, 0), ("a1", "oak", np.nan, np.nan, np.nan, 0), count=[1, 2])
    assert cords(plots, trees)["mean"][0] == pytest.approx(8.355, abs=5e-4)


def test_the_table_is_surer_by_heights_of_the_stand_by_hand():
    """One height in a stand and none else in its cover: sqrt(.10^2 + .10^2); a merchantable height is one too (a, d).

    b is fitted in the cover of e's 25 heights: 10 of a stand, sqrt(.01 + .001) = .10488; its half that is regional is
    sqrt(.01 + .11^2), as where all is dead (c).
    """
    rows = [("a", "oak", "measured"), ("d", "elm", "regional"), ("b", "ash", "fitted"), ("b", "ash", "regional")]
    rows += [("e", "ash", "measured")] * 25 + [("c", "fir", "measured")]
    trees = pd.DataFrame(rows, columns=["stand_id", "cover", "height_from"]).assign(cords=1.0, trees_per_ac=1.0)
    trees["alive"] = trees["stand_id"] != "c"
    trees["method"] = np.where(trees["stand_id"] == "d", "beers_1964", "")
    told = tally.volume_table_cv(trees, region=shipped("base"))
    none, fill = sqrt(0.01 + 0.0121), sqrt(0.01 + 0.001)
    want = {"a": sqrt(0.02), "b": (none + fill) / 2, "c": none, "d": sqrt(0.02), "e": sqrt(0.01 + 0.01 / 25)}
    assert told.to_dict() == pytest.approx(want, abs=1e-9)


def three_stands():
    """Stands a (oak, 4 plots), b (oak, 1 plot), c (pine, 3 empty plots); d has none."""
    plots = points(a=4, b=1, c=3)
    rows = [("a1", "oak", 10, 12.0, 0, 0), ("a2", "oak", 12, 20.0, 0, 0), ("a3", "ash", 10, 11.0, 0, 0)]
    rows += [("a4", "oak", 14, 30.0, 0, 0), ("b1", "oak", 14, 31.0, 0, 0)]
    trees = wood(plots, *rows)
    stands = ground(a=10.0, b=5.0, c=4.0, d=3.0)
    stands["cover"] = ["oak", "oak", "pine", "oak"]
    stands["parcel_id"] = ["home", "ridge", "ridge", "creek"]
    return plots, trees, stands


def test_stands_add_up_to_parcels_and_parcels_to_all():
    """Values sum; acres without plots are left out and said; a parcel without a plot has no value."""
    plots, trees, stands = three_stands()
    table = cords(plots, trees)
    each = tally.totals(table, stands, "cords", "stand_id", region=shipped("base"))
    parcels = tally.totals(table, stands, "cords", "parcel_id", region=shipped("base"))
    whole = tally.totals(table, stands, "cords", region=shipped("base"))["all"]
    assert set(each) == {"a", "b", "c"} and each["c"].value == 0.0
    assert parcels["ridge"].value == pytest.approx(each["b"].value + each["c"].value)
    assert parcels["creek"].value is None and "no plot here yet" in said(parcels["creek"].why)
    assert whole.value == pytest.approx(sum(e.value for e in each.values()))
    assert whole.ground_ac == 19.0 and "3.0 acres have no plots and are left out" in said(whole.why)


def test_sums_by_several_are_those_of_each_alone():
    """In all and by parcel, in the order asked; the stands are not among them unless they are asked for."""
    plots, trees, stands = three_stands()
    table = cords(plots, trees)
    sums = tally.totals_by(("all", "parcel_id"), table, stands, "cords", region=shipped("base"))
    assert list(sums) == ["all", "parcel_id"]
    for one, told in sums.items():
        assert told == tally.totals(table, stands, "cords", one, region=shipped("base"))


def four_stands():
    """Means of stands A to D of the example, 3, 2, 4 and 1 plots."""
    plots = {"A": [18, 30, 24], "B": [12, 28], "C": [31, 22, 40, 27], "D": [16]}
    table = pd.DataFrame({"stand_id": list(plots), "n": [3, 2, 4, 1], "mean": [24.0, 20.0, 30.0, 16.0]})
    table["se"] = [np.std(x, ddof=1) / sqrt(len(x)) if len(x) > 1 else np.nan for x in plots.values()]
    return table.assign(df=table["n"] - 1.0, plots=table["n"], plots_with=table["n"])


def test_the_total_of_four_stands_by_the_example():
    """2,340 cords, SE 358.17, df 12.399, 1,785.4 to 3,066.8; with a table off by .12 1,674.8 to 3,269.4: by the spreads
    of the stands, not by their trimmed ranges.
    """
    table = four_stands()
    stands = ground(A=20.0, B=40.0, C=30.0, D=10.0).assign(like="oak")
    told = tally.totals(table, stands, "cords", region=shipped("base"))["all"]
    assert (told.value, told.se, told.df) == (2340.0, pytest.approx(358.17, abs=5e-3), pytest.approx(12.399, abs=5e-4))
    assert (told.low, told.high) == (pytest.approx(1785.4, abs=0.05), pytest.approx(3066.8, abs=0.05))
    assert told.why is None
    off = tally.totals(table, stands, "cords", shared={"volume table": 0.12}, region=shipped("base"))["all"]
    assert (off.low, off.high) == (pytest.approx(1674.8, abs=0.05), pytest.approx(3269.4, abs=0.05))


def test_a_parcel_of_one_stand_has_the_range_of_that_stand():
    """A is trimmed by B, C and D; its parcel, with a stand without plots in it, is A again; that of C and D is not."""
    table = four_stands()
    stands = ground(A=20.0, B=40.0, C=30.0, D=10.0, E=5.0).assign(like="oak")
    stands["parcel_id"] = ["home", "ridge", "creek", "creek", "home"]
    by = tally.totals_by(("stand_id", "parcel_id"), table, stands, "cords", region=shipped("base"))
    each, parcels = by["stand_id"], by["parcel_id"]
    assert each["A"].sides is not None and (each["A"].low, each["A"].high) == pytest.approx((339.74, 678.18), abs=0.02)
    assert (parcels["home"].low, parcels["home"].high, parcels["home"].sides) == (
        each["A"].low,
        each["A"].high,
        each["A"].sides,
    )
    assert said(parcels["home"].why) == said(each["A"].why) + "; 5.0 acres have no plots and are left out"
    assert said(parcels["ridge"].why) == said(each["B"].why)
    assert parcels["creek"].sides is None and parcels["creek"].why is None


def test_a_stand_with_one_plot_by_hand():
    """Stand b has one plot. Without a like of its own .36 with 2 df; with a, c2_others of a's four plots in it too."""
    plots, trees, stands = three_stands()
    table = cords(plots, trees)
    alone = tally.totals(table, stands, "cords", "stand_id", region=shipped("base"))["b"]
    assert (alone.se / alone.value) ** 2 == pytest.approx(0.36) and alone.df == 2.0
    assert said(alone.why) == "range from a usual spread, not from these plots"
    like = stands.assign(like=["oak", "oak", "pine", "oak"])
    told = tally.totals(table, like, "cords", "stand_id", region=shipped("base"))
    row = table.set_index("stand_id").loc["a"]
    r = 4 * row["se"] ** 2 / row["mean"] ** 2
    assert (told["b"].se / told["b"].value) ** 2 == pytest.approx((2 * r / (1 - r / 4) + 0.72) / 4)
    assert said(told["b"].why) == "range helped by stand a, of its cover" and told["b"].value == alone.value
    whole = tally.totals(table, like, "cords", region=shipped("base"))["all"]
    assert whole.se == pytest.approx(hypot(told["a"].se, told["b"].se)) and "usual spread" not in said(whole.why)
    both = tally.totals(table, stands, "cords", "parcel_id", region=shipped("base"))["ridge"]
    assert said(both.why) == "range from a usual spread, not from these plots", "beside c, where nothing was found"
    stands["parcel_id"] = ["home", "ridge", "home", "creek"]
    ridge = tally.totals(table, stands, "cords", "parcel_id", region=shipped("base"))["ridge"]
    assert (ridge.low, ridge.high) == pytest.approx((alone.low, alone.high))
    assert said(ridge.why) == "range from a usual spread, not from these plots"


def test_a_stand_where_nothing_was_seen_widens_the_sum_by_one_tree():
    """Limit 3 cords an acre on c's 4 acres: one tree is 1.0 an acre, 4 cords, in squares with 2 df; its value is 0."""
    plots, trees, stands = three_stands()
    table = cords(plots, trees).assign(unseen=[np.nan, np.nan, 3.0])
    told = tally.totals(table, stands, "cords", "stand_id", region=shipped("base"))
    whole = tally.totals(table, stands, "cords", region=shipped("base"))["all"]
    assert (told["c"].value, told["c"].low, told["c"].high) == (0.0, None, 12.0)
    assert whole.se == pytest.approx(sqrt(told["a"].se ** 2 + told["b"].se ** 2 + 4.0**2))
    parts = [(told["a"].se ** 2, told["a"].df), (told["b"].se ** 2, 2.0), (16.0, 2.0)]
    assert whole.df == pytest.approx(whole.se**4 / sum(v * v / d for v, d in parts))
    only = stands[stands["stand_id"] == "c"]
    none = tally.totals(table, only, "cords", region=shipped("base"))["all"]
    assert (none.value, none.low, none.high) == (0.0, None, pytest.approx(12.0))


def test_nothing_anywhere_has_the_limit_of_all_plots_as_one_sample():
    """Two stands of 10 and 30 acres with limits of 3 and 1 an acre: 1/(1/3 + 1/1) = .75 an acre, 30 cords."""
    table = pd.DataFrame({"stand_id": ["a", "b"], "n": [1, 3], "plots": [1, 3], "plots_with": 0, "mean": 0.0})
    table = table.assign(se=[np.nan, 0.0], df=table["n"] - 1.0, unseen=[3.0, 1.0])
    told = tally.totals(table, ground(a=10.0, b=30.0), "cords", region=shipped("base"))["all"]
    assert (told.value, told.low) == (0.0, None) and told.high == pytest.approx(30.0)
    assert said(told.why) == "nothing on any of the 4 plots"


def test_a_stand_of_empty_plots_does_not_take_the_range_from_the_sum():
    """A's four plots all hold wood; c's three empty ones are another stand, not a sign of a rare thing."""
    plots, trees, stands = three_stands()
    both = stands[stands["stand_id"].isin(["a", "c"])]
    told = tally.totals(cords(plots, trees), both, "cords", region=shipped("base"))["all"]
    assert told.kind == "interval" and told.n == 7


def test_shares_of_species_are_sum_over_sum_by_hand():
    """Oak 220.0 + 254.6 + 280.6 = 755.3 of 957.0 cu ft: 78.9 %, ash 21.1 %; shares of a stand make 100."""
    plots, trees, _ = three_stands()
    told = tally.species_shares(cords(plots, trees, split="species"))
    assert told[told["stand_id"] == "a"]["species"].tolist() == ["oak", "ash"]
    assert told[told["stand_id"] == "a"]["share_pct"].tolist() == pytest.approx([78.9, 21.1], abs=0.05)
    assert told.groupby("stand_id")["share_pct"].sum().to_numpy() == pytest.approx([100.0, 100.0])
    assert list(told) == ["stand_id", "species", "mean", "share_pct"]


def test_nothing_anywhere():
    """Empty plots in all stands: 0 cords and no range."""
    plots, trees, stands = three_stands()
    told = tally.totals(cords(plots, trees, alive=False), stands, "cords", region=shipped("base"))["all"]
    assert (told.value, told.low) == (0.0, None) and "nothing on any of the 8 plots" in said(told.why)


def test_trees_counted_and_none_measured_are_said():
    """The parcel has a plot; what it lacks is one measured tree."""
    plots = points(a=1)
    trees = wood(plots, ("a1", "oak", np.nan, np.nan, np.nan, 0))
    told = tally.totals(cords(plots, trees), ground(a=3.0), "cords", "parcel_id", region=shipped("base"))["home"]
    assert told.value is None and "one measured tree would give a first number" in said(told.why)


def test_one_empty_plot_is_said_as_one():
    """Not "any of the 1 plots"."""
    plots = points(a=1)
    trees = wood(points(a=1, b=1), ("b1", "oak", 10, 12.0, 0.0, 0))
    table = cords(plots, trees[trees["stand_id"] == "a"])
    whole = tally.totals(table, ground(a=3.0), "cords", region=shipped("base"))["all"]
    assert said(whole.why) == "nothing on the one plot"


def test_the_parts_of_a_range_apart_and_together_by_hand():
    """100 +- 10 cords, 9 df, table .12: plots alone 83.3 to 120.1, table alone e^-+(1.6449 x .11957) = 82.1 to 121.7.

    Together hypot(.18286, .19668) = .26855: 76.4 to 130.8. Stacked .08 more: sqrt(ln(1 + .0144 + .0064)) = .14348,
    times 1.64485 = .23600; hypot .29855: 74.19 to 134.79.
    """
    e = interval(100.0, "cords", se=10.0, df=9, n=10, shared={"volume table": 0.12})
    told = {k: (p.low, p.high) for k, p in tally.parts_of_range(e, region=shipped("base")).items()}
    assert told["plots"] == (pytest.approx(83.29, abs=0.01), pytest.approx(120.06, abs=0.01))
    assert told["table"] == (pytest.approx(82.15, abs=0.01), pytest.approx(121.73, abs=0.01))
    assert told["together"] == (pytest.approx(76.45, abs=0.01), pytest.approx(130.81, abs=0.01))
    assert told["stacked"] == (pytest.approx(74.19, abs=0.01), pytest.approx(134.79, abs=0.01))
    legs = hypot(log(told["plots"][1] / 100), log(told["table"][1] / 100))
    assert legs == pytest.approx(log(told["together"][1] / 100), rel=1e-9)
    assert tally.parts_of_range(e, region=shipped("base"))["table"].kind == "assumptions"


def test_more_plots_do_not_mend_the_table():
    """Forty times the plots shrink the part of the plots and leave the part of the table as it was."""
    few = interval(100.0, "cords", se=20.0, df=9, n=10, shared={"volume table": 0.12})
    many = interval(100.0, "cords", se=3.0, df=399, n=400, shared={"volume table": 0.12})
    assert (
        tally.parts_of_range(many, region=shipped("base"))["plots"].high
        < 106
        < tally.parts_of_range(few, region=shipped("base"))["plots"].high
    )
    assert tally.parts_of_range(many, region=shipped("base"))["table"].high == pytest.approx(
        tally.parts_of_range(few, region=shipped("base"))["table"].high
    )


def test_ground_with_and_without_plots_by_hand():
    """22 working acres, 19 with plots, 3 without."""
    plots, trees, stands = three_stands()
    told = tally.ground(stands, cords(plots, trees))
    assert told == {"acres": 22.0, "acres_with_plots": 19.0, "acres_without": 3.0}


@settings(max_examples=15, deadline=None)
@given(st.floats(1.0, 50.0), st.integers(0, 2**32 - 1))
def test_two_halves_of_a_stand_sampled_as_one_equal_the_whole(acres, seed):
    """Per acre nothing changes with the acres; totals go with them; the order of trees and plots is nothing."""
    rng = np.random.default_rng(seed)
    plots = points(a=6)
    rows = [(f"a{rng.integers(1, 7)}", "oak", float(d), float(d), 0.0, 0) for d in rng.uniform(6, 20, 15)]
    trees = wood(plots, *rows)
    one = tally.totals(
        cords(plots, trees), ground(a=acres), "cords", shared={"volume table": 0.1}, region=shipped("base")
    )["all"]
    other = tally.totals(
        cords(plots[::-1], trees[::-1]),
        ground(a=2 * acres),
        "cords",
        shared={"volume table": 0.1},
        region=shipped("base"),
    )
    assert other["all"].value == pytest.approx(2 * one.value)
    if one.low is not None:
        assert other["all"].low == pytest.approx(2 * one.low)

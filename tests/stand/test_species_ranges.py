"""Kinds of tree on thin plots: by hand, their limits, and how often their ranges hold the truth."""

import runpy
from math import exp, log, sqrt
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy.spatial import cKDTree

from woodlot.estimate import t_quantile
from woodlot.region import shipped
from woodlot.stand import species_ranges

BASE = shipped("base")
TRIAL = runpy.run_path(str(Path(__file__).parents[1] / "trials" / "species_in_thin_stands.py"))


def stands(*rows, factor=10.0, like="hardwood", ground="all"):
    """Stands a, b, c ... from (acres, plots), prism plots of one factor, in basal area."""
    out = pd.DataFrame(rows, columns=["acres", "plots"], index=list("abcdefgh")[: len(rows)])
    return out.assign(tree=factor / out["plots"], like=like, ground=ground)


def sums(**plots):
    """Basal area of one kind on the plots of each stand."""
    rows = [(stand, "oak", z) for stand, each in plots.items() for z in each]
    out = pd.DataFrame(rows, columns=["stand_id", "species", "amount"]).astype({"amount": float})
    return out.assign(spread=out["amount"])


def told(row, **plots):
    """The row of ranges of one kind in all, and its estimate."""
    table = species_ranges.ranges(species_ranges.cells(sums(**plots)), row, region=BASE)
    acres = row.groupby("ground")["acres"].sum().to_dict()
    each = species_ranges.estimates(table, "sq ft", acres, region=BASE)
    return table, each


def test_three_thin_stands_by_hand():
    """20, 40 and 15 acres with plots (0 0)(10 0 20)(0): g .13333, .17778, .2; T = .17778 x 30 = 5.3333.

    6/5 x sum g^2 (z - T)^2: 2 x .017778 x 28.444 + .031605 x (21.778 + 28.444 + 215.11) + .04 x 28.444 = 10.535;
    x 1.2 = 12.642. One tree in a and in c: (.26667 x 5)^2 + (.2 x 10)^2 = 5.7778. df 1/(.035556 + .094815 + .04) - 1.
    """
    table, each = told(stands((20.0, 2), (40.0, 3), (15.0, 1)), b=[10, 0, 20])
    row = table.loc[("all", "oak")]
    assert row["value"] / 75 == pytest.approx(5.3333, abs=5e-5)
    assert row["variance"] / 75**2 == pytest.approx(12.6420 + 5.7778, abs=1e-4)
    assert row["df"] == pytest.approx(4.8696, abs=5e-5)
    e = each["all", "oak"]
    assert (e.low / 75, e.high / 75) == pytest.approx((1.273, 22.338), abs=5e-4)
    assert e.why.key == "held by few" and dict(e.why.facts) == {"holding": 2, "plots": 6}


def test_stands_with_enough_plots_go_by_their_own_spreads():
    """Plots 10 10 0 0 10 and 20 0 0 0 0 on 10 and 30 acres: 6 and 4 sq ft; s^2/n 6 and 16; A^2 sums 600 + 14,400.

    df (15000)^2 / (600^2/4 + 14400^2/4) = 4.332. With four plots in b they would be one sample.
    """
    table, _ = told(stands((10.0, 5), (30.0, 5)), a=[10, 10, 0, 0, 10], b=[20, 0, 0, 0, 0])
    row = table.loc[("all", "oak")]
    assert row["value"] == pytest.approx(180.0) and row["variance"] == pytest.approx(15000.0)
    assert row["df"] == pytest.approx(4.332, abs=1e-3)
    table, _ = told(stands((10.0, 5), (30.0, 4)), a=[10, 10, 0, 0, 10], b=[20, 0, 0, 0])
    assert table.loc[("all", "oak"), "df"] == pytest.approx(1 / (0.0625 / 5 + 0.5625 / 4) - 1)


def test_one_tree_on_every_plot_is_not_sure():
    """Four plots of 10 sq ft each: at least F sum g^2 z = 10 x 4 x 10 / 16 = 25, a standard error of 5 on 10."""
    table, each = told(stands((1.0, 4)), a=[10, 10, 10, 10])
    assert table.loc[("all", "oak"), "variance"] == pytest.approx(25.0)
    e = each["all", "oak"]
    assert e.high == pytest.approx(10 * exp(t_quantile(0.9, 3) * sqrt(log(1.25)))) and e.why is None


@pytest.mark.parametrize(("n", "limit"), [(1, 30), (2, 15), (3, 10), (5, 6), (10, 3)])
def test_what_no_plot_met_is_none_with_its_limit(n, limit):
    """3.0 x 10 / n sq ft an acre; 0 is never told without it, and it has no range."""
    table, each = told(stands((7.0, n), (5.0, 5), ground=["a", "b"]), b=[10, 0, 0, 20, 0])
    none = each["a", "oak"]
    assert (none.value, none.low, none.kind, none.n) == (0.0, None, "none", n)
    assert none.high / 7.0 == pytest.approx(limit) and none.why.key == "nothing on plots"
    assert each["b", "oak"].low is not None and np.isnan(table.loc[("b", "oak"), "tree"])


def test_the_limit_follows_the_level():
    """At 80 in 100 minus the logarithm of .10 trees: 2.303 over 3.0 of it, to the rounding of 3.0."""
    row = stands((1.0, 1), (1.0, 1), ground=["a", "b"])
    table = species_ranges.ranges(species_ranges.cells(sums(b=[10.0])), row, region=BASE)
    none = species_ranges.estimates(table, "sq ft", {"a": 1.0, "b": 1.0}, level=0.8, region=BASE)["a", "oak"]
    assert none.high == pytest.approx(30.0 * log(0.10) / log(0.05))


def test_the_most_of_several_stands_is_that_of_the_one_that_hides_most():
    """60 acres with one plot, 20 with five: 60 x 30 is more than 20 x 6, and nobody says in which it stands."""
    _, each = told(stands((60.0, 1), (20.0, 5), (1.0, 1), ground=["x", "x", "y"]), c=[10.0])
    assert each["x", "oak"].high == pytest.approx(1800.0) and each["x", "oak"].ground_ac == 80.0


def test_a_range_from_two_plots_that_hold_it_and_none_from_one_or_on_two_plots():
    """One of six: about; two of six: a range and the word about; five of six: a plain range; two plots in all: none."""
    six = stands((10.0, 6))
    keys = {k: told(six, a=[10.0] * k + [0.0] * (6 - k))[1]["all", "oak"] for k in (1, 2, 4, 5)}
    assert [keys[k].low is None for k in (1, 2, 4, 5)] == [True, False, False, False]
    assert [keys[k].why and keys[k].why.key for k in (1, 2, 4, 5)] == [
        "seen on few",
        "held by few",
        "held by few",
        None,
    ]
    two = told(stands((10.0, 2)), a=[10.0, 20.0])[1]["all", "oak"]
    assert two.low is None and two.why.key == "too few" and two.value == 150.0
    three = told(stands((10.0, 3)), a=[10.0, 20.0, 10.0])[1]["all", "oak"]
    assert three.low is not None and three.why is None


def test_a_cover_of_one_plot_has_the_usual_spread_and_single_trees():
    """20 sq ft on the one plot of its cover: .60^2 x 20^2 + 10 x 20 = 344, two degrees of freedom; no other lends."""
    row = stands((1.0, 1), (1.0, 9), like=["swamp", "hardwood"])
    table, _ = told(row, a=[20.0])
    assert table.loc[("all", "oak"), "variance"] == pytest.approx(344.0 + (10 / 9) ** 2)


def test_two_plots_weigh_what_they_say_with_the_usual_spread():
    """20 and 0: T 10; usual .36 x 100 x .5 + 10 x 20/4 = 68; own 2/1 x 2 x 100/4 = 100; (2 x 68 + 100)/3, df 3."""
    table, _ = told(stands((1.0, 2)), a=[20.0, 0.0])
    row = table.loc[("all", "oak")]
    assert (row["variance"], row["df"]) == pytest.approx(((2 * 68 + 100) / 3, 3.0))


def test_covers_are_apart_and_unknown_covers_stand_alone():
    """Two covers of two plots are not one of four; stands of no known cover are not alike either."""
    plots = {"a": [20.0, 0.0], "b": [10.0, 10.0]}
    together = told(stands((1.0, 2), (1.0, 2)), **plots)[0]["df"].item()
    apart, unknown = (told(stands((1.0, 2), (1.0, 2), like=like), **plots)[0] for like in (["x", "y"], [None, None]))
    assert together == pytest.approx(3.0)
    pd.testing.assert_frame_equal(apart, unknown)
    assert apart["df"].item() != pytest.approx(3.0)


def test_kinds_and_grounds_are_told_apart():
    """Each kind in each ground as it would be alone, in any order of the rows."""
    row = stands((20.0, 2), (40.0, 3), (15.0, 3), (9.0, 4), ground=["x", "x", "y", "y"])
    oak, ash = sums(a=[10, 0], b=[10, 0, 20], c=[0, 10, 10]), sums(b=[0, 30, 20], d=[10, 10, 0, 0])
    both = pd.concat([ash.assign(species="ash"), oak]).sample(frac=1, random_state=3)
    table = species_ranges.ranges(species_ranges.cells(both), row, region=BASE)
    assert len(table) == 4
    for kind, rows in (("oak", oak), ("ash", ash)):
        alone = species_ranges.ranges(species_ranges.cells(rows), row, region=BASE)
        own = table.xs(kind, level="species")
        pd.testing.assert_frame_equal(own, alone.droplevel("species"), check_exact=False)


@pytest.mark.parametrize("design", list(TRIAL["DESIGNS"]))
def test_ranges_of_kinds_hold_in_thin_stands(design):
    """150 places of each design of tests/trials/species_in_thin_stands.py, at least 85 in 100; of 2,000 it is 92 to 99.

    Also the place whose largest stand has one plot or two, where stands counted apart, 0 +- 0 where none was seen, held
    81 and 88 in 100.
    """
    basal, counts = TRIAL["woods"](stands=12)
    row, plots, of, truth = TRIAL["cruises"](basal, counts, design, 150, 3)
    found = TRIAL["coverage"](TRIAL["told"](row, plots, of, BASE), truth)
    assert found["coverage_pct"] >= 85.0 and found["share_with_range_pct"] > 60.0
    limit = {"1 a stand": 250, "2 a stand": 160, "3 a stand": 120, "5 a stand": 75, "10 a stand": 45}
    assert found["half_width_pct"] < limit.get(design, 250)


def test_what_no_plot_of_a_stand_met_lies_under_its_limit():
    """At 1 to 5 plots a stand at least 95 in 100 stands without it on their plots hold no more than the limit."""
    basal, counts = TRIAL["woods"](stands=12)
    for design in ("1 a stand", "2 a stand", "3 a stand", "5 a stand"):
        row, plots, of, _ = TRIAL["cruises"](basal, counts, design, 150, 5)
        rows = TRIAL["told"](row, plots, of, BASE, ground="stand_id")
        none = rows[rows["holding"] == 0]
        true = TRIAL["of_stands"](basal, design, 150, 5).reindex(none.index)
        there = true > 0
        assert there.any() and (true <= none["high"]).mean() >= 0.95, design
        assert (true[there] <= none["high"][there]).mean() >= 0.85, design


def test_the_map_of_lansing_woods_is_the_one_we_know(lansing):
    """Counts of the six kinds as Gerrard's map has them (documentation of the data, spatstat.data, lansing)."""
    counts = lansing["species"].value_counts().to_dict()
    assert counts == {
        "hickory": 703, "maple": 514, "whiteoak": 448, "redoak": 346, "blackoak": 135, "misc": 105
    }  # fmt: skip


@pytest.mark.parametrize(("quarters", "n"), [(4, 1), (4, 2), (4, 3), (4, 5), (1, 5), (1, 10)])
def test_cruises_of_lansing_woods_hold_the_census_of_each_kind(lansing, quarters, n):
    """Trees by kind from round plots of a tenth acre, 300 cruises of the woods as four stands or as one.

    At least 85 in 100 for all kinds together, 82 for any one. A kind is told as none with a limit under what its
    quarter holds in at most 5 in 100 cruises, of the most clumped kind in 15.
    """
    side, radius = 924.0, sqrt(4356.0 / np.pi)
    kinds = np.unique(lansing["species"])
    where, kind = lansing[["x_ft", "y_ft"]].to_numpy(), np.searchsorted(kinds, lansing["species"])
    # plots that reach over an edge see the woods go on at the other side, so that all ground has the same chance
    woods, draw, cruises = cKDTree(where, boxsize=side * (1 + 1e-9)), np.random.default_rng(19), 300
    cell = side / sqrt(quarters)
    stand = np.tile(np.repeat(np.arange(quarters), n), cruises)
    point = draw.random((len(stand), 2)) * cell + cell * np.column_stack([stand % 2, stand // 2])
    seen = woods.query_ball_point(point, radius)
    z = np.array([np.bincount(kind[one], minlength=len(kinds)) for one in seen]) * 10.0
    ids = np.repeat(np.arange(cruises), quarters * n).astype(str)
    names = np.char.add(np.char.add(ids, "-"), stand.astype(str))
    at, of = np.nonzero(z)
    sums = pd.DataFrame({"stand_id": names[at], "species": kinds[of], "amount": z[at, of], "spread": z[at, of]})
    row = pd.DataFrame({"acres": side**2 / 43560.0 / quarters, "plots": n, "tree": 10.0 / n}, index=pd.unique(names))
    row = row.assign(like=[f"oak {one.split('-')[0]}" for one in row.index])
    row = row.assign(ground=[one.split("-")[0] for one in row.index])
    table = species_ranges.ranges(species_ranges.cells(sums), row, region=BASE)
    told = species_ranges.estimates(table, "trees", dict.fromkeys(row["ground"], 1.0), region=BASE)
    true = lansing["species"].value_counts()
    some = [(name, e.low <= true[name] <= e.high) for (_, name), e in told.items() if e.low is not None]
    held = pd.DataFrame(some, columns=["kind", "held"]).groupby("kind")["held"]
    assert np.mean([one for _, one in some]) >= 0.85
    assert held.mean()[held.size() >= 100].min() >= 0.82
    apart = species_ranges.ranges(species_ranges.cells(sums), row.assign(ground=row.index), region=BASE)
    none = apart[apart["value"] == 0].reset_index()
    part = pd.Series(kind).groupby([(where[:, 0] // cell + 2 * (where[:, 1] // cell)).astype(int), kind]).size()
    at = pd.MultiIndex.from_arrays([none["ground"].str[-1].astype(int), np.searchsorted(kinds, none["species"])])
    over = none.assign(over=part.reindex(at).to_numpy() > 3.0 * none["tree"]).groupby("species")["over"].sum() / len(
        row
    )
    assert over.mean() <= 0.05 and over.max() <= 0.15

"""Cords and board feet by kind of tree: sums, errors that plots share, kinds shared out, logs that few plots hold."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from woodlot.estimate import Estimate, reason, scale
from woodlot.region import shipped
from woodlot.say.reasons import plain, said
from woodlot.stand.plots import expand
from woodlot.wood.of_species import few_hold_it, of_species

LAKE = shipped("lake_states")
TABLE = {"volume table": pd.Series({"a": 0.10, "b": 0.20, "c": 0.15})}


def points(**stands):
    """Prism points of factor 10, all of one cover: stand -> number of plots."""
    rows = [(f"{s}{i + 1}", s, "prism", 10.0) for s, n in stands.items() for i in range(n)]
    out = pd.DataFrame(rows, columns=["plot_id", "stand_id", "kind", "baf_sqft_per_ac"])
    return out.assign(radius_ft=np.nan, cover="hardwood")


def tally(plots, *rows):
    """Expanded trees from (plot, species, dbh, cords of a tree, board feet of a tree)."""
    told = pd.DataFrame(rows, columns=["plot_id", "species", "dbh_in", "cords", "bdft"])
    out = expand(plots, told.astype({"dbh_in": float}))
    return out.assign(sawlog_cords=out["bdft"] / 500.0, cover="hardwood")


def ground(**acres):
    """Stands of one cover, a and b in parcel home, others in ridge."""
    told = pd.DataFrame({"stand_id": list(acres), "acres": list(acres.values())})
    return told.assign(parcel_id=["home" if s in "ab" else "ridge" for s in acres], cover="hardwood", like="hardwood")


def ones(plots, each=1.0):
    """What one tree makes of the mean of each stand, one over its plots of everything."""
    n = plots["stand_id"].value_counts()
    return pd.DataFrame(dict.fromkeys(("cords", "bdft", "sawlog_cords"), each / n))


def kinds(plots, trees, stands, shared=TABLE):
    """What the plots say of each kind."""
    both = {"cords": shared, "bdft": shared, "sawlog_cords": shared}
    return of_species(plots, trees, stands, ones(plots), both, region=LAKE)


PLOTS = points(a=3, b=2, c=1)
STANDS = ground(a=10.0, b=20.0, c=5.0)
TREES = tally(
    PLOTS,
    ("a1", "red maple", 10, 0.2, 20.0),
    ("a2", "red maple", 10, 0.2, 0.0),
    ("a3", "sugar maple", 12, 0.3, 0.0),
    ("b1", "red maple", 10, 0.2, 0.0),
    ("b2", "northern red oak", 14, 0.5, 60.0),
    ("c1", "northern red oak", 14, 0.5, 0.0),
)


def test_totals_by_hand_and_what_no_plot_of_a_parcel_met():
    """A 10-in tree is 18.33465 an acre: red maple .2 x 18.33465 x (2/3 x 10 + 1/2 x 20) = 61.116 cords, table .16.

    Of it 24.446 stand in a (.10) and 36.669 in b (.20): .16. None in ridge, one plot: 0, at most 3.0 x 5 acres x 1.
    """
    told = kinds(PLOTS, TREES, STANDS).totals("cords", "all", 0.9, region=LAKE)["all"]
    assert told["red maple"].value == pytest.approx(61.1155, abs=1e-3)
    assert dict(told["red maple"].shared) == pytest.approx({"volume table": 0.16})
    assert (
        told["red maple"].n == 6
        and said(told["red maple"].why) == "on 3 of 6 plots: about; for a sale tally all of them"
    )
    assert said(told["sugar maple"].why).startswith("seen on 1 of 6 plots, about")
    by = kinds(PLOTS, TREES, STANDS).totals("cords", "parcel_id", 0.9, region=LAKE)
    assert set(by) == {"home", "ridge"} and set(by["ridge"]) == set(told)
    none = plain(by["ridge"]["red maple"])
    assert (none.value, none.low, none.high) == (0.0, None, pytest.approx(15.0))
    assert none.why == "at most about 15 cords; nothing on the one plot"
    for kind, e in told.items():
        assert e.value == pytest.approx(sum(each[kind].value for each in by.values()))


def test_a_stand_tells_what_its_plots_hold_and_what_a_kind_not_met_may_be():
    """On an acre: a holds no oak and does not name it; 3.0 x 1/3 cord of any kind that none of its plots met."""
    of = kinds(PLOTS, TREES, STANDS)
    told = of.in_stands("cords", 0.9, region=LAKE)
    assert set(told["a"]) == {"red maple", "sugar maple"} and told["a"]["red maple"].unit == "cords an acre"
    assert told["a"]["red maple"].value == pytest.approx(0.2 * 18.33465 * 2 / 3, abs=1e-5)
    means = of.means("cords").set_index(["stand_id", "species"])["mean"]
    assert means["a", "red maple"] == pytest.approx(told["a"]["red maple"].value)
    unseen = plain(of.unseen("cords", 0.9, region=LAKE)["a"])
    assert (unseen.value, unseen.high) == (0.0, pytest.approx(1.0))
    assert unseen.why == "at most about 1.0 cord an acre; none met on its 3 plots"
    assert plain(of.unseen("cords", 0.9, region=LAKE)["c"]).why.endswith("none met on its one plot")


def named(trees, name, of=("c1",)):
    """The same trees with those of some plots known only as a kind."""
    return trees.assign(species=trees["species"].where(~trees["plot_id"].isin(of), name))


def test_unknown_hardwoods_are_shared_out_and_said():
    """The oak of c as unknown hardwood beside five known trees: three red maples, a sugar maple and an oak.

    Its 5 x .5 x 9.35441 = 23.386 cords go .6, .2 and .2; the whole stays.
    """
    known = kinds(PLOTS, TREES, STANDS).totals("cords", "all", 0.9, region=LAKE)["all"]
    told = kinds(PLOTS, named(TREES, "unknown hardwood"), STANDS).totals("cords", "all", 0.9, region=LAKE)["all"]
    assert "unknown hardwood" not in told
    assert sum(e.value for e in told.values()) == pytest.approx(sum(e.value for e in known.values()))
    red = told["red maple"]
    assert red.value == pytest.approx(61.1155 + 0.6 * 23.386, abs=1e-3)
    assert said(red.why).endswith("of these 75 cords, 14 are unknown hardwood shared out by the kinds seen beside them")
    assert said(red.why).startswith("on 3 of 6 plots")
    q = (5 * 0.6 + 1) / 7
    part = 0.6 * 23.386 / red.value
    doubt, kind = dict(red.shared)["kinds shared out"], dict(red.shared)["kinds of several species"]
    assert doubt == pytest.approx(part * np.sqrt(q * (1 - q)) / 0.6, rel=1e-4)
    assert kind == pytest.approx(part * LAKE.species.spread("unknown hardwood", "volume_spread"), rel=1e-4)
    sure = scale(replace(red, shared=known["red maple"].shared), 1.0, "cords")
    assert red.high > 1.02 * sure.high and red.low < 0.98 * sure.low


def test_a_stand_that_only_has_a_share_of_a_kind_says_that_no_plot_met_it():
    """In c nothing but the unknown hardwood: its shares are told as named on none of its plots, without a range."""
    told = kinds(PLOTS, named(TREES, "unknown hardwood"), STANDS).totals("cords", "stand_id", 0.9, region=LAKE)["c"]
    assert told["sugar maple"].value > 0 and told["sugar maple"].low is None
    assert said(told["sugar maple"].why).startswith("named on none of its plots: about")


def test_a_kind_none_of_whose_species_is_known_stays_with_its_own_spread():
    """Two birches that nobody named: told as birch, with the spread of its species."""
    trees = named(TREES, "birch", ("b2", "c1"))
    told = kinds(PLOTS, trees, STANDS).totals("cords", "all", 0.9, region=LAKE)["all"]
    assert dict(told["birch"].shared)["kinds of several species"] == pytest.approx(
        LAKE.species.spread("birch", "volume_spread")
    )
    assert "kinds shared out" not in dict(told["birch"].shared)
    assert "kinds of several species" not in dict(told["red maple"].shared)


def test_trees_counted_and_none_measured_have_no_number():
    """Nothing was measured that a ratio could be taken from."""
    trees = TREES.iloc[:0]
    plots = points(a=3)
    trees = tally(plots, ("a1", "red maple", np.nan, np.nan, np.nan))
    told = kinds(plots, trees, ground(a=10.0)).totals("cords", "all", 0.9, region=LAKE)["all"]["red maple"]
    assert told.value is None and "none was measured" in said(told.why)


def test_without_a_tree_no_kind_is_told():
    """Empty plots: no row, no error."""
    assert kinds(PLOTS, TREES.iloc[:0], STANDS).totals("cords", "all", 0.9, region=LAKE) == {}


def test_logs_on_few_plots_go_by_the_rule_of_kinds():
    """Board feet on two of six plots: a range by those plots and the word about; what more hold stays."""
    acres = reason("acres without plots", acres=3.0)
    whole = Estimate(1.0, "board feet", 0.5, 2.0, kind="interval", why=reason("together", parts=(acres,)))
    totals = {f"{w} by {by}": {"all": whole, "home": whole, "a": whole, "b": whole} for w in ("sawlog_cords", "bdft")
              for by in ("stand_id", "parcel_id", "all")}  # fmt: skip
    both = {"cords": TABLE, "bdft": TABLE, "sawlog_cords": TABLE}
    tree = ones(PLOTS, 30.0)
    told = few_hold_it(totals, PLOTS, TREES, STANDS, tree, both, 0.9, region=LAKE)
    e = told["bdft by all"]["all"]
    assert e.value == pytest.approx(18.33465 * 20 / 3 * 10 + 9.35441 * 60 / 2 * 20, abs=0.1)
    assert e.low < e.value < e.high and e.unit == "board feet"
    assert (
        said(e.why) == "on 2 of 6 plots: about; for a sale tally all of them; 3.0 acres have no plots and are left out"
    )
    assert told["bdft by stand_id"]["a"].low is None
    assert said(told["bdft by stand_id"]["a"].why).startswith("seen on 1 of 3 plots")
    many = tally(PLOTS, *[(p, "red maple", 10, 0.2, 20.0) for p in PLOTS["plot_id"]])
    assert few_hold_it(totals, PLOTS, many, STANDS, tree, both, 0.9, region=LAKE)["bdft by all"]["all"] is whole

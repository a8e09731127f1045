"""The yearly cut at the edges: one plot, equal plots, a full stand, one past its age, a tiny one; and a small draw of
the hundred-year trial.
"""

import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parents[1] / "trials"))

import hundred_year_hand_in as hand_in
import hundred_year_places as of
import hundred_year_truth as truth_of
import hundred_years as trial

from woodlot.plan import ceilings
from woodlot.plan.level_cut import level_cut
from woodlot.stand import grow
from woodlot.units import basal_sqft


def handed_in(covers, number=5, seed=1, cruise=None):
    """Stands, plots and trees of a hand-in of some covers; cruise: counts of its own in place of drawn ones."""
    wood = of.made(covers)
    stands = wood.stands.assign(parcel_id="home")
    rng = np.random.default_rng(seed)
    return stands, (cruise or hand_in.cruise)(stands, wood.trees, wood.species, number, rng)


def cut_of(stands, plots_and_trees, **more):
    """What may be cut, and the woods behind it."""
    woods, cords = hand_in.told(stands, *plots_and_trees, of.REGION)
    return ceilings.yearly_cut(woods, stands, cords, of.REGION, number=2000, **more), woods


#: One kind, so that whole trees on a plot are nearly what stands.
MAPLE = {"sugar maple": 1.0}
HARDWOODS = of.Cover(of.HARDWOODS, 40.0, 120.0, kinds=MAPLE)


def same_plots(stands, trees, species, number, rng):
    """Every plot counts the same: what is expected, to whole trees."""
    expected = trees * basal_sqft(grow.classes(region=of.REGION))[None, :, None] / hand_in.BAF
    s, size, k = np.nonzero(np.round(expected) > 0)
    count, ids = np.round(expected)[s, size, k].astype(int), stands["stand_id"].to_numpy(dtype=object)
    visited = pd.DataFrame({"stand_id": np.tile(ids, number), "plot": np.repeat(np.arange(number), len(ids))})
    visited["plot_id"] = visited["stand_id"] + ".p" + visited["plot"].astype(str)
    visited = visited.assign(kind="prism", date=hand_in.VISIT, baf_sqft_per_ac=hand_in.BAF)
    one = pd.DataFrame({"stand_id": ids[k], "species": np.array(species, dtype=object)[s], "dbh_in": 6.0 + 2.0 * size})
    rows = visited[["plot_id", "stand_id"]].merge(one.assign(count=count, alive=True), on="stand_id")
    return visited, rows.drop(columns="stand_id")


def test_one_plot_a_stand_gives_less_than_five_of_the_same_mean():
    """One plot is off by .55 (log), five by .55 over root 5 where all of them are alike: the same trees, more sure."""
    one, _ = cut_of(*handed_in([HARDWOODS], 1, cruise=same_plots))
    five, _ = cut_of(*handed_in([HARDWOODS], 5, cruise=same_plots))
    assert one.rule.stock_cords == pytest.approx(five.rule.stock_cords)
    assert 0.0 < one.limit < 0.85 * five.limit
    assert one.rule.growth_share < five.rule.growth_share < 0.6


def test_equal_plots_are_not_a_sure_growth():
    """Five plots alike show no spread, which is no proof that there is none; and nobody knows the site: the lower tenth
    of growth is under exp(-1.28 x .5), that of the stock by the usual spread: 2 x .36/6 = .12, over five plots .024, so
    exp(-1.440 x sqrt(ln 1.024)) with 6 df = .801.
    """
    equal, woods = cut_of(*handed_in([HARDWOODS], cruise=same_plots))
    sd = np.hypot(*woods.stands[["place_log_sd", "stand_log_sd"]].iloc[0])
    assert equal.rule.growth_share <= np.exp(-1.2816 * sd) * 1.02
    assert equal.rule.stock_share == pytest.approx(0.801, abs=0.015)
    assert np.isfinite(equal.limit) and 0.0 < equal.limit < equal.rule.mid_growth


def test_a_stand_past_its_age_neither_feeds_nor_starves_the_others():
    """40 acres of aspen of 75 beside 65 of maple: the level cut is that of the hardwoods alone."""
    woods = [HARDWOODS, of.Cover(of.HARDWOODS, 25.0, 110.0, 11.0, kinds=MAPLE)]
    old = of.Cover(of.ASPEN, 40.0, 110.0, 10.0, 2.5, age_yr=75.0, site_index_ft=70.0)
    alone, _ = cut_of(*handed_in(woods, cruise=same_plots))
    beside, _ = cut_of(*handed_in([*woods, old], cruise=same_plots))
    assert beside.table["past_age"].tolist() == [False, False, True]
    for name in ("stock_cords", "first_cords", "goal_cords", "mid_growth", "area_cords", "meyer_cords"):
        assert getattr(beside.rule, name) == pytest.approx(getattr(alone.rule, name)), name
    assert beside.rule.by_area_cords == 0.0
    assert beside.limit == pytest.approx(
        alone.limit, rel=0.08
    )  # other random draws, a lower tenth of 2,000 off by 2 to 3 percent each


def test_a_tiny_stand_moves_nothing():
    """A fortieth of an acre beside 40 acres: the cut moves by less than a hundredth and what the draws do."""
    tiny = of.Cover(of.HARDWOODS, 0.025, 200.0, kinds=MAPLE)
    alone, _ = cut_of(*handed_in([HARDWOODS], cruise=same_plots))
    beside, _ = cut_of(*handed_in([HARDWOODS, tiny], cruise=same_plots))
    assert beside.rule.mid_growth == pytest.approx(alone.rule.mid_growth, rel=0.01)
    assert beside.limit == pytest.approx(alone.limit, rel=0.05)
    assert (beside.table["ceiling_cords_per_yr"] >= 0).all()


def test_aspen_with_one_tree_on_its_plots_is_told_like_any_other():
    """One 8-inch tree on five plots of aspen of 30: 2 sq ft, which a yield table doubles in a year."""

    def one_tree(stands, trees, species, number, rng):
        visited, rows = same_plots(stands, trees, species, number, rng)
        return visited, rows.iloc[:1].assign(species="quaking aspen", dbh_in=8.0, count=1)

    covers = [of.Cover(of.ASPEN, 10.0, 60.0, 7.0, 2.0, age_yr=30.0, site_index_ft=70.0)]
    told, woods = cut_of(*handed_in(covers, cruise=one_tree))
    assert woods.stands["basal"].iloc[0] == pytest.approx(2.0)
    assert np.isfinite(told.limit) and 0.0 <= told.limit <= woods.stands["cords"].iloc[0] * 10.0 / 45.0


@given(
    basal=st.floats(5.0, 240.0),
    mean_in=st.floats(6.0, 18.0),
    acres=st.floats(0.05, 300.0),
    number=st.integers(1, 6),
    cover=st.sampled_from([of.HARDWOODS, of.OAK, of.SPRUCE, of.ASPEN, of.WET]),
    seed=st.integers(0, 10),
)
@settings(max_examples=12)
def test_a_years_cut_is_never_under_nothing_nor_over_growth_and_surplus(basal, mean_in, acres, number, cover, seed):
    """Any one stand: 0 <= level cut <= middle growth or 0, and a twentieth of what stands over the goal."""
    kinds = of.MIX[of.HARDWOODS] if cover == of.WET else None
    told, _ = cut_of(*handed_in([of.Cover(cover, acres, basal, mean_in, kinds=kinds)], number, seed))
    rule = told.rule
    over = max(rule.stock_cords - rule.goal_cords, 0.0) / 20.0 if np.isfinite(rule.goal_cords) else 0.0
    assert 0.0 <= rule.level_cords <= max(rule.mid_growth, 0.0) + over + 1e-9
    assert rule.level_cords <= max(rule.reach_cords, 0.0) + 1e-9
    assert told.table["ceiling_cords_per_yr"].sum() == pytest.approx(told.limit, abs=1e-9)


def small(growth, number=5, draws=6):
    """A hundred years of 120 acres of full hardwoods."""
    return trial.tried(of.places_made()["120 ac full hardwoods"], growth, draws, 1, number=number)


def test_a_full_wood_that_dies_of_crowding_is_cut_and_one_under_its_goal_is_not():
    """150 of which 8 tenths are sure, 80 aimed at, 10 a year die: (120 - 80)/20 = 2 a year. At 60: nothing."""
    cuts = level_cut(-10.0, [150.0, 60.0], [150.0, 60.0], 80.0, 0.8, region=of.REGION)
    assert cuts == pytest.approx([2.0, 0.0])


@pytest.mark.parametrize("growth", [1.0, 0.7])
def test_a_full_wood_is_neither_emptied_nor_starved(growth):
    """150 sq ft, growth as assumed and 30 percent less: at least half of it may be cut at first, the cut of years 51 to
    100 is over half of that of 1 to 50, and no draw is under 85 percent of the lesser of start and goal at 50 years.
    """
    one = small(growth)
    assert np.median(one.of_thinned[0]) >= 0.5 * one.growth
    assert one.thinned[50:].mean() >= 0.5 * one.thinned[:50].mean()
    assert one.fallen(50, first=False) == 0.0
    assert np.median(one.full[100]) < np.median(one.full[0])


@pytest.mark.slow
def test_slower_growth_leaves_less_and_half_of_it_is_seen_to():
    """The trial can fail: with half the growth less stands after 50 years than with all of it, in every draw."""
    half, whole = small(0.5, draws=4), small(1.0, draws=4)
    assert (half.over(50) < whole.over(50)).all()
    assert (half.grew(slice(0, 50)) < 0.7 * whole.grew(slice(0, 50))).all()


def test_the_limit_of_each_draw_is_that_of_its_stands_alone():
    """What grows is worked for all draws at once; the rule of one draw is ``yearly_cut`` of its stands."""
    wood = of.places_made()["9 ac, three small stands"]
    truth, exact = truth_of.begun(wood, 3, 1.0, "mid", np.random.default_rng(4))
    truth.factor, truth.even = truth_of.assumed(truth, exact)
    at = np.flatnonzero(truth.acres.ravel() >= trial.SMALLEST_AC)
    stands = truth.stands(at)
    flat = truth.trees.reshape(*truth.trees.shape[:2], -1)[:, :, at]
    plots = hand_in.cruise(stands, flat, wood.species, 5, np.random.default_rng(5))
    woods, cords = hand_in.told(stands, *plots, wood.region)
    draw, first = at // len(truth.age), np.full(len(at), np.nan)
    for here, rule, _, _, _ in trial.limits(woods, stands, cords, first, draw, 3, 1, wood.region):
        mine = stands.iloc[here].reset_index(drop=True)
        alone = ceilings.yearly_cut(hand_in.part(woods, here), mine, cords, wood.region, number=2000).rule
        for name in ("stock_cords", "goal_cords", "mid_growth", "area_cords", "meyer_cords", "by_area_cords"):
            assert getattr(rule, name) == pytest.approx(getattr(alone, name)), name
        assert rule.level_cords == pytest.approx(alone.level_cords, rel=0.15)


def test_the_true_wood_breaks_up_and_is_cut_by_hand():
    """Aspen at 70, mid pace: 3.57 percent are lost in the year, 1 - exp(-ln 2 (11^2 - 10^2) / 20^2); nothing grows.
    Of the hardwoods beside it 12 cords are cut where 12 may be.
    """
    covers = [of.Cover(of.HARDWOODS, 20.0, 110.0), of.Cover(of.ASPEN, 10.0, 110.0, 10.0, 2.5, None, 70.0, 70.0)]
    truth, exact = truth_of.begun(of.made(covers), 2, 1.0, "mid", np.random.default_rng(1))
    truth.factor, truth.even = truth_of.assumed(truth, exact)
    aspen = truth.wood.species.index("quaking aspen")
    before, stock = truth.trees[aspen, :, :, 1].copy(), (truth.cords * truth.acres).copy()
    leave = np.full(truth.acres.shape, np.inf)
    leave[:, 0] = 80.0
    may = truth_of.Allowed(np.full(2, 12.0), leave, np.array([[12.0, 12.0], [0.0, 0.0]]), np.zeros(truth.acres.shape))
    taken, other, short = truth_of.cut(truth, may, 0)
    assert taken == pytest.approx([12.0, 12.0]) and not other.any() and short == pytest.approx([0.0, 0.0])
    assert stock[:, 0] - (truth.cords * truth.acres)[:, 0] == pytest.approx([12.0, 12.0])
    truth_of.grown(truth)
    assert truth.trees[aspen, :, :, 1] == pytest.approx(before * (1.0 - 0.0357), rel=1e-4)
    assert truth.age[1] == 71.0

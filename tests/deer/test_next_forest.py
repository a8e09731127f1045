"""Will the next forest come up: worked values, each verdict, light, seed trees, fences, thin hand-ins, steps."""

from dataclasses import replace
from datetime import date
from math import exp

import pandas as pd
import pytest

from tests.deer.forest_example import (
    BASE,
    DAY,
    ENOUGH,
    FENCED,
    FEW,
    NONE,
    ask,
    bitten,
    cruise,
    pairs,
    placed,
    sky,
    stands,
    young,
)
from woodlot.deer import seedlings as plots_of
from woodlot.deer.forest_answer import CANT_SAY, COMING_UP, FILLERS, HELD, NOT_SHOWN, TOO_DARK
from woodlot.deer.forest_floor import Overhead, floor
from woodlot.deer.next_forest import verdict
from woodlot.say.next_forest import forest_all, forest_words
from woodlot.say.reasons import said, worded

# --- worked values


@pytest.mark.parametrize(("basal", "light"), [(60, 0.310), (80, 0.210), (100, 0.142), (120, 0.096), (140, 0.065)])
def test_light_by_basal_area_as_published(basal, light):
    """exp(-.0195 x square feet an acre), where nobody measured it."""
    one = floor(plots_of.visits(young([NONE], stand_id="1"), DAY), (), Overhead(basal={"1": basal}), BASE)
    assert one["light"].iloc[0] == pytest.approx(light, abs=5e-4)
    assert one["light_from"].iloc[0] == "stand"


def test_fence_pairs_as_published():
    """14, 9, 22, 11, 8, 16 inside against 3, 6, 4, 2, 5, 3: 3.17 times (1.96 to 5.11)."""
    told = ask(pairs())
    assert (told.fence.value, told.fence.low, told.fence.high) == pytest.approx((3.17, 1.96, 5.11), abs=0.005)
    assert told.pairs == 6 and told.plots == 6
    assert "3.2 times the young trees over a foot of outside (2.0 to 5.1, 90%, 6 pairs)" in said(told.why[0])


def test_fences_count_only_what_makes_a_forest_over_a_foot_on_equal_ground():
    """Beech and stems under a foot count for nothing; a fenced plot of twice the radius is brought to a quarter."""
    beech = young([(0, 50, 0, 0)] * 6, "american beech", "f", fenced=True, pair=[f"p{i}" for i in range(6)])
    small = young([(90, 0, 0, 0)] * 6, "red maple", "o")
    assert ask(pd.concat([pairs(), beech, small])).fence.value == pytest.approx(3.17, abs=0.005)
    wide = pairs(inside=[4 * k for k in FENCED], radius=12.0)
    assert ask(wide).fence.value == pytest.approx(3.17, abs=0.005)


def test_few_pairs_and_lone_fences_have_no_range():
    """Two pairs are a number without a range; fences without an open plot are none."""
    two = ask(pairs(2))
    assert two.pairs == 2 and two.fence.low is None
    assert said(two.fence.why) == "2 pairs; three would give a first range"
    assert "6 pairs and 3 years are wanted" in said(two.why[0])
    lone = ask(pairs().query("fenced"))
    assert (lone.pairs, lone.plots, lone.fence.value) == (0, 0, None)
    assert lone.verdict == CANT_SAY and lone.why == ()


def test_a_fence_that_has_stood_three_years_is_asked_no_more():
    """Visits of 2023 and 2026: six pairs, three years; from this June on only the years are wanted."""
    old = pairs().assign(date=pd.Timestamp(2023, 6, 20))
    assert "wanted" not in said(ask(pd.concat([old, pairs()])).why[0])
    assert said(ask(pairs()).why[0]).endswith("3 years are wanted.")
    late = pairs().assign(date=pd.Timestamp(2024, 6, 20))
    assert said(ask(pd.concat([late, pairs()])).why[0]).endswith("3 years are wanted.")


# --- each verdict


def told_by(**changes):
    """A verdict from plain limits, all else unknown."""
    plain = {"fence_low": None, "lit": None, "dark": None, "code": None, "missing": False, "fillers": 0.0}
    return verdict(changes.pop("low", 10.0), changes.pop("high", 40.0), 70.0, **plain | changes, region=BASE)


@pytest.mark.parametrize(
    ("facts", "key"),
    [
        ({"low": 70.0, "high": 95.0}, COMING_UP),
        ({"low": 69.9, "high": 95.0}, CANT_SAY),
        ({"low": 10.0, "high": 70.0}, CANT_SAY),
        ({"low": None, "high": None}, CANT_SAY),
        ({}, NOT_SHOWN),
        ({"fence_low": 1.51}, HELD),
        ({"fence_low": 1.5}, NOT_SHOWN),
        ({"fence_low": 1.51, "dark": 1.0}, HELD),
        ({"lit": 0.5, "code": 4}, HELD),
        ({"lit": 0.5, "code": 3}, NOT_SHOWN),
        ({"lit": 0.49, "code": 5}, NOT_SHOWN),
        ({"lit": 0.5, "missing": True}, HELD),
        ({"lit": 0.49, "dark": 0.51, "code": 5, "missing": True}, TOO_DARK),
        ({"dark": 0.5}, NOT_SHOWN),
        ({"fence_low": 0.8, "dark": 0.51}, TOO_DARK),
        ({"fillers": 0.5}, FILLERS),
        ({"fillers": 0.49}, NOT_SHOWN),
        ({"fillers": 0.5, "code": 3, "lit": 1.0}, FILLERS),
        ({"fillers": 0.5, "code": 4}, NOT_SHOWN),
        ({"fillers": 0.5, "dark": 0.51}, TOO_DARK),
        ({"fillers": 0.5, "code": 4, "lit": 0.5}, HELD),
    ],
)
def test_the_verdict_by_the_table(facts, key):
    """The rows of the page's table, each at its edge."""
    assert told_by(**facts) == key


def test_coming_up_with_ironwood_over_it():
    """40 plots with enough maple; ironwood taller on 6 of them is said, and nothing is asked."""
    over = young([(0, 0, 0, 2)] * 6, "eastern hophornbeam")
    told = ask(pd.concat([young([ENOUGH] * 40), over]), bitten(0.1))
    assert told.verdict == COMING_UP and told.steps == () and told.more_plots == 0
    assert said(told.words).startswith("The next forest is coming up. 40 of 40 plots (100%, ")
    assert said(told.words).endswith("Eastern hophornbeam stands over it on 6 of 40 plots.")


def test_beech_alone_never_comes_up():
    """40 plots full of beech: it fills the ground, whatever deer do."""
    told = ask(young([(90, 30, 9, 9)] * 40, "american beech", **sky(30)), bitten(0.0, species="american beech"))
    assert told.verdict == FILLERS and told.fillers == 40
    assert "american beech fills it; fewer deer alone will not mend that" in said(told.words)
    assert [step.step for step in told.steps] == ["cut_fillers", "keep_off"]


def test_held_down_in_the_light():
    """Few young trees, a fifth of the sky, what deer like best heavily bitten."""
    told = ask(young([FEW] * 40, **sky(20)), bitten(0.8))
    assert told.verdict == HELD and told.code == 4 and told.lit == 40
    words = forest_words(worded(told))
    assert words.startswith("The next forest is held down by deer. 0 of 40 plots (0%, ")
    assert "Deer press hard on what they like." in words and "leave the tops" in words


def test_shade_is_never_told_as_deer():
    """The same bites under 130 square feet an acre: too dark to blame deer, and the step is light."""
    over = Overhead(basal={"1": 130.0})
    told = ask(young([FEW] * 40, stand_id="1"), bitten(0.8), over)
    assert told.verdict == TOO_DARK and told.lit == 0 and told.light_from == "stand"
    assert told.light_pct == pytest.approx(100 * exp(-0.0195 * 130))
    everything = " ".join(forest_all(worded(told)))
    assert "too dark to blame deer" in everything and "held down" not in everything and "press" not in everything
    assert [step.step for step in told.steps] == ["light_cut", "look_again"]
    assert "over 118 square feet of basal area an acre it is too dark, at 80 some 21% reaches" in everything


def test_fences_blame_deer_even_where_it_is_dark():
    """Three times as many inside the fences under dense shade: deer it is."""
    told = ask(pd.concat([pairs(), young([FEW] * 40)]).assign(**sky(5)))
    assert told.verdict == HELD
    assert "Inside the fences" in said(told.why[0])


def test_the_cause_is_not_shown():
    """Few young trees, light enough, deer that bite little: build fence pairs."""
    told = ask(young([FEW] * 40, **sky(20)), bitten(0.1))
    assert told.verdict == NOT_SHOWN
    assert said(told.words).startswith("The next forest is not coming up; the cause is not shown.")
    assert said(told.steps[0].words).startswith("Fence 6 plots, each beside an open one alike, and count both for 3")


# --- how many plots


@pytest.mark.parametrize(
    ("stocked", "n", "more"), [(10, 14, 26), (12, 20, 20), (28, 40, 48), (62, 88, 0), (0, 0, 40), (0, 5, 35)]
)
def test_more_plots_until_it_can_be_said(stocked, n, more):
    """40 for .15 either way, then 88 for .10; after that no number of plots is named."""
    told = ask(young([ENOUGH] * stocked + [NONE] * (n - stocked)) if n else None, bitten(0.3, 10))
    assert (told.verdict, told.more_plots, told.plots) == (CANT_SAY, more, n)
    words = said(told.words)
    if n < 15:
        assert "%" not in words
    assert told.steps[0].step == "plots"
    if not more:
        assert "too near the need" in words and "again in three years" in said(told.steps[0].words)
    elif n:
        assert f"{more} more plots would tell" in words


def test_lines_ask_for_more_plots():
    """Plots that are all alike on a line tell less: four lines of ten, two full and two bare."""
    rows = young([ENOUGH] * 20 + [NONE] * 20)
    lined = rows.assign(line=[name for name in "ABCD" for _ in range(10)])
    assert ask(rows, bitten(0.3)).verdict == HELD or ask(rows, bitten(0.3)).verdict == NOT_SHOWN
    told = ask(lined, bitten(0.3))
    assert told.verdict == CANT_SAY and told.more_plots == 401 - 40


def test_lines_are_those_of_the_pellet_plots_of_the_same_name():
    """Seedling plots without a line take that of the pellet plot of their name; a name on two lines has none."""
    rows = young([ENOUGH] * 20 + [NONE] * 20)
    pellets = rows[["plot_id"]].assign(line=[name for name in "ABCD" for _ in range(10)], lon=None, lat=None)
    assert ask(rows, bitten(0.3), pellets=pellets).verdict == CANT_SAY
    twice = pd.concat([pellets, pellets.assign(line="Z")])
    assert ask(rows, bitten(0.3), pellets=twice).verdict != CANT_SAY


def test_the_verdict_does_not_follow_the_level_asked_for():
    """At .50 the limits would clear the need; the verdict is worked at .90, the range shown is the one asked for."""
    rows = young([ENOUGH] * 32 + [NONE] * 8)
    even = ask(rows, bitten(0.3), level=0.5)
    assert even.verdict == ask(rows, bitten(0.3)).verdict == CANT_SAY
    assert even.stocked_pct.low >= 70 > ask(rows, bitten(0.3)).stocked_pct.low


# --- light and seed trees around the plots


def test_light_is_that_of_the_stand_a_plot_lies_in():
    """By stand_id, by lon and lat, by those of the pellet plot of its name; else the mean of the place by acres."""
    over = Overhead(stands("1", "2"), basal={"1": 60.0, "2": 140.0})
    rows = young([NONE] * 5).assign(
        stand_id=["2", None, None, None, "9"],
        lon=[None, -89.995, None, None, None],
        lat=[None, 46.005, None, None, None],
    )
    rows.loc[3, "open_sky_pct"] = 45.0
    pellets = pd.DataFrame({"plot_id": ["2"], "line": ["A"], "lon": [-89.985], "lat": [46.005]})
    told = floor(plots_of.visits(rows, DAY), (pellets, None), over, BASE)
    assert told["light"].tolist() == pytest.approx(
        [exp(-0.0195 * 140), exp(-0.0195 * 60), exp(-0.0195 * 140), 0.45, exp(-0.0195 * 100)], rel=2e-3
    )
    assert told["light_from"].tolist() == ["stand", "stand", "stand", "measured", "place"]
    assert said(ask(rows, over=over, pellets=pellets).why[0]).endswith(
        "mean 21%, by basal area of the stand or of all your woods where not measured)."
    )


def test_without_a_cruise_light_is_not_known_and_accuses_nobody():
    """No basal area: many bites and few young trees are no verdict on deer, and measuring light is a step."""
    told = ask(young([FEW] * 40), bitten(0.8))
    assert (told.verdict, told.light_pct, told.light_from) == (NOT_SHOWN, None, "")
    assert "is not known" in said(told.why[0])
    assert {"pairs", "sky", "tops", "cages", "neighbors", "permit"} == {step.step for step in told.steps}


@pytest.mark.parametrize(
    ("change", "missing"),
    [
        ({}, ("northern red oak",)),
        ({"feet": 95.0}, ("northern red oak",)),
        ({"feet": 105.0}, ()),
        ({"dbh": 7.9}, ()),
        ({"species": "quaking aspen"}, ()),
        ({"species": "american beech"}, ()),
        ({"alive": False}, ()),
        ({"plots": 4}, ()),
        ({"plots": 5}, ("northern red oak",)),
    ],
)
def test_a_kind_deer_like_is_missing_by_the_cruise(change, missing):
    """Seed trees within 100 ft of five plots and no young: oak is missing; kinds deer like less never are."""
    at, trees = cruise(**{"plots": 40} | change)
    rows = placed(40).assign(**sky(30))
    assert ask(rows, over=Overhead(stands("1"), at, trees)).missing == missing


@pytest.mark.parametrize(
    ("seed_trees", "counts", "light", "missing"),
    [
        ("northern red oak; sugar maple", FEW, 30, ("northern red oak",)),
        ("none", FEW, 30, ()),
        ("northern red oak", (5, 0, 0, 0), 24, ()),
        ("northern red oak", (5, 0, 0, 0), 26, ("northern red oak",)),
        ("sugar maple", (5, 0, 0, 0), 30, ("sugar maple",)),
        ("sugar maple", (5, 0, 1, 0), 30, ()),
        ("quaking aspen; american beech", FEW, 70, ()),
        ("striped maple; pin cherry", FEW, 70, ()),
    ],
)
def test_a_kind_is_missing_as_written(seed_trees, counts, light, missing):
    """As the family wrote it; only where a plot is light enough for the kind; a stem of 1 to 5 ft is young."""
    told = ask(young([counts] * 40, seed_trees=seed_trees, **sky(light)))
    assert told.missing == missing
    assert told.verdict == (HELD if missing else NOT_SHOWN)


def test_a_stem_within_reach_on_a_browse_plot_is_young_too():
    """Oak stems on browse plots, bitten or not: oak is not missing; "oak" nobody told apart may be that too."""
    rows = young([FEW] * 40, seed_trees="northern red oak", **sky(30))
    assert ask(rows, bitten(0.1)).missing == ("northern red oak",)
    assert ask(rows, bitten(0.1, species="northern red oak")).missing == ()
    assert ask(rows, bitten(0.1, species="northern red oak", year=2023)).missing == ("northern red oak",)
    assert ask(rows, bitten(0.1, species="northern red oak", year=2024)).missing == ()
    kinds = [kind for kind in BASE.species.listed if "red maple" in BASE.species.members(kind) and kind != "red maple"]
    maple = young([FEW] * 40, kinds[0], seed_trees="red maple", **sky(30))
    assert ask(maple).missing == ()
    told = ask(young([(5, 1, 0, 0)] * 40, "red maple", seed_trees=f"{kinds[0]}; northern red oak", **sky(30)))
    assert told.missing == ("northern red oak",)


def test_nothing_is_missing_where_no_seed_tree_is_known():
    """No cruise, nothing written: not known is not missing."""
    assert ask(placed(40).assign(**sky(30))).missing == ()
    at, trees = cruise(40)
    assert ask(young([FEW] * 40, **sky(30)), over=Overhead(stands("1"), at, trees)).missing == ()


# --- browse codes on the page


def test_the_browse_code_is_that_of_the_last_spring_before_the_seedlings():
    """History by year: verdict and code; the code of a later spring does not reach back."""
    rows = pd.concat([young([FEW] * 40).assign(date=pd.Timestamp(y, 6, 20)) for y in (2024, 2025, 2026)])
    browse = pd.concat([bitten(0.1, year=2024), bitten(0.8, year=2025), bitten(0.3, year=2026)])
    told = ask(rows.assign(**sky(20)), browse)
    assert [(y.year, y.verdict, y.code) for y in told.history] == [
        (2024, NOT_SHOWN, 2), (2025, HELD, 4), (2026, NOT_SHOWN, 3),
    ]  # fmt: skip
    assert ask(rows, browse, day=date(2025, 9, 1)).history[-1].year == 2025
    assert [y.verdict for y in ask(None, browse).history] == ["", "", ""]


def test_beech_and_spruce_unbitten_are_no_good_news_and_hazel_no_bad():
    """Unbitten beech and spruce set no code, hazel at 18 % and red maple at 10 % are not high."""
    leave = pd.concat([bitten(0, species="american beech"), bitten(0, species="white spruce")])
    assert ask(None, leave).code is None
    some = pd.concat([bitten(0.18, species="beaked hazel", stems=50), bitten(0.10)])
    assert ask(None, some).code == 2


# --- thin hand-ins


def test_nothing_counted():
    """No seedlings, no browse: how many plots would tell, and how long they take."""
    told = ask()
    assert (told.verdict, told.plots, told.stocked_pct.value, told.history) == (CANT_SAY, 0, None, ())
    words = forest_words(worded(told))
    assert "no seedlings were counted; 40 plots would tell" in words and "6 to 12 minutes of work" in words


def test_empty_tables_are_as_none():
    """Frames with headings alone."""
    empty = young([FEW]).iloc[:0]
    assert ask(empty, bitten(0.1).iloc[:0]) == replace(ask(), history=())


def test_five_plots():
    """Five plots: words only, whatever stands on them."""
    told = ask(young([ENOUGH] * 5, **sky(30)))
    assert (told.verdict, told.more_plots) == (CANT_SAY, 35)
    assert "5 plots so far, 5 of them with enough" in said(told.words)

"""Stands that age: deaths by size, kinds that break up, what goes on beside them; never negative, always balanced."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.stand.test_grow import SG, SPECIES, balance, golden, random_stands
from woodlot.region import shipped
from woodlot.stand import even_aged, grow
from woodlot.stand.ageing import (
    PACES,
    breakup,
    lost_in_year,
    reach_share,
    size_deaths,
    standing_share,
    usual_largest_in,
)
from woodlot.stand.of_one_age import ageing_columns, ages_of, brush_after, lost_by_year, of_one_age, pace_seen
from woodlot.tree.growth import equations
from woodlot.units import basal_sqft

BASE = shipped("base")
KINDS = ["quaking aspen", "sugar maple"]


def project(n, years, species=SPECIES, **more):
    """Some stands of made-up trees."""
    figures = equations(species, region=BASE)[0]
    return grow.project(n, figures, years, wood_sg=SG[: len(species)], region=BASE, **more)


def mixed(aspen=60.0, maple=40.0):
    """An acre of aspen of 10 in and maple of 6 and 12 in [trees]."""
    n = np.zeros((2, 30, 1))
    n[0, 2], n[1, [0, 3]] = aspen, maple
    return n


@pytest.mark.parametrize("pace", PACES)
def test_aspen_at_three_paces_as_printed(pace):
    """forest_ageing.md section 2: full stands from 40 years on, basal area at 60 to 100."""
    ages = breakup(["quaking aspen"], pace, region=BASE)
    start = even_aged.full_basal_sqft_aspen(40.0, region=BASE)
    told = even_aged.grow_aspen(start, 400, 40, 60, 1.0, ages.onset_yr, ages.half_yr, region=BASE)
    for age, (value, half) in golden(f"aspen {pace}").items():
        assert told["basal"][int(age) - 40, 0] == pytest.approx(value, abs=half), age


def test_full_aspen_peaks_at_61_years_as_printed():
    """forest_ageing.md section 2: 130.4 sq ft at 61.4 years; 3.57 and 6.86 % lost in the years from 70 and 80."""
    age = np.arange(55.0, 70.0, 0.01)
    b = even_aged.full_basal_sqft_aspen(age, region=BASE) * standing_share(age, 60, 80)
    assert b.max() == pytest.approx(130.4, abs=0.05) and age[b.argmax()] == pytest.approx(61.4, abs=0.05)
    assert 100 * lost_in_year([70, 80], 60, 80) == pytest.approx([3.57, 6.86], abs=0.005)


def test_a_stand_past_its_onset_starts_from_what_the_plots_show():
    """71.2 sq ft of bigtooth at 100 years: L alone from there, no growth in basal area; the account closes."""
    told = even_aged.grow_aspen(71.2, 90, 100, 20, 1.3, 60.0, 85.0, region=BASE)
    assert told["basal"][:, 0] == pytest.approx(
        71.2 * standing_share(np.arange(100, 121), 60, 85) / standing_share(100, 60, 85)
    )
    assert (told["survivor"] == 0).all() and told["mortality"] == pytest.approx(told["broken"])
    assert told["basal"][:-1] - told["broken"] == pytest.approx(told["basal"][1:])
    assert told["stems"][-1, 0] / 90 == pytest.approx(told["basal"][-1, 0] / 71.2)


def test_pine_that_breaks_up_keeps_its_account_with_a_thinning():
    """Jack pine of 65 and 85 years at onset 70, half 95; red pine beside it has no onset and never does."""
    leave = np.full((20, 3), np.nan)
    leave[3] = 70.0
    told = even_aged.grow_pine(
        100.0, 200.0, [65.0, 85.0, 85.0], 60.0, 20, 1.0, leave, [70, 70, np.nan], [95, 95, np.nan], region=BASE
    )
    after = told["basal"][1:].copy()
    after[:-1] += told["cut"][1:]
    assert np.abs(told["basal"][:-1] + told["survivor"] - told["mortality"] - after).max() < 1e-9
    assert (told["broken"][:5, 0] == 0).all() and (told["broken"][5:, 0] > 0).all()
    assert (told["broken"][:, 1] > 0).all() and (told["broken"][:, 2] == 0).all()
    assert (told["survivor"][:, 1] == 0).all() and told["cut"][3].min() > 10


def test_break_up_takes_the_trees_of_its_kind_alone_and_stands_in_place_of_all_else():
    """Aspen of 60 years among maples: its classes shrink by L and nothing else; the maples go on, and gain ingrowth of
    their own; what breaks up is dead, and in the account of what a tree is worth.
    """
    lost = np.zeros((20, 2, 1))
    lost[:, 0, 0] = lost_in_year(np.arange(60, 80), 60, 80)
    lost[0, 0] = 1e-9
    n = mixed()
    told = project(
        n, 20, KINDS, lost=lost, worth={"cords": np.ones((2, 30))}, largest_in=usual_largest_in(KINDS, region=BASE)
    )
    share = np.prod(1.0 - lost[:, 0, 0])
    assert told.trees[0, :, 0] == pytest.approx(n[0, :, 0] * share)
    assert np.abs(balance(told)).max() < 1e-9
    assert told.broken["cords"].sum() == pytest.approx(60.0 * (1.0 - share))
    assert told.broken["cords"][5, 0] == pytest.approx(60.0 * np.prod(1.0 - lost[:5, 0, 0]) * lost[5, 0, 0])
    alone = project(n, 20, KINDS)
    assert told.trees[1].sum() > alone.trees[1].sum() and told.survivor[-1, 0] > 0
    assert project(n, 20, KINDS, lost=0.0 * lost).trees == pytest.approx(alone.trees)


@pytest.mark.parametrize(("saplings", "grows"), [(None, 0.0), (np.array([0.0]), 0.0), (np.array([200.0]), 1.0)])
def test_nothing_grows_in_where_neither_sapling_nor_small_tree_stands(saplings, grows):
    """Pure aspen that breaks up leaves brush; with saplings the other kind comes, never the aspen; small maples come by
    themselves.
    """
    n = mixed(maple=0.0)
    lost = np.full((5, 2, 1), [[0.1], [0.0]])
    told = project(n, 5, KINDS, lost=lost, saplings_per_ac=saplings)
    assert (told.stems_in.sum() > 0) == bool(grows)
    assert told.trees[0].sum() == pytest.approx(60.0 * 0.9**5)
    small = project(mixed(maple=2.0), 5, KINDS, lost=lost)
    assert small.stems_in.min() > 0 and small.trees[0].sum() == pytest.approx(60.0 * 0.9**5)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.2, 8.0), st.booleans())
def test_no_class_is_ever_under_nothing_and_every_year_balances(seed, fast, spikes):
    """Random tables, also of single full classes, growth far too fast, some kinds that break up: a balance to 1e-9."""
    n = random_stands(4, seed)
    if spikes:
        n[:, ::2] = 0.0
    draw = np.random.default_rng(seed)
    lost = np.where(draw.random((30, 4, 4)) < 0.2, draw.uniform(0, 0.5, (30, 4, 4)), 0.0)
    more = {"factor": np.full((4, 4), fast), "largest_in": usual_largest_in(SPECIES, region=BASE), "lost": lost}
    told = project(n, 30, **more)
    assert told.trees.min() >= 0.0 and told.mortality.min() >= -1e-12 and told.survivor.min() >= 0.0
    assert np.abs(balance(told)).max() < 1e-9
    assert np.abs(told.stems[:-1] + told.stems_in - told.stems_out - told.stems[1:]).max() < 1e-9


def test_deaths_of_a_year_stay_under_a_half():
    """Trees of 64 in with a usual largest of 12: 460 times as many as there are by the formula, a half by the cap."""
    n = np.zeros((1, 30, 1))
    n[0, -1] = 8.0
    told = project(n, 1, ["sugar maple"], largest_in=np.array([12.0]), saplings_per_ac=np.array([0.0]))
    assert told.trees.sum() == pytest.approx(4.0) and told.stems_out[0, 0] == pytest.approx(4.0)


@pytest.mark.parametrize("size", [10, 20, 30])
def test_more_trees_die_near_the_usual_largest_by_hand(size):
    """One tree of a class: class share and .02 (d/30)^6: .0018 at 20 in, .02 at 30."""
    n = np.zeros((1, 30, 1))
    n[0, (size - 6) // 2] = 1.0
    plain, more = (
        project(n, 1, ["sugar maple"], largest_in=one, saplings_per_ac=np.array([0.0])).stems_out[0, 0]
        for one in (None, np.array([30.0]))
    )
    assert more - plain == pytest.approx(0.02 * (size / 30) ** 6, rel=1e-6)


def test_in_stands_whose_trees_gave_the_shares_deaths_by_size_begin_later_by_hand():
    """1.2 of 30 in is 36: none of them up to there, .1124 - .0597 = .0526 at 40 in; elsewhere all of .1124."""
    told = size_deaths([30.0, 36.0, 40.0, 40.0], 30.0, [True, True, True, False], region=BASE)
    assert told == pytest.approx([0.0, 0.0, 0.1124 - 0.02 * 1.2**6, 0.1124], abs=5e-5)
    n = np.zeros((1, 30, 1))
    n[0, 17] = 1.0
    dead = [
        project(n, 1, ["northern red oak"], largest_in=one, as_measured=True, saplings_per_ac=np.array([0.0])).stems_out
        for one in (None, np.array([30.0]))
    ]
    assert (dead[1] - dead[0])[0, 0] == pytest.approx(0.0526, abs=5e-5)


def test_the_age_of_a_stand_speaks_for_its_main_kind_its_genus_and_its_cover():
    """A maple stand's age says nothing of its aspen; an aspen and birch stand's of its birch too, by its name."""
    kinds = ["quaking aspen", "bigtooth aspen", "paper birch", "balsam fir", "sugar maple"]
    main = np.array(["bigtooth aspen", "sugar maple", "white spruce", ""], dtype=object)
    cover = np.array(["aspen and birch", "northern hardwoods", "spruce and fir", "brush and openings"], dtype=object)
    told = of_one_age(kinds, main, cover, region=BASE)
    assert told.T.tolist() == [
        [True, True, True, False, False],
        [False, False, False, False, True],
        [False, False, False, True, False],
        [False] * 5,
    ]


def tally(live, dead, kind="quaking aspen", stand="1"):
    """Trees of one stand, all of one size."""
    rows = [(stand, kind, True, 1.0)] * live + [(stand, kind, False, 1.0)] * dead
    return pd.DataFrame(rows, columns=["stand_id", "species", "alive", "basal_sqft_per_ac"])


@pytest.mark.parametrize(
    ("live", "dead", "pace"),
    [(20, 0, "mid"), (19, 1, "slow"), (18, 2, "mid"), (15, 5, "mid"), (14, 6, "fast"), (5, 4, "mid")],
)
def test_the_pace_is_seen_by_what_stands_dead(live, dead, pace):
    """Under a tenth slow, over a quarter fast; nobody tallied a dead tree, or ten of the kind: mid. Dead maples of
    another stand show that dead trees are tallied here, not how aspen breaks up.
    """
    aged = np.array([[True, True], [False, False]])
    assert pace_seen(tally(live, dead), ["1", "2"], KINDS, aged, region=BASE).tolist() == [pace, "mid"]
    if not dead:
        more = pd.concat([tally(live, 0), tally(0, 30, "sugar maple", "2")])
        assert pace_seen(more, ["1", "2"], KINDS, aged, region=BASE).tolist() == ["slow", "mid"]


def frame(age, main="quaking aspen", cover="aspen and birch"):
    """One stand."""
    return pd.DataFrame({"stand_id": ["1"], "cover": [cover], "main": [main], "age_yr": [age]})


def columns(age, aspen=80.0, maple=20.0, trees=None, **more):
    """What is said of one stand of aspen and maple [sq ft]."""
    basal = np.array([[aspen], [maple]])
    return ageing_columns(frame(age, **more), basal, KINDS, tally(20, 0) if trees is None else trees, region=BASE).iloc[
        0
    ]


def test_what_is_said_of_a_stand_that_breaks_up():
    """Of 40 years: not past it, at the middle pace; of 60: past; unwritten: asked; a maple stand: neither."""
    told = columns(40.0)
    assert told[["short_kind", "pace", "onset_yr", "half_yr", "latest_cut_yr"]].tolist() == [
        "quaking aspen",
        "mid",
        60.0,
        80.0,
        45.0,
    ]
    assert told["short_share"] == pytest.approx(0.8) and not told["past_age"] and not told["age_asked"]
    assert columns(60.0)["past_age"] and not columns(59.0)["past_age"]
    asked = columns(np.nan)
    assert asked["age_asked"] and not asked["past_age"] and asked["onset_yr"] == 60.0
    maple = columns(80.0, 20.0, 80.0, main="sugar maple", cover="northern hardwoods")
    assert maple["short_kind"] == "" and np.isnan(maple["onset_yr"]) and maple["short_share"] == pytest.approx(0.2)
    assert not maple["past_age"] and not columns(np.nan, 20, 80, main="sugar maple", cover="oak")["age_asked"]
    few = columns(70.0, 40.0, 60.0, main="sugar maple")
    assert few["short_kind"] == "quaking aspen" and not few["past_age"], "of the cover's kind, but not the most of it"


def test_few_dead_say_nothing_in_a_stand_that_is_not_due_and_much_in_an_old_one():
    """One of twenty dead: at 30 years mid, at 64 slow, whose onset is 65; six of twenty: fast, past at 55."""
    assert columns(30.0, trees=tally(19, 1))["pace"] == "mid"
    old = columns(64.0, trees=tally(19, 1))
    assert old["pace"] == "slow" and old["onset_yr"] == 65.0 and not old["past_age"]
    assert columns(56.0, trees=tally(14, 6))["past_age"]


def test_young_aspen_without_a_tree_on_its_plots_has_its_ages():
    """Its kind is known by its way of growing, though nothing was measured."""
    told = columns(8.0, 0.0, 0.0, trees=tally(0, 0))
    assert told["short_kind"] == "quaking aspen" and told["onset_yr"] == 60.0 and told["short_share"] == 1.0


def test_what_is_lost_by_year_waits_for_the_onset_of_each_pace():
    """Aspen of 50 years for ten years: fast from the fifth on, mid not; nothing without an age."""
    aged = np.array([[True], [False]])
    for pace, first in (("fast", 5), ("mid", 10)):
        lost = lost_by_year(ages_of(KINDS, np.array([pace]), region=BASE), aged, np.array([50.0]), 12)
        assert np.flatnonzero(lost[:, 0, 0])[0] == first and (lost[:, 1] == 0).all()
    ages = ages_of(KINDS, np.array(["mid"]), region=BASE)
    assert lost_by_year(ages, aged, np.array([np.nan]), 12) is None
    assert lost_by_year(ages, aged, np.array([50.0]), 10) is None


def test_brush_follows_where_nothing_stands_under_it():
    """No small tree of another kind and no sapling; a stand of other kinds is never told so."""
    n = np.concatenate([mixed(maple=0.0), mixed(), mixed(maple=0.0), mixed(maple=0.0)], axis=2)
    kind = np.array(["quaking aspen", "quaking aspen", "quaking aspen", ""], dtype=object)
    told = brush_after(n, kind, KINDS, np.array([np.nan, np.nan, 50.0, np.nan]), region=BASE)
    assert told.tolist() == [True, False, False, False]


def test_few_trees_reach_an_age_by_hand():
    """Red maple: half at 80, one in a hundred at 150, by its row; a kind without ages has none."""
    assert reach_share("red maple", 80, region=BASE) == pytest.approx(0.5)
    assert reach_share("red maple", 150, region=BASE) == pytest.approx(0.01)
    assert np.isnan(reach_share("balsam poplar", 60, region=BASE))


def test_basal_area_of_the_made_up_acre_by_hand():
    """60 aspens of 10 in and 40 maples each of 6 and 12: 32.7 + 7.9 + 31.4 sq ft, as the account begins."""
    told = project(mixed(), 1, KINDS)
    assert told.basal[0, 0] == pytest.approx(60 * basal_sqft(10) + 40 * (basal_sqft(6) + basal_sqft(12)))

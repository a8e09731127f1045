"""The schedule: worked examples with a known best answer, limits that hold, and needs that cannot be met."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.plan import schedule_check, schedule_integer, schedule_trials
from woodlot.plan.schedule import Limits, Prescriptions, Row, solve
from woodlot.plan.schedule_program import Program
from woodlot.plan.schedule_trials import in_the_way

YIELDS = {"A": (20, 24, 27), "B": (15, 19, 23), "C": (25, 27, 28)}
ENDS = {"A": (6, 3, 0, 30), "B": (6, 3, 0, 27), "C": (6, 3, 0, 29)}
ACRES = (40.0, 80.0, 40.0)
BY_AGE = (3.0, 10.0, 20.0, 30.0)
EDGES = [(0, 1), (0, 2), (1, 3), (2, 3)]
CORNERS = [(0, 3), (1, 2)]


def steps(p, share):
    """The cut of a period no more than a share lower or higher than that of the one before; 0 is strictly even."""
    before, now = p.cut[:, :-1].T, p.cut[:, 1:].T
    fall = [Row("fall", b - (1.0 - share) * a, low=0.0) for a, b in zip(before, now, strict=True)]
    return fall + [Row("rise", b - (1.0 + share) * a, high=0.0) for a, b in zip(before, now, strict=True)]


def three_stands():
    """practice.md 7.3 E1: each stand cut in one of three periods or never."""
    cut = [[YIELDS[s][t] if t == p else 0.0 for t in range(3)] for s in "ABC" for p in range(4)]
    end = [ENDS[s][p] for s in "ABC" for p in range(4)]
    return Prescriptions(stand=np.repeat(range(3), 4), acres=np.array(ACRES), cut=np.array(cut), end=np.array(end))


@pytest.mark.parametrize(
    ("limits", "total", "by_period"),
    [
        (Limits(), 4040.000, (0, 0, 4040)),
        (Limits(rows=steps(three_stands(), 0.0)), 3648.276, (1216.092,) * 3),
        (Limits(rows=steps(three_stands(), 0.1)), 3691.638, (1115.298, 1226.828, 1349.511)),
        (Limits(rows=steps(three_stands(), 0.0), end_at_least=1600), 2744.352, (914.784,) * 3),
        (Limits(rows=steps(three_stands(), 0.1), end_at_least=1600), 2745.537, None),
    ],
)
def test_three_stands_in_three_periods_as_printed(limits, total, by_period):
    """practice.md 7.3 E1, to .01: no flow rule, strictly even, steps of 10 %, and 1,600 cords left standing."""
    told = solve(three_stands(), limits)
    assert told.cut.sum() == pytest.approx(total, abs=0.01)
    if by_period:
        assert told.cut == pytest.approx(by_period, abs=0.01)
    assert max(told.checked.values()) < 1e-6
    if limits.end_at_least:
        assert told.end == pytest.approx(1600.0, abs=0.01)


def four_forties():
    """practice.md 7.3 E2: NW, NE, SW, SE of a quarter section, worth if cut in period 1 or 2, or left."""
    worth = [(100, 110), (90, 105), (80, 95), (120, 125)]
    cut = [row for a, b in worth for row in ((a, 0), (0, b), (0, 0))]
    return Prescriptions(stand=np.repeat(range(4), 3), acres=np.ones(4), cut=np.array(cut, dtype=float))


def enumerated(neighbors, apart):
    """Best of all 81 ways, by trying them."""
    worth = [(100, 110, 0), (90, 105, 0), (80, 95, 0), (120, 125, 0)]
    best = 0
    for way in itertools.product(range(3), repeat=4):
        clash = any(way[a] < 2 and way[b] < 2 and abs(way[a] - way[b]) <= apart for a, b in neighbors)
        best = best if clash else max(best, sum(worth[k][way[k]] for k in range(4)))
    return best


@pytest.mark.parametrize(
    ("neighbors", "apart", "best"),
    [([], 0, 435), (EDGES, 0, 420), (EDGES + CORNERS, 0, 230), (EDGES, 1, 235)],
)
def test_four_forties_that_touch_as_printed(neighbors, apart, best):
    """practice.md 7.3 E2, to .01, and by trying all ways: 435, edges 420, corners too 230, a period more 235."""
    told = solve(four_forties(), Limits(least_entry_ac=1.0, gap=0.0, neighbors=neighbors, apart=apart))
    assert told.value == pytest.approx(best, abs=0.01)
    assert enumerated(neighbors, apart) == best
    assert told.checked.get("neighbors", 0.0) == 0.0 and told.checked["least entry"] < 1e-9
    if neighbors == EDGES and apart == 0:
        assert told.acres.round(6).tolist() == [1, 0, 0, 0, 1, 0, 0, 1, 0, 1, 0, 0], "NW and SE first, then NE and SW"


def age_classes(start, acres, end, flow):
    """practice.md 7.3 E3: every pattern of cutting in four periods, ages counted in classes of a period."""
    stand, cut, last = [], [], []
    for k, age in enumerate(start):
        for pattern in itertools.product((0, 1), repeat=4):
            now, row = age, []
            for cut_here in pattern:
                row.append(BY_AGE[now - 1] if cut_here else 0.0)
                now = 1 if cut_here else min(now + 1, 4)
            stand.append(k)
            cut.append(row)
            last.append(now)
    rows = [Row(f"class {c}", (np.array(last) == c) * 1.0, 40.0, 40.0) for c in (1, 2, 3, 4)] if end else []
    p = Prescriptions(stand=np.array(stand), acres=np.array(acres, dtype=float), cut=np.array(cut))
    return solve(p, Limits(rows=rows + ([] if flow is None else steps(p, flow))))


@pytest.mark.parametrize(
    ("start", "acres", "end", "flow", "total", "by_period"),
    [
        ((1, 2, 3, 4), (40,) * 4, True, 0.0, 4800.0, (1200,) * 4),
        ((1, 2, 3, 4), (40,) * 4, False, 0.0, 5631.17, (1407.79,) * 4),
        ((1, 2, 3, 4), (40,) * 4, False, None, 6120.0, None),
        ((4,), (160,), True, 0.0, 4800.0, (1200,) * 4),
        ((4,), (160,), True, None, 6120.0, (4800, 120, 400, 800)),
    ],
)
def test_a_regulated_forest_as_printed(start, acres, end, flow, total, by_period):
    """practice.md 7.3 E3, to .01: even flow with and without the end condition, and from 160 acres of one age."""
    told = age_classes(start, acres, end, flow)
    assert told.cut.sum() == pytest.approx(total, abs=0.01)
    if by_period:
        assert told.cut == pytest.approx(by_period, abs=0.01)
    assert max(told.checked.values()) < 1e-6


def test_a_need_that_cannot_be_met_says_what_is_missing_and_what_would_help_by_hand():
    """One stand of 10 acres, one cord an acre in either year, a day of work a cord, 3 days a year, 5 cords wanted: 2
    are missing each year, and with 5 days none would be.
    """
    p = Prescriptions(
        stand=np.zeros(3, dtype=int),
        acres=np.array([10.0]),
        cut=np.array([[1.0, 0.0], [0.0, 1.0], [0.0, 0.0]]),
        work=np.array([[1.0, 0.0], [0.0, 1.0], [0.0, 0.0]]),
    )
    limits = Limits(need=5.0, work_most=3.0)
    told = solve(p, limits)
    assert told.short == pytest.approx([2.0, 2.0], abs=1e-9)
    tried = in_the_way(told, limits)
    assert tried[["about", "limit"]].to_numpy().tolist() == [["firewood", "work"]]
    assert tried.loc[0, ["less", "left", "work_most"]].tolist() == pytest.approx([4.0, 0.0, 5.0], abs=1e-6)


def one_year(ac=20.0):
    """A stand that gives two cords an acre for a day of work an acre, or is left."""
    now = np.array([[1.0], [0.0]])
    return Prescriptions(stand=np.zeros(2, dtype=int), acres=np.array([ac]), cut=2.0 * now, work=now)


def test_limits_that_hold_a_need_only_together_are_named_together_by_hand():
    """10 cords wanted, 3 days of work and 6 cords at most: without either the other still leaves 6, without both all 10
    are had in 5 days; with 8 cords at most it is the days alone (8), and the most that may be cut is not named.
    """
    both, days = (Limits(need=10.0, work_most=3.0, cut_most=top) for top in (6.0, 8.0))
    (row,) = in_the_way(solve(one_year(), both), both).to_numpy().tolist()
    assert row[:2] == ["firewood", "work+cut"] and row[2:4] == pytest.approx([4.0, 0.0], abs=1e-6)
    tried = in_the_way(solve(one_year(), days), days)
    assert tried["limit"].tolist() == ["work"] and tried.loc[0, "less"] == pytest.approx(2.0, abs=1e-6)


def test_a_least_entry_in_the_way_is_found_by_whole_trials_by_hand():
    """6 cords wanted, 2 days of work, 5 acres at least: nothing is cut. The linear program would cut 2 acres, so whole
    trials are made: with 5 days all 6 are had; with any entry 4 of them; with more to be cut none.
    """
    limits = Limits(need=6.0, work_most=2.0, cut_most=100.0, least_entry_ac=5.0)
    told = solve(one_year(), limits)
    assert told.short == pytest.approx([6.0])
    tried = in_the_way(told, limits)
    assert tried["limit"].tolist() == ["work", "entry"]
    assert tried["less"].to_numpy() == pytest.approx([6.0, 4.0], abs=1e-3)
    assert tried["left"].to_numpy() == pytest.approx([0.0, 2.0], abs=1e-3)


def test_a_whole_trial_is_made_only_where_the_linear_program_could_bring_enough(monkeypatch):
    """1,000 cords and 10 posts wanted, a post an acre, 3 days of work, 5 acres at least: nothing is cut, and missing
    counts 20,020. Without the least entry, or the most that may be cut, the linear program's 3 acres bring 126, under
    a hundredth of that; without the days all 20 acres bring more. One whole trial does; 960 cords are not in the woods.
    """
    limits = Limits(need=1000.0, wanted={"posts": 10.0}, work_most=3.0, cut_most=100.0, least_entry_ac=5.0)
    p = replace(one_year(), pieces={"posts": np.array([[1.0], [0.0]])})
    told, made, plain = solve(p, limits), [], schedule_trials.solve
    assert told.short == pytest.approx([1000.0]) and told.lacks["posts"] == pytest.approx([10.0])
    monkeypatch.setattr(schedule_trials, "solve", lambda *a: made.append(a[1].work_most) or plain(*a))
    tried = in_the_way(told, limits)
    assert made == [None]
    told = tried.set_index(["about", "limit"])["left"].to_dict()
    assert told == pytest.approx({("firewood", "work"): 960.0, ("posts", "work"): 0.0, ("firewood", "woods"): 960.0})


def test_days_on_frozen_ground_are_days_of_work_by_hand():
    """4 cords wanted, 1 day of work, half of it on frozen ground: without that share 1 cord more, without days all; a
    plan that lacks nothing is not tried at all.
    """
    half = Row("frozen", np.array([1.0, 0.0]), high=0.5)
    limits = Limits(need=4.0, work_most=1.0, rows=[half])
    tried = in_the_way(solve(one_year(), limits), limits)
    assert tried["limit"].tolist() == ["work", "frozen"]
    assert tried["less"].to_numpy() == pytest.approx([3.0, 1.0], abs=1e-6)
    enough = Limits(need=1.0, work_most=1.0, rows=[half])
    assert not len(in_the_way(solve(one_year(), enough), enough))


def posts(**more):
    """10 acres, a cord and 4 posts an acre in either year, a day of work an acre; no more is cut than is needed."""
    now = np.array([[1.0, 0.0], [0.0, 1.0], [0.0, 0.0]])
    p = Prescriptions(
        stand=np.zeros(3, dtype=int), acres=np.array([10.0]), cut=now, work=now, pieces={"posts": 4.0 * now},
        worth=-0.1 * now.sum(axis=1),
    )  # fmt: skip
    return solve(p, Limits(**more))


def test_posts_drive_the_schedule_by_hand():
    """8 posts a year are 2 acres a year; with a year's need kept over, one year of 16 is as good as two of 8."""
    told = posts(wanted={"posts": 8.0}, carry_share=0.0)
    assert told.cut == pytest.approx([2.0, 2.0], abs=1e-6)
    assert told.made["posts"] == pytest.approx([8.0, 8.0], abs=1e-6) and told.lacks["posts"].sum() == 0.0
    kept = posts(wanted={"posts": (0.0, 16.0)}, carry_share=0.0)
    assert kept.cut == pytest.approx([0.0, 4.0], abs=1e-6)


def test_wood_in_posts_does_not_go_to_the_stove_by_hand():
    """2 cords of firewood and 8 posts of .05 cord a year: 2.4 cords are cut, 2 are left for the stove."""
    told = posts(need=2.0, wanted={"posts": 8.0}, carry_share=0.0, wood_in={"posts": 0.05})
    assert told.cut == pytest.approx([2.4, 2.4], abs=1e-6)
    assert told.fuel == pytest.approx([2.0, 2.0], abs=1e-6)


def test_posts_that_cannot_be_had_are_spread_evenly_and_explained_by_hand():
    """One day of work a year gives 4 posts of 8: 4 are missing each year; with two days a year none would be."""
    limits = {"wanted": {"posts": 8.0}, "carry_share": 0.0, "work_most": 1.0}
    told = posts(**limits)
    assert told.lacks["posts"] == pytest.approx([4.0, 4.0], abs=1e-6)
    tried = in_the_way(told, Limits(**limits))
    assert tried[["about", "limit"]].to_numpy().tolist() == [["posts", "work"]]
    assert tried.loc[0, ["less", "left", "work_most"]].tolist() == pytest.approx([8.0, 0.0, 2.0], abs=1e-6)


def test_a_product_that_no_prescription_gives_is_refused():
    """Rails are wanted, nothing says how many a cut gives."""
    with pytest.raises(InputError, match="rails"):
        posts(wanted={"rails": 3.0})


@pytest.mark.parametrize("wrong", [np.full((3, 3), 1.0), np.full((3, 2), -1.0), np.full((3, 2), np.nan)])
def test_pieces_that_cannot_be_are_refused(wrong):
    """Posts of another shape than the cut, fewer than none, or not known."""
    cut = np.array([[1.0, 0.0], [0.0, 1.0], [0.0, 0.0]])
    p = Prescriptions(stand=np.zeros(3, dtype=int), acres=np.array([10.0]), cut=cut, pieces={"posts": wrong})
    with pytest.raises(InputError, match="posts must be 0 or more"):
        solve(p, Limits())


@pytest.mark.parametrize(
    ("acres", "limits", "name", "miss"),
    [
        (
            [4.0, 0.0, 6.0],
            Limits(rows=[Row("cut", np.ones(3), high=8.5), Row("cut", np.ones(3), high=9.0)]),
            "cut",
            1.5,
        ),
        ([2.0, 0.0, 8.0], Limits(least_entry_ac=np.full(3, 3.0)), "least entry", 1.0),
        ([3.0, 0.0, 7.0], Limits(least_entry_ac=np.full(3, 3.0)), "least entry", 0.0),
        ([4.0, 0.0, 6.0], Limits(cut_most=2.5), "cut", 1.5),
        ([4.0, 0.0, 5.0], Limits(), "acres", 1.0),
        ([4.0, -0.5, 6.5], Limits(), "below zero", 0.5),
    ],
)
def test_what_a_plan_misses_is_worked_out_from_its_acres_by_hand(acres, limits, name, miss):
    """Ten acres cut in one year, in the other or not: each kind of row apart, in its own unit."""
    cut = np.array([[1.0, 0.0], [0.0, 1.0], [0.0, 0.0]])
    p = Prescriptions(stand=np.zeros(3, dtype=int), acres=np.array([10.0]), cut=cut).filled()
    assert schedule_check.check(p, limits, np.array(acres))[name] == pytest.approx(miss, abs=1e-12)


def test_what_binds_is_named_with_its_period_and_what_one_unit_more_would_bring_by_hand():
    """20 acres at 2 cords, 12 cords at most and 30 days: a cord more at most is a cord more. With 5 days and a row of
    the owner's that leaves 4 acres in the third period, an acre more is 2 cords; the days are not used up.
    """
    told = solve(one_year(), Limits(cut_most=12.0, work_most=30.0)).binding
    assert told.to_numpy().tolist() == [["cut", 0, pytest.approx(0.0), pytest.approx(1.0)]]
    own = Row("mine", np.array([1.0, 0.0]), high=4.0, period=2)
    told = solve(one_year(), Limits(work_most=5.0, rows=[own])).binding
    assert told.to_numpy().tolist() == [["mine", 2, pytest.approx(0.0), pytest.approx(2.0)]]


def test_what_is_missing_is_spread_evenly_by_hand():
    """12 cords in all for three years of 5: 4 each year, one missing each, rather than 5, 5, 2."""
    p = Prescriptions(stand=np.zeros(4, dtype=int), acres=np.array([12.0]), cut=np.vstack([np.eye(3), np.zeros(3)]))
    told = solve(p, Limits(need=5.0))
    assert told.cut == pytest.approx([4.0, 4.0, 4.0], abs=1e-6)


def test_wood_may_be_kept_over_by_hand():
    """A year in which nothing can be cut is fed from the year before, as far as may be kept: 8 cut, 3 kept, 2 short."""
    p = Prescriptions(stand=np.zeros(2, dtype=int), acres=np.array([20.0]), cut=np.array([[1.0, 0.0], [0.0, 0.0]]))
    told = solve(p, Limits(need=5.0, carry_most=3.0, cut_most=8.0))
    assert told.cut == pytest.approx([8.0, 0.0], abs=1e-6)
    assert told.short == pytest.approx([0.0, 2.0], abs=1e-6)


def test_what_is_kept_over_evens_out_what_is_missing_by_hand():
    """6 cords can be cut this year, none the next, 5 wanted each, 3 may be kept: 3 are burnt and 3 kept, 2 short each
    year, rather than 0 and 4; what the plan is worth is what the solver said.
    """
    p = Prescriptions(stand=np.zeros(2, dtype=int), acres=np.array([6.0]), cut=np.array([[1.0, 0.0], [0.0, 0.0]]))
    told = solve(p, Limits(need=5.0, carry_most=3.0))
    assert told.short == pytest.approx([2.0, 2.0], abs=1e-6)
    assert told.gap < 1e-6


def two_stands_told(first_ac, years=1, **more):
    """Two stands that give a cord an acre in any year; a cord of the first counts .09 against the plan, of the other
    .10, opening a stand .1 and a cord kept over .05, as the tables of the package have it.
    """
    ways = np.vstack([np.eye(years), np.zeros(years)])
    p = Prescriptions(
        stand=np.repeat([0, 1], years + 1),
        acres=np.array([first_ac, 40.0]),
        cut=np.vstack([ways, ways]),
        worth=-np.repeat([0.09, 0.10], years + 1) * np.tile(ways.sum(axis=1), 2),
    )
    limits = Limits(gap=1e-6, **{"entry_price": 0.1, "keep_price": 0.05} | more)
    return solve(p, limits), limits


def two_stands(first_ac, years=1, **more):
    """The acres of both that are entered in each year."""
    return two_stands_told(first_ac, years, **more)[0].acres.reshape(2, years + 1)[:, :years]


def test_a_winters_wood_comes_from_one_stand_by_hand():
    """2 cords wanted, 1.5 acres of the better stand: 1.5 x .09 + .5 x .10 + 2 x .1 = .385 from two stands, 2 x .10 + .1
    = .3 from the other alone. Without a price on entries both are opened; where one cannot do it, both are.
    """
    assert two_stands(1.5, need=2.0) == pytest.approx(np.array([[0.0], [2.0]]), abs=1e-6)
    assert two_stands(1.5, need=2.0, entry_price=0.0) == pytest.approx(np.array([[1.5], [0.5]]), abs=1e-6)
    assert two_stands(1.5, need=41.0) == pytest.approx(np.array([[1.5], [39.5]]), abs=1e-6)


def test_a_small_need_is_cut_every_other_winter_and_a_larger_one_each_by_hand():
    """1 cord a winter: two at once cost .05 to keep and save an entry of .1. 3 cords: keeping costs .15, so each winter
    is cut; where nothing may be kept each winter is cut too. Never more than is wanted.
    """
    assert two_stands(40.0, 4, need=1.0, carry_most=1.0)[0] == pytest.approx([2, 0, 2, 0], abs=1e-6)
    assert two_stands(40.0, 4, need=3.0, carry_most=3.0)[0] == pytest.approx([3, 3, 3, 3], abs=1e-6)
    assert two_stands(40.0, 4, need=1.0)[0] == pytest.approx([1, 1, 1, 1], abs=1e-6)


def test_what_entries_and_keeping_count_and_how_near_the_bound_comes_by_hand():
    """A cord a winter for four: 4 x .09 + 2 entries x .1 + 2 cords kept x .05 = .66, and no plan is better. The linear
    program pays a part of an entry for a part of a stand: of 10 cords of 40 a quarter of .1, of 40 all of it; and where
    20 cords are the most of a year, half of it for ten.
    """
    told, _ = two_stands_told(40.0, 4, need=1.0, carry_most=1.0)
    assert told.value == pytest.approx(-0.66, abs=1e-6) and told.gap < 1e-5
    for need, most, part in ((10.0, None, 0.25), (40.0, None, 1.0), (10.0, 20.0, 0.5)):
        found, limits = two_stands_told(40.0, need=need, cut_most=most)
        value = Program(found.prescriptions, limits).linear().value
        assert value == pytest.approx(-0.09 * need - 0.1 * part, abs=1e-6)


def test_a_row_that_takes_from_one_way_for_another_keeps_no_way_out_by_hand():
    """No more cut than left: of 20 acres 10, though the row's own limit is 0."""
    limits = Limits(need=100.0, entry_price=0.1, rows=[Row("half", np.array([1.0, -1.0]), high=0.0)])
    assert solve(one_year(), limits).acres == pytest.approx([10.0, 10.0], abs=1e-6)


def test_crumbs_of_the_solver_are_no_entries(monkeypatch):
    """A ten-millionth of a stand in an entry that is not made goes back to the largest part; shares sum to one."""
    plain = schedule_integer.solver.whole

    def crumbs(*asked):
        told = plain(*asked)
        told.x[:2] += 1e-7, -1e-7
        return told

    monkeypatch.setattr(schedule_integer.solver, "whole", crumbs)
    told, _ = two_stands_told(1.5, need=2.0)
    assert told.acres[0] == 0.0 and told.acres.sum() == pytest.approx(41.5, abs=1e-12)


def test_a_large_shortage_does_not_loosen_the_search(monkeypatch):
    """1,000 cords wanted where 6 can be had: the price of the rest is 20,000 and more, yet the answer asked for is
    within .02 of ten, a fiftieth of a cord, not within .02 of that.
    """
    asked = []
    plain = schedule_integer.solver.whole
    monkeypatch.setattr(schedule_integer.solver, "whole", lambda *a: asked.append(a[5]) or plain(*a))
    told = solve(one_year(), Limits(need=1000.0, work_most=3.0, least_entry_ac=0.1, gap=0.02))
    assert told.cut == pytest.approx([6.0], abs=1e-6)
    assert len(asked) == 1 and asked[0] * abs(told.bound) == pytest.approx(0.02 * 10.0, rel=0.01)


def test_a_trial_that_only_shifts_what_is_missing_names_nothing(monkeypatch):
    """Less of a product missing by a trial that is worth no more over all: the limit is not in the way."""
    limits = Limits(need=6.0, work_most=2.0, least_entry_ac=5.0)
    told = solve(one_year(), limits)
    monkeypatch.setattr(schedule_trials, "solve", lambda *a: replace(told, short=np.zeros(1)))
    assert in_the_way(told, limits)["limit"].tolist() == ["work+entry"], "neither alone"


def test_an_entry_is_nothing_or_its_own_least_or_the_whole_stand_by_hand():
    """A third of a cord wanted, half a cord at least: half a cord is cut. A stand of .2 acre is cut whole."""
    least = np.array([0.5, 0.0, 0.5, 0.0])
    assert two_stands(40.0, need=1 / 3, least_entry_ac=least)[0] == pytest.approx([0.5], abs=1e-6)
    small = two_stands(0.2, need=0.15, least_entry_ac=least)
    assert small == pytest.approx(np.array([[0.2], [0.0]]), abs=1e-6)


def test_a_search_that_runs_out_of_nodes_says_so_and_still_holds():
    """40 cords a year from eight stands, few entries and jobs wanted, one node: "node limit", every row kept, under its
    bound; with all the nodes it needs: "solved", and a job better.
    """
    p, limits = random_place(3, 8)
    p = replace(p, worth=-0.1 * p.cut.sum(axis=1) * (1 + 0.3 * np.random.default_rng(1).random(8))[p.stand])
    more = {"need": 40.0, "carry_most": 40.0, "keep_price": 0.02, "least_entry_ac": 0.5}
    more |= {"entry_price": 2.0, "job_price": 1.5}
    limits = replace(limits, rows=(), neighbors=(), gap=1e-7, **more)
    one, all_ = (solve(p, replace(limits, nodes=n)) for n in (1, 5000))
    assert (one.status, all_.status) == ("node limit", "solved")
    assert max(one.checked.values()) < 1e-6
    assert one.value < all_.value - 1e-3 and all_.value <= one.bound + 1e-6 and all_.nodes > one.nodes == 1


def test_an_end_stock_out_of_reach_gives_way_and_says_by_how_much():
    """E1 with 5,000 cords to be left: uncut there are 4,520, so the limit gives way by 480 and nothing is cut."""
    told = solve(three_stands(), Limits(end_at_least=5000.0))
    assert told.status == "gave way"
    assert told.gave["end"] == pytest.approx(5000.0 - (40 * 30 + 80 * 27 + 40 * 29), abs=1e-6)
    assert told.cut.sum() == pytest.approx(0.0, abs=1e-3)


def test_an_entry_is_nothing_or_the_least_acreage():
    """20 acres, 3 days of work would allow 3 acres; with 5 acres at least nothing is entered in a year of 3 days, and
    with 6 days 5 or more acres are.
    """
    p = Prescriptions(
        stand=np.zeros(2, dtype=int),
        acres=np.array([20.0]),
        cut=np.array([[2.0], [0.0]]),
        work=np.array([[1.0], [0.0]]),
    )
    assert solve(p, Limits(work_most=3.0)).acres[0] == pytest.approx(3.0, abs=1e-6)
    assert solve(p, Limits(work_most=3.0, least_entry_ac=5.0)).acres[0] == 0.0
    assert solve(p, Limits(work_most=6.0, least_entry_ac=5.0)).acres[0] == pytest.approx(6.0, abs=1e-6)


def random_place(seed, stands):
    """A made-up place: one entry in one of five years, or none."""
    draw = np.random.default_rng(seed)
    cut = draw.uniform(2.0, 9.0, (stands, 1, 1)) * np.vstack([np.eye(5), np.zeros(5)])[None]
    end = draw.uniform(20.0, 30.0, (stands, 1)) - 0.8 * cut.sum(axis=2)
    groups = [(k, k + 1) for k in range(0, stands - 1, 2)]
    p = Prescriptions(
        stand=np.repeat(range(stands), 6),
        acres=draw.uniform(4.0, 30.0, stands),
        cut=cut.reshape(-1, 5),
        end=end.ravel(),
        work=0.8 * cut.reshape(-1, 5),
    )
    return p, Limits(rows=steps(p, 0.2), work_most=40.0, least_entry_ac=3.0, neighbors=groups, apart=1, gap=0.01)


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 5000), st.integers(4, 40))
def test_every_row_holds_when_worked_out_again_from_the_acres(seed, stands):
    """Acres, steps, work, least entries and neighbors, recomputed here and not by the solver's own check."""
    p, limits = random_place(seed, stands)
    told = solve(p, limits)
    acres = told.acres.reshape(stands, 6)
    assert np.allclose(acres.sum(axis=1), p.acres, atol=1e-6)
    cut = told.acres @ p.cut
    assert (cut[1:] <= 1.2 * cut[:-1] + 1e-6).all() and (cut[1:] >= 0.8 * cut[:-1] - 1e-6).all()
    assert (told.acres @ p.work <= 40.0 + 1e-6).all()
    entered = acres[:, :5][acres[:, :5] > 1e-6]
    assert (entered >= np.minimum(3.0, p.acres.min()) - 1e-6).all()
    opened = acres[:, :5] > 1e-6
    for a, b in limits.neighbors:
        for t in range(5):
            assert not (opened[a, t] and opened[b, max(t - 1, 0) : t + 2].any())
    assert told.value <= told.bound + 1e-6


def test_the_same_inputs_give_the_same_schedule():
    """Twice the same place, seed and limits: the same acres."""
    p, limits = random_place(3, 36)
    assert (solve(p, limits).acres == solve(p, limits).acres).all()


def test_prescriptions_that_do_not_fit_are_refused():
    """A stand without a prescription, arrays of another shape, acres of 0."""
    good = three_stands()
    for change in (
        {"acres": np.array([1.0, 2.0, 3.0, 4.0])},
        {"end": np.zeros(3)},
        {"acres": np.array([0.0, 1.0, 1.0])},
    ):
        with pytest.raises(InputError):
            solve(Prescriptions(**{"stand": good.stand, "acres": good.acres, "cut": good.cut, **change}))


def test_what_lies_beside_the_cut_counts_in_no_limit_of_it():
    """An acre of ten cords of which eight die: with a limit of two cords all of it may be cut, without them a fifth."""
    one = Prescriptions(stand=np.zeros(2, dtype=int), acres=np.ones(1), cut=np.array([[10.0], [0.0]]))
    beside = replace(one, beside=np.array([[8.0], [0.0]]))
    limits = Limits(need=10.0, cut_most=2.0)
    free, held = solve(beside, limits), solve(one, limits)
    assert free.cut[0] == pytest.approx(10.0) and held.cut[0] == pytest.approx(2.0)
    assert max(free.checked.values()) < 1e-6

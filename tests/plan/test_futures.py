"""A hundred years of a family's own stands: what moves the chance that the stock falls, and what is said of it."""

import sys
from dataclasses import replace
from math import erfc
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from woodlot.estimate import Estimate
from woodlot.plan import futures as file
from woodlot.plan.cut import cut_per_yr_meyer
from woodlot.plan.future_chances import CRUISES, GROWTHS, Future, Futures
from woodlot.plan.futures import futures
from woodlot.plan.level_cut import LevelCut, error_share, level_cut
from woodlot.region import shipped
from woodlot.say.futures import lines
from woodlot.say.reasons import said

sys.path.insert(0, str(Path(__file__).parents[1] / "trials"))
from invented_woods import KINDS, STANDS, woods

BASE = shipped("base")
NAMES = [name for name, _ in STANDS]
ACRES, RATE = 20.0, 0.022


def cords_of(of, error=0.12, table=0.06):
    """Cords of the stands as five plots each gave them."""
    whole = of.stands["cords"] * ACRES
    one = [
        Estimate(v, "cords", 0.8 * v, 1.2 * v, 0.9, n=5, se=error * v, df=4, shared=(("volume table", table),))
        for v in whole
    ]
    return dict(zip(NAMES, one, strict=True))


def rule_of(stock, level=None, goal=None, rate=RATE):
    """The rule without cores, on a stock that grows at a rate; level: what is cut now, whatever the rule says."""
    share, sure = (float(error_share(*sds)) for sds in ((0.45, 0.06, 0.06), (0.06, 0.06)))
    mid, aim = rate * stock, stock if goal is None else goal
    most = min(float(level_cut(share * mid, stock, stock, aim, sure, region=BASE)), stock / 45.0)
    return LevelCut(
        low_growth=share * mid,
        mid_growth=mid,
        growth_share=share,
        stock_cords=stock,
        first_cords=stock,
        goal_cords=aim,
        stock_share=sure,
        pull_cords=0.0,
        area_cords=stock / 45.0,
        meyer_cords=mid,
        reach_cords=mid,
        surplus_cords=0.0,
        level_cords=most if level is None else level,
        by_area_cords=0.0,
        cords_with_ten_cores=1.3 * most,
        binds="growth",
    )


def told(keep=30.0, site=(0.3, 0.15), inside=(True, True, True, False, True), number=200, seed=1, factor=1.0, **how):
    """Futures of the invented stands without the aspen; keep: basal area that no cut goes under."""
    of = woods(factor)
    stands = of.stands.assign(place_log_sd=site[0], stand_log_sd=site[1], pace="mid")
    of = replace(of, stands=stands)
    table = pd.DataFrame({"stand_id": NAMES, "inside": inside, "cut_ac": ACRES, "keep_sqft_per_ac": keep})
    stock = float((stands["cords"] * ACRES)[list(inside)].sum())
    yearly = SimpleNamespace(table=table, rule=rule_of(stock, **how))
    return futures(of, yearly, cords_of(of), BASE, seed=seed, number=number)


@pytest.fixture(scope="module")
def plain():
    """As they would be told."""
    return told()


def test_all_ways_are_told_and_the_same_seed_gives_the_same(plain):
    """Six ways, chances that are shares, stocks in order; another seed moves no chance by more than its own error."""
    assert [(one.growth, one.cruises) for one in plain.each] == [(g, c) for g in GROWTHS for c in CRUISES]
    assert plain == told() and plain.stands == 4 and plain.number == 200
    for one in plain.each:
        assert set(one.under) == set(one.stock) == {10, 20, 50, 100}
        assert all(low < middle < high for low, middle, high in one.stock.values())
        assert all(0.0 <= share <= 1.0 for share in one.under.values())
    other = told(seed=2)
    for one, two in zip(plain.each, other.each, strict=True):
        assert one != two and abs(one.under[50] - two.under[50]) < 4.0 * np.sqrt(0.5 / 200)
        assert one.cords[0] == pytest.approx(two.cords[0], rel=0.1)


def test_growth_that_is_slower_leaves_less_and_fails_more_often(plain):
    """With trees 30 percent slower the stock is lower in every year, and more futures fall."""
    sparse = told(factor=0.5)
    for of, name in ((of, name) for of in (plain, sparse) for name in CRUISES):
        fast, slow = (of.way(growth, name) for growth in GROWTHS)
        assert all(slow.stock[year][1] < fast.stock[year][1] for year in slow.stock)
        assert slow.under[50] > fast.under[50] or of is plain


def test_cruises_that_are_left_out_cost_chances_where_all_of_the_growth_is_cut():
    """All of assumed growth, cut without looking again: more futures fall than with a cruise every ten years."""
    of = told(level=40.0, keep=20.0, factor=0.5)
    every, missed, none = (of.way(0.7, name).under for name in CRUISES)
    assert every[10] == missed[10] == none[10] and missed[20] == none[20]
    assert every[20] < missed[20] - 0.1 and missed[50] < none[50] - 0.2 and every[100] < none[100] - 0.3
    assert of.way(1.0, "none").cords == pytest.approx((40.0, 40.0), rel=0.02)


def test_less_is_cut_where_less_may_be_and_nothing_under_what_is_kept():
    """A level of 3 cords is what the first ten years give; where every stand is under its residual nothing is cut."""
    little = told(level=3.0)
    no = told(level=3.0, keep=400.0)
    assert all(one.cords == (0.0, 0.0) for one in no.each)
    never = little.way(1.0, "none")
    assert never.cords == pytest.approx((3.0, 3.0), rel=0.02)
    assert never.stock[50][1] > told(level=20.0).way(1.0, "none").stock[50][1]
    assert no.way(1.0, "none").stock[50][1] > never.stock[50][1]


def test_without_any_error_one_future_is_all_of_them(monkeypatch):
    """No error of site, cruise, table or stacking: all futures are one, and a chance is 0 or 1."""
    monkeypatch.setattr(file, "common_errors", lambda standing, region: (np.zeros(5), np.zeros(5), 0.0))
    of = woods()
    of = replace(of, stands=of.stands.assign(place_log_sd=0.0, stand_log_sd=0.0, pace="mid"))
    table = pd.DataFrame({"inside": [True] * 5, "cut_ac": ACRES, "keep_sqft_per_ac": 30.0})
    stock = float((of.stands["cords"] * ACRES).sum())
    exact = cords_of(of, error=1e-9, table=0.0)
    made = futures(of, SimpleNamespace(table=table, rule=rule_of(stock)), exact, BASE, number=3)
    for one in made.each:
        assert all(low == pytest.approx(high, rel=1e-4) for low, _, high in one.stock.values())
        assert set(one.under.values()) <= {0.0, 1.0}


def test_errors_of_the_draws_by_hand():
    """Four equal stands off by .12 with 4 df: 16 together, 1.3368/1.2816 of .1196 in each stand and cruise; table .06,
    eye .05 and stacking .08 together .1118, the same in every stand, a normal draw however many stands.
    """
    of, at = woods(), np.arange(4)
    even = of.stands.assign(cords=10.0, acres=ACRES, place_log_sd=0.0, stand_log_sd=0.0)
    shared = (("volume table", 0.06), ("eye", 0.05))
    cords = {name: Estimate(200.0, "cords", se=24.0, df=4, n=5, shared=shared) for name in NAMES}
    drawn = file._drawn(replace(of, stands=even), cords, at, 20_000, 3, BASE)
    assert np.log(drawn.scale).std(axis=1) == pytest.approx(0.1196 * 1.3368 / 1.2816, rel=0.03)
    assert drawn.cruise.std() == pytest.approx(0.1196 * 1.3368 / 1.2816, rel=0.03)
    assert np.log(drawn.table).std() == pytest.approx(0.1115, rel=0.03) and drawn.table.shape == (20_000,)


def test_of_a_wood_of_many_stands_fewer_futures_are_drawn(monkeypatch):
    """Room for 640 stands and futures: four stands get 160, never fewer than 100, never more than 500."""
    for room, number in ((640, 160), (40, 100), (4_000, 500)):
        monkeypatch.setattr(file, "ROOM", room)
        assert told(number=None).number == number


def test_a_wider_site_error_spreads_the_stock_and_raises_the_chance():
    """What is not known of the place shows in the range of the stock in fifty years."""
    narrow, wide = told(site=(0.05, 0.05)), told(site=(0.6, 0.3))
    (low, _, high), (low_2, _, high_2) = (one.way(1.0, CRUISES[0]).stock[50] for one in (narrow, wide))
    assert high_2 - low_2 > 1.5 * (high - low)
    assert wide.way(0.7, "none").under[50] >= narrow.way(0.7, "none").under[50]


def test_the_chance_is_of_the_lesser_of_today_and_what_is_aimed_at():
    """A goal under today's stock: fewer futures are under 85 percent of it than of today's; a goal over it: as many."""
    low, high = told(goal=1500.0), told(goal=9000.0)
    assert low.goal_cords == pytest.approx(1500.0, rel=0.02) and low.cords > 2000.0
    assert any(one.under[50] < one.under_today[50] for one in low.each)
    assert all(one.under[year] <= one.under_today[year] for one in low.each for year in one.under)
    assert all(one.under == one.under_today for one in high.each)


def test_where_nothing_is_cut_evenly_no_chance_is_told():
    """No stand inside, and no plot at all: why, in words, and no number."""
    none = told(inside=(False,) * 5)
    assert none.each == () and not none.holds and "thinned year by year" in said(none.why)
    of = woods()
    of = replace(of, stands=of.stands.assign(cords=np.nan))
    table = pd.DataFrame({"inside": [False] * 5, "cut_ac": ACRES, "keep_sqft_per_ac": 30.0})
    bare = futures(of, SimpleNamespace(table=table, rule=rule_of(0.0)), {}, BASE)
    assert "no stand has plots" in said(bare.why)


def way(table=(1.0, 1.0), error=(0.0, 0.0), level=30.0):
    """Two futures of the stands by the rule, with errors by hand: of the volume table and of every cruise."""
    of, k = woods(), np.arange(5)
    acres, ones = np.full((5, 1), ACRES), np.ones((5, 2))
    cruise = np.broadcast_to(np.array(error), (10, 5, 2))
    drawn = file._Draws(ones, ones, cruise, np.array(table))
    today = file._Woods(of, k, acres, np.ones((5, 1)), BASE)
    stock = float(today.stock.sum())
    rule = file._Rule(rule_of(stock, level=level), stock, float(today.grown().sum()), BASE)
    return file._Way(file._Woods(of, k, acres, ones, BASE), rule, drawn, np.full((5, 1), 30.0), 1.0, 0.9)


def test_cords_on_the_pile_are_what_the_table_makes_of_them():
    """Where a cord told holds two true ones, 30 true cords take 15 from the stock; the family has its 30 there too."""
    one = way(table=(1.0, 2.0)).to(1, cruised=False)
    none = way(level=0.0).to(1, cruised=False).woods.stock.sum(axis=0)
    left = none - one.woods.stock.sum(axis=0)
    assert one.cut[0] == pytest.approx([30.0, 30.0]) and left[0] == pytest.approx(2.0 * left[1], rel=0.01)


def test_a_cruise_sees_the_stock_with_its_error_and_only_in_its_year():
    """30 percent too much seen gives a higher level than 30 too little; before year 10 and without one it stays."""
    one = way(error=(0.3, -0.3)).to(10, cruised=True)
    assert (one.level == 30.0).all()
    one.to(11, cruised=True)
    assert one.level[0] > 1.2 * one.level[1]
    assert (way(error=(0.3, -0.3)).to(30, cruised=False).level == 30.0).all()


def test_cruises_are_nine_eight_and_none(monkeypatch):
    """Every ten years in a hundred: nine times, but for the first eight times, and never."""
    years, level = [], file._Rule.level
    start = way()
    monkeypatch.setattr(file._Rule, "level", lambda self, *seen: years.append(1) or level(self, *seen))
    assert [one.cruises for one in file._ways(start)] == list(CRUISES) and len(years) == 17


def test_the_level_is_the_least_of_growth_area_and_what_leads_to_the_goal():
    """1,000 cords that grow 30 or lose 20, goal as today and 1,400: each bound binds once, never under 0."""
    plain = LevelCut(**{**vars(rule_of(1000.0)), "growth_share": 0.5, "mid_growth": 30.0, "area_cords": 100.0})
    seen = np.array([1000.0])

    def level(grown, **more):
        rule = file._Rule(replace(plain, **more), 1000.0, 30.0, BASE)
        return float(rule.level(np.array([grown]), seen)[0])

    assert level(30.0) == pytest.approx(15.0)
    assert level(30.0, area_cords=10.0) == pytest.approx(10.0)
    assert level(-20.0) == 0.0
    far = float(cut_per_yr_meyer(1000.0, 1400.0, BASE.figure("defaults_cut", "cutting_cycle_yr"), 0.03))
    assert level(30.0, goal_cords=1400.0) == pytest.approx(max(far, 0.0)) and far < 15.0
    assert level(30.0, goal_cords=500.0, first_cords=500.0) == pytest.approx(15.0 + (0.92 * 1000 - 500) / 20, rel=0.05)


def test_what_dies_now_is_in_no_stock():
    """Half of one stand's maples are dying: they leave trees, cords and basal area of what is followed."""
    of = woods()
    failing = of.judged.failing.copy()
    failing[KINDS.index("white ash"), -1] = True
    rest = file._rest(replace(of, judged=replace(of.judged, failing=failing)), BASE)
    ash, left = of.trees[KINDS.index("white ash"), :, -1], rest.trees[KINDS.index("white ash"), :, -1]
    assert left.sum() < 0.5 * ash.sum() and (rest.trees[:, :, :-1] == of.trees[:, :, :-1]).all()
    for name in ("cords", "basal"):
        assert rest.stands[name].iloc[-1] < 0.9 * of.stands[name].iloc[-1]


def future(growth, cruises, under, cords=(50.0, 40.0), middle=(1.0, 1.1)):
    """A way to go by hand."""
    stock = {10: (0.9, 1.0, 1.1), 20: (0.8, 1.0, 1.2), 50: (0.7, middle[0], 1.4), 100: (0.6, middle[1], 1.5)}
    in_ = {10: 0.0, 20: 0.04 if (cruises, growth) == ("one missed", 0.7) else 0.0, 50: under, 100: 2.0 * under}
    return Future(growth, cruises, in_, {**in_, 50: under + 0.1}, stock, cords)


def by_hand(under=(0.002, 0.056), goal=900.0, **how):
    """Futures by hand: under, as assumed and slower, cruised every ten years."""
    each = [
        future(growth, name, share + more, cords=cut, **how)
        for growth, share in zip(GROWTHS, under, strict=True)
        for name, more, cut in zip(CRUISES, (0.0, 0.0, 0.2), ((50.0, 40.0), (50.0, 40.2), (60.0, 50.0)), strict=True)
    ]
    return Futures(500, 3, 1000.0, goal, 0.9, tuple(each), 0.213)


WORDS = """
In under 1 of 100 futures the 3 stands that are thinned fall under 85 percent of the 900 cords they should hold (1,000
cords today) in 50 years, if all is cut that may be; in 6 of 100 where trees grow 30 percent slower than assumed.
Without cores growth so slow has 22 chances in 100. Such a cut may be called sustained, until a cruise says otherwise.
From those stands, cut by what each cruise finds: 50 cords a year in the first 50 years, 40 in the next 50; where they
grow slower 50 and 40. If the next cruise is missed, those 6 of 100 stay about the same; without any cruise they become
26. Beyond 30 years this is a picture, not a forecast.
"""


def test_what_is_said_by_hand():
    """Chances of a hundred, rounded up; the stock aimed at; the cut now and later; what missed cruises cost."""
    said_of = lines(by_hand(), 30.0)
    assert len(said_of) == 4
    assert " ".join(said_of) == " ".join(WORDS.split())


def test_sustained_is_said_only_where_the_stock_holds_with_slower_growth():
    """11 of 100 fall where trees grow slower, or the cut dwindles under half while the stock rises: it is not said."""
    falls = by_hand((0.0, 0.102), goal=np.nan)
    assert not falls.holds and by_hand((0.0, 0.1)).holds
    text = " ".join(lines(falls, 30.0))
    assert "sustained" not in text and "The next cruise decides: if it finds slower growth, cut less." in text
    assert text.startswith("In 0 of 100 futures") and "in 11 of 100 where trees grow 30 percent slower" in text
    assert "today's 1,000 cords" in text and "should hold" not in text
    less = replace(by_hand(), each=tuple(replace(one, cords=(50.0, 24.0)) for one in by_hand().each))
    assert not less.holds
    text = " ".join(lines(less, 30.0))
    assert "sustained" not in text and "The stock holds, but this cut falls by more than half" in text
    level = tuple(replace(one, stock={**one.stock, 100: (0.6, 0.9, 1.5)}) for one in less.each)
    assert replace(less, each=level).holds
    assert "sustained" not in " ".join(lines(replace(less, each=level), 30.0))


def test_what_cruises_left_out_cost_and_one_stand_and_cores_in_words():
    """Chances that lie within one of a hundred are told as they are; one stand falls; cores stand behind the growth."""
    same = replace(by_hand(), each=tuple(replace(one, under={**one.under, 50: 0.05}) for one in by_hand().each))
    assert lines(same, 30.0)[2] == "A missed cruise leaves those 5 of 100 about as they are."
    one = replace(same, stands=1, cores=True, slower=0.004)
    assert "the 1 stand that is thinned falls under 85 percent of the 900 cords it should hold" in lines(one, 30.0)[0]
    assert "By your own cores growth so slow has under 1 chance in 100." in lines(one, 30.0)[0]
    assert lines(one, 30.0)[1].startswith("From that stand, ")
    missed = {50: 0.2}
    costs = tuple(replace(w, under=missed if w.cruises == CRUISES[1] else w.under) for w in same.each)
    assert "those 5 of 100 become 20; without any cruise they become 5." in lines(replace(same, each=costs), 30.0)[2]


def test_how_likely_growth_is_so_slow_by_the_places_own_error():
    """Two stands of 300 and 100 cords: ln 0.7 over the shared error and what the stands' own leave on average; normal
    tables: 0.45 alone gives 21.4 in 100.
    """
    stands = pd.DataFrame({"cords": [30.0, 5.0], "acres": [10.0, 20.0]})
    flat = stands.assign(place_log_sd=0.45, stand_log_sd=0.0)
    assert file._slower(flat, BASE) == pytest.approx(0.2140, abs=1e-4)
    own = stands.assign(place_log_sd=[0.2, 0.4], stand_log_sd=[0.2, 0.4])
    sd = np.sqrt(0.25**2 + (0.75 * 0.2) ** 2 + (0.25 * 0.4) ** 2)
    assert file._slower(own, BASE) == pytest.approx(0.5 * erfc(0.356675 / sd / np.sqrt(2.0)), abs=1e-6)

"""Ten years of meat: the page's pounds, the bank fall by fall, quiet neighbors, tags, closing, the wish in words."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from woodlot.deer import meat
from woodlot.deer import ten_years as ten
from woodlot.deer.doe_share import bank, give
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_fit import Fall, Ground, begun, mean, started, through, weighed
from woodlot.deer.herd_year import bucks
from woodlot.estimate import Estimate, Number, reason
from woodlot.region import shipped
from woodlot.say import meat as words
from woodlot.say.reasons import said

BASE = shipped("base")
GROUND = Ground(230.0, 1614.0, 0.15, kill=(0.45, 2.1))


@pytest.fixture(scope="module")
def herd():
    """One spring of pellets and the unit's kill: fit, and the season of its own shares."""
    cloud = begun(started(GROUND, 8000, 1, BASE), GROUND, 2025, BASE)
    falls = [Fall(2025, (0, 1), 0.08, PelletCount(14, 100, 0.14, 0.2077, 0.3)), Fall(2026)]
    fit = weighed(through(cloud, falls, GROUND, 1, BASE))
    acre = 230 / 640
    doe = give(fit, 0.15, BASE) * acre
    buck = 0.4 * mean(bucks(fit.now), fit.weights) * acre / 1.15
    return fit, ten.Season(doe, buck, (0.5 / doe + 1, 0.5 / buck + 1))


def of(herd, season=None, **how):
    """Deer of ten falls."""
    fit, usual = herd
    return ten.given(fit, GROUND, season or usual, seed=1, region=BASE, **how)


def test_pounds_of_a_deer_as_on_the_page():
    """Dressed x .40: doe 112, yearling buck 115, old buck 155 give 44.8, 46 and 62 lb."""
    told = [meat.pounds_of(k, BASE) for k in ("doe", "yearling buck", "buck")]
    assert told == pytest.approx([44.8, 46.0, 62.0])


def test_the_pages_230_acres():
    """1.1 does and 2.4 bucks (6 of 16 old: 52 lb each) in ten years: 49.3 + 124.8 = 174 lb, the page's 176 within the
    rounding of its deer; 300 lb a year need 300 x 10 / 176 x 230 = 3,920 acres, 3,920 / 2.84 = 1,380 beside farmland.
    """
    does = np.full(10, 1.1)
    deer = ten.Given(does, np.full(10, 2.4 * 10 / 16), np.full(10, 2.4 * 6 / 16))
    told = ten.meat_of(deer, 1, BASE)
    assert told.value == pytest.approx(174.1, abs=0.1)
    assert 1.05 * 44.8 + 2.35 * 52 < 176 < 1.15 * 44.8 + 2.45 * 52
    assert told.low < told.value < told.high and told.kind == "assumptions"
    assert BASE.figure("defaults_herd", "farm_meat_times") == pytest.approx(443 / 156, abs=0.005)


def test_the_falls_are_those_of_the_bank():
    """One share for ten falls, herd and luck aside: offers as `doe_share.bank` makes them, every one taken."""
    share, years, taken = np.array([0.37]), np.array([0.5 / 0.37 + 1.0]), []
    for fall in range(10):
        if fall:
            ten._a_year_on([years], [share])
        taken.append(float(ten._taken(years, share, None, False, 0.0)[0]))
    by_bank = []
    for fall in range(10):
        by_bank.append(bank([0.37] * (fall + 1), [*by_bank, 0], BASE)[0])
    assert taken == by_bank and sum(taken) == 4


def test_tags_and_closing_hold_what_is_offered():
    """A share of 2.5: 3 offered, 1 tag leaves 1, none where it is shut; what was not taken stays as years. Two taken
    already are two, though none was offered, and are owed.
    """
    share = np.array([2.5, 0.0])
    years = np.full(2, 1.2)
    assert ten._taken(years, share, 1, False, 0.0).tolist() == [1, 0]
    assert years == pytest.approx([0.8, 1.2])
    assert ten._taken(years, share, None, True, 0.0).tolist() == [0, 0]
    ten._a_year_on([years], [share])
    assert years == pytest.approx([1.4, 2.2])
    assert ten._taken(years, share, None, False, 0.0).tolist() == [3, 0]
    assert years == pytest.approx([0.2, 2.2])
    owed = np.array([0.5])
    assert ten._taken(owed, np.array([0.5]), None, True, 2.0).tolist() == [2] and owed.tolist() == [-3.5]


def test_ten_falls_come_to_about_ten_shares(herd):
    """Near ten times this fall's share, and over it: as herds part, those that rise give several times their share."""
    told, season = of(herd), herd[1]
    assert 10 * season.does_per_yr < told.does.mean() < 18 * season.does_per_yr
    assert 6 * season.bucks_per_yr < told.bucks.mean() < 13 * season.bucks_per_yr
    assert of(herd).does.tolist() == told.does.tolist()


def test_what_changes_it(herd):
    """Quiet neighbors leave more bucks; a halved share is whole again; no doe tag, no doe; a full bank gives one more;
    a closed first fall takes what it would have offered.
    """
    season = herd[1]
    usual = of(herd)
    quiet = of(herd, quiet=True)
    assert quiet.bucks.mean() > 1.3 * usual.bucks.mean()
    assert quiet.does.mean() >= usual.does.mean()
    half = replace(season, does_per_yr=season.does_per_yr / 2, halved=True)
    assert of(herd, half).does.mean() < 0.7 * usual.does.mean()
    assert of(herd, half, quiet=True).does.mean() == pytest.approx(quiet.does.mean(), abs=0.2)
    assert of(herd, replace(season, tags=(0, None))).does.sum() == 0
    full = replace(season, bank_yr=(1 / season.does_per_yr + 1, season.bank_yr[1]))
    assert 0.2 < of(herd, full).does.mean() - usual.does.mean() < 0.9
    shut = of(herd, replace(full, closed=True), falls=1)
    assert shut.does.sum() == 0 < of(herd, full, falls=1).does.sum()


def test_the_answer_beside_the_wish(herd):
    """Acres for all of it are these acres times wish over pounds; tags are told where there is no doe tag now."""
    fit, season = herd
    how = {"own_ac": 230.0, "seed": 1, "region": BASE}
    told = ten.ten_years(fit, GROUND, season, 300.0, **how)
    pounds = told.meat_lb.value
    assert told.acres_for_all == pytest.approx(230 * 3000 / pounds)
    assert told.farmland_acres_for_all == pytest.approx(told.acres_for_all / 2.84)
    assert told.meals == pytest.approx(pounds * 16 * 0.76 / 3) and told.wanted_lb == 3000
    assert told.with_doe_tags_lb is None and told.quiet_lb > pounds
    owed = replace(season, bank_yr=(-40.0, season.bank_yr[1]), taken=(1.0, 0.0), closed=True)
    poor = ten.ten_years(fit, GROUND, owed, 300.0, **how)
    assert poor.meat_lb.value < pounds and poor.acres_for_all == pytest.approx(told.acres_for_all)
    assert poor.does >= 1
    none = ten.ten_years(fit, GROUND, replace(season, tags=(0, None)), None, **how)
    assert none.with_doe_tags_lb == pytest.approx(pounds)
    assert none.acres_for_all is none.wanted_lb is none.farmland_acres_for_all is None and none.does == 0
    farm = ten.ten_years(fit, replace(GROUND, farmland_pct=30.0), season, 300.0, **how)
    assert farm.farmland_acres_for_all is None
    part = ten.ten_years(fit, GROUND, season, 300.0, **how | {"own_ac": 57.5})
    assert part.meat_lb.value == pytest.approx(pounds / 4) and part.does == pytest.approx(told.does / 4)
    assert part.acres_for_all == pytest.approx(told.acres_for_all)
    assert dict(part.words.facts)["group_acres"] == 230 and dict(told.words.facts)["group_acres"] is None


MEAT = Estimate(176.0, "pounds", 60.0, 330.0, kind="assumptions")
FACTS = {
    "acres": 230.0,
    "group_acres": None,
    "does": 1.1,
    "bucks": 2.4,
    "meat": MEAT,
    "meals": 713.0,
    "quiet": 408.0,
    "tagged": None,
}
TAKEN = "In ten years about 1.1 does and 2.4 bucks: 180 pounds (60 to 330, assumptions), some 710 meals."


@pytest.mark.parametrize(
    ("facts", "told"),
    [
        (
            {"wanted": 300.0, "all_acres": 3920.0, "farm_acres": 1350.0},
            "Deer from your 230 acres can give about 18 of the 300 pounds you want each year (41 where neighbors take "
            "no doe and few bucks). All 300 would need about 3,900 acres of such ground, or 1,400 with 30% farmland "
            "around; neighbors who count and plan together with you could share what theirs gives. More is not there. "
            + TAKEN,
        ),
        (
            {"wanted": 15.0, "all_acres": 196.0, "farm_acres": None},
            "Deer from your 230 acres can probably give the 15 pounds you want each year: about 18. " + TAKEN,
        ),
        (
            {"wanted": 5.0, "all_acres": 65.0, "farm_acres": None},
            "Deer from your 230 acres can give the 5 pounds you want each year: about 18. " + TAKEN,
        ),
        (
            {"wanted": 300.0, "all_acres": 3920.0, "farm_acres": None, "quiet": 180.0, "tagged": 230.0},
            "Deer from your 230 acres can give about 18 of the 300 pounds you want each year (23 with doe tags). All "
            "300 would need about 3,900 acres of such ground; neighbors who count and plan together with you could "
            "share what theirs gives. More is not there. " + TAKEN,
        ),
        (
            {"wanted": 300.0, "all_acres": 3920.0, "farm_acres": None, "quiet": 180.0, "group_acres": 1840.0},
            "Deer from your 230 acres, as your part of the group's 1,840, can give about 18 of the 300 pounds you want "
            "each year. All 300 would need about 3,900 acres of such ground. More is not there. " + TAKEN,
        ),
        (
            {"wanted": 20.0, "all_acres": 200.0, "farm_acres": None, "quiet": 180.0},
            "Deer from your 230 acres can give about 18 of the 20 pounds you want each year. What was taken lately is "
            "made up for first; after that they can give all of it. " + TAKEN,
        ),
        (
            {"wanted": 300.0, "all_acres": None, "farm_acres": None, "meat": Estimate(0.0, "pounds")},
            "Deer from your 230 acres can give none of the 300 pounds you want each year: 41 a year where neighbors "
            "take no doe and few bucks.",
        ),
    ],
)
def test_the_wish_in_words(facts, told):
    """The form of the page: a year of the ground beside a year of the wish, what all would need, the ten years."""
    assert said(reason("wish in ten years", **(FACTS | facts))) == told


def test_the_plans_row_has_what_is_in_and_a_year_of_the_wish():
    """The season's kills and the first sentence of the ten years; nothing of either where there is none."""
    had = Number(92.4, 74.0, 140.0, "pounds", "assumptions", n=2)
    take = SimpleNamespace(eaten_lb=had, wish_words="Deer can give 18 of 300. All would need more.", meat_lb=Number())
    assert words.of_a_year(take) == "Deer can give 18 of 300."
    assert words.eaten(take) == "90 pounds (70 to 140, assumptions) are in already, of 2 deer."
    assert words.row(take) == ("Meat", "no meat", f"{words.eaten(take)} {take.wish_words}")
    bare = SimpleNamespace(eaten_lb=None, wish_words="", meat_lb=Number())
    assert (words.of_a_year(bare), words.eaten(bare)) == ("", "")
    assert words.row(bare).number == "no meat" and words.row(bare).why == "No deer is named."


def test_ten_years_without_a_wish_in_words():
    """Deer, pounds, meals, and what quiet neighbors would make of it; nothing where nothing grows."""
    assert said(reason("ten years of meat", **FACTS)) == (
        TAKEN[:-1] + " (410 pounds where neighbors take no doe and few bucks)."
    )
    few = FACTS | {"does": 0.0, "bucks": 12.0, "quiet": 100.0}
    assert said(reason("ten years of meat", **few)).startswith("In ten years about 12 bucks, no doe: 180 pounds")
    hardly = FACTS | {"does": 0.03, "bucks": 0.02, "quiet": 100.0}
    assert said(reason("ten years of meat", **hardly)).startswith("In ten years hardly a deer: 180 pounds")
    none = FACTS | {"meat": Estimate(0.0, "pounds"), "quiet": 0.0}
    assert said(reason("ten years of meat", **none)) == "Your 230 acres give no deer as things are."


def test_a_herd_that_is_low_gives_no_doe(herd):
    """Herds under .95 of their first falls are spared: all fallen to a quarter, no doe in ten falls, bucks still."""
    fit, season = herd
    fallen = replace(fit, cloud=replace(fit.cloud, numbers=4.0 * fit.cloud.numbers))
    low = ten.given(fallen, GROUND, season, seed=1, region=BASE)
    assert low.does.mean() < 0.2 and low.bucks.mean() > 0.5 * of(herd).bucks.mean()


def test_what_is_taken_is_gone(herd):
    """Thirty times the share of does, or of bucks, does not give thirty times as many in ten falls."""
    season = herd[1]
    usual = of(herd)
    many = of(herd, replace(season, does_per_yr=30 * season.does_per_yr, bank_yr=(1.0, season.bank_yr[1])))
    assert usual.does.mean() < many.does.mean() < 20 * usual.does.mean()
    more = of(herd, replace(season, bucks_per_yr=6 * season.bucks_per_yr, bank_yr=(season.bank_yr[0], 1.0)))
    assert usual.bucks.mean() < more.bucks.mean() < 4.5 * usual.bucks.mean()
    assert more.older_bucks.mean() / more.bucks.mean() < usual.older_bucks.mean() / usual.bucks.mean()


def test_a_first_fall_is_this_fall_s_share_and_later_ones_are_judged():
    """No fall behind: this fall gives all that the herds can, later ones what is spared of it; not three times that."""
    cloud = begun(started(GROUND, 8000, 1, BASE), GROUND, 2026, BASE)
    fit = weighed(through(cloud, [Fall(2026)], GROUND, 1, BASE))
    doe = give(fit, 0.15, BASE) * 230 / 640
    season = ten.Season(doe, 0.0, (0.5 / doe + 1, 0.0))
    assert 5 * doe < ten.given(fit, GROUND, season, seed=1, region=BASE).does.mean() < 18 * doe

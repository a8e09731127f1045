"""The season's take on the fit: shares, bank, closing, cap, goals, tags; nothing measured is nothing offered."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from tests.deer.herd_example import GROUND, ROWS, record
from woodlot.deer import doe_share, forward, shares
from woodlot.deer.answer import Taken
from woodlot.deer.herd_answer import herd_answer
from woodlot.deer.options import DeerSettings
from woodlot.deer.record import Record
from woodlot.plan import doe_take, risk
from woodlot.plan.hunt_choices import choices
from woodlot.region import shipped
from woodlot.say.reasons import said

BASE = shipped("base")
TOOK = {year: Taken(float(bucks), float(does)) for year, *_, does, bucks in ROWS}
HOLD = doe_take.Goal("hold")


def answer(falls=None, **ground):
    """The herd of the page's example, or of other falls, on other ground."""
    falls = record(BASE) if falls is None else tuple(falls)
    kept = Record(2026, falls, replace(GROUND, **ground), (), (), None, None)
    return herd_answer(kept, seed=1, region=BASE)


def chosen(tags=(None, None), **options):
    """Choices of a family."""
    limits = {"tags_doe": tags[0], "tags_buck": tags[1]}
    return choices(DeerSettings(**options), limits, None)


def ask(herd, took=None, goal=HOLD, **more):
    """The take."""
    return doe_take.take(herd, TOOK if took is None else took, chosen(**more), goal, BASE)


@pytest.fixture(scope="module")
def herd():
    """The page's example."""
    return answer()


@pytest.fixture(scope="module")
def large():
    """The same record on 1,500 acres of a range of 4,200."""
    return answer(own_ac=1500.0, range_ac=4200.0)


def test_the_take_of_the_page(herd):
    """.147 does a year (two digits here), one in 7 years; the doe of 2022 is off; the next one comes when told."""
    told = ask(herd)
    assert told.measured and not told.closed and told.does_per_yr == pytest.approx(0.147, abs=0.006)
    assert (told.does, told.bucks) == (0, 0)
    assert said(told.does_words) == ("No doe; your share is one doe in about 7 years, the next due in about 4 falls.")
    later = [answer_in(herd, more, told.does_per_yr) for more in (3, 4)]
    assert later == [0, 1], "as told"
    assert said(told.bucks_words).startswith("No buck: 4 taken since 2021, the share gave ")


def answer_in(herd, more, per_yr):
    """Does that the bank offers so many falls on at today's share."""
    from woodlot.deer.doe_share import bank

    falls = shares.by_fall(herd.used, 2026, GROUND, BASE)
    offers = [fall.doe for fall in falls] + [per_yr] * more
    return bank(offers, [TOOK.get(fall.year, Taken()).does for fall in falls] + [0] * more, BASE)[0]


def test_all_that_the_ground_can_give_and_what_neighbors_leave(herd):
    """G on all the square miles; less what neighbors take on theirs; rates of does; bucks .40 of those there."""
    told, fall = ask(herd), shares.by_fall(herd.used, 2026, GROUND, BASE)[-1]
    miles = 1614 / 640
    assert told.does_if_neighbors_take_none == pytest.approx(fall.give * miles)
    left = fall.give * miles - fall.around * miles * (1 - 230 / 1614)
    assert told.does_if_local_rate == pytest.approx(max(0.0, left))
    assert told.bucks_if_neighbors_take_none == pytest.approx(0.40 * fall.bucks_there / 1.15 * miles)
    assert told.neighbors.does_per_sqmi == pytest.approx(fall.around)
    assert told.hold_rate == pytest.approx(1 - 1 / fall.growing) and told.growth_rate == fall.growing
    assert told.doe_rate == pytest.approx(fall.taken * 1.15 / fall.does_there)


def test_what_was_taken_this_season_goes_off(large):
    """Two does offered on 1,500 acres; one taken leaves one more, two none."""
    none, one, two = (ask(large, {2026: Taken(0.0, float(n))}) for n in (0, 1, 2))
    assert (none.does, one.does, two.does) == (2, 1, 0)
    assert said(one.does_words).startswith("1 more doe at most; your share is ")
    assert said(two.does_words).startswith("No more does, 2 taken")
    assert one.already_taken == Taken(0.0, 1.0)


def test_the_state_s_tags_go_first(large):
    """No tag, no doe, whatever else is true; one tag, one at most, less what was taken on it."""
    assert said(ask(large, tags=(0, None)).does_words) == "No doe: there is no doe tag."
    assert ask(large, tags=(1, 2)).does == 1 and ask(large, tags=(1, 2)).bucks == 2
    assert ask(large, {2026: Taken(0.0, 1.0)}, tags=(1, None)).does == 0
    shut = ask(large, tags=(0, 0), goal=doe_take.Goal("grow"))
    assert "no doe tag" in said(shut.does_words) and "no buck tag" in said(shut.bucks_words)


def test_idle_falls_save_no_whole_deer():
    """Ten falls alike without a kill: no more than this year's share and one deer."""
    falls, last = list(record(BASE)), record(BASE)[-1]
    many = [replace(falls[k % 2], year=2016 + k, fawns=None, family=(0, 0)) for k in range(10)]
    told = ask(answer([*many, replace(last, fawns=None)], own_ac=600.0, range_ac=2490.0), {})
    assert 0 < told.does <= 1 + told.does_per_yr
    assert 0 < told.bucks <= 1 + told.bucks_per_yr


def test_the_wish_for_more_deer_takes_no_doe_and_leaves_the_bucks(large):
    """Goal grow: none, in words; bucks as before; the share is told on."""
    hold, grow = ask(large), ask(large, goal=doe_take.Goal("grow"))
    assert grow.does == 0 and said(grow.does_words) == "No doe: the wish is to let the herd grow."
    assert grow.bucks == hold.bucks and grow.does_per_yr == hold.does_per_yr


def test_fewer_deer_take_more_does_over_the_cap(large):
    """A tenth of the does beside: over twice the share; the cap is the wish's own."""
    hold, thin = ask(large), ask(large, goal=doe_take.Goal("thin"))
    assert thin.does_per_yr > 2 * hold.does_per_yr and thin.does > hold.does
    pair = risk.season_risk(large, thin, BASE)
    assert pair.you_too.halved_10 > pair.no_hunting.halved_10 + 0.05, "and the risk is shown"


PRESSED = {"codes": [4, 4], "verdicts": [], "winter_per_sqmi": 25.0, "own_ac": 4000.0}


@pytest.mark.parametrize(
    ("wish", "more", "acts", "words"),
    [
        ("thin", {}, "thin", ""),
        ("thin", {"codes": [3, 4]}, "hold", "browsing at 4 or 5, or a forest held down by deer, two springs running."),
        ("thin", {"codes": [5]}, "hold", "two springs running"),
        ("thin", {"codes": [None, 4]}, "hold", "two springs running"),
        ("thin", {"codes": [2, 2], "verdicts": ["held down by deer"] * 2}, "thin", ""),
        ("thin", {"codes": [2, 2], "verdicts": ["too dark", "held down by deer"]}, "hold", "two springs"),
        ("thin", {"winter_per_sqmi": 18.0}, "hold", "missing: more than 18 deer a square mile in winter."),
        ("thin", {"winter_per_sqmi": None}, "hold", "more than 18 deer"),
        ("thin", {"own_ac": 3199.0}, "hold", "missing: neighbors who join in"),
        ("thin", {"own_ac": 3200.0}, "thin", ""),
        ("grow", {}, "grow", ""),
        ("grow", {"verdicts": ["held down by deer"]}, "hold", "held down by deer: the take holds the herd"),
        ("grow", {"verdicts": ["held down by deer", "coming up"]}, "grow", ""),
        ("hold", {}, "hold", ""),
    ],
)
def test_a_wish_acts_where_what_it_asks_is_so(wish, more, acts, words):
    """Fewer: pressed two springs, over 18 in winter, 5 square miles or neighbors; more: not where deer hold it down."""
    goal = doe_take.goal_of(chosen(goal=wish), **PRESSED | more, region=BASE)
    assert goal.key == acts and (goal.refused is not None) == bool(words)
    if words:
        assert words in said(goal.refused)


def test_neighbors_who_join_make_up_for_little_ground(large):
    """230 acres with neighbors_join: the wish acts. A refused wish is said with the take."""
    goal = doe_take.goal_of(chosen(goal="thin", neighbors_join=True), **PRESSED | {"own_ac": 230.0}, region=BASE)
    assert goal.key == "thin"
    refused = doe_take.goal_of(chosen(goal="thin"), **PRESSED | {"own_ac": 230.0}, region=BASE)
    told = ask(large, goal=refused)
    assert told.does == ask(large).does
    assert "Until then the take holds the herd." in said(told.does_words)


@pytest.fixture(scope="module")
def crashed():
    """A winter of 225 points and two groups after it."""
    falls = list(record(BASE, last_winter=225))
    falls[4] = replace(falls[4], pellets=replace(falls[4].pellets, groups=2, per_plot=0.02))
    return falls


@pytest.mark.parametrize("acres", [230.0, 600.0, 1200.0])
def test_a_crash_closes(crashed, acres):
    """No doe; which years it is held to, how likely, what the family's own share would add; bucks are not closed."""
    herd = answer(crashed, own_ac=acres, range_ac=1614.0 + acres - 230)
    told = ask(herd, {})
    assert told.does == 0 and told.closed and told.does_per_yr > 0
    words = said(told.does_words)
    assert words.startswith("Closed: the herd is probably under 75% of 2021-23. ")
    assert words.endswith("; talk with the neighbors.")
    draws = risk.ahead(herd, risk.herds_of(herd), BASE)
    facts = dict(told.does_words.facts)
    assert facts["points"] == 100 * risk.added(draws, told.does_per_yr, told.bucks_per_yr, 0.15)
    assert facts["odds"] > 0.6 and facts["years"] == (2021, 2023)
    assert ("Your closing alone changes little" in words) == (facts["points"] < 2.5)


@pytest.mark.parametrize("acres", [40.0, 60.0])
def test_a_small_share_of_a_sound_herd_is_not_closed(acres):
    """A share of one in 60 to 100 years, halved by neighbors: the herd is not low, so none of it is told."""
    told = ask(answer(own_ac=acres, range_ac=900.0), {2022: Taken(0.0, 1.0)})
    assert told.does == 0 and not told.closed and told.halved and 0.01 < told.does_per_yr < 0.02
    words = said(told.does_words)
    assert words.startswith("No doe: 1 taken since 2021, the share gave 0.")
    assert "; your share is under one doe in 15 years, none due within 15 falls. " in words
    assert words.endswith("It is held down by neighbors who take more does than it can give (halved).")


def test_forty_acres_have_too_little_ground_and_no_fall_is_named():
    """No doe taken and none owed: no fall to wait for all the same; the buck's share is told."""
    told = ask(answer(own_ac=40.0, range_ac=900.0), {})
    assert 0 < told.does_per_yr < 1 / 15 and told.does == 0 and wait_of(told) > 15
    assert said(told.does_words).startswith("No doe: too little ground for a doe of its own; ")
    assert dict(told.bucks_words.facts)["wait"] <= 15 and "the next due in about" in said(told.bucks_words)


def wait_of(told):
    """Falls until the bank has a doe."""
    return 1 / told.does_per_yr - told.bank_yr[0]


def test_under_a_share_of_an_eightieth_there_is_never_a_doe():
    """Twelve acres: too little ground for a doe of its own, and no "in 90 years"."""
    told = ask(answer(own_ac=12.0, range_ac=700.0), {})
    assert told.does_per_yr < 0.0125 and told.does == 0
    assert said(told.does_words) == (
        "No doe: too little ground for a doe of its own; neighbors who count and plan together with you "
        "would have one to share."
    )


def test_nothing_that_sets_a_number_is_nothing_offered():
    """Fawns and does alone, no kill known: no doe and no buck, and why."""
    falls = [replace(fall, pellets=None) for fall in record(BASE)]
    herd = answer(falls, kill=(None, None))
    told = ask(herd)
    assert not told.measured and (told.does, told.bucks, told.does_per_yr) == (0, 0, None)
    assert said(told.does_words).startswith("Not measured enough to name does. ")
    assert said(told.bucks_words).startswith("Not measured enough to name bucks. ")
    assert risk.season_risk(herd, told, BASE).takes == ()


def test_counts_that_disagree_offer_the_lower_one_s_share():
    """Groups three times and a unit that takes few: the share of the lower side, said so; far under the other's."""
    herd = answer(record(BASE, groups=3.0), kill=(0.12, 0.6))
    assert herd.lower is not None
    told = ask(herd)
    assert told.does_per_yr == pytest.approx(0.084, abs=0.02)
    assert "It is held down by the lower one of counts that disagree." in said(told.does_words)


def test_neighbors_who_overhunt_halve_the_share(herd):
    """Two does a square mile from this fall on: half, in words."""
    falls = (*record(BASE)[:-1], replace(record(BASE)[-1], neighbors=(2.0, 2.0)))
    told = ask(answer(falls))
    last = shares.by_fall(herd.used, 2026, GROUND, BASE)[-1]
    assert told.does_per_yr <= last.doe / 2 + 1e-9 and told.neighbors.does_per_sqmi == 2.0
    assert "It is held down by neighbors who take more does than it can give (halved)." in said(told.does_words)
    assert "Neighbors take 2.0 does and 2.0 bucks a square mile from this fall on, as you wrote." in said(
        told.neighbors_words
    )


def test_what_was_written_of_neighbors_stands_beside_what_herds_bear(herd):
    """The page's unit takes .45 does and 2.1 bucks; the fit has its own; a take anew in 2024 is the one written."""
    told = ask(herd)
    around = told.neighbors
    assert (
        "You wrote that neighbors take 0.5 does and 2.1 bucks a square mile; herds that last here and show these "
        f"counts bear about {around.does_per_sqmi:.1f} does and {around.bucks_per_sqmi:.1f} bucks"
    ) in said(told.neighbors_words)
    falls = list(record(BASE))
    falls[3] = replace(falls[3], neighbors=(0.8, 1.0))
    facts = dict(ask(answer(falls)).neighbors_words.facts)
    assert facts["wrote"] == (0.8, 1.0) and not facts["anew"]
    nobody = dict(ask(answer(kill=(None, None))).neighbors_words.facts)
    assert nobody["wrote"] == (None, None)


def offers_of(herd, part=1.0):
    """Falls, and does offered in each by this part of the share."""
    falls = shares.by_fall(herd.used, 2026, herd.record.ground, BASE)
    return falls, [0.0 if fall.closed else part * fall.doe for fall in falls]


def bank_of(falls, offers, took):
    """Years that the bank of these offers holds."""
    return doe_share.bank(offers, [took.get(fall.year, Taken()).does for fall in falls], BASE)[1]


def test_a_closed_fall_offers_none(large, monkeypatch):
    """Last fall closed, and a doe killed in it all the same: the bank of such a record."""
    falls, offers = offers_of(large)
    took = {2025: Taken(0.0, 2.0)}
    shut = (*falls[:-2], replace(falls[-2], closed="under reference"), falls[-1])
    monkeypatch.setattr(doe_take, "by_fall", lambda *_, **__: shut)
    told, part = ask(large, took), ask(large, took).does_per_yr / falls[-1].doe
    kept = [part * one for one in offers]
    assert told.bank_yr[0] == pytest.approx(bank_of(falls, [*kept[:-2], 0.0, kept[-1]], took))
    assert told.bank_yr[0] != pytest.approx(bank_of(falls, kept, took))


def test_the_wish_for_more_deer_shuts_this_fall_alone(large):
    """The falls before keep their shares: the bank is that of all falls but this one."""
    falls, offers = offers_of(large)
    told = ask(large, {2025: Taken(0.0, 2.0)}, goal=doe_take.Goal("grow"))
    part = told.does_per_yr / falls[-1].doe
    kept = [part * one for one in offers]
    assert told.bank_yr[0] == pytest.approx(bank_of(falls, [*kept[:-1], 0.0], {2025: Taken(0.0, 2.0)}))
    assert told.bank_yr[0] != pytest.approx(bank_of(falls, [0.0] * len(falls), {2025: Taken(0.0, 2.0)}))


def test_the_cap_is_the_largest_part_that_keeps_to_it():
    """Twentieths of the share: this one adds 5 points at most, the next one more; the words say so."""
    herd = answer(record(BASE), own_ac=3000.0, range_ac=4200.0)
    fall = shares.by_fall(herd.used, 2026, herd.record.ground, BASE)[-1]
    draws = risk.ahead(herd, risk.herds_of(herd), BASE)
    part = risk.capped(draws, fall.doe, fall.buck, 0.15, BASE)
    part, horned = part
    assert 0 < part < 1 and horned == 1
    told = ask(herd, took := {2024: Taken(0.0, 3.0)})
    assert told.does_per_yr == pytest.approx(part * fall.doe)
    falls, offers = offers_of(herd, part)
    assert told.bank_yr[0] == pytest.approx(bank_of(falls, offers, took)), "the falls before are held down too"
    assert told.bank_yr[0] != pytest.approx(bank_of(falls, [*offers_of(herd)[1][:-1], offers[-1]], took))
    pair = risk.season_risk(herd, told, BASE)
    assert pair.you_too.halved_10 - pair.no_hunting.halved_10 <= 0.05 + 1e-9
    more = replace(told, does_per_yr=(part + 0.05) * fall.doe)
    pair = risk.season_risk(herd, more, BASE)
    assert pair.you_too.halved_10 - pair.no_hunting.halved_10 > 0.05
    assert told.closed or "It is held down by the risk for the herd." in said(told.does_words)


def test_bucks_that_alone_add_over_the_cap_are_held_down_too(large):
    """Under a cap of half a point: the largest part of the bucks that adds no more, and no doe beside it that does."""
    draws = risk.ahead(large, risk.herds_of(large), BASE)
    fall = shares.by_fall(large.used, 2026, large.record.ground, BASE, buck_share=1.0)[-1]
    many, tight = 4 * fall.buck, SimpleNamespace(figure=lambda *_: 0.005)
    does, horned = risk.capped(draws, fall.doe, many, 0.15, tight)

    def adds(of_bucks, of_does=0.0):
        shared = forward.with_share(draws, of_does * fall.doe * 1.15, of_bucks * many * 1.15)
        with_, alone = (risk.take_grid(of, [0], [0])["halved_10"].iloc[0] for of in (shared, draws))
        return with_ - alone

    assert 0 < horned < 1 and adds(horned) <= 0.005 + 1e-9 < adds(horned + 0.05)
    assert adds(horned, does) <= 0.005 + 1e-9 < adds(horned, does + 0.05)


def test_the_family_s_own_share_of_bucks_acts(large):
    """buck_rate .2 instead of .4 halves the bucks a year."""
    assert ask(large, buck_rate=0.2).bucks_per_yr == pytest.approx(ask(large).bucks_per_yr / 2)


def test_where_even_a_small_share_is_too_risky_there_is_none_and_why(large, monkeypatch):
    """No part of the does and none of the bucks keeps to the cap: none named, whatever the bank holds."""
    monkeypatch.setattr(risk, "capped", lambda *_: (0.0, 0.0))
    told = ask(large, {})
    assert (told.does, told.bucks, told.closed) == (0, 0, False)
    assert said(told.does_words).startswith("No doe this season: even a small share would add more than 5 in 100 ")
    assert said(told.bucks_words).startswith("No buck this season: even a small share would add more than 5 in 100 ")

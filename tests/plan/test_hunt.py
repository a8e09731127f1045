"""The season's take: enough measured or not, the low index, neighbors, yards, tags, what was already taken."""

import json
import math
from dataclasses import replace
from datetime import date

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely
from pydantic import ValidationError

from woodlot.answers.as_json import as_json, from_json
from woodlot.deer.answer import Chances, DeerAnswer, Taken
from woodlot.deer.browse import deer_plots
from woodlot.deer.defaults import default
from woodlot.deer.meat import meat_of_take
from woodlot.deer.options import DeerSettings
from woodlot.plan import hunt
from woodlot.plan.ledger import standing
from woodlot.region import shipped
from woodlot.say.deer import herd_details, herd_ranges, herd_screen
from woodlot.say.hunt import chances_note, first_screen, number_range_why
from woodlot.say.reasons import worded

AS_OF = date(2026, 9, 1)


def place(acres_side_deg=0.0115):
    """One parcel of about 240 acres as a geo frame."""
    return gpd.GeoDataFrame(
        {"parcel_id": ["p"]}, geometry=[shapely.box(-90, 46, -90 + acres_side_deg, 46 + 0.0098)], crs=4326
    )


def survey(groups_by_spring, lines=6, plots=20, seed=3):
    """Pellet lines walked each spring: the total groups of a spring spread over its plots."""
    rng = np.random.default_rng(seed)
    parts = []
    for year, groups in groups_by_spring.items():
        on = rng.multinomial(groups, np.full(lines * plots, 1 / (lines * plots)))
        line = np.repeat([f"L{i}" for i in range(lines)], plots)
        parts.append(
            pd.DataFrame(
                {
                    "plot_id": [f"{x}-{i % plots}" for i, x in enumerate(line)],
                    "line": line,
                    "date": pd.Timestamp(year, 4, 25),
                    "radius_ft": 4.0,
                    "groups": on,
                    "days": 178.0,
                    "parcel_id": "p",
                    "lon": -89.99,
                    "lat": 46.005,
                }
            )
        )
    return pd.concat(parts, ignore_index=True)


STEADY = {2024: 30, 2025: 30, 2026: 30}
FEW_NEIGHBORS = {"neighbor_bucks_per_sqmi": 0.5, "neighbor_does_per_sqmi": 0.05, "farmland_pct": 30}


def ask(**changes):
    """The answer for the place with these frames and options, in words."""
    known = {"pellets": survey(STEADY), "options": FEW_NEIGHBORS, "as_of": AS_OF} | changes
    options = DeerSettings(**known["options"])
    return worded(hunt.season(place(), **known | {"options": options}, region=shipped("lake_states")))


def test_the_answer_is_plain_and_whole():
    """JSON-able and back, and it says what nobody may forget."""
    told = ask()
    assert from_json(DeerAnswer, json.loads(json.dumps(as_json(told), allow_nan=False))) == told
    assert any("gives no right to take a deer" in c for c in told.cautions)
    assert any("without antlers" in c for c in told.cautions)


def test_deer_that_walk_there_outnumber_the_equivalents():
    """Same density, more ground: the equivalents are the share of time of those that walk there."""
    told = ask()
    ratio = told.equivalents.value / told.walk_there.value
    assert ratio == pytest.approx(told.share_pct / 100)
    assert told.equivalents.kind == "interval"
    assert told.walk_there.kind == "assumptions"


def test_the_doe_rate_sits_on_the_low_end_by_hand():
    """Does a year = hold rate x low-end does a square mile / 1.15 x acres / 640, whatever lies in between."""
    told = ask()
    take = told.take
    share_low = take.does_per_yr * 1.15 * 640 / told.acres / take.hold_rate
    middle = told.fall_per_sqmi.value
    assert share_low < 0.48 * middle * 0.85
    assert share_low > 0.48 * told.fall_per_sqmi.low


def test_the_neighbors_are_part_of_the_answer():
    """None taken around: a large allowance; the local rate: less; a high rate: no doe, in words."""
    few = ask().take
    assert few.does_if_neighbors_take_none > few.does_if_local_rate > few.does_per_yr > 0
    many = ask(options=FEW_NEIGHBORS | {"neighbor_does_per_sqmi": 3.0}).take
    assert many.does == 0 and many.does_if_local_rate == 0.0
    assert many.does_words == "No doe this season. What the neighbors take is already as much as the herd can bear."


def test_fractions_are_carried_over_three_seasons():
    """About .4 does a year over the seasons 2024 to 2026 add up to one; taken in 2025 it is gone."""
    told = ask().take
    assert 1 / 3 < told.does_per_yr < 1
    assert told.does == 1 and told.does_words.startswith("1 doe at most this season.")
    bag = pd.DataFrame({"year": [2025], "sex_age": ["doe"], "number": [1]})
    after = ask(bag=bag).take
    assert after.does == 0 and after.does_words.startswith("No doe this season")


def steady(years=range(2012, 2027), groups=20, **changes):
    """About 600 acres with the same groups on them each spring, and neighbors who take few."""
    big = gpd.GeoDataFrame({"parcel_id": ["p"]}, geometry=[shapely.box(-90, 46, -89.9802, 46.0142)], crs=4326)
    known = {"pellets": survey(dict.fromkeys(years, groups)), "options": FEW_NEIGHBORS, "as_of": AS_OF} | changes
    return hunt.season(big, **known | {"options": DeerSettings(**known["options"])}, region=shipped("lake_states")).take


@pytest.mark.parametrize("groups", [14, 20, 42])
def test_years_without_a_kill_are_not_banked(groups):
    """Fifteen springs alike and an empty book: this year's share rounded up at most."""
    told = steady(groups=groups)
    assert groups != 20 or (told.does, told.bucks) == (1, 2)
    for one in ("does", "bucks"):
        share = getattr(told, f"{one}_per_yr")
        assert math.floor(share) <= getattr(told, one) <= math.ceil(share), (one, share)
        assert getattr(told, one) >= 1


def test_all_that_is_offered_and_taken_comes_to_the_share():
    """Bucks and does filled for ten falls in a row: within one of ten shares, by the book of each fall."""
    rows, does, bucks = [], [], []
    for year in range(2012, 2023):
        book = pd.DataFrame(rows, columns=["year", "sex_age", "number"])
        told = steady(range(2012, year + 1), bag=book, as_of=date(year, 10, 1))
        does, bucks = [*does, told.does_per_yr], [*bucks, told.bucks_per_yr]
        rows += [(year, "doe", told.does), (year, "buck", told.bucks)]
    book = pd.DataFrame(rows, columns=["year", "sex_age", "number"])
    taken = book.groupby("sex_age")["number"].sum()
    assert sum(does) - 1 < taken["doe"] <= sum(does)
    assert sum(bucks) - 1 < taken["buck"] <= sum(bucks)


def kills(*days):
    """A ledger with a doe on each day."""
    line = range(1, len(days) + 1)
    told = {"line": line, "date": pd.to_datetime(list(days)), "kind": "deer", "sex_age": "doe", "amount": 1.0}
    return pd.DataFrame(told | {"corrects": None})


@pytest.mark.parametrize("day", ["2026-10-20", "2027-01-02"])
def test_on_the_third_of_january_the_season_is_last_falls(day):
    """Kills of the fall and of January count against the season just past, and the plan still speaks of it."""
    new_year, old_year = (ask(ledger=kills(day), as_of=d) for d in (date(2027, 1, 3), date(2026, 12, 31)))
    assert new_year.season == old_year.season == 2026
    assert new_year.take == old_year.take and new_year.years == old_year.years
    assert new_year.take.already_taken == Taken(bucks=0.0, does=1.0)
    assert new_year.take.does_words.startswith("No more does this season: 1 taken.")


def test_a_february_kill_belongs_to_the_season_before():
    """Taken on 20 February 2027: of the season 2026, not of the one that the count of April 2027 opens."""
    book = kills("2027-02-20")
    winter = ask(ledger=book, as_of=date(2027, 2, 25))
    assert (winter.season, winter.take.already_taken.does) == (2026, 1.0)
    spring = ask(pellets=survey(STEADY | {2027: 30}), ledger=book, as_of=date(2027, 4, 26))
    assert (spring.season, spring.take.already_taken.does) == (2027, 0.0)


@pytest.mark.parametrize(
    ("day", "season"),
    [((2027, 1, 3), 2026), ((2027, 4, 24), 2026), ((2027, 4, 25), 2027), ((2027, 5, 1), 2027), ((2027, 12, 31), 2027)],
)
def test_the_season_turns_with_the_spring_count_or_in_may(day, season):
    """Counted on 25 April: the coming fall from that day; without a count from May, as the wood does."""
    assert hunt.season_of(date(*day), survey({2026: 30, 2027: 30})) == season
    bare = None if season == 2026 or day >= (2027, 5, 1) else survey({2026: 30})
    assert hunt.season_of(date(*day), bare) == (season if bare is None else 2026)


def test_a_kill_in_a_fall_without_a_basis_is_owed():
    """Counted until 2022 and again in 2026: a doe of 2025, for which no count speaks, is taken off all the same."""
    springs = survey({2020: 30, 2021: 30, 2022: 30, 2026: 40})
    before, after = (ask(pellets=springs, ledger=kills(day)) for day in ("2019-11-20", "2025-11-20"))
    assert before.take.does_per_yr == after.take.does_per_yr
    assert after.take.does < before.take.does or "more than the share" in after.take.does_words
    assert "more than the share" not in before.take.does_words


def test_a_closed_fall_saves_no_fraction(monkeypatch):
    """Falls in which the index lies under its floor give does nothing to carry; bucks are not closed by it."""
    seen, real = [], hunt.take.carry
    monkeypatch.setattr(hunt.take, "carry", lambda budgets, *rest: seen.append(budgets) or real(budgets, *rest))
    ask(pellets=survey({2020: 60, 2021: 60, 2022: 60, 2024: 25, 2025: 25, 2026: 25}))
    does, bucks = seen
    assert len(does) == len(bucks) == 7
    assert min(does[:3]) > 0 and does[-2:] == [0.0, 0.0]
    assert min(bucks[:3]) > 0 and bucks[-1] > 0


def test_a_small_ground_is_told_that_it_is_small():
    """Forty acres: no "one doe in 10 years", but how much ground it would take."""
    small = gpd.GeoDataFrame({"parcel_id": ["p"]}, geometry=[shapely.box(-90, 46, -89.9948, 46.0036)], crs=4326)
    told = hunt.season(
        small,
        pellets=survey(STEADY),
        options=DeerSettings(**FEW_NEIGHBORS, buck_rate=0.3),
        meat_lb=100,
        as_of=AS_OF,
        region=shipped("lake_states"),
    )
    told = worded(told.take)
    assert told.does_per_yr < 0.2 and told.bucks_per_yr < 0.2
    for one in ("doe", "buck"):
        words = getattr(told, f"{one}s_words")
        assert words.startswith(f"No {one} this season. Too little ground for a {one} of its own: about ")
        assert "share is about" not in words
    assert told.wish_words == "The land gives no venison in most years; the household wishes for 100 pounds."


@pytest.mark.parametrize("kind", ["buck fawn", "doe fawn", "yearling doe"])
def test_every_deer_without_antlers_counts_as_a_doe(kind):
    """A buck fawn taken for a doe uses up the doe."""
    bag = pd.DataFrame({"year": [2026], "sex_age": [kind], "number": [1]})
    assert ask(bag=bag).take.does == 0


def test_no_doe_while_the_index_is_low():
    """60, 60, 60 and then 25 a spring: the three-year index is under 80 % of where it began."""
    told = ask(pellets=survey({2020: 60, 2021: 60, 2022: 60, 2024: 25, 2025: 25, 2026: 25})).take
    assert told.does == 0
    assert told.does_words == "No doe this season. The three-year index is under 80% of where it began."


@pytest.mark.parametrize(
    ("pellets", "why"),
    [
        (None, "No pellet plots have been counted."),
        (survey({2021: 40, 2022: 40}), "The last count is of 2022: too old to set a take on."),
        (survey({2026: 6}), "6 groups on 120 plots; 10 groups is the least."),
        (survey(STEADY).assign(days=np.nan), "write leaf_off in place.toml, or the days."),
    ],
)
def test_not_enough_measured_is_an_answer(pellets, why):
    """No plots, old plots, few groups: no deer named, and why."""
    told = ask(pellets=pellets)
    assert told.take.does == told.take.bucks == 0
    assert not told.take.measured
    assert why in told.take.does_words
    assert told.words.startswith("We can't say how many.")


def test_a_winter_yard_gives_no_herd_figure():
    """Four weeks of deep snow and a cedar swamp: words, no density."""
    stands = gpd.GeoDataFrame({"stand_id": ["1"], "cover": ["cedar swamp"]}, geometry=place().geometry, crs=4326)
    told = ask(stands=stands, options=FEW_NEIGHBORS | {"weeks_of_deep_snow": 4})
    assert told.density_per_sqmi.value is None
    assert "winter yard" in told.words
    assert told.take.does == 0
    least = default("deep_snow_weeks_yard", region=shipped("lake_states"))
    for weeks, words in ((least, True), (least - 0.5, False)):
        one = ask(stands=stands, options=FEW_NEIGHBORS | {"weeks_of_deep_snow": weeks})
        assert ("winter yard" in one.words) == words


def test_one_spring_says_so():
    """A single spring gives a take with a caution."""
    told = ask(pellets=survey({2026: 40}))
    assert told.words.endswith("from one spring.")
    assert any("one spring of counting" in c for c in told.cautions)


def test_counts_of_three_springs_stand_and_an_older_one_does_not():
    """A count of 2024 still gives a figure in 2026, one of 2023 is too old, and beside newer ones it weighs nothing."""
    assert ask(pellets=survey({2024: 40})).density_per_sqmi.value is not None
    assert "The last count is of 2023: too old" in ask(pellets=survey({2023: 40})).words
    more = ask(pellets=survey({2023: 300} | STEADY)).density_per_sqmi.value
    assert more == pytest.approx(ask().density_per_sqmi.value)


def test_three_springs_show_whether_the_herd_falls():
    """Two springs still say that three would show it; three say nothing of the kind."""
    two, three = (ask(pellets=survey(dict.fromkeys(springs, 40))) for springs in ((2025, 2026), (2024, 2025, 2026)))
    assert any("rests on 2 springs of counting" in c for c in two.cautions)
    assert not any("of counting; three show" in c for c in three.cautions)


def test_tags_are_a_ceiling():
    """No doe tag, no doe; one tag, at most one."""
    assert ask(limits={"tags_doe": 0}).take.does == 0
    assert ask(limits={"tags_doe": 0}).take.does_words == "No doe this season: there is no doe tag."
    rich = ask(pellets=survey({2024: 300, 2025: 300, 2026: 300}), limits={"tags_buck": 1})
    assert rich.take.bucks == 1


def test_let_it_grow_means_no_doe():
    """Goal = grow: no doe, bucks as before."""
    told = ask(options=FEW_NEIGHBORS | {"goal": "grow"}).take
    assert told.does == 0 and "let the herd grow" in told.does_words


def test_a_herd_that_cannot_grow_gives_no_doe(monkeypatch):
    """Growth below 1 without a hunt: hold rate 0, no doe, in words."""
    severe = {"births_fawn": 0.0, "survival_fawn": 0.45, "survival_yearling": 0.75, "survival_adult": 0.78}
    real = hunt.herd_rates
    monkeypatch.setattr(hunt, "herd_rates", lambda pct, region: real(pct, region=region) | severe)
    told = ask(options=FEW_NEIGHBORS | {"farmland_pct": 0}).take
    assert told.hold_rate == 0.0 and told.growth_rate < 1
    assert told.does == 0 and "would not grow even without a hunt" in told.does_words


def test_a_later_count_does_not_change_the_past():
    """Counts after the season's spring are not looked at."""
    both = pd.concat([survey(STEADY), survey({2027: 200})])
    assert ask(pellets=both).density_per_sqmi == ask().density_per_sqmi


def test_bag_and_ledger_are_not_added_and_neither_is_lost():
    """The larger number of the two books counts; corrected lines do not; January is last year."""
    bag = pd.DataFrame({"year": [2024], "sex_age": ["buck"], "number": [2]})
    ledger = pd.DataFrame(
        {
            "line": [1, 2, 3, 4],
            "date": pd.to_datetime(["2024-11-20", "2025-11-20", "2025-11-20", "2026-01-03"]),
            "kind": "deer",
            "sex_age": ["buck", "doe", "buck", "doe"],
            "amount": [1, 1, 1, 1],
            "corrects": [None, None, 2, None],
        }
    )
    assert hunt.taken_by_year(bag, standing(ledger), shipped("base")) == {
        2024: Taken(bucks=2.0, does=0.0),
        2025: Taken(bucks=1.0, does=1.0),
    }
    fawn = pd.DataFrame({"year": [2025, 2025], "sex_age": ["buck fawn", "buck"], "number": [1, 0]})
    late = ledger.assign(sex_age=["buck", "doe", "buck fawn", "doe"])
    assert hunt.taken_by_year(fawn, standing(late), shipped("base"))[2025] == Taken(bucks=0.0, does=2.0)


def test_deer_taken_out_of_the_ledger_are_not_taken():
    """Two does written, one made void: one is gone this season. Of two lines that bear one number neither is undone."""
    one = {"date": AS_OF.isoformat(), "kind": "deer", "sex_age": "doe", "amount": 1, "unit": "deer"}

    def gone(*numbered):
        lines = [one | dict(zip(("line", "kind", "corrects"), cells, strict=True)) for cells in numbered]
        book = pd.DataFrame(lines).assign(date=pd.Timestamp(AS_OF))
        return ask(ledger=book.assign(corrects=book["corrects"].astype("Int64"), text=None, stand_id=None))

    told = gone((1, "deer", None), (2, "deer", None), (3, "void", 1))
    assert told.take.already_taken == Taken(bucks=0.0, does=1.0)
    told = gone((1, "deer", None), (1, "deer", None), (3, "void", 1))
    assert told.take.already_taken == Taken(bucks=0.0, does=2.0)


def test_deer_plots_for_the_map():
    """The last spring's plots with their groups and the percent browsed there."""
    browse = pd.DataFrame(
        {
            "plot_id": ["L0-0"],
            "date": [pd.Timestamp(2026, 4, 25)],
            "species": ["red maple"],
            "stems": [4],
            "browsed": [1],
        }
    )
    plots = deer_plots(survey(STEADY), browse, region=shipped("base"))
    assert len(plots) == 120
    assert plots[0]["browsed_pct"] == 25.0 and plots[1]["browsed_pct"] is None
    assert json.dumps(plots)
    beech = browse.assign(species="american beech", stems=40, browsed=0)
    both = deer_plots(survey(STEADY), pd.concat([browse, beech, beech.assign(plot_id="L0-1")]), region=shipped("base"))
    assert (both[0]["browsed_pct"], both[1]["stems"]) == (25.0, None)


def stands(cover):
    """The whole parcel as one stand."""
    return gpd.GeoDataFrame({"stand_id": ["1"], "cover": [cover]}, geometry=place().geometry, crs=4326)


def test_bucks_come_from_farther():
    """A buck's ground is about twice a doe's: more of the bucks around come by than of the does."""
    told = ask()
    bucks_around = told.walk_there_bucks.value / told.walk_there.value
    assert 0.28 < bucks_around < 0.60
    assert "home range of a buck" in told.walk_there_bucks.why


def test_food_is_told_by_winter_and_sets_no_take():
    """Aspen feeds more deer in a mild winter than in a severe one; the take is the same with and without stands."""
    told = ask(stands=stands("aspen and birch"))
    assert told.food.mild.value > told.food.severe.value
    assert told.food.average.kind == "assumptions"
    assert told.take.does_per_yr == ask().take.does_per_yr


def test_the_risk_stands_beside_no_hunting():
    """Zero to four does, the plan marked, more does more risk, each beside the chance with no hunting at all."""
    told = ask().risk
    rows = told.takes
    assert [r.does for r in rows] == [0, 1, 2, 3, 4]
    assert sum(r.plan for r in rows) == 1
    halved = [r.halved_10.value for r in rows]
    assert halved == sorted(halved)
    assert told.no_hunting.halved_10 <= halved[0]
    assert all(r.halved_10.low <= r.halved_10.value <= r.halved_10.high for r in rows)
    assert "with no hunting by anybody" in told.words
    assert told.no_hunting_high.halved_10 >= told.no_hunting.halved_10
    pounds = [r.meat_lb.value for r in rows]
    assert pounds == sorted(pounds)


def test_no_chance_without_a_count():
    """Nothing counted: no chance, and why."""
    told = ask(pellets=None).risk
    assert told.takes == () and told.words.startswith("No chance is given.")


def test_beech_that_nothing_bit_is_not_told_as_low_browsing():
    """Only beech on 40 plots: no code, moderate deer assumed for the seedlings; both screens say it."""
    plots = [str(i) for i in range(40)]
    day, beech = pd.Timestamp(2026, 4, 25), "american beech"
    browse = pd.DataFrame({"plot_id": plots, "date": day, "species": beech, "stems": 9, "browsed": 0})
    young = pd.DataFrame({"plot_id": plots, "species": beech, "radius_ft": 6.0, "under_1ft": 0, "from_1_to_3ft": 10})
    told = ask(browse=browse, seedlings=young.assign(from_3_to_5ft=3, over_5ft=2))
    assert told.impact.code is None
    for rows in (first_screen(told), herd_screen(told)):
        row = next(r for r in rows if r.topic == "Browse")
        assert row.number.startswith("Not enough of what deer like was found")
        assert row.why == "What they like best is missing on 40 of 40 plots."
    forest = next(r for r in herd_screen(told) if r.topic == "Forest")
    assert forest.number.startswith("The next forest is not coming up: american beech fills it")
    assert "American beech outnumbers them over 3 feet on 40 of 40 plots" in forest.why
    assert "How hard deer press is not known: moderate deer assumed." in forest.why


def test_what_to_measure_next_is_computed():
    """Several ways in words, the most useful first; without a count, what would give one."""
    told = ask().measure_next
    assert len(told) == 4 and told[0].startswith("A count of another kind")
    assert "Forty plots on lines" in ask(pellets=None).measure_next[0]


def heavy(years):
    """Browse surveys with most preferred stems bitten."""
    plots = [str(i) for i in range(12)]
    return pd.concat(
        pd.DataFrame(
            {"plot_id": plots, "date": pd.Timestamp(y, 4, 25), "species": "red maple", "stems": 10, "browsed": 8}
        )
        for y in years
    )


THIN = FEW_NEIGHBORS | {"goal": "thin"}


def test_bringing_the_herd_down_needs_two_browsed_springs_and_the_neighbors():
    """Goal = thin: the hold rate, with a caution, until browsing is high two springs running and neighbors join."""
    rich = survey({2024: 120, 2025: 120, 2026: 120})
    hold = ask(pellets=rich).take.doe_rate
    for options, browse in ((THIN, heavy([2025, 2026])), (THIN | {"neighbors_join": True}, heavy([2026]))):
        told = ask(pellets=rich, options=options, browse=browse)
        assert told.take.doe_rate == hold
        assert any("Bringing the herd down needs" in c for c in told.cautions)
    wide = ask(pellets=rich, options=THIN | {"neighbors_join": True}, browse=heavy([2025, 2026]))
    assert wide.impact.code == 4
    assert hold < wide.take.doe_rate <= 0.40
    assert not any("Bringing the herd down needs" in c for c in wide.cautions)


def test_the_household_wish_is_answered():
    """300 lb wished for: short, in words; no wish, no words."""
    assert "is short by about" in ask(meat_lb=300).take.wish_words
    assert ask().take.wish_words == ""


def test_seedlings_and_other_counts_are_told():
    """Seedlings against deer by two rules; cameras beside the pellets."""
    seedlings = pd.DataFrame({"plot_id": list("abcd"), "species": "red maple", "radius_ft": 6.0, "under_1ft": 80})
    seedlings = seedlings.assign(from_1_to_3ft=0, from_3_to_5ft=0, over_5ft=0)
    camera = {"date": [pd.Timestamp(2026, 10, 1)], "method": "camera", "station": "a", "hours": 336.0, "bucks": 150}
    camera |= {"spikes": 30, "does": 210, "fawns": 105, "unknown": 0, "bucks_known": 9, "baited": False}
    told = ask(seedlings=seedlings, counts=pd.DataFrame(camera))
    assert [r.rule for r in told.seedlings] == ["weighted stems", "free stem"]
    assert [r.what for r in told.evidence.rows] == ["pellet groups", "cameras"]
    (other, counts), (bitten, stocked), (coming, steps) = herd_details(told)
    assert coming == "Will the forest come back?" and steps[0] == told.forest.words
    assert steps[-1] == told.forest.steps[-1].words
    assert (other, bitten) == ("What other counts say", "No browse plots yet.")
    assert counts[0].startswith("Cameras: 47 deer (35 to 56, assumptions); deer that walk past them, from a ground ")
    assert counts[1:] == [told.evidence.together.words] and stocked == [r.words for r in told.seedlings]
    assert from_json(DeerAnswer, json.loads(json.dumps(as_json(told)))) == told


@pytest.mark.parametrize(("goal", "does"), [("hold", 1), ("let grow", 0), ("bring down", 1)])
def test_goals_in_plain_words(goal, does):
    """Hold, let grow, bring down (here without neighbors: it only holds)."""
    assert ask(options=FEW_NEIGHBORS | {"goal": goal}).take.does == does


@pytest.mark.parametrize(
    ("given", "does", "words"),
    [
        (
            {"neighbor_bucks_per_sqmi": 2.0},
            2.0 * default("neighbor_does_per_buck", region=shipped("lake_states")),
            "(assumed)",
        ),
        ({"neighbor_does_per_sqmi": 0.3}, 0.3, "(assumed)"),
        ({"neighbor_bucks_per_sqmi": 2.0, "neighbor_does_per_sqmi": 0.0}, 0.0, "(given)"),
        ({"neighbor_bucks_per_sqmi": 0.0, "neighbor_does_per_sqmi": 0.1}, 0.1, "(given)"),
    ],
)
def test_what_the_neighbors_take_is_given_or_assumed(given, does, words):
    """Does go with the bucks where only those are known; both known is given, and none taken is a number too."""
    told = ask(options=given).take
    assert told.neighbors.does_per_sqmi == pytest.approx(does)
    assert told.neighbors.bucks_per_sqmi == given.get(
        "neighbor_bucks_per_sqmi", default("neighbor_bucks", region=shipped("lake_states"))
    )
    assert words in told.neighbors_words


def test_a_bow_loses_more_deer_than_a_gun():
    """The share of deer hit and not found goes off the family's."""
    gun, bow = (ask(options=FEW_NEIGHBORS | {"weapon": weapon}).take.bucks_per_yr for weapon in ("gun", "bow"))
    lost = [
        1
        + default(f"wound_{weapon}", region=shipped("lake_states"))
        + default("other_unregistered", region=shipped("lake_states"))
        for weapon in ("gun", "bow")
    ]
    assert bow / gun == pytest.approx(lost[0] / lost[1]) and bow < gun


def test_an_unknown_goal_is_refused():
    """A goal that does not exist is a clear stop."""
    with pytest.raises(ValidationError, match="Must be hold, grow or thin"):
        ask(options=FEW_NEIGHBORS | {"goal": "more antlers"})


def test_the_first_screen_fits_one_page():
    """Deer, take, chance, meat, what to measure: a number and a reason each, under 24 lines of 80."""
    for told in (ask(), ask(pellets=None), ask(browse=heavy([2026]))):
        rows = first_screen(told)
        assert {"Deer", "Take", "Meat", "Measure"} <= {r.topic for r in rows}
        assert all(r.number and r.why for r in rows)
        lines = sum(1 + (len(r.number) + len(r.why)) // 70 for r in rows)
        assert lines < 24
    assert [r.number for r in first_screen(ask(pellets=None)) if r.topic == "Deer"] == ["No number yet"]


def test_the_deer_in_one_row():
    """Does and bucks at most and their meat; not measured, why there is no number; measured but closed, why no doe."""
    told = ask()
    number, meat, why = number_range_why(told)
    assert number == "1 doe and 1 buck at most this season"
    assert meat.endswith(" pounds of meat, assumptions") and why.startswith(f"{told.words} 1 doe at most")
    assert why.endswith("Season, tags and zone are the state's.")
    none = ask(pellets=None)
    assert number_range_why(none) == (
        "Not measured enough",
        "",
        f"{none.words} Season, tags and zone are the state's.",
    )
    closed = number_range_why(ask(limits={"tags_doe": 0, "tags_buck": 0}))
    assert closed[:2] == ("None this season", "no meat this season") and "there is no buck tag" in closed[2]


def test_the_chance_is_that_of_the_take_named_beside_no_hunting():
    """Halved in ten years, with the take and without any."""
    told = ask()
    told = replace(told, risk=replace(told.risk, no_hunting=Chances(0.1, 0.2, 0.3, 0.4)))
    row = next(r for r in first_screen(told) if r.topic == "Chance")
    named = next(r for r in told.risk.takes if r.plan).halved_10.value
    assert row.number.startswith(f"{100 * named:.0f} in 100 that the herd halves in ten years (")
    assert row.why.startswith("With no hunting by anybody 30 in 100. ")


def test_sentences_get_the_numbers_that_stand_beside_them():
    """Does before bucks of the neighbors, ten years for the halving, the slide beyond the top, bucks and does apart."""
    options = DeerSettings(**FEW_NEIGHBORS)
    season = hunt.season(
        place(), pellets=survey(STEADY), options=options, meat_lb=90.0, as_of=AS_OF, region=shipped("lake_states")
    )
    around, chances, long_run, wish = (
        dict(why.facts)
        for why in (season.take.neighbors_words, season.risk.words, season.risk.meat.words, season.take.wish_words)
    )
    assert around["around"] == (0.05, 0.5)
    named = next(r for r in season.risk.takes if r.plan)
    assert chances["halved"] == named.halved_10.value != named.halved_5.value
    assert chances["halved_alone"] == season.risk.no_hunting.halved_10
    assert long_run["slide"] > long_run["flat"][1] >= long_run["top"] == season.risk.meat.top_pct
    does, bucks = season.take.does_per_yr, season.take.bucks_per_yr
    assert does != bucks and wish["meat"] == meat_of_take(bucks, does, region=shipped("lake_states"))


def test_ranges_and_chances_are_said_once():
    """Winter half and fall with their ranges, none without a count; the note names the bucks and the full herd."""
    told = ask(options=FEW_NEIGHBORS | {"full_herd_per_sqmi": 40.0})
    half, fall = herd_ranges(told)
    assert half.startswith("Winter half: ") and fall.startswith("Fall 2026: ") and fall.endswith(", 90%).")
    few = ask(pellets=survey({2026: 4}))
    assert few.density_per_sqmi.value > 0 and herd_ranges(few) == herd_ranges(ask(pellets=None)) == []
    note = chances_note(told)
    assert note.startswith("Chances in 100 with 1 buck and so many does") and "nears 40 to 40 deer" in note


def test_stems_and_plots_are_counted_beside_what_is_browsed():
    """120 stems on 12 plots; one stem on one plot is said so."""
    heading, lines = herd_details(ask(browse=heavy([2026])))[1]
    assert heading == "What they have browsed" and lines[0].endswith(" 120 stems on 12 plots.")
    one = heavy([2026]).iloc[:1].assign(stems=1, browsed=0)
    assert herd_details(ask(browse=one))[1][1][0].endswith(" 1 stem on 1 plot.")

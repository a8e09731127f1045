"""The season's take: enough measured or not, the low index, neighbors, yards, tags, what was already taken."""

import json
import re
from datetime import date

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely
from pydantic import ValidationError

from woodlot.answers.as_json import as_json, from_json
from woodlot.deer.answer import DeerAnswer, Taken
from woodlot.deer.browse import deer_plots
from woodlot.deer.defaults import default
from woodlot.deer.options import DeerSettings
from woodlot.ledger import standing
from woodlot.plan import hunt
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
UNKNOWN = {"farmland_pct": 30}
NEIGHBORS = UNKNOWN | {"neighbor_bucks_per_sqmi": 1.5, "neighbor_does_per_sqmi": 0.2}


def ask(**changes):
    """The answer for the place with these frames and options, in words."""
    known = {"pellets": survey(STEADY), "options": NEIGHBORS, "as_of": AS_OF} | changes
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
    assert new_year.take.does_words.startswith("No more does, 1 taken; your share is about one doe every ")


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


@pytest.mark.parametrize("kind", ["buck fawn", "doe fawn", "yearling doe"])
def test_every_deer_without_antlers_counts_as_a_doe(kind):
    """A buck fawn taken for a doe uses up the doe."""
    bag = pd.DataFrame({"year": [2026], "sex_age": [kind], "number": [1]})
    assert ask(bag=bag).take.already_taken == Taken(bucks=0.0, does=1.0)


@pytest.mark.parametrize(
    ("pellets", "why"),
    [
        (None, "No pellet plots have been counted."),
        (survey({2026: 4}), "4 groups on 120 plots; 5 groups is the least."),
        (survey(STEADY).assign(days=np.nan), "write leaf_off in place.toml, or the days."),
    ],
)
def test_not_enough_measured_is_an_answer(pellets, why):
    """No plots, few groups, no days, and neighbors unknown: no deer named, and why."""
    told = ask(pellets=pellets, options=UNKNOWN)
    assert told.take.does == told.take.bucks == 0
    assert not told.take.measured
    assert why in told.take.does_words
    assert told.words.startswith("We can't say how many.")


def test_the_neighbors_take_alone_gives_a_number_and_a_wide_one():
    """1.5 bucks and .2 does a square mile that herds bear: a number, wider than beside three springs of pellets."""
    alone, both = ask(pellets=None), ask()
    assert alone.take.measured and alone.words.endswith("It rests on the neighbors' kill.")
    wide, narrow = (one.fall_per_sqmi.high / one.fall_per_sqmi.low for one in (alone, both))
    assert wide > 1.2 * narrow


def test_a_winter_yard_s_spring_is_left_out():
    """Four weeks of deep snow and a cedar swamp: that spring says nothing; where it is the only one, no density."""
    swamp = stands("cedar swamp")
    one = ask(pellets=survey({2026: 40}), stands=swamp, options=UNKNOWN | {"weeks_of_deep_snow": 4})
    assert one.density_per_sqmi.value is None and "winter yard" in one.words and one.take.does == 0
    least = default("deep_snow_weeks_yard", region=shipped("lake_states"))
    for weeks, yard in ((least, True), (least - 0.5, False)):
        told = ask(stands=swamp, options=UNKNOWN | {"weeks_of_deep_snow": weeks})
        assert told.words.endswith(f"It rests on {2 if yard else 3} springs of pellets.")
        assert any("pellets of 2026 are of deer gathered from miles around" in c for c in told.cautions) == yard


def test_more_springs_narrow_the_number():
    """One spring, two, three of as many groups: each says how many it is by, and narrows the range."""
    wide = []
    for springs, words in (((2026,), "1 spring"), ((2025, 2026), "2 springs"), ((2024, 2025, 2026), "3 springs")):
        told = ask(pellets=survey(dict.fromkeys(springs, 30)), options=UNKNOWN)
        assert told.words.endswith(f"It rests on {words} of pellets.")
        wide.append(np.log(told.fall_per_sqmi.high / told.fall_per_sqmi.low))
    assert wide[0] > wide[1] and wide[0] > wide[2]


def test_an_old_count_still_stands_and_its_age_is_said():
    """A last count of 2024 is two years old and needs no word; of 2023, three: run on since, and said so."""
    for spring, said in ((2024, False), (2023, True)):
        told = ask(pellets=survey({spring: 40}), options=UNKNOWN)
        assert told.take.measured
        assert any(f"The last count of how many there are is of {spring}" in c for c in told.cautions) == said


def test_let_it_grow_means_no_doe():
    """Goal = grow: no doe, bucks as before."""
    told = ask(options=NEIGHBORS | {"goal": "grow"}).take
    assert told.does == 0 and "let the herd grow" in told.does_words


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


def test_no_chance_without_a_count():
    """Nothing counted: no chance, and why."""
    told = ask(pellets=None, options=UNKNOWN).risk
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
    """Several ways in words, the most useful first, beside what is known now; without a count, what would give one."""
    first, *more = ask().measure_next
    known, now = re.match(r"(This ground can give none to (\d+) does in ten years \(90%\)\. )", first).groups()
    ways = [first.removeprefix(known), *more]
    ends = [re.search(r" would (?:hardly move that|make that about none to ([\d.]+))\.$", way)[1] for way in ways]
    least = [float(end or now) for end in ends]
    assert len(ways) > 5 and sum(map(bool, ends)) > 3 and not any("This ground" in way for way in more)
    assert max(least) <= float(now) and least[0] == min(least) < float(now)
    first = ask(pellets=None, options=UNKNOWN).measure_next[0]
    assert "would give a first number" in first


def heavy(years):
    """Browse surveys with most preferred stems bitten."""
    plots = [str(i) for i in range(12)]
    return pd.concat(
        pd.DataFrame(
            {"plot_id": plots, "date": pd.Timestamp(y, 4, 25), "species": "red maple", "stems": 10, "browsed": 8}
        )
        for y in years
    )


def test_the_household_wish_is_answered():
    """300 lb wished for: what the ground gives of them; without a wish ten years by themselves, and nothing wished."""
    wish, none = (ask(meat_lb=pounds).take for pounds in (300, None))
    assert "of the 300 pounds you want each year" in wish.wish_words and "More is not there." in wish.wish_words
    assert none.wish_words.startswith("In ten years about ") and "you want" not in none.wish_words
    assert none.ten_years.meat_lb == wish.ten_years.meat_lb


def test_seedlings_and_other_counts_are_told():
    """Seedlings against deer by two rules; cameras beside the pellets."""
    seedlings = pd.DataFrame({"plot_id": list("abcd"), "species": "red maple", "radius_ft": 6.0, "under_1ft": 80})
    seedlings = seedlings.assign(from_1_to_3ft=0, from_3_to_5ft=0, over_5ft=0)
    camera = {"date": [pd.Timestamp(2026, 10, 1)], "method": "camera", "station": "a", "hours": 336.0, "bucks": 150}
    camera |= {"spikes": 30, "does": 210, "fawns": 105, "unknown": 0, "bucks_known": 9, "baited": False}
    told = ask(seedlings=seedlings, counts=pd.DataFrame(camera))
    assert [r.rule for r in told.seedlings] == ["weighted stems", "free stem"]
    kinds = [r.what for r in told.evidence.rows]
    assert kinds[:2] == ["pellet groups", "neighbors' kill"] and kinds[-1] == "cameras"
    (other, counts), (bitten, stocked) = herd_details(told)
    (coming,) = (row for row in herd_screen(told) if row.topic == "Forest")
    steps = [step.words for step in told.forest.steps]
    assert steps and f"{coming.number} {coming.why}" == " ".join([told.forest.words, *told.forest.why, *steps])
    assert (other, bitten) == ("What other counts say", "What they have browsed")
    assert counts[0].startswith("Pellet groups: ") and len(counts) == len(kinds) + 1
    assert counts[-2].startswith("Cameras: 47 deer (35 to 56, assumptions); deer that walk past them, from a ground ")
    assert counts[-1] == told.evidence.together.words and stocked == [r.words for r in told.seedlings]
    assert from_json(DeerAnswer, json.loads(json.dumps(as_json(told)))) == told


def test_an_unknown_goal_is_refused():
    """A goal that does not exist is a clear stop."""
    with pytest.raises(ValidationError, match="Must be hold, grow or thin"):
        ask(options=NEIGHBORS | {"goal": "more antlers"})


def test_the_first_screen_fits_one_page():
    """Deer, take, chance, meat, what to measure: a number and a reason each, under 24 lines of 80."""
    for told in (ask(), ask(pellets=None, options=UNKNOWN), ask(browse=heavy([2026]))):
        rows = first_screen(told)
        assert {"Deer", "Take", "Meat", "Measure"} <= {r.topic for r in rows}
        assert all(r.number and r.why for r in rows)
        lines = sum(1 + (len(r.number) + len(r.why)) // 70 for r in rows)
        assert lines < 24
    unknown = first_screen(ask(pellets=None, options=UNKNOWN))
    assert [r.number for r in unknown if r.topic == "Deer"] == ["We can't say how many."]


def test_the_deer_in_one_row():
    """Does and bucks at most and their meat; not measured, why there is no number; measured but closed, why no doe."""
    told = ask()
    number, meat, why = number_range_why(told)
    assert number == "1 doe and 1 buck at most this season"
    assert meat.endswith(" pounds of meat, assumptions") and why.startswith(f"{told.words} 1 doe at most")
    assert why.endswith("Season, tags and zone are the state's.")
    none = ask(pellets=None, options=UNKNOWN)
    _, why = none.words.split("We can't say how many. ")
    assert number_range_why(none) == ("Not measured enough", "", f"{why} Season, tags and zone are the state's.")
    closed = number_range_why(ask(limits={"tags_doe": 0, "tags_buck": 0}))
    assert closed[:2] == ("None this season", "no meat this season") and "there is no buck tag" in closed[2]


def test_ranges_and_chances_are_said_once():
    """Winter half and fall with their ranges, none without a count; the note names the bucks and the full herd."""
    told = ask(options=NEIGHBORS | {"full_herd_per_sqmi": 40.0})
    half, fall, *ratios = herd_ranges(told)
    assert half.startswith("Winter half: ") and fall.startswith("Fall 2026: ") and fall.endswith(", 90%).")
    assert [one.partition(":")[0] for one in ratios] == [
        "Does for each buck",
        "Fawns for each doe",
        "Growth of does without a doe taken",
    ]
    few = ask(pellets=survey({2026: 4}), options=UNKNOWN)
    assert herd_ranges(few) == herd_ranges(ask(pellets=None, options=UNKNOWN)) == []
    note = chances_note(told)
    assert note.startswith("Chances in 100 with 1 buck and so many does") and "nears 40 to 40 deer" in note
    assert "Few in winter: after ten years no more than the 18 winter deer a square mile with which" in note


def test_stems_and_plots_are_counted_beside_what_is_browsed():
    """120 stems on 12 plots; one stem on one plot is said so."""
    heading, lines = herd_details(ask(browse=heavy([2026])))[1]
    assert heading == "What they have browsed" and lines[0].endswith(" 120 stems on 12 plots.")
    one = heavy([2026]).iloc[:1].assign(stems=1, browsed=0)
    assert herd_details(ask(browse=one))[1][1][0].endswith(" 1 stem on 1 plot.")

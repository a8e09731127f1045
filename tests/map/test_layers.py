"""Answers and shapes become layers and words; nothing is lost, changed or made up."""

import copy
import json
from dataclasses import replace
from pathlib import Path

import pytest

from woodlot.answers.stand_types import Entry, SpeciesOfStand
from woodlot.errors import InputError
from woodlot.estimate import Number
from woodlot.map import cards, drawing, ground_questions, layers, map_on_paper, printed, questions
from woodlot.map.map_words import GROUP_GROUND


def stand(drawn, sid):
    """One stand of the layers."""
    return next(s for s in drawn["stands"] if s["id"] == sid)


def parcel(drawn, pid):
    """One parcel of the layers."""
    return next(p for p in drawn["parcels"] if p["id"] == pid)


def plain(words):
    """Words without hard spaces and word joiners."""
    return words.replace("\u00a0", " ").replace("\u2060", "")


def test_the_same_answers_give_the_same_layers(answers, frames):
    """Built twice from one set of answers."""
    one, two = layers.build(answers, *frames), layers.build(answers, *frames)
    assert json.dumps(one, allow_nan=False) == json.dumps(two, allow_nan=False)


def test_the_four_questions_come_first_and_others_only_with_numbers(drawn, answers):
    """Growth and browse are asked since the place has them, food is not."""
    assert [q["key"] for q in drawn["questions"]] == ["grows", "much", "when", "sure", "growth", "browse"]
    bare = tuple(replace(s, growth_cords_per_yr=Number()) for s in answers.stands)
    assert ground_questions.further_questions(replace(answers, stands=bare), {}) == []


@pytest.mark.parametrize(
    ("sid", "question", "mark"),
    [
        ("1", "grows", [0, "H", False]),
        ("4", "grows", [7, "B", True]),
        ("1", "much", [2, "21", False]),
        ("3", "much", [0, "9.4", False]),
        ("5", "much", [3, "25", False]),
        ("7", "much", [None, "≈21", True]),
        ("4", "much", [None, "no number", True]),
        ("6", "when", [0, "2026–27", False]),
        ("13", "when", [1, "2028–29", False]),
        ("3", "when", [1, "2029–30", False]),
        ("2", "when", [2, "2031–32", False]),
        ("5", "when", [2, "2033–34", False]),
        ("9", "when", [3, "not yet", False]),
        ("12", "when", [None, "measure first", True]),
        ("15", "when", [3, "not cut", False]),
        ("14", "when", [None, "measure first", True]),
        ("8", "sure", [0, "±19%", False]),
        ("3", "sure", [3, "±52%", False]),
        ("12", "sure", [None, "one plot", True]),
        ("16", "sure", [None, "empty plots", True]),
    ],
)
def test_a_stand_answers_by_hand(drawn, sid, question, mark):
    """Marks read off the made-up table: 21.3 cords falls in 18 to 23, a next cut in 2033–34 is 7 winters on."""
    assert stand(drawn, sid)["marks"][question] == mark


def test_a_class_of_cords_follows_the_rounded_number(answers):
    """17.6 cords shows as 18 and so stands in the class 18 to 23; 12.4 shows as 12 and stands under 13."""
    one, steps = answers.stands[0], {}
    for value in (12.4, 12.6, 17.4, 17.6, 23.4, 23.6):
        stands = (replace(one, cords_per_ac=replace(one.cords_per_ac, value=value)),)
        asked = questions.first_questions(replace(answers, stands=stands))
        steps[value] = asked[1].marks["1"].step
    assert steps == {12.4: 0, 12.6: 1, 17.4: 1, 17.6: 2, 23.4: 2, 23.6: 3}


def test_the_familys_own_breaks_make_the_legend(answers):
    """Breaks of place.toml stand in the legend, so that years compare."""
    base = replace(answers.base, cord_breaks=(5, 10, 11))
    texts = [s.text for s in questions.first_questions(replace(answers, base=base))[1].steps]
    assert texts == ["under 5", "5 to 9", "10", "11 and more"]


def test_the_sentence_comes_with_its_range(drawn):
    """470 cords on Home forty: sum of 21.3 x 10.67, 17.2 x 10.23 and 9.4 x 6.99, range 76% to 130% of it."""
    said = parcel(drawn, "P1")["said"]["much"]
    assert said["head"] == "470 full cords standing"
    assert plain(said["sub"]) == "360–610, nine times in ten, on 27.9 measured acres"
    assert parcel(drawn, "P1")["said"]["sure"]["head"] == "Within 27% for the parcel", "half of 130 less 76"


def test_mostly_is_said_only_above_half(drawn):
    """Oak with 12.98 of 39.66 acres is the second, aspen with 17.13 the largest of a mix; pine with 60% is mostly."""
    assert parcel(drawn, "P3")["said"]["grows"]["head"] == "A mix, aspen and birch the largest"
    assert parcel(drawn, "P4")["said"]["grows"]["head"] == "Mostly pine"


def test_nothing_this_winter_is_a_sentence(drawn):
    """A parcel without a cut says so, and names every stand that the plan comes to, soonest first."""
    said = parcel(drawn, "P1")["said"]["when"]
    assert said["head"] == "Nothing this winter"
    assert plain(said["sub"]) == "Next: stand 1, winter 2027–28; stand 3, winter 2029–30; stand 2, winter 2031–32."


def test_every_winter_of_the_plan_is_said(drawn):
    """Stand 6 is cut in 2026 to 28, 30 and 31: 11.37 x 3 = 34.11 and 23.24 make 57 cords, 5 x 1.2 are 6 acres.

    Its colour is that of its first winter.
    """
    said = parcel(drawn, "P2")["said"]["when"]
    assert said["head"] == "Stand 6 this winter"
    assert plain(said["sub"]) == (
        "11 full cords, 8.2–15, nine times in ten. "
        "Later: stand 6, winters 2027–28 to 2028–29 and 2030–31 to 2031–32; stand 5, winter 2033–34."
    )
    assert [plain(" ".join(row[2:])) for row in said["rows"] if row[0] == "6"] == [
        "this winter then 2027–28 to 2028–29, 2030–31 to 2031–32"
    ]
    assert stand(drawn, "6")["marks"]["when"][:2] == [0, "2026–27"]
    rows = stand(drawn, "6")["card"]["winters"]
    assert [[plain(cell) for cell in row] for row in rows] == [
        ["winters 2026–27 to 2028–29, 3.6 acres", "11 cords each"],
        ["winters 2030–31 to 2031–32, 2.4 acres", "9.0 and 14 cords"],
        ["in all, 6.0 of its 13.1 acres", "57 cords"],
    ]
    assert [plain(cell) for cell in stand(drawn, "5")["card"]["winters"][0]] == [
        "winter 2033–34, 1.2 acres",
        "11 cords",
    ]
    assert len(stand(drawn, "5")["card"]["winters"]) == 1


def test_a_stand_without_a_winter_says_why(drawn):
    """Map, list and card hold the same reason: not to be cut, measure first, or not in this plan."""
    rows = {row[0]: row[2:] for p in drawn["parcels"] for row in p["said"]["when"]["rows"]}
    assert [rows[i] for i in ("15", "14", "12", "9", "16")] == [
        ("", "not to be cut"),
        ("", "measure first"),
        ("", "measure first"),
        ("", "not in this plan"),
        ("", "not in this plan"),
    ]
    assert all(stand(drawn, i)["card"]["winters"] == [] for i in ("15", "14", "12", "9", "16"))


def test_a_parcel_of_many_stands_names_three_and_counts_the_rest(answers):
    """Five stands come later: the sentence names the first three of them and says how many more the list holds."""
    one, mine = answers.stands[0], []
    for i in range(5):
        winters = [f"20{35 - i}–{36 - i}"] + ["2036–37"] * (i == 4)
        cut = replace(one.cut, entries=tuple(Entry(winter, 1.0, 5.0) for winter in winters))
        mine.append(replace(one, stand_id=f"s{i}", parcel_id="P1", cut=cut))
    when = questions.first_questions(replace(answers, stands=tuple(mine)))[2]
    assert plain(when.findings["P1"].sub) == (
        "Next: stand s4, winters 2031–32 and 2036–37; stand s3, winter 2032–33; stand s2, winter 2033–34; "
        "and 2 more stands, in the list."
    )


def test_a_parcel_without_plots_has_no_number(plain_answers, typed, frames):
    """No plots: no number, no range, what three plots would do."""
    bare = copy.deepcopy(plain_answers)
    for s in bare["stands"]:
        if s["parcel_id"] == "P4":
            s |= {"how": "none", "plots": 0, "half_width_pct": None, "growth_cords_per_yr": None}
            s["cords_per_ac"]["value"] = s["cords"]["value"] = None
    next(p for p in bare["parcels"] if p["parcel_id"] == "P4")["cords"]["value"] = None
    drawn = layers.build(typed(bare), *frames)
    said = parcel(drawn, "P4")["said"]
    assert said["much"]["head"] == "No number yet"
    assert said["sure"]["head"] == "Not measured yet"
    assert stand(drawn, "11")["card"]["big"] == "No number yet"


def test_browse_is_sum_over_sum_by_hand(drawn):
    """Stand 15 holds one plot with 20 stems of which 60% were browsed: 12 / 20; the parcel's two: 21 / 40 = 52%."""
    assert stand(drawn, "15")["marks"]["browse"][1] == "60%"
    assert parcel(drawn, "P5")["said"]["browse"]["head"] == "52% of stems browsed"


def test_plots_of_one_stand_are_added_up_by_hand(answers, frames):
    """Beside 12 of 20 stems another plot in stand 15 with 1 of 10: 13 / 30 = 43%, on the map and on the card."""
    there = next(p for p in answers.deer_plots if p.browsed_pct == 60.0)
    more = (*answers.deer_plots, replace(there, plot_id="L2-x", stems=10, browsed=1, browsed_pct=10.0))
    drawn = layers.build(replace(answers, deer_plots=more), *frames)
    assert stand(drawn, "15")["marks"]["browse"][1] == "43%"
    assert ["stems browsed", "43% of 30"] in stand(drawn, "15")["card"]["facts"]


def test_the_card_carries_unrounded_numbers(drawn, answers):
    """Every number on a card rides along as it stands in the answers."""
    for s in answers.stands:
        data = stand(drawn, s.stand_id)["card"]["data"]
        for key in ("cords_per_ac", "cords", "basal_sqft_per_ac", "trees_per_ac"):
            assert data.get(key) == getattr(s, key).value
            assert data.get(f"{key}_low") == getattr(s, key).low


def test_the_years_to_come_are_the_answers_sentence_and_lie_folded_behind_the_rest(answers):
    """Beside the lines, not among them: cautions stand before them. A stand of which nothing is told has none."""
    one = answers.stands[0]
    told = cards.stand_card(replace(one, years_told=("a year",), years_words="Pine. Uncut: 90."), "Lake place", ())
    assert told["years"] == ["In years to come", "Pine. Uncut: 90."]
    assert "Uncut: 90" not in str(told["lines"])
    assert (
        cards.stand_card(replace(one, years_told=(), years_words="Nothing is told."), "Lake place", ())["years"] == []
    )
    script = (Path(cards.__file__).parent / "page.js").read_text(encoding="utf-8")
    assert script.index("card.cautions") < script.index("card.years") and 'el("details"' in script


def test_a_number_from_memory_says_so(drawn):
    """The basal area to leave is marked and the mark is explained on the same card."""
    card = stand(drawn, "6")["card"]
    words = "".join(part for line in card["lines"] for _, part in line)
    assert "†" in words
    assert card["foot"].startswith("† from memory")


def test_a_borrowed_number_has_no_range(drawn):
    """A borrowed number is marked, has no range, and is not to be planned on."""
    card = stand(drawn, "7")["card"]
    assert card["big"].startswith("≈21")
    assert "no range" in card["under"]


def test_notes_fall_to_the_parcel_they_lie_in(drawn):
    """A note with a position goes where it lies; one without goes where it says."""
    by_title = {n["title"].replace("\u00a0", " "): n for n in drawn["notes"]}
    assert by_title["Oak, 2 cords"]["parcel"] == "P1"
    assert by_title["Gate chain cut"]["parcel"] == "P3"
    assert by_title["Gate chain cut"]["lon"] is None


def test_contacts_are_said_in_the_tab(drawn):
    """A corner contact stands in the tab as such."""
    assert parcel(drawn, "P2")["where"] == "corner to Home forty"
    assert parcel(drawn, "P1")["where"] == "home"
    assert plain(parcel(drawn, "P5")["where"]) == "5.9 mi away"


def test_a_parcel_without_outline_is_refused(answers, frames):
    """An answer that speaks of a parcel without an outline stops with its name."""
    parcels, stands, features = frames
    with pytest.raises(InputError, match="no outline for parcel P2"):
        layers.build(answers, parcels[parcels["parcel_id"] != "P2"], stands, features)


def test_a_place_without_deer_notes_or_features_is_drawn(answers, frames):
    """The least place: no notes, no deer plots, no features."""
    bare = replace(answers, notes=(), deer_plots=())
    drawn = layers.build(bare, frames[0], frames[1])
    assert drawn["years"] == [] and drawn["deer"] == [] and drawn["features"] == []


def asked_of(answers, **changed):
    """The marks of one stand, so changed, under the first questions and the further ones."""
    one = replace(answers, stands=(replace(answers.stands[0], **changed),))
    return {q.key: q.marks["1"] for q in questions.first_questions(one) + ground_questions.further_questions(one, {})}


def test_a_limit_closes_the_step_of_how_sure_by_hand(answers):
    """20 % is within 20 %, 20.1 is not; 45 is within 45 %."""
    steps = [asked_of(answers, half_width_pct=half)["sure"].step for half in (20.0, 20.1, 30.0, 45.0, 45.1)]
    assert steps == [0, 1, 1, 2, 3]


def test_a_break_opens_the_step_of_food_by_hand(answers):
    """29.9 pounds are under 30, 30 and 74.9 are 30 to 74, 150 are 150 and more."""
    food = [replace(answers.stands[0].cords, value=lb, unit="pounds") for lb in (29.9, 30.0, 74.9, 75.0, 150.0)]
    assert [asked_of(answers, food_lb_per_ac=one)["food"].step for one in food] == [0, 1, 1, 2, 3]


def test_half_of_a_parcel_is_a_mix(answers):
    """Two stands of 10 acres: neither is most of it; with a tenth of an acre more the first is."""
    for acres, head in ((10.0, "A mix, oak the largest"), (10.1, "Mostly oak")):
        covers = (("oak", acres), ("pine", 10.0))
        pair = zip(answers.stands, covers, strict=False)
        stands = tuple(replace(s, parcel_id="P1", cover=cover, acres=ac) for s, (cover, ac) in pair)
        assert questions.first_questions(replace(answers, stands=stands))[0].findings["P1"].head == head


def test_a_card_shows_six_kinds_and_the_six_newest_notes(answers, frames):
    """Of eight each: kinds in the order of the answers, notes the newest first."""
    kinds = tuple(SpeciesOfStand(f"kind {n}", 1.0, 12.5) for n in range(8))
    notes = tuple(replace(answers.notes[0], stand_id="1", date=f"201{n}-05-01", line=n) for n in range(8))
    stands = (replace(answers.stands[0], species=kinds), *answers.stands[1:])
    card = stand(layers.build(replace(answers, stands=stands, notes=notes), *frames), "1")["card"]
    assert [row[0] for row in card["species"]] == [*(f"kind {n}" for n in range(6)), "any kind not met"]
    assert [plain(day) for day, _ in card["notes"]] == [f"1 May 201{n}" for n in range(7, 1, -1)]


def test_kinds_say_why_they_have_no_range_once_and_what_there_may_be_of_one_not_met(answers):
    """Of eight kinds six are shown: the row behind them is of kinds that no plot met, not of the two left out."""
    few = Number(4.0, unit="cords an acre", why="two samples have no range of their own")
    with_range = Number(6.0, 3.0, 12.0, "cords an acre", "interval", 0.9, 3)
    kinds = tuple(
        SpeciesOfStand(f"kind {n}", of.value, 12.5, of) for n, of in enumerate([with_range, few, few] + 5 * [few])
    )
    none = Number(0.0, high=2.1, unit="cords an acre", why="at most about 2.1 cords an acre; none met")
    one = replace(answers.stands[0], species=kinds, unseen_kind_per_ac=none)
    rows = cards.stand_card(one, "Lake place", ())["species"]
    assert [plain(row[2]) for row in rows[:3]] == [
        "6.0 cords an acre (3.0–12)",
        "about 4.0 cords an acre (two samples have no range of their own)",
        "about 4.0 cords an acre",
    ]
    assert len(rows) == 7 and rows[6] == ["any kind not met", "0%", none.why]


def test_the_newest_note_takes_its_place_first(drawn):
    """Where two notes want the same ground the newer one is shown: tags are placed by day."""
    many = 0
    for room in (room[max(room, key=int)] for room in drawn["room"].values()):
        days = [drawn["notes"][i]["iso"] for i, _ in room["tags"]]
        assert days == sorted(days, reverse=True)
        many += len(set(days)) > 1
    assert many


def test_a_neighbor_is_drawn_within_a_quarter_of_a_parcels_length_by_hand(answers, frames):
    """Squares of a hundredth of a degree: one a fifth of its side off is near, one three tenths off is not."""
    from shapely import box

    for gap, near in ((0.002, ["P2"]), (0.003, [])):
        parcels = frames[0][frames[0]["parcel_id"].isin(["P1", "P2"])].sort_values("parcel_id")
        parcels = parcels.set_geometry([box(-90, 46, -89.99, 46.01), box(-89.99 + gap, 46, -89.98 + gap, 46.01)])
        two = replace(answers, parcels=tuple(p for p in answers.parcels if p.parcel_id in ("P1", "P2")))
        shown = layers.build(two, parcels.set_crs(4326, allow_override=True), *frames[1:])
        assert parcel(shown, "P1")["near"] == near


def test_ground_of_the_group_is_dotted_where_it_lies_near_and_only_named_there(answers, frames, made_up):
    """Forties of two neighbors: 20 feet west of Home forty, of whose side a fortieth is 33, and 60 feet west."""
    from shapely import Polygon

    squares = [[(x, y), (x + 1322, y), (x + 1322, y + 1330), (x, y + 1330)] for x, y in ((-1342, 0), (-1382, 0))]
    near, far = (Polygon(list(zip(*made_up.lonlat(*zip(*one, strict=True)), strict=True))) for one in squares)
    shown = layers.build(answers, *frames, group=[far, near])
    assert len(shown["group"]) == 2 and {p["id"]: p["around"] for p in shown["parcels"]} == {
        **{p["id"]: [] for p in shown["parcels"]},
        "P1": [1],
    }
    alone = layers.build(answers, *frames)
    for one, many in ((shown, 1), (alone, 0)):
        drawn, legends = (
            [make(one, p) for p in one["parcels"]]
            for make in (
                lambda of, p: map_on_paper.parcel_svg(of, p["id"], ["grows"]),
                lambda of, p: printed.legend(of["questions"][0], p),
            )
        )
        assert [svg.count('stroke-dasharray="1,5"') for svg in drawn] == [many, 0, 0, 0, 0]
        assert [GROUP_GROUND in words for words in legends] == [bool(many), False, False, False, False]
        assert printed.pages(one).count(GROUP_GROUND) == many * len(one["questions"])


def test_the_notes_of_five_years_are_printed_newest_first():
    """Six years of notes: those of the first are left out."""
    years = [str(year) for year in range(2020, 2026)]
    notes = [{"parcel": "P1", "year": year, "iso": f"{year}-06-01"} for year in years]
    printed_years = [note["year"] for note in printed.notes({"years": years, "notes": notes}, "P1")]
    assert printed_years == years[:0:-1]


@pytest.mark.parametrize(("most", "bar"), [(329.9, (165.0, "165 feet")), (330.0, (330.0, "330 feet"))])
def test_the_longest_scale_bar_that_fits_is_drawn(most, bar):
    """At a foot a pixel 330 feet fit into 330 pixels, not into less."""
    assert drawing.scale_bar(1.0, most) == bar

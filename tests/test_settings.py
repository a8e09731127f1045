"""place.toml: every accepted setting acts or is refused; grows with the keys that woodlot.place.settings declares."""

import ast
import importlib.util
import random
import sys
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from woodlot import columns, trade
from woodlot.column_kinds import cell_type, words_of
from woodlot.deer.options import DeerSettings
from woodlot.place import read
from woodlot.place.lists import LISTS
from woodlot.place.settings import SETTINGS, read_settings
from woodlot.place.settings_together import BESIDE, set_aside
from woodlot.region import shipped

PACKAGE = Path(__file__).parent.parent / "woodlot"


def _trial():
    name = "woodlot_tests_settings_trial"
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, Path(__file__).parent / "trials" / "settings_trial.py")
        sys.modules[name] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


trial = _trial()
KEYS, LIST_KEYS = list(trial.keys()), trial.list_keys()
#: Keys of yes or no that are no unless they are said, and tags.
ONE_VALUE = (
    "choices.burn_logs", "choices.woodpile_teaches",
    "needs.chip_stems", "deer.neighbors_join", "limits.tags_buck", "limits.tags_doe",
    "rasters_at_plots.use", "rasters_at_plots.by_picture"
)  # fmt: skip
CHEAP = [key for key in KEYS if trial.chapter(key) in ("herd", "hunt", "scale", "walk", "fell")]


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """The place of the trial, and what was asked of it."""
    return trial.Trial(tmp_path_factory.mktemp("trial") / "forty")


@pytest.fixture
def settle(tmp_path):
    """A function from the parts of place.toml to what is read of them, faults and notes."""

    def read_back(**parts):
        (tmp_path / "place.toml").write_text(trial.text(parts))
        faults, notes = [], []
        return read_settings(tmp_path, None, faults, notes), faults, notes

    return read_back


@pytest.mark.parametrize("key", random.Random(7).sample(CHEAP, 6))
def test_a_setting_drawn_moves_what_its_chapter_says(place, key):
    """One value of it, in a place where it can matter; the trial does so with all of them."""
    value = random.Random(f"7 {key}").choice(trial.values(key))
    told = place.tell(key, value, trial.chapter(key))
    assert told.moved, f"{key} = {value!r} {told.refused or told.stopped or 'moves nothing'}"


@pytest.mark.parametrize("key", [key for key in KEYS if key.startswith("rasters_at_plots")])
def test_each_setting_of_rasters_at_plots_acts(place, key):
    """Every value of each takes the help away, or gives it."""
    for value in trial.values(key):
        told = place.tell(key, value, "cruise")
        assert told.moved.startswith(("stands[0].basal", "rows[0]")), (value, told)


def test_each_word_for_edges_moves_what_stands(place):
    """One plot lies by the line: all of what it may have lost is added, half of it where nobody said, or nothing."""
    for value in trial.values("cruise.edges"):
        told = place.tell("cruise.edges", value, "cruise")
        assert told.moved.startswith("stands[0].basal"), (value, told)


@pytest.mark.parametrize("key", random.Random(8).sample(LIST_KEYS, 5))
def test_a_key_of_a_list_drawn_moves_what_its_verb_says(place, key):
    """One value of it; the trial does so with all of them."""
    value = random.Random(f"8 {key}").choice(trial.values(key))
    told = place.tell(key, value, trial.chapter(key))
    assert told.moved, f"{key} = {value!r} {told.refused or told.stopped or 'moves nothing'}"


@pytest.mark.parametrize("key", LIST_KEYS)
def test_every_value_of_a_list_is_accepted(settle, key):
    """Read without a fault in an entry that has what it needs."""
    part, name = key.split(".")
    for value in trial.values(key):
        beside = trial.CASES[key].beside.get(part, {})
        told, faults, _ = settle(**trial.BASE, **{part: [trial.ENTRY[part] | beside | {name: value}]})
        assert faults == [] and name in getattr(told, {"prism": "prisms"}.get(part, part))[0]


POLES = {"product": "pole", "number": 6}


@pytest.mark.parametrize(
    ("lists", "where", "words"),
    [
        (
            {"wants": [POLES | {"by": date(2026, 5, 1), "asked": date(2026, 6, 1)}]},
            "wants, number 1",
            "is before 2026-06-01",
        ),
        ({"wants": [POLES, POLES | {"number": -3}]}, "wants, number 2, number", "Cannot be negative. Did you mean 3?"),
        ({"wants": [POLES | {"often": "each year", "by": date(2026, 5, 1)}]}, "wants, number 1", "has no last day"),
        (
            {"wants": [POLES | {"top_in": 8, "butt_in": 6}]},
            "wants, number 1",
            "has to be thicker than its least thin end",
        ),
        ({"wants": [POLES | {"often": "yearly!"}]}, "wants, number 1, often", "Must be once or each year."),
        ({"wants": [{"product": "pole"}]}, "wants, number 1, number", ""),
        ({"wants": [POLES | {"porpose": "barn"}]}, "wants, number 1, porpose", "Did you mean purpose?"),
        ({"wants": POLES}, "wants", "[[wants]]"),
        ({"builds": [{"name": "fence", "number": 0}]}, "builds, number 1, number", "Smaller than 0.01"),
        ({"builds": [{"number": 2}]}, "builds, number 1, name", ""),
    ],
)
def test_an_entry_of_a_list_that_cannot_be_is_a_fault(settle, lists, where, words):
    """With its number in the list, beside a sound part [needs]."""
    _, faults, _ = settle(needs={"posts": 3}, **lists)
    assert [fault.column for fault in faults] == [where] and words in faults[0].remedy, faults


def test_all_wrong_entries_are_named_in_one_pass(settle):
    """Of both lists and of needs."""
    wrong = {"wants": [POLES | {"number": -3}, {"product": "plank", "number": 1}], "builds": [{"name": 3}]}
    _, faults, _ = settle(needs={"posts": -1}, **wrong)
    assert {fault.column for fault in faults} == {
        "needs.posts",
        "wants, number 1, number",
        "wants, number 2, product",
        "builds, number 1, name",
    }


@pytest.mark.parametrize(
    ("needs", "told"),
    [
        ({"firewood_cord": 7.0}, "Counted as half northern red oak and half red maple, 160 million Btu a winter"),
        ({"firewood_cord": 7.0, "firewood_of": "aspen"}, ""),
        ({"firewood_cord": 0.0}, ""),
        ({"heat_mmbtu": 150.0}, ""),
        ({"oil_gal": 500.0}, ""),
    ],
)
def test_cords_of_what_wood_is_asked_where_cords_are_written(settle, needs, told):
    """7 x 22.26 = 156 million Btu; heat and fuel are no cords of anything."""
    asked = [note for note in settle(needs=needs)[2] if "cords of what wood" in note]
    assert len(asked) == bool(told) and told in "".join(asked)


@pytest.mark.parametrize(
    ("parts", "told"),
    [
        ({"needs": {"posts": 200}}, "needs.posts is wanted once"),
        ({"needs": {"poles": 2, "pieces": [POLES]}}, "needs.poles and needs.pieces are wanted once"),
        ({"needs": {"pieces": [POLES | {"often": "each year"}], "firewood_of": "oak", "firewood_cord": 3}}, ""),
        ({"wants": [POLES | {"asked": date(2026, 1, 1)}]}, ""),
        (
            {"wants": [POLES, POLES | {"asked": date(2026, 1, 1)}], "builds": [{"name": "fence"}]},
            "wants and builds are",
        ),
        ({"wants": [{"product": "chips", "number": 3}]}, ""),
    ],
)
def test_what_is_wanted_once_without_a_day_is_said_in_one_line(settle, parts, told):
    """From when notes count for it, and how earlier ones would."""
    notes = [note for note in settle(**parts)[2] if "asked = DAY" in note]
    assert len(notes) == bool(told) and told in "".join(notes)


@pytest.mark.parametrize("key", KEYS)
def test_every_value_the_trial_sets_is_one_that_is_accepted(settle, key):
    """Two values or more of each key but yes or no and tags; each is read without a fault beside what it needs."""
    part, name = key.split(".")
    values = trial.values(key)
    assert len(values) > 1 or key in ONE_VALUE
    beside = trial.CASES.get(key, trial.Case()).beside
    for value in values:
        parts = {p: {**trial.BASE[p], **beside.get(p, {})} for p in trial.BASE}
        told, faults, _ = settle(**parts | {part: parts[part] | {name: value}})
        assert faults == []
        there = told.home if part == "home" else getattr(told, part)
        assert there is not None and (part == "home" or name in dict(there))


@cache
def read_names() -> set[str]:
    """Names of fields and keys in all files but those that declare what stands in place.toml."""
    found = set()
    for path in PACKAGE.rglob("*.py"):
        if path.name not in ("settings.py", "settings_together.py", "options.py", "starting.py"):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            found |= {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
            found |= {str(node.value) for node in ast.walk(tree) if isinstance(node, ast.Constant)}
    return found


@pytest.mark.parametrize("key", KEYS)
def test_a_key_is_read_somewhere_else(key):
    """Its name stands in a file that is not its declaration: as a field of the deer's settings, or as a key."""
    assert key.split(".")[1] in read_names()


def slip(word: str) -> str:
    """A word with its last letter written twice."""
    return word + word[-1]


WORDED = [key for key in KEYS if words_of(trial.keys()[key])]


@pytest.mark.parametrize("key", WORDED)
def test_a_slip_in_a_word_of_place_toml_is_refused_with_the_closest(settle, key):
    """In the one sentence; every word of the list, and every other word for one, is read as its key."""
    part, name = key.split(".")
    words = words_of(trial.keys()[key])
    for word in words.values():
        _, faults, _ = settle(**{part: {name: slip(word.key)}})
        assert [fault.remedy for fault in faults] == [trade.unknown(slip(word.key), words)]
        assert faults[0].remedy.endswith(f"Did you mean {word.key}?") and faults[0].column == key
        for said in (word.key.upper(), *word.also):
            told, faults, _ = settle(**{part: {name: said}})
            assert faults == [] and dict(getattr(told, part))[name] == word.key
    _, faults, _ = settle(**{part: {name: 3}})
    assert [fault.remedy for fault in faults] == [trade.unknown("3", words)]


@pytest.mark.parametrize(
    ("table", "name"),
    [(t, n) for t, model in columns.TABLES.items() for n, f in model.model_fields.items() if words_of(f)],
)
def test_a_slip_in_a_word_of_a_table_gets_the_same_sentence(table, name):
    """Each column with a closed list, read as cells are."""
    from woodlot.place.cells import validate
    from woodlot.place.remedies import cell_remedy

    declared = columns.TABLES[table].model_fields[name]
    words = words_of(declared)
    checked, kind = cell_type(declared)
    good, errors = validate(checked, [*(word.upper() for word in words), "xyzzy"])
    assert good == [*words, None]
    (error,) = errors.values()
    assert cell_remedy("xyzzy", error, kind, "") == trade.unknown("xyzzy", words)


def test_a_word_with_a_blank_is_read_where_the_key_has_a_line():
    """Deer stand is deer_stand."""
    from woodlot.place.cells import validate

    checked, _ = cell_type(columns.TABLES["features"].model_fields["kind"])
    assert validate(checked, ["Deer  stand"]) == (["deer_stand"], {})


@pytest.mark.parametrize("key", list(BESIDE))
def test_a_key_that_says_nothing_by_itself_is_refused(settle, key):
    """What it needs is said; with one of them beside it, it is read."""
    part, name = key.split(".")
    value = trial.values(key)[0]
    _, faults, _ = settle(**{part: {name: value}})
    (fault,) = [fault for fault in faults if fault.column == key]
    assert fault.remedy == f"Says nothing by itself. Write {' or '.join(BESIDE[key])} beside it, or take it out."
    other = BESIDE[key][0]
    beside = {name: value, other: 10_000.0 if other == "degree_days_f" else 200.0}
    _, faults, _ = settle(**{part: beside})
    assert key not in [fault.column for fault in faults if fault.remedy.startswith("Says nothing")]


@pytest.mark.parametrize(
    ("part", "there", "refused"),
    [
        ("needs", {"firewood_low_cord": 8, "firewood_cord": 6}, ["needs.firewood_low_cord: 8"]),
        ("needs", {"firewood_cord": 6, "firewood_high_cord": 5}, ["needs.firewood_cord: 6"]),
        ("needs", {"firewood_low_cord": 6, "firewood_cord": 6, "firewood_high_cord": 6}, []),
        ("deer", {"state_low_per_sqmi": 30, "state_high_per_sqmi": 10}, ["deer.state_low_per_sqmi: 30"]),
        (
            "deer",
            {"state_low_per_sqmi": 10, "state_per_sqmi": 40, "state_high_per_sqmi": 30},
            ["deer.state_per_sqmi: 40"],
        ),
    ],
)
def test_a_low_above_its_high_is_refused(settle, part, there, refused):
    """By its key and number, with the other one."""
    _, faults, _ = settle(**{part: there})
    assert [f"{fault.column}: {fault.found}" for fault in faults] == refused
    assert all(fault.remedy.startswith("Larger than ") for fault in faults)


@pytest.mark.parametrize(
    ("needs", "words"),
    [
        ({"firewood_cord": 6.0, "firewood_low_cord": 5.0}, []),
        ({"firewood_cord": 6.0, "oil_gal": 300.0}, ["needs.oil_gal is not read: firewood_cord goes before."]),
        (
            {"burned_cord": 2.0, "season_gone_pct": 40.0, "firewood_cord": 6.0, "firewood_low_cord": 5.0},
            ["needs.firewood_low_cord is not read: burned_cord with season_gone_pct goes before."],
        ),
        (
            {
                "house_loss_btu_per_h_f": 400.0,
                "degree_days_f": 9000.0,
                "oil_gal": 1.0,
                "propane_gal": 1.0,
                "stove_pct": 60,
            },
            ["needs.oil_gal, propane_gal are not read: house_loss_btu_per_h_f with degree_days_f goes before."],
        ),
        ({"oil_gal": 300.0, "stove_pct": 60.0}, []),
        ({"heat_mmbtu": 90.0, "oil_gal": 300.0}, ["needs.oil_gal is not read: heat_mmbtu goes before."]),
        ({"heat_mmbtu": 90.0, "firewood_cord": 3.0}, ["needs.heat_mmbtu is not read: firewood_cord goes before."]),
        ({"burned_cord": 2.0, "firewood_cord": 6.0}, []),
        ({}, []),
    ],
)
def test_a_need_that_another_goes_before_is_said(settle, needs, words):
    """As `heating.cords_needed` takes them; the firewood of a year is read by the schedule all the same."""
    assert set_aside(needs) == words
    told = [note for note in settle(needs=needs)[2] if "not read" in note]
    assert told == [f"place.toml: {said}" for said in words]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ({"product": "firewood", "number": 2.0, "length_ft": 4.0}, "Firewood has no size here. Take out length_ft."),
        ({"product": "chips", "number": 2.0, "top_in": 4.0, "butt_in": 9.0}, "Take out top_in and butt_in."),
        (
            {"product": "post", "number": 2.0, "lasting": True, "wood": "any"},
            "Of lasting and wood only one can be read.",
        ),
        ({"product": "post", "number": 2.0, "lasting": False, "wood": "any"}, ""),
        (
            {"product": "posst", "number": 2.0},
            "Must be post, pole, sawlog, board feet, firewood or chips. Did you mean",
        ),
        ({"product": "Posts", "number": 2.0, "length_ft": 7.0}, ""),
    ],
)
def test_a_line_of_pieces_holds_nothing_that_is_not_read(settle, line, words):
    """A size of what has none, two woods, a product nobody knows."""
    _, faults, _ = settle(needs={"pieces": [line]})
    assert (words in faults[0].remedy and len(faults) == 1) if words else faults == []


def test_kinds_of_the_preference_go_by_the_names_of_browse(small_place):
    """A nickname is its kind, a shrub nobody listed is kept, a slip is refused with the closest."""
    there = '[deer]\npreference = { "hard maple" = "Third", "gorse" = "avoided", "beaked hazel" = "second" }\n'
    small_place.change("place.toml", "[deer]\n", there)
    told = read(small_place.folder).deer.preference
    assert told == {"sugar maple": "third", "gorse": "avoided", "beaked hazel": "second"}
    small_place.change("place.toml", "beaked hazel", "beaked hazl")
    with pytest.raises(ValueError, match=r"deer\.preference: beaked hazl\n.*Closest: beaked hazel"):
        read(small_place.folder)


def test_the_family_is_told_of_no_deep_snow_it_has_written_of():
    """The caution that asks for the weeks of deep snow goes when they are written."""
    import geopandas as gpd
    import pandas as pd
    import shapely

    from woodlot.deer.record import record
    from woodlot.say.reasons import said

    box = shapely.box(-90, 46, -89.99, 46.01)
    stands = gpd.GeoDataFrame({"cover": ["cedar swamp"]}, geometry=[box], crs=4326)
    plots = [(y, i) for y in (2024, 2025, 2026) for i in range(60)]
    day = [pd.Timestamp(y, 4, 20) for y, _ in plots]
    rows = pd.DataFrame({"plot_id": [str(p) for p in plots], "line": ["ABCDEF"[i % 6] for _, i in plots], "date": day})
    rows = rows.assign(groups=1, days=175, radius_ft=4.0)
    asks = []
    for weeks in (None, 1.0):
        options = DeerSettings(weeks_of_deep_snow=weeks)
        told = record(stands, year=2026, pellets=rows, stands=stands, options=options, region=shipped("lake_states"))
        asks.append(any("write the weeks of deep snow down" in said(why) for why in told.cautions))
    assert asks == [True, False]


def test_the_choices_of_the_region_stand_where_the_family_makes_none(settle):
    """Level and breaks of the map too; what the family writes goes before."""
    told, _, _ = settle(choices={})
    assert {"level", "cord_breaks", "log_rule", "division", "solid_cuft_per_cord"} <= set(told.choices)
    assert told.choices["level"] == shipped("lake_states").choice("level")
    assert settle(choices={"level": 0.8})[0].choices["level"] == 0.8


def test_every_part_is_walked():
    """No part of place.toml without keys, and every case is of a key that is there."""
    assert {key.split(".")[0] for key in KEYS} == set(SETTINGS)
    assert set(trial.CASES) <= {*KEYS, *LIST_KEYS} and {key.split(".")[0] for key in LIST_KEYS} == set(LISTS)

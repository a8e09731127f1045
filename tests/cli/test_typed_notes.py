"""Notes of sick trees, weather, lines and photos: written typed, and told wherever they bear on something."""

import json

import pytest
from click.testing import CliRunner

from woodlot import place
from woodlot.cli import main

SICK = (
    "--kind",
    "sick trees",
    "--amount",
    "12",
    "--species",
    "white ash",
    "--stand",
    "1",
    "--text",
    "dying trees, the creek",
)


def woodlot(*arguments: object):
    """A run of the command in this process."""
    told = CliRunner().invoke(main, [str(a) for a in arguments])
    assert told.exception is None or isinstance(told.exception, SystemExit), repr(told.exception)
    return told


def last(small_place):
    """Cells of the last line of the ledger, those that hold something."""
    row = place.read_ledger(small_place.folder)[0].iloc[-1].to_dict()
    return {name: value for name, value in row.items() if value == value and value is not None}


@pytest.mark.parametrize(
    ("words", "cells"),
    [
        (("ice", "storm"), {"kind": "weather", "text": "ice storm"}),
        (("walked", "the", "line", "--parcel", "home"), {"kind": "boundary", "text": "walked the line"}),
        (("planted", "50", "--species", "hard maple"), {"kind": "planted", "species": "sugar maple", "amount": 50.0}),
        (("weather", "--amount", "-20", "--unit", "F", "--text", "cold"), {"unit": "f", "amount": -20.0}),
        (("firewood", "2", "--species", "red oak"), {"species": "northern red oak", "unit": "cord"}),
        (
            ("deer", "--sex-age", "doe", "--age-yr", "3.5", "--dressed-lb", "98", "--milk", "no"),
            {"sex_age": "doe", "age_yr": 3.5, "dressed_lb": 98.0, "milk": "dry"},
        ),
    ],
)
def test_a_note_stands_in_its_columns(small_place, words, cells):
    """What is typed is typed in the ledger; the words hold nothing that a column holds."""
    told = woodlot("note", small_place.folder, *words)
    assert told.exit_code == 0, told.output
    line = last(small_place)
    assert {name: line[name] for name in cells} == cells
    assert "text" in cells or line.get("text", "") in ("", "cold")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("planted", "4", "--species", "sugar mapel"), "Closest: sugar maple"),
        (("planted", "4", "--species", "tulgey"), "Species 'tulgey'"),
        (("boundary", "3"), "Boundary takes no amount"),
        (("weather", "14"), "What was it? say it in --text"),
        (("photo",), "Which file is it? add --photo with it"),
    ],
)
def test_what_does_not_belong_is_said_and_nothing_is_written(small_place, words, said):
    """By the command; no ledger is begun."""
    told = woodlot("note", small_place.folder, *words)
    assert told.exit_code == 1 and said in " ".join(told.output.split())
    assert not (small_place.folder / "ledger.csv").exists()


def test_a_photo_is_copied_named_and_missed(small_place, tmp_path):
    """The copy is the place's own; walk says when it is gone or changed, report and answers name it."""
    (tmp_path / "ash.jpg").write_bytes(b"a picture")
    told = woodlot("note", small_place.folder, *SICK, "--photo", tmp_path / "ash.jpg")
    assert told.exit_code == 0 and "photo ash.jpg" in " ".join(told.stdout.split())
    assert (small_place.folder / "photos" / "ash.jpg").read_bytes() == b"a picture"
    assert "its photo" not in woodlot("walk", small_place.folder).stdout
    (small_place.folder / "photos" / "ash.jpg").write_bytes(b"other")
    assert "its photo ash.jpg is not the file" in " ".join(woodlot("walk", small_place.folder).stdout.split())


def test_what_is_noted_is_told_by_every_verb_alike(small_place):
    """Sick ash after the plots and a storm: walk, cruise, cut, plan, its map and report; no number moves."""
    before = json.loads(woodlot("plan", small_place.folder, "--json").stdout)
    for line in (SICK, ("ice", "storm"), ("walked", "the", "line", "--parcel", "home")):
        assert woodlot("note", small_place.folder, *line).exit_code == 0
    plan = json.loads(woodlot("plan", small_place.folder, "--json").stdout)
    stand = plan["stands"][0]
    sick = stand["noted"][0]
    assert sick.startswith("Sick trees noted: 12 white ash, dying (") and "measure again" in sick
    assert any("licensed people" in one for one in stand["cautions"])
    assert any(one.startswith("Dead ash.") for one in stand["cautions"])
    assert sum("measure again" in one for one in plan["measure_next"]) == 2
    assert plan["parcels"][0]["lines_walked"].startswith("Lines last walked ")
    assert {"ice on", "lines of"} <= {" ".join(one.split()[:2]) for one in plan["changed"]["words"]}
    assert before["totals"] == plan["totals"] and before["stands"][0]["cords"] == stand["cords"]
    said = sick[0].lower() + sick[1:]
    for verb in ("walk", "cruise", "cut"):
        assert f"Stand 1: {said}" in " ".join(woodlot(verb, small_place.folder).stdout.split()), verb
    for page in ("map.html", "report.html"):
        text = (small_place.folder / "out" / page).read_text(encoding="utf-8")
        assert sick.removesuffix(".") in text and plan["parcels"][0]["lines_walked"] in text, page


def test_every_kind_is_listed_with_what_it_takes():
    """Without a place, on the screen and as JSON."""
    assert "Weather: in inches or degrees F; --text must be there; says storm" in woodlot("note", "--kinds").stdout
    rows = {row["kind"]: row for row in json.loads(woodlot("note", "--kinds", "--json").stdout)}
    assert rows["deer"]["must"] == ["sex_age"] and "species" in rows["sick trees"]["may"]


def test_a_sheet_of_old_notes_is_typed(small_place, tmp_path):
    """Plantings with their number and kind, weather, walked lines; wood that was cut stays wood."""
    (tmp_path / "old.csv").write_text(
        "Date,What,How much\n2026-05-01,planted 50 white pine,\n2026-05-02,walked the line by the creek,\n"
        "2026-05-03,ice storm,\n2026-05-04,12 dying trees (ash),\n2026-05-05,cut dead trees,2 cords\n"
        "2026-05-06,saw dead trees,\n2026-05-07,deep snow,14 inches\n2026-05-08,storm wood,3 cords\n"
    )
    assert woodlot("note", small_place.folder, "--from", tmp_path / "old.csv").exit_code == 0
    lines = place.read_ledger(small_place.folder)[0].astype(object)
    told = lines[["kind", "species", "amount", "unit"]].where(lines.notna(), None).to_numpy().tolist()
    assert told == [
        ["planted", "eastern white pine", 50.0, "piece"],
        ["boundary", None, None, None],
        ["weather", None, None, None],
        ["sick trees", "ash", 12.0, "piece"],
        ["firewood", None, 2.0, "cord"],
        ["seen", None, None, None],
        ["weather", None, 14.0, "in"],
        ["note", None, 3.0, "cord"],
    ]


@pytest.mark.parametrize(
    ("typed", "cells"),
    [
        ("seen two moose", {"kind": "seen", "text": "two moose"}),
        ("weather ice storm", {"kind": "weather", "text": "ice storm"}),
        ("boundary walked", {"kind": "boundary", "text": "walked"}),
        ("built woodshed", {"kind": "built", "text": "woodshed", "amount": 1.0}),
        ("deer doe", {"kind": "deer", "sex_age": "doe", "amount": 1.0}),
        ("seen moose --text by the creek", {"kind": "seen", "text": "moose; by the creek"}),
        ("sick trees 6", {"kind": "sick trees", "amount": 6.0}),
    ],
)
def test_words_behind_a_kind_are_its_words_and_no_number_is_asked_for(small_place, typed, cells):
    """As people say it; told back with its words."""
    words, _, text = typed.partition(" --text ")
    told = woodlot("note", small_place.folder, *words.split(), *(["--text", text] if text else []), "--json")
    assert told.exit_code == 0, told.output
    line = json.loads(told.stdout)
    assert {name: line.get(name) for name in cells} == cells


def test_a_first_word_that_is_no_folder_and_no_kind_is_the_one_that_is_named(small_place):
    """It is not the number behind it that is wrong."""
    told = woodlot("note", "fungus", "3")
    assert told.exit_code == 1 and "Kind 'fungus'" in told.stderr

"""What reaches the screen: no wider than it is, plain letters, honest JSON, and faults in words."""

import json
import os
import subprocess
import sys
import warnings
from datetime import date, datetime
from pathlib import Path

import click
import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
from click.testing import CliRunner
from shapely import Point

from woodlot.cli import VERBS, main, show
from woodlot.errors import Fault, InputError, NoAnswer, PlaceError, WoodlotWarning
from woodlot.estimate import Estimate
from woodlot.ledger import checksum
from woodlot.say import layout
from woodlot.say.column import Column, Table
from woodlot.say.tables import SCALE_SPECIES

COMMANDS = {name: main.get_command(click.Context(main), name) for name in VERBS}


def run(body, arguments=()):
    """What a verb with this body prints and how it ends."""

    @click.command()
    @click.argument("place", default=".")
    @show.plain_faults
    def verb(place):
        body()

    return CliRunner().invoke(verb, list(arguments))


def shown(body) -> str:
    """Standard output of a verb with this body, which must end well."""
    told = run(body)
    assert told.exit_code == 0 and told.stderr == "", told.output
    return told.stdout


def of(key, head, unit="", narrow=True) -> Column:
    """A column that shows what the row has."""
    return Column(key, head, lambda row: row.get(key), unit, narrow)


def tabled(rows, *columns, title="", **heads) -> list[str]:
    """The lines of a table with these rows and columns."""
    table = Table("rows", title, lambda told: told["rows"], columns)
    return shown(lambda: show.table(table, {"rows": rows}, **heads)).splitlines()


@pytest.fixture
def columns(monkeypatch):
    """A function that makes the screen so many columns wide; without a call it is a pipe."""
    monkeypatch.delenv("COLUMNS", raising=False)
    monkeypatch.setattr(os, "get_terminal_size", lambda *_: os.terminal_size((0, 0)))
    return lambda number: monkeypatch.setenv("COLUMNS", str(number))


def test_sentences_are_wrapped_at_80_columns(columns):
    """Without a terminal; long words are not torn; later lines hang."""
    text = shown(lambda: show.say("one " * 50 + "a" * 90, indent=2, hang=4))
    lines = text.splitlines()
    assert all(len(line) <= 80 for line in lines[:-1]) and lines[-1].strip() == "a" * 90
    assert len(lines[0]) > 76 and lines[0].startswith("  one") and lines[1].startswith("    one")


@pytest.mark.parametrize(("number", "wide"), [(1, 40), (39, 40), (40, 40), (61, 61), (140, 140), (900, 140)])
def test_the_screen_is_as_wide_as_its_terminal(columns, number, wide):
    """COLUMNS is followed from 40 to 140; a pipe has 80."""
    assert show.width() == 80
    columns(number)
    assert show.width() == wide


def test_sentences_end_at_100_columns(columns):
    """A wider line cannot be read; a table may be wider."""
    columns(140)
    first, *_ = shown(lambda: show.say("one " * 50)).splitlines()
    assert len(first) == 99
    assert len(tabled([{"name": "one " * 32}], of("name", "name"))[1]) == 129


def test_a_narrow_screen_indents_little(columns):
    """What hangs at 22 columns of 80 hangs at six of 40, and an answer's topic stands before it without a gap."""
    columns(60)
    wide = shown(lambda: show.fact("Wood", "57 cords.", "Of ten plots.", at=22)).splitlines()
    assert wide == ["  Wood:" + " " * 15 + "57 cords.", " " * 22 + "Of ten plots."]
    columns(59)
    narrow = shown(lambda: show.fact("Wood", "57 cords." + " and" * 12, "Of ten plots.", at=22)).splitlines()
    assert narrow == [
        "  Wood: 57 cords. and and and and and and and and and and",
        "      and and.",
        "      Of ten plots.",
    ]


def test_our_typography_becomes_ascii_and_names_stay():
    """Dashes, hard blanks and marks turn into ASCII; Björk stays Björk."""
    assert shown(lambda: show.say("17–28\u00a0cords ≈9 †, Björk's")) == "17-28 cords ~9 m, Björk's\n"


def test_no_text_can_move_the_cursor():
    """Escape codes, bells and letters that turn the line round come out as question marks."""
    text = shown(lambda: show.say("a\x1b[2Jb\x07c\u202ed"))
    assert text == "a?[2Jb?c?d\n"


def test_a_terminal_without_the_letter_gets_a_question_mark():
    """A narrow encoding is no reason to fail."""
    script = "from woodlot.cli import show; show.say('Bj\\u00f6rk \\u6728')"
    run_ = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, env={**os.environ, "PYTHONIOENCODING": "ascii"}
    )
    assert (run_.returncode, run_.stdout) == (0, b"Bj?rk ?\n")


def test_a_table_by_hand(columns):
    """Title, numbers to the right, rounded as their unit is; missing cells empty; a heading may name a value."""
    rows = [
        {"stand": "6", "name": "Corner forty", "acres": 13.24, "cords": 13.4, "plots": 3, "open": np.bool_(True)},
        {"stand": "11", "name": None, "acres": float("nan"), "cords": 0.0, "plots": 12, "open": False, "why": "CSV"},
    ]
    heads = (of("stand", "stand"), of("name", "parcel"), of("acres", "acres", "acres"), of("cords", "{what}", "cords"))
    lines = tabled(rows, *heads, of("plots", "plots"), of("open", "open"), of("why", ""), title="When", what="cords")
    assert lines == [
        "When",
        "  stand  parcel        acres  cords  plots  open",
        "  6      Corner forty   13.2     13      3  yes",
        "  11                              0     12  no",
    ]


def test_a_name_with_a_hyphen_stays_whole_when_its_cell_is_narrow():
    """A cell breaks between words alone."""
    assert layout._wrapped("northern white-cedar", 16) == ["northern", "white-cedar"]
    assert layout._wrapped("northern white-cedar", 20) == ["northern white-cedar"]


def test_a_cell_goes_on_below_itself(columns):
    """Where the row is too long the widest cell gives way, at a blank; no other cell moves below."""
    columns(40)
    rows = [{"name": "Corner forty of the old Wendt place", "acres": 1234.56, "cover": "oak"}]
    assert tabled(rows, of("name", "name"), of("acres", "acres", "acres"), of("cover", "cover")) == [
        f"  {'name':<22}  {'acres':>7}  cover",
        f"  {'Corner forty of the':<22}  1,234.6  oak",
        "  old Wendt place",
    ]


def test_headings_give_way_before_cells(columns):
    """Where headings of two lines are enough, every row stays one line; a heading ends just above its column."""
    columns(40)
    rows = [{"name": "northern hardwoods", "a": 1.0, "b": 2.0}]
    assert tabled(rows, of("name", "name"), of("a", "trees an acre", "miles"), of("b", "inches", "miles")) == [
        f"  {'':<18}  {'trees an':>10}",
        f"  {'name':<18}  {'acre':>10}  inches",
        f"  {'northern hardwoods':<18}  {'1.0':>10}     2.0",
    ]


def test_a_word_is_broken_only_where_it_is_longer_than_half_a_line(columns):
    """A name of 19 letters stays whole and the cell beside it gives way; one of 50 goes on below itself."""
    columns(40)
    rows = [{"who": "Johannsdottir-Wendt", "what": "a doe and her fawns under the rim"}]
    lines = tabled(rows, of("who", "who"), of("what", "what"))
    assert lines[1] == "  Johannsdottir-Wendt  a doe and her" and lines[2] == " " * 23 + "fawns under the"
    lines = tabled([{"who": "x" * 50, "what": "a doe"}], of("who", "who"), of("what", "what"))
    assert all(len(line) <= 40 for line in lines) and sum(line.count("x") for line in lines) == 50
    assert lines[1].endswith("  a doe")


def test_columns_go_below_their_row_on_a_narrow_screen(columns):
    """Under 60 columns, with their headings, empty ones left out; the others stand in the row."""
    rows = [
        {"stand": "1", "cords": 57.0, "cover": "northern hardwoods", "acres": 20.4},
        {"stand": "2", "cords": 4.0, "cover": None, "acres": 3.0},
        {"stand": "3", "cords": None, "cover": "", "acres": None},
    ]
    heads = (of("stand", "stand"), of("cover", "cover", narrow=False), of("cords", "cords", "cords"))
    heads += (of("acres", "an acre", "acres", narrow=False),)
    columns(60)
    assert tabled(rows, *heads)[1] == "  1      northern hardwoods     57     20.4"
    columns(59)
    assert tabled(rows, *heads) == [
        "  stand  cords",
        "  1         57",
        "    cover northern hardwoods; an acre 20.4",
        "  2        4.0",
        "    an acre 3.0",
        "  3",
    ]


def test_columns_that_find_no_room_go_below(columns):
    """However many there are: the last ones first, no number broken, no line too long, a heading never torn from it."""
    columns(40)
    keys = [f"cords of kind {n}" for n in range(9)]
    lines = tabled([dict.fromkeys(keys, 123456.0)], *(of(key, key, "acres") for key in keys))
    assert all(len(line) <= 40 for line in lines)
    assert " ".join(lines).count("123,456.0") == 9
    below = [key for key in keys if any(f"{key} 123,456.0" in line for line in lines)]
    assert below == keys[3:]


@pytest.mark.parametrize("ends", [(900.0, 1600.0), (110000.0, 190000.0)])
def test_a_range_is_never_torn(columns, ends):
    """Beside the longest name that stays whole there is no room for it: it goes below, on one line."""
    columns(40)
    cords = {"value": 1200.0, "low": ends[0], "high": ends[1], "unit": "cords", "why": ""}
    told = {"species": [{"species": "x" * 19, "cords": cords}], "level": 0.9}
    lines = shown(lambda: show.table(SCALE_SPECIES, told)).splitlines()
    assert lines[-1] == f"    90% {ends[0]:,.0f} to {ends[1]:,.0f}" and "1,200" in lines[1]


def test_what_a_narrow_screen_can_spare_goes_below_first(columns):
    """Six numbers of nine letters find no room in 58: the last of the two that may go below does."""
    columns(60)
    heads = [of(key, key, "acres", narrow=key not in "ab") for key in "abcdef"]
    lines = tabled([dict.fromkeys("abcdef", 123456.0)], *heads)
    assert lines[0].split() == list("acdef") and lines[2] == "    b 123,456.0"


def test_a_table_without_rows_is_its_heading(columns):
    """Nothing to lay out is no fault."""
    assert tabled([], of("stand", "stand"), of("cords", "cords", "cords")) == ["  stand  cords"]


def test_the_title_ends_at_the_right_edge(columns):
    """Name on the left, day on the right; a long name goes on below."""
    long = "A name that is much too long for one line " * 3
    for number, wide in ((80, 80), (40, 40), (140, 100)):
        columns(number)
        first, *rest = shown(lambda: show.title(long, date(2026, 11, 25))).splitlines()
        assert len(first) == wide and first.endswith("  25 November 2026") and rest
        assert f"{first[:-16]} {' '.join(rest)}".split() == long.split()
    assert shown(lambda: show.title("Kettle", date(2026, 11, 25))) == "Kettle" + " " * 78 + "25 November 2026\n"


def test_json_says_what_there_is_and_null_for_the_rest():
    """Unrounded numbers, days as 2026-11-25, missing as null, shapes left out, an Estimate with its parts."""
    frame = gpd.GeoDataFrame(
        {"stand_id": ["1", None], "acres": [1 / 3, np.nan], "day": pd.to_datetime(["2026-11-25", None])},
        geometry=[Point(0, 0)] * 2,
    )
    told = show.json_ready(
        {
            "frame": frame,
            "estimate": Estimate(value=2.5, unit="cords", df=float("inf"), low=1.0, high=float("inf"), kind="interval"),
            "numpy": [np.int64(3), np.float64("nan"), np.bool_(True), np.array([1.5, np.inf])],
            "missing": [None, pd.NA, pd.NaT, float("nan")],
            "when": [date(2026, 11, 25), datetime(2026, 11, 25, 7), pd.Timestamp("2026-11-25")],
            "path": Path("out/map.html"),
            1: ("a", {"b"}),
        }
    )
    assert json.loads(json.dumps(told, allow_nan=False)) == told
    assert told["frame"][0] == {"stand_id": "1", "acres": 1 / 3, "day": "2026-11-25"}
    assert told["frame"][1] == {"stand_id": None, "acres": None, "day": None}
    assert (
        told["estimate"]["value"] == 2.5 and told["estimate"]["high"] is None and told["estimate"]["kind"] == "interval"
    )
    assert told["numpy"] == [3, None, True, [1.5, None]]
    assert told["missing"] == [None] * 4 and told["when"] == ["2026-11-25"] * 3
    assert told["path"] == "out/map.html" and told["1"] == ["a", ["b"]]


def test_csv_holds_the_unrounded_frame(tmp_path):
    """--csv writes it whole, without shapes, and never over a family's own table."""
    frame = gpd.GeoDataFrame({"acres": [1 / 3], "own": 1}, geometry=[Point(0, 0)])
    table = Table("", "", lambda told: frame, (of("acres", "acres", "acres"),))
    told = run(lambda: show.deliver({}, table, tmp_path / "a.csv", False))
    assert told.exit_code == 0 and told.stdout == ""
    check = checksum([f"acres\n{1 / 3!r}\n"])
    assert (tmp_path / "a.csv").read_text() == f"acres,woodlot_check\n{1 / 3!r},{check}\n"
    (tmp_path / "place.toml").write_text("")
    told = run(lambda: show.deliver({}, table, tmp_path / "trees.csv", False))
    assert told.exit_code == 1 and "own files" in told.stderr and not (tmp_path / "trees.csv").exists()


def test_csv_holds_an_estimate_with_its_ends(tmp_path):
    """Rows of an answer: in their own order, each estimate as value, low and high, a star for what a region names."""
    cords = {"value": 57.123, "low": 46.0, "high": None, "unit": "cords"}
    rows = [{"stand": "1", "oak_cuft": 2.5, "cords": cords, "words": "x", "birch_cuft": 1.0}]
    columns = (of("cords", "cords", "cords"), of("*_cuft", ""), of("stand", "stand"), of("", "range"))
    told = run(lambda: show.deliver(rows, Table("", "", lambda told: told, columns), tmp_path / "a.csv", False))
    head, row = (line.split(",") for line in (tmp_path / "a.csv").read_text().splitlines())
    assert told.exit_code == 0 and head[:-1] == ["stand", "oak_cuft", "cords", "cords_low", "cords_high", "birch_cuft"]
    assert row[:-1] == ["1", "2.5", "57.123", "46.0", "", "1.0"]


@pytest.mark.parametrize("verb", [name for name, one in COMMANDS.items() if "csv_file" in {p.name for p in one.params}])
def test_no_verb_writes_its_table_over_a_file_it_did_not_make(small_place, verb):
    """Refused before the work: words, exit code 1, every file of the place as it was and none new."""
    (small_place.folder / "elevation.dem").write_bytes(b"\0" * 99)
    before = small_place.prints()
    for name in ("elevation.dem", "heights.tif"):
        told = CliRunner().invoke(main, [verb, str(small_place.folder), "--csv", str(small_place.folder / name)])
        assert told.exit_code == 1 and told.stdout == "" and "Give another name." in " ".join(told.stderr.split())
    assert small_place.prints() == before


WRITERS = ["plan", "map", "sheet", "fell", "scale --csv lists/scale.csv", "note --kind seen --text bear"]


@pytest.mark.parametrize("verb", [pytest.param(v, marks=() if v[:4] == "note" else pytest.mark.slow) for v in WRITERS])
def test_a_disk_that_refuses_is_said_by_every_verb_that_writes(small_place, verb):
    """No file may grow over 60 bytes: words, exit code 1, every file as it was and none new, not for a moment's use."""
    resource = pytest.importorskip("resource")
    small_place.thin("trees.csv", "tally.csv")
    before = small_place.prints()
    told = subprocess.run(
        [sys.executable, "-B", "-m", "woodlot", *verb.split()],
        cwd=small_place.folder,
        env=os.environ | {"PYTHONPATH": str(Path(show.__file__).parents[2])},
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (60, 60)),
        capture_output=True,
        text=True,
    )
    assert told.returncode == 1 and told.stdout == "" and "Traceback" not in told.stderr
    assert told.stderr.startswith("Stopped: the disk or the folder refused.")
    assert "make room" in " ".join(told.stderr.lower().split())
    assert small_place.prints() == before and {path.name for path in small_place.folder.iterdir()} == set(before)


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (InputError("there is no stand '99'; there are 1, 2"), "Stopped: There is no stand '99'; there are 1, 2.\n"),
        (NoAnswer("too few plots"), "Stopped: Too few plots.\n"),
        (PermissionError(13, "Permission denied", "trees.csv"), "Stopped: trees.csv: Permission denied.\n"),
    ],
)
def test_our_errors_are_words(error, said):
    """One sentence on standard error, exit code 1, nothing on standard output."""

    def body():
        raise error

    told = run(body)
    assert (told.exit_code, told.stdout, told.stderr) == (1, "", said)


def test_errors_that_are_not_ours_are_not_hidden():
    """A mistake in the program stays a traceback; only a user's mistake becomes words."""
    told = run(lambda: 1 / 0)
    assert isinstance(told.exception, ZeroDivisionError)


def test_a_fault_of_the_disk_does_not_ask_for_rows_to_be_mended():
    """A full disk is said as such."""

    def body():
        raise PlaceError([Fault("ledger.csv", None, "", "No space left", "Make room.")]) from OSError(
            28, "No space left"
        )

    told = run(body)
    assert told.exit_code == 1 and told.stderr.splitlines()[0] == "Stopped: the disk or the folder refused."
    assert "mend" not in told.stderr.lower()


def test_cautions_are_said_once():
    """Warnings of ours reach standard error in words, each once; those of others are left alone."""

    def body():
        for _ in range(3):
            warnings.warn("two plots lie outside the fitted range", WoodlotWarning, stacklevel=1)

    told = run(body)
    assert told.exit_code == 0 and told.stderr == "Caution: two plots lie outside the fitted range\n"

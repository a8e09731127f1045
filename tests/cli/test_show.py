"""What reaches the screen: 80 columns, plain letters, honest JSON, and faults in words."""

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
from woodlot.plan.ledger import checksum

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


def test_sentences_are_wrapped_at_80_columns():
    """Long words are not torn; later lines hang."""
    text = shown(lambda: show.say("one " * 50 + "a" * 90, indent=2, hang=4))
    lines = text.splitlines()
    assert all(len(line) <= 80 for line in lines[:-1]) and lines[-1].strip() == "a" * 90
    assert lines[0].startswith("  one") and lines[1].startswith("    one")


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


def test_a_table_by_hand():
    """Numbers to the right, rounded as their unit is; missing cells empty; text to the left."""
    rows = [
        {"stand": "6", "name": "Corner forty", "acres": 13.24, "cords": 13.4, "plots": 3},
        {"stand": "11", "name": None, "acres": float("nan"), "cords": 0.0, "plots": 12},
    ]
    heads = {"stand": ("stand", None), "name": ("parcel", None), "acres": ("acres", "acres")}
    text = shown(lambda: show.table(rows, heads | {"cords": ("cords", "cords"), "plots": ("plots", None)}))
    assert text.splitlines() == [
        "  stand  parcel        acres  cords  plots",
        "  6      Corner forty   13.2     13      3",
        "  11                              0     12",
    ]


def test_a_wide_table_is_cut_to_80_columns():
    """The widest text gives way; numbers never do."""
    frame = pd.DataFrame({"name": ["x" * 200], "words": ["y" * 30], "acres": [1234.56]})
    text = shown(
        lambda: show.table(frame, {"name": ("name", None), "words": ("words", None), "acres": ("acres", "acres")})
    )
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "1,234.6" in text and "..." in text and "\n\n" not in text


def test_the_title_ends_at_the_right_edge():
    """Name on the left, day on the right, 80 columns."""
    line = shown(lambda: show.title("A name that is much too long for one line " * 3, date(2026, 11, 25))).rstrip("\n")
    assert len(line) == 80 and line.endswith("  25 November 2026") and "..." in line


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
    frame = gpd.GeoDataFrame({"acres": [1 / 3]}, geometry=[Point(0, 0)])
    told = run(lambda: show.deliver({}, frame, tmp_path / "a.csv", False))
    assert told.exit_code == 0 and told.stdout == ""
    check = checksum([f"acres\n{1 / 3!r}\n"])
    assert (tmp_path / "a.csv").read_text() == f"acres,woodlot_check\n{1 / 3!r},{check}\n"
    (tmp_path / "place.toml").write_text("")
    told = run(lambda: show.deliver({}, frame, tmp_path / "trees.csv", False))
    assert told.exit_code == 1 and "own files" in told.stderr and not (tmp_path / "trees.csv").exists()


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

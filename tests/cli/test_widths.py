"""Every verb on screens from 40 to 140 columns: nothing wider than the screen, nothing cut, no number lost.

A verb is run once and what it shows is kept; that is then shown again at each width.
"""

import io
import re
import shutil
from collections import Counter
from contextlib import redirect_stderr, redirect_stdout
from functools import partial

import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot.answers.tables import flat
from woodlot.cli import VERBS, main, show
from woodlot.say import layout, tables
from woodlot.say.column import declared, texts

WIDTHS = (40, 60, 80, 100, 140)
DAY = "--as-of 2026-11-25"
TABLES = (
    *(f"walk P {DAY}", f"cruise P {DAY}", f"cruise P --stand 1 {DAY}", f"scale P {DAY}", f"grow P {DAY}"),
    *(f"cut P --years 20 --step 5 --more {DAY}", f"herd P --all {DAY}", f"hunt P --all {DAY}", f"plan P {DAY}"),
    *(f"fell P --all {DAY}", f"why cords P {DAY}", f"why take P {DAY}", f"what-if P {DAY}"),
)
OTTER = (
    "mend P --within 20 --dry-run",
    f"fell P {DAY}",
    "book P",
    "book P --winters",
    *(f"why {what} P {DAY}" for what in ("basal", "cut", "heat", "cover")),
)
WORDS = (
    f"walk nowhere {DAY}",
    "start new",
    "mend P --within 15",
    "bring P",
    "sheet P",
    f"map P {DAY}",
    f"group P {DAY}",
    "bundle --check P",
    "note P --kind seen --text bear",
    "note P --kind x",
)
CASES = [
    *(("outlines", run) for run in (*TABLES, *WORDS)),
    *(("first_forty", run) for run in TABLES),
    *(("long_names", run) for run in TABLES if not run.startswith("why")),
    *(pytest.param("otter_lake", run, marks=pytest.mark.slow) for run in (*TABLES, *OTTER)),
]


@pytest.fixture(scope="module")
def folders(tmp_path_factory, samples):
    """Where the places lie: both samples, outlines alone, and a place whose names are long."""
    home = tmp_path_factory.mktemp("places")
    for name in ("first_forty", "otter_lake"):
        shutil.copytree(samples / name, home / name)
    for name in ("parcels.geojson", "place.toml"):
        (home / "outlines").mkdir(exist_ok=True)
        shutil.copy(samples / "first_forty" / name, home / "outlines")
    long = shutil.copytree(samples / "first_forty", home / "long_names")
    for name in ("parcels.geojson", "stands.geojson", "plots.csv", "place.toml"):
        text = (long / name).read_text(encoding="utf-8")
        text = text.replace("Wendt forty", f"The forty that {'Oh' * 30}s and {'Björkqvist-Niemi' * 2} bought together")
        (long / name).write_text(text.replace('"forty"', f'"forty_of_{"the_brothers_" * 3}"'), encoding="utf-8")
    (long / "tally.csv").write_text(
        "tree,stand_id,species,dbh_in,height_ft\n" + "".join(f"{n},1,sugar maple,{n + 6},60\n" for n in range(1, 9))
    )
    return home


class Shown:
    """What a run of a verb shows: the calls of the screen in order, and the table it delivers."""

    def __init__(self, run: str):
        """Run the verb; nothing reaches the screen yet."""
        self.calls, self.tables = [], []
        deliver = show.deliver

        def delivered(told, table, *more):
            self.tables += [(told, table)] if table is not None else []
            return deliver(told, table, *more)

        def kept(name, *arguments, **named):
            self.calls.append((name, arguments, named))

        with pytest.MonkeyPatch.context() as patch:
            for name in ("say", "fact", "title", "table"):
                patch.setattr(show, name, partial(kept, name))
            patch.setattr(show, "deliver", delivered)
            self.done = CliRunner().invoke(main, run.split())

    def at(self, columns: int) -> str:
        """All of it on a screen of so many columns."""
        with pytest.MonkeyPatch.context() as patch, redirect_stdout(io.StringIO()) as out, redirect_stderr(out):
            patch.setenv("COLUMNS", str(columns))
            for name, arguments, named in self.calls:
                getattr(show, name)(*arguments, **named)
        return out.getvalue()


def numbers(text: str) -> Counter:
    """Every number of a screen, and how often it is there."""
    return Counter(re.findall(r"\d[\d,.]*", text))


@pytest.mark.parametrize(("place", "run"), CASES)
def test_every_width_shows_all_of_it(folders, monkeypatch, place, run):
    """What a verb shows at each width, and that its tables are those of CSV and JSON."""
    monkeypatch.chdir(folders)
    shown = Shown(run.replace("P", place, 1))
    assert shown.calls and isinstance(shown.done.exception, (SystemExit, type(None))), shown.done.exception
    screens = {columns: shown.at(columns) for columns in WIDTHS}
    for columns, screen in screens.items():
        wide = [line for line in screen.splitlines() if len(line) > columns]
        assert all(len(line.split()) == 1 for line in wide) and (place == "long_names" or not wide)
        assert "..." not in screen
        assert not numbers(screens[140]) - numbers(screen)
    for name, arguments, named in shown.calls:
        if name == "table":
            _ranges_stay(texts(*arguments, **named), screens.values(), place != "long_names")
            _json_has(arguments[0], arguments[1])
    for told, table in shown.tables:
        _json_has(table, told)
        rows = table.rows(told)
        frame = rows if isinstance(rows, pd.DataFrame) else pd.DataFrame(flat(rows))
        names = [name for name in frame if name not in ("geometry", "when")]
        assert declared(table, list(frame)) == names, "a column of the answer that CSV would lose"


def _ranges_stay(columns, screens, beside):
    """Each range is on one line of every screen, and in the row of its number at 40 columns too."""
    bound = [(column, cell) for column in columns for cell in column.cells if "\u00a0" in cell]
    assert all(cell.replace("\u00a0", " ") in screen for _, cell in bound for screen in screens)
    row = [column.head for column in layout.placed(columns, 38)[0]]
    ranges = {column.head for column, _ in bound if "range" in column.head or "%" in column.head}
    assert not beside or ranges <= set(row)


def _json_has(table, told):
    """Every column with a key is in the rows that the JSON has."""
    there = show.json_ready(told["tables"][table.key] if table.key in told.get("tables", ()) else told[table.key])
    for row in there if isinstance(there, list) else [there]:
        joined = table is tables.FELL_TREES  # of three lists of the answer
        assert joined or {column.key for column in table.columns if column.key} <= set(row)


def test_every_verb_is_tried():
    """A new verb is a line above."""
    assert {run.split()[0] for run in (*TABLES, *OTTER, *WORDS)} == set(VERBS)


@pytest.mark.parametrize("columns", WIDTHS)
def test_help_and_wrong_calls_fit_the_screen(columns):
    """Help of every verb and an option that is none; 80 columns at most."""
    for call in (["--help"], ["crusie"], *([verb, end] for verb in VERBS for end in ("--help", "--colour"))):
        told = CliRunner().invoke(main, call, env={"COLUMNS": str(columns)})
        assert told.exit_code in (0, 2)
        assert [line for line in told.output.splitlines() if len(line) > min(columns, 80)] == []


@pytest.mark.parametrize("place", ["first_forty", pytest.param("otter_lake", marks=pytest.mark.slow)])
def test_no_sentence_of_the_plan_stands_twice(folders, monkeypatch, place):
    """What the plan says at its end, or as the number of a row, is not said in a row again."""
    monkeypatch.chdir(folders)
    screen = " ".join(CliRunner().invoke(main, f"plan {place} {DAY}".split()).stdout.split())
    assert screen.count("Season, tags and zone are the state's.") == 1
    assert screen.count("No pellet plots have been counted.") == (place == "first_forty")
    assert screen.count("None this season") == (place == "otter_lake")

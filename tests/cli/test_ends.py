"""How each verb ends: the table in DEVELOPERS.md, and the ends that nobody planned."""

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.conftest import square
from woodlot.cli import VERBS, main

ROOT = Path(__file__).parent.parent.parent
#: Verb -> what it needs behind the place, where that is anything.
NEEDS = {"note": ["firewood", "2"], "bring": ["tallied.csv"], "mend": ["--within", "3"]}
#: Of the ways of the table: a place as it should be, one with a row to mend, none, a command nobody understands.
WAYS = ("all is well", "a row needs mending", "no such folder", "no such option")
TABLE = re.compile(r"^\| `([a-z-]+)` \|" + r" (\d)([^|]*) \|" * 4 + "$", re.MULTILINE)


def told() -> dict[str, dict[str, int]]:
    """Verb -> way -> exit code, as DEVELOPERS.md tells."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    ends = {verb: [int(code) for code in row[::2]] for verb, *row in TABLE.findall(text)}
    return {verb: dict(zip(WAYS, codes, strict=True)) for verb, codes in ends.items()}


def ended(verb: str, way: str, small_place, tmp_path: Path) -> tuple[int, str]:
    """The exit code of a verb in one of the ways, and all it says."""
    place = small_place.folder
    if verb == "mend":  # the forties side by side, two feet apart
        small_place.maps["parcels.geojson"]["features"][1]["geometry"] = square(1.0015)
        small_place.write()
    (tmp_path / "tallied.csv").write_text("parcel_id,species,dbh_in,mark\nhome,sugar maple,12.0,blue\n")
    if way == "a row needs mending":
        small_place.change("trees.csv", "12.2,68", "tall,68")
    if way == "no such folder" or (verb == "start" and way == "all is well"):
        place = tmp_path / "nowhere"
    needs = [str(tmp_path / one) if one.endswith(".csv") else one for one in NEEDS.get(verb, [])]
    more = ["--nonsense"] if way == "no such option" else []
    asked = ["cords", str(place)] if verb == "why" else [str(place), *needs]
    run = CliRunner().invoke(main, [verb, *asked, *more])
    assert run.exception is None or isinstance(run.exception, SystemExit), repr(run.exception)
    return run.exit_code, " ".join((run.stderr or run.stdout).split())


def test_the_table_of_ends_has_every_verb():
    """DEVELOPERS.md has a row for each verb and no other."""
    assert list(told()) == list(VERBS)


@pytest.mark.slow
@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("verb", VERBS)
def test_each_verb_ends_as_the_table_tells(verb, way, small_place, tmp_path):
    """Exit codes of all verbs in four ways, and what goes with them: the row, the usage, a word that says why."""
    code, said = ended(verb, way, small_place, tmp_path)
    assert (code, verb) == (told()[verb][way], verb), said
    if code == 2:
        assert said.startswith("Usage: ") and "Stopped: " in said
    elif code == 1:
        assert said.startswith("Stopped: ")
        assert way != "a row needs mending" or verb == "start" or "trees.csv, row 2, dbh_in: tall" in said


#: Runs a verb in which something goes wrong at the moment of reading.
BROKEN = """
import sys
from woodlot import place
from woodlot.cli import main
def broken(*args, **kwargs):
    {what}
place.read = broken
main(sys.argv[1:], prog_name="woodlot")
"""


def run(what: str, folder: Path, **env: str) -> subprocess.CompletedProcess:
    """The verb walk in a process of its own, in which reading does something else."""
    words = {key: value for key, value in os.environ.items() if key != "WOODLOT_TRACEBACK"} | env
    code = [sys.executable, "-c", BROKEN.format(what=what), "walk", str(folder)]
    return subprocess.run(code, capture_output=True, text=True, timeout=120, env=words)


def test_a_mistake_of_our_own_is_told_as_one(small_place):
    """Words, exit code 1, and how to see the details; with the word set, the traceback itself."""
    told = run("raise KeyError('dbh')", small_place.folder)
    said = " ".join(told.stderr.split())
    assert told.returncode == 1 and "Traceback" not in said
    assert said.startswith("Stopped: woodlot walk made a mistake of its own; your files are not at fault.")
    assert "Nothing was written." in said and "WOODLOT_TRACEBACK=1" in said and said.endswith("KeyError: 'dbh'")
    told = run("raise KeyError('dbh')", small_place.folder, WOODLOT_TRACEBACK="1")
    assert told.returncode == 1 and "Traceback" in told.stderr


@pytest.mark.parametrize("what, code, words", [
    ("raise MemoryError", 1, "too little memory for woodlot walk. Nothing was written."),
    ("raise FileNotFoundError(2, 'No usable temporary directory found')", 1, "name another one in TMPDIR."),
    ("raise OSError(24, 'Too many open files', 'plots.csv')", 1, "Stopped: plots.csv: Too many open files."),
    ("raise OSError(27, 'File too large')", 1, "File too large."),
    ("raise KeyboardInterrupt", 130, "Stopped by you. Nothing was written."),
])  # fmt: skip
def test_what_the_system_refuses_is_told_in_words(small_place, what, code, words):
    """Memory, passing files, open files, the size of a file, and a hand on Ctrl-C."""
    told = run(what, small_place.folder)
    assert told.returncode == code and "Traceback" not in told.stderr
    assert words in " ".join(told.stderr.split())


@pytest.mark.skipif(os.name == "nt", reason="this system asks no process to end")
@pytest.mark.parametrize("asked, code, by", [(signal.SIGINT, 130, "you"), (signal.SIGTERM, 143, "the system")])
def test_who_is_asked_to_end_says_what_was_written(small_place, tmp_path, asked, code, by):
    """One file was written when the signal comes: it is named, the passing folder goes away, no traceback."""
    what = (
        "import signal, time; from woodlot.place.with_care import scratch\n"
        "    from woodlot.place.writing import write_files\n"
        "    signal.signal(signal.SIGINT, signal.default_int_handler)\n"  # tests run in the background ignore it
        f"    write_files({str(tmp_path / 'out')!r}, {{'a.csv': 'x'}})\n"
        "    with scratch() as folder:\n"
        "        print(folder, flush=True); time.sleep(60)"
    )
    code_ = [sys.executable, "-c", BROKEN.format(what=what), "walk", str(small_place.folder)]
    with subprocess.Popen(code_, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as at_work:
        folder = Path(at_work.stdout.readline().strip())
        assert folder.is_dir()
        at_work.send_signal(asked)
        _, said = at_work.communicate(timeout=60)
    said = " ".join(said.split())
    assert at_work.returncode == code and "Traceback" not in said
    assert said == f"Stopped by {by}. Written before, whole: {tmp_path / 'out' / 'a.csv'}. Nothing else was."
    assert not folder.exists()


@pytest.mark.parametrize("day", ["9999-12-31", "2201-01-01", "0001-12-31"])
@pytest.mark.parametrize("verb", ["walk", "hunt", "plan", "grow", "what-if", "group", "sheet"])
def test_a_day_that_nobody_means_is_refused(small_place, verb, day):
    """Years before 1900 and after 2200 are slips of the hand."""
    told = CliRunner().invoke(main, [verb, str(small_place.folder), "--as-of", day])
    assert told.exit_code == 1 and told.stderr.startswith(f"Stopped: {day} is ")
    assert "is the year right?" in " ".join(told.stderr.split())

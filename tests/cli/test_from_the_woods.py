"""What a phone saved in the woods comes back: notes into the ledger, tallies into the tables."""

import json
import shutil

import pytest
from click.testing import CliRunner

from woodlot.cli import main
from woodlot.map.field_notes import COLUMNS


def run(*args, code=0):
    """Output of one verb with the exit code it should have."""
    done = CliRunner().invoke(main, [str(a) for a in args])
    assert done.exit_code == code, done.output
    assert "Traceback" not in done.output
    return done.output


@pytest.fixture
def woods(samples, tmp_path):
    """A copy of the large sample."""
    home = tmp_path / "woods"
    shutil.copytree(samples / "otter_lake", home, ignore=shutil.ignore_patterns("out"))
    return home


def saved_notes(path, *rows):
    """A file of notes as the map page saves it."""
    lines = [",".join(COLUMNS)]
    lines += [",".join(str(row.get(c, "")) for c in COLUMNS) for row in rows]
    path.write_text("\n".join(lines) + "\n")
    return path


def test_notes_of_the_map_page_go_into_the_ledger_once(woods, tmp_path):
    """Two notes are written; the same file again writes none; the old lines stand as they were."""
    before = (woods / "ledger.csv").read_bytes()
    file = saved_notes(
        tmp_path / "notes.csv",
        {"date": "2026-11-20", "kind": "firewood", "amount": 1.5, "unit": "cord", "parcel_id": "lake", "stand_id": "1"},
        {"date": "2026-11-21", "kind": "seen", "text": "wolf track", "lon": -90.41, "lat": 46.17},
    )
    assert "2 notes are in the ledger now" in run("note", woods, "--from", file)
    assert "0 notes" in run("note", woods, "--from", file)
    after = (woods / "ledger.csv").read_bytes()
    assert after.startswith(before)
    told = json.loads(run("book", woods, "--json"))
    assert [n["text"] for n in told["notes"]][-1] == "wolf track"


def test_a_bad_note_in_the_file_keeps_all_of_it_out(woods, tmp_path):
    """A day that is none: exit code 1, row and column named, the ledger not touched."""
    before = (woods / "ledger.csv").read_bytes()
    file = saved_notes(tmp_path / "notes.csv", {"date": "2026-11-20", "kind": "seen"}, {"date": "soon", "kind": "seen"})
    told = run("note", woods, "--from", file, code=1)
    assert "row 3" in told and "date" in told
    assert (woods / "ledger.csv").read_bytes() == before


def test_a_note_needs_a_kind_or_a_file(woods):
    """Neither is a wrong call: exit code 2."""
    assert "--kind" in run("note", woods, code=2)


def test_what_the_tally_page_saved_is_read_by_cruise(woods, tmp_path):
    """A plot of two trees in a stand without plots: added behind the old rows, then counted."""
    (tmp_path / "plots.csv").write_text("plot_id,stand_id,date,kind,baf_sqft_per_ac\nT1,17,2026-11-20,prism,10\n")
    (tmp_path / "trees.csv").write_text("plot_id,tree,species,dbh_in\nT1,1,black ash,9.5\nT1,2,red maple,11\n")
    old = (woods / "plots.csv").read_text()
    files = ["--add", tmp_path / "plots.csv", "--add", tmp_path / "trees.csv"]
    run("sheet", woods, *files)
    assert (woods / "plots.csv").read_text().splitlines()[1] == old.splitlines()[1]
    told = json.loads(run("cruise", woods, "--stand", "17", "--json"))
    assert told["stands"][0]["plots"] == 1
    assert told["stands"][0]["basal_sqft_per_ac"]["value"] == pytest.approx(20.0)
    same = (woods / "plots.csv").read_bytes()
    run("sheet", woods, *files)
    assert (woods / "plots.csv").read_bytes() == same, "the same rows twice are no new rows"


def test_rows_that_do_not_fit_change_nothing(woods, tmp_path):
    """A tree on a plot that nobody visited: exit code 1 and every file as it was."""
    (tmp_path / "trees.csv").write_text("plot_id,tree,species,dbh_in\nnowhere,1,black ash,9.5\n")
    before = {p.name: p.read_bytes() for p in woods.iterdir() if p.is_file()}
    assert "nowhere" in run("sheet", woods, "--add", tmp_path / "trees.csv", code=1)
    assert {p.name: p.read_bytes() for p in woods.iterdir() if p.is_file()} == before


def test_sheets_are_written_for_the_stands_of_the_place(woods):
    """One page to print, one for the phone; both fetch nothing and name the stands."""
    run("sheet", woods)
    for name in ("tally_sheets.html", "tally_phone.html"):
        text = (woods / "out" / name).read_text(encoding="utf-8")
        assert "Otter Lake" in text and "http://" not in text.replace("http://www.w3.org", "")

"""What a phone saved in the woods comes back: notes into the ledger, tallies into the tables."""

import json
import shutil

import pytest
from click.testing import CliRunner

from woodlot import ledger, place
from woodlot.cli import main
from woodlot.map.field_notes import COLUMNS
from woodlot.place import single_files


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
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


OLDER = "date,parcel_id,stand_id,kind,sex_age,amount,unit,who,text,lon,lat,corrects"


def test_the_file_of_an_older_page_is_read_and_read_again(small_place, tmp_path):
    """Without ids: deer and loads of one day and kind are all there, ids come of what they say, again adds none."""
    rows = [
        {"date": "2026-11-20", "kind": "deer", "sex_age": "doe", "who": "Ann"},
        {"date": "2026-11-20", "kind": "deer", "sex_age": "doe", "who": "Ben"},
        {"date": "2026-11-20", "kind": "deer", "sex_age": "buck", "who": "Ann"},
        {"date": "2026-11-20", "kind": "firewood", "amount": "2", "parcel_id": "home"},
        {"date": "2026-11-20", "kind": "firewood", "amount": "2", "parcel_id": "ridge"},
        {"date": "2026-11-20", "kind": "firewood", "amount": "2", "parcel_id": "ridge"},
        {"date": "2026-11-20", "kind": "seen", "text": "two  wolves"},
    ]
    file = tmp_path / "notes.csv"
    lines = [",".join(row.get(name, "") for name in OLDER.split(",")) for row in rows]
    file.write_text("\n".join([OLDER, *lines]))
    assert "7 notes are in the ledger now." in run("note", small_place.folder, "--from", file)
    ids = place.read_ledger(small_place.folder)[0]["id"].tolist()
    before = small_place.prints()
    assert "0 notes are in the ledger now. 7 stood" in run("note", small_place.folder, "--from", file)
    assert small_place.prints() == before and len(set(ids)) == 7
    for name in ("ledger.csv", "ledger.seal"):
        (small_place.folder / name).unlink()
    run("note", small_place.folder, "--from", file)
    assert place.read_ledger(small_place.folder)[0]["id"].tolist() == ids


PHONE = {"id": "kdfmkdfmkdfm", "written": "2026-11-21", "date": "2026-11-20", "kind": "firewood", "amount": 2}


def test_a_note_of_the_phone_is_known_by_its_id(small_place, tmp_path):
    """Corrected and voided since: read again it writes nothing. Two that say the same under two ids are two; a note may
    correct another one of its file.
    """
    again = PHONE | {"id": "bcdfbcdfbcdf"}
    right = PHONE | {"id": "ghjkghjkghjk", "amount": 3, "corrects": PHONE["id"]}
    file = saved_notes(tmp_path / "notes.csv", PHONE, again, right)
    assert "3 notes are in the ledger now." in run("note", small_place.folder, "--from", file)
    told = place.read_ledger(small_place.folder)[0]
    assert told["id"].tolist() == [PHONE["id"], again["id"], right["id"]] and told["corrects"].iloc[2] == PHONE["id"]
    assert {f"{day:%Y-%m-%d}" for day in told["written"]} == {"2026-11-21"}
    run("note", small_place.folder, "--void", 1)
    before = small_place.prints()
    assert "0 notes are in the ledger now. 3 stood" in run("note", small_place.folder, "--from", file)
    assert small_place.prints() == before
    assert sorted(ledger.standing(place.read_ledger(small_place.folder)[0])["amount"]) == [2]


def test_an_id_that_says_something_else_is_a_fault_that_shows_both(small_place, tmp_path):
    """In the ledger, or twice in the file: row and line are named, and nothing of the file is written."""
    run("note", small_place.folder, "--from", saved_notes(tmp_path / "notes.csv", PHONE))
    before = small_place.prints()
    other = {"date": "2026-11-20", "kind": "seen", "text": "bear"}
    file = saved_notes(tmp_path / "more.csv", other, PHONE | {"amount": 3, "who": "Ben"})
    said = " ".join(run("note", small_place.folder, "--from", file, code=1).split())
    assert "row 3, id: kdfmkdfmkdfm Line 1 of the ledger has this id and says amount 2, who empty; here it is" in said
    assert "here it is amount 3, who Ben." in said and small_place.prints() == before
    twice = PHONE | {"id": "bcdfbcdfbcdf"}
    saved_notes(file, twice, twice | {"amount": 3})
    assert "row 3, id: bcdfbcdfbcdf Another row has this id" in " ".join(
        run("note", small_place.folder, "--from", file, code=1).split()
    )
    assert small_place.prints() == before
    saved_notes(file, twice | {"id": "aeiouaeiouae"}, twice | {"id": "aeiouaeiouaa", "amount": 3})
    assert "Another row" not in run("note", small_place.folder, "--from", file, code=1)


def test_a_file_that_a_spreadsheet_saved_between_is_read(small_place, tmp_path):
    """Semicolons, days turned round, an apostrophe before what looks like a formula."""
    file = saved_notes(tmp_path / "notes.csv", PHONE | {"text": "'=1+1"})
    file.write_text("\ufeff" + file.read_text().replace(",", ";").replace("2026-11-20", "11/20/2026"))
    assert "1 note is in the ledger now." in run("note", small_place.folder, "--from", file)
    told = place.read_ledger(small_place.folder)[0].iloc[0]
    assert (told["text"], f"{told['date']:%Y-%m-%d}") == ("=1+1", "2026-11-20")


def test_many_notes_cost_little(small_place, tmp_path):
    """A thousand notes with ids, parcels, board feet and corrections: settings, ids and ledger are read once."""
    read, rows = [], []
    for number in range(1000):
        name = ledger.derived_id("phone", number)
        rows.append(PHONE | {"id": name, "kind": "sawlog", "amount": number, "parcel_id": "home"})
        rows[-1] |= {"corrects": rows[-2]["id"]} if number % 2 else {}
    file = saved_notes(tmp_path / "notes.csv", *rows)
    with pytest.MonkeyPatch.context() as patched:
        for module, name in ((single_files, "known_ids"), (single_files, "choices"), (ledger, "read_book")):
            really = getattr(module, name)
            patched.setattr(
                module, name, lambda *a, really=really, name=name, **k: read.append(name) or really(*a, **k)
            )
        assert "1000 notes are in the ledger now." in run("note", small_place.folder, "--from", file)
    assert sorted(read) == ["choices", "known_ids", "read_book"]
    assert len(ledger.standing(place.read_ledger(small_place.folder)[0])) == 500


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
    assert (woods / "ledger.csv").read_bytes().startswith(before)
    told = json.loads(run("book", woods, "--json"))
    assert [n["text"] for n in told["notes"]][-1] == "wolf track"


def test_a_bad_note_in_the_file_keeps_all_of_it_out(woods, tmp_path):
    """A day that is none: exit code 1, row and column named, the ledger not touched."""
    before = (woods / "ledger.csv").read_bytes()
    file = saved_notes(tmp_path / "notes.csv", {"date": "2026-11-20", "kind": "seen"}, {"date": "soon", "kind": "seen"})
    told = run("note", woods, "--from", file, code=1)
    assert "row 3" in told and "date" in told
    assert (woods / "ledger.csv").read_bytes() == before


DOE = {"date": "2026-11-20", "kind": "deer", "sex_age": "doe", "amount": 1, "unit": "deer", "who": "Ann"}
WOOD = {"date": "2026-11-20", "kind": "firewood", "amount": 0.5, "unit": "cord", "stand_id": "1", "parcel_id": "lake"}
ALIKE = {
    "who": (DOE, DOE | {"who": "Ben"}),
    "sex": (DOE, DOE | {"sex_age": "buck"}),
    "stand": (WOOD, WOOD | {"stand_id": "2"}),
    "parcel": (WOOD, WOOD | {"parcel_id": "kettle"}),
    "nothing": (WOOD, WOOD),
}


@pytest.mark.parametrize("by", ALIKE)
def test_two_notes_that_are_nearly_one_are_both_written(small_place, tmp_path, by):
    """Two deer, two loads, alike but for one column, or throughout: two lines; the same file again adds none."""
    there = {"stand_id": {"1": "1", "2": "2"}, "parcel_id": {"lake": "home", "kettle": "ridge"}}
    notes = [{k: there.get(k, {}).get(v, v) for k, v in note.items()} for note in ALIKE[by]]
    file = saved_notes(tmp_path / "notes.csv", *notes)
    assert "2 notes are in the ledger now." in run("note", small_place.folder, "--from", file)
    assert "0 notes are in the ledger now. 2 stood" in run("note", small_place.folder, "--from", file)
    saved_notes(file, *notes, notes[0])
    assert "1 note is in the ledger now. 2 stood" in run("note", small_place.folder, "--from", file)
    assert len(place.read_ledger(small_place.folder)[0]) == 3


def test_what_the_ledger_makes_of_a_note_is_no_second_note(small_place, tmp_path):
    """Two blanks, a deer without a number, cords, board feet without their rule: read again, nothing is added."""
    file = saved_notes(
        tmp_path / "notes.csv",
        {"date": "2026-11-20", "kind": "Seen", "text": "wolf  track", "who": "Ann\u00a0B"},
        {"date": "2026-11-20", "kind": "deer", "sex_age": "doe"},
        {"date": "2026-11-20", "kind": "firewood", "amount": "2.50", "unit": "Cords"},
        {"date": "2026-11-20", "kind": "sawlog", "amount": 300},
    )
    assert len(json.loads(run("note", small_place.folder, "--from", file, "--json"))) == 4
    assert json.loads(run("note", small_place.folder, "--from", file, "--json")) == []
    units = place.read_ledger(small_place.folder)[0]["unit"].fillna("").tolist()
    assert units == ["", "deer", "cord", "bdft_scribner"]


def test_every_bad_row_is_said_at_once_and_none_is_written(small_place, tmp_path):
    """Cells that cannot be read, ids that are not there, what a kind lacks: each with row, found and remedy."""
    good = {"date": "2026-11-20", "kind": "seen", "text": "bear"}
    bad = [
        {"date": "soon", "stand_id": "99"},
        {"kind": "firewod"},
        {"parcel_id": "hom"},
        {"kind": "deer"},
        {"kind": "deer", "sex_age": "stag"},
        {"kind": "work", "amount": "-3"},
        {"kind": "work", "amount": 3, "unit": "chords"},
        {"amount": 3},
        {"lon": 999, "lat": 46.1},
        {"kind": "void"},
        {"corrects": 9},
        {"corrects": 1.5},
        {"date": "2999-01-01"},
        {"date": "1800-01-01"},
        {"text": "x" * 20001},
        {"kind": ""},
    ]
    file = saved_notes(tmp_path / "notes.csv", good, *[good | one for one in bad])
    told = run("note", small_place.folder, "--from", file, code=1)
    said = " ".join(told.split())
    assert told.startswith("Stopped: 16 rows need mending. Nothing was written.")
    for words in (
        "row 3, date: soon A day is written as 2026-11-25.",
        "row 3, stand_id: 99 There is no stand '99'; there are 1, 2, home, ridge.",
        "row 4, kind: firewod Must be firewood, hauled, split",
        "row 5, parcel_id: hom There is no parcel 'hom'; did you mean 'home'?",
        "row 6, sex_age Which deer was it? add sex_age with one of buck,",
        "row 7, sex_age: stag Must be buck, yearling buck",
        "row 8, amount: -3 An amount is 0 or more",
        "row 9, unit: chords Must be cord, cuft, cuyd",
        "row 10, unit 3 of what? add unit, such as cord",
        "row 11, lon: 999 Larger than 180 degrees.",
        "row 12, corrects A void line takes out another one; add corrects with its number or id.",
        "row 13, corrects: 9 There is no line 9 to replace.",
        "row 14, corrects: 1.5 There is no line 1.5 to replace.",
        "row 15, date: 2999-01-01 2999-01-01 has not come yet",
        "row 16, date: 1800-01-01 Before 1900-01-01. Is the year right?",
        f"row 17, text: {'x' * 57}... Longer than 20000 letters.",
    ):
        assert f"notes.csv, {words}" in said, words
    rows = [int(words.split(",")[0]) for words in said.split("notes.csv, row ")[1:]]
    assert rows == sorted(rows)
    assert said.count("notes.csv, row 18,") == said.count("row 18, kind Say what it was") == 1
    assert said.count("notes.csv, row 3,") == 2 and "notes.csv, row 2" not in said
    assert said.endswith(f"Mend the rows, then: woodlot note {small_place.folder} --from {file}")
    assert not (small_place.folder / "ledger.csv").exists()


def test_a_note_that_stands_already_is_not_asked_for_a_stand_that_is_gone(small_place, tmp_path):
    """The phone still holds last year's note of a stand since drawn anew: it is no reason to refuse this year's."""
    old = {"date": "2025-11-20", "kind": "firewood", "amount": 1, "unit": "cord", "stand_id": "9"}
    place.append_note(small_place.folder, old)
    file = saved_notes(tmp_path / "notes.csv", old, {"date": "2026-11-20", "kind": "seen", "text": "bear"})
    assert "1 note is in the ledger now. 1 stood" in run("note", small_place.folder, "--from", file)
    saved_notes(file, old, old)
    assert "row 3, stand_id: 9" in run("note", small_place.folder, "--from", file, code=1)


@pytest.mark.parametrize("way", ["utf-16", "latin-1"])
def test_a_file_of_notes_in_another_encoding_is_refused(small_place, tmp_path, way):
    """Words, not a traceback, and nothing is written."""
    file = saved_notes(tmp_path / "notes.csv", {"date": "2026-11-20", "kind": "seen", "text": "bär"})
    file.write_bytes(file.read_text(encoding="utf-8").encode(way))
    assert 'Save the file again as "CSV UTF-8"' in run("note", small_place.folder, "--from", file, code=1).replace(
        "Save it", "Save the file"
    )
    assert not (small_place.folder / "ledger.csv").exists()


def test_a_note_needs_a_kind_or_a_file(woods):
    """Neither is a wrong call: exit code 2."""
    assert "--kind" in run("note", woods, code=2)


def test_what_the_tally_page_saved_is_read_by_cruise(woods, tmp_path):
    """A plot of two trees in a stand without plots: added behind the old rows, then counted.

    Eight points of these woods were checked: 90 trees for 89, so a tally is worth 90/89 to the .858 by which the check
    outweighs the usual doubt of an eye, 1.0096.
    """
    (tmp_path / "plots.csv").write_text("plot_id,stand_id,date,kind,baf_sqft_per_ac\nT1,17,2026-11-20,prism,10\n")
    (tmp_path / "trees.csv").write_text("plot_id,tree,species,dbh_in\nT1,1,black ash,9.5\nT1,2,red maple,11\n")
    old = (woods / "plots.csv").read_text()
    files = ["--add", tmp_path / "plots.csv", "--add", tmp_path / "trees.csv"]
    run("sheet", woods, *files)
    assert (woods / "plots.csv").read_text().splitlines()[1] == old.splitlines()[1]
    told = json.loads(run("cruise", woods, "--stand", "17", "--json"))
    assert told["stands"][0]["plots"] == 1
    assert any("prism tallies times 1.010" in one for one in told["remarks"])
    assert told["stands"][0]["basal_sqft_per_ac"]["value"] == pytest.approx(20.0 * (90 / 89) ** 0.858, rel=1e-5)
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

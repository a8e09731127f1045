"""The ledger in the folder: brought over, sealed, exchanged in one swap; by two at once, on a full disk, killed."""

import csv
import io
import os
import signal
import subprocess
import sys
import textwrap
import time
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner

from woodlot import ledger, place
from woodlot.cli import main
from woodlot.errors import PlaceError
from woodlot.place import photos

DAY = date(2026, 11, 25)
NOTE = {"date": "2026-01-17", "kind": "firewood", "amount": 2.5, "unit": "cord", "parcel_id": "home"}
OLD = (
    "line,date,parcel_id,stand_id,kind,sex_age,amount,unit,who,text,lon,lat,corrects,check\n"
    "1,2023-11-04,kettle,14,seen,,,,Aili,Ice on the pond. Two old white pines down across the woods road,"
    "-90.352249,46.202215,,dgnfemfl\n"
    '2,2023-11-19,lake,1,deer,yearling buck,1,deer,Toivo,"spike on one side, 109 lb dressed",-90.409474,46.174152,,'
    "gcenflfm\n"
)


def woodlot(*arguments: object) -> str:
    """What a run of the command in this process prints, without line breaks."""
    told = CliRunner().invoke(main, [str(a) for a in arguments])
    assert told.exception is None or isinstance(told.exception, SystemExit), repr(told.exception)
    return " ".join(told.output.split())


def run(body: str, *arguments: object) -> subprocess.Popen:
    """A process that runs a script."""
    script = [sys.executable, "-c", textwrap.dedent(body), *map(str, arguments)]
    return subprocess.Popen(script, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def lines_of(folder: Path) -> list[dict[str, str]]:
    """The lines of the ledger as they stand in the file."""
    return list(csv.DictReader(io.StringIO((folder / "ledger.csv").read_text())))


def sealed(folder: Path) -> list[str]:
    """The ids that the seal names."""
    return ledger.sealed((folder / ledger.SEAL).read_text())["id"].tolist()


def remarks(folder: Path) -> list[str]:
    """What reading says of the ledger."""
    return place.read_ledger(folder)[1]


@pytest.fixture
def home(tmp_path):
    """A folder that is a place by its settings alone, in which nothing is noted."""
    folder = tmp_path / "woods"
    folder.mkdir()
    (folder / "place.toml").write_text('name = "woods"\nregion = "lake_states"\n')
    return folder


def test_what_was_noted_is_named_when_a_run_is_stopped(home):
    """The ledger, brought over too, with what is kept beside it; and a photo."""
    (home / "ledger.csv").write_text(OLD)
    (home / "ash.jpg").write_bytes(b"a picture")
    before = len(place.written())
    photos.keep(home, home / "ash.jpg")
    place.append_note(home, NOTE)
    told = [path.relative_to(home).as_posix() for path in place.written()[before:]]
    assert told == ["photos/ash.jpg", "ledger.before.csv", "ledger.csv", "ledger.seal"]
    place.append_note(home, NOTE)
    assert place.written()[-1] == home / "ledger.csv"


# ids, the day of writing, corrections


def test_a_line_has_an_id_and_the_day_it_was_written(home):
    """Two notes that say the same have two ids; the day is today's, unless the note brings its own."""
    place.append_notes(home, [NOTE, NOTE, NOTE | {"id": "kdfmkdfmkdfm", "written": "2026-02-01"}], today=DAY)
    told = lines_of(home)
    assert [one["written"] for one in told] == ["2026-11-25", "2026-11-25", "2026-02-01"]
    assert len({one["id"] for one in told}) == 3 and told[2]["id"] == "kdfmkdfmkdfm"
    assert remarks(home) == [] and sealed(home) == [one["id"] for one in told]


def test_a_line_is_corrected_by_number_by_id_or_by_its_first_letters(home):
    """Whatever is typed, the id stands in the ledger; of a line that was corrected the correction is meant."""
    place.append_note(home, NOTE)
    woodlot("note", home, "firewood", 3, "--corrects", 1)
    woodlot("note", home, "firewood", 4, "--corrects", lines_of(home)[1]["id"].upper())
    said = woodlot("note", home, "firewood", 5, "--corrects", lines_of(home)[0]["id"][:5])
    ids = [one["id"] for one in lines_of(home)]
    assert [one["corrects"] for one in lines_of(home)] == ["", ids[0], ids[1], ids[2]]
    assert (
        f"in place of line {ids[0][:5]}" in said and ledger.standing(place.read_ledger(home)[0])["amount"].item() == 5
    )
    assert "There is no line bcd to replace" in woodlot("note", home, "firewood", 5, "--corrects", "bcd")
    assert "Line 5 (" in woodlot("note", home, "--void", 4) and "0 notes count" in woodlot("book", home)


def test_a_correction_settles_what_two_hands_set_right(home):
    """Both corrections of line 1 are named by the third, so that no fork is left."""
    place.append_note(home, NOTE | {"id": "kdfmkdfmkdfm"})
    for name in ("Ann", "Ben"):
        place.append_note(home, NOTE | {"who": name, "corrects": "kdfmkdfmkdfm"})
    assert len(ledger.forks(place.read_ledger(home)[0])) == 1
    woodlot("note", home, "firewood", 7, "--corrects", 1)
    told = place.read_ledger(home)[0]
    assert ledger.forks(told) == [] and ledger.standing(told)["amount"].tolist() == [7]


# brought over


def test_an_old_ledger_is_brought_over_at_the_first_note(home):
    """All lines stand with ids, the file as it was is kept, and it is said once; the second note only adds."""
    (home / "ledger.csv").write_text(OLD)
    before = place.read_ledger(home)[0].drop(columns=["check"])
    said = woodlot("note", home, "firewood", 2.5)
    assert (
        said.count("ledger.csv was written anew, each line with an id; as it was it is kept as ledger.before.csv.") == 1
    )
    assert (home / "ledger.before.csv").read_text() == OLD
    first = (home / "ledger.csv").read_bytes()
    assert "written anew" not in woodlot("note", home, "firewood", 3)
    assert (home / "ledger.csv").read_bytes().startswith(first)
    after, notes = place.read_ledger(home)
    assert after[:2].drop(columns=["check"]).equals(before) and notes == [] and after["line"].tolist() == [1, 2, 3, 4]
    assert sealed(home) == after["id"].tolist()


SAVED = {
    "typed lines": lambda text: (text + "9,,2026-01-18,seen\n" + "," * 22 + "\n").encode(),
    "semicolons": lambda text: "\n".join(
        ";".join(row) for row in csv.reader(text.replace("2026-01-17", "1/17/2026").splitlines())
    ).encode(),
    "Windows line ends": lambda text: text.replace("\n", "\r\n").encode(),
    "UTF-16": lambda text: text.replace(",", "\t").encode("utf-16"),
    "western letters": lambda text: text.encode("cp1252"),
    "another order": lambda text: "\n".join(
        ",".join([row[3], row[0], row[1], row[2], *row[4:]]) for row in csv.reader(text.splitlines())
    ).encode(),
}


@pytest.mark.parametrize("way", SAVED)
def test_whatever_a_spreadsheet_saved_is_brought_over_whole(home, way):
    """The note goes in with all lines in one swap; the bytes as they were are kept; no line is lost or doubled."""
    place.append_notes(home, [NOTE | {"who": "Jürgen"}, NOTE], today=DAY)
    ids = [one["id"] for one in lines_of(home)]
    saved = SAVED[way]((home / "ledger.csv").read_text())
    (home / "ledger.csv").write_bytes(saved)
    assert "written anew" in woodlot("note", home, "seen")
    assert (home / "ledger.before.csv").read_bytes() == saved
    told = lines_of(home)
    assert [one["id"] for one in told if one["amount"]] == ids and told[0]["who"] == "Jürgen"
    assert [one["kind"] for one in told][-1] == "seen" and len(told) == 3 + (way == "typed lines")
    assert not [one for one in remarks(home) if "torn" not in one]
    assert "written anew" not in woodlot("note", home, "seen")


def test_a_column_put_in_is_read_past_and_never_written_over(home):
    """Every verb reads the other columns; a note is refused, and the file stands as it was."""
    place.append_note(home, NOTE)
    rows = list(csv.reader(io.StringIO((home / "ledger.csv").read_text())))
    with (home / "ledger.csv").open("w", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows([*row[:4], "mine", *row[4:]] for row in rows)
    before = (home / "ledger.csv").read_bytes()
    frame, told = place.read_ledger(home)
    assert frame["amount"].tolist() == [2.5]
    assert told == ["ledger.csv, row 1: not read, since a ledger has no such column: mine."]
    with pytest.raises(PlaceError, match="other columns: mine"):
        place.append_note(home, NOTE)
    assert (home / "ledger.csv").read_bytes() == before


def test_ids_written_over_in_a_spreadsheet_come_back_by_the_seal(home):
    """The same id in every row: reading proves each line's own, and the next note writes them so."""
    for amount in (1, 2, 3):
        place.append_note(home, NOTE | {"amount": amount})
    ids = [one["id"] for one in lines_of(home)]
    text = (home / "ledger.csv").read_text()
    for name in ids[1:]:
        text = text.replace(name, ids[0])
    (home / "ledger.csv").write_text(text)
    frame, told = place.read_ledger(home)
    assert frame["id"].tolist() == ids and len(told) == 1 and "as its check proves" in told[0]
    place.append_note(home, NOTE)
    assert [one["id"] for one in lines_of(home)][:3] == ids and remarks(home) == []


def test_a_torn_heading_is_brought_over(home):
    """A power cut tore it: the lines are read in their usual order, and stand under a whole heading again."""
    place.append_note(home, NOTE)
    text = (home / "ledger.csv").read_text()
    (home / "ledger.csv").write_text("line,id,date,kind,parc\n" + text.split("\n", 1)[1])
    place.append_note(home, NOTE)
    assert [one["amount"] for one in lines_of(home)] == ["2.5", "2.5"] and remarks(home) == []


def test_what_was_kept_is_never_written_over(home):
    """Brought over twice: two files beside; a swap that was cut short after keeping does not keep the same again."""
    for number in (1, 2):
        (home / "ledger.csv").write_text(OLD.replace("Aili", f"Aili {number}"))
        place.append_note(home, NOTE)
    assert [f"Aili {n}" in (home / f"ledger.before{k}.csv").read_text() for n, k in ((1, ""), (2, 2))] == [True, True]
    (home / "ledger.csv").write_text(OLD.replace("Aili", "Aili 2"))
    place.append_note(home, NOTE)
    assert sorted(one.name for one in home.glob("ledger.before*")) == ["ledger.before.csv", "ledger.before2.csv"]


# what the seal knows


def test_any_line_that_is_gone_is_named(home):
    """Each in turn, the last too, five off the end, the whole file: number, day and kind in walk and book."""
    place.append_notes(home, [NOTE | {"date": f"2026-01-{10 + n}"} for n in range(8)])
    path = home / "ledger.csv"
    rows = path.read_text().splitlines(keepends=True)
    for gone in (1, 4, 8):
        path.write_text("".join(rows[:gone] + rows[gone + 1 :]))
        (said,) = remarks(home)
        assert f"there any more: line {gone}, firewood of 2026-01-{9 + gone} (" in said
        assert " ".join(said.split()) in woodlot("book", home)
    path.write_text("".join(rows[:-5]))
    (said,) = remarks(home)
    assert [f"line {n}, firewood" in said for n in range(1, 9)] == [False] * 3 + [True] * 5
    path.unlink()
    (said,) = remarks(home)
    assert said.startswith("ledger.csv: the file is gone, and with it line 1, firewood of 2026-01-10")
    assert "and 2 more lines" in said


def test_walk_and_plan_say_what_the_seal_misses(small_place):
    """The ledger is no fault for it: all else is told as before."""
    small_place.thin()
    place.append_notes(small_place.folder, [NOTE, NOTE])
    path = small_place.folder / "ledger.csv"
    text = path.read_text()
    path.write_text("".join(text.splitlines(keepends=True)[:-1]))
    told = place.read(small_place.folder, as_of=DAY)
    assert len(told.ledger) == 1 and any("line 2, firewood of 2026-01-17" in one for one in told.warnings)
    assert "line 2, firewood of 2026-01-17" in woodlot("walk", small_place.folder)
    path.unlink()
    assert any("the file is gone" in one for one in place.read(small_place.folder, as_of=DAY).warnings)


def test_a_line_that_is_gone_can_be_taken_out_for_good(home):
    """Void by the letters that are said, or by its number: nothing more is said; no number is used again."""
    place.append_notes(home, [NOTE] * 3)
    path = home / "ledger.csv"
    path.write_text("".join(path.read_text().splitlines(keepends=True)[:-2]))
    letters = remarks(home)[0].split("--void ")[1].rstrip("`.")
    assert "Line 4 (" in woodlot("note", home, "--void", letters)
    assert "Line 5 (" in woodlot("note", home, "--void", 3)
    assert remarks(home) == [] and [one["line"] for one in lines_of(home)] == ["1", "4", "5"]


def test_a_line_whose_check_was_made_to_fit_is_named(home):
    """Changed by one who knows how checks are made; the seal has the old one."""
    place.append_note(home, NOTE)
    cells = ledger.read_book((home / "ledger.csv").read_text()).cells[0]
    cells[ledger.HEADING.index("amount")] = "9"
    forged = ledger.row_text([*cells[:-1], ledger.numbered([cells[:-1]], 1, DAY)[0][-1]])
    (home / "ledger.csv").write_text(ledger.heading_line() + forged)
    assert remarks(home) == [
        "ledger.csv: line 1 is not as it was written, and its check was made to fit; counted as it stands now."
    ]


def test_a_seal_that_is_gone_or_torn_is_made_anew(home):
    """Gone: said, and made at the next note. Torn: its whole rows stay, lines that are gone among them."""
    place.append_notes(home, [NOTE] * 3)
    seal = home / ledger.SEAL
    whole = seal.read_text()
    seal.unlink()
    assert len(remarks(home)) == 1 and "ledger.seal, by which a line that goes missing" in remarks(home)[0]
    place.append_note(home, NOTE)
    assert seal.read_text().startswith(whole) and len(sealed(home)) == 4 and remarks(home) == []
    path = home / "ledger.csv"
    path.write_text("".join(path.read_text().splitlines(keepends=True)[:-1]))
    seal.write_text(seal.read_text() + "xxxx,torn")
    place.append_note(home, NOTE)
    assert len(sealed(home)) == 5 and seal.read_text().endswith("firewood\n") and "line 4" in remarks(home)[0]


def test_an_old_ledger_without_a_seal_is_no_remark(home):
    """It never had one."""
    (home / "ledger.csv").write_text(OLD)
    assert remarks(home) == []


def test_lines_that_came_between_ledger_and_seal_are_sealed_by_the_next_note(home):
    """A kill between the two: nothing is said, since nothing is lost, and the next note makes it up."""
    place.append_note(home, NOTE)
    seal = (home / ledger.SEAL).read_text()
    place.append_note(home, NOTE)
    (home / ledger.SEAL).write_text(seal)
    assert remarks(home) == []
    place.append_note(home, NOTE)
    assert sealed(home) == [one["id"] for one in lines_of(home)]


# links, pipes, folders


@pytest.mark.parametrize("name", ["ledger.csv", "ledger.seal"])
@pytest.mark.parametrize("way", ["link", "pipe", "folder"])
def test_what_is_no_file_of_the_folder_is_refused(small_place, tmp_path, name, way):
    """In words, by note and by reading, at once; what a link leads to is not touched."""
    small_place.thin()
    place.append_note(small_place.folder, NOTE)
    path = small_place.folder / name
    path.rename(tmp_path / name)
    before = (tmp_path / name).read_bytes()
    {"link": lambda: path.symlink_to(tmp_path / name), "pipe": lambda: os.mkfifo(path), "folder": path.mkdir}[way]()
    for use in (place.append_note, lambda folder, _: place.read_ledger(folder)):
        with pytest.raises(PlaceError, match=f"{name}: a(?: link| folder| pipe)|{name}: no file") as stopped:
            use(small_place.folder, NOTE)
        assert len(stopped.value.faults) == 1
    assert (tmp_path / name).read_bytes() == before
    said = woodlot("walk", small_place.folder)
    assert name in said and "plain files" in said


# bad days

WRITER = """
    import sys
    from woodlot import place
    folder, name, many = sys.argv[1], sys.argv[2], int(sys.argv[3])
    for n in range(many):
        note = {"kind": "seen", "date": "2026-01-01", "who": name, "text": f"{name} {n}"}
        print(place.append_note(folder, note), flush=True)
"""


def test_four_writers_lose_nothing_while_the_ledger_is_brought_over(home):
    """Four by 25 lines into a ledger of the old form: 102 lines, each once, all sealed; one file is kept."""
    (home / "ledger.csv").write_text(OLD)
    all_of = [run(WRITER, home, name, 25) for name in ("Ann", "Ben", "Cy", "Di")]
    said = [one.communicate(timeout=120) for one in all_of]
    assert [error for _, error in said] == [""] * 4
    told, notes = place.read_ledger(home)
    assert told["line"].tolist() == list(range(1, 103)) and notes == []
    assert told["text"][2:].nunique() == 100 and sorted(sealed(home)) == sorted(told["id"])
    assert sorted(int(n) for out, _ in said for n in out.split()) == list(range(3, 103))
    assert [one.name for one in home.glob("ledger.before*")] == ["ledger.before.csv"]


FULL = """
    import resource, sys
    from woodlot import place
    from woodlot.errors import PlaceError
    size = int(sys.argv[2])
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
    for n in range(40):
        try:
            print(place.append_note(sys.argv[1], {"kind": "seen", "date": "2026-01-01", "text": f"track {n}"}))
        except PlaceError as error:
            assert "Make room" in str(error), error
"""


@pytest.mark.parametrize("begin", ["", OLD], ids=["new", "old"])
@pytest.mark.parametrize("size", [40, 200, 470, 900, 1500, 2500])
def test_a_full_disk_loses_and_doubles_nothing(home, size, begin):
    """At the border of ledger, seal or swap: what was acknowledged stands once, nothing else does, nothing is torn."""
    if begin:
        (home / "ledger.csv").write_text(begin)
    process = run(FULL, home, size)
    out, error = process.communicate(timeout=60)
    assert (process.returncode, error) == (0, "")
    told = [
        one["text"] for one in place.read_ledger(home)[0].to_dict("records") if str(one["text"]).startswith("track")
    ]
    numbers = [int(one) for one in out.split()]
    assert len(told) == len(numbers) == len(set(told)) == len(set(numbers))
    assert not [one for one in remarks(home) if "torn" in one or "not there any more" in one]
    assert not list(home.glob(".ledger*"))
    if not begin and not numbers:
        assert not (home / "ledger.csv").exists()
    place.append_note(home, NOTE)
    after, notes = place.read_ledger(home)
    assert len(after) == len(told) + 1 + (2 if begin else 0) and notes == []
    assert sorted(sealed(home)) == sorted(after["id"])


@pytest.mark.slow
@pytest.mark.parametrize("begin", ["", OLD], ids=["new", "old"])
def test_a_writer_killed_at_any_moment_loses_nothing(home, begin):
    """Twelve kills, also between ledger and seal and in the swap: all that was acknowledged, one more at most."""
    acknowledged: list[int] = []
    for moment in range(12):
        if begin and moment % 3 == 0 and not (home / "ledger.csv").exists():
            (home / "ledger.csv").write_text(begin)
        process = run(WRITER, home, f"hand {moment}", 100_000)
        for _ in range(1 + moment % 3):
            acknowledged.append(int(process.stdout.readline()))
        time.sleep(0.0007 * moment)
        os.kill(process.pid, signal.SIGKILL)
        acknowledged += [int(one) for one in process.stdout.read().split()]
        process.wait()
        process.stdout.close()
        process.stderr.close()
    place.append_note(home, NOTE)
    told, notes = place.read_ledger(home)
    assert set(acknowledged) <= set(told["line"]) and len(acknowledged) == len(set(acknowledged))
    assert len(told) - len(acknowledged) <= 12 + 1 + (2 if begin else 0)
    assert not told["id"].duplicated().any() and not told["text"].dropna().duplicated().any()
    assert notes == [] and sorted(sealed(home)) == sorted(told["id"])

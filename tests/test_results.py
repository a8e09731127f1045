"""The folder of results: old or new, whole, whoever is killed; nothing in it is lost that woodlot did not make."""

import hashlib
import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest

from woodlot import place
from woodlot.errors import InputError, PlaceError
from woodlot.place.results import LIST, OF_A_PLAN, check_results, write_results

OLD = {"map.html": "old map", "report.html": "old report", "tables/stands.csv": "stand\n1\n"}
NEW = {"map.html": "new map", "report.html": "new report", "tables/stands.csv": "stand\n2\n", "woods.kml": "<kml/>"}


def tree(folder: Path, kind: type = str) -> dict:
    """Name within -> text, or bytes, of every file, the list and hidden ones too."""
    read = Path.read_text if kind is str else Path.read_bytes
    return {p.relative_to(folder).as_posix(): read(p) for p in sorted(folder.rglob("*")) if p.is_file()}


def made(folder: Path) -> dict[str, str]:
    """The same without the list."""
    return {name: text for name, text in tree(folder).items() if name != LIST}


def refused(folder: Path, files=NEW) -> dict[str, str]:
    """File -> what is wrong with it, said alike before the work and at the swap; nothing is changed."""
    before = tree(folder.parent)
    told = []
    for use in (lambda: check_results(folder, files), lambda: write_results(folder, files)):
        with pytest.raises(PlaceError) as stopped:
            use()
        assert tree(folder.parent) == before
        told.append({fault.file: fault.found for fault in stopped.value.faults})
        assert all("try again" in fault.remedy for fault in stopped.value.faults)
    assert told[0] == told[1]
    return told[0]


# what is written, and what stays


def test_new_files_come_in_and_what_else_lay_there_stays(tmp_path):
    """Files of another verb, a photo in a folder of the family's, a link of theirs; folders are made, text is UTF-8."""
    out = tmp_path / "out"
    write_results(out, {"tally_phone.html": "tally", "map.html": "old"})
    (out / "photos" / "2026").mkdir(parents=True)
    (out / "photos" / "2026" / "oak.jpg").write_text("oak")
    (out / "empty").mkdir()
    (out / "far").symlink_to("/nowhere")
    where = (out / "photos" / "2026" / "oak.jpg").stat().st_ino
    told = write_results(out, {"map.html": "neü", "tables/stands.csv": b"a\n"})
    assert told.written == (out / "map.html", out / "tables/stands.csv") and told.taken_away == ()
    assert (out / "map.html").read_bytes() == "neü".encode()
    assert made(out).keys() == {"map.html", "tables/stands.csv", "tally_phone.html", "photos/2026/oak.jpg"}
    assert (out / "photos" / "2026" / "oak.jpg").stat().st_ino == where  # the same file, not a copy
    assert (out / "empty").is_dir() and (out / "far").readlink() == Path("/nowhere")
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_the_list_is_one_that_sha256sum_checks(tmp_path):
    """Two spaces between checksum and name, in the order of names; the same files give the same bytes."""
    write_results(tmp_path / "out", {"tables/stands.csv": "a", "map.html": "b"})
    write_results(tmp_path / "out", {"woods.gpx": "c"})
    write_results(tmp_path / "other", {"woods.gpx": "c", "map.html": "b", "tables/stands.csv": "a"})
    lines = [
        f"{hashlib.sha256(t.encode()).hexdigest()}  {name}\n" for name, t in sorted(made(tmp_path / "out").items())
    ]
    assert (tmp_path / "out" / LIST).read_text() == "".join(lines) == (tmp_path / "other" / LIST).read_text()
    if tool := shutil.which("sha256sum"):
        subprocess.run([tool, "--check", "--strict", LIST], cwd=tmp_path / "out", check=True, capture_output=True)


def test_what_an_older_plan_made_and_this_one_does_not_is_taken_away(tmp_path):
    """Unless someone changed it; files of other verbs and of the family stay, also where their names are a plan's."""
    out = tmp_path / "out"
    write_results(out, {"first_plots.gpx": "walk", "report.pdf": "%PDF", "woods.kml": "k", "tally_phone.html": "t"})
    (out / "woods.kml").write_text("k, and a word of ours")
    (out / "woods.gpx").write_text("of a handheld")
    told = write_results(out, {"map.html": "new"}, instead_of=OF_A_PLAN)
    assert told.taken_away == ("first_plots.gpx", "report.pdf")
    assert made(out) == {
        "map.html": "new",
        "woods.kml": "k, and a word of ours",
        "woods.gpx": "of a handheld",
        "tally_phone.html": "t",
    }
    assert refused(out, {"woods.kml": "new", "woods.gpx": "new"}) == {
        "out/woods.kml": "changed since woodlot wrote it",
        "out/woods.gpx": "not a file that woodlot made",
    }


def test_what_was_written_is_known_in_order(tmp_path):
    """Nothing that was refused is in it."""
    before = len(place.written())
    write_results(tmp_path / "out", OLD)
    place.write_files(tmp_path, {"columns.txt": "x"})
    (tmp_path / "out" / "map.html").write_text("ours")
    refused(tmp_path / "out")
    names = [path.relative_to(tmp_path).as_posix() for path in place.written()[before:]]
    assert names == ["out/map.html", "out/report.html", "out/tables/stands.csv", "columns.txt"]


# what is not written over


def test_a_changed_file_and_a_foreign_one_are_refused_by_name(tmp_path):
    """All of them in one pass; once they are moved the same files go in."""
    out = tmp_path / "out"
    write_results(out, OLD)
    (out / "report.html").write_text("old report, with our notes")
    (out / "woods.kml").write_text("drawn by hand")
    assert refused(out) == {
        "out/report.html": "changed since woodlot wrote it",
        "out/woods.kml": "not a file that woodlot made",
    }
    (out / "report.html").rename(out / "report of ours.html")
    (out / "woods.kml").rename(tmp_path / "woods.kml")
    write_results(out, NEW)
    assert made(out) == {**NEW, "report of ours.html": "old report, with our notes"}


def test_the_same_content_is_never_in_the_way(tmp_path):
    """A file that was copied in and is as it would be written: nothing is lost, so nothing is asked."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "map.html").write_text("new map")
    write_results(tmp_path / "out", NEW)
    assert made(tmp_path / "out") == NEW


@pytest.mark.parametrize("at", ["out", "out/tables", "out/map.html", f"out/{LIST}"])
def test_a_link_is_refused_and_what_lies_behind_it_is_whole(tmp_path, at):
    """The folder itself, a folder in it, a file, the list."""
    write_results(tmp_path / "out", OLD)
    (tmp_path / at).rename(tmp_path / "elsewhere")
    (tmp_path / at).symlink_to(tmp_path / "elsewhere")
    assert refused(tmp_path / "out") == {at: "a link to elsewhere"}
    (tmp_path / at).unlink()
    (tmp_path / at).symlink_to(tmp_path / "nowhere")
    assert refused(tmp_path / "out")[at] == "a link to elsewhere" and not (tmp_path / "nowhere").exists()


def test_a_pipe_a_folder_and_a_file_in_the_way_are_refused(tmp_path):
    """A pipe is not opened: whoever reads it would wait for ever."""
    out = tmp_path / "out"
    out.mkdir()
    os.mkfifo(out / "map.html")
    (out / "report.html").mkdir()
    (out / "tables").write_text("a file")
    assert refused(out) == {
        "out/map.html": "a pipe, where a file must be",
        "out/report.html": "a folder, where a file must be",
        "out/tables": "a file, where a folder must be",
    }
    os.mkfifo(out / LIST)
    assert refused(out, {"woods.gpx": "x"}) == {f"out/{LIST}": "a pipe, where a file must be"}


def test_a_pipe_of_the_familys_stays(tmp_path):
    """It lies beside the results, nobody writes it, and it hinders nothing."""
    write_results(tmp_path / "out", OLD)
    os.mkfifo(tmp_path / "out" / "pipe")
    write_results(tmp_path / "out", NEW)
    assert (tmp_path / "out" / "pipe").is_fifo() and made(tmp_path / "out") == NEW


@pytest.mark.parametrize("name", ["../trees.csv", "/etc/x", "", "a/../../b", "c:\\x", "two\nlines", LIST])
def test_names_that_leave_the_folder_are_refused(tmp_path, name):
    """Results stay where they belong, and the list is nobody else's."""
    with pytest.raises(InputError):
        write_results(tmp_path / "out", {name: "x"})
    assert not (tmp_path / "out").exists() and len(list(tmp_path.parent.glob("*.csv"))) == 0


def test_a_folder_of_hand_ins_is_no_folder_of_results(small_place):
    """It would be exchanged as a whole."""
    before = small_place.prints()
    with pytest.raises(InputError, match="own files"):
        write_results(small_place.folder, {"cords.csv": "x"})
    assert small_place.prints() == before


# a folder of an older woodlot


def test_results_of_an_older_woodlot_are_known_by_its_answers(tmp_path):
    """All that a plan makes, at the first write, whichever verb it is; not what only has a table's name."""
    out = tmp_path / "out"
    older = {**NEW, "answers.json": json.dumps({"schema": 3}), "tables/mine.csv": "mine\n", "notes.txt": "ours"}
    write_results(out, older)
    (out / LIST).unlink()
    write_results(out, {"map.html": "newer"})
    assert {line.split()[1] for line in (out / LIST).read_text().splitlines()} == {*NEW, "answers.json"}
    write_results(out, {**OLD, "answers.json": "{}"}, instead_of=OF_A_PLAN)
    assert made(out) == {**OLD, "answers.json": "{}", "tables/mine.csv": "mine\n", "notes.txt": "ours"}
    assert "out/notes.txt" in refused(out, {"notes.txt": "x"})


@pytest.mark.parametrize("answers", [None, "{}", "[1]", "not json", '{"schema": "mine"}', "[" * 100_000])
def test_a_folder_that_does_not_show_itself_is_the_familys(tmp_path, answers):
    """No list and no answers of a plan: every file of the names is asked about."""
    (tmp_path / "out").mkdir()
    for name, text in {"map.html": "<title>Our map", "answers.json": answers}.items():
        if text is not None:
            (tmp_path / "out" / name).write_text(text)
    assert refused(tmp_path / "out") == {"out/map.html": "not a file that woodlot made"}

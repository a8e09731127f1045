"""The record handed on: one archive by RFC 8493, read by the standard's own library and plain tools, opened again."""

import json
import os
import random
import re
import shutil
import subprocess
import zipfile
from datetime import date
from html import unescape
from pathlib import Path

import bagit
import pytest
from click.testing import CliRunner

from woodlot.cli import main
from woodlot.columns import TABLES, header
from woodlot.errors import InputError, PlaceError
from woodlot.map.offline import outside
from woodlot.place import bundle, packing, results

DAY = "2026-11-25"
PAGE, TEXT = "READ ME FIRST.html", "READ ME FIRST.txt"


def run(*words, code=0):
    """What a verb says, on one line; it ends as it should."""
    done = CliRunner().invoke(main, [str(word) for word in words])
    assert done.exit_code == code, done.output
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exc_info
    return " ".join(done.output.split())


def tree(folder):
    """Name -> bytes of all files of a folder."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@pytest.fixture(scope="module")
def home(tmp_path_factory, samples):
    """A forty with a ledger, a photo, a deed, words of a neighbor's, and what is not handed on."""
    home = shutil.copytree(samples / "first_forty", tmp_path_factory.mktemp("bundle") / "forty")
    run("note", home, "deer", "--sex-age", "doe", "--date", "2025-11-20")
    run("note", home, "firewood", "2.5", "--date", "2026-02-03", "--text", "=ash by the road")
    for name in ("photos/doe.jpg", "deed of 1931.pdf", "letters/grandfather, 1952.txt", ".hidden", "~$plots.xlsx"):
        (home / name).parent.mkdir(exist_ok=True)
        (home / name).write_bytes(name.encode() * 400)
    (home / "out").mkdir()
    (home / "out" / "left.txt").write_text("left")
    return home


@pytest.fixture(scope="module")
def archive(home):
    """Its archive, of one day."""
    before = tree(home)
    run("bundle", home, "--as-of", DAY)
    assert tree(home) == before
    return home.parent / f"Wendt_forty_{DAY}.zip"


@pytest.fixture
def bag(archive, tmp_path):
    """The folder that lies in it, unpacked by the standard library."""
    with zipfile.ZipFile(archive) as packed:
        packed.extractall(tmp_path)
    return tmp_path / archive.stem


slow = pytest.mark.slow


@slow
def test_the_standards_own_library_and_plain_tools_find_it_whole(archive, bag):
    """bagit.py of the Library of Congress; sha256sum of coreutils; unzip."""
    read = bagit.Bag(str(bag))
    assert read.validate()
    assert read.info["Bagging-Date"] == DAY
    assert read.version_info == (1, 0)
    for manifest in ("manifest-sha256.txt", "tagmanifest-sha256.txt"):
        subprocess.run(["sha256sum", "-c", "--strict", "--quiet", manifest], cwd=bag, check=True)
    if shutil.which("unzip"):
        subprocess.run(["unzip", "-tq", archive], check=True, capture_output=True)
    assert sorted(p.name for p in bag.parent.iterdir()) == [bag.name]
    assert "woodlot" in (bag / "bag-info.txt").read_text()


@slow
def test_all_that_is_the_familys_is_in_it_and_nothing_hidden_or_left_over(home, bag):
    """Byte for byte; beside it the results of the day, and the plan as it is kept."""
    told = tree(bag / "data")
    own = {name: data for name, data in tree(home).items() if not name.startswith((".", "~", "out/"))}
    assert {name: told[name] for name in own} == own
    assert {"photos/doe.jpg", "deed of 1931.pdf", "letters/grandfather, 1952.txt", "ledger.csv", "ledger.seal"} < set(
        own
    )
    made = set(told) - set(own)
    assert {"out/map.html", "out/report.html", "out/answers.json", "out/plan.gpkg", f"plans/{DAY}.zip"} < made
    assert all(name.startswith(("out/", "plans/")) and "left" not in name for name in made)


@slow
def test_two_runs_give_the_same_bytes_and_nothing_is_written_over(home, archive, tmp_path):
    """The same again is told; another file of the name stays as it is."""
    again = tmp_path / "other.zip"
    run("bundle", home, "--as-of", DAY, "--to", again)
    assert again.read_bytes() == archive.read_bytes()
    assert "There already, the same" in run("bundle", home, "--as-of", DAY, "--to", again)
    again.write_text("a letter")
    assert "Give another name" in run("bundle", home, "--as-of", DAY, "--to", again, code=1)
    assert again.read_text() == "a letter"
    assert [p.name for p in tmp_path.iterdir()] == ["other.zip"]


def zipped(folder, file):
    """A folder packed by the standard library, as other hands would."""
    with zipfile.ZipFile(file, "w") as out:
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                out.write(path, path.relative_to(folder.parent))
    return file


@slow
def test_a_check_names_every_file_missing_changed_or_added(bag, tmp_path):
    """In the folder, and in the same folder packed anew by other hands."""
    assert run("bundle", "--check", bag).startswith("Whole: ")
    assert run("bundle", "--check", zipped(bag, tmp_path / "whole.zip")).startswith("Whole: ")
    (bag / "data" / "trees.csv").unlink()
    (bag / "data" / "place.toml").write_text((bag / "data" / "place.toml").read_text() + "\n")
    (bag / "data" / "strange.txt").write_text("?")
    (bag / PAGE).write_text("another page")
    (bag / "beside.txt").write_text("?")
    for what in (bag, zipped(bag, tmp_path / "torn.zip")):
        said = run("bundle", "--check", what, code=1)
        assert "Missing: data/trees.csv" in said
        assert f"Changed: {PAGE} Changed: data/place.toml Added since: beside.txt Added since: data/strange.txt" in said
    (bag / "tagmanifest-sha256.txt").unlink()
    assert "Missing: tagmanifest-sha256.txt" in run("bundle", "--check", bag, code=1)
    (bag / "manifest-sha256.txt").write_bytes(b"\xff\xfe nothing")
    assert "cannot be read" in run("bundle", "--check", bag, code=1)
    shutil.rmtree(bag / "data")
    run("bundle", "--check", bag, code=1)
    (bag / "bagit.txt").unlink()
    assert "is no bundle" in run("bundle", "--check", bag, code=1)
    run("bundle", "--check", tmp_path / "nowhere.zip", code=1)


@slow
def test_any_byte_that_is_not_as_it_was_is_noticed(archive, tmp_path):
    """Bytes turned anywhere, in the directory and at the end of the zip too; ends cut off; words behind it."""
    whole, torn = archive.read_bytes(), tmp_path / "torn.zip"
    draw = random.Random(1)
    spots = [draw.randrange(len(whole)) for _ in range(200)] + list(range(len(whole) - 140, len(whole)))
    for at in spots:
        torn.write_bytes(whole[:at] + bytes([whole[at] ^ draw.randrange(1, 256)]) + whole[at + 1 :])
        assert not packing.sealed(torn), at
    for at in [*spots[:12], *spots[200::12]]:
        torn.write_bytes(whole[:at] + bytes([whole[at] ^ draw.randrange(1, 256)]) + whole[at + 1 :])
        said = run("bundle", "--check", torn, code=1)
        assert "Stopped" in said
        assert "another copy" in said
    for cut in (0, 1, 21, 1000, len(whole) // 2, len(whole) - 1):
        torn.write_bytes(whole[:cut])
        assert "another copy" in run("bundle", "--check", torn, code=1)
    torn.write_bytes(whole + b"\n")
    assert "another copy" in run("bundle", "--check", torn, code=1)


@slow
def test_it_opens_as_a_place_with_the_same_answers_and_is_handed_on_again(archive, bag, tmp_path):
    """As the folder it was unpacked into, and laid out anew; before its plan and after it the same files go along."""
    assert "start NEW --from" in run("walk", archive, "--as-of", DAY, code=2)
    shown = run("walk", bag, "--as-of", DAY)
    assert "Wendt forty" in shown
    new = tmp_path / "daughters"
    said = run("start", new, "--from", archive)
    assert "Checked and laid out" in said
    assert tree(new) == tree(bag / "data")
    run("bundle", new, "--as-of", DAY, "--to", tmp_path / "before.zip")
    run("plan", new, "--as-of", DAY)
    assert (new / "out" / "answers.json").read_bytes() == (bag / "data" / "out" / "answers.json").read_bytes()
    assert tree(new) == tree(bag / "data")
    run("bundle", new, "--as-of", DAY, "--to", tmp_path / "after.zip")
    assert (tmp_path / "before.zip").read_bytes() == (tmp_path / "after.zip").read_bytes() == archive.read_bytes()
    run("start", tmp_path / "from_folder", "--from", bag)
    assert tree(tmp_path / "from_folder") == tree(bag / "data")


@slow
def test_only_a_whole_one_is_laid_out_and_only_into_an_empty_folder(archive, bag, tmp_path):
    """Nothing is left where it was refused; an empty folder that is there takes it."""
    (bag / "data" / "plots.csv").write_text("plot_id\n")
    for what in (bag, zipped(bag, tmp_path / "torn.zip")):
        assert "not whole" in run("start", tmp_path / "new", "--from", what, code=1)
    full = tmp_path / "full"
    full.mkdir()
    (full / "mine.txt").write_text("mine")
    assert "not empty" in run("start", full, "--from", archive, code=1)
    assert tree(full) == {"mine.txt": b"mine"}
    assert {p.name for p in tmp_path.iterdir()} == {bag.name, "torn.zip", "full"}
    (tmp_path / "empty").mkdir()
    run("start", tmp_path / "empty", "--from", archive)
    assert (tmp_path / "empty" / "place.toml").is_file()
    assert "name one of them" in run("start", tmp_path / "x", "--from", archive, "--sample", "otter_lake", code=1)


@slow
def test_a_line_of_the_ledger_changed_by_hand_is_named_though_the_checksums_fit(home, tmp_path):
    """The bundle is whole, and says which line is not as it was written."""
    other = shutil.copytree(home, tmp_path / "forty")
    (other / "ledger.csv").write_text((other / "ledger.csv").read_text().replace("2.5", "25"))
    run("bundle", other, "--as-of", DAY, "--to", tmp_path / "b.zip")
    said = run("bundle", "--check", tmp_path / "b.zip", code=1)
    assert said.startswith("Whole: ") and "Stopped: its ledger is not as woodlot wrote it." in said
    assert "ledger.csv, row 3" in said


@slow
def test_the_page_names_every_file_and_column_and_says_what_the_report_says(bag):
    """It fetches nothing; its text says the same."""
    page = (bag / PAGE).read_text(encoding="utf-8")
    words = " ".join(unescape(re.sub(r"<wbr>|<[^>]+>", lambda tag: "" if tag[0] == "<wbr>" else " ", page)).split())
    plain = " ".join((bag / TEXT).read_text(encoding="utf-8").split())
    assert outside(page) == []
    assert "<script" not in page
    answers = json.loads((bag / "data" / "out" / "answers.json").read_text())
    report = (bag / "data" / "out" / "report.html").read_text(encoding="utf-8")
    for told in (words, plain):
        assert answers["headline"] in told
        for row in answers["rows"]:
            assert row["number"].rstrip(".") in told
            assert " ".join(row["why"].split()) in told
            assert all(line in unescape(report) for line in row["why"].splitlines())
        for table in ("parcels", "stands", "plots", "trees", "ledger"):
            assert set(header(table)) <= set(told.replace(":", " ").split()), table
    links = {unescape(one) for one in re.findall(r"href='(data/[^']+)'", page)}
    from urllib.parse import unquote

    assert {unquote(one) for one in links} == {f"data/{name}" for name in tree(bag / "data")}
    assert all(f"data/{name}" in plain for name in tree(bag / "data"))
    assert f"--from Wendt_forty_{DAY}.zip" in words
    assert f"plan my_woods --as-of {DAY} gives" in words


def test_every_table_and_result_has_words_of_its_own():
    """No file that woodlot reads or makes is only "kept as it came"."""
    from woodlot.place.results import LIST, OF_A_PLAN, OUT
    from woodlot.say.bundle import of_file

    names = [f"{table}.csv" for table in TABLES] + ["parcels.kml", "place.toml", "ledger.seal", f"plans/{DAY}.zip"]
    names += [f"{OUT}/{name}" for name in (*OF_A_PLAN, LIST)]
    said = {name: of_file(name) for name in names}
    assert [name for name, words in said.items() if "kept as it came" in words] == []
    assert said[f"{OUT}/tables/stands.csv"] != said["stands.csv"]
    assert of_file("elevation.tif") == "Height of the ground, as a grid."
    assert of_file("old walk.kml") == "A map or a walk, kept as it came."


def test_names_that_not_every_computer_takes_are_named_all_at_once(tmp_path):
    """A stick takes no colon; a name in other capitals would be written over."""
    for name in ("oak: north.jpg", "100%.txt", "Deed.pdf", "deed.pdf", "last."):
        (tmp_path / name).write_text("x")
    with pytest.raises(PlaceError) as stopped:
        bundle.contents(tmp_path)
    assert {fault.file for fault in stopped.value.faults} == {"oak: north.jpg", "100%.txt", "deed.pdf", "last."}


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs a system with pipes")
def test_what_is_no_file_stays_behind_and_is_told(tmp_path):
    """A pipe does not hang it; a link to a file of the place goes along as a file, one to a folder is named."""
    place = tmp_path / "place"
    place.mkdir()
    os.mkfifo(place / "pipe")
    (tmp_path / "elsewhere").mkdir()
    (place / "large.tif").write_text("x")
    (place / "folder").symlink_to(tmp_path / "elsewhere")
    (place / "big.tif").symlink_to("large.tif")
    files, behind = bundle.contents(place)
    assert list(files) == ["big.tif", "large.tif"]
    assert sorted(behind) == ["folder", "pipe"]


@pytest.mark.skipif(os.name != "posix", reason="needs a system with links for everyone")
def test_a_link_to_a_file_elsewhere_is_refused(tmp_path):
    """What lies there may be anyone's; it is named, so that nobody misses it in the archive later."""
    place = tmp_path / "place"
    (place / "photos").mkdir(parents=True)
    (tmp_path / "secret").write_text("x")
    (place / "photos" / "doe.jpg").symlink_to(tmp_path / "secret")
    with pytest.raises(PlaceError, match="a link to elsewhere") as stopped:
        bundle.contents(place)
    assert [fault.file for fault in stopped.value.faults] == ["photos/doe.jpg"]


@pytest.mark.parametrize("checksums", [["sha512"], ["md5", "sha256"], None])
def test_a_place_packed_by_another_tool_opens(samples, tmp_path, checksums):
    """By the standard one list of any checksums is enough, and the tool's own lists need not be listed."""
    packed = shutil.copytree(samples / "first_forty", tmp_path / "forty")
    bagit.make_bag(str(packed), checksums=checksums)
    archive = shutil.make_archive(str(tmp_path / "forty"), "zip", tmp_path, "forty")
    for one in (packed, archive):
        assert "Whole" in run("bundle", "--check", one)
    run("start", tmp_path / "new", "--from", archive)
    assert tree(tmp_path / "new") == tree(samples / "first_forty")
    (packed / "data" / "trees.csv").write_text("x")
    (packed / "data" / "more.csv").write_text("x")
    assert "Changed: data/trees.csv Added since: data/more.csv" in run("bundle", "--check", packed, code=1)


def test_a_folder_with_a_pipe_or_a_link_is_no_bundle(tmp_path):
    """It is said, and nothing waits on it."""
    (tmp_path / "data").mkdir()
    (tmp_path / "bagit.txt").write_text("BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n")
    (tmp_path / "data" / "link").symlink_to("/etc/hosts")
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "data" / "pipe")
    found = bundle.check(tmp_path)
    assert not found.whole
    assert "data/link" in " ".join(found.wrong)


def test_where_an_archive_may_be_written(tmp_path):
    """Beside the place, into a folder, never into the place, always as a zip file in a folder that is there."""
    place, day = tmp_path / "place", date(2026, 11, 25)
    place.mkdir()
    assert bundle.target(place, "Our woods", day, None) == tmp_path / "Our_woods_2026-11-25.zip"
    assert bundle.target(place, "\u202e🌲", day, tmp_path) == tmp_path / "woods_2026-11-25.zip"
    assert bundle.target(place, "Our woods", day, Path(tmp_path / "a.zip")) == tmp_path / "a.zip"
    for wrong in (place / "a.zip", place / "out.zip", tmp_path / "a.tar", tmp_path / "none" / "a.zip", place):
        with pytest.raises(InputError):
            bundle.target(place, "Our woods", day, wrong)


def test_nothing_is_left_where_the_disk_is_full(tmp_path, monkeypatch):
    """Words, and no half archive."""
    (tmp_path / "a").write_text("a")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(packing.Packing, "seal", full)
    with pytest.raises(PlaceError, match="No space left"):
        bundle.write(tmp_path / "b.zip", "W", date(2026, 11, 25), {"a": tmp_path / "a"}, {}, {"page": "page"})
    assert [p.name for p in tmp_path.iterdir()] == ["a"]


@slow
def test_a_photo_that_the_ledger_names_and_nobody_has_is_told(home, tmp_path):
    """The archive is written, with a caution."""
    other = shutil.copytree(home, tmp_path / "forty")
    rows = (other / "ledger.csv").read_text().splitlines()
    cells = rows[0].split(",")
    from woodlot.ledger import HEADING, format_line

    assert cells == list(HEADING)
    note = {"line": 9, "id": "bcdfghjkmnpq", "date": "2026-05-01", "kind": "seen", "photo": "bear.jpg"}
    (other / "ledger.csv").write_text("\n".join(rows) + "\n" + format_line(note))
    (other / "out" / ".hidden").write_text("x")
    said = run("bundle", other, "--as-of", DAY, "--to", tmp_path)
    assert "bear.jpg" in said.split("Caution: ", 1)[1]
    assert "made anew: out/left.txt. To hand it on" in said


def test_what_woodlot_made_in_the_results_is_not_the_familys(tmp_path):
    """Only files that are not in its list are named; without a folder there are none."""
    assert results.not_made(tmp_path / "out") == []
    results.write_results(tmp_path / "out", {"map.html": "a map"})
    (tmp_path / "out" / "own").mkdir()
    (tmp_path / "out" / "own" / "deed.txt").write_text("x")
    assert results.not_made(tmp_path / "out") == ["own/deed.txt"]

"""A new place, results swapped in, the ledger appended to: by two at once, on a full disk, by one who is killed."""

import datetime as dt
import errno
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import textwrap
import time
import zipfile
from pathlib import Path

import geopandas as gpd
import pandas as pd
import pytest

from woodlot import columns, ledger, place
from woodlot.errors import InputError, PlaceError
from woodlot.paper import tally_files
from woodlot.place import swapping
from woodlot.place.lists import LISTS
from woodlot.place.settings import SETTINGS

DAY = dt.date(2026, 11, 25)
NOTE = {"date": "2026-01-17", "kind": "firewood", "amount": 2.5, "unit": "cord", "parcel_id": "home"}


def read(small) -> place.Place:
    """The small place as of a fixed day."""
    return place.read(small.folder, as_of=DAY)


def limited(letters: int, body: str) -> str:
    """What a process prints that may write files of so many letters at most."""
    script = "import resource\nfrom woodlot import place\nfrom woodlot.errors import PlaceError\n"
    script += f"resource.setrlimit(resource.RLIMIT_FSIZE, ({letters}, {letters}))\n" + textwrap.dedent(body)
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert "Traceback" not in run.stderr
    return run.stdout


# a new place


def test_a_new_place_says_what_is_missing(tmp_path):
    """Laid out and read at once: one fault, the parcels; every heading is there, and nothing is written over."""
    written = place.start(tmp_path / "Our woods")
    assert set(written) >= {"place.toml", "columns.txt", "plots.csv", "trees.csv", "winters.csv"}
    with pytest.raises(PlaceError) as stopped:
        place.read(tmp_path / "Our woods")
    assert [fault.file for fault in stopped.value.faults] == ["parcels.geojson"]
    told = (tmp_path / "Our woods" / "columns.txt").read_text()
    assert all(name in told for table in columns.TABLES if table != "ledger" for name in columns.header(table))
    with pytest.raises(InputError, match="already, and nothing there is written over"):
        place.start(tmp_path / "Our woods")


def test_a_full_folder_gets_only_the_place_toml_and_columns_txt_it_lacks(small_place):
    """All other files keep their bytes and times; the place is read then; a sample never goes into a full folder."""
    (small_place.folder / "place.toml").unlink()
    (small_place.folder / "plots.csv").rename(small_place.folder / "old plots.csv")
    (small_place.folder / "trees.csv").unlink()
    before = small_place.prints()
    with pytest.raises(InputError, match="not empty"):
        place.start(small_place.folder, sample="first_forty")
    assert place.start(small_place.folder, region="northeast") == ["place.toml", "columns.txt"]
    after = small_place.prints()
    assert after.keys() - before.keys() == {"place.toml", "columns.txt"} and before.items() <= after.items()
    (small_place.folder / "pellets.csv").unlink()
    told = place.read(small_place.folder)
    assert (told.name, told.region.name) == ("place", "northeast")
    with pytest.raises(InputError, match="already"):
        place.start(small_place.folder)


def test_a_new_place_with_its_parcels_can_be_read(tmp_path, small_place):
    """With parcels and stands drawn, the empty tables are no faults."""
    place.start(tmp_path / "new")
    for name in ("parcels.geojson", "stands.geojson"):
        shutil.copy(small_place.folder / name, tmp_path / "new")
    told = place.read(tmp_path / "new")
    assert told.name == "new" and told.plots.empty and any("No plots yet" in said for said in told.warnings)


def test_every_setting_of_a_new_place_toml_is_known(tmp_path):
    """With the # taken off each example line, place.toml is read; but no tree bears its mark to clear, and no plot was
    counted with its prism.
    """
    place.start(tmp_path / "new")
    path = tmp_path / "new" / "place.toml"
    middle = {row["column"]: (row["low"] + row["high"]) / 2 for row in columns.listing(SETTINGS | LISTS) if row["high"]}
    lines = [
        line.removeprefix("# ") if " = " in line or "# [[" in line else line for line in path.read_text().splitlines()
    ]
    path.write_text("\n".join(line.replace("= ...", f"= {middle.get(line.split(' = ')[0])}") for line in lines))
    with pytest.raises(PlaceError) as stopped:
        place.read(tmp_path / "new")
    faults = [(fault.file, fault.column) for fault in stopped.value.faults]
    of_toml = {("place.toml", "needs.clear"), ("place.toml", "prism, number 1, factor")}
    assert {file for file, _ in set(faults) - of_toml} == {"parcels.geojson"} and len(faults) == 3


# what is written


@pytest.mark.parametrize("name", ["../trees.csv", "/etc/x", "", "a/../../b", "c:\\x"])
def test_names_that_leave_the_folder_are_refused(tmp_path, name):
    """Results stay where they belong."""
    with pytest.raises(InputError, match="no name of a file"):
        place.write_files(tmp_path / "out", {name: "x"})
    assert not list(tmp_path.rglob("*.csv"))


TABLE = pd.DataFrame({"stand_id": ["1", "2"], "acres": [1 / 3, 2.0], "words": ["a, b", "two\nlines"]})


@pytest.mark.parametrize(
    "name",
    ["trees.csv", "place.toml", "Parcels.geojson", "ledger.csv", "canopy.tif", "Slope.TIFF", "land_cover_codes.csv"],
)
def test_a_family_s_own_files_are_never_written_over(small_place, name):
    """A result may lie in the place under another name, but not under that of a hand-in file."""
    before = small_place.prints()
    with pytest.raises(InputError, match="own files"):
        place.write_files(small_place.folder, {name: "x"})
    with pytest.raises(InputError, match="own files"):
        place.write_table(small_place.folder / name, TABLE)
    assert small_place.prints() == before
    assert place.write_files(small_place.folder, {"cords.csv": "x"})[0].read_text() == "x"


def test_no_table_is_written_into_a_region_of_their_own(small_place):
    """A CSV there would be read as figures."""
    folder = small_place.folder / "ours"
    folder.mkdir()
    (folder / "region.toml").write_text('based_on = "lake_states"')
    with pytest.raises(InputError, match="own files"):
        place.write_table(folder / "products.csv", TABLE)


def test_a_table_is_written_anew_over_itself(tmp_path):
    """The same bytes the second time, other rows, no rows; it is read with one column more than was given."""
    path = tmp_path / "new" / "stands.csv"
    place.write_table(path, TABLE)
    first = path.read_bytes()
    place.write_table(path, TABLE)
    assert path.read_bytes() == first
    assert pd.read_csv(path, dtype={"stand_id": str}).drop(columns="woodlot_check").equals(TABLE)
    for frame in (TABLE[:1], TABLE[:0], TABLE):
        place.write_table(path, frame)
    assert path.read_bytes() == first and [p.name for p in path.parent.iterdir()] == ["stands.csv"]


FILLED_IN = {
    "a cell": lambda text: text.replace("0.3333333333333333", "0.34"),
    "a word": lambda text: text.replace("two\nlines", "three\nlines"),
    "a row more": lambda text: text + "3,1.5,ours,\n",
    "a row copied": lambda text: text + text.splitlines()[1] + "\n",
    "a row less": lambda text: text.replace(text.splitlines()[1] + "\n", ""),
    "a column more": lambda text: text.replace("woodlot_check", "woodlot_check,paint"),
    "a column less": lambda text: text.replace(",woodlot_check", ""),
    "other line ends": lambda text: text.replace("\n", "\r\n"),
    "other letters": lambda text: text.encode().decode("latin-1") + "ü",
    "all but the heading": lambda text: text.splitlines()[0] + "\nours\n",
}


@pytest.mark.parametrize("way", FILLED_IN)
def test_a_table_that_was_filled_in_is_the_familys(tmp_path, way):
    """Whatever a hand or a spreadsheet changed in it, it is not written over."""
    path = place.write_table(tmp_path / "stands.csv", TABLE)
    path.write_bytes(FILLED_IN[way](path.read_text()).encode("latin-1"))
    before = path.read_bytes()
    with pytest.raises(InputError, match="Give another name"):
        place.write_table(path, TABLE)
    assert path.read_bytes() == before


def test_what_woodlot_did_not_write_is_not_written_over(small_place, tmp_path):
    """A raster, a table, a copy of the ledger with its checksums, a page, a link to one of them, a device."""
    place.append_note(small_place.folder, NOTE)
    shutil.copy(small_place.folder / "ledger.csv", tmp_path / "copy.csv")
    (tmp_path / "elevation.tif").write_bytes(b"II*\0" * 9)
    (tmp_path / "empty.csv").write_text("")
    (tmp_path / "link.csv").symlink_to(tmp_path / "copy.csv")
    (tmp_path / "lost.csv").symlink_to(tmp_path / "nowhere.csv")
    place.write_files(tmp_path, {"report.html": "<p>", "stands.csv": "stand_id\n1\n"})
    before = {path.name: path.readlink() if path.is_symlink() else path.read_bytes() for path in tmp_path.glob("*.*")}
    assert len(before) == 7
    for path in (*tmp_path.glob("*.*"), small_place.folder, Path("/dev/null")):
        with pytest.raises(InputError, match="is there already"):
            place.write_table(path, TABLE)
    for path in tmp_path.glob("*.*"):
        assert before[path.name] == (path.readlink() if path.is_symlink() else path.read_bytes())


@pytest.mark.parametrize("sample", [None, "first_forty"])
def test_a_full_disk_begins_no_place(tmp_path, samples, sample):
    """Neither a torn place.toml nor half a sample stays behind, so that the same command works when there is room."""
    body = f"""
        try:
            place.start({str(tmp_path / "ours")!r}, sample={sample!r})
        except PlaceError as error:
            print(error)
        """
    assert "make room" in limited(700, body) and not (tmp_path / "ours").exists()
    place.start(tmp_path / "ours", sample=sample)
    assert (tmp_path / "ours" / "place.toml").is_file()


def test_a_sample_is_copied_whole(tmp_path, samples):
    """Every file of it, byte by byte, also of the folders within; nothing that was made from it."""
    names = place.start(tmp_path / "ours", sample="otter_lake")
    there = {p.name: p.read_bytes() for p in (samples / "otter_lake").iterdir() if p.is_file() and p.name[0] != "."}
    assert sorted(there) == names and {n: (tmp_path / "ours" / n).read_bytes() for n in names} == there


def test_rows_go_into_all_tables_or_none(small_place, tmp_path, monkeypatch):
    """The disk is full for the trial, or after plots and before trees: both tables are as they were, alone."""
    small_place.thin("trees.csv")
    (tmp_path / "plots.csv").write_text("plot_id,stand_id,baf_sqft_per_ac\nT1,1,10\n")
    (tmp_path / "trees.csv").write_text("plot_id,tree,species,dbh_in\nT1,1,red maple,9.5\n")
    before = small_place.prints()

    def add():
        files = [tmp_path / "plots.csv", tmp_path / "trees.csv"]
        return place.add_rows(small_place.folder, files, tally_files.joined)

    def full_at_trees(really):
        def write(path, other):
            if path.name == "trees.csv":
                raise OSError(errno.ENOSPC, "No space left on device")
            return really(path, other)

        return write

    for owner, name in ((swapping, "write_beside"), (shutil, "copyfile")):
        with monkeypatch.context() as patched:
            patched.setattr(owner, name, full_at_trees(getattr(owner, name)))
            with pytest.raises(PlaceError, match=r"No space left on device\n.*[Mm]ake room"):
                add()
        assert small_place.prints() == before
    assert add() == {"plots.csv": 6, "trees.csv": 7}


def test_a_full_disk_is_not_a_damaged_map(small_place):
    """A zipped Shapefile is unpacked for a moment: where there is no room for that, its fault is not the file's."""
    gpd.read_file(small_place.folder / "parcels.geojson").to_file(small_place.folder / "parcels.shp")
    with zipfile.ZipFile(small_place.folder / "parcels.zip", "w") as packed:
        for suffix in (".shp", ".shx", ".dbf", ".prj"):
            packed.write(small_place.folder / f"parcels{suffix}", f"parcels{suffix}")
    for path in small_place.folder.glob("parcels.*"):
        if path.suffix != ".zip":
            path.unlink()
    assert len(read(small_place).parcels) == 2
    told = limited(
        100,
        f"""
        try:
            place.read({str(small_place.folder)!r})
        except PlaceError as error:
            print([fault.file for fault in error.faults], error)
        """,
    )
    assert f"['{tempfile.gettempdir()}']" in told and "Make room" in told and "damaged" not in told


def test_a_file_in_other_letters_is_no_row_of_a_table(small_place, tmp_path):
    """A saved tally in UTF-16 and a table in Latin letters are both said; nothing is changed."""
    path = small_place.folder / "plots.csv"
    path.write_bytes(path.read_bytes() + "7,1,Ü,,,,,,,\n".encode("latin-1"))
    (tmp_path / "plots.csv").write_bytes("plot_id,stand_id\nT1,1\n".encode("utf-16"))
    before = small_place.prints()
    with pytest.raises(PlaceError) as stopped:
        place.add_rows(small_place.folder, [tmp_path / "plots.csv"], lambda old, new, table: old + new)
    assert len(stopped.value.faults) == 2 and small_place.prints() == before


@pytest.mark.slow
def test_a_geopackage_is_whole_or_there_is_no_room_for_it(small_place):
    """At every size that a file may have: the same bytes as always, or a full disk said in words; never a part."""
    whole = len(place.geopackage({"parcels": read(small_place).parcels, "stands": read(small_place).stands}, DAY))
    told = limited(
        whole,
        f"""
        told = place.read({str(small_place.folder)!r})
        layers = {{"parcels": told.parcels, "stands": told.stands}}
        for size in [*range(1000, {whole}, 4096), {whole} - 1, {whole}]:
            resource.setrlimit(resource.RLIMIT_FSIZE, (size, {whole}))
            try:
                print(len(place.geopackage(layers, told.as_of)))
            except PlaceError as error:
                print("no room" if "Make room" in str(error) else error)
        """,
    ).split("\n")
    assert set(told[:-2]) == {"no room"} and told[-2:] == [str(whole), ""] and len(told) > 20


@pytest.mark.slow
def test_a_writer_of_results_killed_at_any_moment_leaves_whole_files(tmp_path):
    """Killed again and again while it writes a file of A or of B: the file is all A or all B, never a part."""
    script = f"""
        from woodlot import place
        for n in range(100_000):
            place.write_files({str(tmp_path)!r}, {{"map.html": "AB"[n % 2] * 3_000_000}})
            print(n, flush=True)
    """
    for moment in range(6):
        process = subprocess.Popen([sys.executable, "-c", textwrap.dedent(script)], stdout=subprocess.PIPE, text=True)
        for _ in range(2 + moment):
            process.stdout.readline()
        time.sleep(0.003 * moment)
        os.kill(process.pid, signal.SIGKILL)
        process.wait()
        process.stdout.close()
        text = (tmp_path / "map.html").read_text()
        assert len(text) == 3_000_000 and text in ("A" * 3_000_000, "B" * 3_000_000)


def test_a_geopackage_of_layers_is_read_again(small_place):
    """Layers with and without shapes, as bytes for write_files; written a little later they are the same bytes."""
    told = read(small_place)
    made = place.geopackage({"parcels": told.parcels, "trees": told.trees}, DAY)
    time.sleep(0.005)
    assert place.geopackage({"parcels": told.parcels, "trees": told.trees}, DAY) == made
    path = place.write_files(small_place.folder / "out", {"plan.gpkg": made})[0]
    assert gpd.read_file(path, layer="parcels")["parcel_id"].tolist() == ["home", "ridge"]
    assert len(gpd.read_file(path, layer="trees")) == len(told.trees)


# the ledger on disk


def test_notes_are_appended_and_read_back(small_place):
    """Three notes, one of them a correction; the bytes of the first two lines never change."""
    assert place.append_note(small_place.folder, NOTE) == 1
    first = (small_place.folder / "ledger.csv").read_bytes()
    assert place.append_note(small_place.folder, {"kind": "seen", "text": "grouse, two"}, today=DAY) == 2
    assert place.append_note(small_place.folder, {**NOTE, "amount": 2.0, "corrects": 1}) == 3
    assert (small_place.folder / "ledger.csv").read_bytes().startswith(first)
    told = read(small_place)
    assert told.ledger["line"].tolist() == [1, 2, 3] and told.ledger["text"][1] == "grouse, two"
    assert told.ledger["date"][1] == pd.Timestamp(DAY)
    assert ledger.standing(told.ledger)["amount"].dropna().tolist() == [2.0]
    assert not [said for said in told.warnings if "ledger" in said]


def test_a_note_that_cannot_be_leaves_the_ledger_alone(small_place):
    """Refused before the file is made."""
    with pytest.raises(InputError, match="kind"):
        place.append_note(small_place.folder, {"text": "no kind"})
    assert not (small_place.folder / "ledger.csv").exists()


def test_parcels_once_owned_stay_in_the_ledger(small_place):
    """A note on a parcel that is no longer on the map is a remark, not a fault."""
    place.append_note(small_place.folder, {**NOTE, "parcel_id": "sold"})
    assert any("sold is not on the map" in said for said in read(small_place).warnings)


WRITER = """
    import sys
    from woodlot import place
    folder, name, many = sys.argv[1], sys.argv[2], int(sys.argv[3])
    for n in range(many):
        note = {"kind": "seen", "date": "2026-01-01", "who": name, "text": f"{name} {n} " + "x" * 300}
        print(place.append_note(folder, note), flush=True)
"""


def writer(folder: Path, name: str, many: int) -> subprocess.Popen:
    """A process that appends notes and prints each number once its line is safe."""
    script = [sys.executable, "-c", textwrap.dedent(WRITER), str(folder), name, str(many)]
    return subprocess.Popen(script, stdout=subprocess.PIPE, text=True)


def test_two_writers_lose_nothing(small_place):
    """Two people write 100 notes each at the same time: 200 lines, numbered 1 to 200, all whole."""
    both = [writer(small_place.folder, name, 100) for name in ("Ann", "Ben")]
    said = [process.communicate(timeout=60)[0].split() for process in both]
    assert all(process.returncode == 0 for process in both)
    told, notes = place.read_ledger(small_place.folder)
    assert told["line"].tolist() == list(range(1, 201)) and notes == []
    assert sorted(int(n) for one in said for n in one) == list(range(1, 201))
    assert told["who"].value_counts().to_dict() == {"Ann": 100, "Ben": 100}


@pytest.mark.slow
@pytest.mark.parametrize("moment", range(6))
def test_a_writer_killed_at_any_moment_loses_no_earlier_line(small_place, moment):
    """Killed in the middle of many appends: every line whose number was given back is there and whole."""
    process = writer(small_place.folder, "Ann", 100_000)
    acknowledged = [int(process.stdout.readline()) for _ in range(3 + 7 * moment)]
    time.sleep(0.002 * moment)
    os.kill(process.pid, signal.SIGKILL)
    acknowledged += [int(line) for line in process.stdout.read().split() if line.strip()]
    process.wait()
    process.stdout.close()
    told, _ = place.read_ledger(small_place.folder)
    assert set(acknowledged) <= set(told["line"])
    assert len(told) - len(acknowledged) <= 1
    following = place.append_note(small_place.folder, NOTE)
    told, _ = place.read_ledger(small_place.folder)
    assert told["line"].is_unique and told["line"].iloc[-1] == following


def test_a_full_disk_leaves_no_torn_line(small_place):
    """The file may grow to 600 bytes: the note across that border is taken back and said; the next one follows."""
    told = limited(
        600,
        f"""
        try:
            for n in range(20):
                note = {{"kind": "seen", "date": "2026-01-01", "text": "x" * 90}}
                print(place.append_note({str(small_place.folder)!r}, note))
        except PlaceError as error:
            print(error)
        """,
    )
    safe = [int(line) for line in told.splitlines() if line.isdigit()]
    assert "Make room" in told and len(safe) >= 2
    whole = (small_place.folder / "ledger.csv").read_bytes()
    assert 400 < len(whole) < 600 and whole.endswith(b"\n")
    assert place.append_note(small_place.folder, NOTE) == max(safe) + 1
    told, notes = place.read_ledger(small_place.folder)
    assert told["line"].tolist() == [*safe, max(safe) + 1] and notes == []


def test_a_full_disk_begins_no_ledger(small_place):
    """Not one letter fits: there is no empty file, which would hold nobody's notes."""
    told = limited(
        50,
        f"""
        try:
            place.append_note({str(small_place.folder)!r}, {NOTE!r})
        except PlaceError as error:
            print(error)
        """,
    )
    assert "Make room" in told and not (small_place.folder / "ledger.csv").exists()


def test_a_ledger_saved_anew_while_a_writer_waits_gets_the_note(small_place):
    """A spreadsheet swaps the file while the writer waits for it: the note goes into the file that is there now."""
    fcntl = pytest.importorskip("fcntl")
    place.append_note(small_place.folder, NOTE)
    path = small_place.folder / "ledger.csv"
    text = path.read_text()
    with path.open() as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        waiting = writer(small_place.folder, "Ann", 1)
        time.sleep(1.0)
        shutil.copy(path, path.with_name("copy"))
        path.with_name("copy").replace(path)
        assert waiting.poll() is None and path.read_text() == text
    assert waiting.communicate(timeout=60)[0].split() == ["2"]
    assert place.read_ledger(small_place.folder)[0]["line"].tolist() == [1, 2]


def test_a_line_that_a_power_cut_tore_is_kept_and_said(small_place):
    """The stump stays as it is and is reported; the next note stands on its own row under a new number."""
    place.append_note(small_place.folder, NOTE)
    path = small_place.folder / "ledger.csv"
    torn = path.read_bytes() + b"2,2026-01-"
    path.write_bytes(torn)
    assert place.append_note(small_place.folder, NOTE) == 3
    assert path.read_bytes().startswith(torn + b"\n3,")
    told = read(small_place)
    assert told.ledger["line"].tolist() == [1, 3]
    assert any("ledger.csv, row 3: torn" in said for said in told.warnings)


# many notes at once


def test_notes_go_in_together_or_not_at_all(small_place):
    """A bad note among five: the file is not begun. A full disk in the middle of five: not one of them is there."""
    notes = [{**NOTE, "text": f"load {n}"} for n in range(5)]
    with pytest.raises(InputError, match="lat"):
        place.append_notes(small_place.folder, [*notes[:4], {**NOTE, "lat": 460.0}])
    assert not (small_place.folder / "ledger.csv").exists()
    place.append_note(small_place.folder, NOTE)
    before = (small_place.folder / "ledger.csv").read_bytes()
    told = limited(
        len(before) + 150,
        f"""
        try:
            place.append_notes({str(small_place.folder)!r}, {notes!r})
        except PlaceError as error:
            print(error)
        """,
    )
    assert "Make room" in told and (small_place.folder / "ledger.csv").read_bytes() == before
    assert place.append_notes(small_place.folder, notes) == {n: n + 2 for n in range(5)}


def test_nothing_new_is_nothing_written(small_place):
    """Notes that stand there already leave every letter as it is, also a last line without its end."""
    path = small_place.folder / "ledger.csv"
    place.append_note(small_place.folder, NOTE)
    path.write_text(path.read_text().rstrip("\n"))
    before = small_place.prints()
    assert place.append_notes(small_place.folder, [NOTE], once=True) == {} == place.append_notes(small_place.folder, [])
    assert small_place.prints() == before


@pytest.mark.slow
def test_two_who_read_in_the_same_file_write_it_once(small_place):
    """The look for what is there already and the writing are under one lock."""
    script = f"""
        from woodlot import place
        notes = [{{"kind": "seen", "date": "2026-01-01", "text": f"track {{n}}"}} for n in range(200)]
        place.append_notes({str(small_place.folder)!r}, notes, once=True)
    """
    both = [subprocess.Popen([sys.executable, "-c", textwrap.dedent(script)]) for _ in range(3)]
    assert [process.wait(timeout=60) for process in both] == [0, 0, 0]
    assert place.read_ledger(small_place.folder)[0]["line"].tolist() == list(range(1, 201))


ENCODED = {
    "UTF-16 without its mark": lambda text: text.encode("utf-16-le"),
    "UTF-32": lambda text: text.encode("utf-32"),
    "UTF-32 the other way round": lambda text: b"\x00\x00\xfe\xff" + text.encode("utf-32-be"),
    "zero bytes": lambda text: text.encode() + b"\x00" * 40,
}


@pytest.mark.parametrize("way", ENCODED)
def test_a_ledger_in_another_encoding_is_refused_by_note_and_by_reading(small_place, way):
    """One fault in words each; not a letter of the file changes, and the remedy makes it whole again."""
    small_place.thin()
    place.append_note(small_place.folder, NOTE)
    path = small_place.folder / "ledger.csv"
    text = path.read_text()
    path.write_bytes(ENCODED[way](text))
    before = small_place.prints()
    for use in (lambda: place.append_note(small_place.folder, NOTE), lambda: read(small_place)):
        with pytest.raises(PlaceError) as stopped:
            use()
        row = 3 if way == "zero bytes" else None
        remedy = 'Save it again as "CSV UTF-8".'
        assert [(f.file, f.row, f.remedy) for f in stopped.value.faults] == [("ledger.csv", row, remedy)]
    with pytest.raises(PlaceError, match="CSV UTF-8"):
        place.read_ledger(small_place.folder)
    assert small_place.prints() == before
    path.write_text("\ufeff" + text)
    assert place.append_note(small_place.folder, NOTE) == 2


def test_a_ledger_with_columns_of_its_own_is_not_written_to(small_place):
    """What stands under a column that no ledger has could not be kept: refused, nothing changed."""
    small_place.thin()
    path = small_place.folder / "ledger.csv"
    text = "date,kind,price,amount,unit\n2026-01-17,firewood,80,2,cord\n"
    path.write_text(text)
    with pytest.raises(PlaceError, match=r"other columns: price\n.*in this order: line,id,date") as stopped:
        place.append_note(small_place.folder, NOTE)
    assert stopped.value.faults[0].row == 1 and path.read_text() == text
    assert [one.name for one in small_place.folder.glob("ledger*")] == ["ledger.csv"]


def test_a_ledger_in_western_letters_is_read_as_it_was_written(small_place):
    """An older spreadsheet saved it in Windows-1252: the names and checks hold; the next note writes it in UTF-8."""
    note = {**NOTE, "who": "Jürgen", "text": "façade – 2½ loads"}
    place.append_note(small_place.folder, note)
    path = small_place.folder / "ledger.csv"
    path.write_bytes(path.read_text(encoding="utf-8").encode("cp1252"))
    told = read(small_place).ledger
    assert told["text"].tolist() == [note["text"]]
    assert place.append_note(small_place.folder, {**note, "who": "Märta"}) == 2
    assert "Jürgen" in path.read_text(encoding="utf-8")
    assert place.append_notes(small_place.folder, [note], once=True) == {}
    told, notes = place.read_ledger(small_place.folder)
    assert told["who"].tolist() == ["Jürgen", "Märta"] and notes == []
    assert told["text"].tolist() == ["façade – 2½ loads"] * 2


def test_a_file_where_the_folder_of_results_must_be_is_named(tmp_path):
    """A file called out: nothing is written over it, and the remedy is to move it."""
    (tmp_path / "out").write_text("kept")
    with pytest.raises(PlaceError) as stopped:
        place.write_files(tmp_path / "out", {"map.html": "new"})
    assert "move it" in stopped.value.faults[0].remedy
    assert (tmp_path / "out").read_text() == "kept"

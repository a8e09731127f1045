"""The folder of results: old or new, whole, whoever is killed; nothing in it is lost that woodlot did not make."""

import hashlib
import json
import os
import shutil
import subprocess
import sys
import textwrap
from pathlib import Path

import pandas as pd
import pytest

from woodlot import place
from woodlot.errors import InputError, PlaceError
from woodlot.place import results, swapping
from woodlot.place.results import LIST, OF_A_PLAN, check_results, write_results

OLD = {"map.html": "old map", "report.html": "old report", "tables/stands.csv": "stand\n1\n"}
NEW = {"map.html": "new map", "report.html": "new report", "tables/stands.csv": "stand\n2\n", "woods.kml": "<kml/>"}


def tree(folder: Path) -> dict[str, str]:
    """Name within -> text of every file, the list and hidden ones too."""
    return {p.relative_to(folder).as_posix(): p.read_text() for p in sorted(folder.rglob("*")) if p.is_file()}


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
        "out/map.html": "no plain file",
        "out/report.html": "a folder, where a file must be",
        "out/tables": "a file, where a folder must be",
    }
    os.mkfifo(out / LIST)
    assert refused(out, {"woods.gpx": "x"}) == {f"out/{LIST}": "no plain file"}


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


@pytest.mark.slow
def test_pages_that_older_verbs_made_show_themselves(samples, tmp_path, once):
    """The map alone, the sheets alone: made by the verbs, the list taken away as if there had been none."""
    from click.testing import CliRunner

    from woodlot.cli import main

    home = shutil.copytree(samples / "first_forty", tmp_path / "ours", ignore=shutil.ignore_patterns("out", "plans"))
    for verb in ("map", "sheet", "map", "sheet"):
        told = CliRunner().invoke(main, [verb, str(home), "--as-of", "2026-11-25"])
        assert told.exit_code == 0, told.stderr
        (home / "out" / LIST).unlink()
    assert made(home / "out").keys() == {"map.html", "first_plots.gpx", "tally_phone.html", "tally_sheets.html"}


# whoever is killed


KILLED = """
    import os, signal, sys
    from pathlib import Path
    from woodlot.place import results, swapping

    os.fsync = lambda handle: None  # whoever is killed loses nothing that was written, and it is slow
    home, points, one_step = Path(sys.argv[1]), int(sys.argv[2]), sys.argv[3] == "one step"
    if not one_step:
        swapping._in_one_step = lambda new, old: False
    out = home / "out"
    A = {f"{n}.csv": "A" * 2000 for n in range(4)} | {"tables/a.csv": "A", "tables/x.csv": "A"}
    B = {name: text.replace("A", "B") for name, text in A.items()}
    whole = lambda: {p.relative_to(out).as_posix(): p.read_text() for p in out.rglob("*") if p.is_file()}
    results.write_results(out, A)
    (out / "ours.txt").write_text("ours")
    are = []
    for files in (A, B):
        results.write_results(out, files)
        are.append(whole())
    results.write_results(out, A)
    count, missing = [0, 0, 0], 0
    for point in range(points):
        child = os.fork()
        if not child:
            left = [point]
            def hook(event, _):
                if event.startswith(("os.", "open", "ctypes")) and event != "os.kill":
                    left[0] -= 1
                    if left[0] < 0:
                        os.kill(os.getpid(), signal.SIGKILL)
            sys.addaudithook(hook)
            results.write_results(out, B)
            os._exit(0)
        _, ended = os.waitpid(child, 0)
        if not out.exists():
            missing += 1
            results.check_results(out, A)
            assert whole() == are[0]
        state = are.index(whole())
        count[state if os.WIFSIGNALED(ended) else 2] += 1
        results.write_results(out, A)
        assert whole() == are[0], point
        assert [p.name for p in home.iterdir()] == ["out"], list(home.iterdir())
    print(*count, missing)
"""


@pytest.mark.parametrize("way", ["one step", "three steps"])
def test_a_kill_at_any_point_leaves_old_or_new_whole(tmp_path, way):
    """Killed at every call to the system in turn, where names are exchanged and where two are not: no mixture."""
    script = [sys.executable, "-c", textwrap.dedent(KILLED), str(tmp_path), "60", way]
    run = subprocess.run(script, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
    old, new, not_killed, missing = map(int, run.stdout.split())
    assert old >= 20 and new >= 5 and not_killed >= 1 and old + new + not_killed == 60
    assert missing == (0 if way == "one step" else 1)  # between two of the three steps it has another name


def test_a_full_disk_leaves_the_old_folder_and_nothing_beside_it(tmp_path):
    """At every size that a file may have, up to the one that is enough."""
    out = tmp_path / "out"
    files = {"map.html": "m" * 5000, "tables/trees.csv": "t" * 9000, "a.csv": "a"}
    write_results(out, OLD)
    before = tree(tmp_path)
    script = f"""
        import resource
        from woodlot.errors import PlaceError
        from woodlot.place import write_results
        for size in [*range(0, 9000, 450), 8999, 9000]:
            resource.setrlimit(resource.RLIMIT_FSIZE, (size, 9000))
            try:
                write_results({str(out)!r}, {files!r})
                print("written")
            except PlaceError as error:
                import pathlib
                left = sorted(p.name for p in pathlib.Path({str(tmp_path)!r}).rglob("*"))
                print("make room" in str(error), left)
    """
    run = subprocess.run([sys.executable, "-c", textwrap.dedent(script)], capture_output=True, text=True, check=True)
    lines = run.stdout.splitlines()
    left = sorted(path.name for path in map(Path, [*before, "out", "out/tables"]))
    assert set(lines[:-1]) == {f"True {left}"} and lines[-1] == "written" and len(lines) == 22
    assert made(out) == {**OLD, **files}


def test_leftovers_of_killed_runs_are_swept_and_those_of_running_ones_are_not(tmp_path):
    """In the place and in the folder of results; a file of the family's that only looks alike stays."""
    out = tmp_path / "out"
    write_results(out, OLD)
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    for name in (f".report.html.{gone.pid}.new", f"out/.report.html.{gone.pid}.new", f"out/tables/.x.{gone.pid}.new"):
        (tmp_path / name).write_text("half")
    (tmp_path / f".out.{gone.pid}.new" / "tables").mkdir(parents=True)
    for name in (f".parcels.geojson.{os.getppid()}.new", f".out.{os.getppid()}.new", ".report.new", "a.12.new"):
        (tmp_path / name).write_text("stays")
    write_results(out, NEW)
    names = {f".parcels.geojson.{os.getppid()}.new", f".out.{os.getppid()}.new", ".report.new", "a.12.new"}
    assert {path.name for path in tmp_path.iterdir()} == {"out", *names}
    assert made(out) == NEW


def test_two_who_write_at_once_make_no_mixture(tmp_path):
    """Each writes a whole set fifteen times; whenever the folder is held, its set is one of the two."""
    script = """
        import sys
        from pathlib import Path
        from woodlot.place import results, swapping
        out, letter = Path(sys.argv[1]), sys.argv[2]
        for n in range(15):
            results.write_results(out, {f"{k}.csv": letter * 500 for k in range(8)})
            with swapping.locked(out.parent):
                assert len({(out / f"{k}.csv").read_text() for k in range(8)}) == 1
    """
    command = [sys.executable, "-c", textwrap.dedent(script), str(tmp_path / "out")]
    both = [subprocess.Popen([*command, letter]) for letter in "AB"]
    assert [process.wait(timeout=60) for process in both] == [0, 0]
    assert set(made(tmp_path / "out").values()) in ({"A" * 500}, {"B" * 500})
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_whoever_waits_too_long_is_told(tmp_path, monkeypatch):
    """Another run holds the place and does not end."""
    monkeypatch.setattr(swapping, "PATIENCE", 2)
    write_results(tmp_path / "out", OLD)
    with swapping.locked(tmp_path), pytest.raises(PlaceError, match="another woodlot is writing there"):
        write_results(tmp_path / "out", NEW)
    assert made(tmp_path / "out") == OLD


@pytest.mark.parametrize("changed", ["map.html", "ours.txt", "late.txt"])
def test_what_is_saved_in_the_moment_of_the_swap_is_not_lost(tmp_path, monkeypatch, changed):
    """An editor saves a file, over an old one or a new one, while the new folder is being built."""
    out = tmp_path / "out"
    write_results(out, OLD)
    (out / "ours.txt").write_text("ours")
    really, times = swapping.exchange, []

    def late(new, old):
        if not times:
            (out / ".saved").write_text("late")
            (out / ".saved").replace(out / changed)
        times.append(1)
        really(new, old)

    monkeypatch.setattr(results, "exchange", late)
    if changed == "map.html":
        with pytest.raises(PlaceError, match=r"map\.html: changed since"):
            write_results(out, NEW)
        assert made(out) == {**OLD, "ours.txt": "ours", "map.html": "late"}
    else:
        write_results(out, NEW)
        assert made(out) == {**NEW, "ours.txt": "ours", changed: "late"}
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_whoever_stands_in_the_folder_still_stands_in_it(tmp_path, monkeypatch):
    """Asked from within, with the place named by two dots."""
    write_results(tmp_path / "out", OLD)
    monkeypatch.chdir(tmp_path / "out")
    told = write_results(Path("..") / "out", NEW)
    assert [path.read_text() for path in told.written] == [*NEW.values()]
    assert Path.cwd() == tmp_path / "out" and Path("map.html").read_text() == "new map"


# tables where a family wants them


TABLE = pd.DataFrame({"stand_id": ["1", "=1+1"], "acres": [-1.5, 2.0], "words": ["@x", "two"], "sum": ["-3", None]})


def test_a_text_that_a_spreadsheet_would_work_out_is_made_neutral(tmp_path):
    """An apostrophe before it; numbers stay numbers, also below zero; the table is known again by its check."""
    path = place.write_table(tmp_path / "stands.csv", TABLE)
    told = pd.read_csv(path, dtype={"stand_id": str})
    assert told["stand_id"].tolist() == ["1", "'=1+1"] and told["words"].tolist() == ["'@x", "two"]
    assert told["acres"].tolist() == [-1.5, 2.0] and told["sum"].tolist()[0] == "'-3"
    for start in ("=", "+", "-", "@", "\t", "\r"):
        assert place.csv_text(pd.DataFrame({"a": [f"{start}1"]})).split("\n")[1].strip('"') == f"'{start}1"
    mixed = pd.DataFrame({"a": [-1, None, True, "=2"], "b": pd.Categorical(["-x", "y", "y", "y"])})
    assert place.csv_text(mixed).splitlines()[1:] == ["-1,'-x", ",y", "True,y", "'=2,y"]
    assert place.write_table(path, TABLE) == path


def test_a_table_in_the_folder_of_results_is_on_its_list(small_place):
    """The next plan leaves it; changed by hand it is the family's."""
    path = small_place.folder / "out" / "mine.csv"
    place.write_table(path, TABLE)
    place.write_table(path, TABLE[:1])
    assert f"  {path.name}\n" in (path.parent / LIST).read_text()
    path.write_text(path.read_text() + "\n")
    for use in (lambda: place.check_free(path), lambda: place.write_table(path, TABLE)):
        with pytest.raises(InputError, match="is there already"):
            use()
    shutil.rmtree(path.parent)
    (small_place.folder / "elsewhere").mkdir()
    path.parent.symlink_to(small_place.folder / "elsewhere")
    with pytest.raises(PlaceError, match="a link to elsewhere"):
        place.check_free(path)
    assert not list((small_place.folder / "elsewhere").iterdir())


def test_no_other_file_of_the_place_is_written_over(small_place, tmp_path):
    """By the name of a hand-in or of a list of woodlot's, through a pipe or a link; nothing waits or changes."""
    (small_place.folder / "elevation.tif").write_bytes(b"II*\0")
    os.mkfifo(tmp_path / "pipe.csv")
    (tmp_path / "link.csv").symlink_to(small_place.folder / "plots.csv")
    before = small_place.prints()
    names = ["elevation.tif", "slope.tif", "plots.csv", "brought.csv", "columns.txt", "place.toml"]
    for path in (*(small_place.folder / name for name in names), tmp_path / "pipe.csv", tmp_path / "link.csv"):
        for use in (lambda path=path: place.check_free(path), lambda path=path: place.write_table(path, TABLE)):
            with pytest.raises(InputError):
                use()
    assert small_place.prints() == before
    place.write_files(small_place.folder, {"trip.txt": "x"})
    with pytest.raises(PlaceError, match=r"trip\.txt: there already"):
        place.write_files(small_place.folder, {"new.txt": "x", "trip.txt": "y"})
    assert not (small_place.folder / "new.txt").exists() and (small_place.folder / "trip.txt").read_text() == "x"

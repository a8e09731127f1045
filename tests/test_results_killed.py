"""Whoever is killed while results are written, or has no room left, leaves them old or new, whole."""

import os
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from woodlot.errors import PlaceError
from woodlot.place import results, swapping
from woodlot.place.results import LIST, write_results

OLD = {"map.html": "old map", "report.html": "old report", "tables/stands.csv": "stand\n1\n"}
NEW = {"map.html": "new map", "report.html": "new report", "tables/stands.csv": "stand\n2\n", "woods.kml": "<kml/>"}


def tree(folder: Path, kind: type = str) -> dict:
    """Name within -> text, or bytes, of every file, the list and hidden ones too."""
    read = Path.read_text if kind is str else Path.read_bytes
    return {p.relative_to(folder).as_posix(): read(p) for p in sorted(folder.rglob("*")) if p.is_file()}


def made(folder: Path) -> dict[str, str]:
    """The same without the list."""
    return {name: text for name, text in tree(folder).items() if name != LIST}


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


@pytest.mark.slow
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

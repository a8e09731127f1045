"""What verbs write: nothing over a file that woodlot did not make, and no formula of a spreadsheet in a table."""

import os
import shutil
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot import place
from woodlot.cli import main
from woodlot.errors import InputError, PlaceError
from woodlot.place.results import LIST, OF_A_PLAN, write_results


def tree(folder: Path, kind: type = str) -> dict:
    """Name within -> text, or bytes, of every file, the list and hidden ones too."""
    read = Path.read_text if kind is str else Path.read_bytes
    return {p.relative_to(folder).as_posix(): read(p) for p in sorted(folder.rglob("*")) if p.is_file()}


def verb(*words: object):
    """A run without a terminal."""
    told = CliRunner().invoke(main, [*map(str, words), "--as-of", "2026-11-25"])
    assert told.exception is None or isinstance(told.exception, SystemExit), repr(told.exception)
    return told


@pytest.mark.parametrize("name", ["plan", "map", "sheet", "fell", "hunt --csv"])
def test_a_verb_refuses_before_the_work(small_place, monkeypatch, name):
    """A link where the folder of results must be: said in words, nothing is worked out."""
    (small_place.folder / "elsewhere").mkdir()
    (small_place.folder / "out").symlink_to(small_place.folder / "elsewhere")
    for work in ("answers.whole.answers", "answers.fell.fell_answer", "answers.scale.scale_answer"):
        monkeypatch.setattr(f"woodlot.{work}", None)
    of, *more = name.split()
    told = verb(of, small_place.folder, *more, *([small_place.folder / "out" / "x.csv"] if more else []))
    assert told.exit_code == 1
    assert "Stopped: something lies in the way. Nothing was written. out: a link to elsewhere" in " ".join(
        told.stderr.split()
    )
    assert not list((small_place.folder / "elsewhere").iterdir())


@pytest.mark.slow
def test_a_plan_writes_its_whole_set_and_says_what_it_took_away(small_place, once):
    """Every file of a plan is one that is known as a plan's; a page printed by an older one goes, a sheet stays."""
    write_results(small_place.folder / "out", {"report.pdf": "%PDF", "tally_phone.html": "t"})
    (small_place.folder / f".map.html.{os.getpid()}.new").write_text("half")
    told = verb("plan", small_place.folder)
    assert told.exit_code == 0, told.stderr
    assert "Taken away, since this plan has none: report.pdf of an earlier one." in " ".join(told.stdout.split())
    first = tree(small_place.folder / "out", bytes)
    assert {*OF_A_PLAN} - {"report.pdf", "first_plots.gpx"} <= first.keys() - {LIST, "tally_phone.html"} < {*OF_A_PLAN}
    assert not [path for path in small_place.folder.iterdir() if path.name.startswith(".")]
    verb("plan", small_place.folder)
    assert tree(small_place.folder / "out", bytes) == first
    (small_place.folder / "out" / "map.html").write_text("ours now")
    told = verb("plan", small_place.folder)
    assert told.exit_code == 1 and "out/map.html: changed since woodlot wrote it" in told.stderr


def test_a_plan_is_kept_through_no_link(small_place):
    """A folder of plans that lies elsewhere stops the plan before the work."""
    elsewhere = small_place.folder.parent / "elsewhere"
    elsewhere.mkdir()
    (small_place.folder / "plans").symlink_to(elsewhere)
    told = verb("plan", small_place.folder)
    assert told.exit_code == 1 and "plans: a link to elsewhere" in told.stderr
    assert not list(elsewhere.iterdir()) and not (small_place.folder / "out").exists()


@pytest.mark.slow
def test_pages_that_older_verbs_made_show_themselves(samples, tmp_path, once):
    """The map alone, the sheets alone: made by the verbs, the list taken away as if there had been none."""
    home = shutil.copytree(samples / "first_forty", tmp_path / "ours", ignore=shutil.ignore_patterns("out", "plans"))
    for name in ("map", "sheet", "map", "sheet"):
        told = verb(name, home)
        assert told.exit_code == 0, told.stderr
        (home / "out" / LIST).unlink()
    assert tree(home / "out").keys() == {"map.html", "first_plots.gpx", "tally_phone.html", "tally_sheets.html"}


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

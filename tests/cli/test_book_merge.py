"""``woodlot book --merge``: two copies of a ledger joined, what does not agree, and what settles it."""

import json
import os
import shlex
import zipfile

import pytest
from click.testing import CliRunner

from woodlot import ledger, place
from woodlot.cli import main

WOOD = {"date": "2026-11-02", "kind": "firewood", "amount": 2, "unit": "cord", "who": "Aili"}


def woodlot(*arguments: object):
    """A run of the command in this process."""
    told = CliRunner().invoke(main, [str(a) for a in arguments])
    assert told.exception is None or isinstance(told.exception, SystemExit), repr(told.exception)
    return told


@pytest.fixture
def two(small_place, tmp_path):
    """Two copies of a place with one line, which both set right: Ann to 3 cords, Ben to 5."""
    ann, ben = small_place.folder, tmp_path / "ben"
    place.append_notes(ann, [WOOD], once=False)
    ben.mkdir()
    for one in ann.iterdir():
        (ben / one.name).write_bytes(one.read_bytes())
    name = place.ledger_lines(ann).frame["id"].iloc[0]
    place.append_notes(ann, [WOOD | {"amount": 3, "who": "Ann", "corrects": name}])
    place.append_notes(ben, [WOOD | {"amount": 5, "who": "Ben", "corrects": name}])
    return ann, ben


def amounts(folder) -> list[float]:
    """Amounts of the lines that count."""
    return ledger.standing(place.read_ledger(folder)[0])["amount"].tolist()


def test_how_many_came_is_said_first_and_the_old_file_is_kept(two):
    """One line came, both had one; the file as it was lies beside, word for word."""
    ann, ben = two
    before = (ann / "ledger.csv").read_bytes()
    told = woodlot("book", ann, "--merge", ben)
    assert told.exit_code == 0, told.output
    first, second = told.stdout.splitlines()[:2]
    assert first == "1 line came. Both had 1 already."
    kept = second.removeprefix("ledger.csv as it was before is kept as ").rstrip(".")
    assert (ann / kept).read_bytes() == before
    assert sorted(place.ledger_lines(ann).frame["who"]) == ["Aili", "Ann", "Ben"]


def test_joined_again_nothing_is_new(two):
    """The same folder once more: words, and not a byte changed in the folder."""
    ann, ben = two
    woodlot("book", ann, "--merge", ben)
    before = {one.name: one.read_bytes() for one in ann.iterdir()}
    told = woodlot("book", ann, "--merge", ben / "ledger.csv")
    assert told.stdout == "Nothing new came. Both had 2 already.\n"
    assert {one.name: one.read_bytes() for one in ann.iterdir()} == before


@pytest.mark.parametrize("keeps", [0, 1])
def test_two_ways_to_set_a_line_right_stand_side_by_side_until_one_is_kept(two, keeps):
    """Both lines with number, day, kind, amount, who; the command that is printed beside either ends it."""
    ann, ben = two
    woodlot("book", ann, "--merge", ben)
    for told in (woodlot("book", ann).stdout, woodlot("book", ann, "--merge", ben).stdout):
        assert ("set the same line right in two ways" in told) == ("notes count" in told or "note counts" in told)
    answer = json.loads(woodlot("book", ann, "--json").stdout)
    (fork,) = answer["not_agreed"]
    assert {line["who"] for line in fork["lines"]} == {"Ann", "Ben"}
    assert [line["counts"] for line in fork["lines"]] == [False, True]
    screen = woodlot("book", ann).stdout
    for line in fork["lines"]:
        row = [one for one in screen.splitlines() if line["who"] in one and one.split()[0] == line["line"]][-1]
        assert row.split()[1:5] == ["2026-11-02", "firewood", line["amount"], "cords"]
    kept = fork["lines"][keeps]
    done = woodlot(*shlex.split(kept["command"])[1:])
    assert done.exit_code == 0, done.output
    assert amounts(ann) == [float(kept["amount"])]
    assert json.loads(woodlot("book", ann, "--json").stdout)["not_agreed"] == []
    joined = json.loads(woodlot("book", ben, "--merge", ann, "--json").stdout)
    assert joined["came"] == 2 and joined["not_agreed"] == [] and amounts(ben) == amounts(ann)


def test_a_line_changed_by_hand_is_shown_with_what_was_written(two):
    """2 cords made 9 in one copy: both lines, the change counts; its command brings back what was written."""
    ann, ben = two
    place.append_notes(ann, [WOOD | {"amount": 7, "text": "new"}])
    woodlot("book", ben, "--merge", ann)
    text = (ben / "ledger.csv").read_text()
    (ben / "ledger.csv").write_text(text.replace(",7,cord", ",9,cord"))
    told = json.loads(woodlot("book", ann, "--merge", ben, "--json").stdout)
    clash = next(one for one in told["not_agreed"] if one["kind"] == "says two things")
    assert [line["amount"] for line in clash["lines"]] == ["7", "9"]
    assert [line["counts"] for line in clash["lines"]] == [False, True]
    assert "was changed by hand" in clash["words"]
    woodlot(*shlex.split(clash["lines"][0]["command"])[1:])
    assert 7.0 in amounts(ann) and 9.0 not in amounts(ann)


def test_two_lines_that_say_the_same_may_be_one(two):
    """Both count; the command takes one out."""
    ann, ben = two
    for folder in two:
        place.append_notes(folder, [WOOD | {"amount": 1, "kind": "hauled"}])
    told = json.loads(woodlot("book", ann, "--merge", ben, "--json").stdout)
    clash = next(one for one in told["not_agreed"] if one["kind"] == "may be one")
    assert [line["counts"] for line in clash["lines"]] == [True, True] and amounts(ann).count(1.0) == 2
    woodlot(*shlex.split(clash["lines"][1]["command"])[1:])
    assert amounts(ann).count(1.0) == 1


def test_a_line_that_the_seal_of_the_other_names_and_neither_has(two):
    """Ben deleted his own line: Ann learns of it by his seal."""
    ann, ben = two
    rows = (ben / "ledger.csv").read_text().splitlines(keepends=True)
    (ben / "ledger.csv").write_text("".join(rows[:-1]))
    told = woodlot("book", ann, "--merge", ben)
    assert "Nothing new came." in told.stdout
    assert "line 2, firewood of 2026-11-02" in " ".join(told.stdout.split())
    assert len(json.loads(woodlot("book", ann, "--merge", ben, "--json").stdout)["in_neither"]) == 1


def test_a_torn_line_is_told_and_the_others_come(two):
    """Cut in its middle, the last line stays behind."""
    ann, ben = two
    place.append_notes(ben, [WOOD | {"amount": 4}])
    text = (ben / "ledger.csv").read_text()
    (ben / "ledger.csv").write_text(text[:-70])
    told = woodlot("book", ann, "--merge", ben)
    assert told.stdout.startswith("1 line came.") and "is torn, and did not come: 3," in " ".join(told.stdout.split())


def test_a_bundle_and_its_folder_are_others_too(two, tmp_path):
    """A zip with data/ledger.csv within one folder, and that folder."""
    ann, ben = two
    inner = tmp_path / "bag" / "place-2026" / "data"
    inner.mkdir(parents=True)
    (inner / "ledger.csv").write_bytes((ben / "ledger.csv").read_bytes())
    with zipfile.ZipFile(tmp_path / "bag.zip", "w") as packed:
        packed.write(inner / "ledger.csv", "place-2026/data/ledger.csv")
    assert woodlot("book", ann, "--merge", tmp_path / "bag.zip").stdout.startswith("1 line came.")
    for folder in (tmp_path / "bag", inner.parent, inner):
        assert woodlot("book", ann, "--merge", folder).stdout.startswith("Nothing new came.")


@pytest.mark.parametrize("above", ["sep=,\n", "Our ledger\n"])
def test_a_title_above_the_heading_of_the_other_is_no_matter(two, above):
    """The lines beneath it come as without it."""
    ann, ben = two
    (ben / "ledger.csv").write_text(above + (ben / "ledger.csv").read_text())
    told = woodlot("book", ann, "--merge", ben)
    assert told.exit_code == 0 and told.stdout.startswith("1 line came. Both had 1 already."), told.output


def test_a_strange_column_of_ones_own_is_not_lost_in_joining(two):
    """Nothing is written into a ledger with a column that no ledger has."""
    ann, ben = two
    (ann / "ledger.csv").write_text((ann / "ledger.csv").read_text().replace("check\n", "check,mine\n", 1))
    before = (ann / "ledger.csv").read_bytes()
    told = woodlot("book", ann, "--merge", ben)
    assert told.exit_code == 1 and "other columns: mine" in told.output, told.output
    assert (ann / "ledger.csv").read_bytes() == before


def test_a_plain_zip_of_the_folder_is_read_and_one_without_a_ledger_is_named(two, tmp_path):
    """As a file manager packs a folder, with what a Mac puts beside it; the passing folder is never named."""
    ann, ben = two
    plain, other = tmp_path / "ben.zip", tmp_path / "other.zip"
    with zipfile.ZipFile(plain, "w") as out:
        out.writestr("ben/", "")
        for one in sorted(ben.iterdir()):
            out.write(one, f"ben/{one.name}")
        out.writestr("__MACOSX/ben/._ledger.csv", "x")
    with zipfile.ZipFile(other, "w") as out:
        out.writestr("ben/photo.txt", "x")
    told = woodlot("book", ann, "--merge", other)
    assert told.exit_code == 1 and f"{other.name} holds no ledger.csv" in " ".join(told.output.split()), told.output
    told = woodlot("book", ann, "--merge", plain)
    assert told.exit_code == 0 and told.stdout.startswith("1 line came. Both had 1 already."), told.output


@pytest.mark.parametrize("what", ["nothing", "pipe", "empty", "trees", "zip", "cells", "columns", "folder", "bytes"])
def test_a_bad_other_is_words_and_nothing_is_written(two, tmp_path, what):
    """Not there, no file, not a ledger, a zip that is none, a day that is none."""
    ann = two[0]
    other = tmp_path / {"zip": "bad.zip"}.get(what, "bad.csv")
    heading = ledger.heading_line()
    if what == "pipe":
        os.mkfifo(other)
    elif what == "folder":
        other.mkdir()
    elif what != "nothing":
        texts = {
            "empty": b"", "trees": (ann / "trees.csv").read_bytes(), "zip": b"PK no zip", "bytes": b"\0\1\2" * 50,
            "cells": (heading + "1,,someday,firewood" + "," * 19 + "\n").encode(),
            "columns": b"date,kind,color\n2026-01-01,seen,red\n",
        }  # fmt: skip
        other.write_bytes(texts[what])
    before = {one.name: one.read_bytes() for one in ann.iterdir()}
    told = woodlot("book", ann, "--merge", other)
    assert told.exit_code == 1 and told.stdout == "" and "bad" in told.stderr
    assert {one.name: one.read_bytes() for one in ann.iterdir()} == before


def test_a_ledger_that_is_not_there_yet_takes_all_lines(two, small_place):
    """A new place joins the lines of the old one."""
    ann, ben = two
    (ann / "ledger.csv").unlink()
    (ann / "ledger.seal").unlink()
    told = woodlot("book", ann, "--merge", ben)
    assert told.stdout == "2 lines came. Both had none in common.\n"
    assert amounts(ann) == amounts(ben)


def test_a_ledger_with_nothing_in_common_may_be_of_other_woods(two, tmp_path):
    """It comes, since two hands may have begun each a ledger; that it may be another place's is asked."""
    (tmp_path / "else.csv").write_text(ledger.heading_line() + ledger.format_line(WOOD | {"line": 1, "amount": 9.0}))
    told = " ".join(woodlot("book", two[0], "--merge", tmp_path / "else.csv").stdout.split())
    assert told.startswith("1 line came. Both had none in common. Is the other of these woods? If not, put the kept ")


def test_merge_stands_alone(two):
    """No totals are told beside it, so their options are refused."""
    assert woodlot("book", two[0], "--merge", two[1], "--winters").exit_code == 2


@pytest.mark.parametrize("wide", [40, 80])
def test_what_does_not_agree_is_no_wider_than_the_screen(two, wide, monkeypatch):
    """Only a path, which has to be copied whole, may be longer."""
    monkeypatch.setenv("COLUMNS", str(wide))
    told = woodlot("book", two[0], "--merge", two[1]).stdout
    assert all(len(line) <= wide or str(two[0]) in line for line in told.splitlines())


def test_the_line_that_is_kept_keeps_its_photo_and_job_and_the_command_fits_a_screen(two):
    """What a hand could not type again from the screen comes with it; a line that stands alone is not kept anew."""
    ann, ben = two
    name = place.ledger_lines(ann).frame["id"].iloc[0]
    of = {"amount": 4, "job": "barn", "photo": "a.jpg", "photo_check": "0" * 64, "text": "it's less", "corrects": name}
    place.append_notes(ben, [WOOD | of])
    woodlot("book", ann, "--merge", ben)
    (fork,) = json.loads(woodlot("book", ann, "--json").stdout)["not_agreed"]
    line = next(one for one in fork["lines"] if one["amount"] == "4")
    assert line["command"].split()[-2] == "--keep" and len(line["command"]) < len(str(ann)) + 40
    told = woodlot(*shlex.split(line["command"])[1:])
    assert told.stdout.startswith(f"Line {line['command'].split()[-1]} counts now, written once more as line")
    counts = ledger.standing(place.read_ledger(ann)[0])
    assert counts[["job", "photo", "text", "amount"]].to_numpy().tolist() == [["barn", "a.jpg", "it's less", 4.0]]
    for wrong, why in ((counts["id"].iloc[0], "no other stands beside it"), ("zzzz", "There is no line zzzz")):
        told = woodlot("book", ann, "--keep", wrong)
        assert told.exit_code == 1 and why in " ".join(told.output.split())
    assert woodlot("book", ann, "--keep", "1", "--winters").exit_code == 2

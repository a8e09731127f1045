"""A line is one line however it came: typed, brought over, named by number, read before it had an id."""

from datetime import date
from pathlib import Path

import pytest

from woodlot import ledger
from woodlot.errors import PlaceError
from woodlot.ledger.lines import check_of
from woodlot.place import append_notes, join, read_ledger
from woodlot.place.sealed import seal_of


def a_place(folder: Path, text: str = "") -> tuple[Path, Path]:
    """A folder with a ledger, and that."""
    (folder / "place.toml").write_text("")
    (folder / "ledger.csv").write_text(text)
    return folder, folder / "ledger.csv"


HEADING = "line,date,parcel_id,stand_id,kind,sex_age,amount,unit,who,text,lon,lat,corrects,check"


def old(number: int, amount: int, corrects: str = "") -> str:
    """A line from before ids."""
    cells = [str(number), "2024-05-01", "", "6", "firewood", "", str(amount), "cord", "", "", "", "", corrects]
    return ",".join([*cells, ledger.checksum(cells)]) + "\n"


OLD = f"{HEADING}\n{old(1, 10)}{old(2, 20, '1')}{old(3, 30)}"
LOAD = {"date": date(2026, 1, 17), "kind": "firewood", "amount": 2.0, "unit": "cord", "stand_id": "6"}


def test_a_number_that_no_line_bore_does_not_take_out_a_later_line(tmp_path):
    """Line 2 names 3 for 1: the next note is line 3, and counts; the wrong name is said."""
    home, _ = a_place(tmp_path)
    append_notes(home, [LOAD, LOAD | {"amount": 3.0, "corrects": "3"}])
    append_notes(home, [LOAD | {"amount": 9.0}])
    lines, remarks = read_ledger(home)
    assert ledger.standing(lines)["amount"].tolist() == [2.0, 3.0, 9.0]
    assert remarks == ["ledger.csv: line 2 replaces 3, and no line is named so."]


def test_a_number_that_becomes_an_id_is_no_forgery(tmp_path):
    """Two lines bore the number 1 when a line named it; one was taken out by hand, and the next note writes the id in
    its place: the seal knows the new check, and still the old one, and a third is said.
    """
    home, book = a_place(tmp_path)
    append_notes(home, [LOAD])
    other = ledger.format_line(LOAD | {"line": 1, "amount": 5.0})
    book.write_text(book.read_text() + other)
    append_notes(home, [LOAD | {"amount": 3.0, "corrects": "1"}])
    by_number = book.read_text().replace(other, "")
    book.write_text(by_number)
    append_notes(home, [LOAD | {"amount": 9.0}])
    assert ledger.parse(book.read_text())[0]["corrects"].str.len().tolist() == [0, 12, 0]
    now = book.read_text()
    for text in (now, by_number):
        book.write_text(text)
        assert not any("check" in one for one in read_ledger(home)[1])
    book.write_text(now)
    assert ledger.gone(seal_of(home), ledger.parse(now)[0])["line"].tolist() == ["1"]
    cells = ledger.read_book(book.read_text()).cells[1]
    cells[ledger.HEADING.index("amount")] = "30"
    book.write_text(ledger.heading_line() + ledger.row_text([*cells[:-1], check_of(cells)]))
    assert any("line 2 is not as it was written" in one for one in read_ledger(home)[1])


@pytest.mark.parametrize("way", ["behind", "before", "file behind", "file before"])
def test_old_lines_pasted_into_a_ledger_that_was_brought_over_are_the_same_lines(tmp_path, way):
    """Rows of the older ledger, or all of it with its heading: counted once at once, said, gone at the next note."""
    text = OLD
    home, book = a_place(tmp_path, text)
    append_notes(home, [LOAD])
    over = book.read_text()
    heading, rest = over.split("\n", 1)
    rows = text.split("\n", 1)[1]
    book.write_text(
        {"behind": over + rows, "before": f"{heading}\n{rows}{rest}", "file behind": over + text}.get(way, text + over)
    )
    lines, remarks = read_ledger(home)
    assert ledger.standing(lines)["amount"].tolist() == [20.0, 30.0, 2.0]
    assert len(remarks) == 3 and all("again" in one for one in remarks)
    append_notes(home, [LOAD | {"amount": 4.0}])
    assert book.read_text().startswith(over) and read_ledger(home)[1] == []


def test_notes_that_have_ids_now_and_were_read_without(tmp_path):
    """A page sent two equal loads and a third without ids, and now sends them with ids, one more equal load, and one
    set right: only the last two are new, and the correction finds its line, which has another id.
    """
    home, _ = a_place(tmp_path)
    third = LOAD | {"amount": 7.0}
    assert len(append_notes(home, [LOAD, LOAD, third], once=True)) == 3
    a, b, c, d, e = (ledger.derived_id("page", at) for at in range(5))
    now = [LOAD | {"id": a}, third | {"id": c}, LOAD | {"id": b}, LOAD | {"id": d}]
    now += [LOAD | {"id": e, "amount": 8.0, "corrects": c}]
    assert list(append_notes(home, now, once=True)) == [3, 4]
    assert sorted(ledger.standing(read_ledger(home)[0])["amount"]) == [2.0, 2.0, 2.0, 8.0]
    assert append_notes(home, now, once=True) == {} == append_notes(home, now[2:] + now[:2], once=True)


def test_a_note_with_an_id_is_not_a_line_that_was_given_another(tmp_path):
    """A line whose id a phone or the command gave it is no other phone's note, though both say the same."""
    home, _ = a_place(tmp_path)
    append_notes(home, [LOAD])
    append_notes(home, [LOAD | {"id": ledger.derived_id("page", 1)}], once=True)
    assert len(append_notes(home, [LOAD | {"id": ledger.derived_id("page", 2)}], once=True)) == 1
    assert ledger.standing(read_ledger(home)[0])["amount"].tolist() == [2.0, 2.0, 2.0]


def test_a_line_typed_in_one_copy_is_the_same_line_in_both_once_joined(tmp_path):
    """Ben types a line into his file, Ann joins it, Ben joins hers, which has nothing new: his line has its check too,
    and is sealed.
    """
    ann, ben = tmp_path / "ann", tmp_path / "ben"
    book = ledger.heading_line() + ledger.format_line(LOAD | {"line": 1})
    for home in (ann, ben):
        home.mkdir()
        (home / "place.toml").write_text("")
        (home / "ledger.csv").write_text(book)
    (ben / "ledger.csv").write_text(book + "2,,2026-01-18,firewood,,6,,,,,,3,cord" + "," * 10 + "\n")
    assert join(ann, ben).came == 1
    told = join(ben, ann)
    assert told.came == 0 and told.kept == "ledger.before.csv"
    assert (ben / "ledger.csv").read_bytes() == (ann / "ledger.csv").read_bytes()
    assert len(seal_of(ben)) == 2 and join(ben, ann).kept is None


def test_a_row_typed_without_number_and_id_is_the_next_line(tmp_path):
    """It stands as line 2 at once, and the next note, of the command or of another copy, is line 3."""
    home, book = a_place(tmp_path)
    append_notes(home, [LOAD])
    typed = book.read_text() + ",,2026-01-18,firewood,,6,,,,,,3,cord" + "," * 10 + "\n"
    assert [cells[0] for cells in ledger.merge(typed, ledger.heading_line() + ledger.format_line(LOAD)).added] == ["3"]
    book.write_text(typed)
    assert read_ledger(home)[0]["line"].tolist() == [1, 2]
    assert append_notes(home, [LOAD]) == {0: 3}
    assert read_ledger(home)[0]["line"].tolist() == [1, 2, 3] and len(read_ledger(home)[1]) == 0


def test_a_ledger_whose_last_column_was_deleted_keeps_its_lines(tmp_path):
    """Without the column of checks all lines count as typed by hand; the next note gives them the checks they had."""
    home, book = a_place(tmp_path)
    append_notes(home, [LOAD, LOAD | {"amount": 3.0}])
    before = book.read_text()
    book.write_text("".join(line.rsplit(",", 1)[0] + "\n" for line in before.splitlines()))
    lines, remarks = read_ledger(home)
    assert lines["amount"].tolist() == [2.0, 3.0] and len(remarks) == 1
    append_notes(home, [LOAD])
    assert book.read_text().startswith(before) and read_ledger(home)[1] == []


def test_line_ends_of_an_old_mac_are_line_ends():
    """A return alone ends each line."""
    text = ledger.heading_line() + ledger.format_line(LOAD | {"line": 1})
    assert ledger.text_of(text.replace("\n", "\r").encode()) == text


@pytest.mark.parametrize("bad", ["a\rb,c\n", "x" * 140_000 + "\n", '"' + "y" * 140_000 + "\n"])
def test_a_damaged_row_of_the_seal_is_left_out(bad):
    """A lone return, a cell too long to be one: the rows around it are read."""
    book = ledger.heading_line() + "".join(ledger.format_line(LOAD | {"line": at}) for at in (1, 2))
    first, *rest = ledger.seal_text(ledger.read_book(book).cells, begin=True).splitlines(keepends=True)
    seal = ledger.sealed(first + rest[0] + bad + rest[1])
    assert seal["line"].tolist() == ["1", "2"]


def test_a_seal_is_no_ledger(tmp_path):
    """Named in its place it is refused, and nothing is written."""
    home, book = a_place(tmp_path)
    append_notes(home, [LOAD])
    before = book.read_bytes()
    with pytest.raises(PlaceError, match="not a ledger"):
        join(home, home / "ledger.seal")
    assert book.read_bytes() == before


def test_lines_that_replace_one_another_in_a_ring_do_not_all_vanish(tmp_path):
    """Cells filled so by hand: one of the three counts, all three are shown, and a line in their place ends it."""
    home, _ = a_place(tmp_path)
    ids = [ledger.derived_id("ring", at) for at in range(3)]
    ring = [LOAD | {"id": one, "corrects": ids[at - 1]} for at, one in enumerate(ids)]
    append_notes(home, ring)
    lines = read_ledger(home)[0]
    assert len(ledger.standing(lines)) == 1 and sorted(ledger.forks(lines)[0]) == [0, 1, 2]
    append_notes(home, [LOAD | {"amount": 5.0, "corrects": "2"}])
    lines = read_ledger(home)[0]
    assert ledger.standing(lines)["amount"].tolist() == [5.0] and ledger.forks(lines) == []

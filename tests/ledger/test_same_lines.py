"""A line is one line however it came: typed, brought over, named by number, read before it had an id."""

from datetime import date
from pathlib import Path

import pytest

from woodlot import ledger
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

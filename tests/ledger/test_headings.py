"""The heading as a spreadsheet left it: columns put in, a title above; and ids that a line's own check gives back."""

import csv
import io

import pytest

from woodlot import ledger

WOOD = {"date": "2026-01-17", "kind": "firewood", "unit": "cord", "stand_id": "6"}


def book(*amounts: float) -> str:
    """A ledger with a load of wood in each line."""
    notes = [{**WOOD, "line": line, "amount": amount} for line, amount in enumerate(amounts, start=1)]
    return ledger.heading_line() + "".join(map(ledger.format_line, notes))


def turned(text: str, change) -> str:
    """The same table with each row changed."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(
        change(at, row) for at, row in enumerate(csv.reader(io.StringIO(text)))
    )
    return out.getvalue()


@pytest.mark.parametrize(("name", "called"), [("mine", "mine"), ("", "column 5")])
def test_a_column_put_in_is_passed_over_and_said_once(name, called):
    """The others are read by their names; every check fits; only the strange column is said."""
    text = book(1, 2)
    other = turned(text, lambda at, row: [*row[:4], "zz" if at else name, *row[4:]])
    assert ledger.is_ledger(other) and ledger.strange_columns(other) == [called]
    cells, _, trouble = ledger.parse(other)
    assert cells.equals(ledger.parse(text)[0])
    assert [(one.row, one.why.key, dict(one.why.facts)["names"]) for one in trouble] == [
        (1, "other columns", (called,))
    ]


def test_blank_columns_behind_the_last_are_none():
    """A spreadsheet may hand in a hundred of them."""
    text = book(1, 2)
    wide = turned(text, lambda at, row: [*row, *[""] * 100])
    assert ledger.strange_columns(wide) == [] and ledger.parse(wide)[2] == []
    assert ledger.parse(wide)[0].equals(ledger.parse(text)[0])


def test_a_name_changed_in_its_place_leaves_the_usual_order():
    """A heading typed wrong: the checks still fit what stands beneath."""
    text = book(1, 2)
    cells, _, trouble = ledger.parse(text.replace(",species,", ",specis,", 1))
    assert cells.equals(ledger.parse(text)[0]) and [one.why.key for one in trouble] == ["heading torn"]


@pytest.mark.parametrize("above", ["sep=,\n", "Our ledger\n\n", "Our ledger,,,\n"])
def test_a_title_may_stand_above_the_heading(above):
    """It is a ledger all the same, and its columns are those beneath the title."""
    text = above + book(1)
    assert ledger.is_ledger(text) and ledger.heading(text) == ledger.HEADING
    assert ledger.strange_columns(above + "date,kind,color\n") == ["color"]
    assert not ledger.is_ledger(above + "stand_id,species\n")


def filled_down(text: str) -> str:
    """The id of the first line in all lines."""
    first = ledger.parse(text)[0]["id"].iloc[0]
    return turned(text, lambda at, row: [row[0], first, *row[2:]] if at else row)


def test_an_id_filled_down_is_proved_wrong_by_the_lines_own_checks():
    """With the seal every line has its own back, which is said; without, they count as lines of their own."""
    text = book(1, 2, 3)
    read = ledger.read_book(filled_down(text), ledger.Known(ledger.parse(text)[0]))
    assert read.lines.equals(ledger.parse(text)[0]) and all(read.whole)
    assert [(one.row, one.why.key, dict(one.why.facts)) for one in read.trouble] == [(3, "own id", {"more": 1})]
    assert [one.why.key for one in ledger.parse(filled_down(text))[2]] == ["id twice", "id twice"]


def test_a_line_that_was_changed_too_has_no_id_back():
    """The check does not fit what stands there now: nothing is guessed."""
    text = book(1, 2)
    changed = filled_down(text).replace(",2,cord", ",9,cord")
    read = ledger.read_book(changed, ledger.Known(ledger.parse(text)[0]))
    assert read.whole == [True, False] and [one.why.key for one in read.trouble] == ["id twice"]


@pytest.mark.parametrize("mine", [True, False])
def test_an_id_filled_down_doubles_nothing_in_joining(mine):
    """Joined with a good copy, either way: three loads, each with its own id."""
    text = book(1, 2, 3)
    both = ledger.merge(*((filled_down(text), text) if mine else (text, filled_down(text))))
    assert (both.text, both.added, both.clashes, both.same) == (text, [], [], 3)
    assert bool(both.changed) == mine


def test_where_the_column_of_ids_is_gone_the_seal_gives_them_back():
    """A correction acts again; without the seal it is said that it does not."""
    text = book(1)
    name = ledger.parse(text)[0]["id"].iloc[0]
    text += ledger.format_line({**WOOD, "line": 2, "amount": 5, "corrects": name})
    without = turned(text, lambda at, row: [row[0], *row[2:]])
    back = ledger.read_book(without, ledger.Known(ledger.parse(text)[0]))
    assert back.lines.equals(ledger.parse(text)[0]) and [one.why.key for one in back.trouble] == ["own id"]
    assert ("no ids", 3) in [(one.why.key, one.row) for one in ledger.parse(without)[2]]
    assert "no ids" not in [one.why.key for one in ledger.parse(text)[2]]

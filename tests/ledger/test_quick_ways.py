"""The quick ways of a long ledger say what the careful ones say."""

import re
from datetime import date
from random import Random

import numpy as np
import pandas as pd
import pytest
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from woodlot import column_kinds, ledger
from woodlot.column_kinds import FIRST_DAY
from woodlot.columns import Ledger
from woodlot.errors import PlaceError
from woodlot.ledger import seal as seals
from woodlot.ledger.standing import _joined
from woodlot.place import append_notes, cells, held, read_ledger

LOAD = {"date": date(2026, 1, 17), "kind": "firewood", "amount": 2.0, "unit": "cord"}


def book_of(*notes):
    """A ledger's text, a line a note."""
    lines = [ledger.format_line(LOAD | {"line": at} | note) for at, note in enumerate(notes, start=1)]
    return ledger.heading_line() + "".join(lines)


def slowly(text):
    """Whether a text is as woodlot writes it, by writing all of it, but for its last line end."""
    new = ledger.book_text(ledger.as_new(ledger.read_book(text)))
    return new.removesuffix("\n") == text.removesuffix("\n")


WORDS = (
    "rain",
    "oak, two winters",
    'said "wet"',
    "-10 degrees",
    "=1+1",
    "@home",
    "'quoted",
    "",
    "+",
    "a=b",
    "two - one",
)


def test_a_book_with_any_words_is_known_to_stand_as_it_was_written():
    """Commas, quotes and what a spreadsheet would take for a formula, with and without the last line end."""
    text = book_of(*({"text": words, "lon": -90.4, "lat": 46.1} for words in WORDS))
    for one in (text, text.removesuffix("\n")):
        assert ledger.stands_so(ledger.read_book(one), one) and slowly(one)


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace(",rain,", ',"rain",'),
        lambda text: text.replace(",'=1+1,", ",=1+1,"),
        lambda text: text.replace(",2,cord", ",3,cord", 1),
        lambda text: text.replace("\n", "\r\n"),
        lambda text: text.replace("\n", "\n\n", 3),
        lambda text: text + "\n",
        lambda text: "\ufeff" + text,
        lambda text: text + "7,torn",
        lambda text: text + text.split("\n")[1] + "\n",
        lambda text: text.replace("\n1,", "\n,"),
        lambda text: text.replace("line,id", "Line,id"),
        lambda text: text + ledger.format_line(LOAD | {"line": 12, "corrects": "1"}),
    ],
)
def test_a_book_that_was_changed_is_looked_at_the_long_way(change):
    """Needless quotes, a bare formula, a changed cell, other line ends, torn, doubled and numberless lines."""
    text = change(book_of(*({"text": words} for words in WORDS)))
    assert not ledger.stands_so(ledger.read_book(text), text)


def test_a_number_in_place_of_an_id_is_written_anew():
    """A line that fits its check and names a number: the next note writes the id, so the text does not stand so."""
    text = book_of({}, {"corrects": "1"})
    assert all(ledger.read_book(text).whole) and not ledger.read_book(text).untouched


def test_notes_one_after_another_in_one_hold_are_lines_and_rows_of_the_seal(tmp_path):
    """What was read of ledger and seal is read anew after each."""
    (tmp_path / "place.toml").write_text("")
    append_notes(tmp_path, [LOAD])
    with held(tmp_path) as book:
        for amount in (3.0, 4.0):
            made, _ = ledger.as_cells([LOAD | {"amount": amount}])
            book.write(made, [0], date(2026, 1, 18))
            assert len(book.lines) == len(book.seal) == amount - 1 and not len(book.gone)
    assert read_ledger(tmp_path)[0]["line"].tolist() == [1, 2, 3] and read_ledger(tmp_path)[1] == []
    assert (tmp_path / "ledger.seal").read_text().count("\n") == 4


def test_lines_joined_by_pairs_are_those_that_scipy_joins():
    """The same families in the same order, of pairs at random, chains and rings."""
    random = np.random.default_rng(1)
    for many in (1, 2, 9, 60):
        for pairs in (0, many // 3, many, 3 * many):
            one, other = random.integers(0, many, (2, pairs))
            edges = coo_array((np.ones(pairs), (one, other)), shape=(many, many))
            theirs = connected_components(edges, directed=False)[1]
            mine = _joined(one, other, many)
            assert (pd.factorize(mine)[0] == pd.factorize(theirs)[0]).all() and (np.diff(np.unique(mine)) > 0).all()
            assert (mine <= np.arange(many)).all() and (mine[mine] == mine).all()
    chain = np.random.default_rng(2).permutation(500)
    assert not _joined(chain[1:], chain[:-1], 500).any()


def test_letters_of_many_names_are_those_of_each_alone():
    """The fewest, four or more, that no other id begins with."""
    random = Random(3)
    ids = ["".join(random.choice("bc") for _ in range(12)) for _ in range(80)] + ["bcdfghjkmnpq", "bcdfghjkmnpr"]
    column = pd.Series(ids + ids[:5])
    told = ledger.letters(ids, column)
    for name, short in zip(ids, told, strict=True):
        others = [one for one in ids if one != name]
        assert name.startswith(short) and len(short) >= 4
        assert not any(one.startswith(short) for one in others) or short == name
        assert len(short) == 4 or any(one.startswith(short[:-1]) for one in others)
    assert told[-2:] == ids[-2:] and ledger.letters([], column) == []


def test_a_seal_of_the_same_lines_says_what_a_seal_in_another_order_says():
    """Nothing is gone; a line whose check was forged is found either way."""
    lines = ledger.read_book(book_of({}, {"amount": 3.0}, {"amount": 4.0})).lines
    seal = ledger.sealed(ledger.seal_text(lines.to_numpy().tolist(), begin=True))
    forged = lines.assign(check=lines["check"].where(lines["line"] != "2", "aaaaaaaa"))
    quick = [len(ledger.gone(seal, one)) for one in (lines, forged)], seals.altered(seal, forged).tolist()
    turned = seal.iloc[::-1].reset_index(drop=True)
    slow = [len(ledger.gone(turned, one)) for one in (lines, forged)], seals.altered(turned, forged).tolist()
    assert quick == slow == ([0, 0], [False, True, False])
    assert ledger.gone(seal, lines.iloc[:2])["line"].tolist() == ["3"]


@pytest.mark.parametrize("lost", [(), (1,), (2,), (1, 3), (4,)])
def test_numbers_that_are_gone_are_said(lost):
    """None of a row of numbers that is whole; else those before the last that stands."""
    kept = [at for at in (1, 2, 3, 4, 5) if at not in lost]
    text = ledger.heading_line() + "".join(ledger.format_line(LOAD | {"line": at}) for at in kept)
    told = [dict(one.why.facts)["numbers"] for one in ledger.read_book(text).trouble if one.why.key == "lines gone"]
    assert told == ([lost] if lost else [])


def both(name, values, monkeypatch):
    """A column's values and errors (position -> its kind) by the quick way where there is one, and by the careful."""
    checked = column_kinds.cell_type(Ledger.model_fields[name])[0]
    quick = cells.validate(checked, values)
    with monkeypatch.context() as careful:
        careful.setattr(cells, "_as_usual", lambda *_: None)
        slow = cells.validate(checked, values)
    return cells._as_usual(checked, values), *(
        (got, {at: (one["type"], one["msg"]) for at, one in wrong.items()}) for got, wrong in (quick, slow)
    )


ID = ledger.derived_id("one")


@pytest.mark.parametrize(
    ("name", "values", "usual"),
    [
        ("date", ["2024-02-29", "", "1926-01-02"], True),
        ("date", ["2023-02-29", "2024-01-01"], False),
        ("date", ["2024-1-1"], False),
        ("date", ["11/25/2026", "2024-01-01"], False),
        ("date", ["2024-01-01\n2024-01-02"], False),
        ("date", ["2024-01-01T00:00:00"], False),
        ("date", ["0001-01-01"], False),
        ("date", [FIRST_DAY.isoformat()], True),
        ("date", ["\u0662024-01-01"], False),
        ("id", [ID, "", ID], True),
        ("id", [ID.upper()], False),
        ("id", [ID[:-1]], False),
        ("id", [ID[:-1] + "a"], False),
        ("id", [ID + "\n" + ID], False),
        ("id", [f" {ID}"], False),
    ],
)
def test_days_and_ids_read_at_once_are_those_read_one_by_one(name, values, usual, monkeypatch):
    """What is not as woodlot writes it goes the careful way, with the same fault."""
    way, quick, slow = both(name, values, monkeypatch)
    assert (way is not None) == usual and quick == slow


def test_a_day_that_cannot_be_is_one_fault_in_a_long_ledger(tmp_path):
    """Row, column and what was found, as in a short one."""
    (tmp_path / "place.toml").write_text("")
    text = book_of(*({"amount": 1.0 + at} for at in range(20)))
    (tmp_path / "ledger.csv").write_text(re.sub(r"(?m)^(7,[a-z]+),2026-01-17", r"\1,2026-02-30", text))
    with pytest.raises(PlaceError) as stopped:
        read_ledger(tmp_path)
    (fault,) = stopped.value.faults
    assert (fault.row, fault.column) == (8, "date") and "2026-02-30" in fault.found

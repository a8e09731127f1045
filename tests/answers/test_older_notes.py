"""A long ledger: the newest notes as they are, the older ones by year and kind, nothing twice and nothing lost."""

import pandas as pd
import pytest

from woodlot import ledger
from woodlot.answers import notes
from woodlot.answers.note_types import KindOfYear
from woodlot.ledger import HEADING

ROWS = [
    ("2019-02-01", "firewood", 2.0, "cord", None),
    ("2019-03-01", "firewood", 1.5, "cord", None),
    ("2019-11-20", "deer", 1.0, "deer", "doe"),
    ("2019-11-21", "deer", 1.0, "deer", "buck"),
    ("2020-01-05", "seen", None, None, None),
    ("2020-02-05", "post", 12.0, "piece", None),
    ("2021-02-05", "burned", 1.0, "cord", None),
    ("2018-05-01", "void", None, None, None),
    ("2021-02-05", "stack", 3.0, "cord", None),
]


@pytest.fixture
def book():
    """Nine lines, one of which only voids."""
    rows = [
        {"line": at, "date": pd.Timestamp(day), "kind": kind, "amount": amount, "unit": unit, "sex_age": which}
        for at, (day, kind, amount, unit, which) in enumerate(ROWS, start=1)
    ]
    return pd.DataFrame(rows).reindex(columns=HEADING)


def test_a_short_ledger_is_shown_whole(book):
    """All that stands, in the order of the ledger, and nothing told by year."""
    shown, older = notes.shown_and_older(book)
    assert [n.line for n in shown] == [1, 2, 3, 4, 5, 6, 7, 9] and older is None
    assert notes.shown_and_older(book[:0]) == ((), None)


def test_older_notes_are_told_by_year_and_kind_by_hand(book, monkeypatch):
    """The three newest stay, the later line of a day first; 2 + 1.5 cords and two deer of 2019, a sighting of 2020."""
    monkeypatch.setattr(notes, "SHOWN", 3)
    shown, older = notes.shown_and_older(book)
    assert [n.line for n in shown] == [6, 7, 9]
    assert (older.notes, older.until) == (5, "2020-01-05")
    assert older.words == "5 older notes, until 5 Jan 2020, are told by year and kind; the ledger has them all."
    assert [(y.year, y.notes, y.words) for y in older.years] == [
        (2020, 1, "seen."),
        (2019, 4, "2 deer, 3.5 cords of firewood."),
    ]
    assert older.years[1].kinds == (
        KindOfYear("deer", "buck", "deer", 1.0, 1),
        KindOfYear("deer", "doe", "deer", 1.0, 1),
        KindOfYear("firewood", "", "cord", 3.5, 2),
    )


@pytest.mark.parametrize("most", [1, 2, 5, 8])
def test_shown_and_older_are_all_that_stands(book, monkeypatch, most):
    """Wherever the line is drawn, notes and amounts of both parts are those of the ledger's own totals."""
    monkeypatch.setattr(notes, "SHOWN", most)
    shown, older = notes.shown_and_older(book)
    totals = ledger.totals(book)
    parts = [k for y in older.years for k in y.kinds] if older else []
    assert len(shown) + sum(k.notes for k in parts) == totals["lines"].sum()
    assert sum(n.amount or 0 for n in shown) + sum(k.amount or 0 for k in parts) == totals["amount"].sum()
    assert not shown or older is None or min(n.date for n in shown) >= older.until

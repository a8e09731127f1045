"""The ledger as text: lines, checksums, torn ends, corrections, totals."""

import csv
import io
from datetime import date

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.plan import ledger

FIREWOOD = {"line": 1, "date": date(2026, 1, 17), "stand_id": "6", "kind": "firewood", "amount": 2.5, "unit": "cord"}


def book(*notes: dict) -> str:
    """The text of a ledger with these notes, numbered from 1."""
    return ledger.heading_line() + "".join(ledger.format_line({**n, "line": i}) for i, n in enumerate(notes, 1))


def frame(text: str) -> pd.DataFrame:
    """A parsed ledger with its columns typed as ``woodlot.place`` types them."""
    cells = ledger.parse(text)[0].replace("", None)
    return cells.assign(
        line=cells["line"].astype("int64"),
        date=pd.to_datetime(cells["date"]),
        amount=pd.to_numeric(cells["amount"]),
        corrects=pd.to_numeric(cells["corrects"]).astype("Int64"),
    )


def test_a_line_reads_as_a_family_would_write_it():
    """Days as 2026-01-17, whole amounts without a point, empty cells empty, eight letters at the end."""
    line = ledger.format_line({**FIREWOOD, "who": "Ann", "text": 'said "dry", stacked'})
    assert line.startswith('1,2026-01-17,,6,firewood,,2.5,cord,Ann,"said ""dry"", stacked",,,,')
    assert line.endswith("\n") and len(line.rsplit(",", 1)[1].strip()) == 8
    assert ledger.format_line({**FIREWOOD, "amount": 3.0}).split(",")[6] == "3"


def test_checksum_as_zlib_gives_it():
    """The checksum of "123456789" as one cell is the published check value of CRC-32, CBF43926, in letters a to p."""
    assert ledger.checksum(["123456789"]) == "".join("abcdefghijklmnop"[int(d, 16)] for d in "CBF43926")


def test_a_note_of_two_lines_is_one_line_of_the_file():
    """Line ends, tabs and control signs in a text become blanks."""
    line = ledger.format_line({**FIREWOOD, "text": "first\r\nsecond\tthird\x00\u2028fourth"})
    assert line.count("\n") == 1 and "first second third fourth" in line


@pytest.mark.parametrize(
    ("cells", "word"),
    [
        ({"kind": ""}, "kind"),
        ({"date": "last fall"}, "date"),
        ({"amount": "a lot"}, "amount"),
        ({"sex_age": "stag"}, "sex_age"),
        ({"lat": 460.0}, "lat"),
        ({"color": "red"}, "color"),
    ],
)
def test_a_note_that_cannot_be_is_refused(cells, word):
    """The message names the cell."""
    with pytest.raises(InputError, match=word):
        ledger.format_line({**FIREWOOD, **cells})


def test_what_is_written_is_read_again():
    """Two lines out, two lines in, nothing to say about them."""
    text = book(FIREWOOD, {"date": "2026-11-21", "kind": "deer", "sex_age": "doe", "amount": 1, "unit": "deer"})
    cells, rows, trouble = ledger.parse(text)
    assert cells["kind"].tolist() == ["firewood", "deer"] and rows == [2, 3] and trouble == []
    assert cells["amount"].tolist() == ["2.5", "1"]


@given(st.text(max_size=200), st.text(max_size=40), st.floats(-1e6, 1e6, allow_nan=False))
def test_any_words_survive_and_are_vouched_for(text, who, amount):
    """Whatever is typed, the line stays one line, reads back, and its checksum fits."""
    line = ledger.format_line({**FIREWOOD, "text": text, "who": who, "amount": amount})
    assert line.count("\n") == 1
    cells, _, trouble = ledger.parse(ledger.heading_line() + line)
    assert trouble == [] and float(cells["amount"].iloc[0]) == amount


@given(st.integers(0, 400))
def test_a_file_torn_anywhere_loses_only_its_last_line(letters):
    """Cut the file after any letter: the whole lines before it stand, and a stump, if one is left, is said."""
    text = book(*[{**FIREWOOD, "text": f"load {n}"} for n in range(4)])
    cut = text[:letters]
    cells, _, trouble = ledger.parse(cut)
    whole = max(cut.count("\n") - 1, 0)
    assert len(cells) >= min(whole, 4)
    assert cells["text"].tolist()[:whole] == [f"load {n}" for n in range(whole)]
    stump = cut.rsplit("\n", 1)[-1]
    complete = {*text.split("\n"), ""}
    assert bool(trouble) == (stump not in complete)


def test_a_torn_line_is_said_and_the_next_one_counts():
    """A stump, then a good line on its own row: the stump is reported with its row, the good line is read."""
    text = book(FIREWOOD)
    stump = ledger.format_line({**FIREWOOD, "line": 2})[:20]
    text += stump + "\n" + ledger.format_line({**FIREWOOD, "line": ledger.next_line(text + stump)})
    cells, rows, trouble = ledger.parse(text)
    assert cells["line"].tolist() == ["1", "3"] and rows == [2, 4]
    assert [(t.row, t.counted) for t in trouble] == [(3, False)] and "torn" in trouble[0].words


def test_a_changed_line_is_counted_and_said():
    """2.5 cords made 3.5 by hand: counted as it stands, and the family is told which row."""
    cells, _, trouble = ledger.parse(book(FIREWOOD).replace(",2.5,", ",3.5,"))
    assert cells["amount"].tolist() == ["3.5"]
    assert [(t.row, t.counted) for t in trouble] == [(2, True)] and "changed" in trouble[0].words


def test_a_line_typed_by_hand_is_counted_and_said():
    """Without the eight letters a line counts too."""
    text = ledger.heading_line() + "1,2026-01-17,,6,firewood,,2.5,cord,,,,,,\n"
    cells, _, trouble = ledger.parse(text)
    assert len(cells) == 1 and trouble[0].counted and "by hand" in trouble[0].words


def test_a_spreadsheet_may_save_the_ledger():
    """Every cell quoted, Windows line ends, a byte order mark: the same lines, nothing to say."""
    text = book(FIREWOOD, {**FIREWOOD, "text": "a, b"})
    out = io.StringIO()
    csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n").writerows(csv.reader(io.StringIO(text)))
    cells, _, trouble = ledger.parse("\ufeff" + out.getvalue())
    assert trouble == [] and cells["text"].tolist() == ["", "a, b"]


def test_columns_may_stand_in_another_order():
    """A ledger kept by hand under its own order of columns is read by its heading."""
    text = "date,kind,line,amount,unit\n2025-12-01,firewood,1,2,cord\n"
    cells, _, trouble = ledger.parse(text)
    assert cells[["line", "kind", "amount"]].to_numpy().tolist() == [["1", "firewood", "2"]]
    assert trouble[0].counted


def test_the_next_number_passes_torn_lines_too():
    """Numbers are never used twice, even when the line that had one is torn."""
    assert ledger.next_line("") == 1
    assert ledger.next_line(book(FIREWOOD, FIREWOOD)) == 3
    assert ledger.next_line(book(FIREWOOD) + "7,2026-0") == 8


def test_corrections_by_hand():
    """Lines 1 to 3; 4 replaces 1, 5 replaces 4, 6 and 7 both replace 2, 8 takes out 3: 5 and 7 stand."""
    notes = [{**FIREWOOD, "amount": a} for a in (1, 2, 3)]
    notes += [{**FIREWOOD, "amount": 4, "corrects": 1}, {**FIREWOOD, "amount": 5, "corrects": 4}]
    notes += [{**FIREWOOD, "amount": 6, "corrects": 2}, {**FIREWOOD, "amount": 7, "corrects": 2}]
    notes += [{"date": date(2026, 2, 1), "kind": "void", "corrects": 3}]
    assert ledger.standing(frame(book(*notes)))["line"].tolist() == [5, 7]


def test_totals_by_hand():
    """2026: 2.5 + 1.5 = 4 cords in two lines, one doe; board feet by two rules are two sums, never one."""
    day = {"date": date(2026, 1, 17)}
    text = book(
        FIREWOOD,
        {**FIREWOOD, "amount": 1.5},
        {**day, "kind": "deer", "sex_age": "doe", "amount": 1, "unit": "deer"},
        {**day, "kind": "sawlog", "amount": 300, "unit": "bdft_doyle"},
        {**day, "kind": "sawlog", "amount": 500, "unit": "bdft_scribner"},
        {**day, "kind": "seen", "text": "bear"},
        {**FIREWOOD, "date": date(2025, 12, 30), "amount": 1},
    )
    sums = ledger.totals(frame(text)).set_index(["year", "kind", "unit"])
    assert sums.loc[(2026, "firewood", "cord"), ["amount", "lines"]].tolist() == [4.0, 2]
    assert sums.loc[(2025, "firewood", "cord"), "amount"] == 1.0
    assert sums.loc[(2026, "deer", "deer"), "sex_age"] == "doe"
    assert sums.loc[(2026, "sawlog", "bdft_doyle"), "amount"] == 300
    assert pd.isna(sums.loc[(2026, "seen", ""), "amount"])
    winters = ledger.totals(frame(text), year_begins=7).set_index(["year", "kind"])
    assert winters.loc[(2025, "firewood"), "amount"] == 5.0


def test_an_empty_ledger_has_no_totals():
    """No lines, no rows, all columns."""
    assert ledger.totals(frame(ledger.heading_line())).empty
    with pytest.raises(InputError, match="month"):
        ledger.totals(frame(""), year_begins=13)

"""The ledger as text: lines, checksums, torn ends, corrections, totals."""

import csv
import io
from datetime import date

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from woodlot import ledger
from woodlot.errors import InputError
from woodlot.plan import done
from woodlot.say.reasons import said
from woodlot.wood.drawn_down import winter_began

FIREWOOD = {"line": 1, "date": date(2026, 1, 17), "stand_id": "6", "kind": "firewood", "amount": 2.5, "unit": "cord"}


def book(*notes: dict) -> str:
    """The text of a ledger with these notes, numbered from 1."""
    return ledger.heading_line() + "".join(line(i, n) for i, n in enumerate(notes, 1))


def line(number: int, note: dict) -> str:
    """The line of a note with an id that comes of number and note."""
    return ledger.format_line({"id": ledger.derived_id(number, note), **note, "line": number})


def frame(text: str) -> pd.DataFrame:
    """A parsed ledger with its columns typed as ``woodlot.place`` types them."""
    cells = ledger.parse(text)[0].replace("", None)
    return cells.assign(
        line=cells["line"].astype("int64"),
        date=pd.to_datetime(cells["date"]),
        amount=pd.to_numeric(cells["amount"]),
    )


def test_a_line_reads_as_a_family_would_write_it():
    """Days as 2026-01-17, whole amounts without a point, empty cells empty, twelve letters and eight at the end."""
    text = ledger.format_line({**FIREWOOD, "who": "Ann", "text": 'said "dry", stacked'})
    cells = dict(zip(ledger.HEADING, next(csv.reader([text])), strict=True))
    filled = {name: cell for name, cell in cells.items() if cell and name not in ("id", "check")}
    assert filled == {
        "line": "1",
        "date": "2026-01-17",
        "stand_id": "6",
        "kind": "firewood",
        "amount": "2.5",
        "unit": "cord",
        "who": "Ann",
        "text": 'said "dry", stacked',
    }
    assert text.endswith("\n") and len(cells["check"]) == 8 and len(cells["id"]) == 12
    whole = next(csv.reader([ledger.format_line({**FIREWOOD, "amount": 3.0})]))
    assert dict(zip(ledger.HEADING, whole, strict=True))["amount"] == "3"


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
    assert [(t.row, t.counted) for t in trouble] == [(3, False)] and "torn" in said(trouble[0].why)


def test_a_line_without_its_last_cell_is_torn():
    """The comma before the checksum is gone too: one cell short of a line, so it is kept and not counted."""
    text = book(FIREWOOD) + ledger.format_line({**FIREWOOD, "line": 2}).rsplit(",", 1)[0] + "\n"
    cells, rows, trouble = ledger.parse(text)
    assert cells["line"].tolist() == ["1"] and rows == [2]
    last = len(ledger.HEADING)
    assert [(t.row, t.counted) for t in trouble] == [(3, False)]
    assert f"only the first {last - 1} of {last} cells are there" in said(trouble[0].why)


def test_a_number_that_is_gone_is_said_and_counts_nothing():
    """Line 2 of three is not there: said at the row of the next one, and nothing of it is counted."""
    lines = book(FIREWOOD, FIREWOOD, FIREWOOD).split("\n")
    cells, _, trouble = ledger.parse("\n".join([*lines[:2], *lines[3:]]))
    assert cells["line"].tolist() == ["1", "3"]
    assert [(t.row, t.counted) for t in trouble] == [(3, False)] and "line 2 is not there" in said(trouble[0].why)


def test_numbers_that_were_never_counted_on_are_not_missed():
    """1 and 5 are the numbers of someone who counts otherwise; of 1, 2, 3 and 7 three are gone."""
    for numbers, said_of in (((1, 5), []), ((1, 2, 3, 7), ["lines gone"])):
        text = ledger.heading_line() + "".join(line(number, FIREWOOD) for number in numbers)
        assert [one.why.key for one in ledger.parse(text)[2]] == said_of


def test_a_changed_line_is_counted_and_said():
    """2.5 cords made 3.5 by hand: counted as it stands, and the family is told which row."""
    cells, _, trouble = ledger.parse(book(FIREWOOD).replace(",2.5,", ",3.5,"))
    assert cells["amount"].tolist() == ["3.5"]
    assert [(t.row, t.counted) for t in trouble] == [(2, True)] and "changed" in said(trouble[0].why)


def test_a_line_typed_by_hand_is_counted_and_said():
    """Without the eight letters a line counts too."""
    text = ledger.heading_line() + "1,2026-01-17,,6,firewood,,2.5,cord,,,,,,\n"
    cells, _, trouble = ledger.parse(text)
    assert len(cells) == 1 and trouble[0].counted and "by hand" in said(trouble[0].why)


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


def joined(*books: str) -> str:
    """Ledgers put behind one another by hand, each with its heading."""
    return "".join(books)


def test_a_number_that_two_lines_bear_takes_neither_out():
    """Ann's line 2 makes her line 1 2.5 cords of 2, Ben's voids his 3: joined, 2, 3 and 2.5 count, and that is said."""
    ann = book({**FIREWOOD, "amount": 2}, {**FIREWOOD, "amount": 2.5, "corrects": 1})
    ben = book({**FIREWOOD, "amount": 3}, {**FIREWOOD, "kind": "void", "amount": None, "unit": None, "corrects": 1})
    assert [ledger.standing(frame(one))["amount"].tolist() for one in (ann, ben)] == [[2.5], []]
    both = joined(ann, ben)
    assert ledger.standing(frame(both))["amount"].tolist() == [2, 2.5, 3]
    assert [(one.row, said(one.why).split(",")[0]) for one in ledger.parse(both)[2]] == [
        (5, "bears the number 1"),
        (6, "bears the number 2"),
        (3, "replaces line 1"),
        (6, "replaces line 1"),
    ]
    assert ledger.bearing(ledger.parse(both)[0], 1) == [0, 2] and ledger.bearing(ledger.parse(ann)[0], 1) == [0]


def test_only_the_number_that_stands_twice_is_unclear():
    """Line 2 is borne by one line, so the line that replaces it still does, also in a joined ledger."""
    ann = book(FIREWOOD, {**FIREWOOD, "amount": 4}, {**FIREWOOD, "amount": 5, "corrects": 2})
    assert ledger.standing(frame(joined(ann, book({**FIREWOOD, "who": "Ben"}))))["amount"].tolist() == [2.5, 5, 2.5]


def test_two_copies_of_one_ledger_hold_each_line_once():
    """A copy joined to its original: nothing counts twice, what was replaced stays so, and the rows are said."""
    one = book(FIREWOOD, {**FIREWOOD, "amount": 5, "corrects": 1}, {**FIREWOOD, "text": "later"})
    cells, rows, trouble = ledger.parse(joined(one, one))
    assert cells["line"].tolist() == ["1", "2", "3"] and rows == [2, 3, 4]
    assert [(t.row, said(t.why)) for t in trouble] == [
        (row + 4, f"is row {row} again, word for word; counted once") for row in (2, 3, 4)
    ]
    assert ledger.standing(frame(joined(one, one)))["amount"].tolist() == [5, 2.5]


def test_a_line_is_named_by_its_letters_where_its_number_is_borne_twice():
    """Ann and Ben each have a line 1; a third line replaces Ben's by its id, a fourth voids Ann's: only 7 counts."""
    ann, ben = book({**FIREWOOD, "amount": 2}), book({**FIREWOOD, "amount": 3})
    both = ledger.parse(joined(ann, ben))[0]
    ids = both["check"].tolist()
    assert ledger.borne_twice(frame(joined(ann, ben))).tolist() == [True, True]
    assert [ledger.bearing(both, one) for one in ids] == [[0], [1]] and ledger.bearing(both, "aaaaaaaa") == []
    more = ledger.format_line({**FIREWOOD, "line": 2, "amount": 7, "corrects": ids[1]})
    assert ledger.standing(frame(joined(ann, ben, more)))["amount"].tolist() == [2, 7]
    void = ledger.format_line({**FIREWOOD, "line": 3, "kind": "void", "amount": None, "unit": None, "corrects": ids[0]})
    assert ledger.standing(frame(joined(ann, ben, more, void)))["amount"].tolist() == [7]


def test_number_and_letters_name_the_same_line():
    """Line 1 replaced once by its number and once by its letters: the later stands alone; what stands, stands again."""
    first = book(FIREWOOD)
    letters = ledger.parse(first)[0]["check"].iloc[0]
    text = first + ledger.format_line({**FIREWOOD, "line": 2, "amount": 4, "corrects": 1})
    text += ledger.format_line({**FIREWOOD, "line": 3, "amount": 5, "corrects": letters.upper()})
    there = ledger.standing(frame(text))
    assert there["amount"].tolist() == [5] and ledger.standing(there)["amount"].tolist() == [5]


@pytest.mark.parametrize("named", ["abcdefgq", "abcdefg", "0", "1.5", "12345678"])
def test_what_is_neither_a_number_nor_letters_names_no_line(named):
    """Twelve letters of an id, eight from a to p of a line without one, or a number of seven digits at most."""
    with pytest.raises(InputError, match="corrects: write the number of a line, or its id"):
        ledger.format_line({**FIREWOOD, "corrects": named})


def test_lines_typed_by_hand_are_one_remark():
    """Three lines without a check: the first is named with its row, the others by their number."""
    text = ledger.heading_line() + "".join(f"{n},2026-01-17,,6,firewood,,2.5,cord,,,,,,\n" for n in (1, 2, 3))
    lines, _, trouble = ledger.parse(text)
    assert len(lines) == 3 and [(t.row, t.counted) for t in trouble] == [(2, True)]
    assert said(trouble[0].why).endswith("counted; so it is with 2 more lines")


def test_lines_without_a_number_are_never_one():
    """Two loads typed by hand, alike and without a number: two lines with the numbers that are free."""
    typed = "line,date,kind,amount,unit\n,2026-01-17,firewood,2,cord\n,2026-01-17,firewood,2,cord\n"
    cells, rows, trouble = ledger.parse(typed)
    assert rows == [2, 3] and {said(one.why).split(":")[0] for one in trouble} == {"has no check"}
    assert cells["line"].tolist() == ["1", "2"] and len(set(cells["id"])) == 2


def test_many_numbers_that_stand_twice_are_six_and_a_rest():
    """Twenty lines of two people: six are said one by one, fourteen as a number."""
    both = [book(*[{**FIREWOOD, "who": name} for _ in range(20)]) for name in ("Ann", "Ben")]
    trouble = ledger.parse(joined(*both))[2]
    assert len(trouble) == 7 and said(trouble[-1].why) == "the same is so of 14 more lines from here on"


NOTE = {key: value for key, value in FIREWOOD.items() if key != "line"}
OTHER = {
    "date": date(2026, 1, 18),
    "parcel_id": "home",
    "stand_id": "7",
    "kind": "sawlog",
    "species": "red oak",
    "sex_age": "doe",
    "age_yr": 3.5,
    "dressed_lb": 104.0,
    "milk": "milk",
    "amount": 3.0,
    "unit": "cuft",
    "job": "barn",
    "who": "Ben",
    "text": "oak",
    "photo": "oak.jpg",
    "photo_check": "e3b0c442",
    "lon": -89.4,
    "lat": 46.1,
    "corrects": 1,
}


@pytest.mark.parametrize("column", OTHER)
def test_notes_that_differ_in_any_column_are_two(column):
    """All columns of the ledger are compared."""
    lines = ledger.parse(book(NOTE))[0]
    assert set(OTHER) == set(ledger.HEADING) - {"line", "id", "written", "check"}
    assert ledger.fresh(ledger.as_cells([NOTE])[0], lines) == []
    assert ledger.fresh(ledger.as_cells([{**NOTE, column: OTHER[column]}])[0], lines) == [0]
    assert ledger.fresh(
        ledger.as_cells([{**NOTE, column: OTHER[column]}, NOTE])[0], ledger.parse(book({**NOTE, **OTHER}))[0]
    ) == [0, 1]


def test_equal_notes_are_as_many_loads_as_there_are():
    """None of two in the ledger: both are new; one of them: one is; both, or three: none."""
    lines = [ledger.parse(book(*[NOTE] * many))[0] for many in range(4)]
    assert [len(ledger.fresh(ledger.as_cells([NOTE, NOTE])[0], one)) for one in lines] == [2, 1, 0, 0]


@pytest.mark.parametrize("way", ["two  blanks", " at both ends ", "a\ttab", "a\u00a0hard blank", "a\x07bell", "2.50"])
def test_words_are_compared_as_the_ledger_stores_them(way):
    """What the ledger makes of a text is what it is compared with."""
    note = {**NOTE, "text": way, "who": way, "stand_id": f" {NOTE['stand_id']} "}
    assert ledger.fresh(ledger.as_cells([note])[0], ledger.parse(book(note))[0]) == []


def test_a_ledger_turned_round_by_a_spreadsheet_holds_the_same_notes():
    """Days as 1/17/2026 and 2.50 for 2.5 are the same day and amount; a line typed wrong holds nothing."""
    text = book(NOTE).replace("2026-01-17", "1/17/2026").replace(",2.5,", ",2.50,")
    assert ledger.fresh(ledger.as_cells([NOTE])[0], ledger.parse(text)[0]) == []
    assert ledger.fresh(ledger.as_cells([NOTE])[0], ledger.parse(text.replace("1/17/2026", "someday"))[0]) == [0]


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


@pytest.mark.parametrize(
    ("kind", "unit", "species"),
    [("weather", "in", ""), ("weather", "f", ""), ("sick trees", "piece", "ash"), ("measured stack", "cord", "oak")],
)
def test_what_may_be_there_another_day_too_is_counted_and_not_added_up(kind, unit, species):
    """Snow of two days, frosts, the sick ash of two walks, a stack measured twice: two notes, no sum."""
    note = {"date": date(2026, 1, 17), "kind": kind, "amount": 12, "unit": unit, "text": "snow", "species": species}
    (row,) = ledger.totals(frame(book(note, note | {"amount": 14}))).to_dict("records")
    assert (row["unit"], row["lines"]) == (unit, 2) and pd.isna(row["amount"])


def test_a_winter_of_the_totals_turns_on_the_first_of_july_itself():
    """Wood of 30 June counts with the winter before, that of 1 July with the one that comes."""
    text = book({**FIREWOOD, "date": date(2026, 6, 30)}, {**FIREWOOD, "date": date(2026, 7, 1), "amount": 1})
    winters = ledger.totals(frame(text), year_begins=7).set_index("year")["amount"]
    assert winters.to_dict() == {2025: FIREWOOD["amount"], 2026: 1.0}


def test_wood_of_this_winter_by_hand():
    """Cords of firewood from the day on: not those of the day before, nor logs, nor feet, nor a line set right."""
    day = date(2026, 5, 1)
    text = book(
        {**FIREWOOD, "date": date(2026, 4, 30), "amount": 16},
        {**FIREWOOD, "date": day, "amount": 1},
        {**FIREWOOD, "date": date(2026, 10, 3), "amount": 2},
        {**FIREWOOD, "date": date(2026, 10, 3), "amount": 4, "corrects": 3},
        {"date": date(2026, 10, 4), "kind": "sawlog", "amount": 8, "unit": "cord"},
        {"date": date(2026, 10, 4), "kind": "firewood", "amount": 300, "unit": "bdft_scribner"},
    )
    assert done.made(frame(text), "firewood", day) == 5.0
    assert done.made(frame(ledger.heading_line()), "firewood", day) == 0.0


@pytest.mark.parametrize(
    ("day", "began"), [((2026, 4, 30), 2025), ((2026, 5, 1), 2026), ((2026, 12, 31), 2026), ((2027, 1, 1), 2026)]
)
def test_wood_counts_for_the_coming_winter_from_the_first_of_may(day, began):
    """The last day of April still belongs to the winter that is over."""
    assert winter_began(date(*day)) == date(began, 5, 1)


def test_an_empty_ledger_has_no_totals():
    """No lines, no rows, all columns."""
    assert ledger.totals(frame(ledger.heading_line())).empty
    with pytest.raises(InputError, match="month"):
        ledger.totals(frame(""), year_begins=13)

"""Two histories joined: every line once, the same lines whoever joins whom, what does not agree kept and shown."""

import csv
import io
from datetime import date, timedelta
from random import Random

import pandas as pd
import pytest

from woodlot import ledger
from woodlot.ledger.seal import altered
from woodlot.ledger.standing import heads
from woodlot.place import read_ledger

WOOD = {"date": date(2026, 1, 17), "kind": "firewood", "unit": "cord", "stand_id": "6"}
OLD_HEADING = ["line", "date", "parcel_id", "stand_id", "kind", "sex_age", "amount", "unit", "who", "text"]
OLD_HEADING += ["lon", "lat", "corrects", "check"]
OLD = (
    "line,date,parcel_id,stand_id,kind,sex_age,amount,unit,who,text,lon,lat,corrects,check\n"
    "1,2023-11-04,kettle,14,seen,,,,Aili,Ice on the pond. Two old white pines down across the woods road,"
    "-90.352249,46.202215,,dgnfemfl\n"
    '2,2023-11-19,lake,1,deer,yearling buck,1,deer,Toivo,"spike on one side, 109 lb dressed",-90.409474,46.174152,,'
    "gcenflfm\n"
)


def written(book: str, /, **note) -> str:
    """A ledger with one more line."""
    return book + ledger.format_line({**WOOD, "line": ledger.next_line(book), **note})


def typed(text: str) -> pd.DataFrame:
    """A ledger with its columns typed as ``woodlot.place`` types them."""
    cells = ledger.parse(text)[0].replace("", None)
    return cells.assign(
        line=cells["line"].astype("int64"),
        **{name: pd.to_datetime(cells[name]) for name in ("date", "written")},
        amount=pd.to_numeric(cells["amount"]),
    )


def said(text: str) -> set[tuple[str, ...]]:
    """The lines of a ledger without the numbers they have in it."""
    return {tuple(cells[1:]) for cells in ledger.read_book(text).cells}


def stands(text: str) -> list[tuple[str, float]]:
    """Ids and amounts of the lines that count, in the order of the ids."""
    rows = ledger.standing(typed(text))
    return sorted(zip(rows["id"], rows["amount"], strict=True))


def test_an_old_ledger_keeps_its_lines_and_two_copies_of_it_are_one():
    """Lines of the sample's ledger before ids: nothing to say of them, and a copy that grew joins without doubling."""
    cells, _, trouble = ledger.parse(OLD)
    assert trouble == [] and cells["amount"].tolist() == ["", "1"] and cells["who"].tolist() == ["Aili", "Toivo"]
    new = ledger.brought_over(OLD)
    assert new.startswith(ledger.heading_line()) and ledger.brought_over(new) == new
    assert ledger.parse(new)[2] == [] and ledger.parse(new)[0]["id"].tolist() == cells["id"].tolist()
    ann, ben = written(new, amount=2.0), written(ledger.brought_over(OLD), amount=3.0)
    both, other = ledger.merge(ann, ben), ledger.merge(ben, ann)
    assert said(both.text) == said(other.text) and len(said(both.text)) == 4 and both.same == 2 and len(both.added) == 1
    assert ledger.merge(both.text, OLD).text == both.text


def test_an_old_line_changed_by_hand_is_the_same_line():
    """The check that it keeps names it: joined with a copy, the change takes the place of what was written."""
    changed = OLD.replace(",1,deer,Toivo", ",2,deer,Toivo")
    for ours, theirs in ((OLD, changed), (changed, OLD)):
        both = ledger.merge(ours, theirs)
        assert [clash.kind for clash in both.clashes] == ["says two things"]
        assert [amount for _, amount in stands(both.text) if amount == amount] == [2.0]
        assert len(ledger.parse(both.text)[0]) == 3 and ledger.parse(both.text)[2] == []


def test_both_changed_by_hand_leaves_both_to_see():
    """Nobody has the line as it was written: one of the two counts, the same one in both copies, and it is a fork."""
    book = written(ledger.heading_line(), amount=2.0)
    ann, ben = book.replace(",2,cord", ",3,cord"), book.replace(",2,cord", ",4,cord")
    both, other = ledger.merge(ann, ben).text, ledger.merge(ben, ann).text
    assert said(both) == said(other) and stands(both) == stands(other) and len(stands(both)) == 1
    assert len(ledger.forks(typed(both))) == 1


def test_two_hands_set_one_line_right():
    """Of two corrections that know nothing of each other the later counts; a third that names both ends it."""
    book = written(ledger.heading_line(), amount=2.0)
    name = ledger.parse(book)[0]["id"].iloc[0]
    ann = written(book, amount=3.0, corrects=name, written=date(2026, 2, 1))
    ben = written(book, amount=4.0, corrects=name, written=date(2026, 2, 2))
    both, other = ledger.merge(ann, ben).text, ledger.merge(ben, ann).text
    assert [amount for _, amount in stands(both)] == [4.0] and stands(both) == stands(other)
    lines = ledger.parse(both)[0]
    (fork,) = ledger.forks(typed(both))
    assert lines["amount"].iloc[fork].tolist() == ["3", "4"]
    settled = written(both, amount=5.0, corrects=" ".join(heads(lines, 0)), written=date(2026, 2, 2))
    assert [amount for _, amount in stands(settled)] == [5.0] and ledger.forks(typed(settled)) == []


def test_two_loads_that_say_the_same_are_kept_and_shown():
    """Ann and Ben note the same words on the same day: two loads, or one noted twice; nobody but they can tell."""
    start = ledger.heading_line()
    both = ledger.merge(written(start, amount=2.0), written(start, amount=2.0))
    assert [clash.kind for clash in both.clashes] == ["may be one"] and len(stands(both.text)) == 2


def test_a_torn_line_of_the_other_is_shown_and_not_taken():
    """What cannot be read cannot be joined."""
    start = written(ledger.heading_line(), amount=2.0)
    both = ledger.merge(start, written(start, amount=3.0)[:-60])
    assert [clash.kind for clash in both.clashes] == ["torn"] and len(both.added) == 0


def test_a_ledger_of_formulas_is_harmless_and_reads_back():
    """Words that a spreadsheet would work out stand behind an apostrophe in the file, and come back as typed."""
    text = written(ledger.heading_line(), text='=HYPERLINK("http://x","y")', who="@ann", job="-1+2")
    cells = next(csv.reader([text.splitlines()[1]]))
    assert sum(cell.startswith("'") for cell in cells) == 3
    back = ledger.parse(text)[0].iloc[0]
    assert (back["text"], back["who"], back["job"]) == ('=HYPERLINK("http://x","y")', "@ann", "-1+2")


def test_a_spreadsheet_may_save_it_between():
    """Semicolons, days as 1/17/2026, decimal commas, quotes, Windows line ends: the same lines, all of them whole."""
    book = written(written(ledger.heading_line(), amount=2.5, written=date(2026, 1, 18)), amount=-3.25, text="a, b")
    out = io.StringIO()
    rows = csv.writer(out, delimiter=";", lineterminator="\r\n", quoting=csv.QUOTE_ALL)
    for cells in csv.reader(io.StringIO(book)):
        rows.writerow(
            [c.replace("2026-01-17", "1/17/2026").replace("2.5", "2,50").replace("3.25", "3,25") for c in cells]
        )
    assert ledger.brought_over("\ufeff" + out.getvalue()) == book and ledger.parse(out.getvalue())[2] == []


def test_utf_16_is_read_by_its_mark():
    """As a spreadsheet's "Unicode text" saves it."""
    book = written(ledger.heading_line(), amount=2.0, who="Väinö")
    assert ledger.text_of(book.replace(",", "\t").encode("utf-16")).lstrip("\ufeff") == book.replace(",", "\t")
    assert said(book.replace(",", "\t")) == said(book)


def test_the_seal_names_any_line_that_is_gone():
    """Each line taken out in turn, the last one too, and all of them; a void of it settles it."""
    book = ledger.heading_line()
    for amount in (1.0, 2.0, 3.0):
        book = written(book, amount=amount)
    lines = ledger.read_book(book).cells
    seal = ledger.sealed(ledger.seal_text(lines, begin=True))
    assert ledger.gone(seal, ledger.parse(book)[0]).empty
    rows = book.splitlines(keepends=True)
    for at in (1, 2, 3):
        short = "".join(rows[:at] + rows[at + 1 :])
        assert ledger.gone(seal, ledger.parse(short)[0])[["id", "line"]].to_numpy().tolist() == [lines[at - 1][1::-1]]
        void = short + ledger.format_line(
            {**WOOD, "kind": "void", "unit": None, "line": 4, "corrects": lines[at - 1][1]}
        )
        assert ledger.gone(seal, ledger.parse(void)[0]).empty
    assert len(ledger.gone(seal, ledger.parse("")[0])) == 3


def test_the_seal_knows_a_line_whose_check_was_made_anew():
    """Somebody changed a line and worked out its check again: the line is whole, and not what was written."""
    book = written(ledger.heading_line(), amount=1.0)
    seal = ledger.sealed(ledger.seal_text(ledger.read_book(book).cells, begin=True))
    cells = dict(zip(ledger.HEADING, ledger.read_book(book).cells[0], strict=True))
    forged = ledger.heading_line() + ledger.format_line({**{k: v for k, v in cells.items() if v}, "amount": 9.0})
    assert ledger.parse(forged)[2] == [] and altered(seal, ledger.parse(forged)[0]).tolist() == [True]
    assert altered(seal, ledger.parse(book)[0]).tolist() == [False]


def old(*rows: str) -> str:
    """A ledger from before ids: rows of number, amount, what it corrects."""
    out = io.StringIO()
    sheet = csv.writer(out, lineterminator="\n")
    sheet.writerow(OLD_HEADING)
    for row in rows:
        number, amount, corrects = row.split(",")
        cells = [number, "2024-05-01", "", "6", "firewood", "", amount, "cord", "", "", "", "", corrects]
        sheet.writerow([*cells, ledger.checksum(cells)])
    return out.getvalue()


@pytest.mark.parametrize("order", [(1, 2, 3, 4), (4, 3, 2, 1), (3, 1, 4, 2), (2, 4, 1, 3)])
def test_rows_sorted_by_another_column_keep_what_replaces_what(order):
    """Lines 2, 3 and 4 each set line 1 right, one after the other: 4 counts, in whatever order the rows stand."""
    rows = ["1,10,", "2,20,1", "3,30,1", "4,40,1"]
    assert [amount for _, amount in stands(old(*(rows[at - 1] for at in order)))] == [40.0]


def test_lines_that_replace_one_another_or_themselves_are_read():
    """Typed so by hand: 1 and 2 replace each other, 3 itself, 4 and 5 them: read, not gone round for ever."""
    text = old("1,10,2", "2,20,1", "3,30,3", "4,40,3", "5,50,1", "6,60,2")
    assert len(ledger.parse(text)[0]) == 6
    assert 40.0 in [amount for _, amount in stands(text)]


def test_a_row_copied_with_its_id_and_changed_is_a_line_of_its_own():
    """Copied in a spreadsheet and made 7 cords: both count, whichever row comes first; it is said once."""
    book = written(ledger.heading_line(), amount=2.0)
    copied = book.splitlines(keepends=True)[1].replace(",2,cord", ",7,cord").replace("1,", "2,", 1)
    ids = []
    for rows in (book + copied, book.replace("\n", f"\n{copied}", 1)):
        read = ledger.read_book(rows)
        assert sorted(amount for _, amount in stands(rows)) == [2.0, 7.0]
        assert [(one.why.key, one.counted) for one in read.trouble if "number" not in one.why.key] == [
            ("id twice", True)
        ]
        assert sorted(read.whole) == [False, True] and len(set(read.lines["id"])) == 2
        ids.append(set(read.lines["id"]))
    assert ids[0] == ids[1] and ledger.parse(ledger.brought_over(book + copied))[2] == []
    assert len(set(ledger.read_book(book + copied + copied.replace("2,", "3,", 1)).lines["id"])) == 3


def test_the_quick_way_reads_what_the_slow_way_reads():
    """Every cell in quotes is read line by line: the same cells, rows and remarks."""
    book = written(ledger.heading_line(), amount=2.0, text='said "dry"', who="'tis", job="=1+1")
    book = written(book, amount=3.0, corrects=ledger.parse(book)[0]["id"].iloc[0], text="a, b")
    slow = "".join(line + " \n" for line in book.splitlines())
    quick, other = ledger.read_book(book), ledger.read_book(slow)
    assert quick.cells == other.cells and quick.rows == other.rows and quick.whole == other.whole == [True, True]
    torn = book + '9,"open'
    assert ledger.read_book(torn).cells == quick.cells and list(ledger.read_book(torn).left) == [4]


def test_joining_again_or_the_other_way_comes_to_the_same():
    """A line changed in both copies, in one of them, and as it was written in a third: three lines, joined any way."""
    book = written(ledger.heading_line(), amount=2.0)
    copies = [book.replace(",2,cord", f",{many},cord") for many in (3, 4)] + [book]
    for order in ((0, 1, 2), (2, 1, 0), (1, 0, 2), (0, 2, 1)):
        text = copies[order[0]]
        for at in order[1:]:
            text = ledger.merge(text, copies[at]).text
        assert len(said(text)) == 3 and len(stands(text)) == 1
        for one in copies:
            again = ledger.merge(text, one)
            assert again.text == text and not again.added and not again.changed and not again.clashes
            assert again.same == 1


def test_lines_that_come_get_numbers_that_nobody_bore():
    """Numbers go on behind the largest of the file, and not before the first that is free."""
    book = written(ledger.heading_line(), amount=2.0)
    other = written(written(ledger.heading_line(), amount=3.0), amount=4.0)
    assert [cells[0] for cells in ledger.merge(book, other).added] == ["2", "3"]
    assert [cells[0] for cells in ledger.merge(book, other, 9).added] == ["9", "10"]


def test_typed_frames_as_a_place_gives_them(tmp_path):
    """Types of the columns; corrections, forks and totals work on them, also on an empty one and one without ids."""
    book = written(ledger.heading_line(), amount=2.0, written=date(2026, 2, 1))
    name = ledger.parse(book)[0]["id"].iloc[0]
    for amount, day in ((3.0, 3), (4.0, 2)):
        book = written(book, amount=amount, corrects=name, written=date(2026, 2, day))
    (tmp_path / "place.toml").write_text("")
    assert ledger.standing(read_ledger(tmp_path)[0]).empty and ledger.forks(read_ledger(tmp_path)[0]) == []
    assert ledger.totals(read_ledger(tmp_path)[0]).empty
    (tmp_path / "ledger.csv").write_text(book)
    lines = read_ledger(tmp_path)[0]
    assert str(lines["written"].dtype).startswith("datetime64") and lines["line"].dtype == "int64"
    assert lines["corrects"].tolist()[1:] == [name, name] and lines["corrects"].isna().tolist() == [True, False, False]
    assert ledger.standing(lines)["amount"].tolist() == [3.0] and ledger.forks(lines) == [[2, 1]]
    assert ledger.totals(lines)["amount"].tolist() == [3.0]
    assert ledger.standing(lines.head(1))["amount"].tolist() == [2.0]
    bare = lines.drop(columns=["id", "written"]).assign(corrects=[None, "1", "2.0"])
    assert ledger.standing(bare)["amount"].tolist() == [4.0] and ledger.forks(bare) == []


def test_a_void_of_the_same_day_gives_way_to_a_line():
    """Of one day a line counts before a void, in either order of writing; of a later day the void counts."""
    book = written(ledger.heading_line(), amount=2.0)
    name = ledger.parse(book)[0]["id"].iloc[0]
    void = {"kind": "void", "unit": None, "corrects": name}
    for day, left in ((1, [3.0]), (2, [])):
        notes = [{"amount": 3.0, "corrects": name, "written": date(2026, 2, 1)}, void | {"written": date(2026, 2, day)}]
        for both in (notes, notes[::-1]):
            text = written(written(book, **both[0]), **both[1])
            assert [amount for _, amount in stands(text)] == left


@pytest.mark.parametrize("seed", range(12))
def test_two_hands_end_with_the_same_lines(seed):
    """Notes, corrections, voids, changes by hand, copies and joins in any order: in the end the same lines."""
    assert two_hands(seed, steps=40)


def two_hands(seed: int, steps: int) -> bool:
    """Whether two copies of a ledger that lived apart end with the same lines and the same lines that count."""
    random, books = Random(seed), [OLD, OLD]
    day = date(2026, 1, 1)
    ever: set[str] = set()
    for _ in range(steps):
        hand = random.randrange(2)
        book, what = books[hand], random.choice(["note", "note", "right", "void", "join", "hand", "copy"])
        lines = ledger.parse(book)[0]
        note = {"date": day, "amount": random.randint(1, 9), "written": day, "who": "AB"[hand]}
        some = random.randrange(len(lines))
        if what == "note":
            book = written(ledger.brought_over(book), **note)
        elif what == "right":
            book = written(ledger.brought_over(book), **note, corrects=" ".join(heads(lines, some)))
        elif what == "void":
            names = " ".join(heads(lines, some))
            book = written(
                ledger.brought_over(book), **note | {"kind": "void", "amount": None, "unit": None}, corrects=names
            )
        elif what == "hand":
            rows = book.split("\n")
            at = random.randrange(1, len(rows) - 1)
            rows[at] = rows[at].replace(",cord,", ",piece,")
            book = "\n".join(rows)
        elif what == "join":
            book = ledger.merge(book, books[1 - hand]).text
        else:
            book = ledger.merge(books[1 - hand], book).text
        books[hand], day = book, day + timedelta(days=random.randrange(3))
        ever |= set(ledger.parse(book)[0]["id"])
    first = ledger.merge(*books).text
    second = ledger.merge(books[1], first).text
    third = ledger.merge(*books[::-1]).text
    last = ledger.parse(first)[0]
    return (
        said(first) == said(second) == said(third)
        and stands(first) == stands(third)
        and ever <= {*last["id"], *" ".join(last["corrects"]).split()}
    )

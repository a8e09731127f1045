"""The ledger's file as people, spreadsheets and older woodlots left it.

next_line     the number of the next line
read_book     text -> Book, with what is to be said of its lines; parse: the same as a frame

A ledger without ids (``OLD_HEADING``) is read as if it had them: they come of number and checksum, so that two copies
of it agree. Lines that stand as this woodlot wrote them are read by the quick way, which a hundred years of notes need.
"""

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import count, takewhile

import pandas as pd

from woodlot.column_kinds import ID_LONG, as_typed
from woodlot.estimate import Reason, reason
from woodlot.ledger.headings import OLD_PLACES, cells_of, is_heading, places, strange
from woodlot.ledger.lines import (
    CHECK,
    CORRECTS,
    DAYS,
    HEADING,
    ID,
    LINE,
    NUMBERS,
    OLD_AT,
    OLD_HEADING,
    WORDS,
    by_commas,
    cell_of,
    check_of,
    checks_of,
    checksum,
    derived_id,
    text_frame,
)

#: Lines of one trouble that are named one by one.
NAMED = 6
_USUAL = list(range(len(HEADING)))
_AMERICAN = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4})")


@dataclass(frozen=True)
class Trouble:
    """A line that is not whole, or not as it was written: row in the file, what is wrong, counted or left out."""

    row: int
    why: Reason
    counted: bool


@dataclass(frozen=True)
class Book:
    """A ledger as it was read.

    cells: lines that count, as text under ``HEADING``; rows: theirs in the file; whole: whether the check of each fits;
    left: row -> text of what is no line, and stays in the file; trouble: what is to be said; untouched: whether every
    line was read by the quick way, and nothing in it was changed.
    """

    cells: list[list[str]]
    rows: list[int]
    whole: list[bool]
    left: dict[int, str] = field(default_factory=dict)
    trouble: list[Trouble] = field(default_factory=list)
    untouched: bool = False

    @cached_property
    def lines(self) -> pd.DataFrame:
        """The lines as a frame of text."""
        return text_frame(self.cells, HEADING)


def next_line(text: str) -> int:
    """The number for the next line: one more than the largest that stands in the file, torn lines included."""
    return max(map(int, _NUMBER.findall(text.lstrip("\ufeff"))), default=0) + 1


#: The number with which a line of the file begins.
_NUMBER = re.compile(r'^[ \t]*"?([0-9]{1,7})"?[ \t]*(?=[,;\t\r\n]|\Z)', re.MULTILINE)


def _as_written(cells: list[str]) -> list[str]:
    """Cells as this package writes them, where a spreadsheet has turned days and numbers round."""
    for at in DAYS:
        if day := _AMERICAN.fullmatch(cells[at]):
            month, number, year = day.groups()
            cells[at] = f"{year}-{int(month):02d}-{int(number):02d}"
    for at in NUMBERS:
        if cells[at]:
            try:
                cells[at] = cell_of(float(cells[at]))
            except (ValueError, OverflowError):
                continue
    for at in WORDS:
        if cells[at][:1] == "'":
            cells[at] = as_typed(cells[at])
    return cells


class Known:
    """Lines that were written, of frames with id and check: a line's own check tells which of them it is."""

    def __init__(self, *frames: pd.DataFrame | Callable[[], pd.DataFrame | None] | None) -> None:
        """Of a seal, of the lines of another copy, or of what gives one when a line asks for it; None is nothing."""
        self._frames = frames

    @cached_property
    def _by_check(self) -> dict[str, list[str]]:
        out: dict[str, list[str]] = {}
        for given in self._frames:
            frame = given() if callable(given) else given
            for name, check in zip(*(() if frame is None else (frame["id"], frame["check"])), strict=True):
                out.setdefault(check, []).append(name)
        return out

    def own_id(self, cells: list[str]) -> str:
        """The id with which the check of a line fits its cells, "" where none does."""
        fits = (
            one for one in self._by_check.get(cells[CHECK], ()) if check_of([cells[0], one, *cells[2:]]) == cells[CHECK]
        )
        return next(fits, "")


def read_book(text: str, known: Known | None = None) -> Book:
    """A ledger as it stands in its text.

    Row 1 is the heading. A line with too few cells is torn and left out; a line whose check is wrong or missing was
    changed or typed by hand and is counted, and said. A last line without its line end is looked at the same way. What
    spreadsheets do to all lines (other separators, days as 11/25/2026) is undone; numbers that are gone are said. A
    line that stands twice word for word, or as an older woodlot wrote it and as this one does, is one line; two lines
    that share only the number both count, and so does a line that was copied with its id and then changed. Numbers in
    ``corrects`` become ids where one earlier line bears them: a line that replaces one that was replaced before takes
    the place of the last that did. A line without a number gets the next that is free. A line whose id was taken away
    or written over has it back where its check fits one of ``known``.
    """
    out = Book([], [], [])
    typed: Counter[tuple[str, ...]] = Counter()
    again: list[Trouble] = []
    back: list[int] = []
    copied: dict[int, int] = {}
    before_ids: set[int] = set()
    order, ids = _USUAL, True
    lines = text.lstrip("\ufeff").split("\n")
    split = by_commas(lines)
    begin = _as_written_until(lines, split)
    seen = {cells[ID]: at for at, cells in enumerate(begin)}
    if len(seen) < len(begin):
        begin, seen = [], {}
    quick = len(begin)
    out.cells.extend(begin)
    out.rows.extend(range(2, quick + 2))
    out.whole.extend([True] * quick)
    for row in range(quick + 2 if quick else 1, len(lines) + 1):
        line = lines[row - 1]
        mine = _untouched(split[row - 1], line) if order is _USUAL else None
        if mine and mine[ID] not in seen:
            seen[mine[ID]] = len(out.cells)
            out.cells.append(mine)
            out.rows.append(row)
            out.whole.append(True)
            quick += 1
            continue
        if not line.strip(" \t\r,;"):
            continue
        given = cells_of(line)
        if (given and given[0].lower() in HEADING) or not out.cells:
            named = [cell.lower() for cell in given]
            if is_heading(named):
                stand = places(named, [one for one in lines[row : row + 9] if one.strip(" \t\r,;")])
                if stand is None:
                    out.trouble.append(Trouble(row, reason("heading torn"), False))
                    continue
                order, ids = _USUAL if stand == _USUAL else stand, "id" in named
                if other := strange(named):
                    out.trouble.append(Trouble(row, reason("other columns", names=tuple(other)), False))
                continue
        old = ids and len(given) == len(OLD_HEADING)
        at = OLD_PLACES if old else order
        if len(given) <= max(at):
            out.trouble.append(Trouble(row, reason("line torn", cells=len(given), of=max(at) + 1), False))
            out.left[row] = line.rstrip("\r")
            continue
        cells = _as_written([given[one] if one >= 0 else "" for one in at])
        check, number, cells[ID] = cells[CHECK], cells[LINE], cells[ID].lower()
        sealed = [cells[one] for one in OLD_AT] if old or not ids else cells[1:CHECK]
        whole = bool(check) and check == checksum(sealed)
        if not whole and check and known and (own := known.own_id(cells)):
            cells[ID], whole = own, True
            back.append(row)
        old = whole and not cells[ID]
        if not cells[ID]:
            if not check:
                typed[tuple(cells)] += 1
            cells[ID] = derived_id(*((number, check) if check else (*cells, typed[tuple(cells)])))
        if (first := seen.setdefault(cells[ID], len(out.cells))) < len(out.cells):
            twice_so = whole and out.whole[first] and old != (first in before_ids)
            if out.cells[first] == cells or twice_so:
                out.cells[first] = out.cells[first] if old else cells
                again.append(Trouble(row, reason("line again", row=out.rows[first]), False))
                continue
            if whole and not out.whole[first]:
                seen[cells[ID]], copied[first] = len(out.cells), len(out.cells)
            else:
                copied[len(out.cells)] = first
        before_ids |= {len(out.cells)} if old else set()
        out.cells.append(cells)
        out.rows.append(row)
        out.whole.append(whole)
    out.trouble.extend(_by_hand(out, copied) + _some(again))
    out.trouble.extend([Trouble(back[0], reason("own id", more=len(back) - 1), True)] if back else [])
    names, numbered = [cells[CORRECTS] for cells in out.cells], all(cells[LINE] for cells in out.cells)
    if not numbered:
        free = count(next_line(text))
        for cells in out.cells:
            cells[LINE] = cells[LINE] or str(next(free))
    unclear = _corrects_as_ids(out)
    out.trouble.extend(_twice(out, unclear) + _gone(out) + ([] if ids else _without_ids(out)))
    same = numbered and names == [cells[CORRECTS] for cells in out.cells]
    return replace(out, untouched=same and quick == len(out.cells))


def _without_ids(book: Book) -> list[Trouble]:
    """Lines that set another right by an id which no line has, where the column of ids was taken away."""
    there = {cells[ID] for cells in book.cells}
    lost = [
        row
        for cells, row in zip(book.cells, book.rows, strict=True)
        if any(len(name) == ID_LONG and name not in there for name in cells[CORRECTS].split())
    ]
    return [Trouble(lost[0], reason("no ids", number=len(lost)), True)] if lost else []


def _as_written_until(lines: list[str], split: list[list[str]]) -> list[list[str]]:
    """Cells of the lines below the heading that stand as this package writes them, to the first that does not."""
    if split[0] != HEADING:
        return []
    rows = list(takewhile(lambda cells: len(cells) == len(HEADING) and cells[ID], split[1:]))
    rows = [_bare(cells, line) for cells, line in zip(rows, lines[1:], strict=False)]
    changed = (at for at, (cells, check) in enumerate(zip(rows, checks_of(rows), strict=True)) if cells[CHECK] != check)
    return rows[: next(changed, len(rows))]


def _untouched(cells: list[str], line: str) -> list[str] | None:
    """A line's cells where it stands as this package writes it, without the apostrophes that make its words harmless;
    None where it does not.
    """
    if len(cells) != len(HEADING) or not cells[ID]:
        return None
    cells = _bare(cells, line)
    return cells if cells[CHECK] == check_of(cells) else None


def _bare(cells: list[str], line: str) -> list[str]:
    return cells if "'" not in line else [as_typed(cell) if at in WORDS else cell for at, cell in enumerate(cells)]


def _by_hand(book: Book, copied: dict[int, int]) -> list[Trouble]:
    """What is to be said of lines that were changed, typed, or copied with their id and changed (position -> the line
    they were copied of): those get an id of their own.
    """
    many: Counter[str] = Counter()
    out = []
    for at, first in sorted(copied.items()):
        cells = book.cells[at]
        cells[CHECK], book.whole[at] = "", False
        name = derived_id("copied", *cells[1:CHECK])
        many[name] += 1
        cells[ID] = name if many[name] == 1 else derived_id(name, many[name])
        out.append(Trouble(book.rows[at], reason("id twice", row=book.rows[first]), True))
    touched = [at for at, whole in enumerate(book.whole) if not whole and at not in copied]
    bare = [book.rows[at] for at in touched if not book.cells[at][CHECK]]
    out += [Trouble(book.rows[at], reason("line changed"), True) for at in touched if book.cells[at][CHECK]]
    return _some(out) + ([Trouble(bare[0], reason("no check", more=len(bare) - 1), True)] if bare else [])


def parse(text: str) -> tuple[pd.DataFrame, list[int], list[Trouble]]:
    """Cells of all lines that count (text, under HEADING), their rows in the file, and the trouble with others."""
    book = read_book(text)
    return book.lines, book.rows, book.trouble


def _corrects_as_ids(book: Book) -> list[tuple[int, str]]:
    """Turn numbers and letters in ``corrects`` into ids, in place; positions and numbers that two lines bear.

    In the order of the numbers, since a spreadsheet may have sorted the lines.
    """
    naming = [at for at, cells in enumerate(book.cells) if cells[CORRECTS]]
    if not naming:
        return []
    named = {at: book.cells[at][CORRECTS].lower().replace(".0", "").split() for at in naming}
    known = {cells[ID] for cells in book.cells}
    short = {name for names in named.values() for name in names if name not in known and len(name) != ID_LONG}
    bears: dict[str, list[str]] = {}
    by_check: dict[str, str] = {}
    for cells in book.cells if short else ():
        if cells[LINE] in short:
            bears.setdefault(cells[LINE], []).append(cells[ID])
        if cells[CHECK] in short:
            by_check.setdefault(cells[CHECK], cells[ID])
    unclear, last = [], dict[str, str]()
    for at in sorted(naming, key=lambda at: int(book.cells[at][LINE]) if book.cells[at][LINE].isdecimal() else 0):
        cells, out = book.cells[at], []
        for name in named[at]:
            ids = [name] if name not in short else bears.get(name) or [by_check.get(name, name)]
            if name in bears and cells[LINE].isdecimal() and int(name) > int(cells[LINE]):
                ids = [name]  # this line knew of no such line
            if len(ids) > 1:
                unclear.append((at, name))
                out.append(name)
                continue
            target, newest = ids[0], list[str]()
            while name in short and target in last and target not in newest:  # the newest in its place is meant
                newest.append(target)
                target = last[target]
            if target != cells[ID]:
                out.append(target)
                last.setdefault(target, cells[ID])
        cells[CORRECTS] = " ".join(dict.fromkeys(out))
    return sorted(unclear)


def _gone(book: Book) -> list[Trouble]:
    """Numbers that no line bears any more, though a later one is there."""
    if not book.left and all(cells[LINE] == str(number) for number, cells in enumerate(book.cells, start=1)):
        return []
    torn = [(found[1], row) for row, line in book.left.items() if (found := _NUMBER.match(line))]
    lines = ((cells[LINE], row) for cells, row in zip(book.cells, book.rows, strict=True))
    there = {int(number): row for number, row in [*lines, *torn] if number.isdecimal() and len(number) < 8}
    most = max(there, default=0)
    if most > 2 * len(there):
        return []
    gone = [number for number in range(1, most) if number not in there]
    if not gone:
        return []
    row = min(row for number, row in there.items() if number > gone[0])
    why = reason("lines gone", numbers=tuple(gone[:NAMED]), more=max(len(gone) - NAMED, 0))
    return [Trouble(row, why, False)]


def _twice(book: Book, unclear: list[tuple[int, str]]) -> list[Trouble]:
    """Lines whose number another line bears (two ledgers were joined by hand), and lines that replace such a number."""
    first: dict[str, int] = {}
    borne = []
    alike = len({cells[LINE] for cells in book.cells}) < len(book.cells)
    for cells, row in zip(book.cells, book.rows, strict=True) if alike else ():
        number = cells[LINE]
        if number in first and number.isdigit():
            borne.append(Trouble(row, reason("number twice", number=int(number), row=first[number]), True))
        first.setdefault(number, row)
    return _some(borne) + [
        Trouble(book.rows[at], reason("replaces two", number=int(name)), True) for at, name in unclear if name.isdigit()
    ]


def _some(alike: list[Trouble]) -> list[Trouble]:
    """Troubles of one kind, the first of them and how many more there are."""
    rest = alike[NAMED:]
    more = [Trouble(rest[0].row, reason("more such lines", number=len(rest)), rest[0].counted)] if rest else []
    return [*alike[:NAMED], *more]

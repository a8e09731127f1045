"""A line of the ledger as text, and the file as people, spreadsheets and older woodlots left it.

Writing   new_id, derived_id, checksum, check_of, cell_of, row_text, heading_line, next_line
Reading   text_of, read_book, parse, strange_columns
Both      brought_over: the same lines as this woodlot writes them

A line is CSV under ``HEADING``. Its id is its own in every copy of the ledger; its last cell is a checksum of all cells
but the number, so that a line torn by a full disk or changed by hand is noticed. A mistake is set right by a new line
that names the lines it takes the place of; the old ones stay for all to see.

A ledger without ids (``OLD_HEADING``) is read as if it had them: they come of number and checksum, so that two copies
of it agree.
"""

import csv
import hashlib
import io
import re
import secrets
import zlib
from collections import Counter
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import pandas as pd

from woodlot.column_kinds import ID_LETTERS, ID_LONG, as_typed, cell_type, neutral
from woodlot.columns import Ledger, header
from woodlot.estimate import Reason, reason

HEADING = header("ledger")
#: Columns before a line had an id of its own.
OLD_HEADING = ["line", "date", "parcel_id", "stand_id", "kind", "sex_age", "amount", "unit", "who", "text"]
OLD_HEADING += ["lon", "lat", "corrects", "check"]
#: Lines of one trouble that are named one by one.
NAMED = 6
#: Where the columns of ``HEADING`` stand.
_AT = {name: at for at, name in enumerate(HEADING)}
LINE, ID, CORRECTS, CHECK = (_AT[name] for name in ("line", "id", "corrects", "check"))
_KINDS = {name: cell_type(declared)[1] for name, declared in Ledger.model_fields.items()}
_NUMBERS = [at for name, at in _AT.items() if _KINDS[name] is float]
_DAYS = [at for name, at in _AT.items() if _KINDS[name] is date]
_WORDS = [_AT[name] for name in ("parcel_id", "stand_id", "kind", "species", "unit", "job", "who", "text", "photo")]
_OLD_AT = [_AT[name] for name in OLD_HEADING[:-1]]
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
    left: row -> text of what is no line, and stays in the file; trouble: what is to be said.
    """

    cells: list[list[str]]
    rows: list[int]
    whole: list[bool]
    left: dict[int, str] = field(default_factory=dict)
    trouble: list[Trouble] = field(default_factory=list)

    @property
    def lines(self) -> pd.DataFrame:
        """The lines as a frame of text."""
        return pd.DataFrame(self.cells, columns=HEADING, dtype=str)


def new_id() -> str:
    """An id that no other line has."""
    return _as_letters(secrets.randbelow(len(ID_LETTERS) ** ID_LONG))


def derived_id(*parts: object) -> str:
    """The id that comes of what a line says: the same for the same parts, on every machine.

    >>> derived_id("1", "hcpgbbke")
    'dknkjzgkdfft'
    """
    return _as_letters(int.from_bytes(hashlib.sha256("\x1f".join(map(str, parts)).encode("utf-8")).digest(), "big"))


def _as_letters(number: int) -> str:
    out = []
    for _ in range(ID_LONG):
        number, at = divmod(number, len(ID_LETTERS))
        out.append(ID_LETTERS[at])
    return "".join(out)


def checksum(cells: list[str]) -> str:
    """Eight letters (a to p) that change with any cell; letters, since spreadsheets rewrite what looks like numbers.

    >>> checksum(["1", "2026-11-25", "firewood"])
    'hcpgbbke'
    """
    return f"{zlib.crc32(chr(31).join(cells).encode('utf-8')):08x}".translate(_HEX_TO_LETTERS)


_HEX_TO_LETTERS = str.maketrans("0123456789abcdef", "abcdefghijklmnop")


def check_of(cells: list[str]) -> str:
    """The check of a line's cells under ``HEADING``: of all but its number in this file and the check itself."""
    return checksum(cells[1:CHECK])


def cell_of(value: Any) -> str:
    """A value as the text of its cell."""
    if value is None or (isinstance(value, float) and value != value):
        return ""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return repr(int(value)) if value.is_integer() else repr(value)
    # one note is one line of the file, whatever was typed
    text = str(value)
    if not text.isprintable():
        text = "".join(c if c.isprintable() else " " for c in text)
    return " ".join(text.split())


def row_text(cells: list[str]) -> str:
    """Cells as a line of the file: words that a spreadsheet would take for a formula are made harmless."""
    safe = list(cells)
    for at in _WORDS:
        safe[at] = neutral(safe[at])
    return _csv(safe)


def _csv(cells: list[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow(cells)
    return out.getvalue()


def heading_line() -> str:
    """The first line of a new ledger."""
    return _csv(HEADING)


def text_of(data: bytes) -> str:
    """Text of the file's bytes: UTF-8, UTF-16 where its mark says so, and line by line the western letters
    (Windows-1252) of older spreadsheets.
    """
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return "\n".join(_western(line) for line in data.split(b"\n"))


def _western(line: bytes) -> str:
    try:
        return line.decode("utf-8")
    except UnicodeDecodeError:
        return line.decode("cp1252", "replace")


def next_line(text: str) -> int:
    """The number for the next line: one more than the largest that stands in the file, torn lines included."""
    return max(_numbers(text), default=0) + 1


def _numbers(text: str) -> dict[int, int]:
    """Number of each line that begins with one, torn lines included -> its row in the file."""
    starts = (re.split("[,;\t]", row, maxsplit=1)[0].strip().strip('"') for row in text.lstrip("\ufeff").split("\n"))
    return {
        int(start): row
        for row, start in enumerate(starts, start=1)
        if start.isascii() and start.isdigit() and len(start) < 8
    }


def _cells_of(line: str) -> list[str]:
    """Cells of one line, by commas or by what a spreadsheet put in their place; none where it cannot be read."""
    sep = max(",;\t", key=line.count)
    try:
        cells = [cell.strip() for cell in next(csv.reader([line.rstrip("\r")], delimiter=sep, strict=True))]
    except csv.Error:
        return []
    return cells if sep == "," else [re.sub(r"^(-?\d+),(\d+)$", r"\1.\2", cell) for cell in cells]


def _as_written(cells: list[str]) -> list[str]:
    """Cells as this package writes them, where a spreadsheet has turned days and numbers round."""
    for at in _DAYS:
        if day := _AMERICAN.fullmatch(cells[at]):
            month, number, year = day.groups()
            cells[at] = f"{year}-{int(month):02d}-{int(number):02d}"
    for at in _NUMBERS:
        if cells[at]:
            try:
                cells[at] = cell_of(float(cells[at]))
            except (ValueError, OverflowError):
                continue
    for at in _WORDS:
        if cells[at][:1] == "'":
            cells[at] = as_typed(cells[at])
    return cells


def _places(named: list[str]) -> list[int] | None:
    """Where each column of ``HEADING`` stands under a heading, -1 where it does not; None for a torn heading."""
    if named in (HEADING, OLD_HEADING):
        named = list(named)
    elif not set(named) <= set(HEADING) or named == HEADING[: len(named)] or named == OLD_HEADING[: len(named)]:
        return None
    return [named.index(name) if name in named else -1 for name in HEADING]


_OLD = _places(OLD_HEADING) or []


def strange_columns(text: str) -> list[str]:
    """Columns in a ledger's heading that no ledger has: what stands under them cannot be brought over."""
    first = next((line for line in text.lstrip("\ufeff").split("\n") if line.strip(" \t\r,;")), "")
    named = [cell.lower() for cell in _cells_of(first)]
    return [name for name in named if name and name not in HEADING] if {"date", "kind"} <= set(named) else []


def read_book(text: str) -> Book:
    """A ledger as it stands in its text.

    Row 1 is the heading. A line with too few cells is torn and left out; a line whose check is wrong or missing was
    changed or typed by hand and is counted, and said. A last line without its line end is looked at the same way. What
    spreadsheets do to all lines (other separators, days as 11/25/2026) is undone; numbers that are gone are said. A
    line that stands twice word for word is one line; two lines that share only the number both count. Numbers in
    ``corrects`` become ids where one line bears them: a line that replaces one that was replaced before takes the place
    of the last that did.
    """
    out = Book([], [], [])
    trouble = out.trouble
    first: dict[tuple[str, ...], int] = {}
    typed: Counter[tuple[str, ...]] = Counter()
    again: list[Trouble] = []
    bare: list[int] = []
    order, ids = list(range(len(HEADING))), True
    for row, line in enumerate(text.lstrip("\ufeff").split("\n"), start=1):
        if not line.strip(" \t\r,;"):
            continue
        given = _cells_of(line)
        if (given and given[0].lower() in HEADING) or not out.cells:
            named = [cell.lower() for cell in given]
            if {"line", "date"} <= set(named[:3]) or ("date" in named and "kind" in named):
                places = _places(named)
                if places is None:
                    trouble.append(Trouble(row, reason("heading torn"), False))
                else:
                    order, ids = places, "id" in named
                continue
        old = ids and len(given) == len(OLD_HEADING)
        at = _OLD if old else order
        if len(given) <= max(at):
            trouble.append(Trouble(row, reason("line torn", cells=len(given), of=max(at) + 1), False))
            out.left[row] = line.rstrip("\r")
            continue
        cells = _as_written([given[one] if one >= 0 else "" for one in at])
        check, number = cells[CHECK], cells[LINE]
        if not check:
            bare.append(row)
            whole = False
        else:
            whole = check == (checksum([cells[one] for one in _OLD_AT]) if old or not ids else check_of(cells))
            if not whole:
                trouble.append(Trouble(row, reason("line changed"), True))
        if not cells[ID]:
            if not check:
                typed[tuple(cells)] += 1
            key = (number, check) if check else (*cells, typed[tuple(cells)])
            cells[ID] = derived_id(*key)
        cells[ID] = cells[ID].lower()
        if tuple(cells) in first and number:
            again.append(Trouble(row, reason("line again", row=first[tuple(cells)]), False))
            continue
        first[tuple(cells)] = row
        out.cells.append(cells)
        out.rows.append(row)
        out.whole.append(whole)
    trouble += [Trouble(bare[0], reason("no check", more=len(bare) - 1), True)] if bare else []
    unclear = _corrects_as_ids(out)
    out.trouble.extend(_some(again) + _twice(out, unclear) + _gone(text))
    return out


def parse(text: str) -> tuple[pd.DataFrame, list[int], list[Trouble]]:
    """Cells of all lines that count (text, under HEADING), their rows in the file, and the trouble with others."""
    book = read_book(text)
    return book.lines, book.rows, book.trouble


def brought_over(text: str) -> str:
    """The same ledger as this woodlot writes it: heading, ids, checks; what is no line stays where it stood.

    A line whose check did not fit keeps that check, so that it is still noticed. A text that is so already comes back
    as it is, with a line end.
    """
    return book_text(read_book(text))


def book_text(book: Book) -> str:
    """The text of a ledger as this woodlot writes it."""
    rows = dict(zip(book.rows, zip(book.cells, book.whole, strict=True), strict=True))
    out = [heading_line()]
    for row in sorted({*rows, *book.left}):
        if row in book.left:
            out.append(book.left[row] + "\n")
            continue
        cells, whole = rows[row]
        fits = whole or not cells[CHECK]
        out.append(row_text([*cells[:CHECK], check_of(cells) if fits else cells[CHECK]]))
    return "".join(out)


def _corrects_as_ids(book: Book) -> list[tuple[int, str]]:
    """Turn numbers and letters in ``corrects`` into ids, in place; positions and numbers that two lines bear."""
    naming = [at for at, cells in enumerate(book.cells) if cells[CORRECTS]]
    if not naming:
        return []
    bears: dict[str, list[str]] = {}
    for cells in book.cells:
        bears.setdefault(cells[LINE], []).append(cells[ID])
    by_check = {cells[CHECK]: cells[ID] for cells in reversed(book.cells) if cells[CHECK]}
    known = {cells[ID] for cells in book.cells}
    unclear, last = [], dict[str, str]()
    for at in naming:
        cells, out = book.cells[at], []
        for name in cells[CORRECTS].lower().replace(".0", "").split():
            ids = [name] if name in known or len(name) == ID_LONG else bears.get(name) or [by_check.get(name, name)]
            if len(ids) > 1:
                unclear.append((at, name))
                out.append(name)
                continue
            target = ids[0]
            while name != target and target in last:  # named by its number: the newest that took its place is meant
                target = last[target]
            if target != cells[ID]:
                out.append(target)
            last.setdefault(target, cells[ID])
        cells[CORRECTS] = " ".join(dict.fromkeys(out))
    return unclear


def _gone(text: str) -> list[Trouble]:
    """Numbers that no line bears any more, though a later one is there."""
    there = _numbers(text)
    gone = [number for number in range(1, max(there, default=0)) if number not in there]
    if not gone or len(gone) > len(there):
        return []
    row = min(row for number, row in there.items() if number > gone[0])
    why = reason("lines gone", numbers=tuple(gone[:NAMED]), more=max(len(gone) - NAMED, 0))
    return [Trouble(row, why, False)]


def _twice(book: Book, unclear: list[tuple[int, str]]) -> list[Trouble]:
    """Lines whose number another line bears (two ledgers were joined by hand), and lines that replace such a number."""
    first: dict[str, int] = {}
    borne = []
    for cells, row in zip(book.cells, book.rows, strict=True):
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

"""The ledger: one dated line for each thing done or seen; nothing in it is ever changed.

Lines       checksum, format_line, cell_errors, heading_line, next_line, text_of, is_in_order, parse
Reading     bearing, borne_twice, fresh, standing, totals

A line is CSV under ``HEADING``. Its last cell is a checksum of the others, so that a line torn by a full disk or
changed by hand is noticed; it is the line's own id too, since a number may stand twice where two ledgers were joined. A
mistake is set right by a new line that names the line it replaces, by number or id; the old one stays for all to see.
Text in, text and tables out: ``woodlot.place`` reads and writes the file.
"""

import csv
import io
import re
import zlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
import pandas as pd
from pydantic import ValidationError

from woodlot.columns import Ledger, header
from woodlot.errors import InputError
from woodlot.estimate import Reason, reason
from woodlot.trade import LEDGER_KINDS

__all__ = [
    "HEADING",
    "Trouble",
    "bearing",
    "borne_twice",
    "cell_errors",
    "checksum",
    "format_line",
    "fresh",
    "is_in_order",
    "next_line",
    "parse",
    "standing",
    "text_of",
    "totals",
]

HEADING = header("ledger")
#: Other words for a kind -> the kind.
_SAME = {also: word.key for word in LEDGER_KINDS.values() for also in word.also}
#: Lines of one trouble that are named one by one.
NAMED = 6


@dataclass(frozen=True)
class Trouble:
    """A line that is not whole, or not as it was written: row in the file, what is wrong, counted or left out."""

    row: int
    why: Reason
    counted: bool


def checksum(cells: list[str]) -> str:
    """Eight letters (a to p) that change with any cell; letters, since spreadsheets rewrite what looks like numbers.

    >>> checksum(["1", "2026-11-25", "firewood"])
    'hcpgbbke'
    """
    sum32 = zlib.crc32("\x1f".join(cells).encode("utf-8"))
    return "".join(chr(ord("a") + (sum32 >> shift & 15)) for shift in range(28, -4, -4))


def _cell(value: Any) -> str:
    if value is None or (isinstance(value, float) and value != value):
        return ""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return repr(int(value)) if value.is_integer() else repr(value)
    # one note is one line of the file, whatever was typed
    return " ".join("".join(c if c.isprintable() else " " for c in str(value)).split())


def format_line(note: Mapping[str, Any]) -> str:
    """The line of a note (line number and date among its cells), with checksum and line end.

    Raises InputError when a cell cannot be: an unknown name, a day that is none, an amount without a number.
    """
    try:
        cells = _stored(note)
    except ValidationError as wrong:
        error = wrong.errors(include_url=False)[0]
        raise InputError(f"note, {error['loc'][0]}: {error['msg'].lower()} (got {error.get('input')!r})") from None
    return _csv([*cells, checksum(cells)])


def _stored(note: Mapping[Any, Any]) -> list[str]:
    """Cells of a note as its line holds them, without the checksum; ValidationError for a cell that cannot be."""
    given = {key: value for key, value in note.items() if value is not None and key != "check"}
    checked = Ledger.model_validate(given).model_dump()
    return [_cell(checked[name]) for name in HEADING[:-1]]


def cell_errors(note: Mapping[str, Any]) -> list[Any]:
    """Every cell of a note that cannot be, each as pydantic says it; the number of the line is not asked for."""
    try:
        _stored({**note, "line": 1})
    except ValidationError as wrong:
        return list(wrong.errors(include_url=False))
    return []


def _csv(cells: list[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow(cells)
    return out.getvalue()


def heading_line() -> str:
    """The first line of a new ledger."""
    return _csv(HEADING)


def text_of(data: bytes) -> str:
    """Text of the file's bytes: UTF-8, and line by line the western letters (Windows-1252) of older spreadsheets."""
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


def is_in_order(text: str) -> bool:
    """Whether lines may be put behind a text: its heading has the columns of ``HEADING``, or it has none."""
    named = [cell.lower() for cell in _cells_of(next((line for line in text.lstrip("\ufeff").split("\n") if line), ""))]
    return not {"date", "kind"} <= set(named) or named == HEADING[: len(named)]


def _as_written(cells: list[str]) -> list[str]:
    """Cells with their day as this package writes it, where a spreadsheet has turned it round; else as they are."""
    day = re.fullmatch(r"(\d{1,2})/(\d{1,2})/(\d{4})", cells[1])
    if day is None:
        return cells
    month, number, year = day.groups()
    return [cells[0], f"{year}-{int(month):02d}-{int(number):02d}", *cells[2:]]


def _gone(text: str) -> list[Trouble]:
    """Numbers that no line bears any more, though a later one is there."""
    there = _numbers(text)
    gone = [number for number in range(1, max(there, default=0)) if number not in there]
    if not gone or len(gone) > len(there):
        return []
    row = min(row for number, row in there.items() if number > gone[0])
    why = reason("lines gone", numbers=tuple(gone[:NAMED]), more=max(len(gone) - NAMED, 0))
    return [Trouble(row, why, False)]


def parse(text: str) -> tuple[pd.DataFrame, list[int], list[Trouble]]:
    """Cells of all lines that count (text, under HEADING), their rows in the file, and the trouble with others.

    Row 1 is the heading. A line with too few cells is torn and left out; a line whose checksum is wrong or missing was
    changed or typed by hand and is counted, and said. A last line without its line end is looked at the same way. What
    spreadsheets do to all lines (other separators, days as 11/25/2026) is undone; numbers that are gone are said. A
    line that stands twice word for word, its number too, is one line; two lines that share only the number both count.
    """
    good: list[list[str]] = []
    rows: list[int] = []
    first: dict[tuple[str, ...], int] = {}
    again: list[Trouble] = []
    bare: list[int] = []
    trouble: list[Trouble] = []
    order = list(range(len(HEADING)))
    for row, line in enumerate(text.lstrip("\ufeff").split("\n"), start=1):
        if not line.strip(" \t\r,;"):
            continue
        cells = _cells_of(line)
        named = [cell.lower() for cell in cells]
        if named[:2] == HEADING[:2] or (not good and "date" in named and "kind" in named):
            if set(named) <= set(HEADING) and named != HEADING[: len(named)]:
                order = [named.index(name) if name in named else -1 for name in HEADING]
            elif named != HEADING:
                trouble.append(Trouble(row, reason("heading torn"), False))
            continue
        if len(cells) <= max(order):
            trouble.append(Trouble(row, reason("line torn", cells=len(cells), of=max(order) + 1), False))
            continue
        cells = _as_written([cells[at] if at >= 0 else "" for at in order])
        if cells[-1] == "":
            bare.append(row)
        elif cells[-1] != checksum(cells[:-1]):
            trouble.append(Trouble(row, reason("line changed"), True))
        if cells[0] and tuple(cells) in first:
            again.append(Trouble(row, reason("line again", row=first[tuple(cells)]), False))
            continue
        first[tuple(cells)] = row
        good.append(cells)
        rows.append(row)
    lines = pd.DataFrame(good, columns=HEADING, dtype=str)
    trouble += [Trouble(bare[0], reason("no check", more=len(bare) - 1), True)] if bare else []
    return lines, rows, trouble + _some(again) + _twice(lines, rows) + _gone(text)


def bearing(lines: pd.DataFrame, named: int | str) -> list[int]:
    """Positions of the lines that bear a number, or an id; more than one where two ledgers were joined by hand."""
    if str(named).isdigit():
        return np.flatnonzero(pd.to_numeric(lines["line"], errors="coerce") == int(named)).tolist()
    return np.flatnonzero(lines["check"] == named).tolist()


def borne_twice(ledger: pd.DataFrame) -> pd.Series:
    """Whether another line bears the number of a line too: then it is spoken of by its id."""
    return ledger["line"].notna() & ledger["line"].duplicated(keep=False)


def _twice(lines: pd.DataFrame, rows: list[int]) -> list[Trouble]:
    """Lines whose number another line bears (two ledgers were joined by hand), and lines that replace such a number."""
    number, corrects = (pd.to_numeric(lines[name], errors="coerce") for name in ("line", "corrects"))
    again = np.flatnonzero(number.notna() & number.duplicated())
    first = [rows[bearing(lines, number[at])[0]] for at in again]
    borne = [
        Trouble(rows[at], reason("number twice", number=int(number[at]), row=row), True)
        for at, row in zip(again, first, strict=True)
    ]
    return _some(borne) + [
        Trouble(rows[at], reason("replaces two", number=int(corrects[at])), True)
        for at in np.flatnonzero(corrects.isin(number[again]))
    ]


def _some(alike: list[Trouble]) -> list[Trouble]:
    """Troubles of one kind, the first of them and how many more there are."""
    rest = alike[NAMED:]
    more = [Trouble(rest[0].row, reason("more such lines", number=len(rest)), rest[0].counted)] if rest else []
    return [*alike[:NAMED], *more]


def _key(note: Mapping[Any, Any]) -> tuple[str, ...]:
    """All cells of a note as the ledger stores them, but its number and checksum."""
    try:
        return tuple(_stored({key: value for key, value in note.items() if value != ""} | {"line": 1})[1:])
    except ValidationError:
        return tuple(_cell(note.get(name)) for name in HEADING[1:-1])


def fresh(notes: Sequence[Mapping[str, Any]], lines: pd.DataFrame) -> list[int]:
    """Positions of the notes that no line holds yet, all columns compared as the ledger stores them.

    Notes that are equal throughout are two loads of wood: with one such line in the ledger, one of two is new.
    """
    there = Counter(_key(line) for line in lines.to_dict("records"))
    new = []
    for at, note in enumerate(notes):
        key = _key(note)
        if there[key]:
            there[key] -= 1
        else:
            new.append(at)
    return new


def standing(ledger: pd.DataFrame) -> pd.DataFrame:
    """The lines that count, kinds by their own names: without those that a later line replaces, and without
    replacements that only void.

    When two lines replace the same one, the later counts. A number that two lines bear takes neither out: which of them
    was meant cannot be told; an id always can.
    """
    if not len(ledger):
        return ledger
    target = _replaced(ledger)
    keep = ~ledger.index.to_series().isin(target.dropna()) & (ledger["kind"] != "void")
    again = target.notna() & target.duplicated(keep="last")
    return ledger[keep & ~again].reset_index(drop=True).replace({"kind": _SAME})


def _replaced(ledger: pd.DataFrame) -> pd.Series:
    """What each line replaces: the label of a line, its number where no line bears it (any more), or nothing."""
    named = ledger["corrects"].astype("string").str.removesuffix(".0")
    numbers = ledger["line"].astype("Int64").astype("string")
    known = pd.Series(ledger.index, index=numbers)[~numbers.duplicated(keep=False).to_numpy()]
    if "check" in ledger:
        known = pd.concat([known, pd.Series(ledger.index, index=ledger["check"].astype("string"))])
    known = known[known.index.notna() & ~known.index.duplicated()]
    unclear = named.isin(numbers[numbers.duplicated()])
    return named.map(known).astype(object).fillna("line " + named).where(~unclear & named.notna())


def totals(ledger: pd.DataFrame, year_begins: int = 1) -> pd.DataFrame:
    """Amounts of the standing lines by year, kind, unit and (for deer) sex and age.

    Parameters
    ----------
    ledger
        The ledger as ``woodlot.place.read`` gives it.
    year_begins
        Month in which a year begins: 1 for calendar years, 7 for winters; a year is named by the one it begins in.

    Returns
    -------
    Frame with year, kind, sex_age ("" when not a deer), unit, amount (in that unit; NaN when no line gives one, and of
    measured stacks, which are told again and not added up), lines.
    """
    if year_begins not in range(1, 13):
        raise InputError(f"a year begins in a month from 1 to 12, not {year_begins!r}")
    lines = standing(ledger)
    day = lines["date"]
    rows = pd.DataFrame(
        {
            "year": day.dt.year - (day.dt.month < year_begins).astype(int),
            "kind": lines["kind"].fillna(""),
            "sex_age": lines["sex_age"].fillna(""),
            "unit": lines["unit"].fillna(""),
            "amount": lines["amount"].mask(lines["kind"] == "measured stack"),
        }
    ).dropna(subset="year")
    rows["year"] = rows["year"].astype("int64")
    groups = rows.groupby(["year", "kind", "sex_age", "unit"], as_index=False, sort=True)
    return groups.agg(amount=("amount", _sum), lines=("amount", "size"))


def _sum(amounts: pd.Series) -> float:
    return float(amounts.sum(min_count=1))

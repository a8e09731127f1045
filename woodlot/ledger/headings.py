"""The heading of a ledger, as people and spreadsheets left it.

text_of          bytes -> text; cells_of: cells of a line
heading          cells of the first line that names the columns; is_heading: whether a line does
is_ledger        whether a text is a ledger
strange_columns  those of the heading that no ledger has
places           where each column stands
"""

import csv
import re
from collections.abc import Sequence

from woodlot.ledger.lines import HEADING, OLD_HEADING
from woodlot.ledger.seal import SEAL_HEADING

#: Lines among which the heading is looked for: a title may stand above it.
_FIRST = 9


def text_of(data: bytes) -> str:
    """Text of the file's bytes: UTF-8, UTF-16 where its mark says so, and line by line the western letters
    (Windows-1252) of older spreadsheets.
    """
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace")
    if b"\n" not in data:
        data = data.replace(b"\r", b"\n")  # line ends of older Macs
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return "\n".join(_western(line) for line in data.split(b"\n"))


def _western(line: bytes) -> str:
    try:
        return line.decode("utf-8")
    except UnicodeDecodeError:
        return line.decode("cp1252", "replace")


def cells_of(line: str) -> list[str]:
    """Cells of one line, by commas or by what a spreadsheet put in their place; none where it cannot be read."""
    sep = max(",;\t", key=line.count)
    try:
        cells = [cell.strip() for cell in next(csv.reader([line.rstrip("\r")], delimiter=sep, strict=True))]
    except csv.Error:
        return []
    return cells if sep == "," else [re.sub(r"^(-?\d+),(\d+)$", r"\1.\2", cell) for cell in cells]


def is_heading(named: Sequence[str]) -> bool:
    """Whether the cells of a line name the columns of a ledger."""
    return {"line", "date"} <= set(named[:3]) or {"date", "kind"} <= set(named)


def heading(text: str) -> list[str]:
    """Cells of the line that names the columns, of the first that is not empty where none does."""
    lines = [line for line in text.lstrip("\ufeff").split("\n", 4 * _FIRST) if line.strip(" \t\r,;")][:_FIRST]
    named = [[cell.lower() for cell in cells_of(line)] for line in lines]
    return next(filter(is_heading, named), named[0] if named else [])


def is_ledger(text: str) -> bool:
    """Whether a text begins with the heading of a ledger; a title may stand above it."""
    return {"date", "kind"} <= set(heading(text)) != set(SEAL_HEADING)


def strange_columns(text: str) -> list[str]:
    """Columns in a ledger's heading that no ledger has: what stands under them cannot be brought over. The last one may
    be torn.
    """
    named = heading(text)
    return strange(named) if {"date", "kind"} <= set(named) and not _torn_word(named) else []


def strange(named: Sequence[str]) -> list[str]:
    """Columns that no ledger has, one without a name that stands between others by its number."""
    last = max((at for at, name in enumerate(named) if name), default=0)
    called = [name or f"column {at}" for at, name in enumerate(named[: last + 1], start=1)]
    return [name for name in called if name not in HEADING]


def _torn_word(named: Sequence[str]) -> bool:
    """Whether the last name is the beginning of the one that belongs there."""
    at = len(named) - 1
    return at >= 0 and any(
        named[:at] == full[:at] and full[at] != named[at] and full[at].startswith(named[at])
        for full in (HEADING, OLD_HEADING)
        if at < len(full)
    )


def places(named: list[str], beneath: Sequence[str] = ()) -> list[int] | None:
    """Where each column of ``HEADING`` stands under a heading, -1 where it does not; None for a torn heading: its last
    words are not there, and the line beneath has more cells. So is one in which a name was changed in its place.
    """
    renamed = bool(strange(named[: len(HEADING)])) and all(
        name == usual for name, usual in zip(named, HEADING, strict=False) if name in HEADING
    )
    torn = named in (HEADING[: len(named)], OLD_HEADING[: len(named)]) and named not in (HEADING, OLD_HEADING)
    if _torn_word(named) or renamed or (torn and len(cells_of(next(iter(beneath), ""))) != len(named)):
        return None
    return [named.index(name) if name in named else -1 for name in HEADING]


OLD_PLACES = places(OLD_HEADING) or []

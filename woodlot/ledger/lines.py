"""A line of the ledger as text.

new_id, derived_id       ids: made, and of what a line says
checksum, check_of       checks: of any cells, of a line; checks_of: of many lines
cell_of                  a value -> its cell
row_text                 cells -> the line; heading_line: the line above all; by_commas: lines -> their cells
text_frame               rows of cells -> frame

A line is CSV under ``HEADING``. Its id is its own in every copy of the ledger; its last cell is a checksum of all cells
but the number, so that a line torn by a full disk or changed by hand is noticed. A mistake is set right by a new line
that names the lines it takes the place of; the old ones stay for all to see.
"""

import csv
import hashlib
import io
import secrets
import zlib
from collections.abc import Sequence
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from woodlot.column_kinds import ID_LETTERS, ID_LONG, cell_type, neutral
from woodlot.columns import Ledger, header

HEADING = header("ledger")
#: Columns before a line had an id of its own.
OLD_HEADING = ["line", "date", "parcel_id", "stand_id", "kind", "sex_age", "amount", "unit", "who", "text"]
OLD_HEADING += ["lon", "lat", "corrects", "check"]
#: Where the columns of ``HEADING`` stand.
_AT = {name: at for at, name in enumerate(HEADING)}
LINE, ID, CORRECTS, CHECK = (_AT[name] for name in ("line", "id", "corrects", "check"))
_KINDS = {name: cell_type(declared)[1] for name, declared in Ledger.model_fields.items()}
NUMBERS = [at for name, at in _AT.items() if _KINDS[name] is float]
DAYS = [at for name, at in _AT.items() if _KINDS[name] is date]
WORDS = [_AT[name] for name in ("parcel_id", "stand_id", "kind", "species", "unit", "job", "who", "text", "photo")]
OLD_AT = [_AT[name] for name in OLD_HEADING[:-1]]


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


def checks_of(rows: Sequence[Sequence[str]]) -> list[str]:
    """The check of each of many lines."""
    sums = [zlib.crc32(chr(31).join(cells[1:CHECK]).encode("utf-8")) for cells in rows]
    letters = np.array(sums, dtype=">u4").tobytes().hex().translate(_HEX_TO_LETTERS)
    return [letters[at : at + 8] for at in range(0, len(letters), 8)]


def cell_of(value: Any) -> str:
    """A value as the cell of a line holds it."""
    if value is None or (isinstance(value, float) and value != value):
        return ""
    if isinstance(value, date):
        return value.isoformat()[:10]
    if isinstance(value, float):
        return repr(int(value)) if value.is_integer() else repr(float(value))
    # one note is one line of the file, whatever was typed
    text = str(value)
    if not text.isprintable():
        text = "".join(c if c.isprintable() else " " for c in text)
    return " ".join(text.split())


def row_text(cells: list[str]) -> str:
    """Cells as a line of the file, ``safe``."""
    return _csv(safe(cells))


def safe(cells: list[str]) -> list[str]:
    """Cells of a line, words that a spreadsheet would take for a formula made harmless."""
    out = cells
    for at in WORDS:
        if (word := neutral(cells[at])) is not cells[at]:
            out = [*out[:at], word, *out[at + 1 :]]
    return out


def _csv(cells: list[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow(cells)
    return out.getvalue()


def text_frame(rows: Sequence[Sequence[str]], names: Sequence[str]) -> pd.DataFrame:
    """Rows of cells as a frame of text."""
    columns = np.ascontiguousarray(np.array(rows, dtype=object).reshape(-1, len(names)).T)
    return pd.DataFrame(columns.T, columns=list(names), dtype=object)


def by_commas(lines: list[str]) -> list[list[str]]:
    """Cells of each line by commas, all in one reading where that can be; none of a line whose quotes are torn."""
    whole = ["" if line.count('"') % 2 else line for line in lines]
    try:
        out = list(csv.reader(whole))
    except csv.Error:
        out = []
    return out if len(out) == len(lines) else [_by_commas(line) for line in whole]


def _by_commas(line: str) -> list[str]:
    try:
        return next(csv.reader([line]), [])
    except csv.Error:
        return []


def heading_line() -> str:
    """The first line of a new ledger."""
    return _csv(HEADING)

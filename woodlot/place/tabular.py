"""CSV and XLSX -> cells as text, with the row numbers that a spreadsheet shows."""

import csv
import io
import re
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from woodlot import columns
from woodlot.column_kinds import metric_names
from woodlot.errors import Fault, PlaceError
from woodlot.place.remedies import short, unusable
from woodlot.place.with_care import check_packed, check_regular, data_of

__all__ = [
    "Cells",
    "cell_text",
    "check_size",
    "check_text",
    "crooked",
    "plain_heading",
    "read_table",
    "text_of",
    "xlsx_rows",
]

#: A table of a family's woods is far smaller: 300,000 rows are thirty thousand plots of ten trees.
MOST_ROWS, MOST_COLUMNS, MOST_CELLS = 300_000, 500, 10_000_000
#: The line that says to a spreadsheet what separates the cells of a CSV.
_SEP_LINE = re.compile(r'"?sep=[,;\t|]"?\s*', re.IGNORECASE)


@dataclass(frozen=True)
class Cells:
    """A table as handed in: file name, cells as text ("" where empty) under the headings of the file, row numbers.

    Row 1 is the heading. decimal_comma: the file separates cells by semicolons, so 12,2 is a number. cut: length to
    which the format cuts column names (Shapefile: 10), 0 if it does not.
    """

    file: str
    frame: pd.DataFrame
    rows: np.ndarray
    decimal_comma: bool = False
    cut: int = 0

    def fault(self, at: Any, column: str, found: str, remedy: str) -> Fault:
        """What is wrong with a cell; at: position of its row in the frame."""
        return Fault(self.file, int(self.rows[at]), column, short(found), remedy)


_HEADING_AGAIN = "Write the heading row again, or take the file away."


def read_table(path: Path, table: str, faults: list[Fault], notes: list[str]) -> Cells:
    """Read a CSV or XLSX file; faults and notes are appended to. PlaceError when nothing can be made of the file."""
    if path.suffix.lower() == ".xlsx":
        return _read_xlsx(path, table, notes)
    return _read_csv(path, table, faults, notes)


def check_text(file: str, data: bytes) -> None:
    """PlaceError for another encoding, as far as it can be noticed: UTF-16, UTF-32, bytes that are no text."""
    marked = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    if marked or b"\0" in data:
        row = None if marked else data.count(b"\n", 0, data.index(b"\0")) + 1
        what = "not UTF-8 text" if marked else "not a text file"
        raise unusable(file, what, 'Save it again as "CSV UTF-8".', row=row if row != 1 else None)


def check_size(file: str, rows: int, columns: int, cells: int | None = None) -> None:
    """PlaceError for a table with more rows, columns or cells than woods have."""
    for number, most, thing in (
        (rows, MOST_ROWS, "rows"),
        (columns, MOST_COLUMNS, "columns"),
        (rows * columns if cells is None else cells, MOST_CELLS, "cells"),
    ):
        if number > most:
            remedy = f"A table of woods has {most:,} at most. Take out what does not belong to it."
            raise unusable(file, f"more than {most:,} {thing}", remedy)


def text_of(path: Path) -> str:
    """Text of a CSV file in UTF-8. PlaceError when it is empty or in another encoding."""
    data = data_of(path)
    if not data.strip(b"\xef\xbb\xbf \t\r\n,;"):
        raise unusable(path.name, "empty", _HEADING_AGAIN)
    check_text(path.name, data)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise PlaceError(list(_other_letters(path.name, data))) from None


def _other_letters(file: str, data: bytes) -> Iterator[Fault]:
    """A fault for each row with letters of another encoding."""
    for row, line in enumerate(data.split(b"\n"), start=1):
        try:
            line.decode("utf-8")
        except UnicodeDecodeError as error:
            around = line[max(0, error.start - 12) : error.start + 8].decode("cp1252", "replace").strip()
            yield Fault(file, row, "", short(around), 'A letter that is not UTF-8. Save the file again as "CSV UTF-8".')


def _read_csv(path: Path, table: str, faults: list[Fault], notes: list[str]) -> Cells:
    text, lines_before = text_of(path), 0
    while (end := text.find("\n")) >= 0 and (not text[:end].strip(" \t\r,;") or _SEP_LINE.fullmatch(text[:end])):
        text, lines_before = text[end + 1 :], lines_before + 1
    first = next((line for line in text.split("\n", 8)[:8] if any(mark in line for mark in ",;\t")), "")
    sep = max(",;\t", key=first.count)
    if sep != "," and first.count(sep):
        word = "semicolons" if sep == ";" else "tabs"
        notes.append(
            f"{path.name}: cells are separated by {word}; a comma within a number was read as a decimal point."
        )
    else:
        sep = ","
    text = text.rstrip(" \t\r\n,;")  # a spreadsheet may end in a million empty rows
    check_size(path.name, text.count("\n"), first.count(sep) + 1)
    try:
        grid = pd.read_csv(
            io.StringIO(text), sep=sep, header=None, dtype=str, na_filter=False, skip_blank_lines=False, engine="c"
        )
    except (pd.errors.ParserError, pd.errors.EmptyDataError, ValueError):
        grid = _read_crooked_csv(path.name, text, sep, lines_before, faults)
    return _cells(path.name, grid.fillna(""), lines_before, table, notes, decimal_comma=sep != ",")


def _read_crooked_csv(file: str, text: str, sep: str, before: int, faults: list[Fault]) -> pd.DataFrame:
    """The slow way, taken only when rows are longer than the heading or a quotation mark stays open."""
    rows = crooked(file, text, sep)
    width = len(rows[0]) if rows else 0
    check_size(file, len(rows), width)
    if rows and sum(bool(cell.strip()) for cell in rows[0]) == 1:  # a title above the heading
        width = max(len(row) for row in rows[:8])
    for number, row in enumerate(rows, start=1 + before):
        if len(row) > width and any(cell.strip() for cell in row[width:]):
            remedy = 'Put text that holds a comma between quotation marks ("..."), or take the comma out.'
            faults.append(Fault(file, number, "", f"{len(row)} cells, but the heading has {width}", remedy))
    return pd.DataFrame([(row + [""] * width)[:width] for row in rows], dtype=str)


def crooked(file: str, text: str, sep: str) -> list[list[str]]:
    """Rows of a text of cells, however long each is. PlaceError for a quotation mark that stays open, or too much."""
    rows, cells = [], 0
    try:
        for row in csv.reader(io.StringIO(text), delimiter=sep, strict=True):
            rows.append(row)
            cells += len(row)
            check_size(file, len(rows), len(row), cells)
    except csv.Error as error:
        remedy = 'Look for a quotation mark (") that is opened and not closed, or take quotation marks out.'
        raise unusable(file, str(error), remedy) from None
    return rows


def plain_heading(text: str) -> str:
    """A heading in lower case with one _ for whatever stands between its words: "DBH (in)" is dbh_in."""
    return re.sub(r"[^a-z0-9]+", "_", text.lower()).strip("_")


def _check_first_row(file: str, grid: pd.DataFrame, before: int, table: str) -> None:
    """PlaceError where rows stand above the heading (a title, a day); it says in which row the heading is."""
    fields = columns.TABLES[table].model_fields if table in columns.TABLES else {}
    known = set(fields).union(*(metric_names(one) for one in fields.values()))
    heads = grid.head(8).map(plain_heading).isin(known).sum(axis=1).to_numpy()
    if not heads[0] and heads.max() >= 2:
        first = "; ".join(cell for cell in grid.iloc[0] if cell.strip())
        remedy = f"The heading stands in row {before + int(heads.argmax()) + 1}: take the rows above it out."
        raise unusable(file, first[:60], remedy, row=before + 1)


def _cells(
    file: str, grid: pd.DataFrame, before: int, table: str, notes: list[str], decimal_comma: bool = False
) -> Cells:
    _check_first_row(file, grid, before, table)
    names = [str(name).strip() for name in grid.iloc[0]]
    frame = grid.iloc[1:].reset_index(drop=True)
    frame = frame.apply(lambda column: column.str.strip())
    rows = np.arange(len(frame)) + before + 2
    filled = frame.ne("").to_numpy()
    for position, name in enumerate(names):
        if not name and filled[:, position].any():
            notes.append(f"{file}: column {position + 1} has no heading and was not read.")
    named = [position for position, name in enumerate(names) if name]
    keep = filled.any(axis=1) if filled.size else np.zeros(len(frame), dtype=bool)
    frame = frame.loc[keep, frame.columns[named]].reset_index(drop=True)
    frame.columns = pd.Index([names[position] for position in named])
    return Cells(file, frame, rows[keep], decimal_comma)


def cell_text(value: Any, percent: bool = False) -> str:
    """A value of a spreadsheet or map attribute as it would be typed: 3 not 3.0, days as 2026-10-09."""
    if value is None or (isinstance(value, float) and np.isnan(value)) or value is pd.NaT or value is pd.NA:
        return ""
    if isinstance(value, (bool, np.bool_)):
        return "yes" if value else "no"
    if isinstance(value, (float, np.floating)):
        number = float(value) * (100.0 if percent else 1.0)
        number = round(number, 9) if percent else number
        return str(int(number)) if number.is_integer() and abs(number) < 1e15 else repr(number)
    if isinstance(value, (datetime, np.datetime64)):
        return pd.Timestamp(value).date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if percent and isinstance(value, int):
        return str(value * 100)
    return str(value).strip()


def _read_xlsx(path: Path, table: str, notes: list[str]) -> Cells:
    sheets = xlsx_rows(path)
    name = next((title for title in sheets if title.strip().lower() == table), next(iter(sheets)))
    if len(sheets) > 1 and name.strip().lower() != table:
        notes.append(f'{path.name}: of {len(sheets)} sheets only the first, "{name}", was read.')
    rows = sheets[name]
    before = next((at for at, row in enumerate(rows) if any(row)), len(rows))
    end = next((at for at in range(len(rows), before, -1) if any(rows[at - 1])), before)
    rows = rows[before:end]
    if not rows:
        raise unusable(path.name, "empty", _HEADING_AGAIN)
    width = max(len(row) for row in rows)
    check_size(path.name, len(rows), width)
    grid = pd.DataFrame([row + [""] * (width - len(row)) for row in rows], dtype=str)
    return _cells(path.name, grid, before, table, notes)


def xlsx_rows(path: Path) -> dict[str, list[list[str]]]:
    """Title of each visible sheet -> its rows as text. PlaceError when the workbook cannot be opened."""
    import openpyxl

    check_regular(path)
    if path.stat().st_size == 0:
        raise unusable(path.name, "empty", "Save the table again, or take the file away.")
    check_packed(path)
    cells = 0
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book = openpyxl.load_workbook(path, read_only=True, data_only=True)
            out: dict[str, list[list[str]]] = {}
            for sheet in book.worksheets:
                if sheet.sheet_state == "visible":
                    sheet.reset_dimensions()
                    rows = out.setdefault(str(sheet.title), [])
                    for row in sheet.iter_rows():
                        cells += len(row) + 1
                        check_size(path.name, 0, 0, cells)
                        rows.append(_filled(row))
            book.close()
            next(iter(out))
    except PlaceError:
        raise
    except Exception as error:  # a damaged workbook fails in a hundred ways, all of them the same to the family
        remedy = "The workbook cannot be opened. Save it again as XLSX or CSV."
        raise unusable(path.name, str(error)[:100], remedy) from None
    return out


def _filled(row: Sequence[Any]) -> list[str]:
    """Cells of a row as text, up to the last that holds something."""
    end = len(row)
    while end and row[end - 1].value is None:
        end -= 1
    return [_xlsx_text(cell) for cell in row[:end]]


def _xlsx_text(cell: Any) -> str:
    form = getattr(cell, "number_format", None) or ""
    return cell_text(cell.value, percent="%" in form and isinstance(cell.value, (int, float)))

"""The ledger of another copy of the place joined into its own.

join    every line of both, in one swap; what does not agree
keep    a line written once more in the place of all that set the same one right
forks   lines that two hands set right in two ways, as they stand in a ledger

The other may be a ledger, the folder of a place, or a bundle. Nothing is written where it is no ledger, or where a cell
of it cannot be.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd

from woodlot import ledger
from woodlot.errors import Fault, InputError, PlaceError
from woodlot.ledger.lines import CORRECTS, ID, cell_of
from woodlot.place.cells import read_cells
from woodlot.place.noting import held
from woodlot.place.packing import unpack
from woodlot.place.sealed import LEDGER, ledger_text, seal_of
from woodlot.place.single_files import a_place
from woodlot.place.tabular import Cells
from woodlot.place.with_care import check_regular, data_of, scratch

__all__ = ["FORK", "Joined", "forks", "join", "keep"]

#: The kind of a clash beside those of ``ledger.merge``: one line was set right in two ways.
FORK = "set right twice"
#: Cells that a line written once more has anew.
_ITS_OWN = ("line", "id", "written", "corrects", "check")
_NO_LEDGER = "Name a ledger.csv, the folder of a place, or a bundle."


@dataclass(frozen=True)
class Joined:
    """What came of joining two ledgers.

    came, same, all: lines that came, that both had, that stand now; kept: the name of the ledger as it was, None where
    nothing was written; clashes: what does not agree now; counts: ids of the lines of clashes that count; lost: rows of
    the other's seal whose line neither has; lines: all of them as text; remarks: of the writing.
    """

    came: int
    same: int
    all: int
    kept: str | None
    clashes: list[ledger.Clash]
    counts: frozenset[str]
    lost: pd.DataFrame
    lines: pd.DataFrame
    remarks: tuple[str, ...] = ()


def join(folder: str | Path, other: str | Path) -> Joined:
    """Join the ledger of another copy into that of a place; the file as it was is kept beside.

    Raises InputError where there is no such file, or it holds no ledger, PlaceError for cells that cannot be, or where
    the disk refuses. Then nothing was written.
    """
    home = a_place(folder)
    with _ledger_of(Path(other)) as path:
        inner = path.relative_to(other) if path.is_relative_to(other) else LEDGER
        theirs, seal = _read(path, str(Path(other) / inner)), seal_of(path.parent)
    with held(home) as book:
        merged = ledger.merge(book.text, theirs, book.next_line, seal_of(home), seal)
        if not (merged.added or merged.changed):
            return _joined(merged, book.book.lines, seal)
        before, kept = book.text, None
        if before.strip("\ufeff \t\r\n"):
            kept = book.exchange(merged.text)
        else:
            book.append(merged.added)
        lines, remarks = book.book.lines, tuple(one for one in book.remarks if kept is None or kept not in one)
    was, now = _typed(LEDGER, before), _typed(LEDGER, merged.text)
    old = {frozenset(was["id"].iloc[one]) for one in ledger.forks(was)}
    split = [one for one in forks(now) if frozenset(cells[_ID] for cells in one.lines) not in old]
    twice = {cells[_ID] for one in split for cells in one.lines}
    clashes = [one for one in merged.clashes if not one.lines or not {cells[_ID] for cells in one.lines} <= twice]
    named = {cells[_ID] for one in (*split, *clashes) for cells in one.lines}
    counts = frozenset(named & set(ledger.standing(now)["id"]))
    return replace(_joined(merged, lines, seal), kept=kept, clashes=[*split, *clashes], counts=counts, remarks=remarks)


def _joined(merged: ledger.Merged, lines: pd.DataFrame, seal: pd.DataFrame | None) -> Joined:
    """What came of joining by the lines alone."""
    lost = lines.head(0) if seal is None else ledger.gone(seal, lines)
    return Joined(len(merged.added), merged.same, len(lines), None, merged.clashes, frozenset(), lost, lines)


_ID = ledger.HEADING.index("id")


def forks(lines: pd.DataFrame) -> list[ledger.Clash]:
    """Lines of a ledger (``Place.ledger``) that were set right in two ways, the one that counts last."""
    cells = lines[ledger.HEADING]
    return [ledger.Clash(FORK, tuple(_text(cells.iloc[at]) for at in one)) for one in ledger.forks(lines)]


def _text(line: pd.Series) -> list[str]:
    return ["" if pd.isna(value) else cell_of(value) for value in line]


@contextmanager
def _ledger_of(path: Path, called: Path | None = None) -> Iterator[Path]:
    """The ledger that lies in a folder, a bundle's folder, a bundle or another zip of a place, or is named itself.

    called: what the family named, where it was unpacked.
    """
    called = called or path
    if not path.exists():
        raise InputError(f"there is no file or folder {path}; {_NO_LEDGER[0].lower()}{_NO_LEDGER[1:]}")
    if path.is_dir():
        inner = [one for one in sorted(path.iterdir()) if one.is_dir() and not one.name.startswith((".", "__"))]
        places = [path, path / "data", *(inner[0] / one for one in ("data", "") if len(inner) == 1)]
        found = next((one / LEDGER for one in places if (one / LEDGER).exists()), None)
        if found is None:
            raise InputError(f"{called} holds no {LEDGER}; {_NO_LEDGER[0].lower()}{_NO_LEDGER[1:]}")
        yield found
        return
    check_regular(path, str(path))
    if path.suffix.lower() != ".zip":
        yield path
        return
    with scratch() as passing:
        unpack(path, passing)
        with _ledger_of(passing, path) as found:
            yield found


def _read(path: Path, called: str) -> str:
    """Text of another ledger. PlaceError where it is none, or a cell of it cannot be."""
    text = ledger_text(called, data_of(path, called))
    strange = ledger.strange_columns(text)
    if strange or not ledger.is_ledger(text):
        found = f"other columns: {', '.join(strange)}"[:200] if strange else "not a ledger"
        raise PlaceError([Fault(called, 1, "", found, _NO_LEDGER)])
    _typed(called, text)
    return text


def _typed(name: str, text: str) -> pd.DataFrame:
    """A ledger as the chapters take it. PlaceError with every cell of it that cannot be."""
    faults: list[Fault] = []
    book = ledger.read_book(text)
    sheet = read_cells("ledger", Cells(name, book.lines, np.array(book.rows, dtype=int)), faults, [])
    if faults:
        raise PlaceError(faults)
    return sheet.frame


def keep(folder: str | Path, name: str, day: date) -> tuple[dict[str, str], str, list[str]]:
    """Write a line once more, as it is, in the place of all lines that set the same one right, itself among them.

    Returns the cells of the new line, the letters of its id, and what is to be said of the writing. Raises InputError
    where no line, more than one, or one that counts alone is meant.
    """
    with held(folder) as book:
        at = ledger.bearing(book.lines, name)
        if not at:
            raise InputError(f"there is no line {name} to keep")
        if len(at) > 1:
            which = " or ".join(book.lines["id"].iloc[at])
            raise InputError(f"{len(at)} lines of the ledger are called {name}; say which by its id: {which}")
        heads = ledger.heads(book.lines, at[0])
        if heads == [book.lines["id"].iloc[at[0]]]:
            raise InputError(f"line {name} counts as it is; no other stands beside it")
        named = zip(ledger.HEADING, book.book.cells[at[0]], strict=True)
        cells = ["" if column in _ITS_OWN else cell for column, cell in named][:-1]
        cells[CORRECTS] = " ".join(heads)
        line = book.write([cells], [0], day)[0]
        told = {column: cell for column, cell in zip(ledger.HEADING, line, strict=True) if cell}
        (letters,) = ledger.letters([line[ID]], book.lines["id"])
        return told, letters, list(book.remarks)

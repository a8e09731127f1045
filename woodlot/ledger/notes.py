"""Notes as lines of the ledger: many at once, each column checked through its distinct values.

as_cells     notes -> cells under ``HEADING``, and what cannot be
line_cells   one note with number, id and check; format_line: its line of the file
numbered     cells of many with number, id, day of writing and check
sheet_ids    ids for notes that come without one, the same whenever they are read
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from woodlot.column_kinds import cell_type
from woodlot.columns import Ledger, must_have
from woodlot.errors import InputError
from woodlot.ledger.lines import HEADING, ID, LINE, cell_of, check_of, derived_id, new_id, row_text

#: Cells that say nothing of what was done: two lines that differ in them alone say the same.
BESIDE = ("line", "id", "written", "check")
#: What stands for a cell that cannot be: no line has it.
NO_CELL = "\0"
_SAID = [at for at, name in enumerate(HEADING) if name not in BESIDE]
_WRITTEN, _CORRECTS = HEADING.index("written"), HEADING.index("corrects")
_MUST = [name for name in must_have("ledger") if name != "line"]


@cache
def _adapter(name: str) -> TypeAdapter:
    return TypeAdapter(cell_type(Ledger.model_fields[name])[0])


def as_cells(notes: Sequence[Mapping[str, Any]]) -> tuple[list[list[str]], dict[tuple[int, str], dict[str, Any]]]:
    """Cells of notes as their lines hold them, without the check; and (position, column) -> the error of a cell that
    cannot be, as pydantic says it. The number of a line is not asked for; empty text is no value.
    """
    wrong: dict[tuple[int, str], dict[str, Any]] = {}
    columns = [_column(name, [note.get(name) for note in notes], wrong) for name in HEADING[:-1]]
    known = set(HEADING)
    for at, note in enumerate(notes):
        for name in note.keys() - known:
            wrong[at, name] = {"type": "extra_forbidden", "msg": "No such column", "input": note[name]}
    return [list(cells) for cells in zip(*columns, strict=True)], wrong


def _column(name: str, values: list[Any], wrong: dict[tuple[int, str], dict[str, Any]]) -> list[str]:
    read: dict[Any, str] = {None: "", "": ""}
    errors: dict[Any, dict[str, Any]] = {}
    out = []
    for at, value in enumerate(values):
        if value not in read:
            try:
                read[value] = cell_of(_adapter(name).validate_python(value))
            except ValidationError as error:
                read[value], errors[value] = NO_CELL, dict(error.errors(include_url=False)[0])
        cell = read[value]
        if cell == NO_CELL:
            wrong[at, name] = errors[value]
        elif not cell and name in _MUST:
            wrong[at, name] = {"type": "missing", "msg": "Field required", "input": ""}
        out.append(cell)
    return out


def line_cells(note: Mapping[str, Any]) -> list[str]:
    """Cells of a note's line with its check; number and day are among the note's, a new id is made if need be.

    Raises InputError when a cell cannot be: an unknown name, a day that is none, an amount without a number.
    """
    cells, wrong = as_cells([{name: value for name, value in note.items() if name != "check"}])
    refuse(wrong)
    cells[0][ID] = cells[0][ID] or new_id()
    return [*cells[0], check_of([*cells[0], ""])]


def refuse(wrong: Mapping[tuple[int, str], Mapping[str, Any]]) -> None:
    """InputError for the first cell that cannot be."""
    for (_, name), error in wrong.items():
        raise InputError(f"note, {name}: {error['msg'].lower()} (got {error['input']!r})")


def format_line(note: Mapping[str, Any]) -> str:
    """The line of a note with its line end, as ``line_cells`` makes it."""
    return row_text(line_cells(note))


def numbered(notes: Sequence[Sequence[str]], first: int, day: date) -> list[list[str]]:
    """Whole lines of notes: numbers from ``first`` on, a new id and the day of writing where they have none, checks."""
    lines = []
    for number, note in enumerate(notes, start=first):
        cells = list(note)
        cells[LINE] = str(number)
        cells[ID] = cells[ID] or new_id()
        cells[_WRITTEN] = cells[_WRITTEN] or day.isoformat()
        lines.append([*cells, check_of([*cells, ""])])
    return lines


def sheet_ids(notes: Sequence[Sequence[str]]) -> list[str]:
    """The id of each note; of one without, what comes of its cells and of how many such stand before it."""
    alike: Counter[tuple[str, ...]] = Counter()
    ids = []
    for cells in notes:
        name = cells[ID]
        if not name:
            said = tuple(cells[at] for at in _SAID if at < len(cells))
            alike[said] += 1
            name = derived_id("sheet", *said, alike[said])
        ids.append(name)
    return ids


def said_by(cells: Sequence[str]) -> tuple[str, ...]:
    """What a line says was done, by which it is compared with another."""
    return tuple([cells[at] for at in _SAID])


def told_by(cells: Sequence[str]) -> tuple[str, ...]:
    """The same of a note that may not be written yet: of the lines that it replaces only whether there are any, since
    a sheet may name them by number.
    """
    return tuple([cells[at] for at in _SAID if at != _CORRECTS] + ["corrects" if cells[_CORRECTS] else ""])

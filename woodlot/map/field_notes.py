"""Notes written on the map page in the woods: the file it saves, read back as lines for the ledger.

form              what the page's form offers: kinds with their usual unit, units, sexes and ages
COLUMNS           the columns of that file: those of the ledger without line and check
rows              its text -> row and mapping of each note

The file is CSV in UTF-8.
"""

import csv
import datetime as dt
import io
import math
from typing import Any

from woodlot.answers.types import Answers
from woodlot.column_kinds import ID_LETTERS, ID_LONG, as_typed
from woodlot.columns import header
from woodlot.errors import Fault
from woodlot.trade import (
    FORM_KINDS,
    LEDGER_KINDS,
    SEX_AGE,
    SNOW_AND_HEAT,
    TAKES,
    UNITS_NOTED,
    WOOD_KINDS,
    WORDS_ALONE,
    noted_unit,
    unit_word,
)

__all__ = ["COLUMNS", "form", "rows"]

COLUMNS = tuple(name for name in header("ledger") if name not in ("line", "check"))
#: Units of kinds that do not say which they take.
PLAIN_UNITS = tuple(unit for unit in UNITS_NOTED if unit not in SNOW_AND_HEAT)
CUT_OFF = "It may not have been copied to its end. Copy it again from the phone, or save it from the page once more."
_NUMBERS = ("amount", "lon", "lat", "age_yr", "dressed_lb")


def form(answers: Answers) -> dict[str, Any]:
    """Kinds, units and deer that the page offers, and the columns of its file; board feet by the place's rule."""
    rule = answers.base.log_rule
    return {
        "place": answers.name,
        "columns": list(COLUMNS),
        "id_letters": ID_LETTERS,
        "id_long": ID_LONG,
        "kinds": [_kind(kind, rule) for kind in FORM_KINDS],
        "sex_age": list(SEX_AGE),
    }


def _many(unit: str, kind: str) -> str:
    word = unit_word(unit, kind)
    return unit if word is None else word.many


def _kind(kind: str, rule: str) -> dict[str, Any]:
    """A kind on the form: its usual unit, its words, what is asked of it beside words and day, the units it takes, what
    it must hold, whether it asks for a kind of tree, and words that say which it was.
    """
    takes, word = TAKES[kind], LEDGER_KINDS[kind]
    counted = "amount" in (*takes.must, *takes.may) and (kind not in WORDS_ALONE or takes.units)
    units = takes.units or [u for u in PLAIN_UNITS if not u.startswith("bdft") or u == noted_unit("bdft", rule)]
    return {
        "kind": kind,
        "unit": noted_unit(word.unit, rule),
        "words": word.one,
        "tag": "deer" if kind == "deer" else "wood" if kind in WOOD_KINDS else "seen",
        "asks": "deer" if "sex_age" in takes.must else "amount" if counted else "words",
        "units": [[unit, _many(unit.partition("_")[0], kind)] for unit in units],
        "must": list(takes.must),
        "tree": bool(takes.units) and "species" in takes.may,
        "such_as": [one.one for one in takes.words.values()],
    }


def rows(text: str, file: str, faults: list[Fault]) -> list[tuple[int, dict[str, Any]]]:
    """Row in the file and note of each line that can be taken apart, without the cells whose faults are appended.

    The file of an older page has fewer columns; a spreadsheet may have saved it between.
    """
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    sep = max(",;\t", key=text.split("\n", 1)[0].count)
    try:
        lines = list(csv.reader(io.StringIO(text), delimiter=sep))
    except csv.Error as error:
        long = "field larger" in str(error)  # all that csv refuses here but quotation marks
        found = "a cell of more letters than any note has" if long else str(error)
        faults.append(Fault(file, None, "", found, 'Look for a quotation mark (") that is opened and not closed.'))
        return []
    named = [cell.strip().lower() for cell in lines[0]] if lines else []
    if not {"date", "kind"} <= set(named) <= set(COLUMNS) or len(set(named)) < len(named):
        first = ",".join(lines[0]) if lines else "nothing"
        faults.append(Fault(file, 1, "", first[:200], f"The heading is {','.join(COLUMNS)}."))
        return []
    if "id" in named and text and not text.endswith("\n"):
        faults.append(Fault(file, len(lines), "", "it ends within this row", CUT_OFF))
    notes = []
    days: dict[str, dt.date | None] = {}
    for number, cells in enumerate(lines[1:], start=2):
        if not any(c.strip() for c in cells):
            continue
        if len(cells) != len(named):
            faults.append(Fault(file, number, "", f"{len(cells)} cells", f"A line has {len(named)} cells."))
            continue
        told = {name: as_typed(cell.strip()) for name, cell in zip(named, cells, strict=True) if cell.strip()}
        notes.append((number, _note(told, file, number, days, faults)))
    return notes


def _note(
    cells: dict[str, str], file: str, row: int, days: dict[str, dt.date | None], faults: list[Fault]
) -> dict[str, Any]:
    note: dict[str, Any] = dict(cells)
    day = note.get("date", "")
    if day not in days:
        days[day] = _day(day)
    if days[day] is None:
        faults.append(Fault(file, row, "date", note.pop("date", ""), "A day is written as 2026-11-25."))
    else:
        note["date"] = days[day]
    if "kind" not in note:
        faults.append(Fault(file, row, "kind", "", "Say what it was: firewood, deer, seen ..."))
    for name in _NUMBERS:
        if name in note:
            try:
                note[name] = float(note[name])
                if not math.isfinite(note[name]):
                    raise ValueError
            except ValueError:
                faults.append(Fault(file, row, name, cells[name], "Write a number, or leave the cell empty."))
                del note[name]
    return note


def _day(text: str) -> dt.date | None:
    """A day as the page writes it, or as a spreadsheet turns it round."""
    for form in ("%Y-%m-%d", "%m/%d/%Y"):
        try:
            return dt.datetime.strptime(text, form).date()
        except ValueError:
            continue
    return None

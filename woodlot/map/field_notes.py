"""Notes written on the map page in the woods: the file it saves, read back as lines for the ledger.

form              what the page's form offers: kinds with their usual unit, units, sexes and ages
COLUMNS           the columns of that file: those of the ledger without line and check
read              its text -> one mapping a note
fresh             those notes that the ledger does not hold yet

The file is CSV in UTF-8. It can be read in twice without doubling anything: a note that stands in the ledger with the
same day, kind, amount, unit, words and place is left out.
"""

import csv
import datetime as dt
import io
import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, get_args

from woodlot.columns import SexAge, header
from woodlot.errors import Fault, PlaceError
from woodlot.plan.ledger import KINDS, UNITS

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["COLUMNS", "form", "fresh", "read"]

COLUMNS = tuple(name for name in header("ledger") if name not in ("line", "check"))
#: Kinds on the form, the commonest first.
FORM_KINDS = ("firewood", "stack", "deer", "seen", "sawlog", "post", "pole", "work", "planted")
#: Kinds that the form calls by another word.
LABELS = {"stack": "stacked"}
_NUMBERS = {"amount": float, "lon": float, "lat": float, "corrects": int}
_SAME = ("date", "kind", "amount", "unit", "text", "lon", "lat")


def form(answers: dict[str, Any]) -> dict[str, Any]:
    """Kinds, units and deer that the page offers, and the columns of its file; board feet by the place's rule."""
    rule = f"bdft_{answers['base'].get('log_rule') or 'international_quarter'}"
    usual = {kind: rule if unit == "bdft" else unit for kind, unit in KINDS.items()}
    return {
        "place": str(answers["name"]),
        "columns": list(COLUMNS),
        "kinds": [[kind, usual[kind], LABELS.get(kind, kind)] for kind in FORM_KINDS],
        "units": [u for u in UNITS if not u.startswith("bdft") or u == rule],
        "sex_age": list(get_args(get_args(SexAge)[0])),
    }


def read(text: str, file: str = "notes.csv") -> list[dict[str, Any]]:
    """The notes of a file that the map page saved, empty cells left out, dates as dates.

    Raises
    ------
    PlaceError
        With every fault: a heading that is not the ledger's, a day, number or kind that cannot be read.
    """
    rows = list(csv.reader(io.StringIO(text.removeprefix("\ufeff"))))
    if not rows or [c.strip() for c in rows[0]] != list(COLUMNS):
        found = ",".join(rows[0]) if rows else "nothing"
        raise PlaceError([Fault(file, 1, "", found[:200], f"The heading is {','.join(COLUMNS)}.")])
    notes, faults = [], []
    for number, cells in enumerate(rows[1:], start=2):
        if not any(c.strip() for c in cells):
            continue
        if len(cells) != len(COLUMNS):
            faults.append(Fault(file, number, "", f"{len(cells)} cells", f"A line has {len(COLUMNS)} cells."))
            continue
        notes.append(_note(dict(zip(COLUMNS, cells, strict=True)), file, number, faults))
    if faults:
        raise PlaceError(faults)
    return notes


def _note(cells: dict[str, str], file: str, row: int, faults: list[Fault]) -> dict[str, Any]:
    told: dict[str, Any] = {k: v.strip() for k, v in cells.items() if v.strip()}
    try:
        told["date"] = dt.date.fromisoformat(told.get("date", ""))
    except ValueError:
        faults.append(Fault(file, row, "date", told.get("date", ""), "A day is written as 2026-11-25."))
    if "kind" not in told:
        faults.append(Fault(file, row, "kind", "", "Say what it was: firewood, deer, seen ..."))
    for name, kind in _NUMBERS.items():
        if name in told:
            try:
                value = kind(told[name])
                if not math.isfinite(value):
                    raise ValueError
                told[name] = value
            except ValueError:
                faults.append(Fault(file, row, name, told[name], "Not a number."))
    return told


def _key(note: Mapping[Any, Any]) -> tuple:
    def plain(name: str) -> Any:
        value = note.get(name)
        if value is None or value != value or value == "":
            return None
        if name in ("lon", "lat"):
            return round(float(value), 6)
        if name == "date":
            return str(value)[:10]
        return float(value) if name == "amount" else str(value).strip()

    return tuple(plain(name) for name in _SAME)


def fresh(notes: list[dict[str, Any]], ledger: "pd.DataFrame") -> list[dict[str, Any]]:
    """Those notes that do not stand in the ledger yet, each once."""
    there = {_key(dict(row)) for row in ledger.to_dict("records")}
    out = []
    for note in notes:
        key = _key(note)
        if key not in there:
            there.add(key)
            out.append(note)
    return out

"""What the tally page saved, put behind what the place already has.

joined(old, new, table)     one CSV text: the old rows as they stand, then the new ones

The old file keeps its own columns and their order; columns that only the new rows need are added at the end.
"""

import csv
import io

from woodlot.column_kinds import as_typed
from woodlot.columns import neutral_cells
from woodlot.errors import Fault, PlaceError

__all__ = ["joined"]

#: Columns that together name a row, by table.
KEYS = {
    "plots": ("plot_id",),
    "trees": ("plot_id", "tree"),
    "pellets": ("plot_id", "date"),
    "browse": ("plot_id", "date", "species"),
}


def joined(old: str, new: str, table: str) -> str:
    """Rows of ``new`` behind those of ``old``; rows that ``old`` already holds in full are not doubled.

    Parameters
    ----------
    old, new
        CSV text of the same table; ``old`` may be empty.
    table
        "plots", "trees", "pellets" or "browse".

    Raises
    ------
    PlaceError
        When a new row has the name of an old one (plot_id, or plot_id and tree) but says something else.
    """
    if table not in KEYS:
        raise PlaceError([Fault(f"{table}.csv", None, "", table, f"The tally page saves {', '.join(KEYS)}.")])
    before, after = _rows(old), _rows(new)
    columns = [*before[0], *(c for c in after[0] if c not in before[0])] if old.strip() else list(after[0])
    names = {_key(row, table): row for row in before[1]}
    out, faults = list(before[1]), []
    for number, row in enumerate(after[1], start=2):
        there = names.get(_key(row, table))
        if there is None:
            out.append(neutral_cells(table, row))
        elif any(as_typed(there.get(c, "").strip()) != row[c].strip() for c in row if row[c].strip()):
            name = " ".join(_key(row, table))
            faults.append(Fault(f"new {table}.csv", number, KEYS[table][0], name, f"The place has another {name}."))
    if faults:
        raise PlaceError(faults)
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(out)
    return text.getvalue()


def _rows(text: str) -> tuple[list[str], list[dict[str, str]]]:
    reader = csv.DictReader(io.StringIO(text.removeprefix("\ufeff")))
    rows = [{k: v or "" for k, v in row.items() if k is not None} for row in reader]
    return list(reader.fieldnames or []), rows


def _key(row: dict[str, str], table: str) -> tuple[str, ...]:
    return tuple((row.get(name) or "").strip() for name in KEYS[table])

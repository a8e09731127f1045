"""Rows of the buck sheet in the answers: the trees to fell with their cuts, for the verb and for the plan.

sheet     trees to fell with their pieces from the butt up
rows      rows of a table as answers of a kind
records   the same as plain mappings
"""

from dataclasses import fields
from typing import Any, TypeVar

import pandas as pd

from woodlot.answers import fell_types as types

__all__ = ["records", "rows", "sheet"]

T = TypeVar("T")


def records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """The rows of a table, what is missing as None."""
    return frame.astype(object).where(frame.notna(), None).to_dict("records")  # type: ignore[return-value]


def rows(kind: type[T], frame: pd.DataFrame) -> tuple[T, ...]:
    """The rows of a table as answers of a kind, from the columns that are its fields."""
    names = [f.name for f in fields(kind) if f.name in frame]  # type: ignore[arg-type]
    return tuple(kind(**row) for row in records(frame[names]))


def sheet(trees: pd.DataFrame, pieces: pd.DataFrame, stump_ft: float) -> tuple[types.SheetTree, ...]:
    """The trees to fell with their pieces from the butt up, feet from the stump cut."""
    up = pieces.sort_values("from_ft")
    up = up.assign(from_ft=up["from_ft"] - stump_ft, to_ft=up["to_ft"] - stump_ft)
    cuts = {stem: rows(types.Cut, mine) for stem, mine in up.groupby("stem")}
    return tuple(
        types.SheetTree(
            tree=str(row["tree"] or row["position"] + 1),
            stand_id=row["stand_id"] or "",
            species=row["species"],
            dbh_in=row["dbh_in"],
            height_ft=row["height_ft"],
            why=row["why"],
            cuts=() if row["why"] else cuts.get(row["position"], ()),
            rest="chips" if row["chipped"] else "firewood",
        )
        for row in records(trees)
    )

"""A table of the place while it is checked: its columns, its rows in the file, and what was wrong already."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import Fault
from woodlot.place.remedies import short

__all__ = ["Sheet"]


@dataclass(frozen=True)
class Sheet:
    """A table of the place while it is checked.

    Its columns as declared, file name ("" if absent), row numbers, and column -> where a cell was filled but wrong.
    """

    table: str
    file: str
    frame: pd.DataFrame
    rows: np.ndarray
    wrong: dict[str, np.ndarray] = field(default_factory=dict)

    def is_wrong(self, *names: str) -> np.ndarray:
        """Rows in which a cell of one of the columns was reported already."""
        return np.logical_or.reduce([self.wrong.get(n, np.zeros(len(self.rows), dtype=bool)) for n in names])

    def faults(self, where: Any, column: str, remedy: Any, found: Any = None) -> list[Fault]:
        """One fault for each row where ``where`` is true; remedy and found are words, or functions of the position.

        found: what stands in the column, where it is left out.
        """
        return [
            Fault(
                self.file,
                int(self.rows[at]),
                column,
                short(self.text(column, at) if found is None else found(at) if callable(found) else found),
                remedy(at) if callable(remedy) else remedy,
            )
            for at in np.flatnonzero(np.asarray(where, dtype=bool))
        ]

    def text(self, column: str, at: Any) -> str:
        """What stands in a column, at a position; "empty" for nothing."""
        value = self.frame[column].iloc[at]
        if pd.isna(value):
            return "empty"
        if isinstance(value, pd.Timestamp):
            return f"{value:%Y-%m-%d}"
        if isinstance(value, (bool, np.bool_)):
            return "yes" if value else "no"
        return f"{value:g}" if isinstance(value, float) else str(value)

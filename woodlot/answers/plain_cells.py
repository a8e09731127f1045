"""Cells of tables as an answer holds them: missing is None.

number      a number
plain_cell  any cell
records     rows of a frame
frame_of    answers of one kind as rows of a frame
picked      those of one parcel or stand
"""

from collections.abc import Sequence
from dataclasses import fields
from typing import Any

import numpy as np
import pandas as pd

__all__ = ["frame_of", "number", "picked", "plain_cell", "records"]


def number(value: Any) -> float | None:
    """A float, or None for what is missing."""
    return None if value is None or pd.isna(value) else float(value)


def plain_cell(value: Any) -> Any:
    """A cell of a table: numbers as floats, missing as None, yes and no, words."""
    if isinstance(value, str):
        return value
    if pd.isna(value):
        return None
    return bool(value) if isinstance(value, (bool, np.bool_)) else float(value)


def records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """Rows of a frame by their columns, cells as they are."""
    return [{str(name): cell for name, cell in row.items()} for row in frame.to_dict("records")]


def frame_of(kind: type, rows: Sequence[Any]) -> pd.DataFrame:
    """Answers of one kind as rows of a table, which has its columns without a row too."""
    return pd.DataFrame([vars(row) for row in rows], columns=[field.name for field in fields(kind)])


def picked(frame: pd.DataFrame, parcel: str | None, stand: str | None) -> pd.DataFrame:
    """Rows of one parcel, one stand, or all of them."""
    frame = frame if parcel is None else frame[frame["parcel_id"] == parcel]
    return frame if stand is None else frame[frame["stand_id"] == stand]

"""Numbers in, numbers out: what every function on trees and logs does with its arguments.

numbers   arguments as float arrays of one shape, and the way back (float, array or Series)
column    a column of a table as floats, whether it is there or not
living    which trees of a table are alive
positive  a clear error for values that cannot be
"""

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError

__all__ = [
    "Back",
    "between",
    "column",
    "living",
    "numbers",
    "outside",
    "positive",
]

Back = Callable[[np.ndarray], Any]


def numbers(**arguments: Any) -> tuple[list[np.ndarray], Back]:
    """Arguments as float arrays of one shape, and a function that gives a result the form of the arguments.

    Only numbers: a float comes back. Any list or array: an array. Any Series: a Series with its index, and all Series
    must have the same index. Missing values become NaN. Raises InputError naming the argument.
    """
    index = None
    arrays = []
    for name, value in arguments.items():
        if isinstance(value, pd.Series):
            if index is not None and not index.equals(value.index):
                raise InputError(f"{name}: its rows are not those of the columns before it ({', '.join(arguments)})")
            index = value.index
        arrays.append(_floats(name, value))
    longest = next((a for a in arrays if a.ndim), None)
    if longest is None:
        return arrays, float
    try:
        arrays = list(np.broadcast_arrays(*arrays))
    except ValueError:
        shapes = ", ".join(f"{n} {a.shape}" for n, a in zip(arguments, arrays, strict=True))
        raise InputError(f"arguments do not have the same length: {shapes}") from None
    if index is None:
        return arrays, np.asarray
    if arrays[0].shape != (len(index),):
        raise InputError(f"a column of {len(index)} rows cannot go with an array of shape {arrays[0].shape}")
    return arrays, lambda result: pd.Series(result, index=index)


def _floats(name: str, value: Any) -> np.ndarray:
    try:
        if isinstance(value, pd.Series):
            return value.to_numpy(dtype=float, na_value=np.nan)
        return np.asarray(value, dtype=float)
    except (TypeError, ValueError):
        raise InputError(f"{name} must be a number or numbers, not {value!r}") from None


def column(frame: pd.DataFrame, name: str, missing: float = np.nan) -> np.ndarray:
    """A column of a table as floats, ``missing`` where a cell is empty or the column is not there."""
    if name not in frame:
        return np.full(len(frame), missing)
    values = pd.to_numeric(frame[name]).to_numpy(dtype=float, na_value=np.nan)
    return np.where(np.isnan(values), missing, values)


def living(trees: pd.DataFrame) -> np.ndarray:
    """Which trees are alive: all but those written as dead."""
    if "alive" not in trees:
        return np.ones(len(trees), dtype=bool)
    return trees["alive"].fillna(True).to_numpy(dtype=bool)


def positive(**arrays: np.ndarray) -> None:
    """Raise InputError for an array that holds a zero or a negative number (missing values pass)."""
    for name, values in arrays.items():
        if np.any(values <= 0):
            raise InputError(f"{name} must be more than 0, found {float(np.nanmin(values)):g}")


def outside(values: np.ndarray, low: float, high: float) -> float | None:
    """The first value outside low..high, None where all are within (missing values pass)."""
    wrong = values[(values < low) | (values > high)]
    return float(wrong.flat[0]) if wrong.size else None


def between(name: str, values: np.ndarray, low: float, high: float, remedy: str) -> None:
    """Raise InputError where values leave low..high (missing values pass); remedy says what to look at."""
    if (wrong := outside(values, low, high)) is not None:
        raise InputError(f"{name} {wrong:g} is not between {low:g} and {high:g}: {remedy}")

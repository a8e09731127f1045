"""The chapter's chosen numbers, from regions/<region>/defaults_deer.csv: each with low, high, meaning and source."""

from functools import cache

from woodlot.errors import TableError
from woodlot.tables import table

__all__ = ["default", "default_range"]


@cache
def _row(name: str, region: str) -> tuple[float, float, float]:
    rows = table("defaults_deer", of=region)
    rows = rows[rows["name"] == name]
    if len(rows) != 1:
        raise TableError(f"defaults_deer needs one row {name!r}, has {len(rows)}")
    return float(rows["value"].iloc[0]), float(rows["low"].iloc[0]), float(rows["high"].iloc[0])


def default(name: str, region: str = "base") -> float:
    """The value of a default by its name. Raises TableError when there is none."""
    return _row(name, region)[0]


def default_range(name: str, region: str = "base") -> tuple[float, float]:
    """Low and high of a default (NaN where none is given)."""
    return _row(name, region)[1:]

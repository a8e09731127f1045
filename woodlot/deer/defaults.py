"""The chapter's chosen numbers, from regions/<region>/defaults_deer.csv: each with low, high, meaning and source."""

from woodlot.tree import inputs

__all__ = ["default", "default_range"]

TOPIC = "defaults_deer"


def default(name: str, region: str = "base") -> float:
    """The value of a default by its name. Raises InputError when there is none."""
    return inputs.default(name, TOPIC, region)


def default_range(name: str, region: str = "base") -> tuple[float, float]:
    """Low and high of a default (NaN where none is given)."""
    row = inputs.records(TOPIC, "name", region=region)[name]
    return float(row["low"]), float(row["high"])

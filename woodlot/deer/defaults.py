"""The chapter's chosen numbers, each with low, high, meaning and source.

defaults_deer.csv holds what is the same everywhere; defaults_deer_region.csv the few for which regions have figures of
their own, so that a region need not hold a copy of the rest.
"""

from woodlot.tree import inputs

__all__ = ["default", "default_range"]

TOPIC, REGIONAL = "defaults_deer", "defaults_deer_region"


def default(name: str, region: str = "base") -> float:
    """The value of a default by its name. Raises InputError when there is none."""
    return inputs.default(name, _topic(name, region), region)


def default_range(name: str, region: str = "base") -> tuple[float, float]:
    """Low and high of a default (NaN where none is given)."""
    row = inputs.records(_topic(name, region), "name", region=region)[name]
    return float(row["low"]), float(row["high"])


def _topic(name: str, region: str) -> str:
    return REGIONAL if name in inputs.records(REGIONAL, "name", region=region) else TOPIC

"""The chapter's chosen numbers (defaults_deer.csv), each with low, high, meaning and source."""

from woodlot.region import Region

__all__ = ["default", "default_range"]

TOPIC = "defaults_deer"


def default(name: str, region: Region) -> float:
    """The value of a default by its name. Raises InputError when there is none."""
    return region.figure(TOPIC, name)


def default_range(name: str, region: Region) -> tuple[float, float]:
    """Low and high of a default (NaN where none is given)."""
    return region.limits(TOPIC, name)

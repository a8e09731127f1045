"""Days of work: what a cord takes from stump to stack, at what distance from the road, and whose figure that is.

A family wants to know how many days of theirs a job takes, so that they do not begin what they cannot finish.

hours_per_cord  person-hours for a cord of stove wood, and for a cord left in logs
Pace            the hours a cord that days are told by, and whether they are the family's own
"""

from typing import NamedTuple

import numpy as np

from woodlot.region import Region

__all__ = ["Pace", "day_hours", "hours_per_cord", "pace"]


class Pace(NamedTuple):
    """Person-hours a cord; own: whether they come from the family's ledger and not from published figures."""

    hours_per_cord: float
    own: bool


def pace(own_hours_per_cord: float | None, *, region: Region) -> Pace:
    """The family's own pace where its ledger knows one that can be, else the published one."""
    if own_hours_per_cord is None or own_hours_per_cord < region.figure("labor", "least_own_hours_per_cord"):
        return Pace(region.figure("labor", "hours_per_cord"), False)
    return Pace(float(own_hours_per_cord), True)


def day_hours(region: Region) -> float:
    """Hours in a family's day in the woods."""
    return region.figure("labor", "day_hours")


def hours_per_cord(
    hours: float, road_ft: np.ndarray, times: np.ndarray | float = 1.0, *, region: Region
) -> tuple[np.ndarray, np.ndarray]:
    """Person-hours for a cord of stove wood and for a cord left in logs, by stand.

    Parameters
    ----------
    hours
        For a cord of stove wood at the usual way to the road, which its hauling is part of.
    road_ft
        Feet to the road or landing; missing where none is drawn: the usual way.
    times
        So many times as long on steep ground.
    region
        Whose figures are used.

    Notes
    -----
    hours + .000930 (ft - 529), the second part for logs too. Example: 8 hours, 700 ft: 8 + .000930 x 171 = 8.16.
    Source: labor.csv (a diary; farm tractors skidding fuelwood).
    """
    usual, slope = (region.figure("labor", name) for name in ("usual_ft", "hours_per_cord_ft"))
    far = slope * (np.where(np.isfinite(road_ft), road_ft, usual) - usual)
    logs = region.figure("labor", "log_hours_per_cord")
    return times * np.maximum(hours + far, 0.0), times * np.maximum(logs + far, 0.0)

"""Days of work: what a cord takes from stump to stack, at what distance from the road, and whose figure that is.

A family wants to know how many days of theirs a job takes, so that they do not begin what they cannot finish.

hours_per_cord  person-hours for a cord of stove wood, and for a cord left in logs
Pace            the hours a cord that days are told by, and whether they are the family's own
"""

from math import log
from typing import NamedTuple

import numpy as np

from woodlot.news import Known, learn, log_var
from woodlot.region import Region

__all__ = ["Pace", "day_hours", "hours_per_cord", "pace"]

#: Published hours, own hours that are too few, and how far a family's pace and a winter's notes of it may be off.
FIGURES = ("hours_per_cord", "least_own_hours_per_cord", "own_pace_cv", "noted_hours_cv")


class Pace(NamedTuple):
    """Person-hours a cord; own: whether the family's ledger has its part in them; noted, winters: hours a cord by the
    ledger, and in how many winters (None: none that can be); published: hours as published.
    """

    hours_per_cord: float
    own: bool
    noted: float | None = None
    winters: int = 0
    published: float | None = None


def pace(noted: tuple[float, int] | None, *, region: Region) -> Pace:
    """The published pace as the family's own notes teach it.

    noted: hours a cord by the ledger, and in how many winters both were noted (None: in none). Hours of a winter are
    noted to so much, of many winters the better; a pace further off than both errors allow is told and not used.

    Example: 6 hours a cord in one winter beside 8 published, errors .25 and .45: .753 of it is taken, 6.44 hours.
    """
    published, least, usual_cv, noted_cv = (region.figure("labor", name) for name in FIGURES)
    if noted is None or noted[0] < least:
        return Pace(published, False)
    hours, winters = noted
    known, news = Known(log_var(usual_cv)), log_var(noted_cv) / winters
    ratio = log(hours / published)
    if not known.believes(ratio, news):
        return Pace(published, False, hours, winters, published)
    return Pace(published * learn(known, ratio, news).times, True, hours, winters, published)


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

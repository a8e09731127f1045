"""Whose turn it is: the acres of each stand on which wood may be cut, and all that a cut of one place rests on.

to_work   the stands with their workable acres
Cutting   woods, ceilings, schedule and jobs of one place
"""

from dataclasses import dataclass
from typing import Any

import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.plan.ceilings import Yearly
from woodlot.plan.job import Job
from woodlot.plan.scheduled import Schedule
from woodlot.plan.woods import Woods
from woodlot.stand.layout import Measured
from woodlot.stand.seen_from_above import Seen

__all__ = ["Cutting", "to_work"]

#: Acres under this are not spoken of.
LEAST_AC = 0.05


@dataclass(frozen=True)
class Cutting:
    """The cut of one place: woods on the day asked, ceilings a year, when each stand is cut, and the jobs of this
    winter. The columns of the frames are named in ``Woods``, ``Yearly``, ``Schedule`` and ``Job``.
    """

    woods: Woods
    yearly: Yearly
    schedule: Schedule
    jobs: tuple[Job, ...]


def to_work(land: Measured, over: Seen) -> pd.DataFrame:
    """The stands for the cut: strips along water and steep ground are off their workable acres, once.

    Adds workable_ac, slope_pct, miles_from_home and left_out (Reason, None where nothing is); frozen_ground_only also
    where the ground is wet. What a strip must keep is not asked for besides: its acres are gone already.
    """
    stands = land.stands
    above = over.stands.set_index("stand_id").reindex(stands["stand_id"].astype(str))
    miles = land.parcels.set_index("parcel_id")["miles_from_home"]
    out = stands.assign(
        miles_from_home=stands["parcel_id"].map(miles).to_numpy(),
        workable_ac=above["workable_ac"].to_numpy(dtype=float),
        frozen_ground_only=above["wet"].to_numpy(dtype=bool),
        left_out=_left_out(stands, above, over.strips),
    )
    return out.assign(slope_pct=above["slope_pct"].to_numpy(dtype=float)) if "slope_pct" in above else out


def _left_out(stands: Any, above: pd.DataFrame, strips: Any) -> pd.Series:
    """Acres of each stand on which nothing is cut, and along which water; None where there are none."""
    acres = above[["strip_ac", "steep_ac"]].to_numpy(dtype=float).tolist()
    out: list[Reason | None] = []
    for (strip, steep), shape in zip(acres, stands.geometry, strict=True):
        waters = tuple(strips[strips.intersects(shape)]["name"].unique()) if strip >= LEAST_AC else ()
        steep = steep if steep >= LEAST_AC else 0.0
        some = waters or steep
        out.append(reason("left out", strip_ac=strip, waters=waters, steep_ac=steep) if some else None)
    return pd.Series(out, index=stands.index, dtype=object)

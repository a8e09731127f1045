"""Whose turn it is: the acres of each stand on which wood may be cut, and all that a cut of one place rests on.

to_work   the stands with their workable acres
Cutting   woods, ceilings, schedule and jobs of one place
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.land.water import strip_acres
from woodlot.land.wishes import ALL, Wishes
from woodlot.plan.ceilings import Yearly
from woodlot.plan.job import Job
from woodlot.plan.scheduled import Schedule
from woodlot.plan.woods import Woods
from woodlot.stand.layout import Measured
from woodlot.stand.seen_from_above import Seen
from woodlot.trade import SHUT

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


def to_work(land: Measured, over: Seen, wished: Wishes) -> pd.DataFrame:
    """The stands for the cut: strips along water, steep ground and what the family shut are off their workable acres,
    once.

    Adds workable_ac, slope_pct, miles_from_home and left_out (Reason, None where nothing is); wish and wish_until (of
    the wish that rules all of a stand, "" and None where none does), wishes (all of these, first the one that rules)
    and shut (Reason where a wish leaves no ground to work, else None); frozen_ground_only also where the ground is wet.
    What a strip must keep is not asked for besides: its acres are gone already.
    """
    stands = land.stands
    above = over.stands.set_index("stand_id").reindex(stands["stand_id"].astype(str))
    miles = land.parcels.set_index("parcel_id")["miles_from_home"]
    ids = stands["stand_id"].astype(str)
    ruling = wished.stands[wished.stands["rules"]]
    first = ruling.drop_duplicates("stand_id").set_index("stand_id").reindex(ids)
    every = ruling.groupby("stand_id")["wish"].agg(tuple)
    workable = above["workable_ac"].to_numpy(dtype=float)
    left = np.clip(workable - _shut_ac(stands, over, wished), 0.0, None)
    left = np.where((left < LEAST_AC) & (left < workable), 0.0, left)
    shut = dict(iter(wished.stands[wished.stands["wish"].isin(SHUT)].groupby("stand_id")))
    told = [_told(shut.get(stand)) for stand in ids]
    out = stands.assign(
        miles_from_home=stands["parcel_id"].map(miles).to_numpy(),
        workable_ac=left,
        frozen_ground_only=above["wet"].to_numpy(dtype=bool),
        left_out=_left_out(stands, above, over.strips, told),
        wish=first["wish"].fillna("").to_numpy(),
        wish_until=first["until"].astype(object).where(first["until"].notna(), None).to_numpy(),
        wishes=[every.get(stand, ()) for stand in ids],
        shut=[
            reason("shut by wish", wished=one) if one and not ac else None for one, ac in zip(told, left, strict=True)
        ],
    )
    return out.assign(slope_pct=above["slope_pct"].to_numpy(dtype=float)) if "slope_pct" in above else out


def _shut_ac(stands: Any, over: Seen, wished: Wishes) -> np.ndarray:
    """Workable acres of each stand on which the family wishes no cut."""
    from shapely import union_all

    shapes, whole = wished.shut(), wished.stands[wished.stands["wish"].isin(SHUT)].groupby("stand_id")["acres"].sum()
    gone = [frame.geometry.union_all() for frame in (over.strips, over.steep) if frame is not None and len(frame)]
    under = strip_acres(stands, shapes, union_all([wished.no_woods, *gone]))
    acres = stands["acres"].to_numpy(dtype=float)
    return np.where(whole.reindex(stands["stand_id"].astype(str)).fillna(0.0).to_numpy() >= ALL * acres, acres, under)


def _told(rows: pd.DataFrame | None) -> tuple[tuple[str, float, int | None], ...]:
    """Wish, acres and year of the rows under which nothing is cut."""
    if rows is None:
        return ()
    return tuple((wish, float(ac), until) for wish, ac, until in rows[["wish", "acres", "until"]].to_numpy().tolist())


def _left_out(stands: Any, above: pd.DataFrame, strips: Any, told: list[tuple]) -> pd.Series:
    """Acres of each stand on which nothing is cut, by which wish and along which water; None where there are none."""
    acres = above[["strip_ac", "steep_ac"]].to_numpy(dtype=float).tolist()
    out: list[Reason | None] = []
    for (strip, steep), shape, wished in zip(acres, stands.geometry, told, strict=True):
        waters = tuple(strips[strips.intersects(shape)]["name"].unique()) if strip >= LEAST_AC else ()
        steep = steep if steep >= LEAST_AC else 0.0
        facts: dict[str, Any] = {"strip_ac": strip, "waters": waters, "steep_ac": steep}
        facts |= {"wished": wished} if wished else {}
        out.append(reason("left out", **facts) if waters or steep or wished else None)
    return pd.Series(out, index=stands.index, dtype=object)

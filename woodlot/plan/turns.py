"""Whose turn it is: the acres of each stand on which wood may be cut, its winters in words, and this winter's job.

to_work         the stands with their workable acres
Cutting, turns  ceilings, schedule and jobs put together
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.plan.ceilings import Yearly
from woodlot.plan.scheduled import Scheduled
from woodlot.plan.woods import Woods
from woodlot.stand.layout import Measured
from woodlot.stand.seen_from_above import Seen
from woodlot.trade import NO_COVER

__all__ = ["Cutting", "to_work", "turns"]

#: Acres under this are not spoken of.
LEAST_AC = 0.05
BY_ANY_COVER = "Its cover is not known, so the rule for any other cover is used: write its cover first."


@dataclass(frozen=True)
class Cutting:
    """What was found for one place.

    woods: on the day asked; yearly: ceilings; schedule: when; jobs: of this winter; growing: one row a stand, that of
    the schedule with what is left out in its words.
    """

    woods: Woods
    yearly: Yearly
    schedule: Scheduled
    jobs: list[dict[str, Any]]
    growing: pd.DataFrame


def to_work(land: Measured, over: Seen) -> pd.DataFrame:
    """The stands for the cut: strips along water and steep ground are off their workable acres, once.

    Adds workable_ac, slope_pct, miles_from_home and left_out (words, "" where nothing is); frozen_ground_only also
    where the ground is wet. What a strip must keep is not asked for besides: its acres are gone already.
    """
    stands = land.stands
    told = over.stands.set_index("stand_id").reindex(stands["stand_id"].astype(str))
    miles = land.parcels.set_index("parcel_id")["miles_from_home"]
    out = stands.assign(
        miles_from_home=stands["parcel_id"].map(miles).to_numpy(),
        workable_ac=told["workable_ac"].to_numpy(dtype=float),
        frozen_ground_only=told["wet"].to_numpy(dtype=bool),
        left_out=_left_out(stands, over),
    )
    return out.assign(slope_pct=told["slope_pct"].to_numpy(dtype=float)) if "slope_pct" in told else out


def _left_out(stands: Any, over: Seen) -> list[str]:
    """Acres of each stand on which nothing is cut, in words, such as: 2.3 acres along Otter Lake are left out."""
    told = over.stands.set_index("stand_id")
    out = []
    for stand, shape in zip(stands["stand_id"].astype(str), stands.geometry, strict=True):
        strip, steep = float(told.loc[stand, "strip_ac"]), float(told.loc[stand, "steep_ac"])
        parts = []
        if strip >= LEAST_AC:
            near = over.strips[over.strips.intersects(shape)]["name"].replace("", "water").unique()
            parts.append(f"{strip:.1f} acres along {' and '.join(near)}")
        if steep >= LEAST_AC:
            parts.append(f"{steep:.1f} acres too steep for skidding")
        out.append(f"{' and '.join(parts)} are left out." if parts else "")
    return out


def turns(woods: Woods, ceilings: Yearly, stands: pd.DataFrame, when: Scheduled, todo: list[dict[str, Any]]) -> Cutting:
    """Schedule and jobs with the words of what is left out, and of the rule where a cover is not known.

    ``stands`` as ``to_work`` gives them; ``todo``: ``job.jobs``.
    """
    ids = stands["stand_id"].astype(str)
    left = dict(zip(ids, stands["left_out"], strict=True))
    may = ceilings.table["may"].to_numpy(dtype=bool)
    unknown = set(ids[(stands["cover"] == NO_COVER).to_numpy() & may])
    said = [_by_rule(s, w, unknown) for s, w in zip(ids, _with_left_out(when.growing, left, may), strict=True)]
    jobs = [one | {"words": f"{one['words']} {left[one['stand_id']]}".strip()} for one in todo]
    jobs = [one | {"words": _by_rule(one["stand_id"], one["words"], unknown)} for one in jobs]
    return Cutting(woods, ceilings, when, jobs, when.growing.assign(words=said))


def _with_left_out(growing: pd.DataFrame, left: dict[str, str], may: np.ndarray) -> list[str]:
    """The words of each stand, and which of its acres are left out, where some of it may be cut."""
    rows = zip(growing["stand_id"].astype(str), growing["words"], may, strict=True)
    return [f"{said} {left[stand]}".strip() if cut else said for stand, said, cut in rows]


def _by_rule(stand: str, said: str, unknown: set[str]) -> str:
    """The words of a stand with the rule of its cut, where its cover is not known."""
    first, over, rest = said.partition(" Over the years ")
    return f"{first} {BY_ANY_COVER}{over}{rest}" if stand in unknown else said

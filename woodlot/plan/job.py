"""The job of this year: in which stand, how many trees of which size and kind, what they give, when, and how far away.

Job, jobs      the work in each stand that is cut this winter
ft_from_road   how far each stand lies from the nearest road or landing
months         when to work in a stand
"""

from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.plan import cautions
from woodlot.plan.after_cut import after_cut
from woodlot.plan.ceilings import Yearly
from woodlot.plan.scheduled import Schedule
from woodlot.plan.woods import Woods, marking_of
from woodlot.region import Region
from woodlot.stand.marking_guide import JobMarking, trees_kept
from woodlot.trade import LEAVE_DEAD, ROADS, SUGARBUSH

__all__ = ["Job", "ft_from_road", "jobs", "months"]

#: Fewer trees than this of a kind and size on the acres worked are not listed.
LEAST_TREES = 0.05
AMOUNTS = ("acres", "cords", "stove_cords", "heat_mmbtu", "bdft", "days", "hours")


@dataclass(frozen=True)
class Job:
    """The work of this winter in one stand.

    cords: of stems, logs with them; stove_cords, heat_mmbtu: what the stove gets of them and of limbs; bdft: logs for
    the pile; winters, job_acres: of the job that this winter is part of; trees: frame of species, class_in, now, cut,
    leave (numbers on those acres), words ("take 2 of 5") and why, largest first; marking: the order of removal, what
    stands apart, what to free and to keep; keep: what stays whatever is cut; after: what comes after; months,
    months_why: of job_months.csv, as the region words them; left_out, any_cover: as in ``Schedule``.
    """

    stand_id: str
    acres: float
    cords: float
    stove_cords: float
    heat_mmbtu: float
    bdft: float
    days: float
    hours: float
    winters: int
    job_acres: float
    way: str
    leave_sqft_per_ac: float | None
    leave_seen: str
    trees: pd.DataFrame
    marking: JobMarking
    keep: tuple[Reason, ...]
    months: str
    months_why: str
    after: tuple[Reason, ...]
    cautions: tuple[Reason, ...]
    miles_from_home: float | None
    ft_from_road: float | None
    left_out: Reason | None
    any_cover: bool


def ft_from_road(stands: Any, features: Any) -> pd.Series:
    """Feet from the edge of each stand to the nearest road or landing drawn, by stand_id; missing where none is."""
    from woodlot.land.parcels import local_ft

    ids = stands["stand_id"].astype(str)
    ways = features[features["kind"].isin(ROADS)] if len(features) else features
    if not len(ways):
        return pd.Series(np.nan, index=ids)
    both = pd.concat([stands[["geometry"]], ways[["geometry"]]], ignore_index=True)
    flat = local_ft(both.geometry)
    ground, roads = flat.iloc[: len(stands)], flat.iloc[len(stands) :]
    return pd.Series(ground.distance(roads.union_all()).to_numpy(), index=ids)


def jobs(
    woods: Woods,
    yearly: Yearly,
    schedule: Schedule,
    stands: pd.DataFrame,
    trees: pd.DataFrame,
    road_ft: pd.Series,
    *,
    region: Region,
) -> tuple[Job, ...]:
    """What is to be done this winter, stand by stand, the largest first; nothing in a plan by longer periods.

    Parameters
    ----------
    woods, yearly, schedule
        ``woods_today.bring_forward``, ``ceilings.yearly_cut``, ``scheduled.scheduled``.
    stands
        ``turns.to_work``.
    trees
        Tallied trees (stand_id, species, alive): what to mind depends on them.
    road_ft
        ``ft_from_road``.
    region
        Region whose tables are used.
    """
    if schedule.step_yr != 1:
        return ()
    frozen = stands.set_index("stand_id")["frozen_ground_only"]
    miles = stands.set_index("stand_id")["miles_from_home"].astype(float)
    growing, wishes = schedule.growing.set_index("stand_id"), stands.set_index("stand_id")["wishes"]
    out = []
    now = schedule.entries.loc[schedule.entries["period"] == 0, ["stand_id", *AMOUNTS]]
    begun = schedule.works[schedule.works["first_winter"] == schedule.start].set_index("stand_id")
    for stand, *amounts in now.to_numpy().tolist():
        k = woods.stands["stand_id"].tolist().index(stand)
        row, here = yearly.table.iloc[k], trees[trees["stand_id"] == stand]
        how = _marking(woods, k, row, amounts[0], region=region)
        months_of, months_why = months(here, bool(frozen[stand]), row["way"], wishes[stand], region)
        minding = cautions.of_stand(here, bool(frozen[stand]), miles[stand], region, wishes[stand])
        out.append(
            Job(
                stand_id=stand,
                **dict(zip(AMOUNTS, amounts, strict=True)),
                winters=int(begun["winters"][stand]),
                job_acres=float(begun["acres"][stand]),
                way=row["way"],
                leave_sqft_per_ac=_or_none(row["leave_sqft_per_ac"]),
                leave_seen=row["leave_seen"],
                trees=how.trees,
                marking=how,
                keep=_kept(row["way"], wishes[stand], region),
                months=months_of,
                months_why=months_why,
                after=after_cut(str(row["cover"]), str(row["way"]), region),
                cautions=(*minding, *(cautions.caution(key, region) for key in ("felling", "gear", "line"))),
                miles_from_home=_or_none(miles[stand]),
                ft_from_road=_or_none(road_ft[stand]),
                left_out=growing["left_out"][stand],
                any_cover=bool(growing["any_cover"][stand]),
            )
        )
    return tuple(out)


def _or_none(value: float) -> float | None:
    return None if np.isnan(value) else float(value)


def _marking(woods: Woods, k: int, row: pd.Series, acres: float, *, region: Region) -> JobMarking:
    """How the acres that are worked are marked; kinds and sizes of which next to nothing stands there are left out."""
    leave = None if row["way"] == "patches" else float(row["leave_sqft_per_ac"])
    how = marking_of(woods, k, str(row["cover"]), leave, acres, region=region)
    trees = how.trees[how.trees["now"] >= LEAST_TREES].reset_index(drop=True)
    return replace(how, trees=trees, removal=how.removal[how.removal["trees"] >= LEAST_TREES].reset_index(drop=True))


def _kept(way: str, wishes: Collection[str], region: Region) -> tuple[Reason, ...]:
    """What stays whatever is cut: by the rule of a thinning, and by wish."""
    by_rule = trees_kept(region=region) if way == "thin" else ()
    return (*by_rule, *(reason("kept by wish", wish=one) for one in wishes if one in (SUGARBUSH, LEAVE_DEAD)))


def months(here: pd.DataFrame, frozen: bool, way: str, wishes: Collection[str], region: Region) -> tuple[str, str]:
    """When to work in a stand with these trees (species), and why then."""
    oak = region.species.within(here["species"], "oak").any()
    when = "frozen" if frozen else "oak" if oak and way == "thin" else "patches" if way == "patches" else "any"
    if SUGARBUSH in wishes:  # its months lie within those of any ground and of oak
        when = "sugarbush frozen" if frozen else "sugarbush"
    months, why = region.table("job_months").set_index("when").loc[when, ["months", "why"]]
    return str(months), why if isinstance(why, str) else ""

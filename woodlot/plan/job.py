"""The job of this year: in which stand, how many trees of which size and kind, what they give, when, and how far away.

Job, jobs      the work in each stand that is cut this winter
ft_from_road   how far each stand lies from the nearest road or landing
"""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.plan import cautions
from woodlot.plan.ceilings import Yearly
from woodlot.plan.scheduled import Schedule
from woodlot.plan.woods import Woods, guide_of
from woodlot.region import Region
from woodlot.stand import grow, marking
from woodlot.trade import LEAVE_DEAD, ROADS, SUGARBUSH

__all__ = ["Job", "ft_from_road", "jobs"]

#: Fewer trees than this of a kind and size on the acres worked are not listed.
LEAST_TREES = 0.05


@dataclass(frozen=True)
class Job:
    """The work of this winter in one stand.

    trees: frame of species, class_in, now, cut, leave (numbers on those acres) and words ("take 2 of 5"), largest
    first; keep: what stays whatever is cut; months, months_why: of job_months.csv, as the region words them; left_out,
    any_cover: as in ``Schedule``.
    """

    stand_id: str
    acres: float
    cords: float
    bdft: float
    days: float
    way: str
    leave_sqft_per_ac: float | None
    leave_seen: str
    trees: pd.DataFrame
    keep: tuple[Reason, ...]
    months: str
    months_why: str
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
    now = schedule.entries.loc[schedule.entries["period"] == 0, ["stand_id", "acres", "cords", "bdft", "days"]]
    for stand, acres, cords, bdft, days in now.to_numpy().tolist():
        k = woods.stands["stand_id"].tolist().index(stand)
        row, here = yearly.table.iloc[k], trees[trees["stand_id"] == stand]
        months, months_why = _months(here, bool(frozen[stand]), row["way"], wishes[stand], region)
        minding = cautions.of_stand(here, bool(frozen[stand]), miles[stand], region, wishes[stand])
        out.append(
            Job(
                stand_id=stand,
                acres=acres,
                cords=cords,
                bdft=bdft,
                days=days,
                way=row["way"],
                leave_sqft_per_ac=_or_none(row["leave_sqft_per_ac"]),
                leave_seen=row["leave_seen"],
                trees=_guide(woods, k, row, acres, region=region),
                keep=_kept(row["way"], wishes[stand], region),
                months=months,
                months_why=months_why,
                cautions=(*minding, cautions.caution("felling", region), cautions.caution("line", region)),
                miles_from_home=_or_none(miles[stand]),
                ft_from_road=_or_none(road_ft[stand]),
                left_out=growing["left_out"][stand],
                any_cover=bool(growing["any_cover"][stand]),
            )
        )
    return tuple(out)


def _or_none(value: float) -> float | None:
    return None if np.isnan(value) else float(value)


def _guide(woods: Woods, k: int, row: pd.Series, acres: float, *, region: Region) -> pd.DataFrame:
    """Trees now, to cut and to leave on the acres that are worked, by species and class."""
    if row["way"] == "patches":
        n = woods.trees[:, :, k]
        s, c = np.nonzero(n > 0)
        out = pd.DataFrame(
            {"species": np.array(woods.species, dtype=object)[s], "class_in": grow.classes(region=region)[c]}
        )
        out["now"] = out["cut"] = n[s, c]
        out["leave"], out["words"] = 0.0, "take all"
    else:
        out = guide_of(woods, k, str(row["cover"]), float(row["leave_sqft_per_ac"]), region=region)
    out = out[["species", "class_in", "now", "cut", "leave", "words"]].copy()
    out[["now", "cut", "leave"]] *= acres
    return out[out["now"] >= LEAST_TREES].reset_index(drop=True)


def _kept(way: str, wishes: Collection[str], region: Region) -> tuple[Reason, ...]:
    """What stays whatever is cut: by the rule of a thinning, and by wish."""
    by_rule = marking.trees_kept(region=region) if way == "thin" else ()
    return (*by_rule, *(reason("kept by wish", wish=one) for one in wishes if one in (SUGARBUSH, LEAVE_DEAD)))


def _months(here: pd.DataFrame, frozen: bool, way: str, wishes: Collection[str], region: Region) -> tuple[str, str]:
    oak = region.species.within(here["species"], "oak").any()
    when = "frozen" if frozen else "oak" if oak and way == "thin" else "patches" if way == "patches" else "any"
    if SUGARBUSH in wishes:  # its months lie within those of any ground and of oak
        when = "sugarbush frozen" if frozen else "sugarbush"
    months, why = region.table("job_months").set_index("when").loc[when, ["months", "why"]]
    return str(months), why if isinstance(why, str) else ""

"""One list of this winter's work: trees of the tally that fall, salvage, the stands that the schedule cuts, in order.

Task, of_tally, of_jobs    one thing to do; those of the tally, by stand; those of the schedule
taken                      what the tally's trees leave the schedule less to do
Want, WinterList           what is wanted beside what it gets; all of it
wants_met                  what each line gets from tally and jobs
winter_list                the list

A family wants to know on one page what to do first and what for. Trees on ground to be cleared come first, because that
wood falls anyway; then the marked trees that the house needs, which somebody has walked up to already; then stands that
are dying, whose wood is worth less each summer; then what the schedule cuts. Within each the way from the road decides,
the shortest first.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import Reason
from woodlot.plan import cautions, job, labor
from woodlot.plan.job import Job
from woodlot.plan.labor import Pace
from woodlot.plan.schedule_findings import FIREWOOD
from woodlot.plan.scheduled import Schedule, Taken
from woodlot.region import Region
from woodlot.trade import PIECES, SIZED
from woodlot.wood.account import Account
from woodlot.wood.felling import Felling
from woodlot.wood.need_lines import Line
from woodlot.wood.needs import Chosen

__all__ = ["KINDS", "Task", "Want", "WinterList", "of_jobs", "of_tally", "taken", "wants_met", "winter_list"]

#: Kinds of work in the order of the list: cleared ground, marked trees, dying stands, the schedule.
KINDS = ("clear", "fell", "salvage", "cut")
#: Parts of a tree whose wood counts as the schedule counts cords.
STEM_PARTS = ("sawlog", "pole", "post", "bolt", "firewood from stems", "stem wood for chips")


@dataclass(frozen=True)
class Task:
    """One thing to do this winter in one stand ("" where its trees name none).

    kind: one of ``KINDS``; trees: to fell by hand (numbers as painted in tree_names, none for a job of the schedule);
    not_by_hand: trees of the ground to be cleared that are not among them; cords: wood of the stems; firewood_cords,
    heat_mmbtu (gross at 20 percent water; None where it is not known): what goes to the stove; bdft: in logs; gives:
    amount by name of what is wanted; acres, way, leave_sqft_per_ac,
    left_out, any_cover: as of a job (None and "" for a tally).
    """

    kind: str
    stand_id: str
    parcel_id: str
    trees: float
    tree_names: tuple[str, ...]
    not_by_hand: int
    cords: float
    firewood_cords: float
    heat_mmbtu: float | None
    bdft: float
    days: float
    gives: Mapping[str, float]
    acres: float | None
    way: str
    leave_sqft_per_ac: float | None
    ft_from_road: float | None
    miles_from_home: float | None
    months: str
    cautions: tuple[Reason, ...]
    left_out: Reason | None = None
    any_cover: bool = False


@dataclass(frozen=True)
class Want:
    """Something wanted this winter: its number, what the tally's trees and the jobs of the schedule give of it."""

    name: str
    unit: str
    wanted: float
    from_tally: float
    from_jobs: float

    @property
    def short(self) -> float:
        """What is missing; nothing where a hundredth is."""
        left = self.wanted - self.from_tally - self.from_jobs
        return left if left > 0.01 * self.wanted else 0.0


@dataclass(frozen=True)
class WinterList:
    """Tasks in their order, what is wanted, days the family has (None: not told), trees of the tally that stay.

    losing: stands whose wood will not keep, in which nothing is to be cut.
    """

    tasks: tuple[Task, ...]
    wants: tuple[Want, ...]
    days_have: float | None
    tallied: int
    marked: int
    losing: tuple[str, ...] = ()


def of_tally(
    felling: Felling,
    called: Sequence[str],
    stands: pd.DataFrame,
    road_ft: pd.Series,
    solid: float,
    pace: Pace,
    *,
    region: Region,
) -> tuple[Task, ...]:
    """The trees of the tally that fall, one task a stand, cleared ground apart from marked trees.

    Parameters
    ----------
    felling
        ``wood.felling.felling``.
    called
        What a plan calls its lines (``wanted.called``).
    stands
        ``turns.to_work``.
    road_ft
        ``job.ft_from_road``.
    solid
        Cubic feet of wood in a cord.
    pace
        Hours a cord by which the schedule reckons days (``labor.pace``).
    region
        Region whose tables are used.
    """
    if felling.chosen is None or felling.account is None or not len(felling.fell):
        return ()
    trees = felling.trees.iloc[felling.fell]
    trees = trees.assign(
        stand_id=trees["stand_id"].fillna("").astype(str),
        parcel_id=trees["parcel_id"].fillna("").astype(str),
        alive=trees["alive"].fillna(True).astype(bool),
    )
    hand = trees.index[trees["why"] == ""]
    amounts = _amounts(felling.account, felling.chosen, trees, solid, region=region).loc[hand]
    amounts = amounts.join(_gives(felling.chosen, trees.loc[hand], amounts["firewood_cords"], called))
    known = {str(row["stand_id"]): row for row in stands.drop(columns="geometry", errors="ignore").to_dict("records")}
    out = []
    parcel_of = trees["parcel_id"].where(trees["stand_id"] == "", "")  # trees of no stand go by their parcel
    for _, rows in trees.groupby([trees["cleared"], trees["stand_id"], parcel_of], sort=True):
        stand, mine = str(rows["stand_id"].iloc[0]), rows.index.intersection(hand)
        ground, sums = known.get(stand, {}), amounts.loc[mine].sum()
        frozen, miles = bool(ground.get("frozen_ground_only", False)), _or_none(ground.get("miles_from_home"))
        road = road_ft.get(stand, np.nan)
        hours, log_hours = labor.hours_per_cord(pace.hours_per_cord, np.array([road], dtype=float), region=region)
        logs, stems = float(sums["piece_cords"]), float(sums["cords"] - sums["piece_cords"])
        parcel = str(ground.get("parcel_id") or rows["parcel_id"].iloc[0])
        minding = cautions.of_stand(rows, frozen, miles, region, ground.get("wishes", ()))
        out.append(
            Task(
                kind="clear" if rows["cleared"].iloc[0] else "fell",
                stand_id=stand,
                parcel_id=parcel,
                trees=float(len(mine)),
                tree_names=tuple(_painted(rows.loc[mine])),
                not_by_hand=len(rows) - len(mine),
                cords=float(sums["cords"]),
                firewood_cords=float(sums["firewood_cords"]),
                heat_mmbtu=float(sums["heat_mmbtu"]),
                bdft=float(sums["bdft"]),
                days=float(stems * hours[0] + logs * log_hours[0]) / labor.day_hours(region),
                gives={name: float(sums[name]) for name in called},
                acres=None,
                way="",
                leave_sqft_per_ac=None,
                ft_from_road=_or_none(road),
                miles_from_home=miles,
                months=job.months(rows, frozen, "thin", ground.get("wishes", ()), region)[0],
                cautions=(*minding, *(cautions.caution(key, region) for key in ("felling", "gear", "line"))),
            )
        )
    return tuple(out)


def _painted(trees: pd.DataFrame) -> list[str]:
    """Numbers painted on trees; where there is none, the row of the tally."""
    rows = (trees["position"] + 1).astype(str)
    return trees["tree"].fillna(rows).astype(str).tolist()


def _or_none(value: Any) -> float | None:
    return None if value is None or np.isnan(value) else float(value)


def _amounts(made: Account, chosen: Chosen, trees: pd.DataFrame, solid: float, *, region: Region) -> pd.DataFrame:
    """Cords of stem and those in pieces, cords and heat for the stove, and board feet of each tree that falls."""
    wide = made.parts.pivot_table(index="stem", columns="part", values="cuft", aggfunc="sum")
    wide = wide.reindex(range(len(trees))).fillna(0.0).set_index(trees.index)
    of_stove = {"firewood from stems": 1.0, "firewood from limbs": region.figure("defaults_needs", "limb_part")}
    stem, piece, stove = (
        pd.Series(sum(wide.get(part, 0.0) * share for part, share in parts.items()), index=trees.index) / solid
        for parts in (dict.fromkeys(STEM_PARTS, 1.0), dict.fromkeys(PIECES, 1.0), of_stove)
    )
    heat = chosen.heat_mmbtu.reindex(trees.index).fillna(0.0)
    logs = chosen.pieces.groupby("stem")["bdft"].sum().reindex(trees.index, fill_value=0.0)
    return pd.DataFrame(
        {"cords": stem, "piece_cords": piece, "firewood_cords": stove, "heat_mmbtu": heat, "bdft": logs}
    )


def _gives(chosen: Chosen, trees: pd.DataFrame, stove: pd.Series, called: Sequence[str]) -> pd.DataFrame:
    """What each tree gives to each line, by position: pieces, board feet, its share of what is loose."""
    chips = trees["wood_cuft"].where(trees["chipped"], 0.0)
    out: dict[str, Any] = {}
    for at, (name, line, got) in enumerate(zip(called, chosen.asked, chosen.lines["got"].tolist(), strict=True)):
        if line.product in SIZED:
            mine = chosen.pieces[chosen.pieces["line"] == at].groupby("stem")
            each = (mine["bdft"].sum() if line.unit == "board feet" else mine.size()).reindex(trees.index, fill_value=0)
        else:
            by = stove if line.product == FIREWOOD else chips
            by = by if by.sum() > 0 else trees["wood_cuft"]
            each = got * by / by.sum()
        out[name] = out.get(name, 0.0) + each.astype(float)
    return pd.DataFrame(out, index=trees.index)


def taken(tasks: Sequence[Task], wood_cords: float, felling: Felling) -> Taken:
    """What the first winter has already: cords of wood felled by the ledger, and what the tally gives.

    A line of firewood that the tally meets, near enough in heat, is met.
    """
    gives: dict[str, float] = {}
    for task in tasks:
        for name, number in task.gives.items():
            gives[name] = gives.get(name, 0.0) + number
    stove = gives.pop(FIREWOOD, 0.0)
    return Taken(
        firewood_cords=stove,
        firewood_mmbtu=float(sum(task.heat_mmbtu or 0.0 for task in tasks)) + _heat_let_go(felling),
        wood_cords=wood_cords + float(sum(task.cords for task in tasks)),
        days=float(sum(task.days for task in tasks)),
        pieces=gives,
    )


def _heat_let_go(felling: Felling) -> float:
    """Million Btu that lines of firewood lack and are met without."""
    if felling.chosen is None:
        return 0.0
    rows = felling.chosen.lines
    met = rows[(rows["short"] <= 0) & rows["mmbtu_wanted"].notna()]
    return float((met["mmbtu_wanted"] - met["mmbtu_got"]).clip(lower=0.0).sum())


def of_jobs(
    jobs: Sequence[Job], schedule: Schedule, dying: Sequence[str], wanted: Sequence[str], *, parcels: Mapping[str, str]
) -> tuple[Task, ...]:
    """The jobs of the schedule as tasks, the first period's pieces shared among them by their cords.

    dying: stands whose wood will not keep; wanted: names of what is wanted; parcels: of each stand.
    """
    if not jobs or schedule.solution is None:
        return ()
    all_cords, now = sum(one.cords for one in jobs), schedule.periods.iloc[0]
    made = {name: float(now[name]) for name in wanted if name in now and name != FIREWOOD}
    out = []
    for one in jobs:
        share = one.cords / all_cords
        out.append(
            Task(
                kind="salvage" if one.stand_id in dying else "cut",
                stand_id=one.stand_id,
                parcel_id=parcels.get(one.stand_id, ""),
                trees=float(one.trees["cut"].sum()),
                tree_names=(),
                not_by_hand=0,
                cords=one.cords,
                firewood_cords=one.stove_cords,
                heat_mmbtu=one.heat_mmbtu,
                bdft=one.bdft,
                days=one.days,
                gives={name: number * share for name, number in made.items()}
                | ({FIREWOOD: one.stove_cords} if FIREWOOD in wanted else {}),
                acres=one.acres,
                way=one.way,
                leave_sqft_per_ac=one.leave_sqft_per_ac if one.way == "thin" else None,
                ft_from_road=one.ft_from_road,
                miles_from_home=one.miles_from_home,
                months=one.months,
                cautions=one.cautions,
                left_out=one.left_out,
                any_cover=one.any_cover,
            )
        )
    return tuple(out)


def wants_met(felling: Felling, called: Sequence[str], jobs: Sequence[Task] = ()) -> tuple[Want, ...]:
    """Each line with what the trees of the tally and the jobs give of it; called: names of the lines;
    those of one name are one.
    """
    out: dict[str, Want] = {}
    for name, line, tally in zip(called, felling.asked, _got(felling, len(called)), strict=True):
        before = out.get(name, Want(name, line.unit, 0.0, 0.0, _from_jobs(name, line, jobs)))
        out[name] = replace(before, wanted=before.wanted + line.number, from_tally=before.from_tally + tally)
    return tuple(out.values())


def _got(felling: Felling, lines: int) -> list[float]:
    """What the tally gives of each line, firewood by its heat; of a line that is met near enough all of it."""
    if felling.chosen is None:
        return [0.0] * lines
    rows = felling.chosen.lines
    by_heat = rows["wanted"] * rows["mmbtu_got"] / rows["mmbtu_wanted"].where(rows["mmbtu_wanted"] > 0)
    got = by_heat.fillna(rows["got"])
    return got.where(rows["short"] > 0, np.maximum(got, rows["wanted"])).astype(float).tolist()


def _from_jobs(name: str, line: Line, jobs: Sequence[Task]) -> float:
    """What jobs give of a line; firewood in cords of the wood that was asked for, by its heat."""
    if name == FIREWOOD and line.mmbtu > 0:
        return float(sum(task.heat_mmbtu or 0.0 for task in jobs)) * line.number / line.mmbtu
    return float(sum(task.gives.get(name, 0.0) for task in jobs))


def winter_list(
    tally: Sequence[Task],
    jobs: Sequence[Task],
    called: Sequence[str],
    days_have: float | None,
    felling: Felling,
    losing: Sequence[str] = (),
) -> WinterList:
    """Tasks of tally and schedule in one order, and what is wanted beside what they give.

    called: names of lines; losing: stands whose wood will not keep, in which no plan cuts.
    """
    tasks = sorted((*tally, *jobs), key=_order)
    stay = int((~felling.trees["fell"] & (felling.trees["why"] == "")).sum())
    wants = wants_met(felling, called, jobs)
    return WinterList(tuple(tasks), wants, days_have, len(felling.trees), stay, tuple(losing))


def _order(task: Task) -> tuple[int, float, float, str, str]:
    """By kind, then the shortest way from the road (jobs of the schedule: the largest first), then by stand."""
    road = np.inf if task.ft_from_road is None else task.ft_from_road
    return (KINDS.index(task.kind), road, -task.cords, task.stand_id, task.parcel_id)

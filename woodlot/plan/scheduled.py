"""The schedule of a place: when each stand is cut over the next years, and what the woods look like if it is done.

A family wants its stove wood each winter from as little ground and as few days as will do, near and soon where trees
die; logs that come with it go to the pile. Nothing asked is nothing cut.

scheduled     the whole answer
Taken         what the first winter has already
Schedule      what it holds
neighbors_of  stands that share an edge
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.plan import labor, works
from woodlot.plan import stand_entries as ways_of
from woodlot.plan.ceilings import PATCH, Yearly
from woodlot.plan.labor import Pace
from woodlot.plan.pieces import Pieces
from woodlot.plan.schedule import Limits, Row, Solution, solve
from woodlot.plan.schedule_findings import FIREWOOD, findings, why_not
from woodlot.plan.schedule_trials import TRIED, in_the_way
from woodlot.plan.wanted import less_made
from woodlot.plan.woods import Woods, chosen, run
from woodlot.region import Region
from woodlot.trade import NO_COVER

__all__ = ["Schedule", "Taken", "neighbors_of", "scheduled"]

FOLLOWS = ["at", "first", "acres", "cords", "days"]
ENTRY = ["acres", "cords", "stove_cords", "bdft", "days", "heat_mmbtu", "hours", "trees"]


@dataclass(frozen=True)
class Taken:
    """What the first winter has already, from the ledger and from trees of the tally that fall in it.

    firewood_cords, firewood_mmbtu: off its need; wood_cords: all wood, off its ceiling; days: off its days of work;
    pieces: of each product wanted by name, off what is wanted of it.
    """

    firewood_cords: float = 0.0
    firewood_mmbtu: float = 0.0
    wood_cords: float = 0.0
    days: float = 0.0
    pieces: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Schedule:
    """When each stand is cut.

    start, step_yr: the year in which the first winter begins, and years in a period. Frames: growing, one row a stand:
    stand_id, parcel_id, cover, way, may (be cut), growth (of the whole stand), cut_ac (acres that may be worked),
    ceiling_cords_per_yr, basal_sqft_per_ac, leave_sqft_per_ac, leave_seen, patch_least_ac, patch_most_ac, salvage
    (yes/no: no less dies there than else an entry takes), why (Reason of its ceiling), why_not (Reason, where it may be
    cut and the plan does not), left_out
    (Reason, or None where no acre is), any_cover (whether it is cut by the rule for any cover, its own not being
    known), this_winter, this_winter_cords, this_winter_stove_cords, this_winter_ac, next_year (in which its next entry
    begins, or None); entries, one row an entry: stand_id, period, acres, cords (of stems, logs with them), stove_cords
    (of them and of limbs, what the stove gets), bdft (logs for the pile), days, heat_mmbtu (of the stove wood), hours,
    trees; works, one row a job (``plan.works``); periods, one row each: period, cords, beside_cords (of them, what is
    outside the yearly cut), stove_cords, heat_mmbtu, bdft, days, short, young_ac, end_cords, and for each other product
    wanted its pieces and, as <product>_short, what is missing of them; stock: year, cords standing. uncut: these cords
    if nothing is cut; pace: hours a cord that days are told by; mmbtu_per_cord: of the stove wood that may be cut;
    solution: of the solver; findings: what is met, what is not and why; follows: each way that is given acres: at
    (position of its stand), first (period of its first entry, -1: none), acres, and cords and days of all its entries
    [per ac].
    """

    start: int
    step_yr: int
    growing: pd.DataFrame
    entries: pd.DataFrame
    works: pd.DataFrame
    periods: pd.DataFrame
    stock: pd.DataFrame
    uncut: np.ndarray
    pace: Pace
    mmbtu_per_cord: float | None
    solution: Solution | None
    findings: tuple[Reason, ...]
    follows: pd.DataFrame

    @property
    def stopped(self) -> bool:
        """Whether the search ended at its limit."""
        return self.solution is not None and self.solution.status == "node limit"


def neighbors_of(stands: Any) -> list[tuple[str, str]]:
    """Pairs of stands that share an edge (``land.parcels.contacts``)."""
    from woodlot.land.parcels import contacts

    frame = stands[["stand_id", "geometry"]].rename(columns={"stand_id": "parcel_id"})
    frame = frame.assign(name=frame["parcel_id"])
    if not len(frame):
        return []
    pairs = contacts(frame)
    pairs = pairs[pairs["kind"] == "edge"]
    return list(zip(pairs["parcel_a"].astype(str), pairs["parcel_b"].astype(str), strict=True))


def scheduled(
    woods: Woods,
    yearly: Yearly,
    stands: pd.DataFrame,
    start: int,
    *,
    stove: Mapping[str, np.ndarray],
    need_cords: Any = None,
    need_mmbtu: Any = None,
    pieces: Pieces | None = None,
    wanted: Mapping[str, Any] | None = None,
    ahead: Mapping[str, np.ndarray] | None = None,
    taken: Taken | None = None,
    days_per_yr: float | None = None,
    pace: Pace | None = None,
    years: int = 10,
    step: int = 1,
    neighbors: Sequence[tuple[str, str]] = (),
    cut_more: bool = False,
    explained: bool = True,
    region: Region,
    seed: int = 1,
) -> Schedule:
    """A schedule over 10 to 60 years within what may be cut, what is needed and what can be done.

    Parameters
    ----------
    woods, yearly
        ``woods_today.bring_forward`` and ``ceilings.yearly_cut``.
    stands
        As for ``stand_entries.ways``; left_out too where ``turns.to_work`` gives it.
    start
        Year in which the first winter begins.
    stove
        What trees give the stove (``stove_wood.by_class``).
    need_cords, need_mmbtu
        Stove wood wanted each year in cords, or in heat [million Btu gross], which goes before cords; or what is due in
        each period; None for no need.
    pieces, wanted, ahead
        What trees give of other products (``plan.pieces``); pieces of each that are wanted a year, or due in each
        period, and that may be made before (``plan.wanted``); None for none.
    taken
        What the first winter has already.
    days_per_yr
        Days of work of one person that can be given each year; None for no limit.
    pace
        The family's own hours a cord; None for the published ones.
    years, step
        Length of the plan and of a period [yr].
    neighbors
        Pairs of stand_id that share an edge.
    cut_more
        Whether to use all that may be cut and worked; else no more is cut than is needed, where a need is given.
    explained
        Whether to look for what is in the way of what is wanted; else nothing is said of it.
    region, seed
        Region, and seed of the random part of the solver.

    Returns
    -------
    ``Schedule``. The cut of a period is never over the ceiling that the ranges allow; the stock never under 85 % of
    the start and at the end not under it, or what the yearly cut and trees that are lost anyway leave;
    what cannot be met is among the findings. Where nothing is asked nothing is cut, unless ``cut_more``.
    """
    table = yearly.table.reset_index(drop=True)
    table["left_out"] = stands["left_out"].to_numpy() if "left_out" in stands else None
    pace, periods, taken = pace or labor.pace(None, region=region), years // step, taken or Taken()
    asked: dict[str, np.ndarray] = {}
    soon: dict[str, np.ndarray] = {}
    for name, number in (wanted or {}).items():
        due, early = _per_period(number, periods, step), (ahead or {}).get(name, np.zeros(periods))
        left, early = less_made(due, early, taken.pieces.get(name, 0.0))
        if pieces is not None and name in pieces.per_tree and left.any():
            asked[name], soon[name] = left, early
    needed = need_cords if need_mmbtu is None else need_mmbtu
    no_heat = needed is None or not np.any(needed)
    if not (table["may"].any() or yearly.limit > 0):
        return _nothing(woods, table, start, years, step, pace, reason("nothing due"), region=region)
    if no_heat and not asked and not cut_more:
        goes = tuple(table.loc[_mostly_dying(table), "stand_id"].astype(str))
        why = reason("nothing asked", cords=yearly.limit, salvage=goes)
        return _nothing(woods, table, start, years, step, pace, why, region=region)
    ways = ways_of.ways(
        woods,
        yearly,
        stands,
        start,
        years,
        step,
        not cut_more,
        pieces,
        stove=stove,
        pace=pace,
        in_heat=need_mmbtu is not None,
        region=region,
    )
    there, unit = (taken.firewood_cords, 1.0) if need_mmbtu is None else (taken.firewood_mmbtu, ways.mix)
    wholly = np.zeros(periods) if no_heat else _per_period(needed, periods, step) / unit
    need, _ = less_made(wholly, np.zeros(periods), there / unit)
    least = chosen("least_entry_cords", region)
    if there > 0 and periods > 1 and need[0] < least:  # not worth going there: left to the next period
        need = np.r_[0.0, need[0] + need[1], need[2:]]
    a_year = float(np.median(wholly)) / step
    limits = Limits(
        need=None if no_heat else need,
        # what the least entry gives may be kept over where less is needed
        carry_most=max(chosen("kept_over_share", region) * a_year, least),
        wanted=asked,
        ahead=soon,
        carry_share=chosen("kept_over_share", region) / step,
        wood_in={} if pieces is None else pieces.cords_each,
        cut_most=_less_taken(yearly.limit, periods, step, taken.wood_cords),
        seed=seed,
        **_of_the_ground(ways, yearly, neighbors, days_per_yr, taken, periods, region),
    )
    solution = solve(ways.prescriptions, limits)
    entries = _entries(ways, solution)
    whole = solution.acres @ ways.stock + ways.left_out
    stock = pd.DataFrame({"year": start + np.arange(years + 1), "cords": whole})
    told = pd.DataFrame({"period": np.arange(periods), "cords": solution.cut})
    told["stove_cords"], told["heat_mmbtu"] = solution.acres @ ways.stove, solution.acres @ ways.heat
    told["beside_cords"] = solution.acres @ ways.prescriptions.beside
    told["bdft"], told["days"], told["short"] = solution.acres @ ways.bdft, solution.work, solution.short
    told["young_ac"], told["end_cords"] = solution.young, whole[step::step]
    for name, made in solution.made.items():
        told[name], told[f"{name}_short"] = made, solution.lacks[name]
    goals = ({} if no_heat else {FIREWOOD: _goal(need, step)}) | {k: _goal(due, step) for k, due in asked.items()}
    heat = None if need_mmbtu is None else ways.mix
    tried = in_the_way(solution, limits) if explained else pd.DataFrame(columns=TRIED)
    known = tried, heat, _beside(wholly, there, taken, asked), table
    found = findings(solution, limits, told, goals, *known, start, step, region) if explained else ()
    growing = _growing(table, entries, start, step)
    growing["why_not"] = why_not(growing, ways, woods, tried, bool(goals) and not cut_more, start, region)
    jobs = works.works(entries, start, step)
    follows = _follows(ways, solution)
    of_all = ways.uncut, pace, ways.mix, solution, found, follows
    return Schedule(start, step, growing, entries, jobs, told, stock, *of_all)


def _per_period(wanted: Any, periods: int, step: int) -> np.ndarray:
    """What is wanted in each period: so much a year, or a number for each."""
    return np.full(periods, float(wanted) * step) if np.ndim(wanted) == 0 else np.asarray(wanted, dtype=float)


def _less_taken(a_year: float, periods: int, step: int, taken: float) -> np.ndarray:
    """So much a year in each period, less what is taken already in the first."""
    return less_made(_per_period(a_year, periods, step), np.zeros(periods), taken)[0]


def _beside(need: np.ndarray, there: float, taken: Taken, asked: Mapping[str, Any]) -> tuple[str, ...]:
    """What gives a part of what is wanted beside the plan: trees of the tally, what is cut of this winter's need."""
    tally = there > 0 or any(taken.pieces.get(name, 0.0) > 0 for name in asked)
    made = len(need) > 1 and need[0] < need[1] - 1e-9
    return (*(("tally",) if tally else ()), *(("made",) if made else ()))


def _goal(due: np.ndarray, step: int) -> Any:
    """What is wanted: a number a year where every period but the first wants as much, else one for each period."""
    later = due[1:]
    return float(later[0]) / step if len(later) and later[0] > 0 and np.ptp(later) <= 1e-9 else due


def _of_the_ground(
    ways: ways_of.Ways,
    yearly: Yearly,
    neighbors: Sequence[tuple[str, str]],
    days: float | None,
    taken: Taken,
    periods: int,
    region: Region,
) -> dict[str, Any]:
    """Limits of stock, work, entries and neighbors, and how near the best plan is searched."""
    p: Any = ways.prescriptions
    step = ways.step
    leave = np.flatnonzero(~p.cut.any(axis=1))
    left = p.acres @ ways.stock[leave[np.searchsorted(p.stand[leave], np.arange(len(p.acres)))]]
    begin = float(left[0])
    # where the yearly cut and trees that are lost anyway lead the woods under today's stock, what they leave is enough
    lost = float(yearly.table["salvage_cords"].sum())
    led = left - yearly.limit * np.arange(len(left)) - lost * (np.arange(len(left)) > 0)
    floor = np.minimum(chosen("floor_share", region) * begin, led * (1.0 - 1e-9))
    rows = [Row("stock", ways.stock[:, t * step], low=float(floor[t * step]), period=t) for t in range(1, periods)]
    rows += _by_kind(ways, yearly, taken, periods, region)
    work = None if days is None else _less_taken(days, periods, step, taken.days)
    if work is not None:
        most = chosen("frozen_days_share", region) * work
        rows += [Row("frozen", p.work[:, t] * ways.frozen, high=float(most[t]), period=t) for t in range(periods)]
    at = {s: k for k, s in enumerate(ways.stand_ids)}
    return {
        "end_at_least": float(min(begin, led[-1])),
        "work_most": work,
        "least_entry_ac": _least_ac(p.cut, chosen("least_entry_cords", region)),
        "entry_price": chosen("cost_of_entry", region),
        "job_price": chosen("cost_of_job", region),
        "keep_price": chosen("cost_of_keeping", region),
        "gap": chosen("schedule_gap", region),
        "nodes": int(chosen("schedule_nodes", region)),
        "neighbors": [(at[a], at[b]) for a, b in neighbors if a in at and b in at],
        "apart": max(int(np.ceil(chosen("green_up_yr", region) / step)) - 1, 0),
        "rows": rows,
    }


def _by_kind(ways: ways_of.Ways, yearly: Yearly, taken: Taken, periods: int, region: Region) -> list[Row]:
    """Where some stands are cut by area: the level cut of the others in each period, and acres over the rotation."""
    p: Any = ways.prescriptions
    table = yearly.table.set_index(yearly.table["stand_id"].astype(str)).loc[list(ways.stand_ids)]
    by_area = ((table["way"] == "patches") & ~table["past_age"]).to_numpy()
    if not by_area.any():
        return []
    level = _less_taken(yearly.rule.level_cords, periods, ways.step, taken.wood_cords)
    inside = table["inside"].to_numpy()[p.stand][:, None] * (p.cut - p.beside)
    rows = [Row("cut", inside[:, t], high=float(level[t]), period=t) for t in range(periods)]
    rotation, at_once = (region.figure("defaults_cut", name) for name in ("patch_rotation_yr", "patch_years"))
    acres = float(p.acres[by_area].sum()) / rotation * max(periods * ways.step, at_once)
    return [*rows, Row("area", p.opens.sum(axis=1) * by_area[p.stand], high=acres)]


def _least_ac(cut: np.ndarray, cords: float) -> np.ndarray:
    """Acres that give so many cords at the lightest entry of each way; 0 for ways without one."""
    lightest = np.where(cut > 0, cut, np.inf).min(axis=1)
    return np.asarray(cords / lightest)


def _follows(ways: ways_of.Ways, solution: Solution) -> pd.DataFrame:
    p, used = ways.prescriptions, solution.acres > 0
    sums = {name: of.sum(axis=1)[used] for name, of in (("cords", p.cut), ("days", np.asarray(p.work)))}
    return pd.DataFrame({"at": ways.columns[used], "first": ways.first[used], "acres": solution.acres[used]} | sums)


def _entries(ways, solution: Solution) -> pd.DataFrame:
    p, acres = ways.prescriptions, solution.acres
    row, period = np.nonzero((acres[:, None] > 1e-6) & p.enters)
    out = pd.DataFrame({"stand_id": np.array(ways.stand_ids, dtype=object)[p.stand[row]], "period": period})
    out["acres"] = acres[row]
    each = {"cords": p.cut, "stove_cords": ways.stove, "bdft": ways.bdft, "days": p.work, "heat_mmbtu": ways.heat}
    for name, per_ac in (each | {"hours": ways.hours, "trees": ways.trees}).items():
        out[name] = acres[row] * per_ac[row, period]
    out = out.groupby(["stand_id", "period"], as_index=False)[ENTRY].sum()
    return out.sort_values(["period", "cords"], ascending=[True, False], kind="stable").reset_index(drop=True)


def _mostly_dying(table: pd.DataFrame) -> pd.Series:
    """Stands in which no less dies than an entry else takes."""
    return table["salvage"] & (table["salvage_cords"] >= table["entry_cords"])


def _growing(table: pd.DataFrame, entries: pd.DataFrame, start: int, step: int) -> pd.DataFrame:
    names = ["stand_id", "parcel_id", "cover", "way", "may", "cut_ac", "ceiling_cords_per_yr", "basal_sqft_per_ac"]
    out = table[[*names, "leave_sqft_per_ac", "leave_seen", *PATCH, "salvage", "why", "left_out"]].copy()
    out["salvage"] = _mostly_dying(table)
    out["growth"], out["any_cover"] = table["grows"], (table["cover"] == NO_COVER) & table["may"]
    now = entries[entries["period"] == 0].set_index("stand_id") if step == 1 else entries[:0].set_index("stand_id")
    for name, of in (("cords", "cords"), ("stove_cords", "stove_cords"), ("ac", "acres")):
        out[f"this_winter_{name}"] = out["stand_id"].map(now[of]).fillna(0.0)
    out["this_winter"] = out["this_winter_cords"] > 0
    first = (start + step * entries.groupby("stand_id")["period"].min()).to_dict()
    out["next_year"] = pd.Series([first.get(stand) for stand in out["stand_id"]], index=out.index, dtype=object)
    return out


def _nothing(
    woods: Woods, table: pd.DataFrame, start: int, years: int, step: int, pace: Pace, why: Reason, *, region: Region
) -> Schedule:
    """A schedule without a cut, and the one reason for it."""
    none = pd.DataFrame(columns=["stand_id", "period", *ENTRY]).astype({"period": int})
    stock = np.nan_to_num(run(woods, years, region=region).cords) @ woods.stands["acres"].to_numpy()
    frame = pd.DataFrame({"year": start + np.arange(years + 1), "cords": stock})
    names = ["period", "cords", "stove_cords", "heat_mmbtu", "beside_cords", "bdft", "days", "short", "young_ac"]
    empty = pd.DataFrame(columns=names)
    growing = _growing(table, none, start, step)
    growing["why_not"] = pd.Series([why if may else None for may in growing["may"]], growing.index, dtype=object)
    jobs, follows = works.works(none, start, step), pd.DataFrame(columns=FOLLOWS, dtype=float)
    nothing = none, jobs, empty.assign(end_cords=[]), frame, stock
    return Schedule(start, step, growing, *nothing, pace, None, None, (why,), follows)

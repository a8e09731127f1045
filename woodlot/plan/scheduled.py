"""The schedule of a place: when each stand is cut over the next years, and what the woods look like if it is done.

scheduled     the whole answer
Schedule      what it holds
neighbors_of  stands that share an edge
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.plan import stand_entries as ways_of
from woodlot.plan.ceilings import Yearly
from woodlot.plan.pieces import Pieces
from woodlot.plan.schedule import Limits, Row, Solution, solve
from woodlot.plan.schedule_trials import in_the_way
from woodlot.plan.woods import Woods, chosen, run
from woodlot.region import Region
from woodlot.trade import NO_COVER

__all__ = ["Schedule", "neighbors_of", "scheduled"]

FIREWOOD = "firewood"
#: Less than half a piece is none.
PART_OF_A_PIECE = 0.5


@dataclass(frozen=True)
class Schedule:
    """When each stand is cut.

    start, step_yr: the year in which the first winter begins, and years in a period. Frames: growing, one row a stand:
    stand_id, parcel_id, cover, way, may (be cut), growth (of the whole stand), cut_ac (acres that may be worked),
    ceiling_cords_per_yr, basal_sqft_per_ac, leave_sqft_per_ac, leave_seen, why (Reason of its ceiling), left_out
    (Reason, or None where no acre is), any_cover (whether it is cut by the rule for any cover, its own not being
    known), this_winter, this_winter_cords, this_winter_ac, next_year (in which its next entry begins, or None);
    entries, one row an entry: stand_id, period, acres, cords, bdft, days; periods, one row each: period, cords, bdft,
    days, short, young_ac, end_cords, and for each other product wanted its pieces and, as <product>_short, what is
    missing of them; stock: year, cords standing. uncut: these cords if nothing is cut; solution: of the
    solver; findings: what is met, what is not and why.
    """

    start: int
    step_yr: int
    growing: pd.DataFrame
    entries: pd.DataFrame
    periods: pd.DataFrame
    stock: pd.DataFrame
    uncut: np.ndarray
    solution: Solution | None
    findings: tuple[Reason, ...]

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
    need_cords: Any = None,
    pieces: Pieces | None = None,
    wanted: Mapping[str, np.ndarray] | None = None,
    ahead: Mapping[str, np.ndarray] | None = None,
    taken_cords: float = 0.0,
    days_per_yr: float | None = None,
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
    need_cords
        Firewood wanted each year [cords], or what is due in each period; None for no need.
    pieces, wanted, ahead
        What trees give of other products (``plan.pieces``); pieces of each that are due in each period, and that may be
        made before (``plan.wanted``); None for none.
    taken_cords
        Cords cut for the first winter already: they count against its ceiling, and against a need of each year.
    days_per_yr
        Days of work that can be given each year; None for no limit.
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
    ``Schedule``. The cut of a period is never over the ceiling that the ranges allow, the stock never under 85 % of
    the start and at the end not under it; what cannot be met is among the findings.
    """
    table = yearly.table.reset_index(drop=True)
    table["left_out"] = stands["left_out"].to_numpy() if "left_out" in stands else None
    if not table["may"].any():
        return _nothing(woods, table, start, years, region=region)
    asked = {k: v for k, v in (wanted or {}).items() if pieces is not None and k in pieces.per_tree}
    only_need = (need_cords is not None or bool(asked)) and not cut_more
    ways = ways_of.ways(woods, yearly, stands, years, step, region=region, only_need=only_need, pieces=pieces)
    need = need_cords
    if need is not None and np.ndim(need) == 0:
        need = _less_taken(need, years // step, step, taken_cords)
    need_a_year = need_cords if np.ndim(need_cords) == 0 else float(np.median(need)) / step
    limits = Limits(
        need=need,
        carry_most=chosen("kept_over_share", region) * (need_a_year or 0.0),
        wanted=asked,
        ahead={k: v for k, v in (ahead or {}).items() if k in asked},
        carry_share=chosen("kept_over_share", region) / step,
        wood_in={} if pieces is None else pieces.cords_each,
        cut_most=_less_taken(yearly.limit, years // step, step, taken_cords),
        seed=seed,
        **_of_the_ground(ways, neighbors, days_per_yr, years // step, region),
    )
    solution = solve(ways.prescriptions, limits)
    entries = _entries(ways, solution)
    whole = solution.acres @ ways.stock + ways.left_out
    stock = pd.DataFrame({"year": start + np.arange(years + 1), "cords": whole})
    periods = pd.DataFrame({"period": np.arange(years // step), "cords": solution.cut})
    periods["bdft"], periods["days"], periods["short"] = solution.acres @ ways.bdft, solution.work, solution.short
    periods["young_ac"], periods["end_cords"] = solution.young, whole[step::step]
    for name, made in solution.made.items():
        periods[name], periods[f"{name}_short"] = made, solution.lacks[name]
    goals = {} if need_a_year is None else {FIREWOOD: (need_a_year * step, False)}
    goals |= {name: _goal(due) for name, due in asked.items()}
    findings = _findings(solution, limits, periods, goals, start, step, region) if explained else ()
    growing = _growing(table, entries, start, step)
    return Schedule(start, step, growing, entries, periods, stock, ways.uncut, solution, findings)


def _less_taken(a_year: float, periods: int, step: int, taken: float) -> np.ndarray:
    """Cords of each period, less what is taken already in the first."""
    out = np.full(periods, float(a_year) * step)
    out[0] = max(out[0] - taken, 0.0)
    return out


def _of_the_ground(
    ways: ways_of.Ways, neighbors: Sequence[tuple[str, str]], days: float | None, periods: int, region: Region
) -> dict[str, Any]:
    """Limits of stock, work, entries and neighbors, and how near the best plan is searched."""
    p: Any = ways.prescriptions
    step = ways.step
    leave = np.flatnonzero(~p.cut.any(axis=1))
    left = p.acres @ ways.stock[leave[np.searchsorted(p.stand[leave], np.arange(len(p.acres)))]]
    begin = float(left[0])
    # woods that fall under the floor by themselves need only stand as they would uncut
    floor = np.minimum(chosen("floor_share", region) * begin, left * (1.0 - 1e-9))
    rows = [Row("stock", ways.stock[:, t * step], low=float(floor[t * step]), period=t) for t in range(1, periods)]
    if days is not None:
        most = chosen("frozen_days_share", region) * days * step
        rows += [Row("frozen", p.work[:, t] * ways.frozen, high=most, period=t) for t in range(periods)]
    at = {s: k for k, s in enumerate(ways.stand_ids)}
    return {
        "end_at_least": begin,
        "work_most": None if days is None else days * step,
        "least_entry_ac": _least_ac(p.cut, chosen("least_entry_cords", region)),
        "entry_price": chosen("cost_of_entry", region),
        "keep_price": chosen("cost_of_keeping", region),
        "gap": chosen("schedule_gap", region),
        "nodes": int(chosen("schedule_nodes", region)),
        "neighbors": [(at[a], at[b]) for a, b in neighbors if a in at and b in at],
        "apart": max(int(np.ceil(chosen("green_up_yr", region) / step)) - 1, 0),
        "rows": rows,
    }


def _least_ac(cut: np.ndarray, cords: float) -> np.ndarray:
    """Acres that give so many cords at the lightest entry of each way; 0 for ways without one."""
    lightest = np.where(cut > 0, cut, np.inf).min(axis=1)
    return np.asarray(cords / lightest)


def _entries(ways, solution: Solution) -> pd.DataFrame:
    p, acres = ways.prescriptions, solution.acres
    row, period = np.nonzero((acres[:, None] > 1e-6) & p.enters)
    out = pd.DataFrame({"stand_id": np.array(ways.stand_ids, dtype=object)[p.stand[row]], "period": period})
    out["acres"], out["cords"] = acres[row], acres[row] * p.cut[row, period]
    out["bdft"], out["days"] = acres[row] * ways.bdft[row, period], acres[row] * p.work[row, period]
    out = out.groupby(["stand_id", "period"], as_index=False)[["acres", "cords", "bdft", "days"]].sum()
    return out.sort_values(["period", "cords"], ascending=[True, False], kind="stable").reset_index(drop=True)


def _growing(table: pd.DataFrame, entries: pd.DataFrame, start: int, step: int) -> pd.DataFrame:
    names = ["stand_id", "parcel_id", "cover", "way", "may", "cut_ac", "ceiling_cords_per_yr", "basal_sqft_per_ac"]
    out = table[[*names, "leave_sqft_per_ac", "leave_seen", "why", "left_out"]].copy()
    out["growth"], out["any_cover"] = table["grows"], (table["cover"] == NO_COVER) & table["may"]
    now = entries[entries["period"] == 0].set_index("stand_id") if step == 1 else entries[:0].set_index("stand_id")
    out["this_winter_cords"] = out["stand_id"].map(now["cords"]).fillna(0.0)
    out["this_winter_ac"] = out["stand_id"].map(now["acres"]).fillna(0.0)
    out["this_winter"] = out["this_winter_cords"] > 0
    first = (start + step * entries.groupby("stand_id")["period"].min()).to_dict()
    out["next_year"] = pd.Series([first.get(stand) for stand in out["stand_id"]], index=out.index, dtype=object)
    return out


def _goal(due: np.ndarray) -> tuple[float, bool]:
    """What is wanted each period, or in all and once."""
    yearly = bool(np.ptp(due) <= 1e-9)
    return (float(due[0]), False) if yearly and len(due) > 1 else (float(due.sum()), True)


def _gives(p, name: str) -> bool:
    """Whether any way to cut a whole stand gives a piece of a product."""
    return bool((p.pieces[name].sum(axis=1) * p.acres[p.stand]).max(initial=0.0) >= 0.5)


def _findings(
    solution: Solution,
    limits: Limits,
    periods: pd.DataFrame,
    goals: Mapping[str, tuple[float, bool]],
    start: int,
    step: int,
    region: Region,
) -> tuple[Reason, ...]:
    """What is wanted and cannot be had, with the limits in the way; what is met; what gave way; what binds."""
    out, met = [], []
    tried = in_the_way(solution, limits)
    for name, (number, once) in goals.items():
        lacks = periods["short" if name == FIREWOOD else f"{name}_short"]
        if lacks.sum() <= (1e-6 if name == FIREWOOD else PART_OF_A_PIECE):
            met.append((name, number, once))
        elif name != FIREWOOD and not _gives(solution.prescriptions, name):
            out.append(reason("gives none", of=name, number=number, step_yr=step, once=once))
        else:
            some = (lacks > 1e-6).to_numpy()
            years = () if some.all() else tuple((start + step * np.flatnonzero(some)).tolist())
            missing = float(lacks.sum())
            out.append(reason("cannot be had", of=name, number=missing, years=years, step_yr=step, once=once))
            rows = tried.loc[tried["about"] == name, ["limit", "less", "left", "work_most"]].to_numpy().tolist()
            least = chosen("least_entry_cords", region)
            ways = tuple(map(tuple, rows))
            out.append(reason("in the way", of=name, limits=ways, step_yr=step, least_entry_cords=least))
    if met:
        out.append(reason("met", goals=tuple(met), step_yr=step))
    if "end" in solution.gave:
        out.append(reason("stock falls", cords=solution.gave["end"]))
    if not solution.gave and not goals:
        bind = solution.binding
        if (bind["limit"] == "cut").sum() == len(periods):
            out.append(reason("all is cut"))
            bind = bind[bind["limit"] != "cut"]
        for row in bind.head(2).to_dict("records"):
            year = start + step * int(row["period"])
            out.append(reason("binds", limit=row["limit"], year=year, step_yr=step, price=row["price"]))
    return tuple(out)


def _nothing(woods: Woods, table: pd.DataFrame, start: int, years: int, *, region: Region) -> Schedule:
    none = pd.DataFrame(columns=["stand_id", "period", "acres", "cords", "bdft", "days"]).astype({"period": int})
    stock = np.nan_to_num(run(woods, years, region=region).cords) @ woods.stands["acres"].to_numpy()
    frame = pd.DataFrame({"year": start + np.arange(years + 1), "cords": stock})
    empty = pd.DataFrame(columns=["period", "cords", "bdft", "days", "short", "young_ac", "end_cords"])
    return Schedule(
        start, 1, _growing(table, none, start, 1), none, empty, frame, stock, None, (reason("nothing due"),)
    )

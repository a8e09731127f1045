"""The schedule of a place: when each stand is cut over the next years, and what the woods look like if it is done.

scheduled     the whole answer
Scheduled     what it holds
neighbors_of  stands that share an edge
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Any

import numpy as np
import pandas as pd

from woodlot.plan import stand_entries as ways_of
from woodlot.plan.ceilings import Yearly
from woodlot.plan.pieces import Pieces
from woodlot.plan.schedule import Limits, Row, Solution, solve
from woodlot.plan.schedule_trials import in_the_way
from woodlot.plan.woods import Woods, chosen, run
from woodlot.region import Region
from woodlot.say import words

__all__ = ["Scheduled", "neighbors_of", "scheduled"]


@dataclass(frozen=True)
class Scheduled:
    """When each stand is cut.

    growing: one row a stand with stand_id, parcel_id, cover, way, growth (of the whole stand), cut_ac (acres that
    may be worked), ceiling_cords_per_yr, basal_sqft_per_ac, leave_sqft_per_ac, leave_seen, this_winter,
    this_winter_cords, this_winter_ac, next_winter ("2026–27" or None), words; entries: one row an entry: stand_id,
    period, when, acres, cords, bdft, days; periods: one row a period: when, cords, bdft, days, short, young_ac,
    end_cords, and for each other product wanted its pieces and, as <product>_short, what is missing of them; stock:
    cords standing by year; uncut: the same if nothing is cut; solution: of the solver; words; stopped: a sentence where
    the search ended at its limit.
    """

    growing: pd.DataFrame
    entries: pd.DataFrame
    periods: pd.DataFrame
    stock: pd.DataFrame
    uncut: np.ndarray
    solution: Solution | None
    words: list[str]
    stopped: str = ""


def neighbors_of(stands: Any, corners: bool = False) -> list[tuple[str, str]]:
    """Pairs of stands that share an edge (``land.parcels.contacts``), or also those that meet at a corner."""
    from woodlot.land.parcels import contacts

    frame = stands[["stand_id", "geometry"]].rename(columns={"stand_id": "parcel_id"})
    frame = frame.assign(name=frame["parcel_id"])
    if not len(frame):
        return []
    told = contacts(frame)
    told = told if corners else told[told["kind"] == "edge"]
    return list(zip(told["parcel_a"].astype(str), told["parcel_b"].astype(str), strict=True))


def scheduled(
    woods: Woods,
    yearly: Yearly,
    stands: pd.DataFrame,
    start: int,
    *,
    need_cords: float | None = None,
    pieces: Pieces | None = None,
    wanted: Mapping[str, float] | None = None,
    taken_cords: float = 0.0,
    days_per_yr: float | None = None,
    years: int = 10,
    step: int = 1,
    neighbors: Sequence[tuple[str, str]] = (),
    end_share: float = 1.0,
    cut_more: bool = False,
    explained: bool = True,
    region: Region,
    seed: int = 1,
) -> Scheduled:
    """A schedule over 10 to 60 years within what may be cut, what is needed and what can be done.

    Parameters
    ----------
    woods, yearly
        ``to_day.bring_forward`` and ``yearly.yearly_cut``.
    stands
        As for ``prescriptions.ways``.
    start
        Year in which the first winter begins.
    need_cords
        Firewood wanted each year [cords]; None for no need.
    pieces, wanted
        What trees give of other products, and pieces of each wanted a year (``plan.pieces``); None for none.
    taken_cords
        Cords cut for the first winter already: they count against its ceiling and its need.
    days_per_yr
        Days of work that can be given each year; None for no limit.
    years, step
        Length of the plan and of a period [yr].
    neighbors
        Pairs of stand_id that share an edge.
    end_share
        Stock at the end over the stock at the start, at least (1: not below the start).
    cut_more
        Whether to use all that may be cut and worked; else no more is cut than is needed, where a need is given.
    explained
        Whether to look for what is in the way of what is wanted; else nothing is said of it.
    region, seed
        Region, and seed of the random part of the solver.

    Returns
    -------
    ``Scheduled``. The cut of a period is never over the ceiling that the ranges allow, the stock never under 85 % of
    the start and at the end not under ``end_share`` of it; what cannot be met is said.
    """
    table = yearly.table.reset_index(drop=True)
    if not table["may"].any():
        return _nothing(woods, yearly, table, start, years, region=region)
    asked = {k: v for k, v in (wanted or {}).items() if pieces is not None and k in pieces.per_tree}
    only_need = (need_cords is not None or bool(asked)) and not cut_more
    ways = ways_of.ways(woods, yearly, stands, years, step, "mid", region=region, only_need=only_need, pieces=pieces)
    p = ways.prescriptions
    limits = _limits(
        ways, yearly, start, need_cords, taken_cords, days_per_yr, years, step, neighbors, end_share, region
    )
    more = {"wanted": {k: v * step for k, v in asked.items()}, "carry_share": chosen("kept_over_share", region) / step}
    more |= {"wood_in": {} if pieces is None else pieces.cords_each, "seed": seed}
    limits = Limits(**{**vars(limits), **more})
    told = solve(p, limits)
    entries = _entries(ways, told, start)
    whole = told.acres @ ways.stock + ways.left_out
    stock = pd.DataFrame({"year": start + np.arange(years + 1), "cords": whole})
    periods = pd.DataFrame({"period": np.arange(years // step), "when": ways_of.labels(start, years // step, step)})
    periods["cords"], periods["bdft"], periods["days"] = told.cut, told.acres @ ways.bdft, told.work
    periods["short"], periods["young_ac"], periods["end_cords"] = told.short, told.young, whole[step::step]
    for name, made in told.made.items():
        periods[name], periods[f"{name}_short"] = made, told.lacks[name]
    return Scheduled(
        _growing(table, entries, start, step),
        entries,
        periods,
        stock,
        ways.uncut,
        told,
        _said(told, limits, periods, need_cords, asked, step, region) if explained else [],
        STOPPED if told.status == "node limit" else "",
    )


def _limits(ways, yearly, start, need, taken, days, years, step, neighbors, end_share, region: Region) -> Limits:
    p, periods = ways.prescriptions, years // step
    most = np.full(periods, yearly.limit * step)
    most[0] = max(most[0] - taken, 0.0)
    begin = float(p.acres @ ways.stock[np.searchsorted(p.stand, np.arange(len(p.acres)))][:, 0])
    floor = chosen("floor_share", region) * begin
    rows = [Row(f"stock in {start + y}", ways.stock[:, y], low=floor) for y in range(step, years, step)]
    if days is not None:
        share = chosen("frozen_days_share", region)
        rows += [
            Row(f"frozen {w}", p.work[:, t] * ways.frozen, high=share * days * step)
            for t, w in enumerate(ways_of.labels(start, periods, step))
        ]
    wanted = None
    if need is not None:
        wanted = np.full(periods, float(need) * step)
        wanted[0] = max(wanted[0] - taken, 0.0)
    at = {s: k for k, s in enumerate(ways.stand_ids)}
    return Limits(
        need=wanted,
        carry_most=chosen("kept_over_share", region) * float(need) if need is not None else 0.0,
        end_at_least=end_share * begin,
        cut_most=most,
        work_most=None if days is None else days * step,
        least_entry_ac=_least_ac(p.cut, chosen("least_entry_cords", region)),
        entry_price=chosen("cost_of_entry", region),
        keep_price=chosen("cost_of_keeping", region),
        gap=chosen("schedule_gap", region),
        nodes=int(chosen("schedule_nodes", region)),
        neighbors=[(at[a], at[b]) for a, b in neighbors if a in at and b in at],
        apart=max(int(np.ceil(chosen("green_up_yr", region) / step)) - 1, 0),
        rows=rows,
        labels=ways_of.labels(start, periods, step),
    )


def _least_ac(cut: np.ndarray, cords: float) -> np.ndarray:
    """Acres that give so many cords at the lightest entry of each way; 0 for ways without one."""
    lightest = np.where(cut > 0, cut, np.inf).min(axis=1)
    return np.asarray(cords / lightest)


def _entries(ways, told: Solution, start: int) -> pd.DataFrame:
    p = ways.prescriptions
    row, period = np.nonzero((told.acres[:, None] > 1e-6) & p.enters)
    out = pd.DataFrame({"stand_id": np.array(ways.stand_ids, dtype=object)[p.stand[row]], "period": period})
    out["acres"], out["cords"] = told.acres[row], told.acres[row] * p.cut[row, period]
    out["bdft"], out["days"] = told.acres[row] * ways.bdft[row, period], told.acres[row] * p.work[row, period]
    out = out.groupby(["stand_id", "period"], as_index=False)[["acres", "cords", "bdft", "days"]].sum()
    out.insert(2, "when", [ways_of.label(start, int(t), ways.step) for t in out["period"]])
    return out.sort_values(["period", "cords"], ascending=[True, False], kind="stable").reset_index(drop=True)


def _growing(table: pd.DataFrame, entries: pd.DataFrame, start: int, step: int) -> pd.DataFrame:
    names = ["stand_id", "parcel_id", "cover", "way", "cut_ac", "ceiling_cords_per_yr", "basal_sqft_per_ac"]
    out = table[[*names, "leave_sqft_per_ac", "leave_seen", "words"]].copy()
    out["growth"] = table["grows"]
    now = entries[entries["period"] == 0].set_index("stand_id") if step == 1 else entries[:0].set_index("stand_id")
    out["this_winter_cords"] = out["stand_id"].map(now["cords"]).fillna(0.0)
    out["this_winter_ac"] = out["stand_id"].map(now["acres"]).fillna(0.0)
    out["this_winter"] = out["this_winter_cords"] > 0
    first = entries.groupby("stand_id")["period"].min()
    told = [ways_of.winter(start + int(first[s]) * step) if s in first.index else None for s in out["stand_id"]]
    out["next_winter"] = pd.Series(told, index=out.index, dtype=object)
    out["words"] = [_stand_words(row) for row in out.to_dict("records")]
    return out


def _stand_words(row: dict) -> str:
    if row["this_winter"]:
        amount, ac = words.amount(row["this_winter_cords"], "cords"), words.amount(row["this_winter_ac"], "acres")
        how = (
            f"Thin {ac} of it, and leave {row['leave_sqft_per_ac']:.0f} sq ft an acre."
            if row["way"] == "thin"
            else f"Cut {ac} of it in one patch: it comes back in full light only."
        )
        more = row["this_winter_cords"] > row["ceiling_cords_per_yr"]
        left = " While other stands are left alone, more may come from here." if more else ""
        return f"This winter: up to {amount}. {how} Over the years {row['words'][:1].lower()}{row['words'][1:]}{left}"
    if isinstance(row["next_winter"], str):
        return f"Nothing this winter. Next: winter {row['next_winter']}."
    told = str(row["words"]).replace("this year", "this winter")
    return (
        told
        if told.startswith("No")
        else "Nothing this winter, nor in the years of this plan. Other stands come first."
    )


def _many(number: float, unit: str) -> str:
    """Cords in their rounding; pieces whole, a part of one counted as one."""
    if unit == "cords":
        return words.amount(number, unit)
    whole = ceil(number - 1e-6)
    return f"{whole:,} {unit.removesuffix('s') if whole == 1 else unit}"


def _gives(p, name: str) -> bool:
    """Whether any way to cut a whole stand gives a piece of a product."""
    return bool((p.pieces[name].sum(axis=1) * p.acres[p.stand]).max(initial=0.0) >= 0.5)


#: Limits by the kind that ``in_the_way`` names.
LIMITS = {
    "work": "the days of work",
    "frozen": "the days of work on frozen ground",
    "cut": "what may be cut each year",
    "end": "what must stand at the end",
    "stock": "what must stand in every year",
    "neighbors": "a cut patch that keeps its edge neighbors shut",
}
STOPPED = "The search for this plan ended at its node limit; a slightly better one may exist."


def _why(tried: pd.DataFrame, unit: str, step: int, region: Region) -> str:
    """Which limits are in the way of one product, each with what would be missing less without it alone."""
    if not len(tried):
        return "No single limit is in the way: without any one of them as much would be missing."
    less, said = "less" if unit == "cords" else "fewer", []
    for row in tried.to_dict("records"):
        name = LIMITS.get(row["limit"], f"the limit {row['limit']}")
        if row["limit"] == "entry":
            name = f"the least entry of {words.amount(chosen('least_entry_cords', region), 'cords')}"
        gain = "nothing would be missing" if row["left"] <= 1e-6 else f"{_many(row['less'], unit)} {less}"
        days = f"with {ceil(row['work_most'] / step - 1e-6)} days a year " if row["limit"] == "work" else "without it "
        said.append(f"{name} ({days}{gain})")
    return f"In the way: {', '.join(said)}."


def _said(
    told: Solution, limits: Limits, periods: pd.DataFrame, need: float | None, asked: dict, step: int, region: Region
) -> list[str]:
    out = []
    tried = in_the_way(told, limits)
    each = "a year" if step == 1 else "each period"
    goals = [("firewood", "short", need, "cords")] if need is not None else []
    goals += [(name, f"{name}_short", number, name) for name, number in asked.items()]
    met = []
    for name, column, number, unit in goals:
        lacking = float(periods[column].sum())
        if lacking <= 1e-6:
            met.append(_many(number * step, unit) + (" of firewood" if name == "firewood" else ""))
            continue
        if name in asked and not _gives(told.prescriptions, name):
            out.append(f"Not to be had: {_many(number * step, unit)} {each}; no tree that may be cut gives one.")
            continue
        lacks = periods[column] > 1e-6
        when = ", ".join(periods.loc[lacks, "when"].str.removeprefix("in "))
        if lacks.all():
            when = "every winter" if step == 1 else "every period"
        what = f"{_many(lacking, unit)} of the {name}" if name == "firewood" else _many(lacking, unit)
        out.append(f"{what} wanted cannot be had ({when}).")
        out.append(_why(tried[tried["about"] == name], unit, step, region))
    if met:
        out.append(f"What is wanted is met throughout: {', '.join(met)} {each}.")
    if "end" in told.gave:
        lost = words.amount(told.gave["end"], "cords")
        out.append(f"Even without a cut the stock would end {lost} under the start: more dies there than grows.")
    if "flow" in told.gave:
        out.append("No even supply can be had here: the cut goes up and down.")
    if not len(told.gave) and not goals:
        bind = told.binding
        if (bind["limit"] == "cut").sum() == len(periods):
            out.append("All that may be cut is cut throughout.")
            bind = bind[bind["limit"] != "cut"]
        out += bind["words"].head(2).tolist()
    return out


def _nothing(woods: Woods, yearly: Yearly, table: pd.DataFrame, start: int, years: int, *, region: Region) -> Scheduled:
    none = pd.DataFrame(columns=["stand_id", "period", "when", "acres", "cords", "bdft", "days"])
    none["period"] = none["period"].astype(int)
    stock = np.nan_to_num(run(woods, years, region=region).cords) @ woods.stands["acres"].to_numpy()
    frame = pd.DataFrame({"year": start + np.arange(years + 1), "cords": stock})
    told = ["Nothing this year. No stand is over the stocking it should keep and measured well enough."]
    empty = pd.DataFrame(columns=["period", "when", "cords", "bdft", "days", "short", "young_ac", "end_cords"])
    return Scheduled(_growing(table, none, start, 1), none, empty, frame, stock, None, told)

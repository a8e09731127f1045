"""What ``woodlot cut`` shows: ceilings, a plan over years, and this winter's work.

CutAnswer, cut_answer   the answer, from the chapters
memory_notes            figures behind the growth that are from memory, and its site curves
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from woodlot.answers.chart_types import Work
from woodlot.answers.cut import balance_answer, job_facts, rule_answer, stands_said, works_answer
from woodlot.answers.future_types import Futures
from woodlot.answers.futures import futures_answer
from woodlot.answers.house import heat_row
from woodlot.answers.noted import stand_lines
from woodlot.answers.plain_cells import number, records
from woodlot.answers.stand_types import Balance, Ceilings, CutRule, WorkInStand
from woodlot.answers.this_winter import fits
from woodlot.answers.types import Row
from woodlot.answers.want_types import Wanted
from woodlot.answers.wants import wants_answer
from woodlot.estimate import Estimate
from woodlot.plan import labor
from woodlot.plan.balance import total
from woodlot.plan.ceilings import CEILINGS, Yearly
from woodlot.plan.job import Job
from woodlot.plan.scheduled import Schedule
from woodlot.plan.woods import Woods
from woodlot.region import Region
from woodlot.say import cut, cut_rule, marking, reasons, words
from woodlot.season import Season
from woodlot.stand.site import curve_used
from woodlot.trade import EVEN_AGED

__all__ = ["CutAnswer", "StandToCut", "cut_answer", "memory_notes"]


@dataclass(frozen=True, kw_only=True)
class StandToCut:
    """A stand under its ceilings (cords a year), this winter and when it is next cut."""

    stand_id: str
    parcel_id: str | None
    cover: str
    way: str
    cut_ac: float
    ceiling_cords_per_yr: float
    basal_sqft_per_ac: float | None
    leave_sqft_per_ac: float | None
    leave_seen: str
    words: str
    this_winter_cords: float
    this_winter_ac: float
    this_winter: bool
    done_cords: float
    next_winter: str | None
    growth_low: float | None
    growth_mid: float | None
    growth_high: float | None
    area_low: float | None
    area_mid: float | None
    area_high: float | None
    meyer_low: float | None
    meyer_mid: float | None
    meyer_high: float | None
    smallest_low: float | None
    smallest_mid: float | None
    smallest_high: float | None
    entry_cords: float
    over: float | None
    keeps: str


@dataclass(frozen=True, kw_only=True)
class EntryInStand:
    """A cut of the plan in one stand."""

    stand_id: str
    period: int
    when: str
    acres: float
    cords: float
    stove_cords: float
    bdft: float
    days: float
    heat_mmbtu: float
    hours: float
    trees: float


@dataclass(frozen=True)
class StockOfYear:
    """Cords standing in a year of the plan."""

    year: int
    cords: float


@dataclass(frozen=True, kw_only=True)
class TreesOfJob:
    """Trees of one kind and size on the acres of a job."""

    species: str
    class_in: float
    now: float
    cut: float
    leave: float
    words: str
    why: str


@dataclass(frozen=True, kw_only=True)
class JobToDo(Work):
    """The work of this winter, tree by tree."""

    trees: tuple[TreesOfJob, ...]


@dataclass(frozen=True, kw_only=True)
class CutAnswer:
    """The cut of a place, a parcel or a stand.

    periods: period, when, cords, stove_cords, heat_mmbtu, bdft, days, short, young_ac, end_cords, and each other
    product that is wanted with its pieces and, as <product>_short, those missing; parts: of the limit, in words; rule:
    of all stands together, where all are shown; stock and words are of the whole plan.
    """

    headline: str
    fits: str
    parts: tuple[str, ...]
    rule: CutRule | None
    ceilings: Ceilings
    limit_cords_per_yr: float
    stands: tuple[StandToCut, ...]
    works: tuple[WorkInStand, ...]
    entries: tuple[EntryInStand, ...]
    periods: tuple[Mapping[str, float | str], ...]
    stock: tuple[StockOfYear, ...]
    words: tuple[str, ...]
    jobs: tuple[JobToDo, ...]
    notes: tuple[str, ...]
    wants: tuple[Wanted, ...]
    heat: Row | None
    balance: Balance | None
    futures: Futures | None


def cut_answer(season: Season, parcel: str | None, stand: str | None) -> CutAnswer:
    """What may be cut in one parcel or stand or all of them, when, and the work of this winter."""
    yearly, schedule, region = season.cutting.yearly, season.cutting.schedule, season.place.region
    stands = tuple(
        one
        for one in _stands(season)
        if (parcel is None or one.parcel_id == parcel) and (stand is None or one.stand_id == stand)
    )
    ids = {one.stand_id for one in stands}
    dying = float(yearly.table.loc[yearly.table["stand_id"].isin(ids), "salvage_cords"].sum())
    limit = float(np.sum([one.ceiling_cords_per_yr for one in stands]))
    ceilings = _ceilings(yearly, parcel, stand)
    rule = rule_answer(yearly) if parcel is None and stand is None else None
    plain = {name: reasons.plain(e) for name, e in ceilings.items()}
    return CutAnswer(
        headline=cut.headline(limit, schedule.stopped, dying),
        fits=fits(season) if parcel is None and stand is None else "",
        parts=rule.parts if rule else cut_rule.each(plain),
        rule=rule,
        ceilings=Ceilings(**plain),
        limit_cords_per_yr=limit,
        stands=stands,
        works=tuple(one for one in works_answer(schedule) if one.stand_id in ids),
        entries=tuple(EntryInStand(**row) for row in _dated(schedule, "entries") if row["stand_id"] in ids),
        periods=tuple(_dated(schedule, "periods")),
        stock=tuple(StockOfYear(**row) for row in records(schedule.stock)),
        words=tuple(map(reasons.said, schedule.findings)),
        jobs=tuple(
            JobToDo(**job_facts(season, job), trees=_trees(job)) for job in season.cutting.jobs if job.stand_id in ids
        ),
        notes=(
            *map(reasons.said, yearly.cautions),
            *_pace(season),
            *memory_notes(season.cutting.woods, region=region),
            *stand_lines(season.place, [one.stand_id for one in stands]),
        ),
        wants=wants_answer(season),
        heat=heat_row(season),
        balance=balance_answer(total(one for key, one in season.balances.items() if key in ids)),
        futures=futures_answer(season) if parcel is None and stand is None else None,
    )


def _ceilings(yearly: Yearly, parcel: str | None, stand: str | None) -> Mapping[str, Estimate | None]:
    """Of all stands, of those of a parcel, or of one."""
    if stand is not None:
        row = records(yearly.table[yearly.table["stand_id"] == stand])[0]
        return {name: row[name] for name in yearly.whole}
    return yearly.whole if parcel is None else yearly.parcels.get(parcel, yearly.whole)


def _pace(season: Season) -> tuple[str, ...]:
    """What the days of the plan are reckoned by, where there are any."""
    schedule = season.cutting.schedule
    hours = labor.day_hours(season.place.region)
    return (cut.pace_words(schedule.pace, hours),) if len(schedule.works) else ()


def _stands(season: Season) -> tuple[StandToCut, ...]:
    growing, ceilings = season.cutting.schedule.growing, season.cutting.yearly.table
    said, made = stands_said(season), season.cut_this_winter
    rows, seen = records(growing), zip(growing["leave_sqft_per_ac"], growing["leave_seen"], strict=True)
    ends: dict[str, Any] = {
        f"{name}_{'mid' if end == 'value' else end}": [getattr(e, end, None) for e in ceilings[name]]
        for name in (*CEILINGS, "smallest")
        for end in ("low", "value", "high")
    }
    frame = growing.assign(
        words=[said[row["stand_id"]] for row in rows],
        done_cords=[float(made.get(row["stand_id"], 0.0)) for row in rows],
        next_winter=[row["next_year"] and words.winter_of(row["next_year"]) for row in rows],
        keeps=[cut.keep_words(number(leave), mark) for leave, mark in seen],
        entry_cords=ceilings["entry_cords"].to_numpy(),
        over=ceilings["over"].to_numpy(),
        **ends,
    )[[field.name for field in fields(StandToCut)]]
    return tuple(StandToCut(**row) for row in records(frame.astype(object).where(frame.notna(), None)))


def _dated(schedule: Schedule, name: str) -> list[dict[str, Any]]:
    """Rows of the entries or the periods of a schedule, each with its years in words behind its period."""
    frame = getattr(schedule, name).copy()
    when = [words.period(schedule.start + schedule.step_yr * t, schedule.step_yr) for t in frame["period"]]
    frame.insert(frame.columns.get_loc("period") + 1, "when", when)
    return records(frame)


def memory_notes(woods: Woods, *, region: Region) -> list[str]:
    """Figures behind the growth that are from memory only, and the site curves it stands on."""
    seen = region.species.rows("growth_anchors")["seen"]
    of_one_age = woods.stands[woods.stands["way"].isin(EVEN_AGED)]
    curves = sorted({curve_used(kind, region=region) for kind in of_one_age["main"]})
    return cut.memory_words([s for s in woods.species if seen.get(s) == "memory"], set(of_one_age["way"]), curves)


def _trees(job: Job) -> tuple[TreesOfJob, ...]:
    rows = job.trees.drop(columns="cut_sqft").assign(why=job.trees["why"].map(marking.why_words))
    return tuple(TreesOfJob(**row) for row in records(rows))

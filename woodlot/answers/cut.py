"""The cut in the answers: what may be taken from each stand and when, and the jobs of this winter.

cut_of       the cut of each stand
balance_answer growth against cut
stands_said  the same in words
whole_answer all stands together: what stands and what may be cut; rule_answer: how that came about
jobs_answer  the work of this winter, stand by stand
works_answer the jobs of all winters, consecutive winters in a stand as one
job_facts    what all answers have of a job
"""

from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any

from woodlot.answers.chart_types import Guide, GuideLine, GuidePoint, Job, JobSize, Ticks, Work
from woodlot.answers.future_types import Futures
from woodlot.answers.plain_cells import number
from woodlot.answers.stand_types import Balance, Ceilings, CutOfStand, CutRule, Entry, Whole, WholeWood, WorkInStand
from woodlot.estimate import Number
from woodlot.plan import balance as growing
from woodlot.plan import charts
from woodlot.plan import job as this_winter
from woodlot.plan.balance import total
from woodlot.plan.ceilings import Yearly
from woodlot.plan.done import ticked
from woodlot.plan.scheduled import Schedule
from woodlot.plan.winter_list import Task
from woodlot.say import cut, cut_rule, growth, marking, reasons, winter_list, words
from woodlot.season import Season

__all__ = [
    "balance_answer",
    "cut_of",
    "job_facts",
    "jobs_answer",
    "rule_answer",
    "stands_said",
    "whole_answer",
    "works_answer",
]


def cut_of(season: Season, after_pct: Mapping[str, float | None]) -> dict[str, CutOfStand]:
    """The cut of each stand by stand_id; after_pct: how full a stand is after it, by stand_id."""
    schedule, made = season.cutting.schedule, season.cut_this_winter
    tasks, said, turns, jobs = _by_stand(season), stands_said(season), _entries(schedule), works_answer(schedule)
    return {
        row["stand_id"]: CutOfStand(
            this_winter=row["stand_id"] in tasks,
            tally_trees=_tallied(tasks.get(row["stand_id"], ())),
            cords=_together(tasks.get(row["stand_id"], ())),
            ceiling_cords_per_yr=float(row["ceiling_cords_per_yr"]),
            words=said[row["stand_id"]],
            next_winter=None if row["next_year"] is None else words.winter_of(row["next_year"]),
            leave_sqft_per_ac=number(row["leave_sqft_per_ac"]),
            leave_seen=row["leave_seen"],
            way=row["way"],
            entries=turns.get(row["stand_id"], ()),
            works=tuple(one for one in jobs if one.stand_id == row["stand_id"]),
            stocking_after_pct=after_pct.get(row["stand_id"]) if row["this_winter"] else None,
            done_cords=number(made.get(row["stand_id"])),
        )
        for row in schedule.growing.to_dict("records")
    }


def stands_said(season: Season) -> dict[str, str]:
    """What is said of the cut of each stand by stand_id: trees of the tally first, then the plan."""
    tasks, made = _by_stand(season), season.cut_this_winter
    rows = season.cutting.schedule.growing.to_dict("records")
    return {
        row["stand_id"]: cut.stand_words(
            row, float(made.get(row["stand_id"], 0.0)), winter_list.fell_first(tasks.get(row["stand_id"], ()))
        )
        for row in rows
    }


def _tallied(tasks: Sequence[Task]) -> float | None:
    """Trees of the tally that fall in a stand; None where none does."""
    return float(sum(task.trees for task in tasks if task.kind in winter_list.TALLY)) or None


def _together(tasks: Sequence[Task]) -> Number | None:
    """Cords of all tasks of a stand; None where there is none."""
    cords = sum(task.cords for task in tasks)
    if tasks and all(task.kind in winter_list.TALLY for task in tasks):
        return Number(cords, unit="cords", why="by the tally, tree by tree")
    return _at_most(cords, "cords") if tasks else None


def _by_stand(season: Season) -> dict[str, list[Task]]:
    """The tasks of this winter by stand_id."""
    out: dict[str, list[Task]] = {}
    for task in season.winter.tasks:
        out.setdefault(task.stand_id, []).append(task)
    return out


def _at_most(value: float, unit: str) -> Number:
    """A ceiling: a number without a range, since it is a limit and not a guess."""
    return Number(float(value), unit=unit, why="a limit, not an estimate")


def _entries(schedule: Schedule) -> dict[str, tuple[Entry, ...]]:
    """Every winter of the schedule by stand, the soonest first."""
    out: dict[str, tuple[Entry, ...]] = {}
    for row in schedule.entries.sort_values("period", kind="stable").to_dict("records"):
        entry = Entry(words.winter_of(schedule.start + row["period"]), row["acres"], row["cords"], row["stove_cords"])
        out[row["stand_id"]] = (*out.get(row["stand_id"], ()), entry)
    return out


def works_answer(schedule: Schedule) -> tuple[WorkInStand, ...]:
    """The jobs of a plan, the soonest first, each told once."""
    kept = [field.name for field in fields(WorkInStand)]
    return tuple(
        WorkInStand(
            **{name: row[name] for name in kept if name in row}
            | {name: words.winter_of(row[name]) for name in ("first_winter", "last_winter")},
            words=cut.work_words(row),
        )
        for row in schedule.works.to_dict("records")
    )


def whole_answer(season: Season, wood: WholeWood, futures: Futures | None = None) -> Whole:
    """All stands together: the wood, and what may be cut of it."""
    yearly, schedule = season.cutting.yearly, season.cutting.schedule
    rule = rule_answer(yearly)
    return Whole(
        **vars(wood),
        growth_cords_per_yr=reasons.plain(yearly.whole["grows"]),
        ceiling_cords_per_yr=yearly.limit,
        this_winter_cords=float(sum(task.cords for task in season.winter.tasks)),
        stands_this_winter=tuple(_by_stand(season)),
        cut_words=cut.limit_words(rule.why, yearly.limit, schedule.stopped),
        cut_caution=reasons.said(yearly.cautions[0]) if yearly.cautions else "",
        ceilings=Ceilings(**{name: reasons.plain(e) for name, e in yearly.whole.items()}),
        cut_rule=rule,
        balance=balance_answer(total(season.balances.values())),
        futures=futures,
    )


def rule_answer(yearly: Yearly) -> CutRule:
    """How the yearly cut of all stands together came about, in numbers and words."""
    rule, dying = yearly.rule, yearly.table[yearly.table["salvage"]]
    beside = {str(stand): float(cords) for stand, cords in zip(dying["stand_id"], dying["salvage_cords"], strict=True)}
    more = (cut_rule.first_seen(rule), cut_rule.with_cores(rule), cut_rule.beside(beside))
    return CutRule(
        low_growth_cords_per_yr=rule.low_growth,
        mid_growth_cords_per_yr=rule.mid_growth,
        stock_cords=rule.stock_cords,
        first_cords=rule.first_cords,
        goal_cords=number(rule.goal_cords),
        pull_cords_per_yr=rule.pull_cords,
        area_cords_per_yr=rule.area_cords,
        meyer_cords_per_yr=rule.meyer_cords,
        over_cords_per_yr=rule.reach_cords,
        standing_surplus_cords=rule.surplus_cords,
        by_area_cords_per_yr=rule.by_area_cords,
        beside_cords=float(sum(beside.values())),
        with_ten_cores_cords_per_yr=rule.cords_with_ten_cores,
        binds=rule.binds,
        parts=cut_rule.parts({name: reasons.plain(e) for name, e in yearly.whole.items()}, rule),
        why=cut_rule.why(rule),
        asked=cut_rule.asked(yearly.by_residual),
        more=tuple(filter(None, more)),
    )


def balance_answer(of: growing.Balance | None) -> Balance | None:
    """Growth against cut of a stand or of all; None where nothing is known, grown or cut."""
    if of is None or not (of.grown.value or of.cut_cords):
        return None
    grown, left = reasons.plain(of.grown), reasons.plain(of.left)
    return Balance(of.since.isoformat(), grown, of.cut_cords, left, growth.balance(grown, of.cut_cords, left, of.since))


def job_facts(season: Season, job: this_winter.Job) -> dict[str, Any]:
    """Fields of a job that all answers have."""
    ticks = ticked(job.cords, job.days, float(season.cut_this_winter.get(job.stand_id, 0.0)))
    known = {field.name for field in fields(Work)}
    return {name: value for name, value in vars(job).items() if name in known} | {
        "trees_to_cut": float(job.trees["cut"].sum()),
        "keep": tuple(map(reasons.said, job.keep)),
        "marking": marking.marking_lines(job),
        "after": tuple(map(reasons.said, job.after)),
        "cautions": tuple(map(reasons.said, job.cautions)),
        "ticks": Ticks(ticks.planned_cords, ticks.cut_cords, ticks.planned_days) if ticks.cut_cords else None,
        "words": cut.job_words(job, ticks),
        "classes": _sizes(job),
    }


def _sizes(job: this_winter.Job) -> tuple[JobSize, ...]:
    """One row a size, the largest first: trees now, trees to take, and of which kinds."""
    out = []
    for size, rows in job.trees.groupby("class_in", sort=True):
        kinds = cut.kinds_words(zip(rows["species"], rows["words"], strict=True))
        out.append(JobSize(int(float(str(size))), float(rows["now"].sum()), float(rows["cut"].sum()), kinds))
    return tuple(out[::-1])


def jobs_answer(season: Season) -> tuple[Job, ...]:
    """The jobs of this winter with their trees by size, each on its stocking guide (None in aspen)."""
    cutting, region = season.cutting, season.place.region
    guides = charts.stocking_charts(cutting.woods, cutting.yearly, region=region) if cutting.jobs else {}
    return tuple(Job(**job_facts(season, job), guide=_guide(guides.get(job.stand_id))) for job in cutting.jobs)


def _guide(chart: dict[str, Any] | None) -> Guide | None:
    if chart is None:
        return None
    lines = (
        GuideLine(growth.guide_line(k["line"], k["share"]), k["seen"], tuple(map(tuple, k["points"])))
        for k in chart["lines"]
    )
    return Guide(*growth.GUIDE_AXES, tuple(lines), tuple(GuidePoint(**point) for point in chart["points"]))

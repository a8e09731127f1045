"""The cut in the answers: what may be taken from each stand and when, and the jobs of this winter.

cut_of       the cut of each stand
whole_answer all stands together: what stands and what may be cut
jobs_answer  the work of this winter, stand by stand
"""

from collections.abc import Mapping

import pandas as pd

from woodlot.answers.chart_types import Guide, GuideLine, GuidePoint, Job, JobSize
from woodlot.answers.plain_cells import number
from woodlot.answers.stand_types import Ceilings, CutOfStand, Entry, Whole, WholeWood
from woodlot.estimate import Number
from woodlot.say import growth, reasons
from woodlot.season import Season
from woodlot.story import growth_view
from woodlot.story.cutting import totals

__all__ = ["cut_of", "jobs_answer", "whole_answer"]


def cut_of(season: Season, after_pct: Mapping[str, float | None]) -> dict[str, CutOfStand]:
    """The cut of each stand by stand_id; after_pct: how full a stand is after it, by stand_id."""
    turns = _entries(season.cutting.schedule.entries)
    return {
        row["stand_id"]: CutOfStand(
            this_winter=bool(row["this_winter"]),
            cords=_at_most(row["this_winter_cords"], "cords") if row["this_winter"] else None,
            ceiling_cords_per_yr=float(row["ceiling_cords_per_yr"]),
            words=row["words"],
            next_winter=row["next_winter"] if isinstance(row["next_winter"], str) else None,
            leave_sqft_per_ac=number(row["leave_sqft_per_ac"]),
            leave_seen=row["leave_seen"],
            way=row["way"],
            entries=turns.get(row["stand_id"], ()),
            stocking_after_pct=after_pct.get(row["stand_id"]) if row["this_winter"] else None,
        )
        for row in season.cutting.growing.to_dict("records")
    }


def _at_most(value: float, unit: str) -> Number:
    """A ceiling: a number without a range, since it is a limit and not a guess."""
    return Number(float(value), unit=unit, why="a limit, not an estimate")


def _entries(planned: pd.DataFrame) -> dict[str, tuple[Entry, ...]]:
    """Every winter of the schedule by stand, the soonest first: winter ("2026–27"), acres, cords."""
    out: dict[str, tuple[Entry, ...]] = {}
    rows = planned.sort_values("period", kind="stable")
    for stand, when, acres, cords in zip(rows["stand_id"], rows["when"], rows["acres"], rows["cords"], strict=True):
        out[stand] = (*out.get(stand, ()), Entry(when.removeprefix("in winter "), acres, cords))
    return out


def whole_answer(season: Season, wood: WholeWood) -> Whole:
    """All stands together: the wood, and what may be cut of it."""
    yearly, look = season.cutting.yearly, totals(season.cutting)
    return Whole(
        **vars(wood),
        growth_cords_per_yr=reasons.plain(look["growth"]),
        ceiling_cords_per_yr=look["ceiling_cords_per_yr"],
        this_winter_cords=look["this_winter_cords"],
        stands_this_winter=tuple(look["stands_this_winter"]),
        cut_words=look["words"],
        cut_caution=yearly.cautions[0] if yearly.cautions else "",
        ceilings=Ceilings(**{name: reasons.plain(e) for name, e in yearly.whole.items()}),
    )


def jobs_answer(season: Season) -> tuple[Job, ...]:
    """The jobs of this winter with their trees by size, each on its stocking guide (None in aspen)."""
    out = []
    for one in growth_view.job_sheets(season.cutting, region=season.place.region):
        guide = one["guide"]
        lists = {
            "keep": tuple(one["keep"]),
            "cautions": tuple(one["cautions"]),
            "classes": tuple(JobSize(**size) for size in one["classes"]),
            "guide": None
            if guide is None
            else Guide(
                *growth.GUIDE_AXES,
                tuple(
                    GuideLine(growth.guide_line(k["line"], k["share"]), k["seen"], tuple(map(tuple, k["points"])))
                    for k in guide["lines"]
                ),
                tuple(GuidePoint(**point) for point in guide["points"]),
            ),
        }
        out.append(Job(**(one | lists)))
    return tuple(out)

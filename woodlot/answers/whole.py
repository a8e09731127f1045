"""All that is answered for one place on one day.

answers   the whole of it, from the chapters
"""

from collections.abc import Sequence
from dataclasses import replace

import pandas as pd

from woodlot.answers import charts, first, notes, sources
from woodlot.answers.chart_types import Charts
from woodlot.answers.cut import jobs_answer, whole_answer
from woodlot.answers.deer import herd_answer
from woodlot.answers.first_plots import first_plots_answer
from woodlot.answers.futures import futures_answer
from woodlot.answers.house import heat_row, house_answer, winters_ahead
from woodlot.answers.land import parcels_answer
from woodlot.answers.next_plots import measure_next as next_to_measure
from woodlot.answers.since_plan import since_plan
from woodlot.answers.this_winter import winter_answer, winter_row
from woodlot.answers.types import Answers, Base
from woodlot.answers.wants import wants_answer, wants_row
from woodlot.answers.wishes import sugarbushes_answer, wished_wood
from woodlot.answers.wood import species_answer, stands_answer, whole_wood
from woodlot.answers.years_told import how_told
from woodlot.place.kept_plans import Kept
from woodlot.region import reading
from woodlot.say import woodpile, words
from woodlot.say.first import coming
from woodlot.say.reasons import said
from woodlot.season import Season

__all__ = ["answers", "base_answer"]


def answers(
    season: Season, plan: Kept | None = None, last: Kept | None = None, *, with_futures: bool = True
) -> Answers:
    """Everything said about one place: unrounded numbers, units in the names, days as 2026-11-25.

    plan, last: this plan as it will be kept and the last one that is, to say what moved; with_futures: whether the
    next hundred years are told, which no map shows.
    """
    with reading() as reads:
        out = _chapters(season, with_futures)
    memory, listed = sources.memory_and_sources(season.place.region, reads)
    if plan is not None and last is not None:
        out = replace(out, changed=replace(out.changed, plan=since_plan(season, plan, last)))
    found = season.cutting.schedule.findings
    return replace(
        out,
        rows=first.rows(
            out,
            wants_row(season),
            heat_row(season),
            winter_row(season),
            coming([one.key for one in found], map(said, found), season.years),
        ),
        memory=memory,
        sources=listed,
    )


def _chapters(season: Season, with_futures: bool) -> Answers:
    """The same without the first screen and the sources, which rest on all of it."""
    place, cutting, deer = season.place, season.cutting, herd_answer(season)
    winter, full = words.winter(season.day), charts.fullness(cutting, region=season.place.region)
    stands = stands_answer(season, full)
    totals = whole_answer(season, whole_wood(season), futures_answer(season) if with_futures else None)
    heat = house_answer(season)
    plots_to_put, work = first_plots_answer(season), winter_answer(season)
    measure_next, next_plots = next_to_measure(season, plots_to_put)
    shown, older = notes.shown_and_older(place.ledger)
    return Answers(
        name=place.name,
        region=place.region.name,
        as_of=season.day.isoformat(),
        winter=winter,
        level=season.level,
        base=base_answer(season),
        parcels=parcels_answer(season),
        stands=stands,
        totals=totals,
        species=species_answer(season),
        deer=deer,
        notes=shown,
        older_notes=older,
        deer_plots=notes.deer_plots(place),
        measure_next=measure_next,
        next_plots=next_plots,
        warnings=notes.warnings(season),
        heat=heat,
        changed=notes.changed_answer(season),
        charts=Charts(
            risk=charts.risk(deer.risk),
            meat=deer.risk.meat,
            heat=winters_ahead(heat, _stove(season), int(winter[:4])) or None,
            stock=charts.stock(season.later),
            fullness=full or None,
            structures=charts.structures(cutting, region=season.place.region) or None,
        ),
        jobs=jobs_answer(season),
        cautions=notes.cautions_answer(stands, work.tasks, region=season.place.region),
        deer_cautions=notes.deer_cautions(season.place.region),
        memory=(),
        sources=(),
        headline=first.headline(season.winter, stands, totals, plots_to_put),
        rows=(),
        first_plots=plots_to_put,
        wished=wished_wood(season) or None,
        sugarbushes=sugarbushes_answer(season) or None,
        this_winter=work,
        wants=wants_answer(season) or None,
        years_words=how_told(season),
    )


def _stove(season: Season) -> pd.DataFrame:
    """Cords a period for the stove: of the plan, and in the first of the tally's trees."""
    tally = [{"period": 0, "stove_cords": one.firewood_cords} for one in season.tally_work]
    return pd.concat(
        [season.cutting.schedule.entries[["period", "stove_cords"]], pd.DataFrame(tally)], ignore_index=True
    )


def base_answer(season: Season, stands: Sequence[str] | None = None) -> Base:
    """What the numbers of some stands or of all rest on, as the family or its region chose, its woodpile taught, and
    edges, prism, eye and heights from above moved them.
    """
    stood = season.standing
    above = (one for one in stood.helped.remarks(stands) if one not in stood.helped.asked)
    moved = (*stood.plot_times.remarks(stands, moved=True), *above)
    solid = float(season.choice("solid_cuft_per_cord"))
    return Base(
        solid_cuft_per_cord=solid,
        log_rule=str(season.choice("log_rule")),
        division=str(season.choice("division")),
        cord_breaks=tuple(float(b) for b in season.choice("cord_breaks")),
        woodpile=woodpile.told(season.taught, solid) or None,
        moved=tuple(map(said, moved)) or None,
    )

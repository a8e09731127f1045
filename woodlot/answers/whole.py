"""All that is answered for one place on one day.

answers   the whole of it, from the chapters
"""

from dataclasses import replace

from woodlot.answers import charts, first, notes, sources
from woodlot.answers.chart_types import Charts
from woodlot.answers.cut import jobs_answer, whole_answer
from woodlot.answers.deer import herd_answer
from woodlot.answers.first_plots import first_plots_answer
from woodlot.answers.house import heat_row, house_answer, winters_ahead
from woodlot.answers.land import parcels_answer
from woodlot.answers.types import Answers, Base
from woodlot.answers.wants import wants_answer, wants_row
from woodlot.answers.wood import species_answer, stands_answer, whole_wood
from woodlot.region import reading
from woodlot.say import words
from woodlot.season import Season

__all__ = ["answers", "base_answer"]


def answers(season: Season) -> Answers:
    """Everything said about one place: unrounded numbers, units in the names, days as 2026-11-25."""
    with reading() as reads:
        out = _chapters(season)
    memory, listed = sources.memory_and_sources(season.place.region, reads)
    return replace(out, rows=first.rows(out, wants_row(season), heat_row(season)), memory=memory, sources=listed)


def _chapters(season: Season) -> Answers:
    """The same without the first screen and the sources, which rest on all of it."""
    place, cutting, deer = season.place, season.cutting, herd_answer(season)
    winter, full = words.winter(season.day), charts.fullness(cutting, region=season.place.region)
    stands = stands_answer(season, full)
    totals = whole_answer(season, whole_wood(season))
    heat = house_answer(season)
    measure_next, next_plots = notes.measure_next(season)
    plots_to_put = first_plots_answer(season)
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
        notes=notes.notes_answer(place.ledger),
        deer_plots=notes.deer_plots(place),
        measure_next=measure_next,
        next_plots=next_plots,
        warnings=notes.warnings(season),
        heat=heat,
        changed=notes.changed_answer(season),
        charts=Charts(
            risk=charts.risk(deer.risk),
            meat=deer.risk.meat,
            heat=winters_ahead(heat, cutting.schedule.entries, int(winter[:4])) or None,
            stock=charts.stock(season.later),
            fullness=full or None,
            structures=charts.structures(cutting, region=season.place.region) or None,
        ),
        jobs=jobs_answer(season),
        cautions=notes.cautions_answer(stands, region=season.place.region),
        memory=(),
        sources=(),
        headline=first.headline(stands, totals, plots_to_put),
        rows=(),
        first_plots=plots_to_put,
        wants=wants_answer(season) or None,
    )


def base_answer(season: Season) -> Base:
    """What the numbers rest on, as the family or its region chose."""
    return Base(
        solid_cuft_per_cord=float(season.choice("solid_cuft_per_cord")),
        log_rule=str(season.choice("log_rule")),
        division=str(season.choice("division")),
        cord_breaks=tuple(float(b) for b in season.choice("cord_breaks")),
    )

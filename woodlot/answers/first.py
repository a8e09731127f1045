"""The first screen: a row for wood, cut, this winter, heat, deer, what to measure next, as screen and report show it.

headline   the decision of this winter
rows       the rows of the first screen
"""

from collections.abc import Sequence
from datetime import date

from woodlot.answers.plot_types import FirstPlots
from woodlot.answers.stand_types import Stand, Whole
from woodlot.answers.types import Answers, Row
from woodlot.say import first, hunt, words

__all__ = ["headline", "rows"]


def headline(stands: Sequence[Stand], totals: Whole, to_put: FirstPlots | None = None) -> str:
    """The decision of this winter in one line; before there is a plot, what to do this weekend."""
    plots = to_put.number if to_put and to_put.plots else ""
    return first.headline(len(stands), totals.acres_with_plots, len(totals.stands_this_winter), plots)


def rows(of: Answers, wants: Row | None, heat: Row | None) -> tuple[Row, ...]:
    """First rows of screen and report: what stands, what may be cut, this winter's work, the house, deer, measure next.

    wants, heat: of the house, where there is something to say.
    """
    totals, plots, deer = (
        of.totals,
        [stand.plots for stand in of.stands],
        Row("deer", "Deer", *hunt.number_range_why(of.deer)),
    )
    changed = Row("changed", "Since last year", *first.changed(of.changed.words, date.fromisoformat(of.changed.since)))
    if not totals.acres_with_plots and of.first_plots and of.first_plots.plots:
        put, (stand, take) = of.first_plots, first.nothing_yet()
        weekend = Row("measure", "This weekend", put.number, put.how_long, " ".join(put.words))
        wood, cut = Row("wood", "What stands", *stand), Row("cut", "What you may take", *take)
        return tuple(
            row for row in (weekend, wood, cut, wants, heat, deer, changed if of.changed.words else None) if row
        )
    parcels = {parcel.parcel_id: parcel.name for parcel in of.parcels}
    parcel_of = {stand.stand_id: parcels.get(stand.parcel_id or "", words.NO_PARCEL) for stand in of.stands}
    cutting = [(s.stand_id, parcel_of[s.stand_id], s.cut.words) for s in of.stands if s.cut.this_winter]
    stood = first.stands(totals.cords, totals.cords_sampling_only, totals.acres_with_plots)
    may_cut = first.cut(
        totals.growth_cords_per_yr,
        totals.ceiling_cords_per_yr,
        totals.ceilings.smallest,
        [totals.cut_words, totals.cut_caution],
        plots,
    )
    there = of.next_plots
    measure = (
        first.no_next(plots)
        if there is None
        else first.RowWords(
            f"{there.plots} plots in stand {there.stand_id}",
            parcel_of.get(there.stand_id, words.NO_PARCEL),
            " ".join(of.measure_next),
        )
    )
    made = (
        Row("wood", "What stands", *stood),
        Row("cut", "What you may take", *may_cut),
        Row("winter", "This winter's work", *first.winter(totals.this_winter_cords, cutting)),
        wants,
        heat,
        deer,
        changed,
        Row("measure", "Measure next", *measure),
    )
    return tuple(row for row in made if row)

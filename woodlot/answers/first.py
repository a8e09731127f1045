"""The first screen: a row for wood, cut, this winter, heat, deer, what to measure next, as screen and report show it.

headline   the decision of this winter
rows       the rows of the first screen
"""

from collections.abc import Sequence
from datetime import date

from woodlot.answers.plot_types import FirstPlots
from woodlot.answers.stand_types import Stand, Whole
from woodlot.answers.types import Answers, Row
from woodlot.answers.wishes import sap_row, wish_row
from woodlot.plan.winter_list import WinterList
from woodlot.say import first, hunt, since_plan, winter_list

__all__ = ["headline", "rows"]


def headline(of: WinterList, stands: Sequence[Stand], totals: Whole, to_put: FirstPlots | None = None) -> str:
    """The decision of this winter in one line; before there is a plot, what to do this weekend."""
    plots = to_put.number if to_put and to_put.plots else ""
    return winter_list.headline(of, len(stands), totals.acres_with_plots, plots)


def rows(
    of: Answers, wants: Row | None, heat: Row | None, winter: Row, coming: first.RowWords | None = None
) -> tuple[Row, ...]:
    """First rows of screen and report: what stands, what may be cut, the work of this winter and what comes of it, the
    house, deer, measure next.

    wants, heat: of the house, where there is something to say; coming: of the plan (``say.first.coming``).
    """
    totals, plots, deer = (
        of.totals,
        [stand.plots for stand in of.stands],
        Row("deer", "Deer", *hunt.number_range_why(of.deer)),
    )
    wish, sap = wish_row(of.wished or (), [w for s in of.stands for w in s.wishes or ()]), sap_row(of.sugarbushes or ())
    changed = Row("changed", "Since last year", *first.changed(of.changed.words, date.fromisoformat(of.changed.since)))
    plan = of.changed.plan
    moved = plan and Row(
        "moved", "Since last plan", *since_plan.row(date.fromisoformat(plan.day), plan.numbers, plan.words)
    )
    if not totals.acres_with_plots and of.first_plots and of.first_plots.plots:
        put, (stand, take) = of.first_plots, first.nothing_yet()
        weekend = Row("measure", "This weekend", put.number, put.how_long, " ".join(put.words))
        done = changed if of.changed.words else None
        wood, cut = Row("wood", "What stands", *stand), Row("cut", "What you may take", *take)
        work = winter if of.this_winter and of.this_winter.tasks else None
        told = (weekend, work, wood, wish, cut, sap, wants, heat, deer, done, moved)
        return tuple(row for row in told if row)
    stood = first.stands(totals.cords, totals.cords_sampling_only, totals.acres_with_plots)
    may_cut = first.cut(
        totals.growth_cords_per_yr,
        totals.ceiling_cords_per_yr,
        [totals.cut_words, *(totals.cut_rule.asked if totals.cut_rule else ()), totals.cut_caution],
        plots,
    )
    to_put = of.first_plots
    measure = (
        first.RowWords(to_put.number, to_put.how_long, " ".join(of.measure_next))
        if to_put and to_put.plots
        else first.no_next(plots, of.measure_next)
    )
    made = (
        Row("wood", "What stands", *stood),
        wish,
        Row("cut", "What you may take", *may_cut),
        winter,
        coming and Row("years", "The coming years", *coming),
        sap,
        wants,
        heat,
        deer,
        changed,
        moved,
        Row("measure", "Measure next", *measure),
    )
    return tuple(row for row in made if row)

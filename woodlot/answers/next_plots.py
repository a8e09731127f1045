"""Where the next plots tell most, as answers: what is lacking, what the last day bought, a cruise from nothing.

next_plots_answer   what the answer the family named still lacks
last_day            what the plots of the last day did to the total
measure_next        both in words, and the first stand to go to
"""

from dataclasses import dataclass
from math import log

from woodlot.answers.noted import plots_before
from woodlot.answers.plot_types import FirstPlots
from woodlot.answers.types import NextPlots
from woodlot.estimate import Estimate
from woodlot.say import next_plots as say
from woodlot.say.first_plots import hours as hours_said
from woodlot.say.reasons import plain
from woodlot.season import Season
from woodlot.stand import next_plots
from woodlot.trade import THIS_WINTER

__all__ = ["Lacking", "NewCruise", "PlotsMore", "last_day", "measure_next", "next_plots_answer"]


@dataclass(frozen=True)
class PlotsMore:
    """Plots more in one stand."""

    stand_id: str
    plots: int


@dataclass(frozen=True)
class NewCruise:
    """A cruise from nothing; plots is None where no number would do."""

    weighted_cv_pct: float
    plots: int | None
    by_spread: tuple[PlotsMore, ...]
    by_acres: tuple[PlotsMore, ...]
    words: str


@dataclass(frozen=True, kw_only=True)
class Lacking:
    """What an answer lacks: half-widths in percent of its number, as wanted, as it is
    where there are plots, and what no plot can mend; can_come: whether plots bring it as near as wanted.
    """

    answer: str
    within_pct: float
    now_pct: float | None
    least_pct: float
    can_come: bool
    more: tuple[PlotsMore, ...]
    new_cruise: NewCruise | None
    words: tuple[str, ...]


def _rows(of: dict[str, int]) -> tuple[PlotsMore, ...]:
    return tuple(PlotsMore(stand, n) for stand, n in of.items())


def next_plots_answer(season: Season, ids: list[str] | None = None) -> Lacking:
    """What the answer that the family named still lacks; ids: of these stands alone."""
    rows, of = season.lacking(ids)
    what = say.of_what(of.answer, list(rows.index), ids is not None)
    none_cut = [say.NONE_CUT] if ids is None and season.next_plots["answer"] == THIS_WINTER != of.answer else []
    bare = rows.index[(rows["n"] == 0) & rows.index.isin(list(of.more))].tolist()
    anew = next_plots.new_cruise(rows, of.within, season.level) if (rows["mean"] > 0).any() else None
    return Lacking(
        answer=of.answer,
        within_pct=100.0 * of.within,
        now_pct=None if of.now is None else 100.0 * of.now,
        least_pct=100.0 * of.least,
        can_come=of.can_come,
        more=_rows(of.more),
        new_cruise=None if anew is None else _anew(anew, of.within),
        words=tuple(none_cut + say.lacking(what, of.within, of.now, of.least, of.can_come, of.more, bare)),
    )


def _anew(of: next_plots.NewCruise, within: float) -> NewCruise:
    words = say.new_cruise(within, of.weighted_cv_pct, of.plots, of.by_spread, of.by_acres)
    return NewCruise(of.weighted_cv_pct, of.plots, _rows(of.by_spread), _rows(of.by_acres), words)


def last_day(season: Season) -> str | None:
    """What the plots of the last day did to the total; None where there was no day before."""
    before = season.before_last_day
    if before is None:
        return None
    plots = season.place.plots
    day = plots["date"].max()
    last = plots[plots["date"] == day]
    rows = next_plots.table(season.measured.stands, season.standing.each_ac["cords"], region=season.place.region)
    hours = float(last["stand_id"].astype(str).map(rows["hours"]).sum())
    was, now = before[0], season.standing.totals["cords by all"].get("all")
    if now is None or not hours:
        return None
    acres = before[1], season.standing.ground["acres_with_plots"]
    widths = _width(was), _width(now)
    taken = 1.0 - widths[1] / widths[0] if all(widths) else None
    took = f"about {hours_said(60.0 * hours)}"
    return say.last_day(day.date(), len(last), plain(was), plain(now), acres, taken, took)


def _width(of: Estimate | None) -> float:
    """The range on logarithms, from its low end to its high one; 0 where there is none."""
    return log(of.high / of.low) if of and of.low and of.high else 0.0


def measure_next(season: Season, put: FirstPlots | None) -> tuple[tuple[str, ...], NextPlots | None]:
    """Where plots would tell most: in words, and the stand that comes first; put: plots laid out."""
    bought = last_day(season)
    words = (*next_plots_answer(season).words, *([bought] if bought else []), *plots_before(season.place))
    first = put and put.first_stand
    if not put or not first:
        return words, None
    return words, NextPlots(sum(one.stand_id == first for one in put.plots), first)

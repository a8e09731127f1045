"""A hundred years of a family's own stands, from its chapter."""

from math import isfinite

from woodlot.answers.future_types import Futures, FutureWay, StockThen
from woodlot.plan.future_chances import Future
from woodlot.say import futures, reasons
from woodlot.season import Season
from woodlot.tree.growth import growth_default

__all__ = ["futures_answer"]


def futures_answer(season: Season) -> Futures:
    """The chances that the stock falls, and what is said of them."""
    told, rule = season.futures, season.ceilings.rule
    if told.why is not None:
        return Futures(words=(reasons.said(told.why),))
    horizon = growth_default("horizon_yr", region=season.place.region)
    return Futures(
        words=futures.lines(told, horizon),
        number=told.number,
        stands=told.stands,
        stock_cords=told.cords,
        goal_cords=told.goal_cords if isfinite(told.goal_cords) else None,
        holds=told.holds,
        slower_pct=100.0 * told.slower,
        ways=tuple(map(_way, told.each)),
        cords_with_ten_cores=rule.cords_with_ten_cores,
    )


def _way(one: Future) -> FutureWay:
    return FutureWay(
        growth_pct=100.0 * one.growth,
        cruises=one.cruises,
        under_20_pct=100.0 * one.under[20],
        under_50_pct=100.0 * one.under[50],
        under_100_pct=100.0 * one.under[100],
        under_today_50_pct=100.0 * one.under_today[50],
        under_today_100_pct=100.0 * one.under_today[100],
        stock=tuple(StockThen(year, *(100.0 * end for end in ends)) for year, ends in one.stock.items()),
        cords_per_yr_1_to_50=one.cords[0],
        cords_per_yr_51_to_100=one.cords[1],
    )

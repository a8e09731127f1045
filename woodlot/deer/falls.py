"""The record told fall by fall: the herd before each hunt, the plots of the spring, the winter and what it took.

falls_told     a row a fall
springs_told   the springs, with those that were set aside
hard_winter    the last winter, where it took many

A family wants to see that each winter and each spring they wrote down was read, and what was made of it.
"""

from dataclasses import replace

from woodlot.deer.answer import FallTold, Spring, Words
from woodlot.deer.herd_answer import HerdAnswer, of_draws
from woodlot.deer.sign import UNIT
from woodlot.deer.winter import Loss
from woodlot.estimate import Estimate, reason
from woodlot.region import Region

__all__ = ["falls_told", "hard_winter", "springs_told"]


def falls_told(herd: HerdAnswer, level: float) -> tuple[FallTold[Estimate, Words], ...]:
    """A row for each fall on record, and for each winter that somebody told while nothing was counted."""
    record = herd.record
    groups = {spring.year - 1: spring.groups for spring in record.springs}
    told = () if herd.measured else (fall for fall in (*record.winters, *groups) if fall < record.season)
    years = sorted({*(fall.year for fall in record.falls), *told})
    return tuple(
        FallTold(year, _deer(herd, year, level), groups.get(year), *_winter(record.winters.get(year))) for year in years
    )


def _deer(herd: HerdAnswer, year: int, level: float) -> Estimate:
    """Deer a square mile before the hunt of a fall, by all counts together."""
    if herd.fit is None or herd.fall.value is None or year == herd.season:
        return herd.fall
    cloud = herd.fit.cloud
    return of_draws(cloud.numbers[cloud.years.index(year)], herd.fit, UNIT, level, herd.fall.n)


def _winter(loss: Loss | None) -> tuple[Words, float | None]:
    if loss is None:
        return "", None
    words = reason("winter told", scale=loss.scale, measure=loss.measure, value=loss.value, weather=loss.weather)
    return words, 100.0 * loss.share


def springs_told(herd: HerdAnswer) -> tuple[Spring[Estimate], ...]:
    """The springs; one that was set aside moves no number."""
    weighed = {key for pull in herd.pulls for key in pull.source.counts}

    def aside(spring: Spring[Estimate]) -> bool:
        told = herd.measured or spring.per_sqmi.low is not None
        return ("pellets", spring.year - 1) not in weighed and told

    return tuple(replace(one, note="set aside" if aside(one) else None) for one in herd.record.springs)


def hard_winter(herd: HerdAnswer, region: Region) -> tuple[int, float] | None:
    """Year in which the winter before the season began, and the share of the herd it took; None where it was usual."""
    loss = herd.record.winters.get(herd.season - 1)
    if loss is None or loss.share < region.figure("defaults_herd", "hard_winter_lost"):
        return None
    return herd.season - 1, loss.share

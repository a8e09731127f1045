"""Growth against cut: what each stand has grown since the ledger begins, and what was cut of it.

Balance, balances   of each stand that has a number for its growth
total               of all of them

A forester asks of every stand whether it is cut faster than it grows. Growth is today's yearly growth times the growing
seasons since; the cut is every living stem felled, whatever it became. Dead trees are in neither: net growth has left
them out already.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

import pandas as pd

from woodlot.estimate import Estimate
from woodlot.plan import done
from woodlot.plan.visits import seasons_between
from woodlot.region import Region
from woodlot.trade import RangeKind

__all__ = ["Balance", "balances", "total"]


@dataclass(frozen=True)
class Balance:
    """Cords grown and cut in a stand, or in several, since a day; left: the one less the other."""

    since: date
    grown: Estimate
    cut_cords: float
    left: Estimate


def balances(
    grows: Mapping[str, Estimate | None],
    measured_on: pd.Series,
    book: pd.DataFrame,
    by: done.Rates,
    as_of: date,
    *,
    region: Region,
) -> dict[str, Balance]:
    """Growth against cut of each stand, by stand_id; none of a stand whose growth nobody knows.

    Parameters
    ----------
    grows
        Growth of each stand, cords a year; None where nobody knows.
    measured_on
        Day of the plots by stand_id: where the ledger holds no wood at all growth counts from it.
    book, by
        The ledger, and cords of each unit (``done.rates``).
    as_of
        The last day that counts.
    region
        For the growing season.
    """
    lines = done.felled(book, None, by, until=as_of, dead=False)
    cut = lines.dropna(subset="stand_id").groupby("stand_id")["cords"].sum()
    begun = pd.Series(pd.to_datetime(measured_on).to_numpy(), index=measured_on.index.astype(str))
    if len(lines):
        begun[:] = lines["date"].min()
    seasons = pd.Series(seasons_between(begun, as_of, region=region), index=begun.index)
    return {
        stand: _of(begun[stand].date(), one, int(seasons[stand]), float(cut.get(stand, 0.0)))
        for stand, one in grows.items()
        if one is not None and one.value is not None and stand in begun.index and pd.notna(begun[stand])
    }


def _of(since: date, grows: Estimate, seasons: int, cut: float) -> Balance:
    ends = [None if end is None else end * seasons for end in (grows.value, grows.low, grows.high)]
    return _balance(since, ends, cut, grows.level)


def _balance(since: date, grown: list[float | None], cut: float, level: float) -> Balance:
    kind: RangeKind = "none" if grown[1] is None or grown[2] is None else "assumptions"
    grew = Estimate(grown[0], "cords", grown[1], grown[2], level, kind)
    less = [None if end is None else end - cut for end in grown]
    return Balance(since, grew, cut, Estimate(less[0], "cords", less[1], less[2], level, kind))


def total(of: Iterable[Balance]) -> Balance | None:
    """All balances together, their ends added as they stand: one table of growth is off everywhere alike."""
    each = list(of)
    if not each:
        return None
    grown: list[float | None] = [
        sum(end if (end := getattr(one.grown, name)) is not None else one.grown.value or 0.0 for one in each)
        for name in ("value", "low", "high")
    ]
    cut = sum(one.cut_cords for one in each)
    return _balance(min(one.since for one in each), grown, cut, each[0].grown.level)

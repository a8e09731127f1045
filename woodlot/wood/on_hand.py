"""What firewood there is for this winter and the next, from the ledger and from what the family counted.

OnHand, on_hand     cords that are dry, that dry for the next winter, that do not; where they lie; what went
Heap                a row of it: wood in one place that is dry by one winter
winter_of           the year in which the winter begins that a day belongs to

What is dry is told at the mean pace, of the day asked or of the first day of fires of the coming winter.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas as pd

from woodlot.region import Region
from woodlot.trade import DRYING_KINDS, GONE_KINDS
from woodlot.wood.woodpile import HOME, NOTHING, STACK, WOODS, Fire, Lot, Measured, Pile, heat_of, pile, wood_lines

__all__ = ["Heap", "OnHand", "on_hand", "winter_of"]

TOPIC = "defaults_drying"
#: Month from which wood counts for the coming winter.
WINTER_FROM = 5
BURNED, GIVEN = GONE_KINDS
#: Wood that is dry, and wood that dries in a stack, beside the places of ``woodpile``.
DRY, DRYING = "dry", "drying"


@dataclass(frozen=True)
class Heap:
    """Wood in one place (``WOODS``, ``HOME``, drying, dry) or gone this winter (burned, given).

    by_winter: the year in which the winter begins that finds it dry; None for wood that is gone, and for wood that is
    not dry in five years. lines: of the ledger.
    """

    where: str
    by_winter: int | None
    cords: float
    mmbtu: float
    lines: tuple[int, ...] = ()


@dataclass(frozen=True, kw_only=True)
class OnHand:
    """Cords of firewood for this winter and the next.

    dry_cords: at the mean pace; dry_low_cords: at the slowest, and noted as stacked; dry_high_cords: at the quickest;
    noted_cords: of these in the ledger and not in the count; drying_cords: more that is dry when the next winter's
    fires begin; burned_cords, given_cords: this winter; past_cords: taken to have been burned in winters without a
    note; in_count, cut_only, not_named: whether the ledger has wood that is taken to be in the count, that is noted as
    cut or hauled only, that is not named; dry_mmbtu, burned_mmbtu: gross heat; wood: where it all is; measured: stacks
    that were measured since the winter began, or last; count_left: whether one of these takes the place of the count.
    """

    dry_cords: float
    dry_low_cords: float
    dry_high_cords: float
    noted_cords: float
    drying_cords: float
    later_cords: float
    burned_cords: float
    past_cords: float
    in_count: bool
    cut_only: bool
    not_named: bool
    given_cords: float = 0.0
    dry_mmbtu: float = 0.0
    burned_mmbtu: float = 0.0
    wood: tuple[Heap, ...] = ()
    measured: tuple[Measured, ...] = ()
    count_left: bool = False


def on_hand(
    ledger: pd.DataFrame,
    as_of: date,
    region: Region,
    *,
    need_cords: float | None = None,
    counted_cords: float | None = None,
    counted_on: date | None = None,
    burned_cords: float = 0.0,
    solid_cuft_per_cord: float = 79.0,
) -> OnHand:
    """Cords of firewood for this winter and the next.

    Parameters
    ----------
    ledger
        Standing lines.
    as_of
        The day asked; what is dry is told of it, or of the first day of the coming winter where that is later.
    region
        For the months of the air.
    need_cords
        What the house burns in a winter: a past winter without a line of kind "burned" is taken to have burned it.
    counted_cords, counted_on
        Dry wood that somebody counted, and the day; without a day it is what was dry for this winter before its first
        fire. Wood of the ledger that may have been dry by then (without a day: by now) is in it and not counted again.
        A stack measured on that day or later (without a day: this winter) takes its place.
    burned_cords
        Known to be burned this winter, where the ledger may say less.
    solid_cuft_per_cord
        Cubic feet of wood in a cord, for its heat.
    """
    lines, first = wood_lines(ledger, as_of), winter_of(as_of)
    now, begin = max(as_of, _fires_from(first, region=region)), date(first, WINTER_FROM, 1)
    fires = _gone(ledger, as_of)
    noted = sum(fire.cords for fire in fires if fire.kind == BURNED and fire.day >= begin)
    if burned_cords > noted:
        fires.append(Fire(as_of, burned_cords - noted))
    since = counted_on or begin
    count_left = counted_cords is not None and _measured_from(lines, since)
    counts = counted_cords is not None and not count_left
    skipped: list[Lot] = []

    def in_count(lot: Lot) -> bool:
        there = counts and lot.line is not None and _by(lot.ready[0], counted_on or as_of)
        if there and lot.cords > 0:
            skipped.append(lot)
        return there

    count = Lot(None, since, STACK, "", counted_cords or 0.0, None, since, "covered", (0.0,) * 3)
    fires = [fire for fire in fires if not counts or fire.day >= since]
    start = since if counts else lines["date"].min().date() if len(lines) else None
    fires += _past(fires, start, first, need_cords, region=region)
    there = pile(lines, fires, solid_cuft_per_cord, first=[count] * counts, skip=in_count, region=region)
    return _told(there, now, begin, bool(skipped), count_left, max(noted, burned_cords), solid_cuft_per_cord, region)


def _told(
    there: Pile,
    now: date,
    begin: date,
    in_count: bool,
    count_left: bool,
    burned_cords: float,
    solid: float,
    region: Region,
) -> OnHand:
    lots = [lot for lot in there.lots if lot.cords > NOTHING]
    low, mid, high = (sum(lot.cords for lot in lots if _by(lot.ready[at], now)) for at in (2, 1, 0))
    drying = sum(lot.cords for lot in lots if _by(lot.ready[1], _fires_from(winter_of(now) + 1, region=region))) - mid
    gone = [(fire, found, heat) for fire, found, heat in there.gone if fire.noted and fire.day >= begin]
    heap = _heaps(lots, now, solid, region) + _went(gone, solid, region)
    recent = [one for one in there.measured if one.day >= begin] or there.measured[-1:]
    return OnHand(
        dry_cords=mid,
        dry_low_cords=low,
        dry_high_cords=high,
        noted_cords=sum(lot.cords for lot in lots if _by(lot.ready[0], now) and lot.line is not None),
        drying_cords=drying,
        later_cords=sum(lot.cords for lot in lots) - mid - drying,
        burned_cords=burned_cords,
        past_cords=sum(found for fire, found, _ in there.gone if not fire.noted),
        in_count=in_count,
        cut_only=any(lot.kind in (WOODS, HOME) for lot in lots),
        not_named=any(lot.line is not None and not lot.species for lot in lots),
        given_cords=sum(fire.cords for fire, _, _ in gone if fire.kind == GIVEN),
        dry_mmbtu=sum(one.mmbtu for one in heap if one.where == DRY),
        burned_mmbtu=sum(one.mmbtu for one in heap if one.where == BURNED),
        wood=tuple(heap),
        measured=tuple(recent),
        count_left=count_left,
    )


def _heaps(lots: Sequence[Lot], now: date, solid: float, region: Region) -> list[Heap]:
    """Lots by place and the winter that finds them dry, in the order of their way; dry wood last."""
    sums: dict[tuple[int, int], list[Any]] = {}
    for lot in lots:
        dry = _by(lot.ready[1], now)
        year = winter_of(now) if dry else _winter_for(lot.ready[1], region=region)
        place = 3 if dry else {WOODS: 0, HOME: 1}.get(lot.kind, 2)
        row = sums.setdefault((place, year or 9999), [0.0, 0.0, set()])
        row[0] += lot.cords
        row[1] += lot.cords * heat_of(lot.species, solid, region=region)
        row[2] |= set() if lot.line is None else {lot.line}
    return [
        Heap((WOODS, HOME, DRYING, DRY)[place], None if year == 9999 else year, cords, heat, tuple(sorted(lines)))
        for (place, year), (cords, heat, lines) in sorted(sums.items())
    ]


def _went(gone: Sequence[tuple[Fire, float, float]], solid: float, region: Region) -> list[Heap]:
    """What was burned and given: wood that no line brought is of the usual mix."""
    out = []
    for kind in GONE_KINDS:
        mine = [one for one in gone if one[0].kind == kind]
        cords, found = sum(fire.cords for fire, _, _ in mine), sum(found for _, found, _ in mine)
        heat = sum(heat for _, _, heat in mine) + (cords - found) * heat_of("", solid, region=region)
        out += [Heap(kind, None, cords, heat)] if mine else []
    return out


def _by(ready: date | None, day: date) -> bool:
    return ready is not None and ready <= day


def _winter_for(ready: date | None, *, region: Region) -> int | None:
    """The year of the first winter whose fires begin when wood is dry."""
    if ready is None:
        return None
    year = ready.year
    return year if ready <= _fires_from(year, region=region) else year + 1


def winter_of(day: date) -> int:
    """The year in which the winter begins that a day belongs to or comes before."""
    return day.year - (day.month < WINTER_FROM)


def _fires_from(year: int, *, region: Region) -> date:
    """The day from which the fires of a winter burn."""
    return date(year, int(region.figure(TOPIC, "fires_from_month")), 1)


def _gone(ledger: pd.DataFrame, as_of: date) -> list[Fire]:
    """Cords burned and given until a day."""
    rows = ledger[ledger["kind"].isin(GONE_KINDS) & (ledger["unit"] == "cord") & (ledger["amount"] > 0)]
    days = pd.to_datetime(rows["date"]).dt.date
    told = zip(days, rows["amount"].astype(float), rows["kind"], strict=True)
    return [Fire(day, cords, kind) for day, cords, kind in told if day <= as_of]


def _measured_from(lines: pd.DataFrame, since: date) -> bool:
    """Whether a stack was measured on a day or later."""
    taped = lines.loc[lines["kind"] == DRYING_KINDS[-1], "date"]
    return bool((pd.to_datetime(taped) >= pd.Timestamp(since)).any())


def _past(fires: Sequence[Fire], start: date | None, first: int, need: float | None, *, region: Region) -> list[Fire]:
    """A fire of the need in every winter before this one, from a day on, that has no note of burning."""
    if start is None or not need:
        return []
    known = {winter_of(fire.day) for fire in fires if fire.kind == BURNED}
    years = [year for year in range(winter_of(start), first) if year not in known]
    return [Fire(_fires_from(year, region=region), need, noted=False) for year in years]

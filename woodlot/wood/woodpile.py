"""The family's firewood on its way, line by line of the ledger: cut, hauled, split, stacked, dry, burned or given.

pile       every lot of wood with where it is and the days on which it comes to be dry; what was burned and given;
           what a tape said of a stack

Who heats with wood asks: what lies where, when is it dry, and is anything counted twice? A line of wood hauled, split
or stacked takes up wood that earlier lines brought so far (of its own kind first, then the latest), so that every cord
is in one place; what no line says was cut is from before the book. A measured stack is what stands there: it takes up
split and hauled wood as a stack does where it is more than was counted, and makes the lots less where it is not.

Wood noted as cut or hauled only dries as if it were split and stacked that day, but never surely. Split wood that no
line stacks dries as a stack from that day. Wood that is not named dries as hard maple and heats as the usual mix.
"""

import heapq
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import pandas as pd

from woodlot.region import Region, once
from woodlot.trade import DRYING_KINDS
from woodlot.wood.cords import heat_mmbtu_per_cord
from woodlot.wood.drying import dry_days, months_to_dry
from woodlot.wood.pile_lines import PileLine, told, wood_lines

__all__ = ["NOTHING", "USUAL_MIX", "Fire", "Measured", "Pile", "heat_of", "pile", "wood_lines"]

#: Wood of which nobody says what it is: kind -> share.
USUAL_MIX = {"northern red oak": 0.5, "red maple": 0.5}
#: Where a lot may be, as the kind of line that brought it there; the way of a measured stack is a stack's.
WOODS, HOME, SPLIT, STACK = PLACES = DRYING_KINDS[:4]
#: Moisture by which gross heat is told; gross heat is the same at every moisture.
_ANY_MOISTURE = 20.0
_NEVER = date.max


@dataclass(slots=True)
class Lot:
    """Cords of one wood in one place, with the line that brought them there.

    months: in which it dries from split_on on, at the quickest, the mean and the slowest pace.
    """

    line: int | None
    day: date
    kind: str
    species: str
    cords: float
    cut_on: date | None
    split_on: date
    cover: str
    months: tuple[float, ...]
    at: int = 0

    @property
    def ready(self) -> tuple[date | None, ...]:
        """Days on which it is dry at the three paces; None: not in five years, or for the last: nobody wrote that it
        was split or stacked.
        """
        days = dry_days(self.split_on, self.months)
        return days if self.kind in (SPLIT, STACK) else (*days[:2], None)

    @property
    def dry_on(self) -> date | None:
        """The day on which it is dry at the mean pace."""
        return dry_days(self.split_on, self.months[1:2])[0]


@dataclass(frozen=True)
class Fire:
    """Wood burned or given on a day. noted False: of a winter without a note, then only wood that may be dry burns."""

    day: date
    cords: float
    kind: str = "burned"
    noted: bool = True


@dataclass(frozen=True)
class Measured:
    """A stack measured by the tape: cords counted by the lines before it, brought to it then, and by the tape."""

    lines: tuple[int, ...]
    day: date
    species: str
    counted_cords: float
    brought_cords: float
    cords: float

    @property
    def off_cords(self) -> float:
        """What the tape found more (or less) than the lines account for."""
        return self.cords - self.counted_cords - self.brought_cords


@dataclass
class Pile:
    """Lots that are left, in the order in which they came; what went: (fire, cords it found, million Btu of them);
    stacks that were measured.
    """

    lots: list[Lot] = field(default_factory=list)
    gone: list[tuple[Fire, float, float]] = field(default_factory=list)
    measured: list[Measured] = field(default_factory=list)

    def frame(self) -> pd.DataFrame:
        """Lots with cords in them: line, day, kind, species, cords, cut_on, split_on, cover, ready_from, ready_on,
        ready_by.
        """
        rows = [[*(getattr(lot, name) for name in _SHOWN), *lot.ready] for lot in self.lots if lot.cords > NOTHING]
        out = pd.DataFrame(rows, columns=[*_SHOWN, *_DAYS[-3:]])
        return out.assign(**{name: pd.to_datetime(out[name]) for name in _DAYS})


_SHOWN = ("line", "day", "kind", "species", "cords", "cut_on", "split_on", "cover")
_DAYS = ("day", "cut_on", "split_on", "ready_from", "ready_on", "ready_by")
#: Cords that are only what sums leave over.
NOTHING = 1e-9


@once
def heat_of(species: str, solid_cuft_per_cord: float, *, region: Region) -> float:
    """Gross heat of a cord, million Btu; of the usual mix where the wood is not named."""
    mix = {species: 1.0} if species else USUAL_MIX
    return float(
        sum(
            share
            * heat_mmbtu_per_cord(region.species.name(name), _ANY_MOISTURE, solid_cuft_per_cord, "gross", region=region)
            for name, share in mix.items()
        )
    )


def pile(
    lines: pd.DataFrame,
    fires: Iterable[Fire],
    solid_cuft_per_cord: float,
    *,
    first: Iterable[Lot] = (),
    skip: Callable[[Lot], bool] = lambda lot: False,
    region: Region,
) -> Pile:
    """The wood after all lines and fires, in the order of their days.

    Parameters
    ----------
    lines
        ``wood_lines``.
    fires
        What was burned and given; of a day after its lines. A noted fire burns whatever there is, the driest first.
    solid_cuft_per_cord
        Cubic feet of wood in a cord, for its heat.
    first
        Lots that stand there besides, from their day on.
    skip
        Of a lot whether it is counted elsewhere, and holds nothing here.
    region
        Region whose tables are used.
    """
    heap = _Heap(solid_cuft_per_cord, skip, region)
    events: list[tuple[date, int, int, Any]] = [(lot.day, 0, at, lot) for at, lot in enumerate(first)]
    measured: dict[date, list[PileLine]] = defaultdict(list)
    for at, line in enumerate(told(lines, region)):
        if line.kind == DRYING_KINDS[-1]:
            measured[line.day].append(line)
        else:
            events.append((line.day, 1, at, line))
    events += [(day, 2, 0, taped) for day, taped in measured.items()]
    events += [(fire.day, 3, at, fire) for at, fire in enumerate(fires)]
    ways = (heap.add, heap.move, heap.measure, heap.burn)
    for _, kind, _, event in sorted(events):  # no two are alike in the first three
        ways[kind](event)
    return heap.pile


class _Heap:
    """Lots as they come and go; open lots by place, the latest last, and what a fire may find by the day it is dry."""

    def __init__(self, solid: float, skip: Callable[[Lot], bool], region: Region):
        self.solid, self.skip, self.region = solid, skip, region
        self.pile = Pile()
        self._of_place: dict[str, list[Lot]] = defaultdict(list)
        self._of_kind: dict[tuple[str, str], list[Lot]] = defaultdict(list)
        #: Wood that is split or stacked, and other wood; what came since the last fire is not yet among them.
        self._driest: tuple[list[tuple[date, int, Lot]], ...] = ([], [])
        self._came: list[Lot] = []
        #: What was looked up already: months in which wood dries, heat of a cord.
        self._months: dict[tuple[int, str, str, bool], tuple[float, ...]] = {}
        self._heat: dict[str, float] = {}

    def add(self, lot: Lot) -> None:
        """Put a lot in its place."""
        if self.skip(lot):
            lot.cords = 0.0
        lot.at = len(self.pile.lots)
        self.pile.lots.append(lot)
        self._of_place[lot.kind].append(lot)
        self._of_kind[lot.kind, lot.species].append(lot)
        self._came.append(lot)

    def move(self, line: PileLine) -> None:
        """Bring wood to where a line says it is: cut wood is new, other wood was there before as far as lines say."""
        if line.kind == WOODS:
            self.add(self._lot(line, line.species, line.cords))
            return
        taken, rest = self._take(line, line.cords)
        for species, split_on, cords in taken:
            self.add(self._lot(line, species, cords, split_on))
        if rest > NOTHING:
            self.add(self._lot(line, line.species or (taken[0][0] if taken else ""), rest))

    def _take(self, line: PileLine, cords: float) -> tuple[list[tuple[str, date | None, float]], float]:
        """What is taken up for a line: (wood, split on, cords), alike ones together; and what is missing."""
        kind = STACK if line.kind not in PLACES else line.kind
        places = PLACES[: PLACES.index(kind)][::-1]
        out: dict[tuple[str, date | None], float] = {}
        own = [self._of_kind[place, line.species] for place in places] if line.species else []
        for lots in [*own, *(self._of_place[place] for place in places)]:
            while lots and lots[-1].cords <= NOTHING:  # empty ones at the end are let go
                lots.pop()
            for lot in reversed(lots):
                if lot.cords <= NOTHING:
                    continue
                took = lot.cords if lot.cords < cords else cords
                lot.cords -= took
                cords -= took
                split_on = lot.split_on if lot.kind == SPLIT else None
                key = (line.species or lot.species, split_on)
                out[key] = out.get(key, 0.0) + took
                if cords <= NOTHING:
                    return [(*key, much) for key, much in out.items()], 0.0
        return [(*key, much) for key, much in out.items()], cords

    def _lot(self, line: PileLine, species: str, cords: float, split_on: date | None = None) -> Lot:
        kind = STACK if line.kind not in PLACES else line.kind
        stacked = kind in (SPLIT, STACK)
        rounds = line.rounds and stacked
        day = (line.cut_on if rounds else line.split_on or split_on) or line.day
        months = self._dries_in(day.month, species, line.cover, rounds)
        return Lot(line.line, line.day, kind, species, cords, line.cut_on, day, line.cover, months)

    def _dries_in(self, month: int, species: str, cover: str, rounds: bool) -> tuple[float, ...]:
        how = (month, species, cover, rounds)
        if (months := self._months.get(how)) is None:
            name, thick = species or "sugar maple", None if rounds else 5.0
            self._months[how] = months = months_to_dry(name, month, thick, cover, region=self.region)
        return months

    def measure(self, lines: list[PileLine]) -> None:
        """Stacks measured on one day: those of one wood together, then those that are not named for all the rest."""
        named = sorted({line.species for line in lines if line.species})
        for species in [*named, ""]:
            mine = [line for line in lines if line.species == species]
            if mine:
                self._measure(mine, species, named)

    def _measure(self, lines: list[PileLine], species: str, named: list[str]) -> None:
        there = self._of_place[STACK] = [lot for lot in self._of_place[STACK] if lot.cords > NOTHING]
        here = [lot for lot in there if (lot.species == species if species else lot.species not in named)]
        counted, taped = sum(lot.cords for lot in here), sum(line.cords for line in lines)
        if taped < counted:
            share = taped / counted
            for lot in here:
                lot.cords *= share
        last, missing, brought = lines[-1], max(taped - counted, 0.0), 0.0
        if missing > NOTHING:
            taken, rest = self._take(last, missing)
            brought = missing - rest
            for kind, split_on, cords in taken:
                self.add(self._lot(last, kind, cords, split_on))
            if rest > NOTHING and counted > NOTHING:
                for lot in here:
                    lot.cords *= (counted + rest) / counted
            elif rest > NOTHING:
                self.add(self._lot(last, species, rest))
        ids = tuple(line.line for line in lines)
        self.pile.measured.append(Measured(ids, last.day, species, counted, brought, taped))

    def burn(self, fire: Fire) -> None:
        """Take out what a fire burned, or what was given away: dry wood of a stack before other dry wood, and else the
        driest there is; without a note only wood that may be dry.
        """
        split, other = self._driest
        for lot in self._came:
            if lot.cords:  # most wood was brought on to another place before it could burn
                heapq.heappush(split if lot.kind in (SPLIT, STACK) else other, (lot.dry_on or _NEVER, lot.at, lot))
        self._came.clear()
        ways: tuple[tuple[date, list[Any]], ...] = ((_NEVER, other),)
        if fire.noted:
            ways = ((fire.day, []), (_NEVER, other))
        left, heat = fire.cords, 0.0
        for until, more in ways:
            left, told = self._out(left, until, split, more, None if fire.noted else fire.day)
            heat += told
        self.pile.gone.append((fire, fire.cords - left, heat))

    def _out(
        self, cords: float, until: date, split: list[Any], other: list[Any], may_by: date | None
    ) -> tuple[float, float]:
        """Cords that could not be taken of lots dry by a day, the driest first; million Btu of those taken.

        may_by: only lots that may be dry by then; None: all.
        """
        heat, back = 0.0, []
        while cords > NOTHING and (split or other):
            heap = split if split and (not other or split[0] < other[0]) else other
            if heap[0][0] > until:
                break
            key = heapq.heappop(heap)
            lot = key[2]
            if may_by is None or (lot.ready[0] or _NEVER) <= may_by:
                took = min(lot.cords, cords)
                lot.cords, cords = lot.cords - took, cords - took
                heat += took * self._heat_of(lot.species)
            if lot.cords > NOTHING:
                back.append((heap, key))
        for heap, key in back:
            heapq.heappush(heap, key)
        return cords, heat

    def _heat_of(self, species: str) -> float:
        if (heat := self._heat.get(species)) is None:
            self._heat[species] = heat = heat_of(species, self.solid, region=self.region)
        return heat

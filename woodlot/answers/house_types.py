"""The house in the answers, as frozen values; a unit stands at the end of a field's name."""

from dataclasses import dataclass, field

from woodlot.answers.as_json import LEFT_OUT
from woodlot.estimate import Number

__all__ = ["House", "HouseWinter", "MeasuredStack", "WoodHeap"]


@dataclass(frozen=True)
class WoodHeap:
    """Wood on hand in one place that is dry by one winter, or gone this winter; lines: of the ledger."""

    where: str
    winter: str | None
    cords: float
    mmbtu: float
    lines: tuple[int, ...]
    words: str


@dataclass(frozen=True)
class MeasuredStack:
    """A stack measured by the tape: cords by the lines before it, brought to it then, by the tape, and what is off."""

    date: str
    lines: tuple[int, ...]
    species: str
    counted_cords: float
    brought_cords: float
    cords: float
    off_cords: float
    words: str


@dataclass(frozen=True)
class House:
    """What the house burns in a winter, what is dry or drying, what is short and what to cut for the next winter."""

    needed: Number | None
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
    dry_from: tuple[str, ...]
    dry_on: str | None
    short: Number | None
    cut_now_cords: float | None
    can_cut_cords: float | None
    covers_pct: float | None
    given_cords: float | None = field(default=None, metadata=LEFT_OUT)
    dry_mmbtu: float | None = field(default=None, metadata=LEFT_OUT)
    burned_mmbtu: float | None = field(default=None, metadata=LEFT_OUT)
    needed_mmbtu: float | None = field(default=None, metadata=LEFT_OUT)
    short_mmbtu: float | None = field(default=None, metadata=LEFT_OUT)
    wood: tuple[WoodHeap, ...] | None = field(default=None, metadata=LEFT_OUT)
    measured: tuple[MeasuredStack, ...] | None = field(default=None, metadata=LEFT_OUT)
    count_left: bool | None = field(default=None, metadata=LEFT_OUT)


@dataclass(frozen=True)
class HouseWinter:
    """Cords for one winter: dry or drying now, still to be cut, and the need."""

    winter: str
    stacked: float
    to_cut: float
    need: Number

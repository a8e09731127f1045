"""The work of this winter in the answers, as frozen values; a unit stands at the end of a field's name."""

from dataclasses import dataclass

from woodlot.answers.fell_types import SheetTree

__all__ = ["Meets", "ThisWinter", "WinterTask", "WinterWant"]


@dataclass(frozen=True)
class Meets:
    """How much of something wanted a task gives."""

    name: str
    unit: str
    number: float


@dataclass(frozen=True, kw_only=True)
class WinterTask:
    """One thing to do this winter, in its order.

    kind: clear (trees on ground to be cleared), fell (marked trees), salvage or cut (a stand of the plan); trees: to
    fell by hand, tree_names as painted; not_by_hand: more that are not for hand felling; words: all of it in sentences,
    why: the reason of its place in the list.
    """

    order: int
    kind: str
    stand_id: str
    parcel_id: str
    title: str
    words: str
    why: str
    trees: float
    tree_names: tuple[str, ...]
    not_by_hand: int
    cords: float
    firewood_cords: float
    heat_mmbtu: float | None
    bdft: float
    days: float
    meets: tuple[Meets, ...]
    acres: float | None
    ft_from_road: float | None
    miles_from_home: float | None
    months: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class WinterWant:
    """Something wanted this winter: how much, from trees of the tally, from stands of the plan, and what is short."""

    name: str
    unit: str
    wanted: float
    from_tally: float
    from_plan: float
    short: float
    words: str


@dataclass(frozen=True, kw_only=True)
class ThisWinter:
    """The list of this winter's work and its sum.

    words: the sum in sentences; fits: how tally and plan share what is wanted; marked: trees of the tally that stay;
    sheet: its trees that fall, with their cuts; not_by_hand, posts: what is said beside them, as by the fell verb.
    """

    tasks: tuple[WinterTask, ...]
    trees: float
    cords: float
    firewood_cords: float
    bdft: float
    days: float
    days_have: float | None
    wants: tuple[WinterWant, ...]
    words: str
    fits: str
    marked: int
    marked_words: str
    sheet: tuple[SheetTree, ...]
    not_by_hand: str
    posts: str

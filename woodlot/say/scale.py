"""Standing wood in words: cords in all and where their range comes from, board feet, what a cord is.

headline      cords in all
range_parts   where their range comes from
board_feet    board feet by the rule of the place
as_measured   that growth since the plots is not in it
no_ranges     why parcels have no range
not_met       kinds of tree that no plot there met
cord          what a cord is
"""

from collections.abc import Iterable
from dataclasses import replace

from woodlot.estimate import Number
from woodlot.say import words

__all__ = ["as_measured", "board_feet", "cord", "headline", "no_ranges", "not_met", "range_parts"]


def headline(cords: Number) -> str:
    """Cords in all, or why there is no number."""
    if cords.value is None:
        return f"No number yet: {cords.why}."
    return f"{words.capital(words.answer(replace(cords, unit='full cords')))}."


def range_parts(plots: Number, table: Number, stacked: Number) -> str:
    """Where the range of the cords comes from."""
    return (
        f"What plots can mend: {words.range_words(plots)}; what no plot can mend, mostly the volume table, "
        f"{words.range_words(table)}; against a stacked pile {words.range_words(stacked)}."
    )


def board_feet(log_rule: str, bdft: Number) -> str:
    """Board feet by the rule of the place."""
    return f"Board feet, {words.rule(log_rule)}: {words.answer(bdft)}."


def as_measured(measured: str) -> str:
    """That growth since the plots is not in it."""
    return (
        f"This is what the plots found, measured {measured}. Growth and cutting since then are not in it; woodlot grow "
        "brings it to today."
    )


def no_ranges(parcels: Iterable[tuple[str, Number]]) -> list[str]:
    """Why parcels have no range, each reason once with the parcels it holds for; parcels with their cords."""
    by: dict[str, list[str]] = {}
    for parcel, cords in parcels:
        if cords.low is None and cords.why:
            by.setdefault(cords.why, []).append(parcel)
    return [f"Parcel{'s' * (len(names) > 1)} {', '.join(names)}: {why}." for why, names in by.items()]


def not_met(kinds: Iterable[tuple[str, Number]]) -> list[str]:
    """Kinds that no plot met with the most there may be of each, those alike together; kinds with their cords."""
    by: dict[str, list[str]] = {}
    for kind, cords in kinds:
        if cords.value == 0:
            by.setdefault(cords.why, []).append(kind)
    return [
        f"{words.capital(words.listed(some))}: 0 cords{' each' * (len(some) > 1)}, {why}." for why, some in by.items()
    ]


def cord(solid_cuft: float) -> str:
    """What a cord is, and what is in it."""
    return (
        f"A full cord is 4 x 4 x 8 feet, {solid_cuft:.4g} cubic feet of solid wood, no bark; sound live wood from a "
        "1-foot stump to a 4-inch top. Logs and the rest add up to cords: no wood is counted twice. Branches are not "
        "in it. Sums are made before rounding."
    )

"""The first screen: of each row its number, its range and why.

stands     what stands
cut        what may be taken
coming     what the plan gives of what is wanted
nothing_yet  both before there is a plot
changed    since last year
no_next    where no stand is named to measure next
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from datetime import date
from typing import NamedTuple

from woodlot.estimate import Number
from woodlot.say.words import amount, capital, day, range_words, rounded, told

__all__ = ["RowWords", "changed", "coming", "cut", "no_next", "nothing_yet", "stands"]


class RowWords(NamedTuple):
    """What a row says: number first, its range beside it, then why."""

    number: str
    range: str
    why: str


def stands(cords: Number, by_plots_alone: Number, acres_with_plots: float) -> RowWords:
    """What stands in all."""
    if cords.value is None:
        return RowWords("No number yet", "", f"{capital(cords.why)}.")
    why = [f"On {acres_with_plots:,.1f} acres with plots."]
    if cords.low is not None:
        rest = "the rest is what no plot can mend, mostly the volume table."
        why.append(f"What plots can mend: {range_words(by_plots_alone)}; {rest}")
    if cords.why:
        why.append(f"{capital(cords.why)}.")
    return RowWords(told(replace(cords, unit="full cords")), range_words(cords), " ".join(why))


def cut(growth: Number, ceiling_cords_per_yr: float, why: Sequence[str], plots: Sequence[int]) -> RowWords:
    """What may be taken each year; why: sentences of the ceilings; plots: how many each stand has."""
    if growth.value is None:
        more = "More plots" if any(n >= 3 for n in plots) else "Three plots"
        reason = f"{capital(growth.why)}. {more} in a stand would give a first figure."
        return RowWords("No number yet", "plan no cut on it", reason)
    number = f"{amount(ceiling_cords_per_yr, 'cords')} a year at most"
    of_growth = f"of {rounded(growth.value, 'cords')} that grow; {range_words(growth)}"
    return RowWords(number, of_growth, " ".join(one for one in why if one))


def coming(keys: Collection[str], found: Iterable[str], years: int) -> RowWords | None:
    """What a plan of so many years gives of what is wanted, its findings by key and in words; None for none."""
    if set(keys) <= {"nothing due"}:
        return None
    number = (
        "Nothing asked"
        if "nothing asked" in keys
        else "Not all that is wanted"
        if {"cannot be had", "gives none"} & set(keys)
        else "All that is wanted"
        if "met" in keys
        else "All that may be cut"
    )
    return RowWords(number, f"{years} years", " ".join(found))


def nothing_yet() -> tuple[RowWords, RowWords]:
    """What stands, and what may be taken, before there is a plot."""
    why = "Three plots in a stand give a first number with its range."
    return RowWords("No number yet", "", why), RowWords("No number yet", "plan no cut on it", "")


def changed(done: Sequence[str], since: date) -> RowWords:
    """What was done in a year."""
    number, *rest = done or ("nothing written down",)
    return RowWords(capital(number), f"since {day(since)}", f"{capital('; '.join(rest))}." if rest else "")


def no_next(plots: Sequence[int], told: Sequence[str]) -> RowWords:
    """Where no plot is laid out to measure next; plots: how many each stand has; told: how near the answer is."""
    if not plots:
        return RowWords("Nothing yet", "", "There is no ground to put a plot on.")
    if all(plots) or told:
        return RowWords("Nothing more", "for cords", " ".join(told) or "Every stand has plots.")
    return RowWords("Nothing more", "for cords", "Every stand that can be worked has plots.")

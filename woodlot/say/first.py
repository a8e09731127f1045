"""The first screen: the line that decides, and of each row its number, its range and why.

headline   the decision of this winter
stands     what stands
cut        what may be taken
nothing_yet  both before there is a plot
winter     this winter's work
changed    since last year
no_next    where no stand is named to measure next
"""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from woodlot.estimate import Number
from woodlot.say.words import amount, capital, day, noun, range_words, rounded

__all__ = ["RowWords", "changed", "cut", "headline", "no_next", "nothing_yet", "stands", "winter"]

SMALL = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


class RowWords(NamedTuple):
    """What a row says: number first, its range beside it, then why."""

    number: str
    range: str
    why: str


def headline(drawn: int, acres_with_plots: float, cut_now: int, to_put: str = "") -> str:
    """The decision of this winter in one line; drawn, cut_now: stands there are, and stands to cut; to_put: plots."""
    if not acres_with_plots and to_put:
        return f"You have not measured enough to say. This weekend: {to_put}."
    if not acres_with_plots:
        return "No plots yet. Put three in the largest stand for a first figure."
    if not cut_now:
        return "Cut nothing this winter."
    rest = drawn - cut_now
    leave = "" if not rest else " Leave the other one." if rest == 1 else f" Leave the other {_number_word(rest)}."
    return f"Cut in {_number_word(cut_now)} {noun(cut_now, 'stand')} this winter.{leave}"


def _number_word(n: int) -> str:
    return SMALL[n] if n < len(SMALL) else str(n)


def stands(cords: Number, by_plots_alone: Number, acres_with_plots: float) -> RowWords:
    """What stands in all."""
    if cords.value is None:
        return RowWords("No number yet", "", f"{capital(cords.why)}.")
    why = [f"On {acres_with_plots:,.1f} acres with plots."]
    if cords.low is not None:
        rest = "the rest is the volume table, which no plot can mend."
        why.append(f"The plots alone: {range_words(by_plots_alone)}; {rest}")
    if cords.why:
        why.append(f"{capital(cords.why)}.")
    return RowWords(amount(cords.value, "full cords"), range_words(cords), " ".join(why))


def cut(
    growth: Number, ceiling_cords_per_yr: float, smallest: Number, why: Sequence[str], plots: Sequence[int]
) -> RowWords:
    """What may be taken each year; why: sentences of the ceilings; plots: how many each stand has."""
    if growth.value is None:
        more = "More plots" if any(n >= 3 for n in plots) else "Three plots"
        reason = f"{capital(growth.why)}. {more} in a stand would give a first figure."
        return RowWords("No number yet", "plan no cut on it", reason)
    number = f"{amount(ceiling_cords_per_yr, 'cords')} a year at most"
    low_end = f"low end of {rounded(smallest.value or 0.0, 'cords')}; {range_words(smallest)}"
    return RowWords(number, low_end, " ".join(one for one in why if one))


def nothing_yet() -> tuple[RowWords, RowWords]:
    """What stands, and what may be taken, before there is a plot."""
    why = "Three plots in a stand give a first number with its range."
    return RowWords("No number yet", "", why), RowWords("No number yet", "plan no cut on it", "")


def winter(cords: float | None, cutting: Sequence[tuple[str, str, str]], may_cut: float = 0.0) -> RowWords:
    """Work of this winter; cutting: stand, name of its parcel and what is said of its cut; may_cut: cords a year."""
    if not cutting and may_cut > 0:
        return RowWords("Nothing", "", "What you may take is told above; none of it is planned for this winter.")
    if not cutting:
        return RowWords("Nothing", "", "No stand is due, or none is measured enough to plan a cut on.")
    why = " ".join(f"Stand {stand}, {parcel}: {_this_winter(words)}" for stand, parcel, words in cutting)
    return RowWords(amount(cords, "cords"), "at most", why)


def _this_winter(words: str) -> str:
    """What is to be done this winter, without its stand and without the years to come."""
    return words.split(": ", 1)[-1].split(" Over the years ", 1)[0]


def changed(done: Sequence[str], since: date) -> RowWords:
    """What was done in a year."""
    number, *rest = done or ("nothing written down",)
    return RowWords(capital(number), f"since {day(since)}", f"{capital('; '.join(rest))}." if rest else "")


def no_next(plots: Sequence[int]) -> RowWords:
    """Where no stand is named to measure next; plots: how many each stand has."""
    if not plots:
        return RowWords("Nothing yet", "", "There is no ground to put a plot on.")
    which = "" if all(plots) else " that can be worked"
    return RowWords("Nothing more", "for cords", f"Every stand{which} has plots and none stands out.")

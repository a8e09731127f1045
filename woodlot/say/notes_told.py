"""Notes of the ledger summed up in words: what many of one kind come to, a year of them, and what a cap leaves out.

sum_words     what notes of one kind and unit come to
year_words    a year of them, kind by kind
older_words   how many are told so, and since when they are not
"""

from collections.abc import Sequence
from datetime import date

from woodlot.say.words import day, noted, noun
from woodlot.trade import DRYING_KINDS, GONE_KINDS, LEDGER_KINDS

__all__ = ["older_words", "sum_words", "year_words"]

#: Kinds of notes whose word is what was done, not a thing.
DONE = (*DRYING_KINDS[1:-1], *GONE_KINDS, "built")


def sum_words(kind: str, unit: str, total: float | None, lines: int) -> str:
    """What notes of one kind and unit come to: ``4 cords of firewood``, ``12 posts``, ``seen 3 times``."""
    known = LEDGER_KINDS.get(kind)
    what = kind if known is None else known.one if total == 1 else known.many
    if total is None:
        return what if lines == 1 else f"{what} {lines:,} times"
    if unit == "piece":
        return f"{total:,.6g} {what}"
    of = "" if kind in DONE else "of "
    return noted(total, unit.partition("_")[0]) + ("" if unit == kind else f" {of}{what}")


def year_words(kinds: Sequence[tuple[str, str, float | None, int]]) -> str:
    """A year of notes: kind, unit, amount and number of notes of each."""
    return f"{', '.join(sum_words(*one) for one in kinds)}."


def older_words(notes: int, until: date) -> str:
    """That the oldest notes are told by year and kind, and that nothing is lost."""
    are = "is" if notes == 1 else "are"
    have = "it" if notes == 1 else "them all"
    return (
        f"{notes:,} older {noun(notes, 'note')}, until {day(until)}, {are} told by year and kind; "
        f"the ledger has {have}."
    )

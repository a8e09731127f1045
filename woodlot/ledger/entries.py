"""What a line of the ledger may hold by its kind (``trade.TAKES``), and what its words say.

wrong      cells that are missing in new lines, or do not belong to their kind
said_in    the word of a closed list that a text says first
with_word  the words of a line that was typed by another word than its kind, such as an ice storm

Lines that are in the ledger are never held against this: they stay as they were written.
"""

from collections.abc import Mapping

import pandas as pd

from woodlot.columns import header
from woodlot.estimate import Reason, reason
from woodlot.species import spaced
from woodlot.trade import AGES_YR, DOES, SNOW_AND_HEAT, TAKES, Word, kind_named

__all__ = ["said_in", "with_word", "wrong"]

#: Columns that belong to some kinds alone; the others belong to all.
OF_A_KIND = tuple(dict.fromkeys(name for takes in TAKES.values() for name in (*takes.may, "sex_age")))


def wrong(lines: pd.DataFrame) -> list[tuple[int, str, Reason]]:
    """Position, column and why, of each cell of new lines that is missing, or does not belong to the kind of its line.

    lines: cells under the names of the ledger's columns, as many of them as there are; kinds by their own names.
    """
    cells = lines.reindex(columns=header("ledger")).reset_index(drop=True)
    cells = cells.astype(object).where(cells.notna() & (cells.astype(object) != ""), None)
    kind, there = cells["kind"].astype(str), cells.notna()
    out: list[tuple[int, str, Reason]] = []
    for name, takes in TAKES.items():
        here = kind == name
        if not here.any():
            continue
        for column in takes.must:
            out += [(at, column, reason("entry lacks", kind=name)) for at in _at(here & ~there[column])]
        for column in OF_A_KIND:
            if column not in (*takes.must, *takes.may):
                why = reason("entry takes none", kind=name, column=column, of=_of(column))
                told = there[column] & ~(there["amount"] if column == "unit" else False)
                out += [(at, column, why) for at in _at(here & told)]
        if takes.units:
            odd = here & there["unit"] & ~cells["unit"].isin(takes.units)
            out += [(at, "unit", reason("entry unit", kind=name, units=takes.units)) for at in _at(odd)]
    foreign = ~kind.isin([name for name, takes in TAKES.items() if takes.units]) & cells["unit"].isin(SNOW_AND_HEAT)
    out += [(at, "unit", reason("entry unit of weather")) for at in _at(foreign)]
    out += _of_deer(cells, kind == "deer")
    return sorted(out, key=lambda one: one[0])


def _at(which: pd.Series) -> list[int]:
    return which[which].index.tolist()


def _of(column: str) -> tuple[str, ...]:
    """Kinds that a column belongs to."""
    return tuple(kind for kind, takes in TAKES.items() if column in (*takes.must, *takes.may))


def _of_deer(cells: pd.DataFrame, deer: pd.Series) -> list[tuple[int, str, Reason]]:
    """Milk of a deer that has none, and ages that its class cannot have."""
    who, age = cells["sex_age"], pd.to_numeric(cells["age_yr"], errors="coerce")
    dry = deer & cells["milk"].notna() & who.notna() & ~who.isin(DOES)
    low, high = (who.map({one: ages[end] for one, ages in AGES_YR.items()}).astype(float) for end in (0, 1))
    odd = deer & ((age < low) | (age > high))
    out = [(at, "milk", reason("entry milk", of=DOES[0])) for at in _at(dry)]
    return out + [
        (at, "age_yr", reason("entry age", who=str(who[at]), low=float(low[at]), high=float(high[at])))
        for at in _at(odd)
    ]


def said_in(text: str, words: Mapping[str, Word]) -> str:
    """The key whose word stands first in a text, of two at one place the longer; "" for none."""
    plain = f" {spaced(''.join(c if c.isascii() and c.isalnum() else ' ' for c in text))} "
    found = [
        (plain.find(f" {way} "), -len(way), word.key)
        for word in words.values()
        for way in (word.key, word.one, word.many, *word.also)
        if f" {way} " in plain
    ]
    return min(found)[2] if found else ""


def with_word(typed: str, text: str | None) -> tuple[str, str | None]:
    """Kind and words of a line by what was typed for its kind; a word that names more than the kind is kept.

    >>> with_word("Ice storm", "limbs down"), with_word("cut", None)
    (('weather', 'ice storm; limbs down'), ('firewood', None))
    """
    kind, word = kind_named(typed)
    if not word or (text and said_in(text, TAKES[kind].words)):
        return kind, text
    return kind, f"{word}; {text}" if text else word

"""What is wrong with a note beside the ledger it goes into, in words.

cell_words   cells that cannot be by themselves; refuse: says the first of them
settled      the lines that it replaces, by their ids
otherwise    an id that the ledger has for something else
of_kinds     what lines lack by their kind, do not take, or name that is no kind of tree; trees: what reads such names
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pandas as pd

from woodlot import columns
from woodlot.column_kinds import cell_type, unit_of
from woodlot.errors import InputError
from woodlot.ledger import HEADING, bearing
from woodlot.ledger.entries import wrong
from woodlot.ledger.lines import LINE, cell_of
from woodlot.place.noting import Held
from woodlot.place.remedies import cell_remedy
from woodlot.place.single_files import kinds_of_trees
from woodlot.say.reasons import said

__all__ = ["cell_words", "of_kinds", "otherwise", "refuse", "settled", "trees"]


def cell_words(errors: Mapping[tuple[int, str], Any]) -> dict[int, dict[str, str]]:
    """Position -> column -> what is wrong with a cell by itself, in the words in which tables are read."""
    out: dict[int, dict[str, str]] = {}
    for (at, name), error in errors.items():
        declared = columns.Ledger.model_fields[name]
        words = cell_remedy(str(error["input"]), error, cell_type(declared)[1], unit_of(declared))
        out.setdefault(at, {})[name] = words
    return out


def refuse(errors: Mapping[tuple[int, str], Any]) -> None:
    """InputError for the first cell that cannot be by itself."""
    words = cell_words(errors)
    for (at, name), error in errors.items():
        raise InputError(f"{name} {cell_of(error['input'])}: {words[at][name]}")


def settled(line: dict[str, Any], book: Held, also: Collection[str] = ()) -> tuple[dict[str, Any], str]:
    """A line with the ids of those that it replaces, and what is wrong with their names.

    also: ids of other notes of its file; an id that a file gives stays alone, so that it is seen where another hand has
    set the same line right.
    """
    ids: list[str] = []
    for name in str(line.get("corrects", "")).split():
        if name in also or (also and name in book.ids):
            ids.append(name)
        elif found := book.replaced(name):
            if line.get("kind") == "void" and _all_void(found, book):
                return line, f"line {name} is taken out already; to bring it back, write it anew with --corrects {name}"
            ids += found
        elif many := bearing(book.lines, name):
            rows = " and ".join(str(book.book.rows[one]) for one in many)
            which = " or ".join(book.lines["id"].iloc[many])
            what = "bear the number" if name.isdigit() else "have an id that begins with"
            return line, f"{len(many)} lines of the ledger {what} {name}, in rows {rows}; say which by its id: {which}"
        else:
            return line, f"there is no line {name} to replace"
    return line | ({"corrects": " ".join(dict.fromkeys(ids))} if ids else {}), ""


def _all_void(ids: Sequence[str], book: Held) -> bool:
    """Whether one line alone is named, and it only takes out; two of them are a fork, which a third settles."""
    return len(ids) == 1 and bool((book.lines["kind"][book.lines["id"] == ids[0]] == "void").any())


def otherwise(held: Sequence[str], cells: Sequence[str]) -> str:
    """What a note says, and what the line that has its id says otherwise."""
    apart = [at for at, name in enumerate(HEADING[:-1]) if name not in ("line", "written") and held[at] != cells[at]]
    there, here = (", ".join(f"{HEADING[at]} {one[at] or 'empty'}" for at in apart) for one in (held, cells))
    where = f"line {held[LINE]} of the ledger" if held[LINE] else "another row"
    return f"{where} has this id and says {there}; here it is {here}. Give the change as a note that corrects that line"


def trees(folder: str | Path) -> Callable[[str], tuple[str, str]]:
    """What reads a word for a kind of tree (``kinds_of_trees``), each word once and nothing before the first."""
    known = cache(lambda: kinds_of_trees(folder))
    return cache(lambda word: known()(word))


def of_kinds(lines: Sequence[Mapping[str, Any]], tree: Callable[[str], tuple[str, str]]) -> dict[int, dict[str, str]]:
    """Position of a line -> column -> what it lacks by its kind, does not take, or is no kind of tree."""
    out: dict[int, dict[str, str]] = {}
    for at, column, why in wrong(pd.DataFrame(list(lines))):
        out.setdefault(at, {}).setdefault(column, said(why))
    for at, line in enumerate(lines):
        if "species" in line and (remedy := tree(line["species"])[1]):
            out.setdefault(at, {}).setdefault("species", f"species {line['species']!r}: {remedy}")
    return out

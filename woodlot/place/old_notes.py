"""A family's own sheet of notes (Date, What, How much) -> notes for the ledger.

is_notes    whether headings are those of such a sheet
is_sheet    whether a text is such a sheet
rows        row in the file and note of each line, without the cells whose faults are appended
"""

import re
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from woodlot.column_kinds import Day
from woodlot.errors import Fault
from woodlot.ledger.entries import said_in
from woodlot.place.tabular import plain_heading, read_table
from woodlot.trade import LEDGER_KINDS, SEX_AGE, STACKED_KINDS, TAKES, UNITS, UNKNOWN_DEER, key_of
from woodlot.units import stack_ft

__all__ = ["is_notes", "is_sheet", "rows"]

#: Columns of a note, and what people write over them.
_OVER = {
    "date": ("date", "day", "when"),
    "what": ("what", "note", "notes", "kind", "what_was_done", "entry", "text"),
    "how much": ("how_much", "amount", "how_many", "quantity", "qty", "number"),
    "who": ("who", "by", "by_whom"),
}
#: A column that only the file of the map page has.
_OF_THE_PAGE = "corrects"
#: Kinds that a sheet cannot tell, or tells only where it tells no other; kinds that speak of so many trees of a kind.
_LAST = tuple(kind for kind, takes in TAKES.items() if takes.words or {"photo", "corrects"} & {*takes.must})
_OF_TREES = tuple(kind for kind, takes in TAKES.items() if "species" in takes.may and takes.units)
#: Words of a note in which a kind of tree is looked for.
_MOST_WORDS = 16
#: The kind of a line that is of no other kind.
_OTHER = "note"
_DAY = TypeAdapter(Day)
_AMOUNT = re.compile(
    r"(?:about|around|some|ca\.?|~)?\s*(?:(\d+)\s+)?(\d+(?:[.,]\d+)?|\d+/\d+)\s*(?:full\s+)?([a-z ]*)\.?"
)


def _named(headings: Iterable[str]) -> dict[str, str]:
    """Heading -> column of a sheet of notes; empty where day or what is not among them."""
    plain = {plain_heading(heading): heading for heading in headings}
    found = {
        plain[word]: column
        for column, words in _OVER.items()
        if (word := next((one for one in words if one in plain), ""))
    }
    return found if {"date", "what"} <= set(found.values()) else {}


def is_notes(headings: Iterable[str]) -> bool:
    """Whether day and what are among the headings, and it is not the file of the map page."""
    return bool(_named(headings := list(headings))) and _OF_THE_PAGE not in headings


#: Deer that a word of a sheet tells; "deer" alone may be tracks, a stand or a fence.
_TOLD = {key: word for key, word in SEX_AGE.items() if key != UNKNOWN_DEER}


def is_sheet(text: str) -> bool:
    """Whether the first line of a text is the heading of such a sheet."""
    first = next((line for line in text.lstrip("\ufeff").splitlines() if line.strip(" ,;\t")), "")
    return is_notes(re.split("[,;\t]", first.replace('"', "")))


def rows(path: Path, faults: list[Fault], tree: Callable[[str], str]) -> list[tuple[int, dict[str, Any]]]:
    """Row in the file and note of each line; tree: the kind of tree that a word means, "" for none."""
    cells = read_table(path, "ledger", faults, [])
    found = _named(cells.frame.columns)
    if not found:
        headings = ", ".join(map(str, cells.frame.columns))
        faults.append(
            Fault(cells.file, 1, "", headings[:200], "A sheet of notes has the headings Date, What, How much.")
        )
        return []
    told = cells.frame[list(found)].rename(columns=found).to_dict("records")
    return [
        (int(row), _note(line, cells.file, int(row), faults, tree)) for row, line in zip(cells.rows, told, strict=True)
    ]


def _note(line: dict[Any, str], file: str, row: int, faults: list[Fault], tree: Callable[[str], str]) -> dict[str, Any]:
    note: dict[str, Any] = {"who": line["who"]} if line.get("who") else {}
    try:
        note["date"] = _day(line["date"])
    except ValidationError:
        faults.append(Fault(file, row, "date", line["date"], "A day is written as 2026-11-25 or 11/25/2026."))
    what, much = line["what"], line.get("how much", "")
    if not what:
        faults.append(Fault(file, row, "what", "", "Say what it was, such as firewood, buck, doe, saw a bear."))
    sex_age = said_in(what, _TOLD)
    note["kind"] = kind = _kind(what, bool(sex_age), "cord" in much.lower())
    note |= {"sex_age": sex_age} if kind == "deer" and sex_age else {}
    if kind in STACKED_KINDS and stack_ft(much):
        return note | {"text": what, "amount": much}
    if kind in _OF_TREES:
        number, species = _trees(what, tree)
        note |= {"species": species} if species else {}
        much = much or number
    amount, unit = _amount(much, kind)
    if amount is not None:
        return note | {"amount": amount, "unit": unit, "text": what}
    return note | {"text": f"{what}: {much}" if much else what}


def _trees(what: str, tree: Callable[[str], str]) -> tuple[str, str]:
    """How many trees of which kind words speak of: the first number, and the first words that name a kind."""
    words = re.findall(r"[a-z0-9'-]+", what.lower())[:_MOST_WORDS]
    number = next((word for word in words if word.isdigit()), "")
    ways = (words[at : at + many] for at in range(len(words)) for many in (3, 2, 1))
    return number, next((kind for way in ways if way[0].isalpha() and (kind := tree(" ".join(way)))), "")


def _day(text: str) -> date:
    return _DAY.validate_python(text)


def _kind(what: str, deer: bool, cords: bool) -> str:
    """The kind of a note: what was seen goes before what was taken, a buck or doe is a deer taken; cut is said of much,
    so that it means firewood only where cords are told; sick trees, weather and boundaries are what is left.

    A deer of which nobody says buck or doe stays in words: the ledger could not count it.
    """
    kinds = {name: word for name, word in LEDGER_KINDS.items() if name not in _LAST}
    cut = kinds["firewood"]
    first = said_in(what, kinds | {"firewood": cut._replace(also=())}) or (said_in(what, {"": cut}) if cords else "")
    seen = said_in(what, {"seen": LEDGER_KINDS["seen"]})
    if seen or deer or first not in ("", "deer"):
        return seen or ("deer" if deer else first)
    told = {name: {name: LEDGER_KINDS[name]} | dict(TAKES[name].words) for name in _LAST if TAKES[name].words}
    return next((name for name, words in told.items() if not cords and said_in(what, words)), _OTHER)


def _amount(much: str, kind: str) -> tuple[float | None, str]:
    """A number and its unit; none where the unit is not one of the ledger's, such as a face cord or a load."""
    found = _AMOUNT.fullmatch(much.strip().lower())
    usual = LEDGER_KINDS[kind].unit if kind in LEDGER_KINDS else ""
    if not found or kind == "seen" or (kind in TAKES and "amount" not in (*TAKES[kind].must, *TAKES[kind].may)):
        return None, ""
    whole, number, word = found.groups()
    unit = key_of(word, UNITS) if word.strip() else usual
    of = TAKES[kind].units if kind in TAKES else ()
    if unit not in UNITS or (kind == "deer" and unit != "deer") or (of and unit not in of):
        return None, ""
    above, _, below = number.replace(",", ".").partition("/")
    return float(whole or 0) + float(above) / float(below or 1), unit

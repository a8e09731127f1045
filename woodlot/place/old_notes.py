"""A family's own sheet of notes (Date, What, How much) -> notes for the ledger.

is_notes    whether headings are those of such a sheet
is_sheet    whether a text is such a sheet
rows        row in the file and note of each line, without the cells whose faults are appended
"""

import re
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from woodlot.column_kinds import Day
from woodlot.errors import Fault
from woodlot.place.tabular import plain_heading, read_table
from woodlot.species import spaced
from woodlot.trade import LEDGER_KINDS, SEX_AGE, STACKED_KINDS, UNITS, UNKNOWN_DEER, key_of
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


def rows(path: Path, faults: list[Fault]) -> list[tuple[int, dict[str, Any]]]:
    """Row in the file and note of each line."""
    cells = read_table(path, "ledger", faults, [])
    found = _named(cells.frame.columns)
    if not found:
        headings = ", ".join(map(str, cells.frame.columns))
        faults.append(
            Fault(cells.file, 1, "", headings[:200], "A sheet of notes has the headings Date, What, How much.")
        )
        return []
    told = cells.frame[list(found)].rename(columns=found).to_dict("records")
    return [(int(row), _note(line, cells.file, int(row), faults)) for row, line in zip(cells.rows, told, strict=True)]


def _note(line: dict[Any, str], file: str, row: int, faults: list[Fault]) -> dict[str, Any]:
    note: dict[str, Any] = {"who": line["who"]} if line.get("who") else {}
    try:
        note["date"] = _day(line["date"])
    except ValidationError:
        faults.append(Fault(file, row, "date", line["date"], "A day is written as 2026-11-25 or 11/25/2026."))
    what, much = line["what"], line.get("how much", "")
    if not what:
        faults.append(Fault(file, row, "what", "", "Say what it was, such as firewood, buck, doe, saw a bear."))
    sex_age = _word_in(what, _TOLD)
    note["kind"] = kind = _kind(what, bool(sex_age), "cord" in much.lower())
    note |= {"sex_age": sex_age} if kind == "deer" and sex_age else {}
    if kind in STACKED_KINDS and stack_ft(much):
        return note | {"text": what, "amount": much}
    amount, unit = _amount(much, kind)
    if amount is not None:
        return note | {"amount": amount, "unit": unit, "text": what}
    return note | {"text": f"{what}: {much}" if much else what}


def _day(text: str) -> date:
    return _DAY.validate_python(text)


def _word_in(text: str, words: Any) -> str:
    """The key whose word stands first in a text, of two at one place the longer; "" for none."""
    plain = f" {spaced(re.sub('[^a-zA-Z0-9]', ' ', text))} "
    found = [
        (plain.find(f" {way} "), -len(way), word.key)
        for word in words.values()
        for way in (word.key, word.one, word.many, *word.also)
        if f" {way} " in plain
    ]
    return min(found)[2] if found else ""


def _kind(what: str, deer: bool, cords: bool) -> str:
    """The kind of a note: what was seen goes before what was taken, a buck or doe is a deer taken; cut is said of much,
    so that it means firewood only where cords are told.

    A deer of which nobody says buck or doe stays in words: the ledger could not count it.
    """
    kinds = {name: word for name, word in LEDGER_KINDS.items() if name != "void"}
    cut = kinds["firewood"]
    first = _word_in(what, kinds | {"firewood": cut._replace(also=())}) or (_word_in(what, {"": cut}) if cords else "")
    seen = _word_in(what, {"seen": LEDGER_KINDS["seen"]})
    return seen or ("deer" if deer else _OTHER if first in ("", "deer") else first)


def _amount(much: str, kind: str) -> tuple[float | None, str]:
    """A number and its unit; none where the unit is not one of the ledger's, such as a face cord or a load."""
    found = _AMOUNT.fullmatch(much.strip().lower())
    usual = LEDGER_KINDS[kind].unit if kind in LEDGER_KINDS else ""
    if not found or kind == "seen":
        return None, ""
    whole, number, word = found.groups()
    unit = key_of(word, UNITS) if word.strip() else usual
    if unit not in UNITS or (kind == "deer" and unit != "deer"):
        return None, ""
    above, _, below = number.replace(",", ".").partition("/")
    return float(whole or 0) + float(above) / float(below or 1), unit

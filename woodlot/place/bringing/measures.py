"""Cells as families write them -> text that the tables take: numbers, days, yes and no; and the unit they are in."""

import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pandas as pd

from woodlot import columns
from woodlot.column_kinds import cell_type, metric_names, unit_of
from woodlot.place.bringing.headings import Match
from woodlot.place.bringing.model import Answers, Layer, Note, Question
from woodlot.place.remedies import NOT_MEASURED

__all__ = ["as_meant", "days_of"]

#: Above this median of its column a diameter in inches is asked for: are these centimeters? [in]
_LIKE_CM = 20.0
#: Below this median a total height in feet is asked for: are these meters? [ft]
_LIKE_M = 30.0
_ALIVE = {"l": "yes", "lv": "yes", "d": "no", "dd": "no", "dead standing": "no", "green": "yes"}
_SIGNED = re.compile(
    r"([-+]?\d[\d.,]*(?:\s+\d+/\d+)?|\d+/\d+)\s*(\"|''|'|in\.?|inches|ft\.?|feet|cm|m|ac\.?|acres|%|lbs?\.?|yrs?|sticks?|bolts?|logs?)?"
)
_SIGNS = {'"': "in", "''": "in", "inches": "in", "'": "ft", "feet": "ft", "acres": "ac", "lbs": "lb", "yrs": "yr"}
_SIGNS |= {f"{piece}s": piece for piece in ("stick", "bolt", "log")}
#: Lengths of a stem told in pieces, whose own length must be said.
_PIECES = {"stick", "bolt", "log"}
_IN_FEET = re.compile(r"(\d+(?:\.\d+)?)\s*(?:ft|feet|')")
_ORDERS = {"mdy": ("%m/%d/%Y", "%m/%d/%y"), "dmy": ("%d/%m/%Y", "%d/%m/%y")}
_WRITTEN = ("%d %b %Y", "%d %B %Y", "%b %d %Y", "%B %d %Y", "%d-%b-%Y", "%d-%b-%y", "%b %d, %Y", "%B %d, %Y", "%Y%m%d")
_ASKED_UNITS = {"dbh_in": ("in", "cm"), "height_ft": ("ft", "m"), "merch_ft": ("ft", "m")}


def as_meant(
    layer: Layer, table: str, found: dict[str, Match], answers: Answers
) -> tuple[pd.DataFrame, list[Question], list[Note]]:
    """The cells of a layer under the columns of a table (metric twins where the unit says so); questions and notes."""
    fields = columns.TABLES[table].model_fields
    questions: list[Question] = []
    notes: list[Note] = []
    out: dict[str, pd.Series] = {}
    metric = any(match.column == "dbh_cm" for match in found.values())
    for heading, match in found.items():
        text = layer.frame[heading]
        kind = cell_type(fields[match.own])[1]
        unit = match.unit
        if kind in (int, float):
            text, signs = _numbers(text, layer.decimal_comma, whole=kind is int)
            if not unit and len(signs) == 1:
                unit = signs.pop()
            if unit in _PIECES and unit_of(fields[match.own]) == "ft":
                text, unit, asked = _in_feet(layer, heading, match.own, unit, text, answers)
                questions += asked
            column, asked = _unit(layer, table, heading, match, unit, text, answers, metric)
            metric |= column == "dbh_cm"
            questions += asked
        else:
            column = match.column
            if kind is date:
                text, asked, told = days_of(text, layer.file, heading, answers)
                questions += asked
                notes += told
            elif match.own == "alive":
                text = text.map(lambda cell: _ALIVE.get(cell.lower(), cell))
            elif not fields[match.own].is_required():
                text = text.map(lambda cell: "" if cell.lower() in NOT_MEASURED - {"unknown", "none", "x"} else cell)
        out[column] = text
    return pd.DataFrame(out, index=layer.frame.index), questions, notes


def _distinct(text: pd.Series, turn: Callable[[str], str]) -> pd.Series:
    """Each distinct cell turned once."""
    return text.map({cell: turn(cell) for cell in text.unique()})


def _numbers(text: pd.Series, decimal_comma: bool, whole: bool) -> tuple[pd.Series, set[str]]:
    """Numbers without units, thin commas and fractions; and the units that stood behind them."""
    cells = [cell for cell in text.unique() if cell]
    comma = decimal_comma or (
        any(re.fullmatch(r"[-+]?\d+,\d{1,2}", cell) for cell in cells) and not any("." in cell for cell in cells)
    )
    signs = {_sign(found.group(2)) for cell in cells if (found := _SIGNED.fullmatch(cell)) and found.group(2)}
    signs -= {""}

    def turn(cell: str) -> str:
        if cell.lower() in NOT_MEASURED:
            return ""
        found = _SIGNED.fullmatch(cell)
        if not found:
            return cell
        number = found.group(1)
        if comma:
            number = number.replace(".", "").replace(",", ".") if number.count(",") == 1 else number
        elif re.fullmatch(r"[-+]?\d{1,3}(,\d{3})+(\.\d+)?", number):
            number = number.replace(",", "")
        if "/" in number:
            head, _, part = number.rpartition(" ")
            above, _, below = part.partition("/")
            if not below or float(below) == 0:
                return cell
            number = f"{float(head or 0) + float(above) / float(below):g}"
        if whole and re.fullmatch(r"[-+]?\d+\.0+", number):
            number = number.partition(".")[0]
        return number

    return _distinct(text, turn), signs


def _sign(text: str) -> str:
    plain = text.rstrip(".").lower()
    return _SIGNS.get(plain, plain)


def _unit(
    layer: Layer, table: str, heading: str, match: Match, unit: str, text: pd.Series, answers: Answers, metric: bool
) -> tuple[str, list[Question]]:
    """The column, or its metric twin, that numbers belong in; asked where neither heading nor cells say so.

    metric: whether other columns of the layer are.
    """
    field = columns.TABLES[table].model_fields[match.own]
    twins = {measured: twin for twin, measured in metric_names(field).items()}
    told = answers.told("unit", layer.file, match.own) or answers.told("unit", layer.file, heading)
    told = None if told and _IN_FEET.fullmatch(told) else told
    facts = {"called": layer.called, "heading": heading, "column": match.own, "table": table}
    if told:
        if told in twins:
            return twins[told], []
        if told == unit_of(field):
            return match.own, []
        return match.own, [_asked("unit_unknown", layer, match.own, (unit_of(field), *twins), "", facts)]
    if unit:
        return twins.get(unit, match.column), []
    sizes = pd.to_numeric(text[text.ne("")], errors="coerce").dropna()
    if match.own in _ASKED_UNITS and len(sizes) >= 5 and match.column == match.own:
        middle = float(sizes.median())
        if (match.own == "dbh_in" and middle > _LIKE_CM) or (
            match.own != "dbh_in" and (metric or match.own == "height_ft") and 0 < middle < _LIKE_M
        ):
            ways = _ASKED_UNITS[match.own]
            question = _asked("unit", layer, match.own, ways, ways[1], facts | {"middle": middle})
            answer = answers.get(question)
            return (twins.get(answer, match.own), []) if answer else (match.own, [question])
    return match.column, []


def _in_feet(
    layer: Layer, heading: str, own: str, piece: str, text: pd.Series, answers: Answers
) -> tuple[pd.Series, str, list[Question]]:
    """Lengths told in sticks, bolts or logs as feet, by the feet that the family gives one; asked while it does not."""
    question = Question("piece", layer.file, own, "", False, (), {"heading": heading, "column": own, "piece": piece})
    said = _IN_FEET.fullmatch((answers.told("unit", layer.file, own) or answers.get(question) or "").strip())
    if not said:
        return text, "ft", [question]
    feet = pd.to_numeric(text, errors="coerce") * float(said.group(1))
    return text.where(feet.isna(), feet.map("{:g}".format)), "ft", []


def _asked(key: str, layer: Layer, about: str, ways: tuple[str, ...], guess: str, facts: dict[str, Any]) -> Question:
    return Question(key, layer.file, about, guess, False, ways, facts)


def days_of(text: pd.Series, file: str, heading: str, answers: Answers) -> tuple[pd.Series, list[Question], list[Note]]:
    """Days as 2026-10-09; asked whether the month or the day comes first where nothing in the column decides it."""
    cells = [cell for cell in text.unique() if cell]
    slashed = [parts for cell in cells if (parts := re.fullmatch(r"(\d{1,2})[/.-](\d{1,2})[/.-](\d{4}|\d\d)", cell))]
    firsts, seconds = [int(p.group(1)) for p in slashed], [int(p.group(2)) for p in slashed]
    order, questions, notes = "mdy", list[Question](), list[Note]()
    if max(firsts, default=0) > 12 and max(seconds, default=0) <= 12:
        order = "dmy"
    elif slashed and max(seconds, default=0) <= 12:
        facts = {"heading": heading, "cell": slashed[0].group(), **_both(slashed[0].group())}
        question = Question("days", file, heading, "month first", True, ("month first", "day first"), facts)
        answer = answers.get(question)
        questions += [] if answer else [question]
        order = "dmy" if answer == "day first" else "mdy"
    read = {cell: _day(cell, order) for cell in cells}
    if changed := [cell for cell in cells if read[cell] != cell]:
        notes.append(Note("days", {"file": file, "heading": heading, "cell": changed[0], "day": read[changed[0]]}))
    return text.map(lambda cell: read.get(cell, "")), questions, notes


def _both(cell: str) -> dict[str, str]:
    return {way: _day(cell, way) for way in _ORDERS}


def _day(cell: str, order: str) -> str:
    """A day as 2026-10-09; what is no day stays as it is."""
    if cell.lower() in NOT_MEASURED:
        return ""
    plain = cell.split("T")[0] if re.match(r"\d{4}-\d\d-\d\dT", cell) else cell
    plain = re.sub(r"\s+\d{1,2}:\d\d(:\d\d(\.\d+)?)?(\s*[ap]m)?$", "", plain, flags=re.IGNORECASE)
    if re.fullmatch(r"[34]\d{4}", plain):  # days since 30 December 1899, as a spreadsheet counts them
        return (date(1899, 12, 30) + timedelta(days=int(plain))).isoformat()
    slashed = re.sub(r"(?<=\d)[.-](?=\d)", "/", plain)
    slashed = plain if re.match(r"\d{4}\D", plain) else slashed
    for form in (*_ORDERS[order], "%Y-%m-%d", "%Y/%m/%d", *_WRITTEN):
        try:
            return datetime.strptime(slashed if "/" in form else plain.replace(".", ""), form).date().isoformat()
        except ValueError:
            continue
    return cell

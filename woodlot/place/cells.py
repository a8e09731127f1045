"""Cells of a hand-in table -> numbers, days, yes and no, each checked against its column in woodlot.columns.

Each column is checked through its distinct values, so a long table costs little more than a short one.
"""

import re
from dataclasses import replace
from datetime import date
from functools import cache
from typing import Annotated, Any, get_args

import numpy as np
import pandas as pd
from annotated_types import Ge, Le
from pydantic import TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from woodlot import columns
from woodlot.column_kinds import (
    FIRST_DAY,
    ID_LETTERS,
    ID_LONG,
    METRIC,
    LineId,
    Text,
    as_typed,
    cell_type,
    metric_names,
    unit_of,
)
from woodlot.errors import Fault
from woodlot.place.checked import Sheet
from woodlot.place.remedies import cell_remedy, short
from woodlot.place.tabular import Cells, plain_heading
from woodlot.trade import closest

__all__ = ["absent", "full_heading", "read_cells", "validate"]


def absent(table: str) -> Sheet:
    """An empty table with all its columns, for a file that is not there."""
    sheet = _absent(table)
    return replace(sheet, frame=sheet.frame.copy())


@cache
def _absent(table: str) -> Sheet:
    cells = Cells("", pd.DataFrame(columns=columns.header(table), dtype=str), np.arange(0))
    return read_cells(table, cells, [], [])


def read_cells(table: str, cells: Cells, faults: list[Fault], notes: list[str]) -> Sheet:
    """Check all cells of a table; the Sheet has every declared column, wrong cells as missing. Faults are appended."""
    at = _headings(table, cells, faults, notes)
    frame, wrong, must = {}, {}, columns.must_have(table)
    for name, declared in columns.TABLES[table].model_fields.items():
        frame[name], wrong[name] = _column(name, declared, at, cells, faults, notes)
        if name in must and not {name, *metric_names(declared)} & set(at):
            wrong[name][:] = True  # one fault, of the heading
    return Sheet(table, cells.file, pd.DataFrame(frame), cells.rows, wrong)


def _headings(table: str, cells: Cells, faults: list[Fault], notes: list[str]) -> dict[str, int]:
    """Declared column or metric twin -> its position in the file; missing, doubled and unknown ones are reported."""
    fields = columns.TABLES[table].model_fields
    known = {name: name for name in fields}
    for declared in fields.values():
        known |= {metric: metric for metric in metric_names(declared)}
    if cells.cut:
        known = {name[: cells.cut]: name for name in reversed(known)} | known
    at: dict[str, int] = {}
    strange: list[str] = []
    for position, heading in enumerate(str(name) for name in cells.frame.columns):
        plain = plain_heading(heading)
        name = known.get(plain)
        if name is None:
            strange.append(heading)
        elif name in at:
            remedy = "Keep one of the columns."
            faults.append(Fault(cells.file, 1, short(heading), "stands twice in the heading", remedy))
        else:
            at[name] = position
            alike = [one for one in set(known.values()) if one[: cells.cut] == plain != one] if cells.cut else []
            if len(alike) > 1:
                notes.append(f"{cells.file}: the file cuts names short; its {short(heading)} was read as {name}.")
    lost = sorted(set(known.values()) - set(at))
    for heading in strange:
        near = closest(plain_heading(heading), lost)
        ask = f" Did you mean {near}?" if near else ""
        notes.append(f'{cells.file}: column "{short(heading)}" is not known and was not read.{ask}')
    for name in columns.must_have(table):
        twins = metric_names(fields[name])
        if not {name, *twins} & set(at):
            either = " or ".join([name, *twins])
            near = _near_heading(name, strange)
            remedy = f'There is "{near}": name it {either}.' if near else f"Add a column {either}."
            faults.append(Fault(cells.file, 1, name, "no such column", remedy))
    return at


def full_heading(table: str, heading: str, cut: int) -> str:
    """The declared name of a column whose heading the file cuts to so many letters; others as they stand."""
    fields = columns.TABLES[table].model_fields
    names = [*fields, *(metric for declared in fields.values() for metric in metric_names(declared))]
    return next((name for name in names if cut and name[:cut] == plain_heading(heading)), heading)


#: What families also write over a column.
_ALSO = {
    "dbh_in": ("diameter", "diam", "dia", "diameter_in", "tree_diameter"),
    "species": ("kind", "kind_of_tree", "tree_species", "tree_kind", "spp", "sp", "name_of_tree"),
    "groups": ("pellets", "piles", "pellet_groups"),
    "growth_in": ("growth", "rings"),
}


def _near_heading(name: str, strange: list[str]) -> str:
    by_plain = {plain_heading(heading): heading for heading in strange if plain_heading(heading)}
    also = (*_ALSO.get(name, ()), *(("id", "name", "no", "nr", "number") if name.endswith("_id") else ()))
    near = closest(name, by_plain) or next((plain for plain in by_plain if name.startswith(plain) or plain in also), "")
    return short(by_plain[near]) if near else ""


def _column(
    name: str, declared: FieldInfo, at: dict[str, int], cells: Cells, faults: list[Fault], notes: list[str]
) -> tuple[pd.Series, np.ndarray]:
    """One declared column, from its heading, its metric twins, or its default; and where it is filled but wrong.

    at: position in the file by heading.
    """
    twins = {name: "", **metric_names(declared)}
    given = [twin for twin in twins if twin in at]
    codes = np.full(len(cells.frame), -1)
    filled = np.zeros(len(cells.frame), dtype=bool)
    distinct: list[Any] = []
    for heading in given:
        text = cells.frame.iloc[:, at[heading]].to_numpy(dtype=object)
        here = (text != "").astype(bool)
        remedy = f"{name} is filled in as well. Keep one of the two."
        faults += [cells.fault(row, heading, text[row], remedy) for row in np.flatnonzero(here & filled)]
        if here.any():
            read, values = _parse(heading, declared, twins[heading], text, cells, faults, notes)
            codes[here & ~filled] = read[here & ~filled] + len(distinct)
            distinct += values
        filled |= here
    if declared.is_required() and given:
        remedy = f"Fill in the {declared.description}."
        faults += [cells.fault(row, given[0], "empty", remedy) for row in np.flatnonzero(~filled)]
    wrong = np.array([value is None for value in distinct] + [False])[codes]
    each = _typed(np.array([*distinct, None], dtype=object), declared)
    return each.take(codes).reset_index(drop=True), wrong


def _parse(
    heading: str,
    declared: FieldInfo,
    metric: str,
    text: np.ndarray,
    cells: Cells,
    faults: list[Fault],
    notes: list[str],
) -> tuple[np.ndarray, list[Any]]:
    """A column of text as codes into its distinct values; wrong and empty ones are None."""
    checked, kind = cell_type(declared)
    unit = unit_of(declared)
    factor, plus = METRIC[metric, unit] if metric else (1.0, 0.0)
    if metric:
        checked = Annotated[(kind, *(_metric_limit(m, factor, plus) for m in declared.metadata))]
    codes, distinct = pd.factorize(text)
    written = list(map(str, distinct))
    plain = written
    if kind in (int, float):
        plain = [_plain_number(value, unit, cells.decimal_comma) for value in written]
    if kind is str:
        plain = [as_typed(value) if value[:1] == "'" else value for value in written]
    if heading == "alive":
        plain = [_ALIVE.get(value.lower(), value) for value in plain]
    values, errors = validate(checked, plain)
    in_cm = heading == "dbh_in" and _like_cm(plain)
    if in_cm and not any(error["type"] == "less_than_equal" for error in errors.values()):
        notes.append(f"{cells.file}: half of {heading} is over {_LIKE_CM_IN:g} inches. {_CM}")
    for code, error in errors.items():
        remedy = cell_remedy(written[code], error, kind, metric or unit, metric_names(declared))
        if in_cm and error["type"] == "less_than_equal":
            remedy = f"{remedy.split('.')[0]}. {_CM}"
        faults += [cells.fault(row, heading, written[code], remedy) for row in np.flatnonzero(codes == code)]
    if kind is date and (american := [one for one in written if "/" in one and _AMERICAN.fullmatch(one)]):
        notes.append(f"{cells.file}: days such as {american[0]} were read as month/day/year.")
    if metric:
        values = [None if value is None else value * factor + plus for value in values]
    return codes, values


_AMERICAN = re.compile(r"\d+/\d+/\d{4}")
#: What is also written in the column alive.
_ALIVE = {"alive": "yes", "live": "yes", "living": "yes", "dead": "no", "standing dead": "no", "snag": "no"}
#: Where half of the diameters are larger they were likely written in centimeters [in].
_LIKE_CM_IN = 24.0
_CM = "Are these centimeters? Then name the column dbh_cm."


def _like_cm(plain: list[str]) -> bool:
    sizes = pd.to_numeric(pd.Series(plain, dtype=object), errors="coerce").dropna()
    return len(sizes) >= 5 and float(sizes.median()) > _LIKE_CM_IN


@cache
def _adapter(checked: Any) -> TypeAdapter:
    return TypeAdapter(list[checked])


def validate(checked: Any, values: list[str]) -> tuple[list[Any], dict[int, Any]]:
    """Each text read as the type asks, or None and the error it gave by its position; the empty text is no value."""
    if (usual := _as_usual(checked, values)) is not None:
        return usual, {}
    adapter = _adapter(checked)
    errors: dict[int, Any] = {}
    read: list[Any] = [None] * len(values)
    at = [position for position, value in enumerate(values) if value != ""]
    try:
        good = adapter.validate_python([values[position] for position in at])
    except ValidationError as wrong:
        for error in wrong.errors(include_url=False):
            errors.setdefault(at[int(error["loc"][0])], error)
        at = [position for position in at if position not in errors]
        good = adapter.validate_python([values[position] for position in at])
    for position, value in zip(at, good, strict=True):
        read[position] = value
    return read, errors


def _as_usual(checked: Any, values: list[str]) -> list[Any] | None:
    """Days, ids and single words of lines that all stand as woodlot writes them: a long ledger is read at once. None:
    not so.
    """
    there = [value for value in values if value]
    lines = "\n".join(there)
    if lines.count("\n") != max(len(there) - 1, 0):
        return None
    if checked in (LineId, Text):
        usual = _USUAL_IDS if checked == LineId else _USUAL_WORDS
        return [value or None for value in values] if usual.fullmatch(lines) else None
    if get_args(checked)[:1] != (date,) or not _USUAL_DAYS.fullmatch(lines):
        return None
    try:
        days = [date.fromisoformat(value) if value else None for value in values]
    except ValueError:
        return None
    return days if min(filter(None, days), default=FIRST_DAY) >= FIRST_DAY else None


_USUAL_IDS, _USUAL_WORDS, _USUAL_DAYS = (
    re.compile(rf"(?:{one}(?:\n|\Z))*")
    for one in (rf"[{ID_LETTERS}]{{{ID_LONG}}}", "[0-9a-z]{1,80}", "[0-9]{4}-[0-9]{2}-[0-9]{2}")
)


def _metric_limit(limit: Any, factor: float, plus: float) -> Any:
    if isinstance(limit, Ge):
        return Ge((limit.ge - plus) / factor)  # type: ignore[operator]
    if isinstance(limit, Le):
        return Le((limit.le - plus) / factor)  # type: ignore[operator]
    return limit


def _plain_number(text: str, unit: str, decimal_comma: bool) -> str:
    """A number as a machine reads it; text that only a machine would take for a number is left to fail."""
    if "_" in text:
        return text.replace("_", "?")
    if decimal_comma and re.fullmatch(r"[-+]?\d*,\d+", text):
        return text.replace(",", ".")
    if unit == "%" and text.endswith("%"):
        return text[:-1].strip() or "%"
    return text


def _typed(values: np.ndarray, declared: FieldInfo) -> pd.Series:
    """The column in its own type; missing is NaN, NaT or <NA>, or the column's default."""
    kind = cell_type(declared)[1]
    default = None if declared.is_required() else declared.default
    if default is not None:
        values = np.where(pd.isna(values), default, values)
    if kind is float:
        return pd.Series(values, dtype=object).astype("float64")
    if kind is int:
        whole = pd.Series(pd.array(values, dtype="Int64"))
        optional = default is None and not declared.is_required()
        return whole if optional else whole.fillna(0).astype("int64")
    if kind is bool:  # a yes or no that nobody wrote stays missing where the column has no default
        return pd.Series(pd.array(values, dtype="boolean")).astype("boolean" if default is None else bool)
    if kind is date:
        return pd.to_datetime(pd.Series(values, dtype=object)).astype("datetime64[us]")
    gone = pd.isna(values)
    if gone.all():
        return pd.Series(np.nan, range(len(values)), dtype="str")
    return pd.Series(values, dtype="str").mask(gone)

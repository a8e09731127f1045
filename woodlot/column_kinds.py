"""What a cell of a hand-in table or a key of place.toml may hold: text, ids, days, yes or no, a word of a closed list.

column       declares one column or key: meaning, unit, allowed range, metric twins
Row          a table's row, or a part of place.toml: its fields are the columns
cell_type, unit_of, metric_names, words_of, has_heading   what a declared column asks of its cells

The ranges are there to catch slips of the pencil (a missing decimal point, centimeters in a column of inches). They say
nothing about trees or deer.

A column with a metric twin (``dbh_cm`` for ``dbh_in``) may be handed in either way; it is converted where it is read.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, GetCoreSchemaHandler, StringConstraints
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from woodlot import trade, units

__all__ = [
    "FIRST_DAY",
    "ID_LETTERS",
    "ID_LONG",
    "LAST_DAY",
    "METRIC",
    "NO_SUCH_WORD",
    "UNIT_WORDS",
    "Among",
    "Day",
    "Id",
    "LineId",
    "LineNames",
    "Row",
    "Species",
    "Text",
    "YesNo",
    "as_typed",
    "cell_type",
    "column",
    "has_heading",
    "lower",
    "metric_names",
    "neutral",
    "unit_of",
    "words_of",
]

#: (metric unit, unit of the column) -> factor and what is added afterwards. All exact.
METRIC = {
    ("cm", "in"): (1.0 / units.CM_PER_IN, 0.0),
    ("mm", "in"): (0.1 / units.CM_PER_IN, 0.0),
    ("m", "ft"): (1.0 / units.M_PER_FT, 0.0),
    ("m2/ha", "sq ft/ac"): (units.HA_PER_AC / units.M_PER_FT**2, 0.0),
    ("ha", "ac"): (units.AC_PER_HA, 0.0),
    ("kg", "lb"): (units.LB_PER_KG, 0.0),
    ("C", "F"): (1.8, 32.0),
}

#: Units as columns name them -> in words.
UNIT_WORDS = {
    "in": "inches",
    "ft": "feet",
    "cm": "centimeters",
    "mm": "millimeters",
    "m": "meters",
    "lb": "pounds",
    "kg": "kilograms",
    "ac": "acres",
    "ha": "hectares",
    "yr": "years",
    "d": "days",
    "h": "hours",
    "%": "percent",
    "sq ft/ac": "square feet an acre",
    "m2/ha": "square meters a hectare",
    "cu ft": "cubic feet",
    "F": "degrees Fahrenheit",
    "C": "degrees Celsius",
}

_YES = {"yes": True, "y": True, "true": True, "t": True, "x": True, "1": True, "1.0": True}
_NO = {"no": False, "n": False, "false": False, "f": False, "0": False, "0.0": False}


def _yes_no(value: Any) -> Any:
    return (_YES | _NO).get(value.strip().lower(), value) if isinstance(value, str) else value


#: Nothing that a family measured is older; an earlier day is a slip.
FIRST_DAY = date(1900, 1, 1)
LAST_DAY = date(2200, 12, 31)
_ISO_DAY = re.compile(r"(\d{4})[-/](\d{1,2})[-/](\d{1,2})(?:[T ][\d:.]*(?:Z|[+-]\d\d:?\d\d)?)?")
_US_DAY = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4})")


def _day(value: Any) -> Any:
    """A day from 2026-10-09 (a time after it is dropped) or, as American spreadsheets rewrite it, 10/9/2026."""
    if not isinstance(value, str):
        return value
    if iso := _ISO_DAY.fullmatch(value.strip()):
        year, month, day = iso.groups()
    elif us := _US_DAY.fullmatch(value.strip()):
        month, day, year = us.groups()
    else:
        raise ValueError("not a day")
    return f"{year}-{int(month):02d}-{int(day):02d}"


def lower(value: Any) -> Any:
    """Text in lower case with one blank between its words; anything else as it is."""
    return " ".join(value.lower().split()) if isinstance(value, str) else value


Text = Annotated[str, StringConstraints(strip_whitespace=True, max_length=20_000)]
Id = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=80)]
Species = Annotated[str, BeforeValidator(lower), StringConstraints(min_length=1, max_length=80)]
Day = Annotated[date, BeforeValidator(_day), Field(ge=FIRST_DAY)]
YesNo = Annotated[bool, BeforeValidator(_yes_no)]
#: Type of the error of a cell with a word that is none of its list.
NO_SUCH_WORD = "no_such_word"


#: What stands between words of one cell.
_BETWEEN = re.compile(r"\s*(?:[,;/+&]|\band\b)\s*", re.IGNORECASE)


#: Letters of a line's id: none that is read as another, and no vowels, so that no word comes of them.
ID_LETTERS = "bcdfghjkmnpqrstvwxyz"
ID_LONG = 12
_LINE_ID = re.compile(f"[{ID_LETTERS}]{{{ID_LONG}}}")
#: A line of the ledger as people name it: its number, its id, or the eight letters of a line without an id.
_LINE_NAME = re.compile(rf"{_LINE_ID.pattern}|[a-p]{{8}}|[1-9]\d{{0,6}}")


def _line_id(value: Any) -> str:
    text = str(value).strip().lower()
    if _LINE_ID.fullmatch(text):
        return text
    raise PydanticCustomError(NO_SUCH_WORD, "An id is twelve letters that woodlot makes; leave it empty.")


def _line_names(value: Any) -> str:
    """Lines of the ledger, each by its number or its id, with a blank between."""
    names = [one.removesuffix(".0") for one in str(value).lower().split()]
    if names and all(_LINE_NAME.fullmatch(one) for one in names):
        return " ".join(names)
    raise PydanticCustomError(NO_SUCH_WORD, "Write the number of a line, or its id.")


LineId = Annotated[str, BeforeValidator(_line_id)]
LineNames = Annotated[str, BeforeValidator(_line_names)]

#: What a spreadsheet takes for the beginning of a formula.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def neutral(text: str) -> str:
    """Text as a cell of a file that a spreadsheet opens: an apostrophe before what it would work out as a formula.

    >>> neutral("=1+1"), neutral("two loads")
    ("'=1+1", 'two loads')
    """
    return f"'{text}" if text.lstrip("'").startswith(_FORMULA) else text


def as_typed(text: str) -> str:
    """A text as it was typed, from a cell that ``neutral`` wrote."""
    return text[1:] if text.startswith("'") and neutral(text[1:]) == text else text


@dataclass(frozen=True, eq=False)
class Among:
    """Mark of a cell that holds one word of a closed list of ``trade``, or ``several``; other words for one are read as
    its key.
    """

    words: Mapping[str, trade.Word]
    several: bool = False

    def read(self, value: Any) -> str:
        """The key that a cell means; several in the order of the list, with a comma between."""
        if not self.several:
            return self._one(str(value))
        keys = {self._one(part) for part in _BETWEEN.split(str(value)) if part} or {self._one(str(value))}
        return ", ".join(key for key in self.words if key in keys)

    def _one(self, text: str) -> str:
        key = trade.key_of(text, self.words)
        key = key if key in self.words else key.replace(" ", "_")
        if key not in self.words:
            raise PydanticCustomError(NO_SUCH_WORD, "{words}", {"words": trade.unknown(text, self.words)})
        return key

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Text that is read by ``read``."""
        return core_schema.no_info_before_validator_function(self.read, core_schema.str_schema())


def column(
    meaning: str | None = None,
    unit: str = "",
    low: float | None = None,
    high: float | None = None,
    *,
    default: Any = None,
    must: bool = False,
    heading: bool = False,
    metric: dict[str, str] | None = None,
) -> Any:
    """A column: meaning (None: the text under it), unit, least and largest value, metric twins (name -> unit).

    must: every cell is filled; heading: the column must be there, but cells may be empty.
    """
    more: dict[str, Any] = {"unit": unit, "heading": must or heading, "metric": metric or {}}
    limits: dict[str, Any] = {} if low is None and high is None else {"ge": low, "le": high}
    return Field(... if must else default, description=meaning, json_schema_extra=more, **limits)


class Row(BaseModel):
    """One row of a hand-in table."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def cell_type(field: FieldInfo) -> tuple[Any, Any]:
    """Type of a filled cell: as pydantic checks it (limits included), and bare (str, float, int, bool, date)."""
    kind: Any = field.annotation
    if get_origin(kind) in (Union, UnionType):
        kind = next(part for part in get_args(kind) if part is not type(None))
    checked = Annotated[(kind, *field.metadata)] if field.metadata else kind
    while get_origin(kind) is Annotated:
        kind = get_args(kind)[0]
    return checked, kind


def words_of(field: FieldInfo) -> Mapping[str, trade.Word]:
    """The closed list whose words a cell may hold; empty for any other cell."""
    marks = [*field.metadata]
    for part in (field.annotation, *get_args(field.annotation)):
        marks += getattr(part, "__metadata__", ())
    return next((mark.words for mark in marks if isinstance(mark, Among)), MappingProxyType({}))


def _more(field: FieldInfo) -> dict[str, Any]:
    return field.json_schema_extra if isinstance(field.json_schema_extra, dict) else {}


def unit_of(field: FieldInfo) -> str:
    """Unit of a column, "" for text, counts and yes or no."""
    return str(_more(field).get("unit", ""))


def metric_names(field: FieldInfo) -> dict[str, str]:
    """Metric columns accepted in place of this one: name -> unit."""
    return dict(_more(field).get("metric", {}))  # type: ignore[arg-type]


def has_heading(field: FieldInfo) -> bool:
    """Whether the column must be there (or a metric twin of it)."""
    return bool(_more(field).get("heading"))

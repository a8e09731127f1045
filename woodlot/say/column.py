"""One column and one table, how their cells are worded, and the usual kinds of columns.

Column   key of the value in the row (and in CSV and JSON), heading, what the screen shows, unit
Table    name of its rows in the answer, title, rows, columns
texts    a table's headings and cells as the screen words them
declared its columns in CSV

A heading may name a value of the answer in braces. A column without a heading is for CSV alone, one without a key for
the screen alone; a heading of one blank stays empty. A key may hold * for columns that a region names. Columns that are
not ``narrow`` go to a second line where the screen is narrow.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from fnmatch import fnmatchcase
from typing import Any, NamedTuple

from woodlot.estimate import Number
from woodlot.say import words
from woodlot.say.layout import Texts
from woodlot.say.words import bound

__all__ = [
    "Column",
    "Table",
    "declared",
    "for_csv",
    "is_missing",
    "number",
    "plain",
    "rows_of",
    "span",
    "texts",
]


class Column(NamedTuple):
    """One column: ``value`` is what the screen shows of a row; with a unit it is a number, rounded as that unit is."""

    key: str
    head: str
    value: Callable[[Any], Any]
    unit: str = ""
    narrow: bool = True


class Table(NamedTuple):
    """One table: ``rows`` finds its rows (a frame, or mappings) in the answer of a verb."""

    key: str
    title: str
    rows: Callable[[Any], Any]
    columns: tuple[Column, ...]


def is_missing(value: Any) -> bool:
    """Whether a cell holds nothing."""
    return (
        value is None or type(value).__name__ in ("NAType", "NaTType") or (isinstance(value, float) and value != value)
    )


def texts(table: Table, answer: Any, **heads: Any) -> list[Texts]:
    """The columns that the screen shows, each cell in words; ``heads``: what a heading names beside the answer."""
    rows = table.rows(answer)
    rows = rows.to_dict("records") if hasattr(rows, "to_dict") else list(rows)
    named = {**answer, **heads}
    out = []
    for column in table.columns:
        if column.head:
            values = [column.value(row) for row in rows]
            cells = [_cell(value, column.unit) for value in values]
            right = bool(column.unit) or _all_numbers(values)
            out.append(Texts(column.head.format_map(named), cells, right, column.narrow))
    return out


def declared(table: Table, names: Sequence[str]) -> list[str]:
    """Those of ``names`` that are columns of the table in CSV; of an estimate its two ends too."""
    keys = [column.key + end for column in table.columns if column.key for end in ("", "_low", "_high")]
    return [name for name in names if any(fnmatchcase(name, key) for key in keys)]


def _cell(value: Any, unit: str) -> str:
    if is_missing(value):
        return ""
    if type(value).__name__ in ("bool", "bool_"):
        return "yes" if value else "no"
    if unit:
        return words.rounded(float(value), unit)
    return words.day(value) if isinstance(value, date) else str(value)


def _all_numbers(values: Sequence[Any]) -> bool:
    some = [v for v in values if not is_missing(v)]
    return bool(some) and all(not isinstance(v, (str, bool, date)) and hasattr(v, "__float__") for v in some)


def plain(key: str, head: str = "", unit: str = "", narrow: bool = True) -> Column:
    """A column that shows the value as it is."""
    return Column(key, head, lambda row: row.get(key), unit, narrow)


def for_csv(*keys: str) -> tuple[Column, ...]:
    """Columns that the screen does not show."""
    return tuple(plain(key) for key in keys)


def number(key: str, head: str, narrow: bool = True) -> Column:
    """The number of an estimate, to the left as words are."""

    def value(row: Any) -> str:
        one = estimate_of(row, key)
        return "" if one is None else words.bare_number(one)

    return Column(key, head, value, narrow=narrow)


def span(key: str, head: str) -> Column:
    """The two ends of an estimate, which stay on one line, or the most there may be; nothing where there is neither."""

    def ends(row: Any) -> str:
        one = estimate_of(row, key)
        return "" if one is None else bound(words.bare_range(one))

    return Column("", head, ends)


def estimate_of(row: Any, key: str) -> Number | None:
    """An estimate of a row, which may hold it as JSON does."""
    one = row.get(key)
    return Number(**one) if isinstance(one, Mapping) else one


def rows_of(key: str) -> Callable[[Any], Any]:
    """The rows that an answer has by this name."""
    return lambda answer: answer[key]

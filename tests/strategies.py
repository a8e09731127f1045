"""Hypothesis strategies for what a family hands in: rows of each table, whole or with one slip, and drawn ground.

table_rows      rows that are right, with what each cell means
rows_with_slip  the same with one cell wrong, and where
outlines        shapes that can be used, in degrees; crooked: shapes that cannot, by what is wrong with them
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from hypothesis import strategies as st
from pydantic.fields import FieldInfo

from woodlot import columns
from woodlot.column_kinds import ID_LETTERS, ID_LONG, Among, cell_type, lower, words_of

__all__ = ["CROOKED", "Rows", "crooked", "map_told", "outlines", "rows_with_slip", "table_rows"]

#: Texts as people write them, in any script; without blanks at the ends, which no cell keeps.
_TEXT = (
    st.text(
        st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp"), exclude_characters="'=+-@"), min_size=1, max_size=20
    )
    .map(str.strip)
    .filter(bool)
)
_LINE_ID = st.text(ID_LETTERS, min_size=ID_LONG, max_size=ID_LONG)
_LINE = _LINE_ID | st.text("abcdefghijklmnop", min_size=8, max_size=8) | st.integers(1, 9_999_999).map(str)


@dataclass(frozen=True)
class Rows:
    """A table to hand in: heading, cells as text, what each column means; slip: row, column of the wrong cell."""

    table: str
    heading: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]
    meant: Mapping[str, tuple[Any, ...]]
    slip: tuple[int, str] | None = None


def _ends(field: FieldInfo) -> tuple[Any, Any]:
    limits = {type(mark).__name__: mark for mark in field.metadata}
    return getattr(limits.get("Ge"), "ge", None), getattr(limits.get("Le"), "le", None)


def _among(field: FieldInfo) -> bool:
    """Whether a cell may hold several words of a list."""
    marks = [*field.metadata, *(mark for part in (field.annotation, *_args(field)) for mark in _marks(part))]
    return any(isinstance(mark, Among) and mark.several for mark in marks)


def _args(field: FieldInfo) -> tuple[Any, ...]:
    return getattr(field.annotation, "__args__", ())


def _marks(part: Any) -> tuple[Any, ...]:
    return getattr(part, "__metadata__", ())


def _right(table: str, name: str, field: FieldInfo) -> st.SearchStrategy[tuple[str, Any]]:
    """A cell as it is written, and what it means."""
    kind, (low, high) = cell_type(field)[1], _ends(field)
    if name in ("id", "corrects"):
        named = _LINE_ID if name == "id" else st.lists(_LINE, min_size=1, max_size=3).map(" ".join)
        return named.map(lambda text: (text, text))
    if words := words_of(field):
        keys = list(words)
        if _among(field):
            chosen = st.lists(st.sampled_from(keys), min_size=1, max_size=3, unique=True)
            return chosen.map(lambda some: (", ".join(some), ", ".join(key for key in keys if key in some)))
        return st.sampled_from(keys).map(lambda key: (key, key))
    if kind is bool:
        written = {"yes": True, "no": False, "x": True, "Y": True, "0": False, "TRUE": True}
        return st.sampled_from(list(written.items()))
    if kind is date:
        forms = st.sampled_from(("{0:%Y}-{0.month}-{0.day}", "{0.month}/{0.day}/{0:%Y}", "{0:%Y-%m-%d}T08:30"))
        days = st.dates(date(1900, 1, 1), date(2200, 1, 1))
        return st.tuples(forms, days).map(lambda one: (one[0].format(one[1]), one[1]))
    if kind is int:
        return st.integers(low, high).map(lambda number: (str(number), number))
    if kind is float:
        return st.floats(low, high, allow_nan=False).map(lambda number: (repr(number), number))
    lowered = name in ("species", "site_species", "seed_trees", "cover", "soil", "build", "unit") or (
        table == "ledger" and name == "kind"
    )
    return _TEXT.map(lambda text: (text, lower(text) if lowered else text))


def _wrong(name: str, field: FieldInfo) -> st.SearchStrategy[str]:
    """A cell that cannot be read as its column asks."""
    kind, (low, high) = cell_type(field)[1], _ends(field)
    slips: list[st.SearchStrategy[str]] = [st.just("")] if field.is_required() else []
    if name in ("id", "corrects") or words_of(field):
        slips.append(st.sampled_from(("zzzzzzzz", "\U0001f98c")))
    elif kind is bool:
        slips.append(st.sampled_from(("perhaps", "2", "nan", "yes and no")))
    elif kind is date:
        slips.append(st.sampled_from(("2026-02-30", "1899-12-31", "Tuesday", "10/2026", "13/13/2026", "nan", "0")))
    elif kind in (int, float):
        over = [] if high is None else [str(high + 1), str(low - 1), "1e300", f"-{high}9"]
        slips.append(
            st.sampled_from((*over, "nan", "inf", "1_0", "1.2.3", "ten", "#REF!", "12'6", "--", "\u00bd", "1e"))
        )
        if kind is int:
            slips.append(st.just("1.5"))
    elif "max_length" in repr(field) or field.is_required():
        slips.append(st.just("x" * 20_001))
    return st.one_of(slips) if slips else st.nothing()


def _slips(table: str) -> list[str]:
    fields = columns.TABLES[table].model_fields
    return [name for name, field in fields.items() if not _wrong(name, field).is_empty]


@st.composite
def table_rows(draw: st.DrawFn, table: str, most: int = 4) -> Rows:
    """Some rows of a table, each cell right by itself; columns that need not be there may be left out, in any order."""
    fields = columns.TABLES[table].model_fields
    must = columns.must_have(table) or [next(iter(fields))]
    others = draw(st.lists(st.sampled_from([*fields]), unique=True, min_size=2, max_size=6))
    heading = draw(st.permutations(list(dict.fromkeys([*must, *others]))))
    count = draw(st.integers(1, most))
    told: dict[str, list[tuple[str, Any]]] = {}
    for name in heading:
        field = fields[name]
        cell = _right(table, name, field)
        if not field.is_required() and name != next(iter(must)):
            cell = cell | st.just(("", None if field.default is None else field.default))
        told[name] = draw(st.lists(cell, min_size=count, max_size=count))
    cells = tuple(tuple(told[name][row][0] for name in heading) for row in range(count))
    return Rows(table, tuple(heading), cells, {name: tuple(one[1] for one in told[name]) for name in heading})


@st.composite
def rows_with_slip(draw: st.DrawFn, table: str) -> Rows:
    """Right rows but for one cell; the slip is (row as a spreadsheet counts, column)."""
    whole = draw(table_rows(table))
    there = [name for name in whole.heading if name in _slips(table)]
    if not there:
        name = draw(st.sampled_from(_slips(table)))
        cells = tuple((*row, "") for row in whole.cells)
        whole = Rows(table, (*whole.heading, name), cells, whole.meant)
    else:
        name = draw(st.sampled_from(there))
    at, row = whole.heading.index(name), draw(st.integers(0, len(whole.cells) - 1))
    cells = [list(one) for one in whole.cells]
    alone = not any(cell for other, cell in enumerate(cells[row]) if other != at)  # a row without a cell is no row
    cells[row][at] = draw(_wrong(name, columns.TABLES[table].model_fields[name]).filter(lambda slip: slip or not alone))
    return Rows(table, whole.heading, tuple(map(tuple, cells)), whole.meant, (row + 2, name))


# -- ground -------------------------------------------------------------------------------------------------------

Ring = list[list[float]]


@st.composite
def rings(draw: st.DrawFn, west: float = -89.4, south: float = 46.1) -> Ring:
    """A closed outline around a middle without a crossing: corners at rising bearings."""
    corners = draw(st.lists(st.integers(0, 35), min_size=4, max_size=9, unique=True).filter(_around))
    reach = draw(st.floats(1e-4, 5e-3))
    far = draw(st.lists(st.floats(0.6, 1.0), min_size=len(corners), max_size=len(corners)))
    ring = [
        [west + reach * r * math.cos(math.radians(10 * at)), south + reach * r * math.sin(math.radians(10 * at))]
        for at, r in zip(sorted(corners), far, strict=True)
    ]
    return [*ring, ring[0]]


def _around(bearings: list[int]) -> bool:
    """Whether no two neighbors are half a turn or more apart, so that the middle lies within."""
    there = sorted(bearings)
    return all((after - one) % 36 < 15 for one, after in zip(there, [*there[1:], there[0]], strict=True))


def _shrunk(ring: Ring, share: float) -> Ring:
    x, y = (sum(point[axis] for point in ring[:-1]) / (len(ring) - 1) for axis in (0, 1))
    return [[x + share * (point[0] - x), y + share * (point[1] - y)] for point in ring]


def _moved(ring: Ring, east: float) -> Ring:
    return [[x + east, y] for x, y in ring]


@st.composite
def outlines(draw: st.DrawFn) -> dict[str, Any]:
    """An outline that can be used: simple, a sliver, with a hole, far away, of two parts, of two that touch."""
    ring = draw(rings())
    kind = draw(st.sampled_from(("simple", "sliver", "hole", "far", "multi", "touching", "other way round")))
    if kind == "simple":
        return {"type": "Polygon", "coordinates": [ring]}
    if kind == "other way round":
        return {"type": "Polygon", "coordinates": [ring[::-1]]}
    if kind == "sliver":
        return {"type": "Polygon", "coordinates": [[[x, 46.1 + 1e-4 * (y - 46.1)] for x, y in ring]]}
    if kind == "far":
        return {"type": "Polygon", "coordinates": [_moved(ring, 100.0)]}
    if kind == "hole":
        return {"type": "Polygon", "coordinates": [ring, _around_middle()]}
    if kind == "multi":
        return {"type": "MultiPolygon", "coordinates": [[ring], [_moved(ring, 0.02)]]}
    box = draw(st.floats(1e-4, 3e-3))
    return {"type": "MultiPolygon", "coordinates": [[_box(0, 0, box)], [_box(box, box, box)]]}


def _around_middle() -> Ring:
    return [[-89.4 + x * 1e-5, 46.1 + y * 1e-5] for x, y in ((0, 1), (1, 0), (0, -1), (-1, 0), (0, 1))]


def _box(x: float, y: float, wide: float) -> Ring:
    left, low = -89.4 + x, 46.1 + y
    right, top = left + wide, low + wide
    if x:  # the corner is the very same number as that of the box it touches
        left, low = -89.4 + wide, 46.1 + wide
    return [[left, low], [right, low], [right, top], [left, top], [left, low]]


#: What may be wrong with an outline.
CROOKED = (
    "bow tie",
    "empty",
    "swapped",
    "no minus",
    "point",
    "line",
    "flat",
    "null",
    "not numbers",
    "meters",
    "hole outside",
)


@st.composite
def crooked(draw: st.DrawFn, kind: str) -> Any:
    """A shape that no parcel can have."""
    ring = draw(rings())
    x, y = ring[0]
    told: dict[str, Any] = {
        "bow tie": [[[x, y], [x + 1e-3, y + 1e-3], [x + 1e-3, y], [x, y + 1e-3], [x, y]]],
        "empty": draw(st.sampled_from(([], [[]]))),
        "swapped": [[[b, a] for a, b in ring]],
        "no minus": [[[-a, b] for a, b in ring]],
        "flat": [[[x, y], [x + 1e-3, y], [x + 2e-3, y], [x, y]]],
        "not numbers": [[["a", "b"] for _ in ring]],
        "meters": [[[a * -5e3, b * 1e5] for a, b in ring]],
        "hole outside": [ring, _moved(_shrunk(ring, 0.3), 0.05)],
    }
    if kind == "null":
        return None
    if kind == "point":
        return {"type": "Point", "coordinates": [x, y]}
    if kind == "line":
        return {"type": "LineString", "coordinates": ring}
    return {"type": "Polygon", "coordinates": told[kind]}


def map_told(*shapes: tuple[dict[str, Any], Any]) -> dict[str, Any]:
    """A GeoJSON of (what is said, shape)."""
    features = [{"type": "Feature", "properties": said, "geometry": shape} for said, shape in shapes]
    return {"type": "FeatureCollection", "features": features}

"""What rough handling does to the files of a place, by level; each change is drawn by a seed.

Files      name -> bytes of the hand-in files
LEVELS     level -> what it does to some files: bytes, cells, rows, columns, shapes, place.toml, rasters
mutated    the files of a place after some changes of one level
"""

import csv
import io
import json
import random
import re
from collections.abc import Callable
from functools import cache
from typing import Any

from hand_ins import BASES
from mutation_shapes import change_raster, change_shape, collection, features
from mutation_values import CELLS, SPOTS, TOML_VALUES, VALUES

from woodlot import columns
from woodlot.column_kinds import metric_names
from woodlot.place.settings import SETTINGS

__all__ = ["LEVELS", "Files", "mutated", "start_from"]

Files = dict[str, bytes]
Draw = random.Random


# -- bytes --------------------------------------------------------------------------------------------------------


def _of_bytes(files: Files, draw: Draw) -> None:
    name = draw.choice(sorted(files))
    data = files[name]
    start = draw.randrange(len(data) + 1)
    end = min(len(data), start + draw.choice((1, 2, 8, 64, 1000)))
    files[name] = draw.choice(_BYTES)(data, start, end, draw)


_BYTES: tuple[Callable[[bytes, int, int, Draw], bytes], ...] = (
    lambda data, start, end, draw: data[:start] + bytes([draw.randrange(256)]) + data[start + 1 :],
    lambda data, start, end, draw: data[:start] + draw.choice(SPOTS) + data[start:],
    lambda data, start, end, draw: data[:start] + data[end:],
    lambda data, start, end, draw: data[:start] + data[start:end] * 2 + data[end:],
    lambda data, start, end, draw: data[:start],
    lambda data, start, end, draw: data[start:],
    lambda data, start, end, draw: data[:start] + draw.randbytes(end - start) + data[end:],
    lambda data, start, end, draw: data[:start] + data[start:end][::-1] + data[end:],
    lambda data, start, end, draw: b"",
    lambda data, start, end, draw: data + data,
    lambda data, start, end, draw: data.replace(b"\n", draw.choice((b"\r", b"\r\n", b"\n\n", b"\r\r\n", b"", b"\x0b"))),
    lambda data, start, end, draw: data.decode("utf-8", "replace").encode(
        draw.choice(("utf-16", "utf-32", "utf-8-sig"))
    ),
    lambda data, start, end, draw: data.replace(b",", draw.choice((b";", b"\t", b",,", b"|"))),
)


# -- tables -------------------------------------------------------------------------------------------------------

Grid = list[list[str]]


def _table(files: Files, draw: Draw, change: Callable[[Grid, str, Draw], None]) -> None:
    """Change one table, or what one map says beside its shapes."""
    names = sorted(name for name in files if name.endswith((".csv", ".geojson")))
    name = draw.choice([name for name in names if name.endswith(".csv")] * 3 + names)
    stem = name.split(".")[0]
    if name.endswith(".geojson"):
        told = features(files[name])
        if told is None:
            return
        heading = list(dict.fromkeys(key for one in told for key in one.get("properties") or {}))
        grid = [heading, *([json.dumps((one.get("properties") or {}).get(key)) for key in heading] for one in told)]
        change(grid, stem, draw)
        shapes = [one.get("geometry") for one in told]
        files[name] = collection(
            ({key: _from_json(cell, draw) for key, cell in zip(grid[0], row, strict=False)}, shapes[at % len(shapes)])
            for at, row in enumerate(grid[1:])
        )
        return
    try:
        grid = list(csv.reader(io.StringIO(files[name].decode("utf-8", "replace"), newline="")))
    except csv.Error:
        return
    if grid and grid[0]:
        change(grid, stem, draw)
        text = io.StringIO()
        csv.writer(text, lineterminator="\n").writerows(grid)
        files[name] = text.getvalue().encode("utf-8", "replace")


def _from_json(cell: str, draw: Draw) -> Any:
    try:
        return json.loads(cell)
    except ValueError:
        return draw.choice((cell, draw.choice(VALUES)))


def _of_cells(files: Files, draw: Draw) -> None:
    _table(files, draw, _cells)


def _cells(grid: Grid, table: str, draw: Draw) -> None:
    if len(grid) < 2 or not grid[0]:
        return
    at = draw.randrange(len(grid[0]))
    rows = draw.sample(range(1, len(grid)), min(len(grid) - 1, draw.choice((1, 1, 1, 2, 5, len(grid) - 1))))
    values = _near_the_limits(table, grid[0][at]) if draw.random() < 0.4 else CELLS
    value = draw.choice(values)
    for row in rows:
        if at < len(grid[row]):
            old = grid[row][at]
            other = draw.choice(grid[draw.randrange(1, len(grid))] or [""])
            grid[row][at] = draw.choice((value, value, value, other, old + value[:5], old[:-1], " " + old, old * 2))


@cache
def _near_the_limits(table: str, heading: str) -> tuple[str, ...]:
    """The least and the largest a column allows, and what lies just beyond; all cells where it has no limits."""
    row = next((one for one in columns.listing() if (one["table"], one["column"]) == (table, heading)), None)
    if row is None:
        return CELLS
    ends = [end for end in (row["low"], row["high"]) if isinstance(end, int | float)]
    words = row["type"].split(", ") if ", " in row["type"] else []
    near = [f"{end + step:g}" for end in ends for step in (0, 0, 0, -0.1, 0.1, -1, 1)]
    return tuple(near + words) or CELLS


def _of_rows(files: Files, draw: Draw) -> None:
    _table(files, draw, _rows)


def _rows(grid: Grid, table: str, draw: Draw) -> None:
    head, rows = grid[:1], grid[1:]
    at = draw.randrange(len(rows)) if rows else 0
    one, other = rows[at : at + 1], draw.choice(rows) if rows else [""]
    cut = one[0][: draw.randrange(len(one[0]) + 1)] if one else []
    grid[:] = draw.choice(
        (
            lambda: head + rows[:at] + rows[at + 1 :],
            lambda: head + rows[:at] + one * draw.choice((2, 3, 200)) + rows[at + 1 :],
            lambda: head + draw.sample(rows, len(rows)),
            lambda: head + rows[::-1],
            lambda: head + one,
            lambda: head + rows[at:],
            lambda: head,
            lambda: rows,
            lambda: rows[:1] + head + rows[1:],
            lambda: [["My woods"], [""], *head, *rows],
            lambda: head + rows[:at] + head + rows[at:],
            lambda: head + rows[:at] + [[""] * len(head[0])] * 3 + rows[at:],
            lambda: head + rows[:at] + [cut] + rows[at + 1 :],
            lambda: head + rows[:at] + [[*other, "more", "", ""]] + rows[at:],
            lambda: head + [row[1:] + row[:1] for row in rows],
            lambda: head + rows + rows,
            lambda: [[*row, ""] for row in head + rows],
        )
    )()


def _of_columns(files: Files, draw: Draw) -> None:
    _table(files, draw, _columns)


def _columns(grid: Grid, table: str, draw: Draw) -> None:
    wide = len(grid[0])
    if not wide:
        return
    at, to = draw.randrange(wide), draw.randrange(wide)
    declared = columns.TABLES[table].model_fields if table in columns.TABLES else {}
    twins = [twin for field in declared.values() for twin in metric_names(field)]
    what = draw.randrange(9)
    named = draw.choice(
        ("", " ", "x", "nan", "0", "\u200b", "Unnamed: 0", "geometry", "fid", "_row", grid[0][to].upper())
    )
    if what == 0:
        grid[:] = [row[:at] + row[at + 1 :] for row in grid]
    elif what == 1:
        grid[:] = [[*row, *row[at : at + 1]] for row in grid]
    elif what == 2:
        grid[0][at] = named
    elif what == 3:
        grid[0][at], grid[0][to] = grid[0][to], grid[0][at]
    elif what == 4:
        grid[0][at] = draw.choice([*twins, *declared, "x"])
    elif what == 5:
        grid[0].append(draw.choice([*twins, *declared, "x"]))
        for row in grid[1:]:
            row.append(draw.choice(CELLS))
    elif what == 6:
        value = draw.choice(("", draw.choice(CELLS), draw.choice(_near_the_limits(table, grid[0][at]))))
        for row in grid[1:]:
            row[at : at + 1] = [value]
    elif what == 7:
        cells = [row[at] for row in grid[1:] if at < len(row)]
        draw.shuffle(cells)
        for row, cell in zip((row for row in grid[1:] if at < len(row)), cells, strict=False):
            row[at] = cell
    else:
        order = draw.sample(range(wide), wide)
        grid[:] = [[row[one] for one in order if one < len(row)] for row in grid]


# -- place.toml ---------------------------------------------------------------------------------------------------


def _of_toml(files: Files, draw: Draw) -> None:
    name = "place.toml"
    lines = files.get(name, b"").decode("utf-8", "replace").splitlines()
    at = draw.randrange(len(lines)) if lines else 0
    filled = [number for number, line in enumerate(lines) if "=" in line]
    what = draw.randrange(8)
    if what <= 2 and filled:
        at = draw.choice(filled)
        lines[at] = f"{lines[at].partition('=')[0]}= {draw.choice(TOML_VALUES)}"
    elif what <= 4:
        part = draw.choice(sorted(SETTINGS))
        key = draw.choice(sorted(SETTINGS[part].model_fields))
        value = draw.choice((draw.choice(TOML_VALUES), *_usual(part, key)))
        here = [number for number, line in enumerate(lines) if line.strip() == f"[{part}]"]
        lines = [line for line in lines if not re.match(rf"\s*{re.escape(key)}\s*=", line)]
        if here:
            lines.insert(min(here[0] + 1, len(lines)), f"{key} = {value}")
        else:
            lines += [f"[{part}]", f"{key} = {value}"]
    elif what == 5 and lines:
        lines = draw.choice(
            (lines[:at] + lines[at + 1 :], lines[:at] + lines[at : at + 1] * 2 + lines[at + 1 :], lines[:at])
        )
    elif what == 6:
        kind = draw.choice(("wants", "builds", "leave", "prism", "group", "needs.pieces", "deer.neighbors", "x"))
        keys = (
            "product",
            "number",
            "name",
            "by",
            "cover",
            "sqft",
            "factor",
            "family",
            "agreed",
            "from_fall",
            "length_ft",
        )
        lines += [f"[[{kind}]]", *(f"{key} = {draw.choice(TOML_VALUES)}" for key in draw.sample(keys, 2))]
    else:
        lines.insert(
            at, draw.choice(("[needs]", "[deer", "[[deer]]", "= 1", "x", "[home]\nlon = 0", '"', "[a.b.c]", "name = 1"))
        )
    files[name] = "\n".join(lines).encode("utf-8", "replace")


@cache
def _usual(part: str, key: str) -> tuple[str, ...]:
    """The ends of what a key may hold."""
    row = next(one for one in columns.listing(SETTINGS) if (one["table"], one["column"]) == (part, key))
    ends = [f"{row[end]!r}" for end in ("low", "high") if isinstance(row[end], int | float)]
    words = [f'"{word}"' for word in row["type"].split(", ")] if ", " in row["type"] else []
    return (*ends, *ends, *words)


# -- places -------------------------------------------------------------------------------------------------------

LEVELS: dict[str, Callable[[Files, Draw], None]] = {
    "byte": _of_bytes,
    "cell": _of_cells,
    "row": _of_rows,
    "column": _of_columns,
    "geometry": change_shape,
    "toml": _of_toml,
    "raster": lambda files, draw: change_raster(files, draw, _BYTES[:9]),
}


#: Tables that place.toml or others speak of.
MUST_STAY = ("plots.csv", "trees.csv", "builds.csv")


@cache
def _base(name: str) -> Files:
    return BASES[name]().files()


def start_from(draw: Draw) -> Files:
    """The files of a sample; of the larger one the maps, plots and some of the other tables, in many a company."""
    name = draw.choice(("brook", "brook", "forty"))
    files = dict(_base(name))
    tables = sorted(file for file in files if file.endswith(".csv") and file not in MUST_STAY)
    gone = draw.sample(tables, max(len(tables) - draw.choice((0, 1, 1, 2)), 0))
    return {file: data for file, data in files.items() if file not in gone}


def mutated(level: str, seed: int) -> tuple[Files, Files]:
    """The files of a place as they were, and after one to three changes of a level; the same for the same seed."""
    draw = random.Random(f"{level} {seed}")
    before = start_from(draw)
    files = dict(before)
    for _ in range(draw.choice((1, 1, 2, 3))):
        LEVELS[level](files, draw)
    return before, files

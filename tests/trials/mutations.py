"""What rough handling does to the files of a place, by level; each change is drawn by a seed.

Files      name -> bytes of the hand-in files
LEVELS     level -> what it does to some files: bytes, cells, rows, columns, shapes, place.toml, rasters
mutated    the files of a place after some changes of one level
"""

import csv
import io
import json
import math
import random
import re
from collections.abc import Callable
from functools import cache
from typing import Any

from hand_ins import BASES

from woodlot import columns
from woodlot.column_kinds import metric_names
from woodlot.place.settings import SETTINGS

__all__ = ["LEVELS", "Files", "mutated", "start_from"]

Files = dict[str, bytes]
Draw = random.Random

#: Cells that a hand, a spreadsheet or another program leaves behind.
CELLS = (
    *("", " ", "\t", "0", "-0", "1", "-1", "0.0", "1.5", "00012", "+3", "1e3", "1e308", "1e400", "-1e400", "5e-324"),
    *(
        "nan",
        "NaN",
        "NaT",
        "None",
        "null",
        "inf",
        "-inf",
        "Infinity",
        "<NA>",
        "#N/A",
        "#REF!",
        "1_000",
        "1,000",
        "1.000,5",
    ),
    *(
        "9" * 18,
        "9" * 19,
        "9" * 400,
        "9" * 5000,
        "0." + "3" * 40,
        "2147483648",
        "-9223372036854775809",
        "0x10",
        "1e",
        ".",
        "-",
        "--",
    ),
    *("true", "TRUE", "yes", "no", "x", "y/n", "1/2", "12'6", '9"', "12 in", "50%", "%", "$5", "~10", ">5", "10-12"),
    *("2026-10-09", "10/9/2026", "2026-13-01", "2026-02-30", "0001-01-01", "9999-12-31", "1900-01-01", "1899-12-31"),
    *("2200-01-01", "2026-10-09T12:00:00Z", "45213", "Oct 9", "2026", "31.12.2026", "24:00"),
    *(
        "=1+1",
        "@x",
        "=HYPERLINK(1)",
        "'12",
        "'=1",
        "\u0663",
        "\u00bd",
        "\u2212 5",
        "\u00a0",
        "\u200b",
        "\u202e12",
        "\ufeff1",
    ),
    *(
        "\U0001f98c",
        "e\u0301",
        "\x00",
        "\x07",
        "\x1b[31m",
        "\x85",
        "\u2028",
        "a\nb",
        "a\rb",
        '"',
        '""',
        'a"b',
        "a,b",
        "a;b",
    ),
    *("sugar maple", "Acer", "unknown", "popple", "douglas-fir", "pine; oak", "none", "deer", "prism", "fixed", "void"),
    *(
        "home",
        "1",
        "p0",
        "../x",
        "con",
        "x" * 81,
        "x" * 21_000,
        "{}",
        "[1]",
        "%s",
        "{0}",
        "<b>",
        "</script>",
        "\\",
        "\\N",
    ),
)
#: What a reader of JSON may find where a number or a text should be.
VALUES: tuple[Any, ...] = (
    *(None, True, False, 0, -0.0, 1, -1, 0.5, 1e308, 1e-320, 10**19, 10**400, math.nan, math.inf, -math.inf),
    *([], {}, [1], [[1]], {"a": 1}, [None], "", " ", *CELLS[60:]),
)
TOML_VALUES = (
    *("0", "-1", "1", "0.5", "1e308", "1e400", "nan", "inf", "-inf", "9223372036854775807", "9223372036854775808"),
    *(
        "9" * 400,
        "9" * 5000,
        "[" * 3000,
        "true",
        "false",
        '""',
        '" "',
        '"x"',
        '"nan"',
        '"0"',
        "[]",
        "[1]",
        "[[1]]",
        '["a"]',
        "{}",
        "{a = 1}",
        "[{}]",
    ),
    *("1900-01-01", "0001-01-01", "9999-12-31", "2026-02-30", "2026-10-09T12:00:00Z", "12:00:00", "2026-10-09"),
    *(
        '"sugar maple"',
        '"douglas-fir"',
        '"base"',
        '"../x"',
        '"\\u0000"',
        '"\U0001f98c"',
        '"\u202e"',
        "[13, 18, 24]",
        "[nan, 1, 2]",
    ),
    *("'''\na\n'''", "...", "", "1_000", "0x1F", "3,5", "\u201cx\u201d"),
)


# -- bytes --------------------------------------------------------------------------------------------------------

SPOTS = (b"\x00", b"\xff", b"\xfe\xff", b"\xef\xbb\xbf", b"\r", b"\n\n", b"\r\n", b'"', b",", b";", b"\t", b"'", b"=")
SPOTS += (
    b"{",
    b"}",
    b"[",
    b"]",
    b"#",
    b"\x1a",
    b"\x80",
    b"\xe2\x80\xae",
    b"\xed\xa0\x80",
    b"[[[[" * 50,
    b"1e999",
    b"-",
    b"9" * 5000,
)


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
        told = _features(files[name])
        if told is None:
            return
        heading = list(dict.fromkeys(key for one in told for key in one.get("properties") or {}))
        grid = [heading, *([json.dumps((one.get("properties") or {}).get(key)) for key in heading] for one in told)]
        change(grid, stem, draw)
        shapes = [one.get("geometry") for one in told]
        files[name] = _collection(
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
            lambda: [["My woods"], [""]] + head + rows,
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


# -- shapes -------------------------------------------------------------------------------------------------------


def _features(data: bytes) -> list[dict[str, Any]] | None:
    try:
        told = json.loads(data)["features"]
        return told if all(isinstance(one, dict) for one in told) and told else None
    except (ValueError, KeyError, TypeError):
        return None


def _collection(told: Any) -> bytes:
    shapes = [{"type": "Feature", "properties": said, "geometry": shape} for said, shape in told]
    return json.dumps({"type": "FeatureCollection", "features": shapes}).encode()


def _of_shapes(files: Files, draw: Draw) -> None:
    name = draw.choice(sorted(name for name in files if name.endswith(".geojson")))
    told = _features(files[name])
    if told is None:
        return
    one = draw.choice(told)
    if draw.random() < 0.1:
        whole = {"type": "FeatureCollection", "features": told} | draw.choice(_AROUND)
        files[name] = json.dumps(whole).encode()
        return
    one["geometry"] = draw.choice(_SHAPES)(one.get("geometry"), draw, draw.choice(told).get("geometry"))
    files[name] = json.dumps({"type": "FeatureCollection", "features": told}).encode()


#: What may stand around the shapes.
_AROUND: tuple[dict[str, Any], ...] = (
    *(
        {"crs": {"type": "name", "properties": {"name": name}}}
        for name in ("EPSG:3857", "EPSG:26916", "urn:x", "", "EPSG:0")
    ),
    *(
        {"type": "Feature"},
        {"type": ""},
        {"features": {}},
        {"features": None},
        {"features": []},
        {"crs": None},
        {"crs": 4326},
    ),
    *({"bbox": [0, 0, 0, 0]}, {"name": "\x00"}, {"features": [None]}, {"features": [{"type": "Feature"}]}),
)


def _points(shape: Any, change: Callable[[list[Any]], Any]) -> Any:
    """A shape with each of its points changed."""
    if isinstance(shape, dict):
        if "geometries" in shape:
            return shape | {"geometries": [_points(one, change) for one in shape["geometries"] or []]}
        return shape | {"coordinates": _points(shape.get("coordinates"), change)}
    if isinstance(shape, list) and len(shape) >= 2 and all(isinstance(number, int | float) for number in shape[:2]):
        return change(shape)
    return [_points(one, change) for one in shape] if isinstance(shape, list) else shape


def _one_point(shape: Any, draw: Draw, change: Callable[[list[Any]], Any]) -> Any:
    count = [0]
    _points(shape, lambda point: count.__setitem__(0, count[0] + 1) or point)
    at, seen = draw.randrange(count[0] or 1), [-1]

    def once(point: list[Any]) -> Any:
        seen[0] += 1
        return change(point) if seen[0] == at else point

    return _points(shape, once)


def _rings(shape: Any, change: Callable[[list[Any]], list[Any]]) -> Any:
    if not isinstance(shape, dict) or not isinstance(shape.get("coordinates"), list):
        return shape
    if shape.get("type") == "Polygon":
        return shape | {"coordinates": change(shape["coordinates"])}
    if shape.get("type") == "MultiPolygon":
        return shape | {"coordinates": [change(part) for part in shape["coordinates"]]}
    return shape


def _smaller(ring: list[Any], share: float, east: float = 0.0) -> list[Any]:
    if not ring or not isinstance(ring[0], list) or len(ring[0]) < 2:
        return ring
    x = sum(point[0] for point in ring) / len(ring)
    y = sum(point[1] for point in ring) / len(ring)
    return [[x + east + share * (point[0] - x), y + share * (point[1] - y)] for point in ring]


def _kind(shape: Any, kind: str) -> Any:
    return shape | {"type": kind} if isinstance(shape, dict) else shape


def _multi(shape: Any, other: Any) -> Any:
    parts = [one["coordinates"] for one in (shape, other) if isinstance(one, dict) and one.get("type") == "Polygon"]
    return {"type": "MultiPolygon", "coordinates": parts}


ODD_NUMBERS = (
    math.nan,
    math.inf,
    -math.inf,
    1e308,
    -1e308,
    1e-320,
    180,
    -180,
    90,
    -90,
    0,
    361,
    "x",
    None,
    True,
    [],
    10**400,
)

_SHAPES: tuple[Callable[[Any, Draw, Any], Any], ...] = (
    lambda shape, draw, other: None,
    lambda shape, draw, other: draw.choice(VALUES),
    lambda shape, draw, other: other,
    lambda shape, draw, other: _multi(shape, other),
    lambda shape, draw, other: _multi(shape, shape),
    lambda shape, draw, other: {"type": "GeometryCollection", "geometries": [shape, other]},
    lambda shape, draw, other: {"type": "GeometryCollection", "geometries": []},
    lambda shape, draw, other: _kind(
        shape, draw.choice(("Point", "LineString", "Polygon", "MultiPolygon", "MultiPoint", "X"))
    ),
    lambda shape, draw, other: {"type": draw.choice(("Polygon", "Point", "MultiPolygon")), "coordinates": []},
    lambda shape, draw, other: {"type": "Polygon", "coordinates": [[[-89.4, 46.1]] * draw.randrange(6)]},
    lambda shape, draw, other: _points(shape, lambda point: [point[1], point[0], *point[2:]]),
    lambda shape, draw, other: _points(shape, lambda point: [*point[:2], draw.choice((0, 300.0, math.nan, "z"))]),
    lambda shape, draw, other: _points(shape, lambda point: [round(point[0], 2), round(point[1], 2)]),
    lambda shape, draw, other: _points(shape, lambda point: [point[0], 44.12]),
    lambda shape, draw, other: _points(shape, lambda point: [point[0] * 1e5, point[1] * 1e5]),
    lambda shape, draw, other: _points(shape, lambda point: [str(point[0]), str(point[1])]),
    lambda shape, draw, other: _points(
        shape, lambda point: [point[0] + draw.gauss(0, 1e-3), point[1] + draw.gauss(0, 1e-3)]
    ),
    lambda shape, draw, other: _points(
        shape, lambda point: [point[0] + draw.gauss(0, 1e-9), point[1] + draw.gauss(0, 1e-9)]
    ),
    lambda shape, draw, other: (lambda east: _points(shape, lambda point: [point[0] + east, point[1]]))(
        draw.choice((1e-9, 1e-6, 1e-3, 1.0, 90.0, 180.0, -180.0, 360.0))
    ),
    lambda shape, draw, other: (lambda north: _points(shape, lambda point: [point[0], point[1] + north]))(
        draw.choice((1e-9, 1e-6, 1e-3, 1.0, 30.0, -44.12, -90.0, 45.88, 60.0))
    ),
    lambda shape, draw, other: _one_point(
        shape, draw, lambda point: draw.choice(([], [1], None, "x", [[0, 0]], [0, 0]))
    ),
    lambda shape, draw, other: _one_point(shape, draw, lambda point: [draw.choice(ODD_NUMBERS), point[1]]),
    lambda shape, draw, other: _one_point(shape, draw, lambda point: [point[0], draw.choice(ODD_NUMBERS)]),
    lambda shape, draw, other: _one_point(shape, draw, lambda point: [point[0] + draw.gauss(0, 1e-3), point[1]]),
    lambda shape, draw, other: _rings(shape, lambda rings: [*rings, *(_smaller(ring, 0.5) for ring in rings[:1])]),
    lambda shape, draw, other: _rings(
        shape, lambda rings: [*rings, *(_smaller(ring, 0.5, 0.01) for ring in rings[:1])]
    ),
    lambda shape, draw, other: _rings(shape, lambda rings: [*rings, *rings[:1]]),
    lambda shape, draw, other: _rings(
        shape, lambda rings: [_smaller(ring, draw.choice((1e-9, 1e-5, 0.01, 0.99, 3, 100))) for ring in rings]
    ),
    lambda shape, draw, other: _rings(
        shape, lambda rings: [[ring[at] for at in (0, 2, 1, 3, 0) if at < len(ring)] for ring in rings]
    ),
    lambda shape, draw, other: _rings(shape, lambda rings: [ring[::-1] for ring in rings]),
    lambda shape, draw, other: _rings(shape, lambda rings: [ring[:-1] for ring in rings]),
    lambda shape, draw, other: _rings(
        shape, lambda rings: [[point for point in ring for _ in range(3)] for ring in rings]
    ),
    lambda shape, draw, other: _rings(shape, lambda rings: [ring[:2] + ring[:1] for ring in rings]),
    lambda shape, draw, other: _rings(shape, lambda rings: [ring + ring for ring in rings]),
)


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


# -- rasters ------------------------------------------------------------------------------------------------------

RASTER_NAMES = ("elevation.tif", "canopy_height.tif", "land_cover.tif", "picture.tif", "soil.tif")


def _of_rasters(files: Files, draw: Draw) -> None:
    there = sorted(name for name in files if name.endswith(".tif"))
    name = draw.choice(there or RASTER_NAMES)
    if name in files and draw.random() < 0.3:
        data = files[name]
        start = draw.randrange(min(len(data), draw.choice((400, len(data)))) or 1)
        files[name] = draw.choice(_BYTES[:9])(data, start, min(len(data), start + draw.choice((1, 8, 64, 5000))), draw)
    else:
        files[draw.choice((name, draw.choice(RASTER_NAMES)))] = _raster(files, draw)


def _raster(files: Files, draw: Draw) -> bytes:
    """A raster over the parcels, odd in one or more ways."""
    import numpy as np
    import rasterio
    from rasterio.transform import Affine, from_bounds

    points: list[list[float]] = []
    for one in _features(files.get("parcels.geojson", b"{}")) or []:
        _points(one.get("geometry"), lambda point: points.append(point[:2]) or point)
    good = [point for point in points if all(isinstance(number, float) and abs(number) < 180 for number in point)]
    west, south = (min(point[axis] for point in good) if good else 0.0 for axis in (0, 1))
    east, north = (max(point[axis] for point in good) + 1e-3 if good else 1.0 for axis in (0, 1))
    high, wide = draw.choice(((1, 1), (2, 300), (40, 40), (60, 50)))
    kind = draw.choice(("uint8", "int16", "uint16", "int32", "float32", "float64", "complex64"))
    rng = np.random.default_rng(draw.randrange(2**32))
    bands = draw.choice((1, 1, 1, 2, 3, 4))
    data = rng.uniform(0, draw.choice((1, 95, 300)), (bands, high, wide))
    odd = draw.choice((None, None, np.nan, np.inf, -9999.0, 1e30, 0.0))
    if odd is not None:
        data[rng.random(data.shape) < draw.choice((0.01, 0.5, 1.0))] = odd
    if not kind.startswith(("float", "complex")):
        data = np.clip(np.nan_to_num(data), 0, 255)
    to = from_bounds(west, south, east, north, wide, high)
    to = draw.choice(
        (
            to,
            to,
            to,
            to * Affine.rotation(30),
            to * Affine.scale(1, -1),
            to * Affine.scale(0, 0),
            to * Affine.scale(1e-6),
        )
    )
    crs = draw.choice(("EPSG:4326", "EPSG:4326", "EPSG:26916", "EPSG:3857", None))
    none = draw.choice((None, None, 0, -9999, np.nan, 255))
    fits = none is None or kind.startswith("float") or (none == none and 0 <= none <= 255)
    with rasterio.MemoryFile() as held:
        with held.open(
            driver="GTiff",
            width=wide,
            height=high,
            count=bands,
            dtype=kind,
            crs=crs,
            transform=to,
            nodata=none if fits else None,
        ) as file:
            file.write(data.astype(kind))
        return held.read()


# -- places -------------------------------------------------------------------------------------------------------

LEVELS: dict[str, Callable[[Files, Draw], None]] = {
    "byte": _of_bytes,
    "cell": _of_cells,
    "row": _of_rows,
    "column": _of_columns,
    "geometry": _of_shapes,
    "toml": _of_toml,
    "raster": _of_rasters,
}


#: Tables that place.toml or others speak of.
MUST_STAY = ("plots.csv", "trees.csv", "builds.csv")


@cache
def _base(name: str) -> Files:
    return BASES[name]().files()


def start_from(draw: Draw) -> Files:
    """The files of a sample; of the large ones the maps and some of the tables, so that each is met in many a company."""
    name = draw.choice(("brook", "brook", "brook", "forty", "otter"))
    files = dict(_base(name))
    tables = sorted(file for file in files if file.endswith(".csv") and file not in MUST_STAY)
    gone = draw.sample(tables, max(len(tables) - draw.choice((1, 2, 3, 4)), 0))
    return {file: data for file, data in files.items() if file not in gone}


def mutated(level: str, seed: int) -> tuple[Files, Files]:
    """The files of a place as they were, and after one to three changes of a level; the same for the same seed."""
    draw = random.Random(f"{level} {seed}")
    before = start_from(draw)
    files = dict(before)
    for _ in range(draw.choice((1, 1, 2, 3))):
        LEVELS[level](files, draw)
    return before, files

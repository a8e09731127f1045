"""Hand-ins whose shapes and points lie out of place, and the plain ways of changing a hand-in.

both, rows, cells        one change after another; rows made anew; cells filled
shapes, rows_out_of_place   each way in which what is drawn, and where a row says it was, may be wrong
"""

from collections.abc import Callable, Iterator
from typing import Any

from hand_ins import HandIn, at, box, line, point

from woodlot import columns, trade

Do = Callable[[HandIn], Any]
Change = tuple[str, Do]


def both(*changes: Do) -> Do:
    """One change after the other."""

    def change(hand_in: HandIn) -> None:
        for one in changes:
            one(hand_in)

    return change


def rows(table: str, make: Callable[[list[Any]], list[Any]]) -> Do:
    """The rows of a table, or the shapes of a map, made anew."""

    def change(hand_in: HandIn) -> None:
        there = hand_in.entries(table)
        there[:] = make(list(there))

    return change


def cells(table: str, every: bool, **told: Any) -> Do:
    """The same cells in the first row, or in every row."""

    def change(hand_in: HandIn) -> None:
        for row in hand_in.rows(table)[: None if every else 1]:
            row.update(told)

    return change


def without(*tables: str) -> Do:
    """Files taken out."""
    return lambda hand_in: hand_in.without(*tables)


def _each(part: Any, turn: Callable[[list[float]], Any]) -> Any:
    """Each point of coordinates turned."""
    return turn(part) if isinstance(part[0], (int, float)) else [_each(one, turn) for one in part]


def _moved(east: float, north: float) -> Callable[[Any], Any]:
    def move(shape: Any) -> Any:
        return shape | {"coordinates": _each(shape["coordinates"], lambda p: [p[0] + east, p[1] + north])}

    return move


def _corner(shape: Any) -> list[float]:
    first = shape["coordinates"]
    while not isinstance(first[0], (int, float)):
        first = first[0]
    return first


def _triangle(wide: float, high: float) -> Callable[[Any], Any]:
    """An outline at the shape's corner; of no width it has no area."""

    def draw(shape: Any) -> Any:
        x, y = _corner(shape)
        return {"type": "Polygon", "coordinates": [[[x, y], [x, y + high], [x + wide, y], [x, y]]]}

    return draw


def _crossed(ring: Any) -> Any:
    return [[ring[0], ring[2], ring[1], ring[3], ring[0]]]


def _holed(ring: Any) -> Any:
    east, north = (sum(p[axis] for p in ring) / len(ring) for axis in (0, 1))
    return [ring, [[east + (p[0] - east) / 3, north + (p[1] - north) / 3] for p in ring][::-1]]


def _of_ring(turn: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """What changes outlines only."""

    def bend(shape: Any) -> Any:
        outline = shape["type"] == "Polygon"
        return shape | {"coordinates": turn(shape["coordinates"][0])} if outline else shape

    return bend


def _in_two(shape: Any) -> Any:
    if shape["type"] != "Polygon":
        return shape
    return {"type": "MultiPolygon", "coordinates": [shape["coordinates"], _moved(0.02, 0.0)(shape)["coordinates"]]}


#: What may be wrong with where a shape lies or what it is; each from a shape to a shape.
SHAPES: dict[str, Callable[[Any], Any]] = {
    "half a mile off": _moved(0.01, 0.0),
    "a hand's breadth off": _moved(1e-6, 1e-6),
    "a few feet off": _moved(3e-5, 2e-5),
    "1000 miles off": _moved(-15.0, -8.0),
    "on another continent": _moved(100.0, 3.0),
    "swapped": lambda shape: shape | {"coordinates": _each(shape["coordinates"], lambda p: p[::-1])},
    "of no area": _triangle(0.0, 0.0),
    "a sliver": _triangle(1e-9, 1e-3),
    "a foot wide": _triangle(3e-6, 3e-6),
    "crossing itself": _of_ring(_crossed),
    "in two pieces": _in_two,
    "with a hole": _of_ring(_holed),
    "not drawn": lambda shape: None,
    "an empty shape": lambda shape: {"type": "Polygon", "coordinates": []},
    "a point": lambda shape: point(_corner(shape)),
    "two points": lambda shape: {"type": "MultiPoint", "coordinates": [_corner(shape), _corner(shape)]},
    "a line of no length": lambda shape: line(_corner(shape), _corner(shape)),
    "a collection": lambda shape: {"type": "GeometryCollection", "geometries": [shape]},
}
#: Features of each kind as these.
ODD_FEATURES = {
    "line": line(at(3, 1), at(5, 1)),
    "point": point(at(3, 1)),
    "outline round all": box(-1, -1, 15, 12),
    "outline far off": box(900, 900),
    "line of no length": line(at(3, 1), at(3, 1)),
}


def bent(table: str, bend: Callable[[Any], Any], every: bool) -> Do:
    """The first outline of a map, or all its shapes, changed."""

    def make(there: list[Any]) -> list[Any]:
        first = next((number for number, (_, shape) in enumerate(there) if shape["type"] == "Polygon"), None)
        return [(row, bend(shape) if every or number == first else shape) for number, (row, shape) in enumerate(there)]

    return rows(table, make)


def shapes() -> Iterator[Change]:
    """The first shape, and all shapes, of each map put out of place; shapes twice; each in another's place."""
    for table in columns.MAPS:
        key = columns.header(table)[0]
        for how, bend in SHAPES.items():
            yield f"one of {table} {how}", bent(table, bend, every=False)
            yield f"all of {table} {how}", bent(table, bend, every=True)
        yield f"one of {table} twice", rows(table, lambda there: [*there, there[0]])
        yield (
            f"one of {table} twice by other names",
            rows(table, lambda there, key=key: [*there, ({**there[0][0], key: "other"}, there[0][1])]),
        )
        yield (
            f"{table} in each other's place",
            rows(
                table,
                lambda there: [(one[0], other[1]) for one, other in zip(there, there[1:] + there[:1], strict=True)],
            ),
        )
        yield f"{table} one on another", rows(table, lambda there: [(row, there[0][1]) for row, _ in there])
    yield "a stand larger than all parcels", bent("stands", lambda shape: box(-1, -1, 15, 12), every=False)
    for kind in trade.FEATURES:
        for how, shape in ODD_FEATURES.items():
            yield f"{kind} as {how}", rows("features", lambda there, k=kind, s=shape: [*there, ({"kind": k}, s)])
    yield "home in another state", lambda hand_in: hand_in.toml["home"].update(lon=-120.0)


#: Longitudes and latitudes that a row may have.
SPOTS = {
    "far off": ("-100", "30"),
    "swapped": ("44.12", "-72.62"),
    "at zero": ("0", "0"),
    "at the pole": ("180", "90"),
    "half there": ("-72.6", ""),
    "a mile off": ("-72.60", "44.14"),
}


def rows_out_of_place() -> Iterator[Change]:
    """Where a row says it was: far off, swapped, at the ends, half of it."""
    for table in columns.TABLES:
        if "lon" in columns.header(table):
            for how, (lon, lat) in SPOTS.items():
                yield f"one of {table} {how}", cells(table, False, lon=lon, lat=lat)
                yield f"all of {table} {how}", cells(table, True, lon=lon, lat=lat)

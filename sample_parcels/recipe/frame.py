"""The drawing board: feet on a local sheet, wavy lines, smooth made-up fields, files written the same way each time."""

import csv
import json
from pathlib import Path

import numpy as np
import pyproj
import shapely
import shapely.ops
from shapely.geometry import LineString, Polygon, mapping

__all__ = ["Sheet", "field", "pieces", "read_rows", "wavy", "write_csv", "write_geojson", "write_text"]


WAVES = 9  # directions in which each size of wave runs


class Sheet:
    """A flat sheet in feet round a point (degrees): x east, y north."""

    def __init__(self, lon: float, lat: float):
        """Lay the sheet with its origin there."""
        self.crs = pyproj.CRS.from_proj4(f"+proj=tmerc +lon_0={lon} +lat_0={lat} +k=1 +ellps=WGS84 +units=ft +no_defs")
        self._moves: dict = {}

    def _move(self, start, end):
        key = (str(start), str(end))
        if key not in self._moves:
            self._moves[key] = pyproj.Transformer.from_crs(start, end, always_xy=True)
        return self._moves[key]

    def lonlat(self, x, y):
        """Degrees east and north of points in feet, to the centimetre or so."""
        lon, lat = self._move(self.crs, "EPSG:4326").transform(x, y)
        return np.round(lon, 7), np.round(lat, 7)

    def to_degrees(self, shape):
        """A shape in feet as a shape in degrees; corners that are one corner here stay one corner there."""
        return shapely.transform(shape, lambda xy: np.column_stack(self.lonlat(xy[:, 0], xy[:, 1])))

    def feet(self, points, crs: str):
        """Feet on this sheet of points (x and y) given in another reference system."""
        return self._move(crs, self.crs).transform(*points)

    def shape_in(self, shape, crs: str):
        """A shape in feet drawn in another reference system."""
        move = self._move(self.crs, crs)
        return shapely.transform(shape, lambda xy: np.column_stack(move.transform(xy[:, 0], xy[:, 1])))


def field(x, y, seed: int, longest_ft: float, octaves: int = 4):
    """A smooth made-up surface, about -1 to 1, that can be asked for at any point: waves in random directions."""
    rng = np.random.default_rng(seed)
    x, y = np.asarray(x, float), np.asarray(y, float)
    total, weight = np.zeros_like(x), 0.0
    for octave in range(octaves):
        size = longest_ft / 2.0**octave
        first, phases = rng.uniform(0, 2 * np.pi), rng.uniform(0, 2 * np.pi, WAVES)
        for turn, phase in enumerate(phases):
            angle = first + np.pi * (turn + rng.uniform(-0.4, 0.4)) / WAVES
            wave = size * rng.uniform(0.75, 1.3)
            total = total + 0.5**octave * np.cos(2 * np.pi * (x * np.cos(angle) + y * np.sin(angle)) / wave + phase)
        weight += WAVES * 0.25**octave
    return total / np.sqrt(weight)


def wavy(points, seed: int, swing_ft: float = 28.0, every_ft: float = 45.0) -> LineString:
    """A line a person would draw between the points: it wanders, but keeps its two ends."""
    rng = np.random.default_rng(seed)
    line = LineString(points)
    count = max(int(line.length / every_ft), 3)
    along = np.linspace(0.0, 1.0, count + 1)
    xy = shapely.get_coordinates(line.interpolate(along, normalized=True))
    way = np.gradient(xy, axis=0)
    side = np.column_stack([-way[:, 1], way[:, 0]]) / np.hypot(way[:, 0], way[:, 1])[:, None]
    off = np.zeros_like(along)
    for turns in (1.0, 2.0, 3.5, 6.0):
        off += rng.normal(0, 1 / turns) * np.sin(np.pi * turns * along * 2 + rng.uniform(0, 2 * np.pi))
    off *= swing_ft * np.sin(np.pi * along) ** 0.5
    return LineString(np.round(xy + side * off[:, None], 1))


def pieces(outline: Polygon, lines) -> list[Polygon]:
    """The outline cut along the lines; neighbours share every corner."""
    drawn = shapely.unary_union([outline.boundary, *lines])
    return [face for face in shapely.ops.polygonize(drawn) if outline.contains(face.representative_point())]


def read_rows(name: str, names=()) -> list[dict]:
    """A table of the recipe as rows; numbers become numbers except in columns of names, empty cells None."""

    def cell(key, text):
        if text == "" or key in names:
            return text or None
        try:
            return float(text)
        except ValueError:
            return text

    with (Path(__file__).parent / name).open(encoding="utf-8", newline="") as file:
        return [{key: cell(key, text) for key, text in row.items()} for row in csv.DictReader(file)]


def write_text(file: Path, text: str) -> None:
    """Text with plain line ends, whatever the machine."""
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(text.encode("utf-8"))


def write_csv(file: Path, columns, rows) -> None:
    """Rows (dicts) under a heading; missing is empty."""
    file.parent.mkdir(parents=True, exist_ok=True)
    with file.open("w", encoding="utf-8", newline="") as out:
        pen = csv.DictWriter(out, columns, restval="", lineterminator="\n")
        pen.writeheader()
        pen.writerows({key: "" if value is None else value for key, value in row.items()} for row in rows)


def write_geojson(file: Path, name: str, rows) -> None:
    """Shapes in degrees with their words, one feature to a line so that a change can be read."""
    lines = []
    for row in rows:
        words = {key: value for key, value in row.items() if key != "geometry"}
        shape = json.loads(json.dumps(mapping(row["geometry"])))
        lines.append(json.dumps({"type": "Feature", "properties": words, "geometry": shape}))
    body = ",\n".join(lines)
    write_text(file, f'{{"type": "FeatureCollection", "name": "{name}", "features": [\n{body}\n]}}\n')

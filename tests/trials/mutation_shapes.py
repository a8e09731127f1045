"""What rough handling does to the shapes and rasters of a place."""

import json
import math
import random
from collections.abc import Callable
from typing import Any

from mutation_values import ODD_NUMBERS, VALUES

__all__ = ["change_raster", "change_shape", "collection", "features"]

Files = dict[str, bytes]
Draw = random.Random


def features(data: bytes) -> list[dict[str, Any]] | None:
    """The features of a GeoJSON; None where it has none that could be changed."""
    try:
        told = json.loads(data)["features"]
        return told if all(isinstance(one, dict) for one in told) and told else None
    except (ValueError, KeyError, TypeError):
        return None


def collection(told: Any) -> bytes:
    """A GeoJSON of (what is said, shape)."""
    shapes = [{"type": "Feature", "properties": said, "geometry": shape} for said, shape in told]
    return json.dumps({"type": "FeatureCollection", "features": shapes}).encode()


def change_shape(files: Files, draw: Draw) -> None:
    """Change one shape of a map, or what stands around all of them."""
    name = draw.choice(sorted(name for name in files if name.endswith(".geojson")))
    told = features(files[name])
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


# -- rasters ------------------------------------------------------------------------------------------------------

RASTER_NAMES = ("elevation.tif", "canopy_height.tif", "land_cover.tif", "picture.tif", "soil.tif")


def change_raster(files: Files, draw: Draw, of_bytes: Any) -> None:
    """Change the bytes of a raster by one of some ways, or lay another over the parcels that is odd."""
    there = sorted(name for name in files if name.endswith(".tif"))
    name = draw.choice(there or RASTER_NAMES)
    if name in files and draw.random() < 0.3:
        data = files[name]
        start = draw.randrange(min(len(data), draw.choice((400, len(data)))) or 1)
        files[name] = draw.choice(of_bytes)(data, start, min(len(data), start + draw.choice((1, 8, 64, 5000))), draw)
    else:
        files[draw.choice((name, draw.choice(RASTER_NAMES)))] = _raster(files, draw)


def _raster(files: Files, draw: Draw) -> bytes:
    """A raster over the parcels, odd in one or more ways."""
    import warnings

    import numpy as np
    import rasterio
    from rasterio.transform import Affine, from_bounds

    points: list[list[float]] = []
    for one in features(files.get("parcels.geojson", b"{}")) or []:
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
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # how two transforms are multiplied is about to change
        to = from_bounds(west, south, east, north, wide, high)
        odd_ones = (Affine.rotation(30), Affine.scale(1, -1), Affine.scale(0, 0), Affine.scale(1e-6))
        to = draw.choice((to, to, to, *(to * one for one in odd_ones)))
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

"""The ground of a family: corners in feet round a point, drawn in any reference system, acres by the ellipsoid."""

from collections.abc import Sequence

import numpy as np
import pyproj
import shapely
from shapely.geometry import LineString, Polygon
from shapely.ops import split

__all__ = ["Ground", "cut", "wavering"]

SQUARE_M_PER_ACRE = 4046.8564224
M_PER_FT = 0.3048
Points = Sequence[tuple[float, float]]


class Ground:
    """Flat ground in feet round a point in degrees: x east, y north."""

    def __init__(self, lon: float, lat: float):
        """Lay the origin there."""
        flat = f"+proj=aeqd +lon_0={lon} +lat_0={lat} +ellps=GRS80 +units=m +no_defs"
        self._to_degrees = pyproj.Transformer.from_crs(flat, "EPSG:4269", always_xy=True)

    def degrees(self, shape: Polygon) -> Polygon:
        """The shape in degrees, to the centimeter."""
        return shapely.transform(shape, self._degrees)

    def _degrees(self, feet: np.ndarray) -> np.ndarray:
        lon, lat = self._to_degrees.transform(feet[:, 0] * M_PER_FT, feet[:, 1] * M_PER_FT)
        return np.round(np.column_stack([lon, lat]), 7)

    def drawn_in(self, shape: Polygon, crs: str) -> Polygon:
        """The shape in another reference system, to the millimeter."""
        move = pyproj.Transformer.from_crs("EPSG:4269", crs, always_xy=True)
        there = shapely.transform(self.degrees(shape), lambda xy: np.column_stack(move.transform(xy[:, 0], xy[:, 1])))
        return shapely.transform(there, lambda xy: np.round(xy, 3))

    def acres(self, shape: Polygon) -> float:
        """Acres of the shape by the ellipsoid."""
        square_m, _ = pyproj.Geod(ellps="GRS80").geometry_area_perimeter(self.degrees(shape))
        return round(abs(square_m) / SQUARE_M_PER_ACRE, 4)


def wavering(rng: np.random.Generator, corners: Points, every_ft: float, off_ft: float) -> Polygon:
    """An outline as a hand draws it or a phone walks it: a point every so many feet, each a little off."""
    ring = LineString([*corners, corners[0]])
    along = np.linspace(0.0, 1.0, int(ring.length / every_ft), endpoint=False)
    points = shapely.get_coordinates(ring.interpolate(along, normalized=True))
    return Polygon(points + rng.uniform(-off_ft, off_ft, points.shape))


def cut(whole: Polygon, *lines: Points) -> list[Polygon]:
    """The pieces of an outline cut by lines, from west to east."""
    pieces = [whole]
    for line in lines:
        pieces = [part for piece in pieces for part in split(piece, LineString(line)).geoms]
    return sorted(pieces, key=lambda piece: (round(piece.centroid.x), round(piece.centroid.y)))

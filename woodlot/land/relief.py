"""Heights on a grid to slope, aspect and shade: arrays in, arrays out, no files.

Places            carried, between_maps
One cell across   across
From heights      gradient, slope_pct, aspect_deg, hillshade

The gradient is taken by Horn's eight neighbors in columns and rows and then turned to east and north on the ground with
the true size and direction of a cell there. So slope and aspect are right in feet or metres, in UTM, state plane,
degrees or Web Mercator, and on a rotated grid; aspect is from true north, not from the grid's.
"""

from functools import cache
from typing import Any

import numpy as np

__all__ = ["across", "aspect_deg", "between_maps", "carried", "gradient", "hillshade", "slope_pct"]


@cache
def between_maps(from_: str | int, to: str | int) -> Any:
    """Carries x and y from one reference system to another (pyproj.Transformer); made once, since that takes longest.

    Systems are named by their text or EPSG number.
    """
    from pyproj import Transformer

    return Transformer.from_crs(from_, to, always_xy=True)


def carried(transform: Any, x: Any, y: Any) -> tuple[Any, Any]:
    """Places carried by a grid's six numbers: columns and rows to coordinates (or back, by the inverse, ``~``)."""
    return transform.a * x + transform.b * y + transform.c, transform.d * x + transform.e * y + transform.f


def across(transform: Any, crs: Any, row: Any, column: Any) -> np.ndarray:
    """East and north metres of one step along the columns and one down the rows, at places of a grid.

    Returns an array (..., 2, 2): [[east per column, east per row], [north per column, north per row]].
    """
    from pyproj import Geod

    to_degrees = between_maps(crs.to_wkt(), 4326)
    globe = Geod(ellps="WGS84")
    row, column = np.broadcast_arrays(np.asarray(row, float), np.asarray(column, float))
    steps = []
    for right, down in ((1.0, 0.0), (0.0, 1.0)):
        start = to_degrees.transform(*carried(transform, column - right, row - down))
        end = to_degrees.transform(*carried(transform, column + right, row + down))
        ahead, back, metres = globe.inv(*start, *end)
        course = np.radians(ahead) + _turn(ahead, back) / 2.0
        steps.append((np.sin(course) * metres / 2.0, np.cos(course) * metres / 2.0))
    return np.stack([np.stack([s[k] for s in steps], axis=-1) for k in (0, 1)], axis=-2)


def _turn(ahead: Any, back: Any) -> Any:
    """How much a course turns between start and end [radians]; the mean of both is that of the middle."""
    turn = np.radians(np.asarray(back) + 180.0 - np.asarray(ahead))
    return (turn + np.pi) % (2 * np.pi) - np.pi


def gradient(heights: np.ndarray, at_corners: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Rise per unit of ground to the east and to the north.

    Parameters
    ----------
    heights
        Rows by columns [m], one row and column wider on each side than what is wanted; NaN where unknown.
    at_corners
        ``across`` at the four corners (2, 2, 2, 2: top and bottom, left and right), between which it is interpolated.

    Returns
    -------
    (east, north), each two rows and two columns smaller; NaN where one of the eight neighbors is unknown.
    """
    z = heights
    left, right = z[:, :-2], z[:, 2:]
    per_column = (right[:-2] + 2 * right[1:-1] + right[2:] - left[:-2] - 2 * left[1:-1] - left[2:]) / 8.0
    upper, lower = z[:-2], z[2:]
    per_row = (
        lower[:, :-2] + 2 * lower[:, 1:-1] + lower[:, 2:] - upper[:, :-2] - 2 * upper[:, 1:-1] - upper[:, 2:]
    ) / 8.0
    rows, columns = per_row.shape
    down = np.linspace(0, 1, rows)[:, None] if rows > 1 else np.full((1, 1), 0.5)
    over = np.linspace(0, 1, columns)[None, :] if columns > 1 else np.full((1, 1), 0.5)

    def at(i: int, j: int) -> np.ndarray:
        c = at_corners[:, :, i, j]
        return (c[0, 0] * (1 - over) + c[0, 1] * over) * (1 - down) + (c[1, 0] * (1 - over) + c[1, 1] * over) * down

    east_c, east_r, north_c, north_r = at(0, 0), at(0, 1), at(1, 0), at(1, 1)
    size = east_c * north_r - east_r * north_c
    hole = np.where(np.isnan(z[1:-1, 1:-1]), np.nan, 0.0)
    return (
        (per_column * north_r - per_row * north_c) / size + hole,
        (per_row * east_c - per_column * east_r) / size + hole,
    )


def slope_pct(east: Any, north: Any) -> Any:
    """Steepest slope [%] of a gradient: 100 for 45 degrees."""
    return 100.0 * np.hypot(east, north)


def aspect_deg(east: Any, north: Any) -> Any:
    """Direction the ground faces, downhill, clockwise from true north [degrees, 0 to 360]; NaN where it is level."""
    level = (np.asarray(east) == 0) & (np.asarray(north) == 0)
    facing = np.degrees(np.arctan2(-np.asarray(east), -np.asarray(north))) % 360.0
    return np.where(level, np.nan, facing)[()]


def hillshade(east: Any, north: Any, azimuth_deg: float = 315.0, altitude_deg: float = 45.0) -> Any:
    """Light on the ground, 0 (dark) to 1: the cosine between the ground's normal and the light.

    Light comes from ``azimuth_deg`` (clockwise from north) at ``altitude_deg`` above the level.
    """
    azimuth, altitude = np.radians(azimuth_deg), np.radians(altitude_deg)
    toward = np.sin(azimuth) * np.cos(altitude), np.cos(azimuth) * np.cos(altitude)
    light = (-east * toward[0] - north * toward[1] + np.sin(altitude)) / np.sqrt(1.0 + east**2 + north**2)
    return np.clip(light, 0.0, 1.0)

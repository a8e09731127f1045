"""Where labels, note tags and deer marks find room. Pure: pixels in, pixels out.

Order of claims on room: deer plots, note tags (above the place, else below, right, left, else a small square on it),
boxes with browsed shares, then the stands' words at the points farthest from the stand's edge that hit none of these
and stay inside.

hits(boxes, taken)                      which boxes touch a taken one
tag_box(x, y, side)                     the box of one tag
tag_boxes(points, taken)                a side for each note tag
spots(shape)                            points inside a shape, the roomiest first
Outlines(shapes)                        stands at one scale, with the boxes that lie inside them
word_boxes(outlines, sizes, taken)      a center for each stand's words
"""

from collections.abc import Sequence
from itertools import product
from typing import Any

import numpy as np

__all__ = ["TAG", "Outlines", "hits", "spots", "tag_box", "tag_boxes", "word_boxes"]

#: Note tag: width, height, and the length of its pointer, pixels.
TAG = (37.0, 25.0, 8.0)
#: Points of a shape are tried in two parts: the roomiest do for most words.
PARTS = (slice(0, 40), slice(40, None))
SIDES = ("above", "below", "right", "left", "on")


def hits(boxes: np.ndarray, taken: np.ndarray, gap: float = 1.0) -> np.ndarray:
    """For each box (x0, y0, x1, y1) whether it comes nearer than ``gap`` to any of the taken ones."""
    boxes = np.atleast_2d(np.asarray(boxes, dtype=float))
    taken = np.asarray(taken, dtype=float).reshape(-1, 4)
    if not (len(taken) and len(boxes)):
        return np.zeros(len(boxes), dtype=bool)
    apart = (
        (boxes[:, None, 0] >= taken[None, :, 2] + gap)
        | (boxes[:, None, 2] <= taken[None, :, 0] - gap)
        | (boxes[:, None, 1] >= taken[None, :, 3] + gap)
        | (boxes[:, None, 3] <= taken[None, :, 1] - gap)
    )
    return np.asarray(~apart.all(axis=1))


def tag_box(x: float, y: float, side: str) -> tuple[float, float, float, float]:
    """The box of a note tag that points at (x, y) from a side; y runs down as on a screen."""
    w, h, tip = TAG
    if side == "above":
        return x - w / 2, y - tip - h, x + w / 2, y
    if side == "below":
        return x - w / 2, y, x + w / 2, y + tip + h
    if side == "right":
        return x, y - h / 2, x + tip + w, y + h / 2
    if side == "left":
        return x - tip - w, y - h / 2, x, y + h / 2
    return x - 5, y - 5, x + 5, y + 5


def tag_boxes(points: Sequence[tuple[float, float]], taken: np.ndarray) -> tuple[list[str | None], np.ndarray]:
    """A side for each tag, None where there is no room at this scale, and the boxes taken after them."""
    sides: list[str | None] = []
    first = np.asarray(taken, dtype=float).reshape(-1, 4)
    room, many = np.vstack([first, np.zeros((len(points), 4))]), len(first)
    for x, y in points:
        boxes = np.array([tag_box(x, y, side) for side in SIDES])
        free = np.flatnonzero(~hits(boxes, room[:many]))
        if len(free):
            sides.append(SIDES[free[0]])
            room[many] = boxes[free[0]]
            many += 1
        else:
            sides.append(None)
    return sides, room[:many]


def spots(shape: Any, across: int = 21) -> np.ndarray:
    """Points inside a shape on an even grid, those farthest from its edge first, then those nearest its middle."""
    import shapely

    x0, y0, x1, y1 = shape.bounds
    step = (np.arange(across) + 0.5) / across
    grid = np.stack(np.meshgrid(x0 + (x1 - x0) * step, y0 + (y1 - y0) * step), axis=-1).reshape(-1, 2)
    points = shapely.points(grid)
    inside = shapely.contains_properly(shape, points)
    grid, points = grid[inside], points[inside]
    if not len(grid):
        return np.array([shape.representative_point().coords[0]])
    edge = shapely.distance(shape.boundary, points)
    middle = np.hypot(grid[:, 0] - (x0 + x1) / 2, grid[:, 1] - (y0 + y1) / 2)
    return grid[np.lexsort((grid[:, 0], grid[:, 1], np.round(middle, 3), -np.round(edge, 1)))]


class Outlines:
    """Stands at one scale, and the boxes of a size that lie inside each: worked out once for all words on them."""

    def __init__(self, shapes: Sequence[Any], inside: Sequence[np.ndarray] | None = None):
        """``shapes``: polygons in pixels; ``inside``: ``spots`` of each, where they are known."""
        self.shapes = shapes
        self.points = [spots(shape) for shape in shapes] if inside is None else inside
        #: Positions of the shapes, the largest first.
        self.order = sorted(range(len(shapes)), key=lambda k: (-shapes[k].area, k))
        self._places: dict[tuple[int, tuple[float, float], int], tuple[np.ndarray, np.ndarray]] = {}

    def places(self, which: int, size: tuple[float, float], part: slice) -> tuple[np.ndarray, np.ndarray]:
        """Points of a part on which a box of one size lies inside a shape, and those boxes (x0, y0, x1, y1)."""
        key = (which, size, part.start)
        if key not in self._places:
            self._places[key] = self._inside(self.shapes[which], self.points[which][part], *size)
        return self._places[key]

    @staticmethod
    def _inside(shape: Any, points: np.ndarray, w: float, h: float) -> tuple[np.ndarray, np.ndarray]:
        import shapely

        x0, y0, x1, y1 = shape.bounds
        if x1 - x0 < w or y1 - y0 < h:
            return np.zeros((0, 2)), np.zeros((0, 4))
        half = np.array([w / 2, h / 2])
        boxes = np.hstack([points - half, points + half])
        shapely.prepare(shape)
        good = shapely.contains(shape, shapely.box(*boxes.T))
        return points[good], boxes[good]


def word_boxes(
    outlines: Outlines, sizes: Sequence[Sequence[tuple[float, float]]], taken: np.ndarray
) -> list[tuple[float, float, int] | None]:
    """A center and a size for each stand's words: the first of its sizes that fits inside and hits nothing.

    Parameters: sizes, for each outline its (width, height) choices, largest first; taken, boxes already claimed.
    Returns (x, y, index of the size), None where not even the smallest fits.
    """
    taken = np.asarray(taken, dtype=float).reshape(-1, 4)
    out: list[tuple[float, float, int] | None] = [None] * len(outlines.shapes)
    for i in outlines.order:
        x0, y0, x1, y1 = outlines.shapes[i].bounds
        close = (taken[:, 2] > x0 - 1) & (taken[:, 0] < x1 + 1) & (taken[:, 3] > y0 - 1) & (taken[:, 1] < y1 + 1)
        for (which, size), part in product(enumerate(sizes[i]), PARTS):
            points, boxes = outlines.places(i, size, part)
            free = np.flatnonzero(~hits(boxes, taken[close]))
            if len(free):
                out[i] = (float(points[free[0], 0]), float(points[free[0], 1]), which)
                taken = np.vstack([taken, boxes[free[0]]])
                break
    return out

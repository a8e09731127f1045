"""Outlines that cross themselves, and which of them can be made whole without end of work.

tangled     outlines with more crossings than a walk or a slip of the hand makes
heaped      why outlines are too many, or lie on one another too often, for a place
sound       outlines as they are, made whole where they cross themselves, tangled ones as their boxes
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

__all__ = ["heaped", "sound", "tangled"]

#: Sides of an outline whose boxes touch, beyond three of each; making it whole takes some half a second then.
MOST_TOUCHING = 3_000
#: Outlines of a file that are made whole.
MOST_MENDED = 200
_AT_ONCE = 200
#: Outlines of one map of a place, and pairs of them whose boxes touch, beside twenty of each: neighbors touch eight.
MOST_OUTLINES, MOST_ON_ONE_ANOTHER = 2_000, 20_000


def tangled(shapes: Sequence[Any] | np.ndarray) -> np.ndarray:
    """Which outlines cross themselves so often that nobody means it; of many that cross themselves, those behind the
    first two hundred too.
    """
    out = np.zeros(len(shapes), dtype=bool)
    crossed = np.flatnonzero(~shapely.is_valid(np.asarray(shapes, dtype=object)))
    out[crossed[MOST_MENDED:]] = True
    for at in crossed[:MOST_MENDED]:
        out[at] = _touching(shapes[at]) > MOST_TOUCHING
    return out


def _touching(shape: Any) -> int:
    """Pairs of sides whose boxes touch, beyond three of each side; counted no further than is asked about."""
    corners = shapely.get_coordinates(shape)
    ends = np.cumsum(shapely.get_num_coordinates(shapely.get_rings(shape)))[:-1] - 1  # from one ring to the next
    boxes = shapely.linestrings(np.delete(np.stack([corners[:-1], corners[1:]], axis=1), ends, axis=0))
    tree, found = shapely.STRtree(boxes), -3 * len(boxes)
    for at in range(0, len(boxes), _AT_ONCE):
        found += len(tree.query(boxes[at : at + _AT_ONCE])[0])
        if found > MOST_TOUCHING:
            break
    return found


def heaped(shapes: np.ndarray) -> str:
    """What is too much of the outlines of a place, "" where nothing is."""
    if len(shapes) > MOST_OUTLINES:
        return f"{len(shapes):,} outlines, more than {MOST_OUTLINES:,}"
    drawn = shapes[~(shapely.is_missing(shapes) | shapely.is_empty(shapes))]
    pairs = len(shapely.STRtree(drawn).query(drawn)[0]) if len(drawn) else 0
    return "outlines that lie on one another" if pairs > 20 * len(drawn) + MOST_ON_ONE_ANOTHER else ""


def sound(shapes: Sequence[Any] | np.ndarray) -> np.ndarray:
    """Outlines to be laid over one another: whole ones as they are, crossed ones made whole, tangled ones as boxes."""
    out = np.asarray(shapes, dtype=object).copy()
    knots = tangled(out)
    out[knots] = shapely.envelope(out[knots])
    crossed = ~shapely.is_valid(out)
    out[crossed] = shapely.make_valid(out[crossed])
    return out

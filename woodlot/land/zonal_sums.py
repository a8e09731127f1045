"""Exact sums of a grid under outlines: partial cells count by the part of them that is inside.

Pieces   pieces (edges of outlines cut at every grid line)
Sums     tiles, column_sums, under, sums

By Green's theorem the sum of a grid under an outline is a sum along its edge only: each piece of edge adds its width
times the values above it in its column. Running sums down the columns are made once for all outlines, so the work grows
with the length of the edges and not with the ground inside. Coordinates are columns (to the right) and rows (down).
"""

from collections.abc import Iterator
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np

from woodlot.errors import InputError

__all__ = ["Pieces", "column_sums", "pieces", "sums", "tiles", "under"]

#: Cells worked on at once and columns of a tile (few enough cells for the processor, long enough rows), and edge (in
#: cells) that is cut up at once.
CELLS_AT_ONCE = 1_000_000
WIDE = 2_560
EDGE_AT_ONCE = 150_000
#: Outlines are worked through in squares of this many cells, so that those far apart do not read what lies between.
SQUARE = 8_192


class Pieces(NamedTuple):
    """Pieces of edge, each inside one cell: whose they are, their cell's column, their mean row, their signed width."""

    owner: np.ndarray
    column: np.ndarray
    row: np.ndarray
    width: np.ndarray


def pieces(polygons: np.ndarray, columns: tuple[int, int]) -> Pieces:
    """Edges of polygons, cut where they cross a line of the grid.

    Parameters
    ----------
    polygons
        Polygons and MultiPolygons in columns and rows; missing and empty ones have no pieces.
    columns
        First column and the one after the last; what lies outside is left out.

    Raises
    ------
    InputError
        If an outline crosses itself or is no area.
    """
    import shapely

    there = np.flatnonzero(~shapely.is_missing(polygons) & ~shapely.is_empty(polygons))
    shapes = polygons[there]
    if not np.isin(shapely.get_type_id(shapes), (3, 6)).all():
        raise InputError("only outlines with an area can be laid over a raster, not points or lines")
    if not shapely.is_valid(shapes).all():
        raise InputError(f"an outline crosses itself: {shapely.is_valid_reason(shapes[~shapely.is_valid(shapes)][0])}")
    around = np.cumsum(shapely.length(shapes) + shapely.get_num_coordinates(shapes)) // EDGE_AT_ONCE
    some = np.split(np.arange(len(shapes)), np.flatnonzero(np.diff(around)) + 1)
    parts = [_cut_up(there[k], shapes[k], columns) for k in some]
    # one field at a time, each let go when it is joined: the pieces of many outlines are most of the memory used
    return Pieces(*(np.concatenate([each.pop(field) for each in parts]) for field in Pieces._fields))


def _cut_up(owners: np.ndarray, shapes: np.ndarray, columns: tuple[int, int]) -> dict[str, np.ndarray]:
    """Owner, column, row and width of the pieces of some polygons, in the turn that makes an area positive."""
    import shapely

    parts, of_shape = shapely.get_parts(shapely.normalize(shapes), return_index=True)
    rings, of_part = shapely.get_rings(parts, return_index=True)
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    owner = owners[of_shape[of_part[ring[1:][same]]]].astype(np.int32)
    ends = np.concatenate([xy[:-1][same], xy[1:][same]], axis=1).T
    owner, (x0, y0, x1, y1) = _cut(owner, *ends)
    inside = (np.minimum(x0, x1) < columns[1]) & (np.maximum(x0, x1) > columns[0]) & (x0 != x1)
    owner, (y0, x0, y1, x1) = _cut(owner[inside], y0[inside], x0[inside], y1[inside], x1[inside])
    column = np.floor((x0 + x1) / 2.0).astype(np.int32)
    return {"owner": owner, "column": column, "row": (y0 + y1) / 2.0, "width": x1 - x0}


def _cut(
    owner: np.ndarray, x0: np.ndarray, y0: np.ndarray, x1: np.ndarray, y1: np.ndarray
) -> tuple[np.ndarray, tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]]:
    """Segments cut wherever x is a whole number, the ends exactly on it."""
    lowest = np.floor(np.minimum(x0, x1))
    count = np.maximum(np.ceil(np.maximum(x0, x1)) - lowest - 1.0, 0.0).astype(np.int64) + 1
    of = np.repeat(np.arange(len(x0)), count)
    step = np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count)
    ahead = (x1 >= x0)[of]
    line = lowest[of] + np.where(ahead, step, count[of] - step)
    run = np.where(x1 == x0, 1.0, x1 - x0)
    rise = (y1 - y0) / run
    at_line = y0[of] + (line - x0[of]) * rise[of]
    first, last = step == 0, step == count[of] - 1
    start_x, start_y = np.where(first, x0[of], line), np.where(first, y0[of], at_line)
    end_x = np.where(last, x1[of], line + np.where(ahead, 1.0, -1.0))
    end_y = np.where(last, y1[of], at_line + np.where(ahead, 1.0, -1.0) * rise[of])
    return owner[of], (start_x, start_y, end_x, end_y)


def column_sums(values: np.ndarray, above: np.ndarray, out: np.ndarray) -> np.ndarray:
    """Running sums down the columns of a tile: row 0 is ``above`` (what the tiles over it gave), row i+1 ends row i.

    Whole rows are added one below the other, which is five to ten times faster than numpy's running sum down columns.
    """
    out[0], out[1:] = above, values
    for upper, lower in pairwise(list(out)):
        np.add(upper, lower, lower)
    return out


def under(edges: Pieces, sums: np.ndarray, first_row: int, first_column: int, owners: int) -> np.ndarray:
    """What the pieces of one tile add to the sum of each owner.

    ``sums`` are the tile's column sums, its first row and column those of the grid. Pieces above or below the tile are
    taken at its edge, so hand in those of the tile only, and at the ends of the grid those beyond it.
    """
    within = np.clip(edges.row - first_row, 0.0, len(sums) - 1.0)
    cell = np.minimum(within.astype(np.int64), len(sums) - 2)
    part = within - cell
    flat = cell * sums.shape[1] + (edges.column - first_column)
    flat_sums = sums.ravel()
    upper = flat_sums[flat]
    amount = upper + part * (flat_sums[flat + sums.shape[1]] - upper)
    return np.bincount(edges.owner, weights=edges.width * amount, minlength=owners)


def tiles(edges: Pieces, rows: list[int], columns: list[int]) -> Iterator[tuple[int, int, int, int, Pieces]]:
    """Top, bottom, left and right of tiles between row and column lines, by rows, each with its pieces.

    Pieces above the first row line or below the last go to the outer tiles.
    """
    count = (len(rows) - 1) * (len(columns) - 1)
    small = np.min_scalar_type(count)  # radix sorting, and little memory
    tile = np.searchsorted(rows[1:-1], edges.row, side="right").astype(small)
    tile *= len(columns) - 1
    tile += np.searchsorted(columns[1:-1], edges.column, side="right").astype(small)
    order = np.argsort(tile, kind="stable")
    ends = np.searchsorted(tile, np.arange(count, dtype=small), side="right", sorter=order)
    for k, (low, high) in enumerate(zip([0, *ends[:-1]], ends, strict=True)):
        row, column = divmod(k, len(columns) - 1)
        mine = Pieces(*(field[order[low:high]] for field in edges))
        yield rows[row], rows[row + 1], columns[column], columns[column + 1], mine


def sums(shapes: np.ndarray, sheet: Any, limits: list[float], squares: bool) -> dict[str, np.ndarray]:
    """Cells with a value, their sum, squares and numbers above limits, for each outline.

    Parameters
    ----------
    shapes
        Polygons in columns and rows of ``sheet``.
    sheet
        A ``land.ground.Layer``: rows, columns, block and read.
    limits
        Values above which cells are counted.
    squares
        Sum squares too (of the differences to one number, so that little is lost).

    Returns
    -------
    "cells", "holes" (cells without a value), "sum", "over <limit>", and with squares "from" and "squares".
    """
    import shapely

    bounds = shapely.bounds(shapes)
    names = ["holes", "sum", *(["from", "squares"] if squares else []), *(f"over {x:g}" for x in limits)]
    out = {name: np.zeros(len(shapes)) for name in [*names, "cells"]}
    middle = (bounds[:, :2] + bounds[:, 2:]) / 2.0 // SQUARE
    there = np.flatnonzero(np.isfinite(middle).all(axis=1))
    _, square = np.unique(middle[there][:, ::-1], axis=0, return_inverse=True)
    order = np.argsort(square, kind="stable")
    for group in np.split(there[order], np.flatnonzero(np.diff(square[order])) + 1):
        _sums_of_group(shapes[group], group, sheet, limits, out)
    return out


def _sums_of_group(
    shapes: np.ndarray, group: np.ndarray, sheet: Any, limits: list[float], out: dict[str, np.ndarray]
) -> None:
    import shapely

    west, top, east, bottom = shapely.total_bounds(shapes)
    left, right = max(int(np.floor(west)), 0), min(int(np.ceil(east)), sheet.columns)
    first, last = max(int(np.floor(top)), 0), min(int(np.ceil(bottom)), sheet.rows)
    if left >= right or first >= last:
        return
    edges = pieces(shapes, (left, right))
    names = [name for name in out if name != "cells"]
    total = {name: np.zeros(len(shapes)) for name in out}
    above = {name: np.zeros(right - left) for name in names}
    bounds = shapely.bounds(shapes)
    base = None
    rows, columns = _lines(sheet.block, (first, last), (left, right))
    room = np.empty((max(np.diff(rows)) + 1) * max(np.diff(columns)))
    for top, bottom, west, east, mine in tiles(edges, rows, columns):
        near = (bounds < [east, bottom, np.inf, np.inf]) & (bounds > [-np.inf, -np.inf, west, top])
        if not near.all(axis=1).any():
            continue
        total["cells"] += np.bincount(mine.owner, mine.width * np.clip(mine.row, first, last), len(shapes))
        values = sheet.read(top, bottom, west, east)
        missing = np.isnan(values) if np.isnan(values.sum()) else None
        if missing is not None:
            values = np.where(missing, 0.0, values)
        base = float(values.flat[0]) if base is None else base
        for name, each in _each(names, values, missing, limits, base):
            before = above[name][west - left : east - left]
            if each is None and not before.any():
                continue
            shape = (bottom - top + 1, east - west)
            running = room[: shape[0] * shape[1]].reshape(shape)
            column_sums(np.zeros((bottom - top, 1)) if each is None else each, before, running)
            before[:] = running[-1]
            total[name] += under(mine, running, top, west, len(shapes))
    total["cells"] -= total["holes"]
    for name, amount in total.items():
        out[name][group] = amount


def _lines(block: tuple[int, int], rows: tuple[int, int], columns: tuple[int, int]) -> tuple[list[int], list[int]]:
    """Row and column lines of tiles of whole blocks, of about CELLS_AT_ONCE cells each (at least a block)."""
    wide = min(block[1], columns[1] - columns[0])
    wide *= max(WIDE // wide, 1)
    high = block[0] * max(CELLS_AT_ONCE // wide // block[0], 1)
    return _steps(*rows, high), _steps(*columns, wide)


def _steps(first: int, last: int, step: int) -> list[int]:
    return [first, *range(first - first % step + step, last, step), last]


def _each(
    names: list[str], values: np.ndarray, missing: np.ndarray | None, limits: list[float], base: float
) -> Iterator[tuple[str, np.ndarray | None]]:
    """What is summed under each name; None where it is nothing in all of the tile."""
    yield "holes", missing
    yield "sum", values
    if "squares" in names:
        off = values.astype(float) - base
        if missing is not None:
            off[missing] = 0.0
        yield "from", off
        yield "squares", off * off
    for limit in limits:
        high = values > limit
        if missing is not None:
            high &= ~missing
        yield f"over {limit:g}", high

"""Where to put plots in a stand.

A plot is to stand for the stand, so no eye chooses where it falls. Every spot of the working ground has the same chance
of a plot; the first three lie in three equal parts of it, as the stand stretches, from a random start; more plots go on
with the same sequence, which stays even. Plots keep off the edge, off water and its strips, roads and the
house, and apart from each other, so that no tree counts on two. Cruisers lay an even grid from a random start (common
practice, from memory); this is one that fits any shape with any number of plots.

Working ground   ground_for_plots
On some ground   points_in
In one stand     plots_in_stand
"""

import zlib
from typing import TYPE_CHECKING, Any

import numpy as np

from woodlot.region import Region
from woodlot.trade import NOT_WOODS, ROADS

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["ground_for_plots", "plots_in_stand", "points_in"]

#: Spots of which a stand is made up, at most, and their least distance [ft].
SPOTS, LEAST_FT = 20_000, 5.0
#: The first plots of a stand, laid out together.
FIRST = 3
#: Random starts tried before plots that lie too near are left out.
STARTS = 100
#: Share of a stand that must be left where plots keep off its edge; else they keep nearer to it.
LEFT_SHARE = 0.5


def ground_for_plots(
    stand: Any, features: "gpd.GeoDataFrame", strips: "gpd.GeoDataFrame", home: Any, edge_ft: float, clear_ft: float
) -> Any:
    """A stand's outline less its edge, water with its strips, roads, landings and the house; all on one map in feet."""
    import shapely

    inner = shapely.buffer(stand, -edge_ft)
    shapes, kinds = features.geometry.to_numpy(), features["kind"].to_numpy()
    areas = np.isin(shapely.get_type_id(shapes), (3, 6))
    lines = np.isin(kinds, (*NOT_WOODS, *ROADS)) & ~areas
    off = [*shapes[np.isin(kinds, NOT_WOODS) & areas], *shapely.buffer(shapes[lines], clear_ft)]
    off += [*strips.geometry.to_numpy(), *([shapely.buffer(home, 2.0 * clear_ft)] if home is not None else [])]
    return shapely.difference(inner, shapely.union_all(off)) if off else inner


def _spots(ground: Any) -> tuple[np.ndarray, np.ndarray]:
    """Spots on an even grid over the ground, in columns along its longer side: x and y [ft], by column, then across."""
    import shapely

    box = shapely.minimum_rotated_rectangle(ground)
    corners = shapely.get_coordinates(box)[:3]
    sides = np.diff(corners, axis=0)
    dx, dy = sides[np.argmax(np.hypot(*sides.T))]
    turn = np.arctan2(dy, dx) % np.pi
    along, across = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    step = max(LEAST_FT, float(np.sqrt(ground.area / SPOTS)))
    edge = shapely.get_coordinates(ground)
    u, v = (np.arange(p.min() + step / 2.0, p.max(), step) for p in (edge @ along, edge @ across))
    spots = u[:, None, None] * along + v[None, :, None] * across
    column = np.repeat(np.arange(len(u)), len(v))
    spots = spots.reshape(-1, 2)
    shapely.prepare(ground)
    inside = shapely.contains_xy(ground, spots[:, 0], spots[:, 1])
    return spots[inside], column[inside]


def _sequence(count: int) -> np.ndarray:
    """Points that fill a unit square evenly from the first on: thirds along, halves across, then finer (Halton)."""
    out = np.zeros((count, 2))
    for axis, base in enumerate((3, 2)):
        k, part = np.arange(count), 1.0
        while k.any():
            part /= base
            out[:, axis] += part * (k % base)
            k = k // base
    return out


def points_in(ground: Any, count: int, seed: Any, *, spacing_ft: float) -> np.ndarray:
    """Where plots fall on some ground: rows of x and y [ft]; fewer than ``count`` where there is no room for more.

    Each start shifts the sequence by chance, along the ground and across it, and carries it over to the spots of the
    ground by equal shares: every spot has the same chance. A start whose first points lie too near each other
    is drawn anew; later points that lie too near are passed over.
    """
    if ground.is_empty:
        return np.empty((0, 2))
    spots, column = _spots(ground)
    if not len(spots):
        return np.empty((0, 2))
    ends = np.append(np.flatnonzero(np.diff(column)) + 1, len(spots))
    starts = np.append(0, ends[:-1])
    draws = np.random.default_rng(seed)
    even = _sequence(8 * max(count, FIRST))
    best: list[int] = []
    for _ in range(STARTS):
        shifted = (even + draws.random(2)) % 1.0
        in_column = np.searchsorted(ends, shifted[:, 0] * len(spots), side="right")
        wide = ends[in_column] - starts[in_column]
        at = starts[in_column] + np.minimum((shifted[:, 1] * wide).astype(int), wide - 1)
        kept = _apart(spots[at], count, spacing_ft)
        if kept[:FIRST] == list(range(min(FIRST, count))):
            return spots[at[kept]]
        if len(kept) > len(best):
            best, found = kept, spots[at[kept]]
    return found


def _apart(points: np.ndarray, count: int, spacing_ft: float) -> list[int]:
    """Positions of the first ``count`` points that keep their distance from all those kept before."""
    kept: list[int] = []
    for at, point in enumerate(points):
        if len(kept) == count:
            break
        if not kept or np.hypot(*(points[kept] - point).T).min() >= spacing_ft:
            kept.append(at)
    return kept


def plots_in_stand(
    stand_id: str, shape: Any, around: dict[str, Any], count: int, seed: int, region: Region
) -> tuple[np.ndarray, float]:
    """Points in one stand and the feet they keep from its edge: the most that leaves half of it and room for the first.

    The first are the same however many are asked for.
    around: features, strips and home as for ``ground_for_plots``, on the map in feet of ``shape``.
    """
    edge, clear, spacing = (
        region.figure("defaults_stand", name) for name in ("plot_edge_ft", "plot_clear_ft", "plot_spacing_ft")
    )
    start = [seed, zlib.crc32(stand_id.encode())]
    whole = ground_for_plots(shape, **around, edge_ft=0.0, clear_ft=clear)
    points, kept_ft = np.empty((0, 2)), 0.0
    for edge_ft in (edge, edge / 2.0, edge / 4.0, 0.0):
        ground = ground_for_plots(shape, **around, edge_ft=edge_ft, clear_ft=clear)
        if edge_ft and ground.area < LEFT_SHARE * whole.area:
            continue
        there = points_in(ground, max(count, FIRST), start, spacing_ft=spacing)
        if min(len(there), FIRST) > len(points):
            points, kept_ft = there, edge_ft
        if len(points) >= FIRST:
            break
    return points[:count], kept_ft

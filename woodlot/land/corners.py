"""Corners of outlines brought together, one pass: what of two outlines lies near each other meets midway.

Corners, drawn        the corners of outlines
Between               what lies between pairs of outlines
drawn_together        corners of outlines that lie beside each other
carried_along, Led    corners of stands that follow the lines of their parcels
outlines              outlines of the corners

Every corner that has corners of other outlines near it goes to the middle of them; one that has only a line near it
goes to the middle between itself and that line, which gets a corner there.
"""

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np
import pandas as pd

from woodlot.land.parcels import made_whole

__all__ = ["ACROSS", "Between", "Corners", "Led", "carried_along", "drawn", "drawn_together", "outlines"]

#: A corner is at most so many times the distance between lines from its twin: it may be off both ways.
ACROSS = 2.0**0.5


@dataclass(frozen=True)
class Corners:
    """All corners of some outlines: xy (feet), ring and outline of each, and how rings make up outlines.

    rings: outline, polygon and whether it is a hole, of each ring.
    """

    xy: np.ndarray
    ring: np.ndarray
    outline: np.ndarray
    rings: np.ndarray

    def after(self) -> np.ndarray:
        """Position of the next corner on the same ring, for each corner."""
        out = np.arange(1, len(self.xy) + 1)
        last = np.flatnonzero(np.diff(self.ring, append=-1) != 0)
        first = np.concatenate([[0], last[:-1] + 1])
        out[last] = first
        return out

    def of(self, outline: int) -> np.ndarray:
        """Positions of the corners of one outline."""
        return np.flatnonzero(self.outline == outline)


@dataclass(frozen=True)
class Between:
    """What lies between pairs of outlines: ground round the runs that stay apart, and round those that are one line.

    ways: roads and waters; lane_ft: the width that may be a lane; together: pairs that are told to be one.
    """

    apart: dict[tuple[int, int], Any]
    one: dict[tuple[int, int], Any]
    ways: Any
    lane_ft: float
    together: frozenset[tuple[int, int]]

    def may_meet(self, pair: tuple[int, int], a: np.ndarray, b: np.ndarray, gap_ft: np.ndarray) -> np.ndarray:
        """Whether points of one outline may meet those of the other; gap_ft: from outline to outline there.

        Nothing that stays apart is near, no road or water lies between, and their lines are one or the gap is no lane.
        """
        free = ~_in(self.apart.get(pair), a) & ~_in(self.apart.get(pair), b) & self._clear(a, b)
        return free & ((gap_ft < self.lane_ft) | _in(self.one.get(pair), a) | (pair in self.together))

    def _clear(self, a: np.ndarray, b: np.ndarray) -> np.ndarray:
        import shapely

        if self.ways.is_empty or not len(a):
            return np.ones(len(a), bool)
        return ~shapely.intersects(shapely.linestrings(np.stack([a, b], axis=1)), self.ways)

    def parts(self, i: int, a: np.ndarray, j: int, b: np.ndarray) -> bool:
        """Whether two corners belong to lines that stay apart."""
        zone = self.apart.get((min(i, j), max(i, j)))
        return zone is not None and bool(_in(zone, a[None])[0] or _in(zone, b[None])[0])


def _in(zone: Any, points: np.ndarray) -> np.ndarray:
    import shapely

    return np.zeros(len(points), bool) if zone is None else shapely.contains_xy(zone, *points.T)


def drawn(shapes: np.ndarray) -> Corners:
    """The corners of polygons; repeated ones once."""
    import shapely

    parts, of_shape = shapely.get_parts(shapes, return_index=True)
    rings, of_part = shapely.get_rings(parts, return_index=True)
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    keep = np.diff(ring, append=-1) == 0  # the last corner of a ring is its first
    keep[1:] &= ~((ring[1:] == ring[:-1]) & (xy[1:] == xy[:-1]).all(axis=1))
    hole = np.concatenate([[False], of_part[1:] == of_part[:-1]]) if len(of_part) else np.zeros(0, bool)
    outline = of_shape[of_part] if len(of_part) else np.zeros(0, int)
    table = np.column_stack([outline, of_part, hole]).astype(int)
    return Corners(xy[keep], ring[keep], table[ring[keep], 0], table)


def outlines(corners: Corners, old: np.ndarray) -> np.ndarray:
    """Polygons of the corners; one that has no area left stays as it was."""
    import shapely

    made: dict[int, dict[int, list[Any]]] = {}
    bounds = np.searchsorted(corners.ring, np.arange(len(corners.rings) + 1))
    for (outline, part, _), (low, high) in zip(corners.rings, pairwise(bounds), strict=True):
        xy = corners.xy[low:high]
        xy = xy[(xy != np.roll(xy, 1, axis=0)).any(axis=1)]
        if len(np.unique(xy, axis=0)) >= 3:
            made.setdefault(outline, {}).setdefault(part, []).append(shapely.linearrings(xy))
    out = old.copy()
    for outline, parts in made.items():
        pieces = [shapely.Polygon(rings[0], rings[1:]) for rings in parts.values()]
        out[outline] = pieces[0] if len(pieces) == 1 else shapely.MultiPolygon(pieces)
    return made_whole(out, np.ones(len(out), bool))


@dataclass(frozen=True)
class Led:
    """Corners of which some follow a line that has moved: where to (NaN: free), and how firmly (2 corner, 1 line)."""

    corners: Corners
    to: np.ndarray
    rank: np.ndarray


def _nearest_on(points: np.ndarray, start: np.ndarray, end: np.ndarray) -> tuple[np.ndarray, ...]:
    """Nearest of some edges for each point: which, how far along it (0 to 1), where, and the feet to it."""
    way = end - start
    square = np.maximum((way**2).sum(axis=1), 1e-12)
    t = np.clip(((points[:, None] - start) * way).sum(axis=2) / square, 0.0, 1.0)
    foot = start + t[:, :, None] * way
    feet = np.hypot(*np.moveaxis(points[:, None] - foot, 2, 0))
    edge = feet.argmin(axis=1)
    at = np.arange(len(points))
    return edge, t[at, edge], foot[at, edge], feet[at, edge]


def _twins(a: np.ndarray, b: np.ndarray, feet: float) -> np.ndarray:
    """Points of a and b that are each other's nearest within so many feet: rows of position, position, feet."""
    from scipy.spatial import KDTree

    there, to = KDTree(b).query(a)
    _, back = KDTree(a).query(b)
    u = np.flatnonzero((there <= feet) & (back[to] == np.arange(len(a))))
    return np.column_stack([u, to[u], there[u]])


def drawn_together(
    corners: Corners,
    shapes: np.ndarray,
    pairs: tuple[np.ndarray, np.ndarray],
    within_ft: float,
    between: Between,
    led: Led | None = None,
) -> tuple[Corners, Corners]:
    """The corners with those added that lines got from each other, before and after they meet."""
    xy, after = corners.xy, corners.after()
    _, node = np.unique(np.round(xy, 3), axis=0, return_inverse=True)
    node = node.ravel()
    links, feet_on = [], []
    for i, j in zip(*pairs, strict=True):
        a, b = corners.of(i), corners.of(j)
        pair = int(i), int(j)
        near_a = a[_nearest_on(xy[a], xy[b], xy[after[b]])[3] <= ACROSS * within_ft]
        near_b = b[_nearest_on(xy[b], xy[a], xy[after[a]])[3] <= ACROSS * within_ft]
        if not (len(near_a) and len(near_b)):
            continue
        u, v, feet = _twins(xy[near_a], xy[near_b], ACROSS * within_ft).T
        u, v = near_a[u.astype(int)], near_b[v.astype(int)]
        gap = np.minimum(_feet_to(xy[u], shapes[j]), _feet_to(xy[v], shapes[i]))
        good = between.may_meet(pair, xy[u], xy[v], gap)
        links += list(zip(feet[good], u[good], v[good], strict=True))
        for mine, theirs in ((near_a, b), (near_b, a)):
            some = mine[~np.isin(node[mine], node[theirs])]
            if not len(some):
                continue
            edge, t, foot, feet = _nearest_on(xy[some], xy[theirs], xy[after[theirs]])
            good = (feet <= within_ft) & between.may_meet(pair, xy[some], foot, feet)
            feet_on += list(zip(some[good], theirs[edge[good]], t[good], foot[good], strict=True))
    group = _grouped(node, corners, links, between)
    held = {g: rows[:, 0] for g, rows in _rows_by(group, np.arange(len(group))[:, None])}

    def stays_apart(u: int, theirs: int, foot: np.ndarray) -> bool:
        """Whether a corner met with others that stay apart from the line it lies at."""
        j = int(corners.outline[theirs])
        return any(between.parts(int(corners.outline[n]), xy[n], j, foot) for n in held[int(group[u])])

    free = [one for one in feet_on if not stays_apart(one[0], one[1], one[3])]
    added = _added(group, corners, free)
    return _met(corners, group, added, led)


def _feet_to(points: np.ndarray, shape: Any) -> np.ndarray:
    import shapely

    return shapely.distance(shapely.points(points), shape)


def _grouped(node: np.ndarray, corners: Corners, links: list[tuple[float, int, int]], between: Between) -> np.ndarray:
    """Group of each corner: linked ones together, the nearest first, never two of one outline nor of lines apart."""
    group, first = node.copy(), np.unique(node, return_index=True)[1]
    held = np.c_[corners.outline, node]
    members = {int(k): {(int(o), int(n)) for o, n in rows} for k, rows in _rows_by(group, held)}
    for _, u, v in sorted(links):
        one, other = int(group[u]), int(group[v])
        if one == other:
            continue
        both = members[one] | members[other]
        xy = {n: corners.xy[first[n]] for _, n in both}
        if len({o for o, _ in both}) < len(both) or any(
            between.parts(o, xy[n], p, xy[m]) for o, n in members[one] for p, m in members[other]
        ):
            continue
        members[one] = both
        del members[other]
        group[group == other] = one
    return group


def _rows_by(key: np.ndarray, rows: np.ndarray) -> list[tuple[int, np.ndarray]]:
    order = np.argsort(key, kind="stable")
    cuts = np.flatnonzero(np.diff(key[order])) + 1
    return [(int(key[some[0]]), rows[some]) for some in np.split(order, cuts)] if len(key) else []


def _added(group: np.ndarray, corners: Corners, feet_on: list[tuple[Any, ...]]) -> pd.DataFrame:
    """Corners that lines get: group, outline, the corner before, the share of the way to the next, x, y."""
    rows = pd.DataFrame(
        [(group[u], corners.outline[s], s, t, *foot) for u, s, t, foot in feet_on],
        columns=["group", "outline", "behind", "t", "x", "y"],
    )
    held = pd.MultiIndex.from_arrays([group, corners.outline])
    rows = rows[~pd.MultiIndex.from_frame(rows[["group", "outline"]]).isin(held)]
    rows = rows.sort_values(["group", "outline", "behind", "t"], kind="stable")
    by = rows.groupby(["group", "outline"], sort=True)
    return by.agg(behind=("behind", "first"), t=("t", "mean"), x=("x", "mean"), y=("y", "mean")).reset_index()


def _met(corners: Corners, group: np.ndarray, added: pd.DataFrame, led: Led | None) -> tuple[Corners, Corners]:
    """Corners with the added ones in their place, and where all of them meet."""
    own = pd.DataFrame(corners.xy, columns=["x", "y"]).assign(group=group).drop_duplicates()
    corner = own.groupby("group")[["x", "y"]].mean()
    line = added.groupby("group")[["x", "y"]].mean().reindex(corner.index)
    meet = corner.where(line.isna(), (corner + line) / 2.0)
    if led is not None:
        firm = pd.DataFrame(led.to, columns=["x", "y"]).assign(group=group, rank=led.rank)
        firm = firm[firm["rank"] > 0]
        firm = firm[firm["rank"] == firm.groupby("group")["rank"].transform("max")]
        meet.update(firm.groupby("group")[["x", "y"]].mean())
    behind = np.concatenate([np.arange(len(group)), added["behind"].to_numpy(int)])
    t = np.concatenate([np.zeros(len(group)), added["t"].to_numpy()])
    order = np.lexsort((t, behind))
    groups = np.concatenate([group, added["group"].to_numpy(int)])[order]
    before = replace(
        corners,
        xy=np.concatenate([corners.xy, added[["x", "y"]].to_numpy(float)])[order],
        ring=corners.ring[behind[order]],
        outline=corners.outline[behind[order]],
    )
    return before, replace(before, xy=meet.loc[groups].to_numpy(float))


def carried_along(
    corners: Corners,
    pairs: tuple[np.ndarray, np.ndarray],
    before: Corners,
    after: Corners,
    within_ft: float,
    between: Between,
) -> Led:
    """Corners of stands that follow the lines of their parcels from ``before`` to ``after``, with those they get there.

    pairs: stands and the parcels that hold them.
    """
    to, rank = np.full((len(corners.xy), 2), np.nan), np.zeros(len(corners.xy), int)
    best = np.full(len(corners.xy), np.inf)
    behind_of, following, own_next = before.after(), corners.after(), []
    for i, j in zip(*pairs, strict=True):
        mine, theirs = corners.of(i), before.of(j)
        zone = between.apart.get((int(i), int(j)))
        xy, line = corners.xy[mine], before.xy[theirs]
        u, v, _ = _twins(xy, line, ACROSS * within_ft).T
        u, v = u.astype(int), v.astype(int)
        good = ~_in(zone, xy[u])
        u, v = u[good], v[good]
        to[mine[u]], rank[mine[u]] = after.xy[theirs[v]], 2
        edge, t, foot, feet = _nearest_on(xy, line, before.xy[behind_of[theirs]])
        ends = after.xy[theirs[edge]], after.xy[behind_of[theirs[edge]]]
        on_line = (feet <= within_ft) & (rank[mine] < 2) & (feet < best[mine]) & ~_in(zone, xy)
        some = mine[on_line]
        to[some], rank[some] = (ends[0] + t[:, None] * (ends[1] - ends[0]))[on_line], 1
        best[some] = feet[on_line]
        rest = np.setdiff1d(np.arange(len(theirs)), v)
        edge, t, foot, feet = _nearest_on(line[rest], xy, corners.xy[following[mine]])
        inner = (feet <= within_ft) & (t > 0) & (t < 1) & ~_in(zone, foot)
        own_next += list(zip(mine[edge[inner]], t[inner], foot[inner], after.xy[theirs[rest[inner]]], strict=True))
    return _with_added(corners, to, rank, own_next)


def _with_added(corners: Corners, to: np.ndarray, rank: np.ndarray, added: list[tuple[Any, ...]]) -> Led:
    behind = np.concatenate([np.arange(len(rank)), [one[0] for one in added]]).astype(int)
    t = np.concatenate([np.zeros(len(rank)), [one[1] for one in added]])
    order = np.lexsort((t, behind))
    behind = behind[order]
    new = [np.array([one[k] for one in added]).reshape(-1, 2) for k in (2, 3)]
    made = Corners(
        np.concatenate([corners.xy, new[0]])[order], corners.ring[behind], corners.outline[behind], corners.rings
    )
    return Led(made, np.concatenate([to, new[1]])[order], np.concatenate([rank, np.full(len(added), 2)])[order])

"""Lines traced twice drawn as one.

redrawn    parcels and stands of a place, their lines within a distance drawn as one
mended     the same of outlines in feet

Two lines become the same line midway between them (``corners``): each outline gives half, and none comes first. What
lies farther apart than the distance, and ground that may be a road or a brook (``near_lines``), stays. Lines of stands
go with the lines of their parcels.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.land.corners import ACROSS, Between, carried_along, drawn, drawn_together, outlines
from woodlot.land.near_lines import pairs_within, runs_along, ways_of
from woodlot.land.parcels import acres_geodesic, local_crs, on_map
from woodlot.land.terrain import default
from woodlot.region import Region

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["STILL_FT", "Mended", "Redrawn", "mended", "redrawn"]

#: Passes until nothing moves any more, and what counts as not moving [ft].
PASSES, STILL_FT = 12, 0.1
#: Corners this near a run belong to it [ft].
BESIDE_FT = 25.0


@dataclass(frozen=True)
class Redrawn:
    """A place drawn anew: parcels and stands, and each outline's change.

    changes: what ("parcel", "stand"), id, acres_before, acres, moved_ft (the farthest that its line moved).
    """

    parcels: "gpd.GeoDataFrame"
    stands: "gpd.GeoDataFrame"
    changes: pd.DataFrame


def redrawn(
    parcels: "gpd.GeoDataFrame",
    stands: "gpd.GeoDataFrame",
    features: "gpd.GeoDataFrame",
    within_ft: float,
    pairs: list[tuple[str, str]],
    *,
    region: Region,
) -> Redrawn:
    """Parcels and stands (longitude and latitude) with their lines within ``within_ft`` drawn as one.

    pairs: ids of parcels whose lines are one although a lane could lie between. An outline that does not move keeps
    its corners as they were drawn.
    """
    plane = local_crs(parcels)
    place = {one: k for k, one in enumerate(parcels["parcel_id"].astype(str))}
    told = frozenset((min(a, b), max(a, b)) for a, b in ((place[a], place[b]) for a, b in pairs))
    flat = [on_map(frame.geometry, plane).to_numpy() for frame in (parcels, stands)]
    new = mended(flat[0], flat[1], ways_of(features, plane), within_ft, told, region=region)
    out, rows = [], []
    for frame, old, now, key in zip(
        (parcels, stands), flat, (new.parcels, new.stands), ("parcel_id", "stand_id"), strict=True
    ):
        moved = _moved(old, now)
        back = on_map(parcels.geometry.__class__(list(now), index=frame.index, crs=plane), 4326)
        drawn_anew = frame.set_geometry(frame.geometry.where(moved <= STILL_FT, back))
        out.append(drawn_anew)
        change = {"what": key.removesuffix("_id"), "id": frame[key].astype(str)}
        acres = {"acres_before": acres_geodesic(frame.geometry), "acres": acres_geodesic(drawn_anew.geometry)}
        rows.append(pd.DataFrame(change | acres | {"moved_ft": np.where(moved > STILL_FT, moved, 0.0)}))
    return Redrawn(out[0], out[1], pd.concat(rows, ignore_index=True))


@dataclass(frozen=True)
class Mended:
    """Outlines drawn together: parcels and stands (feet), as many as came in."""

    parcels: np.ndarray
    stands: np.ndarray


def mended(
    parcels: np.ndarray,
    stands: np.ndarray,
    ways: Any,
    within_ft: float,
    together: frozenset[tuple[int, int]] = frozenset(),
    *,
    region: Region,
) -> Mended:
    """Parcels and stands in feet, their lines within ``within_ft`` of each other drawn as one.

    ways: roads and waters drawn, in feet; together: pairs of parcels (the smaller position first) whose lines are one
    although the gap could be a lane. Doing it again changes nothing.
    """
    was = Mended(parcels, stands)
    for _ in range(PASSES):  # a line that lay farther off may have come near
        now = _once(was, ways, within_ft, together, region=region)
        if _farthest(was, now) <= STILL_FT:
            break
        was = now
    return was


def _once(
    drawn_so: Mended, ways: Any, within_ft: float, together: frozenset[tuple[int, int]], *, region: Region
) -> Mended:
    """What lies near on these lines drawn as one."""
    parcels, stands = drawn_so.parcels, drawn_so.stands
    reach = ACROSS * within_ft
    far = 2.0 * reach  # corners come nearer in later passes; what stays apart is told by the lines as they were drawn
    i, j = pairs_within(stands, parcels, reach)
    own = _inner(stands[i], parcels[j], within_ft)
    held = i[own], j[own]
    among, inner = pairs_within(parcels, parcels, far), pairs_within(stands, stands, far)
    by_deed = _between(parcels, parcels, among, ways, within_ft, together, region=region)
    at_line = _between(stands, parcels, held, ways, within_ft, inside=True, region=region)
    in_woods = _between(stands, stands, inner, ways, within_ft, region=region)
    was = drawn_so
    for _ in range(PASSES):
        before, after = drawn_together(drawn(was.parcels), was.parcels, among, within_ft, by_deed)
        led = carried_along(drawn(was.stands), held, before, after, within_ft, at_line)
        _, woods = drawn_together(led.corners, was.stands, inner, within_ft, in_woods, led)
        now = Mended(outlines(after, was.parcels), outlines(woods, was.stands))
        moved, was = _farthest(was, now), now
        if moved <= STILL_FT:
            break
    return was


def _farthest(old: Mended, new: Mended) -> float:
    both = (old.parcels, new.parcels), (old.stands, new.stands)
    return max(float(_moved(*one).max(initial=0.0)) for one in both)


def _moved(old: np.ndarray, new: np.ndarray) -> np.ndarray:
    """The farthest that the line of each outline moved."""
    import shapely

    return np.asarray(shapely.hausdorff_distance(shapely.boundary(old), shapely.boundary(new)), dtype=float)


def _inner(stands: np.ndarray, parcels: np.ndarray, within_ft: float) -> np.ndarray:
    """Whether a parcel holds more of a stand than a strip along its line."""
    import shapely

    return shapely.intersects(stands, shapely.buffer(parcels, -within_ft, join_style="mitre"))


def _between(
    a: np.ndarray,
    b: np.ndarray,
    pairs: tuple[np.ndarray, np.ndarray],
    ways: Any,
    within_ft: float,
    together: frozenset[tuple[int, int]] = frozenset(),
    *,
    region: Region,
    inside: bool = False,
) -> Between:
    near = max(default("near_lines_ft", region), within_ft)
    runs = runs_along(a, b, pairs, ways, near, region=region, inside=inside)
    pair = pd.MultiIndex.from_frame(runs[["i", "j"]])
    lane = (runs["kind"] == "lane") & ~pair.isin(list(together))
    wide = runs["kind"].isin(("line", "lane")) & (runs["greatest_ft"] > within_ft)
    apart = lane | wide | (runs["kind"] == "far")
    return Between(
        _around(runs[apart], within_ft), _around(runs[~apart], within_ft), ways, default("lane_ft", region), together
    )


def _around(runs: pd.DataFrame, moves_ft: float) -> dict[tuple[int, int], Any]:
    """Pair -> the ground beside its runs, also when their corners have moved."""
    import shapely

    shapes: dict[tuple[int, int], list[Any]] = {}
    for i, j, shape in zip(runs["i"], runs["j"], runs["geometry"], strict=True):
        shapes.setdefault((int(i), int(j)), []).append(shape)
    return {pair: shapely.buffer(shapely.union_all(some), BESIDE_FT + moves_ft) for pair, some in shapes.items()}

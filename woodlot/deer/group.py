"""Neighbors who pool ground and take: who is in reach, what they took, whose the next doe is.

Family, Group     a family's ground and kills; those who pool
family_of         a family of its parcels and kills
pooled            one's own family and the others that agreed -> those that share deer
overlaps          ground that two families drew as theirs
kills             a table of kills by fall
acres_for_a_doe   acres of neighbors that would make one doe in so many years

A family whose ground gives a doe in decades wants one in its own time, and no more taken from the herd than before:
neighbors whose ground the same deer use share what that ground gives, and whoever waited longest on most ground is
next.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.region import Region

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["Family", "Group", "Overlap", "acres_for_a_doe", "family_of", "kills", "overlaps", "pooled"]

#: Acres under which an overlap is the line itself.
LEAST_AC = 0.05


def kills(rows: Mapping[int, tuple[float, float]]) -> pd.DataFrame:
    """Does and bucks by fall, from fall -> (does, bucks); oldest first."""
    falls = sorted(rows)
    return pd.DataFrame(
        [rows[fall] for fall in falls], index=pd.Index(falls, dtype=int, name="fall"), columns=["does", "bucks"],
        dtype=float,
    )  # fmt: skip


@dataclass(frozen=True, eq=False)
class Family:
    """One family: acres; outline of its ground, in degrees; killed_by_fall: does and bucks by fall, does being all
    deer without antlers.
    """

    name: str
    acres: float
    outline: Any
    killed_by_fall: pd.DataFrame

    def last_doe(self, fall: int) -> int | None:
        """The last fall, up to ``fall``, in which it took a doe; None for none on record."""
        took = self.killed_by_fall.index[self.killed_by_fall["does"] > 0]
        took = took[took <= fall]
        return int(took.max()) if len(took) else None


@dataclass(frozen=True)
class Overlap:
    """Acres that two families drew as theirs; share: of the smaller ground of the two."""

    names: tuple[str, str]
    acres: float
    share: float


@dataclass(frozen=True, eq=False)
class Group:
    """Families that pool, by name, one's own (``own``) among them; a family alone is a group of one.

    Ground that two drew counts once, half for each. left_out_ac: acres out of reach by family, of whole families and of
    parts of their ground.
    """

    own: str
    families: tuple[Family, ...]
    left_out_ac: Mapping[str, float]
    overlaps: tuple[Overlap, ...] = ()

    @property
    def acres(self) -> float:
        """Acres of all families."""
        return float(sum(one.acres for one in self.families))

    @property
    def outline(self) -> "gpd.GeoSeries":
        """The outlines of all families, in degrees."""
        import geopandas as gpd

        return gpd.GeoSeries([one.outline for one in self.families], crs="EPSG:4326")

    @property
    def others(self) -> tuple[Family, ...]:
        """All but one's own."""
        return tuple(one for one in self.families if one.name != self.own)

    def killed_by_fall(self) -> pd.DataFrame:
        """Does and bucks of all families together, by fall."""
        return pd.concat([one.killed_by_fall for one in self.families]).groupby(level="fall").sum().sort_index()

    def waited(self, fall: int) -> dict[str, int]:
        """Falls up to ``fall`` since each family's last doe; without a doe, since the group's record began."""
        falls = self.killed_by_fall().index
        began = min([int(one) for one in falls if one <= fall], default=fall)
        last = {one.name: one.last_doe(fall) for one in self.families}
        return {name: fall - (began - 1 if of is None else of) for name, of in last.items()}

    def next_doe_to(self, fall: int) -> str:
        """Whose the next doe is: most acres, to a tenth, times falls waited; of equals the first by name."""
        waited = self.waited(fall)
        times = {name: max(of, 0) for name, of in waited.items()}
        if not any(times.values()):  # each took one this fall: all will have waited one fall by the next
            times = dict.fromkeys(times, 1)
        turn = {one.name: round(one.acres, 1) * times[one.name] for one in self.families}
        return min(turn, key=lambda name: (-turn[name], name))


def family_of(name: str, parcels: "gpd.GeoDataFrame", killed_by_fall: pd.DataFrame) -> Family:
    """A family of its parcels (in degrees) and kills: their outlines as one, ground in two of them once."""
    import shapely

    from woodlot.land.parcels import acres_once

    shapes = parcels.geometry.to_numpy()
    return Family(name, float(np.sum(acres_once(shapes))), shapely.union_all(shapes), killed_by_fall)


def pooled(own: Family, others: Iterable[Family], *, region: Region) -> Group:
    """One's own family and those of the others that share its deer.

    Ground shares deer where it lies within a home range (``defaults_herd.group_home_range_ft``) of other ground of the
    group, from one's own on, link by link. Of a family with ground elsewhere too only what is linked counts.
    """
    import geopandas as gpd
    import shapely
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    from woodlot.land.parcels import acres_geodesic, acres_once, local_ft

    families = sorted((own, *others), key=lambda one: one.name)
    shapes = np.array([one.outline for one in families], dtype=object)
    parts, owner = shapely.get_parts(shapes, return_index=True)
    flat = np.asarray(local_ft(gpd.GeoSeries(parts, crs="EPSG:4326"), centre=own.outline))
    reach = region.figure("defaults_herd", "group_home_range_ft")
    first, second = shapely.STRtree(flat).query(flat, predicate="dwithin", distance=reach)
    mine = np.flatnonzero(owner == families.index(own))
    first, second = np.append(first, mine), np.append(second, np.full(len(mine), mine[0]))  # one's own all count
    links = coo_array((np.ones(len(first)), (first, second)), shape=(len(parts), len(parts)))
    label = connected_components(links, directed=False)[1]
    near = label == label[mine[0]]
    acres = acres_geodesic(parts)
    out = np.bincount(owner[~near], acres[~near], minlength=len(families))
    within = [k for k in range(len(families)) if near[owner == k].any()]
    ground = [shapely.union_all(parts[near & (owner == k)]) for k in within]
    each = zip(within, ground, acres_once(ground), strict=True)
    kept = tuple(replace(families[k], outline=shape, acres=float(ac)) for k, shape, ac in each)
    left = {families[k].name: float(out[k]) for k in np.flatnonzero(out > 0)}
    return Group(own.name, kept, left, overlaps(kept))


def overlaps(families: Sequence[Family]) -> tuple[Overlap, ...]:
    """Ground that two families drew as theirs, pair by pair; a sliver along a line is none."""
    import shapely

    from woodlot.land.parcels import acres_geodesic

    out = []
    for one, two in combinations(families, 2):
        acres = float(acres_geodesic(shapely.intersection(one.outline, two.outline)))
        if acres > LEAST_AC:
            least = min(float(acres_geodesic(one.outline)), float(acres_geodesic(two.outline)))
            out.append(Overlap((one.name, two.name), acres, acres / least))
    return tuple(out)


def acres_for_a_doe(share_per_yr: float, own_ac: float, years: float) -> float | None:
    """Acres of like ground, beside one's own, that would make one doe in ``years``; None where the herd gives none.

    share_per_yr: does a year of one's own acres. .02 a year of 80 acres: 720 more make .2 a year.
    """
    if share_per_yr <= 0:
        return None
    return max(0.0, own_ac / (years * share_per_yr) - own_ac)

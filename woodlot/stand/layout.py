"""Stands cut to parcels: which parcel, which cover letter, and how many acres the plots could fall in.

All of the land   measured, Measured
Acres of stands   lay_out, ground_of
Faults of lines   problems
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.covers import are, said_of
from woodlot.errors import InputError
from woodlot.land.parcels import acres_geodesic, contacts, distances, doubled_ac, measure, outlined
from woodlot.region import Region
from woodlot.trade import NOT_WOODS, OPEN_WATER

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["TOLERANCE_AC", "Measured", "ground_of", "lay_out", "measured", "parcels_of", "problems"]

#: Smaller pieces of ground that do not fit are left unsaid.
TOLERANCE_AC = 0.1

HELD_SHARE = 0.01
#: Of a stand that meets no parcel: where it names none, and where it names one.
WHOLE = (", whole", ", whole, named")


@dataclass(frozen=True)
class Measured:
    """The land: parcels and stands with acres, how parcels meet, miles between them, gaps and overlaps."""

    parcels: "gpd.GeoDataFrame"
    stands: "gpd.GeoDataFrame"
    contacts: pd.DataFrame
    distances: pd.DataFrame
    problems: pd.DataFrame


def measured(
    parcels: "gpd.GeoDataFrame",
    stands: "gpd.GeoDataFrame",
    features: "gpd.GeoDataFrame",
    home: tuple[float, float] | None,
    region: Region,
) -> Measured:
    """Acres, contacts, distances, and the faults of the lines; frames as for ``lay_out``, home as (lon, lat)."""
    laid = lay_out(stands, parcels, features, region=region)
    return Measured(
        measure(parcels, home), laid, contacts(parcels), distances(parcels), problems(laid, parcels, features)
    )


def lay_out(
    stands: "gpd.GeoDataFrame", parcels: "gpd.GeoDataFrame", features: "gpd.GeoDataFrame", region: Region
) -> "gpd.GeoDataFrame":
    """Stands with their parcel, their cover letter and their working acres.

    Parameters
    ----------
    stands
        Frame with stand_id, parcel_id (empty, or one that does not hold the stand: found by location), cover, operable
        (may be missing) and polygons in longitude and latitude.
    parcels
        Frame with parcel_id and polygons.
    features
        Frame with kind and geometry; polygons of kind "home_ground" are no woods, those of kind "lake" or "stream" are
        water. A stream drawn as a line has no area.
    region
        Region whose table of cover types gives the letters, and says which covers are no woods.

    Returns
    -------
    A copy with parcel_id filled (empty where the stand meets no parcel); letter ("?" for a cover not in the table);
    gross_ac; home_ground_ac (of a stand whose cover is no woods all of it); water_ac (off what home ground has left);
    acres (working acres: gross less both, the ground plots could fall in and the acres a mean per acre is multiplied
    gross_ac; home_ground_ac; water_ac (off what home ground has left); acres (working acres: gross less both, and less
    what other stands count of ground that lies in several, each its even share; the acres a mean per acre is multiplied
    by); operable_ac (acres where the stand may be worked, else 0).
    """
    import shapely

    out = stands.copy()
    shapes = stands.geometry.to_numpy()
    parcel = parcels_of(stands, parcels)
    out["parcel_id"] = parcel.where(parcel.notna(), None)
    out["letter"] = said_of(stands["cover"], "letter", region)
    home = outlined(features, ("home_ground",))
    water = shapely.difference(outlined(features, OPEN_WATER), home)
    out["gross_ac"] = acres_geodesic(shapes, [f"stand {one}" for one in stands["stand_id"]])
    woods = are(stands["cover"], "woods", region)
    out["home_ground_ac"] = np.where(woods, acres_geodesic(shapely.intersection(shapes, home)), out["gross_ac"])
    out["water_ac"] = np.where(woods, acres_geodesic(shapely.intersection(shapes, water)), 0.0)
    off = out["home_ground_ac"] + out["water_ac"] + doubled_ac(ground_of(stands, features, region))
    out["acres"] = (out["gross_ac"] - off).clip(lower=0.0)
    operable = stands["operable"].fillna(True).to_numpy(dtype=bool) if "operable" in stands else True
    out["operable_ac"] = np.where(operable, out["acres"], 0.0)
    return out


def ground_of(stands: "gpd.GeoDataFrame", features: "gpd.GeoDataFrame", region: Region) -> np.ndarray:
    """The ground of each stand that plots could fall in: its outline less home ground and water; none of no woods."""
    import shapely

    ground = shapely.difference(stands.geometry.to_numpy(), outlined(features, NOT_WOODS))
    return np.where(are(stands["cover"], "woods", region), ground, shapely.Polygon())


def _named(stands: "gpd.GeoDataFrame", parcels: "gpd.GeoDataFrame") -> pd.Series:
    """The parcel that each stand names, missing where it names none."""
    given = stands["parcel_id"].astype("string") if "parcel_id" in stands else pd.Series(pd.NA, stands.index, "string")
    given = given.str.strip()
    given = given.mask(given == "")
    unknown = sorted(set(given.dropna()) - set(parcels["parcel_id"].astype(str)))
    if unknown:
        raise InputError(f"stands name parcels that are not there: {', '.join(unknown)}")
    return given


def parcels_of(stands: "gpd.GeoDataFrame", parcels: "gpd.GeoDataFrame") -> pd.Series:
    """parcel_id of each stand: as it names it, else the parcel that holds most of it, else empty.

    A parcel whose line a stand only runs along, with less than a hundredth of it inside, does not hold it; one that is
    named and does not hold the stand is as if none were named.
    """
    given = _named(stands, parcels)
    stand, parcel, acres = _shared_ground(stands.geometry.to_numpy(), parcels.geometry.to_numpy())
    pairs = pd.DataFrame({"stand": stand, "parcel": parcel, "acres": acres}).sort_values("acres", kind="stable")
    pairs = pairs[pairs["acres"] >= HELD_SHARE * acres_geodesic(stands.geometry.to_numpy())[pairs["stand"]]]
    most = pairs.drop_duplicates("stand", keep="last").set_index("stand")["parcel"]
    ids = parcels["parcel_id"].astype(str).to_numpy()
    holds = set(zip(pairs["stand"], ids[pairs["parcel"]], strict=True))
    given = given.where(np.array([(k, one) in holds for k, one in enumerate(given)], dtype=bool))
    held_by = pd.Series(pd.NA, index=range(len(stands)), dtype="string")
    held_by.loc[most.index] = ids[most.to_numpy()]
    return given.fillna(pd.Series(held_by.to_numpy(), index=stands.index)).astype(object)


def _shared_ground(a: np.ndarray, b: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Positions in a and in b of every two shapes that share ground, and the acres they share."""
    import shapely

    first, second = shapely.STRtree(b).query(a, predicate="intersects")
    acres = acres_geodesic(shapely.intersection(a[first], b[second]))
    return first, second, acres


def problems(
    stands: "gpd.GeoDataFrame",
    parcels: "gpd.GeoDataFrame",
    features: "gpd.GeoDataFrame",
    tolerance_ac: float = TOLERANCE_AC,
) -> pd.DataFrame:
    """Where the lines do not fit: overlaps, stands outside their parcel, ground in no stand.

    Parameters
    ----------
    stands, parcels, features
        Frames as for ``lay_out``; stands may lack a parcel_id, which is then found by location.
    tolerance_ac
        Smaller pieces are left unsaid [ac].

    Returns
    -------
    Frame with kind ("stands overlap", "parcels overlap", "outside parcels", "in another parcel", "in no stand"), a, b
    (ids; b empty where there is only one), acres [ac], how_much ("", or WHOLE of a stand that meets no parcel); the
    largest first within a kind. Home ground and water are not counted as ground in no stand.
    """
    import shapely

    if not tolerance_ac >= 0:
        raise InputError(f"the tolerance must be 0 acres or more, not {tolerance_ac!r}")
    ground, owned = stands.geometry.to_numpy(), parcels.geometry.to_numpy()
    stand_ids, parcel_ids = stands["stand_id"].astype(str).to_numpy(), parcels["parcel_id"].astype(str).to_numpy()
    all_stands, all_parcels = shapely.union_all(ground), shapely.union_all(owned)
    rest = shapely.union_all(
        [s for s in (all_stands, outlined(features, NOT_WOODS)) if not s.is_empty] or [shapely.Polygon()]
    )
    own = pd.Index(parcel_ids).get_indexer(pd.Index(parcels_of(stands, parcels).fillna("")))
    named = pd.Index(parcel_ids).get_indexer(pd.Index(_named(stands, parcels).fillna("")))
    moved = np.flatnonzero((named >= 0) & (own >= 0) & (named != own))
    there = acres_geodesic(shapely.intersection(ground[moved], owned[own[moved]]))
    beyond = np.where(own >= 0, shapely.difference(ground, owned[own]), shapely.Polygon())
    stray, where, strayed = _shared_ground(beyond, owned)
    left = acres_geodesic(shapely.difference(ground, all_parcels))
    lost = left > (1.0 - HELD_SHARE) * acres_geodesic(ground)
    bare = acres_geodesic(shapely.difference(owned, rest))
    kinds = [
        _overlaps("stands overlap", ground, stand_ids),
        _overlaps("parcels overlap", owned, parcel_ids),
        _rows("outside parcels", stand_ids, "", left, np.where(lost, np.where(named < 0, *WHOLE), "")),
        _rows("in another parcel", stand_ids[moved], parcel_ids[own[moved]], there, ", whole"),
        _rows("in another parcel", stand_ids[stray], parcel_ids[where], strayed),
        _rows("in no stand", parcel_ids, "", bare),
    ]
    table = pd.concat(kinds, ignore_index=True)
    return table[table["acres"] > tolerance_ac].reset_index(drop=True)


def _overlaps(kind: str, shapes: np.ndarray, ids: np.ndarray) -> pd.DataFrame:
    first, second, acres = _shared_ground(shapes, shapes)
    pair = first < second
    return _rows(kind, ids[first[pair]], ids[second[pair]], acres[pair])


def _rows(kind: str, a: np.ndarray, b: Any, acres: np.ndarray, how_much: Any = "") -> pd.DataFrame:
    table = pd.DataFrame({"kind": kind, "a": a, "b": b, "acres": acres, "how_much": how_much})
    return table.sort_values("acres", ascending=False)

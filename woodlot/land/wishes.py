"""What the family wishes of its ground: acres of each stand under each wish, by stand, by parcel or by a shape.

wishes    the wishes of one winter
Wishes    acres by stand and wish, and the shapes

An owner who set ground aside wants never to be told to cut there, and still to be told what stands on it. So ground
under a wish is counted once, whole or by its shapes, and never leaves the sums of what stands.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.land.parcels import outlined
from woodlot.land.water import strip_acres
from woodlot.trade import KEEP, NEVER_CUT, NOT_WOODS, SHUT, WISHES

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["ALL", "Wishes", "wishes"]

#: Share of a stand from which on a wish rules how all of it is cut.
RULES_FROM = 0.5
#: Acres under this are not spoken of, and a share of a stand that is all of it.
LEAST_AC, ALL = 0.05, 0.999
COLUMNS = ["wish", "wish_until", "wish_since"]


@dataclass(frozen=True)
class Wishes:
    """What is wished in one winter.

    stands: one row a stand and wish, in the order of the stands and of ``trade.WISHES``: stand_id, wish, until (year in
    which it ends, None: it stays), since (day, NaT), acres under it, whole (whether that is all of the stand), rules
    (whether it is so much that all of the stand is cut by it); ground that is never cut is not counted again as kept.
    shapes: geo frame of the outlines of wishes: kind, name, wish_until, wish_since; no_woods: home ground and water.
    """

    stands: pd.DataFrame
    shapes: "gpd.GeoDataFrame"
    no_woods: Any

    def of(self, wish: str) -> pd.DataFrame:
        """Rows of one wish, by stand_id."""
        return self.stands[self.stands["wish"] == wish].set_index("stand_id")

    def shut(self) -> "gpd.GeoDataFrame":
        """Shapes in which nothing is cut."""
        return self.shapes[self.shapes["kind"].isin(SHUT)]


def wishes(stands: "gpd.GeoDataFrame", parcels: "gpd.GeoDataFrame", features: "gpd.GeoDataFrame", year: int) -> Wishes:
    """The wishes that hold in the winter that begins in a year.

    Parameters
    ----------
    stands
        ``stand.layout.lay_out``: stand_id, parcel_id, acres, wish (words with a comma between), wish_until, wish_since.
    parcels
        parcel_id and the same three: they hold for stands without a wish of their own.
    features
        kind, name, wish_until, wish_since; polygons whose kind is a wish. Home ground and water are in no acre.
    year
        A wish ends with the winter that begins in its wish_until.
    """
    own = _own(stands, parcels, year)
    held = features["kind"].isin(list(WISHES)) & _holds(features["wish_until"], year)
    shapes = features.loc[held, ["kind", "name", "wish_until", "wish_since", "geometry"]].reset_index(drop=True)
    acres, out_of = stands["acres"].to_numpy(dtype=float), outlined(features, NOT_WOODS)
    never = np.zeros(len(stands))
    parts = []
    for wish in WISHES:
        all_of_it = own["wish"].map(lambda words, wish=wish: wish in words).to_numpy(dtype=bool)
        drawn = shapes[shapes["kind"] == wish]
        left_out = out_of.union(outlined(shapes, (NEVER_CUT,))) if wish == KEEP else out_of
        under = np.minimum(strip_acres(stands, drawn, left_out), acres)
        if wish == NEVER_CUT:
            never = under = np.where(all_of_it, acres, under)
        else:
            under = np.where(all_of_it, acres, under)
            under = np.minimum(under, acres - never) if wish == KEEP else under
        rows = pd.DataFrame({"stand_id": stands["stand_id"].astype(str).to_numpy(), "wish": wish, "acres": under})
        rows["until"] = _latest(stands, drawn).where(~all_of_it, own["wish_until"])
        rows["since"] = own["wish_since"].where(all_of_it).to_numpy()
        rows["whole"] = under >= ALL * acres
        rows["rules"] = under >= (ALL if wish in SHUT else RULES_FROM) * acres
        parts.append(rows[under >= LEAST_AC])
    out = pd.concat(parts).sort_index(kind="stable").reset_index(drop=True)
    return Wishes(out, shapes, out_of)


def _holds(until: pd.Series, year: int) -> pd.Series:
    return (until.isna() | (until > year)).fillna(True).astype(bool)


def _own(stands: pd.DataFrame, parcels: pd.DataFrame, year: int) -> pd.DataFrame:
    """Words, years and days of the wish that each stand or else its parcel has; no words where none holds."""
    above = parcels.set_index("parcel_id")[COLUMNS].reindex(stands["parcel_id"])
    own = stands["wish"].notna().to_numpy()
    out = pd.DataFrame(
        {name: stands[name].astype(object).where(own, above[name].astype(object).to_numpy()) for name in COLUMNS}
    ).reset_index(drop=True)
    until = pd.to_numeric(out["wish_until"])
    words = out["wish"].where(_holds(until, year), "").fillna("").str.split(", ")
    years = pd.Series([None if np.isnan(year) else int(year) for year in until.astype(float)], dtype=object)
    return out.assign(wish=words, wish_until=years, wish_since=pd.to_datetime(out["wish_since"]))


def _latest(stands: "gpd.GeoDataFrame", drawn: "gpd.GeoDataFrame") -> pd.Series:
    """The year in which the last of the shapes that a stand touches ends; None where one stays, or none touches it."""
    import shapely

    if not len(drawn):
        return pd.Series([None] * len(stands), dtype=object)
    stand, shape = shapely.STRtree(drawn.geometry.to_numpy()).query(stands.geometry.to_numpy(), predicate="intersects")
    latest = np.full(len(stands), -np.inf)
    np.maximum.at(latest, stand, drawn["wish_until"].to_numpy(dtype=float, na_value=np.inf)[shape])
    return pd.Series([int(year) if np.isfinite(year) else None for year in latest], dtype=object)

"""Parcels in which nobody has drawn a stand yet: each is one stand; and rows that name a parcel where a stand is meant.

whole_parcels   the stands, with one more for each such parcel
named_parcels   tables whose rows name a parcel as their stand -> the same with the stand
"""

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
import shapely

from woodlot.errors import Fault
from woodlot.place.cells import read_cells
from woodlot.place.checked import Sheet
from woodlot.place.remedies import short
from woodlot.place.tabular import Cells
from woodlot.say.words import first_of, id_list, noun, plural
from woodlot.stand import layout
from woodlot.trade import NO_COVER

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["named_parcels", "whole_parcels"]

#: A parcel of which stands that belong to other parcels cover this share is drawn already.
DRAWN_SHARE = 0.5
#: Tables whose rows name a stand, and what else may tell where a row lies.
NAMED = ("plots", "tally", "cores", "seedlings", "ledger")


def whole_parcels(
    sheets: dict[str, Sheet], shapes: "dict[str, gpd.GeoSeries]", unread: set[str], notes: list[str]
) -> tuple[str, ...]:
    """Put a stand for each parcel without any into ``sheets`` and ``shapes``; their ids, told in one remark.

    The stand has the parcel's id (behind "parcel " where a drawn stand has that id), its outline less what stands that
    spill over from other parcels cover, and no cover. A parcel with a stand of its own stays as it is drawn.
    """
    parcels, stands = sheets["parcels"], sheets["stands"]
    if {"parcels", "stands"} & unread or "parcels" not in shapes:
        return ()
    ids, outlines = parcels.frame["parcel_id"], shapes["parcels"].to_numpy()
    drawn = shapes["stands"].to_numpy() if "stands" in shapes else np.empty(0, dtype=object)
    own = set(_parcel_of(sheets, shapes)) if len(drawn) else set()
    first = ids.notna().to_numpy() & ~ids.duplicated().to_numpy() & ~shapely.is_missing(outlines)
    left = shapely.difference(outlines, shapely.union_all(drawn[~shapely.is_missing(drawn)]))
    bare = first & (shapely.area(left) > (1.0 - DRAWN_SHARE) * shapely.area(outlines))
    at = np.flatnonzero(bare & ~ids.isin(own).to_numpy())
    if not len(at):
        return ()
    taken = set(stands.frame["stand_id"].dropna().astype(str))
    named = [str(one) if str(one) not in taken else f"parcel {one}" for one in ids.iloc[at]]
    text = pd.DataFrame({"stand_id": named, "parcel_id": ids.iloc[at].to_numpy()}, dtype=object)
    more = read_cells("stands", Cells("", text, np.zeros(len(at), dtype=int)), [], [])
    more = replace(more, frame=more.frame.assign(cover=NO_COVER))
    _add(sheets, shapes, more, left[at])
    notes.append(_told(named, ids.iloc[at].astype(str).tolist(), len(ids), stands.file))
    return tuple(named)


def _add(sheets: dict[str, Sheet], shapes: "dict[str, gpd.GeoSeries]", more: Sheet, outlines: np.ndarray) -> None:
    """Put the rows of ``more`` and their outlines behind the stands that are drawn."""
    import geopandas as gpd

    stands = sheets["stands"]
    before = shapes["stands"].to_numpy() if "stands" in shapes else np.empty(0, dtype=object)
    frame = pd.concat([stands.frame, more.frame], ignore_index=True) if len(stands.frame) else more.frame
    wrong = {name: np.append(was, np.zeros(len(outlines), dtype=bool)) for name, was in stands.wrong.items()}
    sheets["stands"] = replace(stands, frame=frame, rows=np.append(stands.rows, more.rows), wrong=wrong)
    shapes["stands"] = gpd.GeoSeries(np.append(before, outlines), crs="EPSG:4326")


def _parcel_of(sheets: dict[str, Sheet], shapes: "dict[str, gpd.GeoSeries]") -> np.ndarray:
    """The parcel that each stand names, or that holds most of it; None where there is none."""
    import geopandas as gpd

    frames = {
        name: gpd.GeoDataFrame(sheets[name].frame, geometry=shapes[name], crs="EPSG:4326")
        for name in ("stands", "parcels")
    }
    there = set(frames["parcels"]["parcel_id"].dropna())
    named = frames["stands"]["parcel_id"]
    stands = frames["stands"].assign(parcel_id=named.where(named.isin(there), None))
    found = layout.parcels_of(stands, frames["parcels"])
    return found.where(found.notna(), None).to_numpy(dtype=object)


def _told(named: list[str], of: list[str], parcels: int, file: str) -> str:
    """The one remark on parcels that are a stand each."""
    if not file:
        who = "the parcel is one stand" if parcels == 1 else f"each of the {parcels} parcels is one stand"
        who = f"No stands are drawn yet: {who} under its own name"
    else:
        who = f"{file}: no stand is drawn in parcel {first_of([short(one, 20) for one in of], 6)}; "
        who += "it is one stand" if len(of) == 1 else "each is one stand"
        changed = [new for new, old in zip(named, of, strict=True) if new != old]
        who += f", {first_of(changed, 6)} where a stand has its name" if changed else " under its own name"
    return f"{who}, of a cover nobody has named. Plots count for it. Draw stands where the woods differ."


def named_parcels(
    sheets: dict[str, Sheet],
    shapes: "dict[str, gpd.GeoSeries]",
    unread: set[str],
    faults: list[Fault],
    notes: list[str],
) -> None:
    """Give rows that name a parcel as their stand its only stand, or the one in which their point lies; else a fault.

    Lines of the ledger are never a fault: where the stand cannot be told they keep the parcel alone.
    """
    parcels, stands = sheets["parcels"].frame, sheets["stands"].frame
    if {"parcels", "stands"} & unread or "stands" not in shapes or "parcels" not in shapes:
        return
    drawn, parcel = shapes["stands"].to_numpy(), _parcel_of(sheets, shapes)
    of = {str(one): stands["stand_id"][parcel == one].astype(str).tolist() for one in set(parcel) if one is not None}
    strange = set(parcels["parcel_id"].dropna()) - set(stands["stand_id"].dropna())
    for table in NAMED:
        sheets[table] = _resolved(sheets[table], strange, of, stands["stand_id"], drawn, faults, notes)


def _resolved(
    sheet: Sheet,
    strange: set[str],
    of: dict[str, list[str]],
    stand_ids: pd.Series,
    drawn: np.ndarray,
    faults: list[Fault],
    notes: list[str],
) -> Sheet:
    """One table with stands in place of parcels; strange: parcels whose id is no stand's."""
    named = sheet.frame["stand_id"]
    meant = named.isin(strange).to_numpy(dtype=bool)
    if not meant.any():
        return sheet
    only = {parcel: stands[0] for parcel, stands in of.items() if len(stands) == 1}
    stand = pd.Series([only.get(str(one), "") for one in named], dtype=object)
    if "lon" in sheet.frame:
        stand = stand.where(~meant | (stand != "").to_numpy(), pd.Series(_at_point(sheet.frame, stand_ids, drawn)))
    told = meant & (stand != "").to_numpy()
    lost = meant & ~told
    frame = sheet.frame.assign(stand_id=named.where(~told, stand.to_numpy()))
    if told.any():
        rows, names = plural(int(told.sum()), "row"), first_of(sorted({short(one, 20) for one in named[told]}), 6)
        taken = first_of(sorted(set(stand[told])), 6)
        notes.append(f"{sheet.file}: {rows} with parcel {names} as the stand; taken for stand {taken}.")
    if sheet.table == "ledger":
        frame["parcel_id"] = frame["parcel_id"].where(~(lost & frame["parcel_id"].isna()), named)
        frame["stand_id"] = frame["stand_id"].mask(lost)
    else:
        faults += sheet.faults(lost, "stand_id", _remedy(named, of, "lon" in frame))
        frame["stand_id"] = frame["stand_id"].mask(lost)
    return replace(sheet, frame=frame)


def _at_point(frame: pd.DataFrame, stand_ids: pd.Series, drawn: np.ndarray) -> np.ndarray:
    """The stand in which each row's point lies, "" for none or more than one."""
    points = shapely.points(frame["lon"].to_numpy(dtype=float), frame["lat"].to_numpy(dtype=float))
    row, stand = shapely.STRtree(drawn).query(points, predicate="intersects")
    once = pd.Series(stand, index=row)[~pd.Index(row).duplicated(keep=False)]
    out = np.full(len(frame), "", dtype=object)
    out[once.index.to_numpy()] = stand_ids.astype(str).to_numpy()[once.to_numpy()]
    return out


def _remedy(named: pd.Series, of: dict[str, list[str]], point: bool) -> Callable[[Any], str]:
    """What is wrong with a row that names a parcel of several stands."""

    def words(at: Any) -> str:
        parcel = str(named.iloc[at])
        stands = of.get(parcel, [])
        has = f"has {noun(len(stands), 'stand')} {id_list([short(one, 24) for one in stands], 8) or 'none'}"
        way = " Write which, or lon and lat of a point in it." if point else " Write which."
        return f"{short(parcel)} is a parcel; it {has}.{way}"

    return words

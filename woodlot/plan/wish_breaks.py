"""Notes that break a wish: wood felled where the family wishes no cut, or dead trees where they are to stand.

broken   one Reason for each such line of the ledger

Whoever set ground aside wants to hear of the first cord cut there, by the line that says so, and of nothing that was
cut before the wish.
"""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from woodlot import ledger
from woodlot.estimate import Reason, reason
from woodlot.land.wishes import Wishes
from woodlot.plan import done
from woodlot.trade import FELLED_KINDS, LEAVE_DEAD, SHUT

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["broken"]


def broken(book: pd.DataFrame, stands: "gpd.GeoDataFrame", wished: Wishes, since: pd.Timestamp) -> tuple[Reason, ...]:
    """Lines that stand and note wood felled against a wish, in the order of the ledger.

    Parameters
    ----------
    book
        The ledger: line, date, parcel_id, stand_id, kind, amount, unit, text, lon, lat, corrects.
    stands
        stand_id and parcel_id.
    wished
        ``land.wishes``.
    since
        Where a wish has no day from which it holds, lines of this day and later are looked at.

    A line is held to the wish of the stand it names, of the parcel it names where all its stands are shut, or of the
    shape in which its point lies. A shape that holds only a part of a stand speaks by points alone.
    """
    if not len(book) or not (len(wished.stands) or len(wished.shapes)):
        return ()
    lines = ledger.standing(book)
    lines = lines[lines["kind"].isin(FELLED_KINDS)].reset_index(drop=True)
    dead = done.is_dead(lines).to_numpy(dtype=bool)
    out: list[Reason | None] = [None] * len(lines)
    for wish in (*SHUT, LEAVE_DEAD):
        day, where = _held(lines, stands, wished, wish)
        after = (lines["date"] >= day.fillna(since)).to_numpy(dtype=bool)
        for at in np.flatnonzero(where & after & (dead if wish == LEAVE_DEAD else True)):
            out[at] = out[at] or _said(lines.iloc[at], wish)
    return tuple(one for one in out if one is not None)


def _held(lines: pd.DataFrame, stands: "gpd.GeoDataFrame", wished: Wishes, wish: str) -> tuple[pd.Series, np.ndarray]:
    """Day from which each line is held to a wish (missing where none is written), and whether it is held at all."""
    import shapely

    rows = wished.of(wish)
    whole = rows[rows["whole"]]
    parcel_of = stands.set_index(stands["stand_id"].astype(str))["parcel_id"]
    all_of = parcel_of.index.isin(whole.index).astype(bool)
    shut = pd.Series(all_of, index=parcel_of.to_numpy()).groupby(level=0).all()
    by_stand, by_parcel = lines["stand_id"].isin(whole.index), lines["parcel_id"].isin(shut.index[shut])
    held = (by_stand | (by_parcel & lines["stand_id"].isna())).to_numpy(dtype=bool)
    of_parcel = whole["since"].groupby(parcel_of.reindex(whole.index).to_numpy()).max()
    own, above = (
        of.reindex(lines[name]).to_numpy() for of, name in ((whole["since"], "stand_id"), (of_parcel, "parcel_id"))
    )
    day = pd.Series(pd.to_datetime(np.where(by_stand, own, above)), index=lines.index)
    points = shapely.points(lines["lon"].to_numpy(dtype=float), lines["lat"].to_numpy(dtype=float))
    drawn = wished.shapes[wished.shapes["kind"] == wish]
    for shape, from_day in zip(drawn.geometry, drawn["wish_since"], strict=True):
        inside = shapely.intersects(shape, points)
        day = day.mask(inside & ~held, from_day)
        held = held | inside
    return day, held


def _said(line: pd.Series, wish: str) -> Reason:
    amount, unit = line["amount"], line["unit"]
    known = {name: str(line[f"{name}_id"]) for name in ("stand", "parcel") if isinstance(line[f"{name}_id"], str)}
    return reason(
        "wish broken",
        line=int(line["line"]),
        kind=str(line["kind"]),
        amount=None if pd.isna(amount) else float(amount),
        unit=unit if isinstance(unit, str) else "",
        where=next(iter(known.items()), ()),
        wish=wish,
    )

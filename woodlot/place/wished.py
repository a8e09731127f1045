"""What a family wishes of its ground, checked: a wish that cannot act is a fault, one that acts no more is a remark.

check_wishes   the three columns of parcels, stands and features, and the shapes of wishes
astray         wishes drawn where no stand lies
broken_wishes  lines of the ledger that break one; anything_wished: whether there is any
"""

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
import shapely

from woodlot.errors import Fault
from woodlot.land.wishes import wishes
from woodlot.place.checked import Sheet
from woodlot.plan.wish_breaks import broken
from woodlot.region import Region
from woodlot.say.reasons import said
from woodlot.say.words import first_of, plural
from woodlot.stand.layout import lay_out
from woodlot.trade import KEEP, NOT_SHUT, SHUT, WISHES
from woodlot.wood.drawn_down import winter_began

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["anything_wished", "astray", "broken_wishes", "check_wishes"]

NO_WISH = "There is no wish here that it could speak of. Write one, such as never cut."
NO_YEAR = "Keep until when? Write the year in wish_until, or never cut in place of it."
NO_OUTLINE = "A wish is an outline (polygon): draw round the ground it speaks of."


def check_wishes(
    sheets: dict[str, Sheet], shapes: "dict[str, gpd.GeoSeries]", as_of: date, faults: list[Fault], notes: list[str]
) -> None:
    """Append the faults of wishes that cannot act, and remarks on those that have ended."""
    year = winter_began(as_of).year
    for table in ("parcels", "stands"):
        sheet = sheets[table]
        words = sheet.frame["wish"].fillna("").str.split(", ")
        both = [bool({*one} & {*SHUT} and {*one} & {*NOT_SHUT}) for one in words]
        remedy = f"{NOT_SHUT[0]} cannot stand beside {' or '.join(SHUT)}. Keep one of them."
        faults += sheet.faults(both, "wish", remedy)
        _years(sheet, "wish", words.map(lambda one: KEEP in one), sheet.frame["wish"].notna(), year, faults, notes)
    sheet, drawn = sheets["features"], shapes.get("features")
    wish = sheet.frame["kind"].isin(list(WISHES))
    _years(sheet, "kind", sheet.frame["kind"] == KEEP, wish, year, faults, notes)
    if drawn is not None:
        outline = np.isin(shapely.get_type_id(drawn.to_numpy()), (3, 6, -1))
        faults += sheet.faults(wish.to_numpy() & ~outline, "geometry", NO_OUTLINE, lambda at: drawn.geom_type.iloc[at])


def _years(
    sheet: Sheet, column: str, kept: pd.Series, wish: pd.Series, year: int, faults: list[Fault], notes: list[str]
) -> None:
    """Years and days without a wish, a keep without its year, and wishes whose year has come."""
    until = sheet.frame["wish_until"]
    whole = ~sheet.is_wrong(column, "wish_until", "wish_since")
    for name in ("wish_until", "wish_since"):
        faults += sheet.faults(sheet.frame[name].notna() & ~wish & whole, name, NO_WISH)
    faults += sheet.faults(kept & until.isna() & whole, column, NO_YEAR)
    over = (until <= year).fillna(False).to_numpy(dtype=bool)
    if over.any():
        rows = first_of([str(one) for one in sheet.rows[over]], 6)
        notes.append(f"{sheet.file}: {plural(int(over.sum()), 'wish', 'wishes')} ended by {year} (row {rows}).")


def astray(features: "gpd.GeoDataFrame", stands: "gpd.GeoDataFrame", file: str) -> list[str]:
    """One remark when wishes are drawn where no stand lies: nothing is held to them there."""
    wish = features[features["kind"].isin(list(WISHES))]
    lost = wish[~wish.intersects(stands.union_all())] if len(wish) else wish
    named = [name if isinstance(name, str) else kind for name, kind in zip(lost["name"], lost["kind"], strict=True)]
    return [f"{file}: {first_of(named, 6)} lies in no stand, so nothing is held to it."] if named else []


def broken_wishes(
    maps: "Mapping[str, gpd.GeoDataFrame]", book: pd.DataFrame, as_of: date, region: Region
) -> dict[int, str]:
    """Line of the ledger -> what is to be said of it, where it notes wood felled against a wish."""
    if not len(book) or not anything_wished(maps):
        return {}
    began = winter_began(as_of)
    stands = lay_out(maps["stands"], maps["parcels"], maps["features"], region=region)
    held = wishes(stands, maps["parcels"], maps["features"], began.year)
    return {dict(one.facts)["line"]: said(one) for one in broken(book, stands, held, pd.Timestamp(began))}


def anything_wished(maps: Mapping[str, pd.DataFrame]) -> bool:
    """Whether anything is wished at all; a place without wishes is not measured for them."""
    words = any(maps[table]["wish"].notna().any() for table in ("parcels", "stands"))
    return bool(words or maps["features"]["kind"].isin(list(WISHES)).any())

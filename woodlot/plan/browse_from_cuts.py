"""What deer find to eat on the ground they use, from everything the place holds: stands, cuts, land cover, schedule.

feeding     the food of the range by winter
coming_food what the coming cuts add
food_later  what the stands feed over the years of a schedule
past_cuts   the ledger's dated cuts -> acres opened, years ago, kind of cut
planned     entries of the schedule -> acres, the fall of their winter, kind of cut
"""

from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd

from woodlot import ledger as book_lines
from woodlot.covers import rows_of
from woodlot.deer import forage
from woodlot.deer.answer import Coming, Food, Words
from woodlot.deer.bag import fall_of
from woodlot.deer.defaults import default
from woodlot.deer.food import browse
from woodlot.errors import InputError
from woodlot.estimate import Estimate, reason
from woodlot.plan.done import is_dead
from woodlot.region import Region
from woodlot.trade import CUT_OF_WAY, FELLED_KINDS, NO_COVER

__all__ = ["coming_food", "feeding", "food_later", "past_cuts", "planned"]

#: Winters ahead for which it is said what planned cuts add.
AHEAD = 10
CUT = ["stand_id", "acres", "years", "kind"]


def feeding(
    parcels,
    stands,
    ledger: pd.DataFrame | None,
    winter_deer: Estimate,
    home_range_ac: float | None,
    land_cover: str | Path | None,
    codes: pd.DataFrame | None,
    as_of: date,
    region: Region,
) -> Food[Estimate, Words] | None:
    """Food of the range: the family's stands with the years since their cuts, the rest by land cover.

    Stands whose cover is not known belong to the rest.

    Parameters: parcels, stands, geo frames in degrees; ledger; winter_deer [deer a square mile]; home_range_ac of a
    doe (None: the default); land_cover, a raster file with its table of codes. Returns None where neither stands
    nor raster exist.
    """
    from woodlot.deer.range import range_outline
    from woodlot.land.parcels import acres_geodesic

    known = _stands(stands)
    past = past_cuts(ledger, known, as_of, region)
    has_cover = (known["cover"] != NO_COVER).to_numpy()
    own = browse(forage.own_pieces(known[has_cover], past, region=region), region)
    home = default("home_range_doe", region) if home_range_ac is None else float(home_range_ac)
    rest_of = range_outline(parcels.geometry, home, stands[has_cover] if has_cover.any() else None)
    shown: float | None = None
    rest, more = None, []
    if land_cover is not None:
        try:
            rest, shown = forage.around(rest_of, land_cover, codes, region=region)
        except InputError as why:
            more.append(reason("raster not used", why=str(why)))
    if rest is None:
        if not own["acres"].sum() > 0:
            return None
        rest = forage.as_own(own[forage.PIECE], float(np.sum(acres_geodesic(rest_of.geometry))), region)
    if not has_cover.all():
        more.append(reason("cover not known"))
    return forage.whole_range(own, rest, winter_deer, shown, region, past=past, more=more)


def coming_food(
    stands, ledger: pd.DataFrame | None, coming: pd.DataFrame, as_of: date, region: Region
) -> Coming[Estimate, Words]:
    """What the cuts of `planned` add to eat, winter by winter (`forage.coming`); the other arguments as `feeding`."""
    known, began = _stands(stands), fall_of(as_of)
    past = past_cuts(ledger, known, as_of, region)
    return forage.coming(known, past, coming, range(began, began + AHEAD + 1), region)


def food_later(
    stands, ledger: pd.DataFrame | None, coming: pd.DataFrame, as_of: date, years: int, region: Region
) -> Estimate | None:
    """Deer that the stands of a known cover feed in an average winter, the mean of so many winters, or None."""
    known, began = _stands(stands), fall_of(as_of)
    known = known[known["cover"] != NO_COVER]
    if not len(known):
        return None
    past = past_cuts(ledger, known, as_of, region)
    return forage.fed_on_stands(known, past, coming, range(began + 1, began + years + 1), region)


def _stands(stands) -> pd.DataFrame:
    """Stands as `forage` wants them; empty without any."""
    if stands is None or len(stands) == 0:
        return pd.DataFrame({"stand_id": [], "cover": [], "acres": [], "age_yr": []}).astype({"acres": float})
    from woodlot.land.parcels import acres_once

    age = stands["age_yr"].to_numpy(dtype=float) if "age_yr" in stands else np.nan
    known = pd.DataFrame({"stand_id": stands["stand_id"].astype(str), "cover": stands["cover"]}).assign(age_yr=age)
    return known.assign(acres=acres_once(stands.geometry)).reset_index(drop=True)


def past_cuts(ledger: pd.DataFrame | None, stands: pd.DataFrame, as_of: date, region: Region) -> pd.DataFrame:
    """Acres opened by the cuts the ledger holds: stand_id, acres, years (winters since), kind.

    Lines of firewood and sawlogs with a stand and an amount count; dead trees open nothing. Acres are the wood over
    what such a cut takes from an acre (defaults_deer.csv); a cover for which only clearcuts have figures (aspen) was
    cut in patches, every other one thinned.
    """
    empty = pd.DataFrame({c: [] for c in CUT}).astype({"acres": float, "years": int})
    if ledger is None or len(ledger) == 0 or "stand_id" not in ledger:
        return empty
    lines = book_lines.standing(ledger)
    date_of, amount = pd.to_datetime(lines["date"]), pd.to_numeric(lines["amount"], errors="coerce")
    dead = is_dead(lines)
    unit = lines["unit"].fillna("").astype(str)
    logs = unit.str.startswith("bdft")
    good = lines["kind"].isin(FELLED_KINDS) & (unit.eq("cord") | logs) & ~dead & (amount > 0)
    good &= date_of.notna() & (date_of <= pd.Timestamp(as_of)) & lines["stand_id"].isin(stands["stand_id"])
    if not good.any():
        return empty
    cords: pd.Series = amount / np.where(logs, default("cut_bdft_per_cord", region), 1.0)
    cover = lines.loc[good, "stand_id"].map(stands.set_index("stand_id")["cover"])
    cleared = np.isin(rows_of("deer_browse_production", cover, region), _only_cleared(region))
    kind = np.where(cleared, "clearcut", "selection")
    an_acre = np.where(
        kind == "clearcut", default("cut_cords_per_ac_clearcut", region), default("cut_cords_per_ac_selection", region)
    )
    began = fall_of(as_of)
    out = pd.DataFrame(
        {
            "stand_id": lines.loc[good, "stand_id"],
            "acres": (cords[good] / an_acre).astype(float),
            "years": (began - fall_of(date_of[good])).astype(int),
            "kind": kind,
        }
    )
    return out.groupby(["stand_id", "years", "kind"])["acres"].sum().reset_index()[CUT]


def planned(entries: pd.DataFrame, growing: pd.DataFrame, start: int, step: int = 1) -> pd.DataFrame:
    """Cuts of a schedule: stand_id, acres, year (fall in which the winter of the cut begins), kind.

    entries, growing: of `woodlot.plan.scheduled.Schedule`; start: the fall of its first winter; step: years in a
    period, of which the first stands for all.
    """
    if len(entries) == 0:
        return pd.DataFrame({"stand_id": [], "acres": [], "year": [], "kind": []}).astype({"year": int})
    way = growing.set_index(growing["stand_id"].astype(str))["way"]
    out = pd.DataFrame({"stand_id": entries["stand_id"].astype(str), "acres": entries["acres"].astype(float)})
    out["year"] = start + step * entries["period"].astype(int)
    out["kind"] = out["stand_id"].map(way).map(dict(CUT_OF_WAY)).fillna("selection")
    return out.reset_index(drop=True)


def _only_cleared(region: Region) -> list[str]:
    rows = region.table("deer_browse_production", rows=())
    kinds = rows.groupby("cover")["cut"].agg(set)
    return [str(cover) for cover, cuts in kinds.items() if "clearcut" in cuts and "selection" not in cuts]

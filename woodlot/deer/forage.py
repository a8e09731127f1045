"""The ground the deer use as food and cover: the family's own stands as they stand, the rest by a land cover raster.

own_pieces      stands and cuts -> pieces of one cover with years since cutting
around          land cover of the rest of the range -> pieces, and how much of it the raster shows
as_own          the same without a raster: the rest is taken to be as the family's own uncut stands
whole_range     deer that all of it feeds in a mild, average and severe winter; winter cover
coming          deer that the cuts of the schedule add, winter by winter
fed_on_stands   deer that the family's stands feed with their cuts, the mean of some winters

The family's figures replace the raster's on its own stands: what they drew, when they cut. Everything here is good to a
factor of 3; it shows where food is and what a cut adds, and sets neither a take nor the herd's ceiling.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from woodlot.covers import are
from woodlot.deer.answer import Coming, ComingWinter, Food, Winters, Words
from woodlot.deer.defaults import default
from woodlot.deer.food import browse, cover_score, fed, fed_ends
from woodlot.errors import InputError
from woodlot.estimate import Estimate, Reason, reason, scale
from woodlot.region import Region
from woodlot.trade import WINTERS
from woodlot.units import AC_PER_SQMI, HA_PER_AC, LB_PER_KG

__all__ = ["around", "as_own", "coming", "fed_on_stands", "own_pieces", "whole_range"]

PIECE = ["stand_id", "cover", "acres", "years", "kind"]
UNCUT = -1


def own_pieces(stands: pd.DataFrame, cuts: pd.DataFrame | None = None, *, region: Region) -> pd.DataFrame:
    """Stands split into what was cut and when, and the rest.

    Parameters: stands: stand_id, cover, acres, and age_yr where known (an even-aged stand that is young counts as
    cleared so many years ago); cuts: stand_id, acres, years (since cutting, 0 or more), kind ("selection" or
    "clearcut"). Returns stand_id, cover, acres, years, kind; the youngest cuts first, and never more than the stand.

    >>> s = pd.DataFrame({"stand_id": ["1"], "cover": ["oak"], "acres": [10.0]})
    >>> c = pd.DataFrame({"stand_id": ["1", "1"], "acres": [4.0, 8.0], "years": [2, 5], "kind": "selection"})
    >>> own_pieces(s, c)["acres"].tolist()
    [4.0, 6.0, 0.0]
    """
    of = stands.set_index("stand_id")
    cut = pd.DataFrame(columns=["stand_id", "acres", "years", "kind"]) if cuts is None else cuts
    none = len(cut) == 0
    cut = cut[cut["stand_id"].isin(of.index) & (cut["years"] >= 0)].sort_values(["stand_id", "years"], kind="stable")
    most = cut["stand_id"].map(of["acres"]).astype(float)
    asked = cut["acres"].astype(float).clip(lower=0.0)
    upto = np.minimum(asked.groupby(cut["stand_id"]).cumsum(), most)
    cut = cut.assign(acres=upto - np.minimum(asked.groupby(cut["stand_id"]).cumsum() - asked, most))
    cut["cover"] = cut["stand_id"].map(of["cover"])
    gone = cut.groupby("stand_id")["acres"].sum().reindex(of.index).fillna(0.0)
    age = of["age_yr"].astype(float) if "age_yr" in of else pd.Series(np.nan, of.index)
    young = age.between(0, default("young_stand_yr", region=region))
    rest = pd.DataFrame(
        {
            "stand_id": of.index,
            "cover": of["cover"].to_numpy(),
            "acres": (of["acres"].astype(float) - gone).clip(lower=0.0).to_numpy(),
            "years": age.where(young, UNCUT).astype(float).to_numpy(),
            "kind": np.where(young, "clearcut", "none"),
        }
    )
    return rest[PIECE] if none else pd.concat([cut[PIECE], rest[PIECE]], ignore_index=True)


def around(outline, raster, codes: pd.DataFrame | None = None, *, region: Region) -> tuple[pd.DataFrame, float]:
    """The rest of the range by land cover: pieces with their browse, and the percent of it that the raster shows.

    Parameters: outline of `woodlot.deer.range.range_outline`; raster, a file of land cover codes; codes, their table
    (None: the national scheme). What the raster does not show, or shows with a code that has no row, is taken to be as
    the part that it does. Raises InputError where nothing is known of the ground at all.
    """
    from woodlot.land.parcels import acres_geodesic
    from woodlot.land.raster_readings import cover_shares

    acres = float(np.sum(acres_geodesic(outline.geometry)))
    shares = cover_shares(outline, raster, codes, region=region).iloc[0]
    rows = region.table("deer_land_cover_browse")
    pct = np.array([float(shares.get(f"{group}_group_pct", 0.0)) for group in rows["group"]])
    shown = float(shares["covered_pct"]) * pct.sum() / 100.0
    if not shown > 0:
        raise InputError("the land cover raster has no code in the ground around that the table knows")
    out = _scaled(rows.rename(columns={"group": "cover"}), acres * pct / pct.sum())
    return out[out["acres"] > 0].reset_index(drop=True), float(min(shown, 100.0))


def as_own(pieces: pd.DataFrame, acres: float, region: Region) -> pd.DataFrame:
    """Ground around of so many acres that feeds, acre for acre, as the family's stands would if none had been cut."""
    uncut = browse(pieces.assign(years=UNCUT, kind="none"), region)
    uncut["acres"] *= acres / max(float(uncut["acres"].sum()), 1e-9)
    return uncut.assign(evergreen_share=are(uncut["cover"], "evergreen", region).astype(float))


def _scaled(rows: pd.DataFrame, acres: np.ndarray) -> pd.DataFrame:
    lb = LB_PER_KG * HA_PER_AC
    out = rows[["cover", "use_share", "evergreen_share", "seen"]].assign(acres=acres)
    for name, column in (("lb_per_ac", "browse_kg_per_ha"), ("low", "low"), ("high", "high")):
        out[name] = rows[column].astype(float) * lb
    return out


def whole_range(
    own: pd.DataFrame,
    rest: pd.DataFrame,
    winter_deer: Estimate,
    shown_pct: float | None,
    region: Region,
    *,
    past: pd.DataFrame | None = None,
    more: Sequence[Reason] = (),
) -> Food[Estimate, Words]:
    """Deer that the range feeds by winter, beside those that use it; the share of its food on the family's stands.

    Parameters: own of `food.browse`; rest of `around` or `as_own`; winter_deer [deer a square mile in the winter
    half]; shown_pct [percent of the rest that the raster shows; None without one]; past: cuts as of `own_pieces`; more:
    what else is to be said. Returns the food without what cuts add: mild, average, severe are deer on all of it,
    own_share_pct is of the food.
    """
    mine_evergreen = own.assign(evergreen_share=are(own["cover"], "evergreen", region).astype(float))
    both = pd.concat([mine_evergreen, rest], ignore_index=True)
    acres = float(both["acres"].sum())
    feeds, mine = ({w: fed(ground, w, region=region) for w in WINTERS} for ground in (both, own))
    rates = {w: scale(e, AC_PER_SQMI / acres, "deer a square mile") for w, e in feeds.items()}
    own_pct = {
        "acres": 100.0 * float(own["acres"].sum()) / acres,
        "food": 100.0 * (mine["average"].value or 0.0) / max(feeds["average"].value or 0.0, 1e-9),
    }
    evergreen = float((both["acres"] * both["evergreen_share"]).sum()) / acres
    cover = cover_score(evergreen, region)
    words = [
        reason("range feeds", **rates, deer=winter_deer),
        reason("no cover raster") if shown_pct is None else reason("raster shows", pct=shown_pct),
        reason("share of food", **own_pct) if len(own) else None,
        reason("evergreens", pct=100.0 * evergreen, cover=cover),
        _no_figure(own),
        *more,
    ]
    return Food(
        acres=acres,
        shown_pct=shown_pct,
        mild=feeds["mild"],
        average=feeds["average"],
        severe=feeds["severe"],
        per_sqmi=Winters(**rates),
        own=Winters(**mine),
        own_share_pct=own_pct["food"],
        own_acres_pct=own_pct["acres"],
        evergreen_pct=100.0 * evergreen,
        cover_score=cover,
        seen="memory",
        words=tuple(why for why in words if why),
        stands=_by_stand(own),
        past_words=_cut_lately(own, past),
    )


def _by_stand(own: pd.DataFrame) -> dict[str, Estimate]:
    """Winter browse of each stand in pounds an acre, low to high; its pieces by their acres."""
    rows = own[own["acres"] > 0]
    acres = rows.groupby("stand_id")["acres"].sum()
    means = {n: (rows[n] * rows["acres"]).groupby(rows["stand_id"]).sum() / acres for n in ("lb_per_ac", "low", "high")}
    bare = rows.groupby("stand_id")["no_row"].all()
    unknown = Estimate(None, "pounds an acre", why=reason("cover without a row"))
    return {
        str(stand): unknown
        if bare[stand]
        else replace(
            unknown,
            value=float(means["lb_per_ac"][stand]),
            low=float(means["low"][stand]),
            high=float(means["high"][stand]),
            kind="assumptions",
            why=reason("by cover and years"),
        )
        for stand in acres.index
    }


def _cut_lately(own: pd.DataFrame, past: pd.DataFrame | None) -> Reason:
    """Acres opened by the ledger, and stands so young that they count as cleared."""
    fresh = own[(own["kind"] != "none") & (own["acres"] > 0)]
    if fresh.empty:
        return reason("nothing cut lately")
    by_book = pd.DataFrame({"stand_id": [], "acres": []}) if past is None else past
    young = tuple(sorted(set(fresh["stand_id"]) - set(by_book["stand_id"])))
    return reason("cut lately", acres=float(by_book["acres"].sum()), young=young)


def _no_figure(own: pd.DataFrame) -> Reason | None:
    """Covers of the stands that no row speaks of."""
    covers = sorted(set(own.loc[own["no_row"], "cover"].dropna().astype(str)))
    return reason("covers without figure", covers=tuple(covers)) if covers else None


def coming(
    stands: pd.DataFrame, past: pd.DataFrame | None, planned: pd.DataFrame | None, years: Sequence[int], region: Region
) -> Coming[Estimate, Words]:
    """Deer that planned cuts add, winter by winter, to what the stands would feed without them.

    Parameters: stands, past as stands and cuts of `own_pieces`; planned: stand_id, acres, year (the fall in which the
    winter of the cut begins), kind; years: falls of the winters looked at. Both sides grow older alike.
    Returns the winters, empty where nothing is planned, and what is added in the one with most of it.
    """
    if planned is None or len(planned) == 0:
        return Coming((), None, None, 0.0, (), reason("no cut planned"))
    rows: list[ComingWinter[Estimate]] = []
    skipped: set[str] = set()
    for year, before, after in _each_winter(stands, past, planned, years, region):
        here = after["stand_id"].isin(planned["stand_id"])
        skipped |= set(after.loc[here & after["no_cut"] & (after["acres"] > 0), "cover"])
        rows.append(ComingWinter(int(year), **{w: _more(before, after, w, region) for w in WINTERS}))
    best = max(rows, key=lambda r: r.average.value or 0.0)
    acres, strange = float(planned["acres"].sum()), tuple(sorted(skipped))
    adds = {w: getattr(best, w) for w in WINTERS}
    words = reason("cuts add", year=best.year, acres=acres, covers=strange, **adds)
    return Coming(tuple(rows), best.year, Winters(**adds), acres, strange, words)


def fed_on_stands(
    stands: pd.DataFrame, past: pd.DataFrame | None, planned: pd.DataFrame, years: Sequence[int], region: Region
) -> Estimate:
    """Deer that the stands feed in an average winter with the planned cuts, the mean of the winters of some years.

    Parameters: as `coming`; planned may be empty.
    """
    aged, cuts = _by_winter(stands, past, planned, years)
    food = browse(own_pieces(aged, pd.concat(cuts), region=region), region)
    low, middle, high = (one / len(years) for one in fed_ends(food, "average", region))
    factor, why = default("food_doubt", region), reason("food from memory")
    ends = min(low, middle / factor), max(high, middle * factor)
    return Estimate(middle, "deer", *ends, kind="assumptions", n=len(stands), why=why)


def _each_winter(
    stands: pd.DataFrame, past: pd.DataFrame | None, planned: pd.DataFrame, years: Sequence[int], region: Region
) -> Iterator[tuple[int, pd.DataFrame, pd.DataFrame]]:
    """Winters with the browse of all pieces in each, without and with the planned cuts; reckoned all in one go."""
    count, ids = len(stands), pd.Index(sorted(stands["stand_id"]))
    aged, cuts = _by_winter(stands, past, planned, years)
    both = [
        browse(own_pieces(aged, pd.concat(some) if some else None, region=region), region) for some in (cuts[:-1], cuts)
    ]
    for at, year in enumerate(years):
        here = (food[food["stand_id"] // count == at] for food in both)
        before, after = (food.assign(stand_id=ids[food["stand_id"] % count]) for food in here)
        yield int(year), before, after


def _by_winter(
    stands: pd.DataFrame, past: pd.DataFrame | None, planned: pd.DataFrame, years: Sequence[int]
) -> tuple[pd.DataFrame, list[pd.DataFrame]]:
    """Stands, and past and planned cuts, once for every winter.

    A stand goes by its place in the order of names, and by another number in each winter, so that no two are mixed.
    """
    count, ids = len(stands), pd.Index(sorted(stands["stand_id"]))

    def each(frame: pd.DataFrame) -> pd.DataFrame:
        known = frame[frame["stand_id"].isin(ids)]
        out = known.take(np.tile(np.arange(len(known)), len(years)))
        winter = np.repeat(np.arange(len(years)), len(known))
        return out.assign(stand_id=winter * count + ids.get_indexer(out["stand_id"]), later=np.asarray(years)[winter])

    aged, new = each(stands), each(planned)
    if "age_yr" in aged:
        aged["age_yr"] += aged["later"] - min(years)
    cuts = [new.assign(years=new["later"] - new["year"])]
    if past is not None and len(past):
        old = each(past)
        cuts.insert(0, old.assign(years=old["years"] + old["later"] - min(years)))
    return aged, cuts


def _more(before: pd.DataFrame, after: pd.DataFrame, winter: str, region: Region) -> Estimate:
    """Deer fed after, less deer fed before: both at their low figures, their middle and their high ones."""
    low, middle, high = (b - a for a, b in zip(*(fed_ends(x, winter, region) for x in (before, after)), strict=True))
    factor = default("food_doubt", region)
    ends = (low, middle / factor, high, middle * factor)
    why = reason("food from memory")
    return Estimate(middle, "deer", min(ends), max(ends), kind="assumptions", n=len(after), why=why)

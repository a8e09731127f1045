"""Food and cover: the deer that the ground can feed through a winter, as a range, and what a cut adds.

deer_fed            acres, browse, use, intake, days -> deer
browse              pieces of ground, each of one cover with years since cutting -> browse of each, low to high
fed                 browse of pieces -> deer in a mild, average or severe winter, a range of assumptions
cover_score         winter cover on a scale of 0 to 1

All browse figures but aspen are from memory, good to a factor of 3. They rank covers and show what a cut adds; they do
not set a take. The ground the deer use, with the family's stands in it: woodlot/deer/forage.py.
"""

import numpy as np
import pandas as pd

from woodlot.covers import rows_of
from woodlot.deer.defaults import default, default_range
from woodlot.errors import InputError
from woodlot.estimate import Estimate, reason
from woodlot.region import Region, row_key
from woodlot.trade import CUTS, unknown
from woodlot.units import HA_PER_AC, LB_PER_KG

__all__ = ["browse", "cover_score", "deer_fed", "fed"]

PRODUCTION = "deer_browse_production"
#: Pounds an acre for each kilogram a hectare.
_LB_PER_AC = LB_PER_KG * HA_PER_AC


def deer_fed(acres, browse_lb_per_ac, use_share, intake_lb_per_day, days, reachable_share=1.0):
    """Deer that the browse of some covers feeds through a winter, on their reserves.

    Parameters: acres [ac], browse_lb_per_ac [dry lb/ac in winter], use_share [share that may be eaten], arrays of one
    length or numbers; intake_lb_per_day [dry lb a deer], days [d]; reachable_share [above snow, under 5 ft].
    Returns deer, a number. Raises InputError for negative input or shares over 1.

    Notes: sum of acres x browse x reachable x use, over intake x days.
    Source: form of Hobbs and Swift 1985 without the quality floor (abstract read), key hobbs_1985.
    """
    arrays = [np.asarray(x, dtype=float) for x in (acres, browse_lb_per_ac, use_share, reachable_share)]
    if any(np.any(x < 0) for x in arrays) or np.any(arrays[2] > 1) or np.any(arrays[3] > 1):
        raise InputError("acres and browse cannot be negative, shares lie between 0 and 1")
    if not (intake_lb_per_day > 0 and days > 0):
        raise InputError("intake_lb_per_day and days must be above zero")
    return float(np.sum(arrays[0] * arrays[1] * arrays[2] * arrays[3]) / (intake_lb_per_day * days))


def browse(pieces: pd.DataFrame, region: Region) -> pd.DataFrame:
    """Winter browse of pieces of ground of one cover each, dry pounds an acre: middle, low, high; use_share and mark.

    pieces: cover, acres, years (since cutting), kind ("none", "selection" or "clearcut"), and what else names them. A
    piece not cut, or whose cut is too young or too old for its row, counts as closed forest. Covers without a row feed
    none and are flagged ``no_row``; a cut of a cover without a row for cuts changes nothing and is flagged ``no_cut``.
    """
    rows = region.table(PRODUCTION, rows=())
    odd = sorted(set(pieces["kind"]) - set(CUTS))
    if odd:
        raise InputError(f"kind of cut {odd[0]!r}: {unknown(str(odd[0]), CUTS)}")
    ordered = pieces.assign(order=range(len(pieces)), row=rows_of(PRODUCTION, pieces["cover"], region))
    used = rows[rows["cover"].isin(ordered["row"])]
    region.note(PRODUCTION, [row_key(PRODUCTION, row) for row in used.to_dict("records")])
    pairs = ordered.merge(used.drop(columns=["source", "where"]).rename(columns={"cover": "row"}), on="row", how="left")
    closed = pairs["cut"].eq("none")
    same = pairs["cut"].eq(pairs["kind"]) & ~closed
    fresh = same & pairs["years"].between(pairs["years_from"], pairs["years_to"])
    pairs["rank"] = np.where(fresh, 0, np.where(closed, 1, 2))
    best = pairs.sort_values(["order", "rank"]).drop_duplicates("order")
    known = same.groupby(pairs["order"]).any().to_numpy(dtype=bool)
    best = best.assign(no_row=best["cut"].isna(), no_cut=best["kind"].ne("none").to_numpy() & ~known)
    for name, column in (("lb_per_ac", "browse_kg_per_ha"), ("low", "low"), ("high", "high")):
        best[name] = best[column].astype(float).where(best["rank"] < 2, 0.0).fillna(0.0) * _LB_PER_AC
    best["use_share"] = best["use_share"].astype(float).fillna(0.0)
    kept = [*pieces.columns, "lb_per_ac", "low", "high", "use_share", "seen", "no_row", "no_cut"]
    return best[kept].reset_index(drop=True)


def _winter(name: str, region: Region) -> tuple[float, float]:
    rows = region.table("deer_winter_food")
    rows = rows[rows["winter"] == name]
    if len(rows) != 1:
        raise InputError(f"winter must be mild, average or severe, was {name!r}")
    return float(rows["days"].iloc[0]), float(rows["reachable_share"].iloc[0])


def fed(pieces: pd.DataFrame, winter: str = "average", *, region: Region) -> Estimate:
    """Deer that pieces of ground feed through a winter: a range of assumptions, good to a factor of 3 either way.

    pieces as `browse` gives them; winter: mild, average or severe (days, and what stays above the snow). It speaks of
    these acres alone: deer feed on the ground around as well.
    """
    low, middle, high = fed_ends(pieces, winter, region)
    factor = default("food_doubt", region)
    return Estimate(
        middle, "deer", min(low, middle / factor), max(high, middle * factor), kind="assumptions", n=len(pieces),
        ground_ac=float(pieces["acres"].sum()), why=reason("food from memory"),
    )  # fmt: skip


def fed_ends(pieces: pd.DataFrame, winter: str, region: Region) -> tuple[float, float, float]:
    """Deer fed with all low browse and the largest appetite, with the middle of both, and with the other ends."""
    days, reachable = _winter(winter, region)
    least, most = default_range("intake", region)
    ends = (("low", most), ("lb_per_ac", default("intake", region)), ("high", least))
    low, middle, high = (
        deer_fed(pieces["acres"], pieces[name], pieces["use_share"], eats * LB_PER_KG, days, reachable)
        for name, eats in ends
    )
    return low, middle, high


def cover_score(conifer_share, region: Region):
    """Winter cover from 0 to 1: share of the ground in conifers over 30 ft with closed crowns, full from a tenth."""
    out = np.clip(np.asarray(conifer_share, dtype=float) / default("cover_full_share", region), 0.0, 1.0)
    return float(out) if np.ndim(out) == 0 else out

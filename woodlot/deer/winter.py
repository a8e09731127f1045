"""Winter: how hard it was, in whose points, and what it takes from the herd.

points_wisconsin        daily weather -> points by winter, Wisconsin's scale
herd_loss               share of the herd lost, from a scale's measure
points_of_loss          Wisconsin's points of a share lost
losses_by_age           that share split into fawns and grown deer
birth_share             births after such a winter, beside those after a mild one
deep_snow_weeks         weeks with snow at which deer gather in yards, from daily rows
"""

import numpy as np
import pandas as pd

from woodlot.deer.bag import fall_of
from woodlot.deer.defaults import default
from woodlot.errors import InputError
from woodlot.region import Region

__all__ = ["birth_share", "deep_snow_weeks", "herd_loss", "losses_by_age", "points_of_loss", "points_wisconsin"]


def points_wisconsin(daily: pd.DataFrame, region: Region) -> pd.DataFrame:
    """Points by winter in Wisconsin's scale: winter (the year it began), points, days, scale.

    daily: a row a day with date, least_f [F, lowest that day], snow_in [in on the ground]. 1 December to 30 April; a
    point for each day at 0 F or below, another for each day with 18 inches of snow or more. A winter with more than a
    tenth of its days missing has no points (NaN).
    Source: Wisconsin Department of Natural Resources, key wisconsin_dnr.
    """
    missing = {"date", "least_f", "snow_in"} - set(daily.columns)
    if missing:
        raise InputError(f"daily weather needs the columns date, least_f and snow_in; missing: {sorted(missing)}")
    rules = region.table("deer_winter_rules")
    rule = rules[rules["scale"] == "wisconsin"].iloc[0]
    rows = daily[daily["date"].notna() & daily["least_f"].notna() & daily["snow_in"].notna()]
    date = pd.to_datetime(rows["date"])
    inside = (date.dt.month >= int(rule["first_month"])) | (date.dt.month <= int(rule["last_month"]))
    rows, date = rows[inside], date[inside]
    if date.duplicated().any():
        raise InputError(f"two rows for {date[date.duplicated()].iloc[0]:%Y-%m-%d}; one row a day is needed")
    winter = fall_of(date)
    cold = rows["least_f"].astype(float) <= float(rule["cold_f"])
    deep = rows["snow_in"].astype(float) >= float(rule["snow_in"])
    by = (cold.astype(int) + deep.astype(int)).groupby(winter).agg(["sum", "size"])
    first, last = int(rule["first_month"]), int(rule["last_month"])
    wanted = pd.Series(
        [(pd.Timestamp(y + 1, last, 1) + pd.offsets.MonthEnd() - pd.Timestamp(y, first, 1)).days + 1 for y in by.index],
        index=by.index,
    )
    whole = by["size"] >= (1 - default("winter_days_missing", region)) * wanted
    points = by["sum"].where(whole).to_numpy(float)
    return pd.DataFrame({"winter": by.index, "points": points, "days": by["size"].to_numpy(), "scale": "wisconsin"})


def herd_loss(value, scale: str, region: Region):
    """Share of the herd that a winter of this value in a scale's measure takes; number or array.

    Notes: straight lines between the rows of deer_winter_loss.csv, flat beyond them.
    Raises InputError for a value below zero or a scale that has no rows.
    """
    curve = region.table("deer_winter_loss")
    curve = curve[curve["scale"] == scale]
    if not len(curve):
        raise InputError(f"no losses are known for the winter scale {scale!r}")
    if np.any(np.asarray(value, dtype=float) < 0):
        raise InputError(f"winter points cannot be negative, was {value!r}")
    out = np.interp(value, curve["value"].to_numpy(float), curve["herd_loss"].to_numpy(float))
    return float(out) if np.ndim(value) == 0 else out


def points_of_loss(loss, region: Region):
    """Wisconsin's points of a winter that takes this share of the herd: .08 -> 68, .12 -> 88, .30 -> 175."""
    curve = region.table("deer_winter_loss")
    curve = curve[curve["scale"] == "wisconsin"]
    out = np.interp(loss, curve["herd_loss"].to_numpy(float), curve["value"].to_numpy(float))
    return float(out) if np.ndim(loss) == 0 else out


def losses_by_age(herd_loss, region: Region):
    """Share of fawns and share of grown deer lost, from the share of the whole herd lost: (fawns, grown)."""
    fawns = np.minimum(default("winter_fawn_loss_cap", region), default("winter_fawn_loss_ratio", region) * herd_loss)
    return fawns, default("winter_adult_loss_ratio", region) * herd_loss


def birth_share(points, region: Region):
    """Births after a winter of these points as a share of those after a mild one (1 down to 0.8)."""
    start, full = default("birth_loss_from_points", region), default("birth_loss_full_points", region)
    return 1.0 - default("birth_loss_hard_winter", region) * np.clip((points - start) / (full - start), 0.0, 1.0)


def deep_snow_weeks(daily: pd.DataFrame, region: Region) -> pd.Series:
    """Weeks of snow at yarding depth by winter (the year in which it began), from rows of date and snow_in."""
    if daily is None or len(daily) == 0 or "snow_in" not in daily or "date" not in daily:
        return pd.Series(dtype=float)
    rows = daily[daily["snow_in"].notna() & daily["date"].notna()]
    date = pd.to_datetime(rows["date"])
    winter = fall_of(date)
    deep = rows["snow_in"].astype(float) >= default("deep_snow_yard", region)
    return deep.groupby(winter.to_numpy()).sum() / 7.0

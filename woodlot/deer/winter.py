"""Winter: how hard it was, and what it takes from the herd.

herd_loss_wisconsin     share of the herd lost, from points in Wisconsin's scale
losses_by_age           that share split into fawns and grown deer
birth_share             births after such a winter, beside those after a mild one
deep_snow_weeks         weeks with snow at which deer gather in yards, from daily rows
"""

import numpy as np
import pandas as pd

from woodlot.deer.defaults import default
from woodlot.errors import InputError
from woodlot.tables import table

__all__ = ["birth_share", "deep_snow_weeks", "herd_loss_wisconsin", "losses_by_age"]


def herd_loss_wisconsin(points, region: str = "base"):
    """Share of the herd that a winter of these points (Wisconsin's scale) takes; number or array.

    Notes: straight lines between the rows of deer_winter_loss.csv, flat beyond the last one (150 points).
    Raises InputError for points below zero.
    """
    curve = table("deer_winter_loss", of=region)
    if np.any(np.asarray(points, dtype=float) < 0):
        raise InputError(f"winter points cannot be negative, was {points!r}")
    out = np.interp(points, curve["points_wisconsin"].to_numpy(float), curve["herd_loss"].to_numpy(float))
    return float(out) if np.ndim(points) == 0 else out


def losses_by_age(herd_loss, region: str = "base"):
    """Share of fawns and share of grown deer lost, from the share of the whole herd lost: (fawns, grown)."""
    fawns = np.minimum(default("winter_fawn_loss_cap", region), default("winter_fawn_loss_ratio", region) * herd_loss)
    return fawns, default("winter_adult_loss_ratio", region) * herd_loss


def birth_share(points, region: str = "base"):
    """Births after a winter of these points as a share of those after a mild one (1 down to 0.8)."""
    start, full = default("birth_loss_from_points", region), default("birth_loss_full_points", region)
    return 1.0 - default("birth_loss_hard_winter", region) * np.clip((points - start) / (full - start), 0.0, 1.0)


def deep_snow_weeks(daily: pd.DataFrame, region: str = "base") -> pd.Series:
    """Weeks of snow at yarding depth by winter (the year in which it began), from rows of date and snow_in."""
    if daily is None or len(daily) == 0 or "snow_in" not in daily or "date" not in daily:
        return pd.Series(dtype=float)
    rows = daily[daily["snow_in"].notna() & daily["date"].notna()]
    date = pd.to_datetime(rows["date"])
    winter = date.dt.year - (date.dt.month < 7).astype(int)
    deep = rows["snow_in"].astype(float) >= default("deep_snow_yard", region)
    return deep.groupby(winter.to_numpy()).sum() / 7.0

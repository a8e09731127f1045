"""Pellet groups on small plots in spring -> deer per square mile in the winter half.

deer_per_sqmi_pellets   the formula, numbers or arrays
pellets                 a survey (a row a plot) -> Estimate, lines as the sample where plots lie on lines
upper_per_sqmi          the most there may be when few or no groups were found
days_since_leaf_off     days a plot gathered groups
samples                 groups and acre-days by line or plot
acre_weights            what each plot counts, so that parcels count by their acres and not by their plots

The answer is the mean use of that ground over the winter half, after the hunt: deer-days divided by days. It is not a
count of deer that live there. In or beside a winter yard it speaks of deer gathered from miles around.
"""

from collections.abc import Mapping
from math import sqrt

import numpy as np
import pandas as pd

from woodlot.deer.defaults import default
from woodlot.errors import InputError
from woodlot.estimate import LEVEL, Estimate, interval, reason, without_range
from woodlot.region import Region
from woodlot.units import AC_PER_SQMI, SQFT_PER_AC

__all__ = [
    "acre_weights",
    "days_since_leaf_off",
    "deer_per_sqmi_pellets",
    "pellets",
    "plot_ac",
    "samples",
    "upper_per_sqmi",
]

UNIT = "deer a square mile"


def plot_ac(plot_radius_ft):
    """Acres of a round plot of this radius, feet (4 ft: 1/866.6 acre)."""
    return np.pi * plot_radius_ft**2 / SQFT_PER_AC


def deer_per_sqmi_pellets(groups, plots, plot_radius_ft, days, groups_per_deer_per_day):
    """Deer per square mile over the winter half, from pellet groups counted on round plots.

    Parameters: groups [number on all plots together], plots [number, empty ones too], plot_radius_ft [ft], days [d,
    leaf-off to the middle of the count], groups_per_deer_per_day [groups/deer/d]; numbers or arrays.
    Returns deer per square mile, like the inputs. Raises InputError when anything but ``groups`` is not above zero.

    Notes: D = m / (a T r), m the mean groups on a plot, a its acres, T days, r the daily rate; times 640.

    >>> round(deer_per_sqmi_pellets(40, 200, 4, 183, 25), 1)
    24.2

    Source: form of Ryel 1971 (Michigan State University thesis), key ryel_1971.
    """
    for name, x in (
        ("plots", plots),
        ("plot_radius_ft", plot_radius_ft),
        ("days", days),
        ("groups_per_deer_per_day", groups_per_deer_per_day),
    ):
        if not np.all(np.asarray(x, dtype=float) > 0):
            raise InputError(f"{name} must be above zero, was {x!r}")
    if np.any(np.asarray(groups, dtype=float) < 0):
        raise InputError(f"groups cannot be negative, was {groups!r}")
    return groups / plots / (plot_ac(plot_radius_ft) * days * groups_per_deer_per_day) * AC_PER_SQMI


def upper_per_sqmi(groups, plots, plot_radius_ft, days, region: Region):
    """The most deer per square mile there may be, 19 chances in 20, when few or no groups were found.

    Parameters as in `deer_per_sqmi_pellets`; the daily rate is the low one of penned deer, the clumping k of the table.
    Notes: the limit m that leaves odds of 5 in 100 for finding so few on n plots of negative binomial counts; with no
    group at all it is k (.05^(-1/(k n)) - 1).
    """
    from scipy.special import betaincinv

    k = default("pellet_clumping_k", region)
    p = betaincinv(
        k * np.asarray(plots, dtype=float), np.asarray(groups, dtype=float) + 1.0, default("pellet_upper_odds", region)
    )
    mean = k * (1.0 - p) / p
    out = deer_per_sqmi_pellets(mean * plots, plots, plot_radius_ft, days, default("pellet_rate_none_found", region))
    return float(out) if np.ndim(out) == 0 else out


def days_since_leaf_off(date, leaf_off):
    """Days from the last leaf-off before each date; ``leaf_off`` is any date whose month and day count."""
    date = pd.to_datetime(pd.Series(date)).dt.normalize()
    fall = pd.Timestamp(leaf_off)
    this = pd.to_datetime({"year": date.dt.year, "month": fall.month, "day": min(fall.day, 28)})
    last = pd.to_datetime({"year": date.dt.year - 1, "month": fall.month, "day": min(fall.day, 28)})
    return (date - this.where(this < date, last)).dt.days


def pellets(
    frame: pd.DataFrame,
    *,
    groups_per_deer_per_day: float | None = None,
    rate_cv: float | None = None,
    leaf_off=None,
    acres: Mapping[str, float] | None = None,
    region: Region,
    level: float = LEVEL,
) -> Estimate:
    """Deer per square mile with its range, from a survey: one row a plot, empty plots too.

    frame: columns groups, radius_ft, days, and line where plots lie on lines (the line is then the sample; the same
    line in several years is one sample). Plots without a line are samples of their own. Missing radius is 4 ft;
    missing days are counted from ``leaf_off``. rate_cv: relative error of the daily rate, shared by all that is
    counted with it. acres [ac] by parcel_id: the ground the lines speak for; parcels then count by their acres
    (`acre_weights`). None, or a plot without a parcel: every plot counts alike.
    Returns an Estimate: "interval" with 10 groups or more on 3 samples or more, otherwise "none" with the reason and
    with ``high`` left empty; the upper limit is in the reason and by `upper_per_sqmi`.

    Notes: groups over acre-days, sum over sum (weighted); variance between samples, never below that of chance alone
    (one group a group); log-t range with the daily rate as a shared part.
    Source: honesty_trials (coverage repeated in tests/deer/test_sign.py).
    """
    rate = default("pellet_rate", region) if groups_per_deer_per_day is None else float(groups_per_deer_per_day)
    cv = default("pellet_rate_cv", region) if rate_cv is None else float(rate_cv)
    if not rate > 0:
        raise InputError(f"groups_per_deer_per_day must be above zero, was {rate!r}")
    s = samples(frame, leaf_off, region)
    shared: Mapping[str, float] = {"pellet rate": cv} if cv else {}
    if s is None:
        return Estimate(None, UNIT, level=level, why=reason("no pellet plots"))
    groups, exposure, n, plots, days, radius, on_lines = s
    total = float(groups.sum())
    alone = total  # variance of the weighted sum when every group came alone
    weight = acre_weights(frame, acres, leaf_off, region=region)
    if weight is not None:
        groups, exposure, *_ = samples(frame, leaf_off, region, weight) or s
        alone = float((weight**2 * frame.loc[frame["groups"].notna(), "groups"].to_numpy(float)).sum())
    per = float(groups.sum()) / exposure.sum()
    sampled = float(((groups - per * exposure) ** 2).sum()) * n / max(n - 1, 1) / exposure.sum() ** 2
    se = sqrt(max(sampled, alone / exposure.sum() ** 2))
    to_deer = AC_PER_SQMI / rate
    method = f"pellet groups, {plots} plots" + (f" on {n} lines" if on_lines else "")
    out = interval(
        per * to_deer, UNIT, se=se * to_deer if total else None, df=max(n - 1, 1), n=n, shared=shared, level=level,
        method=method,
    )  # fmt: skip
    least = int(default("least_groups", region))
    if total < least:
        most = upper_per_sqmi(total, plots, radius, days, region)
        return without_range(out, reason("few groups", groups=total, plots=plots, least=least, most=most))
    if out.kind == "none":
        return without_range(out, reason("too few", of="line" if on_lines else "plot", n=n, least=3))
    return out


def acre_weights(
    frame: pd.DataFrame, acres: Mapping[str, float] | None, leaf_off=None, *, region: Region
) -> np.ndarray | None:
    """What each counted plot of a survey counts: acres of its parcel over the acre-days looked at there; mean 1.

    None where parcels cannot count by their acres: no acres given, plots without a parcel, or one parcel only.
    """
    if acres is None or frame is None or len(frame) == 0 or "parcel_id" not in frame:
        return None
    rows = frame[frame["groups"].notna()]
    speaks = rows["parcel_id"].map(dict(acres)).astype(float)
    if speaks.isna().any() or rows["parcel_id"].nunique() < 2:
        return None
    acre_days = pd.Series(_acre_days(rows, leaf_off, region), index=rows.index)
    weight = speaks / acre_days.groupby(rows["parcel_id"]).transform("sum")
    return (weight * acre_days.sum() / (weight * acre_days).sum()).to_numpy(dtype=float)


def samples(frame: pd.DataFrame, leaf_off, region: Region, weight: np.ndarray | None = None):
    """Groups and acre-days by sample, with counts; None when nothing was counted. ``weight``: of each plot."""
    if frame is None or len(frame) == 0:
        return None
    rows = frame[frame["groups"].notna()]
    if len(rows) == 0:
        return None
    groups = rows["groups"].to_numpy(float)
    if (groups < 0).any():
        raise InputError("groups cannot be negative")
    days, radius = _days(rows, leaf_off), _radius(rows, region)
    acre_days = plot_ac(radius) * days
    plot = rows["plot_id"].astype(str).to_numpy(object) if "plot_id" in rows else np.arange(len(rows)).astype(str)
    line = rows["line"].to_numpy(object) if "line" in rows else np.full(len(rows), None)
    named = ~pd.isna(line) & (line.astype(str).astype(object) != "")
    sample = np.where(named, "line " + line.astype(str).astype(object), "plot " + plot.astype(object))
    code, names = pd.factorize(sample)
    each = np.ones(len(rows)) if weight is None else weight
    by_sample = np.bincount(code, groups * each, len(names))
    exposure = np.bincount(code, acre_days * each, len(names))
    mean_days = float(days.mean())
    same_radius = sqrt(float(acre_days.mean()) / mean_days * SQFT_PER_AC / np.pi)
    return by_sample, exposure, len(names), len(rows), mean_days, same_radius, bool(named.any())


def _radius(rows: pd.DataFrame, region: Region) -> np.ndarray:
    radius = rows["radius_ft"].to_numpy(float) if "radius_ft" in rows else np.full(len(rows), np.nan)
    return np.where(np.isnan(radius), default("plot_radius", region), radius)


def _days(rows: pd.DataFrame, leaf_off) -> np.ndarray:
    days = rows["days"].to_numpy(float) if "days" in rows else np.full(len(rows), np.nan)
    if leaf_off is not None and np.isnan(days).any():
        days = np.where(np.isnan(days), days_since_leaf_off(rows["date"], leaf_off).to_numpy(float), days)
    if not np.all(days > 0):
        raise InputError("pellet plots need `days` above zero, or the date the leaves fell (leaf_off)")
    return days


def _acre_days(rows: pd.DataFrame, leaf_off, region: Region) -> np.ndarray:
    return plot_ac(_radius(rows, region)) * _days(rows, leaf_off)

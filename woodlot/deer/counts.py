"""Deer seen: cameras, hours in a stand, tracks.

CameraHerd, herd_from_cameras   bucks, does and fawns from bucks told apart and photo counts
cameras                         a season's cameras -> deer on the ground they speak of, as a range of assumptions
seen_by_fall                    fawns, does, bucks and deer an hour by fall, as the fit of the herd reads them
trend                           percent a year that the sightings rise or fall: a trend only, never a number of deer
ratios                          does per buck and fawns per doe, sum over sum

Cameras count deer that walk there sometime, not deer-equivalents. Baited and unbaited seasons are never compared.
Tracks are not proportional to deer (pens of 2, 4 and 8 deer): trend only.
"""

from math import sqrt
from typing import NamedTuple

import numpy as np
import pandas as pd

from woodlot.deer.answer import Ratios
from woodlot.deer.bag import fall_of
from woodlot.deer.defaults import default, default_range
from woodlot.errors import InputError
from woodlot.estimate import LEVEL, Estimate, reason, t_quantile
from woodlot.region import Region
from woodlot.trade import SEEN_DEER

__all__ = ["CameraHerd", "cameras", "herd_from_cameras", "ratios", "seen_by_fall", "trend"]


class CameraHerd(NamedTuple):
    """Deer on the ground that the cameras speak of; ``bucks`` are all antlered ones, spikes among them."""

    spikes: float
    bucks: float
    does: float
    fawns: float
    all: float


def herd_from_cameras(
    branch_antlered_known, photos_branch_antlered, photos_spike, photos_doe, photos_fawn, doe_correction=1.0
) -> CameraHerd:
    """Bucks, does and fawns from branch-antlered bucks told apart and photo counts, numbers or arrays.

    Parameters: branch_antlered_known [deer], photos_* [photos; each deer in each frame], doe_correction: does and fawns
    are photographed less than bucks; 1.0 takes the photos as they are, 1.9 is the most a pen trial found.
    Raises InputError without photos of branch-antlered bucks, or for negative counts.

    Notes: spikes Es = B Nsa/Nba; bucks Eb = B + Es; does Ed = Eb Nd/(Nba + Nsa); fawns Ef = Ed Nf/Nd, that is Eb
    Nf/(Nba + Nsa); does and fawns times the correction.

    >>> herd_from_cameras(9, 120, 30, 210, 105).does
    15.75

    Source: form of Jacobson and others 1997, Wildl. Soc. Bull. 25:547-556 (from memory), key jacobson_1997.
    """
    counts = (branch_antlered_known, photos_branch_antlered, photos_spike, photos_doe, photos_fawn)
    if any(np.any(np.asarray(c, dtype=float) < 0) for c in counts) or np.any(np.asarray(doe_correction) <= 0):
        raise InputError("photo counts cannot be negative and the correction must be above zero")
    if np.any(np.asarray(photos_branch_antlered, dtype=float) == 0):
        raise InputError("without a photo of a branch-antlered buck that was told apart there is no measure")
    spikes = branch_antlered_known * photos_spike / photos_branch_antlered
    bucks = branch_antlered_known + spikes
    each = bucks / (photos_branch_antlered + photos_spike) * doe_correction
    does, fawns = each * photos_doe, each * photos_fawn
    return CameraHerd(spikes, bucks, does, fawns, bucks + does + fawns)


def cameras(frame: pd.DataFrame, ground_ac: float | None = None, *, region: Region) -> Estimate:
    """Deer that walk there, from the last season of cameras: lowest to highest doe correction, no odds.

    frame: rows of method "camera" with date, bucks (spikes among them), spikes, does, fawns, bucks_known, baited.
    ground_ac: acres the deer use (see woodlot.deer.range); the number speaks of that ground, not of the parcels.
    There is no number when no camera told a branch-antlered buck apart.

    Notes: the same buck walks past several cameras, so the bucks told apart are at least those of the camera that told
    most of them, and at most the sum of all; the middle of the range is their geometric mean.
    """
    rows = frame[frame["method"].eq("camera")] if frame is not None and len(frame) else None
    if rows is None or len(rows) == 0:
        return Estimate(None, "deer", why=reason("no cameras"))
    year = pd.to_datetime(rows["date"]).dt.year
    rows = rows[year.eq(year.max()) | year.isna()]
    sums = rows[["bucks", "spikes", "does", "fawns", "bucks_known"]].astype(float).fillna(0.0).sum()
    branched = float(sums["bucks"] - sums["spikes"])
    if branched <= 0 or sums["bucks_known"] <= 0:
        return Estimate(None, "deer", why=reason("no buck told apart"))
    photos = (branched, float(sums["spikes"]), float(sums["does"]), float(sums["fawns"]))
    least, most = float(rows["bucks_known"].astype(float).max()), float(sums["bucks_known"])
    low, high = default_range("camera_doe_correction", region)
    ends = ((sqrt(least * most), default("camera_doe_correction", region)), (least, low), (most, high))
    middle, low, high = (herd_from_cameras(known, *photos, correction).all for known, correction in ends)
    bait = _at_bait(rows)
    kind = "baited" if bait.all() else "without bait" if not bait.any() else "some of them baited"
    return Estimate(
        middle, "deer", low, high, kind="assumptions", n=int(rows["station"].nunique()), ground_ac=ground_ac,
        method=f"cameras, {kind}", why=reason("does shown less", bucks=(least, most)),
    )  # fmt: skip


def seen_by_fall(frame: pd.DataFrame | None, region: Region) -> pd.DataFrame:
    """Deer seen by fall: fawns, does, camera_bucks, camera_does, sighting_deer, sighting_hours; at_bait.

    fawns, does: of cameras and sightings from August to October. camera_bucks, camera_does: of cameras until antlers
    are cast. sighting_deer in sighting_hours: of watches with their hours, of the season. What was seen at bait or a
    feeder stands in none of these; at_bait is the number of deer so left out. Rows without a day are left out too.
    """
    names = ["fawns", "does", "camera_bucks", "camera_does", "sighting_deer", "sighting_hours", "at_bait"]
    if frame is None or not len(frame):
        return pd.DataFrame(columns=names, index=pd.Index([], name="fall", dtype=int), dtype=float)
    rows = frame[frame["method"].isin(SEEN_DEER) & frame["date"].notna()]
    day = pd.to_datetime(rows["date"])
    deer = rows[["bucks", "does", "fawns", "unknown"]].astype(float).fillna(0.0)
    hours = rows["hours"].astype(float).fillna(0.0)
    bait = _at_bait(rows)
    camera = rows["method"].eq("camera")
    young, antlers = (_in_months(day, name, region) & ~bait for name in ("fawn_months", "antler_months"))
    watched = ~camera & ~bait & (hours > 0)
    all_deer = deer.sum(axis=1)
    out = {
        "fawns": deer["fawns"].where(young, 0.0),
        "does": deer["does"].where(young, 0.0),
        "camera_bucks": deer["bucks"].where(antlers & camera, 0.0),
        "camera_does": deer["does"].where(antlers & camera, 0.0),
        "sighting_deer": all_deer.where(watched, 0.0),
        "sighting_hours": hours.where(watched, 0.0),
        "at_bait": all_deer.where(bait, 0.0),
    }
    return pd.DataFrame(out).groupby(fall_of(day).rename("fall")).sum()


def _in_months(day: pd.Series, name: str, region: Region) -> pd.Series:
    first, last = region.limits("defaults_herd", name)
    return day.dt.month.between(first, last)


def _at_bait(rows: pd.DataFrame) -> pd.Series:
    """Whether there was bait or a feeder, by row."""
    return rows["baited"].fillna(False).astype(bool) if "baited" in rows else pd.Series(False, index=rows.index)


def ratios(frame: pd.DataFrame) -> Ratios:
    """Does per buck and fawns per doe over all rows, sum over sum; None where there is nothing to divide by.

    At bait cameras does per buck is a floor: does come less.
    """
    sums = frame[["bucks", "does", "fawns"]].astype(float).fillna(0.0).sum()
    return Ratios(
        float(sums["does"] / sums["bucks"]) if sums["bucks"] else None,
        float(sums["fawns"] / sums["does"]) if sums["does"] else None,
    )


def _seen(frame: pd.DataFrame, method: str) -> pd.DataFrame:
    """Watches of one method with their season; those without hours or without a day tell no deer an hour."""
    rows = frame[frame["method"].eq(method) & (frame["hours"].astype(float) > 0) & frame["date"].notna()]
    deer = rows[["bucks", "does", "fawns", "unknown"]].astype(float).fillna(0.0).sum(axis=1)
    bait = _at_bait(rows)
    season = fall_of(pd.to_datetime(rows["date"]))
    return pd.DataFrame({"year": season, "deer": deer, "hours": rows["hours"].astype(float), "baited": bait})


def trend(frame: pd.DataFrame, method: str = "sighting", level: float = LEVEL) -> Estimate:
    """Percent a year that deer seen an hour rise (or fall, below zero); "none" under three seasons.

    Only unbaited seasons, or only baited ones where all are; outings are the sample within a season.

    Notes: straight line through the logs of the yearly rates (half a deer added), each weighted by its variance, the
    larger of chance and outings; the wider of the limits from the outings and from the years' scatter about the line.
    """
    rows = _seen(frame, method) if frame is not None and len(frame) else pd.DataFrame({"year": [], "baited": []})
    if len(rows) and rows["baited"].any() and not rows["baited"].all():
        rows = rows[~rows["baited"]]
    years = sorted(int(y) for y in rows["year"].unique())
    if len(years) < 3:
        return Estimate(None, "percent a year", level=level, n=len(years), why=reason("few seasons", n=len(years)))
    by = rows.groupby("year")
    deer, hours, n = by["deer"].sum(), by["hours"].sum(), by.size()
    rate = (deer + 0.5) / hours
    expected = rows["hours"] * rows["year"].map(rate)
    between = ((rows["deer"] - expected) ** 2).groupby(rows["year"]).sum() * n / (n - 1).clip(lower=1)
    variance = np.maximum(between, deer + 0.5) / (deer + 0.5) ** 2
    weight = (1 / variance).to_numpy()
    x, y = np.array(years, dtype=float), np.log(rate.to_numpy())
    middle = np.average(x, weights=weight)
    spread = (weight * (x - middle) ** 2).sum()
    slope = (weight * (x - middle) * y).sum() / spread
    left = y - np.average(y, weights=weight) - slope * (x - middle)
    scatter = float((weight * left**2).sum() / (len(years) - 2))
    known = t_quantile(level, max(len(rows) - len(years), 1))
    half = max(known, t_quantile(level, len(years) - 2) * sqrt(scatter)) / sqrt(spread)
    return Estimate(
        100 * float(np.expm1(slope)), "percent a year", 100 * float(np.expm1(slope - half)),
        100 * float(np.expm1(slope + half)), level, "interval", df=len(years) - 2, n=len(years),
        why=reason("trend only"),
    )  # fmt: skip

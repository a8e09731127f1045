"""What the family's counts say, season by season: the winter herd, the fall herd, and whether the index is low.

Ground, ground      acres of the parcels, acres the deer use, the share of their time
winter_points       winter -> points in Wisconsin's scale
deer_plots          pellet and browse plots together, for the map
History, history    pellet surveys of all springs -> three-year means, run forward to fall, with reasons and cautions

A season's figures use only what was counted before it. The three-year mean pools the same lines over the years, since
a line that is rich one spring is rich the next.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from woodlot.deer.answer import Spring, Words
from woodlot.deer.browse import testify
from woodlot.deer.complete import Rate, taught_rate
from woodlot.deer.defaults import default
from woodlot.deer.herd import FallHerd, fall_from_winter
from woodlot.deer.options import DeerSettings
from woodlot.deer.range import effective_acres, share_of_time_pct
from woodlot.deer.sign import UNIT, pellets
from woodlot.deer.winter import conifer_share, deep_snow_weeks, losses_by_fall, points_of_loss, yard_falls
from woodlot.estimate import Estimate, Reason, reason, scale
from woodlot.region import Region

__all__ = ["Ground", "History", "Season", "deer_plots", "ground", "history", "winter_points"]


@dataclass(frozen=True)
class Ground:
    """acres of the parcels; effective_ac used by the deer that come there; share_pct of their time on the parcels."""

    acres: float
    effective_ac: float
    share_pct: float


@dataclass(frozen=True)
class Season:
    """One season's basis: year; does_low (1.5 and up, low end) and bucks (middle) per square mile in fall; whether the
    index is under its floor; whether it fell since the season before.
    """

    year: int
    does_low: float
    bucks: float
    index_low: bool
    fell: bool


@dataclass(frozen=True)
class History:
    """winter, fall: Estimates per square mile (three-year mean); words: how many, why_not: why there is no figure;
    seasons with a basis; years: every spring counted; recent: the rows of the last three springs;
    rate: groups a deer drops in a day.
    """

    winter: Estimate
    fall: Estimate
    words: Reason
    why_not: Words | None = None
    seasons: list[Season] = field(default_factory=list)
    years: list[Spring[Estimate]] = field(default_factory=list)
    cautions: list[Reason] = field(default_factory=list)
    herd: FallHerd | None = None
    recent: pd.DataFrame | None = None
    rate: Rate | None = None


def ground(parcels, home_range_ac: float | None = None, *, region: Region) -> Ground:
    """Acres of the parcels, of the ground the deer use round them, and the share of their time in percent."""
    from woodlot.land.parcels import acres_once

    acres = float(acres_once(parcels.geometry).sum())
    home = default("home_range_doe", region) if home_range_ac is None else float(home_range_ac)
    used = max(effective_acres(parcels.geometry, home), acres)
    return Ground(acres, used, share_of_time_pct(acres, used))


def history(
    survey: pd.DataFrame | None,
    winters: pd.DataFrame | None,
    stands,
    options: DeerSettings,
    year: int,
    region: Region,
    level: float,
    acres: Mapping[str, float] | None = None,
    counts: pd.DataFrame | None = None,
) -> History:
    """All springs counted, up to the spring of ``year``, as seasons with a basis for a take.

    acres of each parcel, so that parcels count by their acres and not by the plots laid on them (the lines of a year
    are one sample). With no survey in the last three years, too few groups or a winter yard the history says why there
    is no figure. counts: complete ones among them teach the pellet rate (``deer.complete``).
    """
    rows = survey if survey is not None else pd.DataFrame(columns=["groups", "date"])
    rows = rows[rows["groups"].notna()]
    spring = pd.to_datetime(rows["date"]).dt.year.fillna(year)
    rows, spring = rows[spring <= year], spring[spring <= year]
    counted = sorted(int(y) for y in spring.dropna().unique())
    span = int(default("index_years", region))
    told = options.groups_per_deer_per_day
    how: dict[str, Any] = {
        "groups_per_deer_per_day": default("pellet_rate", region) if told is None else told,
        "leaf_off": options.leaf_off,
        "acres": acres,
        "region": region,
    }
    if not counted:
        return _nothing(reason("no count yet"), level)
    undated = rows["days"].isna() if "days" in rows else pd.Series(True, index=rows.index)
    if undated.any() and (options.leaf_off is None or rows["date"][undated].isna().any()):
        return _nothing(reason("no days"), level)
    by = {y: rows[spring == y] for y in counted}
    plain = {y: pellets(mine, level=level, **how) for y, mine in by.items()}
    known = sum(acres.values()) if acres else None
    rate = taught_rate(counts, plain, how["groups_per_deer_per_day"], known, region=region)
    if rate.learned:
        how |= {"groups_per_deer_per_day": rate.groups_per_deer_per_day, "rate_cv": rate.cv}
        plain = {y: pellets(mine, level=level, **how) for y, mine in by.items()}
    years = [Spring(y, len(by[y]), float(by[y]["groups"].sum()), plain[y]) for y in counted]
    if counted[-1] <= year - span:
        return _nothing(reason("old count", year=counted[-1]), level, years)
    recent = (spring > year - span) & (spring <= year)
    winter = pellets(rows[recent], level=level, **how)
    points = winter_points(winters, region=region)
    if yard_falls(winters, stands, options, (counted[-1] - 1, counted[-1]), region) & {counted[-1] - 1}:
        return _nothing(reason("winter yard"), level, years)
    if winter.kind != "interval":
        return _nothing(winter.why, level, years, winter)
    ahead = _ahead(points, counted[-1], options, region)
    fall = scale(winter, ahead.total, UNIT, shared={"births and deaths": ahead.cv})
    first = [y for y in counted if y > year - int(default("count_too_old_for_index", region))][:span]
    seasons = _seasons(rows, spring, counted, first, points, options, year, how, region)
    n = len([y for y in counted if y > year - span])
    return History(
        winter,
        fall,
        reason("deer over winter", deer=winter, springs=n),
        None,
        seasons,
        years,
        [*_cautions(winter, n, winters, stands, options, region), *_spoken_for(rows[recent], acres)],
        ahead,
        rows[recent],
        rate,
    )


def _seasons(rows, spring, counted, first, points, options, year, how, region: Region) -> list[Season]:
    """The basis of each season that has one since counting began, oldest first."""
    span = int(default("index_years", region))
    start = pellets(rows[spring.isin(first)], **how).value or 0.0
    odds = 1.0 - 2.0 * default("low_limit_odds", region)
    out: list[Season] = []
    before = None
    for y in range(max(counted[0], year - int(default("count_too_old_for_index", region))), year + 1):
        window = (spring > y - span) & (spring <= y)
        mean = pellets(rows[window], level=odds, **how) if window.any() else None
        if mean is None or mean.kind != "interval" or mean.value is None:
            before = None
            continue
        ahead = _ahead(points, max(c for c in counted if c <= y), options, region)
        low = scale(mean, ahead.total, UNIT, shared={"births and deaths": ahead.cv}).low or 0.0
        index_low = y >= first[-1] and mean.value < default("index_floor", region) * start
        fell = before is not None and mean.value < default("carry_drop", region) * before
        out.append(Season(y, low * ahead.does / ahead.total, mean.value * ahead.bucks, index_low, fell))
        before = mean.value
    return out


def _ahead(points: Mapping[int, float], spring: int, options: DeerSettings, region: Region) -> FallHerd:
    return fall_from_winter(
        farmland_pct=float(options.farmland_pct or 0.0),
        winter_points=points.get(spring - 1),
        does_per_buck=options.does_per_buck,
        fawns_per_doe=options.fawns_per_doe,
        buck_rate=options.buck_rate,
        region=region,
    )


def winter_points(winters: pd.DataFrame | None, *, region: Region) -> dict[int, float]:
    """Winter -> Wisconsin's points of the share of the herd that it took."""
    return {fall: points_of_loss(loss.share, region) for fall, loss in losses_by_fall(winters, region).items()}


def _nothing(
    why: Reason | None, level: float, years: list[Spring[Estimate]] | None = None, winter: Estimate | None = None
) -> History:
    empty = Estimate(None, UNIT, level=level, why=why)
    return History(winter or empty, empty, reason("no herd figure", why=why), why, years=years or [])


def _cautions(winter: Estimate, springs: int, winters, stands, options: DeerSettings, region: Region) -> list[Reason]:
    out = []
    if springs < int(default("index_years", region)):
        out.append(reason("few springs", springs=springs))
    if (winter.value or 0.0) > default("density_to_doubt", region):
        out.append(reason("many deer"))
    unknown = options.weeks_of_deep_snow is None and deep_snow_weeks(winters, region).empty
    if unknown and conifer_share(stands, region) >= default("conifer_share_yard", region):
        out.append(reason("perhaps a yard"))
    return out


def _spoken_for(rows: pd.DataFrame, acres: Mapping[str, float] | None) -> list[Reason]:
    """Which acres the plots speak for, where it is not all of them alike."""
    if not acres or len(acres) < 2:
        return []
    named = rows["parcel_id"] if "parcel_id" in rows else pd.Series(None, index=rows.index, dtype=object)
    if not named.isin(list(acres)).all():
        return [reason("plots of no parcel")]
    bare = {p: a for p, a in acres.items() if p not in set(named)}
    if not bare:
        return []
    return [reason("acres not surveyed", acres=sum(bare.values()), of=sum(acres.values()))]


def deer_plots(
    pellets: pd.DataFrame | None, browse: pd.DataFrame | None, own: Mapping[str, str] | None = None, *, region: Region
) -> list[dict]:
    """Plots of the last pellet survey with the stems counted and browsed there, of kinds that deer like or eat anyway.

    own: preference of species by the place itself. Returns dicts plot_id, line, lon, lat, groups, stems, browsed,
    browsed_pct (None where nothing was judged).
    """
    if pellets is None or len(pellets) == 0:
        return []
    rows = pellets[pd.to_datetime(pellets["date"]).dt.year == pd.to_datetime(pellets["date"]).dt.year.max()]
    out = rows[["plot_id", "line", "lon", "lat", "groups"]].copy()
    out["stems"] = out["browsed"] = out["browsed_pct"] = float("nan")
    if browse is not None and len(browse):
        last = pd.to_datetime(browse["date"]).dt.year == pd.to_datetime(browse["date"]).dt.year.max()
        bitten = browse[last & testify(browse["species"], own, region=region)]
        sums = bitten.groupby("plot_id")[["stems", "browsed"]].sum()
        out["stems"], out["browsed"] = out["plot_id"].map(sums["stems"]), out["plot_id"].map(sums["browsed"])
        out["browsed_pct"] = 100.0 * out["browsed"] / out["stems"].where(out["stems"] > 0)
    return out.astype(object).where(out.notna(), None).to_dict("records")

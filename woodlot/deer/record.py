"""Everything a family wrote down of its deer, fall by fall, as the herd is fitted to it.

Record, record     all tables of the place -> falls on record, the ground, springs counted, what is left out and why

A biologist who comes to a family wants their whole record on one sheet: who was seen and who was killed in each fall,
the winter after it, the plots of that spring. It begins where something was counted that tells how many there were.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import log, pi, sqrt
from typing import Any

import pandas as pd

from woodlot.deer.answer import Spring, Words
from woodlot.deer.bag import fall_of, killed_by_fall
from woodlot.deer.complete import Rate, counted_whole, taught_rate
from woodlot.deer.condition import condition
from woodlot.deer.counts import seen_by_fall
from woodlot.deer.defaults import default
from woodlot.deer.group import Group
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_fit import Fall, Ground
from woodlot.deer.options import DeerSettings
from woodlot.deer.range import effective_acres
from woodlot.deer.sign import pellets, samples, upper_per_sqmi
from woodlot.deer.winter import Loss, conifer_share, deep_snow_weeks, losses_by_fall, yard_falls
from woodlot.estimate import LEVEL, Estimate, Reason, reason, t_quantile, z_quantile
from woodlot.region import Region
from woodlot.units import AC_PER_SQMI, SQFT_PER_AC

__all__ = ["Record", "record"]

#: Counts of a fall that tell ratios and trends alone.
RATIOS = ("fawns", "bucks", "ages", "milk", "an_hour")


@dataclass(frozen=True)
class Record:
    """falls: oldest first, the fall ``season`` last; springs: every spring counted, as its plots alone tell it; rate:
    groups a deer drops in a day, with what complete counts teach of it; winters: those that were told, by the year
    in which they began; condition: weights and beams; why_not: why nothing sets a number.
    """

    season: int
    falls: tuple[Fall, ...]
    ground: Ground
    springs: tuple[Spring[Estimate], ...]
    cautions: tuple[Reason, ...]
    why_not: Words | None
    rate: Rate
    winters: Mapping[int, Loss] = field(default_factory=dict)
    condition: tuple[Reason, ...] = ()


def record(
    parcels,
    *,
    year: int,
    pellets: pd.DataFrame | None = None,
    counts: pd.DataFrame | None = None,
    bag: pd.DataFrame | None = None,
    ledger: pd.DataFrame | None = None,
    winters: pd.DataFrame | None = None,
    stands=None,
    options: DeerSettings,
    group: Group | None = None,
    region: Region,
    level: float = LEVEL,
) -> Record:
    """The record of a place up to the fall ``year``, before its hunt; ledger: lines that stand.

    group: neighbors who pool; then ground and kills are those of all of them, counts the family's own.

    It begins with the first fall of pellets, of a complete count or of the state's figure, with a fall since which
    the family begins anew (ledger, kind "new start") at the earliest; where the neighbors' take alone is known, with
    this fall. What was seen and killed before it says nothing of it.
    """
    acres = _parcel_acres(parcels)
    ground = _ground(parcels, group, options, region)
    own_ac = sum(acres.values()) or ground.own_ac
    since = _new_start(ledger)
    plots, dated, bare = _rows(pellets, options, year, since)
    each, alone, springs, rate = _springs(plots, dated, counts, acres, options, region, level)
    yards = {y + 1 for y in yard_falls(winters, stands, options, [*(y - 1 for y in each), year], region)} & set(each)
    fed = {y for y in each if options.feeder_since is not None and y > options.feeder_since} - yards
    used = {y: count for y, count in each.items() if y not in yards | fed}
    whole = {y: v for y, v in counted_whole(counts, own_ac, region=region).items() if since <= y < year}
    told_year = year if options.state_year is None else options.state_year
    state = {told_year: _state(options, region)} if since <= told_year <= year else {}
    first = min([*(y - 1 for y in used), *whole, *(y for y, figure in state.items() if figure), year])
    takes, ruled = _takes(options, first), options.antler_rule_since or year + 1
    killed, seen = killed_by_fall(bag, ledger, region), seen_by_fall(counts, region)
    taken = killed if group is None else group.killed_by_fall()
    losses = losses_by_fall(winters, region)
    falls = tuple(
        Fall(
            fall,
            family=_pair(taken, fall, "does", "bucks") or (0.0, 0.0),
            winter_loss=losses[fall].share if fall in losses else None,
            pellets=used.get(fall + 1),
            fawns=_pair(seen, fall, "fawns", "does"),
            bucks=_pair(seen, fall, "camera_bucks", "camera_does"),
            ages=_pair(killed, fall, "yearling_bucks", "older_bucks") if fall < ruled else None,
            milk=_pair(killed, fall, "with_milk", "without_milk"),
            an_hour=_watches(seen, fall),
            state=state.get(fall),
            complete=whole.get(fall),
            neighbors=takes.get(fall),
        )
        for fall in range(first, year + 1)
    )
    why_not = _nothing_sets(falls, yards, fed, bare, ground, region)
    cautions = (
        *([reason("no days")] if bare and why_not is None else []),
        *(reason("yard spring", spring=y) for y in sorted(yards)),
        *([reason("feeder springs")] if fed and why_not is None else []),
        *_old(falls, region),
        *([reason("at bait", deer=float(seen["at_bait"].sum()))] if len(seen) and seen["at_bait"].any() else []),
        *_spoken_for(plots[dated.isin(list(used)[-3:])], acres),
        *_doubts(alone, winters, stands, options, region),
        *_counted_before(falls[-1], options),
    )
    told_falls, fed_well = _told(falls, options, region), tuple(condition(bag, ledger, region))
    return Record(year, told_falls, ground, springs, cautions, why_not, rate, losses, fed_well)


def _pair(table: pd.DataFrame, fall: int, one: str, other: str) -> tuple[float, float] | None:
    """Two counts of a fall; None where neither has any."""
    if fall not in table.index:
        return None
    first, second = map(float, table.loc[fall, [one, other]].to_numpy(float))
    return (first, second) if first or second else None


def _watches(seen: pd.DataFrame, fall: int) -> tuple[float, float] | None:
    """Deer and hours of a fall's watches; no deer in many hours is a count too."""
    watched = _pair(seen, fall, "sighting_deer", "sighting_hours")
    return watched if watched and watched[1] else None


def _takes(options: DeerSettings, first: int) -> dict[int, tuple[float, float]]:
    """What neighbors take from a fall on, (does, bucks) a square mile; what was so before the record is its first."""
    before = [fall for fall in options.takes if fall < first]
    early = {first: options.takes[max(before)]} if before else {}
    return early | {fall: take for fall, take in options.takes.items() if fall >= first}


def _told(falls: tuple[Fall, ...], options: DeerSettings, region: Region) -> tuple[Fall, ...]:
    """With the ratios that the family wrote in the place of counts, as so many deer seen this fall."""
    n, shows = (region.figure("defaults_herd", name) for name in ("told_ratio_deer", "buck_shows"))
    last = falls[-1]
    if options.fawns_per_doe is not None and last.fawns is None:
        last = replace(last, fawns=_parted(n, options.fawns_per_doe))
    if options.does_per_buck is not None and last.bucks is None:
        last = replace(last, bucks=_parted(n, shows / options.does_per_buck))
    return (*falls[:-1], last)


def _counted_before(last: Fall, options: DeerSettings) -> tuple[Reason, ...]:
    """Ratios that the family wrote and that give way to deer seen this fall."""
    written = {"fawns_per_doe": last.fawns, "does_per_buck": last.bucks}
    return tuple(
        reason("counted before", name=name)
        for name, seen in written.items()
        if seen is not None and getattr(options, name) is not None
    )


def _parted(n: float, ratio: float) -> tuple[float, float]:
    """``n`` deer of two kinds, the first so many times the second."""
    return n * ratio / (1.0 + ratio), n / (1.0 + ratio)


def _state(options: DeerSettings, region: Region) -> tuple[float, float] | None:
    """The state's figure and its log SD, from its own limits where it has them."""
    if not options.state_per_sqmi:
        return None
    low, high = options.state_low_per_sqmi, options.state_high_per_sqmi
    least = region.figure("defaults_herd", "state_log_sd")
    sd = log(high / low) / 2.0 / z_quantile(LEVEL) if low and high else least
    return float(options.state_per_sqmi), max(sd, least)


def _nothing_sets(
    falls: tuple[Fall, ...], yards: set[int], fed: set[int], bare: bool, ground: Ground, region: Region
) -> Reason | None:
    """Why there is nothing that may set a number; None where there is."""
    least = int(region.figure("defaults_herd", "least_groups_a_spring"))
    if any(ground.kill) or any(f.state or f.complete for f in falls):
        return None
    counted = [f.pellets for f in falls if f.pellets]
    if any(count.groups >= least for count in counted):
        return None
    if counted:
        last = counted[-1]
        radius = sqrt(last.acre_days * SQFT_PER_AC / pi)
        most = upper_per_sqmi(last.groups, last.plots, radius, 1.0, region)
        told = most if most <= region.limits("defaults_herd", "kept_farm")[1] else None
        return reason("few groups", groups=last.groups, plots=last.plots, least=least, most=told)
    if yards:
        return reason("winter yard")
    if fed:
        return reason("feeder springs")
    if bare:
        return reason("no days")
    ratios = any(getattr(f, name) for f in falls for name in RATIOS)
    return reason("ratios alone") if ratios else reason("no count yet")


def _old(falls: tuple[Fall, ...], region: Region) -> list[Reason]:
    """That nothing was counted for years that tells how many there are."""
    counted = [f.year + 1 for f in falls if f.pellets or f.complete] + [f.year for f in falls if f.state]
    last = max(counted, default=falls[-1].year)
    return (
        [reason("old count", year=last)]
        if falls[-1].year - last >= region.figure("defaults_herd", "old_count_yr")
        else []
    )


def _doubts(alone: Mapping[int, Estimate], winters, stands, options: DeerSettings, region: Region) -> list[Reason]:
    out = []
    last = next((e for _, e in sorted(alone.items(), reverse=True)), None)
    if last is not None and (last.value or 0.0) > default("density_to_doubt", region):
        out.append(reason("many deer"))
    unknown = options.weeks_of_deep_snow is None and deep_snow_weeks(winters, region).empty
    if alone and unknown and conifer_share(stands, region) >= default("conifer_share_yard", region):
        out.append(reason("perhaps a yard"))
    return out


def _spoken_for(rows: pd.DataFrame, acres: Mapping[str, float]) -> list[Reason]:
    """Which acres the plots speak for, where it is not all of them alike."""
    if len(acres) < 2 or not len(rows):
        return []
    named = rows["parcel_id"] if "parcel_id" in rows else pd.Series(None, index=rows.index, dtype=object)
    if not named.isin(list(acres)).all():
        return [reason("plots of no parcel")]
    bare = {p: a for p, a in acres.items() if p not in set(named)}
    return [reason("acres not surveyed", acres=sum(bare.values()), of=sum(acres.values()))] if bare else []


def _ground(parcels, group: Group | None, options: DeerSettings, region: Region) -> Ground:
    """Acres of the parcels or of all who pool, of the ground that their deer use, and what neighbors take."""
    from woodlot.land.parcels import acres_once

    shapes = parcels.geometry if group is None else group.outline
    own = float(acres_once(shapes).sum())
    home = default("home_range_doe", region) if options.home_range_ac is None else float(options.home_range_ac)
    told = options.groups_per_deer_per_day
    return Ground(
        own_ac=own,
        range_ac=max(effective_acres(shapes, home), own),
        lost=default(f"wound_{options.weapon}", region) + default("other_unregistered", region),
        farmland_pct=float(options.farmland_pct or 0.0),
        groups_a_day=None if told is None else (told, region.figure("defaults_herd", "pellet_rate_log_sd")),
        kill=(options.neighbor_does_per_sqmi, options.neighbor_bucks_per_sqmi),
        full_herd_per_sqmi=options.full_herd_per_sqmi,
    )


def _parcel_acres(parcels) -> dict[str, float]:
    from woodlot.land.parcels import acres_once

    if "parcel_id" not in parcels:
        return {}
    each = acres_once(parcels.geometry)
    return dict(zip(parcels["parcel_id"].astype(str), [float(a) for a in each], strict=True))


def _new_start(ledger: pd.DataFrame | None) -> int:
    """The fall since which the family begins anew; 0 where it never did."""
    if ledger is None or not len(ledger):
        return 0
    rows = ledger[ledger["kind"].eq("new start") & ledger["date"].notna()]
    return int(fall_of(pd.to_datetime(rows["date"])).max()) if len(rows) else 0


def _rows(
    survey: pd.DataFrame | None, options: DeerSettings, year: int, since: int
) -> tuple[pd.DataFrame, pd.Series, bool]:
    """Counted plots with the year of their spring, and whether some cannot say for how long they gathered."""
    rows = survey if survey is not None else pd.DataFrame(columns=["groups", "date"])
    rows = rows[rows["groups"].notna()].reset_index(drop=True)
    spring = pd.to_datetime(rows["date"]).dt.year.fillna(year).astype(int)
    rows = rows[(spring <= year) & (spring > since)]
    undated = rows["days"].isna() if "days" in rows else pd.Series(True, index=rows.index)
    lost = undated & (rows["date"].isna() | (options.leaf_off is None))
    rows = rows[~lost]
    return rows, spring[rows.index], bool(lost.any())


def _springs(
    rows: pd.DataFrame,
    dated: pd.Series,
    counts: pd.DataFrame | None,
    acres: Mapping[str, float],
    options: DeerSettings,
    region: Region,
    level: float,
) -> tuple[dict[int, PelletCount], dict[int, Estimate], tuple[Spring[Estimate], ...], Rate]:
    """The plots of each spring as the fit takes them, as they alone tell it, and the rate they are read by."""
    told = options.groups_per_deer_per_day
    how: dict[str, Any] = {"leaf_off": options.leaf_off, "acres": acres or None, "region": region}
    by = {int(y): rows[dated == y] for y in sorted(dated.unique())}
    rate = default("pellet_rate", region) if told is None else float(told)
    alone = {y: pellets(mine, groups_per_deer_per_day=rate, level=level, **how) for y, mine in by.items()}
    parts = {y: samples(mine, options.leaf_off, region) for y, mine in by.items()}
    df = sum(n - 1 for _, _, n, *_ in parts.values())
    each = {y: _count(float(mine["groups"].sum()), parts[y], alone[y], rate, df) for y, mine in by.items()}
    taught = taught_rate(counts, alone, rate, sum(acres.values()) or None, region=region)
    if taught.learned:
        how |= {"groups_per_deer_per_day": taught.groups_per_deer_per_day, "rate_cv": taught.cv}
        alone = {y: pellets(mine, level=level, **how) for y, mine in by.items()}
    springs = tuple(Spring(y, len(mine), float(mine["groups"].sum()), alone[y]) for y, mine in by.items())
    return each, alone, springs, taught


def _count(groups: float, parts, told: Estimate, rate: float, df: int) -> PelletCount:
    """One spring as the fit takes it: the error of the mean between lines, a little wider where they are few.

    Parameters: groups [found]; parts: as of `sign.samples`; told: the spring by itself; df: lines less one, of all
    springs together.
    Notes: few lines tell their own spread badly, so it is wider by t over z at .90. All springs' lines count for the t:
    by each spring's own (1.8 times at three lines) a fall to a quarter said next to nothing. Springs of 100 plots on 3
    lines, simulated: of changes between three springs and a fourth the 90 percent range holds 79 to 87 in 100 without
    it, 82 to 90 with it, 92 to 97 by each spring's own t and half as wide again; of numbers 87 to 90, 88 to 90, 90
    to 91. On 10 lines 87 to 90 either way. Below three lines every plot counts as one too.
    """
    _, exposure, n, plots, *_ = parts
    acre_days = float(exposure.sum()) / plots
    value = float(told.value or 0.0)
    cv = 0.0 if not value or told.se is None else told.se / value * t_quantile(LEVEL, max(df, 1)) / z_quantile(LEVEL)
    if n < 3 and groups:
        cv = sqrt(1.0 / groups + 2.0 / plots)
    return PelletCount(groups, plots, value * rate / AC_PER_SQMI * acre_days, acre_days, cv)

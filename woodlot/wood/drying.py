"""How long firewood dries in the stack, and when it is ready.

equilibrium_by_month     moisture to which outdoor air lets wood dry, month by month
months_to_dry            months from cutting and splitting to 20 percent: quickest, at the mean pace, slowest
dry_days                 the days on which a stack comes to be dry, likewise

A month takes from the wood a share of its water over the equilibrium of that month; the share grows with the warmth of
the month and is nothing in frost. Shares were worked back from how long people say wood takes, and say so: two ends, no
odds. All moistures in here are on DRY basis unless the name says wet.
"""

import calendar
from datetime import date
from functools import cache
from math import isfinite

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region, once
from woodlot.trade import COVERINGS, unknown
from woodlot.wood.cords import equilibrium_moisture_pct, wet_to_dry_pct

__all__ = ["dry_days", "equilibrium_by_month", "months_to_dry"]

TOPIC = "defaults_drying"


@once
def equilibrium_by_month(*, region: Region) -> pd.DataFrame:
    """For each month 1 to 12 the air of the place and the moisture wood comes to in it, percent on dry basis.

    Returns month, temperature_f, humidity_pct, moisture_dry_pct, pace (drying against a month of 60 F; 0 in frost).

    Source: climate_months.csv of the region (from memory unless the place brings its own), Simpson 1998.
    """
    out = region.table("climate_months")[["month", "temperature_f", "humidity_pct"]].copy()
    out["moisture_dry_pct"] = equilibrium_moisture_pct(out["temperature_f"], out["humidity_pct"], region=region)
    frost, warm = region.figure(TOPIC, "frozen_f"), region.figure(TOPIC, "warm_f")
    out["pace"] = ((out["temperature_f"] - frost) / (warm - frost)).clip(0.0, region.figure(TOPIC, "most_pace"))
    return out.sort_values("month").reset_index(drop=True)


def _rates(species: str, *, region: Region) -> tuple[float, float]:
    rows = region.table("drying_rates").set_index("kind")
    slow = set(str(rows["species"]["slow"]).split(";"))
    dries_slow = set(region.species.members(species)) <= slow
    kind = "slow" if dries_slow else "usual" if region.species.is_hardwood(species) else "quick"
    return float(rows["rate_low_per_month"][kind]), float(rows["rate_high_per_month"][kind])


@once
def months_to_dry(
    species: str,
    month: int,
    split_in: float | None = 5.0,
    cover: str = "covered",
    start_wet_pct: float | None = None,
    target_wet_pct: float | None = None,
    *,
    region: Region,
) -> tuple[float, ...]:
    """Months until firewood is dry: quickest, at the mean pace, slowest; infinite where not in five years.

    species: name or nickname; month: 1 to 12 in which it is cut, split and stacked; split_in: thickness of the splits
    (in), None for unsplit rounds of about 5 in with their bark; cover: "covered" on top or "open"; start_wet_pct:
    moisture then (percent of all its weight; a living tree's if nobody measured); target_wet_pct: 20 if nobody says
    otherwise. The two ends are a range of assumptions without odds. Raises InputError.

    Notes: each month moisture falls towards that month's equilibrium e by the share 1 - exp(-r pace), r from
    drying_rates.csv, less for thick splits ((5 / thickness)^1.3), rounds (0.3) and open stacks (0.6).

    Example: sugar maple split in April and covered: 4 to 13 months. Source: drying_rates.csv (derived).
    """
    name = region.species.name(species)
    if month not in range(1, 13):
        raise InputError(f"a month is 1 to 12, not {month!r}")
    if cover not in COVERINGS:
        raise InputError(f"stack {cover!r}: {unknown(cover, COVERINGS)}")
    if split_in is not None and not 1.0 <= split_in <= 20.0:
        raise InputError(f"splits are 1 to 20 in thick, not {split_in!r}")
    if start_wet_pct is None:
        start = region.species.wood_property(name, "green_moisture_dry_pct")
    else:
        start = wet_to_dry_pct(start_wet_pct)
    goal = wet_to_dry_pct(region.figure(TOPIC, "target_wet_pct") if target_wet_pct is None else target_wet_pct)
    if split_in is None:
        pace = region.figure(TOPIC, "round_pace")
    else:
        pace = (region.figure(TOPIC, "split_in") / split_in) ** region.figure(TOPIC, "size_power")
    pace *= 1.0 if cover == "covered" else region.figure(TOPIC, "open_pace")
    slow, quick = (rate * pace for rate in _rates(name, region=region))
    return tuple(_months(float(start), float(goal), month, rate, region) for rate in (quick, (quick + slow) / 2, slow))


def _months(start: float, goal: float, month: int, rate: float, region: Region) -> float:
    """Months from the start of a month until moisture is at the goal, part of the last month counted."""
    air = equilibrium_by_month(region=region)
    ends, paces = air["moisture_dry_pct"].to_numpy(), air["pace"].to_numpy()
    now = start
    for gone in range(int(region.figure(TOPIC, "longest_months"))):
        if now <= goal:
            return float(gone)
        at = (month - 1 + gone) % 12
        end, power = float(ends[at]), rate * float(paces[at])
        then = end + (now - end) * np.exp(-power)
        if then > now:
            continue
        if then <= goal and power > 0:
            return gone + float(np.log((now - end) / (goal - end)) / power)
        now = then
    return float("inf")


def dry_days(split_on: date, months: tuple[float, ...]) -> tuple[date | None, ...]:
    """Days on which wood split on a day comes to be dry: quickest, at the mean pace, slowest; None: not in five years.

    split_on: day it was split and stacked; months: ``months_to_dry`` from its month on.
    """
    started = (split_on.day - 1) / _days_of(split_on.year, split_on.month)
    return tuple(_after(split_on, one, started) for one in months)


@cache
def _days_of(year: int, month: int) -> int:
    return calendar.monthrange(year, month)[1]


def _after(day: date, months: float, started: float) -> date | None:
    if not isfinite(months):
        return None
    whole = day.month - 1 + int(started + months)
    year, month = day.year + whole // 12, whole % 12 + 1
    days = _days_of(year, month)
    return max(date(year, month, min(int(((started + months) % 1.0) * days) + 1, days)), day)

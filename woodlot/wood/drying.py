"""Firewood in the stack: how long it dries, when it is ready, what is under the roof.

equilibrium_by_month     moisture to which outdoor air lets wood dry, month by month
months_to_dry            months from cutting and splitting to 20 percent, quickest and slowest
ready_about              the days between which a stack comes to be dry
stacks                   stacks written in the ledger, each with its days
on_hand                  cords that are dry, may be dry, and are not

A month takes from the wood a share of its water over the equilibrium of that month; the share grows with the warmth of
the month and is nothing in frost. Shares were worked back from how long people say wood takes, and say so: two ends, no
odds. All moistures in here are on DRY basis unless the name says wet.
"""

import calendar
import re
from datetime import date
from functools import cache
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.tables import table
from woodlot.tree.inputs import default
from woodlot.tree.species import all_species, is_hardwood, species_name, wood_property
from woodlot.wood.cords import equilibrium_moisture_pct, wet_to_dry_pct

__all__ = ["equilibrium_by_month", "months_to_dry", "on_hand", "ready_about", "stacks"]

COVERS = ("covered", "open")
TOPIC = "defaults_drying"
_DAY = r"(\d{4}-\d{2}-\d{2})"


@cache
def equilibrium_by_month(region: str = "base") -> pd.DataFrame:
    """For each month 1 to 12 the air of the place and the moisture wood comes to in it, percent on dry basis.

    Returns month, temperature_f, humidity_pct, moisture_dry_pct, pace (drying against a month of 60 F; 0 in frost).

    Source: climate_months.csv of the region (from memory unless the place brings its own), Simpson 1998.
    """
    out = table("climate_months", of=region)[["month", "temperature_f", "humidity_pct"]].copy()
    out["moisture_dry_pct"] = np.asarray(equilibrium_moisture_pct(out["temperature_f"], out["humidity_pct"]))
    frost, warm = default("frozen_f", TOPIC), default("warm_f", TOPIC)
    out["pace"] = ((out["temperature_f"] - frost) / (warm - frost)).clip(0.0, default("most_pace", TOPIC))
    return out.sort_values("month").reset_index(drop=True)


def _rates(species: str) -> tuple[float, float]:
    rows = table("drying_rates").set_index("kind")
    slow = set(str(rows["species"]["slow"]).split(";"))
    kind = "slow" if species in slow else "usual" if is_hardwood(species) else "quick"
    return float(rows["rate_low_per_month"][kind]), float(rows["rate_high_per_month"][kind])


def months_to_dry(
    species: str,
    month: int,
    *,
    split_in: float | None = 5.0,
    cover: str = "covered",
    start_wet_pct: float | None = None,
    target_wet_pct: float | None = None,
    region: str = "base",
) -> tuple[float, float]:
    """Months until firewood is dry, quickest and slowest; infinite where it does not get there in five years.

    species: name or nickname; month: 1 to 12 in which it is cut, split and stacked; split_in: thickness of the splits
    (in), None for unsplit rounds of about 5 in with their bark; cover: "covered" on top or "open"; start_wet_pct:
    moisture then (percent of all its weight; a living tree's if nobody measured); target_wet_pct: 20 if nobody says
    otherwise. Returns two numbers, a range of assumptions without odds. Raises InputError.

    Notes: each month moisture falls towards that month's equilibrium e by the share 1 - exp(-r pace), r from
    drying_rates.csv, less for thick splits ((5 / thickness)^1.3), rounds (0.3) and open stacks (0.6).

    Example: sugar maple split in April and covered: 4 to 13 months. Source: drying_rates.csv (derived).
    """
    name = species_name(species)
    if month not in range(1, 13):
        raise InputError(f"a month is 1 to 12, not {month!r}")
    if cover not in COVERS:
        raise InputError(f'cover must be "covered" or "open", not {cover!r}')
    if split_in is not None and not 1.0 <= split_in <= 20.0:
        raise InputError(f"splits are 1 to 20 in thick, not {split_in!r}")
    start = wood_property(name, "green_moisture_dry_pct") if start_wet_pct is None else wet_to_dry_pct(start_wet_pct)
    goal = wet_to_dry_pct(default("target_wet_pct", TOPIC) if target_wet_pct is None else target_wet_pct)
    pace = (
        default("round_pace", TOPIC)
        if split_in is None
        else (default("split_in", TOPIC) / split_in) ** default("size_power", TOPIC)
    )
    pace *= 1.0 if cover == "covered" else default("open_pace", TOPIC)
    slow, quick = _rates(name)
    return _months(float(start), float(goal), month, quick * pace, region), _months(
        float(start), float(goal), month, slow * pace, region
    )


def _months(start: float, goal: float, month: int, rate: float, region: str) -> float:
    """Months from the start of a month until moisture is at the goal, part of the last month counted."""
    air = equilibrium_by_month(region)
    ends, paces = air["moisture_dry_pct"].to_numpy(), air["pace"].to_numpy()
    now = start
    for gone in range(int(default("longest_months", TOPIC))):
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


def ready_about(split_on: date, species: str, **how: Any) -> tuple[date | None, date | None]:
    """Days between which wood split on a day comes to be dry; None for not in five years.

    split_on: day it was split and stacked; species and the rest as for ``months_to_dry``.
    """
    started = (split_on.day - 1) / calendar.monthrange(split_on.year, split_on.month)[1]
    low, high = months_to_dry(species, split_on.month, **how)
    return _after(split_on, low, started), _after(split_on, high, started)


def _after(day: date, months: float, started: float) -> date | None:
    if not np.isfinite(months):
        return None
    whole = day.month - 1 + int(started + months)
    year, month = day.year + whole // 12, whole % 12 + 1
    days = calendar.monthrange(year, month)[1]
    return max(date(year, month, min(int(((started + months) % 1.0) * days) + 1, days)), day)


def stacks(ledger: pd.DataFrame, as_of: date, region: str = "base") -> pd.DataFrame:
    """Stacks written in the ledger: lines of kind "stack", cords, with words like

    ``sugar maple, cut 2026-02-10, split 2026-04-05, covered``: the wood first, then what is known of cut, split,
    covered or open, or "rounds" for wood that was not split. ledger: standing lines (``plan.ledger.standing``).

    Returns line, date, parcel_id, species ("" where the words name none), cords, cut_on, split_on, cover, ready_from,
    ready_by (NaT: not in five years, or not split yet), state: "dry", "may be dry" or "not dry".
    """
    rows = ledger[ledger["kind"] == "stack"].copy()
    words = rows["text"].fillna("").astype(str)
    out = pd.DataFrame(
        {
            "line": rows["line"].astype("int64"),
            "date": pd.to_datetime(rows["date"]),
            "parcel_id": rows["parcel_id"],
            "species": words.map(_wood_named),
            "cords": rows["amount"].astype(float),
            "cut_on": pd.to_datetime(words.str.extract(rf"\bcut {_DAY}")[0], errors="coerce"),
            "split_on": pd.to_datetime(words.str.extract(rf"\bsplit {_DAY}")[0], errors="coerce"),
            "cover": np.where(words.str.contains(r"\bopen\b|\buncovered\b"), "open", "covered"),
        }
    )
    rounds = words.str.contains(r"\brounds?\b").to_numpy()
    out["split_on"] = out["split_on"].where(~rounds, out["cut_on"]).fillna(out["date"])
    days = [
        _ready(day, name or "sugar maple", cover, whole, region)
        for day, name, cover, whole in zip(out["split_on"], out["species"], out["cover"], rounds.tolist(), strict=True)
    ]
    out["ready_from"] = pd.to_datetime(pd.Series([low for low, _ in days], index=out.index, dtype=object))
    out["ready_by"] = pd.to_datetime(pd.Series([high for _, high in days], index=out.index, dtype=object))
    now = pd.Timestamp(as_of)
    out["state"] = np.where(out["ready_by"] <= now, "dry", np.where(out["ready_from"] <= now, "may be dry", "not dry"))
    return out.reset_index(drop=True)


def _ready(day: pd.Timestamp, name: str, cover: str, rounds: bool, region: str) -> tuple[date | None, date | None]:
    return ready_about(day.date(), name, split_in=None if rounds else 5.0, cover=cover, region=region)


def _wood_named(text: str) -> str:
    """The wood that words begin with, else the first that they hold; "" for none."""
    first = re.split(r"[,;:.]| cut | split | rounds?\b", text.strip(), maxsplit=1)[0]
    try:
        return species_name(first)
    except InputError:
        plain = text.lower()
        return next((name for name in sorted(all_species(), key=len, reverse=True) if name in plain), "")


def on_hand(ledger: pd.DataFrame, as_of: date, region: str = "base") -> dict[str, float]:
    """Cords in the stacks of the ledger by their state, what was burned since taken off the oldest: dry_cords (sure),
    may_be_dry_cords, not_dry_cords.

    Lines of kind "burned" (cords) since the first stack was written are taken first from dry stacks, then from those
    that may be.
    """
    told = stacks(ledger, as_of, region)
    sums = told.groupby("state")["cords"].sum()
    since = (ledger["kind"] == "burned") & (ledger["date"] >= told["date"].min())
    burned = float(ledger.loc[since, "amount"].sum())
    out = {}
    for state in ("dry", "may be dry", "not dry"):
        there = float(sums.get(state, 0.0))
        used = min(burned, there)
        burned -= used
        out[f"{state.replace(' ', '_')}_cords"] = there - used
    return out

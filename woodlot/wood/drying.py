"""Firewood in the stack: how long it dries, when it is ready, what is under the roof.

equilibrium_by_month     moisture to which outdoor air lets wood dry, month by month
months_to_dry            months from cutting and splitting to 20 percent: quickest, at the mean pace, slowest
ready_about              the days on which a stack comes to be dry, likewise
stacks                   wood written in the ledger as cut or stacked, each line with its days
on_hand                  cords that are dry this winter, that dry for the next, and that do not

In the ledger ``firewood`` is wood cut on a day, ``stack`` wood stacked to dry on a day, ``burned`` wood that is gone. A
stack is made of wood cut before it, so that its cords are counted once; what no line says was cut is from before the
book.

A month takes from the wood a share of its water over the equilibrium of that month; the share grows with the warmth of
the month and is nothing in frost. Shares were worked back from how long people say wood takes, and say so: two ends, no
odds. All moistures in here are on DRY basis unless the name says wet.
"""

import calendar
import re
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region, once
from woodlot.trade import COVERINGS, DRYING_KINDS, unknown
from woodlot.wood.cords import equilibrium_moisture_pct, wet_to_dry_pct

__all__ = ["OnHand", "equilibrium_by_month", "months_to_dry", "on_hand", "ready_about", "stacks"]

TOPIC = "defaults_drying"
#: Month from which wood counts for the coming winter.
WINTER_FROM = 5
_DAY = r"(\d{4}-\d{2}-\d{2})"


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


def ready_about(split_on: date, species: str, *, region: Region, **how: Any) -> tuple[date | None, ...]:
    """Days on which wood split on a day comes to be dry: quickest, at the mean pace, slowest; None: not in five years.

    split_on: day it was split and stacked; species and the rest as for ``months_to_dry``.
    """
    started = (split_on.day - 1) / calendar.monthrange(split_on.year, split_on.month)[1]
    return tuple(
        _after(split_on, months, started) for months in months_to_dry(species, split_on.month, region=region, **how)
    )


def _after(day: date, months: float, started: float) -> date | None:
    if not np.isfinite(months):
        return None
    whole = day.month - 1 + int(started + months)
    year, month = day.year + whole // 12, whole % 12 + 1
    days = calendar.monthrange(year, month)[1]
    return max(date(year, month, min(int(((started + months) % 1.0) * days) + 1, days)), day)


def stacks(ledger: pd.DataFrame, as_of: date, region: Region) -> pd.DataFrame:
    """Wood in the ledger until a day: lines of kind "stack", and "firewood" that was not stacked; cords, with words

    ``sugar maple, cut 2026-02-10, split 2026-04-05, covered``: the wood first, then what is known of cut, split,
    covered or open, or "rounds" for wood that was not split. ledger: standing lines (``plan.ledger.standing``).

    Returns line, date, kind, parcel_id, species ("" where the words name none), cords, cut_on, split_on, cover,
    ready_from, ready_on, ready_by (NaT: not in five years, or nobody wrote that it was stacked).

    Notes: a stack takes of the wood cut before it that of its own kind first, then the latest. Wood noted as cut only
    dries as if split and stacked that day, but never surely. Wood that is not named dries as hard maple.
    """
    wanted = ledger["kind"].isin(DRYING_KINDS) & (ledger["unit"] == "cord")
    wanted &= (pd.to_datetime(ledger["date"]) <= pd.Timestamp(as_of)) & (ledger["amount"] > 0)
    rows = ledger[wanted].sort_values(["date", "line"], kind="stable")
    words = rows["text"].fillna("").astype(str)
    out = pd.DataFrame(
        {
            "line": rows["line"].astype("int64"),
            "date": pd.to_datetime(rows["date"]),
            "kind": rows["kind"].astype(str).replace({"split": "stack"}),
            "parcel_id": rows["parcel_id"],
            "species": words.map(lambda said: _wood_named(said, region=region)),
            "cords": rows["amount"].astype(float),
            "cut_on": pd.to_datetime(words.str.extract(rf"\bcut {_DAY}")[0], errors="coerce"),
            "split_on": pd.to_datetime(words.str.extract(rf"\bsplit {_DAY}")[0], errors="coerce"),
            "cover": np.where(words.str.contains(r"\bopen\b|\buncovered\b"), "open", "covered"),
        }
    )
    stacked = (out["kind"] == "stack").to_numpy()
    rounds = words.str.contains(r"\brounds?\b").to_numpy() & stacked
    out["split_on"] = out["split_on"].where(~rounds, out["cut_on"]).fillna(out["date"])
    out["cords"], out["species"] = _once(out)
    each = zip(out["split_on"], out["species"], out["cover"], rounds.tolist(), strict=True)
    days = [_ready(day, name or "sugar maple", cover, whole, region) for day, name, cover, whole in each]
    for at, name in enumerate(("ready_from", "ready_on", "ready_by")):
        out[name] = pd.to_datetime(pd.Series([day[at] for day in days], index=out.index, dtype=object))
    out["ready_by"] = out["ready_by"].where(stacked)
    return out[out["cords"] > 0].reset_index(drop=True)


def _once(rows: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """Cords of each line without what a later line stacked, and its wood (that of what it is made of, if not named)."""
    cords, wood = rows["cords"].to_numpy(copy=True), rows["species"].to_numpy(dtype=object, copy=True)
    kind, day = rows["kind"].to_numpy(), rows["date"].to_numpy()
    for at in np.flatnonzero(kind == "stack"):
        before = np.flatnonzero((kind == "firewood") & (day <= day[at]) & (cords > 0))[::-1]
        if wood[at]:
            before = before[np.argsort(wood[before] != wood[at], kind="stable")]
        elif len(before):
            wood[at] = wood[before[0]]
        cords[before] -= _in_turn(cords[before], cords[at])
    return cords, wood


def _in_turn(there: np.ndarray, wanted: float) -> np.ndarray:
    """What is taken of each, one after the other, until so much is taken."""
    return np.clip(wanted - (np.cumsum(there) - there), 0.0, there)


def _ready(day: pd.Timestamp, name: str, cover: str, rounds: bool, region: Region) -> tuple[date | None, ...]:
    return ready_about(day.date(), name, split_in=None if rounds else 5.0, cover=cover, region=region)


def _wood_named(text: str, *, region: Region) -> str:
    """The wood that words begin with, else the first that they hold; "" for none."""
    first = re.split(r"[,;:.]|\s(?:cut|split)\s|\srounds?\b", text.strip(), maxsplit=1)[0]
    try:
        return region.species.name(first)
    except InputError:
        plain = text.lower()
        names = sorted(region.species.listed, key=len, reverse=True)
        return next((name for name in names if re.search(rf"\b{re.escape(name)}", plain)), "")


@dataclass(frozen=True, kw_only=True)
class OnHand:
    """Cords of firewood for this winter and the next.

    dry_cords: at the mean pace; dry_low_cords: at the slowest, and noted as stacked; dry_high_cords: at the quickest;
    noted_cords: of these in the ledger and not in the count; drying_cords: more that is dry when the next winter's
    fires begin; burned_cords: this winter; past_cords: taken to have been burned in winters without a note; in_count,
    cut_only, not_named: whether the ledger has wood that is taken to be in the count, that is noted as cut only, that
    is not named.
    """

    dry_cords: float
    dry_low_cords: float
    dry_high_cords: float
    noted_cords: float
    drying_cords: float
    later_cords: float
    burned_cords: float
    past_cords: float
    in_count: bool
    cut_only: bool
    not_named: bool


def on_hand(
    ledger: pd.DataFrame,
    as_of: date,
    region: Region,
    *,
    need_cords: float | None = None,
    counted_cords: float | None = None,
    counted_on: date | None = None,
    burned_cords: float = 0.0,
) -> OnHand:
    """Cords of firewood for this winter and the next.

    Parameters
    ----------
    ledger
        Standing lines.
    as_of
        The day asked; what is dry is told of it, or of the first day of the coming winter where that is later.
    region
        For the months of the air.
    need_cords
        What the house burns in a winter: a past winter without a line of kind "burned" is taken to have burned it.
    counted_cords, counted_on
        Dry wood that somebody counted, and the day; without a day it is what was dry for this winter before its first
        fire. Wood of the ledger that may have been dry by then (without a day: by now) is in it and not counted again.
    burned_cords
        Known to be burned this winter, where the ledger may say less.
    """
    stock = stacks(ledger, as_of, region)
    first = _winter_of(as_of)
    now, begin = pd.Timestamp(max(as_of, _fires_from(first, region=region))), pd.Timestamp(first, WINTER_FROM, 1)
    fires = _burned(ledger, as_of)
    noted = float(fires.loc[fires["date"] >= begin, "cords"].sum())
    more = pd.DataFrame({"date": [pd.Timestamp(as_of)], "cords": [max(burned_cords - noted, 0.0)], "noted": True})
    fires = pd.concat([fires, more], ignore_index=True)
    in_count = pd.Series(False, index=stock.index)
    if counted_cords is not None:
        in_count = stock["ready_from"] <= pd.Timestamp(counted_on or as_of)
        since = begin if counted_on is None else pd.Timestamp(counted_on)
        fires = fires[fires["date"] >= since]
        row = dict.fromkeys(("date", "ready_from", "ready_on", "ready_by"), since)
        stock = pd.concat([stock[~in_count], pd.DataFrame([row | {"cords": counted_cords}])], ignore_index=True)
    fires = pd.concat([fires, _past(fires, stock, first, need_cords, region=region)], ignore_index=True)
    left, past = _left(stock, fires)
    dry = {name: float(left[stock[name] <= now].sum()) for name in ("ready_from", "ready_on", "ready_by")}
    next_fires = pd.Timestamp(_fires_from(first + 1, region=region))
    drying = float(left[stock["ready_on"] <= next_fires].sum()) - dry["ready_on"]
    return OnHand(
        dry_cords=dry["ready_on"],
        dry_low_cords=dry["ready_by"],
        dry_high_cords=dry["ready_from"],
        noted_cords=float(left[(stock["ready_from"] <= now) & stock["line"].notna()].sum()),
        drying_cords=drying,
        later_cords=float(left.sum()) - dry["ready_on"] - drying,
        burned_cords=max(noted, burned_cords),
        past_cords=past,
        in_count=bool(in_count.any()),
        cut_only=bool(((stock["kind"] == "firewood") & (left > 0)).any()),
        not_named=bool(((stock["species"] == "") & (left > 0)).any()),
    )


def _winter_of(day: date) -> int:
    """The year in which the winter begins that a day belongs to or comes before."""
    return day.year - (day.month < WINTER_FROM)


def _fires_from(year: int, *, region: Region) -> date:
    """The day from which the fires of a winter burn."""
    return date(year, int(region.figure(TOPIC, "fires_from_month")), 1)


def _burned(ledger: pd.DataFrame, as_of: date) -> pd.DataFrame:
    """Lines of kind "burned" until a day: date, cords, noted."""
    rows = ledger[(ledger["kind"] == "burned") & (ledger["unit"] == "cord")]
    out = pd.DataFrame({"date": pd.to_datetime(rows["date"]), "cords": rows["amount"].astype(float), "noted": True})
    return out[out["date"] <= pd.Timestamp(as_of)].dropna(subset="cords")


def _past(fires: pd.DataFrame, stock: pd.DataFrame, first: int, need: float | None, *, region: Region) -> pd.DataFrame:
    """A fire of the need in every winter before this one that has wood and no note of burning."""
    known = {_winter_of(day) for day in fires["date"]}
    from_year = _winter_of(stock["date"].min()) if len(stock) and need else first
    years = [year for year in range(from_year, first) if year not in known]
    days = pd.to_datetime(pd.Series([_fires_from(year, region=region) for year in years], dtype=object))
    return pd.DataFrame({"date": days, "cords": need, "noted": False})


def _left(stock: pd.DataFrame, fires: pd.DataFrame) -> tuple[np.ndarray, float]:
    """Cords left of each line when the fires have burned, driest first; how much the fires nobody noted took.

    A fire that was noted burns whatever there is; one that was not only wood that may be dry on its day.
    """
    order = stock["ready_on"].reset_index(drop=True).sort_values(kind="stable").index.to_numpy()
    left, past = stock["cords"].to_numpy(dtype=float, copy=True), 0.0
    ready, day = stock["ready_from"].to_numpy(), stock["date"].to_numpy()
    for fire in fires.sort_values("date", kind="stable").to_dict("records"):
        there = order[(day if fire["noted"] else ready)[order] <= np.datetime64(fire["date"])]
        took = _in_turn(left[there], fire["cords"])
        left[there] -= took
        past += 0.0 if fire["noted"] else float(took.sum())
    return left, past

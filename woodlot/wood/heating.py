"""Heat a house needs, and cords that give it.

need_mmbtu_degree_days, need_mmbtu_fuel, season_cords   heat or cords of a year from three kinds of knowledge
cords_for_heat                                cords from heat, efficiency on the basis of the heat
cords_needed                                  a household's cords with their range and where they come from
burned_woods, mmbtu_per_cord, need_mmbtu      of what wood they are, heat of a cord of it, the need in heat
Household, household                          needed, dry, short, and what can be cut, together

Heat is counted from solid cubic feet by species; an efficiency goes only with heat of its own basis (gross or net).
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.estimate import Estimate, Reason, reason, scale, z_quantile
from woodlot.region import Region
from woodlot.tree.inputs import between, numbers, positive
from woodlot.wood.cords import heat_mmbtu_per_cord
from woodlot.wood.on_hand import OnHand, on_hand
from woodlot.wood.woodpile import USUAL_MIX

__all__ = [
    "Household",
    "burned_woods",
    "cords_for_heat",
    "cords_needed",
    "household",
    "mmbtu_per_cord",
    "need_mmbtu",
    "need_mmbtu_degree_days",
    "need_mmbtu_fuel",
    "season_cords",
]

TOPIC = "defaults_heating"
FUELS = {"oil_gal": "oil", "propane_gal": "propane", "electric_kwh": "electric"}
HOURS = 24.0  # in a day: definition
MILLION = 1e6


def burned_woods(names: str | None, *, region: Region) -> dict[str, float]:
    """Species -> share of the cords, even shares of the names (";" between them); the usual woods for None."""
    if not names:
        return dict(USUAL_MIX)
    each = [region.species.name(name) for name in names.split(";") if name.strip()]
    return {name: each.count(name) / len(each) for name in dict.fromkeys(each)}


def mmbtu_per_cord(wood: Mapping[str, float], solid_cuft_per_cord: float, *, region: Region) -> float:
    """Gross heat of a cord of a mix (species -> share), million Btu.

    Example: half red oak (SG .56), half red maple (.49) at 79: (23.7 + 20.8) / 2 = 22.3.
    """
    names = [region.species.name(name) for name in wood]
    heat = heat_mmbtu_per_cord(names, 20.0, solid_cuft_per_cord, "gross", region=region)
    return float(np.dot(heat, list(wood.values())) / sum(wood.values()))


def need_mmbtu(needs: Mapping[str, Any], solid_cuft_per_cord: float = 79.0, *, region: Region) -> Estimate | None:
    """Gross heat of the wood a household burns in a year, million Btu; see ``cords_needed``.

    The family's cords are those of the wood they have in mind, so what is cut for them has to give that heat whatever
    wood it is.
    """
    cords = cords_needed(needs, None, solid_cuft_per_cord, region=region)
    each = mmbtu_per_cord(burned_woods(needs.get("firewood_of"), region=region), solid_cuft_per_cord, region=region)
    return cords and scale(cords, each, "million Btu")


def need_mmbtu_degree_days(loss_btu_per_h_f: Any, degree_days_f: Any) -> Any:
    """Heat a house loses in a year, million Btu: loss x 24 x degree-days.

    loss_btu_per_h_f: heat lost for each degree between inside and out (Btu an hour a degree F); degree_days_f: heating
    degree-days, base 65 F. Too high where much heat comes from people, sun and lamps: take a lower base, or fuel bills.

    Example: 500 x 24 x 8,000 = 96.0. Source: definition.
    """
    (loss, days), back = numbers(loss_btu_per_h_f=loss_btu_per_h_f, degree_days_f=degree_days_f)
    positive(loss_btu_per_h_f=loss, degree_days_f=days)
    return back(loss * HOURS * days / MILLION)


def need_mmbtu_fuel(amount: Any, fuel: str, burner_pct: Any = None, *, region: Region) -> Any:
    """Heat that came into the house from a year's fuel, million Btu.

    amount: gallons of oil or propane, kWh, therms, tons of pellets; fuel: a row of fuels.csv; burner_pct: efficiency of
    its burner on gross heat, the usual one where nobody knows.

    Example: 700 gallons of oil x 138,500 x 0.83 = 80.5. Source: fuels.csv (energy_factors).
    """
    row = _fuel(fuel, region=region)
    share = row["burner_pct"] if burner_pct is None else burner_pct
    (much, pct), back = numbers(amount=amount, burner_pct=share)
    between("burner_pct", pct, 5.0, 120.0, "percent of gross heat")
    return back(much * row["btu_per_unit"] * pct / 100.0 / MILLION)


def _fuel(fuel: str, *, region: Region) -> dict[str, Any]:
    rows = region.records("fuels", "fuel")
    if fuel not in rows:
        raise InputError(f"there is no fuel {fuel!r}; there are {', '.join(rows)}")
    return rows[fuel]


def season_cords(burned_cord: Any, season_gone_pct: Any) -> Any:
    """Cords of a whole season from those burned in part of it, by degree-days gone; the stove's efficiency cancels.

    Example: 2.4 cords when 40 percent of the degree-days are gone make 6.0.
    """
    (burned, gone), back = numbers(burned_cord=burned_cord, season_gone_pct=season_gone_pct)
    between("season_gone_pct", gone, 1.0, 100.0, "percent of degree-days")
    return back(burned / (gone / 100.0))


def cords_for_heat(heat_mmbtu: Any, mmbtu_per_cord: Any, stove_pct: Any) -> Any:
    """Cords that bring so much heat into the house.

    heat_mmbtu: heat needed; mmbtu_per_cord: of a cord, gross or net; stove_pct: efficiency on the SAME basis.

    Example: 96.0 / (24.6 x 0.70) = 5.57 cords.
    """
    (heat, cord, pct), back = numbers(heat_mmbtu=heat_mmbtu, mmbtu_per_cord=mmbtu_per_cord, stove_pct=stove_pct)
    positive(mmbtu_per_cord=cord, stove_pct=pct)
    between("stove_pct", pct, 1.0, 120.0, "percent")
    return back(heat / (cord * pct / 100.0))


def cords_needed(
    needs: Mapping[str, Any],
    wood: Mapping[str, float] | None = None,
    solid_cuft_per_cord: float = 79.0,
    level: float = 0.9,
    *,
    region: Region,
) -> Estimate | None:
    """Full cords a household burns in a year, with a range of assumptions; None where nothing is known.

    needs: of place.toml; taken in this order: burned_cord with season_gone_pct, firewood_cord as written (its low and
    high where written), heat_mmbtu of wood, house_loss_btu_per_h_f with degree_days_f, oil_gal, propane_gal or
    electric_kwh. wood: species -> share of what will be burned (firewood_of of the needs where it is left out). The
    range holds winters, wood and stove at their ends of assumptions; it has no odds.
    """
    if needs.get("burned_cord") and needs.get("season_gone_pct"):
        value = float(season_cords(needs["burned_cord"], needs["season_gone_pct"]))
        # what is burned already is known; the rest of the season is not
        rest, spread = value - float(needs["burned_cord"]), region.figure(TOPIC, "winter_spread")
        return _need(value, value - spread * rest, value + spread * rest, level, reason("this season so far"))
    if needs.get("firewood_cord"):
        value, spread = float(needs["firewood_cord"]), region.figure(TOPIC, "winter_spread")
        low = float(needs.get("firewood_low_cord") or value * (1 - spread))
        high = float(needs.get("firewood_high_cord") or value * (1 + spread))
        return _need(value, low, high, level, reason("as written"))
    shares = wood or burned_woods(needs.get("firewood_of"), region=region)
    total, cord = sum(shares.values()), mmbtu_per_cord(shares, solid_cuft_per_cord, region=region)
    if needs.get("heat_mmbtu"):
        value, spread = float(needs["heat_mmbtu"]) / cord, region.figure(TOPIC, "winter_spread")
        return _need(value, value * (1 - spread), value * (1 + spread), level, reason("as written"))
    heat, fuels = _heat_wanted(needs, region=region)
    if heat is None:
        return None
    stove, low_pct, high_pct = _stove(needs, region=region)
    spread = (1 + region.figure(TOPIC, "winter_spread")) * (1 + region.figure(TOPIC, "heat_spread"))
    spread *= 1 + z_quantile(level) * sum(
        share / total * region.species.spread(name, "weight_spread") for name, share in shares.items()
    )
    value = float(cords_for_heat(heat, cord, stove))
    low, high = (float(cords_for_heat(heat, cord, pct)) for pct in (high_pct, low_pct))
    facts = {"mmbtu_per_cord": cord, "solid_cuft_per_cord": solid_cuft_per_cord, "stove_pct": stove}
    return _need(value, low / spread, high * spread, level, reason("from heat", known=fuels, **facts))


def _stove(needs: Mapping[str, Any], *, region: Region) -> tuple[float, float, float]:
    row = region.records("defaults_heating", "name")["stove_pct"]
    if needs.get("stove_pct"):
        mine = float(needs["stove_pct"])
        return mine, mine, mine
    return float(row["value"]), float(row["low"]), float(row["high"])


def _heat_wanted(needs: Mapping[str, Any], *, region: Region) -> tuple[float | None, tuple[str, ...]]:
    """Million Btu of a year, and the fuels it is known by (none: by the loss of the house); None where neither is."""
    if needs.get("house_loss_btu_per_h_f") and needs.get("degree_days_f"):
        return float(need_mmbtu_degree_days(needs["house_loss_btu_per_h_f"], needs["degree_days_f"])), ()
    burned = {fuel: needs[key] for key, fuel in FUELS.items() if needs.get(key)}
    heat = sum(float(need_mmbtu_fuel(amount, fuel, region=region)) for fuel, amount in burned.items())
    return heat or None, tuple(burned)


def _need(value: float, low: float, high: float, level: float, why: Reason) -> Estimate:
    return Estimate(value, "cords", min(low, value), max(high, value), level, "assumptions", why=why)


@dataclass(frozen=True, kw_only=True)
class Household(OnHand):
    """A household's heat: will it be warm this winter with dry wood, and what is to be cut for the next?

    needed: cords of a winter (None: nobody wrote it, then nobody knows short, cut_now_cords and covers_pct either);
    dry_from: who says what is dry, "place.toml" and "ledger"; dry_on: the day of the count; short: needed and not
    burned yet less what is dry; cut_now_cords: what the next winter lacks; can_cut_cords: what may be cut this winter;
    covers_pct: share of the need that it makes; needed_mmbtu, short_mmbtu: the same balance in gross heat, in which a
    cord of light wood is worth less.
    """

    needed: Estimate | None
    dry_from: tuple[str, ...]
    dry_on: date | None
    short: Estimate | None = None
    cut_now_cords: float | None = None
    can_cut_cords: float | None = None
    covers_pct: float | None = None
    needed_mmbtu: float | None = None
    short_mmbtu: float | None = None


def household(
    needs: Mapping[str, Any],
    ledger: pd.DataFrame,
    as_of: date,
    cut_cords: float | None = None,
    *,
    wood: Mapping[str, float] | None = None,
    solid_cuft_per_cord: float = 79.0,
    region: Region,
) -> Household:
    """A household's heat from its needs and ledger.

    needs: of place.toml; ledger: its standing lines; cut_cords: what may be cut this winter; the rest as for
    ``cords_needed``. dry_cord of the needs is dry wood that was counted, on dry_on or for this winter; the wood of the
    ledger adds to it what was not dry then (``on_hand``).
    """
    needed = cords_needed(needs, wood, solid_cuft_per_cord, region=region)
    counted = needs.get("dry_cord")
    there = on_hand(
        ledger,
        as_of,
        region,
        need_cords=None if needed is None else needed.value,
        counted_cords=counted,
        counted_on=needs.get("dry_on"),
        burned_cords=float(needs.get("burned_cord") or 0.0),
        solid_cuft_per_cord=solid_cuft_per_cord,
    )
    sources = {"place.toml": counted is not None and not there.count_left, "ledger": there.noted_cords > 0}
    out = Household(
        **vars(there),
        needed=needed,
        dry_from=tuple(name for name, has in sources.items() if has),
        dry_on=None if there.count_left else needs.get("dry_on") or None,
        can_cut_cords=cut_cords,
    )
    if needed is None or needed.value is None:
        return out
    value, burned, dry = needed.value, there.burned_cords, there.dry_cords
    low, high = needed.low or value, needed.high or value
    ends = (value - burned - dry, low - burned - there.dry_high_cords, high - burned - there.dry_low_cords)
    short, least, most = (max(x, 0.0) for x in ends)
    kept = max(dry - max(value - burned, 0.0), 0.0)
    heat = value * mmbtu_per_cord(
        wood or burned_woods(needs.get("firewood_of"), region=region), solid_cuft_per_cord, region=region
    )
    return replace(
        out,
        needed_mmbtu=heat,
        short_mmbtu=max(heat - there.burned_mmbtu - there.dry_mmbtu, 0.0),
        short=Estimate(short, "cords", least, most, needed.level, "assumptions", why=needed.why),
        cut_now_cords=max(value - kept - there.drying_cords, 0.0),
        covers_pct=100.0 * float(cut_cords) / value if cut_cords is not None and value > 0 else None,
    )

"""Cords, moisture and heat of firewood.

cords_from_cuft                               how much; solid feet per cord are always asked for
wet_to_dry_pct, equilibrium_moisture_pct      moisture: wet basis water / all, dry basis water / wood
dry_lb_per_cord                               weight by species
heat_mmbtu_per_cord                           heat by species, moisture and basis, million Btu

A cord used twice at two sizes is the commonest slip: go from solid cubic feet of a species straight to heat, and use
cords only to show them, with the solid feet, bark in or out, and full or face cord in the same line.
"""

from typing import Any

import numpy as np

from woodlot.errors import InputError
from woodlot.region import Region, once
from woodlot.tree.inputs import between, numbers
from woodlot.units import CUFT_PER_CORD_STACKED

__all__ = ["cords_from_cuft", "dry_lb_per_cord", "equilibrium_moisture_pct", "heat_mmbtu_per_cord", "wet_to_dry_pct"]


@once
def _heat(name: str, *, region: Region) -> float:
    return region.figure("defaults_firewood", name)


def _check_solid(solid_cuft_per_cord: Any) -> None:
    solid = np.nan_to_num(np.asarray(solid_cuft_per_cord, dtype=float))
    between("solid_cuft_per_cord", solid, 40.0, CUFT_PER_CORD_STACKED, "usually 65 to 95")


def cords_from_cuft(cuft: Any, solid_cuft_per_cord: Any) -> Any:
    """Cords of 4 x 4 x 8 ft from solid cubic feet.

    cuft: solid volume (ft3), inside or outside bark as the divisor is; solid_cuft_per_cord: 79 for round wood inside
    bark, 92 for the same with its bark, 85 for split wood: use one of them per run and say which. Returns cords.

    Example: 21.50 / 79 = 0.27 cord.

    Source: woodland_stewardship (65 to 95, accepted average 79).
    """
    _check_solid(solid_cuft_per_cord)
    (volume, solid), back = numbers(cuft=cuft, solid_cuft_per_cord=solid_cuft_per_cord)
    return back(volume / solid)


def wet_to_dry_pct(moisture_wet_pct: Any) -> Any:
    """Moisture on dry basis (water / dry wood) from wet basis (water / all), percent. Example: 20 wet is 25 dry."""
    (wet,), back = numbers(moisture_wet_pct=moisture_wet_pct)
    between("moisture_wet_pct", wet, 0.0, 99.0, "percent of all weight")
    return back(100.0 * wet / (100.0 - wet))


def equilibrium_moisture_pct(temperature_f: Any, humidity_pct: Any, *, region: Region) -> Any:
    """Moisture at which wood in steady air neither dries nor wets, percent on DRY basis.

    temperature_f (degrees F, -40 to 250), humidity_pct (relative, 0 to 100). Returns percent of dry weight.

    Example: 70 F and 50 percent: 9.2.

    Source: Simpson 1998, FPL-RN-0268, form for degrees Celsius (simpson_1998).
    """
    (fahrenheit, humidity), back = numbers(temperature_f=temperature_f, humidity_pct=humidity_pct)
    between("temperature_f", fahrenheit, -40.0, 250.0, "degrees Fahrenheit")
    between("humidity_pct", humidity, 0.0, 100.0, "relative humidity in percent")
    t = (fahrenheit - 32.0) / 1.8
    h = humidity / 100.0
    terms = region.records("emc_simpson_1998", "name")
    w, k, k1, k2 = (terms[n]["t0"] + terms[n]["t1"] * t + terms[n]["t2"] * t**2 for n in ("w", "k", "k1", "k2"))
    kh = k * h
    first = kh / (1.0 - kh)
    second = (k1 * kh + 2.0 * k1 * k2 * kh**2) / (1.0 + k1 * kh + k1 * k2 * kh**2)
    return back(_heat("emc_scale", region=region) / w * (first + second))


def dry_lb_per_cord(species: Any, solid_cuft: Any, *, region: Region) -> Any:
    """Oven-dry pounds of wood in a cord, bark left out: specific gravity x 62.4 x solid cubic feet.

    species: name or column; solid_cuft: solid cubic feet per cord. Example: sugar maple at 80: .56 x 62.4 x 80 = 2,796.
    Source: Miles and Smith 2009 (wood_properties_miles_2009.csv).
    """
    _check_solid(solid_cuft)
    (solid, gravity), back = numbers(solid_cuft=solid_cuft, gravity=region.species.wood_property(species, "wood_sg"))
    return back(gravity * region.figure("defaults_tree", "water_lb_per_cuft") * solid)


def heat_mmbtu_per_cord(species: Any, moisture_wet_pct: Any, solid_cuft: Any, basis: str, *, region: Region) -> Any:
    """Heat of a cord of wood, million Btu, before any loss in the stove.

    species: name or column; moisture_wet_pct: moisture as percent of the whole weight; solid_cuft: solid cubic feet per
    cord; basis: "gross" (steam condensed; the same at every moisture) or "net" (steam up the chimney). Multiply only by
    an efficiency told on the SAME basis. Good to about 15 percent. Raises InputError.

    Notes: gross = dry pounds x 8,600 Btu (hardwoods) or 9,000 (softwoods); net = gross - 1,050 Btu for each pound of
    water in the wood and of the 0.54 lb a dry pound makes in burning (from memory).

    Example: sugar maple at 20 percent, 80 solid feet: gross 2,796 x 8,600 = 24.0; net 24.0 - 1,050 x 2,796 x (0.25 +
    0.54) = 21.7.

    Source: defaults_firewood.csv (general_heat), specific gravity Miles and Smith 2009.
    """
    if basis not in ("gross", "net"):
        raise InputError(f'basis must be "gross" or "net", not {basis!r}')
    pounds = dry_lb_per_cord(species, solid_cuft, region=region)
    (wet, dry_lb, hard), back = numbers(
        moisture_wet_pct=moisture_wet_pct, dry_lb=pounds, hard=region.species.is_hardwood(species)
    )
    between("moisture_wet_pct", wet, 0.0, 90.0, "percent of all weight")
    heat = np.where(hard == 1.0, _heat("hhv_hardwood", region=region), _heat("hhv_softwood", region=region))
    lost: Any = 0.0
    if basis == "net":
        lost = _heat("evaporation", region=region) * (wet / (100.0 - wet) + _heat("water_from_hydrogen", region=region))
    return back(np.where(np.isnan(wet), np.nan, dry_lb * (heat - lost) / 1e6))

"""Cords, face cords, moisture, weight and heat of firewood.

cords_from_cuft, cuft_from_cords, face_cords, stacked_cuft     how much; solid feet per cord are always asked for
cords_per_tree_gevorkiantz_1955, trees_per_cord_southern       by diameter alone, for a first look
wet_to_dry_pct, dry_to_wet_pct, equilibrium_moisture_pct       moisture: wet basis water / all, dry basis water / wood
dry_lb_per_cord, green_lb_per_cord, lb_per_cord                weight by species
heat_mmbtu_per_cord                                            heat by species, moisture and basis, million Btu
green_moisture_wet_pct                                         moisture of a living tree

A cord used twice at two sizes is the commonest slip: go from solid cubic feet of a species straight to heat, and use
cords only to show them, with the solid feet, bark in or out, and full or face cord in the same line.
"""

from functools import cache
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.tables import table
from woodlot.tree.inputs import between, default, numbers, positive, records
from woodlot.tree.species import is_hardwood, wood_property
from woodlot.units import CUFT_PER_CORD_STACKED

__all__ = [
    "cords_from_cuft",
    "cords_per_tree_gevorkiantz_1955",
    "cuft_from_cords",
    "dry_lb_per_cord",
    "dry_to_wet_pct",
    "equilibrium_moisture_pct",
    "face_cords",
    "green_lb_per_cord",
    "green_moisture_wet_pct",
    "heat_mmbtu_per_cord",
    "lb_per_cord",
    "solid_cuft_per_cord",
    "stacked_cuft",
    "trees_per_cord_southern",
    "wet_to_dry_pct",
]

CORD_LENGTH_IN = 48.0  # a cord is 4 ft deep: definition


@cache
def _heat(name: str) -> float:
    return default(name, topic="defaults_firewood")


def solid_cuft_per_cord(name: str) -> float:
    """Solid cubic feet in a cord of a kind named in cord_solid.csv, such as "round wood inside bark" (79).

    Raises InputError for a kind that is not there.
    """
    rows = records("cord_solid", "name")
    if name not in rows:
        raise InputError(f"there is no kind of cord {name!r}; there are {', '.join(rows)}")
    return float(rows[name]["solid_cuft_per_cord"])


def _solid(solid_cuft: Any) -> None:
    between(
        "solid cubic feet per cord",
        np.asarray(solid_cuft, dtype=float),
        40.0,
        CUFT_PER_CORD_STACKED,
        "a cord of 128 stacked feet holds 65 to 95 of solid wood",
    )


def cords_from_cuft(cuft: Any, solid_cuft_per_cord: Any) -> Any:
    """Cords of 4 x 4 x 8 ft from solid cubic feet.

    cuft: solid volume (ft3), inside or outside bark as the divisor is; solid_cuft_per_cord: 79 for round wood inside
    bark, 92 for the same with its bark, 85 for split wood: use one of them per run and say which. Returns cords.

    Example: 21.50 / 79 = 0.27 cord.

    Source: cord_solid.csv (woodland_stewardship: 65 to 95, accepted average 79).
    """
    _solid(solid_cuft_per_cord)
    (volume, solid), back = numbers(cuft=cuft, solid_cuft_per_cord=solid_cuft_per_cord)
    return back(volume / solid)


def cuft_from_cords(cords: Any, solid_cuft_per_cord: Any) -> Any:
    """Solid cubic feet in cords; arguments as for cords_from_cuft. Example: 2 cords at 79 are 158."""
    _solid(solid_cuft_per_cord)
    (count, solid), back = numbers(cords=cords, solid_cuft_per_cord=solid_cuft_per_cord)
    return back(count * solid)


def stacked_cuft(cords: Any) -> Any:
    """Stacked cubic feet, wood, bark and air: 128 to the cord (definition)."""
    (count,), back = numbers(cords=cords)
    return back(count * CUFT_PER_CORD_STACKED)


def face_cords(cords: Any, piece_in: Any = 16) -> Any:
    """Face cords (4 x 8 ft of pieces one deep) in cords; piece_in: length of the pieces (in).

    Not a legal unit in most states [from memory]. Example: 1 cord of 16-in pieces is 3 face cords of 42.67 cubic feet.
    """
    (count, piece), back = numbers(cords=cords, piece_in=piece_in)
    positive(piece_in=piece)
    return back(count * CORD_LENGTH_IN / piece)


def cords_per_tree_gevorkiantz_1955(dbh_in: Any) -> Any:
    """Cords to a 4-in top in one tree of an average height, from its diameter alone.

    dbh_in: 5 to 22 in; the table is followed in straight lines between its rows, NaN outside. Returns cords. Small
    trees run high in it (8 in: 0.12 against 0.09 by other equations).

    Example: 13 in lies between 0.30 and 0.40: 0.35 cord.

    Source: Gevorkiantz and Olsen 1955 in a sheet of 2005 (patmos_2005).
    """
    (dbh,), back = numbers(dbh_in=dbh_in)
    positive(dbh_in=dbh)
    rows = table("cords_per_tree_gevorkiantz_1955")
    told = np.interp(dbh, rows["dbh_in"], rows["cords_per_tree"], left=np.nan, right=np.nan)
    return back(np.where(np.isnan(dbh), np.nan, told))


def trees_per_cord_southern(dbh_in: Any) -> Any:
    """Trees to a cord by a southern pulpwood rule, 90 / (4 (D - 6)); for comparison only, dbh over 6 in.

    Example: 10 in: 90 / 16 = 5.6 trees. Source: southern_field_handbook.
    """
    (dbh,), back = numbers(dbh_in=dbh_in)
    positive(dbh_in=dbh)
    top, by, off = (_heat(f"southern_rule_{n}") for n in ("trees", "factor", "inches_off"))
    return back(top / (by * np.where(dbh > off, dbh - off, np.nan)))


def wet_to_dry_pct(moisture_wet_pct: Any) -> Any:
    """Moisture on dry basis (water / dry wood) from wet basis (water / all), percent. Example: 20 wet is 25 dry."""
    (wet,), back = numbers(moisture_wet_pct=moisture_wet_pct)
    between("moisture_wet_pct", wet, 0.0, 99.0, "percent of the whole weight")
    return back(100.0 * wet / (100.0 - wet))


def dry_to_wet_pct(moisture_dry_pct: Any) -> Any:
    """Moisture on wet basis (water / all) from dry basis (water / dry wood), percent. Example: 25 dry is 20 wet."""
    (dry,), back = numbers(moisture_dry_pct=moisture_dry_pct)
    between("moisture_dry_pct", dry, 0.0, 400.0, "percent of the dry weight")
    return back(100.0 * dry / (100.0 + dry))


def green_moisture_wet_pct(species: Any) -> Any:
    """Moisture of living wood, percent of the whole weight. Example: white ash 46 dry basis is 31.5 wet.

    Source: Miles and Smith 2009 (wood_properties_miles_2009.csv).
    """
    return dry_to_wet_pct(wood_property(species, "green_moisture_dry_pct"))


def equilibrium_moisture_pct(temperature_f: Any, humidity_pct: Any) -> Any:
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
    terms = records("emc_simpson_1998", "name")
    w, k, k1, k2 = (terms[n]["t0"] + terms[n]["t1"] * t + terms[n]["t2"] * t**2 for n in ("w", "k", "k1", "k2"))
    kh = k * h
    first = kh / (1.0 - kh)
    second = (k1 * kh + 2.0 * k1 * k2 * kh**2) / (1.0 + k1 * kh + k1 * k2 * kh**2)
    return back(_heat("emc_scale") / w * (first + second))


def _species_and(species: Any, **told: Any) -> tuple[list[np.ndarray], Any]:
    """Wood properties beside numbers, one shape: specific gravity, green moisture, gross heat a pound."""
    gravity = wood_property(species, "wood_sg")
    moisture = wood_property(species, "green_moisture_dry_pct")
    hard = is_hardwood(species)
    heat: Any = np.where(hard, _heat("hhv_hardwood"), _heat("hhv_softwood"))
    if isinstance(species, pd.Series):
        heat = pd.Series(heat, index=species.index)
    return numbers(**told, gravity=gravity, moisture=moisture, heat=heat)


def dry_lb_per_cord(species: Any, solid_cuft: Any) -> Any:
    """Oven-dry pounds of wood in a cord, bark left out: specific gravity x 62.4 x solid cubic feet.

    species: name or column; solid_cuft: solid cubic feet per cord. Example: sugar maple at 80: .56 x 62.4 x 80 = 2,796.
    Source: Miles and Smith 2009 (wood_properties_miles_2009.csv).
    """
    _solid(solid_cuft)
    (solid, gravity, _, _), back = _species_and(species, solid_cuft=solid_cuft)
    return back(gravity * default("water_lb_per_cuft") * solid)


def green_lb_per_cord(species: Any, solid_cuft: Any) -> Any:
    """Pounds of wood in a green cord, bark left out: dry pounds x (1 + green moisture). About 15 percent either way.

    Example: quaking aspen at 80: 1,747 x 2.29 = 4,000. Source: Miles and Smith 2009.
    """
    _solid(solid_cuft)
    (solid, gravity, moisture, _), back = _species_and(species, solid_cuft=solid_cuft)
    return back(gravity * default("water_lb_per_cuft") * solid * (1.0 + moisture / 100.0))


def lb_per_cord(species: Any, moisture_wet_pct: Any, solid_cuft: Any) -> Any:
    """Pounds of wood in a cord at a moisture (WET basis, percent), bark left out: dry pounds / (1 - M).

    Example: sugar maple at 20 percent and 80 solid feet: 2,796 / 0.8 = 3,494. Source: Miles and Smith 2009.
    """
    _solid(solid_cuft)
    (wet, solid, gravity, _, _), back = _species_and(species, moisture_wet_pct=moisture_wet_pct, solid_cuft=solid_cuft)
    between("moisture_wet_pct", wet, 0.0, 90.0, "percent of the whole weight")
    return back(gravity * default("water_lb_per_cuft") * solid / (1.0 - wet / 100.0))


def heat_mmbtu_per_cord(species: Any, moisture_wet_pct: Any, solid_cuft: Any, basis: str) -> Any:
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
    _solid(solid_cuft)
    (wet, solid, gravity, _, heat), back = _species_and(
        species, moisture_wet_pct=moisture_wet_pct, solid_cuft=solid_cuft
    )
    between("moisture_wet_pct", wet, 0.0, 90.0, "percent of the whole weight")
    dry_lb = gravity * default("water_lb_per_cuft") * solid
    lost: Any = 0.0
    if basis == "net":
        lost = _heat("evaporation") * (wet / (100.0 - wet) + _heat("water_from_hydrogen"))
    return back(np.where(np.isnan(wet), np.nan, dry_lb * (heat - lost) / 1e6))

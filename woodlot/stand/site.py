"""Site: how tall trees get at an age on ground of a site index, and how fast they grow on it.

height_ft_carmean_1989      height of dominant trees at an age
curve_used                  which curve that is, and how it came into its table
site_factors                what soil or site index puts on diameter growth

A forester reads growth from the ground before any tree is bored: poor sand may grow half of what loam does. Of two
curves of a species the better founded serves where none is named: what was read goes before what is remembered.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region, once
from woodlot.trade import SEEN
from woodlot.tree.inputs import numbers, positive

__all__ = ["curve_used", "height_ft_carmean_1989", "site_factors"]

#: Species without a curve of their own that grow like another one (chosen).
LIKE = {"bigtooth aspen": "quaking aspen", "balsam poplar": "quaking aspen", "black maple": "sugar maple"}
OAKS, HICKORIES = "upland oaks", "hickories"


@once
def _row(species: str, curve: str | None, *, region: Region) -> pd.Series:
    """The row that serves: the one named, else the first of those with the best mark."""
    rows = region.table("site_index_carmean_1989", rows=())
    name = species if species in (OAKS, HICKORIES) else region.species.name(species)
    each = {_like(one, set(rows["species"])) for one in region.species.members(name)}
    name = each.pop() if len(each) == 1 else name
    curve_rows = rows[(rows["species"] == name) & ((rows["curve"] == curve) if curve else True)]
    if not len(curve_rows):
        curves = ", ".join(rows["species"] + " (" + rows["curve"] + ")")
        raise InputError(f"no height curve for {species!r}{f' named {curve!r}' if curve else ''}; there are {curves}")
    best = curve_rows.iloc[int(np.argmin(curve_rows["seen"].map(list(SEEN).index)))]
    region.note("site_index_carmean_1989", (f"{best['species']} {best['curve']}",))
    return best


@once
def _figures(species: str, curve: str | None, *, region: Region) -> np.ndarray:
    return _row(species, curve, region=region)[["b1", "b2", "b3", "b4", "b5"]].to_numpy(dtype=float)


def curve_used(species: str, *, region: Region) -> tuple[str, str, str]:
    """The height curve of a species where none is named: whose, its name, its mark ("read 2nd-hand", "memory" ...)."""
    return tuple(_row(species, None, region=region)[["species", "curve", "seen"]])


def _like(species: str, known: set[str]) -> str:
    """The species whose curve serves another one."""
    if species in known:
        return species
    oak_or_hickory = OAKS if species.endswith("oak") else HICKORIES if species.endswith("hickory") else species
    return LIKE.get(species, oak_or_hickory)


def _height(b: np.ndarray, site: np.ndarray, age: np.ndarray) -> np.ndarray:
    return b[0] * site ** b[1] * (-np.expm1(b[2] * age)) ** (b[3] * site ** b[4])


def height_ft_carmean_1989(
    species: str, site_index_ft: Any, age_yr: Any, curve: str | None = None, *, region: Region
) -> Any:
    """Height of dominant trees at an age.

    Parameters
    ----------
    species
        Plain common name; also "upland oaks" and "hickories".
    site_index_ft
        Height at 50 years of total age [ft].
    age_yr
        Total age [yr].
    curve
        Which one, where a species has two ("lake states", "northeast" ...); None takes the better founded.
    region
        Whose figures are used.

    Returns
    -------
    Feet, in the form of the arguments.

    Raises
    ------
    InputError
        For a species or curve that is not in site_index_carmean_1989.csv, or a site index or age not above 0.

    Notes
    -----
    b1 S^b2 (1 - exp(b3 A))^(b4 S^b5). Most rows are from memory; at 50 years they give the site index back within
    1.3 ft (beech at site index 80: 3.2 ft), which says nothing of other ages. Two curves of a species differ: white
    pine of site index 60 is 98.5 ft at 100 years by that of 1957, 82.0 by the one from memory.

    Examples
    --------
    Sugar maple of the Lake States, site index 60, 70 years: 6.1308 x 60^.6904 x (1 - e^-1.365)^(10.1563 x 60^-.533)
    = 103.6 x .7447^1.145 = 73.9.

    >>> round(height_ft_carmean_1989("sugar maple", 60, 70, "lake states"), 1)
    73.9

    Source: Carmean, Hahn and Jacobs 1989, NC-128 (carmean_1989).
    """
    b = _figures(species, curve, region=region)
    (site, age), back = numbers(site_index_ft=site_index_ft, age_yr=age_yr)
    positive(site_index_ft=site, age_yr=age)
    return back(_height(b, site, age))


def site_factors(
    species: Sequence[str],
    soil: Sequence[Any],
    site_index_ft: Any,
    site_species: Sequence[str],
    *,
    region: Region,
) -> tuple[np.ndarray, np.ndarray]:
    """What the ground puts on diameter growth, and whether anything is known of it.

    Parameters
    ----------
    species
        Plain common names of the rows wanted.
    soil
        Word of site_growth.csv by stand; missing where none is written.
    site_index_ft
        Site index by stand [ft]; NaN where none is written.
    site_species
        The kind each stand's site index speaks of; "" for none.
    region
        Whose figures are used.

    Returns
    -------
    Array (species, stand), 1 where nothing is known, held to .4 to 2; array (stand).

    Notes
    -----
    (site index / its middle)^1.5 where a site index is written, else the soil's own row, never both. All of it is
    chosen; the middle of each kind: site_index_middle.csv. Source: forest ageing, section 7.
    """
    site = np.asarray(site_index_ft, dtype=float)
    indexed = np.isfinite(site) & np.array([bool(one) for one in site_species], dtype=bool)
    rows = region.records("site_growth", "soil", "species")
    words = {word for word, _ in rows}
    out = np.ones((len(species), len(site)))
    of_soil = np.array([one if isinstance(one, str) else "" for one in soil], dtype=object)
    for word in sorted(words & set(of_soil[~indexed])):
        of = [[rows[word, m if (word, m) in rows else "any"] for m in region.species.members(s)] for s in species]
        factor = [np.mean([float(row["factor"]) for row in each]) for each in of]
        out[:, ~indexed & (of_soil == word)] = np.array(factor)[:, None]
    power = region.figure("defaults_growth", "site_index_power")
    for kind in sorted({str(one) for one in np.asarray(site_species, dtype=object)[indexed]}):
        at = indexed & (np.asarray(site_species, dtype=object) == kind)
        out[:, at] = (site[at] / _middle_ft(kind, region)) ** power
    low, high = (region.figure("defaults_growth", f"site_factor_{end}") for end in ("low", "high"))
    return np.clip(out, low, high), indexed | np.isin(of_soil, sorted(words))


def _middle_ft(kind: str, region: Region) -> float:
    """Site index on which the anchors hold [ft]: of the kind, the mean of its members, or any hardwood or softwood."""
    rows = region.records("site_index_middle", "species")
    other = "any hardwood" if region.species.is_hardwood(kind) else "any softwood"
    return float(np.mean([float(rows[m if m in rows else other]["middle_ft"]) for m in region.species.members(kind)]))

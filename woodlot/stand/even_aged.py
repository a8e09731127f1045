"""Stands of one age: red pine by its basal area equation, aspen against a fully stocked stand, and how both break up.

Pine     basal_growth_sqft_buckman_1962, grow_pine
Aspen    full_basal_sqft_aspen, grow_aspen
Wood     stem_cuft_per_ac, merch_cords_per_ac

Nearly all figures here are from memory; what published trials saw is kept as a check in the tests. From its onset age
on a kind that breaks up loses ``ageing.lost_in_year`` each year; a stand past it today does not grow any more.
"""

from typing import Any

import numpy as np

from woodlot.region import Region
from woodlot.stand.ageing import lost_in_year
from woodlot.stand.grow_year import in_year, mortality_share
from woodlot.stand.site import height_ft_carmean_1989
from woodlot.stand.stocking import quadratic_mean_diameter_in, relative_density_ducey_2010
from woodlot.tree.growth import growth_default
from woodlot.tree.inputs import numbers, positive

__all__ = [
    "basal_growth_sqft_buckman_1962",
    "full_basal_sqft_aspen",
    "grow_aspen",
    "grow_pine",
    "merch_cords_per_ac",
    "outside_pine_limits",
    "stem_cuft_per_ac",
]


def basal_growth_sqft_buckman_1962(basal_sqft_per_ac: Any, age_yr: Any, site_index_ft: Any, *, region: Region) -> Any:
    """Net yearly growth of basal area of a managed red pine stand.

    Parameters
    ----------
    basal_sqft_per_ac
        Basal area [sq ft/ac].
    age_yr
        Total age [yr].
    site_index_ft
        Site index of red pine, height at 50 years [ft].
    region
        Whose figures are used.

    Returns
    -------
    Square feet an acre a year, not under 0, in the form of the arguments.

    Notes
    -----
    1.6889 + .041066 B - .00016303 B^2 - .076958 A + .00022741 A^2 + .06441 S; made for ages 30 to 150, 50 to 160 sq
    ft, site index 40 to 75 (``outside_pine_limits``). White and jack pine: an assumption.

    Examples
    --------
    B 100, A 50, S 60: 1.6889 + 4.1066 - 1.6303 - 3.8479 + .5685 + 3.8646 = 4.7504.

    >>> round(basal_growth_sqft_buckman_1962(100, 50, 60), 2)
    4.75

    Source: Buckman 1962, Tech. Bull. 1272, from memory (buckman_1962).
    """
    (b, a, s), back = numbers(basal_sqft_per_ac=basal_sqft_per_ac, age_yr=age_yr, site_index_ft=site_index_ft)
    positive(age_yr=a, site_index_ft=s)
    f = [growth_default(f"pine_b{k}", region=region) for k in range(6)]
    growth = f[0] + f[1] * b + f[2] * b * b + f[3] * a + f[4] * a * a + f[5] * s
    return back(np.maximum(growth, 0.0))


def outside_pine_limits(basal_sqft_per_ac: Any, age_yr: Any, site_index_ft: Any, *, region: Region) -> np.ndarray:
    """Whether a stand lies outside what the red pine equation was made for."""
    out = np.zeros(np.shape(np.broadcast_arrays(basal_sqft_per_ac, age_yr, site_index_ft)[0]), dtype=bool)
    for values, name, unit in ((age_yr, "age", "yr"), (basal_sqft_per_ac, "basal", ""), (site_index_ft, "site", "ft")):
        low, high = (
            growth_default("_".join(filter(None, ("pine", name, end, unit))), region=region) for end in ("low", "high")
        )
        numbers_of = np.asarray(values, dtype=float)
        out |= (numbers_of < low) | (numbers_of > high)
    return out


def grow_pine(
    basal_sqft_per_ac: Any,
    trees_per_ac: Any,
    age_yr: Any,
    site_index_ft: Any,
    years: int,
    factor: Any = 1.0,
    leave_sqft: np.ndarray | None = None,
    onset_yr: Any = np.nan,
    half_yr: Any = np.nan,
    wood_sg: Any = np.nan,
    *,
    region: Region,
) -> dict[str, np.ndarray]:
    """Red pine stands year by year.

    Parameters
    ----------
    basal_sqft_per_ac, trees_per_ac
        Stand now [sq ft/ac, per ac].
    age_yr, site_index_ft
        Total age [yr] and site index [ft].
    years
        Years to run [yr].
    factor
        Times the growth of the equation (a case, or cores), or year by year (years or more, stand).
    leave_sqft
        Basal area to leave in the winter before each year (years, stand); NaN for no cut. The trees cut have the mean
        size.
    onset_yr, half_yr
        Ages at which the stand begins to break up and at which half of it is gone [yr]; NaN for never.
    wood_sg
        Specific gravity of the wood, by which crowding is known; NaN for no deaths by it.
    region
        Whose figures are used.

    Returns
    -------
    Arrays (years + 1, stand) basal, stems, qmd_in, age; (years, stand) survivor, mortality (what breaks up with it),
    broken, ingrowth (0), cut. The equation is net: trees that fall (.3 % a year, of mean size) are added back to make
    survivor growth, until the onset. It was made for managed stands: over its highest basal area trees die by crowding
    as in stand tables, on top; past its highest age it stays at that.
    """
    f = np.atleast_1d(np.asarray(factor, dtype=float))
    of_stands = basal_sqft_per_ac, trees_per_ac, age_yr, site_index_ft, onset_yr, half_yr, wood_sg, in_year(f, 0, 1)
    b, n, age, site, onset, half, sg, _ = (
        np.atleast_1d(np.asarray(v, dtype=float)).copy() for v in np.broadcast_arrays(*of_stands)
    )
    f, left = np.where(age >= onset, 0.0, f), np.ones(b.size)
    falls, oldest = (growth_default(f"pine_{name}", region=region) for name in ("falls", "age_high_yr"))
    out = _room(years, age)
    lost_in = lost_in_year(out["age"][:-1], onset, half)
    for year in range(years):
        if leave_sqft is not None:
            now = b * left
            share = np.where(now > 0, np.clip(1.0 - leave_sqft[year] / np.where(now > 0, now, 1.0), 0.0, 1.0), 0.0)
            share = np.where(np.isnan(share), 0.0, share)
            out["cut"][year], b, n = now * share, b * (1.0 - share), n * (1.0 - share)
        out["basal"][year], out["stems"][year] = b * left, n
        age, lost = out["age"][year], lost_in[year]
        told = np.minimum(age, oldest)
        net = np.where(b > 0, basal_growth_sqft_buckman_1962(b, told, site, region=region) * in_year(f, year, 1), 0.0)
        past, crowded = age >= onset, _crowded(b * left, n, sg, region=region)
        fall, crowded = (np.where(past, 0.0, one) for one in (falls, crowded))
        grown = b * (1.0 - crowded) + net
        out["broken"][year] = grown * left * lost
        out["mortality"][year] = (fall + crowded) * b * left + out["broken"][year]
        out["survivor"][year] = (net + fall * b) * left
        b, n, left = grown, n * (1.0 - fall - crowded) * (1.0 - lost), left * (1.0 - lost)
    return _ended(out, b * left, n)


def _crowded(b: np.ndarray, n: np.ndarray, wood_sg: np.ndarray, *, region: Region) -> np.ndarray:
    """Share of pine that crowding kills in a year beyond the basal area its equation was made for."""
    where = (b > growth_default("pine_basal_high", region=region)) & np.isfinite(wood_sg) & (n > 0)
    if not where.any():
        return np.zeros(b.shape)
    begins, slope, most = (
        growth_default(name, region=region) for name in ("crowding_from", "crowding_slope", "most_mortality")
    )
    size, share = quadratic_mean_diameter_in(b[where], n[where]), np.zeros(b.shape)
    density = relative_density_ducey_2010(size, n[where], wood_sg[where], region=region)
    dies = mortality_share(np.maximum(size, 5.0), region=region) * slope * np.maximum(density - begins, 0.0)
    share[where] = np.minimum(dies, most)
    return share


def full_basal_sqft_aspen(age_yr: Any, *, region: Region) -> Any:
    """Basal area of fully stocked aspen at an age [sq ft/ac]: 150 (1 - exp(-.0335 A)), from memory.

    >>> round(full_basal_sqft_aspen(40), 1)
    110.7
    """
    (age,), back = numbers(age_yr=age_yr)
    return back(
        -growth_default("aspen_full_sqft", region=region)
        * np.expm1(-growth_default("aspen_full_rate", region=region) * age)
    )


def grow_aspen(
    basal_sqft_per_ac: Any,
    trees_per_ac: Any,
    age_yr: Any,
    years: int,
    factor: Any = 1.0,
    onset_yr: Any = np.nan,
    half_yr: Any = np.nan,
    *,
    region: Region,
) -> dict[str, np.ndarray]:
    """Aspen stands year by year against full stocking, until they break up.

    Parameters
    ----------
    basal_sqft_per_ac, trees_per_ac
        Stand now [sq ft/ac, per ac].
    age_yr
        Total age [yr].
    years
        Years to run [yr].
    factor
        Times the yearly change (a case, or cores), or year by year (years or more, stand).
    onset_yr, half_yr
        As in ``grow_pine``.
    region
        Whose figures are used.

    Returns
    -------
    As ``grow_pine``; only net growth is known, so mortality is the part that shrinks and survivor the part that grows.

    Notes
    -----
    R = B / full(A); next year R + .03 (1 - R) (a choice) times full(A + 1), all of it times ``ageing.standing_share``.
    The idea, density against a yield table, is that of Leary, Brand and Perala 1993; the numbers are not theirs.
    """
    f = np.atleast_1d(np.asarray(factor, dtype=float))
    of_stands = basal_sqft_per_ac, trees_per_ac, age_yr, onset_yr, half_yr, in_year(f, 0, 1)
    b, n, age, onset, half, _ = (
        np.atleast_1d(np.asarray(v, dtype=float)).copy() for v in np.broadcast_arrays(*of_stands)
    )
    positive(age_yr=age)
    f, left = np.where(age >= onset, 0.0, f), np.ones(b.size)
    out = _room(years, age)
    full, lost_in = full_basal_sqft_aspen(out["age"], region=region), lost_in_year(out["age"][:-1], onset, half)
    recovery = growth_default("aspen_recovery", region=region)
    for year in range(years):
        out["basal"][year], out["stems"][year] = b * left, n
        ratio, lost = b / full[year], lost_in[year]
        after = ratio + recovery * (1.0 - ratio)
        net = (after * full[year + 1] - b) * in_year(f, year, 1)
        out["broken"][year] = (b + net) * left * lost
        out["survivor"][year] = np.maximum(net, 0.0) * left
        out["mortality"][year] = np.maximum(-net, 0.0) * left + out["broken"][year]
        b, n, left = b + net, n * (1.0 - lost), left * (1.0 - lost)
    return _ended(out, b * left, n)


def _room(years: int, age: np.ndarray) -> dict[str, np.ndarray]:
    """Room for what is kept of each year, with the ages of stands of an age today."""
    state = {k: np.zeros((years + 1, age.size)) for k in ("basal", "stems")}
    state["age"] = np.cumsum(np.vstack([age, np.ones((years, age.size))]), axis=0)
    return state | {k: np.zeros((years, age.size)) for k in ("survivor", "mortality", "broken", "ingrowth", "cut")}


def _ended(out: dict[str, np.ndarray], b: np.ndarray, n: np.ndarray) -> dict[str, np.ndarray]:
    """The same with what stands after the last year, and the mean diameter of every year."""
    out["basal"][-1], out["stems"][-1] = b, n
    return out | {"qmd_in": quadratic_mean_diameter_in(np.maximum(out["basal"], 0.0), out["stems"])}


def stem_cuft_per_ac(species: str, basal_sqft_per_ac: Any, site_index_ft: Any, age_yr: Any, *, region: Region) -> Any:
    """Whole stems of a stand of one age: .42 x basal area x height on the site curve [cu ft/ac].

    >>> round(stem_cuft_per_ac("quaking aspen", full_basal_sqft_aspen(40), 70, 40))
    2866
    """
    (b, s, a), back = numbers(basal_sqft_per_ac=basal_sqft_per_ac, site_index_ft=site_index_ft, age_yr=age_yr)
    return back(
        growth_default("stem_factor", region=region)
        * b
        * np.asarray(height_ft_carmean_1989(species, s, a, region=region))
    )


def merch_cords_per_ac(
    species: str, basal_sqft_per_ac: Any, site_index_ft: Any, age_yr: Any, solid_cuft_per_cord: float, *, region: Region
) -> Any:
    """Cords to a 4-in top of a stand of one age: .85 (a choice) of the whole stems [cords/ac]."""
    cuft = stem_cuft_per_ac(species, basal_sqft_per_ac, site_index_ft, age_yr, region=region)
    return cuft * (growth_default("merch_share", region=region) / solid_cuft_per_cord)

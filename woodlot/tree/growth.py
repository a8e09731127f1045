"""How fast a tree grows in diameter: published and fitted rates, and what the owner's own cores put in their place.

By species   anchors, equations, dbh_growth_in
Own figures  remeasured, own_factors

All equations have one form, growth = exp(b0 + b1 ln dbh + b2 BAL / 100) in inches a year, BAL being the basal area of
larger trees; they differ in the three figures.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region, once

__all__ = ["anchors", "dbh_growth_in", "equations", "own_factors", "remeasured"]

CASES = ("low_in", "mid_in", "high_in")


def growth_default(name: str, region: Region) -> float:
    """One value of defaults_growth.csv."""
    return region.figure("defaults_growth", name)


@once
def _anchor_rows(*, region: Region) -> dict[str, tuple[float, float, float]]:
    rows = region.species.rows("growth_anchors")[list(CASES)]
    return {s: tuple(v) for s, v in zip(rows.index, rows.to_numpy(dtype=float), strict=True)}


def anchors(species: Sequence[str], region: Region) -> np.ndarray:
    """Yearly growth of a 10-inch tree with 45 sq ft of larger trees round it, low, middle and high.

    species: plain common names. Returns an array (species, 3) in inches a year; a kind of several species takes their
    mean, a species without a row that of any hardwood or any softwood. Source and mark of each: growth_anchors.csv.
    """
    rows = _anchor_rows(region=region)
    names = [region.species.name(s) for s in species]
    used = [s if s in rows else "any hardwood" if region.species.is_hardwood(s) else "any softwood" for s in names]
    region.species.read_rows("growth_anchors", used)
    return np.array([rows[s] for s in used], dtype=float).reshape(len(names), 3)


@once
def _fitted(*, region: Region) -> tuple[pd.DataFrame, dict[str, str]]:
    rows = region.table("growth_dbh_big_woods", rows=()).set_index("group")
    of = {s: str(g) for g, kinds in rows["species"].fillna("").items() for s in kinds.split(";") if s}
    for kind in region.species.listed:
        each = {of.get(member) for member in region.species.members(kind)}
        if len(each) == 1 and (group := each.pop()):
            of[kind] = group
    return rows, of


def equations(
    species: Sequence[str], case: str = "mid", fitted: bool = False, *, region: Region
) -> tuple[np.ndarray, list[str]]:
    """The three figures of each species' growth equation, and where they come from.

    Parameters
    ----------
    species
        Plain common names.
    case
        "low", "mid" or "high".
    fitted
        Whether the equations fitted to remeasured trees are used for the species they cover (oak, cherry, hickory and
        red maple stands); low and high are then in proportion to the anchors.
    region
        Region whose tables are used.

    Returns
    -------
    Array (species, 3): b0, b1, b2 of growth = exp(b0 + b1 ln dbh + b2 BAL/100), and words for each species.
    """
    if case not in ("low", "mid", "high"):
        raise InputError(f"a case is low, mid or high, not {case!r}")
    names = [region.species.name(s) for s in species]
    three = anchors(names, region)
    at = ("low", "mid", "high").index(case)
    b1, b2 = growth_default("shape_ln_dbh", region), growth_default("shape_bal_per_100", region)
    size, bal = growth_default("anchor_dbh_in", region), growth_default("anchor_bal_sqft", region)
    out = np.empty((len(names), 3))
    out[:, 0] = np.log(three[:, at]) - b1 * np.log(size) - b2 * bal / 100.0
    out[:, 1:] = b1, b2
    known = _anchor_rows(region=region)
    words = ["anchor" if s in known else "anchor of its kind" for s in names]
    if fitted:
        rows, of = _fitted(region=region)
        for i, name in enumerate(names):
            if of.get(name) in (None, "other hardwood"):
                continue
            region.note("growth_dbh_big_woods", (of[name],))
            out[i] = rows.loc[of[name], ["b0", "b1_ln_dbh", "b2_bal_per_100"]].to_numpy(dtype=float)
            out[i, 0] += np.log(three[i, at] / three[i, 1])
            words[i] = "fitted to remeasured trees"
    return out, words


def dbh_growth_in(figures: np.ndarray, dbh_in: np.ndarray, bal_sqft_per_ac: np.ndarray) -> np.ndarray:
    """Yearly diameter growth of trees [in/yr].

    figures: rows of ``equations``, one a tree; dbh_in: diameter at breast height [in]; bal_sqft_per_ac: basal area of
    larger trees [sq ft/ac].

    Example: .18 at 14 in and BAL 60: .18 x 1.4^-.12 x exp(-.47 x .15) = .1611. Red maple 14 in, BAL 60, fitted:
    exp(-1.0025 - .1199 x 2.6391 - .4688 x .6) = exp(-1.6002) = .2019.
    """
    return np.exp(figures[:, 0] + figures[:, 1] * np.log(dbh_in) + figures[:, 2] * bal_sqft_per_ac / 100.0)


def remeasured(first: pd.DataFrame, second: pd.DataFrame, years: float | pd.Series) -> pd.DataFrame:
    """Trees measured twice as growth figures, in the form of cores.

    Parameters
    ----------
    first, second
        plot_id, tree, species, dbh_in [in], alive; stand_id where it is known. Trees are matched by plot and number.
    years
        Years between, or growing seasons [yr]; one number, or one for each plot_id. Plots with none are left out.

    Returns
    -------
    Frame with stand_id, tree, species, dbh_in (at the end), years, growth_in; trees that died, were not found again,
    are of another species now, or shrank by more than a tenth of an inch a year are left out.
    """
    if not isinstance(years, pd.Series) and not years > 0:
        raise InputError(f"years between two measurements must be above 0, not {years!r}")
    keys = ["plot_id", "tree"]
    both = first[first["tree"].notna()].merge(second, on=keys, suffixes=("_then", ""))
    lived = both["alive"].fillna(True).astype(bool) if "alive" in both else True
    grown = both["dbh_in"] - both["dbh_in_then"]
    out = pd.DataFrame({"tree": both["tree"], "species": both["species"], "dbh_in": both["dbh_in"]})
    out.insert(0, "stand_id", both.get("stand_id"))
    out["years"] = both["plot_id"].map(years).astype(float) if isinstance(years, pd.Series) else float(years)
    out["growth_in"] = grown
    same = both["species"] == both["species_then"]
    return out[lived & same & (out["years"] > 0) & (grown > -0.1 * out["years"])].reset_index(drop=True)


def own_factors(
    cores: pd.DataFrame, expected_in_per_yr: Any, stand_ids: Sequence[str], species: Sequence[str], region: Region
) -> tuple[np.ndarray, np.ndarray]:
    """What cores and remeasured trees say over what the equations say, for each stand and species.

    Parameters
    ----------
    cores
        stand_id, species, dbh_in [in], years, growth_in (diameter growth in those years [in]).
    expected_in_per_yr
        Growth by the equations for each of them [in/yr].
    stand_ids, species
        Rows and columns wanted.
    region
        Region whose table holds the weighting.

    Returns
    -------
    Two arrays (species, stand): the factor on growth, and the number of cores it rests on.

    Notes
    -----
    Three levels, each leaning on the one above: all cores of the place (on 1), the species in all stands (on the
    place), the species in the stand (on the species). At each level the factor's logarithm is the mean of
    n x ln(sum measured / sum expected) and 3 x ln(factor above): three cores weigh as much as what they replace, ten
    weigh three quarters. The result is held to .4 to 2.
    """
    expected = np.asarray(expected_in_per_yr, dtype=float)
    if len(expected) != len(cores):
        raise InputError(f"{len(expected)} expected growths for {len(cores)} cores")
    half = growth_default("cores_half", region)
    names = [region.species.name(s) for s in species]
    rows = pd.DataFrame({"stand": cores["stand_id"].astype(str).to_numpy()}, index=range(len(cores)))
    rows["species"] = [region.species.name(s) for s in cores["species"]]
    rows["m"] = cores["growth_in"].to_numpy(dtype=float) / cores["years"].to_numpy(dtype=float)
    rows["e"] = expected
    rows = rows[np.isfinite(rows["e"]) & (rows["e"] > 0)]

    def lean(sums: pd.DataFrame, above: Any) -> pd.Series:
        least = sums["e"] * growth_default("site_factor_low", region) / 4.0
        return (sums["n"] * np.log(np.maximum(sums["m"], least) / sums["e"]) + half * above) / (sums["n"] + half)

    def sums(keys: list[str]) -> pd.DataFrame:
        return rows.assign(n=1.0).groupby(keys)[["m", "e", "n"]].sum()

    whole = rows.assign(n=1.0)[["m", "e", "n"]].sum().to_frame().T
    place = float(lean(whole, 0.0).iloc[0]) if len(rows) else 0.0
    of_species = lean(sums(["species"]), place) if len(rows) else pd.Series(dtype=float)
    upper = of_species.reindex(names).fillna(place)
    factor = np.repeat(upper.to_numpy()[:, None], len(stand_ids), axis=1)
    number = np.zeros_like(factor)
    if len(rows):
        number += sums(["species"])["n"].reindex(names).fillna(0.0).to_numpy()[:, None]
        each = sums(["species", "stand"])
        own = lean(each, of_species.reindex(each.index.get_level_values("species")).to_numpy())
        wanted = pd.MultiIndex.from_product([names, [str(s) for s in stand_ids]])
        own_factor = own.reindex(wanted).to_numpy().reshape(factor.shape)
        factor = np.where(np.isfinite(own_factor), own_factor, factor)
    low, high = growth_default("site_factor_low", region), growth_default("site_factor_high", region)
    return np.clip(np.exp(factor), low, high), number

"""How fast a tree grows in diameter: published and fitted rates, and what the owner's own cores put in their place.

By species   anchors, equations, dbh_growth_in
Own figures  cored_pct, remeasured, OwnFigures, own_figures

All equations have one form, growth = exp(b0 + b1 ln dbh + b2 BAL / 100) in inches a year, BAL being the basal area of
larger trees; they differ in the three figures.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.estimate import LEVEL, Estimate, interval, reason
from woodlot.news import gain
from woodlot.region import Region, once

__all__ = ["OwnFigures", "anchors", "cored_pct", "dbh_growth_in", "equations", "own_figures", "remeasured"]


def growth_default(name: str, region: Region) -> float:
    """One value of defaults_growth.csv."""
    return region.figure("defaults_growth", name)


@once
def _anchor_rows(*, region: Region) -> dict[str, float]:
    rows = region.species.rows("growth_anchors")["growth_in"]
    return {str(name): float(growth) for name, growth in rows.items()}


def anchors(species: Sequence[str], region: Region) -> np.ndarray:
    """Yearly growth of a 10-inch tree with 45 sq ft of larger trees round it, on middling ground.

    species: plain common names. Returns an array (species) in inches a year; a kind of several species takes their
    mean, a species without a row that of any hardwood or any softwood. Source and mark of each: growth_anchors.csv.
    """
    rows = _anchor_rows(region=region)
    names = [region.species.name(s) for s in species]
    used = [s if s in rows else "any hardwood" if region.species.is_hardwood(s) else "any softwood" for s in names]
    region.species.read_rows("growth_anchors", used)
    return np.array([rows[s] for s in used], dtype=float)


@once
def _fitted(*, region: Region) -> tuple[pd.DataFrame, dict[str, str]]:
    rows = region.table("growth_dbh_big_woods", rows=()).set_index("group")
    of = {s: str(g) for g, kinds in rows["species"].fillna("").items() for s in kinds.split(";") if s}
    for kind in region.species.listed:
        each = {of.get(member) for member in region.species.members(kind)}
        if len(each) == 1 and (group := each.pop()):
            of[kind] = group
    return rows, of


def equations(species: Sequence[str], fitted: bool = False, *, region: Region) -> tuple[np.ndarray, list[str]]:
    """The three figures of each species' growth equation, and where they come from.

    Parameters
    ----------
    species
        Plain common names.
    fitted
        Whether the equations fitted to remeasured trees are used for the species they cover (oak, cherry, hickory and
        red maple stands).
    region
        Region whose tables are used.

    Returns
    -------
    Array (species, 3): b0, b1, b2 of growth = exp(b0 + b1 ln dbh + b2 BAL/100), and words for each species.
    """
    return _equations(tuple(species), fitted, region=region)


@once
def _equations(species: tuple[str, ...], fitted: bool, *, region: Region) -> tuple[np.ndarray, list[str]]:
    names = [region.species.name(s) for s in species]
    b1, b2 = growth_default("shape_ln_dbh", region), growth_default("shape_bal_per_100", region)
    size, bal = growth_default("anchor_dbh_in", region), growth_default("anchor_bal_sqft", region)
    out = np.empty((len(names), 3))
    out[:, 0] = np.log(anchors(names, region)) - b1 * np.log(size) - b2 * bal / 100.0
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


def cored_pct(cores: pd.DataFrame, level: float = LEVEL) -> Estimate:
    """What cored trees grew a year, in percent of the basal area they have today: growth percent from cores alone.

    Parameters
    ----------
    cores
        dbh_in [in], years [yr], growth_in (diameter growth in those years [in]), one row a tree; one at least.
    level
        Share of times the range should hold the mean of such trees.

    Returns
    -------
    Mean of 100 (1 - (diameter then / diameter now)^2) / years over trees, its range from how far trees differ. Trees
    that died have no core, so it is more than a stand grows.

    Notes
    -----
    Diameters under bark in the handbook; those over it give the same where bark is a steady share of the tree.

    Source: Service forester's handbook, growth calculation: 1 - sum (d.i.b./D.I.B.)^2 / trees.
    """
    then = (cores["dbh_in"] - cores["growth_in"]).clip(lower=0.0) / cores["dbh_in"]
    pct = (100.0 * (1.0 - then**2) / cores["years"]).to_numpy(dtype=float)
    n = len(pct)
    se = None if n < 2 else float(np.std(pct, ddof=1) / np.sqrt(n))
    return interval(
        float(pct.mean()), "percent a year", se=se, df=n - 1.0, n=n, level=level, why=reason("cored trees", trees=n)
    )


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


@dataclass(frozen=True)
class OwnFigures:
    """What own cores and trees measured twice put on growth: factor (species, stand) over what was expected, and what
    stays unknown, as standard deviations of logarithms (stand): place_log_sd, shared by all stands, and stand_log_sd,
    the stand's own part.
    """

    factor: np.ndarray
    place_log_sd: np.ndarray
    stand_log_sd: np.ndarray


def own_figures(
    cores: pd.DataFrame,
    expected_in_per_yr: Any,
    stand_ids: Sequence[str],
    species: Sequence[str],
    site_log_sd: Any,
    region: Region,
) -> OwnFigures:
    """What cores and remeasured trees say over what the equations and the site say, for each stand and species.

    Parameters
    ----------
    cores
        stand_id, species, dbh_in [in], years, growth_in (diameter growth in those years [in]).
    expected_in_per_yr
        Growth by equations and site for each of them [in/yr].
    stand_ids, species
        Columns and rows wanted.
    site_log_sd
        How far the site is off before any core, by stand.
    region
        Region whose table holds the weighting.

    Returns
    -------
    ``OwnFigures``; the factor is held to .4 to 2.

    Notes
    -----
    Three levels, w = n/(n + half) at each (``news.gain``: half is how many cores tell as much as was known), ratio
    = sum measured / sum expected. Place on what was expected, half 2.2 where the site is off by .45, else in
    proportion to 1 over its square: ln f = w ln ratio. Species in the place, half 4: its own ratio over that of the
    place, by w. Stand in the place, half 8, its species set right: w ln ratio + (1 - w) ln f. Left of the place:
    site sd x sqrt(half/(n + half)), in a stand times 1 - w of its own; of the stand: .23 sqrt(8/(n + 8)). Source:
    forest ageing, section 8.
    """
    expected = np.asarray(expected_in_per_yr, dtype=float)
    if len(expected) != len(cores):
        raise InputError(f"{len(expected)} expected growths for {len(cores)} cores")
    place_half, species_half, stand_half, unknown_sd, between_sd = (
        growth_default(name, region)
        for name in (
            "cores_half_place",
            "cores_half_species",
            "cores_half_stand",
            "site_sd_unknown",
            "between_stands_sd",
        )
    )
    names, ids = [region.species.name(s) for s in species], [str(one) for one in stand_ids]
    known = np.isfinite(expected) & (expected > 0)
    rows = cores[known]
    e = expected[known]
    m = (rows["growth_in"] / rows["years"]).to_numpy(dtype=float)
    s = pd.Index(names).get_indexer(pd.Index([region.species.name(one) for one in rows["species"]]))
    k = pd.Index(ids).get_indexer(pd.Index(rows["stand_id"].astype(str)))
    least = growth_default("site_factor_low", region) / 4.0

    def ln_ratio(at: np.ndarray, size: int, expected: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Number of cores in each group, and ln of measured over expected (0 where there is none)."""
        inside = at >= 0
        n, grown, told = (np.bincount(at[inside], of[inside], size) for of in (np.ones(len(at)), m, expected))
        return n, np.log(np.where(n > 0, np.maximum(grown / np.where(n > 0, told, 1.0), least), 1.0))

    whole = np.array([0]).repeat(len(e))
    n, of_place = (float(one[0]) for one in ln_ratio(whole, 1, e))
    n_species, of_species = ln_ratio(s, len(names), e)
    apart = gain(n_species, species_half) * (of_species - of_place)
    n_stand, of_stand = ln_ratio(k, len(ids), e * np.exp(np.append(apart, 0.0)[s]))
    site_sd = np.broadcast_to(np.asarray(site_log_sd, dtype=float), (len(ids),))
    half = place_half * (unknown_sd / site_sd) ** 2
    weight = gain(n_stand, stand_half)
    stand = weight * of_stand + (1.0 - weight) * of_place * gain(n, half)
    low, high = growth_default("site_factor_low", region), growth_default("site_factor_high", region)
    return OwnFigures(
        factor=np.clip(np.exp(apart[:, None] + stand), low, high),
        place_log_sd=site_sd * np.sqrt(gain(half, n)) * (1.0 - weight),
        stand_log_sd=between_sd * np.sqrt(gain(stand_half, n_stand)),
    )

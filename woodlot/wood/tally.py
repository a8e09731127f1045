"""Tally: tree rows to cords and board feet, per acre, per stand, per parcel and in all.

One tree      products
Per acre      per_ac, species_shares
Ranges        volume_table_cv, learned_cv, stacked_cv, pile_errors, totals, totals_by, sums, parts_of_range
Ground        ground

Cords are sound wood without bark from a 1-foot stump to a 4-inch top; the solid cubic feet in a cord are always an
argument. The sawlog part and the firewood part of a stem add up to it, so tops and crooked logs are counted once. Live
and dead trees are never in one sum. Acres are working acres: the ground the plots could fall in.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.estimate import LEVEL, Estimate, add, reason, sampling_only, scale, shared_only
from woodlot.region import Region
from woodlot.stand.cruise import Shared, estimates, on_acres
from woodlot.stand.plots import means, plot_sums
from woodlot.wood import heights
from woodlot.wood.cords import cords_from_cuft

__all__ = [
    "STACKED_LEFT",
    "TABLE_LEFT",
    "ground",
    "learned_cv",
    "parts_of_range",
    "per_ac",
    "pile_errors",
    "products",
    "species_shares",
    "stacked_cv",
    "sums",
    "totals",
    "totals_by",
    "volume_table_cv",
    "with_kinds",
]

CORDS = ("cords", "sawlog_cords", "firewood_cords")
GROUNDS = ("stand_id", "parcel_id", "all")
VOLUME_TABLE, STACKING, KINDS = "volume table", "stacking", "kinds of several species"
#: What the woodpile leaves of the variance of the table, and of cords that are stacked (``wood.taught``).
TABLE_LEFT, STACKED_LEFT = "table left", "stacked left"


def _chosen(name: str, *, region: Region) -> float:
    return region.figure("defaults_tally", name)


def products(trees: pd.DataFrame, solid_cuft_per_cord: float) -> pd.DataFrame:
    """What each tree holds, in cords.

    Parameters
    ----------
    trees
        Tallied trees after ``tree.volume.volumes``: sound_merch_cuft, sound_sawlog_cuft, merch_cuft [cu ft].
    solid_cuft_per_cord
        Solid wood in a stacked cord, no bark [cu ft].

    Returns
    -------
    A copy with cords (sound stem, 1-ft stump to 4-in top), sawlog_cords (the part to the sawlog top), firewood_cords
    (the rest of it, so that both add up to cords) and gross_cords (no defect taken off).
    """
    out = trees.copy()
    out["cords"] = cords_from_cuft(trees["sound_merch_cuft"], solid_cuft_per_cord)
    out["sawlog_cords"] = cords_from_cuft(trees["sound_sawlog_cuft"], solid_cuft_per_cord)
    out["firewood_cords"] = out["cords"] - out["sawlog_cords"]
    out["gross_cords"] = cords_from_cuft(trees["merch_cuft"], solid_cuft_per_cord)
    if (out["firewood_cords"] < -1e-9).any():
        raise InputError("the sawlog part of a tree is more than the whole stem")
    return out


def per_ac(
    plots: pd.DataFrame,
    trees: pd.DataFrame,
    columns: tuple[str, ...] = CORDS,
    alive: bool = True,
    split: str | None = None,
) -> pd.DataFrame:
    """Means per acre and their standard errors by stand, of any columns that are amounts per tree.

    Parameters
    ----------
    plots
        Every plot visited, also the empty ones (``stand.plots.expand``).
    trees
        Result of ``products``.
    columns
        Columns of trees (cords, sawlog_cords, firewood_cords, gross_cords, bdft ...).
    alive
        Live or dead trees.
    split
        "species", or another column of trees, to have each of its values apart.

    Returns
    -------
    Frame with stand_id, (the split,) what, n, plots, plots_with, mean, se, cv_pct (``stand.plots.means``).
    """
    return means(plot_sums(plots, trees, columns, alive=alive, split=split))


def species_shares(table: pd.DataFrame) -> pd.DataFrame:
    """Share of each species in a stand, sum over sum: stand_id, species, mean, share_pct; the largest first.

    ``table`` has stand_id, species, mean (``OfSpecies.means``).
    """
    out = table[["stand_id", "species", "mean"]].copy()
    whole = out.groupby("stand_id")["mean"].transform("sum")
    out["share_pct"] = 100.0 * out["mean"] / whole.where(whole > 0)
    return out.sort_values(["stand_id", "mean"], ascending=[True, False], kind="stable").reset_index(drop=True)


def volume_table_cv(trees: pd.DataFrame, *, region: Region) -> pd.Series:
    """How far the volume table may be off in each stand, by how its heights came about.

    Parameters
    ----------
    trees
        Result of ``products`` of expanded trees: stand_id, cover, alive, trees_per_ac, cords, height_from, method.
    region
        Whose figures are used.

    Returns
    -------
    Relative error (CV) by stand_id, by the number of measured heights behind the stand (``heights.table_cv``); of trees
    whose height comes from a regional curve it is that of none measured. Weighted by the cords that rest on each, since
    one table is off by the same factor on every tree.
    """
    worth = heights.behind(trees, region=region)["worth"]
    known = heights.taken(trees) | (trees["height_from"] == "fitted")
    one = heights.table_cv(trees["stand_id"].map(worth).where(known, 0.0), region=region)
    cords = (trees["cords"] * trees["trees_per_ac"]).where(trees["alive"]).fillna(0.0)
    weighed = pd.DataFrame({"stand_id": trees["stand_id"], "cords": cords, "part": one * cords})
    sums = weighed.groupby("stand_id")[["cords", "part"]].sum()
    none = float(heights.table_cv(0.0, region=region))
    return (sums["part"] / sums["cords"].where(sums["cords"] > 0)).fillna(none)


def learned_cv(table_cv: Any, *, region: Region) -> Any:
    """Error of the volume table, numbers or a Series, after what the family's woodpile taught it."""
    left = region.times(TABLE_LEFT)
    return table_cv if left == 1.0 else np.sqrt(np.expm1(np.log1p(np.square(table_cv)) * left))


def stacked_cv(learned: Any, *, region: Region) -> Any:
    """Error of cords that will be stacked, table and stacking together, from the ``learned_cv`` of their table.

    A pile that is lower than foretold speaks of table and cord at once: what is learned of both together is more than
    of either.
    """
    cord = np.log1p(np.square(_chosen("stacking_cv", region=region)))
    both = np.log1p(np.square(learned)) / region.times(TABLE_LEFT) + cord
    return np.sqrt(np.expm1(both * region.times(STACKED_LEFT)))


def pile_errors(learned: Any, *, region: Region) -> tuple[Any, float]:
    """Errors of table and of stacking, apart as long as no woodpile tied them: then all of it stands in the first."""
    if not region.learned:
        return learned, _chosen("stacking_cv", region=region)
    return stacked_cv(learned, region=region), 0.0


def with_kinds(shared: Shared, trees: pd.DataFrame, *, region: Region) -> Shared:
    """Errors common to all plots, and beside them what kinds of several species add where any stand.

    A tree that is only known as a kind (maple, unknown hardwood) may be any of its species, and no plot mends that: the
    kind's volume_spread (species.csv), weighted by the cords that rest on it, as one error common to all such trees.
    """
    spread = np.asarray(region.species.spread(trees["species"], "volume_spread"), dtype=float)
    cords = (trees["cords"] * trees["trees_per_ac"]).where(trees["alive"]).fillna(0.0)
    weighed = pd.DataFrame({"stand_id": trees["stand_id"], "cords": cords, "part": spread * cords})
    sums = weighed.groupby("stand_id")[["cords", "part"]].sum()
    part = (sums["part"] / sums["cords"].where(sums["cords"] > 0)).fillna(0.0)
    return {**shared, KINDS: part} if (part > 0).any() else shared


def totals(
    table: pd.DataFrame,
    stands: pd.DataFrame,
    unit: str,
    by: str = "all",
    shared: Shared | None = None,
    level: float = LEVEL,
    *,
    region: Region,
) -> dict[str, Estimate]:
    """Totals over the working acres: by stand, by parcel, or in all (by species: ``wood.of_species``).

    Parameters
    ----------
    table
        Rows of ``per_ac`` for one thing (one value of ``what``).
    stands
        stand_id, parcel_id, acres (working acres) of every stand, also of those without plots; like (may be missing:
        name of its like, ``stand.spread.alike``).
    unit
        Unit of the totals ("cords").
    by
        "stand_id", "parcel_id" or "all".
    shared
        Name -> relative error common to all plots, a number or a Series by stand_id.
    level
        Share of times a range should hold the truth.
    region
        Whose figures are used.

    Returns
    -------
    Key -> Estimate; "all" has one key, "all". Stands without plots are left out, and ``why`` says so. Sums take the
    sampling errors of stands (their moderated spreads, not their trimmed ranges) in squares and each shared error
    straight. A parcel without any plot has no value.
    """
    return totals_by((by,), table, stands, unit, shared, level, region=region)[by]


def totals_by(
    by: Sequence[str],
    table: pd.DataFrame,
    stands: pd.DataFrame,
    unit: str,
    shared: Shared | None = None,
    level: float = LEVEL,
    *,
    region: Region,
) -> dict[str, dict[str, Estimate]]:
    """``totals`` by each of several; what a stand holds is estimated once for all."""
    like = stands.set_index(stands["stand_id"].astype(str)).get("like")
    rows = table[table["stand_id"].astype(str).isin(stands["stand_id"].astype(str))]
    per_acre = estimates(rows, f"{unit} an acre", shared, level, region=region, cover=like)
    return sums(by, per_acre, stands, unit, level)


def sums(
    by: Sequence[str], per_acre: Mapping[str, Estimate], stands: pd.DataFrame, unit: str, level: float
) -> dict[str, dict[str, Estimate]]:
    """``totals_by`` of what is known on an acre of each stand (``stand.cruise.estimates``)."""
    known = stands.set_index(stands["stand_id"].astype(str))
    each = on_acres({s: e for s, e in per_acre.items() if s in known.index}, known["acres"], unit)
    out = {"stand_id": each} if "stand_id" in by else {}
    for one in (other for other in by if other != "stand_id"):
        groups = known.groupby(one, sort=True)["acres"] if one == "parcel_id" else [("all", known["acres"])]
        out[one] = {
            str(key): _sum({s: each[s] for s in acres.index if s in each}, acres, unit, level) for key, acres in groups
        }
    return out


def _sum(parts: Mapping[str, Estimate], acres: pd.Series, unit: str, level: float) -> Estimate:
    """The sum of stands: ``acres`` are those of all stands."""
    known = {stand: e for stand, e in parts.items() if e.value is not None}
    without = float(acres.sum() - acres.reindex(list(known)).sum())
    left_out = reason("acres without plots", acres=without) if without >= 0.05 else None
    if not known:
        why = next((e.why for e in parts.values()), reason("no plot yet"))
        return Estimate(None, unit, level=level, ground_ac=0.0, why=why)
    out = add(known.values())
    if not out.value:
        out = _nothing(out, known.values())
    elif all(e.why and e.why.key == "usual spread" for e in known.values() if e.value):
        out = replace(out, why=reason("usual spread"))
    whys = tuple(filter(None, (out.why, left_out)))
    return replace(out, why=reason("together", parts=whys) if whys else None)


def _nothing(out: Estimate, parts: Collection[Estimate]) -> Estimate:
    """A sum of nothing: the most there may be by all plots as one sample."""
    plots = sum(dict(e.why.facts).get("plots", e.n) if e.why else e.n for e in parts)
    limits = [(e.ground_ac, e.high) for e in parts]
    out = replace(out, why=reason("nothing on plots", plots=plots))
    if any(not high or not ground for ground, high in limits):
        return out
    most = float(out.ground_ac or 0.0) / sum(float(ground or 0.0) / float(high or 1.0) for ground, high in limits)
    return replace(out, high=most)


def parts_of_range(cords: Estimate, *, region: Region) -> dict[str, Estimate]:
    """The range of a number of cords, its two parts apart and together.

    Returns
    -------
    "plots" (only the part that more plots would mend), "table" (only the part that no plot can mend), "together" (the
    estimate itself) and "stacked" (with the error of stacking too: for cords that are to be compared with a stack).
    """
    errors = dict(cords.shared)
    table, stacking = pile_errors(errors.get(VOLUME_TABLE, 0.0), region=region)
    errors |= {VOLUME_TABLE: float(table)} if VOLUME_TABLE in errors else {}
    stacked = scale(replace(cords, shared=tuple(errors.items())), 1.0, cords.unit, {STACKING: stacking})
    return {"plots": sampling_only(cords), "table": shared_only(cords), "together": cords, "stacked": stacked}


def ground(stands: pd.DataFrame, table: pd.DataFrame) -> dict[str, float]:
    """Working acres: in all, with plots behind them, and without [ac]."""
    with_plots = stands["stand_id"].astype(str).isin(set(table["stand_id"].astype(str)))
    acres = float(stands["acres"].sum())
    cruised = float(stands.loc[with_plots, "acres"].sum())
    return {"acres": acres, "acres_with_plots": cruised, "acres_without": acres - cruised}

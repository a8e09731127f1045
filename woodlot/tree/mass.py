"""Dry weight of trees above the ground and of their parts.

dry_lb_jenkins_2003         whole tree from diameter and species group
parts_lb_jenkins_2003       its parts: stem wood and bark to a 4-in top, branches and top, foliage; roots beside
dry_lb_westfall_2024        parts from diameter and total height, made to add up

The two do not divide a tree alike: the first keeps tip AND stump in "branches and top", the second's stem runs from the
ground to the tip. Never add branches of one to a stem of the other.
"""

from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.tables import table
from woodlot.tree.inputs import between, default, numbers, positive, records
from woodlot.tree.rows import division_name, row
from woodlot.tree.species import species_codes, wood_property
from woodlot.tree.westfall import checked, ln_quantity, over_species
from woodlot.units import CM_PER_IN, LB_PER_KG

__all__ = ["dry_lb_jenkins_2003", "dry_lb_westfall_2024", "parts_lb_jenkins_2003"]


def _groups(group: Any) -> np.ndarray:
    """Numbers 1 to 9 from numbers or names of groups."""
    rows = table("groups_jenkins_2003")
    names = {str(n).lower(): g for n, g in zip(rows["name"], rows["jenkins_group"], strict=True)}
    flat = np.atleast_1d(np.asarray(group, dtype=object))
    told = pd.Series(flat.ravel()).map(lambda g: names.get(g.lower(), -1) if isinstance(g, str) else g)
    numbered = pd.to_numeric(told, errors="coerce").to_numpy(dtype=float)
    if not np.isin(numbered, rows["jenkins_group"].to_numpy()).all():
        raise InputError(f"a species group is 1 to 9 or one of {', '.join(names)}; found {group!r}")
    return numbered.astype(int).reshape(np.shape(group))


def _together(dbh_in: Any, group: Any) -> tuple[np.ndarray, np.ndarray, Any]:
    numbered = _groups(group)
    told = pd.Series(numbered, index=group.index) if isinstance(group, pd.Series) else numbered
    (dbh, which), back = numbers(dbh_in=dbh_in, group=told)
    positive(dbh_in=dbh)
    between("dbh_in", dbh, 0.0, default("dbh_most_in"), "diameter is in inches")
    return dbh, which.astype(int), back


def dry_lb_jenkins_2003(dbh_in: Any, group: Any) -> Any:
    """Oven-dry weight of a tree above the ground with leaves, pounds.

    dbh_in: diameter at breast height (in), 1 or more; group: species group 1 to 9 (woodlot.tree.species.jenkins_group)
    or its name. Returns pounds. Good to about 30 percent for one species; high in small red maple and red oak.

    Notes: kg = exp(b0 + b1 ln(dbh in cm)).

    Example: group 9 at 12 in: exp(-2.0127 + 2.4342 ln 30.48) = 547.4 kg = 1,207 lb.

    Source: Jenkins and others 2003, as carried in a public reference table (jenkins_2003).
    """
    dbh, which, back = _together(dbh_in, group)
    rows = table("groups_jenkins_2003").set_index("jenkins_group")
    b0, b1 = (rows[c].reindex(range(10)).to_numpy()[which] for c in ("b0", "b1"))
    return back(np.exp(b0 + b1 * np.log(dbh * CM_PER_IN)) * LB_PER_KG)


def parts_lb_jenkins_2003(dbh_in: Any, group: Any) -> pd.DataFrame:
    """Oven-dry weight of the parts of a tree, pounds: one row per tree.

    Arguments as for dry_lb_jenkins_2003. Returns columns total_lb (above ground) = stem_wood_lb + stem_bark_lb +
    branches_and_top_lb + foliage_lb, and coarse_roots_lb, which come on top. Stem wood and bark run from a 1-ft stump
    to a 4-in top (from memory), so that branches_and_top_lb also holds the stump.

    Notes: share of a part = exp(b0 + b1 / dbh in cm); branches and top are the rest.

    Example: sugar maple 12 in: foliage 2.05 percent, wood 61.6, bark 12.6, branches and top 23.7, roots 18.9 on top.

    Source: Jenkins and others 2003 (jenkins_2003).
    """
    dbh, which, _ = _together(dbh_in, group)
    total = np.atleast_1d(dry_lb_jenkins_2003(dbh, which))
    rows = table("groups_jenkins_2003").set_index("jenkins_group")
    hard = (rows["hard_soft"].reindex(range(10)) == "hardwood").to_numpy()[np.atleast_1d(which)]
    parts = records("components_jenkins_2003", "component", "hard_soft")
    inverse = 1.0 / (np.atleast_1d(dbh) * CM_PER_IN)
    out = pd.DataFrame({"total_lb": total})
    for part in ("stem_wood", "stem_bark", "foliage", "coarse_roots"):
        leaf, needle = parts[part, "hardwood"], parts[part, "softwood"]
        share = np.exp(np.where(hard, leaf["b0"], needle["b0"]) + np.where(hard, leaf["b1"], needle["b1"]) * inverse)
        out[f"{part}_lb"] = total * share
    used = out["stem_wood_lb"] + out["stem_bark_lb"] + out["foliage_lb"]
    out.insert(3, "branches_and_top_lb", out["total_lb"] - used)
    index = next((a.index for a in (dbh_in, group) if isinstance(a, pd.Series)), None)
    return out if index is None else out.set_index(index)


def _keeps_parts(species: str, division: str) -> bool:
    """Whether total weight of this species is known to be wrong, so that the sum of parts stands at every size."""
    rows = table("doubtful_westfall_2024")
    return bool(((rows["action"] == "sum of parts") & (rows["species"] == species)).any())


def dry_lb_westfall_2024(dbh_in: Any, height_ft: Any, species: Any, division: str = "210") -> pd.DataFrame:
    """Oven-dry weight of a tree and its parts, pounds: one row per tree.

    dbh_in (in), height_ft: TOTAL height (ft), species: name or column, division: ecological division. Returns columns
    wood_lb, bark_lb, branch_lb (together total_lb, above ground without leaves), foliage_lb (on top of it),
    parts_ratio (total by its own equation over the sum of the parts as their equations give them) and guarded (True
    where that ratio was set aside).

    Notes: stem wood is its volume times specific gravity times 62.4; bark S6; branches S7; total S8; the three parts
    are scaled by the ratio so that they add to the total (from memory). Where the ratio leaves 0.75 to 1.30, and for
    white spruce and eastern redcedar at every size, the total is known to go wrong and the parts stand as they are.

    Example: sugar maple 12 in, 65 ft, division 210: total 1,131.8 lb, ratio 0.971.

    Source: Westfall and others 2024, supplement S1, S6 to S9 (westfall_2024); guard derived.
    """
    division = division_name(division)
    (dbh, height), _ = checked(dbh_in, height_ft)
    if not isinstance(species, str):
        dbh, height = np.broadcast_to(dbh, np.shape(species)), np.broadcast_to(height, np.shape(species))
    dbh, height = np.atleast_1d(dbh).ravel(), np.atleast_1d(height).ravel()
    codes, known = species_codes(species, len(dbh))
    names = ("wood_lb", "bark_lb", "branch_lb", "total_lb", "foliage_lb", "parts_ratio", "guarded")
    outs = [np.full(len(dbh), np.nan) for _ in names]
    water, low, high = default("water_lb_per_cuft"), default("parts_ratio_low"), default("parts_ratio_high")

    def kernel(name, d, h, wood, bark, branch, total, foliage, ratio, guarded):
        ln_d, ln_h = np.log(d), np.log(h)
        by = {
            q: np.exp(ln_quantity(row(q, name, division), d, ln_d, ln_h))
            for q in ("wood_cuft", "bark_lb", "branch_lb", "total_lb", "foliage_lb")
        }
        by["wood_cuft"] *= wood_property(name, "wood_sg") * water
        parts = by["wood_cuft"] + by["bark_lb"] + by["branch_lb"]
        ratio[:] = by["total_lb"] / parts
        guarded[:] = (ratio < low) | (ratio > high) | _keeps_parts(name, division)
        factor = np.where(guarded == 1.0, 1.0, ratio)
        wood[:], bark[:], branch[:] = by["wood_cuft"] * factor, by["bark_lb"] * factor, by["branch_lb"] * factor
        total[:], foliage[:] = parts * factor, by["foliage_lb"]

    over_species(kernel, codes, known, [dbh, height], outs)
    out = pd.DataFrame(dict(zip(names, outs, strict=True)))
    out["guarded"] = out["guarded"] == 1.0
    index = next((a.index for a in (dbh_in, height_ft, species) if isinstance(a, pd.Series)), None)
    return out if index is None else out.set_index(index)

"""Dry weight of trees above the ground and of their parts.

What a sawyer or stove owner wants from it: pounds that rise with the tree, with no step between two that are alike.

dry_lb_westfall_2024        parts from diameter and total height, made to add up
"""

from typing import Any

import numpy as np
import pandas as pd

from woodlot.region import Region
from woodlot.tree.rows import division_name, row
from woodlot.tree.westfall import checked, ln_quantity, over_species

__all__ = ["dry_lb_westfall_2024"]


def _held(total: np.ndarray, stem: np.ndarray, branch: np.ndarray, *, region: Region) -> tuple[np.ndarray, ...]:
    """Weight of a whole tree and what its stem is multiplied by, from its equations of total, stem and limbs.

    The total by its own equation serves, at least low times stem and limbs (limbs as no more than a share of the stem:
    those of a short thick tree run away). The stem is scaled by total over parts, within low and high.
    """
    low, high, most_limbs = (
        region.figure("defaults_tree", name) for name in ("parts_ratio_low", "parts_ratio_high", "limbs_most_of_stem")
    )
    held = np.maximum(total, low * (stem + np.minimum(branch, most_limbs * stem)))
    return held, np.clip(total / (stem + branch), low, high)


def dry_lb_westfall_2024(
    dbh_in: Any, height_ft: Any, species: Any, division: str = "210", *, region: Region
) -> pd.DataFrame:
    """Oven-dry weight of a tree and its parts, pounds: one row per tree.

    dbh_in (in), height_ft: TOTAL height (ft), species: name or column, division: ecological division. Returns columns
    wood_lb, bark_lb, branch_lb (together total_lb, above ground without leaves), foliage_lb (on top of it),
    parts_ratio (total by its own equation over the sum of the parts as their equations give them) and guarded (True
    where that ratio leaves 0.75 to 1.30, for a kind of several species for any of them).

    Notes: stem wood is its volume times specific gravity times 62.4; bark S6; branches S7; total S8; the three parts
    are scaled by the ratio so that they add to the total (from memory). Beyond 0.75 to 1.30 wood and bark stay at
    that edge and the limbs take the rest, so that no weight jumps and a thicker or taller tree never weighs less; limbs
    alone are lighter in a taller tree of one diameter, as published. No total is under 0.75 of stem and limbs.

    Example: sugar maple 12 in, 65 ft, division 210: total 1,131.8 lb, ratio 0.971.

    Source: Westfall and others 2024, supplement S1, S6 to S9 (westfall_2024); edges derived.
    """
    division = division_name(division, region=region)
    (dbh, height), _ = checked(dbh_in, height_ft, region=region)
    if not isinstance(species, str):
        dbh, height = np.broadcast_to(dbh, np.shape(species)), np.broadcast_to(height, np.shape(species))
    dbh, height = np.atleast_1d(dbh).ravel(), np.atleast_1d(height).ravel()
    codes, known = region.species.codes(species, len(dbh))
    names = ("wood_lb", "bark_lb", "branch_lb", "total_lb", "foliage_lb", "parts_ratio", "guarded")
    outs = [np.full(len(dbh), np.nan) for _ in names]
    water = region.figure("defaults_tree", "water_lb_per_cuft")

    def kernel(name, d, h, wood, bark, branch, total, foliage, ratio, guarded):
        ln_d, ln_h = np.log(d), np.log(h)
        by = {
            q: np.exp(ln_quantity(row(q, name, division, region=region), d, ln_d, ln_h))
            for q in ("wood_cuft", "bark_lb", "branch_lb", "total_lb", "foliage_lb")
        }
        by["wood_cuft"] *= region.species.wood_property(name, "wood_sg") * water
        stem = by["wood_cuft"] + by["bark_lb"]
        total[:], factor = _held(by["total_lb"], stem, by["branch_lb"], region=region)
        ratio[:] = by["total_lb"] / (stem + by["branch_lb"])
        guarded[:] = factor != ratio
        wood[:], bark[:] = by["wood_cuft"] * factor, by["bark_lb"] * factor
        branch[:], foliage[:] = total - wood - bark, by["foliage_lb"]

    over_species(kernel, codes, known, [dbh, height], outs, region=region)
    out = pd.DataFrame(dict(zip(names, outs, strict=True)))
    out["guarded"] = out["guarded"] > 0.0
    index = next((a.index for a in (dbh_in, height_ft, species) if isinstance(a, pd.Series)), None)
    return out if index is None else out.set_index(index)

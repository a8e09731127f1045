"""Dry weight of trees above the ground and of their parts.

dry_lb_westfall_2024        parts from diameter and total height, made to add up
"""

from typing import Any

import numpy as np
import pandas as pd

from woodlot.region import Region
from woodlot.tree.rows import division_name, row
from woodlot.tree.westfall import checked, ln_quantity, over_species

__all__ = ["dry_lb_westfall_2024"]


def _keeps_parts(species: str, division: str, *, region: Region) -> bool:
    """Whether total weight of this species is known to be wrong, so that the sum of parts stands at every size."""
    rows = region.table("doubtful_westfall_2024")
    return bool(((rows["action"] == "sum of parts") & (rows["species"] == species)).any())


def dry_lb_westfall_2024(
    dbh_in: Any, height_ft: Any, species: Any, division: str = "210", *, region: Region
) -> pd.DataFrame:
    """Oven-dry weight of a tree and its parts, pounds: one row per tree.

    dbh_in (in), height_ft: TOTAL height (ft), species: name or column, division: ecological division. Returns columns
    wood_lb, bark_lb, branch_lb (together total_lb, above ground without leaves), foliage_lb (on top of it),
    parts_ratio (total by its own equation over the sum of the parts as their equations give them) and guarded (True
    where that ratio was set aside, for a kind of several species for any of them).

    Notes: stem wood is its volume times specific gravity times 62.4; bark S6; branches S7; total S8; the three parts
    are scaled by the ratio so that they add to the total (from memory). Where the ratio leaves 0.75 to 1.30, and for
    white spruce and eastern redcedar at every size, the total is known to go wrong and the parts stand as they are.

    Example: sugar maple 12 in, 65 ft, division 210: total 1,131.8 lb, ratio 0.971.

    Source: Westfall and others 2024, supplement S1, S6 to S9 (westfall_2024); guard derived.
    """
    division = division_name(division, region=region)
    (dbh, height), _ = checked(dbh_in, height_ft, region=region)
    if not isinstance(species, str):
        dbh, height = np.broadcast_to(dbh, np.shape(species)), np.broadcast_to(height, np.shape(species))
    dbh, height = np.atleast_1d(dbh).ravel(), np.atleast_1d(height).ravel()
    codes, known = region.species.codes(species, len(dbh))
    names = ("wood_lb", "bark_lb", "branch_lb", "total_lb", "foliage_lb", "parts_ratio", "guarded")
    outs = [np.full(len(dbh), np.nan) for _ in names]
    water, low, high = (
        region.figure("defaults_tree", "water_lb_per_cuft"),
        region.figure("defaults_tree", "parts_ratio_low"),
        region.figure("defaults_tree", "parts_ratio_high"),
    )

    def kernel(name, d, h, wood, bark, branch, total, foliage, ratio, guarded):
        ln_d, ln_h = np.log(d), np.log(h)
        by = {
            q: np.exp(ln_quantity(row(q, name, division, region=region), d, ln_d, ln_h))
            for q in ("wood_cuft", "bark_lb", "branch_lb", "total_lb", "foliage_lb")
        }
        by["wood_cuft"] *= region.species.wood_property(name, "wood_sg") * water
        parts = by["wood_cuft"] + by["bark_lb"] + by["branch_lb"]
        ratio[:] = by["total_lb"] / parts
        guarded[:] = (ratio < low) | (ratio > high) | _keeps_parts(name, division, region=region)
        factor = np.where(guarded == 1.0, 1.0, ratio)
        wood[:], bark[:], branch[:] = by["wood_cuft"] * factor, by["bark_lb"] * factor, by["branch_lb"] * factor
        total[:], foliage[:] = parts * factor, by["foliage_lb"]

    over_species(kernel, codes, known, [dbh, height], outs, region=region)
    out = pd.DataFrame(dict(zip(names, outs, strict=True)))
    out["guarded"] = out["guarded"] > 0.0
    index = next((a.index for a in (dbh_in, height_ft, species) if isinstance(a, pd.Series)), None)
    return out if index is None else out.set_index(index)

"""What a tree of each species and size holds at this place: cords and board feet by class, on the place's own heights.

by_class   arrays (species, class) of cords, sawlog cords and board feet of one sound tree
"""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from woodlot.region import Region
from woodlot.stand.grow import classes
from woodlot.tree.volume import volumes
from woodlot.wood import boards, tally

__all__ = ["by_class"]

WHAT = ("cords", "sawlog_cords", "bdft")


def by_class(
    species: Sequence[str],
    measured: pd.DataFrame,
    division: str,
    solid_cuft_per_cord: float,
    log_rule: str,
    region: Region,
) -> dict[str, np.ndarray]:
    """Cords, sawlog cords and board feet of one tree in the middle of each class.

    Parameters
    ----------
    species
        Rows of what comes out.
    measured
        The place's tallied trees (species, dbh_in, height_ft, height_from): their measured heights shape the curves.
    division, solid_cuft_per_cord, log_rule, region
        As for ``tree.volume.volumes``, ``wood.tally.products`` and ``wood.boards.bdft``.

    Returns
    -------
    Name -> array (species, class), no defect taken off.
    """
    sizes = classes(region=region)
    made = pd.DataFrame({"species": np.repeat(np.array(list(species), dtype=object), len(sizes))})
    made["dbh_in"] = np.tile(sizes, len(species))
    made["height_ft"], made["alive"] = np.nan, True
    own = measured[["species", "dbh_in", "height_ft", "alive"]].copy()
    if "height_from" in measured:
        own["height_ft"] = own["height_ft"].where(measured["height_from"] == "measured")
    both = pd.concat([made, own], ignore_index=True)
    trees = tally.products(volumes(both, division, region=region), solid_cuft_per_cord)
    trees["bdft"] = boards.bdft(trees, log_rule, region=region)
    shape = (len(species), len(sizes))
    return {k: trees[k].to_numpy(dtype=float)[: len(made)].reshape(shape) for k in WHAT}

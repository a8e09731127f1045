"""What a tree of each species and size holds at this place: cords and board feet by class, on the place's own heights.

by_class          arrays (species, class) of cords, sawlog cords and board feet of one sound tree
trees_of_classes  the trees that they are worked out for
"""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from woodlot.region import Region
from woodlot.stand.grow import classes
from woodlot.tree.volume import volumes
from woodlot.wood import boards, tally

__all__ = ["by_class", "trees_of_classes"]

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
    shape = (len(species), len(classes(region=region)))
    trees = tally.products(
        volumes(trees_of_classes(species, measured, region), division, region=region), solid_cuft_per_cord
    )
    trees["bdft"] = boards.bdft(trees, log_rule, region=region)
    return {k: trees[k].to_numpy(dtype=float)[: shape[0] * shape[1]].reshape(shape) for k in WHAT}


def trees_of_classes(species: Sequence[str], measured: pd.DataFrame, region: Region) -> pd.DataFrame:
    """A tree in the middle of each class of each species; behind them the measured trees, which shape the heights."""
    sizes = classes(region=region)
    made = pd.DataFrame({"species": np.repeat(np.array(list(species), dtype=object), len(sizes))})
    made["dbh_in"], made["height_ft"], made["alive"] = np.tile(sizes, len(species)), np.nan, True
    own = measured[["species", "dbh_in", "height_ft", "alive"]].copy()
    if "height_from" in measured:
        own["height_ft"] = own["height_ft"].where(measured["height_from"] == "measured")
    return pd.concat([made, own], ignore_index=True)

"""What a tree of each species and size gives the stove when it is cut for its best use: logs go to the pile.

A stove owner wants heat, and a sawyer wants no log burnt: cords of a plan are told with the heat of their stove wood.

by_class   arrays (species, class) of heat, stove wood, logs and board feet of one tree
NAMES      what they are called
"""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from woodlot.plan.wood_values import trees_of_classes
from woodlot.plan.woods import chosen
from woodlot.region import Region
from woodlot.stand.grow import classes
from woodlot.tree.volume import volumes
from woodlot.wood.best_use import best_use
from woodlot.wood.cords import heat_mmbtu_per_cord

__all__ = ["NAMES", "by_class"]

NAMES = ("heat_mmbtu", "stove_cords", "log_cords", "log_bdft")


def by_class(
    species: Sequence[str],
    measured: pd.DataFrame,
    division: str,
    solid_cuft_per_cord: float,
    log_rule: str,
    burn_logs: bool = False,
    *,
    region: Region,
) -> dict[str, np.ndarray]:
    """Heat [million Btu gross], cords for the stove, cords in logs and their board feet of one tree.

    Parameters
    ----------
    species, measured, division, solid_cuft_per_cord, log_rule, region
        As for ``wood_values.by_class``.
    burn_logs
        Whether logs go to the stove too; else they go to the pile, from the share of stems that is straight enough.

    Returns
    -------
    Name -> array (species, class).
    """
    shape = (len(species), len(classes(region=region)))
    trees = volumes(trees_of_classes(species, measured, region), division, region=region)
    trees = trees.iloc[: shape[0] * shape[1]].reset_index(drop=True)
    used = best_use(trees, division=division, solid_cuft_per_cord=solid_cuft_per_cord, log_rule=log_rule, region=region)
    a_cuft = np.asarray(heat_mmbtu_per_cord(trees["species"], 20.0, solid_cuft_per_cord, "gross", region=region))
    a_cuft = a_cuft / solid_cuft_per_cord
    straight = 0.0 if burn_logs else chosen("straight_share", region)
    kept = straight * (trees["sound_merch_cuft"] - used["stem_fire_cuft"]).clip(lower=0.0)
    limbs = used["heat_mmbtu"] / a_cuft - used["stem_fire_cuft"]
    stove = trees["sound_merch_cuft"] - kept + limbs
    out = {
        "heat_mmbtu": stove * a_cuft,
        "stove_cords": stove / solid_cuft_per_cord,
        "log_cords": straight * used["log_cuft"] / solid_cuft_per_cord,
        "log_bdft": straight * used["log_bdft"],
    }
    return {name: out[name].to_numpy(dtype=float).reshape(shape) for name in NAMES}

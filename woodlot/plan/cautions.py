"""What to mind before cutting, stand by stand, by wood_cautions.csv. No tree is ever said to be safe.

of_stand   cautions for one stand
caution    one caution
"""

from collections.abc import Collection

import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.region import Region
from woodlot.trade import SUGARBUSH
from woodlot.tree.quality import WINDTHROWN

__all__ = ["caution", "of_stand"]


def caution(key: str, region: Region, **facts: float) -> Reason:
    """One caution: its text is the region's, and the facts are what that text leaves open."""
    return reason("caution", of=key, text=str(region.table("wood_cautions").set_index("key")["text"][key]), **facts)


def of_stand(
    trees: pd.DataFrame,
    frozen_ground_only: bool,
    miles_from_home: float | None,
    region: Region,
    wishes: Collection[str] = (),
) -> tuple[Reason, ...]:
    """Cautions for one stand.

    ``trees`` are the tallied trees of the stand (species, alive; quality where words were written); ``miles_from_home``
    is that of its parcel (NaN where no home point was given, None where it lies in none); ``wishes`` what the family
    wishes of the stand.
    """
    ash, oak = (region.species.within(trees["species"], kind) for kind in ("ash", "oak"))
    dead = ~trees["alive"].astype(bool)
    miles = miles_from_home or 0.0
    dead_ash = (ash & dead).any()
    thrown = "quality" in trees and trees["quality"].fillna("").str.contains(WINDTHROWN).any()
    out = [("dead_ash", dead_ash), ("dead_trees", dead.any() and not dead_ash), ("frozen", frozen_ground_only)]
    out += [("windthrown", thrown), ("oak_wilt", oak.any())]
    out += [(key, SUGARBUSH in wishes) for key in ("sap_season", "sap_crowns")]
    moved = [caution("moved_wood", region, miles=miles)] if miles > 0 and (ash | oak).any() else []
    return (*(caution(key, region) for key, there in out if there), *moved)

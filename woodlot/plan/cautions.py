"""What to mind before cutting, stand by stand, by wood_cautions.csv; with deer, by deer_cautions.csv.

A family wants to be told what can hurt it where it reads what it will do. No tree is ever said to be safe, no deer
anybody's right.

of_stand        cautions for one stand
caution         one caution
of_deer         everything to mind before a hunt
short_of_deer   the same in short by topic, for whatever else tells of deer; SIGN, STAND, TAKEN: topics of what is shown
"""

from collections.abc import Collection

import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.region import Region
from woodlot.trade import SUGARBUSH
from woodlot.tree.quality import WINDTHROWN

__all__ = ["SIGN", "STAND", "TAKEN", "caution", "of_deer", "of_stand", "short_of_deer"]

#: Topics where signs are counted, where somebody sits in wait, where a deer is taken home.
SIGN, STAND = ("law", "count"), ("law", "shot", "stand")
TAKEN = ("law", "disease", "lead", "kitchen")


def caution(key: str, region: Region, **facts: float) -> Reason:
    """One caution: its text is the region's, and the facts are what that text leaves open."""
    return reason("caution", of=key, text=str(region.table("wood_cautions").set_index("key")["text"][key]), **facts)


def of_stand(
    trees: pd.DataFrame,
    frozen_ground_only: bool,
    miles_from_home: float | None,
    region: Region,
    wishes: Collection[str] = (),
    sick: Collection[str] = (),
) -> tuple[Reason, ...]:
    """Cautions for one stand.

    ``trees`` are the tallied trees of the stand (species, alive; quality where words were written); ``miles_from_home``
    is that of its parcel (NaN where no home point was given, None where it lies in none); ``wishes`` what the family
    wishes of the stand; ``sick`` kinds of sick, dying and dead trees that were noted there, "" for some of no name.
    """
    kinds = pd.concat([trees["species"].astype(object), pd.Series([one for one in sick if one], dtype=object)])
    ash, oak = (region.species.within(kinds, kind) for kind in ("ash", "oak"))
    noted_ash, ash_here = ash[len(trees) :].any(), ash[: len(trees)]
    dead = ~trees["alive"].astype(bool)
    miles = miles_from_home or 0.0
    dead_ash = (ash_here & dead).any() or noted_ash
    thrown = "quality" in trees and trees["quality"].fillna("").str.contains(WINDTHROWN).any()
    out = [("dead_ash", dead_ash), ("dead_trees", dead.any() and not dead_ash), ("frozen", frozen_ground_only)]
    out += [("sick_trees", len(sick) > 0), ("windthrown", thrown), ("oak_wilt", oak.any())]
    out += [(key, SUGARBUSH in wishes) for key in ("sap_season", "sap_crowns")]
    moved = [caution("moved_wood", region, miles=miles)] if miles > 0 and (ash | oak).any() else []
    return (*(caution(key, region) for key, there in out if there), *moved)


def of_deer(region: Region) -> tuple[str, ...]:
    """Everything to mind before a hunt, whole sentences."""
    return tuple(map(str, region.table("deer_cautions")["text"]))


def short_of_deer(region: Region, topics: Collection[str] = ()) -> dict[str, str]:
    """Topic -> what to mind in short, in the order of the table: of some topics, or of all that have a short form."""
    short = region.table("deer_cautions").set_index("topic")["short"].dropna()
    return {str(topic): str(text) for topic, text in short.items() if text and (not topics or topic in topics)}

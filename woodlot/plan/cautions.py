"""What to mind before cutting, stand by stand, in words from wood_cautions.csv. No tree is ever said to be safe.

of_stand   keys and words for one stand
words      the text of one caution
"""

import pandas as pd

from woodlot.region import Region

__all__ = ["of_stand", "words"]

ASH, OAK = ("ash",), ("oak",)


def words(key: str, region: Region, **fill: object) -> str:
    """The text of one caution, with what it leaves open filled in."""
    rows = region.table("wood_cautions").set_index("key")["text"]
    return str(rows[key]).format(**fill)


def of_stand(
    trees: pd.DataFrame, frozen_ground_only: bool, miles_from_home: float | None, region: Region
) -> dict[str, str]:
    """Cautions for one stand: key -> words.

    ``trees`` are the tallied trees of the stand (species, alive); ``miles_from_home`` is that of its parcel (NaN where
    no home point was given, None where it lies in none).
    """
    last_word = trees["species"].str.split().str[-1]
    dead = ~trees["alive"].astype(bool)
    keys: dict[str, dict[str, object]] = {}
    if (last_word.isin(ASH) & dead).any():
        keys["dead_ash"] = {}
    elif dead.any():
        keys["dead_trees"] = {}
    if frozen_ground_only:
        keys["frozen"] = {}
    if last_word.isin(OAK).any():
        keys["oak_wilt"] = {}
    if (miles_from_home or 0.0) > 0 and last_word.isin(ASH + OAK).any():
        keys["moved_wood"] = {"miles": f"{miles_from_home:.1f}"}
    return {key: words(key, region, **fill) for key, fill in keys.items()}

"""Heights measured: how far they bring the volume table, and which trees are worth one more.

What a forester wants: no more heights than tell something. The level of a stand's heights is one error that all its
plots share: a few measured heights take most of it away, then only a woodpile helps.

Measured      taken, behind
Table         table_cv
Wanted        wanted
"""

from typing import Any

import numpy as np
import pandas as pd

from woodlot.region import Region

__all__ = ["behind", "table_cv", "taken", "wanted"]


def taken(trees: pd.DataFrame) -> pd.Series:
    """Whether the height of each live tree was measured: its total height, or that of its merchantable stem."""
    by_height = trees["height_from"] == "measured"
    if "method" in trees:
        by_height |= trees["method"] == "beers_1964"
    return by_height & trees["alive"].astype(bool)


def behind(trees: pd.DataFrame, *, region: Region) -> pd.DataFrame:
    """Heights measured behind each stand with trees.

    Parameters
    ----------
    trees
        Expanded trees after ``tree.volume.volumes``: stand_id, cover, alive, height_from, method.
    region
        Whose figures are used.

    Returns
    -------
    Frame by stand_id with here and of_cover (trees measured for height in the stand and in its cover) and worth
    (heights in the stand that would tell as much as both: a cover's count for less, as 25 for 10).
    """
    of_stand, of_cover = (region.figure("defaults_sampling", f"heights_of_{name}") for name in ("stand", "cover"))
    rows = trees[["stand_id", "cover"]].assign(here=taken(trees).astype(float))
    out = rows.groupby("stand_id").agg(here=("here", "sum"), cover=("cover", "first"))
    out["of_cover"] = out.groupby("cover")["here"].transform("sum")
    out["worth"] = np.maximum(out["here"], out["of_cover"] * of_stand / of_cover)
    return out[["here", "of_cover", "worth"]]


def table_cv(heights: Any, *, region: Region) -> np.ndarray:
    """Relative error of a volume table by the heights measured in a stand.

    Notes
    -----
    CV^2 = table^2 + level^2 / heights, and never more than with no height measured, table^2 + unmeasured^2: at .10, .10
    and .11 it is .149 for none, .115 for 3, .110 for 5, .105 for 10, .102 for 25.
    """
    table, level, none = (
        region.figure("defaults_sampling", name) for name in ("table_cv", "height_level_cv", "unmeasured_cv")
    )
    k = np.asarray(heights, dtype=float)
    of_level = np.divide(level**2, k, out=np.full(k.shape, np.inf), where=k > 0)
    return np.sqrt(table**2 + np.minimum(of_level, none**2))


def wanted(trees: pd.DataFrame, *, region: Region) -> pd.DataFrame:
    """Heights still worth measuring, by stand and kind of tree.

    Parameters
    ----------
    trees
        As for ``behind``, with species and basal_sqft_per_ac.
    region
        Whose figures are used.

    Returns
    -------
    Frame with stand_id, species, has and more: kinds that hold a fair share of their stand, the largest first, until
    each has its few and the stand its fill; nothing where stand or cover has enough. What the kinds leave of the
    stand's fill is under species "" (any kind).
    """
    figure = {
        name: region.figure("defaults_sampling", name)
        for name in ("heights_of_stand", "heights_of_cover", "heights_of_species", "height_share")
    }
    known = behind(trees, region=region)
    left = np.ceil(figure["heights_of_stand"] - known["here"])
    left = left.where((left > 0) & (known["of_cover"] < figure["heights_of_cover"]), 0.0)
    live = trees[trees["alive"].astype(bool)].assign(has=taken(trees).astype(float))
    kinds = live.groupby(["stand_id", "species"])[["basal_sqft_per_ac", "has"]].sum().reset_index()
    share = kinds["basal_sqft_per_ac"] / kinds.groupby("stand_id")["basal_sqft_per_ac"].transform("sum")
    kinds = kinds.assign(share=share, open=kinds["stand_id"].map(left))
    kinds = kinds[(kinds["share"] > figure["height_share"]) & (kinds["open"] > 0)]
    kinds = kinds.sort_values(["stand_id", "share", "species"], ascending=[True, False, True], kind="stable")
    short = (figure["heights_of_species"] - kinds["has"]).clip(lower=0.0)
    before = short.groupby(kinds["stand_id"]).cumsum() - short
    kinds["more"] = np.minimum(short, (kinds["open"] - before).clip(lower=0.0))
    rest = left[left > 0] - kinds.groupby("stand_id")["more"].sum().reindex(left.index[left > 0]).fillna(0.0)
    other = pd.DataFrame({"stand_id": rest.index, "species": "", "has": 0.0, "more": rest.to_numpy()})
    out = pd.concat([kinds[other.columns.tolist()], other], ignore_index=True)
    out = out[out["more"] > 0].sort_values("stand_id", kind="stable", ignore_index=True)
    return out.astype({"has": int, "more": int})

"""The most there may be where no plot of a stand holds any: a count of none is no proof of none.

limits        the limit of each thing in each stand, whatever was found
with_limits   a table of means with the limit of each row in which nothing was found

Who finds no tree on one plot must not read that the stand holds nothing. As many trees an acre as would have shown up
on these plots 19 times in 20 may still stand there.
"""

import numpy as np
import pandas as pd

from woodlot.region import Region
from woodlot.stand.plots import trees_per_ac_round
from woodlot.tree.inputs import column

__all__ = ["limits", "with_limits"]


def limits(table: pd.DataFrame, plots: pd.DataFrame, cover: pd.Series, *, region: Region) -> pd.DataFrame:
    """The most there may be of each thing where no plot of a stand holds any, by stand_id and what.

    Parameters
    ----------
    table
        Rows of ``plots.means`` for several things, among them trees_per_ac and basal_sqft_per_ac.
    plots
        Every plot visited: stand_id, kind, baf_sqft_per_ac, radius_ft.
    cover
        Cover by stand_id: what one tree holds is taken from the plots of the cover, where those hold none of the thing
        from all; missing where these hold none either.
    region
        Whose figures are used.

    Notes
    -----
    A tree of g sq ft is expected g/F times on a point of factor F, an acre's share a on a round plot: N trees an acre
    would be missed on all plots once in 20 where N x sum(g/F or a) = 3.0. So 3.0 F/n sq ft an acre on n points, 3.0/(n
    a) trees on n round plots; anything else by what the trees of the cover hold, sum over sum. 3.0 over what one tree
    makes of a stand's mean.
    """
    if table.empty:
        return pd.DataFrame()
    at = plots["stand_id"].astype(str)
    prism = plots["kind"].to_numpy() == "prism"
    points = np.where(prism, 1.0 / column(plots, "baf_sqft_per_ac"), 0.0)
    acres = np.where(prism, 0.0, 1.0 / trees_per_ac_round(np.where(prism, 1.0, column(plots, "radius_ft"))))
    seen = pd.DataFrame({"points": points, "acres": acres}, index=at.index).groupby(at).sum()
    wide = table.assign(stand_id=table["stand_id"].astype(str), sum=table["mean"] * table["plots"])
    sums = wide.pivot_table("sum", "stand_id", "what", aggfunc="sum")
    looked = seen.reindex(sums.index)
    of_cover = sums.groupby(cover.reindex(sums.index)).transform("sum").reindex(sums.index)
    most = region.figure("defaults_sampling", "unseen_trees")

    def by(held: pd.DataFrame) -> pd.DataFrame:
        expected = looked["acres"] * held["trees_per_ac"] + looked["points"] * held["basal_sqft_per_ac"]
        held = held.where(held > 0)
        return held.mul(most, axis=0).div(expected.where(expected > 0), axis=0)

    whole = pd.DataFrame([sums.sum()] * len(sums), index=sums.index)
    out = by(of_cover).fillna(by(whole))
    of_points, of_acres = looked["acres"] == 0, looked["points"] == 0
    out["basal_sqft_per_ac"] = out["basal_sqft_per_ac"].fillna(most / looked["points"].where(of_points))
    out["trees_per_ac"] = out["trees_per_ac"].fillna(most / looked["acres"].where(of_acres))
    return out


def with_limits(table: pd.DataFrame, most: pd.DataFrame) -> pd.DataFrame:
    """Means with ``unseen``: the most there may be (``limits``) where the mean is 0, missing elsewhere."""
    rows = most.index.get_indexer(pd.Index(table["stand_id"].astype(str)))
    columns = most.columns.get_indexer(pd.Index(table["what"]))
    return table.assign(unseen=np.where(table["mean"].to_numpy() == 0, most.to_numpy()[rows, columns], np.nan))

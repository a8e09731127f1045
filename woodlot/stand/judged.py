"""What is known of the trees of stands beside kind and size: words on plot trees, kinds that die, ash the borer is in.

Judged      by stand; ``of`` picks stands, ``none`` is a family that wrote no word
judged_of   from the trees of the plots
failing     kinds that die off in a stand: a share of them stands dead, or the stand is past their age

A word on a plot tree speaks for its kind and size in its stand: the shares of today hold in later years too.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.region import Region
from woodlot.stand.grow import class_of, classes
from woodlot.stand.of_one_age import ages_of
from woodlot.tree.quality import NOT_BY_HAND, limits

__all__ = ["GROUPS", "Judged", "failing", "judged_of"]

#: What a word makes of a tree, and which orders of tree_words.csv that is; what goes first stands first.
GROUPS = {"at risk": 1, "poor form": 2, "crowding": 3, "mature": 4, "good": 6, "crop": 7, "keep": 8, "apart": 9}


@dataclass(frozen=True)
class Judged:
    """What is known of trees beside kind and size.

    shares: of the trees of each kind and size, by ``GROUPS`` (group, species, class, stand), None where nobody wrote a
    word; failing: kinds that die off (species, stand); apart: kinds that no household fells there (species, stand);
    asked: stands on whose plots a tree has a word (stand).
    """

    shares: np.ndarray | None
    failing: np.ndarray
    apart: np.ndarray
    asked: np.ndarray

    @classmethod
    def none(cls, species: int, stands: int) -> "Judged":
        """Nothing is known."""
        of_kind = (species, stands)
        return cls(None, np.zeros(of_kind, dtype=bool), np.zeros(of_kind, dtype=bool), np.zeros(stands, dtype=bool))

    def of(self, stands: Any) -> "Judged":
        """The same of some stands, by position."""
        shares = None if self.shares is None else self.shares[..., stands]
        return Judged(shares, self.failing[:, stands], self.apart[:, stands], self.asked[stands])

    def trees(self, n: np.ndarray, group: str) -> np.ndarray:
        """Trees of one group among trees per acre (species, class, stand)."""
        return np.zeros_like(n) if self.shares is None else n * self.shares[list(GROUPS).index(group)]


def judged_of(
    trees: pd.DataFrame,
    stand_ids: Sequence[str],
    species: Sequence[str],
    failing: np.ndarray,
    apart: np.ndarray,
    *,
    region: Region,
) -> Judged:
    """What the words on plot trees say of each kind and size in each stand.

    trees: stand_id, species, dbh_in, trees_per_ac, alive, and quality and cull_pct where they are there; a tree that
    lost as much of its stem as the word rot takes off is of poor form, whatever else is written but crop and keep.
    """
    live = trees[trees["alive"].astype(bool)]
    said = limits(live, region=region)
    order = said["order"].to_numpy().copy()
    cull = pd.to_numeric(live["cull_pct"]).fillna(0.0).to_numpy() if "cull_pct" in live else np.zeros(len(live))
    rotten = cull >= region.figure("defaults_marking", "cull_pct")
    order = np.where(rotten & (said["never"] == "").to_numpy(), np.minimum(order, GROUPS["poor form"]), order)
    order = np.where(said["never"] == NOT_BY_HAND, GROUPS["apart"], order)
    ids = pd.Index([str(one) for one in stand_ids])
    stand = ids.get_indexer(pd.Index(live["stand_id"].astype(str)))
    asked = np.zeros(len(ids), dtype=bool)
    asked[stand[(said["words"] != "").to_numpy() & (stand >= 0)]] = True
    group = np.searchsorted(list(GROUPS.values()), order)
    there = np.isin(order, list(GROUPS.values()))
    if not there.any():
        return Judged(None, failing, apart, asked)
    kind = pd.Index(list(species)).get_indexer(pd.Index(live["species"]))
    size = class_of(pd.to_numeric(live["dbh_in"]).to_numpy(dtype=float, na_value=np.nan), region=region)
    many = live["trees_per_ac"].to_numpy(dtype=float)
    good = (kind >= 0) & (size >= 0) & (stand >= 0) & np.isfinite(many)
    whole = np.zeros((len(species), len(classes(region=region)), len(ids)))
    shares = np.zeros((len(GROUPS), *whole.shape))
    np.add.at(whole, (kind[good], size[good], stand[good]), many[good])
    good &= there
    np.add.at(shares, (group[good], kind[good], size[good], stand[good]), many[good])
    return Judged(np.divide(shares, whole, out=shares, where=whole > 0), failing, apart, asked)


def failing(
    trees: pd.DataFrame,
    stand_ids: Sequence[str],
    species: Sequence[str],
    age_yr: np.ndarray,
    aged: np.ndarray,
    pace: np.ndarray,
    *,
    region: Region,
) -> tuple[np.ndarray, np.ndarray]:
    """Kinds that die off in a stand (species, stand): those of which enough stands dead, and those past their age.

    trees: stand_id, species, alive, basal_sqft_per_ac; age_yr by stand; aged: kinds as old as their stand (species,
    stand); pace of each stand. Ash is left to the borer's own rule. Source: breakup_ages.csv.
    """
    ash = trees["species"].str.split().str[-1] == "ash"
    basal = trees.loc[~ash].groupby(["species", "stand_id"])["basal_sqft_per_ac"].sum()
    gone = trees.loc[~trees["alive"].astype(bool)].groupby(["species", "stand_id"])["basal_sqft_per_ac"].sum()
    share = (gone / basal).dropna()
    s = pd.Index(list(species)).get_indexer(share.index.get_level_values("species"))
    k = pd.Index([str(one) for one in stand_ids]).get_indexer(share.index.get_level_values("stand_id").astype(str))
    dead = np.zeros((len(species), len(stand_ids)), dtype=bool)
    many = (share.to_numpy() >= region.figure("defaults_marking", "failing_from_share")) & (s >= 0) & (k >= 0)
    dead[s[many], k[many]] = True
    onset = ages_of(species, pace, region=region)[0]
    return dead, np.asarray(aged & (onset <= np.nan_to_num(np.asarray(age_yr, dtype=float))))

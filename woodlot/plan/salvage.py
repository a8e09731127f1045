"""Stands whose trees die or break up: what a family should take before it is lost, whatever the stocking says.

A forester takes what will be dead before the next entry first. Ash is not among it: a dying ash is a professional's.

salvage   share of each stand that dies now, share that is past the age at which it breaks up, and the kinds that go
Salvage   what it gives
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from woodlot.plan.woods import chosen
from woodlot.region import Region
from woodlot.tree.quality import limits

__all__ = ["Salvage", "salvage"]


@dataclass(frozen=True)
class Salvage:
    """By stand the share of live basal area that dies now and that breaks up by its age; first: kinds that go first
    (species, stand).
    """

    dying: np.ndarray
    broken: np.ndarray
    first: np.ndarray


def salvage(
    trees: pd.DataFrame,
    ids: Sequence[str],
    species: Sequence[str],
    basal: np.ndarray,
    age_yr: np.ndarray,
    *,
    region: Region,
) -> Salvage:
    """What is to be salvaged in each stand.

    Parameters
    ----------
    trees
        Tallied trees (stand_id, species, alive, basal_sqft_per_ac, quality where anybody wrote one).
    ids, species
        Stands and kinds of the arrays.
    basal
        Live basal area (species, stand).
    age_yr
        Age of each stand; missing where nobody wrote one.
    region
        Whose figures are used.

    Notes
    -----
    Dying are live trees whose words say so, and a kind of breakup_ages.csv of which a quarter is dead (chosen); broken
    is such a kind in a stand as old as its age of break-up.
    """
    names = pd.Index(list(species))
    onset = _onset(names, region)
    whole = basal.sum(axis=0)
    share = np.divide(basal, whole, out=np.zeros_like(basal), where=whole > 0)
    ash = names.str.split().str[-1] == "ash"
    said, dead = _dying_words(trees, ids, names, region), _dead(trees, ids, names)
    gone = (dead >= chosen("dead_from_share", region)) & np.isfinite(onset)[:, None]
    dying = np.where(ash[:, None], 0.0, np.where(gone, 1.0, said))
    broken = (np.nan_to_num(age_yr, nan=-1.0) >= onset[:, None]) & (dying < 1.0)
    first = (dying > 0) | broken
    return Salvage((share * dying).sum(axis=0), (share * broken * (1.0 - dying)).sum(axis=0), first & (share > 0))


def _onset(names: pd.Index, region: Region) -> np.ndarray:
    """Age at which each kind breaks up; a kind of several species only where all of them have one."""
    ages = region.table("breakup_ages").set_index("species")["onset_yr"]
    each = [ages.reindex(region.species.members(name) or [name]) for name in names]
    return np.array([float(rows.max()) if rows.notna().all() else np.nan for rows in each])


def _shares(trees: pd.DataFrame, which: np.ndarray, ids: Sequence[str], names: pd.Index) -> np.ndarray:
    """Basal area of some trees over that of all, by kind and stand."""
    s, k = names.get_indexer(pd.Index(trees["species"])), pd.Index(list(ids)).get_indexer(pd.Index(trees["stand_id"]))
    known = (s >= 0) & (k >= 0)
    area = trees["basal_sqft_per_ac"].fillna(0.0).to_numpy(dtype=float)
    some, whole = np.zeros((2, len(names), len(ids)))
    np.add.at(whole, (s[known], k[known]), area[known])
    np.add.at(some, (s[known & which], k[known & which]), area[known & which])
    return np.divide(some, whole, out=np.zeros_like(some), where=whole > 0)


def _dying_words(trees: pd.DataFrame, ids: Sequence[str], names: pd.Index, region: Region) -> np.ndarray:
    live = trees[trees["alive"].to_numpy(dtype=bool)]
    judged = limits(live, region=region)
    return _shares(live, ((judged["standing_share"] == 0.0) & (judged["never"] == "")).to_numpy(), ids, names)


def _dead(trees: pd.DataFrame, ids: Sequence[str], names: pd.Index) -> np.ndarray:
    return _shares(trees, ~trees["alive"].to_numpy(dtype=bool), ids, names)

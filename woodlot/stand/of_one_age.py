"""Kinds of a stand that break up at an age: for which the written age speaks, how fast, and what is lost each year.

of_one_age      kinds that have the age of their stand
pace_seen       fast, mid or slow by what stands dead
ages_of         onset and half age of every kind in every stand
lost_by_year    share of each kind that break-up takes
brush_after     whether nothing stands that would follow
ageing_columns  what is said of each stand

An owner wants to know whether a stand still waits for him; he is told a range, since the pace shows only on the ground.
"""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from woodlot.covers import lineage
from woodlot.region import Region
from woodlot.stand.ageing import PACES, breakup, lost_in_year
from woodlot.tree.growth import growth_default

__all__ = ["ageing_columns", "ages_of", "brush_after", "lost_by_year", "of_one_age", "pace_seen"]


def of_one_age(species: Sequence[str], main: np.ndarray, cover: np.ndarray, *, region: Region) -> np.ndarray:
    """Kinds (species, stand) that are as old as their stand: its main kind, kinds of that genus and of those its cover
    is named after. A maple stand's age says nothing of the aspen in it.
    """
    genus = np.array([one.split()[-1] for one in species], dtype=object)
    of_main = np.array([str(one).split()[-1] if str(one) else "" for one in main], dtype=object)
    named = {str(one): {word for name in lineage(str(one), region) for word in name.split()} for one in set(cover)}
    of_cover = np.array([[one in named[str(name)] for name in cover] for one in genus], dtype=bool)
    return np.asarray((genus[:, None] == of_main) | of_cover.reshape(len(genus), len(of_main)))


def pace_seen(
    trees: pd.DataFrame, stand_ids: Sequence[str], species: Sequence[str], aged: np.ndarray, *, region: Region
) -> np.ndarray:
    """Pace of break-up of each stand by its standing dead over all standing basal area of the kinds that break up.

    trees: stand_id, species, alive, basal_sqft_per_ac; aged: ``of_one_age``. Mid where too few of them were tallied,
    and on a place where nobody tallied a dead tree: none noted is not none there.
    """
    out = np.full(len(stand_ids), "mid", dtype=object)
    alive = trees["alive"].astype(bool)
    if alive.all():
        return out
    least, fast, slow = (
        growth_default(f"pace_{name}", region=region) for name in ("least_trees", "fast_from_share", "slow_under_share")
    )
    breaks = aged & np.isfinite(breakup(species, "mid", region=region).onset_yr)[:, None]
    s = pd.Index(list(species)).get_indexer(pd.Index(trees["species"]))
    k = pd.Index([str(one) for one in stand_ids]).get_indexer(pd.Index(trees["stand_id"].astype(str)))
    good = (s >= 0) & (k >= 0)
    good[good] = breaks[s[good], k[good]]
    area, dead = trees["basal_sqft_per_ac"].fillna(0.0).to_numpy(dtype=float)[good], ~alive.to_numpy()[good]
    count, whole, gone = (
        np.bincount(k[good], weights=one, minlength=len(out)) for one in (np.ones(len(area)), area, area * dead)
    )
    share = np.divide(gone, whole, out=np.zeros(len(out)), where=whole > 0)
    enough = (count >= least) & (whole > 0)
    out[enough & (share > fast)], out[enough & (share < slow)] = "fast", "slow"
    return out


def ages_of(species: Sequence[str], pace: np.ndarray, *, region: Region) -> np.ndarray:
    """Onset, half and latest age to cut (3, species, stand) [yr] of every kind at the pace of each stand; NaN none."""
    out = np.full((3, len(species), len(pace)), np.nan)
    for one in PACES:
        at = np.asarray(pace) == one
        if at.any():
            ages = breakup(species, one, region=region)
            out[:, :, at] = np.stack([ages.onset_yr, ages.half_yr, ages.latest_cut_yr])[:, :, None]
    return out


def lost_by_year(ages: np.ndarray, aged: np.ndarray, age_yr: np.ndarray, years: int) -> np.ndarray | None:
    """Share of each kind that break-up takes in each year to come (years, species, stand); None where none does.

    ages: ``ages_of``; aged: ``of_one_age``; age_yr: of the stands now [yr], NaN where nobody wrote it.
    """
    age = age_yr + np.arange(years)[:, None, None]
    if not (aged & (age_yr + years > ages[0])).any():
        return None
    return np.where(aged & (age >= ages[0]), lost_in_year(age, ages[0], ages[1]), 0.0)


def brush_after(
    n: np.ndarray, short_kind: np.ndarray, species: Sequence[str], saplings: np.ndarray, *, region: Region
) -> np.ndarray:
    """Whether neither a sapling nor a small tree of another kind stands under kinds that break up (stand).

    n: trees (species, class, stand); short_kind: of each stand, "" for none; saplings [per ac], NaN not counted.
    """
    breaks = np.isfinite(breakup(species, "mid", region=region).onset_yr)
    under = (n[:, :2] * ~breaks[:, None, None]).any(axis=(0, 1))
    return (short_kind != "") & ~under & ~(np.nan_to_num(saplings) > 0)


def ageing_columns(
    stands: pd.DataFrame, basal: np.ndarray, species: Sequence[str], trees: pd.DataFrame, *, region: Region
) -> pd.DataFrame:
    """What is said of how each stand ages.

    Parameters
    ----------
    stands
        stand_id, cover, main (kind), age_yr (missing where not written).
    basal
        Basal area by species and stand [sq ft/ac].
    species
        Of its rows.
    trees
        As in ``pace_seen``.
    region
        Whose figures are used.

    Returns
    -------
    Frame, one row a stand: short_kind, the main kind that breaks up and is as old as the stand ("" for none); pace
    (fast, mid, slow: few dead in a stand that is not due yet say nothing); onset_yr, half_yr, latest_cut_yr of that
    kind (missing: none); short_share, of basal area in kinds that break up; past_age (yes/no: such kinds are the most
    of it, and past their onset), age_asked (yes/no: such kinds are the most of it, and no age is written).
    """
    main, age = stands["main"].to_numpy(dtype=object), stands["age_yr"].to_numpy(dtype=float)
    names, here = list(dict.fromkeys([*species, *(one for one in main if one)])), np.arange(len(stands))
    area = np.zeros((len(names), len(stands)))
    area[: len(species)] = basal
    unseen = (area.sum(axis=0) == 0) & (main != "")  # young aspen has no tree on its plots
    area[[names.index(one) if one else 0 for one in main], here] += unseen
    whole = area.sum(axis=0)
    share = np.divide(area, whole, out=np.zeros_like(area), where=whole > 0)
    aged = of_one_age(names, main, stands["cover"].to_numpy(), region=region)
    usual = ages_of(names, np.full(len(stands), "mid"), region=region)
    breaks = np.isfinite(usual[0])
    of_age = np.where(breaks & aged, share, 0.0)
    one, there = of_age.argmax(axis=0), of_age.max(axis=0, initial=0.0) > 0
    pace = pace_seen(trees, stands["stand_id"].tolist(), names, aged, region=region)
    pace = np.where((pace == "slow") & ~(age >= usual[2, one, here]), "mid", pace)
    ages = np.where(there, ages_of(names, pace, region=region)[:, one, here], np.nan)
    most = of_age.sum(axis=0) >= region.figure("defaults_schedule", "main_share")
    out = pd.DataFrame({"short_kind": np.where(there, np.array(names, dtype=object)[one], ""), "pace": pace})
    out[["onset_yr", "half_yr", "latest_cut_yr"]] = ages.T
    out["short_share"] = np.where(breaks, share, 0.0).sum(axis=0)
    out["past_age"], out["age_asked"] = most & (age >= ages[0]), most & np.isnan(age)
    return out.set_index(stands.index)

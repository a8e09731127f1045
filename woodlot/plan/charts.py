"""Charts of growth and the cut as plain data: each stand on its stocking guide.

stocking_charts  each stand that can be thinned: today, after a cut, in 10 and 20 years
fullness         the same as percent of a full stand by its guide, one row a stand
structures       uneven-aged stands beside the structure they should keep: trees to take by size and kind
"""

from typing import Any

import numpy as np
import pandas as pd

from woodlot import covers
from woodlot.plan.ceilings import Yearly
from woodlot.plan.woods import Woods, guide_of, run
from woodlot.region import Region
from woodlot.stand import grow, guides, marking
from woodlot.stand.stocking import quadratic_mean_diameter_in
from woodlot.units import basal_sqft

__all__ = ["fullness", "stocking_charts", "structures"]

LATER = (10, 20)


def stocking_charts(woods: Woods, yearly: Yearly, *, region: Region) -> dict[str, dict[str, Any]]:
    """Each stand that can be thinned on the guide of its cover, by stand_id (``stand.guides.stocking_chart``).

    The points are today, after the cut (where the stand is over what it should keep; a third at most), and 10 and 20
    years later with middle growth and no cut between.
    """
    table = yearly.table.reset_index(drop=True)
    k = np.flatnonzero(((table["way"] == "thin") & (woods.stands["basal"].to_numpy() > 0)).to_numpy())
    out = {}
    for stand, states in zip(k, _states(woods, table, k, region=region), strict=True):
        row = woods.stands.iloc[stand]
        gravity = float(_gravity(woods, region=region)[stand])
        out[str(row["stand_id"])] = guides.stocking_chart(row["cover"], gravity, states, row["main"], region=region)
    return out


def _states(woods: Woods, table: pd.DataFrame, k: np.ndarray, *, region: Region) -> list[list[dict[str, Any]]]:
    """Basal area and stems of some stands: today, after the cut where they are thinned, 10 and 20 years later."""
    if not len(k):
        return []
    over = (table["way"] == "thin").to_numpy()[k] & (table["over"].to_numpy(dtype=float)[k] >= 1.0)
    leave = np.full((max(LATER), len(k)), np.nan)
    leave[0] = np.where(over, table["leave_sqft_per_ac"].to_numpy(dtype=float)[k], np.nan)
    runs = run(woods, max(LATER), "mid", k, leave, region=region)
    out = []
    for j, stand in enumerate(k):
        row = woods.stands.iloc[stand]
        states = [{"when": "today", "basal": row["basal"], "stems": row["stems"]}]
        if over[j]:
            states.append({"when": "after the cut", "basal": runs.basal[0, j], "stems": runs.stems[0, j]})
        states += [{"when": f"in {y} years", "basal": runs.basal[y, j], "stems": runs.stems[y, j]} for y in LATER]
        out.append(states)
    return out


def _gravity(woods: Woods, *, region: Region) -> np.ndarray:
    """Specific gravity of the wood of each stand, mean over its basal area."""
    of = np.tensordot(woods.trees, basal_sqft(grow.classes(region=region)), axes=([1], [0]))
    return (of * woods.sg[:, None]).sum(axis=0) / np.where(of.sum(axis=0) > 0, of.sum(axis=0), 1.0)


def fullness(woods: Woods, yearly: Yearly, region: Region) -> list[dict[str, Any]]:
    """How full each measured stand is by the guide of its cover, today and later, percent of a full stand.

    Returns one mapping a stand with wood on its plots: stand_id, guide (words), keep_pct (what its cut should leave;
    None where it is not thinned), keep_seen, today_pct, after_pct (where it is over what it should keep, else None),
    in_10_pct, in_20_pct (after that cut, with middle growth and no other).

    Notes
    -----
    100 x basal area / basal area of a full stand of that quadratic mean diameter (``guides.full_basal_sqft``).
    """
    table = yearly.table.reset_index(drop=True)
    k = np.flatnonzero((woods.stands["basal"].to_numpy(dtype=float) > 0) & (woods.stands["stems"].to_numpy() > 0))
    gravity = _gravity(woods, region=region)
    out = []
    for stand, states in zip(k, _states(woods, table, k, region=region), strict=True):
        row, rule = woods.stands.iloc[stand], table.iloc[stand]
        pct = {}
        for state in states:
            size = quadratic_mean_diameter_in(state["basal"], state["stems"])
            full = guides.full_basal_sqft(row["cover"], size, gravity[stand], region=region)
            pct[state["when"]] = 100.0 * state["basal"] / full
        keep, left = rule["leave_sqft_per_ac"], states[1] if "after the cut" in pct else states[0]
        thinned = rule["way"] == "thin" and np.isfinite(keep)
        share = pct[left["when"]] / left["basal"]
        out.append(
            {
                "stand_id": str(row["stand_id"]),
                "guide": str(covers.said_of([row["cover"]], "guide", region)[0]),
                "keep_pct": float(keep * share) if thinned else None,
                "keep_seen": str(rule["leave_seen"]) if thinned else "",
                "today_pct": float(pct["today"]),
                "after_pct": float(pct["after the cut"]) if "after the cut" in pct else None,
                **{f"in_{y}_pct": float(pct[f"in {y} years"]) for y in LATER},
            }
        )
    return out


def structures(woods: Woods, yearly: Yearly, region: Region) -> list[dict[str, Any]]:
    """Uneven-aged stands beside the structure they should keep.

    Returns one mapping a stand whose cover has a structure: stand_id, cover, leave_sqft_per_ac, q, max_dbh_in, seen,
    classes (list of class_in, now, goal, take; trees per acre, smallest first) and guide (``marking_guide`` as
    a list of species, class_in, now, cut, leave, cut_sqft, words). A stand under what it should keep gives no tree.
    """
    rows = region.table("structures", rows=()).set_index("cover")
    table, sizes = yearly.table.reset_index(drop=True), grow.classes(region=region)
    out = []
    for k in np.flatnonzero((table["way"] == "thin") & (woods.stands["basal"].to_numpy(dtype=float) > 0)):
        cover, leave = str(table["cover"].iloc[k]), float(table["leave_sqft_per_ac"].iloc[k])
        goal = marking.structure_for(cover, leave, region=region)
        if goal is None:
            continue
        (name,) = covers.structure_of([cover], region)
        guide = guide_of(woods, int(k), cover, leave, region=region)
        take = guide.groupby("class_in")["cut"].sum().reindex(sizes, fill_value=0.0).to_numpy()
        now = woods.trees[:, :, k].sum(axis=0)
        some = np.flatnonzero((now > 0) | (goal > 0))
        out.append(
            {
                "stand_id": str(table["stand_id"].iloc[k]),
                "cover": cover,
                "leave_sqft_per_ac": leave,
                "q": float(rows["q"][name]),
                "max_dbh_in": float(rows["max_dbh_in"][name]),
                "seen": str(rows["seen"][name]),
                "classes": [
                    {"class_in": int(sizes[c]), "now": float(now[c]), "goal": float(goal[c]), "take": float(take[c])}
                    for c in some
                ],
                "guide": guide.assign(class_in=guide["class_in"].astype(int)).drop(columns="why").to_dict("records"),
            }
        )
    return out

"""Invented stands for trials of a hundred years: hardwoods, maples under old hemlock, oaks, some aspen, dying ash.

KINDS, STANDS   species, and trees an acre of each by stand
woods           the stands as woods of one day
"""

import numpy as np
import pandas as pd

from woodlot.plan.woods import Woods
from woodlot.region import shipped
from woodlot.stand import grow
from woodlot.stand.judged import Judged
from woodlot.units import basal_sqft

BASE = shipped("base")
KINDS = [
    "sugar maple",
    "red maple",
    "yellow birch",
    "quaking aspen",
    "eastern hemlock",
    "northern red oak",
    "white ash",
]
#: Trees an acre of 6, 8, 10, ... in, by stand and species.
STANDS = {
    ("hardwoods", "northern hardwoods"): {
        "sugar maple": [27, 21, 16, 12, 9, 7, 4, 2],
        "red maple": [20, 12, 6, 3],
        "yellow birch": [4, 4, 2, 1, 1],
    },
    ("under old hemlock", "northern hardwoods"): {
        "sugar maple": [60, 30, 8],
        "eastern hemlock": [0, 0, 4, 6, 6, 5, 4, 3, 2],
    },
    ("oaks", "oak"): {"northern red oak": [10, 12, 14, 10, 6, 4, 2], "red maple": [40, 20, 8, 2]},
    ("some aspen", "northern hardwoods"): {"sugar maple": [30, 24, 15, 8, 3], "quaking aspen": [0, 6, 10, 8, 2]},
    ("ash dies", "low, wet hardwoods"): {"red maple": [40, 25, 12, 5], "white ash": [10, 12, 10, 4]},
}


def woods(factor=1.0):
    """The stands above as woods of one day; the aspen is 55 years old, no sapling was counted but in the last."""
    count, names = len(grow.classes(region=BASE)), list(STANDS)
    trees = np.zeros((len(KINDS), count, len(names)))
    for k, name in enumerate(names):
        for kind, row in STANDS[name].items():
            trees[KINDS.index(kind), : len(row), k] = row
    sizes = grow.classes(region=BASE)
    cords = np.outer(np.linspace(0.9, 1.1, len(KINDS)), 0.0011 * sizes**2.3)
    stands = pd.DataFrame({"stand_id": [n for n, _ in names], "cover": [c for _, c in names]})
    stands["main"], stands["pace"] = [next(iter(row)) for row in STANDS.values()], "mid"
    stands["way"], stands["acres"], stands["age_yr"] = "stand table", 20.0, [np.nan, np.nan, np.nan, 55.0, np.nan]
    stands["backed"] = False
    stands["cords"] = 1.1 * np.tensordot(cords, trees, axes=2)
    stands["basal"] = basal_sqft(sizes) @ trees.sum(axis=0)
    deaths = np.zeros((len(KINDS), len(names)))
    deaths[KINDS.index("white ash"), -1] = 0.1
    return Woods(
        stands=stands,
        species=KINDS,
        trees=trees,
        factor={"mid": np.full((len(KINDS), len(names)), factor)},
        even={"mid": np.ones(len(names))},
        ratio=np.full(len(names), 1.1),
        values={"cords": cords},
        sg=np.array([0.56, 0.49, 0.55, 0.35, 0.38, 0.56, 0.55]),
        saplings=np.array([np.nan, np.nan, np.nan, np.nan, 120.0]),
        deaths=deaths,
        judged=Judged.none(len(KINDS), len(names)),
        solid=79.0,
    )

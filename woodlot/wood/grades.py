"""How good a log can be and what wood is worth beside other wood: grades by size, and the index of value.

grade_possible    the best grade that the size of a log allows
grade_sizes       the least small ends of grades at one length
species_factor    a board foot of a species over one of red oak
index             what a grade, a post, a million Btu is worth, by name
standing_share    what a tree left standing is worth over its wood
best_grade        the best grade that sweep and rot allow where they were measured

A sawyer wants the butt log whole and each log graded on its faces; a tally sees no faces. So a grade here is the best
that the size allows, never what the log is. The unit of value is a board foot in a grade-1 log of red oak: an order of
use, not a price.
"""

from typing import Any

import numpy as np
import pandas as pd

from woodlot.region import Region, once
from woodlot.tree.inputs import column

__all__ = [
    "NO_GRADE",
    "best_grade",
    "defect_pct",
    "grade_possible",
    "grade_sizes",
    "index",
    "species_factor",
    "standing_share",
]

#: Where no grade is possible: one more than the last.
NO_GRADE = 4
GRADES, VALUE, FACTORS = "log_grades", "log_value", "species_value"


def grade_possible(
    small_end_in: Any, length_ft: Any, butt: Any, word_best_grade: Any, species: Any, *, region: Region
) -> np.ndarray:
    """The best grade that the size of each log allows, ``NO_GRADE`` where none.

    small_end_in: inside bark (in); length_ft: without trim; butt: whether it begins at the butt cut; word_best_grade:
    the best that the words on its tree allow (0: none); species: of each log.

    Example: 13 in, 10 ft: 1 from the butt, 2 higher up; ash 12 in from the butt: 1.

    Source: log_grades.csv (southern_foresters_handbook). Faces are not seen.
    """
    top, long, at_butt, best = np.broadcast_arrays(small_end_in, length_ft, butt, word_best_grade)
    names = np.broadcast_to(np.asarray(species, dtype=object), top.shape)
    flat = [np.atleast_1d(each).ravel() for each in (top, long, at_butt, best, names)]
    out = np.full(len(flat[0]), NO_GRADE)
    for feet, from_butt in {*zip(flat[1].tolist(), flat[2].tolist(), strict=True)}:
        here = (flat[1] == feet) & (flat[2] == from_butt)
        sizes = grade_sizes(feet, from_butt, flat[3][here], flat[4][here], region=region)
        out[here] = NO_GRADE - (flat[0][here] >= sizes).sum(axis=0)
    return out.reshape(top.shape)


def grade_sizes(length_ft: float, butt: bool, best: np.ndarray, species: np.ndarray, *, region: Region) -> np.ndarray:
    """Least small end (in) at which a log of each tree may be grade 1, 2, 3 or better; infinite where it may not."""
    rows = region.table(GRADES).to_dict("records")
    out = np.full((NO_GRADE - 1, len(species)), np.inf)
    for row in rows:
        if length_ft >= row["length_ft"] and (butt or row["position"] == "any"):
            fits = np.ones(len(species), dtype=bool)
            if row["woods"] != "any":
                fits = _among(species, row["woods"], region=region)
            at = int(row["grade"]) - 1
            out[at] = np.where(fits, np.minimum(out[at], row["small_end_in"]), out[at])
    out = np.minimum.accumulate(out, axis=0)  # what may be a better grade may be the next one
    grade = np.arange(1, NO_GRADE)[:, None]
    return np.where((best == 0) | (grade < best), np.inf, out)


def _among(names: np.ndarray, woods: str, *, region: Region) -> np.ndarray:
    """Whether each species is surely of one of the kinds, named by a kind or by the last word of its name."""
    kinds = woods.split(";")
    known = [kind for kind in kinds if kind in region.species.listed]
    last = pd.Series(names).str.split().str[-1].isin(kinds).to_numpy()
    return np.logical_or.reduce([last, *(region.species.within(names, kind) for kind in known)])


def index(what: str, *, region: Region) -> float:
    """A figure of log_value.csv."""
    value: float = region.records(VALUE, "what")[what]["value"]
    return float(value)


@once
def _factor(name: str, *, region: Region) -> float:
    """Of one species; of a kind the least of its members, since it may be any of them."""
    rows = region.records(FACTORS, "species")
    members = region.species.members(name)
    if name not in rows and members != (name,):
        return min(_factor(one, region=region) for one in members)
    last = name.split()[-1]
    group = "hardwood" if bool(region.species.is_hardwood(name)) else "softwood"
    return float(rows[next(key for key in (name, last, group) if key in rows)]["factor"])


def species_factor(species: Any, *, region: Region) -> np.ndarray:
    """A board foot of each species over one of red oak, same grade.

    Example: sugar maple .93, basswood .28 (as other hardwoods). Source: species_value.csv.
    """
    codes, known = pd.factorize(np.asarray(species, dtype=object))
    return np.array([*(_factor(name, region=region) for name in known), np.nan])[codes]


def best_grade(trees: pd.DataFrame, words: np.ndarray, *, region: Region) -> np.ndarray:
    """The best grade of logs of each tree, 0 none, by its words and by sweep and rot where they were measured."""
    rows = region.table(GRADES).groupby("grade")[["most_sweep_pct", "most_cull_pct"]].max()
    measured = np.zeros(len(trees), dtype=int)
    sweep, rot = column(trees, "sweep_pct", 0.0), defect_pct(trees)
    for grade in sorted(rows.index, reverse=True):
        fits = (sweep <= rows["most_sweep_pct"][grade]) & (rot <= rows["most_cull_pct"][grade])
        measured = np.where(fits, grade, measured)
    return np.where((words == 0) | (measured == 0), 0, np.maximum(measured, words)).astype(int)


def defect_pct(trees: pd.DataFrame) -> np.ndarray:
    """Rot that may lie in any piece of a tree: none where its place is written, since no piece is cut across it."""
    return np.where(np.isfinite(column(trees, "defect_from_ft")), 0.0, column(trees, "cull_pct", 0.0))


def standing_share(trees: pd.DataFrame, judged: pd.DataFrame, *, region: Region) -> np.ndarray:
    """What each tree left standing is worth over its wood: by its words, and more for a young crop tree.

    A young crop tree: no word, thin, of a wood worth growing, no ash. Its wood is only stove wood as yet, so that a
    list of stove wood would take the dense young maple before the aspen beside it. judged: ``tree.quality.limits``.
    """
    dbh, factor = trees["dbh_in"].to_numpy(dtype=float), species_factor(trees["species"], region=region)
    young = (judged["words"] == "").to_numpy() & (dbh < index("young under", region=region))
    young = young & (factor >= index("young factor", region=region))
    young = young & ~_among(trees["species"].to_numpy(dtype=object), "ash", region=region)
    return np.where(young, index("young crop tree", region=region), judged["standing_share"].to_numpy(dtype=float))

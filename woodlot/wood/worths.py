"""What a piece of a tree is worth, by the index of value or by the owner's own prices, and what is left of its wood.

Worths    worth of pieces of many trees
worths    of a table of trees
shares_left    sound share of each tree on the scale and in the stove

An owner wants each stem cut for its highest use: a log by the grade its size allows and its species, a post by the
years it stands, the rest by its heat. Poles, and posts of woods that rot, are worth their heat: only a list asks for
them.
"""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import pandas as pd

from woodlot.region import Region
from woodlot.trade import BOTH_WOODS
from woodlot.tree.inputs import column
from woodlot.tree.quality import limits
from woodlot.wood.cutting import Choice
from woodlot.wood.grades import NO_GRADE, best_grade, grade_sizes, index, species_factor
from woodlot.wood.logs import log_bdft
from woodlot.wood.products import lasts

__all__ = ["Worths", "heat_mmbtu_per_cuft", "judged", "shares_left", "worths"]

#: Diameters (in) at which a log rule is compared with the square that stands in for it.
PROBES = np.array([4.0, 5.0, 6.5, 7.0, 9.0, 12.0, 16.0, 21.0, 30.0, 45.0, 70.0])


@dataclass(frozen=True)
class Worths:
    """One number a tree: species; factor of the species; scale_left: share of board feet that is sound; best: best
    grade allowed, 0 none; stove: worth of a cubic foot as drawn that goes to the stove; lasting: whether a post of it
    lasts.
    """

    species: np.ndarray
    factor: np.ndarray
    scale_left: np.ndarray
    best: np.ndarray
    stove: np.ndarray
    lasting: np.ndarray
    log_rule: str
    region: Region
    _kept: dict = field(default_factory=dict, repr=False)

    @cached_property
    def _value(self) -> dict[str, float]:
        names = ("grade 1", "grade 2", "grade 3", "lasting post", "veneer")
        thin = {"top": self.region.figure("defaults_needs", "lasting_top_in")}  # a thinner post is mostly sapwood
        return {name: index(name, region=self.region) for name in names} | thin

    def bdft(self, choice: Choice, tree: np.ndarray, top: np.ndarray) -> np.ndarray:
        """Sound board feet of logs with these thin ends."""
        if choice.length_ft not in self._kept:
            self._kept[choice.length_ft] = self._square(choice.length_ft)
        square = self._kept[choice.length_ft]
        if square is None:
            feet = np.asarray(log_bdft(np.maximum(top, 0.01), choice.length_ft, self.log_rule, region=self.region))
        else:
            feet = (square[0] * top + square[1]) * top + square[2]
        return feet * self.scale_left[tree]

    def _square(self, length_ft: float) -> tuple[float, float, float] | None:
        """The square that a log rule is from 4 in on, or None where it is none."""
        feet = np.asarray(log_bdft(PROBES, length_ft, self.log_rule, region=self.region))
        a, b, c = np.polyfit(PROBES[-3:], feet[-3:], 2)
        same = np.allclose((a * PROBES + b) * PROBES + c, feet, rtol=1e-9, atol=1e-7)
        return (float(a), float(b), float(c)) if same else None

    def grade(self, length_ft: float, tree: np.ndarray, top: np.ndarray, at_butt: np.ndarray) -> np.ndarray:
        """Grade possible of logs of one length; ``NO_GRADE`` where none."""
        out = np.full(len(tree), NO_GRADE)
        for butt in (False, True):
            here = at_butt == butt
            if here.any():
                sizes = self._sizes(length_ft, butt)
                out[here] = NO_GRADE - (top[here] >= sizes[:, tree[here]]).sum(axis=0)
        return out

    def _sizes(self, length_ft: float, butt: bool) -> np.ndarray:
        key = length_ft, butt
        if key not in self._kept:
            self._kept[key] = grade_sizes(length_ft, butt, self.best, self.species, region=self.region)
        return self._kept[key]

    def of(
        self, choice: Choice, tree: np.ndarray, top: np.ndarray, at_butt: np.ndarray, cuft: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray | None]:
        """Worth of pieces, and their board feet where a line counts them."""
        feet = self.bdft(choice, tree, top) if choice.kind == "sawlog" else None
        counted = feet if choice.by_feet else None
        if choice.value == choice.value:  # a price; none is NaN
            return choice.value * self._amount(choice, tree, feet, cuft), counted
        burnt = self.stove[tree] * cuft
        if choice.kind == "post":
            heart = self.lasting[tree] & (top >= self._value["top"] - 1e-9)
            return np.where(heart, self._value["lasting post"], burnt), counted
        if feet is None:
            return burnt, counted
        if choice.veneer:
            each = np.full(len(tree), self._value["veneer"])
        else:
            steps = [0.0, *(self._value[f"grade {g}"] for g in (3, 2, 1))]
            each = np.array(steps)[NO_GRADE - self.grade(choice.length_ft, tree, top, at_butt)]
        return np.where(each > 0, each * self.factor[tree] * feet, burnt), counted

    def _amount(self, choice: Choice, tree: np.ndarray, feet: np.ndarray | None, cuft: np.ndarray) -> np.ndarray:
        """What a piece counts by its own price: a piece, sound board feet or sound cubic feet."""
        if choice.counted_by == "piece":
            return np.ones(1)
        return feet if choice.counted_by == "bdft" and feet is not None else cuft * self.scale_left[tree]


def judged(trees: pd.DataFrame, *, region: Region) -> pd.DataFrame:
    """What the words of each tree allow, looked up once where nobody wrote any."""
    if "quality" in trees and trees["quality"].notna().any():
        return limits(trees, region=region)
    bare = limits(pd.DataFrame({"quality": [""]}), region=region)
    return bare.iloc[np.zeros(len(trees), dtype=int)].set_axis(trees.index)


def shares_left(
    trees: pd.DataFrame, said: pd.DataFrame | None = None, *, region: Region
) -> tuple[np.ndarray, np.ndarray]:
    """Share of each tree that is sound on the scale and in the stove: as measured, else as words say (``judged``)."""
    said = judged(trees, region=region) if said is None else said
    cull, sweep = column(trees, "cull_pct"), column(trees, "sweep_pct")
    rot = np.nan_to_num(cull) / 100.0
    placed = np.isfinite(column(trees, "defect_from_ft"))
    scale = (1.0 - np.where(placed, 0.0, rot)) * (1.0 - np.nan_to_num(sweep) / 100.0)
    measured = np.isfinite(cull) | np.isfinite(sweep)
    scale = np.where(measured | placed, scale, said["scale_left_share"].to_numpy(dtype=float))
    return scale, np.where(np.isfinite(cull), 1.0 - rot, said["heat_left_share"].to_numpy(dtype=float))


def heat_mmbtu_per_cuft(species: pd.Series, *, region: Region) -> np.ndarray:
    """Gross heat of a solid cubic foot of each wood, million Btu."""
    sg = np.asarray(region.species.wood_property(species, "wood_sg"), dtype=float)
    hard = np.asarray(region.species.is_hardwood(species), dtype=bool)
    of = {name: region.figure("defaults_firewood", f"hhv_{name}") for name in BOTH_WOODS}
    btu = np.where(hard, of["hardwood"], of["softwood"])
    return sg * region.figure("defaults_tree", "water_lb_per_cuft") * btu / 1e6


def worths(trees: pd.DataFrame, stove: np.ndarray, log_rule: str, said: pd.DataFrame, *, region: Region) -> Worths:
    """Worths of pieces of a table of trees; stove: worth of a cubic foot as drawn of each that goes to the stove; said:
    what words allow (``judged``).
    """
    species = trees["species"].astype(object).to_numpy()
    factor = species_factor(species, region=region)
    best = best_grade(trees, said["best_grade"].to_numpy(dtype=int), region=region)
    scale = shares_left(trees, said, region=region)[0]
    return Worths(species, factor, scale, best, stove, lasts(species, region=region), log_rule, region)

"""Marking: which trees go when a stand is cut, in which order, and which stay.

Structures   structure_for
Many stands  mark, marked, salvage, Rules, rules_for
One stand    marking_guide.py

What a forester wants of it: first the trees that die or break before the next entry, then poor ones, then those that
crowd the best, then kinds of little use, and only then room between good trees, from every size and never below what
the stand should keep. A class gives good trees by what it has over the structure, at most the share of one entry; what
is still to come then comes from all sizes alike. Trees the family keeps stay. A hung, leaning, hollow or dead tree and
an ash the borer is in are never marked: they stand apart, for people who do that for a living. No tree is chosen as
easy or fit for hand felling: a crew or a family decides that at the tree.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from woodlot.covers import structure_of
from woodlot.errors import InputError
from woodlot.region import Region, once
from woodlot.stand.grow import classes
from woodlot.stand.judged import Judged
from woodlot.stand.stocking import structure_bdq
from woodlot.units import basal_sqft

__all__ = ["WHYS", "Rules", "mark", "marked", "rules_for", "salvage", "shut", "structure_for"]

#: Why a tree goes, in the order of removal: keys of reasons.
WHYS = ("likely to die", "kind that dies", "poor form", "crowds a better tree", "grown out", "of little use", "spacing")


def _chosen(name: str, *, region: Region) -> float:
    return region.figure("defaults_marking", name)


@dataclass(frozen=True)
class Rules:
    """How stands are marked: order of the species (1 goes first), mast species, largest share of the basal area cut."""

    order: np.ndarray
    mast: np.ndarray
    share: float


def rules_for(species: Sequence[str], share: float | None = None, last: Sequence[str] = (), *, region: Region) -> Rules:
    """Rules for some species from marking_species.csv; ``share`` of the basal area at one entry, else the default;
    ``last``: species that go after all others.
    """
    rows = region.species.rows("marking_species")
    names = [region.species.name(s) for s in species]
    region.species.read_rows("marking_species", names)
    order = rows["order"].reindex(names).fillna(_chosen("order", region=region)).to_numpy(dtype=float)
    order = np.where(np.isin(names, list(last)), order.max(initial=0.0) + 1.0, order)
    mast = (rows["mast"].reindex(names) == "yes").to_numpy()
    most = region.figure("defaults_cut", "share_per_entry") if share is None else share
    return Rules(order, mast, most)


def structure_for(cover: str, leave_sqft: float, *, region: Region) -> np.ndarray | None:
    """Trees per acre to keep in each class of ``stand.grow.classes``; None for covers thinned through all classes."""
    shape = _shape_of(cover, region=region)
    return None if shape is None else shape * leave_sqft


@once
def _shape_of(cover: str, *, region: Region) -> np.ndarray | None:
    """The structure of a cover for one square foot an acre."""
    (name,) = structure_of([cover], region)
    if not name:
        return None
    rows = region.table("structures", rows=[name]).set_index("cover")
    most, q, width, least = (
        float(v) for v in rows.loc[name, ["max_dbh_in", "q", "class_width_in", "min_dbh_in"]].to_numpy()
    )
    rungs = structure_bdq(1.0, most, q, width, least)
    out = np.zeros(len(classes(region=region)))
    at = ((rungs["class_in"].to_numpy() - classes(region=region)[0]) / width).astype(int)
    out[at] = rungs["trees_per_ac"]
    return out


def mark(
    trees_per_ac: np.ndarray,
    leave_sqft: Any,
    rules: Rules,
    structure: np.ndarray | None = None,
    judged: Judged | None = None,
    *,
    region: Region,
) -> np.ndarray:
    """Trees to cut in many stands.

    Parameters
    ----------
    trees_per_ac
        Trees per acre (species, class, stand).
    leave_sqft
        Basal area to leave (stand) [sq ft/ac]; ash that dies is no part of it.
    rules
        ``rules_for``.
    structure
        Trees per acre to keep in each class (class) or (class, stand), made for that basal area; None takes from all
        classes alike.
    judged
        What is known of the trees beside kind and size; None: nothing.
    region
        Whose figures are used.

    Returns
    -------
    Trees per acre cut, in the shape of ``trees_per_ac``; never more than stands, never below ``leave_sqft``, never more
    than the largest share of the basal area.
    """
    parts = marked(np.asarray(trees_per_ac, dtype=float), leave_sqft, rules, structure, judged, region=region)
    return np.asarray(sum(parts.values()))


def salvage(trees_per_ac: np.ndarray, judged: Judged, *, region: Region) -> np.ndarray:
    """Trees to cut before they are lost, in the shape of ``trees_per_ac`` (species, class, stand).

    Those called at risk or dying, and most of a kind that dies off in its stand. They die whatever is kept, so a plan
    may take them from a stand under the stocking that a cut should leave, and count none of them as what is left; the
    basal area of what this gives is what such an entry may take. What stands apart is never in it.
    """
    n = np.asarray(trees_per_ac, dtype=float)
    return np.minimum(sum(_doomed(n, judged, region=region).values()), np.maximum(n - shut(n, judged), 0.0))


def _doomed(n: np.ndarray, judged: Judged, *, region: Region) -> dict[str, np.ndarray]:
    """Trees that die before the next entry, by why."""
    most = 1.0 - _chosen("keep_dying_share", region=region)
    return {
        "likely to die": judged.trees(n, "at risk"),
        "kind that dies": n * judged.failing[:, None, :] * most,
    }


def shut(n: np.ndarray, judged: Judged) -> np.ndarray:
    """Trees that nobody marks: the family keeps them, or no household fells them."""
    named = sum(judged.trees(n, group) for group in ("crop", "keep", "apart"))
    return np.minimum(named + n * judged.apart[:, None, :], n)


def marked(
    n: np.ndarray,
    leave_sqft: Any,
    rules: Rules,
    structure: np.ndarray | None,
    judged: Judged | None,
    *,
    region: Region,
) -> dict[str, np.ndarray]:
    """Trees per acre cut, by why (``WHYS``), as ``mark`` takes them."""
    if n.ndim != 3:
        raise InputError("trees per acre are wanted as (species, class, stand)")
    known = Judged.none(n.shape[0], n.shape[2]) if judged is None else judged
    b = basal_sqft(classes(n.shape[1], region=region))
    in_class = n.sum(axis=0)
    basal, lost = b @ in_class, b @ (n * known.apart[:, None, :]).sum(axis=0)
    most = np.minimum(basal - lost - np.asarray(leave_sqft, dtype=float), rules.share * basal)
    cut = _Cut(b, np.maximum(n - np.maximum(_reserve(n, rules, region=region), shut(n, known)), 0.0), most)
    for why, some in _doomed(n, known, region=region).items():
        cut.take(why, some)
    for why, group in (("poor form", "poor form"), ("crowds a better tree", "crowding"), ("grown out", "mature")):
        cut.take(why, known.trees(n, group))
    good = known.trees(n, "good")
    early = rules.order <= _chosen("early_order", region=region)
    cut.keep(n * (early * _chosen("keep_early_share", region=region))[:, None, None], n)
    for rank in np.unique(rules.order[early]):
        cut.take("of little use", (n - good) * (rules.order == rank)[:, None, None])
    if structure is not None:
        goal = structure if np.ndim(structure) == 2 else np.asarray(structure, dtype=float)[:, None]
        over = np.maximum(in_class - cut.gone - goal, 0.0)
        cut.thin(np.minimum(over, np.maximum(rules.share * in_class - cut.gone, 0.0)), rules.order, good)
    cut.thin(in_class, rules.order, good)
    return cut.by_why


class _Cut:
    """Trees taken from what is free, until as much basal area is gone as may go."""

    def __init__(self, basal: np.ndarray, free: np.ndarray, most_sqft: np.ndarray):
        """Begin with nothing taken; free: (species, class, stand); most_sqft: by stand [sq ft/ac]."""
        self._basal, self._free, self._wanted = basal, free, np.clip(most_sqft, 0.0, None)
        self.by_why = {why: np.zeros_like(free) for why in WHYS}

    @property
    def gone(self) -> np.ndarray:
        """Trees taken of each class (class, stand)."""
        return np.asarray(sum(self.by_why.values())).sum(axis=0)

    def _share(self, in_class: np.ndarray) -> np.ndarray:
        """The share of some trees (class, stand) that may still go."""
        have = self._basal @ in_class
        return np.minimum(1.0, np.divide(self._wanted, have, out=np.zeros_like(have), where=have > 0))

    def _book(self, why: str, taken: np.ndarray) -> None:
        self.by_why[why] += taken
        self._free = np.maximum(self._free - taken, 0.0)
        self._wanted = np.maximum(self._wanted - self._basal @ taken.sum(axis=0), 0.0)

    def keep(self, some: np.ndarray, n: np.ndarray) -> None:
        """Let some of the trees n (species, class, stand) stay of those that were not taken yet."""
        left = n - np.asarray(sum(self.by_why.values()))
        self._free = np.minimum(self._free, np.maximum(left - some, 0.0))

    def take(self, why: str, some: np.ndarray) -> None:
        """Take some trees (species, class, stand), the same share of all where not all may go."""
        some = np.minimum(some, self._free)
        self._book(why, some * self._share(some.sum(axis=0)))

    def thin(self, over: np.ndarray, order: np.ndarray, good: np.ndarray) -> None:
        """Take from each class as much as it has over (class, stand), in the order of the species, good trees last."""
        over = np.minimum(over, self._free.sum(axis=0))
        left = over * self._share(over)
        plain = np.maximum(self._free - good, 0.0)
        out = np.zeros_like(self._free)
        for pool in (plain, self._free - plain):
            for rank in np.unique(order):
                group = order == rank
                some = pool[group].sum(axis=0)
                take = np.minimum(some, left)
                out[group] += pool[group] * np.divide(take, some, out=np.zeros_like(some), where=some > 0)
                left = np.maximum(left - take, 0.0)
        self._book("spacing", out)


def _reserve(n: np.ndarray, rules: Rules, *, region: Region) -> np.ndarray:
    """Trees per acre that stay whatever is cut: the largest ones as den trees, and trees that bear nuts."""
    sizes = classes(n.shape[1], region=region)
    den = np.zeros(n.shape[1:])
    for least, keep in (
        (18.0, _chosen("keep_over_18in", region=region)),
        (12.0, _chosen("keep_over_12in", region=region)),
    ):
        den = np.maximum(den, _largest(n.sum(axis=0) * (sizes >= least)[:, None], keep))
    whole = n.sum(axis=0)
    out = n * np.divide(den, whole, out=np.zeros_like(whole), where=whole > 0)
    bear = (n * rules.mast[:, None, None]).sum(axis=0)
    nuts = _largest(
        bear * (sizes >= _chosen("mast_dbh_in", region=region))[:, None], _chosen("keep_mast", region=region)
    )
    share = np.divide(nuts, bear, out=np.zeros_like(bear), where=bear > 0)
    return np.maximum(out, n * rules.mast[:, None, None] * share)


def _largest(in_class: np.ndarray, keep: float) -> np.ndarray:
    """The ``keep`` largest trees of each stand, by class."""
    above = np.cumsum(in_class[::-1], axis=0)[::-1] - in_class
    return np.clip(keep - above, 0.0, in_class)

"""Marking: which trees go when a stand is cut, by species and size, and which stay.

Structures   structure_for
Many stands  mark, Rules, rules_for
One stand    marking_guide, trees_kept

A class gives only what it has over the structure it should keep; within a class short-lived and threatened species go
first, trees that bear nuts last. The largest trees are kept as den trees by the stated numbers. No tree is chosen as
easy or fit for hand felling: a crew or a family decides that at the tree.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.covers import structure_of
from woodlot.errors import InputError
from woodlot.estimate import Reason, reason
from woodlot.region import Region, once
from woodlot.stand.grow import classes
from woodlot.stand.stocking import structure_bdq
from woodlot.units import basal_sqft

__all__ = ["Rules", "mark", "marking_guide", "rules_for", "structure_for", "trees_kept"]


def _chosen(name: str, *, region: Region) -> float:
    return region.figure("defaults_marking", name)


@dataclass(frozen=True)
class Rules:
    """How stands are marked: order of the species (1 goes first), mast species, dying species, largest share cut."""

    order: np.ndarray
    mast: np.ndarray
    dying: np.ndarray
    share: float


def rules_for(
    species: Sequence[str],
    dying: Sequence[str] = (),
    share: float | None = None,
    last: Sequence[str] = (),
    *,
    region: Region,
) -> Rules:
    """Rules for some species from marking_species.csv; ``share`` of the basal area at one entry, else the default;
    ``last``: species that go after all others.
    """
    rows = region.species.rows("marking_species")
    names = [region.species.name(s) for s in species]
    region.species.read_rows("marking_species", names)
    order = rows["order"].reindex(names).fillna(_chosen("order", region=region)).to_numpy(dtype=float)
    order = np.where(np.isin(names, list(last)), order.max(initial=0.0) + 1.0, order)
    mast = (rows["mast"].reindex(names) == "yes").to_numpy()
    ill = {region.species.name(s) for s in dying}
    most = region.figure("defaults_cut", "share_per_entry") if share is None else share
    return Rules(order, mast, np.array([n in ill for n in names]), most)


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
    trees_per_ac: np.ndarray, leave_sqft: Any, rules: Rules, structure: np.ndarray | None = None, *, region: Region
) -> np.ndarray:
    """Trees to cut in many stands.

    Parameters
    ----------
    trees_per_ac
        Trees per acre (species, class, stand).
    leave_sqft
        Basal area to leave (stand) [sq ft/ac].
    rules
        ``rules_for``.
    structure
        Trees per acre to keep in each class (class) or (class, stand), made for that basal area; None takes from all
        classes alike.
    region
        Whose figures are used.

    Returns
    -------
    Trees per acre cut, in the shape of ``trees_per_ac``; never more than stands, never below ``leave_sqft``, never more
    than the largest share of the basal area.
    """
    n = np.asarray(trees_per_ac, dtype=float)
    if n.ndim != 3:
        raise InputError("trees per acre are wanted as (species, class, stand)")
    b = basal_sqft(classes(n.shape[1], region=region))
    in_class = n.sum(axis=0)
    basal = b @ in_class
    wanted = np.clip(np.minimum(basal - np.asarray(leave_sqft, dtype=float), rules.share * basal), 0.0, None)
    free = np.maximum(n - _reserve(n, rules, region=region), 0.0)
    out = np.zeros_like(n)
    if rules.dying.any():
        ill = n * rules.dying[:, None, None] * (1.0 - _chosen("keep_dying_share", region=region))
        have = b @ ill.sum(axis=0)
        out = ill * np.minimum(1.0, np.divide(wanted, have, out=np.zeros_like(have), where=have > 0))
        wanted = np.maximum(wanted - b @ out.sum(axis=0), 0.0)
        free = np.maximum(free - n * rules.dying[:, None, None], 0.0)
    over = free.sum(axis=0)
    if structure is not None:
        goal = structure if np.ndim(structure) == 2 else np.asarray(structure, dtype=float)[:, None]
        over = np.minimum(over, np.maximum(in_class - out.sum(axis=0) - goal, 0.0))
    have = b @ over
    left = over * np.minimum(1.0, np.divide(wanted, have, out=np.zeros_like(have), where=have > 0))
    for rank in np.unique(rules.order):
        group = rules.order == rank
        some = free[group].sum(axis=0)
        take = np.minimum(some, left)
        out[group] += free[group] * np.divide(take, some, out=np.zeros_like(some), where=some > 0)
        left = np.maximum(left - take, 0.0)
    return np.minimum(out, n)


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


def marking_guide(
    trees_per_ac: np.ndarray,
    species: Sequence[str],
    leave_sqft: float,
    rules: Rules,
    structure: np.ndarray | None = None,
    *,
    region: Region,
) -> pd.DataFrame:
    """For one stand: how many trees of each species and class to take.

    Parameters
    ----------
    trees_per_ac
        Trees per acre (species, class).
    species
        Names of the rows.
    leave_sqft, rules, structure
        As for ``mark``.
    region
        Whose figures are used.

    Returns
    -------
    Frame with species, class_in, now, cut, leave [trees/ac], cut_sqft [sq ft/ac] and words ("take 2 of 5"; "leave
    all"), the largest class first; classes without a tree are left out.
    """
    n = np.asarray(trees_per_ac, dtype=float)
    cut = mark(n[:, :, None], np.array([leave_sqft]), rules, structure, region=region)[:, :, 0]
    s, c = np.nonzero(n > 0)
    out = pd.DataFrame(
        {"species": np.array(list(species), dtype=object)[s], "class_in": classes(n.shape[1], region=region)[c]}
    )
    out["now"], out["cut"] = n[s, c], cut[s, c]
    out["leave"] = out["now"] - out["cut"]
    out["cut_sqft"] = out["cut"] * basal_sqft(out["class_in"])
    out["words"] = [_take(now, take) for now, take in zip(out["now"], out["cut"], strict=True)]
    return out.sort_values(["class_in", "species"], ascending=[False, True], kind="stable").reset_index(drop=True)


def _take(now: float, cut: float) -> str:
    share = cut / now
    if share < 0.02:
        return "leave all"
    if share > 0.98:
        return "take all"
    of = next((k for k in (2, 3, 4, 5, 6, 8, 10) if abs(round(share * k) / k - share) < 0.04 and round(share * k)), 10)
    part = max(round(share * of), 1)
    return f"take {part} of {of}"


def trees_kept(*, region: Region) -> tuple[Reason, ...]:
    """What stays whatever is cut: trees an acre, each with the mark of its figure."""
    seen = region.table("defaults_marking").set_index("name")["seen"]
    return tuple(
        reason("trees kept", which=name, trees_per_ac=_chosen(name, region=region), seen=str(seen[name]))
        for name in ("keep_over_12in", "keep_over_18in", "keep_mast", "snags_per_ac")
    )

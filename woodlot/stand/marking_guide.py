"""The marking of one stand as a job takes it: how many trees of which kind and size, why, in which order, what stays.

marking_guide   trees to take of each kind and size
job_marking     the same on the acres of a job, with the order of removal, what stands apart and what to free and keep
trees_kept      what stays whatever is cut
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.region import Region
from woodlot.stand.grow import classes
from woodlot.stand.judged import Judged
from woodlot.stand.marking import Rules, marked, salvage, shut
from woodlot.units import basal_sqft

__all__ = ["JobMarking", "job_marking", "marking_guide", "trees_kept"]

#: Fewer trees an acre than this of a kind and size for one why are not told.
LEAST = 1e-6
#: Species of this order and after it carry the next stand or bear nuts (marking_species.csv).
KEEP_ORDER = 4


def marking_guide(
    trees_per_ac: np.ndarray,
    species: Sequence[str],
    leave_sqft: float,
    rules: Rules,
    structure: np.ndarray | None = None,
    judged: Judged | None = None,
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
    leave_sqft, rules, structure, judged
        As for ``mark``.
    region
        Whose figures are used.

    Returns
    -------
    Frame with species, class_in, now, cut, leave [trees/ac], cut_sqft [sq ft/ac], words ("take 2 of 5"; "leave all")
    and why (reasons, the first to go first), the largest class first; classes without a tree are left out.
    """
    n = np.asarray(trees_per_ac, dtype=float)[:, :, None]
    parts = marked(n, np.array([leave_sqft]), rules, structure, judged, region=region)
    return _guide(n, parts, species, region=region)


def _guide(n: np.ndarray, parts: dict[str, np.ndarray], species: Sequence[str], *, region: Region) -> pd.DataFrame:
    """The guide of one stand from what is cut of it by why."""
    s, c, _ = np.nonzero(n > 0)
    out = pd.DataFrame(
        {"species": np.array(list(species), dtype=object)[s], "class_in": classes(n.shape[1], region=region)[c]}
    )
    each = np.stack([parts[why][s, c, 0] for why in parts])
    out["now"], out["cut"] = n[s, c, 0], each.sum(axis=0)
    out["leave"] = np.maximum(out["now"] - out["cut"], 0.0)
    out["cut_sqft"] = out["cut"] * basal_sqft(out["class_in"])
    out["words"] = [_take(now, take) for now, take in zip(out["now"], out["cut"], strict=True)]
    out["why"] = pd.Series([_whys(parts, row) for row in each.T], index=out.index, dtype=object)
    return out.sort_values(["class_in", "species"], ascending=[False, True], kind="stable").reset_index(drop=True)


def _whys(parts: Mapping[str, np.ndarray], cut: np.ndarray) -> tuple[Reason, ...]:
    """Why trees of one kind and size go; cut: trees by why, in the order of ``parts``."""
    return tuple(reason("taken because", why=why) for why, trees in zip(parts, cut, strict=True) if trees > LEAST)


@dataclass(frozen=True)
class JobMarking:
    """How one stand is marked, on some acres.

    trees: ``marking_guide``; removal: why, species, class_in, trees, in the order of removal; apart: species, class_in,
    trees and why, what no household fells; crop_trees to free and kept_trees (the family's word), keep_kinds: kinds
    that carry the next stand, the commonest first; judged: whether anybody wrote a word on a tree of the stand.
    """

    trees: pd.DataFrame
    removal: pd.DataFrame
    apart: pd.DataFrame
    crop_trees: float
    kept_trees: float
    keep_kinds: tuple[str, ...]
    judged: bool


def job_marking(
    trees_per_ac: np.ndarray,
    species: Sequence[str],
    leave_sqft: float | None,
    rules: Rules,
    structure: np.ndarray | None,
    judged: Judged,
    acres: float = 1.0,
    *,
    region: Region,
) -> JobMarking:
    """How one stand is marked on some acres; leave_sqft None: all goes that is not kept and does not stand apart.

    Parameters as for ``marking_guide``.
    """
    n = np.asarray(trees_per_ac, dtype=float)[:, :, None]
    if leave_sqft is None:
        whole = np.maximum(n - shut(n, judged), 0.0)
        first = salvage(n, judged, region=region)
        parts = {"likely to die": first, "full light": whole - first}
    else:
        parts = marked(n, np.array([leave_sqft]), rules, structure, judged, region=region)
    names = np.array(list(species), dtype=object)
    sizes = classes(n.shape[1], region=region)

    def listed(of: dict[str, np.ndarray]) -> pd.DataFrame:
        rows = []
        for why, trees in of.items():
            s, c, _ = np.nonzero(trees > LEAST)
            rows.append(
                pd.DataFrame({"why": why, "species": names[s], "class_in": sizes[c], "trees": trees[s, c, 0] * acres})
            )
        return pd.concat(rows, ignore_index=True)

    guide = _guide(n, parts, species, region=region)
    guide[["now", "cut", "leave", "cut_sqft"]] *= acres
    ash = n * judged.apart[:, None, :]
    basal = (basal_sqft(sizes) @ n[:, :, 0].T) * (rules.order >= KEEP_ORDER) * ~judged.apart[:, 0]
    return JobMarking(
        trees=guide,
        removal=listed(parts),
        apart=listed({"dying ash": ash, "word": np.minimum(judged.trees(n, "apart"), n - ash)}),
        crop_trees=float(judged.trees(n, "crop").sum()) * acres,
        kept_trees=float(judged.trees(n, "keep").sum()) * acres,
        keep_kinds=tuple(names[k] for k in np.argsort(-basal, kind="stable") if basal[k] > 0),
        judged=bool(judged.asked[0]),
    )


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
        reason("trees kept", which=name, trees_per_ac=region.figure("defaults_marking", name), seen=str(seen[name]))
        for name in ("keep_over_12in", "keep_over_18in", "keep_mast", "snags_per_ac")
    )

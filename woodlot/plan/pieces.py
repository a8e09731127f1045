"""Posts, poles and sawlogs that the trees of each species and size give: what a schedule counts beside firewood.

Pieces, pieces_by_class   pieces of one tree in the middle of each class, and the wood in a piece
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from woodlot.plan.wood_values import trees_of_classes
from woodlot.plan.woods import chosen
from woodlot.region import Region
from woodlot.stand.grow import class_of, classes
from woodlot.trade import SAWN
from woodlot.tree.volume import volumes
from woodlot.wood import fell_program, fell_ways
from woodlot.wood.need_lines import Line

__all__ = ["Pieces", "pieces_by_class"]

#: Worth of a piece of one line over one of the next in line.
RATIO = 20.0
#: Worth of a piece of the list over the best use of a stem: the list comes first.
LIST_FIRST = 1e3


@dataclass(frozen=True)
class Pieces:
    """Name -> array (species, class) of pieces of one tree, all lines cut from the same stems; cords of one piece,
    mean over the sizes of the tallied trees.
    """

    per_tree: dict[str, np.ndarray]
    cords_each: dict[str, float]


def pieces_by_class(
    species: Sequence[str],
    measured: pd.DataFrame,
    named: Mapping[str, Line],
    division: str,
    solid_cuft_per_cord: float,
    log_rule: str,
    burn_logs: bool = False,
    *,
    region: Region,
) -> Pieces:
    """Pieces that one tree of each species and class gives when it is cut for the household's list.

    Parameters
    ----------
    species
        Rows of what comes out.
    measured
        The place's tallied trees: their measured heights shape the curves.
    named
        Sizes that are wanted, by name (``plan.wanted.named``).
    division, solid_cuft_per_cord, log_rule, region
        As for ``tree.volume.volumes`` and ``wood.ways.program``.
    burn_logs
        Whether logs go to the stove; else their wood is none of it, and a log that is wanted takes nothing from it.

    Returns
    -------
    ``Pieces``; every number times the share of stems that are sound and straight enough (chosen).

    Notes
    -----
    Each stem is cut by one list, so no wood is counted twice: an equal share of the stems is cut for each line first,
    and for the others (the last of the list before the first: logs before poles before posts) with what is left.
    """
    sizes = classes(region=region)
    shape = (len(species), len(sizes))
    if not named:
        return Pieces({}, {})
    both = trees_of_classes(species, measured, region)
    trees = volumes(both, division, region=region).iloc[: shape[0] * shape[1]]
    asked = list(named.values())
    program = fell_program.program(
        trees, np.ones(len(trees), dtype=bool), asked, log_rule, solid_cuft_per_cord, division, region=region
    )
    share = chosen("straight_share", region)
    per_tree = {name: np.zeros(len(trees)) for name in named}
    wood, count = np.zeros(len(asked)), np.zeros(len(asked))
    at_class = np.clip(class_of(measured["dbh_in"].dropna().to_numpy(dtype=float), region=region), 0, None).astype(int)
    often = np.bincount(at_class, minlength=len(sizes)).astype(float)
    often = np.tile(often if often.any() else np.ones(len(sizes)), len(species))[program.rows]
    for first in range(len(asked)):
        rank = np.where(np.arange(len(asked)) == first, 0, 1 + np.arange(len(asked))[::-1])
        best = fell_ways.priced(program, LIST_FIRST * RATIO ** (len(asked) - rank).astype(float))[1]
        listed = program.line_of[best.cuts.choice] >= 0
        cuts = replace(best.cuts, **{k: getattr(best.cuts, k)[listed] for k in ("stem", "place", "choice")})
        top, of = cuts.place + program.steps[cuts.choice], program.stock
        each = (of.below[top, cuts.stem] - of.below[cuts.place, cuts.stem]) * of.factor[cuts.stem]
        wood += np.bincount(program.line_of[cuts.choice], each * often[cuts.stem], minlength=len(asked))
        count += best.gives @ often[best.tree]
        for at, name in enumerate(named):
            per_tree[name][program.rows[best.tree]] += share / len(asked) * best.gives[at]
    cords = np.divide(wood / solid_cuft_per_cord, count, out=np.zeros_like(wood), where=count > 0)
    cords *= [burn_logs or line.product not in SAWN for line in asked]
    return Pieces({k: v.reshape(shape) for k, v in per_tree.items()}, dict(zip(named, cords.tolist(), strict=True)))

"""Posts, poles and sawlogs that the trees of each species and size give: what a schedule counts beside firewood.

Pieces, pieces_by_class   pieces of one tree in the middle of each class, and the wood in a piece
names                     lines of a household's list as a plan calls them
wanted                    what the household wants of them each year
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.plan.wood_values import trees_of_classes
from woodlot.plan.woods import chosen
from woodlot.region import Region
from woodlot.stand.grow import class_of, classes
from woodlot.trade import PRODUCTS, SIZED
from woodlot.tree.volume import volumes
from woodlot.wood import fell_search
from woodlot.wood.need_lines import Line, lines

__all__ = ["Pieces", "names", "pieces_by_class", "wanted"]

#: Worth of a piece of one line over one of the next in line.
RATIO = 20.0
#: Lines of a household's list that are counted tree by tree, as a plan calls them.
NAMES = {product: PRODUCTS[product].many for product in SIZED}


@dataclass(frozen=True)
class Pieces:
    """Name -> array (species, class) of pieces of one tree, all lines cut from the same stems; cords of one piece,
    mean over the sizes of the tallied trees.
    """

    per_tree: dict[str, np.ndarray]
    cords_each: dict[str, float]


def wanted(needs: Mapping[str, Any], *, region: Region) -> dict[str, float]:
    """Pieces wanted each year by name, from the needs of place.toml; firewood and chips are not among them.

    Lines of lasting wood (posts, unless any wood will do) say so; two lines of one name are told apart by their size.
    """
    return {name: line.number for name, line in _named(needs, region=region).items()}


def _named(needs: Mapping[str, Any], *, region: Region) -> dict[str, Line]:
    asked = [line for line in lines(needs, region=region) if line.number > 0]
    return {n: line for n, line in zip(names(asked), asked, strict=True) if line.product in NAMES}


def names(asked: Sequence[Line]) -> list[str]:
    """Each line of a household's list as a plan calls it; lines of one name are told apart by their size."""
    called = [one.name if one.product not in NAMES else _short(one) for one in asked]
    return [n if called.count(n) == 1 else one.name for n, one in zip(called, asked, strict=True)]


def _short(line: Line) -> str:
    return ("lasting " if line.woods == "lasting" else "") + NAMES[line.product]


def pieces_by_class(
    species: Sequence[str],
    measured: pd.DataFrame,
    needs: Mapping[str, Any],
    division: str,
    solid_cuft_per_cord: float,
    log_rule: str,
    region: Region,
) -> Pieces:
    """Pieces that one tree of each species and class gives when it is cut for the household's list.

    Parameters
    ----------
    species
        Rows of what comes out.
    measured
        The place's tallied trees: their measured heights shape the curves.
    needs
        Needs of place.toml (``wood.wanted.lines``).
    division, solid_cuft_per_cord, log_rule, region
        As for ``tree.volume.volumes`` and ``wood.ways.program``.

    Returns
    -------
    ``Pieces``; every number times the share of stems that are sound and straight enough (chosen).

    Notes
    -----
    Each stem is cut by one list, so no wood is counted twice: an equal share of the stems is cut for each line first,
    and for the others (the last of the list before the first: logs before poles before posts) with what is left.
    """
    named, sizes = _named(needs, region=region), classes(region=region)
    shape = (len(species), len(sizes))
    if not named:
        return Pieces({}, {})
    both = trees_of_classes(species, measured, region)
    trees = volumes(both, division, region=region).iloc[: shape[0] * shape[1]]
    asked = list(named.values())
    program = fell_search.program(
        trees, np.ones(len(trees), dtype=bool), asked, log_rule, solid_cuft_per_cord, division, None, region=region
    )
    share = chosen("straight_share", region)
    per_tree = {name: np.zeros(len(trees)) for name in named}
    wood, count = np.zeros(len(asked)), np.zeros(len(asked))
    at_class = np.clip(class_of(measured["dbh_in"].dropna().to_numpy(dtype=float), region=region), 0, None).astype(int)
    often = np.bincount(at_class, minlength=len(sizes)).astype(float)
    often = np.tile(often if often.any() else np.ones(len(sizes)), len(species))[program.rows]
    for first in range(len(asked)):
        rank = np.where(np.arange(len(asked)) == first, 0, 1 + np.arange(len(asked))[::-1])
        best = fell_search.priced(program, RATIO ** (len(asked) - rank).astype(float), region=region)[1]
        cuts = best.cuts
        top = cuts.place + np.array([c.steps for c in program.choices], dtype=int)[cuts.choice]
        each = (program.below[top, cuts.stem] - program.below[cuts.place, cuts.stem]) * program.factor[cuts.stem]
        wood += np.bincount(program.line_of[cuts.choice], each * often[cuts.stem], minlength=len(asked))
        count += best.gives @ often[best.tree]
        for at, name in enumerate(named):
            per_tree[name][program.rows[best.tree]] += share / len(asked) * best.gives[at]
    cords = np.divide(wood / solid_cuft_per_cord, count, out=np.zeros_like(wood), where=count > 0)
    return Pieces({k: v.reshape(shape) for k, v in per_tree.items()}, dict(zip(named, cords.tolist(), strict=True)))

"""Trees as they would be tallied: made up by seed, thick and tall as their kind is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

__all__ = ["Kind", "Tree", "tally"]


@dataclass(frozen=True)
class Kind:
    """A kind of tree in a wood: share of the tally, usual diameter in inches, height it comes to in feet."""

    share: float
    dbh_in: float
    top_ft: float


class Tree(NamedTuple):
    """A tree on a plot, in the family's word for it."""

    plot: str
    word: str
    dbh_in: float
    height_ft: int


def tally(
    rng: np.random.Generator,
    plots: Sequence[str],
    kinds: Mapping[str, Kind],
    per_plot: float,
    empty: Sequence[str] = (),
) -> list[Tree]:
    """Trees plot by plot; nothing on those that are empty."""
    words, shares = list(kinds), np.array([kind.share for kind in kinds.values()])
    trees = []
    for plot in plots:
        drawn = rng.choice(words, size=0 if plot in empty else max(2, rng.poisson(per_plot)), p=shares / shares.sum())
        for word in map(str, drawn):
            kind = kinds[word]
            dbh = float(np.clip(kind.dbh_in * np.exp(rng.normal(0, 0.28)), 5.0, 27.0))
            height = 4.5 + (kind.top_ft - 4.5) * (1 - np.exp(-0.10 * dbh)) + rng.normal(0, 2.5)
            trees.append(Tree(plot, word, round(dbh, 1), round(height)))
    return trees

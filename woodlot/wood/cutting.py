"""The best way to cut many stems, all at once: pieces in a row from the butt cut, to the inch.

Choice       one product at one length
Stretches    stretches of stem that pieces are cut from
Worth        what pieces are worth beside the stove
Priced       every piece of a block of stretches with its worth (``wood.cut_tables``)
best         the best cuts of all stems
Cuts         the answer: where each piece begins
by_block     stretches by the block

A sawyer lays the first piece at the butt cut and each next one against it: no log is slid up the stem to leave butt
wood for the stove. What is left above the last piece goes to the stove. At a place s the best rest of a stretch is

    F(s) = max( all of it to the stove, worth of a piece from s to s + n, and F(s + n), over all choices )

Only places that a row of pieces can reach are looked at. A butt thicker than a piece bears is cut off for the stove in
whole stove lengths. Places come first in memory, stretches last. Of equals the stove goes first, then the choice that
comes first, so that cut lists do not depend on the machine.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol

import numpy as np

__all__ = ["Choice", "Cuts", "Draw", "Priced", "Stretches", "Worth", "best", "by_block"]

BLOCK = 5_120
#: Trees (positions) -> diameters inside bark (in) and cubic feet below each place, both places x trees as drawn.
Draw = Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]]


@dataclass(frozen=True)
class Choice:
    """A product at one length: ``steps`` places long on the stem with its trim, ``length_ft`` when trimmed.

    product: row of the products; line: of the household's list it counts for, -1: none; least_top_in, most_butt_in: its
    thin end and its butt; top_of_dbh: the thin end is at least that share of dbh; soft_top_in: the thin end of a
    softwood where it is another; counted_by: piece, bdft or cuft, as the owner prices it; value: of a unit by their own
    price, NaN: by the index; by_feet: its line counts board feet.
    """

    product: int
    length_ft: float
    steps: int
    least_top_in: float
    most_butt_in: float = np.inf
    kind: str = "sawlog"
    counted_by: str = "piece"
    value: float = np.nan
    line: int = -1
    top_of_dbh: float = 0.0
    soft_top_in: float = np.nan
    veneer: bool = False
    by_feet: bool = False


@dataclass(frozen=True)
class Stretches:
    """Stretches of stem, one number each: tree; first and last place of its pieces; rest: the place up to which what is
    left of it goes to the stove; butt: whether it begins at the butt cut. Sorted so that like ones lie together.
    """

    tree: np.ndarray
    first: np.ndarray
    last: np.ndarray
    rest: np.ndarray
    butt: np.ndarray


class Worth(Protocol):
    """What pieces are worth."""

    def of(
        self, choice: Choice, tree: np.ndarray, top: np.ndarray, at_butt: np.ndarray, cuft: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray | None]:
        """Worth of a piece of each tree with these thin ends (one number where it is the same in all), and its board
        feet where its line counts them.
        """
        ...


@dataclass(frozen=True)
class Cuts:
    """Cut lists: for each piece its stem, the place where it begins and the choice, by stem and from the butt up.

    value: worth of each stem so cut, stove wood of its stretches included. step_ft: feet between places.
    """

    stem: np.ndarray
    place: np.ndarray
    choice: np.ndarray
    value: np.ndarray
    step_ft: float


class Priced(Protocol):
    """What every piece of a block of stretches is worth; tree: of each stretch, stretch: its number."""

    stretch: np.ndarray
    tree: np.ndarray

    def solved(self, rest: np.ndarray, due: np.ndarray) -> tuple[np.ndarray, tuple[np.ndarray, ...]]:
        """Worth of the best cut of each stretch, and its pieces: stretch (position in the block), place above the
        first, choice, and how many pieces of the stretch lie below it. rest: of a cubic foot left; due: the lines pay.
        """
        ...


def by_block(count: int, block: int = BLOCK) -> Iterator[np.ndarray]:
    """Stretches by the block."""
    for start in range(0, count, block):
        yield np.arange(start, min(start + block, count))


def best(
    tables: Iterable[Priced],
    stretches: Stretches,
    trees: int,
    rest: np.ndarray,
    due: np.ndarray,
    step_ft: float,
) -> Cuts:
    """The best cuts of all stems; rest: worth of a cubic foot left of each tree, due: what lines pay for a choice.

    value holds the stretches alone: what lies outside all of them is added by who knows what it is worth.
    """
    value, counts = np.zeros(trees), np.zeros(trees, dtype=np.int32)
    none = np.empty(0, dtype=np.int16)
    parts = [(none, none, none, none)]
    for table in tables:
        mine = rest[table.tree]
        found, (row, place, choice, turn) = table.solved(mine, due)
        np.add.at(value, table.tree, found)
        stem = table.tree[row].astype(np.int32)
        turn += counts[stem]
        counts += np.bincount(stem, minlength=trees).astype(np.int32)
        place = stretches.first[table.stretch[row]] + place
        parts.append((stem, place.astype(np.int32), choice.astype(np.int16), turn))
        del table  # before the next one is made
    stem, place, choice, turn = (np.concatenate(part) for part in zip(*parts, strict=True))
    # by stem and from the butt up: by counting, but where a stem has two stretches
    to = (np.cumsum(counts) - counts)[stem] + turn
    if np.bincount(stretches.tree, minlength=1).max() > 1:
        to[np.lexsort((place, stem))] = np.arange(len(stem))
    out = [np.empty_like(each) for each in (stem, place, choice)]
    for kept, each in zip(out, (stem, place, choice), strict=True):
        kept[to] = each
    return Cuts(out[0], out[1], out[2], value, step_ft)

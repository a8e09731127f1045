"""The best way to cut many stems, all at once: pieces in a row from the butt cut, to the inch.

Choice       one product at one length
Stretches    stretches of stem that pieces are cut from
Worth        what pieces are worth beside the stove
tabled       what every piece of a block of stretches is worth, at every place a piece can begin
down         the best rest of every stretch from every place
up           the cut lists
Cuts         the answer: where each piece begins
blocks       stretches by the block

A sawyer lays the first piece at the butt cut and each next one against it: no log is slid up the stem to leave butt
wood for the stove. What is left above the last piece goes to the stove. At a place s the best rest of a stretch is

    F(s) = max( all of it to the stove, worth of a piece from s to s + n, and F(s + n), over all choices )

Only places that a row of pieces can reach are looked at. A butt thicker than a piece bears is cut off for the stove in
whole stove lengths. Places come first in memory, stretches last. Of equals the stove goes first, then the choice that
comes first, so that cut lists do not depend on the machine.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Protocol

import numpy as np

__all__ = ["Choice", "Cuts", "Stretches", "Table", "Worth", "best", "blocks", "down", "tabled", "up"]

BLOCK = 2_048
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
        """Worth of a piece of each tree with these thin ends, and its board feet where it is counted by them."""
        ...


@dataclass(frozen=True)
class Moves:
    """What may be cut at one place: the place where each piece ends (as position among the places), where it begins,
    its choice, its worth (-inf where it cannot be cut), board feet and cubic feet cut off before it.
    """

    to: np.ndarray
    begin: np.ndarray
    choice: np.ndarray
    own: np.ndarray
    feet: np.ndarray | None
    skipped: np.ndarray | None

    def worth(self, due: np.ndarray, rest: np.ndarray, at: slice | np.ndarray = slice(None)) -> np.ndarray:
        """Moves x stretches: worth with what the lines pay (``due``, a choice) and what a cubic foot left is worth."""
        pay = due[self.choice][:, None]
        out = self.own[:, at] + (pay if self.feet is None else pay * self.feet[:, at])
        return out if self.skipped is None else out + rest[at] * self.skipped[:, at]


@dataclass(frozen=True)
class Table:
    """A block of stretches: which, their places, cubic feet below each place, below the end of the rest, and moves."""

    stretch: np.ndarray
    tree: np.ndarray
    places: np.ndarray
    below: np.ndarray
    end: np.ndarray
    moves: list[Moves | None]

    def left(self, at: int) -> np.ndarray:
        """Cubic feet from a place to the end of the rest."""
        return self.end - self.below[at]


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


def tabled(
    draw: Draw,
    stretches: Stretches,
    rows: np.ndarray,
    choices: list[Choice],
    tops: np.ndarray,
    allowed: np.ndarray,
    worth: Worth,
    stove_steps: int,
    most_gaps: int,
    saw_last: np.ndarray | None = None,
) -> Table:
    """What every piece of a block of stretches is worth.

    Parameters
    ----------
    draw
        Diameters and cubic feet below places of some trees.
    stretches, rows
        Which of them.
    choices
        Products at their lengths, in order of preference among equals.
    tops
        Least thin end, choices x trees.
    allowed
        Whether a tree may give a choice, choices x trees.
    worth
        What a piece is worth.
    stove_steps, most_gaps
        Places of a stove length, and how many may be cut off a butt that is too thick for a piece.
    saw_last
        For each tree the last place to which sawlogs reach.
    """
    tree, first = stretches.tree[rows], stretches.first[rows]
    long = stretches.last[rows] - first
    size = int(long.max(initial=0)) + 1
    dib, below = draw(tree)
    end = below[stretches.rest[rows], np.arange(len(rows))]
    if first.any():
        at = np.minimum(first + np.arange(size)[:, None], len(dib) - 1)
        dib, below = np.take_along_axis(dib, at, axis=0), np.take_along_axis(below, at, axis=0)
    dib = np.where(np.arange(size)[:, None] <= long, dib[:size], 0.0)
    high = dib.max(axis=1, initial=0.0)
    fits, least = allowed[:, tree], tops[:, tree]
    live = [
        (c, choice, float(least[c][fits[c]].min()), None if fits[c].all() else fits[c])
        for c, choice in enumerate(choices)
        if fits[c].any()
    ]
    butt, no_butt = stretches.butt[rows], np.zeros(len(rows), dtype=bool)
    reached = np.zeros(size, dtype=bool)
    reached[0] = True
    found: list[list[tuple]] = []
    for p in range(size):
        if not reached[p]:
            continue
        here: list[tuple] = []
        for c, choice, lowest, may in live:
            for gap in range(most_gaps + 1 if np.isfinite(choice.most_butt_in) else 1):
                begin = p + gap * stove_steps
                to = begin + choice.steps
                if to >= size or high[to] < lowest or (gap and high[begin - stove_steps] <= choice.most_butt_in):
                    break
                ok = dib[to] >= least[c]
                if may is not None:
                    ok &= may
                if np.isfinite(choice.most_butt_in):
                    ok &= dib[begin] <= choice.most_butt_in
                    if gap:
                        ok &= dib[begin - stove_steps] > choice.most_butt_in
                if saw_last is not None and choice.kind == "sawlog":
                    ok &= first + to <= saw_last[tree]
                if not ok.any():
                    continue
                some = slice(None) if ok.all() else np.flatnonzero(ok)
                at_butt = (butt if begin == 0 else no_butt)[some]
                cuft = below[to, some] - below[begin, some]
                own, feet = worth.of(choice, tree[some], dib[to, some], at_butt, cuft)
                if not isinstance(some, slice):
                    own = _spread(own, some, len(rows), -np.inf)
                    feet = None if feet is None else _spread(feet, some, len(rows), 0.0)
                here.append((to, begin, c, own, feet, below[begin] - below[p] if gap else None))
                reached[to] = True
        found.append(here)
    places = np.flatnonzero(reached)
    where = np.cumsum(reached) - 1
    moves = [_moves(here, where, len(rows)) for here in found]
    return Table(rows, tree, places, below[places], end, moves)


def _spread(values: np.ndarray, some: np.ndarray, size: int, missing: float) -> np.ndarray:
    """Values of some stretches among all."""
    out = np.full(size, missing)
    out[some] = values
    return out


def _moves(here: list[tuple], where: np.ndarray, n: int) -> Moves | None:
    if not here:
        return None
    to, begin, choice, own, feet, skipped = zip(*here, strict=True)
    none = np.zeros(n)

    def stacked(parts: tuple, missing: np.ndarray) -> np.ndarray | None:
        if all(part is None for part in parts):
            return None
        return np.array([missing if part is None else part for part in parts])

    return Moves(
        where[list(to)],
        np.array(begin),
        np.array(choice),
        np.array(own),
        stacked(feet, np.ones(n)),
        stacked(skipped, none),
    )


def down(table: Table, rest: np.ndarray, due: np.ndarray) -> np.ndarray:
    """Places x stretches: worth of the best rest from each place; rest: of a cubic foot left; due: the lines pay."""
    out = np.empty(table.below.shape)
    for p in range(len(table.places) - 1, -1, -1):
        np.multiply(table.left(p), rest, out=out[p])
        moves = table.moves[p]
        if moves is not None:
            worth = moves.worth(due, rest)
            worth += out[moves.to]
            np.maximum(out[p], worth.max(axis=0), out=out[p])
    return out


def up(table: Table, best: np.ndarray, rest: np.ndarray, due: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Stretch (position in the block), place above its first and choice of every piece of the best cuts."""
    at = np.zeros(len(table.stretch), dtype=int)
    parts = [(np.empty(0, dtype=int),) * 3]
    for p, moves in enumerate(table.moves):
        here = np.flatnonzero(at == p)
        if moves is None or not len(here):
            continue
        worth = moves.worth(due, rest, here) + best[moves.to][:, here]
        taken = worth.argmax(axis=0)
        on = np.flatnonzero(worth[taken, np.arange(len(here))] > table.left(p)[here] * rest[here] + 1e-9)
        here, taken = here[on], taken[on]
        parts.append((here, moves.begin[taken], moves.choice[taken]))
        at[here] = moves.to[taken]
    stretch, place, choice = (np.concatenate(part) for part in zip(*parts, strict=True))
    return stretch, place, choice


def blocks(count: int, block: int = BLOCK) -> Iterator[np.ndarray]:
    """Stretches by the block."""
    for start in range(0, count, block):
        yield np.arange(start, min(start + block, count))


def best(
    tables: Iterator[Table] | list[Table],
    stretches: Stretches,
    trees: int,
    rest: np.ndarray,
    due: np.ndarray,
    step_ft: float,
) -> Cuts:
    """The best cuts of all stems; rest: worth of a cubic foot left of each tree, due: what lines pay for a choice.

    value holds the stretches alone: what lies outside all of them is added by who knows what it is worth.
    """
    value = np.zeros(trees)
    none = np.empty(0, dtype=np.int16)
    parts = [(none, none, none)]
    for table in tables:
        mine = rest[table.tree]
        found = down(table, mine, due)
        np.add.at(value, table.tree, found[0])
        row, place, choice = up(table, found, mine, due)
        parts.append((table.tree[row].astype(np.int32), (stretches.first[table.stretch[row]] + place).astype(np.int32),
                      choice.astype(np.int16)))  # fmt: skip
    stem, place, choice = (np.concatenate(part) for part in zip(*parts, strict=True))
    order = np.lexsort((place, stem))
    return Cuts(stem[order], place[order], choice[order], value, step_ft)

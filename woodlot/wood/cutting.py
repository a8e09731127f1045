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

BLOCK = 3_072
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
class Move:
    """A piece that may be cut at one place: the place where it ends (as position among the places), where it begins,
    its choice, the run of stretches that may give it, its worth (-inf where one of the run cannot), board feet where
    its line counts them, and cubic feet cut off below it.
    """

    to: int
    begin: int
    choice: int
    run: slice
    own: np.ndarray
    feet: np.ndarray | None
    skipped: np.ndarray | None

    def worth(self, due: np.ndarray, rest: np.ndarray) -> np.ndarray:
        """Worth in each of the run with what the lines pay (``due``, a choice) and what a cubic foot left is worth."""
        pay = due[self.choice]
        out = self.own if not pay else self.own + (pay if self.feet is None else pay * self.feet)
        return out if self.skipped is None else out + rest[self.run] * self.skipped


@dataclass(frozen=True)
class Table:
    """A block of stretches: which, their places, cubic feet below each place, below the end of the rest, and moves."""

    stretch: np.ndarray
    tree: np.ndarray
    places: np.ndarray
    below: np.ndarray
    end: np.ndarray
    moves: list[list[Move]]

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
    beyond = np.arange(size)[:, None] > long
    dib = np.where(beyond, 0.0, dib[:size])
    high, low = dib.max(axis=1, initial=0.0), dib.min(axis=1, initial=np.inf)
    least_of_long = np.where(beyond, np.inf, dib).min(axis=1, initial=np.inf)
    fits, least = allowed[:, tree], tops[:, tree]
    live = [
        (c, choice, float(least[c][fits[c]].min()), float(least[c].max()), None if fits[c].all() else fits[c])
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
        for c, choice, lowest, highest, may in live:
            thick = choice.most_butt_in
            for gap in range(most_gaps + 1 if thick < np.inf else 1):
                begin = p + gap * stove_steps
                to = begin + choice.steps
                if to >= size or high[to] < lowest or (gap and high[begin - stove_steps] <= thick):
                    break
                if least_of_long[begin] > thick:
                    continue
                limits = [] if may is None else [may]
                if low[to] < highest:
                    limits.append(dib[to] >= least[c])
                if high[begin] > thick:
                    limits.append(dib[begin] <= thick)
                if gap and low[begin - stove_steps] <= thick:
                    limits.append(dib[begin - stove_steps] > thick)
                if saw_last is not None and choice.kind == "sawlog":
                    limits.append(first + to <= saw_last[tree])
                run, ok = _run(limits, len(rows))
                if run is None:
                    continue
                at_butt = (butt if begin == 0 else no_butt)[run]
                cuft = below[to, run] - below[begin, run]
                own, feet = worth.of(choice, tree[run], dib[to, run], at_butt, cuft)
                own = np.broadcast_to(own, cuft.shape) if ok is None else np.where(ok, own, -np.inf)
                here.append((to, begin, c, run, own, feet, below[begin, run] - below[p, run] if gap else None))
                reached[to] = True
        found.append(here)
    places = np.flatnonzero(reached)
    where = np.cumsum(reached) - 1
    moves = [[Move(int(where[one[0]]), *one[1:]) for one in here] for here in found]
    return Table(rows, tree, places, below[places], end, moves)


def _run(limits: list[np.ndarray], size: int) -> tuple[slice | None, np.ndarray | None]:
    """The shortest run of stretches that holds all within some limits, and which of it are (None: all of it)."""
    if not limits:
        return slice(0, size), None
    ok = limits[0] if len(limits) == 1 else np.logical_and.reduce(limits)
    begin = int(ok.argmax())
    if not ok[begin]:
        return None, None
    end = size - int(ok[::-1].argmax())
    run = slice(begin, end)
    return run, None if ok[run].all() else ok[run]


def down(table: Table, rest: np.ndarray, due: np.ndarray) -> np.ndarray:
    """Places x stretches: worth of the best rest from each place; rest: of a cubic foot left; due: the lines pay."""
    out = np.empty(table.below.shape)
    for p in range(len(table.places) - 1, -1, -1):
        here = out[p]
        np.multiply(table.left(p), rest, out=here)
        for move in table.moves[p]:
            mine = here[move.run]
            np.maximum(mine, move.worth(due, rest) + out[move.to, move.run], out=mine)
    return out


def up(table: Table, best: np.ndarray, rest: np.ndarray, due: np.ndarray) -> tuple[np.ndarray, ...]:
    """Of every piece of the best cuts its stretch (position in the block), place above the first, choice, and how many
    pieces of the stretch lie below it.
    """
    at, turn = np.zeros(len(table.stretch), dtype=int), np.zeros(len(table.stretch), dtype=np.int32)
    parts = [(np.empty(0, dtype=int),) * 4]
    for p, moves in enumerate(table.moves):
        here = np.flatnonzero(at == p)
        if not moves or not len(here):
            continue
        # the stove goes first; of equals the move that comes first
        most = table.left(p)[here] * rest[here] + 1e-9
        taken = np.full(len(here), -1)
        for k, move in enumerate(moves):
            low, high = np.searchsorted(here, [move.run.start, move.run.stop])
            if low == high:
                continue
            mine = here[low:high]
            worth = move.worth(due, rest)[mine - move.run.start] + best[move.to, mine]
            more = np.flatnonzero(worth > most[low:high]) + low
            most[more], taken[more] = worth[more - low], k
        on = np.flatnonzero(taken >= 0)
        here, taken = here[on], taken[on]
        begin, choice, to = (np.array([getattr(m, name) for m in moves])[taken] for name in ("begin", "choice", "to"))
        parts.append((here, begin, choice, turn[here]))
        at[here] = to
        turn[here] += 1
    stretch, place, choice, number = (np.concatenate(part) for part in zip(*parts, strict=True))
    return stretch, place, choice, number


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
    value, counts = np.zeros(trees), np.zeros(trees, dtype=np.int32)
    none = np.empty(0, dtype=np.int16)
    parts = [(none, none, none, none)]
    for table in tables:
        mine = rest[table.tree]
        found = down(table, mine, due)
        np.add.at(value, table.tree, found[0])
        row, place, choice, turn = up(table, found, mine, due)
        stem = table.tree[row].astype(np.int32)
        turn += counts[stem]
        counts += np.bincount(stem, minlength=trees).astype(np.int32)
        place = stretches.first[table.stretch[row]] + place
        parts.append((stem, place.astype(np.int32), choice.astype(np.int16), turn))
    stem, place, choice, turn = (np.concatenate(part) for part in zip(*parts, strict=True))
    # by stem and from the butt up: by counting, but where a stem has two stretches
    to = (np.cumsum(counts) - counts)[stem] + turn
    if np.bincount(stretches.tree, minlength=1).max() > 1:
        to[np.lexsort((place, stem))] = np.arange(len(stem))
    out = [np.empty_like(each) for each in (stem, place, choice)]
    for kept, each in zip(out, (stem, place, choice), strict=True):
        kept[to] = each
    return Cuts(out[0], out[1], out[2], value, step_ft)

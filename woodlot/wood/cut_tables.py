"""What every piece of many stretches of stem is worth, and the best row of them.

Block        stretches side by side, and what they may be cut into
Move         a piece that may be cut at one place of some of them
Table        moves for stems that are cut up once
Listing      every piece of every stretch in one row, for stems that are priced over and over

A place is looked at in those stretches alone in which a row of pieces reaches it. Thousands of stems with few places go
through a Table move by move; of stems cut to the inch each stretch reaches other places, and a Listing holds no more
than what each of them can give.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from woodlot.wood.cutting import Choice, Draw, Stretches, Worth

__all__ = ["Block", "Listing", "Move", "Table"]

#: Less than this more than the stove gives is no more.
SAME = 1e-9


@dataclass(frozen=True)
class Move:
    """A piece that may be cut at one place of some stretches: the place, where it begins (behind what is cut off a
    butt too thick for it) and ends, its choice, the stretches (a run of them or their positions), its worth (-inf where
    one of a run cannot give it), board feet where its line counts them, and cubic feet cut off below it.
    """

    place: int
    begin: int
    to: int
    choice: int
    at: slice | np.ndarray
    own: np.ndarray
    feet: np.ndarray | None
    skipped: np.ndarray | None

    def worth(self, due: np.ndarray, rest: np.ndarray) -> np.ndarray:
        """Worth with what the lines pay (``due``, a choice) and what a cubic foot left is worth."""
        pay = due[self.choice]
        out = self.own if not pay else self.own + (pay if self.feet is None else pay * self.feet)
        return out if self.skipped is None else out + rest[self.at] * self.skipped


@dataclass(frozen=True)
class Block:
    """Stretches side by side, places x stretches, and what they may be cut into.

    stretch, tree: their numbers; dib, below: diameters inside bark (0 above the last place) and cubic feet below each
    place; end: below the end of the rest; first, butt: of each stretch; choices: in order of preference among equals;
    tops, allowed: least thin end and whether it may be cut, choices x stretches; worth: what a piece is worth;
    stove_steps, most_gaps: places of a stove length, and how many may be cut off a butt that is too thick;
    saw_last: of each stretch the last place to which sawlogs reach.
    """

    stretch: np.ndarray
    tree: np.ndarray
    dib: np.ndarray
    below: np.ndarray
    end: np.ndarray
    first: np.ndarray
    butt: np.ndarray
    choices: list[Choice]
    tops: np.ndarray
    allowed: np.ndarray
    worth: Worth
    stove_steps: int
    most_gaps: int
    saw_last: np.ndarray | None

    @classmethod
    def of(
        cls,
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
    ) -> "Block":
        """Some of the stretches; tops, allowed: choices x trees; saw_last: of each tree."""
        tree, first = stretches.tree[rows], stretches.first[rows]
        long = stretches.last[rows] - first
        size = int(long.max(initial=0)) + 1
        dib, below = draw(tree)
        end = below[stretches.rest[rows], np.arange(len(rows))]
        if first.any():
            at = np.minimum(first + np.arange(size)[:, None], len(dib) - 1)
            dib, below = np.take_along_axis(dib, at, axis=0), np.take_along_axis(below, at, axis=0)
        dib = np.ascontiguousarray(dib[:size])
        # a stretch that is all of its stem ends as drawn
        if len(part := np.flatnonzero((first > 0) | (stretches.last[rows] < stretches.rest[rows]))):
            dib[:, part] = np.where(np.arange(size)[:, None] > long[part], 0.0, dib[:, part])
        saw = None if saw_last is None else saw_last[tree]
        fits, least = allowed[:, tree], tops[:, tree]
        below = np.ascontiguousarray(below[:size])
        return cls(
            rows, tree, dib, below, end, first, stretches.butt[rows], choices, least, fits, worth, stove_steps,
            most_gaps, saw,
        )  # fmt: skip

    def places(self, scattered: bool) -> Iterator[list[Move]]:
        """Moves of each place that a row of pieces reaches and where one can begin, from the butt up.

        scattered: each stretch by itself, else the shortest run of them that holds all.
        """
        dib, size = self.dib, len(self.dib)
        reached = np.zeros(dib.shape, dtype=bool)
        reached[0] = True
        high, low = dib.max(axis=1, initial=0.0), dib.min(axis=1, initial=np.inf)
        live = [
            (c, one, float((mine := self.tops[c][self.allowed[c]]).min()), float(mine.max()), self.allowed[c].all())
            for c, one in enumerate(self.choices)
            if self.allowed[c].any()
        ]
        for p in range(size):
            at, whole = _those(reached[p], scattered)
            if at is None:
                continue
            here: list[Move] = []
            begins: dict[float, list[tuple[int, np.ndarray | None]]] = {}
            for c, choice, lowest, highest, every in live:
                thick = choice.most_butt_in
                if thick not in begins:
                    begins[thick] = self._begins(p, thick, at, None if whole else reached[p, at])
                for begin, thin in begins[thick]:
                    to = begin + choice.steps
                    if to >= size or high[to] < lowest:
                        break
                    limits = [] if thin is None else [thin]
                    if not every:
                        limits.append(self.allowed[c, at])
                    if low[to] < highest:
                        limits.append(dib[to, at] >= (self.tops[c, at] if lowest < highest else highest))
                    if self.saw_last is not None and choice.kind == "sawlog":
                        limits.append(self.first[at] + to <= self.saw_last[at])
                    mine, ok = _fitting(at, limits)
                    if mine is None:
                        continue
                    here.append(self._move(p, begin, to, c, mine, ok))
                    reached[to, mine] |= True if ok is None else ok
            if here:
                yield here

    def _begins(
        self, place: int, thick: float, at: slice | np.ndarray, left: np.ndarray | None
    ) -> list[tuple[int, np.ndarray | None]]:
        """Where pieces that bear so thick a butt may begin: there, or as few stove lengths above it as make it thin
        enough; and which of the stretches begin there (None: all). left: which of them come into question.
        """
        if thick == np.inf:
            return [(place, left)]
        out: list[tuple[int, np.ndarray | None]] = []
        for begin in range(place, min(place + self.most_gaps * self.stove_steps + 1, len(self.dib)), self.stove_steps):
            thin = self.dib[begin, at] <= thick
            mine = thin if left is None else thin & left
            some = np.count_nonzero(mine)
            if some:
                out.append((begin, None if some == len(mine) else mine))
            left = ~thin if left is None else left & ~thin
            if not left.any():
                break
        return out

    @cached_property
    def upper(self) -> np.ndarray:
        """That no stretch begins at its butt cut."""
        return np.zeros(len(self.tree), dtype=bool)

    def _move(self, place: int, begin: int, to: int, c: int, at: slice | np.ndarray, ok: np.ndarray | None) -> Move:
        """A move with its worth; ok: the stretches of a run that can give it, None: all."""
        start = self.below[begin, at]
        cuft = self.below[to, at] - start
        at_butt = self.butt[at] if begin == 0 else self.upper[: len(cuft)]
        own, feet = self.worth.of(self.choices[c], self.tree[at], self.dib[to, at], at_butt, cuft)
        if ok is not None:
            own = np.where(ok, own, -np.inf)
        elif len(own) < len(cuft):
            own = np.repeat(own, len(cuft))
        return Move(place, begin, to, c, at, own, feet, start - self.below[place, at] if begin > place else None)

    def stove(self, rest: np.ndarray) -> np.ndarray:
        """Places x stretches: worth of all above a place in the stove."""
        out = np.subtract(self.end, self.below, order="C")
        out *= rest
        return out


def _those(reached: np.ndarray, scattered: bool) -> tuple[slice | np.ndarray | None, bool]:
    """The stretches that reach a place (None: none does), and whether all of the run do."""
    at = np.flatnonzero(reached)
    if not len(at):
        return None, False
    if scattered:
        return at, True
    return slice(int(at[0]), int(at[-1]) + 1), len(at) == at[-1] + 1 - at[0]


def _fitting(at: slice | np.ndarray, limits: list[np.ndarray]) -> tuple[slice | np.ndarray | None, np.ndarray | None]:
    """Those of some stretches within all limits (None: none is); of a run the shortest one that holds them, and which
    of it are (None: all).
    """
    if not limits:
        return at, None
    ok = limits[0]
    for more in limits[1:]:
        ok = ok & more
    if not isinstance(at, slice):
        those = at[ok]
        return (those if len(those) else None), None
    begin = int(ok.argmax())
    if not ok[begin]:
        return None, None
    end = len(ok) - int(ok[::-1].argmax())
    ok = ok[begin:end]
    return slice(at.start + begin, at.start + end), None if np.count_nonzero(ok) == len(ok) else ok


class Table:
    """Moves of a block, place by place."""

    def __init__(self, block: Block) -> None:
        """All moves of a block."""
        self.block, self.stretch, self.tree = block, block.stretch, block.tree
        self.places = list(block.places(scattered=False))

    def solved(self, rest: np.ndarray, due: np.ndarray) -> tuple[np.ndarray, tuple[np.ndarray, ...]]:
        """Worth of the best cut of each stretch and its pieces, see ``cutting.Priced``."""
        best = self.block.stove(rest)
        taken = np.zeros(best.shape, dtype=np.int16)  # the move from each place, counted from 1 on; 0: to the stove
        number = np.zeros(len(best), dtype=int)
        made = sum(map(len, self.places))
        for moves in reversed(self.places):
            place = moves[0].place
            here, mine = best[place], taken[place]
            least = here + SAME
            for k, move in enumerate(moves, 1):
                worth = move.worth(due, rest) + best[move.to, move.at]
                old, turn = here[move.at], mine[move.at]
                np.maximum(turn, np.multiply(worth > old, k, dtype=np.int16), out=turn)
                np.maximum(old, worth, out=old)
            mine *= here > least
            made -= len(moves)
            number[place] = made
        shape = np.array([(m.begin, m.choice, m.to) for moves in self.places for m in moves], dtype=int)

        def pick(place: np.ndarray, who: np.ndarray) -> np.ndarray:
            turn = taken[place, who]
            return np.where(turn > 0, number[place] + turn - 1, -1)

        return best[0], _walked(len(self.tree), pick, *shape.reshape(-1, 3).T)


class Listing:
    """Every piece of every stretch of a block by place, stretch and move.

    place, stretch, begin, choice, to, own: of each piece, see ``Move``; feet: pieces whose line counts board feet, and
    these; skipped: pieces above a butt too thick for them, and cubic feet cut off; group: first piece of each place of
    each stretch.
    """

    def __init__(self, block: Block) -> None:
        """All pieces of a block."""
        self.block, self.stretch, self.tree = block, block.stretch, block.tree
        none, nought = np.empty(0, dtype=np.int32), np.empty(0)
        parts = [(none, none, none, none, none, nought, nought, nought)]
        for moves in block.places(scattered=True):
            at = np.concatenate([m.at for m in moves])
            size = np.array([len(m.own) for m in moves])
            order = np.argsort(at, kind="stable")
            which = np.repeat(np.arange(len(moves)), size)[order]
            shape = np.array([(m.place, m.begin, m.choice, m.to) for m in moves], dtype=np.int32)[which]
            amounts = (
                [m.own for m in moves],
                [np.full(len(m.own), np.nan) if m.feet is None else m.feet for m in moves],
                [np.zeros(len(m.own)) if m.skipped is None else m.skipped for m in moves],
            )
            row = at[order].astype(np.int32)
            parts.append((row, *shape.T, *(np.concatenate(each)[order] for each in amounts)))
        row, self.place, self.begin, self.choice, self.to, self.own, feet, skipped = (
            np.concatenate(part) for part in zip(*parts, strict=True)
        )
        self.row = row
        self.feet = (by := np.flatnonzero(np.isfinite(feet))), feet[by]
        self.skipped = (by := np.flatnonzero(skipped)), skipped[by]
        self._ends = self.to.astype(np.int64) * len(self.tree) + row
        at = self.place.astype(np.int64) * len(self.tree) + row
        self.group = np.flatnonzero(np.r_[True, at[1:] != at[:-1]]) if len(at) else none
        self._at = at[self.group]
        # pieces and groups of one place
        self._turns = np.flatnonzero(np.r_[True, np.diff(self.place[self.group]) > 0, True]) if len(at) else none

    def worth(self, rest: np.ndarray, due: np.ndarray) -> np.ndarray:
        """Worth of each piece with what the lines pay and what is left below it."""
        out = self.own + due[self.choice]
        at, feet = self.feet
        out[at] = self.own[at] + due[self.choice[at]] * feet
        at, cuft = self.skipped
        out[at] += rest[self.row[at]] * cuft
        return out

    def down(self, rest: np.ndarray, worth: np.ndarray) -> np.ndarray:
        """Places x stretches: worth of the best rest from each place."""
        best = self.block.stove(rest)
        flat, ends = best.reshape(-1), np.r_[self.group, len(worth)]
        for first, last in zip(self._turns[-2::-1], self._turns[:0:-1], strict=True):
            mine = slice(ends[first], ends[last])
            with_rest = worth[mine] + flat[self._ends[mine]]
            most = np.maximum.reduceat(with_rest, self.group[first:last] - mine.start)
            at = self._at[first:last]
            flat[at] = np.maximum(flat[at], most)
        return best

    def of_places(self, place: np.ndarray, who: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """All pieces at a place of stretches: position among those asked for, and piece."""
        key = place * np.int64(len(self.tree)) + who
        group = np.searchsorted(self._at, key)
        there = np.flatnonzero(group < len(self._at))
        there = there[self._at[group[there]] == key[there]]
        begin = self.group[group[there]]
        size = np.r_[self.group, len(self.own)][group[there] + 1] - begin
        owner = np.repeat(there, size)
        return owner, np.arange(len(owner)) + np.repeat(begin - np.r_[0, np.cumsum(size)[:-1]], size)

    def solved(self, rest: np.ndarray, due: np.ndarray) -> tuple[np.ndarray, tuple[np.ndarray, ...]]:
        """Worth of the best cut of each stretch and its pieces, see ``cutting.Priced``."""
        worth = self.worth(rest, due)
        best = self.down(rest, worth)
        flat, block = best.reshape(-1), self.block

        def pick(place: np.ndarray, who: np.ndarray) -> np.ndarray:
            out = np.full(len(who), -1)
            owner, piece = self.of_places(place, who)
            least = (block.end[who] - block.below[place, who]) * rest[who] + SAME
            most = worth[piece] + flat[self._ends[piece]]
            here = best[place, who]
            # of equals the first
            on = np.flatnonzero((most == here[owner]) & (here > least)[owner])[::-1]
            out[owner[on]] = piece[on]
            return out

        return best[0], _walked(len(self.tree), pick, self.begin, self.choice, self.to)


def _walked(
    size: int,
    pick: Callable[[np.ndarray, np.ndarray], np.ndarray],
    begin: np.ndarray,
    choice: np.ndarray,
    to: np.ndarray,
) -> tuple[np.ndarray, ...]:
    """Pieces of the best row of each stretch from the butt up: stretch, place, choice, how many lie below it.

    pick: the piece taken at places of stretches, -1: all to the stove.
    """
    none = np.empty(0, dtype=np.int32)
    parts = [(none, none, none, none)]
    who, place, turn = np.arange(size, dtype=np.int32), np.zeros(size, dtype=int), 0
    while len(who):
        piece = pick(place, who)
        on = np.flatnonzero(piece >= 0)
        who, piece = who[on], piece[on]
        parts.append((who, begin[piece], choice[piece], np.full(len(who), turn, dtype=np.int32)))
        place = to[piece]
        turn += 1
    stretch, place, chosen, number = (np.concatenate(part) for part in zip(*parts, strict=True))
    return stretch, place, chosen, number

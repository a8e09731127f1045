"""The best way to cut many stems, all at once: one recursion from the top down, one walk from the butt up.

Choice       one product at one length, and what a piece of it counts
amounts      how a choice counts its pieces by their ends
solve        best (or longest-first) cuts of all stems
down         the recursion itself for one block of stems
Cuts         the answer: where each piece begins, and what was left to the stove

At each place s of a stem the best rest of it is worth

    F(s) = max( one step to the stove + F(s + 1), value of a piece from s to s + n + F(s + n) over all choices )

if its thin end is thick enough and its butt not too thick. Places come first in memory, stems last; stems are sorted by
diameter and worked in blocks, and a choice that no stem of a block can give at a place is passed over. Choices have a
fixed order and only a strictly better one replaces another, so that cut lists do not depend on the machine.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from woodlot.units import BASAL_SQFT_PER_SQIN

__all__ = ["Choice", "Cuts", "Shape", "down", "solve"]

BLOCK = 8_192
#: Rows of stems (positions) -> diameters inside bark (in), places x stems, from the stump up.
Shape = Callable[[np.ndarray], np.ndarray]


@dataclass(frozen=True)
class Choice:
    """A product at one length: ``steps`` places long on the stem, ``length_ft`` when trimmed.

    A piece counts ``(a d + b) d + c`` with d the diameter (in) of its thin end, in whole inches where ``whole_inches``,
    plus ``e`` times the square of its butt; where ``count`` is given that function of d stands for all but the butt.
    ``less`` is taken from its value, once a piece. ``sawlog``: only below the height to which logs were counted.
    """

    product: int
    length_ft: float
    steps: int
    least_top_in: float
    most_butt_in: float = np.inf
    a: float = 0.0
    b: float = 0.0
    c: float = 0.0
    e: float = 0.0
    less: float = 0.0
    whole_inches: bool = False
    sawlog: bool = False
    by_piece: bool = False
    count: Callable[[np.ndarray], np.ndarray] | None = None

    def amount(self, top: np.ndarray, butt: np.ndarray) -> np.ndarray:
        """What pieces with these ends (in) count."""
        d = np.floor(top) if self.whole_inches else top
        if self.count is not None:
            return self.count(d) + self.e * butt * butt
        return (self.a * d + self.b) * d + self.c + self.e * butt * butt


@dataclass(frozen=True)
class Cuts:
    """Cut lists: for each piece its stem, the place where it begins and the choice, by stem and from the butt up.

    value: worth of each stem so cut. step_ft: feet between places.
    """

    stem: np.ndarray
    place: np.ndarray
    choice: np.ndarray
    value: np.ndarray
    step_ft: float


def solve(
    shape: Shape,
    order: np.ndarray,
    choices: list[Choice],
    step_ft: float,
    *,
    worth: np.ndarray | None = None,
    sound: np.ndarray | None = None,
    rest_worth: np.ndarray | float = 0.0,
    rest_per_step: float = 0.0,
    rest_top_in: float = 0.0,
    allowed: np.ndarray | None = None,
    saw_places: np.ndarray | None = None,
    longest_first: bool = False,
    block: int = BLOCK,
) -> Cuts:
    """Cut every stem in the best way, or longest piece first.

    Parameters
    ----------
    shape
        Diameters inside bark of some stems, places x stems (in); 0 where nothing may be cut.
    order
        Positions of the stems, thick after thin; the answer is in positions.
    choices
        Products at their lengths, in order of preference among equals.
    step_ft
        Feet between places.
    worth
        Of one unit of what each choice counts; None: 1.
    sound
        Share of each stem that is sound, for what is not counted by the piece; None: all.
    rest_worth
        Worth of a cubic foot of stem that goes to the stove, a number or one for each stem.
    rest_per_step
        Worth of a step that goes to the stove whatever its size.
    rest_top_in
        Thinner than this (inside bark, in) the rest of a stem is brush.
    allowed
        Choices x stems, False where a tree is too crooked, rotten or of the wrong wood for a product.
    saw_places
        For each stem the last place to which sawlogs reach.
    longest_first
        Take at every place the longest piece that fits instead, the dearest among equals.
    block
        Stems worked at a time.
    """
    size = len(order)
    value = np.zeros(size)
    parts: list[tuple[np.ndarray, ...]] = []
    for start in range(0, size, block):
        rows = order[start : start + block]
        dib = shape(rows)
        best, pick = down(
            dib,
            choices,
            step_ft,
            np.ones(len(choices)) if worth is None else worth,
            None if sound is None else sound[rows],
            rest_worth[rows] if isinstance(rest_worth, np.ndarray) else rest_worth,
            rest_per_step,
            rest_top_in,
            None if allowed is None else allowed[:, rows],
            None if saw_places is None else saw_places[rows],
            longest_first,
        )
        value[rows] = best[0]
        parts.append(_up(pick, rows, choices))
    if not parts:
        return Cuts(np.empty(0, dtype=int), np.empty(0, dtype=np.int32), np.empty(0, dtype=np.int16), value, step_ft)
    stem, place, choice, turn = (np.concatenate(p) for p in zip(*parts, strict=True))
    counts = np.bincount(stem, minlength=size)
    to = (np.cumsum(counts) - counts)[stem] + turn
    out = tuple(np.empty_like(a) for a in (stem, place, choice))
    for kept, array in zip(out, (stem, place, choice), strict=True):
        kept[to] = array
    return Cuts(out[0], out[1], out[2], value, step_ft)


def down(dib, choices, step_ft, worth, sound, rest, rest_per_step, rest_top, allowed, saw_places, longest_first):
    """Place by place the worth of the best rest of each stem, and 1 + the choice taken there (0: the stove)."""
    places, n = dib.shape
    last = places - 1
    most, least = dib.max(axis=1), dib.min(axis=1)
    square = dib * dib
    whole = np.floor(dib) if any(c.whole_inches for c in choices) else dib
    best = np.zeros((places, n))
    pick = np.zeros((places, n), dtype=np.uint8)
    v, spare = np.empty(n), np.empty(n)
    mask, held = np.empty(n, dtype=bool), np.empty(n, dtype=bool)
    burns = bool(np.any(rest)) or rest_per_step != 0.0
    cuft = 0.5 * step_ft * BASAL_SQFT_PER_SQIN
    open_to = _open(allowed, len(choices), n)
    if sound is not None and (sound == 1.0).all():
        sound = None
    scaled = [_scaled(c, w) for c, w in zip(choices, worth, strict=True)]
    turns = sorted(range(len(choices)), key=lambda c: -choices[c].steps) if longest_first else range(len(choices))
    for s in range(last - 1, -1, -1):
        here, code = best[s], pick[s]
        here[:] = best[s + 1]
        if burns and most[s + 1] >= rest_top:
            np.add(square[s], square[s + 1], out=v)
            v *= cuft
            v *= rest
            v += rest_per_step
            if least[s + 1] < rest_top:
                v *= dib[s + 1] >= rest_top
            here += v
        taken_steps = np.zeros(n if longest_first else 0, dtype=np.int32)
        for c in turns:
            choice, to = choices[c], s + choices[c].steps
            if to > last or most[to] < choice.least_top_in or least[s] > choice.most_butt_in or open_to[c] is False:
                continue
            d = whole[to] if choice.whole_inches else dib[to]
            qa, qb, qc, qe = scaled[c]
            if choice.by_piece:
                np.add(best[to], qc, out=v)
            else:
                if choice.count is not None:
                    np.multiply(choice.count(d), worth[c], out=v)
                    if qe:
                        v += np.multiply(square[s], qe, out=spare)
                elif qe:
                    np.multiply(square[to], qa, out=v)
                    v += np.multiply(square[s], qe, out=spare)
                else:
                    np.multiply(d, qa, out=v)
                    v += qb
                    v *= d
                    v += qc
                if sound is not None:
                    v *= sound
                if choice.less:
                    v -= choice.less
                v += best[to]
            limits = []
            if least[to] < choice.least_top_in:
                limits.append(np.greater_equal(dib[to], choice.least_top_in, out=held))
            if most[s] > choice.most_butt_in:
                limits.append(dib[s] <= choice.most_butt_in)
            if open_to[c] is not True:
                limits.append(open_to[c])
            if choice.sawlog and saw_places is not None:
                limits.append(saw_places >= to)
            if longest_first:
                fits = np.logical_and.reduce(limits) if limits else np.ones(n, dtype=bool)
                np.greater(v, here, out=mask)
                mask &= taken_steps == choice.steps
                mask |= taken_steps == 0
                mask &= fits
                taken_steps[mask] = choice.steps
            else:
                np.greater(v, here, out=mask)
                for limit in limits:
                    mask &= limit
            np.copyto(here, v, where=mask)
            np.copyto(code, np.uint8(c + 1), where=mask)
    return best, pick


def _open(allowed, count, n):
    """For each choice True (all stems may), False (none may) or the stems that may."""
    if allowed is None:
        return [True] * count
    return [True if row.all() else False if not row.any() else row for row in allowed]


def _scaled(choice, worth):
    """The square that a choice counts, in worth; a choice by the piece keeps one number, its cost taken off."""
    if choice.by_piece:
        return 0.0, 0.0, choice.c * worth - choice.less, 0.0
    return choice.a * worth, choice.b * worth, choice.c * worth, choice.e * worth


def _up(pick: np.ndarray, rows: np.ndarray, choices: list[Choice]):
    """Cut lists of a block: walk all stems at once from the butt up."""
    places, n = pick.shape
    steps = np.array([1, *(c.steps for c in choices)])
    # from every place, the next place at which a piece begins: stretches for the stove are jumped over
    at = np.zeros(n, dtype=np.int64)
    here = np.arange(n)
    beyond = _next_piece(pick)
    stems: list[np.ndarray] = []
    begins: list[np.ndarray] = []
    taken: list[np.ndarray] = []
    turns: list[np.ndarray] = []
    while len(here):
        at = beyond[at, here]
        on = at < places
        here, at = here[on], at[on]
        code = pick[at, here]
        stems.append(rows[here])
        begins.append(at.astype(np.int32))
        taken.append(code.astype(np.int16) - 1)
        turns.append(np.full(len(here), len(turns), dtype=np.int16))
        at = at + steps[code]
    return tuple(np.concatenate(array) for array in (stems, begins, taken, turns))


def _next_piece(pick: np.ndarray) -> np.ndarray:
    places, n = pick.shape
    out = np.empty((places + 1, n), dtype=np.int16)
    out[places] = places
    for s in range(places - 1, -1, -1):
        np.copyto(out[s], out[s + 1])
        np.copyto(out[s], s, where=pick[s] > 0)
    return out

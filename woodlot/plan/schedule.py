"""When to cut what: shares of stands given to prescriptions over some periods, by linear and integer programming.

What may be done   Prescriptions, by_period
What must hold     Limits, Row
The answer         solve, Solution

One stand may be split between prescriptions, but an entry is nothing or at least some acres. Solving: the linear
program first, whose value bounds every answer; most stands come out of it whole and are held, the few that are split or
too small get yes-or-no variables; when that fails or stays too far under the bound, more stands are freed, until that
brings nothing more where entries have a price. Every row is worked out again from the answer itself; an answer that
breaks one is never given.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError, NoAnswer
from woodlot.plan import schedule_check
from woodlot.plan.schedule_integer import integer
from woodlot.plan.schedule_program import SHORT_PRICE, Outcome, Program, by_period

__all__ = ["Limits", "Prescriptions", "Row", "Solution", "by_period", "solve"]

TOLERANCE = 1e-6
SMALL_PLACE, FREE_MORE, ROUNDS = 30, 0.02, 12


@dataclass(frozen=True)
class Row:
    """A limit of the owner's own, in a period where it is one of it: low <= sum of coefficient x acres <= high."""

    kind: str
    per_ac: np.ndarray
    low: float = -np.inf
    high: float = np.inf
    period: int = -1


@dataclass(frozen=True)
class Prescriptions:
    """What may be done on each stand, one row a stand and prescription; "leave it" is one of them.

    stand: position of the stand; acres: of each stand; cut: (rows, periods) amount per acre; beside: of it what counts
    in no limit of the cut; fuel: of it what meets the
    need, in the need's unit (all of it unless given); end: amount per acre that
    stands at the end; work: (rows, periods) days per acre; enters: (rows, periods) whether somebody goes in; opens: as
    enters, where the cut is heavy enough to keep neighbors shut; young: (rows, periods) share of an acre under ten
    years old; worth: per acre, what is to be made large (the whole cut unless given); pieces: name of a product ->
    (rows, periods) pieces per acre that the trees cut give.
    """

    stand: np.ndarray
    acres: np.ndarray
    cut: np.ndarray
    beside: np.ndarray | None = None
    fuel: np.ndarray | None = None
    end: np.ndarray | None = None
    work: np.ndarray | None = None
    enters: np.ndarray | None = None
    opens: np.ndarray | None = None
    young: np.ndarray | None = None
    worth: np.ndarray | None = None
    pieces: Mapping[str, np.ndarray] = field(default_factory=dict)
    stand_ids: Sequence[str] = ()

    def filled(self) -> "Prescriptions":
        """The same with every array there and its shape looked at; raises InputError."""
        cut = np.asarray(self.cut, dtype=float)
        stand, acres = np.asarray(self.stand, dtype=int), np.asarray(self.acres, dtype=float)
        if cut.ndim != 2 or stand.shape != (len(cut),):
            raise InputError(
                f"cut is wanted as (prescriptions, periods), one stand each; got {cut.shape}, {stand.shape}"
            )
        if len(cut) == 0 or set(stand.tolist()) != set(range(len(acres))):
            raise InputError("every stand needs at least one prescription (leaving it is one)")
        if np.any(~np.isfinite(cut)) or np.any(cut < 0) or np.any(~(acres > 0)):
            raise InputError("cuts must be 0 or more and acres above 0")
        given = {"end": (self.end, cut.shape[:1]), "worth": (self.worth, cut.shape[:1])}
        given |= {k: (getattr(self, k), cut.shape) for k in ("beside", "fuel", "work", "enters", "opens", "young")}
        usual = {"end": np.zeros(len(cut)), "worth": cut.sum(axis=1), "fuel": cut, "enters": cut > 0}
        out: dict[str, Any] = {}
        for name, (value, shape) in given.items():
            if value is None:
                value = out["enters"] if name == "opens" else usual.get(name, np.zeros(cut.shape))
            if np.shape(value) != shape:
                raise InputError(f"{name} must have the shape {shape}, not {np.shape(value)}")
            out[name] = np.asarray(value, dtype=bool if name in ("enters", "opens") else float)
        pieces = {k: np.asarray(v, dtype=float) for k, v in self.pieces.items()}
        for name, value in pieces.items():
            if value.shape != cut.shape or np.any(~np.isfinite(value)) or np.any(value < 0):
                raise InputError(f"{name} must be 0 or more in the shape {cut.shape}")
        ids = list(self.stand_ids) or [str(k + 1) for k in range(len(acres))]
        return Prescriptions(stand=stand, acres=acres, cut=cut, pieces=pieces, stand_ids=ids, **out)


@dataclass(frozen=True)
class Limits:
    """What must hold.

    need: amount wanted in each period (a number or one each); short of it is allowed but counts ten times; carry_most:
    amount that may be kept over to the next period; wanted: name of a product -> pieces wanted in each period (short of
    them is allowed; a period's need counts like ten cords); ahead: of them that may be made before they are due, at the
    end of each period, the sooner the better; carry_share: of them that may be kept over, of a period's
    need; wood_in: cords of wood in a piece, which is no firewood; end_at_least: amount standing at the end; cut_most:
    in each period; work_most: days in each period; least_entry_ac: an entry is nothing or this many acres (or the whole
    stand, if smaller), a number or one for each prescription; entry_price, job_price, keep_price: what opening a stand
    once, opening it in a period after one without, and keeping a cord over a period count against a plan; neighbors:
    groups of stands that may not be opened together; apart: periods more that they stay shut; rows: limits of the
    owner's own; gap: how near the best answer, as share of what it is worth without what is missing; nodes: after which
    the integer program stops.
    """

    need: Any = None
    carry_most: float = 0.0
    wanted: Mapping[str, Any] = field(default_factory=dict)
    ahead: Mapping[str, Any] = field(default_factory=dict)
    carry_share: float = 1.0
    wood_in: Mapping[str, float] = field(default_factory=dict)
    end_at_least: float | None = None
    cut_most: Any = None
    work_most: Any = None
    least_entry_ac: Any = 0.0
    entry_price: float = 0.0
    job_price: float = 0.0
    keep_price: float = 0.0
    neighbors: Sequence[Sequence[int]] = ()
    apart: int = 0
    rows: Sequence[Row] = ()
    gap: float = 0.005
    nodes: int = 1000
    seed: int = 1


@dataclass(frozen=True)
class Solution:
    """A schedule: acres given to each prescription, what comes of it, how good it is, and which limits bind.

    acres: (rows); cut, work, young: by period; end: amount standing at the end; short: of the need, by period; made,
    lacks: pieces of each wanted product made and missing, by period; fuel: cords left for the stove, by period; value:
    what was made large; bound: the most that any answer can reach (by the linear program, or by the integer one where
    every stand was free in it); gap: (bound - value) / bound; status: "solved", "node limit" (the best found by then)
    or "gave way" (a limit had to be loosened: see ``gave``); nodes: that the integer programs used;
    binding: frame limit, period, slack, price; checked: worst miss of each kind of row, in its own unit.
    """

    prescriptions: Prescriptions
    acres: np.ndarray
    cut: np.ndarray
    work: np.ndarray
    young: np.ndarray
    end: float
    short: np.ndarray
    value: float
    bound: float
    gap: float
    status: str
    binding: pd.DataFrame
    checked: dict[str, float] = field(default_factory=dict)
    gave: dict[str, float] = field(default_factory=dict)
    made: dict[str, np.ndarray] = field(default_factory=dict)
    lacks: dict[str, np.ndarray] = field(default_factory=dict)
    fuel: np.ndarray = field(default_factory=lambda: np.zeros(0))
    nodes: int = 0


def solve(prescriptions: Prescriptions, limits: Limits | None = None) -> Solution:
    """The schedule that is worth most within the limits.

    Parameters
    ----------
    prescriptions
        What may be done on each stand.
    limits
        What must hold; None for nothing but the acres.

    Returns
    -------
    ``Solution``. Needs that cannot be met come out as ``short`` with the limits that bind and what one unit more of
    each would bring. Limits that cannot hold together (an end stock that even growth does not reach) are loosened by as
    little as can be, and ``gave`` says by how much.

    Raises
    ------
    InputError
        For arrays that do not fit.
    NoAnswer
        When the solver finds nothing, or what it gives does not stand up to being worked out again.

    Notes
    -----
    Maximize sum of worth x acres - 10 x shortage over x[i, p], the share of stand i under prescription p: sum over p =
    1; cut, work and stock are sums over acres. Source: model I of Johnson and Scheurman 1977; the way of solving was
    timed for this project.
    """
    p = prescriptions.filled()
    held = limits or Limits()
    program = Program(p, held)
    first = program.linear()
    gave: dict[str, float] = {}
    if first is None:
        gave, held = program.loosened()
        program = Program(p, held)
        first = program.linear()
        if first is None:
            raise NoAnswer("these limits cannot hold together, and loosening them did not help")
    outcome, status = first, "solved"
    if np.any(np.asarray(held.least_entry_ac) > 0) or held.entry_price > 0 or held.neighbors:
        outcome, status = _hold_and_repair(program, first)
    if gave and status == "solved":
        status = "gave way"
    out = _answer(program, outcome, first, status, gave)
    wrong = {k: v for k, v in out.checked.items() if v > TOLERANCE * max(1.0, program.scale)}
    if wrong:
        raise NoAnswer(f"the answer does not hold: {', '.join(f'{k} is off by {v:.3g}' for k, v in wrong.items())}")
    return out


def _hold_and_repair(program: Program, first: Outcome) -> tuple[Outcome, str]:
    limits, share, bound = program.limits, first.share, first.value
    # how far from the best an answer may be; what cannot be had at all is no measure of that, beyond one cord of it
    missing = program.price_of(program.shortage(first), program.lacks(first))
    close = limits.gap * max(abs(bound + missing), min(missing, SHORT_PRICE), 1.0)
    gap = min(limits.gap, close / max(abs(bound), 1e-9))
    stands = len(program.p.acres)
    free = np.ones(stands, dtype=bool) if stands <= SMALL_PLACE else program.split(share)
    if not free.any():
        return first, "solved"
    draw = np.random.default_rng(limits.seed)
    best: Outcome | None = None
    reached, nodes = -np.inf, 0
    for step in range(ROUNDS):
        outcome = integer(program, free, share, gap)
        if outcome is not None:
            value, before = program.value(outcome), reached
            nodes += outcome.nodes
            if value > reached:
                best, reached = outcome, value
            # where entries have a price the linear bound, which pays for parts of them, is not to be reached
            stuck = limits.entry_price > 0 and reached - before <= close
            if bound - reached <= close or stuck:
                break
        if free.all():
            break
        more = max(1, int(np.ceil(FREE_MORE * stands * 2**step)))
        held = np.flatnonzero(~free)
        free = free.copy()
        free[draw.permutation(held)[:more]] = True
    if best is None:
        raise NoAnswer("no schedule of whole entries was found: ask for smaller entries or longer periods")
    return replace(best, nodes=nodes), "node limit" if best.stopped else "solved"


def _answer(program: Program, outcome: Outcome, first: Outcome, status: str, gave: dict[str, float]) -> Solution:
    p, taken = program.p, program.taken(outcome)
    acres = np.clip(outcome.share, 0.0, 1.0) * p.acres[p.stand]
    value, bound = program.value(outcome), min(first.value, outcome.bound)
    cut = acres @ p.cut
    return Solution(
        prescriptions=p,
        acres=acres,
        cut=cut,
        work=acres @ p.work,
        young=acres @ p.young,
        end=float(acres @ p.end),
        short=program.shortage(outcome),
        value=value,
        bound=bound,
        gap=max(bound - value, 0.0) / max(abs(bound), 1e-12),
        status=status,
        binding=schedule_check.binding(program, first),
        checked=schedule_check.check(p, program.limits, acres, taken),
        gave=gave,
        made=taken,
        lacks=program.lacks(outcome),
        fuel=program.fuel(outcome),
        nodes=outcome.nodes,
    )

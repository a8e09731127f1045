"""Ways to cut trees for a list of needs: what each gives to every line, and the search for the best set of ways.

program     trees, lines and what a piece gives to a line, ready for the search
Way         one tree cut in one way
priced      the way worth most of every tree, at given worths of the lines
whole_ways  the integer program over ways
solved      ways found until none is worth more than its tree, then a set of whole ones; and a bound below every set
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from woodlot import solver
from woodlot.tree.inputs import default
from woodlot.units import BASAL_SQFT_PER_SQIN, CUFT_PER_CUYD
from woodlot.wood.account import _below, limb_share
from woodlot.wood.cutting import Choice, Cuts, solve
from woodlot.wood.products import STEPS_TOPIC, choices, of_woods
from woodlot.wood.stick import Stems, stems
from woodlot.wood.wanted import TOPIC, Line

__all__ = ["Program", "Way", "priced", "program", "solved", "whole_ways"]

ROUNDS = 60
#: Ways handed to the integer program beyond those of the linear answer.
MOST_WAYS = 4_000


@dataclass(frozen=True)
class Way:
    """One tree (position among the trees of a program) cut in one way; gives: amount to each line."""

    tree: int
    gives: np.ndarray
    place: np.ndarray
    choice: np.ndarray
    to_chips: bool


@dataclass(frozen=True)
class Ways:
    """Many ways as arrays: trees, lines x ways, and their cut lists."""

    tree: np.ndarray
    gives: np.ndarray
    cuts: Cuts
    to_chips: np.ndarray

    def pick(self, at: int) -> Way:
        """One of them by its position."""
        i = int(self.tree[at])
        low, high = np.searchsorted(self.cuts.stem, [i, i + 1])
        return Way(i, self.gives[:, at], self.cuts.place[low:high], self.cuts.choice[low:high], bool(self.to_chips[at]))


@dataclass(frozen=True)
class Program:
    """Trees that may be felled, lines, and all that the search needs of them; one number a tree unless it says else.

    rows: positions in the table handed in; dib: diameters, places x trees; below: cubic feet below each place as drawn;
    factor: sound cubic feet by the volume equation for one as drawn; limbs_cuft, brush_cuyd: what comes with the tree;
    line_of: line of each choice; burns: lines x trees, whether firewood of the tree counts for the line; hard: lines
    that must be met in full, since shares of trees could meet them.
    """

    rows: np.ndarray
    stems: Stems
    lines: list[Line]
    choices: list[Choice]
    line_of: np.ndarray
    allowed: np.ndarray
    burns: np.ndarray
    chips: np.ndarray
    dib: np.ndarray
    below: np.ndarray
    factor: np.ndarray
    limbs_cuft: np.ndarray
    brush_cuyd: np.ndarray
    cost: np.ndarray
    solid: float
    need: np.ndarray
    penalty: np.ndarray
    hard: np.ndarray

    @property
    def chips_cuyd_per_cuft(self) -> float:
        """Compacted cubic yards of chips from a solid cubic foot: the lower figure is counted on."""
        return default("chips_tight", STEPS_TOPIC) / CUFT_PER_CUYD

    def shape(self, rows: np.ndarray) -> np.ndarray:
        """Diameters of some trees."""
        return self.dib if len(rows) == self.dib.shape[1] else self.dib[:, rows]

    def stove_cuft(self, tree, place, choice, owner) -> np.ndarray:
        """Sound cubic feet of stem left to the stove by ways; owner: each piece's way, tree: each way's tree."""
        steps = np.array([c.steps for c in self.choices], dtype=int)[choice] if len(choice) else choice
        stem = tree[owner]
        taken = np.bincount(owner, self.below[place + steps, stem] - self.below[place, stem], minlength=len(tree))
        return (self.below[self.stems.last[tree], tree] - taken) * self.factor[tree]

    def gives(self, tree, place, choice, owner, to_chips) -> np.ndarray:
        """Lines x ways: what ways give to each line."""
        out = np.zeros((len(self.lines), len(tree)))
        if len(choice):
            steps = np.array([c.steps for c in self.choices], dtype=int)[choice]
            amount = np.ones(len(choice))
            for c, made in enumerate(self.choices):
                if not made.by_piece:
                    here = choice == c
                    stem = tree[owner[here]]
                    end, butt = self.dib[place[here] + steps[here], stem], self.dib[place[here], stem]
                    amount[here] = made.amount(end, butt) * self.stems.sound[stem]
            np.add.at(out, (self.line_of[choice], owner), amount)
        stove = self.stove_cuft(tree, place, choice, owner)
        fire = np.where(to_chips, 0.0, stove) + self.limbs_cuft[tree]
        out += self.burns[:, tree] * (fire / self.solid)
        out += self.chips[:, None] * (self.brush_cuyd[tree] + np.where(to_chips, stove * self.chips_cuyd_per_cuft, 0.0))
        return out

    def got_of(self, plan: list[Way]) -> np.ndarray:
        """What a set of ways gives to each line."""
        return np.sum([w.gives for w in plan], axis=0) if plan else np.zeros(len(self.lines))

    def cost_of(self, plan: list[Way]) -> float:
        """Standing wood of a set of ways and the worth of what is missing."""
        short = np.maximum(self.need - self.got_of(plan), 0.0)
        return float(self.cost[[w.tree for w in plan]].sum() + (self.penalty * short).sum())


def row_of(line: Line, top: float, lengths: tuple[float, ...]) -> dict:
    sawn = line.product in ("sawlog", "board feet")
    return {
        "product": line.product,
        "kind": "sawlog" if sawn else line.product,
        "least_top_in": top,
        "most_butt_in": line.butt_in,
        "lengths_ft": list(lengths),
        "trim_in": 3.6 if sawn else 0.0,
        "counted_by": "bdft" if line.product == "board feet" else "piece",
        "less": 0.0,
    }


def allows(told: Stems, line: Line) -> np.ndarray:
    fits = of_woods(told.trees["species"], line.woods)
    fits = fits & (_share(told.trees, "cull_pct") <= line.most_cull_pct)
    return fits & (_share(told.trees, "sweep_pct") <= line.most_sweep_pct)


def _share(trees: pd.DataFrame, name: str) -> np.ndarray:
    """A percent column, 0 where nobody judged it."""
    if name not in trees:
        return np.zeros(len(trees))
    return np.nan_to_num(trees[name].to_numpy(dtype=float, na_value=np.nan), nan=0.0)


def program(
    trees: pd.DataFrame,
    may: np.ndarray,
    asked: list[Line],
    log_rule: str,
    solid: float,
    division: str,
    penalties: Mapping[int, float] | None,
) -> Program:
    """Trees (result of ``volumes``), those that may be felled by hand, and lines, ready for the search."""
    from woodlot.wood.account import _pounds, _property

    rows = np.flatnonzero(may & np.isfinite(trees["wood_cuft"].to_numpy(dtype=float)))
    rows = rows[np.argsort(trees["dbh_in"].to_numpy(dtype=float)[rows], kind="stable")]
    mine = trees.iloc[rows].reset_index(drop=True)
    told = stems(mine)
    made, line_of = _choices(asked, told.step_ft, log_rule)
    dib = told.diameters(np.arange(len(rows)))
    area = BASAL_SQFT_PER_SQIN * 0.5 * told.step_ft * dib**2
    below = np.zeros_like(dib)
    np.cumsum(area[1:] + area[:-1], axis=0, out=below[1:])
    scale = (mine["wood_cuft"] - mine["stump_cuft"]).to_numpy(dtype=float) / _below(told, np.full(len(rows), 10**6))
    cull = _share(mine, "cull_pct")
    lb = _pounds(mine, division)
    wood = lb["branch_lb"] * (1.0 - lb["bark_part"]) / (_property(mine, "wood_sg") * default("water_lb_per_cuft"))
    share = limb_share(mine["dbh_in"], mine["species"], default("limb_top_in", STEPS_TOPIC))
    limbs = wood * share * default("limb_part", TOPIC)
    tight = default("chips_tight", STEPS_TOPIC) / CUFT_PER_CUYD
    brush = wood * (1.0 - share) * default("chip_part", TOPIC) * tight
    burns = np.array([of_woods(mine["species"], x.woods) & (x.product == "firewood") for x in asked], dtype=float)
    fits = [allows(told, line) for line in asked]
    allowed = np.array([fits[at] for at in line_of], dtype=bool).reshape(len(made), len(rows))
    out = Program(
        rows=rows,
        stems=told,
        lines=asked,
        choices=made,
        line_of=line_of,
        allowed=allowed,
        burns=burns.reshape(len(asked), len(rows)),
        chips=np.array([float(x.product == "chips") for x in asked]),
        dib=dib,
        below=below,
        factor=scale * (1.0 - cull / 100.0),
        limbs_cuft=limbs,
        brush_cuyd=brush,
        cost=mine["wood_cuft"].to_numpy(dtype=float),
        solid=solid,
        need=np.array([x.number for x in asked]),
        penalty=np.zeros(len(asked)),
        hard=np.zeros(len(asked), dtype=bool),
    )
    out.penalty[:] = _penalties(out) if penalties is None else [penalties[at] for at in range(len(asked))]
    return out


def _choices(asked: list[Line], step_ft: float, log_rule: str) -> tuple[list[Choice], np.ndarray]:
    made: list[Choice] = []
    line_of: list[int] = []
    for at, line in enumerate(asked):
        if line.lengths_ft:
            row = pd.DataFrame([row_of(line, line.top_in, line.lengths_ft)])
            new = choices(row, step_ft, log_rule)
            # the row's number in its own list is 0; here it is the line
            made += [Choice(**{**vars(c), "product": at}) for c in new]
            line_of += [at] * len(new)
    return made, np.array(line_of, dtype=int)


def _penalties(told: Program) -> np.ndarray:
    """Worth of a unit missing: a little more than the dearest tree that could give it."""
    out = np.ones(len(told.lines))
    for at, line in enumerate(told.lines):
        least = np.zeros(len(told.lines))
        least[at] = 1.0
        most = priced(told, least)[1].gives[at]
        able = most > 0
        if line.lengths_ft and line.product != "board feet":
            out[at] = told.cost[able].max(initial=0.0)
        elif able.any():
            # a volume: trees that give under a quarter of what most give for their wood are no measure
            each = told.cost[able] / most[able]
            out[at] = min(float(each.max()), 4.0 * float(np.median(each)))
    return out * default("penalty", TOPIC) + 1e-9


def priced(told: Program, worth: np.ndarray) -> tuple[np.ndarray, Ways]:
    """The way worth most of every tree when a unit of each line is worth so much: worth of each tree, and the ways."""
    n = len(told.rows)
    fire = worth @ told.burns / told.solid
    chip = float(worth @ told.chips) * told.chips_cuyd_per_cuft
    to_chips = chip > fire
    cuts = solve(
        told.shape,
        np.arange(n),
        told.choices,
        told.stems.step_ft,
        worth=worth[told.line_of] if len(told.line_of) else np.empty(0),
        sound=told.stems.sound,
        rest_worth=np.maximum(fire, chip) * told.factor,
        rest_top_in=default("firewood_top_in", STEPS_TOPIC),
        allowed=told.allowed,
        saw_places=told.stems.saw_last,
    )
    value = cuts.value + fire * told.limbs_cuft + float(worth @ told.chips) * told.brush_cuyd
    gives = told.gives(np.arange(n), cuts.place, cuts.choice, cuts.stem, to_chips)
    return value, Ways(np.arange(n), gives, cuts, to_chips)


def solved(told: Program, gap: float, nodes: int) -> tuple[list[Way], float, bool]:
    """A set of ways within ``gap`` of the least, a bound below which no set can be, and whether the nodes ran out."""
    if not len(told.rows):
        return [], float((told.penalty * told.need).sum()), False
    found: list[tuple[np.ndarray, Ways]] = []
    worth, sigma, bound = told.penalty.copy(), np.zeros(len(told.rows)), 0.0
    for _ in range(ROUNDS):
        value, ways = priced(told, worth)
        bound = max(bound, _bound(told, worth, value))
        new = np.flatnonzero(value + sigma > told.cost + 1e-7 * np.maximum(told.cost, 1.0))
        if len(new) == 0:
            break
        found.append((new, ways))
        master, worth, sigma, short = _linear(told, found)
        told.hard[:] = short <= 1e-7 * told.need
        if master - bound <= 1e-4 * max(master, 1e-9):
            break
    if not found:
        return [], bound, False
    plan, stopped = _whole(told, found, worth, sigma, bound, gap, nodes)
    return plan, bound, stopped


def _bound(told: Program, worth: np.ndarray, value: np.ndarray) -> float:
    """No set of ways can cost less than this, whatever the worths (those of the linear answer give the best one)."""
    low = np.minimum(told.cost - value, 0.0).sum()
    return float(worth @ told.need + low + (np.minimum(told.penalty - worth, 0.0) * told.need).sum())


def _stack(told: Program, found: list[tuple[np.ndarray, Ways]]) -> tuple[np.ndarray, np.ndarray]:
    tree = np.concatenate([new for new, _ in found])
    gives = np.concatenate([ways.gives[:, new] for new, ways in found], axis=1)
    return tree, gives


def _matrix(told: Program, tree: np.ndarray, gives: np.ndarray):
    """Rows: lines (what is given, plus what is missing), then one row for each tree that has ways."""
    from scipy import sparse

    known, row = np.unique(tree, return_inverse=True)
    size = len(tree)
    lines = sparse.csr_matrix(np.hstack([gives, np.eye(len(told.lines))]))
    once = sparse.csr_matrix((np.ones(size), (row, np.arange(size))), shape=(len(known), size + len(told.lines)))
    cost = np.concatenate([told.cost[tree], told.penalty])
    return lines, once, cost, known


def _linear(told: Program, found: list[tuple[np.ndarray, Ways]]):
    """The linear program over the ways found: its value, worth of the lines, worth of the trees."""
    from scipy.optimize import linprog
    from scipy.sparse import vstack

    tree, gives = _stack(told, found)
    lines, once, cost, known = _matrix(told, tree, gives)
    limits = np.zeros((len(cost), 2))
    limits[:, 1] = np.concatenate([np.full(len(tree), np.inf), told.need])
    answer = linprog(
        cost,
        A_ub=vstack([-lines, once]).tocsc(),
        b_ub=np.concatenate([-told.need, np.ones(len(known))]),
        bounds=limits,
        method="highs",
    )
    size = len(told.lines)
    sigma = np.zeros(len(told.rows))
    sigma[known] = answer.ineqlin.marginals[size:]
    return float(answer.fun), np.maximum(-answer.ineqlin.marginals[:size], 0.0), sigma, answer.x[len(tree) :]


def _whole(told, found, worth, sigma, bound, gap, nodes) -> tuple[list[Way], bool]:
    """Whole ways: the integer program over those that can be in a plan within the gap, and whether it was stopped."""
    tree, gives = _stack(told, found)
    owner = np.concatenate([np.full(len(new), at) for at, (new, _) in enumerate(found)])
    extra = told.cost[tree] - worth @ gives - sigma[tree]
    keep = np.sort(np.argsort(extra, kind="stable")[:MOST_WAYS])
    keep = keep[extra[keep] <= max(4.0 * gap * bound, 1e-6)] if len(told.rows) > 400 else keep
    # a way counts for no more than a line asks for: the same whole plans, a tighter program
    useful = np.minimum(gives[:, keep], told.need[:, None])
    for hard in (told.hard.copy(), np.zeros_like(told.hard)):
        told.hard[:] = hard
        taken, shown = whole_ways(told, tree[keep], useful, 0.4 * gap * _wood_part(told, gives, bound), nodes)
        if taken is not None:
            return [found[owner[keep[k]]][1].pick(int(tree[keep[k]])) for k in taken], not shown
    return [], False


def _wood_part(told: Program, gives: np.ndarray, bound: float) -> float:
    """Share of the bound that is wood and not the price of what cannot be had."""
    missing = np.maximum(told.need - gives.sum(axis=1), 0.0)
    return float(np.clip(1.0 - (told.penalty * missing).sum() / max(bound, 1e-9), 1e-3, 1.0))


def whole_ways(told: Program, tree: np.ndarray, useful: np.ndarray, gap: float, nodes: int):
    """The integer program over ways: positions of those taken (None: no plan), and whether it is shown."""
    lines, once, cost, known = _matrix(told, tree, useful)
    size = len(tree)
    told_by = solver.whole(
        cost,
        np.concatenate([np.ones(size), np.zeros(len(told.lines))]),
        np.zeros(len(cost)),
        np.concatenate([np.ones(size), np.where(told.hard, 0.0, told.need)]),
        [(lines, told.need, np.inf), (once, -np.inf, np.ones(len(known)))],
        gap,
        nodes,
    )
    if told_by is None:
        return None, False
    return np.flatnonzero(told_by.x[:size] > 0.5), not told_by.stopped

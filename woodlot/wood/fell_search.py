"""Ways to cut trees for a list of needs: what each gives to every line, and the search for the best set of ways.

program     trees, lines and what a piece gives to a line, ready for the search
Way         one tree cut in one way
priced      the way worth most of every tree, at given worths of the lines
most_of     the most of one line that each tree gives
least_cost  a cost that no set of ways can be under, at given worths
linear_worths  the linear program over ways: its value and the worths it gives
whole_ways  the integer program over ways
solved      ways found until none is worth more than its tree, then a set of whole ones; and a bound below every set
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from woodlot import solver
from woodlot.errors import InputError
from woodlot.region import Region
from woodlot.trade import SAWN
from woodlot.tree.inputs import column
from woodlot.units import BASAL_SQFT_PER_SQIN, CUFT_PER_CUYD
from woodlot.wood.account import below_cuft, dry_pounds, limb_share
from woodlot.wood.cutting import Choice, Cuts, solve
from woodlot.wood.need_lines import TOPIC, Line
from woodlot.wood.products import STEPS_TOPIC, choices, lengths_of, of_woods
from woodlot.wood.products import allowed as may_give
from woodlot.wood.stick import Stems, stems

__all__ = ["Program", "Way", "least_cost", "linear_worths", "most_of", "priced", "program", "solved", "whole_ways"]

ROUNDS = 60
#: Ways handed to the integer program beyond those of the linear answer.
MOST_WAYS = 4_000
#: The recursion keeps a choice in one byte.
MOST_CHOICES = 250


@dataclass(frozen=True)
class Way:
    """One tree (position among the trees of a program) cut in one way; gives: amount to each line; own: its worth
    whatever is asked for (0 unless every tree is felled).
    """

    tree: int
    gives: np.ndarray
    place: np.ndarray
    choice: np.ndarray
    to_chips: bool
    own: float = 0.0


@dataclass(frozen=True)
class Ways:
    """Many ways as arrays: trees, lines x ways, and their cut lists."""

    tree: np.ndarray
    gives: np.ndarray
    cuts: Cuts
    to_chips: np.ndarray
    own: np.ndarray

    def pick(self, at: int) -> Way:
        """One of them by its position."""
        i = int(self.tree[at])
        low, high = np.searchsorted(self.cuts.stem, [i, i + 1])
        pieces = self.cuts.place[low:high], self.cuts.choice[low:high]
        return Way(i, self.gives[:, at], *pieces, bool(self.to_chips[at]), float(self.own[at]))


@dataclass(frozen=True)
class Program:
    """Trees that may be felled, lines, and all that the search needs of them; one number a tree unless it says else.

    rows: positions in the table handed in; dib: diameters, places x trees; below: cubic feet below each place as drawn;
    factor: sound cubic feet by the volume equation for one as drawn; limbs_cuft, brush_cuyd: what comes with the tree;
    line_of: line of each choice (-1: none); burns: lines x trees, whether firewood of the tree counts for the line;
    hard: lines that must be met in full, since shares of trees could meet them.

    whole: every tree is felled. Then a tree costs what it is worth at its best (cost), a way of it the less the more it
    is worth itself: what is lost is what the list takes from better use. own: worth of a unit of each choice in itself,
    counted: the choices by that unit; stove: worth of a cubic foot of each tree to the stove; by_piece: whether a line
    counts a choice by the piece.
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
    counted: list[Choice]
    own: np.ndarray
    stove: np.ndarray
    by_piece: np.ndarray
    chips_cuyd_per_cuft: float
    whole: bool = False

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
            amount = (self.line_of[choice] >= 0).astype(float)
            for c in np.flatnonzero(~self.by_piece & (self.line_of >= 0)):
                here = choice == c
                stem = tree[owner[here]]
                end, butt = self.dib[place[here] + steps[here], stem], self.dib[place[here], stem]
                amount[here] = self.choices[c].amount(end, butt) * self.stems.sound[stem]
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
        """Standing wood of a set of ways (whole: worth lost) and the worth of what is missing."""
        short = np.maximum(self.need - self.got_of(plan), 0.0)
        lost = self.cost[[w.tree for w in plan]] - np.array([w.own for w in plan], dtype=float)
        return float(lost.sum() + (self.penalty * short).sum())


def row_of(line: Line, top: float, lengths: tuple[float, ...]) -> dict:
    """A line as a row of products, its pieces so long and so thick at the thin end."""
    sawn = line.product in SAWN
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


def allows(drawn: Stems, line: Line, *, region: Region) -> np.ndarray:
    """Which stems are of the wood, sound and straight enough for a line."""
    fits = of_woods(drawn.trees["species"], line.woods, region=region)
    fits = fits & (column(drawn.trees, "cull_pct", 0.0) <= line.most_cull_pct)
    return fits & (column(drawn.trees, "sweep_pct", 0.0) <= line.most_sweep_pct)


def program(
    trees: pd.DataFrame,
    may: np.ndarray,
    asked: list[Line],
    log_rule: str,
    solid: float,
    division: str,
    penalties: Mapping[int, float] | None,
    best_use: pd.DataFrame | None = None,
    stove_value: float = 1.0,
    *,
    region: Region,
) -> Program:
    """Trees (result of ``volumes``), those that may be felled by hand, and lines, ready for the search.

    best_use: products (``products.listed``) that all trees are cut into beside the lines, every tree felled;
    stove_value: worth of a cubic foot that goes to the stove then.
    """
    rows = np.flatnonzero(may & np.isfinite(trees["wood_cuft"].to_numpy(dtype=float)))
    rows = rows[np.argsort(trees["dbh_in"].to_numpy(dtype=float)[rows], kind="stable")]
    mine = trees.iloc[rows].reset_index(drop=True)
    drawn = stems(mine, region=region)
    made, counted, of = _choices(asked, drawn.step_ft, log_rule, best_use, region=region)
    dib = drawn.diameters(np.arange(len(rows)))
    area = BASAL_SQFT_PER_SQIN * 0.5 * drawn.step_ft * dib**2
    below = np.zeros_like(dib)
    np.cumsum(area[1:] + area[:-1], axis=0, out=below[1:])
    above_stump = (mine["wood_cuft"] - mine["stump_cuft"]).to_numpy(dtype=float)
    scale = above_stump / below_cuft(drawn, np.full(len(rows), 10**6))
    cull = column(mine, "cull_pct", 0.0)
    lb = dry_pounds(mine, division, region=region)
    sg = np.asarray(region.species.wood_property(mine["species"], "wood_sg"), dtype=float)
    wood = lb["branch_lb"] * (1.0 - lb["bark_part"]) / (sg * region.figure("defaults_tree", "water_lb_per_cuft"))
    share = limb_share(mine["dbh_in"], mine["species"], region.figure(STEPS_TOPIC, "limb_top_in"), region=region)
    limbs = wood * share * region.figure(TOPIC, "limb_part")
    tight = region.figure(STEPS_TOPIC, "chips_tight") / CUFT_PER_CUYD
    brush = wood * (1.0 - share) * region.figure(TOPIC, "chip_part") * tight
    burns = [of_woods(mine["species"], x.woods, region=region) & (x.product == "firewood") for x in asked]
    fits = np.array([*(allows(drawn, line, region=region) for line in asked), np.ones(len(rows), dtype=bool)])
    line_of, row_at = of["line"].to_numpy(dtype=int), of["row"].to_numpy(dtype=int)
    allowed = fits[line_of].reshape(len(made), len(rows))
    if best_use is not None:
        named = [replace(c, product=int(r)) for c, r in zip(made, row_at, strict=True) if r >= 0]
        allowed[row_at >= 0] &= may_give(mine, best_use, named, region=region)
    out = Program(
        rows=rows,
        stems=drawn,
        lines=asked,
        choices=made,
        chips_cuyd_per_cuft=tight,
        line_of=line_of,
        allowed=allowed,
        burns=np.array(burns, dtype=float).reshape(len(asked), len(rows)),
        chips=np.array([float(x.product == "chips") for x in asked]),
        dib=dib,
        below=below,
        factor=scale * (1.0 - cull / 100.0),
        limbs_cuft=limbs,
        brush_cuyd=brush,
        cost=mine["wood_cuft"].to_numpy(dtype=float, copy=True),
        solid=solid,
        need=np.array([x.number for x in asked]),
        penalty=np.zeros(len(asked)),
        hard=np.zeros(len(asked), dtype=bool),
        counted=counted,
        own=of["worth"].to_numpy(dtype=float),
        stove=np.full(len(rows), 0.0 if best_use is None else stove_value) * drawn.sound,
        by_piece=np.array([at < 0 or asked[at].product != "board feet" for at in line_of], dtype=bool),
        whole=best_use is not None,
    )
    if out.whole:
        out.cost[:] = priced(out, np.zeros(len(asked)), region=region)[0]
    out.penalty[:] = (
        _penalties(out, region=region) if penalties is None else [penalties[at] for at in range(len(asked))]
    )
    return out


def _choices(
    asked: list[Line], step_ft: float, log_rule: str, best_use: pd.DataFrame | None, *, region: Region
) -> tuple[list[Choice], list[Choice], pd.DataFrame]:
    """Choices of the lines, each line's own and, where every tree is felled, every product in every line that takes it
    and then by itself; the same as they are counted for their own worth; line (-1: none), row of the product (-1: none)
    and worth of a unit of each.
    """
    listed = [] if best_use is None else list(enumerate(best_use.to_dict("records")))
    rows: list[tuple[int, int, dict]] = []
    for at, line in enumerate(asked):
        if line.lengths_ft:
            mine = row_of(line, line.top_in, line.lengths_ft) | {"value": 0.0}
            rows += [(at, r, both) for r, row in listed if (both := _both(mine, row)) is not None]
            rows.append((at, -1, mine))
    rows += [(-1, r, dict(row)) for r, row in listed]
    made: list[Choice] = []
    own: list[Choice] = []
    of_each: list[tuple[int, int, float]] = []
    for at, r, row in rows:
        by_feet = at >= 0 and asked[at].product == "board feet"
        # the row's number in its own list is 0; here it is the line, after the lines the product
        new, counted = (
            [
                replace(c, product=at if at >= 0 else len(asked) + r)
                for c in choices(pd.DataFrame([one]), step_ft, log_rule, region=region)
            ]
            for one in (row, row | {"counted_by": "bdft"} if by_feet else row)
        )
        own, made = own + new, made + counted
        of_each += [(at, r, float(row["value"]))] * len(new)
    if len(made) > MOST_CHOICES:
        raise InputError(f"{len(made)} sizes of pieces are too many to cut by; {MOST_CHOICES} is the most")
    return made, own, pd.DataFrame(of_each, columns=["line", "row", "worth"])


def _both(line: dict, row: dict) -> dict | None:
    """What is a line's piece and a product at once, worth what the product is; None where no piece is both."""
    lengths = [ft for ft in lengths_of(row["lengths_ft"]) if ft in line["lengths_ft"]]
    if row["kind"] != line["kind"] or not lengths:
        return None
    butt = np.fmin(float(row["most_butt_in"]), float(line["most_butt_in"]))
    top = max(float(row["least_top_in"]), float(line["least_top_in"]))
    return row | {"lengths_ft": lengths, "least_top_in": top, "most_butt_in": butt}


def _penalties(program: Program, *, region: Region) -> np.ndarray:
    """Worth of a unit missing: a little more than the dearest tree that could give it."""
    out = np.ones(len(program.lines))
    for at, line in enumerate(program.lines):
        most = most_of(program, at, region=region)
        able = most > 0
        if line.lengths_ft and line.product != "board feet":
            out[at] = program.cost[able].max(initial=0.0)
        elif able.any():
            # a volume: trees that give under a quarter of what most give for their wood are no measure; where all is
            # felled it is taken from the dearest pieces, and these are worth more than their tree as a whole
            each = program.cost[able] / most[able]
            out[at] = min(float(each.max()), 4.0 * float(np.median(each)))
            out[at] *= region.figure(TOPIC, "penalty_whole") if program.whole else 1.0
    return out * region.figure(TOPIC, "penalty") + 1e-9


def _paid_twice(own: Choice, worth: float, feet: Choice, due: float) -> Choice:
    """A piece that is worth something itself and that a line pays by the board foot, counted in worth."""

    def paid(d: np.ndarray) -> np.ndarray:
        return worth * own.amount(d, np.zeros(1)) + due * feet.amount(d, np.zeros(1))

    return replace(own, count=paid, e=worth * own.e, by_piece=False)


def most_of(program: Program, at: int, *, region: Region) -> np.ndarray:
    """The most of a line that each tree gives when nothing else is asked of it."""
    worth = np.zeros(len(program.lines))
    worth[at] = 1.0
    bare = replace(program, own=np.zeros_like(program.own), stove=np.zeros_like(program.stove))
    return priced(bare, worth, region=region)[1].gives[at]


def priced(program: Program, worth: np.ndarray, *, region: Region) -> tuple[np.ndarray, Ways]:
    """The way worth most of every tree when a unit of each line is worth so much: worth of each tree, and the ways."""
    n = len(program.rows)
    fire = worth @ program.burns / program.solid
    chip = float(worth @ program.chips) * program.chips_cuyd_per_cuft
    burnt, chipped = fire * program.factor + program.stove, chip * program.factor
    to_chips = chipped > burnt
    due = np.where(program.line_of >= 0, worth[program.line_of], 0.0) if len(worth) else np.zeros(len(program.line_of))
    made, pays = program.choices, program.own + due
    if program.whole:
        each = zip(program.counted, program.own, program.choices, due, program.by_piece, strict=True)
        made = [replace(c, less=c.less - float(d)) if p else _paid_twice(c, w, by, d) for c, w, by, d, p in each]
        pays = np.where(program.by_piece, program.own, 1.0)
    cuts = solve(
        program.shape,
        np.arange(n),
        made,
        program.stems.step_ft,
        worth=pays,
        sound=program.stems.sound,
        rest_worth=np.maximum(burnt, chipped),
        rest_top_in=region.figure(STEPS_TOPIC, "firewood_top_in"),
        allowed=program.allowed,
        saw_places=program.stems.saw_last,
    )
    value = cuts.value + fire * program.limbs_cuft + float(worth @ program.chips) * program.brush_cuyd
    gives = program.gives(np.arange(n), cuts.place, cuts.choice, cuts.stem, to_chips)
    own = value - worth @ gives if program.whole else np.zeros(n)
    return value, Ways(np.arange(n), gives, cuts, to_chips, own)


def solved(program: Program, gap: float, nodes: int, *, region: Region) -> tuple[list[Way], float, bool]:
    """A set of ways within ``gap`` of the least, a bound below which no set can be, and whether the nodes ran out."""
    if not len(program.rows):
        return [], float((program.penalty * program.need).sum()), False
    rounds: list[tuple[np.ndarray, Ways]] = []
    if program.whole:
        rounds = [(np.arange(len(program.rows)), priced(program, np.zeros(len(program.lines)), region=region)[1])]
    worth, sigma, bound = program.penalty.copy(), np.zeros(len(program.rows)), 0.0
    for _ in range(ROUNDS):
        value, ways = priced(program, worth, region=region)
        bound = max(bound, least_cost(program, worth, value))
        new = np.flatnonzero(value + sigma > program.cost + 1e-7 * np.maximum(program.cost, 1.0))
        if len(new) == 0:
            break
        rounds.append((new, ways))
        master, worth, sigma, short = linear_worths(program, rounds)
        program.hard[:] = short <= 1e-7 * program.need
        if master - bound <= 1e-4 * max(master, 1e-9):
            break
    if not rounds:
        return [], bound, False
    plan, stopped = _whole(program, rounds, worth, sigma, bound, gap, nodes)
    return plan, bound, stopped


def least_cost(program: Program, worth: np.ndarray, value: np.ndarray) -> float:
    """No set of ways can cost less than this, whatever the worths (those of the linear answer give the best one)."""
    low = np.minimum(program.cost - value, 0.0).sum()
    return float(worth @ program.need + low + (np.minimum(program.penalty - worth, 0.0) * program.need).sum())


def _stack(program: Program, rounds: list[tuple[np.ndarray, Ways]]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Tree, what is given and cost of all ways found."""
    tree = np.concatenate([new for new, _ in rounds])
    gives = np.concatenate([ways.gives[:, new] for new, ways in rounds], axis=1)
    return tree, gives, program.cost[tree] - np.concatenate([ways.own[new] for new, ways in rounds])


def _matrix(program: Program, tree: np.ndarray, gives: np.ndarray, price: np.ndarray):
    """Rows: lines (what is given, plus what is missing), then one row for each tree that has ways."""
    from scipy import sparse

    known, row = np.unique(tree, return_inverse=True)
    size = len(tree)
    lines = sparse.csr_matrix(np.hstack([gives, np.eye(len(program.lines))]))
    once = sparse.csr_matrix((np.ones(size), (row, np.arange(size))), shape=(len(known), size + len(program.lines)))
    return lines, once, np.concatenate([price, program.penalty]), known


def linear_worths(program: Program, rounds: list[tuple[np.ndarray, Ways]]):
    """The linear program over the ways found: its value, worth of the lines, worth of the trees."""
    from scipy.optimize import linprog
    from scipy.sparse import vstack

    tree, gives, price = _stack(program, rounds)
    lines, once, cost, known = _matrix(program, tree, gives, price)
    limits = np.zeros((len(cost), 2))
    limits[:, 1] = np.concatenate([np.full(len(tree), np.inf), program.need])
    size = len(program.lines)
    if program.whole:
        each = {"A_ub": -lines, "b_ub": -program.need, "A_eq": once, "b_eq": np.ones(len(known))}
    else:
        each = {"A_ub": vstack([-lines, once]).tocsc(), "b_ub": np.concatenate([-program.need, np.ones(len(known))])}
    answer = linprog(cost, bounds=limits, method="highs", **each)
    sigma = np.zeros(len(program.rows))
    sigma[known] = answer.eqlin.marginals if program.whole else answer.ineqlin.marginals[size:]
    return float(answer.fun), np.maximum(-answer.ineqlin.marginals[:size], 0.0), sigma, answer.x[len(tree) :]


def _whole(program, rounds, worth, sigma, bound, gap, nodes) -> tuple[list[Way], bool]:
    """Whole ways: the integer program over those that can be in a plan within the gap, and whether it was stopped."""
    tree, gives, price = _stack(program, rounds)
    owner = np.concatenate([np.full(len(new), at) for at, (new, _) in enumerate(rounds)])
    extra = price - worth @ gives - sigma[tree]
    first = len(program.rows) if program.whole else 0
    extra[:first] = -np.inf  # the best use of every tree, without which there may be no plan
    keep = np.sort(np.argsort(extra, kind="stable")[: MOST_WAYS + first])
    keep = keep[extra[keep] <= max(4.0 * gap * bound, 1e-6)] if len(program.rows) > 400 else keep
    # a way counts for no more than a line asks for: the same whole plans, a tighter program
    useful = np.minimum(gives[:, keep], program.need[:, None])
    for hard in (program.hard.copy(), np.zeros_like(program.hard)):
        program.hard[:] = hard
        near = 0.4 * gap * _wood_part(program, gives, bound)
        taken, shown = whole_ways(program, tree[keep], useful, price[keep], near, nodes)
        if taken is not None:
            return [rounds[owner[keep[k]]][1].pick(int(tree[keep[k]])) for k in taken], not shown
    return [rounds[0][1].pick(at) for at in range(first)], False


def _wood_part(program: Program, gives: np.ndarray, bound: float) -> float:
    """Share of the bound that is wood and not the price of what cannot be had."""
    missing = np.maximum(program.need - gives.sum(axis=1), 0.0)
    return float(np.clip(1.0 - (program.penalty * missing).sum() / max(bound, 1e-9), 1e-3, 1.0))


def whole_ways(program: Program, tree: np.ndarray, useful: np.ndarray, price: np.ndarray, gap: float, nodes: int):
    """The integer program over ways: positions of those taken (None: no plan), and whether it is shown."""
    lines, once, cost, known = _matrix(program, tree, useful, price)
    size = len(tree)
    answer = solver.whole(
        cost,
        np.concatenate([np.ones(size), np.zeros(len(program.lines))]),
        np.zeros(len(cost)),
        np.concatenate([np.ones(size), np.where(program.hard, 0.0, program.need)]),
        [(lines, program.need, np.inf), (once, float(program.whole), np.ones(len(known)))],
        gap,
        nodes,
    )
    if answer is None:
        return None, False
    return np.flatnonzero(answer.x[:size] > 0.5), not answer.stopped

"""Ways to cut trees for a list of needs: what each gives to every line, and the search for the best set of ways.

assembled   stock, lines and what a piece gives to a line, ready for the search
program     the same from a table of trees
saved_for_logs    no post from what could be a good log of the dearest woods
Way         one tree cut in one way
priced      the way worth most of every tree, at given worths of the lines
most_of     the most of one line that each tree gives
solved      ways found until none is worth more than its tree, then a set of whole ones; and a bound below every set
fewest      of the sets that cost nearly the least, one with the fewest trees
none_unasked    no pole beyond what is asked for

A forester wants the list met, then each tree cut for its best use, then what is worth most left standing. Felling tree
i and cutting it by way p costs ``m V* + V* - V(p)``: what it was worth standing on, and what was lost in cutting.
Least cubic feet would take the sound young maple and leave the old basswood.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import pandas as pd

from woodlot import solver
from woodlot.region import Region
from woodlot.trade import SAWN
from woodlot.tree.inputs import column
from woodlot.wood.cutting import Choice, Cuts, Table, best
from woodlot.wood.grades import best_grade, defect_pct, grade_sizes, species_factor
from woodlot.wood.need_lines import LOG_LENGTHS, TOPIC, Line
from woodlot.wood.products import STEPS_TOPIC, allowed, by_words, choices, listed, of_woods, steps_of, tops, trim_in
from woodlot.wood.stick import tables
from woodlot.wood.stock import Stock, cuyd_per_cuft, stock
from woodlot.wood.worths import judged

__all__ = [
    "Program",
    "Way",
    "assembled",
    "fewest",
    "kept",
    "line_choices",
    "most_of",
    "none_unasked",
    "priced",
    "program",
    "saved_for_logs",
    "solved",
]

ROUNDS = 80
#: Ways handed to the integer program beyond those of the linear answer.
MOST_WAYS = 4_000


@dataclass(frozen=True)
class Way:
    """One tree (position among the trees of a program) cut in one way; gives: amount to each line; own: its worth
    whatever is asked for.
    """

    tree: int
    gives: np.ndarray
    place: np.ndarray
    choice: np.ndarray
    to_chips: bool
    own: float = 0.0


@dataclass(frozen=True)
class Ways:
    """Many ways as arrays: trees, lines x ways, own worths and their cut lists."""

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

    rows: positions in the table handed in; burns: lines x trees, what a cubic foot of its stove wood gives to a line;
    chips: what a cubic foot of chips gives to each line; stems_to_chips: whether stems may be chipped; need: of each
    line as it must be met; penalty: worth of a unit missing (infinite: none may be); best_worth: of each tree at its
    best use; fixed: cost of felling it before what its pieces are worth; may_be, tops: whether a tree may give a
    choice and its least thin end, choices x trees; solid: cubic feet of a cord; heat_met: share of heat that will do;
    whole: every tree is felled; pool: ways found.
    """

    rows: np.ndarray
    stock: Stock
    lines: list[Line]
    choices: list[Choice]
    tables: list[Table]
    burns: np.ndarray
    chips: np.ndarray
    stems_to_chips: bool
    need: np.ndarray
    penalty: np.ndarray
    best_worth: np.ndarray
    fixed: np.ndarray
    may_be: np.ndarray
    tops: np.ndarray
    solid: float
    heat_met: float
    whole: bool = False
    pool: list[tuple[np.ndarray, Ways]] = field(default_factory=list)

    @cached_property
    def line_of(self) -> np.ndarray:
        """Line of each choice, -1: none."""
        return np.array([c.line for c in self.choices], dtype=int)

    @cached_property
    def steps(self) -> np.ndarray:
        """Places of each choice."""
        return np.array([c.steps for c in self.choices], dtype=int)

    @property
    def count(self) -> int:
        """How many trees there are to choose from."""
        return len(self.rows)

    def stove_cuft(self, tree, place, choice, owner) -> np.ndarray:
        """Sound cubic feet of stem left to the stove by ways; owner: each piece's way, tree: each way's tree."""
        stem, below = tree[owner], self.stock.below
        taken = np.bincount(owner, below[place + self.steps[choice], stem] - below[place, stem], minlength=len(tree))
        return (self.stock.usable_cuft()[tree] - taken) * self.stock.factor[tree]

    def measured(self, tree, place, choice, owner, to_chips) -> tuple[np.ndarray, np.ndarray]:
        """What ways give to each line (lines x ways) and what they are worth whatever is asked for."""
        of = self.stock
        gives, own = np.zeros((len(self.lines), len(tree))), np.zeros(len(tree))
        for c in np.unique(choice):
            here = np.flatnonzero(choice == c)
            stem, begin, one = tree[owner[here]], place[here], self.choices[c]
            top = of.dib[begin + one.steps, stem]
            cuft = of.below[begin + one.steps, stem] - of.below[begin, stem]
            worth, feet = of.worths.of(one, stem, top, begin == 0, cuft)
            np.add.at(own, owner[here], worth)
            if one.line >= 0:
                np.add.at(gives[one.line], owner[here], np.ones(len(here)) if feet is None else feet)
        stove = self.stove_cuft(tree, place, choice, owner)
        sound = np.where(of.factor[tree] > 0, of.worths.stove[tree] / np.where(of.factor > 0, of.factor, 1.0)[tree], 0)
        own += np.where(to_chips, of.brush_worth, sound) * stove
        own += of.limb_worth[tree] * of.limbs_cuft[tree] + of.brush_worth * of.brush_cuft[tree]
        gives += self.burns[:, tree] * (np.where(to_chips, 0.0, stove) + of.limbs_cuft[tree])
        gives += self.chips[:, None] * (of.brush_cuft[tree] + np.where(to_chips, stove, 0.0))
        return gives, own

    def got_of(self, plan: Sequence[Way]) -> np.ndarray:
        """What a set of ways gives to each line."""
        return np.sum([w.gives for w in plan], axis=0) if plan else np.zeros(len(self.lines))

    def short_of(self, plan: Sequence[Way]) -> np.ndarray:
        """What is missing of each line as it must be met."""
        short = self.need - self.got_of(plan)
        return np.where(short > 1e-7 * np.maximum(self.need, 1.0), short, 0.0)

    def lost_of(self, plan: Sequence[Way]) -> float:
        """What a set of ways costs: worth given up standing and in cutting."""
        return float(sum(self.fixed[w.tree] - w.own for w in plan))

    def cost_of(self, plan: Sequence[Way]) -> float:
        """The same with the worth of what is missing."""
        short = self.short_of(plan)
        missing = short > 0
        return self.lost_of(plan) + float((self.penalty[missing] * short[missing]).sum())


def line_choices(lines: Sequence[Line], step_ft: float, *, region: Region) -> list[Choice]:
    """Choices of the lines that ask for pieces, in their order."""
    out = []
    for at, line in enumerate(lines):
        sawn = line.product in SAWN
        kind = "sawlog" if sawn else line.product
        usual = line.soft_top_in is not None
        for length in line.lengths_ft:
            out.append(
                Choice(
                    -1,
                    length,
                    steps_of(length, trim_in(kind, region=region), step_ft),
                    line.top_in,
                    line.butt_in,
                    kind,
                    line=at,
                    by_feet=line.product == "board feet",
                    top_of_dbh=region.figure(STEPS_TOPIC, "sawlog_top_of_dbh") if sawn and usual else 0.0,
                    soft_top_in=np.nan if line.soft_top_in is None else line.soft_top_in,
                )
            )
    return out


def allows(trees: pd.DataFrame, line: Line, *, region: Region) -> np.ndarray:
    """Which stems are of the wood, sound and straight enough for a line."""
    fits = of_woods(trees["species"], line.woods, region=region)
    fits = fits & (defect_pct(trees) <= line.most_cull_pct)
    return fits & (column(trees, "sweep_pct", 0.0) <= line.most_sweep_pct)


def saved_for_logs(
    made: list[Choice], fits: np.ndarray, trees: pd.DataFrame, asked: Sequence[Line], said: pd.DataFrame,
    *, region: Region,
) -> tuple[list[Choice], np.ndarray]:  # fmt: skip
    """Choices of lines, and which tree may give which (choices x trees), with the butts of the dearest woods left whole.

    Nobody sets walnut or cherry that a mill would saw: of a wood worth more than red oak a post begins above what could
    be a log of grade 1 or 2, unless the line names the wood.
    """
    species = trees["species"].to_numpy(dtype=object)
    best_by_tree = best_grade(trees, said["best_grade"].to_numpy(dtype=int), region=region)
    log_in = grade_sizes(max(LOG_LENGTHS), False, best_by_tree, species, region=region)[1]
    dear = (species_factor(species, region=region) > 1.0) & np.isfinite(log_in)
    least = float(log_in[dear].min(initial=np.inf))
    at = [k for k, c in enumerate(made) if c.kind == "post" and asked[c.line].woods == "lasting"]
    at = [k for k in at if made[k].most_butt_in > least]
    upper = [replace(made[k], most_butt_in=least) for k in at]
    both = np.vstack([fits, fits[at] & dear])
    both[at] &= ~dear
    return [*made, *upper], both


def program(
    trees: pd.DataFrame,
    may: np.ndarray,
    asked: list[Line],
    log_rule: str,
    solid: float,
    division: str,
    whole: bool = False,
    *,
    region: Region,
) -> Program:
    """Trees (result of ``volumes``), those that may be felled by hand, and lines, ready for the search."""
    rows = np.flatnonzero(may & np.isfinite(trees["wood_cuft"].to_numpy(dtype=float)))
    mine = trees.iloc[rows].reset_index(drop=True)
    of = stock(mine, division, log_rule, region=region)
    said = judged(mine, region=region)
    products = listed(region)
    free = choices(products, of.stems.step_ft, region=region)
    may_free = allowed(mine, products, free, said, region=region)
    wanted, as_free = _at_own_price(line_choices(asked, of.stems.step_ft, region=region), free)
    fits = np.array([allows(mine, line, region=region) for line in asked]).reshape(len(asked), len(rows)).astype(bool)
    may_be = fits[np.array([c.line for c in wanted], dtype=int)] & by_words(wanted, mine, said, region=region)
    may_be &= np.vstack([may_free, np.ones((1, len(rows)), dtype=bool)])[np.array(as_free, dtype=int)]
    wanted, may_be = saved_for_logs(wanted, may_be, mine, asked, said, region=region)
    burns = np.zeros((len(asked), len(rows)))
    for at, line in enumerate(asked):
        if line.product == "firewood":
            each = of.heat if line.mmbtu > 0 else np.full(len(rows), 1.0 / solid)
            burns[at] = each * of_woods(mine["species"], line.woods, region=region)
    return assembled(
        rows, of, asked, [*wanted, *free], np.vstack([may_be, may_free]), burns, solid, whole, region=region
    )


def _at_own_price(wanted: list[Choice], free: list[Choice]) -> tuple[list[Choice], list[int]]:
    """Where the owner priced products, a line's pieces as each product they are, and as none; and which, -1: none."""
    if not any(np.isfinite(f.value) for f in free):
        return wanted, [-1] * len(wanted)
    out, which = [], []
    for c in wanted:
        for at, f in enumerate(free):
            if (f.kind, f.length_ft) == (c.kind, c.length_ft):
                top = np.fmax(f.least_top_in, [c.least_top_in, c.soft_top_in])
                both = replace(
                    c,
                    least_top_in=float(top[0]),
                    soft_top_in=np.nan if np.isnan(c.soft_top_in) else float(top[1]),
                    most_butt_in=min(f.most_butt_in, c.most_butt_in),
                    top_of_dbh=max(f.top_of_dbh, c.top_of_dbh),
                    value=f.value,
                    counted_by=f.counted_by,
                )
                out.append(both)
                which.append(at)
        out.append(replace(c, value=0.0))
        which.append(-1)
    return out, which


def assembled(
    rows: np.ndarray,
    of: Stock,
    asked: list[Line],
    made: list[Choice],
    may_be: np.ndarray,
    burns: np.ndarray,
    solid: float,
    whole: bool = False,
    least: np.ndarray | None = None,
    *,
    region: Region,
) -> Program:
    """Stock, lines and choices ready for the search.

    may_be: whether a tree may give a choice, choices x trees; burns: lines x trees, what a sound cubic foot in the
    stove gives; whole: every tree is felled; least: thin ends, choices x trees, where they are not the usual ones.
    """
    least = tops(made, of.trees, region=region) if least is None else least
    each = list(tables(of.draw, of.stems, of.cut, made, least, may_be, of.worths, region=region))
    met = region.figure(TOPIC, "heat_met")
    chip = cuyd_per_cuft(region=region)
    chipped = [line.product == "chips" for line in asked]
    out = Program(
        rows=rows,
        stock=of,
        lines=asked,
        choices=made,
        tables=each,
        burns=burns,
        chips=np.array([chip if one else 0.0 for one in chipped]),
        stems_to_chips=any(line.chip_stems for line in asked),
        need=np.array([_need(line, met) for line in asked]),
        penalty=np.zeros(len(asked)),
        best_worth=np.zeros(len(rows)),
        fixed=np.zeros(len(rows)),
        may_be=may_be,
        tops=least,
        solid=solid,
        heat_met=met,
        whole=whole,
    )
    value = priced(out, np.zeros(len(asked)))[0]
    out.best_worth[:] = value
    out.fixed[:] = value if whole else (1.0 + of.standing) * value
    return out


def _need(line: Line, met: float) -> float:
    """What must be got of a line: heat as near as it can be told; chips take what limbs and tops give, and no tree is
    felled for them unless the line asks for stems.
    """
    if line.product == "chips" and not line.chip_stems:
        return 0.0
    return met * line.mmbtu if line.mmbtu > 0 else line.number


def priced(program: Program, worth: np.ndarray) -> tuple[np.ndarray, Ways]:
    """The way worth most of every tree when a unit of each line is worth so much: worth of each tree, and the ways."""
    of, n = program.stock, program.count
    fire = worth @ program.burns if len(worth) else np.zeros(n)
    chip = of.brush_worth + float(worth @ program.chips)
    burnt, chipped = of.worths.stove + fire * of.factor, chip * of.factor
    to_chips = (chipped > burnt) if program.stems_to_chips else np.zeros(n, dtype=bool)
    rest = np.where(to_chips, chipped, burnt)
    due = np.where(program.line_of >= 0, worth[program.line_of], 0.0) if len(worth) else np.zeros(len(program.line_of))
    cuts = best(program.tables, of.cut, n, rest, due, of.stems.step_ft)
    value = cuts.value + rest * of.outside_cuft() + (of.limb_worth + fire) * of.limbs_cuft + chip * of.brush_cuft
    gives, own = program.measured(np.arange(n), cuts.place, cuts.choice, cuts.stem, to_chips)
    return value, Ways(np.arange(n), gives, cuts, to_chips, own)


def most_of(program: Program, at: int) -> np.ndarray:
    """The most of a line that each tree gives when nothing else is asked of it."""
    worth = np.zeros(len(program.lines))
    worth[at] = 1e6
    return priced(program, worth)[1].gives[at]


def solved(program: Program, gap: float, nodes: int) -> tuple[list[Way] | None, float, bool]:
    """A set of ways within ``gap`` of the least, a bound below which no set can be, and whether the nodes ran out.

    None where no set meets every line that must be met. Ways found stay in the program's pool.
    """
    if not program.count:
        short = program.need > 0
        return [], float((program.penalty[short] * program.need[short]).sum()), False
    pool = program.pool
    if not pool:
        pool.append((np.arange(program.count), priced(program, np.zeros(len(program.lines)))[1]))
        for at in range(len(program.lines)):
            worth = np.zeros(len(program.lines))
            worth[at] = 1e3 * float(program.fixed.max(initial=1.0)) / max(program.need[at], 1e-3)
            pool.append((np.arange(program.count), priced(program, worth)[1]))
    bound = -np.inf
    for _ in range(ROUNDS):
        answer = linear_worths(program)
        if answer is None:
            return None, np.inf, False
        master, worth, sigma = answer
        value, ways = priced(program, worth)
        bound = max(bound, least_cost(program, worth, value))
        new = np.flatnonzero(value + sigma > program.fixed + 1e-7 * np.maximum(program.fixed, 1.0))
        if len(new) == 0 or master - bound <= 1e-4 * max(abs(master), 1e-6):
            break
        pool.append((new, ways))
    plan, stopped = _whole(program, worth, sigma, bound, gap, nodes)
    return plan, bound, stopped


def least_cost(program: Program, worth: np.ndarray, value: np.ndarray) -> float:
    """No set of ways can cost less than this, whatever the worths (those of the linear answer give the best one)."""
    low = program.fixed - value if program.whole else np.minimum(program.fixed - value, 0.0)
    missing = np.where(np.isfinite(program.penalty), np.minimum(program.penalty - worth, 0.0), 0.0)
    return float(worth @ program.need + low.sum() + (missing * program.need).sum())


def stacked(program: Program) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Round, tree, what is given and cost of all ways found, each way once."""
    pool = program.pool
    tree = np.concatenate([new for new, _ in pool])
    turn = np.concatenate([np.full(len(new), at) for at, (new, _) in enumerate(pool)])
    gives = np.concatenate([ways.gives[:, new] for new, ways in pool], axis=1)
    own = np.concatenate([ways.own[new] for new, ways in pool])
    rows = np.column_stack([tree, np.round(own, 9), np.round(gives.T, 9)])
    once = np.sort(np.unique(rows, axis=0, return_index=True)[1])
    return turn[once], tree[once], gives[:, once], program.fixed[tree[once]] - own[once]


def _matrix(program: Program, tree: np.ndarray, gives: np.ndarray, price: np.ndarray):
    """Rows: lines (what is given, plus what is missing), then one row for each tree that has ways."""
    from scipy import sparse

    known, row = np.unique(tree, return_inverse=True)
    size = len(tree)
    lines = sparse.csr_matrix(np.hstack([gives, np.eye(len(program.lines))]))
    once = sparse.csr_matrix((np.ones(size), (row, np.arange(size))), shape=(len(known), size + len(program.lines)))
    finite = np.where(np.isfinite(program.penalty), program.penalty, 0.0)
    return lines, once, np.concatenate([price, finite]), known


def _most_missing(program: Program) -> np.ndarray:
    return np.where(np.isfinite(program.penalty), program.need, 0.0)


def linear_worths(program: Program):
    """The linear program over the ways found: its value, worth of the lines, worth of the trees; None: no answer."""
    from scipy.optimize import linprog
    from scipy.sparse import vstack

    _, tree, gives, price = stacked(program)
    lines, once, cost, known = _matrix(program, tree, gives, price)
    limits = np.zeros((len(cost), 2))
    limits[:, 1] = np.concatenate([np.full(len(tree), np.inf), _most_missing(program)])
    size = len(program.lines)
    if program.whole:
        each = {"A_ub": -lines, "b_ub": -program.need, "A_eq": once, "b_eq": np.ones(len(known))}
    else:
        each = {"A_ub": vstack([-lines, once]).tocsc(), "b_ub": np.concatenate([-program.need, np.ones(len(known))])}
    answer = linprog(cost, bounds=limits, method="highs", **each)
    if answer.status != 0:
        return None
    sigma = np.zeros(program.count)
    sigma[known] = answer.eqlin.marginals if program.whole else answer.ineqlin.marginals[size:]
    return float(answer.fun), np.maximum(-answer.ineqlin.marginals[:size], 0.0), sigma


def _whole(program, worth, sigma, bound, gap, nodes) -> tuple[list[Way] | None, bool]:
    """Whole ways: the integer program over those that can be in a plan within the gap, and whether it was stopped."""
    turn, tree, gives, price = stacked(program)
    extra = price - worth @ gives - sigma[tree]
    if program.whole:
        extra[turn == 0] = -np.inf  # the best use of every tree, without which there may be no plan
    keep = np.sort(np.argsort(extra, kind="stable")[: MOST_WAYS + (program.count if program.whole else 0)])
    # a way counts for no more than a line asks for: the same whole plans, a tighter program
    useful = np.minimum(gives[:, keep], program.need[:, None])
    taken, shown = whole_ways(program, tree[keep], useful, price[keep], 0.4 * gap, nodes)
    if taken is None:
        return None, not shown
    return [program.pool[turn[keep[k]]][1].pick(int(tree[keep[k]])) for k in taken], not shown


def whole_ways(
    program: Program, tree: np.ndarray, useful: np.ndarray, price: np.ndarray, gap: float, nodes: int,
    budget: float = np.inf, count: np.ndarray | None = None,
) -> tuple[np.ndarray | None, bool]:  # fmt: skip
    """The integer program over ways: positions of those taken (None: no plan), and whether it is shown.

    count: what a way costs where not its price counts; the prices then stay within the budget.
    """
    from scipy import sparse

    lines, once, cost, known = _matrix(program, tree, useful, price)
    size = len(tree)
    rows = [(lines, program.need, np.inf), (once, float(program.whole), np.ones(len(known)))]
    if np.isfinite(budget):
        rows.append((sparse.csr_matrix(cost[None, :]), -np.inf, budget))
    answer = solver.whole(
        cost if count is None else np.concatenate([count, np.zeros(len(program.lines))]),
        np.concatenate([np.ones(size), np.zeros(len(program.lines))]),
        np.zeros(len(cost)),
        np.concatenate([np.ones(size), _most_missing(program)]),
        rows,
        gap,
        nodes,
    )
    if answer is None:
        return None, False
    return np.flatnonzero(answer.x[:size] > 0.5), not answer.stopped


def kept(program: Program, plan: list[Way]) -> list[Way]:
    """A plan whose ways stand in the pool from now on."""
    by_tree = sorted(plan, key=lambda w: w.tree)
    tree = np.array([w.tree for w in by_tree], dtype=int)
    if not len(tree):
        return by_tree
    none = np.empty(0, dtype=int)
    stem = np.concatenate([none, *(np.full(len(w.place), w.tree) for w in by_tree)])
    place, choice = (np.concatenate([none, *(getattr(w, k) for w in by_tree)]) for k in ("place", "choice"))
    size = program.count
    gives, own, chipped = np.zeros((len(program.lines), size)), np.zeros(size), np.zeros(size, dtype=bool)
    gives[:, tree] = np.array([w.gives for w in by_tree]).T
    own[tree], chipped[tree] = [w.own for w in by_tree], [w.to_chips for w in by_tree]
    cuts = Cuts(stem, place, choice, np.zeros(size), program.stock.stems.step_ft)
    program.pool.append((tree, Ways(np.arange(size), gives, cuts, chipped, own)))
    return by_tree


def fewest(program: Program, plan: list[Way], most: float, gap: float, nodes: int) -> list[Way]:
    """Of the sets of ways that cost at most so much the one with the fewest trees, of these the first of the tally."""
    turn, tree, gives, price = stacked(program)
    answer = linear_worths(program)
    if answer is None:
        return plan
    # a way that alone costs more than there is to spare is in no such set
    least, worth, sigma = answer
    at = np.flatnonzero(price - worth @ gives - sigma[tree] <= most - least + 1e-6 * max(most, 1.0))
    turn, tree, gives, price = turn[at], tree[at], gives[:, at], price[at]
    useful = np.minimum(gives, program.need[:, None])
    later = program.rows[tree] / (float(program.rows.max(initial=1)) + 1.0) / (program.count + 1.0)
    taken, _ = whole_ways(program, tree, useful, price, gap, nodes, most, 1.0 + later)
    if taken is None:
        return plan
    mine = np.flatnonzero(np.isin(tree, tree[taken]))
    again, _ = whole_ways(program, tree[mine], useful[:, mine], price[mine], 1e-9, nodes)
    if again is None or len(again) > len(plan):
        return plan
    return [program.pool[turn[mine[k]]][1].pick(int(tree[mine[k]])) for k in again]


def none_unasked(program: Program, plan: list[Way], asked: np.ndarray) -> list[Way]:
    """A plan without poles, and posts of woods that rot, beyond what is asked for: from the tops down they are stove
    wood again, which they are worth.
    """
    spare = np.floor(program.got_of(plan) - asked + 1e-6)
    out = []
    for way in plan:
        size = 0 if way.to_chips else len(way.place)
        while size and _only_asked(program, way.tree, line := int(program.line_of[way.choice[size - 1]])):
            if spare[line] < 1:
                break
            spare[line] -= 1
            size -= 1
        if not way.to_chips and size < len(way.place):
            place, choice = way.place[:size], way.choice[:size]
            one, chips = np.array([way.tree]), np.array([way.to_chips])
            gives, own = program.measured(one, place, choice, np.zeros(size, dtype=int), chips)
            way = replace(way, gives=gives[:, 0], own=float(own[0]), place=place, choice=choice)
        out.append(way)
    return out


def _only_asked(program: Program, tree: int, line: int) -> bool:
    """Whether a piece for a line is worth no more than its heat but for the line."""
    if line < 0 or program.lines[line].product in SAWN:
        return False
    return program.lines[line].product != "post" or not program.stock.worths.lasting[tree]

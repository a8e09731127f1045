"""The search for the best set of ways to cut trees for a list of needs.

solved      ways found until none is worth more than its tree, then a set of whole ones; and a bound below every set
fewest      of the sets that cost nearly the least, one with the fewest trees
whole_ways  the integer program over ways

A forester wants the list met, then each tree cut for its best use, then what is worth most left standing. Least cubic
feet would take the sound young maple and leave the old basswood; what felling a tree costs is said in
``wood.fell_ways``.
"""

import numpy as np

from woodlot import solver
from woodlot.wood.fell_ways import Program, Way, priced

__all__ = ["fewest", "least_cost", "linear_worths", "solved", "whole_ways"]

ROUNDS = 80
#: Ways handed to the integer program beyond those of the linear answer.
MOST_WAYS = 4_000


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

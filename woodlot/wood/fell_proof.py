"""Proof that a plan costs the least: every way that could still be in a better plan, listed, and the program over them.

least   a plan that is shown to be the least, or None where there are too many ways

A way of tree i worth v at the worths of the linear answer costs a plan fixed_i - v more than the bound allows for that
tree. One that alone uses up the whole difference between a known plan and the bound can be in no better plan; the rest
are few. They are listed from the butt up; a start whose best rest (known from the recursion) cannot get there is left.
"""

import itertools

import numpy as np

from woodlot.wood.cut_tables import Listing
from woodlot.wood.fell_search import least_cost, linear_worths, whole_ways
from woodlot.wood.fell_ways import Program, Way, priced

__all__ = ["least"]

MOST_STARTS = 300_000
#: Cut list of a way: places and choices.
Cut = tuple[tuple[int, ...], tuple[int, ...]]


def least(program: Program, price: float, nodes: int) -> list[Way] | None:
    """The plan that costs the least of all, given that one of ``price`` is known."""
    worth, bound = _best_worths(program)
    room = price - bound + 1e-6 * max(abs(price), 1.0)
    ways = _listed(program, worth, room)
    if ways is None:
        return None
    tree, cuts, chipped = ways
    gives, own = _measured(program, tree, cuts, chipped)
    cost = program.fixed[tree] - own
    useful = np.minimum(gives, program.need[:, None])
    keep = _not_beaten(tree, useful, cost)
    taken, shown = whole_ways(program, tree[keep], useful[:, keep], cost[keep], 0.0, nodes)
    if taken is None or not shown:
        return None
    plan = []
    for k in keep[taken]:
        place, choice = (np.array(part, dtype=int) for part in cuts[k])
        plan.append(Way(int(tree[k]), gives[:, k], place, choice, bool(chipped[k]), float(own[k])))
    return plan if program.cost_of(plan) <= price + 1e-6 * max(abs(price), 1.0) else None


def _measured(program: Program, tree: np.ndarray, cuts: list[Cut], chipped: np.ndarray):
    """What listed ways give and are worth."""
    owner = np.repeat(np.arange(len(tree)), [len(place) for place, _ in cuts])
    place, choice = (np.array([one for cut in cuts for one in cut[k]], dtype=int) for k in (0, 1))
    return program.measured(tree, place, choice, owner, chipped)


def _not_beaten(tree: np.ndarray, useful: np.ndarray, cost: np.ndarray) -> np.ndarray:
    """Ways to which no other way of the same tree gives as much or more to every line at no more (of equals the
    first).
    """
    kept = []
    for one in np.unique(tree):
        at = np.flatnonzero(tree == one)
        at = at[np.argsort(cost[at], kind="stable")]
        mine: list[int] = []
        for one_way in at.tolist():
            if not mine or not (useful[:, mine] >= useful[:, [one_way]] - 1e-12).all(axis=0).any():
                mine.append(one_way)
        kept += sorted(mine)
    return np.array(kept, dtype=int)


def _best_worths(program: Program) -> tuple[np.ndarray, float]:
    """Worths of the lines that give the highest bound, by the same rounds as the search, to the end."""
    best, kept = -np.inf, np.zeros(len(program.lines))
    for _ in range(200):
        answer = linear_worths(program)
        if answer is None:
            break
        _, worth, sigma = answer
        value, ways = priced(program, worth)
        bound = least_cost(program, worth, value)
        if bound > best:
            best, kept = bound, worth
        new = np.flatnonzero(value + sigma > program.fixed + 1e-9 * np.maximum(program.fixed, 1.0))
        if len(new) == 0:
            break
        program.pool.append((new, ways))
    return kept, best


def _listed(program: Program, worth: np.ndarray, room: float) -> tuple[np.ndarray, list[Cut], np.ndarray] | None:
    """All ways that can be in a plan cheaper than bound + room: tree, cut lists, whether the rest is chipped."""
    of, n = program.stock, program.count
    fire, chip = worth @ program.burns, of.brush_worth + float(worth @ program.chips)
    due = np.where(program.line_of >= 0, worth[program.line_of], 0.0)
    most = priced(program, worth)[0]
    over = program.fixed - most
    goal = program.fixed - (over if program.whole else np.minimum(over, 0.0)) - room
    trees, cuts, chipped = [], [], []
    for to_chips in (False, True) if program.stems_to_chips else (False,):
        rest = chip * of.factor if to_chips else of.worths.stove + fire * of.factor
        fixed = rest * of.outside_cuft() + (of.limb_worth + fire) * of.limbs_cuft + chip * of.brush_cuft
        each = []
        best = fixed.copy()
        for table in program.tables:
            paid = table.worth(rest[table.tree], due)
            found = table.down(rest[table.tree], paid)
            each.append((table, paid, found))
            np.add.at(best, table.tree, found[0])
        parts: list[list[list[tuple[float, Cut]]]] = [[] for _ in range(n)]
        for table, paid, found in each:
            ways = _starts(
                program, table, found, rest[table.tree], paid, goal[table.tree] - best[table.tree] + found[0]
            )
            if ways is None:
                return None
            for at, mine in enumerate(ways):
                parts[int(table.tree[at])].append(mine)
        for i in range(n):
            for one in itertools.product(*parts[i]):
                if fixed[i] + sum(value for value, _ in one) >= goal[i] - 1e-9:
                    trees.append(i)
                    chipped.append(to_chips)
                    cuts.append(_joined([cut for _, cut in one]))
    return np.array(trees, dtype=int), cuts, np.array(chipped, dtype=bool)


def _joined(parts: list[Cut]) -> Cut:
    """Cut lists of the stretches of a stem as one, from the butt up."""
    both = sorted((p, c) for place, choice in parts for p, c in zip(place, choice, strict=True))
    return tuple(p for p, _ in both), tuple(c for _, c in both)


def _starts(
    program: Program, table: Listing, best: np.ndarray, rest: np.ndarray, paid: np.ndarray, goal: np.ndarray
) -> list[list[tuple[float, Cut]]] | None:
    """Ways of the stretches of a block that reach their goal, place by place from the butt: worth and cut list; paid:
    worth of each piece of the block.
    """
    size, lines = len(table.stretch), len(program.lines)
    line = program.line_of[table.choice]
    counts, skips = np.ones(len(line)), np.zeros(len(line))
    counts[table.feet[0]], skips[table.skipped[0]] = table.feet[1], table.skipped[1]
    stove = table.block.stove(rest)
    root = np.full(size, -1)
    here: list[list[tuple]] = [[] for _ in best]
    first = np.flatnonzero(best[0] >= goal - 1e-9)
    none = np.zeros(len(first))
    here[0].append((first, np.zeros((len(first), lines)), none, none, root[first], root[first], root[first]))
    kept: list[tuple[np.ndarray, ...]] = []
    count = 0
    for p in range(len(best)):
        if not here[p]:
            continue
        row, gives, skip, got, parent, begin, by = (np.concatenate([h[k] for h in here[p]]) for k in range(7))
        here[p] = []
        keep = _distinct(row, gives, skip, got)
        row, gives, skip, got, parent, begin, by = (a[keep] for a in (row, gives, skip, got, parent, begin, by))
        ids = count + np.arange(len(row))
        count += len(row)
        kept.append((row, got + stove[p, row], parent, begin, by))
        if count > MOST_STARTS:
            return None
        at, piece = table.of_places(np.full(len(row), p), row)
        to, gained = table.to[piece], got[at] + paid[piece]
        reach = np.flatnonzero(gained + best[to, row[at]] >= goal[row[at]] - 1e-9)
        at, piece, to, gained = at[reach], piece[reach], to[reach], gained[reach]
        order = np.lexsort((at, table.begin[piece], table.choice[piece], to))
        at, piece, to, gained = at[order], piece[order], to[order], gained[order]
        more = gives[at]
        asked = np.flatnonzero(line[piece] >= 0)
        more[asked, line[piece[asked]]] += counts[piece[asked]]
        new = row[at], more, skip[at] + skips[piece], gained, ids[at], table.begin[piece], table.choice[piece]
        ends = np.flatnonzero(np.r_[True, to[1:] != to[:-1], True]) if len(to) else np.empty(0, dtype=int)
        for low, high in itertools.pairwise(ends.tolist()):
            here[to[low]].append(tuple(part[low:high] for part in new))
    row, done, parent, begin, by = (np.concatenate([one[k] for one in kept]) for k in range(5))
    out: list[list[tuple[float, Cut]]] = [[] for _ in range(size)]
    for k in np.flatnonzero(done >= goal[row] - 1e-9).tolist():
        place, choice, here_at = [], [], k
        while by[here_at] >= 0:
            place.append(int(program.stock.cut.first[table.stretch[row[k]]]) + int(begin[here_at]))
            choice.append(int(by[here_at]))
            here_at = int(parent[here_at])
        out[int(row[k])].append((float(done[k]), (tuple(place[::-1]), tuple(choice[::-1]))))
    return out


def _distinct(row: np.ndarray, gives: np.ndarray, skip: np.ndarray, got: np.ndarray) -> np.ndarray:
    """Of starts of one stretch that gave the same to every line and left as much, the one worth most."""
    if not len(row):
        return np.empty(0, dtype=int)
    key = np.column_stack([row, np.round(gives, 9), np.round(skip, 9)])
    order = np.lexsort((-got, *key.T[::-1]))
    same = np.all(key[order][1:] == key[order][:-1], axis=1)
    return order[np.r_[True, ~same]]

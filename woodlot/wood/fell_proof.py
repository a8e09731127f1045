"""Proof that a plan takes the least: every way that could still be in a better plan, listed, and the program over them.

least   a plan that is shown to be the least, or None where there are too many ways

A way of tree i worth v at the worths of the linear answer costs a plan cost_i - v more than the bound allows for that
tree. One that alone uses up the whole difference between a known plan and the bound can be in no better plan; the rest
are few. They are listed from the butt up; a start whose best rest (known from the recursion) cannot get there is left.
"""

import numpy as np

from woodlot.region import Region
from woodlot.wood.cutting import down
from woodlot.wood.fell_search import Program, Way, least_cost, linear_worths, priced, whole_ways
from woodlot.wood.products import STEPS_TOPIC

__all__ = ["least"]

MOST_STARTS = 400_000


def least(program: Program, price: float, nodes: int, *, region: Region) -> list[Way] | None:
    """The plan that takes the least of all, given that one of ``price`` is known."""
    if any(not c.by_piece for c in program.choices):
        return None  # board feet differ between stems with the same pieces: starts could not be merged
    worth, bound = _best_worths(program, region=region)
    room = price - bound + 1e-6 * max(price, 1.0)
    listed = _listed(program, worth, room, region=region)
    if listed is None:
        return None
    tree, gives, cuts, chipped = listed
    useful = np.minimum(gives, program.need[:, None])
    keep = _not_beaten(tree, useful)
    tree, gives, useful, chipped = tree[keep], gives[:, keep], useful[:, keep], chipped[keep]
    taken, shown = whole_ways(program, tree, useful, program.cost[tree], 0.0, nodes)
    if taken is None or not shown:
        return None
    cut = [cuts(int(keep[k])) for k in taken]
    plan = [Way(int(tree[k]), gives[:, k], c[0], c[1], bool(chipped[k])) for k, c in zip(taken, cut, strict=True)]
    return plan if program.cost_of(plan) <= price * (1 + 1e-6) + 1e-6 else None


def _not_beaten(tree: np.ndarray, useful: np.ndarray) -> np.ndarray:
    """Ways to which no other way of the same tree gives as much or more to every line (of equals the first)."""
    kept = []
    for one in np.unique(tree):
        at = np.flatnonzero(tree == one)
        mine = useful[:, at]
        more = (mine[:, :, None] >= mine[:, None, :] - 1e-12).all(axis=0)  # [a, b]: a gives at least what b gives
        strictly = more & ~more.T
        equal_before = np.triu(more & more.T, 1)
        kept.append(at[~(strictly | equal_before).any(axis=0)])
    return np.sort(np.concatenate(kept)) if kept else np.empty(0, dtype=int)


def _best_worths(program: Program, *, region: Region) -> tuple[np.ndarray, float]:
    """Worths of the lines that give the highest bound, by the same rounds as the search, to the end."""
    rounds, worth, best, kept = [], program.penalty.copy(), -np.inf, program.penalty.copy()
    sigma = np.zeros(len(program.rows))
    for _ in range(200):
        value, ways = priced(program, worth, region=region)
        bound = least_cost(program, worth, value)
        if bound > best:
            best, kept = bound, worth
        new = np.flatnonzero(value + sigma > program.cost + 1e-9 * np.maximum(program.cost, 1.0))
        if len(new) == 0:
            break
        rounds.append((new, ways))
        _, worth, sigma, _ = linear_worths(program, rounds)
    return kept, best


def _listed(program: Program, worth: np.ndarray, room: float, *, region: Region):
    """All ways that can be in a plan cheaper than bound + room: tree, gives, a function to their cuts, to_chips."""
    n = len(program.rows)
    fire, chip = worth @ program.burns / program.solid, float(worth @ program.chips) * program.chips_cuyd_per_cuft
    parts = []
    for to_chips in (False, True) if program.chips.any() else (False,):
        rest = (np.full(n, chip) if to_chips else fire) * program.factor
        fixed = fire * program.limbs_cuft + float(worth @ program.chips) * program.brush_cuyd
        one = _starts(program, worth, rest, fixed, room, region=region)
        if one is None:
            return None
        parts.append((one, to_chips))
    tree = np.concatenate([p[0][0] for p in parts])
    chipped = np.concatenate([np.full(len(p[0][0]), p[1]) for p in parts])
    cut_lists = [cut for p in parts for cut in p[0][1]]
    owner = np.repeat(np.arange(len(tree)), [len(c[0]) for c in cut_lists])
    place = np.concatenate([c[0] for c in cut_lists]).astype(int) if len(tree) else np.empty(0, dtype=int)
    choice = np.concatenate([c[1] for c in cut_lists]).astype(int) if len(tree) else np.empty(0, dtype=int)
    gives = program.gives(tree, place, choice, owner, chipped)
    return tree, gives, lambda k: cut_lists[k], chipped


def _starts(program: Program, worth, rest, fixed, room, *, region: Region):
    """Ways of all trees, place by place from the butt; a start knows tree, counts, worth and the start before it."""
    unit = worth[program.line_of] if len(program.line_of) else np.empty(0)
    top = region.figure(STEPS_TOPIC, "firewood_top_in")
    best, _ = down(
        program.dib, program.choices, program.stems.step_ft, unit, program.stems.sound, rest, 0.0, top, program.allowed,
        program.stems.saw_last, False,
    )  # fmt: skip
    places = len(program.dib)
    # what a way must be worth to stay: its tree's own share of the bound, less the room
    value = best[0] + fixed
    most = priced(program, worth, region=region)[0]  # what each tree is worth, all ways of using it counted
    goal = program.cost - np.minimum(program.cost - most, 0.0) - room - fixed
    size = len(program.choices)
    here: list[list[tuple]] = [[] for _ in range(places)]
    first = np.flatnonzero(value - fixed >= goal - 1e-9)
    none, root = np.zeros(len(first)), np.full(len(first), -1)
    here[0].append((first, np.zeros((len(first), size), dtype=np.uint8), none, none, root, root))
    log: list[tuple[np.ndarray, np.ndarray, np.ndarray]] = []  # parent, place, choice of every start kept
    count = 0
    for s in range(places):
        if not here[s]:
            continue
        tree, counts, got, stove, parent, by = (np.concatenate([h[k] for h in here[s]]) for k in range(6))
        here[s] = []
        keep = _distinct(tree, counts, stove)
        tree, counts, got, stove, parent, by = (a[keep] for a in (tree, counts, got, stove, parent, by))
        ids = count + np.arange(len(tree))
        count += len(tree)
        log.append((parent, np.full(len(tree), s), by))
        if count > MOST_STARTS:
            return None
        if s == places - 1:
            last_tree, last_ids = tree, ids
            break
        step = program.below[s + 1, tree] - program.below[s, tree]
        more = np.where(program.dib[s + 1, tree] >= top, step, 0.0)
        _go(here, s + 1, tree, counts, got + more * rest[tree], stove + more, ids, -1, best, goal)
        for c, choice in enumerate(program.choices):
            to = s + choice.steps
            if to >= places:
                continue
            fits = (
                (program.dib[to, tree] >= choice.least_top_in)
                & (program.dib[s, tree] <= choice.most_butt_in)
                & program.allowed[c, tree]
            )
            if choice.sawlog and program.stems.saw_last is not None:
                fits &= program.stems.saw_last[tree] >= to
            at = np.flatnonzero(fits)
            if not len(at):
                continue
            added = counts[at].copy()
            added[:, c] += 1
            _go(here, to, tree[at], added, got[at] + unit[c], stove[at], ids[at], c, best, goal)
    else:
        return np.empty(0, dtype=int), []
    parent = np.concatenate([a[0] for a in log])
    place = np.concatenate([a[1] for a in log])
    by = np.concatenate([a[2] for a in log])
    return last_tree, _back(program, last_ids, parent, place, by)


def _go(here, to, tree, counts, got, stove, ids, by, best, goal) -> None:
    """Keep starts whose best rest still reaches the goal."""
    keep = np.flatnonzero(got + best[to, tree] >= goal[tree] - 1e-9)
    if len(keep):
        here[to].append((tree[keep], counts[keep], got[keep], stove[keep], ids[keep], np.full(len(keep), by)))


def _distinct(tree: np.ndarray, counts: np.ndarray, stove: np.ndarray) -> np.ndarray:
    """Of starts of one tree with the same pieces so far, the one with most stove wood."""
    if not len(tree):
        return np.empty(0, dtype=int)
    key = np.column_stack([tree.astype(np.int64), counts.astype(np.int64)])
    order = np.lexsort((-stove, *key.T[::-1]))
    same = np.all(key[order][1:] == key[order][:-1], axis=1)
    return order[np.r_[True, ~same]]


def _back(program: Program, ids: np.ndarray, parent, place, by) -> list[tuple[np.ndarray, np.ndarray]]:
    """Cut lists of complete ways, from each back to its butt."""
    lists: list[list[tuple[int, int]]] = [[] for _ in ids]
    at = ids.copy()
    while (at >= 0).any():
        on = np.flatnonzero(at >= 0)
        for k in on:
            c = int(by[at[k]])
            if c >= 0:
                lists[k].append((int(place[parent[at[k]]]), c))
        at[on] = parent[at[on]]
    return [
        (np.array([p for p, _ in reversed(one)], dtype=int), np.array([c for _, c in reversed(one)], dtype=int))
        for one in lists
    ]

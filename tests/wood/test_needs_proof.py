"""The choice against every set of trees and every way to cut them, tried one by one; 200 lists, mixed products."""

import numpy as np
import pandas as pd
import pytest

from woodlot.region import shipped
from woodlot.tree.volume import volumes
from woodlot.wood import fell_program, needs
from woodlot.wood.grades import grade_possible, index
from woodlot.wood.logs import log_bdft
from woodlot.wood.need_lines import Line

BASE = shipped("base")
KINDS = ("northern white-cedar", "red pine", "sugar maple", "american basswood")
WORDS = ("", "", "crook", "fork", "dying", "mature", "butt rot")


def a_list(draw):
    """Trees and a list of two to four lines in any order."""
    n = int(draw.integers(2, 4))
    dbh = draw.uniform(7, 14, n)
    trees = pd.DataFrame(
        {
            "dbh_in": dbh,
            "height_ft": draw.uniform(26, 44, n),
            "species": draw.choice(KINDS, n),
            "quality": draw.choice(WORDS, n),
            "cull_pct": draw.choice([np.nan, 0.0, 20.0], n),
        }
    )
    placed = draw.random(n) < 0.2
    trees["defect_from_ft"] = np.where(placed, 12.0, np.nan)
    trees["defect_to_ft"] = np.where(placed, 15.0, np.nan)
    lines = [
        Line("post", int(draw.integers(1, 5)), (7.0,), 4.0, 12.0, str(draw.choice(["lasting", "any"])), 5.0, 10.0),
        Line("pole", int(draw.integers(1, 3)), (12.0,), 4.0, 9.0, "any", 5.0, 10.0),
        Line("sawlog", int(draw.integers(1, 3)), (8.0, 10.0), 8.0),
        Line("board feet", float(draw.uniform(10, 60)), (8.0, 12.0), 8.0),
        Line("firewood", 0.1, mmbtu=float(draw.uniform(0.5, 4.0))),
        Line("firewood", float(draw.uniform(0.02, 0.2))),
        Line("chips", float(draw.uniform(0.2, 1.0)), chip_stems=True),
    ]
    picked = draw.choice(len(lines), int(draw.integers(2, 5)), replace=False)
    return trees, [lines[k] for k in picked]


def rows_of_pieces(told, i):
    """Every row of pieces of one tree: (place, choice) from the butt, over all its stretches; nothing pruned."""
    of = told.stock
    ways = [()]
    for r in np.flatnonzero(of.cut.tree == i)[np.argsort(of.cut.first[of.cut.tree == i])]:
        first, last = int(of.cut.first[r]), int(of.cut.last[r])
        todo, found = [(first, ())], []
        while todo:
            at, row = todo.pop()
            found.append(row)
            for c, choice in enumerate(told.choices):
                for gap in range(7):
                    begin = at + 16 * gap
                    to = begin + choice.steps
                    if to > last or not told.may_be[c, i] or of.dib[to, i] < told.tops[c, i]:
                        continue
                    if of.dib[begin, i] > choice.most_butt_in:
                        continue
                    if gap and of.dib[begin - 16, i] <= choice.most_butt_in:
                        continue
                    todo.append((to, (*row, (begin, c))))
        ways = [(*low, *up) for low in ways for up in found]
    return ways


def gives_and_worth(told, i, row, chipped, solid=79.0):
    """What one way gives to each line and its worth, by its own arithmetic."""
    of, lines = told.stock, told.lines
    gives, worth = np.zeros(len(lines)), 0.0
    species, burnt = of.trees["species"][i], float(of.below[of.stems.last[i], i])
    stove = 2.0 * of.heat[i] * of.factor[i]
    for begin, c in row:
        choice, end = told.choices[c], begin + told.choices[c].steps
        top, cuft = of.dib[end, i], of.below[end, i] - of.below[begin, i]
        burnt -= cuft
        if choice.kind == "sawlog":
            bdft = float(log_bdft(top, choice.length_ft, region=BASE)) * of.worths.scale_left[i]
            grade = int(
                grade_possible([top], choice.length_ft, begin == 0, of.worths.best[i], [species], region=BASE)[0]
            )
            each = index(f"grade {grade}", region=BASE) if grade < 4 else 0.0
            worth += each * of.worths.factor[i] * bdft if each else stove * cuft
        elif choice.kind == "post" and species == "northern white-cedar":
            worth += 5.0
        else:
            worth += stove * cuft
        if choice.line >= 0:
            gives[choice.line] += bdft if lines[choice.line].product == "board feet" else 1.0
    sound = burnt * of.factor[i]
    worth += (0.1 * sound if chipped else stove * burnt) + 2.0 * of.heat[i] * of.limbs_cuft[i] + 0.1 * of.brush_cuft[i]
    for k, line in enumerate(lines):
        fire = (0.0 if chipped else sound) + of.limbs_cuft[i]
        if line.product == "firewood":
            gives[k] = fire * (of.heat[i] if line.mmbtu else 1.0 / solid)
        if line.product == "chips":
            gives[k] = (of.brush_cuft[i] + (sound if chipped else 0.0)) * 2.5 / 27.0
    return gives, worth


def best_of_all(told):
    """What is short of each line, and the cost, of all sets of trees and ways that no other beats."""
    total, cost = np.zeros((1, len(told.lines))), np.zeros(1)
    for i in range(told.count):
        each = [
            gives_and_worth(told, i, row, chipped)
            for row in rows_of_pieces(told, i)
            for chipped in ((False, True) if told.stems_to_chips else (False,))
        ]
        most = max(worth for _, worth in each)
        assert most == pytest.approx(told.best_worth[i], abs=1e-6)
        gives = np.array([np.minimum(g, told.need) for g, _ in each])
        fixed = most * (1.0 if told.whole else 1.0 + told.stock.standing[i])
        lost = fixed - np.array([worth for _, worth in each])
        if not told.whole:
            gives, lost = np.vstack([np.zeros(len(told.lines)), gives]), np.r_[0.0, lost]
        gives, lost = unbeaten(gives, lost)
        total = np.minimum((total[:, None] + gives[None]).reshape(-1, len(told.lines)), told.need)
        cost = (cost[:, None] + lost[None]).ravel()
        total, cost = unbeaten(total, cost)
    return told.need - total, cost


def first_lines_first(short, need):
    """Least short of each line in the order of the list, each held for the next."""
    out = []
    for k in range(short.shape[1]):
        out.append(float(short[:, k].min()))
        short = short[short[:, k] <= out[-1] + 1e-3 * need[k]]
    return np.array(out)


def unbeaten(gives, cost):
    """Options that no other one beats outright; of equals one."""
    order = np.lexsort((*gives.T, cost))
    gives, cost = gives[order], cost[order]
    kept = []
    for k in range(len(cost)):
        if not kept or not (gives[kept] >= gives[k] - 1e-12).all(axis=1).any():
            kept.append(k)
    return gives[kept], cost[kept]


def told_of(seed):
    """A small list ready for the search."""
    draw = np.random.default_rng(seed)
    trees, lines = a_list(draw)
    whole = bool(draw.random() < 0.25)
    return fell_program.program(
        volumes(trees, region=BASE), np.ones(len(trees), dtype=bool), lines, "international_quarter", 79.0, "210",
        whole, region=BASE,
    )  # fmt: skip


def check(seed):
    """The choice gets of each line what the best of all sets gets, and costs no more."""
    told = told_of(seed)
    found = needs.decided(told, 0.0, 5_000, prove=True)
    short, cost = best_of_all(told)
    left = np.maximum(told.need - told.got_of(found.plan), 0.0)
    assert left == pytest.approx(first_lines_first(short, told.need), abs=4e-3 * max(told.need.max(), 1.0))
    # of all that gets as much of every line none costs less
    least = float(cost[(short <= left + 1e-9).all(axis=1)].min())
    assert told.lost_of(found.plan) == pytest.approx(least, abs=2e-5 * max(least, 1.0)) and found.proven


@pytest.mark.parametrize("seed", range(12))
def test_the_choice_is_the_best_of_all_sets_and_cuts(seed):
    """Twelve of the two hundred."""
    check(seed)


@pytest.mark.slow
def test_200_small_lists_are_the_best_of_all_sets_and_cuts():
    """The rest of them."""
    for seed in range(12, 200):
        check(seed)

"""The worked choice of five trees, to the inch and the last printed digit; stems drawn as b - t x.

Bucking reference, section 8: every digit there was computed over all 10,604,000 combinations.
"""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from woodlot.region import shipped
from woodlot.wood import fell_check, fell_program, fell_ways, needs
from woodlot.wood.cutting import Choice, Stretches
from woodlot.wood.need_lines import Line
from woodlot.wood.stick import Stems
from woodlot.wood.stock import Stock
from woodlot.wood.worths import Worths

BASE = shipped("base")
STEP = 1 / 12
#: species, dbh, butt (in), taper (in a foot), usable ft, m, species factor, limbs (cuft), MMBtu a cuft
TREES = [
    ("sugar maple", 17, 16.4, 0.16, 44, 1.0, 0.93, 10, 0.30052),
    ("american basswood", 20, 19.0, 0.19, 48, 0.5, 0.27, 8, 0.17172),
    ("northern red oak", 14, 13.2, 0.17, 40, 0.2, 1.0, 9, 0.30052),
    ("northern white-cedar", 10, 10.2, 0.24, 28, 0.5, 0.33, 1, 0.16286),
    ("balsam fir", 9, 8.6, 0.14, 38, 0.0, 0.33, 1, 0.18533),
]
#: The page turns 1/8-inch feet into 1/4-inch ones by the rounded factor.
ROUNDED = 0.905 / 0.904762
SG = [0.56, 0.32, 0.56, 0.29, 0.33]
HHV = [8600, 8600, 8600, 9000, 9000]


def stock_of(rows):
    """Trees of the example as a stock: linear stems, no word but an oak's crook (logs of 8 ft, grade 3, all scaled)."""
    picked = [TREES[i] for i in rows]
    names, dbh, b, t, usable, m, factor, limbs, _ = (list(one) for one in zip(*picked, strict=True))
    heat = np.array([SG[i] * 62.4 * HHV[i] / 1e6 for i in rows])
    last = np.array([12 * u for u in usable])
    b, t = np.array(b), np.array(t)
    places = np.arange(last.max() + 1)[:, None]
    dib = np.where(places <= last, b - t * places * STEP, 0.0)
    at = np.minimum(places, last)
    below = 0.005454154 * (b**3 - (b - t * at * STEP) ** 3) / (3 * t)
    n = len(rows)
    trees = pd.DataFrame({"species": names, "dbh_in": np.array(dbh, dtype=float)})
    nan = np.full(n, np.nan)
    stems = Stems(None, STEP, 0.0, last, None, np.zeros(n), np.full(n, np.inf), nan, nan, trees)
    best = np.array([3 if name == "northern red oak" else 1 for name in names])
    plain = np.array(["northern red oak"] * n, dtype=object)  # grades without the exception for basswood
    lasting = np.array([name == "northern white-cedar" for name in names])
    worths = Worths(
        plain, np.array(factor), np.full(n, ROUNDED), best, 2.0 * heat, lasting, "international_quarter", BASE
    )
    every = np.arange(n)
    cut = Stretches(every, np.zeros(n, dtype=int), last, last, np.ones(n, dtype=bool))
    one = np.ones(n)
    return Stock(trees, stems, dib, below, cut, one, heat, np.array(limbs, dtype=float), np.zeros(n), 2.0 * heat, 0.0,
                 np.array(m), worths)  # fmt: skip


def told(rows=range(5), mmbtu=10.0, met=1.0):
    """The program: two logs of 12 ft with a top of 10, three posts, heat."""
    rows = list(rows)
    of = stock_of(rows)
    asked = [
        Line("sawlog", 2, (12.0,), 10.0),
        Line("post", 3, (7.0,), 4.0, woods="lasting"),
        Line("firewood", 1, mmbtu=mmbtu / 0.97 * met),
    ]
    logs = [Choice(0, ft, int(ft * 12) + 4, 8.0) for ft in (8.0, 10.0, 12.0, 14.0, 16.0)]
    posts = Choice(0, 7.0, 85, 4.0, kind="post")
    made = [replace(logs[2], least_top_in=10.0, line=0), replace(posts, line=1), *logs, posts]
    names = of.trees["species"].to_numpy()
    cedar, oak, fir = names == "northern white-cedar", names == "northern red oak", names == "balsam fir"
    may = np.array([
        (cedar if c.kind == "post" else ~fir & (~oak | (c.length_ft == 8))) for c in made
    ])  # fmt: skip
    burns = np.zeros((3, len(rows)))
    burns[2] = of.heat
    least = np.array([np.full(len(rows), c.least_top_in) for c in made])
    return fell_program.assembled(np.arange(len(rows)), of, asked, made, may, burns, 79.0, least=least, region=BASE)


@pytest.fixture(scope="module")
def best():
    """The example decided: program, plan."""
    program = told()
    return program, needs.decided(program, 0.01, 2000, prove=True)


def test_best_use_of_each_tree_as_printed(best):
    """V* of the table, four digits; MMBtu a cubic foot and cubic feet of the stem."""
    program, _ = best
    assert program.best_worth == pytest.approx([190.2240, 80.7983, 33.1340, 15.5490, 3.2624], abs=5e-5)
    assert program.stock.heat == pytest.approx([one[8] for one in TREES], abs=5e-6)
    assert program.stock.usable_cuft() == pytest.approx([40.803, 56.403, 21.793, 7.720, 7.802], abs=5e-4)


def test_the_trees_to_fell_and_their_cost_as_printed(best):
    """Fell 2, 3, 4 and 5 at 62.7786, shown to be the least; heat 11.1298."""
    program, found = best
    assert [w.tree for w in found.plan] == [1, 2, 3, 4] and found.proven
    assert program.lost_of(found.plan) == pytest.approx(62.7786, abs=5e-5)
    assert program.got_of(found.plan)[2] == pytest.approx(11.1298, abs=5e-5)
    costs = [program.lost_of([w]) for w in found.plan]
    assert costs == pytest.approx([40.4614, 14.5427, 7.7745, 0.0], abs=6e-5)
    assert [w.own for w in found.plan][:2] == pytest.approx([80.7361, 25.2180], abs=5e-5)


def test_the_pieces_to_the_inch_as_printed(best):
    """Basswood 16, 12, 12 ft; the oak's butt 8 ft; three posts of the cedar; the fir all to the stove."""
    program, found = best
    pieces, stove = fell_check.pieces_of(program, found.plan, region=BASE)
    rows = [
        (stem + 1, ft, round(begin * 12), round(end * 12))
        for stem, ft, begin, end in pieces[["stem", "length_ft", "from_ft", "to_ft"]].to_numpy()
    ]
    assert rows == [
        (2, 16, 0, 196), (2, 12, 196, 344), (2, 12, 344, 492), (3, 8, 0, 100),
        (4, 7, 0, 85), (4, 7, 85, 170), (4, 7, 170, 255),
    ]  # fmt: skip
    logs = pieces[pieces["kind"] == "sawlog"]
    assert logs["small_end_in"].to_numpy() == pytest.approx([15.8967, 13.5533, 11.2100, 11.7833], abs=5e-5)
    assert logs["bdft"].to_numpy() == pytest.approx([178.155, 90.974, 59.431, 42.221], abs=5e-4)
    assert logs["grade"].tolist() == [1, 2, 2, 3] and logs["line"].tolist() == [-1, 0, 0, -1]
    heat = stove * program.stock.heat[[w.tree for w in found.plan]]
    assert heat == pytest.approx([2.1038, 7.1203, 0.2745, 1.6312], abs=5e-5)
    assert fell_check.count_again(program, found.plan, pieces, stove, region=BASE) == pytest.approx(
        program.got_of(found.plan)
    )


@pytest.mark.parametrize(
    ("rows", "cost"),
    [
        ((1, 2, 3), 67.3085),
        ((0, 2, 3, 4), 213.7940),
        ((0, 2, 3), 218.0985),
        ((0, 1, 2, 3, 4), 245.0867),
        ((0, 1, 2, 3), 245.8065),
        ((0, 1, 3, 4), 249.7183),
        ((0, 1, 3), 260.3002),
    ],
)
def test_other_sets_cost_what_is_printed(rows, cost):
    """Each set of trees that meets the list, all of them felled, at its least."""
    program = told(rows)
    whole = replace(program, whole=True, pool=[])
    found = needs.decided(whole, 0.01, 2000, prove=True)
    assert not whole.short_of(found.plan).any() and found.proven
    assert whole.lost_of(found.plan) == pytest.approx(cost, abs=6e-5)


@pytest.mark.parametrize("rows", [(0, 1, 2, 4), (2, 3, 4), (1, 3), (1, 3, 4), (0, 3), (0, 3, 4)])
def test_no_other_set_meets_the_list(rows):
    """Sets that leave a line short."""
    program = told(rows)
    found = needs.decided(replace(program, whole=True, pool=[]), 0.01, 2000, prove=True)
    assert program.short_of(found.plan).any()


def test_with_more_heat_the_crooked_oak_is_burnt_as_printed():
    """Twelve MMBtu: the same trees, 69.4887, the oak all to the stove."""
    program = told(mmbtu=12.0)
    found = needs.decided(program, 0.01, 2000, prove=True)
    assert [w.tree for w in found.plan] == [1, 2, 3, 4]
    assert program.lost_of(found.plan) == pytest.approx(69.4887, abs=6e-5)
    assert len(found.plan[1].place) == 0


def test_least_cubic_feet_would_fell_the_crop_tree():
    """The trap: the maple's set holds 70.316 cubic feet of stem, the best one 93.718; the maple stands on."""
    cuft = told().stock.usable_cuft()
    assert cuft[[0, 2, 3]].sum() == pytest.approx(70.316, abs=5e-4)
    assert cuft[[1, 2, 3, 4]].sum() == pytest.approx(93.718, abs=5e-4)


@pytest.mark.parametrize(("inches", "posts"), [(254, 2), (255, 3)])
def test_three_posts_take_255_inches(inches, posts):
    """A 7-ft post with its trim is 85 in: a stem of 21 ft 2 in gives two, one inch more gives three."""
    program = told([3])
    of = program.stock
    last = np.array([inches])
    short = replace(of, stems=replace(of.stems, last=last), cut=replace(of.cut, last=last, rest=last))
    again = fell_program.assembled(
        np.arange(1), short, program.lines, program.choices, np.ones((8, 1), dtype=bool), program.burns, 79.0,
        least=np.full((8, 1), 4.0), region=BASE,
    )  # fmt: skip
    assert fell_ways.most_of(again, 1)[0] == posts


def all_patterns(dib, last, made, may):
    """How many rows of pieces a stem gives, tried one by one; the bare stem is one."""
    count = 0
    todo = [0]
    while todo:
        at = todo.pop()
        count += 1
        todo += [
            at + c.steps
            for c, fits in zip(made, may, strict=True)
            if fits and at + c.steps <= last and dib[at + c.steps] >= c.least_top_in
        ]
    return count


def test_patterns_of_the_example_as_printed():
    """274, 481, 4, 7 and 1 rows of pieces, the bare stem among them."""
    program = told()
    free = [k for k, c in enumerate(program.choices) if c.line < 0]
    made = [program.choices[k] for k in free]
    counts = []
    for i, tree in enumerate(TREES):
        fir, cedar, oak = (tree[0] == n for n in ("balsam fir", "northern white-cedar", "northern red oak"))
        may = [cedar if c.kind == "post" else not fir and (not oak or c.length_ft == 8) for c in made]
        counts.append(all_patterns(program.stock.dib[:, i], program.stock.stems.last[i], made, may))
    assert counts == [274, 481, 4, 7, 1]

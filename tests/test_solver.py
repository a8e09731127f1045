"""Programs in whole numbers: the same on every machine, checked, and silent."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from woodlot import solver


def bag(size, seed):
    """Weights and worths of things for a bag that holds half of them, in two ways of weighing."""
    draw = np.random.default_rng(seed)
    weight = draw.integers(20, 100, (2, size)).astype(float)
    return draw.integers(10, 90, size) + weight.sum(axis=0) / 2, weight


def filled(size, seed, nodes, gap=0.0):
    """The best filling, or the best that so many nodes find."""
    worth, weight = bag(size, seed)
    ones = np.ones(size)
    return solver.whole(-worth, ones, 0.0 * ones, ones, [(weight, -np.inf, weight.sum(axis=1) / 2)], gap, nodes)


def test_the_best_bag_by_trying_all():
    """Twelve things: the same worth as the best of all 4,096 fillings, and the bound is there."""
    worth, weight = bag(12, 1)
    every = (np.arange(4096)[:, None] >> np.arange(12)) & 1
    fits = (every @ weight.T <= weight.sum(axis=1) / 2).all(axis=1)
    told = filled(12, 1, 10_000)
    assert -told.cost == pytest.approx((every @ worth)[fits].max())
    assert not told.stopped and told.bound == pytest.approx(told.cost, abs=1e-6)


def test_an_answer_found_when_the_nodes_run_out_is_taken_and_says_so():
    """One node for sixty things: stopped, an answer that fits, under the bound; never an answer that is worse later."""
    one, more = filled(60, 2, 1), filled(60, 2, 100_000)
    _, weight = bag(60, 2)
    assert one.stopped and not more.stopped
    assert (weight @ one.x <= weight.sum(axis=1) / 2 + 1e-6).all()
    assert one.bound <= more.cost + 1e-6 <= one.cost + 2e-6


def test_what_cannot_be_is_none():
    """One number, at least 2 and at most 1."""
    one = np.ones(1)
    assert solver.whole(one, one, 0 * one, one, [(np.ones((1, 1)), 2.0, np.inf)], 0.0, 10) is None


@pytest.mark.parametrize("wrong", [[0.5, 0.0], [0.0, 1.2], [1.0, 1.0], [-1.0, 0.0]])
def test_an_answer_that_breaks_a_row_is_not_taken(wrong, monkeypatch):
    """Half of a whole thing, over its most, two in a bag for one, less than nothing: refused whatever is claimed."""
    import scipy.optimize

    class Claimed:
        x, fun, status, mip_dual_bound, mip_node_count = np.array(wrong), 0.0, 0, 0.0, 1

    monkeypatch.setattr(scipy.optimize, "milp", lambda *a, **k: Claimed)
    ones = np.ones(2)
    assert solver.whole(ones, ones, 0 * ones, ones, [(np.ones((1, 2)), -np.inf, 1.0)], 0.0, 10) is None


TALKS = """
import runpy, sys
from woodlot.region import shipped
from woodlot.wood import needs
sys.stdout.write("before ")
made = runpy.run_path("tests/bench/test_bench_needs.py")
needs.choose(made["many"](300, 5), made["twelve"](300), region=shipped("base"))
print("after")
print("told", file=sys.stderr)
"""


@pytest.mark.slow
def test_lines_of_the_solver_reach_neither_output_nor_error():
    """A list from 300 trees on which the solver prints lines of its own: they are nowhere; ours are all there."""
    root = Path(__file__).parent.parent
    told = subprocess.run(
        [sys.executable, "-c", TALKS],
        capture_output=True,
        text=True,
        cwd=root,
        env=os.environ | {"PYTHONPATH": str(root)},
    )
    assert told.returncode == 0, told.stderr
    assert (told.stdout, told.stderr) == ("before after\n", "told\n")


def test_lines_of_others_are_kept_while_the_solver_is_silent(capfd):
    """What C wrote before and after is there, what it writes meanwhile is not; closed files are borne."""
    import ctypes

    c = ctypes.CDLL(None if os.name != "nt" else "ucrtbase")
    c.printf(b"before ")
    with solver._silent():
        c.printf(b"meanwhile ")
        os.write(2, b"meanwhile ")
    c.printf(b"after")
    c.fflush(None)
    assert capfd.readouterr() == ("before after", "")

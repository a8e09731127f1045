"""Lists of 12 lines from 300, 1,000 and 5,000 trees within a proven 1 percent; 30 trees shown to be the least.

Seconds belong to a machine. The unit here is floor B (100,000 made-up stems drawn once, see test_bench_stick) measured
in the same run; on the machine of the goals (.5, 1.5 and 8 s) it took 28 ms.
"""

import time

import numpy as np
import pandas as pd
import pytest

from woodlot.region import shipped
from woodlot.tree.volume import volumes
from woodlot.wood import needs
from woodlot.wood.need_lines import lines

FLOOR_S = 0.028
GOALS = {300: 0.5, 1_000: 1.5, 5_000: 8.0}


def floor():
    """Seconds to draw 100,000 stems at 50 places."""
    dbh, height = np.linspace(6, 26, 100_000), np.linspace(40, 100, 100_000)
    power, buffer, feet = np.full(100_000, 0.75), np.empty((50, 2_048)), 2.0 * np.arange(50)[:, None]
    began = time.perf_counter()
    for start in range(0, 100_000, 2_048):
        d, h, p = (a[start : start + 2_048] for a in (dbh, height, power))
        out = buffer[:, : len(d)]
        np.subtract(h, feet, out=out)
        out /= h - 4.5
        np.maximum(out, 0.0, out=out)
        np.power(out, p, out=out)
        out *= 0.94 * d
    return time.perf_counter() - began


def many(size, seed=1):
    """Made-up trees of six species, 5 to 26 in."""
    draw = np.random.default_rng(seed)
    dbh = np.clip(draw.gamma(6, 2.0, size), 5, 26)
    names = ["sugar maple", "northern white-cedar", "red pine", "northern red oak", "paper birch", "balsam fir"]
    return volumes(
        pd.DataFrame(
            {
                "dbh_in": dbh,
                "height_ft": np.clip(25 + 3.1 * dbh + draw.normal(0, 5, size), 25, 95),
                "species": draw.choice(names, size),
                "cull_pct": draw.choice([0, 0, 5, 20], size),
                "sweep_pct": draw.choice([0, 0, 5, 15], size),
                "alive": True,
            }
        ),
        region=shipped("base"),
    )


def twelve(size):
    """Eleven lines of pieces and one of firewood: about a fifth of the trees."""
    k = size / 30
    rows = [
        ("post", 3, 7, 5, {"lasting": True}),
        ("post", 2, 8, 6, {"lasting": True}),
        ("post", 2, 6.5, 4, {}),
        ("pole", 1, 16, 4, {"butt_in": 9}),
        ("pole", 1, 20, 4, {"butt_in": 9}),
        ("pole", 1, 12, 3, {"butt_in": 7}),
        ("sawlog", 1, 16, 10, {}),
        ("sawlog", 1, 12, 10, {}),
        ("sawlog", 1, 8, 9, {}),
        ("sawlog", 0.5, 10, 12, {"wood": "northern red oak"}),
        ("sawlog", 0.5, 14, 8, {"wood": "softwood"}),
    ]
    pieces = [
        {"product": p, "number": max(round(n * k), 1), "length_ft": ft, "top_in": top, **more}
        for p, n, ft, top, more in rows
    ]
    return lines({"firewood_cord": 0.35 * k, "pieces": pieces}, region=shipped("base"))


@pytest.mark.bench
@pytest.mark.slow
@pytest.mark.parametrize("size", list(GOALS))
def test_lists_of_12_lines_are_met_within_a_proven_percent(size, reading):
    """Proven gap at most 1 percent; time in floors beside the goal."""
    import scipy.optimize  # noqa: F401 - its import is no part of the search

    trees, asked = many(size), twelve(size)
    floors = [floor() for _ in range(5)]
    began = time.perf_counter()
    told = needs.choose(trees, asked, prove=False, region=shipped("base"))
    seconds = time.perf_counter() - began
    unit = float(np.median(floors + [floor() for _ in range(4)]))
    took, goal = seconds / unit, GOALS[size] / FLOOR_S
    reading(f"a list from {size:,} trees, {seconds:.2f} s, gap {told.gap_pct:.2f} %", took, goal, "floors")
    assert len(asked) == 12
    assert told.gap_pct <= 1.0 and not told.stopped


@pytest.mark.bench
@pytest.mark.slow
def test_30_trees_are_shown_to_be_the_least(reading):
    """Three lists from 30 trees each: proven, and no worse than the first answer."""
    asked = twelve(30)
    for seed in (1, 3, 4):
        trees = many(30, seed)
        began = time.perf_counter()
        told = needs.choose(trees, asked, region=shipped("base"))
        reading(f"30 trees proven, list {seed}", time.perf_counter() - began, 2.0, "s")
        assert told.proven and told.gap_pct == 0.0

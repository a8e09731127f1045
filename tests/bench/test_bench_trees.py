"""A million trees to volume and plot sums, against a floor of one power and one sum measured in the same run.

Floor: for each block of 16,384 rows one ``D ** 2.0137`` into a kept buffer and one sum of it by plot. Subject: wood,
bark, stump and both tops by the national equations, 23 species, ten trees a plot, and its sum by plot.
"""

import time

import numpy as np
import pandas as pd
import pytest

from woodlot.region import shipped
from woodlot.tree.westfall import parts_westfall_2024

ROWS = 1_000_000
BLOCK = 16_384


@pytest.fixture(scope="module")
def trees():
    """Made-up trees: diameters 5 to 25 in, heights 30 to 95 ft, 23 species."""
    draw = np.random.default_rng(20)
    names = list(shipped("base").species.listed[:46:2])
    codes = draw.integers(0, len(names), ROWS)
    return (
        draw.uniform(5, 25, ROWS),
        draw.uniform(30, 95, ROWS),
        pd.Categorical.from_codes(codes, pd.Index(names)),
        np.arange(ROWS) // 10,
    )


def floor(dbh, plot, buffer):
    """One power and one sum by plot, in blocks."""
    total = np.zeros(plot[-1] + 1)
    for start in range(0, len(dbh), BLOCK):
        part = slice(start, start + BLOCK)
        d, p = dbh[part], plot[part]
        out = buffer[: len(d)]
        np.power(d, 2.0137, out=out)
        first = p[0]
        sums = np.bincount(p - first, weights=out)
        total[first : first + len(sums)] += sums
    return total


def subject(dbh, height, species, plot):
    """Parts of every stem, and its wood to a 4-in top summed by plot."""
    codes, known = shipped("base").species.codes(species)
    tops = np.full(len(dbh), 4.0), np.full(len(dbh), 9.0)
    return np.bincount(
        plot, weights=parts_westfall_2024(codes, known, "210", dbh, height, *tops, region=shipped("base"))["merch"]
    )


@pytest.mark.bench
def test_a_million_trees_cost_about_14_floors(trees, reading):
    """Median of five rounds of each, run in turn after one round untimed; the ratio is what travels."""
    dbh, height, species, plot = trees
    buffer = np.empty(BLOCK)
    times: dict[str, list[float]] = {"floor": [], "subject": []}
    for round_ in range(6):
        for name, work in (
            ("floor", lambda: floor(dbh, plot, buffer)),
            ("subject", lambda: subject(dbh, height, species, plot)),
        ):
            began = time.perf_counter()
            sums = work()
            if round_:
                times[name].append(time.perf_counter() - began)
    low, high = (float(np.median(times[n])) for n in ("floor", "subject"))
    reading("a million trees to plot sums", high / low, 14, "floors")
    assert len(sums) == plot.max() + 1 and (sums >= 0).all()

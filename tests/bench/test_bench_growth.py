"""Ten thousand stands of four species for fifty years, against a floor of one multiply and one add a year.

Floor: a state of stands x 4 species x 30 classes, ``x *= a; x += y`` once a year, in blocks of 100 stands, float64.
"""

import time

import numpy as np
import pytest

from woodlot.stand import grow
from woodlot.tree.growth import equations

STANDS, YEARS = 10_000, 50
SPECIES = ["sugar maple", "red maple", "yellow birch", "american beech"]
SG = np.array([0.56, 0.49, 0.55, 0.56])


def floor():
    """One multiply and one add a year."""
    x, a, y = np.ones((4, 30, 100)), np.full((4, 30, 100), 0.99), np.full((4, 30, 100), 0.01)
    for _ in range(STANDS // 100):
        for _ in range(YEARS):
            x *= a
            x += y
    return x


@pytest.mark.bench
def test_ten_thousand_stands_cost_at_most_25_floors(benchmark):
    """Rounds of each in turn after one untimed; the best of seven, since others may be at work on the machine.

    25 floors must be met; 10 is wished for and printed.
    """
    draw = np.random.default_rng(4)
    n = draw.uniform(0.0, 5.0, (4, 30, STANDS))
    n[:, 12:] = 0.0
    figures = equations(SPECIES)[0]
    times: dict[str, list[float]] = {"floor": [], "subject": []}
    for round_ in range(8):
        for name, work in (("floor", floor), ("subject", lambda: grow.project(n, figures, YEARS, wood_sg=SG))):
            began = time.perf_counter()
            work()
            if round_:
                times[name].append(time.perf_counter() - began)
    low, high = (min(times[name]) for name in ("floor", "subject"))
    benchmark.extra_info.update(floor_s=low, subject_s=high, ratio=high / low)
    benchmark.pedantic(grow.project, args=(n, figures, YEARS), kwargs={"wood_sg": SG}, rounds=1, iterations=1)
    print(f"floor {low:.4f} s, subject {high:.4f} s, ratio {high / low:.1f}; wished for: 10")
    assert high / low <= 25, f"{high / low:.1f} floors"

"""Schedules of made-up places: seconds, gap to the linear program, and every row worked out again.

Ten years, eight prescriptions a stand (leave it; one entry in one of seven years), steps of 10 %, stock at the end,
days of work, entries of 5 acres or more, neighbors in threes not opened in the same or the next year. The floor is the
linear program of the same rows alone.
"""

import time

import numpy as np
import pytest

from woodlot.plan.schedule import Limits, Prescriptions, solve
from woodlot.plan.schedule_program import Program

YEARS, WAYS = 10, 8


def place(stands, seed=5):
    """A made-up place: stock 10 to 35 cords/ac growing 1 to 4 %, a cut takes a quarter to a third."""
    draw = np.random.default_rng(seed)
    acres = draw.uniform(5.0, 40.0, stands)
    stock, rate = draw.uniform(10.0, 35.0, stands), draw.uniform(0.01, 0.04, stands)
    year = np.tile(np.array([-1, 0, 1, 3, 4, 6, 7, 9]), (stands, 1))
    year[:, 1:] = (year[:, 1:] + draw.integers(0, 2, (stands, WAYS - 1))).clip(max=YEARS - 1)
    part = draw.uniform(0.25, 0.34, stands)
    grown = stock[:, None] * (1.0 + rate[:, None]) ** np.maximum(year, 0)
    taken = np.where(year >= 0, part[:, None] * grown, 0.0)
    end = stock[:, None] * (1.0 + rate[:, None]) ** YEARS - taken * (1.0 + rate[:, None]) ** (
        YEARS - np.maximum(year, 0)
    )
    rows = stands * WAYS
    cut = np.zeros((rows, YEARS))
    at = np.flatnonzero(year.ravel() >= 0)
    cut[at, year.ravel()[at]] = taken.ravel()[at]
    p = Prescriptions(
        stand=np.repeat(np.arange(stands), WAYS),
        acres=acres,
        cut=cut,
        end=end.ravel(),
        work=cut / draw.uniform(0.8, 1.2),
    )
    groups = [(k, k + 1, k + 2) for k in range(0, stands - 2, 3)]
    start = float(acres @ stock)
    limits = Limits(
        cut_most=float((acres * stock * rate).sum()),
        end_at_least=start,
        work_most=0.9 * float((acres * stock * rate).sum()),
        least_entry_ac=5.0,
        neighbors=groups,
        apart=1,
        gap=0.002 if stands > 30 else 0.005,
    )
    return p, limits


@pytest.mark.bench
@pytest.mark.parametrize(("stands", "seconds"), [(12, 0.2), (25, 2.5), (50, 1.5), (600, 0.6), (5000, 2.5)])
def test_a_schedule_is_near_its_bound_in_time(stands, seconds, reading):
    """12 and 25 stands to a solver gap of .5 %, 50, 600 and 5,000 within .2 % of the linear program, in seconds of the
    processor beside those wished for.
    """
    p, limits = place(stands)
    began = time.process_time()
    Program(p.filled(), limits).linear()
    floor = time.process_time() - began
    told = []
    for _ in range(2):
        began = time.process_time()
        answer = solve(p, limits)
        told.append((time.process_time() - began, answer))
    took, answer = min(told, key=lambda t: t[0])
    words = f"gap {100 * answer.gap:.3f} %, {answer.status}, {took / floor:.1f} linear programs"
    reading(f"schedule of {stands:,} stands, {words}", took, seconds, "s")
    assert max(answer.checked.values()) < 1e-5 and answer.checked["neighbors"] == 0.0
    if stands >= 50:
        assert answer.gap < 0.002
    else:
        assert answer.status == "solved" or answer.gap < 0.05

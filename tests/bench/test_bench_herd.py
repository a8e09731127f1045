"""The herd forward against a floor measured in the same run: 10,000 draws, 20 years, 200 takes with their chances.

And the whole answer of a record of ten springs, in seconds: counts that fit together, and counts that do not.
"""

import ctypes
import gc
import resource
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from woodlot.deer import forward
from woodlot.deer.complete import Rate
from woodlot.deer.herd_answer import herd_answer
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_fit import Fall, Ground, begun, weighed
from woodlot.deer.herd_prior import lasting
from woodlot.deer.record import Record
from woodlot.plan.risk import take_grid
from woodlot.region import shipped

DRAWS, YEARS, DOES, BUCKS = 10_000, 20, 20, 10
GROUND = Ground(230.0, 1614.0, 0.15)


def drawn(n):
    """So many herds that lasted, as they go on over the years; crowding on, as in a season."""
    cloud = begun(lasting(4000, 1, lost=GROUND.lost, region=shipped("base")), GROUND, 2026, shipped("base"))
    herds = forward.sampled(weighed(cloud), n, 1)
    return forward.draw(herds, GROUND, years=YEARS, seed=1, region=shipped("base"))


def floor_seconds():
    """Six multiply-adds a take, draw and year, in blocks of 2,000 draws with kept buffers."""
    x = np.ones((6, 2000))
    a, c = np.full((6, 2000), 0.99), np.full((6, 2000), 0.01)
    began = time.perf_counter()
    for _ in range(DOES * BUCKS * YEARS * (DRAWS // 2000)):
        x *= a
        x += c
    return time.perf_counter() - began


def herd_seconds(draws):
    """All takes with their chances and quantiles."""
    began = time.perf_counter()
    grid = take_grid(draws, np.arange(DOES) / 4, np.arange(BUCKS) / 2, deaths_per_deer=0.15, goal_deer=60.0)
    assert len(grid) == DOES * BUCKS
    return time.perf_counter() - began


@pytest.mark.bench
def test_the_grid_takes_about_five_floors(reading):
    """Medians of five rounds in turn, one untimed before; the goal is five floors, room is left above what is seen."""
    draws = drawn(DRAWS)
    floor_seconds(), herd_seconds(draws)
    rounds = [(floor_seconds(), herd_seconds(draws)) for _ in range(5)]
    ratio = np.median([h for _, h in rounds]) / np.median([f for f, _ in rounds])
    reading("herd, 10,000 draws x 20 years x 200 takes", ratio, 5, "floors")


def high_water_mb():
    """Highest resident memory since the mark was reset, MB."""
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith("VmHWM"):
            return int(line.split()[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


@pytest.mark.bench
def test_the_grid_needs_about_a_hundred_megabytes(reading):
    """Draws and grid together, freed pages handed back and the high-water mark reset first (Linux)."""
    mark = Path("/proc/self/clear_refs")
    if not mark.exists():
        pytest.skip("no /proc/self/clear_refs here: peak memory cannot be reset")
    herd_seconds(drawn(100))
    gc.collect()
    ctypes.CDLL(None).malloc_trim(0)
    mark.write_text("5")
    before = high_water_mb()
    herd_seconds(drawn(DRAWS))
    extra = high_water_mb() - before
    reading("herd, extra memory", extra, 100, "MB")


@pytest.mark.bench
@pytest.mark.parametrize(("kill", "of"), [((0.45, 2.1), "fit together"), ((0.06, 0.3), "disagree")])
def test_a_record_is_answered_within_two_seconds(reading, kill, of):
    """Ten springs, a kill of the neighbors, fawns: herds begun, run through all falls, weighed; the middle of three."""
    falls = [
        Fall(2016 + k, (0.0, 1.0), 0.07, PelletCount(20.0, 100, 0.2, 0.2077, 0.3), fawns=(20.0, 35.0))
        for k in range(10)
    ]
    ground = replace(GROUND, kill=kill)
    record = Record(2026, (*falls, Fall(2026, fawns=(20.0, 35.0))), ground, (), (), None, Rate(25.0, 0.45))
    herd_answer(record, seed=1, region=shipped("base"))
    rounds = []
    for seed in (2, 3, 4):
        began = time.process_time()
        told = herd_answer(record, seed=seed, region=shipped("base"))
        rounds.append(time.process_time() - began)
        assert (told.fall.value is None) == (of == "disagree")
    reading(f"herd fitted to ten springs, counts {of}", float(np.median(rounds)), 2, "s")

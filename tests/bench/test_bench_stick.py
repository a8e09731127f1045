"""A hundred thousand stems cut up, against a floor of drawing them once measured in the same run.

Floor: ``0.94 D ((H - h)/(H - 4.5))^p`` at 50 places 2 ft apart for all stems, in blocks of 2,048, float64, into a kept
buffer. Subject: the best cuts of all stems at places 2 ft apart, 6 products at 10 lengths, cut lists included.
"""

import time
import tracemalloc

import numpy as np
import pandas as pd
import pytest

from woodlot.region import shipped
from woodlot.wood import stick

SIZE = 100_000
ROWS = [
    ("veneer", "sawlog", 14.0, np.nan, "8;10", "bdft", 3.0),
    ("good log", "sawlog", 12.0, np.nan, "12;16", "bdft", 1.0),
    ("small log", "sawlog", 9.0, np.nan, "8;16", "bdft", 0.5),
    ("pole", "pole", 5.0, 11.0, "16;20", "piece", 8.0),
    ("post", "post", 4.0, 8.0, "8", "piece", 3.0),
    ("bolt", "bolt", 4.0, np.nan, "8", "cuft", 1.2),
]


@pytest.fixture(scope="module")
def stems():
    """Made-up trees, 6 to 26 in, 40 to 100 ft, four species."""
    draw = np.random.default_rng(2)
    names = ["sugar maple", "northern red oak", "red pine", "american basswood"]
    return pd.DataFrame(
        {
            "dbh_in": draw.uniform(6, 26, SIZE),
            "height_ft": draw.uniform(40, 100, SIZE),
            "species": pd.Categorical.from_codes(draw.integers(0, 4, SIZE), pd.Index(names)),
        }
    )


@pytest.fixture(scope="module")
def products():
    """Six products at ten lengths."""
    names = ["product", "kind", "least_top_in", "most_butt_in", "lengths_ft", "counted_by", "value"]
    rows = pd.DataFrame(ROWS, columns=names)
    return rows.assign(trim_in=0.0, less=0.0, most_cull_pct=50.0, most_sweep_pct=50.0, dead="no", woods="any")


def floor(dbh, height, power, buffer, block=2_048):
    """Every stem drawn at 50 places."""
    feet = 2.0 * np.arange(50)[:, None]
    for start in range(0, len(dbh), block):
        d, h, p = (a[start : start + block] for a in (dbh, height, power))
        out = buffer[:, : len(d)]
        np.subtract(h, feet, out=out)
        out /= h - 4.5
        np.maximum(out, 0.0, out=out)
        np.power(out, p, out=out)
        out *= 0.94 * d


@pytest.mark.bench
def test_100_000_stems_cost_about_five_floors(stems, products, reading):
    """Median of five rounds of each, run in turn after one untimed; the goal is 5."""
    dbh, height = stems["dbh_in"].to_numpy(), stems["height_ft"].to_numpy()
    power, buffer = np.full(SIZE, 0.75), np.empty((50, 2_048))
    times: dict[str, list[float]] = {"floor": [], "subject": []}
    for round_ in range(6):
        for name, work in (
            ("floor", lambda: floor(dbh, height, power, buffer)),
            ("subject", lambda: stick.buck(stems, products, step_ft=2.0, region=shipped("base"))),
        ):
            began = time.perf_counter()
            told = work()
            if round_:
                times[name].append(time.perf_counter() - began)
    low, high = (float(np.median(times[n])) for n in ("floor", "subject"))
    reading("bucking 100,000 stems", high / low, 5, "floors")
    assert len(told.cuts.stem) > SIZE


@pytest.mark.bench
def test_100_000_stems_take_under_60_mb(stems, products):
    """Peak of what Python and numpy ask for while the stems are cut, cut lists included."""
    stick.buck(stems.head(1_000), products, step_ft=2.0, region=shipped("base"))
    tracemalloc.start()
    told = stick.buck(stems, products, step_ft=2.0, region=shipped("base"))
    peak = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    print(f"peak {peak:.0f} MB, {len(told.cuts.stem):,} pieces")
    assert peak < 60, f"{peak:.0f} MB"

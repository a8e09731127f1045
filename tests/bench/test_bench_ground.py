"""Figures under thousands of stands against reading every block of the raster once, in the same run.

Floor: every block of a 10,000 x 10,000 float32 raster read once. Subject: the mean under 2,000 stands of 140 m, on the
raster stored plain and deflated. Memory is the process's high-water mark over a run of its own.
"""

import subprocess
import sys
import time
from pathlib import Path

import geopandas as gpd
import numpy as np
import pytest
import rasterio
import shapely
from rasterio.transform import from_origin

from woodlot.land import ground

SIZE, BLOCK = 10_000, 640
MOST = {"plain": 8.0, "deflate": 3.0}
pytestmark = [pytest.mark.bench, pytest.mark.slow]


@pytest.fixture(scope="module")
def rasters(tmp_path_factory):
    """The raster twice; made-up heights in centimetres."""
    folder, out = tmp_path_factory.mktemp("rasters"), {}
    for name in MOST:
        draw = np.random.default_rng(63)
        told = {"driver": "GTiff", "count": 1, "height": SIZE, "width": SIZE, "dtype": "float32", "crs": "EPSG:26915"}
        told |= {"tiled": True, "blockxsize": BLOCK, "blockysize": BLOCK, "nodata": -9999}
        told |= {"compress": "deflate"} if name == "deflate" else {}
        out[name] = folder / f"{name}.tif"
        with rasterio.open(out[name], "w", transform=from_origin(500_000, 5_120_000, 1, 1), **told) as file:
            for row in range(0, SIZE, BLOCK):
                rows = min(BLOCK, SIZE - row)
                heights = (draw.integers(0, 4000, (rows, SIZE)) / 100).astype("float32")
                file.write(heights, 1, window=((row, row + rows), (0, SIZE)))
    return out


def stands(count, across):
    """Rounded stands of 36 corners, anywhere on the raster."""
    draw = np.random.default_rng(64)
    x, y = draw.uniform(100, SIZE - 100, (2, count, 1))
    turn = np.linspace(0, 2 * np.pi, 37)[:-1]
    reach = across / 2 * (1 + 0.15 * np.sin(3 * turn))
    corners = np.stack([500_000 + x + reach * np.cos(turn), 5_110_000 + y + reach * np.sin(turn)], axis=-1)
    return gpd.GeoDataFrame(geometry=shapely.polygons(corners), crs=26915)


def every_block(file):
    """Read every block once."""
    with rasterio.Env(GDAL_CACHEMAX=ground.CACHE_BYTES), rasterio.open(file) as source:
        for _, window in source.block_windows(1):
            source.read(1, window=window)


def seconds(work):
    """Wall seconds of one call."""
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


@pytest.mark.parametrize("name", list(MOST))
def test_means_under_2000_stands_cost_a_few_readings(rasters, name, reading):
    """Medians of five rounds of each, in turn after one round untimed; the goal is 8 readings plain, 3 deflated."""
    many = stands(2_000, 140)
    times = np.array(
        [
            [seconds(lambda: every_block(rasters[name])), seconds(lambda: ground.zonal(many, rasters[name]))]
            for _ in range(6)
        ]
    )[1:]
    floor, subject = np.median(times, axis=0)
    reading(f"means under 2,000 stands, {name}", subject / floor, MOST[name], "readings of the raster")
    assert ground.zonal(many, rasters[name])["mean"].between(15, 25).mean() > 0.9


def test_work_grows_in_line_with_the_stands(rasters, reading):
    """Stands of 25 m, 50,000 over 10,000: the goal is 5 x 1.3, the reading they share taken off neither."""
    few, many = stands(10_000, 25), stands(50_000, 25)
    ground.zonal(few, rasters["plain"])
    times = np.array(
        [[seconds(lambda some=some: ground.zonal(some, rasters["plain"])) for some in (few, many)] for _ in range(3)]
    )
    one, five = np.median(times, axis=0)
    reading("means under 50,000 stands over 10,000", five / one, 5 * 1.3, "times")
    assert len(ground.zonal(few, rasters["plain"])) == len(few)


def test_peak_memory_is_read(rasters, tmp_path, reading):
    """A process of its own, libraries included, over both 2,000 and 50,000 stands; the goal is 700 MB.

    Its own high-water mark is read: what getrusage tells a child begins at what its parent held.
    """
    if not Path("/proc/self/status").exists():
        pytest.skip("no /proc here, so no high-water mark of one process")
    frames = []
    for count, across in ((2_000, 140), (50_000, 25)):
        frames.append(tmp_path / f"{count}.gpkg")
        stands(count, across).to_file(frames[-1])
    code = (
        "import re, sys, geopandas as gpd\n"
        "from woodlot.land import ground\n"
        "for file in sys.argv[2:]:\n"
        "    assert ground.zonal(gpd.read_file(file), sys.argv[1])['mean'].between(15, 25).mean() > .9\n"
        "print(int(re.search(r'VmHWM:\\s*(\\d+) kB', open('/proc/self/status').read())[1]) / 1024)\n"
    )
    command = [sys.executable, "-c", code, str(rasters["deflate"]), *map(str, frames)]
    told = subprocess.run(command, capture_output=True, text=True, check=True)
    reading("means under stands, peak memory", float(told.stdout), 700, "MB")

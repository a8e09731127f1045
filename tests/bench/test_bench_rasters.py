"""Heights at 10,000 plots of 2,000 stands against reading every block of the raster once, in the same run.

Floor: every block of an 8,000 x 8,000 float32 raster read once. Subject: readings in rounds of 37 ft at the plots and
over the stands, at once, and then the help of every cover.
"""

import time

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import rasterio
import shapely
from rasterio.transform import from_origin

from woodlot.land import ground
from woodlot.region import shipped
from woodlot.stand.raster_at_plots import above, helped

SIZE, BLOCK, STANDS, PLOTS = 8_000, 640, 2_000, 5
FIT = {"canopy_year": 2026, "positions_ft": 10.0, "by_picture": False}
pytestmark = [pytest.mark.bench, pytest.mark.slow]


@pytest.fixture(scope="module")
def raster(tmp_path_factory):
    """Made-up heights."""
    file = tmp_path_factory.mktemp("rasters") / "canopy_height.tif"
    draw = np.random.default_rng(71)
    told = {"driver": "GTiff", "count": 1, "height": SIZE, "width": SIZE, "dtype": "float32", "crs": "EPSG:26915"}
    told |= {"tiled": True, "blockxsize": BLOCK, "blockysize": BLOCK, "nodata": -9999}
    with rasterio.open(file, "w", transform=from_origin(500_000, 5_108_000, 1, 1), **told) as out:
        for row in range(0, SIZE, BLOCK):
            rows = min(BLOCK, SIZE - row)
            out.write(draw.uniform(0, 30, (rows, SIZE)).astype("float32"), 1, window=((row, row + rows), (0, SIZE)))
    return file


@pytest.fixture(scope="module")
def place():
    """Square stands of 140 m on an even grid, five plots in each, of six covers."""
    at = np.arange(STANDS)
    x, y = 500_050.0 + (at % 50) * 158.0, 5_100_050.0 + (at // 50) * 195.0
    ids, cover = at.astype(str), np.array(list("abcdef"))[at % 6]
    stands = gpd.GeoDataFrame(
        {"stand_id": ids, "cover": cover}, geometry=shapely.box(x, y, x + 140, y + 140), crs=26915
    ).to_crs(4326)
    spot = np.random.default_rng(72).uniform(15, 125, (2, STANDS, PLOTS))
    points = gpd.points_from_xy((x[:, None] + spot[0]).ravel(), (y[:, None] + spot[1]).ravel())
    where = gpd.GeoSeries(points, crs=26915).to_crs(4326)
    plots = pd.DataFrame({"plot_id": np.arange(len(where)).astype(str), "stand_id": np.repeat(ids, PLOTS)})
    return stands, plots.assign(kind="prism", baf_sqft_per_ac=10.0, date="2026-10-01", lon=where.x, lat=where.y)


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


def test_heights_at_10000_plots_cost_some_readings(raster, place, reading):
    """Medians of three rounds of each, in turn after one untimed; the goals are 40 readings, and 5 for the help."""
    stands, plots = place
    none = pd.DataFrame({"date": pd.to_datetime([]), "stand_id": pd.Series(dtype=object)})
    seen = above(stands, plots, raster, FIT, none, region=shipped("base"))
    assert len(seen.plots) == STANDS * PLOTS and len(seen.stands) == STANDS
    cords = 10.0 + 0.3 * seen.plots["mean"].to_numpy() + np.random.default_rng(73).normal(0, 0.3, len(plots))
    sums = plots[["plot_id", "stand_id"]].assign(what="cords", amount=cords, spread=cords, r2=0.0, r_df=np.inf)
    cover = stands.set_index("stand_id")["cover"]

    def help_():
        return helped(seen, sums, cover, cover, region=shipped("base"))

    assert len(help_().stands) > STANDS / 2
    works = (
        lambda: every_block(raster),
        lambda: above(stands, plots, raster, FIT, none, region=shipped("base")),
        help_,
    )
    floor, subject, after = np.median([[seconds(work) for work in works] for _ in range(4)][1:], axis=0)
    reading("heights at 10,000 plots of 2,000 stands", subject / floor, 40, "readings of the raster")
    reading("help of 2,000 stands by heights", after / floor, 5, "readings of the raster")

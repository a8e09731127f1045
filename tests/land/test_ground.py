"""Rasters under outlines: exact intersections, planes of known slope, an independent light source, bad files."""

import base64
from pathlib import Path

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import rasterio
import shapely
from pyproj import Geod, Transformer
from rasterio.io import MemoryFile
from rasterio.shutil import copy
from rasterio.transform import from_origin

from woodlot.errors import InputError
from woodlot.land import ground, raster_readings, relief, terrain
from woodlot.region import shipped

SAMPLE = Path(__file__).parents[2] / "sample_parcels" / "otter_lake"
UTM = "EPSG:26915"
WEST, NORTH = 600_000.0, 5_100_000.0


def write(file, values, crs=UTM, transform=None, **more):
    """A raster on disk; bands first, or one band."""
    bands = values if values.ndim == 3 else values[None]
    told = {"driver": "GTiff", "count": len(bands), "height": bands.shape[1], "width": bands.shape[2]}
    told |= {"dtype": bands.dtype, "crs": crs, "transform": transform or from_origin(WEST, NORTH, 10, 10)} | more
    with rasterio.open(file, "w", **told) as out:
        out.write(bands)
    return file


def outlines(shapes, crs=UTM):
    """A frame of outlines."""
    return gpd.GeoDataFrame(geometry=list(shapes), crs=crs)


def random_shapes(rng, count=200, size=40):
    """Polygons in columns and rows, from slivers thinner than a cell to a third of the grid; some have a hole."""
    out = []
    for i in range(count):
        corners = np.sort(rng.uniform(0, 2 * np.pi, rng.integers(3, 12)))
        x, y = rng.uniform(2, size - 2, 2)
        reach = rng.uniform(0.05, 12) * rng.uniform(0.4, 1.0, len(corners))
        thin = 0.02 if i % 5 == 0 else 1.0
        shape = shapely.Polygon(np.c_[x + reach * np.cos(corners), y + thin * reach * np.sin(corners)]).buffer(0)
        if i % 7 == 0 and shape.area > 4:
            shape = shape.difference(shape.representative_point().buffer(0.7))
        if not shape.is_empty and shape.geom_type in ("Polygon", "MultiPolygon"):
            out.append(shape)
    return out


def exactly(shapes, values):
    """Sum, area and mean of square log of a grid under shapes, cell by cell with shapely."""
    rows, columns = values.shape
    x, y = np.meshgrid(np.arange(columns), np.arange(rows))
    zonal_sums = shapely.box(x, y, x + 1, y + 1)
    part = np.stack([shapely.area(shapely.intersection(zonal_sums, s)) for s in shapes])
    known = ~np.isnan(values)
    filled = np.where(known, values, 0.0)
    return (part * filled).sum(axis=(1, 2)), (part * known).sum(axis=(1, 2)), (part * (filled > 20)).sum(axis=(1, 2))


@pytest.mark.parametrize("holes", [False, True], ids=["whole", "with missing cells"])
@pytest.mark.parametrize("turned", [False, True], ids=["upright", "rotated"])
def test_figures_equal_the_exact_intersection_of_200_shapes(tmp_path, holes, turned):
    """Means, areas and shares above a limit, also for slivers under a cell, holes, missing cells and a rotated grid."""
    rng = np.random.default_rng(61)
    values = rng.uniform(1, 40, (40, 40))
    if holes:
        values[rng.random(values.shape) < 0.2] = np.nan
    shapes = random_shapes(rng)
    assert len(shapes) >= 190 and sum(s.area < 1 for s in shapes) >= 20
    place = from_origin(WEST, NORTH, 10, 10)
    if turned:
        place = rasterio.Affine(11.1, 3.6, WEST, 6.7, -6.0, NORTH)
    file = write(tmp_path / "a.tif", values, transform=place, nodata=np.nan)
    placed = [
        shapely.transform(s, lambda xy: np.stack(relief.carried(place, xy[:, 0], xy[:, 1]), axis=1)) for s in shapes
    ]
    found = ground.zonal(outlines(placed), file, ("mean", "cells", "sum", "over 20", "min", "max", "std"))
    total, area, high = exactly(shapes, values)
    np.testing.assert_allclose(found["cells"], area, rtol=1e-6, atol=1e-7)
    some = area > 1e-4
    np.testing.assert_allclose(found["mean"][some], (total / np.where(area > 0, area, np.nan))[some], rtol=1e-6)
    np.testing.assert_allclose(found["sum"][some], total[some], rtol=1e-6)
    np.testing.assert_allclose(found["over_20_pct"][some], 100 * high[some] / area[some], atol=1e-4)
    whole = np.array([s.area for s in shapes])
    np.testing.assert_allclose(found["covered_pct"], 100 * area / whole, atol=1e-3)
    assert (found["min"][some] <= found["mean"][some] + 1e-6).all() and (
        found["max"][some] >= found["mean"][some] - 1e-6
    ).all()
    assert (found["std"][some] >= 0).all()


def test_our_sums_and_exactextract_agree(tmp_path):
    """Means and shares from running sums against exactextract's own, on 60 shapes partly off the raster."""
    from exactextract import exact_extract

    rng = np.random.default_rng(62)
    values = rng.integers(1, 5, (40, 40)).astype(np.uint8)
    file = write(tmp_path / "codes.tif", values)
    placed = [shapely.affinity.affine_transform(s, [10, 0, 0, -10, WEST - 90, NORTH]) for s in random_shapes(rng, 60)]
    frame = outlines(placed)
    ours = ground.zonal(frame, file, ("mean", "std", "shares", "p90", "median"))
    plain = write(tmp_path / "plain.tif", values.astype("float32"))
    theirs = exact_extract(str(plain), frame, ["mean", "stdev", "quantile(q=0.9)", "median"], output="pandas")
    seen = ours["covered_pct"] > 0.1
    assert 40 < seen.sum() < 60
    np.testing.assert_allclose(ours["mean"][seen], theirs["mean"][seen], rtol=1e-5)
    np.testing.assert_allclose(ours["std"][seen], theirs["stdev"][seen], atol=2e-4)
    np.testing.assert_allclose(ours["p90"][seen], theirs["quantile_90"][seen], rtol=1e-5)
    shares = ours[[c for c in ours if c.startswith("share_")]]
    np.testing.assert_allclose(shares[seen].sum(axis=1), 100.0, atol=1e-4)
    by_shares = sum(code * shares[f"share_{code}_pct"] / 100 for code in (1, 2, 3, 4))
    np.testing.assert_allclose(by_shares[seen], ours["mean"][seen], rtol=1e-5)


def plane(tmp_path, crs, lon, lat, east, north, unit="metre", cell=None, size=60):
    """A plane that rises ``east`` and ``north`` per unit of true ground, around a place, in any reference system."""
    to_map = Transformer.from_crs(4326, crs, always_xy=True)
    back = Transformer.from_crs(crs, 4326, always_xy=True)
    x0, y0 = to_map.transform(lon, lat)
    cell = cell or 10.0
    place = from_origin(x0 - size / 2 * cell, y0 + size / 2 * cell, cell, cell)
    column, row = np.meshgrid(np.arange(size) + 0.5, np.arange(size) + 0.5)
    lons, lats = back.transform(*relief.carried(place, column, row))
    globe = Geod(ellps="WGS84")
    course, _, far = globe.inv(np.full(lons.shape, lon), np.full(lons.shape, lat), lons, lats)
    z = 400 + far * (np.sin(np.radians(course)) * east + np.cos(np.radians(course)) * north)
    file = tmp_path / "plane.tif"
    scale = {"metre": 1.0, "foot": 1 / 0.3048, "US survey foot": 3937 / 1200}[unit]
    with rasterio.open(
        file, "w", driver="GTiff", count=1, height=size, width=size, dtype="float64", crs=crs, transform=place
    ) as out:
        out.write(z * scale, 1)
        out.units = (unit,)
    inner = shapely.box(*relief.carried(place, 15, size - 15), *relief.carried(place, size - 15, 15))
    return file, outlines([inner], crs)


@pytest.mark.parametrize(
    ("crs", "lon", "lat", "unit", "cell"),
    [
        *(
            (f"EPSG:{26900 + zone}", -183 + 6 * zone + off, 46.2, "metre", 10.0)
            for zone, off in ((10, 0), (14, 2.8), (15, -2.9), (16, 2.9), (19, 1))
        ),
        ("EPSG:26915", -90.4, 46.2, "foot", 10.0),
        ("EPSG:2288", -88.0, 45.9, "US survey foot", 33.0),
        ("EPSG:3857", -90.4, 46.2, "metre", 14.0),
        ("EPSG:5070", -90.4, 46.2, "metre", 10.0),
        ("EPSG:4269", -90.4, 46.2, "metre", 0.0001),
    ],
)
def test_a_plane_gives_its_slope_and_aspect_to_a_tenth_of_a_degree(tmp_path, crs, lon, lat, unit, cell):
    """Any UTM zone, also at its edge, feet or metres, state plane, Web Mercator, Albers, degrees; true north."""
    east, north = 0.12, -0.23
    file, frame = plane(tmp_path, crs, lon, lat, east, north, unit, cell)
    found = terrain.slopes(frame, file, region=shipped("base")).iloc[0]
    assert found["slope_deg"] == pytest.approx(np.degrees(np.arctan(np.hypot(east, north))), abs=0.1)
    assert found["slope_pct"] == pytest.approx(100 * np.hypot(east, north), abs=0.2)
    assert found["aspect_deg"] == pytest.approx(np.degrees(np.arctan2(-east, -north)) % 360, abs=0.1)
    assert found["facing"] == "northwest"


def test_level_ground_faces_nowhere(tmp_path):
    """A level grid has slope 0 and no aspect, in words nothing."""
    file = write(tmp_path / "level.tif", np.full((40, 40), 300.0))
    frame = outlines([shapely.box(WEST + 100, NORTH - 300, WEST + 300, NORTH - 100)])
    found = terrain.slopes(frame, file, region=shipped("base")).iloc[0]
    assert found["slope_pct"] == pytest.approx(0, abs=1e-9) and np.isnan(found["aspect_deg"]) and found["facing"] == ""
    assert terrain.facing(np.array([0.0, 44.0, 200.0, 359.0])).tolist() == ["north", "northeast", "south", "north"]


def smooth_hills(size=120):
    """Made-up hills [m] on a 10 m grid."""
    x, y = np.meshgrid(np.arange(size), np.arange(size))
    return 300 + 30 * np.sin(x / 14.0) * np.cos(y / 19.0) + 12 * np.sin((x + y) / 23.0)


def test_shade_agrees_with_an_independent_light_source():
    """Against matplotlib's LightSource: the same light stretched from darkest to lightest, within 0.02 everywhere."""
    from matplotlib.colors import LightSource

    z = smooth_hills()
    square = np.broadcast_to(np.array([[10.0, 0.0], [0.0, -10.0]]), (2, 2, 2, 2))
    ours = relief.hillshade(*relief.gradient(z, square))
    theirs = LightSource(azdeg=315, altdeg=45).hillshade(z, dx=10, dy=10)[1:-1, 1:-1]
    stretched = (ours - ours.min()) / np.ptp(ours)
    assert np.abs(stretched - (theirs - theirs.min()) / np.ptp(theirs)).max() < 0.02


def test_contours_lie_where_the_height_is(tmp_path):
    """A cone: circles of the right radius; and contours over triangles (matplotlib) have the same length."""
    from matplotlib.figure import Figure
    from matplotlib.tri import Triangulation

    column, row = np.meshgrid(np.arange(200) + 0.5, np.arange(200) + 0.5)
    far_ft = np.hypot(column - 100, row - 100) * 5 / 0.3048
    heights_ft = 1000 - 0.2 * far_ft
    file = write(tmp_path / "cone.tif", heights_ft * 0.3048, transform=from_origin(WEST, NORTH, 5, 5))
    frame = outlines([shapely.box(WEST + 50, NORTH - 950, WEST + 950, NORTH - 50)]).to_crs(4326).assign(parcel_id="a")
    lines = terrain.contours(frame, file, interval_ft=50, region=shipped("base")).to_crs(UTM)
    assert sorted(lines["level_ft"].unique()) == [600.0, 650.0, 700.0, 750.0, 800.0, 850.0, 900.0, 950.0]
    middle = shapely.Point(WEST + 500, NORTH - 500)
    for level in (800.0, 900.0):
        part = lines[lines["level_ft"] == level]
        inside = shapely.get_coordinates(part.geometry.to_numpy())
        radius = np.hypot(inside[:, 0] - middle.x, inside[:, 1] - middle.y)
        assert radius == pytest.approx((1000 - level) / 0.2 * 0.3048, abs=1.5)
    some = slice(None, None, 4)
    points = Triangulation(column[some, some].ravel() * 5, row[some, some].ravel() * 5)
    drawn = Figure().add_subplot().tricontour(points, heights_ft[some, some].ravel(), levels=[850.0])
    theirs = sum(shapely.LineString(p.vertices).length for p in drawn.get_paths())
    ours = lines[lines["level_ft"] == 850.0].length.sum()
    assert ours == pytest.approx(theirs, rel=0.01)


def test_a_real_elevation_grid_goes_the_whole_way(tmp_path):
    """Matplotlib's sample grid near Jacksboro, Tennessee: slopes, contours, shade and a line over the ground.

    Source: jacksboro_fault_dem.npz of matplotlib's sample data (elevations in metres on a grid of degrees).
    """
    from matplotlib.cbook import get_sample_data

    told = get_sample_data("jacksboro_fault_dem.npz")
    z = told["elevation"].astype("float32")
    west, north = float(told["xmin"]), float(told["ymax"])
    place = from_origin(west, north, float(told["dx"]), abs(float(told["dy"])))
    file = write(tmp_path / "jacksboro.tif", z, "EPSG:4326", place)
    x, y = relief.carried(place, z.shape[1] / 2, z.shape[0] / 2)
    frame = outlines([shapely.box(x - 0.02, y - 0.02, x, y), shapely.box(x, y, x + 0.02, y + 0.02)], 4326)
    frame["parcel_id"] = ["a", "b"]
    slope = terrain.slopes(frame, file, region=shipped("base"))
    assert (slope["covered_pct"] > 99.9).all() and slope["slope_pct"].between(2, 60).all()
    mean = ground.zonal(frame, file)["mean"]
    assert mean.between(z.min(), z.max()).all()
    lines = terrain.contours(frame, file, region=shipped("base"))
    assert len(lines) > 10 and lines["level_ft"].between(z.min() / 0.3048, z.max() / 0.3048).all()
    assert lines.within(frame.union_all().buffer(3e-5)).all()
    made = raster_readings.shade(frame, file, size_px=200)
    assert set(made) == {"a", "b"} and made["a"]["covered_pct"] > 99
    way = gpd.GeoSeries([shapely.LineString([(x - 0.02, y), (x + 0.02, y)])], crs=4326)
    over = terrain.profiles(way, file, region=shipped("base")).iloc[0]
    assert over["straight_ft"] < over["surface_ft"] < 1.2 * over["straight_ft"]
    rise = ground_height(z, place, x + 0.02, y) - ground_height(z, place, x - 0.02, y)
    assert over["climb_ft"] - over["drop_ft"] == pytest.approx(rise / 0.3048, abs=60)


def ground_height(z, place, x, y):
    """Height of the nearest cell."""
    column, row = relief.carried(~place, x, y)
    return float(z[int(row), int(column)])


def test_sixteen_bits_scale_nodata_and_tiles(tmp_path):
    """A tiled 16-bit COG in centimetres with scale, offset and nodata reads as metres, missing cells left out.

    By hand: stored 12,345 x 0.01 + 100 = 223.45; half of the outline is missing.
    """
    values = np.full((600, 600), 12_345, np.int16)
    values[:, 300:] = -32_768
    plain = write(tmp_path / "plain.tif", values, nodata=-32_768)
    with rasterio.open(plain, "r+") as told:
        told.scales, told.offsets = (0.01,), (100.0,)
    with rasterio.open(plain) as source, MemoryFile() as kept:
        copy(source, kept.name, driver="COG", blocksize=256, compress="deflate")
        (tmp_path / "cog.tif").write_bytes(kept.read())
    frame = outlines([shapely.box(WEST + 2_500, NORTH - 3_500, WEST + 3_500, NORTH - 2_500)])
    for file in (plain, tmp_path / "cog.tif"):
        found = ground.zonal(frame, file, ("mean", "max", "cells")).iloc[0]
        assert found["mean"] == pytest.approx(223.45, abs=1e-3) and found["max"] == pytest.approx(223.45, abs=1e-3)
        assert found["covered_pct"] == pytest.approx(50) and found["cells"] == pytest.approx(5_000)


def bad(tmp_path, name):
    """One bad raster by name."""
    values = np.ones((20, 20), "float32")
    file = tmp_path / f"{name}.tif"
    if name == "no crs":
        return write(file, values, crs=None)
    if name == "no place":
        return write(file, values, transform=rasterio.Affine.identity())
    if name == "elsewhere":
        return write(file, values, transform=from_origin(WEST + 90_000, NORTH, 10, 10))
    if name == "wrong crs":
        return write(file, values, crs="EPSG:26919")
    if name == "all missing":
        return write(file, values * -1, nodata=-1)
    if name == "text":
        file.write_text("height,width\n")
        return file
    if name == "torn":
        write(file, np.random.default_rng(1).random((400, 400)), compress="deflate")
        file.write_bytes(file.read_bytes()[:9_000])
        return file
    return tmp_path / "not there.tif"


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("no crs", "does not say which reference system"),
        ("no place", "does not say where on the ground"),
        ("elsewhere", "do not meet"),
        ("wrong crs", "reference system"),
        ("all missing", "holds no value"),
        ("text", "cannot be read as a raster"),
        ("torn", "cannot be read"),
        ("absent", "is not there"),
    ],
)
def test_a_bad_raster_is_one_clear_line(tmp_path, name, said):
    """Every bad file ends in one InputError of one line that names the file."""
    frame = outlines([shapely.box(WEST + 20, NORTH - 180, WEST + 180, NORTH - 20)])
    with pytest.raises(InputError) as told:
        ground.zonal(frame, bad(tmp_path, name))
    assert said in str(told.value) and "\n" not in str(told.value) and ".tif" in str(told.value)


def test_wrong_arguments_are_refused(tmp_path):
    """No CRS on outlines, a band that is not there, an unknown statistic, a crossed outline, a strange unit."""
    file = write(tmp_path / "a.tif", np.ones((20, 20)))
    box = shapely.box(WEST + 20, NORTH - 180, WEST + 180, NORTH - 20)
    for call, said in (
        (lambda: ground.zonal(outlines([box], None), file), "reference system"),
        (lambda: ground.zonal(outlines([box]), file, band=2), "no band 2"),
        (lambda: ground.zonal(outlines([box]), file, ("mode",)), "no statistic"),
        (
            lambda: ground.zonal(
                outlines(
                    [shapely.Polygon([(WEST, NORTH), (WEST + 90, NORTH - 90), (WEST + 90, NORTH), (WEST, NORTH - 90)])]
                ),
                file,
            ),
            "crosses itself",
        ),
        (lambda: terrain.slopes(outlines([box]), file, unit="fathom", region=shipped("base")), "fathom"),
        (lambda: ground.encoded(np.zeros((4, 9, 9), np.uint8), "jpeg"), "see-through"),
    ):
        with pytest.raises(InputError, match=said):
            call()


def test_outlines_partly_off_missing_and_empty(tmp_path):
    """Half on the raster: 50 % covered; off it, missing and empty: no numbers; other figures are not disturbed."""
    file = write(tmp_path / "a.tif", np.full((20, 20), 7.0))
    frame = outlines(
        [
            shapely.box(WEST - 50, NORTH - 100, WEST + 50, NORTH - 50),
            shapely.box(WEST + 900, NORTH - 100, WEST + 990, NORTH - 50),
            None,
            shapely.Polygon(),
        ]
    )
    found = ground.zonal(frame, file, ("mean", "p95", "cells"))
    assert found["covered_pct"].iloc[0] == pytest.approx(50) and found["mean"].iloc[0] == pytest.approx(7)
    assert (
        found["covered_pct"].iloc[1] == 0 and found["mean"].iloc[1:].isna().all() and found["p95"].iloc[1:].isna().all()
    )
    assert found.index.equals(frame.index)


def test_a_raster_of_ten_gigabytes_is_read_only_where_it_matters(tmp_path):
    """100,000 x 100,000 cells, sparse, one tile written: the figure is right and little memory is taken."""
    file = tmp_path / "huge.tif"
    told = {
        "driver": "GTiff",
        "count": 1,
        "height": 100_000,
        "width": 100_000,
        "dtype": "uint8",
        "crs": UTM,
        "nodata": 0,
    }
    told |= {"tiled": True, "blockxsize": 512, "blockysize": 512, "transform": from_origin(WEST, NORTH, 1, 1)}
    with rasterio.open(file, "w", **told, sparse_ok=True, bigtiff="yes") as out:
        out.write(np.full((512, 512), 9, np.uint8), 1, window=rasterio.windows.Window(51_200, 51_200, 512, 512))
    assert file.stat().st_size < 5e6
    near = shapely.box(WEST + 51_300, NORTH - 51_500, WEST + 51_500, NORTH - 51_300)
    far = shapely.box(WEST + 51_000, NORTH - 51_500, WEST + 51_400, NORTH - 51_300)
    found = ground.zonal(outlines([near, far]), file, ("mean", "max"))
    assert found["mean"].tolist() == [9.0, 9.0] and found["covered_pct"].tolist() == pytest.approx([100.0, 50.0])


def test_rows_between_stands_far_apart_are_not_read(tmp_path, monkeypatch):
    """Two stands 2,000 rows apart in one file, worked through in bands: right means, and nothing read between them."""
    from dataclasses import replace

    from woodlot.land import zonal_sums

    monkeypatch.setattr(zonal_sums, "CELLS_AT_ONCE", 4_000)
    values = np.random.default_rng(65).uniform(0, 50, (3_000, 40))
    file = write(tmp_path / "long.tif", values, transform=from_origin(WEST, NORTH, 1, 1), blockysize=50)
    frame = outlines(
        [
            shapely.box(WEST + 5, NORTH - 330, WEST + 25, NORTH - 20),
            shapely.box(WEST + 9, NORTH - 2_700, WEST + 30, NORTH - 2_400),
        ]
    )
    read = []
    with ground.layer(file) as sheet:
        watched = replace(sheet, read=lambda *window: (read.append(window), sheet.read(*window))[1])
        found = ground.zonal(frame, watched, ("mean", "std"))
    for row, part in zip(found.to_dict("records"), (values[20:330, 5:25], values[2_400:2_700, 9:30]), strict=True):
        assert row["mean"] == pytest.approx(part.mean(), rel=1e-9) and row["std"] == pytest.approx(part.std(), rel=1e-6)
    assert len(read) > 4 and not any(top < 2_200 and bottom > 500 for top, bottom, *_ in read)


def test_land_cover_shares_and_a_code_table_of_ones_own(tmp_path):
    """By hand: half on 41, a quarter each on 42 and 7 (not in the national scheme; in one of one's own a field)."""
    codes = np.full((4, 4), 41, np.uint8)
    codes[:2, 2:], codes[2:, 2:] = 42, 7
    file = write(tmp_path / "cover.tif", codes)
    frame = outlines([shapely.box(WEST, NORTH - 40, WEST + 40, NORTH)])
    found = raster_readings.cover_shares(frame, file, region=shipped("base")).iloc[0]
    assert found[["hardwood_group_pct", "conifer_group_pct", "unknown_pct"]].tolist() == pytest.approx([50, 25, 25])
    own = pd.DataFrame(
        {"code": [41, 42, 7], "cover": ["maple", "pine", "hay"], "group": ["hardwood", "conifer", "field"]}
    )
    found = raster_readings.cover_shares(frame, file, own, region=shipped("base")).iloc[0]
    assert found[["maple_pct", "hay_pct", "field_group_pct", "unknown_pct"]].tolist() == pytest.approx([50, 25, 25, 0])
    with pytest.raises(InputError, match="no group"):
        raster_readings.cover_codes(own.assign(group="jungle"), region=shipped("base"))


@pytest.mark.parametrize("kind", ["8 bits", "16 bits", "gray", "palette", "blue first", "see-through"])
def test_a_picture_shows_what_is_there(tmp_path, kind):
    """Left half red, right half green, in every way pictures are stored; small, laid between the corners it says."""
    red, green = np.array([200, 20, 20]), np.array([20, 180, 20])
    left = np.arange(300)[None, :] < 150
    rgb = np.where(left[..., None], red, green).repeat(300, axis=0).transpose(2, 0, 1).astype(np.uint8)
    more = {"photometric": "rgb"}
    if kind == "16 bits":
        rgb = rgb.astype(np.uint16) * 200
    if kind == "gray":
        rgb, more = rgb[:1], {}
    if kind == "palette":
        rgb, more = (rgb[:1] < 100).astype(np.uint8), {}
    if kind == "see-through":
        rgb = np.concatenate([rgb, np.full((1, 300, 300), 255, np.uint8)])
        more = {"photometric": "rgb", "alpha": "yes"}
    if kind == "blue first":
        rgb, more = rgb[::-1].copy(), {}
    file = write(tmp_path / "view.tif", rgb, transform=from_origin(WEST, NORTH, 1, 1), **more)
    if kind in ("palette", "blue first"):
        with rasterio.open(file, "r+") as out:
            if kind == "palette":
                out.write_colormap(1, {0: (200, 20, 20), 1: (20, 180, 20)})
            else:
                out.colorinterp = [rasterio.enums.ColorInterp[c] for c in ("blue", "green", "red")]
    shape = shapely.box(WEST + 50, NORTH - 250, WEST + 250, NORTH - 50)
    frame = outlines([shape]).to_crs(4326).assign(parcel_id="a")
    made = raster_readings.picture(frame, file, size_px=100, margin_ft=0, kind="png")["a"]
    assert max(made["width"], made["height"]) == 100 and made["covered_pct"] == 100.0
    with MemoryFile(base64.b64decode(made["data"])) as kept, kept.open() as source:
        seen = source.read()
    middle = seen[:, 50, [25, 75]].astype(int)
    assert (middle[3] == 255).all()
    if kind == "gray":
        assert middle[0, 0] > 150 > 60 > middle[0, 1]
    else:
        assert middle[0, 0] > middle[1, 0] + 80 and middle[1, 1] > middle[0, 1] + 80
    (south, west), (north, east) = made["bounds"]
    box = frame.total_bounds
    assert [west, south, east, north] == pytest.approx(box, abs=3e-5)
    again = raster_readings.picture(frame, file, size_px=100, margin_ft=0, kind="png")["a"]
    assert again == made


def test_the_sample_is_seen_whole():
    """Otter Lake: every stand has height of trees and slope; the kettle is the steep one; pictures stay small."""
    stands = gpd.read_file(SAMPLE / "stands.geojson").set_index("stand_id")
    tops = raster_readings.canopy(stands, SAMPLE / "canopy_height.tif")
    assert (tops["covered_pct"] > 99.9).all() and tops["canopy_mean_ft"].idxmax() == "14"
    slopes = terrain.slopes(stands, SAMPLE / "elevation.tif", region=shipped("base"))
    assert slopes["slope_pct"].idxmax() == "16" and slopes["slope_pct"].notna().all()
    parcels = gpd.read_file(SAMPLE / "parcels.geojson")
    made = raster_readings.shade(parcels, SAMPLE / "elevation.tif") | raster_readings.picture(
        parcels[:1], SAMPLE / "lake_place_picture.tif"
    )
    assert set(made) == set(parcels["parcel_id"]) and sum(len(m["data"]) for m in made.values()) < 60_000

"""Otter Lake from above: elevation, height of the trees, land cover for the deer's range, and one picture."""

from pathlib import Path

import numpy as np
import rasterio
import shapely
from rasterio.features import rasterize
from rasterio.transform import from_origin
from recipe import otter_ground as land
from recipe.frame import field
from scipy.ndimage import gaussian_filter

__all__ = ["write_rasters"]

ZONE = "EPSG:26915"  # the family's handheld and the state's elevation files
COVER_CRS = "EPSG:5070"  # national land cover
COVER_CODE = {
    "northern hardwoods": 41,
    "oak": 41,
    "aspen and birch": 41,
    "pine": 42,
    "spruce and fir": 42,
    "cedar swamp": 90,
    "low, wet hardwoods": 90,
    "brush and openings": 52,
}
TOP_FT = {
    "1": 72,
    "2": 74,
    "3": 52,
    "4": 44,
    "5": 9,
    "6": 70,
    "7": 77,
    "8": 61,
    "9": 53,
    "10": 13,
    "11": 50,
    "12": 71,
    "13": 72,
    "14": 88,
    "15": 76,
    "16": 7,
    "17": 48,
    "18": 38,
    "19": 43,
}
FT = 0.3048


def _grid(shapes, crs, size_m, margin_m):
    """Transform and shape of a raster round the shapes, on round numbers."""
    west, south, east, north = shapely.union_all(list(shapes)).bounds
    west, south = np.floor((west - margin_m) / size_m) * size_m, np.floor((south - margin_m) / size_m) * size_m
    cols = int(np.ceil((east + margin_m - west) / size_m))
    rows = int(np.ceil((north + margin_m - south) / size_m))
    return from_origin(west, south + rows * size_m, size_m, size_m), (rows, cols)


def _centres(transform, shape):
    col, row = np.meshgrid(np.arange(shape[1]) + 0.5, np.arange(shape[0]) + 0.5)
    return transform.c + col * transform.a, transform.f + row * transform.e


def _drawn(crs):
    """Parcels, stands and features in the raster's own reference system."""
    parcels = {p["parcel_id"]: land.SHEET.shape_in(p["geometry"], crs) for p in land.parcels()}
    stands = {s["stand_id"]: (s["cover"], land.SHEET.shape_in(s["geometry"], crs)) for s in land.stands()}
    things = [(f["kind"], land.SHEET.shape_in(f["geometry"], crs)) for f in land.features()]
    return parcels, stands, things


def _write(file: Path, array, crs, transform, nodata=None, unit=None, predictor=2):
    bands = array if array.ndim == 3 else array[None]
    told = {
        "driver": "GTiff",
        "height": bands.shape[1],
        "width": bands.shape[2],
        "count": bands.shape[0],
        "dtype": bands.dtype,
    }
    told |= {
        "crs": crs,
        "transform": transform,
        "nodata": nodata,
        "compress": "deflate",
        "zlevel": 9,
        "predictor": predictor,
    }
    if bands.shape[0] == 3:
        told |= {"photometric": "rgb", "interleave": "pixel"}
    with rasterio.open(file, "w", **told) as out:
        out.write(bands)
        if unit:
            out.units = (unit,) * bands.shape[0]


def _near(shapes, transform, shape, reach_m):
    return rasterize([s.buffer(reach_m) for s in shapes], out_shape=shape, transform=transform, dtype="uint8").astype(
        bool
    )


def elevation(file: Path) -> None:
    """Metres above the sea, 20 m, near the parcels; nothing further off."""
    parcels, _, _ = _drawn(ZONE)
    transform, shape = _grid(parcels.values(), ZONE, 20, 340)
    x, y = land.SHEET.feet(_centres(transform, shape), ZONE)
    near = _near(parcels.values(), transform, shape, 320)
    z = np.full(shape, -9999.0)
    z[near] = (land.elevation_ft(x[near], y[near]) * FT).round(1)
    _write(file, z.astype("float32"), ZONE, transform, -9999.0, "metre", predictor=3)


def canopy(file: Path) -> None:
    """Metres of tree height, 10 m, on the parcels and a little beyond; crowns and gaps from made-up waves."""
    parcels, stands, things = _drawn(ZONE)
    transform, shape = _grid(parcels.values(), ZONE, 10, 60)
    x, y = land.SHEET.feet(_centres(transform, shape), ZONE)
    near = _near(parcels.values(), transform, shape, 50)
    top = np.full(shape, 52.0)
    for key, (_, geometry) in stands.items():
        top[rasterize([geometry], out_shape=shape, transform=transform, dtype="uint8") > 0] = TOP_FT[key]
    rng = np.random.default_rng(301)
    rough = 1 + 0.13 * field(x, y, 302, 700, 3) + rng.normal(0, 0.09, shape)
    gaps = field(x, y, 303, 360, 2) > 1.75
    feet = np.clip(top * rough, 0, None) * np.where(gaps, 0.25, 1.0)
    bare = [g for kind, g in things if kind in ("lake", "home_ground")] + [
        g.buffer(5) for kind, g in things if kind == "road"
    ]
    feet[rasterize(bare, out_shape=shape, transform=transform, dtype="uint8") > 0] = 0
    out = np.full(shape, 255)
    out[near] = np.clip(np.round(feet * FT), 0, 60)[near]
    _write(file, out.astype("uint8"), ZONE, transform, 255, "metre")


def land_cover(file: Path) -> None:
    """Codes of the national scheme, 30 m, a mile and more round every parcel."""
    parcels, stands, things = _drawn(COVER_CRS)
    transform, shape = _grid(parcels.values(), COVER_CRS, 30, 2100)
    x, y = land.SHEET.feet(_centres(transform, shape), COVER_CRS)
    low, wood, open_ = field(x, y, 311, 7_000, 4), field(x, y, 312, 4_200, 4), field(x, y, 313, 9_000, 4)
    code = np.where(wood > 0.85, 42, np.where(wood > 0.6, 43, 41))
    code = np.where(low > 0.8, 90, code)
    code = np.where(low > 2.0, 11, code)
    code = np.where(open_ > 1.75, 71, np.where(open_ > 1.5, 52, code))
    code = np.where((open_ > 2.0) & (low < 0.2), 82, code)

    def paint(shapes, value, touched=False):
        code[rasterize(shapes, out_shape=shape, transform=transform, all_touched=touched, dtype="uint8") > 0] = value

    roads = [g for kind, g in things if kind == "road"]
    paint(roads[:1] + roads[3:4] + roads[-1:], 21, True)
    for cover, geometry in stands.values():
        paint([geometry], COVER_CODE[cover])
    paint([g for kind, g in things if kind == "home_ground"], 71)
    paint([g for kind, g in things if kind == "lake"], 11)
    _write(file, code.astype("uint8"), COVER_CRS, transform, 0)


COLOR = {
    "northern hardwoods": (96, 112, 72),
    "oak": (118, 104, 66),
    "aspen and birch": (134, 142, 92),
    "pine": (54, 78, 56),
    "spruce and fir": (46, 66, 52),
    "cedar swamp": (60, 84, 62),
    "low, wet hardwoods": (104, 104, 84),
    "brush and openings": (150, 146, 104),
}


def picture(file: Path) -> None:
    """A made-up picture from the air of Lake place, 2.5 m, leaf-on, in coarse shades so that it stays small."""
    parcels, stands, things = _drawn(ZONE)
    transform, shape = _grid([parcels["lake"]], ZONE, 2.5, 35)
    x, y = land.SHEET.feet(_centres(transform, shape), ZONE)
    rng = np.random.default_rng(321)
    color = np.full((3, *shape), 100.0)
    color[:] = np.array([92, 106, 72])[:, None, None]

    def paint(shapes, rgb):
        where = rasterize(shapes, out_shape=shape, transform=transform, dtype="uint8") > 0
        color[:, where] = np.array(rgb, float)[:, None]

    for cover, geometry in stands.values():
        paint([geometry], COLOR[cover])
    crowns = gaussian_filter(rng.normal(size=shape), 0.9)
    crowns = 1 + 0.14 * crowns / crowns.std() + 0.05 * field(x, y, 322, 500, 3)
    color *= crowns
    paint([g for kind, g in things if kind == "home_ground"], (160, 168, 104))
    paint([g for kind, g in things if kind == "lake"], (38, 58, 74))
    paint([g.buffer(4) for kind, g in things if kind == "road"][:2], (186, 176, 156))
    house = land.SHEET.shape_in(shapely.box(1035, 735, 1085, 775), ZONE)
    paint([house], (176, 92, 78))
    color = np.clip(np.round(color / 6) * 6, 0, 252)
    _write(file, color.astype("uint8"), ZONE, transform)


def write_rasters(folder: Path) -> None:
    """All four files."""
    elevation(folder / "elevation.tif")
    canopy(folder / "canopy_height.tif")
    land_cover(folder / "land_cover.tif")
    picture(folder / "lake_place_picture.tif")

"""Rasters under outlines: the only place that opens them.

Opening      opened, about, layer, Layer, in_feet
Figures      zonal, to_cells
Pictures     small, palette, encoded

A raster may be of any size, reference system, resolution, band order and nodata, also rotated: outlines are carried to
its columns and rows, so its cells are never resampled for a figure, and only the cells under outlines are read.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.land import quantiles, relief, zonal_sums
from woodlot.land.parcels import made_whole, on_map
from woodlot.land.tiffs import check_cells, check_pieces, check_tiff
from woodlot.units import M_PER_FT

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = [
    "Layer",
    "about",
    "band_of",
    "encoded",
    "in_feet",
    "layer",
    "opened",
    "palette",
    "small",
    "to_cells",
    "zonal",
]

#: Blocks of the file kept in memory while it is read [bytes].
CACHE_BYTES = 48_000_000
FEET = {
    "m": 1 / M_PER_FT,
    "metre": 1 / M_PER_FT,
    "meter": 1 / M_PER_FT,
    "metres": 1 / M_PER_FT,
    "meters": 1 / M_PER_FT,
    "cm": 0.01 / M_PER_FT,
    "dm": 0.1 / M_PER_FT,
    "ft": 1.0,
    "foot": 1.0,
    "feet": 1.0,
    "us survey foot": 1200 / 3937 / M_PER_FT,
    "us survey feet": 1200 / 3937 / M_PER_FT,
    "us-ft": 1200 / 3937 / M_PER_FT,
    "us_survey_foot": 1200 / 3937 / M_PER_FT,
    "ftus": 1200 / 3937 / M_PER_FT,
}


@dataclass(frozen=True)
class Layer:
    """One sheet of cells: a band of a raster, or something worked out from it.

    name: for messages; crs; rows, columns; transform: columns and rows to coordinates; read(first row, last row, first
    column, last column) -> numbers, NaN where there is none; block: rows and columns that are stored together; feet:
    what one unit of height is in feet; feet_from: "band", "reference system", "argument" or "assumed"; bits: bits of a
    stored number.
    """

    name: str
    crs: Any
    rows: int
    columns: int
    transform: Any
    read: Callable[[int, int, int, int], np.ndarray]
    block: tuple[int, int]
    feet: float
    feet_from: str
    bits: int = 32


@contextmanager
def opened(raster: str | Path) -> Iterator[Any]:
    """A raster opened for reading, with a small cache. Raises InputError when it is none or lies nowhere."""
    import warnings

    import rasterio
    from rasterio.errors import NotGeoreferencedWarning, RasterioIOError

    path = Path(raster)
    for file in (path, *(path.with_name(name) for name in (f"{path.name}.ovr", f"{path.name}.msk"))):
        check_tiff(file, path)
    with rasterio.Env(GDAL_CACHEMAX=CACHE_BYTES, GDAL_PAM_ENABLED=False), warnings.catch_warnings():
        warnings.simplefilter("ignore", NotGeoreferencedWarning)
        try:
            source = rasterio.open(path, driver="GTiff")
        except (RasterioIOError, UnicodeDecodeError, ValueError) as error:
            raise InputError(f"{path.name} cannot be read as a raster: {_short(error)}") from None
        with source:
            check_pieces(source, path.name)
            if source.crs is None:
                raise InputError(
                    f"{path.name} does not say which reference system (CRS) it is in"
                    f"{' (it is tied to the ground by control points only)' if source.gcps[0] else ''}; save it again "
                    "with one"
                )
            laid = source.transform
            if laid.is_identity or not np.isfinite(laid).all() or not 0 < abs(laid.determinant) < np.inf:
                raise InputError(f"{path.name} does not say where on the ground it lies; save it again as a GeoTIFF")
            yield source


def _short(error: Exception) -> str:
    return (str(error).splitlines() or [type(error).__name__])[0][:120]


def about(raster: str | Path) -> dict[str, Any]:
    """What a raster is: name, width, height, bands, type, crs, cell_ft (side of a cell in the middle), feet."""
    with opened(raster) as source:
        sheet = band_of(source, Path(raster).name, 1, None)
        across = relief.across(sheet.transform, sheet.crs, sheet.rows / 2, sheet.columns / 2)
        return {
            "name": sheet.name,
            "width": source.width,
            "height": source.height,
            "bands": source.count,
            "type": source.dtypes[0],
            "crs": source.crs.to_string(),
            "cell_ft": float(np.sqrt(abs(np.linalg.det(across))) / M_PER_FT),
            "feet": sheet.feet,
            "feet_from": sheet.feet_from,
        }


@contextmanager
def layer(raster: str | Path, band: int = 1, unit: str | None = None) -> Iterator[Layer]:
    """One band of a raster as a Layer.

    Parameters
    ----------
    raster
        File that GDAL can read.
    band
        Counted from 1.
    unit
        Unit of height ("metre", "foot", "US survey foot"); None: as the file says, else metres are assumed.
    """
    with opened(raster) as source:
        yield band_of(source, Path(raster).name, band, unit)


def band_of(source: Any, name: str, band: int = 1, unit: str | None = None) -> Layer:
    """One band of an ``opened`` raster as a Layer, named in messages as told."""
    from rasterio.enums import MaskFlags

    if not 1 <= band <= source.count:
        raise InputError(f"{name} has {source.count} band{'s' * (source.count > 1)}; there is no band {band}")
    if np.issubdtype(np.dtype(source.dtypes[band - 1]), np.complexfloating):
        raise InputError(f"{name} holds complex numbers, which say nothing about ground or trees")
    flags = source.mask_flag_enums[band - 1]
    masked = MaskFlags.per_dataset in flags or MaskFlags.alpha in flags
    nodata = None if masked else source.nodatavals[band - 1]
    scale, offset = source.scales[band - 1], source.offsets[band - 1]

    def read(top: int, bottom: int, left: int, right: int) -> np.ndarray:
        window = ((top, bottom), (left, right))
        try:
            cells = source.read(band, window=window)
            missing = source.read_masks(band, window=window) == 0 if masked else None
        except Exception as error:  # a torn or damaged file fails in the driver's own many ways
            raise InputError(f"{name} is damaged and cannot be read to the end: {_short(error)}") from None
        if nodata is not None and not np.isnan(nodata):
            missing = cells == nodata
        if cells.dtype.kind != "f":
            cells = cells.astype(np.float32 if cells.dtype.itemsize <= 2 else np.float64)
        if missing is not None and missing.any():
            cells[missing] = np.nan
        if (scale, offset) != (1.0, 0.0):
            cells = cells.astype(np.float64) * scale + offset
        return cells

    feet, feet_from = _feet(source, band, unit, name)
    block = source.block_shapes[band - 1]
    bits = 8 * np.dtype(source.dtypes[band - 1]).itemsize
    return Layer(name, source.crs, source.height, source.width, source.transform, read, block, feet, feet_from, bits)


def _feet(source: Any, band: int, unit: str | None, name: str) -> tuple[float, str]:
    if unit is not None:
        if unit.lower() not in FEET:
            raise InputError(f"a height cannot be in {unit!r}; use one of {', '.join(FEET)}")
        return FEET[unit.lower()], "argument"
    word = (source.units[band - 1] or "").strip().lower()
    if word in FEET:
        return FEET[word], "band"
    from pyproj import CRS

    axes = CRS.from_wkt(source.crs.to_wkt()).axis_info
    if len(axes) == 3 and axes[2].unit_name.lower() in FEET:
        return FEET[axes[2].unit_name.lower()], "reference system"
    return FEET["metre"], "assumed"


def to_cells(polygons: Any, sheet: Layer) -> np.ndarray:
    """Outlines as columns and rows of a layer. Raises InputError without a CRS, or where none of them touches it."""
    import shapely

    frame = getattr(polygons, "geometry", polygons)
    if getattr(frame, "crs", None) is None:
        raise InputError("outlines need a reference system (CRS) to be laid over a raster; use set_crs first")
    shapes = on_map(frame, sheet.crs.to_wkt()).to_numpy()
    back = ~sheet.transform
    out = shapely.transform(shapes, lambda xy: np.stack(relief.carried(back, xy[:, 0], xy[:, 1]), axis=1))
    out = made_whole(out, shapely.is_valid(shapes))
    west, top, east, bottom = shapely.total_bounds(out)
    if np.isnan(west):
        return out
    check_cells(shapely.bounds(out), sheet)
    touches = west < sheet.columns and east > 0 and top < sheet.rows and bottom > 0
    if not (np.isfinite([west, east, top, bottom]).all() and touches):
        raise InputError(
            f"{sheet.name} and the outlines do not meet: the raster lies at {_where(sheet)}, the outlines at "
            f"{_place(*frame.to_crs(4326).total_bounds)}; is it the right file, and its reference system "
            f"({sheet.crs.to_string()[:40]}) right?"
        )
    return out


def _place(west: float, south: float, east: float, north: float) -> str:
    ends = ("longitude", west, east), ("latitude", south, north)
    return ", ".join(f"{way} {low:.2f} to {high:.2f}" for way, low, high in ends)


def _where(sheet: Layer) -> str:
    from rasterio.errors import RasterioError
    from rasterio.warp import transform_bounds

    ends = np.array([0, sheet.columns, 0, sheet.columns]), np.array([0, 0, sheet.rows, sheet.rows])
    xs, ys = relief.carried(sheet.transform, *ends)
    try:
        return _place(*transform_bounds(sheet.crs, "EPSG:4326", xs.min(), ys.min(), xs.max(), ys.max()))
    except (RasterioError, ValueError):
        return "no place on earth"


def zonal(
    polygons: "gpd.GeoDataFrame | gpd.GeoSeries",
    raster: str | Path | Layer,
    statistics: Sequence[str] = ("mean",),
    band: int = 1,
) -> pd.DataFrame:
    """Figures of a raster's cells under each outline, partial cells by their part.

    Parameters
    ----------
    polygons
        Polygons with a reference system, any one.
    raster
        File, or a Layer.
    statistics
        Any of "mean", "sum", "std", "cells" (cells with a value, in cells), "min", "max", "median", "p5" ... "p99"
        (percentiles), "over 30" (percent of the cells with a value above 30, in the raster's unit) and "shares"
        (percent of the cells with a value, by value).
    band
        Band of the file, counted from 1.

    Returns
    -------
    Frame with the index of ``polygons`` and a column for each statistic ("over 30" -> over_30_pct, "shares" ->
    share_<value>_pct for each value met), and covered_pct: percent of the outline's area that has values. Outlines
    without any value have NaN; so do missing and empty ones.

    Raises
    ------
    InputError
        If outlines or raster have no reference system, do not meet, or no cell under any outline has a value; for an
        unknown statistic or an outline that crosses itself.

    Notes
    -----
    Sums, means, standard deviations, shares above a limit and areas come from running sums down columns and the edges
    of the outlines (``land.cells``), exact to rounding; the others from exactextract, whose partial areas are kept to
    seven figures. Cells count equally, so in degrees or Web Mercator those further north count a little too much
    inside one outline (0.03 % a mile at 46 degrees north).
    """
    if isinstance(raster, Layer):
        return _zonal(polygons, raster, tuple(statistics))
    with layer(raster, band) as sheet:
        return _zonal(polygons, sheet, tuple(statistics))


def _zonal(polygons: Any, sheet: Layer, statistics: tuple[str, ...]) -> pd.DataFrame:
    import shapely

    asked = {s: _parsed(s) for s in statistics}
    shapes = to_cells(polygons, sheet)
    area = shapely.area(shapes)
    limits = sorted({limit for kind, limit in asked.values() if kind == "over" and limit is not None})
    sums = zonal_sums.sums(shapes, sheet, limits, squares=any(kind == "std" for kind, _ in asked.values()))
    cells_ = np.where(sums["cells"] > 1e-9 * np.maximum(area, 1e-9), sums["cells"], np.nan)
    if np.isnan(cells_).all() and np.nansum(area) > 0:
        raise InputError(f"{sheet.name} holds no value under any of the outlines; all of it there is marked as missing")
    out: dict[str, Any] = {}
    held = quantiles.held(shapes, sheet, asked) if any(kind in ("op", "shares") for kind, _ in asked.values()) else {}
    for name, (kind, limit) in asked.items():
        if kind == "cells":
            out[name] = np.nan_to_num(cells_)
        elif kind == "sum":
            out[name] = np.where(np.isnan(cells_), np.nan, sums["sum"])
        elif kind == "mean":
            out[name] = sums["sum"] / cells_
        elif kind == "std":
            out[name] = np.sqrt(np.maximum(sums["squares"] / cells_ - (sums["from"] / cells_) ** 2, 0.0))
        elif kind == "over":
            out[f"over_{limit:g}_pct"] = np.clip(100.0 * sums[f"over {limit:g}"] / cells_, 0.0, 100.0)
        elif kind == "shares":
            out |= {k: np.where(np.isnan(cells_), np.nan, v) for k, v in held["shares"].items()}
        else:
            out[name] = np.where(np.isnan(cells_), np.nan, held[name])
    out["covered_pct"] = np.clip(100.0 * np.nan_to_num(cells_) / np.where(area > 0, area, np.nan), 0.0, 100.0)
    return pd.DataFrame(out, index=polygons.index)


def _parsed(statistic: str) -> tuple[str, float | None]:
    if statistic in ("mean", "sum", "std", "cells", "shares"):
        return statistic, None
    if statistic in ("min", "max", "median"):
        return "op", None
    head, _, tail = statistic.partition(" ")
    try:
        if head == "over":
            return "over", float(tail)
        if statistic.startswith("p") and 0 <= float(statistic[1:]) <= 100:
            return "op", float(statistic[1:])
    except ValueError:
        pass
    raise InputError(f"no statistic {statistic!r}; use mean, sum, std, cells, min, max, median, p95, over 30 or shares")


def in_feet(sheet: Layer) -> Layer:
    """A layer of heights with its numbers in feet."""
    return replace(sheet, read=lambda *window: sheet.read(*window) * sheet.feet, feet=1.0)


def small(source: Any, bands: list[int], window: tuple[tuple[int, int], tuple[int, int]], size: tuple[int, int]) -> Any:
    """Bands of a window of an ``opened`` raster in fewer cells (averaged; a palette: picked), and where known."""
    from rasterio.enums import Resampling

    fewer = size != (window[0][1] - window[0][0], window[1][1] - window[1][0])
    how = Resampling.average if fewer and palette(source) is None else Resampling.nearest
    bands_read = source.read(bands, window=window, out_shape=(len(bands), *size), resampling=how)
    return bands_read, source.dataset_mask(window=window, out_shape=size) > 0


def palette(source: Any) -> np.ndarray | None:
    """Red, green and blue of the codes 0 to 255 of an ``opened`` raster with a palette; None without one."""
    try:
        listed = source.colormap(1)
    except ValueError:
        return None
    out = np.zeros((256, 3), np.uint8)
    for code, color in listed.items():
        if code < 256:
            out[code] = color[:3]
    return out


def encoded(bands: np.ndarray, kind: str = "webp", quality: int = 60) -> bytes:
    """A picture as a file in memory: uint8 (bands, rows, columns) with 1, 3 or 4 bands -> PNG, WebP or JPEG bytes.

    JPEG has no see-through part, so a fourth band is refused there. The same picture gives the same bytes.
    """
    import warnings

    import rasterio
    from rasterio.errors import NotGeoreferencedWarning
    from rasterio.io import MemoryFile

    driver = {"png": "PNG", "webp": "WEBP", "jpeg": "JPEG"}.get(kind)
    if driver is None:
        raise InputError(f"a picture can be png, webp or jpeg, not {kind!r}")
    if driver == "JPEG" and len(bands) == 4:
        raise InputError("a JPEG cannot be see-through; use webp or png, or leave the fourth band out")
    if driver == "WEBP" and len(bands) == 1:
        bands = np.repeat(bands, 3, axis=0)
    more = {"PNG": {"zlevel": 9}, "WEBP": {"quality": quality}, "JPEG": {"quality": quality}}[driver]
    form = {"driver": driver, "count": len(bands), "height": bands.shape[1], "width": bands.shape[2], "dtype": "uint8"}
    with rasterio.Env(GDAL_PAM_ENABLED=False), warnings.catch_warnings(), MemoryFile() as file:
        warnings.simplefilter("ignore", NotGeoreferencedWarning)
        with file.open(**form, **more) as out:
            out.write(bands)
        return bytes(file.getbuffer())

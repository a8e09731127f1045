"""What a raster shows from above: height of the trees, land cover, and pictures for the map.

Figures    canopy, cover_codes, cover_shares
Pictures   picture, shade

A picture is one parcel's, laid out evenly in Web Mercator, so that a web map can stretch it between its corners.
"""

import base64
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.land import relief
from woodlot.land.ground import band_of, encoded, in_feet, layer, opened, palette, small, zonal
from woodlot.land.parcels import local_ft, on_map
from woodlot.region import Region
from woodlot.units import M_PER_FT

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["canopy", "cover_codes", "cover_shares", "picture", "shade"]


def canopy(polygons: Any, raster: str | Path, unit: str | None = None, over_ft: float = 30.0) -> pd.DataFrame:
    """Height of the trees' upper surface under each outline.

    Returns
    -------
    Frame with canopy_mean_ft, canopy_p95_ft [ft], canopy_over_30ft_pct (percent of the cells above ``over_ft``; the
    name carries it) and covered_pct.
    """
    with layer(raster, unit=unit) as sheet:
        feet = zonal(polygons, in_feet(sheet), ("mean", "p95", f"over {over_ft:g}"))
    return feet.rename(
        columns={
            "mean": "canopy_mean_ft",
            "p95": "canopy_p95_ft",
            f"over_{over_ft:g}_pct": f"canopy_over_{over_ft:g}ft_pct",
        }
    )


def cover_codes(codes: pd.DataFrame | None = None, *, region: Region) -> pd.DataFrame:
    """A code table of land cover: code, cover, group. None: the national scheme.

    Raises InputError for a table of the family's own without these columns, with a code twice, or a group that is not
    among those of the national scheme.
    """
    national = region.table("land_cover_codes")
    if codes is None:
        return national
    if not {"code", "cover", "group"} <= set(codes.columns):
        raise InputError("a table of land cover codes needs the columns code, cover and group")
    own = codes.assign(code=pd.to_numeric(codes["code"], errors="coerce"))
    if own["code"].isna().any() or own["code"].duplicated().any():
        raise InputError("codes of land cover must be numbers, each once")
    strange = sorted(set(own["group"]) - set(national["group"]))
    if strange:
        raise InputError(f"no group {', '.join(map(repr, strange))}; use {', '.join(national['group'].unique())}")
    return own


def cover_shares(
    polygons: Any, raster: str | Path, codes: pd.DataFrame | None = None, *, region: Region
) -> pd.DataFrame:
    """Percent of each outline by land cover.

    Parameters
    ----------
    polygons, raster
        As for ``zonal``; the raster holds one code a cell.
    codes
        Table with code, cover and group ("conifer", "hardwood", "mixed", "wet woods", "wet open", "brush", "grass",
        "field", "built", "bare", "water"); None: the national scheme.
    region
        Region whose national scheme is taken.

    Returns
    -------
    Frame with a column <cover>_pct for each cover met, <group>_group_pct for each group of the table, unknown_pct
    (codes that the table lacks) and covered_pct.
    """
    table = cover_codes(codes, region=region)
    shares = zonal(polygons, raster, ("shares",))
    met = {float(c[6:-4]): c for c in shares.columns.astype(str) if c.startswith("share_")}
    cover = dict(zip(table["code"].astype(float), table["cover"], strict=True))
    group = dict(zip(table["code"].astype(float), table["group"], strict=True))
    out = {}
    for code, name in cover.items():
        if code in met:
            out[f"{name}_pct"] = shares[met[code]]
    empty = pd.Series(0.0, shares.index).where(shares["covered_pct"] > 0)
    for name in dict.fromkeys(group.values()):
        out[f"{name}_group_pct"] = sum((shares[met[c]] for c in met if group.get(c) == name), empty)
    out["unknown_pct"] = sum((shares[met[c]] for c in met if c not in cover), empty)
    return pd.DataFrame(out).assign(covered_pct=shares["covered_pct"])


def picture(
    parcels: "gpd.GeoDataFrame",
    raster: str | Path,
    size_px: int = 480,
    margin_ft: float = 100.0,
    kind: str = "webp",
    quality: int = 60,
) -> dict[str, dict[str, Any]]:
    """The part of a picture from the air that shows each parcel, made small.

    Parameters
    ----------
    parcels
        Frame with parcel_id and outlines in longitude and latitude.
    raster
        Red, green and blue (by their names, else the first three bands), one gray band, or a palette; 8 bits, or more,
        which are stretched between their 2nd and 98th percentile.
    size_px
        Longer side of the small picture.
    margin_ft
        How much is shown beyond the line [ft]; the rest is see-through (white in a JPEG).
    kind, quality
        "webp", "png" or "jpeg", and 1 to 100 (not for png).

    Returns
    -------
    parcel_id -> data (base64 text), kind ("image/webp"), bounds ([[south, west], [north, east]]), width, height,
    covered_pct (of the parcel), ft_per_px. Parcels of which the raster shows nothing are left out.

    Raises
    ------
    InputError
        If the raster cannot be read or does not say where it lies.
    """
    return _pictures(parcels, raster, size_px, margin_ft, kind, quality, _color)


def shade(
    parcels: "gpd.GeoDataFrame",
    raster: str | Path,
    size_px: int = 320,
    margin_ft: float = 100.0,
    kind: str = "webp",
    quality: int = 60,
    steeper: float | None = None,
) -> dict[str, dict[str, Any]]:
    """Light and shadow on the ground of each parcel, from a raster of heights; light from the northwest.

    ``steeper`` draws the heights so many times steeper than they are; None: one to six times, so that the steeper
    tenth of the ground looks like a slope of 40 %. Otherwise as ``picture``.
    """

    def shaded(bands: np.ndarray, sheet: Any, ft_per_px: float) -> np.ndarray:
        z = np.pad(bands[0], 1, mode="edge") * sheet.feet / ft_per_px
        square = np.broadcast_to(np.array([[1.0, 0.0], [0.0, -1.0]]), (2, 2, 2, 2))
        east, north = relief.gradient(z, square)
        tenth = np.nanpercentile(np.hypot(east, north), 90) if not np.isnan(east).all() else 0.0
        times = np.clip(0.4 / max(tenth, 1e-9), 1.0, 6.0) if steeper is None else steeper
        return relief.hillshade(east * times, north * times)[None] * 255.0

    return _pictures(parcels, raster, size_px, margin_ft, kind, quality, shaded, smooth=True)


def _color(bands: np.ndarray, sheet: Any, ft_per_px: float) -> np.ndarray:
    if np.nanmax(bands, initial=0.0) <= 255.0 and np.nanmin(bands, initial=0.0) >= 0.0 and sheet.bits <= 8:
        return bands
    low, high = np.nanpercentile(bands, [2, 98])
    return np.clip((bands - low) / max(high - low, 1e-9), 0.0, 1.0) * 255.0


def _pictures(
    parcels: "gpd.GeoDataFrame",
    raster: str | Path,
    size_px: int,
    margin_ft: float,
    kind: str,
    quality: int,
    draw: Any,
    smooth: bool = False,
) -> dict[str, dict[str, Any]]:
    import shapely

    if not 16 <= size_px <= 4096:
        raise InputError(f"a picture can be 16 to 4,096 pixels wide, not {size_px!r}")
    frame = local_ft(parcels)
    wide = on_map(frame.buffer(margin_ft, join_style="mitre"), 3857)
    own = on_map(parcels.geometry, 3857)
    out = {}
    for pid, seen, line, latitude in zip(
        parcels["parcel_id"].astype(str), wide, own, parcels.geometry.bounds[["miny", "maxy"]].mean(axis=1), strict=True
    ):
        west, south, east, north = seen.bounds
        side = max(east - west, north - south) / size_px
        columns, rows = max(round((east - west) / side), 1), max(round((north - south) / side), 1)
        bounds = (west, north - rows * side, west + columns * side, north)
        bands, sheet = _laid(raster, bounds, (rows, columns), smooth)
        if np.isnan(bands).all():
            continue
        ft_per_px = side * np.cos(np.radians(latitude)) / M_PER_FT
        xs = bounds[0] + (np.arange(columns) + 0.5) * side
        ys = bounds[3] - (np.arange(rows) + 0.5) * side
        x, y = np.meshgrid(xs, ys)
        drawn = draw(bands, sheet, ft_per_px)
        known = ~np.isnan(drawn).any(axis=0)
        shapely.prepare([line, seen])
        inside = shapely.contains_xy(line, x, y)
        shown = known & shapely.contains_xy(seen, x, y)
        if not (known & inside).any():
            continue
        colors = np.where(shown, np.round(np.nan_to_num(drawn)), 255.0).astype(np.uint8)
        if kind != "jpeg":
            colors = np.concatenate([np.repeat(colors, 3 // len(colors), axis=0), shown[None] * np.uint8(255)])
        corners = _degrees(bounds)
        out[pid] = {
            "data": base64.b64encode(encoded(colors, kind, quality)).decode("ascii"),
            "kind": f"image/{kind}",
            "bounds": corners,
            "width": columns,
            "height": rows,
            "covered_pct": float(100.0 * (known & inside).sum() / max(inside.sum(), 1)),
            "ft_per_px": float(ft_per_px),
        }
    return out


def _laid(
    raster: str | Path, bounds: tuple[float, float, float, float], shape: tuple[int, int], smooth: bool
) -> tuple[np.ndarray, Any]:
    """Bands laid on a grid of Web Mercator (NaN where there is nothing), and the first band's Layer.

    Heights (``smooth``) are followed by cubic curves; colors are first averaged to about two cells a pixel.
    """
    from scipy.ndimage import map_coordinates

    with opened(raster) as source:
        sheet = band_of(source, Path(raster).name)
        xs = bounds[0] + (np.arange(shape[1]) + 0.5) * (bounds[2] - bounds[0]) / shape[1]
        ys = bounds[3] - (np.arange(shape[0]) + 0.5) * (bounds[3] - bounds[1]) / shape[0]
        there = relief.between_maps(3857, source.crs.to_wkt())
        columns, rows = relief.carried(~source.transform, *there.transform(*np.meshgrid(xs, ys)))
        if not (np.isfinite(columns).all() and np.isfinite(rows).all()):
            return np.full((1, *shape), np.nan), sheet
        left, right = max(int(columns.min()) - 4, 0), min(int(columns.max()) + 5, source.width)
        top, bottom = max(int(rows.min()) - 4, 0), min(int(rows.max()) + 5, source.height)
        if left >= right or top >= bottom:
            return np.full((1, *shape), np.nan), sheet
        fewer = max(min((right - left) // (2 * shape[1]), (bottom - top) // (2 * shape[0])), 1)
        size = (-(-(bottom - top) // fewer), -(-(right - left) // fewer))
        bands = [1] if smooth else _color_bands(source)
        cells, known = small(source, bands, ((top, bottom), (left, right)), size)
        colors = palette(source) if bands == [1] and not smooth else None
    if colors is not None:
        cells = np.moveaxis(colors[cells[0].clip(0, 255).astype(np.uint8)], -1, 0)
    places = (rows - top) * size[0] / (bottom - top) - 0.5, (columns - left) * size[1] / (right - left) - 0.5
    within = (rows >= top) & (rows <= bottom) & (columns >= left) & (columns <= right)
    known &= ~np.isnan(cells).any(axis=0)
    shown = within & (map_coordinates(known.astype(np.uint8), places, order=0, mode="nearest") > 0)
    filled = _filled(cells.astype(float), known)
    out = np.stack([map_coordinates(band, places, order=3 if smooth else 1, mode="nearest") for band in filled])
    out = np.where(shown, out, np.nan) if smooth else np.where(shown, np.clip(out, cells.min(), cells.max()), np.nan)
    return out, sheet


def _filled(bands: np.ndarray, known: np.ndarray) -> np.ndarray:
    """Unknown cells given the value of the nearest known one, so that what is missing does not bleed."""
    from scipy.ndimage import distance_transform_edt

    if known.all() or not known.any():
        return np.nan_to_num(bands)
    nearest = distance_transform_edt(~known, return_distances=False, return_indices=True)
    return bands[(slice(None), *nearest)]


def _color_bands(source: Any) -> list[int]:
    """Bands that are red, green and blue, by their names, else the first three not see-through; one is gray."""
    named = {color.name: i for i, color in enumerate(source.colorinterp, 1)}
    if {"red", "green", "blue"} <= set(named):
        return [named["red"], named["green"], named["blue"]]
    bands = [i for i, color in enumerate(source.colorinterp, 1) if color.name != "alpha"]
    return bands[:3] if len(bands) >= 3 else bands[:1]


def _degrees(bounds: tuple[float, float, float, float]) -> list[list[float]]:
    back = relief.between_maps(3857, 4326)
    (west, east), (south, north) = back.transform([bounds[0], bounds[2]], [bounds[1], bounds[3]])
    return [[round(south, 7), round(west, 7)], [round(north, 7), round(east, 7)]]

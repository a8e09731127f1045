"""Figures that need the cells under an outline themselves: quantiles, extremes and shares by value.

held         by exactextract, in columns and rows of a layer
"""

from typing import Any

import numpy as np
import pandas as pd

__all__ = ["held"]

#: Most cells that are held for one figure which needs all of them at once.
CELLS_HELD = 8_000_000


def held(shapes: np.ndarray, sheet: Any, asked: dict[str, tuple[str, float | None]]) -> dict[str, Any]:
    """Quantiles and shares of the cells under each outline.

    Parameters
    ----------
    shapes
        Polygons in columns and rows of ``sheet``; missing and empty ones have NaN, and no share of any code.
    sheet
        A ``land.ground.Layer``.
    asked
        Names with what they ask for: ("op", None) for one of exactextract's own names, ("op", percent) for a quantile,
        ("shares", None) for percent by value; others are passed over.

    Returns
    -------
    An array for each name; under "shares" a mapping of "share_<value>_pct" to arrays.

    Source
    ------
    exactextract (a library); partial areas are kept to seven figures.
    """
    import geopandas as gpd
    import shapely
    from exactextract import exact_extract
    from exactextract.raster import RasterSource

    plane = sheet.crs.to_wkt()

    class _Cells(RasterSource):
        def res(self) -> tuple[float, float]:
            return 1.0, 1.0

        def extent(self) -> tuple[float, float, float, float]:
            return 0.0, float(-sheet.rows), float(sheet.columns), 0.0

        def read_window(self, x0: int, y0: int, nx: int, ny: int) -> np.ndarray:
            return sheet.read(y0, y0 + ny, x0, x0 + nx)

        def srs_wkt(self) -> str:
            return str(plane)

        def nodata_value(self) -> float:
            return float("nan")

    there = np.flatnonzero(~shapely.is_missing(shapes) & ~shapely.is_empty(shapes))
    upright = shapely.transform(shapes[there], lambda xy: xy * [1.0, -1.0])
    ops = {}
    for name, (kind, share) in asked.items():
        if kind == "op":
            ops[name] = name if share is None else f"quantile(q={share / 100.0:g})"
    shares = any(kind == "shares" for kind, _ in asked.values())
    cells = exact_extract(
        _Cells(),
        gpd.GeoDataFrame(geometry=upright, crs=plane),
        [*(f"x{i}={op}" for i, op in enumerate(ops.values())), *(["unique", "frac"] if shares else [])],
        max_cells_in_memory=CELLS_HELD,
        output="pandas",
    )
    out: dict[str, Any] = {}
    for i, name in enumerate(ops):
        column = next(c for c in cells if c == f"x{i}" or c.startswith(f"x{i}_"))
        out[name] = np.full(len(shapes), np.nan)
        out[name][there] = pd.to_numeric(cells[column], errors="coerce")
    if shares:
        count = cells["unique"].map(len).to_numpy()
        owner = np.repeat(there, count)
        value = np.concatenate([np.empty(0), *cells["unique"]])
        part = np.concatenate([np.empty(0), *cells["frac"]])
        known = ~np.isnan(value)
        out["shares"] = {
            f"share_{code:g}_pct": np.bincount(
                owner[known & (value == code)], 100.0 * part[known & (value == code)], len(shapes)
            )
            for code in np.unique(value[known])
        }
    return out

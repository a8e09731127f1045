"""Steepness, facing, contours and the way over the ground, from a raster of heights.

By outline       slopes, facing
Lines and areas  contours, steep
Over the ground  profiles

Slope is that over about three cells. Cells finer than the default (``slope_cell_ft``) are averaged first: on a
yard-wide grid every stump mound is a cliff.
"""

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.land import relief
from woodlot.land.ground import Layer, layer, to_cells, zonal
from woodlot.land.parcels import acres_geodesic, local_ft, made_whole, on_map
from woodlot.region import Region
from woodlot.units import M_PER_FT

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["contours", "default", "facing", "profiles", "slopes", "steep"]

POINTS = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")


def default(name: str, region: Region) -> float:
    """One value of defaults_ground.csv."""
    rows = region.table("defaults_ground")
    return float(rows.loc[rows["name"] == name, "value"].iloc[0])


def facing(aspect_deg: Any) -> Any:
    """The compass point a slope faces, in words; "" where it is level."""
    turned = np.atleast_1d(np.asarray(aspect_deg, dtype=float))
    point = np.nan_to_num(np.round(turned / 45.0)).astype(int) % 8
    words = np.where(np.isnan(turned), "", np.array(POINTS)[point])
    return str(words[0]) if np.ndim(aspect_deg) == 0 else words


def _coarser(sheet: Layer, cell_ft: float) -> Layer:
    """The layer with cells averaged until they are about ``cell_ft`` wide; a cell needs half of its parts."""
    side = np.sqrt(abs(np.linalg.det(relief.across(sheet.transform, sheet.crs, sheet.rows / 2, sheet.columns / 2))))
    times = round(cell_ft * M_PER_FT / float(side))
    own = sheet.transform
    if times <= 1:
        return sheet

    def read(top: int, bottom: int, left: int, right: int) -> np.ndarray:
        ends = min(bottom * times, sheet.rows), min(right * times, sheet.columns)
        fine = sheet.read(top * times, ends[0], left * times, ends[1])
        short = (bottom - top) * times - fine.shape[0], (right - left) * times - fine.shape[1]
        fine = np.pad(fine, ((0, short[0]), (0, short[1])), constant_values=np.nan)
        blocks = fine.reshape(bottom - top, times, right - left, times)
        known = ~np.isnan(blocks)
        count = known.sum(axis=(1, 3))
        total = np.where(known, blocks, 0.0).sum(axis=(1, 3), dtype=float)
        return np.where(count * 2 >= times * times, total / np.maximum(count, 1), np.nan)

    return replace(
        sheet,
        rows=-(-sheet.rows // times),
        columns=-(-sheet.columns // times),
        transform=type(own)(own.a * times, own.b * times, own.c, own.d * times, own.e * times, own.f),
        read=read,
        block=(max(sheet.block[0] // times, 1), max(sheet.block[1] // times, 1)),
    )


def _gradients(sheet: Layer) -> Callable[[int, int, int, int], tuple[np.ndarray, np.ndarray]]:
    """Reads a window's gradient to the east and north; the last window is kept, since several figures ask for it."""
    kept: dict[tuple[int, int, int, int], tuple[np.ndarray, np.ndarray]] = {}

    def read(top: int, bottom: int, left: int, right: int) -> tuple[np.ndarray, np.ndarray]:
        window = (top, bottom, left, right)
        if window not in kept:
            kept.clear()
            kept[window] = relief.gradient(_with_rim(sheet, window), _corners(sheet, window))
        return kept[window]

    return read


def _with_rim(sheet: Layer, window: tuple[int, int, int, int]) -> np.ndarray:
    """Heights [m] of a window and of one cell around it; NaN beyond the raster."""
    top, bottom, left, right = window
    inner = max(top - 1, 0), min(bottom + 1, sheet.rows), max(left - 1, 0), min(right + 1, sheet.columns)
    z = sheet.read(*inner).astype(float) * (sheet.feet * M_PER_FT)
    rim = ((inner[0] - top + 1, bottom + 1 - inner[1]), (inner[2] - left + 1, right + 1 - inner[3]))
    return np.pad(z, rim, constant_values=np.nan)


def _corners(sheet: Layer, window: tuple[int, int, int, int]) -> np.ndarray:
    top, bottom, left, right = window
    rows, columns = np.meshgrid([top + 0.5, bottom - 0.5], [left + 0.5, right - 0.5], indexing="ij")
    return relief.across(sheet.transform, sheet.crs, rows, columns)


def slopes(
    polygons: Any, raster: str | Path, unit: str | None = None, cell_ft: float | None = None, *, region: Region
) -> pd.DataFrame:
    """Slope and facing of the ground under each outline.

    Parameters
    ----------
    polygons
        Polygons with a reference system.
    raster
        Heights, in the unit that the file names; where it names none metres are taken.
    unit
        Unit of the heights, against what the file says ("metre", "foot", "US survey foot").
    cell_ft
        Finer cells are averaged to this size [ft]; None: the default.
    region
        Region whose defaults and slope classes are taken.

    Returns
    -------
    Frame with slope_pct (mean), slope_p90_pct (a tenth is steeper), slope_deg, aspect_deg (the way the ground falls on
    the whole, from true north; NaN where it is level), facing, covered_pct.
    """
    with layer(raster, unit=unit) as fine:
        sheet = _coarser(fine, default("slope_cell_ft", region) if cell_ft is None else cell_ft)
        both = _gradients(sheet)
        steepness = replace(sheet, read=lambda *window: relief.slope_pct(*both(*window)))
        figures = zonal(polygons, steepness, ("mean", "p90"))
        east = zonal(polygons, replace(sheet, read=lambda *window: both(*window)[0]))["mean"]
        north = zonal(polygons, replace(sheet, read=lambda *window: both(*window)[1]))["mean"]
    level = np.hypot(east, north) * 100.0 < default("level_pct", region)
    aspect = np.where(level | east.isna(), np.nan, relief.aspect_deg(east, north))
    out = pd.DataFrame({"slope_pct": figures["mean"], "slope_p90_pct": figures["p90"]}, index=polygons.index)
    out["slope_deg"] = np.degrees(np.arctan(out["slope_pct"] / 100.0))
    out["aspect_deg"], out["facing"] = aspect, facing(aspect)
    return out.assign(covered_pct=figures["covered_pct"])


def _windows(polygons: Any, sheet: Layer, rim: int) -> list[tuple[int, int, int, int] | None]:
    import shapely

    box = shapely.bounds(to_cells(polygons, sheet))
    first = np.maximum(np.nan_to_num(np.floor(box[:, :2])).astype(int) - rim, 0)
    last = np.minimum(np.nan_to_num(np.ceil(box[:, 2:])).astype(int) + rim, [sheet.columns, sheet.rows])
    return [
        (top, bottom, left, right) if bottom - top > 1 and right - left > 1 else None
        for (left, top), (right, bottom) in zip(first.tolist(), last.tolist(), strict=True)
    ]


def _generator(sheet: Layer, window: tuple[int, int, int, int], z: np.ndarray, **more: Any) -> Any:
    from contourpy import contour_generator

    top, bottom, left, right = window
    masked = np.ma.masked_invalid(z)
    return contour_generator(np.arange(left, right) + 0.5, np.arange(top, bottom) + 0.5, masked, **more)


def _on_ground(shapes: Any, sheet: Layer, outlines: Any) -> "gpd.GeoSeries":
    """Shapes in columns and rows -> longitude and latitude, cut to their outlines."""
    import geopandas as gpd
    import shapely

    placed = shapely.transform(shapes, lambda xy: np.stack(relief.carried(sheet.transform, xy[:, 0], xy[:, 1]), axis=1))
    placed = made_whole(placed, shapely.is_valid(shapes))
    frame = on_map(gpd.GeoSeries(placed, crs=sheet.crs.to_wkt()), 4326)
    return gpd.GeoSeries(shapely.intersection(frame.to_numpy(), outlines), crs=4326)


def contours(
    parcels: "gpd.GeoDataFrame",
    raster: str | Path,
    interval_ft: float | None = None,
    unit: str | None = None,
    *,
    region: Region,
) -> "gpd.GeoDataFrame":
    """Lines of equal height on each parcel.

    Parameters
    ----------
    parcels
        Frame with parcel_id and outlines in longitude and latitude.
    raster, unit
        Heights, and their unit as for ``slopes``.
    interval_ft
        Height from line to line [ft]; None: 1, 2, 5, 10, 20 ..., so that no parcel has more lines than the default.
    region
        Region whose defaults are taken.

    Returns
    -------
    Frame with parcel_id, level_ft, interval_ft and lines in longitude and latitude, cut at the parcel's line and
    simplified by the default number of feet.
    """
    import geopandas as gpd
    import shapely

    if interval_ft is not None and not interval_ft > 0:
        raise InputError(f"contours need a height between lines above 0 ft, not {interval_ft!r}")
    rows: list[tuple[str, float]] = []
    lines, outlines = [], []
    with layer(raster, unit=unit) as fine:
        sheet = _coarser(fine, default("contour_cell_ft", region))
        parts = [
            (pid, shape, window, sheet.read(*window) * sheet.feet)
            for pid, shape, window in zip(
                parcels["parcel_id"].astype(str), parcels.geometry, _windows(parcels, sheet, 2), strict=True
            )
            if window is not None
        ]
        heights = [z[~np.isnan(z)] for *_, z in parts]
        steps = interval_ft or _interval(max((np.ptp(z) for z in heights if z.size), default=0.0), region)
        for (pid, shape, window, z), known in zip(parts, heights, strict=True):
            if not known.size:
                continue
            maker = _generator(sheet, window, z)
            for level in np.arange(np.ceil(known.min() / steps), np.floor(known.max() / steps) + 1) * steps:
                pieces = [shapely.LineString(line) for line in maker.lines(level) if len(line) > 1]
                rows += [(pid, float(level))] * len(pieces)
                lines += pieces
                outlines += [shape] * len(pieces)
        drawn = _on_ground(np.array(lines, dtype=object), sheet, np.array(outlines, dtype=object))
    out = gpd.GeoDataFrame(rows, columns=["parcel_id", "level_ft"], geometry=drawn, crs=4326).assign(interval_ft=steps)
    out = out[~out.geometry.is_empty]
    if len(out):
        thin = local_ft(out.geometry, centre=parcels).simplify(default("contour_simplify_ft", region))
        out = out.set_geometry(thin.to_crs(4326))
    return out.reset_index(drop=True)


def _interval(relief_ft: float, region: Region) -> float:
    """The smallest of 1, 2, 5, 10, 20, 50 ... that keeps to the most lines wanted."""
    least = max(relief_ft / default("contour_lines", region), 1e-9)
    power = 10.0 ** np.floor(np.log10(least))
    return max(float(next(power * m for m in (1, 2, 5, 10) if power * m >= least)), 1.0)


def steep(
    parcels: "gpd.GeoDataFrame",
    raster: str | Path,
    over_pct: float | None = None,
    unit: str | None = None,
    *,
    region: Region,
) -> "gpd.GeoDataFrame":
    """Ground steeper than a limit on each parcel: parcel_id, over_pct, acres, polygons in longitude and latitude.

    ``over_pct`` None: the slope above which wood is not skidded over the ground (defaults_ground.csv).
    """
    import geopandas as gpd
    import shapely
    from contourpy import FillType

    limit = default("steep_pct", region) if over_pct is None else over_pct
    ids, areas, outlines = [], [], []
    with layer(raster, unit=unit) as fine:
        sheet = _coarser(fine, default("slope_cell_ft", region))
        both = _gradients(sheet)
        for pid, shape, window in zip(
            parcels["parcel_id"].astype(str), parcels.geometry, _windows(parcels, sheet, 2), strict=True
        ):
            if window is None:
                continue
            slope = relief.slope_pct(*both(*window))
            if not np.nanmax(slope, initial=0.0) > limit:
                continue
            maker = _generator(sheet, window, slope, fill_type=FillType.OuterOffset)
            points, starts = maker.filled(limit, np.inf)
            rings = [[xy[a:b] for a, b in pairwise(start)] for xy, start in zip(points, starts, strict=True)]
            ids.append(pid)
            areas.append(shapely.union_all([shapely.make_valid(shapely.Polygon(r[0], r[1:])) for r in rings]))
            outlines.append(shape)
        placed = _on_ground(np.array(areas, dtype=object), sheet, np.array(outlines, dtype=object))
    out = gpd.GeoDataFrame({"parcel_id": ids, "over_pct": limit}, geometry=placed, crs=4326)
    out = out[~out.geometry.is_empty].reset_index(drop=True)
    return out.assign(acres=acres_geodesic(out.geometry) if len(out) else [])


def profiles(lines: "gpd.GeoSeries", raster: str | Path, unit: str | None = None, *, region: Region) -> pd.DataFrame:
    """Straight lines followed over the ground.

    Parameters
    ----------
    lines
        Lines in longitude and latitude.
    raster, unit
        Heights, and their unit as for ``slopes``.
    region
        Region whose defaults are taken.

    Returns
    -------
    Frame with the index of ``lines``: straight_ft (on the map), surface_ft (over the ground), climb_ft and drop_ft on
    the way from its first point, steepest_pct (over a step of the default length). All but straight_ft are NaN where
    the raster does not know every point of the line.
    """
    import shapely

    flat = local_ft(lines)
    length = flat.length.to_numpy()
    step = default("profile_step_ft", region)
    parts = np.maximum(np.ceil(length / step), 1).astype(int)
    owner = np.repeat(np.arange(len(flat)), parts + 1)
    at = np.arange(len(owner)) - np.repeat(np.cumsum(parts + 1) - (parts + 1), parts + 1)
    points = shapely.line_interpolate_point(flat.to_numpy()[owner], at * (length / parts)[owner])
    ground = flat.__class__(points, crs=flat.crs).to_crs(4326)
    with layer(raster, unit=unit) as fine:
        heights = _heights_at(ground, owner, _coarser(fine, default("contour_cell_ft", region)))
    rise, run = np.diff(heights), (length / parts)[owner[1:]]
    same = owner[1:] == owner[:-1]
    rise, run, of = rise[same], run[same], owner[1:][same]
    out = pd.DataFrame({"straight_ft": length}, index=lines.index)
    for name, amount in (
        ("surface_ft", np.hypot(rise, run)),
        ("climb_ft", np.maximum(rise, 0.0)),
        ("drop_ft", np.maximum(-rise, 0.0)),
    ):
        out[name] = np.bincount(of, amount, len(flat))
    pct = 100.0 * np.abs(rise) / np.where(run > 0, run, np.nan)
    out["steepest_pct"] = pd.Series(pct).groupby(of).max().reindex(range(len(flat))).to_numpy()
    return out


def _heights_at(points: "gpd.GeoSeries", owner: np.ndarray, sheet: Layer) -> np.ndarray:
    """Heights [ft] at points, between the four cells around each; one window is read for each owner."""
    import shapely

    xy = shapely.get_coordinates(points.to_crs(sheet.crs.to_wkt()).to_numpy())
    column, row = relief.carried(~sheet.transform, xy[:, 0], xy[:, 1])
    out = np.full(len(xy), np.nan)
    for k in np.unique(owner):
        mine = owner == k
        c, r = column[mine] - 0.5, row[mine] - 0.5
        left, top = max(int(np.floor(c.min())), 0), max(int(np.floor(r.min())), 0)
        right, bottom = min(int(np.floor(c.max())) + 2, sheet.columns), min(int(np.floor(r.max())) + 2, sheet.rows)
        if right - left < 2 or bottom - top < 2:
            continue
        z = np.asarray(sheet.read(top, bottom, left, right), dtype=float) * sheet.feet
        i = np.clip(np.floor(r).astype(int) - top, 0, len(z) - 2)
        j = np.clip(np.floor(c).astype(int) - left, 0, z.shape[1] - 2)
        down, over = r - top - i, c - left - j
        near = z[i, j] * (1 - over) + z[i, j + 1] * over
        far = z[i + 1, j] * (1 - over) + z[i + 1, j + 1] * over
        inside = (down >= -0.5) & (down <= 1.5) & (over >= -0.5) & (over <= 1.5)
        out[mine] = np.where(inside, near * (1 - down) + far * down, np.nan)
    return out

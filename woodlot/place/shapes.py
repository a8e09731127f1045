"""Shapes of a map file -> longitude and latitude (EPSG:4326), checked; their attributes -> cells.

Nothing is repaired silently: an outline that crosses itself, a missing coordinate system or swapped longitude and
latitude is a fault that says where.
"""

import tempfile
import warnings
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
import shapely

from woodlot.errors import Fault
from woodlot.land.parcels import on_map
from woodlot.place.mapfiles import geojson_rows, read_geojson, read_other
from woodlot.place.remedies import short
from woodlot.place.tabular import Cells, cell_text

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["SUFFIXES", "place_words", "read_attributes", "read_shapes"]

GEOJSON = (".geojson", ".json")
SUFFIXES = (*GEOJSON, ".gpkg", ".zip", ".kml", ".shp")
#: West, south, east, north of the ground this package knows species and rules for; only used to notice slips.
_AMERICA = (-170.0, 24.0, -52.0, 72.0)
_KML_OWN = {
    "id",
    "description",
    "timestamp",
    "begin",
    "end",
    "altitudemode",
    "tessellate",
    "extrude",
    "visibility",
    "draworder",
    "icon",
    "snippet",
}
_DRAW_AGAIN = "Draw it again in your mapping program, or take the row out."


def read_shapes(
    path: Path, table: str, outlines: bool, faults: list[Fault], notes: list[str]
) -> "tuple[gpd.GeoSeries | None, Cells | None]":
    """Shapes and attribute cells of a map file, None where they cannot be read; outlines: only polygons will do."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        if path.suffix.lower() in GEOJSON:
            frame = read_geojson(path, faults)
        else:
            with tempfile.TemporaryDirectory() as scratch:
                frame = read_other(path, table, Path(scratch), faults, notes)
    if frame is None:
        return None, None
    if frame.empty:
        faults.append(Fault(path.name, None, "", "no shapes", f"Draw your {table} in it, or take the file away."))
        return None, None
    rows = np.arange(len(frame)) + 2
    cells = _attributes(path, frame.drop(columns=frame.geometry.name), rows)
    if frame.crs is None:
        remedy = "The file does not say how its coordinates are meant. Export it again "
        remedy += (
            "with its .prj file." if path.suffix.lower() in (".zip", ".shp") else "in longitude and latitude (WGS 84)."
        )
        faults.append(Fault(path.name, None, "", "no coordinate system", remedy))
        return None, cells
    return _to_degrees(path.name, frame.geometry, rows, outlines, faults, notes), cells


def read_attributes(path: Path, table: str, outlines: bool, faults: list[Fault], notes: list[str]) -> Cells | None:
    """The cells of ``read_shapes`` alone; of a GeoJSON no shape is made for them."""
    if path.suffix.lower() not in GEOJSON:
        return read_shapes(path, table, outlines, faults, notes)[1]
    found = geojson_rows(path, faults)
    return None if found is None else _attributes(path, found[2], np.arange(len(found[1])) + 2)


def _attributes(path: Path, frame: pd.DataFrame, rows: np.ndarray) -> Cells:
    kml = path.suffix.lower() == ".kml"
    keep = [column for column in frame.columns if not (kml and str(column).lower() in _KML_OWN)]
    text = pd.DataFrame({i: [cell_text(v) for v in frame[column]] for i, column in enumerate(keep)}, dtype=object)
    if kml:
        titles = {"parcels": ["parcel_id", "name"], "stands": ["stand_id"], "features": ["name"]}[path.stem.lower()]
        free = [title for title in titles if title not in keep]
        keep = [free[0] if name == "Name" and free else str(name) for name in keep]
        if "Name" in keep:
            text, keep = text.drop(columns=keep.index("Name")), [name for name in keep if name != "Name"]
    text.columns = pd.Index([str(column) for column in keep])
    text.index = pd.RangeIndex(len(rows))
    return Cells(path.name, text, rows, cut=10 if path.suffix.lower() in (".zip", ".shp") else 0)


def place_words(lon: Any, lat: Any) -> list[str]:
    """For each point, "" when it lies in North America, otherwise what is wrong; "far: ..." is only a caution."""
    lon, lat = np.asarray(lon, dtype=float), np.asarray(lat, dtype=float)
    west, south, east, north = _AMERICA

    def within(x: Any, y: Any) -> Any:
        return (x >= west) & (x <= east) & (y >= south) & (y <= north)

    finite = np.isfinite(lon) & np.isfinite(lat)
    cases = [
        within(lon, lat),
        within(lat, lon),
        within(-lon, lat),
        ~finite | (np.abs(lon) > 180) | (np.abs(lat) > 90),
    ]
    words = [
        "",
        "Longitude and latitude are swapped. Longitude comes first and is negative here.",
        "The minus sign of the longitude is missing.",
        "These are not degrees. Export the file again in longitude and latitude (WGS 84).",
    ]
    return [str(word) for word in np.select(cases, words, "far: lies outside North America; is that right?")]


def _to_degrees(
    file: str, shapes: "gpd.GeoSeries", rows: np.ndarray, outlines: bool, faults: list[Fault], notes: list[str]
) -> "gpd.GeoSeries | None":
    """Shapes in degrees, flat and checked, None in place of a faulty one; None when they cannot be turned at all."""
    import geopandas as gpd

    flat = None
    try:
        flat = on_map(gpd.GeoSeries(shapely.force_2d(shapes.to_numpy()), crs=shapes.crs), "EPSG:4326")
    except Exception as error:  # pyproj and GEOS fail in their own ways on nonsense
        remedy = "The coordinates cannot be turned into longitude and latitude. Export the file in WGS 84."
        faults.append(Fault(file, None, "", short(str(error), 100), remedy))
    there = shapes if flat is None else flat
    drawn = ~(there.isna() | there.is_empty).to_numpy()
    for at in np.flatnonzero(~drawn):
        remedy = "It has no shape, or one whose corners cannot be read. " + _DRAW_AGAIN
        faults.append(Fault(file, int(rows[at]), "geometry", "empty", remedy))
    if flat is None:
        return None
    good = drawn.copy()
    good &= _check_place(file, flat, rows, drawn, faults, notes)
    good &= _check_kind(file, flat, rows, good, outlines, faults)
    invalid = good & ~flat.is_valid.to_numpy()
    for at in np.flatnonzero(invalid):
        faults.append(Fault(file, int(rows[at]), "geometry", *_invalid_words(flat.iloc[at])))
    return flat.where(good & ~invalid, None).reset_index(drop=True)


def _check_place(
    file: str, flat: "gpd.GeoSeries", rows: np.ndarray, drawn: np.ndarray, faults: list[Fault], notes: list[str]
) -> np.ndarray:
    bounds = shapely.bounds(flat.to_numpy())
    middle = (bounds[:, :2] + bounds[:, 2:]) / 2.0
    words = place_words(middle[:, 0], middle[:, 1])
    bad = np.zeros(len(flat), dtype=bool)
    far = []
    for at in np.flatnonzero(drawn):
        if words[at].startswith("far: "):
            far.append(f"{middle[at, 0]:.2f}, {middle[at, 1]:.2f}")
        elif words[at]:
            bad[at] = True
            found = f"{middle[at, 0]:.5g}, {middle[at, 1]:.5g}"
            faults.append(Fault(file, int(rows[at]), "geometry", found, words[at]))
    if far:
        notes.append(f"{file}: {len(far)} shapes lie outside North America, at {far[0]}. Is that right?")
    return ~bad


def _check_kind(
    file: str, flat: "gpd.GeoSeries", rows: np.ndarray, good: np.ndarray, outlines: bool, faults: list[Fault]
) -> np.ndarray:
    if not outlines:
        return np.ones(len(flat), dtype=bool)
    kinds = flat.geom_type.to_numpy()
    wrong = good & ~np.isin(kinds, ["Polygon", "MultiPolygon"])
    for at in np.flatnonzero(wrong):
        what = {"LineString": "a line", "Point": "a point"}.get(str(kinds[at]), str(kinds[at]))
        faults.append(Fault(file, int(rows[at]), "geometry", what, "An outline (polygon) is wanted. " + _DRAW_AGAIN))
    return ~wrong


def _invalid_words(shape: Any) -> tuple[str, str]:
    reason = shapely.is_valid_reason(shape)
    kind, _, at = reason.partition("[")
    where = ""
    numbers = at.rstrip("]").split()
    if len(numbers) >= 2:
        where = f" at {float(numbers[0]):.5f}, {float(numbers[1]):.5f} (longitude, latitude)"
    if "too few points" in kind.lower():
        return "fewer than three corners", _DRAW_AGAIN
    if "intersection" in kind.lower():
        return "the outline crosses itself", f"It does so{where}. Move the corner there, or draw it again."
    return kind.strip().lower(), f"Mend the outline{where}."

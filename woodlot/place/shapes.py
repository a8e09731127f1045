"""Shapes of a map file -> longitude and latitude (EPSG:4326), checked; their attributes -> cells.

Nothing is repaired silently: an outline that crosses itself, a missing coordinate system or swapped longitude and
latitude is a fault that says where.
"""

import warnings
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
import shapely

from woodlot.errors import Fault
from woodlot.land.parcels import SOUTH_END, on_map
from woodlot.place.bringing.called import plain_text, with_covers, with_legal
from woodlot.place.checked import Sheet
from woodlot.place.cover_words import Meant
from woodlot.place.mapfiles import KML_OWN, geojson_rows, no_shapes, read_geojson, read_other
from woodlot.place.remedies import short, unusable
from woodlot.place.tabular import Cells, cell_text
from woodlot.place.tangles import heaped
from woodlot.place.with_care import scratch

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["GEOJSON", "SUFFIXES", "checked_shapes", "place_words", "read_attributes", "read_shapes"]

GEOJSON = (".geojson", ".json")
SUFFIXES = (*GEOJSON, ".gpkg", ".zip", ".kml", ".shp")
_SHAPEFILE = (".zip", ".shp")
#: West, south, east, north of the ground this package knows species and rules for; only used to notice slips.
_AMERICA = (-170.0, 24.0, -52.0, 72.0)
_NONE: Mapping[str, Meant] = MappingProxyType({})
_DRAW_AGAIN = "Draw it again in your mapping program, or take the row out."


def read_shapes(
    path: Path, table: str, outlines: bool, faults: list[Fault], notes: list[str], covers: Mapping[str, Meant] = _NONE
) -> "tuple[gpd.GeoSeries | None, Cells]":
    """Shapes (None where they cannot be turned) and attribute cells of a map file; outlines: only polygons will do.
    covers: words for covers that may stand in the names of a KML.

    Raises PlaceError when the file cannot be read.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        if path.suffix.lower() in GEOJSON:
            frame = read_geojson(path)
        else:
            with scratch() as folder:
                frame = read_other(path, table, folder, notes)
    if frame.empty:
        raise no_shapes(path, table)
    if outlines and (heap := heaped(frame.geometry.to_numpy())):
        raise unusable(path.name, heap, f"Leave the {table} of your own woods in it, each drawn once.")
    cells = _attributes(path, pd.DataFrame(frame.drop(columns=frame.geometry.name)), covers)
    if frame.crs is None:
        way = "with its .prj file" if path.suffix.lower() in _SHAPEFILE else "in longitude and latitude (WGS 84)"
        remedy = f"The file does not say how its coordinates are meant. Export it again {way}."
        faults.append(Fault(path.name, None, "", "no coordinate system", remedy))
        return None, cells
    return checked_shapes(Sheet(table, path.name, frame, cells.rows), frame.geometry, outlines, faults, notes), cells


def read_attributes(
    path: Path, table: str, outlines: bool, faults: list[Fault], notes: list[str], covers: Mapping[str, Meant] = _NONE
) -> Cells:
    """The cells of ``read_shapes`` alone; of a GeoJSON no shape is made for them."""
    if path.suffix.lower() not in GEOJSON:
        return read_shapes(path, table, outlines, faults, notes, covers)[1]
    return _attributes(path, geojson_rows(path)[2], _NONE)


def _attributes(path: Path, frame: pd.DataFrame, covers: Mapping[str, Meant]) -> Cells:
    kml = path.suffix.lower() == ".kml"
    keep = [column for column in frame.columns if not (kml and str(column).lower() in KML_OWN)]
    cells = {str(column): [cell_text(v) for v in frame[column]] for column in keep}
    text = pd.DataFrame(cells, columns=pd.Index([str(column) for column in keep]), dtype=object)
    text.index = pd.RangeIndex(len(frame))
    if kml:
        text = _named(text, path.stem.lower(), covers)
    return Cells(path.name, text, np.arange(len(frame)) + 2, cut=10 if path.suffix.lower() in _SHAPEFILE else 0)


def _named(text: pd.DataFrame, table: str, covers: Mapping[str, Meant]) -> pd.DataFrame:
    """Attributes of a KML: its names as ids and names, and what names and descriptions say of land and cover."""
    blank = [""] * len(text)
    called = list(text["Name"]) if "Name" in text else blank
    words = [plain_text(one) for one in text["description"]] if "description" in text else blank
    text = text.drop(columns=[one for one in ("Name", "description") if one in text])
    titles = {"parcels": ["parcel_id", "name"], "stands": ["stand_id"], "features": ["name"]}[table]
    if called != blank:
        text = text.assign(**{title: called for title in titles if title not in text})
    if table == "parcels":
        text = with_legal(text, called, words)
    elif table == "stands":
        text = with_covers(text, called, words, covers)
    said = ("legal", "deed_acres", "cover", "name")
    return text.loc[:, [one for one in text if one not in said or text[one].ne("").any()]]


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
        lat < SOUTH_END,
    ]
    words = [
        "",
        "Longitude and latitude are swapped. Longitude comes first and is negative here.",
        "The minus sign of the longitude is missing.",
        "These are not degrees. Export the file again in longitude and latitude (WGS 84).",
        "No woods grow so far south. Longitude comes first and is negative here, then latitude.",
    ]
    return [str(word) for word in np.select(cases, words, "far: lies outside North America; is that right?")]


def checked_shapes(
    sheet: Sheet, shapes: "gpd.GeoSeries", outlines: bool, faults: list[Fault], notes: list[str]
) -> "gpd.GeoSeries | None":
    """Shapes in degrees, flat and checked, None in place of a faulty one; None when they cannot be turned at all."""
    import geopandas as gpd

    flat = None
    try:
        flat = on_map(gpd.GeoSeries(shapely.force_2d(shapes.to_numpy()), crs=shapes.crs), "EPSG:4326")
    except Exception as error:  # pyproj and GEOS fail in their own ways on nonsense
        remedy = "The coordinates cannot be turned into longitude and latitude. Export the file in WGS 84."
        faults.append(Fault(sheet.file, None, "", short(str(error), 100), remedy))
    there = shapes if flat is None else flat
    drawn = ~(there.isna() | there.is_empty).to_numpy()
    remedy = "It has no shape, or one whose corners cannot be read. " + _DRAW_AGAIN
    faults += sheet.faults(~drawn, "geometry", remedy, "empty")
    if flat is None:
        return None
    good = drawn & ~_misplaced(sheet, flat, drawn, faults, notes)
    kinds = flat.geom_type.to_numpy()
    wrong = good & (~np.isin(kinds, ["Polygon", "MultiPolygon"]) if outlines else kinds == "GeometryCollection")
    names = {"LineString": "a line", "Point": "a point", "GeometryCollection": "several kinds of shapes in one"}
    remedy = "An outline (polygon) is wanted. " if outlines else "A point, a line or an outline is wanted. "
    faults += sheet.faults(
        wrong, "geometry", remedy + _DRAW_AGAIN, lambda at: names.get(str(kinds[at]), str(kinds[at]))
    )
    good &= ~wrong
    invalid = good & ~flat.is_valid.to_numpy()
    words = {int(at): _invalid_words(flat.iloc[at]) for at in np.flatnonzero(invalid)}
    faults += sheet.faults(invalid, "geometry", lambda at: words[at][1], lambda at: words[at][0])
    return flat.where(good & ~invalid, None).reset_index(drop=True)


def _misplaced(
    sheet: Sheet, flat: "gpd.GeoSeries", drawn: np.ndarray, faults: list[Fault], notes: list[str]
) -> np.ndarray:
    """Shapes that lie where no ground of theirs can be; those far from home are only remarked on."""
    bounds = shapely.bounds(flat.to_numpy())
    middle = bounds[:, :2] / 2.0 + bounds[:, 2:] / 2.0  # halved first: the largest numbers have no sum
    words = np.array(place_words(middle[:, 0], middle[:, 1]), dtype=object)
    away = drawn & np.array([word.startswith("far: ") for word in words], dtype=bool)
    bad = drawn & ~away & (words != "")
    faults += sheet.faults(
        bad, "geometry", lambda at: words[at], lambda at: f"{middle[at, 0]:.5g}, {middle[at, 1]:.5g}"
    )
    if away.any():
        where = "{:.2f}, {:.2f}".format(*middle[away][0])
        notes.append(f"{sheet.file}: {int(away.sum())} shapes lie outside North America, at {where}. Is that right?")
    return bad


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

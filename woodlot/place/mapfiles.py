"""Map files -> shapes and attributes as they stand in the file: GeoJSON, GeoPackage, zipped Shapefile, KML.

A GeoJSON without a word on its coordinates is WGS 84 by its standard (RFC 7946). A GeoPackage is read from a copy,
since opening one can roll back a half-written change or leave files beside it. What a ZIP holds is unpacked here and
never by the drivers, and an XML is looked through before they see it.
"""

import json
import shutil
from collections.abc import Callable
from glob import escape as glob_escape
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
import shapely

from woodlot.errors import PlaceError
from woodlot.place.remedies import short, unusable
from woodlot.place.with_care import (
    check_geopackage,
    check_regular,
    check_xml,
    data_of,
    is_deep,
    start_of,
    unpacked,
)
from woodlot.trade import closest

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = [
    "KML_OWN",
    "copy_geopackage",
    "geojson_rows",
    "no_shapes",
    "read_geojson",
    "read_layers",
    "read_other",
]

#: What a mapping program keeps of its own beside each shape of a KML.
KML_OWN = {"id", "timestamp", "begin", "end", "altitudemode", "tessellate", "extrude", "visibility", "draworder"}
KML_OWN |= {"icon", "snippet"}
_EXPORT_OR_AWAY = "Export it again, or take the file away."
_OF_A_SHAPEFILE = (".shp", ".shx", ".dbf", ".prj", ".cpg")
#: What a Shapefile begins with, and the first element of an XML of maps.
_SHP = b"\x00\x00\x27\x0a"
_ROOTS = {".kml": ("kml", "Document", "Folder", "Placemark"), ".gpx": ("gpx",)}
_NO_END = "brackets within brackets without end"
#: More than any family's map holds: twice the outlines of a county's tax map; corners, of one outline and of all.
MOST_SHAPES, MOST_COLUMNS, MOST_CORNERS_OF_ONE, MOST_CORNERS = 100_000, 500, 200_000, 5_000_000


def geojson_rows(path: Path) -> tuple[dict[str, Any], list[dict[str, Any]], pd.DataFrame]:
    """All that a GeoJSON holds, its features, and their attributes. PlaceError when it cannot be read."""
    data, again = data_of(path), "Export it again as GeoJSON."
    if not data.strip():
        raise unusable(path.name, "empty", _EXPORT_OR_AWAY)
    try:
        whole = json.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise unusable(path.name, "not UTF-8 text", "Export it again as GeoJSON in UTF-8.") from None
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, character {error.colno}"
        remedy = f"The file breaks off or is damaged there. {again}"
        raise unusable(path.name, error.msg, remedy, where) from None
    except RecursionError:
        raise unusable(path.name, _NO_END, again) from None
    except ValueError:  # a number of thousands of digits
        raise unusable(path.name, "a number without end", again) from None
    kind = whole.get("type") if isinstance(whole, dict) else None
    features = whole.get("features") if kind == "FeatureCollection" else [whole] if kind == "Feature" else None
    if not isinstance(features, list) or not all(isinstance(one, dict) for one in features):
        raise unusable(path.name, "not a GeoJSON of features", again)
    properties = [one.get("properties") for one in features]
    if is_deep(properties):
        raise unusable(path.name, _NO_END, again)
    names = {name for one in properties if isinstance(one, dict) for name in one}
    _check_amount(path.name, len(features), len(names))
    frame = pd.DataFrame([one if isinstance(one, dict) else {} for one in properties], dtype=object)
    return whole, features, frame.drop(columns=[c for c in frame if c == "geometry"]).reset_index(drop=True)


def read_geojson(path: Path) -> "gpd.GeoDataFrame":
    """Features of a GeoJSON. PlaceError when it cannot be read."""
    import geopandas as gpd

    whole, features, frame = geojson_rows(path)
    shapes = [_geojson_shape(one.get("geometry")) for one in features]
    _check_drawn(path.name, shapes)
    return gpd.GeoDataFrame(frame, geometry=gpd.GeoSeries(shapes), crs=_geojson_crs(whole))


def _check_amount(file: str, shapes: int, names: int) -> None:
    for number, most, thing in ((shapes, MOST_SHAPES, "shapes"), (names, MOST_COLUMNS, "columns")):
        if number > most:
            remedy = "Leave in it what is of your woods, and export it again."
            raise unusable(file, f"more than {most:,} {thing}", remedy)


def _check_drawn(file: str, shapes: Any) -> None:
    """PlaceError for more shapes or corners than a map of woods has."""
    _check_amount(file, len(shapes), 0)
    corners = shapely.get_num_coordinates(np.asarray(shapes, dtype=object))
    for number, most, where in (
        (corners.max(initial=0), MOST_CORNERS_OF_ONE, "in one shape"),
        (corners.sum(), MOST_CORNERS, "in all"),
    ):
        if number > most:
            remedy = "Simplify the lines in your mapping program; a corner every few feet is plenty."
            raise unusable(file, f"{number:,} corners {where}", remedy)


def _geojson_shape(geometry: Any) -> Any:
    """A shape, or None where there is none that could be drawn."""
    if not isinstance(geometry, dict) or not geometry.get("coordinates", geometry.get("geometries")):
        return None
    try:
        return shapely.from_geojson(json.dumps(geometry))
    except (shapely.errors.GEOSException, ValueError, TypeError, RecursionError):
        return None


def _geojson_crs(whole: dict[str, Any]) -> Any:
    if "crs" not in whole:
        return "EPSG:4326"
    properties = whole["crs"].get("properties") if isinstance(whole["crs"], dict) else None
    name = properties.get("name") if isinstance(properties, dict) else None
    if not name:
        return None
    if "CRS84" in str(name).upper():
        return "EPSG:4326"
    from pyproj import CRS
    from pyproj.exceptions import CRSError

    try:
        return CRS.from_user_input(name)
    except CRSError:
        return None


def read_other(path: Path, table: str, scratch: Path, notes: list[str]) -> "gpd.GeoDataFrame":
    """Features of a GeoPackage, Shapefile or KML; scratch is an empty folder to unpack into. PlaceError as above."""
    import geopandas as gpd

    check_regular(path)
    if path.stat().st_size == 0:
        raise unusable(path.name, "empty", _EXPORT_OR_AWAY)
    source = path
    if path.suffix.lower() == ".zip":
        source = _unpack(path, table, scratch)
    elif path.suffix.lower() == ".gpkg":
        source = copy_geopackage(path, scratch, notes)
    parts = list(read_layers(source, path.name, lambda layers: _layers(layers, path, table)).values())
    parts = [part for part in parts if isinstance(part, gpd.GeoDataFrame)]
    if not parts:
        raise no_shapes(path, table)
    crs = parts[0].crs
    if crs is not None and "undefined" in crs.name.lower():
        crs = None
    filled = [part for part in parts if len(part)] or parts[:1]
    joined = filled[0] if len(filled) == 1 else gpd.GeoDataFrame(pd.concat(filled, ignore_index=True))
    return joined.set_crs(crs, allow_override=True) if crs is not None else gpd.GeoDataFrame(joined, crs=None)


def read_layers(source: Path, file: str, chosen: Callable[[dict[str, bool]], list[str]]) -> dict[str, Any]:
    """Layers of a map file, each a frame; file: its name for messages; chosen: of the names there (and whether anything
    can be drawn in them) those to read.

    A file of another kind than its name says is refused: it could lead anywhere.
    """
    import pyogrio

    parts = {}
    _check_kind(source, file)
    try:
        layers = {str(name): kind is not None for name, kind in pyogrio.list_layers(source)}
        for layer in chosen(layers):
            number = pyogrio.read_info(source, layer=layer)
            _check_amount(file, max(number["features"], 0), len(number["fields"]))
            # one more than may be: a table can hold more than it says
            part = pyogrio.read_dataframe(source, layer=layer, on_invalid="ignore", max_features=MOST_SHAPES + 1)
            if "geometry" in part:
                _check_drawn(file, part.geometry)
            parts[layer] = part
    except PlaceError:
        raise
    except Exception as error:  # the drivers fail in their own many ways; to the family it is one
        remedy = "The file is damaged or not what its name says. Export it again."
        raise unusable(file, short(str(error), 120), remedy) from None
    return parts


def _check_kind(source: Path, file: str) -> None:
    """PlaceError for a map that is not of the kind its name says, or beside which something lies that is no file."""
    suffix = source.suffix.lower()
    if suffix in _ROOTS:
        check_xml(source, file, _ROOTS[suffix])
    if suffix == ".shp":
        if start_of(source, 4) != _SHP:
            raise unusable(file, "not a Shapefile", "The file is damaged or not what its name says. Export it again.")
        for beside in source.parent.glob(f"{glob_escape(source.stem)}.*"):
            if beside.suffix.lower() in _OF_A_SHAPEFILE:
                check_regular(beside)


def no_shapes(path: Path, table: str) -> PlaceError:
    """The error of a map file on which nothing is drawn."""
    return unusable(path.name, "no shapes", f"Draw your {table} in it, or take the file away.")


def _layers(there: dict[str, bool], path: Path, table: str) -> list[str]:
    """Layers to read: the one named like the table, else the only one; of a KML all."""
    layers = [layer for layer, drawn in there.items() if drawn]
    named = [layer for layer in layers if layer.lower() == table]
    if named or len(layers) <= 1:
        return named or layers
    if path.suffix.lower() == ".kml":
        return layers
    near = closest(table, layers)
    remedy = f"Call one layer {table}." + (f" Is it {near}?" if near else "")
    raise unusable(path.name, f"{len(layers)} layers: {short(', '.join(layers))}", remedy)


def _unpack(path: Path, table: str, scratch: Path) -> Path:
    """The Shapefile within a ZIP, unpacked; only its own files are taken out, by their bare names."""
    inside = unpacked(path, scratch, lambda inner: inner.suffix.lower() in _OF_A_SHAPEFILE)
    chosen = _shapefile([inner for inner in inside if inner.suffix.lower() == ".shp"], path, table)
    for inner, file in inside.items():
        if inner.parent == chosen.parent and inner.stem.lower() == chosen.stem.lower():
            file.rename(scratch / f"{table}{inner.suffix.lower()}")
    for need in (".shx", ".dbf"):
        if not (scratch / f"{table}{need}").is_file():
            remedy = "A Shapefile is several files: zip .shp, .shx, .dbf and .prj together."
            raise unusable(path.name, f"no {need} within", remedy)
    return scratch / f"{table}.shp"


def _shapefile(inside: list[PurePosixPath], path: Path, table: str) -> PurePosixPath:
    """The Shapefile to read of those in a ZIP: the one named like the table, else the only one."""
    named = [inner for inner in inside if inner.stem.lower() == table] or inside
    if len(named) == 1:
        return named[0]
    what = f"{len(inside)} Shapefiles within" if inside else "no .shp within"
    raise unusable(path.name, what, f"Zip one Shapefile with its .shx, .dbf and .prj: {table}.")


def copy_geopackage(path: Path, scratch: Path, notes: list[str]) -> Path:
    """A sound copy of a GeoPackage: a write that broke off is rolled back in the copy, never in the family's file."""
    copy = scratch / path.name
    shutil.copyfile(path, copy)
    for tail in ("-journal", "-wal"):
        beside = path.with_name(path.name + tail)
        if beside.is_file() and beside.stat().st_size:
            shutil.copyfile(beside, copy.with_name(copy.name + tail))
            if tail == "-journal":
                notes.append(
                    f"{path.name}: a program stopped while it wrote this file ({beside.name} lies beside it). What it "
                    "held before was read. Open and save it in your mapping program; keep the journal till then."
                )
    check_geopackage(copy, path.name)
    return copy

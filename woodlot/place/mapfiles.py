"""Map files -> shapes and attributes as they stand in the file: GeoJSON, GeoPackage, zipped Shapefile, KML.

A GeoJSON without a word on its coordinates is WGS 84 by its standard (RFC 7946). A GeoPackage is read from a copy,
since opening one can roll back a half-written change or leave files beside it.
"""

import json
import shutil
import sqlite3
import zipfile
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any

import pandas as pd
import shapely

from woodlot.errors import PlaceError
from woodlot.place.remedies import no_room, short, unusable
from woodlot.place.tabular import check_zip
from woodlot.trade import closest

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["KML_OWN", "copy_geopackage", "geojson_rows", "no_shapes", "read_geojson", "read_other"]

#: What a mapping program keeps of its own beside each shape of a KML.
KML_OWN = {"id", "timestamp", "begin", "end", "altitudemode", "tessellate", "extrude", "visibility", "draworder"}
KML_OWN |= {"icon", "snippet"}
_EXPORT_OR_AWAY = "Export it again, or take the file away."


def geojson_rows(path: Path) -> tuple[dict[str, Any], list[dict[str, Any]], pd.DataFrame]:
    """All that a GeoJSON holds, its features, and their attributes. PlaceError when it cannot be read."""
    data, again = path.read_bytes(), "Export it again as GeoJSON."
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
        raise unusable(path.name, "brackets within brackets without end", again) from None
    kind = whole.get("type") if isinstance(whole, dict) else None
    features = whole.get("features") if kind == "FeatureCollection" else [whole] if kind == "Feature" else None
    if not isinstance(features, list) or not all(isinstance(one, dict) for one in features):
        raise unusable(path.name, "not a GeoJSON of features", again)
    properties = [one.get("properties") for one in features]
    frame = pd.DataFrame([one if isinstance(one, dict) else {} for one in properties], dtype=object)
    return whole, features, frame.drop(columns=[c for c in frame if c == "geometry"]).reset_index(drop=True)


def read_geojson(path: Path) -> "gpd.GeoDataFrame":
    """Features of a GeoJSON. PlaceError when it cannot be read."""
    import geopandas as gpd

    whole, features, frame = geojson_rows(path)
    shapes = [_geojson_shape(one.get("geometry")) for one in features]
    return gpd.GeoDataFrame(frame, geometry=gpd.GeoSeries(shapes), crs=_geojson_crs(whole))


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
    import pyogrio

    if path.stat().st_size == 0:
        raise unusable(path.name, "empty", _EXPORT_OR_AWAY)
    source = path
    if path.suffix.lower() == ".zip":
        source = _unpack(path, table, scratch)
    elif path.suffix.lower() == ".gpkg":
        source = copy_geopackage(path, scratch, notes)
    try:
        layers = [str(name) for name, kind in pyogrio.list_layers(source) if kind is not None]
        chosen = _layers(layers, path, table)
        parts = [pyogrio.read_dataframe(source, layer=layer, on_invalid="ignore") for layer in chosen]
    except PlaceError:
        raise
    except Exception as error:  # the drivers fail in their own many ways; to the family it is one
        remedy = "The file is damaged or not what its name says. Export it again."
        raise unusable(path.name, short(str(error), 120), remedy) from None
    parts = [part for part in parts if isinstance(part, gpd.GeoDataFrame)]
    if not parts:
        raise no_shapes(path, table)
    crs = parts[0].crs
    if crs is not None and "undefined" in crs.name.lower():
        crs = None
    filled = [part for part in parts if len(part)] or parts[:1]
    joined = filled[0] if len(filled) == 1 else gpd.GeoDataFrame(pd.concat(filled, ignore_index=True))
    return joined.set_crs(crs, allow_override=True) if crs is not None else gpd.GeoDataFrame(joined, crs=None)


def no_shapes(path: Path, table: str) -> PlaceError:
    """The error of a map file on which nothing is drawn."""
    return unusable(path.name, "no shapes", f"Draw your {table} in it, or take the file away.")


def _layers(layers: list[str], path: Path, table: str) -> list[str]:
    """Layers to read: the one named like the table, else the only one; of a KML all."""
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
    check_zip(path)
    try:
        with zipfile.ZipFile(path) as packed:
            files = [one for one in packed.infolist() if not one.is_dir() and "__MACOSX" not in one.filename]
            inside = {PurePosixPath(one.filename.replace("\\", "/")): one for one in files}
            chosen = _shapefile([inner for inner in inside if inner.suffix.lower() == ".shp"], path, table)
            for inner, one in inside.items():
                if inner.parent == chosen.parent and inner.stem.lower() == chosen.stem.lower():
                    (scratch / f"{table}{inner.suffix.lower()}").write_bytes(packed.read(one))
    except PlaceError:
        raise
    except (zipfile.BadZipFile, RuntimeError, OSError, EOFError, ValueError, NotImplementedError) as error:
        if isinstance(error, OSError) and no_room(error):
            raise
        remedy = "The file is damaged or locked. Zip the Shapefile again."
        raise unusable(path.name, short(str(error), 100), remedy) from None
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
    try:
        with sqlite3.connect(copy) as base:
            verdict = base.execute("pragma integrity_check(1)").fetchone()[0]
        base.close()
    except sqlite3.Error as error:
        verdict = str(error)
    if verdict != "ok":
        remedy = "The GeoPackage is damaged. Go back to your last good copy, or export it again."
        raise unusable(path.name, short(verdict, 100), remedy)
    return copy

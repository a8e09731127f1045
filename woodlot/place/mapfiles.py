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

from woodlot.errors import Fault
from woodlot.place.remedies import closest, no_room, short
from woodlot.place.tabular import zip_faults

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["geojson_rows", "read_geojson", "read_other"]


def geojson_rows(path: Path, faults: list[Fault]) -> tuple[dict[str, Any], list[dict[str, Any]], pd.DataFrame] | None:
    """All that a GeoJSON holds, its features, and their attributes; None, with a fault, when it cannot be read."""
    data = path.read_bytes()
    if not data.strip():
        faults.append(Fault(path.name, None, "", "empty", "Export it again, or take the file away."))
        return None
    try:
        told = json.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        faults.append(Fault(path.name, None, "", "not UTF-8 text", "Export it again as GeoJSON in UTF-8."))
        return None
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, character {error.colno}"
        remedy = "The file breaks off or is damaged there. Export it again as GeoJSON."
        faults.append(Fault(path.name, None, where, error.msg, remedy))
        return None
    except RecursionError:
        faults.append(Fault(path.name, None, "", "brackets within brackets without end", "Export it again as GeoJSON."))
        return None
    features = told.get("features") if isinstance(told, dict) and told.get("type") == "FeatureCollection" else None
    if isinstance(told, dict) and told.get("type") == "Feature":
        features = [told]
    if not isinstance(features, list) or not all(isinstance(one, dict) for one in features):
        faults.append(Fault(path.name, None, "", "not a GeoJSON of features", "Export it again as GeoJSON."))
        return None
    properties = [one.get("properties") for one in features]
    frame = pd.DataFrame([one if isinstance(one, dict) else {} for one in properties], dtype=object)
    return told, features, frame.drop(columns=[c for c in frame if c == "geometry"]).reset_index(drop=True)


def read_geojson(path: Path, faults: list[Fault]) -> "gpd.GeoDataFrame | None":
    """Features of a GeoJSON; None, with a fault, when it cannot be read."""
    import geopandas as gpd

    found = geojson_rows(path, faults)
    if found is None:
        return None
    told, features, frame = found
    shapes = [_geojson_shape(one.get("geometry")) for one in features]
    return gpd.GeoDataFrame(frame, geometry=gpd.GeoSeries(shapes), crs=_geojson_crs(told))


def _geojson_shape(told: Any) -> Any:
    """A shape, or None where there is none that could be drawn."""
    if not isinstance(told, dict) or not told.get("coordinates", told.get("geometries")):
        return None
    try:
        return shapely.from_geojson(json.dumps(told))
    except (shapely.errors.GEOSException, ValueError, TypeError, RecursionError):
        return None


def _geojson_crs(told: dict[str, Any]) -> Any:
    if "crs" not in told:
        return "EPSG:4326"
    crs = told["crs"]
    name = (
        crs.get("properties", {}).get("name")
        if isinstance(crs, dict) and isinstance(crs.get("properties"), dict)
        else None
    )
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


def read_other(
    path: Path, table: str, scratch: Path, faults: list[Fault], notes: list[str]
) -> "gpd.GeoDataFrame | None":
    """Features of a GeoPackage, Shapefile or KML; scratch is an empty folder to unpack into. None with a fault."""
    import geopandas as gpd
    import pyogrio

    if path.stat().st_size == 0:
        faults.append(Fault(path.name, None, "", "empty", "Export it again, or take the file away."))
        return None
    source: Path | None = path
    if path.suffix.lower() == ".zip":
        source = _unpack(path, table, scratch, faults)
    elif path.suffix.lower() == ".gpkg":
        source = _copy_geopackage(path, scratch, faults, notes)
    if source is None:
        return None
    try:
        layers = [str(name) for name, kind in pyogrio.list_layers(source) if kind is not None]
        chosen = _layers(layers, path, table, faults)
        parts = [pyogrio.read_dataframe(source, layer=layer, on_invalid="ignore") for layer in chosen]
    except Exception as error:  # the drivers fail in their own many ways; to the family it is one
        remedy = "The file is damaged or not what its name says. Export it again."
        faults.append(Fault(path.name, None, "", short(str(error), 120), remedy))
        return None
    parts = [part for part in parts if isinstance(part, gpd.GeoDataFrame)]
    if not parts:
        if chosen or not layers:
            faults.append(Fault(path.name, None, "", "no shapes", f"Draw your {table} in it, or take the file away."))
        return None
    crs = parts[0].crs
    if crs is not None and "undefined" in crs.name.lower():
        crs = None
    filled = [part for part in parts if len(part)] or parts[:1]
    joined = filled[0] if len(filled) == 1 else gpd.GeoDataFrame(pd.concat(filled, ignore_index=True))
    return joined.set_crs(crs, allow_override=True) if crs is not None else gpd.GeoDataFrame(joined, crs=None)


def _layers(layers: list[str], path: Path, table: str, faults: list[Fault]) -> list[str]:
    """Layers to read: the one named like the table, else the only one; of a KML all."""
    named = [layer for layer in layers if layer.lower() == table]
    if named or len(layers) <= 1:
        return named or layers
    if path.suffix.lower() == ".kml":
        return layers
    near = closest(table, layers)
    remedy = f"Call one layer {table}." + (f" Is it {near}?" if near else "")
    faults.append(Fault(path.name, None, "", f"{len(layers)} layers: {short(', '.join(layers))}", remedy))
    return []


def _unpack(path: Path, table: str, scratch: Path, faults: list[Fault]) -> Path | None:
    """The Shapefile within a ZIP, unpacked; only its own files are taken out, by their bare names."""
    if bad := zip_faults(path):
        faults.extend(bad)
        return None
    try:
        with zipfile.ZipFile(path) as packed:
            members = [one for one in packed.infolist() if not one.is_dir() and "__MACOSX" not in one.filename]
            found = {PurePosixPath(one.filename.replace("\\", "/")): one for one in members}
            shps = [inner for inner in found if inner.suffix.lower() == ".shp"]
            named = [inner for inner in shps if inner.stem.lower() == table]
            if len(named or shps) != 1:
                what = "no .shp within" if not shps else f"{len(shps)} Shapefiles within"
                faults.append(
                    Fault(path.name, None, "", what, f"Zip one Shapefile with its .shx, .dbf and .prj: {table}.")
                )
                return None
            chosen = (named or shps)[0]
            for inner, one in found.items():
                if inner.parent == chosen.parent and inner.stem.lower() == chosen.stem.lower():
                    (scratch / f"{table}{inner.suffix.lower()}").write_bytes(packed.read(one))
    except (zipfile.BadZipFile, RuntimeError, OSError, EOFError, ValueError, NotImplementedError) as error:
        if isinstance(error, OSError) and no_room(error):
            raise
        remedy = "The file is damaged or locked. Zip the Shapefile again."
        faults.append(Fault(path.name, None, "", short(str(error), 100), remedy))
        return None
    for need in (".shx", ".dbf"):
        if not (scratch / f"{table}{need}").is_file():
            remedy = "A Shapefile is several files: zip .shp, .shx, .dbf and .prj together."
            faults.append(Fault(path.name, None, "", f"no {need} within", remedy))
            return None
    return scratch / f"{table}.shp"


def _copy_geopackage(path: Path, scratch: Path, faults: list[Fault], notes: list[str]) -> Path | None:
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
        faults.append(Fault(path.name, None, "", short(verdict, 100), remedy))
        return None
    return copy

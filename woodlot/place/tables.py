"""The tables of a place: which file of its folder holds each, and what stands in them.

find        table -> its file
read_all    sheets and shapes of the tables that are asked for
map_frame   attributes and shapes of a map together
"""

from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING

from woodlot import columns
from woodlot.columns import MAPS
from woodlot.errors import Fault, PlaceError
from woodlot.place.cells import absent, read_cells
from woodlot.place.checked import Sheet
from woodlot.place.cover_words import Meant, known_words
from woodlot.place.lying import FOREIGN, RASTERS
from woodlot.place.naming import own_words
from woodlot.place.remedies import no_room, unusable
from woodlot.place.sealed import ledger_cells
from woodlot.place.shapes import SUFFIXES, read_attributes, read_shapes
from woodlot.place.tabular import read_table
from woodlot.place.with_care import check_regular
from woodlot.region import Region

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["TABLES", "find", "map_frame", "read_all"]

TABLES = tuple(name for name in columns.TABLES if name not in MAPS)
_TABLE_SUFFIXES = (".csv", ".xlsx")
_OTHER_SUFFIXES = (*FOREIGN, ".pdf", ".docx")


def find(home: Path, faults: list[Fault]) -> dict[str, Path]:
    """Table -> its file; two files for one table, and forms of them that nobody reads, are reported."""
    files: dict[str, list[Path]] = {}
    strange: list[Path] = []
    for path in sorted(home.iterdir()):
        suffix = path.suffix.lower()
        stem = path.name[: -len(suffix)].lower() if suffix else path.name.lower()
        stem = stem.removesuffix(".shp") if suffix == ".zip" else stem
        if path.name.startswith((".", "~")):
            continue
        if suffix in RASTERS:
            try:
                check_regular(path)
            except PlaceError as error:
                faults += error.faults
        fits = (stem in MAPS and suffix in SUFFIXES) or (stem in TABLES and suffix in _TABLE_SUFFIXES)
        if fits and not (stem == "ledger" and suffix != ".csv"):
            files.setdefault(stem, []).append(path)
        elif suffix in _OTHER_SUFFIXES and not path.is_dir():
            strange.append(path)
    for paths in files.values():
        if len(paths) > 1:
            names = " and ".join(path.name for path in paths)
            faults.append(Fault(paths[0].name, None, "", f"{names} are both here", "Keep one of them in the folder."))
    for path in strange:
        stem = path.stem.lower()
        if stem in columns.TABLES and stem not in files:
            forms = "CSV" if stem == "ledger" else "CSV or XLSX"
            forms = "GeoJSON, GPKG, zipped Shapefile or KML" if stem in MAPS else forms
            faults.append(Fault(path.name, None, "", f"{path.suffix} is not read", f"Save the {stem} as {forms}."))
    return {table: paths[0] for table, paths in files.items()}


def read_all(
    paths: dict[str, Path],
    faults: list[Fault],
    notes: list[str],
    draw: bool = True,
    *,
    region: Region | None,
    tables: Collection[str] = tuple(columns.TABLES),
) -> "tuple[dict[str, Sheet], dict[str, gpd.GeoSeries], set[str]]":
    """Sheets of all tables, shapes of the maps (none unless ``draw``), and the tables that are there but could not be
    read. region: the words for covers that may stand in the names of a KML are those of it and of words.csv; None: no
    cover is read out of a name. tables: those that are asked for, beside words.
    """
    sheets: dict[str, Sheet] = {}
    shapes: dict[str, gpd.GeoSeries] = {}
    unread: set[str] = set()
    covers: dict[str, Meant] = {}
    for table in ("words", *(table for table in tables if table != "words")):
        sheets[table] = absent(table)
        if table == "stands" and region is not None and paths.get(table, Path()).suffix.lower() == ".kml":
            covers = known_words(region, own_words(sheets, "cover"))
        if table not in paths:
            continue
        try:
            if table in MAPS and not draw:
                cells = read_attributes(paths[table], table, table != "features", faults, notes)
            elif table in MAPS:
                drawn, cells = read_shapes(paths[table], table, table != "features", faults, notes, covers)
                if drawn is not None:
                    shapes[table] = drawn
            elif table == "ledger":
                cells = ledger_cells(paths[table], notes)
            else:
                cells = read_table(paths[table], table, faults, notes)
        except (PlaceError, OSError) as error:
            faults += error.faults if isinstance(error, PlaceError) else _closed(paths[table], error)
            unread.add(table)
            continue
        before = len(faults)
        sheets[table] = read_cells(table, cells, faults, notes)
        key = columns.header(table)[0]
        if any(f.file == cells.file and f.row == 1 and f.column == key for f in faults[before:]):
            unread.add(table)
    return {table: sheets[table] for table in columns.TABLES if table in sheets}, shapes, unread


def _closed(path: Path, error: OSError) -> list[Fault]:
    """The fault of a file that the system does not give."""
    remedy = "Close programs that hold the file, or give yourself the right to read it."
    fault = no_room(error)
    return [fault] if fault else unusable(path.name, error, remedy).faults


def map_frame(sheet: Sheet, shapes: "gpd.GeoSeries | None") -> "gpd.GeoDataFrame":
    """Attributes and shapes of a map together, in degrees."""
    import geopandas as gpd

    geometry = gpd.GeoSeries([], crs="EPSG:4326") if shapes is None else shapes
    return gpd.GeoDataFrame(sheet.frame, geometry=geometry, crs="EPSG:4326")

"""What lies in the family's folder, file by file: read as a table, left alone, waiting to be brought."""

import csv
import io
import re
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from woodlot.column_kinds import as_typed
from woodlot.columns import TABLES
from woodlot.ledger import SEAL, checksum
from woodlot.place.old_notes import is_sheet
from woodlot.place.with_care import start_of

__all__ = ["BROUGHT", "DATA", "RASTERS", "Lying", "brought", "check_of", "lying", "waiting"]

RASTERS = (".tif", ".tiff")
#: What may hold tables or outlines, by the end of its name.
DATA = (".geojson", ".json", ".zip", ".xlsx", ".kml", ".kmz", ".gpx", ".gpkg", ".shp", ".csv", ".tsv", ".txt")
#: Ends of names of tables and maps in forms that nobody here reads.
FOREIGN = (".xls", ".ods", ".numbers", ".dxf", ".tab", ".dbf", ".mdb", ".accdb", ".gdb", ".qgz", ".qgs")
PICTURES = (".jpg", ".jpeg", ".png", ".heic", ".gif", ".webp", ".bmp", ".svg", ".mp4", ".mov")
DOCUMENTS = (".pdf", ".doc", ".docx", ".odt", ".rtf", ".md", ".txt", ".html", ".htm", ".ppt", ".pptx", ".eml")
#: What was brought, so that a file that still lies in the place is not named again: name, checksum, tables.
BROUGHT = "brought.csv"
#: Files of a place that are neither table, map nor raster.
OWN = {"place.toml": "settings", "columns.txt": "help", BROUGHT: "list", "land_cover_codes.csv": "codes"}
#: A table or map as it was before it was written anew.
_BEFORE = re.compile(rf"({'|'.join(TABLES)})\.before\d*\..+", re.IGNORECASE)
#: Ends of names of what belongs to a Shapefile, a raster or a GeoPackage beside it.
_BESIDE = (".shx", ".dbf", ".prj", ".cpg", ".sbn", ".sbx", ".qix", ".qmd", ".tfw", ".ovr", ".xml", ".fix")


@dataclass(frozen=True)
class Lying:
    """A file of the folder: its name, and what it is taken for: a table, "raster", "unread", "brought" ...

    of: the tables it was brought into, or the file it belongs to.
    """

    name: str
    taken_for: str
    of: str = ""


def lying(folder: Path, read: Mapping[str, Path]) -> list[Lying]:
    """Every file of a folder and what it is taken for; ``read``: table -> the file it is read from."""
    tables = {path: table for table, path in read.items()}
    known = brought(folder)
    files = [path for path in sorted(folder.iterdir()) if path.is_file() and not path.name.startswith((".", "~"))]
    return [_one(path, tables.get(path, ""), known, {p.name.lower() for p in files}) for path in files]


def waiting(folder: Path, read: Mapping[str, Path]) -> list[Path]:
    """Files that look like data, and are neither read as they stand nor brought before."""
    return [folder / one.name for one in lying(folder, read) if one.taken_for == "unread"]


def _one(path: Path, table: str, known: Mapping[str, tuple[str, str]], beside: set[str]) -> Lying:
    suffix, name = path.suffix.lower(), path.name
    if table or name.lower() in OWN:
        return Lying(name, table or OWN[name.lower()])
    if suffix in RASTERS:
        return Lying(name, "raster")
    if name == SEAL:
        return Lying(name, "part", "ledger.csv")
    if _BEFORE.fullmatch(name):
        return Lying(name, "before")
    if name in known and known[name][0] == check_of(path.read_bytes()):
        return Lying(name, "brought", known[name][1])
    stem = name.lower().split(".")[0]
    if suffix in _BESIDE or name.endswith(("-journal", "-wal", "-shm")):
        whole = (".shp", ".gpkg", *RASTERS)
        of = next((one for one in sorted(beside) if one.startswith(stem) and one.endswith(whole)), "")
        if of:
            return Lying(name, "part", of)
    if suffix in PICTURES:
        return Lying(name, "picture")
    if suffix == ".csv" and is_sheet(start_of(path).decode("utf-8", "replace")):
        return Lying(name, "notes")
    if suffix in DATA and _holds_data(path):
        return Lying(name, "unread")
    if suffix in DOCUMENTS:
        return Lying(name, "document")
    return Lying(name, "foreign" if suffix in FOREIGN else "other")


def _holds_data(path: Path) -> bool:
    """Whether a text has rows of cells, and a ZIP a map or a table; other forms hold data by their names."""
    if path.suffix.lower() == ".txt":
        lines = [line for line in start_of(path).splitlines() if line.strip()][:4]
        return any(len(lines) > 1 and all(line.count(mark) >= 2 for line in lines) for mark in (b",", b";", b"\t"))
    if path.suffix.lower() == ".zip":
        try:
            with zipfile.ZipFile(path) as packed:
                return any(name.lower().endswith(DATA) for name in packed.namelist())
        except (zipfile.BadZipFile, OSError, ValueError):
            return True  # bringing says what is wrong with it
    return True


def brought(folder: Path) -> dict[str, tuple[str, str]]:
    """Name of a file brought before -> its checksum, and the tables it went into."""
    path = folder / BROUGHT
    text = path.read_bytes().decode("utf-8", "replace") if path.is_file() else ""
    return {as_typed(row[0]): (row[1], row[2]) for row in csv.reader(io.StringIO(text)) if len(row) == 3}


def check_of(data: bytes) -> str:
    """Eight letters by which a file is known again."""
    return checksum([data.hex()])

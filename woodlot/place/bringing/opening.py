"""A file of the family -> its layers. Nothing in it is changed; what cannot be opened is a PlaceError."""

import warnings
from collections.abc import Callable
from glob import escape as glob_escape
from pathlib import Path, PurePosixPath
from typing import Any

import numpy as np
import pandas as pd

from woodlot.place.bringing.model import Layer
from woodlot.place.group import FOLDER, is_handed_out
from woodlot.place.lying import DATA
from woodlot.place.mapfiles import KML_OWN, copy_geopackage, read_geojson, read_layers
from woodlot.place.remedies import short, unusable
from woodlot.place.tabular import cell_text, check_size, crooked, xlsx_rows
from woodlot.place.with_care import check_regular, data_of, scratch, unpacked

__all__ = ["open_layers"]

_MAPS = (".kml", ".gpx", ".gpkg", ".shp")
_TEXT = (".csv", ".tsv", ".txt")
#: Points along a GPX line, which stands in a layer of its own.
_ALONG = ("route_points", "track_points")
_SEPARATORS = ",;\t|"

#: What is taken out of a ZIP: no ZIP within a ZIP.
_WITHIN = {*DATA, ".shx", ".dbf", ".prj", ".cpg"} - {".zip"}

Heading = Callable[[list[list[str]]], int]


def open_layers(path: Path, heading_at: Heading) -> list[Layer]:
    """The layers of a file; ``heading_at`` finds the row of the heading in a grid of text."""
    suffix = path.suffix.lower()
    check_regular(path)
    if path.stat().st_size == 0:
        raise unusable(path.name, "empty", "Save it again, or take it away.")
    if suffix in (".geojson", ".json"):
        if is_handed_out(path):
            remedy = f"Put it into the folder {FOLDER} of your place as it is; woodlot group tells what comes of it."
            raise unusable(path.name, "ground and kills of a neighbor, no map of yours", remedy)
        return [_drawn(path.name, "", read_geojson(path))]
    if suffix == ".xlsx":
        return _book(path, heading_at)
    if suffix in _TEXT:
        return _grid(path.name, "", *_text_rows(path), heading_at)
    if suffix == ".zip":
        return _zip(path, heading_at)
    if suffix == ".kmz":
        return _kmz(path)
    if suffix in _MAPS:
        return _map_layers(path, path.name)
    raise unusable(path.name, f"{suffix or 'no ending'} is not read", f"Save it as one of {', '.join(DATA)}.")


def _zip(path: Path, heading_at: Heading) -> list[Layer]:
    """Every Shapefile, map and table within a ZIP."""
    out: list[Layer] = []
    with scratch() as folder:
        homes: dict[PurePosixPath, Path] = {}
        files: dict[PurePosixPath, Path] = {}
        for inner, file in unpacked(path, folder, lambda inner: inner.suffix.lower() in _WITHIN).items():
            home = homes.setdefault(inner.parent, folder / f"within{len(homes)}")
            home.mkdir(exist_ok=True)
            files[inner] = file.rename(home / f"{short(inner.stem, 100)}{inner.suffix}")
        for inner, file in sorted(files.items()):
            if inner.suffix.lower() in DATA:
                out += [_renamed(layer, path.name, layer.name or inner.stem) for layer in open_layers(file, heading_at)]
    if not out:
        raise unusable(path.name, "no map and no table within", "Zip the .shp with its .shx, .dbf and .prj.")
    return out


def _kmz(path: Path) -> list[Layer]:
    """The maps within a KMZ."""
    with scratch() as folder:
        inside = unpacked(path, folder, lambda inner: inner.suffix.lower() == ".kml")
        if not inside:
            raise unusable(path.name, "no map within", "Export it again, as KML.")
        return [layer for _, file in sorted(inside.items()) for layer in _map_layers(file, path.name)]


def _renamed(layer: Layer, file: str, name: str) -> Layer:
    from dataclasses import replace

    return replace(layer, file=file, name=name)


def _map_layers(path: Path, file: str) -> list[Layer]:
    with scratch() as folder, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        source = copy_geopackage(path, folder, []) if path.suffix.lower() == ".gpkg" else path
        if path.suffix.lower() == ".shp":
            for need in (".shx", ".dbf"):
                if not any(p.suffix.lower() == need for p in path.parent.glob(f"{glob_escape(path.stem)}.*")):
                    raise unusable(file, f"no {need} beside it", "A Shapefile is .shp, .shx, .dbf and .prj together.")
        frames = read_layers(source, file, lambda layers: [name for name in layers if name not in _ALONG])
    out = [
        _drawn(file, name if len(frames) > 1 or path.suffix.lower() not in (".shp", ".gpkg") else "", frame)
        for name, frame in frames.items()
        if len(frame)
    ]
    out = [layer for layer in out if len(layer.frame)]
    if not out:
        raise unusable(file, "no shapes", "Nothing is drawn in it. Draw and save it again, or take it away.")
    return out


def _drawn(file: str, name: str, frame: Any) -> Layer:
    """A layer of shapes, without shapes that are empty and columns that hold nothing."""
    import geopandas as gpd

    rows = np.arange(len(frame)) + 2
    shapes, crs = None, None
    if isinstance(frame, gpd.GeoDataFrame):
        shapes, crs = np.asarray(frame.geometry.to_numpy(), dtype=object), frame.crs
        crs = None if crs is not None and "undefined" in crs.name.lower() else crs
        frame = pd.DataFrame(frame.drop(columns=frame.geometry.name))
        kept = np.array([shape is not None and not shape.is_empty for shape in shapes], dtype=bool)
        frame, shapes, rows = frame[kept], shapes[kept], rows[kept]
    kml = file.lower().endswith((".kml", ".kmz"))
    keep = [column for column in frame.columns if not (kml and str(column).lower() in KML_OWN)]
    cells = {str(column): [cell_text(v) for v in frame[column]] for column in keep}
    text = pd.DataFrame({name: column for name, column in cells.items() if any(column)}, dtype=object)
    text.index = pd.RangeIndex(len(frame)) if len(text.columns) else text.index
    text = text.reindex(pd.RangeIndex(len(frame)))
    cut = 10 if file.lower().endswith((".shp", ".zip")) else 0
    return Layer(file, name, text, rows, shapes=shapes, crs=crs, cut=cut)


def _book(path: Path, heading_at: Heading) -> list[Layer]:
    out: list[Layer] = []
    sheets = xlsx_rows(path)
    for name, rows in sheets.items():
        out += _grid(path.name, name if len(sheets) > 1 else "", rows, False, heading_at)
    if not out:
        raise unusable(path.name, "empty", "No sheet of it holds a table. Save it again, or take it away.")
    return out


def _grid(file: str, name: str, rows: list[list[str]], decimal_comma: bool, heading_at: Heading) -> list[Layer]:
    """The layer of a grid of text: its heading found, rows above it kept as text, empty rows and columns left out."""
    width = max((len(row) for row in rows), default=0)
    check_size(file, len(rows), width)
    rows = [[cell.strip() for cell in row] + [""] * (width - len(row)) for row in rows]
    filled = [at for at, row in enumerate(rows) if any(row)]
    if not filled:
        return []
    head = filled[heading_at([rows[at] for at in filled])]
    above = "; ".join(cell for row in rows[:head] for cell in row if cell)
    body = [at for at in filled if at > head]
    names, seen = [], dict[str, int]()
    for at, cell in enumerate(rows[head]):
        plain = " ".join(cell.split())
        seen[plain] = seen.get(plain, 0) + 1
        names.append(plain if seen[plain] == 1 else f"{plain} ({seen[plain]})" if plain else f"column {at + 1}")
    names = [name or f"column {at + 1}" for at, name in enumerate(names)]
    frame = pd.DataFrame([rows[at] for at in body], columns=names, dtype=object)
    keep = [at for at in range(width) if rows[head][at] or any(rows[row][at] for row in body)]
    return [Layer(file, name, frame.iloc[:, keep], np.array(body, dtype=int) + 1, above, decimal_comma=decimal_comma)]


def _text_rows(path: Path) -> tuple[list[list[str]], bool]:
    """Rows of a text table in any usual encoding and separator; whether a comma is a decimal point in it."""
    text = decoded(path.name, data_of(path))
    lines = [line for line in text.splitlines() if line.strip()]
    if lines and lines[0].lower().strip('" ').startswith("sep=") and len(lines[0].strip('" ')) == 5:
        sep = lines[0].strip('" ')[-1]
        text = text.split("\n", 1)[1]
    else:
        counts = {mark: sorted(line.count(mark) for line in lines[:40]) for mark in _SEPARATORS}
        middle = {mark: number[len(number) // 2] for mark, number in counts.items() if number}
        most = max(middle, key=lambda mark: (middle[mark] > 0, mark in "\t;|" and middle[mark] > 0, middle[mark]))
        sep = most if middle[most] else ","
    return crooked(path.name, text.rstrip(), sep), sep != ","


def decoded(file: str, data: bytes) -> str:
    """Text of a file in UTF-8, UTF-16 or the Windows code page of the west. PlaceError for bytes that are no text."""
    for marks, encoding in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig")):
        if data.startswith(marks):
            return _as_text(file, data, encoding)
    if b"\0" in data[:4000]:
        odd = data[1:4000:2].count(0) > data[:4000:2].count(0)
        return _as_text(file, data, "utf-16-le" if odd else "utf-16-be")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return _as_text(file, data, "cp1252")


def _as_text(file: str, data: bytes, encoding: str) -> str:
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text or sum(not letter.isprintable() and letter not in "\r\n\t\ufeff" for letter in text[:4000]) > 3:
        raise unusable(file, "not a text file", 'Save the table as "CSV UTF-8" or XLSX.')
    return text

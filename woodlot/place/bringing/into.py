"""The place as it is, and what was understood -> the texts of its tables, with every old line kept as it stands."""

import csv
import io
import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from woodlot import columns
from woodlot.column_kinds import as_typed, neutral
from woodlot.errors import Fault, PlaceError
from woodlot.place.bringing.model import Answers, Layer, There, Understood
from woodlot.place.bringing.texts import map_text, table_text
from woodlot.place.cells import read_cells
from woodlot.place.lying import BROUGHT, brought, check_of
from woodlot.place.naming import own_words
from woodlot.place.settings import read_settings
from woodlot.place.shapes import checked_shapes
from woodlot.place.tables import find, map_frame, read_all
from woodlot.place.tabular import Cells, text_of
from woodlot.place.tree_words import JUDGED, wrong_words
from woodlot.place.with_care import data_of
from woodlot.region import home as regions_home
from woodlot.region import names as region_names
from woodlot.region import read_toml, shipped
from woodlot.species import spaced
from woodlot.trade import WORD_KINDS

__all__ = ["Written", "checked", "region_from", "texts", "there"]

_HEADING = "file,check,into\n"


@dataclass(frozen=True)
class Written:
    """File name -> its new text; the text each had before (None: not there); table -> rows added; rows that were there
    already.
    """

    texts: Mapping[str, str]
    before: Mapping[str, str | None]
    added: Mapping[str, int]
    same: Mapping[str, int]


def there(folder: Path, region: str | None) -> There:
    """The place as bringing sees it; one that is not there yet, or cannot be read, has nothing."""
    faults: list[Fault] = []
    laid_out = os.path.lexists(folder / "place.toml")
    known = read_settings(folder, region, faults, []).region if laid_out else shipped(region or "lake_states")
    if faults:
        raise PlaceError(faults)
    paths = find(folder, faults) if folder.is_dir() else {}
    wanted = {table: path for table, path in paths.items() if table in ("parcels", "stands", "plots", "words")}
    sheets, shapes, _ = read_all(wanted, [], [], region=None)
    words = {about: own_words(sheets, about) for about in WORD_KINDS}
    maps = {}
    for table in ("parcels", "stands"):
        frame = map_frame(sheets[table], shapes.get(table))
        maps[table] = frame[~(frame.geometry.isna() | frame.geometry.is_empty)]
    plots = tuple(str(one) for one in sheets["plots"].frame["plot_id"].dropna())
    return There(known, words, maps["parcels"], maps["stands"], plots, tuple(paths))


def region_from(layers: Iterable[Layer], answers: Answers) -> str:
    """The region in which shapes of known coordinates lie, by the bounds in each region.toml; "" for none."""
    import geopandas as gpd
    from pyproj.exceptions import CRSError

    for layer in layers:
        crs = layer.crs or answers.told("crs", layer.file)
        if layer.shapes is None or not crs or not len(layer.shapes):
            continue
        try:
            west, south, east, north = gpd.GeoSeries(layer.shapes, crs=crs).to_crs(4326).total_bounds
        except CRSError:
            continue
        x, y = (west + east) / 2.0, (south + north) / 2.0
        for name in region_names():
            box = read_toml(regions_home() / name).get("covers")
            if box and box[0] <= x <= box[2] and box[1] <= y <= box[3]:
                return name
        return "base"
    return ""


def checked(understood: Understood, there: There) -> list[Fault]:
    """Every fault of every row, as reading the place would find it."""
    faults: list[Fault] = list(understood.faults)
    for part in understood.parts:
        cells = Cells(part.file, part.frame.reset_index(drop=True), np.asarray(part.rows))
        sheet = read_cells(part.table, cells, faults, [])
        if part.table in JUDGED:
            faults += wrong_words(sheet, there.region, there.words.get("quality", {}))
        if part.shapes is not None:
            import geopandas as gpd

            drawn = gpd.GeoSeries(list(part.shapes), crs=4326)
            checked_shapes(sheet, drawn, part.table != "features", faults, [])
    return faults


def texts(understood: Understood, folder: Path, files: Mapping[str, bytes]) -> Written:
    """The texts that the tables of the place will have. PlaceError when a row would stand twice, or cannot be added.

    files: names of the files brought -> their bytes, to be remembered.
    """
    new: dict[str, str] = {}
    before: dict[str, str | None] = {}
    added: dict[str, int] = {}
    same: dict[str, int] = {}
    faults: list[Fault] = []
    paths = find(folder, []) if folder.is_dir() else {}
    before_now = brought(folder)
    for table in columns.TABLES:
        parts = [part for part in understood.parts if part.table == table]
        if not parts:
            continue
        name = f"{table}.geojson" if table in columns.MAPS else f"{table}.csv"
        path = paths.get(table, folder / name)
        if path.name.lower() != name:
            here = [part.file for part in parts]
            faults.append(_not_added_to(path.name, here[0], name))
            continue
        try:
            old = text_of(path) if path.is_file() and path.stat().st_size else None
            join = map_text if table in columns.MAPS else table_text
            text, added[table], same[table] = join(
                old, parts, table, name, any(part.file in before_now for part in parts)
            )
        except PlaceError as error:
            faults += error.faults
            continue
        if added[table]:
            new[name], before[name] = text, old
    if faults:
        raise PlaceError(faults)
    if understood.words:
        text, count = _words_text(folder, understood.words)
        if count:
            new["words.csv"], before["words.csv"] = text, _old(folder / "words.csv")
    if any(added.values()) or any(same.values()):
        text = _brought_text(folder, understood, files)
        old = _old(folder / BROUGHT)
        if text != old:
            new[BROUGHT], before[BROUGHT] = text, old
    return Written(new, before, added, same)


def _old(path: Path) -> str | None:
    if not os.path.lexists(path):
        return None
    try:
        return data_of(path).decode("utf-8-sig")
    except UnicodeDecodeError:
        return text_of(path)  # it says in which rows


def _not_added_to(there: str, file: str, name: str) -> Fault:
    if there == file:
        remedy = f"It is read as it stands. To bring it, give it another name first, such as handed in {there}."
        return Fault(there, None, "", f"{name} beside it would stand for the same table", remedy)
    remedy = f"Rows can be added to {name} alone. Save {there} as {name}, or add them in it yourself."
    return Fault(there, None, "", f"the place keeps this table in {there}", remedy)


def _words_text(folder: Path, words: Iterable[tuple[str, str, str]]) -> tuple[str, int]:
    """words.csv with the new words behind the old ones."""
    old = _old(folder / "words.csv")
    rows = list(csv.reader(io.StringIO(old or "")))
    known = {(row[0], spaced(as_typed(row[1])), row[2]) for row in rows[1:] if len(row) >= 3}
    new = [row for row in dict.fromkeys(words) if (row[0], spaced(row[1]), row[2]) not in known and row[2]]
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([about, neutral(written), meant] for about, written, meant in new)
    kept = old if rows and old else "about,written,meant\n"
    return kept + ("" if kept.endswith("\n") else "\n") + out.getvalue(), len(new)


def _brought_text(folder: Path, understood: Understood, files: Mapping[str, bytes]) -> str:
    """brought.csv with a line for each file brought, or left because the family said so, in place of its older line."""
    said = {note.facts["file"] for note in understood.notes if note.key == "left"}
    rows = {name: told for name, told in brought(folder).items() if name != "file"}
    for name, data in files.items():
        check, (was, before) = check_of(data), rows.get(name, ("", ""))
        into = set(before.split()) if was == check else set()  # of a sheet or layer brought before
        into |= {part.table for part in understood.parts if part.file == name}
        if into or name in said:
            rows[name] = check, " ".join(table for table in columns.TABLES if table in into)
        else:
            rows.pop(name, None)
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([neutral(name), *told] for name, told in rows.items())
    return _HEADING + out.getvalue()

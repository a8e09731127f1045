"""The place as it is, and what was understood -> the texts of its tables, with every old line kept as it stands."""

import csv
import io
import json
import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import shapely

from woodlot import columns
from woodlot.column_kinds import metric_names
from woodlot.errors import Fault, PlaceError
from woodlot.place.bringing.model import Answers, Layer, Part, There, Understood
from woodlot.place.cells import read_cells
from woodlot.place.cross import ONCE
from woodlot.place.lying import BROUGHT, brought, check_of
from woodlot.place.naming import own_words
from woodlot.place.reading import find, map_frame, read_all
from woodlot.place.remedies import short, unusable
from woodlot.place.settings import read_settings
from woodlot.place.shapes import checked_shapes
from woodlot.place.tabular import Cells, text_of
from woodlot.region import home as regions_home
from woodlot.region import names as region_names
from woodlot.region import read_toml, shipped
from woodlot.species import spaced

__all__ = ["Written", "checked", "region_from", "texts", "there"]

_HEADING = "file,check,into\n"
_DIGITS = 8


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
    laid_out = (folder / "place.toml").is_file()
    known = read_settings(folder, region, faults, []).region if laid_out else shipped(region or "lake_states")
    if faults:
        raise PlaceError(faults)
    paths = find(folder, faults) if folder.is_dir() else {}
    wanted = {table: path for table, path in paths.items() if table in ("parcels", "stands", "plots", "words")}
    sheets, shapes, _ = read_all(wanted, [], [])
    words = {about: own_words(sheets, about) for about in ("species", "cover", "heading")}
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


def checked(understood: Understood) -> list[Fault]:
    """Every fault of every row, as reading the place would find it."""
    faults: list[Fault] = list(understood.faults)
    for part in understood.parts:
        cells = Cells(part.file, part.frame.reset_index(drop=True), np.asarray(part.rows))
        sheet = read_cells(part.table, cells, faults, [])
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
            join = _map_text if table in columns.MAPS else _table_text
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
    return path.read_bytes().decode("utf-8-sig") if path.is_file() else None


def _not_added_to(there: str, file: str, name: str) -> Fault:
    if there == file:
        remedy = f"It is read as it stands. To bring it, give it another name first, such as handed in {there}."
        return Fault(there, None, "", f"{name} beside it would stand for the same table", remedy)
    remedy = f"Rows can be added to {name} alone. Save {there} as {name}, or add them in it yourself."
    return Fault(there, None, "", f"the place keeps this table in {there}", remedy)


def _joined(parts: list[Part], table: str) -> tuple[pd.DataFrame, list[str], list[Any]]:
    """All rows of a table under the columns that hold something, in the order of the heading; their files; shapes."""
    order = [one for name, field in columns.TABLES[table].model_fields.items() for one in (name, *metric_names(field))]
    frame = pd.concat([part.frame for part in parts], ignore_index=True).fillna("")
    must = [name for name in columns.must_have(table) if name in frame]
    kept = [name for name in order if name in frame and (name in must or frame[name].ne("").any())]
    files = [part.file for part in parts for _ in range(len(part.frame))]
    shapes = [shape for part in parts if part.shapes is not None for shape in part.shapes]
    return frame[kept], files, shapes


def _keys(table: str, frame: pd.DataFrame) -> list[str]:
    """Columns by which a row is known, the one that numbers it last; none where nothing numbers rows."""
    names = ONCE.get(table, [])
    own = next((name for name in names if name in ("tree", "species")), names[0] if names else "")
    return [*(name for name in names if name in frame and name != own), own] if own in frame else []


def _clashes(table: str, frame: pd.DataFrame, files: list[str], name: str, is_same: Any, ids: set[tuple]) -> None:
    """PlaceError naming the rows whose id the place, or the same hand-in, has already with something else."""
    if not (keys := _keys(table, frame)):
        return
    faults, seen = [], dict[tuple, int]()
    for at, key in enumerate(zip(*(frame[one] for one in keys), strict=True)):
        if is_same[at] or not key[-1]:
            continue
        word = " ".join(part for part in key if part)
        if key in ids:
            remedy = f"{name} has another {word}. Nothing is written over: give one of the two another {keys[0]}."
            faults.append(Fault(files[at], None, keys[0], short(word), remedy))
        elif key in seen:
            remedy = f"{short(word)} stands twice in what is brought. Each needs its own {keys[-1]}."
            faults.append(Fault(files[at], None, keys[-1], short(word), remedy))
        seen[key] = at
    if faults:
        raise PlaceError(list(dict.fromkeys(faults)))


def _table_text(old: str | None, parts: list[Part], table: str, name: str, again: bool) -> tuple[str, int, int]:
    """CSV text with the new rows behind the old ones; rows added, rows that stood there already."""
    frame, files, _ = _joined(parts, table)
    lines = (old or "").splitlines(keepends=True)
    head = next((at for at, line in enumerate(lines) if line.strip(' \t\r\n,;"') and not _is_sep(line)), None)
    sep = max(",;\t", key=lines[head].count) if head is not None else ","
    rows = list(csv.reader(io.StringIO("".join(lines[head:])), delimiter=sep)) if head is not None else []
    rows = [row for row in rows if any(cell.strip() for cell in row)]
    heading = [cell.strip() for cell in rows[0]] if rows else []
    if len(rows) <= 1:  # a heading alone holds nothing
        lines, head, sep, heading, rows = [], None, ",", [], []
    body = [dict(zip(heading, (cell.strip() for cell in row), strict=False)) for row in rows[1:]]
    same = _there_already(table, frame, body, again)
    keys = _keys(table, frame)
    if table == "trees" and not keys and (plots := other_trees(frame, body)):
        remedy = f"{name} has other trees of it. Write what is new into {name} yourself."
        raise PlaceError([Fault(files[0], None, "plot_id", short(one), remedy) for one in plots])
    ids = {tuple(row.get(key, "") for key in keys) for row in body}
    _clashes(table, frame, files, name, same, ids)
    fresh = frame[~same]
    if not len(fresh):
        return old or "", 0, len(frame)
    wanted = list(dict.fromkeys([*heading, *fresh.columns]))
    out = io.StringIO()
    writer = csv.writer(out, delimiter=sep, lineterminator="\n")
    if head is None:
        writer.writerow(wanted)
    writer.writerows(fresh.reindex(columns=wanted, fill_value="").to_numpy().tolist())
    if head is None:
        return out.getvalue(), len(fresh), len(frame) - len(fresh)
    if len(wanted) > len(heading):
        end = "\r\n" if lines[head].endswith("\r\n") else "\n"
        more = [one for one in wanted if one not in heading]
        lines[head] = lines[head].rstrip("\r\n") + sep + sep.join(more) + end
    kept = "".join(lines)
    return kept + ("" if kept.endswith("\n") else "\n") + out.getvalue(), len(fresh), len(frame) - len(fresh)


def _is_sep(line: str) -> bool:
    return bool(re.fullmatch(r'"?sep=[,;\t|]"?\s*', line, re.IGNORECASE))


def _there_already(table: str, frame: pd.DataFrame, body: list[dict[str, str]], again: bool) -> np.ndarray:
    """Rows that the table holds already. By their id; trees without numbers by their plot; else, of a file that was
    brought before (``again``), one by one, and of any other file all or none.
    """
    new = [tuple(row) for row in frame.to_numpy().tolist()]
    old = Counter(tuple(row.get(column, "") for column in frame.columns) for row in body)
    keys = _keys(table, frame)
    if keys and frame[keys[-1]].ne("").all():
        return np.array([row in old for row in new], dtype=bool)
    if table == "trees":
        done = {row.get("plot_id", "") for row in body} - set(other_trees(frame, body))
        return frame["plot_id"].isin(done).to_numpy()
    if again:
        left, same = old.copy(), []
        for row in new:
            same.append(left[row] > 0)
            left[row] -= 1
        return np.array(same, dtype=bool)
    return np.full(len(new), bool(new) and not (Counter(new) - old))


def other_trees(frame: pd.DataFrame, body: list[dict[str, str]]) -> list[str]:
    """Plots whose trees the place has, and of which the new rows tell trees that are not among them."""
    old = Counter(tuple(row.get(column, "") for column in frame.columns) for row in body)
    there = {row.get("plot_id", "") for row in body}
    more = Counter(tuple(row) for row in frame.to_numpy().tolist()) - old
    at = list(frame.columns).index("plot_id")
    return list(dict.fromkeys(row[at] for row in more if row[at] in there))


def _map_text(old: str | None, parts: list[Part], table: str, name: str, again: bool) -> tuple[str, int, int]:
    """GeoJSON text with the new shapes behind the old ones."""
    frame, files, shapes = _joined(parts, table)
    new = [
        {"type": "Feature", "properties": _properties(table, frame.columns, row), "geometry": _geometry(shape)}
        for row, shape in zip(frame.to_numpy().tolist(), shapes, strict=True)
    ]
    before = _features(old, name) if old is not None else []
    said = [json.dumps(one, sort_keys=True) for one in before]
    same = [json.dumps(one, sort_keys=True) in said for one in new]
    key = next(iter(ONCE.get(table, [])), "")
    ids = {(str((one.get("properties") or {}).get(key, "")),) for one in before} if key else set()
    _clashes(table, frame, files, name, same, ids)
    fresh = [json.dumps(one, ensure_ascii=False) for one, there in zip(new, same, strict=True) if not there]
    if not fresh:
        return old or "", 0, len(new)
    body = ",\n".join(fresh)
    if old is None:
        text = f'{{"type": "FeatureCollection", "features": [\n{body}\n]}}\n'
    else:
        end = re.search(r"\s*\]\s*\}\s*$", old)
        text = (
            old
            if end is None
            else old[: end.start()] + (",\n" if before else "\n") + body + "\n" + old[end.start() :].lstrip()
        )
    if len(_features(text, name)) != len(before) + len(fresh):
        raise unusable(name, "its shapes do not come last in the file", "Save it again in your mapping program.")
    return text, len(fresh), len(new) - len(fresh)


def _features(text: str, name: str) -> list[dict[str, Any]]:
    whole = json.loads(text)
    crs = whole.get("crs") if isinstance(whole, dict) else None
    if not isinstance(whole, dict) or not isinstance(whole.get("features"), list) or (crs and "84" not in str(crs)):
        raise unusable(name, "not a GeoJSON in longitude and latitude", "Save it again so, then outlines can be added.")
    return whole["features"]


def _properties(table: str, names: Iterable[str], row: list[str]) -> dict[str, Any]:
    fields = columns.TABLES[table].model_fields
    numbers = {n for n, f in fields.items() if "float" in str(f.annotation)}
    numbers |= {twin for n in numbers for twin in metric_names(fields[n])}
    return {n: float(v) if n in numbers else v for n, v in zip(names, row, strict=True) if v != ""}


def _geometry(shape: Any) -> dict[str, Any]:
    return json.loads(shapely.to_geojson(_rounded(shape)))


def _rounded(shape: Any) -> Any:
    """A shape with coordinates that a file needs, a millimeter fine."""
    return shapely.transform(shape, lambda xy: np.round(xy, _DIGITS))


def _words_text(folder: Path, words: Iterable[tuple[str, str, str]]) -> tuple[str, int]:
    """words.csv with the new words behind the old ones."""
    old = _old(folder / "words.csv")
    rows = list(csv.reader(io.StringIO(old or "")))
    known = {(row[0], spaced(row[1]), row[2]) for row in rows[1:] if len(row) >= 3}
    new = [row for row in dict.fromkeys(words) if (row[0], spaced(row[1]), row[2]) not in known and row[2]]
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(new)
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
    csv.writer(out, lineterminator="\n").writerows([name, *told] for name, told in rows.items())
    return _HEADING + out.getvalue()

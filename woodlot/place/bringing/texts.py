"""Rows and shapes -> the text of a table, behind the lines that stand there already, which keep their bytes."""

import csv
import io
import json
import re
from collections import Counter
from collections.abc import Iterable
from typing import Any

import numpy as np
import pandas as pd
import shapely

from woodlot import columns
from woodlot.column_kinds import as_typed, metric_names
from woodlot.errors import Fault, PlaceError
from woodlot.place.bringing.model import Part
from woodlot.place.cross import ONCE
from woodlot.place.remedies import short, unusable

__all__ = ["map_text", "table_text"]

#: Digits of a degree in a map that is written, about a millimeter.
_DIGITS = 8


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


def table_text(old: str | None, parts: list[Part], table: str, name: str, again: bool) -> tuple[str, int, int]:
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
    body = [dict(zip(heading, (as_typed(cell.strip()) for cell in row), strict=False)) for row in rows[1:]]
    same = _there_already(table, frame, body, again)
    keys = _keys(table, frame)
    if table == "trees" and not keys and (plots := _other_trees(frame, body)):
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
    rows = fresh.reindex(columns=wanted, fill_value="").to_numpy().tolist()
    writer.writerows(columns.neutral_cells(table, dict(zip(wanted, row, strict=True))).values() for row in rows)
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
        done = {row.get("plot_id", "") for row in body} - set(_other_trees(frame, body))
        return frame["plot_id"].isin(done).to_numpy()
    if again:
        left, same = old.copy(), []
        for row in new:
            same.append(left[row] > 0)
            left[row] -= 1
        return np.array(same, dtype=bool)
    return np.full(len(new), bool(new) and not (Counter(new) - old))


def _other_trees(frame: pd.DataFrame, body: list[dict[str, str]]) -> list[str]:
    """Plots whose trees the place has, and of which the new rows tell trees that are not among them."""
    old = Counter(tuple(row.get(column, "") for column in frame.columns) for row in body)
    there = {row.get("plot_id", "") for row in body}
    more = Counter(tuple(row) for row in frame.to_numpy().tolist()) - old
    at = list(frame.columns).index("plot_id")
    return list(dict.fromkeys(row[at] for row in more if row[at] in there))


def map_text(old: str | None, parts: list[Part], table: str, name: str, again: bool) -> tuple[str, int, int]:
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
    try:
        whole = json.loads(text)
    except (ValueError, RecursionError):
        whole = None  # told below like what is no GeoJSON
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

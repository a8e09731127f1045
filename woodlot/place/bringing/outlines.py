"""A layer of shapes -> parts: outlines as parcels or stands, lines and points as features, plots and the house."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
import shapely

from woodlot import columns
from woodlot.land.parcels import acres_geodesic
from woodlot.place.bringing import called as names
from woodlot.place.bringing.cruise import above_heading
from woodlot.place.bringing.headings import Headings, plain_words
from woodlot.place.bringing.kinds import matched, named_table
from woodlot.place.bringing.measures import as_meant
from woodlot.place.bringing.model import Answers, Layer, Note, Part, Question, There
from woodlot.place.bringing.tables import NOT_A_TABLE
from woodlot.place.cover_words import Meant, understood
from woodlot.place.tangles import sound

__all__ = ["drawn_parts", "names_of", "outline_tables"]

_NAME = ("name", "title", "label")
_WORDS = ("description", "desc", "descriptio", "notes", "note", "comment", "comments", "remarks", "cmt")
#: Columns that only outlines of stands carry, and headings that only tax maps do.
_OF_STANDS = {"cover", "age_yr", "site_index_ft"}
_OF_PARCELS = {"pin", "owner", "parcelid", "parcel id", "parcel no", "taxid", "tax id", "apn", "legaldesc"}
#: An outline lies in another when this share of it does. Chosen.
_WITHIN = 0.9
_POLYGON, _POINT = 3, 0
#: Outlines that are looked at in one step, and pairs of them in all.
_AT_ONCE, _MOST_PAIRS = 100, 200_000


def outline_tables(
    layer: Layer, shapes: np.ndarray, others: np.ndarray, known: Headings, covers: Mapping[str, Meant], there: There
) -> tuple[np.ndarray, str]:
    """The table of each outline of a layer, and how sure: "told by ..." words, or "nested" where it must be asked.

    others: all outlines of the file.
    """
    n = len(shapes)
    by_layer = named_table(layer.name)
    inner = _inside(shapes, others)
    if by_layer in columns.MAPS and not (by_layer == "parcels" and inner.any()):
        return np.full(n, by_layer, dtype=object), "layer"
    told = {str(h) for h in layer.frame.columns if plain_words(str(h)) in (*_NAME, *_WORDS)}
    if _OF_STANDS & {match.own for match in matched(layer, "stands", known, told).values()}:
        return np.full(n, "stands", dtype=object), "columns"
    if {"legal"} & {match.own for match in matched(layer, "parcels", known, told).values()} or _OF_PARCELS & {
        plain_words(str(heading)) for heading in layer.frame.columns
    }:
        return np.full(n, "parcels", dtype=object), "columns"
    if inner.any():
        return np.where(inner, "stands", "parcels").astype(object), "nested"
    called = _texts(layer, _NAME)
    covered = [names.is_covered(one, covers) for one in called]
    if n and sum(covered) * 2 > n:
        return np.full(n, "stands", dtype=object), "covers"
    by_file = named_table(layer.file)
    if by_file in columns.MAPS:
        return np.full(n, by_file, dtype=object), "file"
    if not len(there.parcels):
        return np.full(n, "parcels", dtype=object), "first"
    within = _inside(shapes, there.parcels.geometry.to_numpy())
    return np.full(n, "stands" if within.mean() > 0.5 else "parcels", dtype=object), "place"


def _inside(shapes: np.ndarray, others: np.ndarray) -> np.ndarray:
    """Which outlines lie in a larger one of others."""
    out = np.zeros(len(shapes), dtype=bool)
    inner, outer = sound(shapes), sound(others)
    sizes, tree, most = shapely.area(outer), shapely.STRtree(outer), _MOST_PAIRS
    for at in range(0, len(inner), _AT_ONCE):
        mine, theirs = tree.query(inner[at : at + _AT_ONCE])
        mine += at
        area = shapely.area(inner[mine])
        larger = sizes[theirs] > area * (2 - _WITHIN)
        mine, theirs, area = mine[larger], theirs[larger], area[larger]
        most -= len(mine)
        if most < 0:
            break  # a heap of outlines on one another; what is not told is asked
        out[mine[shapely.area(shapely.intersection(inner[mine], outer[theirs])) >= _WITHIN * area]] = True
    return out


def _texts(layer: Layer, heads: tuple[str, ...]) -> list[str]:
    """What stands under the first of some headings, "" where there is none."""
    for want in heads:
        for heading in layer.frame.columns:
            if plain_words(str(heading)) == want:
                return [names.plain_text(cell) for cell in layer.frame[heading]]
    return [""] * len(layer.frame)


def names_of(layer: Layer) -> list[str]:
    """What each shape is called, "" where it has no name."""
    return _texts(layer, _NAME)


def _descriptions(layer: Layer) -> list[str]:
    """All that is written of each shape besides its name."""
    parts = [_texts(layer, (head,)) for head in _WORDS]
    return ["; ".join(dict.fromkeys(word for word in row if word)) for row in zip(*parts, strict=True)]


def drawn_parts(
    layer: Layer,
    shapes: np.ndarray,
    tables: np.ndarray,
    known: Headings,
    covers: Mapping[str, Meant],
    taken: Mapping[str, list[str]],
    answers: Answers,
) -> tuple[list[Part], list[Question], list[Note], tuple[float, float] | None]:
    """Parts of a layer of shapes, by the table that each shape belongs to; and the point of the house."""
    kinds = shapely.get_type_id(shapes)
    called, words = _texts(layer, _NAME), _descriptions(layer)
    parts: list[Part] = []
    questions: list[Question] = []
    notes: list[Note] = []
    home = None
    for at in np.flatnonzero(kinds == _POINT):
        if tables[at] != "plots" and names.is_home(called[at]) and home is None:
            home = (float(shapes[at].x), float(shapes[at].y))
            tables = np.where(np.arange(len(tables)) == at, NOT_A_TABLE, tables)
            notes.append(Note("home", {"called": layer.called, "name": called[at], "lon": home[0], "lat": home[1]}))
    for table in ("parcels", "stands", "features", "plots"):
        here = np.flatnonzero(tables == table)
        if not len(here):
            continue
        part_of = Layer(
            layer.file,
            layer.name,
            layer.frame.iloc[here].reset_index(drop=True),
            layer.rows[here],
            layer.above,
            shapes[here],
            layer.crs,
            layer.decimal_comma,
            layer.cut,
        )
        of = [called[at] for at in here], [words[at] for at in here]
        part, asked, told = _one(part_of, table, of, known, covers, taken.get(table, []), answers)
        parts.append(part)
        questions += asked
        notes += told
    return parts, questions, notes, home


def _one(
    layer: Layer,
    table: str,
    of: tuple[list[str], list[str]],
    known: Headings,
    covers: Mapping[str, Meant],
    taken: list[str],
    answers: Answers,
) -> tuple[Part, list[Question], list[Note]]:
    called, words = of
    spoken = {str(h) for h in layer.frame.columns if plain_words(str(h)) in (*_NAME, *_WORDS)}
    found = matched(layer, table, known, spoken)
    frame, questions, notes = as_meant(layer, table, found, answers)
    meant = {heading: match.column for heading, match in found.items()}
    blank = pd.Series("", index=frame.index, dtype=object)
    if table == "parcels":
        frame = _parcels(frame, called, words, taken, blank)
        notes += _beside_words(layer, frame)
    elif table == "stands":
        frame, told = _stands(layer, frame, called, words, covers, taken, blank)
        notes += told
    elif table == "features":
        text = [f"{a} {b} {layer.name}" for a, b in zip(called, words, strict=True)]
        kinds = frame.get("kind", blank)
        guessed = pd.Series([names.feature_in(one) or "other" for one in text], dtype=object)
        frame = frame.assign(
            kind=kinds.where(kinds.ne(""), guessed), name=frame.get("name", pd.Series(called, dtype=object))
        )
    else:
        frame = _plots(layer, frame, called, words, taken, blank)
    order = [name for name in _columns(table) if name in frame]
    left = [str(h) for h in layer.frame.columns if str(h) not in meant and str(h) not in spoken]
    facts: dict[str, Any] = {"called": layer.called, "table": table, "rows": len(frame), "headings": meant}
    notes.insert(0, Note("shapes", facts | {"ids": list(frame[order[0]]) if table != "features" else called}))
    if left:
        notes.append(Note("headings_left", {"called": layer.called, "headings": left}))
    drawn = None if table == "plots" else layer.shapes
    return Part(table, layer.file, layer.called, frame[order], layer.rows, drawn, meant), questions, notes


def _columns(table: str) -> list[str]:
    from woodlot.column_kinds import metric_names

    fields = columns.TABLES[table].model_fields
    return [one for name, field in fields.items() for one in (name, *metric_names(field))]


def _parcels(
    frame: pd.DataFrame, called: list[str], words: list[str], taken: list[str], blank: pd.Series
) -> pd.DataFrame:
    given = frame.get("parcel_id", blank)
    title = frame.get("name", pd.Series(called, dtype=object))
    own = (
        list(given)
        if given.ne("").all() and given.is_unique
        else names.ids_of([a or b for a, b in zip(given, title, strict=True)], "parcels", taken)
    )
    return names.with_legal(frame.assign(parcel_id=own, name=title), called, words)


def _beside_words(layer: Layer, frame: pd.DataFrame) -> list[Note]:
    """Acres that legal words name by quarters of a section, beside those of the outline."""
    notes = []
    for name, legal, shape in zip(frame["parcel_id"], frame["legal"], layer.shapes, strict=True):
        acres = names.nominal_acres(legal) if shapely.is_valid(shape) else None
        if acres is not None:
            facts = {"called": layer.called, "id": name, "nominal": acres, "after": float(acres_geodesic(shape))}
            notes.append(Note("nominal", facts))
    return notes


def _stands(
    layer: Layer,
    frame: pd.DataFrame,
    called: list[str],
    words: list[str],
    covers: Mapping[str, Meant],
    taken: list[str],
    blank: pd.Series,
) -> tuple[pd.DataFrame, list[Note]]:
    given = frame.get("stand_id", blank)
    own = (
        list(given)
        if given.ne("").all() and given.is_unique
        else names.ids_of([a or b for a, b in zip(given, called, strict=True)], "stands", taken)
    )
    out = names.with_covers(frame.assign(stand_id=own), called, words, covers)
    new = out["cover"].ne("") & frame.get("cover", blank).eq("")
    told = {word: understood(word, covers) for word in out.loc[new, "cover"]}
    named = zip(out.loc[new, "stand_id"], out.loc[new, "cover"], strict=True)
    found = {stand: told[word].covers[0] for stand, word in named if told[word].sure}
    return out, [Note("covers", {"called": layer.called, "covers": found})] if found else []


def _plots(
    layer: Layer, frame: pd.DataFrame, called: list[str], words: list[str], taken: list[str], blank: pd.Series
) -> pd.DataFrame:
    given = frame.get("plot_id", blank)
    numbers = [a or names.plot_in(b) or b for a, b in zip(given, called, strict=True)]
    own = numbers if all(numbers) and len(set(numbers)) == len(numbers) else names.ids_of(numbers, "plots", taken)
    x, y = (get(layer.shapes) for get in (shapely.get_x, shapely.get_y))
    frame = frame.assign(plot_id=own, lon=[f"{v:.6f}" for v in x], lat=[f"{v:.6f}" for v in y])
    for column in ("baf_sqft_per_ac", "radius_ft", "stand_id"):
        said = pd.Series([above_heading(one).get(column, "") for one in words], dtype=object)
        old = frame.get(column, blank)
        if said.ne("").any() or column in frame:
            frame = frame.assign(**{column: old.where(old.ne(""), said)})
    return frame

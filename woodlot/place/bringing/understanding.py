"""Layers of the family's files, the place as it is, and answers -> Understood."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
import shapely

from woodlot import columns
from woodlot.column_kinds import metric_names
from woodlot.errors import Fault
from woodlot.place.bringing.called import feature_in, is_feature, plot_in
from woodlot.place.bringing.cruise import NO_TREE, OF_PLOT, merged_plots, split, with_ids, with_stands
from woodlot.place.bringing.drawn import closed, in_degrees, mended
from woodlot.place.bringing.headings import Headings
from woodlot.place.bringing.kinds import matched, named_table
from woodlot.place.bringing.model import Answers, Layer, Note, Part, Question, There, Understood
from woodlot.place.bringing.outlines import drawn_parts, names_of, outline_tables
from woodlot.place.bringing.own import cover_words, own_words, read_as
from woodlot.place.bringing.tables import NOT_A_TABLE, table_part

__all__ = ["known_headings", "understand"]

#: Answer for a layer that holds parcels and the stands within them.
BOTH = "parcels and stands"
#: What a layer may be said to be, and the columns that a heading may be said to be.
KINDS = (BOTH, *(name for name in columns.TABLES if name not in columns.OWN), NOT_A_TABLE)
COLUMNS = {
    one
    for table in columns.TABLES.values()
    for name, field in table.model_fields.items()
    for one in (name, *metric_names(field))
}


def known_headings(there: There, answers: Answers) -> Headings:
    """Words that stand over columns: of the region, of the family, and those just answered."""
    just = {about: meant for (key, _, about), meant in answers.said.items() if key == "heading"}
    return Headings(there.region, {**there.words.get("heading", {}), **just})


def understand(layers: Sequence[Layer], there: There, answers: Answers) -> Understood:
    """All that the layers say, as parts of tables; with questions where more than one thing may be meant."""
    known = known_headings(there, answers)
    parts, questions, notes, faults, home = _drawn(layers, known, there, answers)
    for layer in (layer for layer in layers if layer.shapes is None):
        part, asked, told = table_part(layer, known, answers)
        parts += [part] if part is not None else []
        questions += asked
        notes += told
    notes += [note for part in parts if (note := read_as(part, there, answers))]
    parts, asked, words = own_words(parts, "species", there, answers)
    questions += asked
    parts, asked, more = own_words(parts, "cover", there, answers)
    questions += asked
    words += more
    if not questions:
        parts, questions, told = _plots_and_trees(parts, there, answers)
        notes += told
    words += [("heading", about, meant) for (key, _, about), meant in answers.said.items() if key == "heading"]
    return Understood(tuple(parts), tuple(notes), tuple(questions), tuple(faults), tuple(words), home)


def _drawn(layers: Sequence[Layer], known: Headings, there: There, answers: Answers) -> Any:
    """Parts, questions, notes and faults of the layers with shapes, file by file; and the point of the house."""
    parts: list[Part] = []
    questions: list[Question] = []
    notes: list[Note] = []
    faults: list[Fault] = []
    home, taken = None, dict[str, list[str]]()
    covers = cover_words(there, answers)
    ready: list[tuple[Layer, np.ndarray]] = []
    for layer in (layer for layer in layers if layer.shapes is not None):
        flat, asked, wrong = in_degrees(layer, there, answers)
        questions += asked
        faults += wrong
        if flat is not None:
            shapes, told = closed(_ground_alone(flat.to_numpy()), layer)
            notes += told
            shapes, asked, told = mended(shapes, layer, answers)
            questions, notes = questions + asked, notes + told
            ready.append((layer, shapes))
    for layer, shapes in ready:
        of_file = [s[_is_outline(s)] for other, s in ready if other.file == layer.file]
        tables, asked, told = _tables(layer, shapes, np.concatenate(of_file), known, covers, there, answers)
        questions += asked
        notes += told
        one, asked, told, point = drawn_parts(layer, shapes, tables, known, covers, taken, answers)
        parts += one
        questions += asked
        notes += told
        home = home or point
        for part in one:
            if part.table in ("parcels", "stands"):
                taken.setdefault(part.table, []).extend(part.frame[f"{part.table[:-1]}_id"])
    return parts, questions, notes, faults, home


def _ground_alone(shapes: np.ndarray) -> np.ndarray:
    """Collections and points of one as their outlines, lines or point."""
    out = shapes.copy()
    for at in np.flatnonzero(np.isin(shapely.get_type_id(shapes), [4, 7])):
        pieces = shapely.get_parts(shapes[at])
        ground = pieces[np.isin(shapely.get_type_id(pieces), [3, 6])]
        out[at] = shapely.union_all(ground) if len(ground) else pieces[0]
    single = (shapely.get_type_id(out) == 6) & (shapely.get_num_geometries(out) == 1)
    out[single] = shapely.get_geometry(out[single], 0)
    return out


def _is_outline(shapes: np.ndarray) -> np.ndarray:
    return np.isin(shapely.get_type_id(shapes), [3, 6])


def _tables(
    layer: Layer, shapes: np.ndarray, others: np.ndarray, known: Headings, covers: Any, there: There, answers: Answers
) -> tuple[np.ndarray, list[Question], list[Note]]:
    """The table of each shape of a layer."""
    tables = np.full(len(shapes), "features", dtype=object)
    ground, points = _is_outline(shapes), shapely.get_type_id(shapes) == 0
    questions, notes = list[Question](), list[Note]()
    asked_of = layer.name or layer.file
    told = answers.told("table", layer.file, asked_of) or answers.told("table", layer.file)
    called = names_of(layer)
    if ground.any():
        part = replace(layer, frame=layer.frame[ground].reset_index(drop=True), rows=layer.rows[ground])
        tables[ground], how = outline_tables(part, shapes[ground], others, known, covers, there)
        if how == "nested":
            tables[ground] = _nested_features(tables[ground], [called[at] for at in np.flatnonzero(ground)], covers)
        facts = {"called": layer.called, "n": int(ground.sum()), "how": how, "tables": _counted(tables[ground])}
        guess = BOTH if len(set(tables[ground])) > 1 else str(tables[ground][0])
        choices = (BOTH, "parcels", "stands", "features", NOT_A_TABLE)
        question = Question("outlines", layer.file, asked_of, guess, True, choices, facts)
        answer = told or (answers.get(question) if how in ("nested", "place") else guess)
        if answer is None:
            questions.append(question)
        elif answer != BOTH:
            tables[ground] = answer
    lines = ~ground & ~points
    kinds = np.array([feature_in(f"{one} {layer.name}") for one in called], dtype=object)
    unnamed = lines & (kinds == "") & (told != "features") & (named_table(layer.name) != "features")
    if unnamed.any():
        tables[unnamed] = NOT_A_TABLE
        notes.append(Note("lines_left", {"called": layer.called, "n": int(unnamed.sum())}))
    if points.any():
        tables[points] = _points(layer, points, called, told, known)
    return tables, questions, notes


def _nested_features(tables: np.ndarray, called: list[str], covers: Any) -> np.ndarray:
    """Outlines within others that are called a pond, a yard and the like are features."""
    water = [is_feature(one, covers) for one in called]
    return np.where((tables == "stands") & np.array(water, dtype=bool), "features", tables)


def _counted(tables: np.ndarray) -> dict[str, int]:
    return {str(one): int((tables == one).sum()) for one in dict.fromkeys(tables)}


def _points(layer: Layer, points: np.ndarray, called: list[str], told: str | None, known: Headings) -> np.ndarray:
    """Points are plots where they are numbered, or carry what plots carry; else features."""
    if told in ("plots", "features"):
        return np.full(int(points.sum()), told, dtype=object)
    carried = {m.own for m in matched(layer, "plots", known).values()}
    if named_table(layer.name) == "plots" or carried & {"baf_sqft_per_ac", "radius_ft"}:
        return np.full(int(points.sum()), "plots", dtype=object)
    return np.array(["plots" if plot_in(called[at]) else "features" for at in np.flatnonzero(points)], dtype=object)


def _plots_and_trees(
    parts: list[Part], there: There, answers: Answers
) -> tuple[list[Part], list[Question], list[Note]]:
    """Tables of plots and trees parted; plots with the stand they lie in and the size they were laid out with."""
    questions, notes = list[Question](), list[Note]()
    known = {*there.plots, *(one for part in parts if part.table == "plots" for one in part.frame["plot_id"])}
    out: list[Part] = []
    for part in parts:
        ids = set(part.frame["plot_id"]) if part.table == "trees" else set()
        if ids - known or (set(OF_PLOT) & set(part.frame) and ids - set(there.plots)):
            out += split(part, notes)
        elif part.table == "trees":
            bare = part.frame["species"].str.lower().isin(NO_TREE)
            frame = part.frame.loc[~bare, [name for name in part.frame if name not in OF_PLOT]]
            out.append(replace(part, frame=frame, rows=part.rows[~bare.to_numpy()]))
        else:
            out.append(part)
    out = merged_plots(out)
    outlines = {table: _frame(out, there, table) for table in ("parcels", "stands")}
    for at, part in enumerate(out):
        if part.table == "plots":
            out[at], asked, told = with_stands(part, outlines, answers, there)
            questions += asked
            notes += told
            sized = {"kind", "baf_sqft_per_ac", "baf_m2_per_ha", "radius_ft", "radius_m"} & set(part.frame)
            value = answers.told("fill", part.file, "baf_sqft_per_ac")
            if not sized and value:
                out[at] = replace(out[at], frame=out[at].frame.assign(baf_sqft_per_ac=value))
            elif not sized:
                facts = {"called": part.called, "column": "baf_sqft_per_ac", "table": "plots", "n": len(part.frame)}
                questions.append(Question("fill", part.file, "baf_sqft_per_ac", "", False, (), facts))
        elif part.table in ("tally", "cores"):
            out[at] = with_ids(part, outlines)
    return out, questions, notes + _undrawn(out, outlines)


def _undrawn(parts: list[Part], outlines: dict[str, Any]) -> list[Note]:
    """Stands that plots name and nobody drew."""
    drawn = {str(one) for table, frame in outlines.items() for one in frame[f"{table[:-1]}_id"]}
    notes = []
    for part in parts:
        if part.table == "plots" and "stand_id" in part.frame:
            lost = [one for one in part.frame["stand_id"].unique() if one and one not in drawn]
            notes += [Note("undrawn", {"called": part.called, "ids": lost})] if lost else []
    return notes


def _frame(parts: list[Part], there: There, table: str) -> Any:
    """Outlines of a table: those of the place, and those brought now."""
    import geopandas as gpd

    column = f"{table[:-1]}_id"
    frames = [getattr(there, table)[[column, "geometry"]]]
    frames += [
        gpd.GeoDataFrame({column: list(part.frame[column])}, geometry=list(part.shapes), crs=4326)
        for part in parts
        if part.table == table
    ]
    return pd.concat([frame for frame in frames if len(frame)] or frames[:1], ignore_index=True)

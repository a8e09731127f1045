"""A layer without shapes -> a part: its table, its cells under the table's columns, what is missing."""

from collections.abc import Mapping
from dataclasses import replace

import pandas as pd

from woodlot import columns
from woodlot.column_kinds import metric_names
from woodlot.place.bringing.cruise import OF_PLOT, above_heading, filled_down
from woodlot.place.bringing.headings import Headings
from woodlot.place.bringing.kinds import matched, table_of
from woodlot.place.bringing.measures import as_meant
from woodlot.place.bringing.model import Answers, Layer, Note, Part, Question
from woodlot.place.old_notes import is_notes
from woodlot.place.shapes import place_words
from woodlot.trade import closest

__all__ = ["NOT_A_TABLE", "table_part"]

#: Answer for a layer that is to be left alone.
NOT_A_TABLE = "nothing"
#: Tables that a layer without shapes can be.
_TABLES = tuple(name for name in columns.TABLES if name not in (*columns.MAPS, *columns.OWN))


def table_part(layer: Layer, known: Headings, answers: Answers) -> tuple[Part | None, list[Question], list[Note]]:
    """The part that a table is, None for one that is left; questions still open, and what was understood."""
    table, sure = table_of(layer, known)
    facts = {"called": layer.called, "headings": list(map(str, layer.frame.columns)), "rows": len(layer.frame)}
    question = Question("table", layer.file, layer.name or layer.file, table, False, (*_TABLES, NOT_A_TABLE), facts)
    told = answers.get(question)
    if told == NOT_A_TABLE:
        return None, [], [Note("left", {"called": layer.called, "file": layer.file})]
    if told is None and sure != "sure":
        if is_notes(map(str, layer.frame.columns)):
            return None, [], [Note("old_notes", {"called": layer.called, "file": layer.file})]
        if not sure and answers.yes:
            return None, [], [Note("not_known", {"called": layer.called})]
        return None, [question], []
    table = told or table
    if table in columns.MAPS:
        return None, [replace(question, key="no_outlines", facts=facts | {"table": table})], []
    return _part(layer, table, known, answers)


def _part(layer: Layer, table: str, known: Headings, answers: Answers) -> tuple[Part, list[Question], list[Note]]:
    found = matched(layer, table, known)
    frame, questions, notes = as_meant(layer, table, found, answers)
    meant = {heading: match.column for heading, match in found.items()}
    if table == "trees":
        more = {h: m for h, m in matched(layer, "plots", known, set(found)).items() if m.column in OF_PLOT}
        of_plot, asked, told = as_meant(layer, "plots", more, answers)
        frame, questions, notes = pd.concat([frame, of_plot], axis=1), questions + asked, notes + told
        meant |= {heading: match.column for heading, match in more.items()}
        frame = _dated_by_plot(frame)
    near, left = _near(layer, table, known, meant, answers)
    if taken := {one.about: answer for one in near if (answer := answers.get(one))}:
        return _part(layer, table, known.with_own(taken), answers)
    questions += near
    frame, told = _from_above(layer, table, frame)
    notes += told
    frame, told = _in_america(layer, _filled(layer, table, frame, answers))
    notes += told
    if "plot_id" in frame and table in ("trees", "plots", "browse", "seedlings") and frame["plot_id"].eq("").any():
        notes.append(Note("filled_down", {"called": layer.called, "n": int(frame["plot_id"].eq("").sum())}))
        frame = filled_down(frame, "plot_id")
    questions += _missing(layer, table, frame, left)
    notes.insert(0, Note("table", {"called": layer.called, "table": table, "rows": len(frame), "headings": meant}))
    if left:
        notes.append(Note("headings_left", {"called": layer.called, "headings": left}))
    return Part(table, layer.file, layer.called, frame, layer.rows, None, meant), questions, notes


def _dated_by_plot(frame: pd.DataFrame) -> pd.DataFrame:
    """The day belongs to the plot; a tree's own day stands only where plots were measured more than once."""
    if "date" not in frame or "plot_id" not in frame:
        return frame
    return frame.loc[:, ~frame.columns.duplicated()]


def _in_america(layer: Layer, frame: pd.DataFrame) -> tuple[pd.DataFrame, list[Note]]:
    """Places of which all lie in North America once longitude and latitude change sides, or the minus sign is there."""
    if not {"lon", "lat"} <= set(frame):
        return frame, []
    lon, lat = (pd.to_numeric(frame[name], errors="coerce") for name in ("lon", "lat"))
    filled = (lon.notna() & lat.notna()).to_numpy()
    ways = {"": (lon, lat), "minus": (-lon, lat), "swapped": (lat, lon), "both": (-lat, lon)}
    sound = [how for how, (x, y) in ways.items() if filled.any() and not any(place_words(x[filled], y[filled]))]
    if not sound or not sound[0]:
        return frame, []
    how = sound[0]
    west, north = (frame["lat"], frame["lon"]) if how in ("swapped", "both") else (frame["lon"], frame["lat"])
    if how in ("minus", "both"):
        west = west.where(west.eq(""), "-" + west)
    return frame.assign(lon=west, lat=north), [Note("west", {"called": layer.called, "how": how})]


def _near(
    layer: Layer, table: str, known: Headings, meant: Mapping[str, str], answers: Answers
) -> tuple[list[Question], list[str]]:
    """Headings nobody knows that are written much like a free column, asked; and all that are left unread."""
    fields = columns.TABLES[table].model_fields
    free = [name for name in fields if not {name, *metric_names(fields[name])} & set(meant.values())]
    left = [str(h) for h in layer.frame.columns if str(h) not in meant and layer.frame[h].ne("").any()]
    questions = []
    for heading in left:
        near = known.near(heading, table, free)
        if near and answers.told("heading", layer.file, heading) is None:
            facts = {"called": layer.called, "heading": heading, "column": near}
            question = Question("heading", layer.file, heading, near, True, (near, ""), facts)
            questions.append(question)
    return questions, left


def _from_above(layer: Layer, table: str, frame: pd.DataFrame) -> tuple[pd.DataFrame, list[Note]]:
    """Columns that no heading names but words above the heading do."""
    notes = []
    if table in ("plots", "trees"):
        told = above_heading(f"{layer.above}; {layer.name}")
        if {"baf_sqft_per_ac", "baf_m2_per_ha", "radius_ft", "radius_m"} & set(frame):
            told = {column: value for column, value in told.items() if column == "stand_id"}
        for column, value in told.items():
            if column not in frame:
                frame = frame.assign(**{column: value})
                facts = {"called": layer.called, "column": column, "value": value}
                notes.append(Note("above", facts))
    return frame, notes


def _filled(layer: Layer, table: str, frame: pd.DataFrame, answers: Answers) -> pd.DataFrame:
    """Columns that the family filled with one value throughout."""
    fields = {**columns.TABLES[table].model_fields}
    if table == "trees":
        fields |= {name: one for name, one in columns.TABLES["plots"].model_fields.items() if name in OF_PLOT}
    for name, one in fields.items():
        for column in (name, *metric_names(one)):
            value = answers.told("fill", layer.file, column)
            if value is not None and column != "stand_id":
                old = frame[column] if column in frame else pd.Series("", index=frame.index, dtype=object)
                frame = frame.assign(**{column: old.where(old.ne(""), value)})
    return frame


def _missing(layer: Layer, table: str, frame: pd.DataFrame, left: list[str]) -> list[Question]:
    """Columns that must be there and are not; which heading holds them, or what fills them?"""
    fields = columns.TABLES[table].model_fields
    out = []
    for name in columns.must_have(table):
        if {name, *metric_names(fields[name])} & set(frame) or (table, name) == ("plots", "stand_id"):
            continue
        guess = closest(name.split("_")[0], left)
        facts = {"called": layer.called, "column": name, "table": table, "headings": left, "guess": guess}
        out.append(Question("column", layer.file, name, guess, False, tuple(left), facts))
    return out

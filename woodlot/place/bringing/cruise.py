"""Plots and trees in one table -> plots and trees; and the stand of plots that name none."""

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
import shapely

from woodlot.place.bringing.model import Answers, Note, Part, Question, There
from woodlot.species import spaced

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["NO_TREE", "OF_PLOT", "above_heading", "filled_down", "merged_plots", "split", "with_ids", "with_stands"]

#: What stands in the species column of a plot without a tree.
NO_TREE = {"none", "no tree", "no trees", "-", "--", "0", "nothing", "empty", "n/a", "na", "no in trees", "blank", "x"}
#: Columns that are of a plot, not of a tree.
OF_PLOT: tuple[str, ...] = (
    "stand_id",
    "line",
    "date",
    "kind",
    "baf_sqft_per_ac",
    "baf_m2_per_ha",
    "radius_ft",
    "radius_m",
)
OF_PLOT += ("slope_pct", "live_in", "dead_in", "lon", "lat")
_ABOVE = (
    ("baf_sqft_per_ac", re.compile(r"\b(?:baf|ba factor|prism(?: factor)?)\s*[:=]?\s*(\d{1,3}(?:\.\d+)?)\b", re.I)),
    ("baf_sqft_per_ac", re.compile(r"\b(\d{1,3}(?:\.\d+)?)[\s-]*(?:factor|baf)\b", re.I)),
    ("radius_ft", re.compile(r"\bradius\s*[:=]?\s*(\d{1,3}(?:\.\d+)?)\s*(?:ft|feet|')", re.I)),
    ("radius_ft", re.compile(r"\b(\d{1,3}(?:\.\d+)?)[\s-]*(?:ft|feet|foot|')\s+radius\b", re.I)),
    ("stand_id", re.compile(r"\bstand\s*[:=#]?\s*([A-Za-z]?\d{1,4}[A-Za-z]?)\b", re.I)),
)


def above_heading(text: str) -> dict[str, str]:
    """What words above a heading, or the name of a sheet, say of every row: factor of the prism, radius, stand."""
    out: dict[str, str] = {}
    for column, pattern in _ABOVE:
        if column not in out and (found := pattern.search(text)):
            out[column] = found.group(1)
    return out


def filled_down(frame: pd.DataFrame, column: str) -> pd.DataFrame:
    """Empty cells of a column as the cell above them, as merged cells of a spreadsheet come."""
    text = frame[column].astype(object)
    return frame.assign(**{column: text.where(text.ne(""), None).ffill().fillna("")})


def split(part: Part, notes: list[Note]) -> tuple[Part, Part]:
    """A table with a row for each tree and what is said of its plot -> plots, each once, and trees.

    Plots that are numbered anew in each stand get the stand before their number.
    """
    frame = part.frame
    plots, trees = frame["plot_id"], frame
    if "stand_id" in frame:
        stands = frame.loc[frame["stand_id"].ne("")].groupby("plot_id")["stand_id"].nunique()
        again = stands[stands > 1].index
        if len(again):
            both = frame["stand_id"].where(frame["stand_id"].ne(""), "0") + "-" + plots
            trees = frame.assign(plot_id=both.where(plots.ne(""), ""))
            notes.append(Note("plots_by_stand", {"called": part.called, "plot": str(again[0]), "id": both.iloc[0]}))
    whole = [name for name in OF_PLOT if name in trees]
    first = trees[["plot_id", *whole]].replace("", None).groupby("plot_id", sort=False).first().reset_index()
    own = first.fillna("").astype(object)
    at = trees["plot_id"].drop_duplicates(keep="first").index
    species = trees["species"] if "species" in trees else pd.Series("", index=trees.index)
    dbh = next((trees[name] for name in ("dbh_in", "dbh_cm") if name in trees), species)
    bare = species.str.lower().isin(NO_TREE) | (species.eq("") & dbh.eq(""))
    kept = [name for name in trees if name not in OF_PLOT]
    notes.append(
        Note("split", {"called": part.called, "plots": len(own), "trees": int((~bare).sum()), "bare": int(bare.sum())})
    )
    rows = np.asarray(part.rows)
    return (
        Part("plots", part.file, part.called, own, rows[at], None, part.headings),
        Part("trees", part.file, part.called, trees.loc[~bare, kept], rows[~bare.to_numpy()], None, part.headings),
    )


def merged_plots(parts: list[Part]) -> list[Part]:
    """Plots of which one file tells the place and another the rest, each once; where two files tell one thing of a plot
    and disagree, they stay apart.
    """
    plots = [part for part in parts if part.table == "plots"]
    out = plots[:1]
    for part in plots[1:]:
        first = out[-1]
        one, two = (each.frame.set_index("plot_id").replace("", None) for each in (first, part))
        shared = one.index.intersection(two.index)
        both = one.columns.intersection(two.columns)
        if not (len(shared) and one.index.is_unique and two.index.is_unique):
            out.append(part)
            continue
        here, there = one.loc[shared, both], two.loc[shared, both]
        if (here.notna() & there.notna() & (here != there)).any(axis=None):
            out.append(part)
            continue
        frame = one.combine_first(two).loc[[*one.index, *two.index.difference(one.index, sort=False)]]
        frame = frame[[*one.columns, *two.columns.difference(both, sort=False)]].fillna("").reset_index()
        more = np.asarray(part.rows)[~part.frame["plot_id"].isin(shared).to_numpy()]
        rows = np.concatenate([np.asarray(first.rows), more])
        out[-1] = Part("plots", first.file, first.called, frame, rows, None, {**first.headings, **part.headings})
    return [part for part in parts if part.table != "plots"] + out


def with_stands(
    part: Part, outlines: "dict[str, gpd.GeoDataFrame]", answers: Answers, there: There
) -> tuple[Part, list[Question], list[Note]]:
    """Plots with the stand they lie in where the table does not say: the only stand, else by their place.

    outlines: stands and parcels, drawn in the place and brought now; without stands a parcel is one.
    """
    part = with_ids(part, outlines)
    frame = part.frame
    have = frame["stand_id"] if "stand_id" in frame else pd.Series("", index=frame.index, dtype=object)
    open_ = have.eq("").to_numpy()
    if not open_.any():
        return part, [], []
    drawn, column = _drawn(outlines)
    ids = [str(one) for one in drawn[column]] if len(drawn) else []
    if told := answers.told("fill", part.file, "stand_id"):
        given, how = np.where(open_, told, have), "said"
    elif len(ids) == 1:
        given, how = np.where(open_, ids[0], have), "only"
    elif ids and {"lon", "lat"} <= set(frame):
        given, how = np.where(open_, _by_place(frame, drawn, ids), have), "place"
    else:
        given, how = have.to_numpy(), ""
    filled = Part(
        part.table, part.file, part.called, frame.assign(stand_id=given), part.rows, part.shapes, part.headings
    )
    lost = int((pd.Series(given) == "").sum())
    questions = []
    if lost:
        facts = {"called": part.called, "column": "stand_id", "table": "plots", "n": lost, "ids": ids}
        questions.append(Question("fill", part.file, "stand_id", "", False, tuple(ids), facts))
    notes = [Note("stands_filled", {"called": part.called, "how": how, "n": int(open_.sum()) - lost})] if how else []
    return filled, questions, notes


def with_ids(part: Part, outlines: "dict[str, gpd.GeoDataFrame]") -> Part:
    """Stands by their ids where capitals, blanks and hyphens alone differ: "Back forty" is stand back-forty."""
    if "stand_id" not in part.frame:
        return part
    drawn, column = _drawn(outlines)
    ids = {spaced(str(one)): str(one) for one in drawn[column]} if len(drawn) else {}
    return replace(
        part, frame=part.frame.assign(stand_id=part.frame["stand_id"].map(lambda one: ids.get(spaced(one), one)))
    )


def _drawn(outlines: "dict[str, gpd.GeoDataFrame]") -> "tuple[gpd.GeoDataFrame, str]":
    """Stands and the column of their ids; without stands a parcel is one."""
    return (outlines["stands"], "stand_id") if len(outlines["stands"]) else (outlines["parcels"], "parcel_id")


def _by_place(frame: pd.DataFrame, drawn: Any, ids: list[str]) -> np.ndarray:
    """Id of the outline that each plot lies in, "" outside of all."""
    lon, lat = (pd.to_numeric(frame[name], errors="coerce").to_numpy() for name in ("lon", "lat"))
    out = np.full(len(frame), "", dtype=object)
    tree = shapely.STRtree(drawn.geometry.to_numpy())
    points, owners = tree.query(shapely.points(lon, lat), predicate="intersects")
    out[points[::-1]] = np.array(ids, dtype=object)[owners[::-1]]
    return out

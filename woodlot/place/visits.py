"""Plots measured more than once: the latest visit is the cruise, earlier ones show how trees grew.

A plot stands in plots.csv once a visit, each with its day; the trees of such a plot carry the day of their visit.
"""

from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd

from woodlot.errors import Fault
from woodlot.place.checked import Sheet

__all__ = ["part_visits"]


def part_visits(plots: Sheet, trees: Sheet, as_of: date, faults: list[Fault]) -> tuple[Sheet, Sheet, Sheet, Sheet]:
    """Plots and trees of each plot's latest visit until ``as_of`` (its first, if all are later), and of earlier ones.

    Plots that stand twice without two days are left as they are, for the check of names. Faults are appended.
    """
    frame = plots.frame
    rows = frame.groupby("plot_id")["date"].agg(["size", "nunique"])
    days = frame[frame["plot_id"].isin(rows.index[(rows["size"] > 1) & (rows["size"] == rows["nunique"])])]
    of_plot = {str(name): sorted(one) for name, one in days.groupby("plot_id")["date"]}
    _check(plots, trees, of_plot, faults)
    end = pd.Timestamp(as_of)
    counts = {name: max((d for d in one if d <= end), default=one[0]) for name, one in of_plot.items()}
    (plots_now, plots_then), (trees_now, trees_then) = (_parted(sheet, counts) for sheet in (plots, trees))
    again = trees_then.frame["tree"].notna() & trees_then.frame.duplicated(["plot_id", "tree", "date"])
    faults += trees_then.faults(again, "tree", "The same plot_id and tree may stand only once in a visit.")
    return plots_now, replace(trees_now, frame=trees_now.frame.drop(columns="date")), plots_then, trees_then


def _check(plots: Sheet, trees: Sheet, of_plot: dict[str, list[pd.Timestamp]], faults: list[Fault]) -> None:
    """A plot keeps its stand; each tree of a plot measured twice has the day of one of its visits."""
    stand = plots.frame["stand_id"]
    many = plots.frame["plot_id"].isin(list(of_plot))
    first = stand[many].groupby(plots.frame["plot_id"]).first()
    was = plots.frame["plot_id"].map(first)
    moved = many & stand.notna() & (stand != was)
    faults += plots.faults(
        moved,
        "stand_id",
        lambda at: (
            f"Plot {plots.frame['plot_id'].iloc[at]} lay in stand {was.iloc[at]} on another visit. "
            "Where the lines have moved, write the new stand in every visit."
        ),
    )
    day, name = trees.frame["date"], trees.frame["plot_id"]
    single = plots.frame[~many & plots.frame["date"].notna()].drop_duplicates("plot_id")
    known = of_plot | {str(n): [d] for n, d in zip(single["plot_id"], single["date"], strict=True)}
    wrong = trees.is_wrong("date")
    empty = name.isin(list(of_plot)) & day.isna() & ~wrong

    def visits(at: int) -> str:
        return " and ".join(f"{d:%Y-%m-%d}" for d in known[str(name.iloc[at])])

    faults += trees.faults(
        empty,
        "date",
        lambda at: f"Plot {name.iloc[at]} was measured on {visits(at)}: write the day on which this tree was.",
    )
    visited = [(n, d) for n, all_of in known.items() for d in all_of]
    seen = pd.MultiIndex.from_arrays([name.astype(object), day]).isin(visited) if visited else np.zeros(len(day), bool)
    lost = day.notna() & name.isin(list(known)) & ~seen
    faults += trees.faults(
        lost,
        "date",
        lambda at: f"No visit to plot {name.iloc[at]} on that day; plots has {visits(at)}.",
        lambda at: f"{day.iloc[at]:%Y-%m-%d}",
    )


def _parted(sheet: Sheet, counts: dict[str, pd.Timestamp]) -> tuple[Sheet, Sheet]:
    """Rows of the visit that counts of each plot, and rows of earlier ones."""
    many = sheet.frame["plot_id"].isin(list(counts))
    last = pd.to_datetime(sheet.frame["plot_id"].map(counts))
    return _rows(sheet, ~many | (sheet.frame["date"] == last)), _rows(sheet, many & (sheet.frame["date"] < last))


def _rows(sheet: Sheet, where: pd.Series) -> Sheet:
    keep = where.to_numpy(dtype=bool)
    wrong = {name: at[keep] for name, at in sheet.wrong.items()}
    return replace(
        sheet, frame=sheet.frame[keep].reset_index(drop=True), rows=np.asarray(sheet.rows)[keep], wrong=wrong
    )

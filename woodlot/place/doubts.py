"""What can be read and yet looks like a slip: of a whole column (meters for feet, parts for percents) or of one cell.

Remarks, of one cell with its row, since a family may be right. Faults are only what no standing tree can be:
lower than where its diameter was taken, no 4-in top above there, or so slender that it would not stand.
"""

from functools import partial
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import Fault
from woodlot.place.checked import Sheet
from woodlot.region import Region
from woodlot.say.words import plural
from woodlot.stand.plots import trees_per_ac_prism, trees_per_ac_round
from woodlot.tree.composite import beers
from woodlot.tree.stem import height_ft_default
from woodlot.units import BREAST_FT, CM_PER_IN, LOG_FT, M_PER_FT, basal_sqft

__all__ = ["doubts", "odd_rows"]

#: Pellet plots larger than this are not known from any practice [ft]; 48 is four feet in inches.
LARGE_PELLET_FT = 15.0
#: Half of the trees thicker than the one and lower than the other: the heights are likely meters [in, ft].
THICK_IN, LOW_FT = 8.0, 33.0
FEW = 5


def doubts(sheet: Sheet, faults: list[Fault], notes: list[str], *, region: Region) -> None:
    """Append the faults and remarks of columns that look odd as a whole."""
    if sheet.table in ("trees", "tally"):
        _trees(sheet, faults, notes, region=region)
    if sheet.table != "pellets":
        return
    wide = sheet.frame["radius_ft"] > LARGE_PELLET_FT
    if wide.any():
        largest, many = sheet.frame["radius_ft"].max(), int(wide.sum())
        notes.append(
            f"{sheet.file}: radius_ft is over {LARGE_PELLET_FT:g} in {plural(many, 'row')}, up to {largest:g}. "
            "Were these inches? A 4-ft stick is 4."
        )


def _trees(sheet: Sheet, faults: list[Fault], notes: list[str], *, region: Region) -> None:
    frame, figure = sheet.frame, partial(region.figure, "defaults_tree")
    low = frame["height_ft"].lt(BREAST_FT) & frame["dbh_in"].notna()
    remedy = f"Lower than {BREAST_FT:g} ft, where its diameter was taken. Logs are written into logs_16ft."
    faults += sheet.faults(low, "height_ft", remedy)
    times = (frame["height_ft"] - BREAST_FT) * 12 / frame["dbh_in"]
    faults += sheet.faults(
        times > figure("slenderest"),
        "height_ft",
        lambda at: (
            f"{times[at]:.0f} times as tall above {BREAST_FT:g} ft as its {sheet.text('dbh_in', at)} in: such a stem "
            "does not stand. Which of the two is a slip?"
        ),
    )
    top_in, merch = figure("merch_top_dob_in"), frame["merch_ft"]
    faults += sheet.faults(
        (merch > 0) & (merch < BREAST_FT - figure("stump_ft")) & (frame["dbh_in"] > top_in),
        "merch_ft",
        lambda at: (
            f"At {BREAST_FT:g} ft the stem is {sheet.text('dbh_in', at)} in thick: its {top_in:g}-in top is higher. "
            "merch_ft is in feet; logs are written into logs_16ft."
        ),
    )
    both = frame[frame["height_ft"].notna() & frame["dbh_in"].notna() & ~low]
    if len(both) >= FEW and both["dbh_in"].median() > THICK_IN and both["height_ft"].median() < LOW_FT:
        notes.append(
            f"{sheet.file}: half of height_ft is under {LOW_FT:g} ft. Are these meters? Then name the column height_m."
        )
    cull = pd.Series(frame["cull_pct"][frame["cull_pct"] > 0])
    if len(cull) >= FEW and cull.max() <= 1:
        notes.append(
            f"{sheet.file}: cull_pct is 1 or less throughout. It is percent of the stem: a tenth of it is 10, not 0.1."
        )


def odd_rows(sheets: dict[str, Sheet], region: Region, notes: list[str]) -> None:
    """Append remarks on single rows of trees and tally, and on plots, that can be so but are likely a slip."""
    for name in ("trees", "tally"):
        _odd_heights(sheets[name], region, notes)
        _odd_sizes(sheets[name], region, notes)
    _odd_plots(sheets["plots"], sheets["trees"], region, notes)


def _say(sheet: Sheet, where: pd.Series, notes: list[str], each: Any, ask: str) -> None:
    """One remark for the rows where ``where`` is true; ``each`` gives the words of a row from its position."""
    at = np.flatnonzero(np.asarray(where, dtype=bool))
    if len(at):
        rows = "; ".join(f"row {sheet.rows[one]}, {each(one)}" for one in at[:FEW])
        more = f"; and {len(at) - FEW} more" if len(at) > FEW else ""
        notes.append(f"{sheet.file}: {rows}{more}. {ask}")


def _odd_heights(sheet: Sheet, region: Region, notes: list[str]) -> None:
    frame, figure = sheet.frame, partial(region.figure, "defaults_tree")
    thick = frame["dbh_in"].ge(figure("merch_dbh_in"))
    trees = frame[frame["species"].isin(region.species.listed) & thick]
    usual = height_ft_default(trees["dbh_in"], trees["species"], region).reindex(frame.index)
    share = frame["height_ft"] / usual

    def words(at: int) -> str:
        high, dbh = frame["height_ft"].iloc[at], frame["dbh_in"].iloc[at]
        return f"{high:g} ft on {dbh:g} in, where {usual.iloc[at]:.0f} ft is usual"

    low = (share < figure("height_share_low")) & frame["alive"]
    if low.sum() < max(1, share.notna().sum() / 2) or share.notna().sum() < FEW:
        _say(sheet, low, notes, words, f"Were these meters? 1 m is {1 / M_PER_FT:.2f} ft.")
    most = figure("height_share_high")
    _say(sheet, share > most, notes, words, "Is the height the tree's age, or its diameter a slip?")
    logs, log_ft = frame["logs_16ft"], frame["logs_16ft"] * LOG_FT
    _say(
        sheet,
        frame["height_ft"].isna() & (log_ft > most * usual),
        notes,
        lambda at: (
            f"{logs.iloc[at]:g} logs, {log_ft.iloc[at]:g} ft, where the whole tree is usually {usual.iloc[at]:.0f}"
        ),
        "logs_16ft counts logs of 16 ft.",
    )
    merch = frame["merch_ft"]
    _say(
        sheet,
        merch.ge(BREAST_FT - figure("stump_ft")) & merch.lt(beers("merch_min_ft", region=region)) & thick,
        notes,
        lambda at: f"merch_ft {merch.iloc[at]:g} on {frame['dbh_in'].iloc[at]:g} in",
        "Were these logs? merch_ft is in feet; logs are written into logs_16ft.",
    )


def _odd_sizes(sheet: Sheet, region: Region, notes: list[str]) -> None:
    """Trees thicker than any of their kind that the volume equations were made from."""
    rows = region.table("accuracy_westfall_2024").query("quantity == 'wood_cuft' and division == 'all'")
    kinds = rows[rows["n_trees"] >= region.figure("defaults_tree", "good_row_trees")].set_index("species")
    frame = sheet.frame
    most, many = (frame["species"].map(kinds[column]) for column in ("dbh_max_in", "n_trees"))

    def words(at: int) -> str:
        dbh = frame["dbh_in"].iloc[at]
        return (
            f"{frame['species'].iloc[at]} of {dbh:g} in, where the thickest of {many.iloc[at]:,.0f} measured was "
            f"{most.iloc[at]:g} ({dbh:g} cm are {dbh / CM_PER_IN:.1f} in)"
        )

    _say(sheet, frame["dbh_in"] > most, notes, words, "Was it measured in inches?")


def _odd_plots(plots: Sheet, trees: Sheet, region: Region, notes: list[str]) -> None:
    """Rows that stand for very many trees an acre, and plots with more trunk than woods hold."""
    plot = plots.frame.drop_duplicates("plot_id").set_index("plot_id")
    frame, figure = trees.frame, partial(region.figure, "defaults_tree")
    factor = frame["plot_id"].map(plot["baf_sqft_per_ac"].where(plot["kind"] == "prism"))
    dbh, count = frame["dbh_in"], frame["count"]
    _say(
        trees,
        factor.notna() & dbh.notna() & (count >= figure("count_many")),
        notes,
        lambda at: f"count {count.iloc[at]} of {dbh.iloc[at]:g} in on one prism plot",
        "Is the diameter in the wrong column?",
    )
    per_ac = trees_per_ac_prism(dbh, factor)
    _say(
        trees,
        per_ac > figure("prism_row_most_per_ac"),
        notes,
        lambda at: f"a tree of {dbh.iloc[at]:g} in, counted with the prism, stands for {per_ac.iloc[at]:,.0f} an acre",
        "Is a point missing or too many?",
    )
    each = trees_per_ac_round(frame["plot_id"].map(plot["radius_ft"].where(plot["kind"] == "fixed")))
    trunk = factor.fillna(basal_sqft(dbh) * each) * count * (1 + frame["count_twice"])
    full = plots.frame["plot_id"].map(trunk.groupby(frame["plot_id"]).sum())
    _say(
        plots,
        full > figure("plot_most_sqft_per_ac"),
        notes,
        lambda at: f"plot {plots.frame['plot_id'].iloc[at]} shows {full.iloc[at]:,.0f} sq ft of trunks an acre",
        "Hardly any woods hold so much. Look at its factor or radius, and at diameters and count in its rows.",
    )

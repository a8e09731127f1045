"""What can be read and yet looks like a slip: of a whole column (parts for percents), of plots, of single trees.

Remarks with their rows, since a family may be right (single trees: ``odd_trees``). Faults are only what no standing
tree can be: lower than where its diameter was taken, no 4-in top above there, or so slender that it would not stand.
"""

from functools import partial

import pandas as pd

from woodlot.errors import Fault
from woodlot.place.checked import Sheet
from woodlot.place.odd_trees import FEW, as_sticks_or_logs, odd_trees, say_rows
from woodlot.region import Region
from woodlot.say.words import first_of, plural
from woodlot.stand.plots import trees_per_ac_prism, trees_per_ac_round
from woodlot.units import BREAST_FT, IN_PER_FT, LOG_FT, basal_sqft

__all__ = ["doubts", "odd_rows"]

#: Pellet plots larger than this are not known from any practice [ft]; 48 is four feet in inches.
LARGE_PELLET_FT = 15.0


def doubts(sheet: Sheet, faults: list[Fault], notes: list[str], *, region: Region) -> None:
    """Append the faults and remarks of columns that look odd as a whole."""
    if sheet.table in ("trees", "tally"):
        _trees(sheet, faults, notes, region=region)
        _heights(sheet, faults, notes)
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
    times = (frame["height_ft"] - BREAST_FT) * IN_PER_FT / frame["dbh_in"]
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
            f"merch_ft is in feet, and at {BREAST_FT:g} ft this stem is still over {top_in:g} in thick. Were these "
            f"sticks or logs? {as_sticks_or_logs(merch[at], region)}; logs are written into logs_16ft."
        ),
    )
    cull = pd.Series(frame["cull_pct"][frame["cull_pct"] > 0])
    if len(cull) >= FEW and cull.max() <= 1:
        notes.append(
            f"{sheet.file}: cull_pct is 1 or less throughout. It is percent of the stem: a tenth of it is 10, not 0.1."
        )


def _heights(sheet: Sheet, faults: list[Fault], notes: list[str]) -> None:
    """Total, merchantable and log height are three things, each within the one before."""
    frame = sheet.frame
    total, merch, logs = frame["height_ft"], frame["merch_ft"], frame["logs_16ft"]
    rounds = "Logs are counted to the sawlog top, merch_ft goes to a 4-in top."
    log_ft = logs * LOG_FT
    taller = log_ft > total
    far = (log_ft > merch + LOG_FT / 2) & ~taller
    faults += sheet.faults(merch > total, "merch_ft", lambda at: f"Higher than the tree, {total.iloc[at]:g} ft.")
    faults += sheet.faults(
        taller, "logs_16ft", lambda at: f"{log_ft.iloc[at]:g} ft of logs in a tree of {total.iloc[at]:g} ft."
    )
    faults += sheet.faults(
        far, "logs_16ft", lambda at: f"{log_ft.iloc[at]:g} ft of logs, but merch_ft is {merch.iloc[at]:g}. {rounds}"
    )
    near = (log_ft > merch) & ~far & ~taller
    if near.any():
        rows = first_of([str(row) for row in sheet.rows[near]], 5)
        notes.append(f"{sheet.file}, row {rows}: logs a little longer than merch_ft. {rounds}")


def odd_rows(sheets: dict[str, Sheet], region: Region, notes: list[str]) -> None:
    """Append remarks on single rows of trees and tally, and on plots, that can be so but are likely a slip."""
    for name in ("trees", "tally"):
        odd_trees(sheets[name], region, notes)
    _odd_plots(sheets["plots"], sheets["trees"], region, notes)


def _odd_plots(plots: Sheet, trees: Sheet, region: Region, notes: list[str]) -> None:
    """Rows that stand for very many trees an acre, and plots with more trunk than woods hold."""
    plot = plots.frame.drop_duplicates("plot_id").set_index("plot_id")
    frame, figure = trees.frame, partial(region.figure, "defaults_tree")
    factor = frame["plot_id"].map(plot["baf_sqft_per_ac"].where(plot["kind"] == "prism"))
    dbh, count = frame["dbh_in"], frame["count"]
    say_rows(
        trees,
        factor.notna() & dbh.notna() & (count >= figure("count_many")),
        notes,
        lambda at: f"count {count.iloc[at]} of {dbh.iloc[at]:g} in on one prism plot",
        "Is the diameter in the wrong column?",
    )
    per_ac = trees_per_ac_prism(dbh, factor)
    say_rows(
        trees,
        per_ac > figure("prism_row_most_per_ac"),
        notes,
        lambda at: f"a tree of {dbh.iloc[at]:g} in, counted with the prism, stands for {per_ac.iloc[at]:,.0f} an acre",
        "Is a point missing or too many?",
    )
    each = trees_per_ac_round(frame["plot_id"].map(plot["radius_ft"].where(plot["kind"] == "fixed")))
    trunk = factor.fillna(basal_sqft(dbh) * each) * count * (1 + frame["count_twice"])
    full = plots.frame["plot_id"].map(trunk.groupby(frame["plot_id"]).sum())
    say_rows(
        plots,
        full > figure("plot_most_sqft_per_ac"),
        notes,
        lambda at: f"plot {plots.frame['plot_id'].iloc[at]} shows {full.iloc[at]:,.0f} sq ft of trunks an acre",
        "Hardly any woods hold so much. Look at its factor or radius, and at diameters and count in its rows.",
    )

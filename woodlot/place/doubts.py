"""What can be read and yet looks like a slip of a whole column: feet for inches, meters for feet, parts for percents.

Said as remarks, since a family may be right; only a tree lower than where its diameter was taken is a fault.
"""

from typing import TYPE_CHECKING

import pandas as pd

from woodlot.errors import Fault

if TYPE_CHECKING:
    from woodlot.place.cells import Sheet

__all__ = ["doubts"]

BREAST_FT = 4.5
#: Pellet plots larger than this are not known from any practice [ft]; 48 is four feet in inches.
LARGE_PELLET_FT = 15.0
#: Half of the trees thicker than the one and lower than the other: the heights are likely meters [in, ft].
THICK_IN, LOW_FT = 8.0, 33.0
FEW = 5


def doubts(sheet: "Sheet", faults: list[Fault], notes: list[str]) -> None:
    """Append the faults and remarks of columns that look odd as a whole."""
    if sheet.table in ("trees", "tally"):
        _trees(sheet, faults, notes)
    if sheet.table != "pellets":
        return
    wide = sheet.frame["radius_ft"] > LARGE_PELLET_FT
    if wide.any():
        largest, many = sheet.frame["radius_ft"].max(), int(wide.sum())
        notes.append(
            f"{sheet.file}: radius_ft is over {LARGE_PELLET_FT:g} in {many} row{'' if many == 1 else 's'}, up to "
            f"{largest:g}. Were these inches? A 4-ft stick is 4."
        )


def _trees(sheet: "Sheet", faults: list[Fault], notes: list[str]) -> None:
    frame = sheet.frame
    low = frame["height_ft"].lt(BREAST_FT) & frame["dbh_in"].notna()
    remedy = f"Lower than {BREAST_FT:g} ft, where its diameter was taken. Logs are written into logs_16ft."
    faults.extend(sheet.faults(low, "height_ft", sheet.text("height_ft"), remedy))
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

"""Checks of the seedling plots: a plot that says two things of itself, pairs without a partner, fences without a pair.

check_seedlings    appends faults and notes
"""

import pandas as pd

from woodlot.errors import Fault
from woodlot.place.checked import Sheet
from woodlot.place.remedies import short
from woodlot.say.words import plural

__all__ = ["check_seedlings"]

#: What a plot says of itself, the same in every row of a visit that says anything.
_OF_PLOT = ("stand_id", "fenced", "pair", "open_sky_pct", "seed_trees", "lon", "lat")


def check_seedlings(sheet: Sheet, faults: list[Fault], notes: list[str]) -> None:
    """Append the faults and notes of the seedling table."""
    frame = sheet.frame
    if frame.empty:
        return
    plot = frame[["plot_id", "line"]].astype(object).fillna("").astype(str).agg("\t".join, axis=1)
    visit = plot + "\t" + frame["date"].astype(object).fillna("").astype(str)
    for column in _OF_PLOT:
        faults += _two_things(sheet, column, visit)
    fenced = frame["fenced"].fillna(False).astype(bool).groupby(plot).transform("any")
    pair = frame["pair"].groupby(plot).transform("first")
    sides = fenced.groupby(pair).agg(["any", "all"])
    alone = pair.map(sides["any"] & ~sides["all"]).eq(False) & frame["pair"].notna()
    faults += sheet.faults(
        alone & ~sheet.is_wrong("pair", "fenced"),
        "pair",
        lambda at: (
            f"No {'open' if fenced.iloc[at] else 'fenced'} plot has this pair. Write it there too, or take it out."
        ),
    )
    if lone := int(plot[fenced & pair.isna()].nunique()):
        notes.append(
            f"{sheet.file}: {plural(lone, 'fenced plot')} without a pair: deer do not reach them, so they count for "
            "nothing. Write the same pair on each and on an open plot beside it."
        )
    sky = frame["open_sky_pct"].dropna()
    if len(sky) and 0 < sky.max() <= 1:
        notes.append(
            f"{sheet.file}: open_sky_pct is {sky.max():g} at most. It is in percent: a quarter of the sky is 25."
        )


def _two_things(sheet: Sheet, column: str, visit: pd.Series) -> list[Fault]:
    """Rows that say another thing of their plot than an earlier row of the same visit."""
    cells = sheet.frame[column]
    first = cells.groupby(visit).transform("first")
    other = cells.notna() & (cells.astype(object) != first.astype(object))
    at_first = pd.Series(range(len(cells)), index=cells.index).where(cells.notna()).groupby(visit).transform("min")

    def remedy(at: int) -> str:
        row = sheet.rows[int(at_first.iloc[at])]
        return f"Row {row} says {short(sheet.text(column, int(at_first.iloc[at])))} of this plot. Which is right?"

    return sheet.faults(other & ~sheet.is_wrong(column), column, remedy)

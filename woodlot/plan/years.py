"""Years put beside each other: what was cut since a day.

winter_began   the day from which wood counts for the winter that a day belongs to
cords_cut      cords of firewood in the ledger since a day
"""

from datetime import date

import pandas as pd

from woodlot.plan import ledger

__all__ = ["cords_cut", "winter_began"]


def winter_began(as_of: date) -> date:
    """First of May before a day: from then on wood that is cut counts for the coming winter."""
    return date(as_of.year if as_of.month >= 5 else as_of.year - 1, 5, 1)


def cords_cut(book: pd.DataFrame, since: date) -> float:
    """Cords of firewood written in the ledger on or after a day, corrected lines left out."""
    if not len(book):
        return 0.0
    lines = ledger.standing(book)
    wanted = (lines["kind"] == "firewood") & (lines["unit"] == "cord") & (lines["date"] >= pd.Timestamp(since))
    return float(lines.loc[wanted, "amount"].sum())

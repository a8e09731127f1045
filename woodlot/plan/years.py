"""Years put beside each other: what was cut since a day.

winter_began   the day from which wood counts for the winter that a day belongs to
cords_cut      cords of firewood in the ledger since a day
changed        what the ledger and the plots say was done since a day, in words
"""

from datetime import date

import pandas as pd

from woodlot.plan import ledger
from woodlot.say import words
from woodlot.trade import ROUND_KINDS

__all__ = ["changed", "cords_cut", "winter_began"]


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


def changed(book: pd.DataFrame, stands: pd.DataFrame, since: date) -> list[str]:
    """What was done since a day: firewood, other wood, deer, stands cruised anew; [] where nothing was.

    ``stands`` has stand_id and measured_on (``stand.cruise.summary``).
    """
    out = []
    if len(book):
        lines = ledger.standing(book)
        lines = lines[lines["date"] >= pd.Timestamp(since)]
        cords = float(lines.loc[(lines["kind"] == "firewood") & (lines["unit"] == "cord"), "amount"].sum())
        deer = lines.loc[lines["kind"] == "deer", "amount"].fillna(1.0).sum()
        pieces = lines[lines["kind"].isin(ROUND_KINDS) & (lines["unit"] == "piece")].groupby("kind")["amount"].sum()
        boards = lines[lines["kind"] == "sawlog"]
        out += [f"{words.amount(cords, 'cords')} of firewood cut"] if cords else []
        out += [f"{n:.0f} {kind}{'' if n == 1 else 's'} cut" for kind, n in pieces.items() if n]
        out += [f"sawlogs cut on {len(boards)} day{'' if len(boards) == 1 else 's'}"] if len(boards) else []
        out += [f"{deer:.0f} deer taken"] if deer else []
    cruised = stands.loc[pd.to_datetime(stands["measured_on"]) >= pd.Timestamp(since), "stand_id"].astype(str).tolist()
    if cruised:
        out.append(f"plots in stand{'' if len(cruised) == 1 else 's'} {', '.join(cruised)}")
    return out

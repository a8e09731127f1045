"""Years put beside each other: what was cut since a day.

cords_cut   cords of firewood in the ledger since a day
changed     what the ledger and the plots say was done since a day
"""

from datetime import date

import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.plan import ledger
from woodlot.trade import ROUND_KINDS
from woodlot.wood.drawn_down import made

__all__ = ["changed", "cords_cut"]


def cords_cut(book: pd.DataFrame, since: date) -> float:
    """Cords of firewood written in the ledger on or after a day, corrected lines left out."""
    return made(ledger.standing(book), "firewood", since) if len(book) else 0.0


def changed(book: pd.DataFrame, stands: pd.DataFrame, since: date) -> tuple[Reason, ...]:
    """What was done since a day: firewood, other wood, deer, stands cruised anew; nothing where nothing was.

    ``stands`` has stand_id and measured_on (``stand.cruise.summary``).
    """
    out = []
    if len(book):
        lines = ledger.standing(book)
        lines = lines[lines["date"] >= pd.Timestamp(since)]
        kind, amount = lines["kind"], lines["amount"]
        pieces = lines[kind.isin(ROUND_KINDS) & (lines["unit"] == "piece")].groupby("kind")["amount"].sum()
        done = [("firewood", cords_cut(book, since)), *pieces.items(), ("sawlog", float((kind == "sawlog").sum()))]
        done.append(("deer", float(amount[kind == "deer"].fillna(1.0).sum())))
        out = [reason("done", kind=str(what), number=float(number)) for what, number in done if number]
    cruised = stands.loc[pd.to_datetime(stands["measured_on"]) >= pd.Timestamp(since), "stand_id"].astype(str)
    return (*out, *([reason("cruised", stands=tuple(cruised))] if len(cruised) else []))

"""Years put beside each other: what was cut since a day.

changed        what the ledger and the plots say was done since a day
"""

from datetime import date

import pandas as pd

from woodlot import ledger
from woodlot.estimate import Reason, reason
from woodlot.plan import noted
from woodlot.plan.done import made
from woodlot.trade import ROUND_KINDS

__all__ = ["changed"]


def changed(book: pd.DataFrame, stands: pd.DataFrame, since: date, until: date | None = None) -> tuple[Reason, ...]:
    """What was done since a day: firewood, other wood, deer, weather, plantings, lines walked, stands cruised; nothing
    where nothing was.

    ``stands`` has stand_id and measured_on (``stand.cruise.summary``). until: the last day whose lines count.
    """
    out = []
    if len(book):
        lines = ledger.standing(book)
        lines = lines[lines["date"] >= pd.Timestamp(since)]
        lines = lines if until is None else lines[lines["date"] <= pd.Timestamp(until)]
        kind, amount = lines["kind"], lines["amount"]
        pieces = lines[kind.isin(ROUND_KINDS) & (lines["unit"] == "piece")].groupby("kind")["amount"].sum()
        cords, logs = made(lines, "firewood", since), float((kind == "sawlog").sum())
        done = [("firewood", cords), *pieces.items(), ("sawlog", logs)]
        done.append(("deer", float(amount[kind == "deer"].fillna(1.0).sum())))
        out = [reason("done", kind=str(what), number=float(number)) for what, number in done if number]
        out += noted.of_year(lines)
    cruised = stands.loc[pd.to_datetime(stands["measured_on"]) >= pd.Timestamp(since), "stand_id"].astype(str)
    return (*out, *([reason("cruised", stands=tuple(cruised))] if len(cruised) else []))

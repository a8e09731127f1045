"""The bag: deer the family took, by season.

fall_of             the fall whose season a day belongs to
taken_by_year       deer the family took by season, from bag and ledger
"""

import pandas as pd

from woodlot.deer.answer import Taken
from woodlot.trade import ANTLERED, ANTLERLESS

#: Month from which a day belongs to the coming fall; before it, January's hunt too, to the season that began last fall.
TURNS = 7

__all__ = ["fall_of", "taken_by_year"]


def fall_of(day):
    """Year of the fall whose season a day belongs to, for a day or a column of days: 3 January 2027 -> 2026."""
    days = day.dt if isinstance(day, pd.Series) else day
    return days.year - (days.month < TURNS)


def taken_by_year(bag: pd.DataFrame | None, ledger: pd.DataFrame | None) -> dict[int, Taken]:
    """Deer the family took, by season; does are all deer without antlers, buck fawns too.

    Bag and the standing lines of the ledger (kind "deer", by `fall_of`) may hold the same deer or each some of its own:
    of each season and kind the larger of the two numbers counts.
    """
    books = []
    if bag is not None and len(bag):
        books.append(pd.DataFrame({"year": bag["year"], "who": bag["sex_age"], "n": bag["number"].fillna(1)}))
    if ledger is not None and len(ledger):
        rows = ledger[ledger["kind"].eq("deer")]
        year = fall_of(pd.to_datetime(rows["date"]))
        books.append(pd.DataFrame({"year": year, "who": rows["sex_age"], "n": rows["amount"].fillna(1)}))
    if not books:
        return {}
    rows = pd.concat(books, keys=range(len(books)), names=["book", None]).dropna(subset=["year"]).reset_index("book")
    n = rows["n"].astype(float)
    bucks, does = (n.where(rows["who"].isin(kinds), 0.0) for kinds in (ANTLERED, ANTLERLESS))
    each = pd.DataFrame({"bucks": bucks, "does": does}).groupby([rows["year"].astype(int), rows["book"]]).sum()
    most = each.groupby("year").max()
    pairs = zip(most.index, most["bucks"], most["does"], strict=True)
    return {int(year): Taken(float(b), float(d)) for year, b, d in pairs}

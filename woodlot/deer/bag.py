"""The bag: deer the family took, by season.

fall_of             the fall whose season a day belongs to
killed_by_fall      deer the family took by fall, from bag and ledger, with ages and milk where they are known
taken_by_year       does and bucks of it
noted               lines of the ledger as rows of the bag

A family wants each deer counted once, in the season it was taken in: one of 3 January belongs to last fall.
"""

from typing import Any

import numpy as np
import pandas as pd

from woodlot.deer.answer import Taken
from woodlot.region import Region
from woodlot.trade import ANTLERED, ANTLERLESS, DOES, MILK, WITH_MILK

#: Month from which a day belongs to the coming fall; before it, January's hunt too, to the season that began last fall.
TURNS = 7
#: How older lines of the ledger tell age and weight in their words, and milk.
_IN_WORDS = (("age_yr", "age", "yr"), ("dressed_lb", "dressed", "lb"))
_MILK_IN_WORDS = rf"(?:^|; )({'|'.join(MILK)})(?=;|$)"
KILLED = ("does", "bucks", "yearling_bucks", "older_bucks", "with_milk", "without_milk")

__all__ = ["KILLED", "fall_of", "killed_by_fall", "milk_tells", "noted", "taken_by_year"]


def fall_of(day):
    """Year of the fall whose season a day belongs to, for a day or a column of days: 3 January 2027 -> 2026."""
    days = day.dt if isinstance(day, pd.Series) else day
    return days.year - (days.month < TURNS)


def noted(lines: pd.DataFrame) -> pd.DataFrame:
    """Lines of the ledger as rows of the bag: year, date, sex_age, number, age_yr, dressed_lb, milk.

    Lines from before there were columns for the last three hold them in words, as ``age 3.5 yr; dressed 104 lb; milk``;
    a column goes before the words.
    """
    cells = lines.reindex(columns=[*lines.columns, *({"text", "age_yr", "dressed_lb", "milk"} - {*lines.columns})])
    text, number = cells["text"].astype("string").fillna(""), r"(\d+(?:\.\d+)?)"
    day = pd.to_datetime(lines["date"])
    said = {name: rf"\b{word} {number} {unit}" for name, word, unit in _IN_WORDS}
    told = {
        name: cells[name].astype(float).fillna(text.str.extract(way, expand=False).astype(float))
        for name, way in said.items()
    }
    milk = cells["milk"].astype("string").fillna(text.str.extract(_MILK_IN_WORDS, expand=False))
    return pd.DataFrame(
        {
            "year": fall_of(day),
            "date": day,
            "sex_age": lines["sex_age"],
            "number": lines["amount"].fillna(1),
            **told,
            "milk": [None if pd.isna(one) else one for one in milk],
        }
    )


def milk_tells(rows: pd.DataFrame, region: Region) -> np.ndarray:
    """Which rows of the bag tell whether a doe had a fawn: does with milk judged and a day up to mid-November."""
    day = pd.to_datetime(rows["date"])
    early = (day.dt.month >= TURNS) & (
        100 * day.dt.month + day.dt.day <= region.figure("defaults_herd", "milk_last_day")
    )
    return (early & rows["sex_age"].isin(DOES) & rows["milk"].notna()).to_numpy(bool)


def killed_by_fall(bag: pd.DataFrame | None, ledger: pd.DataFrame | None, region: Region) -> pd.DataFrame:
    """Deer the family took by fall: does, bucks, yearling_bucks, older_bucks, with_milk, without_milk.

    bag: rows of bag.csv; ledger: its standing lines (kind "deer", by `fall_of`). Does are all deer without antlers,
    buck fawns and deer nobody could tell too; bucks of known age stand in the columns of ages as well. Both books may
    hold the same deer or each some of its own: of each fall and column the larger number counts.
    """
    books = [bag] if bag is not None and len(bag) else []
    if ledger is not None and len(ledger):
        books.append(noted(ledger[ledger["kind"].eq("deer")]))
    if not books:
        return pd.DataFrame(columns=list(KILLED), index=pd.Index([], name="fall", dtype=int), dtype=float)
    names = ["year", "date", "sex_age", "number", "age_yr", "milk"]
    rows = pd.concat([book.reindex(columns=names).assign(book=at) for at, book in enumerate(books)], ignore_index=True)
    rows = rows[rows["year"].notna()]
    told, had = milk_tells(rows, region), rows["milk"].eq(WITH_MILK)
    n, age = rows["number"].fillna(1).astype(float), rows["age_yr"].astype(float)
    antlered = rows["sex_age"].isin(ANTLERED)
    young = antlered & (rows["sex_age"].eq("yearling buck") | (age < 2))
    parts: dict[str, Any] = {
        "does": rows["sex_age"].isin(ANTLERLESS),
        "bucks": antlered,
        "yearling_bucks": young,
        "older_bucks": antlered & ~young & (age >= 2),
        "with_milk": told & had,
        "without_milk": told & ~had,
    }
    each = pd.DataFrame({name: n.where(which, 0.0) for name, which in parts.items()})
    out = each.groupby([rows["year"].astype(int).rename("fall"), rows["book"]]).sum().groupby("fall").max()
    return out.assign(bucks=out[["yearling_bucks", "older_bucks"]].sum(axis=1).clip(lower=out["bucks"]))


def taken_by_year(bag: pd.DataFrame | None, ledger: pd.DataFrame | None, region: Region) -> dict[int, Taken]:
    """Does and bucks that the family took, by season."""
    killed = killed_by_fall(bag, ledger, region)
    return {
        int(y): Taken(float(b), float(d)) for y, b, d in zip(killed.index, killed["bucks"], killed["does"], strict=True)
    }

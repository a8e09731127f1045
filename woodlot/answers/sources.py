"""Where the figures of an answer come from, and which of them are from memory: the rows that were read, no others.

memory_and_sources   figures from memory, and all sources with their marks
"""

from collections.abc import Iterable

import pandas as pd

from woodlot.answers.types import Source
from woodlot.region import Read, Region, rows_read

__all__ = ["memory_and_sources"]

OWN = "as the family's own region says"
#: What a row is called by, the first of these that its table has.
CALLED = ("meaning", "what", "text", "species", "type", "name")


def memory_and_sources(region: Region, reads: Iterable[Read]) -> tuple[tuple[str, ...], tuple[Source, ...]]:
    """Figures from memory among the rows read, and the sources of all of them with their marks."""
    marked, remembered = [pd.DataFrame({"source": [], "seen": []}, dtype=str)], []
    for topic, rows in rows_read(region, reads).items():
        marked.append(rows[["source", "seen"]])
        past = rows[rows["seen"] == "memory"]
        if len(past):
            label = next((c for c in CALLED if c in past), past.columns[0])
            some = list(dict.fromkeys(past[label].astype(str)))
            remembered.append(f"{topic}: {'; '.join(some[:6])}{f'; and {len(some) - 6} more' if len(some) > 6 else ''}")
    marks = pd.concat(marked).drop_duplicates().groupby("source")["seen"].agg(lambda s: ", ".join(sorted(s)))
    books = region.table("sources", rows=()).fillna("").set_index("key").to_dict("index")
    listed = (Source(str(k), _cite(books[k]) if k in books else f"{k}, {OWN}.", str(s)) for k, s in marks.items())
    return tuple(remembered), tuple(listed)


def _cite(book: dict) -> str:
    year = str(book["year"]).removesuffix(".0")
    parts = [f"{book['author']} {year}".strip(), str(book["title"]), str(book["series"]), str(book["publisher"])]
    return ", ".join(p for p in parts if p) + "."

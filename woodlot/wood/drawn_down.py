"""What the ledger says was made, set against what is due.

notes_of       notes of a product, each of which is spoken for once
Due, met       numbers that notes of some days may meet; how much of each is met
winter_began   the day from which wood counts for the winter that a day belongs to

A note counts for what its words name, else for what is due first; the oldest notes go first. The ledger knows no sizes:
a post is a post.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

__all__ = ["Due", "Notes", "met", "notes_of", "winter_began"]

#: What the ledger notes of a product: kind, and how its unit begins.
NOTED = {
    "post": ("post", "piece"),
    "pole": ("pole", "piece"),
    "sawlog": ("sawlog", "piece"),
    "board feet": ("sawlog", "bdft"),
    "firewood": ("firewood", "cord"),
    "chips": ("chips", "cuyd"),
}
#: Month in which wood begins to count for the coming winter; a day from then on is past the winter before.
SPRING = 5


@dataclass(frozen=True)
class Due:
    """A number of a product that notes from one day to another meet; last: the day it is due; names: what the words of
    a note may call it; first: whether it is met before all others.
    """

    product: str
    number: float
    since: date
    until: date
    last: date
    names: tuple[str, ...] = ()
    first: bool = False


@dataclass
class Notes:
    """Notes of one product, the oldest first: day, which name of the list its words hold, what is not spoken for."""

    days: np.ndarray
    named: np.ndarray
    free: np.ndarray

    def take(self, number: float, since: date, until: date, names: Sequence[str] | None = None) -> float:
        """Take up to a number from the notes of some days, the oldest first; names: only from notes that name one."""
        fits = (self.days >= np.datetime64(since)) & (self.days <= np.datetime64(until))
        if names is not None:
            fits &= np.isin(self.named, list(names))
        there = np.where(fits, self.free, 0.0)
        got = np.clip(number - np.cumsum(there) + there, 0.0, there)
        self.free = self.free - got
        return float(got.sum())


def winter_began(as_of: date) -> date:
    """First of May before a day: from then on wood that is cut counts for the coming winter."""
    return date(as_of.year if as_of.month >= SPRING else as_of.year - 1, SPRING, 1)


def _noted(ledger: pd.DataFrame, product: str) -> pd.DataFrame:
    """Standing lines of the ledger that say how much of a product was made, the oldest first."""
    kind, unit = NOTED[product]
    if not len(ledger):
        return ledger
    of = (ledger["kind"] == kind) & ledger["unit"].fillna("").str.startswith(unit) & (ledger["amount"] > 0)
    return ledger[of].sort_values("date", kind="stable")


def notes_of(lines: pd.DataFrame, names: Iterable[str]) -> Notes:
    """Lines of the ledger as notes; of names that stand in one another a note holds the longest."""
    if not len(lines):
        return Notes(np.array([], dtype="datetime64[D]"), np.array([], dtype=object), np.zeros(0))
    texts = lines["text"].fillna("").str.lower().tolist()
    longest = sorted(set(names), key=len, reverse=True)
    named = [next((name for name in longest if name in text), "") for text in texts]
    amounts = lines["amount"].fillna(1.0).to_numpy(dtype=float)
    return Notes(lines["date"].to_numpy(dtype="datetime64[D]"), np.array(named, dtype=object), amounts)


def met(dues: Sequence[Due], ledger: pd.DataFrame) -> list[float]:
    """How much of each is made by the standing lines of a ledger: by notes that name it, then by what is due first."""
    names = {name for due in dues for name in due.names}
    lines = {product: _noted(ledger, product) for product in {due.product for due in dues}}
    notes = {product: notes_of(of, names) for product, of in lines.items() if len(of)}
    order = sorted(range(len(dues)), key=lambda k: (not dues[k].first, dues[k].last, k))
    out = [0.0] * len(dues)
    for by_name in (True, False):
        for k in order:
            due = dues[k]
            if due.product in notes:
                names_of = due.names if by_name else None
                out[k] += notes[due.product].take(due.number - out[k], due.since, due.until, names_of)
    return out

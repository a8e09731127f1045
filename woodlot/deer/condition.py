"""How well fed the family's deer are: weights by class beside the region's, beams of bucks.

condition     what the scale and the beams say, class by class

A hunter wants to know whether the deer are thin, usual or heavy here. It takes dozens of weights to see crowding in
them, so they set no number of deer.
"""

import pandas as pd

from woodlot.deer.bag import noted
from woodlot.estimate import Reason, reason
from woodlot.region import Region

__all__ = ["condition"]


def condition(bag: pd.DataFrame | None, ledger: pd.DataFrame | None, region: Region) -> list[Reason]:
    """Mean dressed weight of each class with its word, and the mean beam; of a class in both books the longer list.

    Notes: thin below the region's low, heavy above its high (deer_weights.csv), usual between.
    """
    books = [] if bag is None else [bag]
    if ledger is not None and len(ledger):
        books.append(noted(ledger[ledger["kind"].eq("deer")]))
    names = ["sex_age", "number", "dressed_lb", "beam_in"]
    rows = [book.reindex(columns=names).assign(number=book["number"].fillna(1).astype(float)) for book in books]
    weights = []
    for one in region.table("deer_weights").to_dict("records"):
        lists = [book[book["sex_age"].eq(one["sex_age"]) & book["dressed_lb"].notna()] for book in rows]
        weighed = max(lists, key=lambda book: book["number"].sum(), default=None)
        if weighed is None or not weighed["number"].sum():
            continue
        mean = float((weighed["dressed_lb"] * weighed["number"]).sum() / weighed["number"].sum())
        word = "thin" if mean < float(one["low"]) else "heavy" if mean > float(one["high"]) else "usual"
        weights.append((str(one["sex_age"]), float(weighed["number"].sum()), mean, word))
    out = [reason("weights", of=tuple(weights))] if weights else []
    beams = [book[book["beam_in"].notna()] for book in rows]
    most = max(beams, key=len, default=None)
    if most is not None and len(most):
        out.append(reason("beams", deer=len(most), mean=float(most["beam_in"].astype(float).mean())))
    return out

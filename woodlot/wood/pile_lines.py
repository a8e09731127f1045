"""Lines of firewood as the woodpile reads them.

wood_lines   lines of the ledger in the order in which wood moves
told         each as a ``PileLine``, with what its words say
"""

import re
from datetime import date
from typing import NamedTuple

import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region, once
from woodlot.trade import DRYING_KINDS

__all__ = ["PileLine", "told", "wood_lines"]

_DAY = r"(\d{4}-\d{2}-\d{2})"


def wood_lines(ledger: pd.DataFrame, as_of: date) -> pd.DataFrame:
    """Standing lines of firewood in cords until a day, the day's own in the order in which wood moves."""
    day = pd.to_datetime(ledger["date"])
    rows = ledger[ledger["kind"].isin(DRYING_KINDS) & (ledger["unit"] == "cord") & (day <= pd.Timestamp(as_of))]
    rows = rows[rows["amount"] > 0]
    order = rows["kind"].map({kind: at for at, kind in enumerate(DRYING_KINDS)})
    return rows.assign(order=order).sort_values(["date", "order", "line"], kind="stable")


class PileLine(NamedTuple):
    """A line of the ledger as the woodpile reads it."""

    line: int
    day: date
    kind: str
    species: str
    cords: float
    cut_on: date | None
    split_on: date | None
    cover: str
    rounds: bool


class _Words(NamedTuple):
    """What the words of a line say of its wood."""

    species: str
    cut_on: date | None
    split_on: date | None
    cover: str
    rounds: bool


def told(lines: pd.DataFrame, region: Region) -> list[PileLine]:
    """Lines as the woodpile reads them; words that many lines say are read once."""
    codes, distinct = pd.factorize(lines["text"].fillna("").astype(str).to_numpy(dtype=object))
    words = [_words(said, region) for said in distinct]
    named = lines["species"].where(lines["species"].isin(list(region.species.listed))) if "species" in lines else None
    species = [None] * len(lines) if named is None else named.astype(object).where(named.notna(), None)
    return [
        PileLine(line, day, kind, wood or said.species, cords, *said[1:])
        for line, day, kind, wood, cords, said in zip(
            lines["line"].astype("int64").tolist(),
            pd.to_datetime(lines["date"]).dt.date,
            lines["kind"].astype(str).to_numpy(dtype=object),
            species,
            lines["amount"].astype(float).tolist(),
            (words[code] for code in codes),
            strict=True,
        )
    ]


def _words(said: str, region: Region) -> _Words:
    return _Words(
        _wood_named(said, region=region),
        _day_in(said, "cut"),
        _day_in(said, "split"),
        "open" if re.search(r"\b(?:open|uncovered)\b", said) else "covered",
        bool(re.search(r"\brounds?\b", said)),
    )


def _day_in(said: str, what: str) -> date | None:
    found = re.search(rf"\b{what} {_DAY}", said)
    try:
        return date.fromisoformat(found[1]) if found else None
    except ValueError:
        return None


@once
def _wood_named(text: str, *, region: Region) -> str:
    """The wood that words begin with, else the first that they hold; "" for none."""
    first = re.split(r"[,;:.]|\s(?:cut|split)\s|\srounds?\b", text.strip(), maxsplit=1)[0]
    try:
        return region.species.name(first)
    except InputError:
        plain = text.lower()
        names = sorted(region.species.listed, key=len, reverse=True)
        return next((name for name in names if re.search(rf"\b{re.escape(name)}", plain)), "")

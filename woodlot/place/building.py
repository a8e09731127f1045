"""What the family builds: rows of builds.csv and of own ready lists that cannot act, and the pieces of each [[builds]].

check_builds   faults of the pieces of a table
with_pieces    [[builds]] of place.toml, each with its pieces
"""

from collections.abc import Collection, Mapping, Sequence
from typing import Any

import pandas as pd

from woodlot import trade
from woodlot.errors import Fault, InputError
from woodlot.place.checked import Sheet
from woodlot.region import Region
from woodlot.wood.builds import pieces_of, ready
from woodlot.wood.need_lines import sides

__all__ = ["check_builds", "with_pieces"]

#: Columns of a piece that hold one word of a list.
WORDS: Mapping[str, Collection[str]] = {"product": trade.SIZED, "straight": trade.STRAIGHT, "in_ground": ("yes", "no")}


def check_builds(sheet: Sheet, region: Region) -> list[Fault]:
    """Faults of pieces: words that nothing reads, sides that are none, two sizes at once, woods nobody knows."""
    rows, out = sheet.frame, []
    text = {name: rows[name].astype(object).fillna("").astype(str).str.strip() for name in ("sawn_in", "wood")}
    for column, words in WORDS.items():
        if not pd.api.types.is_bool_dtype(rows[column]):
            told = rows[column].astype(object).fillna("").astype(str)
            strange = ~told.isin([*words, "" if column == "straight" else next(iter(words))]) & ~sheet.is_wrong(column)
            out += sheet.faults(strange, column, lambda at, of=told, w=words: trade.unknown(of.iloc[at], w))
    out += sheet.faults(text["sawn_in"].map(_no_sides), "sawn_in", "Write both sides in inches, as 8x8.")
    both = (text["sawn_in"] != "") & rows["top_in"].notna()
    out += sheet.faults(both, "top_in", "The sides of sawn_in give the top. Leave one of the two empty.")
    not_log = (text["sawn_in"] != "") & ~rows["product"].isin(trade.SAWN) & ~sheet.is_wrong("product")
    out += sheet.faults(not_log, "product", "What is sawn square is a sawlog.")
    thick = rows["butt_in"] < rows["top_in"]
    out += sheet.faults(thick, "butt_in", lambda at: f"Thinner than the top, {rows['top_in'].iloc[at]:g} in.")
    return out + sheet.faults(
        text["wood"].map(lambda of: _strange_wood(of, region=region)),
        "wood",
        "Write any, lasting, hardwood, softwood, or names of trees.",
    )


def _no_sides(sawn_in: str) -> bool:
    try:
        return bool(sawn_in) and not sides(sawn_in)
    except InputError:
        return True


def _strange_wood(names: str, *, region: Region) -> bool:
    try:
        each = [name for name in names.split(";") if name.strip().lower() not in ("", *trade.WOODS)]
        return not all(map(region.species.name, each))
    except InputError:
        return True


def with_pieces(
    builds: Sequence[Mapping[str, Any]], sheet: Sheet, faults: list[Fault], *, region: Region
) -> list[dict[str, Any]]:
    """[[builds]] of place.toml with their pieces; a name that no list has, or without a piece, is a fault.

    sheet: the family's builds.csv.
    """
    out = []
    for at, build in enumerate(builds, start=1):
        name, known = str(build["name"]), ready(sheet.frame, region=region)
        pieces = pieces_of(name, sheet.frame, region=region) if name in known else []
        if not pieces:
            more = f" Or write its pieces into builds.csv, a row each, with {name} as build."
            remedy = "It has no piece." if name in known else trade.unknown(name, known)
            faults.append(Fault("place.toml", None, f"builds, number {at}, name", name, remedy + more))
        out.append({**build, "pieces": pieces})
    return out

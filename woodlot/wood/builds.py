"""What a family builds, piece by piece: ready lists of the region, and the family's own in their place.

ready       names of the builds that are known
pieces_of   the pieces of one build, as needs that ``need_lines.line_of`` reads

A builder wants to know which stick is for what before he fells: how long, how thick at its thin end, whether it stands
in earth, how straight. No list says that a piece is strong enough.
"""

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd

from woodlot.region import Region
from woodlot.trade import STRAIGHT_OF

__all__ = ["pieces_of", "ready"]

SIZES = ("length_ft", "top_in", "butt_in", "sawn_in", "straight", "wood")
#: What ready lists say besides.
MORE = ("best_of", "note", "seen")


def ready(own: pd.DataFrame, *, region: Region) -> tuple[str, ...]:
    """Names of the builds that are known, the family's own (rows of their builds.csv) first."""
    return tuple(dict.fromkeys([*own["build"].dropna(), *region.table("builds")["build"]]))


def pieces_of(name: str, own: pd.DataFrame, *, region: Region) -> Sequence[Mapping[str, Any]]:
    """The pieces of one build: piece, number, product, in_ground, what else is written of them; none of number 0.

    own: the family's builds.csv; a build that stands there is read from there alone.
    """
    mine = own[own["build"] == name]
    rows = mine if len(mine) else _rows(name, region=region)
    return [_need(row) for row in rows.to_dict("records") if row["number"] > 0]


def _rows(name: str, *, region: Region) -> pd.DataFrame:
    whole = region.table("build_pieces", rows=())
    rows = whole[whole["build"] == name]
    region.note("build_pieces", (rows["build"] + " " + rows["piece"]).tolist())
    return rows.assign(in_ground=rows["in_ground"] == "yes")


def _need(row: Mapping[Any, Any]) -> Mapping[str, Any]:
    written = [name for name in (*SIZES, *MORE) if pd.notna(row.get(name)) and row[name] != ""]
    sizes = {name: row[name] for name in written}
    plain = {name: row[name] for name in ("piece", "number", "product")} | {"in_ground": bool(row["in_ground"])}
    return {"straight": STRAIGHT_OF.get(row["product"])} | plain | sizes

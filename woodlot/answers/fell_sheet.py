"""Rows of the buck sheet in the answers: the trees to fell with their cuts, for the verb and for the plan.

sheet     trees to fell with their pieces from the butt up
rows      rows of a table as answers of a kind
records   the same as plain mappings
"""

from collections.abc import Sequence
from dataclasses import fields
from typing import Any, TypeVar

import numpy as np
import pandas as pd

from woodlot.answers import fell_types as types
from woodlot.region import Region
from woodlot.tree.inputs import column
from woodlot.tree.quality import FORK, parts
from woodlot.wood.worths import judged

__all__ = ["records", "rows", "sheet"]

T = TypeVar("T")


def records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """The rows of a table, what is missing as None."""
    return frame.astype(object).where(frame.notna(), None).to_dict("records")  # type: ignore[return-value]


def rows(kind: type[T], frame: pd.DataFrame) -> tuple[T, ...]:
    """The rows of a table as answers of a kind, from the columns that are its fields."""
    names = [f.name for f in fields(kind) if f.name in frame]  # type: ignore[arg-type]
    return tuple(kind(**row) for row in records(frame[names]))


def sheet(
    trees: pd.DataFrame, pieces: pd.DataFrame, purposes: Sequence[str], *, region: Region
) -> tuple[types.SheetTree, ...]:
    """The trees to fell with their pieces from the butt up, feet from the stump cut; purposes: of the lines."""
    stump_ft = region.figure("defaults_tree", "stump_ft")
    up = pieces.sort_values("from_ft")
    up = up.assign(
        from_ft=up["from_ft"] - stump_ft,
        to_ft=up["to_ft"] - stump_ft,
        asked=up["line"] >= 0,
        purpose=[purposes[at] if at >= 0 else "" for at in up["line"]],
    )
    cuts = {stem: rows(types.Cut, mine) for stem, mine in up.groupby("stem")}
    short = _cut_short(trees, region)
    return tuple(
        types.SheetTree(
            tree=str(row["tree"] or row["position"] + 1),
            stand_id=row["stand_id"] or "",
            species=row["species"],
            dbh_in=row["dbh_in"],
            height_ft=row["height_ft"],
            why=row["why"],
            cuts=() if row["why"] else cuts.get(row["position"], ()),
            rest="chips" if row["chipped"] else "firewood",
            short=short.get(row["position"]),
        )
        for row in records(trees)
    )


def _cut_short(trees: pd.DataFrame, region: Region) -> dict[int, types.CutShort]:
    """By position, what words or a defect with its place left of the pieces of a tree."""
    said_ = judged(trees, region=region)
    names = ["longest_log_ft", "best_grade", "longest_post_ft", "poles", "first_ft_to_stove", "scale_left_share"]
    bare = judged(trees.iloc[:1].assign(quality=""), region=region)[names]
    less = (said_[names].to_numpy(dtype=float) != bare.to_numpy(dtype=float)).any(axis=1) if len(trees) else []
    rows = said_[[*names, "words"]].assign(
        position=trees["position"],
        fork=[FORK in parts(words) for words in said_["words"]],
        **{f"{end}_ft": column(trees, f"defect_{end}_ft") for end in ("from", "to")},
    )
    rows["best_grade"] = rows["best_grade"].astype(int)
    some = rows[np.asarray(less, dtype=bool) | rows["fork"] | rows["from_ft"].notna()]
    return {int(row.pop("position")): types.CutShort(**row) for row in records(some)}

"""Words on a tree: what a crook, a fork or "at risk" leaves of its stem, and how soon the tree goes.

A family writes one letter or word a tree, or several with a comma between, or nothing. What a sawyer wants of it: never
a tree in his list that kills people, and no log out of a stem that somebody saw was rotten.

spellings  every letter, word and other spelling of the region -> the word of the table
parts      what stands between the commas of a cell
words_in   what a cell of a column ``quality`` says, and what of it nobody knows
limits     what the words of each tree allow, the strictest of several
letters    the letters for a sheet, in the order of removal
"""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from woodlot.region import Region, once
from woodlot.species import spaced
from woodlot.tree.inputs import column

__all__ = ["FORK", "KEPT", "NOT_BY_HAND", "WINDTHROWN", "letters", "limits", "parts", "spellings", "words_in"]

#: Why a tree is in nobody's list: the family keeps it, or people must not fell it by hand.
KEPT, NOT_BY_HAND = "kept", "not by hand"
TOPIC = "tree_words"
#: Words by which an ash is as good as dead: wood that the borer is in breaks before the tree is dead.
AS_DEAD, DYING_ASH = frozenset({"dying", "at risk"}), "dying ash"
#: The word of which a written place is the end of the stem.
FORK = "fork"
#: The word for a tree that wind threw, alive on part of its roots.
WINDTHROWN = "windthrown"


@once
def spellings(*, region: Region) -> dict[str, str]:
    """Letters, words and other spellings as they are compared -> words of tree_words.csv; words go before the rest."""
    rows = region.table(TOPIC, rows=()).fillna("")
    rows = rows[rows["word"] != ""]
    out: dict[str, str] = {}
    for word, also in zip(rows["word"], rows["also"], strict=True):
        out |= {spaced(one): word for one in also.split(";") if one.strip()}
    out |= {letter.lower(): word for letter, word in zip(rows["letter"], rows["word"], strict=True) if letter}
    return out | {spaced(word): word for word in rows["word"]}


def letters(*, region: Region) -> dict[str, str]:
    """Letter -> word, as a sheet lists them: what goes first, what stays, and last what is not felled by hand."""
    rows = region.table(TOPIC).dropna(subset=["word", "letter"]).sort_values("order", kind="stable")
    return dict(zip(rows["letter"], rows["word"], strict=True))


def parts(cell: Any) -> tuple[str, ...]:
    """The parts of a cell between commas and semicolons as they are written, each once; none where it is empty."""
    text = "" if cell is None or cell is pd.NA or cell != cell else str(cell)
    each = (" ".join(part.split()) for part in text.replace(";", ",").split(","))
    return tuple(dict.fromkeys(part for part in each if part))


def words_in(cell: Any, known: Mapping[str, str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The words of the table that a cell says, and its parts that nobody knows; parts end at commas and semicolons.

    known: ``spellings``, and the family's own before them.
    """
    read = {part: known.get(spaced(part), "") for part in parts(cell)}
    return tuple(dict.fromkeys(word for word in read.values() if word)), tuple(part for part in read if not read[part])


def limits(trees: pd.DataFrame, *, region: Region) -> pd.DataFrame:
    """What the words of each tree allow.

    trees: ``quality`` where anybody wrote one, and species: an ash that is dying or at risk is as dead. Returns one row
    a tree under its index: longest_log_ft, best_grade (0: none), longest_post_ft, poles, scale_left_share,
    heat_left_share, first_ft_to_stove, standing_share (what standing on is worth beside its wood: least for what dies),
    order (of removal, 1 first), never ("", ``KEPT`` or ``NOT_BY_HAND``) and words. Several words: the strictest of
    each; shares left multiply; the least standing_share and the first order, but a word of never beats all. A word that
    nobody knows counts as none. Where the place of a crook, seam or wire is written (``defect_from_ft``) nothing is cut
    across it and the rest of the stem is as good as any; rot reaches farther than it is seen, and a place beside the
    word fork is the fork's.

    Source: tree_words.csv (chosen).
    """
    cells = trees["quality"] if "quality" in trees else pd.Series("", index=trees.index, dtype=object)
    known = spellings(region=region)
    read = {cell: words_in(cell, known)[0] for cell in cells.dropna().unique()}
    written = pd.Series([read.get(cell, ()) for cell in cells], index=trees.index, dtype=object)
    if "species" in trees:
        ash = trees["species"].str.split().str[-1] == "ash"
        doomed = written.map(lambda words: not AS_DEAD.isdisjoint(words)).astype(bool)
        written[ash & doomed] = written[ash & doomed].map(lambda words: (DYING_ASH, *words))
    table = region.table(TOPIC).assign(word=lambda rows: rows["word"].fillna("")).set_index("word")
    placed = column(trees, "defect_from_ft")
    keys = list(zip(written, np.isfinite(placed).tolist(), strict=True))
    each = {key: _strictest(table, *key) for key in dict.fromkeys(keys)}
    rows = pd.DataFrame([each[key] for key in keys], index=trees.index, columns=[*_COLUMNS, "words"])
    return rows.astype(dict.fromkeys(_NUMBERS, float))


_NUMBERS = (
    "longest_log_ft",
    "best_grade",
    "longest_post_ft",
    "scale_left_share",
    "heat_left_share",
    "first_ft_to_stove",
    "standing_share",
    "order",
)
_COLUMNS = (*_NUMBERS, "poles", "never")
#: What a word leaves of the pieces of a stem.
_PIECES = ("longest_log_ft", "best_grade", "longest_post_ft", "poles", "scale_left_share", "first_ft_to_stove")


def _strictest(table: pd.DataFrame, words: tuple[str, ...], placed: bool) -> dict[str, Any]:
    """The row of several words together; placed: whether it is written where the defect lies."""
    known = [word for word in words if word in table.index] or [""]
    rows = table.loc[known].copy()
    if placed and FORK not in words:
        free = (rows["elsewhere"] == "free").to_numpy()
        for name in _PIECES:
            rows[name] = rows[name].mask(free, table[name][""])
    never = rows["never"].fillna("")
    worst = NOT_BY_HAND if (never == NOT_BY_HAND).any() else KEPT if (never == KEPT).any() else ""
    grade = rows["best_grade"]
    out: dict[str, Any] = {name: float(rows[name].min()) for name in ("longest_log_ft", "longest_post_ft")}
    out["best_grade"] = 0.0 if (grade == 0).any() else float(grade.max())  # grade 1 is the best, 0 none
    out |= {name: float(rows[name].to_numpy(dtype=float).prod()) for name in ("scale_left_share", "heat_left_share")}
    out["first_ft_to_stove"] = float(rows["first_ft_to_stove"].max())
    for name in ("standing_share", "order"):
        each = rows[name].to_numpy(dtype=float)
        out[name] = float(each[(never != "").to_numpy()].max() if worst else each.min())
    return out | {"poles": bool((rows["poles"] == "yes").all()), "never": worst, "words": "; ".join(words)}

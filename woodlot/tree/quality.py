"""Words on a tree: what a crook, a fork or "at risk" leaves of its stem, and how soon the tree goes.

words_in   the words of each cell of a column ``quality``
limits     what the words of each tree allow, the strictest of several
"""

from typing import Any

import pandas as pd

from woodlot.region import Region

__all__ = ["KEPT", "NOT_BY_HAND", "limits", "words_in"]

#: Why a tree is in nobody's list: the family keeps it, or people must not fell it by hand.
KEPT, NOT_BY_HAND = "kept", "not by hand"
TOPIC = "tree_words"


def words_in(cell: Any) -> tuple[str, ...]:
    """The words of one cell, parted by commas or semicolons, in small letters; none where it is empty."""
    text = "" if cell is None or cell is pd.NA or cell != cell else str(cell)
    return tuple(word for part in text.replace(";", ",").split(",") if (word := " ".join(part.lower().split())))


def limits(trees: pd.DataFrame, *, region: Region) -> pd.DataFrame:
    """What the words of each tree allow.

    trees: ``quality`` where anybody wrote one. Returns one row a tree under its index: longest_log_ft, best_grade (0:
    none), longest_post_ft, poles, scale_left_share, heat_left_share, first_ft_to_stove, standing_share (what standing
    on is worth beside its wood: least for what dies), order (of removal, 1 first), never ("", ``KEPT`` or
    ``NOT_BY_HAND``) and words. Several words: the strictest of each; shares left multiply; the least standing_share and
    the first order, but a word of never beats all. A word that is not in the table counts as none.

    Source: tree_words.csv (chosen).
    """
    cells = trees["quality"] if "quality" in trees else pd.Series("", index=trees.index, dtype=object)
    written = pd.Series([words_in(cell) for cell in cells], index=trees.index, dtype=object)
    table = region.table(TOPIC).assign(word=lambda rows: rows["word"].fillna("")).set_index("word")
    each = {words: _strictest(table, words) for words in dict.fromkeys(written)}
    rows = pd.DataFrame([each[words] for words in written], index=trees.index, columns=[*_COLUMNS, "words"])
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


def _strictest(table: pd.DataFrame, words: tuple[str, ...]) -> dict[str, Any]:
    """The row of several words together."""
    known = [word for word in words if word in table.index] or [""]
    rows = table.loc[known]
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

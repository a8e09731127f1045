"""Which trees of the tally fall this winter, and what they become: the one choice that the fell verb and the plan show.

felling     the choice for a table of trees and a list of needs
Felling     trees, which of them fall, the search behind it, pieces and account

A family wants from its tally first what falls anyway: trees on ground to be cleared are all cut, for the list before
anything else. Of the trees that are only marked no more are felled than the list still lacks; where nothing is wanted
none need be.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import Reason
from woodlot.region import Region
from woodlot.tree.quality import parts as words_of
from woodlot.tree.volume import volumes
from woodlot.wood import needs
from woodlot.wood.account import Account
from woodlot.wood.need_lines import Line, hand_felling
from woodlot.wood.needs import Chosen

__all__ = ["CLEAR", "Felling", "cleared", "felling"]

#: What two choices come to together.
SUMMED = ("wood_cuft", "cost", "surplus_logs", "surplus_bdft", "burnt_bdft")
#: The word in ``mark`` of a tree that falls whatever is wanted.
CLEAR = "clear"


@dataclass(frozen=True)
class Felling:
    """Trees of a tally and which of them fall.

    trees: the tally with its volumes and position, cleared (falls anyway), fell, why (not by hand, or ""), chipped;
    asked: lines of the household's list; chosen: the search (None where no tree falls); account: everything that the
    trees to fell become (None as before).
    """

    trees: pd.DataFrame
    asked: tuple[Line, ...]
    chosen: Chosen | None
    account: Account | None

    @property
    def fell(self) -> np.ndarray:
        """Positions of the trees that fall."""
        return np.flatnonzero(self.trees["fell"])

    @property
    def pieces(self) -> pd.DataFrame:
        """Pieces of the trees that fall, as in ``Chosen``."""
        if self.chosen is None:
            return pd.DataFrame({"stem": np.empty(0, dtype=int), "line": np.empty(0, dtype=int), "bdft": np.empty(0)})
        return self.chosen.pieces


def cleared(tally: pd.DataFrame, marks: Sequence[str] = ()) -> np.ndarray:
    """Which trees stand on ground to be cleared: their mark is the word clear, or one of the family's own for it."""
    wanted = {CLEAR, *(word.lower() for mark in marks for word in words_of(mark))}
    each = {mark: bool(wanted & {word.lower() for word in words_of(mark)}) for mark in tally["mark"].dropna().unique()}
    return tally["mark"].map(each).fillna(False).to_numpy(dtype=bool)


def felling(
    tally: pd.DataFrame,
    asked: Sequence[Line],
    clear: np.ndarray,
    *,
    division: str,
    solid_cuft_per_cord: float,
    log_rule: str,
    region: Region,
) -> Felling:
    """Which trees of a tally fall: those to be cleared, and of the others what the list still lacks.

    Parameters
    ----------
    tally
        Trees as tally.csv has them.
    asked
        Lines of the household's list (``need_lines.lines``).
    clear
        Of each tree, whether it falls anyway (``cleared``; all of them where the whole tally is).
    division, solid_cuft_per_cord, log_rule, region
        As for volumes, cords and board feet.
    """
    by: dict[str, Any] = {"division": division, "solid_cuft_per_cord": solid_cuft_per_cord, "region": region}
    trees = volumes(tally.reset_index(drop=True), division, region=region)
    lines = [line for line in asked if line.number > 0]
    falls, stays = np.flatnonzero(clear), np.flatnonzero(~clear)
    parts = []
    if len(falls):
        first = trees.iloc[falls].reset_index(drop=True)
        parts.append((falls, _choose(first, lines, by, log_rule, True)))
    left = _lacking(lines, parts[0][1].lines) if parts and lines else lines
    if len(stays) and any(line.number > 0 for line in left):
        rest = trees.iloc[stays].reset_index(drop=True)
        parts.append((stays, _choose(rest, [line for line in left if line.number > 0], by, log_rule, False)))
    chosen = _together(trees, parts, lines, left) if parts else None
    fell, chipped = np.zeros((2, len(trees)), dtype=bool)
    if chosen is not None:
        fell = chosen.trees["fell"].to_numpy(dtype=bool)
        chipped = chosen.to_chips.reindex(trees.index, fill_value=False).to_numpy(dtype=bool)
    told = trees.assign(
        position=range(len(trees)), cleared=clear, fell=fell, why=hand_felling(trees, region=region), chipped=chipped
    )
    made = needs.account_of(chosen, **by) if chosen is not None else None
    return Felling(told, tuple(lines), chosen, made)


def _choose(trees: pd.DataFrame, lines: Sequence[Line], by: Mapping[str, Any], log_rule: str, whole: bool) -> Chosen:
    """The search, asked nowhere else: of the trees what the lines want; whole: all fall, the lines first."""
    return needs.choose(trees, list(lines), log_rule=log_rule, whole=whole, **by)


def _lacking(lines: Sequence[Line], got: pd.DataFrame) -> list[Line]:
    """The lines with what they still lack."""
    left = np.divide(got["short"].to_numpy(dtype=float), got["wanted"].to_numpy(dtype=float))
    return [replace(a, number=a.number * s, mmbtu=a.mmbtu * s) for a, s in zip(lines, left.tolist(), strict=True)]


def _together(
    trees: pd.DataFrame, parts: Sequence[tuple[np.ndarray, Chosen]], lines: Sequence[Line], left: Sequence[Line]
) -> Chosen:
    """Choices for parts of a tally as one; parts: positions of the trees and their choice, the cleared ones first;
    left: the lines with what the first of two parts left of them, which the second was asked.
    """
    last = parts[-1][1]
    if len(parts) == 1 and len(parts[0][0]) == len(trees):
        return last
    table, pieces = trees.assign(fell=False, not_by_hand=""), []
    each: dict[str, list[pd.Series]] = {name: [] for name in ("firewood_cuft", "heat_mmbtu", "to_chips")}
    for at, one in parts:
        for name in ("fell", "not_by_hand"):
            table.loc[at, name] = one.trees[name].to_numpy()
        pieces.append(one.pieces.assign(stem=at[one.pieces["stem"].to_numpy(dtype=int)]))
        for name, series in each.items():
            mine = getattr(one, name)
            series.append(mine.set_axis(at[mine.index.to_numpy(dtype=int)]))
    rows = parts[0][1].lines
    if len(parts) == 2 and len(rows):
        lacked = np.flatnonzero([line.number > 0 for line in left])
        pieces[1] = pieces[1].assign(line=np.r_[lacked, -1][pieces[1]["line"].to_numpy(dtype=int)])
        rows = _lines_together(rows, last.lines.set_axis(lacked), lines)
    elif len(parts) == 2:
        rows = last.lines
    return replace(
        last,
        trees=table,
        pieces=pd.concat(pieces, ignore_index=True),
        asked=tuple(lines),
        lines=rows,
        **{name: pd.concat(series) for name, series in each.items()},
        **{name: sum(getattr(one, name) for _, one in parts) for name in SUMMED},
    )


def _lines_together(first: pd.DataFrame, more: pd.DataFrame, lines: Sequence[Line]) -> pd.DataFrame:
    """What each line got from both parts; what the second says is missing counts what the first gave."""
    out, whys = first.copy(), dict(zip(first.index, first["why"], strict=True))
    for row, why, got in zip(more.index, more["why"], first.loc[more.index, "got"].tolist(), strict=True):
        whys[row] = None if why is None else _with_more(why, got, lines[row].number)
    out.loc[more.index, ["got", "mmbtu_got"]] += more[["got", "mmbtu_got"]]
    out.loc[more.index, "short"] = more["short"]
    return out.assign(why=pd.Series(whys, dtype=object))


def _with_more(why: Reason, got: float, wanted: float) -> Reason:
    """A reason of what is missing of a line, of which something was there before."""
    facts = dict(why.facts)
    facts |= {name: facts[name] + got for name in ("got", "most") if name in facts}
    facts |= {"wanted": wanted} if "wanted" in facts else {}
    return why._replace(facts=tuple(facts.items()))

"""A plan in pieces, counted again as they lie on the ground, and what is missing of a line.

pieces_of     pieces and stove wood of the trees of a plan
count_again   what each line gets from those pieces; sizes, woods and overlaps looked at afresh
nearest       what is missing of a line, and the nearest that these trees can give
"""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.region import Region
from woodlot.wood.cutting import Cuts, solve
from woodlot.wood.fell_search import Program, Way, allows, most_of, row_of
from woodlot.wood.need_lines import TOPIC, Line
from woodlot.wood.products import choices, of_woods
from woodlot.wood.stick import pieces

__all__ = ["count_again", "nearest", "pieces_of"]


def pieces_of(
    program: Program, plan: list[Way], log_rule: str, best_use: pd.DataFrame | None = None, *, region: Region
) -> tuple[pd.DataFrame, np.ndarray]:
    """Pieces of a plan (stem: position among the trees of the program, line: which it is for, -1: none); stove wood of
    each tree.

    best_use: products of the pieces that are for no line. Stove wood is sound cubic feet of stem and of the limbs that
    are counted on.
    """
    tree = np.array([w.tree for w in plan], dtype=int)
    order = np.argsort(tree)
    none = np.empty(0, dtype=int)
    stem = np.concatenate([none, *(np.full(len(plan[i].place), tree[i]) for i in order)])
    place = np.concatenate([none, *(plan[i].place for i in order)]).astype(int)
    choice = np.concatenate([none, *(plan[i].choice for i in order)]).astype(int)
    cuts = Cuts(stem, place, choice, np.zeros(len(program.rows)), program.stems.step_ft)
    named = pd.DataFrame({"product": [x.product for x in program.lines]})
    named["kind"] = named["product"].replace("board feet", "sawlog")
    named = named if best_use is None else pd.concat([named, best_use[["product", "kind"]]], ignore_index=True)
    out = pieces(program.stems, cuts, program.choices, named, log_rule, region=region)
    out.insert(2, "line", program.line_of[choice] if len(choice) else choice)
    owner = np.searchsorted(tree[order], stem)
    left = np.empty(len(plan))
    left[order] = program.stove_cuft(tree[order], place, choice, owner) + program.limbs_cuft[tree[order]]
    return out, left


def count_again(
    program: Program, plan: list[Way], made: pd.DataFrame, stove: np.ndarray, *, region: Region
) -> np.ndarray:
    """What each line gets from pieces; a piece of a wrong size or wood counts nothing, one over another undoes all."""
    got = np.zeros(len(program.lines))
    stem = made["stem"].to_numpy(dtype=int)
    species = program.stems.trees["species"].reset_index(drop=True)
    for at, line in enumerate(program.lines):
        if not line.lengths_ft:
            continue
        fits = (made["line"] == at) & (made["small_end_in"] >= line.top_in - 1e-9)
        fits &= (made["large_end_in"] <= line.butt_in + 1e-9) & made["length_ft"].isin(line.lengths_ft)
        fits &= made["to_ft"] - made["from_ft"] >= made["length_ft"] - 1e-9
        right = fits.to_numpy() & of_woods(species, line.woods, region=region)[stem] if len(stem) else fits.to_numpy()
        got[at] = made.loc[right, "bdft"].sum() if line.product == "board feet" else float(right.sum())
    beyond = made["to_ft"].to_numpy() > program.stems.start_ft + program.stems.step_ft * program.stems.last[stem] + 1e-6
    over = (made["from_ft"] < made["to_ft"].shift() - 1e-6) & (made["stem"].diff() == 0)
    if beyond.any() or over.any():
        return np.full(len(program.lines), -1.0)
    tree = np.array([w.tree for w in plan], dtype=int)
    chipped = np.array([w.to_chips for w in plan], dtype=bool)
    stem_cuft = stove - program.limbs_cuft[tree]
    burnt = program.limbs_cuft[tree] + np.where(chipped, 0.0, stem_cuft)
    got += (program.burns[:, tree] * (burnt / program.solid)).sum(axis=1)
    chips = program.brush_cuyd[tree] + np.where(chipped, stem_cuft * program.chips_cuyd_per_cuft, 0.0)
    return got + program.chips * float(chips.sum())


def nearest(program: Program, at: int, short: float, *, region: Region) -> Reason | None:
    """What is missing of a line, and the nearest these trees can give when nothing else is asked of them."""
    line = program.lines[at]
    if short <= 0:
        return None
    if not line.lengths_ft or line.product == "board feet":
        most = float(most_of(program, at, region=region).sum()) if len(program.rows) else 0.0
        return reason("short of it", short=short, unit=line.unit, most=most)
    asked = {"got": line.number - short, "wanted": line.number, "product": line.product}
    for top_in, lengths_ft in _smaller(line, region=region):
        if _count(program, line, top_in, lengths_ft, region=region) >= line.number:
            top = None if top_in == line.top_in else top_in
            feet = None if lengths_ft == line.lengths_ft else lengths_ft[0]
            return reason("a smaller size", **asked, top_in=top, length_ft=feet)
    most = _count(program, line, line.top_in, line.lengths_ft, region=region)
    if line.woods == "lasting" and most <= line.number - short:
        return reason("no more lasting wood", **asked)
    return reason("most of that size", **asked, most=most)


def _count(program: Program, line: Line, top: float, lengths: tuple[float, ...], *, region: Region) -> int:
    """Most pieces of a size that the trees give when it is all they are cut into."""
    if not len(program.rows):
        return 0
    piece = pd.DataFrame([row_of(line, top, lengths) | {"counted_by": "piece"}])
    made = choices(piece, program.stems.step_ft, region=region)
    fits = np.repeat(allows(program.stems, line, region=region)[None, :], len(made), axis=0)
    cuts = solve(program.shape, np.arange(len(program.rows)), made, program.stems.step_ft, allowed=fits)
    return round(float(cuts.value.sum()))


def _smaller(line: Line, *, region: Region) -> Iterator[tuple[float, tuple[float, ...]]]:
    """Sizes a little under those asked: a thinner top, then a shorter piece, then both; no lasting post of sapwood."""
    least = region.figure(TOPIC, "lasting_top_in") if line.woods == "lasting" else 2.0
    thin = [line.top_in - s for s in (0.5, 1.0, 1.5, 2.0) if line.top_in - s >= least]
    short = [tuple(ft - s for ft in line.lengths_ft) for s in (1.0, 2.0, 4.0) if min(line.lengths_ft) - s >= 4.0]
    yield from ((top, line.lengths_ft) for top in thin)
    yield from ((line.top_in, lengths) for lengths in short)
    yield from ((top, lengths) for lengths in short for top in thin[-1:])

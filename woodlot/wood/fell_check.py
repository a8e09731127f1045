"""What a plan of ways gives, counted again from the pieces themselves, and what is missing with the nearest there is.

pieces_of     pieces of a plan, and stove wood of each tree
count_again   what each line gets from pieces
nearest       what is missing of a line and what these trees could give instead
spare         pieces beyond what a line asks for
burnt_bdft    board feet that go to the stove and could be logs of grade 1 or 2
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.region import Region
from woodlot.wood.cutting import Choice, Cuts, Stretches, best
from woodlot.wood.fell_search import Program, Way, allows, line_choices, most_of, saved_for_logs
from woodlot.wood.grades import NO_GRADE
from woodlot.wood.need_lines import TOPIC, Line
from woodlot.wood.products import allowed, by_words, choices, listed, of_woods, tops
from woodlot.wood.stick import gap_steps, pieces, tables
from woodlot.wood.worths import Worths, judged

__all__ = ["burnt_bdft", "count_again", "nearest", "pieces_of", "spare"]


def pieces_of(program: Program, plan: list[Way], *, region: Region) -> tuple[pd.DataFrame, np.ndarray]:
    """Pieces of a plan (stem: position among the trees of the program, line: which it is for, -1: none); stove wood of
    each tree: sound cubic feet of stem and of the limbs that are counted on.
    """
    order = np.argsort([w.tree for w in plan]).astype(int)
    tree = np.array([plan[i].tree for i in order], dtype=int)
    none = np.empty(0, dtype=int)
    place = np.concatenate([none, *(plan[i].place for i in order)]).astype(int)
    choice = np.concatenate([none, *(plan[i].choice for i in order)]).astype(int)
    owner = np.repeat(np.arange(len(plan)), [len(plan[i].place) for i in order])
    stem = tree[owner]
    cuts = Cuts(stem, place, choice, np.zeros(program.count), program.stock.stems.step_ft)
    lines = pd.DataFrame({"product": [x.product for x in program.lines]}, dtype=object)
    lines["kind"] = lines["product"].replace("board feet", "sawlog")
    named = pd.concat([lines, listed(region)[["product", "kind"]]], ignore_index=True)
    made = [replace(c, product=c.line if c.line >= 0 else len(lines) + c.product) for c in program.choices]
    of = program.stock
    end = place + program.steps[choice]
    drawn = of.dib[place, stem], of.dib[end, stem], of.below[end, stem] - of.below[place, stem]
    out = pieces(of.stems, cuts, made, named, of.worths, drawn)
    out.insert(2, "line", program.line_of[choice] if len(choice) else choice)
    left = np.empty(len(plan))
    left[order] = program.stove_cuft(tree, place, choice, owner) + of.limbs_cuft[tree]
    return out, left


def count_again(
    program: Program, plan: list[Way], made: pd.DataFrame, stove: np.ndarray, *, region: Region
) -> np.ndarray:
    """What each line gets from pieces; a piece of a wrong size or wood counts nothing, one over another, off the stem
    or slid up it undoes all.
    """
    of, got = program.stock, np.zeros(len(program.lines))
    stem = made["stem"].to_numpy(dtype=int)
    species = of.trees["species"].reset_index(drop=True)
    hard = np.asarray(region.species.is_hardwood(species), dtype=bool)
    for at, line in enumerate(program.lines):
        if not line.lengths_ft:
            continue
        top = np.full(len(species), line.top_in)
        if line.soft_top_in is not None:
            top = np.where(hard, line.top_in, line.soft_top_in)
        fits = (made["line"] == at) & (made["small_end_in"] >= top[stem] - 1e-9)
        fits &= (made["large_end_in"] <= line.butt_in + 1e-9) & made["length_ft"].isin(line.lengths_ft)
        fits &= made["to_ft"] - made["from_ft"] >= made["length_ft"] - 1e-9
        right = fits.to_numpy() & of_woods(species, line.woods, region=region)[stem] if len(stem) else fits.to_numpy()
        got[at] = made.loc[right, "bdft"].sum() if line.product == "board feet" else float(right.sum())
    if not _lie_right(program, made, stem, region=region):
        return np.full(len(program.lines), -1.0)
    tree = np.array([w.tree for w in plan], dtype=int)
    chipped = np.array([w.to_chips for w in plan], dtype=bool)
    stem_cuft = stove - of.limbs_cuft[tree]
    burnt = of.limbs_cuft[tree] + np.where(chipped, 0.0, stem_cuft)
    got += (program.burns[:, tree] * burnt).sum(axis=1)
    return got + program.chips * float((of.brush_cuft[tree] + np.where(chipped, stem_cuft, 0.0)).sum())


def _lie_right(program: Program, made: pd.DataFrame, stem: np.ndarray, *, region: Region) -> bool:
    """Whether pieces lie on their stems in rows from the butt: gaps only where a stretch begins or for a thick butt."""
    drawn = program.stock.stems
    beyond = made["to_ft"].to_numpy() > drawn.start_ft + drawn.step_ft * drawn.last[stem] + 1e-6
    before = made["to_ft"].shift().where(made["stem"].diff() == 0, drawn.start_ft).to_numpy(dtype=float)
    gap = np.round((made["from_ft"].to_numpy() - before) / drawn.step_ft).astype(int)
    stove, most = gap_steps(drawn.step_ft, region=region)
    place = np.round((made["from_ft"].to_numpy() - drawn.start_ft) / drawn.step_ft).astype(int)
    begins = np.array([set() for _ in range(program.count)], dtype=object)
    for tree, first in zip(program.stock.cut.tree, program.stock.cut.first, strict=True):
        begins[tree].add(int(first))
    row = [
        g == 0 or any((p - b) in range(0, stove * most + 1, stove) for b in (*begins[s], p - g))
        for g, p, s in zip(gap, place, stem, strict=True)
    ]
    return not beyond.any() and not (gap < 0).any() and all(row)


def spare(made: pd.DataFrame, lines: list[Line], got: np.ndarray) -> None:
    """Take pieces beyond what a line asks for, the thinnest first, off the line: they are for nobody in particular."""
    for at, line in enumerate(lines):
        over = int(got[at] - line.number + 1e-6) if line.lengths_ft and line.product != "board feet" else 0
        if over > 0:
            mine = made.index[made["line"] == at]
            thin = made.loc[mine, "small_end_in"].sort_values(kind="stable").index[:over]
            made.loc[thin, "line"] = -1
            got[at] -= over


@dataclass(frozen=True)
class _Best:
    """Worth of a log: its board feet where its size allows grade 1 or 2, else nothing."""

    worths: Worths

    def of(self, choice: Choice, tree, top, at_butt, cuft) -> tuple[np.ndarray, None]:
        good = self.worths.grade(choice.length_ft, tree, top, at_butt) < NO_GRADE - 1
        return np.where(good, self.worths.bdft(choice, tree, top), 0.0), None


def burnt_bdft(program: Program, plan: list[Way], *, region: Region) -> float:
    """Board feet of logs that could be grade 1 or 2 by their size in what goes to stove or chipper."""
    of = program.stock
    tree = np.array([w.tree for w in plan], dtype=int)
    end = np.array([w.place[-1] + program.steps[w.choice[-1]] if len(w.place) else 0 for w in plan], dtype=int)
    some = np.flatnonzero(np.isin(of.cut.tree, tree))
    above = np.zeros(program.count, dtype=int)
    above[tree] = end
    first = np.maximum(of.cut.first[some], above[of.cut.tree[some]])
    open_ = first < of.cut.last[some]
    some, first = some[open_], first[open_]
    left = Stretches(of.cut.tree[some], first, of.cut.last[some], of.cut.rest[some], first == 0)
    products = listed(region).query("kind == 'sawlog'").reset_index(drop=True)
    logs = choices(products, of.stems.step_ft, region=region)
    fits = allowed(of.trees, products, logs, judged(of.trees, region=region), region=region)
    none, least = np.zeros(program.count), tops(logs, of.trees, region=region)
    each = tables(of.draw, of.stems, left, logs, least, fits, _Best(of.worths), region=region)
    return float(best(each, left, program.count, none, np.zeros(len(logs)), of.stems.step_ft).value.sum())


def nearest(program: Program, at: int, short: float, *, region: Region) -> Reason | None:
    """What is missing of a line, and the nearest these trees can give when nothing else is asked of them."""
    line = program.lines[at]
    if short <= 0:
        return None
    if line.product == "chips" and not line.chip_stems:
        return reason("chips of limbs", short=short)
    if not line.lengths_ft or line.product == "board feet":
        most = float(most_of(program, at).sum()) if program.count else 0.0
        unit = "MMBtu" if line.mmbtu > 0 else line.unit
        return reason("short of it", short=short, unit=unit, most=most)
    asked = {"got": line.number - short, "wanted": line.number, "product": line.product}
    most = _count(program, line, line.top_in, line.lengths_ft, region=region)
    if most >= line.number:
        return reason("lines before it", **asked, most=most)
    for top_in, lengths_ft in _smaller(line, region=region):
        if _count(program, line, top_in, lengths_ft, region=region) >= line.number:
            top = None if top_in == line.top_in else top_in
            feet = None if lengths_ft == line.lengths_ft else lengths_ft[0]
            return reason("a smaller size", **asked, top_in=top, length_ft=feet)
    if line.woods == "lasting" and most <= line.number - short:
        return reason("no more lasting wood", **asked)
    return reason("most of that size", **asked, most=most)


def _count(program: Program, line: Line, top: float, lengths: tuple[float, ...], *, region: Region) -> int:
    """Most pieces of a size that the trees give when it is all they are cut into."""
    of, n = program.stock, program.count
    if not n:
        return 0
    soft = None if line.soft_top_in is None else line.soft_top_in + top - line.top_in
    size, said = replace(line, top_in=top, lengths_ft=lengths, soft_top_in=soft), judged(of.trees, region=region)
    made = line_choices([size], of.stems.step_ft, region=region)
    fits = allows(of.trees, line, region=region) & by_words(made, of.trees, said, region=region)
    made, fits = saved_for_logs(made, fits, of.trees, [size], said, region=region)
    least = tops(made, of.trees, region=region)
    each = tables(of.draw, of.stems, of.cut, made, least, fits, of.worths, region=region)
    cuts = best(each, of.cut, n, np.zeros(n), np.full(len(made), 1e6), of.stems.step_ft)
    return len(cuts.stem)


def _smaller(line: Line, *, region: Region) -> Iterator[tuple[float, tuple[float, ...]]]:
    """Sizes a little under those asked: a thinner top, then a shorter piece, then both; no lasting post of sapwood."""
    least = region.figure(TOPIC, "lasting_top_in") if line.woods == "lasting" else 2.0
    thin = [line.top_in - s for s in (0.5, 1.0, 1.5, 2.0) if line.top_in - s >= least]
    short = [tuple(ft - s for ft in line.lengths_ft) for s in (1.0, 2.0, 4.0) if min(line.lengths_ft) - s >= 4.0]
    yield from ((top, line.lengths_ft) for top in thin)
    yield from ((line.top_in, lengths) for lengths in short)
    yield from ((top, lengths) for lengths in short for top in thin[-1:])

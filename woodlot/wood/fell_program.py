"""A table of trees and a list of needs made ready for the search.

program         trees that may be felled by hand, and lines
assembled       the same from stock, lines and what a piece gives to a line
line_choices    pieces that the lines ask for
saved_for_logs  no post from what could be a good log of the dearest woods
allows          which stems are good enough for a line
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from woodlot.region import Region
from woodlot.trade import SAWN
from woodlot.tree.inputs import column
from woodlot.wood.cut_tables import Listing
from woodlot.wood.cutting import Choice
from woodlot.wood.fell_ways import Program, priced
from woodlot.wood.grades import best_grade, defect_pct, grade_sizes, species_factor
from woodlot.wood.need_lines import LOG_LENGTHS, TOPIC, Line
from woodlot.wood.products import STEPS_TOPIC, allowed, by_words, choices, listed, of_woods, steps_of, tops, trim_in
from woodlot.wood.stick import blocks
from woodlot.wood.stock import Stock, cuyd_per_cuft, stock
from woodlot.wood.worths import judged

__all__ = ["allows", "assembled", "line_choices", "program", "saved_for_logs"]


def saved_for_logs(
    made: list[Choice], fits: np.ndarray, trees: pd.DataFrame, asked: Sequence[Line], said: pd.DataFrame,
    *, region: Region,
) -> tuple[list[Choice], np.ndarray]:  # fmt: skip
    """Choices, and which tree may give which (choices x trees), with the butts of the dearest woods left whole.

    Nobody sets walnut or cherry that a mill would saw: of a wood worth more than red oak a post begins above what could
    be a log of grade 1 or 2, unless the line names the wood.
    """
    species = trees["species"].to_numpy(dtype=object)
    best_by_tree = best_grade(trees, said["best_grade"].to_numpy(dtype=int), region=region)
    log_in = grade_sizes(max(LOG_LENGTHS), False, best_by_tree, species, region=region)[1]
    dear = (species_factor(species, region=region) > 1.0) & np.isfinite(log_in)
    least = float(log_in[dear].min(initial=np.inf))
    unnamed = [c.kind == "post" and (c.line < 0 or asked[c.line].woods == "lasting") for c in made]
    at = [k for k, c in enumerate(made) if unnamed[k] and c.most_butt_in > least]
    upper = [replace(made[k], most_butt_in=least) for k in at]
    both = np.vstack([fits, fits[at] & dear])
    both[at] &= ~dear
    return [*made, *upper], both


def program(
    trees: pd.DataFrame,
    may: np.ndarray,
    asked: list[Line],
    log_rule: str,
    solid: float,
    division: str,
    whole: bool = False,
    *,
    region: Region,
) -> Program:
    """Trees (result of ``volumes``), those that may be felled by hand, and lines, ready for the search."""
    rows = np.flatnonzero(may & np.isfinite(trees["wood_cuft"].to_numpy(dtype=float)))
    mine = trees.iloc[rows].reset_index(drop=True)
    of = stock(mine, division, log_rule, region=region)
    said = judged(mine, region=region)
    products = listed(region)
    free = choices(products, of.stems.step_ft, region=region)
    may_free = allowed(mine, products, free, said, region=region)
    wanted, as_free = _at_own_price(line_choices(asked, of.stems.step_ft, region=region), free)
    fits = np.array([allows(mine, line, region=region) for line in asked]).reshape(len(asked), len(rows)).astype(bool)
    may_be = fits[np.array([c.line for c in wanted], dtype=int)] & by_words(wanted, mine, said, region=region)
    may_be &= np.vstack([may_free, np.ones((1, len(rows)), dtype=bool)])[np.array(as_free, dtype=int)]
    burns = np.zeros((len(asked), len(rows)))
    for at, line in enumerate(asked):
        if line.product == "firewood":
            each = of.heat if line.mmbtu > 0 else np.full(len(rows), 1.0 / solid)
            burns[at] = each * of_woods(mine["species"], line.woods, region=region)
    made, may = saved_for_logs([*wanted, *free], np.vstack([may_be, may_free]), mine, asked, said, region=region)
    return assembled(rows, of, asked, made, may, burns, solid, whole, region=region)


def line_choices(lines: Sequence[Line], step_ft: float, *, region: Region) -> list[Choice]:
    """Choices of the lines that ask for pieces, in their order."""
    out = []
    for at, line in enumerate(lines):
        sawn = line.product in SAWN
        kind = "sawlog" if sawn else line.product
        usual = line.soft_top_in is not None
        for length in line.lengths_ft:
            out.append(
                Choice(
                    -1,
                    length,
                    steps_of(length, trim_in(kind, region=region), step_ft),
                    line.top_in,
                    line.butt_in,
                    kind,
                    line=at,
                    by_feet=line.product == "board feet",
                    top_of_dbh=region.figure(STEPS_TOPIC, "sawlog_top_of_dbh") if sawn and usual else 0.0,
                    soft_top_in=np.nan if line.soft_top_in is None else line.soft_top_in,
                )
            )
    return out


def allows(trees: pd.DataFrame, line: Line, *, region: Region) -> np.ndarray:
    """Which stems are of the wood, sound and straight enough for a line."""
    fits = of_woods(trees["species"], line.woods, region=region)
    fits = fits & (defect_pct(trees) <= line.most_cull_pct)
    return fits & (column(trees, "sweep_pct", 0.0) <= line.most_sweep_pct)


def _at_own_price(wanted: list[Choice], free: list[Choice]) -> tuple[list[Choice], list[int]]:
    """Where the owner priced products, a line's pieces as each product they are, and as none; and which, -1: none."""
    if not any(np.isfinite(f.value) for f in free):
        return wanted, [-1] * len(wanted)
    out, which = [], []
    for c in wanted:
        for at, f in enumerate(free):
            if (f.kind, f.length_ft) == (c.kind, c.length_ft):
                top = np.fmax(f.least_top_in, [c.least_top_in, c.soft_top_in])
                both = replace(
                    c,
                    least_top_in=float(top[0]),
                    soft_top_in=np.nan if np.isnan(c.soft_top_in) else float(top[1]),
                    most_butt_in=min(f.most_butt_in, c.most_butt_in),
                    top_of_dbh=max(f.top_of_dbh, c.top_of_dbh),
                    value=f.value,
                    counted_by=f.counted_by,
                )
                out.append(both)
                which.append(at)
        out.append(replace(c, value=0.0))
        which.append(-1)
    return out, which


def assembled(
    rows: np.ndarray,
    of: Stock,
    asked: list[Line],
    made: list[Choice],
    may_be: np.ndarray,
    burns: np.ndarray,
    solid: float,
    whole: bool = False,
    least: np.ndarray | None = None,
    *,
    region: Region,
) -> Program:
    """Stock, lines and choices ready for the search.

    may_be: whether a tree may give a choice, choices x trees; burns: lines x trees, what a sound cubic foot in the
    stove gives; whole: every tree is felled; least: thin ends, choices x trees, where they are not the usual ones.
    """
    least = tops(made, of.trees, region=region) if least is None else least
    each = [Listing(b) for b in blocks(of.draw, of.stems, of.cut, made, least, may_be, of.worths, region=region)]
    met = region.figure(TOPIC, "heat_met")
    chip = cuyd_per_cuft(region=region)
    chipped = [line.product == "chips" for line in asked]
    out = Program(
        rows=rows,
        stock=of,
        lines=asked,
        choices=made,
        tables=each,
        burns=burns,
        chips=np.array([chip if one else 0.0 for one in chipped]),
        stems_to_chips=any(line.chip_stems for line in asked),
        need=np.array([_need(line, met) for line in asked]),
        penalty=np.zeros(len(asked)),
        best_worth=np.zeros(len(rows)),
        fixed=np.zeros(len(rows)),
        may_be=may_be,
        tops=least,
        solid=solid,
        heat_met=met,
        whole=whole,
    )
    value = priced(out, np.zeros(len(asked)))[0]
    out.best_worth[:] = value
    out.fixed[:] = value if whole else (1.0 + of.standing) * value
    return out


def _need(line: Line, met: float) -> float:
    """What must be got of a line: heat as near as it can be told; chips take what limbs and tops give, and no tree is
    felled for them unless the line asks for stems.
    """
    if line.product == "chips" and not line.chip_stems:
        return 0.0
    return met * line.mmbtu if line.mmbtu > 0 else line.number

"""Which trees to fell for what the household needs, and how to cut each, with the least standing wood taken.

choose     the answer for a table of trees and a list of needs
account_of   everything the trees to fell become
Chosen     trees to fell, pieces, what each line got and lacks, how far from the least it can be

A tree cut in one way is a column: its cost is the wood that stands in it, its entries what it gives to each line. Ways
are not listed but found: the recursion of ``wood.cutting`` makes for every tree the way that is worth most at the
present worth of the lines (the duals of a linear program), until none is worth more than its tree. The integer program
over the ways found gives the plan, the linear one a bound below which no plan can be. Every line may fall short at a
price, so that a list that cannot be met says what is missing; lines that shares of trees could meet must be met by
whole ones, if that can be. Dead, hung and leaning trees are not in it at all.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region
from woodlot.tree.quality import KEPT, limits
from woodlot.tree.volume import volumes
from woodlot.wood import fell_check, fell_proof, fell_search
from woodlot.wood.account import Account, account
from woodlot.wood.cutting import Cuts
from woodlot.wood.fell_search import Program, Way
from woodlot.wood.need_lines import TOPIC, Line, hand_felling, lines
from woodlot.wood.stick import Bucked, stems

__all__ = ["Chosen", "account_of", "choose", "hand_felling"]


CLOSE_PCT = 0.01  # how near the integer program over found ways is solved before a proof is tried


@dataclass(frozen=True)
class Chosen:
    """The answer of ``choose``.

    trees: the trees handed in with fell (bool) and not_by_hand (why, or ""); pieces: one row a piece of the trees to
    fell (tree position ``stem``, number from the butt, line, product, length_ft, from_ft, to_ft, small_end_in,
    large_end_in); asked: the lines; lines: product, unit, wanted, got, short, why (what is missing and the nearest);
    wood_cuft: standing wood of the trees to fell; least_cuft: no plan can take less (both with the price of what is
    missing left out of the difference); gap_pct: how far apart they may be; proven: whether it is shown to be the
    least; stopped: whether the search ended at its limit of nodes; firewood_cuft: stove wood of each tree to fell, by
    tree; to_chips: whether it goes to the chipper.
    """

    trees: pd.DataFrame
    pieces: pd.DataFrame
    asked: tuple[Line, ...]
    lines: pd.DataFrame
    wood_cuft: float
    gap_pct: float
    proven: bool
    stopped: bool
    firewood_cuft: pd.Series
    to_chips: pd.Series
    penalties: dict[int, float]

    @property
    def met(self) -> bool:
        """Whether every line is met."""
        return bool((self.lines["short"] <= 1e-6 * self.lines["wanted"]).all())


def choose(
    trees: pd.DataFrame,
    needs: Mapping[str, Any] | list[Line],
    *,
    division: str = "210",
    region: Region,
    log_rule: str = "international_quarter",
    solid_cuft_per_cord: float = 79.0,
    gap_pct: float | None = None,
    nodes: int | None = None,
    prove: bool | None = None,
    penalties: Mapping[int, float] | None = None,
    best_use: pd.DataFrame | None = None,
    stove_value: float = 1.0,
) -> Chosen:
    """Which trees to fell and how to cut each, so that needs are met with the least standing wood taken.

    Parameters
    ----------
    trees
        Species, dbh_in and what else tally.csv holds; volumes are worked out where they are not there yet.
    needs
        Needs of place.toml (``wood.wanted.lines``) or lines.
    division, region, log_rule, solid_cuft_per_cord
        As for volumes, board feet and cords.
    gap_pct
        The search may stop within so many percent of the least (1).
    nodes
        It stops after so many nodes with what it has: never by a clock.
    prove
        Show that nothing less will do; by itself up to 40 trees.
    penalties
        Worth of a unit that is missing, by line, in cubic feet of standing wood; else more than any tree costs.
    best_use, stove_value
        Products (``products.listed``): every tree is felled then (ground to be cleared), the list is met first, and all
        else is cut for its best use. Trees that are not for hand felling give nothing to the list.

    Returns
    -------
    Chosen. Raises InputError for a list without lines or an answer that does not pass its check.
    """
    asked = needs if isinstance(needs, list) else lines(needs, region=region)
    asked = [line for line in asked if line.number > 0]
    if not asked:
        raise InputError("nothing is asked for: write what the household needs under [needs] in place.toml")
    trees = trees.reset_index(drop=True)
    if "wood_cuft" not in trees:
        trees = volumes(trees, division, region=region)
    why = hand_felling(trees, region=region)
    free = (why == "") & (limits(trees, region=region)["never"] != KEPT)
    gap = region.figure(TOPIC, "gap_pct") if gap_pct is None else gap_pct
    most = int(region.figure(TOPIC, "nodes")) if nodes is None else nodes
    program = fell_search.program(
        trees,
        free.to_numpy(),
        asked,
        log_rule,
        solid_cuft_per_cord,
        division,
        penalties,
        best_use,
        stove_value,
        region=region,
    )
    small = len(program.rows) <= region.figure(TOPIC, "prove_trees") if prove is None else prove
    plan, bound, stopped = fell_search.solved(
        program, min(gap, CLOSE_PCT) / 100.0 if small else gap / 100.0, most, region=region
    )
    price = program.cost_of(plan)
    proven = price - bound <= 1e-6 * max(price, 1.0)
    if not proven and small and not program.whole:
        better = fell_proof.least(program, price, most, region=region)
        if better is not None:
            plan, proven, stopped = better, True, False
            price = program.cost_of(plan)
    least_cuft = max(program.cost[[w.tree for w in plan]].sum(), 1e-9)
    return replace(
        _chosen(
            trees.assign(fell=program.whole, not_by_hand=why.to_numpy()), program, plan, log_rule, best_use, region
        ),
        gap_pct=0.0 if proven else 100.0 * max(price - bound, 0.0) / least_cuft,
        proven=proven,
        stopped=stopped and not proven,
    )


def _chosen(
    trees: pd.DataFrame, program: Program, plan: list[Way], log_rule: str, best_use: pd.DataFrame | None, region: Region
) -> Chosen:
    """A plan with its tables, counted again from the pieces themselves; nothing is shown yet on how good it is."""
    felled = program.rows[[w.tree for w in plan]]
    trees.loc[felled, "fell"] = True
    pieces, stove = fell_check.pieces_of(program, plan, log_rule, best_use, region=region)
    got = fell_check.count_again(program, plan, pieces, stove, region=region)
    short = np.maximum(program.need - got, 0.0)
    claimed = program.got_of(plan)
    if np.any(claimed > got + 1e-6 * np.maximum(program.need, 1.0)) or len(set(felled.tolist())) != len(plan):
        raise InputError("the plan did not pass its check: a line got less from the pieces than was counted on")
    short[short < 1e-6 * program.need] = 0.0
    pieces["stem"] = program.rows[pieces["stem"].to_numpy(dtype=int)] if len(pieces) else pieces["stem"]
    rows = {
        "product": [line.product for line in program.lines],
        "unit": [line.unit for line in program.lines],
        "wanted": program.need,
        "got": got,
        "short": short,
        "why": [fell_check.nearest(program, at, float(s), region=region) for at, s in enumerate(short)],
    }
    return Chosen(
        trees=trees,
        pieces=pieces,
        asked=tuple(program.lines),
        lines=pd.DataFrame(rows),
        wood_cuft=float(trees.loc[trees["fell"], "wood_cuft"].sum()),
        gap_pct=0.0,
        proven=False,
        stopped=False,
        firewood_cuft=pd.Series(stove, index=felled, dtype=float),
        to_chips=pd.Series([w.to_chips for w in plan], index=felled, dtype=bool),
        penalties=dict(enumerate(program.penalty)),
    )


def account_of(chosen: Chosen, division: str = "210", solid_cuft_per_cord: float = 79.0, *, region: Region) -> Account:
    """Everything that the trees to fell become when they are cut up as chosen; see ``account.account``."""
    felled = chosen.trees[chosen.trees["fell"]]
    at = {old: new for new, old in enumerate(felled.index)}
    mine = felled.reset_index(drop=True)
    cut = stems(mine, region=region)
    made = chosen.pieces.assign(stem=chosen.pieces["stem"].map(at).astype(int))
    nothing = np.empty(0, dtype=int)
    none = Cuts(nothing, nothing, nothing, np.zeros(len(mine)), cut.step_ft)
    whole = Bucked(cut, pd.DataFrame(), [], none, np.zeros(len(mine)), None, None, "", region, {"pieces": made})
    chipped = chosen.to_chips.reindex(felled.index, fill_value=False).to_numpy()
    return account(mine, whole, division, solid_cuft_per_cord, chipped=chipped, region=region)

"""Which trees to fell for what the household needs, and how to cut each: the list first, then the best use.

choose     the answer for a table of trees and a list of needs
account_of   everything the trees to fell become
Chosen     trees to fell, pieces, what each line got and lacks, how far from the least it can be

A forester wants three things in this order: the list met, line by line as the family wrote it; each tree cut for its
best use and those left standing that are worth most on; and no more trees felled than that takes. A tree cut in one way
is a column (``wood.fell_ways``). Ways are not listed but found: the recursion of ``wood.cutting`` makes for every
tree the way that is worth most at the present worth of the lines (the duals of a linear program), until none is worth
more than its tree. The integer program over the ways found gives the plan, the linear one a bound below which no plan
can be. Logs nobody asked for go to the pile at their worth; they are never burnt to make a list come out. Dead, hung
and leaning trees and those the family keeps are not in it at all.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region
from woodlot.trade import PRODUCTS
from woodlot.tree.quality import limits
from woodlot.tree.volume import volumes
from woodlot.wood import fell_check, fell_program, fell_proof, fell_search, fell_ways
from woodlot.wood.account import Account, account
from woodlot.wood.cutting import Cuts
from woodlot.wood.fell_ways import Program, Way
from woodlot.wood.need_lines import TOPIC, Line, hand_felling, lines
from woodlot.wood.stick import Bucked, stems

__all__ = ["Chosen", "account_of", "choose", "hand_felling"]


CLOSE_PCT = 0.01  # how near the integer program over found ways is solved before a proof is tried


@dataclass(frozen=True)
class Chosen:
    """The answer of ``choose``.

    trees: the trees handed in with fell (bool) and not_by_hand (why, or ""); pieces: one row a piece of the trees to
    fell (tree position ``stem``, number from the butt, line, product, length_ft, from_ft, to_ft, small_end_in,
    large_end_in, bdft, grade); asked: the lines; lines: product, unit, wanted, got, short, mmbtu_wanted, mmbtu_got (of
    firewood), why (what is missing and the nearest); wood_cuft: standing wood of the trees to fell; cost: worth given
    up standing and in cutting, index; gap_pct: no choice that gets as much costs less by more than that; proven:
    whether it is shown to be the least within the share that fewer trees are worth; stopped: whether the search ended
    at its limit of nodes; firewood_cuft, heat_mmbtu: stove wood of each tree to fell, by tree; to_chips: whether it
    goes to the chipper; surplus_logs, surplus_bdft: logs for the pile that no line asked for; burnt_bdft: board feet
    that go to stove or chipper and could by their size be grade 1 or 2.
    """

    trees: pd.DataFrame
    pieces: pd.DataFrame
    asked: tuple[Line, ...]
    lines: pd.DataFrame
    wood_cuft: float
    cost: float
    gap_pct: float
    proven: bool
    stopped: bool
    firewood_cuft: pd.Series
    heat_mmbtu: pd.Series
    to_chips: pd.Series
    surplus_logs: int
    surplus_bdft: float
    burnt_bdft: float

    @property
    def met(self) -> bool:
        """Whether every line is met."""
        return bool((self.lines["short"] <= 1e-6 * self.lines["wanted"]).all())


@dataclass(frozen=True)
class Settled:
    """A plan, a bound no plan can be under, whether it is shown to be the least, whether the nodes ran out."""

    plan: list[Way]
    bound: float
    proven: bool
    stopped: bool


@dataclass(frozen=True)
class _Search:
    """How hard to search: share within which an answer will do, nodes, whether the least is to be shown, up to how many
    trees the fewest are looked for.
    """

    gap: float
    nodes: int
    prove: bool
    fewest_to: int

    def settled(self, program: Program) -> Settled:
        """The least plan of a program that has one."""
        found = self.settle(program)
        if found is None:
            raise InputError("no way to cut these trees was found")
        return found

    def settle(self, program: Program) -> Settled | None:
        """The least plan of a program; None where no set of ways meets what must be met."""
        plan, bound, stopped = fell_search.solved(program, self.gap, self.nodes)
        if plan is None:
            return None
        price = program.cost_of(plan)
        proven = price - bound <= 1e-6 * max(abs(price), 1.0)
        if not proven and self.prove and program.count:
            better = fell_proof.least(program, price, self.nodes)
            if better is not None:
                return Settled(fell_ways.kept(program, better), program.cost_of(better), True, False)
        return Settled(plan, min(bound, price), proven, stopped and not proven)


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
    whole: bool = False,
) -> Chosen:
    """Which trees to fell and how to cut each, so that needs are met and what is worth most is left standing.

    Parameters
    ----------
    trees
        Species, dbh_in and what else tally.csv holds; volumes are worked out where they are not there yet.
    needs
        Needs of place.toml (``wood.wanted.lines``) or lines, the first before the second.
    division, region, log_rule, solid_cuft_per_cord
        As for volumes, board feet and cords.
    gap_pct
        The search may stop within so many percent of the least (1).
    nodes
        It stops after so many nodes with what it has: never by a clock.
    prove
        Show that nothing less will do; by itself up to 40 trees.
    whole
        Every tree is felled (ground to be cleared): the list is met first, and all else is cut for its best use. Trees
        that are not for hand felling give nothing to the list.

    Returns
    -------
    Chosen. Raises InputError for a list without lines or an answer that does not pass its check.
    """
    asked = needs if isinstance(needs, list) else lines(needs, region=region)
    asked = [line for line in asked if line.number > 0]
    if not asked and not whole:
        raise InputError("nothing is asked for: write what the household needs under [needs] in place.toml")
    trees = trees.reset_index(drop=True)
    if "wood_cuft" not in trees:
        trees = volumes(trees, division, region=region)
    why = hand_felling(trees, region=region)
    free = (why == "") & (limits(trees, region=region)["never"] == "")
    program = fell_program.program(
        trees, free.to_numpy(), asked, log_rule, solid_cuft_per_cord, division, whole, region=region
    )
    small = program.count <= region.figure(TOPIC, "prove_trees") if prove is None else prove
    gap = region.figure(TOPIC, "gap_pct") if gap_pct is None else gap_pct
    most = int(region.figure(TOPIC, "nodes")) if nodes is None else nodes
    most_trees = int(region.figure(TOPIC, "fewest_trees"))
    found = decided(program, gap / 100.0, most, small, most_trees)
    price = program.lost_of(found.plan)
    gap_to = 0.0 if found.proven else 100.0 * max(price - found.bound, 0.0) / max(price, 1e-9)
    table = trees.assign(fell=whole, not_by_hand=why.to_numpy())
    made = _chosen(table, program, found.plan, region=region)
    return replace(made, cost=price, gap_pct=gap_to, proven=found.proven, stopped=found.stopped)


def decided(program: Program, gap: float, nodes: int, prove: bool, fewest_to: int = 10**6) -> Settled:
    """The list first, line by line in its order; then what is worth most left standing; then the fewest trees.

    What is short of a line is held while the next ones are looked at: no line is traded for a later one. Of the plans
    within ``gap`` of the least cost the one with the fewest trees is taken; the bound stays that of the least.
    """
    asked = program.need
    program = replace(program, need=asked.copy(), penalty=np.zeros(len(program.need)))
    search = _Search(min(gap, CLOSE_PCT / 100.0) if prove else gap, nodes, prove, fewest_to)
    dearest = float(program.fixed.max(initial=1.0))
    # at a price over any tree, the first plan mostly meets all: then nothing is short, and this is the least
    program.penalty[:] = 20.0 * dearest / np.where(program.need > 0, np.minimum(program.need, 1.0), 1.0)
    found = replace(search, prove=False).settled(program)
    if program.short_of(found.plan).any():
        found = _line_by_line(program, search)
    elif search.prove and not found.proven:
        found = search.settled(program)
    found = _with_fewest(program, found, gap, search)
    return replace(found, plan=fell_ways.none_unasked(program, found.plan, asked))


def _line_by_line(program: Program, search: _Search) -> Settled:
    """The least that must be short of each line, held for the next; then the least cost with that held."""
    asked = program.need.copy()
    program.need[:] = 0.0
    every = float(program.fixed.sum()) + 1.0
    proven = True
    found: Settled | None = None
    program.penalty[:] = np.inf
    for at, line in enumerate(program.lines):
        if asked[at] <= 0:
            continue
        program.need[at] = asked[at]
        whole = bool(line.lengths_ft) and line.product != "board feet"
        program.penalty[at] = 2.0 * every if whole else 1e3 * every / asked[at]
        here = replace(search, prove=False).settled(program)
        if not _least_short(program, here, at, whole) and search.prove:
            here = search.settled(program)  # what cannot be less needs no proof that nothing costs less
        proven &= here.proven or _least_short(program, here, at, whole)
        short = float(program.short_of(here.plan)[at])
        program.need[at] = max(asked[at] - short - (0.0 if whole or short == 0 else 1e-6 * asked[at]), 0.0)
        program.penalty[at] = np.inf
        found = here
    last = search.settle(program) or found
    if last is None:
        return Settled([], 0.0, True, False)
    return replace(last, proven=last.proven and proven)


def _least_short(program: Program, found: Settled, at: int, whole: bool) -> bool:
    """Whether the bound says that no less can be short of a line, in whole pieces or to a thousandth."""
    low = found.bound / program.penalty[at]
    least = np.ceil(low - 0.5 - 1e-6) if whole else low + 1e-3 * program.need[at]
    return bool(program.short_of(found.plan)[at] <= max(float(least), 0.0) + 1e-9)


def _with_fewest(program: Program, found: Settled, gap: float, search: _Search) -> Settled:
    """The plan with the fewest trees among those that cost nearly as little."""
    price = program.lost_of(found.plan)
    if program.whole or not found.plan or program.count > search.fewest_to:
        return replace(found, plan=sorted(found.plan, key=lambda w: w.tree))
    program.penalty[:] = np.inf
    program.need[:] = program.need - program.short_of(found.plan)
    most = found.bound * (1.0 + gap) if found.bound > 0 else price
    fewer = fell_search.fewest(program, found.plan, max(most, price) + 1e-9, search.gap, search.nodes)
    return replace(found, plan=sorted(fewer, key=lambda w: w.tree))


def _chosen(trees: pd.DataFrame, program: Program, plan: list[Way], *, region: Region) -> Chosen:
    """A plan with its tables, counted again from the pieces themselves; nothing is shown yet on how good it is."""
    felled = program.rows[[w.tree for w in plan]]
    trees.loc[felled, "fell"] = True
    pieces, stove = fell_check.pieces_of(program, plan, region=region)
    got = fell_check.count_again(program, plan, pieces, stove, region=region)
    claimed = program.got_of(plan)
    if np.any(claimed > got + 1e-6 * np.maximum(got, 1.0)) or len(set(felled.tolist())) != len(plan):
        raise InputError("the plan did not pass its check: a line got less from the pieces than was counted on")
    fell_check.spare(pieces, program.lines, got)
    burnt = fell_check.burnt_bdft(program, plan, region=region)
    surplus = pieces[(pieces["line"] < 0) & (pieces["kind"] == "sawlog")]
    chipped = np.array([w.to_chips for w in plan], dtype=bool)
    at = [w.tree for w in plan]
    burning = np.where(chipped, program.stock.limbs_cuft[at], stove)
    pieces["stem"] = program.rows[pieces["stem"].to_numpy(dtype=int)] if len(pieces) else pieces["stem"]
    return Chosen(
        trees=trees,
        pieces=pieces,
        asked=tuple(program.lines),
        lines=_lines(program, got, burning, at, region=region),
        wood_cuft=float(trees.loc[trees["fell"], "wood_cuft"].sum()),
        cost=0.0,
        gap_pct=0.0,
        proven=False,
        stopped=False,
        firewood_cuft=pd.Series(stove, index=felled, dtype=float),
        heat_mmbtu=pd.Series(burning * program.stock.heat[at], index=felled, dtype=float),
        to_chips=pd.Series(chipped, index=felled, dtype=bool),
        surplus_logs=len(surplus),
        surplus_bdft=float(surplus["bdft"].sum()),
        burnt_bdft=burnt,
    )


def _lines(program: Program, got: np.ndarray, burning: np.ndarray, at: list[int], *, region: Region) -> pd.DataFrame:
    """What each line wanted, got and lacks; firewood by the cord with its heat beside it."""
    of = program.stock
    rows: dict[str, list[Any]] = {
        name: [] for name in ("product", "unit", "wanted", "got", "short", "mmbtu_wanted", "mmbtu_got", "why")
    }
    for k, line in enumerate(program.lines):
        wanted, has, heat_wanted, heat = line.number, float(got[k]), None, None
        short = max(wanted - has, 0.0)
        if line.product == "firewood":
            mine = program.burns[k][at] > 0
            heat = float((burning * of.heat[at])[mine].sum())
            if line.mmbtu > 0:
                heat_wanted = line.mmbtu
                has = float((burning / program.solid)[mine].sum())
                met = heat >= program.heat_met * line.mmbtu - 1e-6
                short = 0.0 if met else wanted * (1.0 - heat / line.mmbtu)
        short = 0.0 if short < 1e-6 * wanted else short
        missing = line.mmbtu - (heat or 0.0) if heat_wanted and short else short
        why = fell_check.nearest(program, k, float(missing), region=region)
        for name, value in zip(
            rows, (line.product, PRODUCTS[line.product].unit, wanted, has, short, heat_wanted, heat, why), strict=True
        ):
            rows[name].append(value)
    return pd.DataFrame(rows).astype({"mmbtu_wanted": float, "mmbtu_got": float})


def account_of(chosen: Chosen, division: str = "210", solid_cuft_per_cord: float = 79.0, *, region: Region) -> Account:
    """Everything that the trees to fell become when they are cut up as chosen; see ``account.account``."""
    felled = chosen.trees[chosen.trees["fell"]]
    at = {old: new for new, old in enumerate(felled.index)}
    mine = felled.reset_index(drop=True)
    cut = stems(mine, region=region)
    made = chosen.pieces.assign(stem=chosen.pieces["stem"].map(at).astype(int))
    nothing = np.empty(0, dtype=int)
    none = Cuts(nothing, nothing, nothing, np.zeros(len(mine)), cut.step_ft)
    whole = Bucked(cut, pd.DataFrame(), [], none, np.zeros(len(mine)), None, {"pieces": made})
    chipped = chosen.to_chips.reindex(felled.index, fill_value=False).to_numpy()
    return account(mine, whole, division, solid_cuft_per_cord, chipped=chipped, region=region)

"""Ways to cut trees for a list of needs, and what each gives to every line.

Way         one tree cut in one way
Ways        many
Program     trees that may be felled, lines, and all that the search needs of them
priced      the way worth most of every tree, at given worths of the lines
most_of     the most of one line that each tree gives
kept        ways of a plan that stand in the pool from now on
none_unasked    no pole beyond what is asked for

Felling tree i and cutting it by way p costs ``m V* + V* - V(p)``: what it was worth standing on, and what was lost in
cutting. How a program is made: ``wood.fell_program``; how the best set is found: ``wood.fell_search``.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from woodlot.trade import SAWN
from woodlot.wood.cut_tables import Listing
from woodlot.wood.cutting import Choice, Cuts, best
from woodlot.wood.need_lines import Line
from woodlot.wood.stock import Stock

__all__ = ["Program", "Way", "Ways", "kept", "most_of", "none_unasked", "priced"]


@dataclass(frozen=True)
class Way:
    """One tree (position among the trees of a program) cut in one way; gives: amount to each line; own: its worth
    whatever is asked for.
    """

    tree: int
    gives: np.ndarray
    place: np.ndarray
    choice: np.ndarray
    to_chips: bool
    own: float = 0.0


@dataclass(frozen=True)
class Ways:
    """Many ways as arrays: trees, lines x ways, own worths and their cut lists."""

    tree: np.ndarray
    gives: np.ndarray
    cuts: Cuts
    to_chips: np.ndarray
    own: np.ndarray

    def pick(self, at: int) -> Way:
        """One of them by its position."""
        i = int(self.tree[at])
        low, high = np.searchsorted(self.cuts.stem, [i, i + 1])
        pieces = self.cuts.place[low:high], self.cuts.choice[low:high]
        return Way(i, self.gives[:, at], *pieces, bool(self.to_chips[at]), float(self.own[at]))


@dataclass(frozen=True)
class Program:
    """Trees that may be felled, lines, and all that the search needs of them; one number a tree unless it says else.

    rows: positions in the table handed in; burns: lines x trees, what a cubic foot of its stove wood gives to a line;
    chips: what a cubic foot of chips gives to each line; stems_to_chips: whether stems may be chipped; need: of each
    line as it must be met; penalty: worth of a unit missing (infinite: none may be); best_worth: of each tree at its
    best use; fixed: cost of felling it before what its pieces are worth; may_be, tops: whether a tree may give a
    choice and its least thin end, choices x trees; solid: cubic feet of a cord; heat_met: share of heat that will do;
    whole: every tree is felled; pool: ways found.
    """

    rows: np.ndarray
    stock: Stock
    lines: list[Line]
    choices: list[Choice]
    tables: list[Listing]
    burns: np.ndarray
    chips: np.ndarray
    stems_to_chips: bool
    need: np.ndarray
    penalty: np.ndarray
    best_worth: np.ndarray
    fixed: np.ndarray
    may_be: np.ndarray
    tops: np.ndarray
    solid: float
    heat_met: float
    whole: bool = False
    pool: list[tuple[np.ndarray, Ways]] = field(default_factory=list)

    @cached_property
    def line_of(self) -> np.ndarray:
        """Line of each choice, -1: none."""
        return np.array([c.line for c in self.choices], dtype=int)

    @cached_property
    def steps(self) -> np.ndarray:
        """Places of each choice."""
        return np.array([c.steps for c in self.choices], dtype=int)

    @property
    def count(self) -> int:
        """How many trees there are to choose from."""
        return len(self.rows)

    def stove_cuft(self, tree, place, choice, owner) -> np.ndarray:
        """Sound cubic feet of stem left to the stove by ways; owner: each piece's way, tree: each way's tree."""
        stem, below = tree[owner], self.stock.below
        taken = np.bincount(owner, below[place + self.steps[choice], stem] - below[place, stem], minlength=len(tree))
        return (self.stock.usable_cuft()[tree] - taken) * self.stock.factor[tree]

    def measured(self, tree, place, choice, owner, to_chips) -> tuple[np.ndarray, np.ndarray]:
        """What ways give to each line (lines x ways) and what they are worth whatever is asked for."""
        of = self.stock
        gives, own = np.zeros((len(self.lines), len(tree))), np.zeros(len(tree))
        for c in np.unique(choice):
            here = np.flatnonzero(choice == c)
            stem, begin, one = tree[owner[here]], place[here], self.choices[c]
            top = of.dib[begin + one.steps, stem]
            cuft = of.below[begin + one.steps, stem] - of.below[begin, stem]
            worth, feet = of.worths.of(one, stem, top, begin == 0, cuft)
            np.add.at(own, owner[here], worth)
            if one.line >= 0:
                np.add.at(gives[one.line], owner[here], np.ones(len(here)) if feet is None else feet)
        stove = self.stove_cuft(tree, place, choice, owner)
        sound = np.where(of.factor[tree] > 0, of.worths.stove[tree] / np.where(of.factor > 0, of.factor, 1.0)[tree], 0)
        own += np.where(to_chips, of.brush_worth, sound) * stove
        own += of.limb_worth[tree] * of.limbs_cuft[tree] + of.brush_worth * of.brush_cuft[tree]
        gives += self.burns[:, tree] * (np.where(to_chips, 0.0, stove) + of.limbs_cuft[tree])
        gives += self.chips[:, None] * (of.brush_cuft[tree] + np.where(to_chips, stove, 0.0))
        return gives, own

    def got_of(self, plan: Sequence[Way]) -> np.ndarray:
        """What a set of ways gives to each line."""
        return np.sum([w.gives for w in plan], axis=0) if plan else np.zeros(len(self.lines))

    def short_of(self, plan: Sequence[Way]) -> np.ndarray:
        """What is missing of each line as it must be met."""
        short = self.need - self.got_of(plan)
        return np.where(short > 1e-7 * np.maximum(self.need, 1.0), short, 0.0)

    def lost_of(self, plan: Sequence[Way]) -> float:
        """What a set of ways costs: worth given up standing and in cutting."""
        return float(sum(self.fixed[w.tree] - w.own for w in plan))

    def cost_of(self, plan: Sequence[Way]) -> float:
        """The same with the worth of what is missing."""
        short = self.short_of(plan)
        missing = short > 0
        return self.lost_of(plan) + float((self.penalty[missing] * short[missing]).sum())


def priced(program: Program, worth: np.ndarray) -> tuple[np.ndarray, Ways]:
    """The way worth most of every tree when a unit of each line is worth so much: worth of each tree, and the ways."""
    of, n = program.stock, program.count
    fire = worth @ program.burns if len(worth) else np.zeros(n)
    chip = of.brush_worth + float(worth @ program.chips)
    burnt, chipped = of.worths.stove + fire * of.factor, chip * of.factor
    to_chips = (chipped > burnt) if program.stems_to_chips else np.zeros(n, dtype=bool)
    rest = np.where(to_chips, chipped, burnt)
    due = np.where(program.line_of >= 0, worth[program.line_of], 0.0) if len(worth) else np.zeros(len(program.line_of))
    cuts = best(program.tables, of.cut, n, rest, due, of.stems.step_ft)
    value = cuts.value + rest * of.outside_cuft() + (of.limb_worth + fire) * of.limbs_cuft + chip * of.brush_cuft
    gives, own = program.measured(np.arange(n), cuts.place, cuts.choice, cuts.stem, to_chips)
    return value, Ways(np.arange(n), gives, cuts, to_chips, own)


def most_of(program: Program, at: int) -> np.ndarray:
    """The most of a line that each tree gives when nothing else is asked of it."""
    worth = np.zeros(len(program.lines))
    worth[at] = 1e6
    return priced(program, worth)[1].gives[at]


def kept(program: Program, plan: list[Way]) -> list[Way]:
    """A plan whose ways stand in the pool from now on."""
    by_tree = sorted(plan, key=lambda w: w.tree)
    tree = np.array([w.tree for w in by_tree], dtype=int)
    if not len(tree):
        return by_tree
    none = np.empty(0, dtype=int)
    stem = np.concatenate([none, *(np.full(len(w.place), w.tree) for w in by_tree)])
    place, choice = (np.concatenate([none, *(getattr(w, k) for w in by_tree)]) for k in ("place", "choice"))
    size = program.count
    gives, own, chipped = np.zeros((len(program.lines), size)), np.zeros(size), np.zeros(size, dtype=bool)
    gives[:, tree] = np.array([w.gives for w in by_tree]).T
    own[tree], chipped[tree] = [w.own for w in by_tree], [w.to_chips for w in by_tree]
    cuts = Cuts(stem, place, choice, np.zeros(size), program.stock.stems.step_ft)
    program.pool.append((tree, Ways(np.arange(size), gives, cuts, chipped, own)))
    return by_tree


def none_unasked(program: Program, plan: list[Way], asked: np.ndarray) -> list[Way]:
    """A plan without poles, and posts of woods that rot, beyond what is asked for: from the tops down they are stove
    wood again, which they are worth.
    """
    spare = np.floor(program.got_of(plan) - asked + 1e-6)
    out = []
    for way in plan:
        size = 0 if way.to_chips else len(way.place)
        while size and _only_asked(program, way.tree, line := int(program.line_of[way.choice[size - 1]])):
            if spare[line] < 1:
                break
            spare[line] -= 1
            size -= 1
        if not way.to_chips and size < len(way.place):
            place, choice = way.place[:size], way.choice[:size]
            one, chips = np.array([way.tree]), np.array([way.to_chips])
            gives, own = program.measured(one, place, choice, np.zeros(size, dtype=int), chips)
            way = replace(way, gives=gives[:, 0], own=float(own[0]), place=place, choice=choice)
        out.append(way)
    return out


def _only_asked(program: Program, tree: int, line: int) -> bool:
    """Whether a piece for a line is worth no more than its heat but for the line."""
    if line < 0 or program.lines[line].product in SAWN:
        return False
    return program.lines[line].product != "post" or not program.stock.worths.lasting[tree]

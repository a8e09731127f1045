"""Bucking: what each stem is cut into, from the butt up.

Stems, stems       stems ready to be cut: shape, last place, what is sound
stretches          the stretches of them that pieces are cut from: not across a rot or a fork
buck               the best pieces of every stem when nobody asks for anything
Bucked.pieces      one row a piece: product, length, ends, cubic feet, board feet, best grade possible
pieces             the same for any cut list

Lengths and small ends come from the stem drawn by form class (``tree.stem``); its cubic feet are scaled, tree by
tree, so that they agree with the volume equation, and the scaling is shown. How the best cuts are found:
woodlot.wood.cutting; what they are worth: woodlot.wood.worths.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region
from woodlot.tree.inputs import column
from woodlot.tree.quality import FORK, parts
from woodlot.tree.stem import StemForm, diameter_in, form, heights
from woodlot.units import BREAST_FT, IN_PER_FT, LOG_FT
from woodlot.wood import worths
from woodlot.wood.cutting import Choice, Cuts, Stretches, Table, best, blocks, tabled
from woodlot.wood.grades import NO_GRADE, index
from woodlot.wood.logs import log_cuft_smalian
from woodlot.wood.products import STEPS_TOPIC, allowed, choices, firewood_price, tops

__all__ = ["Bucked", "Stems", "buck", "gap_steps", "pieces", "stems", "stretches", "tables"]

#: A fork's pieces end so far under it (ft); where its height is not written it is taken at that share of the tree's.
UNDER_FORK_FT, FORK_SHARE = 1.0, 0.5


@dataclass(frozen=True)
class Stems:
    """Stems ready to be cut, one number a stem: form, feet between places, last place and the last one of sawlogs.

    low, high: the feet above ground between which no piece is cut (a defect whose place is written, NaN: none); bottom:
    where the first piece begins at the earliest; top: where the last one ends at the latest (a fork).
    """

    form: StemForm
    step_ft: float
    start_ft: float
    last: np.ndarray
    saw_last: np.ndarray | None
    bottom_ft: np.ndarray
    top_ft: np.ndarray
    low_ft: np.ndarray
    high_ft: np.ndarray
    trees: pd.DataFrame

    def diameters(self, rows: np.ndarray) -> np.ndarray:
        """Diameters inside bark (in) of some stems at their places, from the stump up; 0 above the last place."""
        f = self.form
        last = self.last[rows]
        places = int(last.max(initial=0)) + 1
        feet = self.start_ft + self.step_ft * np.arange(places)[:, None]
        dbh, k, total, power = f.dbh_in[rows], f.k[rows], f.total_ft[rows], f.power[rows]
        low = int(np.searchsorted(feet[:, 0], BREAST_FT))
        out = np.empty((places, len(rows)))
        np.subtract(total, feet[low:], out=out[low:])
        out[low:] /= total - BREAST_FT
        np.maximum(out[low:], 0.0, out=out[low:])
        np.power(out[low:], power, out=out[low:])
        out[low:] *= dbh * k
        out[:low] = dbh * (k + f.b_in[rows] * (BREAST_FT - feet[:low]) / (feet[:low] + 1.0))
        short = int(last.min(initial=places)) + 1
        if short < places:
            np.copyto(out[short:], 0.0, where=np.arange(short, places)[:, None] > last)
        return out

    def drawn(self, rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Diameters of some stems and the cubic feet below each of their places, as drawn."""
        dib = self.diameters(rows)
        below = np.zeros_like(dib)
        below[1:] = log_cuft_smalian(dib[1:], dib[:-1], self.step_ft)
        for place in range(2, len(below)):  # row by row: a running sum down the columns takes ten times as long
            below[place] += below[place - 1]
        return dib, below


def stems(
    trees: pd.DataFrame,
    step_ft: float | None = None,
    least_top_in: float | None = None,
    form_class: Any = None,
    *,
    region: Region,
) -> Stems:
    """Stems of a table of trees, ready to be cut.

    trees: dbh_in, species, height_ft (total; missing ones are fitted, see ``tree.stem.heights``) and, where there are
    any, merch_ft (measured height of the 4-in top above the stump), logs_16ft (logs counted), cull_pct, sweep_pct,
    alive. step_ft: feet between places at which a stem may be cut (a third of a foot); least_top_in: thinner than this
    inside bark nothing is cut; form_class: of all or each. Raises InputError where a diameter is missing.

    A measured merchantable height ends the pieces; counted logs end the sawlogs.
    """
    if step_ft is None:
        step_ft = region.figure(STEPS_TOPIC, "step_in") / IN_PER_FT
    if not 0.0 < step_ft <= 8.0:
        raise InputError(f"places along a stem must be up to 8 ft apart, not {step_ft!r}")
    if np.isnan(trees["dbh_in"].to_numpy(dtype=float)).any():
        raise InputError("dbh_in is missing for some trees: a stem that was only counted cannot be cut up")
    trees = trees if "height_ft" in trees and trees["height_ft"].notna().all() else heights(trees, region=region)
    merch = column(trees, "merch_ft")
    f = form(trees["dbh_in"], trees["height_ft"], trees["species"], form_class, merch, region=region)
    start = region.figure("defaults_tree", "stump_ft")
    top = region.figure(STEPS_TOPIC, "firewood_top_in") if least_top_in is None else least_top_in
    thin = np.minimum(top / (f.dbh_in * f.k), 1.0)
    end = f.total_ft - (f.total_ft - BREAST_FT) * thin ** (1.0 / f.power)
    end = np.where(thin < 1.0, end, 0.0)
    end = np.fmin(end, start + merch)
    last = np.maximum(np.floor((end - start) / step_ft + 1e-9), 0).astype(np.int64)
    logs, saw = column(trees, "logs_16ft"), None
    if np.isfinite(logs).any():
        reach = np.ceil(logs * (LOG_FT + region.figure("defaults_tree", "log_trim_ft")) / step_ft)
        saw = np.where(np.isfinite(logs), reach, 32_000.0)
    return Stems(f, float(step_ft), start, last, saw, *_spoiled(trees, start, region=region), trees)


def _spoiled(
    trees: pd.DataFrame, start_ft: float, *, region: Region
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Bottom, top, low and high of ``Stems``: first feet to the stove, forks and defects whose place is written."""
    said = worths.judged(trees, region=region)
    bottom = start_ft + said["first_ft_to_stove"].to_numpy(dtype=float)
    low, high = column(trees, "defect_from_ft"), column(trees, "defect_to_ft", np.inf)
    kinds = said["words"].unique()
    fork = said["words"].isin([words for words in kinds if FORK in parts(words)]).to_numpy()
    at = np.where(np.isfinite(low), low, FORK_SHARE * trees["height_ft"].to_numpy(dtype=float))
    top = np.where(fork, at - UNDER_FORK_FT, np.inf)
    low = np.where(fork, np.nan, low)
    # a rot with a place is cut out where it lies, and nowhere else
    return np.where(np.isfinite(low), start_ft, bottom), top, low, np.where(np.isfinite(low), high, np.nan)


def stretches(drawn: Stems, order: np.ndarray) -> Stretches:
    """Stretches that pieces are cut from, by trees in an order: one below a defect and one above it."""
    places = [
        np.ceil((np.where(np.isfinite(feet), feet, 0.0) - drawn.start_ft) / drawn.step_ft - 1e-9).astype(int)
        for feet in (drawn.bottom_ft, drawn.high_ft)
    ]
    ends = [
        np.floor((np.where(np.isfinite(feet), feet, 0.0) - drawn.start_ft) / drawn.step_ft + 1e-9).astype(int)
        for feet in (drawn.top_ft, drawn.low_ft)
    ]
    last = np.where(np.isfinite(drawn.top_ft), np.minimum(drawn.last, ends[0]), drawn.last)
    split = np.isfinite(drawn.low_ft)
    above = split & np.isfinite(drawn.high_ft)
    low_last = np.where(split, np.minimum(last, ends[1]), last)
    low_rest = np.where(above, np.clip(places[1], 0, drawn.last), drawn.last)
    parts = [(order, places[0], low_last, low_rest), (order[above[order]], places[1], last, drawn.last)]
    tree, first, until, rest = (
        np.concatenate([np.asarray(part[k] if k == 0 else part[k][part[0]]) for part in parts]) for k in range(4)
    )
    some = (until > first) & (first < rest)
    tree, first, until, rest = (a[some] for a in (tree, first, until, rest))
    return Stretches(tree, first, until, rest, first == 0)


@dataclass(frozen=True)
class Bucked:
    """The answer of ``buck``: cut lists, worth of each stem so cut, what they were made from."""

    stems: Stems
    products: pd.DataFrame
    choices: list[Choice]
    cuts: Cuts
    value: np.ndarray
    worths: worths.Worths | None
    _kept: dict = field(default_factory=dict, repr=False)

    def pieces(self) -> pd.DataFrame:
        """One row a piece, see ``pieces``."""
        if "pieces" not in self._kept and self.worths is not None:
            self._kept["pieces"] = pieces(self.stems, self.cuts, self.choices, self.products, self.worths)
        return self._kept["pieces"]


def stove_worth(trees: pd.DataFrame, said: pd.DataFrame, *, region: Region) -> np.ndarray:
    """Worth of a cubic foot of each stem as drawn in the stove: by its heat, or by the owner's own price."""
    price = firewood_price(region)
    heat = worths.heat_mmbtu_per_cuft(trees["species"], region=region)
    each = heat * index("stove wood", region=region) if price is None else np.full(len(trees), price)
    return each * worths.shares_left(trees, said, region=region)[1]


def buck(
    trees: pd.DataFrame | Stems,
    products: pd.DataFrame,
    log_rule: str = "international_quarter",
    *,
    step_ft: float | None = None,
    region: Region,
) -> Bucked:
    """The best set of pieces from each stem.

    Parameters
    ----------
    trees
        A table of trees (columns as for ``stems``) or stems.
    products
        From ``wood.products.listed``.
    log_rule
        Rule for board feet.
    step_ft
        Feet between places at which a stem may be cut.
    region
        Whose figures are used.

    Returns
    -------
    Bucked. Worth is the index of value, or the unit of the products' values; stove wood of the stem is in it.

    Source: the recursion was first detailed by Pnevmaticos and Mann 1972 (pnevmaticos_1972).
    """
    drawn = trees if isinstance(trees, Stems) else stems(trees, step_ft, region=region)
    mine = drawn.trees
    made = choices(products, drawn.step_ft, region=region)
    said = worths.judged(mine, region=region)
    of = worths.worths(mine, stove_worth(mine, said, region=region), log_rule, said, region=region)
    fits = allowed(mine, products, made, said, region=region)
    del said
    order = np.argsort(drawn.form.dbh_in, kind="stable")
    cut = stretches(drawn, order)
    each = tables(drawn.drawn, drawn, cut, made, tops(made, mine, region=region), fits, of, region=region)
    cuts = best(each, cut, len(mine), of.stove, np.zeros(len(made)), drawn.step_ft)
    return Bucked(drawn, products, made, cuts, cuts.value, of)


def gap_steps(step_ft: float, *, region: Region) -> tuple[int, int]:
    """Places of a stove length, and how many may be cut off a butt too thick for a piece."""
    long = region.figure(STEPS_TOPIC, "stove_length_in") / IN_PER_FT
    return int(np.ceil(long / step_ft - 1e-9)), int(region.figure(STEPS_TOPIC, "stove_lengths_most"))


def tables(draw, drawn: Stems, cut: Stretches, made, least, fits, of, *, region: Region) -> Iterator[Table]:
    """Worth of every piece of every stretch, block by block."""
    gaps = gap_steps(drawn.step_ft, region=region)
    for rows in blocks(len(cut.tree)):
        yield tabled(draw, cut, rows, made, least, fits, of, *gaps, saw_last=drawn.saw_last)


def pieces(
    drawn: Stems,
    cuts: Cuts,
    made: list[Choice],
    products: pd.DataFrame,
    of: worths.Worths,
    shape: tuple[np.ndarray, np.ndarray, np.ndarray] | None = None,
) -> pd.DataFrame:
    """Cut lists as a table, one row a piece, by tree and from the butt up.

    shape: large and small end and cubic feet as drawn of each piece where they are known. Returns columns stem
    (position), number (1 at the butt), product, kind, length_ft, from_ft and to_ft (above ground, trim and cut
    included), small_end_in, large_end_in (inside bark), taper_cuft (by ends, of the stem as drawn), bdft (sound; 0 for
    what is no sawlog) and grade (best possible by size, 0 for none or for what is no sawlog).
    """
    stem, place, which = cuts.stem, cuts.place, cuts.choice
    steps = np.array([c.steps for c in made], dtype=int)[which] if len(which) else np.empty(0, dtype=int)
    begin = drawn.start_ft + drawn.step_ft * place
    end = begin + drawn.step_ft * steps
    if shape is None:
        ends = (diameter_in(drawn.form, stem, at) for at in (begin, end))
        shape = next(ends), next(ends), taper_cuft(drawn, stem, place, steps)
    large, small, taper = shape
    product = np.array([c.product for c in made], dtype=int)[which] if len(which) else np.empty(0, dtype=int)
    length = np.array([c.length_ft for c in made])[which] if len(which) else np.empty(0)
    kind = products["kind"].to_numpy(dtype=object)[product]
    bdft, grade = np.zeros(len(stem)), np.zeros(len(stem), dtype=int)
    for feet in np.unique(length[kind == "sawlog"]):
        here = (kind == "sawlog") & (length == feet)
        one = next(c for c in made if c.kind == "sawlog" and c.length_ft == feet)
        bdft[here] = of.bdft(one, stem[here], small[here])
        grade[here] = of.grade(feet, stem[here], small[here], place[here] == 0)
    first = np.r_[True, stem[1:] != stem[:-1]] if len(stem) else np.empty(0, dtype=bool)
    at = np.arange(len(stem))
    number = at - np.maximum.accumulate(np.where(first, at, 0)) + 1 if len(stem) else at
    return pd.DataFrame(
        {
            "stem": stem,
            "number": number,
            "product": products["product"].to_numpy(dtype=object)[product],
            "kind": kind,
            "length_ft": length,
            "from_ft": begin,
            "to_ft": end,
            "small_end_in": small,
            "large_end_in": large,
            "taper_cuft": taper,
            "bdft": bdft,
            "grade": np.where(grade == NO_GRADE, 0, grade),
        }
    )


def taper_cuft(drawn: Stems, stem: np.ndarray, place: np.ndarray, steps: np.ndarray) -> np.ndarray:
    """Cubic feet of pieces of the stem as drawn, Smalian step by step."""
    out = np.zeros(len(stem))
    known, owner = np.unique(stem, return_inverse=True)
    for rows in blocks(len(known)):
        here = np.flatnonzero((owner >= rows[0]) & (owner <= rows[-1]))
        below = drawn.drawn(known[rows])[1]
        at = owner[here] - rows[0]
        out[here] = below[place[here] + steps[here], at] - below[place[here], at]
    return out

"""Bucking: what each stem is cut into, from the butt up.

Stems, stems       stems ready to be cut: shape, last place, rot and sweep
buck               the best pieces of every stem, longest-first beside it
Bucked.pieces      one row a piece: product, length, ends, cubic feet, board feet
pieces             the same for any cut list

Lengths and small ends come from the stem drawn by form class (``tree.stem``); its cubic feet are scaled, tree by
tree, so that they agree with the volume equation, and the scaling is shown. How the best cuts are found:
woodlot.wood.cutting.
"""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region
from woodlot.tree.inputs import column
from woodlot.tree.stem import StemForm, diameter_in, form, heights
from woodlot.units import BREAST_FT, IN_PER_FT, LOG_FT
from woodlot.wood.cutting import Choice, Cuts, solve
from woodlot.wood.logs import log_bdft, log_cuft_smalian
from woodlot.wood.products import STEPS_TOPIC, allowed, choices

__all__ = ["Bucked", "Stems", "buck", "pieces", "stems"]


@dataclass(frozen=True)
class Stems:
    """Stems ready to be cut, one number a stem: form, feet between places, last place and the last one of sawlogs.

    sound: share of the wood that is sound (rot and sweep off). places: number of places of the longest stem.
    """

    form: StemForm
    step_ft: float
    start_ft: float
    last: np.ndarray
    saw_last: np.ndarray | None
    sound: np.ndarray
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
    sound = (1.0 - column(trees, "cull_pct", 0.0) / 100.0) * (1.0 - column(trees, "sweep_pct", 0.0) / 100.0)
    return Stems(f, float(step_ft), start, last, saw, sound, trees)


@dataclass(frozen=True)
class Bucked:
    """The answer of ``buck``: cut lists, worth of each stem so cut and cut longest-first, what they were made from."""

    stems: Stems
    products: pd.DataFrame
    choices: list[Choice]
    cuts: Cuts
    value: np.ndarray
    longest_first_value: np.ndarray | None
    longest_first: Cuts | None
    log_rule: str
    region: Region
    _kept: dict = field(default_factory=dict, repr=False)

    def pieces(self) -> pd.DataFrame:
        """One row a piece, see ``pieces``."""
        if "pieces" not in self._kept:
            self._kept["pieces"] = pieces(
                self.stems, self.cuts, self.choices, self.products, self.log_rule, region=self.region
            )
        return self._kept["pieces"]


def buck(
    trees: pd.DataFrame | Stems,
    products: pd.DataFrame,
    log_rule: str = "international_quarter",
    *,
    step_ft: float | None = None,
    firewood_value: float = 1.0,
    whole_inches: bool = False,
    compare: bool = True,
    region: Region,
) -> Bucked:
    """The best set of pieces from each stem.

    Parameters
    ----------
    trees
        A table of trees (columns as for ``stems``) or stems.
    products
        From ``wood.products``: ``listed``, ``priced`` or ``preferred``.
    log_rule
        Rule for products counted in board feet.
    step_ft
        Feet between places at which a stem may be cut.
    firewood_value
        Worth of a cubic foot of stem that goes to the stove.
    whole_inches
        Thin ends of logs are read in whole inches.
    compare
        Also cut longest piece first.
    region
        Whose figures are used.

    Returns
    -------
    Bucked. Worth is in the unit of the products' values; rot and sweep are taken off what is counted in feet.

    Source: the recursion was first detailed by Pnevmaticos and Mann 1972 (pnevmaticos_1972).
    """
    drawn = trees if isinstance(trees, Stems) else stems(trees, step_ft, region=region)
    made = choices(products, drawn.step_ft, log_rule, whole_inches, region=region)
    unit = products["value"].to_numpy(dtype=float)[[c.product for c in made]]
    order = np.argsort(drawn.form.dbh_in, kind="stable")
    how: dict[str, Any] = {
        "worth": unit,
        "sound": drawn.sound,
        "rest_worth": firewood_value * drawn.sound if (drawn.sound < 1.0).any() else firewood_value,
        "rest_top_in": region.figure(STEPS_TOPIC, "firewood_top_in"),
        "allowed": allowed(drawn.trees, products, made, region=region),
        "saw_places": drawn.saw_last,
    }
    cuts = solve(drawn.diameters, order, made, drawn.step_ft, **how)
    other = solve(drawn.diameters, order, made, drawn.step_ft, longest_first=True, **how) if compare else None
    return Bucked(
        drawn, products, made, cuts, cuts.value, None if other is None else other.value, other, log_rule, region
    )


def pieces(
    drawn: Stems,
    cuts: Cuts,
    made: list[Choice],
    products: pd.DataFrame,
    log_rule: str = "international_quarter",
    *,
    region: Region,
) -> pd.DataFrame:
    """Cut lists as a table, one row a piece, by tree and from the butt up.

    Returns columns stem (position), number (1 at the butt), product, kind, length_ft, from_ft and to_ft (above ground,
    trim and cut included), small_end_in, large_end_in (inside bark), taper_cuft (by ends, of the stem as drawn) and
    bdft (sound, by ``log_rule``; 0 for what is no sawlog).
    """
    stem, place, which = cuts.stem, cuts.place, cuts.choice
    steps = np.array([c.steps for c in made], dtype=int)[which] if len(which) else np.empty(0, dtype=int)
    begin = drawn.start_ft + drawn.step_ft * place
    end = begin + drawn.step_ft * steps
    large, small = diameter_in(drawn.form, stem, begin), diameter_in(drawn.form, stem, end)
    product = np.array([c.product for c in made], dtype=int)[which] if len(which) else np.empty(0, dtype=int)
    length = np.array([c.length_ft for c in made])[which] if len(which) else np.empty(0)
    kind = products["kind"].to_numpy(dtype=object)[product]
    saws = kind == "sawlog"
    bdft = np.zeros(len(stem))
    if saws.any():
        bdft[saws] = np.asarray(log_bdft(small[saws], length[saws], log_rule, region=region)) * drawn.sound[stem[saws]]
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
            "taper_cuft": taper_cuft(drawn, stem, place, steps),
            "bdft": bdft,
        }
    )


def _below_cuft(drawn: Stems, most: int) -> np.ndarray:
    """Cubic feet of each drawn stem from the stump to each place, places x stems, up to place ``most``."""
    f, size = drawn.form, len(drawn.last)
    whole = Stems(f, drawn.step_ft, drawn.start_ft, np.full(size, most), None, drawn.sound, drawn.trees)
    dib = whole.diameters(np.arange(size))
    out = np.zeros_like(dib)
    np.cumsum(log_cuft_smalian(dib[1:], dib[:-1], drawn.step_ft), axis=0, out=out[1:])
    return out


def taper_cuft(drawn: Stems, stem: np.ndarray, place: np.ndarray, steps: np.ndarray) -> np.ndarray:
    """Cubic feet of pieces of the stem as drawn, Smalian step by step."""
    if not len(stem):
        return np.empty(0)
    below = _below_cuft(drawn, int((place + steps).max()))
    return below[place + steps, stem] - below[place, stem]

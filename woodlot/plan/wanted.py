"""What the household wants, over the periods of a plan: how much of what is due when.

named             sizes of pieces that are wanted, by the name a plan calls them
called            what a plan calls each open line of the list
by_period, ahead  what is due in each period, and what may be made before it is due
less_made         the same less what is there already

A family that asked for two hundred fence posts wants them once: when they are made the plan asks for no more.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

import numpy as np

from woodlot.trade import PRODUCTS, SIZED
from woodlot.wood.drawn_down import SPRING, winter_began
from woodlot.wood.need_lines import Line
from woodlot.wood.wants import EACH_YEAR, FIREWOOD, Want

__all__ = ["HEAT", "ahead", "by_period", "called", "less_made", "named"]

#: What heat from firewood is called among what is due.
HEAT = "heat"

#: Limits of a line of which the smallest is the tightest.
TIGHTEST = ("butt_in", "most_cull_pct", "most_sweep_pct")


def named(wants: Iterable[Want]) -> dict[str, Line]:
    """Sizes of pieces that are wanted, each once, by the name a plan calls them; firewood and chips are not among them.

    Lines of lasting wood say so; two sizes of one name are told apart by their size. Of lines that are called the same
    the tightest limits hold for all.
    """
    names = _names(wants)
    same: dict[str, list[Line]] = {}
    for want, name in names:
        same.setdefault(name, []).append(want.line)
    return {
        name: replace(
            some[0],
            number=0.0,
            purpose="",
            **{limit: min(getattr(line, limit) for line in some) for limit in TIGHTEST},
        )
        for name, some in same.items()
    }


def _names(wants: Iterable[Want]) -> list[tuple[Want, str]]:
    """Wants of pieces that a plan has to look after, each with its name."""
    open_ = [want for want in wants if want.line.product in SIZED and (want.left > 0 or want.often == EACH_YEAR)]
    short = [("lasting " if w.line.woods == "lasting" else "") + PRODUCTS[w.line.product].many for w in open_]
    sizes = {name: {w.line.name for w, n in zip(open_, short, strict=True) if n == name} for name in short}
    return [(w, name if len(sizes[name]) == 1 else w.line.name) for w, name in zip(open_, short, strict=True)]


def called(wants: Iterable[Want]) -> list[str]:
    """What a plan calls each line that is open, in the family's order."""
    wants = list(wants)
    names = {want.price_order: name for want, name in _names(wants)}
    return [names.get(want.price_order, want.line.name) for want in wants if want.left > 0]


def less_made(due: np.ndarray, soon: np.ndarray, made: float) -> tuple[np.ndarray, np.ndarray]:
    """What is due in each period and what may be made before, less so many that are there already.

    They meet what is due first; of what is due later only what is wanted once.
    """
    first = min(made, float(due[0]))
    rest = min(made - first, float(soon[0]))
    later = np.diff(np.maximum(np.cumsum(due[1:]) - rest, 0.0), prepend=0.0)
    return np.r_[due[0] - first, later], np.maximum(soon - rest, 0.0)


def by_period(wants: Sequence[Want], start: int, periods: int, step_yr: int) -> dict[str, np.ndarray]:
    """Number of each name (``named``, and heat from firewood [million Btu gross]) that is due in each period of a plan.

    start: year in which its first winter begins. What is summed to the end of a period has to be made by then. What is
    wanted each year is due in every one, this winter what is left of it. What is wanted once is due in the last period
    that ends before its day, at once where that is past, in the last of the plan where it has no day: made as soon as
    may be (``ahead``), and never again. A day after the plan's end is not due in it.
    """
    return _spread(wants, start, periods, step_yr)[0]


def ahead(wants: Sequence[Want], start: int, periods: int, step_yr: int) -> dict[str, np.ndarray]:
    """Of what is wanted once, how much of each name is not due yet at the end of each period, but may be made."""
    return _spread(wants, start, periods, step_yr)[1]


def _spread(
    wants: Sequence[Want], start: int, periods: int, step_yr: int
) -> tuple[dict[str, np.ndarray], dict[str, np.ndarray]]:
    names = {want.price_order: name for want, name in _names(wants)}
    due: dict[str, np.ndarray] = {}
    early: dict[str, np.ndarray] = {}
    for want in wants:
        fire = want.line.product == FIREWOOD and want.line.woods != "hot"
        name, each = (HEAT, want.mmbtu_each) if fire else (names.get(want.price_order, ""), 1.0)
        if not name:
            continue
        mine, soon = due.setdefault(name, np.zeros(periods)), early.setdefault(name, np.zeros(periods))
        if want.often == EACH_YEAR:
            mine += each * want.asked_number * step_yr
            mine[0] += each * (want.left - want.asked_number)
            continue
        at = periods - 1 if want.by is None else max((_last_winter(want.by) - start) // step_yr, 0)
        if at < periods:
            mine[at] += each * want.left
            soon[:at] += each * want.left
    return due, early


def _last_winter(by: date) -> int:
    """Year in which the last winter begins whose wood is there on a day; in spring it is the one just gone."""
    return winter_began(by).year - (by.month >= SPRING)

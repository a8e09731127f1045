"""What moved a number between two plans: hand-ins exchanged one after another, and rows that differ.

A family that opens this year's plan beside last year's wants to know which of their own doings moved each number, and
what did not. Each step is worth what the number moves by when it is taken behind those before it, so that all steps
add up to the whole difference, whatever they do to one another; in another order a step may be worth more or less.

Step, Share, Number   a state on the way, what one number moved there, one number with all its shares
shares                the shares of each number
rows_differ           rows of a table that are new, changed and gone, by what they speak of
notes_since           the same of the ledger's lines, with their amounts
plots_since           the same of plots and their trees, by stand
keys_since            settings that differ
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from woodlot.estimate import Reason, reason

__all__ = ["Differ", "Share", "Step", "keys_since", "notes_since", "plots_since", "rows_differ", "shares"]

#: Name of a number -> its value, None where there is none.
Numbers = Mapping[str, float | None]
#: Less than this part of a number is what another order of a sum may make.
SAME = 1e-9


@dataclass(frozen=True)
class Step:
    """What was exchanged, why a number may move by it, and the numbers afterwards."""

    what: str
    why: Reason
    after: Numbers


@dataclass(frozen=True)
class Share:
    """What one number moved at one step; where there was or is no number it counts as nought."""

    what: str
    why: Reason
    amount: float


@dataclass(frozen=True)
class Differ:
    """Names of rows that are new, changed and gone."""

    new: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.new or self.changed or self.gone)


def shares(before: Numbers, steps: Sequence[Step]) -> dict[str, tuple[Share, ...]]:
    """Of each number the steps that moved it; they add up to its whole difference."""
    out: dict[str, tuple[Share, ...]] = {}
    for name in before:
        moved, then = [], before[name]
        for step in steps:
            now = step.after[name]
            if _differ(then, now):
                moved.append(Share(step.what, step.why, (now or 0.0) - (then or 0.0)))
            then = now
        out[name] = tuple(moved)
    return out


def _differ(then: float | None, now: float | None) -> bool:
    if then is None or now is None:
        return then is not now
    return abs(now - then) > SAME * max(abs(then), abs(now))


def rows_differ(then: pd.DataFrame, now: pd.DataFrame, name: str) -> Differ:
    """What is new, changed and gone between two tables; ``name``: the column by which their rows are spoken of."""
    old, new = _by_name(then, name), _by_name(now, name)
    return Differ(
        tuple(one for one in new if one not in old),
        tuple(one for one in new if one in old and old[one] != new[one]),
        tuple(one for one in old if one not in new),
    )


def _by_name(table: pd.DataFrame, name: str) -> dict[str, list[str]]:
    """Name -> its rows as text, in one order."""
    if not len(table):
        return {}
    shape = {"geometry": table["geometry"].to_wkb(hex=True)} if "geometry" in table else {}
    cells = pd.DataFrame(table).assign(**shape).astype(object)
    text = cells.where(cells.notna(), "").astype(str)
    rows = text[name].str.cat(text, sep="\x1f")
    return {str(one): sorted(some) for one, some in rows.groupby(text[name], sort=False)}


def plots_since(then: Sequence[pd.DataFrame], now: Sequence[pd.DataFrame]) -> Reason:
    """Plots with their trees that are new, measured again, corrected and gone, each by stand; plots, trees, cores."""
    plots, trees, cores = (rows_differ(old, new, name) for old, new, name in zip(then, now, _PLOT_NAMES, strict=True))
    day, stand = ({**_map(then[0], of), **_map(now[0], of)} for of in ("date", "stand_id"))
    before = _map(then[0], "date")
    touched = [one for one in dict.fromkeys((*plots.changed, *trees.new, *trees.changed, *trees.gone)) if one in before]
    touched = [one for one in touched if one not in plots.gone]
    again = [one for one in touched if day[one] != before[one]]
    rest = [one for one in touched if day[one] == before[one]]
    parts = (("new", plots.new), ("again", again), ("changed", rest), ("gone", plots.gone))
    each = tuple((what, _grouped(names, stand)) for what, names in parts if names)
    return reason("plots moved", plots=each, cores=tuple({*cores.new, *cores.changed, *cores.gone}))


_PLOT_NAMES = ("plot_id", "plot_id", "stand_id")


def _map(plots: pd.DataFrame, of: str) -> dict[str, str]:
    return dict(zip(plots["plot_id"].astype(str), plots[of].astype(str), strict=True))


def _grouped(names: Sequence[str], stand: Mapping[str, str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """(stand, its plots) of some plots."""
    out: dict[str, list[str]] = {}
    for name in names:
        out.setdefault(stand[name], []).append(name)
    return tuple((of, tuple(some)) for of, some in out.items())


def notes_since(then: pd.DataFrame, now: pd.DataFrame) -> Reason:
    """Lines of the ledger that are new, changed and gone, and the amounts of the new ones by kind, unit and stand."""
    lines = rows_differ(then, now, "line")
    new = now[now["line"].astype(str).isin(lines.new)]
    keys = [new[name].astype(object).where(new[name].notna(), "") for name in ("kind", "unit", "stand_id")]
    amounts = new["amount"].astype(float).groupby(keys, sort=False).agg(["sum", "count", "size"])
    sums = tuple(
        (str(kind), str(unit), str(stand), float(row["sum"]) if row["count"] else None, int(row["size"]))
        for (kind, unit, stand), row in zip(amounts.index, amounts.to_dict("records"), strict=True)
    )
    return reason("notes moved", lines=lines, sums=sums)


def keys_since(then: Mapping[str, Any], now: Mapping[str, Any]) -> tuple[tuple[str, Any, Any], ...]:
    """(key, then, now) of settings that differ, None where it is not there; keys within parts as part.key."""
    old, new = _flat(then), _flat(now)
    return tuple((key, old.get(key), new.get(key)) for key in {**old, **new} if old.get(key) != new.get(key))


def _flat(settings: Mapping[str, Any], part: str = "") -> dict[str, Any]:
    out: dict[str, Any] = {}
    for key, value in settings.items():
        name = f"{part}.{key}" if part else key
        out |= _flat(value, name) if isinstance(value, Mapping) else {name: value}
    return out

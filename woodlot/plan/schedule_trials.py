"""What keeps a need from being met: each limit is loosened alone, and the schedule made again.

in_the_way   the limits that lessen what is missing, the strongest first
"""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import NoAnswer
from woodlot.plan.schedule import Limits, Prescriptions, Row, Solution, solve
from woodlot.plan.schedule_program import Program

__all__ = ["TRIED", "WOODS", "in_the_way"]

#: Named as a limit where without all of them some would still be missing: there is no more in these woods.
WOODS = "woods"

TRIED = ["about", "limit", "less", "left", "work_most"]
#: A limit is named when what is missing counts, and is, less by this share without it.
LEAST_SHARE = 0.01
#: The trials are solved this much nearer than that, and no nearer: (finest, coarsest) gap.
GAPS = (0.005, 0.05)


def in_the_way(solution: Solution, limits: Limits) -> pd.DataFrame:
    """Limits without which less would be missing than in ``solution``, each tried alone.

    Columns: about ("firewood" or a product), limit ("work", "frozen", "cut", "end", "stock", "neighbors", "entry" or
    the kind of an own row; where none alone is one, the fewest that are one together, joined by "+"; where without all
    of them some is missing, ``WOODS`` too), less (than now), left (still missing), work_most (most days of a period in
    that trial); for each ``about`` the strongest first. Where the linear program lacks as much as the plan, whole
    entries are not what is in the way, and the trials are linear too; else each is a whole schedule, which is made only
    where the linear program could be worth enough more.
    """
    p = solution.prescriptions
    now = _missing(solution.short, solution.lacks)
    short = {k: v for k, v in now.items() if v > 1e-6}
    rows: list[tuple[str, str, float, float, float]] = []
    if short:
        price = Program(p, limits).price_of(solution.short, solution.lacks)
        # (value, missing, most days) of the limits as they are, and of each trial after it
        trials: Any = _linear
        base = None if solution.gave else trials(p, limits)
        if base is None or any(base[1][k] < (1.0 - LEAST_SHARE) * v for k, v in short.items()):
            trials = partial(_whole, gap=float(np.clip(0.05 * LEAST_SHARE * price, *GAPS)))
            base = solution.value, now, 0.0
        for name, loose in _loosened(limits):
            least = base[0] + LEAST_SHARE * price
            bound = _linear(p, loose)
            if bound is not None and bound[0] <= least:  # nor can a whole schedule be worth more
                continue
            value, left, most = (bound if trials is _linear else trials(p, loose)) or base
            if value <= least:
                continue
            rows += [(k, name, v - left[k], left[k], most) for k, v in short.items() if v - left[k] > LEAST_SHARE * v]
        named = {row[0] for row in rows}
        for about, much in short.items():
            whole = [] if trials is _linear else ["entry"]
            rows += _together(p, limits, about, much, about in named, whole)
    out = pd.DataFrame(rows, columns=TRIED)
    return out.sort_values("less", ascending=False, kind="stable").reset_index(drop=True)


def _together(
    p: Prescriptions, limits: Limits, about: str, short: float, named: bool, whole: list[str]
) -> list[tuple[str, str, float, float, float]]:
    """The fewest limits in the way of one thing together, unless one is ``named``; and the woods themselves.

    By the linear program, which knows no whole entries; ``whole``: the limit that they are, where they matter.
    """
    kinds = [name for name, _ in _loosened(limits)]

    def without(names: list[str]) -> tuple[float, float]:
        loose = limits
        for name in names:
            loose = dict(_loosened(loose)).get(name, loose)
        told = _linear(p, loose)
        return (short, 0.0) if told is None else (told[1][about], told[2])

    left, most = without(kinds)
    rows: list[tuple[str, str, float, float, float]] = []
    if left > LEAST_SHARE * short:
        rows.append((about, WOODS, 0.0, left, 0.0))
    if not named and short - left > LEAST_SHARE * short:
        for name in list(kinds):
            fewer = [kind for kind in kinds if kind != name]
            if without(fewer)[0] <= left + LEAST_SHARE * short:
                kinds = fewer
        left, most = without(kinds)
        kinds += [kind for kind in whole if kind not in kinds]
        if len(kinds) > 1:  # one alone was tried
            rows.append((about, "+".join(kinds), short - left, left, most))
    return rows


def _loosened(limits: Limits) -> Iterator[tuple[str, Limits]]:
    """Each limit that there is, by name, and all the others without it; days on frozen ground are days of work."""
    if limits.work_most is not None:
        yield "work", replace(limits, work_most=None, rows=_without(limits, "frozen"))
    for kind in dict.fromkeys(row.kind for row in limits.rows if row.kind != "cut"):
        yield kind, replace(limits, rows=_without(limits, kind))
    if limits.cut_most is not None:
        yield "cut", replace(limits, cut_most=None, rows=_without(limits, "cut"))
    if limits.end_at_least is not None:
        yield "end", replace(limits, end_at_least=None)
    if limits.neighbors:
        yield "neighbors", replace(limits, neighbors=())
    if np.any(np.asarray(limits.least_entry_ac) > 0):
        yield "entry", replace(limits, least_entry_ac=0.0)


def _without(limits: Limits, kind: str) -> list[Row]:
    return [row for row in limits.rows if row.kind != kind]


def _missing(short: np.ndarray, lacks: dict[str, np.ndarray]) -> dict[str, float]:
    return {"firewood": float(short.sum())} | {k: float(v.sum()) for k, v in lacks.items()}


def _linear(p: Prescriptions, limits: Limits) -> tuple[float, dict[str, float], float] | None:
    """Value, what is missing and the most days of work of a period by the linear program."""
    program = Program(p, limits)
    outcome = program.linear()
    if outcome is None:
        return None
    work = (outcome.share * program.ac) @ p.work
    return outcome.value, _missing(program.shortage(outcome), program.lacks(outcome)), float(work.max())


def _whole(p: Prescriptions, limits: Limits, gap: float) -> tuple[float, dict[str, float], float] | None:
    """The same by a whole schedule."""
    try:
        whole = solve(p, replace(limits, gap=gap))
    except NoAnswer:
        return None
    return whole.value, _missing(whole.short, whole.lacks), float(whole.work.max())

"""A schedule looked at again: every row worked out from the answer alone, and the limits that bind.

check     worst miss of each kind of row, from the acres alone
binding   limits that bind, and what one unit more of each would bring
"""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from woodlot.plan.schedule_program import Outcome, Program, by_period

__all__ = ["binding", "check"]

TOO_SMALL_AC = 1e-7
LEAST_PRICE = 0.005


def check(p: Any, limits: Any, acres: np.ndarray, taken: Mapping[str, np.ndarray] | None = None) -> dict[str, float]:
    """Worst miss of each kind of row, worked out from the acres alone, in the row's own unit (acres, amount, days).

    ``taken``: pieces of each product that the plan counts on, by period; no more than the trees cut give.
    """
    out = {"acres": float(np.abs(np.bincount(p.stand, acres, minlength=len(p.acres)) - p.acres).max())}
    out["below zero"] = float(max(-acres.min(), 0.0))
    cut, periods = acres @ (p.cut - p.beside), p.cut.shape[1]
    for name, most, amount in (("cut", limits.cut_most, cut), ("work", limits.work_most, acres @ p.work)):
        if most is not None:
            out[name] = float(np.max(amount - by_period(most, periods), initial=0.0))
    if limits.end_at_least is not None:
        out["end"] = float(max(limits.end_at_least - acres @ p.end, 0.0))
    for own in limits.rows:
        total = float(acres @ np.asarray(own.per_ac, dtype=float))
        out[own.kind] = max(own.low - total, total - own.high, out.get(own.kind, 0.0))
    if np.any(np.asarray(limits.least_entry_ac) > 0):
        least = np.minimum(limits.least_entry_ac, p.acres[p.stand])
        small = p.enters.any(axis=1) & (acres > TOO_SMALL_AC) & (acres < least)
        out["least entry"] = float(np.max((least - acres)[small], initial=0.0))
    for name, made in (taken or {}).items():
        out[name] = float(np.max(made - acres @ p.pieces[name], initial=0.0))
    if limits.neighbors:
        out["neighbors"] = float(_conflicts(p, limits, acres))
    return out


def _conflicts(p: Any, limits: Any, acres: np.ndarray) -> int:
    """Pairs of neighbors opened in one window."""
    opened = np.zeros((len(p.acres), p.cut.shape[1]), dtype=bool)
    used = acres > TOO_SMALL_AC
    np.logical_or.at(opened, p.stand[used], p.opens[used])
    reach = opened.copy()
    for step in range(1, limits.apart + 1):
        reach[:, step:] |= opened[:, :-step]
        reach[:, :-step] |= opened[:, step:]
    groups = [sorted(set(group)) for group in limits.neighbors]
    pairs = np.array([(a, b) for group in groups for k, a in enumerate(group) for b in group[k + 1 :]], dtype=int)
    pairs = pairs.reshape(-1, 2)
    return int((opened[pairs[:, 0]] & reach[pairs[:, 1]]).any(axis=1).sum())


def binding(program: Program, first: Outcome) -> pd.DataFrame:
    """Limits that bind in the linear program: limit, period, slack, price (what the whole plan would give more with one
    unit more); the dearest first. What keeps a need from being met: ``schedule_trials.in_the_way``.
    """
    rows = [
        (kind, period, float(slack), abs(float(price)))
        for (kind, period), price, slack in zip(program.kinds, first.prices, first.slack, strict=True)
        if kind.partition(" ")[0] not in ("sum", "worst", "give") and abs(price) > LEAST_PRICE
    ]
    out = pd.DataFrame(rows, columns=["limit", "period", "slack", "price"])
    return out.sort_values("price", ascending=False, kind="stable").reset_index(drop=True)

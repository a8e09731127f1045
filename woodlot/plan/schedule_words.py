"""A schedule looked at again: every row worked out from the answer alone, and the limits that bind in plain words.

check     worst miss of each kind of row, from the acres alone
binding   limits that bind, and what one unit more of each would bring
"""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from woodlot.plan.schedule_program import Found, Program, by_period
from woodlot.say import words as say

__all__ = ["binding", "check"]


def check(p: Any, told: Any, acres: np.ndarray, taken: Mapping[str, np.ndarray] | None = None) -> dict[str, float]:
    """Worst miss of each kind of row, worked out from the acres alone, in the row's own unit (acres, amount, days).

    ``taken``: pieces of each product that the plan counts on, by period; no more than the trees cut give.
    """
    out = {"acres": float(np.abs(np.bincount(p.stand, acres, minlength=len(p.acres)) - p.acres).max())}
    out["below zero"] = float(max(-acres.min(), 0.0))
    cut, periods = acres @ p.cut, p.cut.shape[1]
    if told.flow is not None:
        fall = (1.0 - told.flow[0]) * cut[:-1] - cut[1:]
        rise = cut[1:] - (1.0 + told.flow[1]) * cut[:-1]
        out["flow"] = float(max(fall.max(initial=0.0), rise.max(initial=0.0)))
    for name, most, what in (("cut", told.cut_most, cut), ("work", told.work_most, acres @ p.work)):
        if most is not None:
            out[name] = float(np.max(what - by_period(most, periods), initial=0.0))
    if told.end_at_least is not None:
        out["end"] = float(max(told.end_at_least - acres @ p.end, 0.0))
    for own in told.rows:
        total = float(acres @ np.asarray(own.per_ac, dtype=float))
        out[own.name] = max(own.low - total, total - own.high, 0.0)
    if np.any(np.asarray(told.least_entry_ac) > 0) and not told.whole:
        least = np.minimum(told.least_entry_ac, p.acres[p.stand])
        small = p.enters.any(axis=1) & (acres > TOO_SMALL_AC) & (acres < least)
        out["least entry"] = float(np.max((least - acres)[small], initial=0.0))
    if told.whole:
        share = acres / p.acres[p.stand]
        out["whole stands"] = float(np.abs(share - np.round(share)).max())
    for name, made in (taken or {}).items():
        out[name] = float(np.max(made - acres @ p.pieces[name], initial=0.0))
    if told.neighbors:
        out["neighbors"] = float(_conflicts(p, told, acres))
    return out


TOO_SMALL_AC = 1e-7


def _conflicts(p: Any, told: Any, acres: np.ndarray) -> int:
    """Pairs of neighbors opened in one window."""
    opened = np.zeros((len(p.acres), p.cut.shape[1]), dtype=bool)
    used = acres > TOO_SMALL_AC
    np.logical_or.at(opened, p.stand[used], p.opens[used])
    reach = opened.copy()
    for step in range(1, told.apart + 1):
        reach[:, step:] |= opened[:, :-step]
        reach[:, :-step] |= opened[:, step:]
    pairs = np.array(
        [(a, b) for g in told.neighbors for k, a in enumerate(sorted(set(g))) for b in sorted(set(g))[k + 1 :]],
        dtype=int,
    ).reshape(-1, 2)
    return int((opened[pairs[:, 0]] & reach[pairs[:, 1]]).any(axis=1).sum())


#: What binds, and what would loosen it by one unit, by kind of limit; first words of the owner's own rows too.
WORDS = {
    "need": ("The firewood wanted {when} holds the plan back.", "With one cord less wanted"),
    "want": ("The {name} wanted {when} hold the plan back.", "With one less wanted"),
    "fall": ("The cut may not fall faster {when}.", "If it might fall by one cord more"),
    "rise": ("The cut may not rise faster {when}.", "If it might rise by one cord more"),
    "cut": ("All that may be cut {when} is cut.", "If one cord more might be taken"),
    "work": ("All days of work {when} are used.", "With one day more"),
    "end": ("What must stand at the end holds the cut back.", "With one cord less left standing"),
    "stock": ("What must stand {name} holds the cut back.", "With one cord less left standing then"),
    "frozen": ("All days of work on frozen ground {name} are used.", "With one day more"),
}
LEAST_PRICE = 0.005


def binding(program: Program, first: Found) -> pd.DataFrame:
    """Limits that bind in the linear program: limit, period, slack, price (what the whole plan would give more with one
    unit more), words; the dearest first. What keeps a need from being met is in ``schedule_tried``.
    """
    labels = list(program.told.labels) or [f"in period {t + 1}" for t in range(program.periods)]
    rows = []
    for (kind, t), price, slack in zip(program.kinds, first.prices, first.slack, strict=True):
        limit, _, name = kind.partition(" ")
        if limit in ("sum", "worst", "give") or abs(price) <= LEAST_PRICE:
            continue
        when = "" if t < 0 else labels[t]
        binds, loose = WORDS.get(limit, (f"The limit {kind} binds.", "With one unit more"))
        gives = f"the whole plan would give {say.amount(abs(float(price)), 'cords')} more"
        told = f"{binds.format(when=when, name=name)} {loose}, {gives}.".replace("  ", " ").replace(" .", ".")
        rows.append({"limit": kind, "period": t, "slack": float(slack), "price": abs(float(price)), "words": told})
    out = pd.DataFrame(rows, columns=["limit", "period", "slack", "price", "words"])
    return out.sort_values("price", ascending=False, kind="stable").reset_index(drop=True)

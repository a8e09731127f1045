"""The rows of a schedule: built for the solver, worked out again from an answer, and explained in words.

Program   the linear program and the integer program of one place
check     worst miss of each kind of row, from the acres alone
binding   limits that bind, and what one unit more of each would bring
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from woodlot import words as say

__all__ = ["Program", "binding", "check"]

SHORT_PRICE = 10.0
#: The goal is handed to the solver so many times as large: fewer steps to the same answer.
GOAL_SCALE = 10.0
SAME = 1e-9


@dataclass(frozen=True)
class Found:
    """Shares of the stands (one a prescription), value, prices of the rows, whether the time limit ended it."""

    share: np.ndarray
    value: float
    prices: np.ndarray
    slack: np.ndarray
    stopped: bool = False


class Program:
    """The rows of one place. Columns: shares, cut by period, shortage and wood carried over, worst shortage."""

    def __init__(self, p: Any, told: Any):
        """Rows of the prescriptions ``p`` (with every array filled) under the limits ``told``."""
        from scipy import sparse

        self.p, self.told = p, told
        self.periods = p.cut.shape[1]
        self.ac = p.acres[p.stand]
        self.need = None if told.need is None else _periods(told.need, self.periods)
        self.scale = max(1.0, float(np.max(self.ac * (p.end + p.cut.sum(axis=1)), initial=0.0)))
        rows, self.kinds = self._side_rows()
        self.a = sparse.csr_matrix(np.vstack([r[0] for r in rows])) if rows else sparse.csr_matrix((0, self.width))
        self.low = np.array([r[1] for r in rows])
        self.high = np.array([r[2] for r in rows])
        self._pairs()

    @property
    def width(self) -> int:
        """Columns: shares, cut by period, and where wood is wanted shortage, wood carried over and worst shortage."""
        return len(self.p.stand) + self.periods + (2 * self.periods + 1 if self.need is not None else 0)

    def _row(self, per_ac: np.ndarray) -> np.ndarray:
        out = np.zeros(self.width)
        out[: len(self.ac)] = per_ac * self.ac
        return out

    def _unit(self, **at: float) -> np.ndarray:
        """A row with a few figures: cut3=1.0 is the cut of the fourth period."""
        first = {"cut": len(self.ac), "short": len(self.ac) + self.periods, "kept": len(self.ac) + 2 * self.periods}
        out = np.zeros(self.width)
        for name, value in at.items():
            if name == "worst":
                out[-1] = value
            else:
                kind = name.rstrip("0123456789")
                out[first[kind] + int(name[len(kind) :])] = value
        return out

    def _side_rows(self) -> tuple[list[tuple[np.ndarray, float, float]], list[tuple[str, int]]]:
        p, told, t_max = self.p, self.told, self.periods
        rows: list[tuple[np.ndarray, float, float]] = []
        kinds: list[tuple[str, int]] = []

        def add(kind: str, period: int, row: np.ndarray, low: float, high: float) -> None:
            rows.append((row, low, high))
            kinds.append((kind, period))

        for t in range(t_max):
            add("sum", t, self._row(p.cut[:, t]) + self._unit(**{f"cut{t}": -1.0}), 0.0, 0.0)
        if self.need is not None:
            for t in range(t_max):
                kept = {f"kept{t}": -1.0} | ({f"kept{t - 1}": 1.0} if t else {})
                add("need", t, self._unit(**{f"cut{t}": 1.0, f"short{t}": 1.0} | kept), self.need[t], np.inf)
                if self.need[t] > 0:
                    add("worst", t, self._unit(**{"worst": 1.0, f"short{t}": -1.0 / self.need[t]}), 0.0, np.inf)
        if told.flow is not None:
            for t in range(1, t_max):
                down = {f"cut{t}": 1.0, f"cut{t - 1}": -(1.0 - told.flow[0])}
                add("fall", t, self._unit(**down), 0.0, np.inf)
                add("rise", t, self._unit(**down | {f"cut{t - 1}": -(1.0 + told.flow[1])}), -np.inf, 0.0)
        if told.cut_most is not None:
            for t, top in enumerate(_periods(told.cut_most, t_max)):
                add("cut", t, self._unit(**{f"cut{t}": 1.0}), -np.inf, float(top))
        if told.work_most is not None:
            for t, top in enumerate(_periods(told.work_most, t_max)):
                add("work", t, self._row(p.work[:, t]), -np.inf, float(top))
        if told.end_at_least is not None:
            add("end", t_max - 1, self._row(p.end), told.end_at_least, np.inf)
        for own in told.rows:
            add(own.name, -1, self._row(np.asarray(own.per_ac, dtype=float)), own.low, own.high)
        return rows, kinds

    def _pairs(self) -> None:
        """Rows of neighbors: z[i, window] >= shares of stand i opened in the window; sum over a group <= 1."""
        from scipy import sparse

        groups = [sorted(set(g)) for g in self.told.neighbors if len(set(g)) > 1]
        span = self.told.apart + 1
        windows = [range(t, min(t + span, self.periods)) for t in range(max(1, self.periods - span + 1))]
        self.z_stand = np.array(sorted({i for g in groups for i in g}), dtype=int)
        at = {int(i): k for k, i in enumerate(self.z_stand)}
        per, here = len(windows), np.isin(self.p.stand, self.z_stand)
        self.z_number = len(self.z_stand) * per
        opened = np.stack([self.p.opens[:, list(w)].any(axis=1) for w in windows], axis=1) & here[:, None]
        x, w = np.nonzero(opened)
        row = np.array([at[int(i)] for i in self.p.stand[x]], dtype=int) * per + w
        ones = np.ones(len(x))
        self.open_x = sparse.csr_matrix((ones, (row, x)), shape=(self.z_number, len(self.p.stand)))
        r = np.array([g * per + k for g in range(len(groups)) for k in range(per) for _ in groups[g]], dtype=int)
        c = np.array([at[i] * per + k for g in groups for k in range(per) for i in g], dtype=int)
        self.group_z = sparse.csr_matrix((np.ones(len(r)), (r, c)), shape=(len(groups) * per, self.z_number))

    def _objective(self) -> np.ndarray:
        c = self._row(-self.p.worth)
        if self.need is not None:
            first = len(self.ac) + self.periods
            c[first : first + self.periods] = SHORT_PRICE
            c[-1] = SHORT_PRICE * float(self.need.max(initial=0.0)) * self.periods
        return c

    def _bounds(self) -> np.ndarray:
        out = np.zeros((self.width, 2))
        n, t = len(self.ac), self.periods
        out[:n, 1], out[n : n + t, 1] = 1.0, np.inf
        if self.need is not None:
            out[n + t : n + 2 * t, 1] = np.maximum(self.need, 0.0)
            out[n + 2 * t : n + 3 * t, 1] = self.told.carry_most
            out[-1, 1] = 1.0
        return out

    def _areas(self) -> Any:
        from scipy import sparse

        n = len(self.p.stand)
        return sparse.csr_matrix((np.ones(n), (self.p.stand, np.arange(n))), shape=(len(self.p.acres), self.width))

    def linear(self, objective: np.ndarray | None = None) -> Found | None:
        """The linear program by dual simplex; None where the limits cannot hold together.

        One way of each stand, the one with the fewest entries, is put in as "the rest of the stand": a column and an
        equation less a stand, half the time.
        """
        from scipy import sparse
        from scipy.optimize import linprog

        goal = (self._objective() if objective is None else objective) * GOAL_SCALE
        n, stands = len(self.p.stand), len(self.p.acres)
        order = np.lexsort((np.arange(n), self.p.enters.sum(axis=1), self.p.stand))
        base = order[np.searchsorted(self.p.stand[order], np.arange(stands))]
        kept = np.setdiff1d(np.arange(self.width), base)
        x = kept[kept < n]
        of = sparse.csr_matrix((np.ones(len(x)), (self.p.stand[x], np.arange(len(x)))), shape=(stands, len(kept)))

        def rest(rows: Any, right: np.ndarray) -> tuple[Any, np.ndarray]:
            columns = rows.tocsc()
            first = columns[:, base]
            return (columns[:, kept] - first @ of).tocsr(), right - np.asarray(first.sum(axis=1)).ravel()

        same = self.low == self.high
        upper, lower = np.isfinite(self.high) & ~same, np.isfinite(self.low) & ~same
        blocks, right = [self.a[upper], -self.a[lower]], [self.high[upper], -self.low[lower]]
        if self.z_number:
            shut = self.group_z @ self.open_x
            blocks.append(sparse.hstack([shut, sparse.csr_matrix((shut.shape[0], self.width - shut.shape[1]))]))
            right.append(np.ones(shut.shape[0]))
        rows, most = rest(sparse.vstack(blocks, format="csr"), np.concatenate(right))
        equal, to = rest(self.a[same], self.low[same])
        got = linprog(
            goal[kept] - goal[base] @ of,
            A_ub=sparse.vstack([rows, of], format="csr"),
            b_ub=np.append(most, np.ones(stands)),
            A_eq=equal if equal.shape[0] else None,
            b_eq=to if equal.shape[0] else None,
            bounds=self._bounds()[kept],
            method="highs-ds",
        )
        if got.status != 0:
            return None
        prices, slack = np.zeros(len(self.low)), np.full(len(self.low), np.inf)
        for which, at in ((upper, 0), (lower, int(upper.sum()))):
            part = slice(at, at + int(which.sum()))
            prices[which] += -got.ineqlin.marginals[part] / GOAL_SCALE
            slack[which] = np.minimum(slack[which], got.ineqlin.residual[part])
        share = np.zeros(n)
        share[x] = got.x[: len(x)]
        share[base] = np.clip(1.0 - np.bincount(self.p.stand[x], share[x], minlength=stands), 0.0, 1.0)
        share[np.abs(share) < SAME] = 0.0
        return Found(share, -(float(got.fun) + float(goal[base].sum())) / GOAL_SCALE, prices, slack)

    def split(self, share: np.ndarray) -> np.ndarray:
        """Stands that the linear answer does not give whole to one prescription."""
        part = (share > SAME) & (share < 1.0 - SAME)
        return np.bincount(self.p.stand, part, minlength=len(self.p.acres)) > 0

    def integer(self, free: np.ndarray, held: np.ndarray) -> Found | None:
        """The integer program over the free stands, the others held as they are."""
        from scipy import sparse
        from scipy.optimize import Bounds, LinearConstraint, milp

        p, told, n = self.p, self.told, len(self.p.stand)
        x_free = np.flatnonzero(free[p.stand])
        x_held = np.flatnonzero(~free[p.stand])
        fixed = np.round(held[x_held])
        rest = np.arange(n, self.width)
        columns = np.concatenate([x_free, rest]).astype(int)
        given = np.asarray(self.a[:, x_held] @ fixed).ravel() if self.a.shape[0] else np.zeros(0)
        least = np.minimum(told.least_entry_ac / self.ac[x_free], 1.0)
        yes = np.flatnonzero(p.enters[x_free].any(axis=1) & (least > 0) & (not told.whole))
        z_free = np.flatnonzero(np.repeat(free[self.z_stand], self.z_number // max(len(self.z_stand), 1)))
        z_held = np.setdiff1d(np.arange(self.z_number), z_free)
        k, y, z = len(columns), len(yes), len(z_free)

        def wide(left: Any, middle: Any, right: Any) -> Any:
            return sparse.hstack([left, middle, right], format="csr")

        def none(rows: int, cols: int) -> Any:
            return sparse.csr_matrix((rows, cols))

        rows = [LinearConstraint(wide(self._areas()[:, columns][free], none(free.sum(), y), none(free.sum(), z)), 1, 1)]
        if self.a.shape[0]:
            m = self.a.shape[0]
            rows.append(
                LinearConstraint(wide(self.a[:, columns], none(m, y), none(m, z)), self.low - given, self.high - given)
            )
        if y:
            pick = sparse.csr_matrix((np.ones(y), (np.arange(y), yes)), shape=(y, k))
            rows.append(LinearConstraint(wide(pick, -sparse.identity(y), none(y, z)), -np.inf, 0.0))
            rows.append(LinearConstraint(wide(pick, -sparse.diags(least[yes]), none(y, z)), 0.0, np.inf))
        if z:
            opened = sparse.hstack([self.open_x[z_free][:, x_free], none(z, len(rest))])
            rows.append(LinearConstraint(wide(opened, none(z, y), -sparse.identity(z)), -np.inf, 0.0))
            shut = np.asarray(self.group_z[:, z_held] @ (self.open_x[z_held][:, x_held] @ fixed)).ravel()
            some = np.asarray((self.group_z[:, z_free] != 0).sum(axis=1)).ravel() > 0
            m = int(some.sum())
            rows.append(
                LinearConstraint(wide(none(m, k), none(m, y), self.group_z[some][:, z_free]), -np.inf, 1.0 - shut[some])
            )
        box = self._bounds()[columns]
        kind = np.zeros(k + y + z + 1)
        kind[: len(x_free)] = 1 if told.whole else 0
        kind[k:-1] = 1
        goal = self._objective()
        # the last column stands for what the held stands are worth: the gap asked is one of the whole
        cost = np.concatenate([goal[columns], np.zeros(y + z), [float(goal[x_held] @ fixed)]])
        got = milp(
            cost,
            integrality=kind,
            bounds=Bounds(np.r_[box[:, 0], np.zeros(y + z), 1.0], np.r_[box[:, 1], np.ones(y + z + 1)]),
            constraints=[
                LinearConstraint(wide(r.A, none(r.A.shape[0], 1), none(r.A.shape[0], 0)), r.lb, r.ub) for r in rows
            ],
            options={"mip_rel_gap": told.gap if free.all() else 0.5 * told.gap, "time_limit": told.time_s},
        )
        if got.x is None:
            return None
        share = np.zeros(n)
        share[x_held] = fixed
        share[x_free] = np.where(got.x[: len(x_free)] < SAME, 0.0, got.x[: len(x_free)])
        return Found(share, -float(got.fun), np.zeros(0), np.zeros(0), stopped=got.status == 1)

    def shortage(self, cut: np.ndarray) -> np.ndarray:
        """What is missing of the need in each period when wood is carried over as far as may be."""
        out, kept = np.zeros(self.periods), 0.0
        if self.need is None:
            return out
        for t in range(self.periods):
            have = kept + cut[t]
            out[t] = max(self.need[t] - have, 0.0)
            kept = min(max(have - self.need[t], 0.0), self.told.carry_most)
        return np.where(out < 1e-7 * max(1.0, float(self.need.max())), 0.0, out)

    def value(self, share: np.ndarray) -> float:
        """What the objective comes to for shares, shortage worked out from them."""
        out = float(share @ (self.p.worth * self.ac))
        if self.need is not None:
            short = self.shortage((share * self.ac) @ self.p.cut)
            part = np.divide(short, self.need, out=np.zeros_like(short), where=self.need > 0)
            out -= SHORT_PRICE * (
                short.sum() + part.max(initial=0.0) * float(self.need.max(initial=0.0)) * self.periods
            )
        return out

    def loosened(self) -> tuple[dict[str, float], Any]:
        """Limits with as little given way as lets them hold together, and by how much: end stock, then even flow."""
        told, gave = self.told, {}
        if told.end_at_least is not None:
            trial = Program(self.p, replace(told, end_at_least=None))
            best = trial.linear(-trial._row(self.p.end))
            if best is not None:
                most = float(best.share @ (self.p.end * self.ac))
                if most < told.end_at_least:
                    gave["end"] = told.end_at_least - most
                    return gave, replace(told, end_at_least=most - 1e-9 * max(1.0, abs(most)))
        if told.flow is not None:
            trial = Program(self.p, replace(told, flow=None))
            if trial.linear() is not None:
                return {"flow": 1.0}, replace(told, flow=None)
        return gave, told


def _periods(values: Any, periods: int) -> np.ndarray:
    from woodlot.plan.schedule import by_period

    return by_period(values, periods)


def check(p: Any, told: Any, acres: np.ndarray) -> dict[str, float]:
    """Worst miss of each kind of row, worked out from the acres alone, in the row's own unit (acres, amount, days)."""
    out = {"acres": float(np.abs(np.bincount(p.stand, acres, minlength=len(p.acres)) - p.acres).max())}
    out["below zero"] = float(max(-acres.min(), 0.0))
    cut, periods = acres @ p.cut, p.cut.shape[1]
    if told.flow is not None:
        fall = (1.0 - told.flow[0]) * cut[:-1] - cut[1:]
        rise = cut[1:] - (1.0 + told.flow[1]) * cut[:-1]
        out["flow"] = float(max(fall.max(initial=0.0), rise.max(initial=0.0)))
    for name, most, what in (("cut", told.cut_most, cut), ("work", told.work_most, acres @ p.work)):
        if most is not None:
            out[name] = float(np.max(what - _periods(most, periods), initial=0.0))
    if told.end_at_least is not None:
        out["end"] = float(max(told.end_at_least - acres @ p.end, 0.0))
    for own in told.rows:
        total = float(acres @ np.asarray(own.per_ac, dtype=float))
        out[own.name] = max(own.low - total, total - own.high, 0.0)
    if told.least_entry_ac > 0 and not told.whole:
        least = np.minimum(told.least_entry_ac, p.acres[p.stand])
        small = p.enters.any(axis=1) & (acres > TOO_SMALL_AC) & (acres < least)
        out["least entry"] = float(np.max((least - acres)[small], initial=0.0))
    if told.whole:
        share = acres / p.acres[p.stand]
        out["whole stands"] = float(np.abs(share - np.round(share)).max())
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


WORDS = {
    "need": "The wood wanted {when} binds: one cord less wanted would leave {price} more for other years.",
    "fall": "The cut may not fall faster {when}: loosening that by one cord is worth {price}.",
    "rise": "The cut may not rise faster {when}: loosening that by one cord is worth {price}.",
    "cut": "The ceiling of the cut {when} binds: one cord more is worth {price}.",
    "work": "Days of work {when} bind: one more day is worth {price}.",
    "end": "What must stand at the end binds: one cord less left is worth {price}.",
}


def binding(program: Program, first: Found) -> pd.DataFrame:
    """Limits that bind in the linear program, the dearest first: limit, period, slack, price, words.

    Where wood is short the prices are those of the shortage alone: cords of it that one unit more would bring.
    """
    labels = list(program.told.labels) or [f"in period {t + 1}" for t in range(program.periods)]
    short = program.need is not None and bool(
        program.shortage((first.share * program.ac) @ program.p.cut).sum() > 1e-6 * max(1.0, float(program.need.max()))
    )
    shown, unit = first, "over the whole plan"
    if short:
        goal = program._objective()
        goal[:] = 0.0
        first_short = len(program.ac) + program.periods
        goal[first_short : first_short + program.periods] = 1.0
        shown = program.linear(goal) or first
        unit = "of what is missing"
    rows = []
    for (kind, t), price, slack in zip(program.kinds, shown.prices, shown.slack, strict=True):
        if kind in ("sum", "worst") or abs(price) <= 1e-7:
            continue
        words = WORDS.get(kind, f"The limit {kind} binds: one unit more is worth {{price}}.")
        when = "" if t < 0 else labels[t]
        told = words.format(when=when, price=f"{say.amount(abs(price), 'cords')} {unit}")
        rows.append({"limit": kind, "period": t, "slack": float(slack), "price": abs(float(price)), "words": told})
    out = pd.DataFrame(rows, columns=["limit", "period", "slack", "price", "words"])
    return out.sort_values("price", ascending=False, kind="stable").reset_index(drop=True)

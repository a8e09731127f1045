"""The rows of a schedule, built for the solver: the linear program of one place.

Program   rows and columns, the linear program, and what an answer is worth
Outcome     what a program gave
by_period a number, or one for each period
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from woodlot.errors import InputError

__all__ = ["SAME", "Outcome", "Program", "by_period"]

SHORT_PRICE = 10.0
#: The goal is handed to the solver so many times as large: fewer steps to the same answer.
GOAL_SCALE = 10.0
SAME = 1e-9
#: What a piece that is wanted once loses of its worth from the first period to the last.
LATER_SHARE = 0.01


@dataclass(frozen=True)
class Outcome:
    """Shares of the stands (one a prescription), the other columns, value, prices of rows.

    bound: no answer is worth more; stopped: whether the nodes ran out; nodes: used.
    """

    share: np.ndarray
    rest: np.ndarray
    value: float
    prices: np.ndarray
    slack: np.ndarray
    bound: float = np.inf
    stopped: bool = False
    nodes: int = 0


def by_period(values: Any, periods: int) -> np.ndarray:
    """A number, or one for each period, as an array."""
    out = np.asarray(values, dtype=float)
    if out.ndim == 0:
        return np.full(periods, float(out))
    if out.shape != (periods,):
        raise InputError(f"{len(out)} values for {periods} periods")
    return out


class Program:
    """The rows of one place.

    Columns: shares; cut by period; where firewood is wanted shortage, wood carried over and worst shortage; and for
    each other product that is wanted pieces taken, missing and carried over by period, and worst share missing.
    """

    def __init__(self, p: Any, limits: Any):
        """Rows of the prescriptions ``p`` (with every array filled) under the limits ``limits``."""
        from scipy import sparse

        self.p, self.limits = p, limits
        self.periods = p.cut.shape[1]
        self.ac = p.acres[p.stand]
        self.need = None if limits.need is None else by_period(limits.need, self.periods)
        self.want = {k: by_period(v, self.periods) for k, v in limits.wanted.items()}
        self.want = {k: v for k, v in self.want.items() if v.max(initial=0.0) > 0}
        unknown = [k for k in self.want if k not in p.pieces]
        if unknown:
            raise InputError(f"no prescription says how many {unknown[0]} it gives")
        self.base = len(p.stand) + self.periods + (2 * self.periods + 1 if self.need is not None else 0)
        self.scale = max(1.0, float(np.max(self.ac * (p.end + p.cut.sum(axis=1)), initial=0.0)))
        rows, self.kinds = self._side_rows()
        self.a = sparse.csr_matrix(np.vstack([r[0] for r in rows])) if rows else sparse.csr_matrix((0, self.width))
        self.low = np.array([r[1] for r in rows])
        self.high = np.array([r[2] for r in rows])
        #: Entries of each prescription, and the smallest and largest share of its stand that may be given to it.
        self.entries = p.enters.sum(axis=1)
        self.least = np.where(self.entries > 0, np.minimum(limits.least_entry_ac / self.ac, 1.0), 0.0)
        self.most = self._most()
        self.entry_cost = limits.entry_price * self.entries
        self._pairs()

    def _most(self) -> np.ndarray:
        """Largest share of its stand that a prescription can have: each limit is looked at as if it had it alone."""
        p, limits, t_max = self.p, self.limits, self.periods
        tops = [
            (np.asarray(r.per_ac, dtype=float), r.high) for r in limits.rows if np.min(r.per_ac, initial=0.0) >= 0.0
        ]
        for each, most in ((p.cut - p.beside, limits.cut_most), (p.work, limits.work_most)):
            if most is not None:
                tops += [(each[:, t], float(top)) for t, top in enumerate(by_period(most, t_max))]
        out = np.ones(len(self.ac))
        for per_ac, top in tops:
            whole = per_ac * self.ac
            out = np.minimum(out, np.divide(max(top, 0.0), whole, out=np.ones_like(whole), where=whole > 0))
        return np.maximum(out, np.maximum(self.least, SAME))

    @property
    def width(self) -> int:
        """Number of columns."""
        return self.base + len(self.want) * (3 * self.periods + 1)

    def at(self, product: int, kind: str) -> slice:
        """Columns of a product: taken, short or kept by period, or worst (one)."""
        first, t = self.base + product * (3 * self.periods + 1), self.periods
        start = first + ("taken", "short", "kept", "worst").index(kind) * t
        return slice(start, start + (1 if kind == "worst" else t))

    def _row(self, per_ac: np.ndarray) -> np.ndarray:
        out = np.zeros(self.width)
        out[: len(self.ac)] = per_ac * self.ac
        return out

    def _unit(self, *figures: tuple[str, int, float]) -> np.ndarray:
        """A row with a few figures: ("cut", 3, 1.0) is the cut of the fourth period."""
        out = np.zeros(self.width)
        for kind, t, value in figures:
            out[len(self.ac) + ("cut", "short", "kept", "worst").index(kind) * self.periods + t] = value
        return out

    def _side_rows(self) -> tuple[list[tuple[np.ndarray, float, float]], list[tuple[str, int]]]:
        p, limits, t_max = self.p, self.limits, self.periods
        rows: list[tuple[np.ndarray, float, float]] = []
        kinds: list[tuple[str, int]] = []

        def add(kind: str, period: int, row: np.ndarray, low: float, high: float) -> None:
            rows.append((row, low, high))
            kinds.append((kind, period))

        for t in range(t_max):
            add("sum", t, self._row(p.cut[:, t]) + self._unit(("cut", t, -1.0)), 0.0, 0.0)
        if self.need is not None:
            for t in range(t_max):
                kept = [("kept", t, -1.0), ("kept", t - 1, 1.0)][: 2 if t else 1]
                row = self._unit(("short", t, 1.0), *kept) + self._row(p.fuel[:, t])
                for k, name in enumerate(self.want):
                    row[self.at(k, "taken")][t] = -limits.wood_in.get(name, 0.0)
                add("need", t, row, self.need[t], np.inf)
                if self.need[t] > 0:
                    add("worst", t, self._unit(("worst", 0, 1.0), ("short", t, -1.0 / self.need[t])), 0.0, np.inf)
        for k, (name, need) in enumerate(self.want.items()):
            for t in range(t_max):
                row = self._row(p.pieces[name][:, t])
                row[self.at(k, "taken")][t] = -1.0
                add(f"give {name}", t, row, 0.0, np.inf)
                row = np.zeros(self.width)
                row[self.at(k, "taken")][t] = row[self.at(k, "short")][t] = 1.0
                row[self.at(k, "kept")][t] = -1.0
                if t:
                    row[self.at(k, "kept")][t - 1] = 1.0
                add(f"want {name}", t, row, need[t], np.inf)
                if need[t] > 0:
                    row = np.zeros(self.width)
                    row[self.at(k, "worst")], row[self.at(k, "short")][t] = 1.0, -1.0 / need[t]
                    add("worst", t, row, 0.0, np.inf)
        if limits.cut_most is not None:
            for t, top in enumerate(by_period(limits.cut_most, t_max)):
                row = self._unit(("cut", t, 1.0)) - self._row(p.beside[:, t])
                add("cut", t, row, -np.inf, float(top))
        if limits.work_most is not None:
            for t, top in enumerate(by_period(limits.work_most, t_max)):
                add("work", t, self._row(p.work[:, t]), -np.inf, float(top))
        if limits.end_at_least is not None:
            add("end", t_max - 1, self._row(p.end), limits.end_at_least, np.inf)
        for own in limits.rows:
            add(own.kind, own.period, self._row(np.asarray(own.per_ac, dtype=float)), own.low, own.high)
        return rows, kinds

    def _pairs(self) -> None:
        """Rows of neighbors: z[i, window] >= shares of stand i opened in the window; sum over a group <= 1."""
        from scipy import sparse

        groups = [sorted(set(g)) for g in self.limits.neighbors if len(set(g)) > 1]
        span = self.limits.apart + 1
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

    def objective(self) -> np.ndarray:
        """What each column counts, entries apart; the least is the best."""
        c = self._row(-self.p.worth)
        if self.need is not None:
            first = len(self.ac) + self.periods
            c[first : first + self.periods] = SHORT_PRICE
            c[first + self.periods : first + 2 * self.periods] = self.limits.keep_price
            c[self.base - 1] = SHORT_PRICE * float(self.need.max(initial=0.0)) * self.periods
        for k, (name, need) in enumerate(self.want.items()):
            price = self.price(need)
            c[self.at(k, "short")] = price
            c[self.at(k, "taken")] = self.later(name, need)
            c[self.at(k, "worst")] = price * float(need.max()) * self.periods
        return c

    def price(self, need: np.ndarray) -> float:
        """What a missing piece counts: a period's need like a cord of firewood."""
        return SHORT_PRICE * self.periods / (float(need.sum()) or 1.0)

    def later(self, name: str, need: np.ndarray) -> np.ndarray:
        """What a piece made in each period counts less, where it is wanted once: made as soon as may be."""
        if not np.any(self.limits.ahead.get(name, 0.0)):
            return np.zeros(self.periods)
        return self.price(need) * LATER_SHARE * np.arange(self.periods) / self.periods

    def keeps(self, name: str, need: np.ndarray) -> np.ndarray:
        """Pieces that may be kept over the end of each period: a share of its need, and what is due later on."""
        return self.limits.carry_share * need + by_period(self.limits.ahead.get(name, 0.0), self.periods)

    def bounds(self) -> np.ndarray:
        """Least and most of each column."""
        out = np.zeros((self.width, 2))
        n, t = len(self.ac), self.periods
        out[:n, 1], out[n : n + t, 1] = 1.0, np.inf
        if self.need is not None:
            out[n + t : n + 2 * t, 1] = np.maximum(self.need, 0.0)
            out[n + 2 * t : n + 3 * t, 1] = self.limits.carry_most
            out[self.base - 1, 1] = 1.0
        for k, (name, need) in enumerate(self.want.items()):
            out[self.at(k, "taken"), 1] = np.inf
            out[self.at(k, "short"), 1] = need
            out[self.at(k, "kept"), 1] = self.keeps(name, need)
            out[self.at(k, "worst"), 1] = 1.0
        return out

    def areas(self) -> Any:
        """Rows that sum the shares of each stand."""
        from scipy import sparse

        n = len(self.p.stand)
        return sparse.csr_matrix((np.ones(n), (self.p.stand, np.arange(n))), shape=(len(self.p.acres), self.width))

    def linear(self, objective: np.ndarray | None = None) -> Outcome | None:
        """The linear program by dual simplex; None where the limits cannot hold together.

        One way of each stand, the one with the fewest entries, is put in as "the rest of the stand": a column and an
        equation less a stand, half the time.
        """
        from scipy import sparse
        from scipy.optimize import linprog

        goal = self.objective() if objective is None else objective
        if objective is None:
            # a part of an entry costs its part: never more than the entry
            goal[: len(self.ac)] += self.entry_cost / self.most
        goal = goal * GOAL_SCALE
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
            bounds=self.bounds()[kept],
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
        value = -(float(got.fun) + float(goal[base].sum())) / GOAL_SCALE
        return Outcome(share, got.x[len(x) :], value, prices, slack, value)

    def split(self, share: np.ndarray) -> np.ndarray:
        """Stands that the linear answer does not give whole to one prescription."""
        part = (share > SAME) & (share < 1.0 - SAME)
        return np.bincount(self.p.stand, part, minlength=len(self.p.acres)) > 0

    def taken(self, outcome: Outcome) -> dict[str, np.ndarray]:
        """Pieces of each wanted product that are made, by period: never more than the trees cut give."""
        n = len(self.p.stand)
        acres = outcome.share * self.ac
        out = {}
        for k, name in enumerate(self.want):
            of = self.at(k, "taken")
            out[name] = np.clip(outcome.rest[of.start - n : of.stop - n], 0.0, acres @ self.p.pieces[name])
        return out

    def fuel(self, outcome: Outcome) -> np.ndarray:
        """What is left for the stove by period: its part of the cut less the wood in pieces."""
        fuel = (outcome.share * self.ac) @ self.p.fuel
        return fuel - sum(
            (self.limits.wood_in.get(k, 0.0) * v for k, v in self.taken(outcome).items()), np.zeros(len(fuel))
        )

    def _stored(self, outcome: Outcome) -> np.ndarray:
        """What is missing of the firewood wanted in each period, and what is kept over from it."""
        if self.need is None:
            return np.zeros((2, self.periods))
        first = 2 * self.periods
        kept = np.minimum(outcome.rest[first : first + self.periods], self.limits.carry_most)
        return _short(self.fuel(outcome), self.need, kept)

    def shortage(self, outcome: Outcome) -> np.ndarray:
        """What is missing of the firewood wanted in each period, wood being kept over as the plan keeps it."""
        return self._stored(outcome)[0]

    def lacks(self, outcome: Outcome) -> dict[str, np.ndarray]:
        """The same for every other product that is wanted."""
        made, n, out = self.taken(outcome), len(self.p.stand), {}
        for k, (name, need) in enumerate(self.want.items()):
            of = self.at(k, "kept")
            kept = np.minimum(outcome.rest[of.start - n : of.stop - n], self.keeps(name, need))
            out[name] = _short(made[name], need, kept)[0]
        return out

    def value(self, outcome: Outcome) -> float:
        """What the objective comes to for shares and pieces, shortage and wood kept over worked out from them."""
        used = outcome.share > SAME
        out = float(outcome.share @ (self.p.worth * self.ac)) - float(self.entry_cost @ used) - self.begun(used)
        short, kept = self._stored(outcome)
        made = self.taken(outcome)
        out -= sum(float(made[name] @ self.later(name, need)) for name, need in self.want.items())
        return out - self.limits.keep_price * float(kept.sum()) - self.price_of(short, self.lacks(outcome))

    def begun(self, used: np.ndarray) -> float:
        """What the jobs count that are begun: winters in which a stand is entered and was not in the one before."""
        if not self.limits.job_price:
            return 0.0
        opened = np.zeros((len(self.p.acres), self.periods), dtype=bool)
        np.logical_or.at(opened, self.p.stand[used], self.p.enters[used])
        return self.limits.job_price * float(opened[:, 0].sum() + (opened[:, 1:] & ~opened[:, :-1]).sum())

    def price_of(self, short: np.ndarray, lacks: dict[str, np.ndarray]) -> float:
        """What the firewood and the pieces that are missing count."""
        out = 0.0
        wants = [(self.need, short, SHORT_PRICE)] if self.need is not None else []
        wants += [(self.want[k], v, self.price(self.want[k])) for k, v in lacks.items()]
        for need, short, price in wants:
            part = np.divide(short, need, out=np.zeros_like(short), where=need > 0)
            out += price * (short.sum() + part.max(initial=0.0) * float(need.max(initial=0.0)) * self.periods)
        return out

    def loosened(self) -> tuple[dict[str, float], Any]:
        """Limits with as little of the end stock given way as lets them hold together, and by how much."""
        limits = self.limits
        trial = Program(self.p, replace(limits, end_at_least=None))
        best = None if limits.end_at_least is None else trial.linear(-trial._row(self.p.end))
        most = np.inf if best is None else float(best.share @ (self.p.end * self.ac))
        if best is None or most >= limits.end_at_least:
            return {}, limits
        return {"end": limits.end_at_least - most}, replace(limits, end_at_least=most - 1e-9 * max(1.0, abs(most)))


def _short(have: np.ndarray, need: np.ndarray, keep: np.ndarray) -> np.ndarray:
    """What is missing of a need in each period, and what is kept over: ``keep`` as far as it is there."""
    short, kept, before = np.zeros(len(have)), np.zeros(len(have)), 0.0
    for t, wanted in enumerate(need):
        kept[t] = np.clip(keep[t], 0.0, max(before + have[t], 0.0))
        short[t] = max(wanted - (before + have[t] - kept[t]), 0.0)
        before = kept[t]
    return np.stack([np.where(short < 1e-7 * max(1.0, float(need.max(initial=0.0))), 0.0, short), kept])

"""The integer program of a schedule: whole entries, neighbors that wait, and jobs that go on winter by winter.

integer   the program over the stands that are free, the others held as they are
"""

from typing import Any

import numpy as np

from woodlot import solver
from woodlot.plan.schedule_program import SAME, Outcome, Program

__all__ = ["integer"]


def integer(program: Program, free: np.ndarray, held: np.ndarray, gap: float) -> Outcome | None:
    """The integer program over the free stands, the others held as they are."""
    from scipy import sparse

    p, limits, n = program.p, program.limits, len(program.p.stand)
    x_free = np.flatnonzero(free[p.stand])
    x_held = np.flatnonzero(~free[p.stand])
    fixed = np.round(held[x_held])
    rest = np.arange(n, program.width)
    columns = np.concatenate([x_free, rest]).astype(int)
    given = np.asarray(program.a[:, x_held] @ fixed).ravel() if program.a.shape[0] else np.zeros(0)
    least, most, entry = program.least[x_free], program.most[x_free], program.entry_cost[x_free]
    yes = np.flatnonzero((program.entries[x_free] > 0) & ((least > 0) | (entry > 0)))
    z_free = np.flatnonzero(np.repeat(free[program.z_stand], program.z_number // max(len(program.z_stand), 1)))
    z_held = np.setdiff1d(np.arange(program.z_number), z_free)
    k, y, z = len(columns), len(yes), len(z_free)

    def wide(left: Any, middle: Any, right: Any) -> Any:
        return sparse.hstack([left, middle, right], format="csr")

    def none(rows: int, cols: int) -> Any:
        return sparse.csr_matrix((rows, cols))

    rows: list[tuple[Any, Any, Any]] = [
        (wide(program.areas()[:, columns][free], none(free.sum(), y), none(free.sum(), z)), 1.0, 1.0)
    ]
    if program.a.shape[0]:
        m = program.a.shape[0]
        rows.append((wide(program.a[:, columns], none(m, y), none(m, z)), program.low - given, program.high - given))
    if y:
        pick = sparse.csr_matrix((np.ones(y), (np.arange(y), yes)), shape=(y, k))
        rows.append((wide(pick, -sparse.diags(most[yes]), none(y, z)), -np.inf, 0.0))
        rows.append((wide(pick, -sparse.diags(least[yes]), none(y, z)), 0.0, np.inf))
    if z:
        opened = sparse.hstack([program.open_x[z_free][:, x_free], none(z, len(rest))])
        rows.append((wide(opened, none(z, y), -sparse.identity(z)), -np.inf, 0.0))
        shut = np.asarray(program.group_z[:, z_held] @ (program.open_x[z_held][:, x_held] @ fixed)).ravel()
        some = np.asarray((program.group_z[:, z_free] != 0).sum(axis=1)).ravel() > 0
        m = int(some.sum())
        rows.append((wide(none(m, k), none(m, y), program.group_z[some][:, z_free]), -np.inf, 1.0 - shut[some]))
    told, begun = _begun(program, x_free[yes]) if y and limits.job_price else (none(0, y), none(0, 0))
    jobs, more = (
        begun.shape[1],
        [(wide(a, none(a.shape[0], begun.shape[1]), none(a.shape[0], 1)), *ends) for a, *ends in rows],
    )
    if jobs:
        m = begun.shape[0]
        of_jobs = wide(none(m, k), told, none(m, z))
        more.append((wide(of_jobs, begun, none(m, 1)), -np.inf, 0.0))
    box = program.bounds()[columns]
    kind = np.zeros(k + y + z + jobs + 1)
    kind[k : k + y + z] = 1
    goal = program.objective()
    # the last column stands for what the held stands are worth: the gap asked is one of the whole
    used = np.zeros(n, dtype=bool)
    used[x_held] = fixed > 0
    given_worth = float((goal[x_held] + program.entry_cost[x_held]) @ fixed) + program.begun(used)
    got = solver.whole(
        np.concatenate([goal[columns], entry[yes], np.zeros(z), np.full(jobs, limits.job_price), [given_worth]]),
        kind,
        np.r_[box[:, 0], np.zeros(y + z + jobs), 1.0],
        np.r_[box[:, 1], np.ones(y + z + jobs + 1)],
        more,
        gap if free.all() else 0.5 * gap,
        limits.nodes,
    )
    if got is None:
        return None
    share = np.zeros(n)
    share[x_held] = fixed
    shut_out = np.zeros(len(x_free), dtype=bool)
    shut_out[yes] = got.x[k : k + y] < 0.5
    share[x_free] = np.where(shut_out | (got.x[: len(x_free)] < SAME), 0.0, got.x[: len(x_free)])
    bound = -got.bound if free.all() else np.inf
    rest_of, no = got.x[len(x_free) : k], np.zeros(0)
    return Outcome(_filled(program, share), rest_of, -got.cost, no, no, bound, got.stopped, got.nodes)


def _begun(program: Program, x: np.ndarray) -> tuple[Any, Any]:
    """Rows for entries of some prescriptions: an entry begins a job, unless its stand was entered the period before.

    Columns: yes-or-no of the prescriptions, and jobs begun by stand and period.
    """
    from scipy import sparse

    stands, stand = np.unique(program.p.stand[x], return_inverse=True)
    q, t = np.nonzero(program.p.enters[x])
    cell, number, rows = stand[q] * program.periods + t, len(stands) * program.periods, np.arange(len(q))
    entered = sparse.csr_matrix((np.ones(len(q)), (cell, q)), shape=(number, len(x)))
    later = t > 0
    before = sparse.csr_matrix((np.ones(int(later.sum())), (rows[later], cell[later] - 1)), shape=(len(q), number))
    own = sparse.csr_matrix((np.ones(len(q)), (rows, q)), shape=(len(q), len(x)))
    begins = sparse.csr_matrix((-np.ones(len(q)), (rows, cell)), shape=(len(q), number))
    return own - before @ entered, begins


def _filled(program: Program, share: np.ndarray) -> np.ndarray:
    """Shares with what rounding left of each stand put to its largest part."""
    stands = len(program.p.acres)
    order = np.lexsort((-share, program.p.stand))
    largest = order[np.searchsorted(program.p.stand[order], np.arange(stands))]
    out = share.copy()
    out[largest] += 1.0 - np.bincount(program.p.stand, share, minlength=stands)
    return out

"""Programs in whole numbers: stopped by how near they are and by nodes, never by a clock; looked at again; silent.

whole   the best whole answer, its bound, and whether the nodes ran out
Whole   what it holds
"""

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import numpy as np

__all__ = ["Whole", "whole"]

#: How far an answer may be off a row or a whole number, of one or of the row's own limit.
OFF = 1e-5


@dataclass(frozen=True)
class Whole:
    """An answer: ``x``; its cost; ``bound``, under which no answer costs; nodes used; stopped: the nodes ran out."""

    x: np.ndarray
    cost: float
    bound: float
    nodes: int
    stopped: bool


def whole(
    cost: np.ndarray,
    integrality: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
    rows: Sequence[tuple[Any, Any, Any]],
    gap: float,
    nodes: int,
) -> Whole | None:
    """The cheapest x with ``low <= x <= high``, whole where ``integrality`` is 1, within ``rows`` (matrix, low, high).

    The search ends within ``gap`` (a share of the cost) of the least, or after so many ``nodes``: the same on every
    machine, busy or not. An answer found by then is taken when it passes a check of every row here; None: there is
    none.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    with _silent():
        got = milp(
            cost,
            integrality=integrality,
            bounds=Bounds(low, high),
            constraints=[LinearConstraint(*row) for row in rows],
            options={"mip_rel_gap": gap, "node_limit": nodes},
        )
    if got.x is None or not _holds(got.x, integrality, low, high, rows):
        return None
    bound = -np.inf if got.mip_dual_bound is None else float(got.mip_dual_bound)
    return Whole(got.x, float(got.fun), bound, int(got.mip_node_count or 0), got.status != 0)


def _holds(x: np.ndarray, integrality: np.ndarray, low: Any, high: Any, rows: Sequence[tuple[Any, Any, Any]]) -> bool:
    """Whether an answer keeps to every bound and row, and is whole where it should be."""
    at = np.asarray(integrality) == 1
    if np.abs(x[at] - np.round(x[at])).max(initial=0.0) > OFF:
        return False
    for made, least, most in [(x, low, high), *((a @ x, lb, ub) for a, lb, ub in rows)]:
        for limit, over in ((least, np.subtract(least, made)), (most, np.subtract(made, most))):
            size = np.maximum(1.0, np.where(np.isfinite(limit), np.abs(limit), 1.0))
            if np.max(over / size, initial=0.0) > OFF:
                return False
    return True


@contextmanager
def _silent() -> Iterator[None]:
    """Standard output and error of the whole process are shut for a moment: the solver prints lines of its own.

    They are written below Python, so the two files are turned to nowhere, and what C holds back is flushed before and
    after. Another thread's lines would be lost meanwhile; nothing here runs in threads.
    """
    kept = {}
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        _flush()
        for file in (1, 2):
            try:
                kept[file] = os.dup(file)
            except OSError:  # shut already: there is nothing to keep
                continue
            os.dup2(nowhere, file)
        yield
    finally:
        _flush()
        for file, old in kept.items():
            os.dup2(old, file)
            os.close(old)
        os.close(nowhere)


def _flush() -> None:
    """Write out what C's own buffers hold."""
    import ctypes

    ctypes.CDLL("ucrtbase" if os.name == "nt" else None).fflush(None)

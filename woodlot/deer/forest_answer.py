"""What is worked out about the next forest, as plain frozen values; N and W as in ``woodlot.deer.answer``.

NextForest     one verdict, what it rests on, and what to do
ForestStep     one thing to do, with its work and money
ForestYear     what was found in one year
COMING_UP ...  the six verdicts
"""

from dataclasses import dataclass
from typing import Generic, TypeVar

__all__ = [
    "CANT_SAY",
    "COMING_UP",
    "FILLERS",
    "HELD",
    "NOT_SHOWN",
    "TOO_DARK",
    "ForestStep",
    "ForestYear",
    "NextForest",
]

N = TypeVar("N")
W = TypeVar("W")

COMING_UP, HELD, TOO_DARK = "coming up", "held down by deer", "too dark"
FILLERS, NOT_SHOWN, CANT_SAY = "fillers", "cause not shown", "can't say yet"


@dataclass(frozen=True)
class ForestStep(Generic[W]):
    """One thing to do: hours of the family's own work and dollars, lowest and highest, for each ``per``."""

    step: str
    words: W
    per: str
    hours: tuple[float, float]
    dollars: tuple[float, float]
    seen: str


@dataclass(frozen=True)
class ForestYear:
    """Verdict of one year ("" where no seedlings were counted) and browse code (None: none)."""

    year: int
    verdict: str
    code: int | None


@dataclass(frozen=True)
class NextForest(Generic[N, W]):
    """Whether the next forest comes up: one verdict of six, why, and steps.

    more_plots: seedling plots still wanted; stocked_pct: open plots with enough, beside needed_pct; light_pct: mean
    light on them; light_from: measured, stand or place, the weakest there is; lit: plots with enough of it; fence:
    stems inside fences over those outside, of ``pairs``; missing: kinds deer like that have seed trees but no young;
    fillers: plots over which kinds nobody wants stand; history: oldest first.
    """

    verdict: str
    words: W
    why: tuple[W, ...]
    more_plots: int
    plots: int
    stocked_pct: N
    needed_pct: float
    light_pct: float | None
    light_from: str
    lit: int
    fence: N
    pairs: int
    missing: tuple[str, ...]
    fillers: int
    code: int | None
    steps: tuple[ForestStep[W], ...]
    history: tuple[ForestYear, ...]

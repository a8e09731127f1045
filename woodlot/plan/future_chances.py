"""What a hundred years may bring, as plain frozen values: ``plan.futures`` fills them, words and answers read them.

Futures    of the stands that grow on evenly
Future     one way to go
CRUISES, GROWTHS, MOST_FALL   the ways, and the share of futures in which the stock may fall
"""

from dataclasses import dataclass
from math import nan

from woodlot.estimate import LEVEL, Reason

__all__ = ["CRUISES", "GROWTHS", "LEAST", "MOST_FALL", "YEARS", "Future", "Futures"]

YEARS = 100
#: When the woods are cruised again: every ten years, not in ten years but every ten years after, never.
CRUISES = ("every ten years", "one missed", "none")
#: True diameter growth over what is assumed, beside what is drawn.
GROWTHS = (1.0, 0.7)
#: Share under which the stock has fallen, share of futures in which it may, and share under which a cut dwindles.
LEAST, MOST_FALL, HALF = 0.85, 0.10, 0.5


@dataclass(frozen=True)
class Future:
    """One way to go: growth (over what is assumed), cruises (of CRUISES).

    under: years -> share of futures in which the stock is under 85 percent of the lesser of what stood first and the
    stock aimed at; under_today: the same of what stands today, which a full wood is led down from; stock: years -> low,
    middle and high of the stock over that of today; cords: mean cut a year in years 1 to 50 and 51 to 100.
    """

    growth: float
    cruises: str
    under: dict[int, float]
    under_today: dict[int, float]
    stock: dict[int, tuple[float, float, float]]
    cords: tuple[float, float]

    @property
    def halves(self) -> bool:
        """Whether the cut of the second fifty years is under half that of the first."""
        return self.cords[1] < HALF * self.cords[0]

    @property
    def dwindles(self) -> bool:
        """Whether it is while the stock rises."""
        return self.halves and self.stock[YEARS][1] > self.stock[YEARS // 2][1]


@dataclass(frozen=True)
class Futures:
    """Futures of the stands that grow on evenly and may be cut.

    number: of draws; stands: how many stands; cords: standing in them today; goal_cords: stock aimed at, NaN where none
    is; level: share of futures between low and high; each: the ways, growth as assumed first; slower: chance of growth
    no better than the slower of the two, by what stays unknown of the place; cores: whether cores stand behind the
    growth of any of these stands; why: why there are none.
    """

    number: int = 0
    stands: int = 0
    cords: float = 0.0
    goal_cords: float = nan
    level: float = LEVEL
    each: tuple[Future, ...] = ()
    slower: float = nan
    cores: bool = False
    why: Reason | None = None

    def way(self, growth: float, cruises: str) -> Future:
        """One of ``each``."""
        return next(one for one in self.each if (one.growth, one.cruises) == (growth, cruises))

    @property
    def holds(self) -> bool:
        """Whether the stock falls in no more than one of ten futures after fifty years, growth as assumed or lower, and
        the cut does not dwindle while it rises, cruised every ten years.
        """
        cruised = [one for one in self.each if one.cruises == CRUISES[0]]
        return bool(cruised) and all(one.under[YEARS // 2] <= MOST_FALL and not one.dwindles for one in cruised)

"""A hundred years of a family's own stands in the answers: chances, stock and cut along each way to go."""

from dataclasses import dataclass

__all__ = ["FutureWay", "Futures", "StockThen"]


@dataclass(frozen=True)
class StockThen:
    """Stock in so many years as a percent of today's, of the middle future and of the two ends."""

    in_yr: int
    low_pct: float
    middle_pct: float
    high_pct: float


@dataclass(frozen=True, kw_only=True)
class FutureWay:
    """One way to go: growth as a percent of what is assumed, when the woods are cruised again.

    under: percent of futures in which the stock is under 85 percent of the lesser of what stood first and the stock
    aimed at; under_today: of what stands today.
    """

    growth_pct: float
    cruises: str
    under_20_pct: float
    under_50_pct: float
    under_100_pct: float
    under_today_50_pct: float
    under_today_100_pct: float
    stock: tuple[StockThen, ...]
    cords_per_yr_1_to_50: float
    cords_per_yr_51_to_100: float


@dataclass(frozen=True, kw_only=True)
class Futures:
    """Futures of the stands that are cut evenly, if all that may be cut is cut; words alone where there are none.

    holds: whether the stock falls in no more than one of ten futures after fifty years, also where growth is 30 percent
    lower, and the cut does not dwindle while it rises; slower_pct: chance of growth so low, by what stays unknown of
    the place.
    """

    words: tuple[str, ...]
    number: int = 0
    stands: int = 0
    stock_cords: float = 0.0
    goal_cords: float | None = None
    holds: bool = False
    slower_pct: float | None = None
    ways: tuple[FutureWay, ...] = ()
    cords_with_ten_cores: float | None = None

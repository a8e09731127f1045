"""A hundred years of a family's own stands, many times over: how likely the stock falls if all is cut that may be.

futures    the chances (``plan.future_chances``), from random draws

A family wants to know whether its grandchildren will find the woods that stand today if it cuts all that it may, also
when trees grow slower than anyone assumed, and what it costs to let a cruise go by. In each future the true growth and
stock are drawn; every ten years a cruise sees the stock as far off as a cruise is, growth stays what was assumed, and
the rule of ``level_cut`` says what is cut in the ten years after.
"""

from collections.abc import Iterator, Mapping
from copy import copy
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from woodlot.estimate import LEVEL, Estimate, reason, satterthwaite_df, t_quantile, z_quantile
from woodlot.plan.ceilings import Yearly
from woodlot.plan.cut import cut_per_yr_meyer
from woodlot.plan.future_chances import CRUISES, GROWTHS, LEAST, YEARS, Future, Futures
from woodlot.plan.future_stands import Pines, Stands, Tables
from woodlot.plan.growth_draws import site_error
from woodlot.plan.level_cut import LevelCut, level_cut
from woodlot.plan.what_grows import common_errors
from woodlot.plan.woods import Woods, lost_of
from woodlot.region import Region
from woodlot.stand import grow, marking
from woodlot.units import basal_sqft

__all__ = ["futures"]

NUMBER, FEWEST, AGAIN = 500, 100, 10
#: Stands times futures: of a wood of more than a hundred stands fewer are drawn, since the stands even each other out.
ROOM = 50_000
#: Years at whose start the stock is told.
TOLD = (10, 20, 50, 100)
#: Keeps a share of nothing from being one over nothing.
NONE = 1e-9
#: The range whose ends cut off a tenth each; spreads of few plots are stretched until it is as wide as t has it.
TENTHS = 0.8
#: Growth beyond which no stock is led to its goal by a level cut [share a year].
MOST_RATE = 0.9


@dataclass(frozen=True)
class _Draws:
    """What is drawn once for all ways: scale (true stock over that seen) and site (true growth over that assumed), both
    (stand, future); cruise (errors of each cruise, (cruise, stand, future)); table (true cords of a cord told,
    (future): table, counting and stacking are off by the same in all stands and in every cruise).
    """

    scale: np.ndarray
    site: np.ndarray
    cruise: np.ndarray
    table: np.ndarray


def futures(
    woods: Woods,
    yearly: Yearly,
    cords: Mapping[str, Estimate],
    region: Region,
    level: float = LEVEL,
    seed: int = 1,
    number: int | None = None,
) -> Futures:
    """What becomes of the stock if all that may be cut is cut.

    Parameters
    ----------
    woods, yearly
        The woods today, and what may be cut of them.
    cords
        Standing cords by stand_id, as the plots gave them: the error of each cruise.
    region
        Whose figures are used.
    level
        Share of futures between the low and the high stock.
    seed, number
        Start and number of the draws; None for 500, down to 100 where more than a hundred stands are cut evenly.

    Returns
    -------
    ``Futures``; none where no stand with plots is cut evenly.
    """
    rule, table = yearly.rule, yearly.table
    k = np.flatnonzero(table["inside"].to_numpy(dtype=bool) & (table["cut_ac"] > 0).to_numpy())
    if not len(k) or not rule.stock_cords > 0:
        none = not (woods.stands["cords"] > 0).any()
        return Futures(why=reason("no futures without plots") if none else reason("nothing cut evenly"))
    number = number or int(np.clip(ROOM // len(k), FEWEST, NUMBER))
    acres = table["cut_ac"].to_numpy(dtype=float)[k]
    keep = table["keep_sqft_per_ac"].to_numpy(dtype=float)[k]
    drawn, rest = _drawn(woods, cords, k, number, seed, region), _rest(woods, region)
    today = _Woods(rest, k, acres[:, None], np.ones((len(k), 1)), region)
    stock = float(today.stock.sum())
    own = _Rule(rule, stock, float(today.grown().sum()), region)
    each: list[Future] = []
    for growth in GROWTHS:
        start = _Woods(rest, k, acres[:, None], drawn.scale, region)
        each += _ways(_Way(start, own, drawn, keep[:, None], growth, level))
    thinned = woods.stands.iloc[k]
    slower, cores = _slower(thinned, region), bool(thinned["backed"].any())
    return Futures(number, len(k), stock, own.goal, level, tuple(each), slower, cores)


def _slower(thinned: pd.DataFrame, region: Region) -> float:
    """Chance that these stands together grow no more than the slower of ``GROWTHS``, by what stays unknown of them."""
    from scipy.special import ndtr

    place, own = site_error(thinned, region=region)
    stock = (thinned["cords"] * thinned["acres"]).to_numpy(dtype=float)
    share = stock / stock.sum()
    sd = np.hypot(place @ share, np.linalg.norm(own * share))
    return float(ndtr(np.log(min(GROWTHS)) / max(sd, NONE)))


def _rest(woods: Woods, region: Region) -> Woods:
    """The woods without what dies now: it is gone in a few years whatever is cut."""
    left = woods.trees - marking.salvage(woods.trees, woods.judged, region=region)
    b, stands = basal_sqft(grow.classes(region=region)), woods.stands

    def share(worth: np.ndarray) -> np.ndarray:
        now = np.einsum("sc,sck->k", worth, woods.trees)
        return np.divide(np.einsum("sc,sck->k", worth, left), now, out=np.ones_like(now), where=now > 0)

    cords, basal = stands["cords"] * share(woods.values["cords"]), stands["basal"] * share(np.tile(b, (len(left), 1)))
    return replace(woods, trees=left, stands=stands.assign(cords=cords, basal=basal))


def _drawn(
    woods: Woods, cords: Mapping[str, Estimate], k: np.ndarray, number: int, seed: int, region: Region
) -> _Draws:
    today = woods.stands.iloc[k]
    standing = [cords.get(s) for s in today["stand_id"]]
    cv = np.array([(e.se or 0.0) / e.value if e is not None and e.value else 0.0 for e in standing])
    df = [np.inf if e is None else e.df for e in standing]
    stock = np.nan_to_num(today["cords"].to_numpy(dtype=float)) * today["acres"].to_numpy(dtype=float)
    together = satterthwaite_df(zip(((cv * stock) ** 2).tolist(), df, strict=True))
    sd = np.sqrt(np.log1p(cv**2)) * (t_quantile(TENTHS, together) / z_quantile(TENTHS))
    table, count, stacking = common_errors(standing, region=region)
    off = np.sqrt(table**2 + count**2 + stacking**2)
    table_cv = float(off @ stock / stock.sum()) if stock.sum() > 0 else 0.0
    draw = np.random.default_rng(seed)
    cruise = sd[:, None] * draw.standard_normal((1 + YEARS // AGAIN, len(k), number))
    place, own = (sd[:, None] for sd in site_error(today, region=region))
    site = np.exp(place * draw.standard_normal(number) + own * draw.standard_normal((len(k), number)))
    table = np.exp(-np.sqrt(np.log1p(table_cv**2)) * draw.standard_normal(number))
    return _Draws(np.exp(-cruise[0]), site, cruise[1:], table)


class _Rule:
    """``level_cut`` as the family will use it: shares, goal and area check of today, stock as seen then."""

    def __init__(self, rule: LevelCut, stock: float, grown: float, region: Region):
        """stock, grown: of these stands today, as their trees here say; the rule's own figures are brought to them."""
        self.region, self.stock_share, self.growth_share = region, rule.stock_share, rule.growth_share
        to = stock / rule.stock_cords
        self.first, self.goal = rule.first_cords * to, rule.goal_cords * to
        self.fuller = rule.first_cords / rule.stock_cords
        self.now, self.area = rule.level_cords * to, rule.area_cords / rule.stock_cords
        self.cycle = region.figure("defaults_cut", "cutting_cycle_yr")
        #: Growth over the next ten years, as ceilings tell it, over that of one year here.
        self.longer = rule.mid_growth * to / grown if grown > 0 else 1.0

    def level(self, grown: np.ndarray, seen: np.ndarray) -> np.ndarray:
        """Cords a year until the next cruise; grown: what is assumed to grow of the stock seen."""
        middle = grown * self.longer
        low = middle * np.where(middle > 0, self.growth_share, 1.0)
        level = np.minimum(
            level_cut(low, seen, self.first, self.goal, self.stock_share, region=self.region), self.area * seen
        )
        rate = np.clip(middle / np.maximum(seen, NONE), -MOST_RATE, MOST_RATE)
        led = cut_per_yr_meyer(seen, np.full(seen.shape, self.goal), self.cycle, rate)
        return np.maximum(np.minimum(level, led), 0.0)


class _Woods:
    """The stands of a family in many futures; arrays (stand, future)."""

    def __init__(self, woods: Woods, k: np.ndarray, acres: np.ndarray, scale: np.ndarray, region: Region):
        self.acres, self.shape = acres, scale.shape
        way = woods.stands["way"].to_numpy()[k]
        pine, lost = np.flatnonzero(way == "pine"), lost_of(woods, k, YEARS, "mid", region=region)
        lost = np.zeros((YEARS, len(woods.species), len(k))) if lost is None else lost
        table = np.flatnonzero(way != "pine")
        self.parts: list[Stands] = []
        if len(table):
            self.parts.append(Tables(woods, table, k[table], scale[table], lost[:, :, table], region=region))
        if len(pine):
            self.parts.append(Pines(woods, pine, k[pine], scale[pine], YEARS, region=region))
        self.see()

    def see(self) -> None:
        """Basal area [sq ft/ac] and stock [cords] of now."""
        self.basal, self.stock = np.empty((2, *self.shape))
        for part in self.parts:
            self.basal[part.at], per_ac = part.look()
            self.stock[part.at] = per_ac * self.acres[part.at]

    def again(self) -> "_Woods":
        """The same woods, to go another way from here."""
        other = object.__new__(_Woods)
        other.acres, other.shape, other.parts = self.acres, self.shape, [part.again() for part in self.parts]
        other.basal, other.stock = self.basal, self.stock
        return other

    def year(self, cut: np.ndarray, site: np.ndarray) -> None:
        """Take a share of each stand, then a year goes by."""
        for part in self.parts:
            part.thin(cut[part.at])
            part.step(site[part.at])
        self.see()

    def grown(self) -> np.ndarray:
        """What is assumed to grow in a year [cords]: by the growth that was assumed, whatever it is."""
        other = self.again()
        other.year(np.zeros(self.shape), np.ones(self.shape))
        return other.stock - self.stock


class _Way:
    """One way to go, up to a year; ``to`` goes on, ``again`` turns off."""

    def __init__(self, woods: _Woods, rule: _Rule, drawn: _Draws, keep: np.ndarray, growth: float, level: float):
        self.woods, self.rule, self.drawn, self.keep, self.growth = woods, rule, drawn, keep, growth
        self.ends = (1.0 - level) / 2.0, 0.5, (1.0 + level) / 2.0
        self.site, self.first = drawn.site * growth, woods.stock.sum(axis=0)
        self.aim = np.fmin(self.first * rule.fuller, rule.goal)
        self.level = np.full(self.first.shape, rule.now)
        self.cut = np.zeros((YEARS, len(self.first)))
        self.under: dict[int, float] = {}
        self.under_today: dict[int, float] = {}
        self.stock: dict[int, tuple[float, float, float]] = {}
        self.year = 0

    def again(self) -> "_Way":
        """The same way so far."""
        other = copy(self)
        other.woods, other.cut = self.woods.again(), self.cut.copy()
        other.under, other.under_today, other.stock = dict(self.under), dict(self.under_today), dict(self.stock)
        return other

    def to(self, year: int, cruised: bool) -> "_Way":
        """Go on to a year; cruised: with a cruise every ten years from now."""
        for now in range(self.year, year):
            if cruised and now and now % AGAIN == 0:
                seen = self.woods.stock * np.exp(self.drawn.cruise[now // AGAIN - 1])
                grown = self.woods.grown() / np.maximum(self.woods.stock, NONE) * seen
                self.level = self.rule.level(grown.sum(axis=0), seen.sum(axis=0))
            above = np.clip(1.0 - self.keep / np.maximum(self.woods.basal, NONE), 0.0, 1.0)
            over = (above * self.woods.stock).sum(axis=0)
            part = np.minimum(self.level / self.drawn.table, over) / np.maximum(over, NONE)
            self.cut[now] = part * over * self.drawn.table
            self.woods.year(above * part, self.site)
            if now + 1 in TOLD:
                self._tell(now + 1)
        self.year = year
        return self

    def _tell(self, year: int) -> None:
        now = self.woods.stock.sum(axis=0)
        self.under[year] = float((now < LEAST * self.aim).mean())
        self.under_today[year] = float((now < LEAST * self.first).mean())
        low, middle, high = np.quantile(now / self.first, self.ends).tolist()
        self.stock[year] = low, middle, high

    def told(self, cruises: str) -> Future:
        """What became of it."""
        half = YEARS // 2
        cords = float(self.cut[:half].mean()), float(self.cut[half:].mean())
        return Future(self.growth, cruises, self.under, self.under_today, self.stock, cords)


def _ways(start: _Way) -> Iterator[Future]:
    """Cruised every ten years; the cruise in ten years missed; never cruised again."""
    start.to(AGAIN, cruised=False)
    every = start.again().to(YEARS, cruised=True)
    start.to(2 * AGAIN, cruised=False)
    missed = start.again().to(YEARS, cruised=True)
    for way, name in zip((every, missed, start.to(YEARS, cruised=False)), CRUISES, strict=True):
        yield way.told(name)

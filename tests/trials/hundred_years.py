"""Does the yearly cut hold for a hundred years? The rule of the product tried in woods whose truth is known.

    python tests/trials/hundred_years.py [SEED] [DRAWS] [PLACE ...]

A family wants to know whether its grandchildren can cut as much. Every ten years five prism plots a stand are drawn
from the true trees (Poisson counts, clumped by a gamma of spread .3), read and summed as a cruise is, and what may be
cut a year follows from them by the product's own functions. All of it is cut each year for ten years, in real cords:
thinned stands in proportion to what stands over what they should keep, in even shares of all trees; aspen in patches,
the oldest first, which come back as stands of their own. The volume table is off by one factor a draw.

The true wood grows a year at a time by the product's steps with a factor on diameter growth of its own: the assumed one
times 1, .85, .7 or .5, or times a draw with a log spread of .45. Kinds that break up by age do so here by our own sum,
in stands of known age of such a kind: their trees are lost in place of growth, deaths and ingrowth.

For each place and case it prints stock at 10, 20, 50, 100 years over the start (middle of the draws; stands that are
thinned, no aspen, fir or jack pine of known age, nothing that is never cut), the chance that it is under 85 percent of
the start at 50 and 100, and of the smaller of start and goal; cut a year in years 1 to 50 and 51 to 100 over what was
thought to grow; relative density at 0, 50 and 100. Sampling error of a chance of .1 from 120 draws: .027.
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
import pandas as pd
from hundred_year_hand_in import cruise, told
from hundred_year_places import Wood, places, rules
from hundred_year_truth import STEP, YEARS, Allowed, Truth, assumed, begun, counts, cut, grown

from woodlot.plan import woods
from woodlot.plan.cut_limit import kinds_of, limit_of, reach_of
from woodlot.plan.growth_draws import Draws
from woodlot.plan.level_cut import LevelCut
from woodlot.plan.residuals import leave_now, residuals
from woodlot.plan.what_grows import grown as what_grows
from woodlot.region import Region
from woodlot.stand import grow

PLOTS, FALLEN, SMALLEST_AC = 5, 0.85, 0.05
CASES = {"as assumed": 1.0, "0.85": 0.85, "0.7": 0.7, "0.5": 0.5, "drawn": None}
#: Random draws behind each limit.
RANDOM = 400


def allowed(
    truth: Truth, first: np.ndarray, number: int, seed: int, rng: np.random.Generator
) -> tuple[Allowed, np.ndarray]:
    """A new cruise of every stand, and the product's limit for each draw by itself; first: cords an acre as the first
    cruise saw them (draw, column), NaN before it. Also gives what this one saw.
    """
    draws, columns = truth.acres.shape
    inside = counts(truth)
    at = np.flatnonzero(truth.acres.ravel() >= SMALLEST_AC)
    stands, flat = truth.stands(at), truth.trees.reshape(*truth.trees.shape[:2], -1)[:, :, at]
    known, cords = told(stands, *cruise(stands, flat, truth.wood.species, number, rng), truth.wood.region)
    out = Allowed(
        limit=np.zeros(draws),
        leave=np.full((draws, columns), np.inf),
        thinned=np.zeros((2, draws)),
        patched=np.zeros((draws, columns)),
    )
    seen = np.full((draws, columns), np.nan)
    seen.ravel()[at] = known.stands["cords"].to_numpy(dtype=float)
    for draw, (here, rule, share, patched, leave) in enumerate(
        limits(known, stands, cords, first.ravel()[at], at // columns, draws, seed, truth.wood.region)
    ):
        column = at[here] % columns
        out.limit[draw] = rule.cords_per_yr
        out.leave[draw, column] = leave
        for pool, which in enumerate((inside, ~inside)):
            out.thinned[pool, draw] = (rule.level_cords * share)[which[column]].sum()
        out.patched[draw, column] = patched
    return out, seen


def limits(
    known: Any,
    stands: pd.DataFrame,
    cords: dict,
    first: np.ndarray,
    draw: np.ndarray,
    draws: int,
    seed: int,
    region: Region,
) -> Iterator[tuple[np.ndarray, LevelCut, np.ndarray, np.ndarray, np.ndarray]]:
    """What ``ceilings.yearly_cut`` gives of each draw's stands alone; what grows is worked for all draws at once.

    Gives positions of the stands, the rule, each stand's share of its level cut, its cut by area [cords/yr], and what
    an entry leaves [sq ft/ac].
    """
    of = what_grows(known, stands, cords, number=RANDOM, seed=seed, region=region)
    keeps = residuals(stands, of.basal, region=region)
    kinds = kinds_of(known.stands, of, keeps, region=region)
    leave = leave_now(keeps, of.rest_basal)
    then = np.where(np.isfinite(first), first * of.cut_ac * of.rest, of.worked)
    reach, _ = reach_of(of, kinds, leave, region=region)
    for one in range(draws):
        here = np.flatnonzero(draw == one)
        mine, of_kinds = some(of, here), some(kinds, here)
        rule = limit_of(mine, of_kinds, leave[here], keeps.keep[here], then[here], region=region)
        whole = reach[here].sum()
        share = reach[here] / whole if whole > 0 else 0.0 * reach[here]
        yield here, rule, share, of_kinds.by_area_cords, np.where(of_kinds.inside, leave[here], np.inf)


def some(of: Any, at: np.ndarray) -> Any:
    """Some stands of what is known of many: every array with the stands last, and what is nested."""
    values = {one.name: getattr(of, one.name) for one in fields(of)}
    nested = {name: some(value, at) for name, value in values.items() if isinstance(value, Draws)}
    lists = {name: [value[k] for k in at] for name, value in values.items() if isinstance(value, list)}
    kept = {name for name, value in values.items() if isinstance(value, np.ndarray)} - {"chance", "over"}
    arrays = {name: values[name][..., at] for name in kept}
    return replace(of, **nested, **lists, **arrays)


@dataclass(frozen=True)
class Told:
    """What became of one place in one case.

    stock: (years + 1, draw) of the stands that count [cords]; thinned (of those), other, short (allowed but not there):
    (years, draw) [cords/yr]; full: (years + 1, draw) relative density; growth: of the stands that count, as thought
    at the start [cords/yr]; goal: their stock at what they should keep and half a cycle's growth [cords] (draw); limit:
    the product's limit at each cruise (decade, draw); of_thinned: what of it was of stands that count.
    """

    stock: np.ndarray
    thinned: np.ndarray
    other: np.ndarray
    short: np.ndarray
    full: np.ndarray
    growth: float
    goal: np.ndarray
    limit: np.ndarray
    of_thinned: np.ndarray

    def over(self, year: int, first: bool = True) -> np.ndarray:
        """Stock of a year over the start, or over the smaller of start and goal (draw)."""
        base = self.stock[0] if first else np.fmin(self.stock[0], self.goal)
        return self.stock[year] / np.where(base > 0, base, 1.0)

    def grew(self, years: slice) -> np.ndarray:
        """True net growth a year (draw) [cords/yr]."""
        return (np.diff(self.stock, axis=0)[years] + self.thinned[years]).mean(axis=0)

    def fallen(self, year: int, first: bool = True) -> float:
        """Share of draws in which the stock is under 85 percent."""
        return float((self.over(year, first) < FALLEN).mean()) if self.stock[0].any() else 0.0


def tried(
    wood: Wood, growth: float | None, draws: int, seed: int, pace: str = "mid", number: int = PLOTS, years: int = YEARS
) -> Told:
    """A hundred years of one place: growth over the assumed (None: drawn), pace of break-up, plots a stand."""
    rng = np.random.default_rng(seed)
    truth, exact = begun(wood, draws, growth, pace, rng)
    region, count = wood.region, len(wood.stands)
    inside = counts(truth)
    ahead = int(woods.chosen("growth_years", region))
    path = woods.run(exact, ahead, "mid", region=region)
    acres = wood.stands["acres"].to_numpy(dtype=float)
    mid = np.nan_to_num((path.cords[-1] - path.cords[0]) / ahead * acres)
    keep = rules(wood)["leave_sqft_per_ac"].to_numpy(dtype=float)
    cycle = region.figure("defaults_cut", "cutting_cycle_yr")
    rate = np.divide(mid, path.cords[0] * acres, out=np.zeros(count), where=path.cords[0] > 0)
    aim = (
        path.cords[0] * acres * keep / exact.stands["basal"].to_numpy() * (1.0 + np.maximum(rate, 0.0)) ** (cycle / 2.0)
    )
    goal = float(np.nansum(np.where(inside[:count], aim, 0.0)))
    stock, full = np.zeros((years + 1, draws)), np.zeros((years + 1, draws))
    flows = np.zeros((3, years, draws))
    given, first = [], np.full(truth.acres.shape, np.nan)

    def look(year: int) -> None:
        stock[year] = (truth.cords * truth.acres)[:, inside].sum(axis=1)
        if year % STEP == 0 and inside.any():
            here = truth.trees[..., inside]
            density = grow.relative_density(here.reshape(*here.shape[:2], -1), truth.sg, region=region)
            area = truth.acres[:, inside]
            full[year] = (density.reshape(area.shape) * area).sum(axis=1) / area.sum(axis=1)

    for year in range(years):
        look(year)
        if year % STEP == 0:
            truth.factor, truth.even = assumed(truth, exact)
            may, seen = allowed(truth, first, number, seed + year, rng)
            first = np.where(np.isfinite(first), first, seen)
            given.append((may.limit, may.thinned[0]))
        flows[:, year] = cut(truth, may, year // STEP)
        grown(truth)
    look(years)
    of_all, of_thinned = np.array(given).transpose(1, 0, 2)
    believed = float(mid[inside[:count]].sum())
    return Told(stock, *flows, full, believed, goal * truth.off, of_all, of_thinned)


#: Heads of the table of a place; shares are of the start or of what was thought to grow.
HEADS = (
    "growth",
    *(f"stock at {year}" for year in (10, 20, 50, 100)),
    *(f"under 85 % {of} at {year}" for of in ("of start", "of least") for year in (50, 100)),
    "allowed first",
    *(f"{what} {years}" for what in ("cut", "grew") for years in ("1-50", "51-100")),
    *(f"density at {year}" for year in (0, 50, 100)),
)


def line(case: str, one: Told) -> str:
    """One row of the table of a place, between bars."""
    growth = one.growth if one.growth > 0 else np.nan
    halves = slice(0, 50), slice(50, YEARS)
    cells = [
        case,
        *(f"{np.median(one.over(year)):.2f}" for year in (10, 20, 50, 100)),
        *(f"{100 * one.fallen(year, first):.0f} %" for first in (True, False) for year in (50, 100)),
        f"{np.median(one.of_thinned[0]) / growth:.2f}",
        *(f"{one.thinned[years].mean() / growth:.2f}" for years in halves),
        *(f"{np.median(one.grew(years)) / growth:.2f}" for years in halves),
        *(f"{np.median(one.full[year]):.2f}" for year in (0, 50, 100)),
    ]
    return f"| {' | '.join(cells)} |"


def main(seed: int = 1, draws: int = 120, only: tuple[str, ...] = ()) -> None:
    """Print all places and cases."""
    for name, wood in places().items():
        if only and not any(one in name for one in only):
            continue
        aged = wood.stands["age_yr"].notna().any()
        cases = [(case, growth, "mid") for case, growth in CASES.items()]
        cases += [("0.7, break-up fast", CASES["0.7"], "fast")] if aged else []
        for at, (case, growth, pace) in enumerate(cases):
            one = tried(wood, growth, draws, seed, pace)
            if not at:
                told_of = f"{one.growth:.1f} cords a year thought to grow on {np.median(one.stock[0]):,.0f}"
                print(f"\n{name}: {told_of}; goal {np.median(one.goal):,.0f}; limit {np.median(one.limit[0]):.1f}\n")
                print(f"| {' | '.join(HEADS)} |\n|{'---|' * len(HEADS)}")
            print(line(case, one), flush=True)


if __name__ == "__main__":
    numbers = [int(one) for one in sys.argv[1:] if one.isdigit()]
    main(*numbers[:2], only=tuple(one for one in sys.argv[1:] if not one.isdigit()))

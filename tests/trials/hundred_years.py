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
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

if __package__:
    from .hundred_year_places import Wood, places
else:
    from hundred_year_places import Wood, places

from woodlot.covers import rule_of, said_of
from woodlot.plan import wood_values, woods, woods_today
from woodlot.plan.cut_limit import kinds_of, limit_of, reach_of
from woodlot.plan.growth_draws import Draws
from woodlot.plan.growth_rates import hold
from woodlot.plan.level_cut import LevelCut
from woodlot.plan.residuals import leave_now, residuals
from woodlot.plan.what_grows import grown as what_grows
from woodlot.region import Region
from woodlot.stand import even_aged, grow, plots
from woodlot.stand.ageing import usual_largest_in
from woodlot.tree.growth import equations
from woodlot.tree.volume import volumes
from woodlot.units import SQFT_PER_AC, basal_sqft
from woodlot.wood import boards, tally

DAY, VISIT = date(2026, 11, 25), pd.Timestamp("2026-09-01")
YEARS, STEP, PLOTS, BAF = 100, 10, 5, 10.0
CLUMPS_SD, SITE_SD, SOIL_SD, LEVEL = 0.3, 0.45, 0.35, 0.90
CASES = {"as assumed": 1.0, "0.85": 0.85, "0.7": 0.7, "0.5": 0.5, "drawn": None}
FALLEN, SMALLEST_AC, SUCKERS_YR = 0.85, 0.05, 20.0
CORES = ("dbh_in", "years", "growth_in")
#: Random draws behind each limit.
RANDOM = 400
AGES = Path(__file__).parents[2] / "woodlot" / "regions" / "base" / "breakup_ages.csv"


def told(stands: pd.DataFrame, visited: pd.DataFrame, tallied: pd.DataFrame, region: Region) -> tuple[Any, dict]:
    """The woods and the standing cords that the product makes of a hand-in; each size of tree is scaled once."""
    by = _by(region)
    kinds = tallied[["species", "dbh_in"]].drop_duplicates(ignore_index=True)
    kinds["alive"] = True
    scaled = tally.products(volumes(kinds, by["division"], region=region), by["solid_cuft_per_cord"])
    scaled["bdft"] = boards.bdft(scaled, by["log_rule"], region=region)
    trees = plots.expand(visited, tallied).merge(scaled.drop(columns="alive"), on=["species", "dbh_in"], how="left")
    cv = tally.volume_table_cv(trees, region=region)
    live = tally.per_ac(visited, trees, ("cords",))
    shared = tally.with_kinds({tally.VOLUME_TABLE: cv}, trees, region=region)
    cords = tally.totals_by(("stand_id",), live, stands, "cords", shared, LEVEL, region=region)["stand_id"]
    summary = visited.groupby("stand_id", as_index=False)["date"].max().rename(columns={"date": "measured_on"})
    table, cores = plots.stand_table(visited, trees), pd.DataFrame(columns=["stand_id", "species", *CORES], dtype=float)
    adds = ["trees_per_ac", "basal_sqft_per_ac"]
    sums = trees.groupby(["stand_id", "species", "dbh_in"], as_index=False)[adds].sum()
    trees = sums.merge(scaled, on=["species", "dbh_in"]).assign(cull_pct=np.nan)
    return woods_today.bring_forward(
        stands, summary, table, trees, cords, cores, pd.DataFrame(), DAY, **by, region=region
    ), cords


def _by(region: Region) -> dict[str, Any]:
    solid = float(region.choice("solid_cuft_per_cord"))
    division, rule = (str(region.choice(name)) for name in ("division", "log_rule"))
    return {"division": division, "solid_cuft_per_cord": solid, "log_rule": rule}


def all_trees(stands: pd.DataFrame, trees: np.ndarray, species: list[str]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """A hand-in in which every tree of an acre stands: one plot a stand, counts with fractions."""
    ids = stands["stand_id"].astype(str).to_numpy(dtype=object)
    at = np.nonzero(trees > 0)
    visited = pd.DataFrame({"plot_id": ids, "stand_id": ids, "kind": "fixed", "date": VISIT})
    visited["radius_ft"], visited["baf_sqft_per_ac"] = np.sqrt(SQFT_PER_AC / np.pi), np.nan
    return visited, _tallied(ids[at[2]], at[0], at[1], trees[at], species, len(trees[0]))


def cruise(
    stands: pd.DataFrame, trees: np.ndarray, species: list[str], number: int, rng: np.random.Generator
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Prism plots of the true trees (species, class, stand), ``number`` a stand."""
    b = basal_sqft(2.0 * np.arange(trees.shape[1]) + 6.0)
    expected = trees * b[None, :, None] / BAF
    of = expected.reshape(-1, expected.shape[2])
    cells = np.flatnonzero(of.max(axis=1, initial=0.0) > 1e-5)
    thick = rng.gamma(1.0 / CLUMPS_SD**2, CLUMPS_SD**2, (number, of.shape[1]))
    count = rng.poisson(of[cells][:, None, :] * thick)
    ids = stands["stand_id"].astype(str).to_numpy(dtype=object)
    names = np.array([[f"{one}.p{p}" for one in ids] for p in range(number)], dtype=object)
    visited = pd.DataFrame({"plot_id": names.ravel(), "stand_id": np.tile(ids, number), "kind": "prism", "date": VISIT})
    visited["baf_sqft_per_ac"] = BAF
    c, p, k = np.nonzero(count)
    s, size = np.divmod(cells[c], trees.shape[1])
    return visited, _tallied(names[p, k], s, size, count[c, p, k], species, trees.shape[1])


def _tallied(plot_ids: Any, s: Any, size: Any, count: Any, species: list[str], classes: int) -> pd.DataFrame:
    named = np.array(species, dtype=object)[s]
    out = pd.DataFrame({"plot_id": plot_ids, "species": named, "dbh_in": 6.0 + 2.0 * np.asarray(size, dtype=float)})
    return out.assign(count=count, alive=True)


@dataclass
class Truth:
    """The true wood of all draws: trees (species, class, draw, column), acres (draw, column), age by column; a column
    is a stand, or what came back of a decade's patches in one; origin: the stand of each.
    """

    wood: Wood
    trees: np.ndarray
    acres: np.ndarray
    age: np.ndarray
    origin: np.ndarray
    born: np.ndarray
    site: np.ndarray
    factor: np.ndarray
    even: np.ndarray
    sg: np.ndarray
    way: np.ndarray
    main: np.ndarray
    values: np.ndarray
    off: np.ndarray
    onset: np.ndarray
    half: np.ndarray
    short: np.ndarray

    @property
    def cords(self) -> np.ndarray:
        """Real cords an acre (draw, column)."""
        return (self.values.ravel() @ self.trees.reshape(self.values.size, -1)).reshape(self.acres.shape) * self.off[
            :, None
        ]

    @property
    def basal(self) -> np.ndarray:
        """Basal area an acre (draw, column)."""
        each = np.tile(basal_of(self.trees), len(self.trees))
        return (each @ self.trees.reshape(each.size, -1)).reshape(self.acres.shape)

    def stands(self, at: np.ndarray) -> pd.DataFrame:
        """Stands as they are handed in at a re-cruise; at: positions in (draw, column), flat."""
        draw, column = np.divmod(at, len(self.age))
        out = self.wood.stands.iloc[self.origin[column]].reset_index(drop=True)
        out["stand_id"] = [f"{d}.{c}" for d, c in zip(draw.tolist(), column.tolist(), strict=True)]
        out["parcel_id"] = draw.astype(str)
        out["acres"], out["age_yr"] = self.acres.ravel()[at], self.age[column]
        return out


def basal_of(trees: np.ndarray) -> np.ndarray:
    """Basal area of one tree of each class [sq ft]."""
    return np.asarray(basal_sqft(6.0 + 2.0 * np.arange(trees.shape[1])))


def begun(wood: Wood, draws: int, growth: float | None, pace: str, rng: np.random.Generator) -> tuple[Truth, Any]:
    """The true wood on the first day, and the woods as the product would know them with every tree measured."""
    region, count = wood.region, len(wood.stands)
    exact, _ = told(wood.stands.assign(parcel_id="all"), *all_trees(wood.stands, wood.trees, wood.species), region)
    row = [exact.species.index(name) for name in wood.species]
    onset, half = ages(wood.species, pace)
    short = exact.stands["main"].isin([name for name, one in zip(wood.species, onset, strict=True) if one > 0])
    short = (short & wood.stands["age_yr"].notna()).to_numpy()
    patches = np.flatnonzero((rules(wood)["way"] == "patches").to_numpy() | short)
    steps = YEARS // STEP
    origin = np.concatenate([np.arange(count), np.repeat(patches, steps)]).astype(int)
    born = np.concatenate([np.full(count, -1), np.tile(np.arange(steps), len(patches))])
    trees = np.zeros((*wood.trees.shape[:2], draws, len(origin)))
    trees[..., :count] = wood.trees[:, :, None, :]
    acres = np.zeros((draws, len(origin)))
    acres[:, :count] = wood.stands["acres"].to_numpy(dtype=float)
    age = np.where(born < 0, wood.stands["age_yr"].to_numpy(dtype=float)[origin], -STEP / 2.0 - STEP * born)
    sd = np.where(wood.stands["soil"].notna(), SOIL_SD, SITE_SD)
    drawn = np.exp(rng.standard_normal((draws, 1)) * sd).clip(0.4, 2.0)[:, origin]
    site = drawn if growth is None else np.full(drawn.shape, growth)
    way, main = (exact.stands[name].to_numpy(dtype=object)[origin] for name in ("way", "main"))
    by = _by(region)
    nothing = pd.DataFrame({"species": [], "dbh_in": [], "height_ft": [], "alive": []})
    values = wood_values.by_class(
        wood.species, nothing, by["division"], by["solid_cuft_per_cord"], by["log_rule"], region
    )
    off = np.exp(
        rng.standard_normal(draws) * np.log1p(region.figure("defaults_tally", "volume_cv_regional") ** 2) ** 0.5
    )
    truth = Truth(
        wood=wood,
        trees=trees,
        acres=acres,
        age=age,
        origin=origin,
        born=born,
        site=site,
        factor=np.ones((len(row), draws, len(origin))),
        even=np.ones((draws, len(origin))),
        sg=exact.sg[row],
        way=way,
        main=main,
        values=values["cords"],
        off=off,
        onset=onset,
        half=half,
        short=short[origin],
    )
    return truth, exact


def assumed(truth: Truth, exact: Any) -> tuple[np.ndarray, np.ndarray]:
    """Factors on growth (species, draw, column) and for stands of one age (draw, column): what the product would assume
    of the true trees of today, times the true site.
    """
    draws, columns = truth.acres.shape
    row = [exact.species.index(name) for name in truth.wood.species]
    now = part(exact, np.tile(truth.origin, draws))
    now.trees[row] = truth.trees.reshape(*truth.trees.shape[:2], -1)
    now = hold(replace(now, stands=now.stands.assign(age_yr=np.tile(truth.age, draws))), region=truth.wood.region)
    factor = now.factor["mid"][row].reshape(len(row), draws, columns) * truth.site
    return factor, now.even["mid"].reshape(draws, columns) * truth.site


def ages(species: list[str], pace: str) -> tuple[np.ndarray, np.ndarray]:
    """Ages at which each kind begins to break up, and at which half of it is gone; NaN where it does not."""
    rows = pd.read_csv(AGES).query("pace == @pace").set_index("species")
    return tuple(rows[name].reindex(species).to_numpy(dtype=float) for name in ("onset_yr", "half_yr"))


def grown(truth: Truth) -> None:
    """One year, in place: by stand table, by the pine and aspen of one age, and what breaks up."""
    region = truth.wood.region
    species, classes, draws, columns = truth.trees.shape
    live = (truth.acres.max(axis=0) > 0) & truth.trees.any(axis=(0, 1, 2))
    fitted = said_of(truth.wood.stands["cover"], "growth", region)[truth.origin] == "remeasured"
    largest = usual_largest_in(truth.wood.species, region=region)
    before, stood = truth.trees.copy(), truth.basal
    for which in (False, True):
        at = np.flatnonzero(live & (fitted == which))
        if len(at):
            grew = grow.project(
                before[..., at].reshape(species, classes, -1),
                equations(truth.wood.species, fitted=which, region=region)[0],
                1,
                wood_sg=truth.sg,
                factor=truth.factor[..., at].reshape(species, -1),
                as_measured=which,
                largest_in=largest,
                region=region,
            )
            truth.trees[..., at] = np.maximum(grew.trees, 0.0).reshape(species, classes, draws, -1)
    _one_age(truth, stood)
    past = truth.age[None, :] - truth.onset[:, None]
    falls = np.nan_to_num(np.where((past >= 0) & truth.short, past, np.nan), nan=-1.0)
    span = np.square(truth.half - truth.onset)[:, None]
    share = np.exp(-np.log(2.0) * np.nan_to_num((np.square(falls + 1.0) - np.square(falls)) / span))
    gone = (falls >= 0)[:, None, None, :]
    truth.trees = np.where(gone, before * share[:, None, None, :], truth.trees)
    truth.age = truth.age + 1.0


def _one_age(truth: Truth, stood: np.ndarray) -> None:
    """Pine and aspen of one age follow their own equations; what comes back of a patch becomes trees at an age."""
    region = truth.wood.region
    full = float(even_aged.full_basal_sqft_aspen(SUCKERS_YR, region=region))
    sqft = woods.chosen("young_aspen_share", region) * full / basal_of(truth.trees)[0]
    for c in np.flatnonzero((truth.born >= 0) & (truth.age == SUCKERS_YR)):
        kinds = basal_of(truth.trees) @ np.moveaxis(truth.wood.trees[:, :, truth.origin[c]], 0, 1)
        truth.trees[..., c] = 0.0
        truth.trees[:, 0, :, c] = (sqft * kinds / kinds.sum())[:, None]
    site = truth.wood.stands["site_index_ft"].to_numpy(dtype=float)[truth.origin]
    onset = dict(zip(truth.wood.species, truth.onset, strict=True))
    now = truth.basal
    for c in np.flatnonzero(np.isin(truth.way, ("aspen", "pine"))):
        age = float(truth.age[c])
        if age < 1.0 or (truth.born[c] >= 0 and age <= SUCKERS_YR) or not (truth.acres[:, c] > 0).any():
            continue
        if truth.way[c] == "pine":
            goal = even_aged.grow_pine(stood[:, c], 0.0, age, site[c], 1, truth.even[:, c], region=region)["basal"][1]
        elif age >= onset[truth.main[c]]:
            continue
        else:
            goal = even_aged.grow_aspen(stood[:, c], 0.0, age, 1, truth.even[:, c], region=region)["basal"][1]
        scale = np.divide(goal, now[:, c], out=np.ones_like(goal), where=(now[:, c] > 0) & (goal > 0))
        truth.trees[..., c] *= scale


@dataclass
class Allowed:
    """What one re-cruise lets be cut a year until the next [cords/yr]: in all (draw), of stands that count and of others
    that are thinned (2, draw), in patches (draw, column); what thinning leaves (draw, column).
    """

    limit: np.ndarray
    leave: np.ndarray
    thinned: np.ndarray
    patched: np.ndarray


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

    Gives positions of the stands, the rule, each stand's share of its level cut, its cut by area [cords/yr], and what an
    entry leaves [sq ft/ac].
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


def part(all_of: Any, at: np.ndarray) -> Any:
    """Stands of the product's woods, by position."""
    return replace(
        all_of,
        stands=all_of.stands.iloc[at].reset_index(drop=True),
        trees=all_of.trees[:, :, at],
        factor={case: one[:, at] for case, one in all_of.factor.items()},
        even={case: one[at] for case, one in all_of.even.items()},
        ratio=all_of.ratio[at],
        saplings=all_of.saplings[at],
        deaths=all_of.deaths[:, at],
        judged=all_of.judged.of(at),
    )


def some(of: Any, at: np.ndarray) -> Any:
    """Some stands of what is known of many: every array with the stands last, and what is nested."""
    values = {one.name: getattr(of, one.name) for one in fields(of)}
    nested = {name: some(value, at) for name, value in values.items() if isinstance(value, Draws)}
    lists = {name: [value[k] for k in at] for name, value in values.items() if isinstance(value, list)}
    arrays = {name: value[..., at] for name, value in values.items() if isinstance(value, np.ndarray)}
    return replace(of, **nested, **lists, **arrays)


def cut(truth: Truth, may: Allowed, decade: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """One winter, in place. Cords cut of stands that count, of others, and what was allowed but did not stand (draw)."""
    stock, basal = truth.cords * truth.acres, truth.basal
    over = np.clip(1.0 - may.leave / np.where(basal > 0, basal, 1e-9), 0.0, 1.0)
    there, inside, taken = stock * over, counts(truth), np.zeros(may.thinned.shape)
    for pool, which in enumerate((inside, ~inside)):
        whole = there[:, which].sum(axis=1)
        share = np.minimum(1.0, np.divide(may.thinned[pool], whole, out=np.zeros_like(whole), where=whole > 0))
        taken[pool] = whole * share
        truth.trees[..., which] *= 1.0 - over[:, which] * share[:, None]
    patched = np.zeros(len(stock))
    for origin in np.unique(truth.origin[truth.born >= 0]):
        wanted = may.patched[:, truth.origin == origin].sum(axis=1)
        new = np.flatnonzero((truth.origin == origin) & (truth.born == decade))[0]
        for c in sorted(np.flatnonzero((truth.origin == origin) & (truth.born < decade)), key=lambda c: -truth.age[c]):
            gets = np.minimum(wanted, stock[:, c])
            acres = truth.acres[:, c] * np.divide(gets, stock[:, c], out=np.zeros_like(gets), where=stock[:, c] > 0)
            truth.acres[:, c] -= acres
            truth.acres[:, new] += acres
            wanted, patched = wanted - gets, patched + gets
    short = (may.thinned - taken).sum(axis=0) + may.patched.sum(axis=1) - patched
    return taken[0], taken[1] + patched, short


@dataclass(frozen=True)
class Told:
    """What became of one place in one case. stock: (years + 1, draw) of the stands that count [cords]; thinned (of those), other,
    short (allowed but not there): (years, draw) [cords/yr]; full: (years + 1, draw) relative density; growth: thought at the start [cords/yr] of
    the stands that count; goal: their stock at what they should keep and half a cycle's growth [cords] (draw); limit:
    the product's limit at each cruise (decade, draw), and what of it is thinned.
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


def counts(truth: Truth) -> np.ndarray:
    """Columns whose stock is to hold: thinned, and not of a short-lived kind of known age."""
    return (rules(truth.wood)["way"].to_numpy()[truth.origin] == "thin") & ~truth.short & (truth.born < 0)


def rules(wood: Wood) -> pd.DataFrame:
    """The rule of each stand's cover."""
    return (
        wood.region.table("cut_rules", rows=()).set_index("cover").reindex(rule_of(wood.stands["cover"], wood.region))
    )


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


HEAD = (
    f"{'':22}{'stock over start at':>24}{'':6}{'under 85 % of start':>22}{'of least':>14}{'cut over growth':>20}"
    f"{'allowed':>9}{'true growth':>16}{'density':>20}\n{'growth':22}{'10':>6}{'20':>6}{'50':>6}{'100':>6}{'':6}{'at 50':>11}{'at 100':>11}"
    f"{'50':>7}{'100':>7}{'1-50':>10}{'51-100':>10}{'first':>9}{'1-50':>8}{'51-100':>8}{'0':>8}{'50':>6}{'100':>6}"
)


def line(case: str, one: Told) -> str:
    """One row of the table of a place."""
    stock = "".join(f"{np.median(one.over(year)):6.2f}" for year in (10, 20, 50, 100))
    fallen = "".join(f"{100 * one.fallen(year):10.0f}%" for year in (50, 100))
    least = "".join(f"{100 * one.fallen(year, False):6.0f}%" for year in (50, 100))
    growth = one.growth if one.growth > 0 else np.nan
    cuts = "".join(f"{one.thinned[years].mean() / growth:10.2f}" for years in (slice(0, 50), slice(50, 100)))
    grew = "".join(f"{np.median(one.grew(years)) / growth:8.2f}" for years in (slice(0, 50), slice(50, 100)))
    full = "".join(f"{np.median(one.full[year]):6.2f}" for year in (0, 50, 100))
    return (
        f"{case:22}{stock:24}{'':6}{fallen}{least}{cuts}{np.median(one.of_thinned[0]) / growth:9.2f}{grew}{'':2}{full}"
    )


def main(seed: int = 1, draws: int = 120, only: tuple[str, ...] = ()) -> None:
    """Print all places and cases."""
    for name, wood in places().items():
        if only and not any(one in name for one in only):
            continue
        print(f"\n{name}")
        for case, growth in CASES.items():
            for pace in (
                ("mid", "fast") if case == "as assumed" and np.isfinite(wood.stands["age_yr"]).any() else ("mid",)
            ):
                one = tried(wood, growth, draws, seed, pace)
                if case == "as assumed" and pace == "mid":
                    print(
                        f"thought to grow {one.growth:.1f} cords a year of {np.median(one.stock[0]):,.0f}; "
                        f"goal {np.median(one.goal):,.0f}; limit {np.median(one.limit[0]):.1f}\n{HEAD}"
                    )
                print(line(case + (", break-up fast" if pace == "fast" else ""), one), flush=True)


if __name__ == "__main__":
    numbers = [int(one) for one in sys.argv[1:] if one.isdigit()]
    main(*numbers[:2], only=tuple(one for one in sys.argv[1:] if not one.isdigit()))

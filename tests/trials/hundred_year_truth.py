"""A true wood of many draws that grows and is cut a year at a time: the product is tried against it.

begun     on the first day
assumed   what the product would assume of its growth, times the true site
grown     one year on
cut       one winter's cut
counts    whose stock is to hold
"""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from hundred_year_hand_in import all_trees, choices, part, told
from hundred_year_places import Wood, rules

from woodlot.covers import said_of
from woodlot.plan import wood_values, woods
from woodlot.plan.growth_rates import hold
from woodlot.stand import even_aged, grow
from woodlot.stand.ageing import usual_largest_in
from woodlot.tree.growth import equations
from woodlot.units import basal_sqft
from woodlot.wood import heights

YEARS, STEP = 100, 10
SITE_SD, SOIL_SD, SUCKERS_YR = 0.45, 0.35, 20.0
AGES = Path(__file__).parents[2] / "woodlot" / "regions" / "base" / "breakup_ages.csv"


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


@dataclass
class Allowed:
    """What one re-cruise lets be cut a year until the next [cords/yr]: in all (draw), of stands that count and of
    others that are thinned (2, draw), in patches (draw, column); what thinning leaves (draw, column).
    """

    limit: np.ndarray
    leave: np.ndarray
    thinned: np.ndarray
    patched: np.ndarray


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
    by = choices(region)
    nothing = pd.DataFrame({"species": [], "dbh_in": [], "height_ft": [], "alive": []})
    values = wood_values.by_class(
        wood.species, nothing, by["division"], by["solid_cuft_per_cord"], by["log_rule"], region
    )
    off = np.exp(rng.standard_normal(draws) * np.log1p(float(heights.table_cv(0.0, region=region)) ** 2) ** 0.5)
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
    species, classes, draws, _ = truth.trees.shape
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


def cut(truth: Truth, may: Allowed, decade: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """One winter, in place. Gives cords cut of stands that count, of others, and what was allowed but not there."""
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


def counts(truth: Truth) -> np.ndarray:
    """Columns whose stock is to hold: thinned, and not of a short-lived kind of known age."""
    return (rules(truth.wood)["way"].to_numpy()[truth.origin] == "thin") & ~truth.short & (truth.born < 0)


def basal_of(trees: np.ndarray) -> np.ndarray:
    """Basal area of one tree of each class [sq ft]."""
    return np.asarray(basal_sqft(6.0 + 2.0 * np.arange(trees.shape[1])))

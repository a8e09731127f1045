"""What the family's ground can give in ten years: does, bucks and pounds, as the bank would offer them.

Season      what the take says of this fall: shares, years in the bank, tags, closing
Given       does, bucks and pounds of the ten falls, by draw
given       herds of the fit under the family's own take -> Given
ten_years   the same as an answer, beside ten years of the household's wish, and what would change it

A household wants to know how much of its meat can come from this ground at all, and what would make it more, before it
plans on a freezer. One fall tells nothing of that on small ground: most falls give no deer. So the herds of the fit go
on for ten falls, each offer of the bank is taken, and the deer are counted.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from woodlot.deer import meat
from woodlot.deer.answer import TenYears, Words
from woodlot.deer.defaults import default, default_range
from woodlot.deer.doe_share import can_give, firsts, growth, spared
from woodlot.deer.herd_fit import Fit, Ground, picked
from woodlot.deer.herd_prior import drawn_winters, luck
from woodlot.deer.herd_year import bucks, hunted, next_fall, winter
from woodlot.estimate import LEVEL, Estimate, reason
from woodlot.region import Region
from woodlot.units import AC_PER_SQMI

__all__ = ["FALLS", "Given", "Season", "given", "ten_years"]

#: Falls that are told, and herds that are run through them.
FALLS, DRAWS = 10, 400
#: The family's share over what the herds can give is no more than this, were they low today.
MOST_PART = 3.0
_TINY = 1e-9


@dataclass(frozen=True)
class Season:
    """The take of this fall: does and bucks a year of the acres, years in the bank of each (with this fall's, before
    its hunt), tags of each (None: no limit), deer of each taken so far; whether does are closed; whether the share of
    does was halved, since the neighbors overhunt.
    """

    does_per_yr: float
    bucks_per_yr: float
    bank_yr: tuple[float, float]
    tags: tuple[float | None, float | None] = (None, None)
    taken: tuple[float, float] = (0.0, 0.0)
    closed: bool = False
    halved: bool = False


@dataclass(frozen=True)
class Given:
    """Of all falls together, by draw: does, yearling bucks and older ones."""

    does: np.ndarray
    yearling_bucks: np.ndarray
    older_bucks: np.ndarray

    @property
    def bucks(self) -> np.ndarray:
        """Bucks of any age."""
        return self.yearling_bucks + self.older_bucks


def given(
    fit: Fit,
    ground: Ground,
    season: Season,
    *,
    quiet: bool = False,
    falls: int = FALLS,
    seed: int,
    region: Region,
) -> Given:
    """Deer that the bank offers, and the family takes, in so many falls from this one on.

    quiet: neighbors take no doe and few bucks.

    Notes: a fall's share is what is taken of what each herd can give then (`doe_share.gives`, against its own first
    falls), scaled so that this fall's mean is the family's share; years y = min(y, 1/share) + 1, offered floor(y
    share), under the tags.
    """
    some = picked(fit.weights, DRAWS, seed)
    herds, rng = fit.cloud.herds, np.random.default_rng([seed, DRAWS, falls])
    now, rates, first = fit.now[:, some], herds.rates.of(some), firsts(fit)[some]
    u, v = herds.doe_rate[some], herds.buck_rate[some]
    growing, per_acre = growth(now, rates, first, region), ground.own_ac / AC_PER_SQMI

    def does_given(begins: bool = False) -> np.ndarray:
        part = np.ones(DRAWS) if begins else spared(now, first, region)
        return can_give(now, growing, ground.lost) * part * per_acre

    begins = not len(fit.cloud.numbers)

    doe_part = min(season.does_per_yr / max(float(does_given(begins).mean()), _TINY), MOST_PART)
    buck_part = season.bucks_per_yr / max(float(bucks(now).mean()) * per_acre, _TINY)
    if quiet:
        u, v = np.zeros_like(u), np.full_like(v, region.figure("defaults_herd", "few_bucks"))
        doe_part *= 2.0 if season.halved else 1.0
    years = [np.full(DRAWS, float(owed)) for owed in season.bank_yr]
    got = np.zeros((3, DRAWS))
    for fall in range(falls):
        shares = (doe_part * does_given(begins and fall == 0), buck_part * bucks(now) * per_acre)
        shut = season.closed and fall == 0
        least = season.taken if fall == 0 else (0.0, 0.0)
        if fall:
            _a_year_on(years, shares)
        took = [
            _taken(years[0], shares[0], season.tags[0], shut, least[0]),
            _taken(years[1], shares[1], season.tags[1], False, least[1]),
        ]
        young = np.divide(now[3], bucks(now), out=np.zeros(DRAWS), where=bucks(now) > 0)
        got += np.array([took[0], young * took[1], (1.0 - young) * took[1]])
        own = (took[0] / ground.range_sqmi, took[1] / ground.range_sqmi)
        left = hunted(now, u, v, own, ground.lost, region, ground.neighbors_share)
        cold = winter(drawn_winters(rng, DRAWS, region), region)
        now = next_fall(now, left, rates, cold, luck(rng, DRAWS, region))
    return Given(*got)


def _a_year_on(years: Sequence[np.ndarray], shares: Sequence[np.ndarray]) -> None:
    """Banks of one fall at the next, in place: never more than one deer beside the new year's."""
    for bank, share in zip(years, shares, strict=True):
        np.minimum(bank, np.divide(1.0, share, out=np.full_like(share, np.inf), where=share > 0), out=bank)
        bank += 1.0


def _taken(bank: np.ndarray, share: np.ndarray, tags: float | None, shut: bool, least: float) -> np.ndarray:
    """Whole deer of one fall by draw, all that are offered taken, at least those taken already; off the bank."""
    whole = np.maximum(0.0, np.floor(bank * share + _TINY))
    whole = np.minimum(whole, 0.0 if shut else np.inf if tags is None else tags)
    whole = np.maximum(whole, least)
    bank -= np.divide(whole, share, out=np.zeros_like(share), where=share > 0)
    return whole


def ten_years(
    fit: Fit,
    ground: Ground,
    season: Season,
    wanted_lb: float | None,
    *,
    own_ac: float,
    seed: int,
    region: Region,
) -> TenYears[Estimate, Words]:
    """Does, bucks, pounds and meals of ten years, beside ten years of the wish (None: no wish), and what would change
    them: quiet neighbors, doe tags where there is none, more ground, farmland around.

    own_ac: the family's part of the acres of ``ground``, where a group shares them.
    """
    part = own_ac / ground.own_ac

    def of(so: Season, quiet: bool = False) -> Given:
        told = given(fit, ground, so, quiet=quiet, seed=seed, region=region)
        return Given(part * told.does, part * told.yearling_bucks, part * told.older_bucks)

    here = of(season)
    pounds = meat_of(here, seed, region)
    quiet = float(meat_of(of(season, quiet=True), seed, region).value or 0.0)
    tagged = None
    if season.tags[0] == 0 and season.does_per_yr > 0:
        free = of(replace(season, tags=(None, season.tags[1])))
        tagged = float(meat_of(free, seed, region).value or 0.0)
    value = float(pounds.value or 0.0)
    acres, farm = None, None
    if wanted_lb:
        long_run = float(meat_of(of(_unburdened(season, region)), seed, region).value or 0.0)
        acres = own_ac * wanted_lb * FALLS / long_run if long_run > _TINY else None
    if acres is not None and ground.farmland_pct < 1.0:
        farm = acres / region.figure("defaults_herd", "farm_meat_times")
    meals = float(meat.servings(value, region))
    facts = {
        "acres": own_ac,
        "group_acres": None if part >= 1.0 else ground.own_ac,
        "does": float(here.does.mean()),
        "bucks": float(here.bucks.mean()),
        "meat": pounds,
        "meals": meals,
        "quiet": quiet,
        "tagged": tagged,
    }
    words = reason("ten years of meat", **facts)
    if wanted_lb is not None:
        words = reason("wish in ten years", **facts, wanted=wanted_lb, all_acres=acres, farm_acres=farm)
    return TenYears(
        does=float(here.does.mean()),
        bucks=float(here.bucks.mean()),
        meat_lb=pounds,
        meals=meals,
        quiet_lb=quiet,
        with_doe_tags_lb=tagged,
        wanted_lb=None if wanted_lb is None else wanted_lb * FALLS,
        acres_for_all=acres,
        farmland_acres_for_all=farm,
        words=words,
    )


def _unburdened(season: Season, region: Region) -> Season:
    """The same shares with a bank newly begun and no deer taken yet: what the ground gives, whatever is owed today."""
    fresh, most = (region.figure("defaults_herd", f"bank_start_{name}") for name in ("deer", "most_yr"))
    doe, buck = (min(fresh / max(share, _TINY), most) + 1.0 for share in (season.does_per_yr, season.bucks_per_yr))
    return replace(season, bank_yr=(doe, buck), taken=(0.0, 0.0), closed=False)


def meat_of(deer: Given, seed: int, region: Region) -> Estimate:
    """Boneless pounds of these deer: the mean, and the ends that luck, herd, weights and yield leave together."""
    rng = np.random.default_rng([seed, FALLS])
    n = len(deer.does)
    low, high = default_range("boneless_per_dressed", region)
    yields = rng.triangular(low, default("boneless_per_dressed", region), high, n)
    middle, drawn = np.zeros(n), np.zeros(n)
    for sex_age, number_of in (
        ("doe", deer.does),
        ("yearling buck", deer.yearling_bucks),
        ("buck", deer.older_bucks),
    ):
        weight, least, most = meat.dressed_lb(sex_age, region)
        middle += number_of * meat.pounds_of(sex_age, region)
        drawn += number_of * rng.triangular(least, weight, most, n) * yields
    ends = np.quantile(drawn, [(1 - LEVEL) / 2, (1 + LEVEL) / 2])
    value = float(middle.mean())
    return Estimate(
        value,
        "pounds",
        min(float(ends[0]), value),
        max(float(ends[1]), value),
        kind="assumptions",
        why=meat.assumed(region),
    )

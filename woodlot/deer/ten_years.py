"""What the family's ground can give in ten years: does, bucks and pounds, as the bank would offer them.

Season      what the take says of this fall: shares, years in the bank, tags, closing
Given       does, bucks and pounds of the ten falls, by draw
given       herds of the fit under the family's own take -> Given
ten_years   the same as an answer, beside ten years of the household's wish, and what would change it

A household wants to know how much of its meat can come from this ground at all, and what would make it more, before it
plans on a freezer. One fall tells nothing of that on small ground: most falls give no deer. So the herds of the fit go
on for ten falls, each offer of the bank is taken, and the deer are counted.
"""

from dataclasses import dataclass, replace

import numpy as np

from woodlot.deer import meat
from woodlot.deer.answer import TenYears, Words
from woodlot.deer.defaults import default, default_range
from woodlot.deer.doe_share import can_give
from woodlot.deer.herd_fit import Fit, Ground, picked
from woodlot.deer.herd_prior import drawn_winters, luck
from woodlot.deer.herd_year import bucks, hunted, next_fall, number, winter
from woodlot.estimate import LEVEL, Estimate, reason
from woodlot.region import Region
from woodlot.units import AC_PER_SQMI

__all__ = ["FALLS", "Given", "Season", "given", "ten_years"]

#: Falls that are told, and herds that are run through them.
FALLS, DRAWS = 10, 400
_TINY = 1e-9


@dataclass(frozen=True)
class Season:
    """The take of this fall: does and bucks a year of the family's acres; years in the bank of each, with this fall's,
    before its hunt; tags of each (None: no limit); whether does are closed; whether the share of does was halved, since
    the neighbors overhunt.
    """

    does_per_yr: float
    bucks_per_yr: float
    bank_yr: tuple[float, float]
    tags: tuple[float | None, float | None] = (None, None)
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
    growing: np.ndarray,
    reference_per_sqmi: float,
    season: Season,
    *,
    quiet: bool = False,
    falls: int = FALLS,
    seed: int,
    region: Region,
) -> Given:
    """Deer that the bank offers, and the family takes, in so many falls from this one on.

    Parameters: growing: growth of the does by draw of the fit; quiet: neighbors take no doe and few bucks.

    Notes: a fall's share is what each herd can give then, scaled so that this fall's mean is the family's share; years
    y = min(y, 1/share) + 1, offered floor(y share), under the tags; no doe where the herd is under .6 of the reference.
    """
    some = picked(fit.weights, DRAWS, seed)
    herds, rng = fit.cloud.herds, np.random.default_rng([seed, DRAWS, falls])
    now, rates, grow = fit.now[:, some], herds.rates.of(some), growing[some]
    u, v = herds.doe_rate[some], herds.buck_rate[some]
    per_acre = ground.own_ac / AC_PER_SQMI
    doe_part = season.does_per_yr / max(float(can_give(now, grow, ground.lost).mean()) * per_acre, _TINY)
    buck_part = season.bucks_per_yr / max(float(bucks(now).mean()) * per_acre, _TINY)
    if quiet:
        u, v = np.zeros_like(u), np.full_like(v, region.figure("defaults_herd", "few_bucks"))
        doe_part *= 2.0 if season.halved else 1.0
    floor_deer = region.figure("defaults_herd", "stop_reference") * reference_per_sqmi
    years = [np.full(DRAWS, float(owed)) for owed in season.bank_yr]
    got = np.zeros((3, DRAWS))
    for fall in range(falls):
        shares = (doe_part * can_give(now, grow, ground.lost) * per_acre, buck_part * bucks(now) * per_acre)
        shut = season.closed if fall == 0 else number(now) < floor_deer
        took = [
            _offered(years[k], shares[k], season.tags[k], shut if k == 0 else False, first=fall == 0) for k in (0, 1)
        ]
        young = np.divide(now[3], bucks(now), out=np.zeros(DRAWS), where=bucks(now) > 0)
        got += np.array([took[0], young * took[1], (1.0 - young) * took[1]])
        own = (took[0] / ground.range_sqmi, took[1] / ground.range_sqmi)
        left = hunted(now, u, v, own, ground.lost, region, ground.neighbors_share)
        cold = winter(drawn_winters(rng, DRAWS, region), region)
        now = next_fall(now, left, rates, cold, luck(rng, DRAWS, region))
    return Given(*got)


def _offered(years: np.ndarray, share: np.ndarray, tags: float | None, shut, first: bool) -> np.ndarray:
    """Whole deer of one fall by draw, all taken; ``years`` goes on in place. The first fall's year is in it already."""
    if not first:
        np.minimum(years, np.divide(1.0, share, out=np.full_like(share, np.inf), where=share > 0), out=years)
        years += 1.0
    whole = np.maximum(0.0, np.floor(years * share + _TINY))
    whole = np.where(shut, 0.0, whole if tags is None else np.minimum(whole, tags))
    years -= np.divide(whole, share, out=np.zeros_like(share), where=share > 0)
    return whole


def ten_years(
    fit: Fit,
    ground: Ground,
    growing: np.ndarray,
    reference_per_sqmi: float,
    season: Season,
    wanted_lb: float | None,
    *,
    part: float = 1.0,
    seed: int,
    region: Region,
) -> TenYears[Estimate, Words]:
    """Does, bucks, pounds and meals of ten years, beside ten years of the wish (None: no wish), and what would change
    them: quiet neighbors, doe tags where there is none, more ground, farmland around.

    part: the family's part of the ground, where neighbors pool theirs with it.
    """

    def of(so: Season, quiet: bool = False) -> Given:
        all_deer = given(fit, ground, growing, reference_per_sqmi, so, quiet=quiet, seed=seed, region=region)
        return Given(*(part * each for each in (all_deer.does, all_deer.yearling_bucks, all_deer.older_bucks)))

    here = of(season)
    pounds = meat_of(here, seed, region)
    quiet = float(meat_of(of(season, quiet=True), seed, region).value or 0.0)
    tagged = None
    if season.tags[0] == 0 and season.does_per_yr > 0:
        free = of(replace(season, tags=(None, season.tags[1])))
        tagged = float(meat_of(free, seed, region).value or 0.0)
    value = float(pounds.value or 0.0)
    acres = part * ground.own_ac * wanted_lb * FALLS / value if wanted_lb and value > _TINY else None
    farm = None
    if acres is not None and ground.farmland_pct < 1.0:
        farm = acres / region.figure("defaults_herd", "farm_meat_times")
    meals = float(meat.servings(value, region))
    facts = {
        "acres": part * ground.own_ac,
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

"""The herd fitted to all that was counted and killed.

Fall          one fall on record: what was seen before the hunt, who was taken, the winter after it, the spring's plots
Cloud         herds that may stand here, fall by fall, with what each count says of them
begun, seen, advanced    a cloud at its first fall; with a fall's counts; at the next fall
Fit, fit      the record -> weighted herds of the last fall
mean, middle, ends, picked    of weighted draws

A biologist wants the one herd that agrees best with everything that was counted, and to be told where the counts do not
agree. Browse, weights and beams set no number.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from woodlot.deer import herd_evidence as says
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_prior import BLOCK, FARMED_PCT, Herds, drawn_winters, joined, kept_per_sqmi, lasting, luck
from woodlot.deer.herd_year import bucks, does, hunted, next_fall, number, winter
from woodlot.region import Region

__all__ = [
    "SETS_A_NUMBER",
    "Cloud",
    "Fall",
    "Fit",
    "Ground",
    "advanced",
    "agreement",
    "begun",
    "ends",
    "fit",
    "mean",
    "middle",
    "picked",
    "seen",
    "started",
    "through",
    "told",
    "weighed",
]

#: Counts that may set a number; the others tell ratios and trends alone.
SETS_A_NUMBER = ("pellets", "complete", "kill", "state")


@dataclass(frozen=True)
class Fall:
    """One fall on record; what nobody wrote down is None.

    family: (does, bucks) taken, fawns as does; winter_loss: share of the herd that the winter after it took; pellets of
    the spring after it; fawns: (fawns, does) seen; bucks: (bucks, does) at cameras; ages: (yearling bucks, older ones)
    killed; milk: (with, without); an_hour: (deer, hours); state, complete: (deer a square mile, log SD); neighbors:
    (does, bucks) a square mile that they take from this fall on, where that is new.
    """

    year: int
    family: tuple[float, float] = (0.0, 0.0)
    winter_loss: float | None = None
    pellets: PelletCount | None = None
    fawns: tuple[float, float] | None = None
    bucks: tuple[float, float] | None = None
    ages: tuple[float, float] | None = None
    milk: tuple[float, float] | None = None
    an_hour: tuple[float, float] | None = None
    state: tuple[float, float] | None = None
    complete: tuple[float, float] | None = None
    neighbors: tuple[float, float] | None = None


@dataclass(frozen=True)
class Ground:
    """What the fit knows of place and people.

    own_ac, range_ac: acres of the family, and of the ground that the deer use; lost: unrecovered for each deer
    recovered; groups_a_day: middle and log SD; kill: (does, bucks) a square mile that neighbors or the unit took in the
    years behind the record, None where nobody knows; full_herd_per_sqmi: the family's own figure; dense: woods that may
    carry as many as farmed land does, since the counts say so (`fit`).
    """

    own_ac: float
    range_ac: float
    lost: float
    farmland_pct: float = 0.0
    groups_a_day: tuple[float, float] | None = None
    kill: tuple[float | None, float | None] = (None, None)
    full_herd_per_sqmi: float | None = None
    dense: bool = False

    @property
    def neighbors_share(self) -> float:
        """The part of the ground that is the neighbors'."""
        return max(0.0, 1.0 - self.own_ac / self.range_ac)

    @property
    def range_sqmi(self) -> float:
        """Square miles that the deer use."""
        return self.range_ac / 640.0


@dataclass(frozen=True)
class Cloud:
    """Herds by draw at a fall: ``herds.now``, before its hunt.

    years: falls before it; past: their herds (5, n); rates: (share of does, of bucks) that neighbors took in each;
    numbers, does: (years, n) of them; winter_half: deer of their winters; says: (kind of count, fall) -> its
    log-likelihood by draw; an_hour: (fall, deer, hours) of watches; dense: begun with what farmed land carries.
    """

    herds: Herds
    years: tuple[int, ...] = ()
    past: tuple[np.ndarray, ...] = ()
    rates: tuple[tuple[np.ndarray, np.ndarray], ...] = ()
    numbers: np.ndarray = field(default_factory=lambda: np.empty((0, 0)))
    does: np.ndarray = field(default_factory=lambda: np.empty((0, 0)))
    winter_half: np.ndarray = field(default_factory=lambda: np.empty((0, 0)))
    says: Mapping[tuple[str, int], np.ndarray] = field(default_factory=dict)
    an_hour: tuple[tuple[int, float, float], ...] = ()
    dense: bool = False

    @property
    def n(self) -> int:
        """Draws."""
        return self.herds.now.shape[1]


def begun(herds: Herds, ground: Ground, year: int, region: Region) -> Cloud:
    """A cloud at the first fall on record, with what the neighbors' kill says of it."""
    none = np.empty((0, herds.now.shape[1]))
    cloud = Cloud(herds, numbers=none, does=none, winter_half=none, dense=ground.dense)
    if any(ground.kill):
        deer_does, deer_bucks = ground.kill
        told = says.kill(deer_bucks, deer_does, herds.now, herds.doe_rate, herds.buck_rate, region)
        cloud = _with(cloud, "kill", year, told)
    return cloud


def seen(cloud: Cloud, fall: Fall, region: Region) -> Cloud:
    """The cloud with what was seen before the hunt of this fall, and with what neighbors take from it on."""
    now = cloud.herds.now
    if fall.neighbors is not None:
        rates = (
            np.minimum(take / np.maximum(deer, 1e-9), 0.9)
            for take, deer in zip(fall.neighbors, (does(now), bucks(now)), strict=True)
        )
        doe_rate, buck_rate = rates
        cloud = replace(cloud, herds=replace(cloud.herds, doe_rate=doe_rate, buck_rate=buck_rate))
    if fall.fawns:
        cloud = _with(cloud, "fawns", fall.year, says.fawns(*fall.fawns, now, region))
    if fall.bucks:
        cloud = _with(cloud, "cameras", fall.year, says.buck_share(*fall.bucks, now, region))
    if fall.ages:
        cloud = _with(cloud, "ages", fall.year, says.ages(*fall.ages, now))
    if fall.milk:
        cloud = _with(cloud, "milk", fall.year, says.milk(*fall.milk, now, region))
    if fall.state:
        cloud = _with(cloud, "state", fall.year, says.state(*fall.state, number(now), region))
    if fall.an_hour:
        cloud = replace(cloud, an_hour=(*cloud.an_hour, (len(cloud.years), *fall.an_hour)))
    return cloud


def advanced(cloud: Cloud, fall: Fall, ground: Ground, seed: int, region: Region) -> Cloud:
    """The cloud at the next fall: the hunt of ``fall``, the spring's plots, winter, births, summer."""
    herds = cloud.herds
    now = herds.now
    family = (fall.family[0] / ground.range_sqmi, fall.family[1] / ground.range_sqmi)
    left = hunted(now, herds.doe_rate, herds.buck_rate, family, ground.lost, region, ground.neighbors_share)
    rng = np.random.default_rng([seed, fall.year])
    lucky = luck(rng, cloud.n, region)
    drawn = drawn_winters(rng, cloud.n, region)
    cold = winter(drawn if fall.winter_loss is None else fall.winter_loss, region)
    half = says.winter_half(left, cold)
    if fall.pellets:
        cloud = _with(cloud, "pellets", fall.year, says.pellets(fall.pellets, half, herds.log_groups_a_day, region))
    if fall.complete:
        cloud = _with(cloud, "complete", fall.year, says.complete(*fall.complete, half, region))
    return replace(
        cloud,
        herds=replace(herds, now=next_fall(now, left, herds.rates, cold, lucky)),
        years=(*cloud.years, fall.year),
        past=(*cloud.past, now),
        rates=(*cloud.rates, (herds.doe_rate, herds.buck_rate)),
        numbers=np.vstack([cloud.numbers, number(now)]),
        does=np.vstack([cloud.does, does(now)]),
        winter_half=np.vstack([cloud.winter_half, half]),
    )


def _with(cloud: Cloud, kind: str, year: int, told: np.ndarray) -> Cloud:
    return replace(cloud, says={**cloud.says, (kind, year): told})


@dataclass(frozen=True)
class Fit:
    """Weighted herds: the cloud at the last fall; weights that sum to 1, by ``counts`` (kind, fall); effective: draws'
    worth of them.
    """

    cloud: Cloud
    weights: np.ndarray
    effective: float
    counts: tuple[tuple[str, int], ...]

    @property
    def now(self) -> np.ndarray:
        """The herd of the last fall before its hunt (5, n)."""
        return self.cloud.herds.now


def fit(falls: Sequence[Fall], ground: Ground, seed: int, region: Region) -> Fit:
    """The record, oldest first and the fall that is asked for last, as weighted herds of that fall.

    Starts are doubled while too few herds fit (``defaults_herd.enough_effective``), up to the most. Where those that
    fit crowd the most deer that such ground is believed to carry, it is begun again with what farmed land carries: some
    woods hold as many, and a range that ends at our belief would hide it. Simulated woods of 50 to 70 deer a square
    mile, three springs: the 90 percent range holds 3 in 100 with what woods carry, 65 where it is begun with what
    farmed land does (which half of such woods bring about); woods of 18 to 28 hold 95.
    Source: herd model pages 1 to 3 of the reference pages, key woodlot_deer.
    """
    enough = region.figure("defaults_herd", "enough_effective")
    starts, most = int(region.figure("defaults_herd", "starts")), int(region.figure("defaults_herd", "starts_most"))
    herds, begun_so_far = None, 0
    while True:
        more = started(ground, starts - begun_so_far, seed, region, begun_so_far)
        herds = more if herds is None else joined([herds, more])
        begun_so_far = starts
        out = weighed(through(begun(herds, ground, falls[0].year, region), falls, ground, seed, region))
        if not ground.dense and ground.farmland_pct < FARMED_PCT and _crowd_the_top(out, ground, region):
            return fit(falls, replace(ground, dense=True), seed, region)
        if out.effective >= enough or starts >= most:
            return out
        starts = min(2 * starts, most)


def _crowd_the_top(out: Fit, ground: Ground, region: Region) -> bool:
    """Whether too many of the weighted herds began next to the most that such ground is believed to carry."""
    _, most = kept_per_sqmi(ground.farmland_pct, region)
    first = out.cloud.numbers[0] if out.cloud.years else number(out.now)
    near, share = region.figure("defaults_herd", "near_the_top"), region.figure("defaults_herd", "crowd_the_top")
    return bool(out.weights[first > near * most].sum() > share)


def started(ground: Ground, starts: int, seed: int, region: Region, before: int = 0) -> Herds:
    """Herds that lasted to the first fall on record, of so many that began; ``before``: begun already."""
    return lasting(
        starts,
        seed,
        farmland_pct=ground.farmland_pct,
        groups_a_day=ground.groups_a_day,
        neighbors_take_none=(ground.kill[0] == 0, ground.kill[1] == 0),
        full_herd_per_sqmi=ground.full_herd_per_sqmi,
        dense=ground.dense,
        lost=ground.lost,
        first=before // BLOCK,
        region=region,
    )


def through(cloud: Cloud, falls: Sequence[Fall], ground: Ground, seed: int, region: Region) -> Cloud:
    """A cloud through all falls on record, to the last one before its hunt."""
    for fall in falls[:-1]:
        cloud = advanced(seen(cloud, fall, region), fall, ground, seed, region)
    cloud = seen(cloud, falls[-1], region)
    if len(cloud.an_hour) < 2:
        return cloud
    numbers = np.vstack([cloud.numbers, number(cloud.herds.now)]) if cloud.years else number(cloud.herds.now)[None]
    at, deer, hours = (np.array(x) for x in zip(*cloud.an_hour, strict=True))
    return _with(cloud, "an hour", falls[-1].year, says.seen_an_hour(deer, hours, numbers[at.astype(int)], region))


def weighed(cloud: Cloud, counts: Iterable[tuple[str, int]] | None = None) -> Fit:
    """The cloud with weights by these counts; None: by all of them."""
    kept = tuple(cloud.says) if counts is None else tuple(counts)
    log = told(cloud, kept)
    weights = np.exp(log - log.max())
    weights /= weights.sum()
    return Fit(cloud, weights, float(1.0 / np.sum(weights**2)), kept)


def told(cloud: Cloud, counts: Iterable[tuple[str, int]]) -> np.ndarray:
    """The log-likelihood of several counts together, by draw."""
    return sum((cloud.says[one] for one in counts), np.zeros(cloud.n))


def agreement(a: np.ndarray, b: np.ndarray) -> float:
    """C = ln mean(La Lb) - ln mean La - ln mean Lb: above 0 they support each other, far below they disagree.

    a, b: log-likelihoods by draws of what may be.
    """
    return _log_mean(a + b) - _log_mean(a) - _log_mean(b)


def _log_mean(log: np.ndarray) -> float:
    top = log.max()
    return float(top + np.log(np.mean(np.exp(log - top))))


def mean(x: np.ndarray, weights: np.ndarray) -> float:
    """Weighted mean of draws."""
    return float(np.dot(x, weights) / weights.sum())


def middle(x: np.ndarray, weights: np.ndarray) -> float:
    """Weighted middle of draws."""
    return float(_at(x, weights, np.array([0.5]))[0])


def ends(x: np.ndarray, weights: np.ndarray, level: float) -> tuple[float, float]:
    """Ends between which the weighted draws lie ``level`` of the times."""
    low, high = _at(x, weights, np.array([(1 - level) / 2, (1 + level) / 2]))
    return float(low), float(high)


def picked(weights: np.ndarray, n: int, seed: int) -> np.ndarray:
    """Places of ``n`` draws that stand for all of them, each taken about as often as it weighs."""
    run = np.cumsum(weights)
    steps = (np.arange(n) + np.random.default_rng([seed, n]).random()) / n
    return np.minimum(np.searchsorted(run, steps * run[-1]), len(weights) - 1)


def _at(x: np.ndarray, weights: np.ndarray, odds: np.ndarray) -> np.ndarray:
    order = np.argsort(x, kind="stable")
    run = np.cumsum(weights[order])
    return x[order][np.minimum(np.searchsorted(run, odds * run[-1]), len(x) - 1)]

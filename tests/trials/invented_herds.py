"""Herds whose every deer is known, and what a family would write down of them, for the trials of the herd fit.

World, WORLDS    who hunts around, what ground, and what befalls the herd
Truth, invented  herds that lasted in a world, with their luck of every year drawn beforehand
counted, told    a spring's plots; the neighbors' kill as it is told

The luck is the same whoever hunts: so a herd with the family and the one without it are a pair.
"""

from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_fit import Cloud
from woodlot.deer.herd_prior import Herds, drawn_winters, joined, lasting, luck
from woodlot.deer.herd_year import Winter, bucks, does, hunted, next_fall, number, winter
from woodlot.region import Region
from woodlot.units import AC_PER_SQMI

LOST, FALLS, FIRST = 0.15, 28, 3
PLOTS, DAYS, PLOT_FT, CLUMPED, WITHIN = 100, 180.0, 4.0, 0.5, 10.0
ACRE_DAYS = np.pi * PLOT_FT**2 / 43560.0 * DAYS
#: Acres of a family -> acres of the ground that its deer use.
RANGES = {80: 1127.0, 200: 1527.0, 230: 1614.0, 600: 2490.0, 1500: 4155.0}


@dataclass(frozen=True)
class World:
    """neighbors: share of does and of bucks that they take a year; groups_a_day: ends between which the true rate lies;
    befalls: fall -> share of all deer that dies after it of what nobody wrote down; slide: share of the fawns' chance
    that is lost each year; moving: share of the herd that is exchanged for the deer around, which stand as they stood
    at the start; rates: rate -> low, middle, high in place of the region's; as_drawn: neighbors' rates and groups a day
    as the fit draws them, instead of those here.
    """

    neighbors: tuple[float, float] = (0.06, 0.40)
    farmland_pct: float = 0.0
    groups_a_day: tuple[float, float] = (11.0, 34.0)
    befalls: tuple[tuple[int, float], ...] = ()
    hard: tuple[tuple[int, float], ...] = ()
    slide: float = 0.0
    moving: float = 0.0
    rates: tuple[tuple[str, tuple[float, float, float]], ...] = ()
    as_drawn: bool = False


NONE, LOCAL, HEAVY = World((0.0, 0.15)), World(), World((0.12, 0.50))


@dataclass(frozen=True)
class Truth:
    """Herds of a world (H of them): as they stand in the first fall, groups a day, luck by fall (FALLS, ., H), winter
    losses (FALLS, H), how much more or less they use the parcels in a winter (FALLS, H); seed: of each one's counts.
    """

    world: World
    herds: Herds
    groups_a_day: np.ndarray
    luck: np.ndarray
    losses: np.ndarray
    wobble: np.ndarray
    seed: int

    @property
    def n(self) -> int:
        """How many herds."""
        return self.losses.shape[1]

    def only(self, which: slice) -> "Truth":
        """Some of them, with their luck."""
        at = np.arange(self.n)[which]
        return replace(
            self,
            herds=_some(self.herds, at),
            groups_a_day=self.groups_a_day[at],
            luck=self.luck[:, :, at],
            losses=self.losses[:, at],
            wobble=self.wobble[:, at],
        )

    def after(self, fall: int, now: np.ndarray, family, neighbors_share: float, range_sqmi: float, region: Region):
        """The herds left after the hunt of a fall, those of the next fall, and the winter: family [deer taken]."""
        h, at = self.herds, min(fall, FALLS - 1)
        own = tuple(np.asarray(deer) / range_sqmi for deer in family)
        left = hunted(now, h.doe_rate, h.buck_rate, own, LOST, region, neighbors_share)
        left = left * (1.0 - dict(self.world.befalls).get(fall, 0.0))
        cold: Winter = winter(self.losses[at], region)
        rates = h.rates
        if self.world.slide:
            rates = replace(rates, fawn_to_fall=rates.fawn_to_fall * (1.0 - self.world.slide) ** (fall + 1))
        then = next_fall(now, left, rates, cold, tuple(self.luck[at]))
        then = (1.0 - self.world.moving) * then + self.world.moving * h.now
        return left, then, cold


def changed(region: Region, rates: dict[str, tuple[float, float, float]], folder: Path) -> Region:
    """The region with other rates (low, middle, high) for all ground."""
    rows = region.table("deer_herd_rates")
    rows = rows[rows["rate"].isin(rates)].copy()
    for name, three in rates.items():
        rows.loc[rows["rate"] == name, ["low", "value", "high"]] = three
    rows.to_csv(folder / "deer_herd_rates.csv", index=False)
    return Region(region.name, (folder, *region.folders))


def invented(world: World, herds: int, seed: int, region: Region) -> Truth:
    """So many herds that lasted under the neighbors of a world, and their luck."""
    u, v = world.neighbors
    known = {} if world.as_drawn else {"neighbor_doe_rate": (u, u, u), "neighbor_buck_rate": (v, v, v)}
    rates = {**known, **dict(world.rates)}
    with TemporaryDirectory() as folder:
        true = changed(region, rates, Path(folder)) if rates else region
        lots, block = [], 0
        while sum(lot.now.shape[1] for lot in lots) < herds:
            lots.append(lasting(20000, seed, farmland_pct=world.farmland_pct, lost=LOST, first=block, region=true))
            block += 5
    drawn = joined(lots)
    rng = np.random.default_rng([seed, herds, 1])
    low, high = world.groups_a_day
    losses = np.array([drawn_winters(rng, herds, region) for _ in range(FALLS)])
    for fall, loss in world.hard:
        losses[fall] = loss
    truth = Truth(
        world,
        drawn,
        np.exp(drawn.log_groups_a_day) if world.as_drawn else rng.uniform(low, high, drawn.now.shape[1]),
        np.array([luck(rng, herds, region) for _ in range(FALLS)]),
        losses,
        np.exp(region.figure("defaults_herd", "range_wobble") * rng.standard_normal((FALLS, herds))),
        seed,
    )
    return replace(truth, herds=_some(drawn, np.arange(herds)), groups_a_day=truth.groups_a_day[:herds])


def _some(h: Herds, at: np.ndarray) -> Herds:
    return Herds(h.rates.of(at), h.doe_rate[at], h.buck_rate[at], h.log_groups_a_day[at], h.now[:, at], h.started)


def pruned(cloud: Cloud) -> Cloud:
    """A cloud without the draws that weigh less than exp(-10) of the best: no figure of a trial moves, and each fall
    costs a third. Only the first falls and the last are kept of those past.
    """
    log = sum(cloud.says.values())
    at = np.flatnonzero(log > log.max() - WITHIN)
    falls = sorted({*range(FIRST), len(cloud.numbers) - 1} & set(range(len(cloud.numbers))))
    return replace(
        cloud,
        herds=_some(cloud.herds, at),
        past=(),
        numbers=cloud.numbers[falls][:, at],
        does=cloud.does[-1:, at],
        winter_half=cloud.winter_half[-1:, at],
        says={("all", 0): log[at]},
    )


def counted(rng: np.random.Generator, winter_deer: float, groups_a_day: float) -> PelletCount:
    """A spring's plots: groups lie in clumps (variance m + m^2 / .5 a plot)."""
    mu = winter_deer / AC_PER_SQMI * ACRE_DAYS * groups_a_day
    shape = CLUMPED * PLOTS
    groups = float(rng.poisson(rng.gamma(shape, mu * PLOTS / shape)))
    cv = float(np.sqrt(1.0 / groups + 1.0 / shape)) if groups else 1.0
    return PelletCount(groups, PLOTS, groups / PLOTS, ACRE_DAYS, cv)


def kill_told(rng: np.random.Generator, truth: Truth, at: int, region: Region) -> tuple[float, float]:
    """(does, bucks) a square mile that neighbors take, as far off as the fit grants; none is told as none."""
    now, h = truth.herds.now[:, [at]], truth.herds
    off = np.exp(
        rng.standard_normal(2)
        * [region.figure("defaults_herd", "kill_does_log_sd"), region.figure("defaults_herd", "kill_bucks_log_sd")]
    )
    return float(h.doe_rate[at] * does(now)[0] * off[0]), float(h.buck_rate[at] * bucks(now)[0] * off[1])


def alone(truth: Truth, neighbors_share: float, range_sqmi: float, region: Region) -> np.ndarray:
    """Deer a square mile by fall (FALLS + 1, H) where the family takes none."""
    now, out = truth.herds.now, [number(truth.herds.now)]
    for fall in range(FALLS):
        _, now, _ = truth.after(fall, now, (0.0, 0.0), neighbors_share, range_sqmi, region)
        out.append(number(now))
    return np.array(out)

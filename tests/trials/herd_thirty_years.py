"""Families who count, hunt by a rule and count again for twenty-five falls: what do they eat, and what of the herd?

    python tests/trials/herd_thirty_years.py [--cells main|other|all|NAME,NAME] [--rules share,"lower limit",470,200]
        [--part 1.0] [--seed 83] [--out FOLDER]

The six main cells by the rule in force take about four minutes of one core, the capped one six, the others four:

    python tests/trials/herd_thirty_years.py --cells main --rules share
    python tests/trials/herd_thirty_years.py --cells "200 local crash,600 local crash" --part 2 --rules share
    python tests/trials/herd_thirty_years.py --cells other --rules share
    python tests/trials/herd_thirty_years.py --cells main --rules "lower limit,470,200"

Every true herd is known (`invented_herds`). Three springs are counted, then 25 falls are hunted; 7 of 10 deer offered
are taken. Each herd is run once with the family and once without it, under the same winters and luck, the neighbors
hunting on in both: so what the family adds is a difference of pairs. Rules: `share`, the one in force
(``deer.doe_share``); `level`, growth read at one number of deer, closed early; `lower limit`, the rule before it; one
doe per 200 and per 470 acres, as is published for woods.

Printed a decade: does, bucks, boneless pounds, the does that the true herd had to spare on the family's acres; halved:
percent of herds that stand under half of their start after 10 and 25 falls, without the family and with it; adds: the
difference after 25 falls with its standard error, ever: the same for herds that were under half at any fall; closed:
percent of falls without a doe by the stop, false: percent of those falls in which the true herd stood over .8 of its
start, over: percent of falls over .8 of the start that were closed; crash: percent of places that close or halve their
share in the first fall after a crash, and in the fall before it; holds: percent of 90 percent ranges that hold the
number.
"""

import argparse
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
from invented_herds import (
    ACRE_DAYS,
    FALLS,
    FIRST,
    HEAVY,
    LOCAL,
    LOST,
    NONE,
    RANGES,
    Truth,
    World,
    alone,
    counted,
    invented,
    kill_told,
    pruned,
)

from woodlot.deer import doe_share, forward, herd_fit
from woodlot.deer.herd_evidence import winter_half
from woodlot.deer.herd_fit import Fall, Fit, Ground
from woodlot.deer.herd_prior import Herds, lasting
from woodlot.deer.herd_year import bucks, does, number
from woodlot.plan import risk
from woodlot.region import shipped
from woodlot.units import AC_PER_SQMI

BASE, SEED, STARTS, FILLED = shipped("base"), 83, 40000, 0.7
DOE_LB, BUCK_LB = 44.8, 52.0
PICTURES = 60


@dataclass(frozen=True)
class Cell:
    """A family on trial: acres, what hunts around it, how many such herds, and what it knows.

    told: whether it knows what the neighbors take; cameras: times too many fawns and bucks they show, None without;
    goal: hold, thin or grow; cap: whether the share is lowered to what the chance of halving bears.
    """

    own_ac: int
    world: World = LOCAL
    herds: int = 200
    told: bool = True
    cameras: float | None = None
    goal: str = "hold"
    cap: bool = False

    @property
    def range_ac(self) -> float:
        """Acres that its deer use."""
        return RANGES[self.own_ac]


AGES = (("births_fawn", (0.2, 0.3, 0.4)), ("births_yearling", (1.0, 1.2, 1.4)))
CRASH = ((12, 0.55),)
MAIN = {
    "80 local": Cell(80, herds=500),
    "200 none": Cell(200, NONE, herds=500),
    "200 local": Cell(200, herds=800),
    "200 heavy": Cell(200, HEAVY, herds=900),
    "600 local": Cell(600, herds=900),
    "1500 local": Cell(1500, herds=1000),
    "1500 local capped": Cell(1500, herds=1000, cap=True),
}
OTHER = {
    "200 local neighbors unknown": Cell(200, told=False),
    "200 none neighbors unknown": Cell(200, NONE, told=False),
    "200 local right cameras": Cell(200, cameras=1.0),
    "200 local cameras wrong by half": Cell(200, cameras=1.5),
    "200 local crash": Cell(200, replace(LOCAL, befalls=CRASH)),
    "600 local crash": Cell(600, replace(LOCAL, befalls=CRASH)),
    "200 local hard winter told and crash": Cell(200, replace(LOCAL, befalls=((12, 0.35),), hard=((12, 0.35),))),
    "200 none falling slowly": Cell(200, replace(NONE, slide=0.02)),
    "200 local falling slowly": Cell(200, replace(LOCAL, slide=0.02)),
    "200 local 30 % farmland": Cell(200, replace(LOCAL, farmland_pct=30.0)),
    "200 local fewer deer": Cell(200, goal="thin"),
    "200 local more deer": Cell(200, goal="grow"),
    "200 local other ages at first birth": Cell(200, replace(LOCAL, rates=AGES)),
    "200 local deer move in and out": Cell(200, replace(LOCAL, moving=0.1)),
    "200 local true rate 12.7": Cell(200, replace(LOCAL, groups_a_day=(12.7, 12.7))),
    "200 local true rate 34": Cell(200, replace(LOCAL, groups_a_day=(34.0, 34.0))),
    "1500 none": Cell(1500, NONE),
    "1500 heavy": Cell(1500, HEAVY),
}


@dataclass(frozen=True)
class Run:
    """By fall and herd: deer a square mile (FALLS + 1, H), does and bucks taken, the share of does, whether closed and
    whether the range held the number (FALLS, H).
    """

    numbers: np.ndarray
    does: np.ndarray
    bucks: np.ndarray
    share: np.ndarray
    closed: np.ndarray
    holds: np.ndarray

    @classmethod
    def empty(cls, herds: int) -> "Run":
        """Nothing yet."""
        shape = FALLS, herds
        yes = np.zeros(shape, dtype=bool)
        return cls(np.zeros((FALLS + 1, herds)), *np.zeros((3, *shape)), yes, yes.copy())


def figure(name: str) -> float:
    """Of ``defaults_herd``."""
    return BASE.figure("defaults_herd", name)


def by_share(fit: Fit, goal: str) -> tuple[float, bool]:
    """Does a square mile a year by the rule in force, and whether it is closed."""
    return doe_share.give(fit, LOST, BASE, thin=goal == "thin"), doe_share.closed(
        fit, BASE
    ) is not None or goal == "grow"


def by_level(fit: Fit, goal: str) -> tuple[float, bool]:
    """Growth read at .75 of one number of deer, all that grows; closed where P(N < .6 of it) > .35."""
    first = herd_fit.middle(doe_share.firsts(fit), fit.weights)
    give = doe_share.can_give(fit.now, doe_share.growth(fit.now, fit.cloud.herds.rates, first, BASE), LOST)
    now, last = number(fit.now), fit.cloud.numbers[-1]
    under = herd_fit.mean(now < 0.6 * first, fit.weights) > 0.35 or herd_fit.mean(now < 0.75 * last, fit.weights) > 0.6
    return herd_fit.mean(give, fit.weights), under


def hunted_by(rule: Callable[[Fit, str], tuple[float, bool]], cell: Cell, truth: Truth) -> Run:
    """Each family of a cell, one after the other, by a rule that reads the fit."""
    out = Run.empty(truth.n)
    for at in range(truth.n):
        _one(rule, cell, truth, at, out)
    return out


@cache
def _prior(none: tuple[bool, bool], farmland_pct: float) -> Herds:
    starts = STARTS // 2 if none[0] or farmland_pct else STARTS
    return lasting(starts, 1, lost=LOST, neighbors_take_none=none, farmland_pct=farmland_pct, region=BASE)


def _one(rule, cell: Cell, truth: Truth, at: int, out: Run) -> None:
    one, world = truth.only(slice(at, at + 1)), truth.world
    kill = kill_told(np.random.default_rng([truth.seed, at, 0]), truth, at, BASE) if cell.told else (None, None)
    ground = Ground(cell.own_ac, cell.range_ac, LOST, world.farmland_pct, kill=kill)
    cloud = herd_fit.begun(_prior((kill[0] == 0, kill[1] == 0), world.farmland_pct), ground, 0, BASE)
    now, books = one.herds.now, ([], [], [], [])
    out.numbers[0, at] = number(now)[0]
    for fall in range(FALLS):
        rng = np.random.default_rng([truth.seed, at, fall, 1])
        seen = Fall(fall, **_pictures(rng, now, cell.cameras))
        cloud = herd_fit.seen(cloud, seen, BASE)
        family = (0.0, 0.0)
        if fall >= FIRST:
            family = _season(rule, cell, herd_fit.weighed(cloud), ground, books, rng, fall, at, out)
        left, then, cold = one.after(fall, now, family, ground.neighbors_share, ground.range_sqmi, BASE)
        deer = float(winter_half(left, cold)[0] * truth.wobble[fall, at])
        plots = counted(rng, deer, truth.groups_a_day[at])
        known = replace(seen, family=family, winter_loss=float(truth.losses[fall, at]), pellets=plots)
        cloud = pruned(herd_fit.advanced(cloud, known, ground, truth.seed, BASE))
        now = then
        out.numbers[fall + 1, at] = number(now)[0]


def _season(rule, cell, fit: Fit, ground: Ground, books, rng, fall: int, at: int, out: Run) -> tuple[float, float]:
    """Does and bucks that a family takes in a fall; what it was offered goes into its books."""
    give, closed = rule(fit, cell.goal)
    around = herd_fit.mean(fit.cloud.herds.doe_rate * does(fit.now), fit.weights)
    buck = figure("buck_share") * herd_fit.mean(bucks(fit.now), fit.weights) * ground.own_ac / AC_PER_SQMI / (1 + LOST)
    doe = 0.0 if closed else doe_share.share(give, ground.own_ac, around, BASE)
    if cell.cap and doe:
        doe *= capped(fit, ground, doe, buck, fall)
    shares_doe, took_doe, shares_buck, took_buck = books
    shares_doe.append(doe)
    shares_buck.append(buck)
    offers = (
        doe_share.bank(shares_doe, [*took_doe, 0.0], BASE)[0],
        doe_share.bank(shares_buck, [*took_buck, 0.0], BASE)[0],
    )
    family = tuple(float(rng.binomial(n, FILLED)) for n in offers)
    took_doe.append(family[0])
    took_buck.append(family[1])
    out.does[fall, at], out.bucks[fall, at], out.share[fall, at], out.closed[fall, at] = *family, doe, closed
    low, high = herd_fit.ends(number(fit.now), fit.weights, 0.9)
    out.holds[fall, at] = low <= out.numbers[fall, at] <= high
    return family


def capped(fit: Fit, ground: Ground, doe: float, buck: float, fall: int) -> float:
    """The part of a share that adds no more than ``cap_points`` to the chance of halving in ten years, as shipped."""
    herds = forward.sampled(fit, risk.DRAWS, fall)
    draws = forward.draw(herds, ground, years=risk.YEARS, seed=fall, region=BASE)
    return risk.capped(draws, doe, buck, LOST, BASE)


def _pictures(rng: np.random.Generator, now: np.ndarray, wrong: float | None) -> dict:
    """Fawns and bucks beside does at cameras, so many times too many."""
    if wrong is None:
        return {}
    doe, buck = does(now)[0], bucks(now)[0]
    return {
        "fawns": (float(rng.poisson(PICTURES * wrong * 2.0 * now[0, 0] / doe)), float(PICTURES)),
        "bucks": (float(rng.poisson(PICTURES * wrong * figure("buck_shows") * buck / doe)), float(PICTURES)),
    }


#: Of the rule before, as its tables gave them for deep forest and an average winter. Fall deer for each of the winter
#: half, does and bucks among them: .284 bucks, .561 does, .318 fawns of 1.163 (1.6 does a buck, .57 fawns a doe, 40
#: percent of bucks taken, run through winter, births and summer). Does that may be taken: 1 - 1/1.0649, the growth at
#: fawns .70, yearlings .85, does .87 alive, births .07, 1.40, 1.75, .41 of them alive in fall. Low end: one chance in
#: five, -.842 SD of a three-year mean whose rate is known to CV .45 and whose springs to .34 each: SD .49.
SUMMER, DOES, BUCKS, HOLD, LOW_END = 1.163, 0.482, 0.244, 0.061, 0.66


def by_counts(rule: str, cell: Cell, truth: Truth) -> Run:
    """All families of a cell at once, by a rule that reads plots alone or nothing: "lower limit" or acres a doe."""
    out, n = Run.empty(truth.n), truth.n
    sqmi, around = cell.range_ac / AC_PER_SQMI, 1.0 - cell.own_ac / cell.range_ac
    now, index = truth.herds.now, []
    kept_doe, kept_buck = np.zeros(n), np.zeros(n)
    out.numbers[0] = number(now)
    rate = 25.0
    for fall in range(FALLS):
        rng = np.random.default_rng([truth.seed, fall, 2])
        family = np.zeros(n), np.zeros(n)
        if fall >= FIRST:
            three = np.mean(index[-3:], axis=0)
            shut = (three < 0.8 * np.mean(index[:3], axis=0)) & (rule == "lower limit")
            per_ac = cell.own_ac / AC_PER_SQMI / (1.0 + LOST)
            if rule == "lower limit":
                bear = HOLD * DOES * LOW_END * three / (1.0 + LOST) / AC_PER_SQMI
                theirs = truth.herds.doe_rate * does(truth.herds.now) * (cell.range_ac - cell.own_ac) / AC_PER_SQMI
                doe = np.clip(np.minimum(bear * cell.range_ac - theirs, bear * cell.own_ac), 0.0, None)
            else:
                doe = np.full(n, cell.own_ac / float(rule))
            buck = figure("buck_share") * BUCKS * three * per_ac
            out.share[fall], out.closed[fall] = np.where(shut, 0.0, doe), shut
            kept_doe = np.minimum(kept_doe, np.maximum(4 * doe, 1.0)) + np.where(shut, 0.0, doe)
            kept_buck = np.minimum(kept_buck, np.maximum(4 * buck, 1.0)) + buck
            family = tuple(
                rng.binomial(np.where(shut & (k == 0), 0, np.floor(kept + 1e-9)).astype(int), FILLED).astype(float)
                for k, kept in enumerate((kept_doe, kept_buck))
            )
            kept_doe, kept_buck = kept_doe - family[0], kept_buck - family[1]
            out.does[fall], out.bucks[fall] = family
        left, now, cold = truth.after(fall, now, family, around, sqmi, BASE)
        deer = winter_half(left, cold) * truth.wobble[fall]
        groups = [counted(rng, d, r).per_plot for d, r in zip(deer, truth.groups_a_day, strict=True)]
        index.append(SUMMER * np.array(groups) * AC_PER_SQMI / (ACRE_DAYS * rate))
        out.numbers[fall + 1] = number(now)
    return out


def fair(cell: Cell, truth: Truth, run: Run) -> float:
    """Does a decade that the true herds had to spare on the family's acres, grown as they stood without the family."""
    now, given = truth.herds.now, []
    first = run.numbers[:3].mean(axis=0)
    sqmi, around = cell.range_ac / AC_PER_SQMI, 1.0 - cell.own_ac / cell.range_ac
    for fall in range(FALLS):
        if fall >= FIRST:
            growing = doe_share.growth(now, truth.herds.rates, first, BASE)
            given.append(doe_share.can_give(now, growing, LOST).mean())
        _, now, _ = truth.after(fall, now, (run.does[fall], run.bucks[fall]), around, sqmi, BASE)
    return 10.0 * float(np.mean(given)) * cell.own_ac / AC_PER_SQMI


def summed(cell: Cell, truth: Truth, run: Run) -> dict[str, float]:
    """What is printed of a cell and a rule."""
    left = alone(truth, 1.0 - cell.own_ac / cell.range_ac, cell.range_ac / AC_PER_SQMI, BASE)
    span, last = slice(FIRST, FALLS), FALLS - FIRST
    start, numbers, closed = run.numbers[FIRST], run.numbers[span], run.closed[span]

    def halved(of: np.ndarray, years: int) -> np.ndarray:
        return (of[FIRST + years] < of[FIRST] / 2).astype(float)

    def ever(of: np.ndarray) -> np.ndarray:
        return (of[FIRST + 1 :].min(axis=0) < of[FIRST] / 2).astype(float)

    adds, high = halved(run.numbers, last) - halved(left, last), numbers > 0.8 * start
    decades = truth.n * last / 10.0
    doe, buck = run.does.sum() / decades, run.bucks.sum() / decades
    out = {
        "does": doe,
        "bucks": buck,
        "pounds": DOE_LB * doe + BUCK_LB * buck,
        "fair": fair(cell, truth, run),
        "without_10": 100 * halved(left, 10).mean(),
        "with_10": 100 * halved(run.numbers, 10).mean(),
        "without_25": 100 * halved(left, last).mean(),
        "with_25": 100 * halved(run.numbers, last).mean(),
        "adds": 100 * adds.mean(),
        "se": 100 * adds.std() / np.sqrt(truth.n),
        "ever": 100 * (ever(run.numbers) - ever(left)).mean(),
        "closed": 100 * closed.mean(),
        "false": 100 * (closed & high).sum() / max(1, closed.sum()),
        "over": 100 * (closed & high).sum() / max(1, high.sum()),
        "holds": 100 * run.holds[span].mean(),
        "before": np.nan,
        "crash": np.nan,
    }
    if truth.world.befalls:
        fall = truth.world.befalls[0][0]
        hit = run.numbers[fall + 1] < 0.5 * run.numbers[fall]
        for name, at in (("before", fall), ("crash", fall + 1)):
            less = run.closed[at] | (run.share[at] <= 0.5 * run.share[at - 1])
            out[name] = 100 * less[hit].mean()
    return out


HEAD = (
    f"{'cell':38s} {'rule':12s} herds  does bucks pounds  fair | ten years |  25 years    |  adds    se  ever | closed "
    "false  over | holds | before crash"
)


def line(name: str, rule: str, herds: int, s: dict[str, float]) -> str:
    """One row of the table."""
    return (
        f"{name:38s} {rule:12s} {herds:5d} {s['does']:5.2f} {s['bucks']:5.1f} {s['pounds']:6.0f} {s['fair']:5.2f} | "
        f"{s['without_10']:3.0f} -> {s['with_10']:2.0f} | {s['without_25']:4.1f} -> {s['with_25']:4.1f} | "
        f"{s['adds']:5.1f} {s['se']:5.2f} {s['ever']:5.1f} | {s['closed']:5.1f} {s['false']:5.1f} {s['over']:5.1f} | "
        f"{s['holds']:5.1f} | {s['before']:5.1f} {s['crash']:5.1f}"
    )


RULES = {"share": by_share, "level": by_level}
COUNTS = ("lower limit", "470", "200")


def trial(cell: Cell, rule: str, part: float = 1.0, seed: int = SEED) -> tuple[int, dict[str, float]]:
    """Herds of a cell and what became of them by a rule."""
    truth = invented(cell.world, max(2, round(part * cell.herds)), seed, BASE)
    run = hunted_by(RULES[rule], cell, truth) if rule in RULES else by_counts(rule, cell, truth)
    return truth.n, summed(cell, truth, run)


def main() -> None:
    """Every cell asked for by every rule asked for, printed as it comes and written to a folder."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--cells", default="all")
    asked.add_argument("--rules", default=",".join((*RULES, *COUNTS)))
    asked.add_argument("--part", type=float, default=1.0)
    asked.add_argument("--seed", type=int, default=SEED)
    asked.add_argument("--out", type=Path)
    given = asked.parse_args()
    cells = {"main": MAIN, "other": OTHER, "all": MAIN | OTHER}.get(given.cells) or {
        name: (MAIN | OTHER)[name] for name in given.cells.split(",")
    }
    print(HEAD, flush=True)
    for name, cell in cells.items():
        for rule in given.rules.split(","):
            if rule not in RULES and (cell.cap or cell.cameras or cell.goal != "hold" or not cell.told):
                continue
            herds, told = trial(cell, rule, given.part, given.seed)
            row = line(name, rule, herds, told)
            print(row, flush=True)
            if given.out:
                given.out.mkdir(parents=True, exist_ok=True)
                with (given.out / f"{rule.replace(' ', '_')}.txt").open("a", encoding="utf-8") as file:
                    file.write(row + "\n")


if __name__ == "__main__":
    main()

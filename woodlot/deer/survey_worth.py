"""What to measure next: by how much each thing that can be written down would narrow the family's share of does.

next_to_measure        all of it for the herd of a place, as reasons
Worth, measure_next    each way that is not written yet, the most useful first
first_number           where nothing may set a number yet: what would, the cheapest first
ranges                 ends of a range after each outcome of a measurement that is imagined

A family wants to know which hour of measuring tells most about the take. Each way is tried on paper on the fit's own
herds: one of them is taken as the true one, what would be counted there is drawn, all herds are weighed anew by it as
the fit does, and the range of the does they can give is read again. Nothing is offered that the place cannot hold.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import pi, sqrt

import numpy as np

from woodlot.deer import imagined
from woodlot.deer.defaults import default
from woodlot.deer.doe_share import gives
from woodlot.deer.herd_answer import HerdAnswer
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_fit import Fall, Fit, Ground, picked
from woodlot.deer.imagined import OUTCOMES
from woodlot.estimate import LEVEL, Reason, reason
from woodlot.region import Region
from woodlot.units import AC_PER_SQMI, SQFT_PER_AC

__all__ = ["Worth", "first_number", "measure_next", "next_to_measure", "ranges"]

#: Herds that stand for all of them.
DRAWS = 2000


def next_to_measure(herd: HerdAnswer, region: Region, level: float = LEVEL) -> list[Reason]:
    """What would narrow the take of a place most, or give it a first number of deer."""
    if herd.used is None:
        return first_number(region)
    record = herd.record
    now, worths = measure_next(herd.used, record.falls, record.ground, seed=herd.seed, region=region, level=level)
    return [
        reason("worth measuring", what=w.what, now=now, then=w.then, hours=w.hours, level=level, first=not at)
        for at, w in enumerate(worths)
    ]


@dataclass(frozen=True)
class Worth:
    """What a way of measuring is worth: by how much it narrows the range of does a year that the ground can give, in
    percent of that range, on average; then: the ends of that range, on average; hours it takes.
    """

    what: Reason
    narrower_pct: float
    then: tuple[float, float]
    hours: float


def ranges(sorted_values: np.ndarray, told: np.ndarray, level: float) -> tuple[np.ndarray, np.ndarray]:
    """Ends of the range of values (n, ascending, of equal weight) after each of the outcomes told (outcomes, n).

    told: log-likelihood of each imagined outcome, by draw.
    """
    run = np.cumsum(np.exp(told - told.max(axis=1, keepdims=True)), axis=1)
    low, high = ((run >= odds * run[:, -1:]).argmax(axis=1) for odds in ((1 - level) / 2, (1 + level) / 2))
    return sorted_values[low], sorted_values[high]


#: What an imagined outcome (its number) tells of every herd.
_Told = Callable[[int], np.ndarray]


def measure_next(
    fit: Fit,
    falls: Sequence[Fall],
    ground: Ground,
    *,
    seed: int,
    region: Region,
    level: float = LEVEL,
) -> tuple[tuple[float, float], list[Worth]]:
    """The range of does a year that the ground can give, and every way that is not written yet, the most useful first.

    falls: the whole record, the fall that is asked for last.
    """
    some = picked(fit.weights, DRAWS, seed)
    each = gives(fit, ground.lost, region)[some] * ground.own_ac / AC_PER_SQMI
    order = np.argsort(each, kind="stable")
    each, some = each[order], some[order]
    herds = imagined.herds_of(fit, some, falls, ground, seed, region)
    low, high = (float(end[0]) for end in ranges(each, np.zeros((1, len(each))), level))
    out = []
    for what, hours, told in _ways(herds, falls, ground, region):
        least, most = ranges(each, np.array([told(one) for one in range(OUTCOMES)]), level)
        then = float(least.mean()), float(most.mean())
        narrower = 1.0 - (then[1] - then[0]) / max(high - low, 1e-9)
        out.append(Worth(what, 100.0 * max(narrower, 0.0), then, hours))
    return (low, high), sorted(out, key=lambda w: (-round(w.narrower_pct), w.hours))


def first_number(region: Region) -> list[Reason]:
    """What would give a first number of deer, the least work first."""
    ways = [(imagined.hours(name, region), name) for name in ("kill", "state", "first pellets")]
    plots = int(imagined.size("first pellets", region))
    return [
        reason(
            "would give a number",
            of=name,
            hours=hours,
            plots=plots,
            lines=round(plots / imagined.size("pellet line", region)),
        )
        for hours, name in sorted(ways, key=lambda way: way[0])
    ]


def _ways(
    h: imagined.Herds, falls: Sequence[Fall], ground: Ground, region: Region
) -> Iterator[tuple[Reason, float, _Told]]:
    """Each way that is not written yet: what it is, its hours, what an outcome of it tells."""

    def size(name: str) -> float:
        return imagined.size(name, region)

    last = falls[-1]
    yield from _plots(h, falls, region)
    ways: list[tuple[str, bool, Reason, _Told]] = [
        (
            "camera weeks",
            last.fawns is None and last.bucks is None,
            reason("measure camera weeks", weeks=size("camera weeks")),
            lambda one: imagined.cameras(h, one, region),
        ),
        (
            "ages",
            last.ages is None,
            reason("measure ages", bucks=size("ages")),
            lambda one: imagined.ages(h, one, region),
        ),
        ("kill", None in ground.kill, reason("measure kill"), lambda one: imagined.kill(h, ground.kill, one, region)),
        (
            "state",
            not any(fall.state for fall in falls),
            reason("measure state"),
            lambda one: imagined.state(h, one, region),
        ),
        (
            "complete",
            len(falls) < 2 or falls[-2].complete is None,
            reason("measure complete"),
            lambda one: imagined.complete(h, one, region),
        ),
    ]
    if len(falls) > 1:
        unknown = falls[-2].winter_loss is None
        what = reason("measure winter", winter=falls[-2].year)
        ways.append(("winter", unknown, what, lambda one: imagined.last_winter(h, one, region)))
    watched = [(at, *fall.an_hour) for at, fall in enumerate(falls) if fall.an_hour]
    if watched:
        what = reason("measure stand", hours=size("stand"))
        ways.append(("stand", last.an_hour is None, what, lambda one: imagined.stand(h, watched, one, region)))
    for name, open_, what, told in ways:
        if open_:
            yield what, imagined.hours(name, region), told


def _plots(h: imagined.Herds, falls: Sequence[Fall], region: Region) -> Iterator[tuple[Reason, float, _Told]]:
    """Next spring's plots: as many lines as last time, one more, three more; a first spring where there was none."""
    counted = [fall.pellets for fall in falls if fall.pellets]
    if not counted:
        radius, plots = default("plot_radius", region), int(imagined.size("first pellets", region))
        acre_days = pi * radius**2 / SQFT_PER_AC * region.figure("defaults_herd", "pellet_days")
        cv = region.figure("defaults_herd", "first_pellets_cv")
        first = PelletCount(0, plots, 0.0, acre_days, cv)
        what = reason("measure first pellets", plots=plots)
        yield what, imagined.hours("first pellets", region), lambda one: imagined.pellets(h, first, one, region)
        return
    old, of_line = counted[-1], imagined.size("pellet line", region)
    for more in (0, 1, 3):
        plots = old.plots + more * int(of_line)
        new = PelletCount(0, plots, 0.0, old.acre_days, old.cv * sqrt(old.plots / plots))
        hours = imagined.hours("pellet line", region) * plots / of_line

        def told(one: int, new: PelletCount = new) -> np.ndarray:
            return imagined.pellets(h, new, one, region)

        yield reason("measure lines", more=more, plots=plots), hours, told

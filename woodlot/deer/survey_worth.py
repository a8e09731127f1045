"""What to measure next: by how much each thing that can be written down would narrow the family's share of does.

next_to_measure        all of it for the herd of a place, as reasons
Worth, measure_next    each way that is not written yet, the most useful first
first_number           where nothing may set a number yet: what would, the cheapest first
narrowed               mean half-width of a range after a measurement that was imagined many times

A family wants to know which hour of measuring tells most about the take. Each way is tried on paper on the fit's own
herds: one of them is taken as the true one, what would be counted there is drawn, all herds are weighed anew by it as
the fit does, and the range of the does they can give is read again. Nothing is offered that the place cannot hold.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import exp, log1p, pi, sqrt

import numpy as np

from woodlot.deer import herd_evidence as says
from woodlot.deer.defaults import default
from woodlot.deer.doe_share import can_give
from woodlot.deer.herd_answer import HerdAnswer
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_fit import Fall, Fit, Ground, picked
from woodlot.deer.herd_prior import drawn_winters, luck
from woodlot.deer.herd_year import bucks, does, hunted, number, winter
from woodlot.estimate import LEVEL, Reason, reason
from woodlot.region import Region
from woodlot.units import AC_PER_SQMI, SQFT_PER_AC

__all__ = ["Worth", "first_number", "measure_next", "narrowed", "next_to_measure"]

#: Herds that stand for all of them, and outcomes that are imagined of each measurement.
DRAWS, OUTCOMES = 3000, 32


def next_to_measure(herd: HerdAnswer, region: Region, level: float = LEVEL) -> list[Reason]:
    """What would narrow the take of a place most, or give it a first number of deer."""
    if herd.used is None or herd.growing is None:
        return first_number(region)
    record = herd.record
    worths = measure_next(
        herd.used, record.falls, record.ground, herd.growing, seed=herd.seed, region=region, level=level
    )
    return [
        reason("worth measuring", what=w.what, now=w.half_now_pct, then=w.half_then_pct, hours=w.hours, level=level)
        for w in worths
    ]


@dataclass(frozen=True)
class Worth:
    """What a way of measuring is worth: half of the range of the does a year, in percent of them, now and after it;
    hours it takes.
    """

    what: Reason
    half_now_pct: float
    half_then_pct: float
    hours: float


def narrowed(sorted_values: np.ndarray, told: np.ndarray, level: float) -> float:
    """Mean half-width of the range of values (n, ascending, of equal weight) after outcomes told (outcomes, n).

    told: log-likelihood of each imagined outcome, by draw.
    """
    run = np.cumsum(np.exp(told - told.max(axis=1, keepdims=True)), axis=1)
    low, high = ((run >= odds * run[:, -1:]).argmax(axis=1) for odds in ((1 - level) / 2, (1 + level) / 2))
    return float(np.mean(sorted_values[high] - sorted_values[low]) / 2)


@dataclass(frozen=True)
class _Herds:
    """Herds by what they can give, ascending: this fall, the winter to come, the rate; and luck of each outcome.

    true: places of the herds that are taken as true in turn; z: (k, outcomes) normal luck.
    """

    now: np.ndarray
    winter_half: np.ndarray
    log_groups_a_day: np.ndarray
    doe_rate: np.ndarray
    buck_rate: np.ndarray
    last_loss: np.ndarray
    numbers: np.ndarray
    true: np.ndarray
    z: np.ndarray


#: What an imagined outcome (its number) tells of every herd.
_Told = Callable[[int], np.ndarray]


def measure_next(
    fit: Fit,
    falls: Sequence[Fall],
    ground: Ground,
    growing: np.ndarray,
    *,
    seed: int,
    region: Region,
    level: float = LEVEL,
) -> list[Worth]:
    """Every way that is not written yet, the most useful first.

    falls: the whole record, the fall that is asked for last; growing: growth of the does by draw of the fit.
    """
    some = picked(fit.weights, DRAWS, seed)
    give = can_give(fit.now[:, some], growing[some], ground.lost)
    order = np.argsort(give, kind="stable")
    give, some = give[order], some[order]
    middle = max(float(give.mean()), 1e-9)
    herds = _herds(fit, some, falls, ground, seed, region)

    def half_pct(told: np.ndarray) -> float:
        return 100.0 * narrowed(give, told, level) / middle

    before = half_pct(np.zeros((1, len(give))))
    out = []
    for what, hours, told in _ways(herds, falls, ground, region):
        after = half_pct(np.array([told(one) for one in range(OUTCOMES)]))
        out.append(Worth(what, before, min(after, before), hours))
    return sorted(out, key=lambda w: (round(w.half_then_pct), w.hours))


def first_number(region: Region) -> list[Reason]:
    """What would give a first number of deer, the least work first."""
    ways = [(_hours(name, region), name) for name in ("kill", "state", "first pellets")]
    plots = int(_size("first pellets", region))
    return [
        reason(
            "would give a number", of=name, hours=hours, plots=plots, lines=round(plots / _size("pellet line", region))
        )
        for hours, name in sorted(ways, key=lambda way: way[0])
    ]


def _herds(fit: Fit, some: np.ndarray, falls: Sequence[Fall], ground: Ground, seed: int, region: Region) -> _Herds:
    herds, cloud = fit.cloud.herds, fit.cloud
    rng = np.random.default_rng([seed, falls[-1].year, len(some)])
    now, u, v = fit.now[:, some], herds.doe_rate[some], herds.buck_rate[some]
    left = hunted(now, u, v, (0.0, 0.0), ground.lost, region, ground.neighbors_share)
    odds = (rng.permuted(np.tile(np.arange(OUTCOMES), (3, 1)), axis=1) + 0.5) / OUTCOMES
    return _Herds(
        now=now,
        winter_half=says.winter_half(left, winter(drawn_winters(rng, len(some), region), region)),
        log_groups_a_day=herds.log_groups_a_day[some],
        doe_rate=u,
        buck_rate=v,
        last_loss=_last_loss(cloud.n, falls, seed, region)[some],
        numbers=np.vstack([cloud.numbers, number(fit.now)])[:, some] if cloud.years else number(now)[None],
        true=((np.arange(OUTCOMES) + 0.5) / OUTCOMES * len(some)).astype(int),
        z=_normal(odds),
    )


def _normal(odds: np.ndarray) -> np.ndarray:
    from scipy.special import ndtri

    return np.asarray(ndtri(odds))


def _last_loss(n: int, falls: Sequence[Fall], seed: int, region: Region) -> np.ndarray:
    """Shares of the herd that the last winter took in each herd, drawn as the fit drew them."""
    if len(falls) < 2:
        return np.zeros(n)
    rng = np.random.default_rng([seed, falls[-2].year])
    luck(rng, n, region)
    return drawn_winters(rng, n, region)


def _ways(h: _Herds, falls: Sequence[Fall], ground: Ground, region: Region) -> Iterator[tuple[Reason, float, _Told]]:
    """Each way that is not written yet: what it is, its hours, what an outcome of it tells."""

    def size(name: str) -> float:
        return _size(name, region)

    last = falls[-1]
    yield from _plots(h, falls, region)
    ways: list[tuple[str, bool, Reason, _Told]] = [
        (
            "camera weeks",
            last.fawns is None and last.bucks is None,
            reason("measure camera weeks", weeks=size("camera weeks")),
            lambda one: _cameras(h, one, region),
        ),
        (
            "ages",
            last.ages is None,
            reason("measure ages", bucks=size("ages")),
            lambda one: _ages(h, one, region),
        ),
        ("kill", None in ground.kill, reason("measure kill"), lambda one: _kill(h, ground.kill, one, region)),
        (
            "state",
            not any(fall.state for fall in falls),
            reason("measure state"),
            lambda one: _state(h, one, region),
        ),
        (
            "complete",
            len(falls) < 2 or falls[-2].complete is None,
            reason("measure complete"),
            lambda one: _complete(h, one, region),
        ),
    ]
    if len(falls) > 1:
        unknown = falls[-2].winter_loss is None
        what = reason("measure winter", winter=falls[-2].year)
        ways.append(("winter", unknown, what, lambda one: _winter(h, one, region)))
    watched = [(at, *fall.an_hour) for at, fall in enumerate(falls) if fall.an_hour]
    if watched:
        what = reason("measure stand", hours=size("stand"))
        ways.append(("stand", last.an_hour is None, what, lambda one: _stand(h, watched, one, region)))
    for name, open_, what, told in ways:
        if open_:
            yield what, _hours(name, region), told


def _plots(h: _Herds, falls: Sequence[Fall], region: Region) -> Iterator[tuple[Reason, float, _Told]]:
    """Next spring's plots: as many lines as last time, one more, three more; a first spring where there was none."""
    counted = [fall.pellets for fall in falls if fall.pellets]
    if not counted:
        radius, plots = default("plot_radius", region), int(_size("first pellets", region))
        acre_days = pi * radius**2 / SQFT_PER_AC * region.figure("defaults_herd", "pellet_days")
        cv = region.figure("defaults_herd", "first_pellets_cv")
        first = PelletCount(0, plots, 0.0, acre_days, cv)
        what = reason("measure first pellets", plots=plots)
        yield what, _hours("first pellets", region), lambda one: _pellets(h, first, one, region)
        return
    old, of_line = counted[-1], _size("pellet line", region)
    for more in (0, 1, 3):
        plots = old.plots + more * int(of_line)
        new = PelletCount(0, plots, 0.0, old.acre_days, old.cv * sqrt(old.plots / plots))
        hours = _hours("pellet line", region) * plots / of_line

        def told(one: int, new: PelletCount = new) -> np.ndarray:
            return _pellets(h, new, one, region)

        yield reason("measure lines", more=more, plots=plots), hours, told


def _pellets(h: _Herds, new: PelletCount, one: int, region: Region) -> np.ndarray:
    true = h.true[one]
    mu = h.winter_half[true] / AC_PER_SQMI * new.acre_days * exp(h.log_groups_a_day[true])
    sd = sqrt(log1p(new.cv**2) + region.figure("defaults_herd", "range_wobble") ** 2)
    per_plot = mu * exp(sd * h.z[0, one])
    found = PelletCount(per_plot * new.plots, new.plots, per_plot, new.acre_days, new.cv)
    return says.pellets(found, h.winter_half, h.log_groups_a_day, region)


def _seen(share: float, n: float, doubt: float, z: float) -> float:
    """A share seen of n, with chance and doubt as the fit has them."""
    sd = sqrt(2.0 * share * (1.0 - share) / n + (doubt * share * (1.0 - share)) ** 2)
    return min(max(share + sd * z, 0.01), 0.99)


def _cameras(h: _Herds, one: int, region: Region) -> np.ndarray:
    """Fawns, does and bucks in the pictures of some weeks."""

    def figure(name: str) -> float:
        return region.figure("defaults_herd", name)

    herd = h.now[:, h.true[one]]
    doe_photos = figure("photos_a_week") * _size("camera weeks", region)
    fawn, shown = 2.0 * herd[0] / (2.0 * herd[0] + does(herd)), figure("buck_shows") * bucks(herd)
    buck = shown / (shown + does(herd))
    out = np.zeros(h.now.shape[1])
    for share, doubt, z, told in (
        (fawn, "fawn_ratio_doubt", h.z[0, one], says.fawns),
        (buck, "buck_ratio_doubt", h.z[1, one], says.buck_share),
    ):
        n = doe_photos / max(1.0 - share, 0.05)
        seen = n * _seen(float(share), n, figure(doubt), z)
        out = out + told(seen, n - seen, h.now, region)
    return out


def _ages(h: _Herds, one: int, region: Region) -> np.ndarray:
    herd, n = h.now[:, h.true[one]], _size("ages", region)
    share = float(herd[3] / max(bucks(herd), 1e-9))
    young = min(max(round(n * share + sqrt(n * share * (1.0 - share)) * h.z[0, one]), 0), n)
    return says.ages(young, n - young, h.now)


def _kill(h: _Herds, known: tuple[float | None, float | None], one: int, region: Region) -> np.ndarray:
    """Bucks and does that neighbors or the unit take a square mile, of which only what nobody told yet is news."""
    true = h.true[one]
    told_does, told_bucks = (
        None if told is not None else float(rate[true] * deer[true]) * exp(region.figure("defaults_herd", name) * z)
        for told, rate, deer, name, z in (
            (known[0], h.doe_rate, does(h.now), "kill_does_log_sd", h.z[0, one]),
            (known[1], h.buck_rate, bucks(h.now), "kill_bucks_log_sd", h.z[1, one]),
        )
    )
    return says.kill(told_bucks, told_does, h.now, h.doe_rate, h.buck_rate, region)


def _state(h: _Herds, one: int, region: Region) -> np.ndarray:
    sd, numbers = region.figure("defaults_herd", "state_log_sd"), number(h.now)
    return says.state(float(numbers[h.true[one]]) * exp(sd * h.z[0, one]), sd, numbers, region)


def _complete(h: _Herds, one: int, region: Region) -> np.ndarray:
    log_sd = sqrt(log1p(region.figure("defaults_sampling", "drive_cv") ** 2))
    sd = sqrt(log_sd**2 + region.figure("defaults_herd", "range_wobble") ** 2)
    return says.complete(float(h.winter_half[h.true[one]]) * exp(sd * h.z[0, one]), log_sd, h.winter_half, region)


def _winter(h: _Herds, one: int, region: Region) -> np.ndarray:
    gap = (h.last_loss - h.last_loss[h.true[one]]) / region.figure("defaults_herd", "winter_known")
    return -(gap**2) / 2.0


def _stand(h: _Herds, watched: Sequence[tuple[int, float, float]], one: int, region: Region) -> np.ndarray:
    """Deer an hour of this fall beside those of the falls before."""
    at, deer, hours = (np.array(x, dtype=float) for x in zip(*watched, strict=True))
    before, true = h.numbers[at.astype(int)], h.true[one]
    constant = float(np.mean(np.log((deer + 0.5) / hours) - np.log(before[:, true])))
    sd, more = region.figure("defaults_herd", "seen_an_hour_log_sd"), _size("stand", region)
    expected = more * exp(constant) * float(h.numbers[-1, true])
    seen = expected * exp(sqrt(sd**2 + 1.0 / (expected + 0.5)) * h.z[0, one])
    numbers = np.vstack([before, h.numbers[-1]])
    all_told = says.seen_an_hour(np.append(deer, seen), np.append(hours, more), numbers, region)
    return all_told - (says.seen_an_hour(deer, hours, before, region) if len(deer) > 1 else 0.0)


def _row(name: str, region: Region):
    rows = region.table("deer_measures")
    return rows[rows["measure"] == name].iloc[0]


def _size(name: str, region: Region) -> float:
    return float(_row(name, region)["size"])


def _hours(name: str, region: Region) -> float:
    return float(_row(name, region)["hours"])

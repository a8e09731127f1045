"""The herd forward: thousands of draws of what may be true at once, as arrays, for any list of takes.

Start, start_herd       the herd now, on the ground the deer use
Draws, draw             starts, yearly survival and births of every draw, made once and used for every take
step                    one year, with losses that may differ by draw
antlerless, antlered    its two halves: the does and fawns follow from the does taken, the bucks from both

Classes: fawns (of each sex, half and half), yearling and grown does, yearling and grown bucks. A year runs: the hunt,
then the neighbors' hunt and all other deaths, births, summer. Every take meets the same winters and rates, so that
takes differ by what is taken and by nothing else. Crowding is felt by does and fawns alone, so that a grid of takes
needs the does once for each number of does.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from woodlot.deer.defaults import default
from woodlot.deer.herd import (
    RATES,
    between,
    drawn_rates,
    female_matrix,
    herd_rates,
    stable_shares,
    yearling_buck_share,
)
from woodlot.deer.winter import birth_share, herd_loss, losses_by_age
from woodlot.errors import InputError
from woodlot.region import Region

__all__ = ["Draws", "Start", "antlered", "antlerless", "draw", "start_herd", "step"]


@dataclass(frozen=True)
class Start:
    """The herd before the first hunt on the ground it uses: middle numbers and the log SD of doubt in all of them."""

    bucks: float
    does: float
    fawns: float
    doubt: float


@dataclass(frozen=True)
class Draws:
    """What was drawn. start: (5, n) fawns of each sex, yearling does, grown does, yearling bucks, grown bucks.

    survive: (years, 4, n) share of fawns, yearling does, grown does, bucks alive to next fall, the neighbors' take off;
    births: (years, 3, n) fawns of each sex next fall for each fawn, yearling doe, grown doe alive after the hunt;
    crowding: (n,) share of births lost for each doe or fawn (0: none).
    """

    start: np.ndarray
    survive: np.ndarray
    births: np.ndarray
    crowding: np.ndarray


def start_herd(per_sqmi: Mapping[str, float], doubt: float, ground_ac: float) -> Start:
    """Middle herd on the ground the deer use, from fall deer per square mile by class (bucks, does, fawns)."""
    miles = ground_ac / 640.0
    return Start(per_sqmi["bucks"] * miles, per_sqmi["does"] * miles, per_sqmi["fawns"] * miles, doubt)


def draw(
    start: Start,
    *,
    n: int = 10_000,
    years: int = 20,
    seed: int = 1,
    farmland_pct: float = 0.0,
    winters: Sequence[float] | None = None,
    neighbors: tuple[float, float] = (0.0, 0.0),
    deaths_per_deer: float = 0.0,
    full_herd: float | tuple[float, float, float] | None = None,
    known_rates: bool = False,
    fawn_factor: float = 1.0,
    region: Region,
) -> Draws:
    """Draw starts, winters and rates once.

    winters: points (Wisconsin's scale) of past winters to draw from; fewer than five: the regional spread. neighbors:
    (bucks, does) they take a year from the whole ground, as deer; held as a share of the drawn herd. deaths_per_deer:
    unrecovered deaths on top. full_herd: does and fawns at which births no longer make up for deaths (None: no
    crowding); three numbers (low, middle, high) are drawn from, and no draw starts above what its ground carries.
    known_rates: no doubt in the rates, only in starts and winters. fawn_factor: fawns that live to fall, times this.
    """
    if n < 1 or years < 1:
        raise InputError("n and years must be 1 or more")
    rng = np.random.default_rng(seed)
    rates = _rates(rng, n, farmland_pct, known_rates, region)
    rates["fawn_to_fall"] = rates["fawn_to_fall"] * fawn_factor
    size = np.exp(start.doubt * rng.standard_normal(n))
    young = _yearling_share(rates)
    young_buck = yearling_buck_share(default("buck_rate", region), default("survival_buck", region))
    does, bucks = start.does, start.bucks
    middle = [start.fawns / 2, does * young, does * (1 - young), bucks * young_buck, bucks * (1 - young_buck)]
    rows = np.outer(middle, size)
    extra = 1.0 + deaths_per_deer
    left_bucks = 1.0 - np.minimum(0.95, neighbors[0] * extra / np.maximum(rows[3] + rows[4], 1e-9))
    left_does = 1.0 - np.minimum(0.95, neighbors[1] * extra / np.maximum(rows[1] + rows[2], 1e-9))
    points = _winters(rng, (years, n), winters, region)
    mean = default("winter_points_mean", region)
    lost, usual = (
        losses_by_age(herd_loss(points, "wisconsin", region), region),
        losses_by_age(herd_loss(mean, "wisconsin", region), region),
    )
    other = default("year_effect", region)
    worse_fawn = (1 - lost[0]) / (1 - usual[0]) * (1 + other * rng.standard_normal((years, n)))
    worse_grown = (1 - lost[1]) / (1 - usual[1]) * (1 + other * rng.standard_normal((years, n)))
    survive = np.empty((years, 4, n))
    for k, (name, worse, left) in enumerate(
        (
            ("survival_fawn", worse_fawn, 1.0),
            ("survival_yearling", worse_grown, left_does),
            ("survival_adult", worse_grown, left_does),
            ("survival_buck", worse_grown, left_bucks),
        )
    ):
        np.minimum(1.0, rates[name] * worse, out=survive[:, k])
        survive[:, k] *= left
    births = np.empty((years, 3, n))
    season = birth_share(points, region) / birth_share(mean, region) * (rates["fawn_to_fall"] / 2.0)
    for k, name in enumerate(("births_fawn", "births_yearling", "births_adult")):
        np.multiply(survive[:, k], rates[name], out=births[:, k])
        births[:, k] *= season
    makes_up = _replacement(rates)
    crowding = np.maximum(0.0, 1.0 - 1.0 / makes_up) / _full(rng, full_herd, 2 * rows[0] + rows[1] + rows[2])
    return Draws(rows, survive, births, crowding)


def step(draws: Draws, year: int, rows: np.ndarray, doe_loss, buck_loss) -> np.ndarray:
    """One year of all draws, (5, n) to (5, n), with losses that may differ by draw: for rules that look at the herd."""
    fawn, young_doe, doe, young_buck, buck = rows.copy()
    left = np.empty_like(fawn)
    _shoot(left, young_doe, doe, doe_loss)
    _shoot(left, young_buck, buck, buck_loss)
    per_fawn, per_young, per_doe = draws.births[year]
    born = per_fawn * fawn + per_young * young_doe + per_doe * doe
    if draws.crowding.any():
        _crowd(left, fawn, young_doe, doe, draws.crowding)
        born *= left
    live_fawn, live_young, live_doe, live_buck = draws.survive[year]
    recruits = fawn * live_fawn
    return np.array(
        [born, recruits, young_doe * live_young + doe * live_doe, recruits, (young_buck + buck) * live_buck]
    )


def antlerless(draws: Draws, loss: float, at: Sequence[int]) -> tuple[np.ndarray, np.ndarray]:
    """Does and fawns when ``loss`` does die of the family's hunt each fall.

    Returns the deer at the years ``at`` before the hunt, (len(at), n), and the fawns of each sex that live to their
    next fall, (years, n): with them the bucks follow.
    """
    years, n = draws.survive.shape[0], draws.start.shape[1]
    total, recruits = np.empty((len(at), n)), np.empty((years, n))
    fawn, young, grown = draws.start[:3].copy()
    born, left = np.empty(n), np.empty(n)
    crowded = bool(draws.crowding.any())
    for t in range(years + 1):
        if t in at:
            row = total[list(at).index(t)]
            np.add(young, grown, out=row)
            row += fawn
            row += fawn
        if t == years:
            break
        if loss:
            _shoot(left, young, grown, loss)
        per_fawn, per_young, per_grown = draws.births[t]
        np.multiply(per_fawn, fawn, out=born)
        np.multiply(per_young, young, out=left)
        born += left
        np.multiply(per_grown, grown, out=left)
        born += left
        if crowded:
            _crowd(left, fawn, young, grown, draws.crowding)
            born *= left
        live_fawn, live_young, live_grown, _ = draws.survive[t]
        grown *= live_grown
        young *= live_young
        grown += young
        np.multiply(fawn, live_fawn, out=recruits[t])
        young[:] = recruits[t]
        fawn, born = born, fawn
    return total, recruits


def antlered(draws: Draws, recruits: np.ndarray, loss: float, at: Sequence[int]) -> tuple[np.ndarray, np.ndarray]:
    """Bucks when ``loss`` of them die of the family's hunt each fall.

    Returns the bucks at the years ``at`` before the hunt, (len(at), n), and the yearlings among them in the last year.
    """
    years, n = draws.survive.shape[0], draws.start.shape[1]
    total = np.empty((len(at), n))
    young, grown = draws.start[3:].copy()
    left = np.empty(n)
    for t in range(years):
        if t in at:
            np.add(young, grown, out=total[list(at).index(t)])
        if loss:
            _shoot(left, young, grown, loss)
        grown += young
        grown *= draws.survive[t, 3]
        young[:] = recruits[t]
    if years in at:
        np.add(young, grown, out=total[list(at).index(years)])
    return total, young


def _shoot(left: np.ndarray, young: np.ndarray, grown: np.ndarray, loss) -> None:
    """Take ``loss`` deer from two rows together, in place, down to none."""
    np.add(young, grown, out=left)
    with np.errstate(divide="ignore", invalid="ignore"):  # where none are left
        np.divide(-loss, left, out=left)
    left += 1.0
    np.fmax(left, 0.0, out=left)
    young *= left
    grown *= left


def _crowd(left, fawn, young, grown, crowding) -> None:
    """Share of births left where does and fawns crowd, into ``left``."""
    np.add(young, grown, out=left)
    left += fawn
    left += fawn
    left *= crowding
    np.subtract(1.0, left, out=left)
    np.maximum(left, 0.0, out=left)


def _rates(rng, n: int, farmland_pct: float, known: bool, region: Region) -> dict[str, np.ndarray]:
    """A set of rates for each draw: triangles about the middle of the case."""
    rates = herd_rates(farmland_pct, region=region)
    if known:
        rates["survival_buck"] = default("survival_buck", region)
        return {name: np.full(n, rate) for name, rate in rates.items()}
    return {**drawn_rates(rng, n, rates, region), "survival_buck": between(rng, "survival_buck", region, n)}


def _winters(rng, shape, winters: Sequence[float] | None, region: Region) -> np.ndarray:
    record = np.asarray([] if winters is None else list(winters), dtype=float)
    if len(record) >= int(default("winters_on_record", region)):
        return rng.choice(record, shape)
    return between(rng, "winter_points_mean", region, shape)


def _full(rng, full_herd, now: np.ndarray):
    """Does and fawns of a full herd in each draw; without end where there is no crowding."""
    if full_herd is None:
        return np.full(len(now), np.inf)
    if not isinstance(full_herd, tuple):
        return np.full(len(now), float(full_herd))
    low, middle, high = full_herd
    drawn = rng.triangular(low, middle, high, len(now)) if high > low else np.full(len(now), middle)
    return np.maximum(drawn, now)


def _yearling_share(rates: Mapping[str, np.ndarray]) -> float:
    s = stable_shares(female_matrix(**{k: float(np.mean(rates[k])) for k in RATES}))
    return float(s[1] / (s[1] + s[2]))


def _replacement(rates: Mapping[str, np.ndarray]) -> np.ndarray:
    """Doe fawns that a doe fawn leaves in fall over her life without a hunt; above 1 the herd grows."""
    to_yearling = rates["survival_fawn"]
    to_grown = to_yearling * rates["survival_yearling"]
    years_grown = to_grown * rates["survival_adult"] / np.maximum(1.0 - rates["survival_adult"], 1e-6)
    per = rates["births_fawn"] * to_yearling + rates["births_yearling"] * to_grown + rates["births_adult"] * years_grown
    return np.maximum(rates["fawn_to_fall"] / 2.0 * per, 1e-9)

"""The herd forward: thousands of draws of what may be true at once, as arrays, for any list of takes.

sampled                 herds of a fit, each as often as its weight says
Draws, draw             starts, yearly survival and births of every draw, made once and used for every take
with_share              the draws with the family's share taken each fall
antlerless, antlered    its two halves: the does and fawns follow from the does taken, the bucks from both

What a year is stands in ``herd_year``; here it is worked in place. Every take meets the same winters and rates, so that
takes differ by what is taken and by nothing else. Crowding is felt by does and fawns alone, so that a grid of takes
needs the does once for each number of does.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from woodlot.deer.defaults import default
from woodlot.deer.herd_fit import Fit, Ground, picked
from woodlot.deer.herd_prior import Herds, drawn_winters, luck
from woodlot.deer.herd_year import bucks, does, winter
from woodlot.errors import InputError
from woodlot.region import Region

__all__ = ["Draws", "antlered", "antlerless", "draw", "sampled", "with_share"]


@dataclass(frozen=True)
class Draws:
    """What was drawn, as deer on the ground they use.

    start: (5, n) as in ``herd_year.CLASSES``; survive: (years, 4, n) share of fawns, yearling does, grown does, bucks
    alive to next fall, the neighbors' take off; births: (years, 3, n) fawns of each sex next fall for each fawn,
    yearling doe, grown doe before the hunt; crowding: (n,) share of births lost for each doe or fawn; left: (2, n)
    share of does and of bucks that the neighbors leave, since a family's deer come of the herd before any hunt.
    """

    start: np.ndarray
    survive: np.ndarray
    births: np.ndarray
    crowding: np.ndarray
    left: np.ndarray


def sampled(fit: Fit, n: int, seed: int, neighbors: tuple[float, float] | None = None) -> Herds:
    """So many herds of a fit, each as often as its weight says, at even steps along the weights.

    neighbors: (does, bucks) a square mile that they take from this fall on, where that is new.
    """
    which = picked(fit.weights, n, seed)
    herds = fit.cloud.herds
    now = herds.now[:, which]
    rates = (herds.doe_rate[which], herds.buck_rate[which])
    if neighbors is not None:
        live = (does(now), bucks(now))
        rates = tuple(np.minimum(a / np.maximum(b, 1e-9), 0.9) for a, b in zip(neighbors, live, strict=True))  # type: ignore[assignment]
    return replace(
        herds,
        rates=herds.rates.of(which),
        doe_rate=rates[0],
        buck_rate=rates[1],
        log_groups_a_day=herds.log_groups_a_day[which],
        now=now,
    )


def draw(
    herds: Herds,
    ground: Ground,
    *,
    years: int,
    seed: int,
    losses: Sequence[float] = (),
    fawn_factor: float = 1.0,
    region: Region,
) -> Draws:
    """Draw winters and luck of the coming years once.

    losses: shares of the herd that past winters took, to draw from; fewer than ``defaults_deer.winters_on_record``: as
    nobody wrote them down. fawn_factor: fawns that live to fall, times this.
    """
    n = herds.now.shape[1]
    if n < 1 or years < 1:
        raise InputError("draws and years must be 1 or more")
    rng = np.random.default_rng([seed, years])
    rates, record = herds.rates, np.asarray(losses, dtype=float)
    others = (1.0 + ground.lost) * ground.neighbors_share
    left = np.maximum(0.0, 1.0 - np.array([herds.doe_rate, herds.buck_rate]) * others)
    fawns_left = np.maximum(0.0, 1.0 - region.figure("defaults_herd", "fawn_hunt_share") * herds.doe_rate * others)
    survive, births = np.empty((years, 4, n)), np.empty((years, 3, n))
    alive = (rates.survive_fawn, rates.survive_yearling_doe, rates.survive_doe, rates.survive_buck)
    fetuses = (rates.births_fawn, rates.births_yearling, rates.births_adult)
    known = len(record) >= int(default("winters_on_record", region))
    for t in range(years):
        cold = winter(rng.choice(record, n) if known else drawn_winters(rng, n, region), region)
        lucky_fawns, lucky_grown, lucky_births = luck(rng, n, region)
        grown = cold.grown * lucky_grown
        to_fall = rates.fawn_to_fall / 2.0 * fawn_factor * cold.births * lucky_births
        rows = (cold.fawns * lucky_fawns, grown, grown, grown)
        for k, (rate, hard, stay) in enumerate(zip(alive, rows, (fawns_left, left[0], left[0], left[1]), strict=True)):
            survive[t, k] = np.minimum(1.0, rate * hard) * stay
        for k in range(3):
            births[t, k] = survive[t, k] * fetuses[k] * to_fall
    return Draws(herds.now * ground.range_sqmi, survive, births, rates.crowding / ground.range_sqmi, left)


def with_share(draws: Draws, doe_loss: float, buck_loss: float) -> Draws:
    """The draws with so many deer dead of the family's hunt this fall, and the same part of the herd every fall after.

    So a share is taken: it is valued at the herd of the day and follows it down and up.
    """
    live = np.array([draws.start[1] + draws.start[2], draws.start[3] + draws.start[4]])
    loss = np.array([[doe_loss], [buck_loss]])
    left = np.maximum(0.0, draws.left - np.divide(loss, live, out=np.ones_like(live), where=live > 0))
    does, bucks = np.divide(left, draws.left, out=np.zeros_like(left), where=draws.left > 0)
    survive, births = draws.survive.copy(), draws.births.copy()
    survive[:, 1:3] *= does
    survive[:, 3] *= bucks
    births[:, 1:] *= does
    return replace(draws, survive=survive, births=births, left=left)


def antlerless(draws: Draws, loss, at: Sequence[int]) -> tuple[np.ndarray, np.ndarray]:
    """Does and fawns when ``loss`` does (a number, or one a draw) die of the family's hunt each fall.

    Returns the deer at the years ``at`` before the hunt, (len(at), n), and the fawns of each sex that live to their
    next fall, (years, n): with them the bucks follow.
    """
    years, n = draws.survive.shape[0], draws.start.shape[1]
    total, recruits = np.empty((len(at), n)), np.empty((years, n))
    fawn, young, grown = draws.start[:3].copy()
    born, live, left = np.empty(n), np.empty(n), np.empty(n)
    hunt, gone = np.any(loss), _of_all(draws, 0, loss)
    for t in range(years + 1):
        np.add(young, grown, out=live)
        if t in at:
            row = total[list(at).index(t)]
            np.add(live, fawn, out=row)
            row += fawn
        if t == years:
            break
        _room(left, live, fawn, draws.crowding)
        if hunt:
            _shoot(live, young, grown, gone)
        per_fawn, per_young, per_grown = draws.births[t]
        np.multiply(per_fawn, fawn, out=born)
        np.multiply(per_young, young, out=live)
        born += live
        np.multiply(per_grown, grown, out=live)
        born += live
        born *= left
        live_fawn, live_young, live_grown, _ = draws.survive[t]
        grown *= live_grown
        young *= live_young
        grown += young
        np.multiply(fawn, live_fawn, out=recruits[t])
        young[:] = recruits[t]
        fawn, born = born, fawn
    return total, recruits


def antlered(draws: Draws, recruits: np.ndarray, loss, at: Sequence[int]) -> tuple[np.ndarray, np.ndarray]:
    """Bucks when ``loss`` of them (a number, or one a draw) die of the family's hunt each fall.

    Returns the bucks at the years ``at`` before the hunt, (len(at), n), and the yearlings among them in the last year.
    """
    years, n = draws.survive.shape[0], draws.start.shape[1]
    total = np.empty((len(at), n))
    young, grown = draws.start[3:].copy()
    live = np.empty(n)
    hunt, gone = np.any(loss), _of_all(draws, 1, loss)
    for t in range(years):
        np.add(young, grown, out=live)
        if t in at:
            total[list(at).index(t)] = live
        if hunt:
            _shoot(live, young, grown, gone)
        grown += young
        grown *= draws.survive[t, 3]
        young[:] = recruits[t]
    if years in at:
        np.add(young, grown, out=total[list(at).index(years)])
    return total, young


def _of_all(draws: Draws, sex: int, loss) -> np.ndarray:
    """The family's loss as one of the herd that the neighbors leave: both come of the herd before any hunt."""
    return np.divide(loss, draws.left[sex], out=np.zeros_like(draws.left[sex]), where=draws.left[sex] > 0)


def _shoot(live: np.ndarray, young: np.ndarray, grown: np.ndarray, loss: np.ndarray) -> None:
    """Take ``loss`` deer from two rows together, in place, down to none; ``live``: both together, lost here."""
    with np.errstate(divide="ignore", invalid="ignore"):  # where none are left
        np.divide(loss, live, out=live)
    np.subtract(1.0, live, out=live)
    np.fmax(live, 0.0, out=live)
    young *= live
    grown *= live


def _room(left: np.ndarray, does: np.ndarray, fawn: np.ndarray, crowding: np.ndarray) -> None:
    """Share of births left where does and fawns crowd, before any hunt, into ``left``."""
    np.add(does, fawn, out=left)
    left += fawn
    left *= crowding
    np.subtract(1.0, left, out=left)
    np.maximum(left, 0.0, out=left)

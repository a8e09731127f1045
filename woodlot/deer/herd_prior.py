"""Herds that may stand here: rates drawn, begun long ago, kept where they lasted as herds of such ground do.

Herds       rates, neighbors' rates, groups a day and the deer of this fall, by draw
lasting     herds that lasted to the first fall on record
kept_per_sqmi    deer a square mile that such ground carries

The ranges of the rates alone allow herds that would have died out long ago. One that stood the neighbors' take for
years and still is there proves its growth.
"""

from dataclasses import dataclass, replace

import numpy as np

from woodlot.deer.herd_year import Rates, Winter, crowding, hunted, next_fall, number, winter
from woodlot.deer.winter import herd_loss
from woodlot.region import Region

__all__ = ["Herds", "drawn_winters", "joined", "kept_per_sqmi", "lasting", "luck"]

#: Herds begun at a time: one block is the same however many follow it.
BLOCK = 4000
#: Percent of farmland from which ground counts as farmed in what it carries.
FARMED_PCT = 30.0
RATES = (
    *("fawn_to_fall", "births_fawn", "births_yearling", "births_adult"),
    *("survive_fawn", "survive_yearling_doe", "survive_doe", "survive_buck"),
)


@dataclass(frozen=True)
class Herds:
    """By draw: rates; share of does and of bucks that neighbors take a year; log of the groups a deer drops in a day;
    the herd of the fall (5, n), deer a square mile. started: how many were begun.
    """

    rates: Rates
    doe_rate: np.ndarray
    buck_rate: np.ndarray
    log_groups_a_day: np.ndarray
    now: np.ndarray
    started: int


def lasting(
    starts: int,
    seed: int,
    *,
    farmland_pct: float = 0.0,
    groups_a_day: tuple[float, float] | None = None,
    neighbors_take_none: tuple[bool, bool] = (False, False),
    full_herd_per_sqmi: float | None = None,
    dense: bool = False,
    lost: float,
    first: int = 0,
    region: Region,
) -> Herds:
    """Herds begun ``defaults_herd.falls_back`` falls ago that lasted (`_lasted`), blocks ``first`` and on.

    Parameters: starts [herds begun]; groups_a_day: middle and log SD; neighbors_take_none: of does, of bucks;
    full_herd_per_sqmi: the family's own figure; dense: woods that may carry as many as farmed land does;
    lost: unrecovered for each deer recovered.
    Returns Herds of those kept (about a third). Same seed, same herds, block by block.
    Source: herd model page 1 of the reference pages, key woodlot_deer.
    """
    parts = [
        _block(
            np.random.default_rng([seed, block]),
            min(BLOCK, starts - BLOCK * (block - first)),
            farmland_pct,
            groups_a_day,
            neighbors_take_none,
            full_herd_per_sqmi,
            dense,
            lost,
            region,
        )
        for block in range(first, first + -(-starts // BLOCK))
    ]
    return joined(parts)


def joined(parts: list[Herds]) -> Herds:
    """Several lots of herds as one."""
    rates = Rates(*(np.concatenate([getattr(p.rates, name) for p in parts]) for name in (*RATES, "crowding")))
    one = {
        name: np.concatenate([getattr(p, name) for p in parts])
        for name in ("doe_rate", "buck_rate", "log_groups_a_day")
    }
    return Herds(
        rates, **one, now=np.concatenate([p.now for p in parts], axis=1), started=sum(p.started for p in parts)
    )


def luck(rng: np.random.Generator, n: int, region: Region) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Factors of one year, by draw: fawns that live, grown deer that live, fawns that reach fall."""
    sd, least = region.figure("defaults_herd", "year_noise"), region.limits("defaults_herd", "year_noise")[0]
    fawns, grown = np.maximum(1.0 + sd * rng.standard_normal((2, n)), least)
    summer = region.figure("defaults_herd", "summer_noise")
    return fawns, grown, np.exp(summer * rng.standard_normal(n) - summer**2 / 2)


def drawn_winters(rng: np.random.Generator, n: int, region: Region) -> np.ndarray:
    """Shares of a herd that winters nobody wrote down may take, by draw."""
    low, high = region.limits("defaults_herd", "winter_drawn")
    points = rng.triangular(low, region.figure("defaults_herd", "winter_drawn"), high, n)
    hard = rng.uniform(*region.limits("defaults_herd", "winter_hard"), n)
    some = rng.random(n) < region.figure("defaults_herd", "winter_hard_share")
    return np.asarray(herd_loss(np.where(some, hard, points), "wisconsin", region))


def _block(rng, n, farmland_pct, groups_a_day, none, full, dense, lost, region: Region) -> Herds:
    def figure(name: str) -> float:
        return region.figure("defaults_herd", name)

    drawn = {name: _triangle(rng, n, name, farmland_pct, region) for name in RATES}
    full_herd = _triangle(rng, n, "full_herd_per_sqmi", _carries(farmland_pct, dense), region)
    middle = {name: _row(name, farmland_pct, region)[1] for name in RATES}
    drawn["births_fawn"] = np.full(n, middle["births_fawn"])
    births = rng.triangular(*_ends("births_factor", region), n)
    drawn["births_yearling"], drawn["births_adult"] = (births * middle[k] for k in ("births_yearling", "births_adult"))
    drawn["survive_yearling_doe"] = np.clip(
        drawn["survive_doe"] - (middle["survive_doe"] - middle["survive_yearling_doe"]), 0.0, 1.0
    )
    rates = Rates(**{name: drawn[name] for name in RATES}, crowding=np.zeros(n))
    rates = replace(rates, crowding=crowding(rates, full_herd if full is None else full))
    u, v = (_triangle(rng, n, name, farmland_pct, region) for name in ("neighbor_doe_rate", "neighbor_buck_rate"))
    u, v = (np.zeros(n) if gone else rate for gone, rate in zip(none, (u, v), strict=True))
    middle_rate, log_sd = groups_a_day or (region.figure("defaults_deer", "pellet_rate"), figure("pellet_rate_log_sd"))
    log_rate = np.log(middle_rate) + log_sd * rng.standard_normal(n)
    parts = [figure(f"start_{k}") for k in ("fawns", "yearling_does", "does", "yearling_bucks", "bucks")]
    herd = figure("start_per_sqmi") * np.exp(figure("start_log_sd") * rng.standard_normal(n)) * np.array(parts)[:, None]
    back, span = int(figure("falls_back")), int(figure("kept_falls"))
    numbers = np.empty((span, n))
    for fall in range(back):
        left = hunted(herd, u, v, (0.0, 0.0), lost, region)
        cold: Winter = winter(drawn_winters(rng, n, region), region)
        herd = next_fall(herd, left, rates, cold, luck(rng, n, region))
        if fall >= back - span:
            numbers[fall - (back - span)] = number(herd)
    kept = _lasted(numbers, _carries(farmland_pct, dense), region)
    return Herds(rates.of(kept), u[kept], v[kept], log_rate[kept], herd[:, kept], n)


def kept_per_sqmi(farmland_pct: float, region: Region) -> tuple[float, float]:
    """Deer a square mile between which a herd of such ground lies at the first fall on record."""
    share = min(farmland_pct / FARMED_PCT, 1.0)
    woods, farm = (region.limits("defaults_herd", name) for name in ("kept_forest", "kept_farm"))
    low, high = ((1 - share) * a + share * b for a, b in zip(woods, farm, strict=True))
    return low, high


def _carries(farmland_pct: float, dense: bool) -> float:
    """Percent of farmland by which it is told how many deer the ground carries."""
    return max(farmland_pct, FARMED_PCT) if dense else farmland_pct


def _lasted(numbers: np.ndarray, farmland_pct: float, region: Region) -> np.ndarray:
    """Whether a herd is of a number that such ground carries, and neither jumped about nor slid (falls, n)."""

    def figure(name: str) -> float:
        return region.figure("defaults_herd", name)

    low, high = kept_per_sqmi(farmland_pct, region)
    kept = (numbers[-1] >= low) & (numbers[-1] <= high)
    kept &= numbers.max(axis=0) <= figure("kept_factor") * numbers.min(axis=0)
    slide = np.log(np.maximum(numbers[-3:].mean(axis=0), 1e-9) / np.maximum(numbers[:3].mean(axis=0), 1e-9))
    return kept & (slide > figure("kept_slide"))


def _row(name: str, farmland_pct: float, region: Region) -> tuple[float, float, float]:
    """Low, middle and high of a rate, straight between the rows by percent of farmland."""
    at, *rows = region.once("rates by farmland", _by_farmland)[name]
    low, middle, high = (float(np.interp(farmland_pct, at, row)) for row in rows)
    return low, middle, high


def _by_farmland(region: Region) -> dict[str, tuple[np.ndarray, ...]]:
    """By rate: percents of farmland with its low, middle and high there."""
    rows = region.table("deer_herd_rates").sort_values("farmland_pct")
    names = ["farmland_pct", "low", "value", "high"]
    return {str(rate): tuple(mine[names].to_numpy(float).T) for rate, mine in rows.groupby("rate")}


def _triangle(rng, n: int, name: str, farmland_pct: float, region: Region) -> np.ndarray:
    low, middle, high = _row(name, farmland_pct, region)
    return rng.triangular(low, middle, high, n) if high > low else np.full(n, middle)


def _ends(name: str, region: Region) -> tuple[float, float, float]:
    low, high = region.limits("defaults_herd", name)
    return low, region.figure("defaults_herd", name), high

"""The herd: births and deaths as a matrix, the rate that holds it, and the winter count run forward to fall.

herd_rates          rates of a case, by share of farmland around (deer_herd_cases.csv)
female_matrix       does in fall before the hunt: fawns, yearlings, grown
growth_rate         yearly growth of a matrix with no hunting
hold_rate           share that may be taken each year while the herd holds
yearling_buck_share  how many grown bucks are yearlings at a share taken
stable_shares       make-up the herd settles at
drawn_rates, between    what the rates and other figures may be, drawn
fall_from_winter    deer of a winter count (after the hunt) -> bucks, does, fawns next fall, before the hunt
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from woodlot.deer.defaults import default, default_range
from woodlot.deer.winter import birth_share, herd_loss, losses_by_age
from woodlot.errors import InputError
from woodlot.region import Region

__all__ = [
    "FallHerd",
    "between",
    "drawn_rates",
    "fall_from_winter",
    "female_matrix",
    "growth_rate",
    "herd_rates",
    "hold_rate",
    "stable_shares",
    "yearling_buck_share",
]

RATES = (
    "fawn_to_fall",
    "births_fawn",
    "births_yearling",
    "births_adult",
    "survival_fawn",
    "survival_yearling",
    "survival_adult",
)


def herd_rates(farmland_pct: float = 0.0, *, region: Region) -> dict[str, float]:
    """Rates of an average winter without hunting, straight between the cases by percent of farmland around.

    Returns name -> rate: fawn_to_fall (share of fawns born that live to fall), births_* (fetuses a doe), survival_*
    (share alive from fall to fall, not counting the hunt).
    """
    if not 0 <= farmland_pct <= 100:
        raise InputError(f"farmland_pct must be between 0 and 100, was {farmland_pct!r}")
    cases = region.table("deer_herd_cases")
    cases = cases[cases["winter"] == "average"].sort_values("farmland_pct")
    at = cases["farmland_pct"].to_numpy(float)
    return {name: float(np.interp(farmland_pct, at, cases[name].to_numpy(float))) for name in RATES}


def female_matrix(
    fawn_to_fall, births_fawn, births_yearling, births_adult, survival_fawn, survival_yearling, survival_adult
) -> np.ndarray:
    """Matrix of does from fall to fall, before the hunt: rows and columns fawns, yearlings (1.5), grown (2.5 and up).

    Parameters: fawn_to_fall [share], births_* [fetuses/doe], survival_* [share/yr, without hunting]; numbers or arrays
    of one shape, which come first in the result: shape (..., 3, 3).

    Notes: F' = s/2 (bF sF F + bY sY Y + bA sA A); Y' = sF F; A' = sY Y + sA A, half of the fawns being does.
    Source: deer page 4.4 of the reference pages (derived), key woodlot_deer.
    """
    half = np.asarray(fawn_to_fall, dtype=float) / 2.0
    sF, sY, sA = (np.asarray(x, dtype=float) for x in (survival_fawn, survival_yearling, survival_adult))
    births = [half * births_fawn * sF, half * births_yearling * sY, half * births_adult * sA]
    shape = np.broadcast_shapes(*(np.shape(x) for x in births))
    out = np.zeros((*shape, 3, 3))
    for column, x in enumerate(births):
        out[..., 0, column] = x
    out[..., 1, 0] = sF
    out[..., 2, 1] = sY
    out[..., 2, 2] = sA
    return out


def growth_rate(matrix):
    """Yearly growth of the herd at its stable make-up: the largest eigenvalue; a float for one matrix."""
    m = np.asarray(matrix, dtype=float)
    if m.ndim < 2 or m.shape[-1] != m.shape[-2]:
        raise InputError(f"a matrix must be square, was {m.shape}")
    out = np.abs(np.linalg.eigvals(m)).max(axis=-1)
    return float(out) if m.ndim == 2 else out


def hold_rate(matrix):
    """Share of all does, fawns too, that may be taken each fall while the herd holds: 1 - 1/growth, never below 0."""
    lam = growth_rate(matrix)
    out = np.maximum(0.0, 1.0 - 1.0 / np.maximum(lam, 1e-12))
    return float(out) if np.ndim(lam) == 0 else out


def stable_shares(matrix) -> np.ndarray:
    """Shares of the classes at the stable make-up of one matrix; they sum to 1."""
    values, vectors = np.linalg.eig(np.asarray(matrix, dtype=float))
    v = np.abs(np.real(vectors[:, np.argmax(np.abs(values))]))
    return v / v.sum()


@dataclass(frozen=True)
class FallHerd:
    """Deer in fall before the hunt for each deer of the winter count: bucks, does (1.5 and up), fawns, and their sum.

    cv: relative error that the assumed rates leave in the sum.
    """

    bucks: float
    does: float
    fawns: float
    total: float
    cv: float


def fall_from_winter(
    *,
    farmland_pct: float = 0.0,
    winter_points: float | None = None,
    does_per_buck: float | None = None,
    fawns_per_doe: float | None = None,
    buck_rate: float | None = None,
    fawn_doubt: float | None = None,
    region: Region,
    draws: int = 2000,
    seed: int = 1,
) -> FallHerd:
    """A winter count run forward to fall: the rest of the winter, births, summer, for one deer of the count.

    winter_points: this winter in Wisconsin's points (None: average). does_per_buck, fawns_per_doe: make-up last fall
    before the hunt. buck_rate: share of them taken in last fall's hunt by everybody; of the does it is the rate that
    holds the herd. fawn_doubt: log SD of fawns_per_doe (None: its range where it is not given, else none). The
    count is the mean of the winter half, so half of the winter's deaths are still to come.

    Notes: the mean of ``draws`` sets of rates would differ little from the middle rates used here; the draws (triangles
    over deer_herd_ranges.csv, seeded) only give ``cv``.
    """
    rates = herd_rates(farmland_pct, region=region)
    ratios = {
        "does_per_buck": default("does_per_buck", region) if does_per_buck is None else does_per_buck,
        "fawns_per_doe": default("fawns_per_doe", region) if fawns_per_doe is None else fawns_per_doe,
        "buck_rate": default("buck_rate", region) if buck_rate is None else buck_rate,
        "doe_rate": hold_rate(female_matrix(**rates)),
        "survival_buck": default("survival_buck", region),
    }
    points = default("winter_points_mean", region) if winter_points is None else winter_points
    mean_points = default("winter_points_mean", region)
    bucks, does, fawns = (float(x) for x in _forward(rates, ratios, points, mean_points, region))
    rng = np.random.default_rng(seed)
    drawn = drawn_rates(rng, draws, rates, region)
    doubtful: dict = dict(ratios)
    if does_per_buck is None:
        doubtful["does_per_buck"] = between(rng, "does_per_buck", region, draws)
    if fawn_doubt is not None:
        doubtful["fawns_per_doe"] = ratios["fawns_per_doe"] * np.exp(fawn_doubt * rng.standard_normal(draws))
    elif fawns_per_doe is None:
        doubtful["fawns_per_doe"] = between(rng, "fawns_per_doe", region, draws)
    totals = np.sum(_forward(drawn, doubtful, points, mean_points, region), axis=0)
    return FallHerd(bucks, does, fawns, bucks + does + fawns, float(np.std(totals) / np.mean(totals)))


def drawn_rates(rng, n: int, rates: Mapping[str, float], region: Region) -> dict[str, np.ndarray]:
    """``n`` draws of each rate of `herd_rates`, triangles about it (deer_herd_ranges.csv); a share is 1 at most."""
    spread = region.table("deer_herd_ranges").set_index("rate")[["low", "high"]].astype(float)
    out = {}
    for name, middle in rates.items():
        low, high = max(middle + spread["low"][name], 0.0), middle + spread["high"][name]
        high = high if name.startswith("births") else min(high, 1.0)
        out[name] = rng.triangular(low, min(middle, high), high, n) if high > low else np.full(n, middle)
    return out


def between(rng, name: str, region: Region, shape: int | tuple[int, ...]) -> np.ndarray:
    """Draws of a default between its low and its high, most often near its value."""
    low, high = default_range(name, region)
    return rng.triangular(low, default(name, region), high, shape)


def _forward(rates: Mapping, ratios: Mapping, points: float, mean_points: float, region: Region):
    """Bucks, does, fawns next fall for one deer of the winter count; rates may be arrays of draws."""
    buck, doe = 1.0, ratios["does_per_buck"]
    fawn = doe * ratios["fawns_per_doe"]
    buck, doe, fawn = buck * (1 - ratios["buck_rate"]), doe * (1 - ratios["doe_rate"]), fawn * (1 - ratios["doe_rate"])
    lost_fawn, lost_grown = losses_by_age(herd_loss(points, "wisconsin", region), region)
    usual_fawn, usual_grown = losses_by_age(herd_loss(mean_points, "wisconsin", region), region)
    counted = (buck + doe) * (1 - lost_grown / 2) + fawn * (1 - lost_fawn / 2)
    fawn_lives = np.minimum(1.0, rates["survival_fawn"] * (1 - lost_fawn) / (1 - usual_fawn))
    harder = (1 - lost_grown) / (1 - usual_grown)
    s = stable_shares(
        female_matrix(**{k: np.mean(v) for k, v in rates.items()})
    )[1:]  # fmt: skip
    young, grown = s / s.sum()
    yearlings, older = doe * young * rates["survival_yearling"] * harder, doe * grown * rates["survival_adult"] * harder
    recruits = fawn / 2 * fawn_lives
    births = birth_share(points, region) / birth_share(mean_points, region)
    born = births * (
        rates["births_fawn"] * recruits + rates["births_yearling"] * yearlings + rates["births_adult"] * older
    )
    bucks = recruits + buck * np.minimum(1.0, ratios["survival_buck"] * harder)
    does = recruits + np.minimum(doe, yearlings + older)
    return bucks / counted, does / counted, rates["fawn_to_fall"] * born / counted


def yearling_buck_share(buck_rate, survival):
    """Share of yearlings among grown bucks, once settled, for a share taken a year: 1 - (1 - rate) x survival.

    Parameters: buck_rate [share of grown bucks taken by everybody], survival [share alive in a year without the hunt].
    """
    return 1.0 - (1.0 - buck_rate) * survival

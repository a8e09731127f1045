"""Invented stem maps and the tally of many points in them: what the trials of sampling draw their plots from.

A map is a square of woods of one kind (even, clumped, patchy with openings) that joins itself at its edges, or has real
edges; its intensity is the exponential of a smooth random field. Points fall anywhere; a tree is tallied where the
prism takes it in. Maps are dense and are thinned tree by tree to the level a stand has: thin stands spread more.
"""

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from scipy.spatial import cKDTree

FACTOR, REACH_FT_PER_IN, SQFT_PER_AC = 10.0, 2.75, 43560.0
#: Basal area of an unthinned map and cords in a square foot of it [sq ft/ac, cords].
FULL_SQFT, CORDS_PER_SQFT = 300.0, 0.297
SPECIES = np.array(["red maple", "sugar maple", "yellow birch", "eastern hemlock"])
SHARES = np.array([0.55, 0.30, 0.11, 0.04])
#: Of each kind: spread of the field on logarithms, how far it reaches [ft], share of openings.
KINDS = {"even": (0.0, 60.0, 0.0), "clumped": (0.37, 70.0, 0.0), "patchy": (0.40, 90.0, 0.17)}
SIDE_FT, EDGED_SIDE_FT = 1320.0, 660.0
GRID = 132


@dataclass(frozen=True)
class Pool:
    """Points of one map and the trees tallied at each.

    first, many: where a point's trees begin and how many; dbh_in, cords, kind (of SPECIES), twice: by tree; slope_pct:
    by point; cords_per_ac, kinds_per_ac: what an acre of the map holds, unthinned, in all and by species.
    """

    first: np.ndarray
    many: np.ndarray
    dbh_in: np.ndarray
    cords: np.ndarray
    kind: np.ndarray
    twice: np.ndarray
    slope_pct: np.ndarray
    cords_per_ac: float
    kinds_per_ac: np.ndarray


def field(rng: np.random.Generator, reach_ft: float, side_ft: float) -> np.ndarray:
    """A smooth random field on a square grid that joins itself: mean 0, standard deviation 1."""
    waves = np.fft.fftfreq(GRID, side_ft / GRID) * 2.0 * np.pi
    smooth = np.exp(-((waves[:, None] ** 2 + waves**2) * reach_ft**2) / 4.0)
    out = np.fft.ifft2(np.fft.fft2(rng.normal(size=(GRID, GRID))) * smooth).real
    return (out - out.mean()) / out.std()


def stems(rng: np.random.Generator, kind: str, side_ft: float) -> tuple[np.ndarray, ...]:
    """Where the stems of a map stand (two columns), diameters, cords and species."""
    spread, reach_ft, open_share = KINDS[kind]
    density = np.exp(spread * field(rng, reach_ft, side_ft))
    if open_share:
        openings = field(rng, reach_ft, side_ft)
        density[openings < np.quantile(openings, open_share)] = 0.0
    classes = np.arange(6, 24, 2)
    weights = 1.3 ** -(classes / 2.0)
    sqft_each = (np.pi / 576.0 * classes**2 * weights).sum() / weights.sum()
    many = rng.poisson(FULL_SQFT * side_ft**2 / SQFT_PER_AC / sqft_each)
    cell = rng.choice(GRID * GRID, many, p=density.ravel() / density.sum())
    at = (np.stack(np.divmod(cell, GRID), axis=1) + rng.uniform(size=(many, 2))) * side_ft / GRID
    dbh_in = rng.choice(classes, many, p=weights / weights.sum()) + rng.uniform(-1.0, 1.0, many)
    cords = np.pi / 576.0 * dbh_in**2 * CORDS_PER_SQFT * (dbh_in / 12.0) ** 0.3 * np.exp(rng.normal(0.0, 0.2, many))
    # species keep to patches of their own: the largest of the shares' draws, each with its field
    fields = np.stack([field(rng, 150.0, side_ft).ravel()[cell] for _ in SPECIES], axis=1)
    score = np.log(SHARES) + 0.8 * fields + rng.gumbel(size=fields.shape)
    return at, dbh_in, cords, score.argmax(axis=1)


@cache
def pools(kind: str, how: str = "level", maps: int = 8, points: int = 6000) -> list[Pool]:
    """Maps of one kind with their points; ``how``: "level", "sloping" (distances along the ground) or "edged"."""
    return [_pool(np.random.default_rng([7, list(KINDS).index(kind), one]), kind, how, points) for one in range(maps)]


def _pool(rng: np.random.Generator, kind: str, how: str, points: int) -> Pool:
    side_ft = EDGED_SIDE_FT if how == "edged" else SIDE_FT
    at, dbh_in, cords, species = stems(rng, kind, side_ft)
    spots = rng.uniform(0.0, side_ft, (points, 2))
    slope_pct = np.zeros(points)
    if how == "sloping":
        slope_pct = 5.0 * np.round(np.clip(rng.normal(rng.uniform(15.0, 45.0), 8.0, points), 0.0, 70.0) / 5.0)
    box = None if how == "edged" else side_ft
    near = cKDTree(at % side_ft, boxsize=box).query_ball_point(spots, REACH_FT_PER_IN * dbh_in.max())
    many = np.array([len(one) for one in near])
    tree, point = np.concatenate([np.array(one, dtype=int) for one in near]), np.repeat(np.arange(points), many)
    away = at[tree] - spots[point]
    if box:
        away = (away + side_ft / 2.0) % side_ft - side_ft / 2.0
    along = away[:, 0] ** 2 * (1.0 + (slope_pct[point] / 100.0) ** 2) + away[:, 1] ** 2
    seen = along <= (REACH_FT_PER_IN * dbh_in[tree]) ** 2
    tree, point, away = tree[seen], point[seen], away[seen]
    # walked through: from the point to the tree and as far again; beyond the edge it counts twice
    through = at[tree] + away
    many = np.bincount(point, minlength=points)
    acres = side_ft**2 / SQFT_PER_AC
    return Pool(
        first=np.cumsum(many) - many,
        many=many,
        dbh_in=dbh_in[tree],
        cords=cords[tree],
        kind=species[tree],
        twice=((through < 0) | (through > side_ft)).any(axis=1) & (how == "edged"),
        slope_pct=slope_pct,
        cords_per_ac=cords.sum() / acres,
        kinds_per_ac=np.bincount(species, cords, minlength=len(SPECIES)) / acres,
    )


def tallied(rng: np.random.Generator, pool: Pool, keep: np.ndarray) -> dict[str, Any]:
    """The trees of one point a row of ``keep`` (share of the map's trees its stand has), drawn from a map.

    Gives row (of keep), dbh_in, cords, kind, twice by tree, and slope_pct by row.
    """
    point = rng.integers(0, len(pool.many), len(keep))
    many = pool.many[point]
    row = np.repeat(np.arange(len(keep)), many)
    tree = np.arange(many.sum()) - np.repeat(np.cumsum(many) - many, many) + np.repeat(pool.first[point], many)
    kept = rng.uniform(size=len(tree)) < keep[row]
    row, tree = row[kept], tree[kept]
    told = {name: getattr(pool, name)[tree] for name in ("dbh_in", "cords", "kind", "twice")}
    return {"row": row, **told, "slope_pct": pool.slope_pct[point]}

"""How often do ranges hold, and how wide are they, where a quarter of the trees is measured and the rest only counted?

    python tests/trials/counted_points.py [--places N] [--points 5 10 20] [--woods even clumped patchy sized]

Made-up stands of 40 acres, 90 sq ft an acre, prism factor 10: trees at random, in clumps, in clumps between openings,
and in patches of thick and of thin trees, so that wood per basal area changes from place to place. Wood of a tree is c
dbh^2.5 with a chance of its own, so that wood per basal area spreads by some .25. Points fall at random on ground that
joins at its edges. "quarter": trees that factor 40 takes in are measured, the others counted; "all": each tree is
measured. Coverage of 90 % ranges from the points' own standard error and degrees of freedom, and half the width over
the truth.
"""

import argparse
from math import log

import numpy as np
import pandas as pd
from scipy.spatial import cKDTree

from woodlot.estimate import t_quantile
from woodlot.stand.plots import expand, means, plot_sums
from woodlot.units import basal_sqft

SEED, BAF, TIMES, LEVEL = 17, 10.0, 4.0, 0.90
SIDE_FT, SQFT_AC, STANDS = 1320.0, 90.0, 6
WOODS = ("even", "clumped", "patchy", "sized")


def stand(draw: np.random.Generator, kind: str) -> pd.DataFrame:
    """Trees of a stand: x, y, dbh_in, cords."""
    acres = SIDE_FT**2 / 43560.0
    dbh = 5.0 + draw.exponential(4.0, 60000)
    dbh = dbh[: int(np.searchsorted(np.cumsum(basal_sqft(dbh)), SQFT_AC * acres))]
    at = draw.random((len(dbh), 2)) * SIDE_FT
    if kind in ("clumped", "patchy"):
        clumps = draw.random((len(dbh) // 12, 2)) * SIDE_FT
        if kind == "patchy":  # two fifths of the ground bear nothing
            clumps = clumps[(np.floor(clumps / 330.0).sum(axis=1) * 7 % 5) > 1]
        at = (clumps[draw.integers(len(clumps), size=len(dbh))] + draw.normal(0.0, 30.0, at.shape)) % SIDE_FT
    if kind == "sized":  # thick trees on every other square, thin ones between
        thick = (np.floor(at / 330.0).sum(axis=1) % 2) == 0
        fits = np.argsort(dbh + draw.normal(0.0, 2.0, len(dbh)), kind="stable")
        out = np.empty(len(dbh))
        out[np.concatenate([np.flatnonzero(~thick), np.flatnonzero(thick)])] = dbh[fits]
        dbh = out
    own = np.exp(draw.normal(-0.02, 0.2, len(dbh)))
    return pd.DataFrame({"x": at[:, 0], "y": at[:, 1], "dbh_in": dbh, "cords": 2.5e-4 * dbh**2.5 * own})


def counted(trees: pd.DataFrame, points: np.ndarray) -> pd.DataFrame:
    """Trees that each point takes in: point, tree, near (also by the larger factor)."""
    reach = trees["dbh_in"].to_numpy() * np.sqrt(43560.0 / BAF) / 24.0
    spots = trees[["x", "y"]].to_numpy()
    hits = cKDTree(points, boxsize=SIDE_FT).query_ball_point(spots, reach)
    tree = np.repeat(np.arange(len(trees)), [len(one) for one in hits])
    point = np.concatenate([np.asarray(one, dtype=int) for one in hits])
    off = np.abs(spots[tree] - points[point])
    far = np.hypot(*np.minimum(off, SIDE_FT - off).T)
    return pd.DataFrame({"point": point, "tree": tree, "near": far <= reach[tree] / np.sqrt(TIMES)})


def told(visits: pd.DataFrame, trees: pd.DataFrame, quarter: bool, stands: np.ndarray) -> pd.DataFrame:
    """Rows of means of cords by cruise; visits have cruise, point, tree and near; stands: cruise of each point."""
    names = pd.Index(np.arange(len(stands)).astype(str))
    plots = pd.DataFrame({"plot_id": names, "stand_id": stands.astype(str), "kind": "prism", "baf_sqft_per_ac": BAF})
    many = np.bincount(visits["point"], minlength=len(stands))
    rows = visits[visits["near"]] if quarter else visits
    tally = trees.iloc[rows["tree"]].assign(plot_id=names[rows["point"]].to_numpy(), species="oak")
    plots["live_in"] = pd.array(many, dtype="Int64")
    out = expand(plots, tally.drop(columns=["x", "y"]).reset_index(drop=True))
    return means(plot_sums(plots, out, ["cords"]))


def trial(kind: str, n: int, places: int, seed: int = SEED) -> dict[str, tuple[float, float]]:
    """Share of ranges that hold and median half-width [% of the truth], a quarter measured and all."""
    draw = np.random.default_rng([seed, WOODS.index(kind), n])
    each = -(-places // STANDS)
    found: dict[str, list[tuple[float, float]]] = {"quarter": [], "all": []}
    for _ in range(STANDS):
        trees = stand(draw, kind)
        truth = trees["cords"].sum() / (SIDE_FT**2 / 43560.0)
        visits = counted(trees, draw.random((each * n, 2)) * SIDE_FT)
        cruises = np.repeat(np.arange(each), n)
        for name in found:
            rows = told(visits, trees, name == "quarter", cruises)
            t = np.array([t_quantile(LEVEL, df) for df in rows["df"]])
            side = t * np.sqrt(np.log1p((rows["se"] / rows["mean"]) ** 2))
            holds = np.abs(np.log(rows["mean"]) - log(truth)) <= side
            width = rows["mean"] * np.sinh(side) / truth
            found[name] += list(zip(holds.astype(float), width, strict=True))
    told_of = {name: np.array(of).T for name, of in found.items()}
    return {name: (100.0 * float(held.mean()), 100.0 * float(np.median(w))) for name, (held, w) in told_of.items()}


def main() -> None:
    """Print the table."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--places", type=int, default=2000, help="cruises of each kind and number of points")
    ask.add_argument("--points", type=int, nargs="+", default=[5, 10, 20])
    ask.add_argument("--woods", nargs="+", choices=WOODS, default=WOODS)
    asked = ask.parse_args()
    print("woods     points  a quarter measured: holds, width   all measured: holds, width")
    for kind in asked.woods:
        for n in asked.points:
            of = trial(kind, n, asked.places)
            (a, b), (c, d) = of["quarter"], of["all"]
            print(f"{kind:<9} {n:>6}  {a:>26.1f} {b:>6.1f} {c:>23.1f} {d:>6.1f}")


if __name__ == "__main__":
    main()

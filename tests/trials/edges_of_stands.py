"""Do plots that fall anywhere in a stand, and count no tree beyond its edge, lose what the formula says?

    python tests/trials/edges_of_stands.py

Made-up stands, squares and strips of 2.5 to 40 acres, trees of 6 to 24 inches at random spots, factor 10, points
anywhere. Of each: what is lost, what the formula says, and what the cruise reads once it is told that nothing was done,
or not told.
"""

from dataclasses import dataclass

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely

from woodlot.land.parcels import local_crs
from woodlot.region import shipped
from woodlot.stand.edges import reach_ft, share_lost
from woodlot.stand.plot_times import plot_times
from woodlot.stand.plots import expand, limiting_distance_ft_prism, means, plot_sums
from woodlot.units import SQFT_PER_AC

FACTOR, SEED = 10.0, 17
TREES_PER_AC, MEAN_IN, LEAST_IN, MOST_IN = 130.0, 6.0, 6.0, 24.0
#: acres, length over width
SHAPES = ((2.5, 1.0), (5.0, 1.0), (10.0, 1.0), (20.0, 1.0), (40.0, 1.0), (10.0, 4.0), (20.0, 4.0))
REGION = shipped("base")
NO_FEATURES = gpd.GeoDataFrame({"kind": []}, geometry=[], crs=4326)


@dataclass(frozen=True)
class Lost:
    """Per cent of basal area: lost by the count, by the formula, and what is missing once edges are made good."""

    counted: float
    formula: float
    told: float
    not_told: float


def stand(acres: float, long: float) -> tuple[gpd.GeoDataFrame, float, float]:
    """A stand "1" of a rectangle in degrees, and its sides in feet."""
    wide_ft = np.sqrt(acres * SQFT_PER_AC / long)
    box = gpd.GeoSeries([shapely.box(0, 0, long * wide_ft, wide_ft)], crs=local_crs((-90.0, 46.0))).to_crs(4326)
    frame = gpd.GeoDataFrame({"stand_id": ["1"], "cover": ["northern hardwoods"]}, geometry=box.tolist(), crs=4326)
    return frame, float(long * wide_ft), float(wide_ft)


def cruised(
    long_ft: float, wide_ft: float, points: int, rng: np.random.Generator
) -> tuple[pd.DataFrame, pd.DataFrame, float]:
    """Plots anywhere in a stand amid woods, the trees they count within it, and the basal area an acre that the same
    plots read where trees beyond the edge are counted too; trees stand at random.
    """
    reach = float(limiting_distance_ft_prism(MOST_IN, FACTOR))
    sides = np.array([long_ft, wide_ft])
    many = rng.poisson(TREES_PER_AC * float(np.prod(sides + 2.0 * reach)) / SQFT_PER_AC)
    dbh = np.minimum(LEAST_IN + rng.exponential(MEAN_IN, many), MOST_IN)
    trees = rng.uniform(-reach, sides + reach, (many, 2))
    spots = rng.uniform(0.0, sides, (points, 2))
    far = np.hypot(*(trees[None] - spots[:, None]).transpose(2, 0, 1))
    plot, tree = np.nonzero(far <= limiting_distance_ft_prism(dbh, FACTOR))
    names = np.arange(points).astype(str)
    visited = pd.DataFrame({"plot_id": names, "stand_id": "1", "kind": "prism", "baf_sqft_per_ac": FACTOR})
    tallied = pd.DataFrame({"plot_id": names[plot], "species": "sugar maple", "dbh_in": dbh[tree]})
    within = ((trees >= 0.0) & (trees <= sides)).all(axis=1)[tree]
    return visited, tallied[within], FACTOR * len(tallied) / points


def lost(acres: float, long: float, woods: int, points: int, seed: int = SEED) -> Lost:
    """The mean of several woods of one shape."""
    rng = np.random.default_rng([seed, round(10 * acres), round(long)])
    ground, long_ft, wide_ft = stand(acres, long)
    rows = []
    for _ in range(woods):
        visited, tallied, true = cruised(long_ft, wide_ft, points, rng)
        reach = float(reach_ft(visited, tallied)["1"])
        by_formula = float(share_lost(reach, 2.0 * (long_ft + wide_ft), long_ft * wide_ft))
        words = {"prisms": [], "region": REGION}
        read = [
            basal(visited, tallied, times)
            for times in (
                None,
                plot_times(ground, NO_FEATURES, visited, tallied, edges="nothing done", **words).times,
                plot_times(ground, NO_FEATURES, visited, tallied, edges=None, **words).times,
            )
        ]
        rows.append([1.0 - read[0] / true, by_formula, 1.0 - read[1] / true, 1.0 - read[2] / true])
    return Lost(*(100.0 * np.mean(rows, axis=0)).tolist())


def basal(visited: pd.DataFrame, tallied: pd.DataFrame, times: pd.Series | None) -> float:
    """Mean basal area an acre of the plots."""
    sums = plot_sums(visited, expand(visited, tallied, times), ["basal_sqft_per_ac"])
    return float(means(sums)["mean"].iloc[0])


def main() -> None:
    """Print a table of all shapes."""
    print("acres  long/wide  lost %  formula %  nothing done %  not told %")
    for acres, long in SHAPES:
        one = lost(acres, long, woods=20, points=200)
        print(f"{acres:5g}  {long:9g}  {one.counted:6.1f}  {one.formula:9.1f}  {one.told:14.1f}  {one.not_told:10.1f}")


if __name__ == "__main__":
    main()

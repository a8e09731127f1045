"""Points on which trees are only counted: how many trees to measure beside them.

What a family wants: the narrowest range for a day's walk. A count takes a minute, a tree measured well takes three, and
trees of one stand differ less in wood per basal area than points differ in basal area: so count on every point and
measure a few trees. The trees to measure are those that a larger factor takes in, so that nobody picks them by liking;
neither factor is ever changed from point to point of a stand, since a wide count on full points and a narrow one on
thin ones does not average out.

Trees in      with_counted, without_row, rows_in
How many      trees_a_point, ToMeasure, to_measure
In steps      in_steps
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.region import Region
from woodlot.tree.inputs import column, numbers, positive

__all__ = ["ToMeasure", "day_of", "in_steps", "rows_in", "to_measure", "trees_a_point", "with_counted", "without_row"]

#: Points round which a number of trees is told: "2 trees on every third point".
MOST_POINTS = 4


def rows_in(trees: pd.DataFrame, alive: bool) -> pd.Series:
    """Trees in that have a row, by plot_id: one counted twice at an edge is two."""
    rows = trees[(column(trees, "alive", 1.0) > 0) == alive]
    many = column(rows, "count", 1.0) * np.where(column(rows, "count_twice", 0.0) > 0, 2.0, 1.0)
    return pd.Series(many, index=rows["plot_id"].astype(str).to_numpy()).groupby(level=0).sum()


def without_row(plots: pd.DataFrame, trees: pd.DataFrame, name: str) -> np.ndarray:
    """Trees in (``name``: live_in or dead_in) on each plot that have no row; missing where nobody wrote them."""
    rows = plots["plot_id"].astype(str).map(rows_in(trees, name == "live_in")).fillna(0.0)
    return column(plots, name) - rows.to_numpy()


def with_counted(plots: pd.DataFrame, trees: pd.DataFrame) -> pd.DataFrame:
    """Trees, and a row of no kind and size for those of each plot that were in (live_in, dead_in) and have none."""
    parts = []
    for name in ("live_in", "dead_in"):
        rest = without_row(plots, trees, name)
        more = pd.DataFrame({"plot_id": plots["plot_id"], "species": None, "dbh_in": np.nan, "count": rest})
        parts.append(more[rest > 0].assign(alive=name == "live_in", count_twice=False))
    parts = [one for one in parts if len(one)]
    if not parts:
        return trees
    names = list(dict.fromkeys([*trees.columns, *parts[0].columns]))
    both = pd.concat([trees, *parts] if len(trees) else parts, ignore_index=True).reindex(columns=names)
    return both.astype(dict(trees.select_dtypes(exclude=["number", "bool", "datetime", "category"]).dtypes))


def trees_a_point(cv_ratio: Any, cv_basal: Any, hours_a_point: Any, hours_a_tree: Any) -> Any:
    """Trees to measure for each point counted, that make the range of a day narrowest.

    Parameters
    ----------
    cv_ratio
        Spread of wood per basal area between trees, standard deviation over mean.
    cv_basal
        The same of basal area between points.
    hours_a_point, hours_a_tree
        Time for one more point with the walk to it, and for one more tree [h].

    Returns
    -------
    Trees a point, in the form of the arguments.

    Notes
    -----
    (CV of ratio / CV of basal area) x sqrt(hours a point / hours a tree): what Bruce's rule gives when the day is full.

    Examples
    --------
    >>> round(trees_a_point(0.21, 0.45, 0.1, 0.05), 2)
    0.66
    """
    (ratio, basal, point, tree), back = numbers(
        cv_ratio=cv_ratio, cv_basal=cv_basal, hours_a_point=hours_a_point, hours_a_tree=hours_a_tree
    )
    positive(cv_basal=basal, hours_a_point=point, hours_a_tree=tree)
    return back(ratio / basal * np.sqrt(point / tree))


def in_steps(trees: float) -> tuple[int, int]:
    """Trees a point as whole trees on every so many points: .66 is 2 trees on every 3.

    >>> in_steps(0.66), in_steps(1.04), in_steps(2.3)
    ((2, 3), (1, 1), (2, 1))
    """
    every = np.arange(1, MOST_POINTS + 1)
    whole = np.maximum(np.rint(trees * every), 1.0)
    off = np.abs(np.log(whole / every / trees))
    at = int(np.argmax(off <= max(float(off.min()), 0.15)))
    return int(whole[at]), int(every[at])


@dataclass(frozen=True)
class ToMeasure:
    """How a day with the prism is best spent.

    trees: to measure, on every so many points; points, measured_points: that a day of ``hours`` holds so, and with all
    trees measured (None where no plot says how many there are); error_pct, measured_pct: standard error of the two;
    factor_times: a factor so many times as large takes in the trees to measure; own: whether the spreads are the
    place's own.
    """

    trees: int
    every: int
    points: float
    error_pct: float
    measured_points: float | None
    measured_pct: float | None
    hours: float
    factor_times: float
    own: bool


def day_of(
    trees: float, cv_ratio: float, cv_basal: float, hours_a_point: float, hours_a_tree: float, hours: float
) -> tuple[float, float]:
    """Points that a day holds with so many trees measured on each, and the standard error of its mean [%].

    >>> points, error_pct = day_of(9, 0.21, 0.45, 0.1, 0.05, 8)
    >>> round(points, 1), round(error_pct, 1)
    (14.5, 11.9)
    """
    points = hours / (hours_a_point + trees * hours_a_tree)
    return points, 100.0 * float(np.sqrt((cv_basal**2 + cv_ratio**2 / trees) / points))


def to_measure(trees: pd.DataFrame, basal: pd.DataFrame, *, region: Region) -> ToMeasure:
    """How many trees to measure beside the count, by the place's own spreads where it has enough of them.

    Parameters
    ----------
    trees
        Expanded trees with cords a tree, as ``wood.standing`` holds them.
    basal
        Rows of ``plots.means`` for basal area, one a stand.
    region
        Whose figures are used.
    """
    times, tree_h, point_h = (
        region.figure("defaults_sampling", name) / scale
        for name, scale in (("measure_factor_times", 1.0), ("tree_minutes", 60.0), ("count_minutes", 60.0))
    )
    enough = int(region.figure("defaults_sampling", "own_spread_df"))
    ratio = _ratio_cv(trees, enough)
    rows = basal[(basal["n"] > 1) & (basal["mean"] > 0)]
    free = float((rows["n"] - 1).sum())
    cv = (rows["cv_pct"] / 100.0) ** 2 * (rows["n"] - 1)
    between = float(np.sqrt(cv.sum() / free)) if free >= enough else np.nan
    own = np.isfinite(ratio) and np.isfinite(between) and between > 0
    if not own:
        ratio = region.figure("defaults_sampling", "tree_ratio_cv")
        between = region.figure("defaults_stand", "plot_cv_pct") / 100.0
    hours = region.figure("defaults_stand", "weekend_hours")
    many, every = in_steps(trees_a_point(ratio, between, point_h, tree_h))
    plots, alive = int(basal["plots"].sum()), float(trees.loc[trees["alive"], "count"].sum())
    few = day_of(many / every, ratio, between, point_h, tree_h, hours)
    all_of: tuple[float | None, float | None] = (None, None)
    if plots:
        all_of = day_of(max(alive / plots, 1.0), ratio, between, point_h, tree_h, hours)
    return ToMeasure(many, every, *few, *all_of, hours, times, own)


def _ratio_cv(trees: pd.DataFrame, enough: int) -> float:
    """Spread of cords per basal area between live measured trees, pooled within stands; missing where there are few."""
    live = trees[trees["alive"] & ~trees["counted_only"]]
    one = pd.DataFrame({"stand_id": live["stand_id"], "basal": live["basal_sqft_per_ac"], "count": live["count"]})
    one["wood"] = live["cords"] * live["trees_per_ac"]
    sums = one.groupby("stand_id")[["basal", "wood", "count"]].sum()
    ratio = one["stand_id"].map(sums["wood"] / sums["basal"])
    free = float((sums["count"] - 1.0).sum())
    off = one["wood"] / one["basal"] / ratio.where(ratio > 0) - 1.0
    return float(np.sqrt((off**2 * one["count"]).sum() / free)) if free >= enough else np.nan

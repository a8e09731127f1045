"""Hand-ins drawn from a true wood, and what the product makes of them.

cruise      prism plots of the true trees
all_trees   a hand-in in which every tree stands
told        the woods and the standing cords of a hand-in
part        some stands of these woods
"""

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from woodlot.plan import woods_today
from woodlot.region import Region
from woodlot.stand import plots
from woodlot.tree.volume import volumes
from woodlot.units import SQFT_PER_AC, basal_sqft
from woodlot.wood import boards, tally

DAY, VISIT = date(2026, 11, 25), pd.Timestamp("2026-09-01")
BAF, CLUMPS_SD, LEVEL = 10.0, 0.3, 0.90
CORES = ("dbh_in", "years", "growth_in")


def told(stands: pd.DataFrame, visited: pd.DataFrame, tallied: pd.DataFrame, region: Region) -> tuple[Any, dict]:
    """The woods and the standing cords that the product makes of a hand-in; each size of tree is scaled once."""
    by = choices(region)
    kinds = tallied[["species", "dbh_in"]].drop_duplicates(ignore_index=True)
    kinds["alive"] = True
    scaled = tally.products(volumes(kinds, by["division"], region=region), by["solid_cuft_per_cord"])
    scaled["bdft"] = boards.bdft(scaled, by["log_rule"], region=region)
    trees = plots.expand(visited, tallied).merge(scaled.drop(columns="alive"), on=["species", "dbh_in"], how="left")
    cv = tally.volume_table_cv(trees, region=region)
    live = tally.per_ac(visited, trees, ("cords",))
    shared = tally.with_kinds({tally.VOLUME_TABLE: cv}, trees, region=region)
    cords = tally.totals_by(("stand_id",), live, stands, "cords", shared, LEVEL, region=region)["stand_id"]
    summary = visited.groupby("stand_id", as_index=False)["date"].max().rename(columns={"date": "measured_on"})
    table, cores = plots.stand_table(visited, trees), pd.DataFrame(columns=["stand_id", "species", *CORES], dtype=float)
    adds = ["trees_per_ac", "basal_sqft_per_ac"]
    sums = trees.groupby(["stand_id", "species", "dbh_in"], as_index=False)[adds].sum()
    trees = sums.merge(scaled, on=["species", "dbh_in"]).assign(cull_pct=np.nan)
    return woods_today.bring_forward(
        stands, summary, table, trees, cords, cores, pd.DataFrame(), DAY, **by, region=region
    ), cords


def choices(region: Region) -> dict[str, Any]:
    """How a region tells wood, where the family chose nothing."""
    solid = float(region.choice("solid_cuft_per_cord"))
    division, rule = (str(region.choice(name)) for name in ("division", "log_rule"))
    return {"division": division, "solid_cuft_per_cord": solid, "log_rule": rule}


def all_trees(stands: pd.DataFrame, trees: np.ndarray, species: list[str]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """A hand-in in which every tree of an acre stands: one plot a stand, counts with fractions."""
    ids = stands["stand_id"].astype(str).to_numpy(dtype=object)
    at = np.nonzero(trees > 0)
    visited = pd.DataFrame({"plot_id": ids, "stand_id": ids, "kind": "fixed", "date": VISIT})
    visited["radius_ft"], visited["baf_sqft_per_ac"] = np.sqrt(SQFT_PER_AC / np.pi), np.nan
    return visited, _tallied(ids[at[2]], at[0], at[1], trees[at], species, len(trees[0]))


def cruise(
    stands: pd.DataFrame, trees: np.ndarray, species: list[str], number: int, rng: np.random.Generator
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Prism plots of the true trees (species, class, stand), ``number`` a stand."""
    b = basal_sqft(2.0 * np.arange(trees.shape[1]) + 6.0)
    expected = trees * b[None, :, None] / BAF
    of = expected.reshape(-1, expected.shape[2])
    cells = np.flatnonzero(of.max(axis=1, initial=0.0) > 1e-5)
    thick = rng.gamma(1.0 / CLUMPS_SD**2, CLUMPS_SD**2, (number, of.shape[1]))
    count = rng.poisson(of[cells][:, None, :] * thick)
    ids = stands["stand_id"].astype(str).to_numpy(dtype=object)
    names = np.array([[f"{one}.p{p}" for one in ids] for p in range(number)], dtype=object)
    visited = pd.DataFrame({"plot_id": names.ravel(), "stand_id": np.tile(ids, number), "kind": "prism", "date": VISIT})
    visited["baf_sqft_per_ac"] = BAF
    c, p, k = np.nonzero(count)
    s, size = np.divmod(cells[c], trees.shape[1])
    return visited, _tallied(names[p, k], s, size, count[c, p, k], species, trees.shape[1])


def _tallied(plot_ids: Any, s: Any, size: Any, count: Any, species: list[str], classes: int) -> pd.DataFrame:
    named = np.array(species, dtype=object)[s]
    out = pd.DataFrame({"plot_id": plot_ids, "species": named, "dbh_in": 6.0 + 2.0 * np.asarray(size, dtype=float)})
    return out.assign(count=count, alive=True)


def part(all_of: Any, at: np.ndarray) -> Any:
    """Stands of the product's woods, by position."""
    return replace(
        all_of,
        stands=all_of.stands.iloc[at].reset_index(drop=True),
        trees=all_of.trees[:, :, at],
        factor={case: one[:, at] for case, one in all_of.factor.items()},
        even={case: one[at] for case, one in all_of.even.items()},
        ratio=all_of.ratio[at],
        saplings=all_of.saplings[at],
        deaths=all_of.deaths[:, at],
        judged=all_of.judged.of(at),
    )

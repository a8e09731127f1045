"""What stands: plots and tallied trees to cords, board feet, basal area and trees, each with its range.

Standing, standing   all of it for one place
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import Estimate
from woodlot.region import Region
from woodlot.stand import cruise, plots
from woodlot.tree.volume import volumes
from woodlot.wood import boards, tally

__all__ = ["Standing", "standing"]

#: What is summed over plots, and the unit in which it is said.
WHAT = {
    "cords": "cords",
    "sawlog_cords": "cords",
    "firewood_cords": "cords",
    "gross_cords": "cords",
    "bdft": "board feet",
}


@dataclass(frozen=True)
class Standing:
    """What stands: every tree, every stand, and the totals.

    trees: tallied trees with what each stands for and holds; stands: one row a stand; per_ac and dead_per_ac: means per
    acre by stand; by_species: the same by species; table: trees by species and 2-inch class; estimates: what -> key ->
    Estimate for stand_id, parcel_id, species and all; edges: prism edge strips; ground: acres with and without plots,
    and in no parcel.
    """

    trees: pd.DataFrame
    stands: pd.DataFrame
    per_ac: pd.DataFrame
    dead_per_ac: pd.DataFrame
    by_species: pd.DataFrame
    table: pd.DataFrame
    each_ac: dict[str, dict[str, Estimate]]
    totals: dict[str, dict[str, Estimate]]
    edges: pd.DataFrame
    ground: dict[str, float]
    volume_cv: pd.Series


def standing(
    stands: pd.DataFrame,
    visited: pd.DataFrame,
    tallied: pd.DataFrame,
    *,
    division: str,
    solid_cuft_per_cord: float,
    log_rule: str,
    form_class: float | None,
    level: float,
    region: Region,
) -> Standing:
    """All that stands on ``stands`` (``stand.layout.lay_out``) by plots and tallied trees as they were handed in."""
    trees = volumes(plots.expand(visited, tallied), division, region=region)
    trees = tally.products(trees, solid_cuft_per_cord)
    trees["bdft"] = boards.bdft(trees, log_rule, form_class, region=region)
    cv = tally.learned_cv(tally.volume_table_cv(trees, region=region), region=region)
    live = tally.per_ac(visited, trees, tuple(WHAT))
    basal = plots.means(plots.plot_sums(visited, trees))
    by_species = tally.per_ac(visited, trees, ("cords", "bdft"), split="species")
    shared: dict[str, Any] = {what: {tally.VOLUME_TABLE: cv} for what in WHAT}
    shared["bdft"] = {tally.VOLUME_TABLE: region.figure("defaults_tally", "board_foot_cv")}
    shared = {what: tally.with_kinds(errors, trees, region=region) for what, errors in shared.items()}
    kinds = shared["cords"].get(tally.KINDS, 0.0)
    each_ac = {
        what: cruise.estimates(_of(live, what), f"{unit} an acre", shared=shared[what], level=level, region=region)
        for what, unit in WHAT.items()
    }
    each_ac["basal_sqft"] = cruise.estimates(
        _of(basal, "basal_sqft_per_ac"), "sq ft an acre", level=level, region=region
    )
    each_ac["trees"] = cruise.estimates(_of(basal, "trees_per_ac"), "trees an acre", level=level, region=region)
    totals = {
        f"{what} by {one}": those
        for what, unit in WHAT.items()
        for by, table in ((tally.GROUNDS, live), (("species",), by_species))
        if table is live or what in ("cords", "bdft")
        for one, those in tally.totals_by(
            by, _of(table, what), stands, unit, shared[what], level, region=region
        ).items()
    }
    return Standing(
        trees=trees,
        stands=cruise.summary(visited, trees, stands["stand_id"], region=region),
        per_ac=pd.concat([live, basal], ignore_index=True),
        dead_per_ac=tally.per_ac(visited, trees, ("cords",), alive=False),
        by_species=by_species,
        table=plots.stand_table(visited, trees),
        each_ac=each_ac,
        totals=totals,
        edges=cruise.edge_strips(stands, visited, tallied, region=region),
        ground=tally.ground(stands, _of(live, "cords"))
        | {"acres_no_parcel": float(stands.loc[stands["parcel_id"].isna(), "acres"].sum())},
        volume_cv=np.hypot(cv, kinds),
    )


def _of(table: pd.DataFrame, what: str) -> pd.DataFrame:
    return table[table["what"] == what]

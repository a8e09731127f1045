"""What stands: plots and tallied trees to cords, board feet, basal area and trees, each with its range.

Standing, standing   all of it for one place
cords_in_all         the cords of the place alone
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import Estimate
from woodlot.region import Region
from woodlot.stand import cruise, plots, raster_at_plots, spread, unseen
from woodlot.stand.plot_times import PlotTimes
from woodlot.stand.raster_at_plots import Above, Helped
from woodlot.tree.volume import volumes
from woodlot.wood import boards, tally
from woodlot.wood.of_species import BY_SPECIES, OfSpecies, few_hold_it, of_species

__all__ = ["Standing", "cords_in_all", "standing"]

#: What is summed over plots, and the unit in which it is said.
WHAT = {
    "cords": "cords",
    "sawlog_cords": "cords",
    "firewood_cords": "cords",
    "gross_cords": "cords",
    "bdft": "board feet",
}
#: The same of what is told an acre only: name, what, unit.
BASAL = (("basal_sqft", "basal_sqft_per_ac", "sq ft an acre"), ("trees", "trees_per_ac", "trees an acre"))
#: Share of a full stand.
FULLNESS = "fullness"


@dataclass(frozen=True)
class Standing:
    """What stands: every tree, every stand, and the totals.

    trees: tallied trees with what each stands for and holds; stands: one row a stand; per_ac and dead_per_ac: means per
    acre by stand; of_species: what each kind of tree holds; table: trees by species and 2-inch class; totals: what ->
    key -> Estimate for stand_id, parcel_id, species and all; plot_times: what the plots were multiplied by; ground:
    acres with and without plots, and in no parcel; like: name of its like by stand_id (``stand.spread.alike``); helped:
    stands that a raster helps, whose trees, means and totals are moved.
    """

    trees: pd.DataFrame
    stands: pd.DataFrame
    per_ac: pd.DataFrame
    dead_per_ac: pd.DataFrame
    of_species: OfSpecies
    table: pd.DataFrame
    each_ac: dict[str, dict[str, Estimate]]
    totals: dict[str, dict[str, Estimate]]
    plot_times: PlotTimes
    ground: dict[str, float]
    volume_cv: pd.Series
    like: pd.Series
    helped: Helped


@dataclass(frozen=True)
class _Counted:
    """Plots, trees, stands and means from which totals are made; tree: what one tree makes of the mean of a stand."""

    visited: pd.DataFrame
    trees: pd.DataFrame
    stands: pd.DataFrame
    per_ac: pd.DataFrame
    tree: pd.DataFrame
    shared: dict[str, Any]
    each_ac: dict[str, dict[str, Estimate]]
    volume_cv: pd.Series
    plot_times: PlotTimes
    helped: Helped


def _counted(
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
    plot_times: PlotTimes | None = None,
    above: Above | None = None,
    whats: tuple[str, ...] = (*WHAT, FULLNESS),
) -> _Counted:
    """The first part of ``standing``, of some of what is told."""
    counted = plot_times or PlotTimes()
    cover = stands.set_index(stands["stand_id"].astype(str))["cover"]
    visited = visited.assign(cover=visited["stand_id"].astype(str).map(cover))
    trees = volumes(plots.expand(visited, tallied, counted.times), division, region=region)
    trees = tally.products(trees, solid_cuft_per_cord)
    trees["bdft"] = boards.bdft(trees, log_rule, form_class, region=region)
    like = spread.alike(stands, visited)
    helped = raster_at_plots.helped(above, plots.plot_sums(visited, trees, ("cords",)), like, cover, region=region)
    trees = helped.on_trees(trees)
    cv = tally.learned_cv(tally.volume_table_cv(trees, region=region), region=region)
    trees["fullness"] = cruise.fullness(trees, region=region)
    means = [tally.per_ac(visited, trees, whats), plots.means(plots.plot_sums(visited, trees))]
    per_ac = helped.on_means(pd.concat(means, ignore_index=True))
    most = unseen.limits(per_ac, visited, cover, region=region)
    per_ac = unseen.with_limits(per_ac, most)
    stands = stands.assign(like=stands["stand_id"].astype(str).map(like))
    shared: dict[str, Any] = {what: {tally.VOLUME_TABLE: cv} for what in WHAT}
    shared["bdft"] = {tally.VOLUME_TABLE: region.figure("defaults_tally", "board_foot_cv")}
    shared = {
        what: {**tally.with_kinds(errors, trees, region=region), **counted.shared} for what, errors in shared.items()
    }
    kinds = shared["cords"].get(tally.KINDS, 0.0)
    each_ac = {
        name: cruise.estimates(
            _of(per_ac, what), unit, shared=shared.get(what, counted.shared), level=level, region=region, cover=like
        )
        for name, what, unit in (
            *((what, what, f"{WHAT[what]} an acre" if what in WHAT else what) for what in whats),
            *BASAL,
        )
    }
    tree = most / region.figure("defaults_sampling", "unseen_trees")
    return _Counted(visited, trees, stands, per_ac, tree, shared, each_ac, np.hypot(cv, kinds), counted, helped)


def cords_in_all(
    stands: pd.DataFrame, visited: pd.DataFrame, tallied: pd.DataFrame, *, level: float, region: Region, **by: Any
) -> tuple[Estimate, float]:
    """The cords of the whole place as ``standing`` tells them, and the acres with plots."""
    of = _counted(stands, visited, tallied, level=level, region=region, whats=("cords",), **by)
    whole = tally.sums(("all",), of.each_ac["cords"], of.stands, "cords", level)["all"]["all"]
    return whole, tally.ground(of.stands, _of(of.per_ac, "cords"))["acres_with_plots"]


def standing(
    stands: pd.DataFrame, visited: pd.DataFrame, tallied: pd.DataFrame, *, level: float, region: Region, **by: Any
) -> Standing:
    """All that stands on ``stands`` (``stand.layout.lay_out``) by plots and tallied trees as they were handed in.

    by: division, solid_cuft_per_cord, log_rule, form_class; plot_times: what the plots are multiplied by, and the
    errors that they share for it; above: what was seen above them.
    """
    of = _counted(stands, visited, tallied, level=level, region=region, **by)
    visited, trees, stands, per_ac, tree, shared = of.visited, of.trees, of.stands, of.per_ac, of.tree, of.shared
    totals = {
        f"{what} by {one}": those
        for what, unit in WHAT.items()
        for one, those in tally.sums(tally.GROUNDS, of.each_ac[what], stands, unit, level).items()
    }
    kinds_of = of_species(visited, trees, stands, tree, shared, region=region)
    totals |= few_hold_it(totals, visited, trees, stands, tree, shared, level, region=region)
    for what in BY_SPECIES:
        totals[f"{what} by species"] = kinds_of.totals(what, "all", level, region=region).get("all", {})
    return Standing(
        trees=trees,
        stands=cruise.summary(visited, trees, stands["stand_id"], region=region),
        per_ac=per_ac,
        dead_per_ac=tally.per_ac(visited, trees, ("cords",), alive=False),
        of_species=kinds_of,
        table=plots.stand_table(visited, trees),
        each_ac=of.each_ac,
        totals=totals,
        like=stands.set_index(stands["stand_id"].astype(str))["like"],
        plot_times=of.plot_times,
        ground=tally.ground(stands, _of(per_ac, "cords"))
        | {"acres_no_parcel": float(stands.loc[stands["parcel_id"].isna(), "acres"].sum())},
        volume_cv=of.volume_cv,
        helped=of.helped,
    )


def _of(table: pd.DataFrame, what: str) -> pd.DataFrame:
    return table[table["what"] == what]

"""Each chapter's answer for one place. No arithmetic here: the chapters do it, on tables."""

from dataclasses import dataclass
from typing import Any

import geopandas as gpd
import pandas as pd

from woodlot.deer.answer import Deer
from woodlot.estimate import Estimate
from woodlot.land import parcels as land
from woodlot.place import Place
from woodlot.plan import hunt
from woodlot.plan.feeding import planned
from woodlot.plan.years import winter_began
from woodlot.stand import cruise, layout, overhead, plots
from woodlot.stand.overhead import Lent, Seen
from woodlot.story.choices import choice
from woodlot.story.cutting import Cutting, cutting
from woodlot.story.ground import looked_at
from woodlot.tree.inputs import default
from woodlot.tree.volume import volumes
from woodlot.wood import boards, tally

__all__ = ["Measured", "Plan", "Standing", "herd", "herd_and_cuts", "measured", "plan", "standing"]

#: What is summed over plots, and the unit in which it is said.
WHAT = {
    "cords": "cords",
    "sawlog_cords": "cords",
    "firewood_cords": "cords",
    "gross_cords": "cords",
    "bdft": "board feet",
}
#: Years planned and years in a period: the plan itself, and what the woods look like if the family goes on so.
NEAR, FAR = (10, 1), (50, 5)


@dataclass(frozen=True)
class Measured:
    """The land: parcels and stands with acres, how parcels meet, miles between them, gaps and overlaps."""

    parcels: gpd.GeoDataFrame
    stands: gpd.GeoDataFrame
    contacts: pd.DataFrame
    distances: pd.DataFrame
    problems: pd.DataFrame


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


@dataclass(frozen=True)
class Plan:
    """Everything about one place for one day. seen: by rasters and water; lent: what stands without plots
    borrow; cutting: the coming ten years; later: fifty, in steps of five.
    """

    place: Place
    measured: Measured
    standing: Standing
    seen: Seen
    lent: Lent
    cutting: Cutting
    later: Cutting
    herd: Deer


def measured(place: Place) -> Measured:
    """Acres, contacts, distances, and the faults of the lines."""
    parcels = land.measure(place.parcels, place.home)
    stands = layout.lay_out(place.stands, place.parcels, place.features, place.region)
    return Measured(
        parcels,
        stands,
        land.contacts(place.parcels),
        land.distances(place.parcels),
        layout.problems(stands, place.parcels, place.features),
    )


def standing(place: Place, land_told: Measured) -> Standing:
    """Plots and trees to cords, board feet, basal area and trees, each with its range."""
    solid, level = float(choice(place, "solid_cuft_per_cord")), float(choice(place, "level"))
    trees = volumes(plots.expand(place.plots, place.trees), str(choice(place, "division")), place.region)
    trees = tally.products(trees, solid)
    trees["bdft"] = boards.bdft(trees, str(choice(place, "log_rule")), place.choices.get("form_class"))
    stands = land_told.stands
    cv = tally.volume_table_cv(trees)
    live = tally.per_ac(place.plots, trees, tuple(WHAT))
    basal = plots.means(plots.plot_sums(place.plots, trees))
    by_species = tally.per_ac(place.plots, trees, ("cords", "bdft"), split="species")
    shared: dict[str, dict[str, Any]] = {what: {tally.VOLUME_TABLE: cv} for what in WHAT}
    shared["bdft"] = {tally.VOLUME_TABLE: default("board_foot_cv", "defaults_tally")}
    each_ac = {
        what: cruise.estimates(_of(live, what), f"{unit} an acre", shared=shared[what], level=level)
        for what, unit in WHAT.items()
    }
    each_ac["basal_sqft"] = cruise.estimates(_of(basal, "basal_sqft_per_ac"), "sq ft an acre", level=level)
    each_ac["trees"] = cruise.estimates(_of(basal, "trees_per_ac"), "trees an acre", level=level)
    totals = {
        f"{what} by {by}": tally.totals(_of(table, what), stands, unit, by, shared[what], level)
        for what, unit in WHAT.items()
        for by, table in (("stand_id", live), ("parcel_id", live), ("all", live), ("species", by_species))
        if by != "species" or what in ("cords", "bdft")
    }
    return Standing(
        trees=trees,
        stands=cruise.summary(place.plots, trees, stands["stand_id"]),
        per_ac=pd.concat([live, basal], ignore_index=True),
        dead_per_ac=tally.per_ac(place.plots, trees, ("cords",), alive=False),
        by_species=by_species,
        table=plots.stand_table(place.plots, trees),
        each_ac=each_ac,
        totals=totals,
        edges=cruise.edge_strips(stands, place.plots, place.trees),
        ground=tally.ground(stands, _of(live, "cords"))
        | {"acres_no_parcel": float(stands.loc[stands["parcel_id"].isna(), "acres"].sum())},
        volume_cv=cv,
    )


def _of(table: pd.DataFrame, what: str) -> pd.DataFrame:
    return table[table["what"] == what]


def borrowed(place: Place, land_told: Measured, stood: Standing, over: Seen) -> Lent:
    """What stands that nobody has cruised borrow from the measured ones most like them."""
    measured_ac = {name: stood.each_ac[name] for name in ("cords", "basal_sqft", "trees")}
    off = {"cords": {tally.VOLUME_TABLE: float(stood.volume_cv.mean())}} if len(stood.volume_cv) else None
    return overhead.lend(over, land_told.stands, measured_ac, off, level=float(choice(place, "level")))


def herd(place: Place, near: Cutting | None = None) -> Deer:
    """The deer: how many, what they eat, how many may be taken at most; with ``near``, what its cuts add to eat."""
    return hunt.season(
        place.parcels,
        pellets=place.pellets,
        browse=place.browse,
        counts=place.counts,
        seedlings=place.seedlings,
        bag=place.bag,
        winters=place.winters,
        stands=place.stands,
        ledger=place.ledger,
        land_cover=overhead.land_cover_of(place.rasters),
        cover_codes=place.cover_codes,
        coming=None if near is None else planned(near.schedule.entries, near.growing, winter_began(place.as_of).year),
        options=place.deer,
        limits=place.limits,
        as_of=place.as_of,
        region=place.region,
        level=float(choice(place, "level")),
    )


def herd_and_cuts(place: Place) -> Deer:
    """`herd`, with what the cuts of the coming ten years add to eat; they are worked out first."""
    told = measured(place)
    return herd(place, cutting(place, told, standing(place, told)))


def plan(place: Place, seed: int = 1) -> Plan:
    """All chapters in order; ``seed`` starts the random draws of the cut."""
    told = measured(place)
    stood = standing(place, told)
    over = looked_at(place, told)
    near, far = (cutting(place, told, stood, years, step, seed=seed, over=over) for years, step in (NEAR, FAR))
    return Plan(
        place,
        told,
        stood,
        over,
        borrowed(place, told, stood, over),
        near,
        far,
        herd(place, near),
    )

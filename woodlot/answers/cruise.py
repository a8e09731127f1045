"""What ``woodlot cruise`` shows: what the plots say of each stand, plots still to measure, trees by size.

CruiseAnswer, cruise_answer   the answer, from the chapters
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from woodlot.answers.as_json import LEFT_OUT
from woodlot.answers.first_plots import first_plots_answer
from woodlot.answers.measuring import Measuring, measuring_answer
from woodlot.answers.next_plots import Lacking, last_day, next_plots_answer
from woodlot.answers.noted import stand_lines
from woodlot.answers.plain_cells import number, picked, records
from woodlot.answers.plot_types import FirstPlots
from woodlot.estimate import Number
from woodlot.say import cruise as say
from woodlot.say import words
from woodlot.say.reasons import plain, said
from woodlot.season import Season
from woodlot.stand import next_plots

__all__ = ["CruiseAnswer", "TreesOfClass", "cruise_answer"]


@dataclass(frozen=True)
class AcresBehind:
    """The ground behind the numbers."""

    acres: float
    acres_with_plots: float
    acres_without: float
    acres_no_parcel: float


@dataclass(frozen=True, kw_only=True)
class CruisedStand:
    """What the plots of a stand say; plots_still: to be measured yet, None where no number of plots would do."""

    stand_id: str
    parcel_id: str | None
    cover: str
    acres: float
    plots: int
    empty_plots: int
    measured_on: str | None
    how: str
    basal_sqft_per_ac: Number
    basal_se_sqft_per_ac: float | None
    trees_per_ac: Number
    qmd_in: float | None
    relative_density: float | None
    dead_trees_per_ac: float | None
    plots_still: int | None


@dataclass(frozen=True)
class TreesOfClass:
    """Live trees of one kind and 2-inch class on an acre of a stand; the class is missing where none was measured."""

    stand_id: str
    species: str
    class_in: float | None
    trees_per_ac: float | None
    basal_sqft_per_ac: float | None


@dataclass(frozen=True, kw_only=True)
class CruiseAnswer:
    """What the plots say. rows: all that outlines and plots tell of the stands, column by column."""

    name: str
    as_of: str
    level: float
    within_pct: float
    ground: AcresBehind
    stands: tuple[CruisedStand, ...]
    stand_table: tuple[TreesOfClass, ...]
    rows: tuple[Mapping[str, Any], ...]
    remarks: tuple[str, ...]
    lacking: Lacking
    first_plots: FirstPlots | None = field(default=None, metadata=LEFT_OUT)
    measuring: Measuring | None = field(default=None, metadata=LEFT_OUT)
    last_day: str | None = field(default=None, metadata=LEFT_OUT)


def cruise_answer(season: Season, parcel: str | None, stand: str | None) -> CruiseAnswer:
    """What the plots say of one parcel or stand or all of them, and what the answer the family named lacks."""
    stood = season.standing
    frame = picked(season.measured.stands.drop(columns="geometry"), parcel, stand).merge(stood.stands, on="stand_id")
    basal, trees, still = stood.each_ac["basal_sqft"], stood.each_ac["trees"], _plots_still(season)
    stands = tuple(
        CruisedStand(
            **{name: row[name] for name in ("stand_id", "parcel_id", "cover", "acres", "plots", "empty_plots", "how")},
            measured_on=None if pd.isna(row["measured_on"]) else row["measured_on"].date().isoformat(),
            basal_sqft_per_ac=plain(basal.get(row["stand_id"])),
            basal_se_sqft_per_ac=number(row["basal_se"]),
            trees_per_ac=plain(trees.get(row["stand_id"])),
            qmd_in=number(row["qmd_in"]),
            relative_density=number(row["relative_density"]),
            dead_trees_per_ac=number(row["dead_trees_per_ac"]),
            plots_still=still.get(row["stand_id"]),
        )
        for row in records(frame)
    )
    ids = [one.stand_id for one in stands]
    named = ids if parcel is not None or stand is not None else None
    table = stood.table[stood.table["stand_id"].isin(ids)]
    bare = [(s, plain(e).why) for s, e in basal.items() if s in ids and e.low is None and e.why]
    shown = {
        "basal": [words.bare_number(one.basal_sqft_per_ac) for one in stands],
        "basal_range": [words.bare_range(one.basal_sqft_per_ac) for one in stands],
        "trees": [words.bare_number(one.trees_per_ac) for one in stands],
        "still": [say.plots_still(one.plots_still) for one in stands],
    }
    return CruiseAnswer(
        name=season.place.name,
        as_of=season.day.isoformat(),
        level=season.level,
        within_pct=100.0 * season.next_plots["within"],
        ground=AcresBehind(**stood.ground),
        stands=stands,
        stand_table=tuple(TreesOfClass(**row) for row in records(table)),
        rows=tuple(records(frame.assign(**shown))),
        remarks=(
            *(say.no_range(s, why) for s, why in bare),
            *map(said, stood.plot_times.remarks(ids)),
            *map(said, stood.helped.remarks(named)),
            *_not_met(season, stand),
            *stand_lines(season.place, ids),
        ),
        measuring=measuring_answer(season, ids),
        lacking=next_plots_answer(season, named),
        first_plots=first_plots_answer(season, None if named is None else season.plots_for(named)),
        last_day=last_day(season) if named is None else None,
    )


def _not_met(season: Season, stand: str | None) -> list[str]:
    """What may stand in the one stand that is asked for of a kind that none of its plots met."""
    unseen = season.standing.of_species.unseen("cords", season.level, region=season.place.region)
    return [say.not_met(plain(unseen[stand]).why)] if stand in unseen else []


def _plots_still(season: Season) -> dict[str, int]:
    """Plots still to measure by stand_id for its own range, for the stands where some number would do."""
    place, within = season.place, season.next_plots["within"]
    rows = next_plots.table(season.measured.stands, season.standing.each_ac["cords"], region=place.region)
    wanted = next_plots.of_each(rows, within, season.level)
    more = (wanted - rows["n"])[next_plots.can_come(rows, within, season.level)]
    return {str(one): int(n) for one, n in more.items()}

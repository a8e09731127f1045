"""What to measure beside the count, as answers: how many trees a point, and whose heights.

Measuring, measuring_answer   the answer, from what stands
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from woodlot.answers.plain_cells import records
from woodlot.say import measuring as say
from woodlot.season import Season
from woodlot.stand import counted
from woodlot.wood import heights, tally

__all__ = ["HeightsWanted", "Measuring", "StandHeights", "measuring_answer"]


@dataclass(frozen=True)
class HeightsWanted:
    """Heights of one kind of tree still worth measuring in a stand; of any kind where species is empty."""

    species: str
    has: int
    more: int


@dataclass(frozen=True)
class StandHeights:
    """Heights measured in a stand and its cover, the error of its volume table by them, and what is wanted still."""

    stand_id: str
    here: int
    of_cover: int
    table_cv: float
    wanted: tuple[HeightsWanted, ...]
    words: str
    short: str


@dataclass(frozen=True)
class Measuring:
    """How many trees to measure beside the count (trees on every so many points), and heights by stand.

    words: the first in a sentence; rule: it in a few words; factor_times: a factor so many times as large takes in the
    trees to measure; kinds: those of several species that were tallied, and that sums share out.
    """

    trees: int
    every: int
    factor_times: float
    rule: str
    words: str
    heights: tuple[StandHeights, ...]
    kinds: tuple[str, ...] = ()


def measuring_answer(season: Season, stands: Sequence[str] | None = None) -> Measuring:
    """What to measure in the stands named (all where none is), those without a tree of their own included."""
    stood, region = season.standing, season.place.region
    basal = stood.per_ac[stood.per_ac["what"] == "basal_sqft_per_ac"]
    day = counted.to_measure(stood.trees, basal, region=region)
    known = heights.behind(stood.trees, region=region)
    open_: dict[str, list[dict[str, Any]]] = {}
    for row in records(heights.wanted(stood.trees, region=region)):
        open_.setdefault(row["stand_id"], []).append(row)
    fill = int(region.figure("defaults_sampling", "heights_of_stand"))

    def error(worth: float) -> float:
        return float(tally.learned_cv(heights.table_cv(worth, region=region), region=region))

    out = []
    for one in season.measured.stands["stand_id"].astype(str) if stands is None else stands:
        here, of_cover, worth = known.loc[[one]].to_numpy()[0] if one in known.index else (0.0, 0.0, 0.0)
        kinds = tuple(HeightsWanted(row["species"], row["has"], row["more"]) for row in open_.get(one, ()))
        if one not in known.index:
            kinds = (HeightsWanted("", 0, fill),)
        cv = error(worth)
        words = say.heights(one, int(here), int(of_cover), cv, error(fill), fill, bool(kinds))
        short = say.wanted([(kind.species, kind.more) for kind in kinds])
        out.append(StandHeights(one, int(here), int(of_cover), cv, kinds, words, short))
    rule = say.rule(day.trees, day.every)
    shared = tuple(sorted({kind for some in stood.of_species.kinds.values() for kind in some}))
    return Measuring(day.trees, day.every, day.factor_times, rule, say.day(rule, vars(day)), tuple(out), shared)

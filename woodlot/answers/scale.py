"""What ``woodlot scale`` tells: cords, board feet and kinds of tree of one stand, one parcel or all.

ScaleAnswer    the answer
scale_answer   it, from the chapters
brief          rows with their cords in words, for a table on the screen
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from woodlot import words
from woodlot.answers.as_json import as_json
from woodlot.answers.cut import whole_answer
from woodlot.answers.land import parcels_wood
from woodlot.answers.stand_types import LEFT_OUT, ParcelWood, Species, StandWood, Whole
from woodlot.answers.whole import base_answer
from woodlot.answers.wood import species_answer, stands_wood, whole_wood
from woodlot.estimate import Number
from woodlot.story import days
from woodlot.story.chapters import Plan
from woodlot.story.choices import choice

__all__ = ["ScaleAnswer", "brief", "scale_answer"]


@dataclass(frozen=True, kw_only=True)
class ScaleAnswer:
    """Standing wood; parcels unless one stand is asked for, totals and species of the whole place only."""

    name: str
    as_of: str
    level: float
    solid_cuft_per_cord: float
    log_rule: str
    division: str
    cord_breaks: tuple[float, ...]
    stands: tuple[StandWood, ...]
    before: tuple[str, ...]
    measured: str
    parcels: tuple[ParcelWood, ...] | None = field(default=None, metadata=LEFT_OUT)
    totals: Whole | None = field(default=None, metadata=LEFT_OUT)
    species: tuple[Species, ...] | None = field(default=None, metadata=LEFT_OUT)


def scale_answer(season: Plan, parcel: str | None, stand: str | None) -> ScaleAnswer:
    """Cords, board feet and kinds of tree for one parcel or stand or all of them."""
    place = season.place
    stands = tuple(
        s
        for s in stands_wood(season)
        if (parcel is None or s.parcel_id == parcel) and (stand is None or s.stand_id == stand)
    )
    with_plots = [s for s in stands if s.measured_on]
    measured_on = pd.Series([s.measured_on for s in with_plots], dtype=object)
    all_of_it = stand is None and parcel is None
    parcels = tuple(p for p in parcels_wood(season) if parcel is None or p.parcel_id == parcel)
    return ScaleAnswer(
        name=place.name,
        as_of=place.as_of.isoformat(),
        level=float(choice(place, "level")),
        **vars(base_answer(place)),
        stands=stands,
        before=tuple(days.before_words([s.stand_id for s in with_plots], measured_on, place.as_of)),
        measured=days.measured_words(measured_on),
        parcels=parcels if stand is None else None,
        totals=whole_answer(season, whole_wood(season)) if all_of_it else None,
        species=species_answer(season) if all_of_it else None,
    )


def brief(answers: Sequence[StandWood | ParcelWood | Species]) -> list[dict[str, Any]]:
    """Rows with their cords as number and range in words, and why there is no range."""
    short = {"per_ac": "cords_per_ac", "sawlog": "sawlog_cords", "firewood": "firewood_cords"}
    return [
        as_json(one)
        | {name: _say(getattr(one, field, None)) for name, field in short.items()}
        | {"cords": _say(one.cords), "range": words.bare_range(one.cords)}
        | {"why": "" if one.cords.low is not None else one.cords.why}
        for one in answers
    ]


def _say(number: Number | None) -> str:
    return "" if number is None or number.value is None else words.rounded(number.value, number.unit)

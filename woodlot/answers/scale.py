"""What ``woodlot scale`` tells: cords, board feet and kinds of tree of one stand, one parcel or all.

ScaleAnswer    the answer
scale_answer   it, from the chapters
"""

from dataclasses import dataclass, field

import pandas as pd

from woodlot.answers.as_json import LEFT_OUT
from woodlot.answers.cut import whole_answer
from woodlot.answers.land import parcels_wood
from woodlot.answers.stand_types import ParcelWood, Species, StandWood, Whole, WholeWood
from woodlot.answers.whole import base_answer
from woodlot.answers.wish_types import Sugarbush, Wish, WishedWood
from woodlot.answers.wishes import sugarbushes_answer, wished_wood, wishes_answer
from woodlot.answers.wood import species_answer, stands_wood, whole_wood
from woodlot.say import days
from woodlot.season import Season

__all__ = ["ScaleAnswer", "scale_answer"]


@dataclass(frozen=True, kw_only=True)
class ScaleAnswer:
    """Standing wood; parcels unless one stand is asked for, totals of the whole place only."""

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
    woodpile: tuple[str, ...] | None = field(default=None, metadata=LEFT_OUT)
    moved: tuple[str, ...] | None = field(default=None, metadata=LEFT_OUT)
    parcels: tuple[ParcelWood, ...] | None = field(default=None, metadata=LEFT_OUT)
    totals: Whole | WholeWood | None = field(default=None, metadata=LEFT_OUT)
    species: tuple[Species, ...] | None = field(default=None, metadata=LEFT_OUT)
    wishes: tuple[Wish, ...] | None = field(default=None, metadata=LEFT_OUT)
    wished: tuple[WishedWood, ...] | None = field(default=None, metadata=LEFT_OUT)
    sugarbushes: tuple[Sugarbush, ...] | None = field(default=None, metadata=LEFT_OUT)


def scale_answer(season: Season, parcel: str | None, stand: str | None, with_cut: bool = False) -> ScaleAnswer:
    """Cords, board feet and kinds of tree for one parcel or stand or all of them; with_cut: what may be cut too."""
    place = season.place
    stands = tuple(
        s
        for s in stands_wood(season)
        if (parcel is None or s.parcel_id == parcel) and (stand is None or s.stand_id == stand)
    )
    ids = {one.stand_id for one in stands}
    with_plots = [s for s in stands if s.measured_on]
    measured_on = pd.Series([s.measured_on for s in with_plots], dtype=object)
    all_of_it = stand is None and parcel is None
    parcels = tuple(p for p in parcels_wood(season) if parcel is None or p.parcel_id == parcel)
    wood = whole_wood(season)
    return ScaleAnswer(
        name=place.name,
        as_of=season.day.isoformat(),
        level=season.level,
        **vars(base_answer(season, None if all_of_it else [s.stand_id for s in stands])),
        stands=stands,
        before=tuple(days.before_words([s.stand_id for s in with_plots], measured_on, season.day)),
        measured=days.measured_words(measured_on),
        parcels=parcels if stand is None else None,
        totals=(whole_answer(season, wood) if with_cut else wood) if all_of_it else None,
        species=species_answer(season, parcel, stand),
        wishes=tuple(one for one in wishes_answer(season) if one.stand_id in ids) or None,
        wished=(wished_wood(season) or None) if all_of_it else None,
        sugarbushes=tuple(one for one in sugarbushes_answer(season) if one.stand_id in ids) or None,
    )

"""What the family noted, where it bears on a stand, a parcel, the next plots or the year: ``plan.noted`` in words.

stands_noted    of each stand; stand_lines: the same of some stands, each after its stand
ground_noted    the same of all stands, weather once for all stands that it came over
sick_of         kinds of sick trees noted in each stand, for its cautions
parcels_noted   when the lines of each parcel were last walked
plots_before    stands to be measured again
unplaced        notes that name no ground
"""

from collections.abc import Collection

import pandas as pd

from woodlot import ledger
from woodlot.place import Place
from woodlot.plan import noted
from woodlot.say.noted import of_stand
from woodlot.say.reasons import said

__all__ = ["ground_noted", "parcels_noted", "plots_before", "sick_of", "stand_lines", "stands_noted", "unplaced"]


def _lines(place: Place) -> pd.DataFrame:
    """Lines that stand, until the day for which is asked."""
    lines = ledger.standing(place.ledger)
    return lines[lines["date"] <= pd.Timestamp(place.as_of)] if len(lines) else lines


def stands_noted(place: Place) -> dict[str, tuple[str, ...]]:
    """Sick trees, weather since the plots and plantings of each stand, in whole sentences."""
    told = noted.of_stands(_lines(place), place.stands, place.plots)
    return {stand: tuple(map(said, whys)) for stand, whys in told.items()}


def stand_lines(place: Place, ids: Collection[str]) -> tuple[str, ...]:
    """What was noted of some stands, each sentence after its stand."""
    told = stands_noted(place)
    return tuple(of_stand(one, words) for one in ids for words in told.get(one, ()))


def ground_noted(place: Place) -> tuple[str, ...]:
    """What was noted of all stands, weather once for all stands that it came over."""
    lines = _lines(place)
    told = noted.of_stands(lines, place.stands, place.plots)
    each = [of_stand(stand, said(why)) for stand, whys in told.items() for why in whys if why.key != "broken since"]
    return (*each, *map(said, noted.to_measure(lines, place.stands, place.plots, weather=True)))


def sick_of(place: Place) -> dict[str, tuple[str, ...]]:
    """Kinds of sick, dying and dead trees noted in each stand since its plots."""
    return noted.sick(_lines(place), place.plots)


def parcels_noted(place: Place) -> dict[str, str]:
    """When the lines of each parcel were last walked; nothing as long as no walk was ever noted."""
    return {parcel: said(why) for parcel, why in noted.of_parcels(_lines(place), place.parcels, place.as_of).items()}


def plots_before(place: Place) -> tuple[str, ...]:
    """Stands whose plots are older than what was noted of them."""
    return tuple(map(said, noted.to_measure(_lines(place), place.stands, place.plots)))


def unplaced(place: Place) -> tuple[str, ...]:
    """Notes of sick trees, plantings and lines that name no ground."""
    return tuple(map(said, noted.of_no_ground(_lines(place), place.parcels)))

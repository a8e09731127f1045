"""The family's wishes in the answers: of each stand, the wood under each of them, the sugarbush.

wishes_answer       each stand and wish
wished_wood         all ground of each wish, with what stands there
ground_wished       the same before anything is measured
sugarbushes_answer  taps and syrup
wish_row, sap_row   the rows of the first screen
"""

from collections.abc import Sequence
from typing import Any

from woodlot import ledger
from woodlot.answers.types import Row
from woodlot.answers.wish_types import Sugarbush, Wish, WishedWood
from woodlot.estimate import Estimate, add, reason, scale
from woodlot.plan.cautions import caution
from woodlot.say import wishes as say
from woodlot.say.reasons import plain, said
from woodlot.season import Season
from woodlot.trade import WISHES
from woodlot.wood import sugarbush

__all__ = ["ground_wished", "sap_row", "sugarbushes_answer", "wish_row", "wished_wood", "wishes_answer"]

CORDS = "cords"


def wishes_answer(season: Season) -> tuple[Wish, ...]:
    """Each stand and wish, in the order of the stands."""
    parcel_of = season.measured.stands.set_index("stand_id")["parcel_id"]
    return tuple(
        Wish(**row, parcel_id=parcel_of[row["stand_id"]], cords=plain(_cords(season, row["stand_id"], row["acres"])))
        for row in ground_wished(season)
    )


def ground_wished(season: Season) -> list[dict[str, Any]]:
    """Each stand and wish with acres and words alone, for those who ask before anything is measured."""
    stands = season.measured.stands.set_index("stand_id")["acres"]
    rows = season.wishes.stands[["stand_id", "wish", "until", "acres", "whole"]].to_dict("records")
    return [
        {str(name): cell for name, cell in row.items()}
        | {"words": say.of_stand(row["wish"], row["until"], row["acres"], float(stands[row["stand_id"]]), row["whole"])}
        for row in rows
    ]


def _cords(season: Season, stand: str, acres: float) -> Estimate:
    """What stands on so many acres of a stand, its mean an acre times these."""
    found = season.standing.each_ac["cords"].get(stand)
    if found is None:
        return Estimate(None, CORDS, level=season.level, why=reason("no plot yet"))
    return scale(found, acres, CORDS, ground_ac=acres)


def wished_wood(season: Season) -> tuple[WishedWood, ...]:
    """All ground of each wish, in the order of ``trade.WISHES``."""
    out = []
    for wish in WISHES:
        rows = season.wishes.of(wish)
        if not len(rows):
            continue
        each = {stand: _cords(season, str(stand), ac) for stand, ac in rows["acres"].items()}
        known = [one for one in each.values() if one.value is not None]
        without = float(rows["acres"].sum() - sum(one.ground_ac or 0.0 for one in known))
        total = add(known) if known else next(iter(each.values()))
        acres, cords = float(rows["acres"].sum()), plain(total)
        words = say.wood(wish, acres, without, cords)
        out.append(WishedWood(wish, tuple(map(str, rows.index)), acres, without, cords, words))
    return tuple(out)


def sugarbushes_answer(season: Season) -> tuple[Sugarbush, ...]:
    """Taps and syrup of each stand that is wished to be a sugarbush."""
    place, region = season.place, season.place.region
    if not len(season.wishes.stands) or not len(season.wishes.of(sugarbush.SUGARBUSH)):
        return ()
    lines = ledger.standing(place.ledger) if len(place.ledger) else place.ledger
    found = sugarbush.sugarbushes(season.wishes, place.plots, season.standing.trees, lines, season.level, region=region)
    cautions = tuple(said(caution(key, region)) for key in ("sap_sound", "sap_lead", "sap_season"))
    out = []
    for one in found:
        taps, syrup, told = plain(one.taps), plain(one.syrup), one.noted
        of_noted = None if one.syrup_of_noted is None else plain(one.syrup_of_noted)
        day = None if told.taps_on is None else told.taps_on.date().isoformat()
        out.append(
            Sugarbush(
                one.stand_id,
                one.acres,
                taps,
                syrup,
                one.unsound,
                told.taps,
                day,
                of_noted,
                told.spring,
                told.sap_gal,
                told.syrup_gal,
                say.sugarbush(taps, syrup, one.unsound, told, of_noted, region),
                cautions,
            )
        )
    return tuple(out)


def wish_row(wood: Sequence[WishedWood], wishes: Sequence[Wish]) -> Row | None:
    """The row on wood that the family's wishes hold; None where nothing is held."""
    parts = say.row(
        [(one.wish, one.acres, one.cords, one.words) for one in wood],
        [(w.stand_id, w.wish, w.acres, w.whole) for w in wishes],
    )
    return parts and Row("wishes", "Your wishes", *parts)


def sap_row(of: Sequence[Sugarbush]) -> Row | None:
    """The row on the sugarbush; None where there is none."""
    return (
        Row("sugarbush", "Sugarbush", *say.sap_row([(one.stand_id, one.taps, one.words) for one in of])) if of else None
    )

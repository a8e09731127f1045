"""What the family noted of its woods and its lines, as it bears on stands and parcels today.

of_stands    sick trees, weather that breaks trees since the plots, what was planted: reasons by stand
sick         kinds of the sick trees of each stand that its plots have not seen
to_measure   stands whose plots are older than sick trees or such weather
of_parcels   when the lines of each parcel were last walked, and corners that are missing
of_no_ground lines that say neither stand nor parcel where one is needed to tell them
of_year      weather, plantings and walks of lines since a day

Who comes after us, the forester and whoever counts the deer all ask one thing of a note: what was it, how much, which
ground, which day, so that they know whether a number is older than what changed it. A note never moves a number here;
plots do.

Lines are those that stand, until the day for which is asked.
"""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import NamedTuple

import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.ledger.entries import said_in
from woodlot.trade import BREAKS_TREES, CORNER_MISSING, TAKES

__all__ = ["of_no_ground", "of_parcels", "of_stands", "of_year", "sick", "to_measure"]

#: Notes of one kind that are told of one stand, the latest.
MOST = 3
SICK_TREES = "sick trees"
WEATHER = "weather"
LINES = "boundary"
PLANTED = "planted"


class Told(NamedTuple):
    """A note as it is told: its day, the word of its kind's list ("" for none), how much, of what, where."""

    day: date
    word: str
    amount: float | None
    unit: str
    species: str
    stand: str
    parcel: str
    line: int
    text: str


def _told(lines: pd.DataFrame, kind: str) -> list[Told]:
    """Notes of a kind, the latest first."""
    rows = lines[lines["kind"] == kind] if len(lines) else lines
    names = ("unit", "species", "stand_id", "parcel_id", "text")
    out = []
    for row in rows.to_dict("records"):
        unit, species, stand, parcel, text = ("" if pd.isna(v := row.get(name)) else str(v) for name in names)
        amount = None if pd.isna(row.get("amount")) else float(row["amount"])
        day, word = pd.Timestamp(row["date"]).date(), said_in(text, TAKES[kind].words)
        out.append(Told(day, word, amount, unit, species, stand, parcel, int(row["line"]), text))
    return sorted(out, key=lambda one: one.day, reverse=True)


def _measured(plots: pd.DataFrame) -> dict[str, date]:
    """Day of the latest plot of each stand."""
    last = pd.to_datetime(plots["date"]).groupby(plots["stand_id"].astype(str)).max().dropna()
    return {str(stand): day.date() for stand, day in last.items()}


def _since(plots: Mapping[str, date], stand: str, day: date) -> bool:
    """Whether a stand has plots, all of them older than a day."""
    return stand in plots and plots[stand] < day


def _broke(lines: pd.DataFrame, stands: pd.DataFrame) -> Iterator[tuple[str, Told]]:
    """Weather that breaks trees, with each stand that it came over; of the whole place where no ground is named."""
    parcels = dict(zip(stands["stand_id"].astype(str), stands["parcel_id"].fillna("").astype(str), strict=True))
    for one in _told(lines, WEATHER):
        if one.word in BREAKS_TREES:
            for stand, parcel in parcels.items():
                if one.stand == stand or (not one.stand and one.parcel in ("", parcel)):
                    yield stand, one


def of_stands(lines: pd.DataFrame, stands: pd.DataFrame, plots: pd.DataFrame) -> dict[str, tuple[Reason, ...]]:
    """What was noted of each stand; stands of which nothing is to be told are left out.

    stands: stand_id, parcel_id; plots: stand_id, date.
    """
    measured, out = _measured(plots), dict[str, list[Reason]]()
    each: dict[str, list[Told]] = {}
    for one in _told(lines, SICK_TREES):
        each.setdefault(one.stand, []).append(one)
    for stand, notes in each.items():
        last = notes[:MOST]
        facts = tuple((one.amount if one.unit == "piece" else None, one.species, one.word, one.day) for one in last)
        older = measured[stand] if any(_since(measured, stand, one.day) for one in last) else None
        out.setdefault(stand, []).append(reason("sick here", each=facts, plots=older))
    broke: dict[str, list[tuple[str, date]]] = {}
    for stand, one in _broke(lines, stands):
        if _since(measured, stand, one.day):
            broke.setdefault(stand, []).append((one.word, one.day))
    for stand, came in broke.items():
        out.setdefault(stand, []).append(reason("broken since", each=tuple(came[:MOST]), plots=measured[stand]))
    set_out: dict[str, dict[tuple[int, str], float | None]] = {}
    for one in _told(lines, PLANTED):
        by, key = set_out.setdefault(one.stand, {}), (one.day.year, one.species)
        known, number = by.get(key, 0.0), one.amount if one.unit == "piece" else None
        by[key] = None if known is None or number is None else known + number
    for stand, kinds in set_out.items():
        here = tuple((number, kind, year) for (year, kind), number in kinds.items())
        out.setdefault(stand, []).append(reason("planted here", each=here))
    return {stand: tuple(whys) for stand, whys in out.items() if stand}


def sick(lines: pd.DataFrame, plots: pd.DataFrame) -> dict[str, tuple[str, ...]]:
    """Kinds ("" where none was named) of sick, dying and dead trees that were noted in each stand since its plots."""
    measured, out = _measured(plots), dict[str, dict[str, None]]()
    for one in _told(lines, SICK_TREES):
        if one.stand and not (one.stand in measured and measured[one.stand] > one.day):
            out.setdefault(one.stand, {})[one.species] = None
    return {stand: tuple(kinds) for stand, kinds in out.items()}


def to_measure(
    lines: pd.DataFrame, stands: pd.DataFrame, plots: pd.DataFrame, weather: bool = False
) -> tuple[Reason, ...]:
    """What was noted after the plots of some stands, so that these may tell of woods that are not there any more.

    weather: weather alone.
    """
    measured, found = _measured(plots), dict[tuple[date, str], list[str]]()
    seen = [] if weather else [(one.stand, one, SICK_TREES) for one in _told(lines, SICK_TREES)]
    for stand, one, what in (*((stand, one, one.word) for stand, one in _broke(lines, stands)), *seen):
        if _since(measured, stand, one.day):
            found.setdefault((one.day, what), []).append(stand)
    order = sorted(found.items(), key=lambda item: item[0][0], reverse=True)
    return tuple(reason("plots before", of=what, day=day, stands=tuple(dict.fromkeys(of))) for (day, what), of in order)


def of_parcels(lines: pd.DataFrame, parcels: pd.DataFrame, as_of: date) -> dict[str, Reason]:
    """When the lines of each parcel were last walked; of none as long as no walk of any line was noted."""
    ids = parcels["parcel_id"].astype(str).tolist()
    notes = _told(lines, LINES)
    out = {}
    for parcel in ids if notes else ():
        mine = [one for one in notes if one.parcel == parcel or (not one.parcel and len(ids) == 1)]
        corners = [one for one in mine if one.word.startswith(CORNER_MISSING.split()[0])]
        lost = [one for one in corners if one.word == CORNER_MISSING]
        last = mine[0] if mine else None
        out[parcel] = reason(
            "lines walked",
            day=last and last.day,
            done=last.word if last else "",
            years=(as_of - last.day).days // 365 if last else 0,
            missing=lost[0].day if lost and lost[0] is corners[0] else None,
        )
    return out


def of_no_ground(lines: pd.DataFrame, parcels: pd.DataFrame) -> tuple[Reason, ...]:
    """Notes of sick trees and plantings without a stand, and of lines without a parcel where there are several."""
    bare = [(kind, one.line) for kind in (SICK_TREES, PLANTED) for one in _told(lines, kind) if not one.stand]
    bare += [(LINES, one.line) for one in _told(lines, LINES) if not one.parcel and len(parcels) > 1]
    return tuple(reason("no ground named", kind=kind, line=line) for kind, line in sorted(bare, key=lambda one: one[1]))


def of_year(lines: pd.DataFrame) -> tuple[Reason, ...]:
    """Weather, plantings and walks of lines among lines of a year."""
    by: dict[str, list[Told]] = {}
    for one in _told(lines, WEATHER):
        by.setdefault(one.word or one.text, []).append(one)
    out = []
    for word, notes in by.items():
        most = max(notes, key=lambda one: -1e9 if one.amount is None else one.amount)
        much = (most.amount, most.unit) if most.unit == "in" else (None, "")
        out.append(reason("weather noted", word=word, notes=len(notes), day=most.day, amount=much[0], unit=much[1]))
    planted = _told(lines, PLANTED)
    if number := sum(one.amount or 0.0 for one in planted if one.unit == "piece"):
        out.append(reason("planted noted", number=number, species=tuple(dict.fromkeys(one.species for one in planted))))
    if walked := tuple(dict.fromkeys(one.parcel for one in _told(lines, LINES) if one.parcel)):
        out.append(reason("lines noted", parcels=walked))
    return tuple(out)

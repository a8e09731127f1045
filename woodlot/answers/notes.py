"""What was written and what is to be minded: lines of the ledger, a year's changes, cautions.

shown_and_older  lines of the ledger that stand: those shown one by one, and the older ones of a long ledger
deer_plots       pellet plots of the last survey
changed_answer   what was done in the year before
cautions_answer  what to mind before a cut
deer_cautions    what to mind with deer, in short by topic
warnings         remarks on the hand-in
"""

from collections.abc import Hashable, Sequence
from typing import Any

import numpy as np
import pandas as pd

from woodlot import ledger
from woodlot.answers.note_types import KindOfYear, Note, OlderNotes, YearOfNotes
from woodlot.answers.noted import unplaced
from woodlot.answers.plain_cells import number
from woodlot.answers.stand_types import Stand
from woodlot.answers.types import Caution, Changed, DeerPlot
from woodlot.answers.winter_types import WinterTask
from woodlot.deer import browse
from woodlot.place import Place
from woodlot.plan import cautions, years
from woodlot.region import Region
from woodlot.say import notes_told
from woodlot.say.ground import problems
from woodlot.say.noted import details
from woodlot.say.reasons import said
from woodlot.season import Season
from woodlot.trade import WOOD_KINDS

__all__ = ["cautions_answer", "changed_answer", "deer_cautions", "deer_plots", "shown_and_older", "warnings"]

#: Notes that map and report show one by one, the newest; a family that writes one a day fills this in five years.
SHOWN = 2_000
WORDS = ("text", "unit", "parcel_id", "stand_id", "sex_age", "who")


def shown_and_older(book: pd.DataFrame) -> tuple[tuple[Note, ...], OlderNotes | None]:
    """Lines of the ledger that stand (not replaced by a later one), for map and report: the newest as they are, those
    before by year and kind.
    """
    if not len(book):
        return (), None
    lines = ledger.standing(book)
    newest = np.argsort(lines["date"].to_numpy(), kind="stable")[::-1][:SHOWN]
    shown = np.zeros(len(lines), dtype=bool)
    shown[newest] = True
    return tuple(map(_note, lines[shown].to_dict("records"))), _older(lines[~shown])


def _note(row: dict[Hashable, Any]) -> Note:
    return Note(
        line=int(row["line"]),
        date=pd.Timestamp(row["date"]).date().isoformat(),
        kind=row["kind"],
        tag="deer" if row["kind"] == "deer" else "wood" if row["kind"] in WOOD_KINDS else "seen",
        amount=number(row["amount"]),
        lon=number(row["lon"]),
        lat=number(row["lat"]),
        **{k: "" if pd.isna(row[k]) else str(row[k]) for k in WORDS},
        species=_word(row["species"]),
        age_yr=number(row["age_yr"]),
        dressed_lb=number(row["dressed_lb"]),
        milk=_word(row["milk"]),
        job=_word(row["job"]),
        photo=_word(row["photo"]),
        details=details(row) or None,
    )


def _word(value: object) -> str | None:
    return str(value) if isinstance(value, str) and value else None


def _older(lines: pd.DataFrame) -> OlderNotes | None:
    """Notes that are not shown one by one, by year and kind."""
    if not len(lines):
        return None
    until, years = lines["date"].max().date(), []
    for year, rows in reversed([*ledger.totals(lines).groupby("year")]):
        of = rows.groupby(["kind", "unit"], as_index=False, sort=False)
        sums = of.agg(amount=("amount", lambda some: some.sum(min_count=1)), lines=("lines", "sum"))
        sums = sums.sort_values("lines", ascending=False, kind="stable")
        told = [(r["kind"], r["unit"], number(r["amount"]), int(r["lines"])) for r in sums.to_dict("records")]
        kinds = [
            KindOfYear(r["kind"], r["sex_age"], r["unit"], number(r["amount"]), int(r["lines"]))
            for r in rows.to_dict("records")
        ]
        said = notes_told.year_words(told)
        years.append(YearOfNotes(int(str(year)), int(rows["lines"].sum()), said, tuple(kinds)))
    words = notes_told.older_words(len(lines), until)
    return OlderNotes(len(lines), until.isoformat(), words, tuple(years))


def deer_plots(place: Place) -> tuple[DeerPlot, ...]:
    """Pellet plots of the last survey with the stems counted and browsed there."""
    rows = browse.deer_plots(place.pellets, place.browse, place.deer.preference, region=place.region)
    return tuple(DeerPlot(**row) for row in rows)


def changed_answer(season: Season) -> Changed:
    """What was done in the year before the day asked."""
    day = season.day
    since = (pd.Timestamp(day) - pd.DateOffset(years=1)).date()
    done = years.changed(season.place.ledger, season.standing.stands, since)
    return Changed(since.isoformat(), tuple(map(said, done)))


def cautions_answer(stands: Sequence[Stand], tasks: Sequence[WinterTask], *, region: Region) -> tuple[Caution, ...]:
    """Cautions of the stands where wood is cut this winter and of the trees that fall there, then the general ones."""
    of_stands = [Caution(f"stand {s.stand_id}", text) for s in stands if s.cut.this_winter for text in s.cautions]
    of_stands += [Caution(f"stand {one.stand_id}", text) for one in tasks if one.stand_id for text in one.cautions]
    general = [
        Caution("near a line", said(cautions.caution("line", region))),
        Caution("felling", said(cautions.caution("felling", region))),
        Caution("felling", said(cautions.caution("gear", region))),
    ]
    known = {one.text for one in general}
    return (*dict.fromkeys(one for one in of_stands if one.text not in known), *general)


def deer_cautions(region: Region) -> tuple[Caution, ...]:
    """What to mind with deer, in short; ``where`` is the topic."""
    return tuple(Caution(topic, text) for topic, text in cautions.short_of_deer(region).items())


def warnings(season: Season) -> tuple[str, ...]:
    """Remarks on the hand-in: files, lines, edges, rasters, what is borrowed, ceilings."""
    return (
        *season.place.warnings,
        *unplaced(season.place),
        *problems(season.measured.problems),
        *map(said, season.standing.helped.asked),
        *map(said, dict.fromkeys([*season.seen.notes, *season.backdrop.notes])),
        *map(said, season.lent.notes),
        *map(said, season.cutting.yearly.cautions[1:]),
    )

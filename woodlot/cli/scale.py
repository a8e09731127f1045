"""``woodlot scale``: cords, board feet and species by stand, parcel and in all."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from woodlot.cli import options, show
from woodlot.say import tables
from woodlot.trade import SHUT

if TYPE_CHECKING:
    from woodlot.answers.wish_types import Sugarbush


@click.command(short_help="Cords, board feet and species by stand, parcel and in all.")
@options.shared("place", "region", "parcel", "stand", "as_of", "level", "csv", "json")
@show.plain_faults
def scale(
    place: Path,
    region: str | None,
    parcel: str | None,
    stand: str | None,
    as_of: date | None,
    level: float | None,
    csv_file: Path | None,
    as_json: bool,
) -> None:
    """Sound standing wood of PLACE in full cords and board feet, with its range and where the range comes from.

    --csv writes one row a stand.

    Example:  woodlot scale sample_parcels/otter_lake --parcel kettle
    """
    from woodlot.answers.as_json import as_json as plain
    from woodlot.answers.scale import scale_answer
    from woodlot.say import cruise, ground
    from woodlot.say import scale as sentences

    asked = options.open_season(place, region, as_of, level, parcel, stand)
    answer = scale_answer(asked, parcel, stand, with_cut=as_json)
    rows = plain(answer)
    if not show.deliver(rows, tables.SCALE_STANDS, csv_file, as_json):
        return
    show.title(f"{asked.place.name}: standing wood", asked.day)
    for line in answer.before:
        show.say(line)
    whole = answer.totals
    if whole is not None:
        show.say(sentences.headline(whole.cords))
        if whole.cords.low is not None:
            show.say(
                sentences.range_parts(whole.cords_sampling_only, whole.cords_table_only, whole.cords_stacked), indent=2
            )
        for held in (one for one in answer.wished or () if one.wish in SHUT):
            show.say(held.words, indent=2)
        acres = (whole.acres, whole.acres_with_plots, whole.acres_without, whole.acres_no_parcel)
        show.say(ground.acres_behind(*acres), indent=2)
        if whole.cords.value is not None:
            show.say(sentences.board_feet(answer.log_rule, whole.bdft), indent=2)
    if answer.measured:
        show.say(sentences.as_measured(answer.measured), indent=2)
    show.say()
    show.table(tables.SCALE_STANDS, rows)
    if answer.parcels:
        show.say()
        show.table(tables.SCALE_PARCELS, rows)
        bare = sentences.no_ranges((one.parcel_id, one.cords) for one in answer.parcels)
        if bare:
            show.say()
        for line in bare:
            show.say(line, indent=2, hang=4)
    show.say()
    for told in (sentences.cord(answer.solid_cuft_per_cord), *(answer.woodpile or ()), *(answer.moved or ())):
        show.say(told, indent=2, hang=4)
    if answer.species:
        show.say()
        show.table(tables.SCALE_SPECIES, rows)
        for line in sentences.not_met((one.species, one.cords) for one in answer.species):
            show.say(line, indent=2, hang=4)
    for one in answer.stands:
        if stand is not None and one.cords.why:
            show.say(cruise.no_range(one.stand_id, one.cords.why), indent=2)
    if stand is not None:
        for told in (*(wish.words for wish in answer.wishes or ()), *_sap(answer.sugarbushes or ())):
            show.say(told, indent=2, hang=4)


def _sap(of: "Sequence[Sugarbush]") -> list[str]:
    """What is said of a sugarbush, and what to mind there."""
    return [told for one in of for told in (*one.words, *one.cautions)]

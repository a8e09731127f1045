"""``woodlot scale``: cords, board feet and species by stand, parcel and in all."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from woodlot.cli import options, show
from woodlot.say import tables

if TYPE_CHECKING:
    from woodlot.answers.stand_types import ParcelWood
    from woodlot.estimate import Number


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
    from woodlot.say import words
    from woodlot.story.screens import ground_words

    asked = options.open_season(place, region, as_of, level, parcel, stand)
    answer = scale_answer(asked, parcel, stand, with_cut=as_json)
    told = plain(answer)
    if not show.deliver(told, tables.SCALE_STANDS, csv_file, as_json):
        return
    show.title(f"{asked.place.name}: standing wood", asked.day)
    for line in answer.before:
        show.say(line)
    whole = answer.totals
    if whole is not None:
        show.say(_whole(whole.cords))
        if whole.cords.low is not None:
            show.say(
                f"The plots alone leave {words.range_words(whole.cords_sampling_only)}; the volume table, which no "
                f"plot can mend, {words.range_words(whole.cords_table_only)}; against a stacked pile "
                f"{words.range_words(whole.cords_stacked)}.",
                indent=2,
            )
        acres = (whole.acres, whole.acres_with_plots, whole.acres_without, whole.acres_no_parcel)
        show.say(ground_words(*acres), indent=2)
        if whole.cords.value is not None:
            show.say(f"Board feet, {words.rule(answer.log_rule)}: {words.answer(whole.bdft)}.", indent=2)
    if answer.measured:
        show.say(
            f"This is what the plots found, measured {answer.measured}. Growth and cutting since then are not in it; "
            "woodlot grow brings it to today.",
            indent=2,
        )
    show.say()
    show.table(tables.SCALE_STANDS, told)
    if answer.parcels:
        show.say()
        show.table(tables.SCALE_PARCELS, told)
        _reasons(answer.parcels)
    show.say()
    show.say(
        f"A full cord is 4 x 4 x 8 feet, {answer.solid_cuft_per_cord:g} cubic feet of solid wood, no bark; sound live "
        "wood from a 1-foot stump to a 4-inch top. Logs and the rest add up to cords: no wood is counted twice. "
        "Branches are not in it. Sums are made before rounding.",
        indent=2,
    )
    if answer.species:
        show.say()
        show.table(tables.SCALE_SPECIES, told)
    for one in answer.stands:
        if stand is not None and one.cords.why:
            show.say(f"Stand {one.stand_id}: {one.cords.why}.", indent=2)


def _whole(cords: "Number") -> str:
    from woodlot.say import words

    if cords.value is None:
        return f"No number yet: {cords.why}."
    return f"{words.amount(cords.value, 'full cords')} ({words.range_words(cords)})."


def _reasons(parcels: "Sequence[ParcelWood]") -> None:
    """Why parcels have no range, each reason once with the parcels it holds for."""
    by: dict[str, list[str]] = {}
    for one in parcels:
        if one.cords.low is None and one.cords.why:
            by.setdefault(one.cords.why, []).append(one.parcel_id)
    if by:
        show.say()
    for why, names in by.items():
        show.say(f"Parcel{'s' * (len(names) > 1)} {', '.join(names)}: {why}.", indent=2, hang=4)

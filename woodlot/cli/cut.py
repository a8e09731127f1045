"""``woodlot cut``: how much may be cut each year, when each stand's turn is, and the job of this winter."""

from datetime import date
from pathlib import Path
from typing import Any

import click

from woodlot.cli import options, show
from woodlot.say import tables


@click.command(short_help="How much may be cut each year, when and where, and this winter's job.")
@options.shared("place", "region", "parcel", "stand", "as_of", "level", "seed", "csv", "json")
@click.option("--years", type=click.IntRange(1, 60), default=10, show_default=True, help="Years to plan for.")
@click.option(
    "--step", "step_yr", type=click.IntRange(1, 10), default=1, show_default=True, help="Years in a period of the plan."
)
@click.option(
    "--more", "cut_more", is_flag=True, help="Plan for all that may be cut and worked, not only for the need."
)
@show.plain_faults
def cut(
    place: Path,
    region: str | None,
    parcel: str | None,
    stand: str | None,
    as_of: date | None,
    level: float | None,
    csv_file: Path | None,
    as_json: bool,
    **ahead: Any,
) -> None:
    """Ceilings of the yearly cut of PLACE side by side, a plan over years, and this winter's trees.

    A stand under the stocking it should keep gives only what dies there. --csv writes one row a stand.

    Example:  woodlot cut sample_parcels/otter_lake --years 20 --step 5
    """
    from woodlot.answers.as_json import as_json as plain
    from woodlot.answers.cut_verb import StandToCut, cut_answer
    from woodlot.answers.plain_cells import frame_of

    asked = options.open_season(place, region, as_of, level, parcel, stand, **ahead)
    answer = cut_answer(asked, parcel, stand)
    shown = plain(answer) | {"stands": frame_of(StandToCut, answer.stands)}
    if not show.deliver(shown, tables.CUT_STANDS, csv_file, as_json):
        return
    show.title(f"{asked.place.name}: the cut", asked.day)
    show.say(answer.headline)
    if answer.fits:
        show.say(answer.fits)
    heat, rule = answer.heat, answer.rule
    for line in answer.parts:
        show.say(line, indent=2, hang=4)
    for line in (*rule.asked, *rule.more) if rule else ():
        show.say(line)
    if answer.futures is not None:
        show.say()
        if answer.futures.ways:
            show.say("The next hundred years, tried on your own stands:")
        for line in answer.futures.words:
            show.say(line, indent=2 if answer.futures.ways else 0, hang=4 if answer.futures.ways else 0)
    show.say()
    show.table(tables.CUT_STANDS, shown)
    show.say()
    show.say(
        "Full cords a year. Keep: square feet an acre that a cut leaves (m: from memory). At most: the stand's part of "
        "the yearly cut.",
        indent=2,
    )
    if answer.works:
        show.say()
        show.table(tables.CUT_WORKS, shown)
    if answer.balance and answer.balance.cut_cords:
        show.say()
        show.say(f"Growth and cut: {answer.balance.words}.")
    for line in answer.words:
        show.say(line, indent=2, hang=4)
    if answer.wants and parcel is None and stand is None:
        show.say()
        show.wants(answer.wants, shown)
    if heat is not None and parcel is None and stand is None:
        show.say()
        show.say(f"{heat.title}: {heat.number} ({heat.range}). {heat.why}")
    for job in answer.jobs:
        show.say()
        show.say(job.words)
        show.table(tables.CUT_CLASSES, plain(job))
        for line in [*(job.marking or ()), *(f"Keep {kept}." for kept in job.keep)]:
            show.say(line, indent=2, hang=4)
        for head, lines in (("What comes after", job.after or ()), ("Mind", job.cautions)):
            if lines:
                show.say(f"{head}:", indent=2)
            for line in lines:
                show.say(line, indent=4, hang=6)
    show.notes(answer.notes)

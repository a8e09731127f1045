"""``woodlot herd``: how many deer use the ground, and what the browse says."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from woodlot.cli import options, show
from woodlot.say import tables
from woodlot.say.words import BEFORE_HUNT

if TYPE_CHECKING:
    from woodlot.deer.answer import DeerAnswer


@click.command(short_help="How many deer use the ground, and what the browse says.")
@options.shared("place", "region", "as_of", "level")
@click.option("--all", "everything", is_flag=True, help="Show each spring, count, class of browse and food too.")
@options.shared("csv", "json")
@show.plain_faults
def herd(
    place: Path,
    region: str | None,
    as_of: date | None,
    level: float | None,
    everything: bool,
    csv_file: Path | None,
    as_json: bool,
) -> None:
    """Deer on and round PLACE by pellet groups; the next forest; what there is to eat, and what the coming cuts add.

    --csv writes one row a spring.

    Example:  woodlot herd sample_parcels/otter_lake
    """
    from woodlot.answers.as_json import as_json as plain
    from woodlot.answers.deer import herd_answer
    from woodlot.plan.cautions import of_deer, short_of_deer
    from woodlot.say.deer import herd_screen

    asked = options.open_season(place, region, as_of, level)
    deer = herd_answer(asked)
    mind = list(short_of_deer(asked.place.region).values())
    doubts = [words for words in deer.cautions if words not in of_deer(asked.place.region)]
    shown = {key: value for key, value in plain(deer).items() if key != "take"} | {"cautions": [*doubts, *mind]}
    if not show.deliver(shown, tables.HERD_SPRINGS, csv_file, as_json):
        return
    show.title(f"{asked.place.name}: the deer", asked.day)
    for row in herd_screen(deer):
        show.fact(*row)
    if everything:
        _details(deer, shown)
    show.notes(doubts, "Of the counts")
    show.say()
    show.say(f"{BEFORE_HUNT}: {' '.join(mind)}")


def _details(deer: "DeerAnswer", shown: dict[str, Any]) -> None:
    """Ranges, springs, and what stands behind each row."""
    from woodlot.say.deer import herd_details, herd_ranges

    for sentence in herd_ranges(deer):
        show.say(sentence, indent=2)
    if deer.years:
        show.say()
        show.table(tables.HERD_SPRINGS, shown, level=deer.density_per_sqmi.level)
    if deer.falls:
        show.say()
        show.table(tables.HERD_FALLS, shown, level=deer.density_per_sqmi.level)
    for heading, sentences in herd_details(deer):
        show.say()
        show.say(heading)
        for sentence in sentences:
            show.say(sentence, indent=2, hang=4)

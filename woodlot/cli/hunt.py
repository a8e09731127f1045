"""``woodlot hunt``: bucks and does that may be taken at most this season, and the meat."""

from datetime import date
from pathlib import Path

import click

from woodlot.cli import options, show
from woodlot.say import tables
from woodlot.say.words import BEFORE_HUNT

#: What of the deer this verb shows, on the screen and with --json.
SHOWN = (
    *("season", "words", "equivalents", "walk_there", "acres", "share_pct"),
    *("take", "pool", "risk", "browse", "impact", "measure_next", "cautions"),
)


@click.command(short_help="Bucks and does that may be taken at most, and the meat.")
@options.shared("place", "region", "as_of", "level")
@click.option("--all", "everything", is_flag=True, help="Show the neighbors' part and every take with its chances too.")
@options.shared("csv", "json")
@show.plain_faults
def hunt(
    place: Path,
    region: str | None,
    as_of: date | None,
    level: float | None,
    everything: bool,
    csv_file: Path | None,
    as_json: bool,
) -> None:
    """Does and bucks at most this season on PLACE, why, and the meat that is. Season, tags and zone are the state's.

    Example:  woodlot hunt sample_parcels/otter_lake
    """
    from woodlot.answers.as_json import as_json as plain
    from woodlot.answers.deer import hunt_answer
    from woodlot.say.hunt import chances_note, first_screen

    asked = options.open_season(place, region, as_of, level)
    deer = hunt_answer(asked)
    take, risk, every = deer.take, deer.risk, plain(deer)
    shown = {"name": asked.place.name, "as_of": asked.day, **{key: every[key] for key in SHOWN if key in every}}
    if not show.deliver(shown, tables.HUNT_TAKE, csv_file, as_json):
        return
    show.title(f"{asked.place.name}: the hunt, {deer.season}", asked.day)
    for row in first_screen(deer):
        show.fact(*row)
    if everything and take.neighbors_words:
        show.say()
        show.say(take.neighbors_words, indent=2, hang=4)
    if everything and risk.meat is not None:
        show.say()
        show.table(tables.HUNT_CHANCES, every["risk"])
        show.say()
        show.say(chances_note(deer), indent=2)
        show.say(risk.meat.words, indent=2)
    show.notes(deer.cautions, BEFORE_HUNT)

"""``woodlot hunt``: bucks and does that may be taken at most this season, and the meat."""

from datetime import date
from pathlib import Path

import click

from woodlot.cli import options, show
from woodlot.say import tables

#: What of the deer this verb shows, and so tells with --json.
SHOWN = (
    *("season", "words", "equivalents", "walk_there", "acres", "share_pct"),
    *("take", "risk", "browse", "impact", "measure_next", "cautions"),
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
    from woodlot.plan import hunt_words
    from woodlot.say import words

    asked = options.open_season(place, region, as_of, level)
    deer = asked.hunt
    take, risk, every = deer.take, deer.risk, plain(deer)
    told = {"name": asked.place.name, "as_of": asked.day, **{k: every[k] for k in SHOWN}}
    if not show.deliver(told, tables.HUNT_TAKE, csv_file, as_json):
        return
    show.title(f"{asked.place.name}: the hunt, {deer.season}", asked.day)
    for row in hunt_words.first_screen(deer):
        show.fact(row["topic"], row["number"], row["why"])
    if everything and take.neighbors_words:
        show.say()
        show.say(take.neighbors_words, indent=2, hang=4)
    if everything and risk.meat is not None and risk.full_herd_per_sqmi is not None:
        show.say()
        show.table(tables.HUNT_CHANCES, every["risk"])
        show.say()
        low, _, high = risk.full_herd_per_sqmi
        show.say(
            f"Chances in 100 with {words.amount(take.bucks, 'bucks')} and so many does a fall (assumptions: from "
            "neighbors who take none to fewer fawns that live). The last row is no hunting by anybody. Births fall as "
            f"the herd nears {low:.0f} to {high:.0f} deer a square mile, where it grows no more (assumptions).",
            indent=2,
        )
        show.say(risk.meat.words, indent=2)
    show.notes(deer.cautions, "Before you hunt")

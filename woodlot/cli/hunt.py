"""``woodlot hunt``: bucks and does that may be taken at most this season, and the meat."""

from datetime import date
from pathlib import Path

import click

from woodlot.cli import options, show


@click.command(short_help="Bucks and does that may be taken at most, and the meat.")
@options.shared("place", "region", "as_of", "level", "csv", "json")
@show.plain_faults
def hunt(
    place: Path, region: str | None, as_of: date | None, level: float | None, csv_file: Path | None, as_json: bool
) -> None:
    """Does and bucks at most this fall on PLACE, why, and the meat that is. Season, tags and zone are the state's.

    Example:  woodlot hunt sample_parcels/otter_lake
    """
    import pandas as pd

    from woodlot import story, words
    from woodlot.story import views

    opened = options.open_place(place, region, as_of, level)
    deer = story.herd(opened)
    take = deer["take"]
    told = {"name": opened.name, "as_of": opened.as_of, "take": take, "cautions": deer["cautions"]}
    row = {"does": take["does"], "bucks": take["bucks"], "meat_lb": take["meat_lb"]}
    if not show.deliver(told, pd.DataFrame(views.flat([row])), csv_file, as_json):
        return
    show.title(f"{opened.name}: the hunt, {opened.as_of.year}", opened.as_of)
    show.say(views.take_words(take))
    show.say()
    show.say(take["does_words"], indent=2, hang=4)
    show.say(take["bucks_words"], indent=2, hang=4)
    if take["neighbors_words"]:
        show.say(take["neighbors_words"], indent=2, hang=4)
    show.say(f"Meat: {words.answer(take['meat_lb'])}.", indent=2)
    show.notes(deer["cautions"], "Before you hunt")

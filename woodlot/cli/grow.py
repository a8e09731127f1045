"""``woodlot grow``: what stands today, what it grows, and where it goes if nobody cuts."""

from datetime import date
from pathlib import Path

import click

from woodlot.cli import options, show
from woodlot.say import tables


@click.command(short_help="Today's woods from an older cruise, what they grow, and where they go.")
@options.shared("place", "region", "parcel", "stand", "as_of", "level", "seed", "csv", "json")
@click.option("--years", type=click.IntRange(1, 60), default=20, show_default=True, help="Years to look ahead, uncut.")
@show.plain_faults
def grow(
    place: Path,
    region: str | None,
    parcel: str | None,
    stand: str | None,
    as_of: date | None,
    level: float | None,
    seed: int,
    csv_file: Path | None,
    as_json: bool,
    years: int,
) -> None:
    """Bring the cruise of PLACE to the day asked, less what the ledger says was cut since, and let it grow uncut.

    Low, middle and high growth are shown, never one line; the owner's cores narrow them. --csv writes one row a stand.

    Example:  woodlot grow sample_parcels/otter_lake --years 30
    """
    from woodlot.say import reasons, words
    from woodlot.story import growth_view

    asked = options.open_season(place, region, as_of, level, parcel, stand, seed=seed)
    told = growth_view.grown(asked.woods, asked.growth, years, asked.day, parcel, stand, region=asked.place.region)
    if not show.deliver(told, tables.GROW_STANDS, csv_file, as_json):
        return
    show.title(f"{asked.place.name}: growth", asked.day)
    for said in told["before"]:
        show.say(said)
    if told["growth"] is None or told["growth"].value is None:
        show.say("No number yet. No stand has enough plots; three in a stand would give a first figure.")
        show.notes(told["notes"])
        return
    show.say(f"{words.answer(reasons.plain(told['growth']))} grow in the stands that have a range of their own.")
    if told["growth"].why:
        why = reasons.said(told["growth"].why)
        show.say(why[:1].upper() + why[1:] + ".", indent=2)
    show.say()
    show.table(tables.GROW_STANDS, told, years=years)
    show.say()
    show.say(told["words"], indent=2)
    show.say("Seasons since the plots. Growth: full cords a year over the next ten, uncut.", indent=2)
    show.say()
    show.table(tables.GROW_PATH, told)
    show.notes(told["notes"])

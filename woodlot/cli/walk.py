"""``woodlot walk``: read everything, and say what is there and what does not fit."""

from datetime import date
from pathlib import Path
from typing import Any

import click

from woodlot.cli import options, show
from woodlot.errors import PlaceError
from woodlot.say import tables


@click.command(short_help="Read everything: acres, gaps, corners, and every row to mend.")
@options.shared("place", "region", "as_of", "csv", "json")
@show.plain_faults
def walk(place: Path, region: str | None, as_of: date | None, csv_file: Path | None, as_json: bool) -> None:
    """Read every file of PLACE: acres beside deed acres, how parcels meet, where lines do not fit, rows to mend.

    Rasters are opened too, and read under the parcels.

    --csv writes the parcels. Nothing in the place is changed.

    Example:  woodlot walk sample_parcels/otter_lake
    """
    from woodlot.season import season

    opened, remarks = _opened(place, region, as_of)
    land = season(opened).measured
    plots = land.stands["stand_id"].map(opened.plots["stand_id"].value_counts()).fillna(0).astype(int)
    stands = land.stands.assign(plots=plots)
    rows = {name: len(getattr(opened, name)) for name in opened.files}
    told = {
        "name": opened.name,
        "region": opened.region.name,
        "as_of": opened.as_of,
        "rows": rows,
        "parcels": land.parcels,
        "contacts": land.contacts,
        "miles_between": land.distances,
        "stands": stands,
        "problems": land.problems,
        "rasters": {name: path.name for name, path in opened.rasters.items()},
        "warnings": [*opened.warnings, *remarks],
    }
    if show.deliver(told, tables.WALK_PARCELS, csv_file, as_json):
        _screen(opened, told)


def _opened(folder: Path, region: str | None, as_of: date | None) -> tuple[Any, list[str]]:
    """The place and what is to be said of its rasters; faults of tables, maps and rasters are raised together."""
    from woodlot import place as places
    from woodlot.story import ground

    try:
        opened = options.open_place(folder, region, as_of)
    except PlaceError as error:
        drawn = places.outlines(folder)
        faults, _ = ground.raster_faults(places.rasters(folder), drawn.get("parcels"))
        raise PlaceError([*error.faults, *faults]) from error.__cause__
    faults, remarks = ground.raster_faults(opened.rasters, opened.parcels)
    if faults:
        raise PlaceError(faults)
    return opened, remarks


def _screen(opened: Any, told: dict[str, Any]) -> None:
    from woodlot.stand.layout import TOLERANCE_AC

    parcels, contacts, stands, problems = (told[key] for key in ("parcels", "contacts", "stands", "problems"))
    show.title(f"{opened.name}: what was read", opened.as_of)
    show.say(_counts(opened, parcels, stands))
    show.say()
    show.table(tables.WALK_PARCELS, told)
    show.say()
    show.say("Acres are measured on the map; the deed's are kept beside them.", indent=2)
    if len(parcels) > 1:
        show.say()
        show.say("How the parcels lie")
        for line in contacts["words"] if len(contacts) else ["No two parcels touch."]:
            show.say(line, indent=2, hang=4)
        blocks = int(parcels["block"].max())
        show.say("All in one block." if blocks == 1 else f"{blocks} blocks that do not join.", indent=2)
    if len(stands):
        show.say()
        show.table(tables.WALK_STANDS, told)
        show.say()
        show.say("Acres without home ground and water, beside acres on the map.", indent=2)
    show.say()
    if len(problems):
        show.say("Where lines do not fit")
        for line in problems["words"]:
            show.say(line, indent=2, hang=4)
    elif len(stands):
        show.say(f"Stands and parcels fit together within {TOLERANCE_AC:g} acres.")
    show.notes(told["warnings"])
    show.say()
    show.say("Every row can be used.")


def _counts(opened: Any, parcels: Any, stands: Any) -> str:
    def many(number: int, word: str) -> str:
        return f"{number:,} {word}{'' if number == 1 else 's'}"

    said = f"{many(len(parcels), 'parcel')}, {parcels['acres'].sum():,.1f} acres."
    if len(stands):
        said += f" {many(len(stands), 'stand')}, {stands['acres'].sum():,.1f} acres without home ground and water."
    measured = [
        many(len(getattr(opened, name)), word)
        for name, word in (("plots", "plot"), ("pellets", "pellet plot"), ("ledger", "note"))
        if len(getattr(opened, name))
    ]
    trees = int(opened.trees["count"].sum())
    measured[1:1] = [many(trees, "tree")] if trees else []
    return said + (f" {', '.join(measured)}." if measured else "")

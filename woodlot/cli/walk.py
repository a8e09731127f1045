"""``woodlot walk``: read everything, and say what is there and what does not fit."""

from dataclasses import asdict, dataclass
from datetime import date
from itertools import starmap
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
    from woodlot.answers.first_plots import first_plots_answer
    from woodlot.answers.land import contacts_table, near_table, problems_table
    from woodlot.answers.noted import ground_noted, parcels_noted, unplaced
    from woodlot.answers.wishes import ground_wished
    from woodlot.place import photos
    from woodlot.say import ground
    from woodlot.season import season

    opened, remarks = _opened(place, region, as_of)
    asked = season(opened)
    land = asked.measured
    plots = land.stands["stand_id"].map(opened.plots["stand_id"].value_counts()).fillna(0).astype(int)
    stands = land.stands.assign(plots=plots)
    files = _in_folder(place)
    rows = {name: len(getattr(opened, name)) for name in opened.files}
    answer = {
        "name": opened.name,
        "region": opened.region.name,
        "as_of": opened.as_of,
        "rows": rows,
        "parcels": land.parcels,
        "contacts": contacts_table(land),
        "miles_between": land.distances,
        "stands": stands,
        "problems": problems_table(land),
        "files": [asdict(one) for one in files],
        "near_lines": near_table(asked.near, land.parcels, str(place)),
        "rasters": {name: path.name for name, path in opened.rasters.items()},
        "warnings": [*opened.warnings, *remarks, *unplaced(opened), *photos.amiss(place, opened.ledger)],
    }
    if told := ground_noted(opened):
        answer["noted"] = list(told)
    if walked := parcels_noted(opened):
        answer["lines_walked"] = walked
    if wished := ground_wished(asked):
        answer["wishes"] = wished
    answer["near_lines_said"] = ground.near_said(answer["near_lines"])
    if opened.plots.empty and (put := first_plots_answer(asked)):
        answer["first_plots"] = put
    if show.deliver(answer, tables.WALK_PARCELS, csv_file, as_json):
        _screen(opened, answer)


@dataclass(frozen=True)
class _File:
    name: str
    taken_for: str
    words: str


def _in_folder(place: Path) -> list[_File]:
    """Every file of the folder, and in words what it was taken for."""
    from woodlot import place as places
    from woodlot.say import bring

    there = places.in_folder(place)
    return [_File(one.name, one.taken_for, bring.lies(one.taken_for, one.of, one.name, place)) for one in there]


def _opened(folder: Path, region: str | None, as_of: date | None) -> tuple[Any, list[str]]:
    """The place and what is to be said of its rasters; faults of tables, maps and rasters are raised together."""
    from woodlot import place as places
    from woodlot.say import ground
    from woodlot.say.reasons import said
    from woodlot.stand.seen_from_above import unreadable

    try:
        opened = options.open_place(folder, region, as_of)
    except PlaceError as error:
        bad, _ = unreadable(places.rasters(folder), places.outlines(folder).get("parcels"))
        raise PlaceError([*error.faults, *starmap(ground.raster_fault, bad)]) from error.__cause__
    bad, notes = unreadable(opened.rasters, opened.parcels)
    if bad:
        raise PlaceError([*starmap(ground.raster_fault, bad)])
    return opened, [said(note) for note in notes]


def _screen(opened: Any, answer: dict[str, Any]) -> None:
    from woodlot.say import bring, ground
    from woodlot.stand.layout import TOLERANCE_AC

    parcels, contacts, stands, problems = (answer[key] for key in ("parcels", "contacts", "stands", "problems"))
    show.title(f"{opened.name}: what was read", opened.as_of)
    trees = int(opened.trees["count"].sum())
    drawn = stands[~stands["stand_id"].isin(opened.whole_parcels) | (stands["gross_ac"] > stands["acres"])]
    show.say(ground.read_counts(parcels, drawn, answer["rows"] | {"trees": trees}))
    if put := answer.get("first_plots"):
        show.say(f"This weekend: {put.number}, {put.how_long}. Sheets with the way:  woodlot sheet {opened.folder}")
    show.say()
    show.table(tables.WALK_PARCELS, answer)
    show.say()
    show.say(ground.ACRES_BY_MAP, indent=2)
    if len(parcels) > 1:
        show.say()
        show.say("How the parcels lie")
        for line in contacts["words"] if len(contacts) else [ground.NO_CONTACT]:
            show.say(line, indent=2, hang=4)
        show.say(ground.blocks(int(parcels["block"].max())), indent=2)
    if len(drawn):
        show.say()
        show.table(tables.WALK_STANDS, answer)
        show.say()
        show.say(ground.WORKING_ACRES, indent=2)
    if "wishes" in answer:
        show.say()
        show.say("Your wishes")
        for one in answer["wishes"]:
            show.say(f"Stand {one['stand_id']}: {one['words']}", indent=2, hang=4)
    for head, key in (("From your notes", "noted"), ("Your lines", "lines_walked")):
        if key in answer:
            show.say()
            show.say(head)
            names = answer[key]
            for line in names if isinstance(names, list) else (f"{name}: {told}" for name, told in names.items()):
                show.say(line, indent=2, hang=4)
    if len(problems) or len(drawn):
        show.say()
    if len(problems):
        show.say("Where lines do not fit")
        for line in problems["words"]:
            show.say(line, indent=2, hang=4)
    elif len(drawn):
        show.say(ground.fit(TOLERANCE_AC))
    show.say()
    show.say("Files in the folder")
    for line in bring.in_folder([(one["name"], one["taken_for"], one["words"]) for one in answer["files"]]):
        show.say(line, indent=2, hang=4)
    if len(answer["near_lines"]):
        show.say()
        show.say("Lines that nearly agree")
        for line in answer["near_lines_said"]:
            show.say(line, indent=2, hang=4)
    show.notes(answer["warnings"])
    show.say()
    show.say("Every row can be used.")

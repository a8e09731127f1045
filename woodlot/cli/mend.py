"""``woodlot mend``: lines traced twice drawn as one."""

from pathlib import Path
from typing import Any

import click

from woodlot.cli import options, show
from woodlot.errors import InputError
from woodlot.say import tables


@click.command(short_help="Draw lines that were traced twice as one; the file as it was is kept.")
@options.shared("place")
@click.option(
    "--within",
    "within_ft",
    required=True,
    type=click.FloatRange(0.0, 200.0, min_open=True),
    metavar="FEET",
    help="Lines that run along each other nowhere farther apart than this are one; `woodlot walk` names a distance.",
)
@click.option(
    "--pair",
    "pairs",
    nargs=2,
    multiple=True,
    metavar="ID ID",
    help="Two parcels that share a line by deed, although a road or a brook could lie between. May be given again.",
)
@click.option("--dry-run", is_flag=True, help="Only tell what would move; write nothing.")
@options.shared("json")
@show.plain_faults
def mend(
    place: Path,
    within_ft: float,
    pairs: tuple[tuple[str, str], ...],
    dry_run: bool,
    as_json: bool,
) -> None:
    """Draw lines of parcels and stands of PLACE that lie within a distance of each other as one line, midway.

    A gap that is nowhere narrower than a lane, or in which a road or a water is drawn, stays, and so does what is
    farther apart. Lines of stands go with the lines of their parcels. The file as it was is kept beside the new one
    (parcels.before.geojson). A map in another format is written as GeoJSON.

    Example:  woodlot mend our_woods --within 15
    """
    from woodlot import place as places
    from woodlot.answers.land import near_table
    from woodlot.land.mended import redrawn
    from woodlot.land.near_lines import near_lines
    from woodlot.say import ground

    opened = places.maps(place)
    for one in {one for pair in pairs for one in pair}:
        if one not in set(opened.parcels["parcel_id"]):
            raise InputError(f"there is no parcel {one!r}; there are {', '.join(opened.parcels['parcel_id'])}")
    drawn = redrawn(opened.parcels, opened.stands, opened.features, within_ft, list(pairs), region=opened.region)
    changes = drawn.changes
    left = near_lines(drawn.parcels, drawn.stands, opened.features, region=opened.region)
    if not changes["moved_ft"].any():
        farther = left.loc[left["kind"] != "lane", "within_ft"]
        raise InputError(ground.none_near(within_ft, float(farther.min()) if len(farther) else None))
    files: dict[str, str] = {}
    for table, what in (("parcels", "parcel"), ("stands", "stand")):
        moves = (changes.loc[changes["what"] == what, "moved_ft"] > 0).any()
        if moves and not dry_run:
            files |= [places.redraw(opened, table, getattr(drawn, table))]
    answer: dict[str, Any] = {
        "name": opened.name,
        "within_ft": within_ft,
        "dry_run": dry_run,
        "outlines": changes[changes["moved_ft"] > 0],
        "near_lines": near_table(left, drawn.parcels, str(place)),
        "files": files,
        "words": ground.drawn_as_one(changes, within_ft, files, dry_run),
    }
    if not show.deliver(answer, tables.MEND_OUTLINES, None, as_json):
        return
    show.table(tables.MEND_OUTLINES, answer)
    show.say()
    for line in answer["words"]:
        show.say(line)
    if len(left):
        show.say()
        show.say("Left as they are")
        for line in answer["near_lines"]["words"]:
            show.say(line, indent=2, hang=4)

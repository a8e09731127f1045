"""``woodlot group``: neighbors who pool ground and take, whose the next doe is, and the file one hands them."""

from datetime import date
from pathlib import Path

import click

from woodlot.cli import options, show
from woodlot.say import tables
from woodlot.say.words import BEFORE_HUNT


@click.command(short_help="Neighbors who pool ground and take: whose the next doe is.")
@options.shared("place", "region", "as_of")
@click.option(
    "--hand-out",
    "file_out",
    metavar="FILE",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write the file that you hand your neighbors (GeoJSON): outline, acres and kills by fall, nothing else. It is "
    "never written over another file.",
)
@options.shared("csv", "json")
@show.plain_faults
def group(
    place: Path,
    region: str | None,
    as_of: date | None,
    file_out: Path | None,
    csv_file: Path | None,
    as_json: bool,
) -> None:
    """Families who share the deer of PLACE: acres, who is in reach, kills by fall, and whose the next doe is.

    Neighbors' files lie in PLACE/group; those count that stand in place.toml under [[group]] with agreed = true.

    Example:  woodlot group our_woods --hand-out our_woods/out/to_neighbors.geojson
    """
    from woodlot.answers.as_json import as_json as plain
    from woodlot.answers.group import group_answer
    from woodlot.place.hand_out import write_hand_out
    from woodlot.plan.cautions import short_of_deer
    from woodlot.say.group import first_screen

    asked = options.open_season(place, region, as_of)
    answer = group_answer(asked)
    written = write_hand_out(file_out, asked.group) if file_out is not None else None
    mind = list(short_of_deer(asked.place.region).values())
    shown = {"name": asked.place.name, "as_of": asked.day, **plain(answer), "cautions": mind}
    shown |= {"file": str(written)} if written else {}
    if not show.deliver(shown, tables.GROUP_FAMILIES, csv_file, as_json):
        return
    show.title(f"{asked.place.name}: the neighbors, {answer.season}", asked.day)
    for row in first_screen(asked.group, answer.season, answer.reach_ft):
        show.fact(*row)
    for table in (tables.GROUP_FAMILIES, tables.GROUP_FALLS):
        if len(answer.families) > 1 and table.rows(shown):
            show.say()
            show.table(table, shown)
    if answer.left_out:
        show.notes(answer.left_out, "Left out")
    show.say()
    show.say(
        f"Written: {written}. Look into it before you hand it on."
        if written
        else "What you would hand out (--hand-out)"
    )
    for sentence in answer.handed_out:
        show.say(sentence, indent=2, hang=4)
    show.say()
    show.say(f"{BEFORE_HUNT}: {' '.join(mind)}")

"""``woodlot what-if``: the far plan beside the same plan in other years, or with another need."""

from datetime import date
from pathlib import Path

import click

from woodlot.cli import options, show
from woodlot.say import tables
from woodlot.trade import WHAT_IFS, key_of


@click.command(name="what-if", short_help="The plan beside a dry decade, a storm, ash gone and other what-ifs.")
@options.shared("place")
@click.argument("names", metavar="[NAME]...", nargs=-1, type=options.Among(WHAT_IFS))
@options.shared("region", "as_of", "level", "seed", "csv", "json")
@show.plain_faults
def what_if(
    place: Path,
    names: tuple[str, ...],
    region: str | None,
    as_of: date | None,
    level: float | None,
    seed: int,
    csv_file: Path | None,
    as_json: bool,
) -> None:
    """What would be otherwise in PLACE in fifty years, and in the next ten, if: one row a NAME, today's plan first.

    NAME: less-firewood, more-firewood, ash-gone, browse-unchecked, deer-fenced, dry-decade, windstorm; without one all
    of them. Nothing of it goes into the plan. --csv writes one row each.

    Example:  woodlot what-if sample_parcels/otter_lake ash-gone windstorm
    """
    from woodlot.answers.as_json import as_json as plain
    from woodlot.answers.what_ifs import what_ifs_answer
    from woodlot.say import what_ifs as say

    if not place.exists() and key_of(str(place), WHAT_IFS) in WHAT_IFS:
        place, names = Path(), (key_of(str(place), WHAT_IFS), *names)
    asked = options.open_season(place, region, as_of, level, seed=seed)
    answer = what_ifs_answer(asked, tuple(name for name in WHAT_IFS if name in names or not names))
    shown = plain(answer)
    if not show.deliver(shown, tables.WHAT_IFS, csv_file, as_json):
        return
    show.title(f"{asked.place.name}: what if", asked.day)
    show.say(answer.headline)
    if answer.scenarios:
        show.say()
        show.table(tables.WHAT_IFS, shown)
        show.say()
        show.say(say.COLUMNS, indent=2)
        show.say()
        show.table(tables.WHAT_IF_RANGES, shown)
    for one in answer.scenarios[1:]:
        show.say()
        show.say(f"{say.heading(one.name)} {one.words}")
        show.say(f"Not known: {one.unknown}", indent=2, hang=4)
    if answer.cautions:
        show.notes(answer.cautions, "Mind")
    show.notes(answer.notes)

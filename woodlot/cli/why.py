"""``woodlot why``: how one number was made."""

from datetime import date
from pathlib import Path

import click

from woodlot.cli import options, show
from woodlot.say import tables


@click.command(short_help="How one number was made: method, figures, sources, range.")
@click.argument("what", metavar="WHAT", required=False)
@options.shared("place", "region", "stand", "as_of", "level", "json")
@show.plain_faults
def why(
    what: str | None,
    place: Path,
    region: str | None,
    stand: str | None,
    as_of: date | None,
    level: float | None,
    as_json: bool,
) -> None:
    """How WHAT was made: cords, bdft, basal, cut, heat, deer, take, cover, sugarbush or builds.

    With changed: what moved since the last plan.

    Its plots, equations, sources and range. Without --stand it is told for the whole place.

    Example:  woodlot why cords sample_parcels/otter_lake --stand 1
    """
    from woodlot.answers.why import WHAT, explain

    if what is None:
        known = list(WHAT)
        raise click.UsageError(f"Say which number: {', '.join(known[:-1])} or {known[-1]}.")
    asked = options.open_season(place, region, as_of, level, stand=stand)
    answer = explain(asked, what, stand)
    if not show.deliver(answer, None, None, as_json):
        return
    of_stand = f", stand {answer.stand}" if answer.stand else ""
    show.title(f"{asked.place.name}: why {what}{of_stand}", asked.day)
    for sentence in answer.sentences:
        show.say(sentence, hang=2)
    for heading, rows in answer.tables.items():
        show.say()
        show.table(tables.why(heading, rows), vars(answer))

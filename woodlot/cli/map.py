"""``woodlot map``: the one-file map that opens without signal."""

from datetime import date
from pathlib import Path

import click

from woodlot.cli import options, show


@click.command(short_help="The one-file map that opens without signal.")
@options.shared("place", "region", "as_of", "level")
@show.plain_faults
def map(place: Path, region: str | None, as_of: date | None, level: float | None) -> None:
    """Write out/map.html for PLACE: one file with everything in it; copy it to a phone and open it there.

    Example:  woodlot map sample_parcels/otter_lake
    """
    from woodlot.answers.land import drawn
    from woodlot.answers.whole import answers
    from woodlot.map import page
    from woodlot.place import check_results, write_results

    asked = options.open_season(place, region, as_of, level)
    out = asked.place.folder / "out"
    check_results(out, ["map.html"])
    html = page.html(answers(asked, with_futures=False), **drawn(asked))
    path = write_results(out, {"map.html": html}).written[0]
    show.say(f"Written: {path} ({len(html.encode()) / 1024:,.0f} KB). Copy it to a phone and open it there.")

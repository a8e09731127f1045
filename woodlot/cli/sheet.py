"""``woodlot sheet``: tally sheets to carry, on paper and on a phone; and what the phone saved, put into the place."""

from datetime import date
from pathlib import Path

import click

from woodlot.cli import options, show
from woodlot.trade import PAPERS

PHONE, PAPER, WALK = "tally_phone.html", "tally_sheets.html", "first_plots.gpx"


@click.command(short_help="Tally sheets to carry, on paper and on a phone without signal.")
@options.shared("place", "region", "as_of")
@click.option("--paper", type=options.Among(PAPERS), default="letter", show_default=True, help="Paper size.")
@click.option("--baf", type=click.FloatRange(1, 100), default=10.0, show_default=True, help="Factor of your prism.")
@options.shared("answer", "within", "hours")
@click.option(
    "--add",
    "saved",
    multiple=True,
    metavar="FILE",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A CSV the phone page saved (plots, trees, pellets, browse): put its rows behind the place's own.",
)
@show.plain_faults
def sheet(
    place: Path,
    region: str | None,
    as_of: date | None,
    paper: str,
    baf: float,
    answer: str | None,
    within_pct: float | None,
    hours: float | None,
    saved: tuple[Path, ...],
) -> None:
    """Write out/tally_sheets.html to print and out/tally_phone.html to tally with, for the stands of PLACE.

    The plots of the next day get sheets with where to put them, and out/first_plots.gpx has the walk to them.

    With --add nothing is drawn: rows that the phone saved go into the tables of PLACE, after a check of it all.

    Example:  woodlot sheet sample_parcels/otter_lake --baf 10
    """
    from shapely.geometry import mapping

    from woodlot.answers.first_plots import first_plots_answer
    from woodlot.answers.measuring import measuring_answer
    from woodlot.answers.scale import scale_answer
    from woodlot.map import export
    from woodlot.paper import tally_files, tally_page, tally_sheet
    from woodlot.place import add_rows, check_results, write_results
    from woodlot.plan.cautions import short_of_deer
    from woodlot.say.first_plots import PLOTS_TO_MEASURE
    from woodlot.say.words import capital
    from woodlot.tree.quality import letters

    if saved:
        counts = add_rows(place, saved, tally_files.joined)
        for name, rows in counts.items():
            show.say(f"{name}: {rows} rows now.")
        return
    cruised = {"answer": answer, "within_pct": within_pct, "hours": hours}
    asked = options.open_season(place, region, as_of, cruise=cruised)
    out = asked.place.folder / "out"
    check_results(out, [PAPER, PHONE, WALK])
    found = scale_answer(asked, None, None)
    plots, measuring = first_plots_answer(asked), measuring_answer(asked)
    shapes = dict(zip(asked.measured.stands["stand_id"], map(mapping, asked.measured.stands.geometry), strict=True))
    factors = sorted({baf, 10.0, 20.0})[:2]
    files = {
        PAPER: tally_sheet.html(
            found,
            measuring,
            factors=factors,
            paper=paper,
            to_put=plots,
            shapes=shapes,
            letters=letters(region=asked.place.region),
            mind=short_of_deer(asked.place.region),
        ),
        PHONE: tally_page.html(found, asked.place.region, measuring, baf, plots),
        WALK: export.walk_gpx(found.name, plots),
    }
    for path in write_results(out, files).written:
        show.say(f"Written: {path}")
    if plots and plots.plots:
        show.say(f"{capital(PLOTS_TO_MEASURE)}: {plots.number}, {plots.how_long}.")
    for line in plots.words if plots else ():
        show.say(line)
    show.say(f"Copy {PHONE} to the phone before you go; it needs no signal. What it saves comes back with  --add FILE")

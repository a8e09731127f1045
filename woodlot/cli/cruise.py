"""``woodlot cruise``: what stands in each stand, with its range, and plots still to measure."""

from datetime import date
from pathlib import Path

import click

from woodlot.cli import options, show
from woodlot.say import tables


@click.command(short_help="What stands where, with its range, and plots still to measure.")
@options.shared("place", "region", "parcel", "stand", "as_of", "level")
@click.option(
    "--within",
    "within_pct",
    type=click.FloatRange(1, 100),
    default=25.0,
    show_default=True,
    metavar="PCT",
    help="How near the truth you want to come, each way; plots still to measure are counted for it.",
)
@options.shared("csv", "json")
@show.plain_faults
def cruise(
    place: Path,
    region: str | None,
    parcel: str | None,
    stand: str | None,
    as_of: date | None,
    level: float | None,
    within_pct: float,
    csv_file: Path | None,
    as_json: bool,
) -> None:
    """Plots and tallies of PLACE as stand tables: basal area, trees, diameter, each with its range.

    --csv writes the table by species and 2-inch class.

    Example:  woodlot cruise sample_parcels/otter_lake --stand 1
    """
    from woodlot.answers.as_json import as_json as plain
    from woodlot.answers.cruise import TreesOfClass, cruise_answer
    from woodlot.answers.plain_cells import frame_of
    from woodlot.say import cruise, first_plots, ground
    from woodlot.say.words import capital

    asked = options.open_season(place, region, as_of, level, parcel, stand)
    answer = cruise_answer(asked, parcel, stand, within_pct)
    rows = plain(answer) | {"stand_table": frame_of(TreesOfClass, answer.stand_table)}
    if not show.deliver(rows, tables.CRUISE_TREES, csv_file, as_json):
        return
    show.title(f"{answer.name}: what the plots say", asked.day)
    show.say(ground.acres_behind(**vars(answer.ground)))
    show.say()
    show.table(tables.CRUISE_STANDS, rows)
    show.say()
    show.say(cruise.columns(within_pct), indent=2)
    if stand is not None and answer.stand_table:
        show.say()
        show.table(tables.CRUISE_TREES, rows)
    if answer.measuring:
        show.say()
        for one in answer.measuring.heights if stand is not None else ():
            show.say(one.words)
            if one.short:
                show.say(cruise.heights_wanted(one.short), indent=2)
        show.say(answer.measuring.words)
    show.notes(answer.remarks)
    if answer.first_plots:
        show.say()
        show.say(f"{capital(first_plots.PLOTS_TO_MEASURE)}: {answer.first_plots.how_long}")
        for line in [f"{p.plot_id}: {p.whole_way}." for p in answer.first_plots.plots]:
            show.say(line, indent=2, hang=4)
        for line in answer.first_plots.without_walks:
            show.say(line, indent=2, hang=4)

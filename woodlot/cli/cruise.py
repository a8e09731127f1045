"""``woodlot cruise``: what stands in each stand, with its range, and plots still to measure."""

from datetime import date
from pathlib import Path

import click

from woodlot.cli import options, show
from woodlot.say import tables


@click.command(short_help="What stands where, with its range, and plots still to measure.")
@options.shared("place", "region", "parcel", "stand", "as_of", "level")
@options.shared("answer", "within", "hours")
@click.option("--anew", is_flag=True, help="Say too what a cruise from nothing would take, by spread and by acres.")
@options.shared("csv", "json")
@show.plain_faults
def cruise(
    place: Path,
    region: str | None,
    parcel: str | None,
    stand: str | None,
    as_of: date | None,
    level: float | None,
    answer: str | None,
    within_pct: float | None,
    hours: float | None,
    anew: bool,
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

    cruised = {"answer": answer, "within_pct": within_pct, "hours": hours}
    asked = options.open_season(place, region, as_of, level, parcel, stand, cruised)
    found = cruise_answer(asked, parcel, stand)
    rows = plain(found) | {"stand_table": frame_of(TreesOfClass, found.stand_table)}
    if not show.deliver(rows, tables.CRUISE_TREES, csv_file, as_json):
        return
    show.title(f"{found.name}: what the plots say", asked.day)
    show.say(ground.acres_behind(**vars(found.ground)))
    show.say()
    show.table(tables.CRUISE_STANDS, rows)
    show.say()
    show.say(cruise.columns(found.within_pct), indent=2)
    if stand is not None and found.stand_table:
        show.say()
        show.table(tables.CRUISE_TREES, rows)
    show.say()
    for one in found.measuring.heights if stand is not None and found.measuring else ():
        show.say(one.words)
        if one.short:
            show.say(cruise.heights_wanted(one.short), indent=2)
    if found.measuring:
        show.say(found.measuring.words)
    show.notes(found.remarks)
    new = found.lacking.new_cruise
    if told := [*found.lacking.words, *filter(None, [found.last_day, new.words if anew and new else ""])]:
        show.say()
        for line in told:
            show.say(line)
    if put := found.first_plots:
        show.say()
        show.say(f"{capital(first_plots.PLOTS_TO_MEASURE)}: {put.number}, {put.how_long}" if put.plots else "")
        for line in [f"{p.plot_id}: {p.whole_way}." for p in put.plots]:
            show.say(line, indent=2, hang=4)
        for line in put.without_walks:
            show.say(line, indent=2, hang=4)

"""``woodlot plan``: the whole job; map, report and tables in out/."""

from datetime import date
from pathlib import Path
from typing import Any

import click

from woodlot.cli import options, show


@click.command(short_help="The whole job: map, report and tables in out/.")
@options.shared("place", "region", "as_of", "level")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Paper size.")
@click.option("--pdf", is_flag=True, help="Write report.pdf too (needs the extra woodlot[pdf]).")
@options.shared("json")
@show.plain_faults
def plan(
    place: Path, region: str | None, as_of: date | None, level: float | None, paper: str, pdf: bool, as_json: bool
) -> None:
    """Everything in order for PLACE: acres, plots, wood, cut, deer; writes map.html, report.html and tables to out/.

    Example:  woodlot plan sample_parcels/otter_lake
    """
    from woodlot import story
    from woodlot.map import export, layers, page
    from woodlot.paper import pdf as printing
    from woodlot.paper import report
    from woodlot.place import write_files
    from woodlot.story import views

    asked = options.open_season(place, region, as_of, level)
    opened = asked.place
    told = story.answers(asked)
    shown = views.drawn(asked)
    shapes = (shown["parcels"], shown["stands"], shown["features"])
    drawn = layers.build(told, **shown)
    files: dict[str, str | bytes] = {
        "map.html": page.html(told, **shown, drawn=drawn),
        "report.html": report.html(told, *shapes, paper=paper, drawn=drawn),
        **export.files(told, *shapes, drawn=drawn),
        **story.table_files(asked, told),
    }
    if pdf:
        files["report.pdf"] = printing.from_html(str(files["report.html"]))
    out = opened.folder / "out"
    write_files(out, files)
    if show.deliver(told, None, None, as_json):
        _screen(opened, told, list(files), out)


def _screen(opened: Any, told: dict[str, Any], files: list[str], out: Path) -> None:
    from woodlot.story import views

    show.title(f"{told['name']}: plan for winter {told['winter']}", opened.as_of)
    many = len(told["parcels"])
    show.say(
        f"{many} parcel{'s' * (many != 1)}, {told['totals']['parcel_acres']:,.1f} acres. "
        f"{views.ground_words(told['totals'])}"
    )
    show.say()
    show.say(told["headline"])
    show.say()
    for row in told["rows"]:
        head = f"{row['title']}:".ljust(20)
        bracket = f" ({row['range']})" if row["range"] else ""
        show.say(f"{head}{row['number']}{bracket}.", indent=2, hang=22)
        if row["why"]:
            show.say(row["why"], indent=22)
    if told["cautions"]:
        show.say()
        show.say("Before you cut")
        for one in told["cautions"]:
            show.say(f"{one['where']}: {one['text']}", indent=2, hang=4)
    rasters = tuple(Path(file).name for file in opened.rasters.values())
    unused = [one for one in told["warnings"] if rasters and one.startswith(rasters)]
    if unused:
        show.say()
        show.say("Rasters")
        for one in unused:
            show.say(one, indent=2, hang=4)
        show.say()
    law = next((c for c in told["deer"]["cautions"] if c.startswith("Season")), "")
    show.say(f"Before you hunt: {law}")
    show.say()
    tables = [f for f in files if f.startswith("tables/")]
    show.say(
        f"In {out}: map.html (opens on a phone without signal), report.html (to print), answers.json, plan.gpkg, "
        f"woods.gpx, woods.kml and {len(tables)} tables. How a number was made:  woodlot why cords"
    )

"""``woodlot plan``: the whole job; map, report and tables in out/."""

import re
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING
from warnings import warn

import click

from woodlot.cli import options, show
from woodlot.errors import PlaceError, WoodlotError, WoodlotWarning
from woodlot.say.words import BEFORE_HUNT
from woodlot.trade import PAPERS

if TYPE_CHECKING:
    from woodlot.answers.types import Answers
    from woodlot.place import Place
    from woodlot.place.kept_plans import Kept
    from woodlot.place.results import Results
    from woodlot.season import Season


@click.command(short_help="The whole job: map, report and tables in out/.")
@options.shared("place", "region", "as_of", "level")
@click.option("--paper", type=options.Among(PAPERS), default="letter", show_default=True, help="Paper size.")
@click.option("--pdf", is_flag=True, help="Write report.pdf too (needs the extra woodlot[pdf]).")
@options.shared("json")
@show.plain_faults
def plan(
    place: Path, region: str | None, as_of: date | None, level: float | None, paper: str, pdf: bool, as_json: bool
) -> None:
    """Everything in order for PLACE: acres, plots, wood, cut, deer; writes map.html, report.html and tables to out/.

    Example:  woodlot plan sample_parcels/otter_lake
    """
    from woodlot.paper import pdf as printing
    from woodlot.place import check_results, kept_plans, write_results
    from woodlot.place.results import OF_A_PLAN

    asked = options.open_season(place, region, as_of, level)
    opened = asked.place
    out = opened.folder / "out"
    check_results(out, [name for name in OF_A_PLAN if pdf or name != "report.pdf"])
    kept_plans.check(opened.folder)
    answered, files, kept, last = worked_out(asked, paper)
    if pdf:
        files["report.pdf"] = printing.from_html(str(files["report.html"]))
    results = write_results(out, files, instead_of=OF_A_PLAN)
    kept_in = _keep(opened.folder, kept, str(files["answers.json"]), last)
    if show.deliver(answered, None, None, as_json):
        _screen(opened, answered, results, out, kept_in)
        if not answered.totals.acres_with_plots and answered.first_plots:
            show.say(f"Sheets to print, with the way to each plot:  woodlot sheet {place}")


def worked_out(asked: "Season", paper: str) -> "tuple[Answers, dict[str, str | bytes], Kept, Kept | None]":
    """Answers of a season, the files that tell them by their names in out/, the plan to keep, and the last one."""
    from woodlot.answers import land
    from woodlot.answers.since_plan import first_figures
    from woodlot.answers.tables import table_files
    from woodlot.answers.whole import answers
    from woodlot.map import export, layers, page
    from woodlot.paper import report
    from woodlot.place import kept_plans

    last, passed = kept_plans.last_before(asked.place.folder, asked.place.as_of)
    _not_read(passed)
    kept = kept_plans.kept(asked.place, asked.level, first_figures(asked))
    answered = answers(asked, kept, last)
    shown = land.drawn(asked)
    shapes = (shown["parcels"], shown["stands"], shown["features"])
    drawn = layers.build(answered, **shown)
    files: dict[str, str | bytes] = {
        "map.html": page.html(answered, **shown, drawn=drawn),
        "report.html": report.html(answered, *shapes, paper=paper, drawn=drawn),
        **export.files(answered, *shapes, drawn=drawn),
        **table_files(asked, answered),
    }
    if answered.first_plots:
        files["first_plots.gpx"] = export.walk_gpx(answered.name, answered.first_plots)
    return answered, files, kept, last


def _screen(opened: "Place", answers: "Answers", results: "Results", out: Path, kept_in: str) -> None:
    from woodlot.say import ground

    show.title(f"{answers.name}: plan for winter {answers.winter}", opened.as_of)
    many = len(answers.parcels)
    whole = answers.totals
    acres = (whole.acres, whole.acres_with_plots, whole.acres_without, whole.acres_no_parcel)
    show.say(
        f"{many} parcel{'s' * (many != 1)}, {answers.totals.parcel_acres:,.1f} acres. {ground.acres_behind(*acres)}"
    )
    show.say()
    show.say(answers.headline)
    show.say()
    mind = _mind(answers)
    for row in answers.rows:
        twice = {*_sentences(mind), f"{row.number}."}  # said at the end of the screen, or just above
        why = [" ".join(one for one in _sentences(line) if one not in twice) for line in row.why.splitlines()]
        bracket = f" ({row.range})" if row.range else ""
        show.fact(row.title, f"{row.number}{bracket}", *why, at=22)
    if answers.cautions and whole.acres_with_plots:
        show.say()
        show.say("Before you cut")
        for one in answers.cautions:
            show.say(f"{one.where}: {one.text}", indent=2, hang=4)
    rasters = tuple(Path(file).name for file in opened.rasters.values())
    unused = [one for one in answers.warnings if rasters and one.startswith(rasters)]
    if unused:
        show.say()
        show.say("Rasters")
        for line in unused:
            show.say(line, indent=2, hang=4)
    show.say()
    show.say(f"{BEFORE_HUNT}: {mind}")
    show.say()
    tables = [file for file in results.written if file.parent.name == "tables"]
    kept = f" Kept for the next plan: {kept_in}." if kept_in else ""
    walk = ", first_plots.gpx" if answers.first_plots else ""
    show.say(
        f"In {out}: map.html (opens on a phone without signal), report.html (to print), answers.json, plan.gpkg, "
        f"woods.gpx, woods.kml{walk} and {len(tables)} tables.{kept} How a number was made:  woodlot why cords"
    )
    if results.taken_away:
        show.say(f"Taken away, since this plan has none: {' and '.join(results.taken_away)} of an earlier one.")


def _not_read(files: Sequence[str]) -> None:
    for name in files:
        warn(f"{name} cannot be read, so nothing is compared with it.", WoodlotWarning, stacklevel=2)


def _keep(folder: Path, plan: "Kept", answers: str, last: "Kept | None") -> str:
    """Where the plan is kept; nothing, and a word on it, where the folder or the disk refuses."""
    from woodlot.place.kept_plans import keep

    try:
        return keep(folder, plan, answers, last)
    except WoodlotError as error:
        why = "; ".join(fault.where() for fault in error.faults) if isinstance(error, PlaceError) else str(error)
        warn(f"This plan is not kept, so the next one cannot be compared with it. {why}.", WoodlotWarning, stacklevel=2)
        return ""


def _mind(answers: "Answers") -> str:
    """What to mind with deer; of counts and of a deer taken home only where there is a number of them."""
    from woodlot.plan.cautions import STAND

    measured = answers.deer.take.measured
    return " ".join(one.text for one in answers.deer_cautions or () if measured or one.where in STAND)


def _sentences(text: str) -> list[str]:
    return re.split(r"(?<=[.?!]) ", text) if text else []

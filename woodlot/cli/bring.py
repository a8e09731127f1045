"""``woodlot bring``: take in files as a family has them."""

import sys
from pathlib import Path
from typing import Any

import click

from woodlot.cli import show
from woodlot.errors import InputError

#: The question that each option answers, with about=answer as its form.
#: Questions that may be answered with more than what is offered.
_FREE = ("crs", "fill", "species", "species_unknown", "crs_unknown")
_PAIRS = ("heading", "species", "cover", "unit", "fill")


@click.command(short_help="Take in files as they are: maps, walks, spreadsheets.")
@click.argument("place", metavar="PLACE", type=click.Path(path_type=Path))
@click.argument("files", metavar="[FILE ...]", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--as", "tables", multiple=True, metavar="TABLE", help="What the file is, or LAYER=TABLE: parcels, trees."
)
@click.option("--heading", multiple=True, metavar="HEAD=COLUMN", help='Which column a heading is: "DBH=dbh_in".')
@click.option("--species", multiple=True, metavar="WORD=SPECIES", help='What a word for a tree means: "pop=aspen".')
@click.option("--cover", multiple=True, metavar="WORD=COVER", help="What a word for a cover means.")
@click.option("--unit", multiple=True, metavar="COLUMN=UNIT", help='Unit of a column: "height_ft=m".')
@click.option("--fill", multiple=True, metavar="COLUMN=VALUE", help='One value throughout: "baf_sqft_per_ac=10".')
@click.option("--crs", metavar="CODE", help="How coordinates are meant where the file does not say: EPSG:26916.")
@click.option("--sheet", metavar="NAME", default="", help="Only this sheet of a workbook.")
@click.option("--layer", metavar="NAME", default="", help="Only this layer or folder of a map file.")
@click.option("--region", metavar="NAME", help="Region of a place that is new.  [default: by where the outlines lie]")
@click.option("--yes", is_flag=True, help="Take the guesses that are safe.")
@show.plain_faults
def bring(
    place: Path, files: tuple[Path, ...], sheet: str, layer: str, region: str | None, yes: bool, **more: Any
) -> None:
    """Read FILES as you have them and write what they hold into the tables of PLACE.

    KML, KMZ, GPX, GeoPackage, Shapefile, GeoJSON, XLSX, CSV. Without FILE: those that lie in PLACE unread. A PLACE that
    is not there yet is laid out. What was understood is shown; what is not clear is asked once and remembered in
    words.csv. Without a terminal the options answer. Your own files are never changed, and no row of a table is
    written over.

    Example:  woodlot bring our_woods "Our land.kml" cruise.xlsx
    """
    from woodlot.place.bringing.bringing import Bringing
    from woodlot.place.bringing.model import Answers

    job = Bringing(place, files, region, sheet, layer)
    answers = Answers(_said(more), yes=yes)
    understood = job.understand(answers)
    while understood.questions and at_a_terminal() and not understood.faults:
        answers = _ask(understood.questions[0], answers)
        understood = job.understand(answers)
    _show(job, understood)
    if understood.questions:
        _open(understood.questions)
        raise click.exceptions.Exit(1)
    written = job.write(understood)
    _written(place, job, written)


def _said(more: dict[str, Any]) -> dict[tuple[str, str, str], str]:
    """Options as answers: (key of the question, file, about) -> answer. InputError for what can be no answer."""
    from woodlot.place.bringing.understanding import COLUMNS, KINDS
    from woodlot.trade import unknown

    said: dict[tuple[str, str, str], str] = {}
    for key in _PAIRS:
        for pair in more[key]:
            about, mark, answer = pair.rpartition("=")
            if not mark or not about.strip():
                raise InputError(f'--{key} {pair!r}: write it as "word=meaning"')
            if key == "heading" and answer.strip() and answer.strip() not in COLUMNS:
                raise InputError(f"--heading {pair!r}: no table has such a column; columns.txt lists them")
            said[key, "", about.strip().lower()] = answer.strip()
            if key == "unit" and answer.strip() in ("month first", "day first"):
                said["days", "", about.strip().lower()] = answer.strip()
    for pair in more["tables"]:
        about, _, answer = pair.rpartition("=")
        if answer.strip() not in KINDS:
            raise InputError(f"--as {pair!r}: {unknown(answer, KINDS)}")
        said["table", "", about.strip().lower()] = answer.strip()
        said["outlines", "", about.strip().lower()] = answer.strip()
    if more["crs"]:
        said["crs", "", ""] = more["crs"]
    return said


def at_a_terminal() -> bool:
    """Whether somebody can be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def _ask(question: Any, answers: Any) -> Any:
    """One question put to the family, and the answers with theirs."""
    from woodlot.say import bring as words

    show.say(words.asked(question.key, question.file, question.guess, question.facts))
    kind = click.Choice(question.choices) if question.choices and question.key not in _FREE else None
    answer = click.prompt("  Answer", default=question.guess or None, type=kind, show_choices=True)
    return answers.with_answer(question, str(answer))


def _show(job: Any, understood: Any) -> None:
    from woodlot.say import bring as words

    show.say("What was understood")
    if job.new:
        show.say(words.laid_out(job.place, job.region, job.region_told), indent=2, hang=4)
    for note in understood.notes:
        show.say(words.told(note.key, note.facts), indent=2, hang=4)


def _open(questions: Any) -> None:
    from woodlot.say import bring as words
    from woodlot.say.words import plural

    show.say(err=True)
    show.say(f"Stopped: {plural(len(questions), 'question')} open. Nothing was written.", err=True)
    for one in questions:
        show.say(words.asked(one.key, one.file, one.guess, one.facts), indent=2, hang=6, err=True)
        show.say(words.option(one.key, one.guess, one.choices, one.facts), indent=6, err=True)


def _written(place: Path, job: Any, written: Any) -> None:
    from woodlot.say import bring as words

    show.say()
    show.say(words.summary(written.added, written.same))
    if written.texts:
        show.say(f"Written in {place}: {', '.join(written.texts)}.")
    show.say(f"Next:  woodlot walk {place}")

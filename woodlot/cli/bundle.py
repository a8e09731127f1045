"""``woodlot bundle``: the whole record in one archive, to hand on; and whether one is whole."""

import shlex
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING
from warnings import warn

import click

from woodlot.cli import options, show
from woodlot.errors import WoodlotWarning
from woodlot.say import bundle as words

if TYPE_CHECKING:
    from woodlot.answers.types import Answers
    from woodlot.season import Season


@click.command(short_help="The whole record in one file to hand on, and whether one is whole.")
@options.shared("place")
@click.option(
    "--to",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Write this file, or into this folder (a stick).  [default: beside the place, named by it and the day]",
)
@click.option(
    "--check",
    "checked",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Say whether this file, or the folder it was unpacked into, is as it was handed on. Nothing else is done.",
)
@options.shared("region", "as_of", "level")
@show.plain_faults
def bundle(
    place: Path, to: Path | None, checked: Path | None, region: str | None, as_of: date | None, level: float | None
) -> None:
    """Put all of PLACE into one zip file: your files, map, report, tables, and a page that explains every one of them.

    Whoever opens it needs no woodlot. It is an open kind of archive, BagIt, with a checksum of every file. Nothing in
    PLACE is changed; no file that is there already is written over. Lay one out as a place again:  woodlot start NEW
    --from FILE

    Example:  woodlot bundle sample_parcels/otter_lake --to otter_lake.zip
    """
    if checked is not None:
        _check(checked)
        return
    from woodlot.cli.plan import worked_out
    from woodlot.place import bundle as archive
    from woodlot.place import photos
    from woodlot.place.kept_plans import as_file
    from woodlot.place.results import LIST, OUT, list_of, not_made
    from woodlot.season import at_work

    asked = options.open_season(place, region, as_of, level)
    opened = asked.place
    files, behind = archive.contents(opened.folder)
    file = archive.target(opened.folder, opened.name, opened.as_of, to)
    own = [f"{OUT}/{name}" for name in not_made(opened.folder / OUT) if archive.handed_on(Path(name).name)]
    _left(behind, own, photos.amiss(opened.folder, opened.ledger))
    answered, results, kept, last = worked_out(asked, "letter")
    made = {one: content.encode() if isinstance(content, str) else content for one, content in results.items()}
    made = {f"{OUT}/{one}": content for one, content in {**made, LIST: list_of(made)}.items()}
    name, plan = as_file(opened.folder, kept, str(results["answers.json"]), last)
    made |= {name: plan} if plan is not None else {}
    sizes = {one: path.stat().st_size for one, path in files.items()}
    sizes |= {one: len(content) for one, content in made.items()}
    again = "".join(
        f" --{option} {value}"
        for option, value in (("as-of", opened.as_of), ("region", region), ("level", level))
        if value is not None
    )
    pages = _pages(asked, answered, sizes, again)
    with at_work.get()("Packing the files"):
        new = archive.write(file, opened.name, opened.as_of, files, made, pages)
    size = file.stat().st_size / 1e6
    show.say(f"{'Written' if new else 'There already, the same'}: {file} ({size:,.1f} MB).")
    show.say(
        f"Keep a copy on two sticks in two houses. Whoever unpacks it opens {words.PAGE} first. Whether a copy is "
        f"whole: `woodlot bundle --check {shlex.quote(file.name)}`"
    )


def _left(behind: Sequence[str], own: Sequence[str], amiss: Sequence[str]) -> None:
    """Words on what is not in the archive."""
    if behind:
        said = f"Left out, since they are links to folders or no files: {', '.join(behind)}. Copy in what should go."
        warn(said, WoodlotWarning, stacklevel=2)
    if own:
        said = (
            f"Left out, since the folder out is made anew: {', '.join(own)}. To hand it on, put it beside place.toml."
        )
        warn(said, WoodlotWarning, stacklevel=2)
    for said in amiss:
        warn(said, WoodlotWarning, stacklevel=2)


def _pages(asked: "Season", answered: "Answers", sizes: Mapping[str, int], again: str) -> dict[str, str]:
    from woodlot.columns import TABLES, listing
    from woodlot.paper import bundle_page
    from woodlot.place.bundle import named
    from woodlot.place.lists import LISTS
    from woodlot.place.settings import SETTINGS

    settings = [row | {"table": f"[{row['table']}]"} for row in listing(SETTINGS)]
    settings += [row | {"table": f"[[{row['table']}]]"} for row in listing(LISTS)]
    trees = asked.place.region.table("tree_words")
    rows = trees[["word", "letter", "also"]].dropna(subset=["word", "letter"]).fillna("").astype(str)
    said = [(word, letter, also.replace(";", ", ")) for word, letter, also in rows.to_numpy().tolist()]
    base = named(asked.place.name, asked.place.as_of)
    page = bundle_page.parts(answered, sizes, [*listing(TABLES), *settings], said, base, again)
    title = words.title(answered.name)
    return {words.PAGE: bundle_page.html(title, page), words.TEXT: bundle_page.text(title, page)}


def _check(path: Path) -> None:
    """Say what a check finds; exit code 1 unless all is whole."""
    from woodlot.place.bundle import check

    found = check(path)
    if found.whole:
        show.say(words.whole(found.files))
    if not found.whole:
        show.say(f"Stopped: {path} is not as it was handed on.", hang=4, err=True)
    elif found.ledger:
        show.say("Stopped: its ledger is not as woodlot wrote it.", hang=4, err=True)
    for line in words.found(found.missing, found.changed, found.added, [*found.wrong, *found.ledger]):
        show.say(line, indent=2, hang=4, err=True)
    if not found.whole or found.ledger:
        raise click.exceptions.Exit(1)

"""``woodlot fell``: what felled trees become, which to fell for the house, and a sheet to carry to the saw."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from woodlot.cli import options, show
from woodlot.say import tables

if TYPE_CHECKING:
    from woodlot.answers.fell_types import FellAnswer, FellWords


@click.command(short_help="What felled trees become, which to fell for the house, a buck sheet.")
@options.shared("place", "region", "parcel", "stand", "as_of")
@click.option("--all", "whole", is_flag=True, help="Fell every tree of the tally (ground to be cleared).")
@options.shared("csv", "json")
@show.plain_faults
def fell(
    place: Path,
    region: str | None,
    parcel: str | None,
    stand: str | None,
    as_of: date | None,
    whole: bool,
    csv_file: Path | None,
    as_json: bool,
) -> None:
    """What the trees of tally.csv in PLACE become, and which of them to fell for the needs in place.toml.

    The list comes first, line by line; then each tree is cut for its best use and what is worth most stays standing.
    Posts are of a wood that lasts in the ground unless their line says wood = "any". With --all every tree is cut up,
    for the needs first, then for the best use. Writes out/buck_sheet.html, half a Letter page to carry.
    --csv writes one row a tree with its parts.

    Example:  woodlot fell sample_parcels/otter_lake
    """
    from woodlot.answers.as_json import as_json as plain
    from woodlot.answers.fell import fell_answer, fell_words
    from woodlot.paper import buck_sheet
    from woodlot.place import check_results, write_results

    asked = options.open_season(place, region, as_of, None, parcel, stand)
    out = asked.place.folder / "out"
    check_results(out, ["buck_sheet.html"])
    answer = fell_answer(asked, parcel, stand, whole)
    words, shown = fell_words(answer, whole), plain(answer)
    write_results(out, {"buck_sheet.html": buck_sheet.html(answer, words)})
    if not show.deliver(shown, tables.FELL_TREES, csv_file, as_json):
        return
    show.title(f"{answer.name}: {len(answer.trees)} trees of the tally", asked.day)
    _screen(answer, words, shown)
    show.say()
    show.say(f"In {out}: buck_sheet.html, half a Letter page, from the butt up.")


def _screen(answer: "FellAnswer", words: "FellWords", shown: dict[str, Any]) -> None:
    show.say(words.becomes)
    show.say()
    show.table(tables.FELL_PARTS, shown)
    show.say()
    show.say(words.measured, indent=2)
    if words.not_judged:
        show.say(words.not_judged, indent=2)
    show.say()
    if answer.wants:
        show.wants(answer.wants, shown)
        show.say()
    show.say(words.to_fell)
    if answer.fits:
        show.say(answer.fits)
    if answer.needs:
        show.say()
        show.table(tables.FELL_NEEDS, shown)
    posts = words.posts + (" m: from memory." if "†" in words.posts else "")
    short = [f"{need.line}: {need.words}." for need in answer.needs if need.words]
    told = (words.heat, words.surplus, words.burnt, words.short, words.not_for_lines, posts)
    for line in filter(None, [*short, *told]):
        show.say(line, indent=2, hang=4)
    if words.left:
        show.say()
        show.say(words.left)
    if words.not_by_hand:
        show.say()
        show.say("Not for hand felling without a professional")
        show.say(words.not_by_hand, indent=2)
    show.notes(answer.cautions, "Before you cut")

"""``woodlot fell``: what felled trees become, which to fell for the house, and a sheet to carry to the saw."""

from datetime import date
from pathlib import Path
from typing import Any

import click

from woodlot.cli import options, show
from woodlot.say import tables


@click.command(short_help="What felled trees become, which to fell for the house, a buck sheet.")
@options.shared("place", "region", "parcel", "stand", "as_of")
@click.option("--all", "whole", is_flag=True, help="Fell every tree of the tally (ground to be cleared).")
@click.option(
    "--prefer", metavar="LIST", help="Most wanted products first, as  pole,sawlog,post  [default: the region's]"
)
@options.shared("csv", "json")
@show.plain_faults
def fell(
    place: Path,
    region: str | None,
    parcel: str | None,
    stand: str | None,
    as_of: date | None,
    whole: bool,
    prefer: str | None,
    csv_file: Path | None,
    as_json: bool,
) -> None:
    """What the trees of tally.csv in PLACE become, and which of them to fell for the needs in place.toml.

    The least standing wood is taken that meets the needs; posts are of a wood that lasts in the ground unless their
    line says wood = "any". With --all every tree is cut up, for the needs first, then for the best use. Writes
    out/buck_sheet.html, half a Letter page to carry.
    --csv writes one row a tree with its parts.

    Example:  woodlot fell sample_parcels/otter_lake
    """
    from woodlot.paper import buck_sheet
    from woodlot.place import write_files
    from woodlot.story import felling as told_by

    asked = options.open_season(place, region, as_of, None, parcel, stand)
    told = told_by.felling(asked, parcel, stand, whole, prefer.split(",") if prefer else ())
    write_files(asked.place.folder / "out", {"buck_sheet.html": buck_sheet.html(told)})
    if not show.deliver(told, tables.FELL_TREES, csv_file, as_json):
        return
    _becomes(told, asked.day, whole)
    _needs(told, whole)
    _posts(told)
    _left(told)
    _minding(told)
    show.say()
    show.say(f"In {asked.place.folder / 'out'}: buck_sheet.html, half a Letter page, from the butt up.")


def _becomes(told: dict[str, Any], day: date, whole: bool) -> None:
    from woodlot.say import words

    count = len(told["trees"])
    show.title(f"{told['name']}: {count} trees of the tally", day)
    first = "what the house needs first, then for " if whole and told["needs"] else ""
    show.say(f"Cut up for {first}the most wanted products{'' if first else ' first'}, all of them would become:")
    show.say()
    show.table(tables.FELL_PARTS, told)
    show.say()
    scale = told["scaling"]
    two = words.two_figures
    show.say(
        "Ranges are 90% for stems and bark, a: assumptions. The stems as drawn hold "
        f"{two(scale['taper_cuft'])} cubic feet above the stump, by the volume equation {two(scale['equation_cuft'])}: "
        "pieces are scaled to the second, tree by tree. Parts sum to the whole trees; this was checked. Leaves have "
        f"weight only. The logs scale {two(told['bdft'])} board feet, {words.rule(told['base']['log_rule'])}. A full "
        f"cord is 4 x 4 x 8 feet, {told['base']['solid_cuft_per_cord']:g} cubic feet of solid wood, no bark.",
        indent=2,
    )
    if told["cull_not_judged"]:
        show.say(f"Rot was not judged on {told['cull_not_judged']} trees: gross there, no defect taken off.", indent=2)


def _needs(told: dict[str, Any], whole: bool) -> None:

    show.say()
    if not told["needs"]:
        show.say("Nothing is asked for under [needs] in place.toml, so every tree is on the sheet.")
        return
    if whole:
        show.say("Every tree is to be felled. For the house they give, first of all:")
    else:
        show.say(f"For the house, fell {len(told['fell'])} of the {len(told['trees'])}. {_least(told)}")
    show.say()
    show.table(tables.FELL_NEEDS, told)
    for row in told["needs"]:
        if row["words"]:
            show.say(f"{row['line']}: {row['words']}.", indent=2, hang=4)
    if whole and told["not_by_hand"]:
        show.say("Trees that are not for hand felling give nothing to these lines.", indent=2, hang=4)


def _posts(told: dict[str, Any]) -> None:
    from woodlot.story.felling import posts_words

    said = posts_words(told["posts"], "m")
    if said:
        show.say(said + (" m: from memory." if " m" in said else ""), indent=2, hang=4)


def _least(told: dict[str, Any]) -> str:
    from woodlot.say import words

    wood = f"They hold {words.two_figures(told['standing_cuft'])} cubic feet of standing wood"
    if told["proven"]:
        return f"{wood}; no choice that gets this much takes less."
    ended = " The search ended at its node limit." if told["stopped"] else ""
    return f"{wood}; no choice that gets this much can take less by more than {max(told['gap_pct'], 0.1):.1f}%.{ended}"


def _left(told: dict[str, Any]) -> None:
    from woodlot.say import words

    left, two = told["left"], words.two_figures
    show.say()
    show.say(
        f"From the trees on the sheet: {two(left['stem_firewood_cords'])} cords of firewood from stems and about "
        f"{two(left['limb_firewood_cords'])} from limbs over 3 inches (half to one and a half of that, assumptions). "
        f"Left over: brush that piles up to {two(left['brush_pile_cuft_low'])} to {two(left['brush_pile_cuft_high'])} "
        f"cubic feet; chips, {two(left['chips_cuyd_low'])} to {two(left['chips_cuyd_high'])} cubic yards, if brush and "
        "stems marked for it are chipped (assumptions). Green the trees weigh about "
        f"{two(left['green_lb'])} pounds."
    )


def _minding(told: dict[str, Any]) -> None:
    away = told["not_by_hand"]
    if away:
        names = ", ".join(f"{row.get('tree') or row['position'] + 1} ({row['species']}, {row['why']})" for row in away)
        show.say()
        show.say("Not for hand felling without a professional")
        show.say(f"{names}.", indent=2)
    show.notes(told["cautions"], "Before you cut")

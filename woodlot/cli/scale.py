"""``woodlot scale``: cords, board feet and species by stand, parcel and in all."""

from datetime import date
from pathlib import Path
from typing import Any

import click

from woodlot.cli import options, show


@click.command(short_help="Cords, board feet and species by stand, parcel and in all.")
@options.shared("place", "region", "parcel", "stand", "as_of", "level", "csv", "json")
@show.plain_faults
def scale(
    place: Path,
    region: str | None,
    parcel: str | None,
    stand: str | None,
    as_of: date | None,
    level: float | None,
    csv_file: Path | None,
    as_json: bool,
) -> None:
    """Sound standing wood of PLACE in full cords and board feet, with its range and where the range comes from.

    --csv writes one row a stand.

    Example:  woodlot scale sample_parcels/otter_lake --parcel kettle
    """
    import pandas as pd

    from woodlot import story, words
    from woodlot.story import views

    asked = options.open_season(place, region, as_of, level, parcel, stand)
    told = views.scaled(story.counted(asked), parcel, stand)
    if as_json and "totals" in told:
        told["totals"] |= story.cut_totals(asked)
    rows = pd.DataFrame(views.flat(told["stands"]))
    if not show.deliver(told, rows, csv_file, as_json):
        return
    percent = f"{round(100 * told['level'])}%"
    show.title(f"{asked.place.name}: standing wood", asked.day)
    for said in told["before"]:
        show.say(said)
    if "totals" in told:
        whole = told["totals"]["cords"]
        show.say(_whole(whole))
        if whole["low"] is not None:
            show.say(
                f"The plots alone leave {words.range_words(told['totals']['cords_sampling_only'])}; the volume table, "
                f"which no plot can mend, {words.range_words(told['totals']['cords_table_only'])}; against a stacked "
                f"pile {words.range_words(told['totals']['cords_stacked'])}.",
                indent=2,
            )
        show.say(f"{views.ground_words(told['totals'])}", indent=2)
        if whole["value"] is not None:
            show.say(f"Board feet, {words.rule(told['log_rule'])}: {words.answer(told['totals']['bdft'])}.", indent=2)
    if told["measured"]:
        show.say(
            f"This is what the plots found, measured {told['measured']}. Growth and cutting since then are not in it; "
            "woodlot grow brings it to today.",
            indent=2,
        )
    show.say()
    show.table(
        views.brief(told["stands"]),
        {
            "stand_id": ("stand", None),
            "cover": ("cover", None),
            "acres": ("acres", "acres"),
            "cords": ("cords", None),
            "range": (percent, None),
            "per_ac": ("an acre", None),
            "sawlog": ("logs", None),
            "firewood": ("rest", None),
        },
    )
    if told.get("parcels"):
        show.say()
        show.table(
            views.brief(told["parcels"]),
            {
                "parcel_id": ("parcel", None),
                "name": ("name", None),
                "acres": ("acres", "acres"),
                "cords": ("cords", None),
                "range": (percent, None),
            },
        )
        _reasons(told["parcels"])
    show.say()
    show.say(
        f"A full cord is 4 x 4 x 8 feet, {told['solid_cuft_per_cord']:g} cubic feet of solid wood, no bark; sound live "
        "wood from a 1-foot stump to a 4-inch top. Logs and the rest add up to cords: no wood is counted twice. "
        "Branches are not in it. Sums are made before rounding.",
        indent=2,
    )
    if told.get("species"):
        show.say()
        show.table(
            views.brief(told["species"]),
            {"species": ("species", None), "cords": ("cords", None), "range": (percent, None), "why": ("", None)},
        )
    for one in told["stands"]:
        if stand is not None and one["cords"]["why"]:
            show.say(f"Stand {one['stand_id']}: {one['cords']['why']}.", indent=2)


def _whole(cords: dict[str, Any]) -> str:
    from woodlot import words

    if cords["value"] is None:
        return f"No number yet: {cords['why']}."
    return f"{words.amount(cords['value'], 'full cords')} ({words.range_words(cords)})."


def _reasons(parcels: list[dict[str, Any]]) -> None:
    """Why parcels have no range, each reason once with the parcels it holds for."""
    by: dict[str, list[str]] = {}
    for one in parcels:
        if one["cords"]["low"] is None and one["cords"]["why"]:
            by.setdefault(one["cords"]["why"], []).append(one["parcel_id"])
    if by:
        show.say()
    for why, names in by.items():
        show.say(f"Parcel{'s' * (len(names) > 1)} {', '.join(names)}: {why}.", indent=2, hang=4)

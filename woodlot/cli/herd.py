"""``woodlot herd``: how many deer use the ground, and what the browse says."""

from datetime import date
from pathlib import Path
from typing import Any

import click

from woodlot.cli import options, show


@click.command(short_help="How many deer use the ground, and what the browse says.")
@options.shared("place", "region", "as_of", "level", "csv", "json")
@show.plain_faults
def herd(
    place: Path, region: str | None, as_of: date | None, level: float | None, csv_file: Path | None, as_json: bool
) -> None:
    """Deer on and round PLACE: by pellet groups, spring by spring; deer that walk there; what they have browsed.

    --csv writes one row a spring.

    Example:  woodlot herd sample_parcels/otter_lake
    """
    import pandas as pd

    from woodlot import story, words
    from woodlot.story import views

    opened = options.open_place(place, region, as_of, level)
    told = story.herd(opened)
    kept = {k: v for k, v in told.items() if k not in ("take", "cautions")}
    years = pd.DataFrame(views.flat(told["years"]))
    if not show.deliver(kept, years, csv_file, as_json):
        return
    show.title(f"{opened.name}: the deer", opened.as_of)
    show.say(told["words"])
    if told["density_per_sqmi"]["low"] is not None:
        show.say()
    for name, key in (("Winter half", "density_per_sqmi"), ("This fall", "fall_per_sqmi")):
        if told[key]["low"] is not None:  # without a range the first line has said all that can be said
            show.say(f"{name}: {words.answer(told[key])}.", indent=2)
    if told["equivalents"]["value"] is not None:
        show.say(f"On your {told['acres']:,.0f} acres: the use of {words.answer(told['equivalents'])}.", indent=2)
        show.say(f"Walk there at some time: {words.answer(told['walk_there'])}.", indent=2)
        show.say(
            f"They use about {told['effective_ac']:,.0f} acres; yours are {told['share_pct']:.0f}% of them.", indent=2
        )
    if told["years"]:
        show.say()
        rows = [{**y, "deer": _density(y["per_sqmi"]), "range": views.spread(y["per_sqmi"])} for y in told["years"]]
        heads = {"year": ("spring", None), "plots": ("plots", None), "groups": ("groups", "deer")}
        show.table(rows, heads | {"deer": ("deer a square mile", None), "range": ("range", None)})
    show.say()
    show.say("What they have browsed" if told["browse"] else "No browse plots yet.")
    for one in told["browse"]:
        stems, plots = (f"{one[k]} {k if one[k] != 1 else k[:-1]}" for k in ("stems", "plots"))
        show.say(f"{one['words']} {stems} on {plots}.", indent=2, hang=4)
    if told["browse"]:
        show.say(told["impact"]["words"], indent=2)


def _density(told: dict[str, Any]) -> str:
    """Deer a square mile of one spring; nothing where there was too little sign to say how many."""
    from woodlot import words

    return "" if told["low"] is None else words.rounded(told["value"], "deer")

"""``woodlot herd``: how many deer use the ground, and what the browse says."""

from datetime import date
from pathlib import Path
from typing import Any

import click

from woodlot.cli import options, show


@click.command(short_help="How many deer use the ground, and what the browse says.")
@options.shared("place", "region", "as_of", "level")
@click.option("--all", "everything", is_flag=True, help="Show each spring, count, class of browse and food too.")
@options.shared("csv", "json")
@show.plain_faults
def herd(
    place: Path,
    region: str | None,
    as_of: date | None,
    level: float | None,
    everything: bool,
    csv_file: Path | None,
    as_json: bool,
) -> None:
    """Deer on and round PLACE by pellet groups; the next forest; what there is to eat, and what the coming cuts add.

    --csv writes one row a spring.

    Example:  woodlot herd sample_parcels/otter_lake
    """
    import pandas as pd

    from woodlot.plan import hunt_words
    from woodlot.story import views

    asked = options.open_season(place, region, as_of, level)
    told = asked.herd
    kept = {k: v for k, v in told.items() if k not in ("take", "cautions")}
    years = pd.DataFrame(views.flat(told["years"]))
    if not show.deliver(kept, years, csv_file, as_json):
        return
    show.title(f"{asked.place.name}: the deer", asked.day)
    for row in hunt_words.herd_screen(told):
        show.say(f"{row['topic']}:".ljust(10) + f"{row['number'].rstrip('.')}.", indent=2, hang=12)
        if row["why"]:
            show.say(row["why"], indent=12)
    if everything:
        _everything(told)


def _everything(told: dict[str, Any]) -> None:
    """Springs, kinds of counts, browse by class, seedlings by rule, and all that is known of the food."""
    from woodlot import words
    from woodlot.story import views

    for name, key in (("Winter half", "density_per_sqmi"), (f"Fall {told['season']}", "fall_per_sqmi")):
        if told[key]["low"] is not None:  # without a range the first line has said all that can be said
            show.say(f"{name}: {words.answer(told[key])}.", indent=2)
    if told["years"]:
        show.say()
        rows = [{**y, "deer": _density(y["per_sqmi"]), "range": views.spread(y["per_sqmi"])} for y in told["years"]]
        heads = {"year": ("spring", None), "plots": ("plots", None), "groups": ("groups", "deer")}
        level = told["density_per_sqmi"]["level"]
        show.table(rows, heads | {"deer": ("deer a square mile", None), "range": (f"range, {level:.0%}", None)})
    show.say()
    show.say("What other counts say")
    for row in told["evidence"]["rows"][1:]:
        counted = f"{words.answer(row['estimate'])}; " if row["estimate"]["kind"] == "assumptions" else ""
        show.say(f"{row['what'].capitalize()}: {counted}{row['measures']}; {row['words']}", indent=2, hang=4)
    show.say(told["evidence"]["together"]["words"], indent=2, hang=4)
    show.say()
    show.say("What they have browsed" if told["browse"] else told["impact"]["words"])
    for one in told["browse"]:
        stems, plots = (f"{one[k]} {k if one[k] != 1 else k[:-1]}" for k in ("stems", "plots"))
        show.say(f"{one['words']} {stems} on {plots}.", indent=2, hang=4)
    for one in told["seedlings"]:
        show.say(one["words"], indent=2, hang=4)
    food = told["food"]
    if food is not None:
        show.say()
        show.say("What there is to eat")
        for sentence in (*food["words"], food["past_words"]):
            show.say(sentence, indent=2, hang=4)


def _density(told: dict[str, Any]) -> str:
    """Deer a square mile of one spring; nothing where there was too little sign to say how many."""
    from woodlot import words

    return "" if told["low"] is None else words.rounded(told["value"], "deer")

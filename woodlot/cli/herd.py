"""``woodlot herd``: how many deer use the ground, and what the browse says."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from woodlot.cli import options, show
from woodlot.say import tables

if TYPE_CHECKING:
    from woodlot.deer.answer import Deer


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
    from woodlot.answers.as_json import as_json as plain
    from woodlot.plan import hunt_words

    asked = options.open_season(place, region, as_of, level)
    deer = asked.herd
    told = plain(deer)
    kept = {k: v for k, v in told.items() if k not in ("take", "cautions")}
    if not show.deliver(kept, tables.HERD_SPRINGS, csv_file, as_json):
        return
    show.title(f"{asked.place.name}: the deer", asked.day)
    for row in hunt_words.herd_screen(deer):
        show.fact(row["topic"], row["number"], row["why"])
    if everything:
        _everything(deer, told)


def _everything(deer: "Deer", told: dict[str, Any]) -> None:
    """Springs, kinds of counts, browse by class, seedlings by rule, and all that is known of the food."""
    from woodlot.say import words

    for name, each in (("Winter half", deer.density_per_sqmi), (f"Fall {deer.season}", deer.fall_per_sqmi)):
        if each.low is not None:  # without a range the first line has said all that can be said
            show.say(f"{name}: {words.answer(each)}.", indent=2)
    if deer.years:
        show.say()
        show.table(tables.HERD_SPRINGS, told, level=deer.density_per_sqmi.level)
    show.say()
    show.say("What other counts say")
    for count in deer.evidence.rows[1:]:
        counted = f"{words.answer(count.estimate)}; " if count.estimate.kind == "assumptions" else ""
        show.say(f"{count.what.capitalize()}: {counted}{count.measures}; {count.words}", indent=2, hang=4)
    show.say(deer.evidence.together.words, indent=2, hang=4)
    show.say()
    show.say("What they have browsed" if deer.browse else deer.impact.words)
    for one in deer.browse:
        stems, plots = (
            f"{n} {word[:-1] if n == 1 else word}" for n, word in ((one.stems, "stems"), (one.plots, "plots"))
        )
        show.say(f"{one.words} {stems} on {plots}.", indent=2, hang=4)
    for rule in deer.seedlings:
        show.say(rule.words, indent=2, hang=4)
    if deer.food is not None:
        show.say()
        show.say("What there is to eat")
        for sentence in (*deer.food.words, deer.food.past_words):
            show.say(sentence, indent=2, hang=4)

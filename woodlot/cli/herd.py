"""``woodlot herd``: how many deer use the ground, and what the browse says."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from woodlot.cli import options, show

if TYPE_CHECKING:
    from woodlot.deer.answer import Deer
    from woodlot.estimate import Number


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

    from woodlot import story
    from woodlot.answers.as_json import as_json as plain
    from woodlot.answers.tables import flat
    from woodlot.plan import hunt_words

    opened = options.open_place(place, region, as_of, level)
    deer = story.herd_and_cuts(opened)
    kept = {k: v for k, v in plain(deer).items() if k not in ("take", "cautions")}
    if not show.deliver(kept, pd.DataFrame(flat(deer.years)), csv_file, as_json):
        return
    show.title(f"{opened.name}: the deer", opened.as_of)
    for row in hunt_words.herd_screen(deer):
        show.say(f"{row['topic']}:".ljust(10) + f"{row['number'].rstrip('.')}.", indent=2, hang=12)
        if row["why"]:
            show.say(row["why"], indent=12)
    if everything:
        _everything(deer)


def _everything(deer: "Deer") -> None:
    """Springs, kinds of counts, browse by class, seedlings by rule, and all that is known of the food."""
    from woodlot import words

    for name, each in (("Winter half", deer.density_per_sqmi), (f"Fall {deer.season}", deer.fall_per_sqmi)):
        if each.low is not None:  # without a range the first line has said all that can be said
            show.say(f"{name}: {words.answer(each)}.", indent=2)
    if deer.years:
        show.say()
        rows = [
            {"year": y.year, "plots": y.plots, "groups": y.groups}
            | {"deer": _density(y.per_sqmi), "range": words.bare_range(y.per_sqmi)}
            for y in deer.years
        ]
        heads = {"year": ("spring", None), "plots": ("plots", None), "groups": ("groups", "deer")}
        level = f"range, {deer.density_per_sqmi.level:.0%}"
        show.table(rows, heads | {"deer": ("deer a square mile", None), "range": (level, None)})
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


def _density(of: "Number") -> str:
    """Deer a square mile of one spring; nothing where there was too little sign to say how many."""
    from woodlot import words

    return "" if of.low is None or of.value is None else words.rounded(of.value, "deer")

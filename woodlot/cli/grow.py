"""``woodlot grow``: what stands today, what it grows, and where it goes if nobody cuts."""

from datetime import date
from pathlib import Path

import click

from woodlot.cli import options, show
from woodlot.say import tables


@click.command(short_help="Today's woods from an older cruise, what they grow, and where they go.")
@options.shared("place", "region", "parcel", "stand", "as_of", "level", "seed", "csv", "json")
@click.option("--years", type=click.IntRange(1, 60), default=20, show_default=True, help="Years to look ahead, uncut.")
@show.plain_faults
def grow(
    place: Path,
    region: str | None,
    parcel: str | None,
    stand: str | None,
    as_of: date | None,
    level: float | None,
    seed: int,
    csv_file: Path | None,
    as_json: bool,
    years: int,
) -> None:
    """Bring the cruise of PLACE to the day asked, less what the ledger says was cut since, and let it grow uncut.

    Low, middle and high growth are shown, never one line; the owner's cores narrow them. --csv writes one row a stand.

    Example:  woodlot grow sample_parcels/otter_lake --years 30
    """
    from woodlot.answers.as_json import as_json as plain
    from woodlot.answers.grow import GrownStand, grow_answer
    from woodlot.answers.plain_cells import frame_of
    from woodlot.say import growth, words

    asked = options.open_season(place, region, as_of, level, parcel, stand, seed=seed)
    answer = grow_answer(asked, years, parcel, stand)
    rows = plain(answer)
    if not answer.stands:  # a table without a row has its columns too
        rows["stands"] = frame_of(GrownStand, ()).drop(columns="years_told")
    if not show.deliver(rows, tables.GROW_STANDS, csv_file, as_json):
        return
    show.title(f"{asked.place.name}: growth", asked.day)
    for line in answer.before:
        show.say(line)
    if answer.growth.value is None:
        show.say(answer.stands[0].years_words if stand else growth.NO_NUMBER)
        if answer.cored:
            show.say(growth.cored(answer.cored))
        show.notes(answer.notes)
        return
    show.say(growth.headline(answer.growth, stand))
    if answer.growth.why:
        show.say(f"{words.capital(answer.growth.why)}.", indent=2)
    show.say()
    show.table(tables.GROW_STANDS, rows)
    show.say()
    show.say(answer.words, indent=2)
    show.say(growth.COLUMNS, indent=2)
    show.say()
    if stand is None:
        show.table(tables.GROW_YEARS, rows)
        show.say()
        show.say(f"{answer.years_words} --stand tells one stand with its ranges.", indent=2)
        for line in answer.ageing_words:
            show.say(line, indent=2, hang=4)
    else:
        for one in rows["stands"]:
            show.say(one["years_words"])
            show.table(tables.GROW_YEARS_OF_STAND, one)
    show.say()
    show.table(tables.GROW_PATH, rows)
    if answer.account:
        show.say()
        show.say(answer.account.words)
    if answer.balance:
        show.say()
        show.say(f"Growth and cut: {answer.balance.words}.")
        for one in answer.balances:
            show.say(f"stand {one.stand_id}: {one.words}", indent=2, hang=4)
    show.notes(answer.notes)

"""``woodlot book``: what the ledger holds."""

from datetime import date
from pathlib import Path
from typing import Any

import click

from woodlot.cli import options, show
from woodlot.say import tables, words

JULY = 7
LAST = 8


@click.command(short_help="What the ledger holds: totals by year and kind.")
@options.shared("place")
@click.option("--winters", is_flag=True, help="Count by winters, July to June, instead of calendar years.")
@options.shared("csv", "json")
@show.plain_faults
def book(place: Path, winters: bool, csv_file: Path | None, as_json: bool) -> None:
    """Totals of the ledger of PLACE by year and kind, and its last notes. Replaced lines are not counted.

    --csv writes the totals.

    Example:  woodlot book sample_parcels/otter_lake
    """
    from woodlot.place import read_ledger, wishes_broken
    from woodlot.plan import ledger

    lines, warnings = read_ledger(place)
    warnings += wishes_broken(place, date.today()).values() if len(lines) else ()
    standing = ledger.standing(lines)
    sums = ledger.totals(lines, year_begins=JULY if winters else 1)
    answer = {"year_begins_month": JULY if winters else 1, "totals": sums, "notes": standing, "warnings": warnings}
    if not show.deliver(answer, tables.BOOK_TOTALS, csv_file, as_json):
        return
    if lines.empty:
        show.say("No notes yet. `woodlot note` writes the first.")
        show.notes(warnings)
        return
    replaced = len(lines) - len(standing)
    more = f" {replaced} more {'was' if replaced == 1 else 'were'} replaced or taken out." if replaced else ""
    show.say(f"{len(standing)} {'note counts' if len(standing) == 1 else 'notes count'}.{more}")
    show.say()
    show.table(tables.BOOK_TOTALS, answer, year_is="winter" if winters else "year")
    show.say()
    show.say("Last notes")
    last = standing.sort_values(["date", "line"], kind="stable").tail(LAST)
    for one in last.to_dict("records"):
        where = ", ".join(f"{w} {one[f'{w}_id']}" for w in ("parcel", "stand") if one[f"{w}_id"] == one[f"{w}_id"])
        parts = (where, one["kind"], _how_much(one), one["text"], one["who"])
        note = "; ".join(part for part in parts if isinstance(part, str) and part)
        show.say(f"{one['line']:>4}  {one['date']:%Y-%m-%d}  {note}", indent=2, hang=20)
    show.notes(warnings, "Lines to look at")


def _how_much(one: dict[Any, Any]) -> str:
    """The amount of a note; of a deer which it was, with its number when it is not one."""
    amount = words.noted(one["amount"], one["unit"] if isinstance(one["unit"], str) else "")
    if not isinstance(one["sex_age"], str):
        return amount
    return (
        one["sex_age"] if one["unit"] == "deer" and one["amount"] == 1 else f"{one['sex_age']}, {amount}".rstrip(", ")
    )

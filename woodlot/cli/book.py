"""``woodlot book``: what the ledger holds."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from woodlot.answers.as_json import as_json as as_json_value
from woodlot.cli import options, show
from woodlot.say import tables, words

if TYPE_CHECKING:
    from woodlot.answers.chart_types import House

MAY = 5
LAST = 8


@click.command(short_help="What the ledger holds: totals by year and kind.")
@options.shared("place")
@click.option("--winters", is_flag=True, help="Count by winters, May to April, instead of calendar years.")
@options.shared("as_of", "csv", "json")
@show.plain_faults
def book(place: Path, winters: bool, as_of: date | None, csv_file: Path | None, as_json: bool) -> None:
    """Totals of the ledger of PLACE by year and kind, the firewood on hand, and its last notes. Replaced lines are not
    counted.

    --csv writes the totals; --as-of is the day on which the wood is told.

    Example:  woodlot book sample_parcels/otter_lake
    """
    from woodlot import ledger
    from woodlot.place import read_ledger, wishes_broken
    from woodlot.plan import done

    lines, warnings = read_ledger(place)
    warnings += wishes_broken(place, date.today()).values() if len(lines) else ()
    standing = ledger.standing(lines)
    sums = ledger.totals(lines, year_begins=MAY if winters else 1)
    wood = _wood(place, standing, as_of or date.today(), warnings)
    pace = done.pace_hours_per_cord(standing)
    answer = {
        "year_begins_month": MAY if winters else 1,
        "totals": sums,
        "wood_on_hand": as_json_value(wood.wood if wood else ()),
        "measured_stacks": as_json_value(wood.measured if wood else ()),
        "hours_per_cord": pace and pace[0],
        "notes": standing,
        "warnings": warnings,
    }
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
    if pace is not None:
        show.say(
            f"Your own pace: {words.amount(pace[0], 'hours')} a cord, where work and cords are both noted.", indent=2
        )
    if wood and wood.wood:
        show.say()
        show.table(tables.WOOD_ON_HAND, answer)
        for taped in wood.measured or ():
            show.say(taped.words, indent=2, hang=4)
    show.say()
    show.say("Last notes")
    last = standing.assign(twice=ledger.borne_twice(standing)).sort_values(["date", "line"], kind="stable").tail(LAST)
    for one in last.to_dict("records"):
        where = ", ".join(f"{w} {one[f'{w}_id']}" for w in ("parcel", "stand") if one[f"{w}_id"] == one[f"{w}_id"])
        parts = (where, one["kind"], _how_much(one), one["text"], one["who"])
        note = "; ".join(part for part in parts if isinstance(part, str) and part)
        name = f"{one['line']} {one['check']}" if one["twice"] and isinstance(one["check"], str) else one["line"]
        show.say(f"{name:>4}  {one['date']:%Y-%m-%d}  {note}", indent=2, hang=20)
    show.notes(warnings, "Lines to look at")


def _wood(place: Path, standing: Any, day: date, warnings: list[str]) -> "House | None":
    """The house of a place by its ledger and place.toml alone; a remark where place.toml has to be mended first."""
    from woodlot.answers.house import house_of
    from woodlot.errors import PlaceError
    from woodlot.place import own_settings

    if standing.empty:
        return None
    try:
        told = own_settings(place)
    except PlaceError:
        warnings.append("place.toml has to be mended before the wood on hand can be told; woodlot walk names its rows.")
        return None
    return house_of(told.needs, standing, day, told.choices, region=told.region)


def _how_much(one: dict[Any, Any]) -> str:
    """The amount of a note; of a deer which it was, with its number when it is not one."""
    amount = words.noted(one["amount"], one["unit"] if isinstance(one["unit"], str) else "")
    if not isinstance(one["sex_age"], str):
        return amount
    return (
        one["sex_age"] if one["unit"] == "deer" and one["amount"] == 1 else f"{one['sex_age']}, {amount}".rstrip(", ")
    )

"""``woodlot book``: what the ledger holds; two copies of it joined."""

import shlex
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from woodlot.answers.as_json import as_json as as_json_value
from woodlot.cli import options, show
from woodlot.say import joined as say
from woodlot.say import noted, tables, words

if TYPE_CHECKING:
    from woodlot.answers.house_types import House
    from woodlot.ledger import Clash

MAY = 5
LAST = 8
#: Clashes that a screen shows one by one.
MOST_SHOWN = 12


@click.command(short_help="What the ledger holds: totals by year and kind.")
@options.shared("place")
@click.option("--winters", is_flag=True, help="Count by winters, May to April, instead of calendar years.")
@click.option(
    "--merge",
    "other",
    metavar="OTHER",
    type=click.Path(path_type=Path),
    help="Join the ledger of another copy into that of PLACE: a ledger.csv, the folder of a place, or a bundle. No "
    "line is lost or doubled; the file as it was is kept.",
)
@click.option(
    "--keep",
    "kept",
    metavar="LINE",
    help="Where two lines set the same one right: the line that is to count, by its number or the letters of its id.",
)
@options.shared("as_of", "csv", "json")
@show.plain_faults
def book(
    place: Path,
    winters: bool,
    other: Path | None,
    kept: str | None,
    as_of: date | None,
    csv_file: Path | None,
    as_json: bool,
) -> None:
    """Totals of the ledger of PLACE by year and kind, the firewood on hand, and its last notes. Replaced lines are not
    counted.

    --csv writes the totals; --as-of tells the wood on hand of another day.

    Example:  woodlot book sample_parcels/otter_lake

    Example:  woodlot book my_woods --merge /media/stick/my_woods
    """
    from woodlot import ledger
    from woodlot.place import forks, read_ledger, wishes_broken
    from woodlot.plan import done

    if other is not None or kept is not None:
        if winters or as_of or csv_file or None not in (other, kept):
            raise click.UsageError(f"--{'keep' if other is None else 'merge'} stands alone: it tells no totals.")
        if other is not None:
            _merge(place, other, as_json)
        elif kept is not None:
            _keep(place, kept, as_json)
        return
    lines, warnings = read_ledger(place)
    warnings += wishes_broken(place, date.today(), lines).values() if len(lines) else ()
    standing = ledger.standing(lines)
    apart = _told(place, forks(lines), frozenset(standing["id"]), lines["id"])
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
        "not_agreed": apart,
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
    short = ledger.letters(last["id"].tolist(), lines["id"])
    for one, begins in zip(last.to_dict("records"), short, strict=True):
        where = ", ".join(f"{w} {one[f'{w}_id']}" for w in ("parcel", "stand") if one[f"{w}_id"] == one[f"{w}_id"])
        parts = (where, one["kind"], _how_much(one), noted.details(one), one["text"], one["who"])
        note = "; ".join(part for part in parts if isinstance(part, str) and part)
        name = f"{one['line']} {begins}" if one["twice"] else one["line"]
        show.say(f"{name:>4}  {one['date']:%Y-%m-%d}  {note}", indent=2, hang=20)
    _show_clashes(apart)
    show.notes(warnings, "Lines to look at")


def _merge(place: Path, other: Path, as_json: bool) -> None:
    """Join another ledger into that of a place, and show what does not agree."""
    from woodlot.estimate import reason
    from woodlot.ledger import letters
    from woodlot.place import join
    from woodlot.say.reasons import said

    told = join(place, other)
    clashes = _told(place, told.clashes, told.counts, told.lines["id"])
    shown = told.lost.head(MOST_SHOWN)
    names = letters(shown["id"].tolist(), told.lost["id"])
    each = tuple(zip(shown["line"], shown["date"], shown["kind"], names, strict=True))
    lost = said(reason("lines lost", each=each, more=len(told.lost) - len(each), whole=False)) if each else ""
    answer = {
        "came": told.came,
        "both_had": told.same,
        "lines": told.all,
        "kept": told.kept,
        "not_agreed": clashes,
        "in_neither": told.lost,
        "remarks": told.remarks,
    }
    if not show.deliver(answer, None, None, as_json):
        return
    show.say(say.came(told.came, told.same, told.all - told.came))
    if told.kept:
        show.say(say.kept_old("ledger.csv", told.kept))
    _show_clashes(clashes)
    show.notes([*([f"{words.capital(lost)}."] if lost else []), *told.remarks], "Lines to look at")


def _keep(place: Path, name: str, as_json: bool) -> None:
    """A line written once more in the place of all that set the same one right, itself among them."""
    from woodlot.place.joining import keep

    line, letters, remarks = keep(place, name, date.today())
    if show.deliver(line | ({"remarks": remarks} if remarks else {}), None, None, as_json):
        show.say(f"Line {name} counts now, written once more as line {line['line']} ({letters}).", hang=2)
        for remark in remarks:
            show.say(remark, hang=2)


def _told(place: Path, clashes: "Sequence[Clash]", counts: frozenset[str], ids: Any) -> list[dict[str, Any]]:
    """Clashes as the answer holds them: lines with whether they count, and the command that keeps each.

    ids: of all lines, from which those of the clashes are told by their first letters.
    """
    from woodlot.ledger import HEADING, letters

    each = [[dict(zip(HEADING, cells, strict=True)) for cells in one.lines] for one in clashes]
    mine = [line["id"] for lines in each for line in lines]
    short = dict(zip(mine, letters(mine, ids), strict=True))
    return [_clash(place, one, lines, counts, short) for one, lines in zip(clashes, each, strict=True)]


def _clash(
    place: Path, one: "Clash", lines: list[dict[str, str]], counts: frozenset[str], short: dict[str, str]
) -> dict[str, Any]:
    names = [short[line["id"]] for line in lines]
    if one.kind == "may be one":
        commands = ["", f"woodlot note{_of(place)} --void {names[-1]}"]
    else:
        commands = [f"woodlot book{_of(place)} --keep {name}" for name in names]
    rows = [
        line | {"counts": line["id"] in counts, "command": command}
        for line, command in zip(lines, commands, strict=True)
    ]
    return {"kind": one.kind, "words": say.clashed(one.kind, rows, one.text), "lines": rows}


def _of(place: Path) -> str:
    return "" if str(place) == "." else f" {shlex.quote(str(place))}"


def _show_clashes(clashes: Sequence[dict[str, Any]]) -> None:
    """What does not agree, one after the other, each with its lines side by side and what settles it."""
    for one in clashes[:MOST_SHOWN]:
        show.say()
        show.say(one["words"])
        if one["lines"]:
            show.table(say.LINES, one)
        for line in one["lines"]:
            if line["command"]:
                show.say(f"{say.settling(one['kind'], line)}:  `{line['command']}`", indent=2, hang=4)
    if len(clashes) > MOST_SHOWN:
        show.say()
        show.say(f"{len(clashes) - MOST_SHOWN:,} more do not agree; --json names them all.")


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
    amount = words.noted(one["amount"], one["unit"] if isinstance(one["unit"], str) else "", one["kind"])
    if not isinstance(one["sex_age"], str):
        return amount
    return (
        one["sex_age"] if one["unit"] == "deer" and one["amount"] == 1 else f"{one['sex_age']}, {amount}".rstrip(", ")
    )

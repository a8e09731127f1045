"""``woodlot note``: one dated line in the ledger."""

from datetime import date
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import click

from woodlot.cli import options, show
from woodlot.errors import InputError, PlaceError

SEX_AGE = ("buck", "yearling buck", "buck fawn", "doe", "yearling doe", "doe fawn")


@click.command(short_help="Write one dated line in the ledger.")
@options.shared("place")
@click.option(
    "--kind",
    metavar="KIND",
    help="firewood (cut), stack (stacked to dry), burned, sawlog, post, pole, deer, work, seen ...",
)
@click.option("--amount", type=float, metavar="NUMBER", help="How much, in --unit.")
@click.option(
    "--unit", metavar="UNIT", help="cord, bdft, piece, deer, lb, h, ac ...  [default: the usual one of the kind]"
)
@click.option("--sex-age", type=click.Choice(SEX_AGE), help="Of a deer.")
@click.option("--parcel", metavar="ID", help="Parcel it was on.")
@click.option("--stand", metavar="ID", help="Stand it was in.")
@click.option("--date", "day", type=options.DAY, metavar="DAY", help="Day it was done or seen.  [default: today]")
@click.option("--who", metavar="NAME", help="Who did or saw it.")
@click.option("--text", metavar="WORDS", help="In words.")
@click.option(
    "--from",
    "saved",
    metavar="FILE",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Notes that the map page saved on a phone: write each that is not in the ledger yet.",
)
@click.option("--at", type=float, nargs=2, metavar="LON LAT", help="Where, in degrees.")
@click.option(
    "--corrects", type=int, metavar="LINE", help="The line that this one replaces; --kind void only takes it out."
)
@options.shared("json")
@show.plain_faults
def note(place: Path, as_json: bool, saved: Path | None, **told: Any) -> None:
    """Write one dated line in the ledger of PLACE. Lines are never changed; a new one may replace an old one.

    Example:  woodlot note --kind firewood --amount 2.5 --stand 6 --who Ann --text "two loads"
    """
    from woodlot import place as places

    if saved is not None:
        _from_file(place, saved, as_json)
        return
    if told["kind"] is None:
        raise click.UsageError("Say what it was with --kind (firewood, deer, seen ...), or give a file with --from.")
    line = _line(place, told)
    number = places.append_note(place, line)
    told_line = {"line": number, **line}
    if show.deliver(told_line, None, None, as_json):
        show.say(f"Line {number} is in the ledger: {_words(line)}.", hang=2)
        show.say(f"If it is wrong, write a new one with  --corrects {number}", hang=2)


def _from_file(place: Path, saved: Path, as_json: bool) -> None:
    """Notes of a file, each checked before the first is written; those in the ledger already are left out."""
    from woodlot import place as places
    from woodlot.map import field_notes

    found = field_notes.read(saved.read_text(encoding="utf-8-sig"), saved.name)
    fresh = field_notes.fresh(found, places.read_ledger(place)[0])
    names = ("kind", "amount", "unit", "sex_age", "who", "text", "corrects")
    checked = [
        {"at": None, "day": one.get("date"), "parcel": one.get("parcel_id"), "stand": one.get("stand_id")}
        | {name: one.get(name) for name in names}
        for one in fresh
    ]
    lines = [
        _line(place, told) | {k: one[k] for k in ("lon", "lat") if k in one}
        for told, one in zip(checked, fresh, strict=True)
    ]
    written = [{"line": places.append_note(place, line), **line} for line in lines]
    if show.deliver(written, None, None, as_json):
        left = len(found) - len(fresh)
        more = f" {left} stood in it already." if left else ""
        show.say(f"{len(written)} notes are in the ledger now.{more}")


def _line(place: Path, told: dict[str, Any]) -> dict[str, Any]:
    """Cells of the line; what cannot be is refused before anything is written."""
    from woodlot.plan.ledger import KINDS, SAME, UNITS

    kind = " ".join(told["kind"].lower().split())
    kind = SAME.get(kind, kind)
    near = get_close_matches(kind, KINDS, n=1, cutoff=0.75)
    if kind not in KINDS and near:
        raise InputError(f"kind {told['kind']!r} is not known; did you mean {near[0]}?")
    _ids(place, told)
    amount, unit = told["amount"], told["unit"] and told["unit"].lower()
    if kind == "deer":
        if told["sex_age"] is None:
            raise InputError(f"which deer was it? add --sex-age with one of {', '.join(SEX_AGE)}")
        amount = 1.0 if amount is None else amount
    if kind == "void" and told["corrects"] is None:
        raise InputError("a void line takes out another one; add --corrects with its number")
    if amount is not None and not 0.0 <= amount < float("inf"):
        raise InputError(f"an amount is 0 or more, and here it is {amount:g}; to mend a line, add --corrects")
    if told["day"] is not None and str(told["day"]) > str(date.today()):
        raise InputError(f"{told['day']} has not come yet; a note is of a day that is past, or today")
    if amount is not None:
        unit = unit or KINDS.get(kind, "")
        if not unit:
            raise InputError(f"{amount:g} of what? add --unit, such as {', '.join(UNITS[:2])} or bdft")
        unit = _unit(place, unit, UNITS)
    if told["corrects"] is not None:
        _corrected(place, told["corrects"])
    at = told["at"] or (None, None)
    keys = ("sex_age", "who", "text", "corrects")
    line = {"date": told["day"] or date.today(), "parcel_id": told["parcel"], "stand_id": told["stand"], "kind": kind}
    line |= {key: told[key] for key in keys} | {"amount": amount, "unit": unit if amount is not None else None}
    return {key: value for key, value in (line | {"lon": at[0], "lat": at[1]}).items() if value is not None}


def _unit(place: Path, unit: str, known: tuple[str, ...]) -> str:
    """A unit of the ledger; board feet get the rule that the place has chosen."""
    from woodlot.place import choices

    unit = {"cords": "cord", "pieces": "piece", "pounds": "lb", "hours": "h", "acres": "ac"}.get(unit, unit)
    if unit == "bdft":
        unit = f"bdft_{choices(place)['log_rule']}"
    if unit not in known:
        near = get_close_matches(unit, known, n=1, cutoff=0.5)
        raise InputError(
            f"unit {unit!r} is not known; " + (f"did you mean {near[0]}?" if near else f"use {', '.join(known)}")
        )
    return unit


def _ids(place: Path, told: dict[str, Any]) -> None:
    from woodlot.place import known_ids

    known = known_ids(place)
    if known is None:
        show.say("The maps cannot be read as they are, so parcel and stand were not checked.", err=True)
        return
    for what, there in (("parcel", known["parcels"]), ("stand", known["stands"])):
        if told[what] is not None and told[what] not in there:
            near = get_close_matches(told[what], there, n=1)
            said = f"did you mean {near[0]!r}?" if near else f"there are {', '.join(there[:12]) or 'none'}"
            raise InputError(f"there is no {what} {told[what]!r}; {said}")


def _corrected(place: Path, line: int) -> None:
    from woodlot.place import read_ledger

    try:
        there = set(read_ledger(place)[0]["line"])
    except PlaceError:
        return  # a line typed by hand needs mending; that is no reason to lose this note
    if line not in there:
        raise InputError(f"there is no line {line} to replace")


def _words(line: dict[str, Any]) -> str:
    from woodlot import words

    said = [words.day(line["date"])]
    if "amount" in line:
        said.append(words.noted(line["amount"], line["unit"]))
    said.append(line["kind"] if "sex_age" not in line else line["sex_age"])
    said += [f"{what} {line[f'{what}_id']}" for what in ("parcel", "stand") if f"{what}_id" in line]
    if "corrects" in line:
        said.append(f"in place of line {line['corrects']}")
    return ", ".join(said)

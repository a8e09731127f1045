"""``woodlot note``: one dated line in the ledger."""

import math
import re
from collections.abc import Callable, Sequence
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import click

from woodlot import trade
from woodlot.cli import options, show
from woodlot.errors import Fault, InputError, PlaceError
from woodlot.say.words import capital, first_of
from woodlot.units import CUFT_PER_CORD_STACKED, stack_ft

#: Cells of a line, in the order in which --json says them.
CELLS: tuple[str, ...] = ("id", "date", "parcel_id", "stand_id", "kind", "species", "sex_age", "age_yr", "dressed_lb")
CELLS += ("milk", "job", "who", "text", "photo", "photo_check", "corrects", "amount", "unit", "lon", "lat", "written")

#: An option in words that are said of a file, where it is a column.
_OPTION = re.compile(r"--([a-z][a-z-]*)")
#: Notes without an amount that are named one by one.
MOST_NAMED = 6
#: A stack that is told to be higher, or long and so deep, has a side in inches, as likely as not [ft].
MOST_HIGH_FT, LONG_FT, MOST_DEEP_FT = 7.0, 8.0, 12.0


@click.command(short_help="Write one dated line in the ledger.")
@options.shared("place")
@click.argument("words", metavar="[WHAT HOW-MUCH]", nargs=-1)
@click.option(
    "--kind",
    metavar="KIND",
    help="firewood (cut), hauled, split, stack (stacked to dry), measured stack, burned, given, built, deer, seen, "
    "planted, sick trees, weather (ice storm ...), boundary (walked the line ...), photo ...",
)
@click.option(
    "--amount", metavar="NUMBER", help="How much, in --unit; of a stack also its size in feet: 16x4x4, or 8x4x16in."
)
@click.option(
    "--unit", metavar="UNIT", help="cord, bdft, piece, deer, lb, h, ac, in ...  [default: the usual one of the kind]"
)
@click.option("--species", metavar="TREE", help="Of trees and wood: which kind, in your own words.")
@click.option(
    "--sex-age",
    type=options.Among(trade.SEX_AGE),
    metavar="WHICH",
    help=f"Of a deer which: {', '.join(trade.SEX_AGE)}.",
)
@click.option("--age-yr", type=click.FloatRange(0, 25), metavar="YEARS", help="Of a deer: its age by the teeth.")
@click.option("--dressed-lb", type=click.FloatRange(10, 400), metavar="POUNDS", help="Of a deer: weight, insides out.")
@click.option("--milk", type=options.Among(trade.MILK), metavar="YES", help="Of a grown doe: yes or no.")
@click.option("--parcel", "parcel_id", metavar="ID", help="Parcel it was on.")
@click.option("--stand", "stand_id", metavar="ID", help="Stand it was in.")
@click.option("--date", type=options.DAY, metavar="DAY", help="Day it was done or seen.  [default: today]")
@click.option("--who", metavar="NAME", help="Who did or saw it.")
@click.option("--text", metavar="WORDS", help="In words.")
@click.option(
    "--job",
    metavar="MARK",
    multiple=True,
    help="Of wood: the trees of tally.csv it comes from, by their mark or number, tallied before they fell. Where all "
    "of it is in the stack, that teaches the volume table; if part was burnt, sold or left, say so in --text.",
)
@click.option(
    "--foretold", metavar="CORDS", help="Of a --job that the tally holds no more: what was foretold, such as 4.2 of 10."
)
@click.option(
    "--from",
    "saved",
    metavar="FILE",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Notes that the map page saved on a phone, or a sheet of your own with Date, What, How much: write each that "
    "is not in the ledger yet.",
)
@click.option(
    "--photo",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    metavar="FILE",
    help="A photo: it is copied into the folder photos of PLACE, and the line names it.",
)
@click.option("--at", type=float, nargs=2, metavar="LON LAT", help="Where, in degrees.")
@click.option(
    "--corrects",
    metavar="LINE",
    help="The line that this one replaces: its number, its id, or the first letters of its id.",
)
@click.option("--void", metavar="LINE", help="The line that this one only takes out.")
@click.option("--kinds", is_flag=True, help="Write nothing: list the kinds, and what a line of each takes.")
@options.shared("json")
@show.plain_faults
def note(place: Path, words: tuple[str, ...], kinds: bool, as_json: bool, saved: Path | None, **given: Any) -> None:
    """Write one dated line in the ledger of PLACE. Lines are never changed; a new one may replace an old one.

    Example:  woodlot note firewood 2.5 --stand 6 --who Ann --text "two loads"

    Example:  woodlot note my_woods measured stack 16x4x4

    Example:  woodlot note my_woods stack 16x4x4 --job barn
    """
    from woodlot import ledger
    from woodlot import place as places
    from woodlot.ledger.lines import ID, LINE
    from woodlot.place import note_words
    from woodlot.say.noted import in_words, takes

    if kinds:
        for row in takes() if show.deliver(takes(), None, None, as_json) else ():
            show.say(f"{capital(row['words'])}.", hang=2)
        return
    place, told = _place_and_words([*([] if place == Path() else [str(place)]), *words])
    given |= {name: value for name, value in told.items() if given[name] is None}
    if "text" in told and given["text"] != told["text"]:
        given["text"] = f"{told['text']}; {given['text']}"
    if saved is not None:
        _from_file(place, saved, as_json)
        return
    of_job = bool(given["job"])
    _with_job(place, given)
    photo = given.pop("photo")
    at = dict(zip(("lon", "lat"), given.pop("at") or (None, None), strict=True))
    given |= {"photo": photo and photo.name, **at}
    if (void := given.pop("void")) is not None:
        given |= {"kind": "void", "corrects": void}
    if given["kind"] is None:
        raise click.UsageError("Say what it was with --kind (firewood, deer, seen ...), or give a file with --from.")
    tree = note_words.trees(place)
    line = _line(_rule(place), tree, given)
    if wrong := note_words.of_kinds([line], tree).get(0, {}) | _wrong(line, _known(place)):
        raise InputError(next(iter(wrong.values())))
    if photo is not None:
        from woodlot.place.photos import keep

        line["photo"], line["photo_check"] = keep(place, photo)
    with places.held(place) as book:
        line, unnamed = note_words.settled(line, book)
        if unnamed:
            raise InputError(unnamed)
        cells, errors = ledger.as_cells([line])
        note_words.refuse(errors)
        written = book.write(cells, [0], date.today())[0]
        (letters,) = ledger.letters([written[ID]], book.lines["id"])
    number = int(written[LINE])
    breaks = _breaks(places.wishes_broken(place, date.today()), number)
    mind = {"cautions": _mind(place)} if line["kind"] == "deer" else {}
    remarks = {"remarks": book.remarks} if book.remarks else {}
    if show.deliver({"line": number, "id": written[ID], **line, **breaks, **mind, **remarks}, None, None, as_json):
        show.say(f"Line {number} ({letters}) is in the ledger: {in_words(line, given['corrects'])}.", hang=2)
        if of_job:
            show.say(f"Job {line['job']}: {line['text']}.", hang=2)
        for remark in (*breaks.values(), *book.remarks):
            show.say(remark, hang=2)
        show.say(f"If it is wrong, write a new one with  --corrects {number}", hang=2)
        if mind:
            show.say(" ".join(mind["cautions"]))


def _mind(place: Path) -> list[str]:
    """What to mind with a deer that was taken, in short."""
    from woodlot.place import own_settings
    from woodlot.plan.cautions import TAKEN, short_of_deer

    return list(short_of_deer(own_settings(place).region, TAKEN).values())


def _with_job(place: Path, given: dict[str, Any]) -> None:
    """Put the job of a line into its column, and what was foretold of its trees into its words."""
    from woodlot.place import read
    from woodlot.place.teaching import of_job

    names, told = [name.strip() for name in given.pop("job")], given.pop("foretold")
    if not names and told is not None:
        raise click.UsageError("What was foretold is of a job: add --job with its name.")
    if not names:
        return
    if "job" not in trade.TAKES.get(trade.kind_named(given["kind"] or "")[0], trade.Takes()).may:
        raise click.UsageError("A job is of wood: firewood, hauled, split, stack, measured stack, sawlog ...")
    here = read(place)
    given["job"], foretold = of_job(here.tally, here.choices, names, told, region=here.region)
    given["text"] = "; ".join(filter(None, (given["text"], foretold)))


def _place_and_words(told: Sequence[str]) -> tuple[Path, dict[str, Any]]:
    """The place, and what is typed behind it: ``my_woods measured stack 16x4x4``, ``deer doe``, ``seen two moose``."""
    here = bool(told) and not (Path(told[0]) / "place.toml").is_file() and bool(_kind_and_rest(told)[0])
    place, words = (Path(), told) if here or not told else (Path(told[0]), told[1:])
    if not words:
        return place, {}
    kind, rest = _kind_and_rest(words)
    if not kind:
        named = words[0] if place.is_dir() else str(place)
        raise InputError(f"kind {named!r}: {trade.unknown(named, trade.LEDGER_KINDS)}")
    said = " ".join(rest)
    key = trade.kind_named(kind)[0]
    if key == "deer" and (which := trade.key_of(said.lower(), trade.SEX_AGE)) in trade.SEX_AGE:
        return place, {"kind": kind, "sex_age": which}
    if key in (*trade.WORDS_ALONE, "built") and rest and not rest[0][:1].isdigit():
        return place, {"kind": kind, "text": said}
    much = re.fullmatch(r"([\d.,]+) ([a-z ]+)", said.lower())
    amount, unit = (much[1], much[2]) if much else (said or None, None)
    return place, {"kind": kind, "amount": amount, "unit": unit}


def _kind_and_rest(words: Sequence[str]) -> tuple[str, Sequence[str]]:
    """The kind that words begin with, the longest that there is, and the words after it; "" where it is none."""
    for many in range(min(len(words), 3), 0, -1):
        named = " ".join(words[:many])
        if trade.kind_named(named)[0] in trade.LEDGER_KINDS:
            return named, words[many:]
    return "", words


def _from_file(place: Path, saved: Path, as_json: bool) -> None:
    """Notes of a file: every cell of every row that cannot be is said; else those not in the ledger are written, all of
    them or none.
    """
    from woodlot import ledger
    from woodlot import place as places
    from woodlot.ledger.lines import LINE
    from woodlot.place import note_words
    from woodlot.place.remedies import short

    faults: list[Fault] = []
    rule, tree, known = _rule(place), note_words.trees(place), _known(place)
    rows = _rows(saved, faults, tree)
    lines = [_line(rule, tree, cells) for _, cells in rows]
    of_kinds = note_words.of_kinds(lines, tree)
    ids = {str(line["id"]) for line in lines if "id" in line}
    with places.held(place) as book:
        unnamed = {}
        for at, line in enumerate(lines):
            if "corrects" in line:
                lines[at], unnamed[at] = note_words.settled(line, book, ids)
        cells, errors = ledger.as_cells(lines)
        wrong = note_words.cell_words(errors)
        new, held = ledger.fresh(cells, book.lines), ledger.clashing(cells, book.lines)
        bad = {(fault.row, fault.column) for fault in faults}
        for at in sorted({*new, *held}):
            row, told = rows[at]
            words = of_kinds.get(at, {}) | _wrong(lines[at], known) | wrong.get(at, {})
            words |= {"corrects": unnamed[at]} if unnamed.get(at) else {}
            words |= {"id": note_words.otherwise(held[at], cells[at])} if at in held else {}
            faults += [
                Fault(saved.name, row, column, short(_found(told.get(column, ""))), _as_remedy(words[column]))
                for column in words
                if (row, column) not in bad
            ]
        if faults:
            raise PlaceError(sorted(faults, key=lambda fault: fault.row or 0))
        numbers = {at: int(line[LINE]) for at, line in book.write(cells, new, date.today(), once=True).items()}
    broken = places.wishes_broken(place, date.today()) if numbers else {}
    written = [{"line": number, **lines[at], **_breaks(broken, number)} for at, number in numbers.items()]
    if show.deliver(written, None, None, as_json):
        left = len(lines) - len(written)
        more = f" {left} stood in it already." if left else ""
        show.say(f"{len(written)} {'note is' if len(written) == 1 else 'notes are'} in the ledger now.{more}")
        for remark in (*book.remarks, *(line["breaks"] for line in written if "breaks" in line)):
            show.say(remark, hang=2)
        if bare := _uncounted(written):
            show.say(f"Without an amount that can be counted: {first_of(bare, MOST_NAMED)}.")
        if any(line["kind"] == "deer" for line in written):
            show.say(" ".join(_mind(place)))


def _breaks(told: dict[int, str], number: int) -> dict[str, str]:
    """What a line breaks of what the family wishes, as a cell beside it; none where it breaks nothing."""
    return {"breaks": told[number]} if number in told else {}


def _rows(saved: Path, faults: list[Fault], tree: Callable[[str], tuple[str, str]]) -> list[tuple[int, dict[str, Any]]]:
    """Row and note of each line of a file: one of the map page, or a sheet of the family's own."""
    from woodlot.map import field_notes
    from woodlot.place import old_notes
    from woodlot.place.tabular import text_of

    if saved.suffix.lower() == ".xlsx" or old_notes.is_sheet(text_of(saved)):
        return old_notes.rows(saved, faults, lambda word: tree(word)[0])
    return field_notes.rows(text_of(saved), saved.name, faults)


def _uncounted(lines: list[dict[str, Any]]) -> list[str]:
    """Notes of more than what was seen whose amount stands in words alone or not at all."""
    bare = [line for line in lines if "amount" not in line and line["kind"] not in trade.WORDS_ALONE]
    return [f"line {line['line']} ({line.get('text', line['kind'])})" for line in bare]


def _line(rule: Callable[[], str], tree: Callable[[str], tuple[str, str]], given: dict[str, Any]) -> dict[str, Any]:
    """Cells of the line as the ledger is to hold them: names of kinds and units made plain, one deer, today."""
    from woodlot.ledger.entries import with_word

    kind, text = with_word(given.get("kind") or "", given.get("text"))
    given = given | {"text": text}
    usual = trade.LEDGER_KINDS[kind].unit if kind in trade.LEDGER_KINDS else ""
    given, amount = _sized(given, kind)
    unit = (given.get("unit") or "").lower()
    if given.get("species"):
        given["species"] = tree(given["species"])[0] or given["species"]
    if kind in trade.ONE_EACH and amount is None:
        amount = 1.0
    unit = None if amount is None else _unit(rule, unit or usual)
    line = given | {"date": given.get("date") or date.today(), "kind": kind or None, "amount": amount, "unit": unit}
    line["corrects"] = given.get("corrects") and str(given["corrects"]).strip().lower()
    return {key: line[key] for key in CELLS if line.get(key) is not None}


def _sized(given: dict[str, Any], kind: str) -> tuple[dict[str, Any], Any]:
    """A line with its amount as a number; of a stack the cords of its size, which then stands in its words too."""
    amount, text = given.get("amount"), given.get("text") or ""
    size = stack_ft(str(text if amount is None else amount)) if kind in trade.STACKED_KINDS else None
    if size and not given.get("unit") and not _in_inches(size):
        said = " x ".join(f"{side:.3g}" for side in size) + " ft"
        told = "; ".join(filter(None, (text, said))) if amount is not None else text
        return given | {"text": told}, round(math.prod(size) / CUFT_PER_CORD_STACKED, 3)
    try:
        return given, None if amount is None else float(amount)
    except ValueError:
        return given, amount


def _in_inches(size: tuple[float, float, float]) -> bool:
    """Whether a size in feet looks like a row of short wood whose depth was told in inches."""
    long, high, deep = size
    return high > MOST_HIGH_FT or (long >= LONG_FT and deep >= MOST_DEEP_FT)


def _rule(place: Path) -> Callable[[], str]:
    """What gives the rule by which the place scales board feet; it is read when it is first asked for, and once."""
    from woodlot.place import choices

    return cache(lambda: str(choices(place)["log_rule"]))


def _unit(rule: Callable[[], str], unit: str) -> str:
    """A unit by its name in the ledger; board feet get the rule that the place has chosen."""
    unit = trade.key_of(unit, trade.UNITS)
    return trade.noted_unit(unit, rule()) if unit == "bdft" else unit


def _wrong(line: dict[str, Any], known: dict[str, list[str]]) -> dict[str, str]:
    """Column -> what cannot be in a line, and what would be right."""
    kind, amount, unit = line.get("kind", ""), line.get("amount"), line.get("unit")
    wrong = {}
    if kind not in trade.LEDGER_KINDS and trade.closest(kind, trade.LEDGER_KINDS, 0.75):
        wrong["kind"] = f"kind {kind!r}: {trade.unknown(kind, trade.LEDGER_KINDS)}"
    for column, there in known.items():
        if column in line and line[column] not in there:
            wrong[column] = _no_such(column.removesuffix("_id"), line[column], there)
    size = stack_ft(str(amount if amount is not None else line.get("text", "")))
    if kind in trade.STACKED_KINDS and size and _in_inches(size) and not isinstance(amount, float):
        wrong["amount"] = "is its last side in inches? then write it as 16in; else give the cords"
    elif amount is not None and not isinstance(amount, float):
        wrong["amount"] = f"{amount!r} is no number" + ("" if not size else "; a size is told of a stack")
    elif amount is not None and unit != trade.DEGREES and not 0.0 <= amount < float("inf"):
        wrong["amount"] = f"an amount is 0 or more, and here it is {amount:g}; to mend a line, add --corrects"
    if line["date"] > date.today():
        wrong["date"] = f"{line['date']} has not come yet; a note is of a day that is past, or today"
    takes = trade.TAKES.get(kind, trade.Takes(may=("unit",)))
    if unit == "" and isinstance(amount, float) and "unit" in takes.may:
        wrong["unit"] = f"{amount:g} of what? add --unit, such as {', '.join(trade.UNITS_NOTED[:2])} or bdft"
    elif unit and unit not in trade.UNITS_NOTED:
        wrong["unit"] = f"unit {unit!r}: {trade.unknown(unit, trade.UNITS_NOTED)}"
    return wrong


def _found(value: Any) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


def _as_remedy(words: str) -> str:
    """Words for a cell of a file: a column where a command has an option, and a whole sentence."""
    known = words.find(f"': {trade.MUST}")
    plain = words[known + 3 :] if known >= 0 else _OPTION.sub(lambda found: found[1].replace("-", "_"), words)
    return capital(plain) + ("" if plain.endswith((".", "?")) else ".")


def _known(place: Path) -> dict[str, list[str]]:
    """Column -> the ids on the maps; none, and said so, where the maps cannot be read."""
    from woodlot.place import known_ids

    known = known_ids(place)
    if known is None:
        show.say("The maps cannot be read as they are, so parcel and stand were not checked.", err=True)
        return {}
    return {"parcel_id": known["parcels"], "stand_id": known["stands"]}


def _no_such(what: str, name: str, there: list[str]) -> str:
    near = trade.closest(name, there)
    others = f"did you mean {near!r}?" if near else f"there are {', '.join(there[:12]) or 'none'}"
    return f"there is no {what} {name!r}; {others}"

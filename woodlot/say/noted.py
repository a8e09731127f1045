"""What the family noted of woods, lines and weather, in words; what a note may hold, and what it lacks.

WORDS     key of a Reason -> its sentence
of_stand  what is told of a stand, after its name
takes     what a line of each kind takes, a row a kind
photo_amiss   a photo of a line that is not there, or was changed
in_words  a line that was written, as it is told back
details   what the columns of a line tell beside its words: age, weight and milk of a deer, species, job, photo
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from woodlot.say import words
from woodlot.say.words import capital, first_of, id_list, listed, noun, plural
from woodlot.trade import (
    BOUNDARY,
    FORM_KINDS,
    LEDGER_KINDS,
    MILK,
    SEX_AGE,
    SICK,
    TAKES,
    UNITS,
    WEATHER,
    key_of,
    unit_word,
)

__all__ = ["WORDS", "details", "in_words", "of_stand", "photo_amiss", "takes"]

#: Stands, parcels and kinds of trees named in one sentence.
MOST = 6
#: Columns of a line, as the option of the command is called, and in words.
COLUMNS = {
    "amount": ("--amount", "an amount"),
    "unit": ("--unit", "a unit"),
    "species": ("--species", "a kind of tree"),
    "sex_age": ("--sex-age", "sex and age of a deer"),
    "age_yr": ("--age-yr", "an age"),
    "dressed_lb": ("--dressed-lb", "a dressed weight"),
    "milk": ("--milk", "milk"),
    "job": ("--job", "a job"),
    "photo": ("--photo", "a photo"),
    "text": ("--text", "words"),
    "corrects": ("--corrects", "a line"),
}
#: What is asked for where a line lacks it.
LACKS = {
    "weather": "what was it? say it in --text, such as ice storm or late frost",
    "photo": "which file is it? add --photo with it",
    "measured stack": "how large is it? give its size in feet, such as 16x4x4, or its cords",
    "void": "a void line takes out another one; add --corrects with its number or id",
}


def _lacks(kind: str) -> str:
    if kind in LACKS:
        return LACKS[kind]
    return f"which deer was it? add --sex-age with one of {', '.join(SEX_AGE)}"


def _takes_none(kind: str, column: str, of: Sequence[str]) -> str:
    what = COLUMNS[column][1]
    told = f"{capital(what)} is of {first_of([LEDGER_KINDS[one].one for one in of], MOST)}" if len(of) < MOST else ""
    return (
        f"{told}, not of {kind}"
        if told
        else f"{kind} takes no {what.removeprefix('an ').removeprefix('a ')}; say it in --text"
    )


def _many(unit: str, kind: str) -> str:
    word = unit_word(unit, kind)
    return unit if word is None else word.many


def _unit(kind: str, units: Sequence[str]) -> str:
    return f"{kind} is told in {' or '.join(_many(one, kind) for one in units)} (--unit {' or '.join(units)})"


def _age(who: str, low: float, high: float) -> str:
    return f"a {who} is {low:g} to {high:g} years old; which of the two is a slip?"


def _kind_of_tree(number: float | None, species: str, word: str) -> str:
    many = "" if number is None else f"{number:,.6g} "
    said = SICK[word].many.split()[0] if word else ""
    if species:
        return f"{many}{species}{f', {said}' if said else ''}"
    return f"{many}{said or 'sick'} {'tree' if number == 1 else 'trees'}"


def _sick_here(each: Sequence[tuple[float | None, str, str, date]], plots: date | None) -> str:
    told = "; ".join(f"{_kind_of_tree(*one[:3])} ({words.day(one[3])})" for one in each)
    older = f" Its plots of {words.day(plots)} are older: measure again before you trust its cords." if plots else ""
    return f"Sick trees noted: {told}.{older}"


def _broken_since(each: Sequence[tuple[str, date]], plots: date) -> str:
    came = listed(f"{WEATHER[word].one} on {words.day(when)}" for word, when in each)
    since = words.day(plots)
    return f"Noted since its plots of {since}: {came}. They may tell of trees that stand no more: measure again."


def _planted_here(each: Sequence[tuple[float | None, str, int]]) -> str:
    told = [
        f"{f'{number:,.6g} ' if number else ''}{species or ('tree' if number == 1 else 'trees')} in {year}"
        for number, species, year in each
    ]
    return f"Planted: {'; '.join(told)}."


def _plots_before(of: str, day: date, stands: Sequence[str]) -> str:
    what = WEATHER[of].one if of in WEATHER else LEDGER_KINDS[of].many
    were = "were" if of not in WEATHER and of == LEDGER_KINDS[of].many else "was"
    return (
        f"{noun(len(stands), 'Stand')} {id_list(list(stands), MOST)}: {what} {were} noted on {words.day(day)}, after "
        "the plots there; measure again before you trust their cords."
    )


def _lines_walked(day: date | None, done: str, years: int, missing: date | None) -> str:
    if day is None:
        told = "No walk of its lines is noted."
    else:
        how = BOUNDARY[done].one if done and not done.startswith("corner") else "looked at"
        ago = f", {plural(years, 'year')} ago" if years else ""
        told = f"Lines last {how} {words.day(day)}{ago}."
    lost = (
        f" A corner was missing on {words.day(missing)}: a licensed surveyor sets it anew, nobody else."
        if missing
        else ""
    )
    return told + lost


def _no_ground(kind: str, line: int) -> str:
    what = "parcel" if kind in TAKES and TAKES[kind].words is BOUNDARY else "stand"
    anew = f"write it anew with --corrects {line}"
    return f"Line {line} of the ledger ({kind}) names no {what}, so it is told of none; {anew}."


def _weather_noted(word: str, notes: int, day: date, amount: float | None, unit: str) -> str:
    what = WEATHER[word].one if word in WEATHER else word or "weather"
    often = f", noted {notes} times" if notes > 1 else ""
    if amount is None:
        return f"{what} on {words.day(day)}{f', the last of {notes} times' if notes > 1 else ''}"
    return f"{what} of {amount:,.6g} {UNITS[unit].one if amount == 1 else UNITS[unit].many} on {words.day(day)}{often}"


def _planted_noted(number: float, species: Sequence[str]) -> str:
    kinds = [one for one in species if one]
    return f"{number:,.6g} {'tree' if number == 1 else 'trees'} planted" + (
        f" ({first_of(kinds, MOST)})" if kinds else ""
    )


WORDS: Mapping[str, Callable[..., str]] = {
    "entry lacks": _lacks,
    "entry takes none": _takes_none,
    "entry unit": _unit,
    "entry unit of weather": lambda: "inches and degrees are of weather alone",
    "entry milk": lambda of: f"only a grown doe has milk: add --sex-age {of}",
    "entry age": _age,
    "sick here": _sick_here,
    "broken since": _broken_since,
    "planted here": _planted_here,
    "plots before": _plots_before,
    "lines walked": _lines_walked,
    "no ground named": _no_ground,
    "weather noted": _weather_noted,
    "planted noted": _planted_noted,
    "lines noted": lambda parcels: f"lines of {first_of(list(parcels), MOST)} walked",
}


def of_stand(stand: str, told: str) -> str:
    """What is told of a stand, after its name."""
    return f"Stand {stand}: {told[:1].lower()}{told[1:]}"


def photo_amiss(line: int, name: str, there: bool) -> str:
    """A photo of a line that is not there, or is another file than was noted."""
    how = "is not the file that was noted" if there else "is not in the folder photos"
    return f"Line {line} of the ledger: its photo {name} {how}; look for it in an older copy."


def takes() -> list[dict[str, Any]]:
    """What a line of each kind takes, the commonest first: kind, also (what else it is called), unit (its usual one),
    must, may, units, says (words of its list) and all of it in words.
    """
    kinds = [*FORM_KINDS, *(kind for kind in LEDGER_KINDS if kind not in FORM_KINDS)]
    rows = []
    for kind in kinds:
        word, of = LEDGER_KINDS[kind], TAKES[kind]
        row = {"kind": kind, "also": list(word.also), "unit": word.unit, "must": list(of.must), "may": list(of.may)}
        rows.append(row | {"units": list(of.units), "says": list(of.words), "words": _takes(kind)})
    return rows


def _takes(kind: str) -> str:
    word, of = LEDGER_KINDS[kind], TAKES[kind]
    units = " or ".join(_many(one, kind) for one in of.units) or (UNITS[word.unit].many if word.unit else "")
    more = [
        COLUMNS[name][1].removeprefix("an ").removeprefix("a ") for name in of.may if name not in ("amount", "unit")
    ]
    asked = [COLUMNS[name][0] for name in of.must if name in COLUMNS]
    parts = [
        f" ({', '.join(word.also)})" if word.also else "",
        f": in {units}" if units and "unit" in of.may else ": in words",
        f", with {', '.join(more)}" if more else "",
        f"; {' and '.join(asked)} must be there" if asked else "",
        f"; says {', '.join(of.words)}, or your own words" if of.words else "",
    ]
    return kind + "".join(parts)


def details(cells: Mapping[Any, Any]) -> str:
    """What the columns of a line tell beside its words, "" for nothing: ``3.5 years old, 104 lb dressed``."""

    def there(name: str) -> Any:
        value = cells.get(name)
        return None if value is None or value != value or value == "" else value

    parts = (
        [f"{there('age_yr'):g} {'year' if there('age_yr') == 1 else 'years'} old"]
        if there("age_yr") is not None
        else []
    )
    parts += [f"{there('dressed_lb'):g} lb dressed"] if there("dressed_lb") is not None else []
    parts += [MILK[key_of(str(there("milk")), MILK)].one] if there("milk") else []
    parts += [str(there("species"))] if there("species") else []
    parts += [f"job {there('job')}"] if there("job") else []
    parts += [f"photo {there('photo')}"] if there("photo") else []
    return ", ".join(parts)


def in_words(line: Mapping[str, Any], replaces: str | None = None) -> str:
    """A line that was written, as it is told back; ``replaces``: what the line it takes the place of was called."""
    if line["kind"] == "void":
        return ", ".join(filter(None, (f"line {replaces} is taken out", line.get("text"))))
    parts = [
        words.day(line["date"]),
        words.noted(line["amount"], line["unit"], line["kind"]) if "amount" in line else "",
    ]
    parts += [line["kind"] if "sex_age" not in line else line["sex_age"], details({**line, "photo": None})]
    parts += ["" if "job" in line else line.get("text", "")]
    parts += [f"{what} {line[f'{what}_id']}" for what in ("parcel", "stand") if f"{what}_id" in line]
    parts += [f"photo {line['photo']}" if "photo" in line else "", f"in place of line {replaces}" if replaces else ""]
    return ", ".join(filter(None, parts))

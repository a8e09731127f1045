"""How numbers, ranges and dates are said, the same on the screen, on the map and on paper.

Amount first, unit spelt out, range beside it, then why: ``22 cords (17 to 28, 90%)``. Rounding is done here and only
here, from unrounded figures: cords and board feet to two figures, acres to a tenth, deer and basal area whole, meat to
ten pounds, diameters to a tenth of an inch, miles to a tenth.
"""

from datetime import date
from math import floor, isfinite, log10

from woodlot.estimate import Number
from woodlot.trade import LOG_RULES, UNITS

__all__ = [
    "amount",
    "answer",
    "bare_number",
    "bare_range",
    "cap",
    "day",
    "month_day_year",
    "noted",
    "period",
    "range_words",
    "rounded",
    "rule",
    "two_figures",
    "winter",
    "winter_of",
]

#: unit -> decimals; units that are not listed are rounded to two figures
DECIMALS = {
    "acres": 1,
    "miles": 1,
    "inches": 1,
    "percent": 0,
    "feet": 0,
    "deer": 0,
    "does": 0,
    "bucks": 0,
    "sq ft": 0,
    "sq ft an acre": 0,
    "trees an acre": 0,
    "deer a square mile": 0,
}
TEN_POUNDS = {"pounds"}


def two_figures(value: float) -> str:
    """A number to two significant figures, thousands set off: 7.94 -> 7.9, 1,113 -> 1,100, 0 -> 0."""
    if value == 0:
        return "0"
    places = 1 - floor(log10(abs(value)))
    told = round(value, places)
    if told and floor(log10(abs(told))) > floor(log10(abs(value))):
        places -= 1
    return f"{told:,.{max(places, 0)}f}"


def rounded(value: float, unit: str) -> str:
    """A number in the rounding of its unit."""
    if unit in TEN_POUNDS:
        return f"{round(value, -1):,.0f}"
    if unit in DECIMALS:
        return f"{value:,.{DECIMALS[unit]}f}"
    return two_figures(value)


def amount(value: float | None, unit: str) -> str:
    """Number and unit spelt out: ``22 cords``; ``no number yet`` for None."""
    if value is None or not isfinite(value):
        return "no number yet"
    told = rounded(value, unit)
    return f"{told} {_singular(unit) if told in ('1', '1.0') else unit}"


def cap(text: str) -> str:
    """A sentence begins with a capital."""
    return text[:1].upper() + text[1:]


def noted(value: float | None, unit: str) -> str:
    """An amount as a note of the ledger keeps it, not rounded: ``2.5 cords``, ``300 board feet, Scribner rule``."""
    if value is None or not isfinite(value):
        return ""
    plain_unit, _, by = unit.partition("_")
    word = UNITS.get(plain_unit)
    said = f"{value:,.6g} {unit if word is None else word.one if value == 1 else word.many}".strip()
    return f"{said}, {rule(by)}" if plain_unit == "bdft" and by else said


def _singular(unit: str) -> str:
    one = {"does": "doe", "bucks": "buck", "inches": "inch", "feet": "foot"}
    first, _, rest = unit.partition(" ")
    word = one.get(first) or (first[:-1] if first.endswith("s") else first)
    return f"{word} {rest}".strip()


def range_words(of: Number, dash: str = " to ") -> str:
    """The range of an answer's number: ``17 to 28, 90%``, ``3 to 15, assumptions``, or why there is none."""
    if of.low is None or of.high is None:
        return of.why or "no range"
    level = "assumptions" if of.kind == "assumptions" or of.level is None else f"{round(100 * of.level)}%"
    return f"{bare_range(of, dash)}, {level}"


def bare_number(of: Number) -> str:
    """A number in the rounding of its unit, without the unit; nothing where there is none."""
    return "" if of.value is None else rounded(of.value, of.unit)


def bare_range(of: Number, dash: str = " to ") -> str:
    """The two ends of a range, without its level: ``17 to 28``; nothing where there is none."""
    if of.low is None or of.high is None:
        return ""
    return f"{rounded(of.low, of.unit)}{dash}{rounded(of.high, of.unit)}"


#: Said in place of a parcel's name.
NO_PARCEL = "outside every parcel"


def rule(name: str) -> str:
    """A log rule by its full name."""
    return LOG_RULES[name].one if name in LOG_RULES else name


def answer(of: Number, dash: str = " to ") -> str:
    """Number, unit and range of an answer's number: ``22 cords (17 to 28, 90%)``."""
    return f"{amount(of.value, of.unit)} ({range_words(of, dash)})"


def day(when: date) -> str:
    """``9 Oct 2026``, for tables."""
    return f"{when.day} {when:%b} {when.year}"


def month_day_year(when: date) -> str:
    """``25 November 2026``, for heads."""
    return f"{when.day} {when:%B} {when.year}"


def winter(when: date, dash: str = "–") -> str:
    """The winter that a day belongs to or comes before: from May on the coming one, ``2026–27``."""
    return winter_of(when.year if when.month >= 5 else when.year - 1, dash)


def winter_of(year: int, dash: str = "–") -> str:
    """The winter that begins in a year: ``2026–27``."""
    return f"{year}{dash}{(year + 1) % 100:02d}"


def period(year: int, step_yr: int) -> str:
    """A period of a plan by the year in which it begins: ``in winter 2026–27``, ``in 2031 to 2035``."""
    return f"in winter {winter_of(year)}" if step_yr == 1 else f"in {year} to {year + step_yr - 1}"

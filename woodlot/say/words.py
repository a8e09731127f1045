"""How numbers, ranges and dates are said, the same on the screen, on the map and on paper.

Amount first, unit spelt out, range beside it, then why: ``22 cords (17 to 28, 90%)``. Rounding is done here and only
here, from unrounded figures: cords and board feet to two figures, acres to a tenth, deer and basal area whole, meat to
ten pounds, diameters to a tenth of an inch, miles to a tenth.
"""

import re
from collections.abc import Iterable, Sequence
from datetime import date
from math import floor, isfinite, log10

from woodlot.estimate import Number, is_wide
from woodlot.trade import LOG_RULES, unit_word

__all__ = [
    "BEFORE_HUNT",
    "FROM_MEMORY",
    "NBSP",
    "amount",
    "answer",
    "bare_number",
    "bare_range",
    "bound",
    "capital",
    "cut_short",
    "day",
    "first_of",
    "id_list",
    "in_letters",
    "listed",
    "month_day_year",
    "not_listed",
    "noted",
    "noun",
    "of_an_acre",
    "of_region",
    "percent",
    "period",
    "plural",
    "range_words",
    "rounded",
    "rule",
    "told",
    "two_figures",
    "winter",
    "winter_of",
]

_SMALL = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
NBSP = "\u00a0"
BEFORE_HUNT = "Before you hunt"
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
    near = round(value, places)
    if near and floor(log10(abs(near))) > floor(log10(abs(value))):
        places -= 1
    return f"{near:,.{max(places, 0)}f}"


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
    number = rounded(value, unit)
    return f"{number} {_singular(unit) if number in ('1', '1.0') else unit}"


def of_an_acre(acres: float) -> str:
    """Acres of a small job as people pace them: ``3/4 acre``, ``1/20 acre``; from one acre on as other acres are."""
    parts = {"1/50": 1 / 50, "1/20": 1 / 20, "1/10": 1 / 10, "1/5": 1 / 5, "1/4": 1 / 4, "1/3": 1 / 3}
    parts |= {"1/2": 1 / 2, "2/3": 2 / 3, "3/4": 3 / 4, "1": 1.0}
    near = min(parts, key=lambda name: abs(log10(max(acres, 1e-6) / parts[name])))
    return amount(acres, "acres") if acres >= 1.05 else f"{near} acre"


def noted(value: float | None, unit: str, kind: str = "") -> str:
    """An amount as a note of the ledger keeps it, not rounded: ``2.5 cords``, ``300 board feet, Scribner rule``."""
    if value is None or not isfinite(value):
        return ""
    plain_unit, _, by = unit.partition("_")
    word = unit_word(plain_unit, kind)
    words = f"{value:,.6g} {unit if word is None else word.one if value == 1 else word.many}".strip()
    return f"{words}, {rule(by)}" if plain_unit == "bdft" and by else words


def _singular(unit: str) -> str:
    one = {"does": "doe", "bucks": "buck", "inches": "inch", "feet": "foot"}
    first, _, rest = unit.partition(" ")
    word = one.get(first) or (first[:-1] if first.endswith("s") else first)
    return f"{word} {rest}".strip()


def told(of: Number) -> str:
    """The number of an answer with its unit; "about" before one whose range is wider than twice itself."""
    about = of.kind == "interval" and is_wide(of.value, of.low, of.high)
    return f"about {amount(of.value, of.unit)}" if about else amount(of.value, of.unit)


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
    """The two ends of a range, without its level: ``17 to 28``; ``at most 10`` where none was seen; else nothing."""
    if of.high is None:
        return ""
    if of.low is None:
        return f"at most {rounded(of.high, of.unit)}"
    return f"{rounded(of.low, of.unit)}{dash}{rounded(of.high, of.unit)}"


#: What the dagger beside a figure means.
FROM_MEMORY = "† from memory, no source seen."
#: Stands in place of a parcel's name.
NO_PARCEL = "outside every parcel"


def rule(name: str) -> str:
    """A log rule by its full name."""
    return LOG_RULES[name].one if name in LOG_RULES else name


def answer(of: Number, dash: str = " to ") -> str:
    """Number, unit and range of an answer's number: ``22 cords (17 to 28, 90%)``."""
    return f"{told(of)} ({range_words(of, dash)})"


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


def capital(text: str) -> str:
    """The same text with its first letter large."""
    return text[:1].upper() + text[1:]


def noun(number: float, one: str, many: str = "") -> str:
    """The word for so many: ``plot`` of one, ``plots`` of none and of more."""
    return one if number == 1 else many or f"{one}s"


def of_region(name: str) -> str:
    """A region as the screen names it; ``base`` is none of its own."""
    return "no region of its own here; general tables" if name == "base" else f"of the region {name}"


def not_listed(region: str) -> str:
    """That a kind of tree is not on the list of a region."""
    return "Not in the general list." if region == "base" else f"Not in the {region} list."


def percent(share: float) -> str:
    """A small share: ``5%``, ``under 1%``."""
    return "under 1%" if 0.0 < share < 0.005 else f"{100.0 * share:.0f}%"


def in_letters(n: int) -> str:
    """A count of up to twelve in letters: ``five``, ``13``."""
    return _SMALL[n] if n < len(_SMALL) else str(n)


def plural(number: float, one: str, many: str = "") -> str:
    """``1 plot``, ``3 plots``, ``1,200 rows``."""
    return f"{number:,.0f} {noun(number, one, many)}"


def one_of(name: str) -> str:
    """The name of many of a thing for one of it: ``post 7 ft by 4 in top``, ``lasting post``."""
    things, *size = re.split(r"(?= \d)", name, maxsplit=1)
    return "".join([things.removesuffix("s"), *size])


def listed(parts: Iterable[str]) -> str:
    """``1``, ``1 and 2``, ``1, 2 and 3``; where a part has a comma of its own, ``1, thick; 2; and 3``."""
    *first, last = parts = list(parts)
    stop, end = ("; ", "; and ") if any(", " in one for one in parts) and len(first) > 1 else (", ", " and ")
    return f"{stop.join(first)}{end}{last}" if first else last


def first_of(parts: Sequence[str], most: int) -> str:
    """Up to ``most`` of them, and how many more there are: ``1, 2, 3 and 14 more``."""
    more = len(parts) - most
    return ", ".join(parts[:most]) + (f" and {more:,} more" if more > 0 else "")


def id_list(names: Sequence[str], most: int) -> str:
    """Names that tables use: ``1 to 16`` where they are numbers in a row, else up to ``most`` of them."""
    if all(one.isascii() and one.isdigit() for one in names):
        numbers = sorted(map(int, names))
        if len(numbers) > 2 and numbers[-1] - numbers[0] + 1 == len(numbers):
            return f"{numbers[0]} to {numbers[-1]}"
    return first_of(names, most)


def cut_short(text: str, most: int) -> str:
    """A text of at most so many letters."""
    return text if len(text) <= most else text[: most - 1] + "…"


def bound(text: str) -> str:
    """Words that stay on one line."""
    return text.replace(" ", NBSP)

"""The numbers of ``woodlot.say.words`` on the page: en dashes that do not break, odds in words, dates from ISO text.

figures         two figures: 7.9, 22, 220, 1,100
amount          fixed decimals, thousands with a comma
range_only      17–28, unbreakable
range_level     17–28, 90%
range_words     17–28, nine times in ten
odds            nine times in ten
day, long_day   9 Oct 2026; 25 November 2026
counted         3 plots, number and word held together
winters         winters 2026–27 to 2028–29 and 2033–34
GROUP_GROUND    what the dotted lines around are
winter_runs     the same by runs without a gap, each with its entries
"""

import datetime as dt
import math
from collections.abc import Sequence
from typing import Any

from woodlot.answers.stand_types import Entry
from woodlot.estimate import Number
from woodlot.say import words
from woodlot.say.words import NBSP, bound

__all__ = [
    "GROUP_GROUND",
    "amount",
    "counted",
    "day",
    "figures",
    "has_range",
    "long_day",
    "odds",
    "range_level",
    "range_only",
    "range_words",
    "winter_runs",
    "winters",
]

#: What dotted lines around the parcels are.
GROUP_GROUND = "neighbors who share the deer"
JOIN = "\u2060"
DASH = f"{JOIN}–{JOIN}"
_ODDS = {0.5: "one time in two", 0.8: "four times in five", 0.9: "nine times in ten", 0.95: "19 times in 20"}


def _known(value: Any) -> bool:
    return value is not None and math.isfinite(value)


def figures(value: float | None) -> str:
    """A number to two figures; "–" when there is none."""
    return words.two_figures(value) if value is not None and _known(value) else "–"


def amount(value: float | None, places: int = 0) -> str:
    """A number to fixed decimals with thousands commas; "–" when there is none."""
    return f"{value:,.{places}f}" if value is not None and _known(value) else "–"


def counted(number: float, one: str) -> str:
    """``1 plot``, ``3 plots``; number and word never part."""
    return words.plural(number, one).replace(" ", NBSP, 1)


def odds(level: float | None) -> str:
    """How often a range at this level should hold the truth, in words."""
    level = 0.9 if level is None else level
    return _ODDS.get(round(level, 4), f"{round(100 * level)} times in 100")


def has_range(estimate: Number) -> bool:
    """Whether a number has both ends of a range."""
    return _known(estimate.low) and _known(estimate.high)


def range_only(estimate: Number, places: int | None = None) -> str:
    """``17–28`` (two figures, or fixed decimals), or nothing when there is no range."""
    if not has_range(estimate):
        return ""
    low, high = (figures(v) if places is None else amount(v, places) for v in (estimate.low, estimate.high))
    return f"{low}{DASH}{high}"


def range_level(estimate: Number, places: int | None = None) -> str:
    """``17–28, 90%`` or ``17–28, assumptions``; the reason when there is no range."""
    if not has_range(estimate):
        return estimate.why or "no range"
    percent = f"{round(100 * (estimate.level or 0.9))}%"
    return f"{range_only(estimate, places)}, {'assumptions' if estimate.kind == 'assumptions' else percent}"


def range_words(estimate: Number, places: int | None = None) -> str:
    """``17–28, nine times in ten`` or ``17–28, from assumptions``; the reason when there is no range."""
    if not has_range(estimate):
        return estimate.why or "no range"
    assumed = estimate.kind == "assumptions"
    return f"{range_only(estimate, places)}, {'from assumptions' if assumed else odds(estimate.level)}"


def _date(when: Any) -> dt.date | None:
    try:
        return dt.date.fromisoformat(str(when)[:10])
    except ValueError:
        return None


def day(when: Any) -> str:
    """``9 Oct 2026`` from an ISO date, its parts held together; anything else as it is."""
    date = _date(when)
    return bound(words.day(date)) if date else str(when or "")


def long_day(when: Any) -> str:
    """``25 November 2026`` from an ISO date; anything else as it is."""
    date = _date(when)
    return bound(words.month_day_year(date)) if date else str(when or "")


def winter_runs(entries: Sequence[Entry]) -> list[tuple[str, list[Entry]]]:
    """Entries of the plan (soonest first) by runs of winters without a gap: ``2026–27 to 2028–29`` and its entries."""
    runs: list[list[Entry]] = []
    for e in entries:
        if runs and int(e.winter[:4]) == int(runs[-1][-1].winter[:4]) + 1:
            runs[-1].append(e)
        else:
            runs.append([e])
    return [(_span(run[0].winter, run[-1].winter), run) for run in runs]


def _span(first: str, last: str) -> str:
    ends = [first] if first == last else [first, last]
    return f"{NBSP}to{NBSP}".join(ends).replace("–", DASH)


def winters(entries: Sequence[Entry]) -> str:
    """All winters of the plan in a sentence: ``winter 2034–35``, ``winters 2026–27 to 2028–29 and 2033–34``."""
    spans = words.listed(span for span, _ in winter_runs(entries))
    return f"{words.noun(len(entries), 'winter')} {spans}"

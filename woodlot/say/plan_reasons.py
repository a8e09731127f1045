"""Reasons of the plan in words: the day's woods, ceilings of the cut, the schedule, cautions, the ledger.

WORDS   key of a Reason -> what makes its sentence of the facts (of figures and the ledger parts of sentences)
"""

from collections.abc import Callable, Mapping, Sequence
from math import ceil

from woodlot.say import words

__all__ = ["WORDS"]

FIREWOOD = "firewood"
CEILINGS = {"growth": "what it grows", "area": "its share of a cutting cycle", "meyer": "what leads it to its goal"}
#: What binds, and what would loosen it by one unit, by kind of limit.
BINDS = {
    "need": ("The firewood wanted {when} holds the plan back.", "With one cord less wanted"),
    "want": ("The {of} wanted {when} hold the plan back.", "With one less wanted"),
    "cut": ("All that may be cut {when} is cut.", "If one cord more might be taken"),
    "work": ("All days of work {when} are used.", "With one day more"),
    "end": ("What must stand at the end holds the cut back.", "With one cord less left standing"),
    "stock": ("What must stand {when} holds the cut back.", "With one cord less left standing then"),
    "frozen": ("All days of work on frozen ground {when} are used.", "With one day more"),
}
#: Limits that are in the way.
LIMITS = {
    "work": "the days of work",
    "frozen": "the days of work on frozen ground",
    "cut": "what may be cut each year",
    "end": "what must stand at the end",
    "stock": "what must stand in every year",
    "neighbors": "a cut patch that keeps its edge neighbors shut",
}


def _left_out(strip_ac: float, waters: Sequence[str], steep_ac: float) -> str:
    near = " and ".join(dict.fromkeys(name or "water" for name in waters))
    parts = [f"{strip_ac:.1f} acres along {near}"] if waters else []
    parts += [f"{steep_ac:.1f} acres too steep for skidding"] if steep_ac else []
    return f"{' and '.join(parts)} are left out."


def _unit(of: str) -> str:
    return "cords" if of == FIREWOOD else of


def _many(number: float, unit: str) -> str:
    """Cords in their rounding; pieces whole, a part of one counted as one."""
    if unit == "cords":
        return words.amount(number, unit)
    whole = ceil(number - 1e-6)
    return f"{whole:,} {unit.removesuffix('s') if whole == 1 else unit}"


def _each(step_yr: int) -> str:
    return "a year" if step_yr == 1 else "each period"


def _often(once: bool, step_yr: int) -> str:
    return "once" if once else _each(step_yr)


def _cannot_be_had(of: str, number: float, years: Sequence[int], step_yr: int, once: bool = False) -> str:
    amount = f"{_many(number, _unit(of))}{' of the firewood' if of == FIREWOOD else ''}"
    if once:
        by = f"by the end of {words.period(years[-1], step_yr).removeprefix('in ')}" if years else "at any time"
        return f"{amount} wanted cannot be had {by}."
    when = ", ".join(words.period(year, step_yr).removeprefix("in ") for year in years)
    return f"{amount} wanted cannot be had ({when or ('every winter' if step_yr == 1 else 'every period')})."


def _in_the_way(
    of: str, limits: Sequence[tuple[str, float, float, float]], step_yr: int, least_entry_cords: float
) -> str:
    """Which limits are in the way of one product, each with what would be missing less without it alone."""
    if not limits:
        return "No single limit is in the way: without any one of them as much would be missing."
    each = []
    for limit, less, left, work_most in limits:
        least = f"the least entry of {words.amount(least_entry_cords, 'cords')}"
        name = least if limit == "entry" else LIMITS[limit]
        fewer = f"{_many(less, _unit(of))} {'less' if of == FIREWOOD else 'fewer'}"
        gain = "nothing would be missing" if left <= 1e-6 else fewer
        days = f"with {ceil(work_most / step_yr - 1e-6)} days a year " if limit == "work" else "without it "
        each.append(f"{name} ({days}{gain})")
    return f"In the way: {', '.join(each)}."


def _met(goals: Sequence[tuple[str, float, bool]], step_yr: int) -> str:
    each = [(once, _many(number, _unit(of)) + (" of firewood" if of == FIREWOOD else "")) for of, number, once in goals]
    runs = [(often, [one for when, one in each if when == often]) for often in (False, True)]
    told = [f"{', '.join(some)} {_often(once, step_yr)}" for once, some in runs if some]
    return f"What is wanted is met throughout: {'; '.join(told)}."


def _binds(limit: str, year: int, step_yr: int, price: float) -> str:
    kind, _, of = limit.partition(" ")
    binds, loose = BINDS[kind]
    when = f"in {year}" if kind == "stock" else words.period(year, step_yr)
    gain = f"the whole plan would give {words.amount(price, 'cords')} more"
    return f"{binds.format(of=of, when=when)} {loose}, {gain}."


def _done(kind: str, number: float) -> str:
    if kind == "firewood":
        return f"{words.amount(number, 'cords')} of firewood cut"
    if kind == "sawlog":
        return f"sawlogs cut on {number:.0f} day{'' if number == 1 else 's'}"
    return f"{number:.0f} deer taken" if kind == "deer" else f"{number:.0f} {kind}{'' if number == 1 else 's'} cut"


def _lines_gone(numbers: Sequence[int], more: int) -> str:
    named = ", ".join(map(str, numbers)) + (f" and {more} more" if more else "")
    return f"line {named} {'is' if len(numbers) == 1 else 'are'} not there any more; look for it in an older copy"


def _line_torn(cells: int, of: int) -> str:
    left = f"only the first {cells} of {of} cells are there" if cells else "it cannot be read"
    return f"torn: {left}; kept in the file, not counted"


WORDS: Mapping[str, Callable[..., str]] = {
    # the ground
    "left out": _left_out,
    # ceilings: a figure
    "nothing may be cut": lambda: "nothing may be cut here now",
    "published growth": lambda: "without cores growth is a published rate: the range has no odds",
    "no range anywhere": lambda: "no stand has enough plots for a range",
    # ceilings: a stand
    "not cut by rule": lambda rule: f"Nothing is to be cut here. {rule}",
    "not worked": lambda: "Nothing this year. It is not to be worked.",
    "no ground to work": lambda: "Nothing this year. All of it lies along water or on ground too steep to work.",
    "no plot here": lambda: "No number yet. Nobody has put a plot here. Three plots would give a first figure.",
    "no wood on plots": lambda: "Nothing this year. No wood was found on its plots.",
    "no cut without range": lambda why: f"Nothing this year. Don't plan a cut on it: {why}.",
    "below stocking": lambda: "Nothing this year. It is below the stocking it should keep.",
    "at most": lambda cords, ceiling: (
        f"{words.amount(cords, 'cords')} a year at most, full cords. "
        f"The smallest of three ceilings is {CEILINGS[ceiling]}."
    ),
    # ceilings: the growth behind them
    "beyond pine equation": lambda stands: f"Beyond what the pine equation was made for: stand {', '.join(stands)}.",
    "pine as red pine": lambda stands: (
        f"The growth equation is that of red pine; for the pine of stand {', '.join(stands)} it is assumed."
    ),
    "growth too fast": lambda most_cords: (
        f"Growth of more than {most_cords:g} cord an acre a year over a whole place is not to be believed without "
        "cores."
    ),
    "some without cores": lambda: "Some stands have no cores: their growth is a published rate, low to high.",
    # the schedule
    "nothing due": lambda: "Nothing this year. No stand is over the stocking it should keep and measured well enough.",
    "gives none": lambda of, number, step_yr, once=False: (
        f"Not to be had: {_many(number, of)} {_often(once, step_yr)}; no tree that may be cut gives one."
    ),
    "cannot be had": _cannot_be_had,
    "in the way": _in_the_way,
    "met": _met,
    "stock falls": lambda cords: (
        f"Even without a cut the stock would end {words.amount(cords, 'cords')} under the start: more dies there than "
        "grows."
    ),
    "all is cut": lambda: "All that may be cut is cut throughout.",
    "binds": _binds,
    # before a cut
    "caution": lambda of, text, **facts: text.format(
        **{name: f"{value:.{0 if name == 'radius' else 1}f}" for name, value in facts.items()}
    ),
    # a year's work
    "done": _done,
    "cruised": lambda stands: f"plots in stand{'' if len(stands) == 1 else 's'} {', '.join(stands)}",
    # lines of the ledger
    "dead trees": lambda line: f"Line {line}: dead trees, not taken from what lives.",
    "other unit": lambda line, unit: f"Line {line}: not taken out; its unit is {unit or 'missing'}.",
    "heading torn": lambda: "the heading is torn; the lines are read in their usual order",
    "line torn": _line_torn,
    "no check": lambda: "has no check: typed by hand, or its last letters are torn off; counted",
    "line changed": lambda: "was changed after it was written; counted as it stands now",
    "line again": lambda row: f"is row {row} again, word for word; counted once",
    "lines gone": _lines_gone,
    "number twice": lambda number, row: f"bears the number {number}, as row {row} does; both count",
    "replaces two": lambda number: (
        f"replaces line {number}, which two lines bear, so neither is taken out; give one of them another number by "
        "hand"
    ),
    "more such lines": lambda number: f"the same is so of {number} more lines from here on",
}

"""Reasons of the plan in words: the day's woods, ceilings of the cut, the schedule, cautions, the ledger.

WORDS   key of a Reason -> what makes its sentence of the facts (of figures and the ledger parts of sentences)
shut_words, lost_words   ground that is shut by a wish; stands whose wood goes
"""

from collections.abc import Callable, Mapping, Sequence
from math import ceil

from woodlot.say import words
from woodlot.trade import KEEP, LEAVE_DEAD, LEDGER_KINDS, NEVER_CUT, SUGARBUSH, WISHES

__all__ = ["WORDS", "lost_words", "shut_words"]

FIREWOOD = "firewood"
#: What binds, and what would loosen it by one unit, by kind of limit.
BINDS = {
    "need": ("The firewood wanted {when} holds the plan back.", "With one cord less wanted"),
    "want": ("The {of} wanted {when} hold the plan back.", "With one less wanted"),
    "cut": ("All that may be cut {when} is cut.", "If one cord more might be taken"),
    "area": ("All acres that may be cut by area are cut.", "With one acre more"),
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
    "area": "the acres over the rotation where stands are cut by area",
    "end": "what must stand at the end",
    "stock": "what must stand in every year",
    "neighbors": "a cut patch that keeps its edge neighbors shut",
    "entry": "the least entry",
}
#: Woods that are not cut at all, by the key of their reason.
SHUT = {
    "below stocking": "under the stocking they should keep",
    "no plot here": "without plots",
    "not cut by rule": "not cut by the rule for their cover",
    "not worked": "not to be worked",
    "no ground to work": "along water or too steep",
    "no wood on plots": "without wood on their plots",
}


def _left_out(
    strip_ac: float, waters: Sequence[str], steep_ac: float, wished: Sequence[tuple[str, float, int | None]] = ()
) -> str:
    near = " and ".join(dict.fromkeys(name or "water" for name in waters))
    parts = [f"{acres:.1f} acres {shut_words(wish, until)} by your wish" for wish, acres, until in wished]
    parts += [f"{strip_ac:.1f} acres along {near}"] if waters else []
    parts += [f"{steep_ac:.1f} acres too steep for skidding"] if steep_ac else []
    return f"{' and '.join(parts)} are left out."


def shut_words(wish: str, until: int | None) -> str:
    """How ground is spoken of on which the family wishes no cut: ``never cut``, ``kept until 2030``."""
    return WISHES[wish].one + (f" until {until}" if until else "")


def _shut(wished: Sequence[tuple[str, float, int | None]]) -> str:
    each = words.listed(shut_words(wish, until) for wish, _, until in wished)
    return f"Nothing is to be cut here: {each}, your wish."


def _unit(of: str) -> str:
    return "cords" if of == FIREWOOD else of


def _many(number: float, unit: str) -> str:
    """Cords in their rounding; pieces whole, a part of one counted as one."""
    if unit == "cords":
        return words.amount(number, unit)
    whole = ceil(number - 1e-6)
    return f"{whole:,} {words.one_of(unit) if whole == 1 else unit}"


def _each(step_yr: int) -> str:
    return {0: "in all", 1: "a year"}.get(step_yr, "each period")


def _goals(each: Sequence[tuple[str, float, int]]) -> str:
    """Things wanted, those of a time together: ``4 poles and 8 sawlogs in all``."""
    times = dict.fromkeys(step_yr for *_, step_yr in each)
    return words.listed(
        f"{words.listed(_many(number, of) for of, number, at in each if at == step_yr)} {_each(step_yr)}"
        for step_yr in times
    )


def _with_heat(cords: float, mmbtu_per_cord: float | None) -> str:
    """Cords; where the need is heat, that first: ``47 million Btu (2.1 cords of the wood that may be cut)``."""
    told = words.amount(cords, "cords")
    if mmbtu_per_cord is None:
        return told
    return f"{words.amount(cords * mmbtu_per_cord, 'million Btu')} ({told} of the wood that may be cut)"


def _cannot_be_had(
    of: str, number: float, years: Sequence[int], step_yr: int, mmbtu_per_cord: float | None = None
) -> str:
    if of == FIREWOOD:
        amount = f"{_with_heat(number, mmbtu_per_cord)} of the {'firewood' if mmbtu_per_cord is None else 'heat'}"
    else:
        amount = _many(number, of)
    when = ", ".join(words.period(year, step_yr).removeprefix("in ") for year in years)
    return f"{amount} wanted cannot be had ({when or ('every winter' if step_yr == 1 else 'every period')})."


def _in_the_way(
    of: str,
    limits: Sequence[tuple[str, float, float, float]],
    step_yr: int,
    least_entry_cords: float,
    shut: Sequence[tuple[str, float]],
) -> str:
    """Which limits are in the way of one product, each with what would be missing less without it."""
    each, last = [], ""
    for limit, less, left, work_most in limits:
        if limit == "woods":
            last = _no_more(of, left, shut)
            continue
        names = limit.split("+")
        least = f"the least entry of {words.amount(least_entry_cords, 'cords')}"
        name = " together with ".join(least if one == "entry" else LIMITS[one] for one in names)
        fewer = f"{_many(less, _unit(of))} {'less' if of == FIREWOOD else 'fewer'}"
        gain = "nothing would be missing" if left <= 1e-6 else fewer
        without = "without it " if len(names) == 1 else "without them "
        days = f"with {ceil(work_most / step_yr - 1e-6)} days a year " if limit == "work" else without
        each.append(f"{name} ({days}{gain})")
    first = f"In the way: {', '.join(each)}." if each else ""
    return " ".join(filter(None, (first, last))) or "Whole entries are in the way: smaller ones would give it."


def _no_more(of: str, left: float, shut: Sequence[tuple[str, float]]) -> str:
    """That the woods themselves do not hold it, and which of them are not cut at all."""
    rest = ", ".join(f"{words.amount(acres, 'acres')} {SHUT.get(why, 'not cut')}" for why, acres in shut)
    told = f"{_many(left, _unit(of))} of it are not in the woods that may be cut, whatever the limits."
    return f"{told} Not cut at all: {rest}." if rest else told


#: What gives a part of what is wanted beside the plan.
BESIDE = {"tally": "what the tally gives", "made": "what is cut already"}


def _met(goals: Sequence[tuple[str, float, int, float | None]], beside: Sequence[str] = (), rest: bool = False) -> str:
    """What is wanted and had: each year or period, and once; beside: what gives a part of it; rest: some is not."""
    each: dict[int, list[str]] = {}
    for of, number, step_yr, mmbtu in goals:
        if of != FIREWOOD:
            told = _many(number, of)
        elif mmbtu is None:
            told = f"{words.amount(number, 'cords')} of firewood"
        else:
            told = f"heat of {_with_heat(number, mmbtu)}"
        each.setdefault(step_yr, []).append(told)
    lists = [f"{', '.join(told)} {_each(step_yr)}" for step_yr, told in each.items()]
    what = "the rest" if rest else "what is wanted"
    told = f"With {words.listed(BESIDE[one] for one in beside)}, {what}" if beside else words.capital(what)
    return f"{told} is met throughout: {'; '.join(lists)}."


def _nothing_asked(cords: float, salvage: Sequence[str]) -> str:
    told = "Nothing is asked of these woods, and nothing need be cut."
    if words.rounded(cords, "cords") != "0":
        told += (
            f" They could give {words.amount(cords, 'cords')} a year; write what you want under [needs], or see all of "
            "it with cut --more."
        )
    return " ".join(filter(None, [told, lost_words(salvage)]))


def lost_words(stands: Sequence[str]) -> str:
    """Stands whose wood goes, which nobody is told to cut; "" for none."""
    if not stands:
        return ""
    where = f"{words.noun(len(stands), 'stand')} {words.listed(stands)}"
    return f"In {where} trees die or break up: that wood is lost if nobody takes it."


def _limits(limits: Sequence[str]) -> str:
    names = dict.fromkeys(one for limit in limits for one in limit.split("+"))
    return words.listed(LIMITS[name] for name in names)


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


def _numbers(numbers: Sequence[object], more: int) -> str:
    return ", ".join(map(str, numbers)) + (f" and {more} more" if more else "")


def _is(numbers: Sequence[object]) -> str:
    return "is" if len(numbers) == 1 else "are"


def _lines_gone(numbers: Sequence[int], more: int) -> str:
    return f"line {_numbers(numbers, more)} {_is(numbers)} not there any more; look for it in an older copy"


def _lines_lost(each: Sequence[tuple[str, str, str, str]], more: int, whole: bool) -> str:
    named = [
        f"{f'line {line}' if line else 'a line'}, {kind} of {day} ({letters})" for line, day, kind, letters in each
    ]
    lost = "; ".join(named) + (f"; and {words.plural(more, 'more line')}" if more else "")
    what = "the file is gone, and with it" if whole else "written once, and not there any more:"
    return f"{what} {lost}. Look in an older copy, or take one out for good with `woodlot note --void {each[0][3]}`"


#: How ground is spoken of on which a note breaks a wish.
BROKEN = {
    NEVER_CUT: "which is never cut by your wish",
    KEEP: "which you keep uncut for now",
    LEAVE_DEAD: "where dead trees stay by your wish",
}


def _wish_broken(line: int, kind: str, amount: float | None, unit: str, where: Sequence[str], wish: str) -> str:
    much, of = words.noted(amount, unit), LEDGER_KINDS[kind]
    if unit == "piece" and amount is not None:
        what = words.plural(amount, of.one, of.many)
    elif kind == FIREWOOD and much:
        what = f"{much} of {of.many}"
    else:
        what = f"{of.many} ({much})" if much else of.many
    place = f"in {' '.join(where)}," if where else "on ground"
    return f"Line {line} notes {what} cut {place} {BROKEN[wish]}."


def _line_torn(cells: int, of: int) -> str:
    left = f"only the first {cells} of {of} cells are there" if cells else "it cannot be read"
    return f"torn: {left}; kept in the file, not counted"


WORDS: Mapping[str, Callable[..., str]] = {
    # the ground
    "left out": _left_out,
    "shut by wish": _shut,
    "patches in view": lambda: "Nothing is to be cut here: it comes back in patches only, and you wish a view.",
    "kept by wish": lambda wish: {
        SUGARBUSH: "sound maples with wide, deep crowns, and take what crowds them (sugarbush)",
        LEAVE_DEAD: "every standing dead tree, your wish",
    }[wish],
    # ceilings: a figure
    "nothing may be cut": lambda: "nothing may be cut here now",
    "published growth": lambda: "without cores growth is a published rate: the range has no odds",
    "no range anywhere": lambda: "no stand has plots with wood on them",
    # ceilings: a stand
    "not cut by rule": lambda rule: f"Nothing is to be cut here. {rule}",
    "not worked": lambda: "Nothing this year. It is not to be worked.",
    "no ground to work": lambda: "Nothing this year. All of it lies along water or on ground too steep to work.",
    "no plot here": lambda: "No number yet. Nobody has put a plot here. Three plots would give a first figure.",
    "no wood on plots": lambda: "Nothing this year. No wood was found on its plots.",
    "few plots": lambda cords, plots, standing: (
        f"{words.amount(cords, 'cords')} a year at most, full cords, its part of the yearly cut, but its "
        f"{words.plural(plots, 'plot')} {words.noun(plots, 'leaves', 'leave')} it open what stands here "
        f"({words.range_words(standing)}). Take single trees, and measure before more."
    ),
    "below stocking": lambda: "Nothing this year. It is below the stocking it should keep.",
    "at most": lambda cords: (
        f"{words.amount(cords, 'cords')} a year at most, full cords: its part of the yearly cut, by what stands and "
        "grows over what it is to keep."
    ),
    "cut by area": lambda cords: (
        f"{words.amount(cords, 'cords')} a year at most, full cords: it is cut by area, its acres over the rotation."
    ),
    "falling apart": lambda cords: (
        f"It is falling apart: take what is wanted of its {words.amount(cords, 'full cords')} soon, or leave it. That "
        "is outside the yearly cut."
    ),
    "salvage only": lambda cords, rule: (
        (f"{rule} " if rule else "")
        + f"About {words.amount(cords, 'full cords')} die or break up here: take those trees alone, outside the yearly "
        "cut."
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
    "nothing asked": _nothing_asked,
    "not in this plan": lambda: "Nothing this winter, nor in the years of this plan. Other stands come first.",
    "not needed": lambda: "Nothing this winter, nor in the years of this plan. What is wanted comes from other stands.",
    "held back": lambda limits: (
        f"Nothing this winter, nor in the years of this plan. What holds it back: {_limits(limits)}."
    ),
    "too young": lambda year, least_yr: (
        f"Nothing this winter. It is too young to cut before {year}: {least_yr:.0f} years are the least."
    ),
    "logs come with it": lambda bdft, years: (
        f"With it come {words.amount(bdft, 'board feet')} of logs in {years} years: they go to the pile, not to the "
        "stove."
    ),
    "gives none": lambda each: (
        f"Not to be had: {_goals(each)}; no acre that may be cut gives half of one. Where you know such trees, put "
        "them in the tally."
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
    "wish broken": _wish_broken,
    "dead trees": lambda line: f"Line {line}: dead trees, not taken from what lives.",
    "other unit": lambda line, unit: f"Line {line}: not taken out; its unit is {unit or 'missing'}.",
    "heading torn": lambda: "the heading is torn; the lines are read in their usual order",
    "other columns": lambda names: f"not read, since a ledger has no such column: {', '.join(names)}"[:200],
    "line torn": _line_torn,
    "no check": lambda more: (
        "has no check: typed by hand, or its last letters are torn off; counted"
        + (f"; so it is with {more} more line{'s' if more > 1 else ''}" if more else "")
    ),
    "no ids": lambda number: (
        f"the column id is not there, so {'the line' if number == 1 else f'{number} lines'} that set another right "
        f"{'no longer acts' if number == 1 else 'no longer act'}: both count; put the column back from an older copy"
    ),
    "own id": lambda more: (
        "has the id back with which it was written, as its check proves"
        + (f"; so it is with {more} more line{'s' if more > 1 else ''}" if more else "")
    ),
    "line changed": lambda: "was changed after it was written; counted as it stands now",
    "id twice": lambda row: f"has the id of row {row} and says something else; counted as a line of its own",
    "line again": lambda row: f"is row {row} again, word for word; counted once",
    "lines gone": _lines_gone,
    "number twice": lambda number, row: f"bears the number {number}, as row {row} does; both count",
    "replaces two": lambda number: (
        f"replaces line {number}, which two lines bear, so neither is taken out; take out the wrong one by the first "
        "letters of its id"
    ),
    "replaces none": lambda line, named: f"line {line} replaces {named}, and no line is named so",
    "no seal": lambda seal: (
        f"{seal}, by which a line that goes missing is noticed, is not there; the next note makes it anew"
    ),
    "lines lost": _lines_lost,
    "lines altered": lambda numbers, more: (
        f"line {_numbers(numbers, more)} {_is(numbers)} not as it was written, and its check was made to fit; "
        "counted as it stands now"
    ),
    "written anew": lambda kept: f"was written anew, each line with an id; as it was it is kept as {kept}",
    "not sealed": lambda system: f"could not be written ({system}); it is made up at the next note",
    "more such lines": lambda number: f"the same is so of {number} more lines from here on",
}

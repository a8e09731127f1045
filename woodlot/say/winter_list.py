"""What is said of this winter's work: each task with what it is for, the sum, what is met, how tally and plan fit.

headline         the decision of this winter in one line
title, brief, task   one thing to do, in a few words, in a line and whole; why_here: the reason of its place in the list
row              the list in a row of the first screen
want             one thing wanted and what it gets
whole            its sum: wood, days, what is met and what is short
fits             how the trees of the tally and the stands of the plan share what is wanted
fell_first       what falls in a stand before anything else there
marked           trees of the tally that stay
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from woodlot.plan.winter_list import Task, Want, WinterList
from woodlot.say.cut import BY_ANY_COVER
from woodlot.say.plan_reasons import lost_words
from woodlot.say.reasons import said
from woodlot.say.words import (
    NO_PARCEL,
    amount,
    in_letters,
    listed,
    noun,
    of_an_acre,
    one_of,
    plural,
    rounded,
    two_figures,
)

__all__ = [
    "MOST_TASKS",
    "brief",
    "fell_first",
    "fits",
    "headline",
    "marked",
    "row",
    "task",
    "title",
    "want",
    "whole",
    "why_here",
]

#: Tasks that the first screen names; the report has all.
MOST_TASKS = 5
#: Things short that it names.
MOST_SHORT = 2
NOTHING = "No stand is due, or none is measured enough to plan a cut on."
NOT_ASKED = "Nothing that is wanted asks for wood."
WHY = {
    "clear": "It falls anyway, so its wood is used first.",
    "fell": "The tally has each of its trees.",
    "salvage": "Its wood is worth less every summer.",
    "cut": "The plan gives it for this winter.",
}
TALLY = ("clear", "fell")


def headline(of: WinterList, drawn: int, acres_with_plots: float, to_put: str = "") -> str:
    """The decision of this winter in one line; drawn: stands there are; to_put: plots for this weekend."""
    tallied = [one for one in of.tasks if one.kind in TALLY]
    cut = list(dict.fromkeys(one.stand_id for one in of.tasks if one.kind not in TALLY))
    if not acres_with_plots:
        first = f"{_fell(tallied)} this winter. " if tallied else ""
        if to_put:
            beyond = "Beyond them you" if tallied else "You"
            return f"{first}{beyond} have not measured enough to say. This weekend: {to_put}."
        return first + "No plots yet. Put three in the largest stand for a first figure."
    if not of.tasks:
        return "Cut nothing this winter."
    what = f"{'cut' if tallied else 'Cut'} in {in_letters(len(cut))} {noun(len(cut), 'stand')}" if cut else ""
    rest = drawn - len({one.stand_id for one in of.tasks if one.stand_id})
    leave = (
        "" if rest < 1 else " Leave the other stand." if rest == 1 else f" Leave the other {in_letters(rest)} stands."
    )
    return f"{' and '.join(filter(None, [_fell(tallied) if tallied else '', what]))} this winter.{leave}"


def _fell(tasks: Sequence[Task]) -> str:
    """Trees of the tally to fell, and where."""
    stands = list(dict.fromkeys(one.stand_id for one in tasks))
    where = f" in stand {stands[0]}" if len(stands) == 1 and stands[0] else ""
    where = f" in {in_letters(len(stands))} stands" if len(stands) > 1 else where
    return f"Fell {plural(sum(one.trees for one in tasks), 'tree')} of the tally{where}"


def title(of: Task) -> str:
    """One task in a few words: ``Fell 32 trees of the tally in stand 1``."""
    if of.kind in TALLY:
        on = "on ground to be cleared" if of.kind == "clear" else "of the tally"
        where = f"{',' if of.kind == 'clear' else ' in'} stand {of.stand_id}" if of.stand_id else ""
        return f"Fell {plural(of.trees, 'tree')} {on}{where}"
    how = "Thin" if of.way == "thin" else "Cut a patch of"
    what = f"{how} {of_an_acre(of.acres or 0.0)} of stand {of.stand_id}"
    return f"Salvage: {what[:1].lower()}{what[1:]}" if of.kind == "salvage" else what


def _gives(of: Mapping[str, float], units: Mapping[str, str]) -> list[str]:
    """Amounts by name of what is wanted: ``12 lasting posts``, ``7.0 cords of firewood``; what is nothing left out."""
    return [_amount(name, units[name], number) for name, number in of.items() if number >= _least(units[name])]


def _least(unit: str) -> float:
    return 0.5 if unit == "pieces" else 0.05


def _amount(name: str, unit: str, number: float) -> str:
    if unit == "pieces":
        return f"{number:,.0f} {one_of(name) if round(number) == 1 else name}"
    if unit == "board feet":
        return f"{two_figures(number)} {name}"
    return f"{amount(number, unit.removeprefix('full '))} of {name}"


def brief(of: Task, parcel: str) -> str:
    """One task in a line: what, how much wood, how long, and that its rule is that for any cover."""
    upto = "" if of.kind in TALLY else "up to "
    wood = f"{upto}{amount(of.cords, 'cords')} of wood"
    logs = f", {amount(of.bdft, 'board feet')} in logs" if of.bdft >= 50 else ""
    keep = "" if of.leave_sqft_per_ac is None else f", leave {of.leave_sqft_per_ac:.0f} sq ft an acre"
    some = "" if of.kind in TALLY else f", about {plural(round(of.trees), 'tree')}"
    where = f", {parcel}" if of.stand_id or parcel != NO_PARCEL else ""
    rule = f" {BY_ANY_COVER}" if of.any_cover else ""
    return f"{title(of)}{where}{keep}{some}: {wood}{logs}, {amount(of.days, 'days')} of work.{rule}"


def task(of: Task, parcel: str, units: Mapping[str, str]) -> str:
    """One task whole: what, how much wood, how long, what for, how far and when."""
    meets = _gives(of.gives, units)
    out = brief(of, parcel)
    out += f" For {listed(meets)}." if meets else ""
    out += f" {_way(of)}{of.months}."
    out = " ".join(filter(None, [out, said(of.left_out)]))
    if of.not_by_hand:
        are = noun(of.not_by_hand, "is", "are")
        out += f" {of.not_by_hand} more there {are} not for hand felling."
    return out


def _way(of: Task) -> str:
    if of.ft_from_road is None:
        return ""
    feet = plural(round(of.ft_from_road), "foot", "feet")
    return f"{feet} from the road, " if of.ft_from_road >= 1 else "Along the road, "


def why_here(of: Task) -> str:
    """Why a task stands where it stands in the list."""
    return WHY[of.kind]


def _days(of: WinterList) -> str:
    """Days of work of all tasks beside those the family has."""
    need = sum(one.days for one in of.tasks)
    work = f"{amount(need, 'days')} of work"
    if of.days_have is None:
        return work
    over = need - of.days_have
    return f"{work}, {amount(over, 'days')} more than you have" if over > 0.05 else f"{work}, of your {of.days_have:g}"


def whole(of: WinterList) -> str:
    """The sum of the list: wood, days, what is met and what is short."""
    if not of.tasks:
        return ""
    units = {want.name: want.unit for want in of.wants}
    cords = amount(sum(one.cords for one in of.tasks), "cords")
    met = _gives({want.name: want.wanted for want in of.wants if not want.short}, units)
    out = [f"In all {cords} of wood and {_days(of)}."]
    out += [f"Met: {listed(met)}."] if met else []
    return " ".join(filter(None, [*out, _short(of)]))


def _short(of: WinterList, most: int | None = None) -> str:
    """What is wanted and neither tally nor plan gives; most: how many of it are named, the others counted."""
    short = _gives({want.name: want.short for want in of.wants}, {want.name: want.unit for want in of.wants})
    if most is not None and len(short) > most:
        short = [*short[:most], plural(len(short) - most, "more line")]
    return f"Short: {listed(short)}." if short else ""


def row(of: WinterList, tasks: Sequence[str]) -> tuple[str, str, str]:
    """Number, what stands beside it, and why, of this winter's work on the first screen.

    tasks: each in a line, in order. Tasks and what is short stand in lines of their own.
    """
    rest = [marked(of), lost_words(of.losing)]
    if not of.tasks:
        return "Nothing", "", " ".join(filter(None, [NOTHING if of.wants else NOT_ASKED, *rest]))
    named = [f"{at}. {words}" for at, words in enumerate(tasks[:MOST_TASKS], 1)] if len(tasks) > 1 else list(tasks)
    more = len(tasks) - MOST_TASKS
    named += [f"{plural(more, 'more task')} in the report."] if more > 0 else []
    cords = amount(sum(one.cords for one in of.tasks), "cords")
    return cords, _days(of), "\n".join([*named, *filter(None, [_short(of, MOST_SHORT), *rest])])


def marked(of: WinterList) -> str:
    """Trees of the tally that stay; why, where nothing of it falls."""
    if not of.tallied or not of.marked:
        return ""
    falls = any(one.kind in TALLY for one in of.tasks)
    trees = plural(of.marked, "tree")
    if falls:
        are = noun(of.marked, "tree of the tally is", "trees of the tally are")
        return f"{of.marked:,} more {are} marked and can stay."
    wanted = "what is wanted takes none of them" if of.wants else "nothing is wanted, so none need fall"
    return f"{trees} of the tally {noun(of.marked, 'is', 'are')} marked; {wanted}."


def fits(trees: int, wants: Sequence[Want], stands: Sequence[str]) -> str:
    """How the trees of the tally and the stands that the plan cuts share what is wanted; "" where the tally gives none.

    trees: of the tally that fall; stands: that the plan cuts this winter.
    """
    got = [want for want in wants if want.from_tally > 0]
    if not trees or not got:
        return ""
    whose = f"The tally's {plural(trees, 'tree')} {noun(trees, 'gives', 'give')}"
    left = [want for want in wants if want.wanted - want.from_tally > 0.01 * want.wanted]
    if not left:
        return f"{whose} all that is wanted this winter."
    parts = listed([_part(want) for want in got])
    units = {want.name: want.unit for want in left}
    short = _gives({want.name: want.short for want in left}, units)
    more = _gives({want.name: want.from_jobs for want in left}, units)
    where = f"{noun(len(stands), 'stand')} {listed(stands)} {noun(len(stands), 'gives', 'give')}" if stands else ""
    if not more or not where:
        return f"{whose} {parts}; short: {listed(short)}."
    if not short:
        return f"{whose} {parts}; {where} the rest."
    return f"{whose} {parts}; {where} {listed(more)}; short: {listed(short)}."


def _part(want: Want) -> str:
    """How much of one want: ``6.1 of the 7.0 cords of firewood``, or all of it: ``12 posts``."""
    whole_amount = _amount(want.name, want.unit, want.wanted)
    if want.wanted - want.from_tally <= 0.01 * want.wanted:
        return whole_amount
    if want.unit == "pieces":
        return f"{min(want.from_tally, want.wanted):,.0f} of the {whole_amount}"
    return f"{rounded(min(want.from_tally, want.wanted), 'cords')} of the {whole_amount}"


def want(of: Want) -> str:
    """One want with what it gets: ``6.1 of the 7.0 cords of firewood``, or all of it."""
    return _part(replace(of, from_tally=of.from_tally + of.from_jobs))


def fell_first(tasks: Sequence[Task]) -> str:
    """What falls of the tally in a stand, before anything that the plan has for it; "" where nothing does."""
    parts = []
    for one in tasks:
        if one.kind in TALLY:
            on = "on ground to be cleared" if one.kind == "clear" else "of the tally"
            parts.append(f"fell {plural(one.trees, 'tree')} {on}, {amount(one.cords, 'cords')} of wood")
    return f"This winter: {'; '.join(parts)}." if parts else ""


def cautions(of: Task) -> tuple[str, ...]:
    """What to mind at a task."""
    return tuple(map(said, of.cautions))

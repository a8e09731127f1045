"""The next plots in words: what is lacking, what the last day bought, what is marked for good, a cruise from nothing.

lacking      how many plots more, and where, for how near
last_day     what the plots of the last day did to the total
kept         plots to be marked for good
new_cruise   what a cruise from nothing takes, by spread and by acres
"""

from collections.abc import Mapping, Sequence
from datetime import date

from woodlot.estimate import Number
from woodlot.say.words import amount, bare_range, day, first_of, listed, noun, plural, range_words, told
from woodlot.trade import THIS_WINTER, WORST_RANGE

__all__ = ["MOST_NAMED", "NONE_CUT", "kept", "lacking", "last_day", "new_cruise", "of_what"]

#: Stands that are named one by one.
MOST_NAMED = 6
#: Shares of a range that were taken off, and their words.
PARTS = {
    0.0: "hardly narrower",
    0.1: "a tenth narrower",
    0.2: "a fifth narrower",
    0.25: "a quarter narrower",
    1 / 3: "a third narrower",
    0.5: "half as wide",
    2 / 3: "a third as wide",
    0.75: "a quarter as wide",
    0.9: "a tenth as wide",
}
WIDER = "wider, since they differ more than those before"
NONE_CUT = "No stand is cut this winter, so the next plots are for the total."
HELPS = (
    "Measured heights and a checked eye lower that, and best of all a woodpile: trees that were tallied before they "
    "fell, and the stack they made."
)


def of_what(answer: str, stands: Sequence[str], named: bool) -> str:
    """What the answer is of; named: the stands were asked for, one or more."""
    if answer == WORST_RANGE:
        return f"stand {stands[0]}" if len(stands) == 1 else "each stand"
    if named or answer == THIS_WINTER:
        those = f"{noun(len(stands), 'stand')} {first_of(stands, MOST_NAMED)}"
        return f"{those}, cut this winter," if answer == THIS_WINTER else those
    return "the total"


def _places(more: Mapping[str, int]) -> str:
    """``7 in stand 3, 5 in stand 9``, those with most first."""
    most_first = sorted(more.items(), key=lambda one: -one[1])
    return first_of([f"{n} in stand {stand}" for stand, n in most_first], MOST_NAMED)


def _pct(share: float) -> str:
    return f"{100.0 * share:.0f}%"


def lacking(
    what: str,
    within: float,
    now: float | None,
    least: float,
    can_come: bool,
    more: Mapping[str, int],
    bare: Sequence[str],
) -> list[str]:
    """How many plots more bring an answer as near as is wanted, one sentence each.

    now, least: half-width of the range of what is measured (None where nothing is), and what no plot can mend;
    can_come: whether plots do it; more: plots by stand; bare: stands that have none.
    """
    n, wanted, out = sum(more.values()), f"within {_pct(within)}", []
    usual = ", by a usual spread" if now is None else ""
    if bare:
        one = len(bare) == 1
        come = "come first" if n > 3 * len(bare) or not can_come else f"would bring {what} {wanted}{usual}"
        none = f"{noun(len(bare), 'Stand')} {first_of(bare, MOST_NAMED)} {'has' if one else 'have'} no plot yet"
        out.append(f"{none}: three {'there' if one else 'in each'} {come}.")
    if now is not None and (bare or not n):
        out.append(f"{_begun(what)} is within {_pct(now)}{' where there are plots' if bare else ''}.")
    many = f"{plural(n, 'plot')} more would"
    if can_come and n and not (bare and n <= 3 * len(bare)):
        from_now = "" if now is None or bare else f" from within {_pct(now)} to"
        return [f"{many} bring {what}{from_now} {wanted}{usual}: {_places(more)}.", *out]
    if can_come:
        return out
    shared = f"the volume table, and what else all plots share, may be {_pct(least)} off"
    limit = f"Plots alone hardly bring {what} {wanted}: {shared}."
    part = f"{many} make the part of the plots as small as that: {_places(more)}."
    return [f"{limit} {HELPS}", *out, *([part] if n else [])]


def _begun(words: str) -> str:
    return words[:1].upper() + words[1:]


def last_day(
    on: date, plots: int, before: Number, after: Number, acres: tuple[float, float], narrower: float | None, hours: str
) -> str:
    """What the plots of the last day did to the total; acres: with plots, before and after; narrower: share of the
    range, measured by its number, that they took off.
    """
    who = f"The {plural(plots, 'plot')} of {day(on)}"
    if acres[1] > acres[0] + 0.05:
        more = f"{amount(acres[1] - acres[0], 'acres')} more"
        was = "" if before.value is None else f", from {_known(before)} on {amount(acres[0], 'acres')}"
        return f"{who} put {more} into the total{was}: {_known(after)} on {amount(acres[1], 'acres')}, in {hours}."
    if before.low is None or narrower is None:
        now = "which has no range yet" if after.low is None else f"which is {_known(after)} now"
        return f"{who}, in {hours}, went into the total, {now}."
    much = PARTS[min(PARTS, key=lambda part: abs(part - narrower))] if narrower > -0.05 else WIDER
    ranges = f"{bare_range(before, '–')} to {bare_range(after, '–')}"
    return f"{who} took the total from {ranges} cords: {much}, in {hours}."


def _known(of: Number) -> str:
    return told(of) + (f" ({range_words(of)})" if of.low is not None else "")


def kept(plots: Sequence[str], all_of: bool, times: float) -> str:
    """Plots to be marked for good; all_of: all that are laid out are."""
    which = "their centers" if all_of else f"the centers of {listed(plots)}"
    return f"Mark {which} for good: the same points, measured again, tell growth {times:.0f} times as sharply as new."


def new_cruise(
    within: float, spread_pct: float, plots: int | None, by_spread: Mapping[str, int], by_acres: Mapping[str, int]
) -> str:
    """What a cruise from nothing takes, and where its plots go."""
    spread = f"the spread of a plot, weighted by what each stand holds, is {spread_pct:.0f}%"
    if plots is None:
        return f"A cruise from nothing: no number of plots brings the total within {_pct(within)}; {spread}."
    return (
        f"A cruise from nothing takes {plural(plots, 'plot')} to bring the total within {_pct(within)} ({spread}). By "
        f"spread: {_places(by_spread)}. By acres alone: {_places(by_acres)}."
    )

"""A hundred years of a family's own stands in words.

lines       what is said on the screen, in the report and in --json
WORDS       why there is nothing to say
"""

from collections.abc import Callable, Mapping, Sequence
from math import ceil, isfinite

from woodlot.plan.future_chances import CRUISES, GROWTHS, MOST_FALL, Future, Futures
from woodlot.say import words

__all__ = ["WORDS", "lines"]

WORDS: Mapping[str, Callable[..., str]] = {
    "no futures without plots": lambda: (
        "What the next hundred years bring is not told: no stand has plots with wood on them. Three in a stand would "
        "give a first figure."
    ),
    "nothing cut evenly": lambda: (
        "What the next hundred years bring is not told: no stand with plots is thinned year by year. What is cut by "
        "area or past its age does not last by a level cut."
    ),
}
SLOWER = "where they grow slower"
#: Chances that are told as the same.
NEAR = 0.015


def lines(told: Futures, horizon_yr: float) -> tuple[str, ...]:
    """What is said of the futures: the chance first, the cut now and later, what a missed cruise costs.

    horizon_yr: years that can be foretold. All ways to go stand as numbers in the report and --json.
    """
    both = [told.way(growth, CRUISES[0]) for growth in GROWTHS]
    fine, slow = (_of_100(way.under[50]) for way in both)
    return (
        f"In {fine} of 100 futures {_fall(told)} in 50 years, if all is cut that may be; in {slow} of 100 where trees "
        f"grow 30 percent slower than assumed. {_likely(told)} {_held(told)}",
        _cuts(told, both),
        _without(told, both[1].under[50]),
        f"Beyond {horizon_yr:g} years this is a picture, not a forecast.",
    )


def _fall(told: Futures) -> str:
    """Which stands fall under what: what stands today, or less where they should hold less."""
    one, today = told.stands == 1, words.amount(told.cords, "cords")
    stands = f"the {words.plural(told.stands, 'stand')} that {words.noun(told.stands, 'is', 'are')} thinned"
    of = f"today's {today}"
    if isfinite(told.goal_cords) and told.goal_cords < told.cords:
        of = f"the {words.amount(told.goal_cords, 'cords')} {'it' if one else 'they'} should hold ({today} today)"
    return f"{stands} fall{'s' * one} under 85 percent of {of}"


def _of_100(share: float) -> str:
    """``0``, ``under 1``, ``2``; a chance is rounded up."""
    return "under 1" if 0.0 < share < 0.01 else f"{ceil(100.0 * share - 1e-9)}"


def _likely(told: Futures) -> str:
    """How likely growth is so slow, by what stays unknown of the place."""
    chance = _of_100(told.slower)
    by = "By your own cores" if told.cores else "Without cores"
    return f"{by} growth so slow has {chance} {'chance' if chance in ('1', 'under 1') else 'chances'} in 100."


def _held(told: Futures) -> str:
    """What follows from it; sustained is only what neither the stock nor the cut falls by."""
    both = [told.way(growth, CRUISES[0]) for growth in GROWTHS]
    if any(way.under[50] > MOST_FALL for way in both):
        return "The next cruise decides: if it finds slower growth, cut less."
    if any(way.halves for way in both):
        return "The stock holds, but this cut falls by more than half: the next cruise decides how much it may be."
    return "Such a cut may be called sustained, until a cruise says otherwise."


def _cuts(told: Futures, both: Sequence[Future]) -> str:
    (first, then), (slow_first, slow_then) = (tuple(words.rounded(c, "cords") for c in way.cords) for way in both)
    from_ = "that stand" if told.stands == 1 else "those stands"
    return (
        f"From {from_}, cut by what each cruise finds: {first} cords a year in the first 50 years, {then} in the next "
        f"50; {SLOWER} {slow_first} and {slow_then}."
    )


def _without(told: Futures, cruised: float) -> str:
    """What it costs to leave out the next cruise or all, where trees grow slower."""
    missed, none = (told.way(GROWTHS[1], cruises).under[50] for cruises in CRUISES[1:])
    if max(abs(missed - cruised), abs(none - cruised)) <= NEAR:
        return f"A missed cruise leaves those {_of_100(cruised)} of 100 about as they are."
    one = "stay about the same" if abs(missed - cruised) <= NEAR else f"become {_of_100(missed)}"
    return (
        f"If the next cruise is missed, those {_of_100(cruised)} of 100 {one}; without any cruise they become "
        f"{_of_100(none)}."
    )

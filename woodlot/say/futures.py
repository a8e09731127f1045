"""A hundred years of a family's own stands in words.

lines       what is said on the screen, in the report and in --json
WORDS       why there is nothing to say
"""

from collections.abc import Callable, Mapping
from math import ceil, isfinite

from woodlot.plan.future_chances import CRUISES, GROWTHS, MOST_FALL, Future, Futures
from woodlot.say import words

__all__ = ["WORDS", "lines"]

WORDS: Mapping[str, Callable[..., str]] = {
    "no futures without plots": lambda: (
        "What the next hundred years bring is not told: no stand has plots. Three in a stand would give a first figure."
    ),
    "nothing cut evenly": lambda: (
        "What the next hundred years bring is not told: no stand with plots is thinned year by year. What is cut by "
        "area or past its age does not last by a level cut."
    ),
}
#: Share of the cut by which two are told apart.
SAME = 0.02
SLOWER = "where they grow slower"


def lines(told: Futures, limit_cords: float, ten_cores_cords: float, horizon_yr: float) -> tuple[str, ...]:
    """What is said of the futures, the chance first.

    limit_cords, ten_cores_cords: what may be cut a year now, and with ten cores behind its growth; horizon_yr: years
    that can be foretold.
    """
    both = [told.way(growth, CRUISES[0]) for growth in GROWTHS]
    (in_50, slow_50), (in_100, slow_100) = (
        [_of_100(way.under[year], told.number) for way in both] for year in (50, 100)
    )
    aimed = isfinite(told.goal_cords) and told.goal_cords < told.cords
    today = words.amount(told.cords, "cords")
    held = f"the {words.amount(told.goal_cords, 'cords')} {'it' if told.stands == 1 else 'they'} should hold"
    of = f"{held} ({today} today)" if aimed else f"today's {today}"
    stands = f"the {words.plural(told.stands, 'stand')} that {words.noun(told.stands, 'is', 'are')} thinned"
    out = [
        f"In {in_50} futures {stands} hold{'s' * (told.stands == 1)} under 85 percent of {of} in 50 years, in {in_100} "
        "in 100 years: if all that may be cut is cut, and the woods are cruised every ten years.",
        f"Where trees grow 30 percent slower than assumed: in {slow_50} in 50 years, in {slow_100} in 100. "
        f"{_held(told)}",
    ]
    if aimed:
        led = [_of_100(way.under_today[50], told.number) for way in both]
        out.append(
            f"A wood that is fuller is led down to that: in {led[0]} futures it holds under 85 percent of today's in"
            f" 50 years, {SLOWER} in {led[1]}."
        )
    (low, middle, high), slow = ([100.0 * end for end in way.stock[50]] for way in both)
    out += [
        f"Stock in 50 years: {middle:.0f} percent of today's ({low:.0f} to {high:.0f}, {100 * told.level:.0f}% of"
        f" futures), {SLOWER} {slow[1]:.0f} ({slow[0]:.0f} to {slow[2]:.0f}).",
        f"Cut: {_cuts(both[0])}, {SLOWER} {_cuts(both[1])}.",
        f"The cruise in ten years decides. {_without(told, CRUISES[1], 'If it is missed', 20)} "
        f"{_without(told, CRUISES[2], 'If none is made at all', 50)}",
    ]
    if ten_cores_cords > limit_cords:
        out.append(
            f"With ten cores, if they find what is assumed, {words.amount(ten_cores_cords, 'cords')} a year may be cut "
            f"now, not {words.rounded(limit_cords, 'cords')}."
        )
    return (*out, f"Beyond {horizon_yr:g} years this is a picture, not a forecast.")


def _of_100(share: float, number: int) -> str:
    """``none of 500``, ``under 1 of 100``, ``2 of 100``; a chance is rounded up."""
    if share == 0.0:
        return f"none of {number}"
    return "under 1 of 100" if share < 0.01 else f"{ceil(100.0 * share - 1e-9)} of 100"


def _held(told: Futures) -> str:
    if told.holds:
        return "No more than 1 of 10: such a cut may be called sustained, until a cruise says otherwise."
    if any(told.way(growth, CRUISES[0]).under[50] > MOST_FALL for growth in GROWTHS):
        return "That is more than 1 of 10: do not count on this cut for long. Cut less, or learn what your trees grow."
    return (
        "But the cut falls by half while the stock rises: do not count on it for long, and cruise again in ten years."
    )


def _cuts(way: Future) -> str:
    first, then = way.cords
    return f"{words.amount(first, 'cords')} a year in years 1 to 50, {words.rounded(then, 'cords')} in the 50 after"


def _without(told: Futures, cruises: str, lead: str, year: int) -> str:
    """What it costs to leave a cruise out: the chance in so many years, and the cut over a hundred."""
    chances, cuts = [], []
    for growth in GROWTHS:
        way, cruised = told.way(growth, cruises), told.way(growth, CRUISES[0])
        more, of = (sum(way.cords) - sum(cruised.cords)) / 2.0, sum(cruised.cords) / 2.0
        much = f"{words.amount(abs(more), 'cords')} a year {'more' if more > 0 else 'less'}"
        cuts.append("the same" if abs(more) < SAME * of else much)
        chance, kept = (_of_100(one.under[year], told.number) for one in (way, cruised))
        chances.append(f"{chance} either way" if chance == kept else f"{chance}, not {kept}")
    return (
        f"{lead}: in {year} years {chances[0]}, {SLOWER} {chances[1]}; the cut of 100 years is {cuts[0]}, {SLOWER} "
        f"{cuts[1]}."
    )

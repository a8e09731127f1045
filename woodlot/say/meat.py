"""Meat in words: pounds of the season, what was eaten, ten years of the ground beside ten of the wish.

eaten, of_a_year   what is in already; what the ground gives in a year beside the wish
row                the meat of a season in one row
WORDS              key of a Reason -> its sentence, from facts that are plain, Numbers, or words already
"""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from woodlot.estimate import Number
from woodlot.say.deer import Fact
from woodlot.say.words import answer, capital, noun, range_words, two_figures

if TYPE_CHECKING:
    from woodlot.deer.answer import Take

__all__ = ["WORDS", "eaten", "of_a_year", "row"]


def _deer(number: float, one: str) -> str:
    """``2.4 bucks``, ``1.0 doe``, ``12 does``."""
    told = f"{number:.0f}" if number >= 10 else f"{number:.1f}"
    return f"{told} {noun(float(told), one)}"


def _taken(does: float, bucks: float, meat: Number, meals: float) -> str:
    deer = {"doe": does, "buck": bucks}
    some = [_deer(n, one) for one, n in deer.items() if n >= 0.05]
    none = [f"no {one}" for one, n in deer.items() if n < 0.05]
    said = ", ".join([f"about {' and '.join(some)}", *none]) if some else "hardly a deer"
    return (
        f"In ten years {said}: {two_figures(meat.value or 0.0)} pounds "
        f"({range_words(meat)}), some {two_figures(meals)} meals."
    )


def _more(quiet: float, tagged: float | None, value: float, per: float = 1.0, unit: str = "") -> str:
    """What the same ground would give with quiet neighbors, and with doe tags."""
    ways = []
    if quiet >= 1.1 * max(value, 0.1):
        ways.append(f"{two_figures(quiet / per)}{unit} where neighbors take no doe and few bucks")
    if tagged is not None and tagged >= 1.1 * max(value, 0.1):
        ways.append(f"{two_figures(tagged / per)}{unit} with doe tags")
    return f" ({', '.join(ways)})" if ways else ""


def _ground(acres: float, group_acres: float | None) -> str:
    """Whose acres give it."""
    if group_acres is None:
        return f"your {acres:,.0f} acres"
    return f"your {acres:,.0f} acres, as your part of the group's {group_acres:,.0f},"


def _ten_years(
    acres: float,
    group_acres: float | None,
    does: float,
    bucks: float,
    meat: Number,
    meals: float,
    quiet: float,
    tagged: float | None,
) -> str:
    if not meat.value:
        more = _more(quiet, tagged, 0.0, unit=" pounds in ten years").strip(" ()")
        return f"{capital(_ground(acres, group_acres))} give no deer as things are{f': {more}' if more else ''}."
    said = _taken(does, bucks, meat, meals)
    return f"{said[:-1]}{_more(quiet, tagged, meat.value, unit=' pounds')}."


def _wish(
    acres: float,
    group_acres: float | None,
    does: float,
    bucks: float,
    meat: Number,
    meals: float,
    quiet: float,
    tagged: float | None,
    wanted: float,
    all_acres: float | None,
    farm_acres: float | None,
) -> str:
    """Ten years of the ground beside ten of the wish, each as a year of it."""
    start, wish = f"Deer from {_ground(acres, group_acres)} can", f"the {wanted:,.0f} pounds you want each year"
    if not meat.value or all_acres is None:
        more = _more(quiet, tagged, 0.0, 10.0, " a year").strip(" ()")
        return f"{start} give none of {wish}{f': {more}' if more else ' as things are'}."
    said, a_year = _taken(does, bucks, meat, meals), two_figures(meat.value / 10)
    if meat.value >= 10.0 * wanted:
        sure = "" if (meat.low or 0.0) >= 10.0 * wanted else "probably "
        return f"{start} {sure}give {wish}: about {a_year}. {said}"
    given = f"{start} give about {a_year} of {wish}{_more(quiet, tagged, meat.value, 10.0)}."
    if all_acres <= acres:
        return f"{given} What was taken lately is made up for first; after that they can give all of it. {said}"
    ground = f"All {wanted:,.0f} would need about {two_figures(all_acres)} acres of such ground"
    if farm_acres is not None:
        ground += f", or {two_figures(farm_acres)} with 30% farmland around"
    if group_acres is None:
        ground += "; neighbors who count and plan together with you could share what theirs gives"
    return f"{given} {ground}. More is not there. {said}"


def _weights(pct: float, ends: tuple[float, float], of_carcass_pct: float) -> str:
    return (
        f"weights by class are assumed; boneless meat is {pct:.0f} of 100 pounds dressed ({ends[0]:.0f} to "
        f"{ends[1]:.0f}), {of_carcass_pct:.0f} of 100 of the carcass without skin, head and legs"
    )


WORDS: Mapping[str, Callable[..., str]] = {
    "no deer": lambda: "no deer, no meat",
    "weights assumed": _weights,
    "ten years of meat": _ten_years,
    "wish in ten years": _wish,
}


def eaten(take: "Take[Number, str]") -> str:
    """What the deer killed so far this season are in pounds; "" where there is none."""
    had = take.eaten_lb
    if had is None or not had.value:
        return ""
    return f"{answer(had)} are in already, of {had.n} deer."


def of_a_year(take: "Take[Number, str]") -> str:
    """What the ground gives of the wish in a year, the first sentence of it; "" without a herd."""
    first, dot, _ = take.wish_words.partition(". ")
    return first + dot.strip()


def row(take: "Take[Number, str]") -> Fact:
    """The meat of the season, what is in already, and what ten years of the ground give."""
    pounds = take.meat_lb
    number = answer(pounds) if pounds.value else "no meat"
    about = "About four meals to the pound." if pounds.value else "No deer is named."
    return Fact("Meat", number, " ".join(x for x in (eaten(take), take.wish_words or about) if x))

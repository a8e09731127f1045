"""Meat in words: pounds of the season, what was eaten, ten years of the ground beside ten of the wish.

row                the meat of a season in one row
WORDS              key of a Reason -> its sentence, from facts that are plain, Numbers, or words already
"""

from collections.abc import Callable, Mapping

from woodlot.deer.answer import TakeAnswer
from woodlot.estimate import Number
from woodlot.say.deer import Fact
from woodlot.say.words import answer, noun, range_words, two_figures

__all__ = ["WORDS", "eaten", "row"]


def _deer(number: float, one: str) -> str:
    """``2.4 bucks``, ``1.0 doe``, ``12 does``."""
    told = f"{number:.0f}" if number >= 10 else f"{number:.1f}"
    return f"{told} {noun(float(told), one)}"


def _taken(does: float, bucks: float, meat: Number, meals: float) -> str:
    deer = {"doe": does, "buck": bucks}
    some = [_deer(n, one) for one, n in deer.items() if n >= 0.05]
    none = [f", no {one}" for one, n in deer.items() if n < 0.05]
    return (
        f"In ten years about {' and '.join(some)}{''.join(none)}: {two_figures(meat.value or 0.0)} pounds "
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


def _ten_years(
    acres: float, does: float, bucks: float, meat: Number, meals: float, quiet: float, tagged: float | None
) -> str:
    if not meat.value:
        more = _more(quiet, tagged, 0.0, unit=" pounds in ten years").strip(" ()")
        return f"Your {acres:,.0f} acres give no deer as things are{f': {more}' if more else ''}."
    said = _taken(does, bucks, meat, meals)
    return f"{said[:-1]}{_more(quiet, tagged, meat.value, unit=' pounds')}."


def _wish(
    acres: float,
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
    if not meat.value or all_acres is None:
        more = _more(quiet, tagged, 0.0, 10.0, " a year").strip(" ()")
        return (
            f"Deer from your {acres:,.0f} acres can give none of the {wanted:,.0f} pounds you want each year"
            f"{f': {more}' if more else ' as things are'}."
        )
    value = meat.value
    said = _taken(does, bucks, meat, meals)
    if value >= 10.0 * wanted:
        low = meat.low or 0.0
        sure = "" if low >= 10.0 * wanted else "probably "
        return (
            f"Deer from your {acres:,.0f} acres can {sure}give the {wanted:,.0f} pounds you want each year: about "
            f"{two_figures(value / 10)}. {said}"
        )
    ground = f"All {wanted:,.0f} would need about {two_figures(all_acres)} acres of such ground"
    if farm_acres is not None:
        ground += f", or {two_figures(farm_acres)} with 30% farmland around"
    return (
        f"Deer from your {acres:,.0f} acres can give about {two_figures(value / 10)} of the {wanted:,.0f} pounds you "
        f"want each year{_more(quiet, tagged, value, 10.0)}. {ground}; neighbors who count and plan together with you "
        f"could share what theirs gives. More is not there. {said}"
    )


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


def eaten(take: TakeAnswer) -> str:
    """What the deer killed so far this season are in pounds; "" where there is none."""
    had = take.eaten_lb
    if had is None or not had.value:
        return ""
    return f"{two_figures(had.value)} pounds ({range_words(had)}) are in already, of {had.n} deer."


def row(take: TakeAnswer) -> Fact:
    """The meat of the season, what is in already, and what ten years of the ground give."""
    pounds = take.meat_lb
    number = answer(pounds) if pounds.value else "none"
    about = "About four meals to the pound." if pounds.value else "No deer, no meat."
    return Fact("Meat", number, " ".join(x for x in (eaten(take), take.wish_words or about) if x))

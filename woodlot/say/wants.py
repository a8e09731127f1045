"""What is said of what the household wants.

want         one thing: how much, how often, by when, for what, what is made of it
row          all of it in short: what is still to make, what is late
how_many     a number of a product with its unit
by_day       how often and by when
SIZES        what no list of pieces says
"""

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from woodlot.say.words import amount, capital, day, listed, noun, plural, two_figures
from woodlot.trade import PRODUCTS

if TYPE_CHECKING:
    from woodlot.wood.wants import Want

__all__ = ["SIZES", "by_day", "how_many", "row", "want"]

FIREWOOD = "firewood"
SIZES = (
    "Lengths and tops are those of the pieces, not of what they bear: size for a load by a table or a builder; snow "
    "decides here."
)


def how_many(number: float, product: str) -> str:
    """A number with its product: ``12 posts``, ``7.0 cords of firewood``, ``300 board feet``."""
    if product == FIREWOOD:
        return f"{amount(number, 'cords')} of firewood"
    if product == "chips":
        return f"{two_figures(number)} cubic yards of chips"
    if product == "board feet":
        return f"{two_figures(number)} board feet of sawlogs"
    return f"{number:,.0f} {noun(round(number), product)}"


def by_day(often: str, by: str | None, late: bool) -> str:
    """How often, by when, and whether that day is gone."""
    return (often if by is None else f"by {day(date.fromisoformat(by))}") + (", late" if late else "")


def want(of: "Want", as_of: date) -> str:
    """One thing wanted, in a sentence."""
    number = how_many(of.asked_number, of.line.product)
    if of.mmbtu_each:
        heat = f"{two_figures(of.asked_number * of.mmbtu_each)} million Btu"
        number = f"{amount(of.asked_number, 'cords')}' worth of {listed(of.of_wood)} = {heat}"
    purpose = f" for {of.purpose}" if of.purpose else ""
    often = by_day(of.often, None if of.by is None else of.by.isoformat(), False)
    made = f"; {_only(of.made_number, of)} made" if of.made_number else ""
    left = f", {_only(of.left, of)} left" if of.made_number and of.left else ""
    late = ", and its day has gone by" if of.late(as_of) else ""
    return f"{capital(number)}{purpose}, {often}{made}{left}{late}."


def _only(number: float, of: "Want") -> str:
    """A number of what was named already."""
    return (
        amount(number, "cords")
        if of.line.product == FIREWOOD
        else two_figures(number)
        if number % 1
        else f"{number:,.0f}"
    )


def row(wants: Sequence["Want"], as_of: date) -> tuple[str, str, str] | None:
    """What is still to make, and why; None where nothing is wanted."""
    if not wants:
        return None
    sums: dict[str, float] = {}
    for one in wants:
        if one.left > 0 and one.line.woods != "hot":
            sums[one.line.product] = sums.get(one.line.product, 0.0) + one.left
    number = capital(
        listed([how_many(sums[product], product) for product in PRODUCTS if product in sums] or ["nothing"])
    )
    why = [want(one, as_of) for one in wants if one.late(as_of)]
    made = sum(1 for one in wants if one.left <= 0)
    why += [f"{plural(made, 'line')} of the list {'is' if made == 1 else 'are'} made."] if made else []
    return number, "still to make", " ".join(why)

"""What to measure next of the deer, in words: what it is, in which file it is written, hours, and what it tells.

next_words         what to measure next, the two most useful ways
WORDS              key of a Reason -> its sentence, from facts that are plain or words already
"""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from woodlot.say.words import capital

if TYPE_CHECKING:
    from woodlot.deer.answer import DeerAnswer

__all__ = ["WORDS", "next_words"]


def next_words(deer: "DeerAnswer") -> str:
    """The two ways that tell most, or that would give a first number with the least work."""
    return " ".join(deer.measure_next[:2])


def _time(hours: float) -> str:
    if hours < 0.75:
        return "half an hour"
    if 6 <= hours <= 10:
        return "a day"
    return "an hour" if round(hours) == 1 else f"about {hours:.0f} hours"


def _in_ten_years(ends: tuple[float, float]) -> str:
    """Ends of a yearly rate as deer in ten years: "0.4 to 4.8", "none to 12"."""
    low, high = (f"{10 * x:.1f}" if round(10 * x, 1) < 10 else f"{10 * x:.0f}" for x in ends)
    return f"{'none' if low == '0.0' else low} to {high}"


def _worth_measuring(
    what: str, now: tuple[float, float], then: tuple[float, float], hours: float, level: float, first: bool
) -> str:
    """now, then: the range of the does a year that the ground can give, as it is and with this measured; first: of
    several ways, the one that tells the range as it is.
    """
    before, after = _in_ten_years(now), _in_ten_years(then)
    known = f"This ground can give {before} does in ten years ({level:.0%}). " if first else ""
    moves = "hardly move that" if after == before else f"make that about {after}"
    return f"{known}{capital(what)}, {_time(hours)}, would {moves}."


def _lines(more: int, plots: int) -> str:
    if not more:
        return f"next spring's pellets on {plots} plots as last time"
    lines = "one line" if more == 1 else f"{more} lines"
    return f"next spring's pellets with {lines} more, {plots} plots"


def _number_by(of: str, hours: float, plots: int, lines: int) -> str:
    """What would give a first number of deer."""
    if of == "kill":
        return (
            "Bucks and does that the neighbors or the unit took a square mile (place.toml, neighbor_bucks_per_sqmi and "
            f"neighbor_does_per_sqmi) would give a first number: {_time(hours)} with the state's report."
        )
    if of == "state":
        return f"The state's own figure for the unit (place.toml, state_per_sqmi) would give one: {_time(hours)}."
    return (
        f"Pellets on {plots} plots on {lines} lines in spring (pellets.csv) would give a number of your own ground: "
        f"{_time(hours)}."
    )


WORDS: Mapping[str, Callable[..., str]] = {
    "worth measuring": _worth_measuring,
    "would give a number": _number_by,
    "measure lines": _lines,
    "measure first pellets": lambda plots: f"pellets on {plots} plots next spring (pellets.csv)",
    "measure camera weeks": lambda weeks: f"{weeks:.0f} camera weeks from August to October (counts.csv)",
    "measure ages": lambda bucks: f"the ages of {bucks:.0f} bucks killed (bag.csv, age_yr)",
    "measure kill": lambda: (
        "what neighbors or the unit take a square mile (place.toml, neighbor_bucks_per_sqmi and neighbor_does_per_sqmi)"
    ),
    "measure state": lambda: "the state's own figure for the unit (place.toml, state_per_sqmi)",
    "measure complete": lambda: (
        "a drive or snow walk in winter that misses no deer of your ground (counts.csv, acres and complete)"
    ),
    "measure winter": lambda winter: f"the points of the winter that began in {winter} (winters.csv)",
    "measure stand": lambda hours: f"{hours:.0f} hours in a stand with the deer seen (counts.csv)",
}

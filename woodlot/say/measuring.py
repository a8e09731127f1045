"""What to measure beside the count, in words: trees a point, and heights.

rule      how many trees on how many points; day: what that makes of a weekend
larger    which trees they are; on_every_point, on_this_point: for the sheets
heights   heights measured and what more would bring; wanted, tall: of which kinds
"""

from collections.abc import Mapping, Sequence
from typing import Any

from woodlot.say.words import listed, plural

__all__ = ["day", "heights", "larger", "on_every_point", "on_this_point", "rule", "tall", "wanted"]

_EVERY = {1: "every point", 2: "every second point", 3: "every third point", 4: "every fourth point"}


def rule(trees: int, every: int) -> str:
    """How many trees to measure on how many points."""
    return f"measure about {plural(trees, 'tree')} on {_EVERY[every]}"


def larger(times: float) -> str:
    """Which trees are measured: those that a factor so many times as large takes in too."""
    part = "half" if times == 4 else f"{times**-0.5:.0%} of"
    return f"those within {part} the distance at which they are just in"


def on_every_point(rule: str, times: float) -> str:
    """What is done on the points, for a sheet."""
    return f"Count on every point, and {rule}: {larger(times)}."


def on_this_point(trees: int, times: float) -> str:
    """What is done on a point where trees are measured too."""
    return f"Measure about {plural(trees, 'tree')} here: {larger(times)}. Count the rest."


def day(rule: str, of: Mapping[str, Any]) -> str:
    """What counting on every point makes of a weekend, beside measuring each tree."""
    whose, times = "by the spread of your own plots" if of["own"] else "by usual spreads", of["factor_times"]
    beside = ""
    if of["measured_points"]:
        beside = f", or {of['measured_points']:.0f} on which each tree is measured with {of['measured_pct']:.1f}%"
    return (
        f"Count the trees on every point and {rule}, {larger(times)} (a factor {times:g} times as large takes them in "
        f"too): {of['hours']:g} hours hold about {of['points']:.0f} such points with an error of "
        f"{of['error_pct']:.1f}%{beside}, {whose}. Never change a factor from point "
        "to point."
    )


def heights(stand: str, here: int, of_cover: int, cv: float, best: float, fill: int, open_: bool) -> str:
    """Heights measured behind a stand, what more would bring, and when to stop."""
    have = f"Stand {stand}: {'no height' if not here else plural(here, 'height')} measured"
    have += f", {of_cover} in all of its cover" if of_cover > here else ""
    if open_ and cv - best >= 0.001:
        return (
            f"{have}; {fill} would bring the volume table's error from {100 * cv:.1f} to {100 * best:.1f}%, then only "
            "a woodpile helps."
        )
    if open_:
        return f"{have}: the table's error is {100 * cv:.1f}%; a few of each large kind would still tell its own level."
    return f"{have}: enough. More would leave the table's error at {100 * cv:.1f}%; only a woodpile helps now."


def tall(kinds: str) -> str:
    """Whose height is taken, for a sheet; kinds: those wanted in the stand, where it is known."""
    return f"Take the height of one; still wanted: {kinds}." if kinds else "Take the height of one of them."


def wanted(kinds: Sequence[tuple[str, int]]) -> str:
    """Heights wanted, kind by kind, in a few words; empty where none is."""
    named = [f"{more} of {species}" for species, more in kinds if species]
    rest = sum(more for species, more in kinds if not species)
    named += [f"{rest} of any kind"] if rest else []
    return listed(named) if named else ""

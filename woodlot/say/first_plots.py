"""Where the next plots go, in words: what to do this weekend, where each walk begins, the way from plot to plot.

landmark   a point that can be found on the ground
way        how to come to a plot
check      its bearing from the nearest landmark
a_round    a walk in a line
weekend    all of it, for the first screen
number     plots and stands in a few words; how_long, hours: their time
"""

from collections.abc import Mapping, Sequence

from woodlot.say.words import capital, first_of, listed, noun, plural, two_figures

__all__ = [
    "CHANCE",
    "FOR_GOOD",
    "NORTH",
    "PLOTS_TO_MEASURE",
    "a_round",
    "check",
    "hours",
    "how_long",
    "landmark",
    "number",
    "way",
    "weekend",
]

#: At a plot that is marked so that it is found again.
FOR_GOOD = "mark its center for good"
CARRY = "Carry the sheets, a compass, a prism or a 37-foot rope, a tape, and a stick for heights."
#: Why the spots are where they are, and what must not be done with them.
CHANCE = "Chance put the plots there, evenly over each stand: never move one to better trees."
PLOTS_TO_MEASURE = "plots to measure"
NORTH = "Bearings are from true north: set your compass to it, and pace the feet."


def landmark(kind: str, name: str, parcel: str) -> str:
    """A point that can be found on the ground; name: of the feature, of a corner where it lies in its parcel."""
    if kind == "corner":
        return f"the {name} corner of {parcel}" if parcel else f"the {name} corner"
    if kind == "road":
        return f"the end of {name or 'the road'} or where it meets the line"
    return "the house" if kind == "home" else f"the landing {name}".strip()


def _leg(feet: float, degrees: float) -> str:
    return f"{feet:,.0f} feet at {round(degrees) % 360}°"


def way(feet: float, degrees: float, of: str, over_water: bool, off_land: bool) -> str:
    """How to come to a plot from a landmark or the plot before."""
    crossed = [word for word, is_so in (("water", over_water), ("other people's land", off_land)) if is_so]
    around = f"; crosses {listed(crossed)}, go around" if crossed else ""
    return f"{_leg(feet, degrees)} from {of}{around}"


def check(feet: float, degrees: float, of: str) -> str:
    """A plot's bearing from the nearest landmark."""
    return f"or {_leg(feet, degrees)} from {of}"


def a_round(begin: str, plots: Sequence[str], walk_ft: float, minutes: float) -> str:
    """One walk: where it begins, its plots in order, how far and how long."""
    return f"From {begin} to {first_of(plots, 12)}: {two_figures(walk_ft)} feet there and back, {hours(minutes)}."


def hours(minutes: float) -> str:
    """``2 hours``, ``half an hour``: to the half hour."""
    halves = max(1, round(minutes / 30.0))
    if halves == 1:
        return "half an hour"
    whole = halves / 2
    return f"{whole:g} {noun(whole, 'hour')}"


def number(plots: int, stands: int) -> str:
    """How many plots in how many stands."""
    return f"{plural(plots, 'plot')} in {plural(stands, 'stand')}"


def how_long(minutes: float) -> str:
    """Time for all of it."""
    return f"about {hours(minutes)} without the drive"


def weekend(
    stands: Sequence[str],
    walks: Sequence[str],
    no_room: Mapping[str, int],
    later: Sequence[str],
    minutes_a_plot: float,
    mark: str,
    over: float | None = None,
    for_good: str = "",
) -> list[str]:
    """What to do this weekend, one sentence each.

    stands: that get plots; walks: of ``a_round``; mark: how the minutes of a plot came into their table; over: hours
    that there are, where the first plots alone take more; for_good: which are marked (``say.next_plots.kept``).
    """
    out = []
    if stands:
        where = f"{capital(noun(len(stands), 'stand'))} {first_of(stands, 8)}, at {minutes_a_plot:g} minutes a plot"
        out += [f"{where} ({mark}).", *walks]
        out += [f"That is more than the {over:g} {noun(over, 'hour')} there are."] if over is not None else []
        out += [CHANCE, *([for_good] if for_good else []), CARRY]
    if no_room:
        named = first_of([f"{stand} ({plots})" for stand, plots in no_room.items()], 6)
        out.append(f"No room for plots off edge, water, roads and each other: {noun(len(no_room), 'stand')} {named}.")
    if later:
        out.append(f"Another weekend: {noun(len(later), 'stand')} {first_of(later, 8)}.")
    return out

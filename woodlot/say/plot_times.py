"""What plots are multiplied by and what that leaves in doubt, in words: edges, the prism, the eye.

WORDS   key of a Reason of ``stand.plot_times`` -> its words
"""

from collections.abc import Callable, Mapping

from woodlot.say.words import capital, percent, plural
from woodlot.trade import BEYOND_COUNTED, COUNTED_TWICE, KEPT_OFF

__all__ = ["WORDS"]

#: How edges are minded (``trade.EDGES``), and that nothing is added then.
MINDED = {
    COUNTED_TWICE: "trees whose reach goes past the edge were counted twice where the walk past it led out",
    BEYOND_COUNTED: "trees beyond the edge were counted too",
    KEPT_OFF: "all plots keep off the edge",
}


def _edges(stands: int, least: float, most: float, known: bool) -> str:
    low, high = percent(least), percent(most)
    much = capital(high if low == high else f"{low} to {high}")
    of = "of the stand" if stands == 1 else f"of {plural(stands, 'stand')}"
    if known:
        return f"{much} added for the edges {of}, where trees are lost that nobody counts twice."
    return (
        f"{much} added for the edges {of}: nobody said how trees near them were counted, and twice that may be "
        'lost, or nothing. Say it in place.toml, [cruise] edges = "counted twice" or another word.'
    )


def _checked(points: int, tallied: float, found: float, ratio: float, times: float, cv: float) -> str:
    return (
        f"On {plural(points, 'point')} the tape found {found:g} trees where the eye counted {tallied:g}, {ratio:.3f} "
        f"times as many: all prism tallies times {times:.3f}, as far as so few points tell; {percent(cv)} of doubt "
        "in the eye is left. Tallies of the checked points stay as the eye counted, times the same."
    )


def _checked_short(points: int, times: float, cv: float, **_: float) -> str:
    told = f"{plural(points, 'point')} checked with the tape: prism tallies times {times:.3f}"
    return f"{told}; {percent(cv)} of doubt in the eye is left."


def _unchecked(cv: float, points: int) -> str:
    first = "Nobody checked the eye at the prism" if points == 0 else "One checked point tells nothing of the eye"
    return (
        f"{first}: it may be {percent(cv)} off. Tape every tree at a few points and write how many are in as "
        "checked_count of plots.csv."
    )


#: Key of a Reason -> its words.
WORDS: Mapping[str, Callable[..., str]] = {
    "edges added": _edges,
    "edges minded": lambda how: f"Nothing was added for edges: {MINDED[how]}.",
    "no edge near": lambda: "Nothing was added for edges: no plot lies within a tree's reach of one.",
    "prism factor": lambda factor, real: (
        f"By your target the prism of factor {factor:g} is one of {real:.4g}: its tallies times {real / factor:.4f}."
    ),
    "prism taped": lambda factor, real: (
        f"By your target the prism of factor {factor:g} is one of {real:.4g}; doubtful trees were taped at {factor:g}, "
        "so its tallies stay as they are."
    ),
    "eye checked": _checked,
    "eye checked, in short": _checked_short,
    "eye unchecked": _unchecked,
}

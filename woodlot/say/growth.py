"""Growth in words: what lies outside published growth, what a cut keeps, lines of the stocking guides.

guide_line   the name of a line of a stocking guide
GUIDE_AXES   what its axes are
"""

from collections.abc import Callable, Mapping

from woodlot.say import words

__all__ = ["GUIDE_AXES", "WORDS", "guide_line"]

GUIDE_AXES = ("mean diameter, inches", "basal area, square feet an acre")
LINES = {
    "A": "A line: as full as unthinned stands",
    "B": "B line: crowns just closing",
    "white pine": "upper line of white pine",
}
SHARES = {
    0.8: "crowded above",
    0.6: "full above",
    0.4: "well filled above",
    0.3: "low under",
    1.0: "as dense as can be",
}


def guide_line(line: str, share: float | None) -> str:
    """The name of a line of a stocking guide (``stand.guides.guide_lines``)."""
    return LINES[line] if share is None else f"{SHARES.get(share, 'density')} ({share:.0%})"


BAND = {
    "slow": "Growth under {:g}% a year, outside what published stands show",
    "fast": "Growth over {:g}% a year, outside what published stands show",
    "fast without cores": "Growth over {:g} sq ft an acre a year needs cores behind it",
    "dense": "Denser than any published stand, so look at the plots again",
    "thick": "Over {:g} sq ft an acre, beyond what the growth equations were made for",
}
KEPT = {
    "keep_over_12in": "{} trees an acre over 12 inches as den trees",
    "keep_over_18in": "{} of them over 18 inches",
    "keep_mast": "{} trees an acre that bear acorns, nuts or cherries, where there are so many",
    "snags_per_ac": "{} dead trees an acre over 10 inches, away from where people work",
}


def _kept(which: str, trees_per_ac: float, seen: str) -> str:
    count = words.two_figures(trees_per_ac).removesuffix(".0")
    return KEPT[which].format(count) + (" †" if seen == "memory" else "")


#: Key of a Reason -> its words; those of the band are whole sentences.
WORDS: Mapping[str, Callable[..., str]] = {
    "outside the band": lambda what, bound, stands: f"{BAND[what].format(bound)}: stand {', '.join(stands)}.",
    "trees kept": _kept,
}

"""A cruise in words: why a stand has no range.

no_range      why a stand has no range
plots_still   how many plots are still to be measured
heights_wanted  whose heights are wanted
columns       what the columns of the table of stands are
"""

from collections.abc import Callable, Mapping

from woodlot.say.words import listed

__all__ = ["HEIGHT_FLAGS", "RATIO_FROM", "WORDS", "columns", "heights_wanted", "no_range", "plots_still"]


#: Whom a tree that was only counted borrows from (``stand.ratios.LENDERS``).
RATIO_FROM = {
    "own species here": "its species in the stand",
    "here": "the stand",
    "own species in cover": "its species in other stands of the cover",
    "in cover": "other stands of the cover",
    "own species elsewhere": "its species in other stands",
    "elsewhere": "other stands",
}
#: Heights of a tree that cannot be together (``tree.frame.volumes``).
HEIGHT_FLAGS = {
    "logs over merchantable": "logs reach more than half a log above the merchantable height",
    "logs over fitted": "taller logs than the fitted height",
    "merchantable over total": "merchantable height exceeds total height",
    "logs over total": "log height exceeds stem height",
}


def no_range(stand: str, why: str) -> str:
    """Why a stand has no range."""
    return f"Stand {stand}: {why}."


def plots_still(count: int | None) -> str:
    """How many plots are still to be measured; a dash where no number would do."""
    return "-" if count is None else str(count)


def columns(within_pct: float) -> str:
    """What the columns of the table of stands are."""
    return (
        "Square feet of basal area and live trees are an acre's; inches are the quadratic mean diameter. More: plots "
        f"that would bring the cords of that stand alone within {within_pct:g}%, a dash where plots alone would "
        "not, because of what all of them share, such as the volume table."
    )


def heights_wanted(kinds: str) -> str:
    """Whose heights are wanted in a stand, and of which trees they are taken."""
    return f"Heights wanted: {kinds}; one tree on each point before two on any, one that you measure anyway."


def _borrowed(way: str, lenders: tuple[str, ...], others: bool, beyond: bool) -> str:
    who = ", ".join(lenders) + (" and others" if others else "")
    how = {
        "likeness": f"borrowed from the stands most like it ({who})",
        "cover mean": f"borrowed: the mean of measured stands of its cover, of all where there is none ({who})",
    }[way]
    far = "; it is unlike every measured stand, so the range is wider" if beyond else ""
    return f"nobody has put a plot here; {how}{far}"


def _helped(stands: tuple[str, ...], more: int, end: str, odd: str, patchier: bool) -> str:
    """Who helped a range, and what to mind; ``end``: the one that came in (``why`` says it)."""
    others = f"{', '.join(stands)} and {more:,} more" if more else listed(stands)
    who = f"stand{'s' * (len(stands) + more > 1)} {others}"
    said = [f"range helped by {who}, of its cover"]
    said += [f"holds much {odd} than its like, so its range is wider; three plots there tell most"] if odd else []
    said += ["patchier than its like"] if patchier else []
    return "; ".join(said)


#: Key of a Reason -> its words.
WORDS: Mapping[str, Callable[..., str]] = {
    "counted only": lambda: "trees were counted but none was measured; one measured tree would give a first number",
    "helped": _helped,
    "borrowed": _borrowed,
}

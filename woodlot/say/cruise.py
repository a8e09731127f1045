"""A cruise in words: why a stand has no range, edges that were not minded, where the next plots tell most.

no_range      why a stand has no range
plots_still   how many plots are still to be measured
heights_wanted  whose heights are wanted
columns       what the columns of the table of stands are
edge_strips   stands whose edges were not minded
next_plots    where plots tell most
"""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "HEIGHT_FLAGS",
    "RATIO_FROM",
    "WORDS",
    "columns",
    "edge_strips",
    "heights_wanted",
    "next_plots",
    "no_range",
    "plots_still",
]


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
        f"that would bring cords within {within_pct:g}%, a dash where no number of plots would, because of the volume "
        "table."
    )


def heights_wanted(kinds: str) -> str:
    """Whose heights are wanted in a stand, and of which trees they are taken."""
    return f"Heights wanted: {kinds}; one tree on each point before two on any, one that you measure anyway."


def edge_strips(rows: "pd.DataFrame") -> list[str]:
    """Stands whose edges were not minded, one sentence each (``stand.cruise.edge_strips``)."""
    return [
        f"{row['share']:.0%} of stand {row['stand_id']} lies within {row['reach_ft']:.0f} feet of its edge and no tree "
        "was counted twice there; the numbers may be too low."
        for row in rows[rows["warn"]].to_dict("records")
    ]


def next_plots(row: Mapping[Any, Any], more: int) -> str:
    """What ``more`` plots in a stand would do, or first ones where it has none (``stand.cruise.worth_measuring``)."""
    if row["n"] == 0:
        return f"No plot in stand {row['stand_id']} yet; three would give a first figure."
    return f"{more} plots in stand {row['stand_id']} would narrow the total most."


def _borrowed(way: str, lenders: tuple[str, ...], others: bool, beyond: bool) -> str:
    who = ", ".join(lenders) + (" and others" if others else "")
    how = {
        "likeness": f"borrowed from the stands most like it ({who})",
        "cover mean": f"borrowed: the mean of measured stands of its cover, of all where there is none ({who})",
    }[way]
    far = "; it is unlike every measured stand, so the range is wider" if beyond else ""
    return f"nobody has put a plot here; {how}{far}"


#: Key of a Reason -> its words.
WORDS: Mapping[str, Callable[..., str]] = {
    "counted only": lambda: "trees were counted but none was measured; one measured tree would give a first number",
    "one plot only": lambda least: f"one plot has no range of its own; {least} would give a first one",
    "borrowed": _borrowed,
}

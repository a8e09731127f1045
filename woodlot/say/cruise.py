"""A cruise in words: why a stand has no range, edges that were not minded.

no_range      why a stand has no range
plots_still   how many plots are still to be measured
columns       what the columns of the table of stands are
edge_strips   stands whose edges were not minded
"""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["HEIGHT_FLAGS", "RATIO_FROM", "WORDS", "columns", "edge_strips", "no_range", "plots_still"]


#: Whom a tree that was only counted borrows from (``stand.ratios.LENDERS``).
RATIO_FROM = {
    "own species here": "its species in the stand",
    "here": "the stand",
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
        "not, because of the volume table."
    )


def edge_strips(rows: "pd.DataFrame") -> list[str]:
    """Stands whose edges were not minded, one sentence each (``stand.cruise.edge_strips``)."""
    return [
        f"{row['share']:.0%} of stand {row['stand_id']} lies within {row['reach_ft']:.0f} feet of its edge and no tree "
        "was counted twice there; the numbers may be too low."
        for row in rows[rows["warn"]].to_dict("records")
    ]


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

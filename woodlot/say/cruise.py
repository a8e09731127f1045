"""A cruise in words: why a stand has no range, edges that were not minded, where the next plots tell most.

edge_strips   stands whose edges were not minded
next_plots    where plots tell most
"""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from woodlot.say import words

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["WORDS", "edge_strips", "next_plots"]


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


def _nothing(of: str, n: int, plots: int) -> str:
    return f"nothing on the one {of}" if n == 1 else f"nothing on any of the {plots} plots"


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
    "nothing on the plots": _nothing,
    "one only": lambda of, least: f"one {of} has no range of its own; {least} would give a first one",
    "seen on few plots": lambda holding, plots, value, unit: (
        f"seen on {holding} of {plots} plots, about {words.rounded(value, unit)}"
    ),
    "borrowed": _borrowed,
}

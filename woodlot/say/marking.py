"""What is said of the trees of a job: in which order they go and why, what stands apart, what to free and to keep.

WORDS           key of a Reason -> its words
marking_lines   the sentences of one job
why_words       why trees of one kind and size go
"""

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING

from woodlot.estimate import Reason
from woodlot.say.words import plural

if TYPE_CHECKING:
    import pandas as pd

    from woodlot.plan.job import Job

__all__ = ["WORDS", "marking_lines", "why_words"]

#: Why trees go (``stand.marking.WHYS``), as it stands after "trees".
WHYS = {
    "likely to die": "likely to die before the next cut",
    "kind that dies": "of a kind that is dying off here",
    "poor form": "of poor form or rotten",
    "crowds a better tree": "in the way of a better tree",
    "grown out": "over the size they were grown for",
    "of little use": "of kinds that are short lived or of little use",
    "spacing": "to give the rest room",
    "full light": "of all the rest, for full light",
}
#: Why trees are on nobody's list (``JobMarking.apart``).
APART = {"dying ash": "of ash that the borer kills", "word": "called hollow, hung, leaning, broken or dying"}
#: Kinds named in a sentence, those with most trees first.
MOST = 4
#: Trees fewer than this are not told.
LEAST = 0.5

WORDS: Mapping[str, Callable[..., str]] = {
    "taken because": lambda why: WHYS[why],
    "after the cut": lambda text, seen: f"{text} (From memory.)" if seen == "memory" else text,
}


def why_words(whys: Iterable[Reason]) -> str:
    """Why trees of one kind and size go, the first to go first."""
    return ", then ".join(WORDS[why.key](**dict(why.facts)) for why in whys)


def marking_lines(job: "Job") -> tuple[str, ...]:
    """The order of removal, what stands apart, what to free and to keep, and whether anybody judged the trees."""
    how = job.marking
    by = (
        "By the words on the trees of its plots, then by kind and size."
        if how.judged
        else "By kind, size and rot alone: nobody wrote a word on a tree of its plots. A letter a tree would tell more."
    )
    steps = [
        (WHYS[str(why)], rows)
        for why, rows in how.removal.groupby("why", sort=False)
        if float(rows["trees"].sum()) >= LEAST
    ]
    order = [f"{n}. {_trees(rows)} {words}: {_kinds(rows)}." for n, (words, rows) in enumerate(steps, 1)]
    free = f"Free the crowns of about {plural(round(how.crop_trees), 'crop tree')}." if how.crop_trees >= LEAST else ""
    keep = f"Keep first of all {', '.join(how.keep_kinds[:MOST])}." if how.keep_kinds and job.way == "thin" else ""
    apart = [
        f"Not in this list, for people who fell for a living: {_trees(rows)} {APART[str(why)]}: {_kinds(rows)}."
        for why, rows in how.apart.groupby("why", sort=False)
        if float(rows["trees"].sum()) >= LEAST
    ]
    return tuple(filter(None, (f"In this order. {by}", *order, free, keep, *apart)))


def _trees(rows: "pd.DataFrame") -> str:
    return f"About {plural(round(float(rows['trees'].sum())), 'tree')}"


def _kinds(rows: "pd.DataFrame") -> str:
    """Kinds with their trees and inches, those with most trees first: ``28 ironwood (6 to 12 in)``."""
    by = rows.groupby("species", sort=True)
    each = by.agg(trees=("trees", "sum"), low=("class_in", "min"), high=("class_in", "max"))
    each = each[each["trees"] >= LEAST].sort_values("trees", ascending=False, kind="stable")
    sizes = [f"{a:g}" if a == b else f"{a:g} to {b:g}" for a, b in zip(each["low"], each["high"], strict=True)]
    texts = [f"{n:.0f} {kind} ({size} in)" for n, kind, size in zip(each["trees"], each.index, sizes, strict=True)]
    rest = len(texts) - MOST
    more = [f"and {plural(rest, 'more kind')}"] if rest > 0 else []
    return ", ".join([*texts[:MOST], *more]) or "few of each kind"

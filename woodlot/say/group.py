"""Neighbors who pool ground and take, in words.

not_listed, no_file, same_twice, holds_more    what is to be said of their files
overlap, drawn_twice     ground that two families drew as theirs
IN_THE_FILE, NOT_IN_IT   what a hand-out holds, and what it does not
TURNS, RESTS_ON          how the next doe falls, and what the group's number rests on
first_screen             rows of the verb
left_out                 who is not in the group, and why
whose, together          whose a doe is; for whom a take is
WORDS                    key of a Reason -> its sentence
"""

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from woodlot.say.deer import Fact
from woodlot.say.words import amount, capital, in_letters, listed, plural, two_figures

if TYPE_CHECKING:
    from woodlot.deer.group import Group, Overlap

__all__ = [
    "IN_THE_FILE",
    "NOT_IN_IT",
    "RESTS_ON",
    "TURNS",
    "WORDS",
    "drawn_twice",
    "first_screen",
    "holds_more",
    "left_out",
    "no_file",
    "not_listed",
    "overlap",
    "same_twice",
    "together",
    "whose",
]

IN_THE_FILE = (
    "In the file: the outline of your ground in one piece, its acres, the does and bucks you took by fall, and your "
    "place's name. Nothing else."
)
NOT_IN_IT = (
    "Not in it: counts of deer or pellets, parcels and their names, stands, plots, trees, rasters, where the house is, "
    "notes, wants."
)
TURNS = (
    "The next doe is whose acres times falls waited since the last doe are most; of equals, the first by name. A "
    "family without a doe on record has waited since the group's first fall on record."
)
RESTS_ON = (
    "How many there are rests on your counts alone: neighbors hand out none. Where another family's plan offers fewer, "
    "take fewer."
)


def not_listed(name: str, near: str) -> str:
    """A family's file lies there, but nobody wrote that it agreed."""
    ask = f" Is it {near}?" if near else ""
    return f"group: {name} is not under [[group]] in place.toml with agreed = true: left out.{ask}"


def no_file(name: str) -> str:
    """A family agreed, and handed nothing out."""
    return f"group: {name} agreed, but no file of theirs lies in the folder group; they are left out."


def same_twice(first: str, second: str) -> str:
    """The same file under two names."""
    return f"{second} is the same file as {first} and was read once. Take one of them away."


def holds_more(file: str, keys: Sequence[str]) -> str:
    """A file holds more than it should."""
    return f"{file} holds more than outline, acres and kills ({listed(keys)}); that was not read. Tell the family."


def overlap(one: "Overlap") -> str:
    """How many acres two families drew as theirs."""
    return f"{amount(one.acres, 'acres')} drawn by both"


def drawn_twice(one: "Overlap") -> str:
    """A strip that two families drew as theirs."""
    return (
        f"group: {amount(one.acres, 'acres')} lie in the outlines of both {listed(one.names)}; they count once, half "
        "for each. Find out whose line is right."
    )


def whose(name: str, own: str) -> str:
    """Whose the next one is."""
    if name == own:
        return "yours"
    return f"{name}'" if name.endswith("s") else f"{name}'s"


def _families(many: int) -> str:
    return f"{in_letters(many)} families"


def first_screen(group: "Group", fall: int, reach_ft: float) -> list[Fact]:
    """Rows of the verb: the ground, what was taken, and whose the next doe is."""
    many, taken = len(group.families), group.killed_by_fall()
    if many == 1:
        why = "No other family is in it: see [[group]] in place.toml and the folder group."
        return [Fact("Group", "You alone", why)]
    does, bucks = (float(taken[sex].sum()) for sex in ("does", "bucks"))
    since = ""
    if len(taken):
        first, last = taken.index.min(), taken.index.max()
        since = f"In {plural(len(taken), 'fall')} on record, {first if first == last else f'{first} to {last}'}."
    return [
        Fact(
            "Ground",
            f"{amount(group.acres, 'acres')} of {_families(many)}",
            f"Each lies within {reach_ft:,.0f} feet of other ground of the group, so that the same deer use it.",
        ),
        Fact("Taken", f"{plural(does, 'doe')} and {plural(bucks, 'buck')}" if since else "None on record", since),
        Fact("Next doe", capital(whose(group.next_doe_to(fall), group.own)), TURNS),
    ]


def left_out(group: "Group", not_agreed: Sequence[str], no_files: Sequence[str], reach_ft: float) -> list[str]:
    """Who is not in the group, or with part of their ground, and why; ground drawn twice."""
    said = [
        f"{name}: {amount(acres, 'acres')} lie farther than {reach_ft:,.0f} feet from the group's ground, where other "
        "deer live: left out."
        for name, acres in group.left_out_ac.items()
    ]
    said += [f"{name} has not agreed: left out." for name in not_agreed]
    said += [f"{name} agreed, but handed no file out: left out." for name in no_files]
    return [*said, *map(drawn_twice, group.overlaps)]


def _take(does: int, families: int, next_to: str, own: str, no_tag: bool) -> str:
    """Whose the group's does are this season, or the next one is."""
    first = "the doe is" if does == 1 else "the next doe is"
    tag = " You have no doe tag." if no_tag and next_to == own else ""
    rests = f" {RESTS_ON}" if does else ""
    all_of_them = f"Shares and kills are those of the {_families(families)} together"
    return f"{all_of_them}; {first} {whose(next_to, own)} (woodlot group).{tag}{rests}"


def _acres_to_pool(acres: float, years: float) -> str:
    """How many acres of neighbors beside one's own would make one doe in so many years."""
    return (
        f"With about {two_figures(acres)} acres of neighbors who pool ground and take with you there would be one doe "
        f"in {years:.0f} years to share (woodlot group)."
    )


def together(families: int) -> str:
    """Behind what several families may take; "" of one alone."""
    return f", for the {_families(families)} together" if families > 1 else ""


WORDS: Mapping[str, Callable[..., str]] = {"doe of the group": _take, "acres to pool": _acres_to_pool}

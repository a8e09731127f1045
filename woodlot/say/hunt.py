"""The hunt in words: how many does and bucks at most, why, the chance that goes with it, the meat.

first_screen       the answer -> rows of deer, take, chance, meat, browse, what to measure
chances_note       what the table of chances holds
number_range_why   the deer in one row: does and bucks at most, the meat, and why
WORDS              key of a Reason -> its sentence, from facts that are plain, Numbers, or words already
"""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from woodlot.say import group, meat
from woodlot.say.deer import Fact, browse_row, deer_row, topic_row
from woodlot.say.measure_deer import next_words
from woodlot.say.words import amount, listed, plural, rounded, two_figures

if TYPE_CHECKING:
    from woodlot.deer.answer import DeerAnswer

__all__ = ["WORDS", "chances_note", "every", "first_screen", "number_range_why"]

_ORDINAL = {2: "second", 3: "third", 4: "fourth", 5: "fifth"}
TOGETHER = "neighbors who count and plan together with you"
STATE = "Season, tags and zone are the state's."

# --- the take


def every(per_yr: float, one: str) -> str:
    """Words for a yearly rate: "about one doe every second year", "about 2 bucks in 3 years", "one doe in about 9
    years"; ``one`` is "doe" or "buck".

    Notes: the fewest years, up to 5, whose whole deer come within 15 percent of the rate; below one in 5 the years.
    """
    if per_yr <= 0:
        return f"no {one}"
    for years in range(1, 6):
        n = round(per_yr * years)
        if n and abs(per_yr - n / years) <= 0.15 * per_yr:
            break
    else:
        return f"one {one} in about {max(round(1.0 / per_yr), 1)} years"
    deer = f"about one {one}" if n == 1 else f"about {n} {one}s"
    if years == 1:
        return f"{deer} a year"
    return f"{deer} every {_ORDINAL[years]} year" if n == 1 and years in _ORDINAL else f"{deer} in {years} years"


def _season(
    one: str,
    whole: int,
    per_yr: float,
    wait: int,
    owed: tuple[float, int, float] | None,
    gone: float,
    refused: str | None = None,
    lower: bool = False,
    capped: bool = False,
    halved: bool = False,
    most_yr: float = 15,
    together: bool = False,
) -> str:
    """How many more at most this season, the yearly share they come of, and the falls until the next is due.

    gone: taken this season already; owed: where more was taken than the share gave, deer taken, since which fall, and
    deer the share gave; refused: why another wish does not act; lower: counts disagree; capped: by the risk; halved:
    since neighbors take too much; most_yr: years beyond which none is foreseen; together: of a group.
    """
    if whole:
        start = f"{whole} {'more ' if gone else ''}{one if whole == 1 else one + 's'} at most"
    else:
        start = f"No more {one}s, {gone:.0f} taken" if gone else f"No {one}"
    if owed:
        taken, since, gave = owed
        start += f": {taken:.0f} taken since {since}, the share gave {f'{gave:.1f}' if gave >= 0.05 else 'none'}"
    due = f", the next due {'next fall' if wait == 1 else f'in about {wait} falls'}"
    if wait > most_yr:
        due = f", none due within {most_yr:.0f} falls"
    rate = every(per_yr, one) if per_yr * most_yr >= 1.0 else f"under one {one} in {most_yr:.0f} years"
    less = [
        "the lower one of counts that disagree" * lower,
        "the risk for the herd" * capped,
        "neighbors who take more does than it can give (halved)" * halved,
    ]
    less = [one for one in less if one]
    words = [f"{start}; {_your(together)} share is {rate}{'' if whole else due}."]
    words += [f"It is held down by {listed(less)}."] if less else []
    return " ".join([*words, refused] if refused else words)


def _your(together: bool) -> str:
    """Whose share it is."""
    return "your group's" if together else "your"


def _closed(why: str, under: float, years: tuple[int, int], odds: float, points: float, together: bool = False) -> str:
    """Closed, how sure that is, and what the closing of the family or its group changes."""
    whose = _your(together).capitalize()
    then = "last fall's" if why == "under last fall" else years_words(*years)
    sure = "probably" if odds >= 0.5 else f"perhaps ({100 * odds:.0f} in 100)"
    if points < 2.5:
        adds = f"{whose} closing alone changes little"
    else:
        adds = f"{whose} share, taken each fall all the same, adds {points:.0f} in 100 to the chance that it halves"
    return f"Closed: the herd is {sure} under {100 * under:.0f}% of {then}. {adds}; talk with the neighbors."


def years_words(first: int, last: int) -> str:
    """Years from first to last: 2021, 2021-23."""
    return f"{first}" if first == last else f"{first}-{last % 100:02d}"


def _neighbors(
    used_ac: float,
    share_pct: float,
    give: tuple[float, float],
    around: tuple[float, float],
    wrote: tuple[float | None, float | None],
    anew: bool = False,
    together: bool = False,
) -> str:
    """What the ground can give in a year, does and bucks, and what neighbors take of it a square mile.

    around: as it is reckoned with; wrote: as the family wrote it, anew: from this fall on.
    """
    own = "your group's" if together else "yours"
    return (
        f"The deer that come here use about {used_ac:,.0f} acres; {own} are {share_pct:.0f}% of them. That ground can "
        f"give about {give[0]:.1f} does and {give[1]:.1f} bucks a year, to all who hunt there. "
        f"{_neighbors_take(around, wrote, anew)}"
    )


def _neighbors_take(around: tuple[float, float], wrote: tuple[float | None, float | None], anew: bool) -> str:
    """What neighbors take a square mile: as written, and what herds that last beside the counts bear."""
    does_and_bucks = f"{around[0]:.1f} does and {around[1]:.1f} bucks"
    if wrote == (None, None):
        words = "as the counts have it; ask for the unit’s figures"
        return f"Neighbors take about {does_and_bucks} a square mile ({words})."
    if anew:
        return f"Neighbors take {does_and_bucks} a square mile from this fall on, as you wrote."
    said = [f"{n:.1f} {kind}" for n, kind in zip(wrote, ("does", "bucks"), strict=True) if n is not None]
    return (
        f"You wrote that neighbors take {' and '.join(said)} a square mile; herds that last here and show these counts "
        f"bear about {does_and_bucks}, and the take reckons with that."
    )


def _fewer_asks_more(pressed: bool, many: bool, bears: float, together: bool, sqmi: float) -> str:
    """What the wish for fewer deer still lacks."""
    lacks = []
    if not pressed:
        lacks.append("browsing at 4 or 5, or a forest held down by deer, two springs running")
    if not many:
        lacks.append(f"more than {bears:.0f} deer a square mile in winter")
    if not together:
        lacks.append(
            f"neighbors who join in (neighbors_join = true), without whom under {sqmi:.0f} square miles nothing moves"
        )
    return f"You wish for fewer deer; still missing: {'; '.join(lacks)}. Until then the take holds the herd."


# --- chances


def _chances(halved: float, falls: float, halved_alone: float, falls_alone: float) -> str:
    """The chance with the family's share taken each fall beside the one in which only the neighbors hunt."""
    return (
        f"Herd halves in ten years: neighbors hunt, you do not, {100 * halved_alone:.0f} in 100; you too, "
        f"{100 * halved:.0f}. Smaller next fall: {100 * falls_alone:.0f} in 100; you too, {100 * falls:.0f}."
    )


def _long_run(
    top: float,
    ends: tuple[float, float],
    flat: tuple[float, float],
    slide: float,
    times: float,
    years: int,
    left_pct: float,
) -> str:
    return (
        f"In the long run most meat comes from {top:.0f} of 100 does a fall, taken by everybody ({ends[0]:.0f} to "
        f"{ends[1]:.0f}, assumptions); {flat[0]:.0f} to {flat[1]:.0f} give nearly as much. At {slide:.0f} of 100 the "
        f"first ten years give {times:.1f} times as much meat, and the herd slides: after {years} years "
        f"{left_pct:.0f}% of its does are left."
    )


WORDS: Mapping[str, Callable[..., str]] = {
    # the take
    "season": _season,
    "too little ground": lambda one: (
        f"No {one}: too little ground for a {one} of its own; {TOGETHER} would have one to share."
    ),
    "neighbors": _neighbors,
    "not measured": lambda of, why: f"Not measured enough to name {of}. {why or ''}",
    "herd to grow": lambda: "No doe: the wish is to let the herd grow.",
    "more refused": lambda: (
        "You wish for more deer, but the next forest is held down by deer: the take holds the herd where it is."
    ),
    "fewer asks more": _fewer_asks_more,
    "closed": _closed,
    "no growth": lambda: "No doe this season: at these births and deaths the herd would not grow even without a hunt.",
    "risk too high": lambda one, points: (
        f"No {one} this season: even a small share would add more than {points:.0f} in 100 to the chance that the herd "
        "halves in ten years."
    ),
    "no tag": lambda one: f"No {one}: there is no {one} tag.",
    # chances
    "no chance": lambda why: f"No chance is given. {why or ''}",
    "chances": _chances,
    "long run": _long_run,
}

# --- the hunt in one look


def first_screen(deer: "DeerAnswer") -> list[Fact]:
    """Rows from a season's answer, in the order a family asks; plain words, no blank rows."""
    take, risk = deer.take, deer.risk
    rows = [deer_row(deer), _take_row(deer)]
    if risk.you_too is not None:
        rows.append(topic_row("Chance", risk.words))
    pounds = meat.row(take)
    rows.append(pounds._replace(number=pounds.number + for_all(deer), why=f"{_own_part(deer)}{pounds.why}"))
    if deer.impact.plots:
        rows.append(browse_row(deer))
    rows.append(topic_row("Measure", next_words(deer)))
    return rows


def _take_row(deer: "DeerAnswer") -> Fact:
    take, pool = deer.take, deer.pool
    number, why = "Not measured enough to name any", take.does_words
    if take.measured:
        some = f"{plural(take.does, 'doe')} and {plural(take.bucks, 'buck')} at most"
        number = f"{some}{for_all(deer)}" if take.does or take.bucks else "None this season"
        why = f"{take.does_words} {take.bucks_words}"
    elif take.does_words == take.bucks_words.replace("bucks", "does"):
        why = ""  # the row above has said it
    return Fact("Take", number, " ".join(filter(None, (why, pool.words if pool else "", STATE))))


def for_all(deer: "DeerAnswer") -> str:
    """For whom the take is, where neighbors pool and there is one; "" for the family alone."""
    take = deer.take
    return group.together(deer.pool.families) if deer.pool is not None and (take.does or take.bucks) else ""


def _own_part(deer: "DeerAnswer") -> str:
    """The family's own part of the group's meat of a season, by acres; "" for the family alone."""
    if not for_all(deer) or deer.pool is None or not deer.take.meat_lb.value:
        return ""
    part = deer.take.meat_lb.value * deer.acres / deer.pool.acres
    return f"Your part of it by acres is about {two_figures(part)} pounds. "


def chances_note(deer: "DeerAnswer") -> str:
    """What the chances of each take are, and where the herd grows no more."""
    low, _, high = deer.risk.full_herd_per_sqmi or (0.0, 0.0, 0.0)
    return (
        f"Chances in 100 with {amount(deer.take.bucks, 'bucks')} and so many does every fall for ten years "
        "(assumptions: from neighbors who take none to three fawns in ten fewer). Your share: a part of the herd, so "
        "that it falls with it. Not you: neighbors hunt, you do not. "
        f"Few in winter: after ten years no more than the {deer.risk.bears_per_sqmi or 0.0:.0f} winter deer a square "
        "mile with which the next forest still comes up. Births fall as the herd nears "
        f"{low:.0f} to {high:.0f} deer a square mile, where it grows no more (assumptions)."
    )


def number_range_why(deer: "DeerAnswer") -> tuple[str, str, str]:
    """Does and bucks at most, the meat they are, and why: of the first screen of a plan."""
    take, pounds = deer.take, deer.take.meat_lb
    if not take.measured:
        # without any number of deer, which the first cell says, why no doe may be named is why there is none
        none = deer.density_per_sqmi.value is None
        why = deer_row(deer).why if none else f"{deer.words} {take.does_words}"
        return "Not measured enough", "", f"{why} {STATE}"
    some = [amount(float(n), unit) for n, unit in ((take.does, "does"), (take.bucks, "bucks")) if n]
    number = f"{' and '.join(some)} at most this season" if some else "None this season"
    number += for_all(deer)
    of_all = f" {deer.pool.words}" if deer.pool is not None else ""
    given, eaten = meat.of_a_year(take), meat.eaten(take)
    said = "no meat this season"
    if pounds.low is not None and pounds.high is not None:
        said = f"{rounded(pounds.low, 'pounds')} to {rounded(pounds.high, 'pounds')} pounds of meat{for_all(deer)}"
        said = f"{said}, assumptions"
    part = _own_part(deer).strip()
    whys = (deer.words, take.does_words, f"{take.bucks_words}{of_all}", eaten, part, given, deer.risk.words, STATE)
    return number, said, " ".join(one for one in whys if one)

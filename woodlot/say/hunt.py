"""The hunt in words: how many does and bucks at most, why, the chance that goes with it, the meat, what to measure.

first_screen       the answer -> rows of deer, take, chance, meat, browse, what to measure
chances_note       what the table of chances holds
number_range_why   the deer in one row: does and bucks at most, the meat, and why
WORDS              key of a Reason -> its sentence, from facts that are plain, Numbers, or words already
"""

from collections.abc import Callable, Mapping

from woodlot.deer.answer import DeerAnswer
from woodlot.estimate import Number
from woodlot.say import group
from woodlot.say.deer import Fact, browse_row, deer_row, topic_row
from woodlot.say.words import amount, answer, capital, plural, rounded, two_figures

__all__ = ["WORDS", "chances_note", "every", "first_screen", "number_range_why"]

_ORDINAL = {2: "second", 3: "third", 4: "fourth", 5: "fifth"}
TOGETHER = "Neighbors who count and plan together with you"
STATE = "Season, tags and zone are the state's."

# --- the take


def every(per_yr: float, one: str) -> str:
    """Words for a yearly rate: "one doe every second year", "2 bucks in 3 years"; ``one`` is "doe" or "buck".

    Notes: the fewest years, up to 5, whose whole deer come within 15 percent of the rate; below one in 5 the years.
    """
    if per_yr <= 0:
        return f"no {one}"
    for years in range(1, 6):
        n = round(per_yr * years)
        if n and abs(per_yr - n / years) <= 0.15 * per_yr:
            break
    else:
        n, years = 1, max(round(1.0 / per_yr), 1)
    deer = f"one {one}" if n == 1 else f"{n} {one}s"
    if years == 1:
        return f"{deer} a year"
    return f"{deer} every {_ORDINAL[years]} year" if n == 1 and years in _ORDINAL else f"{deer} in {years} years"


def _season(one: str, whole: int, left: float, per_yr: float, years: int, gone: float, too_small: str | None) -> str:
    """How many more at most this season, and the yearly share they come of.

    gone: taken this season already; too_small: said in place of a share that never makes a whole deer.
    """
    share = too_small or f"This ground's share is about {every(per_yr, one)}."
    if whole:
        most = f"{whole} {'more ' if gone else ''}{one if whole == 1 else one + 's'} at most this season"
        if too_small:
            return f"{most}, of fractions kept from better years. {share}"
        lapse = ", deer that were not taken are not" if per_yr >= 1 else ""
        return f"{most}. {share[:-1]}; fractions are carried {years} years{lapse}."
    if left < 0:
        return f"No {one} this season: more than the share was taken lately. {share}"
    return f"No more {one}s this season: {gone:.0f} taken. {share}" if gone else f"No {one} this season. {share}"


def _neighbors(
    used_ac: float,
    share_pct: float,
    none: tuple[float, float],
    local: tuple[float, float],
    around: tuple[float, float],
    known: bool,
) -> str:
    """Both ends in one paragraph; none, local: does and bucks a year, around: what neighbors take a square mile."""
    return (
        f"The deer that come here use about {used_ac:,.0f} acres; yours are {share_pct:.0f}% of them. If no neighbor "
        f"took any, that ground could give {none[0]:.1f} does and {none[1]:.1f} bucks a year; at {around[0]:.1f} does "
        f"and {around[1]:.1f} bucks a square mile ({'given' if known else 'assumed'}) {local[0]:.1f} and "
        f"{local[1]:.1f} are left. Neighbors and state rules decide too."
    )


def _neighbors_take_all(known: bool) -> str:
    assumed = "" if known else " Their does are assumed; ask for the unit's figure."
    return f"No doe this season. What the neighbors take is already as much as the herd can bear.{assumed}"


# --- meat, chances, what to measure


def _wish(wanted: float, meat: Number) -> str:
    """What a year's share of deer gives beside what the household wishes for."""
    if meat.value is None or meat.low is None or meat.high is None:
        return f"The land gives no venison in most years; the household wishes for {wanted:.0f} pounds."
    sure = "" if meat.high < wanted or meat.low >= wanted else "probably "
    if meat.value < wanted:
        tail = f"the household wishes for {wanted:.0f} and is {sure}short by about {wanted - meat.value:.0f}"
    else:
        tail = f"that {sure}covers the {wanted:.0f} wished for"
    given = f"{meat.value:.0f} pounds of venison a year ({meat.low:.0f} to {meat.high:.0f}, assumptions)"
    return f"Over the years the land gives about {given}; {tail}."


def _chances(halved: float, falls: float, halved_alone: float, falls_alone: float) -> str:
    return (
        f"With this take the herd is under half of today's in ten years in {100 * halved:.0f} of 100 cases "
        f"(assumptions), with no hunting by anybody in {100 * halved_alone:.0f}; it is smaller next fall in "
        f"{100 * falls:.0f}, with no hunting in {100 * falls_alone:.0f}."
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


def _worth_measuring(what: str, now: float, then: float, gain: float, level: float) -> str:
    start = f"{capital(what)} would"
    if round(now) - round(then) < 2:
        return (
            f"{start} hardly narrow the range: its high end (at {level:.0%}) stays {now:.0f}% above the middle. The "
            "rest is doubt that it can't mend."
        )
    return (
        f"{start} bring the high end of the fall herd (at {level:.0%}) from {now:.0f}% above the middle to "
        f"{then:.0f}%. The low end, which sets the does, would rise by {gain:.0f}%."
    )


WORDS: Mapping[str, Callable[..., str]] = {
    # the take
    "season": _season,
    "thin herd": lambda one, years: (
        f"The herd is too thin for a {one}: all the ground these deer use would give less than one in {years} years, "
        "hunted by nobody else. Only more deer would change that."
    ),
    "neighbors leave none": lambda one, years: (
        f"The neighbors take nearly all that the herd can bear: less than one {one} in {years} years is left. "
        f"{TOGETHER} could share what there is."
    ),
    "too little ground": lambda one, years, acres: (
        f"Too little ground for a {one} of its own: about {two_figures(acres)} acres like it would give one in "
        f"{years} years. {TOGETHER} would have one to share."
    ),
    "neighbors": _neighbors,
    "not measured": lambda of, why: f"Not measured enough to name {of}. {why or ''}",
    "herd to grow": lambda: "No doe this season: the wish is to let the herd grow.",
    "low index": lambda: "No doe this season. The three-year index is under 80% of where it began.",
    "no growth": lambda: "No doe this season: at these births and deaths the herd would not grow even without a hunt.",
    "neighbors take all": _neighbors_take_all,
    "no tag": lambda one: f"No {one} this season: there is no {one} tag.",
    "thinning asks more": lambda: (
        "Bringing the herd down needs browsing at 4 or 5 two springs running and neighbors who join in "
        "(neighbors_join = true); until then the take only holds it."
    ),
    # meat
    "no deer": lambda: "no deer, no meat",
    "weights assumed": lambda: "weights by class and trim are assumed, lowest to highest",
    "wish": _wish,
    # chances
    "no chance": lambda why: f"No chance is given. {why or ''}",
    "chances": _chances,
    "long run": _long_run,
    # what to measure
    "worth measuring": _worth_measuring,
    "more lines": lambda extra, of: "one more line of plots" if of == "line" and extra == 1 else f"{extra} more {of}s",
    "camera weeks": lambda weeks: f"{weeks:.0f} camera weeks",
    "another count": lambda cv: f"a count of another kind, good to {100 * cv:.0f}%",
}

# --- the hunt in one look


def first_screen(deer: DeerAnswer) -> list[Fact]:
    """Rows from a season's answer, in the order a family asks; plain words, no blank rows."""
    take, risk = deer.take, deer.risk
    rows = [deer_row(deer), _take_row(deer)]
    if risk.takes and risk.no_hunting is not None:
        halved = next(r for r in risk.takes if r.plan).halved_10
        number = (
            f"{100 * halved.value:.0f} in 100 that the herd halves in ten years "
            f"({100 * halved.low:.0f} to {100 * halved.high:.0f}, assumptions)"
        )
        why = (
            f"With no hunting by anybody {100 * risk.no_hunting.halved_10:.0f} in 100. "
            "Low: neighbors take none; high: three fawns in ten fewer."
        )
        rows.append(Fact("Chance", number, why))
    meat = take.meat_lb
    number = answer(meat) if meat.value else "none"
    why = take.wish_words or ("About four meals to the pound." if meat.value else "No deer, no meat.")
    rows.append(Fact("Meat", number, why))
    if deer.impact.plots:
        rows.append(browse_row(deer))
    measure = topic_row("Measure", deer.measure_next[0])
    rows.append(measure._replace(why=measure.why or "Nothing else is known."))
    return rows


def _take_row(deer: DeerAnswer) -> Fact:
    take, pool = deer.take, deer.pool
    number, why = "Not measured enough to name any", take.does_words
    if take.measured:
        number = f"{plural(take.does, 'doe')} and {plural(take.bucks, 'buck')} at most{for_all(deer)}"
        why = f"{take.does_words} {take.bucks_words}"
    if pool is not None:
        why = f"{why} {pool.words}"
    return Fact("Take", number, f"{why} {STATE}")


def for_all(deer: DeerAnswer) -> str:
    """For whom the take is, where neighbors pool; "" for the family alone."""
    return "" if deer.pool is None else group.together(deer.pool.families)


def chances_note(deer: DeerAnswer) -> str:
    """What the chances of each take are, and where the herd grows no more."""
    low, _, high = deer.risk.full_herd_per_sqmi or (0.0, 0.0, 0.0)
    return (
        f"Chances in 100 with {amount(deer.take.bucks, 'bucks')} and so many does a fall (assumptions: from neighbors "
        "who take none to fewer fawns that live). The last row is no hunting by anybody. Births fall as the herd nears "
        f"{low:.0f} to {high:.0f} deer a square mile, where it grows no more (assumptions)."
    )


def number_range_why(deer: DeerAnswer) -> tuple[str, str, str]:
    """Does and bucks at most, the meat they are, and why: of the first screen of a plan."""
    take, pounds = deer.take, deer.take.meat_lb
    if not take.measured:
        # without any number of deer, why no doe may be named is why there is none
        why = deer.words if deer.density_per_sqmi.value is None else f"{deer.words} {take.does_words}"
        return "Not measured enough", "", f"{why} {STATE}"
    some = [amount(float(n), unit) for n, unit in ((take.does, "does"), (take.bucks, "bucks")) if n]
    number = f"{' and '.join(some)} at most this season" if some else "None this season"
    number += for_all(deer)
    of_all = f" {deer.pool.words}" if deer.pool is not None else ""
    meat = "no meat this season"
    if pounds.low is not None and pounds.high is not None:
        meat = f"{rounded(pounds.low, 'pounds')} to {rounded(pounds.high, 'pounds')} pounds of meat, assumptions"
    return number, meat, f"{deer.words} {take.does_words} {take.bucks_words}{of_all} {STATE}"

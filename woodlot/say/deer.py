"""The deer in words: how many there are, what they browse, whether the next forest comes up, what there is to eat.

Fact           a row of a screen: topic, number, why
herd_screen    the answer -> rows of the herd that fit one terminal page
herd_ranges    the number of deer of the winter half and of fall, where they have a range
falls_told     the falls on record in one sentence, each with its winter
herd_details   headings, each with its sentences that no row has said: other counts, browse, seedlings, food
deer_row, browse_row, topic_row    single rows
WORDS          key of a Reason -> its sentence, from facts that are plain, Numbers, or words already
"""

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from woodlot.estimate import Number
from woodlot.say.measure_deer import next_words
from woodlot.say.next_forest import FOREST, forest_more, forest_words
from woodlot.say.words import (
    amount,
    answer,
    bare_range,
    capital,
    listed,
    plural,
    range_words,
    rounded,
    told,
    two_figures,
)
from woodlot.trade import BROWSE, SEX_AGE

if TYPE_CHECKING:
    from woodlot.deer.answer import Browsed, Counted, DeerAnswer, FallTold

__all__ = [
    "WORDS",
    "Fact",
    "browse_row",
    "deer_row",
    "falls_told",
    "herd_details",
    "herd_ranges",
    "herd_screen",
    "topic_row",
]

# --- the herd and its counts


def _few_groups(groups: float, plots: int, least: int, most: float | None) -> str:
    counted = "No groups" if groups == 0 else f"{groups:.0f} group{'s' if groups > 1 else ''}"
    limit = "" if most is None else f" At most {most:.0f} deer a square mile."
    return f"{counted} on {plots} plots; {least} groups is the least.{limit}"


#: What a source of the herd's number is called.
SOURCES = {
    "pellets": "pellets",
    "complete": "complete counts",
    "kill": "the neighbors' kill",
    "state": "the state's figure",
    "fawns": "fawns seen",
    "cameras": "bucks at cameras",
    "ages": "ages of bucks killed",
    "milk": "does with milk",
    "an hour": "deer seen an hour",
}


def _source(of: str, springs: Sequence[int], apart: bool) -> str:
    if not springs:
        return SOURCES[of]
    if apart:
        return f"pellets of {springs[0] if len(springs) == 1 else f'{springs[0]} to {springs[-1]}'}"
    return f"{plural(len(springs), 'spring')} of pellets"


def _herd_number(deer: Number) -> str:
    """A number of the herd with its range, short: "22 (12 to 38)"."""
    return f"{rounded(deer.value or 0.0, deer.unit)} ({bare_range(deer)})"


def _deer_in_fall(fall: Number, year: int, counts: Sequence[str], beside: Sequence[str]) -> str:
    more = f", with {listed(beside)}" if beside else ""
    return f"{capital(told(fall))} in fall {year} ({range_words(fall)}). It rests on {listed(counts)}{more}."


def _winter_told(scale: str, measure: str, value: float, weather: bool) -> str:
    """A winter and whose scale it is told in: "96 points, Wisconsin's, from the stake"."""
    return f"{value:g} {measure}, {scale.title()}'s{', from the stake' if weather else ''}"


def _winter_of(year: int) -> str:
    return f"{year}-{(year + 1) % 100:02d}"


def _counts_disagree(year: int, sides: Sequence[tuple[Sequence[str], Number]]) -> str:
    (counts, deer), *others = sides
    rest = "".join(f", {_herd_number(other)} by {listed(theirs)}" for theirs, other in others)
    return (
        f"Counts disagree: {amount(deer.value, deer.unit)} in fall {year} ({bare_range(deer)}) by {listed(counts)}"
        f"{rest}. That is the finding: no number is made of both, and the take rests on the side that can give fewer "
        "does."
    )


def _counts_agree(each: Sequence[tuple[str, Number]]) -> str:
    return f"Counts fit together: {'; '.join(f'{name} alone {_herd_number(deer)}' for name, deer in each)}."


def _pull(alone: Number, without: Number, used: bool) -> str:
    by = f"by it alone {_herd_number(alone)}" if alone.value is not None else alone.why
    rest = f"without it {_herd_number(without)}" if without.value is not None else without.why
    return f"{by}, {rest}{'' if used else '; set aside'}"


def _beyond_ground(sources: Sequence[str], per_sqmi: float | None) -> str:
    plain = "" if per_sqmi is None else f" By the plots alone it would be {two_figures(per_sqmi)} deer a square mile."
    return (
        f"Hardly any herd that such ground carries would show so much as {listed(sources)}.{plain} Plots may lie by a "
        "feeder, a field or a winter yard, or more of the land around is farmed than is written (farmland_pct). No "
        "number is made of it. Lay the lines anew, away from feeder, field and yard, and count next spring; the "
        "state's figure for the unit (state_per_sqmi) would give a first number."
    )


#: What each kind of count measures.
MEASURES = {
    "pellets": "the use of these acres over the winter half",
    "kill": "what neighbors took a square mile, of the shares that hunters take",
    "fawns": "fawns for each doe, never how many deer",
    "cameras": "bucks for each doe, never how many deer",
    "ages": "how hard bucks are hunted, never how many deer",
    "milk": "does that raised a fawn, never how many deer",
    "walk past": "deer that walk past them, from a ground nobody measured",
    "no cameras": "deer that walk there",
    "sighting": "a trend only, never a number of deer",
    "tracks": "a trend only, never a number of deer",
    "complete": "every deer on its ground that day",
    "condition": "how they grew, never how many deer",
    "state": "a mean over the whole unit",
}
#: Why a count of all deer teaches nothing.
COMPLETE_NOT = {
    "complete": "nobody wrote yes in the column complete",
    "acres": "its acres or its day are not written",
    "ground": "its ground is not that of the pellet lines",
    "winter": "no pellet count with a range is of that winter",
    "none": "no deer was found",
}


def _complete(counted: float, pellets: float, rate: float, before: float, cv: float, cv_before: float) -> str:
    return (
        f"{two_figures(counted)} a square mile where the pellets said {two_figures(pellets)}: a deer drops {rate:.1f} "
        f"groups a day here, not {before:.1f}, to {100 * cv:.0f}% (before {100 * cv_before:.0f}%)"
    )


def _trend(change: Number) -> str:
    if change.value is None or change.low is None or change.high is None:
        return change.why
    way = "rise" if change.value > 0 else "fall"
    sure = "" if change.low > 0 or change.high < 0 else "probably "
    ends = f"{change.low:.0f} to {change.high:.0f}%, {100 * (change.level or 0.0):.0f}%"
    return f"They {sure}{way} by {abs(change.value):.0f}% a year ({ends})."


# --- browse


def _browsed(preference: str, word: str, share: Number, sure: bool) -> str:
    ranked = preference in BROWSE
    what = BROWSE[preference].one if ranked else "kinds that have no rank"
    browsed = f"{share.value:.0f}% of stems of {what} are browsed"
    if not word:
        return f"{browsed}, which says nothing of how hard deer press." if ranked else f"{browsed}."
    if share.low is None:
        return f"{browsed}: perhaps {word}; {share.why}."
    return f"{browsed} ({range_words(share)}): {'' if sure else 'probably '}{word}."


WORDS: Mapping[str, Callable[..., str]] = {
    # the herd
    "no pellet plots": lambda: "no pellet plots were counted",
    "few groups": _few_groups,
    "no count yet": lambda: "No pellet plots have been counted. Forty on lines, once in spring, would tell.",
    "no days": lambda: (
        "The pellet plots do not say for how long they gathered: write leaf_off in place.toml, or the days."
    ),
    "old count": lambda year: (
        f"The last count of how many there are is of {year}: since then the number is run on by winters, kills and "
        "what such herds do."
    ),
    "winter yard": lambda: (
        "Deep snow lay for weeks and conifers are near: the count is of deer gathered from miles around, as in a "
        "winter yard. It gives no herd figure for these acres. Set cameras in fall, or clear plots in May and count "
        "them in October."
    ),
    "no herd figure": lambda why: f"We can't say how many. {why}",
    "deer in fall": _deer_in_fall,
    "source": _source,
    "pull": _pull,
    "ratio alone": lambda: "alone it sets no number",
    "nothing else counted": lambda: "without it there is no number",
    "beyond ground": _beyond_ground,
    "after a hard winter": lambda deer, winter, lost: (
        f"{deer} The winter of {_winter_of(winter)} took about {100 * lost:.0f} in 100 of the herd."
    ),
    "winter told": _winter_told,
    "dense ground": lambda most, farmed: (
        f"Herds of such woods seldom pass {most:.0f} deer a square mile. The counts crowd that, so herds of up to "
        f"{farmed:.0f} were tried too; the state's figure, or farmland_pct where land around is farmed, would make it "
        "surer."
    ),
    "ratio set aside": lambda source: (
        f"What {source} tell does not fit the other counts; it is set aside until another fall of it."
    ),
    "no winter yet": lambda: "the record begins this fall",
    "counts apart": lambda: "counts disagree; no number is made of them together",
    "ratios alone": lambda: (
        "Fawns, bucks and hours tell ratios and trends, never how many deer: forty pellet plots on lines in spring, or "
        "what neighbors take a square mile, would."
    ),
    "yard spring": lambda spring: (
        f"Deep snow lay for weeks near conifers: the pellets of {spring} are of deer gathered from miles around, as in "
        "a winter yard, and are left out. Fall cameras, or plots cleared in May and counted in October, would tell."
    ),
    "feeder springs": lambda: (
        "Deer are fed near your plots: pellets since then are of deer that gathered there, and are left out. Fall "
        "cameras, or plots cleared in May and counted in October, would tell."
    ),
    "at bait": lambda deer: (
        f"Deer seen at bait or a feeder ({deer:,.0f}) stand in no ratio and no trend: who comes there, and how "
        "often, is not who lives here."
    ),
    "weights": lambda of: (
        f"dressed, on the mean, {listed(f'{SEX_AGE[k].many} {x:.0f} lb ({n:.0f}, {w})' for k, n, x, w in of)}; it "
        "takes dozens to see crowding in weights"
    ),
    "beams": lambda deer, mean: f"of {plural(deer, 'buck')} {mean:.2f} in thick on the mean; hunters pick large ones",
    "cameras a square mile": lambda deer: (
        f"on the ground you named {answer(deer)}; it sets no number, for nobody knows from how far they come"
    ),
    "use of these acres": lambda: "the use these acres get, as if by so many deer that never left them",
    "home range assumed": lambda sex: f"home range of a {sex} assumed, smallest to largest",
    "counted before": lambda name: f"{name} in place.toml gives way to the deer seen that fall.",
    "many deer": lambda: "So many deer are rare in deep forest: check the daily pellet rate first.",
    "perhaps a yard": lambda: (
        "Conifers are near. If snow over 15 inches lay for weeks, deer gathered here from miles around and the count "
        "is of a yard, not of this ground: write the weeks of deep snow down."
    ),
    "plots of no parcel": lambda: (
        "Some pellet plots name no parcel of yours: every plot counts alike, whatever ground it stands for."
    ),
    "acres not surveyed": lambda acres, of: (
        f"No pellet plot lies on {acres:.0f} of your {of:.0f} acres; the rest speaks for them."
    ),
    # other counts
    "measures": lambda of: MEASURES[of],
    "complete count": _complete,
    "complete far off": lambda counted, pellets: (
        f"{two_figures(counted)} a square mile where the pellets say {two_figures(pellets)}: further apart than both "
        "errors allow, so neither is believed more, and a deer's groups a day stay as they were"
    ),
    "complete not": lambda of: f"it teaches nothing of the pellets: {COMPLETE_NOT[of]}",
    "no cameras": lambda: "no camera rows; a fortnight of cameras with bucks told apart would give a first look",
    "no buck told apart": lambda: "the cameras told no branch-antlered buck apart; without that photos are no measure",
    "does shown less": lambda bucks: (
        "does and fawns show less than bucks: correction 1.0 to 1.9 assumed"
        + (f"; {bucks[0]:g} to {bucks[1]:g} bucks, as one may pass several cameras" if bucks[0] < bucks[1] else "")
    ),
    "few seasons": lambda n: f"{n} seasons; three show a first trend",
    "trend only": lambda: "a trend only; it is no number of deer",
    "seen an hour": lambda of: f"deer seen an hour, {of}",
    "trend": _trend,
    "state's figure": lambda: "the state's figure for the unit",
    "mean of a unit": lambda: "a mean over the whole unit, hundreds of square miles",
    "no ranged count": lambda: "Nothing was counted that sets a number.",
    "one count only": lambda: "One count only sets the number.",
    "counts disagree": _counts_disagree,
    "counts agree": _counts_agree,
    # browse
    "few plots with it": lambda n, plots, pct: f"seen on {n} of {plots} plots, about {pct:.0f}%; no range",
    "browsed": _browsed,
    "no browse plots": lambda: "No browse plots yet.",
    "browse not measured": lambda: "Browse is not measured enough to say how hard the deer press.",
    "few browse plots": lambda plots, least: f"{plots} plot{'s' if plots > 1 else ''}; {least} are the least.",
    "little that deer like": lambda: (
        "Not enough of what deer like was found to say how hard they press; that itself may be a sign that they do."
    ),
    "best kinds missing": lambda without, plots: f"What they like best is missing on {without} of {plots} plots.",
    "browsing": lambda name, meaning: f"Browsing is {name}: {meaning}.",
}

# --- the herd in one look


class Fact(NamedTuple):
    """A row of a screen: what it is about, the number, and why."""

    topic: str
    number: str
    why: str = ""


def herd_screen(deer: "DeerAnswer") -> list[Fact]:
    """The herd in rows: how many, on your ground, will the forest come up, food, what to measure."""
    food = deer.food
    rows = [topic_row("Deer", deer.words)]
    use = deer.equivalents
    if use.value is not None:
        number = f"{answer(use)} on {deer.acres:,.0f} acres in fall {deer.season}"
        rows.append(Fact("Yours", number, f"They use about {deer.effective_ac:,.0f} acres. {_walk_there(deer)}"))
    if deer.forest:
        rows.append(topic_row("Forest", forest_words(deer.forest)))
    rows.append(browse_row(deer))
    if food is None:
        rows.append(topic_row("Food", "Not known. No stand has a cover written, and there is no land cover raster."))
    else:
        fed = food.per_sqmi
        mild, average, severe = (two_figures(e.value or 0.0) for e in (fed.mild, fed.average, fed.severe))
        number = f"for {average} deer a square mile in an average winter ({range_words(fed.average)})"
        why = f"{mild} in a mild one, {severe} in a severe one. Good to a factor of 3; it sets no take."
        rows.append(Fact("Food", number, why))
        if food.cuts:
            rows.append(Fact("Cuts", food.cuts.words))
    rows.append(topic_row("Measure", next_words(deer)))
    return rows


def herd_ranges(deer: "DeerAnswer") -> list[str]:
    """The numbers of the herd with their ranges; without one the first row has said all that can be said."""
    numbers = (("Winter half", deer.density_per_sqmi), (f"Fall {deer.season}", deer.fall_per_sqmi))
    ratios = (("Does for each buck", deer.does_per_buck), ("Fawns for each doe", deer.fawns_per_doe))
    out = [f"{name}: {answer(each)}." for name, each in numbers if each.low is not None]
    out += [
        f"{name}: {rounded(each.value, '')} ({range_words(each)})."
        for name, each in ratios
        if each is not None and each.value is not None
    ]
    grows = deer.growth
    if grows is not None and grows.value is not None and grows.low is not None and grows.high is not None:
        value, low, high = (f"{round(100 * (x - 1))}" for x in (grows.value, grows.low, grows.high))
        level = f"{100 * (grows.level or 0.0):.0f}%"
        out.append(f"Growth of does without a doe taken: {value}% a year ({low} to {high}, {level}).")
    return out


def falls_told(deer: "DeerAnswer") -> str:
    """The falls before this one, each with its herd, its winter and what that took; "" where there is none."""
    falls = [each for each in deer.falls or () if each.year < deer.season]
    return f"Falls on record, deer a square mile: {'; '.join(map(_fall, falls))}." if falls else ""


def _fall(each: "FallTold[Number, str]") -> str:
    herd = _herd_number(each.per_sqmi) if each.per_sqmi.value is not None else "no number"
    lost = f"{each.winter}, {each.lost_pct:.0f}% lost" if each.lost_pct is not None else "not told"
    return f"{each.year} {herd}, winter {_winter_of(each.year)} {lost}"


def herd_details(deer: "DeerAnswer") -> list[tuple[str, list[str]]]:
    """Kinds of counts, browse by class with seedlings by rule, and all that is known of the food."""
    together = deer.evidence.together.words
    counts = [*map(_count, deer.evidence.rows), *([together] if together not in deer.words else [])]
    young = [*map(_stems, deer.browse), *(rule.words for rule in deer.seedlings)]
    more = forest_more(deer.forest) if deer.forest else []
    headed = (
        ("What to mind of the number", list(deer.doubts or ())),
        ("What other counts say", counts),
        ("What they have browsed", young),
        (FOREST, more),
    )
    out = [(heading, told) for heading, told in headed if told]
    if deer.food is not None:
        out.append(("What there is to eat", [*deer.food.words, deer.food.past_words]))
    return out


def _count(count: "Counted[Number, str]") -> str:
    number = f"{answer(count.estimate)}; " if count.estimate.kind == "assumptions" else ""
    return f"{capital(count.what)}: {number}{count.measures}; {count.words}"


def _stems(row: "Browsed[Number, str]") -> str:
    stems, plots = ("1 " + one if n == 1 else f"{n} {one}s" for n, one in ((row.stems, "stem"), (row.plots, "plot")))
    return f"{row.words} {stems} on {plots}."


def topic_row(topic: str, words: str) -> Fact:
    """A row whose number is the first of some sentences, and whose why is the rest."""
    first, _, rest = words.partition(". ")
    return Fact(topic, first.rstrip(".") + ".", rest)


def deer_row(deer: "DeerAnswer") -> Fact:
    """How many deer there are, what the land carries of them, and how many walk there."""
    row, use = topic_row("Deer", deer.words), deer.equivalents
    if use.value is None:
        return row
    own = f"{rounded(use.value, use.unit)} of them ({bare_range(use)}) on your {deer.acres:,.0f} acres."
    return row._replace(why=" ".join(filter(None, (row.why, own, _walk_there(deer)))))


def _walk_there(deer: "DeerAnswer") -> str:
    walk = rounded(deer.walk_there.value or 0.0, "deer")
    return f"About {walk} walk there at some time; {deer.share_pct:.0f}% of their ground is yours."


def browse_row(deer: "DeerAnswer") -> Fact:
    """How hard deer press, and by what that is known."""
    return Fact("Browse", deer.impact.words, deer.impact.why)

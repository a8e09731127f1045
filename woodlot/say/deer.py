"""The deer in words: how many there are, what they browse, whether the next forest comes up, what there is to eat.

Fact           a row of a screen: topic, number, why
herd_screen    the answer -> rows of the herd that fit one terminal page
herd_ranges    the number of deer of the winter half and of fall, where they have a range
herd_details   headings, each with its sentences: other counts, browse, seedlings, food
deer_row, browse_row, topic_row    single rows
WORDS          key of a Reason -> its sentence, from facts that are plain, Numbers, or words already
"""

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from woodlot.deer.answer import Browsed, Counted, DeerAnswer
from woodlot.estimate import Number
from woodlot.say.next_forest import forest_all, forest_words
from woodlot.say.words import answer, capital, range_words, rounded, two_figures
from woodlot.trade import BROWSE

__all__ = ["WORDS", "Fact", "browse_row", "deer_row", "herd_details", "herd_ranges", "herd_screen", "topic_row"]

# --- the herd and its counts


def _few_groups(groups: float, plots: int, least: int, most: float) -> str:
    counted = "No groups" if groups == 0 else f"{groups:.0f} group{'s' if groups > 1 else ''}"
    return f"{counted} on {plots} plots; {least} groups is the least. At most {most:.0f} deer a square mile."


def _deer_over_winter(deer: Number, springs: int) -> str:
    used = f"About {deer.value:.0f} deer a square mile used this ground over the winter half ({range_words(deer)})"
    return f"{used}, the mean of {springs} springs." if springs > 1 else f"{used}, from one spring."


def _few_springs(springs: int) -> str:
    counted = f"{springs} springs" if springs > 1 else "one spring"
    return f"The take rests on {counted} of counting; three show whether the herd is falling."


#: What each kind of count measures.
MEASURES = {
    "pellets": "the use of these acres over the winter half",
    "cameras": "deer that walk past them, from a ground nobody measured",
    "no cameras": "deer that walk there",
    "sighting": "a trend only, never a number of deer",
    "tracks": "a trend only, never a number of deer",
    "complete": "every deer on its ground that day",
    "state": "a mean over the whole unit",
}
#: Counts that are held beside the pellets, as they are called there.
BESIDE = {"cameras": "cameras, brought to a square mile", "state": "the state's figure for the unit"}


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


def _each(others: Sequence[tuple[str, Number]]) -> str:
    return "; ".join(f"{BESIDE[name]} {e.value:.0f} ({range_words(e)})" for name, e in others)


def _counts_disagree(spread: float, fall: Number, others: Sequence[tuple[str, Number]]) -> str:
    return (
        f"Counts disagree {spread:.1f} times: pellets run to fall {fall.value:.0f} ({range_words(fall)}), "
        f"{_each(others)}. That is the finding; they are not averaged, and the take stays on the pellets' low end."
    )


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


# --- food


def _range_feeds(mild: Number, average: Number, severe: Number, deer: Number) -> str:
    unit = "deer a square mile"
    few, most, least = (two_figures(e.value or 0.0) for e in (average, mild, severe))
    use = f" {rounded(deer.value, unit)} use it now." if deer.value else ""
    return (
        f"In an average winter the ground they use feeds about {few} {unit} on their reserves "
        f"({range_words(average)}), in a mild one {most}, in a severe one {least}.{use} Good to a factor of 3, mostly "
        "from memory: it ranks ground and sets no take."
    )


def _raster_shows(pct: float) -> str:
    if pct >= 99.5:
        return "The ground around your stands is told by the land cover raster, all of it."
    return (
        f"The land cover raster shows {pct:.0f}% of the ground around your stands; what it does not show is taken to "
        "be as what it does."
    )


def _evergreens(pct: float, cover: float) -> str:
    share = f"{pct:.0f}%" if pct >= 0.5 else "next to none"
    full = "counts in full" if cover >= 1 else "is short"
    return (
        f"Evergreens stand on {share} of it: winter cover {full} (full from a tenth, where they are over 30 feet and "
        "closed; nobody measured that here)."
    )


def _cut_lately(acres: float, young: Sequence[str]) -> str:
    words = []
    if acres >= 0.05:
        words.append(f"By the ledger about {acres:.1f} acres were opened (its cords over what such cuts take an acre).")
    if young:
        stands = ", ".join(f"stand {s}" for s in young)
        words.append(f"{capital(stands)}: young enough to feed deer as a clearing does.")
    return " ".join(words)


def _cuts_add(year: int, acres: float, covers: Sequence[str], mild: Number, average: Number, severe: Number) -> str:
    """What the cuts add in the winter with most of it; covers: those without a figure."""
    cut = f"The {two_figures(acres)} acres to be cut in the coming years"
    bare = f" For {' and '.join(covers)} no figure after a cut was found; nothing is added there." if covers else ""
    middle, low, high = (x or 0.0 for x in (average.value, average.low, average.high))
    if middle < 0.01:
        return f"{cut} add no winter food for deer worth a number.{bare}"
    few = f"{two_figures(middle)} of a deer" if middle < 1 else f"{two_figures(middle)} deer"
    most, least = (two_figures(e.value or 0.0) for e in (mild, severe))
    return (
        f"{cut} add winter food for {few} ({two_figures(low)} to {two_figures(high)}, assumptions) in an average "
        f"winter, {most} in a mild one, {least} in a severe one; most in {year}-{(year + 1) % 100:02d}.{bare}"
    )


WORDS: Mapping[str, Callable[..., str]] = {
    # the herd
    "no pellet plots": lambda: "no pellet plots were counted",
    "few groups": _few_groups,
    "no count yet": lambda: (
        "No pellet plots have been counted. Forty plots on lines, once in spring, would give a first figure."
    ),
    "no days": lambda: (
        "The pellet plots do not say for how long they gathered: write leaf_off in place.toml, or the days."
    ),
    "old count": lambda year: f"The last count is of {year}: too old to set a take on.",
    "winter yard": lambda: (
        "Deep snow lay for weeks and conifers are near: the count is of deer gathered from miles around, as in a "
        "winter yard. It gives no herd figure for these acres."
    ),
    "no herd figure": lambda why: f"We can't say how many. {why}",
    "deer over winter": _deer_over_winter,
    "use of these acres": lambda: "the use these acres get, as if by so many deer that never left them",
    "home range assumed": lambda sex: f"home range of a {sex} assumed, smallest to largest",
    "few springs": _few_springs,
    "many deer": lambda: "So many deer are rare in deep forest: check the daily pellet rate first.",
    "perhaps a yard": lambda: (
        "Conifers are near. If snow over 15 inches lay for weeks, deer gathered here from miles around and the count "
        "is of a yard, not of this ground: write the weeks of deep snow down."
    ),
    "other scale": lambda: "Winters in another scale than Wisconsin's points are left out: two scales do not mix.",
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
    "does shown less": lambda: (
        "does and fawns show less than bucks: correction 1.0 to 1.9 assumed; speaks of deer that walk there"
    ),
    "few seasons": lambda n: f"{n} seasons; three show a first trend",
    "trend only": lambda: "a trend only; it is no number of deer",
    "seen an hour": lambda of: f"deer seen an hour, {of}",
    "trend": _trend,
    "state's figure": lambda: BESIDE["state"],
    "mean of a unit": lambda: "a mean over the whole unit, hundreds of square miles",
    "no ranged count": lambda: "There is no count with a range of its own to hold others against.",
    "one count only": lambda: "One count only: winter count run forward to fall.",
    "counts disagree": _counts_disagree,
    "counts agree": lambda others: (
        f"Other counts lie within reach of the pellets: {_each(others)}. They carry no odds and are not weighed in."
    ),
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
    # food
    "food from memory": lambda: (
        "browse figures are from memory, good to a factor of 3: they rank covers and may not set a take"
    ),
    "cover without a row": lambda: "no table speaks of this cover",
    "by cover and years": lambda: "from a table by cover and years since cutting",
    "range feeds": _range_feeds,
    "no cover raster": lambda: (
        "There is no land cover raster: the ground around is taken to feed, acre for acre, as your own stands would "
        "uncut."
    ),
    "raster shows": _raster_shows,
    "raster not used": lambda why: f"The land cover raster is not used: {why}.",
    "share of food": lambda acres, food: (
        f"Your stands are {acres:.0f}% of that ground and hold {food:.0f}% of its winter food."
    ),
    "evergreens": _evergreens,
    "covers without figure": lambda covers: (
        f"No figure for {', '.join(covers)}: such stands are counted as feeding none."
    ),
    "cover not known": lambda: "Stands whose cover is not known are counted as the ground around them.",
    "nothing cut lately": lambda: (
        "No cut of the last years is in the ledger, and no stand is young enough to count as one."
    ),
    "cut lately": _cut_lately,
    "no cut planned": lambda: "No cut is planned, so none adds food.",
    "cuts add": _cuts_add,
}

# --- the herd in one look


class Fact(NamedTuple):
    """A row of a screen: what it is about, the number, and why."""

    topic: str
    number: str
    why: str = ""


def herd_screen(deer: DeerAnswer) -> list[Fact]:
    """The herd in rows: how many, on your ground, will the forest come up, food, what to measure."""
    food = deer.food
    rows = [topic_row("Deer", deer.words)]
    if deer.equivalents.value is not None:
        own = deer_row(deer)
        rows.append(Fact("Yours", own.number, f"They use about {deer.effective_ac:,.0f} acres. {own.why}"))
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
    if deer.measure_next[0] not in deer.words:  # said already where there is no number
        rows.append(topic_row("Measure", deer.measure_next[0]))
    return rows


def herd_ranges(deer: DeerAnswer) -> list[str]:
    """Deer a square mile with their ranges; without one the first row has said all that can be said."""
    numbers = (("Winter half", deer.density_per_sqmi), (f"Fall {deer.season}", deer.fall_per_sqmi))
    return [f"{name}: {answer(each)}." for name, each in numbers if each.low is not None]


def herd_details(deer: DeerAnswer) -> list[tuple[str, list[str]]]:
    """Kinds of counts, browse by class with seedlings by rule, and all that is known of the food."""
    counts = [*map(_count, deer.evidence.rows[1:]), deer.evidence.together.words]
    young = [*map(_stems, deer.browse), *(rule.words for rule in deer.seedlings)]
    out = [("What other counts say", counts), ("What they have browsed" if deer.browse else deer.impact.words, young)]
    if deer.forest:
        out.append(("Will the forest come back?", forest_all(deer.forest)))
    if deer.food is not None:
        out.append(("What there is to eat", [*deer.food.words, deer.food.past_words]))
    return out


def _count(count: Counted[Number, str]) -> str:
    number = f"{answer(count.estimate)}; " if count.estimate.kind == "assumptions" else ""
    return f"{capital(count.what)}: {number}{count.measures}; {count.words}"


def _stems(row: Browsed[Number, str]) -> str:
    stems, plots = ("1 " + one if n == 1 else f"{n} {one}s" for n, one in ((row.stems, "stem"), (row.plots, "plot")))
    return f"{row.words} {stems} on {plots}."


def topic_row(topic: str, words: str) -> Fact:
    """A row whose number is the first of some sentences, and whose why is the rest."""
    first, _, rest = words.partition(". ")
    return Fact(topic, first.rstrip(".") + ".", rest)


def deer_row(deer: DeerAnswer) -> Fact:
    """Deer the land carries the use of, and how many walk there."""
    use = deer.equivalents
    if use.value is None:
        return Fact("Deer", "No number yet", deer.words)
    walk = rounded(deer.walk_there.value or 0.0, "deer")
    number = f"{answer(use)} on {deer.acres:,.0f} acres in fall {deer.season}"
    return Fact(
        "Deer", number, f"About {walk} walk there at some time; {deer.share_pct:.0f}% of their ground is yours."
    )


def browse_row(deer: DeerAnswer) -> Fact:
    """How hard deer press, and by what that is known."""
    return Fact("Browse", deer.impact.words, deer.impact.why)

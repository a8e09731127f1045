"""What deer eat and what the cuts add, in words.

WORDS   key of a Reason -> its sentence
"""

from collections.abc import Callable, Mapping, Sequence

from woodlot.estimate import Number
from woodlot.say.words import capital, range_words, rounded, two_figures

__all__ = ["WORDS"]


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

"""The next forest in words: one verdict, the share of plots behind it, why, and what to do.

FOREST         the question
WORDS          key of a Reason -> its sentence
forest_words   the verdict, share, why and the first step
forest_more    what is known beside that, and the other steps
forest_all     everything that is known of it, and all steps

Shade is never told as deer: what stands in the way is named only where it was shown.
"""

from collections.abc import Callable, Mapping, Sequence

from woodlot.deer.forest_answer import (
    CANT_SAY,
    COMING_UP,
    FILLERS,
    HELD,
    NOT_SHOWN,
    TOO_DARK,
    NextForest,
)
from woodlot.estimate import Number
from woodlot.say.words import capital, plural, range_words

__all__ = ["FOREST", "WORDS", "forest_all", "forest_more", "forest_words"]

#: The question that all of it answers.
FOREST = "Will the forest come back?"

#: Reasons that a row of a screen has room for.
ROOM = 2


def _kinds(kinds: Sequence[str], word: str) -> str:
    """Up to three kinds by name."""
    some = kinds if len(kinds) < 4 else [*kinds[:2], "others"]
    return f" {word} ".join([", ".join(some[:-1]), some[-1]]) if len(some) > 1 else some[0]


def _of_plots(share: Number, stocked: int, plots: int) -> str:
    range_ = "" if share.low is None else f" ({share.value:.0f}%, {range_words(share)})"
    return f"{stocked} of {plots} plots{range_}"


def _verdict(found: str, more: int, fillers: Sequence[str]) -> str:
    return {
        COMING_UP: "The next forest is coming up.",
        HELD: "The next forest is held down by deer.",
        TOO_DARK: "The next forest is not coming up: too dark to blame deer.",
        FILLERS: f"The next forest is not coming up: {_kinds(fillers, 'and') if fillers else 'other growth'} "
        f"fill{'s' * (len(fillers) < 2)} it; fewer deer alone will not mend that.",
        NOT_SHOWN: "The next forest is not coming up; the cause is not shown.",
        CANT_SAY: f"We can't say yet whether the next forest comes up: {_more(more)}.",
    }[found]


def _more(more: int) -> str:
    return f"{plural(more, 'more plot')} would tell" if more else "the share lies too near the need for plots to tell"


GUESSED = "How hard deer press is not known: moderate deer assumed."


def _next_forest(
    found: str,
    more: int,
    share: Number,
    stocked: int,
    plots: int,
    needed: float,
    fillers: Sequence[str],
    over: int,
    guessed: bool,
) -> str:
    words = [_verdict(found, more, fillers)]
    if share.value is None:
        words.append("No open plot was counted." if not plots else "")
    elif share.low is None:
        words.append(f"{plural(plots, 'plot')} so far, {stocked} of them with enough.")
    else:
        words.append(f"{_of_plots(share, stocked, plots)} have enough; {needed:.0f}% of plots are needed.")
        words += [GUESSED] if guessed else []
    if found == COMING_UP and over:
        words.append(f"{capital(_kinds(fillers, 'or'))} stands over it on {over} of {plots} plots.")
    return " ".join(word for word in words if word)


def _stocked(
    share: Number,
    stocked: int,
    plots: int,
    rule: str,
    needed: float,
    deer: str,
    wanted: float,
    more: int,
    more_kinds: Sequence[str],
    guessed: bool,
    strange: Sequence[str] = (),
) -> str:
    words = [
        f"{_of_plots(share, stocked, plots)} have enough of the kinds "
        f"that make a forest ({rule}, {needed:.0f} a plot at {deer} deer); {wanted:.0f}% of plots are needed."
    ]
    if more_kinds:
        words.append(f"With {_kinds(more_kinds, 'and')}, if wanted, {more} of {plots}.")
    if guessed:
        words.append(GUESSED)
    if strange:
        words.append(f"Not counted, since no table speaks of them: {_kinds(strange, 'and')}.")
    return " ".join(words)


LIGHT_FROM = {
    "measured": "measured",
    "stand": "by basal area of the stand where not measured",
    "place": "by basal area of the stand or of all your woods where not measured",
}


def _light(lit: int, known: int, plots: int, enough: float, mean: float, from_: str) -> str:
    if not known:
        return (
            "How much light reaches the plots is not known: write open_sky_pct, or the basal area of the stand they "
            "lie in by a cruise."
        )
    some = "" if known == plots else f" ({known} with a figure)"
    return (
        f"{lit} of {plots} plots{some} have light enough for young trees ({enough:.0f}% of full light; mean "
        f"{mean:.0f}%, {LIGHT_FROM[from_]})."
    )


def _fence(ratio: Number, pairs: int, wanted: int, years: int, young: bool) -> str:
    more = [f"{wanted} pairs"] * (pairs < wanted) + [f"{years} years"] * young
    tail = f" {' and '.join(more)} are wanted." if more else ""
    if ratio.low is None:
        return (
            f"Inside {plural(pairs, 'fence')} stand {ratio.value:.1f} times the young trees of outside, no range.{tail}"
        )
    return (
        f"Inside the fences stand {ratio.value:.1f} times the young trees over a foot of outside "
        f"({ratio.low:.1f} to {ratio.high:.1f}, {100 * (ratio.level or 0):.0f}%, {plural(pairs, 'pair')}).{tail}"
    )


def _missing(kinds: Sequence[tuple[str, int]]) -> str:
    each = "; ".join(f"{kind} (seed trees near {n} plots)" for kind, n in kinds[:3])
    return f"Kinds deer like stand overhead and have no young from a foot to 5 feet: {each}."


def _first(kinds: Sequence[str]) -> str:
    return f", {_kinds(kinds, 'or')} first" if kinds else ""


#: What a step is, from what its row holds beside the cost.
STEPS: Mapping[str, Callable[..., str]] = {
    "plots": lambda more, counted: (
        f"Count seedlings on {plural(more, 'more plot' if counted else 'plot')}, on the lines of the pellet plots."
        if more
        else "Count the same plots again in three years."
    ),
    "pairs": lambda pairs, years: (
        f"Fence {plural(pairs, 'plot')}, each beside an open one alike, and count both for {years} years: that shows "
        "whether it is deer."
    ),
    "sky": lambda: "Judge the open sky over each plot and write open_sky_pct: that shows whether it is shade.",
    "tops": lambda: "Where you cut, leave the tops high and whole over sprouts and seedlings.",
    "cages": lambda kinds: (
        f"Cage or tube fifty young trees an acre{_first(kinds)}, until they are out of reach."
    ),
    "fence": lambda: "Fence the ground that is to come back, eight feet high, until the trees are out of reach.",
    "wall": lambda: "Or have a wall of tops piled round a cut, ten feet high, while the machine is there.",
    "neighbors": lambda: (
        "Fewer deer takes more ground than yours: agree with the neighbors on one count and one share of does."
    ),
    "permit": lambda told: f"{told} The season and tags are the state's.",
    "no_light": lambda: (
        "Let no more light in before that: a cut that deer eat bare goes to what they leave."
    ),
    "light_cut": lambda leaves, light, dark_from: (
        f"Light comes of a cut: over {dark_from:.0f} square feet of basal area an acre it is too dark, at {leaves:.0f} "
        f"some {light:.0f}% reaches the ground. Cut the poorest for firewood down to that in the stands concerned."
    ),
    "look_again": lambda: "Count the same plots again three years after the cut: only then can deer be judged.",
    "cut_fillers": lambda: (
        "Cut what fills the ground, and its sprouts once more two years on, before the old trees go."
    ),
    "keep_off": lambda: "Leave fences and fewer deer for later: here they would shield what fills the ground.",
}  # fmt: skip


def _cost(hours: tuple[float, float], dollars: tuple[float, float], per: str) -> str:
    if not per:
        return ""
    article = "an" if per[0] in "aeiou" else "a"
    parts = []
    if hours[1]:
        low, high = (60 * h for h in hours) if hours[1] < 1 else hours
        unit = "minutes" if hours[1] < 1 else "hours"
        parts.append(f"{low:,.0f} to {high:,.0f} {unit} of work")
    parts.append(f"{dollars[0]:,.0f} to {dollars[1]:,.0f} dollars" if dollars[1] else "no money")
    return f"{capital(' and '.join(parts))} {article} {per}."


def _step(step: str, cost: str, **facts: object) -> str:
    return " ".join(part for part in (STEPS[step](**facts), cost) if part)


WORDS: Mapping[str, Callable[..., str]] = {
    "few plots to stock": lambda n, least: f"{n} plots; {least} would give a first range",
    "stocked": _stocked,
    "next forest": _next_forest,
    "no seedlings": lambda more: (
        f"We can't say yet whether the next forest comes up: no seedlings were counted; {plural(more, 'plot')} would "
        "tell."
    ),
    "light on plots": _light,
    "fence pairs": _fence,
    "no fence pairs": lambda: "no fenced plot has an open one of its pair beside it",
    "few fence pairs": lambda n: f"{plural(n, 'pair')}; three would give a first range",
    "kinds missing": _missing,
    "fillers over it": lambda kinds, over, plots: (
        f"{capital(_kinds(kinds, 'or'))} outnumbers them over 3 feet on {over} of {plots} plots."
    ),
    "browse code": lambda code: f"Deer press {'very hard' if code > 4 else 'hard'} on what they like.",
    "forest step": _step,
    "cost of a step": _cost,
    "permit of a state": lambda words: f"{words}.",
    "permit of some states": lambda states: (
        "Some states give tags for deer without antlers to woods that do not grow back "
        f"({', '.join(state.title() for state in states)}): ask yours."
    ),
}


def forest_words(forest: NextForest[Number, str]) -> str:
    """The verdict, its share, why, and the first step."""
    first = [forest.steps[0].words] if forest.steps else []
    return " ".join([forest.words, *forest.why[:ROOM], *first])


def forest_all(forest: NextForest[Number, str]) -> list[str]:
    """The verdict, everything that speaks for or against it, and every step."""
    return [forest.words, *forest.why, *(step.words for step in forest.steps)]


def forest_more(forest: NextForest[Number, str]) -> list[str]:
    """What else speaks for or against the verdict, and the other steps."""
    return [*forest.why[ROOM:], *(step.words for step in forest.steps[1:])]

"""How one number came about, in words: a function a topic.

number        number, unit, range and reason
plots         plots behind the number of one stand; plots_of_all: of the place
helped        a range with the help of other stands and without
range_parts   where a range comes from
trees         tally rows, heights, rot, and the other method beside it
wood          what a cord or a board foot is here
ceilings      what may be cut of all stands
heat          what the house needs, and why heat tables differ
deer, take    signs counted; does and bucks
equation      by which equation a species is worked
cover         what a cover decides
builds        what one of each build is, and what its pieces do not say
"""

from collections.abc import Mapping, Sequence
from typing import Any

from woodlot import covers
from woodlot.deer.answer import Deer
from woodlot.estimate import Number
from woodlot.region import Region
from woodlot.say import house, words
from woodlot.say.column import is_missing
from woodlot.say.deer import falls_told
from woodlot.say.wants import SIZES
from woodlot.say.wood import OF_EIGHTH
from woodlot.say.words import capital, noun, plural, range_words
from woodlot.trade import EIGHTH, EVEN_AGED, GROWTHS, NO_COVER, NOT_READ

__all__ = [
    "BASAL",
    "NO_BUILD",
    "NO_PLOTS",
    "NO_STANDS",
    "NO_SUGARBUSH",
    "WHOLE",
    "builds",
    "ceilings",
    "cover",
    "deer",
    "equation",
    "heat",
    "helped",
    "number",
    "only_counted",
    "plots",
    "plots_of_all",
    "range_parts",
    "take",
    "trees",
    "wood",
]

#: What has no answer for a single stand, and what is said then.
WHOLE = {
    "heat": "The house burns wood of every stand: this is told for the whole place, not for one stand.",
    "deer": "Deer walk over every stand: they are told for the whole place, not for one stand.",
    "builds": "What is built is built for the whole place, not for one stand.",
    "take": "Deer walk over every stand: the take is told for the whole place, not for one stand.",
    "changed": "What moved is told for the whole place, not for one stand.",
}
NO_PLOTS = "No number yet. Nobody has put a plot here. Three plots would give a first figure."
NO_BUILD = (
    "Nothing is to be built. A part [[builds]] of place.toml with name and number asks for pieces; lists of your own "
    "stand in builds.csv."
)
NO_STANDS = "No stand is drawn yet, so no cover decides anything."
NO_SUGARBUSH = "No stand is wished to be a sugarbush. Write sugarbush as the wish of a stand, or draw its outline."
BASAL = "A tree in the prism stands for the prism's factor; one on a fixed plot for its cross-section over the acres."
CITED = {
    "usu": "Utah State extension",
    "uky": "University of Kentucky",
    "ksu": "Kansas State extension",
    "osu": "Oregon State extension",
    "trade": "A trade list",
    "fpl": "Forest Products Laboratory",
    "woodlot": "Here",
}


def number(of: Number) -> list[str]:
    """Number, unit and range, and what is to be said of them."""
    first = f"{capital(words.answer(of))}."
    return [first, f"{capital(of.why)}."] if of.why and of.low is not None else [first]


def plots(row: Mapping[Any, Any], acres: float | None, seen: bool) -> str:
    """Plots behind the number of one stand (a row of ``stand.plots.means``); acres: by which it is multiplied; seen:
    whether a raster moved it.
    """
    se = "no spread of its own"
    if not is_missing(row["se"]):
        degrees = f"{row['df']:.3g} {noun(row['df'], 'degree')} of freedom"
        se = f"spread of that mean (its standard deviation) {row['se']:.4g}, {degrees}"
    times = "" if acres is None else f"; times {acres:.2f} working acres"
    return (
        f"{plural(int(row['plots']), 'plot')} ({int(row['plots_with'])} with any), mean {row['mean']:.4g} an acre"
        f"{' as the raster moved it' if seen else ''}, {se}{times}."
    )


def plots_of_all(count: int, stands: int, each_ac: bool) -> str:
    """Plots behind the number of the place; each_ac: whether it is a mean and no sum."""
    how = (
        "weighed by their working acres. For one stand, by species and size, add  --stand  with its name."
        if each_ac
        else "times working acres, then added."
    )
    return f"{plural(count, 'plot')} in {plural(stands, 'stand')}; means by stand {how}"


#: Which end of a range the other stands trimmed -> why.
ENDS = {
    "high": "the others hold less: the high end was trimmed",
    "low": "the others hold more: the low end was trimmed",
    "both": "the others hold much the same: both ends were trimmed",
    "": "neither end was trimmed",
}


def helped(of: Number, alone: Number | None, plots: int, end: str | None, seen: bool) -> str:
    """The range of a stand by its own plots alone (None: one plot has none) and as it is.

    end: the one that other stands trimmed; None where no stand helped. seen: a raster moved the number, so ``alone``
    rests on how far all plots of its cover lie from the raster.
    """
    own = "none, since one plot has no spread" if alone is None else range_words(alone)
    more = "With the usual spread between plots beside theirs" if end is None else "With help"
    trimmed = "" if end is None else f"; {ENDS[end]}"
    whose = "the raster at all plots of its cover" if seen else f"its own {noun(plots, 'plot')} alone"
    return f"Range by {whose}: {own}. {more}: {range_words(of)}{trimmed}."


def range_parts(of: Number, parts: Mapping[str, Number], shared: Sequence[tuple[str, float]], piled: bool) -> str:
    """Where a range comes from; parts: plots, table, stacked; piled: whether a stacked pile is spoken of."""
    errors = ", ".join(f"{name} {words.percent(cv)}" for name, cv in shared if cv) or "nothing"
    pile = f"; against a stacked pile {range_words(parts['stacked'])}" if piled else ""
    return (
        f"Where the range comes from: what plots can mend {range_words(parts['plots'])}; what no plot can mend "
        f"({errors}) {range_words(parts['table'])}; both together {range_words(of)}{pile}."
    )


def trees(
    rows: int, heights: Mapping[Any, int], judged: int, other: tuple[int, float] | None, odd: Mapping[str, int]
) -> list[str]:
    """Live tally rows. other: rows that the other method knows, and what it gives of ours; odd: rows beyond the sizes
    of their equation, and rows with a doubtful one.
    """
    named = ", ".join(f"{heights.get(name, 0)} {name}" for name in ("measured", "fitted", "regional"))
    out = [f"{plural(rows, 'live tally row')}. Heights: {named}. Rot was judged on {judged} of them."]
    if other is not None:
        out.append(
            f"The other method beside it (Beers 1964 from merchantable height, for {plural(other[0], 'row')}): "
            f"{100 * (other[1] - 1):+.0f}% of merchantable wood."
        )
    texts = {
        "beyond_range": "outside the sizes the equation was made from",
        "doubtful": "by an equation doubtful at that size (wood, bark and whole stem disagree): used as published "
        "where its own published error is small, else the next level stands in",
    }
    return out + [f"{_rows(odd[name])} {text}." for name, text in texts.items() if odd[name]]


def _rows(count: int) -> str:
    return f"{plural(count, 'row')} {'is' if count == 1 else 'are'}"


def only_counted(trees: int) -> list[str]:
    """Trees that were in and have no size of their own; nothing where there are none."""
    return [f"Of {plural(trees, 'tree')} more only the count is known: taken as those measured."] if trees else []


def wood(what: str, solid_cuft: float, log_rule: str) -> list[str]:
    """What a cord or a board foot is here."""
    if what == "cords":
        return [
            f"Cords: sound wood without bark from a 1-foot stump to a 4-inch top, over {solid_cuft:.4g} solid cubic "
            "feet in a cord of 4 x 4 x 8 feet."
        ]
    feet = (
        f"Board feet by the {words.rule(log_rule)}: Wiant 1986 after Mesavage and Girard, from diameter, 16-foot logs "
        "and form class (78, from memory, unless place.toml says otherwise)."
    )
    return [feet, OF_EIGHTH] if log_rule == EIGHTH else [feet]


def equation(model: int, level: str) -> str:
    """By which equation a species is worked."""
    return f"Westfall and others 2024, model {model}, {level}"


def mean_of(species: Sequence[str]) -> str:
    """By which equations a kind of several species is worked."""
    return f"Westfall and others 2024, mean of {', '.join(species)}"


def ceilings(parts: Sequence[str], why: str, limit_cords: float | None) -> list[str]:
    """What may be cut of all stands together: each part of it, what holds it, and the limit (None: no number yet)."""
    told = [f"{capital(one)}." for one in parts]
    if limit_cords is None:
        return [*told, "What may be cut each year until the next cruise: no number yet."]
    most = f"{words.amount(limit_cords, 'cords')} a year"
    ranges = "Ranges are drawn from plots, growth and stacking together."
    return [*told, f"What may be cut each year until the next cruise: {most}. {why} {ranges}"]


def heat(number: str, spread: str, why: str, *, region: Region) -> list[str]:
    """What the house needs, and why heat tables differ; number "" where nobody told the need."""
    first = f"{number} ({spread}). {why}"
    if not number:
        first = (
            "Not known. Write firewood_cord, or the house's loss and degree days, or last year's fuel, into [needs]."
        )
    all_of_them, *each = house.heat_tables_differ(region=region)
    who = (CITED.get(key, key) for key in region.table("heat_tables")["key"])
    return [first, all_of_them, *(f"{name}: {text}" for name, text in zip(who, each, strict=True))]


def deer(of: Deer[Number, str]) -> list[str]:
    """Deer a square mile, and from what."""
    return [
        of.words,
        *filter(None, (falls_told(of), " ".join(of.condition or ()))),
        "Thousands of herds that lasted on such ground are run through the falls on record, with their winters and "
        "kills; those that agree with what was counted weigh most.",
        "Pellets: groups over plot acres, days since leaf-off and groups a deer drops a day. Lines are the sample.",
        *(f"{capital(one.what)}: {one.words.removesuffix('.')}." for one in of.evidence.rows if one.words),
        *([of.evidence.together.words] if of.evidence.together.words not in of.words else []),
    ]


def take(deer: Deer[Number, str]) -> list[str]:
    """Does and bucks at most, with whom they are shared, and what holds the herd."""
    of, pool = deer.take, deer.pool.words if deer.pool else ""
    holds = f"Share of does a year that holds the herd: {100 * of.hold_rate:.1f}% (growth {of.growth_rate:.3f})."
    return [*filter(None, (of.does_words, of.bucks_words, pool, of.neighbors_words)), holds]


def builds(one_is: Mapping[str, str]) -> list[str]:
    """What a number of each build counts, and what no list says; one_is: of the ready ones."""
    each = "; ".join(f"{name}: {of}" for name, of in one_is.items())
    return [f"Ready lists, and what one of each is: {each}.", SIZES]


def cover(row: Mapping[str, Any], stands: Sequence[str], why: str) -> str:
    """What a cover decides: a row of ``answers.why``, its stands, and why nothing is cut there."""
    where = f"{capital(row['cover'])}, {words.noun(len(stands), 'stand')} {words.first_of(stands, 8)}."
    if row["woods"] == "no":
        return f"{where} No woods: off the working acres, no wood and no browse."
    return " ".join((where, _cut_by(row, why), _grown_by(row), _for_deer(row)))


def _mark(seen: str) -> str:
    return f" ({seen})" if seen in NOT_READ else ""


def _cut_by(row: Mapping[str, Any], why: str) -> str:
    other = " by the rule for any other cover" if row["rule"] == covers.OTHER else ""
    if row["way"] == "none":
        return f"Not cut{_mark(row['rule_seen'])}. {why}".rstrip()
    if row["way"] == "patches":
        return f"Cut in patches{other}{_mark(row['rule_seen'])}."
    sizes = "each size by its structure" if row["structure"] else "all sizes alike"
    return f"Thinned{other} to leave {row['leave_sqft_per_ac']:.0f} sq ft an acre{_mark(row['rule_seen'])}, {sizes}."


def _grown_by(row: Mapping[str, Any]) -> str:
    of_one_age = " where age and site are written" if row["growth"] in EVEN_AGED else ""
    return f"Grows by {GROWTHS[row['growth']].one}{of_one_age}; fullness by the {row['guide']}."


def _for_deer(row: Mapping[str, Any]) -> str:
    food = "counts as the ground around" if row["cover"] == NO_COVER else "is not known here"
    if row["food_lb_per_ac"] is not None:
        low, middle, high = (words.two_figures(row[end]) for end in ("food_low", "food_lb_per_ac", "food_high"))
        food = f"{middle} pounds an acre uncut ({low} to {high}, assumptions; {row['food_seen']})"
    kept = {"evergreen": "evergreen", "shelter": "winter shelter", "wet": "wet ground, worked when frozen"}
    is_so = [said for key, said in kept.items() if row[key] == "yes"]
    return f"Deer food in winter {food}. {capital(words.listed(is_so)) if is_so else 'Bare in winter, dry ground'}."

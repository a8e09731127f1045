"""What each question says of every stand and parcel: one question at a time, and its answers are the legend.

grows    What grows here?
much     How much wood stands?
when     When may it be cut?
sure     How sure are we?

Each question holds its legend, a mark for each stand (fill, large word, hatch) and, for each parcel, the sentence that
answers it with its rows. ``more_questions`` has three others; ``layers`` asks them all.
"""

import itertools
from collections.abc import Callable
from dataclasses import dataclass, field

from woodlot.answers.stand_types import Entry, Parcel, Stand
from woodlot.answers.types import Answers
from woodlot.map import paint
from woodlot.map.map_words import (
    NBSP,
    amount,
    cap,
    figures,
    has_range,
    listed,
    odds,
    plural,
    range_only,
    range_words,
    winter_runs,
    winters,
)
from woodlot.trade import MEASURED, ONE_OR_EMPTY, TO_MEASURE

__all__ = [
    "MEASURED",
    "Mark",
    "Question",
    "Said",
    "Step",
    "by_parcel",
    "first_questions",
    "of_parcel",
    "unplanned",
]


@dataclass(frozen=True)
class Step:
    """One row of a legend: its paint, its words, a letter, and acres over all parcels where the legend shows them."""

    paint: paint.Paint
    text: str
    letter: str = ""
    acres: float | None = None
    dots: bool = False


@dataclass(frozen=True)
class Mark:
    """How one stand answers: a step of the legend (None: white), the large word, and whether it is hatched."""

    step: int | None
    big: str
    hatch: bool = False


@dataclass(frozen=True)
class Said:
    """The sentence for one parcel, the words under it, and rows of (stand, cover, bold words, other words)."""

    head: str
    sub: str
    rows: list[tuple[str, str, str, str]]


@dataclass(frozen=True)
class Question:
    """A question, its legend and its answers."""

    key: str
    ask: str
    short: str
    unit: str
    column: str
    steps: list[Step]
    hatched: str
    marks: dict[str, Mark]
    said: dict[str, Said]
    acres: bool = field(default=False)


NO_PLOTS = "hatched: no plots yet, number borrowed or none"
#: Stands with a later winter that the sentence names; the list holds them all.
MOST_COMING = 3


def first_questions(answers: Answers) -> list[Question]:
    """The four questions that are always asked, in the order of the page."""
    return [_grows(answers), _much(answers), _when(answers), _sure(answers)]


def of_parcel(answers: Answers, parcel_id: str) -> list[Stand]:
    """The stands of one parcel, in the order of the answers."""
    return [s for s in answers.stands if s.parcel_id == parcel_id]


def _rows(stands: list[Stand], say: Callable[[Stand], tuple[str, str]]) -> list[tuple[str, str, str, str]]:
    return [(s.stand_id, cap(s.cover), *say(s)) for s in stands]


def by_parcel(
    answers: Answers,
    head_sub: Callable[[Parcel, list[Stand]], tuple[str, str]],
    say: Callable[[Stand], tuple[str, str]],
) -> dict[str, Said]:
    """Sentence and rows for each parcel, from a function of (parcel, stands) and one of a stand."""
    out = {}
    for parcel in answers.parcels:
        stands = of_parcel(answers, parcel.parcel_id)
        if stands:
            head, sub = head_sub(parcel, stands)
        else:
            head, sub = "No stands drawn yet", "Draw one in the stands file; then its plots can be counted here."
        out[parcel.parcel_id] = Said(head, sub, _rows(stands, say))
    return out


# --- What grows here? -------------------------------------------------------------------------------------------------


def _cover_key(stand: Stand) -> tuple[str, str]:
    letter = stand.letter or "?"
    return (letter, paint.COVER_NAMES[letter]) if letter in paint.COVERS else (letter, stand.cover)


def _grows(answers: Answers) -> Question:
    acres: dict[tuple[str, str], float] = {}
    for stand in answers.stands:
        key = _cover_key(stand)
        acres[key] = acres.get(key, 0.0) + stand.acres
    order = [k for k in ((a, paint.COVER_NAMES[a]) for a in paint.COVERS) if k in acres] + sorted(
        k for k in acres if k[0] not in paint.COVERS
    )
    steps = [
        Step(paint.COVERS.get(a, paint.OTHER), cap(name), a, acres[(a, name)], dots=a not in paint.COVERS)
        for a, name in order
    ]
    place = {key: i for i, key in enumerate(order)}
    marks = {
        s.stand_id: Mark(place[_cover_key(s)], _cover_key(s)[0], hatch=s.how not in MEASURED) for s in answers.stands
    }
    said = by_parcel(answers, _grows_said, lambda s: ("", amount(s.acres, 1)))
    return Question(
        "grows",
        "What grows here?",
        "What grows",
        "letter on the map",
        "acres",
        steps,
        "hatched: not measured yet",
        marks,
        said,
        True,
    )


def _grows_said(parcel: Parcel, stands: list[Stand]) -> tuple[str, str]:
    covers: dict[str, float] = {}
    for s in stands:
        covers[s.cover] = covers.get(s.cover, 0.0) + s.acres
    ranked = sorted(covers.items(), key=lambda item: (-item[1], item[0]))
    total = sum(covers.values())
    first, most = ranked[0]
    if len(ranked) == 1:
        return cap(first), f"{amount(most, 1)}{NBSP}acres in {plural(len(stands), 'stand')}"
    head = f"Mostly {first}" if most > total / 2 else f"A mix, {first} the largest"
    return head, f"{amount(most, 1)}{NBSP}acres, then {ranked[1][0]}, {amount(ranked[1][1], 1)}{NBSP}acres"


# --- How much wood stands? --------------------------------------------------------------------------------------------


def _much(answers: Answers) -> Question:
    breaks = [float(b) for b in answers.base.cord_breaks][:3]
    whole = [round(b) for b in breaks]
    texts = [f"under {whole[0]}"]
    texts += [f"{a} to {b - 1}" if b - 1 > a else f"{a}" for a, b in itertools.pairwise(whole)]
    texts.append(f"{whole[-1]} and more")
    steps = [Step(p, t) for p, t in zip(paint.STEPS["much"], texts, strict=False)]

    def mark(s: Stand) -> Mark:
        cords = s.cords_per_ac.value
        if s.how == "borrowed" and cords is not None:
            return Mark(None, f"≈{figures(cords)}", hatch=True)
        if s.how == "none" or cords is None:
            return Mark(None, "no number", hatch=True)
        return Mark(sum(round(cords) >= b for b in whole), figures(cords))

    def row(s: Stand) -> tuple[str, str]:
        cords = s.cords_per_ac.value
        if cords is None or s.how == "none":
            return "", "no number"
        if s.how == "borrowed":
            return "", f"≈{figures(cords)} borrowed"
        return figures(cords), range_only(s.cords_per_ac) or _no_range(s)

    marks = {s.stand_id: mark(s) for s in answers.stands}
    said = by_parcel(answers, _much_said, row)
    return Question(
        "much",
        "How much wood stands?",
        "How much",
        "full cords an acre, standing",
        "cords an acre",
        steps,
        NO_PLOTS,
        marks,
        said,
    )


def _no_range(stand: Stand) -> str:
    return stand.how if stand.how in ONE_OR_EMPTY else "no range"


def _measured_acres(stands: list[Stand]) -> float:
    return sum(s.acres for s in stands if s.how in MEASURED)


def _much_said(parcel: Parcel, stands: list[Stand]) -> tuple[str, str]:
    cords = parcel.cords
    measured = _measured_acres(stands)
    if cords.value is None or not measured:
        return "No number yet", "Nobody has put a plot here. Three plots in a stand would give a first figure."
    tail = f"on {amount(measured, 1)} measured acres".replace(" ", NBSP)
    head = f"{figures(cords.value)} full cords standing"
    if has_range(cords):
        return head, f"{range_words(cords)}, {tail}"
    return head, f"{cap(tail)}. No range: {range_words(cords)}."


# --- When may it be cut? ----------------------------------------------------------------------------------------------


def unplanned(stand: Stand) -> str:
    """Why no winter is planned for a stand; the report says the same."""
    if stand.cut.way == "none":
        return "not to be cut"
    return "measure first" if stand.how in TO_MEASURE else "not in this plan"


def _when(answers: Answers) -> Question:
    winter = answers.winter
    texts = ("this winter", "1 to 3 winters on", "4 or more winters on", "not in this plan")
    steps = [Step(p, t) for p, t in zip(paint.STEPS["when"], texts, strict=True)]

    def later(s: Stand) -> list[Entry]:
        return [e for e in s.cut.entries if e.winter != winter]

    def mark(s: Stand) -> Mark:
        turns, why = s.cut.entries, unplanned(s)
        if turns:
            ahead = int(turns[0].winter[:4]) - int(winter[:4])
            return Mark(0 if ahead <= 0 else 1 if ahead <= 3 else 2, turns[0].winter)
        if why == "measure first":
            return Mark(None, why, hatch=True)
        return Mark(3, "not cut" if why == "not to be cut" else "not yet")

    def row(s: Stand) -> tuple[str, str]:
        coming, turns = later(s), s.cut.entries
        rest = ", ".join(span for span, _ in winter_runs(coming))
        if len(coming) < len(turns):
            return "this winter", f"then {rest}" if rest else ""
        return "", rest or unplanned(s)

    def head(parcel: Parcel, stands: list[Stand]) -> tuple[str, str]:
        now = [s for s in stands if len(later(s)) < len(s.cut.entries)]
        coming = sorted((s for s in stands if later(s)), key=lambda s: later(s)[0].winter)
        said = [f"stand{NBSP}{s.stand_id}, {winters(later(s))}" for s in coming[:MOST_COMING]]
        if len(coming) > MOST_COMING:
            said.append(f"and {plural(len(coming) - MOST_COMING, 'more stand')}, in the list")
        if not now:
            return "Nothing this winter", f"Next: {'; '.join(said)}." if said else "Nothing later is planned."
        amounts = [s.cut.cords for s in now]
        words = [f"{figures(e.value)} full cords, {range_words(e)}" for e in amounts if e and e.value is not None]
        following = f"Later: {'; '.join(said)}." if said else "Nothing later is planned."
        return f"Stand{'s' if len(now) > 1 else ''} {listed(s.stand_id for s in now)} this winter", (
            "; ".join(words) + ". " if words else ""
        ) + following

    marks = {s.stand_id: mark(s) for s in answers.stands}
    said = by_parcel(answers, head, row)
    return Question(
        "when",
        "When may it be cut?",
        "When to cut",
        "first winter of the plan",
        "winters",
        steps,
        "hatched: measure first",
        marks,
        said,
    )


# --- How sure are we? -------------------------------------------------------------------------------------------------


def _sure(answers: Answers) -> Question:
    limits = (20.0, 30.0, 45.0)
    texts = (*(f"within {b:.0f}%" for b in limits), f"wider than {limits[-1]:.0f}%")
    steps = [Step(p, t) for p, t in zip(paint.STEPS["sure"], texts, strict=True)]

    def mark(s: Stand) -> Mark:
        half = s.half_width_pct
        if half is None:
            words = s.how if s.how in ONE_OR_EMPTY else "not measured"
            return Mark(None, words, hatch=True)
        return Mark(sum(half > b for b in limits), f"±{half:.0f}%")

    def row(s: Stand) -> tuple[str, str]:
        half = s.half_width_pct
        plots = plural(s.plots, "plot") if s.plots else "no plots"
        return (f"±{half:.0f}%" if half is not None else ""), (plots if half is not None else mark(s).big)

    def head(parcel: Parcel, stands: list[Stand]) -> tuple[str, str]:
        cords = parcel.cords
        with_plots = [s for s in stands if s.plots]
        base = f"{plural(sum(s.plots for s in stands), 'plot')} in {len(with_plots)} of {plural(len(stands), 'stand')}"
        if not with_plots or not cords.value:
            return "Not measured yet", "Three plots in a stand would give a first range."
        if cords.low is None or cords.high is None:
            return "No range for the whole", f"{base}; {range_words(cords)}"
        half = (cords.high - cords.low) / 2 / cords.value * 100
        return f"Within {half:.0f}% for the parcel", f"{odds(cords.level)}, from {base}"

    marks = {s.stand_id: mark(s) for s in answers.stands}
    said = by_parcel(answers, head, row)
    unit = f"{odds(answers.level)} the truth is"
    return Question(
        "sure",
        "How sure are we?",
        "How sure",
        unit,
        "range and plots",
        steps,
        "hatched: no range, or no plots yet",
        marks,
        said,
    )

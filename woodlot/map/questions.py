"""What each question says of every stand and parcel: one question at a time, and its answers are the legend.

grows    What grows here?
much     How much wood stands?
when     When may it be cut?
sure     How sure are we?

Each question holds its legend, a mark for each stand (fill, large word, hatch) and, for each parcel, the sentence that
answers it with its rows. ``ground_questions`` has three others; ``layers`` asks them all.
"""

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from woodlot.answers.stand_types import Entry, Parcel, Stand
from woodlot.answers.types import Answers
from woodlot.estimate import is_wide
from woodlot.map import paint
from woodlot.map.map_words import (
    amount,
    counted,
    figures,
    has_range,
    odds,
    range_only,
    range_words,
    winter_runs,
    winters,
)
from woodlot.say.unmeasured import nobody
from woodlot.say.words import NBSP, bound, capital, listed, noun
from woodlot.trade import MEASURED, ONE_OR_EMPTY, SHUT, THIN, TO_MEASURE

__all__ = [
    "MEASURED",
    "Mark",
    "Question",
    "Step",
    "cord_words",
    "first_questions",
    "in_part_shut",
    "legend",
    "of_parcel",
    "question",
    "unplanned",
]

#: key -> the question, the same in short, what the words on the map are, heading of the list, what is hatched.
ASKED = {
    "grows": ("What grows here?", "What grows", "letter on the map", "acres", "not measured yet"),
    "much": (
        "How much wood stands?",
        "How much",
        "full cords an acre, standing",
        "cords an acre",
        "no plots yet, number borrowed or none",
    ),
    "when": ("When may it be cut?", "When to cut", "first winter of the plan", "winters", "measure first"),
    "sure": ("How sure are we?", "How sure", "{odds} the truth is", "range and plots", "no range, or no plots yet"),
    "growth": ("How fast does it grow?", "How fast", "full cords an acre a year", "cords a year", "not known"),
    "browse": ("What have the deer browsed?", "What is browsed", "stems browsed", "browsed", "no stems counted"),
    "food": ("What is there for deer to eat?", "Deer food", "pounds an acre, winter", "pounds an acre", "not known"),
    "wish": ("What do we wish of it?", "Our wishes", "the family's wish", "wish", ""),
    "ground": ("How does the ground lie?", "The ground", "light from the northwest", "acres", ""),
    "air": ("How does it look from the air?", "From above", "the family's own picture", "acres", ""),
}


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
class Finding:
    """The sentence for one parcel, the words under it, and rows of (stand, cover, bold words, other words)."""

    head: str
    sub: str
    rows: list[tuple[str, str, str, str]]


@dataclass(frozen=True)
class Question:
    """A question, its legend and its answers: a mark a stand, a finding a parcel."""

    key: str
    ask: str
    short: str
    unit: str
    column: str
    hatched: str
    steps: list[Step]
    marks: dict[str, Mark]
    findings: dict[str, Finding]


#: Stands with a later winter that the sentence names; the list holds them all.
MOST_COMING = 3


def first_questions(answers: Answers) -> list[Question]:
    """The four questions that are always asked, in the order of the page."""
    return [_grows(answers), _much(answers), _when(answers), _sure(answers)]


def of_parcel(answers: Answers, parcel_id: str) -> list[Stand]:
    """The stands of one parcel, in the order of the answers."""
    return [s for s in answers.stands if s.parcel_id == parcel_id]


def question(
    answers: Answers,
    key: str,
    steps: list[Step],
    mark: Callable[[Stand], Mark],
    head: Callable[[Parcel, list[Stand]], tuple[str, str]],
    row: Callable[[Stand], tuple[str, str]],
) -> Question:
    """A question of ``ASKED``: a mark for each stand; for each parcel its sentence (``head``) and a row a stand."""
    ask, short, unit, column, hatch = ASKED[key]
    hatched = f"hatched: {hatch}" if hatch else ""
    findings = {}
    for parcel in answers.parcels:
        stands = of_parcel(answers, parcel.parcel_id)
        none = ("No stands drawn yet", "Draw one in the stands file; then its plots can be counted here.")
        rows = [(s.stand_id, capital(s.cover), *row(s)) for s in stands]
        findings[parcel.parcel_id] = Finding(*(head(parcel, stands) if stands else none), rows)
    marks = {s.stand_id: mark(s) for s in answers.stands}
    return Question(key, ask, short, unit.format(odds=odds(answers.level)), column, hatched, steps, marks, findings)


def legend(key: str, texts: Sequence[str]) -> list[Step]:
    """The steps of a question that has fills of its own."""
    return [Step(p, t) for p, t in zip(paint.STEPS[key], texts, strict=True)]


# --- What grows here? -------------------------------------------------------------------------------------------------


def _cover_keys(stands: Sequence[Stand]) -> dict[str, tuple[str, str]]:
    """Letter and words of each stand in the legend: covers that share a letter are one row, unless nobody gave it."""
    named: dict[str, set[str]] = {}
    for s in stands:
        named.setdefault(s.letter, set()).add(s.cover)
    words = {letter: " or ".join(sorted(covers)) for letter, covers in named.items() if letter in paint.COVERS}
    return {s.stand_id: (s.letter or "?", words.get(s.letter, s.cover)) for s in stands}


def _grows(answers: Answers) -> Question:
    acres: dict[tuple[str, str], float] = {}
    of = _cover_keys(answers.stands)
    for stand in answers.stands:
        key = of[stand.stand_id]
        acres[key] = acres.get(key, 0.0) + stand.acres
    turn = {letter: at for at, letter in enumerate(paint.COVERS)}
    order = sorted(acres, key=lambda key: (turn.get(key[0], len(turn)), key))
    steps = [
        Step(paint.COVERS.get(a, paint.OTHER), capital(name), a, acres[(a, name)], dots=a not in paint.COVERS)
        for a, name in order
    ]
    place = {key: i for i, key in enumerate(order)}

    def mark(s: Stand) -> Mark:
        return Mark(place[of[s.stand_id]], of[s.stand_id][0], hatch=s.how not in MEASURED)

    return question(answers, "grows", steps, mark, _mostly, lambda s: ("", amount(s.acres, 1)))


def _mostly(parcel: Parcel, stands: list[Stand]) -> tuple[str, str]:
    covers: dict[str, float] = {}
    for s in stands:
        covers[s.cover] = covers.get(s.cover, 0.0) + s.acres
    ranked = sorted(covers.items(), key=lambda item: (-item[1], item[0]))
    first, most = ranked[0]
    if len(ranked) == 1:
        return capital(first), f"{amount(most, 1)}{NBSP}acres in {counted(len(stands), 'stand')}"
    head = f"Mostly {first}" if most > sum(covers.values()) / 2 else f"A mix, {first} the largest"
    return head, f"{amount(most, 1)}{NBSP}acres, then {ranked[1][0]}, {amount(ranked[1][1], 1)}{NBSP}acres"


# --- How much wood stands? --------------------------------------------------------------------------------------------


def _much(answers: Answers) -> Question:
    whole = [round(float(b)) for b in answers.base.cord_breaks][:3]
    texts = [f"under {whole[0]}"]
    texts += [f"{a} to {b - 1}" if b - 1 > a else f"{a}" for a, b in itertools.pairwise(whole)]
    texts.append(f"{whole[-1]} and more")

    def mark(s: Stand) -> Mark:
        cords = s.cords_per_ac.value
        if s.how == "borrowed" and cords is not None:
            return Mark(None, f"≈{figures(cords)}", hatch=True)
        if s.how == "none" or cords is None:
            return Mark(None, "no number", hatch=True)
        return Mark(sum(round(cords) >= b for b in whole), figures(cords))

    return question(answers, "much", legend("much", texts), mark, _standing, cord_words)


def cord_words(stand: Stand) -> tuple[str, str]:
    """Cords an acre of a stand: the number, and its range or why it has none; the report shows the same."""
    cords = stand.cords_per_ac.value
    if cords is None or stand.how == "none":
        return "", "no number"
    if stand.how == "borrowed":
        return "", f"≈{figures(cords)} borrowed"
    number = stand.cords_per_ac
    if is_wide(number.value, number.low, number.high):
        return f"about {figures(cords)}", stand.how if stand.how in THIN else "a wide range"
    return figures(cords), range_only(number) or (stand.how if stand.how in ONE_OR_EMPTY else "no range")


def _standing(parcel: Parcel, stands: list[Stand]) -> tuple[str, str]:
    cords, measured = parcel.cords, sum(s.acres for s in stands if s.how in MEASURED)
    if cords.value is None or not measured:
        return "No number yet", nobody(" in a stand")
    ground = bound(f"on {amount(measured, 1)} measured acres")
    head = f"{figures(cords.value)} full cords standing"
    if has_range(cords):
        return head, f"{range_words(cords)}, {ground}"
    return head, f"{capital(ground)}. No range: {range_words(cords)}."


# --- When may it be cut? ----------------------------------------------------------------------------------------------


def shut(stand: Stand) -> bool:
    """Whether the family wishes no cut in all of a stand."""
    return any(one.whole and one.wish in SHUT for one in stand.wishes or ())


def in_part_shut(stand: Stand) -> bool:
    """Whether ground of a stand is drawn as shut: words on it want a plate."""
    return any(one.wish in SHUT for one in stand.wishes or ())


def unplanned(stand: Stand) -> str:
    """Why no winter is planned for a stand; the report says the same."""
    if stand.cut.way == "none" or shut(stand):
        return "not to be cut"
    return "measure first" if stand.how in TO_MEASURE else "not in this plan"


def _when(answers: Answers) -> Question:
    winter = answers.winter
    texts = ("this winter", "1 to 3 winters on", "4 or more winters on", "not in this plan")

    def later(s: Stand) -> list[Entry]:
        return [e for e in s.cut.entries if e.winter != winter]

    def mark(s: Stand) -> Mark:
        turns, why = s.cut.entries, unplanned(s)
        if s.cut.this_winter:
            return Mark(0, winter)
        if turns:
            ahead = int(turns[0].winter[:4]) - int(winter[:4])
            return Mark(1 if ahead <= 3 else 2, turns[0].winter)
        if why == "measure first":
            return Mark(None, why, hatch=True)
        return Mark(3, "not cut" if why == "not to be cut" else "not yet")

    def row(s: Stand) -> tuple[str, str]:
        coming = later(s)
        rest = ", ".join(span for span, _ in winter_runs(coming))
        if s.cut.this_winter:
            return "this winter", f"then {rest}" if rest else ""
        return "", rest or unplanned(s)

    def head(parcel: Parcel, stands: list[Stand]) -> tuple[str, str]:
        now = [s for s in stands if s.cut.this_winter]
        coming = sorted((s for s in stands if later(s)), key=lambda s: later(s)[0].winter)
        next_ones = [f"stand{NBSP}{s.stand_id}, {winters(later(s))}" for s in coming[:MOST_COMING]]
        if len(coming) > MOST_COMING:
            next_ones.append(f"and {counted(len(coming) - MOST_COMING, 'more stand')}, in the list")
        following = f"{'Later' if now else 'Next'}: {'; '.join(next_ones)}." if coming else "Nothing later is planned."
        if not now:
            return "Nothing this winter", following
        known = [e for s in now if (e := s.cut.cords) and e.value is not None]
        cords = "; ".join(f"{figures(e.value)} full cords, {range_words(e)}" for e in known)
        named = f"{noun(len(now), 'Stand')} {listed(s.stand_id for s in now)} this winter"
        return named, (f"{cords}. " if cords else "") + following

    return question(answers, "when", legend("when", texts), mark, head, row)


# --- How sure are we? -------------------------------------------------------------------------------------------------


def _sure(answers: Answers) -> Question:
    limits = (20.0, 30.0, 45.0)
    texts = (*(f"within {b:.0f}%" for b in limits), f"wider than {limits[-1]:.0f}%")

    def mark(s: Stand) -> Mark:
        half = s.half_width_pct
        if half is None:
            return Mark(None, s.how if s.how in ONE_OR_EMPTY else "not measured", hatch=True)
        return Mark(sum(half > b for b in limits), f"±{half:.0f}%")

    def row(s: Stand) -> tuple[str, str]:
        plots = counted(s.plots, "plot") if s.plots else "no plots"
        return ("", mark(s).big) if s.half_width_pct is None else (mark(s).big, plots)

    def head(parcel: Parcel, stands: list[Stand]) -> tuple[str, str]:
        cords = parcel.cords
        with_plots = [s for s in stands if s.plots]
        base = (
            f"{counted(sum(s.plots for s in stands), 'plot')} in {len(with_plots)} of {counted(len(stands), 'stand')}"
        )
        if not with_plots or not cords.value:
            put = [
                p for p in (answers.first_plots.plots if answers.first_plots else ()) if p.parcel_id == parcel.parcel_id
            ]
            if put:
                return "Not measured yet", f"{counted(len(put), 'plot')} to measure: numbered, along the dashed walk."
            return "Not measured yet", "Three plots in a stand would give a first range."
        if cords.low is None or cords.high is None:
            return "No range for the whole", f"{base}; {range_words(cords)}"
        half = (cords.high - cords.low) / 2 / cords.value * 100
        return f"Within {half:.0f}% for the parcel", f"{odds(cords.level)}, from {base}"

    return question(answers, "sure", legend("sure", texts), mark, head, row)

"""What each question says of every stand and every parcel: one question at a time, and its answers are the legend.

grows    What grows here?
much     How much wood stands?
when     When may it be cut?
sure     How sure are we?
growth   How fast does it grow?          (only where growth was worked out)
browse   What have the deer browsed?     (only where stems were counted)
food     What is there for deer to eat?  (only where food was worked out)

``ask(answers)`` gives the questions that have something to say. Each holds its legend, a mark for each stand (fill, large
word, hatch) and, for each parcel, the sentence that answers it with its rows.
"""

from dataclasses import dataclass, field
from typing import Any

from woodlot.map import paint
from woodlot.map.words import NBSP, amount, cap, figures, has_range, odds, plural, range_only, range_words

__all__ = ["Mark", "Question", "Said", "Step", "ask"]

Stand = dict[str, Any]


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


MEASURED = ("measured", "few plots", "one plot", "empty plots")
NO_PLOTS = "hatched: no plots yet, number borrowed or none"


def ask(answers: dict[str, Any]) -> list[Question]:
    """The questions that these answers can say something on, in the order of the page."""
    found = [
        _grows(answers),
        _much(answers),
        _when(answers),
        _sure(answers),
        _growth(answers),
        _browse(answers),
        _food(answers),
    ]
    return [q for q in found if q is not None]


def of_parcel(answers: dict[str, Any], parcel_id: str) -> list[Stand]:
    """The stands of one parcel, in the order of the answers."""
    return [s for s in answers["stands"] if s["parcel_id"] == parcel_id]


def _rows(stands: list[Stand], say: Any) -> list[tuple[str, str, str, str]]:
    return [(str(s["stand_id"]), cap(str(s["cover"])), *say(s)) for s in stands]


def _by_parcel(answers: dict[str, Any], head_sub: Any, say: Any) -> dict[str, Said]:
    out = {}
    for parcel in answers["parcels"]:
        stands = of_parcel(answers, parcel["parcel_id"])
        if stands:
            head, sub = head_sub(parcel, stands)
        else:
            head, sub = "No stands drawn yet", "Draw one in the stands file; then its plots can be counted here."
        out[str(parcel["parcel_id"])] = Said(head, sub, _rows(stands, say))
    return out


def _value(stand: Stand, name: str) -> float | None:
    estimate = stand.get(name)
    return None if not estimate else estimate.get("value")


# --- What grows here? -------------------------------------------------------------------------------------------------


def _cover_key(stand: Stand) -> tuple[str, str]:
    letter = str(stand.get("letter") or "?")
    return (letter, paint.COVER_NAMES[letter]) if letter in paint.COVERS else (letter, str(stand["cover"]))


def _grows(answers: dict[str, Any]) -> Question:
    acres: dict[tuple[str, str], float] = {}
    for stand in answers["stands"]:
        key = _cover_key(stand)
        acres[key] = acres.get(key, 0.0) + float(stand["acres"] or 0.0)
    order = [k for k in ((a, paint.COVER_NAMES[a]) for a in paint.COVERS) if k in acres] + sorted(
        k for k in acres if k[0] not in paint.COVERS
    )
    steps = [
        Step(paint.COVERS.get(a, paint.OTHER), cap(name), a, acres[(a, name)], dots=a not in paint.COVERS)
        for a, name in order
    ]
    place = {key: i for i, key in enumerate(order)}
    marks = {
        str(s["stand_id"]): Mark(place[_cover_key(s)], _cover_key(s)[0], hatch=s["how"] not in MEASURED)
        for s in answers["stands"]
    }
    said = _by_parcel(answers, _grows_said, lambda s: ("", amount(s["acres"], 1)))
    return Question(
        "grows", "What grows here?", "What grows", "letter on the map", "acres", steps, "hatched: not measured yet", marks, said, True
    )  # fmt: skip


def _grows_said(parcel: dict, stands: list[Stand]) -> tuple[str, str]:
    covers: dict[str, float] = {}
    for s in stands:
        covers[str(s["cover"])] = covers.get(str(s["cover"]), 0.0) + float(s["acres"] or 0.0)
    ranked = sorted(covers.items(), key=lambda item: (-item[1], item[0]))
    total = sum(covers.values())
    first, most = ranked[0]
    if len(ranked) == 1:
        return cap(first), f"{amount(most, 1)}{NBSP}acres in {plural(len(stands), 'stand')}"
    head = f"Mostly {first}" if most > total / 2 else f"A mix, {first} the largest"
    return head, f"{amount(most, 1)}{NBSP}acres, then {ranked[1][0]}, {amount(ranked[1][1], 1)}{NBSP}acres"


# --- How much wood stands? --------------------------------------------------------------------------------------------


def _much(answers: dict[str, Any]) -> Question:
    breaks = [float(b) for b in answers["base"].get("cord_breaks") or (13, 18, 24)][:3]
    whole = [round(b) for b in breaks]
    texts = [f"under {whole[0]}"]
    texts += [f"{a} to {b - 1}" if b - 1 > a else f"{a}" for a, b in zip(whole, whole[1:], strict=False)]
    texts.append(f"{whole[-1]} and more")
    steps = [Step(p, t) for p, t in zip(paint.STEPS["much"], texts, strict=False)]

    def mark(s: Stand) -> Mark:
        value = _value(s, "cords_per_ac")
        if s["how"] == "borrowed" and value is not None:
            return Mark(None, f"≈{figures(value)}", hatch=True)
        if s["how"] == "none" or value is None:
            return Mark(None, "no number", hatch=True)
        return Mark(sum(round(value) >= b for b in whole), figures(value))

    def row(s: Stand) -> tuple[str, str]:
        value = _value(s, "cords_per_ac")
        if value is None or s["how"] == "none":
            return "", "no number"
        if s["how"] == "borrowed":
            return "", f"≈{figures(value)} borrowed"
        return figures(value), range_only(s["cords_per_ac"]) or _no_range(s)

    marks = {str(s["stand_id"]): mark(s) for s in answers["stands"]}
    said = _by_parcel(answers, _much_said, row)
    return Question(
        "much", "How much wood stands?", "How much", "full cords an acre, standing", "cords an acre", steps, NO_PLOTS, marks, said
    )  # fmt: skip


def _no_range(stand: Stand) -> str:
    return {"one plot": "one plot", "empty plots": "empty plots"}.get(stand["how"], "no range")


def _measured_acres(stands: list[Stand]) -> float:
    return sum(float(s["acres"] or 0) for s in stands if s["how"] in MEASURED)


def _much_said(parcel: dict, stands: list[Stand]) -> tuple[str, str]:
    cords = parcel.get("cords") or {}
    measured = _measured_acres(stands)
    if cords.get("value") is None or not measured:
        return "No number yet", "Nobody has put a plot here. Three plots in a stand would give a first figure."
    tail = f"on {amount(measured, 1)} measured acres".replace(" ", NBSP)
    comma = ", " if has_range(cords) else "; "
    return f"{figures(cords['value'])} full cords standing", f"{range_words(cords)}{comma}{tail}"


# --- When may it be cut? ----------------------------------------------------------------------------------------------


def winters_on(stand: Stand, winter: str) -> int | None:
    """Winters from this one to the stand's next cut: 0 this winter, None when it is not in the plan."""
    cut = stand.get("cut") or {}
    if cut.get("this_winter"):
        return 0
    then = str(cut.get("next_winter") or "")[:4]
    return int(then) - int(winter[:4]) if then.isdigit() and winter[:4].isdigit() else None


def _when(answers: dict[str, Any]) -> Question:
    winter = str(answers["winter"])
    texts = ("this winter", "1 to 3 winters on", "4 to 9 winters on", "not in this plan")
    steps = [Step(p, t) for p, t in zip(paint.STEPS["when"], texts, strict=True)]

    def mark(s: Stand) -> Mark:
        ahead = winters_on(s, winter)
        if ahead is None and s["how"] in ("none", "borrowed"):
            return Mark(None, "measure first", hatch=True)
        if ahead is None or ahead > 9:
            return Mark(3, str(s["cut"]["next_winter"]) if ahead else "not yet")
        return Mark(0 if ahead <= 0 else 1 if ahead <= 3 else 2, winter if ahead <= 0 else str(s["cut"]["next_winter"]))

    def row(s: Stand) -> tuple[str, str]:
        ahead = winters_on(s, winter)
        if ahead == 0:
            return "this winter", range_only(s["cut"].get("cords"))
        return "", mark(s).big

    def head(parcel: dict, stands: list[Stand]) -> tuple[str, str]:
        now = [s for s in stands if winters_on(s, winter) == 0]
        later = sorted(
            (str(s["cut"]["next_winter"]), i) for i, s in enumerate(stands) if (winters_on(s, winter) or 0) > 0
        )
        following = (
            f"Next: stand {stands[later[0][1]]['stand_id']}, winter {later[0][0]}."
            if later
            else "Nothing later is planned."
        )
        if not now:
            return "Nothing this winter", following
        names = " and ".join(str(s["stand_id"]) for s in now)
        amounts = [s["cut"].get("cords") for s in now]
        words = [
            f"{figures(e['value'])} full cords, {range_words(e)}" for e in amounts if e and e.get("value") is not None
        ]
        return f"Stand{'s' if len(now) > 1 else ''} {names} this winter", (
            "; ".join(words) + ". " if words else ""
        ) + following

    marks = {str(s["stand_id"]): mark(s) for s in answers["stands"]}
    said = _by_parcel(answers, head, row)
    return Question(
        "when", "When may it be cut?", "When to cut", "winter of the next cut", "winter", steps, "hatched: measure first", marks, said
    )  # fmt: skip


# --- How sure are we? -------------------------------------------------------------------------------------------------


def _sure(answers: dict[str, Any]) -> Question:
    limits = (20.0, 30.0, 45.0)
    texts = (*(f"within {b:.0f}%" for b in limits), f"wider than {limits[-1]:.0f}%")
    steps = [Step(p, t) for p, t in zip(paint.STEPS["sure"], texts, strict=True)]

    def mark(s: Stand) -> Mark:
        half = s.get("half_width_pct")
        if half is None:
            words = {"one plot": "one plot", "empty plots": "empty plots"}.get(s["how"], "not measured")
            return Mark(None, words, hatch=True)
        return Mark(sum(half > b for b in limits), f"±{half:.0f}%")

    def row(s: Stand) -> tuple[str, str]:
        half = s.get("half_width_pct")
        plots = plural(s["plots"], "plot") if s["plots"] else "no plots"
        return (f"±{half:.0f}%" if half is not None else ""), (plots if half is not None else mark(s).big)

    def head(parcel: dict, stands: list[Stand]) -> tuple[str, str]:
        cords = parcel.get("cords") or {}
        with_plots = [s for s in stands if s["plots"]]
        base = (
            f"{plural(sum(s['plots'] for s in stands), 'plot')} in {len(with_plots)} of {plural(len(stands), 'stand')}"
        )
        if not with_plots or not cords.get("value"):
            return "Not measured yet", "Three plots in a stand would give a first range."
        if not has_range(cords):
            return "No range for the whole", f"{base}; {range_words(cords)}"
        half = (cords["high"] - cords["low"]) / 2 / cords["value"] * 100
        return f"Within {half:.0f}% for the parcel", f"{odds(cords.get('level', 0.9))}, from {base}"

    marks = {str(s["stand_id"]): mark(s) for s in answers["stands"]}
    said = _by_parcel(answers, head, row)
    unit = f"{odds(answers['level'])} the truth is"
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


# --- Questions that ask for more than a first cruise ------------------------------------------------------------------


def _stepped(
    answers: dict[str, Any],
    name: str,
    breaks: tuple[float, ...],
    texts: tuple[str, ...],
    figure: Any,
    none: str,
) -> tuple[list[Step], dict[str, Mark]]:
    steps = [Step(p, t) for p, t in zip(paint.STEPS[name], texts, strict=True)]

    def mark(s: Stand) -> Mark:
        value = figure(s)
        if value is None:
            return Mark(None, none, hatch=True)
        return Mark(sum(value >= b for b in breaks), figures(value) + ("%" if name == "browse" else ""))

    return steps, {str(s["stand_id"]): mark(s) for s in answers["stands"]}


def _per_acre(stand: Stand, name: str) -> float | None:
    value, acres = _value(stand, name), stand.get("acres")
    return None if value is None or not acres or stand["how"] not in MEASURED else value / acres


def _growth(answers: dict[str, Any]) -> Question | None:
    def rate(s: Stand) -> float | None:
        return _per_acre(s, "growth_cords_per_yr")

    if all(rate(s) is None for s in answers["stands"]):
        return None
    steps, marks = _stepped(
        answers,
        "growth",
        (0.25, 0.4, 0.6),
        ("under ¼ cord", "¼ to 0.4 cord", "0.4 to 0.6 cord", "0.6 cord and more"),
        rate,
        "not known",
    )

    def row(s: Stand) -> tuple[str, str]:
        grown = s.get("growth_cords_per_yr")
        return (
            (figures(grown["value"]), range_only(grown) or "no range")
            if rate(s) is not None and grown
            else ("", "not known")
        )

    def head(parcel: dict, stands: list[Stand]) -> tuple[str, str]:
        known = [s for s in stands if rate(s) is not None]
        if not known:
            return "Growth not known yet", "It needs plots, and better, cores or a second visit."
        total = sum(s["growth_cords_per_yr"]["value"] for s in known)
        return (
            f"About {figures(total)} cords a year",
            f"added over {plural(len(known), 'measured stand')}; each has its own range",
        )

    said = _by_parcel(answers, head, row)
    return Question(
        "growth", "How fast does it grow?", "How fast", "full cords an acre a year", "cords a year", steps, "hatched: not known", marks, said
    )  # fmt: skip


def browsed(stand: Stand) -> float | None:
    """Percent of stems browsed in a stand: sum over sum, never a mean of plots; None when no stems were counted."""
    stems = stand.get("browse_stems")
    return None if not stems else 100.0 * float(stand.get("browse_browsed") or 0.0) / float(stems)


def _browse(answers: dict[str, Any]) -> Question | None:
    if all(browsed(s) is None for s in answers["stands"]):
        return None
    steps, marks = _stepped(
        answers,
        "browse",
        (15.0, 30.0, 50.0),
        ("under 15%", "15 to 29%", "30 to 49%", "half and more"),
        browsed,
        "no count",
    )

    def row(s: Stand) -> tuple[str, str]:
        share = browsed(s)
        return (f"{share:.0f}%", f"of {s['browse_stems']:,.0f} stems") if share is not None else ("", "no count")

    def head(parcel: dict, stands: list[Stand]) -> tuple[str, str]:
        stems = sum(float(s.get("browse_stems") or 0) for s in stands)
        bitten = sum(float(s.get("browse_browsed") or 0) for s in stands)
        if not stems:
            return "No stems counted here", "Count stems 6 inches to 6 feet tall on the pellet plots."
        return (
            f"{100 * bitten / stems:.0f}% of stems browsed",
            f"{stems:,.0f} stems on plots. Stems already killed are not counted.",
        )

    said = _by_parcel(answers, head, row)
    return Question(
        "browse", "What have the deer browsed?", "What is browsed", "stems browsed", "browsed", steps, "hatched: no stems counted", marks, said
    )  # fmt: skip


def _food(answers: dict[str, Any]) -> Question | None:
    def rate(s: Stand) -> float | None:
        return _value(s, "food_lb_per_ac")

    if all(rate(s) is None for s in answers["stands"]):
        return None
    steps, marks = _stepped(
        answers,
        "food",
        (30.0, 75.0, 150.0),
        ("under 30 pounds", "30 to 74 pounds", "75 to 149 pounds", "150 pounds and more"),
        rate,
        "not known",
    )

    def row(s: Stand) -> tuple[str, str]:
        food = s.get("food_lb_per_ac")
        return (
            (figures(food["value"]), range_words(food)) if food and food.get("value") is not None else ("", "not known")
        )

    def head(parcel: dict, stands: list[Stand]) -> tuple[str, str]:
        known = [(rate(s), str(s["stand_id"])) for s in stands if rate(s) is not None]
        if not known:
            return "Deer food not known", "No table speaks of these covers."
        most = max(known, key=lambda item: (item[0] or 0, item[1]))
        return (
            f"Most winter food in stand {most[1]}",
            "From tables by cover, good to a factor of 3. It ranks stands; it sets no take.",
        )

    said = _by_parcel(answers, head, row)
    return Question(
        "food", "What is there for deer to eat?", "Deer food", "pounds an acre, winter", "pounds an acre", steps, "hatched: not known", marks, said
    )  # fmt: skip

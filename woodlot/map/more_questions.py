"""Questions that ask for more than a first cruise; each is asked only where something was worked out.

growth   How fast does it grow?
browse   What have the deer browsed?
food     What is there for deer to eat?
"""

from collections.abc import Callable
from typing import Any

from woodlot.map import paint
from woodlot.map.questions import MEASURED, Mark, Question, Stand, Step, by_parcel, value
from woodlot.map.words import figures, plural, range_only, range_words

__all__ = ["browsed", "further_questions"]


def further_questions(answers: dict[str, Any]) -> list[Question]:
    """Those of the three questions that these answers can say something on."""
    return [q for q in (_growth(answers), _browse(answers), _food(answers)) if q is not None]


def _stepped(
    answers: dict[str, Any],
    name: str,
    breaks: tuple[float, ...],
    texts: tuple[str, ...],
    figure: Callable[[Stand], float | None],
    none: str,
) -> tuple[list[Step], dict[str, Mark]]:
    steps = [Step(p, t) for p, t in zip(paint.STEPS[name], texts, strict=True)]

    def mark(s: Stand) -> Mark:
        found = figure(s)
        if found is None:
            return Mark(None, none, hatch=True)
        return Mark(sum(found >= b for b in breaks), figures(found) + ("%" if name == "browse" else ""))

    return steps, {str(s["stand_id"]): mark(s) for s in answers["stands"]}


def _per_acre(stand: Stand, name: str) -> float | None:
    total, acres = value(stand, name), stand.get("acres")
    return None if total is None or not acres or stand["how"] not in MEASURED else total / acres


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

    said = by_parcel(answers, head, row)
    return Question(
        "growth",
        "How fast does it grow?",
        "How fast",
        "full cords an acre a year",
        "cords a year",
        steps,
        "hatched: not known",
        marks,
        said,
    )


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
            f"{stems:,.0f} stems on plots. Kinds that deer leave alone, and stems already killed, are not counted.",
        )

    said = by_parcel(answers, head, row)
    return Question(
        "browse",
        "What have the deer browsed?",
        "What is browsed",
        "stems browsed",
        "browsed",
        steps,
        "hatched: no stems counted",
        marks,
        said,
    )


def _food(answers: dict[str, Any]) -> Question | None:
    def rate(s: Stand) -> float | None:
        return value(s, "food_lb_per_ac")

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

    said = by_parcel(answers, head, row)
    return Question(
        "food",
        "What is there for deer to eat?",
        "Deer food",
        "pounds an acre, winter",
        "pounds an acre",
        steps,
        "hatched: not known",
        marks,
        said,
    )

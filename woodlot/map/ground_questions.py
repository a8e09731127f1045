"""Questions that ask for more than a first cruise; each is asked only where something was worked out.

growth   How fast does it grow?
browse   What have the deer browsed?
food     What is there for deer to eat?
"""

from collections.abc import Callable, Mapping

from woodlot.answers.stand_types import Parcel, Stand
from woodlot.answers.types import Answers
from woodlot.map import paint
from woodlot.map.map_words import figures, plural, range_only, range_words
from woodlot.map.questions import MEASURED, Mark, Question, Step, by_parcel

__all__ = ["Stems", "browsed", "further_questions"]

#: Stems counted and stems browsed on the deer plots of each stand, by stand_id.
Stems = Mapping[str, tuple[float, float]]


def further_questions(answers: Answers, stems: Stems) -> list[Question]:
    """Those of the three questions that these answers can say something on."""
    return [q for q in (_growth(answers), _browse(answers, stems), _food(answers)) if q is not None]


def _stepped(
    answers: Answers,
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

    return steps, {s.stand_id: mark(s) for s in answers.stands}


def _growth(answers: Answers) -> Question | None:
    def rate(s: Stand) -> float | None:
        total = s.growth_cords_per_yr.value
        return None if total is None or not s.acres or s.how not in MEASURED else total / s.acres

    if all(rate(s) is None for s in answers.stands):
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
        if rate(s) is None:
            return "", "not known"
        return figures(s.growth_cords_per_yr.value), range_only(s.growth_cords_per_yr) or "no range"

    def head(parcel: Parcel, stands: list[Stand]) -> tuple[str, str]:
        known = [s for s in stands if rate(s) is not None]
        if not known:
            return "Growth not known yet", "It needs plots, and better, cores or a second visit."
        total = sum(s.growth_cords_per_yr.value or 0.0 for s in known)
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


def browsed(counted: float, bitten: float) -> float | None:
    """Percent of stems browsed in a stand: sum over sum, never a mean of plots; None when no stems were counted."""
    return 100.0 * bitten / counted if counted else None


def _browse(answers: Answers, stems: Stems) -> Question | None:
    def of(s: Stand) -> tuple[float, float]:
        return stems.get(s.stand_id, (0.0, 0.0))

    def share(s: Stand) -> float | None:
        return browsed(*of(s))

    if all(share(s) is None for s in answers.stands):
        return None
    steps, marks = _stepped(
        answers,
        "browse",
        (15.0, 30.0, 50.0),
        ("under 15%", "15 to 29%", "30 to 49%", "half and more"),
        share,
        "no count",
    )

    def row(s: Stand) -> tuple[str, str]:
        pct = share(s)
        return (f"{pct:.0f}%", f"of {of(s)[0]:,.0f} stems") if pct is not None else ("", "no count")

    def head(parcel: Parcel, stands: list[Stand]) -> tuple[str, str]:
        counted, bitten = (sum(of(s)[i] for s in stands) for i in (0, 1))
        if not counted:
            return "No stems counted here", "Count stems 6 inches to 6 feet tall on the pellet plots."
        return (
            f"{100 * bitten / counted:.0f}% of stems browsed",
            f"{counted:,.0f} stems on plots. Kinds that deer leave alone, and stems already killed, are not counted.",
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


def _food(answers: Answers) -> Question | None:
    def rate(s: Stand) -> float | None:
        return None if s.food_lb_per_ac is None else s.food_lb_per_ac.value

    if all(rate(s) is None for s in answers.stands):
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
        food = s.food_lb_per_ac
        return ("", "not known") if food is None or food.value is None else (figures(food.value), range_words(food))

    def head(parcel: Parcel, stands: list[Stand]) -> tuple[str, str]:
        known = [(rate(s), s.stand_id) for s in stands if rate(s) is not None]
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

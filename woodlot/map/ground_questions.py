"""Questions that ask for more than a first cruise; each is asked only where something was worked out.

growth   How fast does it grow?
browse   What have the deer browsed?
food     What is there for deer to eat?
wish     What do we wish of it?
"""

from collections.abc import Callable, Mapping

from woodlot.answers.stand_types import Parcel, Stand
from woodlot.answers.types import Answers
from woodlot.map.map_words import counted, figures, range_only, range_words
from woodlot.map.questions import MEASURED, Mark, Question, legend, question
from woodlot.say.plan_reasons import shut_words
from woodlot.say.words import NBSP, listed, noun
from woodlot.trade import KEEP, NEVER_CUT, SHUT, SUGARBUSH, WISHES

__all__ = ["Stems", "browsed", "browsed_words", "further_questions"]

#: Stems counted and stems browsed on the deer plots of each stand, by stand_id.
Stems = Mapping[str, tuple[float, float]]


def further_questions(answers: Answers, stems: Stems) -> list[Question]:
    """Those of the four questions that these answers can say something on."""
    asked = (_growth(answers), _browse(answers, stems), _food(answers), _wish(answers))
    return [q for q in asked if q is not None]


def _marked(
    figure: Callable[[Stand], float | None], breaks: tuple[float, ...], none: str, sign: str = ""
) -> Callable[[Stand], Mark]:
    """The mark of a stand by its figure: a step at each of the breaks; ``none``: the word where there is no figure."""

    def mark(s: Stand) -> Mark:
        value = figure(s)
        return Mark(None, none, True) if value is None else Mark(sum(value >= b for b in breaks), figures(value) + sign)

    return mark


def _growth(answers: Answers) -> Question | None:
    def rate(s: Stand) -> float | None:
        total = s.growth_cords_per_yr.value
        return None if total is None or not s.acres or s.how not in MEASURED else total / s.acres

    if all(rate(s) is None for s in answers.stands):
        return None

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
            f"added over {counted(len(known), 'measured stand')}; each has its own range",
        )

    steps = legend("growth", ("under ¼ cord", "¼ to 0.4 cord", "0.4 to 0.6 cord", "0.6 cord and more"))
    return question(answers, "growth", steps, _marked(rate, (0.25, 0.4, 0.6), "not known"), head, row)


def browsed(stems: float, bitten: float) -> float | None:
    """Percent of stems browsed in a stand: sum over sum, never a mean of plots; None when no stems were counted."""
    return 100.0 * bitten / stems if stems else None


def browsed_words(percent: float) -> str:
    """``33% of stems browsed``."""
    return f"{percent:.0f}% of stems browsed"


def _browse(answers: Answers, stems: Stems) -> Question | None:
    def of(s: Stand) -> tuple[float, float]:
        return stems.get(s.stand_id, (0.0, 0.0))

    def share(s: Stand) -> float | None:
        return browsed(*of(s))

    if all(share(s) is None for s in answers.stands):
        return None

    def row(s: Stand) -> tuple[str, str]:
        pct = share(s)
        return (f"{pct:.0f}%", f"of {of(s)[0]:,.0f} stems") if pct is not None else ("", "no count")

    def head(parcel: Parcel, stands: list[Stand]) -> tuple[str, str]:
        stems, bitten = (sum(of(s)[i] for s in stands) for i in (0, 1))
        pct = browsed(stems, bitten)
        if pct is None:
            return "No stems counted here", "Count stems 6 inches to 6 feet tall on the pellet plots."
        return (
            browsed_words(pct),
            f"{stems:,.0f} stems on plots. Kinds that deer leave alone, and stems already killed, are not counted.",
        )

    steps = legend("browse", ("under 15%", "15 to 29%", "30 to 49%", "half and more"))
    return question(answers, "browse", steps, _marked(share, (15.0, 30.0, 50.0), "no count", "%"), head, row)


def _food(answers: Answers) -> Question | None:
    def rate(s: Stand) -> float | None:
        return None if s.food_lb_per_ac is None else s.food_lb_per_ac.value

    if all(rate(s) is None for s in answers.stands):
        return None

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

    steps = legend("food", ("under 30 pounds", "30 to 74 pounds", "75 to 149 pounds", "150 pounds and more"))
    return question(answers, "food", steps, _marked(rate, (30.0, 75.0, 150.0), "not known"), head, row)


#: Wishes that have a fill of their own; all others share the last.
FILLED = (NEVER_CUT, KEEP, SUGARBUSH)


def _wish(answers: Answers) -> Question | None:
    of = {s.stand_id: s.wishes for s in answers.stands if s.wishes}
    if not of:
        return None

    def mark(s: Stand) -> Mark:
        whole = [one for one in of.get(s.stand_id, ()) if one.whole]
        if not whole:
            return Mark(None, "in part" if s.stand_id in of else "")
        first = whole[0]
        word = f"until {first.until}" if first.wish == KEEP else WISHES[first.wish].one
        return Mark(FILLED.index(first.wish) if first.wish in FILLED else len(FILLED), word)

    def row(s: Stand) -> tuple[str, str]:
        named = ", ".join(shut_words(one.wish, one.until) for one in of.get(s.stand_id, ()))
        part = [one.acres for one in of.get(s.stand_id, ()) if not one.whole]
        return named, f"{part[0]:.1f}{NBSP}acres of it" if part else "" if named else "no wish"

    def head(parcel: Parcel, stands: list[Stand]) -> tuple[str, str]:
        shut = sum(one.acres for s in stands for one in of.get(s.stand_id, ()) if one.wish in SHUT)
        some = [s.stand_id for s in stands if s.stand_id in of]
        if not some:
            return "No wish here", "Write one as the wish of a stand or a parcel, or draw its outline."
        named = f"{noun(len(some), 'stand')} {listed(some)}"
        if not shut:
            return "Cut as the rules allow", f"A wish holds in {named}."
        return f"{shut:.1f} acres are shut by your wish", f"Wishes hold in {named}. What stands there is in no cut."

    steps = legend("wish", (*(WISHES[one].one for one in FILLED), "another wish"))
    return question(answers, "wish", steps, mark, head, row)

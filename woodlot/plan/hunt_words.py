"""The deer in one look: deer on the land, take, chance, meat, what to measure; a number and one reason each.

first_screen    the answer of `woodlot.plan.hunt.season` -> rows (topic, number, why) that fit one terminal page
herd_screen     the same for the herd: deer, the next forest, what there is to eat, what to measure
"""

from collections.abc import Sequence

from woodlot.deer.answer import Deer, Take
from woodlot.say.words import answer, range_words, rounded, two_figures

__all__ = ["first_screen", "herd_screen"]


def first_screen(deer: Deer) -> list[dict[str, str]]:
    """Rows topic, number, why from a season's answer, in the order a family asks; plain words, no blank rows."""
    take, risk = deer.take, deer.risk
    rows = [_deer(deer), _take(take)]
    if risk.takes and risk.no_hunting is not None:
        halved = next(r for r in risk.takes if r.plan).halved_10
        rows.append(
            {
                "topic": "Chance",
                "number": (
                    f"{100 * halved.value:.0f} in 100 that the herd halves in ten years "
                    f"({100 * halved.low:.0f} to {100 * halved.high:.0f}, assumptions)"
                ),
                "why": (
                    f"With no hunting by anybody {100 * risk.no_hunting.halved_10:.0f} in 100. "
                    "Low: neighbors take none; high: three fawns in ten fewer."
                ),
            }
        )
    meat = take.meat_lb
    rows.append(
        {
            "topic": "Meat",
            "number": answer(meat) if meat.value else "none",
            "why": take.wish_words or ("About four meals to the pound." if meat.value else "No deer, no meat."),
        }
    )
    if deer.impact.plots:
        rows.append(_browse(deer))
    rows.append({"topic": "Measure", "number": _first(deer.measure_next), "why": _rest(deer.measure_next)})
    return rows


def herd_screen(deer: Deer) -> list[dict[str, str]]:
    """Rows topic, number, why of the herd: how many, on your ground, will the forest come up, food, what to measure."""
    food = deer.food
    rows = [_pair("Deer", deer.words)]
    if deer.equivalents.value is not None:
        rows.append(_deer(deer) | {"topic": "Yours"})
        rows[1]["why"] = f"They use about {deer.effective_ac:,.0f} acres. {rows[1]['why']}"
    if deer.seedlings:
        rows.append({"topic": "Forest", **_split(deer.seedlings[0].words)})
    rows.append(_browse(deer))
    if food is not None:
        mild, average, severe = (
            two_figures(e.value or 0.0) for e in (food.per_sqmi.mild, food.per_sqmi.average, food.per_sqmi.severe)
        )
        rows.append(
            {
                "topic": "Food",
                "number": f"for {average} deer a square mile in an average winter "
                f"({range_words(food.per_sqmi.average)})",
                "why": f"{mild} in a mild one, {severe} in a severe one. Good to a factor of 3; it sets no take.",
            }
        )
        if food.cuts:
            rows.append({"topic": "Cuts", "number": food.cuts.words, "why": ""})
    else:
        rows.append(_pair("Food", "Not known. No stand has a cover written, and there is no land cover raster."))
    if deer.measure_next[0] not in deer.words:  # said already where there is no number
        rows.append(_pair("Measure", deer.measure_next[0]))
    return rows


def _pair(topic: str, words: str) -> dict[str, str]:
    return {"topic": topic, **_split(words)}


def _split(words: str) -> dict[str, str]:
    first, _, rest = words.partition(". ")
    return {"number": first.rstrip(".") + ".", "why": rest}


def _browse(deer: Deer) -> dict[str, str]:
    return {"topic": "Browse", "number": deer.impact.words, "why": deer.impact.why}


def _deer(deer: Deer) -> dict[str, str]:
    use = deer.equivalents
    if use.value is None:
        return {"topic": "Deer", "number": "No number yet", "why": deer.words}
    walk = rounded(deer.walk_there.value or 0.0, "deer")
    return {
        "topic": "Deer",
        "number": f"{answer(use)} on {deer.acres:,.0f} acres in fall {deer.season}",
        "why": f"About {walk} walk there at some time; {deer.share_pct:.0f}% of their ground is yours.",
    }


def _take(take: Take) -> dict[str, str]:
    does, bucks = take.does, take.bucks
    number = f"{does} {'doe' if does == 1 else 'does'} and {bucks} {'buck' if bucks == 1 else 'bucks'} at most"
    number = number if take.measured else "Not measured enough to name any"
    why = f"{take.does_words} {take.bucks_words}" if take.measured else take.does_words
    return {"topic": "Take", "number": number, "why": f"{why} Season, tags and zone are the state's."}


def _first(words: Sequence[str]) -> str:
    return words[0].split(". ")[0].rstrip(".") + "."


def _rest(words: Sequence[str]) -> str:
    return ". ".join(words[0].split(". ")[1:]) or "Nothing else is known."

"""The deer in one look: deer on the land, take, chance, meat, what to measure; a number and one reason each.

first_screen    the answer of `woodlot.plan.hunt.season` -> rows (topic, number, why) that fit one terminal page
herd_screen     the same for the herd: deer, the next forest, what there is to eat, what to measure
"""

from collections.abc import Mapping

from woodlot.trade import HARD_WINTERS
from woodlot.words import answer, range_words, rounded, two_figures

__all__ = ["first_screen", "herd_screen"]


def first_screen(told: Mapping) -> list[dict[str, str]]:
    """Rows topic, number, why from a season's answer, in the order a family asks; plain words, no blank rows."""
    take, risk = told["take"], told["risk"]
    rows = [_deer(told), _take(take)]
    if risk["takes"]:
        plan = next(r for r in risk["takes"] if r["plan"])
        halved = plan["halved_10"]
        rows.append(
            {
                "topic": "Chance",
                "number": (
                    f"{100 * halved['value']:.0f} in 100 that the herd halves in ten years "
                    f"({100 * halved['low']:.0f} to {100 * halved['high']:.0f}, assumptions)"
                ),
                "why": (
                    f"With no hunting by anybody {100 * risk['no_hunting']['halved_10']:.0f} in 100. "
                    "Low: neighbors take none; high: three fawns in ten fewer."
                ),
            }
        )
    meat = take["meat_lb"]
    rows.append(
        {
            "topic": "Meat",
            "number": answer(meat) if meat["value"] else "none",
            "why": take["wish_words"] or ("About four meals to the pound." if meat["value"] else "No deer, no meat."),
        }
    )
    if told["impact"]["plots"]:
        rows.append(_browse(told))
    rows.append({"topic": "Measure", "number": _first(told["measure_next"]), "why": _rest(told["measure_next"])})
    return rows


def herd_screen(told: Mapping) -> list[dict[str, str]]:
    """Rows topic, number, why of the herd: how many, on your ground, will the forest come up, food, what to measure."""
    use, food = told["equivalents"], told["food"]
    rows = [_pair("Deer", told["words"])]
    if use["value"] is not None:
        rows = [_pair("Deer", told["words"]), _deer(told) | {"topic": "Yours"}]
        rows[1]["why"] = f"They use about {told['effective_ac']:,.0f} acres. {rows[1]['why']}"
    if told["seedlings"]:
        rows.append({"topic": "Forest", **_split(told["seedlings"][0]["words"])})
    rows.append(_browse(told))
    if food is not None:
        rates = food["per_sqmi"]
        ends = ", ".join(f"{two_figures(rates[w]['value'])} in a {w} one" for w in HARD_WINTERS)
        rows.append(
            {
                "topic": "Food",
                "number": f"for {two_figures(rates['average']['value'])} deer a square mile in an average winter "
                f"({range_words(rates['average'])})",
                "why": f"{ends[0].upper()}{ends[1:]}. Good to a factor of 3; it sets no take.",
            }
        )
        if food["cuts"]:
            rows.append({"topic": "Cuts", "number": food["cuts"]["words"], "why": ""})
    else:
        rows.append(_pair("Food", "Not known. No stand has a cover written, and there is no land cover raster."))
    if told["measure_next"][0] not in told["words"]:  # said already where there is no number
        rows.append(_pair("Measure", told["measure_next"][0]))
    return rows


def _pair(topic: str, words: str) -> dict[str, str]:
    return {"topic": topic, **_split(words)}


def _split(words: str) -> dict[str, str]:
    first, _, rest = words.partition(". ")
    return {"number": first.rstrip(".") + ".", "why": rest}


def _browse(told: Mapping) -> dict[str, str]:
    return {"topic": "Browse", "number": told["impact"]["words"], "why": told["impact"]["why"]}


def _deer(told: Mapping) -> dict[str, str]:
    use = told["equivalents"]
    if use["value"] is None:
        return {"topic": "Deer", "number": "No number yet", "why": told["words"]}
    walk = rounded(told["walk_there"]["value"], "deer")
    return {
        "topic": "Deer",
        "number": f"{answer(use)} on {told['acres']:,.0f} acres in fall {told['season']}",
        "why": f"About {walk} walk there at some time; {told['share_pct']:.0f}% of their ground is yours.",
    }


def _take(take: Mapping) -> dict[str, str]:
    does, bucks = take["does"], take["bucks"]
    number = f"{does} {'doe' if does == 1 else 'does'} and {bucks} {'buck' if bucks == 1 else 'bucks'} at most"
    number = number if take["measured"] else "Not measured enough to name any"
    why = f"{take['does_words']} {take['bucks_words']}" if take["measured"] else take["does_words"]
    return {"topic": "Take", "number": number, "why": f"{why} Season, tags and zone are the state's."}


def _first(words: list[str]) -> str:
    return words[0].split(". ")[0].rstrip(".") + "."


def _rest(words: list[str]) -> str:
    return ". ".join(words[0].split(". ")[1:]) or "Nothing else is known."

"""The first screen: one line that decides, then a row for wood, cut, this winter, heat, deer and what to measure next.

Each row is number, range, title and why, in that order of importance; screen and report show the same rows.
"""

from datetime import date
from typing import Any

from woodlot import words
from woodlot.story.views import take_words

__all__ = ["headline", "heat_row", "rows"]


def headline(out: dict[str, Any]) -> str:
    """The decision of this winter in one line."""
    cut_now = out["totals"]["stands_this_winter"]
    if not out["stands"]:
        return "No stands yet. Draw them in stands.geojson; then plots can be counted for each."
    if not out["totals"]["acres_with_plots"]:
        return "No plots yet. Put three in the largest stand for a first figure."
    if not cut_now:
        return "Cut nothing this winter."
    rest = len(out["stands"]) - len(cut_now)
    leave = "" if not rest else " Leave the other one." if rest == 1 else f" Leave the other {_number_word(rest)}."
    return f"Cut in {_number_word(len(cut_now))} {'stand' if len(cut_now) == 1 else 'stands'} this winter.{leave}"


def _number_word(n: int) -> str:
    small = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
    return small[n] if n < len(small) else str(n)


def rows(out: dict[str, Any]) -> list[dict[str, str]]:
    """First rows of screen and report: what stands, what may be cut, this winter's work, heat, deer, measure next."""
    return [
        r
        for r in (
            _stands_row(out),
            _cut_row(out),
            _winter_row(out),
            heat_row(out["heat"]),
            _deer_row(out),
            _changed_row(out),
            _next_row(out),
        )
        if r
    ]


def _row(topic: str, title: str, number_: str, range_: str, why: str) -> dict[str, str]:
    return {"topic": topic, "title": title, "number": number_, "range": range_, "why": why}


def _stands_row(out: dict[str, Any]) -> dict[str, str]:
    cords, plots_only = out["totals"]["cords"], out["totals"]["cords_sampling_only"]
    if cords["value"] is None:
        return _row("wood", "What stands", "No number yet", "", f"{cords['why'][:1].upper()}{cords['why'][1:]}.")
    why = f"On {out['totals']['acres_with_plots']:,.1f} acres with plots."
    if cords["low"] is not None:
        why += (
            f" The plots alone: {words.range_words(plots_only)}; the rest is the volume table, which no plot can mend."
        )
    if cords["why"]:
        why += f" {cords['why'][0].upper()}{cords['why'][1:]}."
    return _row("wood", "What stands", words.amount(cords["value"], "full cords"), words.range_words(cords), why)


def _cut_row(out: dict[str, Any]) -> dict[str, str]:
    totals = out["totals"]
    growth = totals["growth_cords_per_yr"]
    if growth["value"] is None:
        least = any(s["plots"] >= 3 for s in out["stands"])
        more = "More plots" if least else "Three plots"
        said = f"{growth['why'][:1].upper()}{growth['why'][1:]}. {more} in a stand would give a first figure."
        return _row("cut", "What you may take", "No number yet", "plan no cut on it", said)
    number_ = f"{words.amount(totals['ceiling_cords_per_yr'], 'cords')} a year"
    smallest = totals["ceilings"]["smallest"]
    range_ = f"low end of {words.rounded(smallest['value'], 'cords')}; {words.range_words(smallest)}"
    why = " ".join(w for w in (totals["cut_words"], totals["cut_caution"]) if w)
    return _row("cut", "What you may take", f"{number_} at most", range_, why)


def _winter_row(out: dict[str, Any]) -> dict[str, str]:
    cutting = [s for s in out["stands"] if s["cut"]["this_winter"]]
    names = {p["parcel_id"]: p["name"] for p in out["parcels"]}
    if not cutting:
        return _row(
            "winter",
            "This winter's work",
            "Nothing",
            "",
            "No stand is due, or none is measured enough to plan a cut on.",
        )
    why = " ".join(
        f"Stand {s['stand_id']}, {names.get(s['parcel_id'], words.NO_PARCEL)}: {_after_colon(s['cut']['words'])}"
        for s in cutting
    )
    return _row(
        "winter", "This winter's work", words.amount(out["totals"]["this_winter_cords"], "cords"), "at most", why
    )


def _after_colon(text: str) -> str:
    """What is to be done this winter, without its stand and without the years to come."""
    return text.split(": ", 1)[-1].split(" Over the years ", 1)[0]


def heat_row(heat: dict[str, Any]) -> dict[str, str] | None:
    """The answer on heat, the same wherever it is told: warm this winter or not, why, and what to cut for the next."""
    needed, short = heat["needed"], heat["short"]
    if needed is None or short is None:
        return None
    spread = f"the house needs {words.rounded(needed['value'], 'cords')}"
    spread += f"; {words.range_words(needed)}" if needed["low"] is not None else ""
    said = [f"{_dry_words(heat)}; the need is {needed['why']}." if needed["why"] else f"{_dry_words(heat)}."]
    if heat["burned_cords"] > 0:
        said.append(f"{words.amount(heat['burned_cords'], 'cords')} burned already this winter.")
    if heat["in_count"]:
        said.append(f"What the ledger has dry by {'that day' if heat['dry_on'] else 'now'} is taken to be in it.")
    if heat["past_cords"] > 0:
        said.append("Past winters without a note of burning are taken to have burned the need.")
    if heat["cut_only"]:
        said.append("Wood noted only as cut is taken as split and stacked that day.")
    if heat["not_named"]:
        said.append("Wood that is not named is taken as hard maple.")
    there = words.amount(heat["drying_cords"], "cords") if heat["drying_cords"] > 0 else "nothing"
    verb = "are" if there.endswith("s") else "is"
    said.append(f"For the next winter {there} {verb} drying: {_cut_now(heat['cut_now_cords'])}")
    number_ = f"{words.amount(short['value'], 'cords')} short" if short["value"] > 0 else "Enough dry wood"
    return _row("heat", "Heat", number_, spread, " ".join(said))


def _dry_words(heat: dict[str, Any]) -> str:
    """Dry wood, its range and who says so."""
    if not heat["dry_from"]:
        return "No dry wood is noted, in place.toml or in the ledger"
    on = f" of {words.day(date.fromisoformat(heat['dry_on']))}" if heat["dry_on"] else ""
    names = {"place.toml": f"what place.toml says{on}", "ledger": "the ledger"}
    ends = {"low": heat["dry_low_cords"], "high": heat["dry_high_cords"], "unit": "cords", "kind": "assumptions"}
    spread = f" ({words.range_words(ends)})" if ends["high"] - ends["low"] > 1e-9 else ""
    by = " and ".join(names[one] for one in heat["dry_from"])
    return f"{words.amount(heat['dry_cords'], 'cords')} dry{spread}, by {by}"


def _cut_now(cords: float) -> str:
    if cords <= 0:
        return "no more need be cut for it."
    return f"cut {words.amount(cords, 'cords')} now. Wood cut now burns next winter or later."


def _deer_row(out: dict[str, Any]) -> dict[str, str]:
    take, deer = out["deer"]["take"], out["deer"]
    if not take["measured"]:
        # without any number of deer, why no doe may be named is why there is none
        why = deer["words"] if deer["density_per_sqmi"]["value"] is None else f"{deer['words']} {take['does_words']}"
        return _row("deer", "Deer", "Not measured enough", "", f"{why} Season, tags and zone are the state's.")
    number_ = take_words(take).removesuffix(".")
    if take["meat_lb"]["low"] is None:
        meat = "no meat this season"
    else:
        low, high = (words.rounded(take["meat_lb"][k], "pounds") for k in ("low", "high"))
        meat = f"{low} to {high} pounds of meat, assumptions"
    why = f"{deer['words']} {take['does_words']} {take['bucks_words']} Season, tags and zone are the state's."
    return _row("deer", "Deer", number_, meat, why)


def _changed_row(out: dict[str, Any]) -> dict[str, str]:
    done, since = out["changed"]["words"], words.day(date.fromisoformat(out["changed"]["since"]))
    number_ = f"{done[0][:1].upper()}{done[0][1:]}" if done else "Nothing written down"
    rest = "; ".join(done[1:])
    return _row(
        "changed", "Since last year", number_, f"since {since}", f"{rest[:1].upper()}{rest[1:]}." if rest else ""
    )


def _next_row(out: dict[str, Any]) -> dict[str, str]:
    told, where = out["next_plots"], ""
    if told is None:
        return _row("measure", "Measure next", *_nothing_next(out["stands"]))
    for stand in out["stands"]:
        if stand["stand_id"] == told["stand_id"]:
            where = next((p["name"] for p in out["parcels"] if p["parcel_id"] == stand["parcel_id"]), words.NO_PARCEL)
    number_ = f"{told['plots']} plots in stand {told['stand_id']}"
    return _row("measure", "Measure next", number_, where, " ".join(out["measure_next"]))


def _nothing_next(stands: list[dict[str, Any]]) -> tuple[str, str, str]:
    """Number, range and why where no stand is named to measure next."""
    if not stands:
        return "Nothing yet", "", "Draw the stands first; then plots can be put in them."
    if all(stand["plots"] for stand in stands):
        return "Nothing more", "for cords", "Every stand has plots and none stands out."
    return "Nothing more", "for cords", "Every stand that can be worked has plots and none stands out."

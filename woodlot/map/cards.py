"""The words on a stand's card and on a note's card. Numbers unrounded ride along, so that a test can compare them.

stand_card(stand, parcel, notes, level)   kicker, title, large number, range, paragraphs, facts, cautions, notes
note_title(note), note_card(note, where)
"""

from typing import Any

from woodlot.map.more_questions import browsed
from woodlot.map.questions import entries
from woodlot.map.words import (
    NBSP,
    amount,
    cap,
    day,
    figures,
    has_range,
    listed,
    plural,
    range_level,
    range_only,
    range_words,
    winter_runs,
)
from woodlot.trade import UNITS, UNMEASURED
from woodlot.words import amount as in_words

__all__ = ["note_card", "note_title", "stand_card"]

MEMORY = "† from memory, no source seen. Ask your forester before marking."


def note_title(note: dict[str, Any]) -> str:
    """``Oak, 2 cords``: what was written, and the amount when there is one and the words do not hold it."""
    text = cap(str(note.get("text") or "").strip() or str(note.get("kind") or "note"))
    who = str(note.get("sex_age") or "").strip()
    if who and who.lower() not in text.lower():
        return f"{cap(who)}: {text[:1].lower()}{text[1:]}"
    value, unit = note.get("amount"), str(note.get("unit") or "").strip()
    if value is None or (value == 1 and unit in ("", "deer", "piece")):
        return text
    return f"{text}, {float(value):,.4g}{NBSP}{_unit(unit, float(value))}".rstrip(NBSP)


def _unit(unit: str, value: float) -> str:
    if unit.startswith("bdft"):
        rule = unit.removeprefix("bdft").strip("_").replace("_", " ")
        return f"board feet{' ' + cap(rule) if rule else ''}"
    word = UNITS.get(unit)
    return unit.replace("_", " ") if word is None else word.one if value == 1 else word.many


def note_card(note: dict[str, Any], where: str) -> dict[str, Any]:
    """A note's card: date and place, the words, and the line of the ledger it stands on."""
    kind = str(note.get("kind") or "note")
    lines = [[["", f"Kind: {kind}"]]]
    if note.get("line") is not None:
        lines.append([["", f"Line {note['line']} of the ledger"]])
    return {"kicker": f"{day(note['date'])} · {where}", "title": note_title(note), "lines": lines}


def _plots(stand: dict[str, Any]) -> str:
    words = plural(stand["plots"], "plot")
    empty = int(stand.get("empty_plots") or 0)
    if empty:
        words += f", {empty} of them empty"
    return words + (f", the last of {day(stand['measured_on'])}" if stand.get("measured_on") else "")


def _number(stand: dict[str, Any]) -> tuple[str, str, list]:
    """Large words, the words under them, and the first paragraph."""
    per_ac, cords, how = stand.get("cords_per_ac") or {}, stand.get("cords") or {}, stand["how"]
    value = per_ac.get("value")
    if how == "none" or value is None:
        return "No number yet", "Nobody has put a plot here. Three plots would give a first figure.", []
    if how == "borrowed":
        return f"≈{figures(value)} cords an acre", "borrowed, so no range. Don't plan a cut on it.", []
    if how == "empty plots":
        return "No wood found on the plots", f"{_plots(stand)}. There may be some between them.", []
    about = [["", "About "], ["b", f"{figures(cords.get('value'))} full cords"], ["", " in the stand"]]
    if has_range(cords):
        about.append(["", f" ({range_only(cords)})"])
    about.append(["", f", from {_plots(stand)}."])
    return f"{figures(value)} cords an acre", cap(range_words(per_ac)), about


def _cut(stand: dict[str, Any]) -> tuple[list, bool]:
    cut = stand.get("cut") or {}
    words = str(cut.get("words") or "").strip()
    if not words:
        return [], False
    starts = "this winter" in words.lower()
    out = [["", cap(words)]] if starts else [["b", "This winter: "], ["", words]]
    leave, memory = cut.get("leave_sqft_per_ac"), False
    if leave is not None and "sq ft" not in words and cut.get("this_winter"):
        memory = cut.get("leave_seen") == "memory"
        out.append(["", f" Leave {amount(leave)} sq{NBSP}ft of basal area an acre{'†' if memory else ''}."])
    amount_cut = cut.get("cords")
    if cut.get("this_winter") and "cords" not in words and amount_cut and amount_cut.get("value") is not None:
        about = "About " if has_range(amount_cut) else ""
        out.append(["", f" {about}{figures(amount_cut['value'])} full cords ({range_level(amount_cut)})."])
    return out, memory


def _winters(stand: dict[str, Any]) -> list[list[str]]:
    """One row for each run of winters in which the plan cuts the stand, and their sum."""
    turns, rows = entries(stand), []
    for span, run in winter_runs(turns):
        each = [figures(e["cords"]) for e in run]
        when = "winter" if len(run) == 1 else "winters"
        if len(run) == 1:
            cords = _said(run[0]["cords"], "cords")
        else:
            cords = f"{each[0]} cords each" if len(set(each)) == 1 else f"{listed(each)}{NBSP}cords"
        rows.append([f"{when} {span}, {_said(sum(e['acres'] for e in run), 'acres')}", cords])
    if len(turns) > 1:
        ac, total = (sum(e[name] for e in turns) for name in ("acres", "cords"))
        part = (
            f"{amount(ac, 1)} of its {_said(stand['acres'], 'acres')}" if ac <= stand["acres"] else _said(ac, "acres")
        )
        rows.append([f"in all, {part}", _said(total, "cords")])
    return rows


def _said(value: float, unit: str) -> str:
    """An amount as the screen says it, number and unit held together."""
    return in_words(value, unit).replace(" ", NBSP)


def _facts(stand: dict[str, Any]) -> list[list[str]]:
    if stand["how"] in UNMEASURED:
        return []
    rows = []

    def add(name: str, key: str, unit: str) -> None:
        e = stand.get(key) or {}
        if e.get("value") is not None:
            tail = f" ({range_only(e, 0)})" if has_range(e) else ""
            rows.append([name, f"{amount(e['value'])}{NBSP}{unit}{tail}"])

    add("basal area", "basal_sqft_per_ac", "sq ft an acre")
    add("trees", "trees_per_ac", "an acre")
    if stand.get("qmd_in") is not None:
        rows.append(["mean diameter", f"{amount(stand['qmd_in'], 1)}{NBSP}in"])
    if stand.get("dead_trees_per_ac") is not None:
        rows.append(["dead trees", f"{amount(stand['dead_trees_per_ac'])}{NBSP}an acre, not in the cords"])
    grown = stand.get("growth_cords_per_yr") or {}
    if grown.get("value") is not None:
        tail = f" ({range_only(grown)})" if has_range(grown) else ""
        rows.append(["growth", f"{figures(grown['value'])}{NBSP}cords a year{tail}"])
    share = browsed(stand)
    if share is not None:
        rows.append(["stems browsed", f"{share:.0f}% of {stand['browse_stems']:,.0f}"])
    return rows


def _data(stand: dict[str, Any]) -> dict[str, Any]:
    out: dict[str, Any] = {"stand": str(stand["stand_id"])}
    for key in ("cords_per_ac", "cords", "basal_sqft_per_ac", "trees_per_ac", "growth_cords_per_yr"):
        for part, tail in (("value", ""), ("low", "_low"), ("high", "_high")):
            number = (stand.get(key) or {}).get(part)
            if number is not None:
                out[key + tail] = number
    return out


def stand_card(stand: dict[str, Any], parcel_name: str, notes: list[dict[str, Any]]) -> dict[str, Any]:
    """A stand's card as plain words; ``data`` holds the same numbers unrounded."""
    big, under, about = _number(stand)
    cut, memory = _cut(stand)
    species = [
        [str(s["species"]), f"{amount(s['share_pct'])}%", f"{figures(s['cords_per_ac'])} cords an acre"]
        for s in (stand.get("species") or [])[:6]
    ]
    return {
        "kicker": f"Stand {stand['stand_id']} · {parcel_name}",
        "title": f"{cap(str(stand['cover']))}, {amount(stand['acres'], 1)}{NBSP}acres",
        "big": big,
        "under": under,
        "lines": [line for line in (about, cut) if line],
        "foot": MEMORY if memory else "",
        "winters": _winters(stand),
        "species": species,
        "facts": _facts(stand),
        "cautions": [str(c) for c in stand.get("cautions") or []],
        "notes": [[day(n["date"]), note_title(n)] for n in notes],
        "data": _data(stand),
    }

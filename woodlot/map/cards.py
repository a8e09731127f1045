"""The words on a stand's card and on a note's card. Numbers unrounded ride along, so that a test can compare them.

stand_card(stand, parcel, notes, level)   kicker, title, large number, range, paragraphs, facts, cautions, notes
note_title(note), note_card(note, where, mind)
"""

from collections.abc import Sequence
from typing import Any

from woodlot.answers.note_types import Note
from woodlot.answers.stand_types import Stand
from woodlot.estimate import Number, is_wide
from woodlot.map.ground_questions import browsed
from woodlot.map.map_words import (
    amount,
    counted,
    day,
    figures,
    has_range,
    range_level,
    range_only,
    range_words,
    winter_runs,
)
from woodlot.say import words
from woodlot.say.unmeasured import nobody
from woodlot.say.words import FROM_MEMORY, NBSP, bound, capital, listed
from woodlot.trade import UNMEASURED, unit_word

__all__ = ["note_card", "note_title", "stand_card"]


def note_title(note: Note) -> str:
    """``Oak, 2 cords``: what was written, the amount when there is one and the words do not hold it, and what the other
    columns tell.
    """
    title = _title(note)
    return f"{title} ({note.details})" if note.details else title


def _title(note: Note) -> str:
    text, who = capital(note.text.strip() or note.kind or "note"), note.sex_age.strip()
    if who and who.lower() not in text.lower():
        return f"{capital(who)}: {text[:1].lower()}{text[1:]}"
    value, unit = note.amount, note.unit.strip()
    if value is None or (value == 1 and unit in ("", "deer", "piece")):
        return text
    return f"{text}, {value:,.4g}{NBSP}{_unit(unit, value, note.kind)}".rstrip(NBSP)


def _unit(unit: str, value: float, kind: str) -> str:
    if unit.startswith("bdft"):
        rule = unit.removeprefix("bdft").strip("_").replace("_", " ")
        return f"board feet{' ' + capital(rule) if rule else ''}"
    word = unit_word(unit, kind)
    return unit.replace("_", " ") if word is None else word.one if value == 1 else word.many


def note_card(note: Note, where: str, mind: str) -> dict[str, Any]:
    """A note's card: date and place, the words, the line of the ledger it stands on; of a deer what to mind."""
    lines = [[["", f"Kind: {note.kind or 'note'}"]], [["", f"Line {note.line} of the ledger"]]]
    card = {"kicker": f"{day(note.date)} · {where}", "title": note_title(note), "lines": lines}
    return card | ({"cautions": [mind]} if mind and note.tag == "deer" else {})


def _plots(stand: Stand) -> str:
    empty = f", {stand.empty_plots} of them empty" if stand.empty_plots else ""
    return (
        counted(stand.plots, "plot") + empty + (f", the last of {day(stand.measured_on)}" if stand.measured_on else "")
    )


def _number(stand: Stand) -> tuple[str, str, list]:
    """Large words, the words under them, and the first paragraph."""
    per_ac, cords, how = stand.cords_per_ac, stand.cords, stand.how
    value = per_ac.value
    if how == "none" or value is None:
        return "No number yet", nobody(), []
    if how == "borrowed":
        return f"≈{figures(value)} cords an acre", "borrowed, so no range. Don't plan a cut on it.", []
    if how == "empty plots":
        return "No wood found on the plots", f"{_plots(stand)}. There may be some between them.", []
    about = [["", "About "], ["b", f"{figures(cords.value)} full cords"], ["", " in the stand"]]
    about += [["", _brackets(cords)]] if has_range(cords) else []
    about.append(["", f", from {_plots(stand)}."])
    about_ac = "about " if is_wide(per_ac.value, per_ac.low, per_ac.high) else ""
    return capital(f"{about_ac}{figures(value)} cords an acre"), capital(range_words(per_ac)), about


def _brackets(number: Number, places: int | None = None) -> str:
    return f" ({range_only(number, places)})" if has_range(number) else ""


def _cut(stand: Stand) -> tuple[list, bool]:
    cut, taken = stand.cut, stand.cut.words.strip()
    if not taken:
        return [], False
    starts = "this winter" in taken.lower()
    out = [["", capital(taken)]] if starts else [["b", "This winter: "], ["", taken]]
    leave, memory = cut.leave_sqft_per_ac, False
    if leave is not None and "sq ft" not in taken and cut.this_winter and not cut.tally_trees:
        memory = cut.leave_seen == "memory"
        out.append(["", f" Leave {amount(leave)} sq{NBSP}ft of basal area an acre{'†' if memory else ''}."])
    amount_cut = cut.cords
    if cut.this_winter and "cords" not in taken and amount_cut and amount_cut.value is not None:
        about = "About " if has_range(amount_cut) else ""
        out.append(["", f" {about}{figures(amount_cut.value)} full cords ({range_level(amount_cut)})."])
    return out, memory


def _winters(stand: Stand) -> list[list[str]]:
    """One row for each run of winters in which the plan cuts the stand, and their sum."""
    turns, rows = stand.cut.entries, []
    for span, run in winter_runs(turns):
        each = [figures(e.cords) for e in run]
        if len(run) == 1:
            cords = _held(run[0].cords, "cords")
        else:
            cords = f"{each[0]} cords each" if len(set(each)) == 1 else f"{listed(each)}{NBSP}cords"
        rows.append([f"{words.noun(len(run), 'winter')} {span}, {_held(sum(e.acres for e in run), 'acres')}", cords])
    if len(turns) > 1:
        ac, total = sum(e.acres for e in turns), sum(e.cords for e in turns)
        part = f"{amount(ac, 1)} of its {_held(stand.acres, 'acres')}" if ac <= stand.acres else _held(ac, "acres")
        rows.append([f"in all, {part}", _held(total, "cords")])
    return rows


def _held(value: float, unit: str) -> str:
    """An amount as on the screen, number and unit held together."""
    return bound(words.amount(value, unit))


def _facts(stand: Stand, stems: tuple[float, float]) -> list[list[str]]:
    if stand.how in UNMEASURED:
        return []
    rows = []

    def add(name: str, e: Number, unit: str) -> None:
        if e.value is not None:
            rows.append([name, f"{amount(e.value)}{NBSP}{unit}{_brackets(e, 0)}"])

    add("basal area", stand.basal_sqft_per_ac, "sq ft an acre")
    add("trees", stand.trees_per_ac, "an acre")
    if stand.qmd_in is not None:
        rows.append(["mean diameter", f"{amount(stand.qmd_in, 1)}{NBSP}in"])
    if stand.dead_trees_per_ac is not None:
        rows.append(["dead trees", f"{amount(stand.dead_trees_per_ac)}{NBSP}an acre, not in the cords"])
    grown = stand.growth_cords_per_yr
    if grown.value is not None:
        rows.append(["growth", f"{figures(grown.value)}{NBSP}cords a year{_brackets(grown)}"])
    if stand.balance is not None and stand.balance.cut_cords:
        rows.append(["growth and cut", stand.balance.words])
    share = browsed(*stems)
    if share is not None:
        rows.append(["stems browsed", f"{share:.0f}% of {stems[0]:,.0f}"])
    return rows


def _data(stand: Stand) -> dict[str, Any]:
    out: dict[str, Any] = {"stand": stand.stand_id}
    for key in ("cords_per_ac", "cords", "basal_sqft_per_ac", "trees_per_ac", "growth_cords_per_yr"):
        e: Number = getattr(stand, key)
        ends = {key: e.value, f"{key}_low": e.low, f"{key}_high": e.high}
        out |= {name: number for name, number in ends.items() if number is not None}
    return out


def _species(stand: Stand) -> list[list[str]]:
    """Kinds of tree with share and cords, why some have no range, once, and what there may be of one not met."""
    rows: list[list[str]] = []
    whys: set[str] = set()
    for one in stand.species[:6]:
        told = one.told_per_ac or Number(one.cords_per_ac, unit="cords an acre")
        note = _brackets(told) or (f" ({told.why})" if told.why and told.why not in whys else "")
        about = "" if has_range(told) else "about "
        whys.add(told.why)
        row = f"{about}{figures(one.cords_per_ac)} cords an acre{note}"
        rows.append([one.species, f"{amount(one.share_pct)}%", row])
    if stand.species and stand.unseen_kind_per_ac is not None:
        rows.append(["any kind not met", "0%", stand.unseen_kind_per_ac.why])
    return rows


def stand_card(
    stand: Stand, parcel_name: str, notes: Sequence[Note], stems: tuple[float, float] = (0.0, 0.0)
) -> dict[str, Any]:
    """A stand's card as plain words; ``data`` holds the same numbers unrounded.

    stems: counted and browsed on the deer plots in the stand.
    """
    big, under, about = _number(stand)
    wish = " ".join(one.words for one in stand.wishes or ())
    cut, memory = _cut(stand)
    return {
        "kicker": f"Stand {stand.stand_id} · {parcel_name}",
        "title": f"{capital(stand.cover)}, {amount(stand.acres, 1)}{NBSP}acres",
        "big": big,
        "under": under,
        "lines": [
            line
            for line in (
                about,
                [["b", "Your wish: "], ["", wish]] if wish else [],
                cut,
                [["b", "From your notes: "], ["", " ".join(stand.noted)]] if stand.noted else [],
            )
            if line
        ],
        "years": ["In years to come", stand.years_words] if stand.years_told else [],
        "foot": f"{FROM_MEMORY} Ask your forester before marking." if memory else "",
        "winters": _winters(stand),
        "species": _species(stand),
        "facts": _facts(stand, stems),
        "cautions": list(stand.cautions),
        "notes": [[day(n.date), note_title(n)] for n in notes],
        "data": _data(stand),
    }

"""The report's page for one parcel.

parcel_page       finding, map, stand table, notes, before you cut
mark              the sign beside a number whose source was not seen
"""

import math
from html import escape
from typing import Any

from woodlot.answers.stand_types import Stand
from woodlot.answers.types import Answers
from woodlot.map import map_on_paper, printed, questions
from woodlot.map.map_words import amount, figures, winters
from woodlot.paper.pages import brackets, page
from woodlot.say.words import NBSP, capital, cut_short, noun

__all__ = ["mark", "parcel_page"]

#: Pixels of a Letter page that are left for map, stands, notes and cautions.
ROOM_PX = 515.0
#: Height of a row of a table, of a line in it, and letters of such a line.
ROW_PX, LINE_PX, LINE_LETTERS = 26.5, 19.0, 110
#: Letters of a next cut that stays in one line.
ONE_LINE = 40
#: The smallest scale at which words find room on the map (``map.room``) is 230, which may be drawn 2 % smaller.
LEAST_MAP_PX = 226.0
MARK = "†"


def mark(seen: object) -> str:
    """The sign of a figure or source that is from memory, nothing otherwise."""
    return MARK if "memory" in str(seen or "") else ""


def parcel_page(answers: Answers, layers: dict[str, Any], pid: str, number: int, foot: str) -> str:
    """One parcel: its finding, the map, the stand table, notes, and what to mind before cutting."""
    parcel = next(p for p in layers["parcels"] if p["id"] == pid)
    stands = [s for s in answers.stands if s.parcel_id == pid]
    finding = parcel["said"]["when"]["head"]
    title = f"{parcel['name']}: {finding[:1].lower()}{finding[1:]}"
    where = " ".join(f"{c}." for c in parcel["contacts"])
    away = "" if parcel["home"] or not parcel["miles"] else f"{parcel['miles']} from home."
    sub = " ".join(w for w in (f"{parcel['acres']}.", away, where, parcel["walked"]) if w)
    cautions = _cautions(answers, stands) + _with_deer(layers, pid)
    mine = printed.notes(layers, pid)
    again = sum(-(-len(" · ".join(_below(s, answers.winter))) // LINE_LETTERS) for s in stands)
    left = (
        ROOM_PX
        - ROW_PX * (len(stands) + 2)
        - LINE_PX * again
        - 20 * sum(1 + len(words) // 100 for _, words in cautions)
    )
    shown = min(len(mine), 12, max(0, int((left - LEAST_MAP_PX) // ROW_PX)))
    (south, west), (north, east) = parcel["bounds"]
    tall = max(north - south, 1e-9) / max((east - west) * math.cos(math.radians(south)), 1e-9)
    high = min(400.0, max(LEAST_MAP_PX, left - ROW_PX * shown))
    long_px = min(560.0, high / min(tall, 1.0))
    picture = map_on_paper.parcel_svg(layers, pid, ["grows"], long_px, f"m{number}-", printed.YEARS)
    legend = printed.legend(layers["questions"][0], parcel)
    inside = (
        f"<h1>{escape(title)}</h1><p class='sub'>{escape(sub)}</p><div class='map'>{picture}</div>{legend}"
        + _stand_table(answers, parcel, stands)
        + _notes(mine, shown, layers["older"] is not None)
        + _before(cautions, layers)
    )
    return page(layers, parcel["name"], inside, foot)


def _stand_table(answers: Answers, parcel: dict[str, Any], stands: list[Stand]) -> str:
    right = "".join(f"<th class='r'>{w}</th>" for w in ("acres", "full cords an acre", "in all", "plots"))
    head = f"<tr><th>stand</th><th>cover</th>{right}<th>next cut</th></tr>"
    body = "".join(_stand_row(s, answers.winter) for s in stands)
    whole = next(p.cords for p in answers.parcels if p.parcel_id == parcel["id"])
    measured = [s for s in stands if s.plots]
    if measured and whole.value is not None:
        acres = amount(sum(s.acres for s in measured), 1)
        body += (
            f"<tr><td></td><td><b>Measured</b></td><td class='r'><b>{acres}</b></td><td></td>"
            f"<td class='r'><b>{figures(whole.value)}</b> {brackets(whole)}</td>"
            f"<td class='r'>{sum(s.plots for s in measured)}</td><td></td></tr>"
        )
    if not stands:
        body = "<tr><td colspan='7'>No stands drawn on this parcel yet.</td></tr>"
    label = f"tabindex='0' role='region' aria-label='Stands of {escape(parcel['name'], quote=True)}'"
    return f"<div class='scroll' {label}><table>{head}{body}</table></div>"


def _stand_row(s: Stand, winter: str) -> str:
    number, words = questions.cord_words(s)
    per_acre, whole = (f"<b>{number}</b> ({words})", figures(s.cords.value)) if number else (words, "–")
    plots = amount(s.plots) if s.plots else "none"
    if s.empty_plots:
        plots += f", {amount(s.empty_plots)} empty"
    first = f"<td><b>{escape(s.stand_id)}</b></td><td class='nowrap'>{escape(capital(s.cover))}</td>"
    second = f"<td class='r'>{amount(s.acres, 1)}</td><td class='r nowrap'>{per_acre}</td><td class='r'>{whole}</td>"
    row = f"<tr>{first}{second}<td class='r'>{plots}</td>{_next(_next_cut(s, winter))}</tr>"
    below = escape(" · ".join(_below(s, winter)))
    if not below:
        return row
    return row.replace("<tr>", "<tr class='over'>") + f"<tr class='below'><td></td><td colspan='6'>{below}</td></tr>"


def _below(s: Stand, winter: str) -> list[str]:
    """What stands under a stand's row: its later winters, its growth against what was cut of it, what was noted."""
    more = [e for e in s.cut.entries if e.winter != winter] if s.cut.this_winter else s.cut.entries[1:]
    cut = s.balance.words if s.balance is not None and s.balance.cut_cords else ""
    wishes = " ".join(one.words for one in s.wishes or ()).removesuffix(".")
    noted = " ".join(s.noted or ()).removesuffix(".")
    return [words for words in (f"then {winters(more)}" if more else "", wishes, cut, noted) if words]


def _next(words: str) -> str:
    """The cell of the next cut, in one line where it is short."""
    of = " class='nowrap'" if len(words) <= ONE_LINE else ""
    return f"<td{of}>{escape(words)}</td>"


def _next_cut(s: Stand, winter: str) -> str:
    cut, leave = s.cut, s.cut.leave_sqft_per_ac
    if cut.this_winter:
        planned = leave is not None and cut.entries and cut.entries[0].winter == winter
        kept = f", leave {amount(leave)} sq{NBSP}ft an acre{mark(cut.leave_seen)}" if planned else ""
        taken = "" if cut.cords is None or cut.cords.value is None else f", {figures(cut.cords.value)}{NBSP}cords"
        done = f" to go, {figures(cut.done_cords)} cut" if cut.done_cords and taken else ""
        return f"this winter{taken}{done}{kept}"
    if cut.done_cords:
        done = f"this winter {figures(cut.done_cords)}{NBSP}cords, done"
        return f"{done}; {winters(cut.entries[:1])}" if cut.entries else done
    return winters(cut.entries[:1]) if cut.entries else questions.unplanned(s)


def _notes(mine: list[dict[str, Any]], shown: int, capped: bool) -> str:
    if not mine:
        return "<h2>Notes</h2><p class='small gray'>None from the last five years.</p>"
    rows = "".join(
        f"<tr><td class='nowrap' style='width:8.5em'>{escape(m['date'])}</td>"
        f"<td>{escape(cut_short(m['title'], 160) + (', stand ' + m['stand'] if m['stand'] else ''))}</td></tr>"
        for m in mine[:shown]
    )
    older = len(mine) - shown
    told = f"and {older} older" if rows else f"{older} of the last five years"
    lists = "the map lists them, and older ones are told by year further on" if capped else "woodlot book lists them"
    more = f"{told}; {lists}." if older > 0 else ""
    if not rows:
        return f"<p class='small gray' style='margin-top:8px'>Notes: {more}</p>"
    return f"<h2>Notes</h2><table>{rows}</table>" + (f"<p class='small gray'>{more}</p>" if more else "")


def _cautions(answers: Answers, stands: list[Stand]) -> list[tuple[str, str]]:
    """What to mind on this parcel, each once with the stands it holds for."""
    names = {f"stand {s.stand_id}": s.stand_id for s in stands}
    of: dict[str, list[str]] = {}
    for s in stands:
        for words in s.cautions:
            of.setdefault(words, []).append(s.stand_id)
    for c in answers.cautions:
        at = names.get(c.where)
        if at and at not in of.setdefault(c.text, []):
            of[c.text].append(at)
    return [(f"{noun(len(ids), 'stand')} {', '.join(ids)}", words) for words, ids in of.items()]


def _with_deer(layers: dict[str, Any], pid: str) -> list[tuple[str, str]]:
    """What to mind with deer, where the map of the parcel shows sign, a stand to wait in, or one that was taken."""
    stands = any(f["kind"] == "deer_stand" and pid in f["parcels"] for f in layers["features"])
    shown = stands or any(p["parcel"] == pid for p in layers["deer"])
    shown = shown or any(n["tag"] == "deer" and n["parcel"] == pid for n in layers["notes"])
    words = layers["mind"]["stand" if stands else "law"] if shown else ""
    return [("deer", words)] if words else []


def _before(cautions: list[tuple[str, str]], layers: dict[str, Any]) -> str:
    lines = "".join(f"<p><b>{escape(capital(where))}:</b> {escape(words)}</p>" for where, words in cautions)
    return f"<div class='caution'><p><b>Before you cut:</b> {escape(layers['head']['foot'])}</p>{lines}</div>"

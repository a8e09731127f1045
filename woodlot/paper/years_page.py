"""The report's page on the years to come: what each stand is and what it will be, uncut and cut.

years_pages   a line a stand, parcel by parcel
"""

from html import escape
from typing import Any

from woodlot.answers.stand_types import Stand
from woodlot.answers.types import Answers
from woodlot.map.map_words import amount
from woodlot.paper.pages import page
from woodlot.say.words import NO_PARCEL
from woodlot.say.years_told import HEADS

__all__ = ["years_pages"]

#: Letters of a line in one of two columns, and lines of both on a page.
LETTERS_A_LINE, LINES_A_PAGE = 54, 98
TITLE = "What each stand will be"


def years_pages(answers: Answers, layers: dict[str, Any], foot: str) -> list[str]:
    """Each stand in 10, 25 and 50 years; no page where of no stand any year is told."""
    if not any(stand.years_told for stand in answers.stands):
        return []
    names = {p["id"]: p["name"] for p in layers["parcels"]}
    parts: list[list[str]] = []
    room, last = 0, None
    for stand in answers.stands:
        name, line = names.get(stand.parcel_id, NO_PARCEL), _line(stand)
        lines = -(-len(line) // LETTERS_A_LINE) + 1
        if lines > room:
            parts.append([])
            room, last = LINES_A_PAGE, None
        parts[-1] += ([] if name == last else [f"<h2>{escape(name)}</h2>"]) + [line]
        room, last = room - lines - (0 if name == last else 3), name
    caption = f"<p class='caption'>{escape(answers.years_words or '')}</p>"
    heads = [f"<h1>{TITLE}</h1>{caption}", *[f"<h2>{TITLE}, continued</h2>"] * (len(parts) - 1)]
    return [
        page(layers, "years to come", f"{head}<div class='reading'>{''.join(part)}</div>", foot)
        for head, part in zip(heads, parts, strict=True)
    ]


def _line(stand: Stand) -> str:
    words = escape(stand.years_words or "")
    for way in HEADS:
        words = words.replace(way, f"<b>{way}</b>")
    head = f"<b>Stand {escape(stand.stand_id)}, {amount(stand.acres, 1)} acres.</b>"
    return f"<p style='margin-bottom:4px'>{head} {words}</p>"

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

#: Letters of a line in one of two columns, and of a stand's number and acres; lines of both columns on a page, those
#: that a parcel's name takes, and that part two stands.
LETTERS_A_LINE, HEAD_LETTERS = 50, 22
LINES_A_PAGE, HEADING, BETWEEN = 100.0, 2.5, 0.3
TITLE = "What each stand will be"


def years_pages(answers: Answers, layers: dict[str, Any], foot: str) -> list[str]:
    """Each stand in 10, 25 and 50 years; no page where of no stand any year is told."""
    if not any(stand.years_told for stand in answers.stands):
        return []
    caption = answers.years_words or ""
    names = {p["id"]: p["name"] for p in layers["parcels"]}
    parts: list[str] = []
    room, last = 0.0, None
    for stand in answers.stands:
        name, words = names.get(stand.parcel_id, NO_PARCEL), _beyond_the_head(stand.years_words or "", caption)
        lines = -(-(len(words) + HEAD_LETTERS) // LETTERS_A_LINE) + BETWEEN
        if lines > room:
            parts.append("")
            room, last = LINES_A_PAGE, None
        if name != last:
            parts[-1] += f"<h2 style='break-after:avoid'>{escape(name)}</h2>"
            room, last = room - HEADING, name
        parts[-1] += _line(stand, words)
        room -= lines
    heads = [
        f"<h1>{TITLE}</h1><p class='caption'>{escape(caption)}</p>",
        *[f"<h2>{TITLE}, continued</h2>"] * (len(parts) - 1),
    ]
    return [
        page(layers, "years to come", f"{head}<div class='reading'>{part}</div>", foot)
        for head, part in zip(heads, parts, strict=True)
    ]


def _beyond_the_head(words: str, head: str) -> str:
    """Words of a stand less their last sentence where the head of the page ends with it too: once is enough."""
    *rest, last = words.split(". ")
    return ". ".join(rest) + "." if rest and head.endswith(f". {last}") else words


def _line(stand: Stand, words: str) -> str:
    words = escape(words)
    for way in HEADS:
        words = words.replace(way, f"<b>{way}</b>")
    head = f"<b>Stand {escape(stand.stand_id)}, {amount(stand.acres, 1)} acres.</b>"
    return f"<p style='margin-bottom:4px'>{head} {words}</p>"

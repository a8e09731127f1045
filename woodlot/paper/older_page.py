"""The report's page on the older notes of a long ledger, which are told by year and kind.

older_pages   a line a year, the newest first
"""

from html import escape
from typing import Any

from woodlot.answers.types import Answers
from woodlot.paper.pages import page

__all__ = ["older_pages"]

#: Lines of a page, and letters of one.
LINES_A_PAGE, LETTERS_A_LINE = 42, 96
TITLE = "Notes of older years"


def older_pages(answers: Answers, layers: dict[str, Any], foot: str) -> list[str]:
    """Older notes year by year; no page where all notes are shown one by one."""
    older = answers.older_notes
    if older is None:
        return []
    parts: list[str] = []
    room = 0
    for one in older.years:
        lines = -(-len(one.words) // LETTERS_A_LINE)
        if lines > room:
            parts.append("")
            room = LINES_A_PAGE
        parts[-1] += f"<tr><td>{one.year}</td><td class='r'>{one.notes:,}</td><td>{escape(one.words)}</td></tr>"
        room -= lines
    head = "<tr><th>year</th><th class='r'>notes</th><th>what they come to</th></tr>"
    titles = [
        f"<h1>{TITLE}</h1><p class='sub'>{escape(older.words)}</p>",
        *[f"<h2>{TITLE}, continued</h2>"] * len(parts),
    ]
    return [
        page(layers, "older notes", f"{title}<table>{head}{part}</table>", foot)
        for title, part in zip(titles, parts, strict=False)
    ]

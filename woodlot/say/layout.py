"""Columns of words laid out in plain text, no line wider than the screen.

A cell that is too long goes on below itself, within its column. A word is broken only where it is longer than half a
line. Columns that find no room go to a second line under their row, with their headings.
"""

from itertools import zip_longest
from textwrap import wrap
from typing import NamedTuple

__all__ = ["NARROW", "Texts", "lines", "placed"]

#: Columns of letters under which a screen is narrow: a phone, or half of a window.
NARROW = 60
BETWEEN = 2


class Texts(NamedTuple):
    """One column: heading, cells, whether they stand to the right, whether a narrow screen keeps them in the row."""

    head: str
    cells: list[str]
    right: bool
    narrow: bool = True


def lines(columns: list[Texts], width: int, indent: int = 2) -> list[str]:
    """The table as lines of at most ``width`` letters."""
    room = width - indent
    up, down = placed(columns, room)
    widths = _widths(up, room)
    out = _row([c.head for c in up], widths, up, last=True)
    for at in range(len(columns[0].cells) if columns else 0):
        out += _row([c.cells[at] for c in up], widths, up)
        more = [f"{c.head} ".replace(" ", "\u00a0") + c.cells[at] for c in down if c.cells[at]]
        out += [" " * BETWEEN + line for line in _wrapped("; ".join(more).strip(), room - BETWEEN)] if more else []
    return [(" " * indent + line).rstrip() for line in out]


def placed(columns: list[Texts], room: int) -> tuple[list[Texts], list[Texts]]:
    """Columns that stand in the row, and those that go below it: where there is no room, not narrow ones first."""
    keeps = [at for at, c in enumerate(columns) if c.narrow or room >= NARROW - BETWEEN]
    while len(keeps) > 1 and _wide([_least(columns[at], room) for at in keeps]) > room:
        keeps.remove(max(keeps, key=lambda at: (not columns[at].narrow, at)))
    return [columns[at] for at in keeps], [c for at, c in enumerate(columns) if at not in keeps]


def _wide(widths: list[int]) -> int:
    return sum(widths) + BETWEEN * (len(widths) - 1)


def _least(column: Texts, room: int) -> int:
    """The least width at which no number and no word is broken, but a word over half a line."""
    kept = column.cells if column.right else []
    split = [column.head, *([] if column.right else column.cells)]
    word = max(len(word) for text in split for word in text.split(" "))
    return max([min(word, room // 2), *map(len, kept)])


def _widths(columns: list[Texts], room: int) -> list[int]:
    """What each column needs; the widest gives way until all fit, headings alone where that is enough."""
    widths = [max(map(len, (c.head, *c.cells))) for c in columns]
    least = [_least(c, room) for c in columns]
    whole = [max(low, *map(len, c.cells), 0) for low, c in zip(least, columns, strict=True)]
    least = whole if _wide(whole) <= room else least
    while _wide(widths) > room and widths != least:
        at = max((at for at, wide in enumerate(widths) if wide > least[at]), key=lambda at: widths[at])
        widths[at] -= 1
    return widths


def _row(texts: list[str], widths: list[int], columns: list[Texts], last: bool = False) -> list[str]:
    """One row, as many lines as its longest cell; ``last``: short cells stand on the last line."""
    cells = [_wrapped(text, width) for text, width in zip(texts, widths, strict=True)]
    if last:
        deep = max(map(len, cells), default=0)
        cells = [[""] * (deep - len(cell)) + cell for cell in cells]
    return [
        (" " * BETWEEN).join(
            part.rjust(width) if column.right else part.ljust(width)
            for part, width, column in zip(line, widths, columns, strict=True)
        )
        for line in zip_longest(*cells, fillvalue="")
    ]


def _wrapped(text: str, width: int) -> list[str]:
    return [text] if len(text) <= width else wrap(text, width, break_on_hyphens=False)

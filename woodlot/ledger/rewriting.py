"""A ledger that was read, as this woodlot writes it.

as_new        a Book with the ids and checks of this woodlot
brought_over  the same lines as this woodlot writes them; book_text: the text of a Book
stands_so     whether a text surely is that already
"""

import csv
import io
import re
from bisect import bisect_left
from dataclasses import replace

from woodlot.ledger.lines import CHECK, HEADING, check_of, safe
from woodlot.ledger.reading import Book, read_book


def as_new(book: Book) -> Book:
    """The same lines, each with the check that this woodlot gives it.

    A line whose check did not fit keeps that check, so that it is still noticed.
    """
    fits = [whole or not cells[CHECK] for cells, whole in zip(book.cells, book.whole, strict=True)]
    pairs = zip(book.cells, fits, strict=True)
    return replace(book, cells=[[*one[:CHECK], check_of(one)] if fit else one for one, fit in pairs], whole=fits)


def brought_over(text: str) -> str:
    """The same ledger as this woodlot writes it: heading, ids, checks; what is no line stays in its row.

    A text that is so already comes back as it is, with a line end.
    """
    return book_text(as_new(read_book(text)))


def book_text(book: Book) -> str:
    """The text of a ledger; what is no line stays in its row."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(HEADING)
    left = sorted(book.left)
    begin = 0
    for row in left:
        end = bisect_left(book.rows, row, lo=begin)
        rows.writerows(map(safe, book.cells[begin:end]))
        out.write(book.left[row] + "\n")
        begin = end
    rows.writerows(map(safe, book.cells[begin:]))
    return out.getvalue()


def stands_so(book: Book, text: str) -> bool:
    """Whether the text that a Book was read of surely is what ``book_text(as_new(book))`` gives, but for its line end.

    Only lines with quotes, or with what could be a formula, are written for that: others are their cells and commas.
    """
    lines = text.removesuffix("\n").split("\n")
    if not book.untouched or len(lines) != len(book.cells) + 1:
        return False
    odd = [(cells, line) for cells, line in zip(book.cells, lines[1:], strict=True) if _ODD.search(line)]
    written = book_text(Book([cells for cells, _ in odd], [], []))
    return written == "".join(f"{line}\n" for line in (lines[0], *(line for _, line in odd)))


_ODD = re.compile("[\"'\r]|,[-=+@\t]")

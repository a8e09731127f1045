"""The ledger: one dated line for each thing done or seen; nothing in it is ever changed, and nothing is lost.

lines.py     a line as text: cells, id, check
notes.py     notes as lines, many at once
headings.py  which columns a file has, and where
reading.py   the file as spreadsheets and old woodlots left it
rewriting.py the same brought over to what this woodlot writes
standing.py  which lines count: corrections, forks of two hands; totals; which notes are new
merging.py   two histories joined by the ids of their lines
seal.py      what was ever written, kept beside, so that a line gone is noticed

Text in, text and tables out: ``woodlot.place`` reads and writes the files.
"""

from woodlot.ledger.headings import heading, is_ledger, strange_columns, text_of
from woodlot.ledger.lines import HEADING, checksum, derived_id, heading_line, new_id, row_text
from woodlot.ledger.merging import Clash, Merged, merge
from woodlot.ledger.notes import as_cells, format_line, line_cells, numbered, refuse, sheet_ids
from woodlot.ledger.reading import Book, Known, Trouble, next_line, parse, read_book
from woodlot.ledger.rewriting import as_new, book_text, brought_over, stands_so
from woodlot.ledger.seal import SEAL, gone, seal_text, sealed, seals
from woodlot.ledger.standing import (
    bearing,
    borne_twice,
    clashing,
    forks,
    fresh,
    given_later,
    heads,
    letters,
    standing,
    totals,
)

__all__ = [
    "HEADING",
    "SEAL",
    "Book",
    "Clash",
    "Known",
    "Merged",
    "Trouble",
    "as_cells",
    "as_new",
    "bearing",
    "book_text",
    "borne_twice",
    "brought_over",
    "checksum",
    "clashing",
    "derived_id",
    "forks",
    "format_line",
    "fresh",
    "given_later",
    "gone",
    "heading",
    "heading_line",
    "heads",
    "is_ledger",
    "letters",
    "line_cells",
    "merge",
    "new_id",
    "next_line",
    "numbered",
    "parse",
    "read_book",
    "refuse",
    "row_text",
    "seal_text",
    "sealed",
    "seals",
    "sheet_ids",
    "standing",
    "stands_so",
    "strange_columns",
    "text_of",
    "totals",
]

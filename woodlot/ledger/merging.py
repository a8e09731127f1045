"""Two histories of one place joined: every line of both once, by its id; what does not agree is kept and shown.

merge     two texts -> one, and what clashes

The order of joining does not matter: whoever joins whom, the same lines stand in both in the end (their numbers may
differ, which are each file's own).
"""

from dataclasses import dataclass

from woodlot.ledger.lines import CHECK, CORRECTS, ID, LINE, check_of, derived_id
from woodlot.ledger.notes import said_by
from woodlot.ledger.reading import Book, as_new, book_text, next_line, read_book

#: What a clash is: the same line says two things; two lines of two hands say the same; a line of the other is torn.
KINDS = ("says two things", "may be one", "torn")


@dataclass(frozen=True)
class Clash:
    """What does not agree: its kind, and the lines (cells under ``HEADING``), ours first; of a torn line its text."""

    kind: str
    lines: tuple[list[str], ...] = ()
    text: str = ""


@dataclass(frozen=True)
class Merged:
    """Two ledgers joined: the whole text, cells of the lines that came from the other, lines that both had, clashes."""

    text: str
    added: list[list[str]]
    same: int
    clashes: list[Clash]


def merge(ours: str, theirs: str) -> Merged:
    """The ledger with all lines of both: ours as they stand, then those that only the other has, with new numbers.

    A line that says two things under one id: as it was written it stays, and the change made by hand becomes a line of
    its own that takes its place. Where neither is as it was written, both become such lines.
    """
    mine, other = as_new(read_book(ours)), as_new(read_book(theirs))
    at = {cells[ID]: position for position, cells in enumerate(mine.cells)}
    said = {said_by(cells): cells for cells in mine.cells}
    number = next_line(ours)
    added: list[list[str]] = []
    clashes: list[Clash] = []
    same, changed = 0, dict[int, list[str]]()

    def add(cells: list[str]) -> None:
        nonlocal number
        if cells[ID] in at:
            return
        at[cells[ID]] = -1
        line = [str(number), *cells[1:CHECK], cells[CHECK]]
        number += 1
        added.append(line)

    def as_change(cells: list[str]) -> list[str]:
        out = list(cells)
        out[ID] = derived_id("changed", *cells[1:CHECK])
        out[CORRECTS] = " ".join(dict.fromkeys([cells[ID], *cells[CORRECTS].split()]))
        return [*out[:CHECK], check_of(out)]

    for cells, whole in zip(other.cells, other.whole, strict=True):
        here = at.get(cells[ID])
        if here is None:
            if (like := said.get(said_by(cells))) is not None:
                clashes.append(Clash(KINDS[1], (like, cells)))
            add(cells)
        elif here < 0 or mine.cells[here][1:CHECK] == cells[1:CHECK]:
            same += 1
        else:
            own, own_whole = mine.cells[here], mine.whole[here]
            clashes.append(Clash(KINDS[0], (own, cells)))
            if own_whole and not whole:
                add(as_change(cells))
            elif whole and not own_whole:
                changed[here] = [own[LINE], *cells[1:]]
                add(as_change(own))
            else:
                changed[here] = []
                add(as_change(own))
                add(as_change(cells))
    clashes += [Clash(KINDS[2], text=text) for text in other.left.values()]
    kept = [position for position in range(len(mine.cells)) if changed.get(position, [""])]
    book = Book(
        [changed.get(position, mine.cells[position]) for position in kept],
        [mine.rows[position] for position in kept],
        [position in changed or mine.whole[position] for position in kept],
        dict(mine.left),
    )
    last = max([*mine.rows, *mine.left], default=1)
    book.cells.extend(added)
    book.rows.extend(range(last + 1, last + 1 + len(added)))
    book.whole.extend(check_of(cells) == cells[CHECK] for cells in added)
    return Merged(book_text(book), added, same, clashes)

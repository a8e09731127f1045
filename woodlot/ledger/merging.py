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
    """What does not agree: its kind, and the lines as they stand after joining (cells under ``HEADING``), ours before
    the other's, what was written before what was changed by hand; of a torn line its text.
    """

    kind: str
    lines: tuple[list[str], ...] = ()
    text: str = ""


@dataclass(frozen=True)
class Merged:
    """Two ledgers joined: the whole text, cells of the lines that came from the other, lines that both had, clashes.

    changed: lines of ours that stand otherwise than before. With none, and none that came, the text is as it was, but
    for what ``as_new`` does to it.
    """

    text: str
    added: list[list[str]]
    same: int
    clashes: list[Clash]
    changed: int = 0


def merge(ours: str, theirs: str, first: int = 1) -> Merged:
    """The ledger with all lines of both: ours as they stand, then those that only the other has, with new numbers.

    A line that says two things under one id: as it was written it stays, and the change made by hand becomes a line of
    its own that takes its place. Where neither is as it was written, both become such lines. first: the least number of
    a line that comes.
    """
    mine, other = as_new(read_book(ours)), as_new(read_book(theirs))
    at = {cells[ID]: position for position, cells in enumerate(mine.cells)}
    said = {said_by(cells): cells for cells in mine.cells}
    number = max(next_line(ours), first)
    added: list[list[str]] = []
    clashes: list[Clash] = []
    same, changed = 0, dict[int, list[str]]()

    def add(cells: list[str]) -> list[str]:
        """The line with its number here; as it stands where it is here already."""
        if (here := at.get(cells[ID])) is not None:
            return changed.get(here, mine.cells[here]) if here >= 0 else added[-1 - here]
        added.append([str(number + len(added)), *cells[1:]])
        at[cells[ID]] = -len(added)
        return added[-1]

    for cells, whole in zip(other.cells, other.whole, strict=True):
        here = at.get(cells[ID])
        known = here is not None and (here < 0 or mine.cells[here][1:CHECK] == cells[1:CHECK])
        if known or (not whole and _as_change(cells)[ID] in at):
            same += 1
        elif here is None:
            like = said.get(said_by(cells))
            line = add(cells)
            if like is not None:
                clashes.append(Clash(KINDS[1], (like, line)))
        else:
            own, own_whole = mine.cells[here], mine.whole[here]
            if own_whole and not whole:
                lines = (own, add(_as_change(cells)))
            elif whole and not own_whole:
                changed[here] = [own[LINE], *cells[1:]]
                lines = (changed[here], add(_as_change(own)))
            else:
                changed[here] = [own[LINE], *_as_change(own)[1:]]
                at[changed[here][ID]] = here
                lines = (changed[here], add(_as_change(cells)))
            clashes.append(Clash(KINDS[0], lines))
    clashes += [Clash(KINDS[2], text=text) for text in other.left.values()]
    last = max([*mine.rows, *mine.left], default=1)
    book = Book(
        [*(changed.get(position, cells) for position, cells in enumerate(mine.cells)), *added],
        [*mine.rows, *range(last + 1, last + 1 + len(added))],
        [],
        mine.left,
    )
    return Merged(book_text(book), added, same, clashes, len(changed))


def _as_change(cells: list[str]) -> list[str]:
    """A line that was changed by hand as a line of its own, which takes the place of what was written."""
    out = list(cells)
    out[ID] = derived_id("changed", *cells[1:CHECK])
    out[CORRECTS] = " ".join(dict.fromkeys([cells[ID], *cells[CORRECTS].split()]))
    return [*out[:CHECK], check_of(out)]

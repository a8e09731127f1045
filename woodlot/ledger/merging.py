"""Two histories of one place joined: every line of both once, by its id; what does not agree is kept and shown.

merge     two texts -> one, and what clashes

The order of joining does not matter: whoever joins whom, the same lines stand in both in the end (their numbers may
differ, which are each file's own).
"""

from dataclasses import dataclass

import pandas as pd

from woodlot.ledger.lines import CHECK, CORRECTS, ID, LINE, check_of, derived_id
from woodlot.ledger.notes import said_by
from woodlot.ledger.reading import Book, Known, next_line, read_book
from woodlot.ledger.rewriting import as_new, book_text

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

    changed: lines of ours that stand otherwise than in their file, such as one typed there that has its check now. With
    none, and none that came, there is nothing to write.
    """

    text: str
    added: list[list[str]]
    same: int
    clashes: list[Clash]
    changed: int = 0


def merge(ours: str, theirs: str, first: int = 1, *seals: pd.DataFrame | None) -> Merged:
    """The ledger with all lines of both: ours as they stand, then those that only the other has, with new numbers.

    A line that was changed by hand becomes a line of its own, which takes the place of what was written; where one of
    the two still has that, it stays too. So the same lines come of it whoever joins whom, and joining again changes
    nothing. first: the least number of a line that comes. seals: of either, by which a line whose id was written over
    has its own back, as by the lines of the other.
    """
    read, of_them = read_book(ours, Known(*seals)), read_book(theirs, Known(*seals))
    if not all([*read.whole, *of_them.whole]):
        wrote = Known(*seals, read.lines, of_them.lines)
        read, of_them = read_book(ours, wrote), read_book(theirs, wrote)
    mine, other = as_new(read), as_new(of_them)
    said = {said_by(cells): cells for cells in mine.cells}
    at = {cells[ID]: position for position, cells in enumerate(mine.cells)}
    there = {cells[ID]: (cells, whole) for cells, whole in zip(other.cells, other.whole, strict=True)}
    lines, added = list(mine.cells), list[list[str]]()
    clashes: list[Clash] = []
    same = 0

    def add(cells: list[str]) -> list[str]:
        """The line with its number here; as it stands where it is here already."""
        if cells[ID] not in at:
            at[cells[ID]] = len(lines)
            lines.append([str(number + len(added)), *cells[1:]])
            added.append(lines[-1])
        return lines[at[cells[ID]]]

    def put(here: int, cells: list[str]) -> None:
        """A line in the place of one of ours, under the same number."""
        lines[here] = [lines[here][LINE], *cells[1:]]
        at[cells[ID]] = here

    number = max(next_line(ours), first, *(int(one[LINE]) + 1 for one in mine.cells if one[LINE].isdecimal()))
    for here, (own, whole) in enumerate(zip(mine.cells, mine.whole, strict=True)):
        if whole and own[ID] not in there:
            continue
        cells, theirs_whole = there.get(own[ID], (own, whole))
        differ = cells[1:CHECK] != own[1:CHECK]
        if differ and theirs_whole and (not whole or cells[1:] < own[1:]):
            put(here, cells)
            clashes.append(Clash(KINDS[0], (lines[here], add(_as_change(own)))))
        elif not whole:
            put(here, _as_change(own))
            del at[own[ID]]
            if differ:
                clashes.append(Clash(KINDS[0], (lines[here], add(_as_change(cells)))))
    for cells, whole in zip(other.cells, other.whole, strict=True):
        known = at.get(cells[ID])
        if known is not None and lines[known][1:CHECK] == cells[1:CHECK]:
            same += 1
            continue
        line = cells if whole and known is None else _as_change(cells)
        if line[ID] in at:
            same += at[line[ID]] < len(mine.cells)
        elif known is not None:
            clashes.append(Clash(KINDS[0], (lines[known], add(line))))
        elif (like := said.get(said_by(line))) is not None:
            clashes.append(Clash(KINDS[1], (like, add(line))))
        else:
            add(line)
    clashes += [Clash(KINDS[2], text=text) for text in other.left.values()]
    last = max([*mine.rows, *mine.left], default=1)
    rows = [*mine.rows, *range(last + 1, last + 1 + len(added))]
    back = any(one.why.key == "own id" for one in read.trouble)
    changed = sum(new != old for new, old in zip(lines, read.cells, strict=False)) + back
    return Merged(book_text(Book(lines, rows, [], mine.left)), added, same, clashes, changed)


def _as_change(cells: list[str]) -> list[str]:
    """A line that was changed by hand as a line of its own, which takes the place of what was written."""
    out = list(cells)
    out[ID] = derived_id("changed", *cells[1:CHECK])
    out[CORRECTS] = " ".join(dict.fromkeys([cells[ID], *cells[CORRECTS].split()]))
    return [*out[:CHECK], check_of(out)]

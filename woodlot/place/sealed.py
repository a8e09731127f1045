"""The ledger as it lies in the folder, and what its seal knows of it: lines gone, lines changed.

ledger_text   bytes -> text; own_file: whether a name is a file of the family's own
ledger_cells  its lines as text, with remarks; of a ledger that is gone what the seal names
seal_of       what was ever written; seal_text_of: the same as it stands
"""

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd

from woodlot import ledger
from woodlot.estimate import Reason, reason
from woodlot.ledger.reading import NAMED, Trouble
from woodlot.ledger.seal import altered
from woodlot.place.remedies import kind_of, unusable
from woodlot.place.tabular import Cells, check_text
from woodlot.place.with_care import data_of
from woodlot.say.reasons import said

__all__ = ["LEDGER", "ledger_cells", "ledger_text", "own_file", "seal_of", "seal_text_of"]

LEDGER = "ledger.csv"


def ledger_cells(path: Path, notes: list[str]) -> Cells:
    """Cells of the ledger's lines as text; what is to be said of them is appended to ``notes``.

    PlaceError where ledger or seal is no text, or no file of the folder's own.
    """
    there = own_file(path)
    text = ledger_text(path.name, data_of(path)) if there else ""
    beside = path.parent / ledger.SEAL
    written = seal_text_of(beside) if own_file(beside) else None
    seal = cache(lambda: None if written is None else ledger.sealed(written))
    book = ledger.read_book(text, ledger.Known(seal))
    if written is None or not (book.untouched and ledger.seals(written, book.cells)):
        trouble = [one for one in book.trouble if not _told_by(seal(), one)]
        why = [*_replacing_none(book, seal()), *_of_the_seal(book, seal(), there, "id" in ledger.heading(text))]
    else:  # the usual case: each line as it was written, and none beside them
        trouble, why = book.trouble, [*_replacing_none(book, None)]
    notes += [f"{path.name}, row {one.row}: {said(one.why)}." for one in trouble]
    notes += [f"{path.name}: {said(one)}." for one in why]
    return Cells(path.name if there else "", book.lines, np.array(book.rows, dtype=int))


def _told_by(seal: pd.DataFrame | None, trouble: Trouble) -> bool:
    """Whether it is of numbers that are not there, and the seal knows the lines that bore them."""
    if seal is None or trouble.why.key != "lines gone":
        return False
    return {str(number) for number in dict(trouble.why.facts)["numbers"]} <= set(seal["line"])


def _replacing_none(book: ledger.Book, seal: pd.DataFrame | None) -> Iterator[Reason]:
    """Lines that name one to replace which neither the ledger nor its seal knows."""
    lines = book.lines
    named = lines.loc[lines["corrects"] != "", ["line", "corrects"]]
    named = named.assign(one=named["corrects"].str.split()).explode("one")
    known = named["one"].isin(lines["id"]) | named["one"].isin(lines["line"][lines["line"].duplicated()])
    known |= False if seal is None else named["one"].isin(seal["id"])
    for line, one in named.loc[~known, ["line", "one"]].to_numpy()[:NAMED]:
        yield reason("replaces none", line=line, named=one)


def _of_the_seal(book: ledger.Book, seal: pd.DataFrame | None, there: bool, ids: bool) -> Iterator[Reason]:
    """What there is to say of the lines beside the seal: lines that are gone, that were changed."""
    lines = book.lines
    if seal is None:
        if ids and len(lines):
            yield reason("no seal", seal=ledger.SEAL)
        return
    gone = ledger.gone(seal, lines)
    if len(gone):
        first = gone.head(NAMED).to_dict("records")
        names = ledger.letters([one["id"] for one in first], seal["id"])
        each = tuple((one["line"], one["date"], one["kind"], name) for one, name in zip(first, names, strict=True))
        yield reason("lines lost", each=each, more=len(gone) - len(each), whole=not there)
    if ids:
        changed = lines["line"][altered(seal, lines).to_numpy() & np.array(book.whole, dtype=bool)]
        if len(changed):
            yield reason("lines altered", numbers=tuple(changed[:NAMED]), more=max(len(changed) - NAMED, 0))


def ledger_text(file: str, data: bytes) -> str:
    """Text of the ledger's bytes, in whichever letters it was saved. PlaceError where it is no text."""
    if data[:2] not in (b"\xff\xfe", b"\xfe\xff"):
        check_text(file, data)
    text = ledger.text_of(data)
    if "\0" in text:
        raise unusable(file, "not a text file", 'Save it again as "CSV UTF-8".')
    return text


def own_file(path: Path) -> bool:
    """Whether a file is there. PlaceError for a folder, a link to elsewhere, or what is no file at all."""
    try:
        mode = path.lstat().st_mode
    except FileNotFoundError:
        return False
    except OSError as error:
        raise unusable(path.name, error, "Give yourself the right to read it.") from error
    if what := kind_of(mode):
        raise unusable(path.name, what, f"The ledger is kept in plain files. Put the file {path.name} itself here.")
    return True


def seal_of(folder: str | Path) -> pd.DataFrame | None:
    """What was ever written in the ledger of a place, None where it was never sealed."""
    path = Path(folder) / ledger.SEAL
    text = seal_text_of(path) if own_file(path) else None
    return None if text is None else ledger.sealed(text)


def seal_text_of(path: Path) -> str | None:
    """The seal as it stands, None where there is none."""
    return path.read_bytes().decode("utf-8", "replace") if path.exists() else None

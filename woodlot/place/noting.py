"""The ledger of a family's folder: written by one at a time, all notes of a call or none, and sealed.

held          the ledger, locked: its text and lines; appended to, or exchanged for a new text
append_notes  notes as lines behind those that stand

Lines are only ever added. Where a ledger is not as this woodlot writes it (columns of an older one, lines typed by
hand, the forms of a spreadsheet), the first note writes it anew, all its lines and the new one in one swap. The file as
it was is kept beside.
"""

import os
import stat
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import date
from functools import cached_property
from itertools import count
from pathlib import Path
from typing import Any

import pandas as pd

from woodlot import ledger
from woodlot.column_kinds import ID_LONG
from woodlot.estimate import reason
from woodlot.place.remedies import unusable
from woodlot.place.sealed import LEDGER, ledger_text, own_file, seal_text_of
from woodlot.place.swapping import record, swap_in, sweep, sync_folder, write_beside
from woodlot.say.reasons import said

__all__ = ["Held", "append_note", "append_notes", "held"]

_BINARY = getattr(os, "O_BINARY", 0) | getattr(os, "O_NOFOLLOW", 0)
_WHOLE = "What stood in the ledger is whole. Make room and write it again."


class Held:
    """The ledger of a place, locked against other writers as long as ``held`` lasts.

    text: what stands in it ("" where there is none); remarks: what is to be said of the writing.
    """

    def __init__(self, folder: Path, handle: int) -> None:
        """Read the file that is open and locked under a handle."""
        self.folder, self.path, self.handle = folder, folder / LEDGER, handle
        self.remarks: list[str] = []
        self._read()

    def _read(self, data: bytes | None = None) -> None:
        self._data = _all_of(self.handle) if data is None else data
        self.text = ledger_text(LEDGER, self._data)
        self._forget("book", "lines", "ids", "gone")

    @cached_property
    def book(self) -> ledger.Book:
        """The ledger as it was read."""
        return ledger.read_book(self.text, ledger.Known(self.seal))

    @cached_property
    def lines(self) -> pd.DataFrame:
        """Its lines as a frame of text."""
        return self.book.lines

    @cached_property
    def ids(self) -> set[str]:
        """The ids of its lines."""
        return set(self.lines["id"])

    @cached_property
    def seal(self) -> pd.DataFrame:
        """What was ever written here; no row where nothing was sealed."""
        return ledger.sealed(self._seal_text or "")

    @cached_property
    def _seal_text(self) -> str | None:
        return seal_text_of(self.folder / ledger.SEAL)

    @cached_property
    def gone(self) -> pd.DataFrame:
        """Rows of the seal whose lines are not there any more."""
        return ledger.gone(self.seal, self.lines)

    @property
    def next_line(self) -> int:
        """The number for the next line: none that a line bears or bore."""
        bore = [*(cells[_LINE] for cells in self.book.cells), *self.seal["line"].to_numpy(dtype=object)]
        most = max((int(one) for one in bore if one.isdecimal() and len(one) < 8), default=0)
        return max(ledger.next_line(self.text), most + 1)

    def replaced(self, name: str) -> list[str]:
        """Ids that a line has to name so that it takes the place of the one that bears a number, an id or its first
        letters: of all that count in its family, so that two corrections of one line are settled. A line that is gone
        has its own; none where no line or more than one is meant.
        """
        at = ledger.bearing(self.lines, name)
        if at:
            return ledger.heads(self.lines, at[0]) if len(at) == 1 else []
        lost = ledger.bearing(self.gone, name)
        return self.gone["id"].iloc[lost].tolist() if len(lost) == 1 else []

    def _ids(self, name: str, meant: Mapping[str, str]) -> list[str]:
        """Ids for a name in ``corrects``; the name itself, which names none, where no line or more than one bears it.

        meant: ids of notes that lines have from before under another id.
        """
        return [meant.get(name, name)] if len(name) == ID_LONG else self.replaced(name) or [name]

    def write(
        self, notes: Sequence[Sequence[str]], new: Sequence[int], day: date, once: bool = False
    ) -> dict[int, list[str]]:
        """Append the notes (cells of ``ledger.as_cells``) that stand at some positions; position -> its line.

        once: they come of a sheet that may be read again, so that ids are not made at random.
        """
        ids = ledger.sheet_ids(notes) if once else [cells[_ID] for cells in notes]
        rows = [list(notes[at]) for at in new]
        as_line = ledger.given_later(notes, self.lines) if once else {}
        meant = {notes[at][_ID]: name for at, name in as_line.items()}
        for at, cells in zip(new, rows, strict=True):
            cells[_ID] = ids[at]
            if names := cells[_CORRECTS].split():
                cells[_CORRECTS] = " ".join(dict.fromkeys(one for name in names for one in self._ids(name, meant)))
        lines = ledger.numbered(rows, self.next_line, day)
        self.append(lines)
        return dict(zip(new, lines, strict=True))

    def append(self, lines: Sequence[Sequence[str]]) -> None:
        """Put lines (cells under ``ledger.HEADING``, with number, id and check) behind those that stand, all or none.

        A ledger that is not as this woodlot writes it is written anew with them.
        """
        if not lines:
            return
        new = "".join(ledger.row_text(list(cells)) for cells in lines)
        if not self.text.strip("\ufeff \t\r\n"):
            new = ledger.heading_line() + new
        as_written = self._as_written()
        if as_written.encode("utf-8").removesuffix(b"\n") == self._data.removesuffix(b"\n"):
            start = "" if as_written == self.text else "\n"
            all_lines = [*self.book.cells, *lines]  # before the file grows, and would have to be read again
            self._write(f"{start}{new}".encode())
            self._seal(all_lines)
        else:
            self.exchange(as_written + new)

    def _as_written(self) -> str:
        """The text as this woodlot writes it, with a line end."""
        if not self.text.strip("\ufeff \t\r\n"):
            return ""
        so = ledger.stands_so(self.book, self.text)
        return f"{self.text.removesuffix(chr(10))}\n" if so else ledger.book_text(ledger.as_new(self.book))

    def exchange(self, new_text: str) -> str:
        """Write the ledger anew in one swap; the file as it was is kept beside, and that is said.

        Returns the name under which it is kept.
        """
        _refuse_other_columns(self.text)
        data, handle = new_text.encode("utf-8"), -1
        with _in_words():
            sweep(self.folder)
            kept = _keep(self.path, self._data)
            whole = write_beside(self.path, data)
            try:
                whole.chmod(stat.S_IMODE(os.fstat(self.handle).st_mode))
                handle = os.open(whole, os.O_RDWR | os.O_APPEND | _BINARY)
                _lock(handle)
                self.handle, handle = _swapped(self.handle, handle, whole, self.path), -1
                record([self.path])
                sync_folder(self.folder)
            finally:
                if handle >= 0:
                    os.close(handle)
                whole.unlink(missing_ok=True)
        was = {cells[_ID]: cells[_CHECK] for cells, fits in zip(self.book.cells, self.book.whole, strict=True) if fits}
        self._read(data)
        self.remarks.append(f"{LEDGER} {said(reason('written anew', kept=kept))}.")
        self._seal(self.book.cells, was)
        return kept

    def _write(self, data: bytes) -> None:
        """Add to the file's end in one write, forced to the disk; what a full disk tears is taken back."""
        with _in_words():
            _add(self.handle, data)
            record([self.path])
            if not self._data:
                sync_folder(self.folder)
        self._read(self._data + data)

    def _seal(self, lines: Sequence[Sequence[str]], was: Mapping[str, str] | None = None) -> None:
        """Give the seal a row for each line that has none; where that cannot be, the next note makes it up.

        was: checks of lines that were whole before all was written anew: where another came of it, since a number in
        ``corrects`` became an id, the seal is told that too.
        """
        path = self.folder / ledger.SEAL
        try:
            text, there, rows = self._seal_text, self.seal, list[Sequence[str]]()
            known = set(there["id"].to_numpy(dtype=object))
            if was:
                pairs = set(there["id"] + there["check"])
                anew = (cells for cells in lines if was.get(cells[_ID], cells[_CHECK]) != cells[_CHECK])
                known -= {cells[_ID] for cells in anew if cells[_ID] + cells[_CHECK] not in pairs}
            for cells in lines:
                if len(cells[_ID]) == ID_LONG and cells[_ID] not in known:
                    known.add(cells[_ID])
                    rows.append(cells)
            if text is not None and _whole_seal(text, len(there)):
                if rows:
                    handle = os.open(path, os.O_RDWR | os.O_APPEND | _BINARY)
                    try:
                        _add(handle, ledger.seal_text(rows, begin=False).encode())
                    finally:
                        os.close(handle)
                return
            keep = there.to_csv(index=False, header=False, lineterminator="\n")
            new = ledger.seal_text([], begin=True) + keep + ledger.seal_text(rows, begin=False)
            swap_in({path: new.encode()})
        except OSError as error:
            why = reason("not sealed", system=error.strerror or str(error))
            self.remarks.append(f"{ledger.SEAL} {said(why)}.")
        finally:
            self._forget("seal", "_seal_text", "gone")

    def _forget(self, *names: str) -> None:
        for name in names:
            self.__dict__.pop(name, None)


_LINE, _ID, _CORRECTS, _CHECK = map(ledger.HEADING.index, ("line", "id", "corrects", "check"))


@contextmanager
def held(folder: str | Path) -> Iterator[Held]:
    """The ledger of a place, locked against other writers; an empty one is made where there is none, and taken away
    again where nothing was written.

    Raises PlaceError when ledger or seal is no file of the folder's own, no text, or the system refuses.
    """
    home = Path(folder)
    own_file(home / LEDGER)
    own_file(home / ledger.SEAL)
    with _in_words():
        new = not (home / LEDGER).exists()
        handle = _hold(home / LEDGER)
    book = None
    try:
        with _in_words():
            book = Held(home, handle)
        yield book
    finally:
        handle = handle if book is None else book.handle
        if new and not os.fstat(handle).st_size:
            with suppress(OSError):
                (home / LEDGER).unlink()
        os.close(handle)  # closing gives the lock back


def append_note(folder: str | Path, note: Mapping[str, Any], today: date | None = None) -> int:
    """Append one note to the place's ledger.csv and return the number of its line, as ``append_notes`` does."""
    return append_notes(folder, [note], today)[0]


def append_notes(
    folder: str | Path, notes: Sequence[Mapping[str, Any]], today: date | None = None, once: bool = False
) -> dict[int, int]:
    """Append notes to the place's ledger.csv: all of them or none.

    Parameters
    ----------
    folder
        The place.
    notes
        Cells by the names of ``woodlot.columns.Ledger`` without line and check; a missing date is ``today``.
    today
        Today, unless another day is wanted.
    once
        Leave out the notes that the ledger holds already.

    Returns
    -------
    Position of each note that was written -> number of its line.

    The lines go out in one write and are forced to the disk, under a lock of the file, so that two people may write at
    once. What a full disk tears is taken back. A line torn by a power cut is left as it is (reading reports it); the
    next line starts on its own row.

    Raises InputError for a cell that cannot be, PlaceError when the ledger has columns that woodlot does not know, or
    cannot be written.
    """
    cells, wrong = ledger.as_cells([{"date": today or date.today(), **_filled(note)} for note in notes])
    ledger.refuse(wrong)
    with held(folder) as book:
        new = ledger.fresh(cells, book.lines) if once else range(len(cells))
        return {at: int(line[_LINE]) for at, line in book.write(cells, new, today or date.today(), once).items()}


def _filled(note: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in note.items() if value is not None}


def _whole_seal(text: str, rows: int) -> bool:
    """Whether each row of the seal is whole, of which so many are, so that more may be put behind them."""
    begins = text.startswith(ledger.seal_text([], begin=True))
    return begins and text.endswith("\n") and text.count("\n") == rows + 1


def _refuse_other_columns(text: str) -> None:
    """PlaceError where the heading names columns that no ledger has: nobody could say what is in them."""
    strange = ledger.strange_columns(text)
    if strange:
        remedy = f"Give it the columns that woodlot writes, in this order: {','.join(ledger.HEADING)}."
        raise unusable(LEDGER, f"other columns: {', '.join(strange)}"[:200], remedy, row=1)


@contextmanager
def _in_words() -> Iterator[None]:
    """What the system says of the ledger, in words."""
    try:
        yield
    except OSError as error:
        raise unusable(LEDGER, error, _WHOLE) from error


def _all_of(handle: int) -> bytes:
    os.lseek(handle, 0, os.SEEK_SET)
    parts = []
    while part := os.read(handle, 1 << 20):
        parts.append(part)
    return b"".join(parts)


def _add(handle: int, data: bytes) -> None:
    """Write at a file's end, all of it or nothing."""
    before = os.fstat(handle).st_size
    try:
        done = os.write(handle, data)
        if done != len(data):
            raise OSError(0, f"only {done} of {len(data)} letters could be written")
        os.fsync(handle)
    except OSError:
        os.ftruncate(handle, before)
        raise


def _keep(path: Path, data: bytes) -> str:
    """Keep the bytes of a file beside it under a name that is not read, and return that name."""
    for number in count(1):
        kept = path.with_name(f"{path.stem}.before{number if number > 1 else ''}{path.suffix}")
        if not os.path.lexists(kept):
            break
        if kept.is_file() and not kept.is_symlink() and kept.read_bytes() == data:  # a swap that was cut short
            return kept.name
    swap_in({kept: data})
    return kept.name


def _hold(path: Path) -> int:
    """The file opened and locked; opened anew where it was swapped or taken away while another writer held it."""
    while True:
        handle = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | _BINARY, 0o666)
        _lock(handle)
        if path.exists() and os.path.samestat(os.fstat(handle), path.stat()):
            return handle
        os.close(handle)


try:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX)

    def _swapped(old: int, new: int, whole: Path, path: Path) -> int:
        """The new file, locked, in the place of the old one."""
        whole.replace(path)
        os.close(old)
        return new

except ImportError:  # Windows
    import msvcrt

    def _lock(handle: int) -> None:
        """Hold one byte far behind the end of the file: other writers wait, readers do not."""
        while True:
            os.lseek(handle, 1 << 30, os.SEEK_SET)
            try:
                msvcrt.locking(handle, msvcrt.LK_LOCK, 1)  # type: ignore[attr-defined]
                return
            except OSError:  # given up after ten seconds; go on waiting
                continue

    def _swapped(old: int, new: int, whole: Path, path: Path) -> int:
        """A file that is open cannot be exchanged there: its content is, while the one as it was lies beside."""
        data = _all_of(new)
        os.close(new)
        os.ftruncate(old, 0)
        _add(old, data)
        return old

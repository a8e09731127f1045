"""The ledger of a family's folder: only ever appended to, all notes of a call or none, by one writer at a time."""

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import date
from pathlib import Path
from typing import Any

from woodlot import ledger
from woodlot.place.remedies import unusable
from woodlot.place.tabular import check_text
from woodlot.place.writing import sync_folder

__all__ = ["append_note", "append_notes"]

LEDGER = "ledger.csv"


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

    Raises InputError for a cell that cannot be, PlaceError when the ledger is in another encoding or order of columns,
    or cannot be written.
    """
    path = Path(folder) / LEDGER
    day = today or date.today()
    cells = [{"date": day} | {key: value for key, value in note.items() if value is not None} for note in notes]
    for one in cells:
        ledger.format_line({**one, "line": 1})  # refuse a bad note before the file is touched
    try:
        with _locked(path) as (read, write):
            data = read()
            check_text(LEDGER, data)
            text = ledger.text_of(data)
            if not ledger.is_in_order(text):
                remedy = f"Give it the columns that woodlot writes, in this order: {','.join(ledger.HEADING)}."
                raise unusable(LEDGER, "other columns", remedy, row=1)
            new = ledger.fresh(cells, ledger.parse(text)[0]) if once else range(len(cells))
            numbers = {at: number for number, at in enumerate(new, start=ledger.next_line(text))}
            lines = "".join(ledger.format_line({**cells[at], "line": number}) for at, number in numbers.items())
            if not data.strip(b"\xef\xbb\xbf \r\n"):
                lines = ledger.heading_line() + lines
            elif not data.endswith(b"\n"):
                lines = "\n" + lines
            if numbers:
                write(lines.encode("utf-8"))
    except OSError as error:
        remedy = "What stood in the ledger is whole. Make room and write it again."
        raise unusable(LEDGER, error, remedy) from error
    return numbers


@contextmanager
def _locked(path: Path) -> Iterator[tuple[Callable[[], bytes], Callable[[bytes], None]]]:
    """The ledger, opened to append and held against other writers: functions that read it all and write at its end."""
    new = not path.exists()
    handle = _hold(path)
    try:

        def read() -> bytes:
            os.lseek(handle, 0, os.SEEK_SET)
            parts = []
            while part := os.read(handle, 1 << 20):
                parts.append(part)
            return b"".join(parts)

        def write(data: bytes) -> None:
            before = os.fstat(handle).st_size
            try:
                done = os.write(handle, data)
                if done != len(data):
                    raise OSError(0, f"only {done} of {len(data)} letters could be written")
                os.fsync(handle)
            except OSError:
                os.ftruncate(handle, before)
                if new and not before:
                    with suppress(OSError):
                        path.unlink()
                raise

        yield read, write
        if new:
            sync_folder(path.parent)
    finally:
        os.close(handle)  # closing gives the lock back


def _hold(path: Path) -> int:
    """The file opened and locked; opened anew where it was swapped or taken away while another writer held it."""
    while True:
        handle = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o666)
        _lock(handle)
        if path.exists() and os.path.samestat(os.fstat(handle), path.stat()):
            return handle
        os.close(handle)


try:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX)

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

"""Zip files of woodlot's own: the same bytes for the same files, large files streamed; and unpacked with care.

packed           a zip of a few small files, as bytes
Packing          a zip on its way to the disk, with the checksum of each file that went in
sealed           whether no byte of a zip that was packed here has changed since
unpack           what a zip holds, laid into a folder; nothing leaves the folder, no size lies
"""

import io
import os
import re
import shutil
import stat
import zipfile
import zlib
from collections.abc import Mapping
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import IO, Self

from woodlot.place.remedies import unusable
from woodlot.place.with_care import Most, opened

__all__ = ["NO_NAME", "UNREADABLE", "Packing", "packed", "sealed", "unpack"]

#: What opening a file raises that is no zip, is not whole, is locked by a password, or holds something else.
UNREADABLE = (
    *(zipfile.BadZipFile, zlib.error, OSError, EOFError, RuntimeError, UnicodeError),
    *(LookupError, ValueError, TypeError, AttributeError),
)
#: What not every computer, or checker of checksums, takes within a name.
NO_NAME = re.compile(r'[\x00-\x1f\x7f\ud800-\udfff\\:*?"<>|%]|[ .](?:/|$)')
#: Ends of names of files that are pressed already.
PRESSED = (".zip", ".kmz", ".xlsx", ".docx", ".odt", ".jpg", ".jpeg", ".png", ".webp", ".heic", ".mp4", ".mov", ".pdf")
#: The last words of a zip that was packed here: the checksum of all that stands before them.
SEAL = b"SHA-256 of all bytes before this line: "
LETTERS = 64
NOTHING = "Nothing of it was unpacked. Ask for it again."
BLOCK = 1 << 20
MOST_FILES = 100_000
#: Room on the disk that unpacking leaves.
LEFT_FREE = 50 * BLOCK


def _entry(name: str, size: int) -> zipfile.ZipInfo:
    """The entry of a file; its time is the first day that a zip knows, since no clock may stand in it."""
    entry = zipfile.ZipInfo(name)
    entry.create_system, entry.external_attr, entry.file_size = 3, 0o644 << 16, size
    entry.compress_type = zipfile.ZIP_STORED if name.lower().endswith(PRESSED) else zipfile.ZIP_DEFLATED
    return entry


def packed(files: Mapping[str, bytes]) -> bytes:
    """A zip of files, the same bytes for the same files."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as zipped:
        for name in sorted(files):
            zipped.writestr(_entry(name, len(files[name])), files[name])
    return out.getvalue()


class Packing:
    """A zip that is written file by file into an open file, within ``with``; ``seal`` ends it."""

    def __init__(self, file: IO[bytes]):
        """Begin a zip in a file that is open for reading and writing."""
        self._file = file
        self._zip = zipfile.ZipFile(file, "w")

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        with suppress(OSError, ValueError):  # ended already, or never to be: what went wrong is said by whoever began
            self._zip.close()

    def add(self, name: str, content: bytes | Path) -> tuple[str, int]:
        """Put a file in; its SHA-256 and its size."""
        if isinstance(content, bytes):
            return self._copied(io.BytesIO(content), _entry(name, len(content)))
        with content.open("rb") as source:
            return self._copied(source, _entry(name, os.fstat(source.fileno()).st_size))

    def _copied(self, source: IO[bytes], entry: zipfile.ZipInfo) -> tuple[str, int]:
        told, size = sha256(), 0
        with self._zip.open(entry, "w") as target:
            while block := source.read(BLOCK):
                told.update(block)
                size += target.write(block)
        return told.hexdigest(), size

    def seal(self) -> None:
        """End the zip with the checksum of all its bytes."""
        self._zip.comment = SEAL + bytes(LETTERS)
        self._zip.close()
        check = _check(self._file, self._file.seek(-len(SEAL) - LETTERS, os.SEEK_END))
        self._file.seek(-LETTERS, os.SEEK_END)
        self._file.write(check)
        self._file.flush()
        os.fsync(self._file.fileno())


def _check(file: IO[bytes], size: int) -> bytes:
    """The SHA-256 of the first bytes of a file, in letters."""
    told = sha256()
    file.seek(0)
    while size > 0 and (block := file.read(min(BLOCK, size))):
        told.update(block)
        size -= len(block)
    return told.hexdigest().encode()


def sealed(path: Path) -> bool:
    """Whether every byte of a zip is as it was packed; a zip without such a seal must at least end as zips do."""
    bare = 22  # bytes of the end of a zip that has no last words
    with path.open("rb") as file:
        size = file.seek(0, os.SEEK_END)
        file.seek(max(0, size - len(SEAL) - LETTERS))
        tail = file.read()
        if tail[:-LETTERS] == SEAL:
            return _check(file, size - len(tail)) == tail[-LETTERS:]
    return tail[-bare:].startswith(b"PK\5\6") and tail.endswith(b"\0\0")


def unpack(path: Path, folder: Path) -> None:
    """Lay what a zip holds into an empty folder.

    Raises PlaceError for names that leave the folder, links, a name given twice, more files or bytes than there is room
    for, a size that is not true, and a zip that cannot be read.
    """
    room = shutil.disk_usage(folder).free - LEFT_FREE
    with opened(path, Most(max(room, 0), MOST_FILES, "Make room on the disk, or take another one.")) as members:
        _check_names(path, members.files)
        for one in members.files:
            target = folder / one.filename
            target.parent.mkdir(parents=True, exist_ok=True)
            members.lay(one, target)


def _check_names(path: Path, files: list[zipfile.ZipInfo]) -> None:
    names = set[str]()
    for one in files:
        odd = one.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
        odd |= bool({"", "..", "."} & set(one.orig_filename.split("/")))
        kind = stat.S_IFMT(one.external_attr >> 16)
        if odd or NO_NAME.search(one.orig_filename) or (kind and not stat.S_ISREG(kind)):
            name = NO_NAME.sub("?", one.orig_filename)[:80]
            raise unusable(path.name, f"holds {name!r}, which is no plain file within it", NOTHING)
        if one.filename.lower() in names:
            raise unusable(path.name, f"holds {one.filename!r} twice", NOTHING)
        names.add(one.filename.lower())

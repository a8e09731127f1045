"""Files of the family opened with care: none can hang woodlot, fill its memory, or lead it to another file.

check_regular   refuses what is no file: a folder, a pipe, a link that leads nowhere
data_of         bytes of a file, no more than a table or map of woods has; start_of: its first bytes
opened          a ZIP, open, the bytes of its files counted while they are unpacked; Most: how many there may be
unpacked        its files that are wanted, as files
check_packed    the same without keeping them: for a library that unpacks by itself
check_xml       refuses an XML of another kind than its name says, with words of its own, or nested without end
check_geopackage   refuses a database that works things out while it is read
scratch         a passing folder
is_deep         whether lists within lists go deeper than anything a family writes
"""

import errno
import lzma
import sqlite3
import stat
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Collection, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any
from xml.parsers import expat

from woodlot.errors import PlaceError
from woodlot.place.remedies import no_room, short, unusable

__all__ = [
    "Most",
    "check_geopackage",
    "check_packed",
    "check_regular",
    "check_xml",
    "data_of",
    "is_deep",
    "opened",
    "scratch",
    "start_of",
    "unpacked",
]

#: Bytes of one file of a place; ten counties of outlines are less.
MOST_BYTES = 500_000_000
#: What a ZIP may hold, unpacked, and how many times its own size once that is large.
MOST_UNPACKED_BYTES, MOST_RATIO, LARGE_BYTES = 500_000_000, 200, 10_000_000
MOST_MEMBERS = 10_000
#: Lists within lists, or elements within elements.
MOST_DEEP = 100
_STEP = 1 << 20
#: Steps of ten thousand that checking a database may take, and bytes of one of its cells.
_MOST_STEPS, _MOST_CELL_BYTES = 20_000, 100_000_000
_KINDS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)
#: What a file raises that is no ZIP, is damaged, locked, or packed in a way that nobody can unpack.
_NO_ZIP = (zipfile.BadZipFile, zlib.error, lzma.LZMAError, EOFError, RuntimeError, ValueError, OSError, MemoryError)
_DAMAGED = "The file is damaged or not what its name says. Save it again."
_NOT_TRUSTED = "No map or table of woods does that. Get the file from a source you trust."


def check_regular(path: Path, called: str = "") -> None:
    """PlaceError unless there is a file of this name; called: its name within the place, where it is another."""
    name = called or path.name
    try:
        mode = path.stat().st_mode
    except OSError as error:
        if path.is_symlink():
            what = f"a link that leads nowhere, to {short(str(path.readlink()), 100)}"
            raise unusable(name, what, "Put the file itself here, or take the link away.") from None
        raise unusable(name, error, "Look whether the file is there, and whether you may read it.") from None
    kind = next((words for is_one, words in _KINDS if is_one(mode)), "" if stat.S_ISREG(mode) else "no file")
    if kind:
        raise unusable(name, f"{kind}, no file", "A file is wanted here. Move this away, or give it another name.")


def data_of(path: Path, called: str = "", most: int = MOST_BYTES) -> bytes:
    """Bytes of a file. PlaceError where it is none, or holds more than ``most``."""
    check_regular(path, called)
    with path.open("rb") as file:
        data = file.read(most + 1)
    if len(data) > most:
        raise unusable(called or path.name, f"over {most / 1e6:,g} MB", "Too large for woods. Check the file.")
    return data


def start_of(path: Path, most: int = 4000) -> bytes:
    """The first bytes of a file, nothing where it is none."""
    if not path.is_file():
        return b""
    with path.open("rb") as file:
        return file.read(most)


@dataclass(frozen=True)
class Most:
    """What a ZIP may hold: bytes, unpacked, and files; what helps where it holds more."""

    bytes: int
    files: int = MOST_MEMBERS
    remedy: str = _NOT_TRUSTED


class Members:
    """Files of a ZIP that is open; all their bytes are counted as they are unpacked, whatever the ZIP says of them."""

    def __init__(self, path: Path, packed: zipfile.ZipFile, most: Most):
        """PlaceError where it says by itself that it holds more."""
        self.name, self.packed, self.most, self.bytes = path.name, packed, most, 0
        self.files = [one for one in packed.infolist() if not one.is_dir()]
        if len(self.files) > most.files:
            raise unusable(self.name, f"{len(self.files):,} files within", most.remedy)
        self._check(sum(one.file_size for one in self.files))

    def _check(self, number: int) -> None:
        if number > self.most.bytes:
            raise unusable(self.name, f"unpacks to more than {self.most.bytes / 1e6:,.0f} MB", self.most.remedy)

    def parts(self, one: zipfile.ZipInfo) -> Iterator[bytes]:
        """The content of a file, piece by piece."""
        with self.packed.open(one) as file:
            while part := file.read(_STEP):
                self.bytes += len(part)
                self._check(self.bytes)
                yield part

    def lay(self, one: zipfile.ZipInfo, at: Path) -> None:
        """Unpack a file under a name that is free."""
        with at.open("xb") as copy:
            for part in self.parts(one):
                copy.write(part)


@contextmanager
def opened(path: Path, most: Most | None = None) -> Iterator[Members]:
    """A ZIP, open, with no more in it than woods have unless ``most`` is given. PlaceError when it, or a file read from
    it, is damaged or locked, OSError where the disk refuses.
    """
    check_regular(path)
    bytes_ = min(MOST_UNPACKED_BYTES, max(LARGE_BYTES, MOST_RATIO * path.stat().st_size))
    try:
        with zipfile.ZipFile(path) as packed:
            yield Members(path, packed, most or Most(bytes_))
    except PlaceError:
        raise
    except _NO_ZIP as error:
        if isinstance(error, OSError) and error.errno not in (None, errno.EINVAL):  # the disk, not the ZIP
            raise
        raise unusable(path.name, short(str(error), 100), _DAMAGED) from None


def unpacked(path: Path, into: Path, wanted: Callable[[PurePosixPath], bool]) -> dict[PurePosixPath, Path]:
    """Files of a ZIP that are wanted by their names there, each unpacked into a folder under a name of our own.

    Raises PlaceError for a ZIP that is damaged, or holds more than woods do.
    """
    out: dict[PurePosixPath, Path] = {}
    with opened(path) as members:
        for at, one in enumerate(members.files):
            inner = PurePosixPath(one.filename.replace("\\", "/"))
            if "__MACOSX" not in inner.parts and not inner.name.startswith(".") and wanted(inner):
                out[inner] = into / f"{at}{inner.suffix.lower()}"
                members.lay(one, out[inner])
    return out


def check_packed(path: Path) -> None:
    """PlaceError for a ZIP that is damaged, that says too little of its files' sizes, or holds more than woods do.

    Every file is unpacked once, none is kept; XML among them is checked as ``check_xml`` does.
    """
    with opened(path) as members:
        for one in members.files:
            parser = _Xml(path.name) if one.filename.lower().endswith((".xml", ".rels", ".vml")) else None
            for part in members.parts(one):
                if parser is not None:
                    parser.read(part)


class _Xml:
    """Reads an XML only for what may not stand in it."""

    def __init__(self, name: str, roots: Collection[str] = ()):
        self.name, self.deep, self.done, self.roots = name, 0, False, roots
        self.parser = expat.ParserCreate()
        self.parser.StartDoctypeDeclHandler = self.doctype
        self.parser.StartElementHandler = self.start if roots else self.root
        self.parser.EndElementHandler = self.end if roots else None

    def doctype(self, *_: Any) -> None:
        """Words that an XML defines for itself can stand for gigabytes, or for other files."""
        words = "defines words of its own (DOCTYPE)"
        raise unusable(
            self.name, words, "A map or workbook needs none. Export it again from the program it comes from."
        )

    def root(self, *_: Any) -> None:
        """Nothing is defined any more once the first element has begun."""
        self.done = True

    def start(self, name: str, _: Any) -> None:
        if not self.deep and name.rpartition(":")[2] not in self.roots:
            raise unusable(self.name, f"begins with {short(name)}", _DAMAGED)
        self.deep += 1
        if self.deep > MOST_DEEP:
            raise unusable(self.name, f"more than {MOST_DEEP} folders within folders", "Export it again.")

    def end(self, *_: Any) -> None:
        self.deep -= 1

    def read(self, part: bytes, last: bool = False) -> None:
        if not self.done:
            try:
                self.parser.Parse(part, last)
            except PlaceError:
                raise
            except expat.ExpatError as error:
                raise unusable(self.name, short(str(error), 100), _DAMAGED) from None
            except (ValueError, LookupError):
                raise unusable(self.name, "letters of an encoding that nobody knows", _DAMAGED) from None


def check_xml(path: Path, called: str, roots: Collection[str]) -> None:
    """PlaceError for an XML that is damaged, begins with none of the elements named, has a DOCTYPE, or nests without
    end.
    """
    parser = _Xml(called, roots)
    with path.open("rb") as file:
        while part := file.read(_STEP):
            parser.read(part)
    parser.read(b"", last=True)


def check_geopackage(copy: Path, called: str) -> None:
    """PlaceError for a database that is damaged, or in which something is worked out while it is read; triggers and
    views that no layer rests on are taken out of it.
    """
    steps = iter(range(_MOST_STEPS))
    try:
        with closing(sqlite3.connect(copy)) as base:
            base.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, _MOST_CELL_BYTES)
            base.set_progress_handler(lambda: int(next(steps, None) is None), 10_000)
            base.execute("pragma trusted_schema = off")
            _plain_tables(base, called)
            verdict = base.execute("pragma integrity_check(1)").fetchone()[0]
            base.commit()
    except (sqlite3.Error, UnicodeDecodeError, OverflowError) as error:
        verdict = str(error)
    if verdict != "ok":
        remedy = "The GeoPackage is damaged. Go back to your last good copy, or export it again."
        raise unusable(called, short(verdict, 100), remedy)


def _plain_tables(base: sqlite3.Connection, called: str) -> None:
    listed = base.execute("select type, name, coalesce(sql, '') from sqlite_master").fetchall()
    layers = set()
    if any(name.lower() == "gpkg_contents" for _, name, _ in listed):
        layers = {str(name).lower() for (name,) in base.execute("select table_name from gpkg_contents")}
    for kind, name, sql in listed:
        named = '"' + name.replace('"', '""') + '"'
        worked_out = kind == "view" and name.lower() in layers
        if kind == "table" and "virtual" in sql.lower()[:20]:
            worked_out = "using rtree" not in " ".join(sql.lower().split())
        elif kind == "table":
            worked_out = any(column[6] > 1 for column in base.execute(f"pragma table_xinfo({named})"))
        if worked_out:
            remedy = "Save the layer as a new one in your mapping program: only plain layers are read."
            raise unusable(called, f"{short(name)} is worked out from other tables", remedy)
    for kind, name, _ in listed:
        if kind in ("trigger", "view"):
            named = '"' + name.replace('"', '""') + '"'
            base.execute(f"drop {kind} if exists {named}")


@contextmanager
def scratch() -> Iterator[Path]:
    """A folder for passing files; PlaceError where there is no room for them."""
    try:
        with tempfile.TemporaryDirectory() as folder:
            yield Path(folder)
    except OSError as error:
        if fault := no_room(error):
            raise PlaceError([fault]) from error
        raise


def is_deep(value: Any, most: int = MOST_DEEP) -> bool:
    """Whether lists or tables within it lie more than ``most`` deep."""
    level = [value] if isinstance(value, (dict, list)) else []
    for _ in range(most):
        inner = (x for one in level for x in (one.values() if isinstance(one, dict) else one))
        level = [one for one in inner if isinstance(one, (dict, list))]
        if not level:
            return False
    return bool(level)

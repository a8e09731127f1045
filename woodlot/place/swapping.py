"""Files written whole: beside their old ones, and swapped in; a whole folder in one step; what killed runs left.

written      what this process has written so far, in order; record adds to it
inside       a path within a folder, by its name there; in_the_way: what is no plain file or folder where one must be;
             refuse: says so
swap_in      files, all of them written beside before the first is swapped in
write_beside, write_through, sync_folder   a file, and a folder's names, that last through a power cut
exchange     two folders change names, in one step where the system can
check_of     the checksum of a file
put_back     a folder that was between its old and its new self when the system can not, and the power went
locked       a folder held against other runs of woodlot, without a file for it
sweep        takes away what runs left that were killed while they wrote
"""

import errno
import os
import re
import shutil
import stat
import sys
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from hashlib import file_digest
from pathlib import Path, PurePosixPath

from woodlot.errors import Fault, InputError, PlaceError
from woodlot.place.remedies import kind_of, unusable

__all__ = [
    "beside",
    "check_of",
    "exchange",
    "in_the_way",
    "inside",
    "left_over",
    "locked",
    "put_back",
    "record",
    "refuse",
    "swap_in",
    "sweep",
    "sync_folder",
    "write_beside",
    "write_through",
    "written",
]

#: How often a run asks whether another one, which is writing, is done, and the seconds in between.
PATIENCE, A_MOMENT = 400, 0.05
_LEFT = re.compile(r"\.(?P<name>.+)\.(?P<pid>\d+)\.(?P<what>new|old)")
_AT_FOLDER, _EXCHANGE = -100, 2  # of renameat2 and renamex_np
_NOT_IN_ONE_STEP = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP}
_written: list[Path] = []


def written() -> tuple[Path, ...]:
    """What this process has written so far, in order: only files that stand whole under their own names."""
    return tuple(_written)


def record(paths: Iterable[Path]) -> None:
    """Note files that now stand whole under their own names."""
    _written.extend(paths)


def inside(home: Path, name: str) -> Path:
    """The path of a file within a folder. InputError for a name that leads elsewhere."""
    plain = PurePosixPath(name.replace("\\", "/"))
    if not name or not name.isprintable() or plain.is_absolute() or ".." in plain.parts or ":" in name:
        raise InputError(f"{name!r} is no name of a file within {home}")
    return home / plain


def in_the_way(path: Path, folder: bool = False) -> tuple[str, str] | None:
    """What a path is and what helps, where it is there and is no plain file, or no folder where that is wanted."""
    try:
        mode = path.lstat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        return None
    what, move = kind_of(mode), "Move it or give it another name, and try again."
    if stat.S_ISLNK(mode):
        return what, f"What lies there may be anyone's, so nothing is written through it. {move}"
    if folder:
        return None if stat.S_ISDIR(mode) else (f"{what or 'a file'}, where a folder must be", move)
    return (f"{what}, where a file must be", move) if what else None


def refuse(faults: Iterable[Fault]) -> None:
    """PlaceError of what lies in the way of files that are to be written, where there is anything."""
    if found := [*faults]:
        raise PlaceError(found) from FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST))


def beside(path: Path, what: str = "new") -> Path:
    """The name beside a file or folder under which this process writes it."""
    return path.with_name(f".{path.name}.{os.getpid()}.{what}")


def swap_in(files: Mapping[Path, bytes]) -> None:
    """Write all files beside their old ones, then swap them in; where the disk refuses, nothing new is left behind.

    PlaceError where a link, a folder or what is no plain file has the name of one of them.
    """
    refuse(Fault(path.name, None, "", *what) for path in files if (what := in_the_way(path)))
    new = {folder for path in files for folder in path.parents if not folder.exists()}
    waiting: list[tuple[Path, Path]] = []
    try:
        for folder in {path.parent for path in files} - new:
            sweep(folder)
        for path, data in files.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            waiting.append((write_beside(path, data), path))
        while waiting:
            whole, path = waiting[0]
            whole.replace(path)
            waiting.pop(0)
            record([path])
        for parent in {path.parent for path in files}:
            sync_folder(parent)
    finally:
        for whole, _ in waiting:
            whole.unlink(missing_ok=True)
        for folder in sorted(new, reverse=True):
            with suppress(OSError):  # not made, or it holds something
                folder.rmdir()


def write_beside(path: Path, data: bytes) -> Path:
    """Write a file under a name beside its own, which is given back; nothing is left where the disk refuses."""
    whole = beside(path)
    try:
        write_through(whole, data)
    except BaseException:
        whole.unlink(missing_ok=True)
        raise
    return whole


def write_through(path: Path, data: bytes) -> None:
    """Write a new file, down to the disk."""
    with path.open("xb") as out:
        out.write(data)
        out.flush()
        os.fsync(out.fileno())


def check_of(path: Path, how: str = "sha256") -> str:
    """The checksum of a file, read piece by piece."""
    with path.open("rb") as file:
        return file_digest(file, how).hexdigest()


def sync_folder(folder: Path) -> None:
    """Make a new name last through a power cut, where the system can."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def exchange(new: Path, old: Path) -> None:
    """Two folders side by side change names: in one step, or in three that ``put_back`` undoes or ``sweep`` ends."""
    if _in_one_step(new, old):
        return
    aside = beside(old, "old")
    old.rename(aside)
    try:
        new.rename(old)
    except BaseException:
        aside.rename(old)
        raise
    aside.rename(new)


def _in_one_step(new: Path, old: Path) -> bool:
    """Whether the system exchanged two names; OSError where it could and was not let."""
    if os.name != "posix":
        return False
    import ctypes

    system = ctypes.CDLL(None, use_errno=True)
    one, other = os.fsencode(new), os.fsencode(old)
    try:
        if sys.platform == "darwin":
            refused = system.renamex_np(one, other, _EXCHANGE)
        else:
            refused = system.renameat2(_AT_FOLDER, one, _AT_FOLDER, other, _EXCHANGE)
    except AttributeError:  # an older system library
        return False
    number = ctypes.get_errno() if refused else 0
    if number and number not in _NOT_IN_ONE_STEP:
        raise OSError(number, os.strerror(number), str(old))
    return not refused


def put_back(folder: Path) -> None:
    """The old self of a folder gets its name back where a run was killed before the new one had it."""
    if os.path.lexists(folder):
        return
    mine = re.compile(rf"\.{re.escape(folder.name)}\.\d+\.old")
    if olds := [path for path in folder.parent.iterdir() if mine.fullmatch(path.name)]:
        max(olds, key=lambda path: path.lstat().st_mtime_ns).rename(folder)


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold a folder while it is written into; other runs wait. PlaceError when one of them does not end.

    The folder itself is held, so nothing is left of it, however a run ends. Where a system cannot hold folders the
    writing goes on without: names are exchanged whole even then.
    """
    try:
        import fcntl
    except ImportError:
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        for _ in range(PATIENCE):
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except BlockingIOError:
                time.sleep(A_MOMENT)
            except OSError:  # a shared disk on which no folder can be held
                break
        else:
            remedy = "Nothing was written. Wait until it is done, and try again."
            raise unusable(str(folder), "another woodlot is writing there", remedy)
        yield
    finally:
        os.close(handle)


def left_over(path: Path) -> bool:
    """Whether a name is that of a file or folder that woodlot was writing, by a run that is no more."""
    found = _LEFT.fullmatch(path.name)
    if not found:
        return False
    pid = int(found["pid"])
    if pid == os.getpid():  # of an earlier run by the same number
        return True
    if os.name != "posix":  # to ask for a process there would end it
        return False
    try:
        os.kill(pid, 0)
    except (ProcessLookupError, OverflowError):
        return True
    except PermissionError:
        return False
    return False


def sweep(folder: Path) -> None:
    """Take away what runs left in a folder that were killed while they wrote; what cannot be taken away stays."""
    with suppress(OSError):
        for path in folder.iterdir():
            if left_over(path):
                if path.is_dir() and not path.is_symlink():
                    shutil.rmtree(path, ignore_errors=True)
                else:
                    path.unlink(missing_ok=True)

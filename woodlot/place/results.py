"""The folder of results, ``out/``: swapped in whole, never over a file that woodlot did not make.

OUT, LIST        its name within a place, and the list in it of what woodlot made there, with checksums
OF_A_PLAN        what a plan makes: of these, what an older plan made and this one does not is taken away
results_of       the folder of results in which a path lies, and its name there
check_results    refuses links, what is no plain file, and files that are not woodlot's or were changed: before the work
write_results    the same again, then the swap

A new folder is made beside the old one: with the new files, and with all else that lay there, the family's own files
among it. Then the two change names. Whoever is killed, or has no room left, leaves the old folder or the new one.

The list is in the plain form of ``sha256sum``, by which anyone can look whether a file is as woodlot wrote it. A folder
of an older woodlot has no list: there files are taken for woodlot's by their names where they show themselves.
"""

import errno
import json
import os
import re
import shutil
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from woodlot.errors import Fault, InputError
from woodlot.place.remedies import unusable
from woodlot.place.swapping import (
    beside,
    check_of,
    exchange,
    in_the_way,
    inside,
    left_over,
    locked,
    put_back,
    record,
    refuse,
    sweep,
    sync_folder,
    write_through,
)

__all__ = ["LIST", "OF_A_PLAN", "OUT", "Results", "check_results", "list_of", "not_made", "results_of", "write_results"]

OUT, LIST = "out", "made_by_woodlot.sha256"
_TABLES = ("parcels", "stands", "species", "stand_table", "trees", "years", "contacts", "deer_springs")
OF_A_PLAN = (
    *("map.html", "report.html", "report.pdf", "answers.json", "plan.gpkg", "woods.gpx", "woods.kml"),
    *("first_plots.gpx", *(f"tables/{name}.csv" for name in _TABLES)),
)
#: By what a file of an older woodlot shows itself near its beginning, beside a plan's answers.
_SIGNS = {
    "map.html": b": the woods in winter ",
    "first_plots.gpx": b'creator="woodlot"',
    "tally_phone.html": b"<title>Tally sheet: ",
    "tally_sheets.html": b"<title>Tally sheets: ",
    "buck_sheet.html": b"<title>Buck sheet, ",
}
_LINE = re.compile(r"([0-9a-f]{64}) [ *](.+)")
#: How often the folder is looked at anew because another program changed it in between.
_TRIES = 5

#: Name within a folder -> what it was when it was looked at; folders end in "/".
Lying = Mapping[str, tuple[int, ...]]
#: Name within the folder -> checksum of it as woodlot wrote it.
Made = Mapping[str, str]
#: Whether a file that is not in the list is woodlot's own by another sign.
Ours = Callable[[Path], bool]


@dataclass(frozen=True)
class Results:
    """What was written, in the order given; names of files of an older plan that were taken away."""

    written: tuple[Path, ...]
    taken_away: tuple[str, ...] = ()


def not_made(folder: str | Path) -> list[str]:
    """Names of the files in a folder of results that woodlot did not make."""
    out = Path(folder)
    made = {LIST, *_made(out)} if out.is_dir() else set()
    there = sorted(one.relative_to(out).as_posix() for one in out.rglob("*") if one.is_file())
    return [name for name in there if name not in made]


def results_of(path: Path) -> tuple[Path, str] | None:
    """The folder of results of a place in which a file lies, or would lie, and its name there."""
    whole = _whole(path)
    outs = [one for one in whole.parents if one.name == OUT and (one.parent / "place.toml").exists()]
    return (outs[0], whole.relative_to(outs[0]).as_posix()) if outs else None


def check_results(folder_out: str | Path, names: Collection[str], ours: Ours | None = None) -> None:
    """Refuse what cannot be written into a folder of results, as ``write_results`` will; nothing is written."""
    out = _whole(folder_out)
    with _in_words(out):
        if out.parent.is_dir() and not os.path.lexists(out):
            with locked(out.parent):
                put_back(out)
        _check(out, dict.fromkeys(names), ours)


def write_results(
    folder_out: str | Path,
    files: Mapping[str, bytes | str],
    instead_of: Collection[str] = (),
    ours: Ours | None = None,
) -> Results:
    """Write files into a folder of results, all in one step; what else lies in it stays.

    Parameters
    ----------
    folder_out
        The folder, made if it is not there.
    files
        Name within the folder (``map.html``, ``tables/stands.csv``) -> its content; text is written as UTF-8 with
        plain line ends.
    instead_of
        Names that this call makes or leaves out: those that woodlot made earlier, that nobody changed since and that
        are not among ``files`` are taken away.
    ours
        Whether a file that is not in the list is woodlot's own by another sign.

    Raises InputError for a name that leaves the folder and for a folder of hand-ins; PlaceError where something lies in
    the way, with every such file, and when the disk refuses. Nothing is changed then.
    """
    out = _whole(folder_out)
    data = {name: one.encode("utf-8") if isinstance(one, str) else one for name, one in files.items()}
    if LIST in (name.lower() for name in files):
        raise InputError(f"{LIST} is the name of woodlot's own list in {folder_out}. Give another name")
    if any((out / own).exists() for own in ("place.toml", "region.toml")):
        raise InputError(f"{folder_out} holds the family's own files; results go into a folder of their own")
    with _in_words(out):
        out.parent.mkdir(parents=True, exist_ok=True)
        with locked(out.parent), _standing():
            put_back(out)
            sweep(out.parent)
            gone = _replaced(out, data, instead_of, ours)
            record(paths := tuple(Path(folder_out) / name for name in data))
    return Results(paths, gone)


def list_of(files: Mapping[str, bytes]) -> bytes:
    """The list of what woodlot made in a folder of results that holds only these files."""
    return _lines({name: sha256(content).hexdigest() for name, content in files.items()})


def _lines(made: Made) -> bytes:
    return "".join(f"{made[name]}  {name}\n" for name in sorted(made)).encode("utf-8")


def _replaced(out: Path, data: Mapping[str, bytes], instead_of: Collection[str], ours: Ours | None) -> tuple[str, ...]:
    """Make the new folder and swap it in, anew where the old one changed meanwhile. Names that were taken away."""
    new = beside(out)
    for _ in range(_TRIES):
        there = dict(_lying(out)) if os.path.lexists(out) and not out.is_symlink() and out.is_dir() else None
        made = _check(out, data, ours)
        listed = {name: check for name, check in made.items() if name in (there or ())}
        gone = {name for name in {*instead_of} & {*listed} - {*data} if check_of(out / name) == listed[name]}
        listed = {name: check for name, check in listed.items() if name not in gone}
        listed |= {name: sha256(content).hexdigest() for name, content in data.items()}
        stays = [name for name in there or () if name not in (*data, *gone, LIST) and not left_over(out / name)]
        try:
            _build(new, out, stays, {**data, LIST: _lines(listed)})
            if _swapped(new, out, there):
                return tuple(sorted(gone))
        finally:
            shutil.rmtree(new, ignore_errors=True)  # the old one now, or what was not swapped in
    raise unusable(out.name, "another program changes it again and again", "Nothing was written. Close it, try again.")


def _build(new: Path, out: Path, stays: Collection[str], files: Mapping[str, bytes]) -> None:
    """The new folder, down to the disk: new files, and what stays of the old ones."""
    new.mkdir()
    if out.exists():
        shutil.copymode(out, new)
    for name in stays:
        if name.endswith("/"):
            (new / name).mkdir()
        else:
            _carry(out / name, new / name)
    for name, content in files.items():
        (new / name).parent.mkdir(parents=True, exist_ok=True)
        write_through(new / name, content)
    for name in (name for name in stays if name.endswith("/")):
        shutil.copymode(out / name, new / name)
    for folder in {new, *((new / name).parent for name in (*stays, *files))}:
        sync_folder(folder)


def _carry(old: Path, new: Path) -> None:
    """One more name for a file, so that it is the same one; a copy where the disk knows one name a file."""
    try:
        os.link(old, new, follow_symlinks=False)
    except (OSError, NotImplementedError):
        shutil.copy2(old, new, follow_symlinks=False)


def _swapped(new: Path, out: Path, there: Lying | None) -> bool:
    """Whether the new folder has the name now; not where something changed in the old one since it was looked at."""
    if there is None:
        try:
            new.rename(out)
        except OSError as error:
            if error.errno in (errno.EEXIST, errno.ENOTEMPTY):
                return False
            raise
    else:
        exchange(new, out)
        if dict(_lying(new)) != there:
            exchange(new, out)
            return False
    sync_folder(out.parent)
    return True


def _lying(folder: Path, within: str = "") -> Iterator[tuple[str, tuple[int, ...]]]:
    """What lies in a folder, folders before what they hold; no link is followed."""
    with os.scandir(folder) as there:
        for one in sorted(there, key=lambda entry: entry.name):
            if one.is_dir(follow_symlinks=False):
                yield f"{within}{one.name}/", ()
                yield from _lying(folder / one.name, f"{within}{one.name}/")
            else:
                now = one.stat(follow_symlinks=False)
                yield f"{within}{one.name}", (now.st_ino, now.st_size, now.st_mtime_ns)


def _check(out: Path, data: Mapping[str, bytes | None], ours: Ours | None) -> Made:
    """What woodlot made in the folder; PlaceError with everything that lies in the way of new files."""
    faults: dict[str, Fault] = {}
    made: Made = {}
    if what := in_the_way(out, folder=True):
        faults[""] = Fault(out.name, None, "", *what)
    elif what := in_the_way(out / LIST):
        faults[LIST] = Fault(f"{out.name}/{LIST}", None, "", *what)
    else:
        made = _made(out)
        for name in data:
            path = inside(out, name)
            ways = [folder for folder in reversed(path.parents) if folder.is_relative_to(out) and folder != out]
            at = next((folder for folder in ways if in_the_way(folder, folder=True)), path)
            what = in_the_way(at, folder=at != path)
            if what is None:
                what = _not_ours(path, data[name], made.get(name), ours)
            if what:
                here = f"{out.name}/{at.relative_to(out).as_posix()}"
                faults[here] = Fault(here, None, "", *what)
    refuse(faults.values())
    return made


def _not_ours(path: Path, data: bytes | None, check: str | None, ours: Ours | None) -> tuple[str, str] | None:
    """What speaks against writing over a plain file, and what helps; nothing where it is woodlot's and unchanged."""
    if not path.exists():
        return None
    now = check_of(path)
    if now == check or (data is not None and now == sha256(data).hexdigest()) or (ours is not None and ours(path)):
        return None
    what = "changed since woodlot wrote it" if check else "not a file that woodlot made"
    return what, "Nothing is written over it. Move it or give it another name, and try again."


def _made(out: Path) -> Made:
    """What woodlot made in a folder, by the list in it; in one of an older woodlot by what shows itself."""
    if _plain(out / LIST):
        lines = (out / LIST).read_bytes().decode("utf-8", "replace").splitlines()
        if made := {found[2]: found[1] for found in map(_LINE.fullmatch, lines) if found}:
            return made
    known = {name for name, sign in _SIGNS.items() if _plain(out / name) and sign in _beginning(out / name)}
    if _plain(out / "answers.json") and _are_answers((out / "answers.json").read_bytes()):
        known |= {name for name in OF_A_PLAN if _plain(out / name)}
    return {name: check_of(out / name) for name in known}


def _are_answers(data: bytes) -> bool:
    try:
        return isinstance(json.loads(data)["schema"], int)
    except (ValueError, TypeError, KeyError, RecursionError):
        return False


def _beginning(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(4096)


def _plain(path: Path) -> bool:
    return path.exists() and in_the_way(path) is None


def _whole(path: str | Path) -> Path:
    """A path from the root on, without steps back; links behind the last step back stay as they are."""
    parts = Path(path).absolute().parts
    behind = max((at for at, part in enumerate(parts) if part == ".."), default=-1) + 1
    return Path(*parts[:behind]).resolve().joinpath(*parts[behind:])


@contextmanager
def _in_words(out: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        remedy = "Nothing in the folder was lost. Close programs that hold its files, make room, and try again."
        raise unusable(str(out), error, remedy) from error


@contextmanager
def _standing() -> Iterator[None]:
    """Whoever stands in the folder that is swapped stands in the new one afterwards."""
    try:
        here = Path.cwd()
    except OSError:  # taken away under our feet before
        here = None
    try:
        yield
    finally:
        if here:
            with suppress(OSError):
                os.chdir(here)

"""The record of a place in one archive, by the open standard BagIt (RFC 8493): made, checked, laid out again.

contents      the files of a place that are handed on
named, target an archive's name, and where it is written
write         writes it
check         what is missing, changed or added in an archive, or in a folder it was unpacked into
lay_out       a checked archive as a new place

An archive holds a folder named after place and day. In it ``data/`` is the place, with what was worked out from it on
that day in ``data/out/``; beside it stand the page that explains all of it and lists of checksums.
"""

import os
import shutil
import unicodedata
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from woodlot import __version__
from woodlot.errors import Fault, InputError, PlaceError
from woodlot.ledger import SEAL
from woodlot.place.packing import NO_NAME, Packing, sealed, unpack
from woodlot.place.remedies import short, unusable
from woodlot.place.sealed import ledger_cells
from woodlot.place.swapping import beside, check_of, record, sweep, sync_folder
from woodlot.place.with_care import scratch

if TYPE_CHECKING:
    from datetime import date

__all__ = ["Found", "check", "contents", "handed_on", "lay_out", "named", "target", "write"]

DATA, DECLARATION = "data", "bagit.txt"
AGENT = "woodlot "
MANIFEST, TAG_MANIFEST = "manifest-sha256.txt", "tagmanifest-sha256.txt"
#: Folders at the top of a place whose content is made anew, and what file managers leave behind.
MADE = ("out",)
LEFT_BEHIND = ("__pycache__", "thumbs.db", "desktop.ini")
BROKEN = "The archive is not byte for byte as it was packed: damaged, or not copied to its end. Try another copy."
ELSEWHERE = "What lies there may be anyone's, so it is not handed on. Put the file itself here, or take the link away."
DAMAGED = "cannot be unpacked: it is no zip file, damaged, or not copied to its end. Try another copy"
#: Most letters of a place's name in the name of its archive.
LONGEST = 60


@dataclass(frozen=True)
class Found:
    """What a check found. wrong: sentences on what is no bundle; ledger: on lines that are not as they were written."""

    files: int = 0
    missing: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    added: tuple[str, ...] = ()
    wrong: tuple[str, ...] = ()
    ledger: tuple[str, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether every file is there as it was handed on, and no other."""
        return not (self.missing or self.changed or self.added or self.wrong)


def contents(home: Path) -> tuple[dict[str, Path], list[str]]:
    """Name within the place -> file of all that is handed on, and the names of what is no file and stays behind.

    Raises PlaceError with every file that lies elsewhere or cannot be read, and every name that not every computer
    takes.
    """
    files: dict[str, Path] = {}
    behind: list[str] = []
    faults: list[Fault] = []
    closed: list[OSError] = []
    for folder, inner, names in os.walk(home, onerror=closed.append):
        here = Path(folder)
        inner[:] = sorted(one for one in inner if handed_on(one) and (here != home or one not in MADE))
        behind += [(here / one).relative_to(home).as_posix() for one in inner if (here / one).is_symlink()]
        for path in (here / one for one in sorted(names) if handed_on(one)):
            name = path.relative_to(home).as_posix()
            if not path.is_file():
                behind.append(name)
                continue
            files[name] = path
            if path.is_symlink() and not path.resolve().is_relative_to(home.resolve()):
                faults.append(Fault(name, None, "", "a link to elsewhere", ELSEWHERE))
            elif not os.access(path, os.R_OK):
                faults.append(Fault(name, None, "", "cannot be read", "Give yourself the right to read it."))
    faults += [
        Fault(str(error.filename), None, "", error.strerror or str(error), "Give yourself the right to read it.")
        for error in closed
    ]
    if faults := faults + _names(files):
        raise PlaceError(faults)
    return files, behind


def handed_on(name: str) -> bool:
    """Whether a name is not one that is hidden, or that a file manager leaves behind."""
    return not name.startswith((".", "~")) and name.lower() not in LEFT_BEHIND


def _names(files: Mapping[str, Path]) -> list[Fault]:
    """A fault for each name that a stick or another computer would not take, or takes for the same as another's."""
    out, alike = [], dict[str, str]()
    for name in files:
        if NO_NAME.search(name):
            remedy = 'Not every computer takes this name. Rename it without \\ : * ? " < > | % and without a last dot.'
            out.append(Fault(short(name.encode("utf-8", "replace").decode(), 200), None, "", "", remedy))
        same = alike.setdefault(unicodedata.normalize("NFC", name).lower(), name)
        if same != name:
            out.append(Fault(name, None, "", f"beside {same}", "Not every computer tells them apart. Rename one."))
    return out


def target(home: Path, name: str, day: "date", to: Path | None) -> Path:
    """The file that an archive is written into: ``to``, in the folder ``to``, or beside the place.

    Raises InputError where it would lie within the place, in no folder, or is not named as a zip file.
    """
    within_place = home.resolve()
    file = to if to is not None and not to.is_dir() else (to or within_place.parent) / f"{named(name, day)}.zip"
    if file.suffix.lower() != ".zip":
        raise InputError(f"{file} must end in .zip")
    if not file.parent.is_dir():
        raise InputError(f"there is no folder {file.parent}; make it first")
    if within_place in file.resolve().parents:
        raise InputError(f"{file} lies within the place and would be handed on with it. Name a file elsewhere by --to")
    return file


def named(name: str, day: "date") -> str:
    """The name of an archive without its end, and of the folder in it: place and day."""
    words = "".join(letter if letter.isalnum() else " " for letter in name).split()
    return f"{'_'.join(words)[:LONGEST] or 'woods'}_{day.isoformat()}"


def write(
    file: Path,
    name: str,
    day: "date",
    files: Mapping[str, Path],
    made: Mapping[str, str | bytes],
    pages: Mapping[str, str],
) -> bool:
    """Write an archive; False where the same lies there already.

    Parameters
    ----------
    file
        As ``target`` says.
    name, day
        Of the place, and the day it was asked for.
    files
        As ``contents`` says.
    made
        Name within the place -> what was worked out from it; stands in for a file of that name.
    pages
        Name -> text of what stands above ``data/``.

    Raises InputError where another file has the name, PlaceError when a file or the disk refuses; nothing is left
    behind then.
    """
    whole = beside(file)
    try:
        sweep(file.parent)
        with whole.open("w+b") as out, Packing(out) as packing:
            _pack(packing, named(name, day), name, day, {**files, **made}, pages)
        if os.path.lexists(file):
            if file.is_file() and check_of(file) == check_of(whole):
                return False
            raise InputError(f"{file} is there already, and it is another. Give another name by --to, or take it away")
        whole.replace(file)
        record([file])
        sync_folder(file.parent)
    except OSError as error:
        remedy = "Nothing was written. Make room, or name another file by --to, and try again."
        raise unusable(str(error.filename or file), error, remedy) from error
    finally:
        whole.unlink(missing_ok=True)
    return True


def _pack(
    packing: Packing,
    base: str,
    name: str,
    day: "date",
    data: Mapping[str, Path | str | bytes],
    pages: Mapping[str, str],
) -> None:
    def add(within: str, content: Path | str | bytes) -> tuple[str, int]:
        return packing.add(f"{base}/{within}", content.encode("utf-8") if isinstance(content, str) else content)

    told = {f"{DATA}/{one}": add(f"{DATA}/{one}", data[one]) for one in sorted(data)}
    info = {
        "Bag-Software-Agent": f"{AGENT}{__version__}",
        "Bagging-Date": day.isoformat(),
        "External-Description": f"The record of {name}. {next(iter(pages))} says what every file is.",
        "External-Identifier": base,
        "Payload-Oxum": f"{sum(size for _, size in told.values())}.{len(told)}",
        "Source-Organization": name,
    }
    tags = {
        DECLARATION: "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n",
        "bag-info.txt": "".join(f"{key}: {' '.join(value.split())}\n" for key, value in info.items()),
        MANIFEST: _lines(told),
        **pages,
    }
    add(TAG_MANIFEST, _lines({one: add(one, tags[one]) for one in sorted(tags)}))
    packing.seal()


def _lines(told: Mapping[str, tuple[str, int]]) -> str:
    return "".join(f"{check}  {name}\n" for name, (check, _) in told.items())


def check(path: Path) -> Found:
    """What a check of an archive, or of a folder that it was unpacked into, finds; nothing is changed.

    Raises InputError where there is no such file, or it cannot be unpacked.
    """
    with _opened(path) as (folder, wrong):
        if not (folder / DECLARATION).is_file():
            raise InputError(f"{path} is no bundle: no {DECLARATION} lies at its top")
        return _found(folder, wrong)


@contextmanager
def _opened(path: Path, into: Path | None = None) -> Iterator[tuple[Path, list[str]]]:
    """The folder with ``bagit.txt``: of an archive unpacked into a passing folder, or into the empty one given."""
    if path.is_dir():
        yield path, []
        return
    if not path.is_file():
        raise InputError(f"there is no file or folder {path}")
    whole = sealed(path)
    with scratch() if into is None else nullcontext(into) as folder:
        try:
            unpack(path, folder)
        except PlaceError as error:
            fault = error.faults[0]
            raise InputError(f"{path} {fault.found}. {fault.remedy}" if whole else f"{path} {DAMAGED}") from None
        yield _bag(folder), [] if whole else [BROKEN]


def _bag(folder: Path) -> Path:
    """The one folder in which an archive was packed, else where its files lie."""
    inner = [path for path in folder.iterdir() if path.is_dir()]
    return inner[0] if len(inner) == 1 and not (folder / DECLARATION).exists() else folder


def _found(folder: Path, wrong: list[str]) -> Found:
    import logging

    import bagit

    bagit.LOGGER.setLevel(logging.CRITICAL)  # what it finds is said by us, once
    odd = [path for path in folder.rglob("*") if path.is_symlink() or not (path.is_file() or path.is_dir())]
    wrong = [*wrong, *(f"{path.relative_to(folder).as_posix()} is a link, or no file." for path in odd)]
    if odd:
        return Found(wrong=tuple(wrong))
    try:
        bag = bagit.Bag(str(folder))
        missing, added = ({Path(name).as_posix() for name in names} for names in bag.compare_manifests_with_fs())
        listed = {Path(bag.normalized_filesystem_names.get(_nfc(n), n)).as_posix(): c for n, c in bag.entries.items()}
        top = {one.name for one in folder.iterdir()} - {DATA}
        if str(bag.info.get("Bag-Software-Agent")).startswith(AGENT):
            lost, added = {MANIFEST, TAG_MANIFEST} - top, added | top - {*listed, TAG_MANIFEST}
        else:  # another tool may take other checksums, and need not list what lies at the top
            lost = set() if any(name.startswith("manifest-") for name in top) else {MANIFEST}
        changed = {name for name, checks in listed.items() if name not in missing and _changed(folder / name, checks)}
        if not (missing or added or changed or lost):
            bag.validate(completeness_only=True)
    except Exception as error:  # a damaged list fails in a hundred ways, all of them the same to the family
        why = "" if isinstance(error, (OSError, AttributeError, TypeError)) else f": {short(str(error), 200)}"
        return Found(wrong=(*wrong, f"Its list of checksums cannot be read{why}."))
    if not (folder / DATA / "place.toml").is_file() and "data/place.toml" not in missing:
        wrong.append("It holds no place: there is no data/place.toml.")
    return Found(
        files=len(listed) + 1,
        missing=tuple(sorted(missing | lost)),
        changed=tuple(sorted(changed)),
        added=tuple(sorted(added)),
        wrong=tuple(wrong),
        ledger=_of_ledger(folder / DATA / "ledger.csv"),
    )


def _nfc(name: str) -> str:
    return unicodedata.normalize("NFC", name)


def _changed(path: Path, checks: Mapping[str, str]) -> bool:
    return any(check_of(path, how) != told.lower() for how, told in checks.items())


def _of_ledger(path: Path) -> tuple[str, ...]:
    """What is said of lines of the ledger that are not as they were written."""
    notes: list[str] = []
    if path.is_file() or path.with_name(SEAL).is_file():
        try:
            ledger_cells(path, notes)
        except PlaceError as error:
            notes += [f"{fault.where()}. {fault.remedy}" for fault in error.faults]
    return tuple(notes)


def lay_out(path: Path, home: Path) -> list[str]:
    """Lay out the place of an archive, or of a folder it was unpacked into, as a new one; the names at its top.

    All is checked before the folder is there. Raises InputError where it holds anything, or the bundle is not whole.
    """
    home = home.resolve()
    if os.path.lexists(home) and (not home.is_dir() or any(home.iterdir())):
        raise InputError(f"{home} is not empty; name a new folder, since nothing there is written over")
    new = beside(home)
    try:
        new.mkdir(parents=True)
        with _opened(path, new) as (folder, wrong):
            found = _found(folder, wrong)
            if not found.whole:
                raise InputError(f"{path} is not whole, so nothing was laid out. See `woodlot bundle --check {path}`")
            place = folder / DATA
            if path.is_dir():
                place = Path(shutil.copytree(place, new / DATA))
        if home.is_dir():
            for one in sorted(place.iterdir(), key=lambda path: path.name == "place.toml"):  # a place only when whole
                one.replace(home / one.name)
        else:
            place.replace(home)
        sync_folder(home.parent)
    except OSError as error:
        raise unusable(str(error.filename or home), error, "Choose another folder.") from error
    finally:
        shutil.rmtree(new, ignore_errors=True)
    return sorted(one.name for one in home.iterdir())

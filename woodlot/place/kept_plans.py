"""Plans as they were made, a zip file a day in ``plans/``: the hand-ins a plan rested on, and what it answered.

A family that opens this year's plan beside last year's wants to know which of their own doings moved each number, and
what did not: for that the next plan needs the files of the last one, and not only its numbers. Unpacked, a kept plan is
a place. Rasters are too large to copy: their checksums are kept.

FOLDER        where they lie within a place
PARTS         hand-ins that are read together -> their tables, in the order in which they are exchanged
Kept          a plan that was kept
kept          a plan that is to be kept, from its place
keep          writes it; as_file: what it writes; check: refuses a folder of plans that is a link
last_before   the last kept plan of an earlier day
laid_out      its hand-ins as a folder
"""

import json
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from woodlot import __version__
from woodlot.columns import MAPS
from woodlot.errors import Fault
from woodlot.place import group
from woodlot.place.lying import BROUGHT, lying
from woodlot.place.packing import UNREADABLE, packed
from woodlot.place.reading import COVER_CODES, Place
from woodlot.place.settings import FILE
from woodlot.place.swapping import check_of, in_the_way, refuse, sweep
from woodlot.place.tables import find
from woodlot.place.with_care import scratch, unpacked
from woodlot.place.writing import write_files

__all__ = ["FOLDER", "PARTS", "HandIns", "Kept", "as_file", "check", "keep", "kept", "laid_out", "last_before"]

FOLDER = "plans"
#: Part -> name of a file within the place -> its bytes.
HandIns = Mapping[str, Mapping[str, bytes]]
#: The settings stand last: all that no table holds, place.toml and tables of the family's own region, is theirs.
PARTS: Mapping[str, tuple[str, ...]] = {
    "words": ("words",),
    "ground": MAPS,
    "plots": ("plots", "trees", "cores"),
    "tally": ("tally",),
    "ledger": ("ledger",),
    "pellets": ("pellets", "browse"),
    **{table: (table,) for table in ("seedlings", "counts", "bag", "winters", "builds")},
    group.FOLDER: (),
    "settings": (),
}
#: What was brought is kept for whoever unpacks a plan; no number rests on it.
_BESIDE = "brought"
_PART_OF = {table: part for part, tables in PARTS.items() for table in tables}
_PART_OF |= {group.FOLDER: group.FOLDER, Path(COVER_CODES).stem: "ground", Path(BROUGHT).stem: _BESIDE}
_ANSWERS, _ABOUT = "out/answers.json", "out/plan.json"
_NAMED = re.compile(r"\d{4}-\d{2}-\d{2}\.zip")


@dataclass(frozen=True)
class Kept:
    """A plan of a day. numbers: its first figures by name; rasters: file -> checksum; level, region: as asked."""

    day: date
    version: str
    level: float
    region: str
    numbers: Mapping[str, float | None]
    rasters: Mapping[str, str]
    hand_ins: HandIns

    @property
    def name(self) -> str:
        """Its file within the place."""
        return f"{FOLDER}/{self.day.isoformat()}.zip"

    def rests_on(self, other: "Kept") -> bool:
        """Whether both rest on the same hand-ins, asked in the same way of the same woodlot."""
        alone = {"day": self.day, "numbers": self.numbers}
        return replace(other, **alone) == self  # type: ignore[arg-type]


def kept(place: Place, level: float, numbers: Mapping[str, float | None]) -> Kept:
    """The plan of a place as it is to be kept."""
    rasters = {path.name: check_of(path) for path in place.rasters.values()}
    return Kept(place.as_of, __version__, level, place.region.name, dict(numbers), rasters, _hand_ins(place))


def _hand_ins(place: Place) -> HandIns:
    home, read = place.folder, find(place.folder, [])
    tables = {path.name.lower() for path in read.values()}
    beside = [one.name for one in lying(home, read) if one.taken_for == "part" and one.of.lower() in tables]
    names = [path.name for path in read.values()] + beside + [FILE, COVER_CODES, BROUGHT]
    paths = {name: home / name for name in names}
    for folder in place.region.own_folders:
        paths |= {path.relative_to(folder.parent).as_posix(): path for path in folder.rglob("*")}
    paths |= {f"{group.FOLDER}/{path.name}": path for path in group.files(home)}
    return _parted({name: paths[name].read_bytes() for name in sorted(paths) if paths[name].is_file()})


def _parted(files: Mapping[str, bytes]) -> HandIns:
    out: dict[str, dict[str, bytes]] = {}
    for name, data in files.items():
        within, _, alone = name.rpartition("/")
        stem = within or alone.lower().split(".")[0]
        out.setdefault(_PART_OF.get(stem, "settings"), {})[name] = data
    return out


def keep(folder: Path, plan: Kept, answers: str, before: Kept | None) -> str:
    """Write a plan beside the place's files, over that of the same day; the file in which it is kept.

    Raises PlaceError when the disk or the folder refuses; what was kept stays whole.
    """
    check(folder)
    sweep(folder / FOLDER)
    name, data = as_file(folder, plan, answers, before)
    path = folder / name
    if data is not None and (in_the_way(path) or not path.exists() or path.read_bytes() != data):
        write_files(folder / FOLDER, {path.name: data}, _is_kept)
    return name


def as_file(folder: Path, plan: Kept, answers: str, before: Kept | None) -> tuple[str, bytes | None]:
    """The file in which a plan is to be kept, and its content; None where it is kept already.

    So is a plan that rests on the same as the last of an earlier day, ``before``.
    """
    if before is not None and plan.rests_on(before) and not (folder / plan.name).exists():
        return before.name, None
    about = {"day": plan.day.isoformat()}
    about |= {name: getattr(plan, name) for name in ("version", "level", "region", "numbers", "rasters")}
    files = {name: data for part in plan.hand_ins.values() for name, data in part.items()}
    files |= {_ANSWERS: answers.encode(), _ABOUT: json.dumps(about, indent=1, ensure_ascii=False).encode()}
    return plan.name, packed(files)


def check(folder: Path) -> None:
    """PlaceError where plans would be kept through a link, behind which another folder may lie."""
    if (folder / FOLDER).is_symlink() and (what := in_the_way(folder / FOLDER, folder=True)):
        refuse([Fault(FOLDER, None, "", *what)])


def _is_kept(path: Path) -> bool:
    try:
        return bool(_opened(path))
    except UNREADABLE:
        return False


def last_before(folder: Path, day: date) -> tuple[Kept | None, tuple[str, ...]]:
    """The last plan kept of an earlier day, and the files that were passed over since nothing can be read of them."""
    home, passed = folder / FOLDER, list[str]()
    try:
        names = sorted((p.name for p in home.iterdir() if _NAMED.fullmatch(p.name)), reverse=True)
    except (FileNotFoundError, NotADirectoryError):
        return None, ()
    except OSError:  # the folder is closed to the reader
        return None, (FOLDER,)
    for name in (one for one in names if one < day.isoformat()):
        try:
            return _opened(home / name), tuple(passed)
        except UNREADABLE:
            passed.append(f"{FOLDER}/{name}")
    return None, tuple(passed)


def _opened(path: Path) -> Kept:
    """A kept plan from its file. Raises one of ``UNREADABLE`` when it is not whole."""
    files = {}
    with scratch() as folder:
        for inner, file in unpacked(path, folder, lambda _: True).items():
            name = inner.as_posix()
            if inner.is_absolute() or ".." in inner.parts or ":" in name:
                raise ValueError(name)
            files[name] = file.read_bytes()
    about = json.loads(files.pop(_ABOUT))
    del files[_ANSWERS]
    return Kept(
        day=date.fromisoformat(path.stem),
        version=str(about["version"]),
        level=float(about["level"]),
        region=str(about["region"]),
        numbers={str(key): None if value is None else float(value) for key, value in about["numbers"].items()},
        rasters={str(name): str(check) for name, check in about["rasters"].items()},
        hand_ins=_parted(files),
    )


@contextmanager
def laid_out(hand_ins: HandIns) -> Iterator[Path]:
    """A passing folder with hand-ins as they stood in a place."""
    with scratch() as folder:
        for part in hand_ins.values():
            for name, data in part.items():
                (folder / name).parent.mkdir(parents=True, exist_ok=True)
                (folder / name).write_bytes(data)
        yield folder

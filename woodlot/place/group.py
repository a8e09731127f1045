"""The files that families who share the deer hand one another: outline, acres, and kills by fall. Nothing else.

FOLDER      where those of the neighbors lie within a place
Neighbors   what was read of them
files       those that lie there; is_handed_out: whether a file is such a one
neighbors   reads and checks all of them

hand_out.py writes one's own. What else stands in a file is not read.
"""

import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from math import isfinite
from pathlib import Path
from typing import Any

import pandas as pd

from woodlot.column_kinds import FIRST_DAY
from woodlot.deer.bag import fall_of
from woodlot.deer.group import Family, kills, overlaps
from woodlot.errors import Fault, PlaceError
from woodlot.place.checked import Sheet
from woodlot.place.mapfiles import geojson_rows, read_geojson
from woodlot.place.remedies import short
from woodlot.place.shapes import GEOJSON, checked_shapes
from woodlot.place.with_care import data_of
from woodlot.say import group as words
from woodlot.trade import closest

__all__ = ["FOLDER", "HANDED", "OF_A_FALL", "Neighbors", "files", "is_handed_out", "neighbors"]

FOLDER = "group"
#: All that stands in a file beside the outline, and in one of its kills.
HANDED, OF_A_FALL = ("family", "acres", "kills"), ("fall", "does", "bucks")
#: An outline's acres may differ from those written beside it by this share; more is another outline.
OFF = 0.02
_AGAIN = "Ask for a file as  woodlot group --hand-out  writes it."


@dataclass(frozen=True)
class Neighbors:
    """families: those that agreed, of their files; not_agreed: names in files or listed that did not; no_file: names
    that agreed and have none.
    """

    families: tuple[Family, ...] = ()
    not_agreed: tuple[str, ...] = ()
    no_file: tuple[str, ...] = ()


def is_handed_out(path: Path) -> bool:
    """Whether a GeoJSON is what a family hands its neighbors. PlaceError when it cannot be read."""
    return set(HANDED) <= set(geojson_rows(path)[2].columns)


def neighbors(
    home: Path,
    listed: Sequence[dict[str, Any]],
    own: Family | None,
    own_name: str,
    as_of: date,
    faults: list[Fault],
    notes: list[str],
) -> Neighbors:
    """Read the files of the neighbors; faults of all of them are appended.

    listed: entries of [[group]]; own: one's own ground, None where it could not be read; kills of falls after the one
    of ``as_of`` do not count yet.
    """
    read = _read(home, own_name, fall_of(as_of), faults, notes)
    names = {one.name.casefold(): one.name for one in read}
    agreed = {one["family"].casefold() for one in listed if one["agreed"]}
    if mine := [one["family"] for one in listed if one["family"].casefold() == own_name.casefold()]:
        remedy = "This is the name of your own place; your ground is in the group as it is. Take the entry out."
        faults.append(Fault("place.toml", None, "group", mine[0], remedy))
    families = tuple(one for one in read if one.name.casefold() in agreed)
    no_file = [one["family"] for one in listed if one["agreed"] and one["family"].casefold() not in names]
    said_no = [one["family"] for one in listed if not one["agreed"]]
    unlisted = [one.name for one in read if one.name.casefold() not in {x["family"].casefold() for x in listed}]
    notes += [words.not_listed(one, closest(one, no_file)) for one in unlisted]
    notes += [words.no_file(one) for one in no_file]
    drawn = (own, *families) if own is not None else families
    for one in overlaps(drawn):
        if one.share > 0.5:
            file = f"{FOLDER}: {' and '.join(one.names)}"
            faults.append(
                Fault(file, None, "", words.overlap(one), "Two families cannot both own it: one outline is wrong.")
            )
        else:
            notes.append(words.drawn_twice(one))
    return Neighbors(families, tuple(sorted({*said_no, *unlisted})), tuple(no_file))


def files(home: Path) -> list[Path]:
    """Files in the folder of the neighbors, by name."""
    folder = home / FOLDER
    there = sorted(folder.iterdir()) if folder.is_dir() else []
    named = [path for path in there if not path.name.startswith((".", "~"))]
    return [path for path in named if not path.is_dir() or path.suffix.lower() in GEOJSON]


def _read(home: Path, own_name: str, fall: int, faults: list[Fault], notes: list[str]) -> list[Family]:
    """A family of each file that can be used, by name; a file that lies there twice counts once."""
    out: dict[str, tuple[str, bytes, Family]] = {}
    for path in files(home):
        name = f"{FOLDER}/{path.name}"
        if path.suffix.lower() not in GEOJSON:
            faults.append(Fault(name, None, "", f"{path.suffix or 'this'} is not read here", _AGAIN))
            continue
        with _named(name, faults):
            family = _family(path, name, fall, faults, notes)
            if family is None:
                continue
            key, data = family.name.casefold(), data_of(path)
            if key == own_name.casefold():
                remedy = "Your own ground and kills are read from your own files. Take this one out of the folder."
                faults.append(Fault(name, None, "family", family.name, remedy))
            elif key not in out:
                out[key] = name, data, family
            elif data == out[key][1]:
                notes.append(words.same_twice(out[key][0], name))
            else:
                remedy = f"It stands in {out[key][0]} too. Keep the newer of the two."
                faults.append(Fault(name, None, "family", family.name, remedy))
    return [family for _, (_, _, family) in sorted(out.items())]


@contextmanager
def _named(name: str, faults: list[Fault]) -> Iterator[None]:
    """Faults of a file that cannot be used, by its name within the place."""
    try:
        yield
    except PlaceError as error:
        faults += [replace(one, file=name) for one in error.faults]
    except OSError as error:
        faults.append(Fault(name, None, "", error.strerror or str(error), "Close programs that hold the file."))


def _family(path: Path, name: str, fall: int, faults: list[Fault], notes: list[str]) -> Family | None:
    """The family of a file; None, with its faults, where anything in it is wrong."""
    _, features, _ = geojson_rows(path)
    if len(features) != 1:
        faults.append(
            Fault(name, None, "", f"{len(features)} outlines", f"One file is one family in one outline. {_AGAIN}")
        )
        return None
    before, held = len(faults), features[0].get("properties") or {}
    known = {key: held.get(key) for key in HANDED}
    if more := [key for key in held if key not in HANDED]:
        notes.append(words.holds_more(name, [short(str(one)) for one in more]))
    called = known["family"].strip() if isinstance(known["family"], str) else ""
    if not called:
        faults.append(
            Fault(name, None, "family", _shown(known["family"]), "Whose ground is it? Write the family's name.")
        )
    outline = _outline(path, name, faults, notes)
    _check_acres(known["acres"], outline, name, faults)
    by_fall = _kills(known["kills"], name, faults)
    if len(faults) > before or outline is None:
        return None
    by_fall = {year: taken for year, taken in by_fall.items() if year <= fall}
    return Family(called, _acres(outline), outline, kills(by_fall))


def _acres(outline: Any) -> float:
    from woodlot.land.parcels import acres_geodesic

    return float(acres_geodesic(outline))


def _outline(path: Path, name: str, faults: list[Fault], notes: list[str]) -> Any:
    frame = read_geojson(path)
    if frame.crs is None:
        faults.append(
            Fault(name, None, "", "no coordinate system", f"It has to be in longitude and latitude. {_AGAIN}")
        )
        return None
    sheet, wrong = Sheet("parcels", name, pd.DataFrame(index=frame.index), frame.index.to_numpy() + 1), list[Fault]()
    shapes = checked_shapes(sheet, frame.geometry, True, wrong, notes)
    faults += [replace(one, row=None) for one in wrong]
    return None if shapes is None or wrong else shapes.iloc[0]


def _check_acres(acres: Any, outline: Any, name: str, faults: list[Fault]) -> None:
    if not _number(acres) or acres <= 0:
        faults.append(Fault(name, None, "acres", _shown(acres), "Write the acres of the outline, a number above 0."))
    elif outline is not None and abs(_acres(outline) / acres - 1.0) > OFF:
        remedy = f"Its outline holds {_acres(outline):,.1f} acres: the one or the other was changed. {_AGAIN}"
        faults.append(Fault(name, None, "acres", f"{acres:g}", remedy))


def _kills(written: Any, name: str, faults: list[Fault]) -> dict[int, tuple[float, float]]:
    """Fall -> (does, bucks). Some mapping programs save a list as text."""
    if isinstance(written, str):
        try:
            written = json.loads(written)
        except (ValueError, RecursionError):
            written = None
    if not isinstance(written, list) or not all(isinstance(one, dict) for one in written):
        faults.append(Fault(name, None, "kills", _shown(written), f"A list is wanted, [] for none taken. {_AGAIN}"))
        return {}
    out: dict[int, tuple[float, float]] = {}
    for number, one in enumerate(written, 1):
        at, before = f"kills, number {number}", len(faults)
        fall = one.get("fall")
        if "fall" not in one:
            faults.append(Fault(name, None, at, _shown(one), "Of which fall? Write fall, the year the season began."))
        elif not _whole(fall) or not FIRST_DAY.year <= fall <= 2200:
            faults.append(Fault(name, None, f"{at}, fall", _shown(fall), "Write the year the season began, as 2026."))
        elif fall in out:
            faults.append(
                Fault(name, None, f"{at}, fall", _shown(fall), "This fall stands twice. Keep one of the two.")
            )
        for sex in ("does", "bucks"):
            if not _whole(one.get(sex)):
                faults.append(
                    Fault(name, None, f"{at}, {sex}", _shown(one.get(sex)), "Write a whole number, 0 for none.")
                )
            elif one[sex] < 0:
                faults.append(Fault(name, None, f"{at}, {sex}", _shown(one[sex]), "Cannot be negative."))
        if more := [key for key in one if key not in OF_A_FALL]:
            faults.append(Fault(name, None, at, short(", ".join(map(str, more))), f"There are {', '.join(OF_A_FALL)}."))
        if len(faults) == before:
            out[int(fall)] = float(one["does"]), float(one["bucks"])
    return out


def _number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and isfinite(value)


def _whole(value: Any) -> bool:
    return _number(value) and value == int(value)


def _shown(value: Any) -> str:
    if value is None:
        return "missing"
    return short(value.strip() if isinstance(value, str) else json.dumps(value)) or "empty"

"""A new place: an empty folder with every heading ready, or a copy of a sample."""

import os
import textwrap
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import woodlot
from woodlot import columns
from woodlot.errors import InputError
from woodlot.place.cover_words import words_of
from woodlot.place.lists import LISTS
from woodlot.place.remedies import unusable
from woodlot.place.settings import SETTINGS
from woodlot.place.writing import write_files
from woodlot.region import Region, names, shipped
from woodlot.species import either

__all__ = ["laid_out", "samples", "start"]

#: What a new place.toml shows as an example, commented out where a family has to decide.
#: Species of a kind from which on their number is told in place of their names.
MANY = 20
_EXAMPLES: dict[str, Any] = {
    "lon": -89.35,
    "lat": 46.08,
    "log_rule": "international_quarter",
    "solid_cuft_per_cord": 79,
    "level": 0.9,
    "division": "210",
    "state": "wisconsin",
    "cord_breaks": [13, 18, 24],
    "pieces": [{"product": "post", "number": 14, "length_ft": 7, "top_in": 5, "lasting": True}],
    "firewood_of": "red oak; sugar maple",
    "burn_logs": True,
    "woodpile_teaches": False,
    "chip_stems": True,
    "clear": ["shed"],
    "product": "post",
    "purpose": "goat fence",
    "by": date(2027, 9, 1),
    "asked": date(2026, 11, 1),
    "often": "once",
    "wood": "any",
    "edges": "counted twice",
    "answer": "this winter",
    "hours": 10,
    "within_pct": 25,
    "use": True,
    "canopy_year": 2024,
    "positions_ft": 10,
    "by_picture": False,
    "goal": "hold",
    "neighbors_join": True,
    "weapon": "bow",
    "preference": {"sugar maple": "second"},
    "neighbors": [{"from_fall": 2024, "does_per_sqmi": 0.5, "bucks_per_sqmi": 2}],
    "leaf_off": date(2025, 10, 25),
    "dry_on": date(2025, 10, 1),
}
_LIST_EXAMPLES: dict[tuple[str, str], Any] = {
    ("wants", "number"): 200,
    ("builds", "name"): "trellis",
    ("builds", "number"): 2,
    ("builds", "purpose"): "grapes",
    ("leave", "cover"): "spruce and fir",
    ("leave", "sqft"): 90,
    ("prism", "factor"): 10,
    ("prism", "width_ft"): 1,
    ("prism", "distance_ft"): 32.4,
    ("prism", "doubtful_taped"): False,
    ("group", "family"): "Smith",
    ("group", "agreed"): True,
}
_FIRST = """\
# A place: one family's woods. Lines that begin with # are not read; take the # away to say something.
# What belongs in the tables beside this file is told in columns.txt.

name = "{name}"

# {regions}
region = "{region}"
"""
_MAP_WORDS = """\
Draw the outlines in a mapping program (or on a web map that saves KML) and save them in this folder as .geojson, .gpkg,
.kml or a zipped Shapefile, with the columns below. parcels is needed, stands for anything about wood, features only if
there is water, a house place, a road or a landing. A KML shape whose only column is its name gives its id by that name.
"""
_TABLE_WORDS = """\
Fill in with a spreadsheet and save as CSV (or XLSX). Row 1 is the heading. Leave a cell empty when it was not measured:
empty is not zero. A table you do not use may stay empty or be taken away. Write every plot you visited into plots.csv,
also those without a tree, and every deer plot into pellets.csv, also those without a group.
"""


def samples() -> dict[str, Path]:
    """Sample places that are there: in sample_parcels/ of the current folder, in the package, or beside its source."""
    places: dict[str, Path] = {}
    package = Path(woodlot.__file__).parent
    for home in (Path("sample_parcels"), package / "sample_parcels", package.parent / "sample_parcels"):
        if home.is_dir():
            for toml in sorted(home.glob("*/place.toml")):
                places.setdefault(toml.parent.name, toml.parent)
    return places


def start(folder: str | Path, sample: str | None = None, region: str = "lake_states") -> list[str]:
    """Lay out an empty place, or a copy of a sample, in a folder that is new or empty.

    Parameters
    ----------
    folder
        Where; made if it is not there.
    sample
        Name of a sample place to copy; None for an empty place.
    region
        Region written into a new place.toml.

    Returns
    -------
    Names of the files written.

    A folder that holds files but no place.toml gets that and columns.txt; nothing else in it is written or changed.

    Raises InputError when the folder is a place already, when a sample is to go into a folder that holds anything,
    or when there is no such sample; PlaceError when the disk refuses.
    """
    home = Path(folder)
    source = _sample(sample) if sample is not None else None
    try:
        full = home.exists() and (not home.is_dir() or any(home.iterdir()))
        if full and (not home.is_dir() or source is not None):
            raise InputError(f"{folder} is not empty; name a new folder, since nothing there is written over")
        if full and os.path.lexists(home / "place.toml"):
            raise InputError(f"there is a place.toml in {folder} already, and nothing there is written over")
    except OSError as error:
        raise unusable(str(folder), error, "Choose another folder.") from error
    files = laid_out(home, region, full) if source is None else _copied(source)
    write_files(home, files)
    return sorted({name.split("/")[0] for name in files}) if source is not None else list(files)


def _copied(source: Path) -> dict[str, bytes | str]:
    """Name within the place -> content of every file of a sample, but what was made from it and what is hidden."""
    names = {path: path.relative_to(source) for path in sorted(source.rglob("*")) if path.is_file()}
    return {
        name.as_posix(): path.read_bytes()
        for path, name in names.items()
        if not any(part in ("out", "plans", "__pycache__") or part.startswith(".") for part in name.parts)
    }


def _sample(name: str) -> Path:
    there = samples()
    if name not in there:
        raise InputError(f"there is no sample {name!r}; there are {', '.join(there)}")
    return there[name]


def laid_out(
    home: Path, region: str, full: bool = False, point: tuple[float, float] | None = None
) -> dict[str, bytes | str]:
    """Name -> text of the files of a new place, without tables where the folder holds files (``full``) already.

    point: (longitude, latitude) of the house, where it is known. What is there is left out.
    """
    known = shipped(region)
    files: dict[str, bytes | str] = {"place.toml": _toml_text(home.resolve().name, region, point)}
    if not (home / "columns.txt").exists():
        files["columns.txt"] = _columns_text(known)
    for table in columns.TABLES:
        if not full and table not in (*columns.MAPS, "ledger"):
            files[f"{table}.csv"] = ",".join(columns.header(table)) + "\n"
    return files


def _toml_key(key: str) -> str:
    return key if key.replace("_", "").isalnum() else f'"{key}"'


def _toml_value(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return "[" + ", ".join(_toml_value(one) for one in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_toml_key(key)} = {_toml_value(one)}" for key, one in value.items()) + " }"
    return f'"{value}"' if isinstance(value, str) else value.isoformat() if isinstance(value, date) else str(value)


def _toml_text(name: str, region: str, point: tuple[float, float] | None = None) -> str:
    plain = "".join(letter for letter in name if letter.isprintable() and letter not in '"\\') or "Our woods"
    there = "The region whose tables are used: " + ", ".join(n for n in names() if n != "base") + "."
    lines = [_FIRST.format(name=plain, region=region, regions=there)]
    listed = columns.listing(SETTINGS)
    for part, model in SETTINGS.items():
        lines.append(f"# {model.__doc__}\n[{part}]")
        for row in (one for one in listed if one["table"] == part):
            example = _EXAMPLES.get(row["column"], "")
            value, mark = _toml_value(example) if example != "" else "...", "# "
            if part == "home" and point and row["column"] in ("lon", "lat"):
                value, mark = f"{point[row['column'] == 'lat']:.6f}", ""
            lines.append(f"{mark}{row['column']} = {value}".ljust(44) + f"  # {_meaning(row)}".rstrip())
        lines.append("")
    return "\n".join([*lines, *_lists_text()])


def _lists_text() -> list[str]:
    """Commented examples of parts that stand as often as the family likes."""
    lines, listed = [], columns.listing(LISTS)
    for part, model in LISTS.items():
        lines += [f"# {model.__doc__}", f"# [[{part}]]"]
        for row in (one for one in listed if one["table"] == part):
            example = _LIST_EXAMPLES.get((part, row["column"]), _EXAMPLES.get(row["column"], ""))
            value = _toml_value(example) if example != "" else "..."
            lines.append(f"# {row['column']} = {value}".ljust(44) + f"  # {_meaning(row)}".rstrip())
        lines.append("")
    return lines


def _meaning(row: Mapping[str, Any]) -> str:
    words = row["meaning"]
    if row["type"] not in ("text", "number", "whole number", "yes or no", "date", "list"):
        words += f": {row['type']}"
    return words + (f", {row['unit']}" if row["unit"] else "")


def _limits(row: Mapping[str, Any]) -> str:
    if row["low"] is None or row["type"] == "date":
        return ""
    return f"{row['low']:g} to {row['high']:g}"


def _columns_text(region: Region) -> str:
    lines = ["What the tables of this place hold", "==================================", "", _TABLE_WORDS, _MAP_WORDS]
    listed = columns.listing()
    for table, model in columns.TABLES.items():
        if table == "ledger":
            continue
        file = f"{table} (a map file)" if table in columns.MAPS else f"{table}.csv"
        lines += ["", f"{file}: {model.__doc__}", ""]
        for row in (one for one in listed if one["table"] == table):
            must = {"always": "fill in always", "heading": "keep the column"}.get(row["filled"], "")
            kind = row["type"] if row["type"] in ("whole number", "yes or no", "date") else ""
            metric = f"or {row['metric']}" if row["metric"] else ""
            tail = "; ".join(word for word in (_limits(row), kind, metric, must) if word)
            words = _meaning(row) + (f" ({tail})" if tail else "")
            filled = textwrap.wrap(words, 92, subsequent_indent=" " * 24)
            lines += [f"  {row['column']:<20}  {filled[0]}", *filled[1:]]
    lines += ["", "Covers of stands, with words that are read as each; your own words go into words.csv.", ""]
    for cover, said in words_of(region).items():
        also = f": {', '.join(said)}" if said else ""
        lines += textwrap.wrap(f"{cover}{also}", 110, initial_indent="  ", subsequent_indent="      ")
    return "\n".join([*lines, *_species_lines(region)]) + "\n"


def _species_lines(region: Region) -> list[str]:
    """The species of a region, the kinds of several species, and the words between which a family has to choose."""
    known = region.species
    listed = [name for name in known.listed if name not in known.without_bark]
    kinds = [name for name in listed if len(known.members(name)) > 1]
    whose = "the general list" if region.name == "base" else region.name
    lines = [
        "",
        f"Species of {whose}; nicknames such as ironwood, and codes, are understood:",
        "",
    ]
    one = ", ".join(name for name in listed if name not in kinds)
    lines += textwrap.wrap(one, 110, initial_indent="  ", subsequent_indent="  ")
    lines += [
        "",
        "Where a tree is not known so well, its kind: it may be any of these species, and ranges are wider:",
        "",
    ]
    for name in kinds:
        of = known.members(name)
        told = ", ".join(of) if len(of) < MANY else f"any of {len(of)} species"
        lines += textwrap.wrap(f"{name}: {told}", 110, initial_indent="  ", subsequent_indent="    ")
    asked = [f"{word}: {either(of)}" for word, of in sorted(known.asked.items()) if not set(of) <= known.unnamed]
    lines += ["", "Words that mean more than one kind here; write which, or say it once in words.csv:", ""]
    return [*lines, *textwrap.wrap("; ".join(asked), 110, initial_indent="  ", subsequent_indent="  ")]

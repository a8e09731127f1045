"""What a verb asks of a place without reading all of it, so that a slip in one table does not stop the others.

read_ledger   the ledger alone
ledger_lines  its lines as they stand in the file, also those that need mending
own_settings  place.toml alone, with its region
choices       what place.toml and its region choose
known_ids     parcel and stand ids
outlines      parcels and stands as they are drawn, where they can be read
kinds_of_trees  the kind of tree that a word means in a place
wishes_broken lines of the ledger that break a wish, where maps and ledger can be read; broken_by: of lines just written
"""

import os
import warnings as python_warnings
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.columns import MAPS
from woodlot.errors import Fault, InputError, PlaceError
from woodlot.ledger.lines import HEADING, text_frame
from woodlot.place import cross
from woodlot.place.cells import read_cells
from woodlot.place.cover_words import name_covers
from woodlot.place.naming import told_species
from woodlot.place.sealed import LEDGER, ledger_cells
from woodlot.place.settings import Settings, read_settings
from woodlot.place.tables import find, map_frame, read_all
from woodlot.place.tabular import Cells
from woodlot.place.whole_parcels import whole_parcels
from woodlot.place.wished import anything_wished, broken_wishes, check_wishes

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = [
    "a_place",
    "broken_by",
    "choices",
    "kinds_of_trees",
    "known_ids",
    "ledger_lines",
    "outlines",
    "own_settings",
    "read_ledger",
    "wishes_broken",
]


def read_ledger(folder: str | Path) -> tuple[pd.DataFrame, list[str]]:
    """The ledger alone (the frame of ``Place.ledger``) and remarks on its lines.

    Raises PlaceError with the faults of lines typed by hand.
    """
    faults: list[Fault] = []
    notes: list[str] = []
    sheet = read_cells("ledger", ledger_lines(folder, notes), faults, notes)
    if faults:
        raise PlaceError(faults)
    return sheet.frame, notes


def ledger_lines(folder: str | Path, notes: list[str] | None = None) -> Cells:
    """Cells of the ledger's lines as text, and their rows; remarks on them are appended to ``notes``.

    Raises PlaceError when ledger or seal cannot be read.
    """
    return ledger_cells(a_place(folder) / LEDGER, [] if notes is None else notes)


def choices(folder: str | Path) -> dict[str, Any]:
    """What place.toml and its region choose (log_rule, solid_cuft_per_cord, level, division, cord_breaks).

    Raises PlaceError when place.toml has faults.
    """
    return own_settings(folder).choices


def own_settings(folder: str | Path) -> Settings:
    """What place.toml says, with its region. Raises PlaceError when it has faults."""
    faults: list[Fault] = []
    told = read_settings(a_place(folder), None, faults, [])
    if faults:
        raise PlaceError(faults)
    return told


def a_place(folder: str | Path) -> Path:
    """The folder of a place. InputError where there is no place.toml in it."""
    if not os.path.lexists(Path(folder) / "place.toml"):
        raise InputError(f"there is no place.toml in {Path(folder).resolve()}; name the folder of your place")
    return Path(folder)


def kinds_of_trees(folder: str | Path) -> Callable[[str], tuple[str, str]]:
    """What a word means for a kind of tree, by the family's words and the region's list, or what would be right."""
    region = own_settings(folder).region
    paths = {table: path for table, path in find(Path(folder), []).items() if table == "words"}
    return told_species(read_all(paths, [], [], False, region=None, tables=())[0], region)


def known_ids(folder: str | Path) -> dict[str, list[str]] | None:
    """Parcel and stand ids of a place ("parcels", "stands" -> ids), None when the maps cannot be read as they are.

    A parcel stands among the stands too: until stands are drawn in it, it is one.
    Only the two maps are read, so that a note can be written while some other table needs mending.
    """
    paths = _map_paths(a_place(folder))
    sheets, _, unread = _read_maps(paths, [], draw=False)
    if unread or "parcels" not in paths:
        return None
    parcels, drawn = (
        [str(one) for one in sheets[table].frame[column].dropna()]
        for table, column in (("parcels", "parcel_id"), ("stands", "stand_id"))
    )
    return {"parcels": parcels, "stands": [*drawn, *(one for one in parcels if one not in drawn)]}


def outlines(folder: str | Path) -> "dict[str, gpd.GeoDataFrame]":
    """Parcels and stands that are there ("parcels", "stands" -> frame); none when a shape of them needs mending."""
    faults: list[Fault] = []
    paths = _map_paths(Path(folder))
    sheets, shapes, unread = _read_maps(paths, faults, draw=True)
    whole = not unread and not any(fault.column == "geometry" for fault in faults)
    return {table: map_frame(sheets[table], shapes.get(table)) for table in paths} if whole else {}


def wishes_broken(folder: str | Path, as_of: date, book: pd.DataFrame | None = None) -> dict[int, str]:
    """Line of the ledger -> what is to be said of it, where it notes wood felled against a wish.

    book: the ledger, where it was read already. Nothing where nothing is wished, and where a map or the ledger needs
    mending: ``walk`` says that.
    """
    faults: list[Fault] = []
    settings = read_settings(a_place(folder), None, faults, [])
    paths = {table: path for table, path in find(Path(folder), []).items() if table in (*MAPS, "words")}
    first = read_all(paths, [], [], False, region=None, tables=MAPS)[0]
    if faults or not anything_wished({name: first[name].frame for name in MAPS}):
        return {}
    with python_warnings.catch_warnings():
        python_warnings.simplefilter("ignore")
        sheets, shapes, unread = read_all(paths, faults, [], region=settings.region, tables=MAPS)
    sheets["stands"] = name_covers(sheets, settings.region, faults, [])
    whole_parcels(sheets, shapes, unread, [])
    for table in ("parcels", "stands"):
        faults += cross.twice(sheets[table])
    check_wishes(sheets, shapes, as_of, faults, [])
    if faults or unread or "parcels" not in paths:
        return {}
    maps = {name: map_frame(sheets[name], shapes.get(name)) for name in MAPS}
    with suppress(InputError, PlaceError):  # a stand that names no parcel of the map; a ledger that needs mending
        return broken_wishes(maps, read_ledger(folder)[0] if book is None else book, as_of, settings.region)
    return {}


def broken_by(folder: str | Path, as_of: date, lines: Sequence[Sequence[str]]) -> dict[int, str]:
    """The same of lines (cells under ``ledger.HEADING``) that were just written; the others are not read."""
    if not lines:
        return {}
    cells = Cells(LEDGER, text_frame(lines, HEADING), np.zeros(len(lines), dtype=int))
    return wishes_broken(folder, as_of, read_cells("ledger", cells, [], []).frame)


def _map_paths(home: Path) -> dict[str, Path]:
    return {table: path for table, path in find(home, []).items() if table in ("parcels", "stands")}


def _read_maps(paths: dict[str, Path], faults: list[Fault], draw: bool) -> Any:
    """The maps as far as they are there (``tables.read_all``); faults are appended."""
    with python_warnings.catch_warnings():
        python_warnings.simplefilter("ignore")
        return read_all(paths, faults, [], draw, region=None, tables=("parcels", "stands"))

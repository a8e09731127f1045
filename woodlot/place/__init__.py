"""The family's folder: the only chapter that reads and writes their files.

reading.py       read(folder) -> Place, or PlaceError with every fault of every file
single_files.py  what a verb asks without reading all: the ledger, choices, ids, outlines
settings.py      place.toml; settings_together.py: its keys that hang on one another
own_region.py    the tables of a region of the family's own
tabular.py       CSV and XLSX -> cells
cells.py         cells of a table -> numbers, days, yes and no, checked against woodlot.columns
checked.py       a table while it is checked
naming.py        species as they are written -> plain common names; cover_words.py: covers -> those of the region;
                 tree_words.py: words on a tree
visits.py        plots measured more than once
cross.py         checks that need more than one cell: ids that do not exist, ids given twice, more browsed than stems
wished.py        what the family wishes of its ground, checked
doubts.py        what no tree can be, and what looks odd; odd_trees.py: single trees beside what is usual of their kind
remedies.py      what is wrong with a cell or a file, and what would be right
group.py         the files of neighbors who share the deer; hand_out.py: one's own, for them
lying.py         every file of the folder and what it is taken for; what waits to be brought
bringing/        any file a family has -> rows of the tables
mapfiles.py      GeoJSON, GeoPackage, zipped Shapefile, KML -> shapes and attributes
shapes.py        shapes -> longitude and latitude, checked
redrawing.py     the maps alone, and written anew with other lines
starting.py      a new folder, or a copy of a sample
writing.py       tables, maps and other single files that woodlot writes; noting.py: the ledger, only ever appended to
sealed.py        the ledger as it lies there, and what its seal knows; joining.py: that of another copy joined into it
results.py       the folder of results, swapped in whole, with a list of what woodlot made in it
swapping.py      files and folders written whole beside their old ones and swapped in; what killed runs left
photos.py        photos named in the ledger
sealed.py        the ledger as it lies there, and what its seal knows; note_words.py: what is wrong with a note

Reading changes nothing in the folder.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from woodlot.place.joining import forks, join
    from woodlot.place.noting import append_note, append_notes, held
    from woodlot.place.reading import Place, in_folder, rasters, read, unread
    from woodlot.place.redrawing import maps, redraw
    from woodlot.place.results import check_results, write_results
    from woodlot.place.single_files import (
        broken_by,
        choices,
        kinds_of_trees,
        known_ids,
        ledger_lines,
        outlines,
        own_settings,
        read_ledger,
        wishes_broken,
    )
    from woodlot.place.starting import samples, start
    from woodlot.place.swapping import written
    from woodlot.place.writing import add_rows, check_free, csv_text, geopackage, write_files, write_table

_HOME = {
    "reading": ("Place", "in_folder", "rasters", "read", "unread"),
    "redrawing": ("maps", "redraw"),
    "results": ("check_results", "write_results"),
    "single_files": (
        "broken_by",
        "choices",
        "kinds_of_trees",
        "known_ids",
        "ledger_lines",
        "outlines",
        "own_settings",
        "read_ledger",
        "wishes_broken",
    ),
    "starting": ("samples", "start"),
    "joining": ("forks", "join"),
    "noting": ("append_note", "append_notes", "held"),
    "swapping": ("written",),
    "writing": ("add_rows", "check_free", "csv_text", "geopackage", "write_files", "write_table"),
}

__all__ = [
    "Place",
    "add_rows",
    "append_note",
    "append_notes",
    "broken_by",
    "check_free",
    "check_results",
    "choices",
    "csv_text",
    "forks",
    "geopackage",
    "held",
    "in_folder",
    "join",
    "kinds_of_trees",
    "known_ids",
    "ledger_lines",
    "maps",
    "outlines",
    "own_settings",
    "rasters",
    "read",
    "read_ledger",
    "redraw",
    "samples",
    "start",
    "unread",
    "wishes_broken",
    "write_files",
    "write_results",
    "write_table",
    "written",
]


def __getattr__(name: str) -> Any:
    """Open the file behind a name when it is asked for: writing a note need not load maps."""
    for file, names in _HOME.items():
        if name in names:
            return getattr(import_module(f"woodlot.place.{file}"), name)
    raise AttributeError(f"woodlot.place has no {name!r}")

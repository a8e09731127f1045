"""Words of the page that lies on top of a bundle, for whoever opens it without woodlot; and of a check of one.

PAGE, TEXT          its names
title, lead, ABOUT_*   what it says in sentences
of_file             what a file is
KINDS, UNITS ...    tables of words: what is written, what it means
whole, found        what a check found, in sentences
"""

from collections.abc import Mapping, Sequence
from pathlib import PurePosixPath
from typing import NamedTuple

from woodlot import columns, trade
from woodlot.say.words import plural

__all__ = [
    "ABOUT_CHECKING",
    "ABOUT_COPIES",
    "ABOUT_LEDGER",
    "ABOUT_MAPS",
    "ABOUT_MEASURED",
    "ABOUT_SEAL",
    "ABOUT_TABLES",
    "GLOSSARY",
    "LATER",
    "PAGE",
    "TEXT",
    "begin_with",
    "found",
    "go_on",
    "lead",
    "of_file",
    "title",
    "whole",
    "words_of_ledger",
]

PAGE, TEXT = "READ ME FIRST.html", "READ ME FIRST.txt"
_FILES = {
    "place.toml": "The settings: name, house, choices, needs, wants and wishes. Plain text.",
    "columns.txt": "What belongs into each table, as it was told when the place was begun.",
    "brought.csv": "Which files were brought in, and into which tables they went.",
    "land_cover_codes.csv": "What the codes of the land cover raster mean.",
    "ledger.seal": "One row for every line ever written into the ledger, so that a missing line is noticed.",
    "out/map.html": "The map. Open it in a browser; it needs no network.",
    "out/report.html": "The report of this day, to read and to print. It needs no network.",
    "out/report.pdf": "The report of this day, ready to print.",
    "out/answers.json": "All numbers of this day, unrounded, for programs.",
    "out/plan.gpkg": "Parcels, stands and features with their numbers, for mapping programs.",
    "out/woods.gpx": "Outlines and marks for a GPS receiver or a phone.",
    "out/woods.kml": "Outlines and marks for a globe on the screen.",
    "out/first_plots.gpx": "The walk to plots that were still to be measured.",
    "out/made_by_woodlot.sha256": "What woodlot made in this folder, with checksums.",
    "out/tables/parcels.csv": "Numbers of this day, a row a parcel.",
    "out/tables/stands.csv": "Numbers of this day, a row a stand.",
    "out/tables/species.csv": "Wood by kind of tree.",
    "out/tables/stand_table.csv": "Trees an acre by stand, kind and thickness.",
    "out/tables/trees.csv": "Every tree on the plots, with the wood worked out for it.",
    "out/tables/years.csv": "What the stands become in the years to come, cut as planned and uncut.",
    "out/tables/contacts.csv": "Which parcels touch, and how.",
    "out/tables/deer_springs.csv": "Deer by each spring's count of pellet groups.",
}
_FOLDERS = {
    "plans": "A plan as it was made on the day in its name: the files it rested on, and what it answered.",
    "group": "What a neighbor with whom the deer are shared handed over: outline, acres, deer taken.",
    "photos": "A photo. The ledger says in its column photo what it belongs to.",
    "out": "Worked out from the files of the place on this day.",
}
_RASTERS = {
    "elevation": "Height of the ground, as a grid.",
    "canopy_height": "Height of the trees, as a grid.",
    "land_cover": "What covers the ground, as a grid of codes.",
}
_ENDS = {
    (".tif", ".tiff"): "A picture or grid of the ground, placed on the map.",
    (".jpg", ".jpeg", ".png", ".heic", ".gif", ".webp", ".bmp", ".svg"): "A picture.",
    (".mp4", ".mov"): "A film.",
    (".pdf", ".doc", ".docx", ".odt", ".rtf", ".md", ".txt", ".html", ".htm", ".ppt", ".pptx", ".eml"): "A document.",
    (".geojson", ".json", ".kml", ".kmz", ".gpx", ".gpkg", ".shp", ".zip"): "A map or a walk, kept as it came.",
    (".csv", ".tsv", ".xlsx", ".xls", ".ods"): "A table, kept as it came.",
    (
        ".shx",
        ".dbf",
        ".prj",
        ".cpg",
        ".sbn",
        ".sbx",
        ".qix",
        ".tfw",
        ".ovr",
        ".xml",
    ): "Belongs to the file of its name.",
}
LATER = (
    "These sentences are of that day. Laws, seasons and the woods have changed since. Ask the state, a forester and "
    "whoever cuts for a living before you act on them."
)
ABOUT_TABLES = (
    "Row 1 of each table is its heading. An empty cell was not measured: empty is not zero. Days are written year, "
    "month, day. Text is UTF-8; cells are separated by commas.",
    "Columns of the tables in data/out/tables name their unit at the end: cords_per_ac is full cords an acre, "
    "dbh_in inches, bdft board feet. Two columns ending in _low and _high are the ends of the range of the column "
    "before them.",
)
ABOUT_LEDGER = (
    "ledger.csv is the diary of the woods: one line for each thing done or seen. Lines are added at the end and never "
    "changed. Read it in any spreadsheet, from the top.",
    "A mistake was set right by a new line. Its column corrects names the line, by number or id, whose place it takes. "
    "Leave out of every sum a line that a later line names there. A line of kind void only takes another out.",
    "The eight letters in the column check are worked out from the other cells of the line. They show when a cell was "
    "changed by hand; no person needs them to read the line.",
)
ABOUT_SEAL = (
    "Every line has an id of twelve letters, its own in every copy of the ledger. The number in the column line is "
    "only its number in this file.",
    "ledger.seal, beside it, has a row for every line that was ever written. An id that stands there, and neither in "
    "the ledger nor in a column corrects, is a line that was lost.",
    "An apostrophe before a text that begins with =, +, - or @ keeps a spreadsheet from taking it for a formula.",
)
ABOUT_MEASURED = (
    "Tables at the top of data/ are what people of these woods measured, counted and wrote down. All in data/out/ is "
    "worked out from them, with figures of books and papers where nothing was measured.",
    "The mark beside a source says how its figures came in: read (its page was seen), 2nd-hand (as another page gives "
    "it), derived, chosen (somebody decided), memory (no page was seen). A figure from memory may be wrong.",
)
ABOUT_MAPS = (
    "parcels, stands and features are maps. GeoJSON, KML and GPX hold longitude and latitude in degrees, WGS 84 "
    "(EPSG:4326); west is negative. Other map files and the grids (.tif) name their coordinate system within.",
    "Acres are measured on the curved earth from these outlines. Outlines drawn by hand or phone are no survey; the "
    "deed and a licensed surveyor say where a line runs.",
)
ABOUT_CHECKING = (
    "This folder follows an open standard for keeping records, BagIt (RFC 8493). manifest-sha256.txt has a checksum, "
    "SHA-256, for each file in data/; tagmanifest-sha256.txt has one for each file beside it.",
    "On Linux, in this folder: sha256sum -c manifest-sha256.txt. On a Mac: shasum -a 256 -c manifest-sha256.txt. On "
    "Windows, file by file: certutil -hashfile FILE SHA256, and compare. Any BagIt validator does all of it.",
    "With woodlot: woodlot bundle --check and the name of this folder or of the zip file.",
)
ABOUT_COPIES = (
    "Keep the zip file as it is and work in a copy. Keep two or three, in different houses. Sticks and disks forget "
    "after some years: copy it to a new one every five, and check the copy."
)
GLOSSARY = (
    ("full cord", "a stack of wood 4 by 4 by 8 feet, 128 cubic feet with the air between the sticks"),
    ("board foot", "sawn wood 1 inch by 12 by 12; of a log, what a rule foretells; two rules never mix in a sum"),
    ("dbh", "thickness of a tree through its bark, 4.5 feet above the ground"),
    ("basal area", "square feet of all stems cut across at 4.5 feet, mostly for an acre"),
    ("stand", "trees alike enough to be treated as one, inside one parcel"),
    ("parcel", "a piece of land with its own outline and deed"),
    ("plot", "a spot where trees, pellet groups or seedlings were counted"),
    (
        "prism",
        "a wedge of glass that says which trees count at a point; its factor: square feet an acre for each",
    ),
    ("range", "the two numbers between which the truth lies, as often as the level says"),
    ("assumptions", "a range of guesses set side by side, not measured; it has no odds"),
)


class Kind(NamedTuple):
    """A word of the ledger, its usual unit, and other words that are read as it."""

    word: str
    unit: str
    also: str


def lead(name: str, day: str) -> tuple[str, ...]:
    """The first sentences of the page."""
    return (
        f"This is what a family wrote down of {name}, as it stood on {day}: the land, the trees, the deer, what was "
        "cut and seen, and what was planned.",
        "You need no special program. The page you read and the map open in a browser, the tables in a spreadsheet, "
        "everything else in a text editor. Nothing here asks for a network.",
    )


def begin_with(files: Mapping[str, int]) -> list[tuple[str, str, str]]:
    """What to open first, of those that are there: file, what it is called, what it tells."""
    first = (
        ("out/map.html", "The map", "Where everything is."),
        ("out/report.html", "The report", "What stands, what may be cut, the deer."),
        ("ledger.csv", "The ledger", "What was done and seen, line by line."),
    )
    return [one for one in first if one[0] in files]


def of_file(name: str) -> str:
    """What a file of the place is, by its name within it."""
    path = PurePosixPath(name.lower())
    stem, end = path.name.split(".")[0], path.suffix
    if ".before" in path.name:
        what = "The ledger" if stem == "ledger" else "A file"
        return f"{what} as it was before it was written anew; kept, not read."
    if name.lower() in _FILES:
        return _FILES[name.lower()]
    if len(path.parts) == 1 and stem in columns.TABLES and (stem in columns.MAPS or end in (".csv", ".xlsx")):
        words = " ".join((columns.TABLES[stem].__doc__ or "").split()).replace("`", "")
        return f"{'A map. ' if stem in columns.MAPS else ''}{words}"
    if len(path.parts) > 1 and path.parts[0] in _FOLDERS:
        return _FOLDERS[path.parts[0]]
    if end in (".tif", ".tiff") and stem in _RASTERS:
        return _RASTERS[stem]
    if path.name == "region.toml" or (len(path.parts) > 1 and end == ".csv"):
        return "Figures of the family's own, which go before those of the books."
    return next((words for ends, words in _ENDS.items() if end in ends), "A file of the family's, kept as it came.")


def words_of_ledger() -> list[Kind]:
    """Kinds of lines, with usual units and other words for them."""
    units = {**{key: word.many for key, word in trade.UNITS.items()}, "": ""}
    return [Kind(key, units[word.unit], ", ".join(word.also)) for key, word in trade.LEDGER_KINDS.items()]


def go_on(name: str, asked: str) -> tuple[str, ...]:
    """How woodlot takes the record up again; ``asked``: options of the command by which it was made."""
    return (
        "Who has woodlot (a free program for Python) goes on from here. In a terminal: woodlot start my_woods --from "
        f"{name}.zip lays everything out as a new place, after checking it. woodlot plan my_woods{asked} gives the "
        "numbers above again.",
    )


def title(name: str) -> str:
    """The title of the page."""
    return f"{name}: the record"


def whole(files: int) -> str:
    """That nothing is wrong."""
    return f"Whole: {plural(files, 'file')}, each as it was handed on, none missing, none added."


def found(missing: Sequence[str], changed: Sequence[str], added: Sequence[str], wrong: Sequence[str]) -> list[str]:
    """What a check found, a line a file."""
    lines = [f"Missing: {name}" for name in missing] + [f"Changed: {name}" for name in changed]
    return [*wrong, *lines, *(f"Added since: {name}" for name in added)]

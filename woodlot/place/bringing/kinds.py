"""Which table a layer is: by what stands over its columns, its shapes, and the names of file, layer and folder."""

from collections.abc import Collection

import pandas as pd

from woodlot import columns
from woodlot.column_kinds import cell_type
from woodlot.place.bringing.headings import Headings, Match, plain_words
from woodlot.place.bringing.model import Layer

__all__ = ["matched", "named_table", "table_of"]

_NUMBER = r"\s*[-+]?\d[\d.,/ ]*\D{0,3}\s*"
#: A share of cells so small that it says nothing of the column.
_FEW = 0.2
#: Columns that only one table has, or that tell it from others; all of a group must be there. In order of trial.
_TELLING: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("cores", ("species", "dbh_in", "years", "growth_in")),
    ("browse", ("stems", "browsed")),
    ("pellets", ("groups",)),
    ("seedlings", ("species", "under_1ft")),
    ("seedlings", ("species", "from_1_to_3ft")),
    ("counts", ("does", "fawns")),
    ("counts", ("method", "bucks")),
    ("winters", ("winter", "points")),
    ("winters", ("date", "least_f")),
    ("winters", ("date", "snow_in")),
    ("bag", ("year", "sex_age")),
    ("trees", ("plot_id", "species")),
    ("tally", ("species", "dbh_in")),
    ("plots", ("plot_id", "baf_sqft_per_ac")),
    ("plots", ("plot_id", "radius_ft")),
    ("plots", ("plot_id", "stand_id")),
    ("plots", ("plot_id", "lon", "lat")),
)
#: Headings that may number anything.
_BARE = ("no", "nr", "number", "id", "name")
#: Words in the names of files, layers and sheets.
_NAMED = {
    "stands": ("stands", "stand", "covers", "cover", "types", "timber types", "woods types"),
    "parcels": (
        "parcels",
        "parcel",
        "property",
        "boundary",
        "boundaries",
        "our land",
        "land",
        "tax parcel",
        "tax",
        "tract",
        "tracts",
        "deed",
        "ownership",
        "lot",
        "lots",
        "forty",
        "outline",
        "outlines",
        "perimeter",
        "line fence",
    ),
    "plots": ("plots", "plot", "points", "sample points"),
    "trees": ("trees", "cruise", "cruise trees", "plot trees", "inventory"),
    "tally": ("tally", "marked", "house site", "site", "clearing", "stem list", "mark"),
    "cores": ("cores", "core", "increment", "rings"),
    "pellets": ("pellets", "pellet", "droppings"),
    "browse": ("browse", "browsing"),
    "seedlings": ("seedlings", "seedling", "regen", "regeneration"),
    "counts": ("counts", "camera", "cameras", "sightings"),
    "bag": ("bag", "harvest", "deer taken", "deer log", "kills"),
    "winters": ("winters", "winter", "snow", "weather"),
    "features": ("features", "waypoints", "streams", "stream", "roads", "road", "trails", "trail", "water", "lakes"),
}


def named_table(name: str) -> str:
    """The table whose word stands in a name, the longest word first; "" for none."""
    plain = f" {plain_words(name.rsplit('.', 1)[0] if '.' in name[-9:] else name)} "
    words = [(word, table) for table, named in _NAMED.items() for word in named if f" {word} " in plain]
    return max(words, key=lambda one: len(one[0]))[1] if words else ""


def matched(layer: Layer, table: str, known: Headings, leave: Collection[str] = ()) -> dict[str, Match]:
    """Heading of a layer -> what it means in a table, by its words and by what stands under it; of two that mean the
    same the first counts. leave: headings that are spoken for.
    """
    ways = {str(h): known.candidates(str(h), table, layer.cut) for h in layer.frame.columns if str(h) not in leave}
    out: dict[str, Match] = {}
    taken: set[str] = set()
    exact = [h for h, named in ways.items() if named and plain_words(h) == plain_words(named[0].column)]
    for heading in [*exact, *ways]:
        fits = [m for m in ways[heading] if m.own not in taken and _fits(layer.frame[heading], m.own, table)]
        if fits and heading not in out:
            out[heading] = fits[0]
            taken.add(fits[0].own)
    return {heading: out[heading] for heading in ways if heading in out}


def _fits(text: pd.Series, column: str, table: str) -> bool:
    """Whether what stands under a heading could stand in a column: words are no numbers, numbers are no species."""
    filled = text[text.ne("")]
    if not len(filled):
        return True
    numbers = filled.str.fullmatch(_NUMBER).mean()
    if column == "species":
        return bool(numbers < _FEW)
    words = filled.str.fullmatch(r"[A-Za-z][A-Za-z .,'/-]{2,}").mean()
    if column == "tree" or cell_type(columns.TABLES[table].model_fields[column])[1] in (int, float):
        return bool(words < 1 - _FEW)
    return True


def table_of(layer: Layer, known: Headings) -> tuple[str, str]:
    """The table of a layer without shapes, and how sure: "sure", "guess" or "" (no table)."""
    called = named_table(layer.name) or named_table(layer.file)
    fits: list[str] = []
    for table, need in _TELLING:
        found = {match.own for match in matched(layer, table, known).values()}
        if found.issuperset(need) and table not in fits:
            fits.append(table)
    if {"trees", "tally"} <= set(fits):
        fits.remove("tally" if _in_plots(layer, known) else "trees")
    if called in fits and called != "trees":
        return called, "sure"
    if fits and fits[0] == "tally":
        marked = {"mark", "tree"} & {match.own for match in matched(layer, "tally", known).values()}
        return "tally", "sure" if marked or called == "tally" else "guess"
    if fits:
        return fits[0], "sure"
    return called if called not in ("parcels", "stands", "features") else "", "guess" if called else ""


def _in_plots(layer: Layer, known: Headings) -> bool:
    """Whether trees stand under plots: the heading speaks of plots, or a number stands on several rows."""
    head = next(head for head, match in matched(layer, "trees", known).items() if match.own == "plot_id")
    return plain_words(head) not in _BARE or bool(layer.frame[head].duplicated().any())

"""Every column of every table a family hands in, declared once: unit, type, allowed range, meaning.

A table is a row model; its fields are the columns in the order of the heading. ``TABLES`` names them all,
``header(table)`` gives the heading of an empty table, ``listing()`` all columns as rows. The parts of place.toml are
declared in the same way in ``woodlot.place.settings``.
"""

import re
from collections.abc import Mapping
from datetime import date
from types import MappingProxyType
from typing import Annotated, Any

from pydantic import BeforeValidator
from pydantic.fields import FieldInfo

from woodlot import trade
from woodlot.column_kinds import (
    Among,
    Day,
    Id,
    LineId,
    LineNames,
    Row,
    Species,
    Text,
    YesNo,
    cell_type,
    column,
    has_heading,
    lower,
    metric_names,
    neutral,
    unit_of,
    words_of,
)

__all__ = ["MAPS", "OWN", "TABLES", "header", "listing", "must_have", "neutral_cells"]

#: Tables that are drawn.
MAPS = ("parcels", "stands", "features")
#: Tables that are not brought from files of another shape.
OWN = ("words", "builds", "ledger")

_NUMBER = re.compile(r"[-+]?\d*\.?\d*")

PlotKind = Annotated[str, Among(trade.PLOT_KINDS)]
FeatureKind = Annotated[str, Among(trade.FEATURES)]
WaterClass = Annotated[str, Among(trade.WATERS)]
CountMethod = Annotated[str, Among(trade.COUNTS)]
WinterScale = Annotated[str, Among(trade.WINTER_SCALES)]
SexAge = Annotated[str, Among(trade.SEX_AGE)]
WordKind = Annotated[str, Among(trade.WORD_KINDS)]
Wishes = Annotated[str, Among(trade.WISHES, several=True)]
Milk = Annotated[str, Among(trade.MILK)]


def _dbh(**words: Any) -> Any:
    meaning = "diameter outside bark at 4.5 ft"
    return column(words.pop("meaning", meaning), "in", 0.1, 60, metric={"dbh_cm": "cm"}, **words)


def _height() -> Any:
    return column("total height", "ft", 1, 200, metric={"height_m": "m"})


def _merch() -> Any:
    return column("height of the stem to a 4-in top", "ft", 0, 160, metric={"merch_m": "m"})


def _logs() -> Any:
    return column("16-foot logs to the smallest sawlog top, halves allowed", "logs", 0, 8)


def _cull() -> Any:
    return column("share of the stem lost to rot, crook or hollow; empty: not judged", "%", 0, 100)


def _quality() -> Any:
    return column("letters or words, commas between: C crop, P poor form, R at risk ...; empty: nobody judged the tree")


def _defect(meaning: str, metric: str) -> Any:
    return column(f"{meaning}, above ground", "ft", 0, 150, metric={metric: "m"})


def _radius(meaning: str, high: float) -> Any:
    return column(meaning, "ft", 0.5, high, metric={"radius_m": "m"})


def _lon() -> Any:
    return column("longitude, negative in America", "degrees", -180, 180)


def _lat() -> Any:
    return column("latitude", "degrees", -90, 90)


def _wish(of: str) -> Any:
    return column(f"what you wish of {of}, one or more")


def _until(meaning: str = "year in which the wish ends; empty: it stays") -> Any:
    return column(meaning, "yr", 1900, 2200)


def _since() -> Any:
    return column("day from which it is wished; notes of wood cut before it break nothing; empty: this winter")


class Parcels(Row):
    """One outline a parcel."""

    parcel_id: Id = column("short name of the parcel, used in the other tables", must=True)
    name: Text | None = column("what you call it")
    legal: Text | None = column("written description from the deed")
    deed_acres: float | None = column("acres by the deed", "ac", 0.01, 100_000, metric={"deed_ha": "ha"})
    wish: Wishes | None = _wish("all stands of it that have no wish of their own")
    wish_until: int | None = _until()
    wish_since: Day | None = _since()


class Stands(Row):
    """Trees alike enough to be treated as one, inside one parcel."""

    stand_id: Id = column("short name of the stand", must=True)
    parcel_id: Id | None = column("parcel it lies in; empty: found by its place on the map")
    cover: Annotated[str, BeforeValidator(lower)] | None = column("cover type, such as northern hardwoods or pine")
    age_yr: float | None = column("age of the main trees", "yr", 0, 600)
    site_species: Species | None = column("species the site index speaks of")
    site_index_ft: float | None = column("height at the base age", "ft", 5, 160, metric={"site_index_m": "m"})
    soil: Annotated[str, BeforeValidator(lower)] | None = column(
        "loam, silt, sandy loam, dry sand, wet or shallow, or plants of the ground such as blueberry; empty: not known"
    )
    operable: YesNo = column("yes if wood can be got out at all", default=True)
    frozen_ground_only: YesNo = column("yes if the ground carries only when frozen", default=False)
    wish: Wishes | None = _wish("it")
    wish_until: int | None = _until()
    wish_since: Day | None = _since()


class Features(Row):
    """Points, lines and outlines that the plan must know of."""

    kind: FeatureKind = column("what it is", must=True)
    name: Text | None = column("what you call it")
    width_ft: float | None = column("width of a stream from bank to bank", "ft", 0.1, 5000, metric={"width_m": "m"})
    trout: YesNo | None = column("yes if it is trout water")
    intermittent: YesNo | None = column("yes if the stream runs dry for part of the year")
    water: WaterClass | None = column("class of water in the state's rules, where you know it")
    wish_until: int | None = _until("of a wish: year in which it ends; empty: it stays")
    wish_since: Day | None = _since()


class Plots(Row):
    """Every plot visited, also those on which no tree stood."""

    plot_id: Id = column("name of the plot, once in the whole place; measured again: once a visit", must=True)
    stand_id: Id = column("stand it lies in", must=True)
    line: Id | None = column("line it was laid on, if plots were laid on lines")
    date: Day | None = column("day it was measured, as 2026-10-09")
    kind: PlotKind | None = column("prism or fixed; empty: told from baf_sqft_per_ac or radius_ft")
    baf_sqft_per_ac: float | None = column("factor of the prism", "sq ft/ac", 1, 100, metric={"baf_m2_per_ha": "m2/ha"})
    radius_ft: float | None = _radius("radius of a fixed plot", 200)
    slope_pct: float | None = column("slope of the ground", "%", 0, 150)
    live_in: int | None = column(
        "live trees in with the prism, in all, where not each has a row in the trees table; 0: none was in",
        "trees",
        0,
        1000,
    )
    dead_in: int | None = column("the same of standing dead trees; empty: as many as have a row", "trees", 0, 1000)
    checked_count: int | None = column(
        "all trees, dead ones too, that the tape found in on a prism plot that was checked; its rows stay as the eye "
        "counted; empty: not checked",
        "trees",
        0,
        300,
    )
    lon: float | None = _lon()
    lat: float | None = _lat()


class Trees(Row):
    """Every tree tallied on the plots."""

    plot_id: Id = column("plot it was counted on", must=True)
    tree: Id | None = column("number of the tree on the plot")
    species: Species = column("common name or a nickname", must=True)
    dbh_in: float | None = _dbh(
        heading=True, meaning="diameter outside bark at 4.5 ft; empty: counted in with the prism but not measured"
    )
    height_ft: float | None = _height()
    merch_ft: float | None = _merch()
    logs_16ft: float | None = _logs()
    count: int = column("trees this row stands for", "trees", 1, 1000, default=1)
    count_twice: YesNo = column("yes if the walk past the edge counts it a second time", default=False)
    cull_pct: float | None = _cull()
    alive: YesNo = column("no for a standing dead tree", default=True)
    quality: Text | None = _quality()
    date: Day | None = column("day of the visit, on a plot that was measured more than once; else empty")


class Tally(Row):
    """Every tree on ground to be cleared, or marked to cut."""

    tree: Id | None = column("number painted on the tree")
    parcel_id: Id | None = column("parcel it stands on")
    stand_id: Id | None = column("stand it stands in")
    species: Species = column("common name or a nickname", must=True)
    dbh_in: float = _dbh(must=True)
    height_ft: float | None = _height()
    merch_ft: float | None = _merch()
    logs_16ft: float | None = _logs()
    cull_pct: float | None = _cull()
    sweep_pct: float | None = column("share of the stem lost to sweep", "%", 0, 100)
    alive: YesNo = column("no for a standing dead tree", default=True)
    quality: Text | None = _quality()
    defect_from_ft: float | None = _defect("lower end of a crook, rot or seam; a fork's height", metric="defect_from_m")
    defect_to_ft: float | None = _defect("upper end of it; empty: to the top", metric="defect_to_m")
    mark: Text | None = column("paint mark or reason; clear: ground to be cleared, it falls anyway")


class Cores(Row):
    """Increment cores or trees measured twice."""

    stand_id: Id | None = column("stand the tree stands in")
    tree: Id | None = column("number of the tree")
    species: Species = column("common name or a nickname", must=True)
    dbh_in: float = _dbh(must=True)
    years: float = column("years the growth took", "yr", 1, 100, must=True)
    growth_in: float = column(
        "diameter growth in those years", "in", 0, 30, must=True, metric={"growth_cm": "cm", "growth_mm": "mm"}
    )


class Pellets(Row):
    """Plots searched for deer pellet groups, also those without any."""

    plot_id: Id = column("name of the plot", must=True)
    line: Id | None = column("line it was laid on")
    date: Day | None = column("day it was searched, as 2026-04-20")
    radius_ft: float = column("radius of the plot", "ft", 0.5, 60, must=True, metric={"radius_m": "m"})
    groups: int = column("pellet groups found", "groups", 0, 500, must=True)
    days: float | None = column("days since the leaves fell; empty: from leaf_off in place.toml", "d", 1, 400)
    parcel_id: Id | None = column("parcel it lies on")
    lon: float | None = _lon()
    lat: float | None = _lat()


class Browse(Row):
    """Stems that deer can reach, by plot and species."""

    plot_id: Id = column("name of the plot", must=True)
    line: Id | None = column("line it was laid on")
    date: Day | None = column("day it was looked at, as 2026-04-20")
    species: Species = column("common name of tree or shrub", must=True)
    stems: int = column("stems within reach", "stems", 0, 100_000, must=True)
    browsed: int = column("of these, bitten by deer", "stems", 0, 100_000, must=True)
    parcel_id: Id | None = column("parcel it lies on")
    lon: float | None = _lon()
    lat: float | None = _lat()


class Seedlings(Row):
    """Seedlings by height, by plot and species; what is said of a plot may stand in any of its rows."""

    plot_id: Id = column("name of the plot", must=True)
    line: Id | None = column("line it was laid on; empty: that of the pellet or browse plot of its name")
    stand_id: Id | None = column(
        "stand it lies in; empty: found by lon and lat, or those of the pellet plot of its name"
    )
    date: Day | None = column("day it was looked at, as 2026-06-20")
    species: Species = column("common name of the tree", must=True)
    radius_ft: float = column("radius of the plot", "ft", 0.5, 60, must=True, metric={"radius_m": "m"})
    under_1ft: float | None = column("stems under 1 ft tall", "stems", 0, 100_000)
    from_1_to_3ft: float | None = column("stems 1 to 3 ft tall", "stems", 0, 100_000)
    from_3_to_5ft: float | None = column("stems 3 to 5 ft tall", "stems", 0, 100_000)
    over_5ft: float | None = column("stems over 5 ft tall, under 1 in dbh", "stems", 0, 100_000)
    fenced: YesNo | None = column("yes if a fence or cage keeps deer out; such plots are held against open ones")
    pair: Id | None = column("name of the pair, on a fenced plot and the open one beside it")
    open_sky_pct: float | None = column(
        "share of the sky seen from the plot; empty: by the stand's basal area", "%", 0, 100
    )
    seed_trees: Species | None = column(
        "kinds of grown trees within 100 ft, with ; between them; none: none; empty: by the cruise plots near"
    )
    lon: float | None = _lon()
    lat: float | None = _lat()


class Counts(Row):
    """Deer counted by camera, from a stand, by tracks, or all of them by drive or snow walk."""

    date: Day | None = column("day, or first day of the camera's run, as 2026-11-07")
    method: CountMethod = column("camera, sighting, tracks, drive or snow walk", must=True)
    station: Text | None = column("camera or stand")
    hours: float | None = column("hours watched", "h", 0, 100_000)
    bucks: float | None = column("antlered deer seen or pictured", "deer", 0, 100_000)
    spikes: float | None = column("of these, spikes", "deer", 0, 100_000)
    does: float | None = column("grown females", "deer", 0, 100_000)
    fawns: float | None = column("this year's young", "deer", 0, 100_000)
    unknown: float | None = column("deer that could not be told", "deer", 0, 100_000)
    bucks_known: float | None = column("different bucks told apart at it", "deer", 0, 1_000)
    baited: YesNo = column("yes if there was bait or a feeder near: it stands apart then", default=False)
    acres: float | None = column("of a drive or snow walk: ground covered", "ac", 1, 100_000, metric={"hectares": "ha"})
    complete: YesNo = column("of a drive or snow walk: yes if no deer of that ground was missed", default=False)


class Bag(Row):
    """Deer taken, a row each or a row for several that are alike."""

    year: int | None = column("year in which the season began; empty: by its day", "yr", 1900, 2200)
    date: Day | None = column("day it was taken, as 2026-11-21; a deer of January belongs to the season before")
    sex_age: SexAge = column("sex and age; deer: nobody could tell, it counts as a doe", must=True)
    age_yr: float | None = column("age by the teeth", "yr", 0, 25)
    number: int = column("deer", "deer", 0, 1_000, default=1)
    dressed_lb: float | None = column("weight of one with the insides out", "lb", 10, 400, metric={"dressed_kg": "kg"})
    milk: Milk | None = column("of a grown doe; yes and no will do too; empty: nobody looked")
    beam_in: float | None = column(
        "of a buck: thickness of the beam an inch above the skull", "in", 0.1, 4, metric={"beam_mm": "mm"}
    )
    hours: float | None = column(
        "hours hunted in all that season, for your record; deer seen while you hunt go into counts", "h", 0, 100_000
    )
    parcel_id: Id | None = column("parcel it was taken on, for your record")


class Winters(Row):
    """Winters, by a state's measure, as daily weather, or as snow at a stake."""

    winter: int | None = column("year in which the winter began", "yr", 1900, 2200)
    points: float | None = column(
        "points; of michigan days of snow 12 in. or more, of maine the percent of the deer lost", "points", 0, 500
    )
    scale: WinterScale | None = column(
        "whose points (new hampshire, new york and vermont count as wisconsin); beside daily weather whose rule counts "
        "it, empty: your state's"
    )
    deep_snow_weeks: float | None = column("weeks with 15 in. of snow or more", "weeks", 0, 35)
    date: Day | None = column("day, for daily weather or a reading of a snow stake")
    least_f: float | None = column("lowest temperature that day", "F", -80, 120, metric={"least_c": "C"})
    snow_in: float | None = column("snow on the ground; once a week will do", "in", 0, 300, metric={"snow_cm": "cm"})


class Words(Row):
    """Words of your own: what you write, and what is meant by it."""

    about: WordKind = column("species, cover or heading", must=True)
    written: Text = column("the word as you write it", must=True)
    meant: Text = column("the species, the cover or the column that is meant", must=True)


class Builds(Row):
    """Pieces of what the family builds, a row a piece; a ready list of the same name gives way to it."""

    build: Annotated[Id, BeforeValidator(lower)] = column("name of the build, as in place.toml", must=True)
    piece: Text = column("what it is, such as end post", must=True)
    number: float = column("how many for one build", "pieces", 0, 10_000, must=True)
    product: Annotated[str, Among(trade.SIZED_PRODUCTS)] = column("what it is cut as", must=True)
    length_ft: float | None = column("length", "ft", 1, 60, metric={"length_m": "m"})
    top_in: float | None = column("least thin end, inside bark", "in", 1, 40, metric={"top_cm": "cm"})
    butt_in: float | None = column("largest butt, inside bark", "in", 1, 60, metric={"butt_cm": "cm"})
    sawn_in: Text | None = column("if it is sawn square: sides such as 8x8, in place of top_in", "in")
    in_ground: YesNo = column("yes if it stands or lies in earth: then of a wood that lasts", default=False)
    straight: Annotated[str, Among(trade.STRAIGHT)] | None = column("how straight; empty: as its product asks")
    wood: Text | None = column("any, lasting, hardwood, softwood, or names of trees; empty: by in_ground")


class Ledger(Row):
    """What was done and seen; `woodlot note` writes it, one line a note."""

    line: int = column("number of the line in this file", "", 1, 10_000_000, must=True)
    id: LineId | None = column("twelve letters, the line's own in every copy of the ledger")
    date: Day = column("day it was done or seen", must=True)
    kind: Annotated[Id, BeforeValidator(lower)] = column("firewood, hauled, stack, burned, sawlog, deer ...", must=True)
    parcel_id: Id | None = column("parcel")
    stand_id: Id | None = column("stand")
    species: Species | None = column("kind of tree")
    sex_age: SexAge | None = column("sex and age of a deer")
    age_yr: float | None = column("age of a deer by its teeth", "yr", 0, 25)
    dressed_lb: float | None = column("weight of a deer, insides out", "lb", 10, 400)
    milk: Milk | None = column("of a grown doe: milk or no milk")
    amount: float | None = column("how much", "", -1_000_000, 1_000_000)
    unit: Annotated[Text, BeforeValidator(lower)] | None = column(
        "of what: cord, bdft with its rule, piece, build, gallon, deer, lb, h"
    )
    job: Text | None = column("of wood: mark or number of the trees it comes from")
    who: Text | None = column("who did or saw it")
    text: Text | None = column("in words")
    photo: Text | None = column("name of a photo, in the folder photos")
    photo_check: Text | None = column("SHA-256 checksum of the photo")
    lon: float | None = _lon()
    lat: float | None = _lat()
    written: Day | None = column("day the line was written")
    corrects: LineNames | None = column("lines that this one takes the place of, by number or id")
    check: Text | None = column("eight letters by which a torn or changed line is noticed")


TABLES: dict[str, type[Row]] = {
    "parcels": Parcels,
    "stands": Stands,
    "features": Features,
    "plots": Plots,
    "trees": Trees,
    "tally": Tally,
    "cores": Cores,
    "pellets": Pellets,
    "browse": Browse,
    "seedlings": Seedlings,
    "counts": Counts,
    "bag": Bag,
    "winters": Winters,
    "words": Words,
    "builds": Builds,
    "ledger": Ledger,
}


def must_have(table: str) -> list[str]:
    """Columns whose heading must be there (or that of a metric twin)."""
    return [name for name, field in TABLES[table].model_fields.items() if has_heading(field)]


def header(table: str) -> list[str]:
    """Heading of an empty table."""
    return list(TABLES[table].model_fields)


def neutral_cells(table: str, row: Mapping[str, str]) -> dict[str, str]:
    """A row as it is written into a table: no text in it is a formula of a spreadsheet, numbers stay as they are."""
    fields = TABLES[table].model_fields
    texts = {name for name in row if name not in fields or cell_type(fields[name])[1] is str}
    return {name: neutral(v) if name in texts and not _NUMBER.fullmatch(v) else v for name, v in row.items()}


def _type_words(field: FieldInfo) -> str:
    kind = cell_type(field)[1]
    if words := words_of(field):
        return ", ".join(words)
    return {str: "text", float: "number", int: "whole number", bool: "yes or no", date: "date"}.get(kind, "list")


def listing(models: Mapping[str, type[Row]] = MappingProxyType(TABLES)) -> list[dict[str, Any]]:
    """All columns as rows: table, column, unit, type, low, high, filled, metric, meaning.

    filled is "always", "heading" (the column must be there, cells may be empty) or "".
    """
    rows = []
    for table, model in models.items():
        for name, field in model.model_fields.items():
            limits = {type(m).__name__: m for m in field.metadata}
            rows.append(
                {
                    "table": table,
                    "column": name,
                    "unit": unit_of(field),
                    "type": _type_words(field),
                    "low": getattr(limits.get("Ge"), "ge", None),
                    "high": getattr(limits.get("Le"), "le", None),
                    "filled": "always" if field.is_required() else "heading" if has_heading(field) else "",
                    "metric": ", ".join(metric_names(field)),
                    "meaning": field.description or "",
                }
            )
    return rows

"""read(folder) -> Place: everything a family handed in, checked, in the units and names the chapters use."""

import datetime as dt
import os
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pandas as pd

from woodlot import columns
from woodlot.column_kinds import FIRST_DAY, LAST_DAY
from woodlot.columns import MAPS
from woodlot.deer.group import family_of, kills
from woodlot.deer.options import DeerSettings
from woodlot.errors import Fault, InputError, PlaceError
from woodlot.land import raster_readings
from woodlot.place import cross
from woodlot.place.building import check_builds, with_pieces
from woodlot.place.cells import absent
from woodlot.place.checked import Sheet
from woodlot.place.cover_words import name_covers
from woodlot.place.deer_books import fill_seasons, fill_winters
from woodlot.place.doubts import doubts, odd_rows
from woodlot.place.group import Neighbors, neighbors
from woodlot.place.lying import RASTERS, Lying, lying, waiting
from woodlot.place.naming import name_preference, name_species
from woodlot.place.sealed import LEDGER, ledger_cells
from woodlot.place.settings import read_settings
from woodlot.place.shapes import place_words
from woodlot.place.soil_words import name_soils
from woodlot.place.tables import TABLES, find, map_frame, read_all
from woodlot.place.tabular import read_table
from woodlot.place.teaching import as_taught, lessons
from woodlot.place.tree_words import name_quality
from woodlot.place.visits import part_visits
from woodlot.place.whole_parcels import named_parcels, whole_parcels
from woodlot.place.wished import astray, broken_wishes, check_wishes
from woodlot.region import Region
from woodlot.say import bring
from woodlot.say.woodpile import untaught
from woodlot.say.words import capital, plural

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = [
    "Place",
    "in_folder",
    "in_order",
    "no_parcels",
    "rasters",
    "read",
    "unread",
]

COVER_CODES = "land_cover_codes.csv"


@dataclass(frozen=True, eq=False)
class Place:
    """A family's ground and what they measured on it, as of one day. Tables nobody handed in are empty, never None.

    Shapes are longitude and latitude (EPSG:4326); metric columns are in US units; missing is NaN, NaT or <NA>, but a
    stand without a cover has ``trade.NO_COVER``. home is
    (longitude, latitude). files: table -> file it came from. warnings: what the family should know, in plain words.
    cover_codes: what the codes of their own land cover raster mean (code, cover, group), None for the national scheme.
    wants, to_build: [[wants]] and [[builds]] of place.toml, each build with its pieces; builds: the family's own lists.
    leave_sqft: basal area that a thinning leaves by the family's wish, by cover. cruise: how plots are put and counted,
    and what the next ones are for. prisms: what the family found its prisms to be: factor, real and doubtful_taped.
    whole_parcels: stands that are a parcel without any; ``files`` has no "stands" where there is no file.
    rasters_at_plots: what the family said of raster and plots. group: neighbors who share the deer.
    plots and trees: of each plot's latest visit; earlier_plots and earlier_trees (with date): of those before.
    Two places are equal only when they are one and the same object.
    """

    folder: Path
    name: str
    region: Region
    as_of: dt.date
    home: tuple[float, float] | None
    choices: dict[str, Any]
    needs: dict[str, Any]
    limits: dict[str, Any]
    deer: DeerSettings
    parcels: "gpd.GeoDataFrame"
    stands: "gpd.GeoDataFrame"
    features: "gpd.GeoDataFrame"
    plots: pd.DataFrame
    trees: pd.DataFrame
    tally: pd.DataFrame
    cores: pd.DataFrame
    pellets: pd.DataFrame
    browse: pd.DataFrame
    seedlings: pd.DataFrame
    counts: pd.DataFrame
    bag: pd.DataFrame
    winters: pd.DataFrame
    words: pd.DataFrame
    builds: pd.DataFrame
    ledger: pd.DataFrame
    wants: list[dict[str, Any]] = field(default_factory=list)
    to_build: list[dict[str, Any]] = field(default_factory=list)
    leave_sqft: dict[str, float] = field(default_factory=dict)
    cruise: dict[str, Any] = field(default_factory=dict)
    prisms: list[dict[str, Any]] = field(default_factory=list)
    rasters: dict[str, Path] = field(default_factory=dict)
    warnings: list[str] = field(default_factory=list)
    files: dict[str, str] = field(default_factory=dict)
    cover_codes: pd.DataFrame | None = None
    earlier_plots: pd.DataFrame = field(default_factory=lambda: absent("plots").frame)
    earlier_trees: pd.DataFrame = field(default_factory=lambda: absent("trees").frame)
    whole_parcels: tuple[str, ...] = ()
    rasters_at_plots: dict[str, Any] = field(default_factory=dict)
    group: Neighbors = field(default_factory=Neighbors)


def read(folder: str | Path, as_of: dt.date | None = None, region: str | None = None) -> Place:
    """Read a family's folder; nothing in it is changed.

    Parameters
    ----------
    folder
        The place: place.toml, parcels, and whatever else was measured.
    as_of
        The day the answers are for; today when left out.
    region
        Takes the place of the region that place.toml names.

    Raises PlaceError with every fault of every file, InputError when there is no such folder or the day is too early.
    """
    home = Path(folder)
    if not home.is_dir():
        raise InputError(f"there is no folder {folder}; name the one that holds your place.toml")
    as_of = as_of or dt.date.today()
    if not FIRST_DAY <= as_of <= LAST_DAY:
        beyond = f"before {FIRST_DAY}" if as_of < FIRST_DAY else f"after {LAST_DAY}"
        raise InputError(f"{as_of} is {beyond}; is the year right?")
    faults: list[Fault] = []
    notes: list[str] = []
    settings = read_settings(home, region, faults, notes)
    if settings.home and (wrong := place_words(*[[x] for x in settings.home])[0]):
        where = f"{settings.home[0]:g}, {settings.home[1]:g}"
        if wrong.startswith("far: "):
            notes.append(f"place.toml: the home point lies outside North America, at {where}. Is that right?")
        else:
            faults.append(Fault("place.toml", None, "home", where, wrong))
    paths = find(home, faults)
    unbrought = [path.name for path in waiting(home, paths)]
    sheets, shapes, unread = read_all(paths, faults, notes, region=settings.region)
    if "ledger" not in paths:
        ledger_cells(home / LEDGER, notes)
    for sheet in sheets.values():
        doubts(sheet, faults, notes, region=settings.region)
    sheets = name_species(sheets, settings.region, faults, notes)
    sheets = name_quality(sheets, settings.region, faults, notes)
    preference = name_preference(settings.deer.preference, sheets, settings.region, faults)
    sheets["stands"] = name_covers(sheets, settings.region, faults, notes)
    sheets["stands"] = name_soils(sheets["stands"], settings.region, faults, notes)
    faults += check_builds(sheets["builds"], settings.region)
    named = [] if "builds" in unread else settings.builds
    to_build = with_pieces(named, sheets["builds"], faults, region=settings.region)
    whole = whole_parcels(sheets, shapes, unread, notes)
    named_parcels(sheets, shapes, unread, faults, notes)
    sheets["plots"] = cross.fill_kinds(sheets["plots"], faults)
    sheets["plots"], sheets["trees"], *earlier = part_visits(sheets["plots"], sheets["trees"], as_of, faults)
    sheets["pellets"] = cross.fill_days(sheets["pellets"], settings.deer.leaf_off, settings.whole, faults, notes)
    state = str(settings.choices.get("state", ""))
    sheets["winters"] = fill_winters(sheets["winters"], state, faults, notes, region=settings.region)
    sheets["bag"] = fill_seasons(sheets["bag"], faults, notes, region=settings.region)
    cross.check_all(sheets, unread, as_of, faults, notes)
    faults += cross.counted_in(*earlier)
    check_wishes(sheets, shapes, as_of, faults, notes)
    if "plots" not in unread:
        faults += cross.prisms_held(settings.prisms, sheets["plots"])
        faults += cross.check_counts(sheets["plots"], sheets["trees"], settings.region) if "trees" not in unread else []
    if "tally" not in unread:
        faults += cross.marks_to_clear(settings.needs.get("clear", ()), sheets["tally"])
    odd_rows(sheets, settings.region, notes)
    if "parcels" not in paths and "parcels" not in unread:
        faults.append(no_parcels(unbrought))
    codes = _cover_codes(home, faults, region=settings.region)
    drawn = shapes.get("parcels")
    own = None if drawn is None or drawn.isna().any() else family_of(settings.name, drawn, kills({}))
    group = neighbors(home, settings.group, own, settings.name, as_of, faults, notes)
    if faults:
        raise PlaceError(in_order(faults, paths))
    maps = {name: map_frame(sheets[name], shapes.get(name)) for name in MAPS}
    notes += cross.far_from_stand(sheets["plots"], maps["stands"])
    notes += astray(maps["features"], maps["stands"], sheets["features"].file)
    notes += broken_wishes(maps, sheets["ledger"].frame, as_of, settings.region).values()
    notes += _missing_notes(sheets, settings.home)
    lesson = lessons(sheets["ledger"].frame, settings.choices, as_of, region=settings.region)
    notes += untaught(lesson)
    choices, taught_region = as_taught(settings.choices, settings.region, lesson.learned)
    notes += [bring.waits(unbrought)] if unbrought else []
    return Place(
        folder=home,
        name=settings.name,
        region=taught_region,
        as_of=as_of,
        home=settings.home,
        choices=choices,
        needs=settings.needs,
        limits=settings.limits,
        cruise=settings.cruise,
        prisms=settings.prisms,
        deer=settings.deer.model_copy(update={"preference": preference}),
        **maps,
        **{name: sheets[name].frame for name in TABLES},
        wants=settings.wants,
        to_build=to_build,
        leave_sqft={one["cover"]: float(one["sqft"]) for one in settings.leave},
        rasters=rasters(home),
        warnings=list(dict.fromkeys(notes)),
        files={name: path.name for name, path in paths.items()},
        cover_codes=codes,
        earlier_plots=earlier[0].frame,
        earlier_trees=earlier[1].frame,
        whole_parcels=whole,
        rasters_at_plots=settings.rasters_at_plots,
        group=group,
    )


def unread(home: Path) -> list[Path]:
    """Files of a folder that look like data and wait to be brought."""
    return waiting(home, find(home, [])) if home.is_dir() else []


def in_folder(home: Path) -> list[Lying]:
    """Every file of a folder, and what it is taken for."""
    return lying(home, find(home, []))


def no_parcels(unbrought: Sequence[str]) -> Fault:
    """The fault of a place in which no parcel is drawn; unbrought: files that wait to be brought."""
    remedy = "Draw the outline of each parcel and save it here as parcels.geojson (or GPKG, zipped Shapefile, KML)."
    if unbrought:
        remedy = f"{bring.waits(unbrought)} Or draw the outline of each parcel and save it here as parcels.geojson."
    return Fault("parcels.geojson", None, "", "not there", remedy)


def rasters(home: Path) -> dict[str, Path]:
    """Name in lower case -> file of every raster in a folder; none is opened."""
    return {p.stem.lower(): p for p in sorted(home.iterdir()) if p.suffix.lower() in RASTERS and p.is_file()}


def _cover_codes(home: Path, faults: list[Fault], *, region: Region) -> pd.DataFrame | None:
    """The family's own code table beside their land cover raster; None where there is none."""
    path = home / COVER_CODES
    if not os.path.lexists(path):
        return None
    try:
        frame = read_table(path, "land_cover_codes", faults, []).frame
        return raster_readings.cover_codes(frame.rename(columns=lambda name: str(name).strip().lower()), region=region)
    except PlaceError as error:
        faults += error.faults
    except InputError as error:
        faults.append(Fault(path.name, None, "", "cannot be used", f"{capital(str(error))}."))
    return None


def in_order(faults: list[Fault], paths: dict[str, Path]) -> list[Fault]:
    """File by file in the order of the tables, row by row; of one cell only the first fault."""
    order = {"place.toml": -1, "parcels.geojson": 0}
    order |= {path.name: list(columns.TABLES).index(table) for table, path in paths.items()}
    first: dict[object, Fault] = {}
    for one in faults:
        first.setdefault((one.file, one.row, one.column) if one.row and one.row > 1 and one.column else one, one)
    return sorted(first.values(), key=lambda one: (order.get(one.file, 99), one.row or 0))


def _missing_notes(sheets: dict[str, Sheet], home: tuple[float, float] | None) -> list[str]:
    notes = []
    if home is None:
        notes.append("place.toml: no home point; distances from home are left out.")
    if sheets["plots"].frame.empty:
        notes.append("No plots yet: nothing can be said of the wood. Three plots in a stand give a first figure.")
    elif sheets["trees"].frame.empty and not (sheets["plots"].frame["live_in"] > 0).any():
        notes.append(
            "No tree stands in the tables: every plot counts as one without a tree. Were the trees brought too?"
        )
    trees, file = sheets["trees"].frame, sheets["trees"].file
    if dead := int(trees.loc[~trees["alive"], "count"].sum()):
        notes.append(f"{file}: {plural(dead, 'dead tree')}, kept apart from living wood.")
    if len(trees) and trees["cull_pct"].isna().all():
        notes.append(f"{file}: cull_pct is empty throughout: amounts are gross, no defect taken off.")
    return notes

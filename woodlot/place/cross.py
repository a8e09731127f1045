"""Checks that need more than one cell: ids that do not exist or stand twice, parts larger than their whole."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.columns import header
from woodlot.errors import Fault
from woodlot.place.checked import Sheet
from woodlot.place.remedies import short
from woodlot.place.seedling_plots import check_seedlings
from woodlot.place.shapes import place_words
from woodlot.region import Region
from woodlot.say.words import first_of, id_list, plural
from woodlot.stand.counted import rows_in
from woodlot.stand.eye import checked, same_factor
from woodlot.trade import COMPLETE, PLOT_KINDS, closest
from woodlot.tree.quality import parts

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = [
    "ONCE",
    "check_all",
    "check_counts",
    "counted_in",
    "far_from_stand",
    "fill_days",
    "fill_kinds",
    "marks_to_clear",
    "prisms_held",
    "twice",
]

#: Names of columns that together may stand only once in a table.
ONCE = {
    "parcels": ["parcel_id"],
    "stands": ["stand_id"],
    "plots": ["plot_id"],
    "trees": ["plot_id", "tree"],
    "tally": ["tree"],
    "builds": header("builds")[:2],
    "pellets": ["plot_id", "line", "date"],
    "browse": ["plot_id", "line", "date", "species"],
    "seedlings": ["plot_id", "line", "date", "species"],
}
#: (table, column) -> table in which the id must stand.
_POINTS_TO = {
    ("stands", "parcel_id"): "parcels",
    ("plots", "stand_id"): "stands",
    ("trees", "plot_id"): "plots",
    ("tally", "parcel_id"): "parcels",
    ("tally", "stand_id"): "stands",
    ("cores", "stand_id"): "stands",
    ("pellets", "parcel_id"): "parcels",
    ("browse", "parcel_id"): "parcels",
    ("seedlings", "stand_id"): "stands",
    ("bag", "parcel_id"): "parcels",
}


def check_all(sheets: dict[str, Sheet], unread: set[str], as_of: date, faults: list[Fault], notes: list[str]) -> None:
    """Append the faults and notes of all checks; no id is held against ``unread`` tables, which could not be read."""
    for table in ONCE:
        faults += twice(sheets[table])
    for (table, column), other in _POINTS_TO.items():
        if other not in unread:
            faults += _orphans(sheets[table], column, sheets[other], other)
    faults += _fixed_without_dbh(sheets["trees"], sheets["plots"])
    faults += counted_in(sheets["plots"], sheets["trees"])
    faults += _misplaced(sheets["tally"])
    browse, counts, cores = sheets["browse"], sheets["counts"], sheets["cores"]
    thick = cores.frame["dbh_in"]
    faults += cores.faults(
        cores.frame["growth_in"] >= thick, "growth_in", lambda at: f"More than the whole tree, {thick.iloc[at]:g} in."
    )
    over = browse.frame["browsed"] > browse.frame["stems"]
    faults += browse.faults(over, "browsed", lambda at: f"More than the {browse.text('stems', at)} stems.")
    over = counts.frame["spikes"] > counts.frame["bucks"]
    faults += counts.faults(over, "spikes", "More than the bucks, of which they are a part.")
    part = ~counts.frame["method"].isin(COMPLETE) & ~counts.is_wrong("method")
    whole = "Only a drive or a snow walk counts every deer of its ground: leave it empty here."
    faults += counts.faults(part & counts.frame["acres"].notna(), "acres", whole)
    faults += counts.faults(part & counts.frame["complete"].fillna(False).astype(bool), "complete", whole)
    if lost := int((counts.frame["date"].isna() & ~counts.is_wrong("date")).sum()):
        notes.append(
            f"{counts.file}: {plural(lost, 'row')} without a day: cameras are taken to be of the last "
            "season, sightings and tracks stand in no trend. Write the day in the column date."
        )
    check_seedlings(sheets["seedlings"], faults, notes)
    for table in ("plots", "pellets", "browse", "seedlings", "ledger"):
        _points(sheets[table], faults, notes)
    for sheet in sheets.values():
        if "date" in sheet.frame and (late := int((sheet.frame["date"] > pd.Timestamp(as_of)).sum())):
            notes.append(f"{sheet.file}: {plural(late, 'row')} dated after {as_of.isoformat()}.")
    _ledger(sheets["ledger"], sheets, unread, notes)


def _misplaced(tally: Sheet) -> list[Fault]:
    """Defects whose place cannot be: an end below its beginning, an end alone, a beginning over the top of the tree."""
    low, high, tall = (tally.frame[name] for name in ("defect_from_ft", "defect_to_ft", "height_ft"))
    whole = ~tally.is_wrong("defect_from_ft", "defect_to_ft", "height_ft")
    return [
        *tally.faults(
            whole & (high <= low), "defect_to_ft", lambda at: f"Not above its lower end, {low.iloc[at]:g} ft."
        ),
        *tally.faults(
            whole & high.notna() & low.isna(), "defect_from_ft", "Write its lower end too, or take defect_to_ft out."
        ),
        *tally.faults(
            whole & (low >= tall), "defect_from_ft", lambda at: f"Over the top of the tree, {tall.iloc[at]:.0f} ft."
        ),
    ]


def marks_to_clear(marks: Sequence[str], tally: Sheet) -> list[Fault]:
    """Faults of marks of ground to be cleared that no tree of the tally bears."""
    there = list(dict.fromkeys(word.lower() for mark in tally.frame["mark"] for word in parts(mark)))
    known = f"The column mark of tally.csv has {first_of(there, 5)}." if there else "No tree of tally.csv has a mark."
    lost = [mark for mark in marks if not {word.lower() for word in parts(mark)} & set(there)]
    remedy = f"No tree falls by it. {known} Write one of its marks, or take this out."
    return [Fault("place.toml", None, "needs.clear", short(mark) or "empty", remedy) for mark in lost]


def prisms_held(prisms: Sequence[Mapping[str, Any]], plots: Sheet) -> list[Fault]:
    """Faults of [[prism]] entries with whose factor no plot was counted."""
    frame = plots.frame
    there = np.unique(frame.loc[frame["kind"] == "prism", "baf_sqft_per_ac"].dropna().astype(float))
    known = f"plots.csv has {first_of([f'{one:g}' for one in there], 5)}." if len(there) else "No prism plot is there."
    remedy = f"No plot was counted with it. {known} Write the factor as it stands there, or take this out."
    lost = (at for at, one in enumerate(prisms, 1) if not same_factor(there, one["factor"]).any())
    return [
        Fault("place.toml", None, f"prism, number {at}, factor", f"{prisms[at - 1]['factor']:g}", remedy) for at in lost
    ]


def check_counts(plots: Sheet, trees: Sheet, region: Region) -> list[Fault]:
    """Faults of points checked with the tape: on a fixed plot, or further from the tally than any eye is off."""
    frame, figure = plots.frame, partial(region.figure, "defaults_sampling")
    points = checked(frame, trees.frame)
    points = points[~points.index.duplicated()].reindex(frame["plot_id"].astype(str))
    tallied, found = points["tallied"].to_numpy(), points["found"].to_numpy()
    off = np.abs(found - tallied)
    far = (off > figure("check_off_trees")) & (off > figure("check_off_share") * np.fmax(found, tallied))
    fixed = (frame["kind"] == "fixed").to_numpy() & frame["checked_count"].notna().to_numpy()
    asked = "Count it again, or take this out. Trees of the tally stand in trees.csv, one row each or with count."
    return [
        *plots.faults(fixed, "checked_count", "Only what a prism takes in is checked so. Take it out."),
        *plots.faults(
            far & ~fixed, "checked_count", lambda at: f"The tally has {plural(int(tallied[at]), 'tree')}. {asked}"
        ),
    ]


def twice(sheet: Sheet) -> list[Fault]:
    """Faults of rows whose names stand in the table already."""
    names = ONCE[sheet.table]
    keys, own = sheet.frame[names], names[-1] if names[-1] in ("tree", "species") else names[0]
    whole = keys[own].notna()
    again = whole & keys.duplicated(keep="first")
    if not again.any():
        return []
    first = keys[whole].reset_index().groupby(names, dropna=False)["index"].transform("first")
    at_first = pd.Series(first.to_numpy(), index=np.flatnonzero(whole))
    rule = "Each needs its own." if len(names) == 1 else f"The same {' and '.join(names)} may stand only once."
    rule += " A plot measured again needs the day of each visit." if sheet.table == "plots" else ""
    return sheet.faults(again, own, lambda at: f"Also in row {sheet.rows[at_first[at]]}. {rule}")


def _orphans(sheet: Sheet, column: str, other: Sheet, name: str) -> list[Fault]:
    named = sheet.frame[column]
    there = [str(value) for value in other.frame[ONCE[name][0]].dropna().unique()]
    lost = named.notna() & ~named.isin(there)
    if not lost.any() or (not other.file and name == "parcels"):  # no parcels: reported once, for the whole place
        return []
    if not other.file and not there:
        remedy = f"There is no {name} file. " + _without(name)
        return [Fault(sheet.file, None, column, f"{int(lost.sum())} rows", remedy)]
    what, has = name.removesuffix("s"), id_list([short(one, 24) for one in there], 8) or "none"
    if not other.file:  # each parcel is one stand
        return sheet.faults(
            lost, column, lambda at: f"No {what} is drawn yet. Draw the {name}, or write the parcel: {has}."
        )
    return sheet.faults(
        lost, column, lambda at: f"{other.file} has no {what} {_near(named.iloc[at], there)}; it has {has}."
    )


def _near(word: str, there: list[str]) -> str:
    near = closest(word, there, 0.75) if len(word) > 3 else ""
    return f"{short(word)} (nearest: {short(near)})" if near else short(word)


def _without(name: str) -> str:
    if name == "plots":
        return "Write plots.csv with every plot visited, also those without a tree: averages go over plots."
    return f"Draw the {name} as {name}.geojson (or GPKG, zipped Shapefile, KML)."


def _fixed_without_dbh(trees: Sheet, plots: Sheet) -> list[Fault]:
    kinds = plots.frame.drop_duplicates("plot_id").set_index("plot_id")["kind"]
    fixed = trees.frame["plot_id"].map(kinds) == "fixed"
    remedy = "On a fixed plot every tree needs its diameter; only a prism may count without one."
    return trees.faults(fixed & trees.frame["dbh_in"].isna() & ~trees.is_wrong("dbh_in"), "dbh_in", remedy)


def counted_in(plots: Sheet, trees: Sheet) -> list[Fault]:
    """Trees counted in on a plot that has no prism or has more of them in the trees table; and plots without any word
    of their trees on a day on which trees were counted: nobody can say whether they are empty.
    """
    frame, faults = plots.frame, []
    tallied = trees.frame[trees.frame["plot_id"].notna()]
    visit = frame["plot_id"].astype(str)
    if "date" in tallied:  # of earlier visits
        visit = visit + " " + frame["date"].astype(str)
        tallied = tallied.assign(plot_id=tallied["plot_id"].astype(str) + " " + tallied["date"].astype(str))
    fixed, once = (frame["kind"] == "fixed").to_numpy(), ~visit.duplicated(keep=False).to_numpy()
    for name, alive in (("live_in", True), ("dead_in", False)):
        told = frame[name].astype("float64")
        rows = visit.map(rows_in(tallied, alive)).fillna(0.0)
        faults += plots.faults(
            fixed & (told > 0), name, "Only a prism counts trees in; on a fixed plot each is measured. Leave it empty."
        )

        def more(at: int, name: str = name, rows: pd.Series = rows) -> str:
            return (
                f"The trees table has {rows.iloc[at]:g} of them on this plot (one counted twice at an edge is two). "
                "Write how many were in, in all, or leave it empty if each has its row."
            )

        faults += plots.faults(~fixed & once & (told < rows), name, more)
    counted = frame["live_in"].notna()
    days = frame.loc[counted, "date"]
    same = frame["date"].isin(days.dropna()) | (frame["date"].isna() & bool(days.isna().any()))
    silent = np.asarray(same & ~counted & ~visit.isin(tallied["plot_id"]) & frame["plot_id"].notna(), dtype=bool)
    return faults + plots.faults(
        silent & ~fixed & ~plots.is_wrong("live_in", "kind"),
        "live_in",
        "Trees were counted that day, and this plot has none in the trees table. Write how many were in, or 0 if none.",
    )


def fill_kinds(plots: Sheet, faults: list[Fault]) -> Sheet:
    """Plots with their kind from factor or radius where it is empty; a plot that lacks its measure is a fault."""
    frame = plots.frame
    baf, radius, written = frame["baf_sqft_per_ac"].notna(), frame["radius_ft"].notna(), frame["kind"]
    measured = pd.Series(np.select([baf & ~radius, radius & ~baf], list(PLOT_KINDS), ""), dtype="str")
    kind = written.where(written.notna(), measured)
    kind = kind.where(kind != "", None)
    whole = ~plots.is_wrong("kind", "baf_sqft_per_ac", "radius_ft")
    for where, column, remedy in (
        (kind.isna() & baf & radius, "kind", "Both a prism factor and a radius are given. Write prism or fixed."),
        (kind.isna() & ~baf & ~radius, "kind", "Write prism with its baf_sqft_per_ac, or fixed with its radius_ft."),
        ((kind == "prism") & ~baf, "baf_sqft_per_ac", "A prism plot needs the factor of its prism, such as 10."),
        ((kind == "fixed") & ~radius, "radius_ft", "A fixed plot needs its radius; 26.3 ft is a twentieth of an acre."),
    ):
        faults += plots.faults(where & whole, column, remedy)
    return replace(plots, frame=frame.assign(kind=kind))


def fill_days(pellets: Sheet, leaf_off: date | None, whole: bool, faults: list[Fault], notes: list[str]) -> Sheet:
    """Pellet plots with days counted from the last leaf fall before their date where days is empty.

    whole: place.toml could be read whole, so that a missing leaf_off is really missing.
    """
    frame = pellets.frame
    days, empty = frame["days"], frame["days"].isna()
    if leaf_off is not None and empty.any():
        seen = frame["date"]
        fall = pd.to_datetime(
            {"year": seen.dt.year.fillna(2000), "month": leaf_off.month, "day": min(leaf_off.day, 28)}, errors="coerce"
        ) + pd.Timedelta(days=max(0, leaf_off.day - 28))
        last = fall.where(fall < seen, fall - pd.DateOffset(years=1))
        days = days.where(~empty, (seen - last).dt.days.astype("float64"))
        notes.append(
            f"{pellets.file}: {int(empty.sum())} empty days counted from leaf fall, {leaf_off:%B} {leaf_off.day}."
        )
    remedy = "Write the days since the leaves fell, or date here and leaf_off under [deer] in place.toml."
    faults += pellets.faults(days.isna() & ~pellets.is_wrong("days", "date") & whole, "days", remedy)
    return replace(pellets, frame=frame.assign(days=days))


def _points(sheet: Sheet, faults: list[Fault], notes: list[str]) -> None:
    lon, lat = sheet.frame["lon"], sheet.frame["lat"]
    for name, here, other in (("lat", lat, lon), ("lon", lon, lat)):
        alone = other.notna() & here.isna() & ~sheet.is_wrong(name)
        faults += sheet.faults(alone, name, "A position needs lon and lat, or neither.")
    whole = (lon.notna() & lat.notna()).to_numpy()
    words = np.array(place_words(lon, lat), dtype=object)
    far = np.array([word.startswith("far: ") for word in words], dtype=bool) & whole
    bad = whole & ~far & (words != "")
    faults += sheet.faults(bad, "lon", lambda at: str(words[at]), lambda at: f"{lon.iloc[at]:g}, lat {lat.iloc[at]:g}")
    if far.any():
        notes.append(f"{sheet.file}: {int(far.sum())} positions lie outside North America. Is that right?")


def far_from_stand(plots: Sheet, stands: "gpd.GeoDataFrame", tolerance_ft: float = 100.0) -> list[str]:
    """One note when plots with a position lie farther than the tolerance from the stand they name."""
    frame = plots.frame[plots.frame["lon"].notna() & plots.frame["lat"].notna()]
    if frame.empty or stands.empty:
        return []
    import geopandas as gpd

    from woodlot.land.parcels import local_ft

    outline = local_ft(stands).drop_duplicates("stand_id").set_index("stand_id").geometry
    points = gpd.GeoSeries(gpd.points_from_xy(frame["lon"], frame["lat"]), crs="EPSG:4326").to_crs(outline.crs)
    own = gpd.GeoSeries(frame["stand_id"].map(outline).to_numpy(), crs=outline.crs)
    away = points.distance(own).to_numpy() > tolerance_ft
    if not away.any():
        return []
    named = first_of([short(str(one), 20) for one in frame["plot_id"].to_numpy()[away]], 6)
    return [f"{plots.file}: plot {named} lies over {tolerance_ft:g} ft from the stand it names."]


def _ledger(ledger: Sheet, sheets: dict[str, Sheet], unread: set[str], notes: list[str]) -> None:
    """Lines of the ledger are never a fault for what they name: parcels are sold and stands redrawn."""
    for column, other in (("parcel_id", "parcels"), ("stand_id", "stands")):
        ids = ledger.frame[column]
        lost = ids.notna() & ~ids.isin(sheets[other].frame[column].dropna())
        if lost.any() and other not in unread:
            named = ", ".join(short(str(one), 20) for one in sorted(ids[lost].unique())[:6])
            notes.append(f"{ledger.file}: {column} {named} is not on the map; {int(lost.sum())} lines keep it.")

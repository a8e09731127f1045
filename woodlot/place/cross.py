"""Checks that need more than one cell: ids that do not exist or stand twice, parts larger than their whole."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from woodlot.columns import NO_COVER
from woodlot.errors import Fault
from woodlot.place.cells import Sheet
from woodlot.place.remedies import NOT_MEASURED, closest, short
from woodlot.place.shapes import place_words

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["check_all", "far_from_stand", "fill_covers", "fill_days", "fill_kinds", "fill_winters"]

LOG_FT = 16.0
#: Names of columns that together may stand only once in a table.
_ONCE = {
    "parcels": ["parcel_id"],
    "stands": ["stand_id"],
    "plots": ["plot_id"],
    "trees": ["plot_id", "tree"],
    "tally": ["tree"],
    "pellets": ["plot_id", "line", "date"],
    "browse": ["plot_id", "line", "date", "species"],
    "seedlings": ["plot_id", "date", "species"],
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
    ("bag", "parcel_id"): "parcels",
}


def check_all(sheets: dict[str, Sheet], unread: set[str], as_of: date, faults: list[Fault], notes: list[str]) -> None:
    """Append the faults and notes of all checks; no id is held against ``unread`` tables, which could not be read."""
    for table, names in _ONCE.items():
        faults.extend(_twice(sheets[table], names))
    for (table, column), other in _POINTS_TO.items():
        if other not in unread:
            faults.extend(_orphans(sheets[table], column, sheets[other], other))
    for table in ("trees", "tally"):
        _heights(sheets[table], faults, notes)
    faults.extend(_fixed_without_dbh(sheets["trees"], sheets["plots"]))
    browse = sheets["browse"]
    over = browse.frame["browsed"] > browse.frame["stems"]
    stems = browse.text("stems")
    faults.extend(
        browse.faults(over, "browsed", browse.text("browsed"), lambda at: f"More than the {stems(at)} stems.")
    )
    counts = sheets["counts"]
    over = counts.frame["spikes"] > counts.frame["bucks"]
    faults.extend(
        counts.faults(over, "spikes", counts.text("spikes"), "More than the bucks, of which they are a part.")
    )
    lost = int((counts.frame["date"].isna() & ~counts.is_wrong("date")).sum())
    if lost:
        notes.append(
            f"{counts.file}: {lost} row{'' if lost == 1 else 's'} without a day: cameras are taken to be of the last "
            "season, sightings and tracks stand in no trend. Write the day in the column date."
        )
    for table in ("plots", "pellets", "browse", "ledger"):
        _points(sheets[table], faults, notes)
    for sheet in sheets.values():
        if "date" in sheet.frame and (sheet.frame["date"] > pd.Timestamp(as_of)).any():
            late = int((sheet.frame["date"] > pd.Timestamp(as_of)).sum())
            notes.append(f"{sheet.file}: {late} row{'s' if late != 1 else ''} dated after {as_of.isoformat()}.")
    _ledger(sheets["ledger"], sheets, unread, notes)


def _twice(sheet: Sheet, names: list[str]) -> list[Fault]:
    keys = sheet.frame[names]
    whole = keys[names[-1] if names[-1] in ("tree", "species") else names[0]].notna()
    again = whole & keys.duplicated(keep="first")
    if not again.any():
        return []
    first = keys[whole].reset_index().groupby(names, dropna=False)["index"].transform("first")
    at_first = pd.Series(first.to_numpy(), index=np.flatnonzero(whole))
    own = names[-1] if names[-1] in ("tree", "species") else names[0]
    together = " and ".join(names)
    said = "Each needs its own." if len(names) == 1 else f"The same {together} may stand only once."
    said += " A plot measured again needs the day of each visit." if sheet.table == "plots" else ""
    return sheet.faults(again, own, sheet.text(own), lambda at: f"Also in row {sheet.rows[at_first[at]]}. {said}")


def _orphans(sheet: Sheet, column: str, other: Sheet, name: str) -> list[Fault]:
    ids = sheet.frame[column]
    key = _ONCE[name][0]
    there = [str(value) for value in other.frame[key].dropna().unique()]
    lost = ids.notna() & ~ids.isin(there)
    if not lost.any():
        return []
    what = {"parcels": "parcel", "stands": "stand", "plots": "plot"}[name]
    if not other.file and name == "parcels":
        return []  # said once, for the whole place
    if not other.file:
        remedy = f"There is no {name} file. " + _without(name)
        return [Fault(sheet.file, None, column, f"{int(lost.sum())} rows", remedy)]
    has = f"it has {_span(there)}."
    return sheet.faults(
        lost, column, sheet.text(column), lambda at: f"{other.file} has no {what} {_near(ids.iloc[at], there)}; {has}"
    )


def _near(word: str, there: list[str]) -> str:
    near = closest(word, there, 0.75) if len(word) > 3 else ""
    return f"{short(word)} (nearest: {short(near)})" if near else short(word)


def _without(name: str) -> str:
    if name == "plots":
        return "Write plots.csv with every plot visited, also those without a tree: averages go over plots."
    return f"Draw the {name} as {name}.geojson (or GPKG, zipped Shapefile, KML)."


def _span(ids: Sequence[str]) -> str:
    """Ids as they are said: "1 to 16" when they are numbers in a row, else up to eight names."""
    if ids and all(one.isascii() and one.isdigit() and len(one) < 9 for one in ids):
        numbers = sorted(int(one) for one in ids)
        if len(numbers) > 2 and numbers[-1] - numbers[0] + 1 == len(numbers):
            return f"{numbers[0]} to {numbers[-1]}"
    shown = ", ".join(short(one, 24) for one in ids[:8])
    return (shown + (f" and {len(ids) - 8} more" if len(ids) > 8 else "")) or "none"


def _heights(sheet: Sheet, faults: list[Fault], notes: list[str]) -> None:
    """Total, merchantable and log height are three things, each within the one before."""
    frame = sheet.frame
    total, merch, logs = frame["height_ft"], frame["merch_ft"], frame["logs_16ft"]
    over = merch > total
    faults.extend(
        sheet.faults(
            over, "merch_ft", sheet.text("merch_ft"), lambda at: f"Higher than the tree, {total.iloc[at]:g} ft."
        )
    )
    rounds = "Logs are counted to the sawlog top, merch_ft goes to a 4-in top."
    log_ft = logs * LOG_FT
    taller = log_ft > total
    far = (log_ft > merch + LOG_FT / 2) & ~taller
    faults.extend(
        sheet.faults(
            taller,
            "logs_16ft",
            sheet.text("logs_16ft"),
            lambda at: f"{log_ft.iloc[at]:g} ft of logs in a tree of {total.iloc[at]:g} ft.",
        )
    )
    faults.extend(
        sheet.faults(
            far,
            "logs_16ft",
            sheet.text("logs_16ft"),
            lambda at: f"{log_ft.iloc[at]:g} ft of logs, but merch_ft is {merch.iloc[at]:g}. {rounds}",
        )
    )
    near = (log_ft > merch) & ~far & ~taller
    if near.any():
        rows = ", ".join(str(row) for row in sheet.rows[near][:5])
        more = f" and {int(near.sum()) - 5} more" if near.sum() > 5 else ""
        notes.append(f"{sheet.file}, row {rows}{more}: logs a little longer than merch_ft. {rounds}")


def _fixed_without_dbh(trees: Sheet, plots: Sheet) -> list[Fault]:
    kinds = plots.frame.drop_duplicates("plot_id").set_index("plot_id")["kind"]
    fixed = trees.frame["plot_id"].map(kinds) == "fixed"
    remedy = "On a fixed plot every tree needs its diameter; only a prism may count without one."
    return trees.faults(fixed & trees.frame["dbh_in"].isna() & ~trees.is_wrong("dbh_in"), "dbh_in", "empty", remedy)


def fill_covers(stands: Sheet, notes: list[str]) -> Sheet:
    """Stands whose cover nobody wrote have ``NO_COVER`` there; said once."""
    cover = stands.frame["cover"]
    bare = cover.isna() | cover.isin(NOT_MEASURED)
    if bare.any():
        ids = [short(str(one), 20) for one in stands.frame.loc[bare, "stand_id"].dropna()]
        which = f"stand{'' if len(ids) == 1 else 's'} {', '.join(ids[:6])}"
        which += f" and {len(ids) - 6} more" if len(ids) > 6 else ""
        notes.append(
            f"{stands.file}: the cover of {which} is not known. Wood is counted all the same; what a cut should leave "
            "and what deer find there hang on it. Write it (northern hardwoods, oak, pine ...) in the column cover."
        )
    return replace(stands, frame=stands.frame.assign(cover=cover.mask(bare, NO_COVER)))


def fill_kinds(plots: Sheet, faults: list[Fault]) -> Sheet:
    """Plots with their kind told from factor or radius where it is empty; a plot that lacks its measure is a fault."""
    frame = plots.frame
    baf, radius, kind = frame["baf_sqft_per_ac"].notna(), frame["radius_ft"].notna(), frame["kind"]
    told = kind.where(
        kind.notna(), pd.Series(np.select([baf & ~radius, radius & ~baf], ["prism", "fixed"], ""), dtype="str")
    )
    told = told.where(told != "", None)
    wrong = plots.is_wrong("kind", "baf_sqft_per_ac", "radius_ft")
    both = told.isna() & baf & radius & ~wrong
    neither = told.isna() & ~baf & ~radius & ~wrong
    faults.extend(
        plots.faults(both, "kind", "empty", "Both a prism factor and a radius are given. Write prism or fixed.")
    )
    faults.extend(
        plots.faults(neither, "kind", "empty", "Write prism with its baf_sqft_per_ac, or fixed with its radius_ft.")
    )
    no_baf = (told == "prism") & ~baf & ~wrong
    faults.extend(
        plots.faults(no_baf, "baf_sqft_per_ac", "empty", "A prism plot needs the factor of its prism, such as 10.")
    )
    no_radius = (told == "fixed") & ~radius & ~wrong
    remedy = "A fixed plot needs its radius; 26.3 ft is a twentieth of an acre."
    faults.extend(plots.faults(no_radius, "radius_ft", "empty", remedy))
    return replace(plots, frame=frame.assign(kind=told))


def fill_days(pellets: Sheet, leaf_off: date | None, whole: bool, faults: list[Fault], notes: list[str]) -> Sheet:
    """Pellet plots with days counted from the last leaf fall before their date where days is empty.

    whole: place.toml could be read whole, so that a missing leaf_off is really missing.
    """
    frame = pellets.frame
    empty = frame["days"].isna()
    days = frame["days"]
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
    faults.extend(pellets.faults(days.isna() & ~pellets.is_wrong("days", "date") & whole, "days", "empty", remedy))
    return replace(pellets, frame=frame.assign(days=days))


def fill_winters(winters: Sheet, scales: Sequence[str], faults: list[Fault], notes: list[str]) -> Sheet:
    """Winters with their year told from the day where it is empty; each row needs points with scale, or weather.

    scales: those there are tables for; the chances of the herd know the losses of the first only. A scale nearly like
    one of them is a slip; any other is said and kept.
    """
    frame = winters.frame
    day = frame["date"]
    told = frame["winter"].where(
        frame["winter"].notna(), (day.dt.year - (day.dt.month < 7).astype(int)).astype("Int64")
    )
    faults.extend(
        winters.faults(
            told.isna() & ~winters.is_wrong("winter", "date"),
            "winter",
            "empty",
            "Write the year in which the winter began, or a date.",
        )
    )
    points = frame["points"].notna()
    weather = day.notna() & (frame["least_f"].notna() | frame["snow_in"].notna())
    wrong = winters.is_wrong("points", "date", "least_f", "snow_in")
    remedy = "Write points with their scale, or date with least_f and snow_in."
    faults.extend(winters.faults(~points & ~weather & ~wrong, "points", "empty", remedy))
    no_scale = points & frame["scale"].isna()
    remedy = "Whose points are they? Write wisconsin, minnesota ...; scales are never mixed."
    faults.extend(winters.faults(no_scale, "scale", "empty", remedy))
    near = [closest(scale, scales, 0.75) if isinstance(scale, str) else "" for scale in frame["scale"]]
    slip = [bool(one) and one != scale for one, scale in zip(near, frame["scale"], strict=True)]
    faults.extend(winters.faults(slip, "scale", winters.text("scale"), lambda at: f"Did you mean {near[at]}?"))
    if others := sorted(set(frame.loc[points, "scale"].dropna()) - {scales[0]}):
        notes.append(
            f"{winters.file}: points in the scale of {short(' and '.join(others))} are kept but stand in no chance of "
            f"the herd: deer lost by points are known in {scales[0]}'s scale only."
        )
    again = points & frame.assign(winter=told).duplicated(["winter", "scale"], keep="first")
    again &= day.isna()
    faults.extend(winters.faults(again, "winter", lambda at: str(told.iloc[at]), "This winter stands above already."))
    return replace(winters, frame=frame.assign(winter=told.fillna(0).astype("int64")))


def _points(sheet: Sheet, faults: list[Fault], notes: list[str]) -> None:
    lon, lat = sheet.frame["lon"], sheet.frame["lat"]
    faults.extend(
        sheet.faults(
            lon.notna() & lat.isna() & ~sheet.is_wrong("lat"),
            "lat",
            "empty",
            "A position needs lon and lat, or neither.",
        )
    )
    faults.extend(
        sheet.faults(
            lat.notna() & lon.isna() & ~sheet.is_wrong("lon"),
            "lon",
            "empty",
            "A position needs lon and lat, or neither.",
        )
    )
    whole = (lon.notna() & lat.notna()).to_numpy()
    words = np.array(place_words(lon, lat), dtype=object)
    far = np.array([word.startswith("far: ") for word in words], dtype=bool) & whole
    bad = whole & ~far & (words != "")
    faults.extend(
        sheet.faults(bad, "lon", lambda at: f"{lon.iloc[at]:g}, lat {lat.iloc[at]:g}", lambda at: str(words[at]))
    )
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
    named = ", ".join(short(str(one), 20) for one in frame["plot_id"].to_numpy()[away][:6])
    more = f" and {int(away.sum()) - 6} more" if away.sum() > 6 else ""
    return [f"{plots.file}: plot {named}{more} lies over {tolerance_ft:g} ft from the stand it names."]


def _ledger(ledger: Sheet, sheets: dict[str, Sheet], unread: set[str], notes: list[str]) -> None:
    """Lines of the ledger are never a fault for what they name: parcels are sold and stands redrawn."""
    for column, other in (("parcel_id", "parcels"), ("stand_id", "stands")):
        ids = ledger.frame[column]
        lost = ids.notna() & ~ids.isin(sheets[other].frame[column].dropna())
        if lost.any() and other not in unread:
            named = ", ".join(short(str(one), 20) for one in sorted(ids[lost].unique())[:6])
            notes.append(f"{ledger.file}: {column} {named} is not on the map; {int(lost.sum())} lines keep it.")
    line, corrects = ledger.frame["line"], ledger.frame["corrects"]
    odd = corrects.notna() & (~corrects.isin(line) | (corrects >= line))
    for at in np.flatnonzero(odd.to_numpy(dtype=bool)):
        notes.append(f"{ledger.file}: line {line.iloc[at]} replaces line {corrects.iloc[at]}, which is not before it.")

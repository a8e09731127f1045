"""All that rasters and water say about each stand, in one go; and what stands without plots borrow by it.

Seen from above       seen, Seen
Rasters tried         unreadable
Under the map         backdrop, Backdrop
Stands without plots  lend, Lent

A raster that cannot be used never stops a plan: it gives one note, and what it would have shown is missing.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError, NoAnswer
from woodlot.estimate import LEVEL, Estimate, Reason, reason
from woodlot.land import ground, near, raster_readings, terrain, water
from woodlot.region import Region
from woodlot.stand import likeness

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["Backdrop", "Lent", "Seen", "backdrop", "canopy_of", "land_cover_of", "lend", "seen", "unreadable"]

ELEVATION, CANOPY, COVER = ("elevation", "dem", "heights"), ("canopy_height", "canopy"), ("land_cover", "cover")
PICTURE_ENDS = ("picture", "photo", "orthophoto", "drone")
#: Features by which stands are compared, in this order of worth; those that a raster gives are used.
ALIKE = ("canopy_mean_ft", "canopy_p95_ft", "canopy_over_30ft_pct", "conifer_group_pct", "wet woods_group_pct")


@dataclass(frozen=True)
class Seen:
    """What is known without walking.

    stands: one row a stand: stand_id, slope_pct, slope_p90_pct, aspect_deg, facing, over_15_pct ..., canopy_mean_ft,
    canopy_p95_ft, canopy_over_30ft_pct, <group>_group_pct, elevation_covered_pct, canopy_covered_pct,
    cover_covered_pct (columns of a raster that is missing are missing), strip_ac, steep_ac, both_ac, wet, workable_ac,
    strips, steep: geo frames. distances: as ``land.near``. notes: one Reason for each thing to know.
    """

    stands: pd.DataFrame
    strips: "gpd.GeoDataFrame"
    steep: "gpd.GeoDataFrame | None"
    distances: pd.DataFrame
    notes: list[Reason] = field(default_factory=list)


@dataclass(frozen=True)
class Backdrop:
    """What the map lies on: contours (geo frame), pictures (parcel_id -> ``land.above`` picture with what, "picture" or
    "shade"), and notes, one for each thing to know.
    """

    contours: "gpd.GeoDataFrame | None"
    pictures: dict[str, dict[str, Any]]
    notes: list[Reason]


@dataclass(frozen=True)
class Lent:
    """What stands without plots borrow: per_ac (attribute -> stand_id -> Estimate), borrowed, next_to_cruise, notes."""

    per_ac: dict[str, dict[str, Estimate]]
    borrowed: likeness.Borrowed | None
    next_to_cruise: pd.DataFrame | None
    notes: list[Reason]


def seen(
    stands: "gpd.GeoDataFrame",
    parcels: "gpd.GeoDataFrame",
    features: "gpd.GeoDataFrame",
    rasters: Mapping[str, str | Path],
    home: tuple[float, float] | None = None,
    codes: pd.DataFrame | None = None,
    state: str | None = None,
    *,
    region: Region,
) -> Seen:
    """Slope, canopy, land cover, strips and distances of a place.

    Parameters
    ----------
    stands
        Result of ``stand.layout.lay_out``.
    parcels, features
        As for ``stand.layout.lay_out``.
    rasters
        Name -> file: "elevation", "canopy_height", "land_cover", and any name that ends in "picture" or "photo".
    home
        (lon, lat) of the house.
    codes
        Table of land cover codes; None: the national scheme.
    state
        State whose strips are drawn (``land.water``).
    region
        Region whose tables are taken.

    Returns
    -------
    Seen. Raises InputError only for a wrong argument, never for a raster.
    """
    by = stands.set_index(stands["stand_id"].astype(str)).geometry
    files: list[Any] = [_named(rasters, names) for names in (ELEVATION, CANOPY, COVER)]
    heights, tops, covers = files
    used = {str(f) for f in (*files, *_views(rasters)) if f is not None}
    notes = [reason("raster without use", name=Path(f).name) for f in rasters.values() if str(f) not in used]
    rows = pd.DataFrame(index=by.index)
    under = [file if len(by) else None for file in files]
    slope = _tried(lambda: terrain.slopes(by, heights, region=region), under[0], notes)
    canopy = _tried(lambda: raster_readings.canopy(by, tops), under[1], notes)
    cover = _tried(lambda: raster_readings.cover_shares(by, covers, codes, region=region), under[2], notes)
    for frame, name, file in ((slope, "elevation", heights), (canopy, "canopy", tops), (cover, "cover", covers)):
        if frame is not None:
            notes += _partly(frame["covered_pct"], Path(str(file)).name)
            rows = rows.join(frame.rename(columns={"covered_pct": f"{name}_covered_pct"}))
    rise: Any = heights if slope is not None or not len(by) else None
    steep = _tried(lambda: terrain.steep(parcels, rise, region=region), rise, notes)
    strips = water.strips(parcels, features, rise, state, region=region)
    if len(strips):
        notes += _strip_notes(strips, state, region)
    work = water.workable(stands, features, strips, steep, region=region).set_index("stand_id")
    return Seen(
        rows.join(work).rename_axis("stand_id").reset_index(),
        strips,
        steep,
        near.distances(stands, features, home, rise, region=region),
        list(dict.fromkeys(notes)),
    )


def unreadable(
    rasters: Mapping[str, Path], outlines: "gpd.GeoDataFrame | None" = None
) -> tuple[list[tuple[Path, InputError]], list[Reason]]:
    """What cannot be read of the rasters of a place, file by file, and a note on each whose name says no use.

    rasters: name -> file; outlines: parcels or stands under which their cells are read, None where there are none yet
    (the rasters are only opened then).
    """
    errors, notes = [], []
    for name, path in rasters.items():
        if name not in (*ELEVATION, *CANOPY, *COVER) and not name.endswith(PICTURE_ENDS):
            notes.append(reason("raster without use", name=path.name))
            continue
        try:
            if outlines is None or outlines.empty:
                ground.about(path)
            else:
                ground.zonal(outlines, path, ("cells",))
        except InputError as error:
            errors.append((path, error))
    return errors, notes


def backdrop(parcels: "gpd.GeoDataFrame", rasters: Mapping[str, str | Path], over: Seen, region: Region) -> Backdrop:
    """Contours and pictures of the parcels; a raster of heights of which ``over`` could make nothing is left alone."""
    notes: list[Reason] = []
    rise: Any = _named(rasters, ELEVATION) if "slope_pct" in over.stands or not len(over.stands) else None
    contours = _tried(lambda: terrain.contours(parcels, rise, region=region), rise, notes)
    light = _tried(lambda: raster_readings.shade(parcels, rise), rise, notes) or {}
    drawn = {k: v | {"what": "shade"} for k, v in light.items()}
    most = region.figure("defaults_likeness", "picture_least_pct")
    for view in _views(rasters):
        some = _tried(lambda view=view: raster_readings.picture(parcels, view), view, notes) or {}
        drawn |= {k: v | {"what": "picture"} for k, v in some.items() if v["covered_pct"] >= most}
    return Backdrop(contours, drawn, notes)


def _views(rasters: Mapping[str, str | Path]) -> list[str | Path]:
    """The pictures among the rasters, by name."""
    return [file for name, file in sorted(rasters.items()) if name.endswith(PICTURE_ENDS)]


def land_cover_of(rasters: Mapping[str, str | Path]) -> str | Path | None:
    """The land cover raster among the named ones, None without one."""
    return _named(rasters, COVER)


def canopy_of(rasters: Mapping[str, str | Path]) -> str | Path | None:
    """The raster of tree heights among the named ones, None without one."""
    return _named(rasters, CANOPY)


def _named(rasters: Mapping[str, str | Path], names: tuple[str, ...]) -> Any:
    return next((rasters[n] for n in names if n in rasters), None)


def _tried(work: Any, file: Any, notes: list[Reason]) -> Any:
    """The result, or None with a note where the raster cannot be used; None where there is no raster."""
    if file is None:
        return None
    try:
        return work()
    except InputError as error:
        notes.append(reason("raster not read", error=str(error)))
        return None


def _partly(covered: pd.Series, name: str) -> list[Reason]:
    bare = tuple(str(s) for s in covered.index[covered.fillna(0.0) < 0.05])
    some = tuple((str(s), float(pct)) for s, pct in covered[(covered >= 0.05) & (covered < 99.5)].items())
    out = [reason("raster shows nothing", name=name, stands=bare)] if bare else []
    return [*out, reason("raster shows a part", name=name, stands=some)] if some else out


def _strip_notes(strips: pd.DataFrame, state: str | None, region: Region) -> list[Reason]:
    why = str(water.strip_rules(state, region=region)["why_state"].iloc[0])
    out = [reason("strips by state", why=why)] if why else []
    assumed = strips.loc[strips["class_from"] == "assumed", "name"]
    if len(assumed):
        out.append(reason("stream width assumed", names=tuple(dict.fromkeys(assumed))))
    if (strips["slope_from"] == "taken as level").any():
        out.append(reason("strips as level"))
    return out


def lend(
    above_: Seen,
    stands: pd.DataFrame,
    measured: Mapping[str, Mapping[str, Estimate]],
    shared: Mapping[str, Mapping[str, float]] | None = None,
    plots: int = 5,
    level: float = LEVEL,
    *,
    region: Region,
) -> Lent:
    """Numbers per acre for stands without plots, borrowed from measured ones by what a raster shows of both.

    Parameters
    ----------
    above_
        Result of ``seen``.
    stands
        Result of ``stand.layout.lay_out``.
    measured
        Attribute -> stand_id -> Estimate per acre ("cords" first: by it the next stand to cruise is chosen). Stands
        whose error is known lend, also those of one plot; a stand borrows only if it has no plot at all.
    shared
        Attribute -> name -> relative error that all numbers share (the volume table).
    plots
        Plots that a next cruise would put in one stand.
    level
        Share of times a range should hold the truth.
    region
        Whose figures are used.

    Returns
    -------
    Lent. Nothing is lent, with a note that says why, when there are too few measured stands or no raster of trees.
    """
    frame = above_.stands.merge(stands[["stand_id", "cover", "acres"]].astype({"stand_id": str}), on="stand_id")
    features = [f for f in ALIKE if f in frame and frame[f].notna().sum() >= 2]
    if not any(f.startswith("canopy") for f in features):
        return Lent({}, None, None, [reason("no tree heights")])
    names = list(measured)
    lenders = frame["stand_id"].map(lambda s: all(s in measured[a] and _lends(measured[a][s]) for a in names))
    bare = ~frame["stand_id"].isin({s for a in names for s, e in measured[a].items() if e.n > 0})
    known = frame[features].notna().all(axis=1)
    reference, targets = frame[lenders & known].copy(), frame[bare & known]
    notes = [reason("raster blind to stand", stand=s) for s in frame.loc[bare & ~known, "stand_id"]]
    if targets.empty:
        return Lent({}, None, None, notes)
    for a in names:
        reference[a] = [float(measured[a][s].value or 0.0) for s in reference["stand_id"]]
        reference[f"{a}_se"] = [float(measured[a][s].se or 0.0) for s in reference["stand_id"]]
    try:
        borrowed = likeness.impute(
            reference, targets, features, int(region.figure("defaults_likeness", "likenesses")), names, region=region
        )
    except NoAnswer as error:
        return Lent({}, None, None, [*notes, reason("nothing to borrow from", error=str(error))])
    units = {a: next((e.unit for e in measured[a].values()), "") for a in names}
    per_ac = {a: likeness.estimates(borrowed, a, units[a], None, (shared or {}).get(a), level) for a in names}
    acres = frame.set_index("stand_id")["acres"]
    following = likeness.next_to_cruise(borrowed, names[0], acres, plots, region=region)
    return Lent(per_ac, borrowed, following, notes + [_trial(row) for row in borrowed.trials.to_dict("records")])


def _lends(estimate: Estimate) -> bool:
    return estimate.value is not None and estimate.se is not None and estimate.n > 0


def _trial(row: Mapping[Any, Any]) -> Reason:
    errors = [(way, float(row[f"error_{way.replace(' ', '_')}"])) for way in likeness.WAYS]
    known = tuple((way, error) for way, error in errors if not np.isnan(error))
    return reason("likeness tried", attribute=row["attribute"], used=row["used"], n=int(row["n"]), errors=known)

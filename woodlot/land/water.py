"""Water on the land: strips along streams and lakes, wet and steep ground, and what they leave to be worked.

Widths     filter_strip_ft, strip_rules
Strips     strips, strip_acres
Ground     workable

Widths are measured along the slope from the bank. A strip is cut lightly or not at all by the practice of the state;
here its acres are off those that are worked.
"""

from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.covers import are
from woodlot.errors import InputError
from woodlot.land import terrain
from woodlot.land.parcels import acres_geodesic, local_crs, local_ft, on_map, outlined
from woodlot.region import Region
from woodlot.trade import LAKES, NARROW_STREAMS, NOT_WOODS, OPEN_WATER, WATERS, unknown

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["filter_strip_ft", "strip_acres", "strip_rules", "strips", "workable"]


def _default(name: str, region: Region) -> float:
    rows = region.table("defaults_water")
    return float(rows.loc[rows["name"] == name, "value"].iloc[0])


def filter_strip_ft(slope_pct: Any, *, region: Region) -> Any:
    """Width of the strip of undisturbed floor that water from bare soil should cross, along the slope.

    Parameters
    ----------
    slope_pct
        Slope of the ground toward the water [%]; a number, array or Series.
    region
        Whose figures are used.

    Returns
    -------
    Same form [ft].

    Notes
    -----
    50 ft up to a slope of 10 %, and 2 ft more for each percent above it: 60 ft at 15 %.

    Source: guidelines of Minnesota (defaults_water.csv).
    """
    slope = np.asarray(slope_pct, dtype=float)
    if np.any(slope < 0):
        raise InputError(f"a slope is 0 % or more, not {np.nanmin(slope):g}")
    more = np.maximum(slope - _default("filter_flat_pct", region=region), 0.0)
    return _as_given(
        _default("filter_level_ft", region=region) + _default("filter_ft_per_pct", region=region) * more, slope_pct
    )


def _as_given(result: np.ndarray, given: Any) -> Any:
    if isinstance(given, pd.Series):
        return pd.Series(result, index=given.index)
    return float(result) if np.ndim(given) == 0 else result


def strip_rules(state: str | None = None, system: str = "uneven", *, region: Region) -> pd.DataFrame:
    """Strip beside each class of water.

    Parameters
    ----------
    state
        As in water_strips.csv ("minnesota", "wisconsin", "michigan", "eastern states"); None: the region's.
    system
        "uneven" (some trees are cut here and there) or "even" (all of a patch).
    region
        Region whose tables are taken.

    Returns
    -------
    Frame by water: state, strip_ft, words, source, seen (mark of the width), and why_state (why this state, "" when it
    was named).
    """
    if system not in ("uneven", "even"):
        raise InputError(f"cutting is 'uneven' or 'even', not {system!r}")
    usual = region.table("water_state").iloc[0]
    name = str(usual["state"]) if state is None else state.strip().lower()
    rows = region.table("water_strips")
    known = rows[rows["state"] == name]
    if known.empty:
        raise InputError(f"strips of {state!r}: {unknown(name, rows['state'].unique())}")
    known = known[known["system"].isin(["any", system])].set_index("water")
    out = _by_water(known)[["state", "strip_ft", "words", "source", "seen"]]
    out["why_state"] = str(usual["words"]) if state is None else ""
    return out


def _by_water(rows: pd.DataFrame) -> pd.DataFrame:
    """Rows for each class of water; a row for any water stands for all."""
    out = rows.reindex(["any"] * len(WATERS) if "any" in rows.index else list(WATERS))
    out.index = pd.Index(WATERS, name="water")
    return out


def classes(features: "gpd.GeoDataFrame", region: Region) -> pd.DataFrame:
    """Class of each stream and lake: water, and class_from ("written", "assumed", "acres").

    A column ``water`` of the features names it; else ``trout`` (yes or no), ``width_ft`` and ``intermittent`` of a
    stream tell it; else a stream is taken to have the default width and to run all year, and a lake goes by its acres.
    """
    wet = features[features["kind"].isin(OPEN_WATER)]
    width = _numbers(wet, "width_ft")
    assumed = _default("stream_width_ft", region)
    feet = width.fillna(assumed)
    dry = _yes(wet, "intermittent") & (feet < 3)
    by_width = np.select(
        [dry, feet < 3, feet <= 10],
        list(NARROW_STREAMS),
        "stream over 10 ft",
    )
    acres = acres_geodesic(wet.geometry) if len(wet) else np.zeros(0)
    by_acres = np.where(acres >= _default("lake_large_ac", region), *LAKES)
    lake, trout = (wet["kind"] == "lake").to_numpy(), _yes(wet, "trout")
    water = np.where(trout, "trout water", np.where(lake, by_acres, by_width))
    class_from = np.where(lake, "acres", np.where(width.isna(), "assumed", "written"))
    class_from = np.where(trout, "written", class_from)
    if "water" in wet:
        named = wet["water"].astype("string").str.strip().str.lower()
        strange = sorted(set(named.dropna()) - set(WATERS))
        if strange:
            raise InputError(f"no class of water {', '.join(map(repr, strange))}; there are {', '.join(WATERS)}")
        water = np.where(named.notna(), named.fillna(""), water)
        class_from = np.where(named.notna(), "written", class_from)
    return pd.DataFrame({"water": water, "class_from": class_from}, index=wet.index)


def _numbers(frame: pd.DataFrame, column: str) -> pd.Series:
    return pd.to_numeric(frame[column], errors="coerce") if column in frame else pd.Series(np.nan, frame.index)


def _yes(frame: pd.DataFrame, column: str) -> np.ndarray:
    if column not in frame:
        return np.zeros(len(frame), dtype=bool)
    return frame[column].astype("string").str.lower().isin(["yes", "true", "1", "y", "x"]).to_numpy(dtype=bool)


def strips(
    parcels: "gpd.GeoDataFrame",
    features: "gpd.GeoDataFrame",
    elevation: str | Path | None = None,
    state: str | None = None,
    system: str = "uneven",
    *,
    region: Region,
) -> "gpd.GeoDataFrame":
    """Strips along streams and lakes on each parcel.

    Parameters
    ----------
    parcels
        Frame with parcel_id and outlines in longitude and latitude.
    features
        Frame with kind, name, geometry and, where known, water, width_ft, trout, intermittent (see ``classes``).
    elevation
        Raster of heights, for the slope beside the water; None: level ground is taken, and ``slope_from`` says so.
    state, system, region
        As for ``strip_rules``.

    Returns
    -------
    Frame with parcel_id, name, water, class_from ("written", "assumed", "acres"), state, strip_ft
    (along the slope, from the bank), wide_ft (on the map), slope_pct, slope_from ("raster" or "taken as level"),
    seen (mark of the width), leave_sqft_per_ac, leave_seen, acres, and polygons in longitude and latitude without the
    water. Lines are banks where ``width_ft`` is missing, else half that width is added.

    Notes
    -----
    The strip is the state's or the filter strip of that slope, the wider; on the map it is narrower by the cosine of
    the slope. The slope is the mean within the level strip.
    """
    import geopandas as gpd
    import shapely

    columns = ["parcel_id", "name", "water", "class_from", "state", "strip_ft", "wide_ft", "slope_pct", "slope_from"]
    columns += ["seen", "acres"]
    kinds = classes(features, region)
    rules = strip_rules(state, system, region=region)
    wet = features.drop(columns="water", errors="ignore").loc[kinds.index].join(kinds).join(rules, on="water")
    wet = wet[(wet["strip_ft"] > 0) & ~wet.geometry.is_empty & wet.geometry.notna()]
    if wet.empty or parcels.empty:
        return gpd.GeoDataFrame({c: [] for c in columns}, geometry=gpd.GeoSeries([], crs=4326), crs=4326)
    plane = local_crs(parcels)
    shapes = on_map(wet.geometry, plane)
    half = np.where(np.isin(shapely.get_type_id(shapes), (1, 5)), _numbers(wet, "width_ft").fillna(0.0) / 2.0, 0.0)
    level = np.maximum(wet["strip_ft"], filter_strip_ft(0.0, region=region))
    ground = local_ft(parcels.geometry).to_numpy()
    i, j = shapely.STRtree(ground).query(shapes.to_numpy(), predicate="dwithin", distance=(level + half).to_numpy())
    row = wet.iloc[i].reset_index(drop=True)
    near = shapes.iloc[i].reset_index(drop=True)
    bank = near.where(half[i] == 0, near.buffer(half[i]))
    first = bank.buffer(level.to_numpy()[i]).intersection(gpd.GeoSeries(ground[j], crs=plane)).difference(bank)
    slope, slope_from = _slope_beside(first, elevation, region)
    strip = np.maximum(row["strip_ft"], filter_strip_ft(slope, region=region))
    wide = strip / np.sqrt(1.0 + (slope / 100.0) ** 2)
    area = bank.buffer(wide.to_numpy()).intersection(gpd.GeoSeries(ground[j], crs=plane))
    waters = shapes[np.isin(shapely.get_type_id(shapes), (3, 6))]
    area = area.difference(bank).difference(waters.union_all() if len(waters) else shapely.Polygon())
    out = gpd.GeoDataFrame(
        {
            "parcel_id": parcels["parcel_id"].astype(str).to_numpy()[j],
            "name": row["name"].astype("string").fillna("").to_numpy() if "name" in row else "",
            "water": row["water"],
            "class_from": row["class_from"],
            "state": row["state"],
            "strip_ft": strip,
            "wide_ft": wide,
            "slope_pct": slope,
            "slope_from": slope_from,
            "seen": row["seen"],
        },
        geometry=on_map(area, 4326),
        crs=4326,
    )
    out["acres"] = acres_geodesic(out.geometry)
    return out[out["acres"] > 0][[*columns, "geometry"]].reset_index(drop=True)


def _slope_beside(areas: "gpd.GeoSeries", elevation: str | Path | None, region: Region) -> tuple[pd.Series, np.ndarray]:
    """Mean slope of each area and where it comes from; 0 where no raster knows it."""
    slope = pd.Series(np.nan, areas.index)
    if elevation is not None and len(areas):
        with suppress(InputError):  # "taken as level" says it
            slope = terrain.slopes(areas, elevation, region=region)["slope_pct"]
    return slope.fillna(0.0), np.where(slope.isna(), "taken as level", "raster")


def strip_acres(stands: "gpd.GeoDataFrame", areas: "gpd.GeoDataFrame", taken: Any = None) -> np.ndarray:
    """Acres of each stand under any of the areas, counted once; ``taken`` is ground left out beforehand."""
    import shapely

    if not len(areas):
        return np.zeros(len(stands))
    whole = shapely.union_all(areas.geometry.to_numpy())
    if taken is not None:
        whole = shapely.difference(whole, taken)
    return np.asarray(acres_geodesic(shapely.intersection(stands.geometry.to_numpy(), whole)), dtype=float)


def workable(
    stands: "gpd.GeoDataFrame",
    features: "gpd.GeoDataFrame",
    strips: "gpd.GeoDataFrame",
    steep: "gpd.GeoDataFrame | None" = None,
    *,
    region: Region,
) -> pd.DataFrame:
    """Acres of each stand that may be worked, the limits along water and on steep ground taken off once.

    Parameters
    ----------
    stands
        Result of ``stand.layout.lay_out``: stand_id, cover, acres, operable, frozen_ground_only, geometry.
    features
        Home ground and water, which is in no working acre.
    strips
        Result of ``strips``.
    steep
        Result of ``terrain.steep``, or None when no heights are known.
    region
        Region whose table of cover types says which covers are wet.

    Returns
    -------
    Frame with stand_id, strip_ac, steep_ac, both_ac (strip or steep, counted once), wet (bool: worked on frozen ground
    only), workable_ac.
    """
    taken = outlined(features, NOT_WOODS)
    strip = strip_acres(stands, strips, taken)
    cliff = np.zeros(len(stands)) if steep is None else strip_acres(stands, steep, taken)
    lists = [f[["geometry"]] for f in (strips, steep) if f is not None and len(f)]
    both = strip_acres(stands, pd.concat(lists), taken) if lists else np.zeros(len(stands))
    acres = stands["acres"].to_numpy(dtype=float)
    operable = stands["operable"].fillna(True).to_numpy(dtype=bool) if "operable" in stands else True
    out = pd.DataFrame({"stand_id": stands["stand_id"].astype(str).to_numpy()})
    out["strip_ac"], out["steep_ac"], out["both_ac"] = strip, cliff, both
    frozen = stands["frozen_ground_only"] if "frozen_ground_only" in stands else pd.Series(False, stands.index)
    out["wet"] = are(stands["cover"], "wet", region) | frozen.fillna(False).to_numpy(dtype=bool)
    out["workable_ac"] = np.where(operable, np.clip(acres - both, 0.0, None), 0.0)
    return out

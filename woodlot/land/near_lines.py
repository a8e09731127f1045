"""Lines of two outlines that run along each other and do not meet: one line traced twice, or ground between them.

Found      near_lines
Runs       runs_along

What a family wants: outlines that share a line by deed are drawn as sharing it, acres change as little as can be, and
ground that is really between them (a road, a brook) stays. So a run counts only where the two lines go the same way
over some length; a corner that touches has none. A gap that is nowhere narrower than a lane may be one, and a gap in
which a road or a water is drawn is one.
"""

from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.land.parcels import TOLERANCE_FT, local_crs, on_map
from woodlot.land.terrain import default
from woodlot.region import Region
from woodlot.trade import OPEN_WATER
from woodlot.units import SQFT_PER_AC

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["RUNS", "Runs", "near_lines", "own_parcel", "pairs_within", "runs_along", "ways_of"]

#: Lines are looked at in pieces of this length [ft].
STEP_FT = 20.0
#: A distance within which lines are to be drawn as one is named in steps of this [ft].
NAMED_FT = 5.0
#: Of a piece's length, what it must go along the other line (the cosine of some 35 degrees), and at most: round a
#: corner of the other line it goes farther.
ALONG = 0.8, 1.1
RUNS = ["what", "a", "b", "kind", "low_ft", "median_ft", "high_ft", "length_ft", "gap_ac", "doubled_ac", "within_ft"]
Runs = pd.DataFrame


def near_lines(
    parcels: "gpd.GeoDataFrame", stands: "gpd.GeoDataFrame", features: "gpd.GeoDataFrame", *, region: Region
) -> Runs:
    """Where lines of parcels, of stands, and of stands and the parcel they lie in nearly agree.

    Parameters
    ----------
    parcels, stands, features
        Frames in longitude and latitude with parcel_id; stand_id; kind.
    region
        Region whose defaults are taken.

    Returns
    -------
    One row a pair and kind: what ("parcels", "stands", "stand in parcel"), a, b (ids), kind ("line": likely one line
    traced twice; of parcels also "lane": perhaps a road or a brook between, "corner": likely one corner), low_ft,
    median_ft, high_ft (from line to line; below 0 where the outlines lie over each other, a stand over its parcel's
    line), length_ft, gap_ac (between them), doubled_ac (in both), within_ft (a round distance that holds all of it).
    """
    plane = local_crs(parcels)
    owned, grown = (on_map(frame.geometry, plane).to_numpy() for frame in (parcels, stands))
    ways = ways_of(features, plane)
    parcel_ids, stand_ids = parcels["parcel_id"].astype(str).to_numpy(), stands["stand_id"].astype(str).to_numpy()
    near = default("near_lines_ft", region)
    kinds = (
        ("parcels", owned, parcel_ids, owned, parcel_ids, pairs_within(owned, owned, near)),
        ("stands", grown, stand_ids, grown, stand_ids, pairs_within(grown, grown, near)),
        ("stand in parcel", grown, stand_ids, owned, parcel_ids, own_parcel(grown, owned)),
    )
    out = []
    for what, a, a_ids, b, b_ids, pairs in kinds:
        runs = runs_along(a, b, pairs, ways, near, region=region, inside=what == "stand in parcel")
        rows = _together(runs[runs["kind"].isin(("line", "lane"))])
        if what != "parcels":
            rows = rows[rows["kind"] == "line"]
        else:
            along = runs[runs["kind"] != "short"]
            rows = pd.concat([rows, _near_corners(a, pairs, along, ways, near, region)], ignore_index=True)
        rows = rows.assign(what=what)
        out.append(rows.assign(a=a_ids[rows["i"]], b=b_ids[rows["j"]])[RUNS])
    return pd.concat(out, ignore_index=True)


def ways_of(features: "gpd.GeoDataFrame", plane: Any) -> Any:
    """Roads and waters drawn among the features, as one shape in feet; empty without any."""
    import shapely

    some = features[features["kind"].isin(("road", *OPEN_WATER))] if len(features) else features
    return shapely.union_all(on_map(some.geometry, plane).to_numpy()) if len(some) else shapely.Polygon()


def pairs_within(a: np.ndarray, b: np.ndarray, feet: float) -> tuple[np.ndarray, np.ndarray]:
    """Positions of two outlines within so many feet of each other; each pair once where a is b."""
    import shapely

    i, j = shapely.STRtree(b).query(a, predicate="dwithin", distance=feet)
    order = np.lexsort((j, i))
    i, j = i[order], j[order]
    return (i[i < j], j[i < j]) if a is b else (i, j)


def own_parcel(stands: np.ndarray, parcels: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Each stand and the parcel that holds most of it; stands outside every parcel are left out."""
    import shapely

    i, j = pairs_within(stands, parcels, 0.0)
    held = pd.DataFrame({"i": i, "j": j, "sqft": shapely.area(shapely.intersection(stands[i], parcels[j]))})
    most = held[held["sqft"] > 0].sort_values(["i", "sqft", "j"]).drop_duplicates("i", keep="last")
    return most["i"].to_numpy(), most["j"].to_numpy()


def runs_along(
    a: np.ndarray,
    b: np.ndarray,
    pairs: tuple[np.ndarray, np.ndarray],
    ways: Any,
    near_ft: float,
    *,
    region: Region,
    inside: bool = False,
) -> pd.DataFrame:
    """Runs of the lines of ``a`` along those of ``b``.

    Shapes in feet; pairs: positions in a and b; ways: roads and waters; inside: a lies within b, so that what of b is
    left beside it is the gap. Returns i, j, kind, low_ft, median_ft, high_ft, greatest_ft, length_ft, gap_ac,
    doubled_ac, geometry (the run on the line of a). kind: "line", "lane", "agrees" (within the tolerance everywhere),
    "short", or "far": it leaves farther than ``near_ft`` somewhere, and two lines that part at a point are not one.
    """
    pieces = _pieces(a, b, pairs, 2.0 * near_ft, inside)
    new = (pieces["part"].diff() != 0) | (pieces["at_ft"] - pieces["to_ft"].shift() > near_ft)
    runs = _summed(pieces.assign(run=new.cumsum(), d=(pieces["d0"] + pieces["d1"]) / 2.0), ways)
    lane = (runs["low_ft"] >= default("lane_ft", region)) | (runs["way_share"] > 0.5)
    cases = {
        "short": runs["length_ft"] < default("near_run_ft", region),
        "far": runs["greatest_ft"] > near_ft,
        "agrees": runs["greatest_ft"] <= TOLERANCE_FT,
        "lane": lane,
    }
    return runs.assign(kind=np.select(list(cases.values()), list(cases), "line")).reset_index(drop=True)


def _pieces(a: np.ndarray, b: np.ndarray, pairs: tuple[np.ndarray, np.ndarray], reach: float, inside: bool) -> Any:
    """Short pieces of the lines of a that go along those of b within reach, with the feet between at both ends."""
    import shapely

    i, j = pairs
    lines, others = shapely.boundary(a), shapely.boundary(b)
    close = shapely.intersection(lines[i], shapely.buffer(others[j], reach, quad_segs=2))
    parts, pair = shapely.get_parts(shapely.line_merge(close), return_index=True)
    cut = shapely.segmentize(parts, STEP_FT)
    xy, part = shapely.get_coordinates(cut, return_index=True)
    of = pair[part]
    points = shapely.points(xy)
    line = shapely.shortest_line(points, others[j[of]])
    feet = shapely.length(line)
    shapely.prepare(b)
    over = shapely.contains_properly(b[j[of]], points)
    d = np.where(over != inside, -feet, feet)
    foot = shapely.get_coordinates(shapely.get_point(line, 1))
    first = np.flatnonzero(part[1:] == part[:-1])
    length = np.hypot(*(xy[first + 1] - xy[first]).T)
    gone = np.hypot(*(foot[first + 1] - foot[first]).T)
    way = np.where(part[1:] == part[:-1], np.hypot(*np.diff(xy, axis=0).T), 0.0)
    start = np.concatenate([[0.0], np.cumsum(way)])
    table = pd.DataFrame(
        {
            "i": i[of[first]],
            "j": j[of[first]],
            "part": part[first],
            "at_ft": start[first],
            "to_ft": start[first + 1],
            "feet": length,
            "d0": d[first],
            "d1": d[first + 1],
            "line": line[first],
            "geometry": shapely.linestrings(np.stack([xy[first], xy[first + 1]], axis=1)),
        }
    )
    along = (
        (length > 0)
        & (gone >= ALONG[0] * length)
        & (gone <= ALONG[1] * length)
        & (np.maximum(feet[first], feet[first + 1]) <= reach)
    )
    return table[along]


def _summed(pieces: pd.DataFrame, ways: Any) -> pd.DataFrame:
    import shapely

    pieces = pieces.sort_values(["run", "d"], kind="stable")
    by = pieces.groupby("run", sort=True)
    length = by["feet"].sum()
    half = pieces[by["feet"].cumsum().to_numpy() >= pieces["run"].map(length).to_numpy() / 2.0]
    crossed = pieces["feet"] * shapely.intersects(pieces["line"].to_numpy(), ways)
    square = pieces["d"] * pieces["feet"] / SQFT_PER_AC
    runs = pd.DataFrame(
        {
            "i": by["i"].first(),
            "j": by["j"].first(),
            "low_ft": np.minimum(by["d0"].min(), by["d1"].min()),
            "median_ft": half.groupby("run")["d"].first(),
            "high_ft": np.maximum(by["d0"].max(), by["d1"].max()),
            "length_ft": length,
            "gap_ac": square.clip(lower=0.0).groupby(pieces["run"]).sum(),
            "doubled_ac": (-square).clip(lower=0.0).groupby(pieces["run"]).sum(),
            "way_share": crossed.groupby(pieces["run"]).sum() / length,
            "geometry": by["geometry"].agg(lambda some: shapely.union_all(some.to_numpy())),
        }
    )
    return runs.assign(greatest_ft=np.maximum(runs["high_ft"].abs(), runs["low_ft"].abs()))


def _near_corners(
    shapes: np.ndarray,
    pairs: tuple[np.ndarray, np.ndarray],
    along: pd.DataFrame,
    ways: Any,
    near: float,
    region: Region,
) -> pd.DataFrame:
    """Pairs without a common run whose nearest corners are likely one: closer than a lane, and apart on the drawing."""
    import shapely

    done = pd.MultiIndex.from_frame(along[["i", "j"]])
    rows = []
    for i, j in zip(*pairs, strict=True):
        if (i, j) in done:
            continue
        a, b = (shapely.get_coordinates(shapes[k]) for k in (i, j))
        feet = np.hypot(*(a[:, None] - b).transpose(2, 0, 1))
        u, v = np.unravel_index(feet.argmin(), feet.shape)
        apart, gap = float(feet[u, v]), float(shapely.distance(shapes[i], shapes[j]))
        crossed = shapely.intersects(shapely.linestrings([a[u], b[v]]), ways)
        if TOLERANCE_FT < apart <= near and gap < default("lane_ft", region) and not crossed:
            rows.append((i, j, apart))
    out = pd.DataFrame(rows, columns=["i", "j", "low_ft"]).astype({"i": int, "j": int, "low_ft": float})
    out = out.assign(kind="corner", median_ft=out["low_ft"], high_ft=out["low_ft"])
    return out.assign(length_ft=0.0, gap_ac=0.0, doubled_ac=0.0, within_ft=_round_up(out["low_ft"]))


def _round_up(feet: Any) -> Any:
    return np.ceil(feet / NAMED_FT) * NAMED_FT


def _together(runs: pd.DataFrame) -> pd.DataFrame:
    """Runs of one pair and kind in one row; its median is that of its longest run."""
    by = runs.sort_values("length_ft", ascending=False, kind="stable").groupby(["i", "j", "kind"], sort=True)
    out = by.agg(
        low_ft=("low_ft", "min"),
        median_ft=("median_ft", "first"),
        high_ft=("high_ft", "max"),
        length_ft=("length_ft", "sum"),
        gap_ac=("gap_ac", "sum"),
        doubled_ac=("doubled_ac", "sum"),
    )
    far = np.maximum(out["high_ft"].abs(), out["low_ft"].abs())
    return out.assign(within_ft=_round_up(far)).reset_index()

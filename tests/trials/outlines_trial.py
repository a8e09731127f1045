"""Parcels traced by phone, corner by corner, each by itself: does ``mend`` draw them as the deeds say?

Run from the top folder:

    python tests/trials/outlines_trial.py --places 200 --seed 1

Each place is some of the forties of a section (1,320 ft squares, a few of them joined in one parcel), in a third of
them with a lane of 33 ft across, in a third with a road of 66 ft. Every corner of every parcel is off by a gaussian
error of 5, 10 or 15 ft each way. Lines are drawn together within the distance that ``walk`` names, until it names
none. Then the family tells the pairs that share a line or a corner by deed and lie so far apart that a lane could be
between (``--pair``). Printed are figures after either, beside those of the tracing.
"""

import argparse
from typing import Any

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely

from woodlot.land.mended import mended
from woodlot.land.near_lines import near_lines
from woodlot.land.parcels import acres_geodesic, contacts, local_crs, local_ft
from woodlot.region import shipped

FORTY_FT = 1320.0
ERRORS_FT, LANES_FT = (5.0, 10.0, 15.0), (0.0, 33.0, 66.0)
ROUNDS = 4
REGION = shipped("lake_states")
NOTHING = np.array([], dtype=object)
Pairs = set[tuple[int, int]]


def section(rng: np.random.Generator, lane_ft: float) -> np.ndarray:
    """Parcels of one section as the deeds say, in feet: forties in rows and columns, some joined, some another's."""
    owner: dict[tuple[int, int], int] = {}
    for x, y in rng.permutation([(x, y) for x in range(4) for y in range(4)])[: rng.integers(3, 12)]:
        beside = [owner[n] for n in ((x - 1, y), (x + 1, y), (x, y - 1), (x, y + 1)) if n in owner]
        joins = bool(beside) and rng.random() < 0.3
        owner[int(x), int(y)] = beside[0] if joins else max(owner.values(), default=-1) + 1
    rows = int(rng.integers(1, 4))
    ups = {y: y * FORTY_FT + (lane_ft if y >= rows else 0.0) for y in range(4)}
    forties = {(x, y): shapely.box(x * FORTY_FT, ups[y], (x + 1) * FORTY_FT, ups[y] + FORTY_FT) for x, y in owner}
    joined = [shapely.union_all([forties[at] for at, k in owner.items() if k == one]) for one in set(owner.values())]
    whole = [shapely.simplify(one, 0.01) for one in joined if one.geom_type == "Polygon" and not one.interiors]
    return np.array(whole, dtype=object) if len(whole) > 1 else section(rng, lane_ft)


def traced(truth: np.ndarray, error_ft: float, rng: np.random.Generator) -> np.ndarray:
    """Each outline traced by itself, every corner off by its own error."""
    corners = [np.asarray(one.exterior.coords)[:-1] for one in truth]
    return np.array([shapely.Polygon(xy + rng.normal(0.0, error_ft, xy.shape)) for xy in corners], dtype=object)


def frame(shapes: Any, crs: Any, key: str = "parcel_id") -> gpd.GeoDataFrame:
    """Outlines 0, 1 ... in longitude and latitude."""
    ground = gpd.GeoSeries(list(shapes), crs=crs).to_crs(4326)
    return gpd.GeoDataFrame({key: [str(k) for k in range(len(shapes))]}, geometry=ground, crs=4326)


def meetings(parcels: gpd.GeoDataFrame) -> dict[tuple[int, int], str]:
    """Which parcels meet, and how."""
    told = contacts(parcels)
    return {(int(a), int(b)): k for a, b, k in zip(told["parcel_a"], told["parcel_b"], told["kind"], strict=True)}


def overlap_ac(parcels: gpd.GeoDataFrame) -> float:
    """Acres that lie in two parcels."""
    shapes = parcels.geometry.to_numpy()
    i, j = np.triu_indices(len(shapes), 1)
    return float(np.sum(acres_geodesic(shapely.intersection(shapes[i], shapes[j]))))


def drawn_as_one(parcels: gpd.GeoDataFrame, within_ft: float, told: Pairs) -> gpd.GeoDataFrame:
    """What ``mend --within --pair`` writes."""
    flat = local_ft(parcels.geometry)
    out = mended(flat.to_numpy(), NOTHING, shapely.Polygon(), within_ft, frozenset(told), region=REGION)
    return frame(out.parcels, flat.crs)


def moved_ft(old: gpd.GeoDataFrame, new: gpd.GeoDataFrame) -> float:
    """The farthest that any outline moved."""
    a, b = (local_ft(one.geometry, centre=old).to_numpy() for one in (old, new))
    return float(np.max(shapely.hausdorff_distance(shapely.boundary(a), shapely.boundary(b))))


def off_pct(parcels: gpd.GeoDataFrame, true: gpd.GeoDataFrame) -> np.ndarray:
    """Percent by which the acres of each parcel are off."""
    return 100.0 * np.abs(acres_geodesic(parcels.geometry) / acres_geodesic(true.geometry) - 1.0)


def one_place(rng: np.random.Generator, error_ft: float, lane_ft: float) -> dict[str, Any]:
    """A place traced and mended, held against the deeds."""
    crs = local_crs((float(rng.uniform(-95.0, -70.0)), float(rng.uniform(42.0, 48.0))))
    deeds = section(rng, lane_ft)
    true, drawn = frame(deeds, crs), frame(traced(deeds, error_ft, rng), crs)
    none, empty = frame([], crs, "stand_id"), frame([], crs, "kind")
    wanted, now, within, wrong = meetings(true), drawn, 0.0, 0
    for _ in range(ROUNDS):
        rows = near_lines(now, none, empty, region=REGION)
        rows = rows[rows["kind"] != "lane"]
        pairs = list(zip(rows["a"].astype(int), rows["b"].astype(int), strict=True))
        wrong += sum(pair not in wanted for pair in pairs)
        if not pairs:
            break
        within = max(within, float(rows["within_ft"].max()))
        now = drawn_as_one(now, within, set())
    first = meetings(now)
    told = {pair for pair, kind in wanted.items() if first.get(pair) != kind}
    last = drawn_as_one(now, max(within, 6.0 * error_ft), told) if told else now
    found = meetings(last)
    before, after = off_pct(drawn, true), off_pct(last, true)
    return {
        "error_ft": error_ft,
        "lane_ft": lane_ft,
        "places": 1,
        "meetings": len(wanted),
        "right_traced": meetings(drawn) == wanted,
        "right_mended": first == wanted,
        "right_told": found == wanted,
        "pairs_right_traced": sum(meetings(drawn).get(pair) == kind for pair, kind in wanted.items()),
        "pairs_right_mended": len(wanted) - len(told),
        "pairs_right_told": sum(found.get(pair) == kind for pair, kind in wanted.items()),
        "pairs_made_up": len(first.keys() - wanted.keys()),
        "named_wrong": wrong,
        "off_rms_pct_traced": np.sqrt(np.mean(before**2)),
        "off_rms_pct": np.sqrt(np.mean(after**2)),
        "off_worst_pct_traced": before.max(),
        "off_worst_pct": after.max(),
        "overlap_ac_traced": overlap_ac(drawn),
        "overlap_ac": overlap_ac(last),
        "moved_ft": moved_ft(drawn, last),
        "within_ft": within,
        "moved_again_ft": moved_ft(now, drawn_as_one(now, within, set())) if within else 0.0,
        "not_whole": int((~last.is_valid).sum()),
    }


def run(places: int, seed: int, errors_ft: tuple[float, ...] = ERRORS_FT) -> pd.DataFrame:
    """Places of each error, by turns without a lane, with one and with a road."""
    rng = np.random.default_rng(seed)
    return pd.DataFrame([one_place(rng, error, LANES_FT[k % 3]) for error in errors_ft for k in range(places)])


def main() -> None:
    """Print the figures by error and lane: sums of counts, means of what is rms, the greatest of the others."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--places", type=int, default=200)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    rows = run(given.places, given.seed)
    how = {
        name: "mean" if "rms" in name else "max" if name.endswith(("_ft", "_ac", "_pct", "_traced")) else "sum"
        for name in rows.columns[2:]
    }
    how |= {name: "sum" for name in rows.columns if "right" in name}
    print(rows.groupby(["error_ft", "lane_ft"]).agg(how).astype(float).round(3).T.to_string())


if __name__ == "__main__":
    main()

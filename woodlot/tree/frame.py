"""Every tree of a table: volumes of its parts, what is sound of them, by which method, and the other method beside.

volumes   the tree table with the columns listed there
"""

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region
from woodlot.tree.composite import beers, stem_and_bark_cuft_beers_1964, stem_cuft_beers_1964
from woodlot.tree.inputs import column, living
from woodlot.tree.rows import LEVELS, MEAN, division_name, doubtful_below_in, row, stem_rows
from woodlot.tree.stem import heights
from woodlot.tree.westfall import checked, parts_westfall_2024
from woodlot.units import LOG_FT

__all__ = ["TABLE", "volumes"]

#: The factor of a region by which all volumes of its table are multiplied (``wood.taught``).
TABLE = "table"
#: Cubic feet that are multiplied by it.
PARTS = (
    *(f"{part}_cuft" for part in ("wood", "bark", "stump", "merch", "merch_bark", "sawlog", "topwood", "tip")),
    *(f"sound_{part}_cuft" for part in ("wood", "merch", "sawlog", "topwood")),
)


def volumes(
    trees: pd.DataFrame,
    division: str = "210",
    merch_top_in: float | None = None,
    sawlog_top_in: float | None = None,
    *,
    region: Region,
) -> pd.DataFrame:
    """Cubic feet of every tree by parts, gross and sound, with the method and its doubts.

    trees: species, dbh_in (in; NaN for a tree counted but not measured) and, where there are any, height_ft (total,
    ft), merch_ft (stump to a 4-in top, ft), logs_16ft (number), cull_pct, alive, height_from. division: ecological
    division; region: whose height curves; merch_top_in, sawlog_top_in: tops outside bark (in), else the defaults
    (4; 9 hardwoods, 7 softwoods). Returns a copy with these columns, all cubic feet of one tree, times what the
    family's woodpile taught the table (``region.times``):

    wood_cuft          wood inside bark, ground to tip = stump + sawlog + topwood + tip
    bark_cuft          its bark
    stump_cuft         below the 1-ft stump
    merch_cuft         wood inside bark, stump to the 4-in top (0 under 5 in dbh) = sawlog + topwood
    merch_bark_cuft    the bark of that
    sawlog_cuft        stump to the sawlog top; 0 under 11 in (softwoods 9), in dead trees, in trees under a third
                       sound, in kinds that nobody saws
    topwood_cuft       the rest of the merchantable stem: firewood, counted once
    tip_cuft           above it
    sound_*_cuft       wood, merch, sawlog, topwood with cull taken off (cull_pct not judged counts as none)
    cull_judged        whether cull_pct was written; if not, "sound" is gross with no defect taken off
    height_ft, height_from   filled heights: "measured", "fitted", "regional"
    merch_top_ft, sawlog_top_ft   heights of the tops above ground
    method             "westfall_2024"; "beers_1964" where only merch_ft was measured; "" for a tree not measured
    other_cuft         merchantable wood by the other of the two as published, for comparison
    level_used         which equation of wood: "species and division", "species", "group"; "mean of its species" for a
                       kind of several; "composite" for Beers
    beyond_range       diameter or height outside what the equation was made from
    doubtful           an equation of its wood is one this project found doubtful at that size, or stands in for one
    height_flag        which of the heights written cannot be together, else ""

    Where only merchantable height was measured the total height is fitted for stump and tip, never taken from merch_ft;
    the sawlog part is then the same share of the merchantable stem as by the national equations.
    """
    out = heights(trees, region)
    size = len(out)
    dbh = out["dbh_in"].to_numpy(dtype=float)
    height = out["height_ft"].to_numpy(dtype=float)
    checked(dbh, height, region=region)
    codes, known = region.species.codes(out["species"], size)
    hard = np.asarray(region.species.is_hardwood(out["species"]), dtype=bool)
    alive = living(out)
    cull = column(out, "cull_pct")
    merch_ft = column(out, "merch_ft")
    logs = column(out, "logs_16ft")
    if np.any((cull < 0) | (cull > 100)):
        raise InputError("cull_pct must be between 0 and 100")
    merch_top = np.full(
        size, region.figure("defaults_tree", "merch_top_dob_in") if merch_top_in is None else merch_top_in
    )
    saw_top = np.where(
        hard,
        region.figure("defaults_tree", "sawlog_top_dob_hardwood_in"),
        region.figure("defaults_tree", "sawlog_top_dob_softwood_in"),
    )
    saw_top = saw_top if sawlog_top_in is None else np.full(size, float(sawlog_top_in))

    w = parts_westfall_2024(
        codes, known, division, dbh, height, merch_top, np.maximum(saw_top, merch_top), region=region
    )
    stands = dbh >= region.figure("defaults_tree", "merch_dbh_in")
    least_saw = np.where(
        hard,
        region.figure("defaults_tree", "sawlog_dbh_hardwood_in"),
        region.figure("defaults_tree", "sawlog_dbh_softwood_in"),
    )
    sound_enough = ~(100.0 - cull < region.figure("defaults_tree", "sawlog_least_sound_pct"))
    sawn = np.asarray(region.species.is_sawn(out["species"]), dtype=bool)
    saws = (dbh >= least_saw) & alive & sound_enough & sawn
    nothing = np.where(np.isnan(w["wood"]), np.nan, 0.0)
    w["merch"] = np.where(stands, w["merch"], nothing)
    w["sawlog"] = np.where(saws, np.minimum(w["sawlog"], w["merch"]), nothing)
    tip = w["wood"] - w["stump"] - w["merch"]

    measured = (out["height_from"] == "measured").to_numpy()
    only_merch = np.isfinite(merch_ft) & (merch_ft > 0) & ~measured & stands & (codes >= 0)
    by_merch, by_merch_bark = _beers(dbh, merch_ft, w["merch_top_ft"], region=region)
    merch = np.where(only_merch, by_merch, w["merch"])
    part = np.divide(w["sawlog"], w["merch"], out=np.zeros(size), where=w["merch"] > 0)
    sawlog = np.where(only_merch, part * merch, w["sawlog"])
    bark_rate = np.divide(w["bark"], w["wood"], out=np.full(size, np.nan), where=w["wood"] > 0)
    merch_bark = np.where(only_merch, by_merch_bark, bark_rate * merch)

    out["wood_cuft"] = w["stump"] + merch + tip
    out["bark_cuft"] = bark_rate * (w["stump"] + tip) + merch_bark
    out["stump_cuft"], out["merch_cuft"], out["merch_bark_cuft"] = w["stump"], merch, merch_bark
    out["sawlog_cuft"], out["topwood_cuft"], out["tip_cuft"] = sawlog, merch - sawlog, tip
    sound = 1.0 - np.nan_to_num(cull, nan=0.0) / 100.0
    for name in ("wood", "merch", "sawlog", "topwood"):
        out[f"sound_{name}_cuft"] = out[f"{name}_cuft"] * sound
    out[list(PARTS)] *= region.times(TABLE)
    out["cull_judged"] = np.isfinite(cull)
    out["merch_top_ft"], out["sawlog_top_ft"] = w["merch_top_ft"], w["sawlog_top_ft"]
    worked = np.isfinite(out["wood_cuft"].to_numpy())
    out["method"] = np.where(worked, np.where(only_merch, "beers_1964", "westfall_2024"), "")
    out["other_cuft"] = np.where(only_merch, w["merch"], np.where(stands, by_merch, np.nan))
    out["level_used"] = np.where(
        worked, np.where(only_merch, "composite", _levels(codes, known, division, region=region)), ""
    )
    beers_beyond = ~hard | ~(
        (merch_ft >= beers("merch_min_ft", region=region)) & (merch_ft <= beers("merch_max_ft", region=region))
    )
    out["beyond_range"] = worked & np.where(
        only_merch, beers_beyond, _beyond(codes, known, division, dbh, region=region)
    )
    out["doubtful"] = worked & ~only_merch & _doubtful(codes, known, division, dbh, region=region)
    out["height_flag"] = _height_flags(height, merch_ft, logs, measured, region=region)
    return out


def _beers(
    dbh: np.ndarray, merch_ft: np.ndarray, top_ft: np.ndarray, *, region: Region
) -> tuple[np.ndarray, np.ndarray]:
    """Beers's merchantable wood and bark from the measured merchantable height, else from that of the equations."""
    tall = np.where(np.isfinite(merch_ft), merch_ft, top_ft - region.figure("defaults_tree", "stump_ft"))
    tall = np.where(tall > 0, np.minimum(tall, beers("height_limit_ft", region=region)), np.nan)
    fits = np.isfinite(merch_ft) | (
        (tall >= beers("merch_min_ft", region=region)) & (tall <= beers("merch_max_ft", region=region))
    )
    tall = np.where(fits, tall, np.nan)
    wood = stem_cuft_beers_1964(dbh, tall, region=region)
    return wood, stem_and_bark_cuft_beers_1964(dbh, tall, region=region) - wood


def _levels(codes: np.ndarray, known: list[str], division: str, *, region: Region) -> np.ndarray:
    levels = [
        MEAN if len(each) > 1 else row("wood_cuft", name, division, region=region).level if name else ""
        for name in known
        for each in [region.species.scaled_as(name)]
    ]
    return np.array([*levels, ""], dtype=object)[codes]


def _beyond(codes: np.ndarray, known: list[str], division: str, dbh: np.ndarray, *, region: Region) -> np.ndarray:
    """Whether a diameter is outside those the wood equation in use was made from (smallest and largest published)."""
    rows = region.table("accuracy_westfall_2024")
    rows = rows[rows["quantity"] == "wood_cuft"]
    seen = {
        (s, str(d)): (low, high)
        for s, d, low, high in zip(
            rows["species"], rows["division"], rows["dbh_min_in"], rows["dbh_max_in"], strict=True
        )
    }

    def bounds_of(name: str) -> tuple[float, float]:
        level = row("wood_cuft", name, division, region=region).level
        own = seen.get((name, division_name(division, region=region))) if level == LEVELS[0] else None
        return own or (seen.get((name, "all")) if level != "group" else None) or seen["all", "all"]

    bounds = []
    for name in known:
        each = [bounds_of(one) for one in region.species.scaled_as(name)] if name else [(np.nan, np.nan)]
        bounds.append((min(low for low, _ in each), max(high for _, high in each)))
    low, high = np.array([*bounds, (np.nan, np.nan)], dtype=float)[codes].T
    return (dbh < low) | (dbh > high)


def _doubtful(codes: np.ndarray, known: list[str], division: str, dbh: np.ndarray, *, region: Region) -> np.ndarray:
    each = [region.species.scaled_as(name) if name else () for name in known]
    below = [max((doubtful_below_in(one, division, region=region) for one in of), default=0.0) for of in each]
    stems = [[stem_rows(one, division, region=region) for one in of] for of in each]
    moved = [any(r.passed_over for s in of for r in (s.wood, s.both, s.outside, s.inside)) for of in stems]
    return (dbh < np.array([*below, 0.0])[codes]) | np.array([*moved, False])[codes]


def _height_flags(
    height: np.ndarray, merch_ft: np.ndarray, logs: np.ndarray, measured: np.ndarray, *, region: Region
) -> np.ndarray:
    """Where a log height or a merchantable height exceeds what it is part of."""
    log_ft = logs * (LOG_FT + region.figure("defaults_tree", "log_trim_ft"))
    reach = region.figure("defaults_tree", "stump_ft") + log_ft
    flag = np.full(len(height), "", dtype=object)
    flag[log_ft > merch_ft + 0.5 * LOG_FT] = "logs over merchantable"
    flag[~measured & (np.maximum(reach, np.nan_to_num(merch_ft)) >= height)] = "logs over fitted"
    flag[measured & (merch_ft >= height)] = "merchantable over total"
    flag[measured & (reach >= height)] = "logs over total"
    return flag

"""Otter Lake, the trees: woods are made up round each plot, then measured the way a family would measure them.

Heights, mixtures and losses are invented to look like the north woods. They are no reference for anything.
"""

import numpy as np
import shapely
from recipe import otter_ground as land
from recipe.frame import read_rows

__all__ = ["cores", "first_plots", "plots_and_trees", "tally", "words"]

# species -> tallest height ft, how soon it is reached (per in), a word the neighbors use
KINDS = {row["species"]: (row["tallest_ft"], row["rate_per_in"], row["word"]) for row in read_rows("kinds.csv")}
SOFTWOODS = {"balsam fir", "white spruce", "black spruce", "tamarack", "northern white-cedar", "eastern hemlock"}
SOFTWOODS |= {"eastern white pine", "red pine"}

# stand: live and dead basal area, sq ft/ac
BASAL = {
    "1": 98, "2": 132, "3": 94, "4": 148, "6": 104, "7": 90, "8": 112, "9": 96, "11": 116, "12": 97, "13": 118,
    "14": 134, "15": 104, "19": 86, "wendt": 104,
}  # fmt: skip
# stand -> species -> (share of basal area, mean dbh, spread, share standing dead). A mean of 0 asks for the shape of a
# wood of all ages: many small trees, fewer with each inch, none over the spread.
WOODS: dict = {stand: {} for stand in BASAL}
for _row in read_rows("woods.csv", ("stand",)):
    WOODS[_row["stand"]][_row["species"]] = (_row["share_of_basal"], _row["mean_in"], _row["spread_in"], _row["dead"])

# stand: plots, kind, BAF or acres, date, share measured for height, nicknames, located
CRUISE = {
    "1": (6, "prism", 10, "2025-10-11", 0.3, True, True),
    "2": (3, "fixed", 0.1, "2025-10-12", 0.25, False, True),
    "3": (4, "fixed", 0.05, "2025-10-12", 0.2, True, True),
    "4": (2, "prism", 10, "2025-02-08", 0.25, True, True),
    "6": (1, "prism", 10, "2025-10-19", 0.5, True, True),
    "7": (6, "prism", 10, "2021-11-06", 0.3, False, True),
    "8": (5, "prism", 10, "2021-11-07", 0.25, False, False),
    "9": (5, "prism", 10, "2025-02-09", 0.2, True, True),
    "10": (3, "prism", 10, "2024-05-04", 0.0, True, True),
    "11": (3, "fixed", 0.05, "2024-05-04", 0.25, True, True),
    "12": (7, "prism", 10, "2023-10-28", 0.3, False, True),
    "13": (6, "prism", 10, "2023-10-29", 0.25, False, True),
    "14": (4, "prism", 10, "2023-11-04", 0.25, False, True),
    "15": (4, "prism", 10, "2023-11-05", 0.25, False, True),
    "19": (3, "fixed", 0.05, "2026-02-21", 0.2, True, True),
}
COUNTED_ONLY = {"8p2", "8p4", "14p3"}  # plots where trees were counted by kind, not measured
# points where every tree was taped: how many more were in than the eye had counted
CHECKED = {"1p2": 1, "1p5": 0, "7p3": 0, "9p1": 0, "9p4": 1, "12p2": 0, "12p6": -1, "13p4": 0}
FACTOR_FT_PER_IN: dict[float, float] = {10: 2.75}
REACH_FT = 125.0


def _height_ft(species, dbh, rng):
    top = np.array([KINDS[s][0] for s in species])
    rate = np.array([KINDS[s][1] for s in species])
    return (4.5 + (top - 4.5) * (1 - np.exp(-rate * dbh)) ** 1.05) * np.exp(rng.normal(0, 0.06, len(dbh)))


def _diameters(count, mean, spread, rng):
    if mean == 0:  # fewer by a steady share with each inch, none over the spread
        rate = np.log(1.3) / 2
        u = rng.uniform(0, 1, count)
        return 5 - np.log(1 - u * (1 - np.exp(-rate * (spread - 5)))) / rate
    d = rng.gamma((mean / spread) ** 2, spread**2 / mean, count * 3 + 20)
    return d[d >= 5][:count]


def _wood(stand, centre, area_ac, rng):
    """Every stem within reach of one spot: species, dbh, x, y, alive."""
    basal, kinds = BASAL[stand], WOODS[stand]
    names: list[str] = []
    inches, living = [], []
    uneven = 0.05 if stand == "2" else 0.14  # pines in rows stand evenly
    thick = rng.gamma(1 / uneven**2, uneven**2)
    for name, (share, mean, spread, dead) in kinds.items():
        local = share * rng.gamma(1 / 0.4**2, 0.4**2) if share < 0.5 else share * rng.gamma(40, 1 / 40)
        typical = np.mean(0.005454154 * _diameters(4000, mean, spread, rng) ** 2)
        count = rng.poisson(basal * thick * local / typical * area_ac)
        mine = _diameters(count, mean, spread, rng)
        names += [name] * len(mine)
        inches.append(mine)
        living.append(rng.uniform(size=len(mine)) > dead)
    dbh, alive = np.concatenate(inches).round(1), np.concatenate(living)
    radius, angle = REACH_FT * np.sqrt(rng.uniform(size=len(dbh))), rng.uniform(0, 2 * np.pi, len(dbh))
    east, north = radius * np.sin(angle), radius * np.cos(angle)
    return np.array(names, object), dbh, centre[0] + east, centre[1] + north, alive, radius, angle


def _spots(stand, count, seed):
    """A grid laid with a random start that puts the wished number of plots on the stand's ground."""
    ground = land.ground(stand)
    west, south, east, north = ground.bounds
    for turn in range(4000):
        rng = np.random.default_rng([seed, turn])
        gap = np.sqrt(ground.area / count) * rng.uniform(0.9, 1.1)
        x, y = np.meshgrid(
            np.arange(west + rng.uniform(0, gap), east, gap), np.arange(south + rng.uniform(0, gap), north, gap)
        )
        inside = shapely.contains_xy(ground, x, y)
        if inside.sum() == count and shapely.distance(ground.boundary, shapely.points(x[inside], y[inside])).min() > 20:
            return np.round(np.column_stack([x[inside], y[inside]]), 1)
    raise RuntimeError(f"no grid of {count} plots fits stand {stand}")


def _merch(species, dbh, height, rng):
    """Feet to a 4-inch top, and 16-ft logs to the half, as paced off with a stick; never more log than stem."""
    soft = np.isin(species, sorted(SOFTWOODS))
    merch = height - (height - 4.5) * (4 / dbh) ** 1.2
    merch = np.clip(merch * np.where(soft, 1.0, rng.uniform(0.82, 0.97, len(dbh))), 0, height - 6).round()
    least, top = np.where(soft, 9.0, 11.0), np.where(soft, 6.5, 8.5)
    saw = (height - (height - 4.5) * np.minimum(top / dbh, 1) ** 1.2) * np.where(
        soft, 0.97, rng.uniform(0.6, 0.9, len(dbh))
    )
    logs = np.floor(np.minimum(saw, merch) / 16.3 * 2) / 2
    return merch, np.where((dbh >= least) & (logs >= 0.5), logs, np.nan)


def _cull(alive, rng):
    judged = rng.choice(
        [0, 5, 10, 15, 20, 30, 40, 60], size=len(alive), p=[0.58, 0.16, 0.1, 0.05, 0.04, 0.03, 0.02, 0.02]
    )
    return np.where(alive, judged, np.maximum(judged, rng.choice([20, 30, 40, 50], size=len(alive))))


def _text(value, digits=0):
    return None if value is None or np.isnan(value) else f"{value:.{digits}f}"


def _tally_plot(stand, name, spot, seed):
    """The rows of one plot: who is in, walked round from north, measured as that day's crew did."""
    _, kind, size, _, share, nick, _ = CRUISE[stand]
    rng = np.random.default_rng(seed)
    if stand not in WOODS:
        return []
    species, dbh, x, y, alive, away, angle = _wood(stand, spot, np.pi * REACH_FT**2 / 43_560, rng)
    limit = dbh * FACTOR_FT_PER_IN[size] if kind == "prism" else np.sqrt(size * 43_560 / np.pi)
    stand_ground = land.ground(stand)
    inside = (away <= limit) & shapely.contains_xy(stand_ground, x, y)
    # Walk on as far again behind the tree: still in the stand?
    beyond = ~shapely.contains_xy(stand_ground, 2 * x - spot[0], 2 * y - spot[1])
    pick = np.flatnonzero(inside)
    pick = pick[np.argsort(angle[pick])]
    species, dbh, alive, twice = species[pick], dbh[pick], alive[pick], beyond[pick]
    word = [KINDS[s][2] if nick and rng.uniform() < 0.7 else s for s in species]
    if name in COUNTED_ONLY:
        kinds = list(dict.fromkeys(zip(word, alive, twice, strict=True)))
        return [
            {
                "plot_id": name, "tree": i + 1, "species": k[0],
                "count": sum(1 for w in zip(word, alive, twice, strict=True) if w == k),
                "count_twice": "yes" if k[2] else None, "alive": None if k[1] else "no",
            }
            for i, k in enumerate(kinds)
        ]  # fmt: skip
    height = _height_ft(species, dbh, rng)
    merch, logs = _merch(species, dbh, height, rng)
    cull = _cull(alive, rng)
    asked = rng.uniform(size=len(dbh)) < np.where(alive, share, 0.08)
    logged = alive & (rng.uniform(size=len(dbh)) < 0.55) & ~np.isnan(logs)
    rows = []
    for i in range(len(dbh)):
        row = {"plot_id": name, "tree": i + 1, "species": word[i], "dbh_in": _text(dbh[i], 1)}
        row["height_ft"] = _text(height[i]) if asked[i] else None
        row["merch_ft"] = _text(merch[i]) if asked[i] and merch[i] >= 8 else None
        row["logs_16ft"] = _text(logs[i], 1) if logged[i] else None
        row["cull_pct"] = _text(cull[i]) if logged[i] or asked[i] or not alive[i] else None
        row |= {"count_twice": "yes" if twice[i] else None, "alive": None if alive[i] else "no"}
        rows.append(row)
    return rows


def plots_and_trees():
    """Every plot visited, and every tree tallied on them."""
    plots, trees = [], []
    for stand, (count, kind, size, date, _, _, located) in CRUISE.items():
        spots = _spots(stand, count, 900 + int(stand))
        for i, spot in enumerate(spots):
            name = f"{stand}p{i + 1}"
            steep = float(land.slope_pct(*spot))
            lon, lat = land.SHEET.lonlat(*spot)
            row: dict = {"plot_id": name, "stand_id": stand, "line": None, "date": date, "kind": kind}
            row["baf_sqft_per_ac"] = size if kind == "prism" else None
            row["radius_ft"] = {0.1: "37.24", 0.05: "26.33"}[size] if kind == "fixed" else None
            row["slope_pct"] = round(steep) if steep >= 10 else None
            tallied = _tally_plot(stand, name, spot, [4_207, int(stand), i])
            if name in CHECKED:
                row["checked_count"] = sum(tree.get("count") or 1 for tree in tallied) + CHECKED[name]
            plots.append(row | ({"lon": f"{lon:.6f}", "lat": f"{lat:.6f}"} if located else {}))
            trees += tallied
    return plots, _judged("trees", trees)


def _judged(table, rows):
    """The rows with the words that somebody wrote on a few of the trees, and the marks painted over."""
    told = {
        (row.pop("plot_id"), int(row.pop("tree"))): row
        for row in read_rows("otter_judged.csv")
        if row.pop("table") == table
    }
    return [row | _told(told.get((row.get("plot_id"), row["tree"]), {})) for row in rows]


def _told(words):
    return {
        key: f"{value:.0f}" if isinstance(value, float) else value for key, value in words.items() if value is not None
    }


def first_plots(names, spots):
    """Trees of six prism plots in the Wendt forty: kind and diameter, no more."""
    rows = []
    for i, (name, spot) in enumerate(zip(names, spots, strict=True)):
        rng = np.random.default_rng([5_113, i])
        species, dbh, _, _, _, away, angle = _wood("wendt", spot, np.pi * REACH_FT**2 / 43_560, rng)
        pick = np.flatnonzero(away <= dbh * FACTOR_FT_PER_IN[10])
        for j in pick[np.argsort(angle[pick])]:
            rows.append({"plot_id": name, "species": species[j], "dbh_in": f"{dbh[j]:.1f}"})
    return rows


# species, stand, cores, inches of diameter in ten years
CORED = [
    ("sugar maple", "1", 6, 1.75),
    ("american basswood", "1", 3, 2.0),
    ("yellow birch", "1", 2, 1.5),
    ("red pine", "2", 5, 1.15),
    ("quaking aspen", "3", 4, 1.9),
    ("sugar maple", "7", 7, 1.6),
    ("northern red oak", "12", 6, 1.3),
    ("red maple", "12", 3, 1.6),
    ("eastern white pine", "14", 3, 2.3),
    ("balsam fir", "11", 3, 1.2),
]


def words():
    """The family's own words: what they mean by names that else stand for several species."""
    return [
        {"about": "species", "written": word, "meant": species}
        for species, (_, _, word) in KINDS.items()
        if word in ("popple", "soft maple", "ash", "elm")
    ]


def cores():
    """Increment cores: diameter growth over the last ten years (five on two short ones)."""
    rng = np.random.default_rng(61)
    rows: list[dict] = []
    for species, stand, count, mean in CORED:
        for _ in range(count):
            years = 5 if len(rows) in (8, 27) else 10
            grown = max(mean * np.exp(rng.normal(0, 0.28)) * years / 10, 0.1)
            _, middle, spread, _ = WOODS[stand][species]
            dbh = rng.uniform(6.5, 18) if middle == 0 else max(rng.normal(middle, spread), 5.4)
            row = {"stand_id": stand, "tree": len(rows) + 1, "species": species, "dbh_in": f"{dbh:.1f}"}
            rows.append(row | {"years": years, "growth_in": f"{grown:.2f}"})
    return rows


# species: trees on the ground to be cleared for the barn and its turn-around, mean dbh, spread
CLEARING = {
    "sugar maple": (34, 9.0, 3.6),
    "american basswood": (14, 11.5, 3.4),
    "yellow birch": (11, 10.4, 3.2),
    "red maple": (14, 9.2, 2.6),
    "white ash": (9, 10.8, 2.6),
    "eastern hophornbeam": (7, 6.0, 0.8),
    "eastern hemlock": (6, 12.4, 4.0),
    "balsam fir": (9, 6.6, 1.4),
    "northern white-cedar": (8, 9.4, 2.2),
    "paper birch": (5, 8.6, 1.6),
    "northern red oak": (3, 12.6, 2.6),
}


def tally():
    """All trees of 4 in and up on an acre and a fifth west of the hayfield, each one measured."""
    rng = np.random.default_rng(73)
    species = np.repeat(list(CLEARING), [n for n, _, _ in CLEARING.values()])
    mean = np.array([CLEARING[s][1] for s in species])
    spread = np.array([CLEARING[s][2] for s in species])
    dbh = np.maximum(rng.gamma((mean / spread) ** 2, spread**2 / mean), 4.0 + rng.uniform(0, 0.9, len(mean))).round(1)
    order = rng.permutation(len(dbh))
    species, dbh = species[order], dbh[order]
    alive = rng.uniform(size=len(dbh)) > np.where(species == "white ash", 0.55, 0.03)
    height = _height_ft(species, dbh, rng)
    merch, logs = _merch(species, dbh, height, rng)
    cull, sweep = _cull(alive, rng), rng.choice([0, 0, 0, 0, 5, 10, 20], size=len(dbh))
    rows = []
    for i in range(len(dbh)):
        row = {"tree": i + 1, "parcel_id": "lake", "stand_id": "1", "species": species[i], "dbh_in": _text(dbh[i], 1)}
        row |= {"height_ft": _text(height[i]), "merch_ft": _text(merch[i]) if merch[i] >= 8 else None}
        row |= {
            "logs_16ft": _text(logs[i], 1) if alive[i] else None,
            "cull_pct": _text(cull[i]),
            "sweep_pct": _text(sweep[i]),
        }
        rows.append(row | {"alive": None if alive[i] else "no", "mark": "barn"})
    return _judged("tally", rows)

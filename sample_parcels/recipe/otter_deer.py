"""Otter Lake, the deer: lines of plots walked in three springs, what was bitten, what cameras and people saw.

A made-up herd of some 16 to 19 deer a square mile, clumped by cover, leaves the sign that is counted here.
"""

from datetime import date, timedelta
from functools import cache

import numpy as np
import shapely
from recipe import otter_ground as land
from recipe.frame import read_rows

__all__ = ["bag", "browse", "counts", "pellets", "seedlings", "winters"]

# line: first plot, direction from north, plots a hundred feet apart
LINES = {
    "A": ((60, 95), 84.0, 23),
    "B": ((45, 1300), 143.0, 11),
    "C": ((-1245, -1240), 11.0, 12),
    "D": ((-345, -70), 183.0, 13),
    "E": ((land.GRADE[0] + 165, land.GRADE[1] - 255), 67.5, 27),
    "F": ((land.KETTLE[0] + 70, land.KETTLE[1] + 140), 86.0, 25),
    "G": ((land.KETTLE[0] + 60, land.KETTLE[1] + 1210), 99.0, 25),
    "H": ((land.BEAVER[0] + 360, land.BEAVER[1] + 60), 2.0, 12),
}
# spring: first day in the woods, deer a square mile in the winter half before it
SPRINGS = {2024: (date(2024, 4, 20), 19.0), 2025: (date(2025, 4, 26), 16.5), 2026: (date(2026, 4, 25), 18.0)}
LEAF_OFF = (10, 28)
USE = {
    "northern hardwoods": 0.75,
    "oak": 1.05,
    "aspen and birch": 1.3,
    "pine": 0.6,
    "spruce and fir": 1.4,
    "cedar swamp": 2.2,
    "low, wet hardwoods": 0.9,
    "brush and openings": 0.8,
    "": 0.3,
}
CLUMPING = 0.6
GROUPS_A_DAY = 25


@cache
def _plots():
    """Name, line, x, y, parcel and cover of every plot on the family's woods."""
    rows = []
    for line, ((x, y), toward, count) in LINES.items():
        step = 100 * np.arange(count)
        px, py = x + step * np.sin(np.radians(toward)), y + step * np.cos(np.radians(toward))
        for i in range(count):
            point = shapely.Point(px[i], py[i])
            parcel = next((p["parcel_id"] for p in land.parcels() if p["geometry"].contains(point)), None)
            barred = any(f["geometry"].contains(point) for f in land.features() if f["kind"] in ("lake", "home_ground"))
            if parcel is None or barred:
                continue
            cover = next((s["cover"] for s in land.stands() if s["geometry"].contains(point)), "")
            rows.append(
                {
                    "plot_id": f"{line}{i + 1:02d}",
                    "line": line,
                    "x": px[i],
                    "y": py[i],
                    "parcel_id": parcel,
                    "cover": cover,
                }
            )
    return rows


def _placed(row):
    lon, lat = land.SHEET.lonlat(row["x"], row["y"])
    return {"parcel_id": row["parcel_id"], "lon": f"{lon:.6f}", "lat": f"{lat:.6f}"}


def _day(spring, line):
    return SPRINGS[spring][0] + timedelta(days=0 if line in "ABCD" else 1 if line in "EH" else 7)


def pellets():
    """Groups on plots of 4 ft, the same plots each spring."""
    plots = _plots()
    rng = np.random.default_rng(161)
    use = np.array([USE[p["cover"]] for p in plots])
    use = use / use.mean()
    kept = rng.gamma(8.0, 1 / 8.0, len(plots))  # runways and beds that stay where they are
    rows = []
    for spring, (_, herd) in SPRINGS.items():
        for i, plot in enumerate(plots):
            day = _day(spring, plot["line"])
            days = (day - date(spring - 1, *LEAF_OFF)).days
            mean = herd / 640 * (np.pi * 16 / 43_560) * days * GROUPS_A_DAY * use[i] * kept[i]
            groups = rng.poisson(rng.gamma(CLUMPING, mean / CLUMPING))
            row = {"plot_id": plot["plot_id"], "line": plot["line"], "date": day.isoformat(), "radius_ft": 4}
            rows.append(row | {"groups": int(groups), "days": days} | _placed(plot))
    return rows


def _by_cover(name, *columns):
    out: dict = {cover: {} for cover in USE}
    for row in read_rows(name):
        out[row["cover"]][row["species"]] = tuple(row[c] for c in columns)
    return out


# cover -> species -> (share of plots with any, stems on such a plot, share of stems bitten)
REACHABLE = _by_cover("otter_reachable.csv", "plots_with", "stems", "bitten")
# cover -> species -> seedlings on a 6-ft plot by height
HEIGHTS = ("under_1ft", "from_1_to_3ft", "from_3_to_5ft", "over_5ft")
SEEDED = _by_cover("otter_seeded.csv", *HEIGHTS)


def browse():
    """Stems between 6 in and 6 ft on every second plot, two springs; stems on one plot are bitten alike."""
    rng = np.random.default_rng(89)
    rows = []
    for spring, more in ((2025, 1.06), (2026, 0.97)):
        for plot in _plots()[::2]:
            for species, (share, stems, bitten) in REACHABLE[plot["cover"]].items():
                if rng.uniform() > share:
                    continue
                found = 1 + rng.negative_binomial(1.6, 1.6 / (1.6 + stems - 1))
                odds = min(bitten * more, 0.97)
                eaten = rng.binomial(found, rng.beta(4 * odds, 4 * (1 - odds))) if odds > 0 else 0
                row = {"plot_id": plot["plot_id"], "line": plot["line"], "date": _day(spring, plot["line"]).isoformat()}
                rows.append(row | {"species": species, "stems": int(found), "browsed": int(eaten)} | _placed(plot))
    return rows


def seedlings():
    """Seedlings by height on every third plot in June; plots without any say so with a row of noughts."""
    rng = np.random.default_rng(90)
    rows = []
    for plot in _plots()[1::3]:
        if not SEEDED[plot["cover"]]:
            continue
        mine = []
        for species, means in SEEDED[plot["cover"]].items():
            n = [int(rng.poisson(rng.gamma(0.7, m / 0.7))) if m else 0 for m in means]
            mine.append(
                {
                    "plot_id": plot["plot_id"],
                    "date": "2026-06-20",
                    "species": species,
                    "radius_ft": 6,
                    **dict(zip(HEIGHTS, n, strict=True)),
                }
            )
        some = [row for row in mine if sum(row[h] for h in HEIGHTS)]
        rows += some or mine[:1]
    return rows


def counts():
    """Four cameras on trails for a fortnight, two autumns; and what was seen from the stands, three seasons."""
    rng = np.random.default_rng(97)
    rows = []
    for start, known in (("2025-10-04", (3, 2, 1, 0)), ("2026-10-03", (2, 2, 0, 1))):
        for station, new in zip(("creek crossing", "sap house trail", "kettle rim", "grade"), known, strict=True):
            bucks = int(rng.poisson(14))
            row = {"date": start, "method": "camera", "station": station, "hours": 336, "bucks": bucks}
            row |= {
                "spikes": int(rng.binomial(bucks, 0.2)),
                "does": int(rng.poisson(27)),
                "fawns": int(rng.poisson(14)),
            }
            rows.append(row | {"unknown": int(rng.poisson(5)), "bucks_known": new, "baited": "no"})
    places = ("Oak ladder", "Cedar point", "Sap house", "Ash flat", "Kettle rim", "Grade box")
    for opener in (date(2024, 11, 23), date(2025, 11, 22), date(2026, 11, 21)):
        for outing in range(14 if opener.year < 2026 else 6):
            day = opener + timedelta(days=int([0, 0, 0, 1, 1, 1, 4, 5, 5, 6, 6, 7, 7, 8][outing]))
            hours = float(rng.choice([2.5, 3, 3.5, 4, 5]))
            bucks, does = int(rng.poisson(0.07 * hours)), int(rng.poisson(0.2 * hours))
            row = {
                "date": day.isoformat(),
                "method": "sighting",
                "station": str(rng.choice(places)),
                "hours": hours,
                "bucks": bucks,
            }
            row |= {"spikes": int(rng.binomial(bucks, 0.25)), "does": does, "fawns": int(rng.poisson(0.55 * does))}
            rows.append(row | {"unknown": int(rng.poisson(0.05 * hours)), "baited": "no"})
    return rows


# season: hours hunted, then each deer: sex and age, age by the teeth, dressed pounds, parcel
SEASONS: dict[int, tuple[int, list[tuple]]] = {
    2018: (118, [("buck", 2.5, 141, "kettle"), ("doe", 3.5, 108, "lake")]),
    2019: (96, [("yearling buck", 1.5, 112, "sugarbush")]),
    2020: (131, [("buck", 3.5, 158, "kettle"), ("doe fawn", 0.5, 54, "sugarbush")]),
    2021: (104, [("yearling buck", 1.5, 116, "grade"), ("doe", 2.5, 103, "kettle")]),
    2022: (88, []),
    2023: (92, [("yearling buck", 1.5, 109, "lake")]),
    2024: (110, [("buck", 2.5, 137, "kettle"), ("doe", None, 106, "sugarbush")]),
    2025: (101, [("buck fawn", 0.5, 63, "lake")]),
}


def bag():
    """Deer taken in eight seasons; a season's hours stand on its first row, or on a row of no deer."""
    rows = []
    for year, (hours, taken) in SEASONS.items():
        for i, (kind, age, pounds, parcel) in enumerate(taken or [("buck", None, None, None)]):
            row = {"year": year, "sex_age": kind, "age_yr": age, "number": 1 if taken else 0, "dressed_lb": pounds}
            rows.append(row | {"hours": hours if i == 0 else None, "parcel_id": parcel})
    return rows


def winters():
    """Twelve made-up winters in Wisconsin points, from the one that began in 2014."""
    points = (83, 39, 44, 71, 102, 58, 33, 64, 97, 21, 49, 76)
    return [{"winter": 2014 + i, "points": p, "scale": "wisconsin"} for i, p in enumerate(points)]

"""Two families south of the lakes: a ridge in Pennsylvania, a farm in New York."""

import numpy as np
from recipe import files
from recipe.family import Family, meant
from recipe.ground import Ground, cut
from recipe.tallies import Kind, tally
from shapely.geometry import Polygon, box

__all__ = ["lane_farm", "windy_ridge"]

RIDGE = {
    "sassafras": "sassafras",
    "blackgum": "blackgum",
    "hickory": "hickory",
    "shagbark": "shagbark hickory",
    "tulip-poplar": "yellow-poplar",
    "chestnut oak": "chestnut oak",
    "red oak": "northern red oak",
    "white oak": "white oak",
    "red maple": "red maple",
    "black cherry": "black cherry",
}


def windy_ridge() -> Family:
    """A GeoPackage in UTM with the boundary and the types; plots in one sheet, plot by plot."""
    rng = np.random.default_rng(104)
    ground = Ground(-79.48, 40.02)
    crs = "EPSG:32617"
    whole = Polygon([(0, 0), (1100, -240), (2300, 150), (2500, 1500), (1350, 2050), (150, 1720)])
    oak, rest = cut(whole, [(1150, -600), (1250, 2500)])
    cove, old = cut(rest, [(1900, -600), (1950, 2500)])
    types = [
        {"type": "oak hickory", "stand": "A"},
        {"type": "tulip-poplar cove", "stand": "B"},
        {"type": "old field", "stand": "C"},
    ]
    woods = {
        "A": {
            "chestnut oak": Kind(0.28, 13, 74),
            "red oak": Kind(0.18, 14.5, 80),
            "white oak": Kind(0.14, 13.5, 76),
            "hickory": Kind(0.14, 12, 78),
            "shagbark": Kind(0.04, 12, 78),
            "red maple": Kind(0.1, 10, 70),
            "blackgum": Kind(0.08, 8.5, 58),
            "sassafras": Kind(0.04, 7.5, 66),
        },
        "B": {
            "tulip-poplar": Kind(0.6, 17, 102),
            "red oak": Kind(0.15, 15, 88),
            "black cherry": Kind(0.15, 13, 84),
            "hickory": Kind(0.1, 12, 80),
        },
        "C": {"sassafras": Kind(0.5, 6.5, 66), "black cherry": Kind(0.3, 7.5, 72), "red maple": Kind(0.2, 7, 70)},
    }
    trees, stand_of, number = [], {}, 1
    for stand, kinds in woods.items():
        names = [f"P{n}" for n in range(number, number + 4)]
        number += 4
        stand_of |= dict.fromkeys(names, stand)
        trees += tally(rng, names, kinds, 8 if stand != "C" else 4)
    head = ["plot", "stand", "prism", "date", "species", "dbh", "total ht", "logs"]
    sheet = [
        [
            t.plot,
            stand_of[t.plot],
            10,
            "2026-03-28",
            t.word,
            t.dbh_in,
            t.height_ft if n % 3 == 0 else "",
            2 if t.dbh_in > 15 else "",
        ]
        for n, t in enumerate(trees)
    ]
    covers = {"oak": oak, "northern hardwoods": cove, "brush and openings": old}
    return Family(
        "windy_ridge",
        "Pennsylvania: a GeoPackage in UTM, oaks, hickory, sassafras and blackgum, plots and trees in one sheet.",
        {
            "ridge.gpkg": files.geopackage(
                {
                    "boundary": ([{"fid_": 1, "label": "Windy Ridge"}], [ground.drawn_in(whole, crs)]),
                    "types": (types, [ground.drawn_in(shape, crs) for shape in (oak, cove, old)]),
                },
                crs,
            ),
            "cruise.csv": files.csv([head, *sheet], ends="\n"),
        },
        "ridge",
        {
            "region": "base",
            "parcel_acres": [ground.acres(whole)],
            "plots": 12,
            "trees": len(trees),
            "heights": len(trees[::3]),
            "mean_dbh_in": round(float(np.mean([t.dbh_in for t in trees])), 6),
            "mean_height_ft": round(float(np.mean([t.height_ft for t in trees[::3]])), 6),
            "headline": "range",
            "species": meant((t.word for t in trees), RIDGE),
            "cover_acres": {cover: ground.acres(shape) for cover, shape in covers.items()},
        },
        r"""
woodlot bring ridge ridge/ridge.gpkg --layer boundary --as parcels --yes
woodlot bring ridge ridge/ridge.gpkg --layer types --as stands \
    --cover "tulip-poplar cove=northern hardwoods" --cover "old field=brush and openings" --yes
woodlot bring ridge ridge/cruise.csv --yes
woodlot walk ridge  # 1 parcel
woodlot cruise ridge
woodlot plan ridge
""",
    )


STICK_FT = 8.33
FARM = {"hard maple": "sugar maple", "ash": "ash", "w. ash": "white ash", "hop hornbeam": "eastern hophornbeam"}
FARM |= {"beech": "american beech", "black cherry": "black cherry", "hemlock": "eastern hemlock"}


def lane_farm() -> Family:
    """A farm with fields, a hedgerow and a house lot; every tree to clear is tallied, with sticks for feet."""
    rng = np.random.default_rng(105)
    ground = Ground(-76.93, 42.71)
    farm = Polygon([(0, 0), (1980, 0), (1980, 1760), (0, 1760)])
    house, north, south = box(60, 60, 420, 360), box(60, 1000, 1250, 1700), box(500, 60, 1250, 900)
    hedge, woods = box(60, 930, 1250, 965), box(1300, 40, 1940, 1720)
    drawn = {"House lot": house, "North field": north, "South field": south, "Hedgerow": hedge, "Woods": woods}
    kinds = {
        "hard maple": Kind(0.35, 14, 80),
        "ash": Kind(0.12, 12, 78),
        "w. ash": Kind(0.1, 12, 78),
        "hop hornbeam": Kind(0.13, 7, 46),
        "beech": Kind(0.1, 11, 72),
        "black cherry": Kind(0.12, 13, 78),
        "hemlock": Kind(0.08, 13, 70),
    }
    trees = tally(rng, [str(n) for n in range(12)], kinds, 3)
    sticks = [max(1, int((t.height_ft * 0.62) // STICK_FT)) for t in trees]
    sheet = [[n, t.word, t.dbh_in, f"{s} sticks"] for n, (t, s) in enumerate(zip(trees, sticks, strict=True), start=1)]
    marks = [(name, "", ground.degrees(shape)) for name, shape in drawn.items()]
    return Family(
        "lane_farm",
        "New York, a farm: a KMZ with fields, hedgerow and house lot, all trees of a house site in sticks.",
        {
            "Lane farm.kmz": files.zipped(
                {
                    "doc.kml": files.kml(
                        "Lane farm", {"Farm": [("Farm", "80 acres by the deed", ground.degrees(farm))], "Land": marks}
                    )
                }
            ),
            "House site trees.xlsx": files.workbook({"Sheet1": [["No.", "Kind", "DBH", "Merch"], *sheet]}),
        },
        "farm",
        {
            "region": "northeast",
            "parcel_acres": [ground.acres(farm)],
            "plots": 0,
            "trees": 0,
            "headline": "no number",
            "tally": len(trees),
            "mean_dbh_in": round(float(np.mean([t.dbh_in for t in trees])), 6),
            "deed_acres": [80.0],
            "legal": [""],
            "merch_ft": round(sum(sticks) * STICK_FT, 2),
            "species": meant((t.word for t in trees), FARM),
            "home_ground_acres": ground.acres(house),
            "cover_acres": {
                "field and grass": round(ground.acres(north) + ground.acres(south), 4),
                "cover not known": round(ground.acres(hedge) + ground.acres(woods), 4),
            },
        },
        r"""
woodlot bring farm --yes  # stops: "Merch" counts in sticks. How many feet is one?
woodlot bring farm --species "w. ash=white ash" --unit "merch_ft=8.33 ft" --yes
woodlot walk farm  # 1 parcel
woodlot fell farm --all
woodlot plan farm
""",
    )

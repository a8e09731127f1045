"""Three families of Wisconsin, Upper Michigan and Minnesota."""

import numpy as np
from recipe import files
from recipe.family import Family, meant
from recipe.ground import Ground, cut, wavering
from recipe.tallies import Kind, tally
from shapely.geometry import Point, Polygon

__all__ = ["back_forty", "nine_winters", "tamarack_bend"]

CODES = {
    "SM": "sugar maple",
    "RM": "red maple",
    "QA": "quaking aspen",
    "PB": "paper birch",
    "BF": "balsam fir",
    "BW": "american basswood",
    "YB": "yellow birch",
    "RP": "red pine",
    "WP": "eastern white pine",
}


def back_forty() -> Family:
    """Two forties in a county's parcel Shapefile, stands drawn on a web map, a prism tally in a workbook."""
    rng = np.random.default_rng(101)
    ground = Ground(-90.312, 45.702)
    west = Polygon([(0, 0), (1322, 9), (1315, 1331), (-6, 1324)])
    east = Polygon([(1322, 9), (2647, 14), (2640, 1340), (1315, 1331)])
    popple, sugar = cut(west, [(-200, 760), (1500, 700)])[::-1]
    if popple.centroid.y < sugar.centroid.y:
        popple, sugar = sugar, popple
    pine, swamp = cut(east, [(1900, -100), (1980, 1500)])
    drawn = {"Back forty - popple": popple, "Maple ridge - hard maple": sugar}
    drawn |= {"Plantation - red pine 1968": pine, "The wet - swamp hardwoods": swamp}
    hand = {name: wavering(rng, list(shape.exterior.coords)[:-1], 240, 5) for name, shape in drawn.items()}
    woods = {
        "Back forty": {
            "QA": Kind(0.62, 9.5, 74),
            "PB": Kind(0.14, 8.5, 68),
            "BF": Kind(0.14, 7, 62),
            "RM": Kind(0.1, 8, 68),
        },
        "Maple ridge": {
            "SM": Kind(0.6, 12.5, 80),
            "BW": Kind(0.16, 13, 82),
            "YB": Kind(0.12, 12, 76),
            "RM": Kind(0.12, 11, 76),
        },
        "Plantation": {"RP": Kind(0.86, 11.5, 82), "WP": Kind(0.14, 13, 84)},
    }
    plots, trees, number = [["", "", "", ""]], [], 1
    for stand, kinds in woods.items():
        names = [str(n) for n in range(number, number + 5)]
        number += 5
        plots += [[int(n), stand, 10, f"10/{9 + int(n)}/2026"] for n in names]
        trees += tally(rng, names, kinds, 9, empty=names[-1:] if stand == "Back forty" else ())
    measured = [n % 4 == 0 for n in range(len(trees))]
    book = files.workbook(
        {
            "Plots": [["Cruise of October 2026, 10-factor prism"], [], ["Plot #", "Stand", "BAF", "Date"], *plots[1:]],
            "Tally": [
                ["Trees that were in. Height of every fourth tree, in feet"],
                ["Plot #", "Spp", "DBH (in)", "Ht"],
                *(
                    [int(t.plot), t.word, t.dbh_in, t.height_ft if tall else None]
                    for t, tall in zip(trees, measured, strict=True)
                ),
            ],
        }
    )
    deeds = [
        {"PIN": "012-1140-04", "OWNER": "VENNERHOLT WOODS TRUST", "ACRES": 40.0, "LEGAL": "NW 1/4 OF NE 1/4 SEC 11"},
        {"PIN": "012-1141-00", "OWNER": "VENNERHOLT WOODS TRUST", "ACRES": 40.0, "LEGAL": "NE 1/4 OF NE 1/4 SEC 11"},
    ]
    crs = "EPSG:2287"
    parcels = files.shapefile_zip(
        "export_44/Tax_Parcel", deeds, [ground.drawn_in(s, crs) for s in (west, east)], crs, True
    )
    marks = [(name, "", ground.degrees(shape)) for name, shape in hand.items()]
    covers = dict(
        zip(("aspen and birch", "northern hardwoods", "pine", "low, wet hardwoods"), hand.values(), strict=True)
    )
    return Family(
        "back_forty",
        "Wisconsin: a county's Shapefile in state-plane feet, a web map's KML, a prism tally in a workbook.",
        {
            "Tax_Parcel.zip": parcels,
            "stands from web map.kml": files.kml("Our woods", {"Stands": marks}),
            "Cruise Oct 2026.xlsx": book,
        },
        "downloads",
        {
            "region": "lake_states",
            "parcel_acres": sorted(ground.acres(shape) for shape in (west, east)),
            "deed_acres": [40.0, 40.0],
            "legal": [deed["LEGAL"] for deed in deeds],
            "plots": 15,
            "empty_plots": 1,
            "trees": len(trees),
            "heights": sum(measured),
            "mean_dbh_in": round(float(np.mean([t.dbh_in for t in trees])), 6),
            "mean_height_ft": round(
                float(np.mean([t.height_ft for t, tall in zip(trees, measured, strict=True) if tall])), 6
            ),
            "headline": "range",
            "species": meant((t.word for t in trees), CODES),
            "cover_acres": {cover: ground.acres(shape) for cover, shape in covers.items()},
        },
        r"""
woodlot bring woods downloads/Tax_Parcel.zip "downloads/stands from web map.kml" --yes
woodlot bring woods "downloads/Cruise Oct 2026.xlsx" --sheet Plots --as plots --yes
woodlot bring woods "downloads/Cruise Oct 2026.xlsx" --sheet Tally --as trees \
    --species "SM=sugar maple" --species "BW=american basswood" --yes
woodlot walk woods  # 2 parcels
woodlot cruise woods
woodlot plan woods
""",
    )


def nine_winters() -> Family:
    """Heirs: one outline drawn on a web map, and nine years of firewood and deer in a sheet of notes."""
    rng = np.random.default_rng(102)
    ground = Ground(-88.541, 46.402)
    eighty = Polygon([(0, 0), (2652, -18), (2660, 1310), (10, 1322)])
    rows, cords, deer = [["Date", "What", "How much"]], 0.0, 0
    for year in range(2017, 2026):
        full = float(rng.integers(8, 17)) / 2
        what = ["dead maple behind camp", "tops along the road", "popple, green", "blown down birch"][year % 4]
        rows.append([f"9/{rng.integers(1, 29)}/{year}", f"firewood, {what}", f"{full:g} cords"])
        cords += full
        if year % 2:
            rows.append([f"11/{rng.integers(15, 30)}/{year}", ["buck", "doe"][year % 4 // 2], "1"])
            deer += 1
        rows.append(
            [
                f"{rng.integers(1, 4)}/{rng.integers(1, 29)}/{year + 1}",
                "deer seen in the yard",
                f"{rng.integers(2, 12)}",
            ]
        )
    rows.append(["10/4/2025", "firewood for the neighbor", "3 face cords"])
    return Family(
        "nine_winters",
        "Upper Michigan, heirs: one outline from a web map, nine years of firewood and deer in a sheet of notes.",
        {
            "Grandpas eighty.kml": files.kml(
                "Untitled map",
                {
                    "Untitled layer": [
                        ("Grandpa's eighty", "N 1/2 of SE 1/4 Sec 14, 80 acres m/l", ground.degrees(eighty))
                    ]
                },
            ),
            "wood and deer.csv": files.csv(rows),
        },
        "camp",
        {
            "region": "lake_states",
            "parcel_acres": [ground.acres(eighty)],
            "deed_acres": [80.0],
            "legal": ["N 1/2 of SE 1/4 Sec 14"],
            "plots": 0,
            "trees": 0,
            "headline": "no number",
            "notes": len(rows) - 1,
            "firewood_cords": cords,
            "deer_taken": deer,
        },
        r"""
woodlot bring camp --yes
woodlot walk camp  # woodlot note camp --from "camp/wood and deer.csv"
woodlot note camp --from "camp/wood and deer.csv"  # 3 face cords
woodlot walk camp  # 1 parcel
woodlot book camp
woodlot sheet camp
woodlot plan camp
""",
    )


def tamarack_bend() -> Family:
    """Outlines from a phone's app, pellet lines and browse; no tree was measured."""
    rng = np.random.default_rng(103)
    ground = Ground(-93.47, 47.83)
    whole = wavering(rng, [(0, 0), (2630, 25), (2615, 2650), (-15, 2640)], 420, 6)
    aspen, rest = cut(whole, [(900, -300), (1100, 3000)])
    spruce, tamarack = cut(rest, [(800, 1300), (3000, 1450)])
    if spruce.centroid.y < tamarack.centroid.y:
        spruce, tamarack = tamarack, spruce
    drawn = {"aspen": aspen, "spruce": spruce, "tamarack swamp": tamarack}
    covers = {"aspen and birch": aspen, "spruce and fir": spruce, "spruce and tamarack swamp": tamarack}
    when = {"timestamp": "2026-05-02T14:20:00Z", "color": "#22aa44", "folder": ""}
    pellets, browse = [["Line", "Plot", "Pellet groups", "Radius ft", "Days since leaf fall", "Date"]], []
    groups = 0
    for line in "ABCDEF":
        for plot in range(1, 19):
            found = int(rng.poisson(0.35))
            groups += found
            pellets.append([line, f"{line}{plot}", found, 4, 183, "4/23/2026"])
            for kind, stems in (("quaking aspen", 6), ("red osier dogwood", 4), ("balsam fir", 3)):
                if plot % 3 == 0 and (count := int(rng.poisson(stems))):
                    browse.append([line, f"{line}{plot}", kind, count, int(rng.binomial(count, 0.4)), "4/23/2026"])
    return Family(
        "tamarack_bend",
        "Minnesota: outlines from a phone's app, pellet lines and browse, no tree measured.",
        {
            "land.geojson": files.geojson(
                [
                    ({"title": "Tamarack Bend", "notes": "quarter section", **when}, ground.degrees(whole)),
                    ({"title": "camp", "notes": "", **when}, ground.degrees(Point(420, 380))),
                ]
            ),
            "covers.geojson": files.geojson(
                [({"title": name, "notes": "", **when}, ground.degrees(s)) for name, s in drawn.items()]
            ),
            "pellet lines spring 2026.csv": files.csv(pellets),
            "browse spring 2026.csv": files.csv([["Line", "Plot", "Species", "Stems", "Browsed", "Date"], *browse]),
        },
        "bend",
        {
            "region": "lake_states",
            "parcel_acres": [ground.acres(whole)],
            "plots": 0,
            "trees": 0,
            "headline": "no number",
            "pellet_plots": len(pellets) - 1,
            "pellet_groups": groups,
            "stems": sum(row[3] for row in browse),
            "browsed": sum(row[4] for row in browse),
            "cover_acres": {cover: ground.acres(shape) for cover, shape in covers.items()},
        },
        r"""
woodlot bring bend bend/land.geojson --as parcels --yes
woodlot bring bend bend/covers.geojson --as stands --yes
woodlot bring bend --yes
woodlot walk bend  # 1 parcel
woodlot herd bend
woodlot hunt bend
woodlot plan bend
""",
    )

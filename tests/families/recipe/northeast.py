"""Three families of Vermont, Maine and New Hampshire."""

import numpy as np
from recipe import files
from recipe.family import Family, meant
from recipe.ground import Ground, wavering
from recipe.tallies import Kind, tally
from shapely.geometry import Polygon

__all__ = ["attic_outline", "line_lake", "two_lots"]

CM_PER_IN, M_PER_FT = 2.54, 0.3048
SUGARBUSH = {"rock maple": "sugar maple", "hard maple": "sugar maple", "yellow birch": "yellow birch"}
SUGARBUSH |= {"beech": "american beech", "white ash": "white ash", "hop-hornbeam": "eastern hophornbeam"}


def two_lots() -> Family:
    """A sugarbush of two lots, each walked round with a phone; a tally in centimeters and meters."""
    rng = np.random.default_rng(106)
    ground = Ground(-72.61, 44.47)
    home = [(0, 0), (1250, 30), (1270, 1500), (20, 1480)]
    upper = [(1258, 36), (2400, 60), (2380, 1530), (1279, 1509)]  # 10 and 13 ft off the corners of the home lot
    walks = {"Home lot": wavering(rng, home, 75, 1.5), "Upper lot": wavering(rng, upper, 75, 1.5)}
    kinds = {
        "rock maple": Kind(0.4, 13, 80),
        "hard maple": Kind(0.25, 12, 80),
        "yellow birch": Kind(0.12, 11, 72),
        "beech": Kind(0.08, 9, 68),
        "white ash": Kind(0.1, 13, 84),
        "hop-hornbeam": Kind(0.05, 6.5, 44),
    }
    names = {"Home lot": ["H1", "H2", "H3", "H4"], "Upper lot": ["U1", "U2", "U3"]}
    trees = [(lot, tree) for lot, plots in names.items() for tree in tally(rng, plots, kinds, 9)]
    sheet = [
        [
            t.plot,
            lot,
            11.28,
            t.word,
            round(t.dbh_in * CM_PER_IN, 1),
            round(t.height_ft * M_PER_FT, 1) if n % 4 == 0 else "",
        ]
        for n, (lot, t) in enumerate(trees)
    ]
    return Family(
        "two_lots",
        "Vermont: two lots of a sugarbush walked with a phone, corners feet apart, a tally in centimeters and meters.",
        {
            "home lot.gpx": files.gpx("Home lot", ground.degrees(walks["Home lot"])),
            "upper lot.gpx": files.gpx("Upper lot", ground.degrees(walks["Upper lot"]), closed=False),
            "sugarbush tally.csv": files.csv(
                [["Plot", "Lot", "Radius (m)", "Species", "Diameter (cm)", "Height (m)"], *sheet]
            ),
        },
        "sugarbush",
        {
            "region": "northeast",
            "parcel_acres": sorted(ground.acres(shape) for shape in walks.values()),
            "plots": 7,
            "trees": len(trees),
            "heights": len(trees[::4]),
            "mean_dbh_in": round(float(np.mean([row[4] for row in sheet])) / CM_PER_IN, 6),
            "mean_height_ft": round(float(np.mean([row[5] for row in sheet if row[5]])) / M_PER_FT, 6),
            "radius_ft": round(11.28 / M_PER_FT, 6),
            "headline": "range",
            "species": meant((t.word for _, t in trees), SUGARBUSH),
        },
        r"""
woodlot bring sugarbush --heading Lot=stand_id --yes
woodlot walk sugarbush  # 2 parcels
woodlot mend sugarbush --within 20
woodlot walk sugarbush  # share
woodlot cruise sugarbush
woodlot plan sugarbush
""",
    )


BORDER = {"sapin baumier": "balsam fir", "épinette rouge": "red spruce", "bouleau jaune": "yellow birch"}
BORDER |= {"érable rouge": "red maple", "red spruce": "red spruce", "balsam fir": "balsam fir"}


def line_lake() -> Family:
    """On the border of Maine: metric throughout, semicolons and decimal commas, a Shapefile that names no system."""
    rng = np.random.default_rng(107)
    ground = Ground(-70.36, 45.71)
    crs = "EPSG:3857"
    lot = Polygon([(0, 0), (2100, -60), (2350, 1400), (1200, 1900), (-80, 1500)])
    kinds = {
        "sapin baumier": Kind(0.3, 8, 58),
        "balsam fir": Kind(0.1, 8, 58),
        "épinette rouge": Kind(0.2, 9.5, 64),
        "red spruce": Kind(0.14, 9.5, 64),
        "bouleau jaune": Kind(0.13, 11, 66),
        "érable rouge": Kind(0.13, 10, 64),
    }
    trees = tally(rng, [str(n) for n in range(1, 7)], kinds, 10)
    plots = [[str(n), "lot 14", 2.0, f"2026-06-{10 + n}", "près du lac" if n == 2 else ""] for n in range(1, 7)]
    sheet = [
        [t.plot, t.word, round(t.dbh_in * CM_PER_IN, 1), round(t.height_ft * M_PER_FT, 1) if n % 4 == 0 else None]
        for n, t in enumerate(trees)
    ]
    french = {"sep": ";", "encoding": "cp1252", "comma": True}
    return Family(
        "line_lake",
        "Maine, at the border: metric, semicolons and decimal commas, French words, a Shapefile without .prj.",
        {
            "lot14.zip": files.shapefile_zip(
                "lot14", [{"NOM": "lot 14", "HA": 36.3}], [ground.drawn_in(lot, crs)], crs, False
            ),
            "placettes.csv": files.csv([["Placette", "Lot", "Facteur m2/ha", "Date", "Note"], *plots], **french),
            "arbres.csv": files.csv([["Placette", "Essence", "DHP cm", "Hauteur m"], *sheet], **french),
        },
        "lac",
        {
            "region": "northeast",
            "parcel_acres": [ground.acres(lot)],
            "deed_acres": [round(36.3 / 0.40468564224, 6)],
            "legal": [""],
            "plots": 6,
            "trees": len(trees),
            "heights": len(trees[::4]),
            "mean_dbh_in": round(float(np.mean([row[2] for row in sheet])) / CM_PER_IN, 6),
            "mean_height_ft": round(float(np.mean([row[3] for row in sheet if row[3]])) / M_PER_FT, 6),
            "baf_sqft_per_ac": round(2.0 / M_PER_FT**2 * 0.40468564224, 6),
            "headline": "range",
            "species": meant((t.word for t in trees), BORDER),
        },
        r"""
woodlot bring lac lac/lot14.zip --as parcels --yes  # stops: --crs
woodlot bring lac lac/lot14.zip --as parcels --crs EPSG:3857 --heading NOM=parcel_id --heading HA=deed_ha --yes
woodlot bring lac lac/placettes.csv --as plots --heading Placette=plot_id --heading Lot=stand_id \
    --heading "Facteur m2/ha=baf_m2_per_ha" --yes
woodlot bring lac lac/arbres.csv --as trees --heading Placette=plot_id --heading Essence=species \
    --heading "DHP cm=dbh_cm" --heading "Hauteur m=height_m" --species "sapin baumier=balsam fir" \
    --species "épinette rouge=red spruce" --species "bouleau jaune=yellow birch" --species "érable rouge=red maple" \
    --yes
woodlot walk lac  # 1 parcel
woodlot cruise lac
woodlot plan lac
""",
    )


def attic_outline() -> Family:
    """An outline drawn once, one note of firewood, a photo and the deed as a PDF."""
    rng = np.random.default_rng(108)
    ground = Ground(-71.31, 44.12)
    lot = wavering(rng, [(0, 0), (900, -120), (1480, 500), (1300, 1420), (200, 1180)], 300, 4)
    note = "Oct 12 2024: about two cords of firewood, the birch that blew down by the wall.\n"
    return Family(
        "attic_outline",
        "New Hampshire: an outline drawn once, one note of firewood, a photo and a PDF.",
        {
            "Untitled polygon.kml": files.kml("Untitled", {"": [("Untitled polygon", "", ground.degrees(lot))]}),
            "wood.txt": note.encode(),
            "IMG_0417.JPG": files.photo(108),
            "deed 1962.pdf": files.pdf("Deed of 1962, a lot of forty acres more or less"),
        },
        "attic",
        {
            "region": "northeast",
            "parcel_acres": [ground.acres(lot)],
            "plots": 0,
            "trees": 0,
            "headline": "no number",
            "notes": 1,
            "firewood_cords": 2.0,
        },
        r"""
woodlot bring attic --yes
woodlot walk attic  # IMG_0417.JPG: a picture, left alone.
woodlot note attic --kind firewood --amount 2 --date 2024-10-12 --text "birch that blew down by the wall"
woodlot sheet attic
woodlot plan attic
""",
    )

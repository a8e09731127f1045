"""Otter Lake, the ground: six made-up parcels, their stands, water, roads the lie of the land, in feet on one sheet.

x runs east and y north from the corner where Lake place and Sugarbush touch. Nothing here is a real place.
"""

from functools import cache

import numpy as np
import shapely
from recipe.frame import Sheet, field, pieces, wavy
from shapely.geometry import LineString, MultiPolygon, Point, Polygon
from shapely.geometry.polygon import orient

__all__ = ["HOME", "SHEET", "elevation_ft", "features", "ground", "parcels", "slope_pct", "stands"]

SHEET = Sheet(-90.412, 46.173)
HOME = (1062.0, 770.0)
KETTLE = (13_480.0, 9_760.0)
BEAVER = (24_030.0, -27_450.0)
GRADE = (-9_050.0, -3_150.0)

SHORE = wavy(
    [
        (1571, 1046),
        (1420, 1110),
        (1260, 1040),
        (1080, 1095),
        (900, 1190),
        (690, 1160),
        (470, 1330),
        (240, 1310),
        (-9, 1492),
    ],
    seed=11,
    swing_ft=34,
    every_ft=38,
)
HOUSE_GROUND = Polygon(
    [(800, 610), (1245, 588), (1345, 700), (1322, 905), (1205, 968), (945, 1010), (838, 930), (772, 760)]
)
CABIN_LOT = Polygon([(1498, 421), (1806, 428), (1801, 738), (1494, 731)])
PIT = shapely.transform(Point(0, 0).buffer(1.0, 10), lambda xy: np.round(xy * [275, 215] + [1120, 765], 1))
POND = shapely.transform(Point(0, 0).buffer(1.0, 8), lambda xy: np.round(xy * [128, 96] + [1105, 748], 1))

OLD_PINES = Polygon(
    [(2140, 690), (2210, 662), (2310, 655), (2395, 690), (2410, 760), (2350, 835), (2240, 850), (2150, 790)]
)


def _at(shape, origin):
    return shapely.transform(shape, lambda xy: xy + np.asarray(origin))


@cache
def _outlines() -> dict:
    lake = Polygon([(0, 0), (1562, 11), *SHORE.coords])
    school = Polygon([(1562, 11), (2352, 16), (2358, 690), (1948, 921), (1570, 918)])
    bush = Polygon([(0, 0), (8, -1322), (-1300, -1331), (-1317, -420), (-880, -8)])
    curve = wavy([(2690, 1010), (2050, 820), (1350, 560), (640, 250), (40, -60)], seed=5, swing_ft=9, every_ft=120)
    grade = _at(Polygon([(210, -420), (2830, 640), *curve.coords]), GRADE)
    kettle = Polygon(
        [(0, 0), (2641, 20), (2652, 1010), (2010, 1003), (2004, 1325), (-12, 1308)],
        holes=[list(CABIN_LOT.exterior.coords)],
    )
    beaver = MultiPolygon(
        [
            Polygon([(0, 0), (690, 6), (668, 640), (640, 1290), (-14, 1300)]),
            Polygon([(756, 7), (1320, 12), (1316, 880), (728, 870), (734, 640)]),
        ]
    )
    return {
        "lake": lake,
        "school": school,
        "sugarbush": bush,
        "grade": grade,
        "kettle": _at(kettle, KETTLE),
        "beaver": _at(beaver, BEAVER),
    }


PARCEL_WORDS = {
    "lake": ("Lake place", "Gov't Lot 3, sec 22", 44.5),
    "school": ("Schoolhouse piece", "W part of Gov't Lot 2, sec 22", 15.5),
    "sugarbush": ("Sugarbush", "NE1/4 of NW1/4, sec 27, less road", 38.3),
    "grade": ("Grade strip", "S of the old grade, NW1/4, sec 29", 29.0),
    "kettle": ("Kettle seventy", "N1/2 of SE1/4, sec 8, less 2 exceptions", 74.0),
    "beaver": ("Beaver pieces", "NE1/4 of SW1/4, sec 15, less road", 31.0),
}


@cache
def parcels() -> list[dict]:
    """Parcels with names, deed words and deed acres."""
    return [
        {"parcel_id": key, "name": name, "legal": legal, "deed_acres": acres, "geometry": _outlines()[key]}
        for key, (name, legal, acres) in PARCEL_WORDS.items()
    ]


def _named(faces, spots: dict) -> dict:
    """Each stand is the faces that hold one of its spots; every face must be spoken for."""
    out = {}
    for stand, points in spots.items():
        mine = [f for f in faces if any(f.contains(Point(p)) for p in points)]
        assert len(mine) == len(points), (stand, len(mine))
        out[stand] = mine[0] if len(mine) == 1 else MultiPolygon(mine)
    assert sum(len(p) for p in spots.values()) == len(faces), (len(faces), spots)
    return out


@cache
def _stand_shapes() -> dict:
    land = _outlines()
    lake = pieces(
        land["lake"],
        [
            wavy([(-30, 905), (330, 1010), (560, 1090), (640, 1330)], 21),
            wavy([(1018, -25), (985, 330), (1220, 430), (1600, 452)], 22),
            wavy([(-30, 640), (330, 560), (590, 330), (655, -25)], 23, 40),
            HOUSE_GROUND.boundary,
        ],
    )
    shapes = _named(
        lake, {"1": [(760, 400)], "2": [(1300, 200)], "3": [(200, 300)], "4": [(150, 1150)], "": [(1000, 800)]}
    )
    del shapes[""]
    shapes |= _named(
        pieces(land["school"], [wavy([(2010, -20), (1940, 420), (1870, 950)], 24)]),
        {"6": [(1700, 500)], "5": [(2150, 300)]},
    )
    bush = [
        wavy([(-640, 30), (-560, -430), (-690, -900), (-520, -1360)], 25, 36),
        wavy([(-260, 30), (-170, -420), (-310, -880), (-130, -1360)], 26, 36),
    ]
    shapes |= _named(pieces(land["sugarbush"], bush), {"7": [(-1000, -800)], "9": [(-400, -600)], "8": [(-60, -700)]})
    cut = _at(wavy([(1180, 560), (1240, 200), (1330, -40)], 27, 22), GRADE)
    shapes |= _named(
        pieces(land["grade"], [cut]),
        {"10": [(GRADE[0] + 700, GRADE[1] + 50)], "11": [(GRADE[0] + 1900, GRADE[1] + 500)]},
    )
    between = wavy([(-40, 590), (420, 690), (870, 760)], 28)
    aspen_pine = wavy([(1785, 600), (2200, 560), (2690, 500)], 31)
    lines = [
        between,
        wavy([(1130, 570), (1230, 300), (1185, -40)], 29),
        wavy([(1150, 960), (1100, 1150), (1215, 1360)], 30),
        wavy([(1370, 740), (1440, 640), (1510, 600)], 32, 8),
        aspen_pine,
        PIT.boundary,
    ]
    spots = {"12": [(500, 250)], "13": [(500, 1000)], "14": [(1600, 950)], "15": [(1900, 200)], "16": [(1120, 765)]}
    kettle = _named(pieces(_at(land["kettle"], (-KETTLE[0], -KETTLE[1])), lines), spots)
    # Two slips of the pen, as in any family's map: ground that nobody claimed, and ground claimed twice.
    strip = shapely.ops.substring(between, 0.35, 0.85, normalized=True).buffer(17, cap_style="flat")
    kettle["12"] = shapely.set_precision(kettle["12"].difference(strip), 0.1)
    strip = shapely.ops.substring(aspen_pine, 0.3, 0.75, normalized=True).buffer(19, cap_style="flat")
    kettle["14"] = shapely.set_precision(kettle["14"].union(strip.intersection(kettle["15"])), 0.1)
    shapes |= {key: _at(shape, KETTLE) for key, shape in kettle.items()}
    lines = [wavy([(-30, 720), (330, 650), (700, 640)], 33, 40), wavy([(735, 330), (930, 240), (1090, -20)], 34)]
    faces = [f for part in _at(land["beaver"], (-BEAVER[0], -BEAVER[1])).geoms for f in pieces(part, lines)]
    beaver = _named(faces, {"17": [(300, 300), (850, 100)], "18": [(300, 1000)], "19": [(1100, 500)]})
    shapes |= {key: _at(shape, BEAVER) for key, shape in beaver.items()}
    return shapes


# stand: parcel, cover, age, species of the site, site index, operable, frozen ground only
STAND_WORDS = {
    "1": ("lake", "northern hardwoods", None, "sugar maple", 60, True, False),
    "2": ("lake", "pine", 59, "red pine", 62, True, False),
    "3": ("lake", "aspen and birch", 34, "quaking aspen", 70, True, False),
    "4": ("lake", "cedar swamp", 110, None, None, True, True),
    "5": ("school", "brush and openings", None, None, None, True, False),
    "6": ("school", "oak", 88, "northern red oak", 61, True, False),
    "7": ("sugarbush", "northern hardwoods", None, "sugar maple", 64, True, False),
    "8": ("sugarbush", "northern hardwoods", 62, "sugar maple", 58, True, False),
    "9": ("sugarbush", "low, wet hardwoods", 85, None, None, True, True),
    "10": ("grade", "aspen and birch", 8, "quaking aspen", 74, True, False),
    "11": ("grade", "spruce and fir", 57, "balsam fir", 52, True, True),
    "12": ("kettle", "oak", 94, "northern red oak", 58, True, False),
    "13": (None, "northern hardwoods", None, "sugar maple", 57, True, False),
    "14": ("kettle", "pine", 97, "eastern white pine", 60, True, False),
    "15": (None, "aspen and birch", 64, "bigtooth aspen", 68, True, False),
    "16": ("kettle", "brush and openings", None, None, None, False, False),
    "17": ("beaver", "low, wet hardwoods", None, None, None, True, True),
    "18": ("beaver", "cedar swamp", None, None, None, True, True),
    "19": ("beaver", "spruce and fir", 66, "balsam fir", 47, True, True),
}
WISHES = {"4": "never cut", "7": "sugarbush"}


@cache
def stands() -> list[dict]:
    """Stands with what the family wrote down of each; two were drawn without saying the parcel."""
    rows = []
    for key, (parcel, cover, age, kind, index, operable, frozen) in STAND_WORDS.items():
        words = {"stand_id": key, "parcel_id": parcel, "cover": cover, "age_yr": age, "site_species": kind}
        words |= {"site_index_ft": index, "operable": operable, "frozen_ground_only": frozen, "wish": WISHES.get(key)}
        rows.append({**words, "geometry": _stand_shapes()[key]})
    return rows


@cache
def _water() -> dict:
    shore = [(x, y - 9 - 6 * np.sin(x / 130)) for x, y in SHORE.coords]
    far = [
        (-900, 1700),
        (-1500, 2500),
        (-1100, 3900),
        (300, 4700),
        (1900, 4300),
        (2900, 2900),
        (2700, 1700),
        (2050, 1150),
    ]
    otter = Polygon([*shore, *far])
    creek = wavy(
        [(-860, 1720), (-700, 900), (-480, 120), (-390, -420), (-500, -900), (-330, -1340), (-520, -2300)], 41, 45, 40
    )
    stream = _at(wavy([(-700, 1700), (120, 1180), (330, 820), (420, 420), (300, -60), (520, -900)], 42, 50, 40), BEAVER)
    return {"lake": otter, "pond": _at(POND, KETTLE), "creek": creek, "stream": stream}


@cache
def features() -> list[dict]:
    """Water, home ground, roads, landings and deer stands."""
    water = _water()
    yard = shapely.set_precision(HOUSE_GROUND.buffer(16, join_style="mitre"), 0.1)
    main = wavy(
        [
            (-2700, -1560),
            (-1345, -440),
            (-905, 10),
            (-470, 380),
            (-6, 690),
            (400, 640),
            (830, 540),
            (1300, 500),
            (2350, 470),
            (3600, 600),
        ],
        43,
        14,
        90,
    )
    rows = [
        ("lake", "Otter Lake", water["lake"]),
        ("lake", "Kettle pond", water["pond"]),
        ("stream", "Outlet creek", water["creek"]),
        ("stream", "Beaver stream", water["stream"]),
        ("home_ground", "House, garden and hayfield", yard),
        ("road", "Otter Lake Road", main),
        ("road", "drive", LineString([(1010, 528), (1030, 640), (1050, 735)])),
        (
            "road",
            "Old railroad grade",
            _at(wavy([(2720, 1035), (2050, 835), (1350, 575), (640, 265), (0, -66)], 5, 9, 120), GRADE),
        ),
        ("road", "Pit Road", _at(wavy([(2700, -300), (2668, 500), (2690, 1700)], 44, 12, 120), KETTLE)),
        ("road", "woods road", _at(wavy([(2660, 300), (2100, 260), (1480, 330), (900, 160)], 45, 20), KETTLE)),
        (
            "road",
            "Town Line Road",
            _at(LineString([(723, -400), (723, 6), (700, 640), (684, 1300), (670, 2000)]), BEAVER),
        ),
        ("landing", "by the pines", Point(1180, 470)),
        ("landing", "road corner", Point(-1040, -230)),
        ("landing", "grade", Point(GRADE[0] + 1290, GRADE[1] + 470)),
        ("landing", "end of the woods road", Point(KETTLE[0] + 905, KETTLE[1] + 175)),
        ("landing", "east piece", Point(BEAVER[0] + 770, BEAVER[1] + 640)),
        ("deer_stand", "Oak ladder", Point(1730, 640)),
        ("deer_stand", "Cedar point", Point(205, 1105)),
        ("deer_stand", "Sap house", Point(-1010, -760)),
        ("deer_stand", "Ash flat", Point(-300, -980)),
        ("deer_stand", "Kettle rim", Point(KETTLE[0] + 870, KETTLE[1] + 905)),
        ("deer_stand", "Grade box", Point(GRADE[0] + 1500, GRADE[1] + 380)),
        ("other", "Sugar shack", Point(-960, -700)),
        ("never cut", "Old white pines", _at(OLD_PINES, KETTLE)),
    ]
    wide = {"Outlet creek": 6.0, "Beaver stream": 12.0}
    return [{"kind": k, "name": name, "width_ft": wide.get(name), "geometry": shape} for k, name, shape in rows]


@cache
def ground(stand: str):
    """The part of a stand that is neither home ground nor water: where a plot may fall."""
    shape = _stand_shapes()[stand]
    for row in features():
        if row["kind"] in ("lake", "home_ground"):
            shape = shape.difference(row["geometry"])
    return shape


def elevation_ft(x, y):
    """Height above the sea of points on the sheet: gentle moraine, the lake, and one steep kettle."""
    x, y = np.asarray(x, float), np.asarray(y, float)
    z = 1583 + 26 * field(x, y, 71, 11_000, 2) + 11 * field(x, y, 72, 2_600, 3)
    kx, ky = x - KETTLE[0], y - KETTLE[1]
    z = z + 84 * np.exp(-(((kx - 600) / 520) ** 2) - ((ky - 600) / 430) ** 2)
    z = z - 74 * np.exp(-(((kx - 1110) / 235) ** 2) - ((ky - 755) / 185) ** 2)
    shore = shapely.distance(_water()["lake"], shapely.points(x, y))
    near = np.exp(-shore / 520)
    creek = shapely.distance(_water()["creek"], shapely.points(x, y))
    stream = shapely.distance(_water()["stream"], shapely.points(x, y))
    z = z - 13 * np.exp(-((creek / 240) ** 2)) - 15 * np.exp(-((stream / 420) ** 2))
    return np.where(shore > 0, near * 1_549.0 + (1 - near) * np.maximum(z, 1_551.0), 1_548.0)


def slope_pct(x, y, step_ft: float = 30.0):
    """Steepness of the ground at points, percent."""
    east = (elevation_ft(x + step_ft, y) - elevation_ft(x - step_ft, y)) / (2 * step_ft)
    north = (elevation_ft(x, y + step_ft) - elevation_ft(x, y - step_ft)) / (2 * step_ft)
    return 100 * np.hypot(east, north)


def outward(shape):
    """Outer rings counter-clockwise, as the open standard for these files asks."""
    if isinstance(shape, Polygon):
        return orient(shape)
    return MultiPolygon([orient(p) for p in shape.geoms]) if isinstance(shape, MultiPolygon) else shape

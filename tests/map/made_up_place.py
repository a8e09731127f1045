"""A made-up place for map and report: five parcels, sixteen stands, a stream, deer plots, notes of three years.

Every amount here is invented. Shapes are cut from straight-sided parcels so that acres can be checked by hand.
"""

import types
from collections.abc import Mapping
from dataclasses import is_dataclass
from typing import Literal, Union, get_args, get_origin

import geopandas as gpd
import numpy as np
from pyproj import Geod
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import split

from woodlot.answers.as_json import bare, field_types
from woodlot.answers.types import Answers

LON, LAT = -89.412, 45.731
FT_LAT = 364_700.0
FT_LON = FT_LAT * np.cos(np.radians(LAT))
MILE = 5280.0

# parcel_id, name, west edge and south edge in feet from the home corner, width, height, deed acres
PARCELS = [
    ("P1", "Home forty", 0.0, 0.0, 1322.0, 1330.0, 40.0),
    ("P2", "Corner forty", 1322.0, 1330.0, 1318.0, 1320.0, 40.0),
    ("P3", "Ridge forty", -1.05 * MILE - 1300, 0.3 * MILE, 1300.0, 1325.0, 40.0),
    ("P4", "Pine twenty", 0.6 * MILE, 2.2 * MILE, 660.0, 1320.0, 20.0),
    ("P5", "Creek eighty", 5.0 * MILE, -3.1 * MILE, 2650.0, 1317.0, 80.0),
]
COVERS = {
    "H": "northern hardwoods",
    "O": "oak",
    "A": "aspen and birch",
    "P": "pine",
    "S": "spruce and fir",
    "C": "cedar swamp",
    "L": "low, wet hardwoods",
    "B": "brush and openings",
}
# stand, parcel, letter, how, plots, cords an acre, half-width %, next winter
STANDS = [
    ("1", "P1", "H", "measured", 8, 21.3, 24.0, "2027–28"),
    ("2", "P1", "O", "measured", 6, 17.2, 28.0, "2031–32"),
    ("3", "P1", "A", "few plots", 3, 9.4, 52.0, "2029–30"),
    ("4", "P1", "B", "none", 0, None, None, None),
    ("5", "P2", "H", "measured", 8, 25.1, 22.0, "2033–34"),
    ("6", "P2", "L", "measured", 4, 16.8, 44.0, "2026–27"),
    ("7", "P2", "C", "borrowed", 0, 21.0, None, None),
    ("8", "P3", "O", "measured", 9, 19.2, 19.0, "2035–36"),
    ("9", "P3", "H", "measured", 5, 15.6, 38.0, None),
    ("10", "P3", "A", "few plots", 3, 7.8, 58.0, None),
    ("11", "P4", "P", "measured", 5, 27.4, 26.0, "2026–27"),
    ("12", "P4", "S", "one plot", 1, 12.0, None, None),
    ("13", "P5", "H", "measured", 6, 20.4, 23.0, "2028–29"),
    ("14", "P5", "A", "borrowed", 0, 11.2, None, None),
    ("15", "P5", "C", "measured", 4, 23.9, 42.0, None),
    ("16", "P5", "S", "empty plots", 3, 0.0, None, None),
]
# further winters of the plan and their cords; every other stand is cut in its first winter alone, 11.37 cords of it
LATER = {"6": {2027: 11.37, 2028: 11.37, 2030: 9.04, 2031: 14.2}, "13": {y: 10.1 + y % 100 for y in range(2029, 2035)}}
CUTS = {
    "P1": [([660, 0, 610, 500, 690, 900, 600, 1330]), ([0, 640, 500, 600, 900, 690, 1322, 650])],
    "P2": [([0, 900, 500, 760, 700, 520, 800, 0]), ([700, 520, 1000, 1000, 1050, 1320])],
    "P3": [([0, 560, 500, 620, 800, 490, 1300, 640]), ([760, 500, 720, 900, 830, 1325])],
    "P4": [([0, 500, 330, 560, 660, 480])],
    "P5": [([1100, 0, 1180, 700, 1060, 1317]), ([1560, 1317, 1700, 600, 2000, 0]), ([0, 690, 500, 640, 1150, 760])],
}


def lonlat(x_ft, y_ft):
    """Feet east and north of the home corner as longitude and latitude."""
    return LON + np.asarray(x_ft) / FT_LON, LAT + np.asarray(y_ft) / FT_LAT


def _shape(points_ft):
    lon, lat = lonlat(*np.asarray(points_ft, dtype=float).T)
    return list(zip(lon, lat, strict=True))


def est(value, low=None, high=None, unit="cords", kind=None, n=5, why=""):
    """An estimate as the answers hold it."""
    kind = kind or ("interval" if low is not None else "none")
    return {"value": value, "low": low, "high": high, "unit": unit, "kind": kind, "level": 0.9, "n": n, "why": why}


def _pieces(parcel, west, south, width, height):
    ground = [box(west, south, west + width, south + height)]
    for flat in CUTS[parcel]:
        line = LineString([(west + x, south + y) for x, y in zip(flat[::2], flat[1::2], strict=True)])
        longer = LineString(
            [_beyond(line.coords[1], line.coords[0]), *line.coords, _beyond(line.coords[-2], line.coords[-1])]
        )
        ground = [part for piece in ground for part in split(piece, longer).geoms]
    return sorted(ground, key=lambda g: -g.area)


def _beyond(a, b):
    return (b[0] + (b[0] - a[0]) * 0.05, b[1] + (b[1] - a[1]) * 0.05)


def frames():
    """Parcels, stands (with letter and acres) and features as geo frames in degrees."""
    geod = Geod(ellps="WGS84")

    def acres(shape):
        return abs(geod.geometry_area_perimeter(shape)[0]) / 4046.8564224

    shapes = [Polygon(_shape(box(w, s, w + dx, s + dy).exterior.coords)) for _, _, w, s, dx, dy, _ in PARCELS]
    parcels = gpd.GeoDataFrame(
        {
            "parcel_id": [p[0] for p in PARCELS],
            "name": [p[1] for p in PARCELS],
            "deed_acres": [p[6] for p in PARCELS],
            "acres": [acres(s) for s in shapes],
        },
        geometry=shapes,
        crs="EPSG:4326",
    )
    house = box(420, 0, 860, 400)
    rows = []
    for pid, _, w, s, dx, dy, _ in PARCELS:
        pieces = _pieces(pid, w, s, dx, dy)
        mine = [row for row in STANDS if row[1] == pid]
        if len(pieces) < len(mine):
            raise AssertionError(f"{pid}: {len(pieces)} pieces for {len(mine)} stands")
        keep, extra = pieces[: len(mine)], pieces[len(mine) :]
        for bit in extra:
            touching = max(range(len(keep)), key=lambda i, b=bit: keep[i].boundary.intersection(b.boundary).length)
            keep[touching] = keep[touching].union(bit)
        keep.sort(key=lambda g: (-round(g.centroid.y / 300), g.centroid.x))
        for row, ground in zip(mine, keep, strict=True):
            ground = ground.difference(house) if pid == "P1" else ground
            rows.append((row, Polygon(_shape(ground.exterior.coords))))
    stands = gpd.GeoDataFrame(
        {
            "stand_id": [r[0] for r, _ in rows],
            "parcel_id": [r[1] for r, _ in rows],
            "letter": [r[2] for r, _ in rows],
            "cover": [COVERS[r[2]] for r, _ in rows],
            "acres": [acres(g) for _, g in rows],
        },
        geometry=[g for _, g in rows],
        crs="EPSG:4326",
    )
    w, s = 5.0 * MILE, -3.1 * MILE
    creek = [(w + 1150 + 70 * np.sin(y / 180), s + y) for y in np.linspace(0, 1317, 40)]
    road = [(0.0, 60.0), (420.0, 90.0), (1322.0, 40.0)]
    features = gpd.GeoDataFrame(
        {
            "kind": ["home_ground", "stream", "road", "landing", "deer_stand"],
            "name": ["house and yard", "Otter Creek", "town road", "old landing", "oak stand"],
        },
        geometry=[
            Polygon(_shape(house.exterior.coords)),
            LineString(_shape(creek)),
            LineString(_shape(road)),
            Point(*lonlat(1000, 140)),
            Point(*lonlat(1010, 1010)),
        ],
        crs="EPSG:4326",
    )
    return parcels, stands, features


def _stand(row, acres):
    sid, pid, letter, how, plots, per_ac, half, winter = row
    k = 0 if half is None else half / 100
    ranged = half is not None
    why = {
        "none": "nobody has put a plot here",
        "borrowed": "borrowed from stands that look alike, so no range",
        "one plot": "one plot has no range of its own",
        "empty plots": "none was found on any plot",
    }.get(how, "")

    def amount(f, unit):
        if per_ac is None:
            return est(None, unit=unit, n=0, why=why)
        v = per_ac * f
        return (
            est(v, v * (1 - k * 0.85), v * (1 + k * 1.15), unit, n=plots)
            if ranged
            else est(v, unit=unit, n=plots, why=why)
        )

    cut = {
        "this_winter": winter == "2026–27",
        "cords": None,
        "words": "nothing. It is below the stocking it should keep.",
        "next_winter": winter,
        "leave_sqft_per_ac": None,
        "leave_seen": "memory",
        "way": "none" if sid == "15" else "thin",
        "entries": [] if winter is None else _entries({int(winter[:4]): 11.37} | LATER.get(sid, {})),
    }
    if cut["this_winter"]:
        cut |= {"cords": est(11.37, 8.2, 14.9), "words": "thin it.", "leave_sqft_per_ac": 80.0}
    elif winter:
        cut["words"] = f"nothing. Next: winter {winter}."
    elif how in ("none", "borrowed", "one plot"):
        cut["words"] = "nothing. Measure it first."
    if sid == "15":
        cut["words"] = "Nothing is to be cut here."
    measured = per_ac is not None and how not in ("borrowed",)
    return {
        "stand_id": sid,
        "parcel_id": pid,
        "cover": COVERS[letter],
        "letter": letter,
        "gross_ac": acres + 0.3,
        "acres": acres,
        "plots": plots,
        "empty_plots": plots if how == "empty plots" else 0,
        "measured_on": "2025-06-12" if plots else None,
        "how": how,
        "cords_per_ac": amount(1.0, "cords per acre"),
        "cords": amount(acres, "cords"),
        "basal_sqft_per_ac": amount(4.9, "sq ft per acre"),
        "trees_per_ac": amount(9.0, "trees per acre"),
        "qmd_in": 10.76 if measured and per_ac else None,
        "dead_trees_per_ac": 6.2 if measured and per_ac else None,
        "half_width_pct": half,
        "growth_cords_per_yr": amount(0.021 * acres, "cords per year") if ranged else None,
        "cut": cut,
        "species": [
            {
                "species": name,
                "cords_per_ac": per_ac * part,
                "share_pct": 100.0 * part,
                "told_per_ac": told(per_ac * part, "cords an acre"),
            }
            for name, part, told in (
                ("sugar maple", 0.6, lambda v, unit: est(v, 0.5 * v, 2.0 * v, unit, n=plots)),
                ("black ash", 0.4, lambda v, unit: est(v, unit=unit, n=plots, why="on 1 of its plots: about")),
            )
        ]
        if measured and per_ac
        else [],
        "unseen_kind_per_ac": est(0.0, None, 2.1, "cords an acre", n=plots, why="at most about 2.1 cords an acre")
        if measured and per_ac
        else None,
        "cautions": ["Dead ash. Not for hand felling without a professional."] if sid == "6" else [],
    }


def _entries(cords):
    return [{"winter": f"{y}–{(y + 1) % 100}", "acres": 1.2, "cords": c} for y, c in cords.items()]


NOTES = [
    ("1", "2024-02-14", "firewood", "wood", "Dead maple", 1.5, "cord", "P1", "1", 300, 1020),
    ("2", "2025-03-08", "firewood", "wood", "Oak", 2.0, "cord", "P1", "2", 980, 1090),
    ("3", "2026-02-02", "firewood", "wood", "Sugar maple thinned", 3.0, "cord", "P1", "1", 260, 820),
    ("4", "2026-11-20", "deer", "deer", "Doe", 1.0, "deer", "P1", "4", 1080, 330),
    ("5", "2024-07-30", "seen", "seen", "Ash leaves thin at the top", None, "", "P2", "5", 1560, 1830),
    ("6", "2025-11-14", "deer", "deer", "Buck", 1.0, "deer", "P2", "7", 2450, 1800),
    ("7", "2026-10-09", "seen", "seen", "Emerald ash borer holes", None, "", "P2", "6", 2100, 2480),
    ("8", "2025-05-04", "seen", "seen", "Beaver at the bend", None, "", "P5", "15", 5 * MILE + 1300, -3.1 * MILE + 900),
    ("9", "2026-01-20", "post", "wood", "Spruce poles", 14.0, "piece", "P5", "16", 5 * MILE + 2300, -3.1 * MILE + 700),
    ("10", "2026-11-02", "seen", "seen", "Gate chain cut", None, "", "P3", None, None, None),
]


def _deer_plots():
    rows = []
    for i, groups in enumerate([0, 1, 0, 2, 0, 3, 1]):
        rows.append(("L1", f"L1-{i + 1}", 130 + 175 * i, 1190, groups, 20.0 if i == 2 else 35.0 if i == 5 else None))
    for i, groups in enumerate([1, 0, 3, 2, 4, 1, 0, 2]):
        x, y = 5 * MILE + 150 + 320 * i, -3.1 * MILE + 280
        rows.append(("L2", f"L2-{i + 1}", x, y, groups, 60.0 if i == 3 else 45.0 if i == 7 else None))
    out = []
    for line, plot, x, y, groups, browsed in rows:
        lon, lat = lonlat(x, y)
        out.append(
            {
                "plot_id": plot,
                "line": line,
                "lon": float(lon),
                "lat": float(lat),
                "groups": groups,
                "browsed_pct": browsed,
                "stems": 20 if browsed is not None else None,
                "browsed": None if browsed is None else browsed / 5,
            }
        )
    return out


def plain():
    """The answers of this place as JSON would hold them; what is not invented is left out."""
    parcels, stands, _ = frames()
    acres = dict(zip(stands["stand_id"], stands["acres"], strict=True))
    told = [_stand(row, acres[row[0]]) for row in STANDS]
    contacts = {"P1": ["touches Corner forty at one corner"], "P2": ["touches Home forty at one corner"]}
    far = {"P1": 0.0, "P2": 0.35, "P3": 1.12, "P4": 2.31, "P5": 5.94}
    rows = []
    for pid, name, _, _, _, _, deed in PARCELS:
        mine = [s for s in told if s["parcel_id"] == pid and s["how"] in ("measured", "few plots")]
        total = sum(s["cords"]["value"] for s in mine)
        rows.append(
            {
                "parcel_id": pid,
                "name": name,
                "acres": float(parcels.loc[parcels.parcel_id == pid, "acres"].iloc[0]),
                "deed_acres": deed,
                "miles_from_home": far[pid],
                "is_home": pid == "P1",
                "block": {"P1": 1, "P2": 2, "P3": 3, "P4": 4, "P5": 5}[pid],
                "contacts": contacts.get(pid, []),
                "cords": est(total, total * 0.76, total * 1.3, n=9),
                "sentence": "",
            }
        )
    have = sum(s["acres"] for s in told if s["plots"])
    every = sum(s["acres"] for s in told)
    total = sum(r["cords"]["value"] for r in rows)
    return {
        "name": "Marten Hollow",
        "region": "lake_states",
        "as_of": "2026-11-25",
        "winter": "2026–27",
        "level": 0.9,
        "base": {
            "solid_cuft_per_cord": 79,
            "log_rule": "international_quarter",
            "division": "210",
            "cord_breaks": [13, 18, 24],
        },
        "headline": "Thin two stands this winter. Leave the other fourteen.",
        "rows": [
            {
                "topic": "cut",
                "number": "31 cords",
                "range": "Growth is 46 (31 to 64, 90%).",
                "title": "What you may take",
                "why": "The plan uses the low end of growth, because plots are few.",
            },
            {
                "topic": "wood",
                "number": "22 cords",
                "range": "17 to 28, 90%",
                "title": "This winter's work",
                "why": "Stand 6, Corner forty: 13 cords, mostly ash that is dying. Stand 11: 9 cords. Frozen ground.",
            },
            {
                "topic": "heat",
                "number": "2.7 cords short",
                "range": "needs 7.9, 6.4 to 9.6, 90%",
                "title": "Heat",
                "why": "Wood cut now burns in 2027–28.",
            },
            {
                "topic": "deer",
                "number": "1 doe at most",
                "range": "70 to 120 pounds of meat, assumptions",
                "title": "Deer",
                "why": "Season, tags and zone are the state's. None is a good answer too.",
            },
            {
                "topic": "measure",
                "number": "5 plots",
                "range": "",
                "title": "Measure next",
                "why": "That one stand is the largest without a plot.",
            },
        ],
        "parcels": rows,
        "stands": told,
        "totals": {
            "cords": est(total, total * 0.74, total * 1.32, n=40),
            "cords_sampling_only": est(total, total * 0.85, total * 1.17, n=40),
            "bdft": est(91_000.0, 66_000.0, 124_000.0, "board feet", n=40),
            "acres": every,
            "acres_with_plots": have,
            "acres_without": every - have,
        },
        "deer": {
            "density_per_sqmi": est(19.0, 8.0, 41.0, "deer per square mile", n=15),
            "words": "About 19 deer a square mile (8 to 41, 90%).",
            "equivalents": est(6.6, 3.0, 15.0, "deer", "assumptions"),
            "walk_there": est(48.0, 25.0, 90.0, "deer", "assumptions"),
            "effective_ac": 6100.0,
            "share_pct": 3.4,
            "browse": [
                {
                    "preference": "liked",
                    "stems": 40,
                    "browsed_pct": est(42.0, 27.0, 58.0, "percent", n=4),
                    "words": "Heavily browsed.",
                }
            ],
            "take": {
                "does": 1,
                "bucks": 1,
                "does_words": "1 doe at most.",
                "bucks_words": "1 buck.",
                "meat_lb": est(95.0, 70.0, 120.0, "pounds", "assumptions"),
            },
            "cautions": ["Season, tags and zone are the state's. This plan gives no right to take a deer."],
        },
        "notes": [_note(n) for n in NOTES],
        "deer_plots": _deer_plots(),
        "measure_next": ["5 plots in stand 14, Creek eighty, would narrow the yearly cut most."],
        "cautions": [
            {"where": "stand 6", "text": "Dead ash. Not for hand felling without a professional."},
            {"where": "stand 11", "text": "Frozen ground only."},
        ],
        "memory": ["Residual basal area for low, wet hardwoods is from memory, no source seen."],
        "sources": [
            {"key": "westfall_2024", "text": "Westfall and others 2024, WO-104", "seen": "read"},
            {"key": "residuals", "text": "Residual basal areas by cover", "seen": "memory"},
        ],
        "warnings": ["Stand 12 has one plot: its number has no range."],
    }


def _note(row):
    line, date, kind, tag, text, amount, unit, pid, sid, x, y = row
    lon, lat = lonlat(x, y) if x is not None else (None, None)
    return {
        "line": int(line),
        "date": date,
        "kind": kind,
        "tag": tag,
        "text": text,
        "amount": amount,
        "unit": unit,
        "parcel_id": pid,
        "stand_id": sid,
        "lon": None if lon is None else float(lon),
        "lat": None if lat is None else float(lat),
    }


def answers():
    """The answers of this place."""
    return filled(Answers, plain())


def filled(kind, given=None):
    """An answer of a kind from what a test gives of it; what is not given holds nothing (0, no words, no rows)."""
    origin, args = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        return None if given is None else filled(next(k for k in args if k is not type(None)), given)
    if is_dataclass(bare(kind)):
        return given if isinstance(given, bare(kind)) else _filled_fields(kind, given or {})
    if origin is tuple:
        given = [None] * (0 if args[-1] is Ellipsis else len(args)) if given is None else given
        kinds = [args[0]] * len(given) if args[-1] is Ellipsis else args
        return tuple(filled(k, g) for k, g in zip(kinds, given, strict=True))
    if origin is Mapping or (origin is not None and origin is not Literal and issubclass(origin, Mapping)):
        return {key: filled(args[1], value) for key, value in (given or {}).items()}
    nothing = args[0] if origin is Literal else kind()
    return nothing if given is None else given


def _filled_fields(kind, given):
    hints = field_types(kind)
    strange = set(given) - set(hints)
    assert not strange, f"{bare(kind).__name__} has no {sorted(strange)}"
    return bare(kind)(**{name: filled(hint, given.get(name)) for name, hint in hints.items()})

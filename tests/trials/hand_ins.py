"""A family's folder held in memory, and the invented places that the matrix of hand-ins changes.

HandIn     tables, maps, place.toml, files as they are; ``write`` puts them on disk
BASES      name -> the whole hand-in it stands for
"""

import csv
import io
import json
import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from woodlot import columns, trade
from woodlot.place.starting import _toml_key, _toml_value

SAMPLES = Path(__file__).parent.parent.parent / "sample_parcels"
DAY = date(2026, 11, 25)
SEED = 12


@dataclass
class HandIn:
    """tables: name -> rows of text cells; maps: name -> (properties, geometry) pairs; toml: None where there is none.

    headings: of tables, where they are not the declared ones; raw: files by name, in place of what would be written.
    """

    toml: dict[str, Any] | None
    tables: dict[str, list[dict[str, str]]]
    maps: dict[str, list[tuple[dict[str, Any], Any]]]
    headings: dict[str, list[str]] = field(default_factory=dict)
    raw: dict[str, bytes] = field(default_factory=dict)

    def heading(self, table: str) -> list[str]:
        """The columns of a table as it will be written."""
        return self.headings.get(table) or columns.header(table)

    def files(self) -> dict[str, bytes]:
        """File name -> bytes."""
        out = {} if self.toml is None else {"place.toml": _toml(self.toml).encode()}
        for table, rows in self.tables.items():
            text = io.StringIO()
            writer = csv.DictWriter(text, self.heading(table), restval="", extrasaction="ignore", lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
            out[f"{table}.csv"] = text.getvalue().encode()
        for name, shapes in self.maps.items():
            told = [{"type": "Feature", "properties": p, "geometry": g} for p, g in shapes]
            out[f"{name}.geojson"] = json.dumps({"type": "FeatureCollection", "features": told}).encode()
        return out | self.raw

    def write(self, folder: Path) -> Path:
        """Put the files into a folder that is not there yet."""
        folder.mkdir(parents=True)
        for name, data in self.files().items():
            (folder / name).write_bytes(data)
        return folder

    def entries(self, table: str) -> list[Any]:
        """The list itself of a table's rows, or of a map's (properties, geometry) pairs; empty where there is none."""
        return self.maps.get(table, []) if table in columns.MAPS else self.tables.get(table, [])

    def name_of(self, table: str) -> str:
        """The file of a table."""
        return f"{table}.geojson" if table in columns.MAPS else f"{table}.csv"

    def rows(self, table: str) -> list[dict[str, Any]]:
        """The rows of a table, or what maps say beside their shapes."""
        return [row for row, _ in self.entries(table)] if table in columns.MAPS else self.entries(table)

    def without(self, *tables: str) -> None:
        """Take files out."""
        for table in tables:
            self.tables.pop(table, None)
            self.maps.pop(table, None)


def _toml(parts: dict[str, Any]) -> str:
    plain = [f"{key} = {_toml_value(value)}" for key, value in parts.items() if not isinstance(value, dict)]
    for part, keys in parts.items():
        if isinstance(keys, dict):
            plain += [f"\n[{part}]", *(f"{_toml_key(k)} = {_toml_value(v)}" for k, v in keys.items())]
    return "\n".join(plain) + "\n"


# -- the places ---------------------------------------------------------------------------------------------------

WEST, SOUTH, STEP = -72.62, 44.12, 0.001


def box(x: float, y: float, wide: float = 1.0, high: float = 1.0) -> dict[str, Any]:
    """A rectangle in thousandths of a degree from the corner of the invented Brook place."""
    left, low = WEST + x * STEP, SOUTH + y * STEP
    right, top = left + wide * STEP, low + high * STEP
    return {"type": "Polygon", "coordinates": [[[left, low], [right, low], [right, top], [left, top], [left, low]]]}


def at(x: float, y: float) -> list[float]:
    """A point on the same grid."""
    return [WEST + x * STEP, SOUTH + y * STEP]


def _rows(table: str, *lines: str) -> list[dict[str, str]]:
    return [dict(zip(columns.header(table), line.split(","), strict=False)) for line in lines]


#: Words on trees as people write them; most write none.
QUALITY = ("", "C", "", "poor form", "R; crook", "", "good", "keep")
KINDS = ("sugar maple", "red maple", "yellow birch", "american beech", "eastern hemlock", "red spruce")


def brook() -> HandIn:
    """Invented ground in the northeast with every column of every table filled: three parcels, four stands."""
    draw = random.Random(SEED)
    plots, trees = [], []
    for number, (stand, kind) in enumerate(
        zip("111111222333", ["prism"] * 6 + ["fixed"] * 3 + ["prism"] * 3, strict=True)
    ):
        where = {"1": (1, 2), "2": (3, 2), "3": (6, 2)}[stand]
        lon, lat = at(where[0] + 0.1 * number % 0.7, where[1] + 0.1 * number)
        sized = "10," if kind == "prism" else ",26.3"
        counted = "15,2" if stand == "3" else ","
        checked = {2: 13, 3: 14, 4: 13, 10: 18}.get(number, "")
        for day in ("2019-10-01", "2026-10-02") if number == 0 else ("2026-10-02",):
            plots.append(f"p{number},{stand},A,{day},{kind},{sized},{number},{counted},{checked},{lon:.6f},{lat:.6f}")
            again = day if number == 0 else ""
            for tree in range(13):
                dbh = draw.uniform(7, 17) - (0.8 if day < "2020" else 0)
                cells = f"{KINDS[(tree + int(stand)) % 6]},{dbh:.1f},{45 + dbh:.0f},{25 + dbh:.0f},{tree % 3 * 0.5}"
                judged = f"{tree % 3 * 10},{'no' if tree == 12 else ''},{QUALITY[tree % 8]}"
                trees.append(f"p{number},{tree},{cells},1,{'yes' * (number == 1 and tree == 5)},{judged},{again}")
    tally = [
        f"{n},home,1,{KINDS[n % 6]},{8 + n % 9},{55 + n % 9},{35 + n % 9},1.5,{n % 2 * 10},0,{'no' * (n % 5 == 0)},"
        f"{('seam,20,24', 'crook,18,', ',,')[min(n % 4, 2)]},{'barn' if n % 6 else 'clear'}"
        for n in range(1, 13)
    ]
    cores = [f"{1 + n % 2},{n},{KINDS[n % 4]},{9 + n},10,{1 + n % 3 * 0.2:.1f}" for n in range(8)]
    pellets, browse, seedlings = [], [], []
    for year in (2024, 2025, 2026):
        for n in range(36):
            lon, lat = at(0.5 + n % 6, 0.5 + n // 12)
            days = "" if year == 2026 else "180"
            spot = f"home,{lon:.6f},{lat:.6f}"
            pellets.append(f"d{n},{'ABCDEF'[n // 6]},{year}-04-20,4,{draw.choice((0, 0, 1, 2))},{days},{spot}")
            if year == 2026 and n < 18:
                browse += [f"d{n},A,2026-04-21,{kind},{9 + n % 3},{4 + n % 2},{spot}" for kind in KINDS[:3]]
                fence = "yes,one,30" if n == 0 else "no,one,12" if n == 1 else ",,"
                spot = f"{lon:.6f},{lat:.6f}"
                row = f"d{n},{'ABC'[n // 6]},1,2026-06-20"
                seedlings += [f"{row},{kind},6,{20 + n},4,1,0,{fence},red spruce,{spot}" for kind in KINDS[:2]]
    counts = ["2026-10-04,camera,gate,336,16,3,31,20,5,4,no", "2026-11-07,sighting,ridge,6,1,0,2,1,0,,yes"]
    counts += ["2026-01-07,tracks,road,2,,,,,7,,", "2026-01-20,drive,south,3,1,0,3,2,1,,,60,yes"]
    bag = [
        f"{year},{year}-11-0{day},{kind},2.5,1,120,{milk},{beam},30,home"
        for year in (2023, 2024, 2025)
        for day, kind, milk, beam in ((7, "buck", "", 0.9), (8, "doe", "yes", ""))
    ]
    winters = ["2023,41,wisconsin,1", "2024,67,wisconsin", "2025,,,,2026-01-03,-12,19", "2025,,,,2026-01-04,-3,20"]
    spot = ",".join(f"{degrees:.6f}" for degrees in at(1, 1))
    ledger = [
        f"{n},{'kbcdfghjkmnp' if n == 1 else ''},2026-0{1 + n % 6}-10,{kind},home,1,"
        f"{'sugar maple' if kind == 'planted' else ''},{'doe,2.5,98,milk' if kind == 'deer' else ',,,'},"
        f"{'2' * bool(word.unit)},{'bdft_scribner' if kind == 'sawlog' else word.unit},"
        f"{'porch' if kind == 'measured stack' else ''},Ann,note {n},"
        f"{'oak.jpg,' + 'a' * 64 if kind == 'photo' else ','},{spot if n == 1 else ','},2026-11-01,"
        f"{'3' * (kind == 'void')}"
        for n, (kind, word) in enumerate(trade.LEDGER_KINDS.items(), 1)
    ]
    job = "foretold 2.1 cords of 10 trees; note"
    ledger = [row.replace("note", job, 1) if ",measured stack," in row else row for row in ledger]
    words = ["species,rock,sugar maple", "cover,sugarbush,northern hardwoods"]
    builds = ["shed,corner,4,post,9,6,10,,yes,post,", "shed,sill,2,sawlog,12,,,6x6,no,beam,any"]
    return HandIn(
        toml={
            "name": "Brook place",
            "region": "northeast",
            "wants": [{"product": "post", "number": 30, "purpose": "lane", "asked": date(2025, 1, 1)}],
            "builds": [{"name": "shed", "by": date(2026, 9, 1)}, {"name": "trellis"}],
            "home": {"lon": at(1, 0)[0], "lat": at(1, 0)[1]},
            "choices": {
                "log_rule": "scribner",
                "solid_cuft_per_cord": 80,
                "level": 0.8,
                "division": "M210",
                "form_class": 78,
                "state": "eastern states",
                "cord_breaks": [10, 15, 25],
                "woodpile_teaches": True,
                "burn_logs": False,
            },
            "needs": {
                "firewood_cord": 6.0,
                "firewood_low_cord": 5.0,
                "firewood_high_cord": 8.0,
                "firewood_hot_cord": 1.0,
                "dry_cord": 2.0,
                "dry_on": date(2026, 10, 1),
                "burned_cord": 0.5,
                "season_gone_pct": 10,
                "posts": 10,
                "sawlogs": 4,
                "poles": 2,
                "chips_cuyd": 1,
                "chip_stems": True,
                "meat_lb": 80,
            },
            "deer": {
                "goal": "thin",
                "neighbors_join": True,
                "leaf_off": date(2025, 10, 25),
                "weapon": "bow",
                "groups_per_deer_per_day": 25,
                "neighbor_bucks_per_sqmi": 1,
                "neighbor_does_per_sqmi": 1,
                "home_range_ac": 600,
                "farmland_pct": 20.0,
                "buck_rate": 0.4,
                "does_per_buck": 2,
                "fawns_per_doe": 0.8,
                "weeks_of_deep_snow": 0,
                "preference": {"red maple": "second"},
                "full_herd_per_sqmi": 60,
                "camera_ground_ac": 500,
                "state_per_sqmi": 20,
                "state_low_per_sqmi": 15,
                "state_high_per_sqmi": 30,
                "state_year": 2025,
                "antler_rule_since": 2015,
                "feeder_since": 2026,
                "neighbors": [{"from_fall": 2025, "does_per_sqmi": 0.8, "bucks_per_sqmi": 1.2}],
            },
            "limits": {"days_of_work_per_yr": 12, "tags_buck": 2, "tags_doe": 1},
            "cruise": {"edges": "counted twice", "answer": "total", "hours": 6, "within_pct": 20},
            "rasters_at_plots": {"use": True, "canopy_year": 2025, "positions_ft": 10, "by_picture": False},
            "leave": [{"cover": "pine", "sqft": 90}],
            "group": [{"family": "Aho", "agreed": False}],
            "prism": [{"factor": 10, "width_ft": 1, "distance_ft": 32.4, "doubtful_taped": False}],
        },
        tables={
            "plots": _rows("plots", *plots),
            "trees": _rows("trees", *trees),
            "tally": _rows("tally", *tally),
            "cores": _rows("cores", *cores),
            "pellets": _rows("pellets", *pellets),
            "browse": _rows("browse", *browse),
            "seedlings": _rows("seedlings", *seedlings),
            "counts": _rows("counts", *counts),
            "bag": _rows("bag", *bag),
            "winters": _rows("winters", *winters),
            "words": _rows("words", *words),
            "builds": _rows("builds", *builds),
            "ledger": _rows("ledger", *ledger),
        },
        maps={
            "parcels": [
                (_parcel("home", "Home place", "Lot 4", 35), box(0, 0, 4, 4)),
                (_parcel("ridge", "Ridge", "Lot 5", 34, "leave dead trees", None, "2025-06-01"), box(4, 0, 4, 4)),
                (_parcel("bog", "Bog lot", "Lot 9", 20, "keep", 2028), box(10, 6, 3, 3)),
            ],
            "stands": [
                (
                    _stand("1", "home", "northern hardwoods", 80, "sugar maple", 58)
                    | {"wish": "sugarbush", "wish_since": "2025-03-01", "wish_until": 2060},
                    box(0, 0, 2, 4),
                ),
                (_stand("2", "home", "pine", 60, "red pine", 60), box(2, 0, 2, 4)),
                (_stand("3", "ridge", "oak", 90, "northern red oak", 60), box(4, 0, 4, 4)),
                (
                    _stand("4", "bog", "spruce and fir", 55, "red spruce", 45) | {"frozen_ground_only": True},
                    box(10, 6, 3, 3),
                ),
            ],
            "features": [
                (feature("stream", "Cold Brook", 6.0, True, False, "trout water"), line(at(0, 3), at(8, 3.2))),
                (feature("lake", "Pond", None, None, None, "lake under 10 ac"), box(6.5, 0.5, 0.8, 0.8)),
                (feature("road", "Town road"), line(at(0, -0.2), at(9, -0.2))),
                (feature("landing", "by the gate"), point(at(1, 0.3))),
                (feature("deer_stand", "Ladder"), point(at(5, 2))),
                (feature("home_ground", "Yard"), box(0.5, 0, 0.6, 0.5)),
                (feature("other", "Spring"), point(at(3, 3))),
                (feature("view", "From the porch", *[None] * 4, 2040, "2026-01-01"), box(2, 1, 0.7, 0.7)),
            ],
        },
    )


def _stand(name: str, parcel: str, cover: str, age: int, species: str, index: float) -> dict[str, Any]:
    return _told("stands", name, parcel, cover, age, species, index, "sandy loam", True, False)


def _parcel(*told: Any) -> dict[str, Any]:
    return _told("parcels", *told)


def feature(*told: Any) -> dict[str, Any]:
    """A feature by its columns in order."""
    return _told("features", *told)


def _told(table: str, *told: Any) -> dict[str, Any]:
    """What is said of one shape of a map, in the order of its columns; null where nothing is."""
    return dict.fromkeys(columns.header(table)) | dict(zip(columns.header(table), told, strict=False))


def line(*points: list[float]) -> dict[str, Any]:
    """A line through points."""
    return {"type": "LineString", "coordinates": list(points)}


def point(where: list[float]) -> dict[str, Any]:
    """A point."""
    return {"type": "Point", "coordinates": where}


def _sample(name: str, toml: dict[str, Any]) -> HandIn:
    """A sample as it lies in the checkout, without its rasters."""
    out = HandIn(toml, {}, {})
    for path in sorted((SAMPLES / name).iterdir()):
        if path.suffix == ".csv":
            with path.open(encoding="utf-8", newline="") as lines:
                reader = csv.DictReader(lines)
                out.tables[path.stem] = list(reader)
                out.headings[path.stem] = list(reader.fieldnames or [])
        elif path.suffix == ".geojson":
            told = json.loads(path.read_text(encoding="utf-8"))["features"]
            out.maps[path.stem] = [(one["properties"], one["geometry"]) for one in told]
    return out


def forty() -> HandIn:
    """The least that gives useful answers: an outline, a stand, six plots."""
    return _sample("first_forty", {"name": "Forty", "region": "lake_states"})


def otter() -> HandIn:
    """The sample Otter Lake cut down to two parcels, with its elevation."""
    out = _sample(
        "otter_lake",
        {
            "name": "Otter",
            "region": "lake_states",
            "home": {"lon": -90.407808, "lat": 46.175111},
            "needs": {"firewood_cord": 7.0, "posts": 12},
            "deer": {"leaf_off": date(2025, 10, 28)},
        },
    )
    keep = {"lake", "school"}
    out.maps["parcels"] = [one for one in out.maps["parcels"] if one[0]["parcel_id"] in keep]
    out.maps["stands"] = [one for one in out.maps["stands"] if one[0]["parcel_id"] in keep]
    stands = {one[0]["stand_id"] for one in out.maps["stands"]}
    for table, rows in out.tables.items():
        by_stand = [row for row in rows if not row.get("stand_id") or row["stand_id"] in stands]
        out.tables[table] = [row for row in by_stand if not row.get("parcel_id") or row["parcel_id"] in keep]
    plots = {row["plot_id"] for row in out.tables["plots"]}
    out.tables["trees"] = [row for row in out.tables["trees"] if row["plot_id"] in plots]
    out.raw["elevation.tif"] = (SAMPLES / "otter_lake" / "elevation.tif").read_bytes()
    return out


BASES: dict[str, Callable[[], HandIn]] = {
    name: cache(make) for name, make in (("brook", brook), ("forty", forty), ("otter", otter))
}

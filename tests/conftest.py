"""Shared by all tests: the same random examples on every run, samples, open data, and a small whole place on disk."""

import json
import os
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import settings

from woodlot import place, season

settings.register_profile("same", derandomize=True, deadline=None)
settings.load_profile("same")
os.environ["WOODLOT_TRACEBACK"] = "1"  # a mistake of woodlot's own fails a test with its traceback
os.environ["COLUMNS"] = "80"  # screens as in a pipe, however wide the terminal is that runs the tests

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="session")
def samples() -> Path:
    """Folder of the made-up places."""
    return ROOT / "sample_parcels"


@pytest.fixture(scope="session")
def open_data() -> Path:
    """Folder of the open data sets that are not part of this checkout; skips aloud where it is absent."""
    folder = ROOT.parent / "shared" / "reference"
    if not (folder / "forest_growth_umbs_trees.csv").is_file():
        pytest.skip("the open data sets do not lie beside this checkout (../shared/reference)")
    return folder


class Shelf:
    """Places of this session as they were read, and their seasons, kept as long as no file changes; the last few."""

    MOST = 4

    def __init__(self):
        """Nothing is on it."""
        self.read_anew, self.season_anew = place.read, season.season
        self.places, self.seasons = {}, {}

    def read(self, folder, as_of=None, region=None):
        """The place as ``place.read`` reads it."""
        files = (path for path in Path(folder).rglob("*") if path.is_file() and not {"out", "plans"} & {*path.parts})
        prints = sorted((str(path), path.stat().st_size, path.stat().st_mtime_ns) for path in files)
        key = (str(folder), as_of, region, tuple(prints))
        found = self.places.pop(key) if key in self.places else self.read_anew(folder, as_of=as_of, region=region)
        self.places[key] = found  # the last one asked for stands last
        if len(self.places) > self.MOST:
            gone = self.places.pop(next(iter(self.places)))
            self.seasons = {key: kept for key, kept in self.seasons.items() if kept.place is not gone}
        return found

    def season(self, read, level=None, seed=1, **ahead):
        """The season of a place; that of one which was read here is kept."""
        new = self.season_anew(read, level, seed, **ahead)
        if not any(read is kept for kept in self.places.values()):
            return new
        return self.seasons.setdefault((id(read), new.level, seed, new.years, new.step_yr, new.cut_more), new)


@pytest.fixture(scope="session")
def shelf() -> Shelf:
    """Places of this session, read and worked out once."""
    return Shelf()


@pytest.fixture
def once(monkeypatch, shelf) -> None:
    """Verbs that are run on one place share its reading and its chapters, until a file of it changes."""
    monkeypatch.setattr(place, "read", shelf.read)
    monkeypatch.setattr(season, "season", shelf.season)


@pytest.fixture
def reading(request):
    """A function (what, value, goal, unit) by which a benchmark tells a reading; none fails a run by it."""

    def tell(what: str, value: float, goal: float, unit: str) -> None:
        said = f"{what}: {value:.3g} {unit} (goal {goal:.3g}{'' if value <= goal else ', OVER'})"
        request.node.user_properties.append(("reading", said))

    return tell


def pytest_terminal_summary(terminalreporter):
    """Readings of all benchmarks beside their goals, at the end of a run."""
    told = [said for report in terminalreporter.getreports("passed") for name, said in report.user_properties]
    if told:
        terminalreporter.section("benchmarks: readings beside goals")
        terminalreporter.write_line("\n".join(told))


WEST, SOUTH = -89.40, 46.10
LON, LAT = 0.0052, 0.0036  # about a quarter mile each way

FILES = {
    "place.toml": """name = "Testing forty"
region = "lake_states"

[home]
lon = -89.35
lat = 46.08

[choices]
log_rule = "scribner"

[needs]
firewood_cord = 7.5

[deer]
leaf_off = 2025-10-25

[limits]
tags_doe = 1
""",
    "plots.csv": """plot_id,stand_id,line,date,kind,baf_sqft_per_ac,radius_ft,slope_pct,lon,lat
1,1,A,2026-10-09,prism,10,,5,-89.3985,46.1015
2,1,A,2026-10-09,prism,10,,,,
3,1,A,2026-10-09,,10,,,,
4,2,,2026-10-10,fixed,,26.3,,,
5,2,,2026-10-10,fixed,,26.3,,,
""",
    "trees.csv": """plot_id,tree,species,dbh_in,height_ft,merch_ft,logs_16ft,count,count_twice,cull_pct,alive
1,1,sugar maple,12.2,68,40,1.5,,,10,
1,2,popple,9.1,61,36,,,,,yes
1,3,sugar maple,,,,,2,,,
2,1,yellow birch,14.0,70,48,2,,x,0,no
4,1,red pine,11.5,66,50,,,,,
4,2,red pine,8.0,,,,,,,
""",
    "tally.csv": """tree,parcel_id,stand_id,species,dbh_in,height_ft,merch_ft,logs_16ft,cull_pct,sweep_pct,alive,mark
1,home,1,sugar maple,15.1,72,48,2,0,0,yes,blue
2,home,1,red maple,10.4,60,40,,,,,
""",
    "cores.csv": """stand_id,tree,species,dbh_in,years,growth_in
1,1,sugar maple,12.0,10,1.3
1,2,yellow birch,11.0,10,1.1
""",
    "pellets.csv": """plot_id,line,date,radius_ft,groups,days,parcel_id,lon,lat
d1,1,2026-04-20,4,0,,home,,
d2,1,2026-04-20,4,2,180,home,,
""",
    "browse.csv": """plot_id,line,date,species,stems,browsed,parcel_id,lon,lat
d1,1,2026-04-20,sugar maple,12,5,home,,
d1,1,2026-04-20,beaked hazel,8,1,home,,
""",
    "seedlings.csv": """plot_id,date,species,radius_ft,under_1ft,from_1_to_3ft,from_3_to_5ft,over_5ft
d1,2026-06-20,sugar maple,6,22,4,,0
d2,2026-06-20,red maple,6,5,1,,0
""",
    "counts.csv": """date,method,station,hours,bucks,spikes,does,fawns,unknown,bucks_known,baited
2026-09-01,camera,gate,240,14,3,22,15,4,3,no
2026-11-07,sighting,ridge,6,1,0,2,1,,,
""",
    "bag.csv": """year,sex_age,age_yr,number,dressed_lb,hours,parcel_id
2024,buck,2.5,1,142,30,home
2025,doe,,1,,24,home
""",
    "winters.csv": """winter,points,scale,date,least_f,snow_in
2023,41,wisconsin,,,
2024,67,wisconsin,,,
""",
}


def square(column: int, row: int = 0, width: float = 1.0) -> dict:
    """A square of about forty acres as a GeoJSON geometry."""
    x, y = WEST + column * LON, SOUTH + row * LAT
    right, top = x + LON * width, y + LAT
    return {"type": "Polygon", "coordinates": [[[x, y], [right, y], [right, top], [x, top], [x, y]]]}


def collection(*features: tuple[dict, dict]) -> dict:
    """A GeoJSON of (properties, geometry) pairs."""
    return {
        "type": "FeatureCollection",
        "features": [{"type": "Feature", "properties": p, "geometry": g} for p, g in features],
    }


MAPS = {
    "parcels.geojson": collection(
        ({"parcel_id": "home", "name": "Home forty", "legal": "NW of SW", "deed_acres": 40}, square(0)),
        ({"parcel_id": "ridge", "name": "Ridge forty", "legal": None, "deed_acres": 39.5}, square(1, 1)),
    ),
    "stands.geojson": collection(
        (
            {
                "stand_id": "1",
                "parcel_id": "home",
                "cover": "northern hardwoods",
                "age_yr": 80,
                "site_species": "sugar maple",
                "site_index_ft": 58.5,
                "operable": True,
                "frozen_ground_only": False,
            },
            square(0, width=0.5),
        ),
        (
            {
                "stand_id": "2",
                "parcel_id": None,
                "cover": "pine",
                "age_yr": None,
                "site_species": None,
                "site_index_ft": None,
                "operable": False,
                "frozen_ground_only": True,
            },
            square(1, 1),
        ),
    ),
    "features.geojson": collection(
        (
            {"kind": "stream", "name": "Cold Creek"},
            {"type": "LineString", "coordinates": [[-89.4, 46.102], [-89.395, 46.102]]},
        ),
        ({"kind": "deer_stand", "name": None}, {"type": "Point", "coordinates": [-89.398, 46.101]}),
    ),
}


class SmallPlace:
    """A folder with every hand-in table, two parcels that meet at a corner, two stands."""

    def __init__(self, folder: Path):
        """Name the folder; ``write`` makes it."""
        self.folder = folder
        self.maps = json.loads(json.dumps(MAPS))

    def write(self) -> "SmallPlace":
        """Put all files where they belong."""
        self.folder.mkdir(parents=True, exist_ok=True)
        for name, text in FILES.items():
            (self.folder / name).write_text(text, encoding="utf-8")
        self.draw()
        return self

    def draw(self) -> None:
        """Write the maps again, as ``maps`` holds them now."""
        for name, told in self.maps.items():
            (self.folder / name).write_text(json.dumps(told), encoding="utf-8")

    def change(self, name: str, old: str, new: str) -> None:
        """Replace text that stands once in a file."""
        text = (self.folder / name).read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {name}"
        (self.folder / name).write_text(text.replace(old, new), encoding="utf-8")

    def thin(self, *keep: str) -> None:
        """Take away the tables that nothing points to, but those named: quick to read many times."""
        for path in self.folder.glob("*.csv"):
            if path.name not in ("plots.csv", *keep):
                path.unlink()

    def prints(self) -> dict[str, str]:
        """A print of every file of the folder, with its time of change: equal when nothing was touched."""
        files = sorted(path for path in self.folder.rglob("*") if path.is_file())
        return {
            str(path.relative_to(self.folder)): f"{sha256(path.read_bytes()).hexdigest()} {path.stat().st_mtime_ns}"
            for path in files
        }


@pytest.fixture
def small_place(tmp_path: Path) -> SmallPlace:
    """A small whole place, fresh for each test."""
    return SmallPlace(tmp_path / "place").write()

"""Each accepted value of place.toml, set in turn in a place where it can matter: does a number or a sentence move?

Run from the top folder:

    python tests/trials/settings_trial.py            # every value, whole plans; a table key, value, what moved
    python tests/trials/settings_trial.py deer goal  # only keys that hold one of these words

A key that is new is walked without being named here; ``CASES`` only holds what a key needs beside it to matter. The
place is made up. Nothing is drawn but by a seed.
"""

import json
import random
import shutil
import sys
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import rasterio
import shapely
from click.testing import CliRunner

from woodlot import columns
from woodlot.cli import main
from woodlot.column_kinds import words_of
from woodlot.land.parcels import acres_geodesic
from woodlot.place import append_note
from woodlot.place.lists import LISTS
from woodlot.place.settings import SETTINGS
from woodlot.place.starting import _toml_key, _toml_value
from woodlot.region import shipped

HERE = Path(__file__).parent
SAMPLE = HERE.parent.parent / "sample_parcels" / "first_forty"
DAY = "2026-11-25"
SEED = 11
#: What a plan repeats from place.toml or from where the place lies; it moves with every setting.
ECHOES = ("base", "warnings", "name")

BASE: dict[str, dict[str, Any]] = {
    "home": {"lon": -89.1, "lat": 45.9},
    "choices": {},
    "needs": {"firewood_cord": 6.0, "posts": 10},
    "deer": {"leaf_off": date(2025, 10, 25), "farmland_pct": 20.0},
    "limits": {},
    "cruise": {},
    "rasters_at_plots": {},
}
#: One entry of each list of place.toml.
ENTRY: dict[str, dict[str, Any]] = {"wants": {"product": "pole", "number": 6.0}, "builds": {"name": "fence"}}
ENTRY["leave"] = {"cover": "northern hardwoods", "sqft": 60.0}
ENTRY["prism"] = {"factor": 10.0, "width_ft": 1.0, "distance_ft": 32.4}
ENTRY["group"] = {"family": "Smith", "agreed": True}
#: The part [needs] of a house that is heated with something else as yet.
OIL = {"firewood_cord": None, "oil_gal": 500.0}
LOSS = {"firewood_cord": None, "house_loss_btu_per_h_f": 400.0, "degree_days_f": 9000.0}


#: What lets heights seen from above help the plots.
FIT = {"rasters_at_plots": {"canopy_year": 2025, "positions_ft": 10.0, "by_picture": False}}
#: Stand in place of answers where a verb refused the place, and where it broke.
REFUSED, STOPPED = "(refused)", "(stopped)"
#: Latitude of the plot that lies nine feet from the sample's south line.
BY_LINE = 45.871
#: To be compared with another of the values that are tried.
OTHER = "another"


@dataclass(frozen=True)
class Case:
    """Where a key can matter: other keys beside it (None takes one out), the values to try, the value to compare with
    (None: the key left out, OTHER: another of them), the verb that reads it, stands of another cover, and the table
    that goes before it, which is taken out.
    """

    beside: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    values: tuple[Any, ...] = ()
    against: Any = None
    verb: str = "plan"
    cover: str = ""
    without: str = ""


CASES: dict[str, Case] = {
    "home.lon": Case(values=(-89.3, -90.2)),
    "home.lat": Case(values=(45.7, 46.4)),
    "choices.division": Case(values=("210", "220", "240", "250", "M210", "M220", "all"), against=OTHER),
    "choices.woodpile_teaches": Case(values=(False,), verb="scale"),
    "choices.cord_breaks": Case(values=([5, 9, 12], [20, 30, 40])),
    "needs.firewood_low_cord": Case(values=(4.0, 0.5)),
    "needs.firewood_high_cord": Case(values=(8.0, 60.0)),
    "needs.firewood_hot_cord": Case(verb="fell", values=(0.1, 1.0)),
    "needs.firewood_of": Case(verb="fell", values=("sugar maple", "red oak; white ash", "aspen")),
    "needs.heat_mmbtu": Case({"needs": {"firewood_cord": None}}, verb="fell", values=(20.0, 50.0)),
    "needs.chips_cuyd": Case(verb="fell", values=(1.0, 8.0)),
    "needs.chip_stems": Case({"needs": {"chips_cuyd": 60.0}}, verb="fell", values=(True,)),
    "needs.dry_on": Case({"needs": {"dry_cord": 4.0}}, values=(date(2025, 4, 1), date(2024, 9, 1))),
    "needs.house_loss_btu_per_h_f": Case({"needs": LOSS}, against=500.0),
    "needs.degree_days_f": Case({"needs": LOSS}, against=7000.0),
    "needs.oil_gal": Case({"needs": {"firewood_cord": None}}),
    "needs.propane_gal": Case({"needs": {"firewood_cord": None}}),
    "needs.electric_kwh": Case({"needs": {"firewood_cord": None}}),
    "needs.stove_pct": Case({"needs": OIL}),
    "needs.season_gone_pct": Case({"needs": {"burned_cord": 2.0}}),
    "needs.pieces": Case(
        values=(
            [{"product": "pole", "number": 6.0}],
            [{"product": "sawlog", "number": 2.0, "length_ft": 10.0}],
            [{"product": "sawlog", "number": 2.0, "length_ft": 10.0, "top_in": 12.0}],
            [{"product": "pole", "number": 6.0, "butt_in": 8.0}],
            [{"product": "post", "number": 6.0, "lasting": False}],
            [{"product": "sawlog", "number": 4.0, "wood": "softwood"}],
            [{"product": "sawlog", "number": 4.0, "hot": True}],
            [{"product": "pole", "number": 6.0, "often": "each year"}],
        )
    ),
    "needs.clear": Case(verb="fell", values=(["shed"], ["lane"])),
    "wants.product": Case(values=("post", "sawlog", "firewood", "chips", "board feet"), against="pole"),
    "wants.number": Case(values=(3.0, 300.0), against=6.0),
    "wants.length_ft": Case(values=(10.0,)),
    "wants.top_in": Case(values=(3.0, 6.0)),
    "wants.butt_in": Case(values=(8.0,)),
    "wants.wood": Case(values=("softwood", "paper birch", "lasting")),
    "wants.often": Case(values=("each year",)),
    "wants.purpose": Case(values=("the barn",)),
    "wants.by": Case(values=(date(2026, 9, 1), date(2028, 9, 1))),
    "wants.asked": Case(values=(date(2026, 2, 1),)),
    "builds.name": Case(values=("trellis", "Raised  bed"), against="fence"),
    "builds.number": Case(values=(2.0, 3.5)),
    "builds.purpose": Case(values=("the goats",)),
    "builds.by": Case(values=(date(2028, 9, 1),)),
    "builds.asked": Case(values=(date(2026, 2, 1),)),
    "group.family": Case(values=("Olson",), against="Smith", verb="group"),
    "group.agreed": Case(values=(False,), against=True, verb="group"),
    "leave.cover": Case(values=("northern hardwoods",), against="oak", verb="cut"),
    "leave.sqft": Case(values=(70.0, 120.0), against=60.0, verb="cut"),
    "deer.leaf_off": Case(values=(date(2025, 10, 10), date(2025, 11, 5))),
    "deer.does_per_buck": Case(without="counts"),
    "deer.fawns_per_doe": Case(without="counts"),
    "deer.goal": Case(against=OTHER),
    "deer.weapon": Case(against=OTHER),
    "choices.log_rule": Case(against=OTHER),
    "choices.state": Case(against=OTHER),
    "deer.neighbors_join": Case({"deer": {"goal": "thin"}}, values=(True,)),
    "deer.weeks_of_deep_snow": Case(cover="spruce and fir", values=(2.0, 12.0)),
    "deer.preference": Case(
        values=(
            {"beaked hazel": "preferred"},
            {"red maple": "starvation"},
            {"hard maple": "third"},
            {"beaked hazel": "avoided"},
            {"beaked hazel": "second"},
        )
    ),
    "deer.neighbors": Case(
        values=(
            [{"from_fall": 2025, "does_per_sqmi": 1.5, "bucks_per_sqmi": 2.0}],
            [{"from_fall": 2026, "does_per_sqmi": 0.0, "bucks_per_sqmi": 0.0}],
            [{"from_fall": 2010, "does_per_sqmi": 1.0, "bucks_per_sqmi": 1.0}],
        )
    ),
    "deer.antler_rule_since": Case(values=(2019, 2025)),
    "deer.feeder_since": Case(values=(2020, 2025)),
    "deer.state_year": Case({"deer": {"state_per_sqmi": 20.0}}, values=(2024, 2025)),
    "deer.state_low_per_sqmi": Case({"deer": {"state_per_sqmi": 20.0, "state_high_per_sqmi": 30.0}}, (5.0, 18.0), 10.0),
    "deer.state_high_per_sqmi": Case(
        {"deer": {"state_per_sqmi": 20.0, "state_low_per_sqmi": 10.0}}, (24.0, 60.0), 30.0
    ),
    "rasters_at_plots.use": Case(FIT, values=(False,)),
    "rasters_at_plots.canopy_year": Case(FIT, values=(2018, 2010)),
    "rasters_at_plots.positions_ft": Case(FIT, values=(20.0, 60.0)),
    "rasters_at_plots.by_picture": Case(FIT, values=(True,)),
    "cruise.edges": Case(verb="cruise"),
    "prism.factor": Case(values=(10.5,), against=10.0),
    "prism.width_ft": Case(values=(0.98,), against=1.0),
    "prism.distance_ft": Case(values=(33.5,), against=32.4),
    "prism.doubtful_taped": Case(values=(True,), against=False),
    "limits.tags_buck": Case(values=(0.0,)),
    "limits.tags_doe": Case(values=(0.0,)),
    "limits.days_of_work_per_yr": Case(values=(0.0, 1.0, 4.0)),
    "cruise.answer": Case(against=OTHER),
    "cruise.hours": Case({"cruise": {"within_pct": 20.0}}, values=(1.0, 2.5)),
    "cruise.within_pct": Case(values=(60.0, 15.0)),
}
#: Low and high of what is drawn for numbers whose limits are far wider than what a place can feel.
DRAWN = {"needs.sawlogs": (1, 60), "needs.sawlogs_bdft": (50, 9_000), "needs.posts": (1, 300), "needs.poles": (1, 300)}


#: The chapter that reads a key, as the verb that asks it; every other key is read by the whole plan.
CHAPTERS = {
    "home": "walk",
    "deer.state": "herd",
    "deer.camera": "herd",
    "deer": "hunt",
    "limits.tags": "hunt",
    "limits.days": "cut",
    "choices.burn": "cut",
    "cruise": "cruise",
    "rasters_at_plots": "cruise",
}
CHAPTERS |= dict.fromkeys(
    ("choices.log", "choices.solid", "choices.level", "choices.div", "choices.form", "choices.woodpile"), "scale"
)
CHAPTERS |= dict.fromkeys(("needs.posts", "needs.poles", "needs.sawlogs", "needs.pieces", "wants", "builds"), "fell")
CHAPTERS |= {"leave": "cut", "prism": "cruise", "cruise.edges": "cruise", "group": "group"}


class Told(NamedTuple):
    """One value tried: its key, the value, and what moved ("" when nothing did), or why it was refused."""

    key: str
    value: Any
    moved: str
    refused: str = ""
    stopped: str = ""


def keys() -> dict[str, Any]:
    """Every key of every part of place.toml -> its field."""
    return {f"{part}.{name}": one for part, model in SETTINGS.items() for name, one in model.model_fields.items()}


def list_keys() -> list[str]:
    """Every key of every list of place.toml."""
    return [f"{part}.{name}" for part, model in LISTS.items() for name in model.model_fields]


def chapter(key: str) -> str:
    """The verb that shows what reads a key, at the least cost."""
    return next((verb for start, verb in CHAPTERS.items() if key.startswith(start)), CASES.get(key, Case()).verb)


def values(key: str) -> list[Any]:
    """The values of a key that are tried."""
    case = CASES.get(key, Case())
    if case.values:
        return list(case.values)
    field_ = keys()[key]
    if words := words_of(field_):
        return list(words)
    if key == "choices.state":
        return sorted(set(shipped("lake_states").table("water_strips")["state"]))
    row = next(row for row in columns.listing(SETTINGS) if f"{row['table']}.{row['column']}" == key)
    if row["type"] == "date":
        return [date(2025, 10, 1) + timedelta(days=days) for days in (-20, 20)]
    if row["type"] == "yes or no":
        return [True]
    low, high = DRAWN.get(key, (row["low"], row["high"]))
    draw = random.Random(f"{SEED} {key}")
    return [round(draw.uniform(low, high), 3) for _ in range(2)]


def text(parts: Mapping[str, Any], region: str = "lake_states") -> str:
    """A place.toml."""
    lines = ['name = "Trial forty"', f'region = "{region}"']
    for part, told in parts.items():
        for one in told if isinstance(told, list) else [told]:
            lines.append(f"\n[[{part}]]" if isinstance(told, list) else f"\n[{part}]")
            lines += [f"{_toml_key(k)} = {_toml_value(v)}" for k, v in one.items() if v is not None]
    return "\n".join(lines) + "\n"


def make(folder: Path) -> Path:
    """The made-up place: the sample forty with a stream, a tally, pellets, browse, cameras, a bag, plots, a raster,
    neighbors.
    """
    shutil.copytree(SAMPLE, folder)
    shutil.rmtree(folder / "out", ignore_errors=True)
    draw = random.Random(SEED)
    stream = {"type": "LineString", "coordinates": [[-88.9615, 45.8725], [-88.9572, 45.8728]]}
    feature = {"type": "Feature", "properties": {"kind": "stream", "name": "Run", "width_ft": 6.0}, "geometry": stream}
    collection = {"type": "FeatureCollection", "features": [feature]}
    (folder / "features.geojson").write_text(json.dumps(collection))
    kinds = [("sugar maple", 8, 18), ("northern red oak", 9, 17), ("paper birch", 6, 10), ("balsam fir", 6, 12)]
    marks = ("shed", "lane", "", "", "")
    tally = [
        f"{i},{kinds[i % 4][0]},{draw.uniform(*kinds[i % 4][1:]):.1f},{55 + i % 9},{marks[i % 5]}" for i in range(40)
    ]
    (folder / "tally.csv").write_text("\n".join(["tree,species,dbh_in,height_ft,mark", *tally]) + "\n")
    pellets, browse = [], []
    for year in (2024, 2025, 2026):
        for line in "ABCDEF":
            groups = [draw.choice((0, 0, 1, 1, 2)) for _ in range(10)]
            days = "" if year == 2026 else "175"
            pellets += [f"{line}{i},{line},{year}-04-20,4,{n},{days},forty" for i, n in enumerate(groups)]
    for year in (2025, 2026):
        for plot in range(12):
            for species, stems, bitten in (("sugar maple", 10, 7), ("red maple", 9, 6), ("beaked hazel", 8, 3)):
                browse.append(f"b{plot},{year}-04-21,{species},{stems + plot % 3},{bitten + plot % 2},forty")
    (folder / "pellets.csv").write_text(
        "\n".join(["plot_id,line,date,radius_ft,groups,days,parcel_id", *pellets]) + "\n"
    )
    (folder / "browse.csv").write_text("\n".join(["plot_id,date,species,stems,browsed,parcel_id", *browse]) + "\n")
    counts = "date,method,station,hours,bucks,spikes,does,fawns,unknown,bucks_known,baited\n"
    (folder / "counts.csv").write_text(counts + "2026-10-04,camera,gate,336,16,3,31,20,5,4,no\n")
    (folder / "bag.csv").write_text("year,sex_age,age_yr,number\n2025,doe,,1\n2025,buck,3.5,4\n2025,yearling buck,,1\n")
    _walk(folder)
    for name, west, taken in (("Smith", -88.956, 1), ("Olson", -88.95, 2)):
        _neighbor(folder / "group", name, west, taken)
    job = "job: barn; foretold 0.350 cords of 8 trees; 2.5 x 4 x 4 ft"
    note = {"date": date(2025, 6, 1), "kind": "measured stack", "amount": 0.3125, "unit": "cord", "text": job}
    append_note(folder, note)
    return folder


def _neighbor(folder: Path, name: str, west: float, does: int) -> None:
    """The file of a neighbor's forty, east of the place."""
    ground = shapely.box(west, 45.871, west + 0.005, 45.8746)
    held = {"family": name, "acres": round(float(acres_geodesic(ground)), 1)}
    held["kills"] = [{"fall": 2025, "does": does, "bucks": 1}]
    feature = {"type": "Feature", "properties": held, "geometry": shapely.geometry.mapping(ground)}
    folder.mkdir(exist_ok=True)
    path = folder / f"{name.lower()}.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": [feature]}))


def _walk(folder: Path) -> None:
    """Eighteen plots in place of the sample's six, where the trees are taller to the east and more of them stand; one
    was counted with another prism, one lies by the line.
    """
    west, south, step = -88.9615, 45.8715, 0.0008
    plots, trees = ["plot_id,stand_id,date,baf_sqft_per_ac,lon,lat"], ["plot_id,species,dbh_in,height_ft"]
    for at in range(18):
        column, row = at % 6, at // 6
        lat = BY_LINE if at == 3 else south + row * step
        plots.append(f"{at},1,2026-11-07,{10.5 if at == 8 else 10},{west + column * step:.6f},{lat:.6f}")
        trees += [f"{at},sugar maple,{9 + (at + k) % 5},{40 + 6 * column}" for k in range(3 + column + at % 2)]
    (folder / "plots.csv").write_text("\n".join(plots) + "\n")
    (folder / "trees.csv").write_text("\n".join(trees) + "\n")
    heights = np.linspace(8.0, 24.0, 60, dtype="float32")[None, :] * np.ones((50, 1), dtype="float32")
    lies = rasterio.transform.from_origin(-88.9625, 45.8755, 0.0001, 0.0001)
    how = {"driver": "GTiff", "count": 1, "height": 50, "width": 60, "dtype": "float32", "crs": 4326}
    with rasterio.open(folder / "canopy_height.tif", "w", transform=lies, **how) as out:
        out.write(heights, 1)


def flat(told: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Each number and sentence of answers, under where it stands."""
    if isinstance(told, Mapping):
        for key, value in told.items():
            yield from flat(value, f"{path}.{key}" if path else str(key))
    elif isinstance(told, list):
        for at, value in enumerate(told):
            yield from flat(value, f"{path}[{at}]")
    else:
        yield path, told


class Trial:
    """The place, and the answers of each place.toml it was given, each asked for once."""

    def __init__(self, folder: Path):
        """Make the place in a folder that is not there yet."""
        self.folder = make(folder)
        self.cover = (folder / "stands.geojson").read_text()
        self.tables = {path.stem: path.read_text() for path in folder.glob("*.csv")}
        self.kept: dict[tuple[str, ...], dict[str, Any]] = {}

    def ask(self, toml: str, verb: str, cover: str, without: str = "") -> dict[str, Any]:
        """Path -> number or sentence; REFUSED or STOPPED alone where the verb did not end well, with what it said."""
        if (toml, verb, cover, without) not in self.kept:
            (self.folder / "place.toml").write_text(toml)
            stands = self.cover.replace("northern hardwoods", cover) if cover else self.cover
            (self.folder / "stands.geojson").write_text(stands)
            for name in {without} - {""}:
                (self.folder / f"{name}.csv").unlink()
            done = CliRunner().invoke(main, [verb, str(self.folder), "--as-of", DAY, "--json"])
            for name in {without} - {""}:
                (self.folder / f"{name}.csv").write_text(self.tables[name])
            if done.exit_code:
                kind = REFUSED if done.exit_code == 1 and isinstance(done.exception, SystemExit) else STOPPED
                return {kind: " ".join(f"{done.output} {done.exception!r}".split())}
            told = json.loads(done.output)
            plain = dict(flat({key: value for key, value in told.items() if key not in ECHOES}))
            if verb == "plan":
                plain["map.html"] = (self.folder / "out" / "map.html").read_text()
            self.kept[toml, verb, cover, without] = plain
        return self.kept[toml, verb, cover, without]

    def tell(self, key: str, value: Any, verb: str = "") -> Told:
        """What moves when one key takes one value, in the place where it can matter."""
        part, name = key.split(".")
        case = CASES.get(key, Case())
        there = {p: {**BASE[p], **case.beside.get(p, {})} for p in BASE}
        if part in ENTRY:
            there[part] = {**ENTRY[part], **case.beside.get(part, {})}
        against = next(v for v in values(key) if v != value) if case.against == OTHER else case.against
        if against is not None or key not in {f"{p}.{k}" for p in there for k in there[p]}:
            before = there | {part: there[part] | {name: against}}
        else:
            before = there
        after = there | {part: there[part] | {name: value}}
        if part in ENTRY:
            before, after = before | {part: [before[part]]}, after | {part: [after[part]]}
        how = (verb or case.verb, case.cover, case.without)
        first, then = self.ask(text(before), *how), self.ask(text(after), *how)
        for said in (first, then):
            if REFUSED in said or STOPPED in said:
                return Told(key, value, "", said.get(REFUSED, ""), said.get(STOPPED, ""))
        moved = [path for path in {**first, **then} if first.get(path) != then.get(path)]
        plain = [path for path in moved if path != "map.html"]
        more = f" and {len(plain) - 1} more" if len(plain) > 1 else ""
        return Told(key, value, f"{plain[0]}{more}" if plain else "".join(moved))


def main_trial(wanted: list[str]) -> int:
    """Every key and value as a table; the number of values that stopped a plan or were ignored."""
    bad = 0
    with tempfile.TemporaryDirectory() as home:
        trial = Trial(Path(home) / "forty")
        for key in (*keys(), *list_keys()):
            if wanted and not any(word in key for word in wanted):
                continue
            for value in values(key):
                told = trial.tell(key, value)
                words = told.moved or (f"REFUSED {told.refused}" if told.refused else f"STOPPED {told.stopped}")
                words = words if told.moved or told.refused or told.stopped else "IGNORED"
                bad += not told.moved
                print(f"{key:<30} {_toml_value(value):<44} {words}", flush=True)
    print(f"{bad} values moved nothing")
    return bad


if __name__ == "__main__":
    sys.exit(bool(main_trial(sys.argv[1:])))

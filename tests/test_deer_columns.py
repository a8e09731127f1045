"""Each column of the tables of deer and seedlings acts: another value of it moves a number or words of the deer."""

import importlib.util
import random
from datetime import date
from functools import cache
from pathlib import Path

import pandas as pd
import pytest

from woodlot import columns, place
from woodlot.answers.as_json import as_json
from woodlot.answers.deer import hunt_answer
from woodlot.season import season

HERE = Path(__file__).parent
spec = importlib.util.spec_from_file_location("woodlot_tests_deer_place", HERE / "trials" / "settings_trial.py")
trial = importlib.util.module_from_spec(spec)
spec.loader.exec_module(trial)

CAMERA = {"date": "2026-10-04", "method": "camera", "station": "gate", "hours": 336, "bucks": 16, "spikes": 3}
CAMERA |= {"does": 31, "fawns": 20, "unknown": 5, "bucks_known": 4, "baited": "no"}
WATCH = {"date": "2026-11-08", "method": "sighting", "station": "ridge", "hours": 6, "does": 4, "unknown": 1}
LAST = WATCH | {"date": "2025-11-08"}
DRIVE = {"date": "2026-11-28", "method": "drive", "does": 9, "acres": 700, "complete": "yes"}
BUCK = {"year": 2025, "sex_age": "buck", "age_yr": 2.5, "number": 3, "dressed_lb": 150, "beam_in": 0.9}
DOE = {"date": "2025-11-08", "sex_age": "doe", "number": 3, "milk": "milk"}
POINTS = {"winter": 2025, "points": 120, "scale": "wisconsin", "deep_snow_weeks": 1}
DAYS = pd.date_range("2025-11-01", "2026-05-31").strftime("%Y-%m-%d")
STAKE = [{"date": day, "least_f": -5, "snow_in": 20} for day in DAYS]
STEMS = {
    "species": "sugar maple",
    "radius_ft": 6,
    "under_1ft": 3,
    "from_1_to_3ft": 2,
    "from_3_to_5ft": 1,
    "over_5ft": 0,
}
SEEDLINGS = [
    {"plot_id": f"s{at}", "line": "AB"[at % 2], "date": "2026-06-20", "fenced": "yes" if at % 2 else "no", **STEMS}
    | {"pair": f"p{at // 2}", "under_1ft": at % 5, "from_3_to_5ft": 40 * (at % 3 > 0)}
    for at in range(24)
]
BARE = [{name: row[name] for name in row if name not in ("fenced", "pair")} for row in SEEDLINGS]
#: Fenced plots without a pair; two kinds on one plot; three lines of which one has enough.
ALONE = [row | {"pair": None} for row in SEEDLINGS]
TWO_KINDS = [*BARE, BARE[0] | {"species": "red maple"}]
LINES = [row | {"line": "ABC"[at // 8], "from_3_to_5ft": 40 * (at < 8)} for at, row in enumerate(BARE)]
#: Table and column -> the rows of the table, which of them (None: all) take another value, and the value.
CASES = {
    "bag.year": ([BUCK], 0, 2024),
    "bag.date": ([DOE], 0, "2025-12-20"),
    "bag.sex_age": ([BUCK | {"age_yr": None}], 0, "yearling buck"),
    "bag.age_yr": ([BUCK], 0, 1.5),
    "bag.number": ([BUCK], 0, 1),
    "bag.dressed_lb": ([BUCK], 0, 100),
    "bag.milk": ([DOE], 0, "dry"),
    "bag.beam_in": ([BUCK], 0, 1.1),
    "counts.date": ([CAMERA], 0, "2026-12-01"),
    "counts.method": ([WATCH], 0, "camera"),
    "counts.station": ([CAMERA, CAMERA | {"station": "trail"}], 1, "gate"),
    "counts.hours": ([LAST, WATCH], 1, 60),
    "counts.bucks": ([CAMERA], 0, 9),
    "counts.spikes": ([CAMERA], 0, 8),
    "counts.does": ([CAMERA], 0, 50),
    "counts.fawns": ([CAMERA], 0, 5),
    "counts.unknown": ([LAST, WATCH], 1, 9),
    "counts.bucks_known": ([CAMERA], 0, 7),
    "counts.baited": ([CAMERA], 0, "yes"),
    "counts.acres": ([DRIVE], 0, 350),
    "counts.complete": ([DRIVE], 0, "no"),
    "winters.winter": ([POINTS], 0, 2024),
    "winters.points": ([POINTS], 0, 40),
    "winters.scale": ([POINTS], 0, "minnesota"),
    "winters.deep_snow_weeks": ([POINTS], 0, 6),
    "winters.date": (STAKE, None, list(pd.date_range("2024-11-01", "2025-05-31").strftime("%Y-%m-%d"))),
    "winters.least_f": (STAKE, None, 10),
    "winters.snow_in": (STAKE, None, 3),
    "seedlings.plot_id": (TWO_KINDS, 24, "s99"),
    "seedlings.line": (LINES, None, "A"),
    "seedlings.stand_id": (BARE, None, "1"),
    "seedlings.date": (BARE, slice(0, 12), "2020-06-20"),
    "seedlings.species": (BARE, None, "American beech"),
    "seedlings.radius_ft": (BARE, None, 20),
    "seedlings.under_1ft": (BARE, None, 5000),
    "seedlings.from_1_to_3ft": (BARE, None, 500),
    "seedlings.from_3_to_5ft": (BARE, None, 0),
    "seedlings.over_5ft": (BARE, None, 9),
    "seedlings.fenced": (ALONE, None, "no"),
    "seedlings.pair": (SEEDLINGS, None, None),
    "seedlings.open_sky_pct": (BARE, None, 3),
    "seedlings.seed_trees": (BARE, None, "northern red oak"),
    "seedlings.lon": ([row | {"lon": -88.96, "lat": 45.873} for row in BARE], None, -88.9),
    "seedlings.lat": ([row | {"lon": -88.96, "lat": 45.873} for row in BARE], None, 46.2),
}
#: The cover in which a column can matter, where it is another.
COVERS = {"winters.deep_snow_weeks": "spruce and fir"}
#: What stands for the family's own record, and moves nothing.
KEPT = {"bag.hours", "bag.parcel_id"}
TABLES = ("bag", "counts", "winters", "seedlings")
NAMES = [f"{table}.{name}" for table in TABLES for name in columns.TABLES[table].model_fields]


def test_every_column_has_a_case_or_is_kept():
    """A column that is new comes here before it stands."""
    assert sorted(NAMES) == sorted([*CASES, *KEPT])


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    """What the deer are said to be with some rows in one table, each number and sentence under where it stands."""
    folder = trial.make(tmp_path_factory.mktemp("deer") / "forty")
    drawn = (folder / "stands.geojson").read_text()
    (folder / "place.toml").write_text(trial.text(trial.BASE))
    at_first = {table: (folder / f"{table}.csv").read_text() for table in ("bag", "counts")}

    @cache
    def read(table, text, cover):
        (folder / "stands.geojson").write_text(drawn.replace("northern hardwoods", cover))
        for name in TABLES:
            (folder / f"{name}.csv").unlink(missing_ok=True)
        for name, rows in {**at_first, table: text}.items():
            (folder / f"{name}.csv").write_text(rows)
        asked = season(place.read(folder, as_of=date(2026, 11, 25)))
        return dict(trial.flat(as_json(hunt_answer(asked))))

    def of(table, rows, cover):
        names = list(columns.TABLES[table].model_fields)
        return read(table, pd.DataFrame(rows).reindex(columns=names).to_csv(index=False), cover)

    return of


def moves(told, name):
    """Where the answer moves when one column takes another value."""
    table, column = name.split(".")
    rows, which, value = CASES[name]
    frame = pd.DataFrame(rows)
    if column not in frame:
        frame[column] = pd.Series(None, index=frame.index, dtype=object)
    changed = frame.astype(object)
    changed.loc[:, column] = frame[column].astype(object)
    chosen = changed.index if which is None else changed.index[which] if isinstance(which, slice) else [which]
    changed.loc[chosen, column] = value
    cover = COVERS.get(name, "northern hardwoods")
    first, then = told(table, frame, cover), told(table, changed, cover)
    return [path for path in {**first, **then} if first.get(path) != then.get(path)]


@pytest.mark.parametrize("name", random.Random(5).sample(sorted(CASES), 5))
def test_a_column_drawn_acts(told, name):
    """One of them; the slow test walks all."""
    assert moves(told, name)


@pytest.mark.slow
@pytest.mark.parametrize("name", list(CASES))
def test_every_column_acts(told, name):
    """Each in a place where it can matter."""
    assert moves(told, name)


@pytest.mark.parametrize(
    ("name", "path"),
    [
        ("seedlings.line", "seedlings[0].stocked_pct.low"),
        ("seedlings.line", "forest.stocked_pct.low"),
        ("seedlings.plot_id", "forest.plots"),
        ("seedlings.fenced", "forest.plots"),
        ("seedlings.pair", "forest.fence.low"),
        ("seedlings.open_sky_pct", "forest.light_pct"),
    ],
)
def test_a_column_of_seedlings_moves_what_it_is_for(told, name, path):
    """Plots of one line count for fewer; a kind on another plot is a plot more; fences are held against open ground."""
    assert path in moves(told, name)


@pytest.mark.parametrize("name", sorted(KEPT))
def test_what_is_kept_says_so(name):
    """Its meaning names it a record."""
    rows = {f"{row['table']}.{row['column']}": row["meaning"] for row in columns.listing()}
    assert "your record" in rows[name]

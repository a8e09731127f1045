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
DRIVE = {"date": "2026-11-28", "method": "drive", "does": 9, "acres": 700, "complete": "yes"}
BUCK = {"year": 2025, "sex_age": "buck", "age_yr": 2.5, "number": 3, "dressed_lb": 150, "beam_in": 0.9}
DOE = {"date": "2025-11-08", "sex_age": "doe", "number": 3, "milk": "milk"}
POINTS = {"winter": 2025, "points": 120, "scale": "wisconsin", "deep_snow_weeks": 1}
STAKE = [{"date": f"2026-{m:02}-{d:02}", "least_f": -5, "snow_in": 20} for m in (1, 2, 3) for d in range(1, 29)]
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
    | {"pair": f"p{at // 2}", "under_1ft": at % 5, "from_3_to_5ft": at % 3}
    for at in range(24)
]
BARE = [{name: row[name] for name in row if name not in ("fenced", "pair")} for row in SEEDLINGS]
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
    "counts.hours": ([WATCH], 0, 60),
    "counts.bucks": ([CAMERA], 0, 9),
    "counts.spikes": ([CAMERA], 0, 8),
    "counts.does": ([CAMERA], 0, 50),
    "counts.fawns": ([CAMERA], 0, 5),
    "counts.unknown": ([WATCH], 0, 9),
    "counts.bucks_known": ([CAMERA], 0, 7),
    "counts.baited": ([CAMERA], 0, "yes"),
    "counts.acres": ([DRIVE], 0, 350),
    "counts.complete": ([DRIVE], 0, "no"),
    "winters.winter": ([POINTS], 0, 2024),
    "winters.points": ([POINTS], 0, 40),
    "winters.scale": ([POINTS], 0, "minnesota"),
    "winters.deep_snow_weeks": ([POINTS], 0, 6),
    "winters.date": (STAKE, None, "2026-01-01"),
    "winters.least_f": (STAKE, None, 10),
    "winters.snow_in": (STAKE, None, 3),
    "seedlings.plot_id": (BARE, 1, "s0"),
    "seedlings.line": (BARE, None, "A"),
    "seedlings.stand_id": (BARE, None, "1"),
    "seedlings.date": (BARE, slice(0, 12), "2020-06-20"),
    "seedlings.species": (BARE, None, "American beech"),
    "seedlings.radius_ft": (BARE, None, 20),
    "seedlings.under_1ft": (BARE, None, 60),
    "seedlings.from_1_to_3ft": (BARE, None, 0),
    "seedlings.from_3_to_5ft": (BARE, None, 9),
    "seedlings.over_5ft": (BARE, None, 9),
    "seedlings.fenced": (SEEDLINGS, None, "no"),
    "seedlings.pair": (SEEDLINGS, None, None),
    "seedlings.open_sky_pct": (BARE, None, 3),
    "seedlings.seed_trees": (BARE, None, "northern red oak"),
    "seedlings.lon": ([row | {"lon": -88.96, "lat": 45.873} for row in BARE], None, -88.9),
    "seedlings.lat": ([row | {"lon": -88.96, "lat": 45.873} for row in BARE], None, 46.2),
}
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
    (folder / "place.toml").write_text(trial.text(trial.BASE))
    at_first = {table: (folder / f"{table}.csv").read_text() for table in ("bag", "counts")}

    @cache
    def read(table, text):
        for name in TABLES:
            (folder / f"{name}.csv").unlink(missing_ok=True)
        for name, rows in {**at_first, table: text}.items():
            (folder / f"{name}.csv").write_text(rows)
        asked = season(place.read(folder, as_of=date(2026, 11, 25)))
        return dict(trial.flat(as_json(hunt_answer(asked))))

    def of(table, rows):
        names = list(columns.TABLES[table].model_fields)
        return read(table, pd.DataFrame(rows).reindex(columns=names).to_csv(index=False))

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
    first, then = told(table, frame), told(table, changed)
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


@pytest.mark.parametrize("name", sorted(KEPT))
def test_what_is_kept_says_so(name):
    """Its meaning names it a record."""
    rows = {f"{row['table']}.{row['column']}": row["meaning"] for row in columns.listing()}
    assert "your record" in rows[name]

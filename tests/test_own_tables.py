"""Rows of the family's own tables act or are faults, each with its cell: none is passed over without a word."""

import shutil

import pandas as pd
import pytest

from woodlot import place
from woodlot.errors import PlaceError
from woodlot.region import known_tables, shipped

MARKS = {"source": "ours", "where": "our own woods", "seen": "chosen"}
PACES = ("fast", "mid", "slow")


@pytest.fixture
def read(samples, tmp_path):
    """Reads a small place whose own region has some tables, each given as its rows; ``without`` leaves columns out."""

    def of(without=(), **tables):
        home = shutil.copytree(samples / "first_forty", tmp_path / "woods", ignore=shutil.ignore_patterns("out"))
        (home / "hills").mkdir()
        (home / "hills" / "region.toml").write_text('name = "hills"\nbased_on = "lake_states"\n')
        text = (home / "place.toml").read_text()
        (home / "place.toml").write_text(text.replace('region = "lake_states"', 'region = "hills"'))
        for name, rows in tables.items():
            base = shipped("base").table(name, rows=()).drop(columns=list(without))
            own = pd.DataFrame([{**(MARKS if name != "sources" else {}), **row} for row in rows])
            own = own[[*base.columns.intersection(own.columns, sort=False), *own.columns.difference(base.columns)]]
            missing = base.columns.difference([*own.columns, *without])
            own = own.reindex(columns=[*own.columns, *missing])
            own.to_csv(home / "hills" / f"{name}.csv", index=False)
        return place.read(home).region

    return of


def ages(species, paces=PACES, half=80, **more):
    """Rows of break-up of one kind."""
    at = {"species": species, "onset_yr": 60, "half_yr": half, "latest_cut_yr": 45}
    return [{**at, "pace": pace, **more} for pace in paces]


def band(cover, low=1, high=3, of="cords"):
    """One published range of growth."""
    return {"cover": cover, "size": "all", "low_pct": low, "high_pct": high, "of": of}


def if_so(scenario, name, mid, unit):
    """One figure of a what-if."""
    return {"scenario": scenario, "name": name, "low": mid, "mid": mid, "high": mid, "unit": unit, "meaning": "x"}


DOUBT = {"quantity": "total_lb", "species": "white spruce", "division": "all", "dbh_from_in": 0, "dbh_below_in": 999}
RULE = {"way": "thin", "leave_sqft_per_ac": 70}
FAULTS = [
    ("breakup_ages", ages("quaking aspen", ("quick",)), [(2, "pace", "Must be mid, fast or slow.")]),
    ("breakup_ages", ages("quaking aspen", half=60), [(at, "half_yr", "more than its onset_yr") for at in (2, 3, 4)]),
    ("breakup_ages", ages("tamarack", ("mid",)), [(2, "pace", "a row of each pace: mid, fast, slow")]),
    ("breakup_ages", ages("tamrack"), [(at, "species", "Did you mean tamarack?") for at in (2, 3, 4)]),
    (
        "longevity",
        [{"species": "red pine", "typical_yr": 90, "longest_yr": 90, "usual_largest_dbh_in": 20, "years_seen": "read"}],
        [(2, "longest_yr", "more than its typical_yr")],
    ),
    ("doubtful_westfall_2024", [DOUBT | {"action": "sum of parts", "why": "x"}], [(2, "action", "next level or warn")]),
    ("cut_rules", [RULE | {"cover": "oak", "way": "thinned"}], [(2, "way", "Must be thin, patches or none.")]),
    ("growth_bands", [band("pine"), band("oak", 3, 1)], [(3, "high_pct", "more than its low_pct")]),
    ("growth_bands", [band("oak", of="volume")], [(2, "of", "Must be cords or basal.")]),
    ("growth_bands", [band("oaks")], [(2, "cover", "Did you mean oak?")]),
    ("uncut_levels", [{"cover": "elm flats", "most_sqft": 150}], [(2, "cover", "No cover of the list.")]),
    (
        "site_growth",
        [{"soil": "muck", "species": "red maple", "factor": 0.5}],
        [(2, "species", "needs a row of any species")],
    ),
    ("soil_words", [{"word": "tag alder", "soil": "muck"}], [(2, "soil", "Must be loam, silt, sandy loam")]),
    (
        "what_ifs",
        [
            if_so("windstorm", "hardwood_smal", 0.1, "share"),
            if_so("flood", "years", 1, "yr"),
            if_so("dry-decade", "years", 10, "years"),
        ],
        [
            (2, "name", "Did you mean windstorm hardwood_small?"),
            (3, "name", "No figure of this name."),
            (4, "unit", "yr"),
        ],
    ),
    (
        "what_ifs",
        [if_so("windstorm", "hardwood_small", 1.2, "share")],
        [(2, column, "Must be 0 to 1") for column in ("low", "mid", "high")],
    ),
]


@pytest.mark.parametrize(("table", "rows", "faults"), FAULTS)
def test_a_row_that_cannot_act_is_a_fault_at_its_cell(read, table, rows, faults):
    """A word nothing knows, a pair of ages or of ends the wrong way round, a kind or soil told by half."""
    with pytest.raises(PlaceError) as stop:
        read(**{table: rows})
    told = {(fault.file, fault.row, fault.column): fault.remedy for fault in stop.value.faults}
    assert set(told) == {(f"hills/{table}.csv", row, column) for row, column, _ in faults}
    assert all(words in told[f"hills/{table}.csv", row, column] for row, column, words in faults)


def test_a_table_of_break_up_by_one_age_is_told_its_columns(read):
    """One age in place of three paces: each column that is missing, and the one that nothing reads."""
    with pytest.raises(PlaceError) as stop:
        read(
            without=("pace", "onset_yr", "half_yr", "latest_cut_yr"),
            breakup_ages=[{"species": "quaking aspen", "age_yr": 60}],
        )
    columns = [fault.column for fault in stop.value.faults]
    assert columns == ["pace", "onset_yr", "half_yr", "latest_cut_yr", "age_yr"]


def test_a_soil_of_the_familys_own_has_its_words(read):
    """A soil with a row of any species is named by words of the family's own."""
    region = read(
        site_growth=[{"soil": "muck", "species": "any", "factor": 0.5}],
        soil_words=[{"word": "tag alder", "soil": "muck"}],
    )
    assert float(region.records("site_growth", "soil", "species")["muck", "any"]["factor"]) == 0.5
    assert region.records("soil_words", "word")["tag alder"]["soil"] == "muck"


def test_the_tables_that_come_with_woodlot_may_be_the_familys_own(read):
    """Copied whole into a region of the family's own, no table has a row that is refused."""
    tables = {name: shipped("base").table(name, rows=()).to_dict("records") for name in known_tables()}
    assert len(tables) > 80
    assert read(**tables).own_folders

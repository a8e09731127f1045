"""Whatever a family may write is read as it was written; a slip is told with file, row and column, and nothing else."""

import csv
import importlib.util
import json
import sys
from pathlib import Path

import pandas as pd
import pytest
import shapely
from hypothesis import HealthCheck, given, settings

from woodlot import columns, place
from woodlot.errors import InputError, PlaceError
from woodlot.place.cells import read_cells
from woodlot.place.tabular import read_table


def _beside(name):
    spec = importlib.util.spec_from_file_location(name, Path(__file__).parent / f"{name}.py")
    sys.modules[name] = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


ours = _beside("strategies")
FEW = settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def _written(folder, rows):
    """The table as a CSV file."""
    path = folder / f"{rows.table}.csv"
    with path.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out, lineterminator="\n").writerows([rows.heading, *rows.cells])
    return path


def _read(folder, rows):
    """The table read from its file, cell by cell, and its faults."""
    faults = []
    cells = read_table(_written(folder, rows), rows.table, faults, [])
    return read_cells(rows.table, cells, faults, []), faults


def _same(read, meant):
    """Whether a cell came back as it was meant."""
    return (pd.isna(read) and meant is None) or (pd.Timestamp(meant) if hasattr(meant, "isoformat") else meant) == read


@pytest.mark.parametrize("table", columns.TABLES)
def test_rows_that_are_right_come_back_as_they_were(table, tmp_path):
    """Every column of every table, in any order, days and words in more than one form."""

    @FEW
    @given(rows=ours.table_rows(table))
    def back(rows):
        sheet, faults = _read(tmp_path, rows)
        assert not faults
        for name, meant in rows.meant.items():
            came = sheet.frame[name].tolist()
            assert len(came) == len(meant) and all(map(_same, came, meant)), (name, came, meant)

    back()


@pytest.mark.parametrize("table", columns.TABLES)
def test_one_slip_is_one_fault_at_its_row_and_column(table, tmp_path):
    """Among right rows; with a remedy."""

    @FEW
    @given(rows=ours.rows_with_slip(table))
    def told(rows):
        faults = _read(tmp_path, rows)[1]
        assert [(one.file, one.row, one.column) for one in faults] == [(f"{table}.csv", *rows.slip)]
        assert faults[0].found and faults[0].remedy

    told()


@pytest.mark.parametrize("table", [name for name in columns.TABLES if name not in (*columns.MAPS, "ledger")])
def test_in_a_whole_place_a_slip_is_among_what_is_told(table, small_place):
    """Ids that are nowhere and the like are told beside it; nothing but our own errors is raised."""
    small_place.thin(f"{table}.csv")

    @settings(FEW, max_examples=2)
    @given(rows=ours.rows_with_slip(table))
    def told(rows):
        _written(small_place.folder, rows)
        with pytest.raises(PlaceError) as stopped:
            place.read(small_place.folder)
        assert (f"{table}.csv", *rows.slip) in [(one.file, one.row, one.column) for one in stopped.value.faults]

    told()


@pytest.mark.parametrize("table", [name for name in columns.TABLES if name not in (*columns.MAPS, "ledger")])
def test_right_rows_in_a_whole_place_are_read_or_refused_in_words(table, small_place):
    """Each cell is right by itself; together they may gainsay each other."""
    small_place.thin(f"{table}.csv")

    @settings(FEW, max_examples=4)
    @given(rows=ours.table_rows(table))
    def read(rows):
        _written(small_place.folder, rows)
        try:
            place.read(small_place.folder)
        except PlaceError as error:
            assert error.faults and all(one.file and one.remedy for one in error.faults)
        except InputError as error:
            assert str(error)

    read()


@pytest.fixture
def ground(tmp_path):
    """A folder that lacks only its parcels, and a function that draws them and reads it."""
    (tmp_path / "place.toml").write_text('name = "Ground"\nregion = "lake_states"\n')

    def drawn(*shapes):
        told = ours.map_told(*(({"parcel_id": f"p{number}"}, shape) for number, shape in enumerate(shapes)))
        (tmp_path / "parcels.geojson").write_text(json.dumps(told))
        return place.read(tmp_path)

    return drawn


@settings(FEW, max_examples=25)
@given(shape=ours.outlines())
def test_an_outline_that_can_be_used_comes_back_as_it_was(ground, shape):
    """Holes, parts, parts that touch, slivers, ground far away, either way round: corner by corner."""
    read = ground(shape).parcels.geometry
    assert len(read) == 1
    assert (
        shapely.get_coordinates(read.iloc[0]).tolist()
        == shapely.get_coordinates(shapely.from_geojson(json.dumps(shape))).tolist()
    )


@pytest.mark.parametrize("kind", ours.CROOKED)
def test_a_crooked_outline_is_one_fault_at_its_row(kind, ground):
    """Between two outlines that can be used."""

    @settings(FEW, max_examples=2)
    @given(shape=ours.crooked(kind), good=ours.outlines())
    def told(shape, good):
        with pytest.raises(PlaceError) as stopped:
            ground(good, shape)
        faults = stopped.value.faults
        assert [(one.file, one.row, one.column) for one in faults] == [("parcels.geojson", 3, "geometry")]
        assert faults[0].found and faults[0].remedy

    told()

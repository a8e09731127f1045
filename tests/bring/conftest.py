"""One invented family's ground, as it would be truly known; each test hands it in in another way."""

from pathlib import Path

import geopandas as gpd
import openpyxl
import pytest
import shapely
from click.testing import CliRunner

from woodlot.cli import main
from woodlot.land.parcels import acres_geodesic

W, S = -89.4, 46.0
#: Some 40 acres each, side by side.
BACK = shapely.box(W, S, W + 0.0052, S + 0.0036)
CREEK = shapely.box(W + 0.0052, S, W + 0.0104, S + 0.0036)
#: Stands within the back forty and the creek forty.
NORTH = shapely.box(W + 0.0001, S + 0.0019, W + 0.0051, S + 0.0035)
SOUTH = shapely.box(W + 0.0001, S + 0.0001, W + 0.0051, S + 0.0018)
EAST = shapely.box(W + 0.0053, S + 0.0001, W + 0.0103, S + 0.0035)
PARCELS = gpd.GeoDataFrame(
    {"Name": ["Back forty", "Creek forty"], "description": ["SE1/4 of NE1/4 Sec 14 T32N R5W, 40 acres", ""]},
    geometry=[BACK, CREEK],
    crs=4326,
)
STANDS = gpd.GeoDataFrame(
    {"Name": ["Stand 1 - oak", "Stand 2 - pine", "Stand 3"], "description": ["", "planted", "cedar swamp, wet"]},
    geometry=[NORTH, SOUTH, EAST],
    crs=4326,
)
ACRES = [float(acres_geodesic(shape)) for shape in (BACK, CREEK)]
CRUISE = [
    ["Stand", "Plot #", "BAF", "Spp", "D.B.H. (in)", "Ht (ft)", "# logs"],
    ["1", "1", "10", "red oak", "14.2", "68", "2"],
    ["1", "1", "10", "sugar maple", "9.1", "55", ""],
    ["1", "2", "10", "red oak", "11", "60", "1"],
    ["2", "3", "10", "none", "", "", ""],
    ["2", "4", "10", "red pine", "12.5", "70", "2.5"],
]


def bring(place: Path, *more: object, code: int = 0):
    """A run of the verb without a terminal; what it printed."""
    told = CliRunner().invoke(main, ["bring", str(place), *map(str, more)])
    assert told.exception is None or isinstance(told.exception, SystemExit), repr(told.exception)
    assert told.exit_code == code, told.output
    return told


def said(told) -> str:
    """All that a run printed, on one line."""
    return " ".join((told.stdout + told.stderr).split())


def workbook(path: Path, **sheets: list[list]) -> Path:
    """An XLSX of the sheets given."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def comma(path: Path, rows: list[list], sep: str = ",", encoding: str = "utf-8") -> Path:
    """A text table."""
    path.write_bytes("\n".join(sep.join(map(str, row)) for row in rows).encode(encoding))
    return path


@pytest.fixture
def drawn(tmp_path) -> Path:
    """A place with the two parcels and three stands brought from GeoJSON."""
    PARCELS.to_file(tmp_path / "Parcels.json", driver="GeoJSON")
    STANDS.to_file(tmp_path / "Stands.json", driver="GeoJSON")
    bring(tmp_path / "woods", tmp_path / "Parcels.json", tmp_path / "Stands.json")
    return tmp_path / "woods"

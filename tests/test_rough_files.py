"""Files that are not what they seem are refused in words, at once and in little memory, and lead nowhere else."""

import io
import json
import math
import os
import random
import socket
import sqlite3
import struct
import subprocess
import sys
import zipfile
from pathlib import Path

import numpy as np
import openpyxl
import pytest
import shapely
from click.testing import CliRunner

from woodlot.cli import main
from woodlot.errors import PlaceError
from woodlot.place import with_care
from woodlot.place.bringing.opening import open_layers
from woodlot.place.tabular import xlsx_rows
from woodlot.place.tangles import tangled

MEGABYTES = 1 << 20
#: Runs a verb and tells, behind what it says, the most memory that it held, in kilobytes.
MEASURED = """
import resource, sys
from woodlot.cli import main
try:
    main(sys.argv[1:], prog_name="woodlot")
finally:
    print("peak", resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""
LAUGHS = '<!DOCTYPE k [<!ENTITY a "ha">' + "".join(f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in zip("abcdefgh", "bcdefghi", strict=True)) + "]>"  # fmt: skip  # noqa: E501


def walked(folder: Path, verb: str = "walk", *more: str) -> str:
    """What a verb says when it stops, on one line."""
    told = CliRunner().invoke(main, [verb, str(folder), *more])
    assert told.exit_code == 1, told.output
    assert told.exception is None or isinstance(told.exception, SystemExit), repr(told.exception)
    return " ".join(told.stderr.split())


def packed(files: dict[str, bytes], told: int | None = None) -> bytes:
    """A ZIP; told: the size that its list says of every member, whatever it is."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in files.items():
            made.writestr(name, data)
    data, at = bytearray(out.getvalue()), -1
    while told is not None and (at := data.find(b"PK\x01\x02", at + 1)) >= 0:
        struct.pack_into("<I", data, at + 24, told)
    return bytes(data)


def workbook(change: dict[str, bytes] | None = None) -> dict[str, bytes]:
    """The members of a small workbook, some of them changed."""
    book, out = openpyxl.Workbook(), io.BytesIO()
    book.active.append(["plot_id", "stand_id"])
    book.active.append(["1", "1"])
    book.save(out)
    with zipfile.ZipFile(out) as saved:
        return {name: saved.read(name) for name in saved.namelist()} | (change or {})


def sheet(rows: str) -> dict[str, bytes]:
    """A workbook whose one sheet holds rows of XML."""
    head = '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
    return workbook({"xl/worksheets/sheet1.xml": f"{head}{rows}</sheetData></worksheet>".encode()})


@pytest.mark.slow
@pytest.mark.parametrize("file", ["plots.xlsx", "stands.zip", "brought.zip", "brought.kmz"])
def test_a_zip_that_lies_about_its_size_stays_small(small_place, tmp_path, file):
    """A member that says 3 kB and unpacks to 600 MB is refused in under 120 MB more than reading takes anyway."""
    big = {"xl/worksheets/sheet1.xml": bytes(600 * MEGABYTES)}
    if file.startswith("plots"):
        files, place = workbook(big), small_place.folder
        (place / "plots.csv").unlink()
    else:
        inside = {"stands.zip": "stands.shp", "brought.zip": "trees.csv", "brought.kmz": "doc.kml"}[file]
        files, place = {inside: bytes(600 * MEGABYTES)}, small_place.folder
        (place / "stands.geojson").unlink(missing_ok=file == "stands.zip")
    peaks = {}
    for name, data in (("small", packed({"a.csv": b"x"})), ("lying", packed(files, told=3000))):
        (place / file).write_bytes(data)
        verb = ["bring", str(place), str(place / file)] if file.startswith("brought") else ["walk", str(place)]
        run = subprocess.run([sys.executable, "-c", MEASURED, *verb], capture_output=True, text=True, timeout=240)
        assert run.returncode == 1 and "Traceback" not in run.stderr, run.stderr
        peaks[name] = int(run.stdout.split()[-1]) // 1024
    assert f"{file}:" in run.stderr
    assert peaks["lying"] < peaks["small"] + 120


def test_what_a_zip_unpacks_to_is_counted(small_place):
    """Zeros that unpack to a thousand times their size are refused, also where the ZIP says so itself."""
    (small_place.folder / "stands.geojson").unlink()
    (small_place.folder / "stands.zip").write_bytes(packed({"stands.shp": bytes(60 * MEGABYTES)}))
    assert "stands.zip: unpacks to more than 12 MB" in walked(small_place.folder)


def test_a_zip_of_ten_thousand_files_is_refused(tmp_path):
    """A map or a workbook holds some dozen files."""
    path = tmp_path / "many.zip"
    path.write_bytes(packed({f"{at}.csv": b"" for at in range(10_001)}))
    with pytest.raises(PlaceError, match="10,001 files within"):
        open_layers(path, lambda rows: 0)


def test_a_workbook_with_one_cell_at_its_far_end_is_refused(tmp_path):
    """Row 1,048,576 and column 16,384: a few bytes that would fill a table of 17 thousand million cells."""
    path = tmp_path / "far.xlsx"
    cells = "".join(f'<row r="{r}"><c r="XFD{r}" t="inlineStr"><is><t>x</t></is></c></row>' for r in range(1, 2000))
    path.write_bytes(packed(sheet(cells)))
    with pytest.raises(PlaceError, match="more than 10,000,000 cells"):
        xlsx_rows(path)


@pytest.mark.parametrize("wide", [501, 100_000])
def test_a_table_of_too_many_columns_is_refused(small_place, wide):
    """Five hundred columns are more than any table of woods has."""
    (small_place.folder / "plots.csv").write_text("plot_id,stand_id" + ",a" * (wide - 2) + "\n1,1\n")
    assert "plots.csv: more than 500 columns" in walked(small_place.folder)


def test_a_million_empty_rows_of_a_spreadsheet_are_no_rows(small_place):
    """A sheet that was saved down to its last row is read as far as it is filled."""
    path = small_place.folder / "plots.csv"
    path.write_text(path.read_text() + ",,,,,,,,,\n" * 1_000_000)
    assert CliRunner().invoke(main, ["walk", str(small_place.folder)]).exit_code == 0


@pytest.mark.parametrize("file", ["parcels.kml", "plots.xlsx", "brought.gpx"])
def test_words_that_an_xml_defines_for_itself_are_refused(small_place, file):
    """Ten words that each stand for ten others are a billion; no map and no workbook needs one."""
    path = small_place.folder / file
    for old in small_place.folder.glob(f"{path.stem}.*"):
        old.unlink()
    if file == "plots.xlsx":
        path.write_bytes(packed(workbook({"xl/worksheets/sheet1.xml": f"{LAUGHS}<worksheet>&i;</worksheet>".encode()})))
    else:
        root = path.suffix[1:]
        path.write_text(f"{LAUGHS}<{root}><name>&i;</name></{root}>")
    told = walked(small_place.folder, *(("bring",) if file.startswith("brought") else ()))
    assert f"{file}: defines words of its own" in told


def test_brackets_and_digits_without_end_are_refused(small_place):
    """Lists a hundred thousand deep, tables of 200,000 parts, and a number of a million digits, in map and settings."""
    path, toml = small_place.folder / "parcels.geojson", small_place.folder / "place.toml"
    whole, text = path.read_text(), toml.read_text()
    for deep in (150, 900, 100_000):
        path.write_text(whole.replace('"Home forty"', "[" * deep + "]" * deep))
        assert "parcels.geojson: brackets within brackets without end" in walked(small_place.folder)
    path.write_text(whole.replace('"Home forty"', "1" * 1_000_000))
    assert "parcels.geojson: a number without end" in walked(small_place.folder)
    path.write_text(whole)
    for nested in ("a = " + "[" * 100_000, ".".join("a" * 200_000) + " = 1", f"[{'.'.join('a' * 50)}]\nb = 1"):
        toml.write_text(f"{text}\n{nested}\n")
        assert "place.toml: brackets or dots within one another without end" in walked(small_place.folder)
    toml.write_text(text.replace("7.5", "1" * 100_000))
    assert "place.toml: a number without end" in walked(small_place.folder)


def test_folders_of_a_kml_end_somewhere(small_place):
    """A hundred folders within folders are more than anybody opens."""
    (small_place.folder / "parcels.geojson").unlink()
    deep = "<Folder>" * 1000 + "</Folder>" * 1000
    (small_place.folder / "parcels.kml").write_text(f"<kml>{deep}</kml>")
    assert "parcels.kml: more than 100 folders within folders" in walked(small_place.folder)


def pipe(path: Path) -> None:
    """A pipe into which nobody writes."""
    os.mkfifo(path)


def listening(path: Path) -> None:
    """A socket."""
    here = Path.cwd()
    os.chdir(path.parent)  # its name may be a hundred letters long
    try:
        socket.socket(socket.AF_UNIX).bind(path.name)
    finally:
        os.chdir(here)


KINDS = {
    "a pipe": pipe,
    "a socket": listening,
    "a folder": Path.mkdir,
    "a device": lambda path: path.symlink_to("/dev/zero"),
    "a link that leads nowhere": lambda path: path.symlink_to("nowhere"),
}
NAMES = ("plots.csv", "place.toml", "ledger.csv", "elevation.tif", "parcels.geojson", "stands.gpkg", "trees.xlsx")
NAMES += ("features.zip", "group/neighbor.geojson", "land_cover_codes.csv")


@pytest.mark.parametrize("kind", KINDS)
def test_only_files_are_read(small_place, kind):
    """A pipe would be waited for without end, a device never ends; each is named under every name that is read."""
    if not hasattr(os, "mkfifo"):
        pytest.skip("this system has no pipes")
    for name in NAMES:
        path = small_place.folder / name
        path.parent.mkdir(exist_ok=True)
        for old in path.parent.glob(f"{path.stem}.*"):
            old.unlink() if old.is_file() or old.is_symlink() else None
        KINDS[kind](path)
    told = " ".join(walked(small_place.folder).split())
    others = [name for name in NAMES if name != "ledger.csv"]
    assert [name for name in others if f"{name}: {kind}" not in told] == []
    assert "The ledger is kept in plain files. Put the file ledger.csv itself here." in told


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes")
@pytest.mark.parametrize("verb", ["note", "bring", "sheet", "plan"])
def test_no_verb_waits_for_a_pipe(small_place, tmp_path, verb):
    """A pipe behind --from and --add, as a file to be brought, and as a plan that was kept."""
    at = tmp_path / "trees.csv"
    if verb == "plan":
        (small_place.folder / "plans").mkdir()
        at = small_place.folder / "plans" / "2020-01-01.zip"
    os.mkfifo(at)
    more = {"note": ["--from", str(at)], "bring": [str(at)], "sheet": ["--add", str(at)], "plan": []}[verb]
    run = subprocess.run(
        [sys.executable, "-c", MEASURED, verb, str(small_place.folder), *more],
        capture_output=True,
        text=True,
        timeout=240,
    )
    assert "Traceback" not in run.stderr
    said = "plans/2020-01-01.zip cannot be read" if verb == "plan" else "trees.csv: a pipe, no file"
    assert said in " ".join(run.stderr.split())


def test_every_row_with_other_letters_is_named(small_place):
    """A table of two encodings, as it comes of pasting one file behind another, names all rows of the second."""
    path = small_place.folder / "trees.csv"
    text = path.read_text().replace("yellow birch", "yéllow birch").encode()
    path.write_bytes(text.replace(b"red pine", "réd pine".encode("cp1252")))
    told = walked(small_place.folder)
    assert "trees.csv, row 6" in told and "trees.csv, row 7" in told and "row 5" not in told


def test_a_raster_that_leads_elsewhere_is_refused(small_place):
    """A recipe for a raster (VRT, a tile service) under the name of a TIFF could fetch anything."""
    for text in ("<VRTDataset rasterXSize='9' rasterYSize='9'/>", "<GDAL_WMS><Service name='TMS'/></GDAL_WMS>"):
        (small_place.folder / "elevation.tif").write_text(text)
        assert "elevation.tif: cannot be read as a raster: it is no TIFF" in walked(small_place.folder)


@pytest.mark.parametrize("wide, tile, bands, said", [
    (2_000_000_000, 256, 1, "more than can be read"),
    (32_768, 32_768, 1, "stored in pieces of 4,295 MB"),
    (64, 16, 300, "has 300 bands"),
])  # fmt: skip
def test_a_raster_that_is_too_large_is_refused(small_place, wide, tile, bands, said):
    """Two thousand million cells across, one tile of four gigabytes, three hundred bands; few bytes on the disk."""
    import rasterio
    from rasterio.transform import from_origin

    path, side = small_place.folder / "elevation.tif", 0.04 / wide
    rows = min(wide, 1_000_000)
    shape = {"width": wide, "height": rows, "count": bands, "dtype": "float32", "crs": "EPSG:4326"}
    tiles = {"tiled": True, "blockxsize": tile, "blockysize": tile, "SPARSE_OK": True, "BIGTIFF": "YES"}
    if wide > 1_000_000:  # the list of its tiles alone would be gigabytes: tell of a raster instead of making one
        from woodlot.errors import InputError
        from woodlot.land.tiffs import check_cells

        class Sheet:
            name, columns, rows = "elevation.tif", wide, wide

        with pytest.raises(InputError, match=said):
            check_cells(np.array([[0.0, 0.0, wide, wide]]), Sheet())
        return
    place = from_origin(-89.41, 46.12, side, 0.04 / rows)
    with rasterio.open(path, "w", driver="GTiff", transform=place, **shape, **tiles):
        pass
    assert said in walked(small_place.folder)


@pytest.mark.parametrize("sql, said", [
    (["alter table parcels rename to p", "create view parcels as select * from p"], "parcels is worked out from other"),
    (["alter table parcels add column more text as (hex(zeroblob(9)))"], "parcels is worked out from other tables"),
])  # fmt: skip
def test_a_geopackage_that_works_things_out_is_refused(small_place, sql, said):
    """A view can count without end, a column that is worked out can be of any length."""
    import geopandas as gpd

    old, path = small_place.folder / "parcels.geojson", small_place.folder / "parcels.gpkg"
    gpd.read_file(old).to_file(path, layer="parcels")
    old.unlink()
    assert CliRunner().invoke(main, ["walk", str(small_place.folder)]).exit_code == 0
    base = sqlite3.connect(path)
    for one in sql:
        base.execute(one)
    base.commit()
    base.close()
    assert f"parcels.gpkg: {said}" in walked(small_place.folder)


def test_an_outline_that_crosses_itself_without_end_is_not_mended():
    """A hundred and fifty corners in any order; a walked line with some crossings is not such a one."""
    draw = random.Random(1)
    knot = shapely.Polygon([(draw.random(), draw.random()) for _ in range(150)])
    turns = [(a / 60, (a * 7) % 5 / 100) for a in range(60)]
    walk = shapely.Polygon([*turns, (0.5, 0.01), (0.5, -1), (0, -1)])
    ring = shapely.Polygon([(math.cos(a / 500 * math.tau), math.sin(a / 500 * math.tau)) for a in range(500)])
    assert not walk.is_valid and ring.is_valid
    assert list(tangled([knot, walk, ring])) == [True, False, False]


@pytest.mark.parametrize("apart, number, said", [
    (0, 200, "outlines that lie on one another"),
    (1, 2_001, "2,001 outlines, more than 2,000"),
])  # fmt: skip
def test_a_heap_of_outlines_is_refused(small_place, apart, number, said):
    """Two hundred outlines on the same ground are forty thousand pairs; two thousand parcels are no family's."""
    first = small_place.maps["parcels.geojson"]["features"][0]
    corners = np.array(first["geometry"]["coordinates"])
    steps = [np.array([0.006 * (at % 50), 0.004 * (at // 50)]) * apart for at in range(number)]
    shapes = [(corners + step).tolist() for step in steps]
    small_place.maps["parcels.geojson"]["features"] = [
        {**first, "properties": {"parcel_id": str(at)}, "geometry": {"type": "Polygon", "coordinates": one}}
        for at, one in enumerate(shapes)
    ]
    small_place.draw()
    assert f"parcels.geojson: {said}" in walked(small_place.folder)


def test_too_many_corners_are_told(small_place):
    """More corners than a line of woods needs are named with their number."""
    corners = [[-89.4 + 0.01 * math.cos(a / 4e4), 46.1 + 0.01 * math.sin(a / 4e4)] for a in range(200_001)]
    small_place.maps["parcels.geojson"]["features"][0]["geometry"]["coordinates"] = [[*corners, corners[0]]]
    small_place.draw()
    assert "parcels.geojson: 200,002 corners in one shape" in walked(small_place.folder)


def test_a_file_is_read_no_further_than_it_may_be(tmp_path, monkeypatch):
    """The size is counted while reading: a file may grow behind what the system said of it."""
    path = tmp_path / "plots.csv"
    path.write_bytes(b"x" * 1001)
    assert len(with_care.data_of(path, most=1001)) == 1001
    with pytest.raises(PlaceError, match=r"over 0\.001 MB"):
        with_care.data_of(path, most=1000)


def test_lists_within_lists_are_counted():
    """A hundred deep is not deep, one more is; lists beside one another are not counted together."""
    flat = json.loads("[" * 100 + "]" * 100)
    assert not with_care.is_deep(flat) and with_care.is_deep([flat]) and not with_care.is_deep([[]] * 1000)

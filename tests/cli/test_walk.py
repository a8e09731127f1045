"""``woodlot walk`` and ``woodlot start``: what is there, said in words, as JSON and as a table."""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot.cli import VERBS, main

REPO = Path(__file__).parents[2]


def woodlot(*arguments: object):
    """A run of the command in this process."""
    told = CliRunner().invoke(main, [str(a) for a in arguments])
    assert told.exception is None or isinstance(told.exception, SystemExit), repr(told.exception)
    return told


def test_walk_says_what_is_there(small_place):
    """Counts, acres beside deed acres, the corner contact, stands, remarks; at most 80 columns of plain letters."""
    told = woodlot("walk", small_place.folder, "--as-of", "2026-11-25")
    assert told.exit_code == 0, told.output
    assert told.stdout.startswith("Testing forty: what was read")
    assert "2 parcels, " in told.stdout and "5 plots, 7 trees, 2 tallied trees, 2 pellet plots." in " ".join(
        told.stdout.split()
    )
    assert "one corner only" in " ".join(told.stdout.split()) and "2 blocks that do not join." in told.stdout
    assert '"popple" is aspen' in told.stdout and told.stdout.endswith("Every row can be used.\n")
    assert all(len(line) <= 80 and line.isascii() for line in told.stdout.splitlines())


def test_a_stand_without_a_parcel_is_found_by_its_place(small_place):
    """Stand 2 names no parcel and lies in the ridge forty."""
    told = json.loads(woodlot("walk", small_place.folder, "--json").stdout)
    assert {s["stand_id"]: s["parcel_id"] for s in told["stands"]} == {"1": "home", "2": "ridge"}


def test_json_is_the_only_thing_on_standard_output(small_place):
    """Unrounded acres, rows by file, null for what is missing, the day asked for."""
    told = woodlot("walk", small_place.folder, "--json", "--as-of", "2026-11-25")
    said = json.loads(told.stdout)
    assert told.exit_code == 0 and said["as_of"] == "2026-11-25"
    assert said["rows"]["trees"] == 6 and said["contacts"][0]["kind"] == "corner"
    home = said["parcels"][0]
    assert home["acres"] != round(home["acres"], 3) and abs(home["acres"] - 39.75) < 0.5
    assert said["stands"][1]["age_yr"] is None and "geometry" not in home


def test_csv_is_the_same_table(small_place, tmp_path):
    """--csv writes the parcels that the screen shows, unrounded, and the screen is shown too."""
    told = woodlot("walk", small_place.folder, "--csv", tmp_path / "parcels.csv")
    frame = pd.read_csv(tmp_path / "parcels.csv")
    assert told.exit_code == 0 and frame["parcel_id"].tolist() == ["home", "ridge"]
    assert f"{frame['acres'][0]:.1f}" in told.stdout


def test_another_region_by_option(small_place):
    """--region is used instead of the one in place.toml; one that is not there is refused in words."""
    assert (
        json.loads(woodlot("walk", small_place.folder, "--region", "northeast", "--json").stdout)["region"]
        == "northeast"
    )
    told = woodlot("walk", small_place.folder, "--region", "north_east")
    assert told.exit_code == 1 and "Did you mean northeast?" in told.stderr


def test_a_day_that_is_none_is_refused(small_place):
    """--as-of wants 2026-11-25; click's own exit code 2."""
    told = woodlot("walk", small_place.folder, "--as-of", "yesterday")
    assert told.exit_code == 2 and "2026-10-09" in told.stderr


@pytest.mark.parametrize("verb", [name for name in VERBS if name not in ("start", "bring", "mend", "note", "book")])
def test_a_day_before_all_records_is_refused(small_place, verb):
    """--as-of 0001-01-01 in every verb that takes it: words and exit code 1."""
    what = ["cords"] if verb == "why" else []
    told = woodlot(verb, *what, small_place.folder, "--as-of", "0001-01-01")
    assert told.exit_code == 1 and told.stdout == ""
    assert woodlot("walk", small_place.folder, "--as-of", "1900-01-01").exit_code == 0
    assert told.stderr == "Stopped: 0001-01-01 is before 1900-01-01; is the year right?\n"


def test_start_then_walk(tmp_path):
    """A new place is laid out; walk says that the parcels are missing, and nothing else; start never writes over it."""
    told = woodlot("start", tmp_path / "ours")
    assert told.exit_code == 0 and "columns.txt" in told.stdout and "parcels.geojson" in told.stdout
    told = woodlot("walk", tmp_path / "ours")
    assert told.exit_code == 1 and told.stderr.startswith("Stopped: 1 thing needs mending.")
    assert "parcels.geojson: not there" in told.stderr
    told = woodlot("start", tmp_path / "ours")
    assert told.exit_code == 1 and "already, and nothing there is written over" in " ".join(told.stderr.split())


def test_the_remedy_for_a_missing_place_toml_works(small_place):
    """What walk says to do, done word for word, leaves a place whose only lack is gone."""
    small_place.thin()
    (small_place.folder / "place.toml").unlink()
    told = woodlot("walk", small_place.folder)
    said = " ".join(told.stderr.split())
    assert told.exit_code == 1 and f"woodlot start {small_place.folder} adds it, and only it." in said
    told = woodlot("start", small_place.folder)
    assert told.exit_code == 0 and "nothing else there was touched" in " ".join(told.stdout.split())
    assert woodlot("walk", small_place.folder).exit_code == 0


def raster(path, west, south, across=0.012, north=0.012, **more):
    """A GeoTIFF of ones, 60 by 60 cells."""
    rasterio = pytest.importorskip("rasterio")
    side = 60
    told = {"driver": "GTiff", "width": side, "height": side, "count": 1, "dtype": "float32", "crs": "EPSG:4326"}
    told["transform"] = rasterio.transform.from_bounds(west, south, west + across, south + north, side, side)
    with rasterio.open(path, "w", **told | more) as out:
        out.write(np.random.default_rng(1).normal(size=(1, side, side)).astype("float32"))


def test_every_fault_of_every_raster_is_said_in_one_pass(small_place):
    """Elsewhere, torn in its cells, a text, without a reference system, and a slip in a table: five things at once."""
    home = small_place.folder
    raster(home / "elevation.tif", -80.0, 40.0)
    raster(home / "canopy_height.tif", -89.401, 46.099, blockysize=1)
    whole = (home / "canopy_height.tif").read_bytes()
    (home / "canopy_height.tif").write_bytes(whole[: len(whole) // 2])
    (home / "land_cover.tif").write_text("not a picture")
    raster(home / "north_picture.tif", -89.401, 46.099, crs=None)
    raster(home / "scan.tif", -89.401, 46.099)
    small_place.change("trees.csv", "12.2,68", "122,68")
    told = woodlot("walk", home)
    said = " ".join(told.stderr.split())
    assert told.exit_code == 1 and said.startswith("Stopped: 5 things need mending."), said
    assert "trees.csv, row 2, dbh_in: 122 Larger than 60 inches." in said
    assert "elevation.tif: lies elsewhere: it is at longitude -80.00 to -79.99" in said
    assert "canopy_height.tif: is damaged and cannot be read to the end" in said
    assert "land_cover.tif: cannot be read as a raster" in said
    assert "north_picture.tif: does not say which reference system (CRS) it is in Save it again with one." in said
    small_place.change("trees.csv", "122,68", "12.2,68")
    assert " ".join(woodlot("walk", home).stderr.split()).startswith("Stopped: 4 things need mending.")


def test_a_sound_raster_is_read_and_one_without_use_is_a_remark(small_place):
    """Heights under the parcels pass; a scan of a deed is said not to be used; nothing stops."""
    raster(small_place.folder / "elevation.tif", -89.401, 46.099)
    raster(small_place.folder / "scan.tif", -80.0, 40.0)
    told = woodlot("walk", small_place.folder)
    assert told.exit_code == 0, told.stderr
    assert "scan.tif is not used: name it elevation, canopy_height" in " ".join(told.stdout.split())


def test_start_with_a_region_or_sample_that_is_none(tmp_path):
    """Refused before a folder is made."""
    assert woodlot("start", tmp_path / "a", "--region", "moon").exit_code == 1
    assert woodlot("start", tmp_path / "b", "--sample", "moon").exit_code == 1
    assert not (tmp_path / "b").exists()


def test_the_sample_can_be_started_and_walked(tmp_path):
    """A copy of the larger sample reads without a fault."""
    if not (REPO / "sample_parcels" / "otter_lake" / "place.toml").is_file():
        pytest.skip("sample_parcels/otter_lake is not here")
    assert woodlot("start", tmp_path / "copy", "--sample", "otter_lake").exit_code == 0
    told = woodlot("walk", tmp_path / "copy")
    assert told.exit_code == 0, told.output
    assert "at one corner only" in " ".join(told.stdout.split())


def test_a_real_process_ends_with_code_1_and_no_traceback(small_place):
    """As a family runs it: faults on standard error, nothing on standard output."""
    small_place.change("trees.csv", "12.2,68", "122,68")
    run = subprocess.run(
        [sys.executable, "-m", "woodlot", "walk", str(small_place.folder)], capture_output=True, text=True, cwd=REPO
    )
    assert (run.returncode, run.stdout) == (1, "")
    assert run.stderr.startswith("Stopped: 1 row needs mending.") and "Traceback" not in run.stderr

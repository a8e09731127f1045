"""``woodlot mend``: lines traced twice drawn as one, the file as it was kept, in every form of map."""

import json

import geopandas as gpd
import pytest
import shapely
from click.testing import CliRunner

from woodlot import place as places
from woodlot.cli import main
from woodlot.land.parcels import local_crs

CRS = local_crs((-89.4, 46.1))
HOME, RIDGE = shapely.box(0, 0, 1320, 1320), shapely.Polygon([(1324, 0), (1333, 1320), (2640, 1320), (2640, 0)])


def woodlot(*arguments):
    """A run of the command in this process."""
    told = CliRunner().invoke(main, [str(a) for a in arguments])
    assert told.exception is None or isinstance(told.exception, SystemExit), repr(told.exception)
    return told


def frame(shapes, **columns):
    """Outlines laid out in feet, in degrees."""
    return gpd.GeoDataFrame(columns, geometry=gpd.GeoSeries(list(shapes), crs=CRS).to_crs(4326), crs=4326)


PARCELS = frame([HOME, RIDGE], parcel_id=["home", "ridge"], name=["Home forty", None], deed_acres=[40.0, 39.5])
STANDS = frame([HOME, RIDGE], stand_id=["1", "2"], cover=["oak", "pine"], frozen_ground_only=["no", "yes"])


@pytest.fixture
def folder(tmp_path):
    """A place of two forties traced 4 to 13 ft apart and their stands."""
    (tmp_path / "place.toml").write_text('name = "Traced"\nregion = "lake_states"\n', encoding="utf-8")
    PARCELS.to_file(tmp_path / "parcels.geojson", driver="GeoJSON", engine="pyogrio")
    STANDS.to_file(tmp_path / "stands.geojson", driver="GeoJSON", engine="pyogrio")
    return tmp_path


def names(folder):
    """Files of the folder."""
    return sorted(path.name for path in folder.iterdir())


def test_walk_names_the_command_and_the_command_does_it(folder):
    """What walk says is typed as it stands; then lines meet, nothing is named any more, done again nothing is done."""
    told = woodlot("walk", folder)
    said = " ".join(told.stdout.split())
    command = f"woodlot mend {folder} --within 15"
    assert "No two parcels touch." in said and f"likely one line traced twice; `{command}` draws it as one." in said
    was = {name: (folder / name).read_bytes() for name in ("parcels.geojson", "stands.geojson")}
    told = woodlot(*command.split()[1:])
    assert told.exit_code == 0 and "2 parcels and 2 stands move, the farthest by 6 feet." in " ".join(
        told.stdout.split()
    )
    assert names(folder) == [
        "parcels.before.geojson",
        "parcels.geojson",
        "place.toml",
        "stands.before.geojson",
        "stands.geojson",
    ]
    assert {name: (folder / name.replace(".", ".before.", 1)).read_bytes() for name in was} == was
    told = woodlot("walk", folder)
    assert "share 1,320 feet of line." in told.stdout and "nearly agree" not in told.stdout and told.exit_code == 0
    kept = {name: (folder / name).read_bytes() for name in names(folder)}
    told = woodlot("mend", folder, "--within", "15")
    assert told.exit_code == 1 and told.stdout == ""
    assert " ".join(told.stderr.split()) == (
        "Stopped: No two lines that may be one lie within 15 feet of each other, so nothing is changed."
    )
    assert {name: (folder / name).read_bytes() for name in names(folder)} == kept


def test_attributes_and_what_else_a_geojson_holds_stay(folder):
    """Every property is the same; a member of the family's own stays; a box round the shapes goes, since it is old."""
    whole = json.loads((folder / "parcels.geojson").read_text(encoding="utf-8"))
    whole |= {"bbox": [0, 0, 1, 1], "drawn_by": "Ann"}
    (folder / "parcels.geojson").write_text(json.dumps(whole), encoding="utf-8")
    assert woodlot("mend", folder, "--within", "15").exit_code == 0
    now = json.loads((folder / "parcels.geojson").read_text(encoding="utf-8"))
    assert [one["properties"] for one in now["features"]] == [one["properties"] for one in whole["features"]]
    assert now["drawn_by"] == "Ann" and "bbox" not in now


@pytest.mark.parametrize("form", ["parcels.kml", "parcels.gpkg", "parcels.shp", "Parcels.shp.zip"])
def test_other_forms_are_written_as_geojson_and_set_aside(folder, form, tmp_path_factory):
    """The place reads the same but for the lines; the old file is whole under a name that is not read."""
    (folder / "parcels.geojson").unlink()
    made = tmp_path_factory.mktemp("made")
    if form == "parcels.kml":
        PARCELS.rename(columns={"parcel_id": "Name"})[["Name", "deed_acres", "geometry"]].to_file(
            folder / form, driver="KML", engine="pyogrio"
        )
    elif form == "Parcels.shp.zip":
        PARCELS.to_crs(26916).to_file(made / form.lower(), driver="ESRI Shapefile", engine="pyogrio")
        (made / form.lower()).rename(folder / form)
    else:
        PARCELS.to_crs(26916).to_file(folder / form, engine="pyogrio")
    before, raw = places.maps(folder).parcels, (folder / form).read_bytes()
    told = woodlot("mend", folder, "--within", "15")
    assert told.exit_code == 0, told.output
    kept = form.replace("arcels", "arcels.before")
    assert (folder / kept).read_bytes() == raw and (folder / "parcels.geojson").is_file()
    assert not [name for name in names(folder) if name.lower().startswith("parcels.") and "before" not in name][1:]
    after = places.maps(folder).parcels
    assert after.drop(columns="geometry").equals(before.drop(columns="geometry"))
    assert woodlot("walk", folder).exit_code == 0


def test_short_headings_of_a_shapefile_are_written_whole(folder):
    """frozen_gro of a Shapefile is frozen_ground_only in the GeoJSON, so it is read as before."""
    (folder / "stands.geojson").unlink()
    STANDS.to_file(folder / "stands.shp", engine="pyogrio")
    assert woodlot("mend", folder, "--within", "15").exit_code == 0
    assert places.maps(folder).stands["frozen_ground_only"].tolist() == [False, True]
    assert "stands.before.dbf" in names(folder) and "stands.dbf" not in names(folder)


def test_the_cover_in_a_name_of_a_kml_is_kept(folder):
    """The word for a cover that stood in a stand's name stands in the column cover of what is written."""
    (folder / "stands.geojson").unlink()
    (folder / "words.csv").write_text("about,written,meant\ncover,wet hole,cedar swamp\n", encoding="utf-8")
    named = STANDS[["geometry"]].assign(Name=["1 - popple", "2 - wet hole"])
    named.to_file(folder / "stands.kml", driver="KML", engine="pyogrio")
    before = places.read(folder).stands["cover"].tolist()
    assert woodlot("mend", folder, "--within", "15").exit_code == 0
    assert "stands.geojson" in names(folder)
    assert places.read(folder).stands["cover"].tolist() == before == ["aspen and birch", "cedar swamp"]


def test_nothing_kept_is_written_over(folder):
    """A file of that name that is there already stays; the next number is taken."""
    (folder / "parcels.before.geojson").write_text("mine", encoding="utf-8")
    assert woodlot("mend", folder, "--within", "15").exit_code == 0
    assert (folder / "parcels.before.geojson").read_text(encoding="utf-8") == "mine"
    assert "parcels.before2.geojson" in names(folder)


def test_a_trial_writes_nothing_and_says_the_same(folder):
    """--dry-run: the same acres as the run itself, no file touched; JSON, screen and table say the same."""
    was = {name: (folder / name).read_bytes() for name in names(folder)}
    told = woodlot("mend", folder, "--within", "15", "--dry-run")
    assert "nothing is written" in told.stdout and {n: (folder / n).read_bytes() for n in names(folder)} == was
    tried = json.loads(woodlot("mend", folder, "--within", "15", "--dry-run", "--json").stdout)
    done = json.loads(woodlot("mend", folder, "--within", "15", "--json").stdout)
    assert tried["outlines"] == done["outlines"] and tried["files"] == {}
    assert done["files"] == {
        "parcels.geojson": "parcels.before.geojson",
        "stands.geojson": "stands.before.geojson",
    }
    home = done["outlines"][0]
    assert home["acres_before"] == pytest.approx(40.0, abs=1e-3)
    assert home["acres"] == pytest.approx(40.0 + 4.25 * 1320 / 43560, abs=2e-3) and home["moved_ft"] > 6


def test_what_is_farther_apart_is_left_and_told(folder):
    """Within 10: nothing is done, and the distance that would do is named. A slip in another table stops nothing."""
    (folder / "trees.csv").write_text("plot_id,species\n1,nonsense\n", encoding="utf-8")
    told = woodlot("mend", folder, "--within", "10")
    assert told.exit_code == 1 and "there are some within 15." in " ".join(told.stderr.split())
    assert woodlot("mend", folder, "--within", "15").exit_code == 0


def test_a_pair_must_be_there_and_an_outline_whole(folder):
    """An unknown parcel, no distance, and an outline that crosses itself end in words; nothing is written."""
    told = woodlot("mend", folder, "--within", "15", "--pair", "home", "rigde")
    assert told.exit_code == 1 and "there is no parcel 'rigde'" in told.stderr.lower()
    assert woodlot("mend", folder).exit_code == 2
    bow = frame([shapely.Polygon([(0, 0), (9, 9), (9, 0), (0, 9)])], parcel_id=["home"])
    bow.to_file(folder / "parcels.geojson", driver="GeoJSON", engine="pyogrio")
    told = woodlot("mend", folder, "--within", "15")
    assert told.exit_code == 1 and "parcels.geojson" in told.stderr and "crosses itself" in told.stderr
    (folder / "parcels.geojson").unlink()
    assert "parcels.geojson: not there" in woodlot("mend", folder, "--within", "15").stderr
    assert names(folder) == ["place.toml", "stands.geojson"]


def test_a_full_disk_leaves_the_outlines_whole(folder, monkeypatch):
    """Refused in the middle of writing: words, and every file as it was."""
    from woodlot.place import swapping

    was = {name: (folder / name).read_bytes() for name in names(folder)}

    def full(path, data):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(swapping, "write_beside", full)
    told = woodlot("mend", folder, "--within", "15")
    assert told.exit_code == 1 and {name: (folder / name).read_bytes() for name in names(folder)} == was

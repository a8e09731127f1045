"""What neighbors hand one another: the file holds outline, acres and kills alone, and is read with all its faults."""

import datetime as dt
import json
import re
import shutil

import geopandas as gpd
import pytest
import shapely
from click.testing import CliRunner

from tests.conftest import LAT, LON, SOUTH, WEST, square
from woodlot import place
from woodlot.cli import main
from woodlot.errors import PlaceError
from woodlot.place import kept_plans
from woodlot.season import season

DAY = dt.date(2026, 11, 25)
AS_OF = ("--as-of", "2026-11-25")
#: Forties of two neighbors: one touches the Ridge forty, one lies a mile farther east.
NEAR, FAR = square(2, 1), square(8, 1)


def handed(family="Smith", geometry=NEAR, acres=None, kills=(), **more):
    """A neighbor's file, as it would be written."""
    from woodlot.land.parcels import acres_geodesic

    acres = round(float(acres_geodesic(shapely.geometry.shape(geometry))), 1) if acres is None else acres
    held = {"family": family, "acres": acres, "kills": list(kills), **more}
    feature = {"type": "Feature", "properties": held, "geometry": geometry}
    return json.dumps({"type": "FeatureCollection", "features": [feature]})


def agreed(small_place, *families, no=()):
    """Families listed in place.toml."""
    entries = [(one, "true") for one in families] + [(one, "false") for one in no]
    with (small_place.folder / "place.toml").open("a", encoding="utf-8") as file:
        file.writelines(f'\n[[group]]\nfamily = "{one}"\nagreed = {said}\n' for one, said in entries)


def lay(small_place, **files):
    """Texts into the folder of the neighbors."""
    (small_place.folder / "group").mkdir(exist_ok=True)
    for name, text in files.items():
        (small_place.folder / "group" / f"{name}.geojson").write_text(text, encoding="utf-8")


def woodlot(*arguments):
    """A run of the command in this process."""
    told = CliRunner().invoke(main, [str(a) for a in arguments])
    assert told.exception is None or isinstance(told.exception, SystemExit), repr(told.exception)
    return told


def plain(text):
    """Words of a screen without its line ends."""
    return " ".join(text.split())


def faults(small_place):
    """Faults of a place as (file, column, found)."""
    with pytest.raises(PlaceError) as wrong:
        place.read(small_place.folder, as_of=DAY)
    return [(one.file, one.column, one.found) for one in wrong.value.faults]


KILLS = ({"fall": 2023, "does": 0, "bucks": 2}, {"fall": 2024, "does": 1, "bucks": 0})


# --- what is handed out


@pytest.mark.parametrize("name", ["otter_lake", "first_forty"])
def test_the_file_holds_outline_acres_and_kills_and_nothing_else(samples, tmp_path, name):
    """Every key, every word and every number of it; no word of any other hand-in stands in it."""
    home = shutil.copytree(samples / name, tmp_path / name)
    out = tmp_path / "handed" / "ours.geojson"
    assert woodlot("group", home, "--hand-out", out, *AS_OF).exit_code == 0
    whole = json.loads(out.read_text(encoding="utf-8"))
    assert set(whole) == {"type", "features"}
    (feature,) = whole["features"]
    assert set(feature) == {"type", "properties", "geometry"}
    assert set(feature["geometry"]) == {"type", "coordinates"}
    held, read = feature["properties"], place.read(home, as_of=DAY)
    assert set(held) == {"family", "acres", "kills"} and held["family"] == read.name
    assert all(set(one) == {"fall", "does", "bucks"} for one in held["kills"])
    assert all(type(value) is int for one in held["kills"] for value in one.values())
    letters = set(re.findall(r"[^\W\d_]{3,}", out.read_text(encoding="utf-8")))
    own = set(re.findall(r"[^\W\d_]{3,}", read.name))
    assert letters <= own | set(
        re.findall(
            r"\w+",
            "type FeatureCollection features Feature properties family acres kills"
            " fall does bucks geometry Polygon MultiPolygon coordinates",
        )
    )
    lines = shapely.union_all(read.parcels.geometry.to_numpy())
    drawn = shapely.geometry.shape(feature["geometry"])
    assert shapely.symmetric_difference(drawn, lines).area < 1e-5 * lines.area
    inner = [shapely.Point(xy) for ring in read.parcels.boundary.explode() for xy in ring.coords]
    corners = shapely.MultiPoint(shapely.get_coordinates(drawn))
    assert all(corners.distance(lines.boundary) < 1e-6 for corners in corners.geoms) and len(inner) >= len(
        corners.geoms
    )


def test_kills_come_from_bag_and_ledger(small_place, tmp_path):
    """A buck of 2024 and a doe of 2025, each of its fall."""
    out = tmp_path / "ours.geojson"
    woodlot("group", small_place.folder, "--hand-out", out, *AS_OF)
    held = json.loads(out.read_text(encoding="utf-8"))["features"][0]["properties"]
    assert held["kills"] == [{"fall": 2024, "does": 0, "bucks": 1}, {"fall": 2025, "does": 1, "bucks": 0}]
    assert held["acres"] == pytest.approx(78.9, abs=1.5)


def test_the_same_place_gives_the_same_bytes_and_what_is_there_stays(small_place, tmp_path):
    """Written again it is the same; another file of the name is not written over; nothing lands among hand-ins."""
    out = tmp_path / "ours.geojson"
    first = woodlot("group", small_place.folder, "--hand-out", out, *AS_OF)
    data = out.read_bytes()
    assert f"Written: {out}" in plain(first.stdout).replace(" /", "/") or str(out) in first.stdout
    assert woodlot("group", small_place.folder, "--hand-out", out, *AS_OF).exit_code == 0 and out.read_bytes() == data
    out.write_bytes(data.replace(b"does", b"DOES"))
    told = woodlot("group", small_place.folder, "--hand-out", out, *AS_OF)
    assert told.exit_code == 1 and "is there already; nothing is written over it" in plain(told.stderr)
    assert b"DOES" in out.read_bytes()
    (small_place.folder / "group").mkdir()
    for where in (small_place.folder / "ours.geojson", small_place.folder / "group" / "ours.geojson"):
        told = woodlot("group", small_place.folder, "--hand-out", where, *AS_OF)
        assert (
            told.exit_code == 1 and "would be read as a file of that place" in plain(told.stderr) and not where.exists()
        )
    told = woodlot("group", small_place.folder, "--hand-out", small_place.folder / "out" / "ours.geojson", *AS_OF)
    assert told.exit_code == 0 and (small_place.folder / "out" / "ours.geojson").read_bytes() == data


def test_a_family_reads_what_another_wrote(small_place, tmp_path):
    """Acres, outline and kills come through the file unchanged."""
    other = tmp_path / "other"
    shutil.copytree(small_place.folder, other)
    text = (other / "place.toml").read_text(encoding="utf-8")
    (other / "place.toml").write_text(text.replace("Testing forty", "Smith"), encoding="utf-8")
    drawn = gpd.read_file(other / "parcels.geojson")
    drawn["geometry"] = drawn.translate(xoff=2 * LON)
    (other / "parcels.geojson").write_text(drawn.to_json(), encoding="utf-8")
    (other / "stands.geojson").unlink(), (other / "features.geojson").unlink()
    for name in ("plots", "trees", "tally", "cores"):
        (other / f"{name}.csv").unlink()
    (small_place.folder / "group").mkdir()
    handed_out = tmp_path / "smith.geojson"
    told = woodlot("group", other, "--hand-out", handed_out, *AS_OF)
    assert told.exit_code == 0, told.stderr
    shutil.copy(handed_out, small_place.folder / "group")
    agreed(small_place, "Smith")
    mine, theirs = (season(place.read(one, as_of=DAY)).group for one in (small_place.folder, other))
    smith = mine.others[0]
    assert smith.acres == pytest.approx(theirs.acres, rel=1e-6)
    assert smith.killed_by_fall.to_numpy().tolist() == theirs.killed_by_fall().to_numpy().tolist()
    assert shapely.symmetric_difference(smith.outline, theirs.outline.iloc[0]).area < 1e-5 * smith.outline.area


# --- what is read


def test_a_family_counts_that_agreed_and_handed_out(small_place):
    """Its acres and kills are in the group; without the file, the entry or agreed = true they are not."""
    lay(small_place, smith=handed(kills=KILLS))
    read = place.read(small_place.folder, as_of=DAY)
    assert read.group.families == () and read.group.not_agreed == ("Smith",)
    assert any("Smith is not under [[group]] in place.toml" in one for one in read.warnings)
    agreed(small_place, "Smith", no=("Olson",))
    read = place.read(small_place.folder, as_of=DAY)
    assert [one.name for one in read.group.families] == ["Smith"] and read.group.not_agreed == ("Olson",)
    group = season(read).group
    assert [one.name for one in group.families] == ["Smith", "Testing forty"] and group.own == "Testing forty"
    assert group.killed_by_fall().to_numpy().tolist() == [[0, 2], [1, 1], [1, 0]]
    (small_place.folder / "group" / "smith.geojson").unlink()
    read = place.read(small_place.folder, as_of=DAY)
    assert read.group.families == () and read.group.no_file == ("Smith",)
    assert any("Smith agreed, but no file of theirs lies in the folder group" in one for one in read.warnings)


def test_who_did_not_agree_is_left_out_whatever_they_handed_out(small_place):
    """One that said no, beside a file; a name in other letters is the same family."""
    agreed(small_place, "SMITH", no=("Olson",))
    lay(small_place, smith=handed(kills=KILLS), olson=handed("Olson", square(3, 1)))
    read = place.read(small_place.folder, as_of=DAY)
    assert [one.name for one in read.group.families] == ["Smith"]
    assert read.group.not_agreed == ("Olson",) and read.group.no_file == ()


def test_whose_a_doe_is():
    """Of one's own, of a name, of a name that ends in s."""
    from woodlot.say.group import whose

    assert (whose("Ash", "Ash"), whose("Ash", "Elm"), whose("Jones", "Elm")) == ("yours", "Ash's", "Jones'")


def test_agreed_has_to_be_said(small_place):
    """An entry without it, one that stands twice and one of one's own name are faults."""
    with (small_place.folder / "place.toml").open("a", encoding="utf-8") as file:
        file.write('\n[[group]]\nfamily = "Smith"\n')
    assert faults(small_place) == [("place.toml", "group, number 1, agreed", "missing")]
    small_place.change("place.toml", 'family = "Smith"\n', 'family = "Smith"\nagreed = true\n')
    agreed(small_place, "smith")
    assert [one[:2] for one in faults(small_place)] == [("place.toml", "group")]
    small_place.change("place.toml", 'family = "smith"', 'family = "testing forty"')
    assert faults(small_place) == [("place.toml", "group", "testing forty")]


def test_kills_after_the_day_do_not_count_yet(small_place):
    """Asked for 1 September 2024 the doe of that fall's season is there, that of 2025 is not."""
    agreed(small_place, "Smith")
    lay(small_place, smith=handed(kills=[*KILLS, {"fall": 2025, "does": 3, "bucks": 0}]))
    read = place.read(small_place.folder, as_of=dt.date(2025, 1, 10))
    assert read.group.families[0].killed_by_fall.index.tolist() == [2023, 2024]


def test_a_list_saved_as_text_is_read(small_place):
    """Some mapping programs write lists as text."""
    agreed(small_place, "Smith")
    lay(small_place, smith=handed(kills=KILLS).replace(json.dumps(list(KILLS)), json.dumps(json.dumps(list(KILLS)))))
    read = place.read(small_place.folder, as_of=DAY)
    assert read.group.families[0].killed_by_fall.to_numpy().tolist() == [[0, 2], [1, 0]]


def test_what_else_a_file_holds_is_not_read_and_is_said(small_place):
    """The name of the thing is told, its value nowhere."""
    agreed(small_place, "Smith")
    lay(small_place, smith=handed(pellets="41 groups", house=[1, 2]))
    read = place.read(small_place.folder, as_of=DAY)
    (told,) = [one for one in read.warnings if one.startswith("group/")]
    assert "(pellets and house)" in told and "41" not in told


LINE = {"type": "LineString", "coordinates": [[WEST, SOUTH], [WEST + LON, SOUTH + LAT]]}
CROSSED = {
    "type": "Polygon",
    "coordinates": [[[-89.38, 46.1], [-89.37, 46.11], [-89.37, 46.1], [-89.38, 46.11], [-89.38, 46.1]]],
}
WRONG = {
    "a": ("{broken", [("line 1, character 2", "Expecting property name enclosed in double quotes")]),
    "b": (handed("B", LINE, acres=40), [("geometry", "a line")]),
    "c": (handed("C", CROSSED, acres=40), [("geometry", "the outline crosses itself")]),
    "d": (handed("D", kills=[{"fall": 2024, "does": -1, "bucks": 0}]), [("kills, number 1, does", "-1")]),
    "e": (handed("E", kills=[{"does": 1, "bucks": 0}]), [("kills, number 1", '{"does": 1, "bucks": 0}')]),
    "f": (handed("F", kills=[*KILLS, KILLS[1]]), [("kills, number 3, fall", "2024")]),
    "g": (handed("G", kills=[{"fall": 24, "does": 1.5}]), [
        ("kills, number 1, fall", "24"), ("kills, number 1, does", "1.5"), ("kills, number 1, bucks", "missing")
    ]),
    "h": (handed("H", acres=400), [("acres", "400")]),
    "i": (handed("  ", acres=True), [("family", "empty"), ("acres", "true")]),
    "j": (handed("J", square(2, 1), kills=[{"fall": 2024, "does": 0, "bucks": 0, "fawns": 1}]), [
        ("kills, number 1", "fawns")
    ]),
    "k": (handed("Testing FORTY"), [("family", "Testing FORTY")]),
    "l": (handed("L").replace("[]", '"none"'), [("kills", "missing")]),
    "m": ('{"type": "FeatureCollection", "features": []}', [("", "0 outlines")]),
    "n": ("", [("", "empty")]),
    "o": (handed("O", {"type": "Polygon", "coordinates": []}, acres=40), [("geometry", "empty")]),
}  # fmt: skip


def test_every_fault_of_every_file_is_told_in_one_pass(small_place):
    """Each file, each fault; and no fault of a whole file stops the next."""
    lay(small_place, **{name: text for name, (text, _) in WRONG.items()})
    (small_place.folder / "group" / "p.kml").write_text("<kml/>", encoding="utf-8")
    wanted = [(f"group/{name}.geojson", *one) for name, (_, some) in WRONG.items() for one in some]
    assert faults(small_place) == [*wanted, ("group/p.kml", "", ".kml is not read here")]
    told = woodlot("walk", small_place.folder, *AS_OF)
    assert told.exit_code == 1 and "group/d.geojson" in told.stderr + told.stdout


def test_two_files_of_one_family(small_place):
    """The same bytes twice count once and are told; two that differ are a fault."""
    agreed(small_place, "Smith")
    lay(small_place, smith=handed(kills=KILLS), smith_again=handed(kills=KILLS))
    read = place.read(small_place.folder, as_of=DAY)
    assert len(read.group.families) == 1
    assert any("group/smith_again.geojson is the same file as group/smith.geojson" in one for one in read.warnings)
    lay(small_place, smith_again=handed("SMITH", kills=KILLS[:1]))
    assert faults(small_place) == [("group/smith_again.geojson", "family", "SMITH")]


def test_ground_of_two_owners(small_place):
    """A strip is told and counts once; ground that is mostly another's is a fault."""
    agreed(small_place, "Smith")
    lay(small_place, smith=handed(geometry=square(1.8, 1)))
    read = place.read(small_place.folder, as_of=DAY)
    (told,) = [one for one in read.warnings if "lie in the outlines of both" in one]
    assert "acres lie in the outlines of both Testing forty and Smith" in told
    group = season(read).group
    assert group.acres == pytest.approx(sum(one.acres for one in group.families))
    assert group.others[0].acres == pytest.approx(0.9 * group.acres / 2.8, rel=0.01)
    lay(small_place, smith=handed(geometry=square(1, 1)))
    assert [one[:2] for one in faults(small_place)] == [("group: Testing forty and Smith", "")]


# --- shown


def test_the_verb_shows_the_group(small_place):
    """Acres, who is in reach, kills by fall, whose the next doe is, who is left out, and what one would hand out."""
    agreed(small_place, "Smith", "Olson", "Berg", no=("Lund",))
    lay(small_place, smith=handed(kills=KILLS), olson=handed("Olson", FAR))
    told = woodlot("group", small_place.folder, *AS_OF)
    assert told.exit_code == 0, told.stderr
    said = plain(told.stdout)
    assert "acres of two families" in said and "Each lies within 2,806 feet" in said
    assert "Next doe: Smith's." in said and "of equals, the first by name" in said
    assert re.search(r"Smith 39\.\d 2024 2", said) and re.search(r"Testing forty 7\d\.\d 2025 1", said)
    assert "2023 0 2" in said and "2024 1 1" in said and "2025 1 0" in said
    assert "Olson: 39." in said and "where other deer live: left out." in said
    assert "Lund has not agreed: left out." in said and "Berg agreed, but handed no file out: left out." in said
    assert "Not in it: counts of deer or pellets, parcels and their names, stands, plots, trees" in said


def test_the_verb_gives_the_same_as_json_and_csv(small_place, tmp_path):
    """Unrounded, and a row a family."""
    agreed(small_place, "Smith")
    lay(small_place, smith=handed(kills=KILLS))
    told = json.loads(woodlot("group", small_place.folder, "--json", *AS_OF).stdout)
    assert told["next_doe_to"] == "Smith" and told["season"] == 2026
    assert [one["family"] for one in told["families"]] == ["Smith", "Testing forty"]
    assert told["acres"] == pytest.approx(sum(one["acres"] for one in told["families"]))
    assert told["falls"][1] == {"fall": 2024, "does": 1.0, "bucks": 1.0}
    woodlot("group", small_place.folder, "--csv", tmp_path / "group.csv", *AS_OF)
    assert (tmp_path / "group.csv").read_text(encoding="utf-8").startswith("family,own,acres,last_doe,waited_falls")


def test_a_kept_plan_holds_the_neighbors_files_as_a_part_of_their_own(small_place):
    """So that the next plan can say that they moved a number."""
    agreed(small_place, "Smith")
    lay(small_place, smith=handed(kills=KILLS))
    kept = kept_plans.kept(place.read(small_place.folder, as_of=DAY), 0.9, {})
    assert (
        list(kept.hand_ins["group"]) == ["group/smith.geojson"]
        and "group/smith.geojson" not in kept.hand_ins["settings"]
    )
    with kept_plans.laid_out(kept.hand_ins) as folder:
        assert [one.name for one in place.read(folder, as_of=DAY).group.families] == ["Smith"]


def test_reading_changes_nothing(small_place):
    """Every file as it was."""
    agreed(small_place, "Smith")
    lay(small_place, smith=handed(kills=KILLS))
    before = small_place.prints()
    season(place.read(small_place.folder, as_of=DAY)).group  # noqa: B018
    assert small_place.prints() == before


def test_a_neighbors_file_is_not_brought_as_a_parcel(small_place, tmp_path):
    """It says where it belongs, and nothing is written."""
    path = tmp_path / "smith.geojson"
    path.write_text(handed(), encoding="utf-8")
    before = small_place.prints()
    told = woodlot("bring", small_place.folder, path)
    assert told.exit_code == 1 and "Put it into the folder group of your place as it is" in plain(
        told.stdout + told.stderr
    )
    assert small_place.prints() == before


def test_the_map_draws_their_ground_and_nothing_else_of_theirs(small_place):
    """Outlines among the deer sign with their legend; without neighbors neither; no name, no acres, no kills."""
    from woodlot.answers.land import drawn
    from woodlot.answers.whole import answers
    from woodlot.map import layers, page

    agreed(small_place, "Zebedee")
    lay(small_place, smith=handed("Zebedee", kills=KILLS))
    asked = season(place.read(small_place.folder, as_of=DAY))
    told, shown = answers(asked, with_futures=False), drawn(asked)
    (shape,) = layers.build(told, **shown)["group"]
    there = shapely.geometry.shape(shape)
    assert shapely.symmetric_difference(there, shapely.geometry.shape(NEAR)).area < 1e-4 * there.area
    html = page.html(told, **shown)
    assert "Zebedee" not in html
    assert "neighbors who share the deer</span>" in html and '"group": [{"' in html.replace('"group":[', '"group": [')
    assert "neighbors who share the deer</span>" not in page.html(told, **shown | {"group": ()})

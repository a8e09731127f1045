"""Plans that are kept: what lies in ``plans/``, once a day, whole or not at all, and read back as it was."""

import datetime as dt
import os
import shutil
import zipfile
from dataclasses import replace

import geopandas as gpd
import pandas as pd
import pytest

from woodlot import place
from woodlot.errors import PlaceError
from woodlot.place import kept_plans
from woodlot.place.kept_plans import Kept, keep, kept, laid_out, last_before

DAY, NEXT = dt.date(2026, 11, 14), dt.date(2026, 11, 15)
NUMBERS = {"cords": 120.5, "does": None}


def plan_of(small_place, day=DAY, **changes) -> Kept:
    """The plan of a place on a day."""
    return replace(kept(place.read(small_place.folder, as_of=day), 0.9, NUMBERS), **changes)


def files(small_place) -> list[str]:
    """Names of the plans that are kept."""
    return sorted(path.name for path in (small_place.folder / "plans").iterdir())


def test_a_plan_is_read_back_as_it_was_kept(small_place):
    """Day, version, level, region, numbers and every hand-in; of an earlier day, never of the day itself."""
    plan = plan_of(small_place)
    assert keep(small_place.folder, plan, "{}", None) == "plans/2026-11-14.zip"
    assert last_before(small_place.folder, NEXT) == (plan, ())
    assert last_before(small_place.folder, DAY) == (None, ())
    parts = {part: sorted(some) for part, some in plan.hand_ins.items()}
    assert parts["plots"] == ["cores.csv", "plots.csv", "trees.csv"] and parts["settings"] == ["place.toml"]
    assert parts["ground"] == ["features.geojson", "parcels.geojson", "stands.geojson"]
    assert plan.numbers == NUMBERS and (plan.level, plan.region, plan.version) == (0.9, "lake_states", "0.1.0")


def test_the_same_hand_ins_give_the_same_bytes(small_place, tmp_path):
    """Whatever the times of the files and the folder they lie in; nothing is written where nothing changed."""
    keep(small_place.folder, plan_of(small_place), "{}", None)
    path = small_place.folder / "plans" / "2026-11-14.zip"
    first, written = path.read_bytes(), path.stat().st_mtime_ns
    keep(small_place.folder, plan_of(small_place), "{}", None)
    assert path.stat().st_mtime_ns == written
    moved = shutil.copytree(small_place.folder, tmp_path / "moved", ignore=shutil.ignore_patterns("plans"))
    (moved / "plots.csv").touch()
    keep(moved, kept(place.read(moved, as_of=DAY), 0.9, NUMBERS), "{}", None)
    assert (moved / "plans" / "2026-11-14.zip").read_bytes() == first


def test_the_last_plan_of_a_day_is_kept(small_place):
    """Run again with other hand-ins, it takes the place of the one before; other days stay."""
    keep(small_place.folder, plan_of(small_place, dt.date(2025, 11, 1)), "{}", None)
    keep(small_place.folder, plan_of(small_place), "{}", None)
    small_place.change("place.toml", "firewood_cord = 7.5", "firewood_cord = 9")
    last = plan_of(small_place)
    keep(small_place.folder, last, "{}", None)
    assert files(small_place) == ["2025-11-01.zip", "2026-11-14.zip"]
    assert last_before(small_place.folder, NEXT)[0] == last


@pytest.mark.parametrize(
    ("change", "names"),
    [
        ({}, ["2026-11-14.zip"]),
        ({"numbers": {"cords": 1.0}}, ["2026-11-14.zip"]),
        ({"version": "0.2.0"}, ["2026-11-14.zip", "2026-11-15.zip"]),
        ({"level": 0.8}, ["2026-11-14.zip", "2026-11-15.zip"]),
        ({"rasters": {"dem.tif": "a"}}, ["2026-11-14.zip", "2026-11-15.zip"]),
        ({"hand_ins": {}}, ["2026-11-14.zip", "2026-11-15.zip"]),
    ],
)
def test_a_plan_on_the_same_hand_ins_is_not_kept_twice(small_place, change, names):
    """A later day alone keeps nothing new, and says where the same is kept; anything else it rests on does."""
    before = plan_of(small_place)
    keep(small_place.folder, before, "{}", None)
    told = keep(small_place.folder, plan_of(small_place, NEXT, **change), "{}", before)
    assert files(small_place) == names and told == f"plans/{names[-1]}"


def test_hand_ins_put_back_replace_what_the_same_day_kept(small_place):
    """A trial of the morning that was undone by the evening is not what the next plan is compared with."""
    before = plan_of(small_place)
    keep(small_place.folder, before, "{}", None)
    keep(small_place.folder, plan_of(small_place, NEXT, hand_ins={}), "{}", before)
    keep(small_place.folder, plan_of(small_place, NEXT), "{}", before)
    assert last_before(small_place.folder, dt.date(2026, 11, 16))[0] == plan_of(small_place, NEXT)


def test_an_unpacked_plan_is_the_place_it_was_made_of(small_place, tmp_path):
    """Tables, maps and settings are read as they were; the answers lie in out/."""
    keep(small_place.folder, plan_of(small_place), '{"a": 1}', None)
    with zipfile.ZipFile(small_place.folder / "plans" / "2026-11-14.zip") as packed:
        packed.extractall(tmp_path / "again")
    again, here = (place.read(folder, as_of=DAY) for folder in (tmp_path / "again", small_place.folder))
    assert again.plots.equals(here.plots) and again.trees.equals(here.trees) and again.needs == here.needs
    assert again.warnings == here.warnings and place.unread(tmp_path / "again") == []
    assert (tmp_path / "again" / "out" / "answers.json").read_text() == '{"a": 1}'


def test_own_region_and_codes_are_kept_and_rasters_by_checksum(small_place):
    """The family's tables come along with their folder; a raster is too large, its checksum tells when it changes."""
    own = small_place.folder / "ours"
    own.mkdir()
    (own / "region.toml").write_text('name = "ours"\nbased_on = "lake_states"\n', encoding="utf-8")
    small_place.change("place.toml", 'region = "lake_states"', 'region = "ours"')
    codes = "code,cover,group\n1,pine,conifer\n"
    (small_place.folder / "land_cover_codes.csv").write_text(codes, encoding="utf-8")
    (small_place.folder / "dem.tif").write_bytes(b"heights")
    first = plan_of(small_place)
    assert sorted(first.hand_ins["settings"]) == ["ours/region.toml", "place.toml"]
    assert first.hand_ins["ground"]["land_cover_codes.csv"] == codes.encode()
    (small_place.folder / "dem.tif").write_bytes(b"other heights")
    second = plan_of(small_place)
    assert [*first.rasters] == [*second.rasters] == ["dem.tif"] and first.rasters != second.rasters
    assert not any("dem.tif" in some for some in second.hand_ins.values())
    with laid_out(second.hand_ins) as folder:
        assert place.read(folder).region.own_folders == (folder.resolve() / "ours",)
    assert not folder.exists()


def test_a_spreadsheet_and_the_parts_of_a_map_are_kept_under_the_part_of_their_table(small_place):
    """plots.xlsx stands for plots.csv, and a Shapefile brings its other files."""
    stands = gpd.read_file(small_place.folder / "stands.geojson")[["stand_id", "cover", "geometry"]]
    stands.to_file(small_place.folder / "stands.shp")
    pd.read_csv(small_place.folder / "plots.csv").to_excel(small_place.folder / "plots.xlsx", index=False)
    for name in ("stands.geojson", "plots.csv"):
        (small_place.folder / name).unlink()
    parts = plan_of(small_place).hand_ins
    assert {"stands.shp", "stands.dbf", "stands.shx", "stands.prj"} < set(parts["ground"])
    assert "stands.geojson" not in parts["ground"] and sorted(parts["plots"]) == [
        "cores.csv",
        "plots.xlsx",
        "trees.csv",
    ]


def broken(path, way: str) -> None:
    """A zip that is torn, another's, without a word on itself, or with a name that leads out of its folder."""
    if way == "torn":
        path.write_bytes(path.read_bytes()[:-200])
    elif way == "one byte":
        data = bytearray(path.read_bytes())
        data[len(data) // 2] ^= 255
        path.write_bytes(data)
    elif way == "text":
        path.write_text("not a zip")
    else:
        names = {"empty": {}, "strange": {"out/plan.json": "[1]", "out/answers.json": ""}}
        names["leads out"] = {"../place.toml": ""}
        with zipfile.ZipFile(path, "a" if way == "leads out" else "w") as packed:
            for name, text in names[way].items():
                packed.writestr(name, text)


@pytest.mark.parametrize("way", ["torn", "one byte", "text", "empty", "strange", "leads out"])
def test_a_plan_that_is_not_whole_is_passed_over_and_named(small_place, way):
    """The one before it serves; the file is left as it is."""
    first = plan_of(small_place, dt.date(2025, 11, 1))
    keep(small_place.folder, first, "{}", None)
    keep(small_place.folder, plan_of(small_place), "{}", None)
    broken(small_place.folder / "plans" / "2026-11-14.zip", way)
    assert last_before(small_place.folder, NEXT) == (first, ("plans/2026-11-14.zip",))
    assert files(small_place) == ["2025-11-01.zip", "2026-11-14.zip"]


def test_other_files_in_the_folder_are_no_plans(small_place):
    """A note, a copy under another name, and a file where the folder should be."""
    keep(small_place.folder, plan_of(small_place), "{}", None)
    plans = small_place.folder / "plans"
    (plans / "2026-11-14.zip").rename(plans / "2026-11-14 (1).zip")
    (plans / "plots.csv").write_text("what the family put here", encoding="utf-8")
    assert last_before(small_place.folder, NEXT) == (None, ())
    before = place.read(small_place.folder, as_of=DAY)
    assert before.files["plots"] == "plots.csv" and len(before.plots) == 5
    assert "plans" not in {one.name for one in place.in_folder(small_place.folder)}
    shutil.rmtree(plans)
    plans.write_text("a file")
    assert last_before(small_place.folder, NEXT) == (None, ())
    with pytest.raises(PlaceError, match="a folder must be"):
        keep(small_place.folder, plan_of(small_place), "{}", None)


def test_a_closed_folder_is_named(small_place, monkeypatch):
    """What may not be listed is said, and nothing is compared."""
    path = type(small_place.folder)
    real = path.iterdir

    def closed(folder):
        if folder.name == "plans":
            raise PermissionError(13, "Permission denied")
        return real(folder)

    monkeypatch.setattr(path, "iterdir", closed)
    assert last_before(small_place.folder, NEXT) == (None, ("plans",))


def test_a_full_disk_leaves_the_plan_that_was_kept(small_place, monkeypatch):
    """Nothing is torn and nothing lies beside it."""
    keep(small_place.folder, plan_of(small_place), "{}", None)
    whole = (small_place.folder / "plans" / "2026-11-14.zip").read_bytes()

    def full(number):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(PlaceError, match="No space left"):
        keep(small_place.folder, plan_of(small_place, hand_ins={}), "{}", None)
    assert files(small_place) == ["2026-11-14.zip"]
    assert (small_place.folder / "plans" / "2026-11-14.zip").read_bytes() == whole


def test_every_table_has_its_part():
    """Each hand-in is exchanged once, and no part is empty but that of the settings."""
    from woodlot.columns import TABLES

    tables = [table for part in kept_plans.PARTS.values() for table in part]
    assert sorted(tables) == sorted(TABLES)
    assert [part for part, some in kept_plans.PARTS.items() if not some] == ["group", "settings"]
    assert [*kept_plans.PARTS][-1] == "settings"


@pytest.mark.parametrize("way", ["a file of theirs", "a link to a file", "a folder"])
def test_a_plan_is_kept_over_nothing_that_is_no_plan(small_place, way):
    """Under the name of the day lies something else: refused by name, and it stays."""
    day = small_place.folder / "plans" / "2026-11-14.zip"
    day.parent.mkdir()
    (small_place.folder / "ours.zip").write_text("ours")
    if way == "a folder":
        day.mkdir()
    elif way == "a link to a file":
        day.symlink_to(small_place.folder / "ours.zip")
    else:
        day.write_text("ours")
    before = small_place.prints()
    with pytest.raises(PlaceError, match=r"2026-11-14\.zip: (there already|a link|a folder)"):
        keep(small_place.folder, plan_of(small_place), "{}", None)
    assert small_place.prints() == before and files(small_place) == ["2026-11-14.zip"]


def test_what_a_killed_run_left_among_the_plans_is_swept(small_place):
    """Half a zip of a run that is no more."""
    plans = small_place.folder / "plans"
    plans.mkdir()
    (plans / f".2026-11-14.zip.{os.getpid()}.new").write_text("half")
    keep(small_place.folder, plan_of(small_place), "{}", None)
    assert files(small_place) == ["2026-11-14.zip"]

"""The sample places: made again to the same bytes, small, and holding the rough edges that real work has."""

import subprocess
import sys
from pathlib import Path

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import rasterio

from woodlot import columns, covers, place
from woodlot.land import parcels as land
from woodlot.region import shipped
from woodlot.stand import layout

SAMPLES = Path(__file__).parents[1] / "sample_parcels"
OTTER = SAMPLES / "otter_lake"
FIRST = SAMPLES / "first_forty"
PLACES = pytest.mark.parametrize("folder", [OTTER, FIRST], ids=lambda folder: folder.name)


def files(folder: Path) -> list[str]:
    """Names of a place's own files, without what woodlot made in out/."""
    return sorted(file.name for file in folder.iterdir() if file.is_file())


def rows(name: str) -> pd.DataFrame:
    """A table of Otter Lake as handed in, all text."""
    return pd.read_csv(OTTER / f"{name}.csv", dtype=str)


@pytest.fixture(scope="module")
def again(tmp_path_factory):
    """Both places, written once more."""
    folder = tmp_path_factory.mktemp("again")
    subprocess.run([sys.executable, str(SAMPLES / "make_samples.py"), str(folder)], check=True, timeout=120)
    return folder


@pytest.fixture(scope="module")
def otter():
    """Otter Lake as the rest of woodlot sees it."""
    return place.read(OTTER)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["otter_lake", "first_forty"])
def test_the_script_writes_the_same_tables_and_maps_again(again, name):
    """Every file that is text comes out the same, byte for byte, and no file is there that the script did not write."""
    assert files(again / name) == files(SAMPLES / name)
    for file in (f for f in files(SAMPLES / name) if not f.endswith(".tif")):
        assert (again / name / file).read_bytes() == (SAMPLES / name / file).read_bytes(), file


@pytest.mark.slow
def test_the_script_writes_the_same_rasters_again(again):
    """Every pixel and every word about them; bytes may differ where another library packs them."""
    found = [f for f in files(OTTER) if f.endswith(".tif")]
    assert found == ["canopy_height.tif", "elevation.tif", "lake_place_picture.tif", "land_cover.tif"]
    for file in found:
        with rasterio.open(again / "otter_lake" / file) as new, rasterio.open(OTTER / file) as old:
            assert new.profile == old.profile, file
            assert new.units == old.units
            assert np.array_equal(new.read(), old.read()), file


def test_rasters_are_small_and_in_other_reference_systems_than_the_maps():
    """Together under 600 KB; none in degrees; the land cover in another system than the rest."""
    rasters = sorted(OTTER.glob("*.tif"))
    assert sum(file.stat().st_size for file in rasters) < 600_000
    systems = set()
    for file in rasters:
        with rasterio.open(file) as raster:
            systems.add(raster.crs.to_epsg())
    assert systems == {26915, 5070}


@PLACES
def test_a_sample_place_reads_without_a_fault(folder):
    """Reading raises nothing, every file of the folder is used, and nothing is warned of that is not meant to be."""
    read = place.read(folder)
    assert read.region.name == "lake_states"
    assert not [w for w in read.warnings if "not known" in w], read.warnings
    assert len(read.trees) == len(pd.read_csv(folder / "trees.csv"))
    assert set(read.rasters) == {file.stem for file in folder.glob("*.tif")}


@PLACES
def test_headings_are_declared_columns(folder):
    """Every heading of every CSV is a column of woodlot.columns."""
    for file in folder.glob("*.csv"):
        heading = file.read_text(encoding="utf-8").split("\n", 1)[0].split(",")
        assert set(heading) <= set(columns.header(file.stem)), file.name


def test_parcels_are_odd_and_apart():
    """Six parcels of 15 to 75 acres; one in two parts, one with a hole; a corner and an edge contact, one far off."""
    parcels = land.measure(gpd.read_file(OTTER / "parcels.geojson"), home=(-90.3982, 46.1751))
    assert len(parcels) == 6
    assert parcels["acres"].between(15, 75).all()
    assert parcels["difference_pct"].abs().between(0.5, 5).all()
    assert (parcels.geometry.geom_type == "MultiPolygon").sum() == 1
    holes = parcels.geometry.apply(lambda g: len(g.interiors) if g.geom_type == "Polygon" else 0)
    assert holes.sum() == 1
    meet = land.contacts(parcels)
    assert sorted(meet["kind"]) == ["corner", "edge"]
    assert parcels["miles_from_home"].max() > 5


def test_stands_show_every_cover_and_every_way_of_being_measured():
    """Eight covers; four stands never cruised, one with one plot, one whose three plots are empty."""
    stands = gpd.read_file(OTTER / "stands.geojson")
    plots, trees = rows("plots"), rows("trees")
    assert len(set(stands["cover"])) == 8 and set(stands["cover"]) <= set(covers.known(shipped("base")))
    assert 12 <= len(stands) <= 20
    count = plots.groupby("stand_id").size().reindex(stands["stand_id"], fill_value=0)
    assert (count == 0).sum() == 4
    assert (count == 1).sum() == 1
    empty = ~plots["plot_id"].isin(trees["plot_id"])
    assert set(plots.loc[empty, "stand_id"]) == {"10"}
    assert empty.sum() == count["10"] == 3
    assert stands["parcel_id"].isna().sum() == 2
    assert (~stands["operable"]).sum() == 1


def test_stands_have_one_gap_one_overlap_and_ground_that_is_not_woods():
    """Two slips of the pen of about a fifth of an acre; home ground, lake shore and pond come off three stands."""
    parcels, stands, features = (gpd.read_file(OTTER / f"{n}.geojson") for n in ("parcels", "stands", "features"))
    slips = layout.problems(stands, parcels, features)
    assert sorted(slips["kind"]) == ["in no stand", "stands overlap"]
    assert slips["acres"].between(0.1, 0.3).all()
    laid = layout.lay_out(stands, parcels, features, region=shipped("base")).set_index("stand_id")
    assert laid.index[laid["home_ground_ac"] > 0.1].tolist() == ["1"]
    assert laid.index[laid["water_ac"] > 0.1].tolist() == ["1", "4", "16"]


def test_trees_are_many_and_rough():
    """400 to 700 rows, 12 kinds or more, nicknames, heights on a quarter, dead ash, trees counted and counted twice."""
    trees, plots = rows("trees"), rows("plots").set_index("plot_id")
    assert 400 <= len(trees) <= 700
    assert 55 <= len(plots) <= 70
    assert set(plots["kind"]) == {"prism", "fixed"}
    known = shipped("base").species
    own = dict(zip(rows("words")["written"], rows("words")["meant"], strict=True))
    assert {"popple", "ironwood", "cedar"} <= set(trees["species"]) - set(known.listed)
    kinds = trees["species"].map(lambda word: known.name(own.get(word, word)))
    assert set(own.values()) <= set(kinds)
    assert kinds.nunique() >= 12
    assert 0.15 < trees["height_ft"].notna().mean() < 0.35
    dead = trees["alive"].eq("no")
    assert dead.sum() >= 40
    assert (dead & kinds.str.endswith("ash")).sum() >= 10
    assert trees["dbh_in"].isna().sum() == (trees["count"].notna()).sum() >= 10
    assert (plots.loc[trees.loc[trees["dbh_in"].isna(), "plot_id"], "kind"] == "prism").all()
    assert trees["count_twice"].eq("yes").sum() >= 10
    assert trees["merch_ft"].notna().sum() >= 100
    assert trees["logs_16ft"].notna().sum() >= 100
    assert plots["slope_pct"].notna().sum() >= 2


def test_no_log_is_longer_than_its_stem():
    """Logs of 16.3 ft are no longer than the stem to 4 in, which is shorter than the tree."""
    for name in ("trees", "tally"):
        told = rows(name)[["logs_16ft", "merch_ft", "height_ft"]].astype(float)
        both = told.dropna(subset=["logs_16ft", "merch_ft"])
        assert len(both) > 20
        assert (both["logs_16ft"] * 16.3 <= both["merch_ft"] + 0.5).all()
        whole = told.dropna(subset=["merch_ft", "height_ft"])
        assert (whole["merch_ft"] < whole["height_ft"]).all()


def test_basal_area_is_that_of_northern_woods(otter):
    """Live and dead basal area of cruised stands with trees lies between 60 and 200 sq ft an acre."""
    from woodlot.stand import plots

    tallied = plots.expand(otter.plots, otter.trees)
    sums = plots.plot_sums(otter.plots, tallied, ["basal_sqft_per_ac"])
    means = plots.means(sums).set_index("stand_id")["mean"]
    assert means.pop("10") == 0
    assert means.between(60, 200).all(), means


def test_deer_lines_can_be_read_as_an_index():
    """Eight lines, three springs of the same plots, ten groups or more each spring, most plots with none."""
    pellets = rows("pellets")
    pellets["groups"] = pellets["groups"].astype(int)
    spring = pellets.groupby(pellets["date"].str[:4])
    assert spring.ngroups == 3
    same = [sorted(group["plot_id"]) for _, group in spring]
    assert same[0] == same[1] == same[2]
    assert (spring["groups"].sum() >= 10).all()
    assert pellets["line"].nunique() == 8
    assert (pellets["groups"] == 0).mean() > 0.5
    assert pellets["days"].astype(int).between(170, 190).all()
    assert pellets[["lon", "lat", "parcel_id"]].notna().all().all()
    browse = rows("browse")
    assert (browse["browsed"].astype(int) <= browse["stems"].astype(int)).all()
    assert set(browse["plot_id"]) <= set(pellets["plot_id"])
    assert set(rows("seedlings")["plot_id"]) <= set(pellets["plot_id"])


def test_history_is_long_enough():
    """Eight seasons of bag, twelve winters, two autumns of cameras, forty cores, a hundred trees and more to clear."""
    assert rows("bag")["year"].nunique() == 8
    assert rows("winters")["winter"].nunique() == 12
    counts = rows("counts")
    cameras = counts[counts["method"] == "camera"]
    assert cameras["date"].nunique() == 2
    assert (cameras["spikes"].astype(int) <= cameras["bucks"].astype(int)).all()
    assert len(rows("cores")) >= 40
    tally = rows("tally")
    assert 80 <= len(tally) <= 150
    assert tally["height_ft"].notna().all()


def test_the_ledger_holds_three_years_and_every_line_checks(otter):
    """Notes of three autumns and more, no line torn or changed, one corrected by a later one."""
    assert not [w for w in otter.warnings if "ledger" in w], otter.warnings
    assert otter.ledger["date"].dt.year.nunique() >= 3
    assert {"firewood", "sawlog", "post", "pole", "deer", "seen"} <= set(otter.ledger["kind"])
    assert otter.ledger["corrects"].notna().sum() == 1
    assert otter.ledger["text"].str.contains("beaver").any()


def test_the_first_forty_holds_the_least():
    """One parcel, one stand, six prism plots, kinds and diameters only; no deer, no rasters, no notes."""
    assert files(FIRST) == ["parcels.geojson", "place.toml", "plots.csv", "stands.geojson", "trees.csv"]
    read = place.read(FIRST)
    assert (len(read.parcels), len(read.stands), len(read.plots)) == (1, 1, 6)
    assert read.trees["height_ft"].isna().all()
    assert read.trees["plot_id"].nunique() == 6

"""``woodlot bring``: map files of every form go in and come out with the acres, ids, names, covers and legal words."""

import importlib.util
import json
import tomllib
import zipfile
from pathlib import Path

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely

from woodlot import place
from woodlot.land.parcels import acres_geodesic

_spec = importlib.util.spec_from_file_location("bring_conftest", Path(__file__).parent / "conftest.py")
kit = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(kit)
bring, said, BACK, NORTH, PARCELS, STANDS, W, S = (
    getattr(kit, name) for name in ("bring", "said", "BACK", "NORTH", "PARCELS", "STANDS", "W", "S")
)
pytestmark = pytest.mark.filterwarnings("ignore:Column names longer", "ignore:Normalized/laundered")


def kml(path: Path, **folders: gpd.GeoDataFrame) -> Path:
    """A KML with a folder for each frame."""
    for name, frame in folders.items():
        frame.to_file(path, layer=name, driver="LIBKML", mode="a" if path.exists() else "w")
    return path


def zipped(path: Path, inner: Path) -> Path:
    """A ZIP with the files beside each other that share a stem (the .shp and its own), or the one file."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        for file in sorted(inner.parent.glob(f"{inner.stem}.*")) if inner.suffix == ".shp" else [inner]:
            packed.write(file, "doc.kml" if inner.suffix == ".kml" else file.name)
    return path


def shapefile(folder: Path, stem: str, frame: gpd.GeoDataFrame) -> Path:
    """A bare Shapefile."""
    folder.mkdir(exist_ok=True)
    frame.to_file(folder / f"{stem}.shp")
    return folder / f"{stem}.shp"


TAX = PARCELS.assign(PIN=["014-01", "014-02"], OWNER="Ann", LEGALDESC=PARCELS["description"], ACRES=[40, None])
TAX = TAX.drop(columns=["Name", "description"])
FORMS = {
    "kml": lambda t: kml(t / "Our land.kml", Places=PARCELS),
    "kmz": lambda t: zipped(t / "Our land.kmz", kml(t / "doc.kml", Places=PARCELS)),
    "gpkg in feet of the state": lambda t: (PARCELS.to_crs(3070).to_file(t / "map.gpkg"), t / "map.gpkg")[1],
    "geojson in web meters": lambda t: (PARCELS.to_crs(3857).to_file(t / "web.geojson"), t / "web.geojson")[1],
    "shapefile in UTM": lambda t: shapefile(t / "s", "utm", PARCELS.to_crs(26916)),
    "zip in state plane feet": lambda t: zipped(t / "x.zip", shapefile(t / "s", "tract", PARCELS.to_crs("EPSG:6610"))),
    "zip in Michigan's own": lambda t: zipped(t / "x.zip", shapefile(t / "s", "tract", PARCELS.to_crs(3078))),
}


@pytest.mark.parametrize("form", FORMS)
def test_parcels_in_every_form(tmp_path, form):
    """Acres to a tenth of a percent, ids, names, legal words and deed acres; the raw file keeps its bytes."""
    raw = FORMS[form](tmp_path)
    before = raw.read_bytes()
    assert "its legal words name 40.0 acres, the outline holds 39.8" in said(bring(tmp_path / "woods", raw))
    told = place.read(tmp_path / "woods")
    assert raw.read_bytes() == before and told.region.name == "lake_states"
    assert told.parcels["parcel_id"].tolist() == ["back-forty", "creek-forty"]
    assert told.parcels["name"].tolist() == ["Back forty", "Creek forty"]
    assert told.parcels["legal"].iloc[0].startswith("SE1/4 of NE1/4 Sec 14") and pd.isna(told.parcels["legal"].iloc[1])
    assert told.parcels["deed_acres"].iloc[0] == 40 and np.isnan(told.parcels["deed_acres"].iloc[1])
    assert acres_geodesic(told.parcels.geometry) == pytest.approx(kit.ACRES, rel=1e-3)


def test_a_tax_map_gives_its_numbers_as_ids(tmp_path):
    """PIN is the id, LEGALDESC the legal words, ACRES those of the deed; the owner is not read, as is said."""
    told = bring(tmp_path / "woods", zipped(tmp_path / "Tax.zip", shapefile(tmp_path / "s", "tax", TAX)))
    parcels = place.read(tmp_path / "woods").parcels
    assert parcels["parcel_id"].tolist() == ["014-01", "014-02"] and parcels["deed_acres"].iloc[0] == 40
    assert parcels["legal"].iloc[0].startswith("SE1/4") and "not read: OWNER" in said(told)


def test_folders_of_a_kml_are_parcels_and_stands(tmp_path):
    """Folders by their names; a stand's number is its id, its cover is taken from its name or what is written to it."""
    told = bring(tmp_path / "woods", kml(tmp_path / "land.kml", Parcels=PARCELS, Stands=STANDS))
    stands = place.read(tmp_path / "woods").stands
    assert stands["stand_id"].tolist() == ["1", "2", "3"]
    assert stands["cover"].tolist() == ["oak", "pine", "cedar swamp"]
    assert "covers by their names: 1 oak, 2 pine, 3 cedar swamp" in said(told)


def test_outlines_within_outlines_are_asked(tmp_path):
    """Without folders the larger ones may be parcels, those within them stands: asked, answered by --as or --yes."""
    both = kml(tmp_path / "all.kml", Places=pd.concat([PARCELS, STANDS.assign(Name=["a", "b", "c"], description="")]))
    told = bring(tmp_path / "woods", both, code=1)
    assert '--as "parcels and stands"' in said(told) and not (tmp_path / "woods").exists()
    bring(tmp_path / "woods", both, "--as", "parcels and stands")
    bring(tmp_path / "again", both, "--yes")
    for name in ("woods", "again"):
        read = place.read(tmp_path / name)
        assert len(read.parcels) == 2 and read.stands["stand_id"].tolist() == ["a", "b", "c"]
    bring(tmp_path / "flat", both, "--as", "parcels")
    assert len(place.read(tmp_path / "flat").parcels) == 5


def test_outlines_within_parcels_that_are_there_are_stands(drawn, tmp_path):
    """A file that says nothing but lies within the parcels holds stands; asked, and taken by --yes."""
    within = kml(tmp_path / "new.kml", Places=STANDS.iloc[:1].assign(Name="far corner"))
    (drawn / "stands.geojson").unlink()
    assert "Likely: stands" in said(bring(drawn, within, code=1))
    bring(drawn, within, "--yes")
    assert place.read(drawn).stands["stand_id"].tolist() == ["far-corner"]


def gpx(path: Path) -> Path:
    """A walk round the back forty that ends some 25 feet short, a path, a plot, a house."""
    ring = shapely.get_coordinates(BACK.exterior)[:-1].tolist()
    ring.append([ring[0][0] - 0.0001, ring[0][1]])
    points = "".join(f'<trkpt lat="{y:.7f}" lon="{x:.7f}"/>' for x, y in ring)
    route = f'<rtept lat="{S}" lon="{W}"/><rtept lat="{S + 0.002}" lon="{W + 0.001}"/>'
    path.write_text(
        '<?xml version="1.0"?><gpx version="1.1" creator="us" xmlns="http://www.topografix.com/GPX/1/1">'
        f'<wpt lat="{S + 0.001}" lon="{W + 0.001}"><name>Plot 7</name><desc>BAF 10</desc></wpt>'
        f'<wpt lat="{S + 0.002}" lon="{W + 0.002}"><name>Our house</name></wpt>'
        f'<wpt lat="{S + 0.003}" lon="{W + 0.002}"><name>Big blind</name></wpt>'
        f"<rte><name>Skid trail</name>{route}</rte><rte><name>Sunday</name>{route}</rte>"
        f"<trk><name>Back forty</name><trkseg>{points}</trkseg></trk></gpx>"
    )
    return path


def test_a_gpx_walk_gives_outline_trail_plot_and_house(tmp_path):
    """A track that nearly closes is an outline, a named route a road, waypoints are plot, house and deer stand."""
    told = bring(tmp_path / "woods", gpx(tmp_path / "walk.gpx"))
    parcels, features = (gpd.read_file(tmp_path / "woods" / f"{name}.geojson") for name in ("parcels", "features"))
    assert parcels["parcel_id"].tolist() == ["back-forty"]
    assert acres_geodesic(parcels.geometry)[0] == pytest.approx(kit.ACRES[0], rel=1e-3)
    assert sorted(features["kind"]) == ["deer_stand", "road"]
    toml = tomllib.loads((tmp_path / "woods" / "place.toml").read_text())
    assert (toml["home"]["lon"], toml["home"]["lat"]) == pytest.approx((W + 0.002, S + 0.002))
    plots = pd.read_csv(tmp_path / "woods" / "plots.csv", dtype=str)
    assert plots.loc[0, ["plot_id", "stand_id", "baf_sqft_per_ac"]].tolist() == ["7", "back-forty", "10"]
    assert "1 line left alone" in said(told) and "widest gap was 25" in said(told)


def test_a_line_that_stays_open_is_no_outline(tmp_path):
    """Half a walk round closes nothing."""
    half = gpd.GeoDataFrame({"name": ["half"]}, geometry=[shapely.LineString(BACK.exterior.coords[:3])], crs=4326)
    half.to_file(tmp_path / "half.geojson")
    told = bring(tmp_path / "woods", tmp_path / "half.geojson", code=1)
    assert "Nothing in these files belongs in a place" in said(told)


def test_no_prj_is_asked_and_guessed_beside_the_parcels(drawn, tmp_path):
    """Coordinates nobody explains: in a new place they are asked; beside drawn parcels the guess is safe."""
    raw = shapefile(tmp_path / "s", "stands", STANDS.iloc[:1].assign(Name="new").to_crs(26916))
    raw.with_suffix(".prj").unlink()
    (drawn / "stands.geojson").unlink()
    told = said(bring(drawn, raw, code=1))
    assert "--crs EPSG:26916" in told and "0 miles from your other outlines" in told
    assert "--crs" in said(bring(tmp_path / "else", raw, "--yes", code=1)) and not (tmp_path / "else").exists()
    bring(drawn, raw, "--yes")
    assert acres_geodesic(place.read(drawn).stands.geometry)[0] == pytest.approx(acres_geodesic(NORTH), rel=1e-3)
    bring(tmp_path / "else", raw, "--crs", "EPSG:26916")
    assert "names no coordinate system" in said(bring(tmp_path / "third", raw, "--crs", "UTM", code=1))


def bow_tie(depth: float) -> gpd.GeoDataFrame:
    """The back forty with a corner walked so that the line crosses itself by some degrees."""
    w, s, e, n = BACK.bounds
    ring = [(w, s), (e, s), (e, n), (w + 0.001, n), (w, n + depth), (w + 0.001, n + depth), (w, n)]
    return gpd.GeoDataFrame({"Name": ["Back forty"]}, geometry=[shapely.Polygon(ring)], crs=4326)


def test_a_small_bow_tie_is_mended_when_asked(tmp_path):
    """A slip of the phone is mended by --yes, with acres before and after; a wide crossing is a fault as ever."""
    bow_tie(0.00003).to_file(tmp_path / "small.geojson")
    told = bring(tmp_path / "woods", tmp_path / "small.geojson", code=1)
    assert "the outline crosses itself" in said(told) and "--yes" in said(told)
    told = bring(tmp_path / "woods", tmp_path / "small.geojson", "--yes")
    assert "was mended" in said(told)
    assert acres_geodesic(place.read(tmp_path / "woods").parcels.geometry)[0] == pytest.approx(kit.ACRES[0], rel=0.01)
    bow_tie(0.002).to_file(tmp_path / "wide.geojson")
    told = bring(tmp_path / "other", tmp_path / "wide.geojson", "--yes", code=1)
    assert "crosses itself" in said(told) and not (tmp_path / "other").exists()


def test_running_twice_adds_nothing_and_a_clash_is_refused(drawn, tmp_path):
    """The same file again: nothing new. Another outline by an old id: refused with the id, every byte kept."""
    before = {path.name: path.read_bytes() for path in drawn.iterdir()}
    assert "Nothing new. 2 rows" in said(bring(drawn, tmp_path / "Parcels.json"))
    moved = PARCELS.iloc[:1].set_geometry([shapely.affinity.translate(BACK, 0.02, 0)], crs=4326)
    moved.to_file(tmp_path / "Parcels new.json", driver="GeoJSON")
    assert "another back-forty" in said(bring(drawn, tmp_path / "Parcels new.json", code=1))
    assert {path.name: path.read_bytes() for path in drawn.iterdir()} == before
    moved.assign(Name="Far forty").to_file(tmp_path / "Parcels new.json", driver="GeoJSON")
    bring(drawn, tmp_path / "Parcels new.json")
    text = (drawn / "parcels.geojson").read_bytes()
    assert text.startswith(before["parcels.geojson"].rstrip(b"\n]}")) and len(json.loads(text)["features"]) == 3


def test_the_region_is_told_by_where_the_outlines_lie(tmp_path):
    """New York is the northeast, Virginia the base; --region goes before."""
    for name, east, region in (("ny", 15.0, "northeast"), ("oh", 7.0, "base")):
        moved = PARCELS.set_geometry(PARCELS.translate(east, -2.5 if name == "ny" else -8.0))
        moved.to_file(tmp_path / f"{name}.geojson")
        assert f"of the region {region}" in said(bring(tmp_path / name, tmp_path / f"{name}.geojson"))
        assert place.read(tmp_path / name).region.name == region
    bring(tmp_path / "own", tmp_path / "ny.geojson", "--region", "base")
    assert place.read(tmp_path / "own").region.name == "base"


BROKEN = {
    "cut.kmz": b"PK\x03\x04 nothing more",
    "cut.zip": b"PK\x03\x04 nothing more",
    "no coordinates.kml": b'<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document/></kml>',
    "no xml.kml": b"hello",
    "torn.gpx": b'<?xml version="1.0"?><gpx version="1.1"><wpt lat="46"',
    "none.gpx": b'<?xml version="1.0"?><gpx version="1.1" creator="x"></gpx>',
    "torn.geojson": b'{"type": "FeatureCollection", "features": [',
    "torn.gpkg": b"SQLite format 3\x00 and no more",
    "alone.shp": b"\x00\x00\x27\x0a" + bytes(96),
    "empty.csv": b"",
    "torn.xlsx": b"PK\x03\x04 nothing more",
    "picture.csv": bytes(range(256)) * 20,
    "odd.ods": b"what",
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_file_is_a_fault(tmp_path, name):
    """Words with the file's name and exit code 1, nothing written, never a traceback."""
    (tmp_path / name).write_bytes(BROKEN[name])
    told = bring(tmp_path / "woods", tmp_path / name, code=1)
    assert name in said(told) and "Stopped" in said(told) and not (tmp_path / "woods").exists()


def test_a_kml_read_as_it_stands_keeps_legal_words_and_covers(drawn):
    """Of parcels.kml and stands.kml names stay ids, descriptions give legal words, acres and covers as in bring."""
    for table, frame in (("parcels", PARCELS), ("stands", STANDS)):
        (drawn / f"{table}.geojson").unlink()
        kml(drawn / f"{table}.kml", Places=frame)
    read = place.read(drawn)
    assert read.parcels["parcel_id"].tolist() == read.parcels["name"].tolist() == ["Back forty", "Creek forty"]
    assert read.parcels["legal"].iloc[0].startswith("SE1/4") and read.parcels["deed_acres"].iloc[0] == 40
    assert read.stands["cover"].tolist() == ["oak", "pine", "cedar swamp"]

"""What goes out to other tools comes back as it was, read by another library."""

from dataclasses import replace
from datetime import date

import geopandas as gpd
import pyogrio
import pytest

from woodlot import place
from woodlot.land.parcels import acres_geodesic
from woodlot.map import export, layers


@pytest.fixture(scope="module")
def written(answers, frames, tmp_path_factory):
    """Both files on disk."""
    folder = tmp_path_factory.mktemp("export")
    for name, text in export.files(answers, *frames).items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def test_waypoints_come_back(written, drawn):
    """Notes with a place, deer plots and marked points: each is one waypoint where it was, with its words."""
    points = gpd.read_file(written / "woods.gpx", layer="waypoints")
    notes = [n for n in drawn["notes"] if n["lon"] is not None]
    assert len(points) == len(notes) + len(drawn["deer"]) + 2
    first = points.iloc[0]
    assert first["name"] == "24 Dead maple, 1.5 cords"
    assert (first.geometry.x, first.geometry.y) == pytest.approx((notes[0]["lon"], notes[0]["lat"]), abs=1e-6)
    assert list(points["type"]).count("deer plot") == 15


def test_boundaries_come_back_as_tracks(written, frames):
    """Each parcel and stand is a track whose points are its corners, to a millionth of a degree."""
    parcels, stands, _ = frames
    tracks = gpd.read_file(written / "woods.gpx", layer="tracks")
    assert list(tracks["type"]).count("parcel") == 5 and list(tracks["type"]).count("stand") == 16
    one = tracks[tracks["name"] == "Home forty"].geometry.iloc[0]
    assert one.hausdorff_distance(parcels.geometry.iloc[0].exterior) < 2e-6
    six = tracks[tracks["name"] == "stand 6"].geometry.iloc[0]
    assert six.hausdorff_distance(stands.set_index("stand_id").geometry["6"].exterior) < 2e-6


def test_kml_comes_back_with_its_areas(written, frames):
    """Parcels and stands are areas again, as large as they were; the creek is a line; words ride along."""
    stands = frames[1]
    layers_read = [name for name, _ in pyogrio.list_layers(written / "woods.kml")]
    assert layers_read[:2] == ["parcel", "stand"] and "note" in layers_read
    back = gpd.read_file(written / "woods.kml", layer="stand").rename(columns=str.lower)
    assert list(back["name"]) == [f"stand {s}" for s in stands["stand_id"]]
    assert acres_geodesic(back.geometry) == pytest.approx(acres_geodesic(stands.geometry), abs=0.01)
    assert "cords an acre" in back["description"].iloc[0]
    assert gpd.read_file(written / "woods.kml", layer="stream").geometry.iloc[0].geom_type == "LineString"


def test_a_geopackage_of_the_same_frames_comes_back(frames, tmp_path):
    """Parcels, stands and features written and read again are the same shapes and words."""
    parcels, stands, features = frames
    data = place.geopackage({"parcels": parcels, "stands": stands, "features": features}, date(2026, 11, 25))
    place.write_files(tmp_path, {"woods.gpkg": data})
    back = gpd.read_file(tmp_path / "woods.gpkg", layer="stands")
    assert list(back["stand_id"]) == list(stands["stand_id"])
    assert back.geometry.geom_equals(stands.geometry).all()
    assert back.crs == stands.crs


def test_a_place_read_back_from_its_own_kml_has_the_same_acres(written, frames, tmp_path):
    """The KML of the parcels is a parcels file that measures the same, to a hundredth of an acre."""
    back = gpd.read_file(written / "woods.kml", layer="parcel")
    assert acres_geodesic(back.geometry) == pytest.approx(acres_geodesic(frames[0].geometry), abs=0.01)


@pytest.mark.parametrize(
    "evil", ["</name><wpt lat='0' lon='0'/>", "a\x00b\x0bc\ufffe", "& < > \" ' ]]>", "🦌 \u202eשלום"]
)
def test_hostile_words_break_no_file(answers, frames, tmp_path, evil):
    """Tags, control characters, quotes and emoji in names and notes leave both files readable, with no point added."""
    bad = replace(
        answers,
        name=evil,
        parcels=tuple(replace(p, name=evil) for p in answers.parcels),
        notes=tuple(replace(n, text=evil) for n in answers.notes),
    )
    for name, text in export.files(bad, *frames).items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    points = gpd.read_file(tmp_path / "woods.gpx", layer="waypoints")
    assert len(points) == 9 + 15 + 2
    assert len(gpd.read_file(tmp_path / "woods.kml", layer="parcel")) == 5


def test_a_parcel_of_two_pieces_with_a_hole_is_kept(answers, frames):
    """A multipolygon with a hole keeps its three rings in GPX and KML."""
    from shapely.geometry import MultiPolygon, Polygon

    parcels = frames[0].copy()
    west, south, east, north = parcels.geometry.iloc[0].bounds
    dx, dy = east - west, north - south
    hole = [
        (west + 0.2 * dx, south + 0.2 * dy),
        (west + 0.3 * dx, south + 0.2 * dy),
        (west + 0.3 * dx, south + 0.3 * dy),
    ]
    one = Polygon([(west, south), (west + dx / 2, south), (west + dx / 2, north), (west, north)], [hole])
    two = Polygon([(east, south), (east + dx / 2, south), (east + dx / 2, north), (east, north)])
    parcels.loc[parcels.index[0], "geometry"] = MultiPolygon([one, two])
    drawn = layers.build(answers, parcels, frames[1])
    track = export.gpx(drawn).split("<name>Home forty</name>")[1].split("</trk>")[0]
    assert track.count("<trkseg>") == 3
    mark = export.kml(drawn).split("<name>Home forty</name>")[1].split("</Placemark>")[0]
    assert mark.count("<Polygon>") == 2 and mark.count("innerBoundaryIs") == 2

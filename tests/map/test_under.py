"""Pictures stand in place of the fills, contours over them, both only when asked for."""

import base64
import zlib

import geopandas as gpd
import pytest
from shapely.geometry import LineString

from woodlot.errors import InputError
from woodlot.map import layers, map_backdrop, page


def gray_png(side=8):
    """A small gray PNG, made by hand."""
    rows = b"".join(b"\x00" + bytes([120] * side) for _ in range(side))

    def chunk(kind, data):
        return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")

    head = side.to_bytes(4, "big") * 2 + b"\x08\x00\x00\x00\x00"
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")


@pytest.fixture(scope="module")
def shown(frames):
    """A picture of the ground for the home parcel, and three lines of equal height on it."""
    west, south, east, north = frames[0].geometry.iloc[0].bounds
    picture = {
        "data": base64.b64encode(gray_png()).decode("ascii"),
        "kind": "image/png",
        "bounds": [[south, west], [north, east]],
    }
    steps = [south + (north - south) * k / 4 for k in (1, 2, 3)]
    contours = gpd.GeoDataFrame(
        {"parcel_id": "P1", "level_ft": [1030.0, 1040.0, 1050.0], "interval_ft": 10.0},
        geometry=[LineString([(west, y), (east, y)]) for y in steps],
        crs="EPSG:4326",
    )
    return {"ground": {"P1": picture}}, contours


def test_a_view_is_asked_only_where_there_is_a_picture(answers, frames, shown):
    """With a picture of the ground there is one more question; without there is none."""
    keys = [q["key"] for q in layers.build(answers, *frames, *shown)["questions"]]
    assert keys[-1] == "ground" and "air" not in keys
    assert "ground" not in [q["key"] for q in layers.build(answers, *frames)["questions"]]


def test_a_parcel_without_a_picture_says_so(answers, frames, shown):
    """The ridge has none and says that the raster does not reach it."""
    drawn = layers.build(answers, *frames, *shown)
    said = {p["id"]: p["said"]["ground"]["head"] for p in drawn["parcels"]}
    assert said == {"P1": "4 stands outlined"} | dict.fromkeys(("P2", "P3", "P4", "P5"), "No picture of this parcel")


def test_every_fifth_contour_is_marked_by_hand(shown):
    """With 10 ft between lines 1,050 ft is a fifth one (1,050 / 50 = 21), 1,030 and 1,040 are not."""
    lines = map_backdrop.contour_lines(shown[1])
    found = [(f["properties"]["ft"], f["properties"]["fifth"]) for f in lines]
    assert found == [(1030, False), (1040, False), (1050, True)]


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"radar": {}}, "ground or air"),
        ({"ground": {"P1": {"kind": "image/svg+xml", "data": "AAAA", "bounds": [[0, 0], [1, 1]]}}}, "base64"),
        ({"ground": {"P1": {"kind": "image/png", "data": '"><script>', "bounds": [[0, 0], [1, 1]]}}}, "base64"),
    ],
)
def test_what_is_no_picture_is_refused(given, words):
    """An unknown view, a kind that can hold scripts, data that is not base64."""
    with pytest.raises(InputError, match=words):
        map_backdrop.pictures(given, ["P1"])


@pytest.mark.browser
def test_a_picture_takes_the_place_of_the_fills(answers, frames, shown, open_page, tmp_path):
    """Asked how the ground lies, a picture lies under unfilled, named stands; another question takes it away."""
    file = tmp_path / "map.html"
    file.write_text(page.html(answers, *frames, *shown), encoding="utf-8")
    opened = open_page(file)
    opened.wait_for_selector("body[data-ready]")
    opened.click(".question:has(input[value=ground]) label")
    picture = opened.locator(".leaflet-under-pane img")
    assert picture.count() == 1
    assert picture.evaluate("i => i.complete && i.naturalWidth === 8")
    ground = opened.evaluate(
        """() => { let b;
        geo_json_parcels.eachLayer(l => { if (l.feature.id === 'P1') b = l.getBounds(); });
        const at = p => map_woods.latLngToContainerPoint(p), a = at(b.getNorthWest()), c = at(b.getSouthEast());
        return [c.x - a.x, c.y - a.y]; }"""
    )
    box = picture.bounding_box()
    assert (box["width"], box["height"]) == pytest.approx(ground, abs=2)
    opacity = opened.eval_on_selector_all(
        ".leaflet-stands-pane path", "all => all.map(p => p.getAttribute('fill-opacity'))"
    )
    assert opacity == ["0"] * 4
    assert sorted(opened.locator(".word span").all_text_contents()) == ["stand 1", "stand 2", "stand 3", "stand 4"]
    opened.click(".question:has(input[value=much]) label")
    assert picture.count() == 0
    assert opened.complaints == [] and opened.asked == [file.as_uri()]


@pytest.mark.browser
def test_contours_are_off_until_asked_for(answers, frames, shown, open_page, tmp_path):
    """Their button draws three lines over the parcel, and takes them away again."""
    file = tmp_path / "map.html"
    file.write_text(page.html(answers, *frames, *shown), encoding="utf-8")
    opened = open_page(file)
    opened.wait_for_selector("body[data-ready]")
    before = opened.locator(".leaflet-edges-pane path").count()
    opened.click("#contour-lines")
    assert opened.locator(".leaflet-edges-pane path").count() == before + 3
    opened.click("#contour-lines")
    assert opened.locator(".leaflet-edges-pane path").count() == before

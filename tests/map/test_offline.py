"""The page asks for nothing outside itself, and the check that says so can fail."""

import pytest

from woodlot.errors import InputError
from woodlot.map import offline


@pytest.mark.parametrize(
    "html",
    [
        '<img src="http://a/b.png">',
        "<script src=a.js></script>",
        '<link rel="stylesheet" href="//c/d.css">',
        "<style>@import 'e.css';</style>",
        "<style>p{background:url(http://f/g.png)}</style>",
        "<p style=\"background:url('h.png')\">x</p>",
        '<svg><image href="i.png"/></svg>',
        '<form action="http://j"></form>',
    ],
)
def test_a_page_that_fetches_is_refused(html):
    """Each way of fetching is found."""
    assert offline.outside(html)
    with pytest.raises(InputError, match="would fetch"):
        offline.finished(html)


@pytest.mark.parametrize(
    "html",
    [
        '<p>src="http://a" url(http://b)</p>',
        '<a href="https://leafletjs.com">Leaflet</a>',
        '<img src="data:image/png;base64,AA==">',
        '<svg><use href="#x"/><path fill="url(#y)"/></svg>',
        "<script>var a = \"<img src='x'>\";</script>",
    ],
)
def test_words_links_and_data_are_no_fetch(html):
    """Words that look like addresses, links that wait for a tap and data inside the page pass."""
    assert offline.finished(html) == html


def test_leaflet_stands_inside_without_loose_ends():
    """Pictures are inside the style sheet, no source map is asked for, no script tag can be closed early."""
    assert "url(images" not in offline.leaflet_css()
    assert offline.leaflet_css().count("data:image/png") >= 3
    for text in (offline.leaflet_js(), offline.jquery_js()):
        assert "sourceMappingURL" not in text
        assert "</script" not in text.lower()
        assert len(text) > 50_000


def test_a_picture_of_unknown_kind_is_refused():
    """Only kinds a browser shows are put inside."""
    assert offline.data_uri(b"\x00", "a.PNG") == "data:image/png;base64,AA=="
    with pytest.raises(InputError, match=r"a\.tif"):
        offline.data_uri(b"\x00", "a.tif")

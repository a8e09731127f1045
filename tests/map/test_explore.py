"""Map and tables in a notebook's cell."""

import re
from dataclasses import replace

import pytest

from woodlot.map import explore, page


def test_tables_show_numbers_with_their_ranges(answers):
    """Stand 1 of the made-up place: 21 cords an acre (17 to 27, 90%); stand 4 says why it has none."""
    html = explore.stands_table(answers, "P1")._repr_html_().replace("\u2060", "").replace("\u00a0", " ")
    assert "<b>21</b> (17–27, 90%)" in html
    assert "nobody has put a plot here" in html
    assert len(re.findall("<tr>", html)) == 1 + 4


def test_the_parcels_table_holds_every_parcel(answers):
    """One row a parcel with acres and deed."""
    html = str(explore.parcels_table(answers))
    for parcel in answers.parcels:
        assert parcel.name in html
        assert f"<td class='r'>{parcel.acres:.1f}</td><td class='r'>{parcel.deed_acres:.1f}</td>" in html
    assert html.count("<tr>") == 6


def test_hostile_words_stay_words_in_a_cell(answers):
    """Tags in names and reasons are escaped."""
    evil = "<img src=x onerror=y()>"
    bad = tuple(replace(s, cover=evil, cut=replace(s.cut, words=evil)) for s in answers.stands)
    html = str(explore.stands_table(replace(answers, stands=bad)))
    assert "<img" not in html and "&lt;img" in html


def test_the_frame_holds_the_same_page(answers, frames):
    """The frame's words are the page's, escaped once."""
    from html import unescape

    shown = str(explore.explore(answers, *frames, height_px=500))
    inside = unescape(re.search(r'srcdoc="([^"]*)"', shown).group(1))
    assert inside == page.html(answers, *frames)
    assert "height:500px" in shown


@pytest.mark.browser
def test_the_map_opens_inside_a_cell(answers, frames, open_page, tmp_path):
    """In a page that shows the cell's HTML the map draws itself, asks for nothing and answers a question."""
    file = tmp_path / "cell.html"
    file.write_text(f"<!DOCTYPE html><meta charset=utf-8><body>{explore.explore(answers, *frames)}", encoding="utf-8")
    shown = open_page(file)
    cell = shown.frame_locator("iframe")
    cell.locator("body[data-ready]").wait_for()
    cell.locator(".question:has(input[value=much]) label").click()
    assert cell.locator("#answer h2").text_content() == "470 full cords standing"
    assert [u for u in shown.asked if not u.startswith("about:")] == [file.as_uri()]
    assert shown.complaints == []

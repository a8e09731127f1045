"""Blank sheets to print: whole on their paper, with distances that hold."""

import re
import shutil
import subprocess

import pytest

from woodlot.answers.measuring import HeightsWanted, Measuring, StandHeights
from woodlot.errors import InputError
from woodlot.paper import tally_sheet
from woodlot.region import shipped
from woodlot.tree.quality import letters

#: Two trees on every third point; two maples' and an ash's heights wanted in stand 1.
KINDS = (HeightsWanted("sugar maple", 1, 2), HeightsWanted("black ash", 0, 1))
HEIGHTS = StandHeights("1", 1, 1, 0.14, KINDS, "Stand 1: 1 height measured.", "2 of sugar maple and 1 of black ash")
MEASURING = Measuring(2, 3, 4.0, "measure about 2 trees on every third point", "", (HEIGHTS,))


def test_distances_at_the_foot_by_hand(answers):
    """At factor 10 each inch gives 2.750 ft, at factor 20 1.944: 12 in are 33.0 and 23.3 ft, 24 in 66.0 and 46.7."""
    html = tally_sheet.html(answers, MEASURING, ["plot"], copies=1)
    rows = [re.findall(r"<td>([^<]+)</td>", row) for row in re.findall(r"<tr><td>factor.*?</tr>", html)]
    assert rows[0] == ["factor 10", "16.5", "22.0", "27.5", "33.0", "38.5", "44.0", "49.5", "55.0", "66.0"]
    assert rows[1] == ["factor 20", "11.7", "15.6", "19.4", "23.3", "27.2", "31.1", "35.0", "38.9", "46.7"]


def test_the_empty_plot_comes_before_the_table(answers):
    """The box for no tree stands above the rows."""
    html = tally_sheet.html(answers, MEASURING, ["plot"], copies=1)
    assert html.index("No tree is in") < html.index("<table")


def test_a_letter_is_asked_with_its_legend(answers):
    """A narrow column for a letter between rot and the distance, and every letter of the region with its word."""
    asked = letters(region=shipped("lake_states"))
    html = tally_sheet.html(answers, MEASURING, ["plot"], copies=1, letters=asked)
    heads = re.findall(r"<th>(.*?)</th>", html)
    assert heads.index("rot %") + 1 == heads.index("letter") == heads.index("feet to<br>center") - 1
    assert [(m, w) for m, w in re.findall(r"<b>([A-Z])</b>&nbsp;([a-z ]+)", html)] == list(asked.items())
    assert "<th>letter</th>" not in tally_sheet.html(answers, MEASURING, ["plot"], copies=1)


def test_the_familys_own_kinds_and_stands_stand_on_the_sheet(answers):
    """Kinds that the place knows, and the stands without a plot."""
    html = tally_sheet.html(answers, MEASURING, ["browse"], copies=1)
    assert "Kinds here: sugar maple, black ash." in html
    assert "No plot yet in stands 4, 7, 14." in html


def test_halves_are_paired_on_sheets(answers):
    """Three halves are two sheets, the last half blank; every kind of sheet is there when all are asked for."""
    assert tally_sheet.html(answers, MEASURING, ["pellet"], copies=3).count("<section class='sheet'>") == 2
    html = tally_sheet.html(answers, MEASURING)
    for title in (
        "Trees: one prism plot",
        "Trees counted: many points",
        "Deer sign: one line",
        "Browsed stems: one line",
        "Deer seen:",
    ):
        assert html.count(f"<h1>{title}") == 2


@pytest.mark.parametrize(
    ("more", "words"), [({"which": ["map"]}, "map"), ({"paper": "legal"}, "letter or a4"), ({"copies": 0}, "1 or more")]
)
def test_what_cannot_be_printed_is_refused(answers, more, words):
    """An unknown sheet, an unknown paper, no copy."""
    with pytest.raises(InputError, match=words):
        tally_sheet.html(answers, MEASURING, **more)


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_each_sheet_is_one_landscape_page_and_nothing_is_cut_off(answers, open_page, tmp_path, paper):
    """Five sheets print on five pages; no half is taller or wider than its room."""
    if shutil.which("pdfinfo") is None:
        pytest.skip("no pdfinfo on this machine: the printed sheets were not counted")
    file = tmp_path / "sheets.html"
    asked = letters(region=shipped("lake_states"))
    file.write_text(tally_sheet.html(answers, MEASURING, paper=paper, letters=asked), encoding="utf-8")
    page = open_page(file)
    page.emulate_media(media="print")
    over = page.eval_on_selector_all(
        ".half", "all => all.map(h => [h.scrollHeight - h.clientHeight, h.scrollWidth - h.clientWidth])"
    )
    assert len(over) == 10 and max(max(o) for o in over) <= 1
    page.pdf(path=tmp_path / "sheets.pdf", prefer_css_page_size=True)
    info = subprocess.run(["pdfinfo", tmp_path / "sheets.pdf"], capture_output=True, text=True, check=True).stdout
    assert re.search(r"Pages:\s+5\b", info)
    wide, high = map(float, re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", info).groups())
    assert wide > high
    assert page.asked == [file.as_uri()] and page.complaints == []

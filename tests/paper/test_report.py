"""The report: same bytes, whole pages, every number with its range and every word as a word."""

import copy
import re
import shutil
import subprocess
import sys

import pytest

from woodlot.errors import InputError, NoAnswer
from woodlot.map import map_on_paper
from woodlot.paper import parcel_pages, pdf, report


@pytest.fixture(scope="module")
def html(answers, frames):
    """The report of the made-up place."""
    return report.html(answers, *frames)


def plain(html):
    """The words of a page, one space between them."""
    words = re.sub(r"<style.*?</style>", " ", html, flags=re.DOTALL)
    words = re.sub(r"<[^>]+>", " ", words).replace("\u00a0", " ").replace("\u2060", "")
    return re.sub(r"\s+", " ", words)


def test_same_inputs_same_bytes(answers, frames, html):
    """The report is the same to the last byte when made again."""
    assert report.html(answers, *frames) == html


def test_the_first_page_is_the_decision(html, answers):
    """Page 1 has the decision as its title, the acres behind it and every row with its range."""
    first = plain(html.split("<section class='page'>")[1])
    assert "Thin two stands this winter Leave the other fourteen." in first
    for row in answers.rows:
        for part in (row.number, f"{row.range[:1].upper()}{row.range[1:]}", row.title):
            assert part.replace("'", "&#x27;") in first or part in first
    assert "acres have plots" in first


def test_each_parcel_has_its_page(html, drawn):
    """One page a parcel: its finding as title, one map, its stands and no others."""
    pages = html.split("<section class='page'>")[1:]
    for parcel in drawn["parcels"]:
        mine = [p for p in pages if f"<h1>{parcel['name']}:" in p]
        assert len(mine) == 1
        assert mine[0].count('<svg class="sheet"') == 1
        rows = re.findall(r"<tr(?: class='over')?><td><b>(\d+)</b></td><td class='nowrap'>", mine[0])
        assert rows == [s["id"] for s in drawn["stands"] if s["parcel"] == parcel["id"]]


def test_the_measured_total_is_the_parcels(html):
    """Corner forty: 12.8 and 13.1 measured acres are 25.9; 540 cords (410 to 700); 12 plots."""
    page = next(p for p in html.split("<section class='page'>") if "<h1>Corner forty" in p)
    assert "Measured 25.9 540 (410–700) 12" in plain(page)


def test_every_winter_of_the_plan_stands_in_the_row(html):
    """Stand 6 is cut this winter and in four later ones; stand 12 waits for plots, stand 15 is not cut at all."""
    told = plain(html).replace("\u2060", "")
    assert "acre† then winters 2027–28 to 2028–29 and 2030–31 to 2031–32" in told
    assert "winter 2028–29 then winters 2029–30 to 2034–35" in told
    pages = html.split("<section class='page'>")
    pine, creek = (next(plain(p) for p in pages if f"<h1>{name}" in p) for name in ("Pine twenty", "Creek eighty"))
    assert pine.count("measure first") == 1
    assert [creek.count(why) for why in ("not to be cut", "measure first", "not in this plan")] == [1, 1, 1]


def test_the_smallest_map_of_a_page_still_says_what_grows(drawn):
    """Drawn as small as a full page allows, the map of Home forty holds the letters of its four stands."""
    svg = map_on_paper.parcel_svg(drawn, "P1", ["grows"], parcel_pages.LEAST_MAP_PX, "m1-")
    assert sorted(re.findall(r">([HOAB])</", svg)) == ["A", "B", "H", "O"]


def test_memory_is_marked_and_explained_on_the_page(html):
    """The basal area to leave carries the mark, and the foot of that page says what it means."""
    page = next(p for p in html.split("<section class='page'>") if "<h1>Corner forty" in p)
    assert "leave 80 sq ft an acre†" in plain(page)
    assert "† from memory, no source seen" in page


def test_cautions_are_said_once_with_their_stands(plain_answers, typed, frames):
    """The same caution of two stands is one line that names both."""
    more = copy.deepcopy(plain_answers)
    for s in more["stands"]:
        if s["stand_id"] in ("5", "6"):
            s["cautions"] = ["Dead ash. Not for hand felling without a professional."]
    html = report.html(typed(more), *frames)
    page = next(p for p in html.split("<section class='page'>") if "<h1>Corner forty" in p)
    assert page.count("Dead ash") == 1
    assert "Stands 5, 6:" in plain(page)


def test_sources_carry_their_marks(html):
    """A source from memory is marked in the list of sources, one that was read is not."""
    words = plain(html)
    assert "Residual basal areas by cover† memory" in words
    assert "Westfall and others 2024, WO-104 read" in words


def test_charts_appear_only_with_numbers(plain_answers, typed, frames, html):
    """Series for stock, risk and heat give their charts; without them there is none."""
    assert "Chance in 100" not in html
    series = {
        "stock": {"title": "What stands over the years", "years": [2026, 2076], "plan": [100.0, 120.0]}
        | {"low": [80.0, 60.0], "high": [120.0, 200.0]},
        "risk": [{"does": 0, "value": 2.0, "low": 1.0, "high": 4.0, "plan": True}],
        "meat": {
            "share_pct": [0.0, 5.0],
            "first_lb": [0.0, 9.0],
            "settled_lb": [0.0, 3.0],
            "flat_pct": [2.0, 3.0],
            "now_pct": 1.0,
        },
        "heat": [{"winter": "2026–27", "stacked": 5.0, "to_cut": 0.0, "need": {"value": 7.9, "low": 6.4, "high": 9.6}}],
    }
    more = report.html(typed(plain_answers | {"charts": series}), *frames)
    for words in ("What stands over the years", "Chance in 100", "Pounds of doe meat", "Full cords ready to burn"):
        assert words in more


def test_hostile_words_stay_words(plain_answers, typed, frames, html):
    """Tags in names, notes and reasons add no tag to the report."""
    bad = copy.deepcopy(plain_answers)
    evil = '</section><script>x()</script><img src="http://a">'
    bad["name"] = bad["headline"] = evil
    for p in bad["parcels"]:
        p["name"], p["contacts"] = evil, [evil]
    for s in bad["stands"]:
        s["cautions"] = [evil]
    for n in bad["notes"]:
        n["text"] = evil
    for r in bad["rows"]:
        r |= {"number": evil, "why": evil, "title": evil, "range": evil}
    bad["deer"]["words"] = evil
    made = report.html(typed(bad), *frames)
    assert "<script" not in made and "<img" not in made
    assert made.count("<section") == html.count("<section")


def test_an_unknown_paper_is_refused(answers, frames):
    """Only Letter and A4 are known."""
    with pytest.raises(InputError, match="letter or a4"):
        report.html(answers, *frames, paper="legal")


def test_a_missing_pdf_library_is_one_clear_line(monkeypatch):
    """Without weasyprint the message says how to install it and what else works."""
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    with pytest.raises(NoAnswer, match=r"woodlot\[pdf\].*print report\.html") as told:
        pdf.from_html("<p>x</p>")
    assert "\n" not in str(told.value)


@pytest.mark.slow
def test_the_pdf_is_made_where_the_library_is(html, monkeypatch, tmp_path):
    """With weasyprint the report is a PDF with a sheet for each of its pages; nothing is fetched for it."""
    pytest.importorskip("weasyprint", reason="weasyprint is not installed: no PDF was made")
    import urllib.request

    monkeypatch.setattr(urllib.request, "urlopen", lambda *a, **k: pytest.fail("something was fetched"))
    made = pdf.from_html(html)
    assert made.startswith(b"%PDF-")
    if shutil.which("pdfinfo") is None:
        pytest.skip("no pdfinfo on this machine: the sheets were not counted")
    (tmp_path / "report.pdf").write_bytes(made)
    info = subprocess.run(["pdfinfo", tmp_path / "report.pdf"], capture_output=True, text=True, check=True).stdout
    assert int(re.search(r"Pages:\s+(\d+)", info).group(1)) == html.count("<section class='page'>")


@pytest.mark.browser
@pytest.mark.parametrize(("paper", "size"), [("letter", (612, 792)), ("a4", (595, 842))])
def test_it_prints_on_letter_and_a4(answers, frames, drawn, open_page, tmp_path, paper, size):
    """Every page of the report is one sheet; nothing is wider than the sheet; page n of m stands at the foot."""
    if shutil.which("pdftotext") is None:
        pytest.skip("no pdftotext on this machine: the printed pages were not read")
    file = tmp_path / "report.html"
    file.write_text(report.html(answers, *frames, paper=paper), encoding="utf-8")
    page = open_page(file, viewport={"width": 816, "height": 1056})
    assert page.asked == [file.as_uri()] and page.complaints == []
    page.emulate_media(media="print")
    assert page.evaluate("[...document.querySelectorAll('.page *')].every(e => e.scrollWidth <= innerWidth)")
    page.pdf(path=tmp_path / "report.pdf", prefer_css_page_size=True, print_background=True)
    info = subprocess.run(["pdfinfo", tmp_path / "report.pdf"], capture_output=True, text=True, check=True).stdout
    sheets = int(re.search(r"Pages:\s+(\d+)", info).group(1))
    wide, high = map(float, re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", info).groups())
    assert (round(wide), round(high)) == size
    assert sheets == len(drawn["parcels"]) + 5
    for i in range(1, sheets + 1):
        words = subprocess.run(
            ["pdftotext", "-f", str(i), "-l", str(i), "-layout", tmp_path / "report.pdf", "-"],
            capture_output=True, text=True, check=True,
        ).stdout  # fmt: skip
        assert f"page {i} of {sheets}" in words
        assert "Marten Hollow" in words, "every sheet begins a page of the report"


def test_older_notes_of_a_long_ledger_have_a_page(typed, plain_answers, frames, html):
    """A line a year with the words of the map, and the sentence on what is not shown; no page for a short ledger."""
    words = "1,240 older notes, until 14 May 2019, are told by year and kind; the ledger has them all."
    year = {"notes": 31, "words": "24.5 cords of <firewood>, seen 3 times.", "kinds": []}
    years = [{"year": y, **year} for y in range(2019, 1979, -1)]
    older = {"notes": 1240, "until": "2019-05-14", "words": words, "years": years}
    long = report.html(typed(plain_answers | {"older_notes": older}), *frames)
    assert "older notes" not in plain(html)
    told = plain(long)
    assert words in told
    assert all(f"{y} 31 24.5 cords of &lt;firewood&gt;, seen 3 times." in told for y in range(1980, 2020))

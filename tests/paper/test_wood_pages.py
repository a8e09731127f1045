"""Pages on what to cut: fullness, structure and jobs are drawn to scale, and each stays on one sheet."""

import copy
import re
import shutil
import subprocess

import pytest

from woodlot.answers.chart_types import Guide, Size
from woodlot.paper import report, stand_figures

#: As long as a line of the order of removal is.
ORDER = "1. About 55 trees of kinds that are short lived or of little use: 55 eastern hophornbeam (6 to 8 in)."
CLASSES = [
    {"class_in": 6, "now": 50.0, "goal": 40.0, "take": 10.0},
    {"class_in": 8, "now": 20.0, "goal": 25.0, "take": 0.0},
    {"class_in": 12, "now": 15.0, "goal": 10.0, "take": 5.0},
]
GUIDE = {
    "lines": [
        {"name": "full above (60%)", "seen": "chosen", "points": [[4.0, 50.0], [8.0, 80.0], [14.0, 100.0]]},
        {"name": "low under (30%)", "seen": "memory", "points": [[4.0, 25.0], [8.0, 40.0], [14.0, 50.0]]},
    ],
    "points": [
        {"when": "today", "qmd_in": 10.0, "basal": 110.0, "stems": 200.0},
        {"when": "after the cut", "qmd_in": 10.5, "basal": 80.0, "stems": 133.0},
        {"when": "in 10 years", "qmd_in": 11.5, "basal": 95.0, "stems": 132.0},
        {"when": "in 20 years", "qmd_in": 12.5, "basal": 108.0, "stems": 127.0},
    ],
}


def full(sid, **more):
    """One stand of ``plan.charts.fullness``."""
    one = {"stand_id": sid, "guide": "relative density", "keep_pct": 50.0, "keep_seen": "read", "today_pct": 70.0}
    return one | {"after_pct": 50.0, "in_10_pct": 60.0, "in_20_pct": 68.0} | more


def structure(sid):
    """One stand of ``plan.charts.structures``."""
    guide = [
        {"species": "red maple", "class_in": 6, "cut": 10.0},
        {"species": "sugar maple", "class_in": 12, "cut": 5.0},
    ]
    told = {"stand_id": sid, "cover": "northern hardwoods", "leave_sqft_per_ac": 80.0, "q": 1.6, "seen": "read"}
    return told | {"classes": CLASSES, "guide": guide}


def job(sid, sizes):
    """One job sheet with so many sizes."""
    kinds = "sugar maple (1 of 5), red maple (all), quaking aspen (all), eastern hophornbeam (all), basswood (2 of 5)"
    classes = [{"class_in": 6 + 2 * i, "now": 20.0, "cut": 5.0, "species": kinds} for i in range(sizes)]
    told = {"stand_id": sid, "acres": 1.5, "trees_to_cut": 5.0 * sizes, "classes": classes, "guide": GUIDE}
    words = f"Stand {sid}: 14 cords from 1.5 acres. November to March."
    told |= {"marking": [ORDER] * 8, "after": [ORDER * 2] * 3, "cautions": ["Stay two tree lengths away. " + ORDER] * 5}
    return told | {"words": words, "keep": ["3 trees an acre"] * 4}


@pytest.fixture(scope="module")
def with_pages(plain_answers, typed):
    """The made-up answers with what these pages draw."""
    out = copy.deepcopy(plain_answers)
    ids = [s["stand_id"] for s in out["stands"] if s["plots"]]
    out["charts"] = dict(out.get("charts") or {}) | {
        "fullness": [full(sid) for sid in ids],
        "structures": [structure(sid) for sid in ids[:5]],
    }
    out["jobs"] = [job(ids[0], 3), job(ids[1], 14)]
    return typed(out)


def test_a_fullness_row_lies_on_its_axis_by_hand():
    """Axis 0 to 150 % over 442 px from 238: 60 % lies at 414.8, its range 326.4 to 503.2, the dashed 45 at 370.6."""
    row = stand_figures.FullRow("1", "Oak", "", 60.0, 30.0, 90.0, keep=45.0, after=45.0, later=(50.0, 140.0))
    svg = stand_figures.fullness([row], ((80.0, "full"), (1e9, "crowded")))
    assert '<circle cx="414.8" cy="28" r="5"' in svg
    assert "M326.4 28H503.2" in svg
    assert "M370.6 21V44" in svg and 'stroke-dasharray="2,2.5"' in svg
    assert '<circle cx="385.3" cy="38.5" r="3.8"' in svg
    assert f'<rect x="{238 + 140 * 442 / 150 - 3.6:.1f}" y="34.9"' in svg


def test_a_stand_that_is_not_thinned_has_no_triangle_and_one_not_measured_is_hatched():
    """No cut: no triangle in the row nor in the legend; no number: a hatch with the reason on a white plate."""
    rows = [
        stand_figures.FullRow("1", "Cedar", "one plot, no range", 60.0, later=(61.0, 62.0)),
        stand_figures.FullRow("2", "Brush", "not measured"),
    ]
    svg = stand_figures.fullness(rows, ((80.0, "full"), (1e9, "crowded")))
    assert "thinned" not in svg and "one plot, no range" in svg
    assert 'url(#f-hatch-ink)"' in svg and "not measured" in svg


def test_bars_of_a_structure_are_as_high_as_their_trees_by_hand():
    """Axis to 60 over 100 px: 50 trees stand 83.3 px high, 10 of them hatched are 16.7; the line at 40 lies at 41.3."""
    svg = stand_figures.structure([Size(**size) for size in CLASSES])
    assert re.search(r'height="83.3" fill="#FFFFFF"', svg)
    assert re.search(r'height="16.7" fill="url\(#u-hatch-ink\)"', svg)
    assert "M28 41.3H" in svg
    assert ">10</text>" in svg or ">8</text>" in svg


def test_a_guide_shows_four_marks_and_names_its_lines_with_their_mark(made_up):
    """Dot, triangle, ring and square; the line from memory carries its sign."""
    svg = stand_figures.guide(made_up.filled(Guide, GUIDE))
    assert svg.count('r="5"') == 1 and svg.count('r="3.8"') == 1
    assert "full, 60%" in svg and "low, 30% †" in svg


def test_the_title_says_is_only_where_the_whole_range_is_over(plain_answers, typed, frames):
    """Range over 80: is crowded; crossing: probably; none: may be; under: no stand."""
    out = copy.deepcopy(plain_answers)
    ids = [s["stand_id"] for s in out["stands"] if s["plots"]][:3]
    for sid, low, high in zip(ids, (90.0, 60.0, None), (110.0, 120.0, None), strict=True):
        stand = next(s for s in out["stands"] if s["stand_id"] == sid)
        stand["stocking_pct"] = {"value": 100.0, "low": low, "high": high}
    out["charts"] = {"fullness": [full(sid, today_pct=100.0) for sid in ids]}
    told = report.html(typed(out), *frames)
    assert f"Stand {ids[0]} is crowded; stand {ids[1]} is probably crowded; stand {ids[2]} may be crowded" in told
    assert "M503.2 28H562.1" in told, "90 to 110 on an axis to 150 over 442 px from 238"
    out["charts"] = {"fullness": [full(sid, today_pct=70.0) for sid in ids]}
    assert "No stand is crowded" in report.html(typed(out), *frames)


def test_a_job_names_what_goes_and_leaves_the_charts_out_when_the_list_is_long(with_pages, frames):
    """Three sizes: list and charts, long words and cautions on a sheet behind; fourteen: the list alone, on two sheets,
    words and cautions under the last.
    """
    told = report.html(with_pages, *frames)
    sheets = re.findall(r"<section class='page'>.*?</section>", told, re.S)
    jobs = [s for s in sheets if "Which trees" in s or "In which order" in s]
    assert len(jobs) == 4 and "Which trees, continued" in jobs[3]
    assert "On its guide" in jobs[0] and not any("On its guide" in sheet for sheet in jobs[1:])
    assert jobs[2].count("basswood (2 of 5)") + jobs[3].count("basswood (2 of 5)") == 14
    for at in range(4):
        words = ("What comes after", "two tree lengths", "1. About 55 trees")
        assert {word in jobs[at] for word in words} == {at in (1, 3)}
    assert "Leave every other size and kind." in jobs[0]


def test_few_words_stand_under_the_list(plain_answers, typed, frames):
    """A job with three sizes and little to say is one sheet."""
    out = copy.deepcopy(plain_answers)
    sid = next(s["stand_id"] for s in out["stands"] if s["plots"])
    out["jobs"] = [job(sid, 3) | {"marking": [ORDER], "after": [ORDER], "cautions": ["Stay two tree lengths away."]}]
    told = report.html(typed(out), *frames)
    sheets = re.findall(r"<section class='page'>.*?</section>", told, re.S)
    (one,) = (s for s in sheets if "Which trees" in s or "In which order" in s)
    assert "On its guide" in one and "two tree lengths" in one and "What comes after" in one


@pytest.mark.browser
def test_every_page_on_the_cut_is_one_sheet_and_readable_on_a_phone(with_pages, frames, open_page, tmp_path):
    """Sheets of the print are pages of the report; at 390 pixels nothing but boxes made for it scrolls sideways."""
    if shutil.which("pdfinfo") is None:
        pytest.skip("no pdfinfo on this machine: the sheets were not counted")
    file = tmp_path / "report.html"
    file.write_text(report.html(with_pages, *frames), encoding="utf-8")
    page = open_page(file, viewport={"width": 816, "height": 1056})
    page.pdf(path=tmp_path / "report.pdf", prefer_css_page_size=True, print_background=True)
    info = subprocess.run(["pdfinfo", tmp_path / "report.pdf"], capture_output=True, text=True, check=True).stdout
    assert int(re.search(r"Pages:\s+(\d+)", info).group(1)) == file.read_text().count("<section class='page'>")
    phone = open_page(file, phone=True)
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    assert page.complaints == [] and phone.complaints == []

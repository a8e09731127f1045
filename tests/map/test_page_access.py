"""People who use a keyboard or a screen reader: axe-core finds nothing wrong on map and report."""

import os
from pathlib import Path

import pytest

from woodlot.paper import report

pytestmark = [pytest.mark.browser, pytest.mark.slow]


@pytest.fixture(scope="module")
def axe():
    """The text of axe-core, whose file WOODLOT_AXE names (.ci/run puts it there); skips aloud without it."""
    file = os.environ.get("WOODLOT_AXE", "")
    if not Path(file).is_file():
        pytest.skip("WOODLOT_AXE names no axe.min.js: axe-core was not run on map and report")
    return Path(file).read_text(encoding="utf-8")


def faults(page, axe):
    """Impact, rule and place of everything axe-core finds."""
    page.evaluate(axe)
    found = page.evaluate("axe.run()")
    assert len(found["passes"]) > 20, "axe-core ran"
    return [(v["impact"], v["id"], [n["target"] for n in v["nodes"]][:3]) for v in found["violations"]]


@pytest.mark.parametrize("phone", [False, True])
def test_the_map_has_no_fault(open_page, map_file, axe, phone):
    """Nothing at first sight, with a stand's card open, with the note form open, and in the overview."""
    page = open_page(map_file, phone=phone, bypass_csp=True)
    page.wait_for_selector("body[data-ready]")
    assert faults(page, axe) == []
    page.evaluate("woods.openStand('6')")
    assert faults(page, axe) == []
    page.keyboard.press("Escape")
    page.click("#note-open")
    page.click(".kinds button[data-kind=firewood]")
    assert faults(page, axe) == []
    page.keyboard.press("Escape")
    if phone:
        page.tap("#overview-open")
        assert faults(page, axe) == []


@pytest.mark.parametrize("phone", [False, True])
def test_the_map_without_scripts_has_no_fault(open_page, map_file, axe, phone):
    """The still pages that show where no scripts run; axe is one itself, so only the mark of scripts is taken away."""
    page = open_page(map_file, phone=phone, bypass_csp=True)
    page.evaluate("document.documentElement.className = ''")
    assert page.locator(".parcel-page:visible").count() == 5
    assert faults(page, axe) == []


def test_the_report_has_no_fault(answers, frames, open_page, axe, tmp_path):
    """The report on a screen."""
    file = tmp_path / "report.html"
    file.write_text(report.html(answers, *frames), encoding="utf-8")
    assert faults(open_page(file, bypass_csp=True), axe) == []

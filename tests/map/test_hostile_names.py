"""Names as a family or a phone may write them: from right to left, with emoji, with marks, long, with tags."""

import json
from dataclasses import replace

import pytest

from woodlot.map import isolate, offline, page
from woodlot.paper import report

#: Hebrew with a mark and an emoji; marks that turn all that follows; a family of emoji; half an emoji; tags and quotes;
#: 500 letters; emoji throughout, so that any cut falls into one; Arabic among ours.
NAMES = {
    "right to left": "\u200fמרטן 🦌",
    "turned": "Otter \u202eevil\u2066 \u061cend",
    "family": "\U0001f468\u200d\U0001f469\u200d\U0001f467 \u200fwoods",
    "half": "Otter \ud83e woods",
    "tags": '</script><b>"O\'Neil" \\ & <!-- ${x} -->\x00\n',
    "long": "Otter " * 84,
    "emoji": "\u200f🦌" * 80,
    "odd emoji": "🦌" * 200,
    "arabic": "Otter الغابة, 40 (old)",
}
MARKS = "[\\u061c\\u200e\\u200f\\u202a-\\u202e]"


def named(answers, name):
    """The place with this name for itself, a parcel, every note and who wrote it."""
    return replace(
        answers,
        name=name,
        parcels=(replace(answers.parcels[0], name=name), *answers.parcels[1:]),
        notes=tuple(replace(n, text=name, who=name) for n in answers.notes),
    )


def test_a_run_from_right_to_left_stands_by_itself():
    """By hand: marks go, a run of Hebrew with what stands inside it is one, tags and what is in them stay."""
    html = '<a title="\u200fמר">\u200fמרטן, טל 40 acres</a><b>plain</b>'
    assert isolate.isolated(html) == '<a title="\u200fמר">\u2068מרטן, טל\u2069 40 acres</a><b>plain</b>'
    assert isolate.isolated("<b>plain \u2019 \u00a0</b>") == "<b>plain \u2019 \u00a0</b>"
    assert isolate.isolated("<b>x\ud83e</b>") == "<b>x\ufffd</b>"


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_the_data_of_a_page_keep_the_name(name):
    """What the scripts read is the name letter for letter: notes and stands are found by it."""
    html = offline.finished(f'<script type="application/json">{offline.safe_json({name: [name]})}</script>')
    held = json.loads(html[html.index(">") + 1 : html.rindex("<")])
    shown = name.replace("\ud83e", "\ufffd")
    assert held == {shown: [shown]}


browser = pytest.mark.browser


@browser
@pytest.mark.parametrize("phone", [False, True])
@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_the_map_holds_with_any_name(answers, frames, open_page, tmp_path, name, phone):
    """It opens, shows card and notes, and nothing drawn holds half a letter or a mark that turns our words around."""
    file = tmp_path / "map.html"
    file.write_text(page.html(named(answers, name), *frames), encoding="utf-8")
    shown = open_page(file, phone=phone)
    shown.wait_for_selector("body[data-ready]")
    shown.evaluate("woods.openStand('1')")
    assert drawn_marks(shown) == []
    shown.keyboard.press("Escape")
    shown.click("#note-open")
    shown.click(".kinds button[data-kind=seen]")
    shown.click("#note-keep")
    assert shown.evaluate(
        "Object.keys(localStorage).some(k => k === 'woodlot notes: ' + JSON.parse("
        "document.getElementById('woods').textContent).field.place)"
    )
    assert shown.complaints == []


@browser
@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_the_report_holds_with_any_name(answers, frames, open_page, tmp_path, name):
    """The same of the report."""
    file = tmp_path / "report.html"
    file.write_text(report.html(named(answers, name), *frames), encoding="utf-8")
    shown = open_page(file)
    assert drawn_marks(shown) == []
    assert shown.complaints == []


@browser
@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_scripts_and_pages_draw_a_name_alike(open_page, map_file, name):
    """What the page's scripts draw of a name is what stands in the page without them."""
    shown = open_page(map_file)
    in_page = isolate.isolated(f">{name.replace('<', '')}<")[1:-1]
    assert shown.evaluate("name => drawnWords(name)", name.replace("<", "")) == in_page
    cut = shown.evaluate("name => cutWords(name, 120)", name)
    assert len(cut) <= 120 and (len(name) <= 120 or cut == name[:119] + "…")


@browser
def test_words_behind_a_name_stay_behind_it(open_page, map_file):
    """By the rules of Unicode a number behind Hebrew goes to its left; the name by itself leaves it."""
    shown = open_page(map_file)
    name, number = shown.evaluate(
        """() => { const p = document.createElement("p"), r = document.createRange();
        p.textContent = drawnWords("מרטן, 40 acres");
        document.body.append(p);
        const at = letter => { const i = p.textContent.indexOf(letter);
        r.setStart(p.firstChild, i); r.setEnd(p.firstChild, i + 1); return r.getBoundingClientRect().left; };
        return [at("מ"), at("4")]; }"""
    )
    assert name < number


def drawn_marks(shown):
    """Words and attributes in the page, data apart, that hold half a letter; words that hold a mark that turns."""
    return shown.evaluate(
        """marks => { const bad = [], half = /\\p{Surrogate}/u, turn = new RegExp(marks);
        const walk = document.createTreeWalker(document.documentElement, NodeFilter.SHOW_ALL);
        while (walk.nextNode()) { const n = walk.currentNode;
          const told = n.nodeType === 3 && n.parentNode.tagName !== "SCRIPT" ? n.data : "";
          if (half.test(told) || turn.test(told)) bad.push(told);
          if (n.attributes) for (const a of n.attributes) if (half.test(a.value)) bad.push(a.name + " " + a.value); }
        return bad; }""",
        MARKS,
    )

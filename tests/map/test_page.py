"""The map page as text: same bytes, small, strict, and deaf to what stands in the files."""

import copy
import json
import re
from html.parser import HTMLParser

import pytest

from woodlot.map import offline, page

HOSTILE = {
    "script": "</script><script>window.broken=1</script>",
    "image": '"><img src=x onerror="window.broken=2">',
    "quotes": 'O\'Brien "the" `oak` & <b>pine</b> {{7*7}} ${1+1}',
    "right to left": "\u202eשלום עולם\u202c مرحبا",
    "emoji": "🦌🌲👨‍👩‍👧 é ñ \u2028\u2029",
    "long": "W" * 10_000,
}


@pytest.fixture(scope="module")
def hostile(plain_answers, typed):
    """The made-up place with hostile names, covers and notes."""
    bad = copy.deepcopy(plain_answers)
    bad["name"] = HOSTILE["script"]
    for p, name in zip(bad["parcels"], HOSTILE.values(), strict=False):
        p["name"] = name
        p["contacts"] = [HOSTILE["image"]]
    for s in bad["stands"]:
        s["cautions"] = list(HOSTILE.values())
        s["species"] = [{"species": HOSTILE["image"], "cords_per_ac": 1.0, "share_pct": 100.0}]
        s["cut"]["words"] = HOSTILE["script"]
    bad["stands"][3] |= {"cover": HOSTILE["quotes"], "letter": "?"}
    for n, words in zip(bad["notes"], [*HOSTILE.values()] * 2, strict=False):
        n |= {"text": words, "kind": HOSTILE["image"], "unit": HOSTILE["quotes"]}
    bad["headline"] = HOSTILE["image"]
    return typed(bad)


class Tags(HTMLParser):
    """Counts the tags of a page and keeps attributes that run script."""

    def __init__(self):
        """Nothing counted yet."""
        super().__init__()
        self.count, self.handlers = {}, []

    def handle_starttag(self, tag, attrs):
        """Count one tag."""
        self.count[tag] = self.count.get(tag, 0) + 1
        self.handlers += [k for k, v in attrs if k.startswith("on") or str(v).lower().startswith("javascript:")]


def tags(html):
    """The tags of a page."""
    found = Tags()
    found.feed(html)
    return found


def test_same_inputs_same_bytes(answers, frames):
    """Two pages from the same inputs are the same to the last byte, ids included."""
    assert page.html(answers, *frames) == page.html(copy.deepcopy(answers), *frames)


def test_the_page_is_small(map_file):
    """Under 1.5 MB, Leaflet and jQuery included."""
    assert 300_000 < map_file.stat().st_size < 1_500_000


def test_the_page_has_a_strict_policy(map_file):
    """Nothing may be fetched, no form sent, no base changed."""
    html = map_file.read_text(encoding="utf-8")
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', html).group(1)
    assert "default-src 'none'" in policy
    assert "form-action 'none'" in policy and "base-uri 'none'" in policy
    assert "http" not in policy


def test_hostile_words_add_no_tag_and_no_handler(hostile, answers, frames):
    """Script tags, quotes and handlers in names and notes change no count of scripts, images or handlers."""
    good, bad = tags(page.html(answers, *frames)), tags(page.html(hostile, *frames))
    for tag in ("script", "img", "iframe", "object", "style", "link", "form", "input"):
        assert bad.count.get(tag, 0) == good.count.get(tag, 0), tag
    assert bad.handlers == good.handlers == []


def test_json_inside_a_script_cannot_end_it():
    """Tags, comments and line separators are written as escapes and read back as they were."""
    text = offline.safe_json({"a": "</script><!--\u2028"})
    assert "<" not in text and "\u2028" not in text
    assert json.loads(text) == {"a": "</script><!--\u2028"}


@pytest.mark.browser
def test_hostile_words_are_only_words(hostile, frames, tmp_path, open_page):
    """In the browser they appear as text on tab, card and note; no script of theirs runs, nothing is asked for."""
    file = tmp_path / "bad.html"
    file.write_text(page.html(hostile, *frames), encoding="utf-8")
    shown = open_page(file)
    shown.wait_for_selector("body[data-ready]")
    assert shown.text_content("#place-name") == HOSTILE["script"]
    assert shown.text_content("#tabs button:nth-child(2) b") == HOSTILE["image"]
    shown.click("#answer .rows button >> nth=0")
    card = shown.text_content("#card")
    for words in (shown.evaluate("words => drawnWords(words)", one) for one in HOSTILE.values()):
        assert words.replace("\u2028", "").replace("\u2029", "")[:2000] in card.replace("\u2028", "").replace(
            "\u2029", ""
        )
    assert shown.evaluate("window.broken") is None
    assert shown.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert shown.complaints == []
    assert [u for u in shown.asked if u != file.as_uri()] == []

"""The map opened in headless Chromium with the network cut, wide with a mouse and on a phone by touch."""

import re

import pytest

from woodlot.map import page
from woodlot.map.map_words import GROUP_GROUND

pytestmark = pytest.mark.browser
QUESTIONS = ["grows", "much", "when", "sure", "growth", "browse"]


def ready(page):
    """Wait until the page has drawn itself."""
    page.wait_for_selector("body[data-ready]")
    page.wait_for_timeout(120)
    return page


@pytest.fixture
def wide(open_page, map_file):
    """The page at 1280 x 900."""
    return ready(open_page(map_file))


@pytest.fixture
def phone(open_page, map_file):
    """The page at 390 x 844 with touch."""
    return ready(open_page(map_file, phone=True))


def ask(page, key, tap=False):
    """Choose a question."""
    if tap and QUESTIONS.index(key) > 3:
        page.tap("#more-questions")
    act = page.tap if tap else page.click
    act(f".question:has(input[value={key}]) label")


def fills(page):
    """Fills of the stands that are drawn, in the order of the map."""
    return page.eval_on_selector_all(".leaflet-stands-pane path", "paths => paths.map(p => p.getAttribute('fill'))")


def test_it_opens_on_the_home_parcel_and_asks_for_nothing(wide, map_file):
    """Home is the chosen tab; the only request is the file; no error is logged."""
    assert wide.text_content("#tabs [aria-current] b") == "Home forty"
    assert wide.asked == [map_file.as_uri()]
    assert wide.complaints == []


def test_the_phone_opens_on_the_home_parcel(phone, map_file):
    """The same on a phone, without sideways scroll."""
    assert phone.text_content("#here-name") == "Home forty"
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    assert phone.asked == [map_file.as_uri()] and phone.complaints == []


def test_each_question_repaints_the_stands_and_shows_its_legend(wide, drawn):
    """Every question gives the fills of its own steps, its letters or numbers, its sentence and its legend."""
    steps = {q["key"]: q["steps"] for q in drawn["questions"]}
    stands = [s for s in drawn["stands"] if s["parcel"] == "P1"]
    for key in QUESTIONS:
        ask(wide, key)
        wanted = [
            steps[key][s["marks"][key][0]]["fill"] if s["marks"][key][0] is not None else "#FFFFFF" for s in stands
        ]
        assert fills(wide) == wanted
        assert sorted(wide.locator(".word b").all_text_contents()) == sorted(s["marks"][key][1] for s in stands)
        assert (
            wide.text_content("#answer h2") == next(p for p in drawn["parcels"] if p["id"] == "P1")["said"][key]["head"]
        )
        assert wide.locator(f".question:has(input[value={key}]) .legend").is_visible()
        assert wide.locator(".legend:visible").count() == 1
    assert wide.complaints == []


def test_hatch_lies_over_what_is_not_measured(wide):
    """Stand 4 of Home forty is hatched in every question, over its own fill or over white."""
    for key in QUESTIONS[:4]:
        ask(wide, key)
        over = wide.eval_on_selector_all(".leaflet-hatch-pane path", "paths => paths.map(p => p.getAttribute('fill'))")
        assert over == ["url(#hatch-ink)"]


def test_every_parcel_is_one_tap_away(wide, drawn):
    """Each tab brings its parcel, fills the sheet with it, and draws only its stands."""
    for i, parcel in enumerate(drawn["parcels"]):
        wide.click(f"#tabs button:nth-child({i + 1})")
        wide.wait_for_timeout(60)
        assert wide.text_content("#answer .kicker") == parcel["name"]
        assert len(fills(wide)) == sum(s["parcel"] == parcel["id"] for s in drawn["stands"])
        box = wide.evaluate(
            """id => { let b; geo_json_parcels.eachLayer(l => { if (l.feature.id === id) b = l.getBounds(); });
            const at = p => map_woods.latLngToContainerPoint(p), a = at(b.getNorthWest()), c = at(b.getSouthEast());
            return [a.x, a.y, c.x, c.y]; }""",
            parcel["id"],
        )
        assert max(box[2] - box[0], box[3] - box[1]) > 450
        assert box[0] > 0 and box[1] > 0


def test_a_stands_card_shows_the_answers_numbers(wide, answers):
    """For every stand: the card's unrounded data equal the answers, and its large number is their rounding."""
    from woodlot.say import words

    for s in answers.stands:
        wide.fill("#find", s.stand_id)
        wide.press("#find", "Enter")
        card = wide.locator("#card")
        assert card.get_attribute("data-stand") == s.stand_id
        for kind in s.species:
            assert f"{words.two_figures(kind.cords_per_ac)} cords an acre (" in card.text_content()
        if s.species:
            assert f"any kind not met0%, {s.unseen_kind_per_ac.why}" in card.text_content()
        value = s.cords_per_ac.value
        shown = card.get_attribute("data-cords-per-ac")
        assert (None if shown is None else float(shown)) == value
        big = card.locator(".big").text_content()
        if s.how in ("measured", "few plots", "one plot"):
            assert big == f"{words.two_figures(value)} cords an acre"
            assert float(card.get_attribute("data-cords")) == s.cords.value
            assert f"{words.two_figures(s.cords.value)} full cords" in card.text_content()
        elif s.how == "borrowed":
            assert big.startswith("≈") and "no range" in card.text_content()
        wide.keyboard.press("Escape")
        assert card.is_hidden()


@pytest.mark.parametrize("size", ["wide", "phone"])
def test_every_winter_of_a_stand_is_on_its_card_and_in_the_list(size, request, drawn):
    """Stand 6 shows its runs of winters on the card and in the list, nothing is cut off at the side."""
    page = request.getfixturevalue(size)
    page.evaluate("woods.openStand('6')")
    wanted = next(s for s in drawn["stands"] if s["id"] == "6")["card"]["winters"]
    assert page.locator("#card .winters tbody tr").count() == 3
    assert page.locator("#card .winters tbody td").all_text_contents() == [cell for row in wanted for cell in row]
    page.keyboard.press("Escape")
    ask(page, "when")
    if size == "phone":
        page.tap("#list-open")
    row = (
        page.locator("#answer .rows >> nth=0")
        .locator("tr", has_text="low, wet")
        .or_(page.locator("#answer .rows >> nth=0").locator("tr", has_text="Low, wet"))
    )
    assert row.locator("td >> nth=1").text_content().replace("\u2060", "").replace("\u00a0", " ") == (
        "this winter then 2027–28 to 2028–29, 2030–31 to 2031–32"
    )
    assert page.evaluate(
        "document.getElementById('answer').scrollWidth <= document.getElementById('answer').clientWidth"
    )
    page.evaluate("woods.openStand('13')")
    cell = page.locator("#card .winters td >> nth=1")
    assert cell.text_content().replace("\u00a0", " ") == "11, 39, 40, 41, 42, 43 and 44 cords"
    assert page.evaluate("document.getElementById('card').scrollWidth <= document.getElementById('card').clientWidth")
    assert page.locator("#card .winters td >> nth=0").bounding_box()["width"] > 120, "the winters keep their room"


def test_a_click_on_the_sheet_opens_the_card_and_outlines_the_stand(wide):
    """Clicking in a stand docks its card and draws the double outline; a click beside it closes both."""
    spot = wide.evaluate("""() => { let c;
        geo_json_stands.eachLayer(l => { if (l.feature.id === '3') c = l.getCenter(); });
        const p = map_woods.latLngToContainerPoint(c), r = map_woods.getContainer().getBoundingClientRect();
        return [r.left + p.x, r.top + p.y]; }""")
    wide.mouse.click(*spot)
    assert wide.locator("#card").get_attribute("data-stand") == "3"
    assert wide.locator(".leaflet-chosen-pane path").count() == 2
    wide.mouse.click(600, 770)
    assert wide.locator("#card").is_hidden()
    assert wide.locator(".leaflet-chosen-pane path").count() == 0


def test_each_year_and_the_deer_sign_toggle(wide, drawn):
    """A year's button takes its tags and its rows away and brings them back; so does deer sign with its marks."""
    tags = wide.locator(".leaflet-notes-pane .touch")
    everything = tags.count()
    assert everything == 4
    for year in drawn["years"]:
        button = wide.locator("#year-buttons button", has_text=year)
        mine = sum(n["parcel"] == "P1" and n["year"] == year for n in drawn["notes"])
        button.hover()
        button.click()
        assert button.get_attribute("aria-pressed") == "false"
        assert tags.count() == everything - mine
        assert wide.locator("#answer .rows >> nth=1").locator("tbody tr").count() == everything - mine
        button.click()
        assert tags.count() == everything
    assert wide.locator(".leaflet-deer-marks-pane .groups").count() == 7
    wide.click("#deer-sign")
    assert wide.locator(".leaflet-deer-marks-pane .groups").count() == 0
    assert wide.complaints == []


@pytest.mark.parametrize("on_phone", [False, True])
def test_ground_of_the_group_is_dotted_and_goes_with_the_deer_sign(
    answers, frames, made_up, tmp_path, open_page, on_phone
):
    """Two neighbors' outlines come and go with the deer sign, which a phone shows when asked; the key names them."""
    from shapely import Polygon

    corners = [[(x, 0), (x + 1322, 0), (x + 1322, 1330), (x, 1330)] for x in (-1400, -2800)]
    group = [Polygon(list(zip(*made_up.lonlat(*zip(*one, strict=True)), strict=True))) for one in corners]
    file = tmp_path / "map.html"
    file.write_text(page.html(answers, *frames, group=group), encoding="utf-8")
    shown = ready(open_page(file, phone=on_phone))
    dotted, press = ".leaflet-deer-pane path[stroke-dasharray='1 5']", shown.tap if on_phone else shown.click
    for seen in (0, 2) if on_phone else (2, 0, 2):
        assert shown.locator(dotted).count() == seen
        press("#deer-sign")
    assert GROUP_GROUND in shown.text_content(".key")
    assert shown.complaints == []


def test_a_note_opens_its_card(wide):
    """Tapping a tag shows the note's words and its line in the ledger."""
    wide.click(".touch[aria-label*='Oak']")
    assert "Oak, 2\u00a0cords" in wide.text_content("#card")
    assert "Line 2 of the ledger" in wide.text_content("#card")


def test_the_keyboard_reaches_everything(wide):
    """Tab reaches parcels, tools, search, stands, notes, years and questions; Enter on a stand's row opens its card."""
    seen = set()
    parts = "#tabs,#questions,#search,#answer,#year-buttons,.tools,.leaflet-notes-pane"
    for _ in range(60):
        wide.keyboard.press("Tab")
        seen.add(
            wide.evaluate(
                "parts => { const a = document.activeElement.closest(parts); return a ? a.id || a.className : ''; }",
                parts,
            )
        )
    for part in ("tabs", "questions", "search", "answer", "year-buttons"):
        assert part in seen, seen
    assert any("notes-pane" in s for s in seen)
    wide.focus("#answer .rows button >> nth=1")
    wide.keyboard.press("Enter")
    assert wide.locator("#card").get_attribute("data-stand") == "2"
    wide.keyboard.press("Escape")
    assert wide.evaluate("document.activeElement.textContent").startswith("2")


@pytest.mark.parametrize("size", ["wide", "phone"])
def test_targets_are_44_pixels(size, request):
    """Every button, input and label one can touch is at least 44 by 44."""
    page = request.getfixturevalue(size)
    small = page.evaluate(
        """() => [...document.querySelectorAll('button,#questions label,#find')].filter(b => b.offsetParent)
        .map(b => [b.id || b.className || b.textContent, b.getBoundingClientRect()])
        .filter(([n, r]) => r.width < 43.5 || r.height < 43.5).map(([n, r]) => n + ' ' + r.width + 'x' + r.height)"""
    )
    assert small == []


def test_nothing_is_set_smaller_than_12_pixels(wide):
    """No words under 12 px."""
    least = wide.evaluate("""() => Math.min(...[...document.querySelectorAll('#app *')]
        .filter(e => e.offsetParent && [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim()))
        .map(e => parseFloat(getComputedStyle(e).fontSize)))""")
    assert least >= 12


def test_the_phone_walks_parcels_questions_card_and_overview(phone):
    """By touch: next parcel, question, stand card at the bottom, close, overview, parcel from the list."""
    phone.tap("#after")
    assert phone.text_content("#here-name") == "Corner forty"
    ask(phone, "when", tap=True)
    assert phone.text_content("#answer h2") == "Stand 6 this winter"
    box = phone.locator(".leaflet-container").bounding_box()
    phone.touchscreen.tap(box["x"] + 60, box["y"] + box["height"] - 90)
    card = phone.locator("#card")
    assert card.is_visible()
    rect = card.bounding_box()
    assert rect["width"] == 390 and rect["y"] > 250
    phone.tap("#card-close")
    assert card.is_hidden()
    phone.tap("#overview-open")
    phone.tap("#overview-list button >> nth=4")
    assert phone.text_content("#here-name") == "Creek eighty"
    ask(phone, "growth", tap=True)
    assert "cords a year" in phone.text_content("#answer h2")
    assert phone.locator("#deer-sign").get_attribute("aria-pressed") == "false"
    phone.tap("#deer-sign")
    assert phone.locator(".leaflet-deer-marks-pane .groups").count() == 8
    assert phone.complaints == []


def test_search_finds_stands_by_number_and_cover(wide):
    """The exact number comes first; a cover finds its stands; a strange word says so."""
    wide.fill("#find", "1")
    assert wide.locator("#found button >> nth=0").text_content().startswith("stand 1:")
    wide.fill("#find", "cedar")
    assert wide.locator("#found button").all_text_contents() and all(
        "edar" in t for t in wide.locator("#found button").all_text_contents()
    )
    wide.fill("#find", "zebra")
    assert wide.text_content("#found") == "No stand of that name."


def test_where_am_i_says_how_well_it_knows(open_page, map_file):
    """With a position 25 m good the circle is drawn and the line says within 80 feet (25 / 0.3048 = 82)."""
    page = open_page(
        map_file, geolocation={"latitude": 45.7328, "longitude": -89.4095, "accuracy": 25}, permissions=["geolocation"]
    )
    ready(page)
    page.click("#where")
    page.wait_for_selector(".leaflet-here-pane path")
    assert page.locator(".leaflet-here-pane path").count() == 2
    assert "within 80 feet" in page.text_content("#told")
    page.click("#where")
    assert page.locator(".leaflet-here-pane path").count() == 0


def test_where_am_i_far_away_says_how_far(open_page, map_file):
    """From ten miles south the line names the nearest parcel and the miles to it."""
    page = open_page(
        map_file, geolocation={"latitude": 45.55, "longitude": -89.4095, "accuracy": 10}, permissions=["geolocation"]
    )
    ready(page)
    page.click("#where")
    page.locator("#told", has_text="You are ").wait_for()
    assert re.search(r"You are 1\d\.\d miles from", page.text_content("#told"))


def test_where_am_i_refused_says_so(wide):
    """Without permission the page says that the phone gave no place, and why."""
    wide.click("#where")
    wide.locator("#told", has_text="did not give a place").wait_for()
    assert wide.text_content("#told") == "The phone did not give a place: permission denied."
    assert wide.locator("#where").get_attribute("aria-pressed") == "false"


def test_print_gives_one_page_a_parcel(wide, tmp_path, drawn):
    """Five parcels print on five Letter pages, each with its own name, in the question shown."""
    ask(wide, "much")
    pdf = wide.pdf(path=tmp_path / "map.pdf", prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == len(drawn["parcels"]) == 5
    wide.emulate_media(media="print")
    heads = wide.locator(".parcel-page .ask-much h2:visible").all_text_contents()
    assert heads == [p["said"]["much"]["head"] for p in drawn["parcels"]]
    assert wide.locator(".parcel-page h2:visible").count() == 5
    assert wide.locator("#app").is_hidden()
    wide.emulate_media(media="screen")
    wide.wait_for_timeout(100)
    assert wide.complaints == []


def test_scripts_hide_the_still_pages_before_anything_is_drawn(wide, map_file):
    """The mark that scripts run is set in the head before any style: nothing of the still pages flashes up."""
    html = map_file.read_text(encoding="utf-8")
    assert html.index('document.documentElement.className="js"') < html.index("<style") < html.index("<body")
    assert wide.locator("#app").is_visible()
    assert wide.locator("#still").is_hidden() and wide.locator("#print").is_hidden()


@pytest.mark.parametrize("phone", [False, True])
def test_without_scripts_every_parcel_is_there(open_page, map_file, drawn, phone):
    """Each parcel's sentence, map, legend and rows show in the first question, and in any that is tapped."""
    page = open_page(map_file, phone=phone, java_script_enabled=False)
    assert page.locator("#app").is_hidden()
    assert "runs no scripts" in page.locator("#still").inner_text()
    for key in ("grows", "when", "much"):
        label = page.locator(f"label[for=ask-{key}]")
        assert label.bounding_box()["height"] >= 44
        label.tap() if phone else label.click()
        heads = page.locator(".parcel-page h2:visible").all_text_contents()
        assert heads == [p["said"][key]["head"] for p in drawn["parcels"]]
        assert page.locator(".parcel-page table:visible th", has_text="cover").count() == len(drawn["parcels"])
        assert page.locator(f".parcel-page .sheet g.ask-{key}:visible").count() == 2 * len(drawn["parcels"])
        assert page.locator(f".parcel-page .sheet g.ask:not(.ask-{key}):visible").count() == 0
    wide = max(page.locator(part).bounding_box()["width"] for part in ("#print", ".parcel-page >> nth=1", "#still"))
    assert wide <= (390 if phone else 1280)
    assert page.locator("html").evaluate("e => e.scrollWidth") <= (390 if phone else 1280)
    assert page.locator("#still a").all_text_contents() == [p["name"] for p in drawn["parcels"]]
    assert page.complaints == []


def test_without_scripts_it_prints_a_page_a_parcel(open_page, map_file, drawn, tmp_path):
    """The still pages print as the others do: five Letter pages, in the question that was tapped."""
    page = open_page(map_file, java_script_enabled=False)
    page.click("label[for=ask-much]")
    pdf = page.pdf(path=tmp_path / "map.pdf", prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == len(drawn["parcels"])
    page.emulate_media(media="print")
    assert page.locator("#still label:visible, #still a:visible").count() == 0
    assert page.locator(".parcel-page h2:visible").all_text_contents() == [
        p["said"]["much"]["head"] for p in drawn["parcels"]
    ]


def test_zooming_shows_the_way_back(wide):
    """Nearer changes the scale bar and offers the whole parcel again; that brings the first view back."""
    assert wide.locator("#whole").is_hidden()
    first = wide.text_content("#bar-words")
    for _ in range(4):
        wide.click("#nearer")
        wide.wait_for_timeout(350)
    assert wide.text_content("#bar-words") != first
    wide.click("#whole")
    wide.wait_for_timeout(350)
    assert wide.text_content("#bar-words") == first
    assert wide.locator("#whole").is_hidden()


def test_the_scale_bar_is_true(wide):
    """660 feet on the bar are 660 feet on the ground, to one in two hundred."""
    feet = wide.evaluate(
        """() => { const w = document.getElementById('bar').getBoundingClientRect().width;
        const y = map_woods.getSize().y / 2;
        const at = x => map_woods.containerPointToLatLng([x, y]);
        return map_woods.distance(at(100), at(100 + w)) / 0.3048; }"""
    )
    assert wide.text_content("#bar-words").startswith("660 feet")
    assert feet == pytest.approx(660, rel=0.005)


OLDER = {
    "notes": 1240,
    "until": "2019-05-14",
    "words": "1,240 older notes, until 14 May 2019, are told by year and kind; the ledger has them all.",
    "years": [
        {"year": 2019, "notes": 1, "words": "2 deer.", "kinds": []},
        {"year": 2018, "notes": 1239, "words": "24.5 cords of firewood, seen 3 times.", "kinds": []},
    ],
}


@pytest.mark.parametrize("small", [False, True])
def test_older_notes_are_told_by_year(typed, plain_answers, frames, open_page, tmp_path, small):
    """What is too old and too much to be shown one by one is said, and told year by year when opened."""
    file = tmp_path / "older.html"
    file.write_text(page.html(typed(plain_answers | {"older_notes": OLDER}), *frames), encoding="utf-8")
    shown = ready(open_page(file, phone=small))
    if small:
        assert shown.locator(".older").is_hidden()
        shown.tap("#list-open")
    assert shown.locator("#answer p", has_text=OLDER["words"]).is_visible()
    assert not shown.locator(".older p").first.is_visible()
    shown.click(".older summary")
    assert shown.locator(".older p").all_text_contents() == [
        "2019, 1 note: 2 deer.",
        "2018, 1,239 notes: 24.5 cords of firewood, seen 3 times.",
    ]
    assert shown.complaints == []


def test_notes_beyond_the_first_forty_are_shown_when_asked(typed, plain_answers, frames, open_page, tmp_path):
    """The list says how many more there are; going to another parcel closes it again."""
    note = next(n for n in plain_answers["notes"] if n["parcel_id"] == "P1")
    file = tmp_path / "notes.html"
    file.write_text(page.html(typed(plain_answers | {"notes": [note] * 45}), *frames), encoding="utf-8")
    shown = ready(open_page(file))
    rows = shown.locator("#answer table:has(th:text-is('notes')) tbody tr")
    assert rows.count() == 40
    shown.click("text=show 5 more notes from here")
    assert rows.count() == 45
    shown.evaluate("woods.goTo('P2'), woods.goTo('P1')")
    assert rows.count() == 40

"""Notes written on the page in the woods come home whole: into the file, and from the file into the ledger."""

import datetime as dt
import re
from dataclasses import replace

import pytest

from woodlot.errors import PlaceError
from woodlot.ledger import HEADING
from woodlot.map import field_notes

#: The heading of an older page, which is still read.
HEAD = "date,parcel_id,stand_id,kind,sex_age,amount,unit,who,text,lon,lat,corrects"


def read(text):
    """The notes of a saved file, or every fault of it."""
    faults: list = []
    notes = [note for _, note in field_notes.rows(text, "notes.csv", faults)]
    if faults:
        raise PlaceError(faults)
    return notes


def test_the_files_columns_are_the_ledgers():
    """All columns of the ledger but its number and checksum, in its order; those of an older page among them."""
    assert ["line", *field_notes.COLUMNS, "check"] == HEADING
    assert set(HEAD.split(",")) < set(field_notes.COLUMNS)


ROW = "bcdfghjkmnpq,2026-11-25,firewood" + "," * (len(field_notes.COLUMNS) - 3)


def test_a_file_that_ends_within_its_last_row_is_refused():
    """The page ends each row; cut in its last cell, a correction would be read as a second load of wood."""
    whole = ",".join(field_notes.COLUMNS) + "\n" + ROW + "bcdfghjkmnpr\n"
    assert read(whole)[0]["corrects"] == "bcdfghjkmnpr"
    for cut in (1, 5, 13):
        with pytest.raises(PlaceError, match="ends within this row"):
            read(whole[:-cut])


def test_row_ends_of_an_old_spreadsheet_are_read_and_too_long_a_cell_is_told_in_words():
    """Carriage returns alone; a cell of two million letters is no note."""
    whole = ",".join(field_notes.COLUMNS) + "\n" + ROW + "\n"
    assert read(whole.replace("\n", "\r")) == read(whole)
    with pytest.raises(PlaceError, match="more letters than any note has"):
        read(whole.replace("firewood", "x" * 2_000_000))


def test_a_note_is_read_by_hand():
    """Numbers become numbers, the day a day, empty cells are left out, quotes and commas in words stay."""
    text = f'\ufeff{HEAD}\n2026-11-25,P1,3,firewood,,2.5,cord,Ann,"two ""loads"", split",-89.41,45.732,\n'
    assert read(text) == [
        {
            "date": dt.date(2026, 11, 25),
            "parcel_id": "P1",
            "stand_id": "3",
            "kind": "firewood",
            "amount": 2.5,
            "unit": "cord",
            "who": "Ann",
            "text": 'two "loads", split',
            "lon": -89.41,
            "lat": 45.732,
        }
    ]


def test_every_fault_is_named_at_once():
    """A bad day, a missing kind, a number that is none and a torn line are four faults with their rows."""
    text = f"{HEAD}\n25.11.2026,,,seen,,,,,,,,\n2026-11-25,,,,,,,,,,,\n2026-11-25,,,seen,,inf,,,,x,,\n2026-11-25,,\n"
    with pytest.raises(PlaceError) as told:
        read(text)
    assert [(f.row, f.column) for f in told.value.faults] == [
        (2, "date"),
        (3, "kind"),
        (4, "amount"),
        (4, "lon"),
        (5, ""),
    ]


def test_another_files_heading_is_refused():
    """A file with other columns is not read."""
    with pytest.raises(PlaceError, match="The heading is id,date,kind"):
        read("line,date\n1,2026-11-25\n")


def test_a_cell_without_an_end_is_said():
    """A quotation mark that stays open over more than a cell may hold is a fault of the file, in words."""
    with pytest.raises(PlaceError, match="Look for a quotation mark"):
        read(f'{HEAD}\n2026-11-25,,,seen,,,,,"{"x" * 140_000}')


def test_board_feet_go_by_the_places_rule(answers):
    """The form offers board feet under one rule only: that of the place."""
    doyle = replace(answers, base=replace(answers.base, log_rule="doyle"))
    for kind in field_notes.form(doyle)["kinds"]:
        assert [u for u, _ in kind["units"] if u.startswith("bdft")] in (["bdft_doyle"], []), kind["kind"]
    sawlog = next(k for k in field_notes.form(doyle)["kinds"] if k["kind"] == "sawlog")
    assert sawlog["unit"] == "bdft_doyle" and ["bdft_doyle", "board feet"] in sawlog["units"]


def test_each_kind_asks_for_what_its_line_must_hold(answers):
    """The form is made of what lines take: inches and degrees of the weather alone, a deer's sex, words for an ice
    storm; what the form cannot ask no kind on it must hold.
    """
    kinds = {k["kind"]: k for k in field_notes.form(answers)["kinds"]}
    assert [u for u, _ in kinds["weather"]["units"]] == ["in", "f"] and kinds["weather"]["must"] == ["text"]
    assert all("in" not in dict(k["units"]) for k in kinds.values() if k["kind"] != "weather")
    assert kinds["deer"]["asks"] == "deer" and kinds["seen"]["asks"] == "words" == kinds["boundary"]["asks"]
    assert "a late frost" in kinds["weather"]["such_as"]
    assert {kind: k["tag"] for kind, k in kinds.items()} | {"firewood": "wood", "weather": "seen", "deer": "deer"} == {
        kind: k["tag"] for kind, k in kinds.items()
    }
    assert {name for k in kinds.values() for name in k["must"]} <= {"text", "amount", "sex_age", "photo"}


def test_stacked_wood_is_on_the_form_in_cords(answers):
    """The pile that was measured has a kind of its own beside what was cut, said as a family says it."""
    kinds = field_notes.form(answers)["kinds"]
    told = [(k["kind"], k["words"], k["unit"], k["asks"]) for k in kinds]
    assert ("stack", "stacked", "cord", "amount") in told and ("firewood", "firewood", "cord", "amount") in told


def test_sick_and_planted_trees_are_told_by_kind_of_tree(answers):
    """Sick trees in pieces or acres and by kind of tree; wood is not."""
    kinds = {one["kind"]: one for one in field_notes.form(answers)["kinds"]}
    assert [unit for unit, _ in kinds["sick trees"]["units"]] == ["piece", "ac"]
    assert kinds["sick trees"]["tree"] and not kinds["firewood"]["tree"]


# --- in the browser ---------------------------------------------------------------------------------------------------


def spot(page, stand):
    """Window pixels in the middle of a stand."""
    return page.evaluate(
        """id => { let c; geo_json_stands.eachLayer(l => { if (l.feature.id === id) c = l.getCenter(); });
        const p = map_woods.latLngToContainerPoint(c), r = map_woods.getContainer().getBoundingClientRect();
        return [r.left + p.x, r.top + p.y]; }""",
        stand,
    )


def saved(page, path):
    """The text of the file that the page saves."""
    with page.expect_download() as told:
        page.click("#note-save")
    told.value.save_as(path)
    assert told.value.suggested_filename.startswith("woodlot-notes-")
    return path.read_text(encoding="utf-8")


@pytest.mark.browser
def test_a_note_is_written_saved_and_read_into_the_ledger(open_page, map_file, tmp_path):
    """Two notes by mouse, with quotes, commas and a tag in the words, come into the ledger as they were."""
    from woodlot import place

    page = open_page(map_file)
    page.wait_for_selector("body[data-ready]")
    page.click("#note-open")
    page.click("#note-keep")
    assert page.text_content("#note-status") == "Tap a kind first."
    page.click(".kinds button[data-kind=firewood]")
    page.fill("#note-amount", "2,5")
    page.fill("#note-text", 'two "loads", <b>split</b>')
    page.fill("#note-who", "Ann")
    page.fill("#note-date", "2026-11-20")
    page.mouse.click(*spot(page, "3"))
    assert "stand 3" in page.text_content("#note-place")
    page.click("#note-keep")
    page.click("#note-another")
    page.click(".kinds button[data-kind=deer]")
    page.click("#note-keep")
    assert page.text_content("#note-status") == "Which deer was it?"
    page.select_option("#note-deer", "doe")
    page.fill("#note-date", "2026-11-21")
    page.mouse.click(*spot(page, "2"))
    page.click("#note-keep")
    assert page.text_content("#card h2") == "2 notes not in the ledger yet"
    assert page.locator(".tag.new").count() == 2
    notes = read(saved(page, tmp_path / "notes.csv"))
    assert [(n["kind"], n.get("amount"), n.get("unit"), n["stand_id"], n["parcel_id"]) for n in notes] == [
        ("firewood", 2.5, "cord", "3", "P1"),
        ("deer", 1.0, "deer", "2", "P1"),
    ]
    home = tmp_path / "home"
    place.start(home)
    assert place.append_notes(home, notes, once=True) == {0: 1, 1: 2}
    ledger, troubles = place.read_ledger(home)
    assert troubles == []
    assert list(ledger["text"].fillna("")) == ['two "loads", <b>split</b>', ""]
    assert list(ledger["sex_age"].fillna("")) == ["", "doe"]
    assert place.append_notes(home, notes, once=True) == {}
    assert page.complaints == []


@pytest.mark.browser
def test_notes_outlive_the_page(open_page, map_file):
    """What was kept is there when the page is opened again, and is forgotten only on the second tap."""
    page = open_page(map_file)
    page.click("#note-open")
    page.click(".kinds button[data-kind=seen]")
    page.fill("#note-text", "bear track")
    page.click("#note-keep")
    assert "Kept in this browser." in page.text_content("#card")
    page.again()
    assert page.text_content("#note-open") == "notes (1)"
    page.click("#note-open")
    assert "bear track" in page.text_content("#card")
    page.click("#note-forget")
    assert page.text_content("#note-open") == "notes (1)"
    page.click("#note-forget")
    assert page.text_content("#note-open") == "write a note"
    page.again()
    assert page.text_content("#note-open") == "write a note"


def half(page, act):
    """Half a note: kind, amount, words, day and a place in stand 3."""
    act("#note-open")
    act(".kinds button[data-kind=stack]")
    page.fill("#note-amount", "2.5")
    page.fill("#note-text", "behind the")
    page.fill("#note-date", "2026-11-20")
    page.fill("#note-who", "Ann")
    page.evaluate(
        "geo_json_stands.eachLayer(l => { if (l.feature.id === '3') woods.notes.tap(l.getBounds().getCenter()); })"
    )
    assert "stand 3" in page.text_content("#note-place")


def as_left(page):
    """What the form holds, in the order of its fields."""
    fields = {name: page.input_value(f"#note-{name}") for name in ("amount", "unit", "text", "date", "who")}
    kind = page.locator(".kinds [aria-pressed=true]").text_content()
    return [kind, *fields.values(), "stand 3" in page.text_content("#note-place")]


LEFT = ["stacked", "2.5", "cord", "behind the", "2026-11-20", "Ann", True]
WAYS_OFF = {
    "closed by accident": lambda page: page.click("#card-close"),
    "escape": lambda page: page.keyboard.press("Escape"),
    "next parcel": lambda page: page.evaluate("woods.goTo('P2')"),
    "a stand's card": lambda page: page.evaluate("woods.openStand('6')"),
    "a question": lambda page: (page.click(".question:has(input[value=when]) label"), page.keyboard.press("Escape")),
    "printed": lambda page: (page.emulate_media(media="print"), page.emulate_media(media="screen")),
    "reload": lambda page: page.again(),
}


@pytest.mark.browser
@pytest.mark.parametrize("way", WAYS_OFF)
@pytest.mark.parametrize("phone", [False, True])
def test_half_a_note_is_there_again(open_page, map_file, way, phone):
    """However one leaves a half-written note, the form shows it again as it was and says so; nothing is a note yet."""
    page = open_page(map_file, phone=phone)
    page.wait_for_selector("body[data-ready]")
    half(page, page.tap if phone else page.click)
    WAYS_OFF[way](page)
    page.wait_for_selector("body[data-ready]")
    if way != "printed":
        page.keyboard.press("Escape")
        assert page.text_content("#note-open") == "finish the note"
        page.click("#note-open")
        assert re.match(r"Unfinished note, \d\d:\d\d: go on or throw it away", page.text_content("#note-draft"))
        assert page.evaluate("woods.state.parcel") == "P1", "the map shows where the note lies"
    assert as_left(page) == LEFT
    assert page.evaluate("woods.notes.csv()").count("\n") == 1
    page.click("#note-keep")
    assert page.text_content("#note-open") == "notes (1)"
    assert "-20,stack,P1,3,,,,,,2.5,cord,,Ann,behind the,," in page.evaluate("woods.notes.csv()")
    page.click("#note-another")
    assert page.input_value("#note-text") == "" and page.text_content("#note-draft") == ""
    page.again()
    assert page.text_content("#note-open") == "notes (1)"
    assert page.complaints == []


@pytest.mark.browser
def test_half_a_note_goes_only_on_the_second_tap(open_page, map_file):
    """Thrown away on purpose it is gone, also after the page is opened again; a form only looked at leaves nothing."""
    page = open_page(map_file)
    page.click("#note-open")
    assert page.locator("#note-away").is_hidden()
    page.click("#card-close")
    assert page.text_content("#note-open") == "write a note"
    half(page, page.click)
    page.click("#note-away")
    page.fill("#note-text", "behind the barn")
    page.click("#note-away")
    page.click("#card-close")
    assert page.text_content("#note-open") == "finish the note", "typing on takes the first tap back"
    page.click("#note-open")
    assert page.input_value("#note-text") == "behind the barn"
    page.click("#note-away")
    page.click("#note-away")
    assert page.locator("#card").is_hidden()
    assert page.text_content("#note-open") == "write a note"
    page.again()
    assert page.text_content("#note-open") == "write a note"
    page.click("#note-open")
    assert page.input_value("#note-text") == ""


@pytest.mark.browser
def test_half_a_note_beside_notes_that_are_kept(open_page, map_file):
    """With a note kept and one half written, the button says both and the list goes on with the half one."""
    page = open_page(map_file)
    page.click("#note-open")
    page.click(".kinds button[data-kind=seen]")
    page.click("#note-keep")
    page.click("#note-another")
    page.click(".kinds button[data-kind=deer]")
    page.keyboard.press("Escape")
    assert page.text_content("#note-open") == "notes (1), one to finish"
    page.click("#note-open")
    assert page.text_content("#note-another") == "finish the note"
    page.click("#note-another")
    assert page.locator(".kinds [aria-pressed=true]").all_text_contents() == ["deer"], "a kind alone is kept too"


@pytest.mark.browser
def test_half_a_note_without_storage_lives_as_long_as_the_page(open_page, map_file):
    """Where the viewer keeps nothing, paging still loses nothing, and the form says how long it lasts."""
    page = open_page(map_file, own=True)
    page.context.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError'); } });"
    )
    page.reload()
    half(page, page.click)
    assert "only while this page is open" in page.text_content("#note-draft")
    page.evaluate("woods.goTo('P2')")
    page.click("#note-open")
    assert as_left(page) == LEFT
    assert "Unfinished note" in page.text_content("#note-draft")
    assert "only while this page is open" in page.text_content("#note-draft")
    assert page.complaints == []


@pytest.mark.browser
def test_a_torn_draft_is_no_trouble(open_page, map_file):
    """What another program wrote under the draft's name is left aside."""
    page = open_page(map_file)
    for torn in ("{", "[]", "7", '{"kind": "seen"}'):
        page.evaluate("torn => localStorage.setItem('woodlot notes: Marten Hollow draft', torn)", torn)
        page.again()
        assert page.text_content("#note-open") == "write a note"
        page.click("#note-open")
        assert page.input_value("#note-text") == ""
    assert page.complaints == []


@pytest.mark.browser
def test_refused_storage_is_said_and_the_file_still_saved(open_page, map_file, tmp_path):
    """With storage refused the page says that it keeps nothing, and the file holds the note all the same."""
    page = open_page(map_file, own=True)
    page.context.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError'); } });"
    )
    page.reload()
    page.click("#note-open")
    page.click(".kinds button[data-kind=seen]")
    page.fill("#note-text", "wolf scat")
    page.click("#note-keep")
    assert "keeps nothing when it closes" in page.text_content("#note-refused")
    assert read(saved(page, tmp_path / "notes.csv"))[0]["text"] == "wolf scat"
    assert page.complaints == []


@pytest.mark.browser
def test_a_note_is_written_by_touch(open_page, map_file):
    """On the phone: tap the note, the kind, the map, keep; the stand under the finger is found."""
    page = open_page(map_file, phone=True)
    page.wait_for_selector("body[data-ready]")
    page.tap("#note-open")
    page.tap(".kinds button[data-kind=seen]")
    page.wait_for_timeout(100)
    x, y = spot(page, "1")
    page.touchscreen.tap(x + 25, y + 50)
    assert "stand 1" in page.text_content("#note-place")
    page.fill("#note-text", "rub on a popple")
    page.tap("#note-keep")
    assert page.text_content("#note-open") == "notes (1)"
    assert page.complaints == []

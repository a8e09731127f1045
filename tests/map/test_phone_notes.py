"""Notes on a phone: ids that stay, files that may be read twice, notes that are changed, many notes."""

import csv
import io
import json
import re

import pytest

from woodlot.column_kinds import ID_LETTERS, ID_LONG, as_typed, neutral
from woodlot.ledger import HEADING
from woodlot.map import field_notes

pytestmark = pytest.mark.browser
KEY = "woodlot notes: Marten Hollow"
ID = re.compile(f"[{ID_LETTERS}]{{{ID_LONG}}}")
TODAY = "new Date(Date.now() - new Date().getTimezoneOffset() * 6e4).toISOString().slice(0, 10)"


def rows(page):
    """The rows of the file that the page would save now."""
    return list(csv.DictReader(io.StringIO(page.evaluate("woods.notes.csv()"))))


def write(page, text, kind="seen", **fields):
    """Keep one note."""
    if page.locator("#note-keep").count() == 0 or not page.locator("#note-keep").is_visible():
        page.click("#note-open")
        if page.locator("#note-another").is_visible():
            page.click("#note-another")
    page.click(f".kinds button[data-kind='{kind}']")
    for name, value in {"text": text, **fields}.items():
        page.fill(f"#note-{name}", value)
    page.click("#note-keep")


def save(page, path):
    """Save the file as a person does; its text."""
    with page.expect_download() as told:
        page.click("#note-save")
    told.value.save_as(path)
    return path.read_text(encoding="utf-8").removeprefix("\ufeff")


def line(page, text):
    """The row of the list that says so."""
    return page.locator("#card tr", has_text=text)


def test_the_file_has_the_ledgers_columns_and_each_note_its_id_and_day(open_page, map_file):
    """All columns of the ledger but its number and check; twelve letters; the day it was written."""
    page = open_page(map_file)
    write(page, "bear track", photo="IMG_0042.JPG", date="2026-11-02")
    write(page, "wolf scat")
    one, two = rows(page)
    assert list(one) == [name for name in HEADING if name not in ("line", "check")] == list(field_notes.COLUMNS)
    assert ID.fullmatch(one["id"]) and ID.fullmatch(two["id"]) and one["id"] != two["id"]
    assert one["written"] == page.evaluate(TODAY) and one["date"] == "2026-11-02"
    assert one["photo"] == "IMG_0042.JPG" and two["photo"] == ""


def test_each_letter_of_an_id_is_as_likely(open_page, map_file):
    """By hand: bytes of 240 and more would favor the first sixteen letters and are thrown away; 0 is b."""
    page = open_page(map_file, own=True)
    page.evaluate("() => { let at = 249; crypto.getRandomValues = b => b.map(() => (at = (at + 1) % 256)); }")
    write(page, "bear track")
    assert rows(page)[0]["id"] == ID_LETTERS[:12]


def test_an_id_is_made_where_the_viewer_has_no_crypto(open_page, map_file):
    """An old viewer without a random source of its own still makes ids."""
    page = open_page(map_file, own=True)
    page.context.add_init_script("Object.defineProperty(window, 'crypto', { value: undefined });")
    page.reload()
    write(page, "bear track")
    write(page, "wolf scat")
    one, two = (row["id"] for row in rows(page))
    assert ID.fullmatch(one) and ID.fullmatch(two) and one != two


def test_notes_of_an_older_page_get_their_id_once(open_page, map_file):
    """What an older page left in the phone, without ids, has one from the first opening on and keeps it."""
    page = open_page(map_file)
    old = {"date": "2026-10-01", "kind": "seen", "text": "fox", "unit": "", "amount": "", "corrects": ""}
    page.evaluate("([key, kept]) => localStorage.setItem(key, kept)", [KEY, json.dumps([old, old, None, 7])])
    page.reload()
    first = [row["id"] for row in rows(page)]
    assert len(first) == 2 and first[0] != first[1] and all(map(ID.fullmatch, first))
    page.again()
    assert [row["id"] for row in rows(page)] == first
    assert page.complaints == []


def test_saved_twice_or_after_more_notes_it_is_the_same_note(open_page, map_file, tmp_path):
    """The second file begins with the rows of the first, letter for letter; the page opened again changes nothing."""
    page = open_page(map_file)
    write(page, "bear track")
    first = save(page, tmp_path / "1.csv")
    assert save(page, tmp_path / "2.csv") == first
    page.again()
    write(page, "wolf scat")
    more = save(page, tmp_path / "3.csv")
    assert more.startswith(first) and more.count("\n") == first.count("\n") + 1


def test_taken_out_and_written_again_is_another_note(open_page, map_file):
    """Nobody has seen the first: it leaves no trace, and the second has an id of its own."""
    page = open_page(map_file)
    write(page, "bear track")
    first = rows(page)[0]["id"]
    page.click("#card button:text('take out')")
    assert rows(page) == [] and page.text_content("#note-open") == "write a note"
    write(page, "bear track")
    assert rows(page)[0]["id"] != first


def test_a_note_changed_before_it_is_saved_is_the_same_note(open_page, map_file):
    """One row, its id, the new words; another kind forgets what only the first kind had."""
    page = open_page(map_file)
    write(page, "two loads", kind="firewood", amount="2.5")
    first = rows(page)[0]["id"]
    page.click("#card button:text('change')")
    assert page.text_content("#card h2") == "Change this note"
    assert page.input_value("#note-amount") == "2.5" and page.input_value("#note-unit") == "cord"
    page.click("#card-close")
    assert page.text_content("#note-open") == "notes (1)", "looked at is not changed"
    page.click("#note-open")
    page.click("#card button:text('change')")
    page.click(".kinds button[data-kind=deer]")
    page.select_option("#note-deer", "doe")
    page.click("#note-keep")
    (now,) = rows(page)
    assert (now["id"], now["kind"], now["sex_age"], now["amount"], now["unit"], now["corrects"]) == (
        first,
        "deer",
        "doe",
        "1",
        "deer",
        "",
    )


def test_a_note_changed_after_it_is_saved_is_a_new_note_that_names_the_old(open_page, map_file, tmp_path):
    """The old row stays in the file as it was; the new one has another id and names it; a change outlives closing."""
    page = open_page(map_file)
    write(page, "two loads", kind="firewood", amount="2.5")
    before = save(page, tmp_path / "1.csv")
    page.click("#card button:text('change')")
    page.fill("#note-amount", "3")
    page.again()
    page.click("#note-open")
    assert page.text_content("#note-another") == "finish the note"
    page.click("#note-another")
    assert page.input_value("#note-amount") == "3"
    page.click("#note-keep")
    assert page.text_content("#card h2") == "1 note not in the ledger yet"
    after = save(page, tmp_path / "2.csv")
    assert after.startswith(before)
    old, new = rows(page)
    assert new["corrects"] == old["id"] != new["id"] and (old["amount"], new["amount"]) == ("2.5", "3")
    assert page.text_content("#note-open") == "notes (1)" and page.locator(".tag.new").count() == 1


def test_a_note_taken_out_after_it_is_saved_is_taken_out_at_home_too(open_page, map_file, tmp_path):
    """The next file says that the note does not count; until it is saved the note can be put back."""
    page = open_page(map_file)
    write(page, "bear track")
    write(page, "wolf scat")
    before = save(page, tmp_path / "1.csv")
    line(page, "wolf scat").locator("button:text('take out')").click()
    assert "bring that file home too" in page.text_content("#card")
    assert page.text_content("#note-open") == "notes (1)"
    assert page.evaluate("woods.notes.csv()").startswith(before)
    void = rows(page)[2]
    assert (void["kind"], void["corrects"]) == ("void", rows(page)[1]["id"]) and ID.fullmatch(void["id"])
    line(page, "taken out").locator("button:text('put back')").click()
    assert page.evaluate("woods.notes.csv()") == before and page.text_content("#note-open") == "notes (2)"


FORMULAS = ["=1+1", "+1", "-1", "@SUM(A1)", "'=1", "two loads", "'quoted'"]


@pytest.mark.parametrize("text", FORMULAS)
def test_a_cell_that_a_spreadsheet_would_work_out_is_harmless(open_page, map_file, text):
    """Words are written as ``neutral`` writes them and come back as they were; numbers stay numbers."""
    page = open_page(map_file)
    write(page, text, who=text)
    (row,) = rows(page)
    assert row["text"] == row["who"] == neutral(text)
    assert as_typed(row["text"]) == text and float(row["lon"]) < -89


def test_what_cannot_stand_in_a_line_becomes_a_blank(open_page, map_file):
    """A line break, NUL and other control characters are one blank: a note is one line of the file."""
    page = open_page(map_file)
    write(page, "seen")
    page.evaluate(
        "key => { const n = JSON.parse(localStorage.getItem(key)); n[0].text = 'a\\r\\nb\\u0000c\\u2028d';"
        " localStorage.setItem(key, JSON.stringify(n)); }",
        KEY,
    )
    page.reload()
    assert [row["text"] for row in rows(page)] == ["a b c d"]


def test_the_page_open_twice_loses_no_note(open_page, map_file):
    """What one window keeps is in the other before that one keeps its own."""
    page = open_page(map_file, own=True)
    other = page.context.new_page()
    other.goto(map_file.as_uri())
    write(page, "bear track")
    other.wait_for_function("document.getElementById('note-open').textContent === 'notes (1)'")
    write(other, "wolf scat")
    page.wait_for_function("document.getElementById('note-open').textContent === 'notes (2)'")
    page.reload()
    assert [row["text"] for row in rows(page)] == ["bear track", "wolf scat"]


def test_a_full_phone_says_so_and_still_saves(open_page, map_file, tmp_path):
    """Where the browser has no room for one more note, the page says it keeps nothing, and the file has it."""
    page = open_page(map_file, own=True)
    page.evaluate(
        "() => { const set = Storage.prototype.setItem; Storage.prototype.setItem = function (k, v) {"
        " if (v.includes('wolf')) throw new DOMException('full', 'QuotaExceededError'); set.call(this, k, v); }; }"
    )
    write(page, "bear track")
    write(page, "wolf scat")
    assert "keeps nothing when it closes" in page.text_content("#note-refused")
    assert save(page, tmp_path / "full.csv").count("\n") == 3
    page.reload()
    assert [row["text"] for row in rows(page)] == ["bear track"]
    assert page.complaints == []


def test_ten_thousand_notes_are_kept_listed_and_saved_at_once(open_page, map_file, tmp_path):
    """The list shows a hundred, the newest first, and a hundred more when asked; no step takes two seconds."""
    page = open_page(map_file, own=True)
    write(page, "first")
    page.evaluate(
        "key => { const n = JSON.parse(localStorage.getItem(key))[0]; localStorage.setItem(key, JSON.stringify("
        "Array.from({ length: 9999 }, (_, i) => Object.assign({}, n, { id: '', text: 'note ' + i })))); }",
        KEY,
    )
    page.reload()
    page.set_default_timeout(2000)
    assert page.text_content("#note-open") == "notes (9,999)"
    write(page, "last")
    assert page.text_content("#card h2") == "10,000 notes not in the ledger yet"
    assert page.locator("#card tr").count() == 100 and "last" in page.text_content("#card tr >> nth=0")
    assert page.text_content("#note-older") == "show 100 older ones of 9,900"
    page.click("#note-older")
    assert page.locator("#card tr").count() == 200
    assert page.locator(".tag.new").count() == 200
    text = save(page, tmp_path / "many.csv")
    assert text.count("\n") == 10_001 and len({row["id"] for row in csv.DictReader(io.StringIO(text))}) == 10_000
    assert page.complaints == []


def test_what_a_kind_must_hold_is_asked_on_the_phone(open_page, map_file):
    """A note that the ledger would not take is not kept: the form says what is missing, and has its units."""
    page = open_page(map_file)
    write(page, "", kind="weather")
    assert page.text_content("#note-status") == "What was it? Say it in words."
    assert page.locator("#note-unit option").all_text_contents() == ["", "inches", "degrees F"]
    page.fill("#note-text", "ice storm")
    page.click("#note-keep")
    write(page, "", kind="measured stack")
    assert page.text_content("#note-status") == "How much was it?"
    page.fill("#note-amount", "3")
    page.click("#note-keep")
    assert [(row["kind"], row["amount"], row["unit"]) for row in rows(page)] == [
        ("weather", "", ""),
        ("measured stack", "3", "cord"),
    ]
    assert "3 cords" in page.text_content("#card")


def test_every_file_comes_home_once_in_any_order(open_page, map_file, tmp_path):
    """Saved, changed, taken out, saved again: read at home in either order, once or twice, the ledger is the same."""
    from click.testing import CliRunner

    from woodlot import ledger, place
    from woodlot.cli import main

    page = open_page(map_file)
    write(page, "=two loads", kind="firewood", amount="2.5")
    write(page, "wolf scat")
    save(page, tmp_path / "1.csv")
    line(page, "two loads").locator("button:text('change')").click()
    page.fill("#note-amount", "3")
    page.click("#note-keep")
    line(page, "wolf scat").locator("button:text('take out')").click()
    page.click("#note-another")
    write(page, "bear track")
    save(page, tmp_path / "2.csv")
    told = []
    for order in ("12", "21", "1212", "2"):
        home = tmp_path / f"home{order}"
        place.start(home)
        for which in order:
            done = CliRunner().invoke(main, ["note", str(home), "--from", str(tmp_path / f"{which}.csv")])
            assert done.exit_code == 0, done.output
        lines, troubles = place.read_ledger(home)
        assert troubles == []
        counts = ledger.standing(lines)
        told.append(sorted((r.kind, r.text, r.amount if r.amount == r.amount else 0) for r in counts.itertuples()))
    assert told == [[("firewood", "=two loads", 3.0), ("seen", "bear track", 0)]] * 4

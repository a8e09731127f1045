"""``woodlot note`` writes one line, ``woodlot book`` adds them up."""

import json
import re

import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot import ledger, place
from woodlot.cli import main


def woodlot(*arguments: object):
    """A run of the command in this process."""
    told = CliRunner().invoke(main, [str(a) for a in arguments])
    assert told.exception is None or isinstance(told.exception, SystemExit), repr(told.exception)
    return told


def test_a_note_is_written_and_told(small_place):
    """The line, its number, and how to set it right."""
    told = woodlot(
        "note", small_place.folder, "--kind", "firewood", "--amount", "2.5", "--stand", "1", "--date", "2026-11-20",
        "--who", "Ann", "--text", "two loads",
    )  # fmt: skip
    assert told.exit_code == 0, told.output
    name = place.read_ledger(small_place.folder)[0]["id"].iloc[0]
    assert f"Line 1 ({name[:4]}) is in the ledger: 20 Nov 2026, 2.5 cords, firewood, two loads," in told.stdout
    assert "--corrects 1" in told.stdout
    row = place.read(small_place.folder).ledger.iloc[0]
    assert (row["kind"], row["amount"], row["unit"], row["stand_id"], row["who"]) == (
        "firewood",
        2.5,
        "cord",
        "1",
        "Ann",
    )


def test_board_feet_carry_the_rule_of_the_place(small_place):
    """The place scales by Scribner: 300 bd ft of sawlogs are 300 Scribner feet."""
    told = woodlot("note", small_place.folder, "--kind", "sawlog", "--amount", 300, "--json")
    said = json.loads(told.stdout)
    assert said["unit"] == "bdft_scribner" and said["line"] == 1 and said["amount"] == 300
    woodlot("note", small_place.folder, "--kind", "sawlog", "--amount", 200, "--unit", "bdft_doyle")
    sums = json.loads(woodlot("book", small_place.folder, "--json").stdout)["totals"]
    assert sorted((s["unit"], s["amount"]) for s in sums) == [("bdft_doyle", 200), ("bdft_scribner", 300)]


def test_words_that_a_family_types_for_a_kind_are_read_as_it(small_place):
    """In a note and in a ledger typed by hand; split is a kind of its own."""
    said = {"stack": "stack", "Stacked": "stack", "split": "split", "burnt": "burned", "cut": "firewood"}
    for kind, read in said.items():
        told = woodlot("note", small_place.folder, "--kind", kind, "--amount", 3, "--date", "2026-03-20", "--json")
        assert (json.loads(told.stdout)["kind"], json.loads(told.stdout)["unit"]) == (read, "cord")
    by_hand = pd.DataFrame({"line": [1, 2], "kind": ["stacked", "seen"], "corrects": [None, None]})
    assert list(ledger.standing(by_hand)["kind"]) == ["stack", "seen"]
    assert "stack (stacked to dry)" in " ".join(woodlot("note", "--help").stdout.split())


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--kind", "firewod"], "did you mean firewood?"),
        (["--kind", "firewood", "--stand", "17"], "there is no stand '17'"),
        (["--kind", "firewood", "--parcel", "hom"], "did you mean 'home'?"),
        (["--kind", "firewood", "--amount", "2", "--unit", "chord"], "did you mean cord?"),
        (["--kind", "seen", "--amount", "2"], "2 of what? add --unit"),
        (["--kind", "firewood", "--amount", "-3"], "an amount is 0 or more"),
        (["--kind", "firewood", "--amount", "nan"], "an amount is 0 or more"),
        (["--kind", "firewood", "--date", "2999-01-01"], "2999-01-01 has not come yet"),
        (["--kind", "deer"], "add --sex-age"),
        (["--kind", "void"], "add --corrects"),
        (["--kind", "firewood", "--corrects", "4"], "there is no line 4 to replace"),
        (["--kind", "firewood", "--at", "-89.4", "460"], "lat 460: larger than 90"),
        (["--kind", "seen", "--text", "x", "--date", "1899-12-31"], "before 1900-01-01. is the year right?"),
    ],
)
def test_a_note_that_cannot_be_is_refused(small_place, options, said):
    """Exit code 1, the way out in words, and no ledger begun."""
    told = woodlot("note", small_place.folder, *options)
    assert told.exit_code == 1 and said in " ".join(told.stderr.lower().split())
    assert not (small_place.folder / "ledger.csv").exists()


def test_what_is_taken_out_already_is_not_taken_out_again(small_place):
    """Neither by the line itself nor by the one that took it out: a family that means to bring it back is told how."""
    for words in (["firewood", "2"], ["--void", "1"]):
        assert woodlot("note", small_place.folder, *words).exit_code == 0
    before = (small_place.folder / "ledger.csv").read_bytes()
    for name in ("1", "2"):
        told = woodlot("note", small_place.folder, "--void", name)
        assert told.exit_code == 1 and f"with --corrects {name}" in " ".join(told.stderr.split())
    assert (small_place.folder / "ledger.csv").read_bytes() == before


def test_a_note_outside_a_place_is_refused(tmp_path):
    """No place.toml, no ledger."""
    told = woodlot("note", tmp_path, "--kind", "seen", "--text", "bear")
    assert told.exit_code == 1 and "there is no place.toml" in " ".join(told.stderr.lower().split())
    assert list(tmp_path.iterdir()) == []


def test_a_note_can_be_written_while_a_table_needs_mending(small_place):
    """A slip in trees.csv is no reason to lose a note from the woods; nor is a map that cannot be read."""
    small_place.change("trees.csv", "12.2,68", "122,68")
    assert woodlot("note", small_place.folder, "--kind", "seen", "--text", "bear").exit_code == 0
    (small_place.folder / "parcels.geojson").write_text("{")
    told = woodlot("note", small_place.folder, "--kind", "seen", "--parcel", "home", "--text", "again")
    assert told.exit_code == 0 and "were not checked" in told.stderr
    assert woodlot("book", small_place.folder).exit_code == 0


def test_a_deer_is_one_deer(small_place):
    """Without an amount a deer counts one, by sex and age."""
    assert (
        woodlot("note", small_place.folder, "--kind", "deer", "--sex-age", "doe", "--date", "2026-11-21").exit_code == 0
    )
    sums = json.loads(woodlot("book", small_place.folder, "--json").stdout)["totals"]
    assert sums == [{"year": 2026, "kind": "deer", "sex_age": "doe", "unit": "deer", "amount": 1.0, "lines": 1}]


def test_book_by_hand(small_place, tmp_path):
    """2.5 replaced by 2, plus 1.5 in January: by years 2 and 1.5, by winters 3.5; the void line counts nowhere."""

    def cords(amount, day, *more):
        assert (
            woodlot(
                "note", small_place.folder, "--kind", "firewood", "--amount", amount, "--date", day, *more
            ).exit_code
            == 0
        )

    cords(2.5, "2025-12-20")
    cords(1.5, "2026-01-10")
    cords(2, "2025-12-20", "--corrects", 1)
    cords(9, "2026-01-11")
    assert woodlot("note", small_place.folder, "--kind", "void", "--corrects", 4).exit_code == 0
    told = woodlot("book", small_place.folder, "--csv", tmp_path / "sums.csv")
    assert told.exit_code == 0 and "2 notes count. 3 more were replaced or taken out." in told.stdout
    assert all(len(line) <= 80 for line in told.stdout.splitlines())
    sums = pd.read_csv(tmp_path / "sums.csv")
    assert list(zip(sums["year"], sums["amount"], strict=True)) == [(2025, 2.0), (2026, 1.5)]
    winters = woodlot("book", small_place.folder, "--winters").stdout
    assert "2025-26  firewood" in winters and "3.5" in winters
    assert json.loads(woodlot("book", small_place.folder, "--winters", "--json").stdout)["totals"][0]["amount"] == 3.5


def test_last_notes_carry_their_amounts(small_place):
    """Cords, board feet with their rule, hours, one deer by its kind, a note without an amount: each in its line."""

    def write(*told):
        assert woodlot("note", small_place.folder, "--date", "2026-11-20", *told).exit_code == 0

    write("--kind", "firewood", "--amount", 2.5, "--stand", 1)
    write("--kind", "sawlog", "--amount", 1200)
    write("--kind", "work", "--amount", 1)
    write("--kind", "deer", "--sex-age", "doe", "--who", "Ann")
    write("--kind", "seen", "--text", "bear")
    lines = woodlot("book", small_place.folder).stdout.split("Last notes\n")[1].splitlines()
    assert [" ".join(line.split()) for line in lines] == [
        "1 2026-11-20 stand 1; firewood; 2.5 cords",
        "2 2026-11-20 sawlog; 1,200 board feet, Scribner rule",
        "3 2026-11-20 work; 1 hour",
        "4 2026-11-20 deer; doe; Ann",
        "5 2026-11-20 seen; bear",
    ]


def test_an_empty_book_says_how_to_begin(small_place):
    """No notes yet is a sentence, not an empty table."""
    assert woodlot("book", small_place.folder).stdout == "No notes yet. `woodlot note` writes the first.\n"


def test_a_torn_line_is_said_in_the_book(small_place):
    """The stump of a line is named by its row; the others count."""
    assert woodlot("note", small_place.folder, "--kind", "seen", "--text", "bear").exit_code == 0
    with (small_place.folder / "ledger.csv").open("a") as out:
        out.write("2,2026-11-2")
    told = woodlot("book", small_place.folder)
    assert "1 note counts." in told.stdout
    assert "ledger.csv, row 3: torn:" in told.stdout


def test_a_number_that_two_lines_bear_cannot_be_replaced(small_place):
    """Two ledgers joined by hand: note refuses with rows and ids, book and walk say it, nothing is taken out; by its id
    a line is.
    """
    path = small_place.folder / "ledger.csv"
    told = []
    for name in ("Ann", "Ben"):
        for old in (path, path.with_name(ledger.SEAL)):
            old.unlink(missing_ok=True)
        assert woodlot("note", small_place.folder, "--kind", "seen", "--text", "bear", "--who", name).exit_code == 0
        told.append(path.read_text())
    path.write_text("".join(told))
    before = path.read_bytes()
    refused = woodlot("note", small_place.folder, "--kind", "void", "--corrects", 1)
    assert refused.exit_code == 1 and path.read_bytes() == before
    lines = [line.split(",") for line in path.read_text().splitlines() if line.startswith("1,")]
    ids = [line[1] for line in lines]
    assert "2 lines of the ledger bear the number 1, in rows 2 and 4; say which by its id: " in " ".join(
        refused.stderr.split()
    )
    assert all(one in refused.stderr for one in ids)
    for verb in ("book", "walk"):
        said = " ".join(woodlot(verb, small_place.folder).stdout.split())
        assert said.count("ledger.csv, row 4: bears the number 1, as row 2 does; both count.") == 1, verb
    told = woodlot("book", small_place.folder).stdout
    assert "2 notes count." in told and all(f"1 {one[:4]} " in told for one in ids)
    assert woodlot("note", small_place.folder, "--void", ids[0].upper()).exit_code == 0
    told = woodlot("book", small_place.folder).stdout
    assert "1 note counts. 2 more were replaced" in told and "Ben" in told and "Ann" not in told


@pytest.mark.parametrize(
    ("typed", "kind", "amount", "unit", "text"),
    [
        ("measured stack 4x4x16", "measured stack", 2.0, "cord", "4 x 4 x 16 ft"),
        ("measured stack 8x4x16in", "measured stack", 0.333, "cord", "8 x 4 x 1.33 ft"),
        ("measured stack 16x4x9", "measured stack", 4.5, "cord", "16 x 4 x 9 ft"),
        ("measured stack 3.5", "measured stack", 3.5, "cord", None),
        ("stack 16 x 4 x 4 --text maple", "stack", 2.0, "cord", "maple; 16 x 4 x 4 ft"),
        ("measured stack --text 4x4x16", "measured stack", 2.0, "cord", "4x4x16"),
        ("firewood 2.5 cords", "firewood", 2.5, "cord", None),
        ("cut 2", "firewood", 2.0, "cord", None),
        ("given away 4 pieces --text posts", "given", 4.0, "piece", "posts"),
        ("built --text trellis", "built", 1.0, "build", "trellis"),
        ("sap 12", "sap", 12.0, "gallon", None),
        ("syrup 0.3 gal", "syrup", 0.3, "gallon", None),
        ("firewood 300 bdft", "firewood", 300.0, "bdft_scribner", None),
    ],
)
def test_a_note_is_typed_as_it_is_said(small_place, typed, kind, amount, unit, text):
    """Kind and amount behind the place; 4 x 4 x 16 feet of stack are 256 cubic feet, two cords of 128."""
    told = woodlot("note", small_place.folder, *typed.split(), "--json")
    assert told.exit_code == 0, told.stderr
    line = json.loads(told.stdout)
    assert (line["kind"], line["amount"], line["unit"], line.get("text")) == (kind, amount, unit, text)


def test_a_note_typed_in_its_own_folder_needs_no_place(small_place, monkeypatch):
    """The first word is a kind and no place: the place is where one stands."""
    monkeypatch.chdir(small_place.folder)
    assert json.loads(woodlot("note", "hauled", 1.5, "--json").stdout)["kind"] == "hauled"
    assert json.loads(woodlot("note", ".", "hauled", 1.5, "--json").stdout)["line"] == 2


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("measured stack 4x8x16", "is its last side in inches? then write it as 16in; else give the cords"),
        ("stack 8x4x16", "is its last side in inches? then write it as 16in; else give the cords"),
        ("measured stack", "how large is it? give its size in feet, such as 16x4x4, or its cords"),
        ("burned 4x4x16", "'4x4x16' is no number; a size is told of a stack"),
        ("firewood lots", "'lots' is no number"),
        ("firewod 2", "did you mean firewood?"),
        ("stack 2 loads", "unit 'loads'"),
        ("--void 7", "there is no line 7 to replace"),
    ],
)
def test_what_cannot_be_understood_is_not_written(small_place, typed, said):
    """A typical row of 16-inch wood told in feet is asked about, not guessed at; nothing is begun."""
    told = woodlot("note", small_place.folder, *typed.split())
    assert told.exit_code == 1 and said in " ".join(told.stderr.lower().split())
    assert not (small_place.folder / "ledger.csv").exists()


def test_the_book_tells_the_wood_on_hand_and_the_familys_pace(small_place):
    """3 cords cut, 2 of them stacked, 18 hours of work: 6 hours a cord; a cord in the woods and 1.5 stacked."""
    for typed in (
        "firewood 3 --date 2026-01-10 --text ash",
        "stack 2 --date 2026-04-10",
        "work 18 --date 2026-04-11",
        "measured stack 16x4x3 --date 2026-09-01",
    ):
        assert woodlot("note", small_place.folder, *typed.split()).exit_code == 0
    told = " ".join(woodlot("book", small_place.folder, "--as-of", "2026-11-25").stdout.split())
    assert "Your own pace: 6.0 hours a cord" in told
    assert "The stack measured on 1 Sep 2026 (line 4) holds 1.5 cords, 0.50 cords less than the 2.0 cords" in told
    answer = json.loads(woodlot("book", small_place.folder, "--as-of", "2026-11-25", "--json").stdout)
    assert answer["hours_per_cord"] == 6.0
    assert sum(one["cords"] for one in answer["wood_on_hand"]) == 2.5
    assert [one["amount"] for one in answer["totals"] if one["kind"] == "measured stack"] == [None]
    (small_place.folder / "place.toml").write_text("[needs]\nfirewood_cord = 'much'\n")
    told = woodlot("book", small_place.folder)
    assert told.exit_code == 0 and "Wood on hand" not in told.stdout and "place.toml has to be mended" in told.stdout


def test_a_line_that_replaces_letters_nobody_bears_is_a_remark(small_place):
    """The letters of line 1 are known; others are said, and the line counts."""
    first = place.append_note(small_place.folder, {"kind": "seen", "text": "bear", "date": "2026-10-01"})
    letters = place.read_ledger(small_place.folder)[0]["check"].iloc[0]
    assert first == 1
    for named in (letters, "abcdefgh"):
        place.append_note(small_place.folder, {"kind": "seen", "text": named, "date": "2026-10-02", "corrects": named})
    said = [one for one in place.read(small_place.folder).warnings if "replaces" in one]
    assert said == ["ledger.csv: line 3 replaces abcdefgh, and no line is named so."]
    assert "2 notes count." in woodlot("book", small_place.folder).stdout


BARN = "tree,species,dbh_in,height_ft,mark\n" + "".join(f"{n},sugar maple,{10 + n},6{n},barn\n" for n in range(1, 9))


def test_a_stack_of_a_job_teaches_all_verbs(small_place):
    """The note foretells from the tally, the trees are asked for no more, and every verb says the table is lowered."""
    (small_place.folder / "tally.csv").write_text(BARN + "9,sugar maple,12,,lane\n")
    before = json.loads(woodlot("scale", small_place.folder, "--json").stdout)
    foretold = float(
        re.search(
            r"foretold ([\d.]+) cords of 8 trees, 8 heights",
            woodlot(
                "note", small_place.folder, "firewood", "1", "--job", "barn", "--date", "2026-02-01"
            ).stdout.replace("\n  ", " "),
        )[1]
    )
    length = round(foretold * 0.85 * 8, 1)
    size = f"{length}x4x4"
    told = woodlot("note", small_place.folder, "measured", "stack", size, "--job", "barn", "--date", "2026-03-01")
    assert told.exit_code == 0, told.output
    after = json.loads(woodlot("scale", small_place.folder, "--json").stdout)
    assert "woodpile" not in before and after["woodpile"][0].startswith("Table lowered 6% after 1 job of your woodpile")
    opened = place.read(small_place.folder)
    table, cord = (opened.region.times(name) for name in ("table", "cord"))
    assert after["solid_cuft_per_cord"] == pytest.approx(before["solid_cuft_per_cord"] * cord)
    whole = [each["totals"]["cords"]["value"] for each in (before, after)]
    assert whole[1] / whole[0] == pytest.approx(table / cord)
    assert "Testing forty: 1 trees of the tally" in woodlot("fell", small_place.folder).stdout
    for verb in (("why", "cords"), ("scale",)):
        shown = " ".join(woodlot(*verb, small_place.folder).stdout.split())
        assert after["woodpile"][0] in shown
    wood = json.loads(woodlot("book", small_place.folder, "--json").stdout)["wood_on_hand"]
    plan = json.loads(woodlot("plan", small_place.folder, "--json").stdout)
    assert plan["base"]["woodpile"] == after["woodpile"]
    assert [one["mmbtu"] for one in plan["heat"]["wood"]] == [one["mmbtu"] for one in wood]
    assert after["woodpile"][0] in (small_place.folder / "out" / "report.html").read_text(encoding="utf-8")
    assert after["woodpile"][0] in (small_place.folder / "out" / "map.html").read_text(encoding="utf-8")
    small_place.change("place.toml", "[choices]", "[choices]\nwoodpile_teaches = false")
    off = json.loads(woodlot("scale", small_place.folder, "--json").stdout)
    assert off["totals"]["cords"] == before["totals"]["cords"] and "woodpile" not in off


def test_old_lines_keep_their_letters_beside_lines_with_a_job(small_place):
    """The check of a line written before is the same, and both are read without a remark."""
    woodlot("note", small_place.folder, "firewood", "2", "--date", "2026-01-01")
    first = (small_place.folder / "ledger.csv").read_text()
    woodlot(
        "note", small_place.folder, "stack", "8x4x4", "--job", "x", "--foretold", "1.1 of 6", "--date", "2026-02-01"
    )
    assert (small_place.folder / "ledger.csv").read_text().startswith(first)
    assert not [w for w in place.read(small_place.folder).warnings if "ledger" in w]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("stack", "8x4x4", "--job", "hill"), "o tree of the tally has the mark or number hill"),
        (("stack", "8x4x4", "--job", "barn", "--job", "99"), "o tree of the tally has the mark or number 99;"),
        (("stack", "8x4x4", "--job", "hill", "--foretold", "four"), "such as 4.2 of 10"),
        (("stack", "8x4x4", "--foretold", "4 of 9"), "add --job"),
        (("stack", "8x4x4", "--job", "hill", "--foretold", "4.2.1 of 9"), "such as 4.2 of 10"),
        (("stack", "8x4x4", "--job", "hill", "--foretold", "4 of 0"), "such as 4.2 of 10"),
        (("stack", "8x4x4", "--job", ",", "--foretold", "4 of 9"), "by the mark or number"),
        (("stack", "8x4x4", "--job", "hill; far", "--foretold", "4 of 9"), "without , ; . :"),
        (("firewood", "2.5", "--job", ""), "by the mark or number"),
        (("seen", "--job", "hill"), "A job is of wood"),
    ],
)
def test_a_job_that_cannot_be_is_refused(small_place, words, said):
    """Nothing is written, and what would be right is said; of two names the one that nothing bears is named."""
    (small_place.folder / "tally.csv").write_text(BARN)
    told = woodlot("note", small_place.folder, *words, "--date", "2026-02-01")
    assert told.exit_code != 0 and said in " ".join(told.output.split())
    assert not (small_place.folder / "ledger.csv").exists() or not len(place.read(small_place.folder).ledger)

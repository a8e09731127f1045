"""Slips that spreadsheets and text editors make for a family: read as meant, or said with what would be right."""

import re

import pytest
from click.testing import CliRunner

from woodlot import place
from woodlot.cli import main

TREES = """plot_id,tree,species,dbh_in,height_ft
1,1,sugar maple,12.2,68
1,2,quaking aspen,9.1,61
2,1,yellow birch,14.0,70
4,1,red pine,11.5,66
"""


@pytest.fixture
def forty(small_place):
    """The small place with only plots and trees."""
    small_place.thin()

    def write(text: str, name: str = "trees.csv", encoding: str = "utf-8"):
        (small_place.folder / name).write_bytes(text.encode(encoding))
        return small_place.folder

    write(TREES)
    return write


def trees(folder):
    """Species and diameters as they were read."""
    read = place.read(folder).trees
    return list(zip(read["species"], read["dbh_in"], strict=True))


def stopped(folder):
    """What walk says on one line; exit code 1 and no traceback."""
    told = CliRunner().invoke(main, ["walk", str(folder)])
    assert told.exit_code == 1, told.output
    assert isinstance(told.exception, SystemExit) and "Traceback" not in told.stderr
    return " ".join(told.stderr.split())


MEANT = {
    "a mark of UTF-8": "\ufeff" + TREES,
    "semicolons and decimal commas": TREES.replace(",", ";").replace(".", ","),
    "the separator told in a line of its own": "sep=;\n" + TREES.replace(",", ";").replace(".", ","),
    "the same between quotation marks": '"sep=,"\r\n' + TREES.replace("\n", "\r\n"),
    "tabs": TREES.replace(",", "\t"),
    "old line ends": TREES.replace("\n", "\r"),
    "blank rows and empty cells behind": TREES.replace("\n", "\n,,,,\n\n") + ",,,,\n",
    "headings as people write them": TREES.replace("plot_id", "Plot ID").replace("dbh_in", " DBH (in) "),
    "capitals and blanks": TREES.replace("sugar maple", "  Sugar  MAPLE ").replace("red pine", "RED PINE"),
    "blanks that do not break": TREES.replace("sugar maple", "sugar\u00a0maple").replace("12.2", "12.2\u00a0"),
    "hyphens and underscores": TREES.replace("sugar maple", "sugar-maple").replace("red pine", "Red_pine"),
    "blanks around ids": TREES.replace("\n1,", "\n 1 ,"),
}


@pytest.mark.parametrize("slip", MEANT)
def test_what_is_meant_is_read(forty, slip):
    """All of these are the same four trees, and none of the names counts as a nickname."""
    right = trees(forty(TREES))
    assert right == [("sugar maple", 12.2), ("quaking aspen", 9.1), ("yellow birch", 14.0), ("red pine", 11.5)]
    assert trees(forty(MEANT[slip])) == right
    assert not any("nicknames" in one for one in place.read(forty(MEANT[slip])).warnings)


def test_names_with_a_hyphen_of_their_own_may_be_written_without(forty):
    """Northern white cedar is northern white-cedar, and Northern-White-Cedar too."""
    two = "plot_id,species,dbh_in\n1,Northern white cedar,9\n1,northern-white_cedar,8\n"
    assert trees(forty(two)) == [("northern white-cedar", 9.0), ("northern white-cedar", 8.0)]


SAID = {
    "a title above": ("Trees of 2026\n" + TREES, "trees.csv, row 1: Trees of 2026 The heading stands in row 2: take"),
    "a title and a blank row": ("Trees,,,,\n\n" + TREES, "trees.csv, row 1: Trees The heading stands in row 3: take"),
    "another word for a diameter": (TREES.replace("dbh_in", "Diameter"), 'There is "Diameter": name it dbh_in or dbh_'),
    "another word for species": (TREES.replace("species", "Kind of tree"), 'There is "Kind of tree": name it species.'),
    "a spreadsheet's own fault": (TREES.replace("12.2", "#REF!"), "dbh_in: #REF! The spreadsheet could not work this"),
    "a fraction": (TREES.replace("12.2", "12 1/2"), "row 2, dbh_in: 12 1/2 Write the part of a whole with a"),
    "a fraction of one": (TREES.replace("12.2", '"3/4"""'), "Did you mean 0.75?"),
    "letters for a species": (TREES.replace("sugar maple", "ZZ"), "Write the common name, such as sugar maple."),
    "a total below": (TREES + "Total,,,,\n", "trees.csv, row 6, plot_id: Total plots.csv has no plot Total"),
}  # fmt: skip


@pytest.mark.parametrize("slip", SAID)
def test_what_cannot_be_meant_is_said_with_what_would_be_right(forty, slip):
    """Exit code 1; file, row, column, what stands there and what would be right."""
    text, said = SAID[slip]
    assert said in stopped(forty(text))


def test_a_day_that_a_spreadsheet_counted(small_place):
    """46304 days after 30 December 1899 are 9 October 2026."""
    small_place.thin()
    small_place.change("plots.csv", "2,1,A,2026-10-09", "2,1,A,46304")
    told = stopped(small_place.folder)
    assert "plots.csv, row 3, date: 46304 A spreadsheet's count of days. Did you mean 2026-10-09?" in told


def test_centimeters_in_a_column_of_inches(forty):
    """Too large ones among mostly large ones: the column is meant, not a point; without too large ones it is asked."""
    rows = "".join(f"1,{n},sugar maple,{size}\n" for n, size in enumerate((31, 28, 45, 52, 38, 61)))
    told = stopped(forty("plot_id,tree,species,dbh_in\n" + rows))
    assert "row 7, dbh_in: 61 Larger than 60 inches. Are these centimeters? Then name the column dbh_cm." in told
    rows = rows.replace("61", "59")
    said = place.read(forty("plot_id,tree,species,dbh_in\n" + rows)).warnings
    assert "trees.csv: half of dbh_in is over 24 inches. Are these centimeters? Then name the column dbh_cm." in said
    assert not any("centimeters" in one for one in place.read(forty(TREES)).warnings)


ASKED = {
    "meters in one row": ("14.0,70", "14.0,21", "row 4, 21 ft on 14 in, where 69 ft is usual. Were these meters?"),
    "the age for the height": ("9.1,61", "9.1,95", "row 3, 95 ft on 9.1 in, where 57 ft is usual. Is the height"),
    "centimeters in one row": ("11.5,66", "40.6,66", "where 24 is thick and 38 hardly seen (40.6 cm are 16.0 in)"),
    "a pole as tall as a pine": ("9.1,61", "4.9,80", "38 ft is usual: 185 times as tall above 4.5 ft as thick. Hard"),
    "the kind of another tree": ("yellow birch,14", "eastern hophornbeam,20", "of 20 in, where 9 is thick and 14 "),
    "a point too many": ("9.1,61", "0.91,", "row 3, a tree of 0.91 in, counted with the prism, stands for 2,214 an"),
}  # fmt: skip


@pytest.mark.parametrize("slip", ASKED)
def test_an_odd_row_is_asked_about_and_read_all_the_same(forty, slip):
    """One remark, with the row, what stands there and what is usual; the place is read."""
    old, new, said = ASKED[slip]
    before = place.read(forty(TREES)).warnings
    more = [one for one in place.read(forty(TREES.replace(old, new))).warnings if one not in before]
    assert len(more) == 1 and more[0].startswith("trees.csv: row ") and said in more[0]


def test_usual_trees_are_not_asked_about(forty):
    """0.51 and 1.59 times the usual 65 ft, 148 and 209 times as tall as thick, hemlock of 48.7 in, 491 an acre."""
    rows = (
        "sugar maple,12.0,33.2",
        "sugar maple,12.0,103",
        "quaking aspen,4.0,54",
        "mockernut hickory,2.25,43.5",
        "eastern hemlock,48.7,",
        "fir,1.94,",
    )
    text = "plot_id,tree,species,dbh_in,height_ft\n" + "".join(f"1,{n},{row}\n" for n, row in enumerate(rows))
    assert not any("row " in one for one in place.read(forty(text.replace("fir", "balsam fir"))).warnings)


def test_a_low_dead_tree_is_a_snag(forty):
    """12 ft on 14 in: asked about when it lives, nothing when it is dead."""
    head = "plot_id,tree,species,dbh_in,height_ft,alive\n"
    for alive, asked in (("yes", 1), ("no", 0)):
        told = place.read(forty(f"{head}1,1,sugar maple,14,12,{alive}\n")).warnings
        assert sum("12 ft on 14 in" in one for one in told) == asked


def test_what_small_trees_and_little_measured_kinds_may_be(forty):
    """A 3.5-in tree has no 4-in top and may say 3 ft or 5; 12 Scotch pines to 7 in say nothing of one of 12 in."""
    rows = "1,1,sugar maple,3.5,3\n1,2,sugar maple,4.5,5\n1,3,scotch pine,12,\n"
    told = place.read(forty("plot_id,tree,species,dbh_in,merch_ft\n" + rows)).warnings
    assert not any("row " in one for one in told)


def test_odd_rows_of_a_tally_are_asked_about(small_place):
    """A tree to be felled, 15.1 in and 20 ft."""
    small_place.change("tally.csv", "15.1,72,48,2", "15.1,20,,")
    told = [one for one in place.read(small_place.folder).warnings if "ft is usual" in one]
    assert told == ["tally.csv: row 2, 20 ft on 15.1 in, where 71 ft is usual. Were these meters? 1 m is 3.28 ft."]


def test_a_count_that_may_be_a_diameter(forty):
    """15 trees of 15.1 in on one prism plot of factor 10 are asked about; 9, and 15 counted in unmeasured, are not."""
    head = "plot_id,tree,species,dbh_in,count\n"
    rows = "1,1,sugar maple,15.1,15\n2,1,sugar maple,15.1,9\n2,2,sugar maple,,15\n"
    told = [one for one in place.read(forty(head + rows)).warnings if "row " in one]
    assert told == ["trees.csv: row 2, count 15 of 15.1 in on one prism plot. Is the diameter in the wrong column?"]


def test_a_plot_fuller_than_woods_are_by_hand(forty):
    """Radius 26.3 ft is 0.0499 ac; 40 pines of 10 in, 0.5454 sq ft each, make 437 sq ft an acre, 36 make 394.

    With the prism 41 trees at factor 10 make 410; one counted twice weighs two.
    """
    head = "plot_id,tree,species,dbh_in,count,count_twice\n"

    def said(rows):
        told = place.read(forty(head + rows)).warnings
        return [one for one in told if "of trunks an acre" in one]

    assert said("4,1,red pine,10,36,\n") == []
    assert said("4,1,red pine,10,40,\n") == [
        "plots.csv: row 5, plot 4 shows 437 sq ft of trunks an acre. Hardly any woods hold so much. Look at its factor "
        "or radius, and at diameters and count in its rows."
    ]
    assert said("1,1,red pine,,40,\n") == [] and "row 2, plot 1 shows 410 sq ft" in said("1,1,red pine,,41,\n")[0]
    assert "shows 420 sq ft" in said("1,1,red pine,,20,\n1,2,red pine,,11,x\n")[0]


TOML = {
    "dots left": ("firewood_cord = 7.5", "firewood_cord = ...", "Write what is so in place of the dots"),
    "a decimal comma": ("firewood_cord = 7.5", "firewood_cord = 7,5", "Write the number with a point: 7.5"),
    "curled quotation marks": ('"Testing forty"', "\u201cTesting forty\u201d", "Curled quotation marks are not read"),
    "no quotation marks": ('"Testing forty"', "Testing forty", "Text stands between quotation marks"),
    "twice": ("tags_doe = 1", "tags_doe = 1\ntags_doe = 2", "This stands twice in the file. Keep one of the two."),
}


@pytest.mark.parametrize("slip", TOML)
def test_a_line_of_place_toml_that_cannot_be_read_is_shown(small_place, slip):
    """The line's number, the line as it stands, and what is wrong with it."""
    old, new, said = TOML[slip]
    small_place.thin()
    small_place.change("place.toml", old, new)
    lines = (small_place.folder / "place.toml").read_text(encoding="utf-8").splitlines()
    last = new.splitlines()[-1]
    number = next(n for n, line in enumerate(lines, 1) if last in line)
    told = stopped(small_place.folder)
    assert f"place.toml: line {number}: {lines[number - 1]} {said}" in told


@pytest.mark.parametrize("name", ["place.toml.txt", "place.txt", "places.toml"])
def test_a_place_toml_under_another_name_is_found(small_place, name):
    """An editor hid the ending or changed it: the file is named, and not a new one asked for."""
    small_place.thin()
    (small_place.folder / "place.toml").rename(small_place.folder / name)
    assert f'place.toml: not there There is "{name}": name it place.toml.' in stopped(small_place.folder)


@pytest.mark.parametrize(
    ("table", "old", "new", "meant"),
    [
        ("counts.csv", "sighting", "Trail cam", "camera"),
        ("bag.csv", "2025,doe", "2025,female", "doe"),
        ("bag.csv", "2025,doe", "2025,button buck", "buck fawn"),
    ],
)
def test_a_word_of_the_family_finds_the_word_of_the_column(small_place, table, old, new, meant):
    """Trail cam is camera, female is doe: said, not guessed."""
    small_place.thin(table)
    small_place.change(table, old, new)
    assert stopped(small_place.folder).split(" Row 1")[0].endswith(f"Did you mean {meant}?")


def test_a_creek_is_a_stream(small_place):
    """In a map too."""
    small_place.thin()
    small_place.maps["features.geojson"]["features"][0]["properties"]["kind"] = "Creek"
    small_place.draw()
    assert "Did you mean stream?" in stopped(small_place.folder)


DOUBTS = {
    "heights in meters": (
        "plot_id,tree,species,dbh_in,height_ft\n" + "".join(f"1,{n},sugar maple,12,{18 + n}\n" for n in range(6)),
        "trees.csv: 6 of 6 rows: row 2, 18 ft on 12 in, where 65 ft is usual; row 3, 19 ft on 12 in, where 65 ft is "
        "usual; row 4, 20 ft on 12 in, where 65 ft is usual; and 3 more. Are these meters? Then name the column "
        "height_m.",
    ),
    "rot as a share of one": (
        "plot_id,tree,species,dbh_in,cull_pct\n" + "".join(f"1,{n},sugar maple,12,0.{n + 1}\n" for n in range(6)),
        "trees.csv: cull_pct is 1 or less throughout. It is percent of the stem: a tenth of it is 10, not 0.1.",
    ),
}


@pytest.mark.parametrize("slip", DOUBTS)
def test_a_column_that_looks_odd_as_a_whole_is_a_remark(forty, slip):
    """The place is read, and the doubt is said; without the slip it is not."""
    text, said = DOUBTS[slip]
    assert said in place.read(forty(text)).warnings
    assert said not in place.read(forty(TREES)).warnings


@pytest.mark.parametrize(
    ("cells", "doubt"),
    [
        ("dbh_in,height_ft\n1,{n},sugar maple,12,19", "Are these meters?"),
        ("dbh_in,cull_pct\n1,{n},sugar maple,12,0.2", "It is percent of the stem"),
        ("dbh_in\n1,{n},sugar maple,24.{n}5", "Are these centimeters?"),
    ],
    ids=["heights", "rot", "diameters"],
)
def test_five_rows_are_enough_to_look_odd_as_a_whole(forty, cells, doubt):
    """Of four rows nothing is concluded."""
    head, row = cells.split("\n")
    for many in (4, 5):
        text = f"plot_id,tree,species,{head}\n" + "".join(f"{row.format(n=n)}\n" for n in range(many))
        assert (doubt in " ".join(place.read(forty(text)).warnings)) == (many == 5)


def test_pellet_plots_measured_in_inches(small_place):
    """A 4-ft stick written as 48 would make 144 times the ground."""
    small_place.thin("pellets.csv")
    small_place.change("pellets.csv", "d2,1,2026-04-20,4,", "d2,1,2026-04-20,48,")
    said = " ".join(place.read(small_place.folder).warnings)
    assert "pellets.csv: radius_ft is over 15 in 1 row, up to 48. Were these inches?" in said


def test_a_tree_lower_than_its_diameter_was_taken(forty):
    """2.5 in height_ft are logs."""
    told = stopped(forty(TREES.replace("12.2,68", "12.2,2.5")))
    assert "trees.csv, row 2, height_ft: 2.5 Lower than 4.5 ft, where its diameter was taken. Logs are" in told


def test_dead_and_alive_are_no_and_yes(forty):
    """In the column alive only."""
    told = place.read(
        forty("plot_id,species,dbh_in,alive\n1,sugar maple,9,Dead\n1,sugar maple,9,alive\n1,sugar maple,9,\n")
    )
    assert told.trees["alive"].tolist() == [False, True, True]
    said = stopped(forty("plot_id,species,dbh_in,count_twice\n1,sugar maple,9,dead\n"))
    assert "count_twice: dead Write yes or no." in said


@pytest.fixture
def book(small_place):
    """A ledger of nine lines of firewood, 1.5 to 9.5 cords, and its text."""
    small_place.thin()
    for n in range(9):
        line = {"kind": "firewood", "amount": 1.5 + n, "unit": "cord", "date": f"2026-01-{n + 10}", "text": "one, two"}
        place.append_note(small_place.folder, line)
    path = small_place.folder / "ledger.csv"
    return path, path.read_text(encoding="utf-8")


def ledger_of(path):
    """Amounts that count and what is said of the ledger."""
    told, said = place.read_ledger(path.parent)
    return told["amount"].tolist(), said


SAVED = {
    "as it was": lambda text: text,
    "days turned round": lambda text: re.sub(r"2026-01-(\d\d)", r"1/\1/2026", text),
    "semicolons": lambda text: text.replace('"one, two"', "#").replace(",", ";").replace("#", "one, two"),
    "semicolons and decimal commas": lambda text: re.sub(
        r"(\d)\.5;", r"\1,5;", text.replace('"one, two"', "#").replace(",", ";").replace("#", "one, two")
    ),
    "tabs": lambda text: text.replace('"one, two"', "#").replace(",", "\t").replace("#", "one, two"),
    "a mark of UTF-8 and other line ends": lambda text: "\ufeff" + text.replace("\n", "\r\n"),
    "blank rows": lambda text: text.replace("\n", "\n,,,,\n"),
}


@pytest.mark.parametrize("way", SAVED)
def test_a_ledger_that_a_spreadsheet_saved_is_whole(book, way):
    """Every line counts, its check still holds, and the next note gets the next number."""
    path, text = book
    path.write_bytes(SAVED[way](text).encode("utf-8"))
    amounts, said = ledger_of(path)
    assert amounts == [1.5 + n for n in range(9)] and said == []
    assert place.append_note(path.parent, {"kind": "seen", "text": "bear"}) == 10
    assert len(ledger_of(path)[0]) == 10 and ledger_of(path)[1] == []


def test_a_changed_amount_is_noticed_in_every_way_of_saving(book):
    """2.5 cords turned into 25 by hand: that line is said, and only that."""
    path, text = book
    for way in ("as it was", "days turned round", "semicolons"):
        path.write_text(SAVED[way](text.replace("2.5", "25")), encoding="utf-8")
        said = ledger_of(path)[1]
        assert said == ["ledger.csv, row 3: was changed after it was written; counted as it stands now."], way


def test_a_line_taken_out_of_the_ledger_is_missed(book):
    """Line 3 of nine is gone: its number, kind and day are said; lines in another order are no loss."""
    path, text = book
    lines = text.splitlines(keepends=True)
    path.write_text("".join(lines[:3] + lines[4:]), encoding="utf-8")
    amounts, said = ledger_of(path)
    assert len(amounts) == 8
    assert len(said) == 1
    assert said[0].startswith("ledger.csv: written once, and not there any more: line 3, firewood of 2026-01-12 (")
    path.write_text("".join([lines[0], *reversed(lines[1:])]), encoding="utf-8")
    assert ledger_of(path)[1] == []

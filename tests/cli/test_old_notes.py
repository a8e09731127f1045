"""``woodlot note --from`` with a family's own sheet: years of notes go into the ledger as they were written."""

from datetime import date

import openpyxl
import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot import place
from woodlot.cli import main
from woodlot.plan.cautions import TAKEN, short_of_deer
from woodlot.region import shipped

SHEET = [
    ["Date", "What", "How much", "Who"],
    ["11/20/2017", "firewood, tops along the road", "4.5 cords", ""],
    ["2018-11-18", "8-point buck", "", "Ann"],
    ["11/19/2019", "doe fawn", "1", ""],
    ["2/24/2019", "saw does in the yard", "2 deer", ""],
    ["9/16/2020", "stacked firewood by the shed", "about 2 1/2 full cords", ""],
    ["10/4/2020", "firewood for the neighbor", "3 face cords", ""],
    ["5/1/2021", "road washed out", "", ""],
    ["11/22/2021", "buck", "140 lb", ""],
    ["5/2/2022", "planted white pine", "1,5", ""],
    ["11/21/2022", "deer", "1", ""],
]
#: kind, sex_age, amount, unit, text of each; nothing where nothing is meant.
MEANT = [
    ("firewood", "", 4.5, "cord", "firewood, tops along the road"),
    ("deer", "buck", 1, "deer", "8-point buck"),
    ("deer", "doe fawn", 1, "deer", "doe fawn"),
    ("seen", "", None, "", "saw does in the yard: 2 deer"),
    ("stack", "", 2.5, "cord", "stacked firewood by the shed"),
    ("firewood", "", None, "", "firewood for the neighbor: 3 face cords"),
    ("note", "", None, "", "road washed out"),
    ("deer", "buck", 1, "deer", "buck: 140 lb"),
    ("planted", "", 1.5, "piece", "planted white pine"),
    ("note", "", None, "", "deer: 1"),
]
UNCOUNTED = "line 6 (firewood for the neighbor: 3 face cords), line 7 (road washed out), line 10 (deer: 1)."


def note(folder, file, code: int = 0) -> str:
    """What the verb says, on one line."""
    told = CliRunner().invoke(main, ["note", str(folder), "--from", str(file)])
    assert told.exit_code == code, told.output
    assert told.exception is None or isinstance(told.exception, SystemExit), repr(told.exception)
    return " ".join((told.stdout + told.stderr).split())


def as_csv(path, sheet=SHEET):
    """The sheet as CSV."""
    pd.DataFrame(sheet[1:], columns=sheet[0]).to_csv(path, index=False)
    return path


def as_xlsx(path, sheet=SHEET):
    """The sheet as a workbook."""
    book = openpyxl.Workbook()
    for row in sheet:
        book.active.append([cell or None for cell in row])
    book.save(path)
    return path


def lines(folder) -> list[tuple]:
    """Kind, sex and age, amount, unit and text of each line of the ledger."""
    frame = place.read_ledger(folder)[0]
    told = frame[["kind", "sex_age", "amount", "unit", "text"]].astype(object)
    return [tuple(row) for row in told.where(told.notna(), "").to_numpy()]


def test_a_years_firewood_in_a_familys_own_words(small_place, tmp_path):
    """Cut is said of much: it is firewood only where cords are told. A stack may be told by its tape."""
    sheet = [
        SHEET[0],
        ["1/5/2023", "cut maple tops", "2 cords", ""],
        ["1/6/2023", "cut brush on the trail", "3 hours", ""],
        ["3/5/2023", "hauled to the yard", "2 cords", ""],
        ["4/5/2023", "split by the shed", "1.5 cords", ""],
        ["9/1/2023", "measured stack by the shed", "16x4x4", ""],
        ["9/2/2023", "cut 9 posts", "9", ""],
        ["9/3/2023", "built a trellis", "", ""],
        ["9/4/2023", "given away to Ben", "1/2 cord", ""],
    ]
    assert note(small_place.folder, as_csv(tmp_path / "notes.csv", sheet)).startswith("8 notes are in the ledger now.")
    assert lines(small_place.folder) == [
        ("firewood", "", 2.0, "cord", "cut maple tops"),
        ("note", "", 3.0, "h", "cut brush on the trail"),
        ("hauled", "", 2.0, "cord", "hauled to the yard"),
        ("split", "", 1.5, "cord", "split by the shed"),
        ("measured stack", "", 2.0, "cord", "measured stack by the shed; 16 x 4 x 4 ft"),
        ("post", "", 9.0, "piece", "cut 9 posts"),
        ("built", "", 1.0, "build", "built a trellis"),
        ("given", "", 0.5, "cord", "given away to Ben"),
    ]


@pytest.mark.parametrize(("write", "name"), [(as_csv, "old notes.csv"), (as_xlsx, "old notes.xlsx")])
def test_a_sheet_of_ones_own_goes_into_the_ledger_once(small_place, tmp_path, write, name):
    """Ten notes as they are meant; what has no unit of the ledger stays in words and is said; again adds none."""
    file = write(tmp_path / name)
    before = file.read_bytes()
    told = note(small_place.folder, file)
    assert told.startswith("10 notes are in the ledger now.")
    mind = " ".join(short_of_deer(shipped("lake_states"), TAKEN).values())
    assert told.endswith(f"that can be counted: {UNCOUNTED} {mind}")
    assert lines(small_place.folder) == [tuple("" if cell is None else cell for cell in row) for row in MEANT]
    frame = place.read_ledger(small_place.folder)[0]
    assert frame["date"].dt.date[0] == date(2017, 11, 20) and frame["who"][1] == "Ann"
    assert note(small_place.folder, file) == "0 notes are in the ledger now. 10 stood in it already."
    assert file.read_bytes() == before


def test_every_bad_row_is_said_and_none_is_written(small_place, tmp_path):
    """A day that is none, one to come, an amount of nothing: three rows, all at once."""
    bad = [["soon", "firewood", "2 cords", ""], ["1/1/2999", "buck", "", ""], ["1/2/2020", "", "5", ""]]
    told = note(small_place.folder, as_csv(tmp_path / "notes.csv", [SHEET[0], *bad]), code=1)
    assert "3 rows need mending. Nothing was written." in told
    assert "row 2, date: soon A day is written as 2026-11-25 or 11/25/2026." in told
    assert "row 3, date: " in told and "2999-01-01 has not come yet" in told
    assert "row 4, what Say what it was" in told
    assert not (small_place.folder / "ledger.csv").exists()


def test_a_sheet_without_a_day_is_no_sheet_of_notes(small_place, tmp_path):
    """The heading that it needs is named."""
    told = note(small_place.folder, as_xlsx(tmp_path / "notes.xlsx", [["What", "Much"], ["wood", "3"]]), code=1)
    assert "row 1: What, Much A sheet of notes has the headings Date, What, How much." in told

"""Words on trees in the hand-ins: what is read, what is refused with an offer, and the family's own words."""

import pytest

from tests.bring.conftest import bring, comma, drawn, said
from woodlot.errors import PlaceError
from woodlot.place import read
from woodlot.region import shipped

__all__ = ["drawn"]


def tallied(small_place, *cells):
    """The small place with a maple of 12 inches for each cell of quality, nothing else measured."""
    small_place.thin("words")
    lines = "".join(f'1,{n},sugar maple,12,"{cell}"\n' for n, cell in enumerate(cells))
    (small_place.folder / "trees.csv").write_text(f"plot_id,tree,species,dbh_in,quality\n{lines}", encoding="utf-8")
    return small_place.folder


def test_letters_spellings_and_empty_cells_are_read_as_words_of_the_table(small_place):
    """What was understood is told once, letters are not told, and a cell that says nothing stays empty."""
    told = read(tallied(small_place, "C", "r; P", "Conk", "conk, frost crack", "", "?"))
    assert told.trees["quality"].fillna("").tolist() == ["crop", "at risk; poor form", "rot", "rot; seam", "", ""]
    said_once = [note for note in told.warnings if note.startswith("Words on trees were understood so")]
    assert said_once == [
        'Words on trees were understood so: "Conk" is rot (1 row), "conk" is rot (1 row), "frost crack" is '
        "seam (1 row)."
    ]


def test_every_word_nobody_knows_is_a_fault_with_an_offer(small_place):
    """A slip is offered what it is like; what is like nothing gets the list; good rows beside it do not hide it."""
    with pytest.raises(PlaceError) as wrong:
        read(tallied(small_place, "crop", "krook", "crop, brokn", "qqq", "i"))
    faults = [(f.file, f.row, f.column, f.found, f.remedy) for f in wrong.value.faults]
    assert [one[:4] for one in faults] == [
        ("trees.csv", row, "quality", found) for row, found in ((3, "krook"), (4, "brokn"), (5, "qqq"), (6, "i"))
    ]
    assert "Closest: crook" in faults[0][4] and "words.csv: quality,krook,crook." in faults[0][4]
    assert "Closest: broken" in faults[1][4]
    assert all("R at risk" in one[4] and "L leaning" in one[4] for one in faults[2:])


def test_the_familys_own_words_act_before_the_regions(small_place):
    """Straight is good by the table; here it is crop; and a word of their own means what they say."""
    folder = tallied(small_place, "straight", "boss", "b")
    (folder / "words.csv").write_text(
        "about,written,meant\nquality,straight,C\nquality,boss,crop tree\nquality,B,den\n"
    )
    assert read(folder).trees["quality"].tolist() == ["crop", "crop", "den"]


def test_an_own_word_that_means_nothing_is_a_fault_of_words_csv(small_place):
    """The row is named, with an offer; the trees that use it are named too."""
    folder = tallied(small_place, "boss")
    (folder / "words.csv").write_text("about,written,meant\nquality,boss,croop\n")
    with pytest.raises(PlaceError) as wrong:
        read(folder)
    faults = {(f.file, f.row, f.column): f.remedy for f in wrong.value.faults}
    assert set(faults) == {("words.csv", 2, "meant"), ("trees.csv", 2, "quality")}
    assert "Closest: crop" in faults["words.csv", 2, "meant"]


def test_a_tree_called_dead_is_no_living_wood(small_place):
    """A snag in the column quality stands dead, and that is said."""
    told = read(tallied(small_place, "snag", "good"))
    assert told.trees["alive"].tolist() == [False, True]
    assert "trees.csv: 1 tree called dead in quality: taken as standing dead." in told.warnings


def test_bring_takes_a_column_of_such_words_and_names_what_it_does_not_know(drawn, tmp_path):
    """Tree class over letters is quality; a word nobody knows stops bringing with its row."""
    rows = [["Tree #", "Species", "DBH", "Tree class"], ["1", "red oak", "15", "C"], ["2", "red oak", "12", "AGS"]]
    bring(drawn, comma(tmp_path / "tally of oaks.csv", rows), "--as", "tally")
    assert read(drawn).tally["quality"].tolist() == ["crop", "good"]
    rows = [["Tree #", "Species", "DBH", "Tree class"], ["8", "red oak", "15", "krook"]]
    told = said(bring(drawn, comma(tmp_path / "more oaks.csv", rows), "--as", "tally", code=1))
    assert "row 2" in told and "Closest: crook" in told


def own_table(small_place, **more):
    """The small place in a region of its own, with one word on a tree more: as crook, but for some columns."""
    home = small_place.folder / "hills"
    home.mkdir()
    (home / "region.toml").write_text('name = "hills"\nbased_on = "lake_states"\n', encoding="utf-8")
    small_place.change("place.toml", 'region = "lake_states"', 'region = "hills"')
    rows = shipped("base").table("tree_words")
    marks = {"source": "ours", "where": "our woods", "seen": "chosen"}
    rows[rows["word"] == "crook"].assign(**marks, **more).to_csv(home / "tree_words.csv", index=False)


def test_a_word_of_the_familys_own_region_is_read(small_place):
    """A scar with a letter and a spelling of its own is read as it."""
    own_table(small_place, word="scar", letter="J", also="skid scar")
    assert read(tallied(small_place, "j", "Skid scar")).trees["quality"].tolist() == ["scar", "scar"]


@pytest.mark.parametrize(
    ("column", "more"), [("letter", {"letter": "R", "also": ""}), ("also", {"letter": "J", "also": "cat face;Conk"})]
)
def test_a_letter_or_spelling_that_another_word_has_is_a_fault(small_place, column, more):
    """The row of the family's table is named."""
    own_table(small_place, word="scar", **more)
    with pytest.raises(PlaceError) as wrong:
        read(tallied(small_place, "crop"))
    assert [(f.file, f.row, f.column) for f in wrong.value.faults] == [("hills/tree_words.csv", 2, column)]

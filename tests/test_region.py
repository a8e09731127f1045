"""A region: rows laid over rows, what was read, one list of species, and the family's own tables that cannot act."""

import ast
import pickle
import shutil
from pathlib import Path

import pandas as pd
import pytest

from woodlot import place
from woodlot.deer.defaults import default
from woodlot.errors import InputError, PlaceError, TableError
from woodlot.place import own_region
from woodlot.region import (
    Read,
    Region,
    _read_shipped,
    keys,
    known_tables,
    laid_over,
    names,
    once,
    open_region,
    read_table,
    reading,
    shipped,
)

PACKAGE = Path(__file__).parent.parent / "woodlot"
MARKS = {"source": "ours", "where": "our own woods", "seen": "chosen"}


@pytest.fixture
def ours(tmp_path):
    """A function that writes a table of the family's own region and opens it."""
    folder = tmp_path / "hills"
    folder.mkdir()
    (folder / "region.toml").write_text('name = "hills"\nbased_on = "lake_states"\n')

    def write(topic: str, **columns) -> Region:
        pd.DataFrame(columns | MARKS).to_csv(folder / f"{topic}.csv", index=False)
        return open_region("hills", tmp_path)

    return write


def test_rows_with_the_same_key_replace_new_ones_follow_and_the_rest_stays():
    """By hand: b is replaced in its place, d is added behind, a and c stay; without a key the table is replaced."""
    under = pd.DataFrame({"k": ["a", "b", "c"], "v": [1.0, 2.0, 3.0]})
    own = pd.DataFrame({"k": ["d", "b"], "v": [9.0, 20.0]})
    both = laid_over(own, under, ["k"])
    assert list(both["k"]) == ["a", "b", "c", "d"] and list(both["v"]) == [1.0, 20.0, 3.0, 9.0]
    assert list(both) == ["k", "v"] and list(both.index) == [0, 1, 2, 3]
    assert laid_over(own, under, []) is own


def test_a_region_holds_only_what_differs():
    """The Northeast's dressed weights replace some rows of the base's; every other row is the base's own."""
    base, east = (
        shipped(name).table("deer_weights").set_index("sex_age")["dressed_lb"] for name in ("base", "northeast")
    )
    assert list(base.index) == list(east.index)
    moved = set(base.index[base.ne(east.reindex(base.index))])
    assert moved == {"yearling buck", "doe"}


def test_every_table_has_its_key_columns_declared():
    """tables.csv names each table of the base once; by its key columns no row of any shipped table stands twice."""
    assert sorted(known_tables()) == sorted(p.stem for p in PACKAGE.glob("regions/base/*.csv"))
    for region in names():
        for topic in known_tables():
            rows = shipped(region).table(topic)
            assert set(keys(topic)) <= set(rows.columns), topic
            assert not keys(topic) or not rows.duplicated(list(keys(topic))).any(), topic


def test_what_was_read_is_noted_at_every_use():
    """A figure notes its row; a kept value notes its reads again; a reading around another gets both."""

    @once
    def twice(*, region: Region) -> float:
        return 2.0 * region.figure("defaults_tree", "stump_ft")

    region = Region("base", shipped("base").folders)
    for _ in range(2):
        with reading() as around:
            with reading() as inside:
                assert twice(region=region) == 2.0 * region.figure("defaults_tree", "stump_ft")
            assert inside == {Read("defaults_tree", "stump_ft")}
            region.species.is_hardwood("swamp maple")
        assert around == inside | {Read("species", "red maple")}
    region.figure("defaults_tree", "stump_ft")
    assert around == {Read("defaults_tree", "stump_ft"), Read("species", "red maple")}


def test_a_region_pickles_as_its_folders(ours):
    """What it kept is made again; the copy is equal and gives the same figures."""
    region = ours("defaults_deer", name=["pellet_rate"], value=[20.0], unit=[""], low=[10.0], high=[30.0], meaning=[""])
    assert default("pellet_rate", region) == 20.0
    assert len(pickle.dumps(region)) < 1000
    copy = pickle.loads(pickle.dumps(region))
    assert copy == region and default("pellet_rate", copy) == 20.0
    assert default("pellet_rate", shipped("lake_states")) == 25.0


def test_one_list_of_names():
    """Nicknames, scientific names, hyphens and capitals find the plain name; a slip names the closest."""
    known = shipped("base").species
    assert [known.name(n) for n in ("Swamp Maple", "acer rubrum", "red-maple")] == ["red maple"] * 3
    assert known.closest("suger maple") == ("sugar maple",)
    with pytest.raises(InputError, match="did you mean"):
        known.name("suger maple")


def test_an_unknown_region_or_choice_is_refused():
    """TableError with the names that there are."""
    with pytest.raises(TableError, match="lake_states"):
        shipped("mars")
    with pytest.raises(TableError, match="no choice"):
        shipped("base").choice("colour")
    with pytest.raises(TableError, match="no table"):
        shipped("base").table("colours")


SAMPLE = PACKAGE.parent / "sample_parcels" / "first_forty"


@pytest.fixture
def family(tmp_path):
    """A folder of a family with a region of its own, and a function that reads it."""
    home = tmp_path / "woods"
    shutil.copytree(SAMPLE, home, ignore=shutil.ignore_patterns("out"))
    (home / "hills").mkdir()
    text = (home / "place.toml").read_text()
    (home / "place.toml").write_text(text.replace('region = "lake_states"', 'region = "hills"'))
    (home / "hills" / "region.toml").write_text('name = "hills"\nbased_on = "lake_states"\n')

    def write(name: str, text: str) -> None:
        (home / "hills" / name).write_text(text)

    return home, write


def test_what_cannot_act_is_refused_row_by_row_in_one_pass(family):
    """Each kind of fault once: no such table, columns, a key twice, numbers, marks, ranges, choices."""
    home, write = family
    write("growth_anchor.csv", "species,growth_in\n")
    write("growth_anchors.csv", "species,growth,source,where,seen\n")
    write(
        "deer_winter_loss.csv",
        "scale,value,measure,herd_loss,source,where,seen\n" + "wisconsin,67,points,.1,us,,guess\n" * 2,
    )
    write(
        "defaults_tree.csv",
        "name,value,unit,low,high,meaning,source,where,seen\n"
        "stump_ft,tall,ft,,,x,us,here,chosen\nmerch_top_dob_in,-4,in,,,x,us,here,chosen\n"
        "merch_dbh_in,5,in,6,7,x,us,here,chosen\n",
    )
    write("region.toml", 'name = "hills"\nbased_on = "lake_states"\n[choices]\nlog_rule = "oak"\ncolour = 3\n')
    with pytest.raises(PlaceError) as stop:
        place.read(home)
    told = {(f.file, f.row, f.column) for f in stop.value.faults}
    assert told == {
        ("hills/growth_anchor.csv", None, ""),
        ("hills/growth_anchors.csv", 1, "growth_in"),
        ("hills/growth_anchors.csv", 1, "growth"),
        ("hills/deer_winter_loss.csv", 2, "where"),
        ("hills/deer_winter_loss.csv", 3, "where"),
        ("hills/deer_winter_loss.csv", 2, "seen"),
        ("hills/deer_winter_loss.csv", 3, "seen"),
        ("hills/deer_winter_loss.csv", 3, "scale"),
        ("hills/defaults_tree.csv", 2, "value"),
        ("hills/defaults_tree.csv", 3, "value"),
        ("hills/defaults_tree.csv", 4, "value"),
        ("hills/region.toml", None, "choices.log_rule"),
        ("hills/region.toml", None, "choices.colour"),
    }
    closest = {f.file: f.remedy for f in stop.value.faults}["hills/growth_anchor.csv"]
    assert "growth_anchors" in closest


@pytest.mark.parametrize(
    ("base", "told", "bad", "words"),
    [
        ([0.0, 5.0], [-1.0, 0.0], [True, False], "a number, 0 or more"),
        ([-3.0, 5.0], [-1.0, 0.0], [False, False], "a number"),
        ([1.0, 5.0], [float("nan"), 2.0], [True, False], "a number, 0 or more"),
        ([float("nan"), 5.0], [float("nan"), 2.0], [False, False], "a number, 0 or more"),
        ([1.0, 5.0], [float("inf"), 2.0], [True, False], "a number, 0 or more"),
    ],
)
def test_a_cell_of_the_familys_table_is_held_to_what_the_base_has_there(base, told, bad, words):
    """Below 0 only where the base goes there, empty only where the base is empty somewhere, never without an end."""
    found, said = own_region._not_a_number(pd.Series(told), pd.Series(base), "value")
    assert found.tolist() == bad and said == f"Must be {words}."


def test_one_row_without_its_mark_stops_a_table_that_comes_with_woodlot(tmp_path):
    """Two rows, one without a source: the table is refused, and says which column."""
    file = tmp_path / "heights.csv"
    file.write_text("name,value,source,where,seen\na,1,us,here,chosen\nb,2,,here,chosen\n")
    with pytest.raises(TableError, match="every row needs 'source'"):
        _read_shipped(file)


def test_words_of_a_table_are_words_even_where_they_look_like_nothing(tmp_path):
    """Only an empty cell is missing; "NA", "None" and "null" are what somebody wrote."""
    file = tmp_path / "words.csv"
    file.write_text("key,text,source,where,seen\na,NA,us,null,chosen\nb,None,us,,chosen\n")
    told = read_table(file)
    assert told["text"].tolist() == ["NA", "None"] and told["where"][0] == "null" and pd.isna(told["where"][1])


def test_a_shipped_region_is_not_based_on_itself(tmp_path):
    """A folder of the family's own that bears the name it is based on lies over the one that comes with woodlot."""
    own = tmp_path / "lake_states"
    own.mkdir()
    (own / "region.toml").write_text('name = "lake_states"\nbased_on = "lake_states"\n')
    told = open_region("lake_states", tmp_path).folders
    assert [folder.parent == tmp_path for folder in told] == [True, False, False]


@pytest.mark.parametrize(
    ("row", "column", "right"),
    [
        ("fires_from_month,16,month,,,x", "value", "Must be 1 to 12, in month."),
        ("fires_from_month,10,days,,,x", "unit", "This figure is in month."),
        ("fires_from_month,0,month,,,x", "value", "Must be 1 to 12, in month."),
        ("fires_from_mont,10,month,,,x", "name", "Did you mean fires_from_month?"),
        (",10,month,,,x", "name", "A row needs its key."),
        ("fires_from_month,10,month,10.5,11,x", "value", "Must lie between its low and high, 10.5 and 11."),
        ("fires_from_month,10,month,8,9.5,x", "value", "Must lie between its low and high, 8 and 9.5."),
    ],
)
def test_a_figure_that_cannot_act_is_refused(family, row, column, right):
    """A month before January or after December, another unit, a name that nothing reads or none, outside its range."""
    home, write = family
    write("defaults_drying.csv", f"name,value,unit,low,high,meaning,source,where,seen\n{row},us,here,chosen\n")
    with pytest.raises(PlaceError) as stop:
        place.read(home)
    (fault,) = stop.value.faults
    assert (fault.file, fault.row, fault.column) == ("hills/defaults_drying.csv", 2, column) and right in fault.remedy


@pytest.mark.parametrize("month", [1, 12])
def test_a_figure_at_the_end_of_its_range_is_read(family, month):
    """January and December are months."""
    home, write = family
    row = f"fires_from_month,{month},month,,,x,us,here,chosen\n"
    write("defaults_drying.csv", f"name,value,unit,low,high,meaning,source,where,seen\n{row}")
    assert place.read(home).region.figure("defaults_drying", "fires_from_month") == month


def test_a_choice_of_the_familys_region_acts_where_place_toml_is_silent(family):
    """Level and cord breaks come from the region too; place.toml wins."""
    home, write = family
    write(
        "region.toml", 'name = "hills"\nbased_on = "lake_states"\n[choices]\nlevel = 0.8\ncord_breaks = [5, 10, 15]\n'
    )
    read = place.read(home)
    assert read.choices["level"] == 0.8 and read.choices["cord_breaks"] == [5, 10, 15]
    assert read.choices["division"] == "210"
    text = (home / "place.toml").read_text()
    (home / "place.toml").write_text(f"{text}\n[choices]\nlevel = 0.7\n")
    assert place.read(home).choices["level"] == 0.7


def test_no_signature_gives_the_region_a_default():
    """A region is always said: a figure can come from no other."""
    found = []
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and not path.is_relative_to(PACKAGE / "cli"):
                given = node.args
                plain = given.posonlyargs + given.args
                late = plain[len(plain) - len(given.defaults) :]
                some = [a.arg for a, d in zip(given.kwonlyargs, given.kw_defaults, strict=True) if d is not None]
                if "region" in [*(a.arg for a in late), *some]:
                    found.append(f"{path.name}: {node.name}")
    assert sorted(found) == ["reading.py: read", "starting.py: start"]  # the name of a region, written by a person

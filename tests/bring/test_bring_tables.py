"""``woodlot bring``: spreadsheets and text tables of every kind, what is asked of them, and what is remembered."""

import importlib
import importlib.util
import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot import place
from woodlot.cli import main

_spec = importlib.util.spec_from_file_location("bring_conftest", Path(__file__).parent / "conftest.py")
kit = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(kit)
bring, said, workbook, comma, CRUISE = (getattr(kit, name) for name in ("bring", "said", "workbook", "comma", "CRUISE"))

#: The cruise as its rows are meant: plot, species, inches, feet, logs.
TREES = [
    ("1", "northern red oak", 14.2, 68.0, 2.0),
    ("1", "sugar maple", 9.1, 55.0, np.nan),
    ("2", "northern red oak", 11.0, 60.0, 1.0),
    ("4", "red pine", 12.5, 70.0, 2.5),
]
TITLED = [["Our cruise of 2025"], [], *CRUISE]
METRIC = [
    ["Stand", "Plot #", "BAF", "Spp", "DBH cm", "Height (m)", "Logs"],
    *(
        [*row[:4], *(f"{float(v) * k:.3f}" if v else "" for v, k in zip(row[4:6], (2.54, 0.3048), strict=True)), row[6]]
        for row in CRUISE[1:]
    ),
]
COMMAS = [[cell.replace(".", ",") if at > 3 else cell for at, cell in enumerate(row)] for row in METRIC]
COMMAS[0] = METRIC[0]
MERGED = [CRUISE[0], CRUISE[1], ["", "", "", *CRUISE[2][3:]], *CRUISE[3:]]
SIGNED = [CRUISE[0], *([*row[:4], row[4] and f'{row[4]}"', row[5] and f"{row[5]}'", row[6]] for row in CRUISE[1:])]
CASES = {
    "plain csv": lambda t: comma(t / "cruise.csv", CRUISE),
    "tabs": lambda t: comma(t / "cruise.txt", CRUISE, "\t"),
    "semicolons, decimal commas, the Windows letters": lambda t: comma(t / "Bäume.csv", COMMAS, ";", "cp1252"),
    "UTF-16": lambda t: comma(t / "cruise.csv", CRUISE, "\t", "utf-16"),
    "UTF-16 without its mark": lambda t: comma(t / "cruise.csv", CRUISE, ",", "utf-16-le"),
    "a title above the heading": lambda t: workbook(t / "cruise.xlsx", Data=TITLED),
    "centimeters and meters": lambda t: workbook(t / "cruise.xlsx", Data=METRIC),
    "merged cells": lambda t: workbook(t / "cruise.xlsx", Data=MERGED),
    "inch marks": lambda t: workbook(t / "cruise.xlsx", Data=SIGNED),
}


@pytest.mark.parametrize("case", CASES)
def test_a_cruise_in_one_table_is_parted(drawn, tmp_path, case):
    """Plots and trees in one table, however written, are the same plots (one without a tree) and the same trees."""
    raw = CASES[case](tmp_path)
    before = raw.read_bytes()
    bring(drawn, raw)
    read = place.read(drawn)
    assert raw.read_bytes() == before
    assert read.plots["plot_id"].tolist() == ["1", "2", "3", "4"]
    assert read.plots["stand_id"].tolist() == ["1", "1", "2", "2"] and (read.plots["baf_sqft_per_ac"] == 10).all()
    told = read.trees[["plot_id", "species", "dbh_in", "height_ft", "logs_16ft"]]
    assert told["plot_id"].tolist() == [row[0] for row in TREES]
    assert told["species"].tolist() == [row[1] for row in TREES]
    np.testing.assert_allclose(told.iloc[:, 2:].to_numpy(float), [row[2:] for row in TREES], atol=2e-3)


def test_plots_and_trees_on_two_sheets(drawn, tmp_path):
    """A sheet of plots with their places fills the stands; a sheet of trees stays trees; --sheet takes one of them."""
    x, y = kit.NORTH.centroid.coords[0]
    plots = [["Plot", "BAF", "Lat", "Long"], ["A1", 10, y, x], ["A2", 10, kit.EAST.centroid.y, kit.EAST.centroid.x]]
    trees = [["Pt", "Species", "Diam"], ["A1", "aspen", 8.5], ["A2", "white cedar", 7]]
    book = workbook(tmp_path / "two.xlsx", Plots=plots, Trees=trees)
    told = bring(drawn, book)
    read = place.read(drawn)
    assert read.plots["stand_id"].tolist() == ["1", "3"] and len(read.trees) == 2
    assert "by where they lie" in said(told)
    assert "it has Plots, Trees" in said(bring(drawn, book, "--sheet", "Third", code=1))


def test_positions_from_a_walk_and_trees_from_a_sheet_are_one_plot(drawn, tmp_path):
    """Waypoints named like the plots of a cruise give their places."""
    x, y = kit.NORTH.centroid.coords[0]
    comma(tmp_path / "cruise.csv", [row[1:] for row in CRUISE[:3]])
    (tmp_path / "w.gpx").write_text(
        '<?xml version="1.0"?><gpx version="1.1" creator="us" xmlns="http://www.topografix.com/GPX/1/1">'
        f'<wpt lat="{y:.6f}" lon="{x:.6f}"><name>P1</name></wpt></gpx>'
    )
    bring(drawn, tmp_path / "cruise.csv", tmp_path / "w.gpx")
    plots = place.read(drawn).plots
    assert plots["plot_id"].tolist() == ["1"] and plots["stand_id"].tolist() == ["1"]
    assert plots["lat"].tolist() == pytest.approx([y], abs=1e-6) and plots["baf_sqft_per_ac"].tolist() == [10]


def test_plots_numbered_anew_in_each_stand(drawn, tmp_path):
    """Plot 1 of stand 1 and plot 1 of stand 2 are two plots."""
    rows = [CRUISE[0], CRUISE[1], ["2", "1", *CRUISE[3][2:]]]
    assert "numbered anew" in said(bring(drawn, comma(tmp_path / "c.csv", rows)))
    assert place.read(drawn).plots["plot_id"].tolist() == ["1-1", "2-1"]


def test_an_unknown_species_is_asked_and_remembered(drawn, tmp_path):
    """The question names the word; the answer is written, and words.csv asks no second time."""
    rows = [CRUISE[0], [*CRUISE[1][:3], "gribble", *CRUISE[1][4:]]]
    raw = comma(tmp_path / "cruise.csv", rows)
    before = {path.name: path.read_bytes() for path in drawn.iterdir()}
    told = bring(drawn, raw, "--yes", code=1)
    assert '"gribble" (1 row) is no species' in said(told) and '--species "gribble=' in said(told)
    assert {path.name: path.read_bytes() for path in drawn.iterdir()} == before
    assert "is no species of the list" in said(bring(drawn, raw, "--species", "gribble=snark", code=1))
    bring(drawn, raw, "--species", "gribble=red oak")
    assert "species,gribble,red oak" in (drawn / "words.csv").read_text()
    again = [CRUISE[0], ["1", "9", "10", "Gribble", "8", "40", ""]]
    bring(drawn, comma(tmp_path / "more.csv", again))
    assert place.read(drawn).trees["species"].tolist() == ["northern red oak"] * 2


def test_a_unit_nobody_wrote_is_asked_where_the_sizes_are_odd(drawn, tmp_path):
    """A median of 30 may be centimeters: asked, with the option; in stays inches, cm is turned."""
    rows = [
        ["Stand", "Plot", "BAF", "Spp", "Diam"],
        *(["1", "1", "10", "red oak", size] for size in (25, 28, 30, 31, 40)),
    ]
    raw = comma(tmp_path / "cruise.csv", rows)
    assert '--unit "dbh_in=cm"' in said(bring(drawn, raw, code=1))
    bring(drawn, raw, "--unit", "dbh_in=cm")
    assert place.read(drawn).trees["dbh_in"].iloc[0] == pytest.approx(25 / 2.54)
    assert "cannot be in that unit" in said(bring(drawn, raw, "--unit", "dbh_in=rods", code=1))


def test_a_heading_nobody_knows(drawn, tmp_path):
    """A slip in a heading is offered, taken by --yes or by --heading, and remembered."""
    rows = [["Stand", "Plot", "BAF", "Species", "Girth at chest"], ["1", "1", "10", "red oak", "12"]]
    raw = comma(tmp_path / "cruise.csv", rows)
    told = said(bring(drawn, raw, code=1))
    assert "no heading is known for dbh_in" in told and "=dbh_in" in told
    bring(drawn, raw, "--heading", "Girth at chest=dbh_in")
    assert "heading,girth at chest,dbh_in" in (drawn / "words.csv").read_text()
    rows[1][1] = "2"
    bring(drawn, comma(tmp_path / "next.csv", rows))
    assert place.read(drawn).trees["dbh_in"].tolist() == [12.0, 12.0]
    slip = [["Stand", "Plot", "BAF", "Species", "DBH", "Hieght"], ["1", "3", "10", "red oak", "12", "60"]]
    assert '--heading "Hieght=height_ft"' in said(bring(drawn, comma(tmp_path / "slip.csv", slip), code=1))
    bring(drawn, tmp_path / "slip.csv", "--yes")
    assert place.read(drawn).trees["height_ft"].iloc[-1] == 60


def test_the_size_of_the_plots_is_asked_or_read_above_the_heading(drawn, tmp_path):
    """No factor and no radius: --fill says it; "BAF 20" in the title does too."""
    bare = [[row[0], row[1], *row[3:]] for row in CRUISE]
    raw = comma(tmp_path / "cruise.csv", bare)
    assert '--fill "baf_sqft_per_ac=' in said(bring(drawn, raw, code=1))
    bring(drawn, raw, "--fill", "baf_sqft_per_ac=10")
    assert (place.read(drawn).plots["baf_sqft_per_ac"] == 10).all()
    titled = [["North line, BAF 20"], bare[0], ["1", "8", *bare[1][2:]]]
    bring(drawn, workbook(tmp_path / "t.xlsx", S=titled))
    assert place.read(drawn).plots["baf_sqft_per_ac"].iloc[-1] == 20


def test_days_of_either_order(drawn, tmp_path):
    """10/25 can only be October; 25/10 only October too; 4/5 is asked, and the month is taken first by --yes."""
    heading = ["Plot", "Radius", "Groups", "Date"]
    for at, (cell, day) in enumerate(
        (("10/25/2025", "2025-10-25"), ("25/10/2025", "2025-10-25"), ("Nov 3, 2025", "2025-11-03"))
    ):
        rows = [heading, [f"P{at}", "6", "2", f'"{cell}"']]
        bring(drawn, comma(tmp_path / f"pellets {at}.csv", rows))
        assert pd.read_csv(drawn / "pellets.csv")["date"].iloc[-1] == day
    raw = comma(tmp_path / "pellets.csv", [heading, ["Q", "6", "2", "4/5/2026"]])
    told = said(bring(drawn, raw, code=1))
    assert "2026-04-05 or 2026-05-04" in told
    bring(drawn, raw, "--unit", "Date=day first")
    assert pd.read_csv(drawn / "pellets.csv")["date"].iloc[-1] == "2026-05-04"


TABLES = {
    "tally": [["Tree #", "Species", "DBH", "Paint"], ["1", "red oak", "15", "blue"]],
    "pellets": [["Plot", "Radius (ft)", "Piles", "Days"], ["1", "6", "0", "160"]],
    "browse": [["Plot", "Species", "Stems", "Browsed"], ["1", "red maple", "12", "5"]],
    "bag": [["Season", "Deer", "Dressed weight (lb)"], ["2024", "doe", "95"]],
    "winters": [["Winter", "WSI", "State"], ["2023", "41", "wisconsin"]],
    "cores": [["Stand", "Species", "DBH", "Years", "Growth (in)"], ["1", "red oak", "12", "10", "1.5"]],
}


@pytest.mark.parametrize("table", TABLES)
def test_other_tables_are_known_by_their_headings(drawn, tmp_path, table):
    """A file of any name is the table its headings say; brought twice it adds nothing."""
    raw = comma(tmp_path / "notes from the truck.csv", TABLES[table])
    bring(drawn, raw)
    assert len(getattr(place.read(drawn), table)) == 1
    assert "Nothing new. 1 row" in said(bring(drawn, raw))


def test_trees_without_plots_may_be_a_tally(drawn, tmp_path):
    """Species and diameters alone could be marked trees or a cruise: asked, never guessed."""
    raw = comma(tmp_path / "woods.csv", [["Species", "DBH"], ["red oak", "15"]])
    assert "--as tally" in said(bring(drawn, raw, "--yes", code=1))
    bring(drawn, raw, "--as", "tally")
    assert len(place.read(drawn).tally) == 1
    assert "Nothing in these files" in said(bring(drawn, raw, "--as", "nothing", code=1))


def test_faults_of_all_files_come_in_one_pass(drawn, tmp_path):
    """Rows that cannot be are named with file, row and column; nothing is written."""
    before = {path.name: path.read_bytes() for path in drawn.iterdir()}
    comma(
        tmp_path / "marked.csv",
        [["Tag", "Species", "DBH", "Mark"], ["1", "red oak", "-3", "x"], ["2", "red oak", "big", "x"]],
    )
    comma(tmp_path / "deer.csv", [["Season", "Deer"], ["2024", "moose"]])
    told = said(bring(drawn, tmp_path / "marked.csv", tmp_path / "deer.csv", code=1))
    assert "marked.csv, row 2, dbh_in: -3" in told and "marked.csv, row 3, dbh_in: big" in told
    assert "deer.csv, row 2, sex_age: moose" in told
    assert {path.name: path.read_bytes() for path in drawn.iterdir()} == before


def test_rows_go_behind_those_of_the_family(drawn, tmp_path):
    """Old lines keep their bytes, with their own separator; a column more goes to the end of the heading."""
    own = "species;dbh_in;tree\nred oak;14,5;1\n"
    (drawn / "tally.csv").write_text(own)
    rows = [["Tag", "Species", "DBH (in)", "Paint"], ["2", "red oak", "15.5", "blue"]]
    bring(drawn, comma(tmp_path / "marked.csv", rows))
    assert (drawn / "tally.csv").read_text() == "species;dbh_in;tree;mark\nred oak;14,5;1\nred oak;15.5;2;blue\n"
    assert place.read(drawn).tally["dbh_in"].tolist() == [14.5, 15.5]


def test_a_table_kept_in_another_form_is_not_added_to(drawn, tmp_path):
    """tally.xlsx stays the family's: refused in words."""
    (drawn / "tally.csv").unlink()
    workbook(drawn / "tally.xlsx", tally=[["species", "dbh_in"], ["red oak", 14]])
    told = said(bring(drawn, comma(tmp_path / "marked.csv", TABLES["tally"]), code=1))
    assert "the place keeps this table in tally.xlsx" in told


def test_without_files_what_lies_unread_is_brought(drawn):
    """Walk names what lies there, bring takes it, walk says so; the raw file stays and is not brought again."""
    comma(drawn / "Our cruise.csv", CRUISE)
    (drawn / "barn.jpg").write_bytes(b"\xff\xd8")
    walk = CliRunner().invoke(main, ["walk", str(drawn)]).output
    assert f'woodlot bring {drawn} "Our cruise.csv"' in " ".join(walk.split())
    assert "barn.jpg: a picture, left alone" in walk and "Not read yet: Our cruise.csv" in walk
    for verb in ("cruise", "scale", "hunt"):
        run = CliRunner().invoke(main, [verb, str(drawn), "--json"])
        assert "Caution: Not read yet: Our cruise.csv." in run.stderr and "cruise.csv" not in run.stdout
    files = {
        one["name"]: one for one in json.loads(CliRunner().invoke(main, ["walk", str(drawn), "--json"]).stdout)["files"]
    }
    assert files["Our cruise.csv"]["taken_for"] == "unread" and files["parcels.geojson"]["taken_for"] == "parcels"
    assert set(files) == {path.name for path in drawn.iterdir()} and all(one["words"] for one in files.values())
    bring(drawn)
    walk = CliRunner().invoke(main, ["walk", str(drawn)]).output
    assert "Our cruise.csv: brought into plots, trees" in " ".join(walk.split()) and "Not read yet" not in walk
    assert "no file lies in" in said(bring(drawn, code=1)).lower()
    with (drawn / "Our cruise.csv").open("a") as file:
        file.write("\n1,5,10,red oak,9,50,")
    assert "1 row in trees" in said(bring(drawn)) and len(place.read(drawn).trees) == 5
    with (drawn / "Our cruise.csv").open("a") as file:
        file.write("\n1,5,10,red oak,19,50,")
    assert "has other trees of it" in said(bring(drawn, code=1))


def test_a_tally_that_has_grown_adds_what_is_new(drawn, tmp_path):
    """Trees without numbers: of a file brought before only what is new; of another file all rows."""
    rows = [["Species", "DBH"], ["red oak", "15"], ["red oak", "15"]]
    bring(drawn, comma(tmp_path / "tally.csv", rows))
    assert "Nothing new" in said(bring(drawn, tmp_path / "tally.csv"))
    bring(drawn, comma(tmp_path / "tally.csv", [*rows, ["red oak", "15"], ["aspen", "9"]]))
    assert len(place.read(drawn).tally) == 4
    bring(drawn, comma(tmp_path / "tally of May.csv", [["Species", "DBH"], ["red oak", "15"], ["red pine", "8"]]))
    assert len(place.read(drawn).tally) == 6


def test_start_in_a_folder_with_files_says_how_to_bring_them(tmp_path):
    """The files place.toml and columns.txt come, nothing else; the line of bring is said."""
    comma(tmp_path / "cruise.csv", CRUISE)
    told = CliRunner().invoke(main, ["start", str(tmp_path)])
    assert f"woodlot bring {tmp_path}" in " ".join(told.output.split()) and "cruise.csv" in told.output
    assert sorted(p.name for p in tmp_path.iterdir()) == ["columns.txt", "cruise.csv", "place.toml"]


def test_questions_are_put_on_a_terminal(drawn, tmp_path, monkeypatch):
    """Each question once, with its guess as the answer of an empty line; what is no answer is asked again."""
    monkeypatch.setattr(importlib.import_module("woodlot.cli.bring"), "at_a_terminal", lambda: True)
    raw = comma(tmp_path / "woods.csv", [["Species", "DBH"], ["gribble", "15"]])
    told = CliRunner().invoke(main, ["bring", str(drawn), str(raw)], input="tallies\ntally\nsnark\nred oak\n")
    assert told.exit_code == 0, told.output
    assert place.read(drawn).tally["species"].tolist() == ["northern red oak"]
    assert (drawn / "words.csv").read_text().endswith("species,gribble,red oak\n")
    assert told.output.count("what is this?") == 1 and told.output.count("is no species of the list") == 2


def test_a_row_of_sums_is_no_tree(drawn, tmp_path):
    """What stands under the last tree is asked like any word nobody knows, and left out by none, not remembered."""
    rows = [*CRUISE, ["", "", "", "Total", "46.8", "", ""]]
    raw = comma(tmp_path / "cruise.csv", rows)
    assert '"Total" (1 row) is no species' in said(bring(drawn, raw, code=1))
    bring(drawn, raw, "--species", "Total=none")
    assert len(place.read(drawn).trees) == 4 and (drawn / "words.csv").read_text() == "about,written,meant\n"
    marked = [["Tag", "Species", "DBH", "Paint"], ["1", "red oak", "15", "x"], ["", "Sum", "15", ""]]
    bring(drawn, comma(tmp_path / "marked.csv", marked), "--species", "sum=none")
    assert len(place.read(drawn).tally) == 1


SLIPS = {
    "a table of no name": (["--as", "tres"], "Did you mean trees?"),
    "a column of no name": (["--heading", "Diam=dbh"], "no table has such a column"),
    "no meaning": (["--species", "pop"], 'write it as "word=meaning"'),
    "a region of no name": (["--region", "north_east"], "north_east"),
    "no such file": (["nowhere.kml"], "there is no file nowhere.kml"),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_in_an_option_is_refused(tmp_path, slip):
    """Words and exit code 1; nothing is laid out."""
    comma(tmp_path / "cruise.csv", CRUISE)
    options, words = SLIPS[slip]
    assert words.lower() in said(bring(tmp_path / "woods", tmp_path / "cruise.csv", *options, code=1)).lower()
    assert not (tmp_path / "woods").exists()


def test_a_cover_nobody_knows_is_asked(tmp_path):
    """The word of a column cover is kept where it is known, asked where not, and remembered."""
    covers = kit.STANDS.drop(columns="description").assign(Cover=["oak", "the wet hole", "pine"])
    covers.to_file(tmp_path / "stands.json", driver="GeoJSON")
    told = said(bring(tmp_path / "woods", tmp_path / "stands.json", code=1))
    assert '"the wet hole" (1 row) is no cover' in told
    told = said(bring(tmp_path / "woods", tmp_path / "stands.json", "--cover", "the wet hole=swampy", code=1))
    assert "is no cover of the list" in told
    bring(tmp_path / "woods", tmp_path / "stands.json", "--cover", "the wet hole=cedar swamp")
    assert "cover,the wet hole,cedar swamp" in (tmp_path / "woods" / "words.csv").read_text()
    assert '"cover": "cedar swamp"' in (tmp_path / "woods" / "stands.geojson").read_text()


def test_a_region_of_the_familys_own_has_its_headings(drawn, tmp_path):
    """A row of heading_words.csv beside the parcels acts."""
    own = drawn / "ours"
    own.mkdir()
    (own / "region.toml").write_text('name = "ours"\nbased_on = "lake_states"\n')
    row = "heading,column,source,where,seen\nhow thick,dbh_in,woodlot,ours,chosen\n"
    (own / "heading_words.csv").write_text(row)
    toml = drawn / "place.toml"
    toml.write_text(toml.read_text().replace('region = "lake_states"', 'region = "ours"'))
    raw = comma(tmp_path / "marked.csv", [["Tag", "Species", "How thick", "Paint"], ["1", "red oak", "15", "x"]])
    bring(drawn, raw)
    assert place.read(drawn).tally["dbh_in"].tolist() == [15.0]


@pytest.mark.parametrize("turned", ["as they are", "no minus", "swapped", "swapped, no minus"])
def test_places_of_plots_however_written(drawn, tmp_path, turned):
    """A longitude without its sign, or in the column of the latitude, can only be meant one way here; it is told."""
    x, y = kit.NORTH.centroid.coords[0]
    lon, lat = -x if "no minus" in turned else x, y
    lon, lat = (lat, lon) if "swapped" in turned else (lon, lat)
    raw = comma(tmp_path / "plots.csv", [["Plot", "BAF", "Lon", "Lat"], ["1", "10", f"{lon:.6f}", f"{lat:.6f}"]])
    told = said(bring(drawn, raw))
    plots = place.read(drawn).plots
    assert plots[["lon", "lat"]].iloc[0].tolist() == pytest.approx([x, y], abs=1e-6)
    assert plots["stand_id"].tolist() == ["1"] and ("change sides" in told) == ("swapped" in turned)
    assert ("as west" in told) == ("no minus" in turned)


def test_stands_that_nobody_drew_are_told(drawn, tmp_path):
    """A cruise may come before the stands are drawn: it goes in, and says which are to be drawn."""
    rows = [CRUISE[0], ["9", *CRUISE[1][1:]]]
    assert "stand 9 is named and not drawn" in said(bring(drawn, comma(tmp_path / "c.csv", rows)))


def test_heights_that_may_be_meters_are_asked(drawn, tmp_path):
    """Trees of 18 without a unit: feet or meters; a heading that says feet is not asked."""
    rows = [
        ["Tag", "Species", "DBH (in)", "Height", "Paint"],
        *([at, "red oak", "14", 17 + at, "x"] for at in range(5)),
    ]
    raw = comma(tmp_path / "marked.csv", rows)
    assert '--unit "height_ft=m"' in said(bring(drawn, raw, code=1))
    bring(drawn, raw, "--unit", "height_ft=m")
    assert place.read(drawn).tally["height_ft"].iloc[0] == pytest.approx(17 / 0.3048)


def test_a_table_changed_in_the_meantime_is_not_written(drawn):
    """What stood in the table when its new text was made must stand there still."""
    from woodlot.errors import PlaceError
    from woodlot.place.writing import add_to_tables

    before = (drawn / "tally.csv").read_text()
    (drawn / "tally.csv").write_text(before + "1,,,red oak,9,,,,,,,\n")
    with pytest.raises(PlaceError, match="changed in the meantime"):
        add_to_tables(drawn, {"tally.csv": "new\n", "bag.csv": "new\n"}, {"tally.csv": before, "bag.csv": None})
    assert (drawn / "tally.csv").read_text().endswith("red oak,9,,,,,,,\n")


def test_a_text_that_a_spreadsheet_would_work_out_is_brought_as_it_was_typed(drawn, tmp_path):
    """In the table it has an apostrophe, which reading takes off; numbers have none; the same file adds nothing."""
    rows = [["plot_id", "stand_id", "baf_sqft_per_ac", "lon", "lat"], ["=A1", "1", "10", "-89.3998", "46.0025"]]
    rows.append(["@2", "1", "10", "-89.3990", "46.0030"])
    bring(drawn, comma(tmp_path / "visited.csv", rows), "--yes", "--as", "plots")
    lines = (drawn / "plots.csv").read_text().splitlines()
    assert lines[1:] == ["'=A1,1,10,-89.3998,46.0025", "'@2,1,10,-89.3990,46.0030"]
    assert place.read(drawn).plots["plot_id"].tolist() == ["=A1", "@2"]
    bring(drawn, comma(tmp_path / "visited.csv", [*rows, ["3", "1", "10", "-89.3995", "46.0030"]]), "--as", "plots")
    assert (drawn / "plots.csv").read_text().splitlines() == [*lines, "3,1,10,-89.3995,46.0030"]

"""Points on which trees were only counted: in plots.csv, in the phone's files, in a sheet that is brought."""

import importlib.util
import json
import shutil
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot import place
from woodlot.answers.why import explain
from woodlot.cli import main
from woodlot.errors import PlaceError
from woodlot.season import Season, season
from woodlot.stand.raster_at_plots import Helped

_spec = importlib.util.spec_from_file_location("bring_conftest", Path(__file__).parent / "bring" / "conftest.py")
kit = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(kit)
drawn, bring, comma = kit.drawn, kit.bring, kit.comma

PLOTS = "plot_id,stand_id,date,baf_sqft_per_ac,radius_ft,live_in,dead_in\n"
TREES = "plot_id,tree,species,dbh_in,height_ft,count,count_twice,alive\n"


def run(*args, code=0):
    """Output of one verb with the exit code it should have."""
    done = CliRunner().invoke(main, [str(a) for a in args])
    assert done.exit_code == code, done.output
    assert "Traceback" not in done.output
    return done.output


@pytest.fixture
def counted(drawn):
    """Stand 1: six points, two trees measured on the first; stand 2: three points counted, none measured."""
    counts = ["9,1", "6,", "0,", "12,", "8,", "10,", "7,", "4,", "9,"]
    rows = [f"{k + 1},{1 if k < 6 else 2},2026-10-03,10,,{told}" for k, told in enumerate(counts)]
    (drawn / "plots.csv").write_text(PLOTS + "\n".join(rows) + "\n")
    (drawn / "trees.csv").write_text(TREES + "1,1,red oak,14,68,,,\n1,2,sugar maple,11,60,,,\n")
    toml = (drawn / "place.toml").read_text()
    (drawn / "place.toml").write_text(toml.replace("[cruise]", '[cruise]\nedges = "counted twice"'))
    return drawn


def test_every_verb_takes_counted_points(counted):
    """Stand 1 has 75 sq ft and stand 2 66.7, both with cords and two kinds; every verb that tells wood answers."""
    told = json.loads(run("cruise", counted, "--json"))
    basal = {one["stand_id"]: one["basal_sqft_per_ac"]["value"] for one in told["stands"]}
    assert basal["1"] == pytest.approx(75.0) and basal["2"] == pytest.approx(200 / 3)
    assert {one["stand_id"]: one["empty_plots"] for one in told["stands"]}["1"] == 1
    kinds = {(one["stand_id"], one["species"]) for one in told["stand_table"]}
    assert kinds == {(s, k) for s in ("1", "2") for k in ("northern red oak", "sugar maple")}
    stood = season(place.read(counted)).standing
    cords = {name: one.value for name, one in stood.each_ac["cords"].items()}
    assert cords["1"] / 75.0 == pytest.approx(cords["2"] / (200 / 3))
    one = stood.per_ac[stood.per_ac["what"] == "cords"].set_index("stand_id").loc["1"]
    assert one["se"] > 0 and 5.0 < one["df"] < 6.0
    assert stood.dead_per_ac["mean"].isna().any(), "a dead tree counted and none measured: no wood is told of it"
    for verb in ("walk", "scale", "cruise", "grow", "cut", "plan", "sheet"):
        run(verb, counted)
    plan = json.loads((counted / "out" / "answers.json").read_text())
    assert plan


def test_points_of_which_no_tree_was_measured_anywhere_are_planned_for(counted):
    """No cords without one measured tree, and no verb breaks on it; basal area is told all the same."""
    plots = (counted / "plots.csv").read_text().replace("1,1,2026-10-03,10,,9,1", "1,1,2026-10-03,10,,9,")
    (counted / "plots.csv").write_text(plots)
    (counted / "trees.csv").write_text(TREES)
    told = json.loads(run("plan", counted, "--json"))
    first = told["stands"][0]
    assert first["basal_sqft_per_ac"]["value"] == pytest.approx(75.0) and first["cords_per_ac"]["value"] is None
    assert "trees were counted but none was measured" in run("scale", counted)


def test_why_tells_rows_from_trees_that_were_only_counted(counted):
    """Two rows were written; 9 - 2 trees of stand 1's first point, 36 of its others and 20 of stand 2 have none."""
    told = " ".join(run("why", "cords", counted).split())
    assert "2 live tally row" in told and "Heights: 2 measured, 0 fitted, 0 regional." in told
    assert "Of 63 trees more only the count is known" in told
    assert "northern red oak 1 Westfall" in told


def test_why_lays_a_range_by_a_raster_to_all_plots_of_the_cover(counted, monkeypatch):
    """A stand that a raster moved says so of its mean, and no range of it is told as by its own plots alone."""
    of = season(place.read(counted))
    moved = replace(of.standing, helped=Helped(pd.DataFrame({"times": [1.1]}, index=["1"])))
    plain = " ".join(explain(of, "cords", "1").sentences)
    monkeypatch.setattr(Season, "standing", moved)
    told = " ".join(explain(of, "cords", "1").sentences)
    assert "Range by its own plots alone:" in plain and "raster" not in plain
    assert "an acre as the raster moved it, spread" in told and "own plots alone" not in told
    assert "Range by the raster at all plots of its cover:" in told
    totals = {**moved.totals, "bdft by stand_id": moved.totals["cords by stand_id"]}
    monkeypatch.setattr(Season, "standing", replace(moved, totals=totals))
    feet = " ".join(explain(of, "bdft", "1").sentences)
    assert "Range by its own plots alone:" in feet, "only cords rest on the error that the raster leaves"


def test_a_wood_of_counts_grows_like_one_that_was_measured(counted):
    """Stands that were only counted bear trees in the yearly growth: the classes of those that lend."""
    woods = season(place.read(counted)).woods
    trees = woods.trees.sum(axis=(0, 1))
    at = woods.stands["stand_id"].tolist()
    assert trees[at.index("2")] > 0.5 * trees[at.index("1")] > 0


def test_all_faults_of_counts_come_in_one_pass(drawn):
    """More rows than trees in, a count on a fixed plot, a plot without a word on a day of counting, no whole number."""
    rows = ["a,1,2026-10-03,10,,1,", "b,1,2026-10-03,,26.3,3,", "c,1,2026-10-03,10,,,", "d,1,2026-10-03,10,,2.5,"]
    rows += ["e,1,2026-10-03,10,,4,0", "f,1,2025-10-03,10,,,", "g,1,2026-10-03,,26.3,,"]
    (drawn / "plots.csv").write_text(PLOTS + "\n".join(rows) + "\n")
    trees = ["a,1,red oak,14,,,yes,", "e,1,red oak,10,,,,no"]
    (drawn / "trees.csv").write_text(TREES + "\n".join(trees) + "\n")
    with pytest.raises(PlaceError) as told:
        place.read(drawn)
    found = [(one.row, one.column, one.found) for one in told.value.faults if one.file == "plots.csv"]
    wanted = [(2, "live_in", "1"), (3, "live_in", "3"), (4, "live_in", "empty"), (5, "live_in", "2.5")]
    assert found == [*wanted, (6, "dead_in", "0")]
    remedies = " ".join(one.remedy for one in told.value.faults)
    for words in ("has 2 of them on this plot", "Only a prism counts trees in", "or 0 if none", "in, in all"):
        assert words in remedies


def test_an_empty_point_and_a_counted_one_are_two_things(drawn):
    """0 is an empty plot, 5 is not, a blank on another day without rows is empty as ever."""
    rows = ["a,1,2026-10-03,10,,0,", "b,1,2026-10-03,10,,5,", "c,1,2025-10-03,10,,,"]
    (drawn / "plots.csv").write_text(PLOTS + "\n".join(rows) + "\n")
    read = place.read(drawn)
    stands = season(read).standing.stands.set_index("stand_id")
    assert stands.loc["1", "empty_plots"] == 2 and stands.loc["1", "basal_sqft_per_ac"] == pytest.approx(50 / 3)
    assert not any("No tree stands in the tables" in note for note in read.warnings)


def test_a_phone_that_counted_joins_a_place_that_did_not(samples, tmp_path):
    """The old rows stay as they were, the column comes at the end, and the same files again double nothing."""
    home = tmp_path / "woods"
    shutil.copytree(samples / "otter_lake", home, ignore=shutil.ignore_patterns("out"))
    before = (home / "plots.csv").read_text().splitlines()
    (tmp_path / "plots.csv").write_text(
        "plot_id,stand_id,line,date,kind,baf_sqft_per_ac,radius_ft,slope_pct,live_in,dead_in,lon,lat\n"
        "1-c,1,,2026-11-28,prism,10,,,7,1,,\n1-d,1,,2026-11-28,prism,10,,,0,,,\n"
    )
    (tmp_path / "trees.csv").write_text(
        "plot_id,tree,species,dbh_in,count,count_twice,alive\n1-c,3,sugar maple,14,1,no,yes\n"
    )
    files = ("--add", tmp_path / "plots.csv", "--add", tmp_path / "trees.csv")
    run("sheet", home, *files)
    run("sheet", home, *files)
    after = (home / "plots.csv").read_text().splitlines()
    had = before[0].count(",") + 1
    assert [line.split(",")[:had] for line in after[: len(before)]] == [line.split(",") for line in before]
    assert len(after) == len(before) + 2 and after[0].endswith(",live_in,dead_in")
    read = place.read(home).plots.set_index("plot_id")
    assert read.loc["1-c", ["live_in", "dead_in"]].tolist() == [7, 1] and read.loc["1-d", "live_in"] == 0
    assert read["live_in"].notna().sum() == 2


def test_a_sheet_of_counts_is_brought(drawn, tmp_path):
    """Stand, point, factor, trees in, dead in, as a family writes them; then all verbs have them."""
    sheet = [["Stand", "Point", "BAF", "Trees in", "Dead in", "Date"]]
    sheet += [["1", "1", "10", "9", "1", "2026-10-03"], ["1", "2", "10", "0", "", "2026-10-03"]]
    bring(drawn, comma(tmp_path / "counts.csv", sheet))
    read = place.read(drawn).plots
    assert read.loc[0, ["plot_id", "live_in", "dead_in"]].tolist() == ["1", 9, 1]
    assert pd.isna(read.loc[1, "dead_in"]) and read.loc[1, "live_in"] == 0
    told = json.loads(run("cruise", drawn, "--json"))
    assert {one["stand_id"]: one["basal_sqft_per_ac"]["value"] for one in told["stands"]}["1"] == pytest.approx(45.0)


def test_counts_beside_trees_in_one_table_are_brought(drawn, tmp_path):
    """A row a tree with the trees in of its point beside it: plots get the count, trees their rows."""
    sheet = [["Stand", "Plot #", "BAF", "Spp", "D.B.H. (in)", "Trees in"]]
    sheet += [["1", "1", "10", "red oak", "14.2", "9"], ["1", "1", "10", "sugar maple", "9.1", "9"]]
    sheet += [["1", "2", "10", "none", "", "6"]]
    bring(drawn, comma(tmp_path / "cruise.csv", sheet))
    read = place.read(drawn)
    assert read.plots["live_in"].tolist() == [9, 6] and len(read.trees) == 2

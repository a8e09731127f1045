"""Seedling plots as they are handed in: slips in one pass, what is understood, what reaches the verbs."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from woodlot.cli import main
from woodlot.errors import PlaceError
from woodlot.place import read

HEAD = "plot_id,line,stand_id,date,species,radius_ft,under_1ft,fenced,pair,open_sky_pct,seed_trees,lon,lat\n"
SLIPS = f"""{HEAD}f1,,,2026-06-20,red maple,6,3,yes,one,,,,
o1,,,2026-06-20,red maple,6,3,no,one,,,,
f2,,,2026-06-20,red maple,6,3,yes,two,,,,
o3,,,2026-06-20,red maple,6,3,,three,,,,
a,,1,2026-06-20,red maple,6,3,yes,,20,,,
a,,,2026-06-20,sugar maple,6,3,no,,30,,,
b,,99,2026-06-20,sugar maple,6,3,,,120,,-90,
b,,1,2026-06-20,sugar maple,6,3,,,,,,
c,,,2026-06-20,sugar maple,6,3,,,,surgar maple; oak,,
"""


def put(place, text):
    """A seedling table in place of the one there."""
    place.folder.joinpath("seedlings.csv").write_text(text)
    return place.folder


def test_slips_of_plots_without_a_day_are_told_too(small_place):
    """A day is not asked for: a plot without one says two things of itself, and the other rows are still read."""
    text = f"{HEAD}a,,,,red maple,6,3,yes,,20,,,\na,,,,sugar maple,6,3,no,,20,,,\nb,,,,red maple,6,-3,no,,,,,\n"
    with pytest.raises(PlaceError) as stop:
        read(put(small_place, text))
    told = [f"row {f.row}, {f.column}: {f.found} {f.remedy}" for f in stop.value.faults]
    assert "row 3, fenced: no Row 2 says yes of this plot. Which is right?" in told
    assert any(words.startswith("row 4, under_1ft: -3 ") for words in told) and len(told) == 2


def test_every_slip_of_the_seedling_plots_is_told_in_one_pass(small_place):
    """Pairs without a partner, a plot that says two things of itself, a stand nobody drew, kinds nobody knows."""
    with pytest.raises(PlaceError) as stop:
        read(put(small_place, SLIPS))
    told = [f"row {f.row}, {f.column}: {f.found} {f.remedy}" for f in stop.value.faults]
    for words in (
        "row 4, pair: two No open plot has this pair. Write it there too, or take it out.",
        "row 5, pair: three No fenced plot has this pair. Write it there too, or take it out.",
        "row 7, fenced: no Row 6 says yes of this plot. Which is right?",
        "row 7, open_sky_pct: 30 Row 6 says 20 of this plot. Which is right?",
        "row 8, stand_id: 99 stands.geojson has no stand 99; it has",
        "row 8, open_sky_pct: 120 Larger than 100 percent.",
        "row 8, lat: empty A position needs lon and lat, or neither.",
        "row 9, stand_id: 1 Row 8 says 99 of this plot. Which is right?",
        "row 9, species: sugar maple Also in row 8.",
        "row 10, seed_trees: surgar maple Not in the lake_states list. Closest: sugar maple.",
    ):
        assert sum(one.startswith(words) for one in told) == 1, (words, told)
    assert not any("row 2," in one or "row 3," in one for one in told)


GOOD = f"""{HEAD}f1,A,1,2026-06-20,red maple,6,3,yes,one,,,,
o1,A,1,2026-06-20,red maple,6,3,,one,0.2,Red Oak and popple,,
o1,A,,2026-06-20,sugar maple,6,3,,,0.2,,,
lone,B,home,2026-06-20,sugar maple,6,3,yes,,,none,,
"""


def test_what_is_written_of_a_plot_is_understood(small_place):
    """Kinds in plain names with ; between, none as none, a blank fence as nothing said, remarks on what cannot act."""
    place = read(put(small_place, GOOD))
    assert place.seedlings["seed_trees"].tolist()[1] == "northern red oak; aspen"
    assert place.seedlings["seed_trees"].tolist()[3] == "none"
    assert place.seedlings["seed_trees"].isna().tolist() == [True, False, True, False]
    assert place.seedlings["fenced"].isna().tolist() == [False, True, True, False]
    told = " ".join(place.warnings)
    assert "1 fenced plot without a pair" in told
    assert "open_sky_pct is 0.2 at most. It is in percent: a quarter of the sky is 25." in told
    assert '"popple" is aspen' in told


def test_a_table_without_the_new_columns_reads_as_before(small_place):
    """Old hand-ins: nothing is fenced, no light, no seed trees, no remark."""
    place = read(small_place.folder)
    assert place.seedlings["fenced"].isna().all() and place.seedlings["seed_trees"].isna().all()
    assert not any("seedlings.csv" in one for one in place.warnings)


def woods(rows, **cells):
    """Forty open plots with few young trees, every cell of a column as given."""
    lines = [
        f"p{i},,1,2026-06-20,sugar maple,6,5,,,{cells.get('sky', '')},{cells.get('seeds', '')},," for i in range(40)
    ]
    return HEAD + "\n".join(lines) + "\n" + rows


def herd(folder: Path) -> dict:
    """What `woodlot herd --json` tells of the next forest."""
    told = CliRunner().invoke(main, ["herd", str(folder), "--json"])
    assert told.exit_code == 0, told.output
    return json.loads(told.stdout)["forest"]


def test_what_is_handed_in_reaches_the_verdict(small_place):
    """Measured light, written seed trees, fenced pairs: each moves what is told; else the cruise tells the light."""
    plain = herd(put(small_place, woods("")))
    assert plain["light_from"] == "stand" and 0 < plain["light_pct"] < 100
    assert herd(put(small_place, woods("", sky=5)))["verdict"] == "too dark"
    lit = herd(put(small_place, woods("", sky=30)))
    assert (lit["light_from"], lit["light_pct"], lit["missing"]) == ("measured", 30, [])
    gone = herd(put(small_place, woods("", sky=30, seeds="red oak")))
    assert gone["missing"] == ["northern red oak"] and gone["verdict"] == "held down by deer"
    pair = "f{0},,1,2026-06-20,sugar maple,6,0,yes,pair{0},30,,,\no{0},,1,2026-06-20,sugar maple,6,0,,pair{0},30,,,\n"
    pairs = "".join(pair.format(i) for i in range(3))
    fenced = herd(put(small_place, woods(pairs, sky=30)))
    assert fenced["pairs"] == 3 and fenced["plots"] == 43 and fenced["fence"]["value"] == 1


def test_screen_json_and_report_say_the_same(small_place):
    """Verdict, why and steps: every sentence of the screen stands in the JSON and on the report's deer page."""
    folder = put(small_place, woods("", sky=5))
    forest = herd(folder)
    screen = " ".join(CliRunner().invoke(main, ["herd", str(folder)]).stdout.split())
    every = " ".join(CliRunner().invoke(main, ["herd", str(folder), "--all"]).stdout.split())
    row = [forest["words"], *forest["why"][:2], forest["steps"][0]["words"]]
    assert " ".join(row) in screen
    planned = CliRunner().invoke(main, ["plan", str(folder)])
    assert planned.exit_code == 0, planned.output
    report = folder.joinpath("out/report.html").read_text()
    for words in (forest["words"], *forest["why"], *(step["words"] for step in forest["steps"])):
        assert words in every and words in report.replace("&#x27;", "'")

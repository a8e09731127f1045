"""Every slip a family can make in its files: exit code 1, a line that names file, row, column and remedy, no traceback."""

# ruff: noqa: E501  (one slip a line reads better than the same in pieces)

import hashlib
import json
import warnings
import zipfile
from pathlib import Path
from random import Random

import geopandas as gpd
import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from woodlot import columns, place
from woodlot.cli import main
from woodlot.errors import PlaceError

MAPS = ("parcels", "stands", "features")


def prints(folder: Path) -> dict[str, str]:
    """A print of every file in a folder."""
    return {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in sorted(folder.iterdir()) if p.is_file()}


def stopped(folder: Path) -> str:
    """What `woodlot walk` says on standard error when it stops, on one line; the folder must stay as it was."""
    before = prints(folder)
    told = CliRunner().invoke(main, ["walk", str(folder)])
    assert told.exit_code == 1, told.output
    assert told.exception is None or isinstance(told.exception, SystemExit), repr(told.exception)
    assert told.stdout == "" and "Traceback" not in told.stderr
    assert all(len(line) <= 80 or " " not in line.strip() or "walk /" in line for line in told.stderr.splitlines())
    assert prints(folder) == before
    return " ".join(told.stderr.split())


# one bad cell in a table: (file, what stands there, what is put there, what is said)
CELLS = {
    "text in a number": ("trees.csv", "12.2,68", "31.5cm,68", "trees.csv, row 2, dbh_in: 31.5cm Write 12.4 (inches) here, or 31.5 in a column dbh_cm."),
    "a unit in a number": ("trees.csv", "12.2,68", '12.2,"68 ft"', "trees.csv, row 2, height_ft: 68 ft Write the number alone: 68."),
    "words for a number": ("trees.csv", "12.2,68", "12.2,tall", "trees.csv, row 2, height_ft: tall A number is wanted, in feet."),
    "a dash for nothing": ("trees.csv", "12.2,68", "12.2,-", "trees.csv, row 2, height_ft: - Leave the cell empty"),
    "decimal comma": ("trees.csv", "12.2,68", '"12,2",68', "trees.csv, row 2, dbh_in: 12,2 Write the number with a point. Did you mean 12.2?"),
    "thousands comma": ("browse.csv", "maple,12,5", 'maple,"1,200",5', "browse.csv, row 2, stems: 1,200 Write the number without a comma: 1200."),
    "negative": ("trees.csv", "12.2,68", "-12.2,68", "trees.csv, row 2, dbh_in: -12.2 Cannot be negative. Did you mean 12.2?"),
    "too large": ("trees.csv", "12.2,68", "122,68", "trees.csv, row 2, dbh_in: 122 Larger than 60 inches. Did you mean 12.2?"),
    "too small": ("trees.csv", "12.2,68", "12.2,0.5", "trees.csv, row 2, height_ft: 0.5 Smaller than 1 feet."),
    "infinite": ("trees.csv", "12.2,68", "inf,68", "trees.csv, row 2, dbh_in: inf Larger than 60 inches."),
    "not a number": ("trees.csv", "12.2,68", "nan,68", "trees.csv, row 2, dbh_in: nan Leave the cell empty"),
    "a share above all": ("trees.csv", "1.5,,,10,", "1.5,,,110,", "trees.csv, row 2, cull_pct: 110 Larger than 100 percent. Did you mean 11?"),
    "half a tree": ("trees.csv", "maple,,,,,2", "maple,,,,,2.5", "trees.csv, row 4, count: 2.5 A whole number is wanted"),
    "neither yes nor no": ("trees.csv", "1.5,,,10,", "1.5,,,10,perhaps", "trees.csv, row 2, alive: perhaps Write yes or no."),
    "unknown species": ("trees.csv", "2,popple", "2,surgar maple", "trees.csv, row 3, species: surgar maple Not in the lake_states list. Closest: sugar maple."),
    "species missing": ("trees.csv", "2,popple", "2,", "trees.csv, row 3, species: empty Fill in the common name"),
    "orphan plot": ("trees.csv", "2,1,yellow", "17,1,yellow", "trees.csv, row 5, plot_id: 17 plots.csv has no plot 17; it has 1 to 5."),
    "orphan stand": ("plots.csv", "5,2,,2026", "5,17,,2026", "plots.csv, row 6, stand_id: 17 stands.geojson has no stand 17; it has 1, 2."),
    "orphan parcel": ("pellets.csv", "2,180,home", "2,180,hone", "pellets.csv, row 3, parcel_id: hone parcels.geojson has no parcel hone (nearest: home); it has home, ridge."),
    "plot twice": ("plots.csv", "3,1,A", "2,1,A", "plots.csv, row 4, plot_id: 2 Also in row 3. Each needs its own. A plot measured again needs the day of each visit."),
    "tree twice": ("trees.csv", "1,2,popple", "1,1,popple", "trees.csv, row 3, tree: 1 Also in row 2. The same plot_id and tree may stand only once."),
    "a day that is none": ("plots.csv", "2,1,A,2026-10-09", "2,1,A,2026-02-30", "plots.csv, row 3, date: 2026-02-30 There is no such day."),
    "a day in words": ("plots.csv", "2,1,A,2026-10-09", "2,1,A,9 Oct 2026", "plots.csv, row 3, date: 9 Oct 2026 Write the day as year-month-day. Did you mean 2026-10-09?"),
    "a day without a century": ("plots.csv", "2,1,A,2026-10-09", "2,1,A,10/9/26", "Did you mean 2026-10-09?"),
    "a day long ago": ("plots.csv", "2,1,A,2026-10-09", "2,1,A,0206-10-09", "Before 1900-01-01. Is the year right?"),
    "kind of plot": ("plots.csv", "prism,10,,5", "prims,10,,5", "plots.csv, row 2, kind: prims Must be prism or fixed. Did you mean prism?"),
    "prism without its factor": ("plots.csv", "prism,10,,5", "prism,,,5", "plots.csv, row 2, baf_sqft_per_ac: empty A prism plot needs the factor of its prism, such as 10."),
    "fixed without its radius": ("plots.csv", "4,2,,2026-10-10,fixed,,26.3", "4,2,,2026-10-10,fixed,,", "plots.csv, row 5, radius_ft: empty A fixed plot needs its radius"),
    "plot of no kind": ("plots.csv", "3,1,A,2026-10-09,,10", "3,1,A,2026-10-09,,", "plots.csv, row 4, kind: empty Write prism with its baf_sqft_per_ac, or fixed"),
    "plot of both kinds": ("plots.csv", "3,1,A,2026-10-09,,10,", "3,1,A,2026-10-09,,10,26.3", "plots.csv, row 4, kind: empty Both a prism factor and a radius are given."),
    "fixed plot, no diameter": ("trees.csv", "red pine,8.0", "red pine,", "trees.csv, row 7, dbh_in: empty On a fixed plot every tree needs its diameter"),
    "merch higher than the tree": ("trees.csv", "68,40,1.5", "68,70,1.5", "trees.csv, row 2, merch_ft: 70 Higher than the tree, 68 ft."),
    "a stem that would not stand": ("trees.csv", "9.1,61,36", "4.9,160,", "trees.csv, row 3, height_ft: 160 381 times as tall above 4.5 ft as its 4.9 in: such a stem does not stand."),
    "a point too many in a diameter": ("tally.csv", "15.1,72,48", "1.51,72,48", "tally.csv, row 2, height_ft: 72 536 times as tall above 4.5 ft as its 1.51 in"),
    "logs in merch_ft": ("trees.csv", "68,40,1.5", "68,3,", "trees.csv, row 2, merch_ft: 3 merch_ft is in feet, and at 4.5 ft this stem is still over 4 in thick. Were these sticks or logs? 3 sticks of 100 in are 25 ft, 3 logs 49; logs are written into logs_16ft."),
    "logs higher than merch": ("trees.csv", "68,40,1.5", "68,40,4", "trees.csv, row 2, logs_16ft: 4 64 ft of logs, but merch_ft is 40."),
    "logs higher than the tree": ("tally.csv", "72,48,2", "72,48,5", "tally.csv, row 2, logs_16ft: 5 80 ft of logs in a tree of 72 ft."),
    "plot, latitude first": ("plots.csv", "-89.3985,46.1015", "46.1015,-89.3985", "plots.csv, row 2, lon: 46.1015, lat -89.3985 Longitude and latitude are swapped."),
    "plot, minus forgotten": ("plots.csv", "-89.3985,46.1015", "89.3985,46.1015", "plots.csv, row 2, lon: 89.3985, lat 46.1015 The minus sign of the longitude is missing."),
    "plot, half a position": ("plots.csv", "-89.3985,46.1015", "-89.3985,", "plots.csv, row 2, lat: empty A position needs lon and lat, or neither."),
    "more browsed than stems": ("browse.csv", "maple,12,5", "maple,12,15", "browse.csv, row 2, browsed: 15 More than the 12 stems."),
    "a slip among shrubs": ("browse.csv", "sugar maple", "suger maple", "browse.csv, row 2, species: suger maple Not in the lake_states list. Closest: sugar maple."),
    "days and leaf fall missing": ("pellets.csv", "d1,1,2026-04-20", "d1,1,", "pellets.csv, row 2, days: empty Write the days since the leaves fell"),
    "pellet plot twice": ("pellets.csv", "d2,1", "d1,1", "pellets.csv, row 3, plot_id: d1 Also in row 2. The same plot_id and line and date may stand only once."),
    "half a group": ("pellets.csv", "4,2,180", "4,2.5,180", "pellets.csv, row 3, groups: 2.5 A whole number is wanted"),
    "method of counting": ("counts.csv", "sighting", "siting", "counts.csv, row 3, method: siting Must be camera, sighting, tracks, drive or snow walk. Did you mean sighting?"),
    "more spikes than bucks": ("counts.csv", "240,14,3", "240,14,30", "counts.csv, row 2, spikes: 30 More than the bucks"),
    "a deer of no kind": ("bag.csv", "2025,doe", "2025,hind", "bag.csv, row 3, sex_age: hind Must be buck, yearling buck, buck fawn, doe, yearling doe, doe fawn, antlerless or deer."),
    "a season of no year": ("bag.csv", "2025,doe", "25,doe", "bag.csv, row 3, year: 25 Smaller than 1,900 years."),
    "a season, a century late": ("bag.csv", "2025,doe", "20255,doe", "bag.csv, row 3, year: 20255 Larger than 2,200 years."),
    "points without a scale": ("winters.csv", "41,wisconsin", "41,", "winters.csv, row 2, scale: empty Whose points are they?"),
    "a slip in a scale": ("winters.csv", "41,wisconsin", "41,wisconson", "winters.csv, row 2, scale: wisconson Must be maine, wisconsin, minnesota or michigan. Did you mean wisconsin?"),
    "a winter without anything": ("winters.csv", "41,wisconsin", ",", "winters.csv, row 2, points: empty Write points with their scale"),
    "a winter twice": ("winters.csv", "2024,67", "2023,67", "winters.csv, row 3, winter: 2023 This winter stands above already."),
    "more than every day": ("winters.csv", "41,wisconsin", "300,michigan", "winters.csv, row 2, points: 300 Of michigan these are days: 240 at most."),
    "more than all deer": ("winters.csv", "41,wisconsin", "110,maine", "winters.csv, row 2, points: 110 Of maine these are percent: 100 at most."),
    "a fawn of three": ("bag.csv", "2024,buck", "2024,buck fawn", "bag.csv, row 2, age_yr: 2.5 A buck fawn is 0 to 1 years old. Which of the two is a slip?"),
    "growth of no length": ("cores.csv", "12.0,10,1.3", "12.0,,1.3", "cores.csv, row 2, years: empty Fill in the years the growth took."),
    "seedling plot without radius": ("seedlings.csv", "red maple,6", "red maple,0", "seedlings.csv, row 3, radius_ft: 0 Smaller than 0.5 feet."),
    "an endless name": ("plots.csv", "3,1,A", f"3,1,{'A' * 90}", "Longer than 80 letters."),
    "heading missing": ("trees.csv", "tree,species,dbh_in", "tree,species,dbh", 'trees.csv, row 1, dbh_in: no such column There is "dbh": name it dbh_in or dbh_cm.'),
    "heading not there at all": ("pellets.csv", "radius_ft,groups", "radius_ft,heaps", "pellets.csv, row 1, groups: no such column Add a column groups."),
    "heading twice": ("trees.csv", "height_ft,merch_ft", "height_ft,height_ft", "trees.csv, row 1, height_ft: stands twice in the heading Keep one of the columns."),
    "a comma in a text": ("tally.csv", "yes,blue", "yes,blue, two dots", "tally.csv, row 2: 13 cells, but the heading has 12 Put text that holds a comma between quotation marks"),
    "a quotation mark left open": ("tally.csv", "yes,blue", 'yes,"blue', "tally.csv: unexpected end of data Look for a quotation mark"),
    "name missing": ("place.toml", 'name = "Testing forty"', "", "place.toml, name: missing Write it between quotation marks: name = "),
    "region unknown": ("place.toml", '"lake_states"', '"lake_state"', "place.toml, region: lake_state There are base, lake_states, northeast. Did you mean lake_states?"),
    "a key mistyped": ("place.toml", "log_rule =", "log_rules =", "place.toml, choices.log_rules: not known Did you mean log_rule?"),
    "a part mistyped": ("place.toml", "[needs]", "[need]", "place.toml, need: not known Did you mean needs?"),
    "a rule of no name": ("place.toml", '"scribner"', '"scribbner"', "place.toml, choices.log_rule: scribbner Must be international_quarter"),
    "text for a number in place.toml": ("place.toml", "firewood_cord = 7.5", 'firewood_cord = "seven"', "place.toml, needs.firewood_cord: seven A number is wanted"),
    "a wood of no name": ("place.toml", "[needs]", '[needs]\npieces = [{product = "post", number = 4, wood = "ceder"}]', "place.toml, needs.pieces, number 1, wood: ceder Write any, hardwood, softwood, or names of trees. Did you mean"),
    "a mark of no tree": ("place.toml", "[needs]", '[needs]\nclear = ["barn"]', "place.toml, needs.clear: barn No tree falls by it. No tree of tally.csv has a mark."),
    "toml broken off": ("place.toml", "[needs]", "[needs", "place.toml: "),
    "home, latitude first": ("place.toml", "lon = -89.35\nlat = 46.08", "lon = 46.08\nlat = -89.35", "place.toml, home: 46.08, -89.35 Longitude and latitude are swapped."),
    "home, latitude no degrees": ("place.toml", "lat = 46.08", "lat = 460.8", "place.toml, home.lat: 460.8 Larger than 90"),
    "home, latitude in words": ("place.toml", "lat = 46.08", 'lat = "46 N"', "place.toml, home.lat: 46 N"),
    "home, half a point": ("place.toml", "lon = -89.35\n", "", "place.toml, home.lon: missing The home point needs lon and lat, or neither."),
}  # fmt: skip


@pytest.mark.parametrize("slip", CELLS)
def test_one_bad_cell(small_place, slip):
    """Each slip, alone in an otherwise good place, is the only thing said, with its remedy."""
    file, old, new, said = CELLS[slip]
    small_place.thin(file)
    small_place.change(file, old, new)
    told = stopped(small_place.folder)
    assert said in told
    assert told.startswith(("Stopped: 1 row needs mending. Nothing was written.", "Stopped: 1 thing needs mending."))


BAG_SLIPS = """year,date,sex_age,number,milk,beam_in
,,doe,1,,
2026,2026-01-03,doe,1,,
2025,,buck,1,yes,
2025,,doe,1,,0.8
2025,,doe fawn,1,no,
2025,,doe,1,some,
"""


def test_every_row_of_the_bag_that_gainsays_itself_is_told(small_place):
    """No season at all, a day of another season, milk of a buck and of a fawn, beams of a doe, a word for no milk."""
    small_place.folder.joinpath("bag.csv").write_text(BAG_SLIPS)
    told = stopped(small_place.folder)
    for words in (
        "bag.csv, row 2, year: empty Write the year in which the season began, or the day it was taken.",
        "bag.csv, row 3, year: 2026 2026-01-03 is of the season that began in 2025.",
        "bag.csv, row 4, milk: milk Only a grown doe has milk.",
        "bag.csv, row 5, beam_in: 0.8 Only a buck has beams.",
        "bag.csv, row 6, milk: dry Only a grown doe has milk.",
        "bag.csv, row 7, milk: some Must be milk or dry.",
    ):
        assert words in told, words


def test_all_of_them_at_once(small_place):
    """Slips in every file of the place are all said in one pass, in the order of the files."""
    chosen = ["too large", "unknown species", "orphan stand", "plot, latitude first", "more browsed than stems"]
    chosen += [
        "method of counting",
        "a deer of no kind",
        "points without a scale",
        "growth of no length",
        "a key mistyped",
    ]
    chosen += ["half a group", "logs higher than the tree", "seedling plot without radius"]
    for slip in chosen:
        file, old, new, _ = CELLS[slip]
        small_place.change(file, old, new)
    small_place.maps["parcels.geojson"]["features"][1]["properties"]["parcel_id"] = "home"
    ring = small_place.maps["stands.geojson"]["features"][0]["geometry"]["coordinates"][0]
    ring[1], ring[2] = ring[2], ring[1]
    small_place.draw()
    told = stopped(small_place.folder)
    for slip in chosen:
        assert CELLS[slip][3] in told
    assert "parcels.geojson, row 3, parcel_id: home Also in row 2. Each needs its own." in told
    assert "stands.geojson, row 2, geometry: the outline crosses itself It does so at -89.39870, 46.10180" in told
    assert f"Stopped: {len(chosen) + 2} things need mending." in told
    order = [
        told.index(f" {name}, ")
        for name in ("place.toml", "parcels.geojson", "stands.geojson", "plots.csv", "trees.csv")
    ]
    assert order == sorted(order)


CRUISE_SLIPS = """name = "Testing forty"
region = "lake_states"

[choices]
woodpile_teaches = "perhaps"

[cruise]
edges = "twise"
answer = "everything"
hours = "six"
within_pct = 0

[rasters_at_plots]
canopy_year = 1700
positions_ft = -3

[[prism]]
factor = 10
width_ft = 1
distance_ft = 10

[[prism]]
factr = 40
width_ft = 1
distance_ft = 16.5
"""
COUNTED_SLIPS = """plot_id,stand_id,date,kind,baf_sqft_per_ac,radius_ft,live_in,dead_in,checked_count
1,1,2026-10-09,prism,10,,-3,two,900
2,1,2026-10-09,prism,10,,4.5,,x
3,1,2026-10-09,prism,10,,2000,,40
4,2,2026-10-10,fixed,,26.3,4,1,5
5,2,2026-10-10,fixed,,26.3,,,0
"""
DROVE_SLIPS = """date,method,acres,complete,does
2026-01-04,camera,40,yes,2
2026-01-05,drive,0,perhaps,2
2026-01-06,snow walk,-40,yes,2
2026-01-07,drvie,40,yes,2
"""
ALL_SAID = (
    "place.toml, choices.woodpile_teaches: perhaps",
    "place.toml, cruise.edges: twise Must be counted twice, trees beyond counted, kept off or nothing done.",
    "place.toml, cruise.answer: everything Must be total, this winter or worst range.",
    "place.toml, cruise.hours: six A number is wanted.",
    "place.toml, cruise.within_pct: 0 Smaller than 1 percent.",
    "place.toml, rasters_at_plots.canopy_year: 1700 Smaller than 1,980.",
    "place.toml, rasters_at_plots.positions_ft: -3 Cannot be negative. Did you mean 3?",
    "place.toml, prism, number 1: factor = 10, width_ft = 1, distance_ft = 10 By this it is a factor of 109, too far from 10.",
    "place.toml, prism, number 2, factor: missing Write it: an entry needs it.",
    "place.toml, prism, number 2, factr: not known Did you mean factor?",
    "plots.csv, row 2, live_in: -3 Cannot be negative. Did you mean 3?",
    "plots.csv, row 2, dead_in: two A number is wanted.",
    "plots.csv, row 2, checked_count: 900 Larger than 300 trees.",
    "plots.csv, row 3, live_in: 4.5 A whole number is wanted here.",
    "plots.csv, row 3, checked_count: x Leave the cell empty when it was not measured or counted.",
    "plots.csv, row 4, live_in: 2000 Larger than 1,000 trees.",
    "plots.csv, row 4, checked_count: 40 The tally has 0 trees. Count it again, or take this out.",
    "plots.csv, row 5, live_in: 4 Only a prism counts trees in; on a fixed plot each is measured. Leave it empty.",
    "plots.csv, row 5, dead_in: 1 Only a prism counts trees in; on a fixed plot each is measured. Leave it empty.",
    "plots.csv, row 5, checked_count: 5 Only what a prism takes in is checked so. Take it out.",
    "plots.csv, row 6, checked_count: 0 Only what a prism takes in is checked so. Take it out.",
    "counts.csv, row 2, acres: 40 Only a drive or a snow walk counts every deer of its ground: leave it empty here.",
    "counts.csv, row 2, complete: yes Only a drive or a snow walk counts every deer of its ground: leave it empty here.",
    "counts.csv, row 3, acres: 0 Smaller than 1 acres.",
    "counts.csv, row 3, complete: perhaps Write yes or no.",
    "counts.csv, row 4, acres: -40 Cannot be negative. Did you mean 40?",
    "counts.csv, row 5, method: drvie Must be camera, sighting, tracks, drive or snow walk. Did you mean drive?",
)  # fmt: skip


def test_slips_of_counting_checking_and_driving_in_one_pass(small_place):
    """Counted points, checked points, drives, edges, next plots, rasters and prisms: each slip once, none more."""
    small_place.thin("trees.csv")
    for name, text in (("place.toml", CRUISE_SLIPS), ("plots.csv", COUNTED_SLIPS), ("counts.csv", DROVE_SLIPS)):
        (small_place.folder / name).write_text(text)
    told = stopped(small_place.folder)
    assert [said for said in ALL_SAID if said not in told] == []
    slips = sum(told.count(f" {name}, ") for name in ("place.toml", "plots.csv", "counts.csv"))
    assert slips == len(ALL_SAID), told


def test_the_screen_as_designed(small_place):
    """Three slips give the screen of the design page, word for word."""
    small_place.change("trees.csv", "12.2,68", "122,68")
    small_place.change("trees.csv", "2,popple", "2,surgar maple")
    small_place.change("plots.csv", "5,2,,2026", "5,17,,2026")
    told = CliRunner().invoke(main, ["walk", str(small_place.folder)])
    assert (
        told.stderr
        == f"""Stopped: 3 rows need mending. Nothing was written.

  plots.csv, row 6, stand_id: 17
      stands.geojson has no stand 17; it has 1, 2.
  trees.csv, row 2, dbh_in: 122
      Larger than 60 inches. Did you mean 12.2?
  trees.csv, row 3, species: surgar maple
      Not in the lake_states list. Closest: sugar maple.

Row 1 is the heading, as in a spreadsheet. Mend the rows, then:  woodlot walk
{small_place.folder}
"""
    )


def test_many_bad_rows_are_counted(small_place):
    """The same slip in many rows of a column is said once with its rows; of others fifty, then a count."""
    rows = "".join(f"1,{n},{'suger maple' if n % 2 else 'red oak'},{12 if n % 2 else 100 + n}\n" for n in range(200))
    (small_place.folder / "trees.csv").write_text("plot_id,tree,species,dbh_in\n" + rows)
    told = stopped(small_place.folder)
    assert told.startswith("Stopped: 200 rows need mending.")
    assert "trees.csv, rows 3, 5, 7, 9, 11, 13, 15, 17 and 92 more, species: suger maple" in told
    assert "and 51 more, in trees.csv." in told
    with pytest.raises(PlaceError) as error:
        place.read(small_place.folder)
    assert len(error.value.faults) == 200


def test_remarks_do_not_stop(small_place):
    """An unknown column, a table named nearly right and a shrub off the list are remarks; the place is read."""
    small_place.change("trees.csv", "height_ft,merch_ft", "heigth_ft,merch_ft")
    (small_place.folder / "pellet.csv").write_text("plot_id\n")
    small_place.change("browse.csv", "beaked hazel", "leatherwood")
    small_place.change("place.toml", "tags_doe = 1", "tags_doe = 1\nmoose = 3")
    said = " ".join(place.read(small_place.folder).warnings)
    assert 'trees.csv: column "heigth_ft" is not known and was not read. Did you mean height_ft?' in said
    assert "browse.csv: leatherwood: not on the tree list, kept as written." in said
    assert "place.toml: limits.moose is not known and was not read." in said


# whole files

TABLE_FILES = [f"{name}.csv" for name in columns.TABLES if name not in (*MAPS, "ledger")]


@pytest.mark.parametrize("file", TABLE_FILES)
@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", ": empty Write the heading row again, or take the file away."),
        (b" \r\n\r\n", ": empty Write the heading row again"),
        (b"\xff\xfep\x00l\x00o\x00t\x00", ': not UTF-8 text Save it again as "CSV UTF-8".'),
        (b"plot_id\x00\x01\x02", ': not a text file Save it again as "CSV UTF-8".'),
    ],
    ids=["empty", "blank", "utf-16", "binary"],
)
def test_a_table_that_is_none(small_place, file, content, said):
    """Empty, blank, in another encoding or not text at all."""
    small_place.thin()
    (small_place.folder / file).write_bytes(content)
    assert f"{file}{said}" in stopped(small_place.folder)


def test_a_letter_in_another_encoding_names_its_line_of_place_toml(small_place):
    """A name typed in an older editor: line 1; the same letter further down, its own line."""
    path = small_place.folder / "place.toml"
    lines = path.read_text().split("\n")
    for at in (0, 3):
        path.write_bytes("\n".join([*lines[:at], "name = 'Käthe'", *lines[at:]]).encode("latin-1"))
        assert f"place.toml, line {at + 1}: a letter that is not UTF-8" in stopped(small_place.folder)


def test_a_letter_in_another_encoding_names_its_row(small_place):
    """An old spreadsheet's ü is no UTF-8: the row and the word are shown."""
    path = small_place.folder / "tally.csv"
    path.write_bytes(path.read_text().replace("blue", "blüe").encode("cp1252"))
    assert "tally.csv, row 2: 2,0,0,yes,blüe A letter that is not UTF-8." in stopped(small_place.folder)


@pytest.mark.parametrize("name", MAPS)
@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("", ": empty Export it again"),
        ('{"type": "FeatureCollection", "features": []}', ": no shapes Draw your"),
        ('{"type": "FeatureCollection", "features": [{"type": "Feature", "geo', ", line 1, character 64:"),
        ("[1, 2]", ": not a GeoJSON of features"),
        ('{"type": "FeatureCollection", "features": [3]}', ": not a GeoJSON of features"),
        ("[" * 100_000, ": brackets within brackets without end"),
    ],
    ids=["empty", "no shapes", "half written", "another JSON", "numbers", "deep"],
)
def test_a_map_that_is_none(small_place, name, content, said):
    """Empty, without shapes, broken off (with line and character), or JSON of something else."""
    small_place.thin()
    (small_place.folder / f"{name}.geojson").write_text(content)
    assert f"{name}.geojson{said}" in stopped(small_place.folder)


def square(small, name: str = "parcels", at: int = 0) -> dict:
    """The geometry of a shape of the small place, to be spoiled."""
    return small.maps[f"{name}.geojson"]["features"][at]["geometry"]


SHAPES = {
    "no shape": (lambda g: g.update(type="Polygon", coordinates=[]), "geometry: empty It has no shape"),
    "two corners": (lambda g: g.update(coordinates=[[[-89.4, 46.1], [-89.3, 46.1], [-89.4, 46.1]]]), "geometry: fewer than three corners Draw it again"),
    "letters for corners": (lambda g: g.update(coordinates=[[["a", 1], [2, 3], [4, 5], ["a", 1]]]), "geometry: empty It has no shape"),
    "a line": (lambda g: g.update(type="LineString", coordinates=g["coordinates"][0]), "geometry: a line An outline (polygon) is wanted."),
    "a point": (lambda g: g.update(type="Point", coordinates=g["coordinates"][0][0]), "geometry: a point An outline (polygon) is wanted."),
    "a bowtie": (
        lambda g: g["coordinates"][0].__setitem__(slice(1, 3), g["coordinates"][0][2:0:-1]),
        "geometry: the outline crosses itself It does so at -89.39740, 46.10180 (longitude, latitude).",
    ),
    "latitude first": (
        lambda g: g.update(coordinates=[[[y, x] for x, y in g["coordinates"][0]]]),
        "geometry: 46.102, -89.397 Longitude and latitude are swapped.",
    ),
    "minus forgotten": (
        lambda g: g.update(coordinates=[[[-x, y] for x, y in g["coordinates"][0]]]),
        "geometry: 89.397, 46.102 The minus sign of the longitude is missing.",
    ),
    "meters for degrees": (
        lambda g: g.update(coordinates=[[[x * 8e4 + 1e7, y * 1e5] for x, y in g["coordinates"][0]]]),
        "These are not degrees. Export the file again in longitude and latitude (WGS 84).",
    ),
}  # fmt: skip


@pytest.mark.parametrize("slip", SHAPES)
@pytest.mark.parametrize("name", ["parcels", "stands"])
def test_one_bad_shape(small_place, slip, name):
    """Each bad outline is named by the row of its file, with the place where it goes wrong."""
    spoil, said = SHAPES[slip]
    small_place.thin()
    geometry = square(small_place, name)
    geometry["coordinates"] = json.loads(json.dumps(square(small_place)["coordinates"]))
    spoil(geometry)
    small_place.draw()
    told = stopped(small_place.folder)
    assert f"{name}.geojson, row 2, {said}" in told or (said.startswith("These") and said in told)
    assert "in a map file row 2 is the first shape" in told


def test_ids_and_columns_of_a_map(small_place):
    """Ids twice, missing, or pointing nowhere, and text in a number, in the attributes of a map."""
    stands = small_place.maps["stands.geojson"]["features"]
    stands[0]["properties"]["age_yr"] = "eighty"
    stands[1]["properties"] |= {"stand_id": "1", "parcel_id": "nowhere"}
    small_place.maps["parcels.geojson"]["features"][0]["properties"]["parcel_id"] = None
    small_place.maps["features.geojson"]["features"][0]["properties"]["kind"] = "creek"
    small_place.draw()
    told = stopped(small_place.folder)
    assert "stands.geojson, row 2, age_yr: eighty A number is wanted, in years." in told
    assert "stands.geojson, row 3, stand_id: 1 Also in row 2." in told
    assert "stands.geojson, row 3, parcel_id: nowhere parcels.geojson has no parcel nowhere" in told
    assert "parcels.geojson, row 2, parcel_id: empty Fill in the short name" in told
    assert "features.geojson, row 2, kind: creek Must be stream, lake," in told


def test_missing_coordinate_system(small_place):
    """A GeoJSON that disowns its coordinates, a Shapefile without .prj, a GeoPackage without one: all refused."""
    small_place.maps["parcels.geojson"]["crs"] = None
    small_place.draw()
    for name, suffix in (("stands", "zip"), ("features", "gpkg")):
        frame = gpd.read_file(small_place.folder / f"{name}.geojson").iloc[:1]
        (small_place.folder / f"{name}.geojson").unlink()
        if suffix == "gpkg":
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                frame.set_crs(None, allow_override=True).to_file(small_place.folder / f"{name}.gpkg", driver="GPKG")
            continue
        short = frame[["stand_id", "geometry"]].set_crs(None, allow_override=True)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            short.to_file(small_place.folder / f"{name}.shp")
        with zipfile.ZipFile(small_place.folder / f"{name}.zip", "w") as packed:
            for part in small_place.folder.glob(f"{name}.[!z]*"):
                packed.write(part, part.name)
                part.unlink()
    told = stopped(small_place.folder)
    for file in ("parcels.geojson", "stands.zip", "features.gpkg"):
        assert f"{file}: no coordinate system The file does not say how its coordinates are meant." in told
    assert "Export it again with its .prj file." in told


def zipped(small, members: dict[str, bytes]) -> None:
    """stands.zip with these members in place of stands.geojson."""
    (small.folder / "stands.geojson").unlink()
    with zipfile.ZipFile(small.folder / "stands.zip", "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in members.items():
            packed.writestr(name, data)


@pytest.mark.parametrize(
    ("members", "said"),
    [
        ({"readme.txt": b"x"}, "stands.zip: no .shp within"),
        ({"a.shp": b"x", "b.shp": b"x"}, "stands.zip: 2 Shapefiles within"),
        ({"stands.shp": b"x"}, "stands.zip: no .shx within A Shapefile is several files"),
        ({"stands.shp": b"x", "stands.shx": b"x", "stands.dbf": b"x"}, "stands.zip: "),
        ({"stands.shp": bytes(60_000_000)}, "unpacks to more than 12 MB"),
        ({"../../stands.shp": b"x", "../../stands.shx": b"x", "../../stands.dbf": b"x"}, "stands.zip: "),
    ],
    ids=["no map", "two maps", "parts missing", "noise", "bomb", "leaves the folder"],
)
def test_a_bad_zip(small_place, members, said):
    """What is no zipped Shapefile is refused before it is unpacked; nothing leaves the scratch folder."""
    small_place.thin()
    zipped(small_place, members)
    assert said in stopped(small_place.folder)
    assert not list(small_place.folder.parent.rglob("stands.shp"))


@pytest.mark.parametrize(("noise_bytes", "refused"), [(80_000, True), (150_000, False)])
def test_a_zip_over_two_hundred_times_its_size_is_refused_by_hand(small_place, noise_bytes, refused):
    """Twenty million zeros pack to 20 kB: with 80 kB of noise to a 200th of their size, with 150 kB to a 118th."""
    small_place.thin()
    zipped(small_place, {"readme.txt": bytes(20_000_000) + Random(1).randbytes(noise_bytes)})
    told = stopped(small_place.folder)
    assert ("unpacks to more than 20 MB" in told, "no .shp within" in told) == (refused, not refused)


def test_faults_of_a_file_stand_in_the_order_of_its_rows(small_place):
    """Columns are read one after the other: the species of row 5 before the diameter of row 2."""
    small_place.change("trees.csv", "2,1,yellow birch", "2,1,yellow brick road")
    small_place.change("trees.csv", "12.2,68,40", "twelve,68,40")
    with pytest.raises(PlaceError) as raised:
        place.read(small_place.folder)
    assert [(f.row, f.column) for f in raised.value.faults if f.file == "trees.csv"] == [(2, "dbh_in"), (5, "species")]


@pytest.mark.parametrize("name", ["stands.gpkg", "stands.kml", "stands.zip", "trees.xlsx"])
@pytest.mark.parametrize(
    "content", [b"", b"not what its name says", b"PK\x03\x04" + b"\x00" * 60], ids=["empty", "text", "zip head"]
)
def test_a_file_of_another_kind(small_place, name, content):
    """Empty files and wrong endings: one fault for the file, and none for what points into it."""
    stem = Path(name).stem
    for path in small_place.folder.glob(f"{stem}.*"):
        path.unlink()
    (small_place.folder / name).write_bytes(content)
    told = stopped(small_place.folder)
    assert told.startswith("Stopped: 1 thing needs mending.") and f" {name}: " in told


def test_two_files_for_one_table(small_place):
    """parcels.geojson and parcels.kml side by side: which one is meant is not guessed."""
    (small_place.folder / "parcels.kml").write_text("<kml/>")
    assert "parcels.geojson and parcels.kml are both here Keep one of them" in stopped(small_place.folder)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("trees.ods", "trees.ods: .ods is not read Save the trees as CSV or XLSX."),
        ("parcels.dxf", "parcels.dxf: .dxf is not read Save the parcels as GeoJSON, GPKG, zipped Shapefile or KML."),
    ],
)
def test_a_form_that_is_not_read(small_place, name, said):
    """A table saved in another form is named, and the forms that are read."""
    for path in small_place.folder.glob(f"{Path(name).stem}.*"):
        path.unlink()
    (small_place.folder / name).write_bytes(b"x")
    assert said in stopped(small_place.folder)


def test_trees_without_plots(small_place):
    """Averages go over plots, the empty ones too: a tally without its plots is refused."""
    (small_place.folder / "plots.csv").unlink()
    told = stopped(small_place.folder)
    assert "trees.csv, plot_id: 6 rows There is no plots file. Write plots.csv with every plot visited" in told


def test_plots_without_stands(small_place):
    """Plots point to stands that nobody drew: a row each, with the parcels that would do in their place."""
    (small_place.folder / "stands.geojson").unlink()
    told = stopped(small_place.folder)
    remedy = "No stand is drawn yet. Draw the stands, or write the parcel: home, ridge."
    assert told.count(f"stand_id: 1 {remedy}") >= 3 and f"plots.csv, row 2, stand_id: 1 {remedy}" in told


def test_nothing_in_the_folder(tmp_path):
    """An empty folder lacks place.toml and parcels; a folder that is not there is said to be so."""
    told = stopped(tmp_path)
    assert "place.toml: not there" in told and "parcels.geojson: not there" in told
    told = CliRunner().invoke(main, ["walk", str(tmp_path / "nowhere")])
    assert told.exit_code == 1 and "there is no folder" in told.stderr.lower().replace("\n    ", " ")


def test_a_region_that_cannot_be_read(small_place):
    """A family's own region with a broken region.toml is a fault of place.toml, not a traceback."""
    small_place.change("place.toml", '"lake_states"', '"ours"')
    (small_place.folder / "ours").mkdir()
    (small_place.folder / "ours" / "region.toml").write_text("based_on = \n")
    assert "place.toml, region: ours ours/region.toml cannot be read" in stopped(small_place.folder)


def test_a_hand_typed_line_of_the_ledger(small_place):
    """A line typed by hand with a day that is none is named like any other row."""
    (small_place.folder / "ledger.csv").write_text("line,date,kind,amount,unit\n1,someday,firewood,2,cord\n")
    assert "ledger.csv, row 2, date: someday Write the day as year-month-day" in stopped(small_place.folder)


# anything at all

CELL = st.one_of(
    st.text(max_size=12),
    st.text(alphabet="0123456789.,-+eE%\"' \t;", max_size=10),
    st.sampled_from(
        ["", "NaN", "inf", "1e999", "-0", "=1+1", "'", '"', "\ufeff", "\u202e", "9" * 400, "2026-99-99", "True"]
    ),
)
TABLE = st.sampled_from([Path(file).stem for file in TABLE_FILES])
FUZZ = settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture
def thin_place(small_place):
    """The small place with only what others point to, quick to read many times."""
    small_place.thin()
    return small_place


def never_a_traceback(folder: Path) -> None:
    """The place is read, or refused with faults that name a file."""
    try:
        place.read(folder)
    except PlaceError as error:
        assert error.faults and all(fault.file and fault.remedy for fault in error.faults)


@pytest.mark.slow
@FUZZ
@given(table=TABLE, data=st.data())
def test_any_cells(thin_place, table, data):
    """Any text in any cells of any table is read or refused, never a traceback."""
    names = columns.header(table)
    rows = data.draw(st.lists(st.lists(CELL, min_size=len(names), max_size=len(names)), min_size=1, max_size=4))
    quoted = [",".join('"' + cell.replace('"', '""') + '"' for cell in row) for row in rows]
    path = thin_place.folder / f"{table}.csv"
    good = path.read_bytes() if path.exists() else None
    try:
        with path.open("w", encoding="utf-8", errors="replace", newline="") as out:
            out.write("\n".join([",".join(names), *quoted]))
        never_a_traceback(thin_place.folder)
    finally:
        path.unlink() if good is None else path.write_bytes(good)


@pytest.mark.slow
@FUZZ
@given(
    name=st.sampled_from(
        ["trees.csv", "place.toml", "parcels.geojson", "stands.gpkg", "features.kml", "ledger.csv", "plots.xlsx"]
    ),
    content=st.one_of(st.binary(max_size=200), st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace"))),
)
def test_any_bytes(thin_place, name, content):
    """Any bytes under any file's name are read or refused, never a traceback."""
    path = thin_place.folder / name
    good = path.read_bytes() if path.exists() else None
    try:
        path.write_bytes(content)
        never_a_traceback(thin_place.folder)
    finally:
        path.unlink() if good is None else path.write_bytes(good)


JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.sampled_from(["type", "coordinates", "name"]), inner, max_size=3)
    ),
    max_leaves=8,
)


@pytest.mark.slow
@FUZZ
@given(geometry=JSON, value=JSON, crs=JSON)
def test_any_shape_and_attribute(thin_place, geometry, value, crs):
    """Any JSON as the shape, the attributes or the coordinate system of a parcel is read or refused."""
    shape = {"type": "Polygon", "coordinates": geometry}
    feature = {"type": "Feature", "properties": {"parcel_id": value, "deed_acres": value}, "geometry": shape}
    for one in (feature, {**feature, "geometry": geometry}, {**feature, "properties": value}):
        told = {"type": "FeatureCollection", "features": [one], "crs": crs}
        (thin_place.folder / "parcels.geojson").write_text(json.dumps(told))
        never_a_traceback(thin_place.folder)
    thin_place.draw()


def test_a_defect_lies_within_its_tree(small_place):
    """An end under its beginning, an end alone, a beginning over the top of the tree: each row in one pass."""
    path = small_place.folder / "tally.csv"
    rows = (
        "tree,species,dbh_in,height_ft,quality,defect_from_ft,defect_to_ft",
        "1,sugar maple,15.1,72,crook,30,12",
        "2,sugar maple,15.1,72,seam,,12",
        "3,sugar maple,15.1,72,fork,80,",
        "4,sugar maple,15.1,72,crook,12,30",
    )
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    told = stopped(small_place.folder)
    for said in (
        "tally.csv, row 2, defect_to_ft: 12 Not above its lower end, 30 ft.",
        "tally.csv, row 3, defect_from_ft: empty Write its lower end too, or take defect_to_ft out.",
        "tally.csv, row 4, defect_from_ft: 80 Over the top of the tree, 72 ft.",
    ):
        assert said in told
    assert "row 5" not in told

"""A family's folder, read whole and written to: formats, units, names, nothing changed; the ledger under stress."""

import datetime as dt
import json
import os
import sqlite3
import subprocess
import sys
import textwrap
import time
import zipfile
from dataclasses import fields, is_dataclass
from pathlib import Path

import geopandas as gpd
import numpy as np
import openpyxl
import pandas as pd
import pytest
from geopandas.testing import assert_geodataframe_equal
from pandas.testing import assert_frame_equal

from woodlot import columns, place, trade
from woodlot.deer.options import DeerSettings
from woodlot.errors import InputError, PlaceError
from woodlot.place.remedies import cell_remedy
from woodlot.place.shapes import place_words
from woodlot.region import shipped

DAY = dt.date(2026, 11, 25)
MAPS = ("parcels", "stands", "features")
TABLES = [name for name in columns.TABLES if name not in MAPS]
NOTE = {"date": "2026-01-17", "kind": "firewood", "amount": 2.5, "unit": "cord", "parcel_id": "home"}


def read(small) -> place.Place:
    """The small place as of a fixed day."""
    return place.read(small.folder, as_of=DAY)


def faults(small) -> list[str]:
    """Every fault of the place as one line of words."""
    with pytest.raises(PlaceError) as stopped:
        read(small)
    return [str(fault).replace("\n      ", " > ") for fault in stopped.value.faults]


def same(one: place.Place, other: place.Place, but: tuple[str, ...] = ("folder", "files", "warnings")) -> None:
    """Every field of two places is equal; an outline may run either way round."""
    for field in fields(place.Place):
        a, b = getattr(one, field.name), getattr(other, field.name)
        if field.name in but:
            continue
        if isinstance(a, gpd.GeoDataFrame):
            one_way_round = [frame.set_geometry(frame.normalize()) for frame in (a, b)]
            assert_geodataframe_equal(*one_way_round, check_less_precise=True)
        elif isinstance(a, pd.DataFrame):
            assert_frame_equal(a, b)
        else:
            assert a == b, field.name


# what is read


def test_the_small_place_by_hand(small_place):
    """Names, choices, and a few cells looked up in the files by eye."""
    told = read(small_place)
    assert is_dataclass(told) and (told.name, told.region.name, told.as_of) == ("Testing forty", "lake_states", DAY)
    assert told.home == (-89.35, 46.08)
    assert told.choices["log_rule"] == "scribner" and told.choices["solid_cuft_per_cord"] == 79
    assert told.choices["level"] == 0.9 and told.choices["cord_breaks"] == [13, 18, 24]
    assert told.needs == {"firewood_cord": 7.5} and told.limits == {"tags_doe": 1}
    assert told.deer == DeerSettings(leaf_off=dt.date(2025, 10, 25)) and told.deer.goal == "hold"
    assert told.parcels.crs.to_epsg() == 4326
    assert told.plots["kind"].tolist() == ["prism"] * 3 + ["fixed"] * 2
    trees = told.trees
    assert trees["species"].tolist()[:2] == ["sugar maple", "aspen"]
    assert trees["count"].tolist() == [1, 1, 2, 1, 1, 1]
    assert np.isnan(trees["dbh_in"][2]) and trees["alive"].tolist() == [True] * 3 + [False] + [True] * 2
    assert trees["count_twice"].tolist() == [False] * 3 + [True] + [False] * 2
    assert told.ledger.empty and list(told.ledger) == columns.header("ledger")


def test_days_since_leaf_fall_by_hand(small_place):
    """From 25 October 2025 to 20 April 2026 are 6 + 30 + 31 + 31 + 28 + 31 + 20 = 177 days; 180 given stays 180."""
    assert read(small_place).pellets["days"].tolist() == [177, 180]


def test_what_should_be_known_is_said(small_place):
    """Nicknames and dead trees are remarks, not faults."""
    said = " ".join(read(small_place).warnings)
    assert '"popple" is aspen (1 row)' in said and "aspen (1 row): 2 species, cords 8%" in said
    assert "1 dead tree," in said


def test_a_kind_whose_figures_are_another_kinds_is_said_and_no_other(small_place):
    """Redbud stands in by other woods: its file and rows are named; sugar maple has figures of its own."""
    small_place.change("trees.csv", "2,1,yellow birch,", "2,1,redbud,")
    said = read(small_place).warnings
    assert [w for w in said if w.startswith("Eastern redbud (trees.csv 1 row): no figures read")]
    assert not [w for w in said if w.startswith("Sugar maple")]


def winters(small_place, *rows, head="winter,points,scale,deep_snow_weeks,date,least_f,snow_in"):
    """The place read with these rows of winters.csv, and what is said of the table."""
    (small_place.folder / "winters.csv").write_text("\n".join([head, *rows, ""]))
    there = read(small_place)
    return there, [word for word in there.warnings if word.startswith("winters.csv")]


def test_each_states_word_for_its_scale_is_read(small_place):
    """Maine's percent, Vermont's days as Wisconsin's, Minnesota's letters; nothing is left out and nothing said."""
    there, said = winters(small_place, "2022,12,Maine,,,,", "2023,67,VT,,,,", "2024,90,mn,,,,", "2025,,,3,,,")
    assert there.winters["scale"].tolist()[:3] == ["maine", "wisconsin", "minnesota"] and said == []
    assert there.winters["deep_snow_weeks"].iloc[3] == 3.0


def stake(first="2025-12-01", days=150, snow=14.0, least=""):
    """Rows of a snow stake read each day."""
    return [f",,,,{day:%Y-%m-%d},{least},{snow:g}" for day in pd.date_range(first, periods=days)]


def test_a_snow_stake_is_counted_and_said(small_place):
    """150 rows of snow alone: days of a foot and more; fifty rows: too few, and that is said too."""
    _, said = winters(small_place, *stake())
    assert len(said) == 1 and "2025: 150 days of snow 12 in. or more, by the rule of Michigan" in said[0]
    _, said = winters(small_place, *stake(days=50))
    assert len(said) == 1 and "too few days of snow to count the winter: 2025 (50 of 151 days)" in said[0]


def test_a_winter_told_twice_says_which_counts(small_place):
    """Points and a stake: the points; in the order in which they count."""
    _, said = winters(small_place, "2025,80,wi,,,,", "2025,60,mi,,,,", *stake())
    assert any("2025 Wisconsin 80 before Michigan 60 before Michigan 150" in word for word in said)


def test_weather_is_counted_by_the_rule_of_the_familys_state(small_place):
    """Sixteen inches all winter: Minnesota counts them from November to May, Wisconsin none of them."""
    rows = stake("2025-11-01", 212, 16.0, "5")
    assert "2025: 0 points, by the rule of Wisconsin" in winters(small_place, *rows)[1][0]
    small_place.change("place.toml", "[choices]", '[choices]\nstate = "minnesota"')
    assert "2025: 212 points, by the rule of Minnesota" in winters(small_place, *rows)[1][0]


def test_the_day_of_a_deer_gives_its_season(small_place):
    """Without a year the day tells it: a deer of 3 January is of the fall before. Late milk is said."""
    head = "year,date,sex_age,age_yr,number,dressed_lb,milk,beam_mm,hours,parcel_id"
    rows = [",2026-11-14,doe,3.5,1,104,yes,,,", ",2026-01-03,deer,,1,,,,,", "2025,2025-11-20,buck,2.5,1,150,,22,,"]
    (small_place.folder / "bag.csv").write_text("\n".join([head, *rows, "2025,,doe,,1,,no,,,", ""]))
    there = read(small_place)
    assert there.bag["year"].tolist() == [2026, 2025, 2025, 2025]
    assert there.bag["milk"].tolist()[::3] == ["milk", "dry"]
    assert there.bag["beam_in"].iloc[2] == pytest.approx(22 / 25.4)
    assert [word for word in there.warnings if word.startswith("bag.csv: milk of 1 row tells nothing of fawns")]


def test_a_day_of_weather_tells_its_winter(small_place):
    """Until the end of June it is the winter that began the year before, from July on that of its own year."""
    days = ("2026-01-03", "2026-06-30", "2026-07-01", "2026-12-24")
    rows = [",,,".join(["", f"{day},-9,20"]) for day in days]
    (small_place.folder / "winters.csv").write_text("\n".join(["winter,points,scale,date,least_f,snow_in", *rows, ""]))
    assert place.read(small_place.folder, as_of=dt.date(2027, 1, 2)).winters["winter"].tolist() == [
        2025,
        2025,
        2026,
        2026,
    ]


def test_a_tree_is_wood_to_its_tip_and_no_further(small_place):
    """Merchantable height may be the whole height, not a foot more."""
    small_place.change("trees.csv", "12.2,68,40,", "12.2,68,68,")
    assert read(small_place).trees["merch_ft"][0] == 68
    small_place.change("trees.csv", "12.2,68,68,", "12.2,68,69,")
    with pytest.raises(PlaceError, match="Higher than the tree, 68 ft"):
        read(small_place)


@pytest.mark.parametrize("logs", [2.5, 3, 3.5])
def test_logs_may_be_half_a_log_longer_than_the_stem_to_its_top_by_hand(small_place, logs):
    """40 ft to the top: 2.5 logs are as long, three are 8 ft longer (half a log, a remark), 3.5 are 16 ft too long."""
    small_place.change("trees.csv", "12.2,68,40,1.5", f"12.2,68,40,{logs}")
    try:
        remarks = " ".join(read(small_place).warnings)
    except PlaceError as error:
        remarks = str(error)
    assert [words in remarks for words in ("a little longer", "56 ft of logs")] == [logs == 3, logs == 3.5]


@pytest.mark.parametrize(("west_ft", "asked"), [(90, False), (110, True)])
def test_a_plot_over_a_hundred_feet_from_its_stand_is_asked_about(small_place, west_ft, asked):
    """A foot is 0.3048 m; a degree of longitude 77.3 km at 46.1 north."""
    lon = -89.40 - west_ft * 0.3048 / 77_300  # the stand begins at 89.40 west
    small_place.change("plots.csv", "2,1,A,2026-10-09,prism,10,,,,", f"2,1,A,2026-10-09,prism,10,,,{lon:.7f},46.1015")
    notes = [w for w in read(small_place).warnings if "from the stand it names" in w]
    assert notes == ["plots.csv: plot 2 lies over 100 ft from the stand it names."] * asked


def test_ground_of_north_america_is_known_by_its_corners():
    """Points on the edges are at home, a tenth of a degree outside is far; swapped and unsigned ones are named."""
    lon, lat = [-170, -52, -170.1, -51.9, -100, -100], [24, 72, 50, 50, 23.9, 72.1]
    assert [word[:4] for word in place_words(lon, lat)] == ["", "", "far:", "far:", "far:", "far:"]
    swapped, unsigned, meters = place_words([46.1, 89.4, 500_000], [-89.4, 46.1, 5_100_000])
    assert "swapped" in swapped and "minus sign" in unsigned and "not degrees" in meters


@pytest.mark.parametrize(("cell", "guess"), [("600", " Did you mean 60?"), ("6001", ""), ("6000", " Did you mean 60?")])
def test_a_number_too_large_may_lack_its_point(cell, guess):
    """A tenth or a hundredth of it that is still allowed is asked about; 60 in is allowed itself."""
    error = {"type": "less_than_equal", "ctx": {"le": 60}}
    assert cell_remedy(cell, error, float, "in") == f"Larger than 60 inches.{guess}"


def test_among_shrubs_only_a_near_miss_is_a_slip_by_hand(small_place):
    """Slip: in "sugar mapel" two letters are swapped. Kept: "black berry", two letters from black cherry."""
    small_place.change("browse.csv", "beaked hazel", "black berry")
    assert any("black berry: not on the tree list, kept as written" in w for w in read(small_place).warnings)
    small_place.change("browse.csv", "black berry", "sugar mapel")
    assert any("browse.csv, row 3, species: sugar mapel > " in f and "sugar maple" in f for f in faults(small_place))


def test_reading_changes_nothing(small_place):
    """Files, their times and the list of files stay as they were, also when there are faults."""
    place.append_note(small_place.folder, NOTE)
    before = small_place.prints()
    read(small_place)
    assert small_place.prints() == before
    small_place.change("trees.csv", "12.2,68", "122,68")
    before = small_place.prints()
    faults(small_place)
    assert small_place.prints() == before


def test_a_folder_that_may_only_be_read_can_be_read(small_place):
    """Nothing is written beside the files either."""
    if os.geteuid() == 0:
        pytest.skip("run as root, whom no folder refuses")
    small_place.folder.chmod(0o555)
    try:
        assert read(small_place).name == "Testing forty"
    finally:
        small_place.folder.chmod(0o755)


def test_optional_tables_may_be_absent(small_place):
    """With parcels alone, each is one stand; every other table is empty and has all its columns in their types."""
    whole = read(small_place)
    for path in small_place.folder.iterdir():
        if path.name not in ("place.toml", "parcels.geojson"):
            path.unlink()
    bare = read(small_place)
    assert list(bare.stands["stand_id"]) == list(bare.parcels["parcel_id"]) and set(bare.stands["cover"]) == {
        trade.NO_COVER
    }
    for name in [*TABLES, "stands", "features"]:
        frame = getattr(bare, name)
        assert frame.empty == (name != "stands") and list(frame) == list(getattr(whole, name)), name
        assert frame.drop(columns="geometry", errors="ignore").dtypes.equals(
            getattr(whole, name).drop(columns="geometry", errors="ignore").dtypes
        ), name
    assert any("No stands are drawn yet" in said for said in bare.warnings)


def test_a_table_with_a_heading_only_is_empty(small_place):
    """A table laid out by `start` and not used yet is no fault."""
    (small_place.folder / "bag.csv").write_text(",".join(columns.header("bag")) + "\n")
    assert read(small_place).bag.empty


def test_rasters_are_found_by_name(small_place):
    """Every .tif of the folder, by its name without ending; not opened here."""
    (small_place.folder / "elevation.tif").write_bytes(b"II*\0")
    assert read(small_place).rasters == {"elevation": small_place.folder / "elevation.tif"}


def test_names_may_be_written_in_capitals(small_place):
    """Trees.CSV with headings such as "DBH (in)" is trees.csv."""
    text = (small_place.folder / "trees.csv").read_text().replace("dbh_in", "DBH (in)").replace("plot_id", "Plot ID")
    (small_place.folder / "trees.csv").unlink()
    (small_place.folder / "Trees.CSV").write_text(text)
    assert read(small_place).trees["dbh_in"][0] == 12.2


def test_a_region_may_lie_beside_the_parcels(small_place):
    """A folder with region.toml is taken before the package's own, its choices too."""
    small_place.change("place.toml", '"lake_states"', '"our_hills"')
    own = small_place.folder / "our_hills"
    own.mkdir()
    (own / "region.toml").write_text('name = "our_hills"\nbased_on = "base"\n[choices]\nsolid_cuft_per_cord = 75.0\n')
    told = read(small_place)
    assert told.region.folders[0] == own.resolve() and told.choices["solid_cuft_per_cord"] == 75


def test_another_region_may_be_asked_for(small_place):
    """The region given to read takes the place of the one in place.toml, with its division."""
    assert place.read(small_place.folder, as_of=DAY, region="northeast").choices["division"] == "M210"


# units and formats


def test_metric_columns_by_hand(small_place):
    """30.988 cm = 12.2 in, 20.7264 m = 68 ft, 8.01624 m = 26.3 ft; 2.2956841 m2/ha = 10 sq ft/ac."""
    text = (small_place.folder / "trees.csv").read_text()
    small_place.change(
        "trees.csv", text, text.replace("dbh_in,height_ft", "dbh_cm,height_m").replace("12.2,68", "30.988,20.7264")
    )
    plots = (small_place.folder / "plots.csv").read_text()
    turned = plots.replace("baf_sqft_per_ac,radius_ft", "baf_m2_per_ha,radius_m").replace("26.3", "8.01624")
    small_place.change("plots.csv", plots, turned.replace(",10,", ",2.29568411,"))
    for other in ("9.1,61,36", "14.0,70,48", "11.5,66,50"):
        small_place.change("trees.csv", other, other.split(",")[0] + ",15,")
    told = read(small_place)
    assert told.trees["dbh_in"][0] == pytest.approx(12.2) and told.trees["height_ft"][0] == pytest.approx(68)
    assert told.plots["radius_ft"][3] == pytest.approx(26.3)
    assert told.plots["baf_sqft_per_ac"][0] == pytest.approx(10, abs=1e-6)


def test_two_crews_may_use_inches_and_centimeters(small_place):
    """Both columns, one filled in each row; both filled in a row is a fault."""
    rows = "plot_id,species,dbh_in,dbh_cm\n1,red oak,10,\n1,red oak,,25.4\n"
    (small_place.folder / "trees.csv").write_text(rows)
    assert read(small_place).trees["dbh_in"].tolist() == pytest.approx([10, 10])
    (small_place.folder / "trees.csv").write_text(rows + "1,red oak,10,26\n")
    assert faults(small_place) == ["trees.csv, row 4, dbh_cm: 26 > dbh_in is filled in as well. Keep one of the two."]


def test_a_metric_column_is_held_to_metric_limits(small_place):
    """A dbh of 150 cm is a large tree (59 in); 160 cm are over 60 in and refused in centimeters."""
    (small_place.folder / "trees.csv").write_text("plot_id,species,dbh_cm\n1,red oak,150\n")
    assert read(small_place).trees["dbh_in"][0] == pytest.approx(59.055, abs=1e-3)
    (small_place.folder / "trees.csv").write_text("plot_id,species,dbh_cm\n1,red oak,160\n")
    assert faults(small_place) == ["trees.csv, row 2, dbh_cm: 160 > Larger than 152.4 centimeters. Did you mean 16?"]


def draw_as(small, suffix: str) -> None:
    """Save the three maps in another format and take the GeoJSON away."""
    driver = {"gpkg": "GPKG", "zip": "ESRI Shapefile", "kml": "LIBKML"}[suffix]
    for name in MAPS:
        source = small.folder / f"{name}.geojson"
        frame = gpd.read_file(source)
        source.unlink()
        if suffix == "zip" and name == "features":
            frame = frame.iloc[:1]  # a Shapefile holds one kind of shape
        target = small.folder / (f"{name}.shp" if suffix == "zip" else f"{name}.{suffix}")
        frame.to_file(target, driver=driver, layer=name, engine="pyogrio")
        if suffix == "zip":
            with zipfile.ZipFile(small.folder / f"{name}.zip", "w", zipfile.ZIP_DEFLATED) as packed:
                for part in sorted(small.folder.glob(f"{name}.*")):
                    if part.suffix in (".shp", ".shx", ".dbf", ".prj", ".cpg"):
                        packed.write(part, f"from the county/{part.name}")
                        part.unlink()


@pytest.mark.parametrize("suffix", ["gpkg", "zip", "kml"])
@pytest.mark.filterwarnings("ignore:Column names longer", "ignore:Normalized/laundered")
def test_maps_read_the_same_in_every_format(small_place, suffix):
    """GeoPackage, zipped Shapefile and KML give the same Place as GeoJSON (a Shapefile only lines or only points)."""
    if suffix == "zip":
        small_place.maps["features.geojson"]["features"].pop()
        small_place.draw()
    first = read(small_place)
    draw_as(small_place, suffix)
    before = small_place.prints()
    second = read(small_place)
    same(first, second)
    assert second.files["parcels"] == f"parcels.{suffix}" and small_place.prints() == before


def test_projected_maps_come_back_in_degrees(small_place):
    """The same outlines stored in UTM zone 16 lie where they lay, to a millionth of a degree."""
    first = read(small_place)
    path = small_place.folder / "parcels.geojson"
    frame = gpd.read_file(path)
    path.unlink()
    frame.to_crs(32616).to_file(small_place.folder / "parcels.gpkg", driver="GPKG")
    second = read(small_place)
    assert second.parcels.crs.to_epsg() == 4326
    assert first.parcels.geometry.geom_equals_exact(second.parcels.geometry, 1e-6).all()


def test_a_kml_with_names_only_gives_ids_by_name(small_place):
    """An outline drawn on a web map carries only a name: that is its id."""
    frame = gpd.read_file(small_place.folder / "parcels.geojson")[["parcel_id", "geometry"]]
    (small_place.folder / "parcels.geojson").unlink()
    frame.rename(columns={"parcel_id": "Name"}).to_file(small_place.folder / "parcels.kml", driver="LIBKML")
    assert read(small_place).parcels["parcel_id"].tolist() == ["home", "ridge"]


def test_tables_read_the_same_from_a_spreadsheet(small_place):
    """XLSX with real numbers, days and yes or no gives the same Place as CSV."""
    first = read(small_place)
    for name in TABLES:
        path = small_place.folder / f"{name}.csv"
        if name == "ledger" or not path.is_file():
            continue
        book = openpyxl.Workbook()
        book.active.title = name
        for at, row in enumerate(line.split(",") for line in path.read_text().splitlines()):
            book.active.append([typed(cell) if at else cell for cell in row])
        book.save(path.with_suffix(".xlsx"))
        path.unlink()
    second = read(small_place)
    same(first, second)
    assert second.files["trees"] == "trees.xlsx"


def typed(cell: str):
    """A cell as a spreadsheet stores it."""
    for turn in (int, float, dt.datetime.fromisoformat):
        try:
            return turn(cell)
        except ValueError:
            continue
    return {"yes": True, "no": False, "": None}.get(cell, cell)


def test_a_percent_cell_of_a_spreadsheet_is_percent(small_place):
    """20% is stored as 0.2 with a percent format; it means 20."""
    (small_place.folder / "trees.csv").unlink()
    book = openpyxl.Workbook()
    book.active.append(["plot_id", "species", "dbh_in", "cull_pct"])
    book.active.append([1, "red oak", 12.5, 0.2])
    book.active["D2"].number_format = "0%"
    book.save(small_place.folder / "trees.xlsx")
    trees = read(small_place).trees
    assert trees["cull_pct"].tolist() == [20] and trees["plot_id"].tolist() == ["1"]


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_and_byte_order_marks_do_not_matter(small_place, ends, mark):
    """Windows spreadsheets write both."""
    first = read(small_place)
    for path in small_place.folder.glob("*.csv"):
        path.write_bytes((mark + path.read_text().replace("\n", ends)).encode("utf-8"))
    (small_place.folder / "parcels.geojson").write_text(mark + json.dumps(small_place.maps["parcels.geojson"]))
    same(first, read(small_place))


def test_a_semicolon_table_is_read_and_said(small_place):
    """Spreadsheets of other countries write 12,2;68: read as 12.2 and 68, with a remark."""
    first = read(small_place)
    path = small_place.folder / "trees.csv"
    path.write_text(path.read_text().replace(",", ";").replace(".", ","))
    second = read(small_place)
    same(first, second)
    assert any("separated by semicolons" in said for said in second.warnings)


def test_american_days_are_read_and_said(small_place):
    """A spreadsheet turns 2026-10-09 into 10/9/2026; that is October 9."""
    path = small_place.folder / "plots.csv"
    path.write_text(path.read_text().replace("2026-10-09", "10/9/2026"))
    told = read(small_place)
    assert told.plots["date"][0] == pd.Timestamp(2026, 10, 9)
    assert any("10/9/2026 were read as month/day/year" in said for said in told.warnings)


def test_blank_rows_and_columns_do_not_shift_row_numbers(small_place):
    """A blank row and trailing commas are passed over; the fault below still names the spreadsheet's row."""
    path = small_place.folder / "cores.csv"
    head, first, second = path.read_text().splitlines()
    path.write_text(f"\n{head},,\n{first},,\n,,,,,,,\n{second.replace('1.1', 'x')},,\n")
    assert faults(small_place)[0].startswith("cores.csv, row 5, growth_in: x")


@pytest.mark.bench
def test_a_long_table_is_read_whole(small_place, reading):
    """200,000 trees: columns are checked by their distinct values, not row by row."""
    rng = np.random.default_rng(1)
    rows = 200_000
    trees = pd.DataFrame(
        {"plot_id": rng.integers(1, 6, rows), "species": "red maple", "dbh_in": rng.integers(50, 250, rows) / 10}
    )
    trees.to_csv(small_place.folder / "trees.csv", index=False)
    begun = time.perf_counter()
    assert len(read(small_place).trees) == rows
    reading("200,000 trees read and checked", time.perf_counter() - begun, 3, "s")


# GeoPackages that something happened to


def geopackage_of_parcels(small) -> Path:
    """parcels.gpkg in place of parcels.geojson."""
    path = small.folder / "parcels.geojson"
    frame = gpd.read_file(path)
    path.unlink()
    frame.to_file(small.folder / "parcels.gpkg", driver="GPKG")
    return small.folder / "parcels.gpkg"


def test_a_geopackage_with_a_journal_is_read_as_it_was(small_place):
    """A program killed in the middle of a write leaves a journal: what was there before is read, nothing is touched."""
    path = geopackage_of_parcels(small_place)
    script = f"""
        import os, sqlite3
        base = sqlite3.connect({str(path)!r}, isolation_level=None)
        base.execute("pragma cache_size = 1"); base.execute("pragma synchronous = full")
        base.execute("begin immediate")
        base.execute("create table junk (a)")
        base.executemany("insert into junk values (?)", [("x" * 4000,)] * 400)
        os.kill(os.getpid(), 9)
    """
    subprocess.run([sys.executable, "-c", textwrap.dedent(script)], check=False)
    journal = path.with_name("parcels.gpkg-journal")
    assert journal.exists() and journal.stat().st_size
    before = small_place.prints()
    told = read(small_place)
    assert told.parcels["parcel_id"].tolist() == ["home", "ridge"]
    assert any("parcels.gpkg-journal lies beside it" in said for said in told.warnings)
    assert small_place.prints() == before


def test_noise_within_a_geopackage_is_noticed(small_place):
    """4 KB of noise, which the map library reads without a word, is a fault."""
    path = geopackage_of_parcels(small_place)
    data = bytearray(path.read_bytes())
    with sqlite3.connect(path) as base:
        root = base.execute("select rootpage from sqlite_master where name = 'parcels'").fetchone()[0]
        size = base.execute("pragma page_size").fetchone()[0]
    data[(root - 1) * size : root * size] = np.random.default_rng(3).bytes(size)
    path.write_bytes(data)
    assert any("parcels.gpkg" in said and "damaged" in said for said in faults(small_place))


def test_layers_are_chosen_by_name_or_asked_for(small_place):
    """Of two layers the one called parcels is read; when none is, the fault names them."""
    path = geopackage_of_parcels(small_place)
    frame = gpd.read_file(path)
    frame.to_file(path, driver="GPKG", layer="old lines", append=True)
    assert len(read(small_place).parcels) == 2
    path.unlink()
    for layer in ("ours", "old lines"):
        frame.to_file(path, driver="GPKG", layer=layer)
    assert faults(small_place)[0].startswith("parcels.gpkg: 2 layers: ours, old lines > Call one layer parcels.")


# a copy


def test_a_sample_is_copied(tmp_path):
    """The copy reads like the sample itself; out/ is not copied."""
    found = place.samples()
    if not found:
        pytest.skip("no sample_parcels/ beside the package: the samples come with the source only")
    name = next(iter(found))
    place.start(tmp_path / "copy", sample=name)
    same(place.read(found[name], as_of=DAY), place.read(tmp_path / "copy", as_of=DAY), ("folder", "rasters"))
    with pytest.raises(InputError, match="no sample"):
        place.start(tmp_path / "other", sample="nowhere")


def test_a_land_cover_code_table_of_the_familys_own_is_read_or_refused(small_place):
    """Beside the rasters: code, cover and group; a group that is not known is a fault of that file."""
    table = small_place.folder / "land_cover_codes.csv"
    assert read(small_place).cover_codes is None
    table.write_text("code,cover,group\n41,our maples,hardwood\n")
    own = read(small_place).cover_codes
    assert own["cover"].tolist() == ["our maples"] and own["code"].tolist() == [41]
    table.write_text("code,cover,group\n41,our maples,sweet\n")
    assert faults(small_place)[0].startswith("land_cover_codes.csv: cannot be used")


@pytest.mark.parametrize("state", ["minnesota", "Wisconsin", "michigan", "eastern states"])
def test_a_state_with_strips_in_the_table_may_be_named(small_place, state):
    """Each state of the table, with a capital or without; any other is refused with those there are."""
    small_place.change("place.toml", "[choices]\n", f'[choices]\nstate = "{state}"\n')
    assert read(small_place).choices["state"] == state.lower()
    small_place.change("place.toml", f'"{state}"', '"minesota"')
    with pytest.raises(PlaceError) as stopped:
        read(small_place)
    (fault,) = stopped.value.faults
    assert (fault.column, fault.found) == ("choices.state", "minesota")
    assert fault.remedy.startswith("Must be ") and fault.remedy.endswith(" Did you mean minnesota?")


def test_widths_of_streams_are_read_and_tell_their_class():
    """The sample: 6 feet is a stream of 3 to 10 feet, 12 feet one over 10; nothing is assumed."""
    from woodlot.land import water

    shapes = place.read(Path(__file__).parent.parent / "sample_parcels" / "otter_lake", as_of=DAY).features
    told = water.classes(shapes, region=shipped("base")).join(shapes["name"]).set_index("name")
    assert told.loc["Outlet creek"].tolist() == ["stream 3 to 10 ft", "written"]
    assert told.loc["Beaver stream"].tolist() == ["stream over 10 ft", "written"]


def test_a_cover_nobody_wrote_is_said_once_and_stands_in_words(small_place):
    """Null, a question mark and a file without the column are one thing; a word nobody knows is none, and asked."""
    small_place.maps["stands.geojson"]["features"][0]["properties"]["cover"] = "?"
    small_place.maps["stands.geojson"]["features"][1]["properties"]["cover"] = "a mix"
    small_place.draw()
    told = read(small_place)
    assert told.stands["cover"].tolist() == [trade.NO_COVER] * 2
    assert (
        len([w for w in told.warnings if '"a mix", stand 2,' in w and "in words.csv, such as cover,a mix," in w]) == 1
    )
    said = [w for w in told.warnings if "cover of" in w]
    assert len(said) == 1 and "the cover of stand 1 is not known" in said[0] and "in the column cover" in said[0]
    for feature in small_place.maps["stands.geojson"]["features"]:
        del feature["properties"]["cover"]
    small_place.draw()
    told = read(small_place)
    assert told.stands["cover"].tolist() == [trade.NO_COVER] * 2
    assert len([w for w in told.warnings if "the cover of stands 1, 2 is not known" in w]) == 1


def test_only_drives_and_snow_walks_are_complete(small_place):
    """A camera with acres, a sighting called complete: both rows at once, with what to do."""
    small_place.change("counts.csv", "bucks_known,baited", "bucks_known,baited,acres,complete")
    small_place.change("counts.csv", "15,4,3,no", "15,4,3,no,40,")
    small_place.change("counts.csv", "ridge,6,1,0,2,1,,,", "ridge,6,1,0,2,1,,,,,yes")
    with pytest.raises(PlaceError) as told:
        read(small_place)
    assert [(f.row, f.column) for f in told.value.faults] == [(2, "acres"), (3, "complete")]
    small_place.change("counts.csv", "camera,gate,240", "drive,gate,240")
    small_place.change("counts.csv", "sighting,ridge", "snow walk,ridge")
    assert read(small_place).counts["method"].tolist() == ["drive", "snow walk"]


def test_counts_without_a_day_are_said(small_place):
    """How many, and what they stand in."""
    small_place.change("counts.csv", "2026-11-07,sighting", ",sighting")
    assert [w for w in read(small_place).warnings if w.startswith("counts.csv: 1 row without a day:")]


@pytest.mark.parametrize("goal", [said for goal in trade.GOALS.values() for said in (goal.key, *goal.also)])
def test_a_goal_that_place_toml_takes_is_one_the_hunt_knows(small_place, goal):
    """The words of place.toml, also with a capital, each mean one of three things."""
    small_place.change("place.toml", "[deer]\n", f'[deer]\ngoal = "{goal.capitalize()}"\n')
    meant = "thin" if goal in ("thin", "fewer", "less", "bring down") else "hold" if goal == "hold" else "grow"
    assert read(small_place).deer.goal == meant


def test_a_goal_nobody_knows_is_refused_with_those_there_are(small_place):
    """What would be right is said, in the order of the list."""
    small_place.change("place.toml", "[deer]\n", '[deer]\ngoal = "fewr"\n')
    with pytest.raises(PlaceError) as stopped:
        read(small_place)
    (fault,) = stopped.value.faults
    assert fault.column == "deer.goal" and fault.found == "fewr"
    assert fault.remedy == "Must be hold, grow or thin. Did you mean fewer?"


@pytest.mark.parametrize(("said", "read_as"), [('"210"', "210"), ("210", "210"), ('"m210"', "m210"), ('"all"', "all")])
def test_a_division_is_read_as_it_is_typed(small_place, said, read_as):
    """With or without quotation marks, a small letter, and the rows for all divisions."""
    small_place.change("place.toml", "[choices]\n", f"[choices]\ndivision = {said}\n")
    assert read(small_place).choices["division"] == read_as


@pytest.mark.parametrize(("said", "found"), [('"999"', "999"), ('""', "empty"), ("21", "21")])
def test_a_division_without_rows_is_refused_before_any_verb_needs_it(small_place, said, found):
    """The equations have none: said by file and key, with those there are."""
    small_place.change("place.toml", "[choices]\n", f"[choices]\ndivision = {said}\n")
    with pytest.raises(PlaceError) as stopped:
        read(small_place)
    (fault,) = stopped.value.faults
    assert (fault.file, fault.column, fault.found) == ("place.toml", "choices.division", found)
    assert fault.remedy == "There are 210, 220, 240, 250, M210, M220 and all."


def test_ids_are_known_without_any_shape(small_place):
    """A stand that cannot be drawn has its id; of a map without a feature, or of half a file, nothing is known."""
    assert place.known_ids(small_place.folder) == {"parcels": ["home", "ridge"], "stands": ["1", "2", "home", "ridge"]}
    path = small_place.folder / "stands.geojson"
    told = json.loads(path.read_text(encoding="utf-8"))
    told["features"][0]["geometry"] = None
    path.write_text(json.dumps(told), encoding="utf-8")
    assert place.known_ids(small_place.folder)["stands"][:2] == ["1", "2"]
    for text in (json.dumps(told | {"features": []}), json.dumps(told)[:-20]):
        path.write_text(text, encoding="utf-8")
        assert place.known_ids(small_place.folder) is None
    path.unlink()
    assert place.known_ids(small_place.folder) == {"parcels": ["home", "ridge"], "stands": ["home", "ridge"]}

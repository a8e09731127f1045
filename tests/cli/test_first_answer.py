"""Outlines alone: each parcel is one stand, every verb runs, the first plots are laid out, three of them give a plan.

The same plots stand on the screen, in the answers, on the map, on paper, in the phone page and in the GPX file.
"""

import json
import os
import re
import subprocess
import sys

import geopandas as gpd
import pandas as pd
import pytest
import shapely
from click.testing import CliRunner

from woodlot import place
from woodlot.cli import main
from woodlot.errors import PlaceError
from woodlot.season import season
from woodlot.trade import NO_COVER

DAY = "2026-11-25"
pytestmark = pytest.mark.usefixtures("once")


def square(column=0.0, wide=1.0):
    """A square of about forty acres, quarter miles east of the corner, as rings of a GeoJSON polygon."""
    x, y, lon, lat = -89.40 + column * 0.0052, 46.10, 0.0052 * wide, 0.0036
    return [[[x, y], [x + lon, y], [x + lon, y + lat], [x, y + lat], [x, y]]]


def drawn(*shapes):
    """A GeoJSON of (properties, rings)."""
    made = [{"type": "Feature", "properties": p, "geometry": {"type": "Polygon", "coordinates": r}} for p, r in shapes]
    return json.dumps({"type": "FeatureCollection", "features": made})


def noted(*lines):
    """A ledger of lines: parcel_id, stand_id, kind and what stands behind them."""
    head = "line,date,parcel_id,stand_id,kind,sex_age,amount,unit,who,text,lon,lat,corrects,check"
    return "\n".join([head, *(f"{n},2026-11-04,,,{line}" for n, line in enumerate(lines, start=1)), ""])


def made(folder, files, told=""):
    """A place of these files."""
    for name, text in ({"place.toml": f'name = "Thin"\nregion = "lake_states"\n{told}'} | files).items():
        if name != "place.toml" or not (folder / name).exists():
            (folder / name).write_text(text, encoding="utf-8")
    return folder


HOME = {"parcels.geojson": drawn(({"parcel_id": "home"}, square()))}

TWO = {
    "parcels.geojson": drawn(({"parcel_id": "home", "name": "Home forty"}, square()), ({"parcel_id": "far"}, square(8)))
}
HALF = ({"stand_id": "1"}, square(wide=0.5)), ({"stand_id": "2"}, square(0.5, wide=0.5))
VERBS = (
    *("walk", "cruise", "scale", "grow", "cut", "herd", "hunt", "what-if", "plan", "map", "sheet", "book"),
    *("why cords", "why cut", "why deer", "why basal", "why heat", "why take", "cruise --stand home"),
)


def run(words, folder, code=0):
    """The screen of a verb on one line."""
    verb, *more = words.split()
    day = [] if verb == "book" else ["--as-of", DAY]
    done = CliRunner().invoke(
        main, [verb, *(more[:1] if verb == "why" else []), str(folder), *day, *(more if verb != "why" else [])]
    )
    assert done.exit_code == code, f"{words}: {done.output} {done.exception!r}"
    return " ".join((done.stdout if code == 0 else done.stderr).split())


def read(folder):
    """The place on the day."""
    return place.read(folder, as_of=pd.Timestamp(DAY).date())


def faults(folder):
    """What must be mended: file, row, column, found and remedy."""
    with pytest.raises(PlaceError) as caught:
        read(folder)
    return caught.value.faults


def plotted(rows, more=""):
    """plots.csv and trees.csv: rows of plot, stand and what else, with two maples on each."""
    head = "plot_id,stand_id,baf_sqft_per_ac" + (",lon,lat" if more else "") + "\n"
    trees = "plot_id,species,dbh_in\n" + "".join(
        f"{row.split(',')[0]},sugar maple,{9 + n}\n" for n, row in enumerate(rows)
    )
    return {"plots.csv": head + "".join(f"{row}\n" for row in rows), "trees.csv": trees}


# --- a parcel is a stand ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "ledger",
    [
        (),
        ("firewood,,2.5,cord,,,,,,",),
        ("firewood,,2.5,cord,,,,,,", "void,,,,,,,,1,"),
        ("deer,doe,1,deer,,,,,,",),
    ],
    ids=["no note", "one note", "a note taken out", "one deer"],
)
@pytest.mark.parametrize("files", [HOME, TWO], ids=["one parcel", "two parcels"])
def test_every_verb_runs_on_outlines_alone(tmp_path, files, ledger):
    """Exit code 0, and no number of wood anywhere."""
    folder = made(tmp_path, files | ({"ledger.csv": noted(*ledger)} if ledger else {}))
    for verb in VERBS:
        told = run(verb, folder)
        assert not re.search(r"\d cords a year at most", told), verb
    assert "No number yet" in run("plan", folder)
    totals = json.loads((folder / "out" / "answers.json").read_text(encoding="utf-8"))["totals"]
    assert totals["cords"]["value"] is None and totals["acres_with_plots"] == 0.0


def test_notes_name_parcel_or_stand_alike(tmp_path):
    """Each is taken by ``note``, and stays with its parcel whether or not stands are drawn later."""
    folder = made(tmp_path, HOME)
    for way in ("--parcel", "--stand"):
        done = CliRunner().invoke(main, ["note", str(folder), "--kind", "firewood", "--amount", "2", way, "home"])
        assert done.exit_code == 0, done.output
    assert read(folder).ledger["stand_id"].fillna("").tolist() == ["", "home"]
    (folder / "stands.geojson").write_text(drawn(*HALF), encoding="utf-8")
    book = read(folder).ledger
    assert book["parcel_id"].tolist() == ["home", "home"] and book["stand_id"].isna().all()
    (folder / "stands.geojson").write_text(drawn(({"stand_id": "1"}, square())), encoding="utf-8")
    assert read(folder).ledger["stand_id"].fillna("").tolist() == ["", "1"]


def test_a_parcel_without_stands_is_one(tmp_path):
    """Its id, its outline, no cover, said once; the files say that no stand is drawn."""
    one = read(made(tmp_path, TWO))
    assert one.stands["stand_id"].tolist() == one.stands["parcel_id"].tolist() == ["home", "far"]
    assert set(one.stands["cover"]) == {NO_COVER} and one.stands["operable"].all()
    assert one.stands.geometry.geom_equals(one.parcels.geometry).all()
    assert one.whole_parcels == ("home", "far") and "stands" not in one.files
    said = [line for line in one.warnings if "stand" in line and "parcels is one stand" in line]
    assert len(said) == 1 and said[0].startswith("No stands are drawn yet: each of the 2 parcels is one stand")


def test_a_parcel_drawn_in_part_stays_as_it_is_drawn(tmp_path):
    """One parcel half drawn, one not at all: the second alone is a stand, and the first's rest is told."""
    folder = made(tmp_path, TWO | {"stands.geojson": drawn(HALF[0])})
    one = read(folder)
    assert one.stands["stand_id"].tolist() == ["1", "far"] and one.whole_parcels == ("far",)
    assert any(
        line.startswith("stands.geojson: no stand is drawn in parcel far; it is one stand") for line in one.warnings
    )
    assert "acres of parcel home are in no stand" in run("walk", folder)


def test_a_stand_that_has_the_parcels_name_keeps_it(tmp_path):
    """Stand far lies in parcel home: parcel far is one stand by another name, and that is said."""
    folder = made(tmp_path, TWO | {"stands.geojson": drawn(({"stand_id": "far"}, square()))})
    one = read(folder)
    assert one.stands["stand_id"].tolist() == ["far", "parcel far"]
    assert any("it is one stand, parcel far where a stand has its name" in line for line in one.warnings)
    run("plan", folder)


def test_what_spills_over_from_a_neighbor_is_not_counted_twice(tmp_path):
    """A stand of one parcel that reaches a tenth into the next: the next is the rest of its outline."""
    wide = ({"stand_id": "1"}, square(wide=1.1))
    one = read(
        made(
            tmp_path,
            {"parcels.geojson": drawn(({"parcel_id": "a"}, square()), ({"parcel_id": "b"}, square(1)))}
            | {"stands.geojson": drawn(wide)},
        )
    )
    assert one.stands["stand_id"].tolist() == ["1", "b"]
    first, second = one.stands.geometry
    assert first.intersection(second).area < 1e-12
    assert second.area == pytest.approx(0.9 * one.parcels.geometry.iloc[1].area, rel=1e-6)


# --- plots that name a parcel -----------------------------------------------------------------------------------------


def test_plots_may_name_a_parcel_of_one_stand(tmp_path):
    """Without stands as it is; with one stand drawn it is taken, and told."""
    plots = plotted(["a,home,10", "b,home,10", "c,home,10"])
    folder = made(tmp_path, HOME | plots)
    assert set(read(folder).plots["stand_id"]) == {"home"}
    (folder / "stands.geojson").write_text(drawn(({"stand_id": "7"}, square())), encoding="utf-8")
    one = read(folder)
    assert set(one.plots["stand_id"]) == {"7"}
    assert "plots.csv: 3 rows with parcel home as the stand; taken for stand 7." in one.warnings


def test_plots_of_a_parcel_of_more_stands_need_a_place(tmp_path):
    """A point in a stand tells it; a row without one, or on the line of two, is a fault that names the stands."""
    rows = ["a,home,10,-89.399,46.101", "b,home,10,-89.3955,46.101", "c,home,10,,", "d,home,10,-89.3974,46.101"]
    folder = made(tmp_path, HOME | {"stands.geojson": drawn(*HALF)} | plotted(rows, more="place"))
    told = [f for f in faults(folder) if f.column == "stand_id"]
    assert [(f.file, f.row, f.found) for f in told] == [("plots.csv", 4, "home"), ("plots.csv", 5, "home")]
    remedy = "home is a parcel; it has stands 1, 2. Write which, or lon and lat of a point in it."
    assert told[0].remedy == remedy
    made(folder, plotted(rows[:2], more="place"))
    one = read(folder)
    assert one.plots["stand_id"].tolist() == ["1", "2"]
    assert "plots.csv: 2 rows with parcel home as the stand; taken for stand 1, 2." in one.warnings


def test_cores_and_marked_trees_may_name_a_parcel_too(tmp_path):
    """The same rule for every table that names a stand; these have no place on the map."""
    more = {
        "cores.csv": "stand_id,species,dbh_in,years,growth_in\nhome,sugar maple,12,10,.8\n",
        "tally.csv": "tree,stand_id,species,dbh_in\n1,home,ash,14\n",
    }
    folder = made(tmp_path, HOME | more | {"stands.geojson": drawn(({"stand_id": "7"}, square()))})
    one = read(folder)
    assert one.cores["stand_id"].tolist() == ["7"] and one.tally["stand_id"].tolist() == ["7"]
    (folder / "stands.geojson").write_text(drawn(*HALF), encoding="utf-8")
    assert {(f.file, f.remedy) for f in faults(folder)} == {
        (file, "home is a parcel; it has stands 1, 2. Write which.") for file in ("cores.csv", "tally.csv")
    }


# --- the first plots --------------------------------------------------------------------------------------------------


@pytest.fixture
def two(tmp_path):
    """Two forties two miles apart, a house on the first, a stream and a road on it."""
    shapes = [
        {"type": "Feature", "properties": {"kind": kind}, "geometry": {"type": "LineString", "coordinates": line}}
        for kind, line in (
            ("stream", [[-89.4, 46.1012], [-89.3948, 46.1016]]),
            ("road", [[-89.3974, 46.098], [-89.3974, 46.1008]]),
        )
    ]
    told = {"features.geojson": json.dumps({"type": "FeatureCollection", "features": shapes})}
    return made(tmp_path, TWO | told, "[home]\nlon = -89.3973\nlat = 46.1004\n")


def test_the_same_plots_stand_everywhere(two):
    """Screen, answers, map, report, sheets, phone page, GPX and ``cruise`` name the same plots at the same places."""
    screen, sheet = run("plan", two), run("sheet", two)
    out = two / "out"
    told = json.loads((out / "answers.json").read_text(encoding="utf-8"))
    put = told["first_plots"]
    ids = [p["plot_id"] for p in put["plots"]]
    assert sorted(ids) == ["far-1", "far-2", "far-3", "home-1", "home-2", "home-3"]
    assert told["headline"] in screen and told["headline"].endswith("This weekend: 6 plots in 2 stands.")
    assert told["rows"][0]["topic"] == "measure" and all(words in screen and words in sheet for words in put["words"])
    points = gpd.read_file(out / "first_plots.gpx", layer="waypoints")
    assert points["name"].tolist() == ids
    assert points.geometry.x.tolist() == [p["lon"] for p in put["plots"]]
    routes = gpd.read_file(out / "first_plots.gpx", layer="routes")
    assert len(routes) == len(put["rounds"]) == 2
    for route, one in zip(routes.geometry, put["rounds"], strict=True):
        stops = [(one["lon"], one["lat"]), *((p["lon"], p["lat"]) for p in put["plots"] if p["round"] == one["round"])]
        assert list(route.coords) == [*stops, stops[0]]
    html = {name: (out / f"{name}.html").read_text(encoding="utf-8") for name in ("map", "report", "tally_sheets")}
    phone = json.loads(re.search(r'id="tally">(.*?)</script>', (out / "tally_phone.html").read_text("utf-8"), re.S)[1])
    assert [p["id"] for p in phone["to_put"]] == ids
    for plot in put["plots"]:
        assert f"plot {plot['plot_id']}" in html["map"]
        assert f"<b>{plot['plot_id']}</b>" in html["tally_sheets"]
        assert plot["way"].replace("'", "&#x27;") in html["tally_sheets"]
        assert f"{plot['plot_id']}: {plot['way']}" in run("cruise", two)
    assert all(p["way"] in (phone["to_put"][i]["way"]) for i, p in enumerate(put["plots"]))
    assert put["number"] in html["report"] and "to measure: numbered, along the dashed walk" in html["map"]


def test_plots_lie_in_their_stand_off_water_road_and_house(two):
    """On the map in feet: inside, off the strip along the stream, off the road, off the house."""
    one = season(read(two))
    plots = one.first_plots.plots
    plane = one.measured.stands.estimate_utm_crs()
    points = gpd.GeoSeries(gpd.points_from_xy(plots["lon"], plots["lat"]), crs=4326).to_crs(plane)
    stand = one.measured.stands.set_index("stand_id").to_crs(plane).geometry
    assert all(stand[sid].contains(p) for sid, p in zip(plots["stand_id"], points, strict=True))
    strips = shapely.union_all(one.seen.strips.to_crs(plane).geometry)
    features = one.place.features.to_crs(plane)
    road = features.geometry[features["kind"] == "road"].iloc[0]
    house = gpd.GeoSeries(gpd.points_from_xy([-89.3973], [46.1004]), crs=4326).to_crs(plane).iloc[0]
    assert not strips.is_empty and not shapely.intersects(strips, points.to_numpy()).any()
    assert points.distance(road).min() >= 0.3048 * 33 - 0.2 and points.distance(house).min() >= 0.3048 * 66 - 0.2


def test_each_walk_begins_where_it_can_be_found(two):
    """At the house where there is one, else at a corner; feet and bearings lead from stop to stop and back."""
    one = season(read(two))
    rounds = one.first_plots.rounds.set_index("round")
    assert rounds["kind"].tolist() == ["home", "corner"]
    for number, rows in one.first_plots.plots.groupby("round"):
        way = rounds.loc[number]
        assert way["walk_ft"] == pytest.approx(rows["from_ft"].sum() + way["back_ft"])
        assert way["minutes"] == pytest.approx(30 * len(rows) + way["walk_ft"] / 100)
    assert one.first_plots.plots["over_water"].any()


def test_a_first_screen_says_first_what_to_do(two):
    """No more than some 25 lines: plots, time, where each walk begins, what to carry, what to print."""
    done = CliRunner(env={"COLUMNS": "100"}).invoke(main, ["plan", str(two), "--as-of", DAY])
    lines = done.stdout.splitlines()
    assert len(lines) <= 29
    assert lines[3].startswith("You have not measured enough to say. This weekend: 6 plots in 2 stands.")
    assert lines[5].strip().endswith("6 plots in 2 stands (about 4 hours without the drive).")
    told = " ".join(done.stdout.split())
    assert "at 30 minutes a plot (chosen)" in told and "Carry the sheets, a compass" in told
    assert f"woodlot sheet {two}" in told and "first_plots.gpx" in told
    walked = CliRunner(env={"COLUMNS": "100"}).invoke(main, ["walk", str(two), "--as-of", DAY]).stdout
    assert len(walked.splitlines()) <= 25 and "This weekend: 6 plots in 2 stands, about 4 hours" in " ".join(
        walked.split()
    )


def test_what_is_measured_is_not_asked_again(two):
    """One of three measured: those left lie at the same places; as near as is wanted, none is left."""
    before = season(read(two)).first_plots.plots.set_index("plot_id")
    made(two, plotted(["home-2,home,10"]))
    after = season(read(two)).first_plots.plots.set_index("plot_id")
    assert {"far-1", "far-2", "far-3", "home-1", "home-3"} <= set(after.index) and "home-2" not in after.index
    assert set(after["stand_id"]) == {"home", "far"} and (after["stand_id"] == "far").sum() == 3
    both = after.index.intersection(before.index)
    assert len(both) == 5 and (after.loc[both, ["lon", "lat"]] == before.loc[both, ["lon", "lat"]]).all(axis=None)
    made(two, plotted([f"{sid}-{k},{sid},10" for sid in ("home", "far") for k in range(1, 16)]))
    near = two / "place.toml"
    near.write_text(near.read_text(encoding="utf-8") + "\n[cruise]\nwithin_pct = 45\n", encoding="utf-8")
    assert len(season(read(two)).first_plots.plots) == 0
    run("sheet", two)
    assert "<wpt" not in (two / "out" / "first_plots.gpx").read_text(encoding="utf-8")
    assert "first_plots.gpx, " not in run("plan", two) and not (two / "out" / "first_plots.gpx").exists()


def test_more_plots_in_a_measured_stand_go_on_with_the_same_sequence(two):
    """``cruise --stand --within`` lays out those still to measure behind the first three."""
    rows = [f"home-{k},home,10" for k in (1, 2, 3)]
    trees = "plot_id,species,dbh_in\n" + "home-1,ash,12\n" * 9 + "home-2,ash,12\n" * 5 + "home-3,ash,12\n" * 8
    made(two, plotted(rows) | {"trees.csv": trees})
    told = run("cruise --stand home --within 30", two)
    listed = {int(n) for n in re.findall(r"home-(\d+): ", told)}
    assert listed and listed == set(range(4, 4 + len(listed)))


def test_three_plots_of_a_parcel_give_a_plan(two):
    """The sheets filled in: cords with a range, growth, and a cut or its reason, all from a parcel as one stand."""
    made(two, plotted([f"home-{k},home,10" for k in (1, 2, 3)]))
    trees = "plot_id,species,dbh_in\n" + "".join(
        f"home-{k},{kind},{inches}\n"
        for k, n in ((1, 9), (2, 11), (3, 13))
        for kind in ("sugar maple", "ash")
        for inches in range(8, 8 + n // 2 + 1)
    )
    (two / "trees.csv").write_text(trees, encoding="utf-8")
    told = run("plan", two)
    assert re.search(r"What stands: [\d,]+ full cords \([\d,]+ to [\d,]+, 90%\)", told)
    answers = json.loads((two / "out" / "answers.json").read_text(encoding="utf-8"))
    home = next(s for s in answers["stands"] if s["stand_id"] == "home")
    assert home["cords"]["low"] < home["cords"]["value"] < home["cords"]["high"] and home["how"] == "measured"
    assert answers["first_plots"]["first_stand"] == "far"


def test_a_weekend_is_filled_with_the_largest_stands_first(tmp_path):
    """Nine forties: as many as ten hours hold, three plots each, and the rest another weekend."""
    shapes = [({"parcel_id": f"p{n}"}, square(2 * n, wide=1 - n / 20)) for n in range(9)]
    put = season(read(made(tmp_path, {"parcels.geojson": drawn(*shapes)}))).first_plots
    first = list(dict.fromkeys(put.plots["stand_id"]))
    assert first == [f"p{n}" for n in range(len(first))] and put.later == tuple(f"p{n}" for n in range(len(first), 9))
    assert 3 <= len(first) <= 6 and put.rounds["minutes"].sum() <= 600


@pytest.mark.slow
def test_bytes_hang_on_nothing_but_the_files(two):
    """Twice, in another time zone and language, the same files."""
    kept = []
    for env in ({"TZ": "UTC", "LC_ALL": "C.UTF-8"}, {"TZ": "Asia/Tokyo", "LC_ALL": "de_DE.UTF-8"}):
        words = [sys.executable, "-m", "woodlot", "sheet", str(two), "--as-of", DAY]
        subprocess.run(words, check=True, capture_output=True, env=os.environ | env)
        kept.append({path.name: path.read_bytes() for path in sorted((two / "out").iterdir())})
    assert kept[0] == kept[1] and set(kept[0]) == {
        "first_plots.gpx",
        "made_by_woodlot.sha256",
        "tally_phone.html",
        "tally_sheets.html",
    }

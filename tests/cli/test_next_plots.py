"""Where to go next, as the verbs show it: each answer, the hours, what the last day bought, points kept for good."""

import json
import re
import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path

import geopandas as gpd
import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot.answers.next_plots import last_day, next_plots_answer
from woodlot.answers.whole import answers
from woodlot.cli import main
from woodlot.place import read
from woodlot.season import season
from woodlot.stand import next_plots

DAY = ("--as-of", "2026-11-25")
SAMPLES = Path(__file__).parent.parent.parent / "sample_parcels"


@pytest.fixture
def otter(tmp_path):
    """A copy of the large sample, to be changed."""
    shutil.copytree(SAMPLES / "otter_lake", tmp_path / "otter", ignore=shutil.ignore_patterns("out", "plans"))
    return tmp_path / "otter"


def asked(place, verb="cruise", *options):
    """What a verb prints."""
    done = CliRunner(env={"COLUMNS": "100"}).invoke(main, [verb, str(place), *DAY, *options])
    assert done.exit_code == 0, done.output
    return done.stdout


def told(place, *options):
    """The answer of cruise."""
    return json.loads(asked(place, "cruise", "--json", *options))


def chosen(place, **keys):
    """The part [cruise] of place.toml."""
    lines = [f'{key} = "{value}"' if isinstance(value, str) else f"{key} = {value}" for key, value in keys.items()]
    with (place / "place.toml").open("a", encoding="utf-8") as file:
        file.write("\n".join(["", "[cruise]", *lines, ""]))


def test_each_answer_has_its_own_plots(otter):
    """The total, the widest range, and this winter's stand lack other plots; each names its own."""
    total, worst = told(otter, "--within", "24"), told(otter, "--answer", "worst range", "--hours", "6")
    assert total["lacking"]["answer"] == "total" and worst["lacking"]["answer"] == "worst range"
    assert sum(one["plots"] for one in worst["lacking"]["more"]) > sum(one["plots"] for one in total["lacking"]["more"])
    still = {one["stand_id"]: one["plots_still"] for one in worst["stands"]}
    more = {one["stand_id"]: one["plots"] for one in worst["lacking"]["more"]}
    assert {stand: n for stand, n in still.items() if n and stand in more} == more
    stands = list(dict.fromkeys(plot["stand_id"] for plot in worst["first_plots"]["plots"]))
    widest = {one["stand_id"]: one["basal_sqft_per_ac"] for one in worst["stands"] if one["stand_id"] in ("4", "6")}
    assert set(stands) >= {"17", *widest}


def test_the_hours_hold_plots_and_walk(otter):
    """Two to fifteen hours: never more than there are, and one more plot would not fit; the time is said."""
    counts = []
    for hours in (2, 4, 6, 10, 15):
        put = told(otter, "--answer", "worst range", "--hours", str(hours))["first_plots"]
        counts.append(len(put["plots"]))
        assert put["minutes"] <= 60 * hours and put["minutes"] == pytest.approx(
            sum(r["minutes"] for r in put["rounds"])
        )
        assert put["minutes"] > 60 * hours - 60 and put["hours"] == hours
        assert len({(p["lon"], p["lat"]) for p in put["plots"]}) == len(put["plots"])
    assert counts == sorted(counts) and counts[0] == 3 < counts[-1]
    said = told(otter, "--answer", "worst range", "--hours", "1")["first_plots"]["words"]
    assert "That is more than the 1 hour there are." in said


def test_place_toml_and_options_say_the_same(otter):
    """[cruise] of place.toml acts as the options do, and they go before it."""
    by_option = told(otter, "--answer", "worst range", "--hours", "4", "--within", "40")
    chosen(otter, answer="worst range", hours=4, within_pct=40)
    assert told(otter) == by_option
    assert told(otter, "--hours", "6")["first_plots"]["hours"] == 6
    asked(otter, "sheet")
    points = gpd.read_file(otter / "out" / "first_plots.gpx", layer="waypoints")["name"].tolist()
    assert points == [plot["plot_id"] for plot in by_option["first_plots"]["plots"]]
    routes = gpd.read_file(otter / "out" / "first_plots.gpx", layer="routes")
    assert len(routes) == len(by_option["first_plots"]["rounds"])
    assert by_option["first_plots"]["how_long"] in " ".join(asked(otter, "sheet").split())


def test_a_stand_asked_for_gets_its_own_plots(otter):
    """--stand: how many for that stand alone, and they all lie there."""
    one = told(otter, "--stand", "12", "--within", "35")
    n = one["lacking"]["more"][0]["plots"]
    assert one["lacking"]["more"] == [{"stand_id": "12", "plots": n}] and n == one["stands"][0]["plots_still"]
    assert {plot["stand_id"] for plot in one["first_plots"]["plots"]} == {"12"}
    assert re.search(rf"{n} plots more would bring stand 12 from within \d+% to within 35%", one["lacking"]["words"][0])
    assert "last_day" not in one


def test_plots_by_this_winters_cut_lie_in_its_stands(otter):
    """All of them there, although a large stand has none; without any cut the total goes before, and it is said."""
    chosen(otter, answer="this winter", within_pct=30)
    one = season(read(otter, as_of=date(2026, 11, 25)))
    cut = {task.stand_id for task in one.winter.tasks if task.stand_id}
    assert cut and set(one.first_plots.plots["stand_id"]) <= cut
    found = next_plots_answer(one)
    assert found.answer == "this winter" and "cut this winter" in found.words[0]
    idle = season(replace(one.place, plots=one.place.plots[:0], trees=one.place.trees[:0], tally=one.place.tally[:0]))
    assert next_plots_answer(idle).words[0] == "No stand is cut this winter, so the next plots are for the total."


def test_what_the_last_day_bought_is_the_place_without_it(otter):
    """The total before is that of the files without those plots; screen, JSON and report say one sentence."""
    now, sheet, words = read(otter, as_of=date(2026, 11, 25)), otter / "plots.csv", asked(otter)
    plots, trees = pd.read_csv(sheet, dtype=str), pd.read_csv(otter / "trees.csv", dtype=str)
    last = plots["date"].max()
    now, one = season(now), told(otter)
    sentence = last_day(now)
    assert f"The {int((plots['date'] == last).sum())} plots of " in sentence
    assert one["last_day"] == sentence and sentence in " ".join(words.split())
    assert sentence in answers(now, with_futures=False).measure_next
    plots[plots["date"] != last].to_csv(sheet, index=False)
    gone = plots.loc[plots["date"] == last, "plot_id"]
    trees[~trees["plot_id"].isin(gone)].to_csv(otter / "trees.csv", index=False)
    before = season(read(otter, as_of=date(2026, 11, 25)))
    whole = before.standing.totals["cords by all"]["all"], before.standing.ground["acres_with_plots"]
    assert now.before_last_day == whole


def test_one_day_of_plots_bought_nothing_over_another(otter):
    """Where all plots are of one day, or no day is written, nothing is said."""
    plots = pd.read_csv(otter / "plots.csv")
    for day in ("2026-02-21", ""):
        plots.assign(date=day).to_csv(otter / "plots.csv", index=False)
        assert "last_day" not in told(otter)


def test_points_are_kept_for_good(tmp_path):
    """Of a bare forty three now, ten in all; told on screen, sheet, phone and GPX."""
    shutil.copytree(SAMPLES / "first_forty", tmp_path / "forty", ignore=shutil.ignore_patterns("out", "plans"))
    place = tmp_path / "forty"
    for name in ("plots.csv", "trees.csv"):
        file = place / name
        file.write_text(file.read_text(encoding="utf-8").splitlines()[0] + "\n", encoding="utf-8")
    put = told(place)["first_plots"]
    assert [plot["for_good"] for plot in put["plots"]] == [True] * 3
    screen = " ".join(asked(place, "sheet").split())
    assert (
        "Mark their centers for good: the same points, measured again, tell growth 4 times as sharply as new." in screen
    )
    assert " ".join(asked(place).split()).count("mark its center for good") == 3
    for name in ("tally_sheets.html", "tally_phone.html", "first_plots.gpx"):
        assert "ark its center for good" in (place / "out" / name).read_text(encoding="utf-8")
    one = season(read(place, as_of=date(2026, 11, 25)))
    assert next_plots.kept_for_good(one.measured.stands, region=one.place.region) == {"1": 10}


def test_a_new_cruise_is_told_when_it_is_asked_for(otter):
    """--anew: plots in all as the sum of its stands, by spread and by acres."""
    anew = told(otter)["lacking"]["new_cruise"]
    for by in ("by_spread", "by_acres"):
        assert sum(one["plots"] for one in anew[by]) == anew["plots"]
    assert anew["by_spread"] != anew["by_acres"]
    assert anew["words"] in " ".join(asked(otter, "cruise", "--anew").split())
    assert "A cruise from nothing" not in asked(otter)

"""``woodlot grow`` and ``woodlot cut``: what the screen says and what --json and --csv hold."""

import html
import json
import re
import shutil
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot.cli import main

pytestmark = pytest.mark.usefixtures("once")
SAMPLE = str(Path(__file__).parent.parent.parent / "sample_parcels" / "otter_lake")
FORTY = str(Path(__file__).parent.parent.parent / "sample_parcels" / "first_forty")


def run(*args):
    """The command's result; anything but exit code 0 fails with its output."""
    told = CliRunner().invoke(main, [*args, "--as-of", "2026-11-25"])
    assert told.exit_code == 0, told.output
    return told


def test_grow_shows_low_middle_and_high():
    """The screen stays within 80 columns; low, middle and high in the heading of the path; marks of memory said."""
    told = run("grow", SAMPLE, "--years", "40").stdout
    assert max(map(len, told.splitlines())) <= 80
    assert all(word in told for word in ("low", "middle", "high", "picture", "From memory (m)", "cut since"))


def test_cut_shows_ceilings_plan_and_job():
    """Three ceilings side by side, the plan, and what to take by size."""
    told = run("cut", FORTY, "--more").stdout
    assert max(map(len, told.splitlines())) <= 80
    for word in (
        "growth:",
        "area check:",
        "Meyer's:",
        "this holds it",
        "full cords a year",
        "Jobs",
        "take",
        "felled without danger",
    ):
        assert word in told, word


def test_json_holds_unrounded_numbers_and_csv_one_row_a_stand(tmp_path):
    """--json alone on standard output; --csv beside it."""
    file = tmp_path / "cut.csv"
    told = json.loads(run("cut", SAMPLE, "--parcel", "kettle", "--json", "--csv", str(file)).stdout)
    assert {s["parcel_id"] for s in told["stands"]} == {"kettle"}
    assert told["limit_cords_per_yr"] != round(told["limit_cords_per_yr"], 2)
    rows = pd.read_csv(file)
    assert len(rows) == len(told["stands"]) and "ceiling_cords_per_yr" in rows
    grown = json.loads(run("grow", SAMPLE, "--stand", "7", "--json").stdout)
    assert [s["stand_id"] for s in grown["stands"]] == ["7"]


@pytest.mark.parametrize("verb", ["grow", "cut"])
def test_the_least_place_gets_an_answer_too(verb):
    """The first forty: a few plots, no cores, no ledger."""
    told = run(verb, FORTY).stdout
    assert "cords" in told


def test_cores_alone_are_told_and_say_what_they_leave_out(tmp_path):
    """Outlines and three cores, no plot: 1 - .75^2, 1 - .5^2, 1 - .75^2 in 10 years are 4.375, 7.5, 4.375 % a year."""
    for name in ("parcels.geojson", "stands.geojson", "place.toml"):
        shutil.copy(Path(FORTY) / name, tmp_path)
    rows = ("1,red maple,8,10,2", "1,red maple,8,10,4", "1,sugar maple,12,10,3")
    (tmp_path / "cores.csv").write_text("\n".join(("stand_id,species,dbh_in,years,growth_in", *rows)), encoding="utf-8")
    told = " ".join(run("grow", str(tmp_path)).stdout.split())
    assert "By cores alone: 5.4 percent a year" in told and "trees that died are not in it" in told
    grew = json.loads(run("grow", str(tmp_path), "--stand", "1", "--json").stdout)["cored"]
    assert grew["value"] == pytest.approx((4.375 + 7.5 + 4.375) / 3) and grew["n"] == 3
    assert "cored" not in json.loads(run("grow", FORTY, "--json").stdout)


def test_years_that_make_no_whole_periods_are_refused_in_words():
    """Ten years in steps of three."""
    told = CliRunner().invoke(main, ["cut", SAMPLE, "--step", "3"])
    assert told.exit_code == 1
    assert "no whole number of periods" in told.stderr


@pytest.mark.slow
def test_a_search_that_ended_at_its_node_limit_is_said_first_everywhere(monkeypatch, tmp_path):
    """One node for the schedule: the first paragraph of ``cut``, its JSON, the row of ``plan`` on what may be taken,
    the answers and the report hold the sentence; with the nodes of the table none does.
    """
    from woodlot.plan import scheduled
    from woodlot.say.cut import STOPPED

    few = {"schedule_nodes": 1.0, "schedule_gap": 1e-9}
    plain = scheduled.chosen
    home = shutil.copytree(SAMPLE, tmp_path / "lake", ignore=shutil.ignore_patterns("out"))
    wish = (home / "place.toml").read_text(encoding="utf-8")
    for number in (18, 100):  # posts of any wood: more ways to look at, until one node is not enough on this machine
        any_wood = f'pieces = [{{ product = "post", number = {number}, wood = "any" }}]'
        (home / "place.toml").write_text(wish.replace("posts = 12", any_wood), encoding="utf-8")
        assert STOPPED not in " ".join(run("cut", str(home)).stdout.split())
        monkeypatch.setattr(scheduled, "chosen", lambda name, region: few.get(name, plain(name, region)))
        (home / "place.toml").write_text(wish.replace("posts = 12", any_wood) + "\n", encoding="utf-8")  # read anew
        cut = " ".join(run("cut", str(home)).stdout.split("Thinned year by year")[0].split())
        if STOPPED in cut:
            break
        monkeypatch.setattr(scheduled, "chosen", plain)
    assert f"a year, until the next cruise. {STOPPED}" in cut
    assert STOPPED in json.loads(run("cut", str(home), "--json").stdout)["headline"]
    plan = " ".join(run("plan", str(home)).stdout.split())
    assert STOPPED in plan.split("This winter's work")[0]
    assert STOPPED in json.loads((home / "out" / "answers.json").read_text(encoding="utf-8"))["totals"]["cut_words"]
    assert STOPPED in (home / "out" / "report.html").read_text(encoding="utf-8")


def as_of(verb, place, day, *more):
    """What a verb says for a day."""
    told = CliRunner().invoke(main, [verb, str(place), "--as-of", day, *more])
    assert told.exit_code == 0, told.output
    return " ".join(told.stdout.split())


def test_grow_and_scale_say_which_day_their_cords_are_of():
    """scale: what the plots found, with their days; grow: today's, what the plots found, and what was cut since."""
    scaled, grown = as_of("scale", SAMPLE, "2026-11-25"), as_of("grow", SAMPLE, "2026-11-25")
    assert "This is what the plots found, measured from 6 November 2021 to 21 February 2026." in scaled
    assert "woodlot grow brings it to today" in scaled
    found = scaled.split(" full cords")[0].split()[-1]
    assert (
        f"Cords are those of 25 November 2026: 6,000 cords. The plots found {found} cords from 6 November 2021" in grown
    )
    assert "which is what woodlot scale shows; growth since then is added, less 19 cords cut since." in grown
    assert "Stand 10: Its trees are too small to measure" in grown


@pytest.mark.parametrize("verb", ["grow", "scale"])
def test_a_day_before_the_plots_is_said(verb):
    """As of 2020 every plot is still to come: said first, nothing grown, nothing that was cut later taken out."""
    told = as_of(verb, SAMPLE, "2020-05-01")
    assert "1 May 2020 is before the plots of every stand here that has plots" in told
    assert "cut since" not in told and "growth since then is added" not in told
    some = as_of(verb, SAMPLE, "2022-05-01")
    assert "1 May 2022 is before the plots of stand 1, 2, 3, " in some and "every stand" not in some


def test_a_stand_whose_plots_were_all_empty_grows_no_number(small_place):
    """Three plots without a tree: no basal area in twenty years, no growth, and the reason."""
    small_place.change("trees.csv", "4,1,red pine,11.5,66,50,,,,,\n4,2,red pine,8.0,,,,,,,\n", "")
    file = small_place.folder / "out.csv"
    told = as_of("grow", small_place.folder, "2026-11-25", "--csv", str(file))
    assert "Stand 2: No living tree of 5 inches stood on its plots: not enough measured to say what grows." in told
    row = pd.read_csv(file, dtype={"stand_id": str}).set_index("stand_id").loc["2"]
    assert row[["basal_sqft_per_ac", "later_sqft_per_ac", "growth_mid"]].isna().all() and row["cords"] == 0


def test_the_years_of_a_stand_are_one_sentence_everywhere(small_place):
    """The screen and --json of grow, the plan's answers, report and map; years.csv has the rows behind it."""
    home, out = small_place.folder, small_place.folder / "out"
    (stand,) = json.loads(run("grow", str(home), "--stand", "1", "--json").stdout)["stands"]
    line = stand["years_words"]
    assert line.startswith("Northern hardwoods, ") and "Uncut: " in line and "Cut by its guide: " in line
    screen = " ".join(run("grow", str(home), "--stand", "1").stdout.split())
    assert line in screen and "10, uncut" in screen and "50, cut" in screen
    run("plan", str(home))
    told = json.loads((out / "answers.json").read_text(encoding="utf-8"))
    first, second = told["stands"]
    assert (first["years_words"], first["years_told"]) == (line, stand["years_told"])
    report = re.sub(r"</?b>", "", (out / "report.html").read_text(encoding="utf-8"))
    card = (out / "map.html").read_text(encoding="utf-8")
    far = " Beyond 30 years this is a picture, not a forecast."
    assert line.endswith(far) and told["years_words"].endswith(far)  # on the report's page once, in its head
    for words in (line, second["years_words"]):
        assert html.escape(words.removesuffix(far)) in report
        assert words in card
    assert html.escape(told["years_words"]) in report
    rows = pd.read_csv(out / "tables" / "years.csv", dtype={"stand_id": str})
    assert len(rows) == sum(len(one["years_told"]) for one in told["stands"]) == 12
    assert rows["cords"].tolist() == pytest.approx([row["cords"] for s in told["stands"] for row in s["years_told"]])


def test_all_stands_in_the_years_told_fit_the_screen(small_place):
    """Today and three years uncut and cut of each stand; one that is not cut has empty cells; ten wide columns."""
    told = run("grow", small_place.folder.as_posix()).stdout
    table = told.split("What each stand will be, sq ft an acre")[1].splitlines()
    assert table[1].split("  ")[1:] and "cut: in 10" in table[1] and "in 50 years" in table[1]
    one, two = (line.split() for line in table[2:4])
    assert (one[0], len(one)) == ("1", 8) and (two[0], len(two)) == ("2", 5)
    assert "--stand tells one stand with its ranges" in " ".join(told.split())

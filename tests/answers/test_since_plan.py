"""What moved since the last plan: an invented place over three plans, version, faults, and what is not done twice."""

import datetime as dt
import html
import json
import re
import zipfile
from dataclasses import replace

import pytest
from click.testing import CliRunner

from woodlot import place, season
from woodlot.answers import since_plan as answering
from woodlot.answers.since_plan import DEER, DEER_ALONE, WOOD, WOOD_ALONE, first_figures, since_plan
from woodlot.answers.whole import answers
from woodlot.cli import main
from woodlot.place import kept_plans
from woodlot.place.kept_plans import PARTS

FIRST, SECOND, THIRD = "2026-11-01", "2026-11-20", "2027-11-20"
LEDGER = "line,date,stand_id,kind,amount,unit\n1,2026-10-12,1,firewood,2,cord\n"
MORE = "2,2026-11-15,1,firewood,2,cord\n3,2026-11-16,1,firewood,3.5,cord\n4,2026-11-17,2,seen,,\n"


def run(*words, fails=False):
    """What a verb prints; a caution stands on standard error."""
    done = CliRunner(env={"COLUMNS": "100"}).invoke(main, [str(word) for word in words], catch_exceptions=False)
    assert (done.exit_code != 0) == fails, done.output
    return done


def planned(small_place, day):
    """The answer on what moved, as a plan of that day writes it; None where there is nothing to compare with."""
    told = json.loads(run("plan", small_place.folder, "--as-of", day, "--json").stdout)
    return told["changed"].get("plan")


def moves(told, number):
    """What -> how much, of one number."""
    one = next(one for one in told["numbers"] if one["number"] == number)
    total = (one["now"] or 0.0) - (one["then"] or 0.0)
    assert sum(by["amount"] for by in one["by"]) == pytest.approx(total, abs=1e-9)
    return {by["what"]: by["amount"] for by in one["by"]}


def write(small_place, name, text, how="w"):
    """Text into a file of the place."""
    with (small_place.folder / name).open(how, encoding="utf-8") as file:
        file.write(text)


@pytest.fixture
def counted(small_place):
    """The place with a spring of pellets that sets a number (two plots with two groups set none), planned once."""
    rows = [f"p{i},{i // 8},2026-04-20,4,{i % 2},180,home,," for i in range(24)]
    write(small_place, "pellets.csv", "\n".join(rows) + "\n", how="a")
    write(small_place, "ledger.csv", LEDGER)
    assert planned(small_place, FIRST) is None
    return small_place


@pytest.fixture
def first(small_place):
    """The place with a note, planned once."""
    write(small_place, "ledger.csv", LEDGER)
    assert planned(small_place, FIRST) is None
    return small_place


def test_three_plans_of_a_place(first):
    """A plot more and three notes, then a setting and a year: each number says what moved it, and the rest did not."""
    write(first, "plots.csv", "6,1,A,2026-11-10,prism,10,,,,\n", "a")
    write(first, "trees.csv", "6,1,sugar maple,16,70,48,2,,,,\n6,2,red maple,13,64,40,,,,,\n", "a")
    write(first, "ledger.csv", MORE, "a")
    second = planned(first, SECOND)
    assert second["day"] == FIRST and set(moves(second, "cords")) == {"plots"} and moves(second, "cords")["plots"] > 0
    words = " ".join(second["words"])
    assert "by plot 6 in stand 1 measured" in words
    notes = "notes 2 to 4 (5.5 cords of firewood in stand 1, seen in stand 2)"
    assert notes in words
    first.change("place.toml", "firewood_cord = 7.5", "firewood_cord = 9")
    third = planned(first, THIRD)
    assert third["day"] == SECOND and moves(third, "cords") == {}
    assert set(moves(third, "heat_short_cords")) == {"day", "settings"}
    assert moves(third, "heat_short_cords")["settings"] == pytest.approx(1.5)
    line = next(line for line in third["words"] if line.startswith("Heat:"))
    assert "+1.5 by firewood_cord 9 (was 7.5)" in line and "the 365 days since" in line
    assert moves(third, "does") == {} and third["still"] == []


def test_the_steps_are_the_numbers_of_places_half_way(first):
    """The share of the notes is what a place of today with the plots of before lacks beside one with both."""
    old = (first.folder / "plots.csv").read_text()
    write(first, "ledger.csv", MORE, "a")
    write(first, "plots.csv", "6,1,A,2026-11-10,prism,10,,,,\n", "a")
    told = planned(first, SECOND)
    with_both = (first.folder / "plots.csv").read_text()
    ledger = (first.folder / "ledger.csv").read_text()
    day = dt.date.fromisoformat(SECOND)
    heat = {}
    for name, plots, notes in (("last", old, LEDGER), ("plots", with_both, LEDGER), ("both", with_both, ledger)):
        write(first, "plots.csv", plots)
        write(first, "ledger.csv", notes)
        heat[name] = first_figures(season.season(place.read(first.folder, day)))
    for number in ("cords", "heat_short_cords", "this_winter_cords"):
        by = moves(told, number)
        assert by.get("plots", 0.0) == pytest.approx(heat["plots"][number] - heat["last"][number])
        assert by.get("ledger", 0.0) == pytest.approx(heat["both"][number] - heat["plots"][number])


def test_a_plan_run_twice_on_a_day_says_the_same(first):
    """The second is compared with the same earlier plan, and writes the same bytes."""
    write(first, "ledger.csv", MORE, "a")
    told = [run("plan", first.folder, "--as-of", SECOND).stdout for _ in range(2)]
    assert told[0] == told[1] and "Since last plan" in told[0]
    assert "since the plan of 1 Nov 2026" in " ".join(told[0].split())
    assert sorted(path.name for path in (first.folder / "plans").iterdir()) == [f"{FIRST}.zip", f"{SECOND}.zip"]


def test_a_day_alone_is_told_in_a_short_sentence_and_kept_once(first):
    """Nothing handed in, a day later: nothing moved, and the plan of before says where the same is kept."""
    told = " ".join(run("plan", first.folder, "--as-of", "2026-11-02").stdout.split())
    assert "Since last plan: Nothing moved (since the plan of 1 Nov 2026). No hand-in changed." in told
    assert f"Kept for the next plan: plans/{FIRST}.zip." in told
    assert [path.name for path in (first.folder / "plans").iterdir()] == [f"{FIRST}.zip"]


def test_files_saved_anew_moved_nothing_and_are_named(first):
    """A spreadsheet wrote the same rows with quotation marks: no number moves, and the file is said."""
    text = (first.folder / "winters.csv").read_text().replace("wisconsin", '"wisconsin"')
    write(first, "winters.csv", text)
    told = planned(first, SECOND)
    assert told["still"] == ["winters.csv changed"]
    assert told["words"][-1] == "Moved nothing that shows: winters.csv changed."


def test_first_plots_give_a_first_number(first):
    """Without a plot there was no number; now there is one, by the plots."""
    plots, trees = ((first.folder / name).read_text() for name in ("plots.csv", "trees.csv"))
    for name, text in (("plots.csv", plots), ("trees.csv", trees)):
        write(first, name, text.splitlines()[0] + "\n")
    (first.folder / "plans" / f"{FIRST}.zip").unlink()
    assert planned(first, FIRST) is None
    write(first, "plots.csv", plots)
    write(first, "trees.csv", trees)
    told = planned(first, SECOND)
    cords = next(one for one in told["numbers"] if one["number"] == "cords")
    assert cords["then"] is None and moves(told, "cords") == {"plots": cords["now"]}
    line = next(line for line in told["words"] if line.startswith("What stands"))
    assert "full cords, no number then: by plots 1 to 3 in stand 1 measured and plots 4, 5 in stand 2" in line


def test_a_hand_in_taken_out_is_named(counted):
    """The counts of pellets go: the deer have no number now, by what is gone."""
    (counted.folder / "pellets.csv").unlink()
    (counted.folder / "browse.csv").unlink()
    told = planned(counted, SECOND)
    deer = next(one for one in told["numbers"] if one["number"] == "deer_per_sqmi")
    assert (
        deer["then"] is not None and deer["now"] is None and moves(told, "deer_per_sqmi") == {"pellets": -deer["then"]}
    )
    line = next(line for line in told["words"] if line.startswith("Deer this fall:"))
    assert "no number now" in line and "pellet plots of 20 Apr 2026 gone" in line


def rewritten(first, change):
    """The kept plan with another word on itself."""
    path = first.folder / "plans" / f"{FIRST}.zip"
    with zipfile.ZipFile(path) as packed:
        files = {name: packed.read(name) for name in packed.namelist()}
    about = json.loads(files["out/plan.json"])
    change(about, files)
    files["out/plan.json"] = json.dumps(about)
    with zipfile.ZipFile(path, "w") as packed:
        for name, data in files.items():
            packed.writestr(name, data)


def test_a_new_version_is_a_line_of_its_own(counted):
    """Other numbers by another woodlot on the same files: told apart from what the family did, and no share of it."""
    now = first_figures(season.season(place.read(counted.folder, dt.date.fromisoformat(FIRST))))

    def older(about, files):
        about["version"] = "0.0.9"
        about["numbers"]["cords"] = now["cords"] + 40.0
        about["numbers"]["deer_per_sqmi"] = now["deer_per_sqmi"] - 3.0

    rewritten(counted, older)
    write(counted, "plots.csv", "6,1,A,2026-11-10,prism,10,,,,\n", "a")
    told = planned(counted, SECOND)
    assert moves(told, "cords")["version"] == pytest.approx(-40.0) and "plots" in moves(told, "cords")
    assert moves(told, "deer_per_sqmi") == pytest.approx({"version": 3.0})
    own = [line for line in told["words"] if line.startswith("Not your doing")]
    assert len(own) == 1 and own[0].startswith("Not your doing, but woodlot 0.1.0 in place of 0.0.9: ")
    assert "what stands -40" in own[0] and "deer this fall +3" in own[0]
    others = " ".join(line for line in told["words"] if line not in own)
    assert "woodlot" not in others and "Deer:" not in others


def test_other_numbers_of_the_same_version_are_told_too(first):
    """A library may give another number where woodlot's own did not change."""

    def other(about, files):
        about["numbers"]["meat_lb"] = 400.0

    rewritten(first, other)
    told = planned(first, SECOND)
    assert any("still 0.1.0" in line and "venison" in line for line in told["words"])


def test_a_plan_before_a_number_was_followed_has_no_number_of_it(first):
    """A name it does not know is none, and one that is followed no more is left out."""

    def other(about, files):
        about["numbers"]["acorns"] = about["numbers"].pop("meat_lb")

    rewritten(first, other)
    told = planned(first, SECOND)
    assert "acorns" not in {one["number"] for one in told["numbers"]}
    assert next(one for one in told["numbers"] if one["number"] == "meat_lb")["then"] is None


def test_files_that_cannot_be_read_any_more_are_said(first):
    """What the last plan rested on is refused today: all that moved goes together, with that said."""

    def refused(about, files):
        files["trees.csv"] = files["trees.csv"].replace(b"sugar maple", b"gingerbread tree")
        about["numbers"]["cords"] = 1.0

    rewritten(first, refused)
    told = planned(first, SECOND)
    assert set(moves(told, "cords")) == {"together"}
    assert any("cannot read the last plan's files any more together with the 19 days since" in w for w in told["words"])


def test_hand_ins_that_do_not_go_together_are_exchanged_together(first):
    """Stand 2 is called 3 now, on the map and in the plots: neither can be read without the other."""
    for name in ("plots.csv", "stands.geojson"):
        text = (first.folder / name).read_text()
        text = text.replace('"stand_id": "2"', '"stand_id": "3"').replace("4,2,,", "4,3,,").replace("5,2,,", "5,3,,")
        write(first, name, text)
    told = planned(first, SECOND)
    for number in told["numbers"]:
        assert {by["what"] for by in number["by"]} <= {"day", "together"}
    said = " ".join(told["words"])
    assert "stand 3 new and stand 2 gone together with plots 4, 5 in stand 3 corrected" in said


def test_a_raster_that_changed_has_what_remains(first, samples):
    """It is named, and no copy of it is kept."""
    (first.folder / "elevation.tif").write_bytes((samples / "otter_lake" / "elevation.tif").read_bytes())

    def other(about, files):
        about["numbers"]["cords"] += 50.0

    rewritten(first, other)
    told = planned(first, SECOND)
    assert moves(told, "cords") == pytest.approx({"rasters": -50.0})
    assert any("-50 by the raster elevation.tif" in line for line in told["words"])


def test_level_and_region_that_were_asked_for_are_settings(first):
    """A plan asked at another level has another ceiling, and that is said."""
    told = json.loads(run("plan", first.folder, "--as-of", SECOND, "--level", 0.6, "--json").stdout)["changed"]["plan"]
    assert "--level 0.6 (was 0.9)" in " ".join(told["words"])
    told = json.loads(run("plan", first.folder, "--as-of", SECOND, "--region", "base", "--json").stdout)
    assert "--region base (was lake_states)" in " ".join(told["changed"]["plan"]["words"])


def test_a_place_in_another_folder_is_the_same_place(first, tmp_path):
    """Its plans go with it, and nothing moved by the move."""
    moved = first.folder.rename(tmp_path / "moved")
    told = " ".join(run("plan", moved, "--as-of", "2026-11-02").stdout.split())
    assert "Nothing moved (since the plan of 1 Nov 2026). No hand-in changed." in told


def test_a_plan_that_cannot_be_opened_is_said_and_the_plan_goes_on(first):
    """With a caution beside the screen; the plan of the day is kept."""
    (first.folder / "plans" / f"{FIRST}.zip").write_bytes(b"PK")
    done = run("plan", first.folder, "--as-of", SECOND)
    assert "Since last plan" not in done.stdout
    assert f"plans/{FIRST}.zip cannot be read, so nothing is compared with it." in " ".join(done.stderr.split())
    assert (first.folder / "plans" / f"{SECOND}.zip").is_file()


def test_a_plan_that_cannot_be_kept_is_said_and_the_plan_goes_on(small_place):
    """A file lies where the folder should be: screen and results are whole, and nothing claims to be kept."""
    write(small_place, "plans", "mine")
    done = run("plan", small_place.folder, "--as-of", FIRST)
    assert "What stands:" in done.stdout and "Kept for" not in done.stdout
    assert "This plan is not kept" in done.stderr and (small_place.folder / "out" / "map.html").is_file()
    assert (small_place.folder / "plans").read_text() == "mine"


def test_screen_report_and_json_say_the_same(first):
    """Each line of the answer stands on the screen and in the report, at most six."""
    write(first, "plots.csv", "6,1,A,2026-11-10,prism,10,,,,\n", "a")
    screen = " ".join(run("plan", first.folder, "--as-of", SECOND).stdout.split())
    told = json.loads((first.folder / "out" / "answers.json").read_text())
    report = (first.folder / "out" / "report.html").read_text()
    lines = told["changed"]["plan"]["words"]
    assert 0 < len(lines) <= 6
    for line in lines:
        assert line in screen and line in report
    row = next(row for row in told["rows"] if row["topic"] == "moved")
    assert row["why"] == " ".join(lines) and row["number"] in screen


def test_the_report_has_every_number_on_a_page_and_none_without_an_earlier_plan(first):
    """Eight rows with then, now and what moved it; what did not move says so."""
    report = first.folder / "out" / "report.html"
    assert "what moved it" not in report.read_text()
    write(first, "plots.csv", "6,1,A,2026-11-10,prism,10,,,,\n", "a")
    told = planned(first, SECOND)
    page = report.read_text().partition("what moved it</th></tr>")[2].partition("</table>")[0]
    assert page.count("<tr>") == len(told["numbers"]) == 8
    shown = {line.split(":")[0] for line in told["words"]}
    rows = dict(re.findall("<tr><td>(.*?)<br>.*?</td><td>(.*?)</td></tr>", page))
    assert shown and {title for title, by in rows.items() if "did not move" not in by} == {
        html.escape(title) for title in shown
    }


def test_why_changed_has_every_share_and_the_lines_of_the_plan(first):
    """Also shares too small to show; without an earlier plan it says where one would be kept."""
    write(first, "plots.csv", "6,1,A,2026-11-10,prism,10,,,,\n", "a")
    why = json.loads(run("why", "changed", first.folder, "--as-of", SECOND, "--json").stdout)
    told = planned(first, SECOND)
    shares = [(one["title"], by["words"], by["amount"]) for one in told["numbers"] for by in one["by"]]
    rows = why["tables"]["What moved"]
    assert [(row["number"].split(",")[0], row["by"], row["moved"]) for row in rows] == shares
    assert why["sentences"][1:-1] == told["words"]
    assert "since the plan of 1 Nov 2026." in run("why", "changed", first.folder, "--as-of", SECOND).stdout
    none = run("why", "changed", first.folder, "--as-of", FIRST).stdout
    assert "No plan of an earlier day is kept in plans/." in none and "What moved" not in none


def test_numbers_are_those_of_the_answers(samples):
    """What is followed is what the first screen shows."""
    asked = season.season(place.read(samples / "otter_lake", as_of=dt.date(2026, 11, 25)))
    told, now = answers(asked), first_figures(asked)
    assert now == {
        "cords": told.totals.cords.value,
        "ceiling_cords_per_yr": told.totals.ceiling_cords_per_yr,
        "this_winter_cords": told.totals.this_winter_cords,
        "heat_short_cords": told.heat.short.value,
        "deer_per_sqmi": told.deer.fall_per_sqmi.value,
        "does": told.deer.take.does,
        "bucks": told.deer.take.bucks,
        "meat_lb": told.deer.take.meat_lb.value,
    }


def test_what_is_worked_out_again_leaves_no_trace(first):
    """Sources and warnings of the answer are those of a plan that is compared with nothing."""
    write(first, "ledger.csv", MORE, "a")
    asked = season.season(place.read(first.folder, dt.date.fromisoformat(SECOND)))
    last, _ = kept_plans.last_before(first.folder, asked.day)
    alone = answers(asked)
    both = answers(asked, kept_plans.kept(asked.place, asked.level, first_figures(asked)), last)
    assert both.changed.plan is not None and alone.changed.plan is None
    bare = replace(both, changed=alone.changed, rows=alone.rows)
    assert bare == alone


class Watched:
    """A place that notes which of its tables are asked for."""

    def __init__(self, whole):
        """Watch a place."""
        self.__dict__["whole"], self.__dict__["asked"] = whole, set()

    def __getattr__(self, name):
        """A field of the place."""
        self.asked.add(name)
        return getattr(self.whole, name)


@pytest.mark.parametrize(("of", "alone"), [(WOOD, DEER_ALONE), (DEER, WOOD_ALONE)])
def test_what_is_not_worked_out_again_rests_on_nothing_that_was_exchanged(samples, of, alone):
    """No number of the wood asks for a table of the deer's alone, and the other way round."""
    watched = Watched(place.read(samples / "otter_lake", as_of=dt.date(2026, 11, 25)))
    first_figures(season.Season(watched, 0.9), of)
    tables = {table for part in alone for table in PARTS[part]} | {f"earlier_{name}" for name in ("plots", "trees")}
    assert "stands" in watched.asked
    assert not watched.asked & (tables if of is DEER else tables - {"earlier_plots", "earlier_trees"})


def test_only_what_changed_is_worked_out_again(first, monkeypatch):
    """A table of the deer: two whole seasons, the last under this woodlot and of today, and no third of the wood.

    Plots move both: they tell the light over seedlings.
    """
    asked = []
    real = answering.first_figures

    def noted(one, of=None):
        asked.append("all" if of is None else "wood" if of is WOOD else "deer")
        return real(one, of)

    monkeypatch.setattr(answering, "first_figures", noted)

    def again():
        one = season.season(place.read(first.folder, dt.date.fromisoformat(SECOND)))
        now = kept_plans.kept(one.place, one.level, real(one))
        asked.clear()
        since_plan(one, now, kept_plans.last_before(first.folder, one.day)[0])
        return list(asked)

    assert again() == ["all"]
    write(first, "bag.csv", "2026,buck,,1,,10,home\n", "a")
    assert again() == ["all", "all"]
    write(first, "winters.csv", "2025,50,wisconsin,,,\n", "a")
    assert again() == ["all", "all", "deer"]
    write(first, "plots.csv", "6,1,A,2026-11-10,prism,10,,,,\n", "a")
    assert again() == ["all", "all", "all", "deer"]


def test_what_the_woodpile_taught_is_a_mover_of_its_own(first):
    """A stack of a job: its line moves heat, what it taught moves the cords that stand, each by its own share."""
    day = dt.date.fromisoformat(SECOND)
    then = first_figures(season.season(place.read(first.folder, day)))["cords"]
    job = "2,2026-11-10,,measured stack,3.6,cord,job: barn; foretold 4.2 cords of 10 trees"
    write(first, "ledger.csv", f"line,date,stand_id,kind,amount,unit,text\n1,2026-10-12,1,firewood,2,cord,\n{job}\n")
    told = planned(first, SECOND)
    now = first_figures(season.season(place.read(first.folder, day)))["cords"]
    assert moves(told, "cords") == {"woodpile": pytest.approx(now - then)} and now < 0.95 * then
    assert "your woodpile, of which 1 job lowered the table" in " ".join(told["words"])

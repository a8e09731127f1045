"""A place without plots, one stand where only the place has an answer, and how near to come."""

import json
import re
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from woodlot.cli import main
from woodlot.say import first
from woodlot.say import ground as ground_words

SAMPLES = Path(__file__).parent.parent.parent / "sample_parcels"
DAY = ["--as-of", "2026-11-25"]
pytestmark = pytest.mark.usefixtures("once")


@pytest.fixture
def bare(tmp_path):
    """The sample forty before anybody put a plot in it."""
    for name in ("place.toml", "parcels.geojson", "stands.geojson"):
        shutil.copy(SAMPLES / "first_forty" / name, tmp_path)
    return tmp_path


def said(*typed, code=0):
    """Standard output of one verb on one line; it must end with the code."""
    done = CliRunner().invoke(main, [str(t) for t in typed])
    assert done.exit_code == code, done.output + str(done.exception)
    return " ".join((done.stdout if code == 0 else done.stderr).split())


@pytest.mark.parametrize("verb", ["cruise", "scale", "plan"])
def test_no_plots_is_said_in_words_not_as_acres_of_nothing(bare, verb):
    """No "0.0 of 38.7 acres", no sentence that begins in lower case, no praise for plots that are not there."""
    told = said(verb, bare, *DAY)
    assert "None of the 38.7 acres has a plot yet." in told
    assert "0.0 of" not in told and "On 0.0 acres" not in told and "Every stand" not in told
    assert not re.search(r"\. no number yet", told)
    if verb == "plan":
        report = (bare / "out" / "report.html").read_text(encoding="utf-8")
        assert "None of the 38.7 acres has a plot yet." in report and "0.0 of" not in report


@pytest.mark.parametrize(
    ("acres", "with_plots", "told"),
    [
        (0.0, 0.0, "No stand is drawn yet, so no wood can be counted."),
        (38.7, 0.0, "None of the 38.7 acres has a plot yet."),
        (38.7, 38.7, "All 38.7 acres have plots."),
        (223.9, 191.5, "191.5 of 223.9 acres have plots; 32.4 have none and are left out."),
    ],
)
def test_acres_behind_the_numbers(acres, with_plots, told):
    """None, all, some, and no stand at all are four sentences."""
    ground = {"acres": acres, "acres_with_plots": with_plots, "acres_without": acres - with_plots}
    assert ground_words.acres_behind(**ground) == told


@pytest.mark.parametrize(
    ("with_plots", "away", "told"),
    [
        (0.0, 39.8, "None of the 59.6 acres has a plot yet. 39.8 of the 59.6 lie"),
        (59.6, 59.6, "All 59.6 acres have plots. All of the 59.6 lie"),
        (39.8, 39.8, "39.8 of 59.6 acres have plots; 19.8 have none and are left out. 39.8 of the 59.6 lie"),
    ],
)
def test_acres_in_no_parcel_are_said_with_them(with_plots, away, told):
    """Whoever adds up the parcels must know why the sum is less than the whole."""
    ground = {"acres": 59.6, "acres_with_plots": with_plots, "acres_without": 59.6 - with_plots}
    end = " outside every parcel and stand in no parcel's number."
    assert ground_words.acres_behind(**ground, acres_no_parcel=away) == told + end


def test_nothing_to_measure_next_is_true_of_the_stands_there_are():
    """Every stand has plots only where every stand has."""
    said_of = [first.no_next(plots, ()).why for plots in ([], [3], [3, 0])]
    assert said_of[0] == "There is no ground to put a plot on."
    assert said_of[1] == "Every stand has plots."
    assert first.no_next([3, 0], ["The total is within 21%."]).why == "The total is within 21%."
    assert said_of[2].startswith("Every stand that can be worked has plots")


def test_why_has_an_answer_for_a_place_without_plots(bare):
    """One sentence that says what would give a number, and no counts of nothing."""
    for what in ("cords", "bdft", "basal"):
        told = said("why", what, bare, *DAY)
        assert "No number yet. Nobody has put a plot here." in told and "0 plots" not in told
    told = said("why", "cut", bare, *DAY)
    assert "until the next cruise: no number yet." in told and "0 cords" not in told


def test_why_basal_without_a_stand_is_the_places_own():
    """First_forty has one stand: basal area of the place is that of the stand, 1 row in the list of stands."""
    place = SAMPLES / "first_forty"
    told = json.loads(CliRunner().invoke(main, ["why", "basal", str(place), "--json", *DAY]).stdout)
    one = json.loads(CliRunner().invoke(main, ["why", "basal", str(place), "--stand", "1", "--json", *DAY]).stdout)
    assert told["sentences"][0] == one["sentences"][0] and "sq ft an acre (" in one["sentences"][0]
    assert [row["stand"] for row in told["tables"]["Stands"]] == ["1"]
    assert "times" not in " ".join(one["sentences"])


@pytest.mark.parametrize("what", ["heat", "deer", "take"])
def test_why_of_one_stand_where_only_the_place_has_an_answer(bare, what):
    """The first sentence says so, the title names no stand, and the place's answer follows."""
    told = said("why", what, bare, "--stand", "1", *DAY)
    assert "for the whole place, not for one stand." in told and "stand 1 25 November" not in told
    assert said("why", what, bare, *DAY).split("2026", 1)[1].strip() in told


def test_cruise_counts_plots_for_the_nearness_asked(tmp_path):
    """Within 30% needs more plots than within 40%; the text says the number asked for; --error is no option."""
    place = SAMPLES / "otter_lake"

    def still(within):
        told = json.loads(CliRunner().invoke(main, ["cruise", str(place), "--within", within, "--json"]).stdout)
        assert told["within_pct"] == float(within)
        return {s["stand_id"]: s["plots_still"] for s in told["stands"] if s["plots_still"] is not None}

    near, far = still("30"), still("40")
    both = near.keys() & far.keys()
    assert len(both) > 5 and sum(near[k] for k in both) > sum(far[k] for k in both)
    assert "alone within 40%" in said("cruise", place, "--within", "40")
    assert "No such option" in said("cruise", place, "--error", "40", code=2)


def test_a_stand_that_is_not_there_is_answered_with_those_that_are(bare):
    """Otter lake has 1 to 19, the forty only 1; why without a number lists what can be asked for."""
    assert "there is no stand '99'; there are 1 to 19." in said(
        "cruise", SAMPLES / "otter_lake", "--stand", "99", code=1
    ).replace("There", "there")
    assert "no stand '7'; there is only 1." in said("cruise", bare, "--stand", "7", code=1)
    told = "Say which number: cords, bdft, basal, cut, heat, deer, take, cover, sugarbush, changed or builds."
    assert told in said("why", code=2)

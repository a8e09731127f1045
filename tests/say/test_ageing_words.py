"""How a stand ages, in words: never one year of break-up, what is due, what follows, whose age is asked."""

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from woodlot.cli import main
from woodlot.say import ageing

OTTER = Path(__file__).parent.parent.parent / "sample_parcels" / "otter_lake"
DAY = ["--as-of", "2026-11-25"]


def told(due, age, pace="mid", brush=False):
    """Words of aspen of an age."""
    return ageing.breaks_up("quaking aspen", age, 45.0, (55.0, 65.0), (70.0, 105.0), pace, due, brush)


def test_words_by_age():
    """Worth waiting for, due, past: each with both ends, what follows only from due on."""
    waits, due, past = told("waits", 34), told("due", 50, "slow"), told("past", 64, "fast", brush=True)
    assert waits == (
        "Quaking aspen of 34 years, worth cutting before age 45. It begins to fall apart at 55 to 65, and half of it "
        "is gone at 70 to 105 years (assumptions)."
    )
    assert "due now" in due and "the late end is the likelier" in due and due.endswith("small under it go on.")
    assert "falling apart: take what is wanted soon, or leave it. Half of it is gone at 70 to 105 years" in past
    assert "the early end is the likelier" in past and "Brush follows" in past and "begins" not in past


def test_stands_that_say_the_same_share_a_line_and_each_kind_has_its_ages_once():
    """Three stands of two kinds and two sentences; a stand without ages of its kind adds none."""
    ages = ageing.ages_line("quaking aspen", (55.0, 65.0), (70.0, 105.0))
    due = ageing.due_line("quaking aspen", 50.0, 45.0, "due")
    assert ageing.briefly([("3", due, ages), ("10", due, ages), ("9", "Old.", "")]) == (
        "Stands 3 and 10: Quaking aspen of 50 years, due now.",
        "Stand 9: Old.",
        "Quaking aspen begins to fall apart at 55 to 65 years, and half of it is gone at 70 to 105 (assumptions).",
    )
    assert ageing.briefly([]) == ()


def test_words_of_an_age_that_is_asked_or_high_and_of_the_account():
    """Nothing beyond ten years is foretold; a share in a hundred; what breaks up is in no lasting cut."""
    asked = ageing.age_asked("balsam fir", 10.0)
    assert "Balsam fir: its age is not written, so nobody can say when it falls apart. Nothing beyond 10 years" in asked
    assert ageing.few_reach("red maple", 120.0, 0.123) == (
        "Red maple of 120 years: about 12 in 100 such trees reach that age."
    )
    plain = ageing.account(20, 2.04, 0.5, 1.2, 0.0)
    assert plain == (
        "A mean acre, uncut, over 20 years: trees that live add 2.0 sq ft a year, young ones 0.5; deaths take 1.2."
    )
    assert ageing.account(20, 2.0, 0.5, 1.2, 31.0).endswith(
        "31 cords fall apart by age; no cut that is to last counts them."
    )


def grown(folder, *more):
    """What grow answers as JSON, and shows."""
    out = [CliRunner().invoke(main, ["grow", str(folder), *DAY, *more, *kind]) for kind in (["--json"], [])]
    assert all(one.exit_code == 0 for one in out), out[0].output + out[1].output
    return json.loads(out[0].stdout), " ".join(out[1].stdout.split())


def test_grow_says_of_each_stand_how_it_ages():
    """Stand 3 waits, 11 is due, 19 falls apart; screen and JSON have the same sentences and the account's cords."""
    answer, screen = grown(OTTER, "--years", "40")
    by = {one["stand_id"]: one for one in answer["ageing"]}
    assert {"3", "11", "15", "19"} <= set(by) and not {"1", "7", "13"} & set(by)
    assert "worth cutting before age 45" in by["3"]["words"] and "due now" in by["11"]["words"]
    assert (
        by["19"]["falling_apart"]
        and not by["11"]["falling_apart"]
        and "falling apart" in by["19"]["words"]
        and by["19"]["pace"] == "fast"
    )
    assert all(line in screen for line in answer["ageing_words"])
    assert (
        screen.count("Quaking aspen begins to fall apart at 55 to 65 years, and half of it is gone at 70 to 105") == 1
    )
    assert "Stand 11: Balsam fir of 57 years, due now." in screen
    account = answer["account"]
    assert account["words"] in screen and account["broken_cords"] > 100.0 and account["years"] == 40


@pytest.mark.slow
def test_no_forecast_beyond_ten_years_without_an_age(tmp_path):
    """Without stand 3's age nothing is told of its basal area in forty years, but in ten; its cords stay as in ten."""
    folder = tmp_path / "place"
    shutil.copytree(OTTER, folder)
    stands = json.loads((folder / "stands.geojson").read_text())
    for feature in stands["features"]:
        if str(feature["properties"]["stand_id"]) == "3":
            feature["properties"]["age_yr"] = None
            feature["properties"].pop("origin_year", None)
    (folder / "stands.geojson").write_text(json.dumps(stands))
    long, screen = grown(folder, "--stand", "3", "--years", "40")
    short, _ = grown(folder, "--stand", "3", "--years", "10")
    assert long["stands"][0]["later_sqft_per_ac"] is None and short["stands"][0]["later_sqft_per_ac"] > 50
    assert long["ageing"][0]["age_asked"] and "its age is not written" in screen
    assert long["path"][-1]["mid"] == pytest.approx(short["path"][-1]["mid"])

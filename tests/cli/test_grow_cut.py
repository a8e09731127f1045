"""``woodlot grow`` and ``woodlot cut``: what the screen says and what --json and --csv hold."""

import json
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot.cli import main

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
    assert all(word in told for word in ("low", "middle", "high", "scenario", "From memory (m)", "cut since"))


def test_cut_shows_ceilings_plan_and_job():
    """Three ceilings side by side, the plan, and what to take by size."""
    told = run("cut", SAMPLE).stdout
    assert max(map(len, told.splitlines())) <= 80
    for word in ("net growth:", "area:", "Meyer:", "full cords a year", "When", "take", "felled without danger"):
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


def test_years_that_make_no_whole_periods_are_refused_in_words():
    """Ten years in steps of three."""
    told = CliRunner().invoke(main, ["cut", SAMPLE, "--step", "3"])
    assert told.exit_code == 1
    assert "no whole number of periods" in told.stderr

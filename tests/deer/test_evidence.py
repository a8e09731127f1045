"""All counts side by side: what each measures, what it does to the number, and what they say together."""

import json

import numpy as np
import pandas as pd
import pytest

from woodlot.answers.as_json import as_json
from woodlot.deer.complete import Rate
from woodlot.deer.counts import seen_by_fall
from woodlot.deer.evidence import evidence, state_figure
from woodlot.deer.herd_answer import herd_answer
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_fit import Fall, Ground
from woodlot.deer.options import DeerSettings
from woodlot.deer.record import Record
from woodlot.errors import InputError
from woodlot.estimate import reason
from woodlot.region import shipped
from woodlot.say.reasons import said, worded

REGION = shipped("base")


def seen(known=9, seasons=(2024, 2025, 2026)):
    """A fall of cameras and three seasons of sightings."""
    camera = {"method": "camera", "station": "a", "hours": 336.0, "bucks": 150, "spikes": 30, "does": 210, "fawns": 105}
    rows = [camera | {"date": pd.Timestamp(2026, 10, 1), "unknown": 0, "bucks_known": known, "baited": False}]
    for year in seasons:
        for i in range(8):
            rows.append(
                {"date": pd.Timestamp(year, 11, 20 + i % 5), "method": "sighting", "station": "s", "hours": 4.0}
                | {"bucks": 0, "spikes": 0, "does": 1 + i % 2, "fawns": 0, "unknown": 0, "bucks_known": np.nan}
                | {"baited": False}
            )
    return pd.DataFrame(rows)


def herd(groups=20, kill=(None, None), state=None, counts=None, why_not=None):
    """The herd of three springs of so many groups on 100 plots."""
    seen_in = seen_by_fall(counts, REGION)
    falls = [
        Fall(
            year,
            winter_loss=0.07,
            pellets=PelletCount(groups, 100, groups / 100, 0.00115394 * 180, 0.3) if groups and year < 2026 else None,
            fawns=tuple(seen_in.loc[year, ["fawns", "does"]]) if year in seen_in.index and year == 2026 else None,
            an_hour=tuple(seen_in.loc[year, ["sighting_deer", "sighting_hours"]]) if year in seen_in.index else None,
            state=state if year == 2026 else None,
        )
        for year in (2023, 2024, 2025, 2026)
    ]
    record = Record(2026, tuple(falls), Ground(230, 1614, 0.15, kill=kill), (), (), why_not, Rate(25, 0.45))
    return herd_answer(record, seed=2, region=REGION)


def ask(counts=None, options=None, **known):
    """The evidence of such a herd."""
    return evidence(herd(counts=counts, **known), counts, DeerSettings(**(options or {})), REGION)


def test_each_count_says_what_it_measures_and_does():
    """Pellets the use of the acres, cameras ratios and deer that walk there, sightings a trend; all of it JSON-able."""
    told = ask(seen(), {"state_per_sqmi": 22}, kill=(0.45, 2.1), state=(22, 0.4))
    assert [r.what for r in told.rows] == [
        *("pellet groups", "neighbors' kill", "fawns and does seen", "cameras", "deer seen an hour"),
        "the state's figure",
    ]
    by = {row.what: row for row in told.rows}
    assert by["cameras"].estimate.kind == "assumptions" and "a ground nobody measured" in said(by["cameras"].measures)
    assert by["deer seen an hour"].estimate.unit == "percent a year"
    for what in ("pellet groups", "neighbors' kill", "the state's figure"):
        assert by[what].alone.value > 0 and by[what].without.value > 0, what
        assert said(by[what].words).startswith("by it alone ") and ", without it " in said(by[what].words)
    for what in ("fawns and does seen", "deer seen an hour"):
        assert by[what].alone.value is None and by[what].without.value > 0
    assert by["the state's figure"].estimate.value == 22
    assert json.loads(json.dumps(as_json(worded(told))))["rows"][3]["what"] == "cameras"


def test_counts_that_fit_together_are_pooled():
    """Pellets and kill of one herd: agreed, each with its number alone, and how far they are apart."""
    told = ask(kill=(0.45, 2.1)).together
    assert told.agree is True and 1.0 <= told.spread < 2.0
    words = said(told.words)
    assert words.startswith("Counts fit together: 3 springs of pellets alone ") and "the neighbors' kill alone" in words


def test_counts_that_disagree_are_a_finding_and_no_mean():
    """60 groups a spring and a kill of a thin herd: twice and more apart, no number of both."""
    told = ask(groups=60, kill=(0.12, 0.6)).together
    assert told.agree is False and told.spread > 2
    assert "That is the finding: no number is made of both" in said(told.words)


def test_one_count_stands_alone():
    """Pellets and nothing beside them that sets a number."""
    told = ask(seen()).together
    assert told.agree is None and told.spread == 1.0
    assert said(told.words) == "One count only sets the number."


def test_cameras_are_brought_to_a_square_mile_only_on_a_named_ground():
    """About 47 deer on 300 acres are 100 a square mile, and set no number; without a ground they stand alone."""
    named, bare = (ask(seen(), options).rows for options in ({"camera_ground_ac": 300}, {}))
    words = [said(next(r.words for r in rows if r.what == "cameras")) for rows in (named, bare)]
    assert words[0].startswith("on the ground you named 100 deer a square mile") and "it sets no number" in words[0]
    assert "square mile" not in words[1]


def test_cameras_without_a_known_buck_say_so():
    """No buck told apart: a row in words, no number."""
    row = next(r for r in ask(seen(known=0)).rows if r.what == "cameras")
    assert row.estimate.value is None and "no measure" in said(row.words)


def test_nothing_that_sets_a_number():
    """Too few pellets: nothing to hold others against."""
    told = ask(groups=0, why_not=reason("no count yet"))
    assert told.rows == () and told.together.agree is None
    assert said(told.together.words) == "Nothing was counted that sets a number."


def test_ratios_come_from_all_that_was_seen():
    """Fawns per doe over cameras and sightings, sum over sum."""
    assert ask(seen()).ratios.fawns_per_doe == 105 / (210 + 3 * 12)


def test_a_state_figure_lies_within_its_own_limits():
    """Its range is the state's; without both ends there is none; a figure outside its own limits is refused."""
    assert (state_figure(25, 20, 30).low, state_figure(25, 20, 30).kind) == (20, "assumptions")
    assert state_figure(25, 20).kind == "none" and "hundreds of square miles" in said(state_figure(25).why)
    for figure, low, high in ((40, 20, 30), (10, 20, 30), (-1, None, None)):
        with pytest.raises(InputError, match="its own limits"):
            state_figure(figure, low, high)

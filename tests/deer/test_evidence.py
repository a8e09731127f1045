"""All counts side by side: what each measures, and what they say together."""

import json

import numpy as np
import pandas as pd
import pytest

from woodlot.answers.as_json import as_json
from woodlot.deer.evidence import evidence, state_figure
from woodlot.deer.options import DeerSettings
from woodlot.errors import InputError
from woodlot.estimate import Estimate, interval, reason
from woodlot.region import shipped
from woodlot.say.reasons import said, worded

UNIT = "deer a square mile"


def pellet(value=20.0):
    """A pellet count with a range."""
    return interval(value, UNIT, se=0.2 * value, df=30, n=31, shared={"pellet rate": 0.45}, method="pellet groups")


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


def test_each_count_says_what_it_measures():
    """Pellets the use of the acres, cameras deer that walk there, sightings a trend; all of it JSON-able."""
    told = evidence(pellet(), pellet(24.0), seen(), DeerSettings(state_per_sqmi=22), region=shipped("base"))
    assert [r.what for r in told.rows] == ["pellet groups", "cameras", "deer seen an hour", "the state's figure"]
    assert "a ground nobody measured" in said(told.rows[1].measures)
    assert told.rows[1].estimate.kind == "assumptions"
    assert told.rows[2].estimate.unit == "percent a year"
    assert json.loads(json.dumps(as_json(worded(told))))["rows"][1]["what"] == "cameras"


def test_cameras_far_off_are_a_finding_and_no_mean():
    """About 47 deer on 300 acres are 100 a square mile beside 24: disagree, in words."""
    told = evidence(pellet(), pellet(24.0), seen(), DeerSettings(camera_ground_ac=300), region=shipped("base")).together
    assert told.agree is False and told.spread > 3
    assert "That is the finding; they are not averaged" in said(told.words)


def test_the_spread_is_the_largest_over_the_smallest():
    """A state figure of 12 beside 24 is half of it, one of 60 two and a half times."""
    for figure, spread in ((12, 2.0), (60, 2.5)):
        told = evidence(pellet(), pellet(24.0), None, DeerSettings(state_per_sqmi=figure), region=shipped("base"))
        assert told.together.spread == pytest.approx(spread)


@pytest.mark.parametrize(("figure", "low", "high"), [(20, 1, 22), (40, 30, 300)])
def test_ranges_that_meet_agree(figure, low, high):
    """One end of the state's range lies beyond the pellets' own, the other within it."""
    options = DeerSettings(state_per_sqmi=figure, state_low_per_sqmi=low, state_high_per_sqmi=high)
    fall = pellet(24.0)
    assert low < fall.low < high or low < fall.high < high
    assert evidence(pellet(), fall, None, options, region=shipped("base")).together.agree is True


def test_cameras_within_reach_carry_no_odds():
    """The same deer on 1,000 acres are about 30 a square mile: within reach, not weighed in."""
    told = evidence(
        pellet(), pellet(24.0), seen(), DeerSettings(camera_ground_ac=1000), region=shipped("base")
    ).together
    assert told.agree is True
    assert "not weighed in" in said(told.words)


def test_cameras_are_not_brought_to_a_square_mile_by_a_guess():
    """Without a named ground the cameras stand alone: one count only."""
    told = evidence(pellet(), pellet(24.0), seen(), DeerSettings(), region=shipped("base")).together
    assert said(told.words) == "One count only: winter count run forward to fall."


def test_cameras_without_a_known_buck_say_so():
    """No buck told apart: a row in words, no number."""
    told = evidence(pellet(), pellet(24.0), seen(known=0), DeerSettings(), region=shipped("base"))
    assert told.rows[1].estimate.value is None
    assert "no measure" in said(told.rows[1].words)


def test_nothing_but_too_few_pellets():
    """No range anywhere: words, and nothing to hold others against."""
    none = Estimate(3.0, UNIT, why=reason("few groups", groups=6, plots=40, least=10, most=9.0))
    told = evidence(none, none, None, DeerSettings(), region=shipped("base"))
    assert len(told.rows) == 1 and said(told.rows[0].words).startswith("6 groups on 40 plots")
    assert said(told.together.words) == "There is no count with a range of its own to hold others against."
    assert told.together.agree is None


def test_ratios_come_from_all_that_was_seen():
    """Fawns per doe over cameras and sightings, sum over sum."""
    told = evidence(pellet(), pellet(24.0), seen(), DeerSettings(), region=shipped("base")).ratios
    assert told.fawns_per_doe == 105 / (210 + 3 * 12)


def test_a_state_figure_lies_within_its_own_limits():
    """Its range is the state's; without both ends there is none; a figure outside its own limits is refused."""
    assert (state_figure(25, 20, 30).low, state_figure(25, 20, 30).kind) == (20, "assumptions")
    assert state_figure(25, 20).kind == "none" and "hundreds of square miles" in said(state_figure(25).why)
    for figure, low, high in ((40, 20, 30), (10, 20, 30), (-1, None, None)):
        with pytest.raises(InputError, match="its own limits"):
            state_figure(figure, low, high)


def test_acres_that_no_plot_lies_on_are_said():
    """Plots on the forty of 160 acres: 120 are spoken for by the rest; plots of no parcel speak for no acres."""
    from woodlot.deer.survey import _spoken_for

    acres = {"home": 40.0, "far": 120.0}
    plots = pd.DataFrame({"parcel_id": ["home", "home"]})
    assert [said(why) for why in _spoken_for(plots, acres)] == [
        "No pellet plot lies on 120 of your 160 acres; the rest speaks for them."
    ]
    assert [why.key for why in _spoken_for(plots.assign(parcel_id=[None, "home"]), acres)] == ["plots of no parcel"]
    assert _spoken_for(plots.assign(parcel_id=["far", "home"]), acres) == []

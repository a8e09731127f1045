"""Winter: the loss curve, its split, births after it, weeks of deep snow."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from woodlot.deer import winter
from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.trade import WINTER_SCALES


@pytest.mark.parametrize("points", [65, 90, 120])
def test_herd_loss_as_printed(as_printed, points):
    """Loss at three winters of Wisconsin's scale (reference page 3.5, chosen curve)."""
    as_printed(f"winter_loss_{points}", winter.herd_loss_wisconsin(points, region=shipped("base")))


def test_the_split_adds_to_the_loss_by_hand():
    """35 % fawns: .35 x 2.0 m + .65 x .46 m = .999 m."""
    fawns, grown = winter.losses_by_age(0.10, region=shipped("base"))
    assert 0.35 * fawns + 0.65 * grown == pytest.approx(0.0999)
    assert winter.losses_by_age(0.6, region=shipped("base"))[0] == 0.75


def test_the_winter_of_2014_as_printed(as_printed):
    """43 % of fawns and 10 % of grown deer in a herd with 35 % fawns (reference page 3.5, measured shares read)."""
    as_printed("winter_2014_herd_pct", 100 * (0.35 * 0.43 + 0.65 * 0.10))


def test_births_fall_after_a_hard_winter():
    """1 up to 50 points, .8 from 100 points."""
    assert winter.birth_share(np.array([20, 50, 75, 100, 170]), region=shipped("base")) == pytest.approx(
        [1, 1, 0.9, 0.8, 0.8]
    )


def test_negative_points_are_refused():
    """Points cannot be below zero."""
    with pytest.raises(InputError):
        winter.herd_loss_wisconsin(-1, region=shipped("base"))


def test_weeks_of_deep_snow():
    """Fourteen days with 15 inches or more in January belong to the winter that began the year before: 2 weeks."""
    days = pd.date_range("2026-01-01", periods=20)
    daily = pd.DataFrame({"date": days, "snow_in": [15.0] * 14 + [14.9] * 6})
    assert winter.deep_snow_weeks(daily, region=shipped("base")).to_dict() == {2025: 2.0}
    assert winter.deep_snow_weeks(pd.DataFrame({"winter": [2025], "points": [60]}), region=shipped("base")).empty


def weather(first="2025-11-01", last="2026-05-31", least=20.0, snow=0.0):
    """A row a day."""
    days = pd.date_range(first, last)
    return pd.DataFrame({"date": days, "least_f": least, "snow_in": snow})


def test_points_by_hand():
    """Ten December days at 0 F, six with 18 inches: 16. November is before the season."""
    daily = weather()
    december, november = daily["date"].dt.month == 12, daily["date"].dt.month == 11
    daily.loc[daily.index[december][:10], "least_f"] = 0.0
    daily.loc[daily.index[december][:6], "snow_in"] = 18.0
    daily.loc[daily.index[november][:5], "snow_in"] = 20.0
    assert winter.points_wisconsin(daily, region=shipped("base")).to_dict("records") == [
        {"winter": 2025, "points": 16.0, "days": 151, "scale": "wisconsin"}
    ]


def test_just_above_zero_and_just_under_the_depth_give_no_point():
    """1 F and 17.9 inches: nothing."""
    daily = weather(least=1.0, snow=17.9)
    assert winter.points_wisconsin(daily, region=shipped("base"))["points"].iloc[0] == 0


def test_a_winter_with_too_many_missing_days_has_no_points():
    """February missing: more than a tenth of 151 days; no points rather than too few."""
    daily = weather(snow=20.0)
    assert winter.points_wisconsin(daily[daily["date"].dt.month != 2], region=shipped("base"))["points"].isna().all()
    assert winter.points_wisconsin(daily.drop(daily.index[50:60]), region=shipped("base"))["points"].iloc[0] == 141


def test_bad_weather_is_refused():
    """A missing column, two rows for a day: a clear stop."""
    with pytest.raises(InputError, match="least_f"):
        winter.points_wisconsin(weather().drop(columns="least_f"), region=shipped("base"))
    with pytest.raises(InputError, match="two rows"):
        winter.points_wisconsin(pd.concat([weather(), weather()]), region=shipped("base"))


def test_scales_are_those_with_published_classes():
    """Each scale that may be written in winters.csv has its classes in print; losses are quoted for the first alone."""
    rows = pd.read_csv(Path(__file__).parent.parent / "printed" / "deer_winter_severity.csv")
    assert list(rows["scale"].unique()) == list(WINTER_SCALES)
    assert set(rows.loc[rows["herd_loss_low"].notna(), "scale"]) == {next(iter(WINTER_SCALES))}

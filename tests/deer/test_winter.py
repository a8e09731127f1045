"""Winter: each scale by its own line, weather by each rule, births after it, yards."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from woodlot.deer import winter
from woodlot.deer.options import DeerSettings
from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.trade import WINTER_SCALES, key_of

REGION = shipped("base")


@pytest.mark.parametrize(
    ("scale", "value", "loss"),
    [
        ("wisconsin", 67, 0.0783),
        ("wisconsin", 110, 0.17),
        ("wisconsin", 170, 0.29),
        ("wisconsin", 200, 0.35),
        ("wisconsin", 300, 0.40),
        ("minnesota", 90, 0.0808),
        ("minnesota", 140, 0.1357),
        ("minnesota", 200, 0.272),
        ("michigan", 20, 0.05),
        ("michigan", 75, 0.145),
        ("michigan", 105, 0.225),
        ("maine", 8, 0.08),
        ("maine", 19, 0.19),
        ("maine", 30, 0.30),
    ],
)
def test_losses_by_each_scale_as_printed(scale, value, loss):
    """Values of the herd model's page, section 5, to their last digit; Maine's percent is the loss itself."""
    assert winter.herd_loss(value, scale, REGION) == pytest.approx(loss, abs=5e-5)


@pytest.mark.parametrize(("loss", "points"), [(0.08, 68), (0.12, 88), (0.19, 120), (0.30, 175)])
def test_points_of_a_loss_as_printed(loss, points):
    """The same page: births need Wisconsin's points, by way of the loss."""
    assert winter.points_of_loss(loss, REGION) == pytest.approx(points, abs=0.01)


def test_the_split_adds_to_the_loss_by_hand():
    """35 % fawns: .35 x 2.0 m + .65 x .46 m = .999 m."""
    fawns, grown = winter.losses_by_age(0.10, region=REGION)
    assert 0.35 * fawns + 0.65 * grown == pytest.approx(0.0999)
    assert winter.losses_by_age(0.6, region=REGION)[0] == 0.75


def test_the_winter_of_2014_as_printed(as_printed):
    """43 % of fawns and 10 % of grown deer in a herd with 35 % fawns (reference page 3.5, measured shares read)."""
    as_printed("winter_2014_herd_pct", 100 * (0.35 * 0.43 + 0.65 * 0.10))


def test_births_fall_after_a_hard_winter():
    """1 up to 50 points, .8 from 100 points."""
    assert winter.birth_share(np.array([20, 50, 75, 100, 170]), region=REGION) == pytest.approx([1, 1, 0.9, 0.8, 0.8])


def test_what_cannot_be_is_refused():
    """Points below zero, a scale without losses, one without a rule for weather."""
    for told in ((-1, "wisconsin"), (1, "quebec")):
        with pytest.raises(InputError):
            winter.herd_loss(*told, REGION)
    with pytest.raises(InputError, match="maine"):
        winter.counted(weather(), "maine", REGION)


def weather(first="2025-11-01", last="2026-05-31", least=20.0, snow=0.0, **more):
    """A row a day."""
    days = pd.date_range(first, last)
    return pd.DataFrame({"date": days, "least_f": least, "snow_in": snow, **more})


def value(daily, scale="wisconsin"):
    """The one winter's value by a rule."""
    return winter.counted(daily, scale, REGION)["value"].iloc[0]


def test_points_of_weather_by_hand():
    """Ten December days at 0 F, six with 18 inches, five of November with 20: Wisconsin 16, Minnesota 21, 6 of snow."""
    daily = weather()
    december, november = daily["date"].dt.month == 12, daily["date"].dt.month == 11
    daily.loc[daily.index[december][:10], "least_f"] = 0.0
    daily.loc[daily.index[december][:6], "snow_in"] = 18.0
    daily.loc[daily.index[november][:5], "snow_in"] = 20.0
    assert winter.counted(daily, "wisconsin", REGION).to_dict("records") == [
        {"winter": 2025, "value": 16.0, "days": 151, "wanted": 151}
    ]
    assert (value(daily, "minnesota"), value(daily, "michigan")) == (21.0, 6.0)


@pytest.mark.parametrize(("scale", "snow"), [("wisconsin", 18.0), ("minnesota", 15.0), ("michigan", 12.0)])
def test_just_above_zero_and_just_under_the_depth_give_no_point(scale, snow):
    """1 F and a tenth of an inch too little: nothing; the depth itself counts every day."""
    assert value(weather(least=1.0, snow=snow - 0.1), scale) == 0
    daily = weather(least=1.0, snow=snow)
    assert value(daily, scale) == winter.counted(daily, scale, REGION)["wanted"].iloc[0]


def test_a_winter_with_too_many_missing_days_has_no_points():
    """February missing: more than a tenth of 151 days; no points rather than too few, and it is told."""
    daily = weather(snow=20.0)
    bare = daily[daily["date"].dt.month != 2]
    assert np.isnan(value(bare)) and winter.losses_by_fall(bare, REGION) == {}
    assert winter.days_lacking(bare, REGION) == {2025: (123, 151)}
    assert (
        value(daily.assign(snow_in=daily["snow_in"].where(~daily.index.isin(range(50, 60)))).drop(range(50, 60))) == 141
    )
    assert winter.days_lacking(daily, REGION) == {}


def test_two_rows_for_a_day_are_refused():
    """A clear stop."""
    with pytest.raises(InputError, match="two rows"):
        winter.losses_by_fall(pd.concat([weather(), weather()]), REGION)


def test_a_snow_stake_alone_counts_as_days_of_snow():
    """150 rows without a temperature, 75 of them with a foot: Upper Michigan's line, .145."""
    stake = weather("2025-12-01", "2026-04-29").drop(columns="least_f").assign(snow_in=[12.0] * 75 + [11.9] * 75)
    told = winter.losses_by_fall(stake, REGION)[2025]
    assert told == (pytest.approx(0.145), "michigan", "days of snow 12 in. or more", 75.0, True, ())


def test_a_stake_read_every_week_is_drawn_straight_between_readings():
    """Twelve readings of 20 inches a week apart, then none: 11 weeks and a slope; nine days apart tell nothing."""
    stake = pd.DataFrame(
        {"date": pd.date_range("2025-12-01", periods=22, freq="7D"), "snow_in": [20.0] * 12 + [0.0] * 10}
    )
    told = winter.losses_by_fall(stake, REGION)[2025]
    assert (told.scale, told.value) == ("michigan", 77 + 1 + 2)
    assert winter.deep_snow_weeks(stake, REGION)[2025] == pytest.approx((77 + 1 + 1) / 7)
    seldom = stake.assign(date=pd.date_range("2025-12-01", periods=22, freq="9D"))
    assert winter.losses_by_fall(seldom, REGION) == {} and winter.days_lacking(seldom, REGION)[2025][1] == 151


def test_weather_counts_by_the_scale_that_is_written_beside_it():
    """Snow of 16 inches: every day of Minnesota's winter, none of Wisconsin's, which stands where nobody wrote one."""
    daily = weather(snow=16.0)
    assert winter.losses_by_fall(daily, REGION)[2025][1:4] == ("wisconsin", "points", 0.0)
    assert winter.losses_by_fall(daily.assign(scale="minnesota"), REGION)[2025][1:4] == ("minnesota", "points", 212.0)
    stopped = daily[daily["date"] < "2026-05-01"].assign(scale="minnesota")
    assert winter.losses_by_fall(stopped, REGION)[2025].scale == "wisconsin", "April was the last month written"
    assert winter.losses_by_fall(daily.assign(scale="maine"), REGION)[2025].scale == "wisconsin"


def test_of_a_winter_told_twice_the_surer_measure_counts():
    """Written before counted, Maine's percent before points, points before days of snow; the rest is named."""
    written = pd.DataFrame({"winter": 2025, "points": [60.0, 12.0, 80.0], "scale": ["michigan", "maine", "wisconsin"]})
    told = winter.losses_by_fall(pd.concat([written, weather(snow=18.0)]), REGION)[2025]
    assert (told.share, told.scale, told.weather) == (pytest.approx(0.12), "maine", False)
    assert told.beside == (("wisconsin", 80.0, False), ("michigan", 60.0, False), ("wisconsin", 151.0, True))
    both = winter.losses_by_fall(written.assign(winter=[2023, 2024, 2025]), REGION)
    assert [(fall, one.scale, one.beside) for fall, one in both.items()] == [
        (2023, "michigan", ()),
        (2024, "maine", ()),
        (2025, "wisconsin", ()),
    ]


def test_no_winter_is_no_loss():
    """Nothing handed in, or rows that say nothing."""
    for none in (None, pd.DataFrame(), pd.DataFrame({"winter": [2025], "points": [np.nan], "scale": [None]})):
        assert winter.losses_by_fall(none, REGION) == {} and winter.days_lacking(none, REGION) == {}
        assert winter.deep_snow_weeks(none, REGION).empty


def test_weeks_of_deep_snow():
    """Fourteen January days with 15 inches are of the winter before: 2 weeks; a number that is written goes before."""
    days = pd.date_range("2026-01-01", periods=20)
    daily = pd.DataFrame({"date": days, "snow_in": [15.0] * 14 + [14.9] * 6, "winter": 2025, "deep_snow_weeks": np.nan})
    assert winter.deep_snow_weeks(daily, REGION).to_dict() == {2025: 2.0}
    told = pd.DataFrame({"winter": [2025, 2024], "deep_snow_weeks": [5.0, 1.5]})
    assert winter.deep_snow_weeks(pd.concat([daily, told]), REGION).to_dict() == {2024: 1.5, 2025: 5.0}


def yards(*, weeks=None, option=None, share=0.5, falls=(2024, 2025, 2026), cover="spruce and fir"):
    """Falls whose spring is of a yard, on a hundred acres of which a share is of a cover."""
    from shapely.geometry import box

    a, step = -89.35, 0.01
    shapes = [box(a, 46.0, a + step * share, 46.01), box(a + step * share, 46.0, a + step, 46.01)]
    import geopandas as gpd

    stands = gpd.GeoDataFrame({"cover": [cover, "northern hardwoods"]}, geometry=shapes, crs="EPSG:4326")
    told = None if weeks is None else pd.DataFrame(weeks, columns=["winter", "deep_snow_weeks"])
    return winter.yard_falls(told, stands, DeerSettings(weeks_of_deep_snow=option), falls, REGION)


def test_springs_of_a_winter_yard():
    """Two weeks near conifers; the winter's own number, else the setting for the winter before the season asked for."""
    assert yards(weeks=[(2024, 2.0), (2025, 1.9)]) == {2024}
    assert yards(option=2.0) == {2025} and yards(option=1.9) == frozenset()
    assert yards(weeks=[(2025, 0.0)], option=9.0) == frozenset(), "the table names its winter, the setting does not"
    assert yards(weeks=[(2020, 9.0)]) == frozenset(), "no fall on record"
    assert yards(weeks=[(2024, 9.0)], share=0.09) == frozenset() and yards(weeks=[(2024, 9.0)], share=0.11) == {2024}
    assert yards(falls=()) == frozenset()
    assert winter.conifer_share(None, REGION) == 0.0


def test_every_scale_has_losses_and_every_state_a_scale():
    """Each scale that may be written has its line; states that count alike are read as one."""
    curve = REGION.table("deer_winter_loss")
    assert set(curve["scale"]) == set(WINTER_SCALES)
    read = {word: key_of(word, WINTER_SCALES) for word in ("WI", "mn", "Mi", "me", "NH", "Vermont", "new york")}
    assert read == {
        "WI": "wisconsin", "mn": "minnesota", "Mi": "michigan", "me": "maine", "NH": "wisconsin",
        "Vermont": "wisconsin", "new york": "wisconsin",
    }  # fmt: skip


def test_scales_with_published_classes_are_known():
    """Each scale with classes in print is one that may be written."""
    rows = pd.read_csv(Path(__file__).parent.parent / "printed" / "deer_winter_severity.csv")
    assert {key_of(scale, WINTER_SCALES) for scale in rows["scale"]} <= set(WINTER_SCALES)

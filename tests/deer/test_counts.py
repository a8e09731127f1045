"""Cameras and sightings: the printed example, corrections, trends that are only trends."""

import numpy as np
import pandas as pd
import pytest

from woodlot.deer import counts
from woodlot.deer.answer import Ratios
from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.say.reasons import said


def test_cameras_as_printed(as_printed):
    """B 9, photos 120, 30, 210, 105 (reference page 1.2, derived; the form is from memory)."""
    told = counts.herd_from_cameras(9, 120, 30, 210, 105)
    for name in ("spikes", "bucks", "does", "fawns", "all"):
        as_printed(f"cameras_{name}", getattr(told, name))


def test_the_correction_touches_does_and_fawns_only():
    """1.5 times the does and fawns, the same bucks; without a doe photo the fawns still count."""
    plain, mended = counts.herd_from_cameras(9, 120, 30, 210, 105), counts.herd_from_cameras(9, 120, 30, 210, 105, 1.5)
    assert mended.bucks == plain.bucks
    assert (mended.does, mended.fawns) == pytest.approx((1.5 * plain.does, 1.5 * plain.fawns))
    assert counts.herd_from_cameras(9, 120, 30, 0, 105).fawns == plain.fawns


def test_cameras_in_arrays():
    """Arrays in, arrays out."""
    told = counts.herd_from_cameras(np.array([9, 4]), 120, 30, 210, 105)
    assert told.all[0] == counts.herd_from_cameras(9, 120, 30, 210, 105).all


@pytest.mark.parametrize("bad", [(9, 0, 30, 210, 105), (-1, 120, 30, 210, 105), (9, 120, 30, 210, 105, 0)])
def test_cameras_without_a_measure_are_refused(bad):
    """No photo of a branch-antlered buck, negative counts, no correction: a clear stop."""
    with pytest.raises(InputError):
        counts.herd_from_cameras(*bad)


def rows(**more):
    """Two cameras of one fall."""
    base = {"date": pd.Timestamp(2026, 10, 3), "method": "camera", "station": ["a", "b"], "hours": 336.0}
    photos = {"bucks": [100, 50], "spikes": [20, 10], "does": [110, 100], "fawns": [55, 50], "unknown": 0}
    return pd.DataFrame(base | photos | {"bucks_known": [6, 3], "baited": False} | more)


def test_a_camera_season_is_a_range_of_assumptions():
    """6 to 9 bucks, correction 1.0 to 1.9: 23.25 to 56.1 deer, no odds; bait is said; the ground is carried."""
    e = counts.cameras(rows(), ground_ac=1500, region=shipped("base"))
    assert e.kind == "assumptions" and e.ground_ac == 1500
    assert e.low == pytest.approx(34.875 * 6 / 9) and e.high == pytest.approx(11.25 + 1.9 * 23.625)
    assert "6 to 9 bucks" in said(e.why)
    assert "without bait" in e.method
    assert "baited" in counts.cameras(rows(baited=True), region=shipped("base")).method


def test_cameras_that_told_no_buck_apart_give_no_number():
    """No buck known, no camera at all: no number, and what would be enough."""
    for frame, words in ((rows(bucks_known=0), "no measure"), (rows().iloc[:0], "fortnight")):
        e = counts.cameras(frame, region=shipped("base"))
        assert (e.value, e.low, e.kind) == (None, None, "none") and words in said(e.why)


def outings(rate_by_year, hours=4.0, n=30, seed=1, baited=False):
    """Outings of some hours in each season with Poisson sightings."""
    rng = np.random.default_rng(seed)
    years = np.repeat(list(rate_by_year), n)
    seen = rng.poisson(np.repeat(list(rate_by_year.values()), n) * hours)
    day = pd.to_datetime({"year": years, "month": 11, "day": 20})
    zero = {"bucks": 0, "spikes": 0, "fawns": 0, "unknown": 0, "bucks_known": np.nan}
    return pd.DataFrame({"date": day, "method": "sighting", "hours": hours, "does": seen, "baited": baited} | zero)


def test_a_falling_herd_shows_as_a_falling_trend():
    """20 % fewer a year over six seasons: the trend's range holds -20 and lies below zero."""
    e = counts.trend(outings({y: 0.8 * 0.8 ** (y - 2020) for y in range(2020, 2026)}))
    assert e.kind == "interval" and e.low <= -20 <= e.high < 0
    assert e.unit == "percent a year" and "no number of deer" in said(e.why)


def test_the_trend_of_a_steady_herd_holds_zero():
    """85 to 95 in 100 ranges of a steady herd over five seasons hold zero, or a few more (wanted 90)."""
    held = [counts.trend(outings(dict.fromkeys(range(5), 0.3), n=12, seed=s)) for s in range(200)]
    assert 0.85 <= np.mean([e.low <= 0 <= e.high for e in held]) <= 0.98


def test_two_seasons_are_no_trend():
    """Under three seasons: words."""
    e = counts.trend(outings({2024: 0.3, 2025: 0.3}))
    assert e.value is None and said(e.why) == "2 seasons; three show a first trend"


def test_baited_seasons_are_not_compared_with_others():
    """Three plain seasons and one baited: the baited one is left out."""
    plain = outings({2022: 0.3, 2023: 0.3, 2024: 0.3})
    both = pd.concat([plain, outings({2025: 3.0}, baited=True)])
    assert counts.trend(both).value == counts.trend(plain).value


def test_ratios_are_sums_over_sums():
    """210 does on 150 bucks, 105 fawns on 210 does; nothing to divide by gives None."""
    assert counts.ratios(rows()) == Ratios(does_per_buck=1.4, fawns_per_doe=0.5)
    assert counts.ratios(rows(bucks=0, does=0)) == Ratios(None, None)


def test_sightings_without_a_day_stand_in_no_season():
    """None of them dated: no season at all, and no traceback; those with a day make the trend alone."""
    seen = outings({2023: 0.3, 2024: 0.3, 2025: 0.3})
    bare = counts.trend(seen.assign(date=pd.NaT))
    assert bare.value is None and said(bare.why) == "0 seasons; three show a first trend"
    both = counts.trend(pd.concat([seen, seen.assign(date=pd.NaT, does=50)], ignore_index=True))
    assert both == counts.trend(seen)


def test_an_outing_after_new_year_belongs_to_the_season_before():
    """Three falls with a sitting in November and one in January are three seasons, not four calendar years."""
    days = [f"{fall}-11-07" for fall in (2023, 2024, 2025)] + [f"{fall}-01-03" for fall in (2024, 2025, 2026)]
    rows = pd.DataFrame({"date": days, "method": "sighting", "hours": 6.0, "baited": None})
    told = counts.trend(rows.assign(bucks=1, does=2, fawns=1, unknown=0))
    assert told.n == 3 and told.value == pytest.approx(0.0, abs=1e-9)


def test_one_camera_tells_its_bucks_apart_once():
    """A single camera: 6 bucks in all, no range of them."""
    e = counts.cameras(rows().iloc[:1], region=shipped("base"))
    assert e.low == pytest.approx(7.5 * (1 + 165 / 100)) and "several cameras" not in said(e.why)


def seen(**more):
    """One camera row and one watch of 12 October 2025."""
    base = {"date": pd.Timestamp(2025, 10, 12), "method": ["camera", "sighting"], "hours": [336.0, 4.0]}
    deer = {"bucks": [20, 1], "does": [30, 2], "fawns": [15, 1], "unknown": [9, 3], "baited": False}
    return pd.DataFrame(base | deer | more)


def test_deer_seen_by_fall_by_hand():
    """Fawns and does of both; bucks of the camera alone; 7 deer in 4 hours of watching."""
    told = counts.seen_by_fall(seen(), shipped("base")).loc[2025].to_dict()
    assert told == {
        "fawns": 16, "does": 32, "camera_bucks": 20, "camera_does": 30, "sighting_deer": 7, "sighting_hours": 4,
        "at_bait": 0,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("day", "fall", "fawns", "bucks", "deer"),
    [
        ("2025-07-31", 2025, 0, 0, 7),
        ("2025-08-01", 2025, 16, 20, 7),
        ("2025-10-31", 2025, 16, 20, 7),
        ("2025-11-20", 2025, 0, 20, 7),
        ("2026-01-03", 2025, 0, 0, 7),
    ],
)
def test_the_month_says_what_a_count_tells(day, fall, fawns, bucks, deer):
    """Fawns from August to October, bucks while they carry antlers, deer an hour all season; January is last fall."""
    told = counts.seen_by_fall(seen(date=pd.Timestamp(day)), shipped("base"))
    assert told.loc[fall, ["fawns", "camera_bucks", "sighting_deer"]].tolist() == [fawns, bucks, deer]


def test_deer_at_bait_stand_apart_and_rows_without_a_day_in_no_fall():
    """Baited: nothing but their number, 74 and 7; a watch without hours tells no deer an hour."""
    bait = counts.seen_by_fall(seen(baited=True), shipped("base")).loc[2025]
    assert bait["at_bait"] == 81 and bait.drop("at_bait").eq(0).all()
    assert counts.seen_by_fall(seen(date=pd.NaT), shipped("base")).empty
    assert counts.seen_by_fall(None, shipped("base")).empty
    still = counts.seen_by_fall(seen(hours=[336.0, np.nan]), shipped("base")).loc[2025]
    assert (still["sighting_deer"], still["fawns"]) == (0, 16)


def test_drives_and_tracks_are_no_ratio():
    """Only cameras and watches tell deer apart."""
    assert counts.seen_by_fall(seen(method=["drive", "tracks"]), shipped("base")).empty

"""Kills: reconstruction, sex-age-kill, kill per effort, as printed; refusals."""

import numpy as np
import pandas as pd
import pytest

from woodlot.deer import bag
from woodlot.errors import InputError, NoAnswer

KILLS = [
    [40, 24, 12, 9],
    [42, 22, 13, 8],
    [38, 25, 11, 10],
    [44, 23, 13, 9],
    [41, 26, 12, 9],
    [43, 25, 14, 10],
]
AGES = ("1.5", "2.5", "3.5", "4.5")


@pytest.mark.parametrize("year", range(1, 7))
def test_the_rebuilt_herd_as_printed(as_printed, year):
    """Every cell of the reconstruction table, natural survival 1 and .9 (reference page 1.6, derived)."""
    whole, worn = bag.reconstruct(KILLS, 0.55), bag.reconstruct(KILLS, 0.55, 0.9)
    for i, age in enumerate(AGES):
        as_printed(f"rebuilt_year{year}_{age}", whole[year - 1, i])
    as_printed(f"rebuilt_year{year}_all_s1", whole[year - 1].sum())
    as_printed(f"rebuilt_year{year}_all_s0.9", worn[year - 1].sum())


def steady(years, rate=0.6):
    """Kills of a herd with 100 recruits a year and no other death: a known truth."""
    herd = np.array([100.0, 40.0, 16.0, 16.0 * 0.4 / 0.6])
    return np.tile(herd * rate, (years, 1)), herd


def test_a_known_herd_is_found_again_as_printed(as_printed):
    """100 recruits, rate .6: 100, 40, 16, 10.667, in all 166.667, every year (page 1.6, self-test)."""
    kills, truth = steady(10)
    out = bag.reconstruct(kills, 0.6)
    for i, name in enumerate(("year1.5", "2.5", "3.5", "4.5")):
        as_printed(f"rebuilt_self_{name}", out[0, i])
    as_printed("rebuilt_self_all", out[0].sum())
    assert out == pytest.approx(np.tile(truth, (10, 1)))


def test_a_wrong_last_rate_fades_as_printed(as_printed):
    """Last rate .4 instead of .6: 250 in the last year, within .5 % seven years back (page 1.6, self-test)."""
    kills, truth = steady(10)
    out = bag.reconstruct(kills, 0.4).sum(axis=1)
    as_printed("rebuilt_self_wrong_rate_last", out[-1])
    assert out[-8] == pytest.approx(truth.sum(), rel=0.005)
    assert abs(out[-6] / truth.sum() - 1) > abs(out[-8] / truth.sum() - 1)


def test_a_rebuilt_herd_is_at_least_the_kill():
    """Nobody can have been shot who was not alive."""
    assert np.all(bag.reconstruct(KILLS, 1.0) >= np.array(KILLS))


@pytest.mark.parametrize(
    ("kills", "rate", "s"), [([[1], [2]], 0.5, 1), ([[1, -2]], 0.5, 1), ([[1, 2]], 0.0, 1), ([[1, 2]], 0.5, 1.2)]
)
def test_bad_kills_are_refused(kills, rate, s):
    """One age only, negative kills, rates outside 0-1: a clear stop."""
    with pytest.raises(InputError):
        bag.reconstruct(kills, rate, s)


def test_no_kill_in_the_oldest_ages_is_refused():
    """Without any kill of the two oldest ages they cannot be split."""
    with pytest.raises(InputError, match="pool"):
        bag.reconstruct([[5, 0, 0], [5, 2, 1]], 0.5)


def test_sex_age_kill_as_printed(as_printed):
    """Kill 464, .60, .49, 1.59, .471 (inputs read 2nd-hand; reference page 1.5)."""
    told = bag.sex_age_kill(464, 0.60, 0.49, 1.59, 0.471)
    for name in ("buck_rate", "bucks", "does", "fawns", "all"):
        as_printed(f"sak_{name}", getattr(told, name))
    with pytest.raises(InputError):
        bag.sex_age_kill(464, 0.0, 0.49, 1.59, 0.471)


EFFORT, TAKEN = [30, 28, 25, 24, 20, 18], [12, 10, 7, 6, 4, 3]


def test_catch_and_effort_as_printed(as_printed):
    """Leslie and Ricker on the printed season (reference page 1.4, derived)."""
    plain, ricker = bag.catch_effort(TAKEN, EFFORT), bag.catch_effort(TAKEN, EFFORT, ricker=True)
    as_printed("catch_q", plain.catchability)
    as_printed("catch_herd", plain.herd)
    as_printed("catch_ricker_q", ricker.catchability)
    as_printed("catch_ricker_herd", ricker.herd)


@pytest.mark.parametrize(
    ("kill", "effort", "why"),
    [
        ([8, 7, 5, 4], [10, 10, 10, 10], "24 kills"),
        ([20, 20], [9, 9], "two|three"),
        ([9, 10, 11], [9, 9, 9], "did not fall"),
    ],
)
def test_too_little_to_say_is_refused(kill, effort, why):
    """24 kills, two periods, a rate that does not fall: no herd, and why."""
    with pytest.raises(NoAnswer, match=why):
        bag.catch_effort(kill, effort)


def test_uneven_seasons_are_refused():
    """One effort for each kill."""
    with pytest.raises(InputError):
        bag.catch_effort([10, 9, 8], [5, 5])


@pytest.mark.parametrize(
    ("day", "fall"),
    [("2026-09-15", 2026), ("2027-01-03", 2026), ("2027-02-27", 2026), ("2027-06-30", 2026), ("2027-07-01", 2027)],
)
def test_a_day_belongs_to_the_season_that_began_last_fall(day, fall):
    """January and February are hunted for the fall before; a column of days and one day agree."""
    assert bag.fall_of(pd.Timestamp(day)) == fall
    assert bag.fall_of(pd.Series(pd.to_datetime([day]))).tolist() == [fall]


def test_weights_by_season():
    """Two yearling bucks of 2025 at 110 and 120 lb: 115."""
    frame = pd.DataFrame(
        {"year": [2025, 2025, 2024], "sex_age": "yearling buck", "number": 1, "dressed_lb": [110, 120, np.nan]}
    )
    out = bag.weights_trend(frame, "yearling buck")
    assert out.to_dict("records") == [{"year": 2025, "deer": 2, "dressed_lb": 115.0}]
